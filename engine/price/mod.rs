//! Price: rates and, later, the lines of an offer.

mod rates;

pub use rates::{PriceBook, RateLine, RatesGiven, step_rates};
