//! Other layouts beside the least-cost one: as the plan draws it, with the datum moved, without what is set by hand.

use num_rational::BigRational;

use super::columns;
use super::quantities::parts;
use super::steps::{money, nano, steps, tape};
use crate::footing::{
    BottomPart, DatumOffset, DrawnFinding, DrawnLayout, Finding, Layout, LockKind, Restriction,
    System, Without,
};
use crate::measure::{Dimension, Exact, Nm, decimal_places, feet_inches, ratio};
use crate::takeoff::{Datum, RecordSet, Takeoff, WallJob, place_on_wall};

/// The steps as drawn, with their quantities if the wall case could take them off.
#[derive(Debug, Clone)]
pub struct DrawnWork {
    /// The layout and what was found about it.
    pub drawn: DrawnLayout,
    /// Its quantities.
    pub takeoff: Option<Takeoff>,
}

pub(super) fn sets(
    job: &WallJob,
    layout: Option<&Layout>,
    takeoff: Option<&Takeoff>,
    others: &super::Others,
) -> Vec<RecordSet> {
    let mut sets = Vec::new();
    if let Some(work) = &others.drawn {
        let drawn = &work.drawn;
        sets.push(costs(job, drawn, layout));
        sets.push(RecordSet {
            name: "drawn_steps",
            about: "the steps as the plan draws them",
            ..steps(job, &drawn.layout)
        });
        sets.push(drawn_bottom(&drawn.layout));
        sets.push(findings(job, drawn));
        sets.push(lines(work, takeoff));
        if let Some(takeoff) = &work.takeoff {
            sets.push(RecordSet {
                name: "drawn_parts",
                about: "the parts of the measured lines, as drawn",
                ..parts(takeoff)
            });
        }
    }
    if let Some(sweep) = &others.sweep {
        sets.push(offsets(job, sweep));
        sets.push(offset_steps(job, sweep));
        sets.push(offset_tops(job, sweep));
    }
    if !others.without.is_empty() {
        sets.push(by_hand(job, layout, &others.without));
    }
    sets
}

fn costs(job: &WallJob, drawn: &DrawnLayout, layout: Option<&Layout>) -> RecordSet {
    let steps: i128 = drawn.layout.steps.iter().map(|step| step.cost).sum();
    let mut rows = vec![
        ("as drawn, footing and stem", drawn.stretches_cost),
        ("as drawn, steps", steps),
        ("as drawn", drawn.layout.cost),
    ];
    if let Some(layout) = layout {
        rows.push(("least cost, proven", layout.cost));
        rows.push(("as drawn over least cost", drawn.layout.cost - layout.cost));
    }
    let row = |(what, cost): (&str, i128)| vec![Datum::text(what), money(job, cost), nano(cost)];
    RecordSet {
        name: "drawn_costs",
        about: "the steps as drawn beside the least-cost ones, by the layout rates; not a price",
        columns: columns![
            ("what", "which layout, or part of it"),
            ("cost", "cost"),
            ("cost_nano", "cost as the exact whole number of 1e-9 of the currency"),
        ],
        rows: rows.into_iter().map(row).collect(),
    }
}

fn drawn_bottom(layout: &Layout) -> RecordSet {
    let mut merged: Vec<BottomPart> = Vec::new();
    for part in &layout.bottom {
        match merged.last_mut() {
            Some(last) if (last.bof, last.kind) == (part.bof, part.kind) => last.to = part.to,
            _ => merged.push(*part),
        }
    }
    let row = |part: &BottomPart| {
        let width = layout.site.types[part.kind].width;
        [part.from, part.to, part.bof, width].map(Datum::Length).to_vec()
    };
    RecordSet {
        name: "drawn_bottom",
        about: "the dug bottom of the steps as drawn",
        columns: columns![
            ("from", "chain station of its start"),
            ("to", "chain station of its end"),
            ("bof", "bottom of footing"),
            ("width", "footing width"),
        ],
        rows: merged.iter().map(row).collect(),
    }
}

fn exact(job: &WallJob, value: &BigRational) -> Datum {
    let exact = Exact { value: value.clone(), dimension: Dimension::LENGTH };
    Datum::Amount(exact, job.system.length().to_owned())
}

