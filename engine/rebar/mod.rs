//! Bars: tables, development and laps, bending and cutting, placing.

mod bending;
mod development;
mod eurocode;
mod placing;
mod residential;
mod table;
mod wall;

pub use bending::*;
pub use development::*;
pub use eurocode::*;
pub use placing::*;
pub use residential::*;
pub use table::*;
pub use wall::*;
