//! The check of dimensions: what a formula gives, before anything is computed.

use std::fmt;

use super::book::Node;
use super::columns::{item_by_item, of_row, rows_of};
use super::formula::{Builtin, Callee, Formula, Operator};
use crate::catalogue::{Field, Function, ValueKind};
use crate::measure::Dimension;
use crate::problem::{Problem, closest};

/// What a formula gives.
#[derive(Debug, Clone, PartialEq)]
pub enum Type {
    /// A measure or a plain number.
    Number(Dimension),
    /// A text.
    Text,
    /// Yes or no.
    Flag,
    /// Several of one kind.
    List(Box<Type>),
    /// Several results by name.
    Record(&'static [Field]),
    /// Something that is known only when it is evaluated.
    Unknown,
}

impl Type {
    /// A plain number.
    pub const PLAIN: Self = Self::Number(Dimension::NUMBER);

    /// The type of what a trade function takes or gives.
    pub fn of(kind: ValueKind) -> Self {
        match kind {
            ValueKind::Measure(dimension) => Self::Number(dimension),
            ValueKind::Number => Self::PLAIN,
            ValueKind::Text | ValueKind::Choice(_) => Self::Text,
            ValueKind::Flag => Self::Flag,
            ValueKind::List(dimension) => Self::List(Box::new(Self::Number(dimension))),
            ValueKind::Record(fields) => Self::Record(fields),
            ValueKind::Job | ValueKind::Ground | ValueKind::Layout | ValueKind::Parts => {
                Self::Unknown
            }
        }
    }

    /// Whether a value of it is held as one number.
    pub fn is_numeric(&self) -> bool {
        matches!(self, Self::Number(_) | Self::Flag)
    }

    fn dimension(&self) -> Option<Dimension> {
        match self {
            Self::Number(dimension) => Some(*dimension),
            _ => None,
        }
    }
}

impl fmt::Display for Type {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number(dimension) => write!(f, "{dimension}"),
            Self::Text => f.write_str("a text"),
            Self::Flag => f.write_str("yes or no"),
            Self::List(of) => write!(f, "a list, each {of}"),
            Self::Record(_) => f.write_str("several values by name"),
            Self::Unknown => f.write_str("not known before it is evaluated"),
        }
    }
}

/// What a formula gives over the nodes whose types are known.
///
/// # Errors
/// Two things do not go together; the message says which.
pub(super) fn check(formula: &Formula, nodes: &[Node]) -> Result<Type, Problem> {
    let sub = |formula: &Formula| check(formula, nodes);
    match formula {
        Formula::Number(value) if !value.is_finite() => {
            Err(Problem::error("this number is larger than anything that is counted")
                .help("look at its power of ten"))
        }
        Formula::Number(_) => Ok(Type::PLAIN),
        Formula::Measure(quantity, _) => Ok(Type::Number(quantity.dimension())),
        Formula::Text(_) => Ok(Type::Text),
        Formula::Flag(_) => Ok(Type::Flag),
        Formula::Node(id) => Ok(nodes[*id as usize].kind.clone()),
        // Cells of several kinds: what does not go together is told.
        _ if rests_on_mixed(formula, nodes) => check(&item_by_item(formula)?, nodes),
        Formula::Column(column) => Ok(nodes[column.id as usize].kind.clone()),
        Formula::Cells(first, count) => {
            let mut kinds = (*first..first + count).map(|id| &nodes[id as usize].kind);
            let of = kinds.next().cloned().unwrap_or(Type::Unknown);
            let of = if kinds.all(|kind| *kind == of) { of } else { Type::Unknown };
            Ok(Type::List(Box::new(of)))
        }
        Formula::Binary(..) | Formula::Negative(_) | Formula::Not(_) | Formula::Power(..)
            if rows_of(formula)?.is_some() =>
        {
            Ok(Type::List(Box::new(sub(&of_row(formula, 0))?)))
        }
        Formula::Name(name) => {
            Err(Problem::error(format!("nothing is called \"{}\" here", name.text())))
        }
        Formula::List(items) => {
            let mut of = Type::Unknown;
            for item in items {
                let kind = sub(item)?;
                if of == Type::Unknown {
                    of = kind;
                } else if kind != of && kind != Type::Unknown {
                    return Err(Problem::error(format!("a list of {of} and {kind}")));
                }
            }
            Ok(Type::List(Box::new(of)))
        }
        Formula::Negative(a) => match sub(a)? {
            Type::Number(dimension) if dimension.point => {
                Err(Problem::error(format!("{dimension} has no negative")))
            }
            kind @ (Type::Number(_) | Type::Unknown) => Ok(kind),
            other => Err(Problem::error(format!("the negative of {other}"))),
        },
        Formula::Not(a) => match sub(a)? {
            Type::Flag | Type::Unknown => Ok(Type::Flag),
            other => Err(Problem::error(format!("the contrary of {other}"))),
        },
        Formula::Unit(a, one, name) => match sub(a)? {
            Type::PLAIN | Type::Unknown => Ok(Type::Number(one.dimension())),
            other => Err(Problem::error(format!("{other} has no {name}"))
                .help("units are written after a plain number, as in 12.ft")),
        },
        Formula::Power(a, n) => match sub(a)? {
            Type::Number(dimension) => {
                no_point(dimension)?;
                Ok(Type::Number(dimension.power(*n)))
            }
            Type::Unknown => Ok(Type::Unknown),
            other => Err(Problem::error(format!("a power of {other}"))),
        },
        Formula::Binary(operator, a, b) => binary(*operator, &sub(a)?, &sub(b)?),
        Formula::Choice(condition, a, b) => {
            match sub(condition)? {
                Type::Flag | Type::Unknown => {}
                other => {
                    return Err(Problem::error(format!(
                        "the condition is {other}, yes or no was expected"
                    )));
                }
            }
            match (sub(a)?, sub(b)?) {
                (a, b) if a == b => Ok(a),
                (Type::Unknown, other) | (other, Type::Unknown) => Ok(other),
                (a, b) => Err(Problem::error(format!("either {a} or {b}"))
                    .help("both sides of else must give the same thing")),
            }
        }
        Formula::Call(callee, inputs) => call(callee, inputs, nodes),
        Formula::Field(of, name) => match sub(of)? {
            Type::Record(fields) => match fields.iter().find(|field| field.name == name) {
                Some(field) => Ok(Type::of(field.kind)),
                None => Err(no_field(name, fields)),
            },
            Type::Unknown => Ok(Type::Unknown),
            Type::List(_) => Err(Problem::error(format!("no one row of it is called {name}")).help(
                "a row is called what stands in its first column, [\"A\"]; rows of one name by their number, [\"#2\"]",
            )),
            other => Err(Problem::error(format!("{other} has no {name}"))),
        },
        Formula::Opaque(_) => Ok(Type::Unknown),
    }
}

