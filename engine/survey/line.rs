//! Piecewise linear lines along the walls: exact heights, lowest points, never sampled.

use num_rational::BigRational;
use num_traits::{Signed, ToPrimitive};

use crate::measure::{Nm, Real, round};

/// A height as an exact ratio of nanometres; the divisor is positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Height {
    /// Numerator.
    pub num: i128,
    /// Denominator.
    pub den: i128,
}

impl Height {
    /// The height less a whole length.
    #[must_use]
    pub fn above(self, level: Nm) -> Self {
        Self { num: self.num - level.wide() * self.den, den: self.den }
    }

    /// The greatest whole length that is not above it.
    pub fn floor(self) -> Nm {
        Nm(i64::try_from(round::floor(self.num, self.den)).unwrap_or(i64::MAX))
    }

    /// In an arithmetic of choice.
    pub fn real<R: Real>(self) -> R {
        R::of(self.num, self.den)
    }
}

/// A line through knots, flat beyond the first and last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Polyline {
    /// Its supports; round a ring the last one again before the first, and the first after the last.
    knots: Vec<(Nm, Nm)>,
    ring: bool,
}

impl Polyline {
    /// From (station, height) at strictly ascending stations; nothing when there is no knot or a station repeats.
    pub fn new(knots: Vec<(Nm, Nm)>) -> Option<Self> {
        let ascending = knots.windows(2).all(|pair| pair[0].0 < pair[1].0);
        (!knots.is_empty() && ascending).then_some(Self { knots, ring: false })
    }

    /// As [`Self::new`], round a ring of this length: stations count modulo it, and the line goes on across station 0.
    pub fn round(mut knots: Vec<(Nm, Nm)>, perimeter: Nm) -> Option<Self> {
        let (first, last) = (*knots.first()?, *knots.last()?);
        if first.0 < Nm::ZERO || last.0 >= perimeter {
            return None;
        }
        knots.insert(0, (last.0 - perimeter, last.1));
        knots.push((first.0 + perimeter, first.1));
        Some(Self { ring: true, ..Self::new(knots)? })
    }

    /// Its supports.
    pub fn knots(&self) -> &[(Nm, Nm)] {
        if self.ring { &self.knots[1..self.knots.len() - 1] } else { &self.knots }
    }

    /// Largest distance between neighbouring supports, round a ring also across station 0.
    pub fn largest_gap(&self) -> Nm {
        let gaps = self.knots.windows(2).map(|pair| pair[1].0 - pair[0].0);
        gaps.fold(Nm::ZERO, Nm::max)
    }

    /// Whether it goes on across station 0.
    pub fn is_ring(&self) -> bool {
        self.ring
    }

    /// The same line, lower by `below`.
    #[must_use]
    pub fn lowered(&self, below: Nm) -> Self {
        Self { knots: self.knots.iter().map(|(s, z)| (*s, *z - below)).collect(), ..*self }
    }

    /// The mean of two lines, rounded to the nanometre at the supports of both; both on a ring or neither.
    #[must_use]
    pub fn mean(&self, other: &Self) -> Self {
        let mean = |s: Nm| {
            let (a, b) = (self.height(s), other.height(s));
            let den = num_integer::lcm(a.den, b.den);
            let sum = a.num * (den / a.den) + b.num * (den / b.den);
            (s, Nm(i64::try_from(round::nearest(sum, 2 * den)).unwrap_or(i64::MAX)))
        };
        self.through(self.stations_with(other).into_iter().map(mean).collect())
    }

    /// The lower of two lines; both on a ring or neither. It is nowhere above either, and where they cross
    /// less than their rise over a nanometre under both.
    #[must_use]
    pub fn lower_of(&self, other: &Self) -> Self {
        let mut stations = self.stations_with(other);
        // Round a ring the last stretch leads back to the first station.
        stations.extend(self.perimeter().map(|around| stations[0] + around));
        let gap =
            |s: Nm| self.height(s).real::<BigRational>() - other.height(s).real::<BigRational>();
        let crossing = |pair: &[Nm]| {
            let (u, v) = (gap(pair[0]), gap(pair[1]));
            let crosses =
                (u.is_negative() && v.is_positive()) || (u.is_positive() && v.is_negative());
            let along = crosses.then(|| &u / (&u - v) * BigRational::length(pair[1] - pair[0]))?;
            Some(pair[0] + Nm(along.floor().to_integer().to_i64()?))
        };
        let crossings: Vec<Nm> = stations.windows(2).filter_map(crossing).collect();
        stations.extend(crossings.iter().flat_map(|s| [*s, *s + Nm(1)]));
        let lower = |s: Nm| (s, self.height(s).floor().min(other.height(s).floor()));
        let around = |s: Nm| self.perimeter().map_or(s, |around| Nm(s.0.rem_euclid(around.0)));
        let mut knots: Vec<_> = stations.into_iter().map(|s| lower(around(s))).collect();
        knots.sort_unstable();
        knots.dedup();
        self.through(knots)
    }

