//! The chain of walls: by the points of its exposed face, or by lengths and turn angles.

use std::collections::BTreeMap;

use num_traits::ToPrimitive;

use super::planned::{Planned, WallNames, curve_between, curve_from, curves, is_curve};
use super::settings::View;
use crate::measure::{Dimension, Nm, System, read_exact, round};
use crate::problem::{Faults, Outcome, Problem};
use crate::survey::{Chain, NamedWall, Point, Side};

/// The chain, and what is wrong with it; a bearing that cannot be read leaves the chain in a frame of its own.
pub(super) fn chain(root: View) -> (Option<Chain>, Faults) {
    let mut beside = Faults::none();
    let mut faults = Faults::none();
    let chain = faults.keep(chain_of(root, &mut beside));
    faults.extend(beside);
    (chain, faults)
}

/// The walls of the chain by the names of the plan.
pub(super) fn names(root: View) -> WallNames {
    WallNames::new(root, planned(root, &mut Faults::none()).ok())
}

/// The walls one after the other; `beside` gets the faults that do not keep them from being laid out.
fn planned(root: View, beside: &mut Faults) -> Outcome<Vec<Planned>> {
    let mut faults = Faults::none();
    let alignment = root.need_table("alignment")?;
    let system = system(root);
    let views = root.list("wall");
    let by_length = by_length(&views);
    let side = earth(alignment)?;
    let walls = if by_length {
        faults.keep(by_lengths(alignment, &views, side, beside))
    } else {
        faults.keep(by_points(alignment, &views, side, system))
    };
    let mut seen: Vec<&str> = Vec::new();
    let mut twice = |table: usize, id: &str| {
        let problem = Problem::error(format!("there are two walls named {id}"));
        faults.push(views[table].place("id", problem));
    };
    for (table, view) in views.iter().enumerate() {
        let id = view.text("id")?;
        if seen.contains(&id) {
            twice(table, id);
        }
        seen.push(id);
    }
    for chord in walls.iter().flatten().filter(|one| one.wall.chord) {
        if seen.contains(&chord.wall.id.as_str()) {
            twice(chord.table, &chord.wall.id);
        }
    }
    let Some(mut walls) = walls.filter(|_| !faults.stop()) else { return Err(faults) };
    if alignment.text("shape")? == "ring" && by_length {
        close(&mut walls, system).map_err(|problem| alignment.place("shape", problem))?;
    }
    Ok(walls)
}

/// Whether the walls stand in the frame of the site: by points, or from a start that is given.
pub(super) fn is_placed(root: View) -> bool {
    let Some(alignment) = root.table("alignment") else { return false };
    let start = alignment.table("start");
    let given = |name: &str| start.is_some_and(|start| start.maybe_length(name).is_some());
    !by_length(&root.list("wall")) || given("east") && given("north")
}

/// Whether the walls are given by lengths and turns.
fn by_length(views: &[View]) -> bool {
    views.iter().any(|view| view.maybe_length("length").is_some())
        || views.iter().all(|view| is_curve(*view) && view.maybe_text("from").is_none())
}

fn earth(alignment: View) -> Result<Side, Problem> {
    Ok(if alignment.text("earth_side")? == "left" { Side::Left } else { Side::Right })
}

/// `beside` gets the faults that do not keep the chain from being laid out.
fn chain_of(root: View, beside: &mut Faults) -> Outcome<Chain> {
    let planned = planned(root, beside)?;
    let alignment = root.need_table("alignment")?;
    let (side, ring) = (earth(alignment)?, alignment.text("shape")? == "ring");
    let curves = curves(root, &planned);
    let walls = planned.into_iter().map(|one| one.wall).collect();
    let chain =
        Chain::new(walls, side, ring).map(|chain| chain.told_in(system(root)).with_curves(curves));
    chain.map_err(|faults| {
        let placed: Vec<Problem> = faults
            .into_vec()
            .into_iter()
            .map(|problem| alignment.place("points", problem))
            .collect();
        placed.into()
    })
}

/// The system of units of the job.
pub(super) fn system(root: View) -> System {
    let units = root.table("job").and_then(|job| job.maybe_text("units"));
    if units == Some("metric") { System::Metric } else { System::Us }
}