/// Whether what a formula does row by row, it does with a column whose cells are not all of one kind.
fn rests_on_mixed(formula: &Formula, nodes: &[Node]) -> bool {
    match formula {
        Formula::Column(column) => {
            nodes[column.id as usize].kind == Type::List(Box::new(Type::Unknown))
        }
        Formula::Binary(_, a, b) => rests_on_mixed(a, nodes) || rests_on_mixed(b, nodes),
        Formula::Negative(a) | Formula::Not(a) | Formula::Power(a, _) => rests_on_mixed(a, nodes),
        _ => false,
    }
}

fn no_field(name: &str, fields: &[Field]) -> Problem {
    let names: Vec<&str> = fields.iter().map(|field| field.name).collect();
    let problem = Problem::error(format!("the result has no {name}"));
    match closest(name, names.iter().copied()) {
        Some(near) => problem.help(format!("did you mean {near}?")),
        None => problem.help(format!("it has {}", names.join(", "))),
    }
}

fn no_point(dimension: Dimension) -> Result<(), Problem> {
    if dimension.point {
        return Err(Problem::error(format!("{dimension} cannot be multiplied or divided"))
            .help("use a difference of two"));
    }
    Ok(())
}

fn binary(operator: Operator, a: &Type, b: &Type) -> Result<Type, Problem> {
    use Operator as O;
    let mixed = |verb: &str| {
        let problem = Problem::error(format!("{a} {verb} {b}"));
        match (a.dimension(), b.dimension()) {
            (Some(Dimension::NUMBER), Some(_)) | (Some(_), Some(Dimension::NUMBER)) => {
                problem.help("give the number a unit, for example 3.ft")
            }
            (Some(Dimension::VOLUME), Some(Dimension::MONEY))
            | (Some(Dimension::MONEY), Some(Dimension::VOLUME)) => {
                problem.help("multiply the volume by a price per volume first")
            }
            _ if matches!((a, b), (Type::Text, _) | (_, Type::Text)) => {
                problem.help("joined(\"a\", \"b\") makes one text of several")
            }
            _ => problem.help("both sides must measure the same thing"),
        }
    };
    if matches!(operator, O::And | O::Or) {
        let flag = |kind: &Type| matches!(kind, Type::Flag | Type::Unknown);
        return if flag(a) && flag(b) { Ok(Type::Flag) } else { Err(mixed(operator.symbol())) };
    }
    if *a == Type::Unknown || *b == Type::Unknown {
        return Ok(if operator.compares() { Type::Flag } else { Type::Unknown });
    }
    if operator.compares() {
        let ordered = !matches!(operator, O::Equal | O::Unequal);
        let same = match (a, b) {
            (Type::Number(a), Type::Number(b)) => a == b,
            (Type::Text, Type::Text) | (Type::Flag, Type::Flag) => !ordered,
            _ => false,
        };
        return if same { Ok(Type::Flag) } else { Err(mixed("compared with")) };
    }
    let (Some(left), Some(right)) = (a.dimension(), b.dimension()) else {
        return Err(mixed(match operator {
            O::Add => "plus",
            O::Subtract => "minus",
            O::Multiply => "times",
            _ => "divided by",
        }));
    };
    let dimension = match operator {
        O::Add => left.plus(right).ok_or_else(|| mixed("plus"))?,
        O::Subtract => left.minus(right).ok_or_else(|| mixed("minus"))?,
        _ => {
            no_point(left)?;
            no_point(right)?;
            left.times(if operator == O::Multiply { right } else { right.power(-1) })
        }
    };
    Ok(Type::Number(dimension))
}

