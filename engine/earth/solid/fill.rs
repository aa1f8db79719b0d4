//! What becomes of a dig: concrete and drain rock that stand in it, earth brought back on either side, and what stays open.

use super::columns::{Built, BuiltSpan};
use super::plan::{DigPlan, Ends};
use super::volume;
use super::{Banks, Dig, Floor, parts};
use crate::footing::{FootingPiece, Layout, Part, StemPiece, WorkSpace};
use crate::measure::{Choice, Nm, choice};
use crate::survey::Polyline;

/// On which side of the exposed face something lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FillZone {
    /// Behind it: filled up to the existing ground.
    Earth,
    /// Before it: filled up to the finished grade.
    Low,
}

choice! {
    /// What becomes of a dig.
    pub enum DigPart, "part of the dig" {
        /// All of it, keys left out.
        Dug = "dug",
        /// Footing.
        Footing = "footing",
        /// Stem under the ground.
        Stem = "stem",
        /// Drain rock.
        Drain = "drain rock",
        /// Earth brought back behind the wall.
        BackfillEarth = "backfill behind the wall",
        /// Earth brought back over the toe.
        BackfillLow = "backfill over the toe",
        /// What stays open.
        Open = "open",
    }
}

choice! {
    /// Where earth is brought back.
    pub enum BackfillZone, "zone" {
        /// Both.
        Both = "both",
        /// On the earth side.
        Wall = "behind the wall",
        /// On the low side.
        Toe = "over the toe",
    }
}

impl DigPart {
    /// Its volume in cubic feet, of the parts on the earth side and on the low side of a wall.
    pub fn of(self, [earth, low]: &[DigParts; 2]) -> f64 {
        match self {
            Self::Dug => earth.dug + low.dug,
            Self::Footing => earth.footing + low.footing,
            Self::Stem => earth.stem + low.stem,
            Self::Drain => earth.drain + low.drain,
            Self::BackfillEarth => earth.backfill,
            Self::BackfillLow => low.backfill,
            Self::Open => earth.open + low.open,
        }
    }
}

/// What the parts of a dig are; each is a volume of its own, in cubic feet.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DigParts {
    /// Everything that is dug, keys left out.
    pub dug: f64,
    /// Footing in it.
    pub footing: f64,
    /// Stem in it.
    pub stem: f64,
    /// Drain rock in it.
    pub drain: f64,
    /// Earth brought back, in place.
    pub backfill: f64,
    /// What stays open, under the existing ground and over the finished grade.
    pub open: f64,
}

impl DigParts {
    /// What the parts say together.
    pub fn sum(&self) -> f64 {
        self.footing + self.stem + self.drain + self.backfill + self.open
    }
}

/// A dig and what is built in it: blocks along the walls, as floors are told.
#[derive(Debug, Clone, PartialEq)]
pub struct Fill<'a> {
    /// The dig.
    pub dig: Dig<'a>,
    /// Which banks are laid back.
    pub banks: Banks,
    /// Concrete of the footing.
    pub footing: Vec<Floor>,
    /// The stem, over the footing.
    pub stem: Vec<Floor>,
    /// Drain rock behind the stem.
    pub drain: Vec<Floor>,
    /// Finished grade on the low side.
    pub finished_low: &'a Polyline,
}

impl<'a> Fill<'a> {
    /// What a layout has in its dig.
    pub fn of(
        layout: &'a Layout,
        dig: Dig<'a>,
        banks: Banks,
        drain_width: Nm,
        drain_height_less: Nm,
    ) -> Self {
        let site = &layout.site;
        let walls = site.chain.walls();
        let block = |wall: usize, from: Nm, to: Nm, toe: Nm, width: Nm, levels: (Nm, Nm)| Floor {
            wall,
            from: from - walls[wall].station,
            to: to - walls[wall].station,
            toe,
            width,
            bof: levels.0,
            tof: levels.1,
        };
        let run = |piece: &FootingPiece| {
            let kind = &site.types[piece.kind];
            let levels = (piece.tof - kind.thickness, piece.tof);
            block(piece.wall, piece.from, piece.to, kind.toe, kind.width, levels)
        };
        // Under the upper footing the lower one goes on to the step in the subgrade.
        let overlap = |step: &crate::footing::Step| {
            let kind = &site.types[step.low_type];
            let (from, to) = step.strip();
            let levels = (step.bof_low, step.bof_high.max(step.bof_low));
            block(step.wall, from, to, kind.toe, kind.width, levels)
        };
        let stem = |piece: &StemPiece| {
            let levels = (piece.tof, piece.top.high());
            block(piece.wall, piece.from, piece.to, Nm::ZERO, site.walls[piece.wall].stem, levels)
        };
        let drain = |piece: &StemPiece| {
            let levels = (piece.tof, (piece.top.high() - drain_height_less).max(piece.tof));
            let behind = Nm::ZERO - site.walls[piece.wall].stem;
            block(piece.wall, piece.from, piece.to, behind, drain_width, levels)
        };
        let runs = layout.footings.iter().map(run);
        Self {
            dig,
            banks,
            footing: runs.chain(layout.steps.iter().map(overlap)).collect(),
            stem: layout.stems.iter().map(stem).collect(),
            drain: layout.stems.iter().map(drain).collect(),
            finished_low: &site.ground.finished_low.line,
        }
    }

    /// The parts of the dig by wall, on the earth side and on the low side: what lies nearest to a wall counts as its.
    pub fn parts(&self) -> Vec<[DigParts; 2]> {
        let mut plan = DigPlan::of(&self.dig, &[self.banks]);
        plan.fill_to(&self.dig, self.finished_low);
        for (built, blocks) in [
            (Built::Footing, &self.footing),
            (Built::Stem, &self.stem),
            (Built::Drain, &self.drain),
        ] {
            for block in
                blocks.iter().filter(|block| block.tof > block.bof && block.width > Nm::ZERO)
            {
                let ends = Ends { beside: blocks, work_space: WorkSpace::NONE };
                plan.build(&self.dig, block, ends, |from, to| BuiltSpan { built, from, to });
            }
        }
        let part = |[dug, footing, stem, drain, backfill, open]: [f64; 6]| DigParts {
            dug,
            footing,
            stem,
            drain,
            backfill,
            open,
        };
        volume::parts(&plan).into_iter().map(|zones| zones.map(part)).collect()
    }
}

/// Earth brought back by wall: behind it up to the existing ground, over the toe up to the finished grade.
pub fn backfill(layout: &Layout, walls: &[[DigParts; 2]], zone: BackfillZone) -> Vec<Part> {
    let zones: &[DigPart] = match zone {
        BackfillZone::Both => &[DigPart::BackfillEarth, DigPart::BackfillLow],
        BackfillZone::Wall => &[DigPart::BackfillEarth],
        BackfillZone::Toe => &[DigPart::BackfillLow],
    };
    let zone = |part: DigPart| {
        let volumes = walls.iter().map(|zones| part.of(zones)).collect();
        parts(layout, volumes, part.name(), "its own solid in the dig")
    };
    zones.iter().copied().flat_map(zone).collect()
}
