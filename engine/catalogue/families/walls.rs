//! Earth pressure and walls: plausibility of what the engineer gives, no design.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, record};
use crate::earth::{
    self, ARM, BACK, BASE, Backfill, BasePressure, Bearing, COEFFICIENT, EMBEDDED, EarthThrust,
    FRICTION, FROM_TOE, FrictionRange, Interface, KEY, KeySliding, KeyedBase, LEAN, LEVER,
    LeaningBack, OCR, Presumptive, RESISTANCE, RETAINED, SLOPE, SOIL, SURCHARGE, Stability, THRUST,
    VERTICAL, WALL_FRICTION, WallHeld, WallMovement,
};
use crate::measure::{Angle, ForcePerLength, Length, Pressure, Ratio, UnitWeight, Weight};
use crate::rebar::{self, EFFECTIVE, FC, FY, MOMENT, RequiredSteel};

record! { EarthThrust {
    earth: ForcePerLength, "of the earth, at a third of the height";
    surcharge: ForcePerLength, "of the surcharge, at half the height";
    thrust: ForcePerLength, "both";
    above_foot: Length, "where both act, above the foot";
}}

record! { BasePressure {
    toe: Pressure, "at the toe";
    heel: Pressure, "at the heel; 0 where the base lifts off";
    eccentricity: Length, "of the resultant from the middle, positive towards the toe";
    contact: Length, "length of base in contact";
    middle_third: bool, "whether the resultant is in the middle third";
}}

record! { Stability {
    overturning: Ratio, "resisting over overturning moment about the toe";
    sliding: Ratio, "resistance over thrust along the base";
    limit: Ratio, "limit of the building code for both";
    whose: &'static str, "whose limit it is";
}}

record! { RequiredSteel {
    needed: Length, "area per length by flexure, such as in2/ft";
    least: Length, "least of ACI 318 9.6.1.2";
    four_thirds: Length, "a third more than needed, which may stand in place of the least";
}}

record! { LeaningBack {
    coefficient: Ratio, "of gamma H^2 / 2";
    inclination: Angle, "of the thrust from the normal to the back";
}}

record! { KeySliding {
    thrust: ForcePerLength, "down to the key's foot";
    passive: ForcePerLength, "earth before base and key";
    ratio: Ratio, "both resistances over the thrust";
    limit: Ratio, "limit of the building code";
    whose: &'static str, "whose limit it is";
}}

record! { Presumptive {
    bearing: Pressure, "vertical, on the ground";
    lateral: UnitWeight, "lateral bearing, psf per foot of depth";
    friction: Option<Ratio>, "coefficient, times the dead load; none for clay";
    cohesion: Option<Pressure>, "times the area, to no more than half of the dead load; for clay only";
}}

record! { FrictionRange {
    low: Ratio, "lower end, which requires more";
    high: Ratio, "upper end";
}}

const PHI: Parameter =
    Parameter::measure::<Angle>(FRICTION, "phi of the soil, from the geotechnical report");
const ALPHA: Parameter =
    Parameter::measure::<Angle>(SLOPE, "of the ground behind the wall, no steeper than phi");
const CHECK: &str = "CAUTION: a plausibility check and no design; the engineer of record, the geotechnical engineer and the local code govern";

