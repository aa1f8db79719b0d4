//! Bars bent and cut.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::measure::{Angle, Dimension, Length, Ratio};
use crate::rebar::{
    self, BACK_HOOKS, Bend, CutLength, EMBEDMENT, Hook, LAP, LappedRun, RADIUS, RUN, STOCK,
    StandardHook, THICK, TURN,
};

record! { CutLength {
    detailed: Length, "the sum of the legs, outside to outside: what is paid where the contract says so";
    cut: Length, "what is cut from stock";
}}

record! { StandardHook {
    bend: Length, "finished inside diameter of the bend";
    takeoff: Length, "what the hook adds to the outside length of the bar";
    extension: Length, "straight extension beyond the bend that the code requires";
}}

record! { LappedRun {
    bars: usize, "how many bars";
    steel: Length, "length of steel with its laps";
    ratio: Ratio, "steel over run";
}}

const INCH_BAR: Parameter = Parameter::new("bar", ValueKind::Text, "\"#3\" to \"#18\"");
const LEGS: Parameter = Parameter::new(
    "legs",
    ValueKind::List(Dimension::LENGTH),
    "each straight part, outside to outside, each over 0",
);

pub(super) const LIST: &[Function] = &[
    Function {
        name: "standard_hook",
        family: Family::Bending,
        summary: "Gives the standard end hook of an inch-pound bar.",
        source: "standard-hooks",
        parameters: &[INCH_BAR, Parameter::choice("hook", Hook::NAMES, "degrees")],
        result: StandardHook::KIND,
        result_about: "the take-off is a table's and rounded; the extension is the code's",
        errors: "the bar is not an inch-pound bar",
        example: "standard_hook(\"#5\", \"90\").takeoff.show(\"in\")",
        prints: "10 in",
        evaluate: |a| give(rebar::standard_hook(a.text(0)?, a.choice(1)?)),
    },
    Function {
        name: "bend_deduction",
        family: Family::Bending,
        summary: "Gives what one bend makes an inch-pound bar shorter than the sum of its legs, by a published table.",
        source: "bend-deductions",
        parameters: &[INCH_BAR, Parameter::choice("bend", Bend::NAMES, "degrees")],
        result: Length::KIND,
        result_about: "to the quarter inch",
        errors: "the bar is not an inch-pound bar",
        example: "bend_deduction(\"#8\", \"90\").show(\"in\")",
        prints: "2.5 in",
        evaluate: |a| give(rebar::bend_deduction(a.text(0)?, a.choice(1)?)),
    },
    Function {
        name: "bend_loss",
        family: Family::Bending,
        summary: "Computes what one bend of any angle makes a bar shorter than the sum of its legs, along its centre line.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Length>(THICK, "d of the bar"),
            Parameter::measure::<Length>(RADIUS, "r inside the bend"),
            Parameter::measure::<Angle>(TURN, "a that the bar is turned by; under 178 deg"),
        ],
        result: Length::KIND,
        result_about: "2 (r + d) tan(a/2) - (r + d/2) a",
        errors: "an angle of 178 deg or more",
        example: "bend_loss(16.mm, 32.mm, 90.deg).show(\"mm\", 2)",
        prints: "33.17 mm",
        evaluate: |a| give(rebar::bend_loss(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "cut_length",
        family: Family::Bending,
        summary: "Computes the cut length of a bar of straight legs with a bend between each two: two legs are an L, three a U or a Z.",
        source: "bend-deductions",
        parameters: &[
            INCH_BAR,
            LEGS,
            Parameter::choice("bend", Bend::NAMES, "degrees of every bend").or("90"),
            Parameter::measure::<Ratio>(
                BACK_HOOKS,
                "hooks of 180 degrees at its ends: each adds its take-off, and nothing is deducted for it",
            )
            .or("0"),
        ],
        result: CutLength::KIND,
        result_about: "as detailed and as cut; a hook of 90 degrees is a leg with its take-off, one of 180 degrees is not: back_hooks",
        errors: "the bar is not an inch-pound bar; the list is empty, or a leg is shorter than what its bends take of it",
        example: "cut_length(\"#8\", [16.inch, 48.inch]).cut.show(\"ft-in\")",
        prints: "5'-1 1/2\"",
        evaluate: |a| give(rebar::cut_length(a.text(0)?, &a.list(1)?, a.choice(2)?, a.measure(3)?)),
    },
    Function {
        name: "dowel_length",
        family: Family::Bending,
        summary: "Computes the length of a dowel out of a footing: embedment, lap, and a standard right-angle hook.",
        source: "bend-deductions",
        parameters: &[
            INCH_BAR,
            Parameter::measure::<Length>(
                EMBEDMENT,
                "straight part in the footing, outside of the hook to the top of footing",
            ),
            Parameter::measure::<Length>(LAP, "above the top of footing"),
        ],
        result: CutLength::KIND,
        result_about: "as detailed and as cut; the engineer's schedule governs",
        errors: "the bar is not an inch-pound bar",
        example: "dowel_length(\"#5\", 9.inch, 36.inch).cut.show(\"in\")",
        prints: "53.5 in",
        evaluate: |a| give(rebar::dowel_length(a.text(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "shape_length",
        family: Family::Bending,
        summary: "Computes the length of a bar of a shape code of BS 8666.",
        source: "bs-8666",
        parameters: &[
            Parameter::new("bar", ValueKind::Text, "\"6 mm\" to \"50 mm\""),
            Parameter::new(
                "code",
                ValueKind::Text,
                "00 to 98 as the standard numbers them; 12 takes R third; not 22, 77 and 99",
            ),
            Parameter::new(
                "legs",
                ValueKind::List(Dimension::LENGTH),
                "A, B, C ... in the order of the code, each over 0",
            ),
        ],
        result: Length::KIND,
        result_about: "before it is rounded up to 25 mm; for 47, 51 and 63 the longer of the general form and that of the least tails; 14, 15, 25 to 29, 34 to 36 and 46 are approximate above 45 deg; least dimensions are checked for 11, 12, 13 and 75 only",
        errors: "the bar is no EN size; the code is not of the table; the number of dimensions is another",
        example: "round_up(shape_length(\"16 mm\", \"11\", [1000.mm, 300.mm]), 25.mm).show(\"mm\")",
        prints: "1275 mm",
        evaluate: |a| give(rebar::shape_length(a.text(0)?, a.text(1)?, &a.list(2)?)),
    },
    Function {
        name: "lapped_run",
        family: Family::Bending,
        summary: "Counts bars and steel of a straight run from stock of one length, with its laps.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Length>(RUN, "length of the run"),
            Parameter::measure::<Length>(STOCK, "length of the stock bars"),
            Parameter::measure::<Length>(LAP, "of two bars, less than the stock"),
        ],
        result: LappedRun::KIND,
        result_about: "one bar, or ceil((L - lap) / (S - lap)); steel is the run and its laps",
        errors: "the lap is no shorter than the stock",
        example: "lapped_run(q(`137'-6\"`), 60.ft, 31.inch).steel.show(\"in\")",
        prints: "1712 in",
        evaluate: |a| give(rebar::lapped_run(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
];
