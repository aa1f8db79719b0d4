//! Bars of the footing: across, along, and from one footing to the next.

use super::group::{BarGroup, BarRole, lapped, spread};
use super::spec::SteelSpec;
use crate::footing::{FootingPiece, Layout};
use crate::measure::Nm;

/// A group without positions over a stretch.
fn group(role: BarRole, piece: &FootingPiece, bar: usize, count: i64, legs: Vec<Nm>) -> BarGroup {
    BarGroup {
        role,
        wall: piece.wall,
        from: piece.from,
        to: piece.to,
        kind: Some(piece.kind),
        bar,
        count,
        length: legs.iter().fold(Nm::ZERO, |sum, leg| sum + *leg),
        pieces: 1,
        legs,
        spread: piece.to - piece.from,
        first: None,
        gap: None,
        elevation: None,
        counted: true,
    }
}

/// Across each footing piece, ground cover at both ends.
pub(super) fn transverse(layout: &Layout, spec: &SteelSpec, groups: &mut Vec<BarGroup>) {
    for piece in &layout.footings {
        let bars = &spec.types[piece.kind];
        let (ends, spacing) = ((piece.from, piece.to), bars.transverse_spacing);
        let first = spec.first_bar(&layout.site, piece.wall, ends, "transverse", spacing);
        let row = spread(piece.to - piece.from, spacing, first);
        let width = layout.site.types[piece.kind].width - spec.rules.ground_cover * 2;
        let station = layout.site.chain.walls()[piece.wall].station;
        groups.push(BarGroup {
            first: Some(piece.from + row.first - station),
            gap: row.gap,
            ..group(
                BarRole::Transverse,
                piece,
                bars.transverse,
                if width > Nm::ZERO { row.count } else { 0 },
                vec![width],
            )
        });
    }
}

/// Along each footing piece, through the overlap of a step whose lower side it is, ground cover at both ends.
pub(super) fn longitudinal(layout: &Layout, spec: &SteelSpec, groups: &mut Vec<BarGroup>) {
    for piece in &layout.footings {
        let lower = |step: &&crate::footing::Step| {
            let begins = step.station == piece.from && !step.up();
            let ends = step.station == piece.to && step.up();
            begins || ends
        };
        let overlaps =
            layout.steps.iter().filter(lower).fold(Nm::ZERO, |sum, step| sum + step.overlap);
        let line = piece.to - piece.from + overlaps - spec.rules.ground_cover * 2;
        let size = spec.rules.longitudinal;
        let count = spec.types[piece.kind].longitudinals;
        let count = if line > Nm::ZERO { count } else { 0 };
        groups.push(BarGroup {
            pieces: lapped(line, spec.longest_stock(), spec.bars[size].lap),
            ..group(BarRole::Longitudinal, piece, size, count, vec![line])
        });
    }
}

/// From one footing piece to the next: over a change of type, round a corner, up a step.
pub(super) fn links(layout: &Layout, spec: &SteelSpec, groups: &mut Vec<BarGroup>) {
    let last = layout.footings.last().zip(layout.footings.first());
    let round = last.filter(|_| layout.site.chain.closed());
    let pairs = layout.footings.windows(2).map(|pair| (&pair[0], &pair[1]));
    for (a, b) in pairs.chain(round) {
        let count = |piece: &FootingPiece| spec.types[piece.kind].longitudinals;
        let least = count(a).min(count(b));
        let rules = &spec.rules;
        let (role, bar, rise) = match (a.wall == b.wall, a.tof == b.tof) {
            (_, false) => (BarRole::Step, rules.step, Some((a.bof - b.bof).abs())),
            (false, true) => (BarRole::FootingCorner, rules.corner, None),
            (true, true) => (BarRole::Link, rules.longitudinal, None),
        };
        let lap = spec.bars[bar].lap;
        let legs = match (role, rise) {
            (BarRole::Link, _) => vec![lap * 2],
            (_, Some(rise)) => vec![lap, rise, lap],
            _ => vec![lap, lap],
        };
        let at =
            BarGroup { from: b.from, to: b.from, wall: b.wall, ..group(role, a, bar, least, legs) };
        groups.push(BarGroup { spread: Nm::ZERO, ..at });
    }
}
