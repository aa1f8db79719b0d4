//! The volume between cut and ground, cell by cell. Over a cell that no break crosses and that is nearest to one wall,
//! planes and a single cone are integrated exactly; where a cone meets another bank or the nearest wall changes inside a
//! cell, it is divided further, down to cells that count as level between their corners.
//!
//! What is divided how does not follow from the height of the ground, so a higher ground never digs less.

use super::banks::{BankSurface, Rectangle};
use super::columns::{self, BuiltSpan, ColumnsOver, Terms, column};
use super::exact::{Cone, clip, cone_over, cone_sum, mean_over, planes_over};
use super::fill::FillZone;
use super::plan::DigPlan;
use super::shapes::{Box2, Linear};
use crate::measure::round;

/// Smallest side of a cell, in feet.
const FINEST: f64 = 1.0 / 16.0;
/// Lengths and heights that differ by less are alike, in feet.
const ALIKE: f64 = 1e-9;
/// Most breaks that a cell is cut at at once.
const MOST_BREAKS: usize = 64;
/// The ground is taken up to a multiple of this where floors are left out that it does not reach, in feet.
const CEILING: f64 = 2.0;
/// The banks are looked for in steps of this, in feet.
const REACH: f64 = 8.0;

/// By choice of banks and by wall, in cubic feet.
pub(super) fn volumes(plan: &DigPlan) -> Vec<Vec<f64>> {
    summed(plan, false).sums
}

/// What the dig of the first choice is made of, by wall and side: earth side, low side.
pub(super) fn parts(plan: &DigPlan) -> Vec<[Terms; 2]> {
    summed(plan, true).terms
}

fn summed<'a>(plan: &'a DigPlan, parted: bool) -> Sums<'a> {
    let feet = plan.choices.iter().flatten().map(|floor| floor.foot);
    let mut sums = Sums {
        plan,
        lowest: feet.fold(f64::MAX, f64::min),
        sums: vec![vec![0.0; plan.faces.len()]; plan.choices.len()],
        terms: vec![[[0.0; 6]; 2]; if parted { plan.faces.len() } else { 0 }],
    };
    let all: Vec<usize> = (0..plan.choices.first().map_or(0, Vec::len)).collect();
    let faces: Vec<usize> = (0..plan.faces.len()).collect();
    for cell in outer(plan) {
        sums.region(&cell, &all, &faces);
    }
    sums
}

/// The boxes that all digging lies in: one round all floors, and frames round it as far as banks can reach.
fn outer(plan: &DigPlan) -> Vec<Box2> {
    let shapes = || plan.choices.iter().flatten();
    let low = [0, 1].map(|axis| shapes().map(|r| r.shape.low[axis]).fold(f64::MAX, f64::min));
    let high = [0, 1].map(|axis| shapes().map(|r| r.shape.high[axis]).fold(f64::MIN, f64::max));
    let foot = shapes().map(|r| r.foot).fold(f64::MAX, f64::min);
    let everywhere = ([f64::MIN; 2], [f64::MAX; 2]);
    let top = plan.faces.iter().map(|face| face.highest(everywhere.0, everywhere.1));
    let reach = (top.fold(f64::MIN, f64::max) - foot).max(0.0) * plan.layback;
    let frames = if reach.is_finite() { round::steps_up(reach, REACH) } else { 0.0 };
    let mut places: [Vec<f64>; 2] = [Vec::new(), Vec::new()];
    let mut frame = frames;
    while frame > 0.0 {
        frame -= 1.0;
        for axis in [0, 1] {
            places[axis].extend([low[axis] - frame * REACH, high[axis] + frame * REACH]);
        }
    }
    places.iter_mut().for_each(|list| list.sort_by(f64::total_cmp));
    let whole = Box2 {
        low: low.map(|low| low - frames * REACH),
        high: high.map(|high| high + frames * REACH),
    };
    whole.cut(&places)
}

