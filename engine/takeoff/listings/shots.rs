//! Shots used and not used.

use super::steps::plane;
use super::text;
use crate::listing::{Amount, Datum, Listing, listings};
use crate::measure::{Length, Nm, decimal_places, ratio};
use crate::survey::{LengthUnit, Reason, Refused, Shot, Spot, Used};
use crate::takeoff::WallJob;

listings! {
    SHOT_LIST = "shot_list", "the list as a whole", for Crew, by ["file", "sheet"]: ShotList {
        file: String, "file name";
        sheet: Option<String>, "sheet of a workbook";
        unit: String, "unit of its numbers";
        rows: usize, "data rows";
        used: usize, "rows used";
        not_used: usize, "rows not used";
        remarks: String, "what was understood";
    }
    UNUSED_CODES = "unused_codes", "codes that serve no ground line", for Engineer, by ["code"]: UnusedCodeRow {
        code: String, "code; blank for rows without one";
        rows: usize, "rows that have it";
        near: usize, "how many of them are points within reach of a wall";
    }
    SHOTS_USED = "shots_used", "shots that are points of a ground line", for Crew, by []: ShotUsed {
        line: usize, "line of the file or row of the sheet";
        point: String, "name or number";
        code: String, "code";
        ground: &'static str, "line that it is a point of, for pages and programs";
        ground_line: &'static str, "the same in words";
        wall: String, "nearest wall";
        chain: Nm, "running station";
        offset: Nm, "from the exposed face, positive towards the earth";
        elevation: Nm, "elevation";
        east: Amount<Length>, "easting, in the grid's unit";
        north: Amount<Length>, "northing";
        list: Option<String>, "file, and sheet of a workbook, where there are several";
    }
    SHOTS_READ = "shots_read", "rows that are points", for Engineer, by []: ShotRead {
        line: usize, "line of the file or row of the sheet";
        point: String, "name or number";
        code: String, "code";
        northing: Option<Datum>, "northing";
        easting: Option<Datum>, "easting";
        wall: Option<String>, "wall, in a list of stations";
        station: Option<Datum>, "station";
        offset: Option<Datum>, "offset, positive towards the earth";
        elevation: Datum, "elevation";
        list: Option<String>, "file, and sheet of a workbook, where there are several";
    }
    SHOTS_REFUSED = "shots_refused", "rows not used, each with its one reason", for Crew, by []: ShotRefused {
        line: usize, "line of the file or row of the sheet";
        point: String, "name or number";
        code: String, "code";
        reason: &'static str, "summary, field_count, code_not_used, two_readings, missing_value, bad_number, no_value, other_list, duplicate, duplicate_conflict, out_of_reach, off_the_wall or outlier";
        by: Option<Datum>, "difference in height, or offset, that decided it";
        why: String, "the reason in words";
        list: Option<String>, "file, and sheet of a workbook, where there are several";
    }
}

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
    /// Codes that would mean something else in a list of rod readings, each with both meanings.
    pub two_meanings: Vec<String>,
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
    /// Rows not used, in file order.
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
    fn list(&self, list: usize) -> Option<String> {
        self.lists.get(list).filter(|_| self.lists.len() > 1).map(ListReport::name)
    }
}

/// How lengths of a list are shown: those of a job in its unit, those of a file alone as they are written.
struct Shown {
    of_job: bool,
    unit: &'static str,
}

impl Shown {
    fn new(report: &ShotReport, of_job: bool) -> Self {
        let unit = match report.unit() {
            Some(unit) if unit.is_metric() => "m",
            Some(_) => "ft",
            None => "",
        };
        Self { of_job, unit }
    }

    fn length(&self, length: Nm) -> Datum {
        if self.of_job {
            return Datum::Length(length);
        }
        match self.unit {
            // Without a unit the numbers were read as metres, so that they are shown as written.
            "" => Datum::bare(ratio(length.wide(), Nm::METRE.wide())),
            unit => Datum::length_in(length, unit),
        }
    }

