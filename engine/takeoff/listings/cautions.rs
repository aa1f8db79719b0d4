//! Cautions, sources, and the facts of the job.

use std::collections::BTreeSet;

use super::{Facts, text};
use crate::listing::listings;
use crate::source::{self, Standing};

listings! {
    CAUTIONS = "cautions", "cautions; the engineer of record, local codes and licensed practice decide", for Crew, by []: CautionRow {
        about: String, "what it is about";
        place: String, "where";
        text: String, "the caution";
        source: String, "key of its source";
    }
    SOURCES = "sources", "what the numbers and cautions rest on", for Engineer, by ["key"]: SourceRow {
        key: String, "key";
        title: String, "title, edition, clause";
        standing: String, "how its authority was established";
        kind: &'static str, "published or other";
    }
    PEOPLE = "people", "who and when", for Crew, by ["what"]: Person {
        what: String, "what";
        value: String, "value";
    }
}

pub(super) fn cautions(facts: &Facts) -> Vec<CautionRow> {
    let row = |caution: &crate::takeoff::Caution| CautionRow {
        about: text(caution.about),
        place: text(&caution.place),
        text: text(&caution.text),
        source: text(caution.source),
    };
    facts.cautions.iter().map(row).collect()
}

pub(super) fn sources(facts: &Facts) -> Vec<SourceRow> {
    let mut used: BTreeSet<&str> = facts.cautions.iter().map(|caution| caution.source).collect();
    for line in facts.takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
        used.extend(&line.trail.sources);
    }
    used.insert("frost");
    let survey_feet = |list: &super::ListReport| list.units.contains("us_survey_ft");
    if facts.job.shots.as_ref().is_some_and(|shots| shots.lists.iter().any(survey_feet)) {
        used.insert("survey-foot");
    }
    let row = |source: &source::Source| SourceRow {
        key: text(source.key),
        title: text(source.title),
        standing: source.standing.to_string(),
        kind: match source.standing {
            Standing::Published | Standing::Copy | Standing::Quoted => "published",
            _ => "other",
        },
    };
    source::SOURCES.iter().filter(|source| used.contains(source.key)).map(row).collect()
}

pub(super) fn people(facts: &Facts) -> Vec<Person> {
    let title = &facts.job.title;
    let all = [
        ("Owner", &title.owner),
        ("Contractor", &title.contractor),
        ("Engineer of record", &title.engineer),
        ("Surveyor", &title.surveyor),
        ("Remark", &title.remark),
    ];
    let mut rows: Vec<Person> = all
        .iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(what, value)| Person { what: text(*what), value: text(*value) })
        .collect();
    if let Some(date) = &title.date {
        rows.push(Person { what: text("Date"), value: text(date) });
    }
    if let Some(mark) = &facts.job.benchmark {
        let shown = facts.job.style.system.show(mark.elevation);
        let what = if mark.what.is_empty() { String::new() } else { format!(" ({})", mark.what) };
        let hi = facts.job.style.system.show(mark.instrument_height());
        rows.push(Person {
            what: text("Benchmark"),
            value: format!("{}{what} {shown}; height of instrument {hi}", mark.id),
        });
    }
    rows
}
