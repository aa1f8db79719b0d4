//! Ground from shots off the line of the wall: what the surface between them is at an offset of the exposed face.

use std::collections::BTreeMap;

use num_rational::BigRational;
use num_traits::ToPrimitive;
use rstar::RTree;
use rstar::primitives::GeomWithData;
use spade::{DelaunayTriangulation, FloatTriangulation, HasPosition, Point2, Triangulation};

use super::{Chain, GroundKind, Point, Polyline, Used, polyline};
use crate::measure::{Length, Nm, Real, round};
use crate::problem::Problem;

/// What is taken as the surface between shots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    /// Every shot counts as if it were on the wall's line: level across the wall.
    Level,
    /// A line through the shots on each side of the exposed face, and straight between the two.
    Sides,
    /// The plane of least squares through this many nearest shots, or more while it is less sure than one shot.
    Plane(usize),
    /// The triangles between the shots, no shot inside the circle through another triangle's corners.
    Triangles,
}

impl Surface {
    /// Names as written in settings.
    pub const NAMES: [&'static str; 4] = ["level", "sides", "plane", "triangles"];

    /// The surface of one of those names; a plane through so many neighbours.
    pub fn named(name: &str, neighbours: usize) -> Self {
        let all = [Self::Level, Self::Sides, Self::Plane(neighbours), Self::Triangles];
        Self::NAMES.iter().position(|known| *known == name).map_or(Self::Level, |at| all[at])
    }
}

/// How a ground line is taken from shots: the surface, and at which offsets from the exposed face it is cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GroundSection {
    /// The surface between shots.
    pub surface: Surface,
    /// Offsets towards the earth. The line is the lowest of the cuts, but the mean for existing ground.
    pub offsets: Vec<Nm>,
}

impl GroundSection {
    /// Shots taken as they stand along the wall.
    pub const LEVEL: Self = Self { surface: Surface::Level, offsets: Vec::new() };

    /// How it is taken, in words; nothing for shots as they stand.
    pub fn words(&self, kind: GroundKind, show: impl Fn(Nm) -> String) -> String {
        let how = match self.surface {
            Surface::Level => return String::new(),
            Surface::Sides => "between a line on each side".to_owned(),
            Surface::Plane(count) => format!("plane through {count} nearest or more"),
            Surface::Triangles => "triangles".to_owned(),
        };
        let at: Vec<String> = self.offsets.iter().map(|offset| place(*offset, &show)).collect();
        let joined = match (kind, at.len()) {
            (_, 0 | 1) => at.concat(),
            (GroundKind::Existing, _) => format!("mean of {}", at.join(" and ")),
            _ => format!("lowest of {}", at.join(" and ")),
        };
        format!(", {how}, {joined}")
    }

    /// The course of a line through used shots of one kind; round a ring with the chain's length.
    ///
    /// # Errors
    /// The shots do not determine the surface, or it reaches no wall.
    pub fn line(
        &self,
        kind: GroundKind,
        used: &[&Used],
        chain: &Chain,
    ) -> Result<Polyline, Problem> {
        let mut cuts = Vec::new();
        let offsets = if self.surface == Surface::Level { &[Nm::ZERO][..] } else { &self.offsets };
        for offset in offsets {
            let heights = match self.surface {
                Surface::Level => used.iter().map(|u| (u.at.station, u.shot.z)).collect(),
                Surface::Sides => sides(used, chain, *offset)?,
                Surface::Plane(count) => planes(used, chain, *offset, count)?,
                Surface::Triangles => triangles(kind, used, chain, *offset)?,
            };
            cuts.push(joined(kind, heights, chain.ring()).ok_or_else(|| {
                Problem::error(format!("the surface of {} reaches no wall", kind.words()))
                    .help("the shots must reach as far as the cut; shoot there, or cut nearer to the face")
            })?);
        }
        let mut cuts = cuts.into_iter();
        let first = cuts.next().ok_or_else(|| Problem::error("a section needs an offset"))?;
        Ok(cuts.fold(first, |line, cut| match kind {
            GroundKind::Existing => line.mean(&cut),
            GroundKind::FinishedLow | GroundKind::Bearing => line.lower_of(&cut),
        }))
    }
}

