//! The book: every cell and input as a node, who rests on whom, and recalculation of what a change reaches.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};
use std::ops::Range;
use std::sync::Arc;

use compact_str::CompactString;

use super::check::Type;
use super::evaluate::{Stop, evaluate, type_of, value_of};
use super::formula::{CellColumn, Formula};
use super::order::Links;
use super::outside::Language;
use super::over_rows::OverRows;
use super::program::{Compiler, Op, run};
use super::texts::TextNumbers;
use crate::catalogue::Value;
use crate::measure::{Dimension, Quantity};
use crate::problem::{Place, Problem};

/// Position of a node.
pub type NodeId = u32;

/// Where the value of a node comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// A cell: its sheet and row, and the wall that it is worked out for.
    Cell {
        /// Position of the sheet.
        sheet: u32,
        /// Position of the row.
        row: u32,
        /// The wall of a sheet that is worked out for each.
        wall: Option<u32>,
    },
    /// A setting of the job.
    Setting(String),
    /// A line of the takeoff, whole or what of it belongs to one wall.
    Line {
        /// Its id.
        id: String,
        /// The wall.
        wall: Option<String>,
    },
    /// Something else of the job: what it is.
    Job(String),
    /// The cells of a column, as one.
    Column,
}

/// One node.
#[derive(Debug, Clone)]
pub struct Node {
    /// Its full name.
    pub name: CompactString,
    /// What it is, in words.
    pub what: CompactString,
    /// Unit that it is shown in; empty for a plain number, a text or yes and no.
    pub unit: CompactString,
    /// What it gives.
    pub kind: Type,
    /// Where it comes from.
    pub origin: Origin,
    /// Where it is written.
    pub place: Option<Arc<Place>>,
    /// Its formula; none for an input.
    pub formula: Option<Formula>,
    /// The formula as written.
    pub text: CompactString,
}

/// How a node stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum State<'a> {
    /// It has a value.
    Fine,
    /// Something is wrong with it.
    Faulty(&'a Problem),
    /// It rests on a node that has no value.
    Waiting(NodeId),
}

/// Nodes with their values.
#[derive(Debug, Clone, Default)]
pub struct Book {
    pub(super) nodes: Vec<Node>,
    /// Numbers in base units; not a number where there is none.
    values: Vec<f64>,
    /// Values that are no single number.
    others: BTreeMap<NodeId, Value>,
    pub(super) faults: BTreeMap<NodeId, Problem>,
    waiting: BTreeMap<NodeId, NodeId>,
    steps: Vec<Op>,
    spans: Vec<(u32, u32)>,
    texts: TextNumbers,
    over_rows: OverRows,
    /// Which folds a node takes.
    folds: BTreeMap<NodeId, Vec<u32>>,
    /// Nodes in an order in which each comes after those that it rests on.
    order: Vec<NodeId>,
    rank: Vec<u32>,
    /// Who rests on a node: `users[starts[id]..starts[id + 1]]`.
    starts: Vec<u32>,
    users: Vec<NodeId>,
    seen: Vec<u32>,
    turn: u32,
}

impl Book {
    /// Takes nodes, in an order of evaluation, and compiles those that are numbers.
    pub(super) fn assemble(nodes: Vec<Node>, order: Vec<NodeId>, links: &Links) -> Self {
        let count = nodes.len();
        let mut book = Self {
            values: vec![f64::NAN; count],
            spans: vec![(0, 0); count],
            rank: vec![u32::MAX; count],
            seen: vec![0; count],
            ..Self::default()
        };
        // Programs lie in the order in which they are run.
        let mut program = Vec::new();
        for (rank, id) in (0..).zip(&order) {
            book.rank[*id as usize] = rank;
            let node = &nodes[*id as usize];
            if let Some(Formula::Cells(first, count)) = node.formula {
                book.over_rows.keep(CellColumn { id: *id, first, count });
            }
            if let Some(value) = node.formula.as_ref().and_then(constant) {
                book.values[*id as usize] = value;
                continue;
            }
            let worked_out = node.formula.as_ref().filter(|formula| match node.kind {
                Type::Text => !matches!(formula, Formula::Text(_)),
                _ => node.kind.is_numeric(),
            });
            let Some(formula) = worked_out else { continue };
            program.clear();
            let (texts, over_rows) = (&mut book.texts, &mut book.over_rows);
            if (Compiler { nodes: &nodes, texts, over_rows }).compile(formula, &mut program) {
                let start = index(book.steps.len());
                book.steps.extend_from_slice(&program);
                book.spans[*id as usize] = (start, index(book.steps.len()));
                let folds = book.over_rows.folds_of(&program);
                if !folds.is_empty() {
                    book.folds.insert(*id, folds);
                }
            }
        }
        book.nodes = nodes;
        book.order = order;
        book.connect(links);
        book
    }

