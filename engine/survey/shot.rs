//! Shots and why a row is not one.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::ToPrimitive;

use super::{ColumnNames, Columns, Point, Role, recognise};
use crate::measure::{Decimal, Nm, decimal_places, ratio, round};
use crate::problem::Problem;
use crate::table::{CellKind, Row, Table};

/// Unit of the numbers in a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// International foot, 0.3048 m.
    Foot,
    /// U.S. survey foot, 1200/3937 m.
    SurveyFoot,
    /// Inch.
    Inch,
    /// Metre.
    Metre,
    /// Millimetre.
    Millimetre,
}

impl LengthUnit {
    /// Names as written in settings.
    pub const NAMES: [&'static str; 5] = ["ft", "us_survey_ft", "in", "m", "mm"];

    /// Reads a unit as settings and headings have it.
    pub fn parse(text: &str) -> Option<Self> {
        match text.trim().trim_end_matches('.').to_lowercase().as_str() {
            "ft" | "feet" | "foot" | "intl ft" | "international feet" => Some(Self::Foot),
            "us_survey_ft" | "usft" | "us ft" | "us survey ft" | "us survey feet" | "ftus" => {
                Some(Self::SurveyFoot)
            }
            "in" | "inch" | "inches" => Some(Self::Inch),
            "m" | "metre" | "meter" | "metres" | "meters" => Some(Self::Metre),
            "mm" => Some(Self::Millimetre),
            _ => None,
        }
    }

    /// Its name in settings.
    pub fn name(self) -> &'static str {
        match self {
            Self::Foot => "ft",
            Self::SurveyFoot => "us_survey_ft",
            Self::Inch => "in",
            Self::Metre => "m",
            Self::Millimetre => "mm",
        }
    }

    /// A length to the last place that a rod is read to, in this unit.
    pub fn show(self, length: Nm) -> String {
        let (size, places) = match self {
            Self::Foot | Self::SurveyFoot => (Nm::FOOT, 3),
            Self::Inch => (Nm::INCH, 2),
            Self::Metre => (Nm::METRE, 4),
            Self::Millimetre => (Nm::MILLIMETRE, 1),
        };
        let name = if self == Self::SurveyFoot { "ft" } else { self.name() };
        format!("{} {name}", decimal_places(&ratio(length.wide(), size.wide()), places))
    }

    /// A decimal of this unit, rounded to the nanometre once.
    pub fn length(self, value: Decimal) -> Option<Nm> {
        let factor = match self {
            Self::Foot => BigRational::from_integer(Nm::FOOT.0.into()),
            // Source survey-foot: 1200/3937 m exactly.
            Self::SurveyFoot => {
                BigRational::new(BigInt::from(1_200_000_000_000_i64), BigInt::from(3937))
            }
            Self::Inch => BigRational::from_integer(Nm::INCH.0.into()),
            Self::Metre => BigRational::from_integer(Nm::METRE.0.into()),
            Self::Millimetre => BigRational::from_integer(Nm::MILLIMETRE.0.into()),
        };
        round::nearest_ratio(&(value.ratio() * factor)).to_i128().and_then(Nm::from_wide)
    }
}

/// Where a shot is, as its list says it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Spot {
    /// A point in plan.
    Plane(Point),
    /// A station, on a wall or along the whole chain, and an offset towards the earth.
    Along {
        /// The wall, if one is named.
        wall: Option<String>,
        /// Station from its start, or from the chain's.
        station: Nm,
        /// Offset from the exposed face.
        offset: Nm,
    },
}

/// How rod readings become elevations.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Levels {
    /// From which line on which height of the line of sight holds, ascending.
    pub setups: Vec<(usize, Nm)>,
    /// Whether readings are written with the sign of a height: down from the line of sight is negative.
    pub signed: bool,
}

impl Levels {
    /// The elevation of a reading; the reading itself where no set-up is known.
    fn elevation(&self, line: usize, reading: Nm) -> Nm {
        let up = if self.signed { reading } else { -reading };
        self.sight(line).map_or(reading, |sight| sight + up)
    }

    /// The height of the line of sight that holds at a line.
    pub fn sight(&self, line: usize) -> Option<Nm> {
        self.setups.iter().rev().find(|(from, _)| *from <= line).map(|(_, sight)| *sight)
    }
}