/// Largest distance between neighbouring shots along the wall; with a line on each side on the poorer side.
pub(super) fn largest_gap(surface: Surface, used: &[&Used], ring: Option<Nm>) -> Nm {
    let gap = |side: Option<bool>| {
        let on = |shot: &&&Used| side.is_none_or(|behind| (shot.at.offset >= Nm::ZERO) == behind);
        let at = used.iter().filter(on).map(|shot| (shot.at.station, shot.shot.z)).collect();
        joined(GroundKind::Bearing, at, ring).map_or(Nm::ZERO, |line| line.largest_gap())
    };
    match surface {
        Surface::Sides => gap(Some(false)).max(gap(Some(true))),
        _ => gap(None),
    }
}

/// An offset in words.
fn place(offset: Nm, show: impl Fn(Nm) -> String) -> String {
    match offset.0 {
        0 => "at the exposed face".to_owned(),
        1.. => format!("{} behind the exposed face", show(offset)),
        _ => format!("{} in front of the exposed face", show(-offset)),
    }
}

/// A line through heights at stations. Equal stations: the lowest, but the mean for existing ground.
fn joined(kind: GroundKind, heights: Vec<(Nm, Nm)>, ring: Option<Nm>) -> Option<Polyline> {
    let mut at: BTreeMap<Nm, Vec<Nm>> = BTreeMap::new();
    for (station, z) in heights {
        // A station on a ring: its end is its start.
        let station = ring.map_or(station, |around| Nm(station.0.rem_euclid(around.0)));
        at.entry(station).or_default().push(z);
    }
    polyline(
        at.into_iter().map(|(station, heights)| (station, one(kind, &heights))).collect(),
        ring,
    )
}

/// One height of several at one place.
fn one(kind: GroundKind, heights: &[Nm]) -> Nm {
    match kind {
        GroundKind::Existing => {
            let sum: i128 = heights.iter().map(|z| z.wide()).sum();
            let mean = round::nearest(sum, i128::try_from(heights.len()).unwrap_or(1));
            Nm(i64::try_from(mean).unwrap_or(0))
        }
        GroundKind::FinishedLow | GroundKind::Bearing => {
            heights.iter().copied().min().unwrap_or(Nm::ZERO)
        }
    }
}

/// Heights at an offset between a line through the shots in front of the exposed face and one through those behind it.
fn sides(used: &[&Used], chain: &Chain, offset: Nm) -> Result<Vec<(Nm, Nm)>, Problem> {
    let side = |behind: bool| {
        let mut at: BTreeMap<Nm, (Nm, Nm)> = BTreeMap::new();
        for shot in used.iter().filter(|shot| (shot.at.offset >= Nm::ZERO) == behind) {
            let station =
                chain.ring().map_or(shot.at.station, |r| Nm(shot.at.station.0.rem_euclid(r.0)));
            let new = (shot.at.offset, shot.shot.z);
            // At one station the shot nearest to the cut, then the lower one.
            let away = |pair: &(Nm, Nm)| ((pair.0 - offset).abs(), pair.1);
            let nearer = |old: &(Nm, Nm)| away(&new) < away(old);
            match at.get_mut(&station) {
                Some(old) if nearer(old) => *old = new,
                Some(_) => {}
                None => {
                    at.insert(station, new);
                }
            }
        }
        let knots = |of: fn(&(Nm, Nm)) -> Nm| at.iter().map(|(s, pair)| (*s, of(pair))).collect();
        let offsets = polyline(knots(|pair| pair.0), chain.ring())?;
        Some((offsets, polyline(knots(|pair| pair.1), chain.ring())?))
    };
    let missing = |side: &str| {
        Problem::error(format!("no shot {side} the exposed face, so there is no line on that side"))
            .help("shoot both sides of the wall's line, or choose another surface")
    };
    let (front, front_z) = side(false).ok_or_else(|| missing("in front of"))?;
    let (back, back_z) = side(true).ok_or_else(|| missing("behind"))?;
    let mut stations: Vec<Nm> =
        front.knots().iter().chain(back.knots()).map(|(station, _)| *station).collect();
    stations.sort_unstable();
    stations.dedup();
    if !front.is_ring() {
        // Where one side has no shots there is no ground between the two.
        let (a, b) = (front.knots(), back.knots());
        let first = a[0].0.max(b[0].0);
        let last = a[a.len() - 1].0.min(b[b.len() - 1].0);
        stations.retain(|s| (first..=last).contains(s));
    }
    let height = |s: Nm| {
        let at = |line: &Polyline| line.height(s).real::<BigRational>();
        let (o1, z1, o2, z2) = (at(&front), at(&front_z), at(&back), at(&back_z));
        let share = (BigRational::length(offset) - &o1) / (o2 - o1);
        // The two lines say nothing of ground farther beyond one of them than the other is away.
        let two = BigRational::of(2, 1);
        if share > two || share < BigRational::of(-1, 1) {
            return Err(Problem::error(
                "the lines of shots on both sides are too close together for the ground so far from them",
            )
            .help("shoot at the offset where the ground is wanted, or choose another surface"));
        }
        let z = round::nearest_ratio(&(&z1 + (z2 - &z1) * share)).to_i64();
        z.map(|z| (s, Nm(z))).ok_or_else(too_steep)
    };
    stations.into_iter().map(height).collect()
}

