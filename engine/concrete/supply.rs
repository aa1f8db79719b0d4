//! Supply: batches, bags, trucks, and how fast concrete rises.

use crate::measure::{
    Area, Length, Limits, Ratio, Speed, Time, UnitWeight, Volume, VolumeRate, Weight, choice, round,
};
use crate::problem::Problem;

/// Weight of a batch.
pub const BATCH: Limits = Limits::over("batch", 0.0, "lb");
/// Unit weight of concrete.
pub const UNIT_WEIGHT: Limits = Limits::over_to("unit_weight", 0.0, 400.0, "pcf");
/// A volume of concrete.
pub const VOLUME: Limits = Limits::at_least("volume", 0.0, "cy");
/// What a truck carries.
pub const TRUCK: Limits = Limits::over("truck", 0.0, "cy");
/// A time of a truck's cycle.
pub const MINUTES: Limits = Limits::over("unload", 0.0, "min");
/// Weight of a bag of dry mix.
pub const BAG: Limits = Limits::over("bag", 0.0, "lb");
/// Concrete placed per time.
pub const SUPPLY: Limits = Limits::over("supply", 0.0, "cy/h");
/// Area of the form in plan.
pub const PLAN: Limits = Limits::over("plan", 0.0, "sf");
/// Rate of rise.
pub const RISE: Limits = Limits::over("rise", 0.0, "ft/h");
/// Height of a pour.
pub const POUR: Limits = Limits::over("height", 0.0, "ft");
/// Capacity of a mixer.
pub const MIXER: Limits = Limits::over("capacity", 0.0, "cf");
/// How many mixers.
pub const MIXERS: Limits = Limits::within("mixers", 1.0, 100.0, "");

/// Yield of a batch: its weight over the unit weight measured on its concrete.
///
/// Source `concrete-yield`: NRMCA CIP-8: yield = batch weight over unit weight; hardened volume about 2 % less.
///
/// # Errors
/// An input is out of its range.
pub fn batch_yield(batch: Weight, unit_weight: UnitWeight) -> Result<Volume, Problem> {
    BATCH.check(batch)?;
    UNIT_WEIGHT.check(unit_weight)?;
    Ok(Volume::from_base(batch.base() / unit_weight.base()))
}

/// Waste that one published rule adds to a net volume: 10 %, and 5 % above 200 cy.
///
/// Source `waste-tier`: NAVEDTRA 14071, p. 17-10: waste 10 %, 5 % over 200 cy.
///
/// # Errors
/// The volume is out of its range.
pub fn tiered_waste(volume: Volume) -> Result<Ratio, Problem> {
    VOLUME.check(volume)?;
    let large = !round::up_to(volume.cubic_yards(), 200.0);
    Ok(Ratio::of(if large { 0.05 } else { 0.10 }))
}

/// Bags of dry mix for a volume: 0.15 cf of concrete for every 20 lb; rounded up.
///
/// Source `bag-yield`: trade pages: 0.15 cf for every 20 lb of dry mix.
///
/// # Errors
/// An input is out of its range.
pub fn bags(volume: Volume, bag: Weight) -> Result<Ratio, Problem> {
    VOLUME.check(volume)?;
    BAG.check(bag)?;
    Ok(Ratio::of(round::steps_up(volume.cubic_feet(), 0.15 * bag.pounds() / 20.0)))
}

/// Trucks that keep a pour going.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trucks {
    /// Loads to haul.
    pub loads: Ratio,
    /// Trucks in the cycle, no more than there are loads.
    pub trucks: Ratio,
    /// Concrete placed per time.
    pub supply: VolumeRate,
    /// From the first to the last load emptied.
    pub duration: Time,
}

/// Trucks in a cycle so that one is always unloading: cycle over unloading time, rounded up.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range, or the cycle is shorter than unloading.
pub fn trucks_in_cycle(
    volume: Volume,
    truck: Volume,
    unload: Time,
    cycle: Time,
) -> Result<Trucks, Problem> {
    VOLUME.check(volume)?;
    TRUCK.check(truck)?;
    MINUTES.check(unload)?;
    MINUTES.named("cycle").check(cycle)?;
    if cycle.base() < unload.base() {
        return Err(Problem::error(format!("cycle is {:.1} min", cycle.minutes())).help(
            "cycle: no less than unload was expected; it holds loading, haul, unloading and return",
        ));
    }
    let loads = round::steps_up(volume.base(), truck.base());
    let trucks = round::steps_up(cycle.base(), unload.base()).min(loads);
    Ok(Trucks {
        loads: Ratio::of(loads),
        trucks: Ratio::of(trucks),
        supply: VolumeRate::from_base(truck.base() / unload.base()),
        duration: Time::from_base(loads * unload.base()),
    })
}

/// Output of mixers on site, rounded up to a whole cubic foot per hour.
///
/// Source `army-forms`: US Army Engineer School EN5151, Design Forms for a Concrete Wall, and EN5466, lesson 3: table
/// method of seventeen steps.
///
/// # Errors
/// An input is out of its range.
pub fn mixer_output(
    capacity: Volume,
    batch_time: Time,
    mixers: Ratio,
) -> Result<VolumeRate, Problem> {
    MIXER.check(capacity)?;
    MINUTES.named("batch_time").check(batch_time)?;
    MIXERS.check(mixers)?;
    let hourly = capacity.cubic_feet() * 60.0 / batch_time.minutes() * mixers.number();
    Ok(VolumeRate::from_cubic_yards_per_hour(round::steps_up(hourly, 1.0) / 27.0))
}

/// How fast concrete rises in a form of a plan area.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn rise(supply: VolumeRate, plan: Area) -> Result<Speed, Problem> {
    SUPPLY.check(supply)?;
    PLAN.check(plan)?;
    Ok(Speed::from_base(supply.base() / plan.base()))
}

/// What may be placed per time so that concrete rises no faster.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn supply_for_rise(rise: Speed, plan: Area) -> Result<VolumeRate, Problem> {
    RISE.check(rise)?;
    PLAN.check(plan)?;
    Ok(VolumeRate::from_base(rise.base() * plan.base()))
}

/// How long a pour of a height takes at a rate of rise.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn pour_time(height: Length, rise: Speed) -> Result<Time, Problem> {
    POUR.check(height)?;
    RISE.check(rise)?;
    Ok(Time::from_base(height.base() / rise.base()))
}

choice! {
    /// Edition of the specification for ready-mixed concrete.
    pub enum ReadyMix, "edition" {
        /// 2021 and later: the purchaser or producer states it.
        Y21 = "C94-21",
        /// Before: 90 minutes from water meeting cement, unless waived.
        Before = "before C94-21",
    }
}

/// Time in which a load is to be discharged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Discharge {
    /// The limit; none where the edition leaves it to the order.
    pub limit: Option<Time>,
    /// Whose it is.
    pub whose: &'static str,
}

/// Time in which a load is to be discharged, by edition.
///
/// Source `ready-mix`: ASTM C94/C94M-21 change note; 90 minutes of earlier editions from memory.
pub fn discharge_limit(edition: ReadyMix) -> Discharge {
    match edition {
        ReadyMix::Y21 => Discharge {
            limit: None,
            whose: "stated by the purchaser or the producer with the order",
        },
        ReadyMix::Before => Discharge {
            limit: Some(Time::from_minutes(90.0)),
            whose: "default of the edition, from water meeting cement, unless waived",
        },
    }
}