fn call(callee: &Callee, inputs: &[Formula], nodes: &[Node]) -> Result<Type, Problem> {
    let kinds: Vec<Type> =
        inputs.iter().map(|input| check(input, nodes)).collect::<Result<_, _>>()?;
    match callee {
        Callee::Script(_) => Ok(Type::Unknown),
        Callee::Builtin(builtin) => of_builtin(*builtin, &kinds),
        Callee::Trade(function) => of_trade(function, inputs, &kinds),
    }
}

fn of_builtin(builtin: Builtin, kinds: &[Type]) -> Result<Type, Problem> {
    let name = builtin.name();
    let wrong = |kind: &Type| Problem::error(format!("{name} of {kind}"));
    if let Some(kind) = over_columns(builtin, kinds) {
        return kind;
    }
    match (builtin, kinds) {
        (Builtin::Sum, [Type::List(of)]) => sum(of),
        (Builtin::ToCent, [kind @ (Type::Number(Dimension::MONEY) | Type::Unknown)]) => {
            Ok(kind.clone())
        }
        (Builtin::ToCent, [kind]) => {
            Err(wrong(kind).help("an amount of money was expected; round others with round_near"))
        }
        (Builtin::Size, [kind @ (Type::Number(_) | Type::Unknown)]) => Ok(kind.clone()),
        (_, [Type::Unknown, other] | [other, Type::Unknown]) => match other {
            Type::Number(_) | Type::Unknown => Ok(other.clone()),
            other => Err(wrong(other)),
        },
        // Of a list by wall, the least or greatest of all.
        (Builtin::Least | Builtin::Greatest, [Type::List(of)]) => Ok((**of).clone()),
        (_, [Type::Number(a), Type::Number(b)]) => {
            if a == b {
                return Ok(Type::Number(*a));
            }
            let verb = match builtin {
                Builtin::Least | Builtin::Greatest => "compared with",
                _ => "rounded to",
            };
            Err(Problem::error(format!("{a} {verb} {b}"))
                .help("both sides must measure the same thing"))
        }
        (Builtin::Sum, [kind @ Type::Number(_)]) => Err(wrong(kind).help(
            "in a row its own column is the value of that row: the whole column is named with its sheet, such as labour.hours",
        )),
        (_, [kind]) => Err(wrong(kind)),
        (_, kinds) => Err(wrong(
            kinds.iter().find(|kind| !matches!(kind, Type::Number(_))).unwrap_or(&Type::Unknown),
        )),
    }
}

/// The sum of many of a kind.
fn sum(of: &Type) -> Result<Type, Problem> {
    match of {
        Type::Number(dimension) if dimension.point => {
            Err(Problem::error(format!("a sum of {dimension}"))
                .help("only differences of two can be added"))
        }
        kind @ (Type::Number(_) | Type::Unknown) => Ok(kind.clone()),
        other => Err(Problem::error(format!("a sum of {other}"))),
    }
}

