//! How bars are cut from stock: the verticals, dowels and transverse bars of each size together.

use std::collections::BTreeMap;

use super::list::BarList;
use crate::cutting::CutList;
use crate::measure::Nm;
use crate::problem::{Faults, Outcome};

/// The cut list of one size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarCuts {
    /// Index of the size.
    pub bar: usize,
    /// Its cut list.
    pub list: CutList,
}

/// The cut list of every size that is cut to length.
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
    let mut faults = Faults::none();
    let mut lists = Vec::new();
    for (bar, lengths) in wanted {
        let pieces = lengths.into_iter().map(|(length, count)| (length.0, count)).collect();
        let named = |problem: crate::problem::Problem| {
            Faults::from(problem.detail(format!("cutting the bars {}", list.spec.bars[bar].name)))
        };
        let made = CutList::of(
            &rules.stock,
            list.spec.bars[bar].stock_prices.as_deref(),
            rules.kerf,
            pieces,
        )
        .map_err(named);
        lists.extend(faults.keep(made).map(|list| BarCuts { bar, list }));
    }
    faults.or_value(Some(lists))
}
