//! What-if: variants side by side, how much each input moves a result, and the input at which a result meets a target.

use std::collections::BTreeSet;
use std::path::Path;

use super::Job;
use super::KeyKind;
use super::at_once::each_at_once;
use super::subject::{Answer, Subject};
use crate::catalogue::Value;
use crate::files::{self, FoundFile, LayerOrigin};
use crate::measure::{Dimension, Quantity, number_unit, round, unit, written};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::script::ScriptFault;
use crate::sheet::{Across, Found, MOST_WHOLE, Origin, Search, Sheet, find};
use crate::table::{Table, read_text_list};
use crate::takeoff::SettingValue;
use crate::workbook::{is_workbook, read_sheets};

/// Inputs that are replaced together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Variant {
    /// Its name.
    pub name: String,
    /// Settings by path or cells by name, and their texts.
    pub set: Vec<(String, String)>,
}

/// Reads a table of variants: columns variant, input, value; rows of one name belong together.
///
/// # Errors
/// A column is missing or a row is incomplete; all such faults at once.
pub fn read_variants(path: &Path) -> Outcome<Vec<Variant>> {
    let shown = path.display().to_string();
    let bytes = files::read_bytes(path)?;
    let table: Table = if is_workbook(&shown) {
        let first = read_sheets(&shown, &bytes, None)?.into_iter().next();
        first.map(|sheet| sheet.table).ok_or_else(|| {
            Problem::error("this workbook has no sheet").at(Place::file(shown.clone()))
        })?
    } else {
        read_text_list(&shown, &bytes)?
    };
    let Some((head, rows)) = table.rows.split_first() else {
        return Err(Problem::error("the table of variants is empty").at(table.place()).into());
    };
    let mut faults = Faults::none();
    let mut column = |wanted: &str| {
        let at = head.cells.iter().position(|cell| cell.text.eq_ignore_ascii_case(wanted));
        if at.is_none() {
            faults.push(
                Problem::error(format!("the table has no column \"{wanted}\""))
                    .at(table.place_of(head.line, None))
                    .help("its columns are variant, input, value"),
            );
        }
        at
    };
    let columns = [column("variant"), column("input"), column("value")];
    let [Some(variant), Some(input), Some(value)] = columns else { return Err(faults) };
    let mut variants: Vec<Variant> = Vec::new();
    for row in rows {
        let [name, path, text] = [variant, input, value].map(|at| row.text(at).to_owned());
        if name.is_empty() || path.is_empty() || text.is_empty() {
            faults.push(
                Problem::error("a variant needs its name, an input and a value")
                    .at(table.place_of(row.line, Some(variant))),
            );
            continue;
        }
        if name == "base" {
            faults.push(
                Problem::error("a variant cannot be called base: that is the job as it stands")
                    .at(table.place_of(row.line, Some(variant))),
            );
            continue;
        }
        match variants.iter_mut().find(|known| known.name == name) {
            Some(known) if known.set.iter().any(|(other, _)| *other == path) => {
                faults.push(
                    Problem::error(format!("variant {name} sets {path} twice"))
                        .at(table.place_of(row.line, Some(input))),
                );
            }
            Some(known) => known.set.push((path, text)),
            None => variants.push(Variant { name, set: vec![(path, text)] }),
        }
    }
    faults.or_value(Some(variants))
}

/// The variants that a script makes for a job: its `fn variants(job)`.
///
/// # Errors
/// The subject is no job or faulty, or the script is.
pub fn scripted_variants(path: &Path, subject: &Subject) -> Outcome<Vec<Variant>> {
    let shown = path.display().to_string();
    let Subject::Job(folder, options) = subject else {
        return Err(Problem::error("a script makes variants of a job")
            .at(Place::file(shown))
            .help("calc sheets alone take a table with the columns variant, input, value")
            .into());
    };
    let job = Job::open(folder, options)?;
    let text = files::read_text(path)?;
    let script = FoundFile { origin: LayerOrigin::Job, shown, text };
    let variants = job.host.variants(&script, &job.wall_job).map_err(|fault| match fault {
        ScriptFault::Problems(faults) => faults,
        ScriptFault::NoLayout(..) => Problem::error("no layout of steps is legal").into(),
    })?;
    Ok(variants.into_iter().map(|(name, set)| Variant { name, set }).collect())
}

