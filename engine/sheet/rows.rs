//! A sheet of rows as a table: named columns, each with a unit and a formula for all rows, totals under them.

use std::collections::BTreeMap;

use indexmap::IndexMap;

use super::entries::{in_brackets, misread, share};
use super::expected::Expectation;
use super::table::{Sheet, SheetRow, as_formula, check_cell, decimal_mark, is_free_name, is_name};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::table::{Cell, DecimalMark, Row, Table};

/// What a sheet is worked out for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Across {
    /// Once.
    #[default]
    Once,
    /// Once for each wall.
    Walls,
    /// Its columns once for each row.
    Rows(RowAxis),
}

/// The rows of a sheet of rows.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RowAxis {
    /// The listing whose rows they are; without one they are typed.
    pub of: Option<String>,
    /// Names of the typed rows, in order; `#3` where the name of the third stands in another row too.
    pub keys: Vec<String>,
    /// Where each of them stands.
    pub places: Vec<Place>,
    /// Entries of single rows, by the column and the name of the row.
    pub entries: BTreeMap<usize, IndexMap<String, Entry>>,
    /// What is expected of single cells, by the same.
    pub expected: BTreeMap<(String, usize), Expectation>,
}

/// An entry of one row in place of the formula of its column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The formula as written.
    pub formula: String,
    /// Where it stands.
    pub place: Place,
}

/// Most rows of a sheet.
pub(super) const MOST_ROWS: usize = 100_000;

/// First cells of the rows that speak of the columns.
const UNIT: &str = "unit";
const FORMULA: &str = "formula";
const TOTAL: &str = "total";
/// First cells of the rows that say what totals should be, and what the headings of such columns begin with.
const EXPECTED: &str = "expected";
const WITHIN: &str = "within";
/// The row of the headings.
const HEAD: &str = "headings";

/// What the name of a total begins with, before that of its column.
const TOTAL_OF: &str = "total_";

impl SheetRow {
    /// Whether it is the total of a column.
    pub fn is_total_of(&self, column: &Self) -> bool {
        column.column.is_some() && self.name.strip_prefix(TOTAL_OF) == Some(&column.name)
    }
}

/// Totals that one word asks for.
const TOTALS: [&str; 5] = ["sum", "min", "max", "mean", "count"];

fn of_columns(row: &Row) -> Option<&'static str> {
    let first = row.text(0).trim().to_lowercase();
    [UNIT, FORMULA, TOTAL, EXPECTED, WITHIN].into_iter().find(|word| *word == first)
}

/// Whether a table is one of rows: a row says unit or formula of its columns, or a heading has its unit in brackets.
pub(super) fn is_of_rows(table: &Table) -> bool {
    let Some(head) = table.rows.first() else { return false };
    let heads = || head.cells.iter().map(|cell| cell.text.trim());
    let says = |row: &Row| matches!(of_columns(row), Some(UNIT | FORMULA));
    let named = |name: &str| heads().any(|head| head.eq_ignore_ascii_case(name));
    !(named(FORMULA) && named("name"))
        && (table.rows.iter().skip(1).any(says) || heads().any(|head| unit_of(head).is_some()))
}

/// A name out of a heading as people write it: `Crew size [each]` is `crew_size`.
pub fn name_of(heading: &str) -> String {
    let bracket = if heading.contains('[') { '[' } else { '(' };
    let named = heading.split(bracket).next().filter(|_| unit_of(heading).is_some());
    let plain = named.unwrap_or(heading).trim().to_lowercase();
    let letters = plain.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' });
    let mut name: String = letters.collect();
    while name.contains("__") {
        name = name.replace("__", "_");
    }
    name.trim_matches('_').to_owned()
}

/// The unit in brackets behind a heading.
fn unit_of(heading: &str) -> Option<&str> {
    if let Some((_, rest)) = heading.split_once('[') {
        return Some(rest.split_once(']')?.0.trim());
    }
    // In round ones only what is a unit: others are part of the heading.
    let inner = heading.trim_end().strip_suffix(')')?.rsplit_once('(')?.1.trim();
    crate::measure::known_unit(inner).map(|_| inner)
}

/// A table of rows: what its rows say of the columns, and its other rows.
struct Columns<'t> {
    table: &'t Table,
    head: &'t Row,
    spoken: BTreeMap<&'static str, &'t Row>,
    typed: Vec<&'t Row>,
    units: Vec<String>,
    mark: DecimalMark,
}

