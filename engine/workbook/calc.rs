//! Calc sheets in the workbook: inputs as cells with defined names, every cell a live formula where a spreadsheet can
//! follow it, the trace beside it, and the sources that all of it rests on.

use std::collections::{BTreeMap, BTreeSet};

use rust_xlsxwriter::{Format, FormatBorder, Formula, Workbook, Worksheet, XlsxError};

use super::look;
use super::write::{Contents, Places, free_name, set_up};
use crate::catalogue::Value;
use crate::measure::{Dimension, Quantity, date_days, shortest, unit};
use crate::problem::cell_name;
use crate::sheet::{
    Book, Cells, Formula as Tree, Node, NodeId, Origin, cautions, derivation, live,
};
use crate::source;
use crate::takeoff::{Derivation, Setting, Takeoff};

/// Sheets and names of the calculation, laid out before anything is written.
#[derive(Debug, Default)]
pub(super) struct Plan {
    /// Name of the sheet of inputs.
    inputs: String,
    /// Rows of the sheet of inputs: setting path and row.
    settings: BTreeMap<String, u32>,
    /// Other inputs by name.
    facts: BTreeMap<String, u32>,
    /// Names of the calc sheets.
    pub(super) sheets: Vec<String>,
    /// Row of every cell on its sheet.
    rows: BTreeMap<NodeId, u32>,
    /// Defined names by what they stand for.
    names: BTreeMap<String, String>,
}

/// A larger book gives defined names only to the cells that other sheets rest on: spreadsheets are slow with many.
const MOST_NAMES: usize = 2000;
/// First row of the table of a sheet.
const FIRST: u32 = 4;
/// Column of the values.
const VALUE: u16 = 1;

impl Plan {
    /// Lays out what there is.
    pub(super) fn new(contents: &Contents, taken: &mut Vec<String>) -> Self {
        let mut plan = Self::default();
        let book = contents.book;
        let mut wanted: BTreeSet<String> = contents.takeoff.map(of_lines).unwrap_or_default();
        let mut facts = BTreeSet::new();
        for node in book.nodes() {
            match &node.origin {
                Origin::Setting(path) => {
                    wanted.insert(path.clone());
                }
                Origin::Job(name) => {
                    facts.insert(name.clone());
                }
                Origin::Line(_) | Origin::Cell { .. } => {}
            }
        }
        if !wanted.is_empty() || !facts.is_empty() {
            plan.inputs = free_name("Inputs", taken);
        }
        let mut used = BTreeSet::new();
        let mut name = |key: String, prefix: &str, text: &str| {
            let plain: String = text
                .chars()
                .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' })
                .collect();
            let mut free = format!("{prefix}_{plain}");
            let mut number = 2;
            while !used.insert(free.clone()) {
                free = format!("{prefix}_{plain}_{number}");
                number += 1;
            }
            (key, free)
        };
        let mut row = FIRST;
        for path in wanted {
            plan.names.extend([name(format!("setting {path}"), "in", &path)]);
            plan.settings.insert(path, row);
            row += 1;
        }
        row += 2;
        for fact in facts {
            plan.names.extend([name(format!("fact {fact}"), "job", &fact)]);
            plan.facts.insert(fact, row);
            row += 1;
        }
        for line in contents.takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
            plan.names.extend([name(format!("line {}", line.id), "line", &line.id)]);
        }
        for sheet in contents.calc {
            plan.sheets.push(free_name(&sheet.title, taken));
        }
        plan.place_cells(contents);
        let across = across_sheets(book);
        let few = book.nodes().len() <= MOST_NAMES;
        for (id, node) in (0..).zip(book.nodes()) {
            if matches!(node.origin, Origin::Cell { .. }) && (few || across.contains(&id)) {
                plan.names.extend([name(format!("cell {id}"), "cell", &node.name)]);
            }
        }
        plan
    }

    /// Gives every cell its row: the rows of a sheet in order, for each wall again.
    fn place_cells(&mut self, contents: &Contents) {
        for (at, sheet) in contents.calc.iter().enumerate() {
            let height = u32::try_from(sheet.rows.len()).unwrap_or(u32::MAX) + 2;
            for (id, node) in (0..).zip(contents.book.nodes()) {
                if let Origin::Cell { sheet, row, wall } = node.origin
                    && sheet as usize == at
                {
                    let block = wall.map_or(0, |wall| wall * height + 1);
                    self.rows.insert(id, FIRST + block + row);
                }
            }
        }
    }

    fn named(&self, key: &str) -> Option<&str> {
        self.names.get(key).map(String::as_str)
    }

    /// The defined name of a setting, where it stands among the inputs.
    pub(super) fn setting(&self, path: &str) -> Option<&str> {
        self.named(&format!("setting {path}"))
    }
}

