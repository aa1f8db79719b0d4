//! Calc sheets of a job: which there are, and what their formulas may name.

use std::path::Path;

use super::costs::KINDS;
use super::inputs::{JobInputs, formulas};
use super::missing::{LeftOutWork, TOTAL, beside_the_total, lacking, partial, prices_beside};
use super::own_lines::add_own_lines;
use super::{Job, key_tables};
use crate::catalogue::Value;
use crate::files::{LayerOrigin, Layers};
use crate::footing::Joints;
use crate::listing::{Datum, Listing, listings};
use crate::measure::{Dimension, Exact, Quantity, number_unit, significant};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::sheet::{
    Book, Origin, Per, Sheet, Tested, asked_in_vain, build, derivation, faults_as_written,
    read_sheet, tested,
};
use crate::table::{Table, read_text_list};
use crate::takeoff::Takeoff;
use crate::workbook::{is_workbook, read_sheets};

listings! {
    CELLS = "cells", "cells of the calc sheets", for Office, by ["cell"]: CellRow {
        sheet: String, "the sheet";
        cell: String, "full name";
        what: String, "what it is";
        value: Datum, "its value";
        unit: String, "unit that it is shown in";
        formula: String, "the formula as written";
        how: String, "the formula with the numbers put in";
    }
    DRAWN_CELLS = "drawn_cells", "cells of the calc sheets for the steps as drawn beside those for the least-cost ones, where they are numbers", for Office, by ["cell"]: DrawnCell {
        sheet: String, "the sheet";
        cell: String, "full name";
        what: String, "what it is";
        drawn: Datum, "as drawn";
        least_cost: Datum, "least cost";
        difference: Datum, "as drawn less least cost";
        unit: String, "unit that it is shown in";
        partial: String, "what is not in it, beside the total of a price";
    }
    PRICE_BASIS = "price_basis", "what the price rests on", for Office, by []: PriceBasis {
        basis: String, "in words";
        partial: String, "what is not in it, in words";
    }
    LEFT_OUT = "left_out", "work that the price leaves out, and why", for Client, by ["work"]: LeftOut {
        work: String, "kind of work";
        why: String, "why it is not in the price" for Office;
    }
    CELL_TESTS = "cell_tests", "cells of the calc sheets beside what they are expected to be", for Office, by ["cell"]: CellTest {
        cell: String, "full name";
        value: String, "its value; empty where it has none";
        expected: String, "what was expected";
        within: String, "within how much; empty for half of the last digit";
        met: bool, "whether it is what was expected";
    }
    PRICE_MISSING = "price_missing", "work that the job has and the price lacks", for Office, by ["work"]: PriceMissing {
        work: &'static str, "kind of work";
    }
}

/// A sheet as job.toml names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct SheetSource {
    pub(super) name: String,
    pub(super) file: String,
    pub(super) sheet: Option<String>,
    pub(super) title: Option<String>,
    pub(super) per: Per,
}

/// The bundled price sheet.
pub(super) const PRICE: &str = "templates/sheets/price.csv";
/// The name of a price sheet.
pub(super) const PRICE_SHEET: &str = "price";

/// The sheets of a job: the bundled price sheet where the job has a bid, and its own.
pub(super) fn sheets_of(
    layers: &Layers,
    sources: &[SheetSource],
    has_bid: bool,
) -> Outcome<Vec<Sheet>> {
    let folder = layers.job().unwrap_or(Path::new("."));
    let how = format!("sheets {sources:?} {has_bid}");
    layers.reader().made(folder, how, || read_sheets_of(layers, sources, has_bid))
}

