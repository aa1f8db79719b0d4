//! Rows of cells with their places, as every reader of lists gives them.
//!
//! Nothing here knows what a column means: a reader fills a [`Table`], and the survey room recognises it.

mod numbers;
mod text;

pub use self::numbers::{DecimalMark, MarkProof, Proven, numberlike, plain_number};
pub use self::text::{MOST_ROWS, read_text_list};

use compact_str::CompactString;

use crate::problem::{At, Place};

/// What a cell held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CellKind {
    /// Nothing.
    Empty,
    /// Text as typed.
    Text,
    /// A number of a spreadsheet, given as its shortest decimal text.
    Number,
    /// An error value of a spreadsheet, such as `#N/A`.
    Error,
    /// A formula whose result was never stored.
    NoResult,
    /// A date or a time of a spreadsheet, as text; never a number.
    Date,
    /// A number that a spreadsheet works out over the rows of its own column, such as a sum or an average.
    Total,
}

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// Its text, trimmed; short ones take no memory of their own.
    pub text: CompactString,
    /// What it held.
    pub kind: CellKind,
}

impl Cell {
    /// An empty cell.
    pub fn empty() -> Self {
        Self { text: CompactString::default(), kind: CellKind::Empty }
    }

    /// A cell of text; empty when nothing but blanks is in it.
    pub fn text(text: &str) -> Self {
        let text = text.trim();
        let kind = if text.is_empty() { CellKind::Empty } else { CellKind::Text };
        Self { text: text.into(), kind }
    }
}

/// One row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Line of the file or row of the sheet, counted from 1.
    pub line: usize,
    /// Its cells.
    pub cells: Vec<Cell>,
}

impl Row {
    /// A cell, or nothing beyond the end of the row.
    pub fn cell(&self, column: usize) -> Option<&Cell> {
        self.cells.get(column)
    }

    /// The text of a cell, empty beyond the end of the row.
    pub fn text(&self, column: usize) -> &str {
        self.cell(column).map_or("", |cell| &cell.text)
    }

    /// Whether all its cells are empty.
    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(|cell| cell.kind == CellKind::Empty)
    }
}

/// A list as read from a file. Blank rows are left out, their line numbers are not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// The file as the user named it.
    pub file: String,
    /// The sheet, for a workbook.
    pub sheet: Option<String>,
    /// The rows, in file order.
    pub rows: Vec<Row>,
    /// Whether its columns are separated by spaces, so that a field holds none.
    pub spaced: bool,
    /// Columns that are hidden in the workbook, counted from 0.
    pub hidden: Vec<usize>,
    /// How many of its numbers are results of formulas of a spreadsheet.
    pub by_formula: usize,
    /// What the reader assumed about the whole list.
    pub remarks: Vec<String>,
}

impl Table {
    /// The place of the table as a whole.
    pub fn place(&self) -> Place {
        let at = match &self.sheet {
            Some(sheet) => At::Sheet(sheet.clone()),
            None => At::Whole,
        };
        Place { file: self.file.clone(), at }
    }

    /// The place of a row, or of one of its cells.
    pub fn place_of(&self, line: usize, column: Option<usize>) -> Place {
        let at = match (&self.sheet, column) {
            (Some(sheet), column) => {
                At::Cell(sheet.clone(), line.saturating_sub(1), column.unwrap_or(0))
            }
            (None, _) => At::Line(line),
        };
        Place { file: self.file.clone(), at }
    }
}
