//! A calc sheet as a table: what, name, unit, formula; other columns ride along.

use std::collections::BTreeMap;

use super::entries::{in_brackets, share};
use super::expected::Expectation;
use super::rows::{Across, is_of_rows, read_rows};
use crate::measure::unit;
use crate::problem::{Faults, Outcome, Place, Problem, closest};
use crate::table::{
    CellKind, DecimalMark, MarkProof, Proven, Row, Table, numberlike, plain_number,
};

/// One row of a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetRow {
    /// What it is, in words.
    pub what: String,
    /// Name of the cell; empty for a heading.
    pub name: String,
    /// Unit that it is shown in; empty for the usual one.
    pub unit: String,
    /// The formula as written; empty for a heading.
    pub formula: String,
    /// Of a sheet of rows the column that it is; none for a total.
    pub column: Option<usize>,
    /// Names that it needs: without one of them the row is left out, and left out of lists that name it.
    pub needs: Vec<String>,
    /// Texts of the other columns.
    pub others: Vec<String>,
    /// What its value is expected to be, if something is.
    pub expected: Option<Expectation>,
    /// Where the formula stands.
    pub place: Place,
}

/// A sheet as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    /// Name by which other sheets call its cells.
    pub name: String,
    /// Title.
    pub title: String,
    /// What it is worked out for.
    pub across: Across,
    /// Headings of the other columns.
    pub others: Vec<String>,
    /// Rows.
    pub rows: Vec<SheetRow>,
    /// What was decided in reading it that a reader could take otherwise.
    pub remarks: Vec<String>,
    /// Columns of a sheet of rows that bars under it show.
    pub bars: Vec<usize>,
    /// Whether its entries are those of a script, and typed by nobody.
    pub by_script: bool,
}

/// Columns that every sheet has.
const COLUMNS: [&str; 4] = ["what", "name", "unit", "formula"];

/// A column that a sheet may have: what its rows need.
const NEEDS: &str = "needs";

/// Columns that a sheet may have, which ride along too: what a value is expected to be, and within how much.
const EXPECTED: [&str; 2] = ["expected", "within"];

/// Words that are no names of cells.
const TAKEN: [&str; 15] = [
    "job", "takeoff", "layout", "wall", "row", "if", "else", "let", "fn", "true", "false", "sum",
    "min", "max", "q",
];

/// Whether a name is none of the words of the formulas.
pub(super) fn is_free_name(name: &str) -> bool {
    !TAKEN.contains(&name)
}

/// Whether a text can name a cell or a sheet.
pub(super) fn is_name(text: &str) -> bool {
    let mut letters = text.chars();
    letters.next().is_some_and(|c| c.is_ascii_lowercase())
        && letters.all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
}

/// What a sheet is worked out for, as the job says it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Per {
    /// Once for the job, or for each of its own rows.
    #[default]
    Job,
    /// Once for each wall.
    Wall,
    /// Its columns once for each row of a listing.
    Listing(String),
}

/// Reads a sheet from a table; one whose rows say unit or formula of their columns is a sheet of rows.
///
/// # Errors
/// A column is missing; a name is none, is taken or stands twice; a unit is none; a row has a name and no formula or a
/// formula and no name; a cell holds an error value. All such faults at once.
pub fn read_sheet(table: &Table, name: &str, title: &str, per: &Per) -> Outcome<Sheet> {
    let mut sheet = sheet_of(table, name, title, per)?;
    if table.by_formula > 0 {
        sheet.remarks.push(format!(
            "{}: numbers that are results of spreadsheet formulas: {}; taken as they stand, they follow nothing here",
            table.place(),
            table.by_formula
        ));
    }
    Ok(sheet)
}

