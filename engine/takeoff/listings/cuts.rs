//! How bars and lumber are cut from stock, and the proof that no plan takes less.

use super::bars::{list, show};
use super::text;
use crate::cutting::{CutCost, CutList};
use crate::forms::LumberCuts;
use crate::listing::{Amount, ColumnValue, Datum, listings};
use crate::measure::{Money, Nm, Ratio, ratio};
use crate::rebar::{BarCuts, BarList};
use crate::takeoff::{Takeoff, WallJob};

listings! {
    CUT_LISTS = "cut_lists", "stock that the verticals, dowels and transverse bars are cut from", for Crew, by ["bar"]: CutRow {
        bar: String, "size";
        pieces: u64, "bars to cut";
        length: Nm, "their length";
        stock: String, "stock lengths";
        bars: u64, "stock bars of the plan";
        bought: Nm, "their length";
        price: Option<Amount<Money>>, "what they cost, where each stock length has its price";
        bound: Datum, "no plan takes less: stock bars, length of stock, or money where each length has its price";
        proven: bool, "whether the plan is proven to be the least";
        proof: &'static str, "how: by the worths of the pieces, which anybody can check, or by branching over every filling to the end";
        first_fit: Datum, "what first fit, the longest first, takes";
        length_bound: Datum, "what the length alone requires";
        scrap: Amount<Ratio>, "share of the stock that is left over";
    }
    CUT_DEMAND = "cut_demand", "lengths to cut and their worth in the proof: from one stock length no bar holds more worth than 1, from several the bound is worked from the fullest of each", for Office, by ["bar", "length"]: CutDemand {
        bar: String, "size";
        length: Nm, "length of the piece";
        count: u64, "how many";
        worth: String, "worth of one, exactly";
    }
    LUMBER_CUTS = "lumber_cuts", "stock that boards and cross pieces of the footing are cut from", for Crew, by ["what"]: LumberCutRow {
        what: String, "what is cut, and the board where the job names it";
        pieces: u64, "pieces to cut";
        length: Nm, "their length";
        stock: String, "stock lengths";
        bought: Nm, "length of the stock of the plan";
        price: Option<Amount<Money>>, "what it costs, where each stock length has its price";
        bound: Datum, "no plan takes less: pieces of stock, length of stock, or money where each length has its price";
        proven: bool, "whether the plan is proven to be the least";
        proof: &'static str, "how: by the worths of the pieces, which anybody can check, or by branching over every filling to the end";
        scrap: Amount<Ratio>, "share of the stock that is left over";
    }
    LUMBER_PLANS = "lumber_plans", "how the lumber of the footing is cut", for Crew, by []: LumberPlanRow {
        what: String, "what is cut, and the board where the job names it";
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
    let money = |sum| Amount::<Money>::new(sum, &job.style.currency);
    let cost = |cost: i64| match &cut.cost_in {
        CutCost::Pieces => Datum::Count(cost),
        CutCost::Length(unit) => Datum::Length(*unit * cost),
        CutCost::Money(unit) => money(unit * ratio(cost.into(), 1)).datum(),
    };
    let (wanted, bought) = (cut.wanted(), cut.bought());
    CutRow {
        bar,
        pieces: cut.work.pieces.iter().map(|(_, count)| count).sum(),
        length: nm(wanted),
        stock: stock.join(", "),
        bars: cut.plan.count(),
        bought: nm(bought),
        price: cut.price().map(money),
        bound: cost(cut.plan.bound),
        proven: cut.plan.proven(),
        proof: match (cut.plan.proven(), cut.plan.branched) {
            (false, _) => "",
            (true, false) => "worths",
            (true, true) => "branches",
        },
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
        let CutRow {
            bar: what,
            pieces,
            length,
            stock,
            bought,
            price,
            bound,
            proven,
            proof,
            scrap,
            ..
        } = cut_row(&takeoff.job, cut.name(), &cut.list);
        LumberCutRow { what, pieces, length, stock, bought, price, bound, proven, proof, scrap }
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
    let of = |cut: &LumberCuts| plan_rows(&takeoff.job, &cut.name(), &cut.list);
    Some(of_lumber(takeoff)?.iter().flat_map(of).map(row).collect())
}
