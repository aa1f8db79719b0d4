//! Horizontal rows of the stem and the bars round its corners.

use super::group::{BarGroup, BarRole, lapped};
use super::spec::SteelSpec;
use crate::footing::{Layout, StemPiece};
use crate::measure::Nm;
use crate::survey::EndKind;

/// Elevations of the rows strictly between two elevations.
fn elevations(layout: &Layout, spec: &SteelSpec, low: Nm, high: Nm) -> impl Iterator<Item = Nm> {
    let first = layout.site.module.level_0 + spec.rules.first_row;
    let spacing = spec.rules.row_spacing;
    let from = (low - first).0.div_euclid(spacing.0) + 1;
    (from..).map(move |k| first + spacing * k).take_while(move |z| *z < high)
}

/// Whether a row runs through a stem piece.
fn holds(piece: &StemPiece, z: Nm) -> bool {
    piece.tof < z && z < piece.top.low()
}

/// Each row along the stem pieces that it runs through, end cover where it ends at no corner.
pub(super) fn horizontals(layout: &Layout, spec: &SteelSpec, groups: &mut Vec<BarGroup>) {
    let site = &layout.site;
    for wall in 0..site.chain.walls().len() {
        let pieces: Vec<&StemPiece> =
            layout.stems.iter().filter(|piece| piece.wall == wall).collect();
        let low = pieces.iter().map(|piece| piece.tof).min();
        let high = pieces.iter().map(|piece| piece.top.high()).max();
        let (Some(low), Some(high)) = (low, high) else { continue };
        let line = &site.chain.walls()[wall];
        let corner = |at: Nm| {
            at == line.station && site.chain.start_kind(wall) != EndKind::Free
                || at == line.station + line.length && site.chain.end_kind(wall) != EndKind::Free
        };
        for z in elevations(layout, spec, low, high) {
            let mut parts: Vec<(Nm, Nm)> = Vec::new();
            for piece in pieces.iter().filter(|piece| holds(piece, z)) {
                match parts.last_mut() {
                    Some(last) if last.1 == piece.from => last.1 = piece.to,
                    _ => parts.push((piece.from, piece.to)),
                }
            }
            for (nth, (from, to)) in parts.into_iter().enumerate() {
                let covered = [from, to].into_iter().filter(|at| !corner(*at)).count();
                let covers = spec.rules.end_cover * i64::try_from(covered).unwrap_or(0);
                let length = to - from - covers;
                let bar = spec.rules.horizontal;
                groups.push(BarGroup {
                    role: BarRole::Horizontal,
                    wall,
                    from,
                    to,
                    kind: None,
                    bar,
                    count: i64::from(length > Nm::ZERO),
                    length,
                    pieces: lapped(length, spec.longest_stock(), spec.bars[bar].lap),
                    legs: vec![length],
                    spread: Nm::ZERO,
                    first: None,
                    gap: None,
                    elevation: Some(z),
                    counted: nth == 0,
                });
            }
        }
    }
}

/// At each corner one bar for each row that both walls have there; between chords too, where rows would else end at every one.
pub(super) fn corners(layout: &Layout, spec: &SteelSpec, groups: &mut Vec<BarGroup>) {
    for corner in layout.site.chain.corners() {
        let before = layout.stems.iter().rev().find(|piece| piece.wall == corner.before);
        let after = layout.stems.iter().find(|piece| piece.wall == corner.after);
        let (Some(before), Some(after)) = (before, after) else { continue };
        let (low, high) = (before.tof.max(after.tof), before.top.at_to.min(after.top.at_from));
        let rows = elevations(layout, spec, low, high).count();
        let lap = spec.bars[spec.rules.corner].lap;
        groups.push(BarGroup {
            role: BarRole::WallCorner,
            wall: corner.after,
            from: after.from,
            to: after.from,
            kind: None,
            bar: spec.rules.corner,
            count: i64::try_from(rows).unwrap_or(0),
            length: lap * 2,
            pieces: 1,
            legs: vec![lap, lap],
            spread: Nm::ZERO,
            first: None,
            gap: None,
            elevation: None,
            counted: true,
        });
    }
}
