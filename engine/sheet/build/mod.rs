//! From sheets as written to a book: formulas lowered, names looked up, the order found, dimensions checked.

mod names;
mod repeats;
mod written;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use compact_str::{CompactString, format_compact};
use indexmap::IndexMap;

use self::repeats::{Repeat, is_alike_in_all_rows};
use self::written::declared;
pub(super) use self::written::lower;
use super::book::{Book, Node, NodeId, Origin};
use super::check::{Type, check};
use super::formula::{CellColumn, Formula, Name};
use super::order::{Links, order};
use super::outside::{Inputs, Language};
use super::rows::{Across, Entry, MOST_ROWS, RowAxis};
use super::table::{Sheet, SheetRow};
use crate::catalogue::Value;
use crate::measure::Dimension;
use crate::problem::{Faults, Place, Problem};

/// The cells of a sheet by name: the node, and whether it is the first of one for each wall or row.
#[derive(Default)]
struct CellNames<'a> {
    nodes: IndexMap<&'a str, (NodeId, bool)>,
    /// The walls or rows.
    copies: Vec<String>,
}

/// Cells by name, while a book is built.
struct Builder<'a> {
    sheets: &'a [Sheet],
    inputs: &'a dyn Inputs,
    language: &'a dyn Language,
    nodes: Vec<Node>,
    /// Of each sheet.
    cells: Vec<CellNames<'a>>,
    /// Columns of sheets that were asked for, by their first cells.
    of_cells: BTreeMap<NodeId, CellColumn>,
    /// Columns of listings that were asked for, a node a row.
    columns: BTreeMap<String, Option<(usize, Vec<Option<NodeId>>)>>,
    /// What is wrong with a sheet as a whole.
    of_sheets: Faults,
    /// Types by unit.
    units: IndexMap<String, Option<Type>>,
    /// Inputs that were asked for.
    asked: BTreeMap<String, (usize, NodeId)>,
    taken: BTreeMap<String, NodeId>,
    /// Cells of a loop, and the one that its fault is told at.
    looped: Vec<(NodeId, NodeId)>,
    given: Vec<(NodeId, Value)>,
    /// Cells of a column whose formula is that of an earlier one, so many rows further down.
    repeats: Vec<Repeat>,
    walls: Vec<String>,
    faults: Vec<(NodeId, Problem)>,
    /// Unknown names for which the one that was meant was looked up.
    unknown: std::cell::Cell<usize>,
}

/// Builds a book of sheets and works it out; with everything that is wrong in it.
pub fn build(sheets: &[Sheet], inputs: &dyn Inputs, language: &dyn Language) -> (Book, Faults) {
    let mut builder = Builder {
        sheets,
        inputs,
        language,
        nodes: Vec::new(),
        cells: Vec::new(),
        of_cells: BTreeMap::new(),
        columns: BTreeMap::new(),
        of_sheets: Faults::none(),
        units: IndexMap::new(),
        asked: BTreeMap::new(),
        taken: BTreeMap::new(),
        looped: Vec::new(),
        given: Vec::new(),
        repeats: Vec::new(),
        walls: inputs.walls(),
        faults: Vec::new(),
        unknown: std::cell::Cell::new(0),
    };
    builder.enter();
    builder.look_up();
    let links = Links::new(&builder.nodes);
    let (order, cyclic) = order(&links, id_of(builder.nodes.len()));
    builder.report_cycles(&cyclic);
    builder.check(&order);
    let mut book = Book::assemble(builder.nodes, order, &links);
    for (id, value) in builder.given {
        // An input has the type of its value.
        let _ = book.set(id, value);
    }
    for (id, problem) in builder.faults {
        let problem = book.placed(id, problem);
        book.faults.entry(id).or_insert(problem);
    }
    for (id, on) in builder.looped {
        book.wait(id, on);
    }
    book.recalculate(language);
    let mut faults = builder.of_sheets;
    // What is wrong with a cell of a sheet for each wall is told once.
    let mut told: BTreeSet<(String, String)> = BTreeSet::new();
    for (id, problem) in book.faults() {
        let name = format!("{}: ", book.node(id).name);
        let place = problem.place.as_ref().map(ToString::to_string).unwrap_or_default();
        let per_wall = matches!(book.node(id).origin, Origin::Cell { wall: Some(_), .. });
        if !per_wall || told.insert((place, problem.message.replacen(&name, "", 1))) {
            faults.push(problem.clone());
        }
    }
    (book, faults)
}

