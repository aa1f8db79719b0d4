//! Step rules and the rates that the layout is chosen by.
//!
//! A rule on one riser by itself stands here whole, and is asked where joints are laid, where risers may stand, and of the
//! drawn steps; a rule on runs, on overlaps or on the bottom is asked where those are worked out.

use num_integer::Roots;
use num_rational::BigRational;

use crate::measure::{Nm, counted};
use crate::survey::{Chain, Depths};

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

/// A stretch of a wall with a name, for rules of the company; both ends belong to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedZone {
    /// Its name: access, surcharge.
    pub name: String,
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
    /// Stretches that rules of the company may ask about.
    pub zones: Vec<NamedZone>,
}

/// A riser as these rules see it.
#[derive(Debug, Clone, Copy)]
pub(super) struct RiserPlace {
    wall: usize,
    /// Local station.
    at: Nm,
    /// The wall before it and the station there, where it stands on a corner between chords.
    also: Option<(usize, Nm)>,
    /// Distance to the nearest corner that is none between chords.
    from_corner: Option<Nm>,
    /// How high it is, once that is known.
    rise: Option<Nm>,
    /// How high one level is.
    level: Nm,
}

impl RiserPlace {
    /// A place at a local station.
    pub(super) fn new(chain: &Chain, wall: usize, at: Nm, level: Nm) -> Self {
        let before = chain.before(wall).filter(|_| at == Nm::ZERO);
        let also = before.map(|before| (before, chain.walls()[before].length));
        Self { wall, at, also, from_corner: chain.from_corner(wall, at), rise: None, level }
    }

    /// With a riser of this height.
    #[must_use]
    pub(super) fn with_rise(self, rise: Nm) -> Self {
        Self { rise: Some(rise), ..self }
    }
}

/// What a rule measures and what it allows, as far as that is a length.
type Measured = (Option<Nm>, Option<Nm>);

/// A rule on one riser.
#[derive(Debug)]
pub struct RiserRule {
    /// Its name for machines.
    pub code: &'static str,
    /// Its rank among findings at one place.
    pub(super) rank: usize,
    breaks: fn(&StepRules, &RiserPlace) -> Option<Measured>,
    /// The broken rule in words, from the printed value and limit.
    words: fn(&str, &str) -> String,
    /// What it asks for in words, if a layout may fail by it without more being said.
    asks: Option<fn(&StepRules, &dyn Fn(Nm) -> String) -> String>,
}

impl PartialEq for RiserRule {
    fn eq(&self, other: &Self) -> bool {
        self.code == other.code
    }
}

impl Eq for RiserRule {}

/// The rules.
static RISER_RULES: [RiserRule; 3] = [
    RiserRule {
        code: "rise",
        rank: 4,
        breaks: |rules, riser| {
            let most = riser.level * i64::from(rules.most_levels);
            let rise = riser.rise?;
            (rise > most).then_some((Some(rise), Some(most)))
        },
        words: |rise, most| format!("the riser is {rise} high; the job allows {most}"),
        asks: Some(|rules, _| {
            let most = usize::try_from(rules.most_levels).unwrap_or(0);
            format!("at most {} per riser", counted(most, "level", "levels"))
        }),
    },
    RiserRule {
        code: "near_corner",
        rank: 1,
        breaks: |rules, riser| {
            let distance = riser.from_corner?;
            let clear = rules.corner_clear;
            (distance < clear).then_some((Some(distance), Some(clear)))
        },
        words: |distance, clear| {
            format!("the riser is {distance} from a corner; the job requires {clear}")
        },
        asks: Some(|rules, show| {
            format!("no riser within {} of a corner", show(rules.corner_clear))
        }),
    },
    RiserRule {
        code: "no_step_zone",
        rank: 2,
        breaks: |rules, riser| {
            let zones = &rules.no_step_zones;
            let holds = |zone: &NoStepZone, (wall, at): (usize, Nm)| {
                zone.wall == wall && zone.from <= at && at <= zone.to
            };
            let places = || [(riser.wall, riser.at)].into_iter().chain(riser.also);
            let inside = zones.iter().any(|zone| places().any(|place| holds(zone, place)));
            inside.then_some((None, None))
        },
        words: |_, _| "the riser is in a stretch without steps".to_owned(),
        asks: None,
    },
];

/// How a riser breaks a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BrokenRule {
    /// The rule.
    pub rule: &'static RiserRule,
    /// What it measures.
    pub value: Option<Nm>,
    /// What it allows.
    pub limit: Option<Nm>,
}

impl BrokenRule {
    /// In words; lengths are printed by `show`.
    pub fn words(&self, show: impl Fn(Nm) -> String) -> String {
        let show = |length: Option<Nm>| length.map(&show).unwrap_or_default();
        (self.rule.words)(&show(self.value), &show(self.limit))
    }
}

impl StepRules {
    /// No rule but how deep the bottom must be: one level a riser, overlaps to the inch.
    pub fn of_depths(depths: Depths) -> Self {
        Self {
            depths,
            shortest_run: Nm::ZERO,
            most_levels: 1,
            corner_clear: Nm::ZERO,
            overlap_step: Nm::INCH,
            overlap_min: Nm::ZERO,
            throat: None,
            no_step_zones: Vec::new(),
            zones: Vec::new(),
        }
    }

    /// The rules that a riser breaks; without a height, those that its place alone breaks.
    pub(super) fn broken_by(&self, riser: RiserPlace) -> impl Iterator<Item = BrokenRule> {
        RISER_RULES.iter().filter_map(move |rule| {
            let (value, limit) = (rule.breaks)(self, &riser)?;
            Some(BrokenRule { rule, value, limit })
        })
    }

    /// What they ask for in words.
    pub(super) fn asked_of_risers(&self, show: impl Fn(Nm) -> String) -> String {
        let asked: Vec<String> =
            RISER_RULES.iter().filter_map(|rule| Some((rule.asks?)(self, &show))).collect();
        asked.join(", ")
    }
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
    /// Digging beyond the footing.
    pub work_space: WorkSpace,
}

/// Digging beyond the footing, by side.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct WorkSpace {
    /// On the exposed side.
    pub toe: Nm,
    /// On the earth side.
    pub heel: Nm,
}

impl WorkSpace {
    /// None on either side.
    pub const NONE: Self = Self::on_each_side(Nm::ZERO);

    /// The same on both sides.
    pub const fn on_each_side(each: Nm) -> Self {
        Self { toe: each, heel: each }
    }

    /// Of both sides together.
    pub fn both(self) -> Nm {
        self.toe + self.heel
    }

    /// Past a free end of the wall: as on the side that has more.
    pub fn past_an_end(self) -> Nm {
        self.toe.max(self.heel)
    }
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
