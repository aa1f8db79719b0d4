//! Rows of tables whose values follow each other: quantities, inputs, facts, calc sheets; and of tables that bring their own
//! columns.

use std::collections::{BTreeMap, BTreeSet};

use super::cell::{CellRole, Content, Held, Live, Mark, PageCell, shown_unit};
use super::free::FreeTable;
use super::page::LiveTable as Kind;
use super::places::{Anchor, sheet_of};
use super::write::Contents;
use crate::catalogue::Value;
use crate::footing::Part;
use crate::listing::Datum;
use crate::measure::{cell_text, titled};
use crate::sheet::{Across, Formula, Node, NodeId, Origin, RowAxis, cautions, derivation};
use crate::takeoff::{Derivation, Line, SettingValue};

/// How a row stands in its table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RowStanding {
    /// As the others.
    Plain,
    /// A heading over those that follow.
    Heading,
    /// An empty row before it.
    Apart,
}

/// A row of a table: its cells by field.
#[derive(Debug, Clone)]
pub(super) struct LaidRow {
    pub(super) standing: RowStanding,
    pub(super) cells: Vec<(String, PageCell)>,
    /// What it is of, each with the field that its value stands in.
    pub(super) anchors: Vec<(Anchor, String)>,
}

/// A table.
#[derive(Debug, Clone, Default)]
pub(super) struct LaidTable {
    /// Headings of the columns that it brings itself.
    pub(super) own: Vec<String>,
    pub(super) rows: Vec<LaidRow>,
    /// Columns that bars under it show, by field, and the rows that they are of.
    pub(super) bars: (Vec<String>, usize),
}

/// The columns of a live table, with what each holds.
pub(super) fn columns_of(kind: Kind) -> &'static [(&'static str, &'static str)] {
    match kind {
        Kind::Quantities => &[
            ("what", "the line, or a part of it"),
            ("wall", "wall of a part"),
            ("from", "local station of its start"),
            ("to", "local station of its end"),
            ("how", "how a part was found"),
            ("part", "how much a part is"),
            ("quantity", "how much the line is; live"),
            ("unit", "its unit"),
            ("caution", "caution"),
        ],
        Kind::Inputs => &[
            ("what", "what it is"),
            ("value", "its value, to be changed"),
            ("unit", "its unit"),
            ("path", "its key in job.toml"),
            ("name", "its name in formulas of the workbook"),
            ("laid_out_with", "the value that the steps were laid out with"),
            ("remark", "whether it was changed since; live"),
        ],
        Kind::Facts => &[
            ("what", "what it is"),
            ("value", "its value; live where it follows"),
            ("unit", "its unit"),
            ("path", "its name in formulas"),
            ("name", "its name in formulas of the workbook"),
        ],
        Kind::Cells => &[
            ("what", "what it is"),
            ("value", "its value; live"),
            ("unit", "its unit"),
            ("*", "the further columns of the sheet"),
            ("how", "the calculation, with the values at export"),
            ("kind", "input, formula or calculated"),
            ("caution", "caution"),
        ],
        Kind::Rows | Kind::Table => &[("*", "its columns")],
    }
}

/// The rows of a live table; of the calc sheet or free table that the page is made for.
pub(super) fn rows_of(kind: Kind, contents: &Contents, each: usize) -> LaidTable {
    match kind {
        Kind::Quantities => quantities(contents),
        Kind::Inputs => inputs(contents),
        Kind::Facts => facts(contents),
        Kind::Cells => cells(contents, each),
        Kind::Rows => rows(contents, each),
        Kind::Table => contents.tables.get(each).map_or_else(LaidTable::default, free),
    }
}

/// Field of the column with this number among those that a table brings itself.
pub(super) fn own_field(at: usize) -> String {
    format!("*{at}")
}

struct Fields(Vec<(String, PageCell)>);

impl Fields {
    fn text(&mut self, field: &str, text: &str, wrap: bool) {
        if !text.is_empty() {
            self.0.push((field.to_owned(), PageCell::text(text, CellRole::Text(wrap))));
        }
    }

    fn put(&mut self, field: &str, cell: PageCell) {
        self.0.push((field.to_owned(), cell));
    }

