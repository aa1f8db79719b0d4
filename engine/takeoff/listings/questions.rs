//! Questions to the engineer of record: what the plan shows, what the rules of the job require, what is proposed.

use super::others::findings;
use super::{DrawnWork, Facts};
use crate::footing::{Layout, local};
use crate::listing::listings;
use crate::measure::titled;
use crate::takeoff::{Caution, PROPOSAL, WallJob};

listings! {
    QUESTIONS = "questions", "questions to the engineer of record", for Engineer, by ["number"]: Question {
        number: usize, "its number";
        about: String, "what it is about";
        plan: String, "what the plan shows, or that it says nothing";
        asked: String, "what the rules of the job require";
        proposal: String, "what is proposed";
    }
}

/// Cautions that an engineer answers, each with the words that stand for what the plan shows.
const ASKED: [(&str, &str); 8] = [
    ("ground over the toe", "depth of ground over the toe"),
    ("lap", "laps of the bars"),
    ("derived ground", "ground lines without shots of their own"),
    ("gap in the shots", "ground between shots that are far apart"),
    ("footings that meet", "footings that meet"),
    ("crossing footing", "footings that meet"),
    ("top of wall", "tops of the walls"),
    ("flat end", "ground beyond the last shots"),
];

/// Most places that one question names.
const MOST_PLACES: usize = 12;

/// Places, one after the other, as far as they can be read.
fn places(all: &[String]) -> String {
    let more = all.len().saturating_sub(MOST_PLACES);
    let shown = all[..all.len() - more].join("\n");
    if more == 0 { shown } else { format!("{shown}\nand {more} more") }
}

/// The steps of a layout in words.
fn steps_of(job: &WallJob, layout: &Layout) -> String {
    let system = job.style.system;
    let step = |step: &crate::footing::Step| {
        let (wall, station, _) = local(&job.site, step.wall, step.station, step.cut());
        format!(
            "{wall} {}: {} to {}",
            system.tape(station, 16),
            system.show(step.tof_before),
            system.show(step.tof_after)
        )
    };
    match layout.steps.as_slice() {
        [] => "no steps".to_owned(),
        steps => places(&steps.iter().map(step).collect::<Vec<_>>()),
    }
}

pub(super) fn questions(facts: &Facts, layout: &Layout) -> Vec<Question> {
    let job = facts.job;
    let mut rows = Vec::new();
    let mut ask = |about: String, plan: String, asked: String, proposal: String| {
        rows.push(Question { number: rows.len() + 1, about, plan, asked, proposal });
    };
    let drawn = facts.drawn();
    // Where the steps of the plan are bid, the proposal is still the layout of least cost.
    let proposed = facts.least_cost().unwrap_or(layout);
    ask(
        "Footing steps".to_owned(),
        match drawn {
            Some(work) => steps_of(job, &work.drawn.layout),
            None => "no steps of the plan have been entered".to_owned(),
        },
        "Steps on the joints of the forms, by the rules on sheet Rules".to_owned(),
        format!("{}\n{PROPOSAL} Please accept, or say what to change", steps_of(job, proposed)),
    );
    if let Some(work) = drawn {
        for (rule, found) in by_rule(job, work) {
            let (plan, asked): (Vec<String>, Vec<&str>) = found.into_iter().unzip();
            ask(
                format!("Steps as drawn: {rule}"),
                places(&plan),
                asked.first().copied().unwrap_or_default().to_owned(),
                "As in question 1, or say which holds".to_owned(),
            );
        }
    }
    if job.allowances.soil.is_none() {
        ask(
            "Soil class".to_owned(),
            "no soil class is stated to us".to_owned(),
            "The layback of the excavation rests on it; without a class the published default holds".to_owned(),
            "Please state the class, or confirm that a competent person decides on site".to_owned(),
        );
    }
    for (about, plan) in ASKED {
        let told: Vec<String> = facts
            .cautions
            .iter()
            .filter(|caution| caution.about == about)
            .map(|Caution { place, text, .. }| match place.as_str() {
                "" => text.clone(),
                place => format!("{place}: {text}"),
            })
            .collect();
        if !told.is_empty() {
            ask(
                titled(about),
                plan.to_owned(),
                places(&told),
                "Please confirm, or say what holds".to_owned(),
            );
        }
    }
    rows
}

/// What was found of the drawn steps, by rule in the order in which they first stand: each place with what was found, and
/// whether a rule is not met.
fn by_rule(job: &WallJob, work: &DrawnWork) -> Vec<(String, Vec<(String, &'static str)>)> {
    let mut rules: Vec<(String, Vec<(String, &'static str)>)> = Vec::new();
    for row in findings(job, &work.drawn) {
        let station = row.station_tape.unwrap_or_else(|| job.style.system.show(row.station));
        let found = (
            format!("{} {station}: {}", row.wall, row.what),
            if row.severity == "remark" {
                "Not as the schedule has it; no rule of the job forbids it"
            } else {
                "The rule is not met as drawn"
            },
        );
        match rules.iter_mut().find(|(rule, _)| *rule == row.rule) {
            Some((_, all)) => all.push(found),
            None => rules.push((row.rule, vec![found])),
        }
    }
    rules
}
