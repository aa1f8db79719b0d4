//! Every listing that a job may have.

use super::Job;
use super::provenance::{FILES_READ, REPLACED_FILES, SET_ON_COMMAND_LINE, SOURCES_USED};
use super::sheets::{CELLS, DRAWN_CELLS, PRICE_BASIS, PRICE_MISSING};
use crate::listing::{AnyAmount, Datum, Declaration, Listing, listings};
use crate::problem::Place;
use crate::takeoff::{SOURCES, Setting, Stated, WallJob};

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

/// The settings of a job as listings.
pub(super) fn of_settings(job: &Job) -> [Listing; 2] {
    let input = |(path, stated): (&String, &Stated)| {
        let (value, unit) = match &stated.value {
            Setting::Measure(exact) => {
                let unit = stated.unit.clone();
                let shown = if unit == "percent" { String::new() } else { unit.clone() };
                (Datum::Amount(exact.clone(), shown), unit)
            }
            Setting::Count(count) => (Datum::Count(*count), String::new()),
            Setting::Text(text) => (Datum::text(text), "text".to_owned()),
        };
        let place = job.setting_places.get(path).cloned();
        let from = place.map_or("default".to_owned(), |place| {
            Place { file: job.layers.near(&place.file), ..place }.to_string()
        });
        InputRow { path: path.clone(), what: stated.about, value, unit, from }
    };
    let price = |(path, stated): (&String, &Stated)| {
        let Setting::Measure(exact) = &stated.value else { return None };
        let unit = stated.unit.clone();
        path.starts_with("prices.").then(|| PriceRow {
            path: path.clone(),
            what: stated.about,
            price: AnyAmount(exact.clone(), unit.clone()),
            unit,
        })
    };
    let settings = &job.wall_job.settings;
    // Walls, types and tops have listings of their own.
    let single = |(path, _): &(&String, &Stated)| job.keys.find(path).is_some();
    [
        Listing::of(INPUTS, settings.iter().filter(single).map(input)),
        Listing::of(PRICES, settings.iter().filter_map(price)),
    ]
}

/// The declarations of the bundled listings, in the order in which a person reads them.
pub fn declared() -> impl Iterator<Item = Declaration> {
    SOURCES.iter().map(|source| source.declaration).chain(OF_JOB)
}

/// The declarations of every listing that a job may have.
pub(super) fn declared_of(job: &WallJob) -> impl Iterator<Item = Declaration> {
    job.sources().map(|source| source.declaration).chain(OF_JOB)
}

/// What is known once the sheets are worked out.
const OF_JOB: [Declaration; 10] = [
    INPUTS,
    PRICES,
    CELLS,
    DRAWN_CELLS,
    PRICE_BASIS,
    PRICE_MISSING,
    REPLACED_FILES,
    SOURCES_USED,
    FILES_READ,
    SET_ON_COMMAND_LINE,
];
