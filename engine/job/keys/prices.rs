//! Prices, the layout rates and the bid.

use super::super::KeyKind;
use super::super::KeyKind::{Amount, Choice, Percent};
use super::Need::{Optional, Required};
use super::{Part, key, table};
use crate::measure::Dimension;

const PER_VOLUME: KeyKind = Amount(Dimension::MONEY_PER_VOLUME, "42.25 usd/cy");
const PER_AREA: KeyKind = Amount(Dimension::MONEY_PER_AREA, "9.50 usd/sf");
const EACH: KeyKind = Amount(Dimension::MONEY, "185 usd");

/// The part.
pub(super) const PART: Part = Part {
    tables: &[
        table("prices", false, true, "prices that the layout rates follow from"),
        table(
            "layout_rates",
            false,
            true,
            "layout rates given outright; each one missing follows from the prices",
        ),
        table("bid", false, false, "overhead and profit; with it the workbook has a price sheet"),
    ],
    keys: &[
        key("prices.footing_concrete", PER_VOLUME, Optional, "footing concrete delivered"),
        key("prices.wall_concrete", PER_VOLUME, Optional, "wall concrete delivered"),
        key("prices.pump", PER_VOLUME, Optional, "pump"),
        key("prices.wall_forms", PER_AREA, Optional, "wall forms, by contact area"),
        key(
            "prices.strip_and_clean",
            PER_AREA,
            Optional,
            "stripping and cleaning, by contact area",
        ),
        key("prices.riser_each", EACH, Optional, "one footing riser"),
        key(
            "prices.rise",
            Amount(Dimension::MONEY_PER_LENGTH, "45 usd/ft"),
            Optional,
            "footing risers, by height",
        ),
        key("prices.dig", PER_VOLUME, Optional, "digging, by bank volume"),
        key("prices.haul", PER_VOLUME, Optional, "hauling, by loose volume"),
        key("prices.drain_rock", PER_VOLUME, Optional, "drain rock, placed"),
        key(
            "prices.bars",
            Amount(Dimension::MONEY_PER_WEIGHT, "1.34 usd/lb"),
            Optional,
            "reinforcing steel in place, by weight",
        ),
        key("bid.overhead", Percent(100), Required, "overhead on the direct cost, percent"),
        key("bid.profit", Percent(100), Required, "profit on direct cost and overhead, percent"),
        key(
            "bid.layout",
            Choice(&["as drawn", "least cost"]),
            Optional,
            "which steps are bid, the other beside them; without it those of the plan where it draws them",
        ),
        key("layout_rates.footing_concrete", PER_VOLUME, Optional, "footing concrete"),
        key("layout_rates.wall_concrete", PER_VOLUME, Optional, "wall concrete"),
        key("layout_rates.forms_one_face", PER_AREA, Optional, "wall forms, by area of one face"),
        key("layout_rates.dig", PER_VOLUME, Optional, "digging, by bank volume"),
        key("layout_rates.riser_each", EACH, Optional, "one footing riser"),
        key("layout_rates.rise_each_level", EACH, Optional, "each level that a riser rises"),
    ],
};
