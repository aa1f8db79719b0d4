//! What a setting's value is, and how it is read.

use std::borrow::Cow;

use num_traits::Signed;
use toml::de::DeValue;

use crate::measure::{
    Decimal, Dimension, Exact, Nm, StationStyle, WrittenFoot, foreign_currency,
    in_survey_feet_number, read_exact, read_length, read_slope, written_foot,
};
use crate::problem::{Problem, closest};

use super::Setting;

/// What a value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeyKind {
    /// A text.
    Text,
    /// One of several words.
    Choice(&'static [&'static str]),
    /// A whole number within limits.
    Count(i64, i64),
    /// A percentage of 0 to this.
    Percent(i64),
    /// Horizontal to vertical, this to one at most.
    Slope(i64),
    /// A length within limits.
    Length(&'static str, &'static str),
    /// An elevation or coordinate.
    Elevation,
    /// Any other measure, not negative; with an example.
    Amount(Dimension, &'static str),
    /// A plain number, not negative; with an example.
    Number(&'static str),
    /// Money, or money per any unit, not negative; with an example.
    Rate(&'static str),
    /// A list of texts; in a single text commas separate them.
    Texts,
    /// A text such as a file name, or a list of such.
    OneOrMore,
    /// A list of [running station, elevation].
    Stations,
}

/// Longest text of a setting, in letters.
const LONGEST_TEXT: usize = 1_000;

/// What reading depends on.
#[derive(Debug, Clone)]
pub(super) struct KeyReading {
    pub(super) stations: StationStyle,
    pub(super) currency: String,
    /// Whether the feet of corners, levels and benchmark are U.S. survey feet.
    pub(super) survey_feet: bool,
    /// Whether the job is metric: then metric defaults hold.
    pub(super) metric: bool,
}

impl KeyReading {
    /// An elevation or coordinate.
    fn elevation(&self, text: &str) -> Result<Nm, Problem> {
        let length = read_length(text, self.stations)?;
        let plain = written_foot(text) == Some(WrittenFoot::Plain);
        // In a job of survey feet its ft are those, and what is written otherwise is counted in them.
        Ok(if self.survey_feet && !plain { in_survey_feet_number(length) } else { length })
    }
}

impl KeyKind {
    /// What it is, for the page of keys.
    pub fn words(self) -> String {
        match self {
            Self::Text => "text".into(),
            Self::Choice(words) => format!("one of {}", words.join(", ")),
            Self::Count(least, most) => format!("whole number, {least} to {most}"),
            Self::Percent(most) => format!("percent, 0 to {most}"),
            Self::Slope(most) => format!("horizontal:vertical, such as 1:1, {most}:1 at most"),
            Self::Length(least, most) => format!("length, {least} to {most}"),
            Self::Elevation => "elevation or coordinate".into(),
            Self::Amount(dimension, example) => format!("{dimension}, such as {example}"),
            Self::Number(example) => format!("plain number, such as {example}"),
            Self::Rate(example) => format!("money per unit, such as {example}"),
            Self::Texts => "list of texts".into(),
            Self::OneOrMore => "text, or a list of texts".into(),
            Self::Stations => "list of [station, elevation]".into(),
        }
    }

    /// What a measure of it must be, where it is one that is given as such.
    pub(super) fn dimension(self) -> Option<Dimension> {
        match self {
            Self::Amount(dimension, _) => Some(dimension),
            _ => None,
        }
    }

    /// Reads a value of a file.
    pub(super) fn read(self, value: &DeValue, reading: &KeyReading) -> Result<Setting, Problem> {
        match (self, value) {
            (Self::Texts | Self::OneOrMore, DeValue::Array(items)) => {
                let text =
                    |item: &DeValue| match item {
                        DeValue::String(text) => Ok(text.to_string()),
                        _ => Err(Problem::error("a list of texts was expected")
                            .help("write each in quotes")),
                    };
                items
                    .iter()
                    .map(|item| text(item.get_ref()))
                    .collect::<Result<_, _>>()
                    .map(Setting::Texts)
            }
            (Self::Stations, DeValue::Array(items)) => stations(items, reading),
            (_, DeValue::String(text)) => self.read_text(text, reading),
            (Self::Count(..) | Self::Percent(_), DeValue::Integer(number))
                if number.radix() == 10 =>
            {
                self.read_text(&number.as_str().replace('_', ""), reading)
            }
            (Self::Percent(_), DeValue::Float(number)) => {
                self.read_text(&number.as_str().replace('_', ""), reading)
            }
            (Self::Length(..) | Self::Elevation, DeValue::Integer(_) | DeValue::Float(_)) => {
                let number = number_text(value);
                Err(Problem::error("a length needs its unit")
                    .help(format!("write \"{number} ft\", \"{number} m\" or feet and inches")))
            }
            (Self::Number(_), DeValue::Integer(_) | DeValue::Float(_)) => {
                self.read_text(&number_text(value), reading)
            }
            (
                Self::Amount(_, example) | Self::Rate(example),
                DeValue::Integer(_) | DeValue::Float(_),
            ) => {
                let lump = match self {
                    Self::Rate(_) => format!(
                        ", or \"{} {}\" for a lump sum",
                        number_text(value),
                        reading.currency
                    ),
                    _ => String::new(),
                };
                Err(Problem::error("this needs its unit")
                    .help(format!("write it like \"{example}\"{lump}")))
            }
            (_, other) => Err(Problem::error(format!(
                "{} was expected, this is {}",
                self.words(),
                toml_words(other)
            ))),
        }
    }

    /// Reads a value as text: from a file, a default or an override.
    pub(super) fn read_text(self, text: &str, reading: &KeyReading) -> Result<Setting, Problem> {
        let text = text.trim();
        match self {
            Self::Text | Self::OneOrMore if text.is_empty() => {
                Err(Problem::error("this may not be empty"))
            }
            Self::Text | Self::OneOrMore if text.chars().count() > LONGEST_TEXT => {
                Err(Problem::error(format!("this text has more than {LONGEST_TEXT} letters")))
            }
            // A file may have a comma in its name.
            Self::OneOrMore => Ok(match lengths(text, reading) {
                Some(lengths) => Setting::Texts(lengths),
                None => Setting::Text(text.to_owned()),
            }),
            Self::Text => Ok(Setting::Text(text.to_owned())),
            Self::Choice(words) => words
                .iter()
                .find(|word| word.eq_ignore_ascii_case(text))
                .map(|word| Setting::Text((*word).to_owned()))
                .ok_or_else(|| {
                    let problem =
                        Problem::error(format!("\"{text}\" is none of {}", words.join(", ")));
                    match closest(text, words.iter().copied()) {
                        Some(near) => problem.help(format!("did you mean \"{near}\"?")),
                        None => problem,
                    }
                }),
            Self::Count(least, most) => {
                let count = Decimal::parse(text)
                    .and_then(Decimal::whole)
                    .and_then(|n| i64::try_from(n).ok());
                match count.filter(|n| (least..=most).contains(n)) {
                    Some(count) => Ok(Setting::Count(count)),
                    None => Err(Problem::error(format!(
                        "a whole number of {least} to {most} was expected, this is \"{text}\""
                    ))
                    .help("write the number alone")),
                }
            }
            Self::Percent(most) => {
                let signed = text.strip_suffix('%');
                let number = signed.unwrap_or(text).trim_end();
                let value = Decimal::parse(number).map(Decimal::ratio);
                if let Some(problem) = value
                    .as_ref()
                    .filter(|_| signed.is_none())
                    .and_then(|value| share(number, value))
                {
                    return Err(problem);
                }
                let hundred = num_rational::BigRational::from_integer(100.into());
                let limit = num_rational::BigRational::from_integer(most.into());
                match value.filter(|value| !value.is_negative() && *value <= limit) {
                    Some(value) => Ok(Setting::Measure(Exact {
                        value: value / hundred,
                        dimension: Dimension::NUMBER,
                    })),
                    None => {
                        Err(Problem::error(format!("a percentage of 0 to {most} was expected"))
                            .help("write the number alone, or with a % sign"))
                    }
                }
            }
            Self::Slope(most) => {
                let value = read_slope(text)?;
                if value > num_rational::BigRational::from_integer(most.into()) {
                    return Err(Problem::error(format!("{text} is flatter than {most}:1"))
                        .help("horizontal to vertical was expected, such as 1:1"));
                }
                Ok(Setting::Measure(Exact { value, dimension: Dimension::NUMBER }))
            }
            Self::Elevation => reading.elevation(text).map(Setting::Length),
            Self::Length(least, most) => {
                let length = read_length(text, reading.stations)?;
                let limit = |text: &str| read_length(text, reading.stations).unwrap_or(Nm::ZERO);
                if (limit(least)..=limit(most)).contains(&length) {
                    Ok(Setting::Length(length))
                } else {
                    Err(Problem::error(format!("{text} is outside the range of {least} to {most}")))
                }
            }
            Self::Number(example) => {
                let value = Decimal::parse(text).map(Decimal::ratio);
                match value.filter(|value| !value.is_negative()) {
                    Some(value) => {
                        Ok(Setting::Measure(Exact { value, dimension: Dimension::NUMBER }))
                    }
                    None => Err(Problem::error(format!("\"{text}\" is not a plain number"))
                        .help(format!("write the number alone, such as {example}"))),
                }
            }
            Self::Amount(dimension, example) => {
                amount(&with_currency(text, &reading.currency), dimension, example, reading)
            }
            Self::Rate(example) => {
                let text = &*with_currency(text, &reading.currency);
                let own = read_exact(text).map(|exact| exact.dimension);
                let own = own.ok().filter(|own| own.money == 1).unwrap_or(Dimension::MONEY);
                amount(text, own, example, reading)
            }
            Self::Texts if text.is_empty() => Ok(Setting::Texts(Vec::new())),
            Self::Texts => {
                Ok(Setting::Texts(text.split(',').map(|item| item.trim().to_owned()).collect()))
            }
            Self::Stations => stations_text(text, reading),
        }
    }
}

/// Several lengths in one text, commas between them.
fn lengths(text: &str, reading: &KeyReading) -> Option<Vec<String>> {
    let items: Vec<&str> = text.split(',').map(str::trim).collect();
    let is_length = |item: &&str| read_length(item, reading.stations).is_ok();
    let all = items.len() > 1 && items.iter().all(is_length);
    all.then(|| items.into_iter().map(str::to_owned).collect())
}

/// A bare number above 0 and under 2 where percent is expected: a share of one, a factor of one and a share, or so many
/// percent.
fn share(text: &str, value: &num_rational::BigRational) -> Option<Problem> {
    let whole = |n: i64| num_rational::BigRational::from_integer(n.into());
    if !value.is_positive() || *value >= whole(2) || *value == whole(1) {
        return None;
    }
    let (share, what, more) = match *value < whole(1) {
        true => (value.clone(), "share", ""),
        false => (value - whole(1), "factor", " more"),
    };
    let percent = crate::measure::decimal_places(&(share * whole(100)), 6);
    let percent = percent.trim_end_matches('0').trim_end_matches('.');
    Some(
        Problem::error(format!(
            "{text} has two readings: a {what}, which is {percent} %{more}, or {text} %"
        ))
        .help(format!("write {percent} or \"{text} %\"")),
    )
}

/// Money with a dollar sign as an amount with its unit: `$6.90/sf` is 6.90 usd/sf. Where the job counts in another currency
/// the sign stays, and is refused.
pub(super) fn with_currency<'t>(text: &'t str, currency: &str) -> Cow<'t, str> {
    let Some(rest) = text.strip_prefix('$').filter(|_| currency == "usd") else {
        return text.into();
    };
    match rest.split_once('/') {
        Some((number, per)) => format!("{} usd/{}", number.trim(), per.trim()).into(),
        None => format!("{} usd", rest.trim()).into(),
    }
}