fn read_sheets_of(layers: &Layers, sources: &[SheetSource], has_bid: bool) -> Outcome<Vec<Sheet>> {
    let mut faults = Faults::none();
    let mut sheets = Vec::new();
    let replaced = sources.iter().any(|source| source.name == PRICE_SHEET);
    if has_bid && !replaced {
        let found = layers.find(PRICE)?;
        let table = read_text_list(&found.shown, found.text.as_bytes())?;
        sheets.extend(faults.keep(read_sheet(&table, PRICE_SHEET, "Price", &Per::Job)));
    }
    for source in sources {
        let title = source.title.clone().unwrap_or_else(|| source.name.clone());
        let read = table_of(layers, source)
            .and_then(|table| read_sheet(&table, &source.name, &title, &source.per));
        sheets.extend(faults.keep(read));
    }
    let tables: Vec<&str> =
        key_tables().map(|table| table.path.split(['.', '[']).next().unwrap_or("")).collect();
    let names: Vec<String> = sheets.iter().map(|sheet: &Sheet| sheet.name.clone()).collect();
    for sheet in &sheets {
        let taken =
            |name: &str| tables.contains(&name) || ["takeoff", "layout", KINDS].contains(&name);
        if taken(&sheet.name) {
            faults.push(
                Problem::error(format!(
                    "a sheet cannot be called {}: formulas use the word already",
                    sheet.name
                ))
                .at(Place::file("job.toml"))
                .help("give it another name"),
            );
        }
        for row in &sheet.rows {
            if taken(&row.name) || names.contains(&row.name) && row.name != sheet.name {
                faults.push(
                    Problem::error(format!(
                        "a cell cannot be called {}: it is a table of job.toml or another sheet",
                        row.name
                    ))
                    .at(row.place.clone())
                    .help("give it another name"),
                );
            }
        }
    }
    for (at, sheet) in sheets.iter().enumerate() {
        if sheets[..at].iter().any(|other| other.name == sheet.name) {
            faults.push(
                Problem::error(format!("two sheets are called {}", sheet.name))
                    .at(Place::file("job.toml"))
                    .help("give one of them another name"),
            );
        }
    }
    faults.or_value(Some(sheets))
}

/// The table of a sheet: a text of a layer, or a sheet of a workbook.
fn table_of(layers: &Layers, source: &SheetSource) -> Outcome<Table> {
    if !is_workbook(&source.file) {
        let found = layers.find(&source.file)?;
        let shown =
            if found.origin == LayerOrigin::Embedded { found.shown } else { source.file.clone() };
        return read_text_list(&shown, found.text.as_bytes());
    }
    let path = layers.path(&source.file)?;
    let bytes = layers.read(&path)?;
    let wanted = source.sheet.as_deref().unwrap_or(&source.name);
    let sheets = read_sheets(&source.file, &bytes, Some(wanted)).map_err(|faults| {
        let help = |problem: Problem| match &problem.help {
            Some(text) if text.contains("shots.sheet") => {
                let text = text
                    .replace("shots.sheet in job.toml", "name or sheet of [[sheet]] in job.toml");
                problem.help(text)
            }
            _ => problem,
        };
        Faults::from(faults.into_vec().into_iter().map(help).collect::<Vec<_>>())
    })?;
    sheets.into_iter().next().map(|sheet| sheet.table).ok_or_else(|| {
        Problem::error(format!("the workbook has no sheet \"{wanted}\""))
            .at(Place::file(&source.file))
            .into()
    })
}

/// Sheets of a job with their values.
#[derive(Debug, Clone, Default)]
pub struct CalcSheets {
    /// The sheets as written.
    pub sheets: Vec<Sheet>,
    /// Their cells and inputs.
    pub book: Book,
    /// Kinds of work that the job has and its price lacks.
    pub missing: Vec<&'static str>,
    /// Cells beside what they are expected to be.
    pub tested: Vec<Tested>,
    /// Prices that nothing rests on, in words.
    pub(super) prices_beside: Option<String>,
    /// Whether their quantities are those of the steps as drawn.
    pub(super) of_drawn: bool,
}

impl CalcSheets {
    /// Whether their quantities are those of the steps as drawn.
    pub fn of_drawn(&self) -> bool {
        self.of_drawn
    }

    /// What the first of a cell's further columns says.
    pub fn note(&self, name: &str) -> Option<String> {
        let node = self.book.node(self.book.find(name)?);
        let Origin::Cell { sheet, row, .. } = node.origin else { return None };
        self.sheets.get(sheet as usize)?.rows.get(row as usize)?.others.first().cloned()
    }

    /// Faults of the cells that are not what they are expected to be.
    pub fn unexpected(&self) -> Faults {
        let mut faults = Faults::none();
        self.tested.iter().filter_map(|test| test.problem.clone()).for_each(|one| faults.push(one));
        faults
    }

    /// How many cells are what they are expected to be; nothing where nothing is expected.
    pub fn tests_in_words(&self) -> Option<String> {
        let count = self.tested.len();
        let met = self.tested.iter().filter(|test| test.problem.is_none()).count();
        (count > 0).then(|| format!("{met} of {count} cells are what is expected of them"))
    }

