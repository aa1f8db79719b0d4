//! Declarations: what a listing is called, what it lists, and its columns.

use super::Datum;
use crate::measure::Dimension;
use crate::problem::{Problem, closest};

/// Kind of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColumnKind {
    /// Texts.
    Text,
    /// Whole numbers.
    Count,
    /// Yes or no.
    Flag,
    /// Lengths and elevations in the job's unit of length.
    Length,
    /// Measures of one dimension, each with the unit that it is shown in.
    Amount(Dimension),
    /// Measures, each of its own dimension.
    AnyAmount,
    /// Numbers without a unit.
    Number,
    /// Each of its own kind.
    Any,
}

impl std::fmt::Display for ColumnKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Text => f.write_str("text"),
            Self::Count => f.write_str("count"),
            Self::Flag => f.write_str("yes or no"),
            Self::Length => f.write_str("length"),
            Self::Amount(dimension) => write!(f, "{dimension}"),
            Self::AnyAmount => f.write_str("measure of the row's own kind"),
            Self::Number => f.write_str("number"),
            Self::Any => f.write_str("measure, text or flag"),
        }
    }
}

/// Who may see a listing besides the office; each sees what those after it may see.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Audience {
    /// The office alone: costs, prices, what was typed.
    Office,
    /// The engineer of record too.
    Engineer,
    /// The crew and the engineer.
    Crew,
    /// Everybody.
    Client,
}

impl Audience {
    /// The readers themselves.
    pub fn word(self) -> &'static str {
        match self {
            Self::Office => "the office",
            Self::Engineer => "the engineer",
            Self::Crew => "the crew",
            Self::Client => "the client",
        }
    }

    /// Who they are, all of them.
    pub fn name(self) -> &'static str {
        match self {
            Self::Office => "office",
            Self::Engineer => "office, engineer",
            Self::Crew => "office, engineer, crew",
            Self::Client => "everybody",
        }
    }
}

/// A column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Its name in machine-readable output, pages, scripts and formulas.
    pub name: &'static str,
    /// Kind of its values.
    pub kind: ColumnKind,
    /// Whether a row may have none.
    pub may_lack: bool,
    /// Who may see it, where it is not for all who may see the listing.
    pub audience: Option<Audience>,
    /// What it holds.
    pub about: &'static str,
}

/// A type of rows.
pub trait ListingRow {
    /// Its columns.
    const COLUMNS: &'static [Column];
    /// Its values, in the order of the columns.
    fn cells(self) -> Vec<Datum>;
}

/// A listing as it is declared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Declaration {
    /// Its name.
    pub name: &'static str,
    /// What it lists.
    pub about: &'static str,
    /// The columns that tell its rows apart, as a person names one; none where the order does.
    pub key: &'static [&'static str],
    /// Who may see it.
    pub audience: Audience,
    /// Its columns.
    pub columns: &'static [Column],
}

impl Declaration {
    /// A listing of rows of a type, for the office.
    pub const fn of<R: ListingRow>(
        name: &'static str,
        about: &'static str,
        key: &'static [&'static str],
    ) -> Self {
        Self { name, about, key, audience: Audience::Office, columns: R::COLUMNS }
    }

    /// The same for more readers.
    pub const fn seen_by(self, audience: Audience) -> Self {
        Self { audience, ..self }
    }

    /// Who may see a column.
    pub fn seen_by_column(&self, at: usize) -> Audience {
        let column = self.columns.get(at).and_then(|column| column.audience);
        column.unwrap_or(self.audience).min(self.audience)
    }

    /// Position of a column.
    ///
    /// # Errors
    /// It has none of this name; the message has the one that was meant.
    pub fn column(&self, name: &str) -> Result<usize, Problem> {
        self.columns.iter().position(|column| column.name == name).ok_or_else(|| {
            let problem =
                Problem::error(format!("listing \"{}\" has no column \"{name}\"", self.name));
            let names = || self.columns.iter().map(|column| column.name);
            match closest(name, names()) {
                Some(near) => problem.help(format!("did you mean {near}?")),
                None => {
                    problem.help(format!("its columns: {}", names().collect::<Vec<_>>().join(", ")))
                }
            }
        })
    }
}

/// A filled listing.
#[derive(Debug, Clone, PartialEq)]
pub struct Listing {
    /// What it is.
    pub declaration: Declaration,
    /// Its rows.
    pub rows: Vec<Vec<Datum>>,
}

impl Listing {
    /// A listing with these rows.
    pub fn of<R: ListingRow>(declaration: Declaration, rows: impl IntoIterator<Item = R>) -> Self {
        Self { declaration, rows: rows.into_iter().map(ListingRow::cells).collect() }
    }

    /// Its name.
    pub fn name(&self) -> &'static str {
        self.declaration.name
    }

    /// Its columns.
    pub fn columns(&self) -> &'static [Column] {
        self.declaration.columns
    }

    /// Position of a column, if it has it.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.columns().iter().position(|column| column.name == name)
    }
}

/// A field's name without the mark of a word of the language.
#[doc(hidden)]
pub const fn plain(name: &'static str) -> &'static str {
    match name.as_bytes() {
        [b'r', b'#', ..] => name.split_at(2).1,
        _ => name,
    }
}

/// Declares listings with the types of their rows: the fields are the columns, each with its meaning.
macro_rules! listings {
    ($($name:ident = $text:literal, $about:literal, for $audience:ident, by [$($key:literal),*]: $row:ident {
        $($field:ident: $type:ty, $meaning:literal $(for $seen:ident)?;)*
    })*) => {$(
        #[doc = concat!("A row of `", $text, "`: ", $about, ".")]
        #[derive(Debug, Clone, PartialEq)]
        pub(crate) struct $row {
            $(#[doc = $meaning] pub(crate) $field: $type,)*
        }

        impl $crate::listing::ListingRow for $row {
            const COLUMNS: &'static [$crate::listing::Column] = &[$(
                $crate::listing::Column {
                    name: $crate::listing::plain(stringify!($field)),
                    kind: <$type as $crate::listing::ColumnValue>::KIND,
                    may_lack: <$type as $crate::listing::ColumnValue>::MAY_LACK,
                    audience: $crate::listing::seen!($($seen)?),
                    about: $meaning,
                },
            )*];

            fn cells(self) -> Vec<$crate::listing::Datum> {
                vec![$($crate::listing::ColumnValue::datum(self.$field),)*]
            }
        }

        #[doc = concat!("The listing `", $text, "`.")]
        pub(crate) const $name: $crate::listing::Declaration =
            $crate::listing::Declaration::of::<$row>($text, $about, &[$($key),*])
                .seen_by($crate::listing::Audience::$audience);
    )*};
}
pub(crate) use listings;

/// The readers of a column, where they are named.
macro_rules! seen {
    () => {
        None
    };
    ($seen:ident) => {
        Some($crate::listing::Audience::$seen)
    };
}
pub(crate) use seen;
