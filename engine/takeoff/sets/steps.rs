//! Runs, steps, pieces, the dug bottom, rod readings and the cost of the layout.

use num_rational::BigRational;

use super::columns;
use crate::earth::{Cut, cuts, requirements};
use crate::footing::{Layout, System, local};
use crate::measure::{Dimension, Exact, Nm, as_survey_feet, feet_inches, ratio};
use crate::survey::Point;
use crate::takeoff::{Datum, RecordSet, WallJob, place_on_wall};

pub(super) fn sets(job: &WallJob, layout: &Layout) -> Vec<RecordSet> {
    let mut sets = vec![
        costs(job, layout),
        rates(job),
        own_rules(job),
        runs(job, layout),
        deepest(job, layout),
        steps(job, layout),
        footings(job, layout),
        stems(job, layout),
        bottom(layout),
        levels(job, layout),
    ];
    sets.extend(rods(job, layout));
    sets
}

/// A length as on a tape, for US jobs.
pub(super) fn tape(job: &WallJob, length: Nm) -> Datum {
    match job.system {
        System::Us => Datum::text(feet_inches(length, 16)),
        System::Metric => Datum::Blank,
    }
}

/// The level of a top of footing; blank where it is on none.
fn level_at(job: &WallJob, tof: Nm) -> Datum {
    job.site.module.level_of(tof).map_or(Datum::Blank, |level| Datum::Count(level.into()))
}

pub(super) fn money(job: &WallJob, nano: i128) -> Datum {
    let value = ratio(nano, 1_000_000_000);
    Datum::Amount(Exact { value, dimension: Dimension::MONEY }, job.currency.clone())
}

fn costs(job: &WallJob, layout: &Layout) -> RecordSet {
    let mut rows = vec![vec![
        Datum::text("least cost, proven"),
        Datum::Blank,
        Datum::Blank,
        Datum::count(layout.steps.len()),
        money(job, layout.cost),
        Datum::text(layout.cost.to_string()),
        layout.equal_layouts.map_or(Datum::Blank, |n| Datum::text(n.to_string())),
    ]];
    let cheapest = layout.one_level.iter().min_by_key(|one| one.cost);
    for one in &layout.one_level {
        rows.push(vec![
            Datum::text(if Some(one) == cheapest {
                "one level everywhere, cheapest"
            } else {
                "one level everywhere"
            }),
            Datum::Count(one.level.into()),
            Datum::Length(one.tof),
            Datum::Count(0),
            money(job, one.cost),
            Datum::text(one.cost.to_string()),
            Datum::Blank,
        ]);
    }
    RecordSet {
        name: "layout_costs",
        about: "the layout's cost by the layout rates; not a price",
        columns: columns![
            ("layout", "which layout"),
            ("level", "its level, if it has one only"),
            ("tof", "its top of footing, if it has one only"),
            ("steps", "number of steps"),
            ("cost", "cost"),
            ("cost_nano", "cost as the exact whole number of 1e-9 of the currency"),
            ("equal_layouts", "layouts with this cost and number of steps"),
        ],
        rows,
    }
}

fn rates(job: &WallJob) -> RecordSet {
    let system = job.system;
    let per = |dimension: Dimension| match dimension {
        Dimension::MONEY_PER_VOLUME => {
            format!("{}/{}", job.currency, if system == System::Us { "yd3" } else { "m3" })
        }
        Dimension::MONEY_PER_AREA => {
            format!("{}/{}", job.currency, if system == System::Us { "ft2" } else { "m2" })
        }
        _ => job.currency.clone(),
    };
    let row = |line: &crate::price::RateLine| {
        vec![
            Datum::text(line.what),
            Datum::Amount(line.rate.clone(), per(line.rate.dimension)),
            Datum::text(per(line.rate.dimension)),
            Datum::text(line.how),
        ]
    };
    RecordSet {
        name: "layout_rates",
        about: "the rates that the layout was chosen by",
        columns: columns![
            ("what", "what it is for"),
            ("rate", "rate"),
            ("unit", "its unit"),
            ("how", "how it follows from the prices"),
        ],
        rows: job.rates.iter().map(row).collect(),
    }
}

fn own_rules(job: &WallJob) -> RecordSet {
    let row = |(hook, file): (crate::footing::Hook, String)| {
        vec![Datum::text(hook.name().replace('_', " ")), Datum::text(file)]
    };
    RecordSet {
        name: "own_rules",
        about: "rules of the company in place of built-in ones",
        columns: columns![("rule", "which rule"), ("file", "script that has it")],
        rows: job.site.hooks.used().into_iter().map(row).collect(),
    }
}