    /// The bid's total, where there is one.
    pub fn total(&self) -> Option<Quantity> {
        self.book.quantity(self.book.find(TOTAL)?)
    }

    /// What was decided in reading the sheets that a reader could take otherwise.
    pub fn remarks(&self) -> impl Iterator<Item = String> {
        let read = self.sheets.iter().flat_map(|sheet| sheet.remarks.clone());
        read.chain(self.notes())
    }

    /// What is to be said of the cells: texts that no row has, and amounts that are in no sum.
    pub fn notes(&self) -> Vec<String> {
        let mut notes = asked_in_vain(&self.book);
        let price = self.sheets.iter().position(|sheet| sheet.name == PRICE_SHEET);
        notes.extend(price.into_iter().flat_map(|price| beside_the_total(&self.book, price)));
        notes.extend(self.prices_beside.clone());
        notes
    }

    /// What stands beside a price wherever it is shown: what is not in it. Nothing where there is no bid.
    pub fn partial(&self) -> Option<String> {
        Some(partial(&self.missing)).filter(|text| !text.is_empty())
    }

    /// The same, where a cell is a price.
    pub fn partial_beside(&self, cell: &str) -> Option<String> {
        self.partial().filter(|_| cell.starts_with("price."))
    }

    /// What the price rests on, in words.
    fn basis(&self) -> PriceBasis {
        let words = |name: &str| self.book.find(name).map(|id| self.book.words(id));
        let mut basis = Vec::new();
        if let Some(direct) = words("price.direct") {
            basis.push(format!("direct cost {direct}"));
        }
        for (name, what) in [("bid.overhead", "overhead"), ("bid.profit", "profit")] {
            basis.extend(words(name).map(|share| format!("{what} {share}")));
        }
        let steps = if self.of_drawn { "steps as drawn" } else { "least-cost steps" };
        basis.push(format!(
            "quantities of the {steps}, prices of the job, on sheets Price and Inputs"
        ));
        PriceBasis { basis: basis.join(", "), partial: self.partial().unwrap_or_default() }
    }

    /// The cells, what the price rests on, and what it lacks.
    pub(super) fn listings(&self) -> Vec<Listing> {
        let mut all = Vec::new();
        if !self.sheets.is_empty() {
            all.push(Listing::of(CELLS, self.cells()));
        }
        if !self.tested.is_empty() {
            let row = |test: &Tested| CellTest {
                cell: test.cell.clone(),
                value: test.value.clone(),
                expected: test.expected.clone(),
                within: test.within.clone(),
                met: test.problem.is_none(),
            };
            all.push(Listing::of(CELL_TESTS, self.tested.iter().map(row)));
        }
        if self.book.find("price.total").is_some() {
            let missing = self.missing.iter().map(|work| PriceMissing { work });
            all.extend([
                Listing::of(PRICE_BASIS, [self.basis()]),
                Listing::of(PRICE_MISSING, missing),
            ]);
        }
        all
    }

    /// The same cells of other steps beside these.
    pub(super) fn beside(&self, drawn: &Self) -> Listing {
        let row = |(id, node): (u32, &crate::sheet::Node)| {
            let Origin::Cell { sheet, .. } = node.origin else { return None };
            let least = self.book.quantity(id)?;
            let other = drawn.book.quantity(drawn.book.find(&node.name)?)?;
            let difference = apart(other.subtract(least).ok()?, &node.unit);
            Some(DrawnCell {
                sheet: self.sheets[sheet as usize].name.clone(),
                cell: node.name.to_string(),
                what: node.what.to_string(),
                drawn: amount_of(other, &node.unit),
                least_cost: amount_of(least, &node.unit),
                difference: amount_of(difference, &node.unit),
                unit: node.unit.to_string(),
                partial: self.partial().filter(|_| node.name == TOTAL).unwrap_or_default(),
            })
        };
        Listing::of(DRAWN_CELLS, (0..).zip(self.book.nodes()).filter_map(row))
    }

    fn cells(&self) -> Vec<CellRow> {
        let row = |(id, node): (u32, &crate::sheet::Node)| {
            let Origin::Cell { sheet, .. } = node.origin else { return None };
            let formula = node.formula.as_ref();
            let value = match (self.book.quantity(id), self.book.value(id)) {
                (Some(quantity), _) => amount_of(quantity, &node.unit),
                (None, Some(Value::Flag(flag))) => Datum::Flag(flag),
                _ => Datum::text(self.book.words(id)),
            };
            Some(CellRow {
                sheet: self.sheets[sheet as usize].name.clone(),
                cell: node.name.to_string(),
                what: node.what.to_string(),
                value,
                unit: node.unit.to_string(),
                formula: node.text.to_string(),
                how: formula.map_or_else(String::new, |tree| derivation(tree, &self.book)),
            })
        };
        (0..).zip(self.book.nodes()).filter_map(row).collect()
    }
}

