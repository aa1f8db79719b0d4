//! Integrals over the lines from the tip of a cone.

use super::exact::Cone;
use super::shapes::{Box2, Linear};

/// Places and weights of a quadrature of eight points, one half of each. Gauss and Legendre; from memory, and tested.
const EIGHT: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_5),
    (0.960_289_856_497_536_3, 0.101_228_536_290_376_3),
];

/// The lines from a corner across a cell that lies outside it.
pub(super) struct Rays {
    corner: [f64; 2],
    sign: [f64; 2],
    x: (f64, f64),
    y: (f64, f64),
    /// Angles between which everything changes smoothly, ascending.
    angles: Vec<f64>,
}

impl Rays {
    /// The lines from the tip of a cone across a cell, between the angles at which one of some planes begins or ends to
    /// matter.
    pub(super) fn new(cell: &Box2, cone: Cone, planes: &[Linear]) -> Self {
        let corner = cone.at;
        let sign = [0, 1].map(|axis| if cell.middle()[axis] < corner[axis] { -1.0 } else { 1.0 });
        let away = |axis: usize| {
            let (a, b) = (cell.low[axis] - corner[axis], cell.high[axis] - corner[axis]);
            (a.abs().min(b.abs()), a.abs().max(b.abs()))
        };
        let mut rays = Self { corner, sign, x: away(0), y: away(1), angles: Vec::new() };
        rays.angles = rays.breaks(cone, planes);
        rays
    }

    /// Where the line in a direction enters and leaves the cell.
    pub(super) fn ends(&self, [cos, sin]: [f64; 2]) -> (f64, f64) {
        let first = (self.x.0 / cos).max(self.y.0 / sin);
        (first, (self.x.1 / cos).min(self.y.1 / sin).max(first))
    }

    /// How something linear changes along the line in a direction.
    pub(super) fn rise(&self, value: &Linear, [cos, sin]: [f64; 2]) -> f64 {
        value.slope[0] * self.sign[0] * cos + value.slope[1] * self.sign[1] * sin
    }

    /// The point of the line in a direction that is so far from the corner.
    pub(super) fn point(&self, [cos, sin]: [f64; 2], far: f64) -> [f64; 2] {
        [self.corner[0] + self.sign[0] * cos * far, self.corner[1] + self.sign[1] * sin * far]
    }

    /// The sum over all lines of what there is along each.
    pub(super) fn sum<const N: usize>(&self, along: &dyn Fn([f64; 2]) -> [f64; N]) -> [f64; N] {
        let mut sums = [0.0; N];
        for pair in self.angles.windows(2) {
            if pair[0] < pair[1] {
                let whole = eight(pair[0], pair[1], along);
                over_angles(pair[0], pair[1], along, whole, &mut sums);
            }
        }
        sums
    }

    /// Angles at which something changes abruptly: corners of the cell, where two surfaces cross on its edge, and where three
    /// meet in it.
    fn breaks(&self, cone: Cone, planes: &[Linear]) -> Vec<f64> {
        let ((x1, x2), (y1, y2)) = (self.x, self.y);
        let mut points = vec![[x2, y1], [x1, y2]];
        points.push(if x1 == 0.0 && y1 == 0.0 { [x2, y1] } else { [x1, y1] });
        points.push([x2, y2]);
        let steep = 1.0 / cone.layback;
        // Each as its height at the corner over the cone's tip, and its slopes away from it.
        let planes: Vec<[f64; 3]> = planes
            .iter()
            .map(|plane| {
                let slope = [0, 1].map(|axis| plane.slope[axis] * self.sign[axis]);
                [plane.at(self.corner) - cone.foot, slope[0], slope[1]]
            })
            .collect();
        for (at, [a, b, c]) in planes.iter().enumerate() {
            // A plane and the cone on the edges.
            for x in [x1, x2] {
                let on = a + b * x;
                let ys = roots(c * c - steep * steep, 2.0 * on * c, on * on - (x * steep).powi(2));
                points.extend(ys.map(|y| [x, y]));
            }
            for y in [y1, y2] {
                let on = a + c * y;
                let xs = roots(b * b - steep * steep, 2.0 * on * b, on * on - (y * steep).powi(2));
                points.extend(xs.map(|x| [x, y]));
            }
            for [d, e, f] in &planes[..at] {
                // Two planes on the edges, and on the cone.
                let [a0, b0, c0] = [a - d, b - e, c - f];
                points.extend([x1, x2].map(|x| [x, -(a0 + b0 * x) / c0]));
                points.extend([y1, y2].map(|y| [-(a0 + c0 * y) / b0, y]));
                let square = b0 * b0 + c0 * c0;
                let foot = [-a0 * b0 / square, -a0 * c0 / square];
                let (on, along) = (a + b * foot[0] + c * foot[1], c * b0 - b * c0);
                let nearest = foot[0] * foot[0] + foot[1] * foot[1];
                let ts = roots(
                    along * along - square * steep * steep,
                    2.0 * on * along,
                    on * on - nearest * steep * steep,
                );
                points.extend(ts.map(|t| [foot[0] - c0 * t, foot[1] + b0 * t]));
            }
        }
        let inside = |[x, y]: &[f64; 2]| *x >= x1 && *x <= x2 && *y >= y1 && *y <= y2;
        let angles = points.iter().filter(|point| inside(point)).map(|[x, y]| y.atan2(*x));
        let mut angles: Vec<f64> = angles.collect();
        angles.sort_by(f64::total_cmp);
        angles.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
        angles
    }
}

/// Where a parabola is nothing; not numbers where it is so nowhere.
fn roots(a: f64, b: f64, c: f64) -> [f64; 2] {
    let root = (b * b - 4.0 * a * c).sqrt();
    // The larger half first, so that nothing is lost between numbers that are alike.
    let half = -0.5 * (b + root.copysign(b));
    [half / a, c / half]
}

/// Volumes that differ by less are alike, in cubic feet.
const ALIKE: f64 = 1e-8;
/// Least half of an angle that is divided.
const NARROWEST: f64 = 1e-5;

/// Integral over angles: divided where the halves say something else, as where a surface begins to be the lowest.
fn over_angles<const N: usize>(
    from: f64,
    to: f64,
    along: &dyn Fn([f64; 2]) -> [f64; N],
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
fn eight<const N: usize>(from: f64, to: f64, along: &dyn Fn([f64; 2]) -> [f64; N]) -> [f64; N] {
    let (middle, half) = (f64::midpoint(from, to), (to - from) / 2.0);
    let mut sums = [0.0; N];
    for (place, weight) in EIGHT {
        for angle in [middle - place * half, middle + place * half] {
            for (sum, value) in sums.iter_mut().zip(along([angle.cos(), angle.sin()])) {
                *sum += half * weight * value;
            }
        }
    }
    sums
}
