//! Where things stand in the workbook and what they are called: known once every sheet is laid out, before anything is written.

use std::collections::{BTreeMap, BTreeSet};

use super::cell::Live;
use crate::problem::cell_name;
use crate::sheet::{Book, CellColumn, CellRange, Cells, Node, NodeId, Origin, live};
use crate::takeoff::Takeoff;

/// A cell of a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PageSpot {
    pub(super) sheet: String,
    pub(super) row: u32,
    pub(super) column: u16,
}

impl PageSpot {
    /// As a formula of another sheet names it.
    fn reference(&self) -> String {
        format!("{}!{}", quoted(&self.sheet), cell_name(self.row as usize, self.column.into()))
    }

    /// As a defined name names it.
    fn absolute(&self) -> String {
        format!("={}!{}", quoted(&self.sheet), absolute(self.row, self.column))
    }
}

/// The parts of a line: their rows, and the columns of their walls and amounts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PartsSpot {
    pub(super) sheet: String,
    pub(super) rows: (u32, u32),
    pub(super) wall: Option<u16>,
    pub(super) part: u16,
}

/// What a row of a table is of.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Anchor {
    /// A line of the takeoff.
    Line(String),
    /// A part of one.
    Part(String),
    /// A cell of a calc sheet.
    Cell(NodeId),
    /// A setting.
    Setting(String),
    /// A fact of the job, or what of a line belongs to one wall.
    Fact(String),
}

/// A listing that stands on a sheet.
#[derive(Debug)]
pub(super) struct ListedTable {
    pub(super) set: String,
    pub(super) sheet: String,
    pub(super) first_row: u32,
    pub(super) columns: BTreeMap<String, u16>,
    /// Indices of the set's rows, in the order of the sheet.
    pub(super) rows: Vec<usize>,
}

/// All places.
#[derive(Debug, Default)]
pub(super) struct Places {
    pub(super) lines: BTreeMap<String, PageSpot>,
    pub(super) parts: BTreeMap<String, PartsSpot>,
    pub(super) cells: BTreeMap<NodeId, PageSpot>,
    pub(super) settings: BTreeMap<String, PageSpot>,
    pub(super) facts: BTreeMap<String, PageSpot>,
    pub(super) tables: Vec<ListedTable>,
    /// Defined names by what they stand for.
    names: BTreeMap<String, (String, PageSpot)>,
    /// Columns whose cells stand side by side.
    ranges: BTreeMap<NodeId, Stretch>,
}

/// Cells side by side on a sheet, from the first to the last.
#[derive(Debug)]
struct Stretch {
    first: PageSpot,
    last: (u32, u16),
}

impl Stretch {
    fn of<'a>(mut spots: impl Iterator<Item = Option<&'a PageSpot>>) -> Option<Self> {
        let first = spots.next()??.clone();
        let mut last = (first.row, first.column);
        for spot in spots {
            let spot = spot.filter(|spot| spot.sheet == first.sheet)?;
            let next = (spot.row, spot.column);
            let down = next == (last.0 + 1, first.column);
            let across = next == (first.row, last.1 + 1);
            if !down && !across {
                return None;
            }
            last = next;
        }
        Some(Self { first, last })
    }

    /// As a formula on a sheet names it.
    fn on(&self, sheet: &str) -> CellRange {
        let (first, last) = ((self.first.row, self.first.column), self.last);
        let cells = |first: (u32, u16), last: (u32, u16)| {
            let cells = format!("{}:{}", absolute(first.0, first.1), absolute(last.0, last.1));
            match self.first.sheet == sheet {
                true => cells,
                false => format!("{}!{cells}", quoted(&self.first.sheet)),
            }
        };
        let down = last.0 > first.0;
        let (row, column) = (u32::from(down), u16::from(!down));
        let but_last = || cells(first, (last.0 - row, last.1 - column));
        let but_first = || cells((first.0 + row, first.1 + column), last);
        let shifted = (first != last).then(|| (but_last(), but_first()));
        CellRange { text: cells(first, last), shifted, down }
    }
}

