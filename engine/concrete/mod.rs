//! Concrete: volumes of footing and stem, and what to order.

mod batter;
mod corner;
mod curing;
mod footing;
mod order;
mod stem;
mod supply;
mod tolerance;

pub use batter::*;
pub use curing::*;
pub use footing::*;
pub use order::*;
pub use stem::*;
pub use supply::*;
pub use tolerance::*;
