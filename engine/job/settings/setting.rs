//! What a key of the settings may hold.

use crate::measure::{Exact, Nm};

/// The value of a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Setting {
    /// A text.
    Text(String),
    /// A whole number.
    Count(i64),
    /// A length.
    Length(Nm),
    /// Another measure, or a plain number.
    Measure(Exact),
    /// A list of texts.
    Texts(Vec<String>),
    /// A list of stations and elevations.
    Stations(Vec<(Nm, Nm)>),
}
