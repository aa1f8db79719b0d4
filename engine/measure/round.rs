//! Rounding: every rule has a name, and all of them live here.

use num_bigint::BigInt;
use num_integer::Integer;
use num_rational::BigRational;
use num_traits::{One, Signed, ToPrimitive};

use super::Nm;

/// Relative difference below which two values that are not lengths or areas are the same.
pub const SAME: f64 = 1e-12;

/// Decimals to which a number of steps is rounded before it is rounded up or down.
const STEP_DECIMALS: i32 = 9;

/// R0 of a ratio of integers: nearest whole number, halves away from zero. `den` is positive.
pub fn nearest(num: i128, den: i128) -> i128 {
    let size = (2 * num.abs() + den) / (2 * den);
    if num < 0 { -size } else { size }
}

/// R0 of an exact ratio: nearest whole number, halves away from zero.
pub fn nearest_ratio(x: &BigRational) -> BigInt {
    let two = BigInt::from(2);
    let (num, den) = (x.numer().abs(), x.denom());
    let size = (num * &two + den).div_floor(&(den * &two));
    if x.is_negative() { -size } else { size }
}

/// Nearest whole number of a floating value, halves away from zero.
#[expect(clippy::disallowed_methods, reason = "this is the home of rounding")]
pub fn nearest_f64(x: f64) -> f64 {
    x.round()
}

/// Largest whole number not above a ratio of integers. `den` is positive.
pub fn floor(num: i128, den: i128) -> i128 {
    Integer::div_floor(&num, &den)
}

/// Largest whole number not above a floating value.
#[expect(clippy::disallowed_methods, reason = "this is the home of rounding")]
pub fn floor_f64(x: f64) -> f64 {
    x.floor()
}

/// R0 of `x` to a number of decimals.
pub fn nearest_places(x: &BigRational, places: u32) -> BigRational {
    let scale = BigRational::from_integer(num_traits::pow(BigInt::from(10), places as usize));
    BigRational::from_integer(nearest_ratio(&(x * &scale))) / scale
}

/// Number of steps in `x`, rounded up, after R0 to nine decimals: an exact multiple never gains a step.
#[expect(clippy::disallowed_methods, reason = "this is the home of rounding")]
pub fn steps_up(x: f64, step: f64) -> f64 {
    steady(x / step).ceil()
}

/// Number of steps in `x`, rounded down, after R0 to nine decimals: an exact multiple never loses a step.
#[expect(clippy::disallowed_methods, reason = "this is the home of rounding")]
pub fn steps_down(x: f64, step: f64) -> f64 {
    steady(x / step).floor()
}

/// Number of steps in `x`, to the nearest, after R0 to nine decimals: halves go away from zero.
pub fn steps_near(x: f64, step: f64) -> f64 {
    nearest_f64(steady(x / step))
}

/// So many steps: 1,234 hundredths are 12.34 and nothing beside it.
pub fn multiple(steps: f64, step: f64) -> f64 {
    let inverse = 1.0 / step;
    if inverse > 1.0 && inverse == nearest_f64(inverse) { steps / inverse } else { steps * step }
}

/// R0 to nine decimals, or to fifteen digits where a double has no nine decimals left.
fn steady(steps: f64) -> f64 {
    let mut scale = 10_f64.powi(STEP_DECIMALS);
    let mut limit = 1e6;
    while steps.abs() >= limit && scale > 1.0 {
        scale /= 10.0;
        limit *= 10.0;
    }
    let scaled = steps * scale;
    if scaled.abs() < 1e16 { nearest_f64(scaled) / scale } else { steps }
}

/// The order of two values: of whole numbers by their nearest, of others by [`same`]; nothing where one is not a number.
pub fn compare(a: f64, b: f64, whole: bool) -> Option<std::cmp::Ordering> {
    match whole {
        true => nearest_f64(a).partial_cmp(&nearest_f64(b)),
        false if same(a, b) => Some(std::cmp::Ordering::Equal),
        false => a.partial_cmp(&b),
    }
}

/// Whether two values that are no lengths count as equal.
pub fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME * a.abs().max(b.abs())
}

/// Whether a value meets an upper limit: under it, or equal by [`same`]. A conversion of units may round either way.
pub fn up_to(x: f64, limit: f64) -> bool {
    x <= limit || same(x, limit)
}

/// Whether a value is under a limit and not equal to it by [`same`].
pub fn under(x: f64, limit: f64) -> bool {
    x < limit && !same(x, limit)
}

/// The least multiple of `step` that is not under `x`. `step` is positive.
pub fn up_to_step(x: Nm, step: Nm) -> Nm {
    Nm(Integer::div_ceil(&x.0, &step.0) * step.0)
}

/// The greatest multiple of `step` that is not over `x`. `step` is positive.
pub fn down_to_step(x: Nm, step: Nm) -> Nm {
    Nm(Integer::div_floor(&x.0, &step.0) * step.0)
}

/// The nearest multiple of `step`, halves away from zero. `step` is positive.
pub fn nearest_step(x: Nm, step: Nm) -> Nm {
    let steps = nearest(x.wide(), step.wide());
    Nm(i64::try_from(steps * step.wide()).unwrap_or(i64::MAX))
}

/// Root of a whole number, rounded to the nearest whole number.
pub fn nearest_root(square: &BigInt) -> BigInt {
    (Signed::abs(&(square * BigInt::from(4))).sqrt() + BigInt::one()).div_floor(&BigInt::from(2))
}

/// `|num| / sqrt(square)` rounded to the nearest whole number with the sign of `num`, exactly.
pub fn nearest_over_root(num: i128, square: i128) -> Option<i64> {
    let num_big = BigInt::from(num);
    let twice = (BigInt::from(4) * &num_big * &num_big / BigInt::from(square)).sqrt();
    let size = (twice + BigInt::one()).div_floor(&BigInt::from(2)).to_i64()?;
    Some(if num < 0 { -size } else { size })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_go_away_from_zero() {
        assert_eq!([nearest(5, 2), nearest(-5, 2), nearest(7, 3), nearest(-7, 3)], [3, -3, 2, -2]);
        assert_eq!(nearest_step(Nm(-3), Nm(2)), Nm(-4));
    }

    #[test]
    fn an_exact_multiple_never_gains_a_step() {
        for n in 1..=10_000 {
            let cubic_feet = 27.0 * f64::from(n) * 304_800_000_f64.powi(3);
            let yard = 914_400_000_f64.powi(3);
            assert_eq!(steps_up(cubic_feet, yard), f64::from(n));
            assert_eq!(steps_up(cubic_feet, 0.5 * yard), f64::from(2 * n));
        }
    }

    #[test]
    fn lengths_over_roots_are_exact() {
        // 3-4-5 frame: (3 x 3 + 4 x 4) / 5 = 5.
        assert_eq!(nearest_over_root(25, 25), Some(5));
        assert_eq!(nearest_over_root(-13, 25), Some(-3));
        assert_eq!(nearest_over_root(5, 4), Some(3));
        assert_eq!(nearest_root(&BigInt::from(2)), BigInt::from(1));
        assert_eq!(nearest_root(&BigInt::from(7)), BigInt::from(3));
    }
}
