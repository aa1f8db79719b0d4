//! What is worked out over the rows of columns: sums and the like in blocks, and look-ups without going through all rows.

use std::sync::OnceLock;

use indexmap::IndexMap;

use super::book::NodeId;
use super::columns::by_row;
use super::formula::{Builtin, CellColumn, Formula, Operator};
use super::program::{Op, holds, number, quotient, run};
use crate::measure::BLOCK;
use crate::measure::round::{compare, nearest_f64};

/// How many folds are looked through for the same one.
const LATELY: usize = 32;

/// How the rows of a fold come together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum How {
    /// Their sum.
    Sum,
    /// Their mean.
    Mean,
    /// The least; whether of whole numbers.
    Least(bool),
    /// The greatest.
    Greatest(bool),
}

/// Part of a fold: of one block, or of all.
#[derive(Debug, Clone, Copy)]
struct Part {
    /// The sum, the least or the greatest; no number where no row counts.
    value: f64,
    /// How many rows count.
    count: f64,
}

/// A sum or the like over rows.
#[derive(Debug, Clone)]
pub(super) struct Fold {
    how: How,
    item: Option<Vec<Op>>,
    flag: Option<Vec<Op>>,
    rows: u32,
    on: RestsOn,
    /// Blocks that are worked out.
    blocks: Vec<Option<Part>>,
    value: f64,
    /// The turn in which it was looked at last.
    turn: Option<u32>,
}

/// What a fold rests on.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct RestsOn {
    /// Columns of which a row rests on the cell of that row.
    by_row: Vec<NodeId>,
    /// Nodes on which every row rests; columns too.
    every_row: Vec<NodeId>,
}

impl RestsOn {
    /// Adds what a formula over rows rests on.
    pub(super) fn add(&mut self, formula: &Formula) {
        let Self { by_row: columns, every_row } = self;
        by_row(formula, &mut |column| columns.push(column.id), &mut |part| part.nodes(every_row));
    }
}

impl Fold {
    pub(super) fn new(
        how: How,
        item: Option<Vec<Op>>,
        flag: Option<Vec<Op>>,
        rows: u32,
        on: RestsOn,
    ) -> Self {
        let blocks = vec![None; (rows as usize).div_ceil(BLOCK)];
        Self { how, item, flag, rows, on, blocks, value: f64::NAN, turn: None }
    }

    /// Whether both come to the same.
    fn is_as(&self, other: &Self) -> bool {
        self.how == other.how
            && self.rows == other.rows
            && self.item == other.item
            && self.flag == other.flag
            && self.on == other.on
    }

    /// One row: its value where it counts, and whether it does. Nothing where it has no value.
    fn row(&self, row: u32, values: &[f64], over: &OverRows) -> Option<Part> {
        let of = |steps: &Option<Vec<Op>>| match steps {
            Some(steps) => run(steps, values, row, over),
            None => Some(1.0),
        };
        let (item, flag) = (of(&self.item)?, of(&self.flag)?);
        Some(match self.how {
            How::Sum | How::Mean if self.flag.is_some() => {
                Part { value: number(item * flag)?, count: flag }
            }
            _ if flag == 0.0 => Part { value: f64::NAN, count: 0.0 },
            _ => Part { value: item, count: 1.0 },
        })
    }

    /// Two parts as one.
    fn both(&self, a: Part, b: Part) -> Option<Part> {
        let count = a.count + b.count;
        let better = |operator, whole| {
            Some(match (a.value.is_nan(), b.value.is_nan()) {
                (_, true) => a.value,
                (true, _) => b.value,
                _ if holds(operator, compare(b.value, a.value, whole)?) => b.value,
                _ => a.value,
            })
        };
        let value = match self.how {
            How::Sum | How::Mean => number(a.value + b.value)?,
            How::Least(whole) => better(Operator::Less, whole)?,
            How::Greatest(whole) => better(Operator::More, whole)?,
        };
        Some(Part { value, count })
    }

    fn block(&self, at: usize, values: &[f64], over: &OverRows) -> Option<Part> {
        let first = u32::try_from(at * BLOCK).ok()?;
        let end = self.rows.min(first + u32::try_from(BLOCK).ok()?);
        let mut part = self.row(first, values, over)?;
        for row in first + 1..end {
            part = self.both(part, self.row(row, values, over)?)?;
        }
        Some(part)
    }

    /// Works out the blocks that are not, and what they come to.
    fn renew(&mut self, values: &[f64], over: &OverRows) {
        for at in 0..self.blocks.len() {
            if self.blocks[at].is_none() {
                self.blocks[at] = self.block(at, values, over);
            }
        }
        let mut parts = self.blocks.iter();
        let whole = parts
            .next()
            .copied()
            .flatten()
            .and_then(|first| parts.try_fold(first, |sum, part| self.both(sum, (*part)?)));
        self.value = match (self.how, whole) {
            (_, None) => f64::NAN,
            (How::Mean, Some(Part { value, count })) => quotient(value, count).unwrap_or(f64::NAN),
            (_, Some(part)) => part.value,
        };
    }
}

