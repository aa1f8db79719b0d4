//! One value of a listing: the form in which results reach the workbook, the terminal and machine-readable output.

use num_traits::ToPrimitive;

use crate::measure::{Digits, Exact, Nm, System, known_unit, nearest_double, number_text};

/// One value of a row.
#[derive(Debug, Clone, PartialEq)]
pub enum Datum {
    /// Nothing.
    Blank,
    /// A text.
    Text(String),
    /// A whole number.
    Count(i64),
    /// Yes or no.
    Flag(bool),
    /// A length or elevation in the job's unit of length.
    Length(Nm),
    /// A measure in a named unit.
    Amount(Exact, String),
    /// A number without a unit.
    Number(f64),
}

impl Datum {
    /// A text.
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    /// A count of things.
    pub fn count(n: usize) -> Self {
        Self::Count(i64::try_from(n).unwrap_or(i64::MAX))
    }

    /// Its number and unit, in the units of a system; nothing for what is not a number.
    pub fn number(&self, system: System) -> Option<(f64, &str)> {
        match self {
            Self::Count(n) => Some((n.to_f64()?, "")),
            Self::Number(x) => Some((*x, "")),
            Self::Length(length) => {
                let size = if system == System::Us { Nm::FOOT } else { Nm::METRE };
                let value = nearest_double(&crate::measure::ratio(length.wide(), size.wide()));
                Some((value, system.length()))
            }
            Self::Amount(exact, name) if name.is_empty() => {
                Some((nearest_double(&exact.value), ""))
            }
            Self::Amount(exact, name) => {
                let unit = known_unit(name).filter(|unit| unit.dimension() == exact.dimension)?;
                Some((nearest_double(&(&exact.value / unit.exact())), name))
            }
            Self::Blank | Self::Text(_) | Self::Flag(_) => None,
        }
    }

    /// It in words, a number with so many decimals and its unit.
    pub fn words(&self, system: System, places: u32) -> String {
        self.written(system, Digits::Decimals(places))
    }

    /// The same with no more decimals than a number has, four at the most.
    pub fn short_words(&self, system: System) -> String {
        self.written(system, Digits::AtMost(4))
    }

    fn written(&self, system: System, digits: Digits) -> String {
        match self {
            Self::Blank => String::new(),
            Self::Text(text) => text.clone(),
            Self::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
            Self::Count(n) => n.to_string(),
            other => other.number(system).map_or_else(String::new, |(value, unit)| {
                format!("{} {unit}", number_text(value, digits)).trim_end().to_owned()
            }),
        }
    }

    /// A number as it is written, whose unit nothing says.
    pub fn bare(value: num_rational::BigRational) -> Self {
        let dimension = crate::measure::Dimension::NUMBER;
        Self::Amount(Exact { value, dimension }, String::new())
    }

    /// A length in the small unit of the system, or any other.
    pub fn length_in(length: Nm, unit: &str) -> Self {
        Self::Amount(
            Exact {
                value: crate::measure::ratio(length.wide(), 1),
                dimension: crate::measure::Dimension::LENGTH,
            },
            unit.to_owned(),
        )
    }
}
