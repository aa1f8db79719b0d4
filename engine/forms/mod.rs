//! Forms: the area that concrete touches, and what fresh concrete pushes with.

mod contact;
mod pressure;
mod snap;

pub use contact::contact_area;
pub use pressure::{fluid_pressure, fluid_thrust};
pub use snap::{snap_down, snap_near, snap_up};