/// A larger book gives defined names only to the cells that other sheets rest on: spreadsheets are slow with many.
const MOST_NAMES: usize = 2000;
/// Longest that a defined name is made, without prefix and number; the published limit is 255.
const LONGEST_NAME: usize = 200;

impl Places {
    /// Notes where a row stands.
    pub(super) fn note(&mut self, anchor: &Anchor, spot: PageSpot, wall: Option<u16>) {
        match anchor {
            Anchor::Line(id) => {
                self.lines.insert(id.clone(), spot);
            }
            Anchor::Cell(id) => {
                self.cells.insert(*id, spot);
            }
            Anchor::Setting(path) => {
                self.settings.insert(path.clone(), spot);
            }
            Anchor::Fact(name) => {
                self.facts.insert(name.clone(), spot);
            }
            Anchor::Part(id) => {
                let PageSpot { sheet, row, column } = spot;
                let first = PartsSpot { sheet, rows: (row, row), wall, part: column };
                self.parts.entry(id.clone()).or_insert(first).rows.1 = row;
            }
        }
    }

    /// Gives everything that stands somewhere its name.
    pub(super) fn name_all(&mut self, book: &Book, takeoff: Option<&Takeoff>) {
        let mut namer = Namer::default();
        for (path, spot) in &self.settings {
            namer.name(format!("setting {path}"), "in", path, spot);
        }
        for (fact, spot) in &self.facts {
            namer.name(format!("fact {fact}"), "job", fact, spot);
        }
        for line in takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
            if let Some(spot) = self.lines.get(&line.id) {
                namer.name(format!("line {}", line.id), "line", &line.id, spot);
            }
        }
        for (id, _) in (0..).zip(book.nodes()).filter(|(_, node)| node.origin == Origin::Column) {
            let spots = book.cells_of(id).into_iter().flatten().map(|cell| self.cells.get(&cell));
            self.ranges.extend(Stretch::of(spots).map(|stretch| (id, stretch)));
        }
        let across = across_sheets(book);
        let few = book.nodes().len() <= MOST_NAMES;
        for (id, spot) in &self.cells {
            if few || across.contains(id) {
                namer.name(format!("cell {id}"), "cell", &book.node(*id).name, spot);
            }
        }
        self.names = namer.names;
    }

    fn named(&self, key: &str) -> Option<String> {
        self.names.get(key).map(|(name, _)| name.clone())
    }

    /// The name of a setting or fact.
    pub(super) fn name_of(&self, anchor: &Anchor) -> Option<String> {
        match anchor {
            Anchor::Setting(path) => self.named(&format!("setting {path}")),
            Anchor::Fact(name) => self.named(&format!("fact {name}")),
            _ => None,
        }
    }

    /// Every defined name and what it stands for.
    pub(super) fn names(&self) -> impl Iterator<Item = (&str, String)> {
        self.names.values().map(|(name, spot)| (name.as_str(), spot.absolute()))
    }

    /// The formula of a live cell on a sheet, without its equals sign; nothing where a spreadsheet cannot follow.
    pub(super) fn formula(&self, what: &Live, sheet: &str, book: &Book) -> Option<String> {
        let on = On { places: self, book, sheet };
        match what {
            Live::Node(id) => live(*id, book, &on),
            Live::ToNode(id) => self.cells.get(id).map(PageSpot::reference),
            Live::ToLine(id) => self.lines.get(id).map(PageSpot::reference),
            Live::Parts(id) => {
                let parts = self.parts.get(id)?;
                let cell = |row: u32| cell_name(row as usize, parts.part.into());
                Some(format!("SUM({}:{})", cell(parts.rows.0), cell(parts.rows.1)))
            }
            Live::PartsOfWall(id) => {
                let Origin::Line { id: line, wall: Some(wall) } = &book.node(*id).origin else {
                    return None;
                };
                let parts = self.parts.get(line)?;
                let range = |column: u16| {
                    let [first, last] =
                        [parts.rows.0, parts.rows.1].map(|row| absolute(row, column));
                    format!("{}!{first}:{last}", quoted(&parts.sheet))
                };
                let wall = wall.replace('"', "\"\"");
                // Not by SUMIF, to which a name such as *, or a1 beside A1, means several walls.
                let (walls, amounts) = (range(parts.wall?), range(parts.part));
                Some(format!("SUMPRODUCT(--EXACT({walls},\"{wall}\"),{amounts})"))
            }
        }
    }
}

