//! `read-back`: inputs that were changed in a written workbook.

use super::args::ReadBackArgs;
use super::takeoff::{faults, options};
use super::terminal::{Exit, print, report};
use crate::files;
use crate::job::{
    CalcSheets, Job, OpenOptions, ReadBack, ReadInput, read_back, sound, with_inputs, worked,
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
        let changed = read_back(&job, &calc, &args.book.display().to_string(), &bytes)?;
        Ok((options, job, calc, changed))
    };
    let (options, job, calc, ReadBack { inputs: changed, typed }) = match read() {
        Ok(read) => read,
        Err(problems) => return faults(&problems),
    };
    for cell in &typed {
        print(&format!("  not read back, change it in its own file: {cell}"));
    }
    if changed.is_empty() {
        print("no input of the workbook was changed since it was written");
        return Exit::Done;
    }
    let wide = changed.iter().map(|input| input.path.chars().count()).max().unwrap_or(0);
    for input in &changed {
        let since = if input.moved_since { "   (the job changed it too since)" } else { "" };
        print(&format!(
            "  {:<wide$}  {} -> {}   {}{since}",
            input.path, input.was, input.now, input.what
        ));
    }
    let then = || -> Outcome<(Option<f64>, Option<f64>)> {
        let overrides =
            changed.iter().map(|input| (input.path.clone(), input.now.clone())).collect();
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
        print("nothing is written; --write puts these values into job.toml");
        return Exit::Done;
    }
    write(&job, &options, &changed)
}

fn write(job: &Job, options: &OpenOptions, changed: &[ReadInput]) -> Exit {
    let shown = job.file.display().to_string();
    if job.is_book() {
        print(&format!("{shown} is an input book: type these values into its sheets"));
        return Exit::NotWritten;
    }
    let put = || -> Outcome<Vec<String>> {
        let text = files::read_text(&job.file)?;
        let (new, left) = with_inputs(&shown, &text, changed)?;
        // All of them or none, and nothing that the job would refuse.
        if left.is_empty() {
            sound(&job.folder, &job.file, &new, options)?;
            files::write_atomic(&job.file, new.as_bytes())?;
        }
        Ok(left)
    };
    match put() {
        Ok(left) if left.is_empty() => {
            print(&format!("written   {shown}"));
            Exit::Done
        }
        Ok(left) => {
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
