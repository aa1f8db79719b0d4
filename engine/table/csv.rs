//! Lists as separated text.

use super::{Cell, Row, Table};
use crate::problem::{At, Outcome, Place, Problem};

/// Separators that are recognised, the likeliest first.
const SEPARATORS: [u8; 3] = [b',', b';', b'\t'];

/// Most rows that a list may have.
const MOST_ROWS: usize = 2_000_000;

/// Reads separated text: quotes allowed, fields trimmed, blank lines left out.
///
/// # Errors
/// The bytes are not UTF-8, a quoted field never closes, or there is no row at all.
pub fn read_csv(file: &str, bytes: &[u8]) -> Outcome<Table> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text =
        std::str::from_utf8(bytes).map_err(|error| not_utf8(file, bytes, error.valid_up_to()))?;
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .delimiter(separator(text))
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut record = csv::StringRecord::new();
    loop {
        match reader.read_record(&mut record) {
            Ok(true) => {}
            Ok(false) => break,
            Err(error) => {
                let line = error.position().map_or(1, |p| usize::try_from(p.line()).unwrap_or(1));
                let place = Place { file: file.to_owned(), at: At::Line(line) };
                return Err(Problem::error(format!("the list cannot be read: {error}"))
                    .at(place)
                    .into());
            }
        }
        let line = record.position().map_or(0, |position| line_of(text, position));
        let row = Row { line, cells: record.iter().map(Cell::text).collect() };
        if !row.is_blank() {
            rows.push(row);
        }
        if rows.len() > MOST_ROWS {
            return Err(Problem::error(format!("the list has more than {MOST_ROWS} rows"))
                .at(Place::file(file))
                .help("split it by wall or by set-up")
                .into());
        }
    }
    if rows.is_empty() {
        return Err(Problem::error("the file is empty: no row with anything in it")
            .at(Place::file(file))
            .help("export the shots again, with point, northing, easting, elevation and code")
            .into());
    }
    Ok(Table { file: file.to_owned(), sheet: None, rows })
}

/// The line on which a record stands: the reader's position is where it began to look, before blank lines.
fn line_of(text: &str, position: &csv::Position) -> usize {
    let start = usize::try_from(position.byte()).unwrap_or(0).min(text.len());
    let blank = text.as_bytes()[start..].iter().take_while(|b| matches!(b, b'\r' | b'\n'));
    usize::try_from(position.line()).unwrap_or(0) + blank.filter(|b| **b == b'\n').count()
}

/// The separator that cuts the first lines into most fields, evenly.
fn separator(text: &str) -> u8 {
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).take(20).collect();
    let score = |separator: u8| {
        let counts = lines.iter().map(|line| line.bytes().filter(|b| *b == separator).count());
        counts.filter(|count| *count >= 2).count()
    };
    let mut best = SEPARATORS[0];
    for candidate in SEPARATORS {
        if score(candidate) > score(best) {
            best = candidate;
        }
    }
    best
}

fn not_utf8(file: &str, bytes: &[u8], upto: usize) -> Problem {
    let line = bytes[..upto].iter().filter(|b| **b == b'\n').count() + 1;
    Problem::error("the file is not UTF-8 text")
        .at(Place { file: file.to_owned(), at: At::Line(line) })
        .help("save it again as CSV UTF-8; an accented letter or a degree sign is the usual cause")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blank_lines_keep_the_line_numbers() {
        let table = read_csv("a.csv", b"pt,N\n\n1, 2 \n").unwrap_or_else(|f| unreachable!("{f}"));
        assert_eq!(table.rows.iter().map(|r| r.line).collect::<Vec<_>>(), [1, 3]);
        assert_eq!(table.rows[1].text(1), "2");
    }

    #[test]
    fn semicolons_and_tabs_are_recognised() {
        for text in ["a;b;c\n1;2;3\n", "a\tb\tc\n1\t2\t3\n"] {
            let table = read_csv("a.csv", text.as_bytes()).unwrap_or_else(|f| unreachable!("{f}"));
            assert_eq!(table.rows[0].cells.len(), 3);
        }
    }
}
