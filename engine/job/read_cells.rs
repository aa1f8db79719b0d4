//! Inputs of calc sheets that somebody changed in a written workbook, read back into the files of the sheets.

use super::read_back::{number_of, same};
use super::sheets::{PRICE, PRICE_SHEET};
use super::{CalcSheets, Job};
use crate::files::{self, LayerOrigin};
use crate::measure::{cell_text, number_unit, read_date};
use crate::problem::{At, Outcome, Place, Problem};
use crate::sheet::{Formula, Node, NodeId, Origin};
use crate::table::{Row, Table};
use crate::workbook::{WRITTEN_AS, sheet_name};

/// An input of a calc sheet that was changed.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadCell {
    /// Its name, such as pour.rate.
    pub name: String,
    /// What it is.
    pub what: String,
    /// Its value in the job, in its unit.
    pub was: String,
    /// Its value in the workbook, as the file of its sheet writes it.
    pub now: String,
    /// Its unit.
    pub unit: String,
    /// Whether the job has another value than the workbook was written with.
    pub moved_since: bool,
    /// Where its formula stands.
    pub own: Place,
}

/// Inputs of a calc sheet, one value a row, that differ from those of the job: cells of one label follow each other.
pub(super) fn changed_cells(calc: &CalcSheets, table: &Table) -> Vec<ReadCell> {
    let heads = |row: &Row| {
        let at = |name: &str| row.cells.iter().position(|cell| cell.text == name);
        Some((at("What")?, at("Value")?, at("Kind")?, at("Calculation")))
    };
    let head = table.rows.iter().enumerate().find_map(|(at, row)| Some((at, heads(row)?)));
    let Some((head, (what, value, kind, how))) = head else { return Vec::new() };
    let title = table.sheet.as_deref().unwrap_or_default();
    let own = |sheet: u32| {
        let sheet = calc.sheets.get(sheet as usize)?;
        (sheet_name(&sheet.title) == title).then_some(sheet)
    };
    let mut nodes: Vec<(&Node, NodeId, &Place)> = (0..)
        .zip(calc.book.nodes())
        .filter_map(|(id, node)| {
            let Origin::Cell { sheet, wall: None, row } = node.origin else { return None };
            let row = own(sheet)?.rows.get(row as usize)?;
            let typed = node.formula.as_ref().is_some_and(Formula::is_typed);
            typed.then_some((node, id, &row.place))
        })
        .collect();
    let mut changed = Vec::new();
    for row in
        table.rows[head + 1..].iter().filter(|row| ["input", "typed"].contains(&row.text(kind)))
    {
        let label = row.text(what);
        let known = |(node, ..): &(&Node, NodeId, &Place)| node.what.trim() == label;
        let Some(at) = nodes.iter().position(known) else { continue };
        let (node, id, own) = nodes.remove(at);
        let Some(quantity) = calc.book.quantity(id) else { continue };
        let was = cell_text(quantity, &node.unit);
        let now = row.text(value);
        // What it was written with; an older workbook does not say it.
        let first = how.and_then(|how| row.text(how).strip_prefix(WRITTEN_AS));
        let first = first.unwrap_or(&was);
        if !same(now, first) && !same(now, &was) {
            changed.push(ReadCell {
                name: node.name.to_string(),
                what: label.to_owned(),
                now: now.to_owned(),
                moved_since: !same(first, &was),
                was,
                unit: number_unit(&node.unit).to_owned(),
                own: own.clone(),
            });
        }
    }
    changed
}

/// Titles of calc sheets with inputs that are not looked at: one for each wall or row, or on no sheet of the workbook.
pub(super) fn not_looked_at(calc: &CalcSheets, tables: &[&Table]) -> Vec<String> {
    let typed = |sheet: usize, of_rows: bool| {
        calc.book.nodes().iter().any(|node| {
            let Origin::Cell { sheet: own, wall, .. } = node.origin else { return false };
            own as usize == sheet
                && wall.is_some() == of_rows
                && node.formula.as_ref().is_some_and(Formula::is_typed)
        })
    };
    let there = |title: &str| tables.iter().any(|table| table.sheet.as_deref() == Some(title));
    let all = calc.sheets.iter().enumerate();
    let left = all.filter(|(at, sheet)| {
        typed(*at, true) || typed(*at, false) && !there(&sheet_name(&sheet.title))
    });
    left.map(|(_, sheet)| sheet.title.clone()).collect()
}

