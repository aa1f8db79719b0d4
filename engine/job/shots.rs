//! The shot list: from a file to a table, from a table to screened shots.

use std::path::Path;

use super::build::{Plan, ShotSettings};
use super::lists::{ListTables, lists_in, read_lists, renamed};
use crate::files::Layers;
use crate::footing::System;
use crate::measure::{Nm, decimal_places, ratio};
use crate::problem::{Faults, Outcome, Problem};
use crate::survey::{
    Asked, CodeUse, GroundKind, LengthUnit, LevelNote, Levels, Lists, Point, Reason, Refused, Role,
    Shot, ShotList, Spot, read_shots, recognise, reduce, screen,
};
use crate::table::Table;
use crate::takeoff::{LONGEST_ROD, ListReport, ShotReport, UnusedCode};

/// Reads a list without a job: what is recognised, and which rows are no points. `codes` are the only ones that are read.
///
/// # Errors
/// As [`read_lists`], or the columns are not recognised, or a unit is missing.
pub fn list_without_job(
    path: &Path,
    sheets: &[String],
    asked: &Asked,
    codes: &[String],
) -> Outcome<ShotReport> {
    let shown = path.display().to_string();
    let found = read_lists(path, &shown, sheets, asked)?;
    let codes = CodeUse { used: codes.to_vec(), map: Vec::new() };
    let codes = Some(&codes).filter(|codes| !codes.used.is_empty());
    let mut report = ShotReport { sheets: found.sheets, ..ShotReport::default() };
    for (index, table) in found.tables.iter().enumerate() {
        let as_written = asked.unit.is_none() && asked.units.is_empty();
        let list =
            read_shots(table, &Asked { as_written, ..asked.clone() }, codes, &Levels::default())?;
        let stated = !list.units.0.is_empty();
        let (xy, z) = match list.units.main() {
            _ if !stated => (Nm::MILLIMETRE * 50, Nm::MILLIMETRE * 50),
            Some(unit) if unit.is_metric() => (Nm::MILLIMETRE * 15, Nm::MILLIMETRE * 15),
            _ => (Nm(Nm::FOOT.0 / 20), Nm(Nm::FOOT.0 / 20)),
        };
        let mut one = list_report(table, &list, false);
        if one.by_rod {
            one.remarks.push(
                "rod readings, sign as written; a job turns them into elevations with shots.setup"
                    .to_owned(),
            );
        }
        if !stated {
            one.unit = None;
            one.units = "not stated".to_owned();
            one.remarks.push("the list states no unit; numbers are shown as written".to_owned());
        }
        let (read, repeated) =
            crate::survey::duplicates(&list.shots, xy, z, |one, other| one == other);
        report.read.extend(read.into_iter().cloned().map(|shot| Shot { list: index, ..shot }));
        let refused = list.refused.iter().cloned().chain(repeated);
        report.refused.extend(refused.map(|row| Refused { list: index, ..row }));
        report.lists.push(one);
    }
    report.refused.sort_by_key(|row| (row.list, row.line));
    Ok(report)
}

/// The report of a list before screening.
fn list_report(table: &Table, list: &ShotList, survey_frame: bool) -> ListReport {
    let mut remarks = table.remarks.clone();
    for columns in &list.lists {
        remarks.extend(columns.remarks.clone());
        let named = columns
            .places
            .iter()
            .filter(|(role, _)| !columns.idle().contains(role))
            .map(|(role, column)| format!("{} in column {}", role.name(), column + 1));
        if columns.header_line.is_some() {
            remarks.push(named.collect::<Vec<_>>().join(", "));
        }
        let idle: Vec<&str> = columns.idle().into_iter().map(Role::name).collect();
        if !idle.is_empty() {
            remarks
                .push(format!("not used, since the list is complete without: {}", idle.join(", ")));
        }
    }
    remarks.extend(list.remarks.clone());
    if survey_frame {
        remarks.push("the job counts in U.S. survey feet, by alignment.feet".to_owned());
    } else if list.units.0.iter().any(|(_, unit)| *unit == LengthUnit::SurveyFoot) {
        remarks.push(
            "U.S. survey feet converted to international feet once, by 1200/3937 m".to_owned(),
        );
    }
    ListReport {
        file: table.file.clone(),
        sheet: table.sheet.clone(),
        unit: list.units.main(),
        units: list.units.words(),
        remarks,
        rows: list.rows,
        by_rod: list.lists.iter().any(|columns| columns.kind.by_rod()),
        by_position: list.lists.iter().all(|columns| columns.header_line.is_none()),
        odd_rods: 0,
        two_meanings: Vec::new(),
    }
}

/// Rod readings that no set-up turns into heights.
fn no_set_up(table: &Table, line: usize) -> Problem {
    Problem::error("no set-up says how high the line of sight was for these rod readings")
        .at(table.place_of(line, None))
        .help("add [[shots.setup]] with from_line and instrument_height, or with elevation and backsight of a benchmark")
}

/// Codes of ground lines that mean a turning point or benchmark in a list of rod readings.
fn turning(shots: &ShotSettings) -> impl Iterator<Item = &(GroundKind, String)> {
    shots.screening.codes.iter().filter(|(_, code)| shots.turning_codes.contains(code))
}

