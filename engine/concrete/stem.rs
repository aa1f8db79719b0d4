//! Stem concrete.

use super::corner::{corner_part, oblique_corner};
use crate::footing::{Layout, Part, StemPiece, local, product};
use crate::measure::{Dimension, Exact, Nm};
use crate::survey::Corner;

/// Straight runs: stem thickness x height x length of the exposed face.
pub fn stem_runs(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let piece = |piece: &StemPiece| {
        let stem = site.walls[piece.wall].stem;
        let length = piece.to - piece.from;
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        Part {
            wall,
            from,
            to,
            what: format!("stem {}", site.types[piece.kind].id),
            amount: Exact {
                value: product(&[stem, length]) * piece.mean_height(),
                dimension: Dimension::VOLUME,
            },
            how: format!(
                "{} x {} x {}",
                system.show(stem),
                piece.heights(system),
                system.show(length)
            ),
        }
    };
    layout.stems.iter().map(piece).collect()
}

/// Corners: at a square one the taller wall runs through, else each ends at the line from the exposed faces' corner to that
/// of the earth faces. The straight runs count a convex corner twice and miss a concave one.
pub fn stem_corners(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let corner = |corner: &Corner| {
        let before = layout.stems.iter().rev().find(|piece| piece.wall == corner.before)?;
        let after = layout.stems.iter().find(|piece| piece.wall == corner.after)?;
        let (t_a, t_b) = (site.walls[corner.before].stem, site.walls[corner.after].stem);
        let heights = [before.ends()[1], after.ends()[0]];
        if !corner.turn.is_square() {
            let strips = [(Nm::ZERO, t_a), (Nm::ZERO, t_b)];
            let (value, how) = oblique_corner(site, corner, strips, heights);
            return Some(corner_part(site, corner, value, how));
        }
        let (height, words) = match corner.is_convex() {
            true => (heights[0].min(heights[1]), "less"),
            false => (heights[0].max(heights[1]), "more"),
        };
        let size = product(&[t_a, t_b, height]);
        let [t_a, t_b, height] = [t_a, t_b, height].map(|length| system.show(length));
        let value = if corner.is_convex() { -size } else { size };
        Some(corner_part(site, corner, value, format!("{t_a} x {t_b} x {height} {words}")))
    };
    site.chain.corners().iter().filter_map(corner).collect()
}
