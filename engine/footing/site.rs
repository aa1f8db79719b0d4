//! What a cell is at a level and what a riser is between two levels: types, bottoms, where they may stand.

use super::hooks::AskedAt;
use super::rules::RiserPlace;
use super::{
    End, Grid, GridCell, Hooks, Lock, Module, StepRates, StepRules, WallSpec, WallType, overlap,
    type_for,
};
use crate::measure::Nm;
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
    /// What was fixed or forbidden by hand.
    pub locks: Vec<Lock>,
    /// Rules of the company in place of built-in ones.
    pub hooks: Hooks,
}

/// A cell at a level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CellAt {
    /// Index of its wall type.
    pub kind: usize,
    /// Bottom of footing.
    pub bottom: Nm,
}

/// A stretch of one wall that is built at one level, with one type and one top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Index of the wall.
    pub wall: usize,
    /// Running station of its start.
    pub from: Nm,
    /// Running station of its end.
    pub to: Nm,
    /// Top of wall.
    pub top: super::TopLine,
    /// Top of footing.
    pub tof: Nm,
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
    /// The low side's type and bottom, which the strip has.
    pub low: CellAt,
    /// The high side's type and bottom, next to the riser.
    pub high: CellAt,
}

impl Riser {
    /// Whether the level rises along the walls.
    pub fn up(&self) -> bool {
        self.after > self.before
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
        let cell = &self.grid.cells[cell];
        let spot = AskedAt { wall: cell.wall, from: cell.from, to: cell.to };
        // A stem that ended under its footing's top would be none.
        if cell.top.low() < tof {
            return None;
        }
        let kind = self.type_of(spot, cell.top.high() - tof)?;
        Some(CellAt { kind, bottom: tof - self.types[kind].thickness })
    }

    /// The wall type for a stem on a wall.
    pub(super) fn type_of(&self, spot: AskedAt, stem: Nm) -> Option<usize> {
        self.own_type(spot, stem).unwrap_or_else(|| type_for(&self.types, stem))
    }

    /// Whether a bottom meets the required line over a closed interval.
    pub fn deep_enough(&self, at: CellAt, from: Nm, to: Nm) -> bool {
        let thickness = self.types[at.kind].thickness;
        at.bottom <= self.ground.highest_bottom(&self.rules.depths, thickness, from, to)
    }

    /// The riser between two levels at the start of cell `edge`, if a riser may stand there at all:
    /// an allowed joint, a legal rise, types on both sides, the upper bottom higher.
    pub fn riser(&self, edge: usize, before: i32, after: i32) -> Option<Riser> {
        if edge == 0 || !*self.grid.riser_at.get(edge)? || before == after {
            return None;
        }
        self.riser_between(edge, before, after, self.at(edge - 1, before)?, self.at(edge, after)?)
    }

    /// The same when both sides are known.
    pub(super) fn riser_between(
        &self,
        edge: usize,
        before: i32,
        after: i32,
        a: CellAt,
        b: CellAt,
    ) -> Option<Riser> {
        let up = after > before;
        let (low, high) = if up { (a, b) } else { (b, a) };
        if high.bottom <= low.bottom {
            return None;
        }
        let GridCell { wall, from, .. } = self.grid.cells[edge];
        let (local, level) = (from - self.chain.walls()[wall].station, self.module.rise);
        let rise = level * i64::from(before.abs_diff(after));
        let place = RiserPlace::new(&self.chain, wall, local, level).with_rise(rise);
        if self.rules.broken_by(place).next().is_some() {
            return None;
        }
        let overlap = self.overlap_of(AskedAt::at(wall, from), low, high);
        Some(Riser { edge, before, after, overlap, low, high })
    }

    /// The overlap that a step between two footings needs.
    pub(super) fn overlap_of(&self, spot: AskedAt, low: CellAt, high: CellAt) -> Nm {
        let needed = self.needed_overlap(low, high);
        self.own_overlap(spot, low, high, needed).unwrap_or(needed)
    }

    /// The overlap that throat and least overlap ask for.
    pub fn needed_overlap(&self, low: CellAt, high: CellAt) -> Nm {
        let rules = &self.rules;
        let low_top = low.bottom + self.types[low.kind].thickness;
        overlap(
            self.throat(high.kind),
            low_top - high.bottom,
            rules.overlap_step,
            rules.overlap_min,
        )
    }

    /// Least concrete through a step under an upper footing of this type.
    pub fn throat(&self, high: usize) -> Nm {
        self.rules.throat.unwrap_or(self.types[high].thickness)
    }

    /// What the kit at an end of a wall takes of its exposed and of its earth face.
    pub fn corner_kit(&self, wall: usize, at: End) -> [Nm; 2] {
        let grid = &self.grid.walls[wall];
        let exposed = if at == End::Start { grid.kit_start } else { grid.kit_end };
        let stem = |wall: usize| self.walls[wall].stem;
        let longer = match self.chain.corner_at(wall, at == End::End) {
            Some((corner, other)) => corner.longer(stem(wall), stem(other)),
            None => Nm::ZERO,
        };
        [exposed, (exposed + longer).max(Nm::ZERO)]
    }

    /// Running station of a riser.
    pub fn station(&self, riser: &Riser) -> Nm {
        self.grid.cells[riser.edge].from
    }

    /// Running station of its step in the subgrade, on the high side.
    pub fn cut(&self, riser: &Riser) -> Nm {
        let station = self.station(riser);
        if riser.up() { station + riser.overlap } else { station - riser.overlap }
    }

    /// The interval of the strip between riser and step in the subgrade, in order along the walls.
    pub fn strip(&self, riser: &Riser) -> (Nm, Nm) {
        let (station, cut) = (self.station(riser), self.cut(riser));
        (station.min(cut), station.max(cut))
    }

    /// A cell built at a level.
    pub fn stretch(&self, cell: usize, level: i32) -> Option<Stretch> {
        let at = self.at(cell, level)?;
        let GridCell { wall, from, to, top } = self.grid.cells[cell];
        let tof = self.module.top_of_footing(level);
        Some(Stretch { wall, from, to, top, tof, kind: at.kind, bottom: at.bottom })
    }

    /// Cells that an interval runs through.
    pub fn cells_between(&self, from: Nm, to: Nm) -> std::ops::Range<usize> {
        let first = self.grid.cells.partition_point(|cell| cell.to <= from);
        let last = self.grid.cells.partition_point(|cell| cell.from < to);
        first..last.max(first)
    }
}