/// Variants side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// Names of the columns: the base, then the variants.
    pub names: Vec<String>,
    /// What stands in a row, its name and unit, and its number in every column; nothing where there is none.
    pub rows: Vec<(String, String, String, Vec<Option<f64>>)>,
    /// The same for texts, dates and yes or no: name, and what stands in every column.
    pub words: Vec<(String, Vec<String>)>,
    /// Which columns have no legal layout, and so no number.
    pub no_layout: Vec<bool>,
    /// What the price of each column lacks.
    pub partial: Vec<Option<String>>,
    /// What is to be said of a variant: what it changes, or why it has no layout.
    pub remarks: Vec<(String, String)>,
}

impl Compared {
    /// Puts the variants in the order of a cell, the least first and those without a number last; the base stays the first.
    ///
    /// # Errors
    /// There is no such cell.
    pub fn sort_by(&mut self, cell: &str) -> Outcome<()> {
        let Some((.., values)) = self.rows.iter().find(|(_, name, ..)| name == cell) else {
            let problem = Problem::error(format!("there is no number {cell} to sort by"));
            let known = self.rows.iter().map(|(_, name, ..)| name.as_str());
            return Err(match crate::problem::closest(cell, known) {
                Some(near) => problem.help(format!("did you mean {near}?")),
                None => problem.help("a cell such as price.total was expected"),
            }
            .into());
        };
        let key = |at: &usize| values.get(*at).copied().flatten().unwrap_or(f64::INFINITY);
        let mut order: Vec<usize> = (0..self.names.len()).collect();
        order[1..].sort_by(|a, b| key(a).total_cmp(&key(b)));
        fn reordered<T: Clone>(of: &mut Vec<T>, order: &[usize]) {
            *of = order.iter().filter_map(|at| of.get(*at).cloned()).collect();
        }
        reordered(&mut self.names, &order);
        reordered(&mut self.no_layout, &order);
        reordered(&mut self.partial, &order);
        self.rows.iter_mut().for_each(|(.., values)| reordered(values, &order));
        self.words.iter_mut().for_each(|(_, values)| reordered(values, &order));
        Ok(())
    }
}

/// Stands for every number of a variant without a legal layout.
pub const NO_LAYOUT: &str = "no layout";

/// The cells that are no numbers, in words.
fn worded(answer: &Answer) -> Vec<(String, String)> {
    let book = &answer.calc.book;
    let cell = |(id, node): (u32, &crate::sheet::Node)| {
        let Origin::Cell { .. } = node.origin else { return None };
        let number = book.quantity(id).and_then(|quantity| in_unit(quantity, &node.unit));
        number.is_none().then(|| (node.name.to_string(), book.words(id)))
    };
    (0..).zip(book.nodes()).filter_map(cell).collect()
}

/// The numbers that variants are compared by.
pub(super) fn figures(answer: &Answer) -> Vec<(String, String, String, f64)> {
    let mut figures = Vec::new();
    if let Some((job, work)) = &answer.job
        && let Some(takeoff) = &work.takeoff
    {
        let layout = &takeoff.layout;
        #[expect(clippy::cast_precision_loss, reason = "shown to the cent")]
        let cost = layout.cost as f64 / 1e9;
        let currency = job.wall_job.style.currency.clone();
        figures.push((
            "Layout cost, no price".to_owned(),
            "layout.cost".to_owned(),
            currency,
            cost,
        ));
        #[expect(clippy::cast_precision_loss, reason = "a count")]
        let risers = layout.steps.len() as f64;
        figures.push(("Risers".to_owned(), "layout.risers".to_owned(), String::new(), risers));
        for line in &takeoff.lines {
            if let Some(value) = in_unit(line.quantity.quantity(), &line.unit) {
                figures.push((
                    line.label.clone(),
                    format!("takeoff.{}", line.id),
                    line.unit.clone(),
                    value,
                ));
            }
        }
    }
    let book = &answer.calc.book;
    for (id, node) in (0..).zip(book.nodes()) {
        let Origin::Cell { .. } = node.origin else { continue };
        if let Some(value) = book.quantity(id).and_then(|quantity| in_unit(quantity, &node.unit)) {
            let what =
                if node.what.is_empty() { node.name.to_string() } else { node.what.to_string() };
            figures.push((what, node.name.to_string(), node.unit.to_string(), value));
        }
    }
    figures
}