fn too_steep() -> Problem {
    Problem::error(
        "the surface between the shots is so steep that its height at the wall means nothing",
    )
    .help("give shots nearer to the wall, or another surface")
}

/// A shot in plan, in metres from the first one. Floating point serves here: the surface between shots is an
/// assumption, and its heights are rounded to the nanometre once.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Spot3 {
    e: f64,
    n: f64,
    z: f64,
}

impl HasPosition for Spot3 {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        Point2::new(self.e, self.n)
    }
}

/// Plan coordinates in metres about one shot, so that floating point loses nothing to a large grid.
struct Frame {
    origin: Point,
    z: Nm,
}

impl Frame {
    fn plan(&self, point: Point) -> (f64, f64) {
        (metres(point.e - self.origin.e), metres(point.n - self.origin.n))
    }

    /// Heights are counted from the first shot's.
    fn height(&self, z: f64) -> Option<Nm> {
        round_metres(z).map(|above| self.z + above)
    }
}

fn metres(length: Nm) -> f64 {
    Length::exact(length).metres()
}

/// Metres to the nearest nanometre, where that is a length.
fn round_metres(metres: f64) -> Option<Nm> {
    Length::from_metres(metres).to_nm().ok()
}

/// The shots in plan, one height for each place.
fn in_plan(kind: GroundKind, used: &[&Used], chain: &Chain) -> Option<(Frame, Vec<Spot3>)> {
    let mut at: BTreeMap<(Nm, Nm), Vec<Nm>> = BTreeMap::new();
    for shot in used {
        let point = chain.point_of(&shot.shot.place, shot.at);
        at.entry((point.e, point.n)).or_default().push(shot.shot.z);
    }
    let ((e, n), heights) = at.first_key_value()?;
    let frame = Frame { origin: Point { e: *e, n: *n }, z: heights[0] };
    let spot = |((e, n), heights): (&(Nm, Nm), &Vec<Nm>)| {
        let (e, n) = frame.plan(Point { e: *e, n: *n });
        Spot3 { e, n, z: metres(one(kind, heights) - frame.z) }
    };
    let spots = at.iter().map(spot).collect();
    Some((frame, spots))
}

