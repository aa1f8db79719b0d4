//! From sheets as written to a book: formulas lowered, names looked up, the order found, dimensions checked.

use std::collections::BTreeMap;
use std::sync::Arc;

use compact_str::{CompactString, format_compact};
use indexmap::IndexMap;

use super::book::{Book, Node, NodeId, Origin};
use super::check::{Type, check};
use super::columns::looked_up;
use super::evaluate::value_of;
use super::formula::{Builtin, Callee, Column, Formula, Name};
use super::order::{Links, order};
use super::outside::{Given, Input, Inputs, Language};
use super::rows::{Across, Entry, MOST_ROWS, RowAxis};
use super::table::{Sheet, SheetRow};
use crate::catalogue::Value;
use crate::measure::{Dimension, Quantity, date_text, known_unit, number_unit, read_date};
use crate::problem::{Excerpt, Faults, Place, Problem, closest};

/// Where a formula stands: its sheet, where it is a cell of one, and the wall or row that it is worked out for.
type Here = (Option<usize>, Option<usize>);

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
    of_cells: BTreeMap<NodeId, Column>,
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

/// A cell whose formula is that of an earlier one of its column, so many rows further down.
struct Repeat {
    id: NodeId,
    of: NodeId,
    rows: NodeId,
}

/// Most unknown names for which the one that was meant is looked up.
const MOST_LOOKED_UP: usize = 100;

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
    let mut told: Vec<(Option<Place>, String)> = Vec::new();
    for (id, problem) in book.faults() {
        let name = format!("{}: ", book.node(id).name);
        let key = (problem.place.clone(), problem.message.replacen(&name, "", 1));
        let per_wall = matches!(book.node(id).origin, Origin::Cell { wall: Some(_), .. });
        if per_wall && told.contains(&key) {
            continue;
        }
        faults.push(problem.clone());
        if per_wall {
            told.push(key);
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

impl<'a> Builder<'a> {
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
                                Some((of, row)) => {
                                    let rows = id_of(at - row);
                                    self.repeats.push(Repeat { id, of, rows });
                                }
                                None => first = Some((id, at)),
                            }
                            let lowered = match first {
                                Some((of, _)) if of != id => Ok(Formula::Flag(false)),
                                _ => lowered.clone(),
                            };
                            self.cell(row, entry, name, origin, lowered);
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

    /// Replaces every name by the node that it means.
    fn look_up(&mut self) {
        // Lines with formulas come in as they are named.
        let mut next = 0;
        while next < self.nodes.len() {
            let at = next;
            next += 1;
            let Some(mut formula) = self.nodes[at].formula.take() else { continue };
            let typed_text =
                self.nodes[at].unit == "text" && !self.is_in_rows(at) && may_be_typed(&formula);
            let here = self.here(at);
            if matches!(formula, Formula::Flag(false)) && self.is_repeat(id_of(at)) {
                continue;
            }
            match self.resolve(&mut formula, here) {
                Ok(()) if sums_nothing(&formula) => {
                    self.nodes[at].formula = Some(nothing(&self.nodes[at].unit, formula));
                }
                Ok(()) => self.nodes[at].formula = Some(formula),
                // A text may be typed without quotes.
                Err(_) if typed_text => {
                    let text = self.nodes[at].text.to_string();
                    self.nodes[at].formula = Some(Formula::Text(text));
                }
                Err(problem) => self.faults.push((id_of(at), problem)),
            }
        }
        self.repeat();
    }

    /// Whether a cell takes its formula from an earlier one.
    fn is_repeat(&self, id: NodeId) -> bool {
        self.repeats.binary_search_by_key(&id, |repeat| repeat.id).is_ok()
    }

    /// Gives cells the formula of an earlier row of their column; what that rests on in its row, they rest on in theirs.
    fn repeat(&mut self) {
        for Repeat { id, of, rows } in std::mem::take(&mut self.repeats) {
            let Origin::Cell { sheet, wall: Some(row), .. } = self.nodes[of as usize].origin else {
                continue;
            };
            let in_row = |on: NodeId| {
                matches!(self.nodes[on as usize].origin,
                    Origin::Cell { sheet: its, wall: Some(its_row), .. } if its == sheet && its_row == row)
            };
            let formula = self.nodes[of as usize].formula.as_ref();
            let formula = formula
                .map(|formula| formula.with_nodes(&|on| if in_row(on) { on + rows } else { on }));
            if formula.is_none() {
                self.looped.push((id, of));
            }
            self.nodes[id as usize].formula = formula;
        }
    }

    /// Whether a node is a cell of a sheet of rows, where texts are told from formulas when they are read.
    fn is_in_rows(&self, at: usize) -> bool {
        let Origin::Cell { sheet, .. } = self.nodes[at].origin else { return false };
        matches!(self.sheets[sheet as usize].across, Across::Rows(_))
    }

    /// Where the formula of a node stands.
    fn here(&self, at: usize) -> Here {
        match &self.nodes[at].origin {
            Origin::Cell { sheet, wall, .. } => {
                (Some(*sheet as usize), wall.map(|wall| wall as usize))
            }
            Origin::Line { wall: Some(wall), .. } => {
                (None, self.walls.iter().position(|known| known == wall))
            }
            _ => (None, None),
        }
    }

    fn resolve(&mut self, formula: &mut Formula, here: Here) -> Result<(), Problem> {
        match formula {
            Formula::Name(name) => {
                let name = name.clone();
                *formula = match self.meaning(&name, here) {
                    Some(meaning) => meaning,
                    None => return Err(self.unknown(&name, here.0)),
                };
            }
            Formula::Call(_, items) | Formula::List(items) => {
                for item in items {
                    self.resolve(item, here)?;
                }
            }
            Formula::Negative(a)
            | Formula::Not(a)
            | Formula::Power(a, _)
            | Formula::Unit(a, ..)
            | Formula::Field(a, _) => self.resolve(a, here)?,
            Formula::Binary(_, a, b) => {
                self.resolve(a, here)?;
                self.resolve(b, here)?;
            }
            Formula::Choice(a, b, c) => {
                for part in [a, b, c] {
                    self.resolve(part, here)?;
                }
            }
            Formula::Opaque(opaque) => {
                for name in &opaque.names {
                    if let Some((words, base)) = self.base(name, here) {
                        let path = name.path[..words].to_vec();
                        opaque.nodes.push((Name { path, at: name.at }, base));
                    }
                }
            }
            Formula::Number(_)
            | Formula::Measure(..)
            | Formula::Text(_)
            | Formula::Flag(_)
            | Formula::Column(_)
            | Formula::Cells(..)
            | Formula::Node(_) => return Ok(()),
        }
        if let Some(simple) = looked_up(formula)? {
            *formula = simple;
        }
        Ok(())
    }

    /// What a name means; further words are results of it or units.
    fn meaning(&mut self, name: &Name, here: Here) -> Option<Formula> {
        let (words, base) = self.base(name, here)?;
        Some(with_rest(base, &name.path[words..]))
    }

    /// What a name begins with, and how many words that takes: a cell of another sheet, of the same, or an input.
    fn base(&mut self, name: &Name, (sheet, copy): Here) -> Option<(usize, Formula)> {
        let path = &name.path;
        let first = path.first()?;
        let per_wall = |at: usize| self.sheets[at].across == Across::Walls;
        if let Some(second) = path.get(1)
            && let Some(other) = self.sheet_named(first)
            && let Some((id, copied)) = self.cells[other].nodes.get(second.as_str()).copied()
        {
            if !copied {
                return Some((2, Formula::Node(id)));
            }
            let copies = &self.cells[other].copies;
            let named = path.get(2).and_then(|word| copies.iter().position(|id| id == word));
            if let Some(named) = named {
                return Some((3, Formula::Node(id + id_of(named))));
            }
            if let Some(copy) = copy.filter(|_| Some(other) == sheet && per_wall(other)) {
                return Some((2, Formula::Node(id + id_of(copy))));
            }
            let count = copies.len();
            return Some((2, self.all_of(&format!("{first}.{second}"), id, count)));
        }
        if let Some(sheet) = sheet
            && let Some((id, copied)) = self.cells[sheet].nodes.get(first.as_str()).copied()
        {
            return Some((
                1,
                match copy {
                    Some(copy) if copied => Formula::Node(id + id_of(copy)),
                    None if copied => {
                        let name = format!("{}.{first}", self.sheets[sheet].name);
                        self.all_of(&name, id, self.cells[sheet].copies.len())
                    }
                    _ => Formula::Node(id),
                },
            ));
        }
        // The row of the listing that the sheet goes through.
        if let (Some(sheet), Some(copy), "row", Some(column)) =
            (sheet, copy, first.as_str(), path.get(1))
            && let Across::Rows(RowAxis { of: Some(of), .. }) = &self.sheets[sheet].across
        {
            let id = self.column(&[of.clone(), column.clone()])?.1.get(copy).copied().flatten()?;
            return Some((2, Formula::Node(id)));
        }
        let wall = copy.filter(|_| sheet.is_none_or(per_wall));
        let key = format!("{}|{}", name.text(), wall.map_or("", |wall| &self.walls[wall]));
        if let Some((words, id)) = self.asked.get(&key) {
            return Some((*words, Formula::Node(*id)));
        }
        let wall = wall.map(|wall| self.walls[wall].as_str());
        let Some((words, input)) = self.inputs.input(path, wall) else {
            let (words, nodes) = self.column(path)?;
            let nodes = nodes.iter().flatten().copied().map(Formula::Node);
            return Some((*words, Formula::List(nodes.collect())));
        };
        let id = self.taken_once(input);
        self.asked.insert(key, (words, id));
        Some((words, Formula::Node(id)))
    }

    /// A cell of every wall or row.
    fn all_of(&mut self, name: &str, first: NodeId, count: usize) -> Formula {
        if count == 0 {
            return Formula::List(Vec::new());
        }
        if let Some(known) = self.of_cells.get(&first) {
            return Formula::Column(*known);
        }
        let column = Column { id: id_of(self.nodes.len()), first, count: id_of(count) };
        self.nodes.push(Node {
            name: format_compact!("column {name}"),
            what: Default::default(),
            unit: Default::default(),
            kind: Type::Unknown,
            origin: Origin::Column,
            place: None,
            formula: Some(Formula::Cells(first, column.count)),
            text: Default::default(),
        });
        self.of_cells.insert(first, column);
        Formula::Column(column)
    }

    /// The column of a listing that a path begins with, a node a row; none where a row has nothing.
    fn column(&mut self, path: &[String]) -> Option<&(usize, Vec<Option<NodeId>>)> {
        let key = path[..path.len().min(2)].join(".");
        if !self.columns.contains_key(&key) {
            let inputs = self.inputs.list(path);
            let column = inputs.map(|(words, inputs)| {
                let nodes = inputs.into_iter().map(|one| one.map(|input| self.taken_once(input)));
                (words, nodes.collect())
            });
            self.columns.insert(key.clone(), column);
        }
        self.columns.get(&key)?.as_ref()
    }

    /// The node of an input, made when it is first asked for.
    fn taken_once(&mut self, input: Input) -> NodeId {
        match self.taken.get(&input.name) {
            Some(id) => *id,
            None => self.take(input),
        }
    }

    fn take(&mut self, input: Input) -> NodeId {
        let id = id_of(self.nodes.len());
        self.taken.insert(input.name.clone(), id);
        let mut node = Node {
            name: input.name.into(),
            what: input.what.into(),
            unit: input.unit.into(),
            kind: Type::Unknown,
            origin: input.origin,
            place: None,
            formula: None,
            text: Default::default(),
        };
        match input.given {
            Given::Value(value) => {
                node.kind = super::evaluate::type_of(&value);
                self.given.push((id, value));
            }
            Given::Formula(text, place) => {
                match lower(&text, &node.unit, self.language) {
                    Ok(formula) => node.formula = Some(formula),
                    Err(problem) => self.faults.push((id, problem)),
                }
                node.text = text.into();
                node.place = place.map(Arc::new);
            }
        }
        self.nodes.push(node);
        id
    }

    fn unknown(&self, name: &Name, sheet: Option<usize>) -> Problem {
        let text = name.text();
        let mark = Excerpt { line: String::new(), start: name.at, length: text.chars().count() };
        if let [row, column, ..] = &name.path[..]
            && row == "row"
            && let Some(Across::Rows(RowAxis { of: Some(of), .. })) =
                sheet.map(|sheet| &self.sheets[sheet].across)
        {
            let path = [of.clone(), column.clone()];
            let missing = self.inputs.missing(&path);
            let none = || Problem::error(format!("this row of {of} has no {column}"));
            let known = self.columns.get(&path.join(".")).is_some_and(Option::is_some);
            return missing.filter(|_| !known).unwrap_or_else(none).marked(mark);
        }
        if let Some(problem) = self.inputs.missing(&name.path) {
            return problem.marked(mark);
        }
        let problem = Problem::error(format!("nothing is called \"{text}\" here"));
        let cells = self.sheets.iter().zip(&self.cells);
        let full = |(sheet, cells): (&Sheet, &CellNames)| {
            cells.nodes.keys().map(|cell| format!("{}.{cell}", sheet.name)).collect::<Vec<_>>()
        };
        // To look every name up among all of them takes long, and nobody reads that far.
        let near = (self.unknown.get() < MOST_LOOKED_UP).then(|| {
            self.unknown.set(self.unknown.get() + 1);
            let mut known: Vec<String> = cells.flat_map(full).collect();
            let own = sheet.iter().flat_map(|sheet| self.cells[*sheet].nodes.keys());
            known.extend(own.map(|cell| (*cell).to_owned()));
            known.extend(self.inputs.names());
            known.sort();
            closest(&text, known.iter().map(String::as_str)).map(str::to_owned)
        });
        let problem = match near.flatten() {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help(
                "cells of the same sheet by name, of another as sheet.cell, settings as prices.dig, lines as takeoff.footing.order",
            ),
        };
        problem.marked(mark)
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

/// Whether a formula means the same in every row of a sheet but for the cells of the row itself: it names cells of the
/// sheet by their columns alone, and nothing of the row of a listing.
fn is_alike_in_all_rows(formula: &Formula, sheet: &Sheet) -> bool {
    match formula {
        Formula::Opaque(_) => false,
        Formula::Name(Name { path, .. }) => match &path[..] {
            [] | [_] => true,
            [first, ..] => {
                first != "row"
                    && *first != sheet.name
                    && !sheet.rows.iter().any(|row| row.name == *first)
            }
        },
        other => other.parts().into_iter().all(|part| is_alike_in_all_rows(part, sheet)),
    }
}

/// Whether a formula is the sum of a column without rows.
fn sums_nothing(formula: &Formula) -> bool {
    let Formula::Call(Callee::Builtin(Builtin::Sum), inputs) = formula else { return false };
    matches!(&inputs[..], [Formula::List(items)] if items.is_empty())
}

/// Nothing, in the unit of a cell; the formula itself where it has none.
fn nothing(unit: &str, formula: Formula) -> Formula {
    match Quantity::of(0.0, number_unit(unit)) {
        Ok(nothing) if !unit.is_empty() && !nothing.dimension().point => {
            typed(nothing, &format!("0 {}", number_unit(unit)))
        }
        _ => formula,
    }
}

/// Whether a text may be a text that is typed without quotes, and no formula with a slip.
fn may_be_typed(formula: &Formula) -> bool {
    match formula {
        Formula::Call(..) | Formula::Choice(..) | Formula::Text(_) => false,
        formula => formula.parts().into_iter().all(may_be_typed),
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

/// The type that a unit stands for; nothing for none.
fn declared(name: &str) -> Option<Type> {
    match name {
        "" => None,
        "text" => Some(Type::Text),
        "date" => Some(Type::Number(Dimension::DATE)),
        "yes/no" => Some(Type::Flag),
        name => known_unit(number_unit(name)).map(|unit| Type::Number(unit.dimension())),
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

/// A value with the further words of its name: a unit for a plain number, else a result by name.
fn with_rest(mut formula: Formula, rest: &[String]) -> Formula {
    for word in rest {
        let name = if word == "inch" { "in" } else { word };
        formula = match Quantity::of(1.0, name) {
            Ok(one) if !one.dimension().point => {
                Formula::Unit(Box::new(formula), one, name.to_owned())
            }
            _ => Formula::Field(Box::new(formula), word.clone()),
        };
    }
    formula
}

/// The tree of a formula as written: an expression, or a value as typed in the unit of its cell.
pub(super) fn lower(
    text: &str,
    unit_name: &str,
    language: &dyn Language,
) -> Result<Formula, Problem> {
    if unit_name == "yes/no" {
        match text.to_lowercase().as_str() {
            "yes" | "true" => return Ok(Formula::Flag(true)),
            "no" | "false" => return Ok(Formula::Flag(false)),
            _ => {}
        }
    }
    // A date cell of a spreadsheet is a number of days.
    if unit_name == "date"
        && let Ok(days) = text.parse::<f64>()
        && (10_000.0..200_000.0).contains(&days)
    {
        let date = Quantity::new((days - 25_569.0) * 86_400.0, Dimension::DATE);
        return Ok(Formula::Measure(date, date_text(date).unwrap_or_default()));
    }
    let digits = text.chars().all(|c| c.is_ascii_digit() || c == '-');
    if unit_name == "date" && digits {
        return read_date(text).map(|date| Formula::Measure(date, text.to_owned()));
    }
    let lowered = match plainly(text).map_or_else(|| language.lower(text), Ok) {
        Ok(formula) => formula,
        Err(problem) => {
            return match language.measure(text) {
                Some(measure) => Ok(typed(measure, text)),
                None if unit_name == "text" => Ok(Formula::Text(text.to_owned())),
                None => Err(problem),
            };
        }
    };
    // A plain number is one of the row's unit.
    let number = match &lowered {
        Formula::Number(number) => Some(*number),
        Formula::Negative(a) => match **a {
            Formula::Number(number) => Some(-number),
            _ => None,
        },
        _ => None,
    };
    let unit = number_unit(unit_name);
    let scaled = number.is_none()
        && unit_factor(unit).is_some_and(|factor| factor != 1.0)
        && only_numbers(&lowered);
    if scaled {
        return Err(Problem::error(format!("plain numbers in a formula of unit {unit}"))
            .help("write one number, which is in that unit, or give the numbers of the formula their units, such as 5.percent"));
    }
    match number.filter(|_| !unit.is_empty()).and_then(|number| Quantity::of(number, unit).ok()) {
        Some(measure) => Ok(typed(measure, &format!("{text} {unit}"))),
        None => Ok(lowered),
    }
}

/// A plain number or a text in quotes, which nobody needs to read twice.
fn plainly(text: &str) -> Option<Formula> {
    if let Some(inner) = text.strip_prefix('"').and_then(|text| text.strip_suffix('"')) {
        return (!inner.contains(['"', '\\'])).then(|| Formula::Text(inner.to_owned()));
    }
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
    let plain = digits(whole) && digits(part) && text.len() <= 15;
    plain.then(|| text.parse().ok().map(Formula::Number)).flatten()
}

fn typed(measure: Quantity, text: &str) -> Formula {
    match value_of(measure) {
        Value::Number(number) => Formula::Number(number),
        _ => Formula::Measure(measure, text.to_owned()),
    }
}

/// What one of a unit without dimension is, such as a percent.
fn unit_factor(name: &str) -> Option<f64> {
    known_unit(name).filter(|unit| unit.dimension() == Dimension::NUMBER).map(|unit| unit.factor())
}

/// Whether a formula rests on plain numbers alone.
fn only_numbers(formula: &Formula) -> bool {
    match formula {
        Formula::Number(_) => true,
        Formula::Negative(_)
        | Formula::Power(..)
        | Formula::Binary(..)
        | Formula::List(_)
        | Formula::Call(Callee::Builtin(_) | Callee::Script(_), _) => {
            formula.parts().into_iter().all(only_numbers)
        }
        _ => false,
    }
}
