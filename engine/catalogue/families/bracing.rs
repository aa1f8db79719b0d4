//! Ties, braces and stakes of forms: demand, never what they carry.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, record};
use crate::forms::{
    self, ALONG, ANGLE, Bracing, DURATION, EACH, EdgeForm, HeldPiece, LOAD, ON_FORM, Rating,
    SPACING, TALL, UNIT_WEIGHT, WIND,
};
use crate::measure::{Angle, ForcePerLength, Length, Moment, Pressure, Ratio, UnitWeight, Weight};

record! { Bracing {
    at_top: ForcePerLength, "the force along the top that the form is braced for";
    wind_at_top: ForcePerLength, "what the wind alone requires at the top";
    wind_moment: Moment, "overturning moment of the wind alone on the strip; the force along the top may require more";
    governs: &'static str, "what decided";
}}

record! { EdgeForm {
    thrust: Weight, "of the concrete over one spacing";
    top: Weight, "horizontal force at the top, on each kicker";
    kicker: Weight, "force in each kicker";
    uplift: Weight, "of each kicker on the form";
    foot: Weight, "horizontal force at the foot, on each stake";
}}

const P: Parameter = Parameter::measure::<Pressure>(ON_FORM, "pressure of the concrete");

record! { Rating {
    factor: Ratio, "least safety factor of the guide";
    rated: Weight, "breaking load over that factor";
}}

pub(super) const LIST: &[Function] = &[
    Function {
        name: "tie_load",
        family: Family::Bracing,
        summary: "Computes the load on a tie: the pressure on its field.",
        source: "definition",
        parameters: &[
            P,
            Parameter::measure::<Length>(SPACING.named("across"), "spacing along the wale"),
            Parameter::measure::<Length>(SPACING.named("up"), "spacing of the wales"),
        ],
        result: Weight::KIND,
        result_about: "CAUTION: demand only; what the tie may carry, and with which factor, is as rated by its manufacturer",
        errors: "",
        example: "tie_load(1042.5.psf, 19.2.inch, 24.inch).show(\"lb\")",
        prints: "3336 lb",
        evaluate: |a| give(forms::tie_load(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "tie_spacing",
        family: Family::Bracing,
        summary: "Finds the widest spacing of ties of a rated load where the other spacing is given.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Weight>(EACH.named("rated"), "what the tie's maker rates it for"),
            P,
            Parameter::measure::<Length>(SPACING.named("other"), "the spacing that is given"),
        ],
        result: Length::KIND,
        result_about: "not rounded; CAUTION: the wale's own span may require less, and the rating is the maker's",
        errors: "",
        example: "tie_spacing(3000.lb, 750.psf, 24.inch).show(\"in\")",
        prints: "24 in",
        evaluate: |a| give(forms::tie_spacing(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "bracing_minimum",
        family: Family::Bracing,
        summary: "Gives the least force along the top that a wall form is braced for: the wind's, or 100 lb per foot of wall.",
        source: "bracing-minimum",
        parameters: &[
            Parameter::measure::<Length>(TALL, "of the form"),
            Parameter::measure::<Pressure>(WIND, "of the local code; no less than 15 psf is taken"),
            Parameter::measure::<Length>(
                SPACING.named("strip"),
                "length of wall that the moment is for",
            ),
        ],
        result: Bracing::KIND,
        result_about: "CAUTION: a least value; the local wind code and the engineer govern, and braces hold both ways",
        errors: "",
        example: "bracing_minimum(8.ft, 15.psf, 1.ft).at_top.show(\"plf\")",
        prints: "100 plf",
        evaluate: |a| give(forms::bracing_minimum(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "strut_load",
        family: Family::Bracing,
        summary: "Computes the load in an inclined brace: H h / (h' l') root(h'^2 + l'^2) times its spacing.",
        source: "strut-load",
        parameters: &[
            Parameter::measure::<ForcePerLength>(ALONG, "force along the top of the form, H"),
            Parameter::measure::<Length>(TALL, "h of the form"),
            Parameter::measure::<Length>(
                SPACING.named("brace_height"),
                "h' at which the brace meets it",
            ),
            Parameter::measure::<Length>(
                SPACING.named("foot"),
                "l' of the brace's foot from the form",
            ),
            Parameter::measure::<Length>(SPACING, "of the braces along the wall"),
        ],
        result: Weight::KIND,
        result_about: "CAUTION: demand only; brace, fastening and anchor are the engineer's, and the competent person's on site",
        errors: "the brace meets the form above its top",
        example: "strut_load(100.plf, 10.ft, 8.ft, 6.ft, 1.ft).show(\"lb\", 2)",
        prints: "208.33 lb",
        evaluate: |a| {
            give(forms::strut_load(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
                a.measure(4)?,
            ))
        },
    },
    Function {
        name: "edge_form",
        family: Family::Bracing,
        summary: "Computes what stakes and kickers of an edge form hold, with a kicker at its top and a pin at its foot.",
        source: "definition",
        parameters: &[
            Parameter::measure::<UnitWeight>(UNIT_WEIGHT, "w of the concrete"),
            Parameter::measure::<Length>(TALL, "of the edge form, filled to its top"),
            Parameter::measure::<Length>(SPACING, "of the stakes"),
            Parameter::measure::<Angle>(ANGLE, "of the kicker with the horizontal"),
        ],
        result: EdgeForm::KIND,
        result_about: "CAUTION: demand only; what the ground holds a stake with is judged on site",
        errors: "",
        example: "edge_form(150.pcf, 24.inch, 3.ft, 45.deg).kicker.show(\"lb\", 1)",
        prints: "424.3 lb",
        evaluate: |a| {
            give(forms::edge_form(a.measure(0)?, a.measure(1)?, a.measure(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "pieces_for_load",
        family: Family::Bracing,
        summary: "Counts the nails, ties or stakes that a load requires, each holding its tabulated value times a load-duration factor.",
        source: "bracing-course",
        parameters: &[
            Parameter::measure::<Weight>(LOAD, "to be held"),
            Parameter::measure::<Weight>(EACH, "what one holds by its table or maker"),
            Parameter::measure::<Ratio>(
                DURATION,
                "load-duration factor; 1 where the table has it already",
            ),
        ],
        result: Ratio::KIND,
        result_about: "a whole number, rounded up",
        errors: "",
        example: "pieces_for_load(512.4.lb, 103.lb, 1.6)",
        prints: "4",
        evaluate: |a| give(forms::pieces_for_load(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "rating",
        family: Family::Bracing,
        summary: "Computes what a tie, anchor, hanger or panel tie may be asked to hold by the guide's least safety factor.",
        source: "tie-factors",
        parameters: &[
            Parameter::measure::<Weight>(EACH.named("breaking"), "load at which it breaks"),
            Parameter::choice("piece", HeldPiece::NAMES, "what it is and what it holds"),
        ],
        result: Rating::KIND,
        result_about: "CAUTION: not for lifting; the maker's rating and the form's designer govern",
        errors: "",
        example: "rating(4500.lb, \"tie\").rated.show(\"lb\")",
        prints: "2250 lb",
        evaluate: |a| give(forms::rating(a.measure(0)?, a.choice(1)?)),
    },
];
