//! Runs, steps, pieces, the dug bottom, rod readings and the cost of the layout.

use num_rational::BigRational;

use super::text;
use crate::earth::{Cut, cuts, requirements};
use crate::footing::{Layout, System, local};
use crate::listing::{Amount, AnyAmount, listings};
use crate::measure::{Length, Money, Nm, Volume, as_survey_feet, feet_inches, ratio};
use crate::survey::Point;
use crate::takeoff::{WallJob, place_on_wall};

listings! {
    LAYOUT_COSTS = "layout_costs", "the layout's cost by the layout rates; not a price", for Office, by []: LayoutCost {
        code: &'static str, "which layout, for pages and programs: least_cost, one_level_cheapest or one_level";
        layout: &'static str, "which layout";
        level: Option<i64>, "its level, if it has one only";
        tof: Option<Nm>, "its top of footing, if it has one only";
        steps: usize, "number of steps";
        cost: Amount<Money>, "cost";
        cost_nano: String, "cost as the exact whole number of 1e-9 of the currency";
        equal_layouts: Option<String>, "layouts with this cost and number of steps";
    }
    LAYOUT_RATES = "layout_rates", "the rates that the layout was chosen by", for Office, by ["what"]: Rate {
        what: String, "what it is for";
        rate: AnyAmount, "rate";
        unit: String, "its unit";
        how: String, "the calculation from the prices";
    }
    OWN_RULES = "own_rules", "rules of the company in place of built-in ones", for Engineer, by ["rule"]: OwnRule {
        rule: String, "which rule";
        file: String, "script that has it";
    }
    RUNS = "runs", "stretches of one level, with the greatest cut of each", for Crew, by ["run"]: Run {
        run: usize, "number, from station 0";
        from_place: String, "wall and local station of its start";
        to_place: String, "wall and local station of its end";
        from: Nm, "running station of its start";
        to: Nm, "running station of its end";
        length: Nm, "length";
        level: Option<i64>, "level";
        tof: Nm, "top of footing";
        tof_tape: Option<String>, "the same in feet and inches";
        cut: Amount<Length>, "greatest cut to the bottom of footing";
        cut_place: String, "where it is";
        key_cut: Option<Amount<Length>>, "greatest cut to the bottom of the key";
        key_cut_place: Option<String>, "where it is";
        requires: String, "what the deeper of the two requires";
    }
    DEEPEST_CUT = "deepest_cut", "the deepest cut of all runs, to the bottom of footing or key", for Crew, by []: Deepest {
        depth: Amount<Length>, "its depth";
        place: String, "wall and local station";
        requires: String, "what it requires";
    }
    STEPS = "steps", "risers and steps in the subgrade; the bulkhead stands on the riser", for Crew, by ["step"]: StepRow {
        step: usize, "number, from station 0";
        wall: String, "wall";
        station: Nm, "local station of the riser and its bulkhead";
        station_tape: Option<String>, "the same in feet and inches";
        chain: Nm, "running station of the riser";
        tof_before: Amount<Length>, "top of footing before it";
        tof_before_tape: Option<String>, "the same in feet and inches";
        tof_after: Amount<Length>, "top of footing after it";
        tof_after_tape: Option<String>, "the same in feet and inches";
        overlap: Amount<Length>, "from riser to step in the subgrade";
        dirt_cut_wall: String, "wall that the step in the subgrade is on";
        dirt_cut: Nm, "local station of the step in the subgrade";
        dirt_cut_tape: Option<String>, "the same in feet and inches";
        bof_low: Amount<Length>, "lower bottom of footing";
        bof_low_tape: Option<String>, "the same in feet and inches";
        bof_high: Amount<Length>, "upper bottom of footing";
        bof_high_tape: Option<String>, "the same in feet and inches";
        dirt_step: Nm, "height of the step in the subgrade";
        east: Amount<Length>, "easting of the riser on the exposed face";
        north: Amount<Length>, "northing of the riser on the exposed face";
        cut_east: Amount<Length>, "easting of the step in the subgrade";
        cut_north: Amount<Length>, "northing of the step in the subgrade";
        rod_tof_before: Option<Nm>, "rod reading of the top before it";
        rod_tof_after: Option<Nm>, "rod reading of the top after it";
        rod_bof_low: Option<Nm>, "rod reading of the lower bottom";
        rod_bof_high: Option<Nm>, "rod reading of the upper bottom";
        overlap_concrete: Amount<Volume>, "concrete of the overlap";
        cost: Amount<Money>, "cost of the step by the layout rates" for Office;
        cost_nano: String, "the same as the exact whole number of 1e-9";
        level_before: Option<i64>, "level before it";
        level_after: Option<i64>, "level after it";
    }
    FOOTING_PIECES = "footing_pieces", "stretches of one wall, level and type", for Crew, by ["wall", "from"]: Footing {
        wall: String, "wall";
        from: Nm, "local station of its start";
        from_tape: Option<String>, "the same in feet and inches";
        to: Nm, "local station of its end";
        to_tape: Option<String>, "the same in feet and inches";
        level: Option<i64>, "level";
        r#type: String, "wall type";
        width: Nm, "footing width";
        thickness: Nm, "footing thickness";
        tof: Nm, "top of footing";
        tof_tape: Option<String>, "the same in feet and inches";
        bof: Nm, "bottom of footing";
        bof_tape: Option<String>, "the same in feet and inches";
    }
    STEM_PIECES = "stem_pieces", "stretches of one wall, level and top", for Crew, by ["wall", "from"]: Stem {
        wall: String, "wall";
        from: Nm, "local station of its start";
        to: Nm, "local station of its end";
        tof: Nm, "top of footing";
        top: Nm, "top of wall, where it slopes at the higher end";
        top_from: Nm, "top of wall at its start";
        top_to: Nm, "top of wall at its end";
        height: Nm, "stem height, where the top slopes at the higher end";
        stem: Amount<Length>, "stem thickness";
        r#type: String, "wall type";
        modules: usize, "whole panels on each face";
    }
    BOTTOM_PROFILE = "bottom_profile", "the dug bottom along the walls", for Crew, by ["from"]: BottomStretch {
        from: Nm, "running station of its start";
        to: Nm, "running station of its end";
        bof: Nm, "bottom of footing";
    }
    BOTTOM_PARTS = "bottom_parts", "the dug bottom in stretches of one height, top of footing and type", for Crew, by ["from"]: BottomPartRow {
        from: Nm, "running station of its start";
        to: Nm, "running station of its end";
        tof: Nm, "top of the footing that lies on it, the lower one under an overlap";
        bof: Nm, "bottom of footing";
        r#type: String, "wall type whose footing lies on it";
        width: Nm, "its width";
    }
    BOTTOM_CHANGES = "bottom_changes", "where the dug bottom changes: at a step in the subgrade, or where the thickness alone changes", for Crew, by ["chain"]: BottomChange {
        chain: Nm, "running station";
        place: String, "wall and local station";
        bof_before: Nm, "bottom of footing before it";
        bof_after: Nm, "bottom of footing after it";
        change: Nm, "how much higher it is after it";
        step: Option<usize>, "the step that it belongs to; none where the top of footing runs on";
    }
    OVERLAPS = "overlaps", "where a lower footing runs under an upper one, from riser to step in the subgrade", for Crew, by ["step"]: OverlapRow {
        step: usize, "number of the step, from station 0";
        from: Nm, "running station of its start";
        to: Nm, "running station of its end";
        length: Nm, "length";
        low_type: String, "type of the lower footing";
        high_type: String, "type of the upper footing";
        thickness: Nm, "concrete that it adds under the upper footing: difference of both bottoms";
    }
    CELL_LEVELS = "cell_levels", "level of each cell between the places where it may change", for Crew, by ["from"]: CellLevel {
        from: Nm, "running station of its start";
        to: Nm, "running station of its end";
        level: Option<i64>, "level";
    }
    ROD_READINGS = "rod_readings", "rod readings from the benchmark; every mark comes from it, never from the mark before", for Crew, by ["what", "elevation"]: Rod {
        what: String, "BOF bottom of footing, TOF top of footing";
        elevation: Amount<Length>, "elevation";
        elevation_tape: Option<String>, "the same in feet and inches";
        reading: Nm, "rod reading, exact";
        reading_tape: Option<String>, "to 1/16 in";
        tape_error: Option<Amount<Length>>, "printed less exact";
        hundredths: Option<Amount<Length>>, "to 0.01 ft";
        hundredths_error: Option<Amount<Length>>, "printed less exact";
        misread: Option<Amount<Length>>, "error of taking tenths of a foot for inches";
    }
}

