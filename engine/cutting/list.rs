//! A cut list: pieces, the stock that they are cut from, and the plan.

use super::plan::CutPlan;
use super::units::{CutStock, CutWork};
use crate::measure::Nm;
use crate::problem::Problem;

/// Pieces with the plan that cuts them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutList {
    /// What is cut from what.
    pub work: CutWork,
    /// The plan.
    pub plan: CutPlan,
}

impl CutList {
    /// Fewest pieces of stock from one length, least length from several.
    ///
    /// # Errors
    /// As [`CutWork::plan`].
    pub fn of(stock: &[Nm], kerf: Nm, pieces: Vec<(Nm, u64)>) -> Result<Self, Problem> {
        let unit = stock.iter().fold(0, |unit, length| num_integer::gcd(unit, length.0)).max(1);
        let cost = |length: Nm| if stock.len() > 1 { length.0 / unit } else { 1 };
        let stock = stock.iter().map(|length| CutStock { length: *length, cost: cost(*length) });
        let work = CutWork { stock: stock.collect(), pieces, kerf };
        let plan = work.plan()?;
        Ok(Self { work, plan })
    }

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

    /// What a plan's cost counts in where there are several stock lengths: a length.
    pub fn cost_in(&self) -> Option<Nm> {
        let [first, _, ..] = self.work.stock.as_slice() else { return None };
        Some(Nm(first.length.0 / first.cost.max(1)))
    }
}
