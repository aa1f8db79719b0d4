//! `glossary`: the words of the trade as they are used here.

use super::args::GlossaryArgs;
use super::readable::readable;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::glossary::{TERMS, glossary_page_of};
use crate::problem::{Problem, closest};

/// Prints the terms that a text stands in, or all of them.
pub(super) fn glossary(args: &GlossaryArgs) -> Exit {
    let wanted = args.word.as_deref().unwrap_or_default();
    let page = glossary_page_of(wanted);
    if page.is_empty() {
        let words =
            TERMS.iter().flat_map(|term| [term.word].into_iter().chain(term.also.iter().copied()));
        let problem = Problem::error(format!("the glossary has no \"{wanted}\""));
        let problem = match closest(wanted, words) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help("rodbook glossary lists all of its words"),
        };
        return faults(&problem.into());
    }
    print(&readable(page.trim()));
    Exit::Done
}
