//! Walls as a whole, and pressures that the plain thrust does not have: plausibility of what the engineer gives, no design.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::earth::{
    self, ADHESION, ANY_FRICTION, BASE, BASE_FRICTION, BEHIND, CantileverWall, CohesiveThrust,
    FRICTION, LINE_LOAD, LayeredThrust, LoadThrust, PASSIVE, RETAINED, SECTION_PART, SLOPE, SOIL,
    STRIP_LOAD, SURCHARGE, THICK, WATER_DEPTH, WallFigures,
};
use crate::measure::{
    Angle, Dimension, ForcePerLength, Length, Pressure, Ratio, UnitWeight, Weight,
};

record! { WallFigures {
    overturning: Ratio, "resisting over overturning moment about the toe";
    sliding: Ratio, "resistance over thrust along the base";
    limit: Ratio, "limit of the building code for both";
    whose: &'static str, "whose limit it is";
    toe: Pressure, "under the toe; the limit is the geotechnical engineer's";
    heel: Pressure, "under the heel; 0 where the base lifts off";
    eccentricity: Length, "of the resultant from the middle, positive towards the toe";
    contact: Length, "length of base in contact";
    thrust: ForcePerLength, "horizontal";
    vertical: ForcePerLength, "weights and the vertical part of the thrust";
    overturning_moment: Weight, "per length of wall";
    resisting_moment: Weight, "per length of wall";
}}

record! { LayeredThrust {
    thrust: ForcePerLength, "of earth and water";
    earth: ForcePerLength, "by its weight in water under the water";
    water: ForcePerLength, "by its full head";
    above_foot: Length, "where both act, above the foot";
    earth_at_foot: Pressure, "horizontal, at the foot";
    water_at_foot: Pressure, "at the foot";
}}

record! { CohesiveThrust {
    thrust: ForcePerLength, "after the crack has opened, when it is dry";
    above_foot: Option<Length>, "where it acts; none where the crack reaches the foot";
    crack: Length, "its depth";
    before_crack: ForcePerLength, "before it opens, the pull counted";
}}

record! { LoadThrust {
    thrust: ForcePerLength, "per length of wall";
    above_foot: Length, "where it acts, above the foot";
    greatest: Pressure, "the greatest pressure over the height";
}}

const CHECK: &str = "CAUTION: a plausibility check and no design; the engineer of record, the geotechnical engineer and the local code govern";

