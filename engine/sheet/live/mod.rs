//! Live formulas of a spreadsheet: numbers there have no units, so every step knows what its number stands for.

mod ranges;

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Signed, ToPrimitive, Zero, pow};

use super::book::{Book, NodeId};
use super::check::Type;
use super::columns::{item_by_item, rows_of};
use super::formula::{Builtin, Callee, CellColumn, Formula, Operator};
use crate::measure::{
    Decimal, Dimension, Quantity, date_days, known_unit, number_unit, unit, written,
};

pub use ranges::CellRange;

/// Where the cells of a workbook stand.
pub trait Cells {
    /// The reference or defined name of a node's cell; nothing when it has none.
    fn reference(&self, id: NodeId) -> Option<String>;

    /// The range of a column's cells; nothing where they do not stand side by side.
    fn range(&self, column: CellColumn) -> Option<CellRange>;
}

/// Days from the day zero of spreadsheets to 1970-01-01.
const SERIAL: f64 = 25_569.0;

/// Part of a formula: its text, how tightly it binds, and what one of its number is in base units.
struct Part {
    text: String,
    rank: u8,
    scale: BigRational,
    /// The number, where it is a constant.
    constant: Option<f64>,
}

/// Trade functions that a spreadsheet has too, of an angle in radians.
const ANGLES: [(&str, &str); 3] = [("sine", "SIN"), ("cosine", "COS"), ("tangent", "TAN")];

/// Rank of what needs no brackets.
const ATOM: u8 = 9;

impl Part {
    fn atom(text: String, scale: BigRational) -> Self {
        Self { text, rank: ATOM, scale, constant: None }
    }

    fn constant(value: f64, scale: BigRational) -> Self {
        let rank = if value < 0.0 { 5 } else { ATOM };
        Self { text: written(value), rank, scale, constant: Some(value) }
    }

    fn within(&self, rank: u8) -> String {
        if self.rank < rank { format!("({})", self.text) } else { self.text.clone() }
    }

    /// The same in another scale.
    fn to(self, scale: &BigRational) -> Self {
        if self.scale == *scale {
            return self;
        }
        let ratio = &self.scale / scale;
        // A constant that no decimal holds, such as 1/9, is written as a quotient: cut off, an exact multiple of it would
        // gain a step.
        if let Some(value) = self.constant.zip(ratio.to_f64()).map(|(value, ratio)| value * ratio)
            && is_decimal(self.constant, &ratio)
        {
            return Self::constant(value, scale.clone());
        }
        let factor = factor(&ratio);
        Self {
            text: format!("{}{factor}", self.within(6)),
            rank: 6,
            scale: scale.clone(),
            constant: None,
        }
    }
}

/// Whether a constant in another scale is a decimal of few digits.
fn is_decimal(constant: Option<f64>, ratio: &BigRational) -> bool {
    let Some(value) = constant.and_then(|value| Decimal::parse(&written(value))) else {
        return false;
    };
    let scaled = value.ratio() * ratio * BigRational::from_integer(pow(BigInt::from(10), 9));
    scaled.is_integer() && scaled.numer().abs() < BigInt::from(1_000_000_000_000_000_i64)
}

/// A change of units as an estimator writes it: `/27`, `*12`, seldom a decimal.
fn factor(ratio: &BigRational) -> String {
    let small = |x: &BigInt| x.abs() < BigInt::from(1_000_000);
    match (ratio.numer(), ratio.denom()) {
        (num, den) if num.is_one() && small(den) => format!("/{den}"),
        (num, den) if den.is_one() && small(num) => format!("*{num}"),
        (num, den) => {
            let (direct, inverse) = (ratio.to_f64(), ratio.recip().to_f64());
            let [direct, inverse] = [direct, inverse].map(|x| x.map_or_else(String::new, written));
            match (direct.len(), inverse.len()) {
                (short, other) if short <= other && short <= 9 => format!("*{direct}"),
                (_, short) if short <= 9 => format!("/{inverse}"),
                _ if small(num) && small(den) => format!("*{num}/{den}"),
                (short, other) if short <= other => format!("*{direct}"),
                _ => format!("/{inverse}"),
            }
        }
    }
}

/// The scale of a unit in the workbook: a share of one hundred is written as a fraction.
fn scale_of(name: &str, dimension: Dimension) -> Option<BigRational> {
    if dimension == Dimension::DATE {
        return Some(BigRational::from_integer(BigInt::from(86_400)));
    }
    if dimension.point {
        return None;
    }
    match name {
        "" | "percent" | "yes/no" | "text" => Some(BigRational::one()),
        name => known_unit(number_unit(name)).map(|unit| unit.exact().clone()),
    }
}