/// Cells that formulas of another sheet rest on.
fn across_sheets(book: &Book) -> BTreeSet<NodeId> {
    let mut found = BTreeSet::new();
    let mut on = Vec::new();
    for node in book.nodes() {
        on.clear();
        if let Some(formula) = &node.formula {
            formula.nodes(&mut on);
        }
        found.extend(on.iter().filter(|id| sheet_of(book.node(**id)) != sheet_of(node)));
    }
    found
}

/// Settings that the lines of a takeoff follow.
fn of_lines(takeoff: &Takeoff) -> BTreeSet<String> {
    let mut paths = BTreeSet::new();
    for line in &takeoff.lines {
        match &line.derivation {
            Derivation::Increased { share, .. } => paths.extend(share.from.clone()),
            Derivation::Ordered { waste, step_from, .. } => {
                paths.extend(waste.from.clone());
                paths.extend(step_from.clone());
            }
            _ => {}
        }
    }
    paths
}

/// Where nodes stand, for live formulas on one sheet.
struct On<'a> {
    plan: &'a Plan,
    book: &'a Book,
    sheet: u32,
}

impl Cells for On<'_> {
    fn reference(&self, id: NodeId) -> Option<String> {
        match &self.book.node(id).origin {
            Origin::Cell { sheet, .. } if *sheet == self.sheet => {
                let row = *self.plan.rows.get(&id)?;
                Some(cell_name(row as usize, usize::from(VALUE)))
            }
            Origin::Cell { .. } => self.plan.named(&format!("cell {id}")).map(str::to_owned),
            Origin::Setting(path) => self.plan.setting(path).map(str::to_owned),
            Origin::Job(name) => self.plan.named(&format!("fact {name}")).map(str::to_owned),
            // A share of a line that belongs to one wall has no cell of its own.
            Origin::Line(id_of_line) if !self.book.node(id).name.starts_with("wall.") => {
                self.plan.named(&format!("line {id_of_line}")).map(str::to_owned)
            }
            Origin::Line(_) => None,
        }
    }
}

/// A value as a spreadsheet holds it, and its format.
enum Held {
    Number(f64, String),
    Text(String),
    Flag(bool),
}

/// The number of a quantity in the unit of its cell, as the workbook shows it.
fn held(value: &Value, name: &str) -> Held {
    let quantity = match value {
        Value::Measure(quantity) => *quantity,
        Value::Number(number) => Quantity::number(*number),
        Value::Flag(flag) => return Held::Flag(*flag),
        Value::Text(text) => return Held::Text(text.clone()),
        other => return Held::Text(other.words()),
    };
    let dimension = quantity.dimension();
    if dimension == Dimension::DATE {
        return Held::Number(date_days(quantity) + 25_569.0, "yyyy-mm-dd".to_owned());
    }
    let shown = if name == "ft-in" { "ft" } else { name };
    let number = match shown {
        "percent" => quantity.base(),
        shown => unit(shown).and_then(|unit| quantity.in_unit(&unit)).unwrap_or(quantity.base()),
    };
    let pattern = match (name, dimension) {
        ("percent", _) => "0.0%",
        (_, Dimension::MONEY) => "#,##0.00",
        (_, Dimension::NUMBER) => "General",
        (_, dimension) if dimension.money != 0 => "#,##0.00##",
        _ => "#,##0.00##",
    };
    Held::Number(number, pattern.to_owned())
}

