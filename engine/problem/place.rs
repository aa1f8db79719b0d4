//! Where something stands in a file that a person can open.

use std::fmt;

/// A place in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The file as the user named it, or as it is found from the job folder.
    pub file: String,
    /// Where in it.
    pub at: At,
}

/// Where in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum At {
    /// The file as a whole.
    Whole,
    /// A line, counted from 1.
    Line(usize),
    /// A line and a column, both counted from 1.
    Column(usize, usize),
    /// A sheet of a workbook.
    Sheet(String),
    /// A cell of a sheet: its row and column counted from 0.
    Cell(String, usize, usize),
}

impl Place {
    /// A file as a whole.
    pub fn file(file: impl Into<String>) -> Self {
        Self { file: file.into(), at: At::Whole }
    }

    /// A line and column of a text file, both counted from 1.
    pub fn column(file: impl Into<String>, line: usize, column: usize) -> Self {
        Self { file: file.into(), at: At::Column(line, column) }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A name with an end of line in it would make two lines of one.
        let file = self.file.replace(['\n', '\r'], "?");
        match &self.at {
            At::Whole => write!(f, "{file}"),
            At::Line(line) => write!(f, "{file}:{line}"),
            At::Column(line, column) => write!(f, "{file}:{line}:{column}"),
            At::Sheet(sheet) => write!(f, "{file} sheet \"{sheet}\""),
            At::Cell(sheet, row, column) => {
                write!(f, "{file} sheet \"{sheet}\" cell {}", cell_name(*row, *column))
            }
        }
    }
}

/// The name of a cell, such as `C7`, from its row and column counted from 0.
pub fn cell_name(row: usize, column: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = column + 1;
    while rest > 0 {
        let digit = u8::try_from((rest - 1) % 26).unwrap_or(0);
        letters.push(char::from(b'A' + digit));
        rest = (rest - 1) / 26;
    }
    let column: String = letters.iter().rev().collect();
    format!("{column}{}", row + 1)
}

#[cfg(test)]
mod tests {
    use super::cell_name;

    #[test]
    fn cells_are_named_as_spreadsheets_name_them() {
        assert_eq!(cell_name(0, 0), "A1");
        assert_eq!(cell_name(6, 25), "Z7");
        assert_eq!(cell_name(6, 26), "AA7");
        assert_eq!(cell_name(1_048_575, 16_383), "XFD1048576");
    }
}