pub(super) const LIST: &[Function] = &[
    Function {
        name: "cantilever_wall",
        family: Family::Walls,
        summary: "Computes the figures of a cantilever wall from its dimensions: thrust by Rankine on the plane at the heel, weights and arms, both ratios beside the code's limit, pressure under the base.",
        source: "wall-figures",
        parameters: &[
            Parameter::measure::<Length>(RETAINED.named("stem_height"), "over the footing"),
            Parameter::measure::<Length>(THICK.named("stem_top"), "thickness at its top"),
            Parameter::measure::<Length>(
                THICK.named("stem_foot"),
                "thickness at its foot; what it gains is on the front",
            ),
            Parameter::measure::<Length>(
                SECTION_PART.named("toe"),
                "front edge of the footing to the stem",
            ),
            Parameter::measure::<Length>(
                SECTION_PART.named("heel"),
                "stem to the footing's back edge",
            ),
            Parameter::measure::<Length>(THICK, "of the footing"),
            Parameter::measure::<UnitWeight>(SOIL, "of the earth"),
            Parameter::measure::<Angle>(FRICTION, "phi of the earth behind the wall"),
            Parameter::measure::<Angle>(SLOPE, "of the ground behind the wall"),
            Parameter::measure::<Pressure>(
                SURCHARGE,
                "on level ground; its weight on the heel is not counted as holding the wall",
            ),
            Parameter::measure::<Ratio>(
                BASE_FRICTION,
                "under the base, such as tan 12 deg or 0.45",
            ),
            Parameter::measure::<Pressure>(ADHESION, "under the base").or("0 psf"),
            Parameter::measure::<ForcePerLength>(
                PASSIVE,
                "earth before the base that is counted on",
            )
            .or("0 plf"),
            Parameter::measure::<UnitWeight>(SOIL.named("concrete"), "of the concrete")
                .or("150 pcf"),
        ],
        result: WallFigures::KIND,
        result_about: CHECK,
        errors: "the slope is steeper than phi; a surcharge stands on a slope; the stem is thinner at its foot; the resultant leaves the base",
        example: "cantilever_wall(10.ft, 1.ft, 1.ft, 1.5.ft, 4.25.ft, 1.25.ft, 120.pcf, 32.deg, 0.deg, 100.psf, 0.45).thrust.show(\"plf\", 1)",
        prints: "2678.9 plf",
        evaluate: |a| {
            let wall = CantileverWall {
                stem_height: a.measure(0)?,
                stem_top: a.measure(1)?,
                stem_foot: a.measure(2)?,
                toe: a.measure(3)?,
                heel: a.measure(4)?,
                thickness: a.measure(5)?,
                unit_weight: a.measure(6)?,
                friction: a.measure(7)?,
                slope: a.measure(8)?,
                surcharge: a.measure(9)?,
                base_friction: a.measure(10)?,
                adhesion: a.measure(11)?,
                passive: a.measure(12)?,
                concrete: a.measure(13)?,
            };
            give(earth::cantilever_wall(&wall))
        },
    },
    Function {
        name: "layered_thrust",
        family: Family::Walls,
        summary: "Computes the thrust of layers of earth with water standing in them from a depth on.",
        source: "layered-thrust",
        parameters: &[
            Parameter::new(
                "thicknesses",
                ValueKind::List(Dimension::LENGTH),
                "of the layers, from the top",
            ),
            Parameter::new(
                "unit_weights",
                ValueKind::List(Dimension::UNIT_WEIGHT),
                "of the layers, saturated where they stand in water",
            ),
            Parameter::new("coefficients", ValueKind::List(Dimension::NUMBER), "K of each layer"),
            Parameter::measure::<Length>(
                WATER_DEPTH,
                "of the water under the top; the whole height or more where there is none",
            ),
            Parameter::measure::<Pressure>(SURCHARGE, "on level ground").or("0 psf"),
        ],
        result: LayeredThrust::KIND,
        result_about: CHECK,
        errors: "the lists are empty or of different length; a value of a list is out of its range",
        example: "layered_thrust([10.ft, 5.ft], [100.pcf, 122.4.pcf], [0.707, 0.707], 10.ft).thrust.show(\"plf\", 1)",
        prints: "8380.3 plf",
        evaluate: |a| {
            give(earth::layered_thrust(
                &a.list(0)?,
                &a.list(1)?,
                &a.list(2)?,
                a.measure(3)?,
                a.measure(4)?,
            ))
        },
    },
    Function {
        name: "cohesive_thrust",
        family: Family::Walls,
        summary: "Computes the active thrust of level fill with cohesion, before and after a crack opens at the top.",
        source: "cohesive-thrust",
        parameters: &[
            Parameter::measure::<Angle>(ANY_FRICTION, "phi; 0 for clay without drainage"),
            Parameter::measure::<Pressure>(ADHESION.named("cohesion"), "c of the fill"),
            Parameter::measure::<UnitWeight>(SOIL, "of the fill"),
            Parameter::measure::<Length>(RETAINED, "of the fill"),
        ],
        result: CohesiveThrust::KIND,
        result_about: "a crack that fills with water adds its full head; CAUTION: a plausibility check and no design; the engineer of record, the geotechnical engineer and the local code govern",
        errors: "",
        example: "cohesive_thrust(26.deg, 14.36.kPa, q(\"17.4 kN/m3\"), 6.m).thrust.show(\"kN/m\", 2)",
        prints: "38.32 kN/m",
        evaluate: |a| {
            give(earth::cohesive_thrust(a.measure(0)?, a.measure(1)?, a.measure(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "line_surcharge",
        family: Family::Walls,
        summary: "Computes the thrust of a line load behind an unyielding wall by the elastic solution, nearer than 0.4 of the height as if there.",
        source: "surcharge-elastic",
        parameters: &[
            Parameter::measure::<ForcePerLength>(LINE_LOAD, "along the wall"),
            Parameter::measure::<Length>(BEHIND, "of the load behind the wall"),
            Parameter::measure::<Length>(RETAINED, "of the wall under the load's level"),
        ],
        result: LoadThrust::KIND,
        result_about: CHECK,
        errors: "",
        example: "line_surcharge(1000.plf, 2.ft, 10.ft).thrust.show(\"plf\", 0)",
        prints: "547 plf",
        evaluate: |a| give(earth::line_surcharge(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "strip_surcharge",
        family: Family::Walls,
        summary: "Computes the thrust of a loaded strip behind an unyielding wall by the elastic solution.",
        source: "surcharge-elastic",
        parameters: &[
            Parameter::measure::<Pressure>(STRIP_LOAD, "on the strip"),
            Parameter::measure::<Length>(
                SECTION_PART.named("distance"),
                "from the wall to the strip",
            ),
            Parameter::measure::<Length>(BASE.named("width"), "of the strip"),
            Parameter::measure::<Length>(RETAINED, "of the wall under the strip's level"),
        ],
        result: LoadThrust::KIND,
        result_about: CHECK,
        errors: "",
        example: "strip_surcharge(250.psf, 2.ft, 10.ft, 10.ft).thrust.show(\"plf\", 0)",
        prints: "1080 plf",
        evaluate: |a| {
            give(earth::strip_surcharge(a.measure(0)?, a.measure(1)?, a.measure(2)?, a.measure(3)?))
        },
    },
];
