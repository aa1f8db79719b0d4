//! Concrete in time: setting, maturity, stripping, cold weather.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::concrete::{
    self, AIR, AgeForm, DATUM, FootingStripping, Gain, LiveLoad, SECTION, SETTING, Stripped,
};
use crate::measure::{Dimension, Length, Maturity, Pressure, Temperature, TemperatureChange, Time};

record! { FootingStripping {
    wall_row: Time, "the guide's row for walls; it has none for footings";
    house_practice: Time, "house-building practice for walls and footings";
    earliest: Time, "the longer one, which governs";
    strength: Pressure, "to be reached besides, so that frost does no harm";
}}

const TEMPERATURES: Parameter = Parameter::new(
    "temperatures",
    ValueKind::List(Dimension::TEMPERATURE),
    "of the concrete, one for each interval, -20 to 80 C",
);
const DURATIONS: Parameter = Parameter::new(
    "durations",
    ValueKind::List(Dimension::TIME),
    "of the intervals, as many as temperatures, 0 h or more",
);
const PART: Parameter = Parameter::measure::<Length>(SECTION, "least dimension of the section");
const GUIDANCE: &str = "guidance for planning; strength in place and the specification govern";

pub(super) const LIST: &[Function] = &[
    Function {
        name: "setting_time",
        family: Family::Time,
        summary: "Gives the hours until concrete sets at a temperature, between the points of an old handbook list.",
        source: "setting-times",
        parameters: &[Parameter::measure::<Temperature>(SETTING, "of the concrete")],
        result: Time::KIND,
        result_about: GUIDANCE,
        errors: "",
        example: "setting_time(65.F).show(\"h\")",
        prints: "7 h",
        evaluate: |a| give(concrete::setting_time(a.measure(0)?)),
    },
    Function {
        name: "nurse_saul",
        family: Family::Time,
        summary: "Computes maturity as temperature over a datum times time.",
        source: "nurse-saul",
        parameters: &[
            TEMPERATURES,
            DURATIONS,
            Parameter::measure::<Temperature>(
                DATUM,
                "below which nothing is gained; 0.C for plain type I cement",
            ),
        ],
        result: Maturity::KIND,
        result_about: "intervals at or under the datum count nothing; a strength follows only from a curve of the same mix",
        errors: "the lists are empty or of different length; a value is out of its range",
        example: "nurse_saul([20.C, 25.C], [12.h, 12.h], 0.C).show(\"C_change*h\")",
        prints: "540 C_change*h",
        evaluate: |a| give(concrete::nurse_saul(&a.list(0)?, &a.list(1)?, a.measure(2)?)),
    },
    Function {
        name: "equivalent_age",
        family: Family::Time,
        summary: "Computes the age at the reference temperature that intervals of temperature are worth.",
        source: "equivalent-age",
        parameters: &[
            TEMPERATURES,
            DURATIONS,
            Parameter::choice(
                "form",
                AgeForm::NAMES,
                "least: the smallest of the others, hour by hour",
            ),
        ],
        result: Time::KIND,
        result_about: "no form is the default; below the reference the smallest result governs",
        errors: "the lists are empty or of different length; a value is out of its range",
        example: "equivalent_age([30.C], [7.day], \"hansen_pedersen\").show(\"day\", 3)",
        prints: "11.016 day",
        evaluate: |a| give(concrete::equivalent_age(&a.list(0)?, &a.list(1)?, a.choice(2)?)),
    },
    Function {
        name: "stripping_time",
        family: Family::Time,
        summary: "Gives the earliest stripping of the American guide where nothing else is specified.",
        source: "stripping",
        parameters: &[
            Parameter::choice(
                "item",
                Stripped::NAMES,
                "what is stripped; wall stands for columns and beam sides too",
            ),
            Parameter::choice("live_load", LiveLoad::NAMES, "live load against dead load"),
        ],
        result: Time::KIND,
        result_about: "CAUTION: cumulative time with the air above 50 F; the specification, strength in place and the engineer govern",
        errors: "",
        example: "stripping_time(\"wall\", \"less_than_dead\").show(\"h\")",
        prints: "12 h",
        evaluate: |a| give(Ok(concrete::stripping_time(a.choice(0)?, a.choice(1)?))),
    },
    Function {
        name: "footing_stripping",
        family: Family::Time,
        summary: "Gives when the edge forms of a footing may come off: the longest of what is published, and a strength.",
        source: "footing-stripping",
        parameters: &[],
        result: FootingStripping::KIND,
        result_about: "CAUTION: the guide has no row for footings; the specification governs",
        errors: "",
        example: "footing_stripping().earliest.show(\"h\")",
        prints: "72 h",
        evaluate: |_| give(Ok(concrete::footing_stripping())),
    },
    Function {
        name: "cold_placing_temperature",
        family: Family::Time,
        summary: "Gives the temperature that concrete is placed and kept at in cold weather, at least.",
        source: "cold-weather",
        parameters: &[PART],
        result: Temperature::KIND,
        result_about: "by the least dimension: under 12 in, 12 to 36, 36 to 72, more",
        errors: "",
        example: "cold_placing_temperature(10.inch).show(\"F\")",
        prints: "55 F",
        evaluate: |a| give(concrete::cold_placing_temperature(a.measure(0)?)),
    },
    Function {
        name: "cold_mixing_temperature",
        family: Family::Time,
        summary: "Gives the temperature that concrete is mixed at in cold weather, at least.",
        source: "cold-mixing",
        parameters: &[PART, Parameter::measure::<Temperature>(AIR, "of the air")],
        result: Temperature::KIND,
        result_about: "5 F over the placing temperature above 30 F of air, 10 above 0 F, 15 below; rows over 36 in are from memory",
        errors: "",
        example: "cold_mixing_temperature(10.inch, 20.F).show(\"F\")",
        prints: "65 F",
        evaluate: |a| give(concrete::cold_mixing_temperature(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "cold_largest_drop",
        family: Family::Time,
        summary: "Gives how much concrete may cool in the first day after its protection.",
        source: "cold-weather",
        parameters: &[PART],
        result: TemperatureChange::KIND,
        result_about: "rows over 36 in are from memory",
        errors: "",
        example: "cold_largest_drop(10.inch).show(\"F_change\")",
        prints: "50 F_change",
        evaluate: |a| give(concrete::cold_largest_drop(a.measure(0)?)),
    },
    Function {
        name: "cold_protection",
        family: Family::Time,
        summary: "Gives how long sections under 12 in are protected in cold weather.",
        source: "cold-protection",
        parameters: &[Parameter::choice(
            "gain",
            Gain::NAMES,
            "early: type III cement, an accelerator, or 100 lb/cy more cement",
        )],
        result: Time::KIND,
        result_about: "at the placing temperature; the specification governs",
        errors: "",
        example: "cold_protection(\"usual\").show(\"day\")",
        prints: "3 day",
        evaluate: |a| give(Ok(concrete::cold_protection(a.choice(0)?))),
    },
];
