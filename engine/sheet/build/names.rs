//! What the names in formulas mean: cells of sheets, columns, and inputs from outside.

use std::sync::Arc;

use compact_str::format_compact;

use super::written::{lower, typed};
use super::{Builder, CellNames, id_of};

use crate::measure::{Quantity, number_unit};
use crate::problem::{Excerpt, Problem, closest};
use crate::sheet::book::{Node, NodeId, Origin};
use crate::sheet::check::Type;
use crate::sheet::columns::{by_row, looked_up};
use crate::sheet::evaluate::type_of;
use crate::sheet::formula::{Builtin, Callee, CellColumn, Formula, Name};
use crate::sheet::outside::{Given, Input};
use crate::sheet::rows::{Across, RowAxis};
use crate::sheet::table::Sheet;

/// Where a formula stands: its sheet, where it is a cell of one, and the wall or row that it is worked out for.
type Here = (Option<usize>, Option<usize>);

/// Most unknown names for which the one that was meant is looked up.
const MOST_LOOKED_UP: usize = 100;

impl Builder<'_> {
    /// Replaces every name by the node that it means.
    pub(super) fn look_up(&mut self) {
        // Lines with formulas come in as they are named.
        let mut next = 0;
        while next < self.nodes.len() {
            let at = next;
            next += 1;
            let Some(mut formula) = self.nodes[at].formula.take() else { continue };
            let typed_text =
                self.nodes[at].unit == "text" && !self.is_in_rows(at) && may_be_typed(&formula);
            let here = self.here(at);
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
        if let Formula::Call(Callee::Builtin(_), inputs) = &*formula {
            self.same_rows(inputs)?;
        }
        if let Some(simple) = looked_up(formula)? {
            *formula = simple;
        }
        Ok(())
    }

    /// Columns that go together row by row must be of the same rows: of one sheet, or of sheets with the same listing or
    /// one value for each wall.
    fn same_rows(&self, inputs: &[Formula]) -> Result<(), Problem> {
        let mut columns = Vec::new();
        for input in inputs {
            by_row(input, &mut |column| columns.push(*column), &mut |_| {});
        }
        let sheet_of = |column: &CellColumn| match self.nodes[column.first as usize].origin {
            Origin::Cell { sheet, .. } => Some(sheet as usize),
            _ => None,
        };
        for pair in columns.windows(2) {
            let [Some(a), Some(b)] = [&pair[0], &pair[1]].map(sheet_of) else { continue };
            let across = [a, b].map(|sheet| &self.sheets[sheet].across);
            let same = match across {
                [Across::Walls, Across::Walls] => true,
                [
                    Across::Rows(RowAxis { of: Some(a), .. }),
                    Across::Rows(RowAxis { of: Some(b), .. }),
                ] => a == b,
                _ => a == b,
            };
            if !same {
                let [one, other] = [&pair[0], &pair[1]].map(|column| {
                    let name = &self.nodes[column.id as usize].name;
                    name.strip_prefix("column ").unwrap_or(name).to_owned()
                });
                return Err(Problem::error(format!(
                    "{one} and {other} are columns of two sheets: their rows are not the same"
                ))
                .help("bring what belongs to a row into a column of its own sheet, such as value_for(crew, labour.crew, labour.rate)"));
            }
        }
        Ok(())
    }

    /// What a name means; further words are results of it or units.
    fn meaning(&mut self, name: &Name, here: Here) -> Option<Formula> {
        let (words, base) = self.base(name, here)?;
        Some(with_rest(base, &name.path[words..]))
    }

    /// What a name begins with, and how many words that takes: a cell of another sheet, of the same, or an input.
    pub(super) fn base(&mut self, name: &Name, (sheet, copy): Here) -> Option<(usize, Formula)> {
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
        let column = CellColumn { id: id_of(self.nodes.len()), first, count: id_of(count) };
        self.nodes.push(Node {
            name: format_compact!("column {name}"),
            what: name.into(),
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
                node.kind = type_of(&value);
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
                "cells of the same sheet by name, of another as sheet.cell, settings as prices.dig, lines as takeoff.footing.order; a text stands in quotes, or in a column of unit text",
            ),
        };
        problem.marked(mark)
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
