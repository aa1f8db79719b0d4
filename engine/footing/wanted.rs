//! A step that somebody wants at a station: the nearest joints of the job's grid on both sides that may have it, and why
//! those between may not.

use super::hooks::AskedAt;
use super::locks::{Lock, LockKind};
use super::rules::RiserPlace;
use super::{CellAt, Joints, Site};
use crate::measure::{Length, Nm};
use crate::problem::Problem;

/// What is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WantedStep {
    /// Index of the wall.
    pub wall: usize,
    /// Station on it.
    pub at: Nm,
    /// Top of footing before it.
    pub tof_before: Nm,
    /// Top of footing after it.
    pub tof_after: Nm,
}

/// A joint that may have the step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct AllowedJoint {
    at: Nm,
    overlap: Nm,
    low_bottom: Nm,
    high_bottom: Nm,
}

/// The joints beside a wanted step that may have it.
#[derive(Debug, Clone, PartialEq)]
pub struct StepNear {
    /// The nearest at or before the wanted station, on its wall; none where no joint there may have it.
    pub before: Option<Length>,
    /// Overlap there.
    pub before_overlap: Option<Length>,
    /// The nearest after it.
    pub after: Option<Length>,
    /// Overlap there.
    pub after_overlap: Option<Length>,
    /// The nearer of both.
    pub nearest: Option<Length>,
    /// Bottom of the lower footing at the nearer joint.
    pub bof_low: Option<Length>,
    /// Bottom of the upper footing there.
    pub bof_high: Option<Length>,
    /// Joints between them and the wanted station, each with what forbids it.
    pub why: String,
}

/// Looks for the joints on both sides.
///
/// # Errors
/// The station is not on the wall, a top of footing is on no level of the job, both are the same, or the wall case does not
/// step.
pub fn step_near(site: &Site, wanted: WantedStep) -> Result<StepNear, Problem> {
    let show = |length: Nm| site.system.tape(length, 16);
    site.chain.on_wall(wanted.wall, wanted.at)?;
    if site.module.joints == Joints::OneLevel {
        return Err(Problem::error("the wall case keeps the footing on one level"));
    }
    let level = |tof: Nm| {
        site.module.level_of(tof).ok_or_else(|| {
            let levels = site.module.levels().map(|level| site.module.top_of_footing(level));
            let near = levels.min_by_key(|level| (*level - tof).abs()).unwrap_or(tof);
            Problem::error(format!("{} is not a level of the job", site.system.show(tof)))
                .help(format!("the nearest is {}", site.system.show(near)))
        })
    };
    let (before, after) = (level(wanted.tof_before)?, level(wanted.tof_after)?);
    if before == after {
        return Err(Problem::error(
            "the top of footing is the same before and after: that is no step",
        ));
    }
    let search = Search { site, wanted, before, after };
    let joints = &site.grid.walls[wanted.wall].joints;
    let split = joints.partition_point(|joint| *joint <= wanted.at);
    let mut why = Vec::new();
    let first = |joints: &mut dyn Iterator<Item = Nm>| {
        let mut reasons = Vec::new();
        for joint in joints {
            match search.joint(joint) {
                Ok(allowed) => return (Some(allowed), reasons),
                Err(told) => reasons.push(format!("{}: {}", show(joint), told.join(", "))),
            }
        }
        (None, reasons)
    };
    let mut first = |joints: &mut dyn Iterator<Item = Nm>| {
        let (found, mut reasons) = first(joints);
        let more = reasons.len().saturating_sub(MOST_REASONS);
        reasons.truncate(MOST_REASONS);
        why.extend(reasons);
        if more > 0 {
            why.push(format!("and {more} more joints on this side"));
        }
        found
    };
    let low = first(&mut joints[..split].iter().rev().copied());
    let high = first(&mut joints[split..].iter().copied());
    let nearest =
        [low, high].into_iter().flatten().min_by_key(|joint| (joint.at - wanted.at).abs());
    let length = |nm: Nm| Length::exact(nm);
    Ok(StepNear {
        before: low.map(|joint| length(joint.at)),
        before_overlap: low.map(|joint| length(joint.overlap)),
        after: high.map(|joint| length(joint.at)),
        after_overlap: high.map(|joint| length(joint.overlap)),
        nearest: nearest.map(|joint| length(joint.at)),
        bof_low: nearest.map(|joint| length(joint.low_bottom)),
        bof_high: nearest.map(|joint| length(joint.high_bottom)),
        why: why.join("; "),
    })
}

/// Joints on one side whose reasons are listed.
const MOST_REASONS: usize = 6;

struct Search<'a> {
    site: &'a Site,
    wanted: WantedStep,
    before: i32,
    after: i32,
}

