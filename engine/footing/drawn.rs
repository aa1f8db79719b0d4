//! The steps as the plan draws them: taken as given, priced by the same rules, every broken rule listed.

use num_rational::BigRational;

use super::cost::{Costs, StepShape};
use super::explain::too_low;
use super::hooks::AskedAt;
use super::rules::{BrokenRule, RiserPlace};
use super::{CellAt, Joints, Layout, Site, Step, Stretch, WallGrid};
use crate::measure::{Nm, Real};
use crate::problem::{Outcome, Problem};
use crate::survey::{Governs, governing};

/// A run as drawn, up to the next one's start.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DrawnRun {
    /// Running station of its start.
    pub from: Nm,
    /// Top of footing.
    pub tof: Nm,
    /// Index of the wall type.
    pub kind: usize,
}

/// What the plan draws.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Drawn {
    /// Its runs, by ascending running station, the first at 0.
    pub runs: Vec<DrawnRun>,
    /// Overlaps by running station of their riser; without one, what the rules ask for.
    pub overlaps: Vec<(Nm, Nm)>,
}

/// A rule that the drawn steps break, or a remark on them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Finding {
    /// There is a riser, and the wall case does not step.
    Steps,
    /// The riser is on no joint.
    OffJoint {
        /// The nearest joint, local.
        nearest: Nm,
        /// How far beyond it the riser stands.
        off: Nm,
    },
    /// The riser breaks a rule by itself.
    Riser(BrokenRule),
    /// The top of footing is on no level of the job.
    Level {
        /// The top of footing.
        tof: Nm,
        /// The nearest level.
        nearest: Nm,
    },
    /// The stem has no height, or is taller than its type carries.
    Stem {
        /// Its height.
        height: Nm,
        /// What the type carries.
        limit: Nm,
        /// Index of the drawn type.
        drawn: usize,
    },
    /// The overlap is too short.
    Overlap {
        /// As drawn.
        overlap: Nm,
        /// What the rules ask for.
        needed: Nm,
        /// Square of the concrete through the step.
        throat_squared: i128,
        /// The throat asked for.
        throat: Nm,
    },
    /// The run is too short.
    RunLength {
        /// Its length.
        length: Nm,
    },
    /// The strips at its ends leave nothing of a run.
    Strip,
    /// The upper bottom is not higher than the lower one.
    BottomOrder {
        /// The lower footing's bottom.
        low: Nm,
        /// The upper footing's bottom.
        high: Nm,
    },
    /// The bottom is over the required line.
    TooHigh(Box<TooHigh>),
    /// A remark: the drawn type is not the schedule's for this stem.
    TypeDiffers {
        /// Stem height.
        height: Nm,
        /// Index of the drawn type.
        drawn: usize,
        /// Index of the schedule's.
        schedule: usize,
    },
}

/// A stretch of the bottom that is over the required line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TooHigh {
    /// Running station of its start, in nanometres.
    pub from: BigRational,
    /// Running station of its end, in nanometres.
    pub to: BigRational,
    /// Running station of the worst place.
    pub worst: Nm,
    /// Bottom of footing there.
    pub bof: Nm,
    /// What is required there, in nanometres.
    pub required: BigRational,
    /// How much too high it is, in nanometres.
    pub short: BigRational,
    /// What governs there.
    pub governs: Governs,
}

/// A finding with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DrawnFinding {
    /// Running station.
    pub station: Nm,
    /// Index of the wall.
    pub wall: usize,
    /// What it is.
    pub finding: Finding,
}

/// The drawn layout with what was found about it.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnLayout {
    /// The layout, as quantities are taken from.
    pub layout: Layout,
    /// Cost of the stretches alone, in 1e-9 of the currency.
    pub stretches_cost: i128,
    /// Broken rules, in order along the walls.
    pub faults: Vec<DrawnFinding>,
    /// Remarks.
    pub notes: Vec<DrawnFinding>,
}

impl Finding {
    /// Its name for machines.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Steps => "steps",
            Self::OffJoint { .. } => "off_joint",
            Self::Riser(broken) => broken.rule.code,
            Self::Level { .. } => "level",
            Self::Stem { .. } => "stem",
            Self::Overlap { .. } => "overlap",
            Self::RunLength { .. } => "run_length",
            Self::Strip => "strip",
            Self::BottomOrder { .. } => "bottom_order",
            Self::TooHigh(_) => "too_high",
            Self::TypeDiffers { .. } => "type_differs",
        }
    }

    /// Its rank among findings at one place.
    fn rank(&self) -> usize {
        match self {
            Self::Steps | Self::OffJoint { .. } => 0,
            Self::Riser(broken) => broken.rule.rank,
            Self::Level { .. } => 3,
            Self::Stem { .. } => 5,
            Self::Overlap { .. } => 6,
            Self::RunLength { .. } => 7,
            Self::Strip => 8,
            Self::BottomOrder { .. } => 9,
            Self::TooHigh(_) | Self::TypeDiffers { .. } => 10,
        }
    }
}

