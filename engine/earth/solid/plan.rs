//! The dig in plan, in feet, in a frame of its own: the first wall runs along x, and the earth is on the left.

use super::banks::Rectangle;
use super::columns::BuiltSpan;
use super::fill::FillZone;
use super::shapes::{Box2, Linear, far};
use super::{Bank, Banks, Dig, Floor};
use crate::footing::WorkSpace;
use crate::measure::{Nm, nearest_double};
use crate::survey::{EndKind, Height, Polyline};

/// A direction along an axis.
type Direction = [i8; 2];

/// A quarter turn to the left.
fn left([x, y]: Direction) -> Direction {
    [-y, x]
}

/// The opposite direction.
fn back([x, y]: Direction) -> Direction {
    [-x, -y]
}

/// The exposed face of a wall, with the existing ground along it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Face {
    start: [f64; 2],
    /// The axis that it runs along, and which way.
    pub(super) axis: usize,
    sign: f64,
    /// Local stations and elevations, from its start to its end.
    ground: Vec<(f64, f64)>,
    /// The same of what is filled to on the low side; none where nothing is asked of it.
    fill: Vec<(f64, f64)>,
}

impl Face {
    /// The way that it runs.
    fn direction(&self) -> Direction {
        let mut direction = [0; 2];
        direction[self.axis] = if self.sign < 0.0 { -1 } else { 1 };
        direction
    }

    /// The local station nearest to a point.
    fn station(&self, point: [f64; 2]) -> f64 {
        let along = (point[self.axis] - self.start[self.axis]) * self.sign;
        along.clamp(0.0, self.length())
    }

    fn length(&self) -> f64 {
        self.ground.last().map_or(0.0, |(station, _)| *station)
    }

    /// Distance from a point.
    pub(super) fn distance(&self, point: [f64; 2]) -> f64 {
        let mut nearest = self.start;
        nearest[self.axis] += self.station(point) * self.sign;
        far(point[0] - nearest[0], point[1] - nearest[1])
    }

    /// Distance from the points of a cell, where it is linear: beside the face, on one side of its line.
    pub(super) fn distance_over(&self, cell: &Box2) -> Option<Linear> {
        let across = 1 - self.axis;
        let (low, high) = (cell.low[across] - self.line(), cell.high[across] - self.line());
        let (begin, end) = self.bounds();
        let beside =
            begin[self.axis] <= cell.low[self.axis] && cell.high[self.axis] <= end[self.axis];
        if !beside || low < 0.0 && high > 0.0 {
            return None;
        }
        let sign = if low < 0.0 { -1.0 } else { 1.0 };
        let mut slope = [0.0; 2];
        slope[across] = sign;
        Some(Linear { at_origin: -sign * self.line(), slope })
    }

    /// Ground over a point.
    pub(super) fn height(&self, point: [f64; 2]) -> f64 {
        along(&self.ground, self.station(point))
    }

    /// What is filled to on the low side over a point.
    pub(super) fn fill_height(&self, point: [f64; 2]) -> f64 {
        along(&self.fill, self.station(point))
    }

    /// On which side of its line a point lies.
    pub(super) fn zone(&self, point: [f64; 2]) -> FillZone {
        // The earth is on the left of the way that it runs.
        let across = point[1 - self.axis] - self.start[1 - self.axis];
        let left = if self.axis == 0 { self.sign } else { -self.sign };
        if across * left > 0.0 { FillZone::Earth } else { FillZone::Low }
    }

    /// Where its line lies on the other axis.
    pub(super) fn line(&self) -> f64 {
        self.start[1 - self.axis]
    }

    /// The highest ground over the points between two others.
    pub(super) fn highest(&self, low: [f64; 2], high: [f64; 2]) -> f64 {
        let (a, b) = (self.station(low), self.station(high));
        let between = self.ground.iter().filter(|(s, _)| *s > a.min(b) && *s < a.max(b));
        between.map(|(_, z)| *z).fold(self.height(low).max(self.height(high)), f64::max)
    }

    /// The ground over a polygon that no break of it crosses.
    pub(super) fn plane(&self, polygon: &[[f64; 2]]) -> Linear {
        self.plane_of(&self.ground, polygon)
    }

    /// What is filled to on the low side, over a polygon that no break of it crosses.
    pub(super) fn fill_plane(&self, polygon: &[[f64; 2]]) -> Linear {
        self.plane_of(&self.fill, polygon)
    }

    /// Where along its axis what is filled to has a break.
    pub(super) fn fill_breaks(&self) -> impl Iterator<Item = f64> {
        self.fill.iter().map(|(station, _)| self.start[self.axis] + station * self.sign)
    }

