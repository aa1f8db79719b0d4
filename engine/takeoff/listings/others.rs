//! Other layouts beside the least-cost one: as the plan draws it, with the datum moved, without what is set by hand.

use num_rational::BigRational;

use super::quantities::PartRow;
use super::steps::{StepRow, money, nano, tape};
use super::text;
use crate::footing::{
    BottomPart, DatumOffset, DrawnFinding, DrawnLayout, Finding, Layout, LockKind, Restriction,
    System, Without,
};
use crate::listing::{Amount, AnyAmount, Datum, Declaration, listings};
use crate::measure::{Dimension, Exact, Length, Money, Nm, decimal_places, feet_inches, ratio};
use crate::takeoff::{Takeoff, WallJob, place_on_wall};

listings! {
    DRAWN_COSTS = "drawn_costs", "the steps as drawn beside the least-cost ones, by the layout rates; not a price", for Office, by ["what"]: DrawnCost {
        code: &'static str, "which layout or part of it, for pages and programs: pieces, steps, drawn, least_cost or over";
        what: &'static str, "which layout, or part of it";
        cost: Amount<Money>, "cost";
        cost_nano: String, "cost as the exact whole number of 1e-9 of the currency";
    }
    DRAWN_BOTTOM = "drawn_bottom", "the dug bottom of the steps as drawn", for Crew, by ["from"]: DrawnBottom {
        from: Nm, "running station of its start";
        to: Nm, "running station of its end";
        bof: Nm, "bottom of footing";
        width: Nm, "footing width";
    }
    DRAWN_FINDINGS = "drawn_findings", "every rule of the job that the drawn steps do not meet, in order along the walls, then remarks", for Engineer, by []: FindingRow {
        severity: String, "rule not met, or remark";
        kind: String, "which rule, for machines";
        rule: String, "which rule";
        wall: String, "wall";
        station: Nm, "local station";
        station_tape: Option<String>, "the same in feet and inches";
        chain: Datum, "running station, or where the stretch starts";
        chain_to: Datum, "where the stretch ends";
        worst_chain: Option<Nm>, "its worst place";
        what: String, "in words";
        value: Datum, "as drawn";
        expected: Datum, "what the rule requires";
        by: Datum, "the difference";
        throat: Option<Nm>, "concrete through the step";
        throat_needed: Option<Nm>, "what the rule requires";
        governs: Option<&'static str>, "what governs the bottom";
        drawn_type: Option<String>, "the drawn type";
    }
    DRAWN_LINES = "drawn_lines", "quantities of the steps as drawn beside those of the least-cost ones", for Office, by ["id"]: DrawnLine {
        id: String, "id of the line";
        label: String, "what it is";
        unit: String, "unit";
        drawn: Option<AnyAmount>, "as drawn";
        least_cost: Option<AnyAmount>, "least cost";
        difference: Option<AnyAmount>, "as drawn less least cost";
    }
    DATUM_SWEEP = "datum_sweep", "the layout with the datum of the levels moved by parts of a rise", for Office, by ["level_0"]: DatumSweep {
        level_0: Nm, "top of footing at level 0";
        level_0_tape: Option<String>, "the same in feet and inches";
        feasible: bool, "whether a layout is legal";
        cost: Option<Amount<Money>>, "cost by the layout rates";
        cost_nano: Option<String>, "cost as the exact whole number of 1e-9";
        steps: Option<usize>, "number of steps";
        tops_above_course: String, "how far the tops of the walls are above a course";
        remark: String, "the least of them, or that none is legal";
    }
    DATUM_STEPS = "datum_steps", "the steps of each moved datum", for Office, by ["level_0", "chain"]: DatumStep {
        level_0: Nm, "top of footing at level 0";
        place: String, "wall and local station";
        chain: Nm, "running station";
        level_before: Option<i64>, "level before it";
        level_after: Option<i64>, "level after it";
    }
    DATUM_TOPS = "datum_tops", "how far the tops of the walls are above a course, for each moved datum", for Office, by []: DatumTop {
        level_0: Nm, "top of footing at level 0";
        above_course: Amount<Length>, "how far a top is above a course";
    }
    SET_BY_HAND = "set_by_hand", "locks and stretches without steps, and what each costs by the layout rates", for Office, by []: SetByHand {
        what: String, "what is asked for";
        place: String, "wall and local stations";
        why: String, "why";
        costs: Option<Amount<Money>>, "the least cost with it less that without it";
        costs_nano: Option<String>, "the same as the exact whole number of 1e-9";
        steps_without: Option<usize>, "number of steps without it";
        remark: String, "whether it is what stands in the way";
    }
}

