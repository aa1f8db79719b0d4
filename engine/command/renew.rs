//! `renew`: an older job.toml brought to today's format.

use super::args::RenewArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::files::{is_folder, read_text, write_atomic};
use crate::job::{FORMAT, is_book, renewed};
use crate::problem::{Place, Problem};

/// Shows what a job must say in today's format so that its numbers stay, and writes it where it is asked to.
pub(super) fn renew(args: &RenewArgs) -> Exit {
    let file = match is_folder(&args.job) {
        true => args.job.join("job.toml"),
        false => args.job.clone(),
    };
    let shown = file.display().to_string();
    if is_book(&file) {
        return faults(
            &Problem::error(format!("an input book is brought to format {FORMAT} by hand"))
                .at(Place::file(shown))
                .help("give format in sheet job, and look at CHANGELOG.md for what changed")
                .into(),
        );
    }
    let new = match read_text(&file).and_then(|text| Ok(renewed(&shown, &text)?)) {
        Ok(new) => new,
        Err(problems) => return faults(&problems),
    };
    for (line, text) in &new.added {
        print(&format!("{shown}:{line}  + {text}"));
    }
    for remark in &new.remarks {
        print(remark);
    }
    if new.added.is_empty() {
        print(&format!("{shown} is of format {FORMAT}: nothing is to be changed"));
        return Exit::Done;
    }
    if !args.write {
        print("nothing is written; --write adds these lines");
        return Exit::Done;
    }
    if let Err(problems) = write_atomic(&file, new.text.as_bytes()) {
        faults(&problems);
        return Exit::NotWritten;
    }
    print(&format!("written   {shown}"));
    Exit::Done
}
