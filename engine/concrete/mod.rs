//! Concrete: volumes of footing and stem, and what to order.

mod footing;
mod order;
mod stem;

pub use footing::{footing_corners, footing_runs, step_overlaps};
pub use order::{order_quantity, prism_volume};
pub use stem::{stem_corners, stem_runs};
