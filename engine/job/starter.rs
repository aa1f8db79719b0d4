//! The starter that `rodbook new` writes, as it is or for a shot list.

use std::path::Path;

use super::shots::list_without_job;
use crate::files;
use crate::problem::Outcome;
use crate::survey::LengthUnit;
use crate::takeoff::ShotReport;

/// Name and text of each file of a new job.
pub fn starter_files() -> Vec<(&'static str, &'static str)> {
    let starter = files::EMBEDDED
        .iter()
        .filter_map(|(name, text)| Some((name.strip_prefix("templates/starter/")?, *text)));
    starter.collect()
}

/// The job.toml of a new job for a shot list: its file, sheet, unit and codes filled in, the rest of the starter to be
/// answered.
///
/// # Errors
/// The list cannot be read or its columns are not recognised.
pub fn starter_for(list: &Path, sheet: Option<&str>, unit: Option<LengthUnit>) -> Outcome<String> {
    let report = list_without_job(list, sheet, unit)?;
    let starter = files::embedded("templates/starter/job.toml").unwrap_or_default();
    let (head, rest) = starter.split_once("[shots]\n").unwrap_or((starter, ""));
    let after = rest.find("\n# A line that was not shot").map_or("", |at| &rest[at..]);
    let name = list.file_name().map(|name| name.to_string_lossy().into_owned());
    let mut text = head.replacen(
        "# A small invented job that runs as it is:  rodbook takeoff .\n# Change it into yours from top to bottom.",
        "# The shots are yours, everything below them is invented: answer it from the plan, from top to bottom.",
        1,
    );
    text += "[shots]\n";
    text += &format!("file = {:?}\n", name.unwrap_or_default());
    if let Some(sheet) = &report.sheet {
        text += &format!("sheet = {sheet:?}\n");
    }
    for remark in &report.remarks {
        text += &format!("# read: {remark}\n");
    }
    match report.unit {
        Some(unit) => text += &format!("length_unit = {:?}\n", unit.name()),
        None => {
            text += "# ANSWER: the list states no unit: ft, us_survey_ft, in, m or mm\n# length_unit = \"ft\"\n"
        }
    }
    text += &codes(&report);
    text += "reach = \"6 ft\"                   # farther from the wall a shot is set aside\n";
    if report.by_rod {
        text += SET_UP;
    }
    let after = after.replacen("[benchmark]\n", "# ANSWER: the benchmark is invented; every rod reading for the crew comes from it\n[benchmark]\n", 1);
    if matches!(report.unit, Some(LengthUnit::Metre | LengthUnit::Millimetre)) {
        text = text.replacen("units = \"us\"    ", "units = \"metric\"", 1);
    }
    Ok(text + &*after)
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
fn codes(report: &ShotReport) -> String {
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
    format!(
        "# codes of the list: {}\n# ANSWER: which code is finished grade on the low side, top of bearing, existing ground?\n# codes = {{ finished_low = \"\", bearing = \"\", existing = \"\" }}\n",
        list.join(", ")
    )
}