/// Functions over columns, roots and texts; nothing of the others.
fn over_columns(builtin: Builtin, kinds: &[Type]) -> Option<Result<Type, Problem>> {
    use Builtin as B;
    let name = builtin.name();
    let fits = |a: &Type, b: &Type| a == b || *a == Type::Unknown || *b == Type::Unknown;
    let wrong = |help: &str| {
        let kinds: Vec<String> = kinds.iter().map(Type::to_string).collect();
        Err(Problem::error(format!("{name} of {}", kinds.join(", "))).help(help))
    };
    Some(match (builtin, kinds) {
        (B::Root, [Type::Number(dimension)]) => match dimension.root() {
            Some(root) => Ok(Type::Number(root)),
            None => wrong("a plain number, or an area or another square, was expected"),
        },
        (B::Root, [Type::Unknown]) => Ok(Type::Unknown),
        (B::Root, _) => wrong("a number was expected"),
        (B::WorkingDays | B::WorkingDayAfter, [first, second, rest @ ..]) => {
            let date = Type::Number(Dimension::DATE);
            let second_is = if builtin == B::WorkingDays { &date } else { &Type::PLAIN };
            let listed = |kind: &Type| matches!(kind, Type::List(of) if fits(of, &date));
            if !fits(first, &date) || !fits(second, second_is) || !rest.iter().all(listed) {
                return Some(wrong(if builtin == B::WorkingDays {
                    "two dates were expected, and a column of holidays"
                } else {
                    "a date and a number of days were expected, and a column of holidays"
                }));
            }
            Ok(if builtin == B::WorkingDays { Type::PLAIN } else { date })
        }
        (B::Joined, kinds) => match kinds {
            _ if kinds.iter().any(|kind| matches!(kind, Type::List(_) | Type::Record(_))) => {
                wrong("texts and single values were expected")
            }
            _ => Ok(Type::Text),
        },
        (B::LeastWhere | B::GreatestWhere, [Type::List(of), Type::List(flags)])
            if fits(flags, &Type::Flag) && matches!(**of, Type::Number(_) | Type::Unknown) =>
        {
            Ok((**of).clone())
        }
        (B::ValueFor, [key, Type::List(keys), Type::List(of)]) if fits(key, keys) => {
            Ok((**of).clone())
        }
        (B::ValueInBand, [at, Type::List(from), Type::List(of)])
            if fits(at, from) && matches!(at, Type::Number(_) | Type::Unknown) =>
        {
            Ok((**of).clone())
        }
        (B::ValueBetween, [at, Type::List(xs), Type::List(of)])
            if fits(at, xs)
                && matches!(at, Type::Number(_) | Type::Unknown)
                && matches!(**of, Type::Number(_) | Type::Unknown) =>
        {
            Ok((**of).clone())
        }
        (B::Mean, [Type::List(of)]) => sum(of),
        (B::Count, [Type::List(_)]) => Ok(Type::PLAIN),
        (B::CountWhere, [Type::List(flags)]) if fits(flags, &Type::Flag) => Ok(Type::PLAIN),
        (B::SumWhere | B::MeanWhere, [Type::List(of), Type::List(flags)])
            if fits(flags, &Type::Flag) =>
        {
            sum(of)
        }
        (B::Count | B::Mean, _) => {
            wrong("a whole column was expected, named with its sheet, such as labour.hours")
        }
        (B::CountWhere, _) => wrong("a condition on a column, such as labour.crew == \"A\""),
        (B::SumWhere | B::MeanWhere | B::LeastWhere | B::GreatestWhere, _) => wrong(
            "a column and a condition on a column of the same rows, such as labour.hours, labour.crew == \"A\"",
        ),
        (B::ValueFor, _) => wrong("a key, the column of keys and the column of values"),
        (B::ValueInBand, _) => {
            wrong("a number, the column of what each band begins at and the column of values")
        }
        (B::ValueBetween, _) => wrong("a number, its column and the column of values"),
        _ => return None,
    })
}

fn of_trade(
    function: &'static Function,
    inputs: &[Formula],
    kinds: &[Type],
) -> Result<Type, Problem> {
    let name = function.name;
    let most = function.parameters.len();
    if kinds.len() < function.required() || kinds.len() > most {
        let missing = function.parameters.get(kinds.len()).filter(|_| kinds.len() < most);
        let message = match missing {
            Some(parameter) => format!("{name}: input {} is missing", parameter.name),
            None => format!("{name} takes {most} inputs, {} are given", kinds.len()),
        };
        return Err(Problem::error(message).help(function.signature()));
    }
    for ((parameter, kind), input) in function.parameters.iter().zip(kinds).zip(inputs) {
        let wanted = Type::of(parameter.kind);
        let fits = match (&wanted, kind) {
            (Type::Unknown, _) | (_, Type::Unknown) => true,
            (Type::List(a), Type::List(b)) => a == b || **b == Type::Unknown,
            // A length may be written as text.
            (Type::Number(Dimension::LENGTH), Type::Text) => true,
            (a, b) => a == b,
        };
        if !fits {
            return Err(Problem::error(format!(
                "{name}: input {} is {kind}, {} was expected",
                parameter.name, parameter.kind
            ))
            .help(format!("{}: {}", parameter.name, parameter.about)));
        }
        if let (ValueKind::Choice(names), Formula::Text(text)) = (parameter.kind, input)
            && !names.contains(&text.as_str())
        {
            let problem = Problem::error(format!(
                "{name}: {} \"{text}\" is none of {}",
                parameter.name,
                names.join(", ")
            ));
            return Err(match closest(text, names.iter().copied()) {
                Some(near) => problem.help(format!("did you mean \"{near}\"?")),
                None => problem,
            });
        }
    }
    Ok(Type::of(function.result))
}
