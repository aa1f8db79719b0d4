//! Corners of the chain: which way and how far they turn, and where the lines and strips of two walls end there.
//!
//! A wall's lines run beside its exposed face at offsets, positive towards the earth; its strips lie between two of them. At
//! a sharp corner a line goes on to where it crosses the other wall's line; at a bend, which turns by less than 30 degrees,
//! it ends at the plane through the exposed face's corner that halves the turn, for lines that are nearly parallel cross far
//! away. A strip ends at the straight line between the ends of its two edges. At a square corner the strips cross in a
//! rectangle, and what is thicker or taller runs through: its numbers are exact.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::One;

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
            Self::Concave => "inside",
            Self::Convex => "outside",
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
    /// Its running station.
    pub station: Nm,
    /// How far it turns.
    pub turn: Turn,
    /// Whether it is one between chords of a curve, or between a chord and the wall that the curve runs into.
    pub chord: bool,
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
/// The least turn between chords, under which a curve is as good as straight.
const LEAST_OF_CHORDS: f64 = 0.01;
/// What a turn that is written with a whole number of degrees may be off by its points.
const SLIGHT: f64 = 1e-6;
/// Turns under this are bends.
const BEND_DEGREES: f64 = 30.0 - SLIGHT;

/// Two offsets from the exposed face, the lower one first.
pub type Strip = (Nm, Nm);

impl Turn {
    /// A right angle.
    pub const SQUARE: Self = Self { sine: PARTS, cosine: 0 };

    /// The turn between two walls from the products of their vectors: the size of the cross product, and the dot product.
    /// None where it is too small or too sharp to be built from.
    pub(super) fn of(cross: f64, dot: f64) -> Option<Self> {
        Self::from(LEAST_DEGREES, cross, dot)
    }

    /// The same between walls of which one is a chord.
    pub(super) fn of_chords(cross: f64, dot: f64) -> Option<Self> {
        Self::from(LEAST_OF_CHORDS, cross, dot)
    }

    fn from(least: f64, cross: f64, dot: f64) -> Option<Self> {
        if dot.abs() <= SQUARE_SINE * cross {
            return Some(Self::SQUARE);
        }
        let degrees = degrees(cross, dot);
        if !(least - SLIGHT..=MOST_DEGREES + SLIGHT).contains(&degrees) {
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

    /// Tangent of half the turn.
    fn half_tangent(self) -> BigRational {
        (BigRational::one() - self.cosine()) / self.sine()
    }

    /// Whether it is a bend, at which walls end at the plane that halves it.
    pub fn is_bend(self) -> bool {
        self.degrees() < BEND_DEGREES
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

    /// By how much a line of a wall is longer than its exposed face at this corner, by its offset and that of the other
    /// wall's line. Negative where it is shorter.
    pub fn longer(&self, own: Nm, other: Nm) -> Nm {
        whole(&self.longer_by(&exact(own), &exact(other)))
    }

    /// The same, exactly.
    pub fn longer_by(&self, own: &BigRational, other: &BigRational) -> BigRational {
        let short = match self.turn.is_bend() {
            true => own * self.turn.half_tangent(),
            false => (other - own * self.turn.cosine()) / self.turn.sine(),
        };
        if self.is_convex() { -short } else { short }
    }

    /// What a strip has beyond its width by the length of the exposed face, as an area; negative where it has less. Not for
    /// square corners, where what is thicker runs through.
    pub fn beyond_face(&self, own: Strip, other: Strip) -> BigRational {
        let [own, other] = [own, other].map(|strip| (exact(strip.0), exact(strip.1)));
        self.beyond(&own, &other)
    }

    /// The same of exact offsets.
    pub fn beyond(
        &self,
        own: &(BigRational, BigRational),
        other: &(BigRational, BigRational),
    ) -> BigRational {
        let both = self.longer_by(&own.0, &other.0) + self.longer_by(&own.1, &other.1);
        (&own.1 - &own.0) * both / ratio(2, 1)
    }

    /// Length of the line at which a strip ends.
    pub fn end_line(&self, own: Strip, other: Strip) -> Nm {
        let along = self.longer(own.1, other.1) - self.longer(own.0, other.0);
        let across = own.1 - own.0;
        let square = BigInt::from(along.0) * along.0 + BigInt::from(across.0) * across.0;
        Nm(i64::try_from(round::nearest_root(&square)).unwrap_or(i64::MAX))
    }

    /// How far back from the corner, along a wall's exposed face, the strip of the other wall reaches across its own.
    pub fn reach(&self, own: Strip, other: Strip) -> Nm {
        let ends = match self.turn.is_square() {
            // The strips cross.
            true => [own.0, own.1]
                .into_iter()
                .flat_map(|y| [self.longer(y, other.0), self.longer(y, other.1)])
                .collect::<Vec<_>>(),
            false => vec![self.longer(own.0, other.0), self.longer(own.1, other.1)],
        };
        ends.into_iter().map(|longer| Nm::ZERO - longer).fold(Nm::ZERO, Nm::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn corner(kind: EndKind, turn: Turn) -> Corner {
        Corner { before: 0, after: 1, kind, station: Nm::ZERO, turn, chord: false }
    }

    #[test]
    fn a_right_angle_keeps_whole_numbers() {
        let square = corner(EndKind::Convex, Turn::SQUARE);
        assert_eq!(square.longer(Nm::FOOT, Nm::INCH), Nm::ZERO - Nm::INCH);
        assert_eq!(corner(EndKind::Concave, Turn::SQUARE).longer(Nm::FOOT, Nm::INCH), Nm::INCH);
        let strip = (Nm::ZERO - Nm::FOOT, Nm::FOOT * 2);
        assert_eq!(square.reach(strip, strip), Nm::FOOT * 2);
    }

    #[test]
    fn what_is_taken_for_square_and_what_is_refused() {
        assert_eq!(Turn::of(1.0, 0.001_7), Some(Turn::SQUARE));
        assert_ne!(Turn::of(1.0, 0.001_8), Some(Turn::SQUARE));
        assert_eq!(Turn::of(0.01, 1.0), None);
        assert_eq!(Turn::of(0.5, -1.0), None);
        // Nearly parallel lines of different offsets do not cross far away.
        let bend = corner(EndKind::Concave, Turn::of(0.1, 1.0).unwrap_or(Turn::SQUARE));
        assert!(bend.longer(Nm::FOOT * 6, Nm::FOOT * 4) < Nm::FOOT);
        assert!(
            bend.end_line((Nm::ZERO, Nm::FOOT), (Nm::ZERO, Nm::FOOT * 3)) < Nm::FOOT + Nm::INCH
        );
        let half = Turn::of(1.0, 1.0).unwrap_or(Turn::SQUARE);
        assert!((half.degrees() - 45.0).abs() < 1e-12);
        // tan 22.5 degrees is the root of two less one.
        let tangent = crate::measure::nearest_double(&half.half_tangent());
        assert!((tangent - (2.0_f64.sqrt() - 1.0)).abs() < 1e-12);
    }
}
