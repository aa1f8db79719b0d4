//! Functions over columns by their values: sums and the like by a condition, and what looks a value up.

use super::columns::same_length;
use super::days::{working_day_after, working_days};
use super::evaluate::{binary as of_two, quantity_of, value_of};
use super::formula::{Builtin, Operator};
use super::words::value_words;
use crate::catalogue::Value;
use crate::measure::{Dimension, Quantity, in_blocks};
use crate::problem::Problem;

/// Most values that a message lists.
const MOST_TOLD: usize = 12;

/// A value as a person reads it, a measure in its usual unit.
fn words(value: &Value, unit: UsualUnit) -> String {
    match value {
        Value::Measure(quantity) => value_words(value, &unit(quantity.dimension())),
        other => value_words(other, ""),
    }
}

/// The usual unit of a dimension.
pub type UsualUnit<'a> = &'a dyn Fn(Dimension) -> String;

/// What a function over columns, or one that looks a value up, joins texts, takes a root or counts days, gives for values;
/// nothing of the other functions. Measures in messages stand in their usual units.
pub fn over_lists(
    builtin: Builtin,
    inputs: &[Value],
    unit: UsualUnit,
) -> Option<Result<Value, Problem>> {
    Some(match (builtin, inputs) {
        (Builtin::Count, [Value::List(items)]) => Ok(counted(items.len())),
        (Builtin::Mean, [Value::List(items)]) => mean(sum(items), items.len()),
        (Builtin::CountWhere, [Value::List(flags)]) => sum_where(None, flags),
        (Builtin::SumWhere, [Value::List(items), Value::List(flags)]) => {
            sum_where(Some(items), flags)
        }
        (Builtin::MeanWhere, [Value::List(items), Value::List(flags)]) => {
            let count = flags.iter().filter(|flag| matches!(flag, Value::Flag(true))).count();
            mean(sum_where(Some(items), flags), count)
        }
        (Builtin::Root, [value]) => root(value),
        (Builtin::Joined, values) => {
            Ok(Value::Text(values.iter().map(|value| words(value, unit)).collect()))
        }
        (Builtin::WorkingDays, [from, to, rest @ ..]) => working_days(from, to, rest.first()),
        (Builtin::WorkingDayAfter, [date, days, rest @ ..]) => {
            working_day_after(date, days, rest.first())
        }
        (
            Builtin::LeastWhere | Builtin::GreatestWhere,
            [Value::List(items), Value::List(flags)],
        ) => among(builtin == Builtin::LeastWhere, items, flags),
        (Builtin::ValueFor, [key, Value::List(keys), Value::List(values)]) => {
            value_for(key, keys, values, unit)
        }
        (Builtin::ValueInBand, [at, Value::List(from), Value::List(values)]) => {
            value_in_band(at, from, values, unit)
        }
        (Builtin::ValueBetween, [at, Value::List(xs), Value::List(values)]) => {
            value_between(at, xs, values, unit)
        }
        _ => return None,
    })
}

fn counted(count: usize) -> Value {
    #[expect(clippy::cast_precision_loss, reason = "rows of a sheet")]
    Value::Number(count as f64)
}

fn sum(items: &[Value]) -> Result<Value, Problem> {
    let items = items.iter().map(quantity_of).collect::<Result<Vec<_>, _>>()?;
    match in_blocks(&items, &Quantity::add)? {
        Some(sum) => Ok(value_of(sum)),
        None => Err(Problem::error("the sum of no row")),
    }
}

fn mean(sum: Result<Value, Problem>, count: usize) -> Result<Value, Problem> {
    if count == 0 {
        return Err(Problem::error("the mean of no row")
            .help("no row meets the condition, or there is none"));
    }
    of_two(Operator::Divide, &sum?, &counted(count))
}

/// The sum of the items whose flag holds, or of ones.
fn sum_where(items: Option<&[Value]>, flags: &[Value]) -> Result<Value, Problem> {
    let of_flag = |flag: &Value| match flag {
        Value::Flag(flag) => Ok(Value::Number(if *flag { 1.0 } else { 0.0 })),
        other => Err(Problem::error(format!("{} where yes or no was expected", other.words()))),
    };
    let flags = flags.iter().map(of_flag).collect::<Result<Vec<_>, _>>()?;
    let Some(items) = items else { return sum(&flags) };
    same_length(items.len(), flags.len())?;
    let of_row = |(item, flag)| of_two(Operator::Multiply, item, flag);
    sum(&items.iter().zip(&flags).map(of_row).collect::<Result<Vec<_>, _>>()?)
}