/// A point of the ground.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shot {
    /// Line of the file or row of the sheet.
    pub line: usize,
    /// Name or number, may be empty.
    pub id: String,
    /// Code, may be empty.
    pub code: String,
    /// Where it is.
    pub place: Spot,
    /// Its elevation.
    pub z: Nm,
}

/// Why a row is not used. The order of the variants is the order in which they are tested.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reason {
    /// Its code serves no line.
    CodeNotUsed,
    /// Separated by spaces, it has more fields than the list has columns, so that no field is sure of its column.
    FieldCount(usize, usize),
    /// An intermediate sight and a foresight on one point.
    TwoReadings,
    /// A value that is needed is empty.
    MissingValue(Vec<Role>),
    /// A value is not a plain decimal number.
    BadNumber(Vec<(Role, String)>),
    /// The same point again, within the tolerance: how much higher than the first.
    Duplicate(Nm),
    /// Several points of one name that differ; all are held for the user.
    DuplicateConflict,
    /// Too far from every wall: the offset, and whether it would be near with N and E swapped.
    OutOfReach(Nm, bool),
    /// Its station is not on the wall, or there is no such wall.
    OffTheWall(String),
    /// Too far from its neighbours in height: how much above their median, as a ratio over 2.
    Outlier(Nm),
}

impl Reason {
    /// Its name in machine-readable output.
    pub fn key(&self) -> &'static str {
        match self {
            Self::CodeNotUsed => "code_not_used",
            Self::FieldCount(..) => "field_count",
            Self::TwoReadings => "two_readings",
            Self::MissingValue(_) => "missing_value",
            Self::BadNumber(_) => "bad_number",
            Self::Duplicate(_) => "duplicate",
            Self::DuplicateConflict => "duplicate_conflict",
            Self::OutOfReach(..) => "out_of_reach",
            Self::OffTheWall(_) => "off_the_wall",
            Self::Outlier(_) => "outlier",
        }
    }

    /// The reason in words, with lengths printed by `show`.
    pub fn words(&self, show: impl Fn(Nm) -> String) -> String {
        match self {
            Self::CodeNotUsed => "its code, or having none, serves no line".to_owned(),
            Self::FieldCount(found, width) => format!(
                "{found} fields between spaces where the list has {width} columns; write what holds a space without it, or use commas"
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
            Self::Outlier(difference) => {
                format!("{} from the median height of its neighbours", show(*difference))
            }
        }
    }
}

/// A row that is not used, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Line of the file or row of the sheet.
    pub line: usize,
    /// Name or number as written.
    pub id: String,
    /// Code as written.
    pub code: String,
    /// Why.
    pub reason: Reason,
}

/// A list after reading: rows that are points, rows that are not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShotList {
    /// What was understood of its columns.
    pub columns: Columns,
    /// Unit that its numbers were read in.
    pub unit: LengthUnit,
    /// Number of data rows.
    pub rows: usize,
    /// Rows that are points, in file order.
    pub shots: Vec<Shot>,
    /// Rows that are not.
    pub refused: Vec<Refused>,
}

/// Reads the shots of a table. With `codes`, rows of any other code are set aside before anything else.
///
/// # Errors
/// The columns cannot be recognised, the stated units differ, or no unit is known.
pub fn read_shots(
    table: &Table,
    names: &ColumnNames,
    unit: Option<LengthUnit>,
    codes: Option<&[String]>,
    levels: &Levels,
) -> Result<ShotList, Problem> {
    let columns = recognise(table, names)?;
    let unit = match (unit, columns.unit) {
        (Some(job), Some(list)) if job != list => {
            return Err(Problem::error(format!(
                "the list states {}, the job states {}",
                list.name(),
                job.name()
            ))
            .at(table.place_of(columns.header_line.unwrap_or(1), None))
            .help("correct shots.length_unit in job.toml, or the heading of the list"));
        }
        (Some(unit), _) | (None, Some(unit)) => unit,
        (None, None) => {
            return Err(Problem::error("the list does not state its unit").at(table.place()).help(
                format!(
                    "say it in job.toml: shots.length_unit = one of {}",
                    LengthUnit::NAMES.join(", ")
                ),
            ));
        }
    };
    let rows = &table.rows[columns.first.min(table.rows.len())..];
    let mut list =
        ShotList { columns, unit, rows: rows.len(), shots: Vec::new(), refused: Vec::new() };
    for row in rows {
        let text = |role| list.columns.of(role).map_or("", |column| row.text(column)).to_owned();
        let (id, code) = (text(Role::Point), text(Role::Code));
        let read = read_row(row, &list.columns, unit, &code, codes);
        match read.map(|(place, z)| match list.columns.kind.by_rod() {
            true => (place, levels.elevation(row.line, z)),
            false => (place, z),
        }) {
            Ok((place, z)) => list.shots.push(Shot { line: row.line, id, code, place, z }),
            Err(reason) => list.refused.push(Refused { line: row.line, id, code, reason }),
        }
    }
    Ok(list)
}

