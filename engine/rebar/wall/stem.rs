//! Verticals on the earth face and the dowels that they lap with.

use super::group::{BarGroup, BarRole, Spread, spread};
use super::spec::SteelSpec;
use crate::footing::{Layout, StemPiece, System};
use crate::measure::round::nearest_ratio;
use crate::measure::{Nm, ratio};

/// For each stem piece: bars over its earth face from the footing up to the top's cover, and a dowel for each. Under a sloping
/// top the bars are spread over all of its panels, each as long as at the higher end of its own.
pub(super) fn verticals(layout: &Layout, spec: &SteelSpec, groups: &mut Vec<BarGroup>) {
    let site = &layout.site;
    for row in rows(&layout.stems) {
        let (Some(start), Some(end)) = (row.first(), row.last()) else { continue };
        let bars = &spec.types[start.kind];
        let (from, to) = (layout.earth_face(start).0, layout.earth_face(end).1);
        let ends = (from, to);
        let first = spec.first_bar(site, start.wall, ends, "vertical", bars.vertical_spacing);
        let spread = spread(to - from, bars.vertical_spacing, first);
        let lap = spec.bars[bars.vertical].lap;
        let mut placed = 0;
        for (at, piece) in row.iter().enumerate() {
            let last = at + 1 == row.len();
            // Bars that stand before the next piece.
            let up_to = if last { spread.count } else { before(&spread, piece.to - from) };
            let (count, nth) = ((up_to - placed).max(0), placed);
            placed = placed.max(up_to);
            let height =
                whole(layout, piece, (piece.height() - spec.rules.top_cover).max(Nm::ZERO));
            let offset = spread.gap.as_ref().map_or(Nm::ZERO, |gap| {
                let moved = nearest_ratio(&(gap * ratio(nth.into(), 1)));
                Nm(i64::try_from(moved).unwrap_or(0))
            });
            let group = |role, legs: Vec<Nm>| BarGroup {
                role,
                wall: piece.wall,
                from: piece.from,
                to: piece.to,
                kind: Some(piece.kind),
                bar: bars.vertical,
                count: if height > Nm::ZERO { count } else { 0 },
                length: legs.iter().fold(Nm::ZERO, |sum, leg| sum + *leg),
                pieces: 1,
                legs,
                spread: if row.len() == 1 { to - from } else { piece.to - piece.from },
                first: Some(from + spread.first + offset - site.chain.walls()[piece.wall].station),
                gap: spread.gap.clone(),
                elevation: None,
                counted: true,
            };
            groups.push(group(BarRole::Vertical, vec![height]));
            groups.push(group(BarRole::Dowel, vec![lap + bars.embedment, bars.foot_leg]));
        }
    }
}

/// The stem pieces by rows of bars: each by itself, but for the panels under one sloping top.
fn rows(stems: &[StemPiece]) -> Vec<Vec<&StemPiece>> {
    let mut rows: Vec<Vec<&StemPiece>> = Vec::new();
    for piece in stems {
        let goes_on = |last: &&StemPiece| {
            let same = (last.wall, last.tof, last.kind) == (piece.wall, piece.tof, piece.kind);
            let slope = !last.top.is_level() && !piece.top.is_level();
            same && slope && last.to == piece.from && last.top.at_to == piece.top.at_from
        };
        match rows.last_mut() {
            Some(row) if row.last().is_some_and(goes_on) => row.push(piece),
            _ => rows.push(vec![piece]),
        }
    }
    rows
}

/// How many bars of a row stand before a place.
fn before(row: &Spread, place: Nm) -> i64 {
    let Some(gap) = &row.gap else { return i64::from(row.first < place) };
    let over = ratio((place - row.first).wide(), 1) / gap;
    let whole = over.ceil().to_integer();
    i64::try_from(whole).unwrap_or(0).clamp(0, row.count)
}

/// The length of a vertical: under a sloping top down to a whole inch or centimetre, for lengths that no tape shows cannot be
/// cut from stock.
fn whole(layout: &Layout, piece: &StemPiece, length: Nm) -> Nm {
    let step = match layout.site.system {
        System::Us => Nm::INCH,
        System::Metric => Nm::MILLIMETRE * 10,
    };
    if piece.top.is_level() { length } else { Nm(length.0 - length.0.rem_euclid(step.0)) }
}
