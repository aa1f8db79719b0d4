//! Volumes over planes and cones in closed form.

use super::rays::Rays;
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
pub(super) fn clip(polygon: &[[f64; 2]], keep: &Linear) -> Vec<[f64; 2]> {
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
        twice_area(*first, a, b) / 2.0 * mean_over([value.at(*first), value.at(a), value.at(b)])
    };
    rest.windows(2).map(triangle).sum()
}

/// Twice the area of a triangle.
fn twice_area(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])).abs()
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
    let mut surfaces = vec![*ground];
    surfaces.extend(planes);
    let rays = Rays::new(cell, cone, &surfaces);
    let over: Vec<Linear> = planes.iter().map(|plane| ground.less(plane)).collect();
    let along = |way: [f64; 2]| {
        let (first, last) = rays.ends(way);
        let mut depths = Depths::new(first, last);
        let rise = rays.rise(ground, way) - 1.0 / cone.layback;
        depths.add(ground.at(corner) - cone.foot, rise);
        for plane in &over {
            depths.add(plane.at(corner), rays.rise(plane, way));
        }
        [depths.integral()]
    };
    let [sum] = rays.sum(&along);
    sum
}

/// Integral over a cell outside a corner of what is straight along every line from the corner wherever no two of the
/// surfaces and the cone cross, and no place on an axis is crossed.
pub(super) fn cone_sum<const N: usize>(
    cell: &Box2,
    cone: Cone,
    (surfaces, axis, breaks): (&[Linear], usize, &[f64]),
    value: &dyn Fn([f64; 2], f64) -> [f64; N],
) -> [f64; N] {
    let rays = Rays::new(cell, cone, surfaces);
    let along = |way: [f64; 2]| {
        let (first, last) = rays.ends(way);
        let mut lines = vec![(cone.foot, 1.0 / cone.layback)];
        lines.extend(surfaces.iter().map(|s| (s.at(cone.at), rays.rise(s, way))));
        let mut places = vec![first, last];
        for (at, one) in lines.iter().enumerate() {
            let meets = |other: &(f64, f64)| (other.0 - one.0) / (one.1 - other.1);
            let inside = lines[..at].iter().map(meets).filter(|r| *r > first && *r < last);
            places.extend(inside);
        }
        let away = rays.point(way, 1.0)[axis] - cone.at[axis];
        let crossed = breaks.iter().map(|place| (place - cone.at[axis]) / away);
        places.extend(crossed.filter(|r| *r > first && *r < last));
        places.sort_by(f64::total_cmp);
        let mut sums = [0.0; N];
        // What is straight times the distance is a parabola: three places are exact.
        let at = |r: f64| value(rays.point(way, r), cone.foot + r / cone.layback);
        for pair in places.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let middle = f64::midpoint(a, b);
            for (r, weight) in [(a, 1.0), (middle, 4.0), (b, 1.0)] {
                for (sum, value) in sums.iter_mut().zip(at(r)) {
                    *sum += value * r * weight * (b - a) / 6.0;
                }
            }
        }
        sums
    };
    rays.sum(&along)
}

/// Integral over a convex polygon of what is linear wherever no two of the surfaces cross.
pub(super) fn fan_sum<const N: usize>(
    polygon: &[[f64; 2]],
    surfaces: &[Linear],
    value: &dyn Fn([f64; 2]) -> [f64; N],
) -> [f64; N] {
    let mut pieces = vec![polygon.to_vec()];
    for (at, one) in surfaces.iter().enumerate() {
        for other in &surfaces[..at] {
            let (over, under) = (one.less(other), other.less(one));
            if over.slope == [0.0; 2] {
                continue;
            }
            let both = |piece: &Vec<[f64; 2]>| [clip(piece, &over), clip(piece, &under)];
            pieces = pieces.iter().flat_map(both).filter(|piece| piece.len() > 2).collect();
        }
    }
    let mut sums = [0.0; N];
    for piece in &pieces {
        let [first, rest @ ..] = piece.as_slice() else { continue };
        for pair in rest.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            for point in [*first, a, b] {
                for (sum, value) in sums.iter_mut().zip(value(point)) {
                    *sum += value * twice_area(*first, a, b) / 6.0;
                }
            }
        }
    }
    sums
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
