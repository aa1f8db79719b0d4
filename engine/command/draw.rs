//! `draw`: plan, profile and sections of a job.

use std::path::PathBuf;

use super::args::DrawArgs;
use super::takeoff::{faults, keep_others, laid_out};
use super::terminal::{Exit, print, report};
use crate::drawing::{
    About, KINDS, Paper, Scene, drawings, is_our_pdf, is_our_png, lacks_letters, pdf, pngs, svg,
};
use crate::files;
use crate::problem::{Faults, Outcome};

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
        full_size: true,
    };
    let mut drawn = Vec::new();
    let mut not_drawn = Faults::none();
    for (name, sheets) in drawings(&done.listings, &about, &KINDS) {
        drawn.extend(not_drawn.keep_one(sheets).map(|sheets| (name, sheets)));
    }
    if drawn.is_empty() {
        return faults(&not_drawn);
    }
    // What cannot be drawn is told beside what can.
    report(&not_drawn);
    let folder = args.out.clone().unwrap_or_else(|| {
        let book = job.own_workbook();
        // Of another job of the folder its own drawings too.
        let stem = book.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let own = stem.strip_suffix("takeoff").filter(|_| !job.is_book()).unwrap_or_default();
        book.with_file_name(format!("{own}drawings"))
    });
    let scenes: Vec<&Scene> = drawn.iter().flat_map(|(_, scenes)| scenes).collect();
    let mut sheets: Vec<(PathBuf, Vec<u8>)> = Vec::new();
    let mut pictures = if args.png { pngs(&scenes) } else { Vec::new() }.into_iter();
    for (name, scenes) in &drawn {
        for (number, scene) in (1..).zip(scenes) {
            let text = format!("{MARK}{}", svg(scene));
            sheets.push((folder.join(format!("{name}-{number}.svg")), text.into_bytes()));
            match pictures.next() {
                Some(Ok(picture)) => {
                    sheets.push((folder.join(format!("{name}-{number}.png")), picture));
                }
                Some(Err(problem)) => report(&problem.into()),
                None => {}
            }
        }
    }
    let whole = folder.join("drawings.pdf");
    let write = || -> Outcome<()> {
        let mut targets = sheets.iter().map(|(target, _)| target);
        targets.try_for_each(|target| keep_others(target, is_our_sheet, args.replace))?;
        keep_others(&whole, is_our_pdf, args.replace)?;
        files::make_folder(&folder)?;
        sheets.iter().try_for_each(|(target, sheet)| files::write_atomic(target, sheet))?;
        files::write_atomic(&whole, &pdf(&scenes))
    };
    if let Err(problems) = write() {
        report(&problems);
        return Exit::NotWritten;
    }
    for (target, _) in &sheets {
        print(&target.display().to_string());
    }
    print(&whole.display().to_string());
    if scenes.iter().any(|scene| lacks_letters(scene)) {
        print("  in the pdf letters that its face lacks stand as ?; the svg sheets have them");
    }
    Exit::Done
}

/// Whether a file is a drawing of ours.
fn is_our_sheet(bytes: &[u8]) -> bool {
    bytes.starts_with(MARK.as_bytes()) || is_our_png(bytes)
}