/// A length as on a tape, for US jobs.
pub(super) fn tape(job: &WallJob, length: Nm) -> Option<String> {
    (job.style.system == System::Us).then(|| feet_inches(length, 16))
}

/// The level of a top of footing; blank where it is on none.
fn level_at(job: &WallJob, tof: Nm) -> Option<i64> {
    job.site.module.level_of(tof).map(i64::from)
}

pub(super) fn money(job: &WallJob, nano: i128) -> Amount<Money> {
    Amount::new(ratio(nano, 1_000_000_000), &job.style.currency)
}

pub(super) fn costs(job: &WallJob, layout: &Layout) -> Vec<LayoutCost> {
    let mut rows = vec![LayoutCost {
        code: "least_cost",
        layout: "least cost, proven",
        level: None,
        tof: None,
        steps: layout.steps.len(),
        cost: money(job, layout.cost),
        cost_nano: layout.cost.to_string(),
        equal_layouts: layout.equal_layouts.map(|n| n.to_string()),
    }];
    let cheapest = layout.one_level.iter().min_by_key(|one| one.cost);
    for one in &layout.one_level {
        let (code, layout) = match Some(one) == cheapest {
            true => ("one_level_cheapest", "unstepped footing, cheapest"),
            false => ("one_level", "unstepped footing"),
        };
        rows.push(LayoutCost {
            code,
            layout,
            level: Some(one.level.into()),
            tof: Some(one.tof),
            steps: 0,
            cost: money(job, one.cost),
            cost_nano: one.cost.to_string(),
            equal_layouts: None,
        });
    }
    rows
}