fn sheet_of(table: &Table, name: &str, title: &str, per: &Per) -> Outcome<Sheet> {
    let mut faults = Faults::none();
    if !is_name(name) {
        faults.push(
            Problem::error(format!("\"{name}\" is not a name for a sheet"))
                .at(table.place())
                .help("small letters, digits and _ were expected, such as footing_cost"),
        );
    }
    if let Per::Listing(of) = per {
        let sheet = faults.keep(read_rows(table, name, title, Some(of)));
        return faults.or_value(sheet);
    }
    if *per == Per::Job && is_of_rows(table) {
        let sheet = faults.keep(read_rows(table, name, title, None));
        return faults.or_value(sheet);
    }
    let mut rows = table.rows.iter();
    let Some(head) = rows.next() else {
        return Err(Problem::error("this sheet is empty")
            .at(table.place())
            .help("its first row holds the headings what, name, unit, formula")
            .into());
    };
    let headings: Vec<String> =
        head.cells.iter().map(|cell| cell.text.trim().to_lowercase()).collect();
    let at = |wanted: &str| headings.iter().position(|heading| heading == wanted);
    for wanted in COLUMNS {
        let twice = headings.iter().filter(|heading| *heading == wanted).count();
        if twice == 1 {
            continue;
        }
        let place = table.place_of(head.line, None);
        let message = match twice {
            0 => format!("the sheet has no column \"{wanted}\""),
            n => format!("{n} columns are called \"{wanted}\""),
        };
        let problem = Problem::error(message).at(place);
        faults.push(match closest(wanted, headings.iter().map(String::as_str)) {
            Some(near) if twice == 0 => problem.help(format!("is it \"{near}\"?")),
            _ => problem.help("the first row holds the headings what, name, unit, formula once each; others may follow; a sheet of rows says unit or formula in its first column"),
        });
    }
    let [Some(what), Some(name_at), Some(unit_at), Some(formula)] = COLUMNS.map(at) else {
        return Err(faults);
    };
    let known = [what, name_at, unit_at, formula];
    let needs = at(NEEDS);
    let others: Vec<usize> = (0..headings.len())
        .filter(|column| !known.contains(column) && Some(*column) != needs)
        .filter(|column| !headings[*column].is_empty())
        .collect();
    let mark =
        decimal_mark(table, &[what, name_at, unit_at], |column| column == formula, &mut faults);
    let [expected, within] = EXPECTED.map(at);
    let expectation = |row: &Row| {
        let column = expected?;
        let text = |column: usize| {
            let percent = row.text(unit_at) == "percent";
            as_typed(row.text(column).trim(), percent, mark)
        };
        let value = text(column);
        let named = !row.text(name_at).is_empty() && !value.is_empty();
        named.then(|| Expectation {
            value,
            within: within.map(text).unwrap_or_default(),
            place: table.place_of(row.line, expected),
        })
    };
    let mut sheet = Sheet {
        name: name.to_owned(),
        title: title.to_owned(),
        across: if *per == Per::Wall { Across::Walls } else { Across::Once },
        others: others.iter().map(|column| head.text(*column).trim().to_owned()).collect(),
        rows: Vec::new(),
        remarks: Vec::new(),
        bars: Vec::new(),
        by_script: false,
    };
    let mut names: BTreeMap<String, Place> = BTreeMap::new();
    for row in rows {
        let read = SheetRow {
            what: row.text(what).to_owned(),
            name: row.text(name_at).to_owned(),
            unit: row.text(unit_at).to_owned(),
            formula: as_formula(
                row.text(formula).trim_start_matches('=').trim(),
                row.text(unit_at) == "percent",
                mark,
            ),
            column: None,
            needs: needs
                .map_or("", |column| row.text(column))
                .split([' ', ',', ';'])
                .filter(|name| !name.is_empty())
                .map(str::to_owned)
                .collect(),
            others: others.iter().map(|column| row.text(*column).to_owned()).collect(),
            expected: expectation(row),
            place: table.place_of(row.line, Some(formula)),
        };
        check_fields(row, table, &headings, formula, &mut faults);
        sheet.remarks.extend(as_decimals(row.text(formula), mark, &read.place));
        check_row(&read, row, table, [name_at, unit_at], &sheet, &mut faults);
        if let Some(first) = names.get(&read.name).filter(|_| !read.name.is_empty()) {
            faults.push(
                Problem::error(format!("the name {}.{} stands twice", sheet.name, read.name))
                    .at(table.place_of(row.line, Some(name_at)))
                    .detail(format!("first at {first}")),
            );
        } else {
            names.insert(read.name.clone(), read.place.clone());
        }
        sheet.rows.push(read);
    }
    faults.or_value(Some(sheet))
}

impl Sheet {
    /// Leaves out the rows that need what is not there, and their names where a list of another row has them.
    pub fn without_rows_that_lack(&mut self, there: impl Fn(&str) -> bool) {
        let lacks = |row: &SheetRow| row.needs.iter().any(|name| !there(name));
        let gone: Vec<String> =
            self.rows.iter().filter(|row| lacks(row)).map(|row| row.name.clone()).collect();
        self.rows.retain(|row| !lacks(row));
        for row in self.rows.iter_mut().filter(|_| !gone.is_empty()) {
            row.formula = without_items(&row.formula, &gone);
        }
    }
}

