//! `read-back`: inputs that were changed in a written workbook.

use super::args::ReadBackArgs;
use super::takeoff::{faults, options};
use super::terminal::{Exit, print, report};
use crate::files;
use crate::job::{
    CalcSheets, Job, OpenOptions, ReadBack, read_back, sound, with_cells, with_inputs, worked,
};
use crate::measure::thousands;
use crate::problem::Outcome;

/// Shows what was changed and what the price is then; writes it where it is asked to.
pub(super) fn read_back_of(args: &ReadBackArgs) -> Exit {
    let read = || -> Outcome<(OpenOptions, Job, CalcSheets, ReadBack)> {
        let options = options(&args.job)?;
        let job = Job::open(&args.job.job, &options)?;
        let bytes = files::read_bytes(&args.book)?;
        let calc = worked(&job)?.calc;
        let back = read_back(&job, &calc, &args.book.display().to_string(), &bytes)?;
        Ok((options, job, calc, back))
    };
    let (options, job, calc, back) = match read() {
        Ok(read) => read,
        Err(problems) => return faults(&problems),
    };
    if !back.not_looked_at.is_empty() {
        print(&format!("  not looked at: inputs of {}", back.not_looked_at.join(", ")));
    }
    if back.inputs.is_empty() && back.cells.is_empty() {
        print("no input of the workbook was changed since it was written");
        return Exit::Done;
    }
    for line in listed(&back) {
        print(&line);
    }
    let then = || -> Outcome<(Option<f64>, Option<f64>)> {
        let inputs = back.inputs.iter().map(|input| (input.path.clone(), input.now.clone()));
        let cells = back.cells.iter().map(|cell| (cell.name.clone(), cell.now.clone()));
        let overrides = inputs.chain(cells).collect();
        let other = Job::open(&args.job.job, &OpenOptions { overrides, ..options.clone() })?;
        let total = |calc: &CalcSheets| calc.total().map(|total| total.base());
        Ok((total(&calc), total(&worked(&other)?.calc)))
    };
    match then() {
        Ok((Some(before), Some(after))) => print(&format!(
            "  price {} -> {} {}, the steps laid out anew",
            thousands(before, 2),
            thousands(after, 2),
            job.wall_job.style.currency
        )),
        Ok(_) => {}
        Err(problems) => {
            // What the job refuses is not written into it.
            report(&problems);
            return Exit::Faults;
        }
    }
    if !args.write {
        print("nothing is written; --write puts these values into the files of the job");
        return Exit::Done;
    }
    write(&job, &options, &back)
}

/// What is said of a value that the job has changed too.
const SINCE: &str = "   (the job changed it too since)";

/// What was changed, a line each.
fn listed(back: &ReadBack) -> Vec<String> {
    let inputs = back.inputs.iter().map(|input| {
        let since = if input.moved_since { SINCE } else { "" };
        (&input.path, format!("{} -> {}   {}{since}", input.was, input.now, input.what))
    });
    let cells = back.cells.iter().map(|cell| {
        let since = if cell.moved_since { SINCE } else { "" };
        let (unit, what) = (&cell.unit, &cell.what);
        (&cell.name, format!("{} -> {} {unit}   {what}{since}", cell.was, cell.now))
    });
    let all: Vec<_> = inputs.chain(cells).collect();
    let wide = all.iter().map(|(path, _)| path.chars().count()).max().unwrap_or(0);
    all.into_iter().map(|(path, words)| format!("  {path:<wide$}  {words}")).collect()
}

/// Puts all of it into the files of the job, or nothing where a value has no place or the job would refuse it; each file is
/// written whole, one after another, job.toml last.
fn write(job: &Job, options: &OpenOptions, back: &ReadBack) -> Exit {
    let shown = job.file.display().to_string();
    if job.is_book() {
        print(&format!("{shown} is an input book: type these values into its sheets"));
        return Exit::NotWritten;
    }
    let put = || -> Outcome<(Vec<String>, Vec<String>)> {
        let text = files::read_text(&job.file)?;
        let (new, mut left) = with_inputs(&shown, &text, &back.inputs)?;
        let (sheets, left_too) = with_cells(job, &back.cells)?;
        left.extend(left_too);
        let mut written = Vec::new();
        // All of them or none, and nothing that the job would refuse.
        if left.is_empty() {
            sound(&job.folder, &job.file, &new, options)?;
            let own = (job.file.clone(), new);
            let own = [own].into_iter().filter(|_| !back.inputs.is_empty());
            for (path, text) in sheets.into_iter().chain(own) {
                files::write_atomic(&path, text.as_bytes())?;
                written.push(path.display().to_string());
            }
        }
        Ok((written, left))
    };
    match put() {
        Ok((written, left)) if left.is_empty() => {
            for file in written {
                print(&format!("written   {file}"));
            }
            Exit::Done
        }
        Ok((_, left)) => {
            for path in &left {
                print(&format!(
                    "  {path} stands in another file or in the sheet of a workbook: change it there"
                ));
            }
            print("nothing is written");
            Exit::NotWritten
        }
        Err(problems) => {
            report(&problems);
            Exit::NotWritten
        }
    }
}