/// Lays out the steps as drawn and tests every rule; equality meets a rule.
///
/// # Errors
/// The runs leave a gap at the start or do not ascend, an overlap belongs to no riser, a ring does not close.
pub fn as_drawn(site: &Site, drawn: &Drawn) -> Outcome<DrawnLayout> {
    check(site, drawn)?;
    let stretches = stretches(site, drawn);
    let costs = Costs::new(site);
    let mut stretches_cost = 0;
    for stretch in &stretches {
        stretches_cost += costs.stretch(stretch, &costs.over(stretch.from, stretch.to))?;
    }
    let mut steps = Vec::new();
    for pair in stretches.windows(2).filter(|pair| pair[0].tof != pair[1].tof) {
        steps.push(step(&costs, drawn, &stretches, &pair[0], &pair[1])?);
    }
    if let Some((station, _)) =
        drawn.overlaps.iter().find(|(at, _)| !steps.iter().any(|step| step.station == *at))
    {
        return Err(Problem::error(format!(
            "an overlap is drawn at running station {}, where no riser is",
            site.system.tape(*station, 16)
        ))
        .help("an overlap stands at the start of a run whose top of footing differs from the run before")
        .into());
    }
    for (index, (station, _)) in drawn.overlaps.iter().enumerate() {
        if drawn.overlaps[..index].iter().any(|(at, _)| at == station) {
            return Err(Problem::error(format!(
                "two overlaps are drawn at running station {}",
                site.system.tape(*station, 16)
            ))
            .help("keep the one that the plan shows")
            .into());
        }
    }
    let end = site.chain.length();
    if let Some(step) = steps.iter().find(|step| step.cut() < Nm::ZERO || step.cut() > end) {
        return Err(Problem::error(format!(
            "the overlap of the step at running station {} is {}: its step in the subgrade would lie beyond the end of the walls",
            site.system.tape(step.station, 16),
            site.system.tape(step.overlap, 16)
        ))
        .help("correct the overlap or the station of the run")
        .into());
    }
    let cost = stretches_cost + steps.iter().map(|step| step.cost).sum::<i128>();
    if let Some(faults) = site.hooks.fault() {
        return Err(faults);
    }
    let layout = Layout::new(site, stretches, steps, cost, None, Vec::new());
    let mut faults = Vec::new();
    joints_and_steps(&layout, &mut faults);
    runs(&layout, &mut faults);
    let notes = stems(&layout, &mut faults);
    too_high(&layout, &mut faults);
    faults.sort_by_key(|found: &DrawnFinding| (found.station, found.finding.rank()));
    Ok(DrawnLayout { layout, stretches_cost, faults, notes })
}

fn check(site: &Site, drawn: &Drawn) -> Outcome<()> {
    let first = drawn.runs.first().map(|run| run.from);
    if first != Some(Nm::ZERO) {
        let to = first.unwrap_or(site.chain.length());
        return Err(Problem::error(format!(
            "the drawn layout has a gap: nothing is drawn from the start to running station {}",
            site.system.tape(to, 16)
        ))
        .help(
            "each run goes up to the next one's start; the first starts at the start of the walls",
        )
        .into());
    }
    if let Some(pair) = drawn.runs.windows(2).find(|pair| pair[0].from >= pair[1].from) {
        return Err(Problem::error(format!(
            "drawn runs are not in order along the walls: one starts at {}, the next at {}",
            site.system.tape(pair[0].from, 16),
            site.system.tape(pair[1].from, 16)
        ))
        .help("list the runs along the walls, each start once")
        .into());
    }
    let ends = drawn.runs.first().zip(drawn.runs.last());
    if site.chain.closed() && ends.is_some_and(|(first, last)| first.tof != last.tof) {
        return Err(Problem::error(
            "on a closed ring the last drawn run joins the first: both need one top of footing",
        )
        .help("add the step where the plan has it")
        .into());
    }
    Ok(())
}