/// The steps as drawn, with their quantities if the wall case could take them off.
#[derive(Debug, Clone)]
pub struct DrawnWork {
    /// The layout and what was found about it.
    pub drawn: DrawnLayout,
    /// Its quantities.
    pub takeoff: Option<Takeoff>,
}

/// Listings of the steps as drawn that need their layout alone.
pub(super) const OF_DRAWN_STEPS: [&str; 4] =
    [DRAWN_COSTS.name, DRAWN_STEPS.name, DRAWN_BOTTOM.name, DRAWN_FINDINGS.name];

/// The steps as the plan draws them.
pub(super) const DRAWN_STEPS: Declaration =
    Declaration::of::<StepRow>("drawn_steps", "the steps as the plan draws them", &["step"]);
/// The parts of the measured lines, as drawn.
pub(super) const DRAWN_PARTS: Declaration =
    Declaration::of::<PartRow>("drawn_parts", "the parts of the measured lines, as drawn", &[]);

pub(super) fn costs(job: &WallJob, drawn: &DrawnLayout, layout: Option<&Layout>) -> Vec<DrawnCost> {
    let steps: i128 = drawn.layout.steps.iter().map(|step| step.cost).sum();
    let mut rows = vec![
        ("pieces", "as drawn, footing and stem", drawn.stretches_cost),
        ("steps", "as drawn, steps", steps),
        ("drawn", "as drawn", drawn.layout.cost),
    ];
    if let Some(layout) = layout {
        rows.push(("least_cost", "least cost, proven", layout.cost));
        rows.push(("over", "as drawn over least cost", drawn.layout.cost - layout.cost));
    }
    let row = |(code, what, cost): (&'static str, &'static str, i128)| DrawnCost {
        code,
        what,
        cost: money(job, cost),
        cost_nano: nano(cost),
    };
    rows.into_iter().map(row).collect()
}

pub(super) fn drawn_bottom(layout: &Layout) -> Vec<DrawnBottom> {
    let mut merged: Vec<BottomPart> = Vec::new();
    for part in &layout.bottom {
        match merged.last_mut() {
            Some(last) if (last.bof, last.kind) == (part.bof, part.kind) => last.to = part.to,
            _ => merged.push(*part),
        }
    }
    let row = |part: &BottomPart| {
        let width = layout.site.types[part.kind].width;
        DrawnBottom { from: part.from, to: part.to, bof: part.bof, width }
    };
    merged.iter().map(row).collect()
}

fn exact(job: &WallJob, value: &BigRational) -> Datum {
    let exact = Exact { value: value.clone(), dimension: Dimension::LENGTH };
    Datum::Amount(exact, job.style.system.length().to_owned())
}

/// A length in words.
fn words(job: &WallJob, length: Nm) -> String {
    match job.style.system {
        System::Us => feet_inches(length, 64),
        System::Metric => job.style.system.show(length),
    }
}

/// Root of a square of nanometres, rounded down to the nanometre.
fn root(square: i128) -> Nm {
    Nm(i64::try_from(num_integer::Roots::sqrt(&square)).unwrap_or(i64::MAX))
}

