//! Lists as separated text.

use super::{Cell, Row, Table, numberlike};
use crate::problem::{At, Outcome, Place, Problem};

/// Separators that are recognised.
const SEPARATORS: [u8; 4] = [b'|', b',', b';', b'\t'];

/// Most rows that a list may have.
///
/// A list along walls has some hundreds; more than these do not fit into the memory that a list may take.
pub const MOST_ROWS: usize = 150_000;

/// Reads separated text: commas, semicolons, tabs or spaces; quotes allowed, fields trimmed, blank lines left out.
/// Numbers stay as they are written: what their commas mean is for the reader of the columns to decide.
///
/// # Errors
/// The bytes are not UTF-8, a quoted field never closes, or there is no row at all.
pub fn read_text_list(file: &str, bytes: &[u8]) -> Outcome<Table> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    // What spreadsheets save as "Unicode text".
    let wide = utf16(bytes);
    let text = match &wide {
        Some(text) => text,
        None => std::str::from_utf8(bytes)
            .map_err(|error| not_utf8(file, bytes, error.valid_up_to()))?,
    };
    let Some(separator) = separator(text) else {
        let remarks = vec!["columns separated by spaces".to_owned()];
        return finish(file, spaced(text), remarks).map(|table| Table { spaced: true, ..table });
    };
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
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
            break;
        }
    }
    if let Some(line) = open_quote(text, separator) {
        return Err(Problem::error("a quote is opened in this row and not closed in it")
            .at(Place { file: file.to_owned(), at: At::Line(line) })
            .help(
                "close the quote, or take it out; inches in a list are better written as decimals",
            )
            .into());
    }
    finish(file, rows, Vec::new())
}

/// The first line with a field that begins with a quote and an odd number of quotes, in a text whose quotes do not pair.
fn open_quote(text: &str, separator: u8) -> Option<usize> {
    let quotes = |text: &str| text.bytes().filter(|b| *b == b'"').count();
    if quotes(text).is_multiple_of(2) {
        return None;
    }
    let begins = |line: &str| {
        let mut fields = line.split(char::from(separator));
        fields.any(|field| field.trim_start().starts_with('"'))
    };
    let odd = |line: &str| !quotes(line).is_multiple_of(2) && begins(line);
    text.lines().position(odd).map(|index| index + 1)
}

/// Rows of a text whose fields are separated by spaces.
fn spaced(text: &str) -> Vec<Row> {
    let lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let row = |(index, line): (usize, &str)| Row {
        line: index + 1,
        cells: line.split_whitespace().map(Cell::text).collect(),
    };
    lines.map(row).take(MOST_ROWS + 1).collect()
}

fn finish(file: &str, rows: Vec<Row>, remarks: Vec<String>) -> Outcome<Table> {
    if rows.len() > MOST_ROWS {
        return Err(Problem::error(format!("the list has more than {MOST_ROWS} rows"))
            .at(Place::file(file))
            .help("split it by wall or by set-up")
            .into());
    }
    if rows.is_empty() {
        return Err(Problem::error("the file is empty: no row with anything in it")
            .at(Place::file(file))
            .into());
    }
    let file = file.to_owned();
    Ok(Table { file, sheet: None, rows, spaced: false, hidden: Vec::new(), remarks, by_formula: 0 })
}

/// The line on which a record stands: the reader's position is where it began to look, before blank lines.
fn line_of(text: &str, position: &csv::Position) -> usize {
    let start = usize::try_from(position.byte()).unwrap_or(0).min(text.len());
    let blank = text.as_bytes()[start..].iter().take_while(|b| matches!(b, b'\r' | b'\n'));
    usize::try_from(position.line()).unwrap_or(0) + blank.filter(|b| **b == b'\n').count()
}

