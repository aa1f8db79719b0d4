//! Corners of the chain: which way and how far they turn, and where the lines and strips of two walls cross there.
//!
//! A wall's lines run beside its exposed face at offsets, positive towards the earth; its strips lie between two of them. At
//! a corner the lines of both walls go on until they cross. The strips cross in a parallelogram: what of a strip lies before
//! it, and the parallelogram itself, are all that a volume or an area at a corner is made of. At a square corner the numbers
//! are exact and those of right angles.

use num_rational::BigRational;
use num_traits::{One, Zero};

use crate::measure::{Nm, ratio, round};

/// How a wall ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum EndKind {
    /// At no other wall of the job.
    Free,
    /// At a corner whose earth lies outside the angle, seen from the exposed side.
    Concave,
    /// At a corner whose earth lies inside the angle.
    Convex,
}

impl EndKind {
    /// Its name for people and machines.
    pub fn name(self) -> &'static str {
        match self {
            Self::Free => "free",
            Self::Concave => "concave",
            Self::Convex => "convex",
        }
    }
}

/// A corner between two walls of the chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Corner {
    /// Index of the wall before it.
    pub before: usize,
    /// Index of the wall after it.
    pub after: usize,
    /// Convex or concave.
    pub kind: EndKind,
    /// Its chain station.
    pub station: Nm,
    /// How far it turns.
    pub turn: Turn,
}

/// By how much one wall turns from the one before it, to either side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turn {
    /// Sine in parts of [`PARTS`].
    sine: i64,
    /// Cosine in the same parts; negative beyond a right angle.
    cosine: i64,
}

/// Sines and cosines are whole multiples of one over this.
const PARTS: i64 = 1_000_000_000_000_000;
/// A turn counts as square up to this sine of its departure: 0.1 degree, less than a form can follow.
const SQUARE_SINE: f64 = 0.001_745;
/// Turns that are taken: under the least a wall is as good as straight, beyond the most the footings run to a spike.
const LEAST_DEGREES: f64 = 1.0;
const MOST_DEGREES: f64 = 135.0;

/// Two offsets from the exposed face, the lower one first.
pub type Strip = (Nm, Nm);

impl Turn {
    /// A right angle.
    pub const SQUARE: Self = Self { sine: PARTS, cosine: 0 };

    /// The turn between two walls from the products of their vectors: the size of the cross product, and the dot product.
    /// None where it is too small or too sharp to be built from.
    pub(super) fn of(cross: f64, dot: f64) -> Option<Self> {
        if dot.abs() <= SQUARE_SINE * cross {
            return Some(Self::SQUARE);
        }
        let degrees = degrees(cross, dot);
        if !(LEAST_DEGREES..=MOST_DEGREES).contains(&degrees) {
            return None;
        }
        // Only roots and quotients, which come out alike on every machine.
        let size = (cross * cross + dot * dot).sqrt();
        #[expect(clippy::cast_precision_loss, reason = "a power of ten under 2^53")]
        let parts = PARTS as f64;
        #[expect(clippy::cast_possible_truncation, reason = "no more than PARTS")]
        let whole = |share: f64| round::nearest_f64(share * parts) as i64;
        Some(Self { sine: whole(cross / size), cosine: whole(dot / size) })
    }

    /// Whether it is a right angle, as far as a form can follow.
    pub fn is_square(self) -> bool {
        self == Self::SQUARE
    }

    /// Degrees, from 0 for a straight line.
    pub fn degrees(self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "for print")]
        let (sine, cosine) = (self.sine as f64, self.cosine as f64);
        degrees(sine, cosine)
    }

    fn sine(self) -> BigRational {
        ratio(self.sine.into(), PARTS.into())
    }

    fn cosine(self) -> BigRational {
        ratio(self.cosine.into(), PARTS.into())
    }

    /// Cosine over sine.
    fn cotangent(self) -> BigRational {
        ratio(self.cosine.into(), self.sine.into())
    }

    /// Tangent of half the turn.
    pub fn half_tangent(self) -> BigRational {
        (BigRational::one() - self.cosine()) / self.sine()
    }

    /// Length of a line across a strip of this width, along the other wall.
    pub fn across(self, width: Nm) -> Nm {
        whole(&(exact(width) / self.sine()))
    }
}