/// What a list of rod readings needs besides: a set-up for every row, a sign, and no turning point taken for ground.
fn level_list(
    table: &Table,
    list: &ShotList,
    shots: &ShotSettings,
    levels: &Levels,
) -> Result<(), Problem> {
    if !list.lists[0].kind.by_rod() {
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
    match turning(shots).next() {
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
    found: &Lists,
    asked: &Asked,
    shots: &ShotSettings,
    plan: &Plan,
) -> Result<Option<LevelNote>, Problem> {
    if found.lists.iter().all(|columns| columns.of(Role::Backsight).is_none()) {
        return Ok(None);
    }
    let known = plan.benchmark.iter().map(|mark| (mark.id.clone(), mark.elevation)).collect();
    reduce(table, &found.lists, asked, shots.levels.signed, &known).map(Some)
}

/// No shot is near a wall: where the shots are, and where the walls.
fn far_away(table: &Table, list: &ShotList, plan: &Plan) -> Problem {
    let extent = |lengths: Vec<Nm>| {
        let size = if plan.style.system == System::Us { Nm::FOOT } else { Nm::METRE };
        let show = |length: Nm| decimal_places(&ratio(length.wide(), size.wide()), 2);
        let (low, high) = (lengths.iter().min(), lengths.iter().max());
        low.zip(high).map_or(String::new(), |(low, high)| {
            format!("{} to {} {}", show(*low), show(*high), plan.style.system.length())
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

/// Heights for the rows of one list: its set-ups, or its level note reduced.
fn heights(
    table: &Table,
    found: &Lists,
    asked: &Asked,
    shots: &ShotSettings,
    plan: &Plan,
) -> Result<(Levels, Option<LevelNote>), Problem> {
    let mut levels = shots.levels.clone();
    let note = level_note(table, found, asked, shots, plan)?;
    if let Some(note) = &note {
        note.closes(table, shots.misclosure)?;
        if !levels.setups.is_empty() {
            return Err(Problem::error(
                "this list is a level note with set-ups of its own, and the job gives set-ups too",
            )
            .at(table.place())
            .help("take [[shots.setup]] out of job.toml, or the backsights out of the list"));
        }
        levels.setups.clone_from(&note.setups);
    }
    Ok((levels, note))
}

/// One list of the job, read.
fn job_list(
    table: &Table,
    asked: &Asked,
    shots: &ShotSettings,
    plan: &Plan,
) -> Outcome<(ShotList, ListReport, Vec<Shot>)> {
    let codes = &shots.codes;
    let found = recognise(table, asked)?;
    let (levels, note) = heights(table, &found, asked, shots, plan)?;
    let mut faults = Faults::none();
    let columns = &found.lists[0];
    if columns.kind.by_rod() && levels.setups.is_empty() {
        faults.push(no_set_up(table, table.rows.get(columns.first).map_or(1, |row| row.line)));
    }
    let list = faults.keep_one(read_shots(table, asked, Some(codes), &levels));
    let Some(list) = list.filter(|_| !faults.stop()) else { return Err(faults) };
    level_list(table, &list, shots, &levels)?;
    let mut report = list_report(table, &list, asked.survey_frame);
    if report.by_rod {
        let reading = |shot: &&Shot| levels.sight(shot.line).map(|sight| (sight - shot.z).abs());
        let odd = |shot: &&Shot| reading(shot).is_some_and(|reading| reading > LONGEST_ROD);
        report.odd_rods = list.shots.iter().filter(odd).count();
    }
    if !report.by_rod {
        let told = |(kind, code): &(GroundKind, String)| {
            format!(
                "code {code} is {} here, by shots.codes; in a list of rod readings it would mean a turning point or benchmark, by shots.turning_codes",
                kind.words()
            )
        };
        report.two_meanings = turning(shots).map(told).collect();
    }
    if let Some(note) = &note {
        for (line, id, misclosure) in &note.closings {
            report.remarks.push(format!(
                "the level note comes out {} from the known height of {id} in row {line}; the job allows {}",
                note.unit.show(*misclosure),
                note.unit.show(shots.misclosure)
            ));
        }
    }
    let unused =
        !codes.map.is_empty() || list.refused.iter().any(|row| row.reason == Reason::CodeNotUsed);
    let all = match unused {
        true => read_shots(table, asked, None, &levels)?.shots,
        false => Vec::new(),
    };
    Ok((list, report, all))
}

/// Codes that serve no line, each with its rows and how many of them are within reach of a wall.
fn unused_codes(
    refused: &[Refused],
    all: &[Shot],
    shots: &ShotSettings,
    plan: &Plan,
) -> Vec<UnusedCode> {
    let mut codes: std::collections::BTreeMap<&str, UnusedCode> = std::collections::BTreeMap::new();
    for row in refused.iter().filter(|row| row.reason == Reason::CodeNotUsed) {
        let blank = || UnusedCode { code: row.code.clone(), rows: 0, near: 0 };
        codes.entry(&row.code).or_insert_with(blank).rows += 1;
    }
    for shot in all {
        let mapped = shots.codes.map.iter().find(|(list, _)| *list == shot.code);
        let code = mapped.map_or(shot.code.as_str(), |(_, meant)| meant);
        if let Some(unused) = codes.get_mut(code)
            && crate::survey::place(&shot.place, &plan.chain, shots.screening.reach)
                .is_ok_and(|at| at.within)
        {
            unused.near += 1;
        }
    }
    codes.into_values().collect()
}

/// The tables of one file that a job names.
fn lists_of(layers: &Layers, file: &str, shots: &ShotSettings) -> Outcome<ListTables> {
    let folder = layers.job().unwrap_or(Path::new("."));
    let path = folder.join(file);
    let bytes = layers.read(&path).map_err(|faults| renamed(faults, file))?;
    let how = format!("{:?} {:?}", shots.sheets, shots.asked);
    layers.reader().made(&path, how, || lists_in(&bytes, file, &shots.sheets, &shots.asked))
}

/// What is wrong with the lists of a job by themselves, where its walls are not known.
///
/// # Errors
/// A list cannot be read, or its columns or units are not known.
pub(super) fn lists_alone(layers: &Layers, shots: &ShotSettings) -> Outcome<()> {
    let mut faults = Faults::none();
    for file in &shots.files {
        let read = lists_of(layers, file, shots);
        for table in faults.keep(read).iter().flat_map(|found| &found.tables) {
            let list = read_shots(table, &shots.asked, Some(&shots.codes), &shots.levels);
            faults.keep_one(list);
        }
    }
    faults.or_value(Some(()))
}

/// Reads, reduces and screens the shots of a job.
///
/// # Errors
/// A list cannot be read, its levels do not close or have no set-up, or northing and easting are exchanged.
pub(super) fn read_job_shots(
    layers: &Layers,
    shots: &ShotSettings,
    plan: &Plan,
) -> Outcome<ShotReport> {
    let folder = layers.job().unwrap_or(Path::new("."));
    let system = plan.style.system;
    let how = format!("shots {shots:?} {:?} {:?} {system:?}", plan.chain, plan.benchmark);
    layers.reader().made(folder, how, || read_anew(layers, shots, plan))
}

fn read_anew(layers: &Layers, shots: &ShotSettings, plan: &Plan) -> Outcome<ShotReport> {
    let mut faults = Faults::none();
    let mut tables = Vec::new();
    let mut report = ShotReport::default();
    for file in &shots.files {
        let read = lists_of(layers, file, shots);
        if let Some(found) = faults.keep(read) {
            tables.extend(found.tables);
            report.sheets.extend(found.sheets);
        }
    }
    let (mut read, mut all) = (Vec::new(), Vec::new());
    let mut first_list = None;
    let several = tables.len() > 1;
    for (index, table) in tables.iter().enumerate() {
        // Of several lists, the unit of the job is for those that do not state theirs.
        let stated = |found: &Lists| {
            found.lists.iter().all(|list| {
                let used = list.places.iter().filter(|(r, _)| r.is_number() && list.kind.uses(*r));
                used.into_iter().all(|(role, _)| list.units.iter().any(|(known, _)| known == role))
            })
        };
        let own = several && recognise(table, &shots.asked).is_ok_and(|found| stated(&found));
        let asked =
            Asked { unit: shots.asked.unit.clone().filter(|_| !own), ..shots.asked.clone() };
        let one = faults.keep(job_list(table, &asked, shots, plan));
        let Some((list, one, unfiltered)) = one else { continue };
        if one.by_rod && tables.len() > 1 && !shots.levels.setups.is_empty() {
            faults.push(
                Problem::error("set-ups hold for the rows of one list, and the job has several")
                    .at(table.place())
                    .help("put the rod readings into one list, or write them as a level note"),
            );
        }
        read.extend(list.shots.iter().cloned().map(|shot| Shot { list: index, ..shot }));
        let refused = list.refused.iter().cloned();
        report.refused.extend(refused.map(|row| Refused { list: index, ..row }));
        report.lists.push(one);
        all.extend(unfiltered);
        first_list.get_or_insert((table, list));
    }
    let Some((table, list)) = first_list.filter(|_| !faults.stop()) else { return Err(faults) };
    for (code, _) in &shots.codes.map {
        let mapped = all.iter().any(|shot| shot.code == *code);
        if let (false, Some(list)) = (mapped || all.is_empty(), report.lists.first_mut()) {
            list.remarks.push(format!("shots.code_map names {code}, which no row has"));
        }
    }
    report.unused_codes = unused_codes(&report.refused, &all, shots, plan);
    let screened = screen(&read, &plan.chain, &shots.screening);
    let far = |row: &Refused| matches!(row.reason, Reason::OutOfReach(..));
    if screened.used.is_empty() && !screened.refused.is_empty() && screened.refused.iter().all(far)
    {
        return Err(far_away(table, &list, plan).into());
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
    report.used = screened.used;
    report.refused.extend(screened.refused);
    report.refused.sort_by_key(|row| (row.list, row.line));
    Ok(report)
}
