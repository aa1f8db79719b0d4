//! Stem concrete.

use crate::footing::{Layout, Part, StemPiece, local, product};
use crate::measure::{Dimension, Exact};
use crate::survey::EndKind;

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
                value: product(&[stem, piece.height(), length]),
                dimension: Dimension::VOLUME,
            },
            how: format!(
                "{} x {} x {}",
                system.show(stem),
                system.show(piece.height()),
                system.show(length)
            ),
        }
    };
    layout.stems.iter().map(piece).collect()
}

/// Corners of 90 degrees: the straight runs count a convex corner twice and miss a concave one.
pub fn stem_corners(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let corner = |corner: &crate::survey::Corner| {
        let before = layout.stems.iter().rev().find(|piece| piece.wall == corner.before)?;
        let after = layout.stems.iter().find(|piece| piece.wall == corner.after)?;
        let (t_a, t_b) = (site.walls[corner.before].stem, site.walls[corner.after].stem);
        let convex = corner.kind == EndKind::Convex;
        let height = if convex {
            before.height().min(after.height())
        } else {
            before.height().max(after.height())
        };
        let size = product(&[t_a, t_b, height]);
        let ids = [corner.before, corner.after].map(|wall| site.chain.walls()[wall].id.clone());
        let at = site.chain.walls()[corner.before].length;
        Some(Part {
            wall: ids.join("/"),
            from: at,
            to: at,
            what: format!("{} corner", corner.kind.name()),
            amount: Exact {
                value: if convex { -size } else { size },
                dimension: Dimension::VOLUME,
            },
            how: format!(
                "{} x {} x {} {}",
                system.show(t_a),
                system.show(t_b),
                system.show(height),
                if convex { "less" } else { "more" }
            ),
        })
    };
    site.chain.corners().iter().filter_map(corner).collect()
}