/// Draws inputs, calc sheets and sources into the workbook.
pub(super) fn draw(
    book: &mut Workbook,
    contents: &Contents,
    places: &Places,
    taken: &mut Vec<String>,
) -> Result<(), XlsxError> {
    let plan = &places.plan;
    let quoted = |name: &str| format!("'{}'", name.replace('\'', "''"));
    let absolute = |row: u32, column: u16| {
        let name = cell_name(row as usize, usize::from(column));
        let digits = name.find(|c: char| c.is_ascii_digit()).unwrap_or(1);
        format!("${}${}", &name[..digits], &name[digits..])
    };
    for (at, name) in plan.sheets.iter().enumerate() {
        let sheet = calc_sheet(contents, plan, at, name)?;
        book.push_worksheet(sheet);
    }
    if let Some(takeoff) = contents.takeoff.filter(|_| !plan.inputs.is_empty()) {
        book.push_worksheet(inputs(contents, plan, takeoff)?);
    }
    if let Some(sheet) = sources(contents, taken)? {
        book.push_worksheet(sheet);
    }
    let on_inputs = quoted(&plan.inputs);
    for (path, row) in &plan.settings {
        if let Some(name) = plan.setting(path) {
            book.define_name(name, &format!("={on_inputs}!{}", absolute(*row, VALUE)))?;
        }
    }
    for (fact, row) in &plan.facts {
        if let Some(name) = plan.named(&format!("fact {fact}")) {
            book.define_name(name, &format!("={on_inputs}!{}", absolute(*row, VALUE)))?;
        }
    }
    for (id, (sheet, row, column)) in &places.lines {
        if let Some(name) = plan.named(&format!("line {id}")) {
            book.define_name(name, &format!("={}!{}", quoted(sheet), absolute(*row, *column)))?;
        }
    }
    for (id, row) in &plan.rows {
        let Origin::Cell { sheet, .. } = contents.book.node(*id).origin else { continue };
        if let Some(name) = plan.named(&format!("cell {id}")) {
            let on = quoted(&plan.sheets[sheet as usize]);
            book.define_name(name, &format!("={on}!{}", absolute(*row, VALUE)))?;
        }
    }
    Ok(())
}

/// Writes a value that is no formula.
fn put(
    sheet: &mut Worksheet,
    row: u32,
    held: &Held,
    style: impl Fn(Format) -> Format,
) -> Result<(), XlsxError> {
    match held {
        Held::Number(number, pattern) => {
            sheet.write_with_format(row, VALUE, *number, &style(look::number(pattern)))?;
        }
        Held::Text(text) => {
            let text: String = text.chars().take(32_000).collect();
            sheet.write_with_format(row, VALUE, text, &style(look::text(true)))?;
        }
        Held::Flag(flag) => {
            sheet.write_with_format(row, VALUE, *flag, &style(look::number("General")))?;
        }
    }
    Ok(())
}

/// The frame around what a person may change.
fn typed(format: Format) -> Format {
    format.set_border(FormatBorder::Thin)
}

/// How a figure that does not follow a change is marked.
fn computed(format: Format) -> Format {
    format.set_italic()
}

fn heads(
    sheet: &mut Worksheet,
    row: u32,
    titles: &[&str],
    numbers: &[usize],
) -> Result<(), XlsxError> {
    for (at, title) in titles.iter().enumerate() {
        let column = u16::try_from(at).unwrap_or(0);
        sheet.write_with_format(row, column, *title, &look::column_head(numbers.contains(&at)))?;
    }
    Ok(())
}

