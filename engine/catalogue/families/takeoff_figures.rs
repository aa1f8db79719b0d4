//! Small figures that a takeoff asks for: tapered stems, short loads, evaporation, backfill, stake marks, man-days.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::concrete::{CHARGE, DRYING, HUMIDITY, SIDE, WIND};
use crate::earth::{self, BANK, EARTH, NetBackfill, SHRINK};
use crate::measure::{
    Dimension, EvaporationRate, Length, Money, MoneyPerVolume, Pressure, Ratio, Speed, Temperature,
    Time, UnitWeight, Volume, Wage,
};
use crate::price::{DELAY, MAN_HOURS, WAGE, WORK, WORKDAY};
use crate::rebar::{DEVELOPED, FY, STEEL, THICKNESS};
use crate::survey::{ELEVATION, StakeMark};
use crate::{concrete, price, rebar, survey};

record! { NetBackfill {
    compacted: Volume, "in place: the dig less what is built in it";
    bank: Volume, "in the bank, to be kept for it";
    left_over: Volume, "in the bank; negative where earth must be brought";
}}

record! { StakeMark {
    mark: String, "C- for cut, F- for fill, to hundredths";
    cut: Length, "ground less grade";
}}

pub(super) const LIST: &[Function] = &[
    Function {
        name: "tapered_stem_volume",
        family: Family::Concrete,
        summary: "Computes the volume of a stem that tapers from its foot to its top.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Length>(SIDE.named("height"), "of the stem"),
            Parameter::measure::<Length>(SIDE.named("top"), "thickness at its top"),
            Parameter::measure::<Length>(SIDE.named("foot"), "thickness at its foot"),
            Parameter::measure::<Length>(SIDE, "of the wall"),
        ],
        result: Volume::KIND,
        result_about: "mean thickness x height x length",
        errors: "",
        example: "tapered_stem_volume(4.m, 0.5.m, 1.m, 15.m).show(\"m3\")",
        prints: "45 m3",
        evaluate: |a| {
            let (height, top) = (a.measure(0)?, a.measure(1)?);
            give(concrete::tapered_stem_volume(height, top, a.measure(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "short_load",
        family: Family::Concrete,
        summary: "Computes a plant's charge for what a load lacks of its least one.",
        source: "practice",
        parameters: &[
            Parameter::measure::<Volume>(crate::concrete::VOLUME, "of the load"),
            Parameter::measure::<Volume>(
                crate::concrete::VOLUME.named("least"),
                "load that the plant brings without a charge",
            ),
            Parameter::measure::<MoneyPerVolume>(CHARGE, "for each volume that is missing"),
        ],
        result: Money::KIND,
        result_about: "nothing at the least load and above it; the plant's own terms govern",
        errors: "",
        example: "short_load(2.5.cy, 4.cy, q(\"40 usd/cy\")).show(\"usd\", 2)",
        prints: "60.00 usd",
        evaluate: |a| give(concrete::short_load(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "evaporation_rate",
        family: Family::Time,
        summary: "Computes the rate at which water evaporates from fresh concrete by air, concrete, humidity and wind.",
        source: "evaporation",
        parameters: &[
            Parameter::measure::<Temperature>(DRYING, "temperature of the air"),
            Parameter::measure::<Temperature>(
                DRYING.named("concrete"),
                "temperature of the concrete",
            ),
            Parameter::measure::<Ratio>(HUMIDITY, "relative, such as 40.percent"),
            Parameter::measure::<Speed>(WIND, "beside the concrete, such as q(\"10 mi/h\")"),
        ],
        result: EvaporationRate::KIND,
        result_about: "precautions are usual over 0.2 lb/sf/h (1 kg/m2/h); the specification governs",
        errors: "",
        example: "evaporation_rate(25.C, 25.C, 50.percent, q(\"16 km/h\")).show(\"kg/m2/h\", 3)",
        prints: "0.606 kg/m2/h",
        evaluate: |a| {
            let (air, concrete) = (a.measure(0)?, a.measure(1)?);
            give(concrete::evaporation_rate(air, concrete, a.measure(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "shrink_of_weights",
        family: Family::Earth,
        summary: "Computes shrinkage from the unit weights of earth in the bank and compacted.",
        source: "earth-states",
        parameters: &[
            Parameter::measure::<UnitWeight>(EARTH.named("bank"), "in the bank"),
            Parameter::measure::<UnitWeight>(EARTH.named("compacted"), "compacted"),
        ],
        result: Ratio::KIND,
        result_about: "share by which the bank volume shrinks; negative where it grows",
        errors: "",
        example: "shrink_of_weights(100.pcf, 125.pcf)",
        prints: "0.2",
        evaluate: |a| give(earth::shrink_of_weights(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "net_backfill",
        family: Family::Earth,
        summary: "Computes the backfill of a dig net of what is built in it, compacted and in the bank, and what is left over.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Volume>(BANK.named("dug"), "of the dig, in the bank"),
            Parameter::new(
                "built",
                ValueKind::List(Dimension::VOLUME),
                "under the ground: footing, stem, drain rock",
            ),
            Parameter::measure::<Ratio>(SHRINK, "from bank to compacted, such as 14.percent"),
        ],
        result: NetBackfill::KIND,
        result_about: "CAUTION: no backfill before the engineer of record allows it behind the wall",
        errors: "more is built than is dug; a volume of the list is out of its range",
        example: "net_backfill(140.cy, [30.cy, 30.cy], 10.percent).bank.show(\"cy\", 2)",
        prints: "88.89 cy",
        evaluate: |a| give(earth::net_backfill(a.measure(0)?, &a.list(1)?, a.measure(2)?)),
    },
    Function {
        name: "stake_mark",
        family: Family::Levels,
        summary: "Writes the mark of a stake between ground and grade.",
        source: "stake-marks",
        parameters: &[
            Parameter::measure::<Length>(ELEVATION.named("ground"), "elevation of the ground"),
            Parameter::measure::<Length>(ELEVATION.named("grade"), "elevation of the grade"),
            Parameter::choice("unit", survey::MarkUnit::NAMES, "of the mark").or("ft"),
        ],
        result: StakeMark::KIND,
        result_about: "to hundredths",
        errors: "",
        example: "stake_mark(104.33.ft, 101.75.ft).mark",
        prints: "C-2.58",
        evaluate: |a| give(survey::stake_mark(a.measure(0)?, a.measure(1)?, a.choice(2)?)),
    },
    Function {
        name: "man_days",
        family: Family::Money,
        summary: "Computes man-days: amount over unit, times man-hours for a unit, over the hours of a day, times the factor of delays.",
        source: "man-days",
        parameters: &[
            Parameter::measure::<Ratio>(WORK, "of the work, in units"),
            Parameter::measure::<Ratio>(
                WORK.named("unit"),
                "that the man-hours are for, such as 1000",
            ),
            Parameter::measure::<Time>(MAN_HOURS, "for one unit"),
            Parameter::measure::<Ratio>(DELAY, "factor, 1 for none").or("1"),
            Parameter::measure::<Time>(WORKDAY, "of one man").or("8 h"),
        ],
        result: Ratio::KIND,
        result_about: "not rounded",
        errors: "",
        example: "man_days(16000, 1000, 33.h)",
        prints: "66",
        evaluate: |a| {
            let (quantity, unit, hours) = (a.measure(0)?, a.measure(1)?, a.measure(2)?);
            give(price::man_days(quantity, unit, hours, a.measure(3)?, a.measure(4)?))
        },
    },
    Function {
        name: "burdened_wage",
        family: Family::Money,
        summary: "Computes a wage with its burdens, each a share of the wage.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Wage>(WAGE, "bare, such as q(\"34 usd/h\")"),
            Parameter::new(
                "burdens",
                ValueKind::List(Dimension::NUMBER),
                "shares of the wage, none on another",
            ),
        ],
        result: Wage::KIND,
        result_about: "burdens with a cap a year: capped_burden",
        errors: "a burden is under 0 or over 1",
        example: "burdened_wage(q(\"40 usd/h\"), [7.65.percent, 12.percent]).show(\"usd/h\", 2)",
        prints: "47.86 usd/h",
        evaluate: |a| give(price::burdened_wage(a.measure(0)?, &a.list(1)?)),
    },
    Function {
        name: "shrinkage_steel",
        family: Family::Bars,
        summary: "Computes shrinkage and temperature steel per length of a slab or footing.",
        source: "shrinkage-steel",
        parameters: &[
            Parameter::measure::<Length>(THICKNESS, "of the concrete"),
            Parameter::measure::<Pressure>(FY, "yield strength of the bars"),
            Parameter::choice("code", rebar::ShrinkageCode::NAMES, "edition").or("318-19"),
        ],
        result: Length::KIND,
        result_about: "area per length over the whole thickness; the engineer of record governs",
        errors: "",
        example: "shrinkage_steel(12.inch, 60.ksi).show(\"in2/ft\", 4)",
        prints: "0.2592 in2/ft",
        evaluate: |a| give(rebar::shrinkage_steel(a.measure(0)?, a.measure(1)?, a.choice(2)?)),
    },
    Function {
        name: "excess_steel_length",
        family: Family::Bars,
        summary: "Computes a development length shortened where more steel is there than is needed.",
        source: "excess-steel",
        parameters: &[
            Parameter::measure::<Length>(DEVELOPED, "the development length before any floor"),
            Parameter::measure::<Length>(STEEL.named("needed"), "area per length that is needed"),
            Parameter::measure::<Length>(STEEL.named("provided"), "area per length that is there"),
        ],
        result: Length::KIND,
        result_about: "no less than 12 in; CAUTION: not for laps, hooks, where the bar must yield, or in seismic members; the engineer of record governs",
        errors: "less is provided than is needed",
        example: "excess_steel_length(28.inch, q(\"0.29 in2/ft\"), q(\"0.37 in2/ft\")).show(\"in\", 2)",
        prints: "21.95 in",
        evaluate: |a| give(rebar::excess_steel_length(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
];
