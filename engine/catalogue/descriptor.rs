//! What the catalogue says of a function.

use std::fmt;

use super::{Args, Fault, Value};
use crate::measure::Dimension;

/// Family of functions, as the reference groups them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// Snapping to modules.
    Modules,
    /// Fresh concrete on forms.
    FreshConcrete,
    /// Concrete volumes and orders.
    Concrete,
    /// Bars.
    Bars,
    /// Footing and step rules.
    Steps,
    /// Digging.
    Earth,
    /// The parts of a wall case.
    WallCase,
}

impl Family {
    /// All families, in the order of the reference.
    pub const ALL: [Self; 7] = [
        Self::WallCase,
        Self::Steps,
        Self::Modules,
        Self::FreshConcrete,
        Self::Concrete,
        Self::Bars,
        Self::Earth,
    ];

    /// Its heading.
    pub fn title(self) -> &'static str {
        match self {
            Self::Modules => "Modules",
            Self::FreshConcrete => "Fresh concrete on forms",
            Self::Concrete => "Concrete",
            Self::Bars => "Bars",
            Self::Steps => "Footing and step rules",
            Self::Earth => "Earth",
            Self::WallCase => "Wall case: from a job to its quantities",
        }
    }
}

/// What a parameter or result is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A measure of this dimension.
    Measure(Dimension),
    /// A plain number.
    Number,
    /// A text.
    Text,
    /// The job.
    Job,
    /// The ground lines of a job.
    Ground,
    /// A layout of steps.
    Layout,
    /// Measured parts.
    Parts,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Measure(dimension) => write!(f, "{dimension}"),
            Self::Number => f.write_str("a plain number"),
            Self::Text => f.write_str("a text"),
            Self::Job => f.write_str("the job"),
            Self::Ground => f.write_str("ground lines"),
            Self::Layout => f.write_str("a layout of steps"),
            Self::Parts => f.write_str("measured parts"),
        }
    }
}

/// One input.
#[derive(Debug, Clone, Copy)]
pub struct Parameter {
    /// Its name.
    pub name: &'static str,
    /// What it is.
    pub kind: Kind,
    /// What it means, with unit, sign and range.
    pub about: &'static str,
}

/// One trade function.
#[derive(Debug, Clone, Copy)]
pub struct Function {
    /// Its name.
    pub name: &'static str,
    /// Its family.
    pub family: Family,
    /// What it computes, verb first.
    pub summary: &'static str,
    /// Key of its source.
    pub source: &'static str,
    /// Its inputs.
    pub parameters: &'static [Parameter],
    /// What the result is.
    pub result: Kind,
    /// What the result means.
    pub result_about: &'static str,
    /// When it fails.
    pub errors: &'static str,
    /// An expression that is run as a test; `job` stands for the demo job.
    pub example: &'static str,
    /// What the example prints.
    pub prints: &'static str,
    /// The evaluation.
    pub evaluate: fn(&Args) -> Result<Value, Fault>,
}
