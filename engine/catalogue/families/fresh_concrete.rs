//! Fresh concrete on forms.

use crate::catalogue::value::give;
use crate::catalogue::{Args, Family, Function, Output, Parameter, ValueKind, record};
use crate::forms::{
    self, CIRIA_TEMPERATURE, CONCRETE, DEPTH, Edition, Element, FORM_HEIGHT, FieldRule, Form,
    FormPressure, HEIGHT, HighestRate, Lifts, Mix, MixSetting, PRESSURE, Placing, Pour, RATE,
    RATED, SIDE, STIFFENING, TALL, TEMPERATURE, Thrust, UNIT_WEIGHT, WIDTH,
};
use crate::measure::{
    Dimension, Length, Moment, Pressure, Ratio, Speed, Temperature, Time, UnitWeight, Weight,
};
use crate::problem::Problem;

record! { Thrust {
    thrust: Weight, "the whole thrust";
    moment: Moment, "its moment about the foot of the form";
    above_foot: Length, "where it acts, above the foot";
}}

record! { FieldRule {
    rule: Weight, "the field's rule, which governs";
    exact: Weight, "the exact triangle";
    ratio: Ratio, "rule over exact";
    top_by_rule: Weight, "what a brace at the top holds by the rule, with a pin at the foot";
    top_exact: Weight, "the same exactly";
}}

record! { Lifts {
    greatest: Weight, "the greatest thrust of one lift while it is fresh";
    sum: Weight, "the sum over the lifts";
    at_once: Weight, "the thrust if all were placed at once";
    pressure: Pressure, "highest pressure with lifts";
    pressure_at_once: Pressure, "highest pressure if all were placed at once";
}}

record! { FormPressure {
    pressure: Pressure, "what the guide asks the form to be designed for";
    equation: Pressure, "what its equation gives before its limits";
    full_head: Pressure, "the full liquid head at the foot";
    governs: &'static str, "what decided";
}}

record! { HighestRate {
    rate: Option<Speed>, "the rate; nothing where pressure sets no limit";
    governs: &'static str, "what decided";
}}

const W: Parameter = Parameter::measure::<UnitWeight>(UNIT_WEIGHT, "w; 150 pcf is usual");
const CONCRETE_W: Parameter =
    Parameter::measure::<UnitWeight>(CONCRETE, "w of the concrete; Cw follows from it");
const MIX: Parameter = Parameter::choice(
    "mix",
    Mix::NAMES,
    "cement and admixture; portland is types I, II, III; rich_blend has 70 % slag or 40 % fly ash or more; Cc follows from it",
);
const PLACING: Parameter = Parameter::choice(
    "placing",
    Placing::NAMES,
    "vibrated: slump at most 7 in, vibrated inside no deeper than 4 ft; liquid: anything else",
);
const EDITION: Parameter =
    Parameter::choice("edition", Edition::NAMES, "edition of the guide").or("347R-14");
const FORM: Parameter = Parameter::choice(
    "form",
    Form::NAMES,
    "the guide's equations in feet and Fahrenheit or in metres and Celsius; they differ by rounding",
)
.or("us");
const POUR_HEIGHT: Parameter = Parameter::measure::<Length>(TALL, "height of the pour");
const CONCRETE_T: Parameter =
    Parameter::measure::<Temperature>(TEMPERATURE, "of the concrete when placed, not of the air");
const RISE: Parameter =
    Parameter::measure::<Speed>(RATE, "how fast the concrete rises in the form");
const FORM_WIDTH: Parameter = Parameter::measure::<Length>(WIDTH, "of the form or bulkhead");

/// The pour of a call: unit weight, mix, height and temperature are its first inputs, placing, edition and form its last.
fn pour(a: &Args, temperature: usize, placing: usize) -> Result<Pour, Problem> {
    Ok(Pour {
        unit_weight: a.measure(0)?,
        mix: a.choice(1)?,
        height: a.measure(2)?,
        temperature: a.measure(temperature)?,
        placing: a.choice(placing)?,
        edition: a.choice(placing + 1)?,
        form: a.choice(placing + 2)?,
    })
}

