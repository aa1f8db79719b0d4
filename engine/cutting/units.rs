//! What is to be cut, and the same in whole units.

use num_integer::Integer;

use crate::measure::Nm;
use crate::problem::Problem;

/// A stock length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutStock {
    /// Its length.
    pub length: Nm,
    /// What one costs: 1 where the fewest are wanted, its length where the least steel, its price where the least money.
    pub cost: i64,
}

/// Pieces to cut from stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutWork {
    /// The stock lengths.
    pub stock: Vec<CutStock>,
    /// Lengths of the pieces and how many of each.
    pub pieces: Vec<(Nm, u64)>,
    /// What each cut takes.
    pub kerf: Nm,
}

/// A way to cut a stock length, and how often.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutBar {
    /// Index of the stock.
    pub stock: usize,
    /// How many are cut so.
    pub times: u64,
    /// Indices of the pieces and how many of each, the longest first.
    pub cuts: Vec<(usize, u64)>,
}

/// The work in whole units of a length that divides all of it.
pub(super) struct CutUnits {
    /// Length and cost of each stock, the cut after the last piece included.
    pub(super) stock: Vec<(usize, i64)>,
    /// Length of each piece with its cut.
    pub(super) pieces: Vec<usize>,
    pub(super) demand: Vec<u64>,
}

/// Most units of a stock length times kinds of pieces.
const MOST_STATES: usize = 60_000_000;

impl CutWork {
    /// The work in whole units of the longest length that divides all of it.
    pub(super) fn units(&self) -> Result<CutUnits, Problem> {
        let longest = self.stock.iter().map(|stock| stock.length).max().unwrap_or(Nm::ZERO);
        if self.stock.iter().any(|stock| stock.length <= Nm::ZERO || stock.cost <= 0) {
            return Err(Problem::error("a stock length or its cost is not over 0"));
        }
        for (length, _) in &self.pieces {
            if *length <= Nm::ZERO {
                return Err(Problem::error("a piece to cut has no length"));
            }
            if *length > longest {
                return Err(Problem::error(format!(
                    "a piece of {:.3} m is longer than the longest stock, {:.3} m",
                    metres(*length),
                    metres(longest)
                ))
                .help("give a longer stock length, or lap the piece"));
            }
        }
        let lengths = self.pieces.iter().map(|(length, _)| *length + self.kerf);
        let stocks = self.stock.iter().map(|stock| stock.length + self.kerf);
        let unit = lengths.chain(stocks).fold(0_i64, |unit, length| unit.gcd(&length.0)).max(1);
        let whole = |length: Nm| usize::try_from((length + self.kerf).0 / unit).unwrap_or(0);
        if whole(longest).saturating_mul(self.pieces.len().max(1)) > MOST_STATES {
            return Err(Problem::error(
                "the pieces to cut share no measure with the stock that is coarse enough to count in",
            )
            .help("round the lengths of the pieces, to a sixteenth of an inch or a millimetre"));
        }
        Ok(CutUnits {
            stock: self.stock.iter().map(|stock| (whole(stock.length), stock.cost)).collect(),
            pieces: self.pieces.iter().map(|(length, _)| whole(*length)).collect(),
            demand: self.pieces.iter().map(|(_, count)| *count).collect(),
        })
    }
}

#[expect(clippy::cast_precision_loss, reason = "for a message only")]
fn metres(length: Nm) -> f64 {
    length.0 as f64 / 1e9
}

impl CutUnits {
    /// What the stock of some bars costs.
    pub(super) fn cost(&self, bars: &[CutBar]) -> i64 {
        let one = |bar: &CutBar| {
            let times = i64::try_from(bar.times).unwrap_or(i64::MAX);
            self.stock[bar.stock].1.saturating_mul(times)
        };
        bars.iter().map(one).fold(0, i64::saturating_add)
    }

    /// Every cost of stock is a multiple of this.
    pub(super) fn cost_step(&self) -> i64 {
        self.stock.iter().fold(0_i64, |step, (_, cost)| step.gcd(cost)).max(1)
    }

    /// Up to the next cost that stock can have.
    pub(super) fn up_to_step(&self, numerator: i128, denominator: i128) -> i64 {
        let step = i128::from(self.cost_step());
        let steps = num_integer::Integer::div_ceil(&numerator, &(denominator * step));
        i64::try_from(steps * step).unwrap_or(i64::MAX)
    }

    pub(super) fn length_bound(&self) -> i64 {
        let one = |(length, count): (&usize, &u64)| *length as i128 * i128::from(*count);
        let whole: i128 = self.pieces.iter().zip(&self.demand).map(one).sum();
        let bounds = self.stock.iter().map(|(length, cost)| {
            self.up_to_step(whole * i128::from(*cost), (*length).max(1) as i128)
        });
        bounds.min().unwrap_or(0)
    }
}