    fn words(&self, length: Nm) -> String {
        let (size, places) = if self.unit == "ft" { (Nm::FOOT, 2) } else { (Nm::METRE, 3) };
        let value = ratio(length.wide(), size.wide());
        format!("{} {}", decimal_places(&value, places), self.unit).trim_end().to_owned()
    }
}

pub(super) fn lists(report: &ShotReport) -> Vec<ShotList> {
    let row = |(index, list): (usize, &ListReport)| {
        let used = report.used.iter().filter(|used| used.shot.list == index).count();
        let read = report.read.iter().filter(|shot| shot.list == index).count();
        ShotList {
            file: text(&list.file),
            sheet: list.sheet.clone(),
            unit: text(&list.units),
            rows: list.rows,
            used: used + read,
            not_used: report.refused.iter().filter(|row| row.list == index).count(),
            remarks: [&list.remarks[..], &list.two_meanings].concat().join("; "),
        }
    };
    report.lists.iter().enumerate().map(row).collect()
}

pub(super) fn unused_codes(report: &ShotReport) -> Vec<UnusedCodeRow> {
    let row = |code: &UnusedCode| UnusedCodeRow {
        code: text(&code.code),
        rows: code.rows,
        near: code.near,
    };
    report.unused_codes.iter().map(row).collect()
}

pub(super) fn used(report: &ShotReport, job: &WallJob) -> Vec<ShotUsed> {
    let row = |used: &Used| {
        let [east, north] = plane(job, job.site.chain.point_of(&used.shot.place, used.at));
        ShotUsed {
            line: used.shot.line,
            point: text(&used.shot.id),
            code: text(&used.shot.code),
            ground: used.kind.key(),
            ground_line: used.kind.words(),
            wall: text(&job.site.chain.walls()[used.at.wall].id),
            chain: used.at.station,
            offset: used.at.offset,
            elevation: used.shot.z,
            east,
            north,
            list: report.list(used.shot.list),
        }
    };
    report.used.iter().map(row).collect()
}

pub(super) fn read(report: &ShotReport) -> Vec<ShotRead> {
    let shown = Shown::new(report, false);
    let row = |shot: &Shot| {
        let (plane, wall, along) = match &shot.place {
            Spot::Plane(point) => (Some(*point), None, None),
            Spot::Along { wall, station, offset } => {
                (None, wall.clone(), Some((*station, *offset)))
            }
        };
        ShotRead {
            line: shot.line,
            point: text(&shot.id),
            code: text(&shot.code),
            northing: plane.map(|point| shown.length(point.n)),
            easting: plane.map(|point| shown.length(point.e)),
            wall,
            station: along.map(|(station, _)| shown.length(station)),
            offset: along.map(|(_, offset)| shown.length(offset)),
            elevation: shown.length(shot.z),
            list: report.list(shot.list),
        }
    };
    report.read.iter().map(row).collect()
}

/// Rows not used, of a job or of a file alone.
pub(crate) fn refused(report: &ShotReport, of_job: bool) -> Vec<ShotRefused> {
    let shown = Shown::new(report, of_job);
    let row = |refused: &Refused| {
        let by = match &refused.reason {
            Reason::Duplicate(by) | Reason::Outlier(by, _) | Reason::OutOfReach(by, _) => Some(*by),
            _ => None,
        };
        ShotRefused {
            line: refused.line,
            point: text(&refused.id),
            code: text(&refused.code),
            reason: refused.reason.key(),
            by: by.map(|by| shown.length(by)),
            why: refused.reason.words(|length| shown.words(length)),
            list: report.list(refused.list),
        }
    };
    report.refused.iter().map(row).collect()
}

/// What is told of a list of shots, with stations where there is a job.
pub fn shot_listings(report: &ShotReport, job: Option<&WallJob>) -> Vec<Listing> {
    let mut all = vec![
        Listing::of(SHOT_LIST, lists(report)),
        Listing::of(UNUSED_CODES, unused_codes(report)),
    ];
    all.push(match job {
        Some(job) => Listing::of(SHOTS_USED, used(report, job)),
        None => Listing::of(SHOTS_READ, read(report)),
    });
    all.push(Listing::of(SHOTS_REFUSED, refused(report, job.is_some())));
    all
}
