//! The walls of the plan and the walls of the chain: a curve of the plan is several walls of the chain, its chords.

use super::settings::View;
use crate::measure::{Dimension, Nm, read_exact};
use crate::problem::Problem;
use crate::survey::{Arc, Chord, CurvedWall, Division, NamedWall, Point, Side};

/// A wall of the chain, and where in the plan it comes from.
#[derive(Debug, Clone)]
pub(super) struct Planned {
    /// The wall.
    pub(super) wall: NamedWall,
    /// The number of its table.
    pub(super) table: usize,
    /// Where it begins in the stations of that table, and where the next one does; open in the last.
    pub(super) from: Nm,
    pub(super) to: Option<Nm>,
}

impl Planned {
    /// A wall that is one of the plan.
    pub(super) fn straight(table: usize, wall: NamedWall) -> Self {
        Self { table, from: Nm::ZERO, to: None, wall }
    }
}

/// The walls of the chain by the names that the plan has for them.
pub(super) struct WallNames {
    /// Of each wall of the chain: its name, that of its table, and its stretch of that table's stations, open in the last.
    walls: Vec<(String, String, Nm, Option<Nm>)>,
    /// The number of the table of each.
    pub(super) tables: Vec<usize>,
}

impl WallNames {
    /// By the walls as planned; without them, by the tables alone.
    pub(super) fn new(root: View, planned: Option<Vec<Planned>>) -> Self {
        let views = root.list("wall");
        let id = |table: usize| {
            let view: Option<&View> = views.get(table);
            view.and_then(|view| view.maybe_text("id")).unwrap_or_default().to_owned()
        };
        let (walls, tables) = match planned {
            Some(planned) => planned
                .into_iter()
                .map(|one| ((one.wall.id, id(one.table), one.from, one.to), one.table))
                .unzip(),
            None => (0..views.len())
                .map(|table| ((id(table), id(table), Nm::ZERO, None), table))
                .unzip(),
        };
        Self { walls, tables }
    }

    /// The stretch of its table's stations that a wall of the chain is.
    pub(super) fn over(&self, wall: usize) -> (Nm, Option<Nm>) {
        let (_, _, from, to) = &self.walls[wall];
        (*from, *to)
    }

    /// The names of the chain's walls, in its order.
    pub(super) fn ids(&self) -> Vec<String> {
        self.walls.iter().map(|(id, ..)| id.clone()).collect()
    }

    /// The walls of a name: one, or all chords of a curve; nothing where there is none.
    pub(super) fn named(&self, id: &str) -> Vec<usize> {
        let at = |(at, (own, table, ..)): (usize, &(String, String, Nm, Option<Nm>))| {
            (own == id || table == id).then_some(at)
        };
        self.walls.iter().enumerate().filter_map(at).collect()
    }

    /// A stretch of a wall of a name, by the chain's walls that it runs over.
    pub(super) fn stretch(&self, id: &str, from: Nm, to: Nm) -> Vec<(usize, Nm, Nm)> {
        let over = |wall: usize| {
            let (own, _, start, end) = &self.walls[wall];
            let start = if own == id { Nm::ZERO } else { *start };
            let end = end.filter(|_| own != id);
            let (low, high) = (from.max(start), end.map_or(to, |end| to.min(end)));
            (low <= high).then_some((wall, low - start, high - start))
        };
        self.named(id).into_iter().filter_map(over).collect()
    }
}

/// Whether a table of the plan is a curve.
pub(super) fn is_curve(view: View) -> bool {
    view.maybe_text("curve").is_some()
        || view.maybe_count("chords").is_some()
        || ["radius", "chord"].iter().any(|key| view.maybe_length(key).is_some())
}

/// Side and angle of a curve: `left 60 deg`, or a side alone.
fn side_and_sweep(view: View) -> Result<(Side, Option<f64>), Problem> {
    let Some(text) = view.maybe_text("curve") else {
        let problem = Problem::error(
            "this wall has a radius or chords, and nothing says to which side it curves",
        );
        return Err(view.place(
            "id",
            problem.help("give it curve, \"left 60 deg\"; between two points \"left\""),
        ));
    };
    let (side, angle) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
    let side = match side {
        "left" => Some(Side::Left),
        "right" => Some(Side::Right),
        _ => None,
    };
    let degrees = |text: &str| {
        let angle = read_exact(text).ok().filter(|angle| angle.dimension == Dimension::ANGLE)?;
        let radians = num_traits::ToPrimitive::to_f64(&angle.value)?;
        (radians > 0.0 && radians <= std::f64::consts::TAU + 1e-9).then_some(radians)
    };
    let sweep = if angle.trim().is_empty() { Some(None) } else { degrees(angle).map(Some) };
    side.zip(sweep).ok_or_else(|| {
        let problem = Problem::error(format!("\"{text}\" is not a curve"));
        view.place("curve", problem.help("a side and how far it turns, \"left 60 deg\"; between two points the side alone, \"left\""))
    })
}