    fn plane_of(&self, heights: &[(f64, f64)], polygon: &[[f64; 2]]) -> Linear {
        let along = |point: &&[f64; 2]| point[self.axis];
        let by = |a: &&[f64; 2], b: &&[f64; 2]| along(a).total_cmp(&along(b));
        let (Some(low), Some(high)) = (polygon.iter().min_by(by), polygon.iter().max_by(by)) else {
            return Linear { at_origin: f64::NAN, slope: [0.0; 2] };
        };
        let height = |point: &[f64; 2]| self::along(heights, self.station(*point));
        let (a, b) = (height(low), height(high));
        let run = along(&high) - along(&low);
        let mut slope = [0.0; 2];
        slope[self.axis] = if run > 0.0 { (b - a) / run } else { 0.0 };
        Linear { at_origin: a - slope[self.axis] * along(&low), slope }
    }

    /// Where along its axis the ground has a break, its own ends included.
    pub(super) fn breaks(&self) -> impl Iterator<Item = f64> {
        self.ground.iter().map(|(station, _)| self.start[self.axis] + station * self.sign)
    }

    /// The box that it lies in.
    pub(super) fn bounds(&self) -> ([f64; 2], [f64; 2]) {
        let mut end = self.start;
        end[self.axis] += self.length() * self.sign;
        (
            [self.start[0].min(end[0]), self.start[1].min(end[1])],
            [self.start[0].max(end[0]), self.start[1].max(end[1])],
        )
    }
}

/// A height at a station, between stations with heights.
fn along(heights: &[(f64, f64)], station: f64) -> f64 {
    let next = heights.partition_point(|(s, _)| *s <= station);
    match (heights.get(next.wrapping_sub(1)), heights.get(next)) {
        (Some((s, z)), Some((t, end))) => z + (end - z) * (station - s) / (t - s),
        (Some((_, z)), None) | (None, Some((_, z))) => *z,
        (None, None) => f64::NAN,
    }
}

/// Faces and floors in plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DigPlan {
    /// One face for each wall.
    pub(super) faces: Vec<Face>,
    /// For each choice of banks the floors, in the same order.
    pub(super) choices: Vec<Vec<Rectangle>>,
    /// Layback, horizontal per vertical.
    pub(super) layback: f64,
    /// What is built in the dig, in the order in which it has a place; none where only the dig is asked for.
    pub(super) built: Vec<(Box2, BuiltSpan)>,
}

/// A length in feet: both numbers are whole and exact as doubles, so that the quotient is the nearest one.
fn feet(length: Nm) -> f64 {
    number(length.wide()) / number(Nm::FOOT.wide())
}

/// A height in feet, next to the nearest double.
fn height_in_feet(height: Height) -> f64 {
    number(height.num) / number(height.den) / number(Nm::FOOT.wide())
}

#[expect(clippy::cast_precision_loss, reason = "lengths of a job are exact as doubles")]
fn number(whole: i128) -> f64 {
    whole as f64
}

impl DigPlan {
    /// The plan of a dig.
    pub(super) fn of(dig: &Dig, choices: &[Banks]) -> Self {
        let mut faces = Vec::new();
        let (mut start, mut direction): ([f64; 2], Direction) = ([0.0; 2], [1, 0]);
        for (index, wall) in dig.chain.walls().iter().enumerate() {
            let axis = usize::from(direction[0] == 0);
            let sign = f64::from(direction[axis]);
            let height = |station: Nm| height_in_feet(dig.existing.height(station));
            let end = wall.station + wall.length;
            let inner = dig.existing.inside(wall.station, end).iter().map(|(station, _)| *station);
            let stations = std::iter::once(wall.station).chain(inner).chain(std::iter::once(end));
            let ground = stations.map(|s| (feet(s - wall.station), height(s))).collect();
            faces.push(Face { start, axis, sign, ground, fill: Vec::new() });
            start[axis] += feet(wall.length) * sign;
            direction = match dig.chain.end_kind(index) {
                EndKind::Convex => left(direction),
                EndKind::Concave => back(left(direction)),
                EndKind::Free => direction,
            };
        }
        let ends = Ends { beside: &dig.floors, work_space: dig.work_space };
        let rectangles = |choice: &Banks| {
            let floors = dig.floors.iter();
            floors.map(|floor| rectangle(dig, floor, *choice, &faces, ends)).collect()
        };
        let choices = choices.iter().map(rectangles).collect();
        Self { choices, faces, layback: nearest_double(&dig.layback), built: Vec::new() }
    }