fn in_unit(quantity: Quantity, name: &str) -> Option<f64> {
    if quantity.dimension() == Dimension::DATE {
        return None;
    }
    unit(number_unit(name))
        .ok()
        .and_then(|unit| quantity.in_unit(&unit).ok())
        .or_else(|| (quantity.dimension() == Dimension::NUMBER).then(|| quantity.base()))
}

/// Works variants out beside the base.
///
/// # Errors
/// The base or the inputs of a variant are faulty. A variant without a legal layout is none: it is remarked on.
pub fn compare(subject: &Subject, variants: &[Variant]) -> Outcome<Compared> {
    let base = subject.answer(&[])?;
    let mut compared = Compared {
        names: vec!["base".to_owned()],
        rows: figures(&base)
            .into_iter()
            .map(|(what, name, unit, value)| (what, name, unit, vec![Some(value)]))
            .collect(),
        words: worded(&base).into_iter().map(|(name, text)| (name, vec![text])).collect(),
        no_layout: vec![has_no_layout(&base)],
        partial: vec![base.calc.partial()],
        remarks: remark("base", &base).into_iter().collect(),
    };
    let mut faults = Faults::none();
    for variant in variants {
        let of_variant = |problem: Problem| match variants.len() {
            1 => problem,
            _ => problem.detail(format!("this is of variant {}", variant.name)),
        };
        let answer = subject.answer(&variant.set).map_err(|faults| {
            let problems = faults.into_vec().into_iter().map(of_variant);
            Faults::from(problems.collect::<Vec<_>>())
        });
        let Some(answer) = faults.keep(answer) else { continue };
        let style =
            |answer: &Answer| answer.job.as_ref().map(|(job, _)| job.wall_job.style.clone());
        if style(&answer) != style(&base) {
            let message = "numbers in other units or another currency cannot be set side by side";
            let help =
                "work the job through with --set instead: rodbook takeoff JOB --set job.units=...";
            faults.push(of_variant(Problem::error(message)).help(help));
            continue;
        }
        let said = worded(&answer);
        for (name, texts) in &mut compared.words {
            let same = said.iter().find(|(other, _)| other == name);
            let none = if has_no_layout(&answer) { NO_LAYOUT } else { "" };
            texts.push(same.map_or_else(|| none.to_owned(), |(_, text)| text.clone()));
        }
        let changes: Vec<String> =
            variant.set.iter().map(|(input, text)| format!("{input} = {text}")).collect();
        compared.remarks.push((variant.name.clone(), changes.join(", ")));
        let found = figures(&answer);
        for (_, name, _, values) in &mut compared.rows {
            let same = found.iter().find(|(_, other, ..)| other == name);
            values.push(same.map(|(.., value)| *value));
        }
        let count = compared.names.len();
        for (what, name, unit, value) in found {
            if !compared.rows.iter().any(|(_, known, ..)| *known == name) {
                let mut values = vec![None; count];
                values.push(Some(value));
                compared.rows.push((what, name, unit, values));
            }
        }
        compared.names.push(variant.name.clone());
        compared.no_layout.push(has_no_layout(&answer));
        compared.partial.push(answer.calc.partial());
        compared.remarks.extend(remark(&variant.name, &answer));
        let moved = own_entries_elsewhere(&base, &answer).into_iter();
        compared.remarks.extend(moved.map(|what| (variant.name.clone(), what)));
    }
    faults.or_value(Some(compared))
}

