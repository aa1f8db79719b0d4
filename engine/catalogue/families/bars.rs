//! Bars: tables, development, laps, hooks, placing.

use crate::catalogue::value::give;
use crate::catalogue::{Args, Family, Function, Output, Parameter, ValueKind, record};
use crate::measure::{Area, ForcePerLength, Length, Pressure, Ratio};
use crate::problem::Problem;
use crate::rebar::{
    self, Anchorage, BAR_SPACING, BarGrade, BarRow, Bond, CB, CD, CLEAR, COVER, Coating, Code,
    Confinement, DIAMETER, Direction, END, EffectiveDepth, Epoxy, Exposure, FC, FCK, FY, HookCover,
    HookTies, InConcrete, KTR, LAMBDA, LAPPED, LapClass, LapRule, PITCH, Position, ResidentialBar,
    STEEL, STRESS, STRETCH, Spacing, TABLE_SPACING, THICKNESS,
};

record! { LapRule {
    rule: Length, "thirty diameters, the old field rule";
    code: Length, "the class B lap of the code";
    lap: Length, "the longer one, which governs";
    ratio: Ratio, "code over rule";
}}

record! { Anchorage {
    bond_stress: Pressure, "ultimate bond stress";
    basic: Length, "basic anchorage length";
    cover_factor: Ratio, "factor for cover, 0.7 to 1";
    length: Length, "design anchorage length";
}}

record! { BarRow {
    count: usize, "how many bars";
    spacing: Length, "their real spacing, no wider than wanted";
}}

record! { EffectiveDepth {
    depth: Length, "from the other face to the centre of the bar";
    wrong_side: Length, "the same if the bar stands on the wrong side";
    share: Ratio, "what is left of the depth then";
}}

/// Any bar of the tables.
const BAR: Parameter = Parameter::new(
    "bar",
    ValueKind::Text,
    "\"#3\" to \"#18\", \"no. 10\" to \"no. 57\", \"6 mm\" to \"50 mm\", \"10M\" to \"55M\"",
);
/// A bar of the inch-pound standard.
const INCH_BAR: Parameter = Parameter::new("bar", ValueKind::Text, "\"#3\" to \"#18\"");
const YIELD: Parameter = Parameter::measure::<Pressure>(FY, "yield strength; 318-14 to 80,000 psi");
const STRENGTH: Parameter =
    Parameter::measure::<Pressure>(FC, "f'c of the concrete; its root counts to 100 psi");
const POSITION: Parameter = Parameter::choice(
    "position",
    Position::NAMES,
    "top: more than 12 in of fresh concrete below a horizontal bar",
);
const SPACING: Parameter = Parameter::choice(
    "spacing",
    Spacing::NAMES,
    "wide: cover a diameter or more, and two diameters clear between bars, or one with the least ties",
);
const COATING: Parameter = Parameter::choice(
    "coating",
    Coating::NAMES,
    "epoxy_close: cover under three diameters or clear spacing under six",
);
const CODE: Parameter = Parameter::choice("code", Code::NAMES, "edition of ACI 318").or("318-19");
const LIGHT: Parameter =
    Parameter::measure::<Ratio>(LAMBDA, "1 for normal-weight, 0.75 for lightweight concrete")
        .or("1");
const IN_CONCRETE: [Parameter; 8] =
    [INCH_BAR, YIELD, STRENGTH, POSITION, SPACING, COATING, CODE, LIGHT];
const SCHEDULE: &str = "not rounded; the schedule of the engineer of record governs";

/// The bar of a call whose first six inputs and last two are those of [`IN_CONCRETE`].
fn in_concrete(a: &Args, bar: usize, code: usize) -> Result<InConcrete<'_>, Problem> {
    Ok(InConcrete {
        bar: a.text(bar)?,
        fy: a.measure(bar + 1)?,
        fc: a.measure(bar + 2)?,
        position: a.choice(bar + 3)?,
        spacing: a.choice(bar + 4)?,
        coating: a.choice(bar + 5)?,
        code: a.choice(code)?,
        lambda: a.measure(code + 1)?,
    })
}

