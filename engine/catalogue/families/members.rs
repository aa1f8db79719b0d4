//! Form members.

use crate::catalogue::value::give;
use crate::catalogue::{Family, Function, Output, Parameter, ValueKind, record};
use crate::forms::{
    self, AREA, Adjusted, BOARD, Compression, DURATION, EACH, ELASTICITY, FORM_LENGTH, FaceGrain,
    FormPieces, Grade, LOAD_ALONG, MODULUS, Member, Moisture, ON_FORM, ON_WALE, Plywood,
    PlywoodSection, Post, ROLLING, Repetition, SECOND_MOMENT, SECTION_DEPTH, SLENDER, SPACING,
    STRESS, Section, ShearAt, Spans, Stack, TALL, TieMaterial, UNBRACED,
};
use crate::measure::{Area, ForcePerLength, Length, Pressure, Ratio, SecondMoment, Volume, Weight};

record! { Section {
    thickness: Length, "dressed";
    depth: Length, "dressed";
    area: Area, "of the section";
    modulus: Volume, "section modulus about the stronger axis";
    second_moment: SecondMoment, "about the stronger axis";
}}

record! { PlywoodSection {
    modulus: Volume, "section modulus of a foot's width";
    rolling: Length, "Ib/Q per foot of width, as area per length";
    second_moment: SecondMoment, "of a foot's width";
}}

record! { Adjusted {
    bending: Pressure, "Fb'";
    shear: Pressure, "Fv'";
    bearing: Pressure, "Fc' across the grain";
    along_grain: Pressure, "Fc*: along the grain, with every factor but that of slenderness";
    elasticity: Pressure, "E'";
    least_elasticity: Pressure, "Emin', for slenderness";
}}

record! { Spans {
    bending: Length, "by bending";
    shear: Length, "by shear";
    deflection: Length, "by a deflection of 1/360 of the span";
    sixteenth: Length, "by a deflection of 1/16 in";
    span: Length, "the least of them";
    governs: &'static str, "which that is";
}}

record! { Stack {
    height: Length, "of both";
    off: Length, "height less what is wanted";
    strip_wanted: Length, "the strip that would meet it exactly";
}}

record! { Compression {
    factor: Ratio, "CP";
    stress: Pressure, "along the grain with it";
}}

record! { Post {
    load: Weight, "along the grain, by its stress and slenderness";
    stress: Pressure, "Fc' with CP";
    factor: Ratio, "CP";
    slenderness: Ratio, "unbraced length over the thinner side";
}}

record! { FormPieces {
    pieces: usize, "how many";
    first: Length, "where the first stands, from the end or the bottom";
}}

const SIZE: Parameter =
    Parameter::new("size", ValueKind::Text, "\"1x3\" to \"4x12\", dry and dressed");
const LOAD: Parameter = Parameter::measure::<ForcePerLength>(LOAD_ALONG, "even load on the member");
const DEMAND: &str =
    "CAUTION: for planning; the form's designer, his edition and its values govern";