/// Sheets whose own entries stand in the rows of the same numbers though the steps are others.
fn own_entries_elsewhere(base: &Answer, answer: &Answer) -> Vec<String> {
    let steps = |answer: &Answer| {
        let takeoff = answer.job.as_ref()?.1.takeoff.as_ref()?;
        Some(takeoff.layout.steps.clone())
    };
    if steps(base) == steps(answer) {
        return Vec::new();
    }
    let told = |sheet: &Sheet| {
        let Across::Rows(axis) = &sheet.across else { return None };
        let of = axis.of.as_ref().filter(|of| *of != "walls" && !axis.entries.is_empty())?;
        let rows: BTreeSet<&String> = axis.entries.values().flat_map(|row| row.keys()).collect();
        let rows: Vec<&str> = rows.into_iter().map(String::as_str).collect();
        Some(format!(
            "the steps are others, and the own entries of {} stay in rows {} of {of}: look whether they still belong there",
            sheet.name,
            rows.join(", ")
        ))
    };
    answer.calc.sheets.iter().filter_map(told).collect()
}

fn has_no_layout(answer: &Answer) -> bool {
    answer.job.as_ref().is_some_and(|(_, work)| work.takeoff.is_none())
}

fn remark(name: &str, answer: &Answer) -> Option<(String, String)> {
    let (_, work) = answer.job.as_ref()?;
    let problem = work.no_layout.iter().next()?;
    Some((name.to_owned(), format!("no layout of steps is legal: {}", problem.message)))
}

/// How much an input moves a result.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// The input.
    pub input: String,
    /// It as it is, and lower and higher, as text.
    pub texts: [String; 3],
    /// Change of the result with the input lower and higher, in the unit of the result; nothing where there is no result.
    pub change: [Option<f64>; 2],
}

impl Sensitivity {
    /// The greater of both changes.
    pub fn size(&self) -> f64 {
        self.change.iter().flatten().fold(0.0, |most: f64, change| most.max(change.abs()))
    }
}

/// Tables of settings that are varied.
const VARIED: [&str; 10] = [
    "prices.",
    "bid.",
    "allowances.",
    "rules.",
    "layout_rates.",
    "own.",
    "one_level.",
    "bars.",
    "forms.",
    "lumber.",
];

/// An input that can be varied.
struct Varied {
    name: String,
    value: f64,
    unit: String,
    /// Whether only whole numbers make sense.
    whole: bool,
    /// Whether it is a cell of a sheet of rows.
    in_rows: bool,
}

/// Most cells of sheets of rows whose influence is worked out: each takes the whole job twice.
const MOST_IN_ROWS: usize = 200;

/// The inputs that a share more or less moves: those that are not 0.
fn varied(answer: &Answer) -> Vec<Varied> {
    inputs_of(answer).into_iter().filter(|one| one.value != 0.0).collect()
}

/// The inputs of an answer that can be varied.
fn inputs_of(answer: &Answer) -> Vec<Varied> {
    let mut inputs = Vec::new();
    if let Some((job, _)) = &answer.job {
        for (path, setting) in &job.wall_job.settings {
            let Some(key) = job.keys.find(path) else { continue };
            if !VARIED.iter().any(|table| path.starts_with(table)) {
                continue;
            }
            let exact = match &setting.value {
                SettingValue::Measure(exact) => exact,
                #[expect(clippy::cast_precision_loss, reason = "counts of a job")]
                SettingValue::Count(count) => {
                    let (name, value) = (path.clone(), *count as f64);
                    let unit = String::new();
                    inputs.push(Varied { name, value, unit, whole: true, in_rows: false });
                    continue;
                }
                SettingValue::Text(_) => continue,
            };
            let quantity = exact.quantity();
            if !matches!(
                key.kind,
                KeyKind::Percent(_) | KeyKind::Length(..) | KeyKind::Amount(..) | KeyKind::Rate(_)
            ) {
                continue;
            }
            let unit = setting.unit.clone();
            if let Some(value) = in_unit(quantity, &unit) {
                let name = path.clone();
                inputs.push(Varied { name, value, unit, whole: false, in_rows: false });
            }
        }
    }
    let book = &answer.calc.book;
    for (id, node) in (0..).zip(book.nodes()) {
        let typed = node.formula.as_ref().is_some_and(crate::sheet::Formula::is_typed);
        let value = book.quantity(id).and_then(|quantity| in_unit(quantity, &node.unit));
        let Origin::Cell { sheet, wall, .. } = node.origin else { continue };
        let sheet = answer.calc.sheets.get(sheet as usize);
        // What a script wrote it writes again.
        let of_row = sheet.is_some_and(|sheet| {
            matches!(sheet.across, crate::sheet::Across::Rows(_)) && !sheet.by_script
        });
        if let (true, true, Some(value)) = (typed, wall.is_none() || of_row, value) {
            let unit = number_unit(&node.unit).to_owned();
            let whole = unit.is_empty() && node.unit.is_empty() && value == round::floor_f64(value);
            let in_rows = wall.is_some();
            inputs.push(Varied { name: node.name.to_string(), value, unit, whole, in_rows });
        }
    }
    inputs
}

