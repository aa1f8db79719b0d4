//! Reading of lengths as people write them: `10'-5 1/2"`, `10.46'`, `5-6`, `125.5"`, `3.188 m`, `12+34.56`.
//!
//! What is ambiguous is refused, with both readings shown.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::ToPrimitive;

use super::{Decimal, Nm, round};
use crate::problem::Problem;

/// What one full station is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum StationStyle {
    /// `12+34.56` is 1,234.56 ft.
    #[default]
    HundredFeet,
    /// `1+234.56` is 1,234.56 m.
    ThousandMetres,
}

/// Denominators that a tape has.
const FRACTIONS: [i128; 6] = [2, 4, 8, 16, 32, 64];

#[derive(Debug, Clone, PartialEq)]
enum Token {
    Number(String),
    Foot,
    Inch,
    Unit(Nm),
    Dash,
    Slash,
    Plus,
}

/// Reads a length.
///
/// # Errors
/// It has no unit, is ambiguous, is no length at all, or is beyond [`Nm::LARGEST`].
pub fn read_length(text: &str, stations: StationStyle) -> Result<Nm, Problem> {
    let trimmed = text.trim();
    let (negative, body) = match trimmed.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, trimmed.strip_prefix('+').unwrap_or(trimmed)),
    };
    let body = without_on_centre(body);
    let exact = match in_survey_feet(body) {
        Some(digits) => number(digits, false)?.ratio() * survey_foot(),
        None => {
            let tokens = tokens(body).ok_or_else(|| not_a_length(trimmed))?;
            meaning(&tokens, trimmed, stations)?
        }
    };
    let rounded = round::nearest_ratio(&exact).to_i128().and_then(Nm::from_wide);
    let length = rounded.ok_or_else(|| {
        Problem::error(format!("\"{trimmed}\" is longer than 20,000 km"))
            .help("check the number and its unit")
    })?;
    Ok(if negative { -length } else { length })
}

/// A spacing without the words that say that it is one: `12" o.c.`.
fn without_on_centre(text: &str) -> &str {
    let lower = text.to_ascii_lowercase();
    let ends = ["o.c.", "o.c", "oc", "on center", "on centre", "on centers", "c/c"];
    ends.iter()
        .find(|end| lower.ends_with(*end))
        .map_or(text, |end| text[..text.len() - end.len()].trim_end())
}

/// The number of a length in U.S. survey feet.
fn in_survey_feet(text: &str) -> Option<&str> {
    let at = text.find(|c: char| c.is_ascii_alphabetic())?;
    let unit = text[at..].to_lowercase().replace([' ', '.'], "_");
    let names = ["us_survey_ft", "us_survey_feet", "us_survey_foot", "usft", "us_ft", "ftus"];
    names.contains(&unit.as_str()).then(|| text[..at].trim_end())
}

/// One U.S. survey foot in nanometres. Source survey-foot: 1200/3937 m exactly.
fn survey_foot() -> BigRational {
    BigRational::new(BigInt::from(1_200_000_000_000_i64), BigInt::from(3937))
}

/// A length that was read in international feet, as if its feet were U.S. survey feet.
pub fn as_survey_feet(read: Nm) -> Nm {
    let feet = super::ratio(read.wide(), Nm::FOOT.wide());
    round::nearest_ratio(&(feet * survey_foot())).to_i128().and_then(Nm::from_wide).unwrap_or(read)
}

/// The length whose international feet are as many as this one's U.S. survey feet: to print one as if it were the other.
pub fn in_survey_feet_number(length: Nm) -> Nm {
    let feet = super::ratio(length.wide(), 1) / survey_foot();
    let same = round::nearest_ratio(&(feet * scale_of(Nm::FOOT)));
    same.to_i128().and_then(Nm::from_wide).unwrap_or(length)
}

/// Which foot a length is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WrittenFoot {
    /// `ft` or feet and inches: this does not say which foot.
    Plain,
    /// U.S. survey feet, by name.
    Survey,
}