/// A finding in words, and its figures: value, what was expected, by how much.
fn told(job: &WallJob, finding: &Finding) -> (String, [Datum; 3]) {
    let rules = &job.site.rules;
    let types = &job.site.types;
    let say = |length| words(job, length);
    let three = |a, b, c| [Datum::Length(a), Datum::Length(b), Datum::Length(c)];
    match finding {
        Finding::Steps => (
            "the footing steps, and the wall case keeps it on one level".to_owned(),
            [Datum::Blank, Datum::Blank, Datum::Blank],
        ),
        Finding::OffJoint { nearest, off } => (
            format!("the riser is not at a panel joint: the nearest is at {}", say(*nearest)),
            three(*nearest + *off, *nearest, *off),
        ),
        Finding::Riser(broken) => {
            let figures = match (broken.value, broken.limit) {
                (Some(value), Some(limit)) => three(value, limit, (value - limit).abs()),
                _ => [Datum::Blank, Datum::Blank, Datum::Blank],
            };
            (broken.words(say), figures)
        }
        Finding::Level { tof, nearest } => (
            format!(
                "the top of footing {} is not on a level; the nearest is {}",
                say(*tof),
                say(*nearest)
            ),
            three(*tof, *nearest, *tof - *nearest),
        ),
        Finding::Stem { height, limit, drawn } => (
            format!(
                "the stem is {} high; the drawn type {} carries {}",
                say(*height),
                types[*drawn].id,
                say(*limit)
            ),
            three(*height, *limit, *height - *limit),
        ),
        Finding::Overlap { overlap, needed, throat_squared, throat } => {
            let through = root(*throat_squared);
            let text = format!(
                "the overlap is {}; {} is needed: {} of concrete through the step, the rules require {}",
                say(*overlap),
                say(*needed),
                job.style.system.show(through),
                job.style.system.show(*throat)
            );
            (text, three(*overlap, *needed, *needed - *overlap))
        }
        Finding::RunLength { length } => (
            format!(
                "the run is {} long; the shortest is {}",
                say(*length),
                say(rules.shortest_run)
            ),
            three(*length, rules.shortest_run, rules.shortest_run - *length),
        ),
        Finding::Strip => (
            "the strips under its steps leave nothing of the run".to_owned(),
            [Datum::Blank, Datum::Blank, Datum::Blank],
        ),
        Finding::BottomOrder { low, high } => (
            format!(
                "the upper bottom {} is not higher than the lower one {}",
                say(*high),
                say(*low)
            ),
            three(*high, *low, *low - *high),
        ),
        Finding::TooHigh(high) => {
            let unit =
                ratio(if job.style.system == System::Us { Nm::FOOT } else { Nm::METRE }.wide(), 1);
            let show = |x: &BigRational| {
                format!("{} {}", decimal_places(&(x / &unit), 3), job.style.system.length())
            };
            let text = format!(
                "CAUTION: bottom too high, running station {} to {}; worst at {}: bottom {}, {} requires {}: {} too high",
                show(&high.from),
                show(&high.to),
                place_on_wall(job, high.worst),
                job.style.system.show(high.bof),
                high.governs.name(),
                show(&high.required),
                show(&high.short)
            );
            (text, [Datum::Length(high.bof), exact(job, &high.required), exact(job, &high.short)])
        }
        Finding::TypeDiffers { height, drawn, schedule } => {
            let (drawn, schedule) = (&types[*drawn].id, &types[*schedule].id);
            let text = format!(
                "type {drawn} is drawn for a stem of {}; the schedule has {schedule}",
                say(*height)
            );
            (text, [Datum::Length(*height), Datum::text(schedule), Datum::Blank])
        }
    }
}

pub(super) fn findings(job: &WallJob, drawn: &DrawnLayout) -> Vec<FindingRow> {
    let chain = &job.site.chain;
    let row = |(kind, found): (&str, &DrawnFinding)| {
        let (what, [value, expected, by]) = told(job, &found.finding);
        let (from, to, worst, governs) = match &found.finding {
            Finding::TooHigh(high) => (
                exact(job, &high.from),
                exact(job, &high.to),
                Some(high.worst),
                Some(high.governs.name()),
            ),
            _ => (Datum::Length(found.station), Datum::Blank, None, None),
        };
        let (through, throat) = match &found.finding {
            Finding::Overlap { throat_squared, throat, .. } => {
                (Some(root(*throat_squared)), Some(*throat))
            }
            _ => (None, None),
        };
        let drawn_type = match &found.finding {
            Finding::TypeDiffers { drawn, .. } | Finding::Stem { drawn, .. } => {
                Some(job.site.types[*drawn].id.clone())
            }
            _ => None,
        };
        let local = found.station - chain.walls()[found.wall].station;
        FindingRow {
            severity: text(kind),
            kind: text(found.finding.name()),
            rule: text(found.finding.name().replace('_', " ")),
            wall: text(&chain.walls()[found.wall].id),
            station: local,
            station_tape: tape(job, local),
            chain: from,
            chain_to: to,
            worst_chain: worst,
            what,
            value,
            expected,
            by,
            throat: through,
            throat_needed: throat,
            governs,
            drawn_type,
        }
    };
    let faults = drawn.faults.iter().map(|found| ("rule not met", found));
    let notes = drawn.notes.iter().map(|found| ("remark", found));
    faults.chain(notes).map(row).collect()
}

pub(super) fn lines(work: &DrawnWork, takeoff: Option<&Takeoff>) -> Vec<DrawnLine> {
    let lines = work.takeoff.iter().flat_map(|takeoff| &takeoff.lines);
    let row = |line: &crate::takeoff::Line| {
        let least = takeoff.and_then(|takeoff| takeoff.lines.iter().find(|o| o.id == line.id));
        let least = least.map(|other| &other.quantity);
        let difference = least.map(|least| Exact {
            value: &line.quantity.value - &least.value,
            dimension: least.dimension,
        });
        let amount = |exact: Option<Exact>| exact.map(|exact| AnyAmount(exact, line.unit.clone()));
        DrawnLine {
            id: text(&line.id),
            label: text(&line.label),
            unit: text(&line.unit),
            drawn: amount(Some(line.quantity.clone())),
            least_cost: amount(least.cloned()),
            difference: amount(difference),
        }
    };
    lines.map(row).collect()
}

