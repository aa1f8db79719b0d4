//! Fast evaluation: a formula of numbers as a flat list of steps over the values of the nodes.
//!
//! A text counts as a number too: its place among all texts. A step that cannot go on gives nothing; the tree is
//! evaluated then, which says why.

use std::cmp::Ordering;

use super::book::{Node, Origin};
use super::check::{Type, check};
use super::columns::{of_row, rows_of};
use super::formula::{Builtin, Callee, Formula, Operator};
use super::over_rows::{Fold, How, LookUp, OverRows, RestsOn};
use super::texts::TextNumbers;
use crate::measure::{BLOCK, round};

/// Deepest stack that a program may need.
const DEEPEST: usize = 24;

/// One step. Operands are taken from the stack, the result is put back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Op {
    Constant(f64),
    Load(u32),
    /// The cell of the row in a column, by the first of its cells.
    LoadOfRow(u32),
    Add,
    Subtract,
    Multiply,
    Divide,
    /// The top with a node's value.
    AddNode(u32),
    SubtractNode(u32),
    MultiplyNode(u32),
    DivideNode(u32),
    MultiplyBy(f64),
    DivideBy(f64),
    AddConstant(f64),
    Negative,
    Not,
    Power(i8),
    RoundUp,
    RoundDown,
    RoundNear,
    /// Of whole numbers, such as lengths, or of others.
    Least(bool),
    Greatest(bool),
    Size,
    ToCent,
    Compare(Operator, bool),
    /// Takes the condition and goes on so many steps further when it does not hold.
    Unless(u16),
    /// Goes on so many steps further.
    Skip(u16),
    /// Goes on so many steps further, with the condition left, when it holds or does not hold.
    Shortcut(bool, u16),
    /// What a fold over rows gave.
    Folded(u32),
    /// Takes a key and gives what a look-up has for it.
    LookUp(u32),
}

/// Writes the steps of formulas.
pub(super) struct Compiler<'a> {
    pub(super) nodes: &'a [Node],
    pub(super) texts: &'a mut TextNumbers,
    pub(super) over_rows: &'a mut OverRows,
}

