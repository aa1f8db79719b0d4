//! Why there is no layout, as records.

use num_rational::BigRational;

use super::{Facts, columns};
use crate::footing::NoLayout;
use crate::measure::{Dimension, Exact, Nm};
use crate::takeoff::{Datum, RecordSet, WallJob, place_on_wall};

pub(super) fn sets(facts: &Facts) -> Vec<RecordSet> {
    let mut sets = vec![problems(facts)];
    match facts.no_layout {
        Some(NoLayout::TooLow { .. }) => sets.extend(too_low(facts)),
        Some(NoLayout::NoType(stretches)) => sets.push(RecordSet {
            name: "no_type",
            about: "stretches where no level of the range has a wall type",
            columns: columns![
                ("from", "chain station of its start"),
                ("to", "chain station of its end"),
                ("top", "top of wall")
            ],
            rows: stretches
                .iter()
                .map(|(from, to, top)| [from, to, top].map(|x| Datum::Length(*x)).to_vec())
                .collect(),
        }),
        Some(NoLayout::Rules(furthest)) => sets.push(RecordSet {
            name: "furthest_reached",
            about: "how far a legal run reaches under the joint, run and riser rules",
            columns: columns![("chain", "chain station"), ("place", "wall and local station")],
            rows: vec![vec![
                Datum::Length(*furthest),
                Datum::text(place_on_wall(facts.job, *furthest)),
            ]],
        }),
        Some(NoLayout::Fault(_)) | None => {}
    }
    sets
}

fn length(job: &WallJob, value: &BigRational) -> Datum {
    Datum::Amount(
        Exact { value: value.clone(), dimension: Dimension::LENGTH },
        job.system.length().to_owned(),
    )
}

fn too_low(facts: &Facts) -> Vec<RecordSet> {
    let Some(NoLayout::TooLow { stretches, worst }) = facts.no_layout else { return Vec::new() };
    let job = facts.job;
    let exact = |length: Nm| Datum::Length(length);
    vec![
        RecordSet {
            name: "too_low",
            about: "stretches where the required line is under the lowest bottom that a type allows",
            columns: columns![
                ("from", "chain station of its start"),
                ("to", "chain station of its end")
            ],
            rows: stretches
                .iter()
                .map(|stretch| vec![length(job, &stretch.from), length(job, &stretch.to)])
                .collect(),
        },
        RecordSet {
            name: "shortfall",
            about: "the worst place of those stretches",
            columns: columns![
                ("chain", "chain station"),
                ("place", "wall and local station"),
                ("required", "required bottom"),
                ("lowest_bottom", "lowest bottom that a type allows"),
                ("short_by", "how much too high that is"),
                ("next_stem", "stem height one level lower"),
                ("tallest", "tallest stem that a type carries"),
            ],
            rows: vec![vec![
                exact(worst.station),
                Datum::text(place_on_wall(job, worst.station)),
                length(job, &worst.required),
                exact(worst.lowest_bottom),
                length(job, &worst.short_by),
                exact(worst.next_stem),
                exact(worst.tallest),
            ]],
        },
    ]
}

fn problems(facts: &Facts) -> RecordSet {
    let row = |problem: &crate::problem::Problem| {
        let details = problem.details.iter().map(|detail| vec![Datum::Blank, Datum::text(detail)]);
        let help = problem.help.iter().map(|help| vec![Datum::text("help"), Datum::text(help)]);
        let head = vec![Datum::text(problem.severity.to_string()), Datum::text(&problem.message)];
        std::iter::once(head).chain(details).chain(help).collect::<Vec<_>>()
    };
    RecordSet {
        name: "problems",
        about: "why there is no legal layout",
        columns: columns![
            ("severity", "error, or what follows"),
            ("message", "what is in the way")
        ],
        rows: facts.problems.iter().flat_map(row).collect(),
    }
}
