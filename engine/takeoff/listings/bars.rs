//! Bars: what stands where, what is bent and cut, and what it weighs.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::BigRational;
use num_traits::Zero;

use super::steps::tape;
use super::text;
use crate::footing::local;
use crate::listing::{Amount, listings};
use crate::measure::{Choice, Length, Nm, System, Weight, ratio};
use crate::rebar::{
    BarGroup, BarList, BarMark, BarRole, Bend, SteelSpec, bend_deduction, code_lap,
};
use crate::takeoff::{Takeoff, WallJob};

listings! {
    BAR_TOTALS = "bar_totals", "bars by what they are for and size", for Engineer, by ["role", "bar"]: BarTotal {
        role: &'static str, "what they are for";
        bar: String, "size";
        count: i64, "bars, or lines of lapped bars";
        pieces: i64, "bars that are cut";
        length: Nm, "length of all, laps included";
        weight: Amount<Weight>, "weight";
    }
    BAR_WEIGHTS = "bar_weights", "weight of the bars by size, waste not included", for Engineer, by ["bar"]: BarWeight {
        bar: String, "size";
        length: Nm, "length of all, laps included";
        weight: Amount<Weight>, "weight";
    }
    BARS_PLACED = "bars_placed", "what stands where: the placing list", for Crew, by []: PlacedBars {
        marks: String, "marks of the bars";
        role: &'static str, "what they are for";
        wall: String, "wall";
        from: Nm, "local station of the stretch";
        to: Nm, "local station of its end";
        r#type: Option<String>, "wall type";
        bar: String, "size";
        count: i64, "bars, or lines of lapped bars";
        length: Nm, "length of one bar, or of one line";
        pieces: i64, "bars of one line";
        spread: Option<Nm>, "length that they are spread over";
        first: Option<Nm>, "local station of the first";
        first_tape: Option<String>, "the same in feet and inches";
        spacing: Option<Amount<Length>>, "widest spacing of the plan";
        gap: Option<Amount<Length>>, "from one to the next";
        elevation: Option<Nm>, "elevation, for a row of the stem";
        weight: Amount<Weight>, "weight";
    }
    BAR_ROWS = "bar_rows", "horizontal rows of the stem by wall", for Engineer, by ["wall"]: BarRowCount {
        wall: String, "wall";
        rows: usize, "number of rows";
        caution: String, "the caution";
    }
    BEND_LIST = "bend_list", "bars to cut and bend, by mark", for Crew, by ["mark"]: BendRow {
        mark: String, "mark";
        role: &'static str, "what they are for";
        bar: String, "size";
        count: i64, "how many";
        bends: usize, "right-angled bends";
        a: Nm, "first straight leg, out to out";
        b: Option<Nm>, "second leg";
        c: Option<Nm>, "third leg";
        length: Nm, "length out to out along the legs";
        cut_length: Amount<Length>, "length to cut, less what the bends take";
        weight: Amount<Weight>, "weight by the length out to out";
    }
    BAR_LAPS = "bar_laps", "laps of the plan beside those of the code", for Engineer, by ["bar"]: LapRow {
        bar: String, "size";
        lap: Amount<Length>, "lap of the plan";
        code_lap: Option<Amount<Length>>, "class B tension lap by ACI 318-14, bottom bars, uncoated, normal weight";
        short_by: Option<Amount<Length>>, "how much the plan's is shorter";
        caution: String, "whose limit it is";
    }
}

/// Bars that the takeoff has; nothing where the plan gives none.
pub(super) fn list(takeoff: &Takeoff) -> Option<&BarList> {
    takeoff.bars()?.as_ref().ok()
}

fn weight(job: &WallJob, weight: BigRational) -> Amount<Weight> {
    Amount::new(weight, if job.style.system == System::Us { "lb" } else { "kg" })
}

pub(super) fn show(job: &WallJob, length: Nm) -> String {
    tape(job, length).unwrap_or_else(|| job.style.system.show(length))
}