fn read_row(
    row: &Row,
    columns: &Columns,
    unit: LengthUnit,
    code: &str,
    codes: Option<&[String]>,
) -> Result<(Spot, Nm), Reason> {
    if let Some(width) = columns.width.filter(|width| row.cells.len() > *width) {
        return Err(Reason::FieldCount(row.cells.len(), width));
    }
    if codes.is_some_and(|codes| !codes.iter().any(|known| known == code)) {
        return Err(Reason::CodeNotUsed);
    }
    let offset = columns
        .of(Role::Offset)
        .filter(|column| !columns.kind.in_plane() && !row.text(*column).is_empty());
    let mut roles = columns.kind.needs().to_vec();
    roles.extend(offset.map(|_| Role::Offset));
    let written = |role| columns.of(role).filter(|column| !row.text(*column).is_empty());
    // The last ground shot of a set-up stands in the foresights.
    let reading = match (written(Role::Rod), written(Role::Foresight)) {
        (Some(_), Some(_)) if columns.kind.by_rod() => return Err(Reason::TwoReadings),
        (None, foresight @ Some(_)) if columns.kind.by_rod() => foresight,
        _ => columns.of(Role::Rod),
    };
    let column = |role: Role| if role == Role::Rod { reading } else { columns.of(role) };
    let cell = |role: &Role| column(*role).and_then(|column| row.cell(column));
    let cells: Vec<Option<&crate::table::Cell>> = roles.iter().map(cell).collect();
    let empty = |cell: &Option<&crate::table::Cell>| cell.is_none_or(|c| c.kind == CellKind::Empty);
    let missing: Vec<Role> =
        roles.iter().zip(&cells).filter(|(_, cell)| empty(cell)).map(|(role, _)| *role).collect();
    if !missing.is_empty() {
        return Err(Reason::MissingValue(missing));
    }
    let mut bad = Vec::new();
    let mut values = [Nm::ZERO; 3];
    let is_station = |role: &Role| *role == Role::Station;
    for ((role, cell), value) in roles.iter().zip(&cells).zip(&mut values) {
        let text = cell.map_or("", |c| c.text.as_str());
        // A station may be written with its full stations: 1+16.50 is 116.50.
        let joined = is_station(role).then(|| full_station(text, unit)).flatten();
        let text = joined.as_deref().unwrap_or(text);
        match Decimal::parse(text).and_then(|decimal| unit.length(decimal)) {
            Some(length) => *value = length,
            None => bad.push((*role, text.chars().take(24).collect())),
        }
    }
    if !bad.is_empty() {
        return Err(Reason::BadNumber(bad));
    }
    if columns.kind.in_plane() {
        return Ok((Spot::Plane(Point { n: values[0], e: values[1] }), values[2]));
    }
    let wall = columns.of(Role::Wall).map(|column| row.text(column).to_owned());
    let wall = wall.filter(|wall| !wall.is_empty());
    Ok((Spot::Along { wall, station: values[0], offset: values[2] }, values[1]))
}

/// A station written with its full stations, as one number: 1+16.50 in feet, 1+016.500 in metres. What stands between
/// plus and decimal point has all its digits, or the number would be another one.
fn full_station(text: &str, unit: LengthUnit) -> Option<String> {
    let (full, rest) = text.split_once('+')?;
    let digits = match unit {
        LengthUnit::Metre | LengthUnit::Millimetre => 3,
        LengthUnit::Foot | LengthUnit::SurveyFoot | LengthUnit::Inch => 2,
    };
    let whole = rest.split('.').next()?;
    (!full.is_empty() && whole.len() == digits).then(|| format!("{full}{rest}"))
}
