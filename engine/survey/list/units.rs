//! Units that a list states: in its headings, in a row below them, in a title above them.

use super::heading::{self, Said};
use super::{Asked, Columns, LengthUnit, Role, value};
use crate::problem::Problem;
use crate::table::{CellKind, Row, Table};

/// Collects them.
///
/// # Errors
/// Two places state different units for one column.
pub(super) fn stated(
    table: &Table,
    columns: &mut Columns,
    said: &[Said],
    titles: &[&Row],
) -> Result<(), Problem> {
    let numbers: Vec<(Role, usize)> =
        columns.places.iter().copied().filter(|(role, _)| role.is_number()).collect();
    for (role, column) in &numbers {
        if let Some(unit) = said.get(*column).and_then(|said| said.unit) {
            columns.units.push((*role, unit));
        }
    }
    if let Some(row) = table.rows.get(columns.first).filter(|_| columns.first < columns.end) {
        let only_unit = |text: &str| {
            let said = heading::read(text);
            // A cell with a digit in it is a value, such as 5000.1 m.
            let value = text.contains(|c: char| c.is_ascii_digit());
            said.unit.filter(|_| said.role.is_none() && !value)
        };
        let unit_of = |column: usize| only_unit(row.text(column));
        let own: Vec<(Role, usize, LengthUnit)> = numbers
            .iter()
            .filter_map(|(role, column)| Some((*role, *column, unit_of(*column)?)))
            .collect();
        let plain = |column: usize| {
            row.cell(column).is_none_or(|cell| {
                cell.kind == CellKind::Empty || only_unit(&cell.text).is_some() || cell.text == "-"
            })
        };
        if !own.is_empty() && numbers.iter().all(|(_, column)| plain(*column)) {
            for (role, column, unit) in own {
                enter(columns, role, unit).map_err(|other| {
                    differ(role, other, unit).at(table.place_of(row.line, Some(column)))
                })?;
            }
            columns.remarks.push(format!("row {} states the units", row.line));
            columns.first += 1;
        }
    }
    for row in titles {
        for cell in &row.cells {
            let Some((unit, of)) = title(&cell.text) else { continue };
            let mut told = false;
            for (role, _) in &numbers {
                let known = columns.units.iter().any(|(known, _)| known == role);
                if !known && (of.is_empty() || of.contains(role)) {
                    columns.units.push((*role, unit));
                    told = true;
                }
            }
            if told {
                columns
                    .remarks
                    .push(format!("\"{}\" in row {} states the unit", cell.text, row.line));
            }
        }
    }
    Ok(())
}

fn enter(columns: &mut Columns, role: Role, unit: LengthUnit) -> Result<(), LengthUnit> {
    match columns.units.iter().find(|(known, _)| *known == role) {
        Some((_, other)) if *other != unit => Err(*other),
        Some(_) => Ok(()),
        None => {
            columns.units.push((role, unit));
            Ok(())
        }
    }
}

fn differ(role: Role, one: LengthUnit, other: LengthUnit) -> Problem {
    Problem::error(format!(
        "the heading states {} for the {}, the row of units {}",
        one.name(),
        role.name(),
        other.name()
    ))
    .help("correct the list")
}

/// The unit that a title states, and the roles that it speaks of; of none means of all.
fn title(text: &str) -> Option<(LengthUnit, Vec<Role>)> {
    let words = heading::words(text);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    for at in 0..words.len() {
        let Some((unit, _)) = LengthUnit::starting(&words[at..]) else { continue };
        let before = at.checked_sub(1).map_or("", |at| words[at]);
        let bracket = text.split_once(['(', '[']).and_then(|(_, rest)| rest.split_once([')', ']']));
        let bracket = bracket.is_some_and(|(inner, _)| LengthUnit::parse(inner) == Some(unit));
        let spoken = matches!(before, "in" | "unit" | "units" | "are" | "is") || bracket;
        if spoken || unit == LengthUnit::SurveyFoot {
            let mut of: Vec<Role> = Vec::new();
            for word in &words {
                match *word {
                    "elevation" | "elevations" | "heights" | "levels" => of.push(Role::Elevation),
                    "coordinates" => of.extend([Role::Northing, Role::Easting]),
                    "stations" => of.push(Role::Station),
                    "offsets" => of.push(Role::Offset),
                    _ => {}
                }
            }
            return Some((unit, of));
        }
    }
    None
}

/// The unit of every numeric column that the list uses, by role.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Units(pub Vec<(Role, LengthUnit)>);

impl Units {
    /// The unit of a column.
    pub fn of(&self, role: Role) -> Option<LengthUnit> {
        self.0.iter().find(|(known, _)| *known == role).map(|(_, unit)| *unit)
    }

    /// The unit of all, where there is one.
    pub fn one(&self) -> Option<LengthUnit> {
        let (_, first) = self.0.first()?;
        self.0.iter().all(|(_, unit)| unit == first).then_some(*first)
    }

