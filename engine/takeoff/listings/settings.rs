//! Settings of the job: its inputs and prices.

use super::super::{SettingValue, Stated, WallJob};
use crate::listing::{AnyAmount, Datum, listings};
use crate::measure::{Nm, Quantity};

listings! {
    INPUTS = "inputs", "settings of the job, with what holds by default", for Office, by ["path"]: InputRow {
        path: String, "name in job.toml";
        what: &'static str, "what it is";
        value: Datum, "its value";
        unit: String, "unit that it is shown in";
        from: String, "where it is written; default where it is not";
    }
    RULES = "rules", "what the layout and the works are decided by: settings that are no prices", for Engineer, by ["what"]: RuleRow {
        group: &'static str, "what it is about";
        what: &'static str, "what it is";
        value: Datum, "its value";
        unit: String, "its unit";
        from: &'static str, "whether the job states it, or the usual value holds";
    }
    PRICES = "prices", "prices of the job", for Office, by ["path"]: PriceRow {
        path: String, "name in job.toml";
        what: &'static str, "what it is for";
        price: AnyAmount, "the price";
        unit: String, "its unit";
    }
}

/// Whether a path is of a single setting; walls, types and tops have listings of their own.
fn single(path: &str) -> bool {
    !path.split('.').any(|word| word.bytes().all(|c| c.is_ascii_digit()))
}

/// Tables of settings that decide the layout and the works, and their words.
const RULED: [(&str, &str); 8] = [
    ("rules", "Steps and depth"),
    ("module", "Forms: the grid of steps"),
    ("courses", "Courses: the grid of steps"),
    ("one_level", "One level"),
    ("bars", "Bars"),
    ("footing_sides", "Sides of the footing"),
    ("backfill", "Backfill"),
    ("allowances", "Excavation and allowances"),
];

/// Settings that are the firm's own affair: waste and what is ordered.
fn is_of_office(path: &str) -> bool {
    ["waste", "order", "swell"].iter().any(|word| path.contains(word))
}

pub(super) fn rules(job: &WallJob) -> Vec<RuleRow> {
    let mut rows = Vec::new();
    for (table, group) in RULED {
        let of_table = |path: &str| {
            path.strip_prefix(table).is_some_and(|rest| rest.starts_with('.'))
                && single(path)
                && !is_of_office(path)
        };
        for (path, stated) in job.settings.iter().filter(|(path, _)| of_table(path)) {
            let (value, unit) = shown(stated);
            // An elevation is no small length, however near to 0.
            let (value, unit) = match ["level", "top_of"].iter().any(|word| path.contains(word)) {
                true => (value, unit),
                false => in_small_units(value, unit),
            };
            let from = match stated.from {
                Some(_) => "stated",
                None => "usual value",
            };
            rows.push(RuleRow { group, what: stated.about, value, unit, from });
        }
    }
    rows
}

/// A measure in the unit that a plan gives it in: covers and spacings in inches or millimetres, strengths in psi or MPa.
fn in_small_units(value: Datum, unit: String) -> (Datum, String) {
    let Datum::Amount(exact, _) = &value else { return (value, String::new()) };
    let small = match (unit.as_str(), exact.quantity().base()) {
        ("ft", length) if length < Quantity::length(Nm::FOOT).base() => "in",
        ("m", length) if length < Quantity::length(Nm::METRE).base() => "mm",
        ("psf", _) => "psi",
        ("kPa", _) => "MPa",
        _ => return (value, unit),
    };
    (Datum::Amount(exact.clone(), small.to_owned()), small.to_owned())
}

/// A setting's value as a listing holds it, and its unit in words.
fn shown(stated: &Stated) -> (Datum, String) {
    match &stated.value {
        SettingValue::Measure(exact) => {
            let unit = stated.unit.clone();
            let shown = if unit == "percent" { String::new() } else { unit.clone() };
            (Datum::Amount(exact.clone(), shown), unit)
        }
        SettingValue::Count(count) => (Datum::Count(*count), String::new()),
        SettingValue::Text(text) => (Datum::text(text), "text".to_owned()),
    }
}

pub(super) fn inputs(job: &WallJob) -> Vec<InputRow> {
    let row = |(path, stated): (&String, &Stated)| {
        let (value, unit) = shown(stated);
        let from = stated.from.as_ref().map_or("default".to_owned(), ToString::to_string);
        InputRow { path: path.clone(), what: stated.about, value, unit, from }
    };
    job.settings.iter().filter(|(path, _)| single(path)).map(row).collect()
}

pub(super) fn prices(job: &WallJob) -> Vec<PriceRow> {
    let row = |(path, stated): (&String, &Stated)| {
        let SettingValue::Measure(exact) = &stated.value else { return None };
        let unit = stated.unit.clone();
        path.starts_with("prices.").then(|| PriceRow {
            path: path.clone(),
            what: stated.about,
            price: AnyAmount(exact.clone(), unit.clone()),
            unit,
        })
    };
    job.settings.iter().filter_map(row).collect()
}
