//! What a layout is made of: footing pieces, stem pieces, and the parts of the dug bottom.

use num_rational::BigRational;

use super::{Layout, Step, Stretch, System, TopLine};
use crate::measure::Nm;

/// A stretch of one wall with one level and one type.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FootingPiece {
    /// Index of the wall.
    pub wall: usize,
    /// Running station of its start.
    pub from: Nm,
    /// Running station of its end.
    pub to: Nm,
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
    /// Running station of its start.
    pub from: Nm,
    /// Running station of its end.
    pub to: Nm,
    /// Top of footing under it.
    pub tof: Nm,
    /// Top of wall.
    pub top: TopLine,
    /// Index of its type.
    pub kind: usize,
}

impl StemPiece {
    /// Stem height, at the higher end; nothing where a drawn footing stands as high as the wall or higher.
    pub fn height(&self) -> Nm {
        (self.top.high() - self.tof).max(Nm::ZERO)
    }

    /// Stem heights at its start and end.
    pub fn ends(&self) -> [Nm; 2] {
        self.top.over(self.tof)
    }

    /// Its height in words: one, or the mean of those at its ends.
    pub fn heights(&self, system: System) -> String {
        self.top.words(self.tof, system)
    }

    /// Mean stem height.
    pub fn mean_height(&self) -> BigRational {
        self.top.mean(self.tof)
    }
}

impl Layout {
    /// The earth face of a stem piece, in running stations: at a corner it begins or ends short of the exposed face or beyond it.
    pub fn earth_face(&self, piece: &StemPiece) -> (Nm, Nm) {
        let [start, end] = self.earth_longer(piece);
        (piece.from - start, piece.to + end)
    }

    /// By how much the earth face of a stem piece is longer than the exposed face at its start and end.
    pub fn earth_longer(&self, piece: &StemPiece) -> [Nm; 2] {
        let site = &self.site;
        let mut both = [Nm::ZERO; 2];
        let line = &site.chain.walls()[piece.wall];
        let longer = |at_end: bool| match site.chain.corner_at(piece.wall, at_end) {
            Some((corner, other)) => {
                corner.longer(site.walls[piece.wall].stem, site.walls[other].stem)
            }
            None => Nm::ZERO,
        };
        if piece.from == line.station {
            both[0] = longer(false);
        }
        if piece.to == line.station + line.length {
            both[1] = longer(true);
        }
        both
    }
}

/// A level stretch of the dug bottom. In a strip under a riser it belongs to the lower run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BottomPart {
    /// Running station of its start.
    pub from: Nm,
    /// Running station of its end.
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

/// Footing pieces of stretches in order along the walls.
pub(super) fn footing_pieces(stretches: &[Stretch]) -> Vec<FootingPiece> {
    let mut pieces: Vec<FootingPiece> = Vec::new();
    for stretch in stretches {
        let Stretch { wall, from, to, tof, kind, bottom: bof, .. } = *stretch;
        match pieces.last_mut() {
            Some(last) if (last.wall, last.tof, last.kind) == (wall, tof, kind) => last.to = to,
            _ => pieces.push(FootingPiece { wall, from, to, tof, kind, bof }),
        }
    }
    pieces
}

/// Stem pieces of stretches in order along the walls.
pub(super) fn stem_pieces(stretches: &[Stretch]) -> Vec<StemPiece> {
    let mut pieces: Vec<StemPiece> = Vec::new();
    for stretch in stretches {
        let Stretch { wall, from, to, top, tof, kind, .. } = *stretch;
        match pieces.last_mut() {
            Some(last) if top.is_level() && (last.wall, last.tof, last.top) == (wall, tof, top) => {
                last.to = to;
            }
            _ => pieces.push(StemPiece { wall, from, to, tof, top, kind }),
        }
    }
    pieces
}

/// The dug bottom: the stretches, with the strips cut out of the upper runs and given to the lower ones.
pub(super) fn bottom_parts(stretches: &[Stretch], steps: &[Step]) -> Vec<BottomPart> {
    let mut parts: Vec<BottomPart> = Vec::new();
    let longest = steps.iter().map(|step| step.overlap).fold(Nm::ZERO, Nm::max);
    let mut run = 0_usize;
    for (index, stretch) in stretches.iter().enumerate() {
        if index > 0 && stretches[index - 1].tof != stretch.tof {
            run += 1;
        }
        let near = steps.partition_point(|step| step.station + longest <= stretch.from)
            ..steps.partition_point(|step| step.station - longest < stretch.to);
        let strips: Vec<&Step> =
            steps[near].iter().filter(|step| step.bof_low < stretch.bottom).collect();
        let mut cuts = vec![stretch.from, stretch.to];
        cuts.extend(strips.iter().flat_map(|step| <[Nm; 2]>::from(step.strip())));
        cuts.retain(|cut| stretch.from <= *cut && *cut <= stretch.to);
        cuts.sort_unstable();
        cuts.dedup();
        for pair in cuts.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let over = strips.iter().filter(|step| {
                let (a, b) = step.strip();
                a <= from && to <= b
            });
            let part = match over.min_by_key(|step| step.bof_low) {
                Some(step) => BottomPart {
                    from,
                    to,
                    kind: step.low_type,
                    tof: step.tof_before.min(step.tof_after),
                    bof: step.bof_low,
                    run: if step.up() { run.saturating_sub(1) } else { run + 1 },
                },
                None => {
                    let Stretch { tof, kind, bottom: bof, .. } = *stretch;
                    BottomPart { from, to, kind, tof, bof, run }
                }
            };
            match parts.last_mut() {
                Some(last)
                    if last.to == from
                        && (BottomPart { from: last.from, ..part })
                            == (BottomPart { to, ..*last }) =>
                {
                    last.to = to;
                }
                _ => parts.push(part),
            }
        }
    }
    parts
}
