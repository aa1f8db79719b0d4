//! A company's rule that does not answer the same twice stops the layout.

use std::sync::atomic::{AtomicI64, Ordering};

use rodbook::footing::{Fact, Hooks, NoLayout, RuleAnswer, RuleHook, StepHooks, lay_out};
use rodbook::job::{Job, OpenOptions};
use rodbook::measure::{Nm, Quantity};
use rodbook::problem::{Outcome, Place, Problem};

use crate::support::Folder;

/// Answers one inch more from each time to the next, or the same each time.
struct Inches {
    asked: AtomicI64,
    more: i64,
}

impl StepHooks for Inches {
    fn by(&self, hook: RuleHook) -> Option<&str> {
        (hook == RuleHook::Overlap).then_some("overlap of the test")
    }

    fn asks_where(&self, _: RuleHook) -> bool {
        false
    }

    fn ask(&self, _: RuleHook, _: &[(&'static str, Fact)]) -> Outcome<RuleAnswer> {
        let inches = 24 + self.more * self.asked.fetch_add(1, Ordering::Relaxed);
        Ok(RuleAnswer::Measure(Quantity::length(Nm::INCH * inches)))
    }

    fn place(&self, _: RuleHook, problem: Problem) -> Problem {
        problem.at(Place::file("overlap of the test"))
    }
}

#[test]
fn an_answer_that_changes_stops_the_layout() {
    let folder = Folder::new();
    for name in ["job.toml", "shots.csv"] {
        let text = rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled");
        folder.write(name, text);
    }
    let job = Job::open(&folder.0, &OpenOptions::default()).unwrap_or_else(|f| panic!("{f}"));
    let with = |more: i64| {
        let mut site = (*job.wall_job.site).clone();
        site.hooks = Hooks::new(Box::new(Inches { asked: AtomicI64::new(0), more }));
        lay_out(&site)
    };
    let steady = with(0).unwrap_or_else(|_| panic!("a layout"));
    assert!(!steady.steps.is_empty());
    assert!(steady.steps.iter().all(|step| step.overlap == Nm::INCH * 24));
    match with(1) {
        Err(NoLayout::Fault(faults)) => insta::assert_snapshot!(faults.to_string()),
        _ => panic!("the second answer differed from the first"),
    }
}
