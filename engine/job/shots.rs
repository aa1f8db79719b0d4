//! The shot list: from a file to a table, from a table to ground lines.

use std::path::Path;

use super::build::ShotSettings;
use super::settings::View;
use crate::files;
use crate::measure::{Nm, feet_inches};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::survey::{
    Chain, ColumnNames, Ground, GroundKind, GroundLine, LengthUnit, Levels, LineOrigin, ListKind,
    ShotList, polyline, read_shots, recognise,
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
        return read_text_list(shown, &bytes);
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
    if columns.kind == ListKind::Rods {
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
pub(super) fn report(table: &Table, list: &ShotList) -> ShotReport {
    let mut remarks = table.remarks.clone();
    remarks.extend(list.columns.remarks.clone());
    let named = list
        .columns
        .places
        .iter()
        .map(|(role, column)| format!("{} in column {}", role.name(), column + 1));
    remarks.push(named.collect::<Vec<_>>().join(", "));
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
        refused: list.refused.clone(),
    }
}

/// Why the rows of a code are set aside: each reason with its count and its first row.
fn set_aside(report: &ShotReport, code: &str) -> Vec<String> {
    let rows: Vec<_> = report.refused.iter().filter(|row| row.code == code).collect();
    if rows.is_empty() {
        let mut codes: Vec<&str> = report.refused.iter().map(|row| row.code.as_str()).collect();
        codes.extend(report.used.iter().map(|used| used.shot.code.as_str()));
        codes.sort_unstable();
        codes.dedup();
        codes.retain(|code| !code.is_empty());
        codes.truncate(12);
        if codes.is_empty() {
            return vec!["no row of the list has a code".to_owned()];
        }
        return vec![format!("no row has it; the codes of the list: {}", codes.join(", "))];
    }
    let mut keys: Vec<&str> = rows.iter().map(|row| row.reason.key()).collect();
    keys.sort_unstable();
    keys.dedup();
    let detail = |key: &str| {
        let of: Vec<_> = rows.iter().filter(|row| row.reason.key() == key).collect();
        let first = of.first()?;
        let show = |length| feet_inches(length, 16);
        Some(format!(
            "{} row(s), the first in line {}: {}",
            of.len(),
            first.line,
            first.reason.words(show)
        ))
    };
    keys.into_iter().filter_map(detail).collect()
}

/// Builds the three ground lines: from shots, from lists in the job, then those that are derived from another.
pub(super) fn ground(
    root: View,
    shots: Option<&ShotSettings>,
    report: Option<&ShotReport>,
    chain: &Chain,
) -> Outcome<Ground> {
    let mut faults = Faults::none();
    let used = report.map_or(&[][..], |report| &report.used);
    let table = root.need_table("ground")?;
    let mut lines: [Option<GroundLine>; 3] = [None, None, None];
    let mut derived: Vec<(usize, GroundKind, Nm)> = Vec::new();
    for (index, kind) in GroundKind::ALL.into_iter().enumerate() {
        let view = table.need_table(kind.key())?;
        let limit = view.maybe_length("largest_gap");
        let code =
            shots.and_then(|shots| shots.screening.codes.iter().find(|(known, _)| *known == kind));
        let from = view
            .maybe_text("from")
            .and_then(|name| GroundKind::ALL.into_iter().find(|kind| kind.key() == name));
        match (view.stations("stations"), from, code) {
            (Some(pairs), None, None) => {
                // One station beyond each end carries the line's slope to it; a second one supports nothing.
                let stations = || pairs.iter().map(|(station, _)| *station);
                let before = stations().nth(1).filter(|station| *station <= Nm::ZERO);
                let after = stations().rev().nth(1).filter(|station| *station >= chain.length());
                if let Some(station) = before.or(after) {
                    faults.push(view.place(
                        "stations",
                        Problem::error(format!(
                            "station {} is outside the walls, which are {} long",
                            feet_inches(station, 16),
                            feet_inches(chain.length(), 16)
                        ))
                        .help("stations of a ground line run along the chain of walls, from 0 to its length; one beyond each end is enough"),
                    ));
                }
                let line = polyline(pairs.to_vec(), chain.ring());
                if line.is_none() {
                    faults.push(view.place(
                        "stations",
                        Problem::error("on a closed ring the stations run from 0 to less than its length, each once"),
                    ));
                }
                lines[index] =
                    line.map(|line| GroundLine::new(kind, LineOrigin::Listed, line, limit));
            }
            (None, Some(from), None) => match view.maybe_length("below") {
                Some(below) => derived.push((index, from, below)),
                None => faults.push(view.place(
                    "from",
                    Problem::error(format!(
                        "ground.{} needs below: how much lower it is",
                        kind.key()
                    )),
                )),
            },
            (None, None, Some((_, code))) => {
                lines[index] = GroundLine::from_shots(kind, code, used, chain.ring(), limit);
                if lines[index].is_none() {
                    let mut problem = Problem::error(format!(
                        "no shot with code {code} is left for {}",
                        kind.words()
                    ));
                    for detail in report.iter().flat_map(|report| set_aside(report, code)) {
                        problem = problem.detail(detail);
                    }
                    faults.push(
                        root.place("shots", problem)
                            .help("correct shots.codes, shots.reach or the list"),
                    );
                }
            }
            (None, None, None) => faults.push(
                root.place(
                    "ground",
                    Problem::error(format!("nothing says where {} is", kind.words())),
                )
                .help(format!(
                    "give shots.codes.{0}, ground.{0}.stations, or ground.{0}.from with below",
                    kind.key()
                )),
            ),
            _ => faults.push(
                view.place(
                    "from",
                    Problem::error(format!("{} is given more than once", kind.words())),
                )
                .help(format!(
                    "keep one of shots.codes.{0}, ground.{0}.stations and ground.{0}.from",
                    kind.key()
                )),
            ),
        }
    }
    // Two lines may be derived from the third, one after the other.
    for _ in 0..2 {
        for (index, from, below) in &derived {
            let source = GroundKind::ALL
                .iter()
                .position(|kind| kind == from)
                .and_then(|place| lines[place].clone());
            if let (None, Some(source)) = (&lines[*index], source) {
                let kind = GroundKind::ALL[*index];
                let limit = table.need_table(kind.key())?.maybe_length("largest_gap");
                lines[*index] = Some(GroundLine::new(
                    kind,
                    LineOrigin::Offset(*from, *below),
                    source.line.lowered(*below),
                    limit,
                ));
            }
        }
    }
    if faults.is_empty() && derived.iter().any(|(index, ..)| lines[*index].is_none()) {
        faults.push(root.place(
            "ground",
            Problem::error("ground lines are derived from each other in a circle"),
        ));
    }
    let [low, bearing, existing] = lines;
    let ground = match (low, bearing, existing) {
        (Some(finished_low), Some(bearing), Some(existing)) => {
            Some(Ground { finished_low, bearing, existing })
        }
        _ => None,
    };
    faults.or_value(ground)
}
