//! Fast evaluation: a formula of numbers as a flat list of steps over the values of the nodes.
//!
//! A step that cannot go on gives nothing; the tree is evaluated then, which says why.

use std::cmp::Ordering;

use super::book::Node;
use super::check::{Type, check};
use super::formula::{Builtin, Callee, Formula, Operator};
use crate::measure::round;

/// Deepest stack that a program may need.
const DEEPEST: usize = 24;

/// One step. Operands are taken from the stack, the result is put back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Op {
    Constant(f64),
    Load(u32),
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
    /// Without tolerance for lengths and areas.
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
}

/// Writes the steps of a formula; false when it is not one of numbers only.
pub(super) fn compile(formula: &Formula, nodes: &[Node], steps: &mut Vec<Op>) -> bool {
    emit(formula, nodes, steps).is_some_and(|depth| depth <= DEEPEST)
}

/// Adds the steps of a formula and tells how deep the stack gets.
fn emit(formula: &Formula, nodes: &[Node], steps: &mut Vec<Op>) -> Option<usize> {
    match formula {
        Formula::Number(value) => steps.push(Op::Constant(*value)),
        Formula::Measure(quantity, _) => steps.push(Op::Constant(quantity.base())),
        Formula::Flag(flag) => steps.push(Op::Constant(f64::from(u8::from(*flag)))),
        Formula::Node(id) => {
            if !nodes[*id as usize].kind.is_numeric() {
                return None;
            }
            steps.push(Op::Load(*id));
        }
        Formula::Negative(a) => {
            let depth = emit(a, nodes, steps)?;
            steps.push(Op::Negative);
            return Some(depth);
        }
        Formula::Not(a) => {
            let depth = emit(a, nodes, steps)?;
            steps.push(Op::Not);
            return Some(depth);
        }
        Formula::Unit(a, one, _) => {
            let depth = emit(a, nodes, steps)?;
            steps.push(Op::MultiplyBy(one.base()));
            return Some(depth);
        }
        Formula::Power(a, n) => {
            let depth = emit(a, nodes, steps)?;
            steps.push(Op::Power(*n));
            return Some(depth);
        }
        Formula::Binary(operator, a, b) => return binary(*operator, a, b, nodes, steps),
        Formula::Choice(condition, a, b) => {
            let condition = emit(condition, nodes, steps)?;
            let unless = steps.len();
            steps.push(Op::Unless(0));
            let first = emit(a, nodes, steps)?;
            let skip = steps.len();
            steps.push(Op::Skip(0));
            let second = emit(b, nodes, steps)?;
            steps[unless] = Op::Unless(u16::try_from(skip - unless).ok()?);
            steps[skip] = Op::Skip(u16::try_from(steps.len() - 1 - skip).ok()?);
            return Some(condition.max(first).max(second));
        }
        Formula::Call(Callee::Builtin(builtin), inputs) => {
            return call(*builtin, inputs, nodes, steps);
        }
        _ => return None,
    }
    Some(1)
}

fn binary(
    operator: Operator,
    a: &Formula,
    b: &Formula,
    nodes: &[Node],
    steps: &mut Vec<Op>,
) -> Option<usize> {
    let left = emit(a, nodes, steps)?;
    if matches!(operator, Operator::And | Operator::Or) {
        let at = steps.len();
        steps.push(Op::Shortcut(false, 0));
        let right = emit(b, nodes, steps)?;
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
            && !nodes[*id as usize].kind.is_numeric()
        {
            return None;
        }
        steps.push(step);
        return Some(left);
    }
    let right = emit(b, nodes, steps)?;
    steps.push(match operator {
        Operator::Add => Op::Add,
        Operator::Subtract => Op::Subtract,
        Operator::Multiply => Op::Multiply,
        Operator::Divide => Op::Divide,
        other => Op::Compare(other, exact(a, nodes)?),
    });
    Some(left.max(right + 1))
}

/// Whether what a formula gives is compared without tolerance.
fn exact(formula: &Formula, nodes: &[Node]) -> Option<bool> {
    match check(formula, nodes).ok()? {
        Type::Number(dimension) => Some(dimension.is_exact()),
        Type::Flag => Some(true),
        _ => None,
    }
}

fn call(
    builtin: Builtin,
    inputs: &[Formula],
    nodes: &[Node],
    steps: &mut Vec<Op>,
) -> Option<usize> {
    let items = match (builtin, inputs) {
        (Builtin::Sum | Builtin::Least | Builtin::Greatest, [Formula::List(items)]) => &items[..],
        (Builtin::Sum, _) => return None,
        (_, inputs) => inputs,
    };
    let step = match builtin {
        Builtin::Sum => Op::Add,
        Builtin::RoundUp => Op::RoundUp,
        Builtin::RoundDown => Op::RoundDown,
        Builtin::RoundNear => Op::RoundNear,
        Builtin::Least => Op::Least(exact(items.first()?, nodes)?),
        Builtin::Greatest => Op::Greatest(exact(items.first()?, nodes)?),
        Builtin::Size | Builtin::ToCent => {
            let depth = emit(items.first()?, nodes, steps)?;
            let size = builtin == Builtin::Size;
            steps.push(if size { Op::Size } else { Op::ToCent });
            return Some(depth);
        }
        _ => return None,
    };
    let mut deepest = emit(items.first()?, nodes, steps)?;
    for item in &items[1..] {
        deepest = deepest.max(emit(item, nodes, steps)? + 1);
        steps.push(step);
    }
    Some(deepest)
}

fn compare(a: f64, b: f64, exact: bool) -> Option<Ordering> {
    if !exact && round::same(a, b) { Some(Ordering::Equal) } else { a.partial_cmp(&b) }
}

fn number(x: f64) -> Option<f64> {
    x.is_finite().then_some(x)
}

fn quotient(a: f64, b: f64) -> Option<f64> {
    if b == 0.0 { None } else { number(a / b) }
}

/// Runs steps over the values of the nodes; nothing when one of them cannot go on.
pub(super) fn run(steps: &[Op], values: &[f64]) -> Option<f64> {
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
        Op::Least(exact) => Some(if compare(a, b, exact)?.is_le() { a } else { b }),
        Op::Greatest(exact) => Some(if compare(a, b, exact)?.is_ge() { a } else { b }),
        Op::Compare(operator, exact) => {
            let order = compare(a, b, exact)?;
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
