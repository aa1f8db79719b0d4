//! One formula, two arithmetics: floating point with a proven bound first, exact ratios where it cannot decide.

use std::collections::BTreeMap;

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{Signed, ToPrimitive, Zero};

use super::{Dimension, Nm, Quantity, round};

/// The double nearest to a ratio, halves to even; a plain conversion rounds numerator and denominator first and can miss it
/// by one.
pub fn nearest_double(value: &BigRational) -> f64 {
    /// Bits of the quotient: more than a double has, so that one bit for all that follows decides the rounding.
    const BITS: i64 = 64;
    let (num, den) = (value.numer().magnitude(), value.denom().magnitude());
    let size = |bits: u64| i64::try_from(bits).unwrap_or(i64::MAX);
    let shift = BITS - (size(num.bits()) - size(den.bits()));
    let scale = i32::try_from(-shift).ok().filter(|scale| (-1000..900).contains(scale));
    let Some(scale) = scale.filter(|_| !value.is_zero()) else {
        return value.to_f64().unwrap_or(f64::NAN);
    };
    let (num, den) = match u64::try_from(shift) {
        Ok(up) => (num << up, den.clone()),
        Err(_) => (num.clone(), den << shift.unsigned_abs()),
    };
    let (whole, rest) = num_integer::Integer::div_rem(&num, &den);
    let whole = whole.to_u128().unwrap_or(0) | u128::from(!rest.is_zero());
    #[expect(clippy::cast_precision_loss, reason = "the one rounding, to the nearest")]
    let double = whole as f64 * 2.0_f64.powi(scale);
    if value.is_negative() { -double } else { double }
}

/// The exact ratio of two whole numbers. `den` is not zero.
pub fn ratio(num: i128, den: i128) -> BigRational {
    let common = num_integer::Integer::gcd(&num, &den).max(1);
    let common = if den < 0 { -common } else { common };
    BigRational::new_raw(BigInt::from(num / common), BigInt::from(den / common))
}

/// A ratio in its lowest terms; numbers that fit are divided as machine words, which is ten times as fast.
fn lowest(num: BigInt, den: BigInt) -> BigRational {
    match (num.to_i128(), den.to_i128()) {
        (Some(num), Some(den)) if num != i128::MIN && den != i128::MIN => ratio(num, den),
        _ => BigRational::new(num, den),
    }
}

/// A whole number of times a ratio.
pub fn times_whole(value: &BigRational, count: i128) -> BigRational {
    lowest(value.numer() * BigInt::from(count), value.denom().clone())
}

/// The exact sum of ratios. Those of one denominator are added first: to bring a long sum to its lowest terms at every step
/// takes longer than all the rest of it.
pub fn sum<'a>(values: impl IntoIterator<Item = &'a BigRational>) -> BigRational {
    let mut parts: BTreeMap<&BigInt, BigInt> = BTreeMap::new();
    for value in values {
        *parts.entry(value.denom()).or_default() += value.numer();
    }
    let part = |(den, num): (&BigInt, BigInt)| lowest(num, den.clone());
    parts.into_iter().map(part).fold(BigRational::zero(), |sum, part| sum + part)
}

/// An exact value with its dimension, in base units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exact {
    /// The value in base units.
    pub value: BigRational,
    /// What it measures.
    pub dimension: Dimension,
}

impl Exact {
    /// The value in floating point.
    pub fn quantity(&self) -> Quantity {
        Quantity::new(self.value.to_f64().unwrap_or(f64::NAN), self.dimension)
    }

    /// As a length, if it is one: rounded to the nanometre once.
    pub fn length(&self) -> Option<Nm> {
        if self.dimension != Dimension::LENGTH {
            return None;
        }
        Nm::from_wide(round::nearest_ratio(&self.value).to_i128()?)
    }
}

/// Numbers that a formula can be computed in.
pub trait Real: Clone {
    /// A ratio of whole numbers; `den` is positive.
    fn of(num: i128, den: i128) -> Self;
    /// An exact value.
    fn from_exact(value: &BigRational) -> Self;
    /// The sum.
    #[must_use]
    fn plus(&self, other: &Self) -> Self;
    /// The difference.
    #[must_use]
    fn minus(&self, other: &Self) -> Self;
    /// The product.
    #[must_use]
    fn times(&self, other: &Self) -> Self;
    /// R0 of the value, or nothing when this arithmetic cannot decide it.
    fn nearest(&self) -> Option<i128>;

    /// A length.
    fn length(value: Nm) -> Self {
        Self::of(value.wide(), 1)
    }

    /// Zero.
    fn nothing() -> Self {
        Self::of(0, 1)
    }
}

impl Real for BigRational {
    fn of(num: i128, den: i128) -> Self {
        if num == 0 { Zero::zero() } else { ratio(num, den) }
    }
    fn from_exact(value: &BigRational) -> Self {
        value.clone()
    }
    fn plus(&self, other: &Self) -> Self {
        self + other
    }
    fn minus(&self, other: &Self) -> Self {
        self - other
    }
    fn times(&self, other: &Self) -> Self {
        self * other
    }
    fn nearest(&self) -> Option<i128> {
        round::nearest_ratio(self).to_i128()
    }
    fn nothing() -> Self {
        Zero::zero()
    }
}

/// A ratio that is not brought to its lowest terms until the end: a long sum of products takes one common divisor and not
/// one a step.
#[derive(Debug, Clone)]
pub struct Unreduced {
    num: BigInt,
    den: BigInt,
}

impl Unreduced {
    /// In its lowest terms.
    pub fn reduced(self) -> BigRational {
        lowest(self.num, self.den)
    }
}

