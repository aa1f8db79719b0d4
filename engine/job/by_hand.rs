//! Steps set by hand: locks, and the layout as the plan draws it.

use super::settings::View;
use crate::footing::{Drawn, DrawnRun, Grid, Lock, LockKind, Module, WallType};
use crate::measure::Nm;
use crate::problem::{Faults, Outcome, Problem};
use crate::survey::{Chain, WallLine};

/// How far a station that is read off a tape may be from its joint.
const TAPE: Nm = Nm(Nm::INCH.0 / 16);

/// The wall that a table names, and a check that a local station is on it.
fn wall<'a>(view: View, chain: &'a Chain) -> Result<(usize, &'a WallLine), Problem> {
    let name = view.text("wall")?;
    let curve = chain.curves().iter().find(|curve| curve.id == name);
    let index = chain.wall_named(name).map_err(|problem| match curve {
        Some(curve) => {
            let (first, last) =
                (&chain.walls()[curve.walls.0].id, &chain.walls()[curve.walls.1 - 1].id);
            problem.help(format!("{name} is a curve: name one of its chords, {first} to {last}"))
        }
        None => problem,
    });
    let index = index.map_err(|problem| view.place("wall", problem))?;
    Ok((index, &chain.walls()[index]))
}

fn on_wall(view: View, key: &str, at: Nm, wall: usize, chain: &Chain) -> Result<Nm, Problem> {
    chain.on_wall(wall, at).map_err(|problem| view.place(key, problem))?;
    Ok(at)
}

/// The locks, tested against walls, levels and joints.
pub(super) fn locks(
    root: View,
    chain: &Chain,
    module: &Module,
    grid: Option<&Grid>,
) -> Outcome<Vec<Lock>> {
    let mut faults = Faults::none();
    let mut locks = Vec::new();
    for view in root.list("lock") {
        if let Some(lock) = faults.keep_one(lock(view, chain, module, grid)) {
            locks.push(lock);
        }
    }
    faults.or_value(Some(locks))
}

fn lock(view: View, chain: &Chain, module: &Module, grid: Option<&Grid>) -> Result<Lock, Problem> {
    let (wall, line) = wall(view, chain)?;
    let from = on_wall(view, "from", view.length("from")?, wall, chain)?;
    let (to, tof) = (view.maybe_length("to"), view.maybe_length("tof"));
    let what = view.text("what")?;
    let why = view.maybe_text("why").unwrap_or_default().to_owned();
    if what == "riser" {
        if to.is_some() || tof.is_some() {
            let key = if to.is_some() { "to" } else { "tof" };
            let problem = Problem::error(format!("a riser has no {key}: it stands at from"));
            return Err(view.place(key, problem));
        }
        // A station as a tape shows it is the joint beside it.
        let joints = grid.map_or(&[][..], |grid| &grid.walls[wall].allowed);
        let near = joints.iter().copied().find(|joint| (*joint - from).abs() <= TAPE);
        let from = near.unwrap_or(from);
        let lock = Lock { wall, from, to: from, kind: LockKind::Riser, why };
        if let Some(nearest) = grid.and_then(|grid| lock.off_joint(grid)) {
            let near = nearest.map_or_else(
                || "no riser may stand on this wall".to_owned(),
                |joint| format!("the nearest joint where one may is at {}", chain.tape(joint, 64)),
            );
            return Err(view.place(
                "from",
                Problem::error(format!(
                    "no riser may stand at {} on {}: {near}",
                    chain.tape(from, 64),
                    line.id
                ))
                .help("risers stand on panel joints, clear of corners and of zones without steps"),
            ));
        }
        return Ok(lock);
    }
    let (Some(to), Some(tof)) = (to, tof) else {
        return Err(view.place(
            "what",
            Problem::error("a locked top of footing needs from, to and tof").help(
                "for example: what = \"tof\", from = \"0 ft\", to = \"12 ft\", tof = \"199 ft\"",
            ),
        ));
    };
    let to = on_wall(view, "to", to, wall, chain)?;
    if to <= from {
        return Err(view.place("to", Problem::error("the stretch ends before it starts")));
    }
    if module.level_of(tof).is_none() {
        let levels = module.levels().map(|level| module.top_of_footing(level));
        let near = levels.min_by_key(|level| (*level - tof).abs()).unwrap_or(tof);
        return Err(view.place(
            "tof",
            Problem::error(format!("{} is not on a level of the job", chain.tape(tof, 16)))
                .help(format!("the nearest level is {}", chain.tape(near, 16))),
        ));
    }
    let kind = if what == "tof" { LockKind::Tof(tof) } else { LockKind::NotTof(tof) };
    Ok(Lock { wall, from, to, kind, why })
}

/// The layout as drawn, if the job has one.
pub(super) fn drawn(root: View, chain: &Chain, types: &[WallType]) -> Outcome<Option<Drawn>> {
    let Some(table) = root.table("drawn") else { return Ok(None) };
    let mut faults = Faults::none();
    let mut drawn = Drawn::default();
    for view in table.list("runs") {
        let run = || {
            let (wall, line) = wall(view, chain)?;
            let from = on_wall(view, "from", view.length("from")?, wall, chain)?;
            if from == line.length {
                return Err(view.place(
                    "from",
                    Problem::error(format!(
                        "a run that starts at the end of {} has no length on it",
                        line.id
                    ))
                    .help("name the next wall, from 0, or leave the run out"),
                ));
            }
            let id = view.text("type")?;
            let kind = types.iter().position(|row| row.id == id).ok_or_else(|| {
                let ids: Vec<&str> = types.iter().map(|row| row.id.as_str()).collect();
                view.place(
                    "type",
                    Problem::error(format!("there is no wall type {id}"))
                        .help(format!("the schedule has {}", ids.join(", "))),
                )
            })?;
            Ok(DrawnRun { from: line.station + from, tof: view.length("tof")?, kind })
        };
        drawn.runs.extend(faults.keep_one(run()));
    }
    for view in table.list("overlaps") {
        let overlap = || {
            let (wall, line) = wall(view, chain)?;
            let at = on_wall(view, "at", view.length("at")?, wall, chain)?;
            Ok((line.station + at, view.length("overlap")?))
        };
        drawn.overlaps.extend(faults.keep_one(overlap()));
    }
    faults.or_value(Some(Some(drawn)))
}