/// The separator that cuts most of the first lines into three fields or more; none when only spaces do.
fn separator(text: &str) -> Option<u8> {
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty()).take(20).collect();
    let score = |separator: u8| {
        let counts = lines.iter().map(|line| line.bytes().filter(|b| *b == separator).count());
        counts.filter(|count| *count >= 2).count()
    };
    // Of two that cut alike, the later: the comma may then be a decimal comma.
    let best = SEPARATORS.into_iter().max_by_key(|separator| score(*separator));
    let best = best.filter(|separator| score(*separator) > 0).unwrap_or(b',');
    let by_spaces = lines.iter().filter(|line| line.split_whitespace().count() >= 3).count();
    // Decimal commas between spaces look like separators: then every field of a line has one at most.
    let commas_in_numbers = best == b','
        && lines.iter().all(|line| {
            line.split_whitespace().all(|field| !field.contains(',') || numberlike(field))
        });
    if score(best) == 0
        && let Some(one) = SEPARATORS.into_iter().rev().find(|one| two_columns(&lines, *one))
    {
        return Some(one);
    }
    let spaces =
        by_spaces > score(best) || (by_spaces == score(best) && commas_in_numbers && by_spaces > 0);
    (!spaces).then_some(best)
}

/// Whether nearly every line is two fields with this separator between them, the second of which may be empty in some.
fn two_columns(lines: &[&str], separator: u8) -> bool {
    let second = |line: &&str| {
        let mut fields = line.split(char::from(separator)).map(str::trim);
        match (fields.next(), fields.next(), fields.next()) {
            (Some(a), Some(b), None) if !a.is_empty() => Some(!b.is_empty()),
            _ => None,
        }
    };
    let pairs: Vec<bool> = lines.iter().filter_map(second).collect();
    let filled = pairs.iter().filter(|filled| **filled).count();
    filled >= 2 && pairs.len() * 5 >= lines.len() * 4
}

/// The text of bytes that begin with the mark of UTF-16; none where they do not, or are no such text.
fn utf16(bytes: &[u8]) -> Option<String> {
    let (rest, read): (&[u8], fn([u8; 2]) -> u16) = match bytes {
        [0xff, 0xfe, rest @ ..] => (rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => (rest, u16::from_be_bytes),
        _ => return None,
    };
    let units: Vec<u16> = rest.chunks_exact(2).map(|pair| read([pair[0], pair[1]])).collect();
    String::from_utf16(&units).ok()
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
        let table =
            read_text_list("a.csv", b"pt,N\n\n1, 2 \n").unwrap_or_else(|f| unreachable!("{f}"));
        assert_eq!(table.rows.iter().map(|r| r.line).collect::<Vec<_>>(), [1, 3]);
        assert_eq!(table.rows[1].text(1), "2");
    }

    #[test]
    fn spaces_tabs_and_semicolons_around_decimal_commas() {
        let read = |text: &str| {
            read_text_list("a.txt", text.as_bytes()).unwrap_or_else(|f| unreachable!("{f}"))
        };
        let spaced = read("650053.71 240003.60 104.107\n650041.19  240011.23 100.917 \n");
        assert_eq!(spaced.rows[1].cells.len(), 3);
        for text in [
            "1;10,5;20,25;-3,125\n2;11,5;21,25;3\n",
            "1 10,5 20,25 -3,125\n2 11,5 21,25 3\n",
            "1\t10,5\t20,25\t-3,125\n",
        ] {
            assert_eq!(read(text).rows[0].text(3), "-3,125", "{text}");
        }
        assert_eq!(read("pt,N,E,Z\n1,5000,2000,204\n").rows[1].cells.len(), 4);
    }

    #[test]
    fn an_open_quote_is_told_by_its_row() {
        let fault = read_text_list("a.csv", b"pt,N,E,Z\n1,2,3,4\n2,\"5,6,7\n3,8,9,1\n");
        assert!(fault.is_err_and(|f| f.to_string().contains("a.csv:3")));
    }

    #[test]
    fn semicolons_and_tabs_are_recognised() {
        for text in ["a;b;c\n1;2;3\n", "a\tb\tc\n1\t2\t3\n"] {
            let table =
                read_text_list("a.csv", text.as_bytes()).unwrap_or_else(|f| unreachable!("{f}"));
            assert_eq!(table.rows[0].cells.len(), 3);
        }
    }
}