/// The foot that a length is written in; none where it is written in another unit.
pub fn written_foot(text: &str) -> Option<WrittenFoot> {
    let body = text.trim().trim_start_matches(['-', '+', '\u{2212}']).trim_start();
    if in_survey_feet(body).is_some() {
        return Some(WrittenFoot::Survey);
    }
    let tokens = tokens(body)?;
    let plain = tokens.iter().any(|token| matches!(token, Token::Foot | Token::Plus | Token::Dash));
    plain.then_some(WrittenFoot::Plain)
}

fn meaning(tokens: &[Token], text: &str, stations: StationStyle) -> Result<BigRational, Problem> {
    use Token::{Dash, Foot, Inch, Number, Plus, Unit};
    match tokens {
        [Number(n), Foot] => Ok(scale(number(n, false)?, Nm::FOOT)),
        [Number(n), Unit(unit)] => Ok(scale(number(n, true)?, *unit)),
        [Number(n), Foot, Dash, inches @ .., Inch]
        | [Number(n), Foot, inches @ .., Inch]
        | [Number(n), Foot, Dash, inches @ ..]
        | [Number(n), Foot, inches @ ..]
        | [Number(n), Dash, inches @ ..]
            if !inches.is_empty()
                && !inches.contains(&Inch)
                && !matches!(tokens, [_, Dash, _, Token::Slash, ..]) =>
        {
            feet_and_inches(n, inches, text)
        }
        [inches @ .., Inch] => {
            Ok(read_inches(inches).ok_or_else(|| not_a_length(text))? * scale_of(Nm::INCH))
        }
        [Number(n), Plus, Number(m)] => station(n, m, text, stations),
        [Number(n)] => {
            number(n, false)?;
            Err(Problem::error("a length needs its unit")
                .help(format!("write \"{n} ft\" or \"{n} in\" (or m, mm)")))
        }
        [Number(n), Number(m)] => Err(Problem::error(format!(
            "\"{text}\" is ambiguous: {n}'-{m}\", or the number {n}{m} with a blank in it"
        ))
        .help(format!("write {n}'-{m}\" or \"{n}{m} ft\""))),
        _ => Err(not_a_length(text)),
    }
}

/// Feet that must be whole, and inches under 12.
fn feet_and_inches(feet: &str, inches: &[Token], text: &str) -> Result<BigRational, Problem> {
    let feet_number = number(feet, false)?;
    if let [Token::Number(part)] = inches
        && part.starts_with('.')
        && !text.trim_end().ends_with(['"', '\u{2033}', '\u{201d}', '\''])
    {
        return Err(Problem::error(format!(
            "\"{text}\" has two readings: {feet}{part} ft, or {feet} ft and 0{part} in"
        ))
        .help(format!("write {feet}{part} ft or {feet}'-0{part}\"")));
    }
    let inch_number = read_inches(inches).ok_or_else(|| not_a_length(text))?;
    if feet_number.whole().is_none() {
        return Err(Problem::error(format!("\"{text}\" has a part of a foot and inches besides"))
            .help(format!("write either {feet} ft or whole feet with inches")));
    }
    if inch_number >= BigRational::from_integer(BigInt::from(12)) {
        let inches = super::decimal_places(&inch_number, 0);
        return Err(Problem::error(format!(
            "\"{text}\" is ambiguous: {feet} ft and {inches} in, or {feet}.{inches} ft"
        ))
        .help("inches beside feet stay under 12; write one of the two readings out"));
    }
    Ok(scale(feet_number, Nm::FOOT) + inch_number * scale_of(Nm::INCH))
}

/// `5`, `5.5`, `5 1/2`, `5-1/2` or `1/2`.
fn read_inches(tokens: &[Token]) -> Option<BigRational> {
    use Token::{Dash, Number, Slash};
    let fraction = |top: &str, bottom: &str| {
        let (top, bottom) =
            (number(top, false).ok()?.whole()?, number(bottom, false).ok()?.whole()?);
        (FRACTIONS.contains(&bottom) && top < bottom).then(|| super::ratio(top, bottom))
    };
    match tokens {
        [Number(n)] => Some(number(n, false).ok()?.ratio()),
        [Number(top), Slash, Number(bottom)] => fraction(top, bottom),
        [Number(n), Number(top), Slash, Number(bottom)]
        | [Number(n), Dash, Number(top), Slash, Number(bottom)] => {
            let whole = BigRational::from_integer(number(n, false).ok()?.whole()?.into());
            Some(whole + fraction(top, bottom)?)
        }
        _ => None,
    }
}

