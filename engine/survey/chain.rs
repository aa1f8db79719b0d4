//! The chain of walls in plan: stations along the exposed face, offsets towards the earth.

use num_bigint::BigInt;
use std::cmp::Ordering;

use super::Spot;
use super::corner::{Corner, EndKind, Turn, degrees};
use super::curve::CurvedWall;
use crate::measure::{Nm, System, round};
use crate::problem::{Outcome, Problem, closest};

/// A point in plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Point {
    /// Easting.
    pub e: Nm,
    /// Northing.
    pub n: Nm,
}

impl Point {
    /// Distance to another, to the nanometre.
    pub fn apart(self, other: Self) -> Nm {
        let (e, n) = ((other.e - self.e).wide(), (other.n - self.n).wide());
        let square = BigInt::from(e) * e + BigInt::from(n) * n;
        Nm(i64::try_from(round::nearest_root(&square)).unwrap_or(0))
    }
}

/// On which side of the direction of travel the earth is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
}

impl Side {
    fn sign(self) -> i128 {
        match self {
            Self::Left => 1,
            Self::Right => -1,
        }
    }
}

/// One straight wall.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WallLine {
    /// Its name.
    pub id: String,
    /// Start of its exposed face.
    pub start: Point,
    /// End of its exposed face.
    pub end: Point,
    /// Its length.
    pub length: Nm,
    /// Running station of its start.
    pub station: Nm,
}

impl WallLine {
    fn vector(&self) -> (i128, i128) {
        ((self.end.e - self.start.e).wide(), (self.end.n - self.start.n).wide())
    }

    /// The point of the exposed face at a local station.
    pub fn point_at(&self, local: Nm) -> Point {
        let along = |from: Nm, to: Nm| {
            let moved = round::nearest((to - from).wide() * local.wide(), self.length.wide());
            from + Nm(i64::try_from(moved).unwrap_or(0))
        };
        Point { e: along(self.start.e, self.end.e), n: along(self.start.n, self.end.n) }
    }
}

/// A wall as the plan names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedWall {
    /// Its name.
    pub id: String,
    /// Start of its exposed face.
    pub start: Point,
    /// End of its exposed face.
    pub end: Point,
    /// Its length as measured; without one, the distance of its ends.
    pub length: Option<Nm>,
    /// Whether it is a chord of a curve.
    pub chord: bool,
}

/// Where a point stands beside the chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Projection {
    /// Index of the nearest wall.
    pub wall: usize,
    /// Running station.
    pub station: Nm,
    /// Offset from the exposed face, positive towards the earth.
    pub offset: Nm,
    /// Whether it is no farther than the reach.
    pub within: bool,
}

/// Walls joined end to end.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    walls: Vec<WallLine>,
    earth: Side,
    corners: Vec<Corner>,
    curves: Vec<CurvedWall>,
    closed: bool,
    /// Units that its stations are told in.
    told_in: System,
}

impl Chain {
    /// Builds a chain from named walls and the points that they join; a closed one returns to its start.
    ///
    /// # Errors
    /// A wall has no length, two walls are in one line or turn back, a corner is too sharp, or there is no wall.
    pub fn new(named: Vec<NamedWall>, earth: Side, closed: bool) -> Outcome<Self> {
        let mut faults = Vec::new();
        let mut walls: Vec<WallLine> = Vec::new();
        let mut station = Nm::ZERO;
        let chords: Vec<bool> = named.iter().map(|wall| wall.chord).collect();
        for NamedWall { id, start, end, length, .. } in named {
            let length = length.unwrap_or_else(|| start.apart(end));
            if length == Nm::ZERO {
                faults.push(
                    Problem::error(format!(
                        "wall {id} has no length: both its ends are at one point"
                    ))
                    .help("correct the points of the alignment"),
                );
            }
            walls.push(WallLine { id, start, end, length, station });
            station += length;
        }
        if walls.is_empty() {
            faults.push(Problem::error("the job has no wall"));
        }
        if !faults.is_empty() {
            return Err(faults.into());
        }
        let mut corners = Vec::new();
        if let (true, Some(last), Some(first)) = (closed, walls.last(), walls.first())
            && last.end != first.start
        {
            faults.push(
                Problem::error(format!(
                    "the walls are said to close, but {} does not end where {} starts",
                    last.id, first.id
                ))
                .help(
                    "let the last wall end at the first point, or say alignment.shape = \"open\"",
                ),
            );
        }
        let joints = (usize::from(!closed)..walls.len())
            .map(|after| (after.checked_sub(1).unwrap_or(walls.len() - 1), after));
        for (before, after) in joints {
            match corner(&walls, (before, after), earth, chords[before] || chords[after]) {
                Ok(corner) => corners.push(corner),
                Err(problem) => faults.push(problem),
            }
        }
        faults.extend(crossings(&walls, closed));
        if !faults.is_empty() {
            return Err(faults.into());
        }
        Ok(Self { walls, earth, corners, curves: Vec::new(), closed, told_in: System::Us })
    }

