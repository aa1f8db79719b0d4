//! Ground and bearing along the walls.

use num_rational::BigRational;

use super::columns;
use crate::footing::Layout;
use crate::measure::{Dimension, Exact, Nm};
use crate::survey::{Governs, GroundKind, LineOrigin, governing};
use crate::takeoff::{Datum, RecordSet, WallJob, place_on_wall};

pub(super) fn sets(job: &WallJob, layout: Option<&Layout>) -> Vec<RecordSet> {
    let mut sets = vec![lines(job), supports(job), samples(job, layout)];
    if let Some(layout) = layout {
        sets.push(governs(job, layout));
        sets.push(profile(layout));
    }
    sets
}

fn height(job: &WallJob, value: BigRational) -> Datum {
    Datum::Amount(Exact { value, dimension: Dimension::LENGTH }, job.system.length().to_owned())
}

fn lines(job: &WallJob) -> RecordSet {
    let row = |line: &crate::survey::GroundLine| {
        let (first, last) = line.supported();
        vec![
            Datum::text(line.kind.key()),
            Datum::text(match &line.origin {
                LineOrigin::Shots(code, section) => {
                    let how = section.words(line.kind, |length| job.system.show(length));
                    match code.as_str() {
                        "" => format!("shots without a code{how}"),
                        code => format!("shots {code}{how}"),
                    }
                }
                LineOrigin::Listed => "list in the job".to_owned(),
                LineOrigin::Offset(from, below) => {
                    format!("DERIVED: {} under {}", job.system.show(*below), from.words())
                }
            }),
            Datum::Flag(matches!(line.origin, LineOrigin::Offset(..))),
            Datum::count(line.line.knots().len()),
            Datum::Length(first),
            Datum::Length(last),
            Datum::Length(line.largest_gap),
            line.gap_limit.map_or(Datum::Blank, Datum::Length),
            Datum::Flag(line.gap_over_limit()),
        ]
    };
    RecordSet {
        name: "ground_lines",
        about: "where each ground line comes from and how it is supported",
        columns: columns![
            ("ground", "finished_low, bearing or existing"),
            ("origin", "where it comes from"),
            ("derived", "whether it is another line less a length"),
            ("supports", "number of supports"),
            ("from", "chain station of the first support"),
            ("to", "chain station of the last support"),
            ("largest_gap", "largest distance between neighbouring supports"),
            ("gap_limit", "largest gap without a flag"),
            ("over_limit", "whether it is flagged"),
        ],
        rows: job.site.ground.lines().into_iter().map(row).collect(),
    }
}

fn supports(job: &WallJob) -> RecordSet {
    let of_line = |line: &crate::survey::GroundLine| {
        let key = line.kind.key();
        let row = |(s, z): &(Nm, Nm)| vec![Datum::text(key), Datum::Length(*s), Datum::Length(*z)];
        line.line.knots().iter().map(row).collect::<Vec<_>>()
    };
    RecordSet {
        name: "ground_supports",
        about: "the supports of the ground lines",
        columns: columns![
            ("ground", "finished_low, bearing or existing"),
            ("chain", "chain station"),
            ("elevation", "elevation"),
        ],
        rows: job.site.ground.lines().into_iter().flat_map(of_line).collect(),
    }
}

/// Most rows of the sample table, whatever the interval.
const MOST_SAMPLES: i64 = 5_000;

fn samples(job: &WallJob, layout: Option<&Layout>) -> RecordSet {
    let site = &job.site;
    let end = site.chain.length();
    let interval = job.ground_interval.0.max(end.0 / MOST_SAMPLES).max(1);
    let row = |s: Nm| {
        let on = |kind: GroundKind| height(job, site.ground.line(kind).line.height(s).real());
        // Cover over the toe depends on the footing: without a layout, frost and bearing alone.
        let part = layout.and_then(|l| l.bottom.iter().rev().find(|part| part.from <= s));
        let thickness = part.map(|part| site.types[part.kind].thickness);
        let depths = &site.rules.depths;
        let thickness = thickness.unwrap_or(Nm::ZERO);
        vec![
            Datum::Length(s),
            Datum::text(place_on_wall(job, s)),
            on(GroundKind::FinishedLow),
            on(GroundKind::Bearing),
            on(GroundKind::Existing),
            height(job, site.ground.required(depths, thickness, s)),
            Datum::text(governing(&site.ground, depths, thickness, s).name()),
            part.map_or(Datum::Blank, |part| Datum::Length(part.bof)),
        ]
    };
    let count = end.0 / interval;
    RecordSet {
        name: "ground_samples",
        about: "ground, required bottom and dug bottom at even stations",
        columns: columns![
            ("chain", "chain station"),
            ("place", "wall and local station"),
            ("finished_low", "finished grade on the low side"),
            ("bearing", "top of bearing"),
            ("existing", "existing ground"),
            ("required", "the bottom of footing may be no higher"),
            ("governs", "frost, cover, bearing or both"),
            ("bof", "bottom of footing as laid out"),
        ],
        rows: (0..=count).map(|n| row(Nm(n * interval))).collect(),
    }
}

/// Stretches over which one thing governs, along the dug bottom.
fn governs(job: &WallJob, layout: &Layout) -> RecordSet {
    let site = &job.site;
    let depths = &site.rules.depths;
    let mut stretches: Vec<(Nm, Nm, Governs)> = Vec::new();
    for part in &layout.bottom {
        let thickness = site.types[part.kind].thickness;
        for pair in site.ground.bends(depths, thickness, part.from, part.to).windows(2) {
            // Where the two lines cross the bend is a nanometre wide: it belongs to what follows.
            let middle = Nm(pair[0].0 + (pair[1].0 - pair[0].0) / 2);
            let what = governing(&site.ground, depths, thickness, middle);
            match stretches.last_mut() {
                Some(last) if last.2 == what || pair[1] - pair[0] <= Nm(1) => last.1 = pair[1],
                _ => stretches.push((pair[0], pair[1], what)),
            }
        }
    }
    let row = |(from, to, what): &(Nm, Nm, Governs)| {
        vec![
            Datum::text(place_on_wall(job, *from)),
            Datum::Length(*from),
            Datum::Length(*to),
            Datum::text(what.name()),
        ]
    };
    RecordSet {
        name: "governing",
        about: "what governs the depth of the bottom, and where",
        columns: columns![
            ("place", "wall and local station of its start"),
            ("from", "chain station of its start"),
            ("to", "chain station of its end"),
            ("governs", "frost, cover, bearing or both"),
        ],
        rows: stretches.iter().map(row).collect(),
    }
}

/// Corner points of the stepped lines, for a chart.
fn profile(layout: &Layout) -> RecordSet {
    let mut rows = Vec::new();
    let mut enter = |what: &str, s: Nm, z: Nm| {
        rows.push(vec![Datum::text(what), Datum::Length(s), Datum::Length(z)]);
    };
    for part in &layout.bottom {
        enter("bottom of footing", part.from, part.bof);
        enter("bottom of footing", part.to, part.bof);
    }
    for piece in &layout.footings {
        enter("top of footing", piece.from, piece.tof);
        enter("top of footing", piece.to, piece.tof);
    }
    for piece in &layout.stems {
        enter("top of wall", piece.from, piece.top);
        enter("top of wall", piece.to, piece.top);
    }
    RecordSet {
        name: "profile",
        about: "corner points of the stepped lines along the chain",
        columns: columns![
            ("line", "bottom of footing, top of footing or top of wall"),
            ("chain", "chain station"),
            ("elevation", "elevation"),
        ],
        rows,
    }
}
