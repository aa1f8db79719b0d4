//! The optimiser against enumeration. The judge here is written from the definitions alone: it rebuilds the dug
//! bottom from a list of levels, tests that profile and prices it, and shares no cost or legality code with the engine.

use std::collections::BTreeMap;

use crate::support::Dice;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{Signed, ToPrimitive, Zero};
use proptest::prelude::*;
use rodbook::footing::{
    Drawn, DrawnRun, Grid, Hooks, Joints, Layout, Lock, LockKind, Module, NoLayout, NoStepZone,
    Site, StepRates, StepRules, System, TopBreak, WallSpec, WallType, WorkSpace, as_drawn, lay_out,
    neighbours,
};
use rodbook::measure::Nm;
use rodbook::survey::{
    Chain, Depths, Ground, GroundKind, GroundLine, LineOrigin, NamedWall, Point, Polyline, Side,
    polyline,
};

type Q = BigRational;

fn q(x: i64) -> Q {
    Q::from_integer(BigInt::from(x))
}

/// What somebody claims to be the optimum.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Claim {
    levels: Vec<i32>,
    /// Overlap of each riser, in order along the walls.
    overlaps: Vec<i64>,
    cost: i128,
}

/// A stretch of the dug bottom.
#[derive(Debug)]
struct Stretch {
    from: i64,
    to: i64,
    /// Cell whose type it has, and its level.
    cell: usize,
    level: i32,
}

struct Judge<'a> {
    site: &'a Site,
    edges: Vec<i64>,
    cell_costs: BTreeMap<(usize, i32), i128>,
    riser_costs: BTreeMap<(usize, i32, i32), i128>,
}

impl<'a> Judge<'a> {
    fn new(site: &'a Site) -> Self {
        let mut edges: Vec<i64> = site.grid.cells.iter().map(|cell| cell.from.0).collect();
        edges.push(site.grid.cells.last().expect("a cell").to.0);
        Self { site, edges, cell_costs: BTreeMap::new(), riser_costs: BTreeMap::new() }
    }

    fn tof(&self, level: i32) -> i64 {
        self.site.module.level_0.0 + self.site.module.rise.0 * i64::from(level)
    }

