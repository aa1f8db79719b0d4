//! Inputs of calc sheets that somebody changed in a written workbook, read back into the files of the sheets.

use super::read_back::same;
use super::{CalcSheets, Job};
use crate::files;
use crate::measure::{Dimension, Quantity, date_text, number_unit, unit, written};
use crate::problem::{At, Outcome, Place, Problem};
use crate::sheet::{Formula, Node, NodeId, Origin};
use crate::table::{Row, Table};
use crate::workbook::sheet_name;

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
    /// Where its formula stands.
    pub own: Place,
}

/// A value in the unit of its cell, as a sheet writes it.
fn as_written(quantity: Quantity, name: &str) -> String {
    match (name, quantity.dimension()) {
        (_, Dimension::DATE) => date_text(quantity).unwrap_or_default(),
        ("percent", _) => written(quantity.base()),
        (name, _) => {
            let size = unit(number_unit(name)).and_then(|unit| quantity.in_unit(&unit));
            written(size.unwrap_or(quantity.base()))
        }
    }
}

/// Inputs of a calc sheet, one value a row, that differ from those of the job: cells of one label follow each other.
pub(super) fn changed_cells(calc: &CalcSheets, table: &Table) -> Vec<ReadCell> {
    let heads = |row: &Row| {
        let at = |name: &str| row.cells.iter().position(|cell| cell.text == name);
        Some((at("What")?, at("Value")?, at("Kind")?))
    };
    let head = table.rows.iter().enumerate().find_map(|(at, row)| Some((at, heads(row)?)));
    let Some((head, (what, value, kind))) = head else { return Vec::new() };
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
    for row in table.rows[head + 1..].iter().filter(|row| row.text(kind) == "input") {
        let label = row.text(what);
        let known = |(node, ..): &(&Node, NodeId, &Place)| node.what.trim() == label;
        let Some(at) = nodes.iter().position(known) else { continue };
        let (node, id, own) = nodes.remove(at);
        let Some(quantity) = calc.book.quantity(id) else { continue };
        let was = as_written(quantity, &node.unit);
        let now = row.text(value);
        if !same(now, &was) {
            changed.push(ReadCell {
                name: node.name.to_string(),
                what: label.to_owned(),
                now: now.to_owned(),
                was,
                unit: number_unit(&node.unit).to_owned(),
                own: own.clone(),
            });
        }
    }
    changed
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
        let At::Line(line) = cell.own.at else {
            left.push(cell.name.clone());
            continue;
        };
        let path = job.folder.join(&cell.own.file);
        let at = texts.iter().position(|(known, _)| *known == path);
        let at = match at {
            Some(at) => at,
            // A sheet of the company or a bundled one is not the job's to change.
            None if !path.is_file() => {
                left.push(cell.name.clone());
                continue;
            }
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

/// A cell's value as a formula on the command line, or what is wrong with it.
pub(super) fn check_number(cell: &ReadCell, place: &Place) -> Result<(), Problem> {
    let is_date = cell.was.matches('-').count() == 2;
    match is_date || cell.now.parse::<f64>().is_ok_and(f64::is_finite) {
        true => Ok(()),
        false => Err(Problem::error(format!(
            "{} is a number, its cell holds \"{}\"",
            cell.name, cell.now
        ))
        .at(place.clone())
        .help("type the number alone: its unit stands beside it")),
    }
}

/// The text of a sheet with another formula in one of its lines; nothing where the line is none of a plain table.
fn with_formula(text: &str, line: usize, now: &str) -> Option<String> {
    let mut lines: Vec<&str> = text.split_inclusive('\n').collect();
    let (separator, at) = lines.iter().find_map(|line| {
        [',', ';', '\t'].into_iter().find_map(|separator| {
            let words = fields(line, separator);
            let at = words.iter().position(|(from, to)| line[*from..*to].trim() == "formula");
            Some((separator, at.filter(|_| words.len() > 2)?))
        })
    })?;
    let old = *lines.get(line.checked_sub(1)?)?;
    let (from, to) = *fields(old, separator).get(at)?;
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
        assert_eq!(
            with_formula("what;name;unit;formula\nRate;rate;ft/h;4\n", 2, "5").as_deref(),
            Some("what;name;unit;formula\nRate;rate;ft/h;5\n")
        );
        assert_eq!(with_formula(text, 9, "1"), None);
        assert_eq!(with_formula("a,b\n", 1, "1"), None);
    }
}