fn by_points(
    alignment: View,
    views: &[View],
    earth: Side,
    system: System,
) -> Outcome<Vec<Planned>> {
    let mut faults = Faults::none();
    let mut points: BTreeMap<&str, Point> = BTreeMap::new();
    for view in alignment.list("points") {
        let point = Point { e: view.length("east")?, n: view.length("north")? };
        let id = view.text("id")?;
        if points.insert(id, point).is_some() {
            faults
                .push(view.place("id", Problem::error(format!("there are two points named {id}"))));
        }
    }
    let mut walls: Vec<Planned> = Vec::new();
    let mut last_end: Option<(&str, &str)> = None;
    for (table, view) in views.iter().enumerate() {
        let id = view.text("id")?;
        let (Some(from), Some(to)) = (view.maybe_text("from"), view.maybe_text("to")) else {
            let problem = Problem::error(format!("nothing says where wall {id} is"));
            faults.push(view.place("id", problem.help(
                "give it from and to, two of alignment.points, or length, and turn after the first wall",
            )));
            continue;
        };
        let mut find = |key: &str, name: &str| {
            let point = points.get(name).copied();
            if point.is_none() {
                let problem =
                    Problem::error(format!("there is no point {name} in alignment.points"));
                let near = crate::problem::closest(name, points.keys().copied());
                faults.push(view.place(
                    key,
                    match near {
                        Some(near) => problem.help(format!("did you mean {near}?")),
                        None => problem,
                    },
                ));
            }
            point
        };
        if let (Some(start), Some(end)) = (find("from", from), find("to", to)) {
            if is_curve(*view) {
                let chords = curve_between(*view, (table, id), earth, (start, end));
                walls.extend(faults.keep_one(chords).unwrap_or_default());
            } else {
                let wall = NamedWall { id: id.to_owned(), start, end, length: None, chord: false };
                walls.push(Planned::straight(table, wall));
            }
        }
        if let Some((before, end)) = last_end
            && end != from
        {
            let gap = match (points.get(end), points.get(from)) {
                (Some(a), Some(b)) => format!(
                    ": {} east and {} north of it",
                    system.tape(b.e - a.e, 16),
                    system.tape(b.n - a.n, 16)
                ),
                _ => String::new(),
            };
            faults.push(view.place(
                "from",
                Problem::error(format!("wall {before} ends at {end}, wall {id} starts at {from}{gap}"))
                    .help("walls of one job join end to end; put a separate wall into a job of its own"),
            ));
        }
        last_end = Some((id, to));
    }
    faults.or_value(Some(walls))
}

/// Degrees of an angle setting.
fn degrees(text: &str) -> Option<f64> {
    let angle = read_exact(text).ok().filter(|angle| angle.dimension == Dimension::ANGLE)?;
    let unit = crate::measure::unit("deg").ok()?;
    (&angle.value / unit.exact()).to_f64()
}

/// A bearing by quadrant, as plans have it: `N 24°30'15" E`; or degrees, minutes and seconds from north.
fn quadrant(text: &str) -> Option<f64> {
    let text = text.trim().to_uppercase();
    let (start, rest) = match text.chars().next()? {
        side @ ('N' | 'S') => (Some(side), &text[1..]),
        _ => (None, text.as_str()),
    };
    let (end, middle) = match rest.trim_end_matches('.').chars().last()? {
        side @ ('E' | 'W') => {
            (Some(side), &rest.trim_end_matches('.')[..rest.trim_end_matches('.').len() - 1])
        }
        _ => (None, rest),
    };
    let signs = |c: char| " °D'\"-:\u{2032}\u{2033}\u{2019}\u{201d}\u{ba}".contains(c);
    let parts: Vec<&str> = middle.split(signs).filter(|part| !part.is_empty()).collect();
    let numbers: Option<Vec<f64>> = parts
        .iter()
        .map(|part| {
            let plain = part.bytes().all(|b| b.is_ascii_digit() || b == b'.');
            part.parse::<f64>().ok().filter(|_| plain)
        })
        .collect();
    let numbers = numbers?;
    // Only the last part may have decimals, and all but the first are under 60.
    let broken = parts.iter().rev().skip(1).any(|part| part.contains('.'));
    let small = numbers.iter().skip(1).all(|part| *part < 60.0);
    if numbers.is_empty() || numbers.len() > 3 || broken || !small {
        return None;
    }
    let angle =
        numbers.iter().zip([1.0, 60.0, 3600.0]).map(|(part, size)| part / size).sum::<f64>();
    match (start, end) {
        (Some('N'), Some('E')) if angle <= 90.0 => Some(angle),
        (Some('S'), Some('E')) if angle <= 90.0 => Some(180.0 - angle),
        (Some('S'), Some('W')) if angle <= 90.0 => Some(180.0 + angle),
        (Some('N'), Some('W')) if angle <= 90.0 => Some(360.0 - angle),
        // Without letters a bare number would not say that it is an angle.
        (None, None) if angle <= 360.0 && (parts.len() > 1 || middle.contains('°')) => Some(angle),
        _ => None,
    }
}

