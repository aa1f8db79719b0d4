//! Calc sheets of a job: which there are, and what their formulas may name.

use super::lines::formulas_of;
use super::missing::{TOTAL, missing, partial};
use super::{Job, KEYS, TABLES};
use crate::catalogue::Value;
use crate::files::{Found, Layers, Origin as Layer};
use crate::footing::total;
use crate::listing::{Datum, Listing, listings};
use crate::measure::{Dimension, Exact, Quantity, significant};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::script::{FUNCTIONS, Formulas, Host, ScriptFault};
use crate::sheet::{
    Book, Input, Inputs, Origin, Sheet, build, derivation, faults_as_written, number_unit,
    read_sheet,
};
use crate::table::{Table, read_text_list};
use crate::takeoff::{Derivation, Line, Setting, Takeoff, WallJob, listing_of, unit_for};
use crate::workbook::{is_workbook, read_sheets};
use num_rational::BigRational;
use num_traits::{One, Zero};

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
    pub(super) per_wall: bool,
}

/// The bundled price sheet.
const PRICE: &str = "templates/sheets/price.csv";

/// The sheets of a job: the bundled price sheet where the job has a bid, and its own.
pub(super) fn sheets_of(
    layers: &Layers,
    sources: &[SheetSource],
    has_bid: bool,
) -> Outcome<Vec<Sheet>> {
    let mut faults = Faults::none();
    let mut sheets = Vec::new();
    let replaced = sources.iter().any(|source| source.name == "price");
    if has_bid && !replaced {
        let found = layers.find(PRICE)?;
        let table = read_text_list(&found.shown, found.text.as_bytes())?;
        sheets.extend(faults.keep(read_sheet(&table, "price", "Price", false)));
    }
    for source in sources {
        let title = source.title.clone().unwrap_or_else(|| source.name.clone());
        let read = table_of(layers, source)
            .and_then(|table| read_sheet(&table, &source.name, &title, source.per_wall));
        sheets.extend(faults.keep(read));
    }
    let tables: Vec<&str> =
        TABLES.iter().map(|table| table.path.split(['.', '[']).next().unwrap_or("")).collect();
    let names: Vec<String> = sheets.iter().map(|sheet: &Sheet| sheet.name.clone()).collect();
    for sheet in &sheets {
        let taken = |name: &str| tables.contains(&name) || ["takeoff", "layout"].contains(&name);
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
        let shown = if found.origin == Layer::Embedded { found.shown } else { source.file.clone() };
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
}

impl CalcSheets {
    /// What the first of a cell's further columns says.
    pub fn note(&self, name: &str) -> Option<String> {
        let node = self.book.node(self.book.find(name)?);
        let Origin::Cell { sheet, row, .. } = node.origin else { return None };
        self.sheets.get(sheet as usize)?.rows.get(row as usize)?.others.first().cloned()
    }

    /// What was decided in reading the sheets that a reader could take otherwise.
    pub fn remarks(&self) -> impl Iterator<Item = &String> {
        self.sheets.iter().flat_map(|sheet| &sheet.remarks)
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
        basis.push(
            "quantities of the least-cost steps, prices of the job, on sheets Price and Inputs"
                .to_owned(),
        );
        PriceBasis { basis: basis.join(", "), partial: self.partial().unwrap_or_default() }
    }

    /// The cells, what the price rests on, and what it lacks.
    pub(super) fn listings(&self) -> Vec<Listing> {
        let mut all = Vec::new();
        if !self.sheets.is_empty() {
            all.push(Listing::of(CELLS, self.cells()));
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
                cell: node.name.clone(),
                what: node.what.clone(),
                drawn: amount_of(other, &node.unit),
                least_cost: amount_of(least, &node.unit),
                difference: amount_of(difference, &node.unit),
                unit: node.unit.clone(),
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
                cell: node.name.clone(),
                what: node.what.clone(),
                value,
                unit: node.unit.clone(),
                formula: node.text.clone(),
                how: formula.map_or_else(String::new, |tree| derivation(tree, &self.book)),
            })
        };
        (0..).zip(self.book.nodes()).filter_map(row).collect()
    }
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
        (Dimension::DATE, _) | (_, None) => Datum::text(crate::sheet::amount(quantity, unit)),
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

