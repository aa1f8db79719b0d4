//! Formulas and values as they are written in a cell of a unit.

use crate::catalogue::Value;
use crate::measure::{Dimension, Quantity, date_text, known_unit, number_unit, read_date};
use crate::problem::Problem;
use crate::sheet::check::Type;
use crate::sheet::evaluate::value_of;
use crate::sheet::formula::{Callee, Formula};
use crate::sheet::outside::Language;

/// The tree of a formula as written: an expression, or a value as typed in the unit of its cell.
pub(in crate::sheet) fn lower(
    text: &str,
    unit_name: &str,
    language: &dyn Language,
) -> Result<Formula, Problem> {
    if unit_name == "yes/no" {
        match text.to_lowercase().as_str() {
            "yes" | "true" => return Ok(Formula::Flag(true)),
            "no" | "false" => return Ok(Formula::Flag(false)),
            _ => {}
        }
    }
    // A date cell of a spreadsheet is a number of days.
    if unit_name == "date"
        && let Ok(days) = text.parse::<f64>()
        && (10_000.0..200_000.0).contains(&days)
    {
        let date = Quantity::new((days - 25_569.0) * 86_400.0, Dimension::DATE);
        return Ok(Formula::Measure(date, date_text(date).unwrap_or_default()));
    }
    let digits = text.chars().all(|c| c.is_ascii_digit() || c == '-');
    if unit_name == "date" && digits {
        return read_date(text).map(|date| Formula::Measure(date, text.to_owned()));
    }
    let lowered = match plainly(text).map_or_else(|| language.lower(text), Ok) {
        Ok(formula) => formula,
        Err(problem) => {
            return match language.measure(text) {
                Some(measure) => Ok(typed(measure, text)),
                None if unit_name == "text" && !looks_like_a_formula(text) => {
                    Ok(Formula::Text(text.to_owned()))
                }
                None => Err(problem),
            };
        }
    };
    // A plain number is one of the row's unit.
    let number = match &lowered {
        Formula::Number(number) => Some(*number),
        Formula::Negative(a) => match **a {
            Formula::Number(number) => Some(-number),
            _ => None,
        },
        _ => None,
    };
    let unit = number_unit(unit_name);
    let scaled = number.is_none()
        && unit_factor(unit).is_some_and(|factor| factor != 1.0)
        && only_numbers(&lowered);
    if scaled {
        return Err(Problem::error(format!("plain numbers in a formula of unit {unit}"))
            .help("write one number, which is in that unit, or give the numbers of the formula their units, such as 5.percent"));
    }
    match number.filter(|_| !unit.is_empty()).and_then(|number| Quantity::of(number, unit).ok()) {
        Some(measure) => Ok(typed(measure, &format!("{text} {unit}"))),
        None => Ok(lowered),
    }
}

/// Whether a text that cannot be read was meant as a formula all the same: it has braces, an operator that no text has, or a
/// name with a bracket behind it.
fn looks_like_a_formula(text: &str) -> bool {
    let called = |pair: &[char]| matches!(pair, [before, '('] if before.is_ascii_alphanumeric() || *before == '_');
    let letters: Vec<char> = text.chars().collect();
    ["{", "}", "==", "&&", "||"].iter().any(|sign| text.contains(sign))
        || letters.windows(2).any(called)
}

/// A plain number or a text in quotes, which nobody needs to read twice.
fn plainly(text: &str) -> Option<Formula> {
    if let Some(inner) = text.strip_prefix('"').and_then(|text| text.strip_suffix('"')) {
        return (!inner.contains(['"', '\\'])).then(|| Formula::Text(inner.to_owned()));
    }
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
    let plain = digits(whole) && digits(part) && text.len() <= 15;
    plain.then(|| text.parse().ok().map(Formula::Number)).flatten()
}

pub(super) fn typed(measure: Quantity, text: &str) -> Formula {
    match value_of(measure) {
        Value::Number(number) => Formula::Number(number),
        _ => Formula::Measure(measure, text.to_owned()),
    }
}

/// What one of a unit without dimension is, such as a percent.
fn unit_factor(name: &str) -> Option<f64> {
    known_unit(name).filter(|unit| unit.dimension() == Dimension::NUMBER).map(|unit| unit.factor())
}

/// Whether a formula rests on plain numbers alone.
fn only_numbers(formula: &Formula) -> bool {
    match formula {
        Formula::Number(_) => true,
        Formula::Negative(_)
        | Formula::Power(..)
        | Formula::Binary(..)
        | Formula::List(_)
        | Formula::Call(Callee::Builtin(_) | Callee::Script(_), _) => {
            formula.parts().into_iter().all(only_numbers)
        }
        _ => false,
    }
}

/// The type that a unit stands for; nothing for none.
pub(super) fn declared(name: &str) -> Option<Type> {
    match name {
        "" => None,
        "text" => Some(Type::Text),
        "date" => Some(Type::Number(Dimension::DATE)),
        "yes/no" => Some(Type::Flag),
        name => known_unit(number_unit(name)).map(|unit| Type::Number(unit.dimension())),
    }
}
