//! Every single value of the settings with what its key says of it, as scripts, formulas and papers see it.

use std::collections::BTreeMap;

use super::super::{Key, KeyKind};
use super::Setting;
use crate::measure::{Dimension, Exact, Style, ratio};
use crate::problem::Place;
use crate::takeoff::{SettingValue, Stated};

/// Values as they were read, with where they stand.
pub(super) type AsRead = BTreeMap<String, (Option<Place>, Option<Stated>)>;

/// Elements of lists are numbered.
fn is_number(word: &str) -> bool {
    word.bytes().all(|c| c.is_ascii_digit())
}

/// Whether a value belongs to an element of a list.
pub(super) fn within_a_list(path: &str) -> bool {
    path.split('.').any(is_number)
}

/// The path of the key of a value.
pub(super) fn key_path(path: &str) -> String {
    let words = path.split('.').map(|word| match is_number(word) {
        true => "[]".to_owned(),
        false => format!(".{word}"),
    });
    let generic: String = words.collect();
    generic.trim_start_matches('.').to_owned()
}

/// A value with what its key says of it; nothing for a list.
pub(super) fn stated(
    value: &Setting,
    key: &Key,
    style: &Style,
    from: Option<Place>,
) -> Option<Stated> {
    let value = match value {
        Setting::Text(text) => SettingValue::Text(text.clone()),
        Setting::Count(count) => SettingValue::Count(*count),
        Setting::Length(length) => SettingValue::Measure(Exact {
            value: ratio(length.wide(), 1),
            dimension: Dimension::LENGTH,
        }),
        Setting::Measure(exact) => SettingValue::Measure(exact.clone()),
        Setting::Texts(_) | Setting::Stations(_) => return None,
    };
    let unit = match &value {
        SettingValue::Measure(exact) => key.unit(exact.dimension, style),
        _ => String::new(),
    };
    let choices = match key.kind {
        KeyKind::Choice(words) => words,
        _ => &[],
    };
    Some(Stated { value, about: key.about, unit, from, choices })
}
