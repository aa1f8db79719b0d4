//! What a user says of a list where it does not say it itself, and how he is told to say it.

use super::{LengthUnit, Role};
use crate::table::DecimalMark;

/// What is said of a list from outside.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Asked {
    /// Heading, or number or letter, of the column of some roles.
    pub columns: Vec<(Role, String)>,
    /// Line of the headings; rows from there to the next headings are the list.
    pub heading_row: Option<usize>,
    /// The mark before decimals.
    pub decimal: Option<DecimalMark>,
    /// Unit of every column that states none, and where that is said.
    pub unit: Option<(LengthUnit, String)>,
    /// Units of single columns.
    pub units: Vec<(Role, LengthUnit)>,
    /// Whether numbers of a list that states no unit are taken as they are written.
    pub as_written: bool,
    /// Whether the job is laid out in U.S. survey feet: then numbers in them are taken as they are, and all others are
    /// counted in them.
    pub survey_frame: bool,
    /// Names of the walls, by which a row of its own may name a section.
    pub walls: Vec<String>,
    /// Where it is said.
    pub by: AskedBy,
}

/// Where it is said: this decides what a refusal tells the user to type.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum AskedBy {
    /// Options of the command line.
    #[default]
    Options,
    /// Settings of a job.
    Settings,
}

/// A value as a shell or a settings file takes it.
fn quoted(value: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.' | '=' | ',' | '#');
    if value.chars().all(plain) { value.to_owned() } else { format!("'{value}'") }
}

impl AskedBy {
    /// How to name the columns of roles.
    pub(super) fn columns(self, columns: &[(Role, String)]) -> String {
        match self {
            Self::Options => {
                let pairs: Vec<String> =
                    columns.iter().map(|(role, name)| format!("{}={name}", role.name())).collect();
                format!("--columns {}", quoted(&pairs.join(",")))
            }
            Self::Settings => {
                let pairs: Vec<String> = columns
                    .iter()
                    .map(|(role, name)| format!("{} = {name:?}", role.name()))
                    .collect();
                format!("shots.columns = {{ {} }} in job.toml", pairs.join(", "))
            }
        }
    }

    /// How to say the order of the columns of a list without headings.
    pub(super) fn order(self, roles: &[Role]) -> String {
        match self {
            Self::Options => {
                let names: Vec<&str> = roles.iter().map(|role| role.name()).collect();
                format!("--columns {}", names.join(","))
            }
            Self::Settings => {
                let numbered = roles.iter().copied().zip(1..).map(|(r, n)| (r, format!("{n}")));
                self.columns(&numbered.collect::<Vec<_>>())
            }
        }
    }

    /// How to say the units of some columns, or of all.
    pub(super) fn units(self, roles: &[Role], unit: &str) -> String {
        match (self, roles) {
            (Self::Options, []) => format!("--unit {unit}"),
            (Self::Settings, []) => format!("shots.length_unit = \"{unit}\" in job.toml"),
            (Self::Options, roles) => {
                let pairs: Vec<String> =
                    roles.iter().map(|role| format!("{}={unit}", role.name())).collect();
                format!("--unit {}", pairs.join(","))
            }
            (Self::Settings, roles) => {
                let pairs: Vec<String> =
                    roles.iter().map(|role| format!("{} = \"{unit}\"", role.name())).collect();
                format!("shots.units = {{ {} }} in job.toml", pairs.join(", "))
            }
        }
    }

    /// How to say the row of the headings.
    pub(super) fn heading_row(self, line: usize) -> String {
        match self {
            Self::Options => format!("--heading-row {line}"),
            Self::Settings => format!("shots.heading_row = {line} in job.toml"),
        }
    }

    /// How to say the mark before decimals.
    pub(super) fn decimal(self, mark: &str) -> String {
        match self {
            Self::Options => format!("--decimal {mark}"),
            Self::Settings => format!("shots.decimal = \"{mark}\" in job.toml"),
        }
    }

    /// How to name a sheet.
    pub fn sheet(self, name: &str) -> String {
        match self {
            Self::Options => format!("--sheet {}", quoted(name)),
            Self::Settings => format!("shots.sheet = {name:?} in job.toml"),
        }
    }
}

impl Asked {
    /// The heading or column that is named for a role.
    pub(super) fn column(&self, role: Role) -> Option<&str> {
        self.columns.iter().find(|(known, _)| *known == role).map(|(_, name)| name.as_str())
    }

    /// The unit of one column that is named by itself.
    pub(super) fn own_unit(&self, role: Role) -> Option<LengthUnit> {
        self.units.iter().find(|(known, _)| *known == role).map(|(_, unit)| *unit)
    }
}
