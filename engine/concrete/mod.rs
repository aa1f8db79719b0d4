//! Concrete: volumes of footing and stem, and what to order.

mod curing;
mod footing;
mod order;
mod stem;
mod supply;
mod tolerance;

/// Ranges of the inputs.
pub mod limits {
    pub use super::curing::{AIR, DATUM, DRYING, HUMIDITY, SECTION, SETTING, WIND};
    pub use super::order::{CHARGE, ORDER_STEP, SIDE, WASTE};
    pub use super::supply::{
        BAG, BATCH, MINUTES, MIXER, MIXERS, PLAN, POUR, RISE, SUPPLY, TRUCK, UNIT_WEIGHT, VOLUME,
    };
    pub use super::tolerance::{LEAST_PLAN, MEMBER, WALL_HEIGHT};
}

pub use curing::{
    AgeForm, FootingStripping, Gain, LiveLoad, Stripped, cold_largest_drop,
    cold_mixing_temperature, cold_placing_temperature, cold_protection, equivalent_age,
    evaporation_rate, footing_stripping, nurse_saul, setting_time, stripping_time,
};
pub use footing::{footing_corners, footing_runs, step_overlaps};
pub use order::{order_quantity, prism_volume, short_load, tapered_stem_volume};
pub use stem::{stem_corners, stem_runs};
pub use supply::{
    Discharge, ReadyMix, Trucks, bags, batch_yield, discharge_limit, mixer_output, pour_time, rise,
    supply_for_rise, tiered_waste, trucks_in_cycle,
};
pub use tolerance::{
    Carried, Plumbed, Plumbing, Tolerance, footing_edge_tolerance, footing_top_tolerance,
    plumb_tolerance, thickness_tolerance,
};