/// Heights, at the station of every shot, of the plane through the shots nearest to the wall's line there.
fn planes(
    used: &[&Used],
    chain: &Chain,
    offset: Nm,
    count: usize,
) -> Result<Vec<(Nm, Nm)>, Problem> {
    // Two shots of one place do no harm to a plane: every shot counts.
    let Some(first) = used.first() else { return Ok(Vec::new()) };
    let frame = Frame { origin: chain.point_of(&first.shot.place, first.at), z: first.shot.z };
    let tree = RTree::bulk_load(
        used.iter()
            .map(|shot| {
                let (e, n) = frame.plan(chain.point_of(&shot.shot.place, shot.at));
                GeomWithData::new([e, n], metres(shot.shot.z - frame.z))
            })
            .collect(),
    );
    let plane_at = |wall: usize, station: Nm| {
        let local = station - chain.walls()[wall].station;
        let (e, n) = frame.plan(chain.point_beside(wall, local, offset));
        let mut near = Near::default();
        tree.nearest_neighbor_iter([e, n]).find_map(|shot| {
            near.points.push((shot.geom()[0] - e, shot.geom()[1] - n, shot.data));
            if near.points.len() < count { None } else { near.height_here() }
        })
    };
    let mut heights = Vec::new();
    for shot in used {
        let Some(height) = plane_at(shot.at.wall, shot.at.station) else {
            return Err(Problem::error(format!(
                "{} shots (of {count} or more) give no plane {}",
                used.len(),
                place(offset, |length| chain.tape(length, 16))
            ))
            .help("they are in one line or too far from there: shoot on both sides of it, ask for fewer neighbours, or choose another surface"));
        };
        heights.push((shot.at.station, frame.height(height).ok_or_else(too_steep)?));
    }
    // At a corner the cuts beside both walls end at two places; at an end without a plane the line goes on level.
    for (index, wall) in chain.walls().iter().enumerate() {
        for station in [wall.station, wall.station + wall.length] {
            if let Some(height) = plane_at(index, station) {
                heights.push((station, frame.height(height).ok_or_else(too_steep)?));
            }
        }
    }
    Ok(heights)
}

/// The shots near a place, in plan about it, with their heights.
#[derive(Debug, Default)]
struct Near {
    points: Vec<(f64, f64, f64)>,
}

impl Near {
    /// Height of the plane of least squares at the place itself; nothing where it would be less sure there than the
    /// height of one shot is: the shots are in one line, or too far from the place for their spread.
    fn height_here(&self) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "a number of shots")]
        let count = self.points.len() as f64;
        let mean =
            |of: fn(&(f64, f64, f64)) -> f64| self.points.iter().map(of).sum::<f64>() / count;
        let (me, mn, mz) = (mean(|p| p.0), mean(|p| p.1), mean(|p| p.2));
        let (mut ee, mut en, mut nn, mut ez, mut nz) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for (e, n, z) in &self.points {
            let (e, n, z) = (e - me, n - mn, z - mz);
            (ee, en, nn, ez, nz) = (ee + e * e, en + e * n, nn + n * n, ez + e * z, nz + n * z);
        }
        let determinant = ee * nn - en * en;
        // Error of the plane at the place, squared, in that of one shot.
        let leverage =
            1.0 / count + (me * me * nn - 2.0 * me * mn * en + mn * mn * ee) / determinant;
        if determinant <= 1e-12 * (ee + nn) * (ee + nn) || leverage > 1.0 {
            return None;
        }
        let slope_e = (ez * nn - nz * en) / determinant;
        let slope_n = (nz * ee - ez * en) / determinant;
        Some(mz - slope_e * me - slope_n * mn)
    }
}