#[derive(Default)]
struct Namer {
    used: BTreeSet<String>,
    names: BTreeMap<String, (String, PageSpot)>,
}

impl Namer {
    fn name(&mut self, key: String, prefix: &str, text: &str, spot: &PageSpot) {
        let letter = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' };
        let plain: String = text.chars().map(letter).take(LONGEST_NAME).collect();
        let mut free = format!("{prefix}_{plain}");
        let mut number = 2;
        while !self.used.insert(free.clone()) {
            free = format!("{prefix}_{plain}_{number}");
            number += 1;
        }
        self.names.insert(key, (free, spot.clone()));
    }
}

/// Name of a sheet as a formula writes it.
fn quoted(name: &str) -> String {
    format!("'{}'", name.replace('\'', "''"))
}

/// A cell as a formula writes it where it is not to move.
fn absolute(row: u32, column: u16) -> String {
    let name = cell_name(row as usize, usize::from(column));
    let digits = name.find(|c: char| c.is_ascii_digit()).unwrap_or(1);
    format!("${}${}", &name[..digits], &name[digits..])
}

/// Cells that formulas of another sheet rest on.
fn across_sheets(book: &Book) -> BTreeSet<NodeId> {
    let mut found = BTreeSet::new();
    for (id, node) in (0..).zip(book.nodes()).filter(|(_, node)| node.origin != Origin::Column) {
        for on in book.named_by(id) {
            // Columns have their ranges.
            if book.cells_of(on).is_none() && sheet_of(book.node(on)) != sheet_of(node) {
                found.insert(on);
            }
        }
    }
    found
}

/// The calc sheet that a node is a cell of.
pub(super) fn sheet_of(node: &Node) -> Option<u32> {
    match node.origin {
        Origin::Cell { sheet, .. } => Some(sheet),
        _ => None,
    }
}

/// Where nodes stand, for live formulas on one sheet.
struct On<'a> {
    places: &'a Places,
    book: &'a Book,
    sheet: &'a str,
}

impl On<'_> {
    /// The cell where it is on this sheet, else its name, or its place where it has none.
    fn here_or(&self, spot: Option<&PageSpot>, key: &str) -> Option<String> {
        match spot? {
            spot if spot.sheet == self.sheet => {
                Some(cell_name(spot.row as usize, spot.column.into()))
            }
            spot => self.places.named(key).or_else(|| Some(spot.reference())),
        }
    }
}

impl Cells for On<'_> {
    fn reference(&self, id: NodeId) -> Option<String> {
        let node = self.book.node(id);
        match &node.origin {
            Origin::Cell { .. } => self.here_or(self.places.cells.get(&id), &format!("cell {id}")),
            Origin::Line { id, wall: None } => {
                self.here_or(self.places.lines.get(id), &format!("line {id}"))
            }
            Origin::Setting(path) => self.places.named(&format!("setting {path}")),
            Origin::Column => None,
            Origin::Job(_) | Origin::Line { wall: Some(_), .. } => {
                self.places.named(&format!("fact {}", node.name))
            }
        }
    }

    fn range(&self, column: CellColumn) -> Option<CellRange> {
        self.places.ranges.get(&column.id).map(|stretch| stretch.on(self.sheet))
    }
}
