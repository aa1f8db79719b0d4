//! What is fixed or forbidden by hand, over and above the step rules.

use super::{Grid, Module};
use crate::measure::Nm;

/// What a lock asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LockKind {
    /// A riser stands at its station.
    Riser,
    /// The top of footing over the whole stretch.
    Tof(Nm),
    /// A top of footing that no part of the stretch has.
    NotTof(Nm),
}

/// Something that is fixed or forbidden by hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lock {
    /// Index of the wall.
    pub wall: usize,
    /// Local station of its start.
    pub from: Nm,
    /// Local station of its end; the same for a riser.
    pub to: Nm,
    /// What it asks for.
    pub kind: LockKind,
    /// Why, in the words of whoever set it.
    pub why: String,
}

/// The locks of a site by cell and edge.
pub(super) struct Locked {
    /// Whether a riser must stand at the start of each cell.
    pub(super) riser: Vec<bool>,
    /// Tops of footing asked for, by cell.
    only: Vec<Vec<Nm>>,
    /// Tops of footing forbidden, by cell.
    never: Vec<Vec<Nm>>,
}

impl Locked {
    pub(super) fn new(site: &super::Site) -> Self {
        let cells = &site.grid.cells;
        let mut locked = Self {
            riser: vec![false; cells.len()],
            only: vec![Vec::new(); cells.len()],
            never: vec![Vec::new(); cells.len()],
        };
        for lock in &site.locks {
            let start = site.chain.walls()[lock.wall].station;
            let (from, to) = (start + lock.from, start + lock.to);
            for (index, cell) in cells.iter().enumerate().filter(|(_, c)| c.wall == lock.wall) {
                let at_edge = from <= cell.from && cell.from <= to;
                let touches = cell.from < to && from < cell.to;
                match lock.kind {
                    LockKind::Riser if at_edge => locked.riser[index] = true,
                    LockKind::Tof(tof) if touches => locked.only[index].push(tof),
                    LockKind::NotTof(tof) if touches => locked.never[index].push(tof),
                    _ => {}
                }
            }
        }
        locked
    }

    /// Whether a cell may have a level.
    pub(super) fn allows(&self, module: &Module, cell: usize, level: i32) -> bool {
        let tof = module.top_of_footing(level);
        self.only[cell].iter().all(|only| *only == tof) && !self.never[cell].contains(&tof)
    }
}

impl Lock {
    /// The nearest joint of its wall on which a riser may stand, if a riser is asked for off them.
    pub fn off_joint(&self, grid: &Grid) -> Option<Option<Nm>> {
        let allowed = &grid.walls[self.wall].allowed;
        if self.kind != LockKind::Riser || allowed.binary_search(&self.from).is_ok() {
            return None;
        }
        Some(allowed.iter().copied().min_by_key(|joint| (*joint - self.from).abs()))
    }
}