fn root(value: &Value) -> Result<Value, Problem> {
    let quantity = quantity_of(value)?;
    let dimension = quantity
        .dimension()
        .root()
        .ok_or_else(|| Problem::error(format!("the square root of {}", quantity.dimension())))?;
    if quantity.base() < 0.0 {
        return Err(Problem::error("the square root of a negative number"));
    }
    Ok(value_of(Quantity::new(quantity.base().sqrt(), dimension)))
}

fn holds(operator: Operator, a: &Value, b: &Value) -> Result<bool, Problem> {
    Ok(matches!(of_two(operator, a, b)?, Value::Flag(true)))
}

fn among(least: bool, items: &[Value], flags: &[Value]) -> Result<Value, Problem> {
    same_length(items.len(), flags.len())?;
    let better = if least { Operator::Less } else { Operator::More };
    let counted = |(item, flag)| matches!(flag, &Value::Flag(true)).then_some(item);
    let counted: Vec<Option<&Value>> = items.iter().zip(flags).map(counted).collect();
    let best = in_blocks(&counted, &|a, b| match (a, b) {
        (Some(known), Some(item)) => {
            Ok::<_, Problem>(Some(if holds(better, item, known)? { item } else { known }))
        }
        (a, b) => Ok(a.or(b)),
    })?;
    best.flatten().cloned().ok_or_else(|| Problem::error("no row meets the condition"))
}

fn value_for(
    key: &Value,
    keys: &[Value],
    values: &[Value],
    unit: UsualUnit,
) -> Result<Value, Problem> {
    same_length(keys.len(), values.len())?;
    let mut found = None;
    for (known, value) in keys.iter().zip(values) {
        if holds(Operator::Equal, known, key)? {
            if found.is_some() {
                let key = words(key, unit);
                return Err(Problem::error(format!("two rows have {key}"))
                    .help("a key stands in one row only"));
            }
            found = Some(value);
        }
    }
    found.cloned().ok_or_else(|| {
        let known: Vec<String> = keys.iter().take(MOST_TOLD).map(|key| words(key, unit)).collect();
        let more = if keys.len() > MOST_TOLD { ", ..." } else { "" };
        Problem::error(format!("no row has \"{}\"", words(key, unit)))
            .help(format!("there are {}{more}", known.join(", ")))
    })
}

/// The numbers of a column, which must go up from row to row.
fn rising(column: &[Value], unit: UsualUnit) -> Result<(), Problem> {
    for pair in column.windows(2) {
        if !holds(Operator::Less, &pair[0], &pair[1])? {
            let [a, b] = [&pair[0], &pair[1]].map(|value| words(value, unit));
            return Err(Problem::error(format!("{b} stands after {a}"))
                .help("the column must go up from row to row"));
        }
    }
    Ok(())
}

fn value_in_band(
    at: &Value,
    from: &[Value],
    values: &[Value],
    unit: UsualUnit,
) -> Result<Value, Problem> {
    same_length(from.len(), values.len())?;
    rising(from, unit)?;
    let mut found = None;
    for (begins, value) in from.iter().zip(values) {
        if holds(Operator::AtLeast, at, begins)? {
            found = Some(value);
        }
    }
    let Some(first) = from.first() else { return Err(Problem::error("there is no band")) };
    found.cloned().ok_or_else(|| {
        Problem::error(format!("{} is under the first band", words(at, unit)))
            .help(format!("the first band begins at {}; the last has no end", words(first, unit)))
    })
}

fn value_between(
    at: &Value,
    xs: &[Value],
    values: &[Value],
    unit: UsualUnit,
) -> Result<Value, Problem> {
    same_length(xs.len(), values.len())?;
    rising(xs, unit)?;
    let (Some(first), Some(last)) = (xs.first(), xs.last().filter(|_| xs.len() > 1)) else {
        let rows = if xs.is_empty() { "no row" } else { "one row" };
        return Err(Problem::error(format!("{rows} where a value is looked for between two"))
            .help("the table has two rows or more"));
    };
    let x = quantity_of(at)?;
    let rows: Vec<(Quantity, Quantity)> = xs
        .iter()
        .zip(values)
        .map(|(x, value)| Ok((quantity_of(x)?, quantity_of(value)?)))
        .collect::<Result<_, Problem>>()?;
    for pair in rows.windows(2) {
        let [(x0, y0), (x1, y1)] = [pair[0], pair[1]];
        if x.compare(x0)?.is_ge() && x.compare(x1)?.is_le() {
            let share = x.subtract(x0)?.divide(x1.subtract(x0)?)?;
            return Ok(value_of(y0.add(y1.subtract(y0)?.multiply(share)?)?));
        }
    }
    Err(Problem::error(format!("{} is outside the rows", words(at, unit))).help(format!(
        "they go from {} to {}; nothing is guessed beyond them",
        words(first, unit),
        words(last, unit)
    )))
}
