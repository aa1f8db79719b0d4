//! The formula tree: what an estimator's expression means, without the language that it was written in.

use crate::catalogue::Function;
use crate::measure::Quantity;

/// An operator of two operands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Operator {
    /// Sum.
    Add,
    /// Difference.
    Subtract,
    /// Product.
    Multiply,
    /// Quotient.
    Divide,
    /// Equal.
    Equal,
    /// Not equal.
    Unequal,
    /// Less.
    Less,
    /// Less or equal.
    AtMost,
    /// More.
    More,
    /// More or equal.
    AtLeast,
    /// Both.
    And,
    /// Either.
    Or,
}

impl Operator {
    /// How it is written in a formula.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Add => "+",
            Self::Subtract => "-",
            Self::Multiply => "*",
            Self::Divide => "/",
            Self::Equal => "==",
            Self::Unequal => "!=",
            Self::Less => "<",
            Self::AtMost => "<=",
            Self::More => ">",
            Self::AtLeast => ">=",
            Self::And => "&&",
            Self::Or => "||",
        }
    }

    /// The operator of a symbol.
    pub fn of(symbol: &str) -> Option<Self> {
        use Operator as O;
        let all = [
            O::Add,
            O::Subtract,
            O::Multiply,
            O::Divide,
            O::Equal,
            O::Unequal,
            O::Less,
            O::AtMost,
            O::More,
            O::AtLeast,
            O::And,
            O::Or,
        ];
        all.into_iter().find(|operator| operator.symbol() == symbol)
    }

    /// How tightly it binds.
    pub(super) fn rank(self) -> u8 {
        match self {
            Self::Or => 1,
            Self::And => 2,
            Self::Equal | Self::Unequal => 3,
            Self::Less | Self::AtMost | Self::More | Self::AtLeast => 4,
            Self::Add | Self::Subtract => 5,
            Self::Multiply | Self::Divide => 6,
        }
    }

    /// Whether it compares.
    pub fn compares(self) -> bool {
        matches!(self.rank(), 3 | 4)
    }
}

/// A function of the formula language itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Builtin {
    /// Up to a multiple of a step.
    RoundUp,
    /// Down to a multiple of a step.
    RoundDown,
    /// To the nearest multiple of a step.
    RoundNear,
    /// The lesser of two.
    Least,
    /// The greater of two.
    Greatest,
    /// Without its sign.
    Size,
    /// Money to the nearest hundredth.
    ToCent,
    /// The sum of a list.
    Sum,
    /// How many rows a column has.
    Count,
    /// The mean of a column.
    Mean,
    /// How many rows meet a condition.
    CountWhere,
    /// The sum of a column over the rows that meet a condition.
    SumWhere,
    /// Their mean.
    MeanWhere,
    /// The least of them.
    LeastWhere,
    /// The greatest of them.
    GreatestWhere,
    /// Of a column the value in the row that has a key.
    ValueFor,
    /// Of a column the value in the band that a number falls in.
    ValueInBand,
    /// Of a column the value at a number, on a straight line between two rows.
    ValueBetween,
    /// The square root.
    Root,
    /// Texts one after the other.
    Joined,
    /// Working days from one date to another.
    WorkingDays,
    /// The working day so many after a date.
    WorkingDayAfter,
}

/// As many inputs as are given.
const ANY: usize = usize::MAX;

