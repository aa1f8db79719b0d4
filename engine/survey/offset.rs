//! Station and offset of a point beside a line of straight legs.

use crate::measure::{Length, Limits};
use crate::problem::Problem;

/// A coordinate on the plane.
pub const COORDINATE: Limits = Limits::within("coordinate", -1e8, 1e8, "ft");

/// Where a point is beside a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StationOffset {
    /// Station of the nearest point of the line.
    pub station: Length,
    /// Distance from the line, positive to the right of its direction.
    pub offset: Length,
    /// How far the point is before the first or beyond the last corner, along the leg there; 0 beside the line.
    pub beyond: Length,
}

/// One leg seen from a point: distance squared, station, signed offset, overrun.
struct Seen {
    square: f64,
    station: f64,
    offset: f64,
    beyond: f64,
}

/// Station and offset of a point: the nearest point of the line; of two as near, the earlier. Outside a corner the
/// offset is the distance to the corner.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The lists are of different length, there are fewer than two corners, two neighbours are one point, or a coordinate is
/// out of its range.
pub fn station_offset(
    eastings: &[Length],
    northings: &[Length],
    start: Length,
    easting: Length,
    northing: Length,
) -> Result<StationOffset, Problem> {
    if eastings.len() != northings.len() || eastings.len() < 2 {
        return Err(Problem::error(format!(
            "eastings has {} values, northings {}",
            eastings.len(),
            northings.len()
        ))
        .help("northings: as many as eastings, two or more, was expected"));
    }
    COORDINATE.named("start").check(start)?;
    COORDINATE.named("easting").check(easting)?;
    COORDINATE.named("northing").check(northing)?;
    for (name, values) in [("eastings", eastings), ("northings", northings)] {
        for value in values {
            COORDINATE.named(name).check(*value)?;
        }
    }
    let corners: Vec<(f64, f64)> =
        eastings.iter().zip(northings).map(|(e, n)| (e.base(), n.base())).collect();
    let at = (easting.base(), northing.base());
    let mut station = start.base();
    let mut best: Option<Seen> = None;
    let last = corners.len() - 2;
    for (leg, ends) in corners.windows(2).enumerate() {
        let (e, n) = (ends[1].0 - ends[0].0, ends[1].1 - ends[0].1);
        let length = e.hypot(n);
        if length <= 0.0 {
            return Err(Problem::error(format!(
                "corners {} and {} are one point",
                leg + 1,
                leg + 2
            ))
            .help("eastings, northings: corners apart from each other were expected"));
        }
        let (pe, pn) = (at.0 - ends[0].0, at.1 - ends[0].1);
        let along = (pe * e + pn * n) / length;
        let right = (pe * n - pn * e) / length;
        let clamped = along.clamp(0.0, length);
        let (fe, fn_) = (pe - e / length * clamped, pn - n / length * clamped);
        let over = along - clamped;
        let outside = (leg == 0 && over < 0.0) || (leg == last && over > 0.0);
        let distance = fe.hypot(fn_);
        // Nearest to a corner, a point is on its outer side: right of a left turn.
        let corner = if over < 0.0 { leg } else { leg + 1 };
        let offset = if outside || over == 0.0 {
            right
        } else {
            distance.copysign(left_turn(&corners, corner))
        };
        let seen = Seen {
            square: distance * distance,
            station: station + clamped,
            offset,
            beyond: if outside { over.abs() } else { 0.0 },
        };
        if best.as_ref().is_none_or(|best| seen.square < best.square * (1.0 - 1e-12)) {
            best = Some(seen);
        }
        station += length;
    }
    let best = best.ok_or_else(|| Problem::error("the line has no leg"))?;
    let of = Length::from_base;
    Ok(StationOffset {
        station: of(best.station),
        offset: of(best.offset),
        beyond: of(best.beyond),
    })
}

/// Positive where the line turns left at a corner between two legs.
fn left_turn(corners: &[(f64, f64)], at: usize) -> f64 {
    let (before, here, after) = (corners[at - 1], corners[at], corners[at + 1]);
    (here.0 - before.0) * (after.1 - here.1) - (here.1 - before.1) * (after.0 - here.0)
}
