//! `draw`: the profile of a job as drawings.

use std::path::PathBuf;

use super::args::DrawArgs;
use super::takeoff::{faults, keep_others, laid_out};
use super::terminal::{Exit, print, report};
use crate::drawing::{About, Paper, profile, svg};
use crate::files;
use crate::problem::Outcome;

/// What every drawing of ours begins with: only such files are written over.
const MARK: &str = "<!-- drawn by rodbook -->\n";

/// Draws a job and writes its sheets.
pub(super) fn draw(args: &DrawArgs) -> Exit {
    let (job, done) = match laid_out(&args.job) {
        Ok(worked) => worked,
        Err(exit) => return exit,
    };
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