/// What is known of a column as a whole, found when it is first asked for.
#[derive(Debug, Clone, Default)]
struct Known {
    /// Whether it goes up from row to row.
    rises: OnceLock<bool>,
    /// Rows by value; `TWICE` where two rows have it.
    rows: OnceLock<IndexMap<u64, u32>>,
}

/// A value that two rows have.
const TWICE: u32 = u32::MAX;

/// A column while a book is worked out.
#[derive(Debug, Clone)]
struct Kept {
    column: CellColumn,
    known: Known,
    /// Rows that changed, and the turn in which they did.
    changed: Vec<u32>,
    turn: u32,
}

/// How a look-up finds its row.
#[derive(Debug, Clone, Copy, PartialEq)]
enum By {
    Key,
    Band,
    Line,
}

/// A look-up in two columns.
#[derive(Debug, Clone, Copy)]
pub(super) struct LookUp {
    by: By,
    keys: CellColumn,
    /// Place of the column of keys among those that are kept.
    kept: usize,
    values: CellColumn,
    /// Whether keys are whole numbers and compared as such.
    whole: bool,
}

impl LookUp {
    /// The one of a function; nothing of functions that look nothing up.
    pub(super) fn of(
        builtin: Builtin,
        keys: &CellColumn,
        values: &CellColumn,
        whole: bool,
    ) -> Option<Self> {
        let by = match builtin {
            Builtin::ValueFor => By::Key,
            Builtin::ValueInBand => By::Band,
            Builtin::ValueBetween => By::Line,
            _ => return None,
        };
        Some(Self { by, keys: *keys, kept: 0, values: *values, whole })
    }
}

/// The folds and look-ups of a book, and the columns that they go through.
#[derive(Debug, Clone, Default)]
pub(super) struct OverRows {
    folds: Vec<Fold>,
    /// Folds that formulas asked for lately, the last one last.
    lately: Vec<u32>,
    looks: Vec<LookUp>,
    columns: Vec<Kept>,
    /// Places of the columns by their nodes.
    places: IndexMap<NodeId, usize>,
}

impl OverRows {
    /// Notes a column.
    pub(super) fn keep(&mut self, column: CellColumn) {
        self.places.insert(column.id, self.columns.len());
        let (known, changed) = (Known::default(), Vec::new());
        self.columns.push(Kept { column, known, changed, turn: 0 });
    }

    /// How many folds and look-ups there are.
    pub(super) fn lengths(&self) -> (usize, usize) {
        (self.folds.len(), self.looks.len())
    }

    /// Forgets those that came after.
    pub(super) fn shorten(&mut self, (folds, looks): (usize, usize)) {
        self.folds.truncate(folds);
        self.lately.retain(|at| (*at as usize) < folds);
        self.looks.truncate(looks);
    }

    /// Takes a fold, or finds the same among those that were asked for lately: rows that rest on all rows share it.
    pub(super) fn fold(&mut self, fold: Fold) -> u32 {
        let known = self.lately.iter().rposition(|at| self.folds[*at as usize].is_as(&fold));
        let at = match known {
            Some(place) => self.lately.remove(place),
            None => {
                self.folds.push(fold);
                u32::try_from(self.folds.len() - 1).unwrap_or(u32::MAX)
            }
        };
        if self.lately.len() == LATELY {
            self.lately.remove(0);
        }
        self.lately.push(at);
        at
    }

    /// The folds that steps take, those first which others rest on.
    pub(super) fn folds_of(&self, steps: &[Op]) -> Vec<u32> {
        let mut found = Vec::new();
        self.add_folds(steps, &mut found);
        found.sort_unstable();
        found.dedup();
        found
    }

    fn add_folds(&self, steps: &[Op], found: &mut Vec<u32>) {
        for step in steps {
            if let Op::Folded(at) = step {
                found.push(*at);
                let Fold { item, flag, .. } = &self.folds[*at as usize];
                [item, flag].into_iter().flatten().for_each(|steps| self.add_folds(steps, found));
            }
        }
    }

    pub(super) fn look_up(&mut self, look: LookUp) -> u32 {
        let kept = self.places.get(&look.keys.id).copied().unwrap_or(usize::MAX);
        self.looks.push(LookUp { kept, ..look });
        u32::try_from(self.looks.len() - 1).unwrap_or(u32::MAX)
    }

    /// What a fold gave; no number where it has none.
    pub(super) fn folded(&self, at: u32) -> f64 {
        self.folds[at as usize].value
    }

    /// Notes that a cell changed which the column of a node is made of.
    pub(super) fn cell_changed(&mut self, column: NodeId, cell: NodeId, turn: u32) {
        let Some(place) = self.places.get(&column) else { return };
        let kept = &mut self.columns[*place];
        if kept.turn != turn {
            kept.turn = turn;
            kept.changed.clear();
        }
        kept.changed.push(cell - kept.column.first);
        kept.known = Known::default();
    }

