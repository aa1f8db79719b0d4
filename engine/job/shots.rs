//! The shot list: from a file to a table, from a table to screened shots.

use std::path::Path;

use super::build::{Plan, ShotSettings};
use crate::files;
use crate::footing::System;
use crate::measure::{Nm, decimal_places, ratio};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::survey::{
    ColumnNames, Columns, LengthUnit, LevelNote, Levels, Point, Reason, Refused, Role, Shot,
    ShotList, Spot, read_shots, recognise, reduce, screen,
};
use crate::table::{Table, read_text_list};
use crate::takeoff::ShotReport;
use crate::workbook::{is_workbook, read_sheets};

/// Reads a list: a csv file, or the sheet of a workbook that is named or whose columns are recognised.
///
/// # Errors
/// The file cannot be read, or no sheet is a shot list.
pub fn read_list(
    path: &Path,
    shown: &str,
    sheet: Option<&str>,
    names: &ColumnNames,
) -> Outcome<Table> {
    let bytes = files::read_bytes(path).map_err(|faults| renamed(faults, shown))?;
    if !is_workbook(shown) {
        return read_text_list(shown, &bytes).map_err(|faults| {
            let help = "export the shots again, with point, northing, easting, elevation and code";
            let empty = |problem: Problem| match problem.message.contains("is empty") {
                true => problem.help(help),
                false => problem,
            };
            faults.into_vec().into_iter().map(empty).collect::<Vec<_>>().into()
        });
    }
    let sheets = read_sheets(shown, &bytes, sheet)?;
    let mut reasons = Vec::new();
    for candidate in &sheets {
        match recognise(&candidate.table, names) {
            Ok(_) if sheet.is_some() || !candidate.hidden => return Ok(candidate.table.clone()),
            Ok(_) => reasons.push(format!(
                "sheet \"{}\" is hidden",
                candidate.table.sheet.as_deref().unwrap_or("")
            )),
            Err(problem) if sheet.is_some() => return Err(problem.into()),
            Err(problem) => {
                reasons.push(format!(
                    "sheet \"{}\": {}",
                    candidate.table.sheet.as_deref().unwrap_or(""),
                    problem.message
                ));
            }
        }
    }
    let mut problem = Problem::error("no sheet of this workbook is recognised as a shot list")
        .at(Place::file(shown));
    for reason in reasons {
        problem = problem.detail(reason);
    }
    Err(problem
        .help("name the sheet with shots.sheet, and its headings with shots.columns, in job.toml")
        .into())
}

/// Says the name that the user knows a file by.
fn renamed(faults: Faults, shown: &str) -> Faults {
    let rename = |mut problem: Problem| {
        problem.place = Some(Place::file(shown));
        problem
    };
    faults.into_vec().into_iter().map(rename).collect::<Vec<_>>().into()
}

/// Reads a list without a job: what is recognised, and which rows are no points.
///
/// # Errors
/// As [`read_list`], or the columns are not recognised.
pub fn list_without_job(
    path: &Path,
    sheet: Option<&str>,
    unit: Option<LengthUnit>,
) -> Outcome<ShotReport> {
    let shown = path.display().to_string();
    let names = ColumnNames::default();
    let table = read_list(path, &shown, sheet, &names)?;
    let columns = recognise(&table, &names)?;
    let stated = unit.or(columns.unit);
    let list = read_shots(
        &table,
        &names,
        Some(stated.unwrap_or(LengthUnit::Metre)),
        None,
        &Levels::default(),
    )?;
    let (xy, z) = match stated {
        Some(LengthUnit::Metre | LengthUnit::Millimetre) => {
            (Nm::MILLIMETRE * 15, Nm::MILLIMETRE * 15)
        }
        Some(_) => (Nm(Nm::FOOT.0 / 20), Nm(Nm::FOOT.0 / 20)),
        None => (Nm::MILLIMETRE * 50, Nm::MILLIMETRE * 50),
    };
    let mut report = report(&table, &list);
    report.unit = stated;
    if columns.kind.by_rod() {
        report.remarks.push(
            "rod readings, sign as written; a job turns them into elevations with shots.setup"
                .to_owned(),
        );
    }
    if stated.is_none() {
        report.remarks.push("the list states no unit; numbers are shown as written".to_owned());
    }
    let (read, repeated) = crate::survey::duplicates(&list.shots, xy, z);
    report.read = read.into_iter().cloned().collect();
    report.refused = list.refused.into_iter().chain(repeated).collect();
    report.refused.sort_by_key(|row| row.line);
    Ok(report)
}