fn amount(
    text: &str,
    dimension: Dimension,
    example: &str,
    reading: &KeyReading,
) -> Result<Setting, Problem> {
    let example = example.replace("usd", &reading.currency);
    let exact = read_exact(text).map_err(|problem| match problem.help {
        Some(_) => problem,
        None => problem.help(format!("write it like \"{example}\"")),
    })?;
    if let Some(name) = foreign_currency(text, &reading.currency) {
        return Err(Problem::error(format!(
            "this is in {name}, the job is priced in {}",
            reading.currency
        )));
    }
    if exact.dimension != dimension {
        return Err(Problem::error(format!(
            "{dimension} was expected, this is {}",
            exact.dimension
        ))
        .help(format!("write it like \"{example}\"")));
    }
    if exact.value.is_negative()
        || exact.value
            > num_rational::BigRational::from_integer(num_bigint::BigInt::from(10).pow(60))
    {
        return Err(Problem::error("a value of 0 or more was expected"));
    }
    Ok(Setting::Measure(exact))
}

fn stations(items: &toml::de::DeArray, reading: &KeyReading) -> Result<Setting, Problem> {
    let wrong = || {
        Problem::error("a list of [station, elevation] was expected")
            .help("write it like [[\"0 ft\", \"203.3 ft\"], [\"12 ft\", \"202.4 ft\"]]")
    };
    let mut pairs = Vec::new();
    for item in items {
        let DeValue::Array(pair) = item.get_ref() else { return Err(wrong()) };
        let texts: Vec<&str> = pair
            .iter()
            .filter_map(|value| match value.get_ref() {
                DeValue::String(text) => Some(text.as_ref()),
                _ => None,
            })
            .collect();
        let [station, elevation] = texts[..] else { return Err(wrong()) };
        pairs.push((read_length(station, reading.stations)?, reading.elevation(elevation)?));
    }
    ascending(pairs)
}

