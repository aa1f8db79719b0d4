//! Units. Each is defined exactly: as a decimal number of base units, or by other units.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, ToPrimitive, pow};

use super::{Decimal, Dimension};
use crate::problem::{Problem, closest};

/// Currencies that a job may be priced in (ISO 4217 codes in lower case).
pub const CURRENCIES: &[&str] = &["usd", "eur", "gbp", "cad", "aud", "nzd", "chf"];

/// A currency other than the job's that a text names: money is never converted, so it is never mixed.
pub fn foreign_currency(text: &str, own: &str) -> Option<&'static str> {
    CURRENCIES.iter().copied().find(|name| *name != own && text.to_lowercase().contains(name))
}

/// Units given in base units: name, dimension, factor. International foot; standard gravity 9.80665 m/s2.
const BASE: &[(&str, Dimension, &str)] = &[
    ("nm", Dimension::LENGTH, "1"),
    ("mm", Dimension::LENGTH, "1000000"),
    ("cm", Dimension::LENGTH, "10000000"),
    ("m", Dimension::LENGTH, "1000000000"),
    ("km", Dimension::LENGTH, "1000000000000"),
    ("in", Dimension::LENGTH, "25400000"),
    ("ft", Dimension::LENGTH, "304800000"),
    ("yd", Dimension::LENGTH, "914400000"),
    ("mi", Dimension::LENGTH, "1609344000000"),
    ("N", Dimension::FORCE, "1"),
    ("kN", Dimension::FORCE, "1000"),
    ("lb", Dimension::FORCE, "4.4482216152605"),
    ("kg", Dimension::FORCE, "9.80665"),
    ("s", Dimension::TIME, "1"),
    ("min", Dimension::TIME, "60"),
    ("h", Dimension::TIME, "3600"),
    ("hr", Dimension::TIME, "3600"),
    ("day", Dimension::TIME, "86400"),
    ("rad", Dimension::ANGLE, "1"),
    ("percent", Dimension::NUMBER, "0.01"),
    ("each", Dimension::NUMBER, "1"),
];

/// Units given by others: name, definition, multiplier.
const DERIVED: &[(&str, &str, &str)] = &[
    ("inch", "in", "1"),
    ("feet", "ft", "1"),
    ("lf", "ft", "1"),
    ("ea", "each", "1"),
    ("sf", "ft2", "1"),
    ("sy", "yd2", "1"),
    ("cf", "ft3", "1"),
    ("cy", "yd3", "1"),
    ("acre", "ft2", "43560"),
    ("gal", "in3", "231"),
    ("board_foot", "in3", "144"),
    ("kip", "lb", "1000"),
    ("ton", "lb", "2000"),
    ("tonne", "kg", "1000"),
    ("plf", "lb/ft", "1"),
    ("psf", "lb/ft2", "1"),
    ("psi", "lb/in2", "1"),
    ("ksf", "kip/ft2", "1"),
    ("ksi", "kip/in2", "1"),
    ("pcf", "lb/ft3", "1"),
    ("Pa", "N/m2", "1"),
    ("kPa", "kN/m2", "1"),
    ("MPa", "N/mm2", "1"),
];

/// Degrees of temperature: name, kelvin per degree (numerator, denominator), kelvin at zero.
const TEMPERATURES: &[(&str, (i64, i64), f64)] = &[
    ("F", (5, 9), 459.67 * 5.0 / 9.0),
    ("degF", (5, 9), 459.67 * 5.0 / 9.0),
    ("C", (1, 1), 273.15),
    ("degC", (1, 1), 273.15),
];

/// A unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    name: String,
    dimension: Dimension,
    exact: BigRational,
    factor: f64,
    offset: f64,
}

impl Unit {
    fn new(name: &str, dimension: Dimension, exact: BigRational) -> Self {
        let factor = exact.to_f64().unwrap_or(f64::NAN);
        Self { name: name.to_owned(), dimension, exact, factor, offset: 0.0 }
    }

    /// Its name, as written.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What it measures.
    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// Base units in one of it, exactly.
    pub fn exact(&self) -> &BigRational {
        &self.exact
    }

    /// Base units in one of it.
    pub fn factor(&self) -> f64 {
        self.factor
    }

    /// Base units at its zero; not zero for degrees of temperature only.
    pub fn offset(&self) -> f64 {
        self.offset
    }
}

type Table = BTreeMap<String, Unit>;

fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut table = Table::new();
        let mut enter = |unit: Unit| {
            table.insert(unit.name.clone(), unit);
        };
        let decimal =
            |text: &str| Decimal::parse(text).map_or_else(BigRational::one, Decimal::ratio);
        for (name, dimension, factor) in BASE {
            enter(Unit::new(name, *dimension, decimal(factor)));
        }
        for name in CURRENCIES {
            enter(Unit::new(name, Dimension::MONEY, BigRational::one()));
        }
        enter(Unit {
            factor: std::f64::consts::PI / 180.0,
            ..Unit::new(
                "deg",
                Dimension::ANGLE,
                BigRational::from_float(std::f64::consts::PI / 180.0)
                    .unwrap_or_else(BigRational::one),
            )
        });
        // Source survey-foot: 1200/3937 m exactly.
        let survey = BigRational::new(BigInt::from(1_200_000_000_000_i64), BigInt::from(3937));
        enter(Unit::new("us_survey_ft", Dimension::LENGTH, survey));
        for (name, (num, den), zero) in TEMPERATURES {
            let step = BigRational::new(BigInt::from(*num), BigInt::from(*den));
            enter(Unit::new(
                &format!("{name}_change"),
                Dimension::TEMPERATURE_CHANGE,
                step.clone(),
            ));
            enter(Unit { offset: *zero, ..Unit::new(name, Dimension::TEMPERATURE, step) });
        }
        for (name, definition, multiplier) in DERIVED {
            if let Ok(unit) = compose(&table, definition) {
                let exact = unit.exact * decimal(multiplier);
                table.insert((*name).to_owned(), Unit::new(name, unit.dimension, exact));
            }
        }
        table
    })
}

/// A unit by its name or composition: `ft`, `cy`, `usd/cy`, `lb/ft2`, `kN/m3`.
///
/// # Errors
/// A part of it is not a unit.
pub fn unit(text: &str) -> Result<Unit, Problem> {
    compose(table(), text.trim()).map_err(|part| {
        let plain = text.replace('\u{b2}', "2").replace('\u{b3}', "3");
        match plain != text {
            true => {
                Problem::error(format!("\"{text}\" is not a unit")).help(format!("write {plain}"))
            }
            false => not_a_unit(table(), &part),
        }
    })
}

/// The same where a text that is none is no fault.
pub fn known_unit(text: &str) -> Option<Unit> {
    compose(table(), text.trim()).ok()
}

/// The simple unit names, in order.
pub fn unit_names() -> impl Iterator<Item = &'static str> {
    table().keys().map(String::as_str)
}

/// A unit by its composition, or the part that is none.
fn compose(table: &Table, text: &str) -> Result<Unit, String> {
    if let Some(unit) = table.get(text) {
        return Ok(unit.clone());
    }
    let mut dimension = Dimension::NUMBER;
    let mut exact = BigRational::one();
    let mut sign = 1;
    let mut rest = text;
    loop {
        let end = rest.find(['/', '*']).unwrap_or(rest.len());
        let (part, after) = rest.split_at(end);
        // A share of a unit, such as 1/cy.
        if part.trim() == "1" && sign > 0 && after.starts_with('/') {
            sign = -1;
            rest = &after[1..];
            continue;
        }
        let (factor, n) = power(table, part.trim())?;
        let n = n * sign;
        dimension = dimension.times(factor.dimension.power(n));
        let size = pow(factor.exact.clone(), usize::from(n.unsigned_abs()));
        exact = if n < 0 { exact / size } else { exact * size };
        match after.chars().next() {
            None => return Ok(Unit::new(text, dimension, exact)),
            Some(operator) => {
                sign = if operator == '/' { -1 } else { 1 };
                rest = &after[1..];
            }
        }
    }
}

/// One factor of a composition: a name and a whole exponent, as in `ft2` or `m^3`.
fn power<'a>(table: &'a Table, part: &str) -> Result<(&'a Unit, i8), String> {
    let name = part.trim_end_matches(|c: char| c.is_ascii_digit());
    let exponent = match &part[name.len()..] {
        "" => 1,
        digits => digits.parse::<i8>().ok().filter(|n| (1..=6).contains(n)).unwrap_or(0),
    };
    let name = name.trim_end_matches('^');
    let unit = table.get(name).filter(|unit| exponent > 0 && !unit.dimension.point);
    unit.map(|unit| (unit, exponent)).ok_or_else(|| part.to_owned())
}

fn not_a_unit(table: &Table, part: &str) -> Problem {
    let name = part.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end_matches('^');
    let problem = Problem::error(format!("\"{part}\" is not a unit"));
    match closest(name, table.keys().map(String::as_str)) {
        Some(near) => problem.help(format!("did you mean {near}?")),
        None => problem.help("units are written like ft, in, cy, lb, psf, usd/cy, kN/m3"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_definition_is_used() {
        for (name, _, _) in DERIVED {
            assert!(table().contains_key(*name), "{name}");
        }
    }

    #[test]
    fn compositions_are_exact() {
        let yard = unit("cy").unwrap_or_else(|p| unreachable!("{p}"));
        let foot = unit("ft^3").unwrap_or_else(|p| unreachable!("{p}"));
        assert_eq!(yard.exact() / foot.exact(), BigRational::from_integer(BigInt::from(27)));
        assert_eq!(unit("lb/ft3").map(|u| u.dimension()).ok(), Some(Dimension::UNIT_WEIGHT));
        assert!(unit("foot/").is_err());
        assert!(unit("usd/F").is_err());
    }
}