/// The work that is left out of the price.
pub(super) fn left_out(all: &[LeftOutWork]) -> Listing {
    let row = |one: &LeftOutWork| LeftOut { work: one.work.clone(), why: one.why.clone() };
    Listing::of(LEFT_OUT, all.iter().map(row))
}

/// A difference without what two roundings leave.
fn apart(difference: Quantity, name: &str) -> Quantity {
    let whole = |size: f64| crate::measure::round::nearest_f64(size * 1e9) / 1e9;
    crate::measure::unit(number_unit(name))
        .and_then(|unit| Ok((difference.in_unit(&unit)?, number_unit(name))))
        .and_then(|(size, name)| Quantity::of(whole(size), name))
        .unwrap_or(difference)
}

/// A measure in the unit of its cell; a date as text.
fn amount_of(quantity: Quantity, unit: &str) -> Datum {
    match (quantity.dimension(), num_rational::BigRational::from_float(quantity.base())) {
        (Dimension::DATE, _) | (_, None) => Datum::text(crate::measure::amount(quantity, unit)),
        // A temperature has a zero of its own, which an exact amount does not know.
        (dimension, _) if dimension.point => {
            let value = crate::measure::unit(unit).and_then(|unit| quantity.in_unit(&unit));
            value.map_or(Datum::Blank, |value| Datum::Number(significant(value, 15)))
        }
        (dimension, Some(value)) => {
            let unit = match unit {
                "percent" | "yes/no" => "",
                unit => number_unit(unit),
            };
            Datum::Amount(Exact { value, dimension }, unit.to_owned())
        }
    }
}

/// The sheets of a job with the lines that it adds to its price.
fn sheets_of_job(job: &Job) -> Outcome<Vec<Sheet>> {
    let mut sheets = sheets_of(&job.layers, &job.calc_sheets, job.has_bid)?;
    add_own_lines(&mut sheets, &job.priced.lines)?;
    Ok(sheets)
}

/// What is wrong with the formulas of a job as written.
///
/// # Errors
/// A sheet cannot be read, or the script of functions is faulty.
pub(super) fn formulas_as_written(job: &Job) -> Outcome<Faults> {
    let sheets = sheets_of_job(job)?;
    Ok(faults_as_written(&sheets, &formulas(job, None)?))
}

/// Rows of `[[cost]]` whose lines the price sheet does not have: it is known before anything is laid out.
///
/// # Errors
/// A sheet cannot be read.
pub(super) fn faults_of_costs(job: &Job) -> Outcome<Faults> {
    let sheets = sheets_of_job(job)?;
    let price = sheets.iter().find(|sheet| sheet.name == PRICE_SHEET);
    let mut faults = price.map_or_else(Faults::none, |price| job.priced.kinds.faults_beside(price));
    faults.extend(job.papers.faults_beside(&sheets));
    Ok(faults)
}

/// Whether a price is rounded as it is bid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rounding {
    /// Each line to the cent.
    AsBid,
    /// Nothing: what two layouts differ by, apart from where a cent falls.
    None,
}

/// Works the sheets of a job out.
///
/// # Errors
/// A sheet is faulty; all faults of all sheets at once.
pub fn calc_sheets(job: &Job, takeoff: &Takeoff) -> Outcome<CalcSheets> {
    calc_sheets_by(job, takeoff, Rounding::AsBid, &[])
}

