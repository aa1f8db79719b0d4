//! One runtime quantity: a number in base units and what it measures.

use std::cmp::Ordering;

use super::{Dimension, Nm, Unit, round, unit};
use crate::problem::Problem;

/// In base units nothing that is built, dug or paid comes near this.
const LARGEST: f64 = 1e100;

/// A value with its dimension. Base units: nanometre, newton, second, kelvin, one of the currency, radian.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    value: f64,
    dimension: Dimension,
}

impl Quantity {
    /// A value in base units.
    pub const fn new(value: f64, dimension: Dimension) -> Self {
        Self { value, dimension }
    }

    /// A plain number.
    pub fn number(value: f64) -> Self {
        Self::new(value, Dimension::NUMBER)
    }

    /// An exact length.
    #[expect(clippy::cast_precision_loss, reason = "exact to 9,000 km, wider than any wall")]
    pub fn length(value: Nm) -> Self {
        Self::new(value.0 as f64, Dimension::LENGTH)
    }

    /// A value in a named unit.
    ///
    /// # Errors
    /// There is no such unit.
    pub fn of(value: f64, name: &str) -> Result<Self, Problem> {
        let unit = unit(name)?;
        let made = Self::new(value * unit.factor() + unit.offset(), unit.dimension());
        made.finite().map_err(|_| {
            Problem::error(format!("a number of {name} is larger than anything that is counted"))
                .help("look at its power of ten")
        })
    }

    /// The value in base units.
    pub fn base(self) -> f64 {
        self.value
    }

    /// What it measures.
    pub fn dimension(self) -> Dimension {
        self.dimension
    }

    /// The value in a unit.
    ///
    /// # Errors
    /// The unit measures something else.
    pub fn in_unit(self, unit: &Unit) -> Result<f64, Problem> {
        if self.dimension == unit.dimension() {
            Ok((self.value - unit.offset()) / unit.factor())
        } else {
            Err(Problem::error(format!(
                "{} cannot be shown in {}, which is {}",
                self.dimension,
                unit.name(),
                unit.dimension()
            )))
        }
    }

    /// The exact length that it is closest to: rounded to the nanometre once.
    ///
    /// # Errors
    /// It is not a length, or is beyond [`Nm::LARGEST`].
    #[expect(clippy::cast_possible_truncation, reason = "the range is checked just above")]
    pub fn to_nm(self) -> Result<Nm, Problem> {
        if self.dimension != Dimension::LENGTH {
            return Err(Problem::error(format!(
                "a length was expected, this is {}",
                self.dimension
            )));
        }
        let rounded = round::nearest_f64(self.value);
        if rounded.abs() <= 2e16 {
            Ok(Nm(rounded as i64))
        } else {
            Err(Problem::error("this length is larger than 20,000 km"))
        }
    }

    /// The sum. A temperature or date plus a difference is a temperature or date.
    ///
    /// # Errors
    /// The two measure different things, or are two temperatures.
    pub fn add(self, other: Self) -> Result<Self, Problem> {
        let (a, b) = (self.dimension, other.dimension);
        let dimension = a.plus(b).ok_or_else(|| mixed(a, "plus", b))?;
        Self::new(self.value + other.value, dimension).finite()
    }

    /// The difference. A point minus a point is a difference.
    ///
    /// # Errors
    /// The two measure different things.
    pub fn subtract(self, other: Self) -> Result<Self, Problem> {
        let (a, b) = (self.dimension, other.dimension);
        let dimension = a.minus(b).ok_or_else(|| mixed(a, "minus", b))?;
        Self::new(self.value - other.value, dimension).finite()
    }

    /// The product.
    ///
    /// # Errors
    /// The result is not a finite number, or a factor is a temperature.
    pub fn multiply(self, other: Self) -> Result<Self, Problem> {
        self.no_point()?;
        other.no_point()?;
        Self::new(self.value * other.value, self.dimension.times(other.dimension)).finite()
    }

    /// The quotient.
    ///
    /// # Errors
    /// The divisor is zero, or one of the two is a temperature.
    pub fn divide(self, other: Self) -> Result<Self, Problem> {
        self.no_point()?;
        other.no_point()?;
        if other.value == 0.0 {
            return Err(Problem::error("division by zero"));
        }
        Self::new(self.value / other.value, self.dimension.times(other.dimension.power(-1)))
            .finite()
    }

    /// A whole power.
    ///
    /// # Errors
    /// The result is not a finite number.
    pub fn power(self, n: i8) -> Result<Self, Problem> {
        self.no_point()?;
        Self::new(self.value.powi(i32::from(n)), self.dimension.power(n)).finite()
    }

    /// The negative.
    #[must_use]
    pub fn negative(self) -> Self {
        Self::new(-self.value, self.dimension)
    }

    /// The size without its sign.
    #[must_use]
    pub fn size(self) -> Self {
        Self::new(self.value.abs(), self.dimension)
    }

    /// Compares: lengths to the nanometre, everything else by the named rule [`round::same`].
    ///
    /// # Errors
    /// The two measure different things.
    pub fn compare(self, other: Self) -> Result<Ordering, Problem> {
        if self.dimension != other.dimension {
            return Err(mixed(self.dimension, "compared with", other.dimension));
        }
        round::compare(self.value, other.value, self.dimension.is_whole())
            .ok_or_else(|| Problem::error("a value that is not a number cannot be compared"))
    }

