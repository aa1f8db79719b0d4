//! Why no layout is legal: where the ground asks for less than any type can give, and by how much.

use num_rational::BigRational;
use num_traits::{Signed, Zero};

use super::{Joints, Site, type_for};
use crate::measure::{Nm, Real};
use crate::problem::{Faults, Problem};

/// A stretch of the chain where even the lowest level that has a type is too high.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TooLow {
    /// Chain station of its start, in nanometres.
    pub from: BigRational,
    /// Chain station of its end, in nanometres.
    pub to: BigRational,
}

/// The worst place of those stretches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shortfall {
    /// Chain station.
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
        /// The stretches, in chain order.
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
                Some(last) if last.1 == cell.from && last.2 == cell.top => last.1 = cell.to,
                _ => untyped.push((cell.from, cell.to, cell.top)),
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
                    next_stem: cell.top - site.module.top_of_footing(level - 1),
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

impl NoLayout {
    /// The explanation in words; lengths are printed by `show`, stations by `place`.
    pub fn problems(
        &self,
        site: &Site,
        show: impl Fn(&BigRational) -> String,
        place: impl Fn(Nm) -> String,
    ) -> Faults {
        let show_nm = |length: Nm| show(&BigRational::length(length));
        match self {
            Self::Fault(faults) => faults.clone(),
            Self::NoType(stretches) => {
                let all = stretches.iter().map(|(from, to, top)| {
                    let lowest = *top - site.module.top_of_footing(site.module.highest);
                    let highest = *top - site.module.top_of_footing(site.module.lowest);
                    let served = type_for(&site.types, highest);
                    Problem::error(format!("no wall type serves {} to {}", place(*from), place(*to)))
                        .detail(format!(
                            "the levels of the job give stems from {} to {}; the tallest type in job.toml carries {}",
                            show_nm(lowest),
                            show_nm(highest),
                            show_nm(site.types.last().map_or(Nm::ZERO, |row| row.stem_up_to)),
                        ))
                        .help(match served {
                            Some(_) => format!("lower {}", site.module.key("lowest")),
                            None => format!("add a type for that height, raise {} or correct the top; ask the engineer", site.module.key("highest")),
                        })
                });
                Faults::from(all.collect::<Vec<_>>())
            }
            Self::TooLow { stretches, worst } => {
                let mut problem = Problem::error(format!(
                    "the footing cannot be low enough near {}",
                    place(worst.station)
                ))
                .detail(format!(
                    "the required line asks for a bottom at {}; the lowest that the levels and wall types allow is {}, {} too high",
                    show(&worst.required),
                    show_nm(worst.lowest_bottom),
                    show(&worst.short_by),
                ))
                .detail(if worst.at_lowest {
                    match site.module.joints {
                        Joints::OneLevel => {
                            "that is with the top of footing as it is given (one_level.top_of_footing)"
                                .to_owned()
                        }
                        _ => format!(
                            "that is on level {}, the lowest of the job ({})",
                            site.module.lowest,
                            site.module.key("lowest")
                        ),
                    }
                } else {
                    format!(
                        "one level lower the stem is {}; the tallest type in job.toml carries {}",
                        show_nm(worst.next_stem),
                        show_nm(worst.tallest),
                    )
                });
                for stretch in stretches {
                    problem = problem.detail(format!(
                        "from chain {} to {}",
                        show(&stretch.from),
                        show(&stretch.to)
                    ));
                }
                problem
                    .help(if worst.at_lowest {
                        let key = site.module.key("lowest");
                        format!("lower {key} or the top of the wall, or more fill in front of it; ask the engineer")
                    } else {
                        "add a type for the taller stem, lower the top of the wall, or more fill in front of it; ask the engineer".to_owned()
                    })
                    .into()
            }
            Self::Rules(furthest) => {
                let mut problem = Problem::error(format!(
                    "joints, shortest run and riser rules leave no legal layout beyond {}",
                    place(*furthest)
                ))
                .detail(format!(
                    "shortest run {}, {}",
                    show_nm(site.rules.shortest_run),
                    site.rules.asked_of_risers(show_nm),
                ));
                if !site.locks.is_empty() {
                    problem = problem.detail(format!(
                        "{} lock(s) set by hand narrow it further",
                        site.locks.len()
                    ));
                }
                problem
                    .help("a shorter run, a higher riser, a no-step zone or a lock less would open the way; ask the engineer")
                    .into()
            }
        }
    }
}
