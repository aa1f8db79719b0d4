//! What a layout is made of: footing pieces, stem pieces, and the parts of the dug bottom.

use super::{Site, Step};
use crate::measure::Nm;

/// A stretch of one wall with one level and one type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FootingPiece {
    /// Index of the wall.
    pub wall: usize,
    /// Chain station of its start.
    pub from: Nm,
    /// Chain station of its end.
    pub to: Nm,
    /// Its level.
    pub level: i32,
    /// Top of footing.
    pub tof: Nm,
    /// Index of its type.
    pub kind: usize,
    /// Bottom of footing.
    pub bof: Nm,
}

/// A stretch of one wall with one level and one top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StemPiece {
    /// Index of the wall.
    pub wall: usize,
    /// Chain station of its start.
    pub from: Nm,
    /// Chain station of its end.
    pub to: Nm,
    /// Top of footing under it.
    pub tof: Nm,
    /// Top of wall.
    pub top: Nm,
    /// Index of its type.
    pub kind: usize,
}

impl StemPiece {
    /// Stem height.
    pub fn height(&self) -> Nm {
        self.top - self.tof
    }
}

/// A level stretch of the dug bottom. In a strip under a riser it belongs to the lower run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BottomPart {
    /// Chain station of its start.
    pub from: Nm,
    /// Chain station of its end.
    pub to: Nm,
    /// Index of the footing type.
    pub kind: usize,
    /// Top of footing of the run that it belongs to.
    pub tof: Nm,
    /// Bottom of footing.
    pub bof: Nm,
    /// Index of the run, counted from station 0.
    pub run: usize,
}

pub(super) fn footing_pieces(site: &Site, levels: &[i32]) -> Vec<FootingPiece> {
    let mut pieces: Vec<FootingPiece> = Vec::new();
    for (index, (cell, level)) in site.grid.cells.iter().zip(levels).enumerate() {
        let Some(at) = site.at(index, *level) else { continue };
        match pieces.last_mut() {
            Some(last) if (last.wall, last.level, last.kind) == (cell.wall, *level, at.kind) => {
                last.to = cell.to;
            }
            _ => pieces.push(FootingPiece {
                wall: cell.wall,
                from: cell.from,
                to: cell.to,
                level: *level,
                tof: site.module.top_of_footing(*level),
                kind: at.kind,
                bof: at.bottom,
            }),
        }
    }
    pieces
}

pub(super) fn stem_pieces(site: &Site, levels: &[i32]) -> Vec<StemPiece> {
    let mut pieces: Vec<StemPiece> = Vec::new();
    for (index, (cell, level)) in site.grid.cells.iter().zip(levels).enumerate() {
        let Some(at) = site.at(index, *level) else { continue };
        let tof = site.module.top_of_footing(*level);
        match pieces.last_mut() {
            Some(last) if (last.wall, last.tof, last.top) == (cell.wall, tof, cell.top) => {
                last.to = cell.to;
            }
            _ => pieces.push(StemPiece {
                wall: cell.wall,
                from: cell.from,
                to: cell.to,
                tof,
                top: cell.top,
                kind: at.kind,
            }),
        }
    }
    pieces
}

/// The dug bottom: the cells with the strips cut out of the upper runs and given to the lower ones.
pub(super) fn bottom_parts(site: &Site, levels: &[i32], steps: &[Step]) -> Vec<BottomPart> {
    let mut parts: Vec<BottomPart> = Vec::new();
    let mut run = 0;
    let strips: Vec<(Nm, Nm)> = steps.iter().map(|step| site.strip(&step.riser)).collect();
    let mut enter = |part: BottomPart| {
        if part.from >= part.to {
            return;
        }
        match parts.last_mut() {
            Some(last)
                if last.to == part.from
                    && BottomPart { from: last.from, to: last.to, ..part } == *last =>
            {
                last.to = part.to;
            }
            _ => parts.push(part),
        }
    };
    for (index, (cell, level)) in site.grid.cells.iter().zip(levels).enumerate() {
        if index > 0 && levels[index - 1] != *level {
            run += 1;
        }
        let Some(at) = site.at(index, *level) else { continue };
        let tof = site.module.top_of_footing(*level);
        let own = |from, to| BottomPart { from, to, kind: at.kind, tof, bof: at.bottom, run };
        let mut done = cell.from;
        for (step, strip) in steps.iter().zip(&strips) {
            let (from, to) = (strip.0.max(cell.from), strip.1.min(cell.to));
            if from >= to {
                continue;
            }
            enter(own(done, from));
            let below = if step.riser.up() { run.saturating_sub(1) } else { run + 1 };
            let tof = step.tof_before.min(step.tof_after);
            enter(BottomPart { from, to, kind: step.low_type, tof, bof: step.bof_low, run: below });
            done = to;
        }
        enter(own(done, cell.to));
    }
    parts
}