impl Compiler<'_> {
    /// The steps of a formula; false when it is not one of numbers only.
    pub(super) fn compile(&mut self, formula: &Formula, steps: &mut Vec<Op>) -> bool {
        let before = self.over_rows.lengths();
        let fits = self.emit(formula, steps).is_some_and(|depth| depth <= DEEPEST);
        if !fits {
            self.over_rows.shorten(before);
        }
        fits
    }

    /// Whether the value of a node, or those of its column, are held as numbers.
    fn is_held(&self, id: u32) -> bool {
        let held = |kind: &Type| kind.is_numeric() || *kind == Type::Text;
        match &self.nodes[id as usize].kind {
            Type::List(of) => held(of) && self.nodes[id as usize].origin == Origin::Column,
            kind => held(kind),
        }
    }

    /// Adds the steps of a formula and tells how deep the stack gets.
    fn emit(&mut self, formula: &Formula, steps: &mut Vec<Op>) -> Option<usize> {
        match formula {
            Formula::Number(value) => steps.push(Op::Constant(*value)),
            Formula::Measure(quantity, _) => steps.push(Op::Constant(quantity.base())),
            Formula::Flag(flag) => steps.push(Op::Constant(f64::from(u8::from(*flag)))),
            Formula::Text(text) => steps.push(Op::Constant(self.texts.number(text))),
            Formula::Node(id) if self.is_held(*id) => steps.push(Op::Load(*id)),
            Formula::Column(column) if self.is_held(column.id) => {
                steps.push(Op::LoadOfRow(column.first));
            }
            Formula::Negative(a) => {
                let depth = self.emit(a, steps)?;
                steps.push(Op::Negative);
                return Some(depth);
            }
            Formula::Not(a) => {
                let depth = self.emit(a, steps)?;
                steps.push(Op::Not);
                return Some(depth);
            }
            Formula::Unit(a, one, _) => {
                let depth = self.emit(a, steps)?;
                steps.push(Op::MultiplyBy(one.base()));
                return Some(depth);
            }
            Formula::Power(a, n) => {
                let depth = self.emit(a, steps)?;
                steps.push(Op::Power(*n));
                return Some(depth);
            }
            Formula::Binary(operator, a, b) => return self.binary(*operator, a, b, steps),
            Formula::Choice(condition, a, b) => {
                let condition = self.emit(condition, steps)?;
                let unless = steps.len();
                steps.push(Op::Unless(0));
                let first = self.emit(a, steps)?;
                let skip = steps.len();
                steps.push(Op::Skip(0));
                let second = self.emit(b, steps)?;
                steps[unless] = Op::Unless(u16::try_from(skip - unless).ok()?);
                steps[skip] = Op::Skip(u16::try_from(steps.len() - 1 - skip).ok()?);
                return Some(condition.max(first).max(second));
            }
            Formula::Call(Callee::Builtin(builtin), inputs) => {
                return self.call(*builtin, inputs, steps);
            }
            _ => return None,
        }
        Some(1)
    }

    fn binary(
        &mut self,
        operator: Operator,
        a: &Formula,
        b: &Formula,
        steps: &mut Vec<Op>,
    ) -> Option<usize> {
        let left = self.emit(a, steps)?;
        if matches!(operator, Operator::And | Operator::Or) {
            let at = steps.len();
            steps.push(Op::Shortcut(false, 0));
            let right = self.emit(b, steps)?;
            let further = u16::try_from(steps.len() - 1 - at).ok()?;
            steps[at] = Op::Shortcut(operator == Operator::Or, further);
            return Some(left.max(right));
        }
        let joined = match (operator, b) {
            (Operator::Add, Formula::Node(id)) => Some(Op::AddNode(*id)),
            (Operator::Subtract, Formula::Node(id)) => Some(Op::SubtractNode(*id)),
            (Operator::Multiply, Formula::Node(id)) => Some(Op::MultiplyNode(*id)),
            (Operator::Divide, Formula::Node(id)) => Some(Op::DivideNode(*id)),
            (Operator::Multiply, Formula::Number(x)) => Some(Op::MultiplyBy(*x)),
            (Operator::Divide, Formula::Number(x)) if *x != 0.0 => Some(Op::DivideBy(*x)),
            (Operator::Add, Formula::Number(x)) => Some(Op::AddConstant(*x)),
            (Operator::Add, Formula::Measure(x, _)) => Some(Op::AddConstant(x.base())),
            (Operator::Subtract, Formula::Measure(x, _)) => Some(Op::AddConstant(-x.base())),
            (Operator::Multiply, Formula::Measure(x, _)) => Some(Op::MultiplyBy(x.base())),
            (Operator::Divide, Formula::Measure(x, _)) if x.base() != 0.0 => {
                Some(Op::DivideBy(x.base()))
            }
            _ => None,
        };
        if let Some(step) = joined {
            if let Formula::Node(id) = b
                && !self.nodes[*id as usize].kind.is_numeric()
            {
                return None;
            }
            steps.push(step);
            return Some(left);
        }
        let right = self.emit(b, steps)?;
        steps.push(match operator {
            Operator::Add => Op::Add,
            Operator::Subtract => Op::Subtract,
            Operator::Multiply => Op::Multiply,
            Operator::Divide => Op::Divide,
            other => Op::Compare(other, self.whole(a)?),
        });
        Some(left.max(right + 1))
    }

    /// Whether what a formula gives is a whole number and compared as such.
    fn whole(&self, formula: &Formula) -> Option<bool> {
        let one = match rows_of(formula).ok()? {
            Some(0) => return None,
            Some(_) => of_row(formula, 0),
            None => formula.clone(),
        };
        match check(&one, self.nodes).ok()? {
            Type::Number(dimension) => Some(dimension.is_whole()),
            Type::Flag | Type::Text => Some(true),
            _ => None,
        }
    }

    fn call(&mut self, builtin: Builtin, inputs: &[Formula], steps: &mut Vec<Op>) -> Option<usize> {
        if let [Formula::Column(..), ..] | [_, Formula::Column(..), ..] = inputs
            && let Some(depth) = self.look_up(builtin, inputs, steps)
        {
            return Some(depth);
        }
        if let Some(first) = inputs.first()
            && let Some(rows) = rows_of(first).ok()?
        {
            if builtin == Builtin::Count {
                steps.push(Op::Constant(f64::from(rows)));
                return Some(1);
            }
            return self.fold(builtin, inputs, steps);
        }
        let items = match (builtin, inputs) {
            (Builtin::Sum | Builtin::Least | Builtin::Greatest, [Formula::List(items)]) => {
                &items[..]
            }
            (Builtin::Sum, _) => return None,
            (_, inputs) => inputs,
        };
        // More are taken in blocks, by the tree.
        if items.len() > BLOCK {
            return None;
        }
        let step = match builtin {
            Builtin::Sum => Op::Add,
            Builtin::RoundUp => Op::RoundUp,
            Builtin::RoundDown => Op::RoundDown,
            Builtin::RoundNear => Op::RoundNear,
            Builtin::Least => Op::Least(self.whole(items.first()?)?),
            Builtin::Greatest => Op::Greatest(self.whole(items.first()?)?),
            Builtin::Size | Builtin::ToCent => {
                let depth = self.emit(items.first()?, steps)?;
                let size = builtin == Builtin::Size;
                steps.push(if size { Op::Size } else { Op::ToCent });
                return Some(depth);
            }
            _ => return None,
        };
        let mut deepest = self.emit(items.first()?, steps)?;
        for item in &items[1..] {
            deepest = deepest.max(self.emit(item, steps)? + 1);
            steps.push(step);
        }
        Some(deepest)
    }

    /// Steps of a formula of their own, which are run for each row.
    fn of_each_row(&mut self, formula: &Formula) -> Option<Vec<Op>> {
        let mut steps = Vec::new();
        self.emit(formula, &mut steps).filter(|depth| *depth <= DEEPEST)?;
        Some(steps)
    }

    fn fold(&mut self, builtin: Builtin, inputs: &[Formula], steps: &mut Vec<Op>) -> Option<usize> {
        use Builtin as B;
        let rows = rows_of(inputs.first()?).ok()?.filter(|rows| *rows > 0)?;
        let (how, item, flag) = match (builtin, inputs) {
            (B::Sum, [item]) => (How::Sum, Some(item), None),
            (B::Mean, [item]) => (How::Mean, Some(item), None),
            (B::Least, [item]) => (How::Least(self.whole(item)?), Some(item), None),
            (B::Greatest, [item]) => (How::Greatest(self.whole(item)?), Some(item), None),
            (B::CountWhere, [flag]) => (How::Sum, None, Some(flag)),
            (B::SumWhere, [item, flag]) => (How::Sum, Some(item), Some(flag)),
            (B::MeanWhere, [item, flag]) => (How::Mean, Some(item), Some(flag)),
            (B::LeastWhere, [item, flag]) => {
                (How::Least(self.whole(item)?), Some(item), Some(flag))
            }
            (B::GreatestWhere, [item, flag]) => {
                (How::Greatest(self.whole(item)?), Some(item), Some(flag))
            }
            _ => return None,
        };
        let mut on = RestsOn::default();
        [item, flag].into_iter().flatten().for_each(|part| on.add(part));
        let item = match item {
            Some(item) => Some(self.of_each_row(item)?),
            None => None,
        };
        let flag = match flag {
            Some(flag) => Some(self.of_each_row(flag)?),
            None => None,
        };
        steps.push(Op::Folded(self.over_rows.fold(Fold::new(how, item, flag, rows, on))));
        Some(1)
    }

    fn look_up(
        &mut self,
        builtin: Builtin,
        inputs: &[Formula],
        steps: &mut Vec<Op>,
    ) -> Option<usize> {
        let [key, Formula::Column(keys), Formula::Column(values)] = inputs else { return None };
        if rows_of(key).ok()?.is_some() || !self.is_held(keys.id) || !self.is_held(values.id) {
            return None;
        }
        let whole = self.whole(key)?;
        let at = self.over_rows.look_up(LookUp::of(builtin, keys, values, whole)?);
        let depth = self.emit(key, steps)?;
        steps.push(Op::LookUp(at));
        Some(depth)
    }
}