/// A length in words.
fn words(job: &WallJob, length: Nm) -> String {
    match job.system {
        System::Us => feet_inches(length, 64),
        System::Metric => job.system.show(length),
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
        Finding::OffJoint { nearest, off } => (
            format!("the riser is on no panel joint: the nearest is at {}", say(*nearest)),
            three(*nearest + *off, *nearest, *off),
        ),
        Finding::NearCorner { distance } => (
            format!(
                "the riser is {} from a corner; the job asks for {}",
                say(*distance),
                say(rules.corner_clear)
            ),
            three(*distance, rules.corner_clear, rules.corner_clear - *distance),
        ),
        Finding::NoStepZone => (
            "the riser is in a stretch without steps".to_owned(),
            [Datum::Blank, Datum::Blank, Datum::Blank],
        ),
        Finding::Level { tof, nearest } => (
            format!(
                "the top of footing {} is on no level; the nearest is {}",
                say(*tof),
                say(*nearest)
            ),
            three(*tof, *nearest, *tof - *nearest),
        ),
        Finding::Rise { rise, most } => (
            format!("the riser is {} high; the job allows {}", say(*rise), say(*most)),
            three(*rise, *most, *rise - *most),
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
                "the overlap is {}; {} is needed: {} of concrete through the step, the rules ask for {}",
                say(*overlap),
                say(*needed),
                job.system.show(through),
                job.system.show(*throat)
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
            let unit = ratio(if job.system == System::Us { Nm::FOOT } else { Nm::METRE }.wide(), 1);
            let show = |x: &BigRational| {
                format!("{} {}", decimal_places(&(x / &unit), 3), job.system.length())
            };
            let text = format!(
                "CAUTION: bottom too high, chain {} to {}; worst at {}: bottom {}, {} asks for {}: {} too high",
                show(&high.from),
                show(&high.to),
                place_on_wall(job, high.worst),
                job.system.show(high.bof),
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

fn findings(job: &WallJob, drawn: &DrawnLayout) -> RecordSet {
    let chain = &job.site.chain;
    let row = |(kind, found): (&str, &DrawnFinding)| {
        let (text, [value, expected, by]) = told(job, &found.finding);
        let (from, to, worst, governs) = match &found.finding {
            Finding::TooHigh(high) => (
                exact(job, &high.from),
                exact(job, &high.to),
                Datum::Length(high.worst),
                Datum::text(high.governs.name()),
            ),
            _ => (Datum::Length(found.station), Datum::Blank, Datum::Blank, Datum::Blank),
        };
        let (through, throat) = match &found.finding {
            Finding::Overlap { throat_squared, throat, .. } => {
                (Datum::Length(root(*throat_squared)), Datum::Length(*throat))
            }
            _ => (Datum::Blank, Datum::Blank),
        };
        let drawn_type = match &found.finding {
            Finding::TypeDiffers { drawn, .. } | Finding::Stem { drawn, .. } => {
                Datum::text(&job.site.types[*drawn].id)
            }
            _ => Datum::Blank,
        };
        let local = found.station - chain.walls()[found.wall].station;
        vec![
            Datum::text(kind),
            Datum::text(found.finding.name()),
            Datum::text(found.finding.name().replace('_', " ")),
            Datum::text(&chain.walls()[found.wall].id),
            Datum::Length(local),
            tape(job, local),
            from,
            to,
            worst,
            Datum::text(text),
            value,
            expected,
            by,
            through,
            throat,
            governs,
            drawn_type,
        ]
    };
    let faults = drawn.faults.iter().map(|found| ("rule not met", found));
    let notes = drawn.notes.iter().map(|found| ("remark", found));
    RecordSet {
        name: "drawn_findings",
        about: "every rule of the job that the drawn steps do not meet, in chain order, then remarks",
        columns: columns![
            ("severity", "rule not met, or remark"),
            ("kind", "which rule, for machines"),
            ("rule", "which rule"),
            ("wall", "wall"),
            ("station", "local station"),
            ("station_tape", "the same in feet and inches"),
            ("chain", "chain station, or where the stretch starts"),
            ("chain_to", "where the stretch ends"),
            ("worst_chain", "its worst place"),
            ("what", "in words"),
            ("value", "as drawn"),
            ("expected", "what the rule asks for"),
            ("by", "the difference"),
            ("throat", "concrete through the step"),
            ("throat_needed", "what the rule asks for"),
            ("governs", "what governs the bottom"),
            ("drawn_type", "the drawn type"),
        ],
        rows: faults.chain(notes).map(row).collect(),
    }
}

fn lines(work: &DrawnWork, takeoff: Option<&Takeoff>) -> RecordSet {
    let lines = work.takeoff.iter().flat_map(|takeoff| &takeoff.lines);
    let row = |line: &crate::takeoff::Line| {
        let least = takeoff.and_then(|takeoff| takeoff.lines.iter().find(|o| o.id == line.id));
        let least = least.map(|other| &other.quantity);
        let difference = least.map(|least| Exact {
            value: &line.quantity.value - &least.value,
            dimension: least.dimension,
        });
        let amount = |exact: Option<Exact>| {
            exact.map_or(Datum::Blank, |exact| Datum::Amount(exact, line.unit.clone()))
        };
        vec![
            Datum::text(&line.id),
            Datum::text(&line.label),
            Datum::text(&line.unit),
            amount(Some(line.quantity.clone())),
            amount(least.cloned()),
            amount(difference),
        ]
    };
    RecordSet {
        name: "drawn_lines",
        about: "quantities of the steps as drawn beside those of the least-cost ones",
        columns: columns![
            ("id", "id of the line"),
            ("label", "what it is"),
            ("unit", "unit"),
            ("drawn", "as drawn"),
            ("least_cost", "least cost"),
            ("difference", "as drawn less least cost"),
        ],
        rows: lines.map(row).collect(),
    }
}

fn offsets(job: &WallJob, sweep: &[DatumOffset]) -> RecordSet {
    let best = sweep.iter().filter_map(|one| one.layout.as_ref().map(|l| l.cost)).min();
    let row = |offset: &DatumOffset| {
        let layout = offset.layout.as_ref();
        let tops = offset.tops_above_course.iter().map(|top| words(job, *top));
        vec![
            Datum::Length(offset.level_0),
            tape(job, offset.level_0),
            Datum::Flag(layout.is_some()),
            layout.map_or(Datum::Blank, |layout| money(job, layout.cost)),
            layout.map_or(Datum::Blank, |layout| nano(layout.cost)),
            layout.map_or(Datum::Blank, |layout| Datum::count(layout.steps.len())),
            Datum::text(tops.collect::<Vec<_>>().join(", ")),
            Datum::text(match layout {
                None => "no legal layout",
                Some(layout) if Some(layout.cost) == best => "least",
                Some(_) => "",
            }),
        ]
    };
    RecordSet {
        name: "datum_sweep",
        about: "the layout with the datum of the levels moved by parts of a rise",
        columns: columns![
            ("level_0", "top of footing at level 0"),
            ("level_0_tape", "the same in feet and inches"),
            ("feasible", "whether a layout is legal"),
            ("cost", "cost by the layout rates"),
            ("cost_nano", "cost as the exact whole number of 1e-9"),
            ("steps", "number of steps"),
            ("tops_above_course", "how far the tops of the walls are above a course"),
            ("remark", "the least of them, or that none is legal"),
        ],
        rows: sweep.iter().map(row).collect(),
    }
}

fn offset_steps(job: &WallJob, sweep: &[DatumOffset]) -> RecordSet {
    let of = |offset: &DatumOffset| {
        let row = |layout: &Layout, step: &crate::footing::Step| {
            let level = |tof| {
                let level = layout.site.module.level_of(tof);
                level.map_or(Datum::Blank, |level| Datum::Count(level.into()))
            };
            vec![
                Datum::Length(offset.level_0),
                Datum::text(place_on_wall(job, step.station)),
                Datum::Length(step.station),
                level(step.tof_before),
                level(step.tof_after),
            ]
        };
        let layout = offset.layout.as_ref();
        let steps =
            layout.into_iter().flat_map(|layout| layout.steps.iter().map(move |s| (layout, s)));
        steps.map(|(layout, step)| row(layout, step)).collect::<Vec<_>>()
    };
    RecordSet {
        name: "datum_steps",
        about: "the steps of each moved datum",
        columns: columns![
            ("level_0", "top of footing at level 0"),
            ("place", "wall and local station"),
            ("chain", "chain station"),
            ("level_before", "level before it"),
            ("level_after", "level after it"),
        ],
        rows: sweep.iter().flat_map(of).collect(),
    }
}

fn offset_tops(job: &WallJob, sweep: &[DatumOffset]) -> RecordSet {
    let small = job.system.small();
    let of = |offset: &DatumOffset| {
        let level_0 = offset.level_0;
        let row = move |top: &Nm| vec![Datum::Length(level_0), Datum::length_in(*top, small)];
        offset.tops_above_course.iter().map(row).collect::<Vec<_>>()
    };
    RecordSet {
        name: "datum_tops",
        about: "how far the tops of the walls are above a course, for each moved datum",
        columns: columns![
            ("level_0", "top of footing at level 0"),
            ("above_course", "how far a top is above a course"),
        ],
        rows: sweep.iter().flat_map(of).collect(),
    }
}

fn by_hand(job: &WallJob, layout: Option<&Layout>, without: &[Without]) -> RecordSet {
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
        vec![
            Datum::text(what),
            Datum::text(place),
            Datum::text(why),
            costs.map_or(Datum::Blank, |cost| money(job, cost)),
            costs.map_or(Datum::Blank, nano),
            free.map_or(Datum::Blank, |layout| Datum::count(layout.steps.len())),
            Datum::text(match (layout, free) {
                (None, Some(_)) => "without it a layout is legal",
                (_, None) => "without it none is legal either",
                _ => "",
            }),
        ]
    };
    RecordSet {
        name: "set_by_hand",
        about: "locks and stretches without steps, and what each costs by the layout rates",
        columns: columns![
            ("what", "what is asked for"),
            ("place", "wall and local stations"),
            ("why", "why"),
            ("costs", "the least cost with it less that without it"),
            ("costs_nano", "the same as the exact whole number of 1e-9"),
            ("steps_without", "number of steps without it"),
            ("remark", "whether it is what stands in the way"),
        ],
        rows: without.iter().map(row).collect(),
    }
}