fn station(
    full: &str,
    plus: &str,
    text: &str,
    style: StationStyle,
) -> Result<BigRational, Problem> {
    let (digits, length, unit) = match style {
        StationStyle::HundredFeet => (2, 100, Nm::FOOT),
        StationStyle::ThousandMetres => (3, 1000, Nm::METRE),
    };
    let whole = plus.split('.').next().unwrap_or(plus);
    let (Some(full), Ok(plus)) = (number(full, false)?.whole(), number(plus, false)) else {
        return Err(not_a_length(text));
    };
    if whole.len() != digits {
        return Err(Problem::error(format!(
            "\"{text}\" is not a station of {length}: {digits} digits were expected after the plus sign"
        ))
        .help("set job.stations to \"100 ft\" or \"1000 m\", as the plan has them"));
    }
    let total = BigRational::from_integer(BigInt::from(full * length)) + plus.ratio();
    Ok(total * scale_of(unit))
}

/// A number with thousands commas where they are unmistakable. In metric text `1,234` could be either.
pub(super) fn number(text: &str, metric: bool) -> Result<Decimal, Problem> {
    let plain = |text: &str| {
        let text = if text.starts_with('.') { format!("0{text}") } else { text.to_owned() };
        Decimal::parse(&text).ok_or_else(|| {
            Problem::error(format!("\"{text}\" is not a number"))
                .help("digits and one decimal point; no exponent, no infinity")
        })
    };
    if !text.contains(',') {
        return plain(text);
    }
    let (whole, part) = text.split_once('.').map_or((text, None), |(w, p)| (w, Some(p)));
    let groups: Vec<&str> = whole.split(',').collect();
    let grouped = (1..=3).contains(&groups[0].len())
        && !groups[0].starts_with('0')
        && groups[1..].iter().all(|g| g.len() == 3)
        && !part.is_some_and(|p| p.contains(','));
    let joined = groups.concat();
    if !grouped {
        let point = text.replacen(',', ".", 1);
        return Err(Problem::error(format!(
            "\"{text}\" is ambiguous: {point} with a decimal comma, or {joined} with a misplaced thousands comma"
        ))
        .help("write a decimal point, and commas only between groups of three digits"));
    }
    if metric && part.is_none() && groups.len() == 2 {
        return Err(Problem::error(format!(
            "\"{text}\" is ambiguous: {joined}, or {}.{} with a decimal comma",
            groups[0], groups[1]
        ))
        .help(format!("write {joined} or {}.{}", groups[0], groups[1])));
    }
    plain(&part.map_or(joined.clone(), |p| format!("{joined}.{p}")))
}

fn scale(number: Decimal, unit: Nm) -> BigRational {
    number.ratio() * scale_of(unit)
}

fn scale_of(unit: Nm) -> BigRational {
    BigRational::from_integer(BigInt::from(unit.0))
}

fn not_a_length(text: &str) -> Problem {
    Problem::error(format!("\"{text}\" is not a length"))
        .help("lengths are written like 10'-5 1/2\", 10.46 ft, 125.5 in, 3.188 m or 955 mm")
}

/// A fraction that is one sign.
fn vulgar(c: char) -> Option<(&'static str, &'static str)> {
    Some(match c {
        '\u{bd}' => ("1", "2"),
        '\u{bc}' => ("1", "4"),
        '\u{be}' => ("3", "4"),
        '\u{215b}' => ("1", "8"),
        '\u{215c}' => ("3", "8"),
        '\u{215d}' => ("5", "8"),
        '\u{215e}' => ("7", "8"),
        _ => return None,
    })
}

