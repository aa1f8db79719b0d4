//! Corners of strips of concrete, footing or stem.

use num_rational::BigRational;

use crate::footing::{Part, Site, System, product};
use crate::measure::{Dimension, Exact, Nm, decimal_places, ratio};
use crate::survey::{Corner, Strip};

/// What two strips have beyond their exposed faces at a corner that is not square, each of its own height; and how.
pub(super) fn oblique_corner(
    site: &Site,
    corner: &Corner,
    [a, b]: [Strip; 2],
    heights: [Nm; 2],
) -> (BigRational, String) {
    let areas = [corner.beyond_face(a, b), corner.beyond_face(b, a)];
    let value = heights.iter().zip(&areas).map(|(height, area)| product(&[*height]) * area).sum();
    let system = site.system;
    let unit = match system {
        System::Us => Nm::FOOT,
        System::Metric => Nm::METRE,
    };
    let words = |at: usize| {
        let square = ratio(unit.wide() * unit.wide(), 1);
        let area = decimal_places(&(&areas[at] / square), 3);
        format!("{} x {area} {}", system.show(heights[at]), system.area())
    };
    let turn = corner.turn.degrees();
    (value, format!("turn {turn:.2} deg, beyond the faces: {} and {}", words(0), words(1)))
}

/// The part of a corner.
pub(super) fn corner_part(site: &Site, corner: &Corner, value: BigRational, how: String) -> Part {
    let ids = [corner.before, corner.after].map(|wall| site.chain.walls()[wall].id.clone());
    let at = site.chain.walls()[corner.before].length;
    Part {
        wall: ids.join("/"),
        from: at,
        to: at,
        what: format!("{} corner", corner.kind.name()),
        amount: Exact { value, dimension: Dimension::VOLUME },
        how,
    }
}
