//! Reducing a level note: heights of the line of sight from backsights, turning points from foresights, misclosure.

use std::collections::BTreeMap;

use super::list::{decided, decimal_mark, value};
use super::{Asked, Columns, LengthUnit, Role};
use crate::measure::Nm;
use crate::problem::Problem;
use crate::table::{CellKind, DecimalMark, Row, Table};

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
/// A backsight stands on a point of unknown height, a foresight comes before any backsight, a reading is not a number.
pub fn reduce(
    table: &Table,
    lists: &[Columns],
    asked: &Asked,
    signed: bool,
    benchmarks: &BTreeMap<String, Nm>,
) -> Result<LevelNote, Problem> {
    let mut known = benchmarks.clone();
    let mark = decimal_mark(table, lists, asked)?;
    let mut note = LevelNote { unit: LengthUnit::Metre, setups: Vec::new(), closings: Vec::new() };
    let rows = lists.iter().flat_map(|columns| {
        table.rows[columns.first..columns.end].iter().map(move |row| (columns, row))
    });
    let mut units = Vec::new();
    for columns in lists {
        units.push((columns.first, decided(table, columns, asked)?));
    }
    note.unit = units.first().and_then(|(_, units)| units.of(Role::Backsight)).unwrap_or(note.unit);
    for (columns, row) in rows {
        let units = units.iter().find(|(first, _)| *first == columns.first).map(|(_, units)| units);
        let id = columns.of(Role::Point).map_or("", |column| row.text(column)).to_owned();
        // Written with the sign of a height, every reading counts the other way.
        let sign = if signed { -1 } else { 1 };
        let reading = |role| {
            let unit = units.and_then(|units| units.of(role));
            reading(table, columns, row, role, (unit, mark))
                .map(|read| read.map(|length| length * sign))
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
    (unit, mark): (Option<LengthUnit>, DecimalMark),
) -> Result<Option<Nm>, Problem> {
    let cell = columns.of(role).and_then(|column| row.cell(column));
    let Some(cell) = cell.filter(|cell| cell.kind != CellKind::Empty) else { return Ok(None) };
    let bad = |text| at(table, row, &format!("the {} \"{text}\" is not a number", role.name()));
    value::read(cell, role, unit, mark).map(Some).map_err(bad)
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
