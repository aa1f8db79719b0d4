//! What an input may be: the one statement of its range, for the check, the message and the reference.

use super::{CURRENCIES, Quantity, round, shortest, significant, unit};
use crate::problem::Problem;

/// The range of an input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Name of the input.
    pub name: &'static str,
    /// Unit that the bounds are given in; empty for a plain number.
    pub unit: &'static str,
    /// Lowest value, if there is one.
    pub least: Option<f64>,
    /// Whether the lowest value itself is out.
    pub over: bool,
    /// Highest value, if there is one.
    pub most: Option<f64>,
}

impl Limits {
    /// Any value.
    pub const fn any(name: &'static str) -> Self {
        Self { name, unit: "", least: None, over: false, most: None }
    }

    /// No less than a value.
    pub const fn at_least(name: &'static str, least: f64, unit: &'static str) -> Self {
        Self { name, unit, least: Some(least), over: false, most: None }
    }

    /// More than a value.
    pub const fn over(name: &'static str, least: f64, unit: &'static str) -> Self {
        Self { name, unit, least: Some(least), over: true, most: None }
    }

    /// Between two values, both included.
    pub const fn within(name: &'static str, least: f64, most: f64, unit: &'static str) -> Self {
        Self { name, unit, least: Some(least), over: false, most: Some(most) }
    }

    /// More than one value and no more than another.
    pub const fn over_to(name: &'static str, least: f64, most: f64, unit: &'static str) -> Self {
        Self { name, unit, least: Some(least), over: true, most: Some(most) }
    }

    /// The same range under another name.
    #[must_use]
    pub const fn named(self, name: &'static str) -> Self {
        Self { name, ..self }
    }

    /// Checks a value: a bound counts as met within what a conversion of units rounds.
    ///
    /// # Errors
    /// It is outside; the message names the input, its value and the range.
    pub fn check(&self, value: impl Into<Quantity>) -> Result<(), Problem> {
        let quantity = value.into();
        let value = match self.unit {
            "" => quantity.base(),
            name => quantity.in_unit(&unit(name)?)?,
        };
        let low = self.least.is_some_and(|least| {
            let met = round::same(value, least) || (value - least).abs() < 1e-12;
            if self.over { met || value < least } else { !met && value < least }
        });
        let high = self.most.is_some_and(|most| !round::up_to(value, most));
        if value.is_finite() && !low && !high {
            return Ok(());
        }
        let name = self.name;
        let shown = shortest(significant(value, 7));
        let expected = format!("{name}: {} was expected", self.words());
        // A share is often given as a number of percent.
        let share = self.unit.is_empty() && self.most == Some(1.0) && value > 1.0;
        if share {
            let percent = shortest(significant(value * 100.0, 7));
            return Err(Problem::error(format!(
                "{name} is {shown}, a plain number: as a share that is {percent} %"
            ))
            .help(format!("{expected}; {shown} % is written {shown}.percent")));
        }
        Err(Problem::error(format!("{name} is {}", self.with_unit(&shown))).help(expected))
    }

    /// Money is counted in the currency of whoever asks: its range names none.
    fn with_unit(&self, number: &str) -> String {
        let currency = CURRENCIES.iter().find_map(|known| self.unit.strip_prefix(known));
        match currency {
            Some("") => number.to_owned(),
            Some(per) => format!("{number} per {}", per.trim_start_matches('/')),
            None => format!("{number} {}", self.unit).trim_end().to_owned(),
        }
    }

    /// The range in words; empty for any value.
    pub fn words(&self) -> String {
        let show = |value: f64| shortest(value);
        match (self.least, self.most) {
            (Some(least), Some(most)) if self.over => {
                self.with_unit(&format!("over {} to {}", show(least), show(most)))
            }
            (Some(least), Some(most)) => {
                self.with_unit(&format!("{} to {}", show(least), show(most)))
            }
            (Some(least), None) if self.over => self.with_unit(&format!("over {}", show(least))),
            (Some(least), None) => format!("{} or more", self.with_unit(&show(least))),
            (None, Some(most)) => format!("{} or less", self.with_unit(&show(most))),
            (None, None) => String::new(),
        }
    }
}