fn runs(job: &WallJob, layout: &Layout) -> RecordSet {
    let end = job.site.chain.length();
    let mut starts = vec![Nm::ZERO];
    starts.extend(layout.steps.iter().map(|step| step.station));
    let depth = |value: &BigRational| {
        Datum::Amount(
            Exact { value: value.clone(), dimension: Dimension::LENGTH },
            job.system.length().to_owned(),
        )
    };
    let row = |cut: &Cut| {
        let from = starts[cut.run];
        let to = starts.get(cut.run + 1).copied().unwrap_or(end);
        let piece = layout.footings.iter().find(|piece| piece.from == from);
        let tof = piece.map_or(Nm::ZERO, |piece| piece.tof);
        let wall_end = job.site.chain.wall_at(Nm(to.0 - 1));
        let (end_wall, _, to_local) = local(&job.site, wall_end, from, to);
        let to_place = match job.system {
            System::Us => format!("{end_wall} {}", feet_inches(to_local, 16)),
            System::Metric => format!("{end_wall} {}", job.system.show(to_local)),
        };
        vec![
            Datum::count(cut.run + 1),
            Datum::text(place_on_wall(job, from)),
            Datum::text(to_place),
            Datum::Length(from),
            Datum::Length(to),
            Datum::Length(to - from),
            level_at(job, tof),
            Datum::Length(tof),
            tape(job, tof),
            depth(&cut.depth),
            Datum::text(place_on_wall(job, cut.station)),
            cut.key.as_ref().map_or(Datum::Blank, |(_, key)| depth(key)),
            cut.key.as_ref().map_or(Datum::Blank, |(at, _)| Datum::text(place_on_wall(job, *at))),
            Datum::text(requirements(cut.deepest().1, job.system).join("; ")),
        ]
    };
    RecordSet {
        name: "runs",
        about: "stretches of one level, with the greatest cut of each",
        columns: columns![
            ("run", "number, from station 0"),
            ("from_place", "wall and local station of its start"),
            ("to_place", "wall and local station of its end"),
            ("from", "chain station of its start"),
            ("to", "chain station of its end"),
            ("length", "length"),
            ("level", "level"),
            ("tof", "top of footing"),
            ("tof_tape", "the same in feet and inches"),
            ("cut", "greatest cut to the bottom of footing"),
            ("cut_place", "where it is"),
            ("key_cut", "greatest cut to the bottom of the key"),
            ("key_cut_place", "where it is"),
            ("requires", "what the deeper of the two requires"),
        ],
        rows: cuts(layout).iter().map(row).collect(),
    }
}

/// The deepest cut of all runs.
fn deepest(job: &WallJob, layout: &Layout) -> RecordSet {
    let cuts = cuts(layout);
    let deepest = cuts.iter().map(Cut::deepest).max_by(|a, b| a.1.cmp(b.1));
    let row = |(station, depth): (Nm, &BigRational)| {
        vec![
            Datum::Amount(
                Exact { value: depth.clone(), dimension: Dimension::LENGTH },
                job.system.length().to_owned(),
            ),
            Datum::text(place_on_wall(job, station)),
            Datum::text(requirements(depth, job.system).join("; ")),
        ]
    };
    RecordSet {
        name: "deepest_cut",
        about: "the deepest cut of all runs, to the bottom of footing or key",
        columns: columns![
            ("depth", "its depth"),
            ("place", "wall and local station"),
            ("requires", "what it requires"),
        ],
        rows: deepest.into_iter().map(row).collect(),
    }
}

fn plane(job: &WallJob, point: Point) -> [Datum; 2] {
    [mark(job, point.e), mark(job, point.n)]
}

/// A coordinate or elevation of the stake-out, in the foot that the crew's instruments work in.
fn mark(job: &WallJob, length: Nm) -> Datum {
    match job.survey_feet {
        // The job counts in survey feet already: the same number, by its name.
        true if job.system == System::Us => {
            Datum::length_in(as_survey_feet(length), "us_survey_ft")
        }
        true => Datum::length_in(as_survey_feet(length), job.system.length()),
        false => Datum::length_in(length, job.system.length()),
    }
}

/// Money as the exact whole number of 1e-9.
pub(super) fn nano(nano: i128) -> Datum {
    Datum::text(nano.to_string())
}

