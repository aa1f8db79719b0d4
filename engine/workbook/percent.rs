//! Which cells show their number as percent: the reader of cells gives the fraction that they hold.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::BigRational;

use super::guard::Parts;
use super::package::{attribute, each_start, sheets_of_xlsx};
use crate::measure::{Decimal, decimal_places};
use crate::table::{Cell, CellKind};

/// Rows and columns of such cells by sheet, counted from 0.
pub(super) type Percents = BTreeMap<String, BTreeSet<(usize, usize)>>;

/// The two formats of percent that every workbook has, by their numbers.
const BUILT_IN: [&str; 2] = ["9", "10"];

/// Most rows that one element of an ods workbook stands for, as far as they are looked at.
const MOST_REPEATED: usize = 10_000;

/// Those of an xlsx workbook; its sheets are looked through only where it has such a format.
pub(super) fn of_xlsx(bytes: &[u8]) -> Percents {
    let mut percents = Percents::new();
    let Ok(mut parts) = Parts::open(bytes) else { return percents };
    let styles = parts.read("xl/styles.xml").map(|styles| percent_styles(&styles));
    let Some(styles) = styles.ok().filter(|styles| !styles.is_empty()) else { return percents };
    for (name, path) in sheets_of_xlsx(&mut parts) {
        let Ok(sheet) = parts.read(&path) else { continue };
        let mut cells = BTreeSet::new();
        // Rows and cells that do not say where they are follow the one before.
        let (mut next_row, mut next_column) = (0, 0);
        each_start(&sheet, &mut |element, start| {
            match element {
                "row" => {
                    let row = attribute(start, "r").and_then(|row| row.parse::<usize>().ok());
                    next_row = row.unwrap_or(next_row + 1);
                    next_column = 0;
                }
                "c" => {
                    let said = attribute(start, "r");
                    let column = said.and_then(|cell| column_of(&cell)).unwrap_or(next_column);
                    next_column = column + 1;
                    let style = attribute(start, "s").and_then(|style| style.parse().ok());
                    if next_row > 0 && styles.contains(&style.unwrap_or(0)) {
                        cells.insert((next_row - 1, column));
                    }
                }
                _ => {}
            }
            true
        });
        percents.insert(name, cells);
    }
    percents
}

/// A number as its cell shows it, with all its digits: 0.07 is `7 %`.
pub(super) fn as_seen(number: &str) -> Cell {
    let hundred = BigRational::from_integer(100.into());
    match Decimal::parse(number).map(Decimal::ratio) {
        Some(value) => {
            let digits = decimal_places(&(value * hundred), 18);
            Cell::text(&format!("{} %", digits.trim_end_matches('0').trim_end_matches('.')))
        }
        None => Cell { text: number.into(), kind: CellKind::Number },
    }
}

/// Numbers of the cell styles that show percent.
fn percent_styles(styles: &[u8]) -> BTreeSet<usize> {
    let mut formats: BTreeSet<String> = BUILT_IN.map(str::to_owned).into();
    let mut found = BTreeSet::new();
    let (mut of_cells, mut count) = (false, 0);
    each_start(styles, &mut |element, start| {
        match element {
            "numFmt" => {
                let code = attribute(start, "formatCode").unwrap_or_default();
                let number = attribute(start, "numFmtId").filter(|_| shows_percent(&code));
                formats.extend(number);
            }
            "cellXfs" => of_cells = true,
            "cellStyles" | "dxfs" => of_cells = false,
            "xf" if of_cells => {
                let format = attribute(start, "numFmtId");
                if format.is_some_and(|format| formats.contains(&format)) {
                    found.insert(count);
                }
                count += 1;
            }
            _ => {}
        }
        true
    });
    found
}

/// Whether a format shows a hundredfold with one percent sign: not one in quotes, after a backslash, or one that only says how
/// wide a gap is (`_%`) or what fills one (`*%`).
fn shows_percent(code: &str) -> bool {
    let (mut quoted, mut escaped, mut signs) = (false, false, 0);
    for c in code.split(';').next().unwrap_or_default().chars() {
        match c {
            _ if escaped => escaped = false,
            '\\' | '_' | '*' if !quoted => escaped = true,
            '"' => quoted = !quoted,
            '%' if !quoted => signs += 1,
            _ => {}
        }
    }
    signs == 1
}

/// The column of an address, counted from 0.
fn column_of(address: &str) -> Option<usize> {
    let letters = address.bytes().take_while(u8::is_ascii_alphabetic);
    let number = letters.take(3).fold(0, |number, letter| {
        number * 26 + usize::from(letter.to_ascii_uppercase() - b'A') + 1
    });
    number.checked_sub(1)
}

/// Those of an ods workbook.
pub(super) fn of_ods(bytes: &[u8]) -> Percents {
    let mut percents = Percents::new();
    let Ok(content) = Parts::open(bytes).and_then(|mut parts| parts.read("content.xml")) else {
        return percents;
    };
    let (mut sheet, mut rows, mut column) = (String::new(), 0..0, 0);
    each_start(&content, &mut |element, start| {
        let repeated = |name| {
            let count = attribute(start, name).and_then(|count| count.parse::<usize>().ok());
            count.unwrap_or(1).min(super::read::LAST_ROW)
        };
        match element {
            "table" => {
                sheet = attribute(start, "name").unwrap_or_default();
                rows = 0..0;
            }
            "table-row" => {
                let next: usize = rows.end + repeated("number-rows-repeated");
                rows = rows.end..next.min(super::read::LAST_ROW);
                column = 0;
            }
            "table-cell" | "covered-table-cell" => {
                let next = column + repeated("number-columns-repeated");
                let percent = attribute(start, "value-type").is_some_and(|of| of == "percentage");
                if percent && next <= super::read::MOST_COLUMNS {
                    let cells = percents.entry(sheet.clone()).or_default();
                    let seen = rows.clone().take(MOST_REPEATED);
                    cells.extend(seen.flat_map(|row| (column..next).map(move |at| (row, at))));
                }
                column = next.min(super::read::MOST_COLUMNS);
            }
            _ => {}
        }
        true
    });
    percents
}

#[cfg(test)]
mod tests {
    use super::{as_seen, column_of, shows_percent};

    #[test]
    fn signs_in_quotes_are_none() {
        for code in ["0%", "0.0 %", "0.00%;[Red]-0.00%", "0.0%_)", r#""of "0%"#] {
            assert!(shows_percent(code), "{code}");
        }
        for code in ["0.00", r"0\%", r#"0.0" %""#, "0%%", "0.00;0%", "0.0_%", "#,##0.0_%_)", "0*%"]
        {
            assert!(!shows_percent(code), "{code}");
        }
    }

    #[test]
    fn a_fraction_as_it_is_seen() {
        let seen = ["0.07", "1", "0.125", "0.0000001", "-0.5"].map(|number| as_seen(number).text);
        assert_eq!(seen, ["7 %", "100 %", "12.5 %", "0.00001 %", "-50 %"]);
    }

    #[test]
    fn columns_of_addresses() {
        let columns = ["A1", "Z9", "AA10", "XFD1"].map(column_of);
        assert_eq!(columns, [Some(0), Some(25), Some(26), Some(16_383)]);
        assert_eq!(column_of("7"), None);
    }
}