/// Heights where the cut beside each wall crosses an edge between shots, and at its ends where these are between shots.
fn triangles(
    kind: GroundKind,
    used: &[&Used],
    chain: &Chain,
    offset: Nm,
) -> Result<Vec<(Nm, Nm)>, Problem> {
    let Some((frame, spots)) = in_plan(kind, used, chain) else { return Ok(Vec::new()) };
    let refused = |_| Problem::error("these shots cannot be triangulated");
    let mesh = DelaunayTriangulation::<Spot3>::bulk_load(spots).map_err(refused)?;
    if mesh.num_inner_faces() == 0 {
        return Err(Problem::error(format!(
            "{} shots in one line (or fewer than three) make no triangle",
            mesh.num_vertices()
        ))
        .help("shoot off the line as well, or choose surface = \"level\""));
    }
    let between = mesh.barycentric();
    let mut heights = Vec::new();
    for (index, wall) in chain.walls().iter().enumerate() {
        let end = |local| frame.plan(chain.point_beside(index, local, offset));
        let (from, to) = (end(Nm::ZERO), end(wall.length));
        let (de, dn) = (to.0 - from.0, to.1 - from.1);
        let square = de * de + dn * dn;
        let mut enter = |share: f64, z: f64| {
            let along = round_metres(share * metres(wall.length)).ok_or_else(too_steep)?;
            let station = wall.station + along.max(Nm::ZERO).min(wall.length);
            heights.push((station, frame.height(z).ok_or_else(too_steep)?));
            Ok::<(), Problem>(())
        };
        for (share, (e, n)) in [(0.0, from), (1.0, to)] {
            if let Some(z) = between.interpolate(|vertex| vertex.data().z, Point2::new(e, n)) {
                enter(share, z)?;
            }
        }
        for edge in mesh.undirected_edges() {
            let [a, b] = edge.vertices().map(|vertex| *vertex.data());
            let across = |p: &Spot3| de * (p.n - from.1) - dn * (p.e - from.0);
            let (u, v) = (across(&a), across(&b));
            // An edge along the cut adds nothing: its ends are on other edges too.
            if u == v || (u > 0.0 && v > 0.0) || (u < 0.0 && v < 0.0) {
                continue;
            }
            let t = u / (u - v);
            let (e, n) = (a.e + t * (b.e - a.e), a.n + t * (b.n - a.n));
            let share = ((e - from.0) * de + (n - from.1) * dn) / square;
            if (0.0..=1.0).contains(&share) {
                enter(share, a.z + t * (b.z - a.z))?;
            }
        }
    }
    Ok(heights)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{NamedWall, Projection, Shot, Side, Spot};
    use proptest::prelude::*;

    const STEP: i64 = 1_000_000;

    /// Two walls at a right angle, turned by the triangle 3, 4, 5: 50 m and 40 m.
    fn corner() -> Chain {
        let at = |e: i64, n: i64| Point { e: Nm::METRE * e, n: Nm::METRE * n };
        let wall = |id: &str, start, end| NamedWall {
            id: id.to_owned(),
            start,
            end,
            length: None,
            chord: false,
        };
        let walls = vec![
            wall("W1", at(2_000, 5_000), at(2_030, 5_040)),
            wall("W2", at(2_030, 5_040), at(1_998, 5_064)),
        ];
        Chain::new(walls, Side::Left, false).unwrap_or_else(|_| unreachable!())
    }

    /// A shot on the plane that rises by `slope` parts in a thousand towards east and north.
    fn shot(chain: &Chain, (s, o): (i64, i64), slope: (i64, i64)) -> Used {
        let wall = chain.wall_at(Nm(s * STEP));
        let local = Nm(s * STEP) - chain.walls()[wall].station;
        let beside = chain.point_beside(wall, local, Nm(o * STEP));
        let whole = |length: Nm| Nm(length.0 / 1000 * 1000);
        let point = Point { e: whole(beside.e), n: whole(beside.n) };
        let z = height(point, slope);
        let at: Projection = chain.project(point, Nm::METRE * 100);
        let shot = Shot {
            list: 0,
            line: 1,
            id: String::new(),
            code: String::new(),
            place: Spot::Plane(point),
            z,
        };
        Used { shot, kind: GroundKind::Bearing, at }
    }

    fn height(point: Point, slope: (i64, i64)) -> Nm {
        let about = |length: Nm, metres: i64| length.0 - Nm::METRE.0 * metres;
        let rise = about(point.e, 2_000) * slope.0 + about(point.n, 5_000) * slope.1;
        Nm(Nm::METRE.0 * 30 + rise / 1000)
    }

    fn line(
        surface: Surface,
        offsets: &[Nm],
        kind: GroundKind,
        used: &[Used],
        chain: &Chain,
    ) -> Polyline {
        let used: Vec<&Used> = used.iter().collect();
        let section = GroundSection { surface, offsets: offsets.to_vec() };
        section.line(kind, &used, chain).unwrap_or_else(|problem| unreachable!("{problem:?}"))
    }

    proptest! {
        // Source geometry-of-a-plane: on a plane surface every way of reading it gives the plane.
        #[test]
        fn on_a_plane_all_surfaces_agree(
            places in prop::collection::vec((500i64..49_500, 2_000i64..6_000, prop::bool::ANY), 8..30),
            slope in (-400i64..400, -400i64..400), toe in 0i64..2_000, heel in 0i64..2_000
        ) {
            let chain = corner();
            // One wall: a line on each side bends with the chain, a plane does not.
            let straight = Chain::new(vec![NamedWall {
                id: "W1".into(), start: chain.walls()[0].start, end: chain.walls()[0].end, length: None, chord: false
            }], Side::Left, false).unwrap_or_else(|_| unreachable!());
            let mut places = places;
            places.extend([(500, 3_000, true), (500, 3_000, false), (49_500, 3_000, true), (49_500, 3_000, false)]);
            let used: Vec<Used> = places
                .iter()
                .map(|(s, o, front)| shot(&straight, (*s, if *front { -*o } else { *o }), slope))
                .collect();
            for kind in [GroundKind::Bearing, GroundKind::Existing] {
                let offsets = [Nm(-toe * STEP), Nm(heel * STEP)];
                let on_plane = |s: Nm, o: Nm| height(straight.point_beside(0, s, o), slope).0;
                for surface in [Surface::Sides, Surface::Plane(6), Surface::Triangles] {
                    let line = line(surface, &offsets, kind, &used, &straight);
                    // The corners of the field of shots lie on both sides: every cut has a surface there.
                    for s in (1_000..49_000).step_by(3_700).map(|s| Nm(s * STEP)) {
                        let (a, b) = (on_plane(s, offsets[0]), on_plane(s, offsets[1]));
                        let expected = if kind == GroundKind::Existing { (a + b) / 2 } else { a.min(b) };
                        let found = line.height(s).floor().0;
                        // Sides round each shot's offset to the nanometre; their base may be short.
                        prop_assert!((found - expected).abs() <= 200, "{surface:?} {found} {expected}");
                    }
                }
            }
        }

        #[test]
        fn planes_and_triangles_agree_round_a_corner(
            places in prop::collection::vec((1i64..89_900, -6_000i64..6_000), 20..60),
            slope in (-400i64..400, -400i64..400), offset in -1_000i64..1_000
        ) {
            let chain = corner();
            let used: Vec<Used> = places.iter().map(|place| shot(&chain, *place, slope)).collect();
            let at = [Nm(offset * STEP)];
            for surface in [Surface::Plane(6), Surface::Triangles] {
                for (station, z) in line(surface, &at, GroundKind::Bearing, &used, &chain).knots() {
                    let wall = chain.wall_at(*station);
                    let on = |wall: usize| {
                        let local = *station - chain.walls()[wall].station;
                        height(chain.point_beside(wall, local, at[0]), slope)
                    };
                    // At the corner the cuts of both walls end, at two places.
                    let near = |wall: usize| (on(wall) - *z).abs() <= Nm(1_000);
                    prop_assert!(near(wall) || (wall > 0 && near(wall - 1)), "{surface:?} {station:?}");
                }
            }
        }
    }

    #[test]
    fn shots_in_one_line_make_no_surface() {
        let chain = corner();
        let used: Vec<Used> = (1..9).map(|s| shot(&chain, (s * 5_000, 0), (100, 0))).collect();
        let used: Vec<&Used> = used.iter().collect();
        for surface in [Surface::Sides, Surface::Plane(3), Surface::Triangles] {
            let section = GroundSection { surface, offsets: vec![Nm::ZERO] };
            // Rounded to the nanometre, eight shots on a line may still have slivers between them.
            let refused = section.line(GroundKind::Bearing, &used, &chain);
            if surface != Surface::Triangles {
                assert!(refused.is_err(), "{surface:?}");
            }
        }
    }

    #[test]
    fn two_shots_are_too_few() {
        let chain = corner();
        let used = [shot(&chain, (5_000, -500), (100, 0)), shot(&chain, (9_000, 500), (100, 0))];
        let used: Vec<&Used> = used.iter().collect();
        for surface in [Surface::Plane(3), Surface::Triangles] {
            let section = GroundSection { surface, offsets: vec![Nm::ZERO] };
            assert!(section.line(GroundKind::Bearing, &used, &chain).is_err(), "{surface:?}");
        }
    }
}
