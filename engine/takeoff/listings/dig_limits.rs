//! Limits of the excavation in plan: where its banks meet the existing ground, by the sections square to each wall.

use num_rational::BigRational;
use num_traits::{ToPrimitive, Zero};

use super::steps::plane;
use super::text;
use crate::earth::{Bank, Dig, Floor};
use crate::footing::Layout;
use crate::listing::{Amount, listings};
use crate::measure::{Length, Nm, Real, round};
use crate::takeoff::WallJob;

listings! {
    DIG_LIMITS = "dig_limits", "where the excavation meets the existing ground in plan, in the grid's unit: by the sections square to each wall, at corners as far as the two walls' limits cross; a bank over the end of a wall or a step is left out", for Crew, by []: LimitPoint {
        side: &'static str, "earth side or low side";
        piece: usize, "number of the piece of the bottom along the walls, from 1";
        wall: String, "wall";
        station: Nm, "local station of the section";
        depth: Amount<Length>, "from the existing ground down to the bottom of footing; 0 where it lies lower";
        offset: Nm, "from the exposed face, positive towards the earth";
        east: Amount<Length>, "easting";
        north: Amount<Length>, "northing";
    }
}

/// How far from the exposed face the bank of a side meets the ground, by the floor and the ground's height.
fn offset(dig: &Dig, floor: &Floor, ground: &BigRational, earth: bool, laid_back: bool) -> Nm {
    let over = ground - BigRational::length(dig.foot(floor));
    let bank = match laid_back && over > BigRational::zero() {
        true => Nm(round::nearest_ratio(&(over * &dig.layback)).to_i64().unwrap_or_default()),
        false => Nm::ZERO,
    };
    match earth {
        true => floor.width - floor.toe + dig.work_space.heel + bank,
        false => Nm::ZERO - (floor.toe + dig.work_space.toe + bank),
    }
}

/// One side of the dig.
struct DigSide<'a> {
    dig: &'a Dig<'a>,
    earth: bool,
    laid_back: bool,
}

impl DigSide<'_> {
    /// The limit's offset and the ground's height at a local station of a floor.
    fn at(&self, floor: &Floor, local: Nm) -> (Nm, BigRational) {
        let station = self.dig.chain.walls()[floor.wall].station + local;
        let ground: BigRational = self.dig.existing.height(station).real();
        (offset(self.dig, floor, &ground, self.earth, self.laid_back), ground)
    }

    /// The local station at which the limit of a wall ends: at a corner where it crosses that of the other wall.
    fn end(&self, wall: usize, at_end: bool) -> Nm {
        let length = |wall: usize| self.dig.chain.walls()[wall].length;
        let here = if at_end { length(wall) } else { Nm::ZERO };
        let floor_at = |wall: usize, at_end: bool| {
            let touches = |floor: &&Floor| {
                floor.wall == wall
                    && if at_end { floor.to == length(wall) } else { floor.from == Nm::ZERO }
            };
            let floor = self.dig.floors.iter().find(touches)?;
            Some(self.at(floor, if at_end { floor.to } else { floor.from }).0)
        };
        let crossing = || {
            let (corner, other) = self.dig.chain.corner_at(wall, at_end)?;
            Some(corner.longer(floor_at(wall, at_end)?, floor_at(other, !at_end)?))
        };
        let longer = crossing().unwrap_or(Nm::ZERO);
        if at_end { here + longer } else { here - longer }
    }
}

/// The limits on both sides.
pub(super) fn limits(job: &WallJob, layout: &Layout) -> Vec<LimitPoint> {
    let (dig, banks) = job.allowances.dig(layout);
    let mut rows = Vec::new();
    for (side, earth) in [("earth side", true), ("low side", false)] {
        let laid_back = earth || banks.low_side == Bank::LaidBack;
        let limit = DigSide { dig: &dig, earth, laid_back };
        for (piece, floor) in (1..).zip(&dig.floors) {
            let wall = &dig.chain.walls()[floor.wall];
            let (from, to) = (wall.station + floor.from, wall.station + floor.to);
            let inner = dig.existing.inside(from, to).iter().map(|(at, _)| *at - wall.station);
            let (first, last) = (limit.end(floor.wall, false), limit.end(floor.wall, true));
            // Where two corners' limits cross before each other the wall has none on this side.
            if first > last {
                continue;
            }
            let ends = [(Nm::ZERO, first), (wall.length, last)];
            for local in [floor.from].into_iter().chain(inner).chain([floor.to]) {
                let along = match ends.iter().find(|(end, _)| *end == local) {
                    Some((_, crossing)) => *crossing,
                    None if (first..=last).contains(&local) => local,
                    // Beyond the crossing lies the other wall's dig.
                    None => continue,
                };
                let (own, ground) = limit.at(floor, local);
                let [east, north] = plane(job, dig.chain.point_beside(floor.wall, along, own));
                let depth = (ground - BigRational::length(floor.bof)).max(BigRational::zero());
                rows.push(LimitPoint {
                    side,
                    piece,
                    wall: text(&wall.id),
                    station: local,
                    depth: Amount::new(depth, job.style.system.length()),
                    offset: own,
                    east,
                    north,
                });
            }
        }
    }
    // What a crossing leaves of a wall begins and ends within a piece.
    let beside = |a: &LimitPoint, b: &LimitPoint| a.wall == b.wall && a.side == b.side;
    for at in 1..rows.len() {
        let starts = at == 1 || !beside(&rows[at - 2], &rows[at - 1]);
        if starts && beside(&rows[at - 1], &rows[at]) {
            rows[at - 1].piece = rows[at].piece;
        }
    }
    for at in 1..rows.len() {
        let ends = at + 1 == rows.len() || !beside(&rows[at], &rows[at + 1]);
        if ends && beside(&rows[at - 1], &rows[at]) {
            rows[at].piece = rows[at - 1].piece;
        }
    }
    rows
}
