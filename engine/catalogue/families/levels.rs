//! Levels and survey.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::measure::{Angle, Area, Dimension, Length, Ratio};
use crate::survey::{
    self, ALONG, ANGLE, COORDINATE, ELEVATION, GradeRod, LINE, LevelLine, Order, READING, SETUP,
    SETUPS, STEEP, StationOffset,
};

record! { LevelLine {
    sights: Vec<Length>, "heights of the line of sight, one for each backsight";
    elevations: Vec<Length>, "elevations of the points of the foresights";
    last: Length, "elevation of the last point";
    sights_difference: Length, "sum of backsights less sum of foresights";
    rise: Length, "last less first elevation, for the page check";
}}

record! { GradeRod {
    grade_rod: Length, "reading at grade; negative where grade is above the line of sight";
    cut: Length, "grade rod less ground rod; negative for a fill";
}}

record! { StationOffset {
    station: Length, "of the nearest point of the line";
    offset: Length, "from the line, positive to the right";
    beyond: Length, "how far the point is before the first or beyond the last corner; 0 beside the line";
}}

const MISCLOSURE: Parameter = Parameter::new(
    "misclosure",
    ValueKind::Measure(Dimension::LENGTH),
    "computed less known, any sign",
);
const SIGHTS: ValueKind = ValueKind::List(Dimension::LENGTH);

