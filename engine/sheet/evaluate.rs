//! Evaluation of the tree, with the reason when it does not go on.

use std::cmp::Ordering;

use super::book::{Book, NodeId};
use super::check::Type;
use super::columns::{item_by_item, rows_of};
use super::formula::{Builtin, Callee, CellColumn, Formula, Operator};
use super::lists::over_lists;
use super::outside::Language;
use super::program::holds;
use crate::catalogue::{Args, Fault, Value};
use crate::measure::{Dimension, Quantity, in_blocks};
use crate::problem::Problem;

/// Why there is no value.
#[derive(Debug, Clone)]
pub(super) enum Stop {
    /// Something is wrong.
    Fault(Problem),
    /// A node that it rests on has no value.
    Waiting(NodeId),
}

impl From<Problem> for Stop {
    fn from(problem: Problem) -> Self {
        Self::Fault(problem)
    }
}

/// A measure, or a plain number when nothing is left of its dimension.
pub(super) fn value_of(quantity: Quantity) -> Value {
    if quantity.dimension() == Dimension::NUMBER {
        Value::Number(quantity.base())
    } else {
        Value::Measure(quantity)
    }
}

/// What a value is as a quantity.
pub(super) fn quantity_of(value: &Value) -> Result<Quantity, Problem> {
    match value {
        Value::Measure(quantity) => Ok(*quantity),
        Value::Number(number) => Ok(Quantity::number(*number)),
        other => {
            Err(Problem::error(format!("{} where a measure or number was expected", other.words())))
        }
    }
}

/// What a value is, as a type.
pub(super) fn type_of(value: &Value) -> Type {
    match value {
        Value::Measure(quantity) => Type::Number(quantity.dimension()),
        Value::Number(_) => Type::PLAIN,
        Value::Text(_) => Type::Text,
        Value::Flag(_) => Type::Flag,
        Value::List(items) => Type::List(Box::new(items.first().map_or(Type::Unknown, type_of))),
        Value::Record(_) | Value::Nothing | Value::Object(_) => Type::Unknown,
    }
}

/// Evaluates a formula over the nodes of a book.
pub(super) fn evaluate(
    formula: &Formula,
    book: &Book,
    language: &dyn Language,
) -> Result<Value, Stop> {
    let sub = |formula: &Formula| evaluate(formula, book, language);
    let quantity = |formula: &Formula| Ok::<_, Stop>(quantity_of(&sub(formula)?)?);
    let flag = |formula: &Formula| match sub(formula)? {
        Value::Flag(flag) => Ok(flag),
        other => Err(Stop::Fault(Problem::error(format!(
            "{} where yes or no was expected",
            other.words()
        )))),
    };
    Ok(match formula {
        Formula::Binary(..) | Formula::Negative(_) | Formula::Not(_) | Formula::Power(..)
            if rows_of(formula)?.is_some() =>
        {
            sub(&item_by_item(formula)?)?
        }
        Formula::Column(CellColumn { first, count, .. }) | Formula::Cells(first, count) => {
            let of = |id: NodeId| book.value(id).ok_or(Stop::Waiting(id));
            Value::List((*first..first + count).map(of).collect::<Result<_, _>>()?)
        }
        Formula::Number(value) => Value::Number(*value),
        Formula::Measure(quantity, _) => value_of(*quantity),
        Formula::Text(text) => Value::Text(text.clone()),
        Formula::Flag(flag) => Value::Flag(*flag),
        Formula::Node(id) => book.value(*id).ok_or(Stop::Waiting(*id))?,
        Formula::Name(name) => {
            return Err(
                Problem::error(format!("nothing is called \"{}\" here", name.text())).into()
            );
        }
        Formula::List(items) => Value::List(items.iter().map(sub).collect::<Result<_, _>>()?),
        Formula::Negative(a) => value_of(quantity(a)?.negative()),
        Formula::Not(a) => Value::Flag(!flag(a)?),
        Formula::Unit(a, one, name) => {
            let number = quantity(a)?;
            if number.dimension() != Dimension::NUMBER {
                return Err(Problem::error(format!("{} has no {name}", number.dimension()))
                    .help("units are written after a plain number, as in 12.ft")
                    .into());
            }
            value_of(number.multiply(*one)?)
        }
        Formula::Power(a, n) => value_of(quantity(a)?.power(*n)?),
        Formula::Binary(Operator::And, a, b) => Value::Flag(flag(a)? && flag(b)?),
        Formula::Binary(Operator::Or, a, b) => Value::Flag(flag(a)? || flag(b)?),
        Formula::Binary(operator, a, b) => {
            let (left, right) = (sub(a)?, sub(b)?);
            binary(*operator, &left, &right).map_err(|problem| match &**b {
                Formula::Node(id) if problem.message == "division by zero" => {
                    Problem::error(format!("division by zero: {} is 0", book.node(*id).name))
                }
                _ => problem,
            })?
        }
        Formula::Choice(condition, a, b) => sub(if flag(condition)? { a } else { b })?,
        Formula::Call(callee, inputs) => {
            let values: Vec<Value> = inputs.iter().map(sub).collect::<Result<_, _>>()?;
            call(callee, values, language).map_err(|problem| match (callee, inputs.get(1)) {
                // What is wrong may stand in the rows that it looked among.
                (
                    Callee::Builtin(
                        Builtin::ValueFor | Builtin::ValueInBand | Builtin::ValueBetween,
                    ),
                    Some(Formula::Column(column)),
                ) => problem.detail(format!("looked for in {}", book.node(column.id).name)),
                _ => problem,
            })?
        }
        Formula::Field(of, name) => match sub(of)? {
            Value::Record(fields) => fields
                .into_iter()
                .find(|(field, _)| field == name)
                .map(|(_, value)| value)
                .ok_or_else(|| Problem::error(format!("the result has no {name}")))?,
            other => return Err(Problem::error(format!("{} has no {name}", other.words())).into()),
        },
        Formula::Opaque(opaque) => {
            let mut known = Vec::new();
            for (name, node) in &opaque.nodes {
                known.push((name.clone(), sub(node)?));
            }
            language.evaluate(opaque, &known)?
        }
    })
}