/// What is wrong with the formulas as written, before anything that they name is known.
pub fn faults_as_written(sheets: &[Sheet], language: &dyn Language) -> Faults {
    let mut faults = Faults::none();
    for sheet in sheets {
        for row in sheet.rows.iter().filter(|row| !row.name.is_empty() && !row.formula.is_empty()) {
            if let Err(mut problem) = lower(&row.formula, &row.unit, language) {
                problem.message = format!("{}.{}: {}", sheet.name, row.name, problem.message);
                faults.push(problem.at(row.place.clone()));
            }
        }
    }
    faults
}

/// Position as a node's.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a book has fewer than four thousand million nodes"
)]
pub(super) fn id_of(count: usize) -> NodeId {
    count as NodeId
}

impl Builder<'_> {
    /// Makes a node of every cell.
    fn enter(&mut self) {
        let sheets = self.sheets;
        for (sheet_at, sheet) in sheets.iter().enumerate() {
            let copies = match &sheet.across {
                Across::Once => Vec::new(),
                Across::Walls => self.walls.clone(),
                Across::Rows(axis) => self.rows_of(sheet, axis),
            };
            let mut names = CellNames { nodes: IndexMap::with_capacity(sheet.rows.len()), copies };
            for (row_at, row) in sheet.rows.iter().enumerate() {
                if row.name.is_empty() {
                    continue;
                }
                let copied = match sheet.across {
                    Across::Once => false,
                    Across::Walls => true,
                    Across::Rows(_) => row.column.is_some(),
                };
                let entries = match (&sheet.across, row.column) {
                    (Across::Rows(axis), Some(column)) => axis.entries.get(&column),
                    _ => None,
                };
                names.nodes.insert(row.name.as_str(), (id_of(self.nodes.len()), copied));
                let origin =
                    |wall| Origin::Cell { sheet: id_of(sheet_at), row: id_of(row_at), wall };
                let full = format!("{}.{}", sheet.name, row.name);
                let lowered = lower(&row.formula, &row.unit, self.language);
                let alike = matches!(sheet.across, Across::Rows(_))
                    && !row.formula.is_empty()
                    && lowered.as_ref().is_ok_and(|formula| is_alike_in_all_rows(formula, sheet));
                // The first cell that has the formula of the column, and its row.
                let mut first: Option<(NodeId, usize)> = None;
                let of_column = Arc::new(row.place.clone());
                if !copied {
                    let entry = (row.formula.as_str(), of_column);
                    self.cell(row, entry, full.into(), origin(None), lowered);
                    continue;
                }
                self.nodes.reserve(names.copies.len());
                for (at, copy) in names.copies.iter().enumerate() {
                    let name = format_compact!("{full}.{copy}");
                    let origin = origin(Some(id_of(at)));
                    let id = id_of(self.nodes.len());
                    match entries.and_then(|entries| entries.get(copy)) {
                        Some(Entry { formula, place }) => {
                            let lowered = lower(formula, &row.unit, self.language);
                            let entry = (formula.as_str(), Arc::new(place.clone()));
                            self.cell(row, entry, name, origin, lowered);
                        }
                        None => {
                            let place = place_of_row(sheet, at).filter(|_| row.formula.is_empty());
                            let entry = match place {
                                Some(place) => (row.formula.as_str(), Arc::new(place.clone())),
                                None => (row.formula.as_str(), of_column.clone()),
                            };
                            match first.filter(|_| alike) {
                                Some((of, above)) => {
                                    let rows = id_of(at - above);
                                    self.repeats.push(Repeat { id, of, rows });
                                    self.node(row, entry, name, origin, None);
                                }
                                None => {
                                    first = Some((id, at));
                                    self.cell(row, entry, name, origin, lowered.clone());
                                }
                            }
                        }
                    }
                }
            }
            self.cells.push(names);
        }
        for path in self.inputs.always() {
            self.base(&Name { path, at: 0 }, (None, None));
        }
    }

    /// Names of the rows of a sheet of rows: its own, or numbers of those of a listing.
    fn rows_of(&mut self, sheet: &Sheet, axis: &RowAxis) -> Vec<String> {
        let Some(of) = &axis.of else { return axis.keys.clone() };
        let place = || sheet.rows.first().map(|row| row.place.clone());
        let count = match self.inputs.rows(of) {
            Ok(count) if count <= MOST_ROWS => count,
            Ok(count) => {
                let message = format!("{of} has {count} rows, a sheet {MOST_ROWS} at most");
                self.of_sheets.push(at_place(Problem::error(message), place()));
                0
            }
            Err(problem) => {
                self.of_sheets.push(at_place(problem, place()));
                return Vec::new();
            }
        };
        let entries = axis.entries.values().flatten().map(|(key, entry)| (key, &entry.place));
        let expected = axis.expected.iter().map(|((key, _), expected)| (key, &expected.place));
        let named: BTreeMap<&String, &Place> = entries.chain(expected).collect();
        for (key, place) in named {
            if !key.parse::<usize>().is_ok_and(|row| (1..=count).contains(&row)) {
                let message = format!("{of} has {count} rows, and none is \"{key}\"");
                self.of_sheets.push(
                    Problem::error(message)
                        .at(place.clone())
                        .help("the first column names a row by its number"),
                );
            }
        }
        (1..=count).map(|row| row.to_string()).collect()
    }

    fn cell(
        &mut self,
        row: &SheetRow,
        (written, place): (&str, Arc<Place>),
        name: CompactString,
        origin: Origin,
        lowered: Result<Formula, Problem>,
    ) {
        // The name of a row of a listing is its number; an empty text is one.
        let (lowered, text) = match (row.column, written, row.unit.as_str()) {
            (Some(0), "", _) => {
                let number = name.rsplit('.').next().unwrap_or("").to_owned();
                (Ok(Formula::Text(number.clone())), number)
            }
            (Some(_), "", "text") => (Ok(Formula::Text(String::new())), String::new()),
            (Some(_), "", _) => {
                let problem = Problem::error("this row has no value, and its column no formula");
                (Err(problem.help("type one, or give the column a formula")), String::new())
            }
            _ => (lowered, written.to_owned()),
        };
        let formula = match lowered {
            Ok(formula) => Some(formula),
            Err(problem) => {
                self.faults.push((id_of(self.nodes.len()), problem));
                None
            }
        };
        self.node(row, (&text, place), name, origin, formula);
    }

    fn node(
        &mut self,
        row: &SheetRow,
        (text, place): (&str, Arc<Place>),
        name: CompactString,
        origin: Origin,
        formula: Option<Formula>,
    ) {
        self.nodes.push(Node {
            name,
            what: row.what.as_str().into(),
            unit: row.unit.as_str().into(),
            kind: Type::Unknown,
            origin,
            place: Some(place),
            formula,
            text: text.into(),
        });
    }

    /// The sheet of a name.
    fn sheet_named(&self, name: &str) -> Option<usize> {
        self.sheets.iter().position(|sheet| sheet.name == name)
    }

    /// The type of a unit.
    fn declared(&mut self, at: usize) -> Option<Type> {
        let unit = self.nodes[at].unit.as_str();
        if let Some(known) = self.units.get(unit) {
            return known.clone();
        }
        let kind = declared(unit);
        self.units.insert(unit.to_owned(), kind.clone());
        kind
    }

    /// Says which cells rest on each other.
    fn report_cycles(&mut self, cycles: &[Vec<NodeId>]) {
        for cycle in cycles {
            let names: Vec<&str> =
                cycle.iter().map(|id| self.nodes[*id as usize].name.as_str()).collect();
            let first = cycle[0];
            let message = match names[..] {
                [_] => "the cell rests on itself".to_owned(),
                _ => format!(
                    "these cells rest on each other: {} -> {}",
                    names.join(" -> "),
                    names[0]
                ),
            };
            self.faults.push((
                first,
                Problem::error(message)
                    .help("one of them must be a value, or rest on something else"),
            ));
            for id in cycle {
                self.nodes[*id as usize].formula = None;
                self.looped.push((*id, first));
            }
        }
    }

    /// Finds what every cell gives, in order, and holds it against its unit.
    fn check(&mut self, order: &[NodeId]) {
        for id in order {
            let at = *id as usize;
            let is_cell = matches!(self.nodes[at].origin, Origin::Cell { .. });
            if !is_cell && self.nodes[at].formula.is_none() {
                continue;
            }
            if let Some(cells @ Formula::Cells(..)) = &self.nodes[at].formula {
                self.nodes[at].kind = check(cells, &self.nodes).unwrap_or(Type::Unknown);
                continue;
            }
            let declared = self.declared(at);
            let node = &self.nodes[at];
            let Some(formula) = &node.formula else {
                self.nodes[at].kind = declared.unwrap_or(Type::Unknown);
                continue;
            };
            let kind = check(formula, &self.nodes).and_then(|kind| match (&declared, kind) {
                (None, kind @ (Type::List(_) | Type::Record(_))) => Err(Problem::error(format!(
                    "the formula gives {kind}"
                ))
                .help("a cell holds one value: take one with a dot, or sum, min or max of a list")),
                (None, Type::Number(dimension))
                    if dimension != Dimension::NUMBER
                        && dimension != Dimension::DATE
                        && self.language.usual_unit(dimension).is_empty() =>
                {
                    Err(Problem::error(format!("the formula gives {dimension}"))
                        .help("name the unit that it is to be shown in"))
                }
                (None, kind) => Ok(kind),
                (Some(declared), Type::Unknown) => Ok(declared.clone()),
                (Some(declared), kind) if *declared == kind => Ok(kind),
                (Some(_), kind) => {
                    let unit = &node.unit;
                    Err(Problem::error(format!(
                        "the formula gives {kind}, which cannot be shown in {unit}"
                    ))
                    .help(fitting_help(&kind, unit, self.language)))
                }
            });
            match kind {
                Ok(kind) => {
                    if node.unit.is_empty()
                        && let Type::Number(dimension) = &kind
                    {
                        self.nodes[at].unit = self.language.usual_unit(*dimension).into();
                    }
                    self.nodes[at].kind = kind;
                }
                Err(problem) => {
                    self.nodes[at].kind = declared.unwrap_or(Type::Unknown);
                    self.nodes[at].formula = None;
                    self.faults.push((*id, problem));
                }
            }
        }
        // What stands in a cycle has the type that its unit says.
        for node in &mut self.nodes {
            if node.formula.is_none()
                && node.kind == Type::Unknown
                && matches!(node.origin, Origin::Cell { .. } | Origin::Line { .. })
                && let Some(kind) = declared(&node.unit)
            {
                node.kind = kind;
            }
        }
        for (id, problem) in &mut self.faults {
            mark(problem, &self.nodes[*id as usize].text);
        }
    }
}

/// Where a typed row stands.
fn place_of_row(sheet: &Sheet, at: usize) -> Option<&Place> {
    let Across::Rows(axis) = &sheet.across else { return None };
    axis.places.get(at)
}

fn at_place(problem: Problem, place: Option<Place>) -> Problem {
    match place {
        Some(place) => problem.at(place),
        None => problem,
    }
}

fn fitting_help(kind: &Type, unit: &str, language: &dyn Language) -> String {
    match kind {
        Type::Number(Dimension::NUMBER) => {
            format!("give the numbers of the formula their units, or leave {unit} out")
        }
        Type::Number(dimension) => {
            let usual = language.usual_unit(*dimension);
            if usual.is_empty() {
                "leave the unit out, or multiply by what is missing".to_owned()
            } else {
                format!("{usual} would fit")
            }
        }
        _ => "leave the unit out".to_owned(),
    }
}

/// Fills in the formula that an excerpt points into.
fn mark(problem: &mut Problem, text: &str) {
    if let Some(excerpt) = &mut problem.excerpt
        && excerpt.line.is_empty()
    {
        excerpt.line = text.to_owned();
    }
}