fn tokens(text: &str) -> Option<Vec<Token>> {
    let mut tokens = Vec::new();
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let take = |len: usize| rest.split_at(len);
        let (token, after) = match c {
            c if c.is_whitespace() => {
                rest = &rest[c.len_utf8()..];
                continue;
            }
            '0'..='9' | '.' => {
                let len = rest
                    .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
                    .unwrap_or(rest.len());
                let (digits, after) = take(len);
                (Token::Number(digits.to_owned()), after)
            }
            '\'' if rest.starts_with("''") => (Token::Inch, take(2).1),
            '\'' | '\u{2032}' | '\u{2019}' => (Token::Foot, take(c.len_utf8()).1),
            '"' | '\u{2033}' | '\u{201d}' => (Token::Inch, take(c.len_utf8()).1),
            '-' | '\u{2013}' => (Token::Dash, take(c.len_utf8()).1),
            '/' => (Token::Slash, take(1).1),
            c if vulgar(c).is_some() => {
                let (top, bottom) = vulgar(c).unwrap_or(("0", "1"));
                tokens.extend([Token::Number(top.to_owned()), Token::Slash]);
                (Token::Number(bottom.to_owned()), take(c.len_utf8()).1)
            }
            '+' => (Token::Plus, take(1).1),
            _ => {
                let len = rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(rest.len());
                let (word, after) = take(len);
                let token = match word {
                    "ft" | "feet" | "foot" => Token::Foot,
                    "in" | "inch" | "inches" => Token::Inch,
                    "m" => Token::Unit(Nm::METRE),
                    "cm" => Token::Unit(Nm::MILLIMETRE * 10),
                    "mm" => Token::Unit(Nm::MILLIMETRE),
                    "yd" => Token::Unit(Nm::FOOT * 3),
                    _ => return None,
                };
                (token, after.strip_prefix('.').unwrap_or(after))
            }
        };
        tokens.push(token);
        rest = after;
    }
    Some(tokens)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Result<Nm, Problem> {
        read_length(text, StationStyle::HundredFeet)
    }

    #[test]
    fn lengths_as_people_write_them() {
        let foot = Nm::FOOT.0;
        let inch = Nm::INCH.0;
        let cases = [
            ("10'-5 1/2\"", 10 * foot + 11 * inch / 2),
            ("10'-5-1/2\"", 10 * foot + 11 * inch / 2),
            ("10' 5.5\"", 10 * foot + 11 * inch / 2),
            ("10\u{2019}-5\u{bd}\u{201d}", 10 * foot + 11 * inch / 2),
            ("10.46'", foot * 1046 / 100),
            ("10 ft 5 1/2 in", 10 * foot + 11 * inch / 2),
            ("5-6", 5 * foot + 6 * inch),
            ("5-6 1/4", 5 * foot + 25 * inch / 4),
            ("125.5\"", 251 * inch / 2),
            ("3/4 in", 3 * inch / 4),
            ("5-1/2 in", 11 * inch / 2),
            ("8'-0", 8 * foot),
            ("-0'-3\"", -3 * inch),
            ("3.188 m", 3_188_000_000),
            ("955 mm", 955_000_000),
            ("12+34.56", foot * 123_456 / 100),
            ("1,234.5 ft", foot * 12_345 / 10),
            ("2,000,000 ft", foot * 2_000_000),
            (".75 ft", foot * 3 / 4),
            ("10\u{2019}-5\u{201d}", 10 * foot + 5 * inch),
        ];
        for (text, expected) in cases {
            assert_eq!(read(text), Ok(Nm(expected)), "{text}");
        }
        assert_eq!(read_length("1+234.5", StationStyle::ThousandMetres), Ok(Nm(1_234_500_000_000)));
    }

    #[test]
    fn what_is_ambiguous_is_refused_with_both_readings() {
        let says = |text: &str| read(text).err().map_or_else(String::new, |p| p.to_string());
        insta::assert_snapshot!(
            [
                "2.25",
                "10 6",
                "5-13",
                "1,234 m",
                "1,5 ft",
                "5.5'-3\"",
                "1/3 in",
                "1e9 ft",
                "nan ft",
                "12+345",
                "abc",
                "",
                "99999999999 km"
            ]
            .map(|text| format!("{text:?}\n{}", says(text)))
            .join("\n")
        );
    }

    proptest! {
        #[test]
        fn what_is_printed_reads_back(sixteenths in -2_000_000i64..2_000_000) {
            let length = Nm(sixteenths * 1_587_500);
            let text = crate::measure::feet_inches(length, 16);
            prop_assert_eq!(read(&text), Ok(length), "{}", text);
        }

        #[test]
        fn nothing_makes_the_reader_fall_over(text in "[-+0-9'\"/., ftinm\u{2032}]{0,14}") {
            let _ = read(&text);
        }
    }
}
