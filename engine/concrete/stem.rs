//! Stem concrete.

use num_rational::BigRational;

use crate::footing::{Layout, Part, StemPiece, corner_words, local, product};
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

/// Corners: the taller wall runs through. The straight runs count a convex corner twice and miss a concave one.
pub fn stem_corners(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let corner = |corner: &Corner| {
        let before = layout.stems.iter().rev().find(|piece| piece.wall == corner.before)?;
        let after = layout.stems.iter().find(|piece| piece.wall == corner.after)?;
        let (t_a, t_b) = (site.walls[corner.before].stem, site.walls[corner.after].stem);
        let (a, b) = ((Nm::ZERO, t_a), (Nm::ZERO, t_b));
        let (of_a, of_b) = (corner.beyond_face(a, b), corner.beyond_face(b, a));
        let crossing = corner.crossing(a, b);
        let taller = before.height().max(after.height());
        let times = |height: Nm, area: &BigRational| product(&[height]) * area;
        let value =
            times(before.height(), &of_a) + times(after.height(), &of_b) + times(taller, &crossing);
        let ids = [corner.before, corner.after].map(|wall| site.chain.walls()[wall].id.clone());
        let at = site.chain.walls()[corner.before].length;
        let how = match corner.turn.is_square() {
            true => {
                let (height, words) = match corner.is_convex() {
                    true => (before.height().min(after.height()), "less"),
                    false => (taller, "more"),
                };
                let [t_a, t_b, height] = [t_a, t_b, height].map(|length| system.show(length));
                format!("{t_a} x {t_b} x {height} {words}")
            }
            false => corner_words(
                site,
                corner.turn,
                [(before.height(), &of_a), (after.height(), &of_b), (taller, &crossing)],
            ),
        };
        Some(Part {
            wall: ids.join("/"),
            from: at,
            to: at,
            what: format!("{} corner", corner.kind.name()),
            amount: Exact { value, dimension: Dimension::VOLUME },
            how,
        })
    };
    site.chain.corners().iter().filter_map(corner).collect()
}
