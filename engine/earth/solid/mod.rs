//! The dig as a solid: what stands over the floors and the laid-back banks round them, up to the existing ground.
//!
//! The section along the exposed face counts the inside of corners twice, misses the outside, and has no bank at free
//! ends and at steps. Here the dug floors are rectangles in plan, the banks rise from their edges, and the ground over
//! any point is the existing line at the running station of the nearest point of the exposed face.

mod banks;
mod columns;
mod exact;
mod fill;
mod plan;
mod rays;
mod shapes;
mod volume;

pub use fill::{BackfillZone, DigPart, DigParts, Fill, backfill};

use num_rational::BigRational;
use num_traits::{ToPrimitive, Zero};

use crate::footing::{BottomPart, Layout, Part, WorkSpace};
use crate::measure::{Dimension, Exact, Nm, Real, Unreduced, choice, nearest_double, ratio};
use crate::survey::{Chain, Polyline};

choice! {
    /// From where up a bank is laid back.
    pub enum LaybackFrom, "layback_from" {
        /// From the bottom of the cut.
        Bottom = "bottom",
        /// From the top of footing, the footing's own height being dug straight.
        FootingTop = "footing top",
    }
}

impl LaybackFrom {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Bottom => "bottom",
            Self::FootingTop => "footing top",
        }
    }
}

/// A level floor of the dig along one wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Floor {
    /// Index of its wall.
    pub wall: usize,
    /// Local station of its start.
    pub from: Nm,
    /// Local station of its end.
    pub to: Nm,
    /// From the exposed face out to the footing's edge on the low side.
    pub toe: Nm,
    /// Width of the footing.
    pub width: Nm,
    /// Bottom of footing.
    pub bof: Nm,
    /// Top of footing.
    pub tof: Nm,
}

choice! {
    /// Whether a bank is laid back.
    pub enum Bank, "bank" {
        /// It is.
        LaidBack = "laid back",
        /// It is dug straight down.
        Straight = "straight",
    }
}

/// Which banks are laid back beside those of the earth side, which always are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Banks {
    /// At the free ends of the chain.
    pub ends: Bank,
    /// On the low side.
    pub low_side: Bank,
}

impl Banks {
    /// The earth side alone.
    pub const EARTH_SIDE: Self = Self { ends: Bank::Straight, low_side: Bank::Straight };
    /// The earth side and the free ends.
    pub const ENDS: Self = Self { ends: Bank::LaidBack, low_side: Bank::Straight };
    /// All sides.
    pub const ALL: Self = Self { ends: Bank::LaidBack, low_side: Bank::LaidBack };
}

/// What is dug: the floors, and how the banks round them stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Dig<'a> {
    /// The walls.
    pub chain: &'a Chain,
    /// Existing ground along the walls.
    pub existing: &'a Polyline,
    /// The floors, in order along the walls.
    pub floors: Vec<Floor>,
    /// Whether the dig ends at the start and at the end of the chain; not where a neighbour's dig goes on.
    pub ends: [bool; 2],
    /// Digging beyond the footing.
    pub work_space: WorkSpace,
    /// Layback, horizontal per vertical.
    pub layback: BigRational,
    /// From where up.
    pub from: LaybackFrom,
}

impl<'a> Dig<'a> {
    /// The dig of a layout.
    pub fn of(layout: &'a Layout, layback: &BigRational, from: LaybackFrom) -> Self {
        let site = &layout.site;
        let floor = |part: BottomPart| {
            let wall = site.chain.wall_at(part.from);
            let start = site.chain.walls()[wall].station;
            let kind = &site.types[part.kind];
            Floor {
                wall,
                from: part.from - start,
                to: part.to - start,
                toe: kind.toe,
                width: kind.width,
                bof: part.bof,
                tof: part.tof,
            }
        };
        let parts = layout.bottom.iter().flat_map(|part| by_wall(layout, part));
        let (first, last) = (site.walls.first(), site.walls.last());
        Self {
            chain: &site.chain,
            existing: &site.ground.existing.line,
            floors: parts.map(floor).collect(),
            ends: [
                first.is_none_or(|wall| wall.lead_start.is_none()),
                last.is_none_or(|wall| wall.lead_end.is_none()),
            ],
            work_space: site.rates.work_space,
            layback: layback.clone(),
            from,
        }
    }

    /// Height from which the bank of a floor is laid back.
    pub fn foot(&self, floor: &Floor) -> Nm {
        match self.from {
            LaybackFrom::Bottom => floor.bof,
            LaybackFrom::FootingTop => floor.tof,
        }
    }

    /// Section along the exposed face of one floor, in cubic nanometres: straight down to its bottom over its width and
    /// work space, laid back on the earth side.
    pub fn section(&self, floor: &Floor) -> BigRational {
        let start = self.chain.walls()[floor.wall].station;
        let (from, to) = (start + floor.from, start + floor.to);
        let width = floor.width + self.work_space.both();
        let area: Unreduced = self.existing.area_above(floor.bof, from, to);
        let square: Unreduced = self.existing.square_above(self.foot(floor), from, to);
        let half = Unreduced::of(1, 2).times(&Unreduced::from_exact(&self.layback));
        Unreduced::length(width).times(&area).plus(&half.times(&square)).reduced()
    }