    fn row(self, standing: RowStanding, anchor: Option<(Anchor, &'static str)>) -> LaidRow {
        let anchors = anchor.map(|(anchor, field)| (anchor, field.to_owned()));
        LaidRow { standing, cells: self.0, anchors: anchors.into_iter().collect() }
    }
}

fn quantities(contents: &Contents) -> LaidTable {
    let mut rows = Vec::new();
    let mut group: Option<&str> = None;
    for line in contents.takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
        let apart = group.is_some_and(|group| group != line.group());
        group = Some(line.group());
        rows.push(line_row(contents, line, apart));
        rows.extend(line.parts.iter().map(|part| part_row(contents, line, part)));
    }
    LaidTable { rows, ..LaidTable::default() }
}

fn line_row(contents: &Contents, line: &Line, apart: bool) -> LaidRow {
    let mut fields = Fields(Vec::new());
    fields.put("what", PageCell::text(&line.label, CellRole::Text(true)).strong(true));
    fields.put("unit", PageCell::text(&line.unit, CellRole::Text(false)).strong(true));
    let live = match line.derivation {
        Derivation::Parts if !line.parts.is_empty() => Some(Live::Parts(line.id.clone())),
        Derivation::Parts | Derivation::Value => None,
        _ => contents.book.find(&line.name()).map(Live::Node),
    };
    let datum = Datum::Amount(line.quantity.clone(), line.unit.clone());
    if let Some(PageCell { content: Content::Held(held), .. }) =
        PageCell::datum(&datum, contents.system, None, false)
    {
        let dead = "calculated: does not follow a change of Inputs";
        let (cell, how) = match live {
            Some(live) => {
                let how = Content::UnlessLive(live.clone(), dead.to_owned());
                (PageCell::live(live, held), PageCell::with(how, CellRole::Text(true)))
            }
            None => (
                PageCell::held(held).marked(Mark::Computed),
                PageCell::text(dead, CellRole::Text(true)),
            ),
        };
        fields.put("quantity", cell.strong(true));
        fields.put("how", how.marked(Mark::Computed));
    }
    let caution = line.cautions.join("; ");
    if !caution.is_empty() {
        fields.text("caution", &format!("CAUTION: {caution}"), true);
    }
    let standing = if apart { RowStanding::Apart } else { RowStanding::Plain };
    fields.row(standing, Some((Anchor::Line(line.id.clone()), "quantity")))
}

fn part_row(contents: &Contents, line: &Line, part: &Part) -> LaidRow {
    let mut fields = Fields(Vec::new());
    fields.text("what", &format!("    {}", part.what), false);
    fields.text("wall", &part.wall, false);
    fields.text("how", &part.how, false);
    let values = [
        ("from", Datum::Length(part.from), None),
        ("to", Datum::Length(part.to), None),
        ("part", Datum::Amount(part.amount.clone(), line.unit.clone()), Some(3)),
    ];
    for (field, datum, places) in values {
        if let Some(cell) = PageCell::datum(&datum, contents.system, places, false) {
            fields.put(field, cell);
        }
    }
    fields.row(RowStanding::Plain, Some((Anchor::Part(line.id.clone()), "part")))
}

/// The node of everything that formulas name besides cells, by its name.
fn named(contents: &Contents, is: fn(&Origin) -> bool) -> BTreeMap<String, NodeId> {
    let nodes = (0..).zip(contents.book.nodes());
    nodes
        .filter(|(_, node)| is(&node.origin))
        .map(|(id, node)| (node.name.to_string(), id))
        .collect()
}

