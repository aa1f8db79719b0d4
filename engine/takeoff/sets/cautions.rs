//! Cautions, sources, and the facts of the job.

use std::collections::BTreeSet;

use super::{Facts, columns};
use crate::source;
use crate::takeoff::{Datum, RecordSet};

pub(super) fn sets(facts: &Facts) -> Vec<RecordSet> {
    vec![cautions(facts), sources(facts), people(facts)]
}

fn cautions(facts: &Facts) -> RecordSet {
    let row = |caution: &crate::takeoff::Caution| {
        vec![
            Datum::text(caution.about),
            Datum::text(&caution.place),
            Datum::text(&caution.text),
            Datum::text(caution.source),
        ]
    };
    RecordSet {
        name: "cautions",
        about: "what to watch; the engineer of record, local codes and licensed practice decide",
        columns: columns![
            ("about", "what it is about"),
            ("place", "where"),
            ("text", "what to watch"),
            ("source", "key of its source"),
        ],
        rows: facts.cautions.iter().map(row).collect(),
    }
}

fn sources(facts: &Facts) -> RecordSet {
    let mut used: BTreeSet<&str> = facts.cautions.iter().map(|caution| caution.source).collect();
    for line in facts.takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
        used.extend(&line.trail.sources);
    }
    used.insert("frost");
    let survey_feet = |list: &super::ListReport| list.units.contains("us_survey_ft");
    if facts.shots.is_some_and(|shots| shots.lists.iter().any(survey_feet)) {
        used.insert("survey-foot");
    }
    let row = |source: &source::Source| {
        vec![
            Datum::text(source.key),
            Datum::text(source.title),
            Datum::text(source.standing.to_string()),
        ]
    };
    RecordSet {
        name: "sources",
        about: "what the numbers and cautions rest on",
        columns: columns![
            ("key", "key"),
            ("title", "title, edition, clause"),
            ("standing", "how its authority was established"),
        ],
        rows: source::SOURCES.iter().filter(|source| used.contains(source.key)).map(row).collect(),
    }
}

fn people(facts: &Facts) -> RecordSet {
    let title = &facts.job.title;
    let all = [
        ("Owner", &title.owner),
        ("Contractor", &title.contractor),
        ("Engineer of record", &title.engineer),
        ("Surveyor", &title.surveyor),
        ("Remark", &title.remark),
    ];
    let mut rows: Vec<Vec<Datum>> = all
        .iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(what, value)| vec![Datum::text(*what), Datum::text(*value)])
        .collect();
    if let Some(date) = &title.date {
        rows.push(vec![Datum::text("Date"), Datum::text(date)]);
    }
    if let Some(mark) = &facts.job.benchmark {
        let shown = facts.job.system.show(mark.elevation);
        let what = if mark.what.is_empty() { String::new() } else { format!(" ({})", mark.what) };
        let hi = facts.job.system.show(mark.instrument_height());
        rows.push(vec![
            Datum::text("Benchmark"),
            Datum::text(format!("{}{what} {shown}; height of instrument {hi}", mark.id)),
        ]);
    }
    RecordSet {
        name: "people",
        about: "who and when",
        columns: columns![("what", "what"), ("value", "value")],
        rows,
    }
}
