//! The starter that `rodbook new` writes, as it is or for a shot list.

mod book;
mod cases;
mod copy;
mod standard;

use std::path::Path;

use super::OpenOptions;
use super::company::{STANDARD, company_folder};
use super::shots::list_without_job;
use crate::files::{self, Layers};
use crate::problem::Outcome;
use crate::survey::{Asked, LengthUnit};
use crate::takeoff::ShotReport;

pub use book::started_book;
pub use cases::{BundledCase, bundled_cases, case_starter, cases_page};
pub use copy::{Copied, copied};

/// Name and text of each file of a new job, over the standard of the company that it will belong to.
///
/// # Errors
/// The company's files cannot be read.
pub fn starter_files(folder: &Path, options: &OpenOptions) -> Outcome<Vec<(String, String)>> {
    let names = files::EMBEDDED.iter().filter_map(|(name, _)| name.strip_prefix(STARTER));
    names
        .map(|name| match name {
            "job.toml" => Ok((name.to_owned(), starter(folder, options)?)),
            _ => Ok((name.to_owned(), Layers::bundled(&format!("{STARTER}{name}"))?.text)),
        })
        .collect()
}

/// Where the starter lies among the bundled files, and in a company's folder.
const STARTER: &str = "templates/starter/";

/// The job.toml that a new job starts from: the company's own, or the bundled one without what its standard gives.
fn starter(folder: &Path, options: &OpenOptions) -> Outcome<String> {
    let name = format!("{STARTER}job.toml");
    if let Some(company) = company_folder(folder, None, options)?
        && files::exists(&company.join(&name))
    {
        return files::read_text(&company.join(&name));
    }
    over_company(folder, options, Layers::bundled(&name)?.text)
}

/// A bundled job.toml without what the standard of the company gives that the new folder will belong to.
fn over_company(folder: &Path, options: &OpenOptions, text: String) -> Outcome<String> {
    let company = company_folder(folder, None, options)?;
    let given = company.map(|company| company.join(STANDARD)).filter(|given| files::exists(given));
    match given {
        Some(given) => Ok(standard::over_standard(&text, &files::read_text(&given)?)),
        None => Ok(text),
    }
}

/// The job.toml of a new job for a shot list: its file, sheet, unit and codes filled in, the rest of the starter to be
/// answered.
///
/// # Errors
/// The list cannot be read or its columns are not recognised, or the company's files cannot be read.
pub fn starter_for(
    folder: &Path,
    options: &OpenOptions,
    list: &Path,
    sheets: &[String],
    asked: &Asked,
    codes: &[String],
) -> Outcome<String> {
    let report = list_without_job(list, sheets, asked, codes)?;
    let starter = starter(folder, options)?;
    let (head, rest) = starter.split_once("[shots]\n").unwrap_or((&starter, ""));
    let after = rest.find("\n# A line that was not shot").map_or("", |at| &rest[at..]);
    let name = list.file_name().map(|name| name.to_string_lossy().into_owned());
    let mut text = head.replacen(
        "# A small invented job that runs as it is:  rodbook takeoff .\n# Change it into yours from top to bottom.",
        "# The shots are yours, everything below them is invented: answer it from the plan, from top to bottom.",
        1,
    );
    text += "[shots]\n";
    text += &format!("file = {}\n", quoted(&name.unwrap_or_default()));
    let named: Vec<String> =
        report.lists.iter().filter_map(|list| list.sheet.as_ref().map(|s| quoted(s))).collect();
    match &named[..] {
        [] => {}
        [one] => text += &format!("sheet = {one}\n"),
        several => text += &format!("sheet = [{}]\n", several.join(", ")),
    }
    for remark in report.lists.iter().flat_map(|list| &list.remarks) {
        text += &comment(&format!("read: {remark}"));
    }
    text += &as_asked(asked);
    let stated = report.lists.iter().all(|list| list.unit.is_some());
    match (&asked.unit, stated) {
        (Some((unit, _)), _) => text += &format!("length_unit = {:?}\n", unit.name()),
        (None, true) => {}
        (None, false) => {
            text += "# ANSWER: the list states no unit: ft, us_survey_ft, in, m, cm or mm\n# length_unit = \"ft\"\n"
        }
    }
    text += &codes_of(&report);
    text += "reach = \"6 ft\"                   # farther from the wall a shot is not used\n";
    if report.by_rod() {
        text += SET_UP;
    }
    let after = after.replacen("[benchmark]\n", "# ANSWER: the benchmark is invented; every rod reading for the crew comes from it\n[benchmark]\n", 1);
    if report.unit().is_some_and(LengthUnit::is_metric) {
        text = text.replacen("units = \"us\"    ", "units = \"metric\"", 1);
    }
    Ok(text + &*after)
}

/// What was said of the list on the command line, as settings.
fn as_asked(asked: &Asked) -> String {
    let mut text = String::new();
    let pairs = |pairs: Vec<String>| format!("{{ {} }}\n", pairs.join(", "));
    if !asked.columns.is_empty() {
        let named =
            asked.columns.iter().map(|(role, name)| format!("{} = {}", role.name(), quoted(name)));
        text += &format!("columns = {}", pairs(named.collect()));
    }
    if let Some(row) = asked.heading_row {
        text += &format!("heading_row = {row}\n");
    }
    if let Some(mark) = asked.decimal {
        text += &format!("decimal = {:?}\n", mark.name());
    }
    if !asked.units.is_empty() {
        let named = asked.units.iter();
        let named = named.map(|(role, unit)| format!("{} = {:?}", role.name(), unit.name()));
        text += &format!("units = {}", pairs(named.collect()));
    }
    text
}

/// Codes that are listed before "and more".
const MOST_CODES: usize = 40;

/// What a list of rod readings leaves open.
const SET_UP: &str = "\
# ANSWER: are the readings counted down from the line of sight (\"rod\") or written with the sign of a height?
# rod_sign = \"rod\"
# ANSWER: how high was the line of sight? From which row of the list on? One set-up after the other.
# [[shots.setup]]
# from_line = 2
# instrument_height = \"104.20 ft\" # or elevation and backsight of a benchmark
";

/// The codes of the list with their counts, for the estimator to say which is which: never guessed.
fn codes_of(report: &ShotReport) -> String {
    let mut counts: std::collections::BTreeMap<&str, usize> = std::collections::BTreeMap::new();
    for shot in &report.read {
        *counts.entry(shot.code.as_str()).or_default() += 1;
    }
    let named = counts.iter().filter(|(code, _)| !code.is_empty());
    let more = named.clone().count().saturating_sub(MOST_CODES);
    let mut list: Vec<String> =
        named.map(|(code, count)| format!("{code} ({count})")).take(MOST_CODES).collect();
    if list.is_empty() {
        return "# ANSWER: no shot has a code. Which ground are they all: finished_low, bearing or existing?\n# uncoded = \"existing\"\n".to_owned();
    }
    if more > 0 {
        list.push(format!("and {more} more; is this the column of codes? See shots.columns"));
    }
    comment(&format!("codes of the list: {}", list.join(", ")))
        + "# ANSWER: which code is finished grade on the low side, top of bearing, existing ground?\n# codes = { finished_low = \"\", bearing = \"\", existing = \"\" }\n"
}

/// A text in quotes, as job.toml takes it.
fn quoted(text: &str) -> String {
    toml::Value::from(text).to_string()
}

/// A line that is a comment, whatever letters are in it.
fn comment(text: &str) -> String {
    format!("# {}\n", text.replace(char::is_control, "?"))
}
