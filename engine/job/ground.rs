//! The ground lines of a job: from shots, from lists in the job, or taken from another line.

use super::build::ShotSettings;
use super::settings::View;
use crate::measure::Nm;
use crate::problem::{Faults, Outcome, Problem};
use crate::survey::{
    Chain, Ground, GroundKind, GroundLine, LineOrigin, Section, Surface, polyline,
};
use crate::takeoff::ShotReport;

/// Why the rows of a code are set aside: each reason with its count and its first row.
fn set_aside(report: &ShotReport, codes: &[&str], chain: &Chain) -> Vec<String> {
    let of = |row: &&crate::survey::Refused| codes.contains(&row.code.as_str());
    let rows: Vec<_> = report.refused.iter().filter(of).collect();
    if rows.is_empty() {
        let mut codes: Vec<&str> = report.refused.iter().map(|row| row.code.as_str()).collect();
        codes.extend(report.used.iter().map(|used| used.shot.code.as_str()));
        codes.sort_unstable();
        codes.dedup();
        codes.retain(|code| !code.is_empty());
        codes.truncate(12);
        if codes.is_empty() {
            return vec!["no row of the list has a code".to_owned()];
        }
        return vec![format!("no row has it; the codes of the list: {}", codes.join(", "))];
    }
    let mut keys: Vec<&str> = rows.iter().map(|row| row.reason.key()).collect();
    keys.sort_unstable();
    keys.dedup();
    let detail = |key: &str| {
        let of: Vec<_> = rows.iter().filter(|row| row.reason.key() == key).collect();
        let first = of.first()?;
        let show = |length| chain.tape(length, 16);
        Some(format!(
            "{} row(s), the first in line {}: {}",
            of.len(),
            first.line,
            first.reason.words(show)
        ))
    };
    keys.into_iter().filter_map(detail).collect()
}

/// How a line is taken from shots: the surface between them and where it is cut.
fn section(view: View) -> Result<Section, Problem> {
    let neighbours = usize::try_from(view.count("neighbours")?).unwrap_or(usize::MAX);
    let surface = Surface::named(view.maybe_text("surface").unwrap_or_default(), neighbours);
    let (toe, heel) = (view.maybe_length("toe"), view.maybe_length("heel"));
    if surface == Surface::Level {
        if toe.or(heel).is_some() {
            let given = if toe.is_some() { "toe" } else { "heel" };
            return Err(view.place(
                given,
                Problem::error("a ground that is level across the wall has no other height there")
                    .help("choose surface: sides, plane or triangles; or leave this out"),
            ));
        }
        return Ok(Section::LEVEL);
    }
    let mut offsets: Vec<Nm> = toe.map(|toe| -toe).into_iter().chain(heel).collect();
    if offsets.is_empty() {
        offsets.push(Nm::ZERO);
    }
    Ok(Section { surface, offsets })
}

/// A ground line that nothing says anything about.
fn nowhere(root: View, kind: GroundKind) -> Problem {
    root.place("ground", Problem::error(format!("nothing says where {} is", kind.words()))).help(
        format!(
            "give shots.codes.{0} (or shots.uncoded), ground.{0}.stations, or ground.{0}.from with below",
            kind.key()
        ),
    )
}

/// The ground lines that nothing says anything about, whatever the shots are.
pub(super) fn missing_ground(root: View, shots: Option<&ShotSettings>) -> Faults {
    let given = |kind: GroundKind| {
        let coded = shots
            .is_some_and(|shots| shots.screening.codes.iter().any(|(known, _)| *known == kind));
        let view = root.table("ground").and_then(|ground| ground.table(kind.key()));
        coded
            || view
                .is_some_and(|v| v.stations("stations").is_some() || v.maybe_text("from").is_some())
    };
    let missing = GroundKind::ALL.into_iter().filter(|kind| !given(*kind));
    missing.map(|kind| nowhere(root, kind)).collect::<Vec<_>>().into()
}

