//! Bars: sizes, development and laps.

mod lap;

pub use lap::{bar_diameter, class_b_lap, development_length};
