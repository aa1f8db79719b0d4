//! Price: rates and, later, the lines of an offer.

mod bid;
mod rates;

/// Ranges of the inputs.
pub mod limits {
    pub use super::bid::{
        BASE, BURDEN, COST, DELAY, MAN_HOURS, MARGIN, MARKUP, RATE, STEP, TOLERANCE, WAGE, WAGES,
        WORK, WORKDAY,
    };
}

pub use bid::{
    Extension, RoundedLines, burdened_wage, capped_burden, extension_check, man_days,
    margin_of_markup, markup_of_margin, price_with_margin, price_with_markup, rounded_lines,
};
pub use rates::{NO_RATE, PriceBook, RateLine, RatesGiven, step_rates};