    /// Volume in cubic feet by wall, once for each choice of banks: what lies nearest to a wall counts as its.
    pub fn solid(&self, choices: &[Banks]) -> Vec<Vec<f64>> {
        volume::volumes(&plan::DigPlan::of(self, choices))
    }

    /// The greatest height of the low side where it is dug straight down, with its running station.
    pub fn low_side(&self) -> Option<(Nm, BigRational)> {
        let heights = self.floors.iter().flat_map(|floor| {
            let start = self.chain.walls()[floor.wall].station;
            let (from, to) = (start + floor.from, start + floor.to);
            let inner = self.existing.inside(from, to).iter().map(|(station, _)| *station);
            let all = std::iter::once(from).chain(inner).chain(std::iter::once(to));
            all.map(|s| (s, self.existing.height(s).above(floor.bof).real::<BigRational>()))
        });
        let positive = heights.filter(|(_, height)| num_traits::Signed::is_positive(height));
        // The first of equal heights, as a reader walks the chain.
        positive.reduce(|best, next| if next.1 > best.1 { next } else { best })
    }
}

/// What the solid has beyond the section because of corners and steps, wall by wall; it may be less.
pub fn dig_corners(layout: &Layout, layback: &BigRational, from: LaybackFrom) -> Vec<Part> {
    let dig = Dig::of(layout, layback, from);
    let solid = dig.solid(&[Banks::EARTH_SIDE]);
    let cubic_foot = ratio(Nm::FOOT.wide(), 1).pow(3);
    let section = |wall: usize| {
        let own = dig.floors.iter().filter(|floor| floor.wall == wall);
        let sum = own.map(|floor| dig.section(floor)).sum::<BigRational>() / &cubic_foot;
        nearest_double(&sum)
    };
    let less = |(wall, volume): (usize, &f64)| volume - section(wall);
    let volumes = solid[0].iter().enumerate().map(less).collect();
    parts(layout, volumes, "corners and steps", "the solid of floors and banks, less the section")
}

/// What laid-back free ends add to the solid.
pub fn dig_ends(layout: &Layout, layback: &BigRational, from: LaybackFrom) -> Vec<Part> {
    beyond(layout, layback, from, [Banks::EARTH_SIDE, Banks::ENDS], "free ends")
}

/// What a laid-back low side adds to the solid, its free ends being as said.
pub fn dig_low_side(
    layout: &Layout,
    layback: &BigRational,
    from: LaybackFrom,
    ends: Bank,
) -> Vec<Part> {
    let with = |low_side| Banks { ends, low_side };
    beyond(layout, layback, from, [with(Bank::Straight), with(Bank::LaidBack)], "low side")
}

fn beyond(
    layout: &Layout,
    layback: &BigRational,
    from: LaybackFrom,
    choices: [Banks; 2],
    what: &str,
) -> Vec<Part> {
    let solid = Dig::of(layout, layback, from).solid(&choices);
    let more = solid[1].iter().zip(&solid[0]).map(|(with, without)| with - without).collect();
    parts(layout, more, what, "the solid with its bank laid back, less the solid with it straight")
}

/// Cubic feet in base units, to a millionth of a cubic foot.
pub fn cubic_feet(volume: f64) -> BigRational {
    const PARTS: i64 = 1_000_000;
    #[expect(clippy::cast_precision_loss, reason = "a million is exact")]
    let count = crate::measure::round::nearest_f64(volume * PARTS as f64).to_i128().unwrap_or(0);
    ratio(count, i128::from(PARTS)) * ratio(Nm::FOOT.wide(), 1).pow(3)
}

/// Volumes in cubic feet as parts of the walls; a millionth of a cubic foot is nothing.
fn parts(layout: &Layout, volumes: Vec<f64>, what: &str, how: &str) -> Vec<Part> {
    let walls = layout.site.chain.walls();
    let part = |(wall, volume): (&crate::survey::WallLine, f64)| {
        let value = cubic_feet(volume);
        if value.is_zero() {
            return None;
        }
        Some(Part {
            wall: wall.id.clone(),
            from: Nm::ZERO,
            to: wall.length,
            what: what.to_owned(),
            amount: Exact { value, dimension: Dimension::VOLUME },
            how: how.to_owned(),
        })
    };
    walls.iter().zip(volumes).filter_map(part).collect()
}

/// A part of the bottom cut at the corners that it passes.
fn by_wall(layout: &Layout, part: &BottomPart) -> Vec<BottomPart> {
    let mut pieces = vec![*part];
    for corner in layout.site.chain.corners() {
        let at = corner.station;
        if let Some(last) = pieces.last_mut()
            && last.from < at
            && at < last.to
        {
            let rest = BottomPart { from: at, ..*last };
            last.to = at;
            pieces.push(rest);
        }
    }
    pieces
}
