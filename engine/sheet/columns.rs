//! Columns in formulas: what is worked out item by item, and what of the functions over columns is said in simpler terms.

use super::formula::{Builtin, Callee, CellColumn, Formula, Operator};
use crate::problem::Problem;

/// Goes through a formula over columns: the columns of which a row takes the cell of that row, and the parts that every row
/// takes whole.
pub(super) fn by_row<'f>(
    formula: &'f Formula,
    column: &mut dyn FnMut(&'f CellColumn),
    whole: &mut dyn FnMut(&'f Formula),
) {
    match formula {
        Formula::Column(one) => column(one),
        Formula::Binary(..) | Formula::Negative(_) | Formula::Not(_) | Formula::Power(..) => {
            formula.parts().into_iter().for_each(|part| by_row(part, column, whole));
        }
        other => whole(other),
    }
}

/// How many values a formula gives, one for each row of the columns in it; nothing for a single value.
///
/// # Errors
/// The columns are of different lengths.
pub(super) fn rows_of(formula: &Formula) -> Result<Option<u32>, Problem> {
    match formula {
        Formula::Column(column) => Ok(Some(column.count)),
        Formula::Binary(_, a, b) => match (rows_of(a)?, rows_of(b)?) {
            (Some(a), Some(b)) => same_length(a as usize, b as usize).map(|()| Some(a)),
            (a, b) => Ok(a.or(b)),
        },
        Formula::Negative(a) | Formula::Not(a) | Formula::Power(a, _) => rows_of(a),
        _ => Ok(None),
    }
}

/// What a formula over columns is in one row.
pub(super) fn of_row(formula: &Formula, row: u32) -> Formula {
    let of = |part: &Formula| Box::new(of_row(part, row));
    match formula {
        Formula::Column(column) => Formula::Node(column.first + row),
        Formula::Binary(operator, a, b) => Formula::Binary(*operator, of(a), of(b)),
        Formula::Negative(a) => Formula::Negative(of(a)),
        Formula::Not(a) => Formula::Not(of(a)),
        Formula::Power(a, n) => Formula::Power(of(a), *n),
        other => other.clone(),
    }
}

/// A formula with every column as the list of its cells, and what is done with columns done item by item.
///
/// # Errors
/// The columns are of different lengths.
pub(super) fn item_by_item(formula: &Formula) -> Result<Formula, Problem> {
    let of = |part: &Formula| item_by_item(part).map(Box::new);
    let all = |parts: &[Formula]| parts.iter().map(item_by_item).collect::<Result<Vec<_>, _>>();
    let mut formula = match formula {
        Formula::Column(CellColumn { first, count, .. }) => {
            return Ok(Formula::List((*first..first + count).map(Formula::Node).collect()));
        }
        Formula::List(items) => Formula::List(all(items)?),
        Formula::Call(callee, inputs) => Formula::Call(callee.clone(), all(inputs)?),
        Formula::Negative(a) => Formula::Negative(of(a)?),
        Formula::Not(a) => Formula::Not(of(a)?),
        Formula::Unit(a, one, name) => Formula::Unit(of(a)?, *one, name.clone()),
        Formula::Power(a, n) => Formula::Power(of(a)?, *n),
        Formula::Field(a, name) => Formula::Field(of(a)?, name.clone()),
        Formula::Binary(operator, a, b) => Formula::Binary(*operator, of(a)?, of(b)?),
        Formula::Choice(a, b, c) => Formula::Choice(of(a)?, of(b)?, of(c)?),
        other => other.clone(),
    };
    if let Some(simple) = simpler(&formula)? {
        formula = simple;
    }
    Ok(formula)
}

/// A formula over lists in simpler terms, where there are any.
///
/// # Errors
/// The lists are of different lengths.
fn simpler(formula: &Formula) -> Result<Option<Formula>, Problem> {
    match formula {
        Formula::Binary(operator, a, b) => by_item(*operator, a, b),
        Formula::Call(Callee::Builtin(builtin), inputs) => in_simple_terms(*builtin, inputs),
        other => Ok(each_item(other)),
    }
}

/// A formula whose parts are looked up: over columns as it is, over lists item by item.
///
/// # Errors
/// The columns are of different lengths.
pub(super) fn looked_up(formula: &Formula) -> Result<Option<Formula>, Problem> {
    use Builtin as B;
    let parts = formula.parts();
    let over_columns = parts.iter().map(|part| rows_of(part)).collect::<Result<Vec<_>, _>>()?;
    if over_columns.iter().all(Option::is_none) {
        return simpler(formula);
    }
    // A list beside a column: both as lists.
    if parts.iter().any(|part| matches!(part, Formula::List(_))) {
        return item_by_item(formula).map(Some);
    }
    let pair = match (formula, &over_columns[..]) {
        (Formula::Binary(..), _) => return rows_of(formula).map(|_| None),
        (
            Formula::Call(
                Callee::Builtin(B::SumWhere | B::MeanWhere | B::LeastWhere | B::GreatestWhere),
                _,
            ),
            [Some(a), Some(b)],
        )
        | (
            Formula::Call(Callee::Builtin(B::ValueFor | B::ValueInBand | B::ValueBetween), _),
            [_, Some(a), Some(b)],
        ) => (*a as usize, *b as usize),
        _ => return Ok(None),
    };
    same_length(pair.0, pair.1).map(|()| None)
}

/// An operator of a column and a value, or of two columns: of each item; nothing where neither is one.
///
/// # Errors
/// The columns are of different lengths.
fn by_item(operator: Operator, a: &Formula, b: &Formula) -> Result<Option<Formula>, Problem> {
    let pair = |a: &Formula, b: &Formula| Formula::two(operator, a, b);
    Ok(Some(Formula::List(match (a, b) {
        (Formula::List(a), Formula::List(b)) => {
            same_length(a.len(), b.len())?;
            a.iter().zip(b).map(|(a, b)| pair(a, b)).collect()
        }
        (Formula::List(a), b) => a.iter().map(|a| pair(a, b)).collect(),
        (a, Formula::List(b)) => b.iter().map(|b| pair(a, b)).collect(),
        _ => return Ok(None),
    })))
}

/// What stands before a column, such as a minus, before each of its items; nothing where it is no column.
fn each_item(formula: &Formula) -> Option<Formula> {
    let wrap: &dyn Fn(Formula) -> Formula = match formula {
        Formula::Negative(_) => &|item| Formula::Negative(Box::new(item)),
        Formula::Not(_) => &|item| Formula::Not(Box::new(item)),
        Formula::Power(_, n) => &|item| Formula::Power(Box::new(item), *n),
        _ => return None,
    };
    match formula.parts().first()? {
        Formula::List(items) => Some(Formula::List(items.iter().cloned().map(wrap).collect())),
        _ => None,
    }
}

pub(super) fn same_length(a: usize, b: usize) -> Result<(), Problem> {
    if a == b {
        return Ok(());
    }
    Err(Problem::error(format!("a column of {a} rows beside one of {b}"))
        .help("both must be of the same rows"))
}

fn number(value: usize) -> Formula {
    #[expect(clippy::cast_precision_loss, reason = "rows of a sheet")]
    Formula::Number(value as f64)
}

fn sum(items: Vec<Formula>) -> Formula {
    Formula::Call(Callee::Builtin(Builtin::Sum), vec![Formula::List(items)])
}

/// One where a condition holds, else nothing.
fn counted(flag: &Formula) -> Formula {
    let (one, none) = (Formula::Number(1.0), Formula::Number(0.0));
    Formula::Choice(Box::new(flag.clone()), Box::new(one), Box::new(none))
}

/// Counts, means, and sums and means by a condition, as sums; nothing of other functions.
///
/// # Errors
/// The columns are of different lengths.
fn in_simple_terms(builtin: Builtin, inputs: &[Formula]) -> Result<Option<Formula>, Problem> {
    let of_those = |items: &[Formula], flags: &[Formula]| {
        same_length(items.len(), flags.len())?;
        let one = |(item, flag): (&Formula, &Formula)| {
            Formula::two(Operator::Multiply, item, &counted(flag))
        };
        Ok::<_, Problem>(sum(items.iter().zip(flags).map(one).collect()))
    };
    Ok(Some(match (builtin, inputs) {
        (Builtin::Count, [Formula::List(items)]) => number(items.len()),
        // It is told where it is worked out: a condition may keep it from that.
        (Builtin::Mean, [Formula::List(items)]) if items.is_empty() => return Ok(None),
        (Builtin::CountWhere, [Formula::List(flags)]) if flags.is_empty() => number(0),
        (Builtin::Mean, [Formula::List(items)]) => {
            Formula::two(Operator::Divide, &sum(items.clone()), &number(items.len()))
        }
        (Builtin::CountWhere, [Formula::List(flags)]) => sum(flags.iter().map(counted).collect()),
        (Builtin::SumWhere, [Formula::List(items), Formula::List(flags)]) => {
            of_those(items, flags)?
        }
        (Builtin::MeanWhere, [Formula::List(items), Formula::List(flags)]) => {
            let count = sum(flags.iter().map(counted).collect());
            Formula::two(Operator::Divide, &of_those(items, flags)?, &count)
        }
        _ => return Ok(None),
    }))
}