/// The sheet of inputs.
fn inputs(contents: &Contents, plan: &Plan, takeoff: &Takeoff) -> Result<Worksheet, XlsxError> {
    let mut sheet = Worksheet::new();
    sheet.set_name(&plan.inputs)?;
    let widths = [46.0, 14.0, 10.0, 34.0, 34.0, 16.0, 40.0];
    for (at, width) in (0..).zip(widths) {
        sheet.set_column_width(at, width)?;
    }
    sheet.write_with_format(0, 0, format!("Inputs: {}", contents.job), &look::title())?;
    sheet.write_with_format(
        1,
        0,
        "Change a framed value and the quantities to order and the prices follow. The steps do not: they were laid out with the values in column F.",
        &look::note(),
    )?;
    let titles = [
        "What",
        "Value",
        "Unit",
        "Key in job.toml",
        "Name in formulas",
        "Laid out with\n(computed)",
        "Remark",
    ];
    heads(&mut sheet, FIRST - 1, &titles, &[1, 5])?;
    let mut last = FIRST;
    for (path, row) in &plan.settings {
        let Some(setting) = takeoff.job.settings.get(path) else { continue };
        let node = contents
            .book
            .nodes()
            .iter()
            .find(|node| matches!(&node.origin, Origin::Setting(known) if known == path));
        let (what, unit) = contents.about(path);
        let unit = node.map_or(unit, |node| node.unit.clone());
        let value = match setting {
            Setting::Measure(exact) => Value::Measure(exact.quantity()),
            #[expect(clippy::cast_precision_loss, reason = "counts of a job")]
            Setting::Count(count) => Value::Number(*count as f64),
            Setting::Text(text) => Value::Text(text.clone()),
        };
        let held = held(&value, &unit);
        sheet.write_with_format(*row, 0, &what, &look::text(true))?;
        put(&mut sheet, *row, &held, typed)?;
        sheet.write_with_format(*row, 2, shown_unit(&unit), &look::text(false))?;
        sheet.write_with_format(*row, 3, path, &look::text(false))?;
        sheet.write_with_format(*row, 4, plan.setting(path).unwrap_or(""), &look::text(false))?;
        if let Held::Number(number, pattern) = &held {
            sheet.write_with_format(*row, 5, *number, &computed(look::number(pattern)))?;
            let cells = [VALUE, 5].map(|column| cell_name(*row as usize, usize::from(column)));
            let text = format!(
                "=IF({}={},\"as laid out\",\"changed since the steps were laid out\")",
                cells[0], cells[1]
            );
            sheet.write_formula_with_format(
                *row,
                6,
                Formula::new(text).set_result("as laid out"),
                &look::text(true),
            )?;
        }
        fit(&mut sheet, *row, &[(&what, widths[0])])?;
        last = last.max(*row);
    }
    if !plan.facts.is_empty() {
        let first = plan.facts.values().min().copied().unwrap_or(last);
        sheet.write_with_format(
            first - 1,
            0,
            "From the job and its layout (computed)",
            &look::heading(),
        )?;
    }
    for (fact, row) in &plan.facts {
        let node = (0..)
            .zip(contents.book.nodes())
            .find(|(_, node)| matches!(&node.origin, Origin::Job(known) if known == fact));
        let Some((id, node)) = node else { continue };
        sheet.write_with_format(*row, 0, &node.what, &look::text(true))?;
        if let Some(value) = contents.book.value(id) {
            put(&mut sheet, *row, &held(&value, &node.unit), computed)?;
        }
        sheet.write_with_format(*row, 2, shown_unit(&node.unit), &look::text(false))?;
        sheet.write_with_format(*row, 3, fact, &look::text(false))?;
        let name = plan.named(&format!("fact {fact}")).unwrap_or("");
        sheet.write_with_format(*row, 4, name, &look::text(false))?;
        last = last.max(*row);
    }
    set_up(&mut sheet, contents, true, last, 6, Some((0, FIRST - 1)))?;
    Ok(sheet)
}

fn shown_unit(unit: &str) -> &str {
    match unit {
        "percent" | "yes/no" | "text" => "",
        "ft-in" => "ft",
        "date" => "date",
        unit => unit,
    }
}

fn fit(sheet: &mut Worksheet, row: u32, texts: &[(&str, f64)]) -> Result<(), XlsxError> {
    let lines = texts.iter().map(|(text, width)| look::lines(text, *width)).max().unwrap_or(1);
    if lines > 1 {
        sheet.set_row_height(row, look::LINE * f64::from(lines))?;
    }
    Ok(())
}