/// The same by a rounding, with further sheets.
pub(super) fn calc_sheets_by(
    job: &Job,
    takeoff: &Takeoff,
    rounding: Rounding,
    more: &[Sheet],
) -> Outcome<CalcSheets> {
    let mut sheets = sheets_of_job(job)?;
    for sheet in more {
        if let Some(other) = sheets.iter().find(|other| other.name == sheet.name) {
            let place = sheet.rows.first().map(|row| row.place.file.clone()).unwrap_or_default();
            return Err(Problem::error(format!(
                "a script calls its sheet {}, and another sheet is called {}",
                sheet.title, other.name
            ))
            .at(Place::file(place))
            .help("give one of them another name")
            .into());
        }
        sheets.push(sheet.clone());
    }
    if rounding == Rounding::None {
        for row in sheets.iter_mut().flat_map(|sheet| &mut sheet.rows) {
            row.formula = without_cents(&row.formula);
        }
    }
    let one_level = takeoff.layout.site.module.joints == Joints::OneLevel;
    if takeoff.layout.riser_prices().is_some() || one_level {
        price_by_rule(&mut sheets);
    }
    let inputs = JobInputs::new(takeoff);
    let unknown = unknown_needs(&sheets, job);
    let there = |name: &str| inputs.has(name) || job.priced.kinds.has(name);
    sheets.iter_mut().for_each(|sheet| sheet.without_rows_that_lack(there));
    let price = sheets.iter().position(|sheet| sheet.name == PRICE_SHEET);
    if let Some(kinds) = price.map(|at| job.priced.kinds.sheet(&sheets[at])).transpose()?.flatten()
    {
        sheets.insert(price.map_or(0, |at| at + 1), kinds);
    }
    replace_cells(&mut sheets, &job.cells)?;
    let formulas = formulas(job, Some(takeoff))?;
    let (book, mut faults) = build(&sheets, &inputs, &formulas);
    faults.extend(unknown);
    faults.extend(foreign_units(&sheets, &job.wall_job.style.currency));
    let (missing, contradicted) = lacking(&book, takeoff, &job.priced.left_out);
    faults.extend(contradicted);
    note_beside(&mut sheets, "total", &partial(&missing));
    for (hook, file) in job.wall_job.site.hooks.used() {
        if hook == crate::footing::RuleHook::RiserPrice {
            note_beside(&mut sheets, "risers", &format!("each riser priced by {file}"));
        }
    }
    faults.extend(money_differs(&book, price.is_some() && sheets.iter().any(|s| s.name == KINDS)));
    let of_drawn = takeoff.layout.equal_layouts.is_none();
    let tested = tested(&sheets, &book, &formulas);
    let prices_beside = prices_beside(&book, &job.wall_job);
    faults.or_value(Some(CalcSheets { sheets, book, missing, tested, prices_beside, of_drawn }))
}

/// The direct cost by line and by kind, where they are not the same to the cent.
fn money_differs(book: &Book, divided: bool) -> Faults {
    let value = |name: &str| book.quantity(book.find(name)?);
    let (Some(lines), Some(kinds)) = (value("price.direct"), value("kinds.all")) else {
        return Faults::none();
    };
    if !divided || (lines.base() - kinds.base()).abs() < 0.005 {
        return Faults::none();
    }
    Problem::error(format!(
        "the direct cost is {:.2} by line and {:.2} by kind",
        lines.base(),
        kinds.base()
    ))
    .at(Place::file("job.toml"))
    .help("the lines that direct sums are divided by the list cost; a line of another sheet is not")
    .into()
}

/// A formula that does not round to the cent: `to_cent(x)` is `(x)`, a function of another name is let be.
fn without_cents(formula: &str) -> String {
    let mut text = String::new();
    let mut rest = formula;
    while let Some((before, after)) = rest.split_once("to_cent(") {
        text.push_str(before);
        let part_of_a_name = before.ends_with(|c: char| c.is_alphanumeric() || c == '_');
        text.push_str(if part_of_a_name { "to_cent(" } else { "(" });
        rest = after;
    }
    text + rest
}

/// What rows say that they need and that no job can have.
fn unknown_needs(sheets: &[Sheet], job: &Job) -> Faults {
    let keys: Vec<&str> = job.keys.iter().map(|key| key.path).collect();
    let told = |row: &crate::sheet::SheetRow, name: &String| {
        let (table, rest) = name.split_once('.').unwrap_or((name, ""));
        let made = ["takeoff", "kinds", "layout", "job"].contains(&table) && !rest.is_empty();
        if made || keys.contains(&name.as_str()) {
            return None;
        }
        let problem =
            Problem::error(format!("a row needs \"{name}\", and there is nothing of this name"));
        let problem = problem.at(row.place.clone());
        Some(match crate::problem::closest(name, keys.iter().copied()) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help("a line such as takeoff.bars.order, a key such as prices.bars, or a kind of cost such as kinds.labour was expected"),
        })
    };
    let rows = sheets.iter().flat_map(|sheet| &sheet.rows);
    let all = rows.flat_map(|row| row.needs.iter().filter_map(move |name| told(row, name)));
    all.collect::<Vec<_>>().into()
}

