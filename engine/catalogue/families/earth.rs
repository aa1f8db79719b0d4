//! Earth: volumes of cuts, loose and compacted, truck loads.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::earth::{
    self, APART, BANK, BOTTOM, CELL, DEEP, EARTH, HEAPED, PAYLOAD, SECTION, SHRINK, SWELL,
    SoilClass, Trench, TruckLoads,
};
use crate::measure::{Area, Dimension, Length, Ratio, UnitWeight, Volume, Weight};

record! { TruckLoads {
    by_volume: Ratio, "loads by heaped volume";
    by_payload: Ratio, "loads by weight";
    loads: Ratio, "the larger, which governs";
    governs: &'static str, "what decided";
}}

record! { Trench {
    top: Length, "width at the top";
    area: Area, "of the section";
    layback: Ratio, "horizontal per vertical";
}}

const HEIGHTS: ValueKind = ValueKind::List(Dimension::LENGTH);

pub(super) const LIST: &[Function] = &[
    Function {
        name: "swell",
        family: Family::Earth,
        summary: "Computes the loose volume of a bank volume.",
        source: "practice",
        parameters: &[
            Parameter::measure::<Volume>(BANK, "volume in the ground"),
            Parameter::measure::<Ratio>(SWELL, "as a fraction, such as 25.percent"),
        ],
        result: Volume::KIND,
        result_about: "bank x (1 + swell)",
        errors: "",
        example: "swell(100.cy, 25.percent).show(\"cy\")",
        prints: "125 cy",
        evaluate: |a| give(earth::swell(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "swell_of_weights",
        family: Family::Earth,
        summary: "Computes the swell from unit weights: bank over loose, less one.",
        source: "earth-states",
        parameters: &[
            Parameter::measure::<UnitWeight>(EARTH.named("bank"), "in the ground"),
            Parameter::measure::<UnitWeight>(EARTH.named("loose"), "after excavation"),
        ],
        result: Ratio::KIND,
        result_about: "as a fraction",
        errors: "",
        example: "swell_of_weights(q(\"2800 lb/yd3\"), q(\"2295 lb/yd3\")) * 100",
        prints: "22.00435729847",
        evaluate: |a| give(earth::swell_of_weights(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "compacted",
        family: Family::Earth,
        summary: "Computes the compacted volume of a bank volume.",
        source: "earth-states",
        parameters: &[
            Parameter::measure::<Volume>(BANK, "volume in the ground"),
            Parameter::measure::<Ratio>(
                SHRINK,
                "as a fraction; negative where it grows, as blasted rock does",
            ),
        ],
        result: Volume::KIND,
        result_about: "bank x (1 - shrink)",
        errors: "",
        example: "compacted(100.cy, 10.percent).show(\"cy\")",
        prints: "90 cy",
        evaluate: |a| give(earth::compacted(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "truck_loads",
        family: Family::Earth,
        summary: "Counts truck loads of a bank volume by heaped loose volume and by weight; the larger governs.",
        source: "earth-states",
        parameters: &[
            Parameter::measure::<Volume>(BANK, "volume in the ground"),
            Parameter::measure::<Ratio>(SWELL, "as a fraction"),
            Parameter::measure::<UnitWeight>(EARTH, "in the ground"),
            Parameter::measure::<Volume>(HEAPED, "of a truck, heaped"),
            Parameter::measure::<Weight>(PAYLOAD, "legal load of a truck"),
        ],
        result: TruckLoads::KIND,
        result_about: "whole numbers, rounded up",
        errors: "",
        example: "truck_loads(100.cy, 25.percent, 100.pcf, 12.cy, 15.ton).governs",
        prints: "volume",
        evaluate: |a| {
            give(earth::truck_loads(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
                a.measure(4)?,
            ))
        },
    },
    Function {
        name: "average_end_volume",
        family: Family::Earth,
        summary: "Computes the volume between sections at even distances by the average of each two ends.",
        source: "earthwork-volumes",
        parameters: &[
            Parameter::new(
                "areas",
                ValueKind::List(Dimension::AREA),
                "two sections or more, each 0 or more",
            ),
            Parameter::measure::<Length>(APART, "distance of the sections"),
        ],
        result: Volume::KIND,
        result_about: "more than the prismoid where sections differ in shape",
        errors: "there are fewer than two sections; an area is out of its range",
        example: "average_end_volume([50.sf, 70.sf], 100.ft).show(\"cy\", 2)",
        prints: "222.22 cy",
        evaluate: |a| give(earth::average_end_volume(&a.list(0)?, a.measure(1)?)),
    },
    Function {
        name: "prismoidal_volume",
        family: Family::Earth,
        summary: "Computes the volume between two sections by the prismoid: L (A1 + 4 Am + A2) / 6.",
        source: "earthwork-volumes",
        parameters: &[
            Parameter::measure::<Area>(SECTION.named("first"), "A1"),
            Parameter::measure::<Area>(
                SECTION.named("middle"),
                "Am, from the middle section's own dimensions, never the mean of the ends",
            ),
            Parameter::measure::<Area>(SECTION.named("last"), "A2"),
            Parameter::measure::<Length>(APART.named("length"), "L"),
        ],
        result: Volume::KIND,
        result_about: "exact for plane sides",
        errors: "",
        example: "prismoidal_volume(400.sf, 736.sf, 1144.sf, 6.ft).show(\"cf\")",
        prints: "4488 cf",
        evaluate: |a| {
            give(earth::prismoidal_volume(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
            ))
        },
    },
    Function {
        name: "grid_volume",
        family: Family::Earth,
        summary: "Computes the volume of a grid of equal cells from heights by how many cells share them.",
        source: "earthwork-volumes",
        parameters: &[
            Parameter::measure::<Area>(CELL, "of one cell"),
            Parameter::new(
                "once",
                HEIGHTS,
                "heights at corners of one cell; cut positive, -1000 to 1000 ft",
            ),
            Parameter::new("twice", HEIGHTS, "of two cells"),
            Parameter::new("thrice", HEIGHTS, "of three cells"),
            Parameter::new("four", HEIGHTS, "of four cells"),
        ],
        result: Volume::KIND,
        result_about: "cut less fill; how a mixed cell is split is a matter of method",
        errors: "a height is out of its range, or there is none",
        example: "grid_volume(100.sf, [3.ft, 3.ft, 3.ft, 3.ft], [], [], []).show(\"cf\")",
        prints: "300 cf",
        evaluate: |a| {
            give(earth::grid_volume(
                a.measure(0)?,
                &a.list(1)?,
                &a.list(2)?,
                &a.list(3)?,
                &a.list(4)?,
            ))
        },
    },
    Function {
        name: "sloped_trench",
        family: Family::Earth,
        summary: "Computes the section of a trench with both sides at the slope that the excavation standard allows.",
        source: "subpart-p",
        parameters: &[
            Parameter::measure::<Length>(BOTTOM, "width of the bottom"),
            Parameter::measure::<Length>(
                DEEP,
                "deeper a registered professional engineer designs it",
            ),
            Parameter::choice(
                "soil",
                SoilClass::NAMES,
                "type as a competent person has classified it; without a classification C",
            ),
        ],
        result: Trench::KIND,
        result_about: "CAUTION: a competent person classifies the soil and inspects the cut; local codes govern",
        errors: "",
        example: "sloped_trench(3.ft, 6.ft, \"B\").area.show(\"sf\")",
        prints: "54 sf",
        evaluate: |a| give(earth::sloped_trench(a.measure(0)?, a.measure(1)?, a.choice(2)?)),
    },
];