/// Most choices in each other; spreadsheets take 64.
const DEEPEST: usize = 60;

/// Most rows of columns that are named cell by cell, where their range does not do.
const MOST_ITEMS: u32 = 400;

/// Longest formula of a spreadsheet, in letters, as its makers publish it.
const LONGEST: usize = 8192;

/// The live formula of a node without its equals sign; nothing where the spreadsheet cannot follow.
pub fn live(id: NodeId, book: &Book, cells: &dyn Cells) -> Option<String> {
    let node = book.node(id);
    let formula = node.formula.as_ref()?;
    let writer = Writer { book, cells };
    let part = writer.part(formula)?;
    let target = match &node.kind {
        Type::Number(dimension) => scale_of(&node.unit, *dimension)?,
        Type::Flag | Type::Text => BigRational::one(),
        _ => return None,
    };
    let text = match node.kind {
        // A reference to an empty cell is 0, and not the empty text.
        Type::Text if rests_on_cells(formula) => format!("{}&\"\"", part.within(6)),
        _ => part.to(&target).text,
    };
    Some(text).filter(|text| text.chars().count() < LONGEST)
}

struct Writer<'a> {
    book: &'a Book,
    cells: &'a dyn Cells,
}

impl Writer<'_> {
    fn part(&self, formula: &Formula) -> Option<Part> {
        Some(match formula {
            Formula::Number(value) => Part::constant(*value, BigRational::one()),
            Formula::Measure(quantity, text) => constant(*quantity, text)?,
            Formula::Text(text) => {
                Part::atom(format!("\"{}\"", text.replace('"', "\"\"")), BigRational::one())
            }
            Formula::Flag(flag) => {
                Part::atom(if *flag { "TRUE" } else { "FALSE" }.to_owned(), BigRational::one())
            }
            Formula::Node(id) => {
                let scale = self.scale_of_node(*id)?;
                Part::atom(self.cells.reference(*id)?, scale)
            }
            Formula::Column(column) => self.range(column)?,
            Formula::Negative(a) => {
                let a = self.part(a)?;
                let constant = a.constant.map(|value| -value);
                // A spreadsheet takes a minus before a power for the sign of its base.
                Part { text: format!("-{}", a.within(8)), rank: 5, constant, scale: a.scale }
            }
            // A plain number with a unit is the number in that unit.
            Formula::Unit(a, _, name) => {
                let scale = unit(name).ok()?.exact().clone();
                Part { scale, ..self.part(a)?.to(&BigRational::one()) }
            }
            Formula::Not(a) => self.function("NOT", &[self.part(a)?]),
            Formula::Power(a, n) => {
                let a = self.part(a)?;
                let size = pow(a.scale.clone(), usize::from(n.unsigned_abs()));
                let scale = if *n < 0 { size.recip() } else { size };
                Part { text: format!("{}^{n}", a.within(8)), rank: 7, scale, constant: None }
            }
            Formula::Binary(operator, a, b) => self.binary(*operator, a, b)?,
            Formula::Choice(condition, a, b) => {
                let condition = self.part(condition)?;
                let a = self.part(a)?;
                let b = self.part(b)?.to(&a.scale);
                let scale = a.scale.clone();
                Part { scale, ..self.function("IF", &[condition, a, b]) }
            }
            Formula::Call(Callee::Builtin(builtin), inputs) => {
                match inputs.iter().map(|input| rows_of(input).ok()).collect::<Option<Vec<_>>>()? {
                    rows if rows.iter().all(Option::is_none) => self.call(*builtin, inputs)?,
                    rows => match self.over_ranges(*builtin, inputs) {
                        Some(part) => part,
                        None if rows.iter().flatten().all(|rows| *rows <= MOST_ITEMS) => {
                            self.part(&item_by_item(formula).ok()?)?
                        }
                        None => return None,
                    },
                }
            }
            Formula::Call(Callee::Trade(function), inputs) => {
                let (_, name) = ANGLES.iter().find(|(known, _)| *known == function.name)?;
                let angle = self.part(inputs.first()?)?.to(unit("deg").ok()?.exact());
                self.function(name, &[self.function("RADIANS", &[angle])])
            }
            _ => return None,
        })
    }

    /// What one of a node's number is in base units.
    fn scale_of_node(&self, id: NodeId) -> Option<BigRational> {
        let node = self.book.node(id);
        match &node.kind {
            Type::Number(dimension) => scale_of(&node.unit, *dimension),
            Type::Flag | Type::Text => Some(BigRational::one()),
            _ => None,
        }
    }

    fn is_text(&self, formula: &Formula) -> bool {
        match formula {
            Formula::Text(_) => true,
            Formula::Node(id) | Formula::Column(CellColumn { first: id, .. }) => {
                self.book.node(*id).kind == Type::Text
            }
            Formula::Choice(_, a, b) => self.is_text(a) && self.is_text(b),
            Formula::Call(Callee::Builtin(Builtin::Joined), _) => true,
            _ => false,
        }
    }

    fn function(&self, name: &str, inputs: &[Part]) -> Part {
        let texts: Vec<&str> = inputs.iter().map(|part| part.text.as_str()).collect();
        Part::atom(format!("{name}({})", texts.join(",")), BigRational::one())
    }

    /// A function of any number of inputs; spreadsheets take 255.
    fn several(&self, name: &str, inputs: &[Part]) -> Part {
        if inputs.len() <= 200 {
            return self.function(name, inputs);
        }
        let groups: Vec<Part> =
            inputs.chunks(200).map(|group| self.function(name, group)).collect();
        self.several(name, &groups)
    }

    fn binary(&self, operator: Operator, a: &Formula, b: &Formula) -> Option<Part> {
        use Operator as O;
        let over_rows = [a, b].into_iter().any(|part| matches!(rows_of(part), Ok(Some(_))));
        if over_rows && matches!(operator, O::And | O::Or) {
            return self.of_conditions(operator, a, b);
        }
        let (left, right) = (self.part(a)?, self.part(b)?);
        // AND and OR of a spreadsheet work both sides out: what the first keeps from being asked stands in a choice.
        if matches!(operator, O::And | O::Or) && may_fail(b) {
            let [yes, no] = [true, false].map(|flag| self.part(&Formula::Flag(flag)));
            let parts = match operator {
                O::And => [left, right, no?],
                _ => [left, yes?, right],
            };
            return Some(self.function("IF", &parts));
        }
        if matches!(operator, O::And | O::Or) {
            return Some(
                self.function(if operator == O::And { "AND" } else { "OR" }, &[left, right]),
            );
        }
        let rank = operator.rank();
        let joined = |left: &Part, symbol: &str, right: &Part| {
            format!("{}{symbol}{}", left.within(rank), right.within(rank + 1))
        };
        if matches!(operator, O::Multiply | O::Divide) {
            let scale = if operator == O::Multiply {
                &left.scale * &right.scale
            } else {
                &left.scale / &right.scale
            };
            // Times or over one of a unit is a change of unit and nothing to write.
            if right.constant == Some(1.0) {
                return Some(Part { scale, ..left });
            }
            return Some(Part {
                text: joined(&left, operator.symbol(), &right),
                rank,
                scale,
                constant: None,
            });
        }
        // A spreadsheet takes X and x for the same text.
        if matches!(operator, O::Equal | O::Unequal) && self.is_text(a) && self.is_text(b) {
            let same = self.function("EXACT", &[left, right]);
            return Some(match operator {
                O::Unequal => self.function("NOT", &[same]),
                _ => same,
            });
        }
        let scale = left.scale.clone();
        let right = right.to(&scale);
        let symbol = match operator {
            O::Equal => "=",
            O::Unequal => "<>",
            other => other.symbol(),
        };
        // Comparisons bind alike in a spreadsheet: one inside of another stands in brackets.
        let text = match operator.compares() {
            true => format!("{}{symbol}{}", left.within(5), right.within(5)),
            false => joined(&left, symbol, &right),
        };
        let scale = if operator.compares() { BigRational::one() } else { scale };
        Some(Part { text, rank, scale, constant: None })
    }

    fn call(&self, builtin: Builtin, inputs: &[Formula]) -> Option<Part> {
        match (builtin, inputs) {
            (Builtin::ValueFor, [key, Formula::List(keys), Formula::List(values)]) => {
                let row = |(known, value): (&Formula, &Formula)| {
                    (Formula::two(Operator::Equal, key, known), value.clone())
                };
                return self.of_rows(keys.iter().zip(values).map(row));
            }
            (Builtin::ValueInBand, [at, Formula::List(from), Formula::List(values)]) => {
                let row = |(begins, value): (&Formula, &Formula)| {
                    (reaches(at, Operator::AtLeast, begins), value.clone())
                };
                return self.of_rows(from.iter().zip(values).rev().map(row));
            }
            (Builtin::ValueBetween, [at, Formula::List(xs), Formula::List(values)]) => {
                return self.between(at, xs, values);
            }
            (Builtin::Root, [of]) => {
                let of = self.part(of)?;
                let (num, den) = (of.scale.numer().sqrt(), of.scale.denom().sqrt());
                let scale = BigRational::new(num, den);
                let square = &scale * &scale;
                return Some(Part { scale, ..self.function("SQRT", &[of.to(&square)]) });
            }
            (Builtin::WorkingDays | Builtin::WorkingDayAfter, [first, second]) => {
                return self.working(builtin, first, second, "");
            }
            (
                Builtin::WorkingDays | Builtin::WorkingDayAfter,
                [first, second, Formula::List(days)],
            ) if !days.is_empty() => {
                let day = |day: &Formula| {
                    let part = self.part(day)?;
                    part.constant.map(|_| part.text)
                };
                let days: Vec<String> = days.iter().map(day).collect::<Option<_>>()?;
                return self.working(builtin, first, second, &format!(",{{{}}}", days.join(",")));
            }
            (Builtin::Joined, texts) if texts.iter().all(|text| self.is_text(text)) => {
                let texts: Vec<Part> =
                    texts.iter().map(|text| self.part(text)).collect::<Option<_>>()?;
                return Some(self.function("CONCATENATE", &texts));
            }
            _ => {}
        }
        let items = match (builtin, inputs) {
            (Builtin::Sum | Builtin::Least | Builtin::Greatest, [Formula::List(items)]) => items,
            (_, inputs) => inputs,
        };
        let first = self.part(items.first()?)?;
        let scale = first.scale.clone();
        let mut parts = vec![first];
        for item in &items[1..] {
            parts.push(self.part(item)?.to(&scale));
        }
        let many = |name: &str| Part { scale: scale.clone(), ..self.several(name, &parts) };
        Some(match builtin {
            Builtin::Sum => many("SUM"),
            Builtin::Least => many("MIN"),
            Builtin::Greatest => many("MAX"),
            Builtin::Size => many("ABS"),
            // Cents are cents of the currency: whatever unit the amount came in is changed before it is rounded.
            Builtin::ToCent => {
                let one = BigRational::one();
                let amount = parts.swap_remove(0).to(&one);
                Part::atom(format!("ROUND({},2)", amount.text), one)
            }
            Builtin::RoundUp | Builtin::RoundDown | Builtin::RoundNear => {
                let [x, step] = &parts[..] else { return None };
                rounded(builtin, x, step)
            }
            _ => return None,
        })
    }

    /// Working days, and the working day so many after a date; `holidays` is a comma and their range.
    fn working(
        &self,
        builtin: Builtin,
        first: &Formula,
        second: &Formula,
        holidays: &str,
    ) -> Option<Part> {
        let (a, b) = (self.part(first)?, self.part(second)?);
        let one = BigRational::one();
        if builtin == Builtin::WorkingDays {
            let days = format!("NETWORKDAYS({},{}{holidays})", a.text, b.text);
            let text = format!("IF({}<{},NA(),{days})", b.within(5), a.within(5));
            return Some(Part::atom(text, one));
        }
        let n = b.to(&one);
        // None after a date is the date itself, or the next working day.
        let after =
            format!("WORKDAY({}-({}=0),MAX({},1){holidays})", a.within(5), n.within(5), n.text);
        let whole = format!("OR({0}<0,{0}<>INT({1}))", n.within(5), n.text);
        Some(Part::atom(format!("IF({whole},NA(),{after})"), a.scale))
    }

    /// The value of the first row whose condition holds, as choices in each other; no value where none does.
    fn of_rows(&self, rows: impl DoubleEndedIterator<Item = (Formula, Formula)>) -> Option<Part> {
        let rows: Vec<(Part, Part)> = rows
            .map(|(condition, value)| Some((self.part(&condition)?, self.part(&value)?)))
            .collect::<Option<_>>()?;
        let scale = rows.first()?.1.scale.clone();
        if rows.len() > DEEPEST {
            return None;
        }
        let text =
            rows.into_iter().rev().fold("NA()".to_owned(), |otherwise, (condition, value)| {
                format!("IF({},{},{otherwise})", condition.text, value.to(&scale).text)
            });
        Some(Part::atom(text, scale))
    }

    /// On the line between two rows.
    fn between(&self, at: &Formula, xs: &[Formula], values: &[Formula]) -> Option<Part> {
        let two = Formula::two;
        let segment = |row: usize| {
            let run = two(Operator::Subtract, &xs[row + 1], &xs[row]);
            let way = two(Operator::Subtract, at, &xs[row]);
            let rise = two(Operator::Subtract, &values[row + 1], &values[row]);
            let part = two(Operator::Divide, &two(Operator::Multiply, &rise, &way), &run);
            let within = two(
                Operator::And,
                &reaches(at, Operator::AtLeast, &xs[row]),
                &reaches(at, Operator::AtMost, &xs[row + 1]),
            );
            (within, two(Operator::Add, &values[row], &part))
        };
        self.of_rows((0..xs.len().min(values.len()).saturating_sub(1)).map(segment))
    }
}