record! { ResidentialBar {
    lap: Length, "of two bars in tension";
    straight: Length, "development of a straight bar";
    hook_covered: Length, "standard hook, side cover 2 1/2 in and 2 in beyond the hook or more";
    hook: Length, "standard hook with less cover";
}}

pub(super) const LIST: &[Function] = &[
    Function {
        name: "bar_diameter",
        family: Family::Bars,
        summary: "Gives the nominal diameter of a bar.",
        source: "bar-tables",
        parameters: &[BAR],
        result: Length::KIND,
        result_about: "nominal diameter",
        errors: "the bar is in no table",
        example: "bar_diameter(\"#5\").show(\"in\")",
        prints: "0.625 in",
        evaluate: |a| give(rebar::bar_diameter(a.text(0)?)),
    },
    Function {
        name: "bar_area",
        family: Family::Bars,
        summary: "Gives the nominal area of a bar.",
        source: "bar-tables",
        parameters: &[BAR],
        result: Area::KIND,
        result_about: "nominal area, rounded as its standard has it",
        errors: "the bar is in no table",
        example: "bar_area(\"#5\").show(\"in2\")",
        prints: "0.31 in2",
        evaluate: |a| give(rebar::bar_area(a.text(0)?)),
    },
    Function {
        name: "bar_weight",
        family: Family::Bars,
        summary: "Gives the nominal weight of a bar per length.",
        source: "bar-tables",
        parameters: &[BAR],
        result: ForcePerLength::KIND,
        result_about: "nominal weight, never derived from the rounded area",
        errors: "the bar is in no table",
        example: "(bar_weight(\"#5\") * 100.ft).show(\"lb\")",
        prints: "104.3 lb",
        evaluate: |a| give(rebar::bar_weight(a.text(0)?)),
    },
    Function {
        name: "development_length",
        family: Family::Bars,
        summary: "Computes the development length in tension by the table of simple cases of ACI 318.",
        source: "development-simple",
        parameters: &IN_CONCRETE,
        result: Length::KIND,
        result_about: "ld, no less than 12 in, not rounded; the engineer of record governs",
        errors: "the bar is not an inch-pound bar; fy over 80,000 psi by 318-14",
        example: "development_length(\"#5\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\").show(\"in\", 2)",
        prints: "27.39 in",
        evaluate: |a| give(rebar::development_length(&in_concrete(a, 0, 6)?)),
    },
    Function {
        name: "general_development_length",
        family: Family::Bars,
        summary: "Computes the development length in tension by the general equation of ACI 318, with cb and Ktr.",
        source: "development-general",
        parameters: &[
            INCH_BAR,
            YIELD,
            STRENGTH,
            POSITION,
            SPACING,
            COATING,
            Parameter::measure::<Length>(
                CB,
                "the lesser of cover to the bar's centre and half the spacing of bars",
            ),
            Parameter::measure::<Length>(KTR, "40 Atr / (s n); 0 may always be taken"),
            CODE,
            LIGHT,
        ],
        result: Length::KIND,
        result_about: "ld, no less than 12 in, not rounded; spacing does not enter it",
        errors: "as development_length",
        example: "general_development_length(\"#8\", 60.ksi, 4000.psi, \"other\", \"wide\", \"bare\", 2.inch, 0.275.inch, \"318-14\", 0.75).show(\"in\", 1)",
        prints: "41.7 in",
        evaluate: |a| {
            give(rebar::general_development_length(
                &in_concrete(a, 0, 8)?,
                a.measure(6)?,
                a.measure(7)?,
            ))
        },
    },
    Function {
        name: "class_a_lap",
        family: Family::Bars,
        summary: "Computes the class A tension lap of ACI 318: 1.0 ld before its least value.",
        source: "class-a-lap",
        parameters: &IN_CONCRETE,
        result: Length::KIND,
        result_about: "no less than 12 in; only with twice the needed steel and no more than half of it lapped there",
        errors: "as development_length; the bar is larger than #11",
        example: "class_a_lap(\"#5\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\").show(\"in\", 2)",
        prints: "27.39 in",
        evaluate: |a| give(rebar::tension_lap(&in_concrete(a, 0, 6)?, LapClass::A)),
    },
    Function {
        name: "class_b_lap",
        family: Family::Bars,
        summary: "Computes the class B tension lap of ACI 318: 1.3 ld before its least value.",
        source: "class-b-lap",
        parameters: &IN_CONCRETE,
        result: Length::KIND,
        result_about: SCHEDULE,
        errors: "as development_length; the bar is larger than #11",
        example: "class_b_lap(\"#6\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\").show(\"in\", 2)",
        prints: "42.72 in",
        evaluate: |a| give(rebar::tension_lap(&in_concrete(a, 0, 6)?, LapClass::B)),
    },
    Function {
        name: "unequal_lap",
        family: Family::Bars,
        summary: "Computes the class B lap of two sizes: the longer of the larger bar's development length and the smaller bar's lap.",
        source: "unequal-lap",
        parameters: &[
            INCH_BAR,
            YIELD,
            STRENGTH,
            POSITION,
            SPACING,
            COATING,
            Parameter::new(
                "smaller",
                ValueKind::Text,
                "the other bar, of the same strength and conditions",
            ),
            CODE,
            LIGHT,
        ],
        result: Length::KIND,
        result_about: SCHEDULE,
        errors: "as class_b_lap, for either bar",
        example: "unequal_lap(\"#7\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\", \"#5\").show(\"in\", 2)",
        prints: "47.93 in",
        evaluate: |a| {
            let larger = in_concrete(a, 0, 7)?;
            let smaller = InConcrete { bar: a.text(6)?, ..larger };
            give(rebar::unequal_lap(&larger, &smaller, LapClass::B))
        },
    },
    Function {
        name: "field_lap",
        family: Family::Bars,
        summary: "Sets the old field rule of thirty diameters beside the class B lap of ACI 318.",
        source: "field-lap",
        parameters: &IN_CONCRETE,
        result: LapRule::KIND,
        result_about: "CAUTION: the rule is nearly always the shorter one; the longer governs, and the engineer's schedule above both",
        errors: "as class_b_lap",
        example: "field_lap(\"#5\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\").ratio",
        prints: "1.898771532685",
        evaluate: |a| give(rebar::lap_rule(&in_concrete(a, 0, 6)?)),
    },
    Function {
        name: "compression_development",
        family: Family::Bars,
        summary: "Computes the development length in compression of ACI 318.",
        source: "compression-development",
        parameters: &[
            INCH_BAR,
            YIELD,
            STRENGTH,
            Parameter::choice(
                "confinement",
                Confinement::NAMES,
                "tied: with the confining ties of the clause, 0.75",
            ),
            LIGHT,
        ],
        result: Length::KIND,
        result_about: "no less than 8 in, not rounded",
        errors: "the bar is not an inch-pound bar",
        example: "compression_development(\"#5\", 60.ksi, 3000.psi, \"plain\").show(\"in\", 2)",
        prints: "13.69 in",
        evaluate: |a| {
            give(rebar::compression_development(
                a.text(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.choice(3)?,
                a.measure(4)?,
            ))
        },
    },
    Function {
        name: "compression_lap",
        family: Family::Bars,
        summary: "Computes the lap in compression of ACI 318: 0.0005 fy db up to 60 ksi.",
        source: "compression-lap",
        parameters: &[INCH_BAR, YIELD, STRENGTH],
        result: Length::KIND,
        result_about: "no less than 12 in; a third more under 3000 psi",
        errors: "the bar is not an inch-pound bar; fy over 80,000 psi",
        example: "compression_lap(\"#5\", 60.ksi, 3000.psi).show(\"in\")",
        prints: "18.75 in",
        evaluate: |a| give(rebar::compression_lap(a.text(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "hook_development",
        family: Family::Bars,
        summary: "Computes the development length of a standard hook in tension by ACI 318.",
        source: "hook-development",
        parameters: &[
            INCH_BAR,
            YIELD,
            STRENGTH,
            Parameter::choice(
                "cover",
                HookCover::NAMES,
                "deep: the cover that the edition rewards (2-1/2 in to the side and 2 in beyond; by 318-19 six diameters to the side)",
            ),
            Parameter::choice(
                "ties",
                HookTies::NAMES,
                "tied: the ties that the edition rewards, or by 318-19 hooks six diameters apart",
            ),
            COATING,
            CODE,
            LIGHT,
        ],
        result: Length::KIND,
        result_about: "no less than eight diameters and 6 in, not rounded; the engineer of record governs",
        errors: "as development_length",
        example: "hook_development(\"#5\", 60.ksi, 3000.psi, \"deep\", \"tied\", \"bare\").show(\"in\", 2)",
        prints: "7.87 in",
        evaluate: |a| {
            give(rebar::hook_development(
                a.text(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.choice(3)?,
                a.choice(4)?,
                a.choice(5)?,
                a.choice(6)?,
                a.measure(7)?,
            ))
        },
    },
    Function {
        name: "bridge_lap",
        family: Family::Bars,
        summary: "Computes the class B lap of the bridge code of 2016 and later, with spacing and cover.",
        source: "bridge-lap",
        parameters: &[
            INCH_BAR,
            YIELD,
            STRENGTH,
            POSITION,
            Parameter::choice(
                "coating",
                Epoxy::NAMES,
                "how much epoxy counts follows from cover and spacing",
            ),
            Parameter::measure::<Length>(COVER, "clear cover"),
            Parameter::measure::<Length>(
                BAR_SPACING,
                "of the bars, centre to centre; two diameters or more",
            ),
        ],
        result: Length::KIND,
        result_about: "1.3 x 2.4 db fy / root f'c (ksi) with its factors; no less than 12 in",
        errors: "the bar is not an inch-pound bar; bars closer than two diameters",
        example: "bridge_lap(\"#5\", 60.ksi, 3.ksi, \"other\", \"bare\", 2.inch, 6.inch).show(\"in\", 2)",
        prints: "27.02 in",
        evaluate: |a| {
            give(rebar::bridge_lap(
                a.text(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.choice(3)?,
                a.choice(4)?,
                a.measure(5)?,
                a.measure(6)?,
            ))
        },
    },
    Function {
        name: "ec2_anchorage",
        family: Family::Bars,
        summary: "Computes the design anchorage length in tension of EN 1992-1-1:2004, 8.4.",
        source: "ec2-anchorage",
        parameters: &[EC2[0], EC2[1], EC2[2], EC2[3], EC2[4], EC2[5], ANNEX],
        result: Anchorage::KIND,
        result_about: "with concrete's partial factor 1.5 and every factor but that of cover 1; not rounded",
        errors: "",
        example: "ec2_anchorage(12.mm, 25.MPa, 435.MPa, \"good\", 25.mm, \"straight\").length.show(\"mm\", 1)",
        prints: "405.8 mm",
        evaluate: |a| {
            give(rebar::ec2_anchorage(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.choice(3)?,
                a.measure(4)?,
                a.choice(5)?,
                a.choice(6)?,
            ))
        },
    },
    Function {
        name: "ec2_lap",
        family: Family::Bars,
        summary: "Computes the design lap length in tension of EN 1992-1-1:2004, 8.7.",
        source: "ec2-anchorage",
        parameters: &[
            EC2[0],
            EC2[1],
            EC2[2],
            EC2[3],
            EC2[4],
            EC2[5],
            Parameter::measure::<Ratio>(
                LAPPED,
                "share of the bars lapped in one section, such as 0.33",
            ),
            Parameter::choice(
                "factor",
                rebar::LapFactor::NAMES,
                "for that share: from Table 8.3, between two columns the higher, or by its formula",
            )
            .or("table"),
            ANNEX,
        ],
        result: Length::KIND,
        result_about: "no less than 15 diameters and 200 mm; not rounded",
        errors: "",
        example: "ec2_lap(12.mm, 25.MPa, 435.MPa, \"good\", 25.mm, \"straight\", 0.5).show(\"mm\", 1)",
        prints: "568.1 mm",
        evaluate: |a| {
            give(rebar::ec2_lap(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.choice(3)?,
                a.measure(4)?,
                a.choice(5)?,
                a.measure(6)?,
                a.choice(7)?,
                a.choice(8)?,
            ))
        },
    },
    Function {
        name: "wall_minimum_steel",
        family: Family::Bars,
        summary: "Gives the least steel of a wall by ACI 318: a share of the gross section, both faces together.",
        source: "wall-minimum-steel",
        parameters: &[
            Parameter::measure::<Length>(THICKNESS, "of the wall"),
            Parameter::choice("direction", Direction::NAMES, "of the bars"),
            Parameter::new(
                "largest_bar",
                ValueKind::Text,
                "the largest of them, \"#3\" to \"#18\"",
            ),
            YIELD,
        ],
        result: Length::KIND,
        result_about: "area per length, such as in2/ft; low shear; the engineer's design governs",
        errors: "the bar is not an inch-pound bar",
        example: "wall_minimum_steel(12.inch, \"horizontal\", \"#5\", 60.ksi).show(\"in2/ft\", 3)",
        prints: "0.288 in2/ft",
        evaluate: |a| {
            give(rebar::wall_minimum_steel(a.measure(0)?, a.choice(1)?, a.text(2)?, a.measure(3)?))
        },
    },
    Function {
        name: "wall_widest_spacing",
        family: Family::Bars,
        summary: "Gives the widest spacing of bars in a wall by ACI 318: three thicknesses, no more than 18 in.",
        source: "wall-spacing",
        parameters: &[Parameter::measure::<Length>(THICKNESS, "of the wall")],
        result: Length::KIND,
        result_about: "centre to centre",
        errors: "",
        example: "wall_widest_spacing(8.inch).show(\"in\")",
        prints: "18 in",
        evaluate: |a| give(rebar::wall_widest_spacing(a.measure(0)?)),
    },
    Function {
        name: "steel_at_spacing",
        family: Family::Bars,
        summary: "Computes the steel per length of bars at a spacing.",
        source: "definition",
        parameters: &[BAR, Parameter::measure::<Length>(PITCH, "centre to centre")],
        result: Length::KIND,
        result_about: "area per length, such as in2/ft",
        errors: "the bar is in no table",
        example: "steel_at_spacing(\"#4\", 12.inch).show(\"in2/ft\")",
        prints: "0.2 in2/ft",
        evaluate: |a| give(rebar::steel_at_spacing(a.text(0)?, a.measure(1)?)),
    },
    Function {
        name: "spacing_for_steel",
        family: Family::Bars,
        summary: "Finds the widest spacing at which bars give so much steel per length.",
        source: "definition",
        parameters: &[Parameter::measure::<Length>(STEEL, "area per length"), BAR],
        result: Length::KIND,
        result_about: "not rounded; round it down",
        errors: "the bar is in no table",
        example: "spacing_for_steel(q(\"0.2 in2/ft\"), \"#4\").show(\"in\")",
        prints: "12 in",
        evaluate: |a| give(rebar::spacing_for_steel(a.measure(0)?, a.text(1)?)),
    },
    Function {
        name: "bar_row",
        family: Family::Bars,
        summary: "Counts the bars of a row, the first and last so far from its ends, and spreads them evenly.",
        source: "practice",
        parameters: &[
            Parameter::measure::<Length>(STRETCH, "of the row"),
            Parameter::measure::<Length>(PITCH, "wanted, centre to centre"),
            Parameter::measure::<Length>(END, "of the first and last bar from the ends"),
        ],
        result: BarRow::KIND,
        result_about: "ceil((L - 2e) / s) + 1; a quotient is never rounded down",
        errors: "the ends leave nothing between them",
        example: "bar_row(q(`16'-10\"`), 10.inch, 3.inch).count",
        prints: "21",
        evaluate: |a| give(rebar::bar_row(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "least_cover",
        family: Family::Bars,
        summary: "Gives the least clear cover of cast-in-place concrete by ACI 318.",
        source: "cover",
        parameters: &[
            Parameter::choice(
                "exposure",
                Exposure::NAMES,
                "of the face; inside is for slabs, walls and joists",
            ),
            INCH_BAR,
        ],
        result: Length::KIND,
        result_about: "not prestressed; the engineer's plan governs",
        errors: "the bar is not an inch-pound bar",
        example: "least_cover(\"earth_or_weather\", \"#5\").show(\"in\")",
        prints: "1.5 in",
        evaluate: |a| give(rebar::least_cover(a.choice(0)?, a.text(1)?)),
    },
    Function {
        name: "effective_depth",
        family: Family::Bars,
        summary: "Computes the effective depth of bars on the loaded side: t - clear - db / 2, and what is left of it on the wrong side.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Length>(THICKNESS, "t of the wall or footing"),
            Parameter::measure::<Length>(CLEAR, "clear cover on the loaded side"),
            BAR,
        ],
        result: EffectiveDepth::KIND,
        result_about: "CAUTION: bars on the wrong side carry next to nothing; the engineer's section governs",
        errors: "the bar is in no table; nothing is left of the thickness",
        example: "effective_depth(12.inch, 2.inch, \"#5\").depth.show(\"in\")",
        prints: "9.6875 in",
        evaluate: |a| give(rebar::effective_depth(a.measure(0)?, a.measure(1)?, a.text(2)?)),
    },
    Function {
        name: "residential_bar",
        family: Family::Bars,
        summary: "Reads laps and development lengths from the residential code's table for walls of concrete.",
        source: "residential-bars",
        parameters: &[
            Parameter::new("bar", ValueKind::Text, "\"#4\", \"#5\" or \"#6\""),
            Parameter::choice("grade", BarGrade::NAMES, "of the bars, ksi"),
        ],
        result: ResidentialBar::KIND,
        result_about: "CAUTION: the hook of a #6 with less cover is from memory; the engineer's schedule and the local code govern",
        errors: "the bar is not of the table",
        example: "residential_bar(\"#5\", \"60\").lap.show(\"in\")",
        prints: "38 in",
        evaluate: |a| give(rebar::residential_bar(a.text(0)?, a.choice(1)?)),
    },
    Function {
        name: "alternate_spacing",
        family: Family::Bars,
        summary: "Computes the spacing of another bar for the strength of a table's bar at its spacing, grade 60.",
        source: "residential-bars",
        parameters: &[
            Parameter::measure::<Length>(TABLE_SPACING, "of the table's bar"),
            Parameter::new("table_bar", ValueKind::Text, "the table's bar, \"#3\" to \"#18\""),
            Parameter::new("other_bar", ValueKind::Text, "the bar to be used, \"#3\" to \"#18\""),
            Parameter::choice("grade", BarGrade::NAMES, "of the bar to be used, ksi"),
        ],
        result: Length::KIND,
        result_about: "CAUTION: lap, hook and least steel change with the bar, and the engineer's schedule governs; rounded down to an inch, at most 48 in; the printed table rounds to the nearest and is wider in about two of five cells",
        errors: "a bar is not an inch-pound bar; the spacing is under an inch",
        example: "alternate_spacing(18.inch, \"#5\", \"#4\", \"60\").show(\"in\")",
        prints: "11 in",
        evaluate: |a| {
            give(rebar::alternate_spacing(a.measure(0)?, a.text(1)?, a.text(2)?, a.choice(3)?))
        },
    },
];

const ANNEX: Parameter = Parameter::choice(
    "annex",
    rebar::Annex::NAMES,
    "bars over 32 mm need the annex that allows them",
)
.or("none");

const EC2: [Parameter; 6] = [
    Parameter::measure::<Length>(DIAMETER, "of the bar"),
    Parameter::measure::<Pressure>(FCK, "characteristic cylinder strength"),
    Parameter::measure::<Pressure>(STRESS, "design stress of the bar, such as 435.MPa"),
    Parameter::choice("bond", Bond::NAMES, "conditions of 8.4.2"),
    Parameter::measure::<Length>(CD, "the lesser of cover and half the clear distance of bars"),
    Parameter::choice("end", rebar::BarEnd::NAMES, "bent has no bonus of its own here"),
];
