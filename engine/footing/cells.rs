//! What a cell is at a level and what a riser is between two levels: types, bottoms, legality, cost items.

use num_rational::BigRational;

use super::{Cell, Grid, Module, StepRates, StepRules, WallSpec, WallType, overlap, type_for};
use crate::measure::{Approx, Nm, Real, decided};
use crate::problem::Problem;
use crate::survey::{Chain, Ground};

/// Everything that a layout of steps is decided by.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// System of units that its derivations are written in.
    pub system: super::System,
    /// The walls in plan.
    pub chain: Chain,
    /// What the plan says of each.
    pub walls: Vec<WallSpec>,
    /// The wall schedule, by ascending stem height.
    pub types: Vec<WallType>,
    /// Panel and level module.
    pub module: Module,
    /// Step rules.
    pub rules: StepRules,
    /// Rates that the layout is chosen by.
    pub rates: StepRates,
    /// Ground lines.
    pub ground: Ground,
    /// Joints and cells.
    pub grid: Grid,
}

/// A cell at a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CellAt {
    /// Index of its wall type.
    pub kind: usize,
    /// Bottom of footing.
    pub bottom: Nm,
}

/// A riser between two levels at a cell edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Riser {
    /// Index of the cell after it.
    pub edge: usize,
    /// Level before it.
    pub before: i32,
    /// Level after it.
    pub after: i32,
    /// Length by which the lower footing runs under the upper one.
    pub overlap: Nm,
    /// Chain station of the dirt cut.
    pub cut: Nm,
    /// Cell on the low side, whose type the strip has.
    pub low_cell: usize,
    /// Cell on the high side, next to the riser.
    pub high_cell: usize,
}

impl Riser {
    /// Whether the level rises along the chain.
    pub fn up(&self) -> bool {
        self.after > self.before
    }

    /// Lower of its two levels.
    pub fn low_level(&self) -> i32 {
        self.before.min(self.after)
    }

    /// Higher of its two levels.
    pub fn high_level(&self) -> i32 {
        self.before.max(self.after)
    }
}

impl Site {
    /// The cell at a level, or nothing when no type serves it there.
    pub fn at(&self, cell: usize, level: i32) -> Option<CellAt> {
        let tof = self.module.top_of_footing(level);
        let kind = type_for(&self.types, self.grid.cells[cell].top - tof)?;
        Some(CellAt { kind, bottom: tof - self.types[kind].thickness })
    }

    /// Whether a bottom meets the required line over a closed interval.
    pub fn deep_enough(&self, at: CellAt, from: Nm, to: Nm) -> bool {
        let thickness = self.types[at.kind].thickness;
        at.bottom <= self.ground.highest_bottom(&self.rules.depths, thickness, from, to)
    }

    /// The riser between two levels at the start of cell `edge`, if a riser may stand there at all:
    /// an allowed joint, a legal rise, types on both sides, the upper bottom higher.
    pub fn riser(&self, edge: usize, before: i32, after: i32) -> Option<Riser> {
        let rise = before.abs_diff(after);
        let most = u32::try_from(self.rules.most_levels).unwrap_or(0);
        if edge == 0 || !*self.grid.riser_at.get(edge)? || rise == 0 || rise > most {
            return None;
        }
        let (a, b) = (self.at(edge - 1, before)?, self.at(edge, after)?);
        let (low, high, low_cell, high_cell) =
            if after > before { (a, b, edge - 1, edge) } else { (b, a, edge, edge - 1) };
        if high.bottom <= low.bottom {
            return None;
        }
        let low_top = low.bottom + self.types[low.kind].thickness;
        let rules = &self.rules;
        let throat = rules.throat.unwrap_or(self.types[high.kind].thickness);
        let overlap = overlap(throat, low_top - high.bottom, rules.overlap_step, rules.overlap_min);
        let station = self.grid.cells[edge].from;
        let cut = if after > before { station + overlap } else { station - overlap };
        Some(Riser { edge, before, after, overlap, cut, low_cell, high_cell })
    }