/// The radius of its exposed face.
fn radius(view: View) -> Result<Nm, Problem> {
    view.maybe_length("radius").ok_or_else(|| {
        let problem = Problem::error("this curve has no radius");
        view.place("curve", problem.help("give it radius, that of the exposed face"))
    })
}

/// The curve of a table along its chords.
struct Curve {
    arc: Arc,
    chords: Vec<Chord>,
}

impl Curve {
    fn of(view: View, earth: Side, arc: Arc) -> Result<Self, Problem> {
        let by = match (view.maybe_length("chord"), view.maybe_count("chords")) {
            (Some(length), None) => Division::Length(length),
            (None, Some(count)) => Division::Equal(u32::try_from(count).unwrap_or(u32::MAX)),
            _ => {
                let problem = Problem::error(
                    "a curve is divided by the length of its chords, or by how many it has",
                );
                return Err(view.place("curve", problem.help("give either chord or chords")));
            }
        };
        let key = if matches!(by, Division::Length(_)) { "chord" } else { "chords" };
        let chords = arc.chords(by, view.length("stem")?, earth);
        Ok(Self { arc, chords: chords.map_err(|problem| view.place(key, problem))? })
    }

    /// Its chords as walls of the chain.
    fn walls(&self, id: &str, table: usize, start: Point, ends: Vec<Point>) -> Vec<Planned> {
        let (mut at, mut from, count) = (start, Nm::ZERO, self.chords.len());
        let wall = |(index, (end, chord)): (usize, (Point, &Chord))| {
            let length = Some(chord.length);
            let wall = NamedWall {
                id: format!("{id}.{}", index + 1),
                start: at,
                end,
                length,
                chord: true,
            };
            let planned =
                Planned { wall, table, from, to: (index + 1 < count).then(|| from + chord.length) };
            (at, from) = (end, from + chord.length);
            planned
        };
        ends.into_iter().zip(&self.chords).enumerate().map(wall).collect()
    }
}

/// A curve from a point along a bearing in degrees: its walls, where it ends, and by how much the bearing is greater there.
pub(super) fn curve_from(
    view: View,
    (table, id): (usize, &str),
    earth: Side,
    start: Point,
    bearing: f64,
) -> Result<(Vec<Planned>, Point, f64), Problem> {
    let (to, sweep) = side_and_sweep(view)?;
    let Some(sweep) = sweep else {
        let problem = Problem::error(format!("nothing says how far the curve {id} turns"));
        return Err(view.place("curve", problem.help("for example \"left 60 deg\"")));
    };
    let curve = Curve::of(view, earth, Arc { radius: radius(view)?, to, sweep })?;
    let ends = curve.arc.points(start, bearing, &curve.chords);
    let end = ends.last().copied().unwrap_or(start);
    let turn = if to == Side::Left { -sweep } else { sweep };
    Ok((curve.walls(id, table, start, ends), end, turn.to_degrees()))
}

/// A curve between two points.
pub(super) fn curve_between(
    view: View,
    (table, id): (usize, &str),
    earth: Side,
    (start, end): (Point, Point),
) -> Result<Vec<Planned>, Problem> {
    let (to, sweep) = side_and_sweep(view)?;
    if sweep.is_some() {
        let problem = Problem::error(format!(
            "curve {id} lies between two points: its angle follows from them"
        ));
        return Err(view.place("curve", problem.help("give the side alone: \"left\" or \"right\"")));
    }
    let Some(arc) = Arc::between(start, end, radius(view)?, to) else {
        let problem = Problem::error(format!(
            "the ends of curve {id} are farther apart than its circle is wide"
        ));
        return Err(view.place("radius", problem.help("look at the radius, and at the points")));
    };
    let curve = Curve::of(view, earth, arc)?;
    let (e, n) = ((end.e - start.e).0 as f64, (end.n - start.n).0 as f64);
    let straight = e.atan2(n).to_degrees();
    let half = (arc.sweep / 2.0).to_degrees();
    let bearing = straight + if to == Side::Left { half } else { -half };
    let mut ends = arc.points(start, bearing, &curve.chords);
    if let Some(last) = ends.last_mut() {
        *last = end;
    }
    Ok(curve.walls(id, table, start, ends))
}

/// The curves of a chain.
pub(super) fn curves(root: View, planned: &[Planned]) -> Vec<CurvedWall> {
    let curve = |(table, view): (usize, View)| {
        let first = planned.iter().position(|one| one.table == table && one.wall.chord)?;
        let end = planned.iter().rposition(|one| one.table == table)? + 1;
        let (to, sweep) = side_and_sweep(view).ok()?;
        let radius = view.maybe_length("radius")?;
        let arc = match sweep {
            Some(sweep) => Arc { radius, to, sweep },
            None => Arc::between(planned[first].wall.start, planned[end - 1].wall.end, radius, to)?,
        };
        Some(CurvedWall { id: view.maybe_text("id")?.to_owned(), arc, walls: (first, end) })
    };
    root.list("wall").into_iter().enumerate().filter_map(curve).collect()
}