    /// The same chain, with the curves that some of its walls are chords of.
    #[must_use]
    pub fn with_curves(self, curves: Vec<CurvedWall>) -> Self {
        Self { curves, ..self }
    }

    /// The curves that some of its walls are chords of, in order along the walls.
    pub fn curves(&self) -> &[CurvedWall] {
        &self.curves
    }

    /// The same chain, with its stations told in the units of a system.
    #[must_use]
    pub fn told_in(self, system: System) -> Self {
        Self { told_in: system, ..self }
    }

    /// A station or length in words, in the units of the job.
    pub fn tape(&self, length: Nm, fraction: i64) -> String {
        self.told_in.tape(length, fraction)
    }

    /// Whether the last wall returns to the first.
    pub fn closed(&self) -> bool {
        self.closed
    }

    /// The wall that joins the start of this one.
    pub fn before(&self, wall: usize) -> Option<usize> {
        self.corners.iter().find(|c| c.after == wall).map(|c| c.before)
    }

    /// The wall that joins the end of this one.
    pub fn after(&self, wall: usize) -> Option<usize> {
        self.corners.iter().find(|c| c.before == wall).map(|c| c.after)
    }

    /// The corner at an end of a wall, and the wall that it meets there.
    pub fn corner_at(&self, wall: usize, at_end: bool) -> Option<(&Corner, usize)> {
        let here = |c: &&Corner| wall == if at_end { c.before } else { c.after };
        let corner = self.corners.iter().find(here)?;
        Some((corner, if at_end { corner.after } else { corner.before }))
    }

    /// Distance along the walls from a local station to the nearest corner that is none between chords.
    pub fn from_corner(&self, wall: usize, at: Nm) -> Option<Nm> {
        let station = self.walls[wall].station + at;
        let real = || self.corners.iter().filter(|corner| !corner.chord);
        let apart = |corner: &Corner| {
            let straight = (corner.station - station).abs();
            self.ring().map_or(straight, |around| straight.min(around - straight))
        };
        real().map(apart).min()
    }

    /// Corners that are not square.
    pub fn oblique(&self) -> impl Iterator<Item = &Corner> {
        self.corners.iter().filter(|corner| !corner.turn.is_square())
    }

    /// The walls, in order along the walls.
    pub fn walls(&self) -> &[WallLine] {
        &self.walls
    }

    /// The corners, in order along the walls.
    pub fn corners(&self) -> &[Corner] {
        &self.corners
    }

    /// Length of the whole chain.
    pub fn length(&self) -> Nm {
        self.walls.iter().map(|wall| wall.length).sum()
    }

    /// How a wall ends at its start.
    pub fn start_kind(&self, wall: usize) -> EndKind {
        self.corners.iter().find(|c| c.after == wall).map_or(EndKind::Free, |c| c.kind)
    }

    /// How a wall ends at its end.
    pub fn end_kind(&self, wall: usize) -> EndKind {
        self.corners.iter().find(|c| c.before == wall).map_or(EndKind::Free, |c| c.kind)
    }

    /// How an end of a wall ranks where joints are counted from: at a corner between chords as a free one, for panels run up
    /// to it.
    pub fn joint_rank(&self, wall: usize, at_end: bool) -> EndKind {
        let corner = self.corner_at(wall, at_end).filter(|(corner, _)| !corner.chord);
        corner.map_or(EndKind::Free, |(corner, _)| corner.kind)
    }

    /// Length of a closed chain; none of an open one.
    pub fn ring(&self) -> Option<Nm> {
        self.closed.then(|| self.length())
    }

    /// Index of the wall of a name.
    ///
    /// # Errors
    /// There is none; the message names the closest.
    pub fn wall_named(&self, id: &str) -> Result<usize, Problem> {
        self.walls.iter().position(|wall| wall.id == id).ok_or_else(|| {
            let problem = Problem::error(format!("there is no wall {id}"));
            match closest(id, self.walls.iter().map(|wall| wall.id.as_str())) {
                Some(near) => problem.help(format!("did you mean {near}?")),
                None => problem,
            }
        })
    }

