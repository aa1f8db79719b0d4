//! Shots used and set aside.

use super::columns;
use crate::measure::Nm;
use crate::survey::{LengthUnit, Refused, Shot, Spot, Used};
use crate::takeoff::{Datum, RecordSet, WallJob};

/// What became of a shot list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShotReport {
    /// The file, as the job names it.
    pub file: String,
    /// Its sheet, for a workbook.
    pub sheet: Option<String>,
    /// Unit of its numbers, if it is known.
    pub unit: Option<LengthUnit>,
    /// What was understood of its columns.
    pub remarks: Vec<String>,
    /// Number of data rows.
    pub rows: usize,
    /// Shots that are used, with their place beside the walls.
    pub used: Vec<Used>,
    /// Shots that were read without a job.
    pub read: Vec<Shot>,
    /// Whether the list has rod readings in place of elevations.
    pub by_rod: bool,
    /// Rows set aside, in file order.
    pub refused: Vec<Refused>,
}

pub(super) fn sets(report: &ShotReport, job: Option<&WallJob>) -> Vec<RecordSet> {
    let unit = match report.unit {
        Some(LengthUnit::Metre | LengthUnit::Millimetre) => "m",
        Some(_) => "ft",
        None => "",
    };
    let length = |length: Nm| match job {
        Some(_) => Datum::Length(length),
        // Without a unit the numbers were read as metres, so that they are shown as written.
        None if unit.is_empty() => Datum::Number(metres(length)),
        None => Datum::length_in(length, unit),
    };
    let show = |length: Nm| {
        let (size, places) = if unit == "ft" { (Nm::FOOT, 2) } else { (Nm::METRE, 3) };
        let value = crate::measure::ratio(length.wide(), size.wide());
        format!("{} {unit}", crate::measure::decimal_places(&value, places)).trim_end().to_owned()
    };
    let mut sets = vec![RecordSet {
        name: "shot_list",
        about: "the list as a whole",
        columns: columns![
            ("file", "file name"),
            ("sheet", "sheet of a workbook"),
            ("unit", "unit of its numbers"),
            ("rows", "data rows"),
            ("used", "rows used"),
            ("set_aside", "rows set aside"),
            ("remarks", "what was understood"),
        ],
        rows: vec![vec![
            Datum::text(&report.file),
            report.sheet.as_ref().map_or(Datum::Blank, Datum::text),
            Datum::text(report.unit.map_or("not stated", LengthUnit::name)),
            Datum::count(report.rows),
            Datum::count(report.used.len() + report.read.len()),
            Datum::count(report.refused.len()),
            Datum::text(report.remarks.join("; ")),
        ]],
    }];
    if let Some(job) = job {
        let row = |used: &Used| {
            vec![
                Datum::count(used.shot.line),
                Datum::text(&used.shot.id),
                Datum::text(&used.shot.code),
                Datum::text(used.kind.key()),
                Datum::text(&job.site.chain.walls()[used.at.wall].id),
                Datum::Length(used.at.station),
                Datum::Length(used.at.offset),
                Datum::Length(used.shot.z),
            ]
        };
        sets.push(RecordSet {
            name: "shots_used",
            about: "shots that support a ground line",
            columns: columns![
                ("line", "line of the file or row of the sheet"),
                ("point", "name or number"),
                ("code", "code"),
                ("ground", "line that it supports"),
                ("wall", "nearest wall"),
                ("chain", "station along the chain of walls"),
                ("offset", "from the exposed face, positive towards the earth"),
                ("elevation", "elevation"),
            ],
            rows: report.used.iter().map(row).collect(),
        });
    } else {
        let row = |shot: &Shot| {
            let blank = || Datum::Blank;
            let (northing, easting, wall, station, offset) = match &shot.place {
                Spot::Plane(point) => (length(point.n), length(point.e), blank(), blank(), blank()),
                Spot::Along { wall, station, offset } => (
                    blank(),
                    blank(),
                    wall.as_ref().map_or(Datum::Blank, Datum::text),
                    length(*station),
                    length(*offset),
                ),
            };
            vec![
                Datum::count(shot.line),
                Datum::text(&shot.id),
                Datum::text(&shot.code),
                northing,
                easting,
                wall,
                station,
                offset,
                length(shot.z),
            ]
        };
        sets.push(RecordSet {
            name: "shots_read",
            about: "rows that are points",
            columns: columns![
                ("line", "line of the file or row of the sheet"),
                ("point", "name or number"),
                ("code", "code"),
                ("northing", "northing"),
                ("easting", "easting"),
                ("wall", "wall, in a list of stations"),
                ("station", "station"),
                ("offset", "offset, positive towards the earth"),
                ("elevation", "elevation"),
            ],
            rows: report.read.iter().map(row).collect(),
        });
    }
    let row = |refused: &Refused| {
        let by = match &refused.reason {
            crate::survey::Reason::Duplicate(by)
            | crate::survey::Reason::Outlier(by)
            | crate::survey::Reason::OutOfReach(by, _) => length(*by),
            _ => Datum::Blank,
        };
        vec![
            Datum::count(refused.line),
            Datum::text(&refused.id),
            Datum::text(&refused.code),
            Datum::text(refused.reason.key()),
            by,
            Datum::text(refused.reason.words(show)),
        ]
    };
    sets.push(RecordSet {
        name: "shots_refused",
        about: "rows set aside, each with its one reason",
        columns: columns![
            ("line", "line of the file or row of the sheet"),
            ("point", "name or number"),
            ("code", "code"),
            ("reason", "code_not_used, missing_value, bad_number, duplicate, duplicate_conflict, out_of_reach or outlier"),
            ("by", "difference in height, or offset, that decided it"),
            ("why", "the reason in words"),
        ],
        rows: report.refused.iter().map(row).collect(),
    });
    sets
}

fn metres(length: Nm) -> f64 {
    let value = crate::measure::ratio(length.wide(), Nm::METRE.wide());
    num_traits::ToPrimitive::to_f64(&value).unwrap_or(f64::NAN)
}
