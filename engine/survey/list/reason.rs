//! Why a row is not used.

use super::Role;
use crate::measure::Nm;

/// Why a row is not used. The order of the variants is the order in which they are tested.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reason {
    /// It sums up the rows above it: the word that says so.
    Summary(String),
    /// In text, it has more or fewer fields than the list has columns, so that no field is sure of its column.
    FieldCount(usize, usize),
    /// Its code serves no line.
    CodeNotUsed,
    /// An intermediate sight and a foresight on one point.
    TwoReadings,
    /// A value that is needed is empty.
    MissingValue(Vec<Role>),
    /// A value is not a plain decimal number.
    BadNumber(Vec<(Role, String)>),
    /// A number that stands for having none.
    NoValue(Vec<(Role, String)>),
    /// It stands under headings that make no list, or above all headings: their row.
    OtherList(usize),
    /// The same point again, within the tolerance: how much higher than the first.
    Duplicate(Nm),
    /// Several points of one name that differ; all are held for the user.
    DuplicateConflict,
    /// Too far from every wall: the offset, and whether it would be near with N and E swapped.
    OutOfReach(Nm, bool),
    /// Its station is not on the wall, or there is no such wall.
    OffTheWall(String),
    /// Too far from its neighbours in height: how much above their median, as a ratio over 2; and whether it lies on the line
    /// between them, which slopes.
    Outlier(Nm, bool),
}

impl Reason {
    /// Its name in machine-readable output.
    pub fn key(&self) -> &'static str {
        match self {
            Self::Summary(_) => "summary",
            Self::CodeNotUsed => "code_not_used",
            Self::FieldCount(..) => "field_count",
            Self::TwoReadings => "two_readings",
            Self::MissingValue(_) => "missing_value",
            Self::BadNumber(_) => "bad_number",
            Self::NoValue(_) => "no_value",
            Self::OtherList(_) => "other_list",
            Self::Duplicate(_) => "duplicate",
            Self::DuplicateConflict => "duplicate_conflict",
            Self::OutOfReach(..) => "out_of_reach",
            Self::OffTheWall(_) => "off_the_wall",
            Self::Outlier(..) => "outlier",
        }
    }

    /// The reason in words, with lengths printed by `show`.
    pub fn words(&self, show: impl Fn(Nm) -> String) -> String {
        match self {
            Self::Summary(word) => format!("it sums up other rows: {word}"),
            Self::CodeNotUsed => "its code, or having none, serves no line".to_owned(),
            Self::FieldCount(found, width) => format!(
                "{found} fields where the list has {width} columns; what holds a separator stands in quotes"
            ),
            Self::TwoReadings => "a rod reading and a foresight on one point".to_owned(),
            Self::MissingValue(roles) => {
                let names: Vec<&str> = roles.iter().map(|role| role.name()).collect();
                format!("no {}", names.join(", no "))
            }
            Self::BadNumber(values) => {
                let bad: Vec<String> = values
                    .iter()
                    .map(|(role, text)| format!("{} \"{text}\"", role.name()))
                    .collect();
                format!("not a number: {}", bad.join(", "))
            }
            Self::NoValue(values) => {
                let none: Vec<String> =
                    values.iter().map(|(role, text)| format!("{} {text}", role.name())).collect();
                format!("no value, as lists write it: {}", none.join(", "))
            }
            Self::OtherList(line) => {
                format!("it belongs to row {line}, whose headings make no list")
            }
            Self::Duplicate(dz) => {
                format!("the same point again, {} from the first in height", show(*dz))
            }
            Self::DuplicateConflict => {
                "several points of this name differ; all are held until one is chosen".to_owned()
            }
            Self::OutOfReach(offset, swapped) => {
                let hint = if *swapped { "; near the wall with N and E swapped" } else { "" };
                let side = if offset.0 < 0 { "in front of" } else { "behind" };
                let away = show(offset.abs());
                format!("too far from every wall, {away} {side} the nearest one's line{hint}")
            }
            Self::OffTheWall(why) => why.clone(),
            Self::Outlier(difference, on_the_slope) => {
                let slope = if *on_the_slope { ", though on the slope between them" } else { "" };
                format!("{} from the median height of its neighbours{slope}", show(*difference))
            }
        }
    }
}

/// A row that is not used, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Which list of the job it stands in, from 0.
    pub list: usize,
    /// Line of the file or row of the sheet.
    pub line: usize,
    /// Name or number as written.
    pub id: String,
    /// Code as written.
    pub code: String,
    /// Why.
    pub reason: Reason,
}