pub(super) fn rates(job: &WallJob) -> Vec<Rate> {
    let row = |line: &crate::price::RateLine| Rate {
        what: text(line.what),
        rate: AnyAmount(line.rate.clone(), job.style.unit(line.rate.dimension)),
        unit: text(job.style.unit(line.rate.dimension)),
        how: text(line.how),
    };
    job.rates.iter().map(row).collect()
}

pub(super) fn own_rules(job: &WallJob) -> Vec<OwnRule> {
    let row = |(hook, file): (crate::footing::RuleHook, String)| OwnRule {
        rule: text(hook.name().replace('_', " ")),
        file: text(file),
    };
    job.site.hooks.used().into_iter().map(row).collect()
}

pub(super) fn runs(job: &WallJob, layout: &Layout) -> Vec<Run> {
    let end = job.site.chain.length();
    let mut starts = vec![Nm::ZERO];
    starts.extend(layout.steps.iter().map(|step| step.station));
    let depth = |value: &BigRational| Amount::new(value.clone(), job.style.system.length());
    let row = |cut: &Cut| {
        let from = starts[cut.run];
        let to = starts.get(cut.run + 1).copied().unwrap_or(end);
        let piece = layout.footings.iter().find(|piece| piece.from == from);
        let tof = piece.map_or(Nm::ZERO, |piece| piece.tof);
        let wall_end = job.site.chain.wall_at(Nm(to.0 - 1));
        let (end_wall, _, to_local) = local(&job.site, wall_end, from, to);
        let to_place = match job.style.system {
            System::Us => format!("{end_wall} {}", feet_inches(to_local, 16)),
            System::Metric => format!("{end_wall} {}", job.style.system.show(to_local)),
        };
        Run {
            run: cut.run + 1,
            from_place: place_on_wall(job, from),
            to_place: text(to_place),
            from,
            to,
            length: to - from,
            level: level_at(job, tof),
            tof,
            tof_tape: tape(job, tof),
            cut: depth(&cut.depth),
            cut_place: place_on_wall(job, cut.station),
            key_cut: cut.key.as_ref().map(|(_, key)| depth(key)),
            key_cut_place: cut.key.as_ref().map(|(at, _)| place_on_wall(job, *at)),
            requires: text(requirements(cut.deepest().1, job.style.system).join("; ")),
        }
    };
    cuts(layout).iter().map(row).collect()
}