/// The texts of the sheets' files with changed cells, by file; and the names of the cells that have no place in a file of the job.
///
/// # Errors
/// A file cannot be read.
pub fn with_cells(
    job: &Job,
    changed: &[ReadCell],
) -> Outcome<(Vec<(std::path::PathBuf, String)>, Vec<String>)> {
    let (mut texts, mut left): (Vec<(std::path::PathBuf, String)>, _) = (Vec::new(), Vec::new());
    for cell in changed {
        let place = match cell.own.at {
            At::Line(line) => own_file(job, &cell.name).map(|path| (path, line)),
            _ => None,
        };
        // A sheet of a workbook, of the company or of the program is not the job's to change.
        let Some((path, line)) = place else {
            left.push(cell.name.clone());
            continue;
        };
        let at = match texts.iter().position(|(known, _)| *known == path) {
            Some(at) => at,
            None => {
                texts.push((path.clone(), files::read_text(&path)?));
                texts.len() - 1
            }
        };
        match with_formula(&texts[at].1, line, &cell.now) {
            Some(new) => texts[at].1 = new,
            None => left.push(cell.name.clone()),
        }
    }
    Ok((texts, left))
}

/// The csv of the job's own that a cell's sheet is read from.
fn own_file(job: &Job, cell: &str) -> Option<std::path::PathBuf> {
    let sheet = cell.split('.').next()?;
    let file = match job.calc_sheets.iter().find(|source| source.name == sheet) {
        Some(source) => source.file.as_str(),
        None if sheet == PRICE_SHEET => PRICE,
        None => return None,
    };
    let found = job.layers.find(file).ok()?;
    let path = job.layers.path(file).ok()?;
    (found.origin == LayerOrigin::Job && path.is_file()).then_some(path)
}

/// What is wrong with what stands in a cell: a day, a share and a number are told from anything else.
pub(super) fn check_value(cell: &ReadCell, place: &Place) -> Result<(), Problem> {
    let (sound, what, help) = match read_date(&cell.was).is_ok() {
        true => (read_date(&cell.now).is_ok(), "a day", "write it like 2026-11-25"),
        false => (
            number_of(&cell.now).is_some_and(f64::is_finite),
            "a number",
            "type the number alone: its unit stands beside it",
        ),
    };
    match sound {
        true => Ok(()),
        false => {
            Err(Problem::error(format!("{} is {what}, its cell holds \"{}\"", cell.name, cell.now))
                .at(place.clone())
                .help(help))
        }
    }
}

/// The text of a sheet with another formula in one of its lines; nothing where the line is none of a plain table.
fn with_formula(text: &str, line: usize, now: &str) -> Option<String> {
    let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
    let at = lines.iter().find_map(|line| {
        // Where commas separate, numbers have points; with other marks a number might be read as another.
        let words = fields(line, ',');
        let at = words.iter().position(|(from, to)| {
            line[*from..*to].trim().trim_matches('"').eq_ignore_ascii_case("formula")
        });
        at.filter(|_| words.len() > 2)
    })?;
    let old = *lines.get(line.checked_sub(1)?)?;
    let (from, to) = *fields(old, ',').get(at)?;
    let new = format!("{}{now}{}", &old[..from], &old[to..]);
    lines[line - 1] = &new;
    Some(lines.concat())
}

/// From where to where each field of a line reaches, quotes and all.
fn fields(line: &str, separator: char) -> Vec<(usize, usize)> {
    let line = line.trim_end_matches(['\n', '\r']);
    let (mut from, mut quoted, mut found) = (0, false, Vec::new());
    for (at, c) in line.char_indices() {
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            found.push((from, at));
            from = at + separator.len_utf8();
        }
    }
    found.push((from, line.len()));
    found
}

#[cfg(test)]
mod tests {
    use super::with_formula;

    #[test]
    fn one_formula_of_a_line_is_replaced_and_nothing_else() {
        let text = "what,name,unit,formula,note\r\n\"Rate, of rise\",rate,ft/h,4,\"a \"\"note\"\"\"\r\nTime,t,h,\"max([1, 2])\",\r\n";
        let new = with_formula(text, 2, "5.5").unwrap_or_default();
        assert_eq!(new, text.replace(",4,", ",5.5,"));
        let new = with_formula(text, 3, "2").unwrap_or_default();
        assert_eq!(new, text.replace("\"max([1, 2])\"", "2"));
        assert_eq!(with_formula("what;name;unit;formula\nRate;rate;ft/h;4\n", 2, "5"), None);
        assert_eq!(with_formula(text, 9, "1"), None);
        assert_eq!(with_formula("a,b\n", 1, "1"), None);
    }
}
