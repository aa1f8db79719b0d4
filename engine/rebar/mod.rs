//! Bars: tables, development and laps, bending and cutting, placing.

mod bending;
mod development;
mod eurocode;
mod placing;
mod residential;
mod table;

/// Ranges of the inputs.
pub mod limits {
    pub use super::bending::{BACK_HOOKS, EMBEDMENT, LAP, LEG, RADIUS, RUN, STOCK, THICK, TURN};
    pub use super::development::{BAR_SPACING, CB, COVER, FC, FY, KTR, LAMBDA};
    pub use super::eurocode::{CD, DIAMETER, FCK, LAPPED, STRESS};
    pub use super::placing::{
        CLEAR, DEVELOPED, EFFECTIVE, END, MOMENT, PITCH, STEEL, STRETCH, THICKNESS,
    };
    pub use super::residential::TABLE_SPACING;
}

pub use bending::{
    Bend, CutLength, Hook, LappedRun, StandardHook, bend_deduction, bend_loss, cut_length,
    dowel_length, lapped_run, shape_length, standard_hook,
};
pub use development::{
    Coating, Code, Confinement, Epoxy, HookCover, HookTies, InConcrete, LapClass, LapRule,
    Position, Spacing, bridge_lap, compression_development, compression_lap, development_length,
    general_development_length, hook_development, lap_rule, tension_lap, unequal_lap,
};
pub use eurocode::{Anchorage, Annex, Bond, End, LapFactor, ec2_anchorage, ec2_lap};
pub use placing::{
    BarRow, Direction, EffectiveDepth, Exposure, RequiredSteel, ShrinkageCode, bar_row,
    effective_depth, excess_steel_length, least_cover, required_steel, shrinkage_steel,
    spacing_for_steel, steel_at_spacing, wall_minimum_steel, wall_widest_spacing,
};
pub use residential::{BarGrade, ResidentialBar, alternate_spacing, residential_bar};
pub use table::{Bar, bar, bar_area, bar_diameter, bar_weight, bars};
