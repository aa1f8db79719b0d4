//! Step rules and the rates that the layout is chosen by.

use num_integer::Roots;
use num_rational::BigRational;

use crate::measure::Nm;
use crate::survey::Depths;

/// A stretch of a wall in which no riser may stand; both ends belong to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoStepZone {
    /// Index of the wall.
    pub wall: usize,
    /// Local station of its start.
    pub from: Nm,
    /// Local station of its end.
    pub to: Nm,
}

/// Rules that a layout of steps obeys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepRules {
    /// How deep the bottom must be.
    pub depths: Depths,
    /// Shortest run between two risers, or a riser and an end.
    pub shortest_run: Nm,
    /// Most levels that one riser may rise.
    pub most_levels: i32,
    /// Least distance from a riser to a corner.
    pub corner_clear: Nm,
    /// Overlaps are whole multiples of this.
    pub overlap_step: Nm,
    /// Least overlap.
    pub overlap_min: Nm,
    /// Least concrete through a step; without one, the thickness of the upper footing.
    pub throat: Option<Nm>,
    /// Stretches without steps.
    pub no_step_zones: Vec<NoStepZone>,
}

/// What the layout is chosen by: money per base unit, exactly. Not the prices of an offer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepRates {
    /// Footing concrete, per volume.
    pub footing: BigRational,
    /// Wall concrete, per volume.
    pub wall: BigRational,
    /// Forms, per area of one face.
    pub forms: BigRational,
    /// Digging, per bank volume.
    pub dig: BigRational,
    /// One riser.
    pub riser: BigRational,
    /// Each level that a riser rises.
    pub rise: BigRational,
    /// Digging beyond the footing on each side.
    pub work_space: Nm,
}

/// The overlap of a step: the least multiple of `step`, not under `least`, that leaves `throat` through the step.
///
/// `drop` is how far the upper footing's bottom lies under the lower footing's top, or zero.
pub fn overlap(throat: Nm, drop: Nm, step: Nm, least: Nm) -> Nm {
    let drop = drop.max(Nm::ZERO).wide();
    let short = throat.wide() * throat.wide() - drop * drop;
    let along = if short <= 0 {
        0
    } else {
        let root = short.sqrt();
        if root * root == short { root } else { root + 1 }
    };
    let needed = along.max(least.wide());
    let steps = num_integer::Integer::div_ceil(&needed, &step.wide());
    Nm(i64::try_from(steps * step.wide()).unwrap_or(i64::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Overlap for thickness and rise in inches, in whole inches.
    fn inches(thickness: i64, rise: i64) -> i64 {
        let (thickness, rise) = (Nm::INCH * thickness, Nm::INCH * rise);
        let drop = (thickness - rise).max(Nm::ZERO);
        overlap(thickness, drop, Nm::INCH, Nm::ZERO).0 / Nm::INCH.0
    }

    /// Derived from the definition of the throat; the rule itself is common practice, no source.
    #[test]
    fn throat_table() {
        let rows = [
            (12, 12, 12),
            (14, 12, 14),
            (15, 12, 15),
            (16, 12, 16),
            (20, 12, 19),
            (12, 24, 12),
            (12, 8, 12),
            (10, 12, 10),
        ];
        for (thickness, rise, expected) in rows {
            assert_eq!(inches(thickness, rise), expected, "{thickness}/{rise}");
        }
        let eighth = overlap(Nm::INCH * 15, Nm::INCH * 3, Nm(Nm::INCH.0 / 8), Nm::ZERO);
        assert_eq!(eighth.0 * 4, Nm::INCH.0 * 59);
    }

    #[test]
    fn the_least_multiple_and_no_less() {
        for throat in 1..60_i64 {
            for drop in 0..70_i64 {
                for step in 1..5_i64 {
                    let o = overlap(Nm(throat), Nm(drop), Nm(step), Nm(2)).0;
                    let meets = |o: i64| o >= 2 && o * o + drop * drop >= throat * throat;
                    assert!(meets(o) && o % step == 0 && (o < step || !meets(o - step)));
                }
            }
        }
    }
}