pub(super) fn offsets(job: &WallJob, sweep: &[DatumOffset]) -> Vec<DatumSweep> {
    let best = sweep.iter().filter_map(|one| one.layout.as_ref().map(|l| l.cost)).min();
    let row = |offset: &DatumOffset| {
        let layout = offset.layout.as_ref();
        let tops = offset.tops_above_course.iter().map(|top| words(job, *top));
        DatumSweep {
            level_0: offset.level_0,
            level_0_tape: tape(job, offset.level_0),
            feasible: layout.is_some(),
            cost: layout.map(|layout| money(job, layout.cost)),
            cost_nano: layout.map(|layout| nano(layout.cost)),
            steps: layout.map(|layout| layout.steps.len()),
            tops_above_course: text(tops.collect::<Vec<_>>().join(", ")),
            remark: text(match layout {
                None => "no legal layout",
                Some(layout) if Some(layout.cost) == best => "least",
                Some(_) => "",
            }),
        }
    };
    sweep.iter().map(row).collect()
}

pub(super) fn offset_steps(job: &WallJob, sweep: &[DatumOffset]) -> Vec<DatumStep> {
    let of = |offset: &DatumOffset| {
        let row = |layout: &Layout, step: &crate::footing::Step| {
            let level = |tof| {
                let level = layout.site.module.level_of(tof);
                level.map(i64::from)
            };
            DatumStep {
                level_0: offset.level_0,
                place: place_on_wall(job, step.station),
                chain: step.station,
                level_before: level(step.tof_before),
                level_after: level(step.tof_after),
            }
        };
        let layout = offset.layout.as_ref();
        let steps =
            layout.into_iter().flat_map(|layout| layout.steps.iter().map(move |s| (layout, s)));
        steps.map(|(layout, step)| row(layout, step)).collect::<Vec<_>>()
    };
    sweep.iter().flat_map(of).collect()
}

pub(super) fn offset_tops(job: &WallJob, sweep: &[DatumOffset]) -> Vec<DatumTop> {
    let small = job.style.system.small();
    let of = |offset: &DatumOffset| {
        let level_0 = offset.level_0;
        let row = move |top: &Nm| DatumTop { level_0, above_course: Amount::length(*top, small) };
        offset.tops_above_course.iter().map(row).collect::<Vec<_>>()
    };
    sweep.iter().flat_map(of).collect()
}

pub(super) fn by_hand(
    job: &WallJob,
    layout: Option<&Layout>,
    without: &[Without],
) -> Vec<SetByHand> {
    let site = &job.site;
    let walls = site.chain.walls();
    let row = |one: &Without| {
        let (what, place, why) = match one.what {
            Restriction::Lock(index) => {
                let lock = &site.locks[index];
                let wall = &walls[lock.wall].id;
                let stretch =
                    format!("{wall} {} to {}", words(job, lock.from), words(job, lock.to));
                let (what, place) = match lock.kind {
                    LockKind::Riser => {
                        ("a step here".to_owned(), format!("{wall} {}", words(job, lock.from)))
                    }
                    LockKind::Tof(tof) => (format!("top of footing {}", words(job, tof)), stretch),
                    LockKind::NotTof(tof) => {
                        (format!("not top of footing {}", words(job, tof)), stretch)
                    }
                };
                (what, place, lock.why.clone())
            }
            Restriction::Zone(index) => {
                let zone = &site.rules.no_step_zones[index];
                let place = format!(
                    "{} {} to {}",
                    walls[zone.wall].id,
                    words(job, zone.from),
                    words(job, zone.to)
                );
                ("no step".to_owned(), place, String::new())
            }
            Restriction::All => ("all of these".to_owned(), String::new(), String::new()),
        };
        let free = one.layout.as_ref();
        // Each cell is rounded to 1e-9: less than one for each cell is no cost.
        let cells = i128::try_from(job.site.grid.cells.len()).unwrap_or(0);
        let costs = layout.zip(free).map(|(with, free)| with.cost - free.cost);
        let costs = costs.map(|cost| if cost.abs() <= cells { 0 } else { cost });
        SetByHand {
            what: text(what),
            place: text(place),
            why: text(why),
            costs: costs.map(|cost| money(job, cost)),
            costs_nano: costs.map(nano),
            steps_without: free.map(|layout| layout.steps.len()),
            remark: text(match (layout, free) {
                (None, Some(_)) => "without it a layout is legal",
                (_, None) => "without it none is legal either",
                _ => "",
            }),
        }
    };
    without.iter().map(row).collect()
}