    /// Length of the ring, if it is round one.
    fn perimeter(&self) -> Option<Nm> {
        self.ring.then(|| self.knots[self.knots.len() - 1].0 - self.knots[1].0)
    }

    /// Another line through knots on the same chain.
    fn through(&self, knots: Vec<(Nm, Nm)>) -> Self {
        let line = match self.perimeter() {
            Some(around) => Self::round(knots, around),
            None => Self::new(knots),
        };
        line.unwrap_or_else(|| self.clone())
    }

    /// The stations of the supports of both, in order.
    fn stations_with(&self, other: &Self) -> Vec<Nm> {
        let mut stations: Vec<Nm> =
            self.knots().iter().chain(other.knots()).map(|(station, _)| *station).collect();
        stations.sort_unstable();
        stations.dedup();
        stations
    }

    /// The exact height at a station.
    pub fn height(&self, station: Nm) -> Height {
        let flat = |z: Nm| Height { num: z.wide(), den: 1 };
        let after = self.knots.partition_point(|(s, _)| *s <= station);
        let Some((s0, z0)) = after.checked_sub(1).map(|i| self.knots[i]) else {
            return flat(self.knots[0].1);
        };
        match self.knots.get(after) {
            Some((s1, z1)) if station > s0 => {
                let den = (*s1 - s0).wide();
                let rise = (*z1 - z0).wide() * (station - s0).wide();
                Height { num: z0.wide() * den + rise, den }
            }
            _ => flat(z0),
        }
    }

    /// The knots strictly inside an interval.
    pub fn inside(&self, from: Nm, to: Nm) -> &[(Nm, Nm)] {
        let first = self.knots.partition_point(|(s, _)| *s <= from);
        let last = self.knots.partition_point(|(s, _)| *s < to).max(first);
        &self.knots[first..last]
    }

    /// The greatest whole length that is nowhere above the line in a closed interval.
    pub fn lowest(&self, from: Nm, to: Nm) -> Nm {
        let ends = self.height(from).floor().min(self.height(to).floor());
        self.inside(from, to).iter().map(|(_, z)| *z).fold(ends, Nm::min)
    }

    /// The least whole length that is nowhere below the line in a closed interval.
    pub fn highest(&self, from: Nm, to: Nm) -> Nm {
        let up = |height: Height| -Height { num: -height.num, ..height }.floor();
        let ends = up(self.height(from)).max(up(self.height(to)));
        self.inside(from, to).iter().map(|(_, z)| *z).fold(ends, Nm::max)
    }

