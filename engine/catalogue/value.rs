//! Values that go into and come out of trade functions.

use std::sync::Arc;

use num_rational::BigRational;

use super::{Function, Kind};
use crate::footing::{Layout, NoLayout, Part, Site};
use crate::measure::{Length, Quantity};
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
    /// An object.
    Object(Object),
}

impl Value {
    /// What it is, for messages.
    pub fn words(&self) -> String {
        match self {
            Self::Measure(quantity) => quantity.dimension().to_string(),
            Self::Number(_) => Kind::Number.to_string(),
            Self::Text(_) => Kind::Text.to_string(),
            Self::Object(Object::Job(_)) => Kind::Job.to_string(),
            Self::Object(Object::Ground(_)) => Kind::Ground.to_string(),
            Self::Object(Object::Layout(_)) => Kind::Layout.to_string(),
            Self::Object(Object::Parts(..)) => Kind::Parts.to_string(),
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

/// The inputs of a call.
#[derive(Debug, Clone)]
pub struct Args {
    function: &'static Function,
    values: Vec<Value>,
}

impl Args {
    /// Inputs for a function.
    pub fn new(function: &'static Function, values: Vec<Value>) -> Self {
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