/// The deepest cut of all runs.
pub(super) fn deepest(job: &WallJob, layout: &Layout) -> Vec<Deepest> {
    let cuts = cuts(layout);
    let deepest = cuts.iter().map(Cut::deepest).max_by(|a, b| a.1.cmp(b.1));
    let row = |(station, depth): (Nm, &BigRational)| Deepest {
        depth: Amount::new(depth.clone(), job.style.system.length()),
        place: place_on_wall(job, station),
        requires: text(requirements(depth, job.style.system).join("; ")),
    };
    deepest.into_iter().map(row).collect()
}

pub(super) fn plane(job: &WallJob, point: Point) -> [Amount<Length>; 2] {
    [mark(job, point.e), mark(job, point.n)]
}

/// A coordinate or elevation of the stake-out, in the foot that the crew's instruments work in.
pub(super) fn mark(job: &WallJob, length: Nm) -> Amount<Length> {
    match job.survey_feet {
        // The job counts in survey feet already: the same number, by its name.
        true if job.style.system == System::Us => {
            Amount::length(as_survey_feet(length), "us_survey_ft")
        }
        true => Amount::length(as_survey_feet(length), job.style.system.length()),
        false => Amount::length(length, job.style.system.length()),
    }
}

/// Money as the exact whole number of 1e-9.
pub(super) fn nano(nano: i128) -> String {
    nano.to_string()
}

pub(super) fn steps(job: &WallJob, layout: &Layout) -> Vec<StepRow> {
    let site = &job.site;
    let small = job.style.system.small();
    let reading = |elevation: Nm| job.benchmark.as_ref().map(|mark| mark.reading(elevation).exact);
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
        StepRow {
            step: number + 1,
            wall: text(wall),
            station,
            station_tape: tape(job, station),
            chain: step.station,
            tof_before: mark(job, step.tof_before),
            tof_before_tape: tape(job, step.tof_before),
            tof_after: mark(job, step.tof_after),
            tof_after_tape: tape(job, step.tof_after),
            overlap: Amount::length(step.overlap, small),
            dirt_cut_wall: text(cut_on),
            dirt_cut: cut,
            dirt_cut_tape: tape(job, cut),
            bof_low: mark(job, step.bof_low),
            bof_low_tape: tape(job, step.bof_low),
            bof_high: mark(job, step.bof_high),
            bof_high_tape: tape(job, step.bof_high),
            dirt_step: drop,
            east: e,
            north: n,
            cut_east: cut_e,
            cut_north: cut_n,
            rod_tof_before: reading(step.tof_before),
            rod_tof_after: reading(step.tof_after),
            rod_bof_low: reading(step.bof_low),
            rod_bof_high: reading(step.bof_high),
            overlap_concrete: Amount::new(volume, job.style.system.volume()),
            cost: money(job, step.cost),
            cost_nano: step.cost.to_string(),
            level_before: level_at(job, step.tof_before),
            level_after: level_at(job, step.tof_after),
        }
    };
    layout.steps.iter().enumerate().map(row).collect()
}

pub(super) fn footings(job: &WallJob, layout: &Layout) -> Vec<Footing> {
    let site = &job.site;
    let row = |piece: &crate::footing::FootingPiece| {
        let kind = &site.types[piece.kind];
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        Footing {
            wall: text(wall),
            from,
            from_tape: tape(job, from),
            to,
            to_tape: tape(job, to),
            level: level_at(job, piece.tof),
            r#type: text(&kind.id),
            width: kind.width,
            thickness: kind.thickness,
            tof: piece.tof,
            tof_tape: tape(job, piece.tof),
            bof: piece.bof,
            bof_tape: tape(job, piece.bof),
        }
    };
    layout.footings.iter().map(row).collect()
}

pub(super) fn stems(job: &WallJob, layout: &Layout) -> Vec<Stem> {
    let site = &job.site;
    let grid = |wall: usize| &site.grid.walls[wall];
    let row = |piece: &crate::footing::StemPiece| {
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        let joints =
            grid(piece.wall).joints.iter().filter(|joint| from <= **joint && **joint <= to).count();
        Stem {
            wall: text(wall),
            from,
            to,
            tof: piece.tof,
            top: piece.top.high(),
            top_from: piece.top.at_from,
            top_to: piece.top.at_to,
            height: piece.height(),
            stem: Amount::length(site.walls[piece.wall].stem, job.style.system.small()),
            r#type: text(&site.types[piece.kind].id),
            modules: joints.saturating_sub(1),
        }
    };
    layout.stems.iter().map(row).collect()
}

