//! What the catalogue says of a function.

use std::fmt;

use super::{Args, Fault, Output, Value};
use crate::measure::{Dimension, Limits};
use crate::source::{self, Standing};

/// Family of functions, as the reference groups them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// The parts of a wall case.
    WallCase,
    /// Footing and step rules.
    Steps,
    /// Snapping to modules.
    Modules,
    /// Fresh concrete on forms.
    FreshConcrete,
    /// Ties, braces and stakes of forms.
    Bracing,
    /// Form members: lumber, panels, spans.
    Members,
    /// Bars.
    Bars,
    /// Bars bent and cut.
    Bending,
    /// Concrete volumes, orders and placing.
    Concrete,
    /// Concrete in time: setting, maturity, stripping, cold.
    Time,
    /// Money.
    Money,
    /// Levels and survey.
    Levels,
    /// Earth pressure and walls.
    Walls,
    /// Digging, loose and compacted earth, truck loads.
    Earth,
}

impl Family {
    /// All families, in the order of the reference.
    pub const ALL: [Self; 14] = [
        Self::WallCase,
        Self::Steps,
        Self::Modules,
        Self::FreshConcrete,
        Self::Bracing,
        Self::Members,
        Self::Bars,
        Self::Bending,
        Self::Concrete,
        Self::Time,
        Self::Money,
        Self::Levels,
        Self::Earth,
        Self::Walls,
    ];

    /// Its heading.
    pub fn title(self) -> &'static str {
        match self {
            Self::WallCase => "Wall case: from a job to its quantities",
            Self::Steps => "Footing and step rules",
            Self::Modules => "Modules",
            Self::FreshConcrete => "Fresh concrete on forms",
            Self::Bracing => "Ties, braces and stakes",
            Self::Members => "Form members: lumber, panels, spans",
            Self::Bars => "Bars",
            Self::Bending => "Bars bent and cut",
            Self::Concrete => "Concrete: volumes, orders, placing",
            Self::Time => "Concrete in time: setting, maturity, stripping, cold",
            Self::Money => "Money",
            Self::Levels => "Levels and survey",
            Self::Walls => "Earth pressure and walls: plausibility, no design",
            Self::Earth => "Earth",
        }
    }
}

/// What a parameter or result is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ValueKind {
    /// A measure of this dimension.
    Measure(Dimension),
    /// A plain number.
    Number,
    /// A text.
    Text,
    /// Yes or no.
    Flag,
    /// One of these names.
    Choice(&'static [&'static str]),
    /// A list of measures of this dimension.
    List(Dimension),
    /// Several results by name.
    Record(&'static [Field]),
    /// The job.
    Job,
    /// The ground lines of a job.
    Ground,
    /// A layout of steps.
    Layout,
    /// Measured parts.
    Parts,
}

impl fmt::Display for ValueKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Measure(dimension) => write!(f, "{dimension}"),
            Self::Number => f.write_str("a plain number"),
            Self::Text => f.write_str("a text"),
            Self::Flag => f.write_str("yes or no"),
            Self::Choice(names) => write!(f, "one of \"{}\"", names.join("\", \"")),
            Self::List(Dimension::NUMBER) => f.write_str("a list of plain numbers"),
            Self::List(dimension) => write!(f, "a list, each {dimension}"),
            Self::Record(_) => f.write_str("several values"),
            Self::Job => f.write_str("the job"),
            Self::Ground => f.write_str("ground lines"),
            Self::Layout => f.write_str("a layout of steps"),
            Self::Parts => f.write_str("measured parts"),
        }
    }
}

/// One of several results.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Field {
    /// Its name.
    pub name: &'static str,
    /// What it is.
    pub kind: ValueKind,
    /// What it means.
    pub about: &'static str,
}

/// One input.
#[derive(Debug, Clone, Copy)]
pub struct Parameter {
    /// Its name.
    pub name: &'static str,
    /// What it is.
    pub kind: ValueKind,
    /// Its range, if it has one.
    pub limits: Option<Limits>,
    /// What holds when it is left out; only the last inputs may be.
    pub default: Option<&'static str>,
    /// What it means, with sign.
    pub about: &'static str,
}

impl Parameter {
    /// An input without a range.
    pub const fn new(name: &'static str, kind: ValueKind, about: &'static str) -> Self {
        Self { name, kind, limits: None, default: None, about }
    }

    /// A measure within a range.
    pub const fn measure<T: Output>(limits: Limits, about: &'static str) -> Self {
        Self { limits: Some(limits), ..Self::new(limits.name, T::KIND, about) }
    }

    /// One of a few names.
    pub const fn choice(
        name: &'static str,
        names: &'static [&'static str],
        about: &'static str,
    ) -> Self {
        Self::new(name, ValueKind::Choice(names), about)
    }

    /// The same input, which may be left out.
    #[must_use]
    pub const fn or(self, default: &'static str) -> Self {
        Self { default: Some(default), ..self }
    }

    /// The range in words; empty for none.
    pub fn range(&self) -> String {
        self.limits.map_or_else(String::new, |limits| limits.words())
    }
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
    pub result: ValueKind,
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

/// What functions hold that is from memory although their source is not.
const MEMORY_INSIDE: [(&[&str], &str); 3] = [
    (
        &["development_length", "class_a_lap", "class_b_lap", "unequal_lap", "field_lap"],
        "the factor for a grade over 60 ksi",
    ),
    (&["dowel_length"], "the take-off of its hook"),
    (&["wall_pressure", "column_pressure"], "the least pressure and the form in metric units"),
];

impl Function {
    /// Its name with those of its inputs; what may be left out in brackets.
    pub fn signature(&self) -> String {
        let input = |parameter: &Parameter| match parameter.default {
            Some(_) => format!("[{}]", parameter.name),
            None => parameter.name.to_owned(),
        };
        let inputs: Vec<String> = self.parameters.iter().map(input).collect();
        format!("{}({})", self.name, inputs.join(", "))
    }

    /// What of it is from memory: of its source, or inside it.
    pub fn memory(&self) -> Option<String> {
        let inside = MEMORY_INSIDE.iter().find(|(names, _)| names.contains(&self.name));
        if let Some((_, what)) = inside {
            return Some(format!("{what} from memory, not verified"));
        }
        let source = source::find(self.source)?;
        let known = source.standing == Standing::Memory
            || source.title.contains("from memory")
            || self.result_about.contains("from memory");
        known.then(|| "in part from memory, not verified".to_owned())
    }

    /// The inputs that a call leaves to their defaults, and what is taken for them.
    pub fn taken(&self, given: usize) -> impl Iterator<Item = String> {
        self.parameters.iter().skip(given).filter_map(|parameter| {
            parameter.default.map(|default| format!("{} = {default}", parameter.name))
        })
    }

    /// How many inputs must be given.
    pub fn required(&self) -> usize {
        self.parameters.iter().filter(|parameter| parameter.default.is_none()).count()
    }
}