    fn kind(&self, cell: usize, level: i32) -> Option<&'a WallType> {
        let height = self.site.grid.cells[cell].top.high().0 - self.tof(level);
        if height <= 0 || self.site.grid.cells[cell].top.low().0 < self.tof(level) {
            return None;
        }
        self.site
            .types
            .iter()
            .filter(|kind| kind.stem_up_to.0 >= height)
            .min_by_key(|kind| kind.stem_up_to)
    }

    fn bof(&self, cell: usize, level: i32) -> Option<i64> {
        Some(self.tof(level) - self.kind(cell, level)?.thickness.0)
    }

    /// Height of a line at a station, by interpolation between the knots around it.
    fn height(&self, line: &Polyline, s: i64) -> Q {
        let mut knots = line.knots().to_vec();
        if self.site.chain.closed() {
            let round = self.site.chain.length();
            let (first, last) = (knots[0], knots[knots.len() - 1]);
            knots.insert(0, (Nm(last.0.0 - round.0), last.1));
            knots.push((Nm(first.0.0 + round.0), first.1));
        }
        let after = knots.iter().position(|(x, _)| x.0 >= s);
        match after {
            None => q(knots[knots.len() - 1].1.0),
            Some(0) => q(knots[0].1.0),
            Some(i) => {
                let ((a, za), (b, zb)) = (knots[i - 1], knots[i]);
                q(za.0) + q(zb.0 - za.0) * q(s - a.0) / q(b.0 - a.0)
            }
        }
    }

    /// Whether a bottom is at or under the required line all along an interval.
    fn deep_enough(&self, bottom: i64, thickness: i64, from: i64, to: i64) -> bool {
        let rules = &self.site.rules;
        let cover = rules.depths.cover.map_or(0, |cover| cover.0 + thickness);
        let depth = rules.depths.frost.0.max(cover);
        let lines = [
            (&self.site.ground.finished_low.line, depth),
            (&self.site.ground.bearing.line, -rules.depths.allowance.0),
        ];
        lines.iter().all(|(line, depth)| {
            let mut stations: Vec<i64> =
                line.knots().iter().map(|(s, _)| s.0).filter(|s| *s > from && *s < to).collect();
            stations.extend([from, to]);
            stations.iter().all(|s| q(bottom) <= self.height(line, *s) - q(*depth))
        })
    }

    /// Overlap that a riser needs: tried one step after another.
    fn overlap(&self, low_cell: usize, low: i32, high_cell: usize, high: i32) -> Option<i64> {
        let (low_kind, high_kind) = (self.kind(low_cell, low)?, self.kind(high_cell, high)?);
        let _ = low_kind;
        let throat = i128::from(self.site.rules.throat.unwrap_or(high_kind.thickness).0);
        let drop = i128::from((self.tof(low) - self.bof(high_cell, high)?).max(0));
        let mut overlap = 0;
        while overlap < self.site.rules.overlap_min.0
            || i128::from(overlap).pow(2) + drop * drop < throat * throat
        {
            overlap += self.site.rules.overlap_step.0;
        }
        Some(overlap)
    }

    /// Riser edges of a list of levels.
    fn risers(levels: &[i32]) -> Vec<usize> {
        (1..levels.len()).filter(|edge| levels[*edge] != levels[edge - 1]).collect()
    }

    fn low_high(levels: &[i32], edge: usize) -> (usize, usize) {
        if levels[edge] > levels[edge - 1] { (edge - 1, edge) } else { (edge, edge - 1) }
    }

    /// The dug bottom for these levels and overlaps, or why there is none.
    fn profile(&self, levels: &[i32], overlaps: &[i64]) -> Result<Vec<Stretch>, String> {
        let risers = Self::risers(levels);
        let mut cuts: Vec<(i64, i64, usize)> = Vec::new();
        for (edge, overlap) in risers.iter().zip(overlaps) {
            let at = self.edges[*edge];
            let (low, _) = Self::low_high(levels, *edge);
            cuts.push(if levels[*edge] > levels[edge - 1] {
                (at, at + overlap, low)
            } else {
                (at - overlap, at, low)
            });
        }
        // The own interval of every run is what its neighbours' strips leave of it: they lie in the higher run.
        let mut ends = vec![0];
        ends.extend(risers.iter().map(|edge| self.edges[*edge]));
        ends.push(self.edges[self.edges.len() - 1]);
        // On a ring the first and the last part are one run.
        let ring = self.site.chain.closed() && !risers.is_empty();
        let mut wrapping = 0;
        for run in 0..ends.len() - 1 {
            let (mut a, mut b) = (ends[run], ends[run + 1]);
            if run > 0 && cuts[run - 1].0 == a {
                a = cuts[run - 1].1;
            }
            if run < risers.len() && cuts[run].1 == b {
                b = cuts[run].0;
            }
            if ring && (run == 0 || run == risers.len()) {
                wrapping += (b - a).max(0);
                continue;
            }
            if a >= b {
                return Err(format!("run {run} has no length of its own"));
            }
        }
        if ring && wrapping == 0 {
            return Err("the wrapping run has no length of its own".into());
        }
        let mut profile = Vec::new();
        for (cell, level) in levels.iter().enumerate() {
            let (mut at, end) = (self.edges[cell], self.edges[cell + 1]);
            for (from, to, low) in &cuts {
                let (from, to) = ((*from).max(self.edges[cell]), (*to).min(end));
                if from >= to {
                    continue;
                }
                if at < from {
                    profile.push(Stretch { from: at, to: from, cell, level: *level });
                }
                profile.push(Stretch { from, to, cell: *low, level: levels[*low] });
                at = to;
            }
            if at < end {
                profile.push(Stretch { from: at, to: end, cell, level: *level });
            }
        }
        Ok(profile)
    }

    /// Tests levels and overlaps against every rule.
    fn legal(&self, levels: &[i32], overlaps: &[i64]) -> Result<(), String> {
        let rules = &self.site.rules;
        for (cell, level) in levels.iter().enumerate() {
            self.kind(cell, *level).ok_or(format!("cell {cell} has no type at {level}"))?;
        }
        let risers = Self::risers(levels);
        for (edge, overlap) in risers.iter().zip(overlaps) {
            if !self.site.grid.riser_at[*edge] {
                return Err(format!("no riser may stand at edge {edge}"));
            }
            if (levels[*edge] - levels[edge - 1]).abs() > rules.most_levels {
                return Err(format!("the riser at {edge} is too high"));
            }
            let (low, high) = Self::low_high(levels, *edge);
            let (bof_low, bof_high) = (
                self.bof(low, levels[low]).expect("typed"),
                self.bof(high, levels[high]).expect("typed"),
            );
            if bof_high <= bof_low {
                return Err(format!("the upper bottom at {edge} is not higher"));
            }
            let throat = i128::from(
                rules.throat.unwrap_or(self.kind(high, levels[high]).expect("typed").thickness).0,
            );
            let drop = i128::from((self.tof(levels[low]) - bof_high).max(0));
            let through = i128::from(*overlap).pow(2) + drop * drop;
            if through < throat * throat
                || *overlap < rules.overlap_min.0
                || overlap % rules.overlap_step.0 != 0
            {
                return Err(format!("the overlap at {edge} is too short"));
            }
        }
        self.locks_hold(levels)?;
        let mut ends = vec![0];
        ends.extend(risers.iter().map(|edge| self.edges[*edge]));
        ends.push(self.edges[self.edges.len() - 1]);
        let mut lengths: Vec<i64> = ends.windows(2).map(|pair| pair[1] - pair[0]).collect();
        if self.site.chain.closed() && lengths.len() > 1 {
            if levels[0] != levels[levels.len() - 1] {
                return Err("the ring does not close".into());
            }
            lengths[0] += lengths.pop().expect("two runs");
        }
        if lengths.iter().any(|length| *length < rules.shortest_run.0) {
            return Err("a run is too short".into());
        }
        for stretch in self.profile(levels, overlaps)? {
            let thickness = self.kind(stretch.cell, stretch.level).expect("typed").thickness.0;
            let bottom = self.bof(stretch.cell, stretch.level).expect("typed");
            if !self.deep_enough(bottom, thickness, stretch.from, stretch.to) {
                return Err(format!(
                    "the bottom is too high between {} and {}",
                    stretch.from, stretch.to
                ));
            }
        }
        Ok(())
    }

    fn locks_hold(&self, levels: &[i32]) -> Result<(), String> {
        for lock in &self.site.locks {
            let start = self.site.chain.walls()[lock.wall].station.0;
            let (from, to) = (start + lock.from.0, start + lock.to.0);
            for cell in 0..levels.len() {
                let (a, b) = (self.edges[cell], self.edges[cell + 1]);
                let tof = Nm(self.tof(levels[cell]));
                let held = match lock.kind {
                    LockKind::Riser => a != from || levels[cell] != levels[cell - 1],
                    LockKind::Tof(only) => b <= from || to <= a || tof == only,
                    LockKind::NotTof(never) => b <= from || to <= a || tof != never,
                };
                if !held {
                    return Err(format!("cell {cell} breaks the lock {lock:?}"));
                }
            }
        }
        Ok(())
    }

    fn round(value: &Q) -> i128 {
        let half = Q::new(BigInt::from(1), BigInt::from(2));
        let size = (value.abs() + half).floor().to_integer().to_i128().expect("fits");
        if value.is_negative() { -size } else { size }
    }

    /// Ground above a bottom: split where the ground crosses it, then trapezoids.
    fn dig(&self, cell: usize, level: i32, from: i64, to: i64) -> Q {
        if from >= to {
            return Q::zero();
        }
        let line = &self.site.ground.existing.line;
        let bottom = q(self.bof(cell, level).expect("typed"));
        let mut stations: Vec<Q> =
            line.knots().iter().map(|(s, _)| s.0).filter(|s| *s > from && *s < to).map(q).collect();
        stations.insert(0, q(from));
        stations.push(q(to));
        let over = |s: &Q| -> Q {
            let below = s.floor().to_integer().to_i64().expect("fits");
            if s.is_integer() {
                return self.height(line, below) - &bottom;
            }
            let (a, b) = (self.height(line, below), self.height(line, below + 1));
            a.clone() + (b - a) * (s - q(below)) - &bottom
        };
        let mut area = Q::zero();
        for pair in stations.windows(2) {
            let (a, b) = (over(&pair[0]), over(&pair[1]));
            let width = &pair[1] - &pair[0];
            let half = Q::new(BigInt::from(1), BigInt::from(2));
            area += if !a.is_negative() && !b.is_negative() {
                (a + b) * width * half
            } else if a.is_negative() && b.is_negative() {
                Q::zero()
            } else {
                // A triangle: its height is the positive end, its base the share of the width above the bottom.
                let top = if a.is_negative() { b.clone() } else { a.clone() };
                let base = width * &top / (a.abs() + b.abs());
                top * base * half
            };
        }
        let width = self.kind(cell, level).expect("typed").width.0
            + self.site.rates.work_space.toe.0
            + self.site.rates.work_space.heel.0;
        area * q(width) * &self.site.rates.dig
    }

    fn cell_cost(&mut self, cell: usize, level: i32) -> i128 {
        if let Some(cost) = self.cell_costs.get(&(cell, level)) {
            return *cost;
        }
        let kind = self.kind(cell, level).expect("typed");
        let rates = &self.site.rates;
        let width = q(self.edges[cell + 1] - self.edges[cell]);
        let top = self.site.grid.cells[cell].top;
        let height = q(top.at_from.0 + top.at_to.0 - 2 * self.tof(level)) / q(2);
        let stem = q(self.site.walls[self.site.grid.cells[cell].wall].stem.0);
        let cost = &width * q(kind.width.0) * q(kind.thickness.0) * &rates.footing
            + &width * stem * &height * &rates.wall
            + &width * &height * &rates.forms * q(2)
            + self.dig(cell, level, self.edges[cell], self.edges[cell + 1]);
        let cost = Self::round(&(cost * q(1_000_000_000)));
        self.cell_costs.insert((cell, level), cost);
        cost
    }

    fn riser_cost(&mut self, levels: &[i32], edge: usize, overlap: i64) -> i128 {
        let key = (edge, levels[edge - 1], levels[edge]);
        if let Some(cost) = self.riser_costs.get(&key) {
            return *cost;
        }
        let (low, high) = Self::low_high(levels, edge);
        let at = self.edges[edge];
        let (from, to) =
            if levels[edge] > levels[edge - 1] { (at, at + overlap) } else { (at - overlap, at) };
        let rates = &self.site.rates;
        let drop = self.bof(high, levels[high]).expect("typed")
            - self.bof(low, levels[low]).expect("typed");
        let width = self.kind(low, levels[low]).expect("typed").width.0;
        let mut cost = rates.riser.clone()
            + &rates.rise * q(i64::from((levels[edge] - levels[edge - 1]).abs()))
            + q(width) * q(overlap) * q(drop) * &rates.footing
            + self.dig(low, levels[low], from, to);
        for cell in 0..levels.len() {
            let (a, b) = (from.max(self.edges[cell]), to.min(self.edges[cell + 1]));
            if a < b {
                cost -= self.dig(cell, levels[high], a, b);
            }
        }
        let cost = Self::round(&(cost * q(1_000_000_000)));
        self.riser_costs.insert(key, cost);
        cost
    }

    fn overlaps(&self, levels: &[i32]) -> Option<Vec<i64>> {
        let riser = |edge: &usize| {
            let (low, high) = Self::low_high(levels, *edge);
            self.overlap(low, levels[low], high, levels[high])
        };
        Self::risers(levels).iter().map(riser).collect()
    }

    fn cost(&mut self, levels: &[i32], overlaps: &[i64]) -> i128 {
        let cells: i128 = (0..levels.len()).map(|cell| self.cell_cost(cell, levels[cell])).sum();
        let risers = Self::risers(levels);
        cells
            + risers
                .iter()
                .zip(overlaps)
                .map(|(edge, overlap)| self.riser_cost(levels, *edge, *overlap))
                .sum::<i128>()
    }

    /// Every legal layout, best first: cost, number of risers, levels.
    fn enumerate(&mut self) -> Vec<(i128, usize, Vec<i32>)> {
        let blocks: Vec<usize> = (0..self.site.grid.cells.len())
            .filter(|cell| *cell == 0 || self.site.grid.riser_at[*cell])
            .collect();
        let range: Vec<i32> = self.site.module.levels().collect();
        let mut all = Vec::new();
        let count = range.len().pow(u32::try_from(blocks.len()).expect("small"));
        for number in 0..count {
            let mut rest = number;
            let mut levels = vec![0; self.site.grid.cells.len()];
            for (n, start) in blocks.iter().enumerate() {
                let end = blocks.get(n + 1).copied().unwrap_or(levels.len());
                levels[*start..end].fill(range[rest % range.len()]);
                rest /= range.len();
            }
            let Some(overlaps) = self.overlaps(&levels) else { continue };
            if self.legal(&levels, &overlaps).is_ok() {
                all.push((self.cost(&levels, &overlaps), Self::risers(&levels).len(), levels));
            }
        }
        all.sort();
        all
    }

    /// Judges a claim against enumeration.
    fn verdict(&mut self, claim: &Claim) -> Result<(), String> {
        self.legal(&claim.levels, &claim.overlaps)?;
        let all = self.enumerate();
        let (cost, risers, levels) = all.first().ok_or("nothing is legal")?;
        if (claim.cost, Self::risers(&claim.levels).len()) != (*cost, *risers) {
            return Err(format!("cost {} against {cost} with {risers} risers", claim.cost));
        }
        if claim.levels != *levels {
            return Err(format!("levels {:?} against {levels:?}", claim.levels));
        }
        Ok(())
    }
}