    /// Notes who rests on whom.
    fn connect(&mut self, links: &Links) {
        let count = index(self.nodes.len());
        let mut starts = vec![0_u32; count as usize + 1];
        for id in 0..count {
            for on in links.of(id) {
                starts[*on as usize + 1] += 1;
            }
        }
        for at in 0..count as usize {
            starts[at + 1] += starts[at];
        }
        let mut next = starts.clone();
        let mut users = vec![0; links.count()];
        for id in 0..count {
            for on in links.of(id) {
                let at = &mut next[*on as usize];
                users[*at as usize] = id;
                *at += 1;
            }
        }
        self.starts = starts;
        self.users = users;
    }

    /// The same book with every formula evaluated by its tree: it checks the fast steps, and is slow.
    #[must_use]
    pub fn only_trees(mut self) -> Self {
        self.spans.fill((0, 0));
        self
    }

    /// Every node.
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// One node.
    pub fn node(&self, id: NodeId) -> &Node {
        &self.nodes[id as usize]
    }

    /// A node by its full name.
    pub fn find(&self, name: &str) -> Option<NodeId> {
        (0..).zip(&self.nodes).find(|(_, node)| node.name == name).map(|(id, _)| id)
    }

    /// Who rests on a node, on its own or on a column that it is in.
    pub fn users(&self, id: NodeId) -> Vec<NodeId> {
        let of = |id: NodeId| {
            let [start, end] = [id as usize, id as usize + 1].map(|at| self.starts[at] as usize);
            self.users[start..end].iter().copied()
        };
        let is_column = |id: NodeId| self.nodes[id as usize].origin == Origin::Column;
        let beyond = of(id).filter(|user| is_column(*user)).flat_map(of);
        of(id).filter(|user| !is_column(*user)).chain(beyond).collect()
    }

    /// What the formula of a node rests on, in the order of its text; of a column its cells.
    pub fn rests_on(&self, id: NodeId) -> Vec<NodeId> {
        self.named_by(id)
            .into_iter()
            .flat_map(|id| self.cells_of(id).unwrap_or(id..id + 1))
            .collect()
    }

    /// The same with a column as one.
    pub fn named_by(&self, id: NodeId) -> Vec<NodeId> {
        let mut on = Vec::new();
        if let Some(formula) = &self.nodes[id as usize].formula {
            formula.nodes(&mut on);
        }
        on
    }

    /// The cells of the column that a node stands for; nothing for other nodes.
    pub fn cells_of(&self, id: NodeId) -> Option<Range<NodeId>> {
        match self.nodes[id as usize].formula {
            Some(Formula::Cells(first, count)) => Some(first..first + count),
            _ => None,
        }
    }

    /// The value of a node, if it has one.
    pub fn value(&self, id: NodeId) -> Option<Value> {
        let number = self.values[id as usize];
        match &self.nodes[id as usize].kind {
            Type::Number(dimension) if number.is_finite() => {
                Some(value_of(Quantity::new(number, *dimension)))
            }
            Type::Flag if number.is_finite() => Some(Value::Flag(number != 0.0)),
            _ => self.others.get(&id).cloned(),
        }
    }

    /// The measure of a node, if it has one.
    pub fn quantity(&self, id: NodeId) -> Option<Quantity> {
        match self.value(id)? {
            Value::Measure(quantity) => Some(quantity),
            Value::Number(number) => Some(Quantity::number(number)),
            _ => None,
        }
    }

