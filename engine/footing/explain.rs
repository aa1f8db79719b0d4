//! Why no layout is legal: where the ground asks for less than any type can give, and by how much.

use num_rational::BigRational;
use num_traits::{Signed, Zero};

use super::{Joints, Site, type_for};
use crate::measure::{Nm, Real, counted};
use crate::problem::{Faults, Problem};

/// A stretch of the chain where even the lowest level that has a type is too high.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TooLow {
    /// Running station of its start, in nanometres.
    pub from: BigRational,
    /// Running station of its end, in nanometres.
    pub to: BigRational,
}

/// The worst place of those stretches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shortfall {
    /// Running station.
    pub station: Nm,
    /// Required bottom there, in nanometres.
    pub required: BigRational,
    /// Lowest bottom that a type allows.
    pub lowest_bottom: Nm,
    /// How much too high that is, in nanometres.
    pub short_by: BigRational,
    /// Whether the job has no lower level.
    pub at_lowest: bool,
    /// Stem height one level lower.
    pub next_stem: Nm,
    /// Tallest stem that a type carries.
    pub tallest: Nm,
}

/// Why there is no layout.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoLayout {
    /// The ground asks for a lower bottom than any type allows.
    TooLow {
        /// The stretches, in order along the walls.
        stretches: Vec<TooLow>,
        /// The worst place.
        worst: Shortfall,
    },
    /// Stretches of the chain where no level of the range has a wall type: start, end, top of wall.
    NoType(Vec<(Nm, Nm, Nm)>),
    /// Joint, run and riser rules leave no way: the furthest station that a legal run reaches.
    Rules(Nm),
    /// Something else stops the work.
    Fault(Faults),
}

impl From<Problem> for NoLayout {
    fn from(problem: Problem) -> Self {
        Self::Fault(problem.into())
    }
}

/// Finds the reason.
pub(super) fn explain(site: &Site, furthest: Nm) -> NoLayout {
    let mut untyped: Vec<(Nm, Nm, Nm)> = Vec::new();
    let mut stretches: Vec<TooLow> = Vec::new();
    let mut worst: Option<Shortfall> = None;
    for (index, cell) in site.grid.cells.iter().enumerate() {
        let lowest =
            site.module.levels().find_map(|level| site.at(index, level).map(|at| (level, at)));
        let Some((level, at)) = lowest else {
            match untyped.last_mut() {
                Some(last) if last.1 == cell.from && last.2 == cell.top.high() => last.1 = cell.to,
                _ => untyped.push((cell.from, cell.to, cell.top.high())),
            }
            continue;
        };
        let thickness = site.types[at.kind].thickness;
        if site.deep_enough(at, cell.from, cell.to) {
            continue;
        }
        for (from, to) in too_low(site, thickness, at.bottom, cell.from, cell.to) {
            match stretches.last_mut() {
                Some(last) if last.to == from => last.to = to,
                _ => stretches.push(TooLow { from, to }),
            }
        }
        for station in site.ground.bends(&site.rules.depths, thickness, cell.from, cell.to) {
            let required = site.ground.required(&site.rules.depths, thickness, station);
            let short_by = BigRational::length(at.bottom) - &required;
            if short_by.is_positive()
                && worst.as_ref().is_none_or(|worst| short_by > worst.short_by)
            {
                worst = Some(Shortfall {
                    station,
                    required,
                    lowest_bottom: at.bottom,
                    short_by,
                    // Where any level may be taken, the wall schedule decides how low they go.
                    at_lowest: level == site.module.lowest
                        && (site.module.joints != Joints::OneLevel
                            || site.module.highest == site.module.lowest),
                    next_stem: cell.top.high() - site.module.top_of_footing(level - 1),
                    tallest: site.types.last().map_or(Nm::ZERO, |row| row.stem_up_to),
                });
            }
        }
    }
    match worst {
        _ if !untyped.is_empty() => NoLayout::NoType(untyped),
        Some(worst) => NoLayout::TooLow { stretches, worst },
        None => NoLayout::Rules(furthest),
    }
}