struct Sums<'a> {
    plan: &'a DigPlan,
    /// The lowest foot of a bank: heights are rounded from it up, so that the datum decides nothing.
    lowest: f64,
    sums: Vec<Vec<f64>>,
    /// By wall and side; none where only the dig is asked for.
    terms: Vec<[Terms; 2]>,
}

impl Sums<'_> {
    /// The floors and faces among these that may matter in a cell; none where no floor does.
    fn mattering(
        &self,
        cell: &Box2,
        floors: &[usize],
        faces: &[usize],
    ) -> Option<(Vec<usize>, Vec<usize>)> {
        let plan = self.plan;
        let farthest = |face: usize| {
            let corners = cell.corners().map(|corner| plan.faces[face].distance(corner));
            corners.into_iter().fold(0.0, f64::max)
        };
        let mut near = faces.to_vec();
        if faces.len() > 1 {
            let bound = faces.iter().map(|face| farthest(*face)).fold(f64::MAX, f64::min);
            near.retain(|face| {
                let (low, high) = plan.faces[*face].bounds();
                cell.distance(&Box2 { low, high }) <= bound + ALIKE
            });
        }
        let highest = |face: &usize| plan.faces[*face].highest(cell.low, cell.high);
        let ground = near.iter().map(highest).fold(f64::MIN, f64::max);
        let ceiling = self.lowest + round::steps_up(ground - self.lowest, CEILING) * CEILING;
        // A floor in the cell keeps the banks of others out of it, however high it lies.
        let reaches = |floor: &usize| {
            plan.choices.iter().map(|choice| &choice[*floor]).any(|floor| {
                floor.shape.distance(cell) <= 0.0 || least(floor, cell, plan.layback) < ceiling
            })
        };
        let floors: Vec<usize> = floors.iter().copied().filter(reaches).collect();
        (!floors.is_empty()).then_some((floors, near))
    }

    /// Adds a cell with the floors and faces that may matter in it.
    fn region(&mut self, cell: &Box2, floors: &[usize], faces: &[usize]) {
        let Some((floors, faces)) = self.mattering(cell, floors, faces) else { return };
        let mut places = self.breaks(cell, &floors, &faces);
        if places[0].len() + places[1].len() <= MOST_BREAKS {
            for piece in cell.cut(&places) {
                if let Some((floors, faces)) = self.mattering(&piece, &floors, &faces) {
                    self.whole(&piece, &floors, &faces);
                }
            }
            return;
        }
        // A third from either end, so that a chain told the other way round is cut alike.
        let long = usize::from(places[1].len() > places[0].len());
        let list = &places[long];
        let third = list.len() / 3;
        let mut thirds = vec![list[third], list[list.len() - 1 - third]];
        thirds.dedup();
        places = [Vec::new(), Vec::new()];
        places[long] = thirds;
        for piece in cell.cut(&places) {
            self.region(&piece, &floors, &faces);
        }
    }

    /// Edges of floors and breaks of the ground strictly inside a cell, by axis, ascending.
    fn breaks(&self, cell: &Box2, floors: &[usize], faces: &[usize]) -> [Vec<f64>; 2] {
        let plan = self.plan;
        [0, 1].map(|axis| {
            let edges = plan.choices.iter().flat_map(|choice| {
                floors.iter().flat_map(|floor| {
                    let shape = &choice[*floor].shape;
                    [shape.low[axis], shape.high[axis]]
                })
            });
            let along = faces.iter().map(|face| &plan.faces[*face]);
            let ground = along.filter(|face| face.axis == axis).flat_map(|face| face.breaks());
            let (low, high) = (cell.low[axis] + ALIKE, cell.high[axis] - ALIKE);
            let mut all: Vec<f64> =
                edges.chain(ground).filter(|place| *place > low && *place < high).collect();
            all.sort_by(f64::total_cmp);
            all.dedup_by(|a, b| (*a - *b).abs() <= ALIKE);
            all
        })
    }

    /// Adds a cell that no break crosses.
    fn whole(&mut self, cell: &Box2, floors: &[usize], faces: &[usize]) {
        let layback = self.plan.layback;
        let surfaces = |choice: &Vec<Rectangle>| {
            let all: Vec<BankSurface> =
                floors.iter().filter_map(|floor| choice[*floor].over(cell)).collect();
            let bottoms = all.iter().filter_map(|surface| match surface {
                BankSurface::Floor(bottom) => Some(*bottom),
                _ => None,
            });
            match bottoms.reduce(f64::min) {
                Some(bottom) => vec![BankSurface::Floor(bottom)],
                None if layback > 0.0 => all,
                None => Vec::new(),
            }
        };
        let surfaces: Vec<Vec<BankSurface>> = self.plan.choices.iter().map(surfaces).collect();
        self.cell(cell, &surfaces, faces);
    }

    /// The surfaces that can be the lowest somewhere in a cell.
    fn lowest(&self, cell: &Box2, surfaces: &[BankSurface]) -> Vec<BankSurface> {
        if surfaces.len() < 2 {
            return surfaces.to_vec();
        }
        let corners = cell.corners();
        let with_heights = |surface: &BankSurface| {
            (*surface, corners.map(|corner| surface.height(corner, self.plan.layback)))
        };
        let mut all: Vec<(BankSurface, [f64; 4])> = surfaces.iter().map(with_heights).collect();
        // Along a line a bank rises at its ends more than between them: the highest stands at a corner of the cell. The
        // lowest does too, as every bank here rises away from its floor.
        let highest = |heights: &[f64; 4]| heights.iter().copied().fold(f64::MIN, f64::max);
        let lowest = |heights: &[f64; 4]| heights.iter().copied().fold(f64::MAX, f64::min);
        let top = all.iter().map(|(_, heights)| highest(heights)).fold(f64::MAX, f64::min);
        all.retain(|(_, heights)| lowest(heights) <= top + ALIKE);
        // A plane that is nowhere lower than another surface at the corners is so nowhere between them.
        let covered = |at: usize| {
            let (surface, own) = &all[at];
            let under = |(other, (a, heights)): (usize, &(BankSurface, [f64; 4]))| {
                let pairs = || heights.iter().zip(own);
                let alike = a == surface || pairs().all(|(a, b)| (a - b).abs() <= ALIKE);
                other != at && pairs().all(|(a, b)| *a <= b + ALIKE) && (!alike || other < at)
            };
            let doubled = all[..at].iter().any(|(other, _)| other == surface);
            doubled || surface.planar() && all.iter().enumerate().any(under)
        };
        (0..all.len()).filter(|at| !covered(*at)).map(|at| all[at].0).collect()
    }

    /// Adds a cell, divided where nothing exact is known of it.
    fn cell(&mut self, cell: &Box2, surfaces: &[Vec<BankSurface>], faces: &[usize]) {
        let surfaces: Vec<Vec<BankSurface>> =
            surfaces.iter().map(|list| self.lowest(cell, list)).collect();
        if surfaces.iter().all(Vec::is_empty) {
            return;
        }
        let corners = cell.corners();
        let points = [corners[0], corners[1], corners[2], corners[3], cell.middle()];
        let nearest = points.map(|point| self.nearest(point, faces));
        let everywhere = nearest.iter().fold(u64::MAX, |all, one| all & one);
        let planes = surfaces.iter().flatten().all(BankSurface::planar);
        let cones =
            |list: &Vec<BankSurface>| list.iter().filter(|surface| !surface.planar()).count();
        let known = |list: &Vec<BankSurface>| cones(list) <= 1;
        if everywhere != 0 && surfaces.iter().all(known) {
            let face = faces[everywhere.trailing_zeros() as usize];
            return self.exact(&corners, Some(cell), &surfaces, face);
        }
        let parts = TRIANGLES.map(|part| part.map(|at| nearest[at]));
        let of_one = parts.map(|[a, b, c]| a & b & c);
        if planes && of_one.iter().all(|common| *common != 0) {
            for (part, common) in TRIANGLES.iter().zip(of_one) {
                let face = faces[common.trailing_zeros() as usize];
                self.exact(&part.map(|at| points[at]), None, &surfaces, face);
            }
            return;
        }
        if planes && let Some((line, near, far)) = self.between(cell, &nearest, faces) {
            let opposite = Linear { at_origin: -line.at_origin, slope: line.slope.map(|s| -s) };
            self.exact(&clip(&corners, &line), None, &surfaces, far);
            return self.exact(&clip(&corners, &opposite), None, &surfaces, near);
        }
        let (wide, high) = (cell.extent(0), cell.extent(1));
        if wide.max(high) <= FINEST {
            return self.level(&points, &nearest, &surfaces, faces, wide * high / 4.0);
        }
        let [x, y] = cell.middle();
        let places = if wide > 1.5 * high {
            [vec![x], Vec::new()]
        } else if high > 1.5 * wide {
            [Vec::new(), vec![y]]
        } else {
            [vec![x], vec![y]]
        };
        for piece in cell.cut(&places) {
            self.cell(&piece, &surfaces, faces);
        }
    }

    /// Where two faces are nearest in a cell and a straight line parts them: by how much the one is nearer than the other.
    fn between(
        &self,
        cell: &Box2,
        nearest: &[u64; 5],
        faces: &[usize],
    ) -> Option<(Linear, usize, usize)> {
        let all = nearest.iter().fold(0, |all, one| all | one);
        if all.count_ones() != 2 {
            return None;
        }
        let near = faces[all.trailing_zeros() as usize];
        let far = faces[63 - all.leading_zeros() as usize];
        let distance = |face: usize| self.plan.faces[face].distance_over(cell);
        Some((distance(near)?.less(&distance(far)?), near, far))
    }

    /// Adds what stands over a polygon that is nearest to one wall, for planes and, over a whole cell, at most one cone.
    fn exact(
        &mut self,
        polygon: &[[f64; 2]],
        cell: Option<&Box2>,
        surfaces: &[Vec<BankSurface>],
        face: usize,
    ) {
        let layback = self.plan.layback;
        let ground = self.plan.faces[face].plane(polygon);
        if !self.terms.is_empty() && !surfaces[0].is_empty() {
            self.parted(polygon, cell, &surfaces[0], face);
        }
        let mut last: Option<(&Vec<BankSurface>, f64)> = None;
        for (choice, list) in surfaces.iter().enumerate() {
            if let Some((_, volume)) = last.filter(|(known, _)| *known == list) {
                self.sums[choice][face] += volume;
                continue;
            }
            let planes: Vec<Linear> =
                list.iter().filter_map(|surface| surface.plane(layback)).collect();
            let cone = list.iter().find_map(|surface| match surface {
                BankSurface::Corner { foot, at } => Some((*foot, *at)),
                _ => None,
            });
            let volume = match (cone, cell) {
                (Some((foot, at)), Some(cell)) => {
                    cone_over(cell, &ground, Cone { foot, at, layback }, &planes)
                }
                _ => planes_over(polygon, &ground, &planes),
            };
            self.sums[choice][face] += volume;
            last = Some((list, volume));
        }
    }

    /// Adds what the first choice has over such a polygon, part by part.
    fn parted(
        &mut self,
        polygon: &[[f64; 2]],
        cell: Option<&Box2>,
        surfaces: &[BankSurface],
        face: usize,
    ) {
        let (plan, layback) = (self.plan, self.plan.layback);
        let own = &plan.faces[face];
        let ground = own.plane(polygon);
        let cut: Vec<Linear> =
            surfaces.iter().filter_map(|surface| surface.plane(layback)).collect();
        let cone = surfaces.iter().find_map(|surface| match surface {
            BankSurface::Corner { foot, at } => Some(Cone { foot: *foot, at: *at, layback }),
            _ => None,
        });
        let mut places: [Vec<f64>; 2] = [Vec::new(), Vec::new()];
        places[own.axis].extend(own.fill_breaks());
        if let Some((cone, cell)) = cone.zip(cell) {
            let (low, high) = (cell.low[own.axis] + ALIKE, cell.high[own.axis] - ALIKE);
            places[own.axis].retain(|place| *place > low && *place < high);
            places[own.axis].sort_by(f64::total_cmp);
            // Nothing is built over a bank, and the sides of a wall meet beside a cone only beyond another wall's end.
            let zone = own.zone(cell.middle());
            let mut surfaces = vec![ground];
            surfaces.extend(&cut);
            if zone == FillZone::Low {
                let strips = cell.cut(&places);
                surfaces.extend(strips.iter().map(|strip| own.fill_plane(&strip.corners())));
            }
            let value = |point: [f64; 2], bank: f64| {
                let cut = cut.iter().map(|plane| plane.at(point)).fold(bank, f64::min);
                let ground = ground.at(point);
                let fill = if zone == FillZone::Low { own.fill_height(point) } else { ground };
                column(cut, ground, fill, &[])
            };
            let terms = cone_sum(cell, cone, (&surfaces, own.axis, &places[own.axis]), &value);
            columns::add(&mut self.terms[face][zone as usize], &terms);
            return;
        }
        let fill = |piece: &[[f64; 2]]| own.fill_plane(piece);
        self.columns(divided(polygon, &places), (ground, &fill, &cut), on_floor(surfaces), face);
    }

    /// Adds the parts of what stands over some polygons: the ground, what is filled to on the low side, and the cut.
    fn columns(
        &mut self,
        mut pieces: Vec<Vec<[f64; 2]>>,
        (ground, low, cut): (Linear, &dyn Fn(&[[f64; 2]]) -> Linear, &[Linear]),
        on_floor: bool,
        face: usize,
    ) {
        let plan = self.plan;
        let own = &plan.faces[face];
        let built: &[(Box2, BuiltSpan)] = if on_floor { &plan.built } else { &[] };
        let edges = |axis: usize| {
            let edges = built.iter().flat_map(|(shape, _)| [shape.low[axis], shape.high[axis]]);
            let mut edges: Vec<f64> = edges.collect();
            if axis != own.axis {
                edges.push(own.line());
            }
            edges
        };
        let edges = [edges(0), edges(1)];
        pieces = pieces.iter().flat_map(|piece| divided(piece, &edges)).collect();
        for piece in pieces {
            let middle = middle(&piece);
            let zone = own.zone(middle);
            let here = built.iter().filter(|(shape, _)| shape.holds(middle));
            let stretches = columns::apart(&here.map(|(_, stretch)| *stretch).collect::<Vec<_>>());
            let fill = if zone == FillZone::Earth { ground } else { low(&piece) };
            let columns = ColumnsOver { ground, fill, cut, stretches: &stretches };
            columns::add(&mut self.terms[face][zone as usize], &columns.over(&piece));
        }
    }

    /// Adds a cell as level between its corners and its middle.
    fn level(
        &mut self,
        points: &[[f64; 2]; 5],
        nearest: &[u64; 5],
        surfaces: &[Vec<BankSurface>],
        faces: &[usize],
        area: f64,
    ) {
        let plan = self.plan;
        for part in TRIANGLES {
            let common = part.iter().fold(u64::MAX, |all, at| all & nearest[*at]);
            let ground = part.map(|at| {
                // Where no wall is nearest to all three, each corner takes the mean of its own.
                let chosen = if common == 0 { nearest[at] } else { common & common.wrapping_neg() };
                let own = faces.iter().enumerate().filter(|(face, _)| chosen >> face & 1 == 1);
                let heights = own.map(|(_, face)| plan.faces[*face].height(points[at]));
                let (sum, count) = heights.fold((0.0, 0.0), |(sum, n), z| (sum + z, n + 1.0));
                sum / count
            });
            let whose = if common == 0 { nearest[part[0]] } else { common };
            let face = faces[whose.trailing_zeros() as usize];
            for (choice, list) in surfaces.iter().enumerate().filter(|(_, list)| !list.is_empty()) {
                let over = [0, 1, 2].map(|at| {
                    let heights = list.iter().map(|s| s.height(points[part[at]], plan.layback));
                    ground[at] - heights.fold(f64::MAX, f64::min)
                });
                self.sums[choice][face] += area * mean_over(over);
            }
            if !self.terms.is_empty() && !surfaces[0].is_empty() {
                let corners = part.map(|at| points[at]);
                let through = |heights: [f64; 3]| Linear::through(corners, heights);
                let lowest = |point: [f64; 2]| {
                    let heights = surfaces[0].iter().map(|s| s.height(point, plan.layback));
                    heights.fold(f64::MAX, f64::min)
                };
                let low = through(corners.map(|at| plan.faces[face].fill_height(at)));
                let cut = [through(corners.map(lowest))];
                let same = |_: &[[f64; 2]]| low;
                let pieces = vec![corners.to_vec()];
                let heights: (_, &dyn Fn(&[[f64; 2]]) -> Linear, _) =
                    (through(ground), &same, cut.as_slice());
                self.columns(pieces, heights, on_floor(&surfaces[0]), face);
            }
        }
    }

    /// Which faces are nearest to a point, one bit each.
    fn nearest(&self, point: [f64; 2], faces: &[usize]) -> u64 {
        if faces.len() == 1 {
            return 1;
        }
        let distance = |face: &usize| self.plan.faces[*face].distance(point);
        let least = faces.iter().map(distance).fold(f64::MAX, f64::min);
        let alike = |(at, face)| u64::from(distance(face) <= least + ALIKE) << usize::min(at, 63);
        faces.iter().enumerate().map(alike).fold(0, |all, one| all | one)
    }
}

