//! Drawings of a takeoff: one small scene model, filled from the same listings as the workbook, written as text.

mod labels;
mod listed;
mod profile;
mod scene;
mod svg;

pub use profile::{About, profile};
pub use scene::{Item, Paper, Pen, Scene, TextEnd};
pub use svg::svg;
