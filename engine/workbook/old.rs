//! Workbooks of the formats that cannot be read piece by piece, xls, xlsb and ods: their reader believes what they say of
//! themselves, so it reads them in a process of its own, with bounded memory and time.

use serde::{Deserialize, Serialize};

use super::read::{SheetRead, read_in_this_process};
use crate::files::{Ended, MEMORY, ask_child};
use crate::problem::{At, Outcome, Place, Problem};
use crate::table::{Cell, CellKind, Row, Table};

/// A sheet on its way between the processes.
#[derive(Debug, Serialize, Deserialize)]
struct Sent {
    name: String,
    hidden: bool,
    /// Hidden columns.
    columns: Vec<usize>,
    /// Line, column, kind, text.
    cells: Vec<(usize, usize, u8, String)>,
}

/// What is wrong, on its way.
#[derive(Debug, Serialize, Deserialize)]
struct Wrong {
    message: String,
    sheet: Option<String>,
    details: Vec<String>,
    help: Option<String>,
}

type Answer = Result<Vec<Sent>, Vec<Wrong>>;

/// Kinds of cells by their number on the way.
const KINDS: [CellKind; 7] = [
    CellKind::Empty,
    CellKind::Text,
    CellKind::Number,
    CellKind::Error,
    CellKind::NoResult,
    CellKind::Date,
    CellKind::Total,
];

/// Name of the command that the other process is given.
pub const COMMAND: &str = "read-old-workbook";

/// Reads a workbook in a process of its own; as part of another program, which cannot be run for that, in this one.
pub(super) fn read(file: &str, bytes: &[u8], sheet: Option<&str>) -> Outcome<Vec<SheetRead>> {
    let mut args = vec![COMMAND, file];
    args.extend(sheet);
    let answer = match ask_child(&args, bytes) {
        Ok(answer) => serde_json::from_slice::<Answer>(&answer).map_err(|_| Ended::FellOver),
        Err(Ended::NotStarted) => return read_in_this_process(file, bytes, sheet),
        Err(ended) => Err(ended),
    };
    match answer {
        Ok(Ok(sheets)) => Ok(sheets.into_iter().map(|sent| received(file, sent)).collect()),
        Ok(Err(wrong)) => {
            let problems = wrong.into_iter().map(|wrong| told(file, wrong));
            Err(problems.collect::<Vec<_>>().into())
        }
        Err(ended) => {
            let why = match ended {
                Ended::TooLong => "its reader did not come to an end".to_owned(),
                _ => format!(
                    "its reader fell over, or asked for more than {} MB of memory",
                    MEMORY / 1024 / 1024
                ),
            };
            Err(Problem::error(format!("this workbook cannot be read: {why}"))
                .at(Place::file(file))
                .help("it is damaged, or a cell stands far beyond its list; open it in a spreadsheet and save the list as .xlsx or .csv")
                .into())
        }
    }
}

/// The answer of the other process.
pub fn answer(file: &str, bytes: &[u8], sheet: Option<&str>) -> Vec<u8> {
    let answer: Answer = match read_in_this_process(file, bytes, sheet) {
        Ok(sheets) => Ok(sheets.into_iter().map(sent).collect()),
        Err(faults) => Err(faults.into_vec().into_iter().map(wrong).collect()),
    };
    serde_json::to_vec(&answer).unwrap_or_default()
}

fn sent(read: SheetRead) -> Sent {
    let mut cells = Vec::new();
    for row in &read.table.rows {
        for (column, cell) in row.cells.iter().enumerate() {
            let kind = KINDS.iter().position(|kind| *kind == cell.kind).unwrap_or(0);
            if kind > 0 {
                let kind = u8::try_from(kind).unwrap_or(0);
                cells.push((row.line, column, kind, cell.text.to_string()));
            }
        }
    }
    Sent {
        name: read.table.sheet.unwrap_or_default(),
        hidden: read.hidden,
        columns: read.table.hidden,
        cells,
    }
}

fn received(file: &str, sent: Sent) -> SheetRead {
    let mut rows: Vec<Row> = Vec::new();
    for (line, column, kind, text) in sent.cells {
        if rows.last().is_none_or(|last| last.line != line) {
            rows.push(Row { line, cells: Vec::new() });
        }
        if let Some(row) = rows.last_mut() {
            row.cells.resize(column, Cell::empty());
            let kind = KINDS.get(usize::from(kind)).cloned().unwrap_or(CellKind::Empty);
            row.cells.push(Cell { text: text.into(), kind });
        }
    }
    let table = Table {
        file: file.to_owned(),
        sheet: Some(sent.name),
        rows,
        spaced: false,
        hidden: sent.columns,
        remarks: Vec::new(),
        by_formula: 0,
    };
    SheetRead { table, hidden: sent.hidden }
}

fn wrong(problem: Problem) -> Wrong {
    let sheet = match problem.place.map(|place| place.at) {
        Some(At::Sheet(sheet) | At::Cell(sheet, ..)) => Some(sheet),
        _ => None,
    };
    Wrong { message: problem.message, sheet, details: problem.details, help: problem.help }
}

fn told(file: &str, wrong: Wrong) -> Problem {
    let place = match wrong.sheet {
        Some(sheet) => Place { file: file.to_owned(), at: At::Sheet(sheet) },
        None => Place::file(file),
    };
    let problem = wrong.details.into_iter().fold(Problem::error(wrong.message), Problem::detail);
    let problem = problem.at(place);
    match wrong.help {
        Some(help) => problem.help(help),
        None => problem,
    }
}
