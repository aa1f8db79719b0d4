//! Ground and bearing along the walls.

use num_rational::BigRational;

use super::text;
use crate::footing::{FootingPiece, Layout};
use crate::listing::{Amount, listings};
use crate::measure::{Length, Nm};
use crate::survey::{Governs, GroundKind, LineOrigin, governing};
use crate::takeoff::{WallJob, place_on_wall};

listings! {
    GROUND_LINES = "ground_lines", "where each ground line comes from and how many points it has", for Crew, by ["ground"]: GroundLine {
        ground: &'static str, "which line, for pages and programs: finished_low, bearing or existing";
        line: &'static str, "finished grade on the low side, top of bearing or existing ground";
        origin: String, "where it comes from";
        derived: bool, "whether it is another line less a length";
        supports: usize, "number of its points";
        from: Nm, "running station of the first point";
        to: Nm, "running station of the last point";
        largest_gap: Nm, "largest distance between neighbouring points";
        gap_limit: Option<Nm>, "largest gap without a flag";
        over_limit: bool, "whether it is flagged";
    }
    GROUND_SUPPORTS = "ground_supports", "the points of the ground lines", for Crew, by ["ground", "chain"]: GroundSupport {
        ground: &'static str, "which line, for pages and programs: finished_low, bearing or existing";
        line: &'static str, "finished grade on the low side, top of bearing or existing ground";
        chain: Nm, "running station";
        elevation: Nm, "elevation";
    }
    GROUND_SAMPLES = "ground_samples", "ground, required bottom and dug bottom at even stations", for Crew, by ["chain"]: GroundSample {
        chain: Nm, "running station";
        place: String, "wall and local station";
        finished_low: Amount<Length>, "finished grade on the low side";
        bearing: Amount<Length>, "top of bearing";
        existing: Amount<Length>, "existing ground";
        required: Amount<Length>, "the bottom of footing may be no higher";
        governs: String, "frost, cover, bearing or both";
        bof: Option<Nm>, "bottom of footing as laid out";
    }
    GOVERNING = "governing", "what governs the depth of the bottom, and where", for Crew, by ["from"]: Governing {
        place: String, "wall and local station of its start";
        from: Nm, "running station of its start";
        to: Nm, "running station of its end";
        governs: String, "frost, cover, bearing or both";
    }
    PROFILE = "profile", "corner points of the stepped lines along the walls", for Crew, by []: Profile {
        code: &'static str, "which line, for pages and programs: bottom, top_of_footing, top_of_wall or key";
        line: &'static str, "bottom of footing, top of footing, top of wall or bottom of key";
        chain: Nm, "running station";
        elevation: Nm, "elevation";
    }
}

fn height(job: &WallJob, value: BigRational) -> Amount<Length> {
    Amount::new(value, job.style.system.length())
}

/// The ground lines of a job.
pub(crate) fn lines(job: &WallJob) -> Vec<GroundLine> {
    let row = |line: &crate::survey::GroundLine| {
        let (first, last) = line.supported();
        GroundLine {
            ground: line.kind.key(),
            line: line.kind.words(),
            origin: text(match &line.origin {
                LineOrigin::Shots(code, section) => {
                    let how = section.words(line.kind, |length| job.style.system.show(length));
                    match code.as_str() {
                        "" => format!("shots without a code{how}"),
                        code => format!("shots {code}{how}"),
                    }
                }
                LineOrigin::Listed => "list in the job".to_owned(),
                LineOrigin::Offset(from, below) => {
                    format!("DERIVED: {} under {}", job.style.system.show(*below), from.words())
                }
            }),
            derived: matches!(line.origin, LineOrigin::Offset(..)),
            supports: line.line.knots().len(),
            from: first,
            to: last,
            largest_gap: line.largest_gap,
            gap_limit: line.gap_limit,
            over_limit: line.gap_over_limit(),
        }
    };
    job.site.ground.lines().into_iter().map(row).collect()
}

pub(super) fn supports(job: &WallJob) -> Vec<GroundSupport> {
    let of_line = |line: &crate::survey::GroundLine| {
        let (ground, words) = (line.kind.key(), line.kind.words());
        let row =
            |(s, z): &(Nm, Nm)| GroundSupport { ground, line: words, chain: *s, elevation: *z };
        line.line.knots().iter().map(row).collect::<Vec<_>>()
    };
    job.site.ground.lines().into_iter().flat_map(of_line).collect()
}

/// Most rows of the sample table, whatever the interval.
const MOST_SAMPLES: i64 = 5_000;

pub(super) fn samples(job: &WallJob, layout: Option<&Layout>) -> Vec<GroundSample> {
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
        GroundSample {
            chain: s,
            place: place_on_wall(job, s),
            finished_low: on(GroundKind::FinishedLow),
            bearing: on(GroundKind::Bearing),
            existing: on(GroundKind::Existing),
            required: height(job, site.ground.required(depths, thickness, s)),
            governs: text(governing(&site.ground, depths, thickness, s).name()),
            bof: part.map(|part| part.bof),
        }
    };
    let count = end.0 / interval;
    (0..=count).map(|n| row(Nm(n * interval))).collect()
}

/// Stretches over which one thing governs, along the dug bottom.
pub(super) fn governs(job: &WallJob, layout: &Layout) -> Vec<Governing> {
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
    let row = |(from, to, what): &(Nm, Nm, Governs)| Governing {
        place: place_on_wall(job, *from),
        from: *from,
        to: *to,
        governs: text(what.name()),
    };
    stretches.iter().map(row).collect()
}

/// Corner points of the stepped lines, for a chart.
pub(super) fn profile(layout: &Layout) -> Vec<Profile> {
    let mut rows = Vec::new();
    let mut enter = |(code, line): (&'static str, &'static str), s: Nm, z: Nm| {
        rows.push(Profile { code, line, chain: s, elevation: z });
    };
    for part in &layout.bottom {
        enter(("bottom", "bottom of footing"), part.from, part.bof);
        enter(("bottom", "bottom of footing"), part.to, part.bof);
    }
    for piece in &layout.footings {
        enter(("top_of_footing", "top of footing"), piece.from, piece.tof);
        enter(("top_of_footing", "top of footing"), piece.to, piece.tof);
    }
    for piece in &layout.stems {
        enter(("top_of_wall", "top of wall"), piece.from, piece.top.at_from);
        enter(("top_of_wall", "top of wall"), piece.to, piece.top.at_to);
    }
    // Where a footing has no key, the line runs along its bottom.
    let deep = |piece: &FootingPiece| layout.site.types[piece.kind].key.map(|key| key.depth);
    if layout.footings.iter().any(|piece| deep(piece).is_some()) {
        for piece in &layout.footings {
            let bottom = piece.bof - deep(piece).unwrap_or(Nm::ZERO);
            enter(("key", "bottom of key"), piece.from, bottom);
            enter(("key", "bottom of key"), piece.to, bottom);
        }
    }
    rows
}