/// What is wrong with the formulas of a job as written.
///
/// # Errors
/// A sheet cannot be read, or the script of functions is faulty.
pub(super) fn formulas_as_written(job: &Job) -> Outcome<Faults> {
    let sheets = sheets_of(&job.layers, &job.calc_sheets, job.has_bid)?;
    Ok(faults_as_written(&sheets, &formulas(job, None)?))
}

/// The language of a job's formulas.
///
/// # Errors
/// The script of functions is faulty.
pub fn formulas<'a>(job: &'a Job, takeoff: Option<&'a Takeoff>) -> Outcome<Formulas<'a>> {
    language(&job.host, takeoff, job.layers.replaced(FUNCTIONS)?)
}

/// The language of formulas before there is a takeoff.
///
/// # Errors
/// The script of functions is faulty.
pub(super) fn without_takeoff(host: &Host, functions: Option<Found>) -> Outcome<Formulas<'_>> {
    language(host, None, functions)
}

fn language<'a>(
    host: &'a Host,
    takeoff: Option<&'a Takeoff>,
    functions: Option<Found>,
) -> Outcome<Formulas<'a>> {
    Formulas::new(host, takeoff, functions).map_err(|fault| match fault {
        ScriptFault::Problems(faults) => faults,
        ScriptFault::NoLayout(..) => Problem::error("no layout of steps is legal").into(),
    })
}

/// Works the sheets of a job out.
///
/// # Errors
/// A sheet is faulty; all faults of all sheets at once.
pub fn calc_sheets(job: &Job, takeoff: &Takeoff) -> Outcome<CalcSheets> {
    let mut sheets = sheets_of(&job.layers, &job.calc_sheets, job.has_bid)?;
    if takeoff.layout.riser_prices().is_some() {
        price_by_rule(&mut sheets);
    }
    replace_cells(&mut sheets, &job.cells)?;
    sheets.extend(formulas_of(takeoff));
    let formulas = formulas(job, Some(takeoff))?;
    let (book, mut faults) = build(&sheets, &JobInputs::new(takeoff), &formulas);
    faults.extend(foreign_units(&sheets, &job.wall_job.currency));
    let missing = missing(&book, takeoff);
    note_beside(&mut sheets, "total", &partial(&missing));
    for (hook, file) in job.wall_job.site.hooks.used() {
        if hook == crate::footing::Hook::RiserPrice {
            note_beside(&mut sheets, "risers", &format!("each riser priced by {file}"));
        }
    }
    faults.or_value(Some(CalcSheets { sheets, book, missing }))
}

/// The bundled formula of the risers, by the prices of the job.
const RISERS: &str = "to_cent(layout.risers * prices.riser_each + layout.rise * prices.rise)";

/// Where a rule of the company prices the risers, the bid takes its prices too: the steps were laid out by them.
fn price_by_rule(sheets: &mut [Sheet]) {
    let price = sheets.iter_mut().filter(|sheet| sheet.name == "price");
    for row in price.flat_map(|sheet| &mut sheet.rows).filter(|row| row.formula == RISERS) {
        row.formula = "to_cent(layout.riser_price)".to_owned();
    }
}