/// Walls one after the other, each after a turn; the first along the bearing of the start, due east without one.
fn by_lengths(
    alignment: View,
    views: &[View],
    earth: Side,
    beside: &mut Faults,
) -> Outcome<Vec<Planned>> {
    let mut faults = Faults::none();
    let start = alignment.table("start");
    let coordinate = |name: &str| start.and_then(|view| view.maybe_length(name));
    let mut at = Point {
        e: coordinate("east").unwrap_or(Nm::ZERO),
        n: coordinate("north").unwrap_or(Nm::ZERO),
    };
    let mut bearing = 90.0;
    if let Some(view) = start
        && let Some(text) = view.maybe_text("bearing")
    {
        let whole_turn = |angle: &f64| (-360.0..=360.0).contains(angle);
        match degrees(text).or_else(|| quadrant(text)).filter(whole_turn) {
            Some(angle) => bearing = angle,
            None => beside.push(view.place(
                "bearing",
                Problem::error(format!("\"{text}\" is not a bearing")).help(
                    "degrees from north, clockwise, \"53.13 deg\", or by quadrant, \"N 24°30' E\"",
                ),
            )),
        }
    }
    let mut walls = Vec::new();
    for (index, view) in views.iter().enumerate() {
        let id = view.text("id")?;
        for key in ["from", "to"] {
            if view.maybe_text(key).is_some() {
                faults.push(
                    view.place(
                        key,
                        Problem::error("walls are given by points or by lengths, not by both")
                            .help("leave out from and to, or length and turn, in every wall"),
                    ),
                );
            }
        }
        let curved = is_curve(*view);
        let length = view.maybe_length("length");
        match (length, curved) {
            (None, false) => {
                let problem = Problem::error(format!("wall {id} needs its length"));
                faults.push(view.place("id", problem));
                continue;
            }
            (Some(_), true) => {
                let problem = Problem::error(format!(
                    "wall {id} has a length and is a curve: its length follows from radius and angle"
                ));
                faults.push(
                    view.place("length", problem.help("take length out, or what makes it a curve")),
                );
                continue;
            }
            _ => {}
        }
        // Beside a curve a wall runs on as its tangent unless something else is said.
        let tangent = curved || index > 0 && is_curve(views[index - 1]);
        match (index, view.maybe_text("turn").map(turn)) {
            (0, None) => {}
            (0, Some(_)) => faults.push(view.place(
                "turn",
                Problem::error(
                    "the first wall has no turn: alignment.start.bearing says where it goes",
                ),
            )),
            (_, Some(Some(angle))) => bearing += angle,
            (_, Some(None)) => faults.push(
                view.place(
                    "turn",
                    Problem::error(format!(
                        "wall {id}: \"{}\" is not a turn",
                        view.maybe_text("turn").unwrap_or_default()
                    ))
                    .help(
                        "\"left\", \"right\", or with the angle: \"left 45 deg\", \"right 24°30'\"",
                    ),
                ),
            ),
            (_, None) if tangent => {}
            (_, None) => faults.push(
                view.place(
                    "id",
                    Problem::error(format!("wall {id} needs the turn from the wall before it"))
                        .help("turn = \"left\" or \"right\", looking along the walls"),
                ),
            ),
        }
        let Some(length) = length else {
            let chords = curve_from(*view, (index, id), earth, at, bearing);
            if let Some((chords, end, turn)) = faults.keep_one(chords) {
                walls.extend(chords);
                at = end;
                bearing += turn;
            }
            continue;
        };
        let (east, north) = direction(bearing);
        #[expect(
            clippy::cast_precision_loss,
            reason = "a stake-out coordinate, to the nanometre in 9,000 km"
        )]
        let along = |part: f64| round::nearest_f64(length.0 as f64 * part);
        #[expect(clippy::cast_possible_truncation, reason = "no longer than the length itself")]
        let end = Point { e: at.e + Nm(along(east) as i64), n: at.n + Nm(along(north) as i64) };
        let length = Some(length);
        let wall = NamedWall { id: id.to_owned(), start: at, end, length, chord: false };
        walls.push(Planned::straight(index, wall));
        at = end;
    }
    faults.or_value(Some(walls))
}

/// Degrees to the right of a turn; a square one without an angle.
fn turn(text: &str) -> Option<f64> {
    let (side, angle) = text.trim().split_once(' ').unwrap_or((text.trim(), "90 deg"));
    // A bearing is not a turn.
    let of_sky = angle.contains(|c: char| "NSEWnsew".contains(c));
    let angle = degrees(angle).or_else(|| quadrant(angle).filter(|_| !of_sky));
    let angle = angle.filter(|angle| (0.0..180.0).contains(angle))?;
    match side {
        "right" => Some(angle),
        "left" => Some(-angle),
        _ => None,
    }
}

/// East and north parts of a bearing; exact for whole quarters.
fn direction(bearing: f64) -> (f64, f64) {
    match bearing.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        other => other.to_radians().sin_cos(),
    }
}

/// Joins the last wall of a ring to the first, if they meet within 1/64 in.
fn close(walls: &mut [Planned], system: System) -> Result<(), Problem> {
    let Some(start) = walls.first().map(|one| one.wall.start) else { return Ok(()) };
    let Some(last) = walls.last_mut().map(|one| &mut one.wall) else { return Ok(()) };
    let (e, n) = (last.end.e - start.e, last.end.n - start.n);
    let most = Nm(Nm::INCH.0 / 64);
    if e.abs() > most || n.abs() > most {
        return Err(Problem::error(format!(
            "the walls do not close: the last one ends {} east and {} north of the start",
            system.tape(e, 64),
            system.tape(n, 64)
        ))
        .help("measure lengths and turns again; a ring must close to 1/64 in"));
    }
    last.end = start;
    Ok(())
}