pub(super) fn bottom(layout: &Layout) -> Vec<BottomStretch> {
    let mut merged: Vec<(Nm, Nm, Nm)> = Vec::new();
    for part in &layout.bottom {
        match merged.last_mut() {
            Some(last) if last.2 == part.bof => last.1 = part.to,
            _ => merged.push((part.from, part.to, part.bof)),
        }
    }
    let row = |(from, to, bof): &(Nm, Nm, Nm)| BottomStretch { from: *from, to: *to, bof: *bof };
    merged.iter().map(row).collect()
}

pub(super) fn bottom_parts(layout: &Layout) -> Vec<BottomPartRow> {
    let row = |part: &crate::footing::BottomPart| {
        let kind = &layout.site.types[part.kind];
        BottomPartRow {
            from: part.from,
            to: part.to,
            tof: part.tof,
            bof: part.bof,
            r#type: text(&kind.id),
            width: kind.width,
        }
    };
    layout.bottom.iter().map(row).collect()
}

pub(super) fn bottom_changes(job: &WallJob, layout: &Layout) -> Vec<BottomChange> {
    let ring = layout.site.chain.ring();
    // Of a ring the station after the end is that from the start.
    let on = |chain: Nm| ring.map_or(chain, |length| Nm(chain.0.rem_euclid(length.0)));
    let change = |before: &crate::footing::BottomPart, after: &crate::footing::BottomPart| {
        let chain = on(before.to);
        let step = layout.steps.iter().position(|step| on(step.cut()) == chain);
        (before.bof != after.bof).then(|| BottomChange {
            chain,
            place: place_on_wall(job, chain),
            bof_before: before.bof,
            bof_after: after.bof,
            change: after.bof - before.bof,
            step: step.map(|at| at + 1),
        })
    };
    let parts = &layout.bottom;
    let inside = parts.iter().zip(parts.iter().skip(1));
    let round = parts.last().zip(parts.first()).filter(|_| ring.is_some());
    inside.chain(round).filter_map(|(before, after)| change(before, after)).collect()
}

pub(super) fn overlaps(layout: &Layout) -> Vec<OverlapRow> {
    let types = &layout.site.types;
    let row = |(at, step): (usize, &crate::footing::Step)| OverlapRow {
        step: at + 1,
        from: step.strip().0,
        to: step.strip().1,
        length: step.overlap,
        low_type: text(&types[step.low_type].id),
        high_type: text(&types[step.high_type].id),
        thickness: step.bof_high - step.bof_low,
    };
    layout.steps.iter().enumerate().map(row).collect()
}

pub(super) fn levels(job: &WallJob, layout: &Layout) -> Vec<CellLevel> {
    let row = |stretch: &crate::footing::Stretch| CellLevel {
        from: stretch.from,
        to: stretch.to,
        level: level_at(job, stretch.tof),
    };
    layout.stretches.iter().map(row).collect()
}

pub(super) fn rods(job: &WallJob, layout: &Layout) -> Option<Vec<Rod>> {
    let benchmark = job.benchmark.as_ref()?;
    let sorted = |mut list: Vec<Nm>| {
        list.sort_unstable();
        list.dedup();
        list
    };
    let bottoms = sorted(layout.bottom.iter().map(|part| part.bof).collect());
    let tops = sorted(layout.footings.iter().map(|piece| piece.tof).collect());
    let all = bottoms.iter().map(|z| ("BOF", *z)).chain(tops.iter().map(|z| ("TOF", *z)));
    let us = job.style.system == System::Us;
    let inches = |length: Nm| us.then(|| Amount::length(length, "in"));
    let row = |(what, elevation): (&str, Nm)| {
        let reading = benchmark.reading(elevation);
        let (tape_reading, tape_error) = reading.sixteenths();
        let (hundredths, hundredths_error) = reading.hundredths();
        Rod {
            what: text(what),
            elevation: mark(job, elevation),
            elevation_tape: tape(job, elevation),
            reading: reading.exact,
            reading_tape: tape(job, tape_reading),
            tape_error: inches(tape_error),
            hundredths: us.then(|| Amount::length(hundredths, "ft")),
            hundredths_error: inches(hundredths_error),
            misread: us.then(|| Amount::new(reading.tenths_taken_for_inches(), "in")),
        }
    };
    Some(all.map(row).collect())
}