pub(super) const LIST: &[Function] = &[
    Function {
        name: "fluid_pressure",
        family: Family::FreshConcrete,
        summary: "Computes the pressure of fresh concrete at a depth when nothing has stiffened: p = w h.",
        source: "form-pressure",
        parameters: &[
            W,
            Parameter::measure::<Length>(DEPTH, "h below the top of the fresh concrete"),
        ],
        result: Pressure::KIND,
        result_about: "the full liquid head; CAUTION: what a form may carry is as rated by its manufacturer and decided by the engineer",
        errors: "",
        example: "fluid_pressure(150.pcf, 4.ft).show(\"psf\")",
        prints: "600 psf",
        evaluate: |a| give(forms::fluid_pressure(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "fluid_thrust",
        family: Family::FreshConcrete,
        summary: "Computes the thrust of fresh concrete on a form or bulkhead: F = w h^2 b / 2, acting at h/3 from its foot.",
        source: "definition",
        parameters: &[
            W,
            Parameter::measure::<Length>(HEIGHT, "h of the fresh concrete against it"),
            FORM_WIDTH,
        ],
        result: Weight::KIND,
        result_about: "the whole thrust; CAUTION: bracing is for the engineer and the competent person on site",
        errors: "",
        example: "fluid_thrust(150.pcf, 1.ft, 5.ft).show(\"lb\")",
        prints: "375 lb",
        evaluate: |a| give(forms::fluid_thrust(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "form_thrust",
        family: Family::FreshConcrete,
        summary: "Computes thrust, overturning moment and line of action on a form whose pressure grows with depth up to a highest value.",
        source: "definition",
        parameters: &[
            W,
            Parameter::measure::<Length>(TALL, "h of the fresh concrete against it"),
            FORM_WIDTH,
            Parameter::measure::<Pressure>(
                PRESSURE,
                "highest pressure; at the full head or above it the triangle of the liquid holds",
            ),
        ],
        result: Thrust::KIND,
        result_about: "demand only; CAUTION: bracing is for the engineer and the competent person on site",
        errors: "",
        example: "form_thrust(150.pcf, 8.ft, 1.ft, 600.psf).moment.show(\"lb*ft\")",
        prints: "11200 lb*ft",
        evaluate: |a| {
            give(forms::form_thrust(a.measure(0)?, a.measure(1)?, a.measure(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "field_rule_thrust",
        family: Family::FreshConcrete,
        summary: "Sets the foot-by-foot rule of the field beside the exact triangle of thrust.",
        source: "practice",
        parameters: &[
            W,
            Parameter::measure::<Length>(TALL, "h of the fresh concrete against it"),
            FORM_WIDTH,
        ],
        result: FieldRule::KIND,
        result_about: "the rule takes each foot with the pressure at its bottom: it requires more and governs",
        errors: "",
        example: "field_rule_thrust(150.pcf, 3.ft, 5.ft).rule.show(\"lb\")",
        prints: "4500 lb",
        evaluate: |a| give(forms::field_rule(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "lift_thrusts",
        family: Family::FreshConcrete,
        summary: "Computes thrusts of concrete placed in lifts, each stiff before the next, beside all placed at once.",
        source: "practice",
        parameters: &[
            W,
            Parameter::new(
                "lifts",
                ValueKind::List(Dimension::LENGTH),
                "heights of the lifts, from the foot up; each over 0",
            ),
            FORM_WIDTH,
        ],
        result: Lifts::KIND,
        result_about: "CAUTION: only where each lift has stiffened before the next is placed; whoever places it judges that on site, and the form's maker and the engineer decide",
        errors: "the list is empty; a lift is not over 0",
        example: "lift_thrusts(150.pcf, [1.ft, 1.ft, 1.ft], 5.ft).sum.show(\"lb\")",
        prints: "1125 lb",
        evaluate: |a| give(forms::lift_thrusts(a.measure(0)?, &a.list(1)?, a.measure(2)?)),
    },
    Function {
        name: "stiffened_pressure",
        family: Family::FreshConcrete,
        summary: "Computes the pressure where the concrete below has stiffened: the head of what was placed within the stiffening time.",
        source: "practice",
        parameters: &[
            W,
            Parameter::measure::<Length>(TALL, "of the pour"),
            RISE,
            Parameter::measure::<Time>(
                STIFFENING,
                "until concrete no longer presses with what is placed on it",
            ),
        ],
        result: Pressure::KIND,
        result_about: "w x the lesser of height and rate x stiffening; CAUTION: stiffening is judged on site, and the form's maker and the engineer decide",
        errors: "",
        example: "stiffened_pressure(150.pcf, 8.ft, q(\"1 ft/h\"), 2.h).show(\"psf\")",
        prints: "300 psf",
        evaluate: |a| {
            give(forms::stiffened_pressure(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
            ))
        },
    },
    Function {
        name: "unit_weight_coefficient",
        family: Family::FreshConcrete,
        summary: "Gives the unit-weight coefficient Cw of the American guide.",
        source: "guide-coefficients",
        parameters: &[Parameter::measure::<UnitWeight>(CONCRETE, "w of the concrete"), FORM],
        result: Ratio::KIND,
        result_about: "not verified against the guide; its steps at 140 and 150 pcf are the guide's",
        errors: "",
        example: "unit_weight_coefficient(160.pcf)",
        prints: "1.103448275862",
        evaluate: |a| give(forms::unit_weight_coefficient(a.measure(0)?, a.choice(1)?)),
    },
    Function {
        name: "chemistry_coefficient",
        family: Family::FreshConcrete,
        summary: "Gives the chemistry coefficient Cc of the American guide.",
        source: "guide-coefficients",
        parameters: &[MIX],
        result: Ratio::KIND,
        result_about: "not verified against the guide; an unknown mix has the highest",
        errors: "",
        example: "chemistry_coefficient(\"blend\")",
        prints: "1.2",
        evaluate: |a| give(Ok(forms::chemistry_coefficient(a.choice(0)?))),
    },
    Function {
        name: "wall_pressure",
        family: Family::FreshConcrete,
        summary: "Computes the lateral pressure on a wall form by the American guide, at a rate of placing.",
        source: "guide-pressure",
        parameters: &[CONCRETE_W, MIX, POUR_HEIGHT, RISE, CONCRETE_T, PLACING, EDITION, FORM],
        result: FormPressure::KIND,
        result_about: "CAUTION: a planning aid: the guide's edition in force, the form's maker and the engineer govern; its coefficients are not verified",
        errors: "",
        example: "wall_pressure(150.pcf, \"portland\", 15.ft, q(\"10 ft/h\"), 80.F, \"vibrated\").pressure.show(\"psf\")",
        prints: "1042.5 psf",
        evaluate: |a| give(forms::wall_pressure(&pour(a, 4, 5)?, a.measure(3)?)),
    },
    Function {
        name: "column_pressure",
        family: Family::FreshConcrete,
        summary: "Computes the lateral pressure on a column form by the American guide, at a rate of placing.",
        source: "guide-pressure",
        parameters: &[
            CONCRETE_W,
            MIX,
            POUR_HEIGHT,
            RISE,
            CONCRETE_T,
            Parameter::measure::<Length>(
                SIDE,
                "largest side of the column in plan; a wider one is a wall",
            ),
            PLACING,
            EDITION,
            FORM,
        ],
        result: FormPressure::KIND,
        result_about: "CAUTION: a planning aid: the guide's edition in force, the form's maker and the engineer govern; its coefficients are not verified",
        errors: "",
        example: "column_pressure(150.pcf, \"portland\", 12.ft, q(\"10 ft/h\"), 60.F, 20.inch, \"vibrated\").pressure.show(\"psf\")",
        prints: "1650 psf",
        evaluate: |a| give(forms::column_pressure(&pour(a, 4, 6)?, a.measure(3)?, a.measure(5)?)),
    },
    Function {
        name: "highest_rate",
        family: Family::FreshConcrete,
        summary: "Finds the highest rate at which a wall may be placed into a form of a rated pressure, by the American guide.",
        source: "guide-pressure",
        parameters: &[
            CONCRETE_W,
            MIX,
            POUR_HEIGHT,
            Parameter::measure::<Pressure>(RATED, "what the form's maker rates it for"),
            CONCRETE_T,
            PLACING,
            EDITION,
            FORM,
        ],
        result: HighestRate::KIND,
        result_about: "CAUTION: a planning aid; the rating is the form maker's, and the engineer decides",
        errors: "the mix is unknown; the rating is under the guide's least pressure or what its second equation asks at any rate, and the full head does not fit",
        example: "highest_rate(150.pcf, \"portland\", 10.ft, 1000.psf, 60.F, \"vibrated\").rate.show(\"ft/h\", 4)",
        prints: "5.6667 ft/h",
        evaluate: |a| give(forms::highest_rate(&pour(a, 4, 5)?, a.measure(3)?)),
    },
    Function {
        name: "ciria_pressure",
        family: Family::FreshConcrete,
        summary: "Computes the lateral pressure on a wall or column form by CIRIA Report 108.",
        source: "ciria-108",
        parameters: &[
            W,
            Parameter::choice("element", Element::NAMES, "a wall has a side over 2 m"),
            Parameter::choice("setting", MixSetting::NAMES, "C2 follows from it: 0.30, 0.45, 0.60"),
            Parameter::measure::<Length>(FORM_HEIGHT, "H of the form"),
            Parameter::measure::<Length>(TALL, "h of the pour"),
            RISE,
            Parameter::measure::<Temperature>(CIRIA_TEMPERATURE, "of the concrete when placed"),
        ],
        result: Pressure::KIND,
        result_about: "D (C1 root R + C2 K root(H - C1 root R)), never more than D h; CAUTION: a planning aid: the form's maker and the engineer govern",
        errors: "",
        example: "ciria_pressure(q(\"25 kN/m3\"), \"wall\", \"normal\", 4.m, 4.m, q(\"2 m/h\"), 15.C).show(\"kPa\", 2)",
        prints: "51.62 kPa",
        evaluate: |a| {
            give(forms::ciria_pressure(
                a.measure(0)?,
                a.choice(1)?,
                a.choice(2)?,
                a.measure(3)?,
                a.measure(4)?,
                a.measure(5)?,
                a.measure(6)?,
            ))
        },
    },
    Function {
        name: "self_compacting_pressure",
        family: Family::FreshConcrete,
        summary: "Computes the pressure of self-compacting concrete by DIN 18218:2010-01: (1.0 m + 0.26 v tE) gamma.",
        source: "din-18218",
        parameters: &[
            W,
            Parameter::measure::<Length>(TALL, "h of the pour"),
            RISE,
            Parameter::measure::<Time>(STIFFENING.named("setting_time"), "tE, end of setting"),
        ],
        result: Pressure::KIND,
        result_about: "no less than 30 kPa, never more than the full head; CAUTION: a planning aid: the form's maker and the engineer govern",
        errors: "",
        example: "self_compacting_pressure(q(\"25 kN/m3\"), 10.m, q(\"2 m/h\"), 5.h).show(\"kPa\")",
        prints: "90 kPa",
        evaluate: |a| {
            give(forms::self_compacting_pressure(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
            ))
        },
    },
];
