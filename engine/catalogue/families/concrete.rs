//! Concrete: volumes, orders, placing.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, record};
use crate::concrete::{
    self, BAG, BATCH, Carried, Discharge, LEAST_PLAN, MEMBER, MINUTES, MIXER, MIXERS, ORDER_STEP,
    PLAN, POUR, Plumbed, Plumbing, RISE, ReadyMix, SIDE, SUPPLY, TRUCK, Tolerance, Trucks,
    UNIT_WEIGHT, VOLUME, WALL_HEIGHT, WASTE,
};
use crate::measure::{Area, Length, Ratio, Speed, Time, UnitWeight, Volume, VolumeRate, Weight};

record! { Trucks {
    loads: Ratio, "loads to haul";
    trucks: Ratio, "trucks in the cycle, no more than there are loads";
    supply: VolumeRate, "concrete placed per time";
    duration: Time, "until the last load is emptied";
}}

record! { Discharge {
    limit: Option<Time>, "the limit; nothing where the edition leaves it to the order";
    whose: &'static str, "whose it is";
}}

record! { Tolerance {
    over: Length, "over, or above";
    under: Length, "under, or below, without sign";
}}

const WHOSE: &str = "of ACI 117 as quoted; the edition of the contract governs";

pub(super) const LIST: &[Function] = &[
    Function {
        name: "prism_volume",
        family: Family::Concrete,
        summary: "Computes the volume of a box.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Length>(SIDE, "a side"),
            Parameter::measure::<Length>(SIDE.named("width"), "a side"),
            Parameter::measure::<Length>(SIDE.named("depth"), "a side"),
        ],
        result: Volume::KIND,
        result_about: "length x width x depth",
        errors: "",
        example: "prism_volume(27.ft, 4.ft, 12.inch).show(\"cy\")",
        prints: "4 cy",
        evaluate: |a| give(concrete::prism_volume(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "order_quantity",
        family: Family::Concrete,
        summary: "Computes what to order: the volume with waste, up to the next order step.",
        source: "practice",
        parameters: &[
            Parameter::measure::<Volume>(VOLUME, "net"),
            Parameter::measure::<Ratio>(WASTE, "as a fraction, such as 8.percent"),
            Parameter::measure::<Volume>(ORDER_STEP, "order step"),
        ],
        result: Volume::KIND,
        result_about: "a whole number of steps; an exact multiple gains none",
        errors: "",
        example: "order_quantity(30.017361.cy, 8.percent, 0.5.cy).show(\"cy\")",
        prints: "32.5 cy",
        evaluate: |a| give(concrete::order_quantity(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "tiered_waste",
        family: Family::Concrete,
        summary: "Gives the waste that one published rule adds: 10 %, and 5 % above 200 cy.",
        source: "waste-tier",
        parameters: &[Parameter::measure::<Volume>(VOLUME, "net")],
        result: Ratio::KIND,
        result_about: "as a fraction; the company's own figure governs",
        errors: "",
        example: "tiered_waste(200.cy)",
        prints: "0.1",
        evaluate: |a| give(concrete::tiered_waste(a.measure(0)?)),
    },
    Function {
        name: "batch_yield",
        family: Family::Concrete,
        summary: "Computes the yield of a batch: its weight over the measured unit weight.",
        source: "concrete-yield",
        parameters: &[
            Parameter::measure::<Weight>(BATCH, "of all that went into it"),
            Parameter::measure::<UnitWeight>(UNIT_WEIGHT, "of the fresh concrete, as measured"),
        ],
        result: Volume::KIND,
        result_about: "fresh volume; hardened it is about 2 % less",
        errors: "",
        example: "batch_yield(4050.lb, 150.pcf).show(\"cy\")",
        prints: "1 cy",
        evaluate: |a| give(concrete::batch_yield(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "bags",
        family: Family::Concrete,
        summary: "Counts bags of dry mix for a volume: 0.15 cf of concrete for every 20 lb.",
        source: "bag-yield",
        parameters: &[
            Parameter::measure::<Volume>(VOLUME, "of concrete"),
            Parameter::measure::<Weight>(BAG, "weight of a bag"),
        ],
        result: Ratio::KIND,
        result_about: "a whole number, rounded up; the bag's own print governs",
        errors: "",
        example: "bags(1.cy, 80.lb)",
        prints: "45",
        evaluate: |a| give(concrete::bags(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "trucks_in_cycle",
        family: Family::Concrete,
        summary: "Counts loads and trucks so that one is always unloading.",
        source: "practice",
        parameters: &[
            Parameter::measure::<Volume>(VOLUME, "to be placed"),
            Parameter::measure::<Volume>(TRUCK, "what a truck carries"),
            Parameter::measure::<Time>(MINUTES, "unloading one truck"),
            Parameter::measure::<Time>(
                MINUTES.named("cycle"),
                "loading, haul, unloading, washing, return; no less than unload",
            ),
        ],
        result: Trucks::KIND,
        result_about: "cycle over unloading, rounded up, no more trucks than loads",
        errors: "the cycle is shorter than unloading",
        example: "trucks_in_cycle(150.cy, 10.cy, 10.min, 65.min).trucks",
        prints: "7",
        evaluate: |a| {
            give(concrete::trucks_in_cycle(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
            ))
        },
    },
    Function {
        name: "mixer_output",
        family: Family::Concrete,
        summary: "Computes the output of mixers on site, rounded up to a whole cubic foot per hour.",
        source: "army-forms",
        parameters: &[
            Parameter::measure::<Volume>(MIXER, "of one mixer"),
            Parameter::measure::<Time>(MINUTES.named("batch_time"), "from batch to batch"),
            Parameter::measure::<Ratio>(MIXERS, "how many"),
        ],
        result: VolumeRate::KIND,
        result_about: "rounded up, so that the pressure that follows from it is not too low",
        errors: "",
        example: "mixer_output(16.cf, 7.min, 1).show(\"cf/h\")",
        prints: "138 cf/h",
        evaluate: |a| give(concrete::mixer_output(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "rise_rate",
        family: Family::Concrete,
        summary: "Computes how fast concrete rises in a form: supply over plan area.",
        source: "definition",
        parameters: &[
            Parameter::measure::<VolumeRate>(
                SUPPLY,
                "concrete placed per time, as a rate such as q(\"20 cy/h\")",
            ),
            Parameter::measure::<Area>(PLAN, "area of the form in plan"),
        ],
        result: Speed::KIND,
        result_about: "of the whole form filled evenly; where it is filled in parts, of the part",
        errors: "",
        example: "rise_rate(q(\"162 cf/h\"), 80.sf).show(\"ft/h\")",
        prints: "2.025 ft/h",
        evaluate: |a| give(concrete::rise(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "supply_for_rise",
        family: Family::Concrete,
        summary: "Computes what may be placed per time so that concrete rises no faster.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Speed>(RISE, "highest rate of rise"),
            Parameter::measure::<Area>(PLAN, "area of the form in plan"),
        ],
        result: VolumeRate::KIND,
        result_about: "of the whole form filled evenly",
        errors: "",
        example: "supply_for_rise(q(\"5 ft/h\"), 108.sf).show(\"cy/h\")",
        prints: "20 cy/h",
        evaluate: |a| give(concrete::supply_for_rise(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "pour_time",
        family: Family::Concrete,
        summary: "Computes how long a pour of a height takes at a rate of rise.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Length>(POUR, "of the pour"),
            Parameter::measure::<Speed>(RISE, "rate of rise"),
        ],
        result: Time::KIND,
        result_about: "height over rise",
        errors: "",
        example: "pour_time(10.ft, q(\"4 ft/h\")).show(\"h\")",
        prints: "2.5 h",
        evaluate: |a| give(concrete::pour_time(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "discharge_limit",
        family: Family::Concrete,
        summary: "Gives the time in which a load of ready-mixed concrete is to be discharged, by edition.",
        source: "ready-mix",
        parameters: &[
            Parameter::choice("edition", ReadyMix::NAMES, "of the specification").or("C94-21")
        ],
        result: Discharge::KIND,
        result_about: "the order and the specification of the job govern",
        errors: "",
        example: "discharge_limit(\"before C94-21\").limit.show(\"min\")",
        prints: "90 min",
        evaluate: |a| give(Ok(concrete::discharge_limit(a.choice(0)?))),
    },
    Function {
        name: "footing_edge_tolerance",
        family: Family::Concrete,
        summary: "Gives how far the edge of a footing may be off its place.",
        source: "tolerances",
        parameters: &[
            Parameter::measure::<Length>(LEAST_PLAN, "of the footing in plan"),
            Parameter::choice("carries", Carried::NAMES, "what stands on it"),
        ],
        result: Length::KIND,
        result_about: WHOSE,
        errors: "",
        example: "footing_edge_tolerance(4.ft, \"concrete\").show(\"in\", 2)",
        prints: "0.96 in",
        evaluate: |a| give(concrete::footing_edge_tolerance(a.measure(0)?, a.choice(1)?)),
    },
    Function {
        name: "footing_top_tolerance",
        family: Family::Concrete,
        summary: "Gives how far the top of a footing, or of each of its benches, may be off its level.",
        source: "tolerances",
        parameters: &[Parameter::choice("carries", Carried::NAMES, "what stands on it")],
        result: Tolerance::KIND,
        result_about: "of ACI 117 as quoted; a form that has to land may need less; the edition of the contract governs",
        errors: "",
        example: "footing_top_tolerance(\"concrete\").under.show(\"in\")",
        prints: "2 in",
        evaluate: |a| give(concrete::footing_top_tolerance(a.choice(0)?)),
    },
    Function {
        name: "thickness_tolerance",
        family: Family::Concrete,
        summary: "Gives how far the thickness of a wall, beam or column may be off.",
        source: "tolerances",
        parameters: &[Parameter::measure::<Length>(MEMBER, "as drawn")],
        result: Tolerance::KIND,
        result_about: "of ACI 117 as quoted, over 12 in from memory; the edition of the contract governs",
        errors: "",
        example: "thickness_tolerance(10.inch).over.show(\"in\", 3)",
        prints: "0.375 in",
        evaluate: |a| give(concrete::thickness_tolerance(a.measure(0)?)),
    },
    Function {
        name: "plumb_tolerance",
        family: Family::Concrete,
        summary: "Gives how far a wall may be off plumb over its height.",
        source: "tolerances",
        parameters: &[
            Parameter::measure::<Length>(WALL_HEIGHT, "of the wall"),
            Parameter::choice(
                "plumbed",
                Plumbed::NAMES,
                "a surface, or an exposed corner or groove",
            ),
            Parameter::choice(
                "edition",
                Plumbing::NAMES,
                "117-10 is the tighter one to 27 ft 9 in, and from memory",
            )
            .or("117-10"),
        ],
        result: Length::KIND,
        result_about: "117-90 as quoted, 117-10 from memory; the edition of the contract governs",
        errors: "the height is over 83 ft 4 in for 117-10",
        example: "plumb_tolerance(12.ft, \"surface\").show(\"in\", 3)",
        prints: "0.432 in",
        evaluate: |a| give(concrete::plumb_tolerance(a.measure(0)?, a.choice(1)?, a.choice(2)?)),
    },
];