    /// The interval cut at its knots: start, end, and the exact heights at both.
    pub fn stretches(
        &self,
        from: Nm,
        to: Nm,
    ) -> impl Iterator<Item = (Nm, Nm, Height, Height)> + '_ {
        let inner = self.inside(from, to).iter().map(|(s, _)| *s);
        let stations: Vec<Nm> =
            std::iter::once(from).chain(inner).chain(std::iter::once(to)).collect();
        let pairs: Vec<(Nm, Nm)> = stations.windows(2).map(|pair| (pair[0], pair[1])).collect();
        pairs.into_iter().filter(|(a, b)| a < b).map(|(a, b)| {
            // Both heights over the divisor of the stretch, so that they can be compared and added.
            let (ha, hb) = (self.height(a), self.height(b));
            let den = num_integer::lcm(ha.den, hb.den);
            let over = |h: Height| Height { num: h.num * (den / h.den), den };
            (a, b, over(ha), over(hb))
        })
    }

    /// Integral of the part of the line above `level` over an interval: an area.
    pub fn area_above<R: Real>(&self, level: Nm, from: Nm, to: Nm) -> R {
        self.stretches(from, to).fold(R::nothing(), |sum, (a, b, ha, hb)| {
            let (u, v, den) = (ha.above(level).num, hb.above(level).num, ha.den);
            let w = R::length(b - a);
            let part = match (u >= 0, v >= 0) {
                (true, true) => w.times(&R::of(u + v, 2 * den)),
                (false, false) => return sum,
                _ => {
                    let share = R::of(u.max(v), u.abs() + v.abs());
                    w.times(&R::of(u.max(v), 2 * den)).times(&share)
                }
            };
            sum.plus(&part)
        })
    }

    /// Integral of the square of the part of the line above `level` over an interval: a volume.
    pub fn square_above<R: Real>(&self, level: Nm, from: Nm, to: Nm) -> R {
        self.stretches(from, to).fold(R::nothing(), |sum, (a, b, ha, hb)| {
            let (u, v, den) = (ha.above(level).num, hb.above(level).num, ha.den);
            let w = R::length(b - a);
            let (up, vp) = (R::of(u.max(0), den), R::of(v.max(0), den));
            let third = w.times(&R::of(1, 3));
            let part = match (u >= 0, v >= 0) {
                (true, true) => {
                    let squares = up.times(&up).plus(&up.times(&vp)).plus(&vp.times(&vp));
                    third.times(&squares)
                }
                (false, false) => return sum,
                _ => {
                    let share = R::of(u.max(v), u.abs() + v.abs());
                    let top = up.plus(&vp);
                    third.times(&top).times(&top).times(&share)
                }
            };
            sum.plus(&part)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_line_is_flat_beyond_its_ends() {
        let line = Polyline::new(vec![(Nm(10), Nm(5)), (Nm(20), Nm(8))]);
        let line = line.unwrap_or_else(|| unreachable!());
        assert_eq!(line.height(Nm(0)), Height { num: 5, den: 1 });
        assert_eq!(line.height(Nm(25)), Height { num: 8, den: 1 });
        assert_eq!(line.lowest(Nm(11), Nm(20)), Nm(5));
        assert_eq!(line.lowest(Nm(14), Nm(20)), Nm(6));
        let none: BigRational = line.area_above(Nm(9), Nm(0), Nm(30));
        assert_eq!(none, BigRational::of(0, 1));
    }

    proptest! {
        #[test]
        fn areas_add_up_and_match_sampling(
            heights in prop::collection::vec(-50i64..50, 2..8), level in -40i64..40, cut in 1i64..60
        ) {
            let knots: Vec<_> = heights.iter().enumerate().map(|(i, z)| (Nm(10 * i as i64), Nm(*z))).collect();
            let line = Polyline::new(knots).unwrap_or_else(|| unreachable!());
            let (a, b) = (Nm(-5), Nm(85));
            let whole: BigRational = line.area_above(Nm(level), a, b);
            let left: BigRational = line.area_above(Nm(level), a, Nm(cut));
            let right: BigRational = line.area_above(Nm(level), Nm(cut), b);
            prop_assert_eq!(&whole, &(left + right));
            let (mut area, mut square) = (0.0, 0.0);
            let n = 90_000;
            for i in 0..n {
                let s = -5.0 + 90.0 * (f64::from(i) + 0.5) / f64::from(n);
                let k = (s / 10.0).clamp(0.0, (heights.len() - 1) as f64);
                let j = (k as usize).min(heights.len() - 2);
                let z = heights[j] as f64 + (heights[j + 1] - heights[j]) as f64 * (k - j as f64);
                let over = (z - level as f64).max(0.0);
                area += over * 90.0 / f64::from(n);
                square += over * over * 90.0 / f64::from(n);
            }
            let exact = num_traits::ToPrimitive::to_f64(&whole).unwrap_or(f64::NAN);
            prop_assert!((exact - area).abs() < 1e-2 * (1.0 + area), "{} {}", exact, area);
            let exact: BigRational = line.square_above(Nm(level), a, b);
            let exact = num_traits::ToPrimitive::to_f64(&exact).unwrap_or(f64::NAN);
            prop_assert!((exact - square).abs() < 1e-2 * (1.0 + square), "{} {}", exact, square);
        }
    }
}
