//! One sheet of a workbook as a table of the settings, in the language of job.toml.

use std::collections::BTreeMap;

use super::super::{KeyKind, Written, bundled_keys, key_tables};
use super::book::{GIVEN, yes_or_no};
use crate::problem::{Faults, Outcome, Problem, closest};
use crate::table::{Cell, CellKind, Row, Table};
use crate::workbook::SheetRead;

/// What a workbook fills: some tables of a job.toml, or a job of its own.
pub(super) enum Filled {
    /// Tables: a sheet is there because its table is.
    Tables,
    /// A job: every table has a sheet, filled or not. The name of the book, and whether it has shots.
    Book { file: String, shots: bool, without: Vec<String> },
}

/// What a sheet is, by its name.
enum SheetKind {
    /// Keys and values of one table.
    Pairs,
    /// A list: a row for each element.
    List,
    /// A list within the elements of another.
    Within(String),
}

pub(super) fn name_of(table: &Table) -> &str {
    table.sheet.as_deref().unwrap_or("")
}

/// The sheets that are shown, and those that are hidden.
pub(super) fn shown_and_hidden(sheets: Vec<SheetRead>) -> (Vec<Table>, Vec<Table>) {
    let (hidden, shown): (Vec<_>, Vec<_>) = sheets.into_iter().partition(|sheet| sheet.hidden);
    let table = |sheet: SheetRead| sheet.table;
    (shown.into_iter().map(table).collect(), hidden.into_iter().map(table).collect())
}

/// What is said of a sheet that nobody sees.
pub(super) fn is_hidden(table: &Table) -> Problem {
    Problem::error("this sheet is hidden, and nobody would see what it says")
        .at(table.place())
        .help("show it, or give it a name that begins with _ to leave it alone")
}

/// Hidden sheets that are called like a table and hold something.
pub(super) fn hidden_tables(hidden: &[Table]) -> Faults {
    let tells = |table: &&Table| kind_of(name_of(table)).is_some() && table.rows.len() > 1;
    hidden.iter().filter(tells).map(is_hidden).collect::<Vec<_>>().into()
}

/// The column of a heading, in whatever letters.
pub(super) fn column_of(head: &Row, heading: &str) -> Option<usize> {
    head.cells.iter().position(|cell| cell.text.trim().eq_ignore_ascii_case(heading))
}

/// What the sheet of a name is; nothing where no table is called so.
fn kind_of(name: &str) -> Option<SheetKind> {
    let is = |path: &str| key_tables().any(|table| table.path == path);
    if is(name) {
        return Some(SheetKind::Pairs);
    }
    if is(&format!("{name}[]")) {
        return Some(SheetKind::List);
    }
    let (parent, last) = name.rsplit_once('.')?;
    is(&format!("{parent}[].{last}[]")).then(|| SheetKind::Within(parent.to_owned()))
}

/// Adds the sheets of a workbook.
pub(super) fn add_all(written: &mut Written, mut tables: Vec<&Table>, filled: &Filled) -> Faults {
    let mut faults = Faults::none();
    // Lists of a table come before the lists within its elements.
    tables.sort_by_key(|table| name_of(table).matches('.').count());
    let mut within: Vec<(&Table, String)> = Vec::new();
    for table in &tables {
        if let Some(SheetKind::Within(parent)) = kind_of(name_of(table)) {
            within.push((table, parent));
        }
    }
    for table in &tables {
        let added = match kind_of(name_of(table)) {
            Some(SheetKind::Pairs) => add_pairs(written, table, filled),
            Some(SheetKind::List) => {
                let parent = name_of(table);
                let nested = within.iter().filter(|(_, of)| of == parent);
                let nested: Vec<&Table> = nested.map(|(inner, _)| *inner).collect();
                add_list(written, table, &nested, filled)
            }
            Some(SheetKind::Within(_)) => Ok(()),
            None => Err(no_table(table)),
        };
        let added = match filled {
            // A book has its calc sheets and lists in itself.
            Filled::Book { .. } if name_of(table) == "tables" => Err(no_table(table)),
            _ => added,
        };
        faults.keep(added);
    }
    for (table, parent) in within {
        if !tables.iter().any(|other| *name_of(other) == parent) {
            let message = format!("the workbook has no sheet {parent} that this one belongs to");
            faults.push(Problem::error(message).at(table.place()));
        }
    }
    faults
}

/// A sheet whose name is none of a table.
fn no_table(table: &Table) -> Faults {
    let name = name_of(table);
    let names: Vec<String> = key_tables().map(|table| table.path.replace("[]", "")).collect();
    let problem = Problem::error(format!("\"{name}\" is not a table of a job")).at(table.place());
    match closest(name, names.iter().map(String::as_str)) {
        Some(near) => problem.help(format!("did you mean {near}?")),
        None => problem.help("sheets are called like tables of job.toml: wall, wall.tops, type, prices, allowances, rules; a sheet whose name begins with _ is left alone"),
    }
    .into()
}