    /// The unit of the heights, or else of the first column.
    pub fn main(&self) -> Option<LengthUnit> {
        self.of(Role::Elevation).or_else(|| self.of(Role::Rod)).or(self.0.first().map(|(_, u)| *u))
    }

    /// In words: one name, or a name for each column.
    pub fn words(&self) -> String {
        match self.one() {
            Some(unit) => unit.name().to_owned(),
            None => {
                let each: Vec<String> = self
                    .0
                    .iter()
                    .map(|(role, unit)| format!("{} {}", role.name(), unit.name()))
                    .collect();
                each.join(", ")
            }
        }
    }
}

/// The unit that the other columns of a list may have: a list in millimetres is hardly so in all of them.
fn likely(units: &Units) -> &'static str {
    match units.main() {
        Some(unit) if unit.is_metric() => "m",
        Some(LengthUnit::SurveyFoot) => "us_survey_ft",
        _ => "ft",
    }
}

/// Whether any column of a list states its unit, in its heading or its cells.
pub(super) fn states_any(table: &Table, columns: &Columns) -> bool {
    let numbers =
        columns.places.iter().filter(|(role, _)| role.is_number() && columns.kind.uses(*role));
    !columns.units.is_empty()
        || numbers.into_iter().any(|(_, column)| of_cells(table, columns, *column).is_some())
}

/// The unit that cells of a column state themselves, where those that do agree.
fn of_cells(table: &Table, columns: &Columns, column: usize) -> Option<LengthUnit> {
    let rows = table.rows[columns.first..columns.end].iter().take(200);
    let texts = rows.filter_map(|row| row.cell(column)).filter(|c| c.kind == CellKind::Text);
    let mut own = texts.filter_map(|cell| value::own_unit(&cell.text));
    let first = own.next()?;
    own.all(|unit| unit == first).then_some(first)
}

/// The units that a list is read in: what it states, what is said of single columns, what is said of all others.
///
/// # Errors
/// What is said differs from what the list states; some columns state a unit, and nothing says that of others.
pub(in crate::survey) fn decided(
    table: &Table,
    columns: &Columns,
    asked: &Asked,
) -> Result<Units, Problem> {
    if asked.as_written && !states_any(table, columns) {
        return Ok(Units::default());
    }
    let used: Vec<(Role, usize)> = columns
        .places
        .iter()
        .copied()
        .filter(|(role, _)| role.is_number() && columns.kind.uses(*role))
        .collect();
    let header = columns.header_line.unwrap_or(1);
    let mut units = Units::default();
    let mut open = Vec::new();
    for (role, column) in used {
        let stated = columns.units.iter().find(|(known, _)| *known == role).map(|(_, unit)| *unit);
        let own = asked.own_unit(role);
        let all = asked.unit.as_ref();
        if let Some(list) = stated {
            let said = own.map(|unit| (unit, asked.by.units(&[role], unit.name())));
            let said = said.or_else(|| all.map(|(unit, place)| (*unit, place.clone())));
            if let Some((unit, place)) = said.filter(|(unit, _)| *unit != list) {
                return Err(Problem::error(format!(
                    "the list states {} for the {}, {place} says {}",
                    list.name(),
                    role.name(),
                    unit.name()
                ))
                .at(table.place_of(header, Some(column)))
                .help(
                    if columns.end < table.rows.len()
                        || columns.header_line.is_some_and(|line| line > 20)
                    {
                        format!(
                            "correct one of the two; one list of the sheet alone is read by {}",
                            asked.by.heading_row(header)
                        )
                    } else {
                        format!(
                            "correct one of the two; a unit for other columns alone is said by {}",
                            asked.by.units(&[Role::Station], "m")
                        )
                    },
                ));
            }
        }
        let stated = stated.or_else(|| of_cells(table, columns, column));
        match stated.or(own).or(all.map(|(unit, _)| *unit)) {
            Some(unit) => units.0.push((role, unit)),
            None => open.push(role),
        }
    }
    if open.is_empty() {
        return Ok(units);
    }
    if units.0.is_empty() {
        return Err(Problem::error("the list does not state its unit")
            .at(table.place_of(header, None))
            .help(format!(
                "say it: {}; one of {}",
                asked.by.units(&[], "ft"),
                LengthUnit::NAMES.join(", ")
            )));
    }
    let names: Vec<&str> = open.iter().map(|role| role.name()).collect();
    let known: Vec<String> = units
        .0
        .iter()
        .map(|(role, unit)| format!("{} for the {}", unit.name(), role.name()))
        .collect();
    Err(Problem::error(format!("the list does not state the unit of {}", names.join(", ")))
        .at(table.place_of(header, columns.of(open[0])))
        .detail(format!("it states {}, which says nothing of the others", known.join(", ")))
        .help(format!(
            "say it, such as {}; one of {}",
            asked.by.units(&open, likely(&units)),
            LengthUnit::NAMES.join(", ")
        )))
}
