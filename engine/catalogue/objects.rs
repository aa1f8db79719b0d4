//! Functions of a wall case: from the job to ground, layout and measured parts.

use std::sync::Arc;

use num_rational::BigRational;

use super::{Family, Fault, Function, Object, Parameter, Value, ValueKind};
use crate::concrete::BATTER;
use crate::earth::{BackfillZone, Bank, DRAIN_WIDTH, HEIGHT_LESS, LAYBACK, LaybackFrom};
use crate::footing::{self, NoLayout, Part, Site};
use crate::forms::FootingLumber;
use crate::measure::{Length, Ratio};
use crate::problem::Problem;
use crate::rebar::{BarList, BarRole, bar_parts};
use crate::{concrete, earth, forms};

const LAYOUT: [Parameter; 1] = [Parameter::new("layout", ValueKind::Layout, "a layout of steps")];

const DIG: [Parameter; 3] = [
    LAYOUT[0],
    Parameter::measure::<Ratio>(
        LAYBACK,
        "horizontal per vertical, 0 for a vertical bank; what is allowed is for the competent person and the excavation standard",
    ),
    Parameter::choice(
        "layback_from",
        LaybackFrom::NAMES,
        "from where up; straight to the top of footing only where the excavation standard allows a vertical foot",
    )
    .or("bottom"),
];

const BATTERED: [Parameter; 3] = [
    LAYOUT[0],
    Parameter::measure::<Ratio>(
        BATTER.named("face"),
        "how much the exposed face leans out on the way down, horizontal per vertical",
    ),
    Parameter::measure::<Ratio>(
        BATTER.named("back"),
        "the same of the earth face, towards the earth",
    ),
];

/// A function that measures parts of a layout.
const fn parts(
    name: &'static str,
    summary: &'static str,
    result_about: &'static str,
    (example, prints): (&'static str, &'static str),
    evaluate: fn(&super::Args) -> Result<Value, Fault>,
) -> Function {
    Function {
        name,
        family: Family::WallCase,
        summary,
        source: "definition",
        parameters: &LAYOUT,
        result: ValueKind::Parts,
        result_about,
        errors: "none beyond a wrong kind of input",
        example,
        prints,
        evaluate,
    }
}

/// A function that measures what is dug for a layout.
const fn dig(
    name: &'static str,
    summary: &'static str,
    result_about: &'static str,
    (example, prints): (&'static str, &'static str),
    evaluate: fn(&super::Args) -> Result<Value, Fault>,
) -> Function {
    Function { parameters: &DIG, ..parts(name, summary, result_about, (example, prints), evaluate) }
}

fn dug(
    args: &super::Args,
    measure: fn(&footing::Layout, &BigRational, LaybackFrom) -> Vec<Part>,
) -> Result<Value, Fault> {
    LAYBACK.check(args.measure::<Ratio>(1)?)?;
    Ok(args.parts(measure(args.layout(0)?, &args.ratio(1)?, args.choice(2)?)))
}

/// A function that measures parts of a layout whose stems have battered faces.
const fn battered(
    name: &'static str,
    summary: &'static str,
    result_about: &'static str,
    (example, prints): (&'static str, &'static str),
    evaluate: fn(&super::Args) -> Result<Value, Fault>,
) -> Function {
    Function {
        parameters: &BATTERED,
        errors: "a batter is out of its range, or the foot of a stem reaches beyond its footing",
        ..parts(name, summary, result_about, (example, prints), evaluate)
    }
}

fn leaning(
    args: &super::Args,
    measure: fn(&footing::Layout, &concrete::Batter) -> Vec<Part>,
) -> Result<Value, Fault> {
    BATTER.named("face").check(args.measure::<Ratio>(1)?)?;
    BATTER.named("back").check(args.measure::<Ratio>(2)?)?;
    let batter = concrete::Batter { face: args.ratio(1)?, back: args.ratio(2)? };
    concrete::feet_on_footings(args.layout(0)?, &batter)?;
    Ok(args.parts(measure(args.layout(0)?, &batter)))
}

/// The same of the dig as a solid.
fn dug_solid(
    args: &super::Args,
    measure: fn(&footing::Layout, &BigRational, LaybackFrom) -> Vec<Part>,
) -> Result<Value, Fault> {
    square_corners(args.layout(0)?)?;
    dug(args, measure)
}