/// A heading as a key: blanks between its words stand for `_`.
fn plain(heading: &str) -> String {
    heading.split_whitespace().collect::<Vec<_>>().join("_").to_lowercase()
}

/// A heading: the key, and the unit of bare numbers in brackets, such as `width [ft]`.
fn heading(text: &str) -> (String, Option<String>) {
    let text = text.trim();
    match text.split_once('[') {
        Some((key, unit)) => (plain(key), Some(unit.trim_end_matches(']').trim().to_owned())),
        None => (plain(text), None),
    }
}

/// A value as it is written in job.toml.
fn value(cell: &Cell, kind: Option<KeyKind>, unit: Option<&str>) -> String {
    let text = cell.text.trim();
    let several = matches!(kind, Some(KeyKind::Texts | KeyKind::OneOrMore | KeyKind::Stations));
    if several && text.starts_with('[') && text.ends_with(']') {
        return text.replace(char::is_control, " ");
    }
    let number = cell.kind == CellKind::Number || text.parse::<f64>().is_ok();
    let bare = matches!(kind, Some(KeyKind::Count(..) | KeyKind::Percent(_)));
    match (number, unit) {
        (true, Some(unit)) if !unit.is_empty() && !bare => quoted(&format!("{text} {unit}")),
        // What an input of a wall case is, its declaration says later.
        (true, _) if kind.is_none() => quoted(text),
        // A text such as a name may look like a number.
        (true, _)
            if matches!(kind, Some(KeyKind::Text | KeyKind::OneOrMore | KeyKind::Choice(_))) =>
        {
            quoted(text)
        }
        (true, _) if kind != Some(KeyKind::Texts) => text.to_owned(),
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

/// A bare number up to two in a key of percent may be a share: in formats whose cells do not say that they show percent,
/// 100 % among them.
fn share(table: &Table, row: &Row, column: usize, path: &str) -> Option<Problem> {
    let percent =
        bundled_keys().any(|key| key.path == path && matches!(key.kind, KeyKind::Percent(_)));
    let cell = row.cell(column).filter(|cell| percent && cell.kind == CellKind::Number)?;
    let number = cell.text.parse::<f64>().ok().filter(|number| *number > 0.0 && *number < 2.0)?;
    let hundred = crate::measure::written(number * 100.0);
    Some(
        Problem::error(format!("{number} in a key of percent, which may be {hundred} %"))
            .at(table.place_of(row.line, Some(column)))
            .help(format!("write \"{hundred} %\", or \"{number} %\" if that is meant")),
    )
}

/// Adds a table of pairs: key, value, and a unit for bare numbers where there is a third column.
fn add_pairs(written: &mut Written, table: &Table, filled: &Filled) -> Outcome<()> {
    let name = name_of(table);
    let mut faults = Faults::none();
    let Some((head, rows)) = table.rows.split_first() else { return Ok(()) };
    let at = |wanted: &str| column_of(head, wanted);
    let (Some(key), Some(value_at)) = (at("key"), at("value")) else {
        return Err(Problem::error(format!("sheet {name} has no columns \"key\" and \"value\""))
            .at(table.place_of(head.line, Some(0)))
            .help("its first row holds the headings key and value, and unit where numbers stand alone")
            .into());
    };
    for word in ["key", "value", "unit"] {
        let is = |cell: &&Cell| cell.text.trim().eq_ignore_ascii_case(word);
        if head.cells.iter().filter(is).count() > 1 {
            let problem =
                Problem::error(format!("two columns of sheet {name} are called \"{word}\""));
            faults.push(problem.at(table.place_of(head.line, None)));
        }
    }
    let unit = at("unit");
    let mut lines = Vec::new();
    let mut given = None;
    for row in rows {
        let (key, cell) = (row.text(key).trim(), row.cell(value_at));
        let Some(cell) = cell.filter(|cell| cell.kind != CellKind::Empty) else { continue };
        if let Some(problem) = faulty(table, row, value_at, cell)
            .or_else(|| share(table, row, value_at, &format!("{name}.{key}")))
        {
            written.know_faulty(format!("{name}.{key}"));
            faults.push(problem);
            continue;
        }
        let place = table.place_of(row.line, Some(value_at));
        if key == GIVEN {
            match yes_or_no(&cell.text) {
                Some(yes) => given = Some((yes, place)),
                None => {
                    let problem =
                        Problem::error(format!("\"{}\": yes or no was expected", cell.text));
                    faults.push(problem.at(place));
                }
            }
            continue;
        }
        if !is_key(key) {
            faults.push(Problem::error(format!("\"{key}\" is not a key")).at(place));
            continue;
        }
        let path = format!("{name}.{key}");
        let kind = bundled_keys().find(|known| known.path == path).map(|known| known.kind);
        let unit = unit.map(|unit| row.text(unit).trim()).filter(|unit| !unit.is_empty());
        lines.push((format!("{key} = {}", value(cell, kind, unit)), place));
    }
    if let (Some((false, place)), Some((_, first))) = (&given, lines.first()) {
        let problem =
            Problem::error(format!("the job is said not to have {name}, and {first} is filled in"));
        faults.push(problem.at(place.clone()).help(
            "say yes, or empty the values of the sheet; those of a new book are only an example",
        ));
    }
    if let Filled::Book { without, .. } = filled
        && name == "job"
        && !without.is_empty()
    {
        match lines.iter_mut().find(|(line, _)| line.starts_with("without = [")) {
            Some((line, _)) => {
                let more: String =
                    without.iter().map(|table| format!(", {}", quoted(table))).collect();
                line.insert_str(line.len() - 1, &more);
            }
            None => {
                let all: Vec<String> = without.iter().map(|table| quoted(table)).collect();
                lines.push((format!("without = [{}]", all.join(", ")), table.place()));
            }
        }
    }
    if let Filled::Book { file, shots: true, .. } = filled
        && name == "shots"
    {
        match lines.iter().find(|(line, _)| line.starts_with("file =")) {
            Some((_, place)) => {
                let problem = Problem::error(format!(
                    "another list is named, and sheet \"{}\" has shots",
                    super::SHOT_LIST
                ));
                faults.push(problem.at(place.clone()).help("empty one of the two"));
            }
            None => {
                lines.retain(|(line, _)| !line.starts_with("sheet ="));
                lines.push((format!("file = {}", quoted(file)), table.place()));
                lines.push((format!("sheet = {}", quoted(super::SHOT_LIST)), table.place()));
            }
        }
    }
    if let Filled::Book { shots: false, .. } = filled
        && name == "shots"
        && !lines.is_empty()
        && !lines.iter().any(|(line, _)| line.starts_with("file ="))
    {
        let problem = Problem::error(format!(
            "there are no shots: sheet \"{}\" is empty, and no file is named",
            super::SHOT_LIST
        ));
        faults.push(
            problem
                .at(table.place())
                .help("paste the list into it; where no ground is shot, empty sheet shots"),
        );
    }
    let there = match filled {
        Filled::Tables => true,
        Filled::Book { .. } => {
            let required = key_tables().any(|known| known.path == name && known.required);
            required || !lines.is_empty() || matches!(given, Some((true, _)))
        }
    };
    if there {
        written.push(&format!("[{name}]"), table.place());
        lines.into_iter().for_each(|(line, place)| written.push(&line, place));
    }
    faults.or_value(Some(()))
}

/// Adds a list of tables: a row for each element, with the lists within it.
fn add_list(
    written: &mut Written,
    table: &Table,
    nested: &[&Table],
    filled: &Filled,
) -> Outcome<()> {
    let name = name_of(table).to_owned();
    let mut faults = Faults::none();
    let Some((head, rows)) = table.rows.split_first() else { return Ok(()) };
    let id_at = head.cells.iter().position(|cell| heading(&cell.text).0 == "id");
    let mut within: BTreeMap<String, Vec<(&Table, &Row)>> = BTreeMap::new();
    for inner in nested {
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
        if let ("sheet", Filled::Book { file, .. }) = (name.as_str(), filled)
            && !head
                .cells
                .iter()
                .zip(&row.cells)
                .any(|(head, cell)| heading(&head.text).0 == "file" && cell.kind != CellKind::Empty)
        {
            written.push(&format!("file = {}", quoted(file)), table.place_of(row.line, Some(0)));
        }
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
    for (at, cell) in row.cells.iter().enumerate() {
        if cell.kind != CellKind::Empty && head.text(at).trim().is_empty() {
            let problem = Problem::error(format!("\"{}\" stands under no heading", cell.text));
            faults.push(problem.at(table.place_of(row.line, Some(at))));
        }
    }
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
        let path = element_path(name, &key);
        if let Some(problem) = faulty(table, row, at, cell).or_else(|| share(table, row, at, &path))
        {
            written.know_faulty(path);
            faults.push(problem);
            continue;
        }
        let place = table.place_of(row.line, Some(at));
        if !is_key(&key) {
            faults.push(
                Problem::error(format!("\"{key}\" is not a key"))
                    .at(table.place_of(head.line, Some(at))),
            );
            continue;
        }
        let kind = bundled_keys().find(|known| known.path == path).map(|known| known.kind);
        written.push(&format!("{key} = {}", value(cell, kind, unit.as_deref())), place);
    }
}

/// The path of a key of the elements of a list.
fn element_path(name: &str, key: &str) -> String {
    match kind_of(name) {
        Some(SheetKind::Within(_)) => format!("{}[].{key}", name.replace('.', "[].")),
        _ => format!("{name}[].{key}"),
    }
}