/// The cells of the grid, cut at every drawn start.
fn stretches(site: &Site, drawn: &Drawn) -> Vec<Stretch> {
    let mut list = Vec::new();
    for cell in &site.grid.cells {
        let inner = drawn.runs.iter().map(|run| run.from);
        let mut edges: Vec<Nm> = inner.filter(|at| cell.from < *at && *at < cell.to).collect();
        edges.insert(0, cell.from);
        edges.push(cell.to);
        for pair in edges.windows(2) {
            let after = drawn.runs.partition_point(|run| run.from <= pair[0]);
            let run = drawn.runs[after - 1];
            let bottom = run.tof - site.types[run.kind].thickness;
            let (from, to, tof, kind) = (pair[0], pair[1], run.tof, run.kind);
            let (wall, top) = (cell.wall, cell.top.part((cell.from, cell.to), from, to));
            list.push(Stretch { wall, from, to, top, tof, kind, bottom });
        }
    }
    list
}

fn step(
    costs: &Costs,
    drawn: &Drawn,
    stretches: &[Stretch],
    a: &Stretch,
    b: &Stretch,
) -> Outcome<Step> {
    let site = costs.site();
    let (low, high) = if b.tof > a.tof { (a, b) } else { (b, a) };
    let side = |s: &Stretch| CellAt { kind: s.kind, bottom: s.bottom };
    let given = drawn.overlaps.iter().find(|(at, _)| *at == b.from).map(|(_, overlap)| *overlap);
    let overlap = given
        .unwrap_or_else(|| site.overlap_of(AskedAt::at(b.wall, b.from), side(low), side(high)));
    let mut step = Step {
        wall: b.wall,
        station: b.from,
        overlap,
        tof_before: a.tof,
        tof_after: b.tof,
        bof_low: low.bottom,
        bof_high: high.bottom,
        low_type: low.kind,
        high_type: high.kind,
        cost: 0,
    };
    let strip = step.strip();
    let upper: Vec<_> = stretches
        .iter()
        .filter(|s| s.from < strip.1 && strip.0 < s.to)
        .map(|s| (side(s), costs.over(s.from.max(strip.0), s.to.min(strip.1))))
        .collect();
    let shape = StepShape {
        rise: step.rise(),
        overlap,
        low: side(low),
        high: side(high),
        at: AskedAt::at(b.wall, b.from),
    };
    step.cost = costs.step(&shape, &costs.over(strip.0, strip.1), &upper)?;
    Ok(step)
}

fn found(wall: usize, station: Nm, finding: Finding) -> DrawnFinding {
    DrawnFinding { station, wall, finding }
}

fn joints_and_steps(layout: &Layout, faults: &mut Vec<DrawnFinding>) {
    let site = &layout.site;
    let rules = &site.rules;
    for step in &layout.steps {
        let mut add = |finding| faults.push(found(step.wall, step.station, finding));
        let local = step.station - site.chain.walls()[step.wall].station;
        if site.module.joints == Joints::OneLevel {
            add(Finding::Steps);
            continue;
        }
        let WallGrid { joints, allowed, .. } = &site.grid.walls[step.wall];
        let joints = joints.iter().chain(allowed).copied();
        if let Some(nearest) = joints.min_by_key(|joint| (*joint - local).abs())
            && nearest != local
        {
            add(Finding::OffJoint { nearest, off: local - nearest });
        }
        let place = RiserPlace::new(&site.chain, step.wall, local, site.module.rise);
        for broken in rules.broken_by(place.with_rise(step.rise())) {
            add(Finding::Riser(broken));
        }
        let drop = (step.tof_before.min(step.tof_after) - step.bof_high).max(Nm::ZERO);
        let throat = site.throat(step.high_type);
        let throat_squared = step.overlap.wide() * step.overlap.wide() + drop.wide() * drop.wide();
        if step.overlap < rules.overlap_min || throat_squared < throat.wide() * throat.wide() {
            let side = |kind, bottom| CellAt { kind, bottom };
            let needed = site.needed_overlap(
                side(step.low_type, step.bof_low),
                side(step.high_type, step.bof_high),
            );
            let overlap = step.overlap;
            add(Finding::Overlap { overlap, needed, throat_squared, throat });
        }
        if step.bof_high <= step.bof_low {
            add(Finding::BottomOrder { low: step.bof_low, high: step.bof_high });
        }
    }
}