/// Whether all corners of a layout are square, as the dig as a solid takes them.
fn square_corners(layout: &footing::Layout) -> Result<(), Problem> {
    match layout.site.chain.oblique().next() {
        None => Ok(()),
        Some(corner) => Err(Problem::error(format!(
            "a corner turns {:.2} degrees, and the dig as a solid is known for square corners only",
            corner.turn.degrees()
        ))
        .help("mitred_corners takes corners of any angle, without banks of ends and steps; there is no backfill beside them")),
    }
}

fn of(args: &super::Args, measure: fn(&footing::Layout) -> Vec<Part>) -> Result<Value, Fault> {
    Ok(args.parts(measure(args.layout(0)?)))
}

/// What is said of a job without a table.
fn lacks(table: &str) -> Problem {
    Problem::error(format!("the job has no table [{table}]"))
        .help(format!("add it to job.toml, or ask with job.has(\"{table}\") first"))
}

pub(super) const LIST: &[Function] = &[
    Function {
        name: "ground_lines",
        family: Family::WallCase,
        summary: "Gives the ground lines of the job: finished grade on the low side, top of bearing, existing ground.",
        source: "company",
        parameters: &[Parameter::new("job", ValueKind::Job, "the job")],
        result: ValueKind::Ground,
        result_about: "the three lines along the walls",
        errors: "none beyond a wrong kind of input",
        example: "ground_lines(job).show()",
        prints: "ground lines of 10, 8 and 41 points",
        evaluate: |a| Ok(Value::Object(Object::Ground(Arc::new(a.job(0)?.site.ground.clone())))),
    },
    Function {
        name: "least_cost_steps",
        family: Family::WallCase,
        summary: "Finds the layout of steps at least cost by the layout rates: proven least total, then fewest steps, then the smallest list of levels.",
        source: "definition",
        parameters: &[
            Parameter::new("job", ValueKind::Job, "the job"),
            Parameter::new("ground", ValueKind::Ground, "its ground lines"),
        ],
        result: ValueKind::Layout,
        result_about: "the layout; other than the plan's it is a proposal until the engineer of record accepts it in writing",
        errors: "no layout is legal (the message says where and by how much); the corner clearance is smaller than an overlap",
        example: "least_cost_steps(job, ground_lines(job)).show()",
        prints: "7 steps",
        evaluate: |a| {
            let (job, ground) = (a.job(0)?, a.ground(1)?);
            let site = Site { ground: (**ground).clone(), ..(*job.site).clone() };
            match job.known.of(&site) {
                Ok(layout) => Ok(Value::Object(Object::Layout(layout))),
                Err(NoLayout::Fault(faults)) => Err(match faults.into_vec().into_iter().next() {
                    Some(problem) => problem.into(),
                    None => crate::problem::Problem::error("the layout failed").into(),
                }),
                Err(reason) => Err(Fault::NoLayout(Box::new(reason), Arc::new(site))),
            }
        },
    },
    parts(
        "footing_runs",
        "Measures the straight runs of the footing: width x thickness x length of each piece.",
        "concrete volume, along the exposed face",
        ("footing_runs(least_cost_steps(job, ground_lines(job))).show(\"cy\", 6)", "25.537809 cy"),
        |a| of(a, concrete::footing_runs),
    ),
    parts(
        "step_overlaps",
        "Measures the overlaps of the steps: lower width x overlap x step of the bottom.",
        "concrete volume",
        ("step_overlaps(least_cost_steps(job, ground_lines(job))).show(\"cy\", 6)", "1.430556 cy"),
        |a| of(a, concrete::step_overlaps),
    ),
    parts(
        "footing_corners",
        "Measures what the straight runs count too much or too little at corners of the footing.",
        "signed concrete volume; at square corners the thicker footing runs through",
        (
            "footing_corners(least_cost_steps(job, ground_lines(job))).show(\"cy\", 6)",
            "-0.133102 cy",
        ),
        |a| of(a, concrete::footing_corners),
    ),
    parts(
        "footing_keys",
        "Measures the keys of the keyed types, stopping at risers and corners.",
        "concrete and excavated volume",
        ("footing_keys(least_cost_steps(job, ground_lines(job))).show(\"cy\", 6)", "3.182099 cy"),
        |a| of(a, footing::keys),
    ),
    parts(
        "stem_runs",
        "Measures the stems: thickness x height x length of the exposed face.",
        "concrete volume",
        ("stem_runs(least_cost_steps(job, ground_lines(job))).show(\"cy\", 6)", "34.117284 cy"),
        |a| of(a, concrete::stem_runs),
    ),
    parts(
        "stem_corners",
        "Measures what the straight runs count twice or miss at corners of the stem.",
        "signed concrete volume",
        ("stem_corners(least_cost_steps(job, ground_lines(job))).show(\"cy\", 6)", "0.000000 cy"),
        |a| of(a, concrete::stem_corners),
    ),
    parts(
        "contact_area",
        "Measures the contact area of the stem forms by face: exposed, earth, free ends, tops that differ.",
        "area; faces against a footing riser are not formed",
        (
            "contact_area(least_cost_steps(job, ground_lines(job))).show(\"sf\", 6)",
            "1855.333333 sf",
        ),
        |a| of(a, forms::contact_area),
    ),
    battered(
        "stem_batter",
        "Measures what stems with battered faces have beyond their thickness at the top; the plan's line and thickness hold there.",
        "concrete volume",
        (
            "stem_batter(least_cost_steps(job, ground_lines(job)), 0.0, 1.0 / 12.0).show(\"cy\", 2)",
            "11.91 cy",
        ),
        |a| leaning(a, concrete::stem_batter),
    ),
    battered(
        "battered_corners",
        "Measures what corners of battered stems add to runs and batter or take from them, at every depth as lines of a corner end; in place of stem_corners.",
        "signed concrete volume",
        (
            "battered_corners(least_cost_steps(job, ground_lines(job)), 0.0, 1.0 / 12.0).show(\"cy\", 2)",
            "-0.12 cy",
        ),
        |a| leaning(a, concrete::battered_corners),
    ),
    battered(
        "battered_contact",
        "Measures the contact area of the forms of battered stems: both faces along their slope, free ends, tops that differ; in place of contact_area.",
        "area; faces against a footing riser are not formed",
        (
            "battered_contact(least_cost_steps(job, ground_lines(job)), 0.0, 1.0 / 12.0).show(\"sf\", 2)",
            "1859.72 sf",
        ),
        |a| leaning(a, concrete::battered_contact),
    ),
    dig(
        "dig_section",
        "Measures the excavation over the bottom profile: straight down to the bottom, laid back on the earth side.",
        "bank volume without keys, along the exposed face: insides of corners count twice, outsides and free ends not",
        (
            "dig_section(least_cost_steps(job, ground_lines(job)), 1.0, \"footing top\").show(\"cy\", 6)",
            "131.852899 cy",
        ),
        |a| dug(a, earth::dig_section),
    ),
    dig(
        "dig_corners",
        "Measures what corners and steps add to the section or take from it: floors and laid-back banks as one solid, without free ends and low side.",
        "signed bank volume, wall by wall",
        (
            "dig_corners(least_cost_steps(job, ground_lines(job)), 1.0, \"footing top\").show(\"cy\", 2)",
            "5.62 cy",
        ),
        |a| dug_solid(a, earth::dig_corners),
    ),
    dig(
        "mitred_corners",
        "Measures what corners of any angle add to the section or take from it, each wall's section ending as its lines do at the corner; ground level across it.",
        "signed bank volume, corner by corner; banks of steps and free ends are not in it",
        (
            "mitred_corners(least_cost_steps(job, ground_lines(job)), 1.0, \"footing top\").show(\"cy\", 2)",
            "3.30 cy",
        ),
        |a| {
            LAYBACK.check(a.measure::<Ratio>(1)?)?;
            Ok(a.parts(earth::mitred_corners(a.layout(0)?, &a.ratio(1)?, a.choice(2)?)?))
        },
    ),
    dig(
        "dig_ends",
        "Measures what laid-back free ends add to the dig; an end with a lead goes on in the neighbour's dig and is none.",
        "bank volume, wall by wall",
        (
            "dig_ends(least_cost_steps(job, ground_lines(job)), 1.0, \"footing top\").show(\"cy\", 2)",
            "3.36 cy",
        ),
        |a| dug_solid(a, earth::dig_ends),
    ),
    Function {
        parameters: &[
            DIG[0],
            DIG[1],
            DIG[2],
            Parameter::choice("free_ends", Bank::NAMES, "how the free ends stand").or("laid back"),
        ],
        ..dig(
            "dig_low_side",
            "Measures what a laid-back low side adds to the dig.",
            "bank volume, wall by wall",
            (
                "dig_low_side(least_cost_steps(job, ground_lines(job)), 1.0, \"footing top\").show(\"cy\", 2)",
                "28.81 cy",
            ),
            |a| {
                LAYBACK.check(a.measure::<Ratio>(1)?)?;
                square_corners(a.layout(0)?)?;
                let (layback, from, ends) = (a.ratio(1)?, a.choice(2)?, a.choice(3)?);
                Ok(a.parts(earth::dig_low_side(a.layout(0)?, &layback, from, ends)))
            },
        )
    },
    Function {
        name: "backfill",
        family: Family::WallCase,
        summary: "Measures the earth that is brought back into the dig: behind the wall up to the existing ground, over the toe up to the finished grade; concrete, drain rock and what stays open are left out.",
        source: "definition",
        parameters: &[
            Parameter::new(
                "job",
                ValueKind::Job,
                "the job; its allowances say how the banks stand",
            ),
            LAYOUT[0],
            Parameter::choice("zone", BackfillZone::NAMES, "which of it").or("both"),
        ],
        result: ValueKind::Parts,
        result_about: "volume in place, by side and wall. CAUTION: no backfill before the engineer of record allows it behind the wall",
        errors: "none beyond a wrong kind of input",
        example: "backfill(job, least_cost_steps(job, ground_lines(job))).show(\"cy\", 2)",
        prints: "72.88 cy",
        evaluate: |a| {
            let (job, layout) = (a.job(0)?, a.layout(1)?);
            square_corners(layout)?;
            Ok(a.parts(earth::backfill(layout, &job.allowances.dig_parts(layout), a.choice(2)?)))
        },
    },
    Function {
        name: "bars",
        family: Family::WallCase,
        summary: "Measures the bars of one role, group by group: verticals and dowels, bars across and along the footing, what links footings, rows and corners of the stem.",
        source: "practice",
        parameters: &[
            Parameter::new("job", ValueKind::Job, "the job; its table [bars] has the rules"),
            LAYOUT[0],
            Parameter::choice("role", BarRole::NAMES, "what the bars are for"),
        ],
        result: ValueKind::Parts,
        result_about: "weight, laps included, waste not; none where the job has no bars of this role",
        errors: "the job has no table [bars]; the company's marks are faulty",
        example: "bars(job, least_cost_steps(job, ground_lines(job)), \"vertical\").show(\"lb\", 6)",
        prints: "1616.472667 lb",
        evaluate: |a| {
            let (job, layout) = (a.job(0)?, a.layout(1)?);
            let spec = job.steel.as_ref().ok_or_else(|| lacks("bars"))?;
            let list = BarList::of(layout, Arc::clone(spec));
            let list = list.map_err(|faults| match faults.into_vec().into_iter().next() {
                Some(problem) => Fault::from(problem),
                None => Problem::error("the bars cannot be listed").into(),
            })?;
            Ok(a.parts(bar_parts(layout, &list, a.choice(2)?)))
        },
    },
    Function {
        name: "form_ties",
        family: Family::WallCase,
        summary: "Counts the ties of the wall forms: at each joint of a wall the rows of the taller form that meets there.",
        source: "practice",
        parameters: &[
            Parameter::new("job", ValueKind::Job, "the job; its table [forms] has the panels"),
            LAYOUT[0],
        ],
        result: ValueKind::Parts,
        result_about: "count, wall by wall",
        errors: "the job has no table [forms]",
        example: "form_ties(job, least_cost_steps(job, ground_lines(job))).show(\"each\")",
        prints: "237 each",
        evaluate: |a| {
            let spec = a.job(0)?.forms.as_ref().ok_or_else(|| lacks("forms"))?;
            Ok(a.parts(forms::tie_parts(a.layout(1)?, spec)))
        },
    },
    Function {
        name: "cut_fillers",
        family: Family::WallCase,
        summary: "Counts the fillers that are cut for their place: beside steps off the joints, and where no stock widths add up to a corner or closure; one a face.",
        source: "practice",
        parameters: &[
            Parameter::new("job", ValueKind::Job, "the job; its table [forms] has the fillers"),
            LAYOUT[0],
        ],
        result: ValueKind::Parts,
        result_about: "count, place by place",
        errors: "the job has no table [forms]",
        example: "cut_fillers(job, least_cost_steps(job, ground_lines(job))).count",
        prints: "0",
        evaluate: |a| {
            let spec = a.job(0)?.forms.as_ref().ok_or_else(|| lacks("forms"))?;
            Ok(a.parts(forms::cut_filler_parts(a.layout(1)?, spec)))
        },
    },
    Function {
        name: "footing_edge_forms",
        family: Family::WallCase,
        summary: "Measures the edge forms of the footing: thickness by edge length of each side that is formed, and the free ends. At a corner an edge is longer or shorter by what the other footing reaches beyond it.",
        source: "practice",
        parameters: &[
            Parameter::new(
                "job",
                ValueKind::Job,
                "the job; its table [footing_sides] says which are formed",
            ),
            LAYOUT[0],
        ],
        result: ValueKind::Parts,
        result_about: "area; none where all is poured against banks, or the job does not say how",
        errors: "none beyond a wrong kind of input",
        example: "footing_edge_forms(job, least_cost_steps(job, ground_lines(job))).count",
        prints: "0",
        evaluate: |a| {
            let (job, layout) = (a.job(0)?, a.layout(1)?);
            let parts = job.sides.as_ref().map(|sides| forms::edge_form_parts(layout, sides));
            Ok(a.parts(parts.unwrap_or_default()))
        },
    },
    Function {
        name: "footing_over_width",
        family: Family::WallCase,
        summary: "Measures the concrete beyond the plan where the footing is poured against banks dug too wide.",
        source: "practice",
        parameters: &[
            Parameter::new(
                "job",
                ValueKind::Job,
                "the job; its table [footing_sides] has the over-width",
            ),
            LAYOUT[0],
        ],
        result: ValueKind::Parts,
        result_about: "volume; none where no side is poured against a bank or dug too wide, or the job does not say",
        errors: "none beyond a wrong kind of input",
        example: "footing_over_width(job, least_cost_steps(job, ground_lines(job))).count",
        prints: "0",
        evaluate: |a| {
            let (job, layout) = (a.job(0)?, a.layout(1)?);
            let parts = job.sides.as_ref().map(|sides| forms::over_width_parts(layout, sides));
            Ok(a.parts(parts.unwrap_or_default()))
        },
    },
    Function {
        name: "footing_lumber",
        family: Family::WallCase,
        summary: "Measures the lumber that the footing is formed with: boards, stakes and kickers of the bulkheads, cross pieces, stakes and long pieces of the templates.",
        source: "practice",
        parameters: &[
            Parameter::new("job", ValueKind::Job, "the job; its table [lumber] has the rules"),
            LAYOUT[0],
            Parameter::choice("what", FootingLumber::NAMES, "which of it"),
        ],
        result: ValueKind::Parts,
        result_about: "length of boards, cross pieces and long pieces, count of the others",
        errors: "the job has no table [lumber]",
        example: "footing_lumber(job, least_cost_steps(job, ground_lines(job)), \"bulkhead boards\").show(\"ft\")",
        prints: "39.25 ft",
        evaluate: |a| {
            let spec = a.job(0)?.lumber.as_ref().ok_or_else(|| lacks("lumber"))?;
            Ok(a.parts(forms::lumber_parts(a.layout(1)?, spec, a.choice(2)?)))
        },
    },
    Function {
        name: "drain_rock",
        family: Family::WallCase,
        summary: "Measures the drain rock behind the stem: width x (stem height less a length) x length.",
        source: "practice",
        parameters: &[
            LAYOUT[0],
            Parameter::measure::<Length>(DRAIN_WIDTH, "of the rock behind the stem"),
            Parameter::measure::<Length>(HEIGHT_LESS, "how much lower than the stem it ends"),
        ],
        result: ValueKind::Parts,
        result_about: "volume in place",
        errors: "",
        example: "drain_rock(least_cost_steps(job, ground_lines(job)), 1.ft, 1.ft).show(\"cy\", 6)",
        prints: "29.802469 cy",
        evaluate: |a| {
            let (width, less): (Length, Length) = (a.measure(1)?, a.measure(2)?);
            DRAIN_WIDTH.check(width)?;
            HEIGHT_LESS.check(less)?;
            Ok(a.parts(earth::drain_rock(a.layout(0)?, width.to_nm()?, less.to_nm()?)))
        },
    },
];
