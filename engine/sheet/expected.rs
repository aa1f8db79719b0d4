//! Tests of a sheet: what a cell is expected to be, and within how much.

use super::book::{Book, Node, NodeId, Origin};
use super::build::lower;
use super::evaluate::{Stop, evaluate};
use super::outside::Language;
use super::rows::Across;
use super::table::{Sheet, SheetRow};
use super::words::value_words;
use crate::catalogue::Value;
use crate::measure::{
    Decimal, Dimension, Quantity, known_unit, number_unit, round, significant, written,
};
use crate::problem::{Place, Problem};

/// What a cell is expected to be, as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expectation {
    /// The value.
    pub value: String,
    /// How far off it may be, in the unit of the row or in percent; empty for half of the value's last digit.
    pub within: String,
    /// Where the value stands.
    pub place: Place,
}

/// A cell beside what it is expected to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tested {
    /// Full name of the cell.
    pub cell: String,
    /// Its value in words; empty where it has none.
    pub value: String,
    /// What was expected.
    pub expected: String,
    /// Within how much.
    pub within: String,
    /// What is wrong, if something is.
    pub problem: Option<Problem>,
}

/// Every cell that something is expected of, in the order of the sheets; of a sheet for each wall every wall's.
pub fn tested(sheets: &[Sheet], book: &Book, language: &dyn Language) -> Vec<Tested> {
    let test = |(id, node): (NodeId, &Node)| {
        let Origin::Cell { sheet, row, wall } = node.origin else { return None };
        let sheet = sheets.get(sheet as usize)?;
        let row = sheet.rows.get(row as usize)?;
        let of_row = || {
            let Across::Rows(axis) = &sheet.across else { return None };
            let at = wall? as usize;
            let key = axis.keys.get(at).cloned().unwrap_or_else(|| (at + 1).to_string());
            axis.expected.get(&(key, row.column?))
        };
        let expected = row.expected.as_ref().or_else(of_row)?;
        let problem = test(id, row, expected, book, language).err();
        Some(Tested {
            cell: node.name.to_string(),
            value: book.words(id),
            expected: in_unit(&expected.value, row),
            within: in_unit(&expected.within, row),
            problem: problem.map(|problem| problem.at(expected.place.clone())),
        })
    };
    (0..).zip(book.nodes()).filter_map(test).collect()
}

/// A typed number with the unit of its row.
fn in_unit(text: &str, row: &SheetRow) -> String {
    match (row.unit.as_str(), Decimal::parse(text)) {
        ("ft-in", _) | (_, None) => text.to_owned(),
        ("date", _) if text == "1" => "1 day".to_owned(),
        ("date", _) => format!("{text} days"),
        (unit, _) => format!("{text} {unit}").trim_end().to_owned(),
    }
}

/// A typed value.
fn typed(text: &str, unit: &str, book: &Book, language: &dyn Language) -> Result<Value, Problem> {
    let none = || {
        Problem::error(format!("\"{text}\" is not a value"))
            .help("a value is written as in a row without a formula, in the unit of the row")
    };
    // A text may be typed without quotes.
    if unit == "text" {
        return Ok(Value::Text(text.trim_matches('"').to_owned()));
    }
    let formula = lower(text, unit, language).map_err(|_| none())?;
    if !formula.is_typed() {
        return Err(none());
    }
    evaluate(&formula, book, language).map_err(|stop| match stop {
        Stop::Fault(problem) => problem,
        Stop::Waiting(_) => none(),
    })
}

fn test(
    id: NodeId,
    row: &SheetRow,
    expected: &Expectation,
    book: &Book,
    language: &dyn Language,
) -> Result<(), Problem> {
    let node = book.node(id);
    let wanted = typed(&expected.value, &row.unit, book, language)?;
    let Some(value) = book.value(id) else {
        return Err(Problem::error(format!(
            "{} has no value, {} was expected",
            node.name,
            in_unit(&expected.value, row)
        )));
    };
    let differs = |within: &str| {
        let name = &node.name;
        let (value, wanted) = (value_as_close(&value, node), in_unit(&expected.value, row));
        Problem::error(format!("{name} is {value}, {wanted} was expected{within}"))
            .help("correct the formula, or what is expected of it")
    };
    match (&value, &wanted) {
        (Value::Text(a), Value::Text(b)) if a == b => Ok(()),
        (Value::Flag(a), Value::Flag(b)) if a == b => Ok(()),
        (Value::Measure(_) | Value::Number(_), Value::Measure(_) | Value::Number(_)) => {
            let (is, wanted) = (shown(&value, node)?, shown(&wanted, node)?);
            let (within, words) = match expected.within.as_str() {
                "" => (last_digit(&expected.value), String::new()),
                text => {
                    let within = tolerance(text, wanted, node, row, book, language)?;
                    (within, format!(" within {}", in_unit(text, row)))
                }
            };
            let off = (is - wanted).abs();
            if round::up_to(off, within) || round::same(is, wanted) {
                Ok(())
            } else {
                Err(differs(&words))
            }
        }
        _ => Err(differs("")),
    }
}

/// A value in words, a number with as many digits as a difference may hang on.
fn value_as_close(value: &Value, node: &Node) -> String {
    let words = || value_words(value, &node.unit);
    if matches!(node.unit.as_str(), "ft-in" | "date" | "text" | "yes/no") {
        return words();
    }
    match shown(value, node) {
        Ok(number) => {
            format!("{} {}", written(significant(number, 9)), node.unit).trim_end().to_owned()
        }
        Err(_) => words(),
    }
}

/// A number in the unit that its cell is shown in; days of a date.
fn shown(value: &Value, node: &Node) -> Result<f64, Problem> {
    let quantity = match value {
        Value::Measure(quantity) => *quantity,
        Value::Number(number) => Quantity::number(*number),
        other => return Err(Problem::error(format!("{} is not a number", other.words()))),
    };
    if quantity.dimension() == Dimension::DATE {
        return Ok(quantity.base() / 86_400.0);
    }
    match known_unit(number_unit(&node.unit)) {
        Some(unit) => quantity.in_unit(&unit),
        None => Ok(quantity.base()),
    }
}

/// How far off a value may be: a share of it, or a number in its unit.
fn tolerance(
    text: &str,
    wanted: f64,
    node: &Node,
    row: &SheetRow,
    book: &Book,
    language: &dyn Language,
) -> Result<f64, Problem> {
    if row.unit != "percent"
        && let Some(share) = text.strip_suffix('%').and_then(|text| Decimal::parse(text.trim_end()))
    {
        return Ok(wanted.abs() * crate::measure::nearest_double(&share.ratio()) / 100.0);
    }
    // Of a point such as a date or a temperature a plain number of its unit.
    if let Some(number) = Decimal::parse(text) {
        return Ok(crate::measure::nearest_double(&number.ratio()).abs());
    }
    shown(&typed(text, &row.unit, book, language)?, node).map(f64::abs)
}

/// Half of the last digit of a number as written; nothing of what is written otherwise.
fn last_digit(text: &str) -> f64 {
    let text = text.trim().trim_end_matches(['%', ' ']);
    if Decimal::parse(text).is_none() {
        return 0.0;
    }
    let places = text.rsplit_once('.').map_or(0, |(_, decimals)| decimals.len());
    0.5 * 10_f64.powi(-i32::try_from(places).unwrap_or(0))
}
