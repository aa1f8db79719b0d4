//! Tables of a job in the sheets of workbooks: they are read as if they stood at the end of job.toml, so that the same keys
//! and checks hold, and a fault is told at its cell.

use std::collections::BTreeMap;

use super::{KeyKind, Written, bundled_keys, key_tables};
use crate::files::Layers;
use crate::problem::{Faults, Outcome, Problem, closest};
use crate::table::{Cell, CellKind, Row, Table};
use crate::workbook::read_sheets;

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
        let tables: Vec<Table> =
            sheets.into_iter().filter(|sheet| !sheet.hidden).map(|sheet| sheet.table).collect();
        // Lists of a table come before the lists within its elements.
        let mut tables: Vec<&Table> =
            tables.iter().filter(|table| wanted(table, file, &named)).collect();
        tables.sort_by_key(|table| name_of(table).matches('.').count());
        let nested: Vec<&Table> = tables.iter().copied().filter(|table| is_nested(table)).collect();
        for table in &tables {
            if !is_nested(table) {
                faults.keep(add(&mut written, table, &nested));
            }
        }
        for table in nested {
            let (parent, _) = name_of(table).rsplit_once('.').unwrap_or_default();
            if !tables.iter().any(|other| name_of(other) == parent) {
                faults.push(
                    Problem::error(format!(
                        "the workbook has no sheet {parent} that this one belongs to"
                    ))
                    .at(table.place()),
                );
            }
        }
    }
    (written, faults)
}

fn name_of(table: &Table) -> &str {
    table.sheet.as_deref().unwrap_or("")
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

/// Whether a name is one of a list of tables.
fn is_list(name: &str) -> bool {
    let path = format!("{}[]", name.replace('.', "[]."));
    key_tables().any(|table| table.path == path)
}

/// Whether a table is a list within the elements of another.
fn is_nested(table: &Table) -> bool {
    is_list(name_of(table)) && name_of(table).contains('.')
}

/// Adds a table.
fn add(written: &mut Written, table: &Table, nested: &[&Table]) -> Outcome<()> {
    let name = name_of(table);
    if is_list(name) {
        return add_list(written, table, nested);
    }
    if key_tables().any(|known| known.path == name) {
        return add_pairs(written, table);
    }
    let names: Vec<String> = key_tables().map(|table| table.path.replace("[]", "")).collect();
    let problem = Problem::error(format!("\"{name}\" is no table of a job")).at(table.place());
    Err(match closest(name, names.iter().map(String::as_str)) {
        Some(near) => problem.help(format!("did you mean {near}?")),
        None => problem.help("sheets are called like tables of job.toml: wall, wall.tops, type, prices, allowances, rules; a sheet whose name begins with _ is left alone"),
    }
    .into())
}

/// A heading: the key, and the unit of bare numbers in brackets, such as `width [ft]`.
fn heading(text: &str) -> (String, Option<String>) {
    let text = text.trim();
    match text.split_once('[') {
        Some((key, unit)) => {
            (key.trim().to_owned(), Some(unit.trim_end_matches(']').trim().to_owned()))
        }
        None => (text.to_owned(), None),
    }
}

/// A value as it is written in job.toml.
fn value(cell: &Cell, kind: Option<KeyKind>, unit: Option<&str>) -> String {
    let text = cell.text.trim();
    let number = cell.kind == CellKind::Number || text.parse::<f64>().is_ok();
    let bare = matches!(kind, Some(KeyKind::Count(..) | KeyKind::Percent(_)));
    match (number, unit) {
        (true, Some(unit)) if !unit.is_empty() && !bare => quoted(&format!("{text} {unit}")),
        // A text such as a name may look like a number.
        (true, _)
            if matches!(kind, Some(KeyKind::Text | KeyKind::OneOrMore | KeyKind::Choice(_))) =>
        {
            quoted(text)
        }
        (true, _) => text.to_owned(),
        _ => match kind {
            Some(KeyKind::Texts) => {
                let items: Vec<String> = text.split(',').map(|item| quoted(item.trim())).collect();
                format!("[{}]", items.join(", "))
            }
            _ => quoted(text),
        },
    }
}

fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                quoted.push('\\');
                quoted.push(c);
            }
            c if c.is_control() => quoted.push(' '),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

/// Whether every part of a key can stand in job.toml without quotes.
fn is_key(text: &str) -> bool {
    !text.is_empty()
        && text.split('.').all(|part| {
            !part.is_empty()
                && part.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-')
        })
}

fn faulty(table: &Table, row: &Row, column: usize, cell: &Cell) -> Option<Problem> {
    let what = match cell.kind {
        CellKind::Error => format!("this cell holds the error value {}", cell.text),
        CellKind::NoResult => "this cell holds a formula without a result".to_owned(),
        _ => return None,
    };
    Some(Problem::error(what).at(table.place_of(row.line, Some(column))))
}

/// A cell formatted as percent holds a fraction, which would be read as a hundredth of what is seen.
fn share(table: &Table, row: &Row, column: usize, path: &str) -> Option<Problem> {
    let percent =
        bundled_keys().any(|key| key.path == path && matches!(key.kind, KeyKind::Percent(_)));
    let cell = row.cell(column).filter(|cell| percent && cell.kind == CellKind::Number)?;
    let number = cell.text.parse::<f64>().ok().filter(|number| *number > 0.0 && *number < 1.0)?;
    Some(
        Problem::error(format!("{number} in a key of percent"))
            .at(table.place_of(row.line, Some(column)))
            .help(format!(
                "a cell formatted as percent holds a fraction: write {} as a plain number, or \"{number} %\" as text if less than one percent is meant",
                crate::measure::written(number * 100.0)
            )),
    )
}