    /// Checks that a local station is on its wall.
    ///
    /// # Errors
    /// It is not.
    pub fn on_wall(&self, wall: usize, at: Nm) -> Result<(), Problem> {
        let line = &self.walls[wall];
        if (Nm::ZERO..=line.length).contains(&at) {
            return Ok(());
        }
        Err(Problem::error(format!(
            "station {} is outside wall {}, which is {} long",
            self.tape(at, 16),
            line.id,
            self.tape(line.length, 16)
        ))
        .help("stations are local, along the exposed face"))
    }

    /// The wall that a running station lies on; at a corner the one that starts there.
    pub fn wall_at(&self, station: Nm) -> usize {
        self.walls.iter().rposition(|wall| wall.station <= station).unwrap_or(0)
    }

    /// The stake-out point of the exposed face at a running station.
    pub fn point_at(&self, station: Nm) -> Point {
        let wall = &self.walls[self.wall_at(station)];
        wall.point_at(station - wall.station)
    }

    /// The side of the earth, looking along the stations.
    pub fn earth(&self) -> Side {
        self.earth
    }

    /// The point at an offset from the exposed face of a wall, towards the earth, at a local station.
    pub fn point_beside(&self, wall: usize, local: Nm, offset: Nm) -> Point {
        let line = &self.walls[wall];
        let (e, n) = line.vector();
        let square = e * e + n * n;
        let out = offset.wide() * self.earth.sign();
        let over = |num| Nm(round::nearest_over_root(num, square).unwrap_or(0));
        let face = line.point_at(local);
        Point { e: face.e + over(-n * out), n: face.n + over(e * out) }
    }

    /// The point in plan of a shot that stands beside the chain.
    pub fn point_of(&self, spot: &Spot, at: Projection) -> Point {
        match spot {
            Spot::Plane(point) => *point,
            Spot::Along { .. } => {
                self.point_beside(at.wall, at.station - self.walls[at.wall].station, at.offset)
            }
        }
    }

    /// Projects a point onto the nearest wall; of two at exactly the same distance, the one whose name sorts first.
    pub fn project(&self, point: Point, reach: Nm) -> Projection {
        let mut best = Candidate::new(&self.walls[0], point);
        let mut wall = 0;
        for (index, line) in self.walls.iter().enumerate().skip(1) {
            let candidate = Candidate::new(line, point);
            let nearer = candidate.compare(&best).then_with(|| line.id.cmp(&self.walls[wall].id));
            if nearer == Ordering::Less {
                best = candidate;
                wall = index;
            }
        }
        let line = &self.walls[wall];
        let over = |num| round::nearest_over_root(num, best.square).unwrap_or(i64::MAX);
        let along = Nm(over(best.along).clamp(0, line.length.0));
        let across = over(best.across);
        Projection {
            wall,
            station: line.station + along,
            offset: Nm(match self.earth {
                Side::Left => across,
                Side::Right => -across,
            }),
            within: best.within(reach),
        }
    }
}

/// Walls that cross, touch or run over each other away from their common corner.
fn crossings(walls: &[WallLine], closed: bool) -> Vec<Problem> {
    let mut faults = Vec::new();
    for (index, one) in walls.iter().enumerate() {
        for (other_index, other) in walls.iter().enumerate().skip(index + 2) {
            // A ring's ends are a corner; an open chain that comes back to its start has a caution of its own.
            let ends = index == 0 && other_index + 1 == walls.len();
            let joined = ends && (closed || other.end == one.start);
            if joined || !meet(one, other) {
                continue;
            }
            faults.push(
                Problem::error(format!(
                    "walls {} and {} cross or run over each other",
                    one.id, other.id
                ))
                .help("look at the points, or at the turns and lengths: a wrong turn does this"),
            );
        }
    }
    faults
}

/// Whether two walls have a point in common, in exact products.
fn meet(a: &WallLine, b: &WallLine) -> bool {
    let apart =
        |a: (Nm, Nm), b: (Nm, Nm)| a.0.max(a.1) < b.0.min(b.1) || b.0.max(b.1) < a.0.min(a.1);
    if apart((a.start.e, a.end.e), (b.start.e, b.end.e))
        || apart((a.start.n, a.end.n), (b.start.n, b.end.n))
    {
        return false;
    }
    let side = |wall: &WallLine, point: Point| {
        let (e, n) = wall.vector();
        let (pe, pn) = ((point.e - wall.start.e).wide(), (point.n - wall.start.n).wide());
        (e * pn - n * pe).signum()
    };
    let (b_start, b_end) = (side(a, b.start), side(a, b.end));
    let (a_start, a_end) = (side(b, a.start), side(b, a.end));
    // Within each other's extent, they meet unless one lies wholly on one side of the other's line.
    b_start * b_end <= 0 && a_start * a_end <= 0
}

