//! Stake-out: points on the exposed face with coordinates, elevation and code.

use super::steps::{mark, plane, tape};
use super::text;
use crate::footing::{Layout, local};
use crate::listing::{Amount, listings};
use crate::measure::{Length, Nm};
use crate::takeoff::WallJob;

listings! {
    STAKE_OUT = "stake_out", "points to set out on the exposed face, in the grid's unit; edges of the footing lie off it by toe and heel", for Crew, by ["point"]: StakePoint {
        point: usize, "number, along the walls";
        code: &'static str, "FACE for an end or corner of the wall, TOF for a riser, BOF for a step in the subgrade";
        what: String, "what it is";
        wall: String, "wall";
        station: Nm, "local station";
        station_tape: Option<String>, "the same in feet and inches";
        north: Amount<Length>, "northing";
        east: Amount<Length>, "easting";
        elevation: Amount<Length>, "top of footing of FACE and TOF, bottom of footing of BOF";
    }
}

/// A point before it has its number.
struct Spot {
    /// Running station by which the points are sorted.
    chain: Nm,
    wall: usize,
    local: Nm,
    code: &'static str,
    what: String,
    elevation: Nm,
}

/// Ends and corners of the walls, two points at every riser and at every step in the subgrade: one for each level that meets there.
pub(super) fn stake_out(job: &WallJob, layout: &Layout) -> Vec<StakePoint> {
    let site = &job.site;
    let walls = site.chain.walls();
    let top = |chain: Nm| {
        let piece = layout.footings.iter().rfind(|piece| piece.from <= chain);
        piece.or(layout.footings.first()).map_or(Nm::ZERO, |piece| piece.tof)
    };
    let face = |wall: usize, local: Nm, what: String| {
        let chain = walls[wall].station + local;
        Spot { chain, wall, local, code: "FACE", what, elevation: top(chain) }
    };
    let mut spots = Vec::new();
    if site.chain.ring().is_none() {
        spots.push(face(0, Nm::ZERO, format!("start of {}", walls[0].id)));
    }
    for corner in site.chain.corners() {
        let names = format!("corner {}/{}", walls[corner.before].id, walls[corner.after].id);
        spots.push(face(corner.after, Nm::ZERO, names));
    }
    if let (Some(last), false) = (walls.last(), site.chain.ring().is_some()) {
        spots.push(face(walls.len() - 1, last.length, format!("end of {}", last.id)));
    }
    for (number, step) in (1..).zip(&layout.steps) {
        let (_, station, cut) = local(site, step.wall, step.station, step.cut());
        let on_wall = Nm::ZERO <= cut && cut <= walls[step.wall].length;
        let cut_wall = if on_wall { step.wall } else { site.chain.wall_at(step.cut()) };
        let (_, cut, _) = local(site, cut_wall, step.cut(), step.cut());
        let (low, high) =
            (step.tof_before.min(step.tof_after), step.tof_before.max(step.tof_after));
        for (which, elevation) in [("lower", low), ("upper", high)] {
            let what = format!("step {number}, riser, {which} top of footing");
            spots.push(Spot {
                chain: step.station,
                wall: step.wall,
                local: station,
                code: "TOF",
                what,
                elevation,
            });
        }
        for (which, elevation) in [("lower", step.bof_low), ("upper", step.bof_high)] {
            let what = format!("step {number}, subgrade step, {which} bottom of footing");
            spots.push(Spot {
                chain: step.cut(),
                wall: cut_wall,
                local: cut,
                code: "BOF",
                what,
                elevation,
            });
        }
    }
    spots.sort_by_key(|spot| spot.chain);
    let row = |(number, spot): (usize, Spot)| {
        let wall = &walls[spot.wall];
        let [east, north] = plane(job, wall.point_at(spot.local));
        StakePoint {
            point: number,
            code: spot.code,
            what: spot.what,
            wall: text(&wall.id),
            station: spot.local,
            station_tape: tape(job, spot.local),
            north,
            east,
            elevation: mark(job, spot.elevation),
        }
    };
    (1..).zip(spots).map(row).collect()
}
