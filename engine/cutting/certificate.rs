//! The proof that no plan costs less.

use super::knapsack::Fillings;
use super::units::CutUnits;

/// A worth for each piece, over one denominator for each stock length: what the fullest stock of that length is worth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Certificate {
    /// Worth of each piece.
    pub worths: Vec<i64>,
    /// Worth of the fullest filling of each stock length.
    pub fullest: Vec<i64>,
}

/// Worths are counted in parts of this.
const PARTS: f64 = 1e9;

impl Certificate {
    /// From worths that are nearly right; whatever they are, the bound that follows holds.
    pub(super) fn of(units: &CutUnits, worths: &[f64]) -> Self {
        let highest = units.stock.iter().map(|(_, cost)| *cost).max().unwrap_or(1);
        #[expect(clippy::cast_precision_loss, reason = "costs of stock are small")]
        let scale = PARTS / highest as f64;
        #[expect(clippy::cast_possible_truncation, reason = "whole, and no more than the parts")]
        let whole = |worth: &f64| crate::measure::round::floor_f64(worth.max(0.0) * scale) as i64;
        let worths: Vec<i64> = worths.iter().map(whole).collect();
        let longest = units.stock.iter().map(|(length, _)| *length).max().unwrap_or(0);
        let fillings = Fillings::new(longest, &units.pieces, &worths, &units.demand);
        let fullest = units.stock.iter().map(|(length, _)| fillings.worth(*length)).collect();
        Self { worths, fullest }
    }

    /// No plan costs less than this: the whole worth of the demand, at the most worth that a cost buys.
    pub(super) fn bound(&self, units: &CutUnits) -> i64 {
        let one = |(worth, count): (&i64, &u64)| i128::from(*worth) * i128::from(*count);
        let whole: i128 = self.worths.iter().zip(&units.demand).map(one).sum();
        // The dearest worth: cost over fullest, least over the stock.
        let bounds = units.stock.iter().zip(&self.fullest).filter(|(_, fullest)| **fullest > 0);
        let bounds = bounds.map(|((_, cost), fullest)| {
            units.up_to_step(whole * i128::from(*cost), i128::from(*fullest))
        });
        bounds.min().unwrap_or(0)
    }
}