/// One calc sheet.
fn calc_sheet(
    contents: &Contents,
    plan: &Plan,
    at: usize,
    name: &str,
) -> Result<Worksheet, XlsxError> {
    let written = &contents.calc[at];
    let mut sheet = Worksheet::new();
    sheet.set_name(name)?;
    let columns = Columns::new(contents, at);
    let widths = columns.widths();
    for (column, width) in (0..).zip(&widths) {
        sheet.set_column_width(column, *width)?;
    }
    sheet.write_with_format(
        0,
        0,
        format!("{}: {}", written.title, contents.job),
        &look::title(),
    )?;
    sheet.write_with_format(
        1,
        0,
        "Framed values are typed; italic ones are computed by rodbook and do not follow a change; all others are live formulas.",
        &look::note(),
    )?;
    let titles = columns.titles(&written.others);
    let titles: Vec<&str> = titles.iter().map(String::as_str).collect();
    heads(&mut sheet, FIRST - 1, &titles, &[1])?;
    sheet.set_freeze_panes(FIRST, 0)?;
    let here = u32::try_from(at).unwrap_or(u32::MAX);
    let mut last = FIRST;
    let mut blocks = BTreeMap::new();
    for (id, node) in (0..).zip(contents.book.nodes()) {
        let Origin::Cell { sheet: of, row: of_row, wall } = node.origin else { continue };
        if of != here {
            continue;
        }
        let Some(row) = plan.rows.get(&id).copied() else { continue };
        let others = &written.rows[of_row as usize].others;
        for (column, text) in (3..).zip(others) {
            sheet.write_with_format(row, column, text, &look::text(true))?;
        }
        draw_cell(&mut sheet, contents, plan, id, row, &columns, others)?;
        blocks.insert(wall, row - of_row);
        last = last.max(row);
    }
    for (wall, first) in &blocks {
        if let Some(wall) = wall {
            let id = contents.takeoff.and_then(|takeoff| {
                takeoff.layout.site.chain.walls().get(*wall as usize).map(|line| line.id.clone())
            });
            let text = format!("Wall {}", id.unwrap_or_default());
            sheet.write_with_format(first - 1, 0, text, &look::heading())?;
        }
        for (offset, row) in (0..).zip(&written.rows) {
            if row.name.is_empty() {
                sheet.set_row_height(first + offset, 20)?;
                sheet.write_with_format(first + offset, 0, &row.what, &look::heading())?;
                for (column, text) in (3..).zip(&row.others) {
                    sheet.write_with_format(first + offset, column, text, &look::text(true))?;
                }
                let texts: Vec<(&str, f64)> =
                    row.others.iter().map(|text| (text.as_str(), OTHER)).collect();
                fit(&mut sheet, first + offset, &texts)?;
            }
        }
    }
    let last_column = u16::try_from(widths.len().saturating_sub(1)).unwrap_or(0);
    set_up(&mut sheet, contents, true, last, last_column, Some((0, FIRST - 1)))?;
    Ok(sheet)
}

/// Width of a column that rides along.
const OTHER: f64 = 30.0;

/// Where the columns of a calc sheet stand: what rides along beside the unit, cautions only where there are some.
struct Columns {
    others: u16,
    cautions: bool,
}

impl Columns {
    fn new(contents: &Contents, at: usize) -> Self {
        let here = u32::try_from(at).unwrap_or(u32::MAX);
        let cautions = contents.book.nodes().iter().any(|node| {
            sheet_of(node) == here
                && node.formula.as_ref().is_some_and(|formula| !cautions(formula).is_empty())
        });
        let others = contents.calc.get(at).map_or(0, |sheet| sheet.others.len());
        Self { others: u16::try_from(others).unwrap_or(0), cautions }
    }

    fn how(&self) -> u16 {
        3 + self.others
    }

    fn kind(&self) -> u16 {
        4 + self.others
    }

    fn caution(&self) -> u16 {
        5 + self.others
    }

    fn widths(&self) -> Vec<f64> {
        let mut widths = vec![42.0, 15.0, 9.0];
        widths.extend((0..self.others).map(|_| OTHER));
        widths.extend([62.0, 11.0]);
        widths.extend(self.cautions.then_some(38.0));
        widths
    }

    fn titles(&self, others: &[String]) -> Vec<String> {
        let mut titles = ["What", "Value", "Unit"].map(str::to_owned).to_vec();
        titles.extend(others.iter().map(|title| {
            let mut letters = title.chars();
            let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
            first + letters.as_str()
        }));
        titles.extend(["How it follows", "Kind"].map(str::to_owned));
        titles.extend(self.cautions.then(|| "Caution".to_owned()));
        titles
    }
}