const INCH: i64 = 25_400_000;

/// What kind of job is made at random.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shape {
    /// One to three walls.
    Chain,
    /// A ring of four.
    Ring,
    /// A chain of narrow panels, so that strips cover whole cells.
    Narrow,
    /// A chain with locks.
    Locked,
    /// A ring with locks.
    LockedRing,
    /// One wall too long to enumerate.
    Long,
    /// The same with narrow panels.
    LongNarrow,
}

const SHAPES: [Shape; 5] =
    [Shape::Chain, Shape::Ring, Shape::Narrow, Shape::Locked, Shape::LockedRing];

impl Shape {
    fn ring(self) -> bool {
        matches!(self, Self::Ring | Self::LockedRing)
    }
}

/// Levels of a layout that is on the levels of the job.
fn levels(layout: &Layout) -> Vec<i32> {
    layout.levels().into_iter().map(|level| level.expect("on a level")).collect()
}

/// A random small job: corners both ways, unequal stems, tops that change, zones, covers.
fn random_site(seed: u64, shape: Shape) -> Option<Site> {
    random_site_up_to(seed, shape, 20_000)
}

fn random_site_up_to(seed: u64, shape: Shape, assignments: u32) -> Option<Site> {
    let mut dice = Dice::new(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    for _ in 0..8 {
        dice.roll(0, 1);
    }
    let count = match shape {
        Shape::Long | Shape::LongNarrow => 1,
        _ if shape.ring() => 4,
        _ => dice.roll(1, 3),
    };
    let panel = if matches!(shape, Shape::Narrow | Shape::LongNarrow) { 10 } else { 24 } * INCH;
    let sides = [dice.roll(56, 90) * INCH, dice.roll(56, 110) * INCH];
    let turn_left = dice.chance(2);
    let mut named = Vec::new();
    let mut walls = Vec::new();
    let (mut e, mut n) = (0, 0);
    let mut direction: (i64, i64) = (1, 0);
    let top = 120 * INCH + dice.roll(0, 3) * 12 * INCH;
    for wall in 0..count {
        let size = match (shape, count) {
            (Shape::Long, _) => dice.roll(500, 900),
            (Shape::LongNarrow, _) => dice.roll(200, 400),
            (Shape::Narrow, _) => dice.roll(40, 90) / count + 14,
            (_, 1) => dice.roll(96, 170),
            _ => dice.roll(50, 100),
        };
        let odd = dice.roll(0, 1) * dice.roll(0, 997);
        let length =
            if shape.ring() { sides[usize::try_from(wall % 2).ok()?] } else { size * INCH + odd };
        let start = Point { e: Nm(e), n: Nm(n) };
        e += direction.0 * length;
        n += direction.1 * length;
        let end = Point { e: Nm(e), n: Nm(n) };
        named.push(NamedWall { id: format!("W{wall}"), start, end, length: None, chord: false });
        direction = if (shape.ring() && turn_left) || (!shape.ring() && dice.chance(2)) {
            (-direction.1, direction.0)
        } else {
            (direction.1, -direction.0)
        };
        walls.push(WallSpec {
            stem: Nm(dice.roll(8, 12) * INCH),
            tops: vec![TopBreak {
                number: 0,
                from: Nm(0),
                top: Nm(top + if dice.chance(3) { 12 * INCH } else { 0 }),
                end_top: (shape == Shape::Chain && dice.chance(4))
                    .then(|| Nm(top - dice.roll(0, 30) * INCH)),
            }],
            origin: Some(if dice.chance(2) {
                rodbook::footing::End::Start
            } else {
                rodbook::footing::End::End
            }),
            lead_start: None,
            lead_end: None,
            kit_start: None,
            kit_end: None,
        });
    }
    let chain =
        Chain::new(named, if dice.chance(2) { Side::Left } else { Side::Right }, shape.ring())
            .ok()?;
    let module = Module {
        joints: Joints::Panels { panel: Nm(panel), corner_leg: Nm(8 * INCH) },
        rise: Nm(12 * INCH),
        level_0: Nm(12 * INCH * dice.roll(0, 1)),
        lowest: -1,
        highest: i32::try_from(dice.roll(1, 2)).ok()?,
    };
    let mut types = Vec::new();
    let mut height = 0;
    for (index, step) in [(0, dice.roll(90, 118)), (1, dice.roll(6, 24)), (2, 60)] {
        height += step * INCH;
        types.push(WallType {
            id: format!("T{index}"),
            stem_up_to: Nm(height),
            width: Nm(dice.roll(30, 70) * INCH),
            thickness: Nm(dice.roll(9, 18) * INCH),
            toe: Nm(10 * INCH),
            key: None,
        });
    }
    let length = chain.length().0;
    let line = |dice: &mut Dice, low: i64, high: i64, knots: i64| {
        let mut stations: Vec<i64> = (0..knots).map(|_| dice.roll(0, length)).collect();
        stations.sort_unstable();
        stations.dedup();
        let knots = stations
            .into_iter()
            .map(|s| (Nm(s), Nm(dice.roll(low, high) * INCH / 8 + dice.roll(0, 1))));
        let mut knots: Vec<(Nm, Nm)> = knots.collect();
        if shape.ring() {
            knots.retain(|(s, _)| s.0 < length);
        }
        polyline(knots, shape.ring().then_some(Nm(length)))
    };
    let ground = |kind, line| GroundLine::new(kind, LineOrigin::Listed, line, None);
    let knots = dice.roll(1, 5);
    let finished = line(&mut dice, -30, 300, knots)?;
    let knots = dice.roll(1, 5);
    let bearing = line(&mut dice, -120, 250, knots)?;
    let knots = dice.roll(1, 6);
    let existing = line(&mut dice, 0, 500, knots)?;
    let mut zones = Vec::new();
    if dice.chance(4) {
        let from = dice.roll(0, 80) * INCH;
        zones.push(NoStepZone { wall: 0, from: Nm(from), to: Nm(from + dice.roll(0, 30) * INCH) });
    }
    let rules = StepRules {
        depths: Depths {
            frost: Nm(dice.roll(0, 18) * INCH),
            cover: dice.chance(3).then(|| Nm(dice.roll(0, 10) * INCH)),
            allowance: Nm(if dice.chance(4) { 3 * INCH } else { 0 }),
        },
        shortest_run: Nm(dice.roll(1, 4) * 12 * INCH),
        most_levels: i32::try_from(dice.roll(1, 3)).ok()?,
        corner_clear: Nm(if count > 1 {
            dice.roll(if shape == Shape::Narrow { 8 } else { 18 }, 26) * INCH
        } else {
            0
        }),
        overlap_step: Nm(dice.roll(1, 3) * INCH),
        overlap_min: Nm(if dice.chance(3) { dice.roll(1, 25) * INCH } else { 0 }),
        throat: dice.chance(4).then(|| Nm(dice.roll(1, 20) * INCH)),
        no_step_zones: zones,
        zones: Vec::new(),
    };
    // One tie in five: equal prices everywhere or none at all.
    let free = dice.chance(5);
    let rate = |dice: &mut Dice, most: i64, power: u32| {
        let size = if free { 0 } else { dice.roll(0, most) };
        Q::new(BigInt::from(size), BigInt::from(INCH).pow(power))
    };
    let rates = StepRates {
        footing: rate(&mut dice, 3, 3),
        wall: rate(&mut dice, 3, 3),
        forms: rate(&mut dice, 5, 2),
        dig: rate(&mut dice, 2, 3),
        riser: q(if free { 0 } else { dice.roll(0, 3_000) }),
        rise: q(if free { 0 } else { dice.roll(0, 800) }),
        work_space: WorkSpace {
            toe: Nm(dice.roll(0, 1) * 6 * INCH),
            heel: Nm(dice.roll(0, 2) * 6 * INCH),
        },
    };
    // A top that changes inside a wall, on a joint.
    let grid = Grid::new(&chain, &walls, &module, &rules).ok()?;
    if dice.chance(3) && grid.walls[0].joints.len() > 2 {
        let from = grid.walls[0].joints[1];
        if from > Nm(0) && from < chain.walls()[0].length {
            let first = walls[0].tops[0].top;
            walls[0].tops.push(TopBreak {
                number: 1,
                from,
                top: first - Nm(12 * INCH),
                end_top: None,
            });
        }
    }
    let grid = Grid::new(&chain, &walls, &module, &rules).ok()?;
    let blocks = grid.riser_at.iter().filter(|allowed| **allowed).count() + 1;
    let levels = f64::from(u32::try_from(module.levels().count()).ok()?);
    let fits = levels.powi(i32::try_from(blocks).ok()?) <= f64::from(assignments);
    if !fits && assignments != u32::MAX {
        return None;
    }
    let mut locks = Vec::new();
    if matches!(shape, Shape::Locked | Shape::LockedRing) {
        for _ in 0..dice.roll(1, 3) {
            let wall = usize::try_from(dice.roll(0, count - 1)).ok()?;
            let from = Nm(dice.roll(0, chain.walls()[wall].length.0 - 1));
            // As job.toml takes it, a lock ends on its wall.
            let to = (from + Nm(dice.roll(1, 40) * INCH)).min(chain.walls()[wall].length);
            let tof = Nm(12 * INCH * dice.roll(-1, 3));
            let allowed = &grid.walls[wall].allowed;
            let lock = match dice.roll(1, 3) {
                1 if !allowed.is_empty() => {
                    let most = i64::try_from(allowed.len()).ok()? - 1;
                    let at = allowed[usize::try_from(dice.roll(0, most)).ok()?];
                    (at, at, LockKind::Riser)
                }
                2 => (from, to, LockKind::Tof(tof)),
                _ => (from, to, LockKind::NotTof(tof)),
            };
            locks.push(Lock { wall, from: lock.0, to: lock.1, kind: lock.2, why: String::new() });
        }
    }
    Some(Site {
        locks,
        hooks: Hooks::default(),
        system: System::Us,
        chain,
        walls,
        types,
        module,
        rules,
        rates,
        ground: Ground {
            finished_low: ground(GroundKind::FinishedLow, finished),
            bearing: ground(GroundKind::Bearing, bearing),
            existing: ground(GroundKind::Existing, existing),
        },
        grid,
    })
}

#[derive(Debug, PartialEq)]
enum Outcome {
    Feasible(usize),
    Infeasible,
    Refused,
}

/// Levels of the runs and the edges between them.
fn runs_and_edges(levels: &[i32]) -> (Vec<i32>, Vec<usize>) {
    let edges = Judge::risers(levels);
    let starts = std::iter::once(0).chain(edges.iter().copied());
    (starts.map(|edge| levels[edge]).collect(), edges)
}

/// Whether two layouts differ by one step: moved, or one run more with one of the steps at its ends.
fn one_step_apart(a: &[i32], b: &[i32]) -> bool {
    let ((a_runs, a_edges), (b_runs, b_edges)) = (runs_and_edges(a), runs_and_edges(b));
    if a_edges.len() == b_edges.len() {
        let moved = a_edges.iter().zip(&b_edges).filter(|(a, b)| a != b).count();
        return a_runs == b_runs && moved == 1;
    }
    let (more, fewer) = if a_edges.len() > b_edges.len() {
        ((a_runs, a_edges), (b_runs, b_edges))
    } else {
        ((b_runs, b_edges), (a_runs, a_edges))
    };
    more.1.len() == fewer.1.len() + 1
        && (0..more.0.len()).any(|run| {
            let mut runs = more.0.clone();
            runs.remove(run);
            let beside = [run.checked_sub(1), Some(run).filter(|run| *run < more.1.len())];
            runs == fewer.0
                && beside.into_iter().flatten().any(|edge| {
                    let mut edges = more.1.clone();
                    edges.remove(edge);
                    edges == fewer.1
                })
        })
}

/// The layouts one step away are those of the enumeration, at its costs, the cheapest first.
fn neighbours_are_enumerated(layout: &Layout, all: &[(i128, usize, Vec<i32>)], seed: u64) {
    let own = levels(layout);
    let mut expected: Vec<(i128, Vec<i32>)> = all
        .iter()
        .filter(|other| one_step_apart(&own, &other.2))
        .map(|other| (other.0, other.2.clone()))
        .collect();
    let (found, count) = neighbours(layout, usize::MAX).expect("a layout on the grid");
    let costs: Vec<i128> = found.iter().map(|one| one.layout.cost).collect();
    assert!(costs.is_sorted(), "seed {seed}: {costs:?}");
    let mut found: Vec<(i128, Vec<i32>)> =
        found.iter().map(|one| (one.layout.cost, levels(&one.layout))).collect();
    found.sort();
    expected.sort();
    assert_eq!(found, expected, "seed {seed}: layouts one step away of {own:?}");
    assert_eq!(count, expected.len());
}

/// Solves a random job both ways.
fn both_agree(seed: u64, shape: Shape) -> Outcome {
    let Some(site) = random_site(seed, shape) else { return Outcome::Refused };
    let mut judge = Judge::new(&site);
    match lay_out(&site) {
        Ok(layout) => {
            let claim = Claim {
                levels: levels(&layout),
                overlaps: layout.steps.iter().map(|step| step.overlap.0).collect(),
                cost: layout.cost,
            };
            judge.verdict(&claim).unwrap_or_else(|why| panic!("seed {seed} {shape:?}: {why}"));
            let all = judge.enumerate();
            let equal =
                all.iter().filter(|other| (other.0, other.1) == (all[0].0, all[0].1)).count();
            assert_eq!(layout.equal_layouts, Some(equal as u64), "seed {seed}: equal layouts");
            neighbours_are_enumerated(&layout, &all, seed);
            drawn_costs_the_same(&site, &layout, seed);
            Outcome::Feasible(layout.steps.len())
        }
        Err(NoLayout::Fault(_)) => Outcome::Refused,
        Err(_) => {
            assert!(
                judge.enumerate().is_empty(),
                "seed {seed}: the engine finds nothing, enumeration does"
            );
            Outcome::Infeasible
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]
    #[test]
    fn the_optimum_is_what_enumeration_finds(seed in any::<u64>(), shape in 0..SHAPES.len()) {
        both_agree(seed, SHAPES[shape]);
    }
}

/// A drawn layout equal to the optimum: the same cost to the last digit, and no fault.
fn drawn_costs_the_same(site: &Site, layout: &Layout, seed: u64) {
    let mut drawn = Drawn::default();
    for stretch in &layout.stretches {
        let run = DrawnRun { from: stretch.from, tof: stretch.tof, kind: stretch.kind };
        if drawn.runs.last().is_none_or(|last| (last.tof, last.kind) != (run.tof, run.kind)) {
            drawn.runs.push(run);
        }
    }
    let ours = as_drawn(site, &drawn).unwrap_or_else(|faults| panic!("seed {seed}: {faults}"));
    assert_eq!(ours.layout.cost, layout.cost, "seed {seed}: cost as drawn");
    assert_eq!(ours.layout.bottom, layout.bottom, "seed {seed}: bottom as drawn");
    assert!(ours.faults.is_empty(), "seed {seed}: {:?}", ours.faults);
}

#[test]
fn the_random_jobs_are_worth_solving() {
    for shape in SHAPES {
        worth_solving(shape);
    }
}

fn worth_solving(shape: Shape) {
    let outcomes: Vec<Outcome> = (0..300).map(|seed| both_agree(seed, shape)).collect();
    let count =
        |test: &dyn Fn(&Outcome) -> bool| outcomes.iter().filter(|outcome| test(outcome)).count();
    let feasible = count(&|o| matches!(o, Outcome::Feasible(_)));
    let stepped = count(&|o| matches!(o, Outcome::Feasible(n) if *n > 0));
    let infeasible = count(&|o| *o == Outcome::Infeasible);
    let what = format!(
        "{feasible} feasible, {stepped} with steps, {infeasible} infeasible of {}",
        outcomes.len()
    );
    let least = match shape {
        Shape::Chain => (150, 80, 40),
        Shape::Ring => (150, 60, 30),
        Shape::Narrow => (100, 15, 20),
        Shape::Locked => (50, 30, 150),
        _ => (80, 60, 100),
    };
    assert!(
        feasible >= least.0 && stepped >= least.1 && infeasible >= least.2,
        "{shape:?}: {what}"
    );
}

/// Bundled wall cases that step, cut short and on two levels.
#[test]
fn shortened_cases_are_what_enumeration_finds() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/cases");
    let mut stepped = 0;
    for case in rodbook::job::bundled_cases() {
        let text = std::fs::read_to_string(folder.join(case.name).join("job.toml")).expect("a job");
        let table = if text.contains("[course_grid]") { "course_grid" } else { "module" };
        let curved = case.name == "curved_wall";
        let walls = text.matches("[[wall]]").count();
        if !text.contains(&format!("[{table}]")) || walls > 1 && !curved {
            continue;
        }
        let [lowest, highest] = ["lowest", "highest"].map(|end| format!("{table}.{end}_level"));
        // Steps cost next to nothing, so that short walls have some.
        let mut short: Vec<(&str, &str)> = vec![
            (&lowest, "1"),
            (&highest, "2"),
            ("prices.riser_each", "1 usd/each"),
            ("prices.rise", "1 usd/ft"),
        ];
        let cut = crate::support::Folder::new();
        let mut place = folder.join(case.name);
        if curved {
            // Two chords, and the ground over them.
            let text = text
                .replace("left 45 deg", "left 15.5 deg")
                .replace("16'-0 1/2", "6'-0 1/2")
                .replace("12'-0 1/2", "4'-0 1/2")
                .replace("\"39 ft\"", "\"12.8 ft\"")
                .replace("\"40.4 ft\"", "\"14.1 ft\"")
                .replace("75.2 ft", "26 ft");
            cut.write("job.toml", text);
            place = cut.0.clone();
        } else {
            short.push(("wall.W1.length", "24 ft"));
        }
        if case.name == "sloping_top" {
            // The slope begins on a joint that the short wall has too.
            short.push(("wall.W1.tops.1.from", "12 ft"));
        }
        let done = crate::support::run_with(&place, &short);
        let site = &done.job.wall_job.site;
        let best = Judge::new(site).enumerate().into_iter().min().expect("a legal layout");
        assert_eq!(done.cost_nano(), best.0, "{}", case.name);
        assert_eq!(done.risers(), best.1, "{}", case.name);
        let ours: Vec<i32> =
            done.levels().iter().map(|level| i32::try_from(*level).expect("small")).collect();
        assert_eq!(ours, best.2, "{}", case.name);
        stepped += best.1;
    }
    assert!(stepped >= 11, "{stepped} steps");
}

/// The judge itself must notice a wrong claim.
#[test]
fn planted_faults_are_caught() {
    let (mut bearing, mut overlap, mut tie) = (0, 0, 0);
    for seed in 0..400 {
        let Some(site) = random_site(seed, Shape::Chain) else { continue };
        let Ok(layout) = lay_out(&site) else { continue };
        let claim = Claim {
            levels: levels(&layout),
            overlaps: layout.steps.iter().map(|step| step.overlap.0).collect(),
            cost: layout.cost,
        };
        // One nanometre of bearing: the line is set so that the layout just meets it, then one lower.
        let slack = layout
            .bottom
            .iter()
            .map(|part| {
                site.ground.bearing.line.lowest(part.from, part.to) + site.rules.depths.allowance
                    - part.bof
            })
            .min();
        let slack = slack.expect("a bottom");
        let mut tight = site.clone();
        tight.ground.bearing.line = site.ground.bearing.line.lowered(slack);
        let knots_bind = Judge::new(&tight).legal(&claim.levels, &claim.overlaps).is_ok();
        tight.ground.bearing.line = site.ground.bearing.line.lowered(slack + Nm(1));
        if knots_bind {
            assert!(
                Judge::new(&tight).legal(&claim.levels, &claim.overlaps).is_err(),
                "seed {seed}: one nm of bearing"
            );
            bearing += 1;
        }
        let mut judge = Judge::new(&site);
        if !claim.overlaps.is_empty() && claim.overlaps[0] > 0 {
            let mut short = claim.clone();
            short.overlaps[0] -= site.rules.overlap_step.0;
            assert!(judge.verdict(&short).is_err(), "seed {seed}: overlap short by a step");
            overlap += 1;
        }
        let all = judge.enumerate();
        if let Some(other) = all.get(1).filter(|other| (other.0, other.1) == (all[0].0, all[0].1)) {
            let wrong = Claim {
                levels: other.2.clone(),
                overlaps: judge.overlaps(&other.2).expect("legal"),
                cost: other.0,
            };
            assert!(judge.verdict(&wrong).is_err(), "seed {seed}: tie broken the wrong way");
            tie += 1;
        }
    }
    assert!(bearing >= 20 && overlap >= 20 && tie >= 10, "{bearing} {overlap} {tie}");
}

/// The wall along the real profile, shortened to a stretch that can be enumerated.
#[test]
fn a_stretch_of_the_real_profile() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/shore-profile");
    let settings = [
        ("alignment.points.B.east", "400276.527 m"),
        ("alignment.points.B.north", "3876557.925 m"),
        ("module.panel", "1.2 m"),
        ("module.lowest_level", "-3"),
        ("module.highest_level", "1"),
        ("rules.shortest_run", "1.2 m"),
        ("layout_rates.riser_each", "5 eur"),
    ];
    let overrides = settings.map(|(path, value)| (path.to_owned(), value.to_owned())).to_vec();
    let options = rodbook::job::OpenOptions { overrides, ..Default::default() };
    let job =
        rodbook::job::Job::open(&folder, &options).unwrap_or_else(|faults| panic!("{faults}"));
    let site = &job.wall_job.site;
    let layout = lay_out(site).unwrap_or_else(|reason| panic!("{reason:?}"));
    let claim = Claim {
        levels: levels(&layout),
        overlaps: layout.steps.iter().map(|step| step.overlap.0).collect(),
        cost: layout.cost,
    };
    Judge::new(site).verdict(&claim).unwrap_or_else(|why| panic!("{why}"));
    assert!(!layout.steps.is_empty(), "a stretch without a step proves little");
}

