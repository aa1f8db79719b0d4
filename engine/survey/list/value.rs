//! One cell of a list as a length.

use super::{LengthUnit, Role};
use crate::measure::{Decimal, Nm, StationStyle, read_length};
use crate::table::{Cell, CellKind, DecimalMark, plain_number};

/// Reads a cell: a number of the column's unit, a number with its own unit, feet and inches, a full station.
///
/// # Errors
/// It is none of these; the text says what it is.
pub(in crate::survey) fn read(
    cell: &Cell,
    role: Role,
    unit: Option<LengthUnit>,
    mark: DecimalMark,
) -> Result<Nm, String> {
    let known = unit;
    let unit = unit.unwrap_or(LengthUnit::Metre);
    let bad = || cell.text.chars().take(40).collect::<String>();
    let length = match cell.kind {
        CellKind::Number => Decimal::parse(&cell.text).and_then(|number| unit.length(number)),
        CellKind::Date => return Err(format!("{} (a date or a time)", bad())),
        CellKind::Text => text(&cell.text, role, known, mark),
        _ => None,
    };
    length.ok_or_else(|| match own_unit(&cell.text) {
        Some(own) if own != unit => format!("{} (the column is in {})", bad(), unit.name()),
        _ => bad(),
    })
}

fn text(text: &str, role: Role, known: Option<LengthUnit>, mark: DecimalMark) -> Option<Nm> {
    let unit = known.unwrap_or(LengthUnit::Metre);
    let number = |text: &str| {
        let plain = plain_number(text, mark)?;
        unit.length(Decimal::parse(&plain)?)
    };
    if role == Role::Station
        && let Some(joined) = full_station(text, known)
    {
        return number(&joined);
    }
    if let Some(length) = number(text) {
        return Some(length);
    }
    if let Some((digits, own)) = with_unit(text)
        && (own == unit || own == LengthUnit::Foot && unit == LengthUnit::SurveyFoot)
    {
        return number(digits);
    }
    let marked = text.contains(['\'', '"', '\u{2032}', '\u{2033}', '\u{2019}', '\u{201d}'])
        || text.to_lowercase().contains("ft");
    let read = read_length(text, StationStyle::HundredFeet).ok();
    read.filter(|_| marked && unit.is_feet()).and_then(|length| unit.of_feet(length))
}

/// A number and the unit that hangs on it.
fn with_unit(text: &str) -> Option<(&str, LengthUnit)> {
    let at = text.find(|c: char| c.is_alphabetic())?;
    let digits = text[..at].trim_end();
    let unit = LengthUnit::parse(&text[at..])?;
    (!digits.is_empty()).then_some((digits, unit))
}

/// The unit that a cell itself states.
pub(super) fn own_unit(text: &str) -> Option<LengthUnit> {
    if let Some((_, unit)) = with_unit(text) {
        return Some(unit);
    }
    let feet = text.starts_with(|c: char| c.is_ascii_digit() || c == '-')
        && plain_number(text, DecimalMark::Point).is_none()
        && plain_number(text, DecimalMark::Comma).is_none()
        && text.contains(['\'', '\u{2032}', '\u{2019}']);
    feet.then_some(LengthUnit::Foot)
}

/// A station written with its full stations, as one number: 1+16.50 in feet, 1+016.500 in metres. What stands between
/// plus and decimal point has all its digits, or the number would be another one.
fn full_station(text: &str, unit: Option<LengthUnit>) -> Option<String> {
    let (full, rest) = text.split_once('+')?;
    let whole = rest.split(['.', ',']).next()?;
    let fits = match unit {
        Some(unit) => whole.len() == if unit.is_metric() { 3 } else { 2 },
        // Of an unknown unit, as it is written.
        None => matches!(whole.len(), 2 | 3),
    };
    (!full.is_empty() && fits).then(|| format!("{full}{rest}"))
}

/// Whether a number stands for having none: -999, -9999.0 and the like, as instruments and programs write them.
pub(super) fn stands_for_none(cell: &Cell, role: Role) -> bool {
    let text = cell.text.trim();
    let nines =
        |digits: &str, least: usize| digits.len() >= least && digits.bytes().all(|b| b == b'9');
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let (whole, part) = digits.split_once(['.', ',']).unwrap_or((digits, ""));
    let part_plain = part.bytes().all(|b| b == b'0') || part.bytes().all(|b| b == b'9');
    let least = if negative { 3 } else { 5 };
    let heights = matches!(role, Role::Elevation | Role::Rod);
    let nines_throughout = !part.is_empty() && nines(part, 1) && nines(whole, 4);
    (nines(whole, least) || nines_throughout)
        && whole.len() < 8
        && part_plain
        && (negative || heights)
        || negative && matches!(whole, "32768" | "2147483648")
}