/// A formula whose lists have lost some of their names.
fn without_items(formula: &str, gone: &[String]) -> String {
    let mut text = String::new();
    let mut rest = formula;
    while let Some((before, after)) = rest.split_once('[') {
        let Some((list, tail)) = after.split_once(']') else { break };
        let kept: Vec<&str> = list
            .split(',')
            .filter(|item| !gone.iter().any(|name| name == item.trim()))
            .map(str::trim)
            .collect();
        text.push_str(before);
        text.push('[');
        text.push_str(&kept.join(", "));
        text.push(']');
        rest = tail;
    }
    text.push_str(rest);
    text
}

/// A value that is typed for a cell of a unit outside its sheet, as a formula.
///
/// # Errors
/// It has two readings: a share of a row of percent, or a comma that nothing decides.
pub fn typed_formula(text: &str, unit: &str) -> Result<String, Problem> {
    let mut proof = MarkProof::default();
    proof.add(text.trim_end_matches(['%', ' ']));
    let mark = match proof.proven() {
        Proven::Mark(mark) => mark,
        Proven::Open(open) if open.contains(',') => {
            let reading = |mark| plain_number(&open, mark).unwrap_or_default();
            let (point, comma) = (reading(DecimalMark::Point), reading(DecimalMark::Comma));
            return Err(Problem::error(format!(
                "\"{open}\" has two readings, {point} and {comma}"
            ))
            .help(format!("write {point} or {comma}")));
        }
        Proven::Open(_) => DecimalMark::Point,
    };
    match share(text.trim(), unit) {
        Some(problem) => Err(problem),
        None => Ok(as_formula(text.trim(), unit == "percent", mark)),
    }
}

/// A number that could be read with thousands too, in a sheet whose others have decimal commas.
fn as_decimals(text: &str, mark: DecimalMark, place: &Place) -> Option<String> {
    let mut alone = MarkProof::default();
    alone.add(text.trim_end_matches(['%', ' ']));
    let Proven::Open(open) = alone.proven() else { return None };
    let read = plain_number(&open, mark).filter(|_| mark == DecimalMark::Comma)?;
    Some(format!(
        "{place}: \"{open}\" is read as {read}: other numbers of the sheet have a comma before their decimals"
    ))
}

/// What the numbers of a sheet prove of the mark before their decimals; each that stays open is a fault.
pub(super) fn decimal_mark(
    table: &Table,
    texts: &[usize],
    asked: impl Fn(usize) -> bool,
    faults: &mut Faults,
) -> DecimalMark {
    let mut proof = MarkProof::default();
    let numbers = || {
        table.rows.iter().skip(1).flat_map(move |row| {
            let cells = row.cells.iter().enumerate();
            let written =
                cells.filter(move |(at, cell)| !texts.contains(at) && cell.kind == CellKind::Text);
            written.map(move |(at, cell)| (row.line, at, cell.text.trim_end_matches(['%', ' '])))
        })
    };
    numbers().for_each(|(_, _, text)| proof.add(text));
    match proof.proven() {
        Proven::Mark(mark) => mark,
        // A point is the mark of the formulas: only a comma is asked about.
        Proven::Open(text) if !text.contains(',') => DecimalMark::Point,
        Proven::Open(_) => {
            let open = |text: &str| {
                let mut one = MarkProof::default();
                one.add(text);
                text.contains(',') && one.proven() == Proven::Open(text.to_owned())
            };
            for (line, at, text) in numbers().filter(|(_, at, text)| asked(*at) && open(text)) {
                let reading = |mark| plain_number(text, mark).unwrap_or_default();
                let (point, comma) = (reading(DecimalMark::Point), reading(DecimalMark::Comma));
                faults.push(
                    Problem::error(format!(
                        "\"{text}\" has two readings, {point} and {comma}, and no other number of the sheet decides between them"
                    ))
                    .at(table.place_of(line, Some(at)))
                    .help(format!("write {point} or {comma}")),
                );
            }
            DecimalMark::Point
        }
    }
}

/// A typed value beside a formula: a number by the marks of the sheet.
fn as_typed(text: &str, of_percent: bool, mark: DecimalMark) -> String {
    let number = text.strip_suffix('%').map_or(text, str::trim_end);
    let marked = number.contains([',', '\u{a0}', '\u{202f}']) || mark == DecimalMark::Comma;
    let plain = plain_number(number, mark).filter(|_| marked);
    match plain {
        Some(plain) if number.len() < text.len() && !of_percent => format!("{plain} %"),
        Some(plain) => plain,
        None => text.to_owned(),
    }
}