impl Builtin {
    /// All of them, with their names and the number of their inputs; with more than one number where some may be left out.
    pub const ALL: &[(&'static str, Self, usize)] = &[
        ("round_up", Self::RoundUp, 2),
        ("round_down", Self::RoundDown, 2),
        ("round_near", Self::RoundNear, 2),
        ("min", Self::Least, 2),
        ("max", Self::Greatest, 2),
        ("abs", Self::Size, 1),
        ("to_cent", Self::ToCent, 1),
        ("sum", Self::Sum, 1),
        ("count", Self::Count, 1),
        ("mean", Self::Mean, 1),
        ("count_where", Self::CountWhere, 1),
        ("sum_where", Self::SumWhere, 2),
        ("mean_where", Self::MeanWhere, 2),
        ("min_where", Self::LeastWhere, 2),
        ("max_where", Self::GreatestWhere, 2),
        ("value_for", Self::ValueFor, 3),
        ("value_in_band", Self::ValueInBand, 3),
        ("value_between", Self::ValueBetween, 3),
        ("root", Self::Root, 1),
        ("joined", Self::Joined, ANY),
        ("working_days", Self::WorkingDays, 2),
        ("working_days", Self::WorkingDays, 3),
        ("working_day_after", Self::WorkingDayAfter, 2),
        ("working_day_after", Self::WorkingDayAfter, 3),
    ];

    /// The one of a name that takes so many inputs.
    pub fn named(name: &str, inputs: usize) -> Option<Self> {
        let fits = |count: usize| count == inputs || count == ANY && inputs > 0;
        let known = Self::ALL.iter().find(|(known, _, count)| *known == name && fits(*count));
        known.map(|(_, builtin, _)| *builtin)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, of, _)| *of == self).map_or("", |(name, ..)| name)
    }
}

/// What is called.
#[derive(Debug, Clone)]
pub enum Callee {
    /// A function of the formula language.
    Builtin(Builtin),
    /// A trade function.
    Trade(&'static Function),
    /// A function of a company's or job's script.
    Script(String),
}

impl Callee {
    /// Its name.
    pub fn name(&self) -> &str {
        match self {
            Self::Builtin(builtin) => builtin.name(),
            Self::Trade(function) => function.name,
            Self::Script(name) => name,
        }
    }
}

/// A name as it stands in a formula: `width`, `price.total`, `takeoff.footing.order`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Name {
    /// Its words.
    pub path: Vec<String>,
    /// Where it stands in the formula, counted in characters from 0.
    pub at: usize,
}

impl Name {
    /// It as written.
    pub fn text(&self) -> String {
        self.path.join(".")
    }
}

/// A formula that the tree does not express: it is evaluated by the language that it was written in.
#[derive(Debug, Clone)]
pub struct Opaque {
    /// Its place among the formulas that the language keeps.
    pub index: usize,
    /// It as written.
    pub text: String,
    /// Every name in it that may be a cell or an input; those that are none belong to the language.
    pub names: Vec<Name>,
    /// What they mean, once it is known: the name and the node.
    pub nodes: Vec<(Name, Formula)>,
}

/// Cells of a sheet one under the other, one for each row or wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CellColumn {
    /// The node that stands for them.
    pub id: u32,
    /// The first of them; the others follow it.
    pub first: u32,
    /// How many there are.
    pub count: u32,
}

/// A formula.
#[derive(Debug, Clone)]
pub enum Formula {
    /// A plain number.
    Number(f64),
    /// A measure, and how it was written.
    Measure(Quantity, String),
    /// A text.
    Text(String),
    /// Yes or no.
    Flag(bool),
    /// A name that is not looked up yet.
    Name(Name),
    /// A cell or an input.
    Node(u32),
    /// A column: one value for each row.
    Column(CellColumn),
    /// The cells that a column consists of: the formula of its own node and of nothing else.
    Cells(u32, u32),
    /// Several values in order.
    List(Vec<Formula>),
    /// The negative.
    Negative(Box<Formula>),
    /// The contrary.
    Not(Box<Formula>),
    /// A plain number with a unit: the measure of one, and its name.
    Unit(Box<Formula>, Quantity, String),
    /// A whole power.
    Power(Box<Formula>, i8),
    /// Two operands.
    Binary(Operator, Box<Formula>, Box<Formula>),
    /// One of two values by a condition.
    Choice(Box<Formula>, Box<Formula>, Box<Formula>),
    /// A call.
    Call(Callee, Vec<Formula>),
    /// One of several results by name.
    Field(Box<Formula>, String),
    /// What the tree does not express.
    Opaque(Box<Opaque>),
}

