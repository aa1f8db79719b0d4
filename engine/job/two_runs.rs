//! Two runs of a job compared: what changed in shots, inputs, steps, quantities and price, and what the price changed by.
//!
//! It looks at machine-readable results alone, so a run of last week can be kept and set beside today's.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::JSON_FORMAT;
use crate::measure::{CURRENCIES, round, thousands, written};
use crate::problem::{Place, Problem};

/// What changed of one kind, in the order in which it stands.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ChangeGroup {
    /// What is compared.
    pub title: &'static str,
    /// What changed, in words; empty where nothing did.
    pub rows: Vec<String>,
}

/// A run of a job, as `takeoff --json` prints it.
#[derive(Debug, Clone)]
pub struct OneRun {
    /// Name of its file or job, for the messages.
    pub file: String,
    value: Value,
}

impl OneRun {
    /// Reads a run.
    ///
    /// # Errors
    /// It is not a run of a job.
    pub fn read(file: &str, text: &str) -> Result<Self, Problem> {
        let wrong = |message: String| {
            Problem::error(message)
                .at(Place::file(file))
                .help("a job, or what rodbook takeoff JOB --json printed, was expected")
        };
        let value: Value = serde_json::from_str(text)
            .map_err(|error| wrong(format!("this is not a run of a job: {error}")))?;
        match value["format"].as_str() {
            Some(format) if format == JSON_FORMAT => Ok(Self { file: file.to_owned(), value }),
            Some(format) => Err(wrong(format!("this is \"{format}\", not \"{JSON_FORMAT}\""))),
            None => Err(wrong("this is not a run of a job".to_owned())),
        }
    }

    /// Whether it has a legal layout.
    pub fn is_laid_out(&self) -> bool {
        self.value["feasible"] == Value::Bool(true)
    }

    fn rows(&self, name: &str) -> &[Value] {
        self.value["records"][name].as_array().map_or(&[], Vec::as_slice)
    }

    /// Rows by the column that tells them apart; of equal ones the first.
    fn by(&self, name: &str, key: &str) -> BTreeMap<String, &Value> {
        let mut rows = BTreeMap::new();
        for row in self.rows(name) {
            rows.entry(said(&row[key])).or_insert(row);
        }
        rows
    }
}

/// A value in words.
fn said(value: &Value) -> String {
    match value {
        Value::Null => "none".to_owned(),
        Value::String(text) => text.clone(),
        Value::Object(measure) => {
            match (measure.get("value").and_then(Value::as_f64), &measure["unit"]) {
                (Some(number), Value::String(unit)) => {
                    let short = round::same(number, round::nearest_f64(number * 1e6) / 1e6);
                    let number = match short {
                        _ if CURRENCIES.contains(&unit.as_str()) => thousands(number, 2),
                        true => written(number),
                        false => thousands(number, 4),
                    };
                    format!("{number} {unit}").trim_end().to_owned()
                }
                _ => value.to_string(),
            }
        }
        other => other.to_string(),
    }
}

/// Whether two values are the same, numbers to what a change of units leaves.
fn alike(old: &Value, new: &Value) -> bool {
    let a_unit = |value: &Value| value.get("unit").cloned();
    match (number(old), number(new)) {
        (Some(a), Some(b)) => round::same(a, b) && a_unit(old) == a_unit(new),
        _ => old == new,
    }
}

fn number(value: &Value) -> Option<f64> {
    value.as_f64().or_else(|| value.get("value").and_then(Value::as_f64))
}

/// Rows of a listing whose column differs: what tells them apart, and both values; in the order of the later run, then what
/// is no longer there.
fn changed(
    before: &OneRun,
    after: &OneRun,
    (name, key, column): (&str, &str, &str),
) -> Vec<(String, Value, Value)> {
    let (old, new) = (before.by(name, key), after.by(name, key));
    let value = |rows: &BTreeMap<String, &Value>, id: &str| {
        rows.get(id).map_or(Value::Null, |row| row[column].clone())
    };
    let mut seen = BTreeSet::new();
    let ids = after.rows(name).iter().chain(before.rows(name)).map(|row| said(&row[key]));
    ids.filter(|id| seen.insert(id.clone()))
        .map(|id| (value(&old, &id), value(&new, &id), id))
        .filter(|(old, new, _)| !alike(old, new))
        .map(|(old, new, id)| (id, old, new))
        .collect()
}

