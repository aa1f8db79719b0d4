//! Volumes over planes and cones in closed form.

use super::shapes::{Box2, Linear};

/// The volume under the ground and over the lowest of some planes, over a convex polygon.
pub(super) fn planes_over(polygon: &[[f64; 2]], ground: &Linear, planes: &[Linear]) -> f64 {
    let over = |(index, plane): (usize, &Linear)| {
        let others = planes.iter().enumerate().filter(|(other, _)| *other != index);
        let mut piece = polygon.to_vec();
        for (_, other) in others {
            piece = clip(&piece, &other.less(plane));
        }
        positive(&piece, &ground.less(plane))
    };
    planes.iter().enumerate().map(over).sum()
}

/// The part of a convex polygon where something linear is not negative.
fn clip(polygon: &[[f64; 2]], keep: &Linear) -> Vec<[f64; 2]> {
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    let next = polygon.iter().cycle().skip(1);
    for (a, b) in polygon.iter().zip(next) {
        let (u, v) = (keep.at(*a), keep.at(*b));
        if u >= 0.0 {
            kept.push(*a);
        }
        if u < 0.0 && v > 0.0 || u > 0.0 && v < 0.0 {
            let share = u / (u - v);
            kept.push([0, 1].map(|axis| a[axis] + (b[axis] - a[axis]) * share));
        }
    }
    kept
}

/// Integral over a convex polygon of the positive part of something linear.
fn positive(polygon: &[[f64; 2]], value: &Linear) -> f64 {
    let [first, rest @ ..] = polygon else { return 0.0 };
    let triangle = |pair: &[[f64; 2]]| {
        let (a, b) = (pair[0], pair[1]);
        let twice = (a[0] - first[0]) * (b[1] - first[1]) - (a[1] - first[1]) * (b[0] - first[0]);
        twice.abs() / 2.0 * mean_over([value.at(*first), value.at(a), value.at(b)])
    };
    rest.windows(2).map(triangle).sum()
}

/// Mean over a triangle of the positive part of what is linear between its corners.
pub(super) fn mean_over(corners: [f64; 3]) -> f64 {
    let [a, b, c] = corners;
    let mean = (a + b + c) / 3.0;
    // The corner that stands alone on its side of nothing.
    let tip = |a: f64, b: f64, c: f64| a * a * a / (3.0 * (a - b) * (a - c));
    match corners.map(|corner| corner > 0.0) {
        [true, true, true] => mean,
        [false, false, false] => 0.0,
        [true, false, false] => tip(a, b, c),
        [false, true, false] => tip(b, c, a),
        [false, false, true] => tip(c, a, b),
        [false, true, true] => mean - tip(a, b, c),
        [true, false, true] => mean - tip(b, c, a),
        [true, true, false] => mean - tip(c, a, b),
    }
}

/// Places and weights of a quadrature of eight points, one half of each. Gauss and Legendre; from memory, and tested.
const EIGHT: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];

/// A bank round a corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cone {
    pub(super) foot: f64,
    pub(super) at: [f64; 2],
    pub(super) layback: f64,
}

/// The volume under the ground and over the lower of a cone and some planes, over a cell on the outside of the corner that
/// the cone rises from.
///
/// Along every line from the corner all of them are straight, so that the integral over it is exact.
pub(super) fn cone_over(cell: &Box2, ground: &Linear, cone: Cone, planes: &[Linear]) -> f64 {
    let corner = cone.at;
    let sign = [0, 1].map(|axis| if cell.middle()[axis] < corner[axis] { -1.0 } else { 1.0 });
    let away = |axis: usize| {
        let (a, b) = (cell.low[axis] - corner[axis], cell.high[axis] - corner[axis]);
        (a.abs().min(b.abs()), a.abs().max(b.abs()))
    };
    let ((x1, x2), (y1, y2)) = (away(0), away(1));
    let over: Vec<Linear> = planes.iter().map(|plane| ground.less(plane)).collect();
    let ends = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        let first = (x1 / cos).max(y1 / sin);
        (first, (x2 / cos).min(y2 / sin).max(first))
    };
    let along = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        let (first, last) = ends(angle);
        let rise = |value: &Linear| value.slope[0] * sign[0] * cos + value.slope[1] * sign[1] * sin;
        let mut depths = Depths::new(first, last);
        depths.add(ground.at(corner) - cone.foot, rise(ground) - 1.0 / cone.layback);
        for plane in &over {
            depths.add(plane.at(corner), rise(plane));
        }
        depths.integral()
    };
    // The direction of every corner of the cell is a break.
    let mut breaks = [y1.atan2(x2), y1.atan2(x1), y2.atan2(x2), y2.atan2(x1)];
    if x1 == 0.0 && y1 == 0.0 {
        breaks[1] = breaks[0];
    }
    breaks.sort_by(f64::total_cmp);
    breaks.windows(2).map(|pair| over_angles(pair[0], pair[1], &ends, &along)).sum()
}

