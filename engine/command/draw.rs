//! `draw`: the profile of a job as drawings.

use std::path::PathBuf;

use super::args::DrawArgs;
use super::takeoff::{faults, options};
use super::terminal::{Exit, print, report};
use crate::drawing::{About, Paper, profile, svg};
use crate::files;
use crate::job::{Job, work};
use crate::problem::{Outcome, Place, Problem};

/// What every drawing of ours begins with: only such files are written over.
const MARK: &str = "<!-- drawn by rodbook -->\n";

/// Draws a job and writes its sheets.
pub(super) fn draw(args: &DrawArgs) -> Exit {
    let worked = options(&args.job).and_then(|options| {
        let job = Job::open(&args.job.job, &options)?;
        let done = work(&job, &|_| {})?;
        Ok((job, done))
    });
    let (job, done) = match worked {
        Ok(worked) => worked,
        Err(problems) => return faults(&problems),
    };
    if done.takeoff.is_none() {
        report(&done.no_layout);
        return Exit::NoLayout;
    }
    let about = About {
        job: job.wall_job.title.name.clone(),
        date: job.wall_job.title.date.clone().unwrap_or_default(),
        system: job.wall_job.style.system,
        paper: if args.letter { Paper::Letter } else { Paper::A4 },
    };
    let scenes = match profile(&done.listings, &about) {
        Ok(scenes) => scenes,
        Err(problem) => return faults(&problem.into()),
    };
    let sheets: Vec<String> = scenes.iter().map(|scene| format!("{MARK}{}", svg(scene))).collect();
    let folder = args.out.clone().unwrap_or_else(|| job.own_workbook().with_file_name("drawings"));
    let targets: Vec<PathBuf> =
        (1..=sheets.len()).map(|number| folder.join(format!("profile-{number}.svg"))).collect();
    let write = || -> Outcome<()> {
        targets.iter().try_for_each(|target| keep_others(target, MARK, args.replace))?;
        files::make_folder(&folder)?;
        targets
            .iter()
            .zip(&sheets)
            .try_for_each(|(target, sheet)| files::write_atomic(target, sheet.as_bytes()))
    };
    if let Err(problems) = write() {
        report(&problems);
        return Exit::NotWritten;
    }
    for target in &targets {
        print(&target.display().to_string());
    }
    Exit::Done
}

/// Refuses to write over what does not begin as our files do.
pub(super) fn keep_others(target: &std::path::Path, mark: &str, replace: bool) -> Outcome<()> {
    if replace || !files::exists(target) || files::read_bytes(target)?.starts_with(mark.as_bytes())
    {
        return Ok(());
    }
    Err(Problem::error("this file was not written by rodbook; it is kept")
        .at(Place::file(target.display().to_string()))
        .help("write elsewhere with --out, or overwrite it with --replace")
        .into())
}