    /// How a node stands.
    pub fn state(&self, id: NodeId) -> State<'_> {
        match (self.faults.get(&id), self.waiting.get(&id)) {
            (Some(problem), _) => State::Faulty(problem),
            (None, Some(on)) => State::Waiting(*on),
            _ => State::Fine,
        }
    }

    /// The nodes that something is wrong with.
    pub fn faults(&self) -> impl Iterator<Item = (NodeId, &Problem)> {
        self.faults.iter().map(|(id, problem)| (*id, problem))
    }

    /// Gives a node a value of its own: an input, or a cell in place of its formula.
    ///
    /// # Errors
    /// It is of another kind than the node.
    pub fn set(&mut self, id: NodeId, value: Value) -> Result<(), Problem> {
        let node = &self.nodes[id as usize];
        let kind = type_of(&value);
        if kind != node.kind && node.kind != Type::Unknown {
            return Err(Problem::error(format!("{} is {}, this is {kind}", node.name, node.kind)));
        }
        self.nodes[id as usize].formula = None;
        self.spans[id as usize] = (0, 0);
        self.faults.remove(&id);
        self.waiting.remove(&id);
        self.store(id, value);
        Ok(())
    }

    /// Notes that a node has no value because of another.
    pub(super) fn wait(&mut self, id: NodeId, on: NodeId) {
        if id != on {
            self.waiting.insert(id, on);
        }
    }

    fn store(&mut self, id: NodeId, value: Value) {
        let numeric = self.nodes[id as usize].kind.is_numeric();
        let number = match &value {
            Value::Measure(quantity) => quantity.base(),
            Value::Number(number) => *number,
            Value::Flag(flag) => f64::from(u8::from(*flag)),
            Value::Text(text) if self.nodes[id as usize].kind == Type::Text => {
                self.values[id as usize] = self.texts.number(text);
                self.others.insert(id, value);
                return;
            }
            _ => f64::NAN,
        };
        if numeric && !number.is_nan() {
            self.values[id as usize] = number;
            self.others.remove(&id);
        } else {
            self.values[id as usize] = f64::NAN;
            self.others.insert(id, value);
        }
    }

    /// Recalculates everything.
    pub fn recalculate(&mut self, language: &dyn Language) {
        let order = std::mem::take(&mut self.order);
        self.over_rows.forget();
        for id in &order {
            self.calculate(*id, &BTreeSet::new(), language);
        }
        self.order = order;
    }

    /// Recalculates what rests on some nodes, and tells how many that were.
    pub fn recalculate_from(&mut self, changed: &[NodeId], language: &dyn Language) -> usize {
        self.turn = self.turn.wrapping_add(1);
        if self.turn == 0 {
            self.seen.fill(0);
            self.over_rows.forget();
            self.turn = 1;
        }
        let mut next = BinaryHeap::new();
        let given: BTreeSet<NodeId> = changed.iter().copied().collect();
        for id in changed {
            self.reach(*id, &mut next);
        }
        let mut count = 0;
        while let Some(Reverse((_, id))) = next.pop() {
            if self.nodes[id as usize].formula.is_some() && self.cells_of(id).is_none() {
                self.calculate(id, &given, language);
                count += 1;
            }
            self.reach(id, &mut next);
        }
        count
    }

    /// Notes who rests on a node, to be worked out in order; each once.
    fn reach(&mut self, id: NodeId, next: &mut BinaryHeap<Reverse<(u32, NodeId)>>) {
        for place in self.starts[id as usize]..self.starts[id as usize + 1] {
            let user = self.users[place as usize];
            if self.nodes[user as usize].origin == Origin::Column {
                self.over_rows.cell_changed(user, id, self.turn);
            }
            let rank = self.rank[user as usize];
            if self.seen[user as usize] != self.turn && rank != u32::MAX {
                self.seen[user as usize] = self.turn;
                next.push(Reverse((rank, user)));
            }
        }
    }

    /// Works one node out; `given` are the nodes that got a value of their own in this turn.
    fn calculate(&mut self, id: NodeId, given: &BTreeSet<NodeId>, language: &dyn Language) {
        let (start, end) = self.spans[id as usize];
        if start < end {
            if let Some(folds) = self.folds.get(&id) {
                let changed =
                    |id: NodeId| self.seen[id as usize] == self.turn || given.contains(&id);
                self.over_rows.renew(folds, &self.values, self.turn, &changed);
            }
            let steps = &self.steps[start as usize..end as usize];
            // Larger ones may be no number in the unit that they are shown in.
            let common = |value: &f64| value.abs() < 1e200;
            if let Some(value) = run(steps, &self.values, 0, &self.over_rows).filter(common) {
                self.values[id as usize] = value;
                if self.nodes[id as usize].kind == Type::Text {
                    let text = self.texts.text(value).unwrap_or_default().to_owned();
                    self.others.insert(id, Value::Text(text));
                }
                if !self.faults.is_empty() || !self.waiting.is_empty() {
                    self.faults.remove(&id);
                    self.waiting.remove(&id);
                }
                return;
            }
        }
        let formula = self.nodes[id as usize].formula.as_ref();
        let typed =
            formula.is_some_and(|of| constant(of).is_some() || matches!(of, Formula::Text(_)));
        if !(typed && self.values[id as usize].is_finite()) {
            self.calculate_with_reason(id, language);
        }
    }

    /// Works one node out by its tree, and keeps the reason when there is no value.
    fn calculate_with_reason(&mut self, id: NodeId, language: &dyn Language) {
        let Some(formula) = &self.nodes[id as usize].formula else { return };
        if matches!(formula, Formula::Cells(..)) {
            return;
        }
        self.faults.remove(&id);
        self.waiting.remove(&id);
        let value =
            evaluate(formula, self, language).and_then(|value| self.fitting(id, value, language));
        match value {
            Ok(value) => {
                // What is known only now is shown in its usual unit.
                if let (Type::Unknown, Value::Measure(quantity)) =
                    (&self.nodes[id as usize].kind, &value)
                {
                    let unit = language.usual_unit(quantity.dimension());
                    self.nodes[id as usize].unit = unit.into();
                }
                self.store(id, value);
            }
            Err(stop) => {
                self.values[id as usize] = f64::NAN;
                self.others.remove(&id);
                match stop {
                    Stop::Waiting(on) => {
                        self.waiting.insert(id, on);
                    }
                    Stop::Fault(problem) => {
                        let problem = self.placed(id, problem);
                        self.faults.insert(id, problem);
                    }
                }
            }
        }
    }

    /// A value as its node wants it.
    fn fitting(&self, id: NodeId, value: Value, language: &dyn Language) -> Result<Value, Stop> {
        let node = &self.nodes[id as usize];
        let kind = type_of(&value);
        if node.kind == Type::Unknown
            || kind == node.kind
            || matches!(node.kind, Type::List(_) | Type::Record(_))
        {
            return match &value {
                Value::Number(number) if !number.is_finite() => Err(not_finite().into()),
                Value::Measure(quantity) if !quantity.base().is_finite() => {
                    Err(not_finite().into())
                }
                // Counted in base units it may be a number, and none in the unit that it is shown in.
                Value::Measure(quantity)
                    if crate::measure::unit(crate::measure::number_unit(&node.unit))
                        .and_then(|unit| quantity.in_unit(&unit))
                        .is_ok_and(|shown| !shown.is_finite()) =>
                {
                    Err(not_finite().into())
                }
                Value::Measure(quantity)
                    if node.kind == Type::Unknown
                        && quantity.dimension() != Dimension::DATE
                        && language.usual_unit(quantity.dimension()).is_empty() =>
                {
                    Err(Problem::error(format!("the formula gives {}", quantity.dimension()))
                        .help("name the unit that it is to be shown in")
                        .into())
                }
                Value::List(_) | Value::Record(_) => {
                    Err(Problem::error("the formula gives several values")
                        .help("a cell holds one: take one with a dot, or sum, min or max of a list")
                        .into())
                }
                Value::Nothing => Err(Problem::error("the formula gives nothing").into()),
                _ => Ok(value),
            };
        }
        let wanted = match node.unit.as_str() {
            "" => node.kind.to_string(),
            unit => format!("{} to be shown in {unit}", node.kind),
        };
        Err(Problem::error(format!("the formula gives {kind}, {wanted} was expected")).into())
    }

    /// A problem of a node with its name and place.
    pub(super) fn placed(&self, id: NodeId, mut problem: Problem) -> Problem {
        let node = &self.nodes[id as usize];
        problem.message = format!("{}: {}", node.name, problem.message);
        match &node.place {
            Some(place) => problem.at(Place::clone(place)),
            None => problem,
        }
    }

    /// How many bytes the book takes, without what the allocator adds.
    pub fn bytes(&self) -> usize {
        let text =
            |node: &Node| node.name.len() + node.what.len() + node.unit.len() + node.text.len();
        self.nodes.len() * (size_of::<Node>() + 8 + 8 + 4 + 4 + 4 + 4)
            + self.nodes.iter().map(text).sum::<usize>()
            + self.users.len() * 4
            + self.steps.len() * size_of::<Op>()
    }
}

/// The value of what is typed and nothing else; nothing for one that is too large to be sure of in every unit.
fn constant(formula: &Formula) -> Option<f64> {
    let value = match formula {
        Formula::Number(value) => *value,
        Formula::Measure(quantity, _) => quantity.base(),
        _ => return None,
    };
    (value.abs() < 1e200).then_some(value)
}

fn not_finite() -> Problem {
    Problem::error("the result is not a finite number")
        .help("look at the units and the powers of ten of what it rests on")
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a book has fewer than four thousand million steps"
)]
fn index(count: usize) -> u32 {
    count as u32
}
