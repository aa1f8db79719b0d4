//! Earth: what is dug, how loose it lies, how deep the cuts are and what that requires.

mod code;
mod cut;
mod dig;
mod pressure;
mod solid;
mod volumes;
mod wall;

pub use code::{
    Backfill, Bearing, FrictionRange, Held, Interface, Presumptive, base_friction, code_bearing,
    code_fluid,
};
pub use cut::{Cut, SoilClass, cuts, layback_default, requirements};
pub use dig::{dig_section, drain_rock, swell};

/// Ranges of the inputs.
pub mod limits {
    pub use super::dig::{BANK, DRAIN_WIDTH, HEIGHT_LESS, LAYBACK, SWELL};
    pub use super::pressure::{
        ARM, BACK, BASE, COEFFICIENT, EMBEDDED, FRICTION, FROM_TOE, KEY, LEAN, LEVER, OCR,
        RESISTANCE, RETAINED, SLOPE, SOIL, SURCHARGE, THRUST, VERTICAL, WALL_FRICTION,
    };
    pub use super::volumes::{APART, BOTTOM, CELL, DEEP, EARTH, HEAPED, PAYLOAD, SECTION, SHRINK};
    pub use super::wall::{
        ADHESION, ANY_FRICTION, BASE_FRICTION, BEHIND, LINE_LOAD, PASSIVE, SECTION_PART,
        STRIP_LOAD, THICK, WATER_DEPTH,
    };
}

pub use pressure::{
    BasePressure, EarthThrust, KeySliding, KeyedBase, LeaningBack, Stability, State, base_pressure,
    coulomb_coefficient, earth_thrust, key_sliding, leaning_coefficient, level_coefficient,
    sloping_coefficient, stability_ratios,
};
pub use solid::{Bank, Banks, Dig, Floor, LaybackFrom, dig_corners, dig_ends, dig_low_side};
pub use volumes::{
    NetBackfill, Trench, TruckLoads, average_end_volume, compacted, grid_volume, net_backfill,
    prismoidal_volume, shrink_of_weights, sloped_trench, swell_of_weights, truck_loads,
};
pub use wall::{
    CantileverWall, CohesiveThrust, LayeredThrust, LoadThrust, WallFigures, cantilever_wall,
    cohesive_thrust, layered_thrust, line_surcharge, strip_surcharge,
};
