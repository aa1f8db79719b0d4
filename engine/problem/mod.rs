//! What went wrong, where, and what to do about it.
//!
//! Low-level code returns a [`Problem`] that says what is wrong; the reader that knows the place adds
//! it with [`Problem::at`]. All faults of one input travel together as [`Faults`].

mod place;
mod print;
mod suggest;

pub use place::{At, Place, cell_name};
pub use suggest::closest;

/// How much a problem weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The work cannot go on.
    Error,
    /// The work goes on; somebody must look.
    Caution,
    /// Worth knowing, nothing to do.
    Note,
}

/// The piece of a source line that a problem points at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Excerpt {
    /// The line as written, without its line end.
    pub line: String,
    /// First marked character, counted from 0.
    pub start: usize,
    /// Number of marked characters, at least 1.
    pub length: usize,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// How much it weighs.
    pub severity: Severity,
    /// Where it stands, if that is known.
    pub place: Option<Place>,
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// The source line with the faulty part.
    pub excerpt: Option<Excerpt>,
    /// Further facts, one a line.
    pub details: Vec<String>,
    /// What to do.
    pub help: Option<String>,
}

impl Problem {
    /// A problem that stops the work.
    pub fn error(message: impl Into<String>) -> Self {
        Self::new(Severity::Error, message)
    }

    /// A problem that somebody must look at while the work goes on.
    pub fn caution(message: impl Into<String>) -> Self {
        Self::new(Severity::Caution, message)
    }

    /// A remark.
    pub fn note(message: impl Into<String>) -> Self {
        Self::new(Severity::Note, message)
    }

    fn new(severity: Severity, message: impl Into<String>) -> Self {
        Self {
            severity,
            place: None,
            message: message.into(),
            excerpt: None,
            details: Vec::new(),
            help: None,
        }
    }

    /// Adds the place, unless a more exact one is there already.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.place.get_or_insert(place);
        self
    }

    /// Adds the source line with its faulty part.
    #[must_use]
    pub fn marked(mut self, excerpt: Excerpt) -> Self {
        self.excerpt.get_or_insert(excerpt);
        self
    }

    /// Adds a further fact.
    #[must_use]
    pub fn detail(mut self, text: impl Into<String>) -> Self {
        self.details.push(text.into());
        self
    }

    /// Says what to do.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help = Some(text.into());
        self
    }
}

/// All faults of one input, in the order in which they were met.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Faults {
    problems: Vec<Problem>,
    /// How many more there were: nobody reads so many, and they would fill the memory.
    more: usize,
    /// Whether one of those stops the work.
    stop: bool,
}

/// Most problems that are told one by one.
pub const MOST_TOLD: usize = 1000;

/// A result that fails with every fault at once.
pub type Outcome<T> = Result<T, Faults>;

impl Faults {
    /// Nothing wrong so far.
    pub fn none() -> Self {
        Self::default()
    }

    /// Adds one problem.
    pub fn push(&mut self, problem: Problem) {
        if self.problems.len() < MOST_TOLD {
            self.problems.push(problem);
        } else {
            self.more += 1;
            self.stop |= problem.severity == Severity::Error;
        }
    }

    /// Adds all problems of another list.
    pub fn extend(&mut self, other: Faults) {
        self.more += other.more;
        self.stop |= other.stop;
        other.problems.into_iter().for_each(|problem| self.push(problem));
    }

    /// Keeps the value of an outcome, or collects its faults and gives nothing.
    pub fn keep<T>(&mut self, outcome: Outcome<T>) -> Option<T> {
        match outcome {
            Ok(value) => Some(value),
            Err(faults) => {
                self.extend(faults);
                None
            }
        }
    }

    /// Keeps the value of a result with one problem, or collects it.
    pub fn keep_one<T>(&mut self, result: Result<T, Problem>) -> Option<T> {
        self.keep(result.map_err(Faults::from))
    }

    /// Whether any of them stops the work.
    pub fn stop(&self) -> bool {
        self.stop || self.problems.iter().any(|p| p.severity == Severity::Error)
    }

    /// The value, if nothing stops the work.
    pub fn or_value<T>(self, value: Option<T>) -> Outcome<T> {
        match value {
            Some(value) if !self.stop() => Ok(value),
            _ => Err(self),
        }
    }

    /// The problems that are told one by one, in order.
    pub fn iter(&self) -> std::slice::Iter<'_, Problem> {
        self.problems.iter()
    }

    /// What is said of those beyond; nothing where there are none.
    pub fn beyond(&self) -> Option<Problem> {
        let said = format!("and {} more, which are not listed", self.more);
        (self.more > 0).then(|| Problem::note(said))
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// The problems as a list, at its end how many more there are.
    pub fn into_vec(mut self) -> Vec<Problem> {
        self.problems.extend(self.beyond());
        self.problems
    }

    /// Adds a place to every problem that has none.
    #[must_use]
    pub fn at(mut self, place: &Place) -> Self {
        let problems =
            std::mem::take(&mut self.problems).into_iter().map(|p| p.at(place.clone())).collect();
        Self { problems, ..self }
    }
}

impl From<Problem> for Faults {
    fn from(problem: Problem) -> Self {
        Self { problems: vec![problem], ..Self::default() }
    }
}

impl From<Vec<Problem>> for Faults {
    fn from(problems: Vec<Problem>) -> Self {
        let mut faults = Self::none();
        problems.into_iter().for_each(|problem| faults.push(problem));
        faults
    }
}
