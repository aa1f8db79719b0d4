//! The price over the lines of a quote: each holds its share of overhead, profit, tax and bond, and they add up to the cent.

use super::super::CalcSheets;
use super::super::costs::lines_of;
use super::super::sheets::PRICE_SHEET;
use super::quote::QuoteLine;
use crate::measure::{Dimension, round};
use crate::sheet::{NodeId, Origin};

/// The whole price over lines, in cents: each line by its place with its price, and what no line holds with none. Lines
/// that cost nothing are left out. Nothing where there is no price.
pub(super) fn over_lines(
    lines: &[&QuoteLine],
    calc: &CalcSheets,
) -> Option<Vec<(Option<usize>, i64)>> {
    let total = calc.total().and_then(|total| cents(total.base()))?;
    let costs = Costs::of(calc);
    let cost = |line: &&QuoteLine| {
        let each = line.of.iter().filter_map(|name| costs.money(name));
        cents(each.sum()).unwrap_or(0)
    };
    let mut shares: Vec<(Option<usize>, i64)> =
        lines.iter().map(cost).enumerate().map(|(at, cost)| (Some(at), cost)).collect();
    let named: i64 = shares.iter().map(|(_, share)| share).sum();
    let rest = direct_cents(calc).map_or(0, |direct| direct - named);
    // Each line is rounded once: what that leaves is no work.
    let of_rounding = i64::try_from(shares.len()).unwrap_or(0);
    shares.push((None, if rest.abs() <= of_rounding { 0 } else { rest }));
    shares.retain(|(_, share)| *share != 0);
    let only: Vec<i64> = shares.iter().map(|(_, share)| *share).collect();
    Some(match spread(total, &only) {
        Some(parts) => shares.iter().zip(parts).map(|((line, _), price)| (*line, price)).collect(),
        // A price that is made up otherwise is one line.
        None => vec![(None, total)],
    })
}

/// The lines of the direct cost that cost something and that none of these lines names.
pub(super) fn unnamed(lines: &[&QuoteLine], calc: &CalcSheets) -> Vec<String> {
    let costs = Costs::of(calc);
    let all = costs.direct.iter().flatten();
    let left = all.filter(|name| !lines.iter().any(|line| line.of.iter().any(|of| of == *name)));
    let costly =
        left.filter(|name| costs.money(name).and_then(cents).is_some_and(|cost| cost != 0));
    costly.map(|name| (*name).to_owned()).collect()
}

/// What the lines of the price sheet cost.
struct Costs<'a> {
    calc: &'a CalcSheets,
    /// Those that it counts as its direct cost, where it says so.
    direct: Option<Vec<&'a str>>,
}

impl<'a> Costs<'a> {
    fn of(calc: &'a CalcSheets) -> Self {
        let price = calc.sheets.iter().find(|sheet| sheet.name == PRICE_SHEET);
        Self { calc, direct: price.and_then(lines_of) }
    }

    /// What a line costs. Where the price says what its direct cost is, a line counts with that or not at all.
    fn money(&self, name: &str) -> Option<f64> {
        if self.direct.as_ref().is_some_and(|lines| !lines.contains(&name)) {
            return None;
        }
        let id = self.calc.book.find(&format!("{PRICE_SHEET}.{name}"))?;
        let is_cell = matches!(self.calc.book.node(id).origin, Origin::Cell { .. });
        is_cell.then(|| cell_money(self.calc, id)).flatten()
    }
}

/// A cell of the price; nothing where it is no money.
fn cell_money(calc: &CalcSheets, id: NodeId) -> Option<f64> {
    let value = calc.book.quantity(id)?;
    (value.dimension() == Dimension::MONEY).then_some(value.base())
}

/// What the price counts as its direct cost: the row `direct` of the price sheet, else all that the lines of the quote name.
fn direct_cents(calc: &CalcSheets) -> Option<i64> {
    cents(cell_money(calc, calc.book.find("price.direct")?)?)
}

/// A total in whole cents over shares, each in whole cents: exact shares rounded down, and the cents that are left to those
/// that lost most, of equals to the first.
///
/// Nothing where the shares add up to nothing.
fn spread(total: i64, shares: &[i64]) -> Option<Vec<i64>> {
    let whole: i128 = shares.iter().map(|share| i128::from(*share)).sum();
    if whole == 0 {
        return None;
    }
    let exact = |share: &i64| i128::from(total) * i128::from(*share);
    let mut parts: Vec<(i128, i128)> = shares
        .iter()
        .map(|share| (exact(share).div_euclid(whole), exact(share).rem_euclid(whole)))
        .collect();
    // A negative divisor leaves remainders of its size too.
    let left = i128::from(total) - parts.iter().map(|(part, _)| part).sum::<i128>();
    let mut order: Vec<usize> = (0..parts.len()).filter(|at| shares[*at] != 0).collect();
    order.sort_by(|a, b| parts[*b].1.cmp(&parts[*a].1));
    let step = left.signum();
    for at in order.into_iter().cycle().take(usize::try_from(left.abs()).ok()?) {
        parts[at].0 += step;
    }
    parts.into_iter().map(|(part, _)| i64::try_from(part).ok()).collect()
}

/// Money as whole cents; nothing beyond what can be counted in them.
#[expect(clippy::cast_possible_truncation, reason = "bounded just above")]
fn cents(money: f64) -> Option<i64> {
    let cents = round::nearest_f64(money * 100.0);
    (cents.abs() < 1e15).then_some(cents as i64)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::{cents, spread};

    #[test]
    fn what_is_left_goes_to_those_that_lost_most() {
        assert_eq!(spread(100, &[1, 1, 1]), Some(vec![34, 33, 33]));
        assert_eq!(spread(10_001, &[5_000, 2_500, 2_500]), Some(vec![5_001, 2_500, 2_500]));
        assert_eq!(spread(7, &[0, 3, 0]), Some(vec![0, 7, 0]));
        assert_eq!(spread(7, &[0, 0]), None);
        assert_eq!(cents(62_286.05), Some(6_228_605));
        assert_eq!(cents(1e300), None);
    }

    proptest! {
        #[test]
        fn shares_add_up_and_are_within_a_cent(
            total in 0_i64..100_000_000_000,
            shares in proptest::collection::vec(0_i64..1_000_000_000, 1..40),
        ) {
            let whole: i128 = shares.iter().map(|share| i128::from(*share)).sum();
            prop_assume!(whole > 0);
            let parts = spread(total, &shares).unwrap_or_default();
            prop_assert_eq!(parts.iter().sum::<i64>(), total);
            for (part, share) in parts.iter().zip(&shares) {
                let off = i128::from(*part) * whole - i128::from(total) * i128::from(*share);
                prop_assert!(off.abs() < whole, "{} of {}", part, share);
            }
        }
    }
}
