//! Bars: what stands where, what is bent and cut, and what it weighs.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::BigRational;
use num_traits::Zero;

use super::steps::tape;
use super::text;
use crate::cutting::CutList;
use crate::footing::local;
use crate::forms::LumberCuts;
use crate::listing::{Amount, Datum, listings};
use crate::measure::{Choice, Length, Nm, Ratio, System, Weight, ratio};
use crate::rebar::{
    BarCuts, BarGroup, BarList, BarMark, BarRole, Bend, SteelSpec, bend_deduction, code_lap,
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
        caution: String, "what to watch";
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
        lap: Nm, "lap of the plan";
        code_lap: Option<Amount<Length>>, "class B tension lap by ACI 318-14, bottom bars, uncoated, normal weight";
        short_by: Option<Amount<Length>>, "how much the plan's is shorter";
        caution: String, "whose limit it is";
    }
    CUT_LISTS = "cut_lists", "stock that the verticals, dowels and transverse bars are cut from", for Crew, by ["bar"]: CutRow {
        bar: String, "size";
        pieces: u64, "bars to cut";
        length: Nm, "their length";
        stock: String, "stock lengths";
        bars: u64, "stock bars of the plan";
        bought: Nm, "their length";
        bound: Datum, "no plan takes less: stock bars, or length of stock";
        proven: bool, "whether the plan is proven to be the least";
        first_fit: Datum, "what first fit, the longest first, takes";
        length_bound: Datum, "what the length alone asks for";
        scrap: Amount<Ratio>, "share of the stock that is left over";
    }
    CUT_DEMAND = "cut_demand", "lengths to cut and their worth in the proof: from one stock length no bar holds more worth than 1, from several the bound is worked from the fullest of each", for Office, by ["bar", "length"]: CutDemand {
        bar: String, "size";
        length: Nm, "length of the piece";
        count: u64, "how many";
        worth: String, "worth of one, exactly";
    }
    LUMBER_CUTS = "lumber_cuts", "stock that boards and cross pieces of the footing are cut from", for Crew, by ["what"]: LumberCutRow {
        what: String, "what is cut";
        pieces: u64, "pieces to cut";
        length: Nm, "their length";
        stock: String, "stock lengths";
        bought: Nm, "length of the stock of the plan";
        bound: Datum, "no plan takes less: pieces of stock, or length of stock";
        proven: bool, "whether the plan is proven to be the least";
        scrap: Amount<Ratio>, "share of the stock that is left over";
    }
    LUMBER_PLANS = "lumber_plans", "how the lumber of the footing is cut", for Crew, by []: LumberPlanRow {
        what: String, "what is cut";
        stock: Nm, "stock length";
        times: u64, "how many are cut so";
        cuts: String, "pieces, the longest first";
        left: Nm, "left over of each";
    }
    CUT_PLANS = "cut_plans", "how the stock is cut", for Crew, by []: CutPlanRow {
        bar: String, "size";
        stock: Nm, "stock length";
        times: u64, "how many are cut so";
        cuts: String, "pieces, the longest first";
        left: Nm, "left over of each";
    }
}

/// Bars that the takeoff has; nothing where the plan gives none.
pub(super) fn list(takeoff: &Takeoff) -> Option<&BarList> {
    takeoff.bars()?.as_ref().ok()
}

fn weight(job: &WallJob, weight: BigRational) -> Amount<Weight> {
    Amount::new(weight, if job.style.system == System::Us { "lb" } else { "kg" })
}