/// The same in one text: `0 ft: 203.3 ft; 12 ft: 202.4 ft`.
fn stations_text(text: &str, reading: &KeyReading) -> Result<Setting, Problem> {
    let wrong = || {
        Problem::error("stations and elevations were expected")
            .help("write them like 0 ft: 203.3 ft; 12 ft: 202.4 ft")
    };
    let mut pairs = Vec::new();
    for pair in text.split(';') {
        let (station, elevation) = pair.split_once(':').ok_or_else(wrong)?;
        pairs.push((
            read_length(station.trim(), reading.stations)?,
            reading.elevation(elevation.trim())?,
        ));
    }
    ascending(pairs)
}

fn ascending(pairs: Vec<(Nm, Nm)>) -> Result<Setting, Problem> {
    if pairs.is_empty() || pairs.windows(2).any(|pair| pair[0].0 >= pair[1].0) {
        return Err(Problem::error("the stations must ascend, and there must be at least one"));
    }
    Ok(Setting::Stations(pairs))
}

fn number_text(value: &DeValue) -> String {
    match value {
        DeValue::Integer(number) => number.as_str().to_owned(),
        DeValue::Float(number) => number.as_str().to_owned(),
        _ => String::new(),
    }
}

fn toml_words(value: &DeValue) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date without quotes",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}