/// Stretches of an interval where the required line is under a bottom.
pub(super) fn too_low(
    site: &Site,
    thickness: Nm,
    bottom: Nm,
    from: Nm,
    to: Nm,
) -> Vec<(BigRational, BigRational)> {
    let depths = &site.rules.depths;
    let lines = [
        (&site.ground.finished_low.line, bottom + depths.under_grade(thickness)),
        (&site.ground.bearing.line, bottom - depths.allowance),
    ];
    let mut found: Vec<(BigRational, BigRational)> = Vec::new();
    for (line, level) in lines {
        for (a, b, ha, hb) in line.stretches(from, to) {
            let (u, v) =
                (ha.above(level).real::<BigRational>(), hb.above(level).real::<BigRational>());
            let (a, b) = (BigRational::length(a), BigRational::length(b));
            let crossing = || &a + (&b - &a) * &u / (&u - &v);
            match (u.is_negative(), v.is_negative()) {
                (true, true) => found.push((a, b)),
                (true, false) => found.push((a.clone(), crossing())),
                (false, true) => found.push((crossing(), b)),
                (false, false) => {}
            }
        }
    }
    found.sort();
    let mut merged: Vec<(BigRational, BigRational)> = Vec::new();
    for (from, to) in found.into_iter().filter(|(from, to)| !(to - from).is_zero()) {
        match merged.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.clone().max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}

/// What prints lengths and stations of an explanation.
struct Printers<'a> {
    site: &'a Site,
    show: &'a dyn Fn(&BigRational) -> String,
    place: &'a dyn Fn(Nm) -> String,
}

impl NoLayout {
    /// The explanation in words; lengths are printed by `show`, stations by `place`.
    pub fn problems(
        &self,
        site: &Site,
        show: impl Fn(&BigRational) -> String,
        place: impl Fn(Nm) -> String,
    ) -> Faults {
        let printers = Printers { site, show: &show, place: &place };
        match self {
            Self::Fault(faults) => faults.clone(),
            Self::NoType(stretches) => {
                let one = |stretch: &(Nm, Nm, Nm)| printers.no_type(*stretch);
                Faults::from(stretches.iter().map(one).collect::<Vec<_>>())
            }
            Self::TooLow { stretches, worst } => printers.too_low(stretches, worst).into(),
            Self::Rules(furthest) => printers.rules(*furthest).into(),
        }
    }
}

impl Printers<'_> {
    fn length(&self, length: Nm) -> String {
        (self.show)(&BigRational::length(length))
    }

    fn no_type(&self, (from, to, top): (Nm, Nm, Nm)) -> Problem {
        let (module, types) = (&self.site.module, &self.site.types);
        let lowest = top - module.top_of_footing(module.highest);
        let highest = top - module.top_of_footing(module.lowest);
        let place = self.place;
        Problem::error(format!("no wall type serves {} to {}", place(from), place(to)))
            .detail(format!(
                "the levels of the job give stems from {} to {}; the tallest type in job.toml carries {}",
                self.length(lowest),
                self.length(highest),
                self.length(types.last().map_or(Nm::ZERO, |row| row.stem_up_to)),
            ))
            .help(match type_for(types, highest) {
                Some(_) => format!("lower {}", module.key("lowest")),
                None => format!(
                    "add a type for that height, raise {} or correct the top; ask the engineer",
                    module.key("highest")
                ),
            })
    }

    fn too_low(&self, stretches: &[TooLow], worst: &Shortfall) -> Problem {
        let (module, show) = (&self.site.module, self.show);
        let station = (self.place)(worst.station);
        let mut problem = Problem::error(format!("the footing cannot be low enough near {station}"))
            .detail(format!(
                "the required line lies at {}; the lowest that the levels and wall types allow is {}, {} too high",
                show(&worst.required),
                self.length(worst.lowest_bottom),
                show(&worst.short_by),
            ))
            .detail(match module.joints {
                _ if !worst.at_lowest => format!(
                    "one level lower the stem is {}; the tallest type in job.toml carries {}",
                    self.length(worst.next_stem),
                    self.length(worst.tallest),
                ),
                Joints::OneLevel => {
                    "that is with the top of footing as it is given (one_level.top_of_footing)"
                        .to_owned()
                }
                _ => format!(
                    "that is on level {}, the lowest of the job ({})",
                    module.lowest,
                    module.key("lowest")
                ),
            });
        for stretch in stretches {
            let (from, to) = (show(&stretch.from), show(&stretch.to));
            problem = problem.detail(format!("from running station {from} to {to}"));
        }
        problem.help(if worst.at_lowest {
            let key = module.key("lowest");
            format!("lower {key} or the top of the wall, or more fill in front of it; ask the engineer")
        } else {
            "add a type for the taller stem, lower the top of the wall, or more fill in front of it; ask the engineer".to_owned()
        })
    }

    fn rules(&self, furthest: Nm) -> Problem {
        let (rules, locks) = (&self.site.rules, self.site.locks.len());
        let mut problem = Problem::error(format!(
            "joints, shortest run and riser rules leave no legal layout beyond {}",
            (self.place)(furthest)
        ))
        .detail(format!(
            "shortest run {}, {}",
            self.length(rules.shortest_run),
            rules.asked_of_risers(|length| self.length(length)),
        ));
        if locks > 0 {
            problem = problem.detail(counted(
                locks,
                "lock set by hand narrows it further",
                "locks set by hand narrow it further",
            ));
        }
        problem.help("a shorter run, a higher riser, a no-step zone or a lock less would open the way; ask the engineer")
    }
}