    /// Rounds up to a multiple of `step`; an exact multiple stays.
    ///
    /// # Errors
    /// `step` measures something else or is not positive.
    pub fn round_up(self, step: Self) -> Result<Self, Problem> {
        self.check_step(step)?;
        let steps = round::steps_up(self.value, step.value);
        Self::new(round::multiple(steps, step.value), self.dimension).finite()
    }

    /// Rounds down to a multiple of `step`; an exact multiple stays.
    ///
    /// # Errors
    /// As [`Quantity::round_up`].
    pub fn round_down(self, step: Self) -> Result<Self, Problem> {
        self.check_step(step)?;
        let steps = round::steps_down(self.value, step.value);
        Self::new(round::multiple(steps, step.value), self.dimension).finite()
    }

    /// Rounds to the nearest multiple of `step`, halves away from zero; a half that a division missed by noise is one.
    ///
    /// # Errors
    /// As [`Quantity::round_up`].
    pub fn round_nearest(self, step: Self) -> Result<Self, Problem> {
        self.check_step(step)?;
        let steps = round::steps_near(self.value, step.value);
        Self::new(round::multiple(steps, step.value), self.dimension).finite()
    }

    /// Money to the nearest hundredth, halves away from zero.
    ///
    /// # Errors
    /// It is no money.
    pub fn to_cent(self) -> Result<Self, Problem> {
        if self.dimension != Dimension::MONEY {
            return Err(Problem::error(format!("to_cent of {}", self.dimension))
                .help("an amount of money was expected; round others with round_near"));
        }
        self.round_nearest(Self::new(0.01, Dimension::MONEY))
    }

    fn check_step(self, step: Self) -> Result<(), Problem> {
        if self.dimension != step.dimension {
            return Err(mixed(self.dimension, "rounded to", step.dimension));
        }
        if step.value > 0.0 {
            Ok(())
        } else {
            Err(Problem::error("the step to round to must be greater than zero"))
        }
    }

    fn no_point(self) -> Result<(), Problem> {
        if self.dimension.point {
            return Err(Problem::error(format!(
                "{} cannot be multiplied or divided",
                self.dimension
            ))
            .help("use a difference of two"));
        }
        Ok(())
    }

    fn finite(self) -> Result<Self, Problem> {
        if self.value.abs() < LARGEST {
            Ok(self)
        } else {
            Err(Problem::error("the result is not a finite number that anything is counted by"))
        }
    }
}

fn mixed(a: Dimension, verb: &str, b: Dimension) -> Problem {
    let problem = Problem::error(format!("{a} {verb} {b}"));
    match (a, b) {
        (Dimension::NUMBER, _) | (_, Dimension::NUMBER) => {
            problem.help("give the number a unit, for example 3.ft")
        }
        (Dimension::VOLUME, Dimension::MONEY) | (Dimension::MONEY, Dimension::VOLUME) => {
            problem.help("multiply the volume by a price per volume first")
        }
        _ => problem.help("both sides must measure the same thing"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn q(value: f64, unit: &str) -> Quantity {
        Quantity::of(value, unit).unwrap_or_else(|p| unreachable!("{p}"))
    }

    #[test]
    fn tape_and_rod_do_not_drift() {
        assert_eq!(q(36.0, "in"), q(3.0, "ft"));
        for (step, unit_name, n) in
            [(0.01, "ft", 10_000), (1.0 / 16.0, "in", 10_000), (1.0, "mm", 10_000)]
        {
            let one = q(step, unit_name);
            let sum = (0..n).fold(Quantity::length(Nm::ZERO), |sum, _| sum.add(one).unwrap_or(sum));
            assert_eq!(sum, q(step * f64::from(n), unit_name), "{step} {unit_name}");
        }
    }

    #[test]
    fn fluid_head_agrees_with_its_pressure() {
        for h in 1..=40 {
            let head = q(150.0, "pcf")
                .multiply(q(f64::from(h), "ft"))
                .unwrap_or_else(|p| unreachable!("{p}"));
            let same = head.compare(q(150.0 * f64::from(h), "psf"));
            assert_eq!(same.ok(), Some(Ordering::Equal), "{h} ft");
        }
    }

    #[test]
    fn cubic_feet_and_yards_agree() {
        for n in 1..=10_000 {
            let feet = q(27.0 * f64::from(n), "cf");
            assert_eq!(feet.compare(q(f64::from(n), "cy")).ok(), Some(Ordering::Equal));
            for step in [1.0, 0.5] {
                let up = feet.round_up(q(step, "cy")).unwrap_or_else(|p| unreachable!("{p}"));
                assert_eq!(
                    up.compare(q(f64::from(n), "cy")).ok(),
                    Some(Ordering::Equal),
                    "{n} to {step}"
                );
            }
        }
    }

    #[test]
    fn unlike_things_do_not_add() {
        assert!(q(1.0, "ft").add(q(1.0, "lb")).is_err());
        assert!(q(1.0, "ft").add(Quantity::number(1.0)).is_err());
        assert!(q(60.0, "F").add(q(60.0, "F")).is_err());
        let rise = q(60.0, "F").subtract(q(50.0, "F"));
        assert!(rise.is_ok_and(|r| r.dimension() == Dimension::TEMPERATURE_CHANGE));
    }
}