fn show(job: &WallJob, length: Nm) -> String {
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
        let tops = job.site.walls[wall].tops.iter().map(|top| top.top);
        let near = |z: &Nm, top: Nm| *z < top && top - *z < list.spec.rules.top_cover;
        let high = tops.flat_map(|top| rows.iter().filter(move |z| near(z, top))).next();
        let high = high
            .map(|z| format!("the row at {} is nearer to the top than its cover", show(job, *z)));
        let told = [Some(caution.clone()).filter(|text| !text.is_empty()), high];
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
            lap: bar.lap,
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

fn cuts(takeoff: &Takeoff) -> Option<(&BarList, &Vec<BarCuts>)> {
    Some((list(takeoff)?, takeoff.bar_cuts()?.as_ref().ok()?))
}

pub(super) fn cut_lists(takeoff: &Takeoff) -> Option<Vec<CutRow>> {
    let (list, cuts) = cuts(takeoff)?;
    let row = |cut: &BarCuts| cut_row(&takeoff.job, text(&list.spec.bars[cut.bar].name), &cut.list);
    Some(cuts.iter().map(row).collect())
}

/// A cut list in one row.
pub(super) fn cut_row(job: &WallJob, bar: String, cut: &CutList) -> CutRow {
    let stock: Vec<String> = cut.work.stock.iter().map(|stock| show(job, stock.length)).collect();
    // Stock bars where there is one length, else the length of all.
    let cost = |cost: i64| match cut.cost_in() {
        None => Datum::Count(cost),
        Some(unit) => Datum::Length(unit * cost),
    };
    let (wanted, bought) = (cut.wanted(), cut.bought());
    CutRow {
        bar,
        pieces: cut.work.pieces.iter().map(|(_, count)| count).sum(),
        length: nm(wanted),
        stock: stock.join(", "),
        bars: cut.plan.count(),
        bought: nm(bought),
        bound: cost(cut.plan.bound),
        proven: cut.plan.proven(),
        first_fit: cost(cut.plan.first_fit),
        length_bound: cost(cut.plan.length_bound),
        scrap: Amount::new(ratio(bought - wanted, bought.max(1)), "percent"),
    }
}

/// The bars of stock of a cut list.
pub(super) fn plan_rows(job: &WallJob, name: &str, cut: &CutList) -> Vec<CutPlanRow> {
    let row = |bar: &crate::cutting::CutBar| {
        let stock = cut.work.stock[bar.stock].length;
        let piece =
            |(at, count): &(usize, u64)| format!("{count} x {}", show(job, cut.work.pieces[*at].0));
        let pieces: Vec<String> = bar.cuts.iter().map(piece).collect();
        let used = bar.cuts.iter().map(|(at, count)| {
            (cut.work.pieces[*at].0 + cut.work.kerf).wide() * i128::from(*count)
        });
        // The cut after the last piece too, unless nothing is left there.
        let left = (stock.wide() - used.sum::<i128>()).max(0);
        CutPlanRow {
            bar: text(name),
            stock,
            times: bar.times,
            cuts: pieces.join(" + "),
            left: nm(left),
        }
    };
    cut.plan.bars.iter().map(row).collect()
}

fn nm(length: i128) -> Nm {
    Nm(i64::try_from(length).unwrap_or(i64::MAX))
}

pub(super) fn cut_demand(takeoff: &Takeoff) -> Option<Vec<CutDemand>> {
    let (list, cuts) = cuts(takeoff)?;
    let of = |cut: &BarCuts| {
        let fullest = cut.list.plan.certificate.fullest.iter().copied().max().unwrap_or(1).max(1);
        let row = |((length, count), worth): (&(Nm, u64), &i64)| CutDemand {
            bar: text(&list.spec.bars[cut.bar].name),
            length: *length,
            count: *count,
            worth: ratio((*worth).into(), fullest.into()).to_string(),
        };
        cut.list
            .work
            .pieces
            .iter()
            .zip(&cut.list.plan.certificate.worths)
            .map(row)
            .collect::<Vec<_>>()
    };
    Some(cuts.iter().flat_map(of).collect())
}

pub(super) fn cut_plans(takeoff: &Takeoff) -> Option<Vec<CutPlanRow>> {
    let (list, cuts) = cuts(takeoff)?;
    let of = |cut: &BarCuts| plan_rows(&takeoff.job, &list.spec.bars[cut.bar].name, &cut.list);
    Some(cuts.iter().flat_map(of).collect())
}

fn of_lumber(takeoff: &Takeoff) -> Option<&Vec<LumberCuts>> {
    takeoff.lumber_cuts()?.as_ref().ok()
}

pub(super) fn lumber_cuts(takeoff: &Takeoff) -> Option<Vec<LumberCutRow>> {
    let row = |cut: &LumberCuts| {
        let CutRow { bar: what, pieces, length, stock, bought, bound, proven, scrap, .. } =
            cut_row(&takeoff.job, text(cut.what), &cut.list);
        LumberCutRow { what, pieces, length, stock, bought, bound, proven, scrap }
    };
    Some(of_lumber(takeoff)?.iter().map(row).collect())
}

pub(super) fn lumber_plans(takeoff: &Takeoff) -> Option<Vec<LumberPlanRow>> {
    let row = |CutPlanRow { bar: what, stock, times, cuts, left }: CutPlanRow| LumberPlanRow {
        what,
        stock,
        times,
        cuts,
        left,
    };
    let of = |cut: &LumberCuts| plan_rows(&takeoff.job, cut.what, &cut.list);
    Some(of_lumber(takeoff)?.iter().flat_map(of).map(row).collect())
}
