//! Price: rates and, later, the lines of an offer.

mod bid;
mod rates;

/// Ranges of the inputs.
pub mod limits {
    pub use super::bid::{BASE, COST, MARGIN, MARKUP, RATE, STEP, TOLERANCE, WAGES};
}

pub use bid::{
    Extension, RoundedLines, capped_burden, extension_check, margin_of_markup, markup_of_margin,
    price_with_margin, price_with_markup, rounded_lines,
};
pub use rates::{NO_RATE, PriceBook, RateLine, RatesGiven, step_rates};
