//! Waste, swell, the dig and the drain.

use super::super::KeyKind::{Amount, Choice, Length, Percent, Slope};
use super::Need::{Default, Optional, Usual};
use super::{Part, key, table};
use crate::earth::{Bank, DigShape, LaybackFrom};
use crate::measure::Dimension;

/// The part.
pub(super) const PART: Part = Part {
    tables: &[table("allowances", false, true, "waste, swell, layback, drain")],
    keys: &[
        key(
            "allowances.work_space",
            Length("0 ft", "30 ft"),
            Default("0 ft"),
            "excavation beyond the footing on each side",
        ),
        key(
            "allowances.work_space_toe",
            Length("0 ft", "30 ft"),
            Optional,
            "the same on the exposed side, where it is another",
        ),
        key(
            "allowances.work_space_heel",
            Length("0 ft", "30 ft"),
            Optional,
            "the same on the earth side, where it is another",
        ),
        key(
            "allowances.layback",
            Slope(10),
            Optional,
            "layback of the earth side, horizontal to vertical; without it the published one of the soil class stated",
        ),
        key(
            "allowances.layback_from",
            Choice(LaybackFrom::NAMES),
            Optional,
            "from where up the banks are laid back; without it the bottom, in soil class A the footing's top",
        ),
        key(
            "allowances.dig",
            Choice(DigShape::NAMES),
            Default("solid"),
            "solid: corners, steps and free ends as they are dug, where all corners are square; mitred: each wall's section ends at the corner as its lines do, whatever it turns; section: along the exposed face only",
        ),
        key(
            "allowances.free_ends",
            Choice(Bank::NAMES),
            Default("laid back"),
            "banks of the dig at the free ends, where it is a solid",
        ),
        key(
            "allowances.low_side",
            Choice(Bank::NAMES),
            Default("straight"),
            "bank of the dig on the low side, where it is a solid",
        ),
        key(
            "allowances.soil_class",
            Choice(&["A", "B", "C"]),
            Optional,
            "soil class as a competent person has stated it",
        ),
        key(
            "allowances.bar_waste",
            Percent(100),
            Default("3"),
            "waste of reinforcing steel, percent",
        ),
        key("allowances.swell", Percent(100), Default("25"), "swell of loose earth, percent"),
        key(
            "allowances.footing_waste",
            Percent(100),
            Default("8"),
            "waste of footing concrete, percent",
        ),
        key("allowances.wall_waste", Percent(100), Default("3"), "waste of wall concrete, percent"),
        key(
            "allowances.order_step",
            Amount(Dimension::VOLUME, "0.5 cy"),
            Usual("0.5 cy", "0.5 m3"),
            "concrete is ordered in whole multiples of this",
        ),
        key(
            "allowances.drain_width",
            Length("0 ft", "30 ft"),
            Usual("1 ft", "300 mm"),
            "drain rock behind the stem",
        ),
        key(
            "allowances.drain_height_less",
            Length("0 ft", "30 ft"),
            Usual("1 ft", "300 mm"),
            "how much lower than the stem the drain rock ends",
        ),
    ],
};