impl Search<'_> {
    /// Whether a joint may have the step, or what forbids it. Other steps are not looked at.
    fn joint(&self, at: Nm) -> Result<AllowedJoint, Vec<String>> {
        let site = self.site;
        let line = &site.chain.walls()[self.wanted.wall];
        let mut reasons = Vec::new();
        if at == Nm::ZERO || at == line.length {
            return Err(vec!["it is the end of the wall".to_owned()]);
        }
        let rise = (self.wanted.tof_after - self.wanted.tof_before).abs();
        let place =
            RiserPlace::new(&site.chain, self.wanted.wall, at, site.module.rise).with_rise(rise);
        let words = |length: Nm| site.system.tape(length, 16);
        reasons.extend(site.rules.broken_by(place).map(|broken| broken.words(words)));
        let station = line.station + at;
        let cells = &site.grid.cells;
        let right = cells.partition_point(|cell| cell.to <= station);
        let left = cells.partition_point(|cell| cell.to < station);
        let sides = [(left, self.before), (right, self.after)].map(|(cell, level)| {
            let tof = site.module.top_of_footing(level);
            site.at(cell, level).ok_or_else(|| {
                let stem = site.system.show(cells[cell].top.high() - tof);
                format!("no wall type for a stem of {stem}")
            })
        });
        reasons.extend(sides.iter().filter_map(|side| side.clone().err()));
        let [Ok(a), Ok(b)] = sides else { return Err(reasons) };
        let up = self.after > self.before;
        let (low, high) = if up { (a, b) } else { (b, a) };
        if high.bottom <= low.bottom {
            let show = |length| site.system.show(length);
            reasons.push(format!(
                "the upper bottom, {}, is not over the lower one, {}",
                show(high.bottom),
                show(low.bottom)
            ));
        }
        let overlap = site.overlap_of(AskedAt::at(self.wanted.wall, station), low, high);
        reasons.extend(self.locked(at));
        reasons.extend(self.too_high(station, overlap));
        match reasons.is_empty() {
            true => {
                Ok(AllowedJoint { at, overlap, low_bottom: low.bottom, high_bottom: high.bottom })
            }
            false => Err(reasons),
        }
    }

    /// What of the stretch between the joint and the wanted station is set by hand.
    fn locked(&self, at: Nm) -> Option<String> {
        let (from, to, tof) = self.moved(at);
        let against = |lock: &&Lock| {
            lock.wall == self.wanted.wall
                && lock.from < to
                && from < lock.to
                && match lock.kind {
                    LockKind::Riser => false,
                    LockKind::Tof(only) => only != tof,
                    LockKind::NotTof(never) => never == tof,
                }
        };
        self.site.locks.iter().find(against).map(|lock| format!("set by hand: {}", lock.why))
    }

    /// The stretch that another level has if the step stands at the joint, and its top of footing.
    fn moved(&self, at: Nm) -> (Nm, Nm, Nm) {
        match at <= self.wanted.at {
            true => (at, self.wanted.at, self.wanted.tof_after),
            false => (self.wanted.at, at, self.wanted.tof_before),
        }
    }

    /// Where the footing would not be deep enough: over the stretch whose level the step moves, and over the shortest run on
    /// both sides, which each level must have at least. Under the overlap the bottom is the lower one's.
    fn too_high(&self, station: Nm, overlap: Nm) -> Option<String> {
        let line = &self.site.chain.walls()[self.wanted.wall];
        let (start, end) = (line.station, line.station + line.length);
        let run = self.site.rules.shortest_run;
        let wanted = start + self.wanted.at;
        let up = self.after > self.before;
        let before =
            ((station - run).min(wanted).max(start), if up { station } else { station - overlap });
        let after =
            (if up { station + overlap } else { station }, (station + run).max(wanted).min(end));
        self.not_deep(before, self.before).or_else(|| self.not_deep(after, self.after))
    }

    /// Where a level would not be deep enough between two running stations.
    fn not_deep(&self, (from, to): (Nm, Nm), level: i32) -> Option<String> {
        let site = self.site;
        let start = site.chain.walls()[self.wanted.wall].station;
        if from >= to {
            return None;
        }
        for cell in site.cells_between(from, to) {
            let (low, high) =
                (from.max(site.grid.cells[cell].from), to.min(site.grid.cells[cell].to));
            let at: CellAt = site.at(cell, level)?;
            if low < high && !site.deep_enough(at, low, high) {
                let place = site.system.tape(low - start, 16);
                return Some(format!(
                    "from {place} on the bottom, {}, would be too high for frost or bearing",
                    site.system.show(at.bottom)
                ));
            }
        }
        None
    }
}
