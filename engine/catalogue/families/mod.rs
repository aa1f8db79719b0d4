//! The families of trade functions, one file each.

mod bars;
mod bending;
mod bracing;
mod concrete;
mod earth;
mod fresh_concrete;
mod levels;
mod members;
mod modules;
mod money;
mod steps;
mod takeoff_figures;
mod time;
mod wall_figures;
mod walls;

use super::Function;

/// All of them.
pub(super) const LISTS: &[&[Function]] = &[
    steps::LIST,
    modules::LIST,
    fresh_concrete::LIST,
    bracing::LIST,
    members::LIST,
    bars::LIST,
    bending::LIST,
    concrete::LIST,
    time::LIST,
    money::LIST,
    levels::LIST,
    earth::LIST,
    walls::LIST,
    wall_figures::LIST,
    takeoff_figures::LIST,
];
