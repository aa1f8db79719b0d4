//! `stake`: the points of a job to set out, as a list that survey instruments take.

use super::args::StakeArgs;
use super::takeoff::{faults, keep_others, laid_out};
use super::terminal::{Exit, print, report};
use crate::files;
use crate::listing::{Datum, Listing};
use crate::measure::{Digits, System, number_text};
use crate::problem::{Outcome, Problem};
use crate::takeoff::STAKE_OUT;

/// What every list of ours begins with: only such files are written over.
const MARK: &str = "Point,Northing (";

/// Decimals of a coordinate, finer than any instrument reads.
const DECIMALS: u32 = 4;

/// Writes the list, or prints it.
pub(super) fn stake(args: &StakeArgs) -> Exit {
    let (job, done) = match laid_out(&args.job) {
        Ok(worked) => worked,
        Err(exit) => return exit,
    };
    let name = STAKE_OUT.name;
    let Some(points) = done.listings.iter().find(|known| known.declaration.name == name) else {
        return faults(&Problem::error("this job has no points to set out").into());
    };
    let list = match list_of(points, job.wall_job.style.system) {
        Ok(list) => list,
        Err(problems) => return faults(&problems),
    };
    let Some(target) = &args.out else {
        print(list.trim_end());
        return Exit::Done;
    };
    let is_ours = |bytes: &[u8]| bytes.starts_with(MARK.as_bytes());
    let written = keep_others(target, is_ours, args.replace)
        .and_then(|()| files::write_atomic(target, list.as_bytes()));
    if let Err(problems) = written {
        report(&problems);
        return Exit::NotWritten;
    }
    print(&target.display().to_string());
    Exit::Done
}

/// Points, northings, eastings, elevations and codes, with the unit in the headings.
fn list_of(points: &Listing, system: System) -> Outcome<String> {
    let column = |name: &str| points.declaration.column(name);
    let measures = [column("north")?, column("east")?, column("elevation")?];
    let texts = [column("code")?, column("what")?];
    let point = column("point")?;
    // Instruments take no thousands commas.
    let number = |row: &[Datum], at: usize, decimals: u32| match row[at].number(system) {
        Some((value, _)) => number_text(value, Digits::Decimals(decimals)).replace(',', ""),
        None => String::new(),
    };
    let unit = points.rows.first().and_then(|row| Some(row[measures[0]].number(system)?.1));
    let unit = unit.unwrap_or(system.length());
    let mut writer = csv::Writer::from_writer(Vec::new());
    let refused =
        |error: csv::Error| Problem::error(format!("the list cannot be written: {error}"));
    let named = |name: &str| format!("{name} ({unit})");
    let heads = [
        "Point".to_owned(),
        named("Northing"),
        named("Easting"),
        named("Elevation"),
        "Code".to_owned(),
        "What".to_owned(),
    ];
    writer.write_record(&heads).map_err(refused)?;
    for row in &points.rows {
        let mut cells = vec![number(row, point, 0)];
        cells.extend(measures.map(|at| number(row, at, DECIMALS)));
        cells.extend(texts.map(|at| match &row[at] {
            Datum::Text(text) => text.clone(),
            _ => String::new(),
        }));
        writer.write_record(&cells).map_err(refused)?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| Problem::error(format!("the list cannot be written: {error}")))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