    /// The interval of the strip between riser and dirt cut, in chain order.
    pub fn strip(&self, riser: &Riser) -> (Nm, Nm) {
        let station = self.grid.cells[riser.edge].from;
        (station.min(riser.cut), station.max(riser.cut))
    }

    /// The low side's cell at its level.
    pub fn low(&self, riser: &Riser) -> Option<CellAt> {
        self.at(riser.low_cell, riser.low_level())
    }

    /// The high side's cell at its level.
    pub fn high(&self, riser: &Riser) -> Option<CellAt> {
        self.at(riser.high_cell, riser.high_level())
    }

    /// Cost of a cell at a level, in 1e-9 of the currency.
    ///
    /// # Errors
    /// The amount is beyond what can be counted.
    pub fn cell_cost(&self, cell: usize, at: CellAt) -> Result<i128, Problem> {
        let cell = &self.grid.cells[cell];
        decided(|| self.cell_item::<Approx>(cell, at), || self.cell_item::<BigRational>(cell, at))
            .ok_or_else(too_dear)
    }

    /// Cost of a riser, in 1e-9 of the currency: the riser, its overlap concrete, and what its strip digs more.
    ///
    /// # Errors
    /// The amount is beyond what can be counted.
    pub fn riser_cost(&self, riser: &Riser) -> Result<i128, Problem> {
        decided(|| self.riser_item::<Approx>(riser), || self.riser_item::<BigRational>(riser))
            .ok_or_else(too_dear)
    }

    fn cell_item<R: Real>(&self, cell: &Cell, at: CellAt) -> R {
        let kind = &self.types[at.kind];
        let length = R::length(cell.to - cell.from);
        let height = R::length(cell.top - (at.bottom + kind.thickness));
        let footing = R::from_exact(&self.rates.footing)
            .times(&R::length(kind.width))
            .times(&R::length(kind.thickness));
        let stem = R::from_exact(&self.rates.wall)
            .times(&R::length(self.walls[cell.wall].stem))
            .times(&height);
        let forms = R::of(2, 1).times(&R::from_exact(&self.rates.forms)).times(&height);
        let built = length.times(&footing.plus(&stem).plus(&forms));
        nano(&built.plus(&self.dig::<R>(at, cell.from, cell.to)))
    }

    fn riser_item<R: Real>(&self, riser: &Riser) -> R {
        let (Some(low), Some(high)) = (self.low(riser), self.high(riser)) else {
            return R::nothing();
        };
        let levels = i128::from(riser.before.abs_diff(riser.after));
        let (from, to) = self.strip(riser);
        let concrete = R::from_exact(&self.rates.footing)
            .times(&R::length(self.types[low.kind].width))
            .times(&R::length(riser.overlap))
            .times(&R::length(high.bottom - low.bottom));
        let mut sum = R::from_exact(&self.rates.riser)
            .plus(&R::of(levels, 1).times(&R::from_exact(&self.rates.rise)))
            .plus(&concrete)
            .plus(&self.dig::<R>(low, from, to));
        for cell in self.cells_between(from, to) {
            let Some(upper) = self.at(cell, riser.high_level()) else { continue };
            let edges = &self.grid.cells[cell];
            sum = sum.minus(&self.dig::<R>(upper, from.max(edges.from), to.min(edges.to)));
        }
        nano(&sum)
    }

    /// Cells that an interval runs through.
    pub fn cells_between(&self, from: Nm, to: Nm) -> std::ops::Range<usize> {
        let first = self.grid.cells.partition_point(|cell| cell.to <= from);
        let last = self.grid.cells.partition_point(|cell| cell.from < to);
        first..last.max(first)
    }

    fn dig<R: Real>(&self, at: CellAt, from: Nm, to: Nm) -> R {
        let width = self.types[at.kind].width + self.rates.work_space * 2;
        R::from_exact(&self.rates.dig)
            .times(&R::length(width))
            .times(&self.ground.existing.line.area_above::<R>(at.bottom, from, to))
    }
}

fn nano<R: Real>(money: &R) -> R {
    R::of(1_000_000_000, 1).times(money)
}

fn too_dear() -> Problem {
    Problem::error("a cost of the layout is too large to be counted")
        .help("check the rates and the unit of the walls")
}
