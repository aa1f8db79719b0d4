//! What a book needs from outside: a language for its formulas, and inputs that they may name.

use super::book::Origin;
use super::formula::{Formula, Name, Opaque};
use crate::catalogue::Value;
use crate::measure::{Dimension, Quantity};
use crate::problem::{Place, Problem};

/// The language that formulas are written in.
pub trait Language {
    /// The tree of a formula.
    ///
    /// # Errors
    /// It cannot be read.
    fn lower(&self, text: &str) -> Result<Formula, Problem>;

    /// A measure as one types it, such as `12'-6"` or `42.25 usd/cy`.
    fn measure(&self, text: &str) -> Option<Quantity>;

    /// Evaluates what the tree does not express.
    ///
    /// # Errors
    /// It is faulty.
    fn evaluate(&self, opaque: &Opaque, known: &[(Name, Value)]) -> Result<Value, Problem>;

    /// Calls a function of a script.
    ///
    /// # Errors
    /// There is none, or it is faulty.
    fn call(&self, name: &str, inputs: &[Value]) -> Result<Value, Problem>;

    /// The unit that a measure is shown in where a sheet names none.
    fn usual_unit(&self, dimension: Dimension) -> String;
}

/// Something outside the sheets that formulas may name.
#[derive(Debug, Clone)]
pub struct Input {
    /// Its full name.
    pub name: String,
    /// What it is, in words.
    pub what: String,
    /// What it holds.
    pub given: Given,
    /// Unit that it is shown in.
    pub unit: String,
    /// Where it comes from.
    pub origin: Origin,
}

/// What an input holds.
#[derive(Debug, Clone)]
pub enum Given {
    /// A value.
    Value(Value),
    /// A formula over other inputs, as written, and where.
    Formula(String, Option<Place>),
}

/// What is outside the sheets; without more, nothing.
pub trait Inputs {
    /// Inputs that a book holds whether or not a cell names them.
    fn always(&self) -> Vec<Vec<String>> {
        Vec::new()
    }

    /// The input that a name begins with, and how many of its words it takes; of a wall in its sheets.
    fn input(&self, _path: &[String], _wall: Option<&str>) -> Option<(usize, Input)> {
        None
    }

    /// The column of a listing that a name begins with, a value a row where it has one, and how many of its words it takes.
    fn list(&self, _path: &[String]) -> Option<(usize, Vec<Option<Input>>)> {
        None
    }

    /// How many rows a listing has.
    ///
    /// # Errors
    /// There is no such listing here.
    fn rows(&self, listing: &str) -> Result<usize, Problem> {
        Err(Problem::error(format!("there is no listing {listing} here"))
            .help("listings are those of a job: rodbook sheet JOB"))
    }

    /// What is said of a name that there could be and is not, such as a setting that is not given.
    fn missing(&self, _path: &[String]) -> Option<Problem> {
        None
    }

    /// Names that may have been meant.
    fn names(&self) -> Vec<String> {
        Vec::new()
    }

    /// Names of the walls.
    fn walls(&self) -> Vec<String> {
        Vec::new()
    }
}
