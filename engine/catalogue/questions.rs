//! Questions that scripts ask of a job at a station: the ground, and a step that somebody wants there.

use super::value::give;
use super::{Args, Family, Function, Output, Parameter, ValueKind, record};
use crate::footing::{StepNear, WantedStep, step_near};
use crate::measure::{Dimension, Length, Nm};
use crate::problem::Problem;
use crate::survey::GroundKind;

record! { StepNear {
    before: Option<Length>, "the nearest joint at or before the wanted station that may have the step, on its wall; none where there is none";
    before_overlap: Option<Length>, "overlap there";
    after: Option<Length>, "the nearest after it";
    after_overlap: Option<Length>, "overlap there";
    nearest: Option<Length>, "the nearer of both";
    bof_low: Option<Length>, "bottom of the lower footing at the nearer one";
    bof_high: Option<Length>, "bottom of the upper footing there";
    why: String, "joints between them and the wanted station, each with what forbids it";
}}

const JOB: Parameter = Parameter::new("job", ValueKind::Job, "the job");
const WALL: Parameter = Parameter::new("wall", ValueKind::Text, "id of the wall");

const LINES: [&str; 3] =
    [GroundKind::FinishedLow.key(), GroundKind::Bearing.key(), GroundKind::Existing.key()];

/// The wall of a call, as its index, and a station on it.
fn spot(args: &Args, wall: usize, station: usize) -> Result<(usize, Nm), Problem> {
    let chain = &args.job(0)?.site.chain;
    let (wall, at) = (chain.wall_named(args.text(wall)?)?, args.length(station)?.to_nm()?);
    chain.on_wall(wall, at)?;
    Ok((wall, at))
}

pub(super) const LIST: &[Function] = &[
    Function {
        name: "ground_at",
        family: Family::WallCase,
        summary: "Gives the height of a ground line at a station of a wall, between its points on the straight line.",
        source: "definition",
        parameters: &[
            JOB,
            Parameter::new("line", ValueKind::Choice(&LINES), "which ground"),
            WALL,
            Parameter::new(
                "station",
                ValueKind::Measure(Dimension::LENGTH),
                "on the wall, from its start",
            ),
        ],
        result: ValueKind::Measure(Dimension::LENGTH),
        result_about: "elevation; before the first point and after the last one the height of that point",
        errors: "there is no such wall or line; the station is not on the wall",
        example: "ground_at(job, \"bearing\", \"W1\", 10.ft).show(\"ft\", 4)",
        prints: "201.0647 ft",
        evaluate: |a| {
            let name = a.text(1)?;
            let kind = GroundKind::ALL.into_iter().find(|kind| kind.key() == name);
            let kind = kind.ok_or_else(|| {
                Problem::error(format!("there is no ground line {name}"))
                    .help(format!("one of {} was expected", LINES.join(", ")))
            })?;
            let (wall, at) = spot(a, 2, 3)?;
            let site = &a.job(0)?.site;
            let height =
                site.ground.line(kind).line.height(site.chain.walls()[wall].station + at).floor();
            give(Ok(Length::exact(height)))
        },
    },
    Function {
        name: "step_near",
        family: Family::WallCase,
        summary: "Looks for the joints of the job's grid that may have a step wanted at a station, on both sides of it, and says what forbids those between.",
        source: "definition",
        parameters: &[
            JOB,
            WALL,
            Parameter::new(
                "station",
                ValueKind::Measure(Dimension::LENGTH),
                "where the step is wanted, on the wall from its start",
            ),
            Parameter::new(
                "tof_before",
                ValueKind::Measure(Dimension::LENGTH),
                "top of footing before it, a level of the job",
            ),
            Parameter::new(
                "tof_after",
                ValueKind::Measure(Dimension::LENGTH),
                "top of footing after it, a level of the job",
            ),
        ],
        result: StepNear::KIND,
        result_about: "by the rules of the job and the company for one step, deep enough over the shortest run on both sides and as far as the wanted station; other steps and the cost are not looked at. A step other than the plan's is a proposal until the engineer of record accepts it in writing",
        errors: "there is no such wall; the station is not on it; a top of footing is on no level of the job, or both are the same; the wall case does not step",
        example: "step_near(job, \"W1\", 10.ft, 200.ft, 201.ft).nearest.show(\"ft\", 4)",
        prints: "10.8333 ft",
        evaluate: |a| {
            let (wall, at) = spot(a, 1, 2)?;
            let (tof_before, tof_after) = (a.length(3)?.to_nm()?, a.length(4)?.to_nm()?);
            give(step_near(&a.job(0)?.site, WantedStep { wall, at, tof_before, tof_after }))
        },
    },
];