impl<'t> Columns<'t> {
    fn new(table: &'t Table, faults: &mut Faults) -> Option<Self> {
        let head = table.rows.first()?;
        let mut spoken: BTreeMap<&str, &Row> = BTreeMap::new();
        let mut typed: Vec<&Row> = Vec::new();
        for row in table.rows.iter().skip(1) {
            let place = || table.place_of(row.line, Some(0));
            match of_columns(row) {
                Some(word) => {
                    if spoken.insert(word, row).is_some() {
                        let message = format!("two rows say \"{word}\" of the columns");
                        faults.push(Problem::error(message).at(place()).help("keep one of them"));
                    }
                }
                None if !row.text(0).trim().is_empty() => typed.push(row),
                None if row.cells.iter().all(|cell| cell.text.trim().is_empty()) => {}
                None => faults.push(
                    Problem::error("this row has no name in its first column")
                        .at(place())
                        .help("every row has one, such as the band or crew that it is of"),
                ),
            }
        }
        for row in typed.iter().chain(spoken.values()) {
            let beyond = |(at, cell): &(usize, &Cell)| {
                !cell.text.trim().is_empty() && head.text(*at).trim().is_empty()
            };
            if let Some((at, cell)) = row.cells.iter().enumerate().find(beyond) {
                faults.push(
                    Problem::error(format!("\"{}\" stands under no heading", cell.text.trim()))
                        .at(table.place_of(row.line, Some(at)))
                        .help("an entry with a comma in it stands in quotes: \"1,250\""),
                );
            }
        }
        if typed.len() > MOST_ROWS {
            let message = format!("the sheet has {} rows, {MOST_ROWS} at most", typed.len());
            faults.push(Problem::error(message).at(table.place()));
        }
        let mark = DecimalMark::Point;
        let mut columns = Self { table, head, spoken, typed, units: Vec::new(), mark };
        columns.units = (0..head.cells.len()).map(|column| columns.unit(column)).collect();
        let is_text = |column: &usize| columns.units[*column] == "text";
        let texts: Vec<usize> = (0..head.cells.len()).filter(is_text).collect();
        columns.mark = decimal_mark(table, &texts, |column| column > 0, faults);
        Some(columns)
    }

