//! Where the work of two structures meets in plan: digs that run into each other, footings that lie over each other.

use num_rational::BigRational;

use super::solid::{Dig, LaybackFrom};
use crate::footing::{Layout, product};
use crate::measure::Nm;
use crate::measure::round::nearest_ratio;

/// A stretch of a structure in plan, with the elevations between which it is.
#[derive(Debug, Clone, PartialEq)]
struct Slab {
    /// Running station of its start.
    station: Nm,
    /// Corners, in order round it, east and north in feet.
    corners: Vec<(f64, f64)>,
    low: f64,
    high: f64,
}

/// Where two structures meet.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Meeting {
    /// Running station of the first of the two where their digs first meet.
    pub digs: Option<Nm>,
    /// Concrete that is in the footings of both, in cubic feet.
    pub footings: f64,
}

#[expect(clippy::cast_precision_loss, reason = "compared to a hundredth of a foot")]
fn feet(length: Nm) -> f64 {
    length.0 as f64 / Nm::FOOT.0 as f64
}

/// A strip beside a wall, from one local station to another.
fn slab(layout: &Layout, wall: usize, ends: (Nm, Nm), across: (Nm, Nm), levels: (Nm, Nm)) -> Slab {
    let chain = &layout.site.chain;
    let at = |local, offset| {
        let point = chain.point_beside(wall, local, offset);
        (feet(point.e), feet(point.n))
    };
    Slab {
        station: chain.walls()[wall].station + ends.0,
        corners: vec![
            at(ends.0, across.0),
            at(ends.1, across.0),
            at(ends.1, across.1),
            at(ends.0, across.1),
        ],
        low: feet(levels.0),
        high: feet(levels.1),
    }
}

fn footings(layout: &Layout) -> Vec<Slab> {
    let piece = |piece: &crate::footing::FootingPiece| {
        let start = layout.site.chain.walls()[piece.wall].station;
        let across = layout.site.types[piece.kind].across();
        let ends = (piece.from - start, piece.to - start);
        slab(layout, piece.wall, ends, across, (piece.bof, piece.tof))
    };
    layout.footings.iter().map(piece).collect()
}

/// The digs at the ground, banks and all; walls and stretches by themselves.
fn digs(layout: &Layout, layback: &BigRational, from: LaybackFrom) -> Vec<Slab> {
    let dig = Dig::of(layout, layback, from);
    let floor = |floor: &super::solid::Floor| {
        let start = layout.site.chain.walls()[floor.wall].station;
        let ground = dig.existing.highest(start + floor.from, start + floor.to);
        let deep = (ground - dig.foot(floor)).max(Nm::ZERO);
        let bank = nearest_ratio(&(layback * product(&[deep])));
        let bank = Nm(i64::try_from(bank).unwrap_or(i64::MAX));
        let low = Nm::ZERO - floor.toe - dig.work_space.toe;
        let high = floor.width - floor.toe + dig.work_space.heel + bank;
        let ends = (floor.from, floor.to);
        slab(layout, floor.wall, ends, (low, high), (floor.bof, ground.max(floor.bof)))
    };
    dig.floors.iter().map(floor).collect()
}

/// Twice the area of a polygon, positive where it turns left.
fn twice_area(corners: &[(f64, f64)]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum()
}

/// Area that two convex polygons have in common.
fn common_area(one: &[(f64, f64)], other: &[(f64, f64)]) -> f64 {
    let turn = if twice_area(other) < 0.0 { -1.0 } else { 1.0 };
    let mut left = one.to_vec();
    for (a, b) in other.iter().zip(other.iter().cycle().skip(1)) {
        let side = |p: &(f64, f64)| turn * ((b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0));
        let mut kept = Vec::new();
        for (p, q) in left.iter().zip(left.iter().cycle().skip(1)) {
            let (from, to) = (side(p), side(q));
            if from >= 0.0 {
                kept.push(*p);
            }
            if from * to < 0.0 {
                let along = from / (from - to);
                kept.push((p.0 + (q.0 - p.0) * along, p.1 + (q.1 - p.1) * along));
            }
        }
        left = kept;
    }
    twice_area(&left).abs() / 2.0
}

/// How two slabs lie over each other: area in plan, and height.
fn common(one: &Slab, other: &Slab) -> (f64, f64) {
    let height = one.high.min(other.high) - one.low.max(other.low);
    let area = if height > 0.0 { common_area(&one.corners, &other.corners) } else { 0.0 };
    (area, height)
}

/// Less than this in common, in square feet, is no meeting: footings that touch.
const TOUCHES: f64 = 0.01;

/// Where the work of two layouts meets; `layback` and `from` are those of each.
///
/// What it takes the digs for is a strip of each stretch as wide as at the ground, without banks of ends and steps.
pub fn meeting(
    one: (&Layout, &BigRational, LaybackFrom),
    other: (&Layout, &BigRational, LaybackFrom),
) -> Meeting {
    let mut meeting = Meeting::default();
    let others = digs(other.0, other.1, other.2);
    for dug in digs(one.0, one.1, one.2) {
        // At any depth: the upper of two digs lies over the bank of the lower.
        if others.iter().any(|beside| common_area(&dug.corners, &beside.corners) > TOUCHES) {
            let here = meeting.digs.map_or(dug.station, |first| first.min(dug.station));
            meeting.digs = Some(here);
        }
    }
    let others = footings(other.0);
    for piece in footings(one.0) {
        for beside in &others {
            let (area, height) = common(&piece, beside);
            if area > TOUCHES {
                meeting.footings += area * height;
            }
        }
    }
    meeting
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn areas_in_common() {
        let square = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)];
        let beside = [(3.0, 1.0), (7.0, 1.0), (7.0, 2.0), (3.0, 2.0)];
        let turned: Vec<(f64, f64)> = beside.iter().rev().copied().collect();
        let diamond = [(4.0, 2.0), (6.0, 4.0), (4.0, 6.0), (2.0, 4.0)];
        assert!((common_area(&square, &beside) - 1.0).abs() < 1e-12);
        assert!((common_area(&square, &turned) - 1.0).abs() < 1e-12);
        assert!((common_area(&square, &diamond) - 2.0).abs() < 1e-12);
        assert!(common_area(&square, &[(5.0, 0.0), (6.0, 0.0), (6.0, 1.0)]).abs() < 1e-12);
    }
}
