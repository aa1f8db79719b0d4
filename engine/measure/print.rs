//! The one printer of measures and numbers: how many digits, and the unit beside them.

use super::{
    Dimension, Quantity, date_text, feet_inches, known_unit, shortest, significant, thousands, unit,
};

/// How many digits a number is printed with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Digits {
    /// So many decimals.
    Decimals(u32),
    /// No more decimals than it has, so many at most.
    AtMost(u32),
    /// So many digits, without decimals that say nothing.
    Significant(usize),
}

/// A number as a person reads it.
pub fn number_text(value: f64, digits: Digits) -> String {
    let trimmed = |text: String| match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    };
    match digits {
        Digits::Decimals(places) => thousands(value, places),
        Digits::AtMost(places) => trimmed(thousands(value, places)),
        Digits::Significant(digits) => {
            let value = significant(value, digits);
            match value.abs() {
                size if (1000.0..1e15).contains(&size) => trimmed(thousands(value, 6)),
                _ => written(value),
            }
        }
    }
}

/// A number as it is written in a formula.
pub fn written(value: f64) -> String {
    shortest(significant(value, 13))
}

/// The unit that numbers of a cell stand in: a length shown in feet and inches is a number of feet.
pub fn number_unit(shown: &str) -> &str {
    if shown == "ft-in" { "ft" } else { shown }
}

/// A measure in a unit as a person reads it.
pub fn amount(quantity: Quantity, name: &str) -> String {
    /// Digits of a measure.
    const DIGITS: Digits = Digits::Significant(7);
    if quantity.dimension() == Dimension::DATE {
        return date_text(quantity).unwrap_or_default();
    }
    if name == "ft-in"
        && let Ok(length) = quantity.to_nm()
    {
        return feet_inches(length, 16);
    }
    let Some(value) = known_unit(name).and_then(|unit| quantity.in_unit(&unit).ok()) else {
        return number_text(quantity.base(), DIGITS);
    };
    match (quantity.dimension(), name) {
        (Dimension::MONEY, name) => {
            format!("{} {name}", number_text(value, Digits::Decimals(2)))
        }
        (_, "percent") => format!("{} %", number_text(value, DIGITS)),
        (_, name) => format!("{} {name}", number_text(value, DIGITS)).trim_end().to_owned(),
    }
}

/// A text with its first letter large.
pub fn titled(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A number of things in words: `1 step`, `3 steps`.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Widest that a column but the last is made.
const WIDEST: usize = 34;

/// Rows of texts with their columns under each other.
pub fn aligned(rows: &[Vec<String>]) -> Vec<String> {
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let wide = |at: usize| {
        let cells = rows.iter().filter_map(|row| row.get(at));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0).min(WIDEST)
    };
    let widths: Vec<usize> = (0..count).map(wide).collect();
    let row = |row: &Vec<String>| {
        let padded = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:<width$}"));
        padded.collect::<Vec<_>>().join("  ").trim_end().to_owned()
    };
    rows.iter().map(row).collect()
}
/// A value in the unit of its cell, as a sheet writes it: a number, or a day.
pub fn cell_text(quantity: Quantity, name: &str) -> String {
    match (name, quantity.dimension()) {
        (_, Dimension::DATE) => date_text(quantity).unwrap_or_default(),
        ("percent", _) => written(quantity.base()),
        (name, _) => {
            let size = unit(number_unit(name)).and_then(|unit| quantity.in_unit(&unit));
            written(size.unwrap_or(quantity.base()))
        }
    }
}
