//! Verticals on the earth face and the dowels that they lap with.

use super::group::{BarGroup, BarRole, spread};
use super::spec::SteelSpec;
use crate::footing::Layout;
use crate::measure::Nm;

/// For each stem piece: bars over its earth face from the footing up to the top's cover, and a dowel for each.
pub(super) fn verticals(layout: &Layout, spec: &SteelSpec, groups: &mut Vec<BarGroup>) {
    let site = &layout.site;
    for piece in &layout.stems {
        let bars = &spec.types[piece.kind];
        let (from, to) = layout.earth_face(piece);
        let length = to - from;
        let first = spec.first_bar(site, piece.wall, (from, to), "vertical", bars.vertical_spacing);
        let row = spread(length, bars.vertical_spacing, first);
        let height = (piece.height() - spec.rules.top_cover).max(Nm::ZERO);
        let lap = spec.bars[bars.vertical].lap;
        let group = |role, legs: Vec<Nm>| BarGroup {
            role,
            wall: piece.wall,
            from: piece.from,
            to: piece.to,
            kind: Some(piece.kind),
            bar: bars.vertical,
            count: if height > Nm::ZERO { row.count } else { 0 },
            length: legs.iter().fold(Nm::ZERO, |sum, leg| sum + *leg),
            pieces: 1,
            legs,
            spread: length,
            first: Some(from + row.first - site.chain.walls()[piece.wall].station),
            gap: row.gap.clone(),
            elevation: None,
            counted: true,
        };
        groups.push(group(BarRole::Vertical, vec![height]));
        groups.push(group(BarRole::Dowel, vec![lap + bars.embedment, bars.foot_leg]));
    }
}
