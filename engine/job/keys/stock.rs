//! Prices of stock lengths.

use super::super::KeyKind::{Amount, Length, Text};
use super::Need::Required;
use super::{Part, key, table};
use crate::measure::Dimension;

/// The part.
pub(super) const PART: Part = Part {
    tables: &[table(
        "stock_price[]",
        false,
        false,
        "price of a stock length; where all lengths of a stock have one, it is cut from the cheapest",
    )],
    keys: &[
        key("stock_price[].of", Text, Required, "lumber, or the name of a bar"),
        key(
            "stock_price[].length",
            Length("1 ft", "200 ft"),
            Required,
            "the stock length, one of lumber.stock or bars.stock",
        ),
        key(
            "stock_price[].price",
            Amount(Dimension::MONEY, "14.20 usd"),
            Required,
            "price of one piece of it",
        ),
    ],
};
