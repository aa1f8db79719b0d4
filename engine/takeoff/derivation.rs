//! How the quantity of a line follows, and the formula that says so.

use num_rational::BigRational;
use num_traits::ToPrimitive;

use crate::measure::{Exact, shortest, unit};

/// How a line's quantity follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Derivation {
    /// The sum of its own parts.
    Parts,
    /// The sum of other lines.
    Sum(Vec<String>),
    /// Another line times a factor.
    Scaled {
        /// The other line.
        of: String,
        /// The factor.
        factor: Share,
    },
    /// Another line increased by a share.
    Increased {
        /// The other line.
        of: String,
        /// The share.
        share: Share,
    },
    /// Another line with waste, up to the next order step.
    Ordered {
        /// The other line.
        of: String,
        /// Waste as a fraction.
        waste: Share,
        /// The step.
        step: Exact,
        /// The setting that the step is, where it is one.
        step_from: Option<String>,
    },
    /// A formula over other lines, settings and listings, as written.
    Formula(String),
    /// A value that a script computed.
    Value,
}

/// A share, and the setting that it is, where it is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Share {
    /// As a fraction.
    pub value: BigRational,
    /// Path of the setting.
    pub from: Option<String>,
}

impl Share {
    fn text(&self) -> Option<String> {
        match &self.from {
            Some(path) => Some(path.clone()),
            None => self.value.to_f64().map(shortest),
        }
    }
}

impl Derivation {
    /// Paths of the settings that it names, where it is no formula of the user's own.
    pub fn settings(&self) -> impl Iterator<Item = &String> {
        let named = match self {
            Self::Scaled { factor: share, .. } | Self::Increased { share, .. } => {
                [share.from.as_ref(), None]
            }
            Self::Ordered { waste, step_from, .. } => [waste.from.as_ref(), step_from.as_ref()],
            Self::Sum(_) | Self::Parts | Self::Formula(_) | Self::Value => [None, None],
        };
        named.into_iter().flatten()
    }

    /// The lines that it names, where it is no formula of the user's own.
    pub fn of(&self) -> &[String] {
        match self {
            Self::Sum(of) => of,
            Self::Scaled { of, .. } | Self::Increased { of, .. } | Self::Ordered { of, .. } => {
                std::slice::from_ref(of)
            }
            Self::Parts | Self::Formula(_) | Self::Value => &[],
        }
    }

    /// The formula of a line that follows from others, in the language of calc sheets; lines are named after `before`, such as
    /// `takeoff`. A step is written in the unit of the line.
    pub fn formula(&self, unit_name: &str, before: &str) -> Option<String> {
        let name = |id: &str| named(before, id);
        match self {
            Self::Sum(of) => Some(of.iter().map(|id| name(id)).collect::<Vec<_>>().join(" + ")),
            Self::Scaled { of, factor } => Some(format!("{} * {}", name(of), factor.text()?)),
            Self::Increased { of, share } => {
                Some(format!("{} * (1 + {})", name(of), share.text()?))
            }
            Self::Ordered { of, waste, step, step_from } => {
                let step = match step_from {
                    Some(path) => path.clone(),
                    None => {
                        let size = step.quantity().in_unit(&unit(unit_name).ok()?).ok()?;
                        match unit_name {
                            "each" => shortest(size),
                            unit => format!("{}.{unit}", shortest(size)),
                        }
                    }
                };
                Some(format!("round_up({} * (1 + {}), {step})", name(of), waste.text()?))
            }
            Self::Formula(text) => {
                Some(text.trim_start().trim_start_matches('=').trim_start().to_owned())
            }
            Self::Parts | Self::Value => None,
        }
    }
}

/// Words that the language of formulas keeps for itself.
const KEPT: &[&str] = &[
    "Fn",
    "as",
    "async",
    "await",
    "break",
    "call",
    "case",
    "catch",
    "const",
    "continue",
    "curry",
    "default",
    "do",
    "else",
    "eval",
    "exit",
    "export",
    "false",
    "fn",
    "for",
    "global",
    "go",
    "goto",
    "if",
    "import",
    "in",
    "is",
    "is_def_fn",
    "is_def_var",
    "is_shared",
    "let",
    "loop",
    "match",
    "module",
    "new",
    "nil",
    "null",
    "package",
    "print",
    "private",
    "protected",
    "public",
    "return",
    "shared",
    "spawn",
    "static",
    "super",
    "switch",
    "sync",
    "this",
    "thread",
    "throw",
    "true",
    "try",
    "type_of",
    "until",
    "use",
    "var",
    "void",
    "while",
    "with",
    "yield",
    "debug",
];

/// Whether a word can stand after a dot in a formula.
pub fn is_plain_word(word: &str) -> bool {
    let letter = |c: char| c.is_ascii_alphanumeric() || c == '_';
    word.starts_with(|c: char| c.is_ascii_alphabetic())
        && word.chars().all(letter)
        && !KEPT.contains(&word)
}

/// The name of a line in a formula: with dots, or in brackets where the language would read its id otherwise.
fn named(before: &str, id: &str) -> String {
    match id.split('.').all(is_plain_word) {
        true => format!("{before}.{id}"),
        false => format!("{before}[\"{id}\"]"),
    }
}