pub(super) const LIST: &[Function] = &[
    Function {
        name: "lumber_section",
        family: Family::Members,
        summary: "Gives the section of dry dressed lumber on edge.",
        source: "lumber-sizes",
        parameters: &[SIZE],
        result: Section::KIND,
        result_about: "of one member; two side by side have twice area, modulus and second moment",
        errors: "the size is not of the table",
        example: "lumber_section(\"2x4\").modulus.show(\"in3\")",
        prints: "3.0625 in3",
        evaluate: |a| give(forms::lumber_section(a.text(0)?)),
    },
    Function {
        name: "adjusted_lumber",
        family: Family::Members,
        summary: "Computes design values of lumber with factors for load duration, size, moisture and repetition.",
        source: "lumber-values",
        parameters: &[
            Parameter::new("size", ValueKind::Text, "\"2x3\" to \"4x12\""),
            Parameter::choice("grade", Grade::NAMES, "species and grade"),
            Parameter::measure::<Ratio>(
                DURATION,
                "1.25 for seven days of construction load; 1 once forms have carried more than that in sum",
            ),
            Parameter::choice("moisture", Moisture::NAMES, "wet against fresh concrete"),
            Parameter::choice(
                "repetition",
                Repetition::NAMES,
                "joined: three members or more, 24 in apart at most, under sheathing",
            ),
        ],
        result: Adjusted::KIND,
        result_about: DEMAND,
        errors: "the size is not of the table, or a board",
        example: "adjusted_lumber(\"2x4\", \"DF-L No. 2\", 1.25, \"wet\", \"joined\").bending.show(\"psi\", 2)",
        prints: "1649.53 psi",
        evaluate: |a| {
            give(forms::adjusted_lumber(
                a.text(0)?,
                a.choice(1)?,
                a.measure(2)?,
                a.choice(3)?,
                a.choice(4)?,
            ))
        },
    },
    Function {
        name: "member_spans",
        family: Family::Members,
        summary: "Computes the spans that bending, shear and deflection allow a lumber member, continuous over three spans or more.",
        source: "form-spans",
        parameters: &[
            LOAD,
            Parameter::measure::<Area>(AREA, "of the section"),
            Parameter::measure::<Length>(SECTION_DEPTH, "of the section"),
            Parameter::measure::<Volume>(MODULUS, "section modulus"),
            Parameter::measure::<SecondMoment>(SECOND_MOMENT, "second moment"),
            Parameter::measure::<Pressure>(STRESS, "Fb'"),
            Parameter::measure::<Pressure>(STRESS.named("shear_stress"), "Fv'"),
            Parameter::measure::<Pressure>(ELASTICITY, "E'"),
            Parameter::choice(
                "shear_at",
                ShearAt::NAMES,
                "statics gains 5/3 of the depth, a course prints 2",
            )
            .or("statics"),
        ],
        result: Spans::KIND,
        result_about: DEMAND,
        errors: "",
        example: "member_spans(521.25.plf, 5.25.sf / 144, 3.5.inch, q(\"3.0625 in3\"), q(\"5.359 in4\"), 1649.53.psi, 218.25.psi, 1440.ksi).bending.show(\"in\", 2)",
        prints: "34.10 in",
        evaluate: |a| {
            let member = Member {
                area: a.measure(1)?,
                depth: a.measure(2)?,
                modulus: a.measure(3)?,
                second_moment: a.measure(4)?,
                bending: a.measure(5)?,
                shear: a.measure(6)?,
                elasticity: a.measure(7)?,
            };
            give(forms::member_spans(a.measure(0)?, &member, a.choice(8)?))
        },
    },
    Function {
        name: "plywood_section",
        family: Family::Members,
        summary: "Reads the section of a foot of plywood from published values.",
        source: "form-plywood",
        parameters: &[
            Parameter::new(
                "plywood",
                ValueKind::Text,
                "thickness, face and group: \"3/4 in sanded group 1\"; \"15/32 in form class I\" to \"1-1/8 in form class I\", the same of class II; to \"7/8 in form structural I\"",
            ),
            Parameter::choice("face_grain", FaceGrain::NAMES, "across the studs is the strong way")
                .or("across_studs"),
        ],
        result: PlywoodSection::KIND,
        result_about: "for panel_spans; the maker's values for the panel in hand govern",
        errors: "the plywood is not of the table, or not along the studs",
        example: "plywood_section(\"3/4 in sanded group 1\").rolling.show(\"in2/ft\", 3)",
        prints: "6.762 in2/ft",
        evaluate: |a| give(forms::plywood_section(a.text(0)?, a.choice(1)?)),
    },
    Function {
        name: "panel_spans",
        family: Family::Members,
        summary: "Computes the spans that bending, rolling shear and deflection allow a panel a foot wide, continuous over three spans or more.",
        source: "form-spans",
        parameters: &[
            LOAD,
            Parameter::measure::<Volume>(MODULUS, "section modulus of a foot's width"),
            Parameter::measure::<Length>(
                ROLLING,
                "Ib/Q per foot of width, as area per length such as q(\"6.762 in2/ft\")",
            ),
            Parameter::measure::<SecondMoment>(SECOND_MOMENT, "of a foot's width"),
            Parameter::measure::<Pressure>(STRESS, "Fb'"),
            Parameter::measure::<Pressure>(
                STRESS.named("rolling_stress"),
                "Fs' in the plane of the plies",
            ),
            Parameter::measure::<Pressure>(ELASTICITY, "E'"),
        ],
        result: Spans::KIND,
        result_about: DEMAND,
        errors: "",
        example: "panel_spans(1042.5.plf, q(\"0.412 in3\"), q(\"6.762 in2/ft\"), q(\"0.197 in4\"), 1787.5.psi, 55.psi, 1500.ksi).span.show(\"in\", 2)",
        prints: "7.13 in",
        evaluate: |a| {
            give(forms::panel_spans(
                a.measure(0)?,
                a.measure(1)?,
                a.measure(2)?,
                a.measure(3)?,
                a.measure(4)?,
                a.measure(5)?,
                a.measure(6)?,
            ))
        },
    },
    Function {
        name: "board_and_strip",
        family: Family::Members,
        summary: "Sets a board with a strip on it beside a wanted net height.",
        source: "practice",
        parameters: &[
            Parameter::measure::<Length>(BOARD, "its real height; dry and green boards differ"),
            Parameter::measure::<Length>(BOARD.named("strip"), "its real height"),
            Parameter::measure::<Length>(BOARD.named("wanted"), "net height"),
        ],
        result: Stack::KIND,
        result_about: "what a form tolerates is its maker's and the crew's word",
        errors: "",
        example: "board_and_strip(11.25.inch, 0.75.inch, 12.inch).off.show(\"in\")",
        prints: "0 in",
        evaluate: |a| give(forms::board_and_strip(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "column_stability",
        family: Family::Members,
        summary: "Computes what slenderness leaves of the strength of a sawn post.",
        source: "lumber-values",
        parameters: &[
            Parameter::measure::<Pressure>(
                STRESS.named("along_grain"),
                "Fc*, with every factor but CP",
            ),
            Parameter::measure::<Pressure>(ELASTICITY.named("least_elasticity"), "Emin'"),
            Parameter::measure::<Ratio>(SLENDER, "unbraced length over the side it buckles across"),
        ],
        result: Compression::KIND,
        result_about: DEMAND,
        errors: "",
        example: "column_stability(1350.psi, 580.ksi, 24).stress.show(\"psi\", 0)",
        prints: "686 psi",
        evaluate: |a| give(forms::column_stability(a.measure(0)?, a.measure(1)?, a.measure(2)?)),
    },
    Function {
        name: "post_load",
        family: Family::Members,
        summary: "Computes the load along the grain of a single post of sawn lumber, held at both ends, by stress and slenderness.",
        source: "lumber-values",
        parameters: &[
            Parameter::new("size", ValueKind::Text, "\"2x3\" to \"4x12\""),
            Parameter::choice("grade", Grade::NAMES, "species and grade"),
            Parameter::measure::<Length>(UNBRACED, "between what holds it, either way"),
            Parameter::measure::<Ratio>(
                DURATION,
                "1.25 for seven days of construction load; 1 once the post has carried more than that in sum",
            ),
            Parameter::choice("moisture", Moisture::NAMES, "in service"),
        ],
        result: Post::KIND,
        result_about: "CAUTION: a planning figure of wood alone, load in its axis: bearing, base, bracing and what it stands on are not in it; the shoring's designer and his edition govern",
        errors: "the size is not of the table, or a board; the post is more slender than 50",
        example: "post_load(\"4x4\", \"DF-L No. 2\", 8.ft, 1, \"dry\").load.show(\"lb\", 0)",
        prints: "6960 lb",
        evaluate: |a| {
            give(forms::post_load(
                a.text(0)?,
                a.choice(1)?,
                a.measure(2)?,
                a.measure(3)?,
                a.choice(4)?,
            ))
        },
    },
    Function {
        name: "plywood_stud_spacing",
        family: Family::Members,
        summary: "Reads the widest spacing of studs behind sanded plywood from the Army's table.",
        source: "army-forms",
        parameters: &[
            Parameter::measure::<Pressure>(ON_FORM, "rounded up to the table's next row"),
            Parameter::choice("plywood", Plywood::NAMES, "its thickness"),
            Parameter::choice("face_grain", FaceGrain::NAMES, "across the studs is the strong way")
                .or("across_studs"),
        ],
        result: Length::KIND,
        result_about: DEMAND,
        errors: "the table gives no spacing for this pressure",
        example: "plywood_stud_spacing(664.psf, \"3/4 in\").show(\"in\")",
        prints: "13 in",
        evaluate: |a| give(forms::plywood_stud_spacing(a.measure(0)?, a.choice(1)?, a.choice(2)?)),
    },
    Function {
        name: "studs_along",
        family: Family::Members,
        summary: "Counts the studs on one side of a form: one at the end and one for each spacing, rounded up.",
        source: "army-forms",
        parameters: &[
            Parameter::measure::<Length>(FORM_LENGTH, "of the form"),
            Parameter::measure::<Length>(SPACING, "of the studs"),
        ],
        result: FormPieces::KIND,
        result_about: "on one side",
        errors: "there are more than a million",
        example: "studs_along(28.ft, 24.inch).pieces",
        prints: "15",
        evaluate: |a| give(forms::studs_along(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "wales_up",
        family: Family::Members,
        summary: "Counts the wales up a form: one for each spacing, rounded up, the first half a spacing above the bottom.",
        source: "army-forms",
        parameters: &[
            Parameter::measure::<Length>(TALL, "of the form"),
            Parameter::measure::<Length>(SPACING, "of the wales"),
        ],
        result: FormPieces::KIND,
        result_about: "on one side, double where studs are longer than 4 ft; a last one that would stand above the form is lowered to its top",
        errors: "there are more than a million; the first would stand above the form",
        example: "wales_up(8.ft, 32.inch).pieces",
        prints: "3",
        evaluate: |a| give(forms::wales_up(a.measure(0)?, a.measure(1)?)),
    },
    Function {
        name: "tie_breaking_load",
        family: Family::Members,
        summary: "Reads the average breaking load of a tie from the Army's table.",
        source: "army-forms",
        parameters: &[Parameter::choice("tie", TieMaterial::NAMES, "wire as a double strand")],
        result: Weight::KIND,
        result_about: "CAUTION: a breaking load and no rating; the maker's rating governs",
        errors: "",
        example: "tie_breaking_load(\"wire No. 9\").show(\"lb\")",
        prints: "1420 lb",
        evaluate: |a| give(forms::tie_breaking_load(a.choice(0)?)),
    },
    Function {
        name: "tie_spacing_on_wale",
        family: Family::Members,
        summary: "Computes the spacing of ties along a wale by the load of one, rounded down to an inch.",
        source: "army-forms",
        parameters: &[
            Parameter::measure::<Weight>(EACH, "what one tie may hold: its rating"),
            Parameter::measure::<ForcePerLength>(ON_WALE, "even load along the wale"),
        ],
        result: Length::KIND,
        result_about: DEMAND,
        errors: "the spacing is under an inch",
        example: "tie_spacing_on_wale(1500.lb, 1250.plf).show(\"in\")",
        prints: "14 in",
        evaluate: |a| give(forms::tie_spacing_on_wale(a.measure(0)?, a.measure(1)?)),
    },
];
