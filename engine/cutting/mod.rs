//! Cutting pieces from stock: a plan, and a lower bound that anybody can check.
//!
//! The bound comes from a worth for each piece: no stock can hold more worth than it costs, so the demand cannot be had for
//! less than its whole worth. The worths are whole numbers over one denominator, and the check of them is exact.

mod branches;
mod certificate;
mod first_fit;
mod knapsack;
mod list;
mod master;
mod plan;
mod search;
mod units;

pub use certificate::Certificate;
pub use list::{CutCost, CutList};
pub use plan::CutPlan;
pub use units::{CutBar, CutStock, CutWork};