pub(super) fn binary(operator: Operator, a: &Value, b: &Value) -> Result<Value, Problem> {
    if operator.compares() {
        let order = match (a, b) {
            (Value::Text(a), Value::Text(b)) => a.cmp(b),
            (Value::Flag(a), Value::Flag(b)) => a.cmp(b),
            (a, b) => quantity_of(a)?.compare(quantity_of(b)?)?,
        };
        return Ok(Value::Flag(holds(operator, order)));
    }
    let (a, b) = (quantity_of(a)?, quantity_of(b)?);
    Ok(value_of(match operator {
        Operator::Add => a.add(b)?,
        Operator::Subtract => a.subtract(b)?,
        Operator::Multiply => a.multiply(b)?,
        _ => a.divide(b)?,
    }))
}

fn call(callee: &Callee, inputs: Vec<Value>, language: &dyn Language) -> Result<Value, Problem> {
    match callee {
        Callee::Script(name) => language.call(name, &inputs),
        Callee::Trade(function) => {
            (function.evaluate)(&Args::new(function, inputs)).map_err(|fault| match fault {
                Fault::Problem(problem) => problem,
                Fault::NoLayout(..) => Problem::error("no layout of steps is legal"),
            })
        }
        Callee::Builtin(builtin) => {
            match over_lists(*builtin, &inputs, &|of| language.usual_unit(of)) {
                Some(value) => value,
                None => of_builtin(*builtin, inputs),
            }
        }
    }
}

fn of_builtin(builtin: Builtin, inputs: Vec<Value>) -> Result<Value, Problem> {
    let many = match (builtin, &inputs[..]) {
        (Builtin::Sum | Builtin::Least | Builtin::Greatest, [Value::List(items)]) => items.clone(),
        _ => inputs,
    };
    let quantities: Vec<Quantity> = many.iter().map(quantity_of).collect::<Result<_, _>>()?;
    let two = |a: Quantity, b: Quantity| match builtin {
        Builtin::Sum => a.add(b),
        Builtin::RoundUp => a.round_up(b),
        Builtin::RoundDown => a.round_down(b),
        Builtin::RoundNear => a.round_nearest(b),
        Builtin::Least => Ok(if a.compare(b)? == Ordering::Greater { b } else { a }),
        Builtin::Greatest => Ok(if a.compare(b)? == Ordering::Less { b } else { a }),
        _ => Ok(a),
    };
    let Some(folded) = in_blocks(&quantities, &two)? else {
        return Err(Problem::error(format!("{} of an empty list", builtin.name())));
    };
    Ok(value_of(match builtin {
        Builtin::Size => folded.size(),
        Builtin::ToCent => folded.to_cent()?,
        _ => folded,
    }))
}
