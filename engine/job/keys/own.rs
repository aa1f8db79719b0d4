//! Inputs that a wall case or the company's functions declare: keys of the table `[own]`; and prices of the job's own.

use std::collections::BTreeSet;
use std::sync::Mutex;

use super::super::kind::with_currency;
use super::{Key, KeyKind, Need, OWN, Part, table};
use crate::measure::{Dimension, Quantity, StationStyle, read_exact, read_length, unit};
use crate::problem::Problem;
use crate::script::DeclaredInput;
use crate::takeoff::is_plain_word;

/// The part: its keys are the job's own.
pub(super) const PART: Part = Part {
    tables: &[table(
        "own",
        false,
        true,
        "inputs that the wall case and the company's functions declare",
    )],
    keys: &[],
};

/// The key of a declared input.
///
/// # Errors
/// The declaration has no meaning: an unknown unit, limits that are none, a usual value outside them.
pub(in crate::job) fn own_key(input: &DeclaredInput) -> Result<Key, Problem> {
    let kind = kind(input)?;
    let need = match &input.usual {
        Some(text) => Need::Default(kept(text)),
        None => Need::Required,
    };
    Ok(Key {
        path: kept(&format!("{OWN}{}", input.name)),
        kind,
        need,
        about: kept(&input.about),
        own: true,
    })
}

/// The key of a price of the job's own; nothing where its name or price cannot be read, which the reading of the settings
/// tells.
pub(in crate::job) fn price_key(name: &str, price: &str, what: Option<&str>) -> Option<Key> {
    // Where the job counts in another currency the sign is refused when the price is read.
    let price = &*with_currency(price, "usd");
    let dimension = read_exact(price).ok()?.dimension;
    if !is_plain_word(name) || dimension.money != 1 {
        return None;
    }
    let is_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' ' | '_');
    let unit = price.trim_start_matches(is_number).trim_end();
    let kind = KeyKind::Amount(dimension, kept(&format!("1 {unit}")));
    let about = kept(what.unwrap_or("a price of the job's own"));
    Some(Key {
        path: kept(&format!("prices.{name}")),
        kind,
        need: Need::Optional,
        about,
        own: true,
    })
}

fn kind(input: &DeclaredInput) -> Result<KeyKind, Problem> {
    let limits = input.least.is_some() || input.most.is_some();
    let no_limits = |kind: KeyKind| match limits {
        false => Ok(kind),
        true => Err(Problem::error("least and most are for lengths and counts")),
    };
    if !is_plain_word(&input.name) {
        return Err(Problem::error("a formula could not name it: the language keeps the word")
            .help("give it another name"));
    }
    if let Some(choices) = &input.choices {
        if input.unit.is_some() {
            return Err(Problem::error("words to choose from have no unit"));
        }
        let twice = choices.iter().enumerate().find(|(at, word)| choices[..*at].contains(word));
        if let Some((_, word)) = twice {
            return Err(Problem::error(format!("\"{word}\" is twice among its choices")));
        }
        if choices.len() < 2 {
            return Err(Problem::error("there is nothing to choose from"));
        }
        let words: Vec<&'static str> = choices.iter().map(|word| kept(word)).collect();
        return no_limits(KeyKind::Choice(kept_words(&words)));
    }
    match input.unit.as_deref() {
        None => {
            let limit = |text: &Option<String>, usual: i64| match text {
                None => Ok(usual),
                Some(text) => text.parse().map_err(|_| {
                    Problem::error(format!("{text} is not a limit of a count"))
                        .help("whole numbers, or a unit, such as unit: \"ft\"")
                }),
            };
            let (least, most) = (limit(&input.least, 0)?, limit(&input.most, 1_000_000)?);
            match least <= most {
                true => Ok(KeyKind::Count(least, most)),
                false => Err(crossed(least, most)),
            }
        }
        Some("text") => no_limits(KeyKind::Text),
        Some("percent") => no_limits(KeyKind::Percent(100)),
        Some("slope") => no_limits(KeyKind::Slope(FLATTEST)),
        Some(name) => {
            let dimension = unit(name)?.dimension();
            if dimension != Dimension::LENGTH {
                Quantity::of(1.0, name)?;
                return no_limits(KeyKind::Amount(dimension, kept(&format!("1 {name}"))));
            }
            let limit = |text: &Option<String>, usual: &str| {
                let text = text.clone().unwrap_or_else(|| usual.to_owned());
                let length = read_length(&text, StationStyle::HundredFeet)?;
                Ok::<_, Problem>((length, kept(&text)))
            };
            let (least, most) = (limit(&input.least, "0 ft")?, limit(&input.most, "10000 ft")?);
            match least.0 <= most.0 {
                true => Ok(KeyKind::Length(least.1, most.1)),
                false => Err(crossed(least.1, most.1)),
            }
        }
    }
}

/// Flattest slope that an input may have, horizontal to one vertical.
const FLATTEST: i64 = 10;

fn crossed(least: impl std::fmt::Display, most: impl std::fmt::Display) -> Problem {
    Problem::error(format!("its least, {least}, is more than its most, {most}"))
}

/// A text that lives as long as the program. Keys are mostly constants; what scripts declare is kept once for each text,
/// however often a job is opened.
fn kept(text: &str) -> &'static str {
    static KEPT: Mutex<BTreeSet<&'static str>> = Mutex::new(BTreeSet::new());
    let mut kept = KEPT.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    if let Some(known) = kept.get(text) {
        return known;
    }
    let text: &'static str = Box::leak(text.to_owned().into_boxed_str());
    kept.insert(text);
    text
}

/// The same of a list of words.
fn kept_words(words: &[&'static str]) -> &'static [&'static str] {
    static KEPT: Mutex<BTreeSet<&'static [&'static str]>> = Mutex::new(BTreeSet::new());
    let mut kept = KEPT.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    if let Some(known) = kept.get(words) {
        return known;
    }
    let words: &'static [&'static str] = Box::leak(words.to_vec().into_boxed_slice());
    kept.insert(words);
    words
}
