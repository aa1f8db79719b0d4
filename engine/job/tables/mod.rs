//! Tables of a job in the sheets of workbooks: they are read as if they stood at the end of job.toml, so that the same keys
//! and checks hold, and a fault is told at its cell.

mod book;
mod sheets;

use super::Written;
use crate::files::Layers;
use crate::problem::Faults;
use crate::table::Table;
use crate::workbook::read_sheets;

pub(super) use book::{CONTENTS, GIVEN, SHOT_LIST, book_tables, is_input_book};
use sheets::{Filled, add_all, hidden_tables, name_of, shown_and_hidden};

/// What job.toml says of its workbooks, as far as it can be read.
#[derive(Debug, Default)]
struct Named {
    files: Vec<String>,
    /// Sheets that are something else: calc sheets and shot lists.
    others: Vec<(String, Option<String>)>,
}

fn named(text: &str) -> Named {
    let Ok(root) = text.parse::<toml::Table>() else { return Named::default() };
    let text_of =
        |value: Option<&toml::Value>| value.and_then(toml::Value::as_str).map(str::to_owned);
    let files = root.get("tables").and_then(|tables| tables.get("files"));
    let files = match files {
        Some(toml::Value::Array(items)) => {
            items.iter().filter_map(toml::Value::as_str).map(str::to_owned).collect()
        }
        other => text_of(other).into_iter().collect(),
    };
    let mut others = Vec::new();
    for sheet in root.get("sheet").and_then(toml::Value::as_array).into_iter().flatten() {
        if let Some(file) = text_of(sheet.get("file")) {
            others.push((file, text_of(sheet.get("sheet")).or_else(|| text_of(sheet.get("name")))));
        }
    }
    if let Some(shots) = root.get("shots") {
        let texts = |name: &str| match shots.get(name) {
            Some(toml::Value::Array(items)) => {
                items.iter().filter_map(|item| text_of(Some(item))).collect::<Vec<_>>()
            }
            other => text_of(other).into_iter().collect(),
        };
        let sheets = texts("sheet");
        for file in texts("file") {
            match sheets.is_empty() {
                true => others.push((file, None)),
                false => {
                    others.extend(sheets.iter().map(|sheet| (file.clone(), Some(sheet.clone()))))
                }
            }
        }
    }
    Named { files, others }
}

/// The company folder that job.toml names, as far as it can be read.
pub(super) fn company_named(text: &str) -> Option<String> {
    let root = text.parse::<toml::Table>().ok()?;
    root.get("job")?.get("company")?.as_str().map(str::to_owned)
}

/// The file that a job shares, if it names one.
pub(super) fn shared_named(text: &str) -> Option<String> {
    let root = text.parse::<toml::Table>().ok()?;
    root.get("job")?.get("shares")?.as_str().map(str::to_owned)
}

/// The settings of a job with the tables of its workbooks, and what is wrong with those: a workbook that cannot be read, a
/// sheet that is no table.
pub(super) fn with_tables(layers: &Layers, shown: &str, text: &str) -> (Written, Faults) {
    let mut written = Written::alone(shown, text);
    let mut faults = Faults::none();
    let named = named(text);
    if named.files.is_empty() {
        return (written, faults);
    }
    for file in &named.files {
        let read = layers
            .path(file)
            .and_then(|path| layers.read(&path))
            .and_then(|bytes| read_sheets(file, &bytes, None));
        let Some(sheets) = faults.keep(read) else { continue };
        let (tables, hidden) = shown_and_hidden(sheets);
        faults.extend(hidden_tables(&hidden));
        let tables = tables.iter().filter(|table| wanted(table, file, &named)).collect();
        faults.extend(add_all(&mut written, tables, &Filled::Tables));
    }
    (written, faults)
}

/// Whether a sheet is to be read as a table: not one that is named elsewhere, left alone, or empty.
fn wanted(table: &Table, file: &str, named: &Named) -> bool {
    let name = name_of(table);
    let elsewhere = named
        .others
        .iter()
        .any(|(other, sheet)| other == file && sheet.as_deref().is_none_or(|sheet| sheet == name));
    !elsewhere && !name.starts_with('_') && !table.rows.is_empty()
}