pub(super) fn number(x: f64) -> Option<f64> {
    x.is_finite().then_some(x)
}

pub(super) fn quotient(a: f64, b: f64) -> Option<f64> {
    if b == 0.0 { None } else { number(a / b) }
}

/// Runs steps over the values of the nodes, in a row of the columns; nothing when one of them cannot go on.
pub(super) fn run(steps: &[Op], values: &[f64], row: u32, over_rows: &OverRows) -> Option<f64> {
    let mut stack = [0.0_f64; DEEPEST + 1];
    // The top of the stack stands apart; `stack` holds what is below it.
    let (mut top, mut depth) = (0.0_f64, 0_usize);
    let mut at = 0;
    while let Some(step) = steps.get(at) {
        at += 1;
        match *step {
            Op::Constant(value) => {
                stack[depth] = top;
                depth += 1;
                top = value;
            }
            Op::Load(id) => {
                stack[depth] = top;
                depth += 1;
                top = number(values[id as usize])?;
            }
            Op::LoadOfRow(first) => {
                stack[depth] = top;
                depth += 1;
                top = number(values[(first + row) as usize])?;
            }
            Op::Folded(at) => {
                stack[depth] = top;
                depth += 1;
                top = number(over_rows.folded(at))?;
            }
            Op::LookUp(at) => top = over_rows.look(at, top, values)?,
            Op::AddNode(id) => top = number(top + values[id as usize])?,
            Op::SubtractNode(id) => top = number(top - values[id as usize])?,
            Op::MultiplyNode(id) => top = number(top * values[id as usize])?,
            Op::DivideNode(id) => top = quotient(top, values[id as usize])?,
            Op::MultiplyBy(x) => top = number(top * x)?,
            Op::DivideBy(x) => top = number(top / x)?,
            Op::AddConstant(x) => top = number(top + x)?,
            Op::Negative => top = -top,
            Op::Not => top = f64::from(u8::from(top == 0.0)),
            Op::Power(n) => top = number(top.powi(i32::from(n)))?,
            Op::Size => top = top.abs(),
            Op::ToCent => top = number(round::multiple(round::steps_near(top, 0.01), 0.01))?,
            Op::Unless(further) => {
                let holds = top != 0.0;
                depth -= 1;
                top = stack[depth];
                if !holds {
                    at += usize::from(further);
                }
            }
            Op::Skip(further) => at += usize::from(further),
            Op::Shortcut(when, further) => {
                if (top != 0.0) == when {
                    at += usize::from(further);
                } else {
                    depth -= 1;
                    top = stack[depth];
                }
            }
            two => {
                depth -= 1;
                top = of_two(two, stack[depth], top)?;
            }
        }
    }
    (depth == 1).then_some(top)
}

