//! Functions of measures.

use super::{Family, Function, Kind, Parameter, Value};
use crate::measure::{Dimension, Length, Volume};
use crate::{concrete, earth, footing, forms, rebar};

const LENGTH: Kind = Kind::Measure(Dimension::LENGTH);
const VOLUME: Kind = Kind::Measure(Dimension::VOLUME);
const PRESSURE: Kind = Kind::Measure(Dimension::PRESSURE);

const fn input(name: &'static str, kind: Kind, about: &'static str) -> Parameter {
    Parameter { name, kind, about }
}

const SNAP: [Parameter; 3] = [
    input("length", LENGTH, "what is snapped, any sign"),
    input("module", LENGTH, "module width, greater than zero"),
    input("origin", LENGTH, "where the module lines are counted from, any sign"),
];

const BAR: [Parameter; 3] = [
    input("bar", Kind::Text, "size, \"#3\" to \"#8\""),
    input("fy", PRESSURE, "yield strength, 40,000 to 80,000 psi"),
    input("fc", PRESSURE, "concrete strength f'c, 2,500 to 10,000 psi"),
];

fn measure(quantity: crate::measure::Quantity) -> Value {
    Value::Measure(quantity)
}

pub(super) const LIST: &[Function] = &[
    Function {
        name: "snap_down",
        family: Family::Modules,
        summary: "Finds the last module line at or below a length.",
        source: "definition",
        parameters: &SNAP,
        result: LENGTH,
        result_about: "a whole number of modules from the origin, not above the length",
        errors: "the module is not greater than zero; a length is beyond 20,000 km",
        example: "snap_down(11.ft, 2.ft, 20.inch).show(\"ft-in\")",
        prints: "9'-8\"",
        evaluate: |a| {
            Ok(measure(forms::snap_down(a.length(0)?, a.length(1)?, a.length(2)?)?.quantity()))
        },
    },
    Function {
        name: "snap_up",
        family: Family::Modules,
        summary: "Finds the first module line at or above a length.",
        source: "definition",
        parameters: &SNAP,
        result: LENGTH,
        result_about: "a whole number of modules from the origin, not below the length",
        errors: "the module is not greater than zero; a length is beyond 20,000 km",
        example: "snap_up(11.ft, 2.ft, 20.inch).show(\"ft-in\")",
        prints: "11'-8\"",
        evaluate: |a| {
            Ok(measure(forms::snap_up(a.length(0)?, a.length(1)?, a.length(2)?)?.quantity()))
        },
    },
    Function {
        name: "snap_near",
        family: Family::Modules,
        summary: "Finds the nearest module line; half-way goes away from the origin.",
        source: "definition",
        parameters: &SNAP,
        result: LENGTH,
        result_about: "a whole number of modules from the origin, nearest to the length",
        errors: "the module is not greater than zero; a length is beyond 20,000 km",
        example: "snap_near(10.ft, 2.ft, 20.inch).show(\"ft-in\")",
        prints: "9'-8\"",
        evaluate: |a| {
            Ok(measure(forms::snap_near(a.length(0)?, a.length(1)?, a.length(2)?)?.quantity()))
        },
    },
    Function {
        name: "fluid_pressure",
        family: Family::FreshConcrete,
        summary: "Computes the pressure of fresh concrete at a depth when nothing has stiffened: p = w h.",
        source: "form-pressure",
        parameters: &[
            input(
                "unit_weight",
                Kind::Measure(Dimension::UNIT_WEIGHT),
                "w, 0 or more; 150 pcf is usual for normal-weight concrete",
            ),
            input("depth", LENGTH, "h below the top of the fresh concrete, 0 or more"),
        ],
        result: PRESSURE,
        result_about: "the full liquid head; what a form may carry is its maker's and the engineer's word",
        errors: "the unit weight or the depth is negative",
        example: "fluid_pressure(150.pcf, 4.ft).show(\"psf\")",
        prints: "600 psf",
        evaluate: |a| Ok(measure(forms::fluid_pressure(a.measure(0)?, a.measure(1)?)?.quantity())),
    },
    Function {
        name: "fluid_thrust",
        family: Family::FreshConcrete,
        summary: "Computes the thrust of fresh concrete on a form or bulkhead: F = w h^2 b / 2, acting at h/3 from its foot.",
        source: "definition",
        parameters: &[
            input("unit_weight", Kind::Measure(Dimension::UNIT_WEIGHT), "w, 0 or more"),
            input("height", LENGTH, "h of the fresh concrete against it, 0 or more"),
            input("width", LENGTH, "b of the form, 0 or more"),
        ],
        result: Kind::Measure(Dimension::FORCE),
        result_about: "the whole thrust; bracing is for the engineer and the competent person on site",
        errors: "an input is negative",
        example: "fluid_thrust(150.pcf, 1.ft, 5.ft).show(\"lb\")",
        prints: "375 lb",
        evaluate: |a| {
            Ok(measure(forms::fluid_thrust(a.measure(0)?, a.length(1)?, a.length(2)?)?.quantity()))
        },
    },
    Function {
        name: "prism_volume",
        family: Family::Concrete,
        summary: "Computes the volume of a box.",
        source: "definition",
        parameters: &[
            input("length", LENGTH, "0 or more"),
            input("width", LENGTH, "0 or more"),
            input("depth", LENGTH, "0 or more"),
        ],
        result: VOLUME,
        result_about: "length x width x depth",
        errors: "a side is negative",
        example: "prism_volume(27.ft, 4.ft, 12.inch).show(\"cy\")",
        prints: "4 cy",
        evaluate: |a| {
            Ok(measure(
                concrete::prism_volume(a.length(0)?, a.length(1)?, a.length(2)?)?.quantity(),
            ))
        },
    },
    Function {
        name: "order_quantity",
        family: Family::Concrete,
        summary: "Computes what to order: the volume with waste, up to the next order step.",
        source: "practice",
        parameters: &[
            input("volume", VOLUME, "net volume"),
            input("waste", Kind::Number, "as a fraction, 0 to 1, such as 8.percent"),
            input("step", VOLUME, "order step, greater than zero"),
        ],
        result: VOLUME,
        result_about: "a whole number of steps; an exact multiple gains none",
        errors: "the waste is outside 0 to 1; the step is not greater than zero",
        example: "order_quantity(30.017361.cy, 8.percent, 0.5.cy).show(\"cy\")",
        prints: "32.5 cy",
        evaluate: |a| {
            let order =
                concrete::order_quantity(a.measure::<Volume>(0)?, a.number(1)?, a.measure(2)?)?;
            Ok(measure(order.quantity()))
        },
    },
    Function {
        name: "bar_diameter",
        family: Family::Bars,
        summary: "Gives the nominal diameter of an inch-pound bar: n eighths of an inch.",
        source: "definition",
        parameters: &[input("bar", Kind::Text, "size, \"#3\" to \"#8\"")],
        result: LENGTH,
        result_about: "nominal diameter",
        errors: "the bar is not #3 to #8",
        example: "bar_diameter(\"#5\").show(\"in\")",
        prints: "0.625 in",
        evaluate: |a| Ok(measure(rebar::bar_diameter(a.text(0)?)?.quantity())),
    },
    Function {
        name: "development_length",
        family: Family::Bars,
        summary: "Computes the development length in tension, simple case: fy / (25 root f'c) db, 20 in place of 25 for #7 and #8.",
        source: "development-simple",
        parameters: &BAR,
        result: LENGTH,
        result_about: "ld for bottom bars, uncoated, normal-weight concrete, with the spacing and cover of the simple case",
        errors: "the bar is not #3 to #8; fy or f'c is out of range",
        example: "development_length(\"#5\", 60.ksi, 3000.psi).show(\"in\", 2)",
        prints: "27.39 in",
        evaluate: |a| {
            Ok(measure(
                rebar::development_length(a.text(0)?, a.measure(1)?, a.measure(2)?)?.quantity(),
            ))
        },
    },
    Function {
        name: "class_b_lap",
        family: Family::Bars,
        summary: "Computes the class B tension lap: 1.3 ld.",
        source: "class-b-lap",
        parameters: &BAR,
        result: LENGTH,
        result_about: "lap length, not rounded; the schedule of the engineer of record governs",
        errors: "the bar is not #3 to #8; fy or f'c is out of range",
        example: "class_b_lap(\"#6\", 60.ksi, 3000.psi).show(\"in\", 2)",
        prints: "42.72 in",
        evaluate: |a| {
            Ok(measure(rebar::class_b_lap(a.text(0)?, a.measure(1)?, a.measure(2)?)?.quantity()))
        },
    },
    Function {
        name: "throat_overlap",
        family: Family::Steps,
        summary: "Computes the overlap of a step: the least multiple of a step length that leaves the throat through it.",
        source: "practice",
        parameters: &[
            input(
                "throat",
                LENGTH,
                "least concrete through the step, usually the upper footing's thickness; greater than zero",
            ),
            input(
                "drop",
                LENGTH,
                "how far the upper footing's bottom lies under the lower footing's top; 0 when it does not",
            ),
            input("step", LENGTH, "overlaps are whole multiples of it, greater than zero"),
            input("least", LENGTH, "least overlap, 0 or more"),
        ],
        result: LENGTH,
        result_about: "o with o^2 + drop^2 >= throat^2, from the riser to the dirt cut, towards the high side",
        errors: "the throat or the step is not greater than zero; a length is beyond 20,000 km",
        example: "throat_overlap(20.inch, 8.inch, 1.inch, 0.inch).show(\"in\")",
        prints: "19 in",
        evaluate: |a| {
            let [throat, drop, step, least] =
                [a.length(0)?, a.length(1)?, a.length(2)?, a.length(3)?];
            let (throat, step) = (throat.to_nm()?, step.to_nm()?);
            for (value, name) in [(throat, "throat"), (step, "step")] {
                if value.0 <= 0 {
                    return Err(crate::problem::Problem::error(format!(
                        "throat_overlap: the {name} is not greater than zero"
                    ))
                    .into());
                }
            }
            Ok(measure(
                Length::exact(footing::overlap(throat, drop.to_nm()?, step, least.to_nm()?))
                    .quantity(),
            ))
        },
    },
    Function {
        name: "swell",
        family: Family::Earth,
        summary: "Computes the loose volume of a bank volume.",
        source: "practice",
        parameters: &[
            input("bank", VOLUME, "volume in the ground"),
            input("swell", Kind::Number, "as a fraction, 0 to 1, such as 25.percent"),
        ],
        result: VOLUME,
        result_about: "bank x (1 + swell)",
        errors: "the swell is outside 0 to 1",
        example: "swell(100.cy, 25.percent).show(\"cy\")",
        prints: "125 cy",
        evaluate: |a| Ok(measure(earth::swell(a.measure(0)?, a.number(1)?)?.quantity())),
    },
];
