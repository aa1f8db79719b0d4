//! Values that go into and come out of trade functions.

use std::sync::Arc;

use num_rational::BigRational;

use super::{Function, ValueKind};
use crate::footing::{Layout, NoLayout, Part, Site};
use crate::measure::{Choice, Length, Quantity, Typed, read_exact};
use crate::problem::Problem;
use crate::survey::Ground;
use crate::takeoff::WallJob;

/// A read-only object of a wall case.
#[derive(Debug, Clone)]
pub enum Object {
    /// The job.
    Job(Arc<WallJob>),
    /// Its ground lines.
    Ground(Arc<Ground>),
    /// A layout of steps.
    Layout(Arc<Layout>),
    /// Measured parts, and the function that measured them.
    Parts(Arc<Vec<Part>>, &'static str),
}

/// A value.
#[derive(Debug, Clone)]
pub enum Value {
    /// A measure.
    Measure(Quantity),
    /// A plain number.
    Number(f64),
    /// A text.
    Text(String),
    /// Yes or no.
    Flag(bool),
    /// None.
    Nothing,
    /// Several values in order.
    List(Vec<Value>),
    /// Several values by name.
    Record(Vec<(&'static str, Value)>),
    /// An object.
    Object(Object),
}

/// What a trade function gives, as a value.
pub trait Output {
    /// What it is.
    const KIND: ValueKind;

    /// The value.
    fn value(self) -> Value;
}

impl<T: Typed> Output for T {
    const KIND: ValueKind =
        if T::DIMENSION.is_number() { ValueKind::Number } else { ValueKind::Measure(T::DIMENSION) };

    fn value(self) -> Value {
        let quantity: Quantity = self.into();
        if T::DIMENSION.is_number() {
            Value::Number(quantity.base())
        } else {
            Value::Measure(quantity)
        }
    }
}

impl Output for usize {
    const KIND: ValueKind = ValueKind::Number;

    #[expect(clippy::cast_precision_loss, reason = "counts of things on a job")]
    fn value(self) -> Value {
        Value::Number(self as f64)
    }
}

impl Output for &str {
    const KIND: ValueKind = ValueKind::Text;

    fn value(self) -> Value {
        Value::Text(self.to_owned())
    }
}

impl Output for String {
    const KIND: ValueKind = ValueKind::Text;

    fn value(self) -> Value {
        Value::Text(self)
    }
}

impl Output for bool {
    const KIND: ValueKind = ValueKind::Flag;

    fn value(self) -> Value {
        Value::Flag(self)
    }
}

impl<T: Typed> Output for Vec<T> {
    const KIND: ValueKind = ValueKind::List(T::DIMENSION);

    fn value(self) -> Value {
        Value::List(self.into_iter().map(Output::value).collect())
    }
}

impl<T: Output> Output for Option<T> {
    const KIND: ValueKind = T::KIND;

    fn value(self) -> Value {
        self.map_or(Value::Nothing, Output::value)
    }
}

/// Declares what the fields of a result mean, and how it becomes a value.
macro_rules! record {
    ($type:ty { $($field:ident: $kind:ty, $about:literal;)* }) => {
        impl $crate::catalogue::Output for $type {
            const KIND: $crate::catalogue::ValueKind = $crate::catalogue::ValueKind::Record(&[$(
                $crate::catalogue::Field {
                    name: stringify!($field),
                    kind: <$kind as $crate::catalogue::Output>::KIND,
                    about: $about,
                },
            )*]);

            fn value(self) -> $crate::catalogue::Value {
                $crate::catalogue::Value::Record(vec![$(
                    (stringify!($field), $crate::catalogue::Output::value(self.$field)),
                )*])
            }
        }
    };
}

pub(crate) use record;

/// The outcome of a trade function as the catalogue wants it.
pub(super) fn give<T: Output>(result: Result<T, Problem>) -> Result<Value, Fault> {
    let value = result.map_err(Fault::Problem)?.value();
    if value.is_finite() {
        return Ok(value);
    }
    Err(Problem::error("the result is not a finite number: an input is larger than anything built")
        .help("look at the units and the powers of ten of the inputs")
        .into())
}

impl Value {
    /// Whether every number in it is one.
    fn is_finite(&self) -> bool {
        match self {
            Self::Measure(quantity) => quantity.base().is_finite(),
            Self::Number(number) => number.is_finite(),
            Self::List(values) => values.iter().all(Self::is_finite),
            Self::Record(fields) => fields.iter().all(|(_, value)| value.is_finite()),
            Self::Text(_) | Self::Flag(_) | Self::Nothing | Self::Object(_) => true,
        }
    }

    /// What it is, for messages.
    pub fn words(&self) -> String {
        match self {
            Self::Measure(quantity) => quantity.dimension().to_string(),
            Self::Number(_) => ValueKind::Number.to_string(),
            Self::Text(text) => format!("the text \"{text}\""),
            Self::Flag(_) => ValueKind::Flag.to_string(),
            Self::Nothing => "nothing".to_owned(),
            Self::List(_) => "a list".to_owned(),
            Self::Record(_) => "several values by name".to_owned(),
            Self::Object(Object::Job(_)) => ValueKind::Job.to_string(),
            Self::Object(Object::Ground(_)) => ValueKind::Ground.to_string(),
            Self::Object(Object::Layout(_)) => ValueKind::Layout.to_string(),
            Self::Object(Object::Parts(..)) => ValueKind::Parts.to_string(),
        }
    }
}

/// Why a function has no result.
#[derive(Debug, Clone)]
pub enum Fault {
    /// Something is wrong.
    Problem(Problem),
    /// No layout of steps is legal.
    NoLayout(Box<NoLayout>, Arc<Site>),
}

impl From<Problem> for Fault {
    fn from(problem: Problem) -> Self {
        Self::Problem(problem)
    }
}

/// A default as a value: a name, a number, or a measure as one writes it.
fn default(kind: ValueKind, text: &str) -> Value {
    let value = match kind {
        ValueKind::Number => text.parse().ok().map(Value::Number),
        ValueKind::Measure(_) => {
            read_exact(text).ok().map(|exact| Value::Measure(exact.quantity()))
        }
        _ => None,
    };
    value.unwrap_or_else(|| Value::Text(text.to_owned()))
}

/// The inputs of a call.
#[derive(Debug, Clone)]
pub struct Args {
    function: &'static Function,
    values: Vec<Value>,
}

impl Args {
    /// Inputs for a function.
    ///
    /// What is left out at the end takes its default.
    pub fn new(function: &'static Function, mut values: Vec<Value>) -> Self {
        let rest = function.parameters.iter().skip(values.len());
        values.extend(
            rest.map_while(|parameter| parameter.default.map(|text| default(parameter.kind, text))),
        );
        Self { function, values }
    }

    fn wrong(&self, index: usize) -> Problem {
        let name = self.function.name;
        match (self.function.parameters.get(index), self.values.get(index)) {
            (Some(parameter), Some(value)) => Problem::error(format!(
                "{name}: input {} is {}, {} was expected",
                parameter.name,
                value.words(),
                parameter.kind
            ))
            .help(format!("{}: {}", parameter.name, parameter.about)),
            _ => Problem::error(format!("{name}: an input is missing")),
        }
    }

    /// A measure of any dimension.
    fn quantity(&self, index: usize) -> Result<Quantity, Problem> {
        match self.values.get(index) {
            Some(Value::Measure(quantity)) => Ok(*quantity),
            Some(Value::Number(number)) => Ok(Quantity::number(*number)),
            _ => Err(self.wrong(index)),
        }
    }

    /// A typed measure.
    ///
    /// # Errors
    /// The input is something else; the message names it and what was expected.
    pub fn measure<T: TryFrom<Quantity, Error = Problem>>(
        &self,
        index: usize,
    ) -> Result<T, Problem> {
        T::try_from(self.quantity(index)?).map_err(|_| self.wrong(index))
    }

    /// A length.
    ///
    /// # Errors
    /// As [`Args::measure`].
    pub fn length(&self, index: usize) -> Result<Length, Problem> {
        self.measure(index)
    }

    /// A plain number.
    ///
    /// # Errors
    /// As [`Args::measure`].
    pub fn number(&self, index: usize) -> Result<f64, Problem> {
        match self.values.get(index) {
            Some(Value::Number(number)) => Ok(*number),
            _ => Err(self.wrong(index)),
        }
    }

    /// A plain number, exactly.
    ///
    /// # Errors
    /// As [`Args::measure`].
    pub fn ratio(&self, index: usize) -> Result<BigRational, Problem> {
        BigRational::from_float(self.number(index)?).ok_or_else(|| self.wrong(index))
    }

    /// A list of typed measures.
    ///
    /// # Errors
    /// As [`Args::measure`], for the first that is something else.
    pub fn list<T: Typed>(&self, index: usize) -> Result<Vec<T>, Problem> {
        let Some(Value::List(values)) = self.values.get(index) else {
            return Err(self.wrong(index));
        };
        let one = |(place, value): (usize, &Value)| {
            let quantity = match value {
                Value::Measure(quantity) => *quantity,
                Value::Number(number) => Quantity::number(*number),
                _ => return Err(self.wrong(index)),
            };
            T::try_from(quantity).map_err(|_| {
                let name = self.function.parameters.get(index).map_or("", |p| p.name);
                Problem::error(format!(
                    "{}: number {} of {name} is {}, {} was expected",
                    self.function.name,
                    place + 1,
                    value.words(),
                    T::DIMENSION
                ))
            })
        };
        values.iter().enumerate().map(one).collect()
    }

    /// One of a few names.
    ///
    /// # Errors
    /// As [`Args::measure`], or there is no such choice.
    pub fn choice<T: Choice>(&self, index: usize) -> Result<T, Problem> {
        T::named(self.text(index)?)
    }

    /// A text.
    ///
    /// # Errors
    /// As [`Args::measure`].
    pub fn text(&self, index: usize) -> Result<&str, Problem> {
        match self.values.get(index) {
            Some(Value::Text(text)) => Ok(text),
            _ => Err(self.wrong(index)),
        }
    }

    /// The job.
    ///
    /// # Errors
    /// As [`Args::measure`].
    pub fn job(&self, index: usize) -> Result<&Arc<WallJob>, Problem> {
        match self.values.get(index) {
            Some(Value::Object(Object::Job(job))) => Ok(job),
            _ => Err(self.wrong(index)),
        }
    }

    /// Ground lines.
    ///
    /// # Errors
    /// As [`Args::measure`].
    pub fn ground(&self, index: usize) -> Result<&Arc<Ground>, Problem> {
        match self.values.get(index) {
            Some(Value::Object(Object::Ground(ground))) => Ok(ground),
            _ => Err(self.wrong(index)),
        }
    }

    /// A layout.
    ///
    /// # Errors
    /// As [`Args::measure`].
    pub fn layout(&self, index: usize) -> Result<&Arc<Layout>, Problem> {
        match self.values.get(index) {
            Some(Value::Object(Object::Layout(layout))) => Ok(layout),
            _ => Err(self.wrong(index)),
        }
    }

    /// Measured parts as a result of this function.
    pub fn parts(&self, parts: Vec<Part>) -> Value {
        Value::Object(Object::Parts(Arc::new(parts), self.function.name))
    }
}
