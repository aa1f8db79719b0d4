//! Shots used and set aside.

use super::columns;
use crate::measure::Nm;
use crate::survey::{LengthUnit, Refused, Shot, Spot, Used};
use crate::takeoff::{Datum, RecordSet, WallJob};

/// One list of a job, or of a file alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListReport {
    /// The file, as the job names it.
    pub file: String,
    /// Its sheet, for a workbook.
    pub sheet: Option<String>,
    /// Unit of its heights, if it is known.
    pub unit: Option<LengthUnit>,
    /// Units of its columns in words.
    pub units: String,
    /// What was understood of its columns.
    pub remarks: Vec<String>,
    /// Number of data rows.
    pub rows: usize,
    /// Whether it has rod readings in place of elevations.
    pub by_rod: bool,
    /// Whether its columns were taken by their position.
    pub by_position: bool,
    /// Rod readings that no rod has.
    pub odd_rods: usize,
}

impl ListReport {
    /// The file and its sheet.
    pub fn name(&self) -> String {
        match &self.sheet {
            Some(sheet) => format!("{} sheet \"{sheet}\"", self.file),
            None => self.file.clone(),
        }
    }
}

/// A code that serves no line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusedCode {
    /// The code; empty for rows without one.
    pub code: String,
    /// Rows that have it.
    pub rows: usize,
    /// How many of them are points within reach of a wall.
    pub near: usize,
}

/// What became of the shots of a job, or of a file alone.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ShotReport {
    /// The lists.
    pub lists: Vec<ListReport>,
    /// What each sheet of a workbook holds, where there are several.
    pub sheets: Vec<String>,
    /// Shots that are used, with their place beside the walls.
    pub used: Vec<Used>,
    /// Shots that were read without a job.
    pub read: Vec<Shot>,
    /// Rows set aside, in file order.
    pub refused: Vec<Refused>,
    /// Codes that serve no line.
    pub unused_codes: Vec<UnusedCode>,
}

impl ShotReport {
    /// Data rows of all lists.
    pub fn rows(&self) -> usize {
        self.lists.iter().map(|list| list.rows).sum()
    }

    /// Unit of the heights of the first list.
    pub fn unit(&self) -> Option<LengthUnit> {
        self.lists.first().and_then(|list| list.unit)
    }

    /// Whether heights follow from rod readings.
    pub fn by_rod(&self) -> bool {
        self.lists.iter().any(|list| list.by_rod)
    }

    /// The list of a row, where there are several.
    fn list(&self, list: usize) -> Datum {
        let several = self.lists.get(list).filter(|_| self.lists.len() > 1);
        several.map_or(Datum::Blank, |list| Datum::text(list.name()))
    }
}

pub(super) fn sets(report: &ShotReport, job: Option<&WallJob>) -> Vec<RecordSet> {
    let unit = match report.unit() {
        Some(unit) if unit.is_metric() => "m",
        Some(_) => "ft",
        None => "",
    };
    let length = |length: Nm| match job {
        Some(_) => Datum::Length(length),
        // Without a unit the numbers were read as metres, so that they are shown as written.
        None if unit.is_empty() => {
            Datum::bare(crate::measure::ratio(length.wide(), Nm::METRE.wide()))
        }
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
        rows: report
            .lists
            .iter()
            .enumerate()
            .map(|(index, list)| {
                let used = report.used.iter().filter(|used| used.shot.list == index).count();
                let read = report.read.iter().filter(|shot| shot.list == index).count();
                let refused = report.refused.iter().filter(|row| row.list == index).count();
                vec![
                    Datum::text(&list.file),
                    list.sheet.as_ref().map_or(Datum::Blank, Datum::text),
                    Datum::text(&list.units),
                    Datum::count(list.rows),
                    Datum::count(used + read),
                    Datum::count(refused),
                    Datum::text(list.remarks.join("; ")),
                ]
            })
            .collect(),
    }];
    sets.push(RecordSet {
        name: "unused_codes",
        about: "codes that serve no ground line",
        columns: columns![
            ("code", "code; blank for rows without one"),
            ("rows", "rows that have it"),
            ("near", "how many of them are points within reach of a wall"),
        ],
        rows: report
            .unused_codes
            .iter()
            .map(|code| {
                vec![Datum::text(&code.code), Datum::count(code.rows), Datum::count(code.near)]
            })
            .collect(),
    });
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
                report.list(used.shot.list),
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
                ("list", "file, and sheet of a workbook, where there are several"),
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
                report.list(shot.list),
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
                ("list", "file, and sheet of a workbook, where there are several"),
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
            report.list(refused.list),
        ]
    };
    sets.push(RecordSet {
        name: "shots_refused",
        about: "rows set aside, each with its one reason",
        columns: columns![
            ("line", "line of the file or row of the sheet"),
            ("point", "name or number"),
            ("code", "code"),
            ("reason", "summary, field_count, code_not_used, two_readings, missing_value, bad_number, no_value, other_list, duplicate, duplicate_conflict, out_of_reach, off_the_wall or outlier"),
            ("by", "difference in height, or offset, that decided it"),
            ("why", "the reason in words"),
            ("list", "file, and sheet of a workbook, where there are several"),
        ],
        rows: report.refused.iter().map(row).collect(),
    });
    sets
}