/// Whether a formula divides or looks something up, which may have no value.
fn may_fail(formula: &Formula) -> bool {
    matches!(formula, Formula::Binary(Operator::Divide, ..) | Formula::Call(Callee::Builtin(_), _))
        || formula.parts().into_iter().any(may_fail)
}

/// Whether what a text formula gives may be the content of a cell as it stands.
fn rests_on_cells(formula: &Formula) -> bool {
    match formula {
        Formula::Node(_) => true,
        Formula::Choice(_, a, b) => rests_on_cells(a) || rests_on_cells(b),
        Formula::Call(Callee::Builtin(Builtin::Joined), _) => false,
        Formula::Call(..) => true,
        _ => false,
    }
}

/// How far beside the edge of a band its number still counts as on it, as a share of it: digits that get lost on the way
/// to it choose no other row here than there.
const ON_THE_EDGE: f64 = 1e-12;

/// Whether a number reaches an edge from above or from below, or stands on it.
fn reaches(at: &Formula, operator: Operator, edge: &Formula) -> Formula {
    if matches!(edge, Formula::Measure(quantity, _) if quantity.base() == 0.0) {
        return Formula::two(operator, at, edge);
    }
    let size = Formula::Call(Callee::Builtin(Builtin::Size), vec![edge.clone()]);
    let hair = Formula::two(Operator::Multiply, &Formula::Number(ON_THE_EDGE), &size);
    let way = if operator == Operator::AtLeast { Operator::Subtract } else { Operator::Add };
    Formula::two(operator, at, &Formula::two(way, edge, &hair))
}

