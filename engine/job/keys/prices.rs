//! Prices, the layout rates and the bid.

use super::super::KeyKind;
use super::super::KeyKind::{Amount, Choice, Percent, Rate, Text, Texts};
use super::super::missing::WORK_NAMES;
use super::Need::{Default, Optional, Required};
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
            "own_price[]",
            false,
            false,
            "a price of the job's own, for formulas and scripts as prices.NAME, and with times a line of the price; or one of prices, with who gave it and when",
        ),
        table(
            "layout_rates",
            false,
            true,
            "layout rates given outright; each one missing follows from the prices",
        ),
        table(
            "cost[]",
            false,
            false,
            "a part of a line of the price: its kind, and its rate or its share of the line",
        ),
        table(
            "left_out[]",
            false,
            false,
            "work that the job has and the price leaves out, and why",
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
        key("prices.dig", PER_VOLUME, Optional, "excavation, by bank volume"),
        key("prices.haul", PER_VOLUME, Optional, "hauling, by loose volume"),
        key("prices.drain_rock", PER_VOLUME, Optional, "drain rock, placed"),
        key("prices.tie", EACH, Optional, "one tie of the stem forms"),
        key(
            "prices.cut_filler",
            EACH,
            Optional,
            "one filler cut for its place, beside the area of the forms",
        ),
        key(
            "prices.extra_panel",
            EACH,
            Optional,
            "setting and stripping one panel more than the fewest, where the yard is short",
        ),
        key(
            "prices.pour_break",
            EACH,
            Optional,
            "a pour more, beside the forms of its joint, where the yard is short",
        ),
        key("prices.backfill", PER_VOLUME, Optional, "backfill, in place and compacted"),
        key("prices.fill_brought_in", PER_VOLUME, Optional, "earth brought in, by bank volume"),
        key("prices.edge_forms", PER_AREA, Optional, "edge forms of the footing, by area"),
        key(
            "prices.bars",
            Amount(Dimension::MONEY_PER_WEIGHT, "1.34 usd/lb"),
            Optional,
            "reinforcing steel in place, by weight",
        ),
        key(
            "own_price[].name",
            Text,
            Required,
            "its name in formulas, after prices., such as form_oil; a name of prices gives that price",
        ),
        key("own_price[].price", Rate("2.40 usd/sf"), Optional, "the price, with its unit; needed"),
        key("own_price[].what", Text, Optional, "what it is for"),
        key(
            "own_price[].times",
            Text,
            Optional,
            "what it is multiplied by in the price, a quantity as formulas name it such as takeoff.stem.order, or 1 for a lump sum; with it the price has a line of this name in its direct cost",
        ),
        key("own_price[].supplier", Text, Optional, "who gave it"),
        key("own_price[].date", Text, Optional, "when, yyyy-mm-dd"),
        key("bid.overhead", Percent(100), Required, "overhead on the direct cost, percent"),
        key("bid.profit", Percent(100), Required, "profit on direct cost and overhead, percent"),
        key("cost[].of", Text, Required, "name of the line in the price sheet, such as wall_forms"),
        key(
            "cost[].kind",
            Text,
            Required,
            "labour, material, equipment, subcontract, or a word of the firm's own",
        ),
        key(
            "cost[].rate",
            Rate("6.20 usd/sf"),
            Optional,
            "its part of the unit price; the rates of a line add up to its price",
        ),
        key("cost[].share", Percent(100), Optional, "its share of the line, percent"),
        key(
            "left_out[].work",
            Choice(&WORK_NAMES),
            Required,
            "the work, as the price names what it lacks",
        ),
        key("left_out[].why", Text, Required, "why it is not in the price, such as by others"),
        key(
            "left_out[].in_quote",
            Choice(&["excluded", "included", "not named"]),
            Default("excluded"),
            "what the client is told of it: excluded; included where another price holds it; or nothing",
        ),
        key("bid.markup_labour", Percent(100), Optional, "markup on labour, percent"),
        key("bid.markup_material", Percent(100), Optional, "markup on material, percent"),
        key("bid.markup_equipment", Percent(100), Optional, "markup on equipment, percent"),
        key("bid.markup_subcontract", Percent(100), Optional, "markup on subcontracts, percent"),
        key("bid.contingency", Percent(100), Optional, "contingency on the direct cost, percent"),
        key("bid.tax", Percent(100), Optional, "tax, percent of what it is paid on"),
        key("bid.tax_on", Texts, Optional, "kinds of cost that tax is paid on; without it all"),
        key("bid.bond", Percent(100), Optional, "bond on the price before it, percent"),
        key(
            "bid.layout",
            Choice(&["as drawn", "least cost"]),
            Optional,
            "which steps are bid, the other beside them; without it those of the plan where it draws them",
        ),
        key("layout_rates.footing_concrete", PER_VOLUME, Optional, "footing concrete"),
        key("layout_rates.wall_concrete", PER_VOLUME, Optional, "wall concrete"),
        key("layout_rates.forms_one_face", PER_AREA, Optional, "wall forms, by area of one face"),
        key("layout_rates.dig", PER_VOLUME, Optional, "excavation, by bank volume"),
        key("layout_rates.riser_each", EACH, Optional, "one footing riser"),
        key("layout_rates.rise_each_level", EACH, Optional, "each level that a riser rises"),
    ],
};
