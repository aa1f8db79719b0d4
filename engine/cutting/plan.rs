//! What is to be cut, and the plan for it.

use super::certificate::Certificate;
use super::first_fit::first_fit;
use super::search::search;
use super::units::{CutBar, CutWork};
use crate::problem::Problem;

/// A plan for all pieces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutPlan {
    /// What is cut how.
    pub bars: Vec<CutBar>,
    /// What the stock costs.
    pub cost: i64,
    /// No plan costs less.
    pub bound: i64,
    /// Why not: worths of the pieces.
    pub certificate: Certificate,
    /// Whether the bound is from branching over every filling, higher than that of the worths.
    pub branched: bool,
    /// What first fit, the longest piece first, costs.
    pub first_fit: i64,
    /// What the pieces would cost laid end to end in the cheapest stock.
    pub length_bound: i64,
}

impl CutPlan {
    /// Whether no plan costs less.
    pub fn proven(&self) -> bool {
        self.cost == self.bound
    }

    /// How many stock lengths it takes.
    pub fn count(&self) -> u64 {
        self.bars.iter().map(|bar| bar.times).sum()
    }
}

impl CutWork {
    /// Finds a plan at the least cost that the search reaches, and how far from the least it may be. Nothing in it depends
    /// on a clock: the same work gives the same plan.
    ///
    /// # Errors
    /// A piece is longer than the stock, a length is not positive, or lengths and stock have no common measure that is
    /// coarse enough to count in.
    pub fn plan(&self) -> Result<CutPlan, Problem> {
        let units = self.units()?;
        let first = first_fit(&units);
        let (bars, certificate, branched) = search(&units, &first);
        let cost = units.cost(&bars);
        let of_worths = certificate.bound(&units);
        let bound = branched.map_or(of_worths, |bound| bound.max(of_worths));
        let branched = bound > of_worths;
        Ok(CutPlan {
            cost,
            bound,
            branched,
            first_fit: units.cost(&first),
            length_bound: units.length_bound(),
            bars,
            certificate,
        })
    }
}