pub(super) const LIST: &[Function] = &[
    Function {
        name: "level_line",
        family: Family::Levels,
        summary: "Reduces a line of levels from backsights and foresights.",
        source: "levelling",
        parameters: &[
            Parameter::measure::<Length>(
                ELEVATION.named("start"),
                "known elevation that the line starts from",
            ),
            Parameter::new("backsights", SIGHTS, "one for each set-up, -100 to 100 ft"),
            Parameter::new(
                "foresights",
                SIGHTS,
                "one for each backsight; intermediate sights are no part of the line",
            ),
        ],
        result: LevelLine::KIND,
        result_about: "the page check is sights_difference = rise; it proves arithmetic only",
        errors: "the lists are empty or of different length; a reading is out of its range",
        example: "level_line(100.ft, [3.10.ft, 6.44.ft], [9.82.ft, 6.96.ft]).last.show(\"ft\", 2)",
        prints: "92.76 ft",
        evaluate: |a| give(survey::level_line(a.measure(0)?, &a.list(1)?, &a.list(2)?)),
    },
    Function {
        name: "misclosure_limit",
        family: Family::Levels,
        summary: "Gives the published limit of a misclosure for the length of a line or loop.",
        source: "level-orders",
        parameters: &[
            Parameter::measure::<Length>(LINE, "length of the loop, or of the section one way"),
            Parameter::choice("order", Order::NAMES, "order and class; layout is for construction"),
            Parameter::choice(
                "of",
                survey::Levelled::NAMES,
                "a section forward and back, or a loop",
            )
            .or("section"),
        ],
        result: Length::KIND,
        result_about: "a coefficient times the root of the length; the specification of the job governs",
        errors: "",
        example: "misclosure_limit(1500.m, \"third\").show(\"mm\", 2)",
        prints: "14.70 mm",
        evaluate: |a| give(survey::misclosure_limit(a.measure(0)?, a.choice(1)?, a.choice(2)?)),
    },
    Function {
        name: "correction_by_setups",
        family: Family::Levels,
        summary: "Computes the correction of a point by the share of set-ups up to it.",
        source: "level-adjustment",
        parameters: &[
            MISCLOSURE,
            Parameter::measure::<Ratio>(SETUP, "that the point was sighted from, counted from 1"),
            Parameter::measure::<Ratio>(SETUPS, "of the whole line"),
        ],
        result: Length::KIND,
        result_about: "to be added; it has the opposite sign of the misclosure",
        errors: "the set-up is beyond the last",
        example: "correction_by_setups(10.mm, 2, 5).show(\"mm\")",
        prints: "-4 mm",
        evaluate: |a| {
            give(survey::correction_by_setups(a.measure(0)?, a.measure(1)?, a.measure(2)?))
        },
    },
    Function {
        name: "correction_by_distance",
        family: Family::Levels,
        summary: "Computes the correction of a point by its distance along the line.",
        source: "level-adjustment",
        parameters: &[
            MISCLOSURE,
            Parameter::measure::<Length>(ALONG, "distance of the point along the line"),
            Parameter::measure::<Length>(LINE, "length of the whole line"),
        ],
        result: Length::KIND,
        result_about: "to be added; it has the opposite sign of the misclosure",
        errors: "the point is beyond the end",
        example: "correction_by_distance(-0.244.m, 5.245.km, 30.5.km).show(\"m\", 5)",
        prints: "0.04196 m",
        evaluate: |a| {
            give(survey::correction_by_distance(a.measure(0)?, a.measure(1)?, a.measure(2)?))
        },
    },
    Function {
        name: "grade_rod",
        family: Family::Levels,
        summary: "Computes the rod reading at a wanted grade, and the cut from the reading on the ground.",
        source: "grade-rod",
        parameters: &[
            Parameter::measure::<Length>(ELEVATION.named("sight"), "height of the line of sight"),
            Parameter::measure::<Length>(ELEVATION.named("grade"), "wanted elevation"),
            Parameter::measure::<Length>(
                READING.named("ground_rod"),
                "reading on the ground or hub",
            ),
        ],
        result: GradeRod::KIND,
        result_about: "a negative reading is one on a rod held upside down",
        errors: "",
        example: "grade_rod(376.57.ft, 378.75.ft, 1.42.ft).cut.show(\"ft\", 2)",
        prints: "-3.60 ft",
        evaluate: |a| give(survey::grade_rod(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "pole_mark",
        family: Family::Levels,
        summary: "Computes the mark on a story pole read against a level plane: the benchmark's mark less the rise.",
        source: "definition",
        parameters: &[
            Parameter::measure::<Length>(
                READING.named("benchmark_mark"),
                "reading on the pole at the benchmark",
            ),
            Parameter::measure::<Length>(
                READING.named("rise"),
                "of the target over the benchmark, any sign",
            ),
        ],
        result: Length::KIND,
        result_about: "every mark from the benchmark, never from the mark before",
        errors: "",
        example: "pole_mark(7.ft, 18.inch).show(\"ft-in\")",
        prints: "5'-6\"",
        evaluate: |a| give(survey::pole_mark(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "area_by_coordinates",
        family: Family::Levels,
        summary: "Computes the area of a polygon from the coordinates of its corners in order.",
        source: "coordinate-area",
        parameters: &[
            Parameter::new("eastings", SIGHTS, "of the corners, three or more"),
            Parameter::new("northings", SIGHTS, "of the same corners"),
        ],
        result: Area::KIND,
        result_about: "without sign; a figure that crosses itself has no such area",
        errors: "the lists are of different length, or there are fewer than three corners",
        example: "area_by_coordinates([0.ft, 100.ft, 100.ft, 60.ft, 0.ft], [0.ft, 0.ft, 50.ft, 80.ft, 60.ft]).show(\"sf\")",
        prints: "6800 sf",
        evaluate: |a| give(survey::area_by_coordinates(&a.list(0)?, &a.list(1)?)),
    },
    Function {
        name: "intermediate_elevations",
        family: Family::Levels,
        summary: "Computes elevations of points sighted between turning points.",
        source: "levelling",
        parameters: &[
            Parameter::new("sights", SIGHTS, "heights of sight, as level_line gives them"),
            Parameter::new(
                "setups",
                ValueKind::List(Dimension::NUMBER),
                "the set-up of each reading, counted from 1",
            ),
            Parameter::new("readings", SIGHTS, "one for each set-up named, -100 to 100 ft"),
        ],
        result: Vec::<Length>::KIND,
        result_about: "they are no part of the page check",
        errors: "the lists are of different length; a set-up is none of the sights; a value is out of its range",
        example: "intermediate_elevations(level_line(29.23.m, [1.717.m], [1.716.m]).sights, [1], [1.432.m])[0].show(\"m\", 3)",
        prints: "29.515 m",
        evaluate: |a| give(survey::intermediate_elevations(&a.list(0)?, &a.list(1)?, &a.list(2)?)),
    },
    Function {
        name: "station_offset",
        family: Family::Levels,
        summary: "Computes station and offset of a point beside a line of straight legs.",
        source: "definition",
        parameters: &[
            Parameter::new("eastings", SIGHTS, "of the corners, two or more, -1e8 to 1e8 ft"),
            Parameter::new("northings", SIGHTS, "of the same corners"),
            Parameter::measure::<Length>(COORDINATE.named("start"), "station of the first corner"),
            Parameter::measure::<Length>(COORDINATE.named("easting"), "of the point"),
            Parameter::measure::<Length>(COORDINATE.named("northing"), "of the point"),
        ],
        result: StationOffset::KIND,
        result_about: "the nearest point of the line; outside a corner the offset is the distance to the corner",
        errors: "the lists are of different length, there are fewer than two corners, or two neighbours are one point",
        example: "station_offset([1000.ft, 1160.ft], [5000.ft, 5120.ft], 1000.ft, 1086.ft, 5052.ft).offset.show(\"ft\", 2)",
        prints: "10.00 ft",
        evaluate: |a| {
            give(survey::station_offset(
                &a.list(0)?,
                &a.list(1)?,
                a.measure(2)?,
                a.measure(3)?,
                a.measure(4)?,
            ))
        },
    },
    Function {
        name: "sine",
        family: Family::Levels,
        summary: "Gives the sine of an angle.",
        source: "definition",
        parameters: &[Parameter::measure::<Angle>(ANGLE, "any sign")],
        result: Ratio::KIND,
        result_about: "a plain number",
        errors: "",
        example: "sine(30.deg).round_near(1e-9)",
        prints: "0.5",
        evaluate: |a| give(survey::sine(a.measure(0)?)),
    },
    Function {
        name: "cosine",
        family: Family::Levels,
        summary: "Gives the cosine of an angle.",
        source: "definition",
        parameters: &[Parameter::measure::<Angle>(ANGLE, "any sign")],
        result: Ratio::KIND,
        result_about: "a plain number",
        errors: "",
        example: "cosine(60.deg).round_near(1e-9)",
        prints: "0.5",
        evaluate: |a| give(survey::cosine(a.measure(0)?)),
    },
    Function {
        name: "tangent",
        family: Family::Levels,
        summary: "Gives the tangent of an angle: rise over run.",
        source: "definition",
        parameters: &[Parameter::measure::<Angle>(STEEP, "any sign")],
        result: Ratio::KIND,
        result_about: "a plain number",
        errors: "",
        example: "tangent(45.deg).round_near(1e-9)",
        prints: "1",
        evaluate: |a| give(survey::tangent(a.measure(0)?)),
    },
];
