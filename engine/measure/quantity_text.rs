//! Reading of quantities other than plain lengths: `42.25 usd/cy`, `24 kN/m3`, `1-1/2:1`.

use num_rational::BigRational;
use num_traits::{Signed, Zero};

use super::length_text::number;
use super::{CURRENCIES, Exact, unit};
use crate::problem::Problem;

/// Reads a number and its unit exactly.
///
/// # Errors
/// There is no number, no unit, or an unknown one.
pub fn read_exact(text: &str) -> Result<Exact, Problem> {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|(i, c)| {
            !(c.is_ascii_digit() || matches!(c, '.' | ',') || (*i == 0 && matches!(c, '+' | '-')))
        })
        .map_or(text.len(), |(i, _)| i);
    let (digits, name) = text.split_at(end);
    let name = name.trim();
    let (sign, size) = match digits.strip_prefix('-') {
        Some(rest) => (-1, rest),
        None => (1, digits.strip_prefix('+').unwrap_or(digits)),
    };
    if size.is_empty() {
        return Err(Problem::error("a number with its unit was expected")
            .help("write the number first: 42.25 usd/cy, 24 cy/h, 150 pcf"));
    }
    let value = number(size, false)?.ratio() * BigRational::from_integer(sign.into());
    if name.is_empty() {
        return Err(Problem::error("this number needs its unit"));
    }
    let unit = unit(name)?;
    if CURRENCIES.iter().any(|currency| name.starts_with(currency)) && thousands_by_point(size) {
        let without = size.replace('.', "");
        let short = size.trim_end_matches('0').trim_end_matches('.');
        return Err(Problem::error(format!(
            "{size} has two readings: {without}, with a point between thousands, or {short}"
        ))
        .help(format!(
            "write {without} {name} or {short}{} {name}",
            if short.contains('.') { "0" } else { ".00" }
        )));
    }
    if unit.offset() != 0.0 {
        let offset = BigRational::from_float(unit.offset()).unwrap_or_else(BigRational::zero);
        return Ok(Exact { value: value * unit.exact() + offset, dimension: unit.dimension() });
    }
    Ok(Exact { value: value * unit.exact(), dimension: unit.dimension() })
}

/// Money written like `1.800`: three digits after the point, the last a 0 that nobody writes after cents, and none before it
/// that is 0. A price such as `16.502 usd/sy` is what it says.
fn thousands_by_point(digits: &str) -> bool {
    digits.split_once('.').is_some_and(|(whole, part)| {
        (1..=3).contains(&whole.len())
            && !whole.starts_with('0')
            && part.len() == 3
            && part.ends_with('0')
    })
}

/// Reads a slope as horizontal to vertical: `1:1`, `1.5:1`, `1-1/2:1`, `0:1`.
///
/// # Errors
/// It is not two numbers with a colon between, or the vertical part is not positive.
pub fn read_slope(text: &str) -> Result<BigRational, Problem> {
    let wrong = || {
        Problem::error("a slope was expected, horizontal to vertical")
            .help("write it like 1:1, 1.5:1 or 3/4:1; 0:1 is a vertical bank")
    };
    let (run, rise) = text.split_once(':').ok_or_else(wrong)?;
    let part = |text: &str| -> Option<BigRational> {
        let (whole, fraction) = match text.trim().rsplit_once(['-', ' ']) {
            Some((whole, fraction)) => (number(whole.trim(), false).ok()?.ratio(), fraction.trim()),
            None => (BigRational::zero(), text.trim()),
        };
        match fraction.split_once('/') {
            Some((top, bottom)) => {
                let bottom = number(bottom, false).ok()?.ratio();
                (!bottom.is_zero())
                    .then(|| Some(whole + number(top, false).ok()?.ratio() / bottom))?
            }
            None => Some(whole + number(fraction, false).ok()?.ratio()),
        }
    };
    let (run, rise) = (part(run).ok_or_else(wrong)?, part(rise).ok_or_else(wrong)?);
    if rise.is_positive() { Ok(run / rise) } else { Err(wrong()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Dimension, ratio};

    #[test]
    fn prices_are_exact() {
        let price = read_exact("42.25 usd/cy").unwrap_or_else(|p| unreachable!("{p}"));
        assert_eq!(price.dimension, Dimension::MONEY_PER_VOLUME);
        let yard = ratio(914_400_000, 1);
        assert_eq!(price.value * &yard * &yard * &yard, ratio(4225, 100));
    }

    #[test]
    fn slopes_are_read() {
        for (text, expected) in [
            ("1:1", (1, 1)),
            ("1.5:1", (3, 2)),
            ("1-1/2:1", (3, 2)),
            ("3/4:1", (3, 4)),
            ("0:1", (0, 1)),
            ("1:2", (1, 2)),
        ] {
            assert_eq!(read_slope(text).ok(), Some(ratio(expected.0, expected.1)), "{text}");
        }
        for text in ["1", "1:0", "a:1", ":", "1/0:1"] {
            assert!(read_slope(text).is_err(), "{text}");
        }
    }
}