    /// Forgets what is known of all columns, and all blocks.
    pub(super) fn forget(&mut self) {
        self.columns.iter_mut().for_each(|kept| kept.known = Known::default());
        for fold in &mut self.folds {
            fold.blocks.fill(None);
            fold.turn = None;
        }
    }

    /// Works out some folds again, each once in a turn: those blocks that a change reached, or all where every row rests on
    /// what changed.
    pub(super) fn renew(
        &mut self,
        folds: &[u32],
        values: &[f64],
        turn: u32,
        changed: &dyn Fn(NodeId) -> bool,
    ) {
        for at in folds {
            if self.folds[*at as usize].turn == Some(turn) {
                continue;
            }
            let mut fold = std::mem::replace(
                &mut self.folds[*at as usize],
                Fold::new(How::Sum, None, None, 0, RestsOn::default()),
            );
            let changed_column = |id: &NodeId| {
                let kept = self.places.get(id).map(|place| &self.columns[*place]);
                kept.map(|kept| (kept.turn == turn).then_some(&kept.changed))
            };
            for row in fold.on.by_row.iter().filter_map(|id| changed_column(id)?).flatten() {
                fold.blocks[*row as usize / BLOCK] = None;
            }
            let is_new = |id: &NodeId| match changed_column(id) {
                Some(rows) => rows.is_some(),
                None => changed(*id),
            };
            if fold.on.every_row.iter().any(is_new) {
                fold.blocks.fill(None);
            }
            fold.turn = Some(turn);
            fold.renew(values, self);
            self.folds[*at as usize] = fold;
        }
    }

    /// What a look-up gives for a key.
    pub(super) fn look(&self, at: u32, key: f64, values: &[f64]) -> Option<f64> {
        let look = &self.looks[at as usize];
        let of = |column: &CellColumn| {
            &values[column.first as usize..(column.first + column.count) as usize]
        };
        let (keys, found) = (of(&look.keys), of(&look.values));
        let known = &self.columns.get(look.kept)?.known;
        let is = |operator, a: f64, b: f64| {
            compare(a, b, look.whole).is_some_and(|order| holds(operator, order))
        };
        let below = |a: &[f64]| a.windows(2).all(|pair| is(Operator::Less, pair[0], pair[1]));
        let numbers = |a: &[f64]| a.iter().all(|key| key.is_finite());
        let rises = || *known.rises.get_or_init(|| numbers(keys) && below(keys));
        let row = match look.by {
            By::Key if look.whole => {
                let rows = known.rows.get_or_init(|| rows_by_value(keys));
                *rows.get(&bits(key))?
            }
            By::Key => {
                let at = if rises() {
                    keys.partition_point(|known| is(Operator::Less, *known, key))
                } else {
                    let mut same =
                        (0..).zip(keys).filter(|(_, known)| is(Operator::Equal, **known, key));
                    let (first, _): (usize, _) = same.next().filter(|_| numbers(keys))?;
                    if same.next().is_some() {
                        return None;
                    }
                    first
                };
                keys.get(at).filter(|known| is(Operator::Equal, **known, key))?;
                u32::try_from(at).ok()?
            }
            By::Band if rises() => {
                let begun = keys.partition_point(|from| is(Operator::AtLeast, key, *from));
                u32::try_from(begun.checked_sub(1)?).ok()?
            }
            By::Line if rises() => return between(key, keys, found, &is),
            _ => return None,
        };
        number(*found.get(row as usize)?)
    }
}

/// On the line between two rows.
fn between(x: f64, xs: &[f64], ys: &[f64], is: &dyn Fn(Operator, f64, f64) -> bool) -> Option<f64> {
    let ends = xs.get(1..)?;
    let row = ends.partition_point(|end| !is(Operator::AtMost, x, *end));
    let (x0, x1) = (*xs.get(row)?, *ends.get(row)?);
    if !is(Operator::AtLeast, x, x0) {
        return None;
    }
    let share = quotient(number(x - x0)?, number(x1 - x0)?)?;
    let (y0, y1) = (number(ys[row])?, number(ys[row + 1])?);
    number(y0 + number(number(y1 - y0)? * share)?)
}

/// A whole number by its bits, both zeros alike.
fn bits(value: f64) -> u64 {
    (nearest_f64(value) + 0.0).to_bits()
}

/// Rows by value; none where a row has no value.
fn rows_by_value(keys: &[f64]) -> IndexMap<u64, u32> {
    let mut rows = IndexMap::with_capacity(keys.len());
    if keys.iter().any(|key| key.is_nan()) {
        return rows;
    }
    for (row, key) in (0..).zip(keys) {
        rows.entry(bits(*key)).and_modify(|row| *row = TWICE).or_insert(row);
    }
    rows
}
