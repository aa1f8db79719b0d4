//! `functions`: the trade functions by family, or one of them in full.

use super::args::FunctionsArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::catalogue::{Family, find, functions};
use crate::problem::{Problem, closest};
use crate::script::entry;

/// Lists every function, those whose name or summary holds a text, or one in full.
pub(super) fn list(args: &FunctionsArgs) -> Exit {
    let wanted = args.name.as_deref().unwrap_or_default();
    if let Some(function) = find(wanted) {
        print(entry(function).trim());
        return Exit::Done;
    }
    let lower = wanted.to_lowercase();
    let mut lines: Vec<String> = Vec::new();
    for family in Family::ALL {
        let holds = |text: &str| text.to_lowercase().contains(&lower);
        let found: Vec<_> = functions()
            .filter(|f| f.family == family)
            .filter(|f| holds(f.name) || holds(f.summary) || holds(family.title()))
            .collect();
        if !found.is_empty() {
            lines.push(format!("{}{}", if lines.is_empty() { "" } else { "\n" }, family.title()));
            lines.extend(found.iter().map(|f| format!("  {}\n      {}", f.signature(), f.summary)));
        }
    }
    if lines.is_empty() {
        let problem =
            Problem::error(format!("no trade function is called {wanted} or speaks of it"));
        let problem = match closest(wanted, functions().map(|function| function.name)) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help("rodbook functions lists them all"),
        };
        return faults(&problem.into());
    }
    print(&lines.join("\n"));
    Exit::Done
}