impl Formula {
    /// An operator of two formulas.
    pub fn two(operator: Operator, a: &Self, b: &Self) -> Self {
        Self::Binary(operator, Box::new(a.clone()), Box::new(b.clone()))
    }

    /// The parts of it, in order.
    pub fn parts(&self) -> Vec<&Formula> {
        match self {
            Self::List(items) | Self::Call(_, items) => items.iter().collect(),
            Self::Negative(a)
            | Self::Not(a)
            | Self::Power(a, _)
            | Self::Field(a, _)
            | Self::Unit(a, ..) => vec![a],
            Self::Binary(_, a, b) => vec![a, b],
            Self::Choice(a, b, c) => vec![a, b, c],
            Self::Opaque(opaque) => opaque.nodes.iter().map(|(_, node)| node).collect(),
            _ => Vec::new(),
        }
    }

    /// Every node that it rests on, in the order of the text; a column as the node that stands for it.
    pub(super) fn nodes(&self, found: &mut Vec<u32>) {
        match self {
            Self::Node(id) | Self::Column(CellColumn { id, .. }) => found.push(*id),
            Self::Cells(first, count) => found.extend(*first..first + count),
            Self::Binary(_, a, b) => {
                a.nodes(found);
                b.nodes(found);
            }
            Self::Number(_) | Self::Measure(..) => {}
            other => other.parts().into_iter().for_each(|part| part.nodes(found)),
        }
    }

    /// Every column in it.
    pub(super) fn columns(&self, found: &mut Vec<CellColumn>) {
        match self {
            Self::Column(column) => found.push(*column),
            other => other.parts().into_iter().for_each(|part| part.columns(found)),
        }
    }

    /// The same formula over other nodes.
    pub(super) fn with_nodes(&self, other: &dyn Fn(u32) -> u32) -> Self {
        let of = |part: &Formula| Box::new(part.with_nodes(other));
        let all = |parts: &[Formula]| parts.iter().map(|part| part.with_nodes(other)).collect();
        match self {
            Self::Node(id) => Self::Node(other(*id)),
            Self::List(items) => Self::List(all(items)),
            Self::Call(callee, inputs) => Self::Call(callee.clone(), all(inputs)),
            Self::Negative(a) => Self::Negative(of(a)),
            Self::Not(a) => Self::Not(of(a)),
            Self::Unit(a, one, name) => Self::Unit(of(a), *one, name.clone()),
            Self::Power(a, n) => Self::Power(of(a), *n),
            Self::Field(a, name) => Self::Field(of(a), name.clone()),
            Self::Binary(operator, a, b) => Self::Binary(*operator, of(a), of(b)),
            Self::Choice(a, b, c) => Self::Choice(of(a), of(b), of(c)),
            Self::Number(_)
            | Self::Measure(..)
            | Self::Text(_)
            | Self::Flag(_)
            | Self::Name(_)
            | Self::Column(_)
            | Self::Cells(..)
            | Self::Opaque(_) => self.clone(),
        }
    }

    /// Every trade function that it calls.
    pub fn functions(&self, found: &mut Vec<&'static Function>) {
        if let Self::Call(Callee::Trade(function), _) = self {
            found.push(function);
        }
        self.parts().into_iter().for_each(|part| part.functions(found));
    }

    /// Every function of a script that it calls.
    pub fn script_functions(&self, found: &mut Vec<String>) {
        if let Self::Call(Callee::Script(name), _) = self {
            found.push(name.clone());
        }
        self.parts().into_iter().for_each(|part| part.script_functions(found));
    }

    /// Whether it is a value that an estimator typed and nothing else.
    pub fn is_typed(&self) -> bool {
        match self {
            Self::Number(_) | Self::Measure(..) | Self::Text(_) | Self::Flag(_) => true,
            Self::Negative(a) | Self::Unit(a, ..) => a.is_typed(),
            _ => false,
        }
    }

    /// Whether the tree expresses all of it.
    pub fn is_expressed(&self) -> bool {
        !matches!(self, Self::Opaque(_)) && self.parts().into_iter().all(Self::is_expressed)
    }
}