pub(super) fn steps(job: &WallJob, layout: &Layout) -> RecordSet {
    let site = &job.site;
    let small = job.system.small();
    let reading = |elevation: Nm| {
        job.benchmark
            .as_ref()
            .map_or(Datum::Blank, |mark| Datum::Length(mark.reading(elevation).exact))
    };
    let row = |(number, step): (usize, &crate::footing::Step)| {
        let (wall, station, cut) = local(site, step.wall, step.station, step.cut());
        // A drawn strip may run round a corner: its cut then stands on the other wall.
        let on_wall = Nm::ZERO <= cut && cut <= site.chain.walls()[step.wall].length;
        let cut_wall = if on_wall { step.wall } else { site.chain.wall_at(step.cut()) };
        let (cut_on, cut, _) = local(site, cut_wall, step.cut(), step.cut());
        let [e, n] = plane(job, site.chain.walls()[step.wall].point_at(station));
        let [cut_e, cut_n] = plane(job, site.chain.walls()[cut_wall].point_at(cut));
        let drop = step.bof_high - step.bof_low;
        // A drawn bottom on the high side that is no higher leaves no concrete to the overlap.
        let thick = drop.max(Nm::ZERO);
        let volume =
            crate::footing::product(&[site.types[step.low_type].width, step.overlap, thick]);
        vec![
            Datum::count(number + 1),
            Datum::text(wall),
            Datum::Length(station),
            tape(job, station),
            Datum::Length(step.station),
            mark(job, step.tof_before),
            tape(job, step.tof_before),
            mark(job, step.tof_after),
            tape(job, step.tof_after),
            Datum::length_in(step.overlap, small),
            Datum::text(cut_on),
            Datum::Length(cut),
            tape(job, cut),
            mark(job, step.bof_low),
            tape(job, step.bof_low),
            mark(job, step.bof_high),
            tape(job, step.bof_high),
            Datum::Length(drop),
            e,
            n,
            cut_e,
            cut_n,
            reading(step.tof_before),
            reading(step.tof_after),
            reading(step.bof_low),
            reading(step.bof_high),
            Datum::Amount(
                Exact { value: volume, dimension: Dimension::VOLUME },
                job.system.volume().to_owned(),
            ),
            money(job, step.cost),
            Datum::text(step.cost.to_string()),
            level_at(job, step.tof_before),
            level_at(job, step.tof_after),
        ]
    };
    RecordSet {
        name: "steps",
        about: "risers and dirt cuts; the bulkhead stands on the riser",
        columns: columns![
            ("step", "number, from station 0"),
            ("wall", "wall"),
            ("station", "local station of the riser and its bulkhead"),
            ("station_tape", "the same in feet and inches"),
            ("chain", "chain station of the riser"),
            ("tof_before", "top of footing before it"),
            ("tof_before_tape", "the same in feet and inches"),
            ("tof_after", "top of footing after it"),
            ("tof_after_tape", "the same in feet and inches"),
            ("overlap", "from riser to dirt cut"),
            ("dirt_cut_wall", "wall that the dirt cut is on"),
            ("dirt_cut", "local station of the dirt cut"),
            ("dirt_cut_tape", "the same in feet and inches"),
            ("bof_low", "lower bottom of footing"),
            ("bof_low_tape", "the same in feet and inches"),
            ("bof_high", "upper bottom of footing"),
            ("bof_high_tape", "the same in feet and inches"),
            ("dirt_step", "height of the dirt cut"),
            ("east", "easting of the riser on the exposed face"),
            ("north", "northing of the riser on the exposed face"),
            ("cut_east", "easting of the dirt cut"),
            ("cut_north", "northing of the dirt cut"),
            ("rod_tof_before", "rod reading of the top before it"),
            ("rod_tof_after", "rod reading of the top after it"),
            ("rod_bof_low", "rod reading of the lower bottom"),
            ("rod_bof_high", "rod reading of the upper bottom"),
            ("overlap_concrete", "concrete of the overlap"),
            ("cost", "cost of the step by the layout rates"),
            ("cost_nano", "the same as the exact whole number of 1e-9"),
            ("level_before", "level before it"),
            ("level_after", "level after it"),
        ],
        rows: layout.steps.iter().enumerate().map(row).collect(),
    }
}

fn footings(job: &WallJob, layout: &Layout) -> RecordSet {
    let site = &job.site;
    let row = |piece: &crate::footing::FootingPiece| {
        let kind = &site.types[piece.kind];
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        vec![
            Datum::text(wall),
            Datum::Length(from),
            tape(job, from),
            Datum::Length(to),
            tape(job, to),
            level_at(job, piece.tof),
            Datum::text(&kind.id),
            Datum::Length(kind.width),
            Datum::Length(kind.thickness),
            Datum::Length(piece.tof),
            tape(job, piece.tof),
            Datum::Length(piece.bof),
            tape(job, piece.bof),
        ]
    };
    RecordSet {
        name: "footing_pieces",
        about: "stretches of one wall, level and type",
        columns: columns![
            ("wall", "wall"),
            ("from", "local station of its start"),
            ("from_tape", "the same in feet and inches"),
            ("to", "local station of its end"),
            ("to_tape", "the same in feet and inches"),
            ("level", "level"),
            ("type", "wall type"),
            ("width", "footing width"),
            ("thickness", "footing thickness"),
            ("tof", "top of footing"),
            ("tof_tape", "the same in feet and inches"),
            ("bof", "bottom of footing"),
            ("bof_tape", "the same in feet and inches"),
        ],
        rows: layout.footings.iter().map(row).collect(),
    }
}