fn inputs(contents: &Contents) -> LaidTable {
    let Some(takeoff) = contents.takeoff else { return LaidTable::default() };
    let row = |(path, id): (String, NodeId)| {
        let stated = takeoff.job.settings.get(&path)?;
        let node = contents.book.node(id);
        let value = match &stated.value {
            SettingValue::Measure(exact) => Value::Measure(exact.quantity()),
            #[expect(clippy::cast_precision_loss, reason = "counts of a job")]
            SettingValue::Count(count) => Value::Number(*count as f64),
            SettingValue::Text(text) => Value::Text(text.clone()),
        };
        let held = Held::value(&value, &node.unit);
        let mut fields = Fields(Vec::new());
        fields.text("what", stated.about, true);
        let value = PageCell::held(held.clone()).marked(Mark::Typed);
        let note = match &stated.from {
            Some(place) => format!("Source: {place}"),
            None => "Source: what holds where the job does not say".to_owned(),
        };
        fields.put("value", PageCell { choices: stated.choices, note, ..value });
        fields.text("unit", shown_unit(&node.unit), false);
        fields.text("path", &path, false);
        let remark: fn([&str; 2]) -> String = match (&held, takeoff.asked.contains(&path)) {
            // A spreadsheet takes X and x for the same text.
            (Held::Text(_), false) => |[a, b]| remarked(&format!("EXACT({a},{b})"), STEPS),
            (Held::Text(_), true) => |[a, b]| remarked(&format!("EXACT({a},{b})"), MEASURED),
            (_, false) => |[a, b]| remarked(&format!("{a}={b}"), STEPS),
            (_, true) => |[a, b]| remarked(&format!("{a}={b}"), MEASURED),
        };
        fields.put("laid_out_with", PageCell::held(held).marked(Mark::Computed));
        let remark = Content::SameRow(["value", "laid_out_with"], remark, "as laid out".to_owned());
        fields.put("remark", PageCell::with(remark, CellRole::Text(true)));
        Some(fields.row(RowStanding::Plain, Some((Anchor::Setting(path), "value"))))
    };
    let settings = named(contents, |origin| matches!(origin, Origin::Setting(_)));
    LaidTable { rows: settings.into_iter().filter_map(row).collect(), ..LaidTable::default() }
}

/// What is said of a changed input.
const STEPS: &str = "changed since the steps were laid out";
/// The same where the wall case read it: what it measured does not follow.
const MEASURED: &str = "changed: measured lines do not follow it, run rodbook again";

fn remarked(same: &str, changed: &str) -> String {
    format!("IF({same},\"as laid out\",\"{changed}\")")
}

fn facts(contents: &Contents) -> LaidTable {
    let row = |(name, id): (String, NodeId)| {
        let node = contents.book.node(id);
        let mut fields = Fields(Vec::new());
        fields.text("what", &node.what, true);
        if let Some(value) = contents.book.value(id) {
            let held = Held::value(&value, &node.unit);
            let live = match (&node.origin, &node.formula) {
                (_, Some(_)) => Some(Live::Node(id)),
                (Origin::Line { .. }, None) => Some(Live::PartsOfWall(id)),
                _ => None,
            };
            fields.put(
                "value",
                match live {
                    Some(live) => PageCell::live(live, held),
                    None => PageCell::held(held).marked(Mark::Computed),
                },
            );
        }
        fields.text("unit", shown_unit(&node.unit), false);
        fields.text("path", &name, false);
        fields.row(RowStanding::Plain, Some((Anchor::Fact(name), "value")))
    };
    let facts = named(contents, |origin| {
        matches!(origin, Origin::Job(_) | Origin::Line { wall: Some(_), .. })
    });
    LaidTable { rows: facts.into_iter().map(row).collect(), ..LaidTable::default() }
}

/// The nodes of a calc sheet by wall or row and by row or column of the sheet.
fn nodes_of(contents: &Contents, at: usize) -> BTreeMap<(Option<u32>, u32), NodeId> {
    let here = u32::try_from(at).unwrap_or(u32::MAX);
    let mut nodes: BTreeMap<(Option<u32>, u32), NodeId> = BTreeMap::new();
    for (id, node) in (0..).zip(contents.book.nodes()) {
        if let Origin::Cell { sheet, row, wall } = node.origin
            && sheet == here
        {
            nodes.insert((wall, row), id);
        }
    }
    nodes
}

/// The unit of each column of a sheet of rows, empty where its rows are of several.
fn units_of_columns<'c>(
    contents: &'c Contents,
    nodes: &BTreeMap<(Option<u32>, u32), NodeId>,
) -> BTreeMap<u32, &'c str> {
    let mut units: BTreeMap<u32, &str> = BTreeMap::new();
    for ((_, column), id) in nodes.iter().filter(|((row, _), _)| row.is_some()) {
        let unit = shown_unit(&contents.book.node(*id).unit);
        let known = units.entry(*column).or_insert(unit);
        if *known != unit {
            *known = "";
        }
    }
    units
}

