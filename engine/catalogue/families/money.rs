//! Money.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::measure::{Dimension, Money, Ratio};
use crate::price::{
    self, BASE, COST, Extension, MARGIN, MARKUP, RATE, RoundedLines, STEP, TOLERANCE, WAGES,
};

record! { Extension {
    exact: Money, "quantity times unit price, which governs";
    difference: Money, "printed less exact";
    off: bool, "whether the difference is beyond the tolerance";
}}

record! { RoundedLines {
    total: Money, "the sum of the rounded lines: what a client adds up";
    exact: Money, "the sum before rounding";
    residue: Money, "total less exact: it goes to a line of its own";
}}

const COSTS: Parameter = Parameter::measure::<Money>(COST, "what it costs");

pub(super) const LIST: &[Function] = &[
    Function {
        name: "price_with_markup",
        family: Family::Money,
        summary: "Computes the price with a markup on cost.",
        source: "definition",
        parameters: &[COSTS, Parameter::measure::<Ratio>(MARKUP, "as a fraction of the cost")],
        result: Money::KIND,
        result_about: "cost x (1 + markup)",
        errors: "",
        example: "price_with_markup(100000.usd, 25.percent)",
        prints: "125,000.00 usd",
        evaluate: |a| give(price::price_with_markup(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "price_with_margin",
        family: Family::Money,
        summary: "Computes the price that leaves a margin in itself.",
        source: "definition",
        parameters: &[COSTS, Parameter::measure::<Ratio>(MARGIN, "as a fraction of the price")],
        result: Money::KIND,
        result_about: "cost / (1 - margin); a margin is not a markup",
        errors: "",
        example: "price_with_margin(100000.usd, 10.percent)",
        prints: "111,111.11 usd",
        evaluate: |a| give(price::price_with_margin(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "margin_of_markup",
        family: Family::Money,
        summary: "Computes the margin that a markup leaves: m / (1 + m).",
        source: "definition",
        parameters: &[Parameter::measure::<Ratio>(MARKUP, "as a fraction of the cost")],
        result: Ratio::KIND,
        result_about: "as a fraction of the price",
        errors: "",
        example: "margin_of_markup(25.percent)",
        prints: "0.2",
        evaluate: |a| give(price::margin_of_markup(a.measure(0)?)),
    },
    Function {
        name: "markup_of_margin",
        family: Family::Money,
        summary: "Computes the markup that leaves a margin: g / (1 - g).",
        source: "definition",
        parameters: &[Parameter::measure::<Ratio>(MARGIN, "as a fraction of the price")],
        result: Ratio::KIND,
        result_about: "as a fraction of the cost",
        errors: "",
        example: "markup_of_margin(20.percent)",
        prints: "0.25",
        evaluate: |a| give(price::markup_of_margin(a.measure(0)?)),
    },
    Function {
        name: "capped_burden",
        family: Family::Money,
        summary: "Computes a burden on wages up to a base.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Money>(WAGES, "of one person in a year"),
            Parameter::measure::<Ratio>(RATE, "of the burden, as a fraction"),
            Parameter::measure::<Money>(BASE, "highest wages that it is paid on"),
        ],
        result: Money::KIND,
        result_about: "rate x the lesser of wages and base; rates and bases are law and change every year",
        errors: "",
        example: "capped_burden(200000.usd, 6.2.percent, 184500.usd)",
        prints: "11,439.00 usd",
        evaluate: |a| give(price::capped_burden(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "extension_check",
        family: Family::Money,
        summary: "Checks a printed extension against its quantity and unit price.",
        source: "unit-price-governs",
        parameters: &[
            Parameter::new(
                "quantity",
                ValueKind::Number,
                "in the unit of the price, without its unit",
            ),
            Parameter::new("unit_price", ValueKind::Measure(Dimension::MONEY), "of one unit"),
            Parameter::new(
                "printed",
                ValueKind::Measure(Dimension::MONEY),
                "the extension as it is printed",
            ),
            Parameter::measure::<Money>(TOLERANCE, "how far it may be off"),
        ],
        result: Extension::KIND,
        result_about: "the unit price governs over the extension",
        errors: "",
        example: "extension_check(536, 0.85.usd, 453.60.usd, 0.01.usd).off",
        prints: "true",
        evaluate: |a| {
            give(price::extension_check(a.measure(0)?, a.measure(1)?, a.measure(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "rounded_lines",
        family: Family::Money,
        summary: "Rounds lines to a step, sums them, and says what that leaves.",
        source: "practice",
        parameters: &[
            Parameter::new("lines", ValueKind::List(Dimension::MONEY), "one or more"),
            Parameter::measure::<Money>(STEP, "that each is rounded to"),
        ],
        result: RoundedLines::KIND,
        result_about: "halves away from zero; the residue is never put into a chosen item",
        errors: "the list is empty",
        example: "rounded_lines([10.40.usd, 20.40.usd, 30.40.usd], 1.usd).residue",
        prints: "-1.20 usd",
        evaluate: |a| give(price::rounded_lines(&a.list(0)?, a.measure(1)?)),
    },
];