/// Adds a note to a row of the price sheet, in the first of its further columns.
fn note_beside(sheets: &mut [Sheet], row: &str, note: &str) {
    let Some(sheet) = sheets.iter_mut().find(|sheet| sheet.name == "price") else { return };
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
        let row = sheets.iter_mut().find_map(|sheet| {
            let cell = name.strip_prefix(&format!("{}.", sheet.name))?.to_owned();
            sheet.rows.iter_mut().find(|row| row.name == cell)
        });
        match row {
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

/// What formulas of a job may name besides cells.
pub struct JobInputs<'a> {
    takeoff: &'a Takeoff,
}

impl<'a> JobInputs<'a> {
    /// The settings, lines, layout and walls of a takeoff.
    pub fn new(takeoff: &'a Takeoff) -> Self {
        Self { takeoff }
    }

    fn job(&self) -> &WallJob {
        &self.takeoff.job
    }

    fn unit(&self, dimension: Dimension) -> String {
        unit_for(dimension, self.job().system, &self.job().currency)
    }

    /// The setting that a path begins with.
    fn setting(&self, path: &[String]) -> Option<(usize, Input)> {
        (1..=path.len()).rev().find_map(|words| {
            let name = path[..words].join(".");
            let key = KEYS.iter().find(|key| key.path == name);
            let (value, unit) = match self.job().settings.get(&name)? {
                Setting::Measure(exact) => {
                    let unit = match key {
                        Some(key) => key.unit(exact.dimension, self.job()),
                        None => self.unit(exact.dimension),
                    };
                    (value(exact.quantity()), unit)
                }
                #[expect(clippy::cast_precision_loss, reason = "counts of a job")]
                Setting::Count(count) => (Value::Number(*count as f64), String::new()),
                Setting::Text(text) => (Value::Text(text.clone()), "text".to_owned()),
            };
            let about = key.map_or("", |key| key.about);
            let origin = Origin::Setting(name.clone());
            Some((words, Input { name, what: about.to_owned(), value, unit, origin }))
        })
    }

    /// The line of the takeoff that a path begins with, of one wall or of all.
    fn line(&self, path: &[String], wall: Option<&str>) -> Option<(usize, Input)> {
        (1..=path.len()).rev().find_map(|words| {
            let id = path[..words].join(".");
            let line = self.takeoff.lines.iter().find(|line| line.id == id)?;
            if self.takeoff.waits(&id) {
                return None;
            }
            let (exact, what, name) = match wall {
                None => (line.quantity.clone(), line.label.clone(), format!("takeoff.{id}")),
                Some(wall) => (
                    self.share(line, wall).ok()?,
                    format!("{}, wall {wall}", line.label),
                    format!("wall.takeoff.{id}.{wall}"),
                ),
            };
            let unit = line.unit.clone();
            let input =
                Input { name, what, value: of_exact(&exact), unit, origin: Origin::Line(id) };
            Some((words, input))
        })
    }

    /// What of a line belongs to a wall: its parts there, and the same of the lines that it follows.
    ///
    /// # Errors
    /// It has none: parts at corners belong to two walls, and an order is made for the job.
    fn share(&self, line: &Line, wall: &str) -> Result<Exact, Problem> {
        let of = |id: &String| {
            let other = self.takeoff.lines.iter().find(|line| line.id == *id);
            other
                .ok_or_else(|| Problem::error(format!("the takeoff has no line {id}")))
                .and_then(|other| self.share(other, wall))
        };
        let times =
            |exact: Exact, factor: &BigRational| Exact { value: exact.value * factor, ..exact };
        match &line.derivation {
            // A part that stands on no single wall stands at a corner of two.
            Derivation::Parts
                if line.parts.iter().any(|part| !self.walls().contains(&part.wall)) =>
            {
                Err(Problem::error(format!(
                    "{} has parts at corners, which belong to two walls",
                    line.id
                ))
                .help("name the lines of the walls themselves, such as wall.takeoff.footing.runs"))
            }
            Derivation::Parts => {
                let parts: Vec<_> =
                    line.parts.iter().filter(|part| part.wall == wall).cloned().collect();
                Ok(total(&parts, line.quantity.dimension))
            }
            Derivation::Sum(lines) => {
                let mut sum =
                    Exact { value: BigRational::zero(), dimension: line.quantity.dimension };
                for id in lines {
                    sum.value += of(id)?.value;
                }
                Ok(sum)
            }
            Derivation::Scaled { of: id, factor } => Ok(times(of(id)?, factor)),
            Derivation::Increased { of: id, share } => {
                Ok(times(of(id)?, &(BigRational::one() + &share.value)))
            }
            Derivation::Ordered { .. } | Derivation::Formula(_) | Derivation::Value => Err(
                Problem::error(format!("{} is of the whole job and has no share by wall", line.id))
                    .help(
                        "name the lines of the walls themselves, such as wall.takeoff.footing.runs",
                    ),
            ),
        }
    }

    /// A fact of the job or its layout.
    fn fact(&self, path: &[String]) -> Option<(usize, Input)> {
        let layout = &self.takeoff.layout;
        let job = self.job();
        let length = |nm| Value::Measure(Quantity::length(nm));
        let [first, second, ..] = path else { return None };
        let (what, value) = match (first.as_str(), second.as_str()) {
            ("layout", "risers") => ("risers of the steps", count(layout.steps.len())),
            ("layout", "rise") => {
                let rises = layout.steps.iter().map(|step| step.tof_after - step.tof_before);
                let sum = rises.fold(crate::measure::Nm::ZERO, |sum, rise| sum + rise.abs());
                ("sum of all rises", length(sum))
            }
            ("layout", "riser_price") => {
                // By the company's rule where there is one, else by the prices of the job.
                let nano = layout.riser_prices();
                let own = nano.map(|nano| crate::measure::ratio(nano.iter().sum(), 1_000_000_000));
                let value = match own {
                    Some(value) => value,
                    None => self.usual_riser_price()?,
                };
                let price = Exact { value, dimension: Dimension::MONEY };
                ("risers of the steps, by the company's rule where there is one", of_exact(&price))
            }
            ("layout", "runs") => ("runs of footing", count(layout.steps.len() + 1)),
            ("job", "length") => ("length of all walls", length(layout.site.chain.length())),
            ("job", "walls") => ("number of walls", count(layout.site.chain.walls().len())),
            ("job", "name") => ("name of the job", Value::Text(job.title.name.clone())),
            _ => return None,
        };
        let unit = match &value {
            Value::Measure(quantity) => self.unit(quantity.dimension()),
            _ => String::new(),
        };
        let name = format!("{first}.{second}");
        let origin = Origin::Job(name.clone());
        Some((2, Input { name, what: what.to_owned(), value, unit, origin }))
    }

    /// Risers by the prices of the job; nothing where it gives none.
    fn usual_riser_price(&self) -> Option<BigRational> {
        let layout = &self.takeoff.layout;
        let price = |name: &str| match self.job().settings.get(name)? {
            Setting::Measure(exact) => Some(exact.value.clone()),
            _ => None,
        };
        let rises = layout.steps.iter().map(|step| (step.tof_after - step.tof_before).abs());
        let rise: crate::measure::Nm = rises.sum();
        let count = crate::measure::ratio(i128::try_from(layout.steps.len()).ok()?, 1);
        let by_rise = price("prices.rise")? * crate::measure::ratio(rise.wide(), 1);
        Some(price("prices.riser_each")? * count + by_rise)
    }

    /// A fact of one wall.
    fn wall(&self, path: &[String], wall: &str) -> Option<(usize, Input)> {
        let second = path.first()?;
        if second == "takeoff" {
            return self.line(&path[1..], Some(wall)).map(|(words, input)| (words + 1, input));
        }
        let site = &self.takeoff.layout.site;
        let at = site.chain.walls().iter().position(|line| line.id == wall)?;
        let (what, value) = match second.as_str() {
            "id" => ("name of the wall", Value::Text(wall.to_owned())),
            "length" => (
                "length of the wall",
                Value::Measure(Quantity::length(site.chain.walls()[at].length)),
            ),
            "stem" => {
                ("thickness of the stem", Value::Measure(Quantity::length(site.walls[at].stem)))
            }
            "risers" => (
                "risers on the wall",
                count(self.takeoff.layout.steps.iter().filter(|step| step.wall == at).count()),
            ),
            _ => return None,
        };
        let unit = match &value {
            Value::Measure(quantity) => self.unit(quantity.dimension()),
            Value::Text(_) => "text".to_owned(),
            _ => String::new(),
        };
        let name = format!("wall.{second}.{wall}");
        let origin = Origin::Job(name.clone());
        Some((1, Input { name, what: format!("{what} {wall}"), value, unit, origin }))
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of a job")]
fn count(number: usize) -> Value {
    Value::Number(number as f64)
}

fn value(quantity: Quantity) -> Value {
    match quantity.dimension() {
        Dimension::NUMBER => Value::Number(quantity.base()),
        _ => Value::Measure(quantity),
    }
}

fn of_exact(exact: &Exact) -> Value {
    value(exact.quantity())
}

impl Inputs for JobInputs<'_> {
    fn input(&self, path: &[String], wall: Option<&str>) -> Option<(usize, Input)> {
        let first = path.first()?;
        match (first.as_str(), wall) {
            ("takeoff", _) => self.line(&path[1..], None).map(|(words, input)| (words + 1, input)),
            ("wall", Some(wall)) => {
                self.wall(&path[1..], wall).map(|(words, input)| (words + 1, input))
            }
            _ => self.fact(path).or_else(|| self.setting(path)),
        }
    }

    fn list(&self, path: &[String]) -> Option<(usize, Vec<Input>)> {
        let [name, column, ..] = path else { return None };
        let takeoff = self.takeoff;
        let listing = listing_of(name, self.job(), Some(&takeoff.layout), Some(takeoff));
        let listing = listing.ok().flatten()?;
        let at = listing.column(column)?;
        let about = listing.columns()[at].about;
        let input = |(row, cells): (usize, &Vec<Datum>)| {
            let datum = &cells[at];
            let (value, unit) = match (datum, datum.quantity()) {
                (_, Some(quantity)) => {
                    (value(quantity), datum.number(self.job().system)?.1.to_owned())
                }
                (Datum::Text(text), _) => (Value::Text(text.clone()), "text".to_owned()),
                (Datum::Flag(flag), _) => (Value::Flag(*flag), "yes/no".to_owned()),
                _ => return None,
            };
            let name = format!("{name}.{column}.{}", row + 1);
            let what = format!("{about}, row {} of {}", row + 1, listing.name());
            let origin = Origin::Job(name.clone());
            Some(Input { name, what, value, unit, origin })
        };
        Some((2, (0..).zip(&listing.rows).filter_map(input).collect()))
    }

    fn missing(&self, path: &[String]) -> Option<Problem> {
        let name = path.join(".");
        if let Some(id) = name.strip_prefix("takeoff.").filter(|id| self.takeoff.waits(id)) {
            return Some(
                Problem::error(format!("line {id} is worked out after this formula"))
                    .help("lines are worked out from the first to the last: add it above"),
            );
        }
        if let [listing, column, ..] = path
            && let Some(source) =
                self.job().sources().find(|source| source.declaration.name == listing)
        {
            return Some(match source.declaration.column(column) {
                Err(problem) => problem,
                Ok(_) => Problem::error(format!("{name} is not known to the sheets"))
                    .help("they name what the job and its least-cost layout give"),
            });
        }
        if path.first().is_some_and(|first| first == "wall") && path.len() > 1 {
            let id = path[1..].join(".");
            let id = id.strip_prefix("takeoff.").map(str::to_owned);
            let line = id.and_then(|id| self.takeoff.lines.iter().find(|line| line.id == id));
            let walls = self.walls();
            if let Some(problem) = line.and_then(|line| self.share(line, walls.first()?).err()) {
                return Some(problem);
            }
            let known = ["id", "length", "stem", "risers"].contains(&path[1].as_str());
            return (known || line.is_some()).then(|| {
                Problem::error(format!(
                    "{name} is of one wall, and this sheet is worked out once for the job"
                ))
                .help("per = \"wall\" in its [[sheet]] works it out for each wall")
            });
        }
        let key = KEYS.iter().find(|key| key.path == name)?;
        Some(Problem::error(format!("the job does not give {name}")).help(format!(
            "{name} in job.toml: {}; {}",
            key.about,
            key.kind.words()
        )))
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = self.job().settings.keys().cloned().collect();
        names.extend(self.takeoff.lines.iter().map(|line| format!("takeoff.{}", line.id)));
        let facts = [
            "layout.risers",
            "layout.rise",
            "layout.riser_price",
            "layout.runs",
            "job.length",
            "job.walls",
            "job.name",
            "wall.length",
            "wall.stem",
            "wall.risers",
            "wall.id",
        ];
        names.extend(facts.map(str::to_owned));
        for declared in self.job().sources().map(|source| source.declaration) {
            let columns = declared.columns.iter();
            names.extend(columns.map(|column| format!("{}.{}", declared.name, column.name)));
        }
        names
    }

    fn walls(&self) -> Vec<String> {
        self.takeoff.layout.site.chain.walls().iter().map(|wall| wall.id.clone()).collect()
    }
}
