//! The rates that the layout of steps is chosen by: given outright, or following from the price book.
//! A cost by these rates is never called a price.

use num_rational::BigRational;
use num_traits::One;

use crate::measure::Exact;
use crate::problem::Problem;

/// What is said where no price and no rate is given.
pub const NO_RATE: &str = "no rate for ";

/// Prices of the job that the layout rates follow from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PriceBook {
    /// Footing concrete, per volume.
    pub footing_concrete: Option<Exact>,
    /// Wall concrete, per volume.
    pub wall_concrete: Option<Exact>,
    /// Pump, per volume.
    pub pump: Option<Exact>,
    /// Wall forms, per contact area.
    pub wall_forms: Option<Exact>,
    /// Stripping and cleaning, per contact area.
    pub strip_and_clean: Option<Exact>,
    /// One riser.
    pub riser_each: Option<Exact>,
    /// Rise, per length.
    pub rise: Option<Exact>,
    /// Digging, per bank volume.
    pub dig: Option<Exact>,
    /// Hauling, per loose volume.
    pub haul: Option<Exact>,
    /// Swell as a fraction.
    pub swell: Option<Exact>,
}

/// Layout rates given outright; each one that is missing follows from the price book.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RatesGiven {
    /// Footing concrete, per volume.
    pub footing_concrete: Option<Exact>,
    /// Wall concrete, per volume.
    pub wall_concrete: Option<Exact>,
    /// Forms, per area of one face.
    pub forms_one_face: Option<Exact>,
    /// Digging, per bank volume.
    pub dig: Option<Exact>,
    /// One riser.
    pub riser_each: Option<Exact>,
    /// Each level of rise.
    pub rise_each_level: Option<Exact>,
}

/// One rate with its derivation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RateLine {
    /// What it is for.
    pub what: &'static str,
    /// The rate, exactly, in base units.
    pub rate: Exact,
    /// How it follows.
    pub how: &'static str,
}

/// The six rates, in the order footing, wall, forms of one face, dig, riser, one level of rise.
///
/// # Errors
/// A rate is neither given nor follows from the prices; all such are reported.
pub fn step_rates(
    given: &RatesGiven,
    book: &PriceBook,
    level: &BigRational,
) -> Result<[RateLine; 6], Vec<Problem>> {
    let sum = |a: &Option<Exact>, b: &Option<Exact>| match (a, b) {
        (Some(a), Some(b)) => Some(Exact { value: &a.value + &b.value, ..a.clone() }),
        (Some(a), None) => Some(a.clone()),
        _ => None,
    };
    let scaled = |a: &Option<Exact>, by: BigRational, dimension| {
        a.as_ref().map(|a| Exact { value: &a.value * by, dimension })
    };
    let loose = BigRational::one()
        + book.swell.as_ref().map_or_else(num_traits::Zero::zero, |s| s.value.clone());
    let haul = book.haul.as_ref().map(|haul| Exact { value: &haul.value * loose, ..haul.clone() });
    let money = crate::measure::Dimension::MONEY;
    let rows = [
        (
            "footing concrete",
            &given.footing_concrete,
            sum(&book.footing_concrete, &book.pump),
            "concrete + pump",
            "footing_concrete",
        ),
        (
            "wall concrete",
            &given.wall_concrete,
            sum(&book.wall_concrete, &book.pump),
            "concrete + pump",
            "wall_concrete",
        ),
        (
            "forms, one face",
            &given.forms_one_face,
            sum(&book.wall_forms, &book.strip_and_clean),
            "forms + strip and clean",
            "forms_one_face",
        ),
        ("dig, bank", &given.dig, sum(&book.dig, &haul), "dig + haul x (1 + swell)", "dig"),
        ("one riser", &given.riser_each, book.riser_each.clone(), "price of a riser", "riser_each"),
        (
            "one level of rise",
            &given.rise_each_level,
            scaled(&book.rise, level.clone(), money),
            "price of rise x one level",
            "rise_each_level",
        ),
    ];
    let mut lines = Vec::new();
    let mut missing = Vec::new();
    for (what, outright, derived, how, key) in rows {
        match (outright, derived) {
            (Some(rate), _) => {
                lines.push(RateLine { what, rate: rate.clone(), how: "given outright" })
            }
            (None, Some(rate)) => lines.push(RateLine { what, rate, how }),
            (None, None) => missing.push(
                Problem::error(format!("{NO_RATE}{what}: the layout cannot be chosen by cost"))
                    .help(format!(
                        "give layout_rates.{key}, or the prices that it follows from ({how})"
                    )),
            ),
        }
    }
    <[RateLine; 6]>::try_from(lines).map_err(|_| missing)
}