fn stems(job: &WallJob, layout: &Layout) -> RecordSet {
    let site = &job.site;
    let grid = |wall: usize| &site.grid.walls[wall];
    let row = |piece: &crate::footing::StemPiece| {
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        let joints =
            grid(piece.wall).joints.iter().filter(|joint| from <= **joint && **joint <= to).count();
        vec![
            Datum::text(wall),
            Datum::Length(from),
            Datum::Length(to),
            Datum::Length(piece.tof),
            Datum::Length(piece.top),
            Datum::Length(piece.height()),
            Datum::text(&site.types[piece.kind].id),
            Datum::count(joints.saturating_sub(1)),
        ]
    };
    RecordSet {
        name: "stem_pieces",
        about: "stretches of one wall, level and top",
        columns: columns![
            ("wall", "wall"),
            ("from", "local station of its start"),
            ("to", "local station of its end"),
            ("tof", "top of footing"),
            ("top", "top of wall"),
            ("height", "stem height"),
            ("type", "wall type"),
            ("modules", "whole panels on each face"),
        ],
        rows: layout.stems.iter().map(row).collect(),
    }
}

fn bottom(layout: &Layout) -> RecordSet {
    let mut merged: Vec<(Nm, Nm, Nm)> = Vec::new();
    for part in &layout.bottom {
        match merged.last_mut() {
            Some(last) if last.2 == part.bof => last.1 = part.to,
            _ => merged.push((part.from, part.to, part.bof)),
        }
    }
    let row = |(from, to, bof): &(Nm, Nm, Nm)| {
        vec![Datum::Length(*from), Datum::Length(*to), Datum::Length(*bof)]
    };
    RecordSet {
        name: "bottom_profile",
        about: "the dug bottom along the chain",
        columns: columns![
            ("from", "chain station of its start"),
            ("to", "chain station of its end"),
            ("bof", "bottom of footing"),
        ],
        rows: merged.iter().map(row).collect(),
    }
}

fn levels(job: &WallJob, layout: &Layout) -> RecordSet {
    let row = |stretch: &crate::footing::Stretch| {
        vec![Datum::Length(stretch.from), Datum::Length(stretch.to), level_at(job, stretch.tof)]
    };
    RecordSet {
        name: "cell_levels",
        about: "level of each cell between the places where it may change",
        columns: columns![
            ("from", "chain station of its start"),
            ("to", "chain station of its end"),
            ("level", "level"),
        ],
        rows: layout.stretches.iter().map(row).collect(),
    }
}

fn rods(job: &WallJob, layout: &Layout) -> Option<RecordSet> {
    let benchmark = job.benchmark.as_ref()?;
    let sorted = |mut list: Vec<Nm>| {
        list.sort_unstable();
        list.dedup();
        list
    };
    let bottoms = sorted(layout.bottom.iter().map(|part| part.bof).collect());
    let tops = sorted(layout.footings.iter().map(|piece| piece.tof).collect());
    let all = bottoms.iter().map(|z| ("BOF", *z)).chain(tops.iter().map(|z| ("TOF", *z)));
    let us = job.system == System::Us;
    let inches = |length: Nm| if us { Datum::length_in(length, "in") } else { Datum::Blank };
    let row = |(what, elevation): (&str, Nm)| {
        let reading = benchmark.reading(elevation);
        let (tape_reading, tape_error) = reading.sixteenths();
        let (hundredths, hundredths_error) = reading.hundredths();
        vec![
            Datum::text(what),
            mark(job, elevation),
            tape(job, elevation),
            Datum::Length(reading.exact),
            tape(job, tape_reading),
            inches(tape_error),
            if us { Datum::length_in(hundredths, "ft") } else { Datum::Blank },
            inches(hundredths_error),
            if us {
                let misread = reading.tenths_taken_for_inches();
                Datum::Amount(Exact { value: misread, dimension: Dimension::LENGTH }, "in".into())
            } else {
                Datum::Blank
            },
        ]
    };
    Some(RecordSet {
        name: "rod_readings",
        about: "rod readings from the benchmark; every mark comes from it, never from the mark before",
        columns: columns![
            ("what", "BOF bottom of footing, TOF top of footing"),
            ("elevation", "elevation"),
            ("elevation_tape", "the same in feet and inches"),
            ("reading", "rod reading, exact"),
            ("reading_tape", "to 1/16 in"),
            ("tape_error", "printed less exact"),
            ("hundredths", "to 0.01 ft"),
            ("hundredths_error", "printed less exact"),
            ("misread", "error of taking tenths of a foot for inches"),
        ],
        rows: all.map(row).collect(),
    })
}