/// The bundled formula of the risers, by the prices of the job.
const RISERS: &str = "(layout.risers * prices.riser_each + layout.rise * prices.rise)";

/// Where a rule of the company prices the risers, the bid takes its prices too: the steps were laid out by them. On one level
/// there are no risers, and a job needs no price of them.
fn price_by_rule(sheets: &mut [Sheet]) {
    let price = sheets.iter_mut().filter(|sheet| sheet.name == PRICE_SHEET);
    for row in price.flat_map(|sheet| &mut sheet.rows) {
        if row.formula.strip_prefix("to_cent").unwrap_or(&row.formula) == RISERS {
            row.formula = row.formula.replace(RISERS, "(layout.riser_price)");
        }
    }
}

/// Adds a note to a row of the price sheet, in the first of its further columns.
fn note_beside(sheets: &mut [Sheet], row: &str, note: &str) {
    let Some(sheet) = sheets.iter_mut().find(|sheet| sheet.name == PRICE_SHEET) else { return };
    if note.is_empty() {
        return;
    }
    if sheet.others.is_empty() {
        sheet.others.push("note".to_owned());
        sheet.rows.iter_mut().for_each(|row| row.others.push(String::new()));
    }
    for row in sheet.rows.iter_mut().filter(|known| known.name == row) {
        if let Some(first) = row.others.first_mut() {
            *first = if first.is_empty() { note.to_owned() } else { format!("{first}; {note}") };
        }
    }
}

/// Rows whose unit is of another currency: money is never converted.
pub(super) fn foreign_units(sheets: &[Sheet], currency: &str) -> Faults {
    let rows = sheets.iter().flat_map(|sheet| &sheet.rows);
    let foreign = rows.filter_map(|row| {
        let other = crate::measure::foreign_currency(&row.unit, currency)?;
        let problem =
            Problem::error(format!("this row is in {other}, the job is priced in {currency}"));
        Some(
            problem
                .at(row.place.clone())
                .help("money is not converted: write the amount in the job's currency"),
        )
    });
    foreign.collect::<Vec<_>>().into()
}

/// Replaces the formulas of cells that are named `sheet.cell`.
///
/// # Errors
/// There is no such cell.
pub(super) fn replace_cells(sheets: &mut [Sheet], replaced: &[(String, String)]) -> Outcome<()> {
    let mut faults = Faults::none();
    let known: Vec<String> = sheets
        .iter()
        .flat_map(|sheet| sheet.rows.iter().map(|row| format!("{}.{}", sheet.name, row.name)))
        .collect();
    for (name, text) in replaced {
        let of_row = sheets.iter_mut().find_map(|sheet| {
            let cell = name.strip_prefix(&format!("{}.", sheet.name))?.to_owned();
            sheet.set_entry(&cell, text, Place::file(format!("--set {name}={text}")))
        });
        if let Some(set) = of_row {
            if let Err(problem) = set {
                faults.push(problem);
            }
            continue;
        }
        let row = sheets.iter_mut().find_map(|sheet| {
            let cell = name.strip_prefix(&format!("{}.", sheet.name))?.to_owned();
            sheet.rows.iter_mut().find(|row| row.name == cell)
        });
        match row {
            Some(row) if row.column.is_some() && row.formula.is_empty() => {
                let problem = Problem::error(format!("column {name} is typed row by row"))
                    .at(Place::file(format!("--set {name}={text}")));
                faults.push(problem.help(format!("name one of its rows: {name}.ROW")));
            }
            Some(row) => {
                row.place = Place::file(format!("--set {name}={text}"));
                match crate::sheet::typed_formula(text, &row.unit) {
                    Ok(formula) => row.formula = formula,
                    Err(problem) => faults.push(problem.at(row.place.clone())),
                }
            }
            None => {
                let problem = Problem::error(format!("there is no cell \"{name}\""))
                    .at(Place::file(format!("--set {name}={text}")));
                faults.push(
                    match crate::problem::closest(name, known.iter().map(String::as_str)) {
                        Some(near) => problem.help(format!("did you mean {near}?")),
                        None => problem.help("cells are named sheet.cell"),
                    },
                );
            }
        }
    }
    faults.or_value(Some(()))
}