/// A change in words: by how much, where both are numbers.
fn told(label: &str, old: &Value, new: &Value) -> String {
    let by = match (number(old), number(new)) {
        (Some(a), Some(b)) => {
            let sign = if b > a { "+" } else { "" };
            let share = if a == 0.0 {
                String::new()
            } else {
                format!(", {sign}{:.1} %", (b - a) / a.abs() * 100.0)
            };
            format!("   ({sign}{}{share})", thousands(b - a, 2))
        }
        _ => String::new(),
    };
    format!("{label}: {} -> {}{by}", said(old), said(new))
}

/// Sets two runs side by side.
pub fn two_runs(before: &OneRun, after: &OneRun) -> Vec<ChangeGroup> {
    let inputs = changed(before, after, ("inputs", "path", "value"));
    let prices = changed(before, after, ("prices", "path", "price"));
    let lines = changed(before, after, ("lines", "id", "quantity"));
    let cells = changed(before, after, ("cells", "cell", "value"));
    let moved: BTreeSet<String> = inputs
        .iter()
        .chain(&prices)
        .map(|(path, ..)| path.clone())
        .chain(lines.iter().map(|(id, ..)| format!("takeoff.{id}")))
        .chain(cells.iter().map(|(cell, ..)| cell.clone()))
        .collect();
    let rows = |changes: &[(String, Value, Value)], label: &dyn Fn(&str) -> String| {
        changes.iter().map(|(id, old, new)| told(&label(id), old, new)).collect::<Vec<_>>()
    };
    let words = |run: &OneRun, listing: &str, key: &str, id: &str, column: &str| {
        run.by(listing, key).get(id).and_then(|row| row[column].as_str()).map(str::to_owned)
    };
    let label_of = |id: &str| {
        words(after, "lines", "id", id, "label")
            .or_else(|| words(before, "lines", "id", id, "label"))
            .map_or_else(|| id.to_owned(), |label| format!("{label} ({id})"))
    };
    let mut inputs_told = rows(&inputs, &|path| path.to_owned());
    inputs_told.extend(
        prices
            .iter()
            .filter(|(path, ..)| !inputs.iter().any(|(known, ..)| known == path))
            .map(|(path, old, new)| told(path, old, new)),
    );
    let head = |key: &str, what: &str| {
        let (old, new) = (&before.value[key], &after.value[key]);
        (old != new).then(|| format!("{what}: {} -> {}", said(old), said(new)))
    };
    let jobs = head("job", "name of the job").into_iter().chain(layout(before, after)).collect();
    let groups = [
        ("job", jobs),
        ("files", files(before, after)),
        ("shots", shots(before, after)),
        ("inputs", inputs_told),
        ("walls", walls(before, after)),
        ("steps", steps(before, after)),
        ("quantities", rows(&lines, &label_of)),
        ("price", priced(before, after, &cells, &moved)),
        ("cautions", cautions(before, after)),
    ];
    groups.into_iter().map(|(title, rows)| ChangeGroup { title, rows }).collect()
}

/// Whether a layout is legal in one run only: then all that rests on it is not there in the other.
fn layout(before: &OneRun, after: &OneRun) -> Option<String> {
    match (before.is_laid_out(), after.is_laid_out()) {
        (true, false) => Some("CAUTION: the later run has no legal layout; it has no quantities, price and cautions of its own".to_owned()),
        (false, true) => Some("the earlier run has no legal layout: all that rests on one is new".to_owned()),
        _ => None,
    }
}

/// Walls and types of the schedule, column by column: their settings are lists.
fn walls(before: &OneRun, after: &OneRun) -> Vec<String> {
    let mut told_of = Vec::new();
    for (name, key) in [("walls", "wall"), ("wall_types", "type"), ("yard", "name")] {
        let columns: BTreeSet<&String> = [before, after]
            .into_iter()
            .filter_map(|run| run.rows(name).first()?.as_object())
            .flat_map(|row| row.keys())
            .collect();
        for column in columns.into_iter().filter(|column| *column != key) {
            let changes = changed(before, after, (name, key, column));
            told_of.extend(changes.iter().map(|(id, old, new)| {
                told(&format!("{id}, {}", column.replace('_', " ")), old, new)
            }));
        }
    }
    told_of
}