/// Decimals of a step that is a power of ten of one and less, such as 0.01.
fn decimals_of(step: f64) -> Option<usize> {
    let text = written(step);
    if text == "1" {
        return Some(0);
    }
    let decimals = text.strip_prefix("0.")?.strip_suffix('1')?;
    decimals.chars().all(|digit| digit == '0').then_some(decimals.len() + 1)
}

/// A measure as a constant in the unit that it is written in.
fn constant(quantity: Quantity, text: &str) -> Option<Part> {
    let dimension = quantity.dimension();
    if dimension == Dimension::DATE {
        let scale = BigRational::from_integer(BigInt::from(86_400));
        return Some(Part::constant(date_days(quantity) + SERIAL, scale));
    }
    if dimension.point {
        return None;
    }
    let name = text.rsplit_once(' ').map_or("", |(_, name)| name);
    let found = known_unit(name).filter(|unit| unit.dimension() == dimension);
    let scale = match found {
        Some(unit) => unit.exact().clone(),
        None if dimension == Dimension::LENGTH => unit("ft").ok()?.exact().clone(),
        None => BigRational::one(),
    };
    if scale.is_zero() {
        return None;
    }
    Some(Part::constant(quantity.base() / scale.to_f64()?, scale))
}

/// The engine's own rule: nine decimals of a step first, so that an exact multiple never gains one.
fn rounded(builtin: Builtin, x: &Part, step: &Part) -> Part {
    let scale = x.scale.clone();
    let steps = match step.constant {
        Some(1.0) => x.text.clone(),
        _ => format!("{}/{}", x.within(6), step.within(7)),
    };
    let times = match step.constant {
        Some(1.0) => String::new(),
        _ => format!("*{}", step.within(7)),
    };
    let decimals = step.constant.and_then(decimals_of);
    if let (Builtin::RoundNear, Some(places)) = (builtin, decimals) {
        return Part::atom(format!("ROUND({},{places})", x.text), scale);
    }
    let text = match builtin {
        Builtin::RoundNear => format!("ROUND(ROUND({steps},9),0){times}"),
        Builtin::RoundUp => format!("CEILING(ROUND({steps},9),1){times}"),
        _ => format!("INT(ROUND({steps},9)){times}"),
    };
    let rank = if times.is_empty() { ATOM } else { 6 };
    Part { text, rank, scale, constant: None }
}