/// A number of an input as it is written.
fn text_of(value: f64, unit: &str) -> String {
    match unit {
        "" => written(value),
        "percent" => format!("{} %", written(value)),
        unit => format!("{} {unit}", written(value)),
    }
}

/// A number of an input as a person reads it.
fn words(value: f64, unit: &str) -> String {
    let value = written(crate::measure::significant(value, 6));
    match unit {
        "percent" => format!("{value} %"),
        unit => format!("{value} {unit}").trim_end().to_owned(),
    }
}

fn words_of(text: &str, unit: &str) -> String {
    let number = text.split(' ').next().and_then(|number| number.parse().ok());
    number.map_or_else(|| text.to_owned(), |number| words(number, unit))
}

/// How inputs move a cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// The cell as it is, and its unit.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// What stands beside it where it is a price.
    pub partial: Option<String>,
    /// Each input, the one that moves it most first.
    pub inputs: Vec<Sensitivity>,
    /// How many typed cells of sheets of rows are not among them, because there are too many.
    pub not_tried: usize,
}

/// How much each input moves a cell when it is lower and higher by a share; the most first.
///
/// # Errors
/// The subject is faulty, or the cell is not a number.
pub fn sensitivity(subject: &Subject, cell: &str, share: f64) -> Outcome<Moved> {
    let base = subject.answer(&[])?;
    let (value, unit) = number_of(&base, cell)?;
    // A share more of a count is seldom one.
    let counts = |one: &Varied| one.whole && base.key(&one.name).is_some();
    let mut inputs: Vec<Varied> = varied(&base).into_iter().filter(|one| !counts(one)).collect();
    let all_inputs = inputs.len();
    if inputs.iter().filter(|one| one.in_rows).count() > MOST_IN_ROWS {
        inputs.retain(|one| !one.in_rows);
    }
    let not_tried = all_inputs - inputs.len();
    let mut all = each_at_once(&inputs, |one| {
        let Varied { name: input, value: number, unit: input_unit, .. } = one;
        let with = |factor: f64| {
            let text = text_of(number * factor, input_unit);
            let answer = subject.answer(&[(input.clone(), text.clone())]).ok();
            let change =
                answer.and_then(|answer| number_of(&answer, cell).ok()).map(|(new, _)| new - value);
            (text, change)
        };
        let (low, less) = with(1.0 - share);
        let (high, more) = with(1.0 + share);
        Sensitivity {
            input: input.clone(),
            texts: [
                words(*number, input_unit),
                words_of(&low, input_unit),
                words_of(&high, input_unit),
            ],
            change: [less, more],
        }
    });
    all.retain(|one| one.size() > 0.0 || one.change.contains(&None));
    all.sort_by(|a, b| b.size().total_cmp(&a.size()));
    let partial = base.calc.partial_beside(cell);
    Ok(Moved { value, unit, partial, inputs: all, not_tried })
}

/// The number of a cell in its unit.
fn number_of(answer: &Answer, cell: &str) -> Result<(f64, String), Problem> {
    let book = &answer.calc.book;
    let id = match (answer.find(cell), answer.line(cell)) {
        (Ok(id), _) => id,
        (Err(_), Some(line)) => {
            let number = in_unit(line.quantity.quantity(), &line.unit);
            return number
                .map(|number| (number, line.unit.clone()))
                .ok_or_else(|| Problem::error(format!("{cell} is not a number")));
        }
        (Err(problem), None) => return Err(problem),
    };
    let unit = number_unit(&book.node(id).unit).to_owned();
    let number = book.quantity(id).and_then(|quantity| in_unit(quantity, &unit));
    let number = number.ok_or_else(|| {
        let value = book.value(id).map_or_else(|| "empty".to_owned(), |value: Value| value.words());
        Problem::error(format!("{cell} is {value}, a number was expected"))
    })?;
    Ok((number, unit))
}