/// A sheet of rows: its columns side by side, the totals under them.
fn rows(contents: &Contents, at: usize) -> LaidTable {
    let sheet = contents.calc.get(at).filter(|sheet| matches!(sheet.across, Across::Rows(_)));
    let Some(sheet) = sheet else { return LaidTable::default() };
    let nodes = nodes_of(contents, at);
    let columns: Vec<usize> = sheet.rows.iter().filter_map(|row| row.column).collect();
    let field = |column: usize| {
        own_field(columns.iter().position(|known| *known == column).unwrap_or_default())
    };
    let units = units_of_columns(contents, &nodes);
    // In a column of several units each number has its own behind it, and so has a total in another than its column.
    let beside = |column: u32, id: NodeId, cell: PageCell| {
        let unit = shown_unit(&contents.book.node(id).unit);
        match units.get(&column) {
            Some(head) if *head == unit => cell,
            _ => cell.with_unit(unit),
        }
    };
    let mut laid: BTreeMap<u32, LaidRow> = BTreeMap::new();
    let mut under = Fields(Vec::new());
    let mut anchors = Vec::new();
    for ((row, at), id) in &nodes {
        let Some(written) = sheet.rows.get(*at as usize) else { continue };
        match (row, written.column) {
            (Some(row), Some(column)) => {
                let row = laid
                    .entry(*row)
                    .or_insert_with(|| Fields(Vec::new()).row(RowStanding::Plain, None));
                // The number of a row of a listing was typed by nobody.
                let numbered = matches!(&sheet.across, Across::Rows(RowAxis { of: Some(_), .. }));
                let cell = match column {
                    0 if numbered || sheet.by_script => {
                        Some(PageCell::text(contents.book.words(*id), CellRole::Text(false)))
                    }
                    _ if sheet.by_script => value_cell(contents, *id).map(PageCell::of_a_script),
                    _ => value_cell(contents, *id),
                };
                row.cells.extend(cell.map(|cell| (field(column), beside(*at, *id, cell))));
                row.anchors.push((Anchor::Cell(*id), field(column)));
            }
            _ => {
                // A total stands under the column that it is called after.
                let of = (0_u32..).zip(&sheet.rows).find(|(_, known)| written.is_total_of(known));
                let Some((at, column)) = of.and_then(|(at, of)| Some((at, of.column?))) else {
                    continue;
                };
                if let Some(cell) = value_cell(contents, *id) {
                    under.put(&field(column), beside(at, *id, cell).strong(true));
                    anchors.push((Anchor::Cell(*id), field(column)));
                }
            }
        }
    }
    let mut rows: Vec<LaidRow> = laid.into_values().collect();
    let bars = (sheet.bars.iter().map(|column| own_field(*column)).collect(), rows.len());
    if !anchors.is_empty() {
        under.put(&own_field(0), PageCell::text("Total", CellRole::Text(false)).strong(true));
        rows.push(LaidRow { anchors, ..under.row(RowStanding::Plain, None) });
    }
    let head = |(at, row): (u32, &crate::sheet::SheetRow)| {
        let title = titled(row.what.split('[').next().unwrap_or("").trim());
        match units.get(&at).copied().unwrap_or_default() {
            "" => title,
            unit => format!("{title}\n{unit}"),
        }
    };
    let own = (0..).zip(&sheet.rows).filter(|(_, row)| row.column.is_some()).map(head);
    LaidTable { own: own.collect(), rows, bars }
}