    /// What a row says of a column.
    fn said(&self, word: &str, column: usize) -> Option<&'t str> {
        let text = self.spoken.get(word).filter(|_| column > 0)?.text(column).trim();
        (!text.is_empty()).then_some(text)
    }

    /// Where it says so.
    fn place(&self, word: &str, column: usize) -> Place {
        let row = self.spoken.get(word).copied().unwrap_or(self.head);
        self.table.place_of(row.line, Some(column))
    }

    fn unit(&self, column: usize) -> String {
        let first = (column == 0).then_some("text");
        let stated = first.or_else(|| self.said(UNIT, column));
        stated.or_else(|| unit_of(self.head.text(column))).unwrap_or("").to_owned()
    }

    /// An entry as a formula; a text needs no quotes.
    fn formula(&self, text: &str, column: usize) -> String {
        if self.units[column] == "text" && !text.starts_with('=') {
            return format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""));
        }
        self.expression(text, column)
    }

    /// What is said of a column as a formula.
    fn expression(&self, text: &str, column: usize) -> String {
        let percent = self.units[column] == "percent";
        as_formula(text.trim_start_matches('=').trim(), percent, self.mark)
    }

    /// A row of the sheet for a column.
    fn row(&self, column: usize, name: String, faults: &mut Faults) -> SheetRow {
        let unit = &self.units[column];
        if let (Some(stated), Some(bracket)) =
            (self.said(UNIT, column), unit_of(self.head.text(column)))
            && stated != bracket
        {
            let message = format!("the unit is {bracket} in the heading and {stated} here");
            let problem = Problem::error(message).help("keep one of them");
            faults.push(problem.at(self.place(UNIT, column)));
        }
        let known = matches!(unit.as_str(), "" | "text" | "date" | "ft-in" | "yes/no");
        if !known && let Err(problem) = crate::measure::unit(unit) {
            let word = if self.said(UNIT, column).is_some() { UNIT } else { HEAD };
            faults.push(problem.at(self.place(word, column)));
        }
        let all = self.said(FORMULA, column);
        SheetRow {
            what: self.head.text(column).trim().to_owned(),
            name,
            unit: unit.clone(),
            formula: all.map(|text| self.expression(text, column)).unwrap_or_default(),
            column: Some(column),
            needs: Vec::new(),
            others: Vec::new(),
            expected: None,
            place: self.place(if all.is_some() { FORMULA } else { HEAD }, column),
        }
    }

    /// The cell of a column's total, where one is asked for.
    fn total(&self, column: usize, of: &SheetRow) -> Option<SheetRow> {
        let total = self.said(TOTAL, column)?;
        let word = match total.to_lowercase().as_str() {
            "average" => Some("mean"),
            total => TOTALS.into_iter().find(|word| *word == total),
        };
        let formula = match word {
            Some(word) => format!("{word}({})", of.name),
            None => self.expression(total, column),
        };
        Some(SheetRow {
            what: format!("{}, total", of.what),
            name: format!("{TOTAL_OF}{}", of.name),
            // How many there are is a number, whatever is counted.
            unit: if formula.starts_with("count") { String::new() } else { of.unit.clone() },
            formula,
            column: None,
            place: self.place(TOTAL, column),
            expected: self.said(EXPECTED, column).map(|value| Expectation {
                value: value.to_owned(),
                within: self.said(WITHIN, column).unwrap_or_default().to_owned(),
                place: self.place(EXPECTED, column),
            }),
            ..of.clone()
        })
    }

    /// The column whose cells this one tests, where its heading says so: `Expected cost` beside `Cost`.
    fn tested_by(&self, column: usize, word: &str) -> Option<usize> {
        let own = name_of(self.head.text(column));
        let of = own.strip_prefix(word)?.strip_prefix('_')?;
        (0..self.head.cells.len()).find(|other| name_of(self.head.text(*other)) == of)
    }

    /// Whether a column is one of the sheet, and not what others are expected to be.
    fn is_own(&self, column: usize) -> bool {
        [EXPECTED, WITHIN].iter().all(|word| self.tested_by(column, word).is_none())
    }

    /// What is expected of single cells.
    fn expected(&self, keys: &[String]) -> BTreeMap<(String, usize), Expectation> {
        let mut all = BTreeMap::new();
        let columns = 0..self.head.cells.len();
        for (at, of) in columns.clone().filter_map(|at| Some((at, self.tested_by(at, EXPECTED)?))) {
            let within = columns.clone().find(|at| self.tested_by(*at, WITHIN) == Some(of));
            for (row, key) in self.typed.iter().zip(keys) {
                let value = row.text(at).trim().to_owned();
                if !value.is_empty() {
                    let within = within.map_or("", |at| row.text(at)).trim().to_owned();
                    let place = self.table.place_of(row.line, Some(at));
                    all.insert((key.clone(), of), Expectation { value, within, place });
                }
            }
        }
        all
    }

    /// The entries of single rows in a column.
    fn entries(&self, column: usize, keys: &[String], faults: &mut Faults) -> Vec<(String, Entry)> {
        let mut entries = Vec::new();
        for (row, key) in self.typed.iter().zip(keys) {
            check_cell(row, column, self.table, faults);
            let text = row.text(column).trim();
            if text.is_empty() {
                continue;
            }
            let place = self.table.place_of(row.line, Some(column));
            let formula = self.formula(text, column);
            let unit = &self.units[column];
            let doubtful = share(&formula, unit)
                .or_else(|| in_brackets(row, &formula))
                .or_else(|| misread(text, unit));
            if let Some(problem) = doubtful {
                faults.push(problem.at(place.clone()));
            }
            entries.push((key.clone(), Entry { formula, place }));
        }
        entries
    }
}

/// What is wrong with a heading as the name of a column.
fn no_column(heading: &str, own: &str) -> Option<Problem> {
    if is_name(own) && !is_free_name(own) {
        let problem =
            format!("the heading \"{heading}\" is a word that formulas have for something else");
        return Some(
            Problem::error(problem).help(format!("another would do, such as {heading} name")),
        );
    }
    if !is_name(own) {
        let problem = format!("the heading \"{heading}\" gives no name");
        return Some(Problem::error(problem).help("it begins with a letter, such as Crew size"));
    }
    let (word, rest) = own.split_once('_')?;
    [EXPECTED, WITHIN].contains(&word).then(|| {
        Problem::error(format!("no column is called {rest}, and this one says what it should be"))
            .help("Expected cost stands beside Cost, and Within cost beside both")
    })
}

