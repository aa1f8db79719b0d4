//! Marks: rod and story pole for every level of the work, what rounding costs each, and how they close.

use std::collections::BTreeSet;

use super::steps::tape;
use crate::footing::Layout;
use crate::listing::{Amount, listings};
use crate::measure::{Length, Nm, System, feet_inches, round};
use crate::survey::Benchmark;
use crate::takeoff::WallJob;

/// Whose limit the tolerance is.
const WHOSE: &str =
    "tolerance of the job (benchmark.tolerance); common practice, the specification governs";

listings! {
    MARKS = "marks", "rod and story pole for every level of the work, each from the benchmark", for Crew, by ["what", "elevation"]: MarkRow {
        what: &'static str, "bottom of key, bottom of footing, top of footing, top of wall";
        elevation: Nm, "elevation";
        rod: Nm, "rod reading, exact";
        rod_tape: Option<String>, "the same to 1/16 in";
        rod_error: Amount<Length>, "what rounding makes of it: printed less exact";
        rod_hundredths: Option<Amount<Length>>, "to 0.01 ft";
        hundredths_error: Option<Amount<Length>>, "printed less exact";
        pole: Option<Nm>, "mark on the story pole, exact";
        pole_tape: Option<String>, "the same to 1/16 in";
        pole_error: Option<Amount<Length>>, "printed less exact";
        remark: &'static str, "what cannot be read on a rod";
    }
    MARK_BUDGET = "mark_budget", "what rounding takes of the tolerance: each reading and mark may be off by half a step", for Crew, by ["graduation"]: MarkBudget {
        graduation: &'static str, "what rod and marks are graduated in";
        backsight: Amount<Length>, "on the benchmark";
        reading: Amount<Length>, "on the mark";
        mark: Amount<Length>, "of the mark itself";
        sum: Amount<Length>, "all of them";
        tolerance: Amount<Length>, "tolerance of a step";
        left: Amount<Length>, "what is left for setting the form; under 0 there is none";
        whose: &'static str, "whose limit the tolerance is";
    }
    MARK_CLOSURE = "mark_closure", "how the printed tops of footing close along the walls", for Crew, by ["what"]: MarkClosure {
        what: &'static str, "each from the benchmark, neighbouring steps, first to last";
        worst: Amount<Length>, "largest error";
        limit: Amount<Length>, "tolerance";
        over: Amount<Length>, "how much the error is over it, or 0";
        whose: &'static str, "whose limit the tolerance is";
    }
}

/// The levels of the work, from the lowest: kind and elevation.
fn levels(layout: &Layout) -> Vec<(&'static str, Nm)> {
    let site = &layout.site;
    let keys = layout.footings.iter().filter_map(|piece| {
        let key = site.types[piece.kind].key?;
        Some(piece.bof - key.depth)
    });
    let each = |what: &'static str, all: BTreeSet<Nm>| all.into_iter().map(move |z| (what, z));
    each("bottom of key", keys.collect())
        .chain(each("bottom of footing", layout.bottom.iter().map(|part| part.bof).collect()))
        .chain(each("top of footing", layout.footings.iter().map(|piece| piece.tof).collect()))
        .chain(each(
            "top of wall",
            layout.stems.iter().flat_map(|piece| [piece.top.at_from, piece.top.at_to]).collect(),
        ))
        .collect()
}

/// What a mark is rounded to: a sixteenth of an inch, or a millimetre.
fn step(job: &WallJob) -> Nm {
    match job.style.system {
        System::Us => Nm(Nm::INCH.0 / 16),
        System::Metric => Nm::MILLIMETRE,
    }
}

fn printed(job: &WallJob, exact: Nm) -> (Nm, Nm) {
    let printed = round::nearest_step(exact, step(job));
    (printed, printed - exact)
}

pub(super) fn marks(job: &WallJob, layout: &Layout, mark: &Benchmark) -> Vec<MarkRow> {
    let us = job.style.system == System::Us;
    let small = |length: Nm| Amount::length(length, job.style.system.small());
    let row = |(what, elevation): (&'static str, Nm)| {
        let rod = mark.reading(elevation);
        let (rod_printed, rod_error) = printed(job, rod.exact);
        let (hundredths, hundredths_error) = rod.hundredths();
        let pole = mark.pole.map(|pole| pole - (elevation - mark.elevation));
        let pole_printed = pole.map(|pole| printed(job, pole));
        MarkRow {
            what,
            elevation,
            rod: rod.exact,
            rod_tape: tape(job, rod_printed),
            rod_error: small(rod_error),
            rod_hundredths: us.then(|| Amount::length(hundredths, "ft")),
            hundredths_error: us.then(|| small(hundredths_error)),
            pole,
            pole_tape: pole_printed.filter(|_| us).map(|(printed, _)| feet_inches(printed, 16)),
            pole_error: pole_printed.map(|(_, error)| small(error)),
            remark: match (rod.exact < Nm::ZERO, pole.is_some_and(|pole| pole < Nm::ZERO)) {
                (true, _) => "over the line of sight: no rod reads it",
                (_, true) => "over the upper end of the pole",
                _ => "",
            },
        }
    };
    levels(layout).into_iter().map(row).collect()
}

pub(super) fn budget(job: &WallJob, mark: &Benchmark) -> Vec<MarkBudget> {
    let small = job.style.system.small();
    let row = |(graduation, step, mark_step): (&'static str, Nm, Nm)| {
        let (reading, own) = (step.0, mark_step.0);
        // Half a step each: kept in twos so that a half of an odd number is not lost.
        let half = |step: i64| Amount::new(crate::measure::ratio(step.into(), 2), small);
        let sum = reading * 2 + own;
        MarkBudget {
            graduation,
            backsight: half(reading),
            reading: half(reading),
            mark: half(own),
            sum: half(sum),
            tolerance: Amount::length(mark.tolerance, small),
            left: half(mark.tolerance.0 * 2 - sum),
            whose: WHOSE,
        }
    };
    let sixteenth = Nm(Nm::INCH.0 / 16);
    let rows = match job.style.system {
        System::Us => vec![
            ("sixteenths of an inch", sixteenth, sixteenth),
            ("hundredths of a foot", Nm(Nm::FOOT.0 / 100), Nm::ZERO),
        ],
        System::Metric => vec![("millimetres", Nm::MILLIMETRE, Nm::MILLIMETRE)],
    };
    rows.into_iter().map(row).collect()
}

pub(super) fn closure(job: &WallJob, layout: &Layout, mark: &Benchmark) -> Vec<MarkClosure> {
    let small = job.style.system.small();
    let mut tops: Vec<Nm> = layout.footings.iter().map(|piece| piece.tof).collect();
    tops.dedup();
    let errors: Vec<Nm> = tops.iter().map(|tof| printed(job, mark.reading(*tof).exact).1).collect();
    let worst = |all: Vec<Nm>| all.into_iter().map(Nm::abs).max().unwrap_or(Nm::ZERO);
    let neighbours = errors.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let ends = errors.first().zip(errors.last()).map(|(first, last)| *last - *first);
    let row = |(what, worst): (&'static str, Nm)| MarkClosure {
        what,
        worst: Amount::length(worst, small),
        limit: Amount::length(mark.tolerance, small),
        over: Amount::length((worst - mark.tolerance).max(Nm::ZERO), small),
        whose: WHOSE,
    };
    [
        ("each from the benchmark", worst(errors.clone())),
        ("neighbouring steps", worst(neighbours)),
        ("first to last", worst(ends.into_iter().collect())),
    ]
    .into_iter()
    .map(row)
    .collect()
}
