//! The ground lines of a job: from shots, from lists in the job, or taken from another line.

use super::build::ShotSettings;
use super::settings::View;
use crate::measure::{Nm, counted};
use crate::problem::{Faults, Outcome, Problem};
use crate::survey::{
    Chain, Ground, GroundKind, GroundLine, GroundSection, LineOrigin, Surface, polyline,
};
use crate::takeoff::ShotReport;

/// Why the rows of a code are not used: each reason with its count and its first row.
fn not_used(report: &ShotReport, codes: &[&str], chain: &Chain) -> Vec<String> {
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
            "{}, the first in line {}: {}",
            counted(of.len(), "row", "rows"),
            first.line,
            first.reason.words(show)
        ))
    };
    keys.into_iter().filter_map(detail).collect()
}

/// How a line is taken from shots: the surface between them and where it is cut.
fn section(view: View) -> Result<GroundSection, Problem> {
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
        return Ok(GroundSection::LEVEL);
    }
    let mut offsets: Vec<Nm> = toe.map(|toe| -toe).into_iter().chain(heel).collect();
    if offsets.is_empty() {
        offsets.push(Nm::ZERO);
    }
    Ok(GroundSection { surface, offsets })
}

/// A ground line that nothing says anything about.
fn nowhere(root: View, kind: GroundKind) -> Problem {
    let problem = Problem::error(format!("nothing says where {} is", kind.words())).help(format!(
        "where it was shot, give its code among the shots: codes.{0} (or uncoded); where not, in the table ground {0}.from, the line that it lies under, with {0}.below, or {0}.stations",
        kind.key()
    ));
    let given = root.table("ground").and_then(|ground| ground.table(kind.key()));
    match (given, root.table("shots")) {
        (None, Some(shots)) => shots.place("codes", problem),
        _ => root.place("ground", problem),
    }
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
    let table = root.need_table("ground")?;
    let given = Given { root, shots, report, chain };
    let mut lines: [Option<GroundLine>; 3] = [None, None, None];
    let mut derived: Vec<(usize, GroundKind, Nm)> = Vec::new();
    for (index, kind) in GroundKind::ALL.into_iter().enumerate() {
        let view = table.need_table(kind.key())?;
        match faults.keep(given.line(view, kind)) {
            Some(Line::Own(line)) => lines[index] = Some(line),
            Some(Line::From(from, below)) => derived.push((index, from, below)),
            None => {}
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
                let origin = LineOrigin::Offset(*from, *below);
                let line = source.line.lowered(*below);
                lines[*index] = Some(GroundLine::new(kind, origin, line, limit));
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

/// Where a ground line comes from.
enum Line {
    /// From stations or shots.
    Own(GroundLine),
    /// From another line, so much lower.
    From(GroundKind, Nm),
}

/// What the ground lines of a job come from.
struct Given<'a> {
    root: View<'a>,
    shots: Option<&'a ShotSettings>,
    report: Option<&'a ShotReport>,
    chain: &'a Chain,
}

impl Given<'_> {
    /// One line, from the one thing that the job gives for it.
    fn line(&self, view: View, kind: GroundKind) -> Outcome<Line> {
        let codes: Vec<&str> = self
            .shots
            .iter()
            .flat_map(|shots| &shots.screening.codes)
            .filter(|(known, _)| *known == kind)
            .map(|(_, code)| code.as_str())
            .collect();
        let from = view
            .maybe_text("from")
            .and_then(|name| GroundKind::ALL.into_iter().find(|kind| kind.key() == name));
        let section = section(view)?;
        let mut faults = Faults::none();
        if codes.is_empty() && section != GroundSection::LEVEL {
            let problem = Problem::error(format!("{} does not come from shots", kind.words()));
            let help = "a surface is laid through shots only: leave it out";
            faults.push(view.place("surface", problem.help(help)));
        }
        let line = match (view.stations("stations"), from, codes.is_empty()) {
            (Some(pairs), None, true) => self.listed(view, kind, pairs).map(Line::Own),
            (None, Some(from), true) => match view.maybe_length("below") {
                Some(below) => Ok(Line::From(from, below)),
                None => {
                    let message =
                        format!("ground.{} needs below: how much lower it is", kind.key());
                    Err(view.place("from", Problem::error(message)).into())
                }
            },
            (None, None, false) => self.shot(view, kind, section, &codes).map(Line::Own),
            (None, None, true) => Err(nowhere(self.root, kind).into()),
            _ => {
                let message = format!("{} is given more than once", kind.words());
                let help = format!(
                    "keep one of shots.codes.{0} or shots.uncoded, ground.{0}.stations and ground.{0}.from",
                    kind.key()
                );
                Err(view.place("from", Problem::error(message)).help(help).into())
            }
        };
        let line = faults.keep(line);
        faults.or_value(line)
    }

    /// A line from a list of stations.
    fn listed(&self, view: View, kind: GroundKind, pairs: &[(Nm, Nm)]) -> Outcome<GroundLine> {
        let chain = self.chain;
        let mut faults = Faults::none();
        // One station beyond each end carries the line's slope to it; a second one supports nothing.
        let stations = || pairs.iter().map(|(station, _)| *station);
        let before = stations().nth(1).filter(|station| *station <= Nm::ZERO);
        let after = stations().rev().nth(1).filter(|station| *station >= chain.length());
        if let Some(station) = before.or(after) {
            let problem = Problem::error(format!(
                "station {} is outside the walls, which are {} long",
                chain.tape(station, 16),
                chain.tape(chain.length(), 16)
            ));
            let help = "stations of a ground line run along the walls, from 0 to their length; one beyond each end is enough";
            faults.push(view.place("stations", problem.help(help)));
        }
        let line = polyline(pairs.to_vec(), chain.ring());
        if line.is_none() {
            faults.push(view.place(
                "stations",
                Problem::error(
                    "on a closed ring the stations run from 0 to less than its length, each once",
                ),
            ));
        }
        let limit = view.maybe_length("largest_gap");
        faults.or_value(line.map(|line| GroundLine::new(kind, LineOrigin::Listed, line, limit)))
    }

    /// A line from the shots with its codes.
    fn shot(
        &self,
        view: View,
        kind: GroundKind,
        section: GroundSection,
        codes: &[&str],
    ) -> Outcome<GroundLine> {
        let used = self.report.map_or(&[][..], |report| &report.used);
        let code = codes.join(", ");
        let limit = view.maybe_length("largest_gap");
        let line = GroundLine::from_shots(kind, &code, section, used, self.chain, limit);
        let line = line.map_err(|problem| view.place("surface", problem))?;
        line.ok_or_else(|| {
            let what = match code.as_str() {
                "" => "without a code".to_owned(),
                code => format!("with code {code}"),
            };
            let problem = Problem::error(format!("no shot {what} is left for {}", kind.words()));
            let aside = self.report.iter().flat_map(|report| not_used(report, codes, self.chain));
            let problem = aside.fold(problem, Problem::detail);
            self.root
                .place("shots", problem)
                .help("correct shots.codes, shots.reach or the list")
                .into()
        })
    }
}