/// What was looked for and found, in the units of the input and of the cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Looked {
    /// The target.
    pub target: f64,
    /// What was found.
    pub found: Found,
    /// Unit of the input.
    pub input_unit: String,
    /// Unit of the cell.
    pub cell_unit: String,
    /// What stands beside the cell where it is a price.
    pub partial: Option<String>,
}

/// Looks for the values of an input with which a cell meets a target or does not exceed it. All three texts are measures in
/// any fitting unit; bare numbers are in the unit of the input and of the cell.
///
/// # Errors
/// The subject is faulty as it is, or a text is not a value of the input or cell.
pub fn look_for(
    subject: &Subject,
    cell: &str,
    target: &str,
    input: &str,
    [from, to]: [&str; 2],
) -> Outcome<Looked> {
    let base = subject.answer(&[])?;
    let (_, cell_unit) = number_of(&base, cell)?;
    let all = inputs_of(&base);
    let Some(known) = all.iter().find(|one| one.name == input) else {
        let problem = Problem::error(format!("{input} is not an input that can be varied"));
        let names = all.iter().map(|one| one.name.as_str());
        return Err(match crate::problem::closest(input, names) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help(
                "a price, share, length or count of job.toml, or a typed cell of a calc sheet",
            ),
        }
        .into());
    };
    let input_unit = known.unit.clone();
    let target = read(target, &cell_unit)?;
    let (from, to) = (read(from, &input_unit)?, read(to, &input_unit)?);
    if from >= to {
        return Err(Problem::error("the lower bound is not under the upper one").into());
    }
    let counted = base.key(input).is_some_and(|key| matches!(key.kind, KeyKind::Count(..)));
    let whole = counted || known.whole && [from, to].iter().all(|x| *x == round::floor_f64(*x));
    if whole && to - from > MOST_WHOLE {
        return Err(Problem::error(format!(
            "{input} is a count, and more than {MOST_WHOLE} whole numbers lie between the bounds"
        ))
        .help("bring --from and --to closer together")
        .into());
    }
    let mut result = |value: f64| {
        let text = text_of(value, &input_unit);
        let answer = subject.answer(&[(input.to_owned(), text)]).ok()?;
        number_of(&answer, cell).ok().map(|(number, _)| number)
    };
    let found = find(Search { from, to, target, whole }, &mut result);
    let partial = base.calc.partial_beside(cell);
    Ok(Looked { target, found, input_unit, cell_unit, partial })
}

/// A number in a unit: bare, or a measure of its own unit.
fn read(text: &str, name: &str) -> Result<f64, Problem> {
    let text = text.trim();
    if let Ok(number) = text.parse::<f64>() {
        if name == "percent" && number > 0.0 && number < 1.0 {
            let percent = written(crate::measure::significant(number * 100.0, 7));
            return Err(Problem::error(format!(
                "{text} has two readings: a share, which is {percent} %, or {text} %"
            ))
            .help(format!("write {percent} or \"{text} %\"")));
        }
        return Ok(number);
    }
    if let (Some(number), "percent") = (text.strip_suffix('%'), name)
        && let Ok(number) = number.trim_end().parse::<f64>()
    {
        return Ok(number);
    }
    let own = crate::measure::CURRENCIES.iter().find(|currency| name.contains(*currency));
    if let Some(other) = own.and_then(|own| crate::measure::foreign_currency(text, own)) {
        return Err(Problem::error(format!("\"{text}\" is in {other}, the cell in {name}"))
            .help("money is not converted"));
    }
    let wrong = || {
        Problem::error(format!("\"{text}\" is not a value in {name}"))
            .help(format!("write it like {}", text_of(12.5, name)))
    };
    let (number, given) = text.split_once(' ').ok_or_else(wrong)?;
    let number = number.replace(',', "").parse::<f64>().map_err(|_| wrong())?;
    let quantity = Quantity::of(number, given.trim())?;
    quantity.in_unit(&unit(name)?).map_err(|_| wrong())
}
