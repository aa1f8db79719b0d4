//! Settings of the job: its inputs and prices.

use super::super::{SettingValue, Stated, WallJob};
use crate::listing::{AnyAmount, Datum, listings};

listings! {
    INPUTS = "inputs", "settings of the job, with what holds by default", for Office, by ["path"]: InputRow {
        path: String, "name in job.toml";
        what: &'static str, "what it is";
        value: Datum, "its value";
        unit: String, "unit that it is shown in";
        from: String, "where it is written; default where it is not";
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

pub(super) fn inputs(job: &WallJob) -> Vec<InputRow> {
    let row = |(path, stated): (&String, &Stated)| {
        let (value, unit) = match &stated.value {
            SettingValue::Measure(exact) => {
                let unit = stated.unit.clone();
                let shown = if unit == "percent" { String::new() } else { unit.clone() };
                (Datum::Amount(exact.clone(), shown), unit)
            }
            SettingValue::Count(count) => (Datum::Count(*count), String::new()),
            SettingValue::Text(text) => (Datum::text(text), "text".to_owned()),
        };
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
