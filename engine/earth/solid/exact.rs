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

/// The lines from a corner across a cell that lies outside it.
struct Rays {
    corner: [f64; 2],
    sign: [f64; 2],
    x: (f64, f64),
    y: (f64, f64),
}

impl Rays {
    fn new(cell: &Box2, corner: [f64; 2]) -> Self {
        let sign = [0, 1].map(|axis| if cell.middle()[axis] < corner[axis] { -1.0 } else { 1.0 });
        let away = |axis: usize| {
            let (a, b) = (cell.low[axis] - corner[axis], cell.high[axis] - corner[axis]);
            (a.abs().min(b.abs()), a.abs().max(b.abs()))
        };
        Self { corner, sign, x: away(0), y: away(1) }
    }

    /// Where the line at an angle enters and leaves the cell.
    fn ends(&self, angle: f64) -> (f64, f64) {
        let (sin, cos) = angle.sin_cos();
        let first = (self.x.0 / cos).max(self.y.0 / sin);
        (first, (self.x.1 / cos).min(self.y.1 / sin).max(first))
    }

    /// How something linear changes along the line at an angle.
    fn rise(&self, value: &Linear, angle: f64) -> f64 {
        let (sin, cos) = angle.sin_cos();
        value.slope[0] * self.sign[0] * cos + value.slope[1] * self.sign[1] * sin
    }

    /// The point of the line at an angle that is so far from the corner.
    fn point(&self, angle: f64, far: f64) -> [f64; 2] {
        let (sin, cos) = angle.sin_cos();
        [self.corner[0] + self.sign[0] * cos * far, self.corner[1] + self.sign[1] * sin * far]
    }

    /// The sum over all lines of what there is along each.
    fn sum<const N: usize>(&self, along: &dyn Fn(f64) -> [f64; N]) -> [f64; N] {
        let ((x1, x2), (y1, y2)) = (self.x, self.y);
        // The direction of every corner of the cell is a break.
        let mut breaks = [y1.atan2(x2), y1.atan2(x1), y2.atan2(x2), y2.atan2(x1)];
        if x1 == 0.0 && y1 == 0.0 {
            breaks[1] = breaks[0];
        }
        breaks.sort_by(f64::total_cmp);
        let mut sums = [0.0; N];
        for pair in breaks.windows(2) {
            if pair[0] < pair[1] {
                let whole = eight(pair[0], pair[1], along);
                over_angles(pair[0], pair[1], along, whole, &mut sums);
            }
        }
        sums
    }
}

/// The volume under the ground and over the lower of a cone and some planes, over a cell on the outside of the corner that
/// the cone rises from.
///
/// Along every line from the corner all of them are straight, so that the integral over it is exact.
pub(super) fn cone_over(cell: &Box2, ground: &Linear, cone: Cone, planes: &[Linear]) -> f64 {
    let corner = cone.at;
    let rays = Rays::new(cell, corner);
    let over: Vec<Linear> = planes.iter().map(|plane| ground.less(plane)).collect();
    let along = |angle: f64| {
        let (first, last) = rays.ends(angle);
        let mut depths = Depths::new(first, last);
        let rise = rays.rise(ground, angle) - 1.0 / cone.layback;
        depths.add(ground.at(corner) - cone.foot, rise);
        for plane in &over {
            depths.add(plane.at(corner), rays.rise(plane, angle));
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
    let rays = Rays::new(cell, cone.at);
    let along = |angle: f64| {
        let (first, last) = rays.ends(angle);
        let mut lines = vec![(cone.foot, 1.0 / cone.layback)];
        lines.extend(surfaces.iter().map(|s| (s.at(cone.at), rays.rise(s, angle))));
        let mut places = vec![first, last];
        for (at, one) in lines.iter().enumerate() {
            let meets = |other: &(f64, f64)| (other.0 - one.0) / (one.1 - other.1);
            let inside = lines[..at].iter().map(meets).filter(|r| *r > first && *r < last);
            places.extend(inside);
        }
        let away = rays.point(angle, 1.0)[axis] - cone.at[axis];
        let crossed = breaks.iter().map(|place| (place - cone.at[axis]) / away);
        places.extend(crossed.filter(|r| *r > first && *r < last));
        places.sort_by(f64::total_cmp);
        let mut sums = [0.0; N];
        // What is straight times the distance is a parabola: three places are exact.
        let at = |r: f64| value(rays.point(angle, r), cone.foot + r / cone.layback);
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

/// Volumes that differ by less are alike, in cubic feet.
const ALIKE: f64 = 1e-8;
/// Least half of an angle that is divided.
const NARROWEST: f64 = 1e-6;

/// Integral over angles: divided where the halves say something else, as where a surface begins to be the lowest.
fn over_angles<const N: usize>(
    from: f64,
    to: f64,
    along: &dyn Fn(f64) -> [f64; N],
    whole: [f64; N],
    sums: &mut [f64; N],
) {
    let middle = f64::midpoint(from, to);
    let halves = [eight(from, middle, along), eight(middle, to, along)];
    let apart = (0..N).any(|at| (halves[0][at] + halves[1][at] - whole[at]).abs() > ALIKE);
    if apart && (to - from) / 2.0 > NARROWEST {
        over_angles(from, middle, along, halves[0], sums);
        return over_angles(middle, to, along, halves[1], sums);
    }
    for half in halves {
        for (sum, value) in sums.iter_mut().zip(half) {
            *sum += value;
        }
    }
}

/// Integral over angles by eight points.
fn eight<const N: usize>(from: f64, to: f64, along: &dyn Fn(f64) -> [f64; N]) -> [f64; N] {
    let (middle, half) = (f64::midpoint(from, to), (to - from) / 2.0);
    let mut sums = [0.0; N];
    for (place, weight) in EIGHT {
        for angle in [middle - place * half, middle + place * half] {
            for (sum, value) in sums.iter_mut().zip(along(angle)) {
                *sum += half * weight * value;
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