/// The run form written plainly, on the judge's own legality and costs: every run to every riser, whole level lists
/// compared. It reaches walls that enumeration cannot.
mod run_form {
    use super::*;

    /// Cost, risers and levels from a cell on; the riser before it decides where the first run begins.
    type Tail = Option<(i128, usize, Vec<i32>)>;

    pub(super) struct RunForm<'a> {
        judge: Judge<'a>,
        known: BTreeMap<(usize, Option<i32>, i32), Tail>,
    }

    impl<'a> RunForm<'a> {
        pub(super) fn new(site: &'a Site) -> Self {
            Self { judge: Judge::new(site), known: BTreeMap::new() }
        }

        pub(super) fn optimum(&mut self) -> Tail {
            let range: Vec<i32> = self.judge.site.module.levels().collect();
            range.into_iter().filter_map(|level| self.from(0, None, level)).min()
        }

        /// Overlap and whether the riser may stand, whatever the ground.
        fn riser(&self, edge: usize, before: i32, after: i32) -> Option<i64> {
            let site = self.judge.site;
            let (low, high) = if after > before { (edge - 1, edge) } else { (edge, edge - 1) };
            let (l, h) = (before.min(after), before.max(after));
            let legal = site.grid.riser_at[edge]
                && before != after
                && (before - after).abs() <= site.rules.most_levels
                && self.judge.bof(high, h)? > self.judge.bof(low, l)?;
            if legal { self.judge.overlap(low, l, high, h) } else { None }
        }

        fn deep(&self, cell: usize, level: i32, from: i64, to: i64) -> bool {
            let Some(kind) = self.judge.kind(cell, level) else { return false };
            let bottom = self.judge.tof(level) - kind.thickness.0;
            self.judge.deep_enough(bottom, kind.thickness.0, from, to)
        }

        fn from(&mut self, start: usize, before: Option<i32>, level: i32) -> Tail {
            if let Some(known) = self.known.get(&(start, before, level)) {
                return known.clone();
            }
            let site = self.judge.site;
            let (cells, edges) = (site.grid.cells.len(), self.judge.edges.clone());
            let shift = before
                .filter(|before| *before < level)
                .and_then(|before| self.riser(start, before, level))
                .unwrap_or(0);
            let a = edges[start] + shift;
            let mut best: Tail = None;
            let mut run = 0;
            for end in start + 1..=cells {
                if self.judge.kind(end - 1, level).is_none() {
                    break;
                }
                run += self.judge.cell_cost(end - 1, level);
                if edges[end] - edges[start] < site.rules.shortest_run.0 {
                    continue;
                }
                let nexts: Vec<Option<i32>> = if end == cells {
                    vec![None]
                } else {
                    site.module.levels().map(Some).collect()
                };
                for next in nexts {
                    let overlap = match next {
                        Some(next) => match self.riser(end, level, next) {
                            Some(overlap) => overlap,
                            None => continue,
                        },
                        None => 0,
                    };
                    let b = edges[end]
                        - if next.is_some_and(|next| next < level) { overlap } else { 0 };
                    let own = a < b
                        && (start..end).all(|cell| {
                            let (from, to) = (edges[cell].max(a), edges[cell + 1].min(b));
                            from >= to || self.deep(cell, level, from, to)
                        });
                    if !own {
                        continue;
                    }
                    let candidate = match next {
                        None => (run, 0, vec![level; end - start]),
                        Some(next) => {
                            let up = next > level;
                            let at = edges[end];
                            let (low, l) = if up { (end - 1, level) } else { (end, next) };
                            let (from, to) =
                                if up { (at, at + overlap) } else { (at - overlap, at) };
                            if from < 0 || to > edges[cells] || !self.deep(low, l, from, to) {
                                continue;
                            }
                            let Some(rest) = self.from(end, Some(level), next) else { continue };
                            let mut pair = vec![level; cells];
                            pair[end..].fill(next);
                            let riser = self.judge.riser_cost(&pair, end, overlap);
                            let mut levels = vec![level; end - start];
                            levels.extend(&rest.2);
                            (run + riser + rest.0, rest.1 + 1, levels)
                        }
                    };
                    if best.as_ref().is_none_or(|best| candidate < *best) {
                        best = Some(candidate);
                    }
                }
            }
            self.known.insert((start, before, level), best.clone());
            best
        }
    }
}