/// Files that were read, by what was in them.
fn files(before: &OneRun, after: &OneRun) -> Vec<String> {
    let all = changed(before, after, ("files_read", "file", "fingerprint"));
    let word = |(file, old, new): (String, Value, Value)| match (old.is_null(), new.is_null()) {
        (true, _) => format!("{file}: read now"),
        (_, true) => format!("{file}: no longer read"),
        _ => format!("{file}: changed"),
    };
    all.into_iter().map(word).collect()
}

/// Shots that are used or not used otherwise than before, by their rows.
fn shots(before: &OneRun, after: &OneRun) -> Vec<String> {
    let by_row = |run: &OneRun| -> BTreeMap<String, String> {
        let id = |row: &Value| match row["point"].as_str() {
            Some(point) if !point.is_empty() => format!("point {point}"),
            _ => format!("row {}", said(&row["line"])),
        };
        let used = run.rows("shots_used").iter().map(|row| {
            (id(row), format!("used for {} at {}", said(&row["ground"]), said(&row["elevation"])))
        });
        let aside = run
            .rows("shots_refused")
            .iter()
            .map(|row| (id(row), format!("not used: {}", said(&row["why"]))));
        used.chain(aside).collect()
    };
    let (old, new) = (by_row(before), by_row(after));
    let ids: BTreeSet<&String> = old.keys().chain(new.keys()).collect();
    let none = "not in the list".to_owned();
    ids.into_iter()
        .filter(|id| old.get(*id) != new.get(*id))
        .map(|id| {
            format!("{id}: {} -> {}", old.get(id).unwrap_or(&none), new.get(id).unwrap_or(&none))
        })
        .collect()
}

/// Steps that are there in one run only.
fn steps(before: &OneRun, after: &OneRun) -> Vec<String> {
    let all = |run: &OneRun| -> BTreeSet<String> {
        let place = |row: &Value| {
            format!(
                "{} {}: {} to {}, overlap {}",
                said(&row["wall"]),
                said(&row["station"]),
                said(&row["tof_before"]),
                said(&row["tof_after"]),
                said(&row["overlap"])
            )
        };
        run.rows("steps").iter().map(place).collect()
    };
    let (old, new) = (all(before), all(after));
    let gone = old.difference(&new).map(|step| format!("no longer {step}"));
    gone.chain(new.difference(&old).map(|step| format!("now {step}"))).collect()
}

/// Lines of the price that changed, each with what of it changed.
fn priced(
    before: &OneRun,
    after: &OneRun,
    cells: &[(String, Value, Value)],
    moved: &BTreeSet<String>,
) -> Vec<String> {
    let (old, new) = (before.by("cells", "cell"), after.by("cells", "cell"));
    let row = |(cell, was, now): &(String, Value, Value)| {
        let row = new.get(cell).or_else(|| old.get(cell))?;
        let label = row["what"].as_str().unwrap_or(cell);
        let why = why(row["formula"].as_str().unwrap_or_default(), cell, moved);
        let why = if why.is_empty() { String::new() } else { format!("   by {}", why.join(", ")) };
        Some(format!("{}{why}", told(label, was, now)))
    };
    cells.iter().filter(|(cell, ..)| cell.starts_with("price.")).filter_map(row).collect()
}

/// What a formula names that changed; names without a sheet are of the cell's own.
fn why(formula: &str, cell: &str, moved: &BTreeSet<String>) -> Vec<String> {
    let sheet = cell.split('.').next().unwrap_or_default();
    let is_name = |c: char| c.is_alphanumeric() || "_.".contains(c);
    let mut names: Vec<String> = Vec::new();
    for name in formula.split(|c| !is_name(c)) {
        let own = format!("{sheet}.{name}");
        let found = [name, own.as_str()].into_iter().find(|name| moved.contains(*name));
        if let Some(found) = found.filter(|found| !names.iter().any(|known| known == found)) {
            names.push(found.to_owned());
        }
    }
    names
}

/// Cautions that only one of the runs has.
fn cautions(before: &OneRun, after: &OneRun) -> Vec<String> {
    let all = |run: &OneRun| -> BTreeSet<String> {
        let words = |row: &Value| {
            format!("{} {}", said(&row["place"]), said(&row["text"])).trim().to_owned()
        };
        run.rows("cautions").iter().map(words).collect()
    };
    let (old, new) = (all(before), all(after));
    let both = before.is_laid_out() == after.is_laid_out();
    let gone = old.difference(&new).filter(|_| both).map(|caution| format!("no longer: {caution}"));
    gone.chain(new.difference(&old).map(|caution| format!("CAUTION, new: {caution}"))).collect()
}
