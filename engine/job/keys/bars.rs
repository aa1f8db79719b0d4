//! Bars: sizes with their laps, what each wall type has, and the rules that they are counted by.

use super::super::KeyKind::{Amount, Count, Length, OneOrMore, Text};
use super::Need::{Default, Optional, Required, Usual};
use super::{Part, key, table};
use crate::measure::Dimension;

/// The part.
pub(super) const PART: Part = Part {
    tables: &[
        table("bars", false, false, "how bars are counted; with it the job has bar lists"),
        table("bar[]", false, false, "a bar size of the job"),
        table("type[].bars", false, false, "the bars of a wall type"),
    ],
    keys: &[
        key(
            "bars.first_bar",
            Length("0 in", "2 ft"),
            Usual("3 in", "75 mm"),
            "from the end of a stretch to its first bar; common practice",
        ),
        key(
            "bars.ground_cover",
            Length("0 in", "2 ft"),
            Usual("3 in", "75 mm"),
            "cover of footing bars against the ground",
        ),
        key(
            "bars.top_cover",
            Length("0 in", "2 ft"),
            Usual("2 in", "50 mm"),
            "cover at the top of the wall",
        ),
        key(
            "bars.end_cover",
            Length("0 in", "2 ft"),
            Usual("2 in", "50 mm"),
            "cover where a horizontal bar ends at no corner",
        ),
        key(
            "bars.face_cover",
            Length("0 in", "2 ft"),
            Usual("2 in", "50 mm"),
            "clear cover of the verticals on the earth face",
        ),
        key("bars.stock", OneOrMore, Usual("20 ft", "12 m"), "stock length, or a list of them"),
        key("bars.kerf", Length("0 in", "1 in"), Default("0 in"), "what a cut takes"),
        key("bars.longitudinal", Text, Required, "size of the bars along the footing"),
        key("bars.horizontal", Text, Required, "size of the horizontal bars of the stem"),
        key("bars.corner", Text, Required, "size of the corner bars of footing and stem"),
        key("bars.step", Text, Required, "size of the bars over a step of the footing"),
        key(
            "bars.first_row",
            Length("0 in", "20 ft"),
            Required,
            "one horizontal row of the stem above level 0: the others stand at whole spacings over and under it",
        ),
        key(
            "bars.row_spacing",
            Length("1 in", "20 ft"),
            Required,
            "spacing of the horizontal rows",
        ),
        key(
            "bars.concrete",
            Amount(Dimension::PRESSURE, "3000 psi"),
            Optional,
            "strength of the concrete; laps are set beside the code's where both strengths are given",
        ),
        key(
            "bars.steel",
            Amount(Dimension::PRESSURE, "60000 psi"),
            Optional,
            "yield strength of the bars",
        ),
        key("bar[].id", Text, Required, "its name, such as #5 or 16 mm"),
        key("bar[].lap", Length("1 in", "30 ft"), Required, "its lap; given by the engineer"),
        key(
            "bar[].weight",
            Amount(Dimension::FORCE_PER_LENGTH, "0.668 lb/ft"),
            Optional,
            "its weight; without it that of the table of its standard",
        ),
        key("type[].bars.vertical", Text, Required, "size of the verticals and their dowels"),
        key(
            "type[].bars.vertical_spacing",
            Length("1 in", "20 ft"),
            Required,
            "widest spacing of the verticals",
        ),
        key(
            "type[].bars.foot_leg",
            Length("1 in", "20 ft"),
            Required,
            "foot of the dowel in the footing",
        ),
        key(
            "type[].bars.embedment",
            Length("1 in", "20 ft"),
            Optional,
            "how deep the dowel stands in the footing; without it down to the ground cover",
        ),
        key("type[].bars.transverse", Text, Required, "size of the bars across the footing"),
        key(
            "type[].bars.transverse_spacing",
            Length("1 in", "20 ft"),
            Required,
            "widest spacing of the bars across the footing",
        ),
        key(
            "type[].bars.longitudinals",
            Count(0, 1000),
            Required,
            "how many bars run along the footing",
        ),
    ],
};