fn of_two(step: Op, a: f64, b: f64) -> Option<f64> {
    let rounded = |steps: fn(f64, f64) -> f64| {
        if b > 0.0 { number(round::multiple(steps(a, b), b)) } else { None }
    };
    match step {
        Op::Add => number(a + b),
        Op::Subtract => number(a - b),
        Op::Multiply => number(a * b),
        Op::Divide => quotient(a, b),
        Op::RoundUp => rounded(round::steps_up),
        Op::RoundDown => rounded(round::steps_down),
        Op::RoundNear => rounded(round::steps_near),
        Op::Least(whole) => Some(if round::compare(a, b, whole)?.is_le() { a } else { b }),
        Op::Greatest(whole) => Some(if round::compare(a, b, whole)?.is_ge() { a } else { b }),
        Op::Compare(operator, whole) => {
            let order = round::compare(a, b, whole)?;
            Some(f64::from(u8::from(holds(operator, order))))
        }
        _ => None,
    }
}

/// Whether an order is what an operator asks for.
pub(super) fn holds(operator: Operator, order: Ordering) -> bool {
    match operator {
        Operator::Equal => order.is_eq(),
        Operator::Unequal => order.is_ne(),
        Operator::Less => order.is_lt(),
        Operator::AtMost => order.is_le(),
        Operator::More => order.is_gt(),
        _ => order.is_ge(),
    }
}
