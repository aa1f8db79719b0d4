//! Price: rates and, later, the lines of an offer.

mod bid;
mod rates;

pub use bid::*;
pub use rates::*;