pub(super) fn totals(takeoff: &Takeoff) -> Option<Vec<BarTotal>> {
    let list = list(takeoff)?;
    let mut sums: BTreeMap<(&str, usize), (i64, i64, Nm, BigRational)> = BTreeMap::new();
    for group in &list.groups {
        let sum = sums.entry((group.role.name(), group.bar)).or_default();
        sum.0 += if group.counted { group.count } else { 0 };
        sum.1 += group.bars();
        sum.2 += group.total(&list.spec);
        sum.3 += group.weight(&list.spec);
    }
    let row = |((role, bar), sum): ((&'static str, usize), (i64, i64, Nm, BigRational))| BarTotal {
        role,
        bar: text(&list.spec.bars[bar].name),
        count: sum.0,
        pieces: sum.1,
        length: sum.2,
        weight: weight(&takeoff.job, sum.3),
    };
    Some(sums.into_iter().map(row).collect())
}

pub(super) fn weights(takeoff: &Takeoff) -> Option<Vec<BarWeight>> {
    let list = list(takeoff)?;
    let of = |(at, bar): (usize, &crate::rebar::NamedBar)| {
        let groups = || list.groups.iter().filter(move |group| group.bar == at);
        groups().next()?;
        let length = groups().fold(Nm::ZERO, |sum, group| sum + group.total(&list.spec));
        let sum = groups().fold(BigRational::zero(), |sum, group| sum + group.weight(&list.spec));
        Some(BarWeight { bar: text(&bar.name), length, weight: weight(&takeoff.job, sum) })
    };
    Some(list.spec.bars.iter().enumerate().filter_map(of).collect())
}

pub(super) fn placed(takeoff: &Takeoff) -> Option<Vec<PlacedBars>> {
    let (job, list) = (&takeoff.job, list(takeoff)?);
    let small = job.style.system.small();
    let row = |(group, marks): (&BarGroup, &Vec<usize>)| {
        let (wall, from, to) = local(&job.site, group.wall, group.from, group.to);
        let marks: Vec<&str> = marks.iter().map(|at| list.marks[*at].mark.as_str()).collect();
        PlacedBars {
            marks: marks.join(", "),
            role: group.role.name(),
            wall,
            from,
            to,
            r#type: group.kind.map(|kind| text(&job.site.types[kind].id)),
            bar: text(&list.spec.bars[group.bar].name),
            count: group.count,
            length: group.length,
            pieces: group.pieces,
            spread: (group.spread > Nm::ZERO).then_some(group.spread),
            first: group.first,
            first_tape: group.first.and_then(|first| tape(job, first)),
            spacing: group.kind.and_then(|kind| {
                let bars = &list.spec.types[kind];
                let spacing = match group.role {
                    BarRole::Vertical | BarRole::Dowel => bars.vertical_spacing,
                    BarRole::Transverse => bars.transverse_spacing,
                    _ => return None,
                };
                Some(Amount::length(spacing, small))
            }),
            gap: group.gap.clone().map(|gap| Amount::new(gap, small)),
            elevation: group.elevation,
            weight: weight(job, group.weight(&list.spec)),
        }
    };
    Some(list.groups.iter().zip(&list.marks_of).map(row).collect())
}

pub(super) fn rows(takeoff: &Takeoff) -> Option<Vec<BarRowCount>> {
    let (job, list) = (&takeoff.job, list(takeoff)?);
    let mut walls: BTreeMap<usize, BTreeSet<Nm>> = BTreeMap::new();
    for group in &list.groups {
        let row = group.elevation.filter(|_| group.role == BarRole::Horizontal);
        walls.entry(group.wall).or_default().extend(row);
    }
    let (rise, spacing) = (job.site.module.rise, list.spec.rules.row_spacing);
    let caution = match rise.0 % spacing.0 {
        0 => String::new(),
        _ if spacing.0 % rise.0 == 0 => String::new(),
        _ => format!(
            "rows {} apart do not divide a rise of {}: beside a step the rows of the two sides are at other heights above their footings",
            show(job, spacing),
            show(job, rise)
        ),
    };
    let row = |(wall, rows): (usize, BTreeSet<Nm>)| {
        let tops = job.site.walls[wall].all_tops();
        let near = |z: &Nm, top: Nm| *z < top && top - *z < list.spec.rules.top_cover;
        let high = tops.flat_map(|top| rows.iter().filter(move |z| near(z, top))).next();
        let high = high
            .map(|z| format!("the row at {} is nearer to the top than its cover", show(job, *z)));
        let slopes = job.site.walls[wall].slopes().then(|| {
            "the top slopes: rows end with the panel whose lower end they reach, verticals are as long as at the higher end of their panel: cut them, and keep the cover".to_owned()
        });
        let told = [Some(caution.clone()).filter(|text| !text.is_empty()), high, slopes];
        BarRowCount {
            wall: text(&job.site.chain.walls()[wall].id),
            rows: rows.len(),
            caution: told.into_iter().flatten().collect::<Vec<_>>().join("; "),
        }
    };
    Some(walls.into_iter().map(row).collect())
}

/// What the bends take: by the table of the standard bar, else two and a half diameters each. Common practice.
fn bend_loss(spec: &SteelSpec, mark: &BarMark) -> BigRational {
    let bar = &spec.bars[mark.bar];
    let bends = i128::try_from(mark.legs.len().saturating_sub(1)).unwrap_or(0);
    let each = bend_deduction(&bar.name, Bend::Right).and_then(Length::to_nm);
    let each =
        each.map_or_else(|_| ratio(bar.diameter.wide() * 5, 2), |loss| ratio(loss.wide(), 1));
    each * ratio(bends, 1)
}

pub(super) fn bends(takeoff: &Takeoff) -> Option<Vec<BendRow>> {
    let (job, list) = (&takeoff.job, list(takeoff)?);
    let row = |mark: &BarMark| BendRow {
        mark: text(&mark.mark),
        role: mark.role.name(),
        bar: text(&list.spec.bars[mark.bar].name),
        count: mark.count,
        bends: mark.legs.len().saturating_sub(1),
        a: mark.legs.first().copied().unwrap_or(Nm::ZERO),
        b: mark.legs.get(1).copied(),
        c: mark.legs.get(2).copied(),
        length: mark.length(),
        cut_length: Amount::new(
            ratio(mark.length().wide(), 1) - bend_loss(&list.spec, mark),
            job.style.system.length(),
        ),
        weight: weight(job, mark.weight(&list.spec)),
    };
    Some(list.marks.iter().map(row).collect())
}

pub(super) fn laps(takeoff: &Takeoff) -> Option<Vec<LapRow>> {
    let (job, list) = (&takeoff.job, list(takeoff)?);
    let small = job.style.system.small();
    let row = |bar: &crate::rebar::NamedBar| {
        let code = code_lap(&list.spec, &bar.name);
        let short = code.filter(|code| *code > bar.lap).map(|code| code - bar.lap);
        LapRow {
            bar: text(&bar.name),
            lap: Amount::length(bar.lap, small),
            code_lap: code.map(|code| Amount::length(code, small)),
            short_by: short.map(|short| Amount::length(short, small)),
            caution: match (code, short) {
                (_, Some(_)) => "shorter than the code's: ask the engineer of record, whose lap governs".to_owned(),
                (Some(_), None) => "the lap of the plan is the engineer of record's".to_owned(),
                (None, _) => "not set beside the code: it takes an inch-pound bar up to #11 and both strengths in [bars]".to_owned(),
            },
        }
    };
    Some(list.spec.bars.iter().map(row).collect())
}