pub(super) const LIST: &[Function] = &[
    Function {
        name: "earth_coefficient",
        family: Family::Walls,
        summary: "Gives the coefficient of earth pressure for a level fill behind a vertical back: Rankine, or at rest.",
        source: "rankine",
        parameters: &[
            PHI,
            Parameter::choice(
                "state",
                WallMovement::NAMES,
                "active where the wall may move away, at_rest where it is held",
            ),
            Parameter::measure::<Ratio>(OCR, "over-consolidation ratio, for at_rest only").or("1"),
        ],
        result: Ratio::KIND,
        result_about: CHECK,
        errors: "",
        example: "earth_coefficient(30.deg, \"at_rest\")",
        prints: "0.5",
        evaluate: |a| give(earth::level_coefficient(a.measure(0)?, a.choice(1)?, a.measure(2)?)),
    },
    Function {
        name: "sloping_coefficient",
        family: Family::Walls,
        summary: "Gives Rankine's active coefficient for ground that slopes up behind a vertical plane.",
        source: "rankine",
        parameters: &[PHI, ALPHA],
        result: Ratio::KIND,
        result_about: "the thrust is parallel to the slope; CAUTION: a plausibility check and no design; the engineer of record governs",
        errors: "the slope is steeper than the friction angle",
        example: "(sloping_coefficient(34.deg, 10.deg) * 1.pcf).show(\"pcf\", 3)",
        prints: "0.294 pcf",
        evaluate: |a| give(earth::sloping_coefficient(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "coulomb_coefficient",
        family: Family::Walls,
        summary: "Gives Coulomb's active coefficient for a back face, a slope and friction on the wall.",
        source: "coulomb",
        parameters: &[
            PHI,
            ALPHA,
            Parameter::measure::<Angle>(
                BACK,
                "of the back face from the horizontal; 90 deg is vertical",
            ),
            Parameter::measure::<Angle>(WALL_FRICTION, "between wall and soil, no more than phi"),
        ],
        result: Ratio::KIND,
        result_about: CHECK,
        errors: "the slope is steeper than the friction angle; the wall's friction is more than the soil's",
        example: "(coulomb_coefficient(30.deg, 0.deg, 90.deg, 15.deg) * 1.pcf).show(\"pcf\", 4)",
        prints: "0.3014 pcf",
        evaluate: |a| {
            give(earth::coulomb_coefficient(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
            ))
        },
    },
    Function {
        name: "earth_thrust",
        family: Family::Walls,
        summary: "Computes the thrust of earth and of a surcharge on level ground, per length of wall.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Ratio>(COEFFICIENT, "K; 1 for an equivalent fluid"),
            Parameter::measure::<UnitWeight>(SOIL, "of the soil, or of the equivalent fluid"),
            Parameter::measure::<Length>(
                RETAINED,
                "of the earth, from the base's bottom where the whole wall is looked at",
            ),
            Parameter::measure::<Pressure>(
                SURCHARGE,
                "on level ground behind a vertical back; with an equivalent fluid its own coefficient is missing: add it apart",
            ),
        ],
        result: EarthThrust::KIND,
        result_about: CHECK,
        errors: "",
        example: "earth_thrust(0.30726, 120.pcf, 11.25.ft, 100.psf).thrust.show(\"plf\", 1)",
        prints: "2678.9 plf",
        evaluate: |a| {
            give(earth::earth_thrust(a.measure(0)?, a.measure(1)?, a.measure(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "base_pressure",
        family: Family::Walls,
        summary: "Computes the pressure under a base from its load and where the resultant meets it, inside or outside the middle third.",
        source: "definition",
        parameters: &[
            Parameter::measure::<ForcePerLength>(VERTICAL, "load per length of wall"),
            Parameter::measure::<Length>(BASE, "its width"),
            Parameter::measure::<Length>(FROM_TOE, "of the resultant; less than the base"),
        ],
        result: BasePressure::KIND,
        result_about: CHECK,
        errors: "the resultant is beyond the base",
        example: "base_pressure(10000.plf, 6.ft, 1.5.ft).toe.show(\"psf\", 1)",
        prints: "4444.4 psf",
        evaluate: |a| give(earth::base_pressure(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "stability_ratios",
        family: Family::Walls,
        summary: "Sets resisting beside overturning moment about the toe, and resistance along the base beside the thrust.",
        source: "wall-stability",
        parameters: &[
            Parameter::measure::<ForcePerLength>(VERTICAL, "load per length of wall"),
            Parameter::measure::<Length>(LEVER, "of the vertical load from the toe"),
            Parameter::measure::<ForcePerLength>(THRUST, "horizontal, per length of wall"),
            Parameter::measure::<Length>(ARM, "of the thrust above the base's bottom"),
            Parameter::measure::<ForcePerLength>(
                RESISTANCE,
                "friction, adhesion and what passive earth the engineer counts",
            ),
        ],
        result: Stability::KIND,
        result_about: CHECK,
        errors: "",
        example: "stability_ratios(24986.plf, 8.131.ft, 8055.plf, 7.2696.ft, 12811.plf).whose",
        prints: "IBC 1807.2.3, without earthquake; the engineer of record and the local code govern",
        evaluate: |a| {
            give(earth::stability_ratios(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
                a.measure(4)?,
            ))
        },
    },
    Function {
        name: "required_steel",
        family: Family::Walls,
        summary: "Computes the steel that a factored moment requires in a stem or footing, beside the code's least: a look at the schedule.",
        source: "flexure",
        parameters: &[
            Parameter::measure::<Weight>(
                MOMENT,
                "factored, per length of wall, as q(\"12290 lb*ft/ft\") or moment / length",
            ),
            Parameter::measure::<Length>(EFFECTIVE, "from the compressed face to the bars' centre"),
            Parameter::measure::<Pressure>(FY, "yield strength of the bars"),
            Parameter::measure::<Pressure>(FC, "f'c of the concrete"),
        ],
        result: RequiredSteel::KIND,
        result_about: CHECK,
        errors: "no steel resists the moment in this depth, or it would strain less than fy / Es + 0.003 at strength, where the factor 0.9 does not hold",
        example: "required_steel(12290.3.lb, 9.6875.inch, 60.ksi, 4000.psi).needed.show(\"in2/ft\", 4)",
        prints: "0.2882 in2/ft",
        evaluate: |a| {
            give(rebar::required_steel(a.measure(0)?, a.measure(1)?, a.measure(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "leaning_coefficient",
        family: Family::Walls,
        summary: "Gives Rankine's active coefficient for ground that slopes behind a back that leans.",
        source: "rankine",
        parameters: &[
            PHI,
            ALPHA,
            Parameter::measure::<Angle>(LEAN, "of the back from the vertical"),
        ],
        result: LeaningBack::KIND,
        result_about: CHECK,
        errors: "the slope is steeper than the friction angle",
        example: "(leaning_coefficient(30.deg, 20.deg, 20.deg).coefficient * 115.pcf * 12.ft * 12.ft / 2).show(\"plf\", 1)",
        prints: "6423.6 plf",
        evaluate: |a| give(earth::leaning_coefficient(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "key_sliding",
        family: Family::Walls,
        summary: "Sets friction and passive earth before a base with a key beside the thrust carried down to the key's foot.",
        source: "wall-stability",
        parameters: &[
            Parameter::measure::<Ratio>(COEFFICIENT, "active, of the earth behind"),
            Parameter::measure::<Ratio>(COEFFICIENT.named("passive"), "of level ground before"),
            Parameter::measure::<UnitWeight>(SOIL, "of the soil on both sides"),
            Parameter::measure::<Pressure>(SURCHARGE, "on level ground behind"),
            Parameter::measure::<Length>(RETAINED, "of the earth behind, to the base's bottom"),
            Parameter::measure::<Length>(
                EMBEDDED,
                "depth of ground before the toe to the base's bottom, as far as the engineer counts it",
            ),
            Parameter::measure::<Length>(KEY, "depth of the key below that"),
            Parameter::measure::<ForcePerLength>(
                RESISTANCE.named("friction_force"),
                "friction and adhesion along the base",
            ),
        ],
        result: KeySliding::KIND,
        result_about: CHECK,
        errors: "the ground before the toe is higher than the earth behind",
        example: "key_sliding(0.30726, 3.2546, 120.pcf, 100.psf, 11.25.ft, 2.5.ft, 15.inch, 3539.5.plf).ratio > 1.92",
        prints: "true",
        evaluate: |a| {
            let base = KeyedBase {
                active: a.measure(0)?,
                passive: a.measure(1)?,
                unit_weight: a.measure(2)?,
                surcharge: a.measure(3)?,
                height: a.measure(4)?,
                embedded: a.measure(5)?,
                key: a.measure(6)?,
            };
            give(earth::key_sliding(&base, a.measure(7)?))
        },
    },
    Function {
        name: "code_fluid",
        family: Family::Walls,
        summary: "Reads the equivalent fluid weight of a backfill from the building code's table.",
        source: "code-soil-loads",
        parameters: &[
            Parameter::choice("soil", Backfill::NAMES, "unified class of the backfill"),
            Parameter::choice(
                "state",
                WallHeld::NAMES,
                "at_rest where the wall is held at its top",
            ),
        ],
        result: UnitWeight::KIND,
        result_about: "CAUTION: a least value where no geotechnical report says more, from SM on from memory; undrained water is to be added; the engineer of record governs",
        errors: "the soil is unsuitable as backfill",
        example: "code_fluid(\"GM\", \"active\").show(\"pcf\")",
        prints: "40 pcf",
        evaluate: |a| give(earth::code_fluid(a.choice(0)?, a.choice(1)?)),
    },
    Function {
        name: "code_bearing",
        family: Family::Walls,
        summary: "Reads what the building code presumes of the ground under a base.",
        source: "code-bearing",
        parameters: &[Parameter::choice("ground", Bearing::NAMES, "class of the ground")],
        result: Presumptive::KIND,
        result_about: "CAUTION: of the 2012 edition, for want of a geotechnical report; resistance from cohesion counts to half of the dead load; the engineer of record governs",
        errors: "",
        example: "code_bearing(\"GW GP\").bearing.show(\"psf\")",
        prints: "3000 psf",
        evaluate: |a| give(earth::code_bearing(a.choice(0)?)),
    },
    Function {
        name: "base_friction",
        family: Family::Walls,
        summary: "Reads the friction of mass concrete on soil from a public manual's table.",
        source: "base-friction",
        parameters: &[Parameter::choice("ground", Interface::NAMES, "what the concrete lies on")],
        result: FrictionRange::KIND,
        result_about: CHECK,
        errors: "",
        example: "base_friction(\"clean sound rock\").low",
        prints: "0.7",
        evaluate: |a| give(earth::base_friction(a.choice(0)?)),
    },
];