fn draw_cell(
    sheet: &mut Worksheet,
    contents: &Contents,
    plan: &Plan,
    id: NodeId,
    row: u32,
    columns: &Columns,
    others: &[String],
) -> Result<(), XlsxError> {
    let widths = columns.widths();
    let book = contents.book;
    let node = book.node(id);
    let formula = node.formula.as_ref();
    let how = formula.filter(|tree| !tree.is_typed()).map(|tree| derivation(tree, book));
    let how = how.unwrap_or_default();
    let caution = formula.map(cautions).unwrap_or_default().join("; ");
    // What no other cell of the sheet rests on is a result.
    let result = formula.is_some_and(|tree| !tree.is_typed())
        && !book.users(id).iter().any(|user| sheet_of(book.node(*user)) == sheet_of(node));
    let strong = |format: Format| if result { format.set_bold() } else { format };
    sheet.write_with_format(row, 0, &node.what, &strong(look::text(true)))?;
    sheet.write_with_format(row, 2, shown_unit(&node.unit), &look::text(false))?;
    let how_text = how.chars().take(2_000).collect::<String>();
    sheet.write_with_format(row, columns.how(), how_text, &look::text(true))?;
    if !caution.is_empty() {
        sheet.write_with_format(row, columns.caution(), &caution, &look::text(true))?;
    }
    let mut texts: Vec<(&str, f64)> = vec![(&node.what, widths[0]), (&how, 62.0), (&caution, 38.0)];
    texts.extend(others.iter().map(|text| (text.as_str(), OTHER)));
    fit(sheet, row, &texts)?;
    let Some(value) = book.value(id) else { return Ok(()) };
    let held = held(&value, &node.unit);
    let on = On { plan, book, sheet: sheet_of(node) };
    let is_typed = formula.is_none_or(Tree::is_typed);
    let text = if is_typed { None } else { live(id, book, &on) };
    let kind = match (&text, is_typed) {
        (_, true) => "typed",
        (Some(_), _) => "formula",
        (None, _) => "computed",
    };
    sheet.write_with_format(row, columns.kind(), kind, &look::text(false))?;
    match (text, &held) {
        (None, _) if is_typed => put(sheet, row, &held, typed)?,
        (None, _) => put(sheet, row, &held, computed)?,
        (Some(text), held) => {
            let formula = Formula::new(format!("={text}"));
            let (result, format) = match held {
                Held::Number(number, pattern) => (shortest(*number), strong(look::number(pattern))),
                Held::Text(text) => (text.clone(), look::text(true)),
                Held::Flag(flag) => (flag.to_string().to_uppercase(), look::number("General")),
            };
            sheet.write_formula_with_format(row, VALUE, formula.set_result(result), &format)?;
        }
    }
    Ok(())
}

fn sheet_of(node: &Node) -> u32 {
    match node.origin {
        Origin::Cell { sheet, .. } => sheet,
        _ => u32::MAX,
    }
}

/// The list of sources of the lines and cells.
fn sources(contents: &Contents, taken: &mut Vec<String>) -> Result<Option<Worksheet>, XlsxError> {
    let mut used: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for line in contents.takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
        for key in &line.trail.sources {
            used.entry(*key).or_default().insert(line.label.clone());
        }
    }
    for node in contents.book.nodes() {
        let mut functions = Vec::new();
        if let Some(formula) = &node.formula {
            formula.functions(&mut functions);
        }
        for function in functions {
            used.entry(function.source)
                .or_default()
                .insert(format!("{} ({})", node.name, function.name));
        }
    }
    if used.is_empty() {
        return Ok(None);
    }
    let mut sheet = Worksheet::new();
    sheet.set_name(free_name("Sources", taken))?;
    for (at, width) in (0..).zip([24.0, 74.0, 26.0, 54.0]) {
        sheet.set_column_width(at, width)?;
    }
    sheet.write_with_format(0, 0, format!("Sources: {}", contents.job), &look::title())?;
    heads(&mut sheet, FIRST - 1, &["Key", "Source", "How it was read", "Used for"], &[])?;
    let mut row = FIRST;
    for (key, uses) in used {
        let Some(source) = source::find(key) else { continue };
        let uses: Vec<String> = uses.into_iter().collect();
        let uses = uses.join("; ");
        sheet.write_with_format(row, 0, key, &look::text(false))?;
        sheet.write_with_format(row, 1, source.title, &look::text(true))?;
        sheet.write_with_format(row, 2, source.standing.to_string(), &look::text(true))?;
        sheet.write_with_format(row, 3, &uses, &look::text(true))?;
        fit(&mut sheet, row, &[(source.title, 74.0), (&uses, 54.0)])?;
        row += 1;
    }
    set_up(&mut sheet, contents, true, row - 1, 3, Some((0, FIRST - 1)))?;
    Ok(Some(sheet))
}