/// The report of a list before screening.
fn report(table: &Table, list: &ShotList) -> ShotReport {
    let mut remarks = table.remarks.clone();
    remarks.extend(list.columns.remarks.clone());
    let named = list
        .columns
        .places
        .iter()
        .filter(|(role, _)| !list.columns.idle().contains(role))
        .map(|(role, column)| format!("{} in column {}", role.name(), column + 1));
    remarks.push(named.collect::<Vec<_>>().join(", "));
    let idle: Vec<&str> = list.columns.idle().into_iter().map(Role::name).collect();
    if !idle.is_empty() {
        remarks.push(format!("not used, since the list is complete without: {}", idle.join(", ")));
    }
    if list.unit == LengthUnit::SurveyFoot {
        remarks.push(
            "U.S. survey feet converted to international feet once, by 1200/3937 m".to_owned(),
        );
    }
    ShotReport {
        file: table.file.clone(),
        sheet: table.sheet.clone(),
        unit: Some(list.unit),
        remarks,
        rows: list.rows,
        used: Vec::new(),
        read: Vec::new(),
        by_rod: list.columns.kind.by_rod(),
        refused: list.refused.clone(),
    }
}

/// Rod readings that no set-up turns into heights.
fn no_set_up(table: &Table, line: usize) -> Problem {
    Problem::error("no set-up says how high the line of sight was for these rod readings")
        .at(table.place_of(line, None))
        .help("add [[shots.setup]] with from_line and instrument_height, or with elevation and backsight of a benchmark")
}

/// What a list of rod readings needs besides: a set-up for every row, a sign, and no turning point taken for ground.
fn level_list(
    table: &Table,
    list: &ShotList,
    shots: &ShotSettings,
    levels: &Levels,
) -> Result<(), Problem> {
    if !list.columns.kind.by_rod() {
        return Ok(());
    }
    let uncovered = list.shots.iter().find(|shot| levels.sight(shot.line).is_none());
    if let Some(shot) = uncovered {
        return Err(no_set_up(table, shot.line));
    }
    let upside_down = |shot: &Shot| levels.sight(shot.line).is_some_and(|sight| shot.z > sight);
    if !shots.sign_stated
        && !list.shots.is_empty()
        && 2 * list.shots.iter().filter(|shot| upside_down(shot)).count() > list.shots.len()
    {
        return Err(Problem::error("most rod readings of this list are negative")
            .at(table.place())
            .help("say shots.rod_sign in job.toml: \"height\" where a minus means down from the line of sight, \"rod\" where the rod was held upside down"));
    }
    let last = table.rows.last().map_or(0, |row| row.line);
    if let Some((from, _)) = levels.setups.iter().find(|(from, _)| *from > last) {
        return Err(Problem::error(format!(
            "a set-up holds from row {from}; the list ends with row {last}"
        ))
        .at(table.place())
        .help("from_line is a row of the list"));
    }
    let turning = shots.screening.codes.iter().find(|(_, code)| shots.turning_codes.contains(code));
    match turning {
        Some((kind, code)) => Err(Problem::error(format!(
            "in a list of rod readings {code} means turning point or benchmark; it is not taken for {}",
            kind.words()
        ))
        .at(table.place())
        .help("give the ground shots a code of their own, or take the code out of shots.turning_codes")),
        None => Ok(()),
    }
}

/// The level note of a list with backsights, reduced from the benchmark of the job.
fn level_note(
    table: &Table,
    columns: &Columns,
    shots: &ShotSettings,
    plan: &Plan,
) -> Result<Option<LevelNote>, Problem> {
    let unit = shots.unit.or(columns.unit);
    let (Some(unit), Some(_)) = (unit, columns.of(Role::Backsight)) else { return Ok(None) };
    let known = plan.benchmark.iter().map(|mark| (mark.id.clone(), mark.elevation)).collect();
    reduce(table, columns, unit, shots.levels.signed, &known).map(Some)
}

