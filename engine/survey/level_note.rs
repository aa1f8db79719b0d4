//! Reducing a level note: heights of the line of sight from backsights, turning points from foresights, misclosure.

use std::collections::BTreeMap;

use super::{Columns, LengthUnit, Role};
use crate::measure::{Decimal, Nm};
use crate::problem::Problem;
use crate::table::{CellKind, Row, Table};

/// A reduced note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LevelNote {
    /// Unit of its readings.
    pub unit: LengthUnit,
    /// From which line on which height of the line of sight holds.
    pub setups: Vec<(usize, Nm)>,
    /// Known points sighted again: line, name, and how much higher than known they came out.
    pub closings: Vec<(usize, String, Nm)>,
}

/// Reduces the backsights and foresights of a list from known heights: a foresight gives a turning point its height or
/// closes on a known one, a backsight on a known point sets the line of sight up. With `signed`, readings have the sign
/// of a height. Source `levelling`.
///
/// # Errors
/// A backsight stands on a point of unknown height, a foresight comes before any backsight, a reading is no number.
pub fn reduce(
    table: &Table,
    columns: &Columns,
    unit: LengthUnit,
    signed: bool,
    benchmarks: &BTreeMap<String, Nm>,
) -> Result<LevelNote, Problem> {
    let mut known = benchmarks.clone();
    let mut note = LevelNote { unit, setups: Vec::new(), closings: Vec::new() };
    for row in table.rows.iter().skip(columns.first) {
        let id = columns.of(Role::Point).map_or("", |column| row.text(column)).to_owned();
        // Written with the sign of a height, every reading counts the other way.
        let sign = if signed { -1 } else { 1 };
        let reading = |role| {
            reading(table, columns, row, role, unit).map(|read| read.map(|length| length * sign))
        };
        if let Some(foresight) = reading(Role::Foresight)? {
            let Some((_, sight)) = note.setups.last() else {
                return Err(at(table, row, "a foresight comes before any backsight"));
            };
            let elevation = *sight - foresight;
            match known.get(&id) {
                Some(before) => note.closings.push((row.line, id.clone(), elevation - *before)),
                None => {
                    known.insert(id.clone(), elevation);
                }
            }
        }
        if let Some(backsight) = reading(Role::Backsight)? {
            let Some(elevation) = known.get(&id) else {
                let names: Vec<&str> = known.keys().map(String::as_str).collect();
                return Err(at(
                    table,
                    row,
                    &format!("a backsight stands on \"{id}\", whose height is not known"),
                )
                .help(format!("known here: {}; sight it by a foresight first, or name the benchmark in job.toml as the note does", names.join(", "))));
            };
            note.setups.push((row.line, *elevation + backsight));
        }
    }
    Ok(note)
}

fn at(table: &Table, row: &Row, message: &str) -> Problem {
    Problem::error(message).at(table.place_of(row.line, None))
}

fn reading(
    table: &Table,
    columns: &Columns,
    row: &Row,
    role: Role,
    unit: LengthUnit,
) -> Result<Option<Nm>, Problem> {
    let cell = columns.of(role).and_then(|column| row.cell(column));
    let Some(cell) = cell.filter(|cell| cell.kind != CellKind::Empty) else { return Ok(None) };
    let length = Decimal::parse(&cell.text).and_then(|decimal| unit.length(decimal));
    let bad = || at(table, row, &format!("the {} \"{}\" is no number", role.name(), cell.text));
    length.map(Some).ok_or_else(bad)
}

impl LevelNote {
    /// The misclosures that are over a limit; a note that meets it exactly closes.
    ///
    /// # Errors
    /// One is over the limit: the place is where the known point was sighted again.
    pub fn closes(&self, table: &Table, limit: Nm) -> Result<(), Problem> {
        match self.closings.iter().find(|(_, _, misclosure)| misclosure.abs() > limit) {
            None => Ok(()),
            Some((line, id, misclosure)) => Err(Problem::error(format!(
                "the level note does not close: {id} comes out {} from its known height; the job allows {}",
                self.unit.show(*misclosure),
                self.unit.show(limit)
            ))
            .at(table.place_of(*line, None))
            .help("look for a misread rod or a wrong benchmark; raise shots.misclosure only with the surveyor")),
        }
    }
}