impl Real for Unreduced {
    fn of(num: i128, den: i128) -> Self {
        Self { num: num.into(), den: den.into() }
    }
    fn from_exact(value: &BigRational) -> Self {
        Self { num: value.numer().clone(), den: value.denom().clone() }
    }
    fn plus(&self, other: &Self) -> Self {
        if self.den == other.den {
            return Self { num: &self.num + &other.num, den: self.den.clone() };
        }
        let num = &self.num * &other.den + &other.num * &self.den;
        Self { num, den: &self.den * &other.den }
    }
    fn minus(&self, other: &Self) -> Self {
        self.plus(&Self { num: -&other.num, den: other.den.clone() })
    }
    fn times(&self, other: &Self) -> Self {
        Self { num: &self.num * &other.num, den: &self.den * &other.den }
    }
    fn nearest(&self) -> Option<i128> {
        self.clone().reduced().nearest()
    }
}

/// A floating value and a bound on how far it can be from the exact one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Approx {
    /// The value.
    pub value: f64,
    /// The true value is within `value` plus or minus this.
    pub bound: f64,
}

/// Bound of one rounded operation, twice the unit roundoff: room for the bound's own rounding.
const ROUNDOFF: f64 = f64::EPSILON;
/// Every bound is widened by this factor, for the rounding of the sums that make it.
const WIDEN: f64 = 1.0 + 8.0 * f64::EPSILON;

impl Approx {
    fn rounded(value: f64, bound: f64) -> Self {
        Self { value, bound: (bound + value.abs() * ROUNDOFF) * WIDEN + f64::MIN_POSITIVE }
    }
}

impl Real for Approx {
    #[expect(clippy::cast_precision_loss, reason = "the loss is what the bound accounts for")]
    fn of(num: i128, den: i128) -> Self {
        if num == 0 {
            return Self { value: 0.0, bound: 0.0 };
        }
        let value = num as f64 / den as f64;
        Self::rounded(value, value.abs() * 2.0 * ROUNDOFF)
    }
    fn from_exact(value: &BigRational) -> Self {
        let value = value.to_f64().unwrap_or(f64::NAN);
        Self::rounded(value, value.abs() * ROUNDOFF)
    }
    fn plus(&self, other: &Self) -> Self {
        Self::rounded(self.value + other.value, self.bound + other.bound)
    }
    fn minus(&self, other: &Self) -> Self {
        Self::rounded(self.value - other.value, self.bound + other.bound)
    }
    fn times(&self, other: &Self) -> Self {
        let bound = self.value.abs() * other.bound
            + other.value.abs() * self.bound
            + self.bound * other.bound;
        Self::rounded(self.value * other.value, bound)
    }
    #[expect(clippy::cast_possible_truncation, reason = "limited to the exact range just above")]
    fn nearest(&self) -> Option<i128> {
        let size = self.value.abs();
        // NaN fails this test and is left to the exact arithmetic.
        if !(size < 4e15 && self.bound < 0.25) {
            return None;
        }
        let raised = size + 0.5;
        let whole = round::floor_f64(raised);
        let above = raised - whole;
        // Two roundings above, each at most half a unit of a number below 2^52.
        let bound = self.bound + 1.0 * ROUNDOFF * raised;
        if above <= bound || 1.0 - above <= bound {
            return None;
        }
        let whole = whole as i128;
        Some(if self.value < 0.0 { -whole } else { whole })
    }
}

/// R0 of a formula: tried in floating point, recomputed exactly where that cannot decide.
/// Nothing when the result does not fit.
pub fn decided(
    approx: impl FnOnce() -> Approx,
    exact: impl FnOnce() -> BigRational,
) -> Option<i128> {
    approx().nearest().or_else(|| exact().nearest())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_filter_agrees_or_abstains(
            terms in prop::collection::vec((-1_000_000_000_000i64..1_000_000_000_000, 1i64..1_000_000, -1_000_000i64..1_000_000), 1..12)
        ) {
            fn total<R: Real>(terms: &[(i64, i64, i64)]) -> R {
                terms.iter().fold(R::nothing(), |sum, (a, b, c)| {
                    let term = R::of(i128::from(*a), i128::from(*b)).times(&R::of(i128::from(*c), 1000));
                    sum.plus(&term).minus(&R::of(1, 2))
                })
            }
            let exact = total::<BigRational>(&terms);
            let approx = total::<Approx>(&terms);
            let truth = exact.to_f64().unwrap_or(f64::NAN);
            prop_assert!((approx.value - truth).abs() <= approx.bound * 1.0001 + truth.abs() * 1e-15);
            if let Some(whole) = approx.nearest() {
                prop_assert_eq!(Some(whole), exact.nearest());
            }
        }

        #[test]
        fn no_double_is_nearer(num in any::<i128>(), den in 1_i128..i128::MAX, more in 1_i64..i64::MAX) {
            let value = ratio(num, den) * ratio(more.into(), 1_000_000_007);
            let double = nearest_double(&value);
            let off = |double: f64| BigRational::from_float(double).map(|exact| (exact - &value).abs());
            prop_assert!(off(double) <= off(double.next_up()) && off(double) <= off(double.next_down()));
        }

        #[test]
        fn exact_halves_are_never_guessed(n in -1_000_000_000_000i128..1_000_000_000_000) {
            let half = Approx::of(2 * n + 1, 2);
            prop_assert_eq!(half.nearest(), None);
            prop_assert_eq!(ratio(2 * n + 1, 2).nearest(), Some(round::nearest(2 * n + 1, 2)));
        }
    }
}
