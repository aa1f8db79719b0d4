//! Footing concrete: straight runs, the overlaps of the steps, the corners.

use num_rational::BigRational;
use num_traits::Zero;

use crate::footing::{Layout, Part, corner_words, local, product};
use crate::measure::{Dimension, Exact, Nm};
use crate::survey::Corner;

fn volume(value: BigRational) -> Exact {
    Exact { value, dimension: Dimension::VOLUME }
}

/// Straight runs: width x thickness x length of each footing piece, measured along the exposed face.
pub fn footing_runs(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let piece = |piece: &crate::footing::FootingPiece| {
        let kind = &site.types[piece.kind];
        let length = piece.to - piece.from;
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        Part {
            wall,
            from,
            to,
            what: format!("run {}", kind.id),
            amount: volume(product(&[kind.width, kind.thickness, length])),
            how: format!(
                "{} x {} x {}",
                system.show(kind.width),
                system.show(kind.thickness),
                system.show(length)
            ),
        }
    };
    layout.footings.iter().map(piece).collect()
}

/// Overlaps: the lower footing's width x the overlap x the step of the bottom.
pub fn step_overlaps(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let step = |step: &crate::footing::Step| {
        let width = site.types[step.low_type].width;
        let drop = (step.bof_high - step.bof_low).max(Nm::ZERO);
        let (a, b) = step.strip();
        let (wall, from, to) = local(site, step.wall, a, b);
        Part {
            wall,
            from,
            to,
            what: "overlap".into(),
            amount: volume(product(&[width, step.overlap, drop])),
            how: format!(
                "{} x {} x {}",
                system.show(width),
                system.show(step.overlap),
                system.show(drop)
            ),
        }
    };
    layout.steps.iter().map(step).collect()
}

/// Corners: the thicker footing runs through, the other starts at its edge.
/// What the straight runs count too much or too little, as one signed volume a corner.
pub fn footing_corners(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let corner = |corner: &Corner| {
        let before = layout.footings.iter().rev().find(|piece| piece.wall == corner.before)?;
        let after = layout.footings.iter().find(|piece| piece.wall == corner.after)?;
        let (one, two) = (&site.types[before.kind], &site.types[after.kind]);
        let (a, b) = if one.thickness >= two.thickness { (one, two) } else { (two, one) };
        let of_a = corner.beyond_face(a.across(), b.across());
        let of_b = corner.beyond_face(b.across(), a.across());
        let crossing = corner.crossing(a.across(), b.across());
        let times = |thickness: Nm, area: &BigRational| product(&[thickness]) * area;
        let value = times(a.thickness, &(&of_a + &crossing)) + times(b.thickness, &of_b);
        let ids = [corner.before, corner.after].map(|wall| site.chain.walls()[wall].id.clone());
        let at = site.chain.walls()[corner.before].length;
        let how = match corner.turn.is_square() {
            true => {
                let (plus, minus) = match corner.is_convex() {
                    true => (b.toe, a.width - a.toe),
                    false => (b.width - b.toe, a.toe),
                };
                format!(
                    "{} x {} x {} more, {} x {} x {} less",
                    system.show(a.width),
                    system.show(a.thickness),
                    system.show(plus),
                    system.show(b.width),
                    system.show(b.thickness),
                    system.show(minus)
                )
            }
            false => corner_words(
                site,
                corner.turn,
                [(a.thickness, &of_a), (b.thickness, &of_b), (a.thickness, &crossing)],
            ),
        };
        Some(Part {
            wall: ids.join("/"),
            from: at,
            to: at,
            what: format!("{} corner", corner.kind.name()),
            amount: volume(value),
            how,
        })
    };
    let parts = site.chain.corners().iter().filter_map(corner);
    parts.filter(|part| !part.amount.value.is_zero()).collect()
}