fn cells(contents: &Contents, at: usize) -> LaidTable {
    let sheet = contents.calc.get(at).filter(|sheet| !matches!(sheet.across, Across::Rows(_)));
    let Some(sheet) = sheet else { return LaidTable::default() };
    let nodes = nodes_of(contents, at);
    let walls: BTreeSet<Option<u32>> = nodes.keys().map(|(wall, _)| *wall).collect();
    let mut rows: Vec<LaidRow> = Vec::new();
    for wall in walls {
        if let Some(wall) = wall {
            let id = contents.takeoff.and_then(|takeoff| {
                takeoff.layout.site.chain.walls().get(wall as usize).map(|line| line.id.clone())
            });
            let text = format!("Wall {}", id.unwrap_or_default());
            let standing = if rows.is_empty() { RowStanding::Heading } else { RowStanding::Apart };
            let mut fields = Fields(Vec::new());
            fields.put("what", PageCell::text(text, CellRole::Heading));
            rows.push(fields.row(standing, None));
        }
        for (row, written) in (0..).zip(&sheet.rows) {
            let mut fields = Fields(Vec::new());
            for (other, text) in written.others.iter().enumerate() {
                fields.text(&own_field(other), text, true);
            }
            if written.name.is_empty() {
                fields.put("what", PageCell::text(&written.what, CellRole::Heading));
                rows.push(fields.row(RowStanding::Heading, None));
            } else if let Some(id) = nodes.get(&(wall, row)) {
                cell(&mut fields, contents, *id);
                rows.push(fields.row(RowStanding::Plain, Some((Anchor::Cell(*id), "value"))));
            }
        }
    }
    let own = sheet.others.iter().map(|title| titled(title)).collect();
    LaidTable { own, rows, ..LaidTable::default() }
}

/// What stands before the value that an input of a calc sheet was written with.
pub const WRITTEN_AS: &str = "written as ";

/// Longest derivation that is written out, in letters.
const LONGEST: usize = 2_000;

fn cell(fields: &mut Fields, contents: &Contents, id: NodeId) {
    let book = contents.book;
    let node = book.node(id);
    let formula = node.formula.as_ref();
    let is_typed = formula.is_none_or(Formula::is_typed);
    let how = formula.filter(|_| !is_typed).map(|tree| derivation(tree, book));
    // What no other cell of the sheet rests on is a result.
    let beside = |user: &Node| sheet_of(user) == sheet_of(node);
    let result = !is_typed && !book.users(id).iter().any(|user| beside(book.node(*user)));
    fields.put("what", PageCell::text(node.what.as_str(), CellRole::Text(true)).strong(result));
    fields.text("unit", shown_unit(&node.unit), false);
    // What it is written with tells a change of it from one of the job.
    let how = how.or_else(|| {
        let quantity = book.quantity(id).filter(|_| formula.is_some())?;
        Some(format!("{WRITTEN_AS}{}", cell_text(quantity, &node.unit)))
    });
    let how: String = how.unwrap_or_default().chars().take(LONGEST).collect();
    fields.text("how", &how, true);
    fields.text("caution", &formula.map(cautions).unwrap_or_default().join("; "), true);
    let Some(value) = value_cell(contents, id) else { return };
    fields.put("kind", PageCell::with(Content::KindOf(id), CellRole::Text(false)));
    fields.put("value", if is_typed { value } else { value.strong(result) });
}

/// The value of a node, typed or live.
fn value_cell(contents: &Contents, id: NodeId) -> Option<PageCell> {
    let node = contents.book.node(id);
    let held = Held::value(&contents.book.value(id)?, &node.unit);
    Some(match node.formula.as_ref().is_none_or(Formula::is_typed) {
        true => PageCell::held(held).marked(Mark::Typed),
        false => PageCell::live(Live::Node(id), held),
    })
}

/// A table that a script or question made, and its notes.
fn free(table: &FreeTable) -> LaidTable {
    let mut rows = Vec::new();
    for cells in &table.rows {
        let mut fields = Fields(Vec::new());
        for (at, cell) in cells.iter().enumerate() {
            if let Some(cell) = cell {
                fields.put(&own_field(at), cell.clone());
            }
        }
        rows.push(fields.row(RowStanding::Plain, None));
    }
    for note in &table.notes {
        let mut fields = Fields(Vec::new());
        fields.put(&own_field(0), PageCell::text(note, CellRole::Note));
        rows.push(fields.row(RowStanding::Plain, None));
    }
    let bars = (table.bars.iter().map(|column| own_field(*column)).collect(), table.rows.len());
    LaidTable { own: table.heads.clone(), rows, bars }
}
