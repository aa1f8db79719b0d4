//! Footing concrete: straight runs, the overlaps of the steps, the corners.

use num_rational::BigRational;
use num_traits::Zero;

use super::corner::{corner_part, oblique_corner};
use crate::footing::{Layout, Part, Site, WallType, local, product};
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

/// Corners: at a square one the thicker footing runs through and the other starts at its edge; else each ends at the line
/// between the ends of its edges. What the straight runs count too much or too little, as one signed volume a corner.
pub fn footing_corners(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let corner = |corner: &Corner| {
        let before = layout.footings.iter().rev().find(|piece| piece.wall == corner.before)?;
        let after = layout.footings.iter().find(|piece| piece.wall == corner.after)?;
        let (one, two) = (&site.types[before.kind], &site.types[after.kind]);
        let (value, how) = match corner.turn.is_square() {
            true => square_corner(site, corner, one, two),
            false => {
                let strips = [one.across(), two.across()];
                oblique_corner(site, corner, strips, [one.thickness, two.thickness])
            }
        };
        Some(corner_part(site, corner, value, how))
    };
    let parts = site.chain.corners().iter().filter_map(corner);
    parts.filter(|part| !part.amount.value.is_zero()).collect()
}

/// The thicker of two footings runs through.
fn square_corner(
    site: &Site,
    corner: &Corner,
    one: &WallType,
    two: &WallType,
) -> (BigRational, String) {
    let (a, b) = if one.thickness >= two.thickness { (one, two) } else { (two, one) };
    let (plus, minus) = match corner.is_convex() {
        true => (b.toe, a.width - a.toe),
        false => (b.width - b.toe, a.toe),
    };
    let value = product(&[a.width, a.thickness, plus]) - product(&[b.width, b.thickness, minus]);
    let [width_a, thick_a, plus, width_b, thick_b, minus] =
        [a.width, a.thickness, plus, b.width, b.thickness, minus]
            .map(|size| site.system.show(size));
    let how = format!("{width_a} x {thick_a} x {plus} more, {width_b} x {thick_b} x {minus} less");
    (value, how)
}