/// Integral over angles, in parts in which the lines do not grow much: near a long side they do.
fn over_angles(
    from: f64,
    to: f64,
    ends: &dyn Fn(f64) -> (f64, f64),
    along: &dyn Fn(f64) -> f64,
) -> f64 {
    const GROWTH: f64 = 1.5;
    let half = (to - from) / 2.0;
    if half <= 0.0 {
        return 0.0;
    }
    let middle = from + half;
    let grows = |a: f64, b: f64| a.max(b) > GROWTH * a.min(b) && a.min(b) > 0.0;
    let ((a, b), (c, d)) = (ends(from), ends(to));
    if (grows(a, c) || grows(b, d)) && half > 1e-3 {
        return over_angles(from, middle, ends, along) + over_angles(middle, to, ends, along);
    }
    let points = |(place, weight): &(f64, f64)| {
        weight * (along(middle - place * half) + along(middle + place * half))
    };
    half * EIGHT.iter().map(points).sum::<f64>()
}

/// Depths along a line from a corner: the greatest of several that change evenly, and nothing where all are under it.
struct Depths {
    first: f64,
    last: f64,
    /// Each as its value at the corner and its change with the distance.
    lines: Vec<(f64, f64)>,
}

impl Depths {
    fn new(first: f64, last: f64) -> Self {
        Self { first, last, lines: vec![(0.0, 0.0)] }
    }

    fn add(&mut self, at_corner: f64, change: f64) {
        self.lines.push((at_corner, change));
    }

    /// Integral of depth and distance over the distance.
    fn integral(&self) -> f64 {
        let (mut from, mut sum) = (self.first, 0.0);
        // The greatest of straight lines bends up only: from each place on, one line leads up to the next bend.
        while from < self.last {
            let value = |(a, b): &(f64, f64), r: f64| a + b * r;
            let top = self.lines.iter().map(|line| value(line, from)).fold(f64::MIN, f64::max);
            let here = self.lines.iter().filter(|line| value(line, from) >= top - 1e-12);
            let Some(line) = here.reduce(|best, next| if next.1 > best.1 { next } else { best })
            else {
                break;
            };
            let meets = |other: &(f64, f64)| {
                (other.1 > line.1).then(|| (line.0 - other.0) / (other.1 - line.1))
            };
            let ahead = self.lines.iter().filter_map(meets).filter(|r| *r > from + 1e-12);
            let to = ahead.fold(self.last, f64::min);
            let whole = |r: f64| r * r * (line.0 / 2.0 + line.1 * r / 3.0);
            sum += whole(to) - whole(from);
            from = to;
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_cone_and_a_cut_pyramid() {
        let cell = Box2 { low: [0.0, 0.0], high: [5.0, 5.0] };
        let level = Linear { at_origin: 4.0, slope: [0.0, 0.0] };
        let cone = cone_over(&cell, &level, Cone { foot: 0.0, at: [0.0, 0.0], layback: 1.0 }, &[]);
        assert!((cone - std::f64::consts::PI * 64.0 / 12.0).abs() < 1e-6, "{cone}");
        // Two planes of slope 1 that meet over the diagonal: twice the integral of (4 - x)(5 - x) from 0 to 4.
        let side = |slope| Linear { at_origin: 0.0, slope };
        let planes = [side([1.0, 0.0]), side([0.0, 1.0])];
        let over = planes_over(&cell.corners(), &level, &planes);
        assert!((over - 2.0 * (80.0 - 72.0 + 64.0 / 3.0)).abs() < 1e-9, "{over}");
    }
}
