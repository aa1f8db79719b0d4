//! Earth: what is dug, how loose it lies, how deep the cuts are and what that requires.

mod cut;
mod dig;

pub use cut::{Cut, SoilClass, cuts, layback_default, requirements};
pub use dig::{dig_section, drain_rock, swell};

/// Ranges of the inputs.
pub mod limits {
    pub use super::dig::{BANK, DRAIN_WIDTH, HEIGHT_LESS, LAYBACK, SWELL};
}