/// Degrees between two directions.
pub(super) fn degrees(cross: f64, dot: f64) -> f64 {
    cross.atan2(dot).to_degrees()
}

fn whole(length: &BigRational) -> Nm {
    let nearest = round::nearest_ratio(length);
    Nm(i64::try_from(nearest).unwrap_or(i64::MAX))
}

fn exact(length: Nm) -> BigRational {
    BigRational::from_integer(length.0.into())
}

impl Corner {
    /// Its earth lies inside the angle: lines on the earth side end short of the exposed face's corner.
    pub fn is_convex(&self) -> bool {
        self.kind == EndKind::Convex
    }

    /// By how much a line of a wall is longer than its exposed face at this corner, where it meets the line of the other
    /// wall: both by their offsets. Negative where it is shorter.
    pub fn longer(&self, own: Nm, other: Nm) -> Nm {
        let short = (exact(other) - exact(own) * self.turn.cosine()) / self.turn.sine();
        whole(&if self.is_convex() { -short } else { short })
    }

    /// How far back from the corner, along a wall's exposed face, the strip of the other wall reaches across its own.
    pub fn reach(&self, own: Strip, other: Strip) -> Nm {
        let back = |y: Nm, line: Nm| Nm::ZERO - self.longer(y, line);
        let ends = [own.0, own.1].into_iter().flat_map(|y| [back(y, other.0), back(y, other.1)]);
        ends.fold(Nm::ZERO, Nm::max)
    }

    /// What a strip has up to the crossing beyond width by length of the exposed face, as an area; negative where it has less.
    pub fn beyond_face(&self, own: Strip, other: Strip) -> BigRational {
        let (low, high) = (exact(own.0), exact(own.1));
        let near = exact(if self.is_convex() { other.1 } else { other.0 });
        let lean = (&high * &high - &low * &low) * self.turn.cotangent() * ratio(1, 2);
        let straight = (&high - &low) * near / self.turn.sine();
        if self.is_convex() { lean - straight } else { straight - lean }
    }

    /// Area in which the strips of both walls cross.
    pub fn crossing(&self, own: Strip, other: Strip) -> BigRational {
        let width = |strip: Strip| exact(strip.1 - strip.0);
        if own.1 <= own.0 || other.1 <= other.0 {
            return BigRational::zero();
        }
        width(own) * width(other) / self.turn.sine()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn corner(kind: EndKind, turn: Turn) -> Corner {
        Corner { before: 0, after: 1, kind, station: Nm::ZERO, turn }
    }

    #[test]
    fn a_right_angle_keeps_whole_numbers() {
        let square = corner(EndKind::Convex, Turn::SQUARE);
        assert_eq!(square.longer(Nm::FOOT, Nm::INCH), Nm::ZERO - Nm::INCH);
        assert_eq!(corner(EndKind::Concave, Turn::SQUARE).longer(Nm::FOOT, Nm::INCH), Nm::INCH);
        let strip = (Nm::ZERO - Nm::FOOT, Nm::FOOT * 2);
        assert_eq!(square.reach(strip, strip), Nm::FOOT * 2);
        assert_eq!(
            square.crossing(strip, strip),
            exact(Nm(1)) * exact(Nm::FOOT * 3) * exact(Nm::FOOT * 3)
        );
    }

    #[test]
    fn what_is_taken_for_square_and_what_is_refused() {
        assert_eq!(Turn::of(1.0, 0.001_7), Some(Turn::SQUARE));
        assert_ne!(Turn::of(1.0, 0.001_8), Some(Turn::SQUARE));
        assert_eq!(Turn::of(0.01, 1.0), None);
        assert_eq!(Turn::of(0.5, -1.0), None);
        let half = Turn::of(1.0, 1.0).expect("half a right angle");
        assert!((half.degrees() - 45.0).abs() < 1e-12);
        // tan 22.5 degrees is the root of two less one.
        let tangent = crate::measure::nearest_double(&half.half_tangent());
        assert!((tangent - (2.0_f64.sqrt() - 1.0)).abs() < 1e-12);
    }
}
