//! How bars are cut from stock: the verticals, dowels and transverse bars of each size together.

use std::collections::BTreeMap;

use super::list::BarList;
use crate::cutting::{CutPlan, CutStock, CutWork};
use crate::measure::Nm;
use crate::problem::{Faults, Outcome};

/// The cut list of one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarCuts {
    /// Index of the size.
    pub bar: usize,
    /// What is cut from what.
    pub work: CutWork,
    /// The plan.
    pub plan: CutPlan,
}

impl BarCuts {
    /// Length of all pieces.
    pub fn wanted(&self) -> i128 {
        let one = |(length, count): &(Nm, u64)| length.wide() * i128::from(*count);
        self.work.pieces.iter().map(one).sum()
    }

    /// Length of all stock that is cut.
    pub fn bought(&self) -> i128 {
        let stock = &self.work.stock;
        let bars = self.plan.bars.iter();
        bars.map(|bar| stock[bar.stock].length.wide() * i128::from(bar.times)).sum()
    }

    /// What a plan's cost counts in: one bar, or a length of stock.
    pub fn cost_in(&self) -> Option<Nm> {
        let [first, .., _] = self.work.stock.as_slice() else { return None };
        Some(Nm(first.length.0 / first.cost.max(1)))
    }
}

/// The cut list of every size that is cut to length; fewest bars from one stock length, least length from several.
///
/// # Errors
/// A bar is longer than the stock, or the lengths share no measure with it.
pub fn cut_lists(list: &BarList) -> Outcome<Vec<BarCuts>> {
    let rules = &list.spec.rules;
    let mut wanted: BTreeMap<usize, BTreeMap<std::cmp::Reverse<Nm>, u64>> = BTreeMap::new();
    for mark in list.marks.iter().filter(|mark| mark.role.cut_to_length()) {
        let lengths = wanted.entry(mark.bar).or_default();
        *lengths.entry(std::cmp::Reverse(mark.length())).or_default() +=
            u64::try_from(mark.count).unwrap_or(0);
    }
    let unit = rules.stock.iter().fold(0, |unit, length| num_integer::gcd(unit, length.0)).max(1);
    let cost = |length: Nm| if rules.stock.len() > 1 { length.0 / unit } else { 1 };
    let stock: Vec<CutStock> = rules
        .stock
        .iter()
        .map(|length| CutStock { length: *length, cost: cost(*length) })
        .collect();
    let mut faults = Faults::none();
    let mut lists = Vec::new();
    for (bar, lengths) in wanted {
        let pieces = lengths.into_iter().map(|(length, count)| (length.0, count)).collect();
        let work = CutWork { stock: stock.clone(), pieces, kerf: rules.kerf };
        let named = |problem: crate::problem::Problem| {
            Faults::from(problem.detail(format!("cutting the bars {}", list.spec.bars[bar].name)))
        };
        if let Some(plan) = faults.keep(work.plan().map_err(named)) {
            lists.push(BarCuts { bar, work, plan });
        }
    }
    faults.or_value(Some(lists))
}