    /// Says up to where the low side is filled: the lower of the existing ground and the finished grade.
    pub(super) fn fill_to(&mut self, dig: &Dig, finished: &Polyline) {
        let lower = dig.existing.lower_of(finished);
        for (face, wall) in self.faces.iter_mut().zip(dig.chain.walls()) {
            let end = wall.station + wall.length;
            let inner = lower.inside(wall.station, end).iter().map(|(station, _)| *station);
            let stations = std::iter::once(wall.station).chain(inner).chain(std::iter::once(end));
            let height = |s: Nm| (feet(s - wall.station), height_in_feet(lower.height(s)));
            face.fill = stations.map(height).collect();
        }
    }

    /// Builds a block in the dig.
    pub(super) fn build(
        &mut self,
        dig: &Dig,
        block: &Floor,
        ends: Ends,
        stretch: impl Fn(f64, f64) -> BuiltSpan,
    ) {
        let shape = rectangle(dig, block, Banks::EARTH_SIDE, &self.faces, ends).shape;
        self.built.push((shape, stretch(feet(block.bof), feet(block.tof))));
    }
}

/// Among which blocks the corners of one are found, and how far each is dug beyond its sides.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ends<'a> {
    pub(super) beside: &'a [Floor],
    pub(super) work_space: WorkSpace,
}

/// How a floor ends: how far past its stretch it reaches, and whether the bank there is laid back.
struct End {
    past: Nm,
    opens: bool,
    /// Both corners of the rectangle are laid back, whatever its sides are.
    corners: bool,
}

/// The rectangle of a floor with its open sides.
fn rectangle(dig: &Dig, floor: &Floor, choice: Banks, faces: &[Face], ends: Ends) -> Rectangle {
    let start = end_of(dig, floor, choice, ends, false);
    let end = end_of(dig, floor, choice, ends, true);
    let face = &faces[floor.wall];
    let direction = face.direction();
    let earth = left(direction);
    let at = |along: Nm, across: Nm| {
        let (along, across) = (feet(along), feet(across));
        [0, 1].map(|axis| {
            let d = f64::from(direction[axis]) * along + f64::from(earth[axis]) * across;
            face.start[axis] + d
        })
    };
    let one = at(floor.from - start.past, Nm::ZERO - floor.toe - ends.work_space.toe);
    let other = at(floor.to + end.past, floor.width - floor.toe + ends.work_space.heel);
    let low_side = choice.low_side == Bank::LaidBack;
    let mut shape = Rectangle::straight(
        [one[0].min(other[0]), one[1].min(other[1])],
        [one[0].max(other[0]), one[1].max(other[1])],
        feet(floor.bof),
        feet(dig.foot(floor)),
    );
    for (towards, opens) in [
        (direction, end.opens),
        (back(direction), start.opens),
        (earth, true),
        (back(earth), low_side),
    ] {
        shape.open(towards, opens);
    }
    for (towards, end) in [(direction, &end), (back(direction), &start)] {
        for (side, open) in [(earth, true), (back(earth), low_side)] {
            let corner = [towards[0] + side[0], towards[1] + side[1]];
            shape.open(corner, end.corners || end.opens && open);
        }
    }
    shape
}

/// The end of a floor, or its start.
fn end_of(dig: &Dig, floor: &Floor, choice: Banks, ends: Ends, at_end: bool) -> End {
    let wall = &dig.chain.walls()[floor.wall];
    let here = if at_end { floor.to == wall.length } else { floor.from == Nm::ZERO };
    if !here {
        return End { past: Nm::ZERO, opens: true, corners: false };
    }
    let (kind, other) = match at_end {
        true => (dig.chain.end_kind(floor.wall), dig.chain.after(floor.wall)),
        false => (dig.chain.start_kind(floor.wall), dig.chain.before(floor.wall)),
    };
    let touches = |other: &&Floor| {
        let length = dig.chain.walls()[other.wall].length;
        if at_end { other.from == Nm::ZERO } else { other.to == length }
    };
    let mut beside = ends.beside.iter().filter(|floor| Some(floor.wall) == other);
    let beside = beside.find(touches);
    let (toe, heel) =
        beside.map_or((Nm::ZERO, Nm::ZERO), |floor| (floor.toe, floor.width - floor.toe));
    match kind {
        EndKind::Convex => {
            let opens = choice.low_side == Bank::LaidBack;
            End { past: ends.work_space.toe + toe, opens, corners: false }
        }
        EndKind::Concave => End { past: ends.work_space.heel + heel, opens: true, corners: true },
        EndKind::Free => {
            let opens = choice.ends == Bank::LaidBack && dig.ends[usize::from(at_end)];
            let past = if opens { ends.work_space.past_an_end() } else { Nm::ZERO };
            End { past, opens, corners: false }
        }
    }
}
