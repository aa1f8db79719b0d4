//! A cut list: pieces, the stock that they are cut from, and the plan.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, ToPrimitive, Zero};

use super::plan::CutPlan;
use super::units::{CutStock, CutWork};
use crate::measure::{Nm, ratio};
use crate::problem::Problem;

/// What the cost of a plan is counted in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CutCost {
    /// Pieces of stock: there is one length of it, without a price.
    Pieces,
    /// This length: there are several lengths, without prices.
    Length(Nm),
    /// This sum of money: every stock length has its price.
    Money(BigRational),
}

/// Pieces with the plan that cuts them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutList {
    /// What is cut from what.
    pub work: CutWork,
    /// The plan.
    pub plan: CutPlan,
    /// What its cost is counted in.
    pub cost_in: CutCost,
}

impl CutList {
    /// The cheapest stock where each length has its price; else the fewest pieces of one length, the least length of several.
    ///
    /// # Errors
    /// The prices share no sum coarse enough to count in; and as [`CutWork::plan`].
    pub fn of(
        stock: &[Nm],
        prices: Option<&[BigRational]>,
        kerf: Nm,
        pieces: Vec<(Nm, u64)>,
    ) -> Result<Self, Problem> {
        let (costs, cost_in) = match prices {
            Some(prices) => priced(prices)?,
            None if stock.len() > 1 => by_length(stock),
            None => (vec![1; stock.len()], CutCost::Pieces),
        };
        let stock =
            stock.iter().zip(costs).map(|(length, cost)| CutStock { length: *length, cost });
        let work = CutWork { stock: stock.collect(), pieces, kerf };
        let plan = work.plan()?;
        Ok(Self { work, plan, cost_in })
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

    /// What the stock of the plan costs, where every length has its price.
    pub fn price(&self) -> Option<BigRational> {
        let CutCost::Money(unit) = &self.cost_in else { return None };
        Some(unit * ratio(self.plan.cost.into(), 1))
    }
}

fn by_length(stock: &[Nm]) -> (Vec<i64>, CutCost) {
    let unit = stock.iter().fold(0, |unit, length| num_integer::gcd(unit, length.0)).max(1);
    (stock.iter().map(|length| length.0 / unit).collect(), CutCost::Length(Nm(unit)))
}

/// Prices in whole multiples of the largest sum that divides all of them.
fn priced(prices: &[BigRational]) -> Result<(Vec<i64>, CutCost), Problem> {
    let parts =
        prices.iter().fold(BigInt::one(), |all, one| num_integer::lcm(all, one.denom().clone()));
    let whole = |price: &BigRational| (price * &parts).to_integer();
    let unit = prices.iter().fold(BigInt::zero(), |unit, one| num_integer::gcd(unit, whole(one)));
    let unit = if unit.is_zero() { BigInt::one() } else { unit };
    let costs = prices.iter().map(|price| (whole(price) / &unit).to_i64());
    // Sums of millions of them are counted in whole numbers of 64 bits.
    let fits = |cost: &i64| *cost < 1 << 40;
    let costs: Option<Vec<i64>> = costs.map(|cost| cost.filter(fits)).collect();
    let Some(costs) = costs else {
        return Err(Problem::error(
            "the prices of the stock lengths share no sum coarse enough to count in",
        )
        .help("round them to the cent"));
    };
    Ok((costs, CutCost::Money(BigRational::new(unit, parts))))
}