/// Adds a table of pairs: key, value, and a unit for bare numbers where there is a third column.
fn add_pairs(written: &mut Written, table: &Table) -> Outcome<()> {
    let name = name_of(table);
    let mut faults = Faults::none();
    let Some((head, rows)) = table.rows.split_first() else { return Ok(()) };
    let at = |wanted: &str| {
        head.cells.iter().position(|cell| cell.text.trim().eq_ignore_ascii_case(wanted))
    };
    let (Some(key), Some(value_at)) = (at("key"), at("value")) else {
        return Err(Problem::error(format!("sheet {name} has no columns \"key\" and \"value\""))
            .at(table.place_of(head.line, Some(0)))
            .help("its first row holds the headings key and value, and unit where numbers stand alone")
            .into());
    };
    let unit = at("unit");
    written.push(&format!("[{name}]"), table.place());
    for row in rows {
        let (key, cell) = (row.text(key).trim(), row.cell(value_at));
        let Some(cell) = cell.filter(|cell| cell.kind != CellKind::Empty) else { continue };
        if let Some(problem) = faulty(table, row, value_at, cell)
            .or_else(|| share(table, row, value_at, &format!("{name}.{key}")))
        {
            faults.push(problem);
            continue;
        }
        let place = table.place_of(row.line, Some(value_at));
        if !is_key(key) {
            faults.push(Problem::error(format!("\"{key}\" is no key")).at(place));
            continue;
        }
        let path = format!("{name}.{key}");
        let kind = bundled_keys().find(|known| known.path == path).map(|known| known.kind);
        let unit = unit.map(|unit| row.text(unit).trim()).filter(|unit| !unit.is_empty());
        written.push(&format!("{key} = {}", value(cell, kind, unit)), place);
    }
    faults.or_value(Some(()))
}

/// Adds a list of tables: a row for each element, with the lists within it.
fn add_list(written: &mut Written, table: &Table, nested: &[&Table]) -> Outcome<()> {
    let name = name_of(table).to_owned();
    let mut faults = Faults::none();
    let Some((head, rows)) = table.rows.split_first() else { return Ok(()) };
    let id_at = head.cells.iter().position(|cell| cell.text.trim() == "id");
    let mut within: BTreeMap<String, Vec<(&Table, &Row)>> = BTreeMap::new();
    for inner in nested
        .iter()
        .filter(|inner| name_of(inner).rsplit_once('.').is_some_and(|(parent, _)| parent == name))
    {
        let Some((inner_head, inner_rows)) = inner.rows.split_first() else { continue };
        let Some(at) = inner_head.cells.iter().position(|cell| cell.text.trim() == name) else {
            faults.push(
                Problem::error(format!("sheet {} has no column \"{name}\"", name_of(inner)))
                    .at(inner.place_of(inner_head.line, Some(0)))
                    .help(format!("it says which {name} each row belongs to, by its id")),
            );
            continue;
        };
        for row in inner_rows {
            let id = row.text(at).trim().to_owned();
            let known = id_at
                .is_some_and(|column| rows.iter().any(|outer| outer.text(column).trim() == id));
            if known {
                within.entry(id).or_default().push((inner, row));
            } else if !row.is_blank() {
                faults.push(
                    Problem::error(format!("there is no {name} \"{id}\" in sheet {name}"))
                        .at(inner.place_of(row.line, Some(at))),
                );
            }
        }
    }
    for row in rows.iter().filter(|row| !row.is_blank()) {
        written.push(&format!("[[{name}]]"), table.place_of(row.line, Some(0)));
        element(written, table, head, row, &name, None, &mut faults);
        let id = id_at.map(|column| row.text(column).trim().to_owned()).unwrap_or_default();
        for (inner, inner_row) in within.get(&id).into_iter().flatten() {
            let inner_name = name_of(inner).to_owned();
            let place = inner.place_of(inner_row.line, Some(0));
            written.push(&format!("[[{inner_name}]]"), place);
            if let Some(inner_head) = inner.rows.first() {
                element(
                    written,
                    inner,
                    inner_head,
                    inner_row,
                    &inner_name,
                    Some(&name),
                    &mut faults,
                );
            }
        }
    }
    faults.or_value(Some(()))
}

/// Adds the keys of one element; tables within it, such as `key.width`, last.
fn element(
    written: &mut Written,
    table: &Table,
    head: &Row,
    row: &Row,
    name: &str,
    leave_out: Option<&str>,
    faults: &mut Faults,
) {
    let mut columns: Vec<(usize, String, Option<String>)> = head
        .cells
        .iter()
        .enumerate()
        .map(|(at, cell)| {
            let (key, unit) = heading(&cell.text);
            (at, key, unit)
        })
        .filter(|(_, key, _)| !key.is_empty() && Some(key.as_str()) != leave_out)
        .collect();
    columns.sort_by_key(|(_, key, _)| key.contains('.'));
    for (at, key, unit) in columns {
        let Some(cell) = row.cell(at).filter(|cell| cell.kind != CellKind::Empty) else { continue };
        if let Some(problem) = faulty(table, row, at, cell) {
            faults.push(problem);
            continue;
        }
        let place = table.place_of(row.line, Some(at));
        if !is_key(&key) {
            faults.push(
                Problem::error(format!("\"{key}\" is no key"))
                    .at(table.place_of(head.line, Some(at))),
            );
            continue;
        }
        let path = format!("{}[].{key}", name.replace('.', "[]."));
        let kind = bundled_keys().find(|known| known.path == path).map(|known| known.kind);
        written.push(&format!("{key} = {}", value(cell, kind, unit.as_deref())), place);
    }
}
