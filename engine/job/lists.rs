//! Shot lists as tables: a text, or the sheet of a workbook that is named or is the only one that could be the list.

use std::path::Path;

use crate::files;
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::survey::{Asked, AskedBy, recognise};
use crate::table::{Table, read_text_list};
use crate::workbook::{is_workbook, read_sheets};

/// The tables of a file, and what its other sheets hold.
#[derive(Debug, Clone)]
pub struct ListTables {
    /// Each holds a list.
    pub tables: Vec<Table>,
    /// A line for each sheet of a workbook.
    pub sheets: Vec<String>,
}

/// Reads a file of shots: text, or the sheets of a workbook that are named, or else the only one that could be a list.
///
/// # Errors
/// The file cannot be read, a named sheet is not there or is no list, no sheet or more than one could be the list.
pub fn read_lists(
    path: &Path,
    shown: &str,
    sheets: &[String],
    asked: &Asked,
) -> Outcome<ListTables> {
    let bytes = files::read_bytes(path).map_err(|faults| renamed(faults, shown))?;
    lists_in(&bytes, shown, sheets, asked)
}

/// The same of a file that was read.
pub(super) fn lists_in(
    bytes: &[u8],
    shown: &str,
    sheets: &[String],
    asked: &Asked,
) -> Outcome<ListTables> {
    if !is_workbook(shown) {
        return text_list(bytes, shown, sheets, asked);
    }
    if sheets.is_empty() {
        return only_list(bytes, shown, asked);
    }
    let mut tables = Vec::new();
    for sheet in sheets {
        for read in read_sheets(shown, bytes, Some(sheet))? {
            recognise(&read.table, asked)?;
            tables.push(read.table);
        }
    }
    Ok(ListTables { tables, sheets: Vec::new() })
}

/// The list that a text is.
fn text_list(bytes: &[u8], shown: &str, sheets: &[String], asked: &Asked) -> Outcome<ListTables> {
    not_text(shown, bytes)?;
    if let (Some(sheet), AskedBy::Options) = (sheets.first(), asked.by) {
        let message = format!("sheet \"{sheet}\" is named, and a text has no sheets");
        let problem = Problem::error(message).at(Place::file(shown));
        return Err(problem.help("leave the sheet out").into());
    }
    let table = read_text_list(shown, bytes).map_err(|faults| {
        let help = "export the shots again, with point, northing, easting, elevation and code";
        let empty = |problem: Problem| match problem.message.contains("is empty") {
            true => problem.help(help),
            false => problem,
        };
        Faults::from(faults.into_vec().into_iter().map(empty).collect::<Vec<_>>())
    })?;
    Ok(ListTables { tables: vec![table], sheets: Vec::new() })
}

/// The only sheet of a workbook that could be the list.
fn only_list(bytes: &[u8], shown: &str, asked: &Asked) -> Outcome<ListTables> {
    let mut lists = Vec::new();
    let mut told = Vec::new();
    let mut first_fault = None;
    let read = read_sheets(shown, bytes, None)?;
    let several = read.len() > 1;
    for sheet in read {
        let name = sheet.table.sheet.clone().unwrap_or_default();
        let hidden = if sheet.hidden { ", hidden" } else { "" };
        let what = match recognise(&sheet.table, asked) {
            Ok(found) => {
                let rows: usize = found.lists.iter().map(|list| list.end - list.first).sum();
                let headed = found.lists.iter().any(|list| list.header_line.is_some());
                let how = if headed { "" } else { " without headings" };
                if !sheet.hidden && rows > 0 {
                    lists.push(sheet.table);
                }
                format!("a list of {rows} rows{how}")
            }
            Err(_) if sheet.table.rows.is_empty() => "empty".to_owned(),
            Err(problem) => {
                let what = format!("no list: {}", problem.message);
                if !sheet.hidden {
                    first_fault.get_or_insert(problem);
                }
                what
            }
        };
        told.push(format!("\"{name}\"{hidden}: {what}"));
    }
    match lists.len() {
        1 => Ok(ListTables { tables: lists, sheets: if several { told } else { Vec::new() } }),
        0 => Err(match first_fault.filter(|_| told.len() == 1) {
            Some(problem) => problem.into(),
            None => no_list(shown, &told, asked).into(),
        }),
        _ => {
            let message = "more than one sheet of this workbook could be the list";
            let names: Vec<String> = lists
                .iter()
                .filter_map(|table| table.sheet.as_deref())
                .map(|name| asked.by.sheet(name))
                .collect();
            let help = format!("name the one, or several: {}", names.join("; "));
            Err(of_sheets(message, shown, &told).help(help).into())
        }
    }
}

/// What is said of a workbook in which nothing is a list.
fn no_list(shown: &str, told: &[String], asked: &Asked) -> Problem {
    let message = "no sheet of this workbook is recognised as a shot list";
    of_sheets(message, shown, told).help(match first_fault_of(told) {
        Some(name) => format!(
            "name the sheet, and rodbook says what its columns lack: {}",
            asked.by.sheet(name)
        ),
        None => "save the list as a sheet of its own".to_owned(),
    })
}

/// A problem with a line for each sheet.
fn of_sheets(message: &str, shown: &str, told: &[String]) -> Problem {
    let problem = Problem::error(message).at(Place::file(shown));
    told.iter().fold(problem, |problem, told| problem.detail(format!("sheet {told}")))
}

/// The name of the first sheet that is neither empty nor hidden.
fn first_fault_of(told: &[String]) -> Option<&str> {
    let no_list = told.iter().find(|told| told.contains("\": no list"))?;
    no_list.split('"').nth(1)
}

/// A file under a name of text that is something else.
fn not_text(shown: &str, bytes: &[u8]) -> Result<(), Problem> {
    let what = match bytes {
        [b'P', b'K', 3, 4, ..] => "a workbook or archive",
        [0xd0, 0xcf, 0x11, 0xe0, ..] => "a workbook of the old format, or one with a password",
        [b'%', b'P', b'D', b'F', ..] => "a PDF",
        _ => return Ok(()),
    };
    Err(Problem::error(format!("this is {what}, not separated text")).at(Place::file(shown)).help(
        "give the file the ending of what it is, such as .xlsx or .xls, or save the list as .csv",
    ))
}

/// Says the name that the user knows a file by.
pub(super) fn renamed(faults: Faults, shown: &str) -> Faults {
    let rename = |mut problem: Problem| {
        problem.place = Some(Place::file(shown));
        problem
    };
    faults.into_vec().into_iter().map(rename).collect::<Vec<_>>().into()
}