/// Longer walls, where a linear and a plain optimiser must agree to the last digit and level.
fn forms_agree(seed: u64, shape: Shape) -> Outcome {
    let Some(site) = random_site_up_to(seed, shape, u32::MAX) else { return Outcome::Refused };
    let plain = run_form::RunForm::new(&site).optimum();
    match (lay_out(&site), plain) {
        (Ok(layout), Some((cost, risers, list))) => {
            assert_eq!((layout.cost, layout.steps.len()), (cost, risers), "seed {seed} {shape:?}");
            assert_eq!(levels(&layout), list, "seed {seed} {shape:?}");
            Outcome::Feasible(risers)
        }
        (Err(NoLayout::Fault(_)), _) => Outcome::Refused,
        (Err(_), None) => Outcome::Infeasible,
        (ours, plain) => panic!("seed {seed} {shape:?}: {ours:?} against {plain:?}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
    #[test]
    fn the_linear_and_the_plain_run_form_agree(seed in any::<u64>(), narrow in any::<bool>()) {
        forms_agree(seed, if narrow { Shape::LongNarrow } else { Shape::Long });
    }
}

#[test]
fn the_long_walls_are_worth_solving() {
    for (shape, least) in [(Shape::Long, 10), (Shape::LongNarrow, 10)] {
        let stepped = (0..40)
            .filter(|seed| matches!(forms_agree(*seed, shape), Outcome::Feasible(n) if n > 1))
            .count();
        assert!(stepped >= least, "{shape:?}: {stepped} of 40 with two steps or more");
    }
}