/// A cell of the column of formulas as a formula: a number by the marks of the sheet; one with a percent sign in a row of
/// percent the number alone, elsewhere a share.
pub(super) fn as_formula(text: &str, of_percent: bool, mark: DecimalMark) -> String {
    let plain = |text: &str| {
        let marked = text.contains([',', '\u{a0}', '\u{202f}']) || mark == DecimalMark::Comma;
        plain_number(text, mark).filter(|_| marked).unwrap_or_else(|| text.to_owned())
    };
    let formula = plain(text);
    let number = formula.strip_suffix('%').map(str::trim_end).filter(|text| numberlike(text));
    let number = number.map(plain);
    match number {
        // Marked as read, so that it is not asked again whether a share was meant.
        Some(number) if of_percent => format!("({number})"),
        Some(number) => format!("{number}.percent"),
        None => formula,
    }
}

/// A cell that holds an error value.
pub(super) fn check_cell(row: &Row, column: usize, table: &Table, faults: &mut Faults) {
    let Some(cell) = row.cells.get(column) else { return };
    let what = match cell.kind {
        CellKind::Error => format!("the error value {}", cell.text),
        CellKind::NoResult => "a formula of the spreadsheet without a result".to_owned(),
        _ => return,
    };
    faults.push(
        Problem::error(format!("this cell holds {what}"))
            .at(table.place_of(row.line, Some(column)))
            .help("write the formula as text, such as width * depth"),
    );
}

fn check_row(
    read: &SheetRow,
    row: &Row,
    table: &Table,
    [name_at, unit_at]: [usize; 2],
    sheet: &Sheet,
    faults: &mut Faults,
) {
    let place = |column| table.place_of(row.line, Some(column));
    for column in 0..row.cells.len() {
        check_cell(row, column, table, faults);
    }
    let name = read.name.as_str();
    if name.is_empty() {
        if !read.formula.is_empty() {
            faults.push(
                Problem::error("a formula without a name")
                    .at(read.place.clone())
                    .help("give the cell a name in column \"name\""),
            );
        }
        return;
    }
    if !is_name(name) {
        faults.push(
            Problem::error(format!("\"{name}\" is not a name for a cell"))
                .at(place(name_at))
                .help("small letters, digits and _ were expected, such as footing_width"),
        );
    } else if !is_free_name(name) {
        faults.push(
            Problem::error(format!("\"{name}\" is a word of the formulas"))
                .at(place(name_at))
                .help("choose another name"),
        );
    }
    if let Some(problem) = share(&read.formula, &read.unit) {
        faults.push(problem.at(read.place.clone()));
    }
    if let Some(problem) = in_brackets(row, &read.formula) {
        faults.push(problem.at(read.place.clone()));
    }
    if read.formula.is_empty() {
        faults.push(
            Problem::error(format!("cell {}.{name} has no formula", sheet.name))
                .at(read.place.clone())
                .help("a value such as 12 or 3'-6\" is a formula too; a heading has no name"),
        );
    }
    if !read.unit.is_empty()
        && !matches!(read.unit.as_str(), "text" | "date" | "ft-in" | "yes/no")
        && let Err(problem) = unit(&read.unit)
    {
        faults.push(problem.at(place(unit_at)));
    }
}

/// A comma that stands in a formula without quotes cuts it in two.
fn check_fields(
    row: &Row,
    table: &Table,
    headings: &[String],
    formula: usize,
    faults: &mut Faults,
) {
    let digits = |text: &str, most: usize| {
        (1..=most).contains(&text.len()) && text.chars().all(|c| c.is_ascii_digit())
    };
    let beyond = row.cells.iter().skip(headings.len()).any(|cell| cell.kind != CellKind::Empty);
    let (number, next) = (row.text(formula), row.text(formula + 1));
    let cut = table.sheet.is_none() && digits(number, 3) && next.len() == 3 && digits(next, 3);
    if beyond {
        faults.push(
            Problem::error(format!("the row has more fields than the {} headings", headings.len()))
                .at(table.place_of(row.line, Some(formula)))
                .help("a formula or text with a comma in it stands in quotes: \"max(a, b)\""),
        );
    } else if cut {
        faults.push(
            Problem::error(format!("\"{number},{next}\" is cut in two at its comma"))
                .at(table.place_of(row.line, Some(formula)))
                .help(format!("write {number}{next}")),
        );
    }
}