/// No shot is near a wall: where the shots are, and where the walls.
fn far_away(table: &Table, list: &ShotList, plan: &Plan) -> Problem {
    let extent = |lengths: Vec<Nm>| {
        let size = if plan.system == System::Us { Nm::FOOT } else { Nm::METRE };
        let show = |length: Nm| decimal_places(&ratio(length.wide(), size.wide()), 2);
        let (low, high) = (lengths.iter().min(), lengths.iter().max());
        low.zip(high).map_or(String::new(), |(low, high)| {
            format!("{} to {} {}", show(*low), show(*high), plan.system.length())
        })
    };
    let points = |points: Vec<Point>| {
        let north = extent(points.iter().map(|point| point.n).collect());
        let east = extent(points.iter().map(|point| point.e).collect());
        format!("northing {north}, easting {east}")
    };
    let shots: Vec<Point> = list
        .shots
        .iter()
        .filter_map(|shot| match shot.place {
            Spot::Plane(point) => Some(point),
            Spot::Along { .. } => None,
        })
        .collect();
    let walls = plan.chain.walls().iter().flat_map(|wall| [wall.start, wall.end]).collect();
    let problem = Problem::error("every shot is too far from every wall").at(table.place());
    let problem = if shots.is_empty() {
        problem
    } else {
        problem
            .detail(format!("the shots: {}", points(shots)))
            .detail(format!("the walls: {}", points(walls)))
    };
    problem.help("correct alignment.points, shots.length_unit, or shots.reach in job.toml")
}

/// Reads, reduces and screens the shots of a job.
///
/// # Errors
/// The list cannot be read, its levels do not close or have no set-up, or northing and easting are exchanged.
pub(super) fn read_job_shots(
    folder: &Path,
    shots: &ShotSettings,
    plan: &Plan,
) -> Outcome<ShotReport> {
    let table =
        read_list(&folder.join(&shots.file), &shots.file, shots.sheet.as_deref(), &shots.columns)?;
    let columns = recognise(&table, &shots.columns)?;
    let codes: Vec<String> = shots.screening.codes.iter().map(|(_, code)| code.clone()).collect();
    let mut levels = shots.levels.clone();
    let note = level_note(&table, &columns, shots, plan)?;
    if let Some(note) = &note {
        note.closes(&table, shots.misclosure)?;
        if !levels.setups.is_empty() {
            return Err(Problem::error(
                "this list is a level note with set-ups of its own, and the job gives set-ups too",
            )
            .at(table.place())
            .help("take [[shots.setup]] out of job.toml, or the backsights out of the list")
            .into());
        }
        levels.setups.clone_from(&note.setups);
    }
    let mut faults = Faults::none();
    if columns.kind.by_rod() && levels.setups.is_empty() {
        faults.push(no_set_up(&table, table.rows.get(columns.first).map_or(1, |row| row.line)));
    }
    let list =
        faults.keep_one(read_shots(&table, &shots.columns, shots.unit, Some(&codes), &levels));
    let Some(list) = list.filter(|_| !faults.stop()) else { return Err(faults) };
    level_list(&table, &list, shots, &levels)?;
    let screened = screen(&list.shots, &plan.chain, &shots.screening);
    let far = |row: &Refused| matches!(row.reason, Reason::OutOfReach(..));
    if screened.used.is_empty() && !screened.refused.is_empty() && screened.refused.iter().all(far)
    {
        return Err(far_away(&table, &list, plan).into());
    }
    let swapped =
        screened.refused.iter().filter(|row| matches!(row.reason, Reason::OutOfReach(_, true)));
    let swapped = swapped.count();
    if swapped > screened.used.len() {
        return Err(Problem::error(format!(
            "northing and easting look exchanged: {swapped} shots are near the walls only with the two the other way round, {} as they are",
            screened.used.len()
        ))
        .at(table.place())
        .help("exchange the headings of the list, or say in job.toml: shots.columns = { northing = \"...\", easting = \"...\" }")
        .into());
    }
    let mut report = report(&table, &list);
    if let Some(note) = &note {
        for (line, id, misclosure) in &note.closings {
            report.remarks.push(format!(
                "the level note comes out {} from the known height of {id} in row {line}; the job allows {}",
                note.unit.show(*misclosure),
                note.unit.show(shots.misclosure)
            ));
        }
    }
    report.used = screened.used;
    report.refused.extend(screened.refused);
    report.refused.sort_by_key(|row| row.line);
    Ok(report)
}