/// Where the corner is and how it turns.
fn corner(
    walls: &[WallLine],
    (before, after): (usize, usize),
    earth: Side,
    chord: bool,
) -> Result<Corner, Problem> {
    let (a, b) = (&walls[before], &walls[after]);
    let ((ae, an), (be, bn)) = (a.vector(), b.vector());
    let cross = (ae * bn - an * be) * earth.sign();
    let along = ae * be + an * bn;
    let between = format!("{} and {}", a.id, b.id);
    if cross == 0 {
        let what = if along > 0 { "are in one line" } else { "turn back on each other" };
        return Err(Problem::error(format!("walls {between} {what}: that is not a corner"))
            .help("join walls in one line to one wall, with several tops if they differ"));
    }
    #[expect(clippy::cast_precision_loss, reason = "an angle")]
    let (cross_size, along_size) = (cross.unsigned_abs() as f64, along as f64);
    let turn = match chord {
        true => Turn::of_chords(cross_size, along_size),
        false => Turn::of(cross_size, along_size),
    };
    let Some(turn) = turn else {
        let degrees = degrees(cross_size, along_size);
        if chord && degrees < 1.0 {
            return Err(Problem::error(format!(
                "the corner between {between} turns {degrees:.4} degrees: chords that turn by less than 0.01 degree are as good as straight"
            ))
            .help("make the chords longer, or give the wall as a straight one"));
        }
        return Err(Problem::error(format!(
            "the corner between {between} turns {degrees:.2} degrees; turns of 1 to 135 degrees can be taken off"
        ))
        .help("join walls in one line to one wall; where two walls meet more sharply, let the plan say how they end, and take them as separate jobs with lead_start and lead_end"));
    };
    let kind = if cross > 0 { EndKind::Convex } else { EndKind::Concave };
    // Where a curve does not run on as a tangent, its forms meet as at any corner.
    let chord = chord && turn.is_bend();
    Ok(Corner { before, after, kind, station: b.station, turn, chord })
}

/// A point seen from one wall, in exact products.
struct Candidate {
    /// Along the wall, times its length.
    along: i128,
    /// Across to the left, times its length.
    across: i128,
    /// Square of the wall's length.
    square: i128,
    /// Square of the distance to the nearer end, when the point is beyond an end.
    beyond: Option<i128>,
}

impl Candidate {
    fn new(wall: &WallLine, point: Point) -> Self {
        let (ve, vn) = wall.vector();
        let (pe, pn) = ((point.e - wall.start.e).wide(), (point.n - wall.start.n).wide());
        let along = pe * ve + pn * vn;
        let square = ve * ve + vn * vn;
        let beyond = if along < 0 {
            Some(pe * pe + pn * pn)
        } else if along > square {
            let (qe, qn) = ((point.e - wall.end.e).wide(), (point.n - wall.end.n).wide());
            Some(qe * qe + qn * qn)
        } else {
            None
        };
        Self { along, across: pn * ve - pe * vn, square, beyond }
    }

    /// Square of the distance as a ratio of big numbers.
    fn distance(&self) -> (BigInt, BigInt) {
        match self.beyond {
            Some(square) => (square.into(), 1.into()),
            None => (BigInt::from(self.across) * self.across, self.square.into()),
        }
    }

    /// Square of the distance in floating point, good to a relative 1e-14.
    #[expect(clippy::cast_precision_loss, reason = "the comparison allows for it")]
    fn rough(&self) -> f64 {
        match self.beyond {
            Some(square) => square as f64,
            None => self.across as f64 * self.across as f64 / self.square as f64,
        }
    }

    fn compare(&self, other: &Self) -> Ordering {
        let (a, b) = (self.rough(), other.rough());
        if (a - b).abs() > 1e-12 * a.max(b) {
            return a.total_cmp(&b);
        }
        let ((a, a_den), (b, b_den)) = (self.distance(), other.distance());
        (a * b_den).cmp(&(b * a_den))
    }

    fn within(&self, reach: Nm) -> bool {
        let (num, den) = self.distance();
        num <= BigInt::from(reach.0) * reach.0 * den
    }
}