/// A cell's triangles round its middle, by its corners and the middle.
const TRIANGLES: [[usize; 3]; 4] = [[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]];

/// Whether a cell is part of a floor.
fn on_floor(surfaces: &[BankSurface]) -> bool {
    surfaces.iter().any(|surface| matches!(surface, BankSurface::Floor(_)))
}

/// A polygon divided at places along both axes.
fn divided(polygon: &[[f64; 2]], places: &[Vec<f64>; 2]) -> Vec<Vec<[f64; 2]>> {
    let mut pieces = vec![polygon.to_vec()];
    for axis in [0, 1] {
        for place in &places[axis] {
            pieces = pieces.iter().flat_map(|piece| halves(piece, axis, *place)).collect();
        }
    }
    pieces
}

/// A polygon on both sides of a place on an axis.
fn halves(polygon: &[[f64; 2]], axis: usize, place: f64) -> Vec<Vec<[f64; 2]>> {
    if polygon.iter().all(|point| point[axis] <= place + ALIKE)
        || polygon.iter().all(|point| point[axis] >= place - ALIKE)
    {
        return vec![polygon.to_vec()];
    }
    let mut slope = [0.0; 2];
    slope[axis] = 1.0;
    let over = Linear { at_origin: -place, slope };
    let under = Linear { at_origin: place, slope: slope.map(|slope| -slope) };
    vec![clip(polygon, &over), clip(polygon, &under)]
}

/// The middle of some corners.
fn middle(corners: &[[f64; 2]]) -> [f64; 2] {
    let count = f64::from(u32::try_from(corners.len()).unwrap_or(u32::MAX));
    [0, 1].map(|axis| corners.iter().map(|corner| corner[axis]).sum::<f64>() / count)
}

/// Lower bound of the cut that a floor makes in a cell.
fn least(floor: &Rectangle, cell: &Box2, layback: f64) -> f64 {
    let apart = floor.shape.distance(cell);
    if apart <= 0.0 {
        floor.bottom.min(floor.foot)
    } else if layback > 0.0 {
        floor.foot + apart / layback
    } else {
        f64::MAX
    }
}
