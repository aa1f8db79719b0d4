//! From a table to the rows of a shot list: headings and columns, units, the reading of rows.

mod asked;
mod columns;
mod heading;
mod position;
mod reason;
mod role;
mod rows;
mod shot;
mod unit;
mod units;
pub(super) mod value;

pub use asked::{Asked, AskedBy};
pub use columns::{Columns, Lists, recognise};
pub use reason::{Reason, Refused};
pub use role::{ListKind, Role};
pub(super) use rows::decimal_mark;
pub use rows::{CodeUse, ShotList, read_shots};
pub use shot::{Levels, Shot, Spot};
pub use unit::LengthUnit;
pub use units::Units;
pub(super) use units::decided;