/// Builds the three ground lines: from shots, from lists in the job, then those that are derived from another.
pub(super) fn ground(
    root: View,
    shots: Option<&ShotSettings>,
    report: Option<&ShotReport>,
    chain: &Chain,
) -> Outcome<Ground> {
    let mut faults = Faults::none();
    let used = report.map_or(&[][..], |report| &report.used);
    let table = root.need_table("ground")?;
    let mut lines: [Option<GroundLine>; 3] = [None, None, None];
    let mut derived: Vec<(usize, GroundKind, Nm)> = Vec::new();
    for (index, kind) in GroundKind::ALL.into_iter().enumerate() {
        let view = table.need_table(kind.key())?;
        let limit = view.maybe_length("largest_gap");
        let codes: Vec<&str> = shots
            .iter()
            .flat_map(|shots| &shots.screening.codes)
            .filter(|(known, _)| *known == kind)
            .map(|(_, code)| code.as_str())
            .collect();
        let code = Some(codes.join(", ")).filter(|_| !codes.is_empty());
        let from = view
            .maybe_text("from")
            .and_then(|name| GroundKind::ALL.into_iter().find(|kind| kind.key() == name));
        let section = section(view)?;
        if code.is_none() && section != Section::LEVEL {
            faults.push(
                view.place(
                    "surface",
                    Problem::error(format!("{} does not come from shots", kind.words()))
                        .help("a surface is laid through shots only: leave it out"),
                ),
            );
        }
        match (view.stations("stations"), from, &code) {
            (Some(pairs), None, None) => {
                // One station beyond each end carries the line's slope to it; a second one supports nothing.
                let stations = || pairs.iter().map(|(station, _)| *station);
                let before = stations().nth(1).filter(|station| *station <= Nm::ZERO);
                let after = stations().rev().nth(1).filter(|station| *station >= chain.length());
                if let Some(station) = before.or(after) {
                    faults.push(view.place(
                        "stations",
                        Problem::error(format!(
                            "station {} is outside the walls, which are {} long",
                            chain.tape(station, 16),
                            chain.tape(chain.length(), 16)
                        ))
                        .help("stations of a ground line run along the chain of walls, from 0 to its length; one beyond each end is enough"),
                    ));
                }
                let line = polyline(pairs.to_vec(), chain.ring());
                if line.is_none() {
                    faults.push(view.place(
                        "stations",
                        Problem::error("on a closed ring the stations run from 0 to less than its length, each once"),
                    ));
                }
                lines[index] =
                    line.map(|line| GroundLine::new(kind, LineOrigin::Listed, line, limit));
            }
            (None, Some(from), None) => match view.maybe_length("below") {
                Some(below) => derived.push((index, from, below)),
                None => faults.push(view.place(
                    "from",
                    Problem::error(format!(
                        "ground.{} needs below: how much lower it is",
                        kind.key()
                    )),
                )),
            },
            (None, None, Some(code)) => {
                let own = GroundLine::from_shots(kind, code, section, used, chain, limit);
                let own = own.map_err(|problem| view.place("surface", problem))?;
                let none_left = own.is_none();
                lines[index] = own;
                if none_left {
                    let what = match code.as_str() {
                        "" => "without a code".to_owned(),
                        code => format!("with code {code}"),
                    };
                    let mut problem =
                        Problem::error(format!("no shot {what} is left for {}", kind.words()));
                    for detail in report.iter().flat_map(|report| set_aside(report, &codes, chain)) {
                        problem = problem.detail(detail);
                    }
                    faults.push(
                        root.place("shots", problem)
                            .help("correct shots.codes, shots.reach or the list"),
                    );
                }
            }
            (None, None, None) => faults.push(nowhere(root, kind)),
            _ => faults.push(
                view.place(
                    "from",
                    Problem::error(format!("{} is given more than once", kind.words())),
                )
                .help(format!(
                    "keep one of shots.codes.{0} or shots.uncoded, ground.{0}.stations and ground.{0}.from",
                    kind.key()
                )),
            ),
        }
    }
    // Two lines may be derived from the third, one after the other.
    for _ in 0..2 {
        for (index, from, below) in &derived {
            let source = GroundKind::ALL
                .iter()
                .position(|kind| kind == from)
                .and_then(|place| lines[place].clone());
            if let (None, Some(source)) = (&lines[*index], source) {
                let kind = GroundKind::ALL[*index];
                let limit = table.need_table(kind.key())?.maybe_length("largest_gap");
                lines[*index] = Some(GroundLine::new(
                    kind,
                    LineOrigin::Offset(*from, *below),
                    source.line.lowered(*below),
                    limit,
                ));
            }
        }
    }
    if faults.is_empty() && derived.iter().any(|(index, ..)| lines[*index].is_none()) {
        faults.push(root.place(
            "ground",
            Problem::error("ground lines are derived from each other in a circle"),
        ));
    }
    let [low, bearing, existing] = lines;
    let ground = match (low, bearing, existing) {
        (Some(finished_low), Some(bearing), Some(existing)) => {
            Some(Ground { finished_low, bearing, existing })
        }
        _ => None,
    };
    faults.or_value(ground)
}