/// Reads a sheet of rows; `of` is the listing whose rows they are.
///
/// # Errors
/// A heading gives no name or one that is taken or stands twice, a unit is none, a row of the columns stands twice, a cell
/// holds an error value, or there are too many rows. All such faults at once.
pub(super) fn read_rows(
    table: &Table,
    name: &str,
    title: &str,
    of: Option<&str>,
) -> Outcome<Sheet> {
    let mut faults = Faults::none();
    let Some(columns) = Columns::new(table, &mut faults) else {
        return Err(Problem::error("this sheet is empty")
            .at(table.place())
            .help("its first row holds the headings of its columns")
            .into());
    };
    let keys = match of {
        Some(of) => rows_of_listing(&columns, of, &mut faults),
        None => keys_of(&columns.typed),
    };
    let places: Vec<Place> =
        columns.typed.iter().map(|row| table.place_of(row.line, Some(0))).collect();
    let (mut rows, mut totals): (Vec<SheetRow>, Vec<SheetRow>) = (Vec::new(), Vec::new());
    let mut axis = RowAxis { of: of.map(str::to_owned), ..RowAxis::default() };
    axis.expected = columns.expected(&keys);
    let mut remarks = Vec::new();
    for column in 0..columns.head.cells.len() {
        let heading = columns.head.text(column).trim();
        if heading.is_empty() || !columns.is_own(column) {
            continue;
        }
        let (own, place) = (name_of(heading), columns.place(HEAD, column));
        if let Some(problem) = no_column(heading, &own) {
            faults.push(problem.at(place));
            continue;
        }
        if rows.iter().any(|known| known.name == own) {
            let problem = Problem::error(format!("two columns are called {own}"));
            faults.push(problem.at(place).help("give one of them another heading"));
        }
        let row = columns.row(column, own, &mut faults);
        // A typed row is called what stands in its first column; of a listing it is a number.
        if column > 0 || of.is_none() {
            for (key, entry) in columns.entries(column, &keys, &mut faults) {
                if !row.formula.is_empty() {
                    remarks.push(format!(
                        "{}: {name}.{} of {key} is its own entry, not the formula of the column",
                        entry.place, row.name
                    ));
                }
                axis.entries.entry(column).or_default().insert(key, entry);
            }
        }
        totals.extend(columns.total(column, &row));
        rows.push(row);
    }
    for word in [EXPECTED, WITHIN] {
        let beside = |column: &usize| columns.said(word, *column).is_some();
        let none = |column: &usize| columns.said(TOTAL, *column).is_none();
        for column in (1..columns.head.cells.len()).filter(beside).filter(none) {
            let problem = Problem::error(format!(
                "\"{word}\" is of the total of a column, and this one has none"
            ));
            faults.push(
                problem
                    .at(columns.place(word, column))
                    .help("a cell of a row is tested in a column: Expected cost beside Cost"),
            );
        }
    }
    for total in &totals {
        if rows.iter().any(|row| row.name == total.name) {
            let message = format!("a column is called {}, as a total is", total.name);
            let problem = Problem::error(message).at(total.place.clone());
            faults.push(problem.help("give the column another heading"));
        }
    }
    rows.extend(totals);
    if of.is_none() {
        (axis.keys, axis.places) = (keys, places);
    }
    faults.or_value(Some(Sheet {
        name: name.to_owned(),
        title: title.to_owned(),
        across: Across::Rows(axis),
        others: Vec::new(),
        rows,
        remarks,
        bars: Vec::new(),
        by_script: false,
    }))
}

impl Sheet {
    /// Gives a row of a sheet of rows another entry: the cell is named `column.row`. Nothing where it names no such cell.
    pub fn set_entry(
        &mut self,
        cell: &str,
        text: &str,
        place: Place,
    ) -> Option<Result<(), Problem>> {
        let Across::Rows(axis) = &mut self.across else { return None };
        let (column, key) = cell.split_once('.')?;
        let row = self.rows.iter().find(|row| row.name == column)?;
        let at = row.column?;
        let is_row = match axis.of {
            Some(_) => key.parse::<usize>().is_ok(),
            None => axis.keys.iter().any(|known| known == key),
        };
        if !is_row {
            return None;
        }
        let formula = match row.unit.as_str() {
            "text" => Ok(format!("{text:?}")),
            unit => super::table::typed_formula(text, unit),
        };
        Some(formula.map_err(|problem| problem.at(place.clone())).map(|formula| {
            axis.entries.entry(at).or_default().insert(key.to_owned(), Entry { formula, place });
        }))
    }
}

/// Names of the typed rows: what stands in the first column; the number of the row where others have the same.
fn keys_of(typed: &[&Row]) -> Vec<String> {
    let mut count: BTreeMap<&str, usize> = BTreeMap::new();
    typed.iter().for_each(|row| *count.entry(row.text(0).trim()).or_default() += 1);
    let key = |(at, row): (usize, &&Row)| match row.text(0).trim() {
        text if count.get(text) == Some(&1) => text.to_owned(),
        _ => format!("#{}", at + 1),
    };
    typed.iter().enumerate().map(key).collect()
}

/// Names of the rows of a listing that have entries of their own.
fn rows_of_listing(columns: &Columns, of: &str, faults: &mut Faults) -> Vec<String> {
    let mut keys: Vec<String> = Vec::new();
    for row in &columns.typed {
        let key = row.text(0).trim().to_owned();
        if keys.contains(&key) {
            let problem = Problem::error(format!("row {key} of {of} stands twice"));
            let place = columns.table.place_of(row.line, Some(0));
            faults.push(problem.at(place).help("put its entries in one row"));
        }
        keys.push(key);
    }
    keys
}
