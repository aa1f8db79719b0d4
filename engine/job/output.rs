//! Outputs of a job: machine-readable text and the workbook.

use serde_json::{Map, Value, json};

use super::listings::declared_of;
use super::{CalcSheets, Job, KEYS, Work};
use crate::files::{self, Found};
use crate::footing::System;
use crate::listing::{Datum, Listing};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::takeoff::{Setting, ShotReport, Takeoff, shot_listings};
use crate::workbook::{Contents, Names, Page, check_page, read_page, write_workbook};
use std::collections::BTreeMap;

/// Name and version of the machine-readable form.
pub const JSON_FORMAT: &str = "rodbook takeoff 1";

/// The work as machine-readable text.
pub fn json(job: &Job, work: &Work) -> String {
    let wall_job = &job.wall_job;
    let mut object = Map::new();
    object.insert("format".into(), JSON_FORMAT.into());
    object.insert("version".into(), env!("CARGO_PKG_VERSION").into());
    object.insert("job".into(), wall_job.title.name.clone().into());
    object
        .insert("units".into(), if wall_job.system == System::Us { "us" } else { "metric" }.into());
    object.insert("currency".into(), wall_job.currency.clone().into());
    object.insert("date".into(), wall_job.title.date.clone().map_or(Value::Null, Value::from));
    object.insert("feasible".into(), work.takeoff.is_some().into());
    object.insert("case_by".into(), work.case_by.clone().map_or(Value::Null, Value::from));
    object.insert("price_missing".into(), work.calc.missing.clone().into());
    object.insert("problems".into(), work.no_layout.iter().map(problem).collect::<Vec<_>>().into());
    object.insert("records".into(), records(&work.listings, wall_job.system));
    pretty(&Value::Object(object))
}

/// A shot list as machine-readable text.
pub fn shots_json(report: &ShotReport, job: Option<&Job>) -> String {
    let system = job.map_or(System::Us, |job| job.wall_job.system);
    let listings = shot_listings(report, job.map(|job| job.wall_job.as_ref()));
    let mut object = Map::new();
    object.insert("format".into(), "rodbook shots 1".into());
    object.insert("version".into(), env!("CARGO_PKG_VERSION").into());
    object.insert("records".into(), records(&listings, system));
    pretty(&Value::Object(object))
}

fn pretty(value: &Value) -> String {
    serde_json::to_string_pretty(value).unwrap_or_default()
}

fn problem(problem: &Problem) -> Value {
    json!({
        "severity": problem.severity.to_string(),
        "place": problem.place.as_ref().map(ToString::to_string),
        "message": problem.message,
        "details": problem.details,
        "help": problem.help,
    })
}

fn records(listings: &[Listing], system: System) -> Value {
    let mut all = Map::new();
    for listing in listings {
        let row = |row: &Vec<Datum>| {
            let fields = listing.columns().iter().zip(row);
            Value::Object(
                fields
                    .map(|(column, value)| (column.name.to_owned(), datum(value, system)))
                    .collect(),
            )
        };
        all.insert(
            listing.name().to_owned(),
            listing.rows.iter().map(row).collect::<Vec<_>>().into(),
        );
    }
    Value::Object(all)
}

fn datum(datum: &Datum, system: System) -> Value {
    match datum {
        Datum::Blank => Value::Null,
        Datum::Text(text) => text.clone().into(),
        Datum::Count(count) => (*count).into(),
        Datum::Flag(flag) => (*flag).into(),
        Datum::Number(number) => (*number).into(),
        measured => match measured.number(system) {
            Some((value, unit)) => json!({ "value": value, "unit": unit }),
            None => Value::Null,
        },
    }
}

/// What each setting is and the unit that it is shown in, by its path.
fn settings_in_words(job: &Job) -> BTreeMap<String, (String, String)> {
    let wall_job = &job.wall_job;
    let words = |(path, setting): (&String, &Setting)| {
        let key = KEYS.iter().find(|key| key.path == path)?;
        let unit = match setting {
            Setting::Measure(exact) => key.unit(exact.dimension, wall_job),
            _ => String::new(),
        };
        Some((path.clone(), (key.about.to_owned(), unit)))
    };
    wall_job.settings.iter().filter_map(words).collect()
}

/// The pages of the workbook, each held against what there is to name.
///
/// # Errors
/// A page description is faulty, or names what nothing has.
pub(super) fn pages(job: &Job, takeoff: Option<&Takeoff>, calc: &CalcSheets) -> Outcome<Vec<Page>> {
    let mut names = Names { listings: declared_of(&job.wall_job).collect(), ..Names::default() };
    let lines = |takeoff: &Takeoff| takeoff.lines.iter().map(|line| line.id.clone()).collect();
    names.lines = takeoff.map(lines);
    let cells = || calc.book.nodes().iter().map(|node| node.name.clone()).collect();
    names.cells = takeoff.map(|_| cells());
    let bundled =
        || files::EMBEDDED.iter().filter(|(name, _)| name.starts_with("templates/workbook/"));
    // What the bundled pages name there is, though not in every job.
    for (name, text) in bundled() {
        names.add(&[read_page(name, text)?]);
    }
    let mut faults = Faults::none();
    let mut pages = Vec::new();
    for (name, _) in bundled() {
        let Some(Found { shown, text, .. }) = faults.keep(job.layers.find(name)) else { continue };
        if let Some(page) = faults.keep_one(read_page(&shown, &text)) {
            faults.extend(check_page(&page, &shown, &text, &names));
            let same = |other: &Page| other.sheet.to_lowercase() == page.sheet.to_lowercase();
            if pages.iter().any(same) {
                faults.push(
                    Problem::error(format!("two pages are called \"{}\"", page.sheet))
                        .at(Place::file(&shown))
                        .help("give one of them another name"),
                );
            }
            pages.push(page);
        }
    }
    faults.or_value(Some(pages))
}

/// The workbook as bytes.
///
/// # Errors
/// It cannot be written.
pub fn workbook(job: &Job, work: &Work) -> Outcome<Vec<u8>> {
    write_workbook(&Contents {
        job: &job.wall_job.title.name,
        system: job.wall_job.system,
        pages: &work.pages,
        listings: &work.listings,
        takeoff: work.takeoff.as_ref(),
        sheets: &work.sheets,
        calc: &work.calc.sheets,
        book: &work.calc.book,
        settings: &settings_in_words(job),
    })
}

/// A workbook of calc sheets that stand alone, as bytes.
///
/// # Errors
/// The spreadsheet library refuses something.
pub fn sheets_workbook(title: &str, system: System, calc: &CalcSheets) -> Outcome<Vec<u8>> {
    write_workbook(&Contents {
        job: title,
        system,
        pages: &[],
        listings: &[],
        takeoff: None,
        sheets: &[],
        calc: &calc.sheets,
        book: &calc.book,
        settings: &BTreeMap::new(),
    })
}
