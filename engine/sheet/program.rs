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
pub(super) enum Step {
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
pub(super) fn compile(formula: &Formula, nodes: &[Node], steps: &mut Vec<Step>) -> bool {
    emit(formula, nodes, steps).is_some_and(|depth| depth <= DEEPEST)
}

/// Adds the steps of a formula and tells how deep the stack gets.
fn emit(formula: &Formula, nodes: &[Node], steps: &mut Vec<Step>) -> Option<usize> {
    match formula {
        Formula::Number(value) => steps.push(Step::Constant(*value)),
        Formula::Measure(quantity, _) => steps.push(Step::Constant(quantity.base())),
        Formula::Flag(flag) => steps.push(Step::Constant(f64::from(u8::from(*flag)))),
        Formula::Node(id) => {
            if !nodes[*id as usize].kind.is_numeric() {
                return None;
            }
            steps.push(Step::Load(*id));
        }
        Formula::Negative(a) => {
            let depth = emit(a, nodes, steps)?;
            steps.push(Step::Negative);
            return Some(depth);
        }
        Formula::Not(a) => {
            let depth = emit(a, nodes, steps)?;
            steps.push(Step::Not);
            return Some(depth);
        }
        Formula::Unit(a, one, _) => {
            let depth = emit(a, nodes, steps)?;
            steps.push(Step::MultiplyBy(one.base()));
            return Some(depth);
        }
        Formula::Power(a, n) => {
            let depth = emit(a, nodes, steps)?;
            steps.push(Step::Power(*n));
            return Some(depth);
        }
        Formula::Binary(operator, a, b) => return binary(*operator, a, b, nodes, steps),
        Formula::Choice(condition, a, b) => {
            let condition = emit(condition, nodes, steps)?;
            let unless = steps.len();
            steps.push(Step::Unless(0));
            let first = emit(a, nodes, steps)?;
            let skip = steps.len();
            steps.push(Step::Skip(0));
            let second = emit(b, nodes, steps)?;
            steps[unless] = Step::Unless(u16::try_from(skip - unless).ok()?);
            steps[skip] = Step::Skip(u16::try_from(steps.len() - 1 - skip).ok()?);
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
    steps: &mut Vec<Step>,
) -> Option<usize> {
    let left = emit(a, nodes, steps)?;
    if matches!(operator, Operator::And | Operator::Or) {
        let at = steps.len();
        steps.push(Step::Shortcut(false, 0));
        let right = emit(b, nodes, steps)?;
        let further = u16::try_from(steps.len() - 1 - at).ok()?;
        steps[at] = Step::Shortcut(operator == Operator::Or, further);
        return Some(left.max(right));
    }
    let joined = match (operator, b) {
        (Operator::Add, Formula::Node(id)) => Some(Step::AddNode(*id)),
        (Operator::Subtract, Formula::Node(id)) => Some(Step::SubtractNode(*id)),
        (Operator::Multiply, Formula::Node(id)) => Some(Step::MultiplyNode(*id)),
        (Operator::Divide, Formula::Node(id)) => Some(Step::DivideNode(*id)),
        (Operator::Multiply, Formula::Number(x)) => Some(Step::MultiplyBy(*x)),
        (Operator::Divide, Formula::Number(x)) if *x != 0.0 => Some(Step::DivideBy(*x)),
        (Operator::Add, Formula::Number(x)) => Some(Step::AddConstant(*x)),
        (Operator::Add, Formula::Measure(x, _)) => Some(Step::AddConstant(x.base())),
        (Operator::Subtract, Formula::Measure(x, _)) => Some(Step::AddConstant(-x.base())),
        (Operator::Multiply, Formula::Measure(x, _)) => Some(Step::MultiplyBy(x.base())),
        (Operator::Divide, Formula::Measure(x, _)) if x.base() != 0.0 => {
            Some(Step::DivideBy(x.base()))
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
        Operator::Add => Step::Add,
        Operator::Subtract => Step::Subtract,
        Operator::Multiply => Step::Multiply,
        Operator::Divide => Step::Divide,
        other => Step::Compare(other, exact(a, nodes)?),
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
    steps: &mut Vec<Step>,
) -> Option<usize> {
    let items = match (builtin, inputs) {
        (Builtin::Sum | Builtin::Least | Builtin::Greatest, [Formula::List(items)]) => &items[..],
        (Builtin::Sum, _) => return None,
        (_, inputs) => inputs,
    };
    let step = match builtin {
        Builtin::Sum => Step::Add,
        Builtin::RoundUp => Step::RoundUp,
        Builtin::RoundDown => Step::RoundDown,
        Builtin::RoundNear => Step::RoundNear,
        Builtin::Least => Step::Least(exact(items.first()?, nodes)?),
        Builtin::Greatest => Step::Greatest(exact(items.first()?, nodes)?),
        Builtin::Size | Builtin::ToCent => {
            let depth = emit(items.first()?, nodes, steps)?;
            let size = builtin == Builtin::Size;
            steps.push(if size { Step::Size } else { Step::ToCent });
            return Some(depth);
        }
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
pub(super) fn run(steps: &[Step], values: &[f64]) -> Option<f64> {
    let mut stack = [0.0_f64; DEEPEST + 1];
    // The top of the stack stands apart; `stack` holds what is below it.
    let (mut top, mut depth) = (0.0_f64, 0_usize);
    let mut at = 0;
    while let Some(step) = steps.get(at) {
        at += 1;
        match *step {
            Step::Constant(value) => {
                stack[depth] = top;
                depth += 1;
                top = value;
            }
            Step::Load(id) => {
                stack[depth] = top;
                depth += 1;
                top = number(values[id as usize])?;
            }
            Step::AddNode(id) => top = number(top + values[id as usize])?,
            Step::SubtractNode(id) => top = number(top - values[id as usize])?,
            Step::MultiplyNode(id) => top = number(top * values[id as usize])?,
            Step::DivideNode(id) => top = quotient(top, values[id as usize])?,
            Step::MultiplyBy(x) => top = number(top * x)?,
            Step::DivideBy(x) => top = number(top / x)?,
            Step::AddConstant(x) => top = number(top + x)?,
            Step::Negative => top = -top,
            Step::Not => top = f64::from(u8::from(top == 0.0)),
            Step::Power(n) => top = number(top.powi(i32::from(n)))?,
            Step::Size => top = top.abs(),
            Step::ToCent => top = number(round::multiple(round::steps_near(top, 0.01), 0.01))?,
            Step::Unless(further) => {
                let holds = top != 0.0;
                depth -= 1;
                top = stack[depth];
                if !holds {
                    at += usize::from(further);
                }
            }
            Step::Skip(further) => at += usize::from(further),
            Step::Shortcut(when, further) => {
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

fn of_two(step: Step, a: f64, b: f64) -> Option<f64> {
    let rounded = |steps: fn(f64, f64) -> f64| {
        if b > 0.0 { number(round::multiple(steps(a, b), b)) } else { None }
    };
    match step {
        Step::Add => number(a + b),
        Step::Subtract => number(a - b),
        Step::Multiply => number(a * b),
        Step::Divide => quotient(a, b),
        Step::RoundUp => rounded(round::steps_up),
        Step::RoundDown => rounded(round::steps_down),
        Step::RoundNear => rounded(round::steps_near),
        Step::Least(exact) => Some(if compare(a, b, exact)?.is_le() { a } else { b }),
        Step::Greatest(exact) => Some(if compare(a, b, exact)?.is_ge() { a } else { b }),
        Step::Compare(operator, exact) => {
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