fn runs(layout: &Layout, faults: &mut Vec<DrawnFinding>) {
    let site = &layout.site;
    let end = site.chain.length();
    let count = layout.steps.len();
    for run in 0..=count {
        let left = run.checked_sub(1).map(|index| &layout.steps[index]);
        let right = layout.steps.get(run);
        let (from, to) = (left.map_or(Nm::ZERO, |s| s.station), right.map_or(end, |s| s.station));
        let wall = site.chain.wall_at(from);
        let mut add = |finding| faults.push(found(wall, from, finding));
        let tof = left.map_or_else(|| layout.stretches[0].tof, |step| step.tof_after);
        if site.module.level_of(tof).is_none() {
            let levels = site.module.levels().map(|level| site.module.top_of_footing(level));
            let nearest = levels.min_by_key(|level| (*level - tof).abs()).unwrap_or(tof);
            add(Finding::Level { tof, nearest });
        }
        // Round a ring the last run goes on as the first.
        let wraps = site.chain.closed() && count > 0;
        let length = match (wraps, run) {
            (true, 0) => to + end - layout.steps[count - 1].station,
            (true, last) if last == count => continue,
            _ => to - from,
        };
        if length < site.rules.shortest_run {
            add(Finding::RunLength { length });
        }
        let left = if wraps && run == 0 { layout.steps.last() } else { left };
        let taken = left.filter(|s| s.up()).map_or(Nm::ZERO, |s| s.overlap)
            + right.filter(|s| !s.up()).map_or(Nm::ZERO, |s| s.overlap);
        if taken >= length {
            add(Finding::Strip);
        }
    }
}

fn stems(layout: &Layout, faults: &mut Vec<DrawnFinding>) -> Vec<DrawnFinding> {
    let site = &layout.site;
    let mut notes = Vec::new();
    // Once for each run and top, also where a top comes back within the run.
    let mut run = None;
    let mut tops: Vec<Nm> = Vec::new();
    for stretch in &layout.stretches {
        let here = (stretch.tof, stretch.kind);
        if run.replace(here) != Some(here) {
            tops.clear();
        }
        let top = stretch.top.high();
        if tops.contains(&top) {
            continue;
        }
        tops.push(top);
        let low = stretch.top.low() - stretch.tof;
        let height = if low < Nm::ZERO { low } else { top - stretch.tof };
        let limit = site.types[stretch.kind].stem_up_to;
        if height <= Nm::ZERO || height > limit {
            faults.push(found(
                stretch.wall,
                stretch.from,
                Finding::Stem { height, limit, drawn: stretch.kind },
            ));
        }
        let spot = AskedAt { wall: stretch.wall, from: stretch.from, to: stretch.to };
        match site.type_of(spot, height) {
            Some(schedule) if schedule != stretch.kind => {
                let finding = Finding::TypeDiffers { height, drawn: stretch.kind, schedule };
                notes.push(found(stretch.wall, stretch.from, finding));
            }
            _ => {}
        }
    }
    notes
}

fn too_high(layout: &Layout, faults: &mut Vec<DrawnFinding>) {
    let site = &layout.site;
    let depths = &site.rules.depths;
    let mut list: Vec<TooHigh> = Vec::new();
    for part in &layout.bottom {
        let thickness = site.types[part.kind].thickness;
        let bends = site.ground.bends(depths, thickness, part.from, part.to);
        for (from, to) in too_low(site, thickness, part.bof, part.from, part.to) {
            let within = |s: &&Nm| {
                let s = BigRational::length(**s);
                from <= s && s <= to
            };
            let mut worst: Option<TooHigh> = None;
            for station in bends.iter().filter(within) {
                let required = site.ground.required(depths, thickness, *station);
                let short = BigRational::length(part.bof) - &required;
                if worst.as_ref().is_none_or(|worst| short > worst.short) {
                    let governs = match governing(&site.ground, depths, thickness, *station) {
                        Governs::Both => Governs::Frost,
                        one => one,
                    };
                    let (from, to) = (from.clone(), to.clone());
                    let (worst_at, bof) = (*station, part.bof);
                    worst =
                        Some(TooHigh { from, to, worst: worst_at, bof, required, short, governs });
                }
            }
            let Some(new) = worst else { continue };
            match list.last_mut() {
                Some(last) if last.to >= new.from => {
                    let (from, to) = (last.from.clone(), new.to.clone());
                    if new.short > last.short {
                        *last = new;
                    }
                    (last.from, last.to) = (from, to);
                }
                _ => list.push(new),
            }
        }
    }
    for stretch in list {
        use num_traits::ToPrimitive;
        let station = Nm(stretch.from.floor().to_integer().to_i64().unwrap_or(0));
        let wall = site.chain.wall_at(station);
        faults.push(found(wall, station, Finding::TooHigh(Box::new(stretch))));
    }
}
