//! Footing and step rules.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::footing::{
    self, APART, COVER, DROP, FROST, LEAST, OVER, RISE, RISER, RUN, STEP, StepCheck, StepLimits,
    StripKind, THICKNESS, THROAT,
};
use crate::measure::Length;

record! { StepCheck {
    riser_limit: Length, "highest riser that they allow for this run";
    run_limit: Length, "shortest run that they allow";
    riser_over: Length, "how much the riser is over its limit; 0 where it is not";
    run_short: Length, "how much the run is short of its limit; 0 where it is not";
    whose: &'static str, "whose limits they are";
}}

pub(super) const LIST: &[Function] = &[
    Function {
        name: "throat_overlap",
        family: Family::Steps,
        summary: "Computes the overlap of a step: the least multiple of a step length that leaves the throat through it.",
        source: "practice",
        parameters: &[
            Parameter::measure::<Length>(
                THROAT,
                "least concrete through the step, usually the upper footing's thickness",
            ),
            Parameter::measure::<Length>(
                DROP,
                "how far the upper footing's bottom lies under the lower footing's top; 0 when it does not",
            ),
            Parameter::measure::<Length>(STEP, "overlaps are whole multiples of it"),
            Parameter::measure::<Length>(LEAST, "least overlap"),
        ],
        result: Length::KIND,
        result_about: "o with o^2 + drop^2 >= throat^2, from the riser to the step in the subgrade, towards the high side",
        errors: "",
        example: "throat_overlap(20.inch, 8.inch, 1.inch, 0.inch).show(\"in\")",
        prints: "19 in",
        evaluate: |a| {
            give(footing::throat_overlap(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
            ))
        },
    },
    Function {
        name: "strip_overlap",
        family: Family::Steps,
        summary: "Computes the overlap of a published rule for strip footings: the largest of twice the step, the thickness up to 500 mm, 300 mm; of trench fill the larger of twice the step and 1 m.",
        source: "strip-overlap",
        parameters: &[
            Parameter::measure::<Length>(RISER, "height of the step"),
            Parameter::measure::<Length>(THICKNESS, "of the footing"),
            Parameter::choice("kind", StripKind::NAMES, "of the footing").or("strip"),
        ],
        result: Length::KIND,
        result_about: "beside the throat the longer one requires more; CAUTION: the source holds for a step no higher than the footing is thick; a higher one is the engineer's design",
        errors: "",
        example: "strip_overlap(24.inch, 12.inch).show(\"in\")",
        prints: "48 in",
        evaluate: |a| give(footing::strip_overlap(a.measure(0)?, a.measure(1)?, a.choice(2)?)),
    },
    Function {
        name: "bottom_is_stepped",
        family: Family::Steps,
        summary: "Says whether a bottom that rises so much is stepped: steeper than 1 in 10.",
        source: "footing-slope",
        parameters: &[
            Parameter::measure::<Length>(RISE, "of the bottom"),
            Parameter::measure::<Length>(OVER, "the length that it rises over"),
        ],
        result: ValueKind::Flag,
        result_about: "exactly 1 in 10 is not; the top of a footing is always level",
        errors: "",
        example: "bottom_is_stepped(1.ft, 10.ft)",
        prints: "false",
        evaluate: |a| give(footing::bottom_is_stepped(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "step_limits",
        family: Family::Steps,
        summary: "Sets a riser and the run between risers beside published limits.",
        source: "step-limits",
        parameters: &[
            Parameter::measure::<Length>(RISER, "height of the step"),
            Parameter::measure::<Length>(RUN, "level length between steps"),
            Parameter::choice("limits", StepLimits::NAMES, "whose"),
        ],
        result: StepCheck::KIND,
        result_about: "limits and what is beyond them; the local code and the engineer govern",
        errors: "",
        example: "step_limits(24.inch, 24.inch, \"three_quarters\").riser_over.show(\"in\")",
        prints: "6 in",
        evaluate: |a| give(footing::step_limits(a.measure(0)?, a.measure(1)?, a.choice(2)?)),
    },
    Function {
        name: "bottom_depth",
        family: Family::Steps,
        summary: "Computes how deep under finished grade a bottom is: the most of frost, cover over the toe with its thickness, and 12 in.",
        source: "frost",
        parameters: &[
            Parameter::measure::<Length>(FROST, "depth of the local code"),
            Parameter::measure::<Length>(COVER, "over the toe; 0 for none"),
            Parameter::measure::<Length>(THICKNESS, "of the footing"),
        ],
        result: Length::KIND,
        result_about: "frost is a local figure, there is no national one",
        errors: "",
        example: "bottom_depth(2.ft, 18.inch, 12.inch).show(\"in\")",
        prints: "30 in",
        evaluate: |a| give(footing::bottom_depth(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "adjoining_drop",
        family: Family::Steps,
        summary: "Computes how much lower the nearer edge of an adjoining footing may be: 30 degrees of fall.",
        source: "adjoining-footings",
        parameters: &[Parameter::measure::<Length>(APART, "distance of the lower edges")],
        result: Length::KIND,
        result_about: "in granular soil; the geotechnical engineer governs",
        errors: "",
        example: "adjoining_drop(10.ft).show(\"ft\", 3)",
        prints: "5.774 ft",
        evaluate: |a| give(footing::adjoining_drop(a.measure(0)?)),
    },
];
