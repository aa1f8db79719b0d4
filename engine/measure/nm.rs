//! Exact lengths.

use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// A length, an elevation or a coordinate as a whole number of nanometres.
/// Where a decision hangs on a length, it is compared in this form: equality passes, no tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Nm(pub i64);

impl Nm {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// One inch.
    pub const INCH: Self = Self(25_400_000);
    /// One foot.
    pub const FOOT: Self = Self(304_800_000);
    /// One millimetre.
    pub const MILLIMETRE: Self = Self(1_000_000);
    /// One metre.
    pub const METRE: Self = Self(1_000_000_000);
    /// Largest length, elevation or coordinate that is accepted: 20,000 km.
    pub const LARGEST: Self = Self(20_000_000_000_000_000);

    /// The value in 128 bits, for products.
    pub fn wide(self) -> i128 {
        i128::from(self.0)
    }

    /// The size without its sign.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// From 128 bits, if it is within the accepted range.
    pub fn from_wide(value: i128) -> Option<Self> {
        let value = i64::try_from(value).ok()?;
        (value.abs() <= Self::LARGEST.0).then_some(Self(value))
    }
}

impl Add for Nm {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Nm {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Nm {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Nm {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Nm {
    type Output = Self;
    fn mul(self, n: i64) -> Self {
        Self(self.0 * n)
    }
}

impl Sum for Nm {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}
