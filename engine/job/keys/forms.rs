//! Forms: what the yard has and which walls stand together; lumber of the footing.

use super::super::KeyKind;
use super::super::KeyKind::{Amount, Choice, Count, Length, OneOrMore, Text, Texts};
use super::Need::{Default, Optional, Required, Usual};
use super::{KeyTable, Part, key, table};
use crate::footing::GridKind;
use crate::forms::FootingSide;
use crate::measure::Dimension;

const RENT: KeyKind = Amount(Dimension::MONEY, "2.40 usd");
const DAY: KeyKind = Count(1, 10_000);
const EACH: KeyKind = Count(0, 100);

/// The part.
pub(super) const PART: Part = Part {
    tables: &[
        KeyTable {
            grid: Some(GridKind::Panels),
            ..table(
                "forms",
                false,
                false,
                "wall forms of the yard; with it the job has panel lists",
            )
        },
        table("forms.panel[]", true, false, "a panel height"),
        table("forms.filler[]", false, false, "a filler width"),
        table("forms.pour[]", false, false, "walls that stand and are poured together"),
        table("forms.hardware[]", false, false, "hardware of the forms, by what takes it"),
        table(
            "footing_sides",
            false,
            false,
            "how the sides of the footing are poured: against the bank, or against edge boards",
        ),
        table("lumber", false, false, "bulkheads, templates and stakes of the footing"),
        table("lumber.board[]", false, false, "boards that the footing is formed with"),
        table("lumber.pour[]", false, false, "walls whose footings are formed together"),
    ],
    keys: &[
        key(
            "forms.course",
            Length("1 in", "20 ft"),
            Required,
            "tops of forms are whole multiples of this above the footing",
        ),
        key(
            "forms.filler_heights",
            OneOrMore,
            Optional,
            "heights of fillers; without them those of the panels",
        ),
        key(
            "forms.corner_sets",
            Count(0, 100_000),
            Default("0"),
            "sets of corner forms that there are",
        ),
        key(
            "forms.hinged_corner_sets",
            Count(0, 100_000),
            Default("0"),
            "sets of corner forms on hinges that there are, for corners that are not square",
        ),
        key(
            "forms.corner_rent",
            RENT,
            Optional,
            "rent of one corner set more, hinged or not, for each day that it stands",
        ),
        key("forms.panel[].height", Length("1 in", "40 ft"), Required, "its height"),
        key("forms.panel[].ties", Count(0, 100), Required, "rows of ties that it takes"),
        key("forms.panel[].owned", Count(0, 1_000_000), Default("0"), "how many there are"),
        key("forms.panel[].rent", RENT, Optional, "rent of one more, for each day that it stands"),
        key("forms.panel[].name", Text, Optional, "what the yard calls it"),
        key("forms.filler[].width", Length("0.1 in", "20 ft"), Required, "its width"),
        key(
            "forms.filler[].owned",
            Count(0, 1_000_000),
            Default("0"),
            "how many there are of each height",
        ),
        key("forms.filler[].rent", RENT, Optional, "rent of one more, for each day that it stands"),
        key("forms.filler[].name", Text, Optional, "what the yard calls it"),
        key("forms.pour[].name", Text, Required, "its name"),
        key("forms.pour[].walls", Texts, Required, "its walls"),
        key(
            "forms.pour[].day",
            DAY,
            Optional,
            "working day of the job on which its forms first stand",
        ),
        key("forms.pour[].stands", DAY, Default("1"), "working days that its forms stand"),
        key("forms.hardware[].name", Text, Required, "what the yard calls it"),
        key("forms.hardware[].each_tie", EACH, Default("0"), "how many each tie takes"),
        key("forms.hardware[].each_panel", EACH, Default("0"), "how many each panel takes"),
        key("forms.hardware[].each_filler", EACH, Default("0"), "how many each filler takes"),
        key("forms.hardware[].each_corner", EACH, Default("0"), "how many each corner set takes"),
        key("forms.hardware[].owned", Count(0, 1_000_000), Default("0"), "how many there are"),
        key("footing_sides.toe", Choice(FootingSide::NAMES), Required, "the exposed side"),
        key("footing_sides.heel", Choice(FootingSide::NAMES), Required, "the earth side"),
        key(
            "footing_sides.over_width",
            Length("0 in", "5 ft"),
            Default("0 in"),
            "how much wider than the plan a bank is dug and poured, on each side that is poured against it",
        ),
        key(
            "footing_sides.stake_spacing",
            Length("1 in", "100 ft"),
            Usual("3 ft", "900 mm"),
            "spacing of the stakes of edge boards; common practice",
        ),
        key(
            "lumber.bearing",
            Length("0 in", "10 ft"),
            Usual("6 in", "150 mm"),
            "how far a bulkhead reaches into the bank on each side",
        ),
        key(
            "lumber.board_course",
            Length("1 in", "10 ft"),
            Usual("12 in", "300 mm"),
            "height of a board of the bulkheads as it is stacked, where no boards are named for them",
        ),
        key(
            "lumber.stake_spacing",
            Length("1 in", "100 ft"),
            Usual("3 ft", "900 mm"),
            "spacing of stakes along a bulkhead; common practice",
        ),
        key("lumber.kickers", Count(0, 100), Default("2"), "kickers of one bulkhead, from its top"),
        key(
            "lumber.kicker_angle",
            Amount(Dimension::ANGLE, "45 deg"),
            Default("45 deg"),
            "angle of a kicker with the horizontal; an assumption",
        ),
        key("lumber.board[].name", Text, Required, "what the yard calls it"),
        key(
            "lumber.board[].thickness",
            Length("0.1 in", "2 ft"),
            Required,
            "its thickness as measured",
        ),
        key(
            "lumber.board[].width",
            Length("0.5 in", "4 ft"),
            Required,
            "its width as measured: dry and green lumber of one name differ",
        ),
        key(
            "lumber.board[].sold_thickness",
            Length("0.1 in", "2 ft"),
            Optional,
            "the thickness that it is sold by; without it as measured",
        ),
        key(
            "lumber.board[].sold_width",
            Length("0.5 in", "4 ft"),
            Optional,
            "the width that it is sold by; without it as measured",
        ),
        key(
            "lumber.board[].uses",
            Texts,
            Required,
            "what it is for: bulkheads, cross pieces, long pieces",
        ),
        key(
            "lumber.strips",
            OneOrMore,
            Optional,
            "heights of strips that bring the boards of a bulkhead to its net height, one or a list",
        ),
        key(
            "lumber.height_tolerance",
            Length("0 in", "1 in"),
            Usual("0.125 in", "3 mm"),
            "how far the boards of a bulkhead may be off its net height; common practice",
        ),
        key(
            "lumber.cross_spacing",
            Length("1 in", "100 ft"),
            Usual("4 ft", "1200 mm"),
            "spacing of the cross pieces of the templates; common practice",
        ),
        key(
            "lumber.cross_extra",
            Length("0 in", "20 ft"),
            Usual("2 ft", "600 mm"),
            "how much longer than the footing is wide a cross piece is",
        ),
        key("lumber.cross_stakes", Count(0, 100), Default("2"), "stakes of one cross piece"),
        key("lumber.stakes_owned", Count(0, 1_000_000), Default("0"), "stakes that there are"),
        key("lumber.kickers_owned", Count(0, 1_000_000), Optional, "kickers that there are"),
        key(
            "lumber.cross_pieces_owned",
            Count(0, 1_000_000),
            Optional,
            "cross pieces that there are",
        ),
        key("lumber.pour[].name", Text, Required, "its name"),
        key("lumber.pour[].walls", Texts, Required, "its walls"),
        key(
            "lumber.pour[].day",
            DAY,
            Optional,
            "working day of the job on which its forms first stand",
        ),
        key("lumber.pour[].stands", DAY, Default("1"), "working days that its forms stand"),
        key(
            "lumber.stock",
            OneOrMore,
            Optional,
            "stock lengths that boards and cross pieces are cut from, one or a list",
        ),
        key("lumber.kerf", Length("0 in", "1 in"), Default("0 in"), "what a cut takes"),
        key(
            "lumber.unit_weight",
            Amount(Dimension::UNIT_WEIGHT, "150 pcf"),
            Usual("150 pcf", "24 kN/m3"),
            "unit weight of fresh concrete that presses on the bulkheads",
        ),
    ],
};
