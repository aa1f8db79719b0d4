//! `keys`: every key of job.toml, for a person at the terminal.

use super::args::KeysArgs;
use super::readable::readable;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::job::{Keys, OpenOptions, key_tables, keys_at, keys_page_of};
use crate::problem::{Problem, closest};

/// Prints the tables whose name holds a text, or all of them.
pub(super) fn keys(args: &KeysArgs) -> Exit {
    let wanted = args.table.as_deref().unwrap_or_default();
    let keys = match &args.job {
        None => Keys::default(),
        Some(job) => {
            let options = OpenOptions { company: args.company.clone(), ..OpenOptions::default() };
            match keys_at(job, &options) {
                Ok(keys) => keys,
                Err(problems) => return faults(&problems),
            }
        }
    };
    let page = keys_page_of(wanted, &keys);
    if page.is_empty() {
        let names = key_tables().map(|table| table.path.trim_end_matches("[]"));
        let problem = Problem::error(format!("no table of job.toml is called {wanted}"));
        let problem = match closest(wanted, names) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help("rodbook keys lists them all"),
        };
        return faults(&problem.into());
    }
    print(&readable(page.trim()));
    Exit::Done
}
