//! Footing: wall types, panel joints, step rules, the least-cost layout of steps, and what it is made of.
//!
//! Step rates come in as plain exact numbers; this room knows no price list.

mod cells;
mod explain;
mod grid;
mod keys;
mod layout;
mod part;
mod pieces;
mod rules;
mod solve;
mod wall_type;

pub use cells::{CellAt, Riser, Site};
pub use explain::{NoLayout, Shortfall, TooLow};
pub use grid::{Cell, End, Grid, Module, TopBreak, WallGrid, WallSpec};
pub use keys::{keys, product};
pub use layout::{Layout, OneLevel, Step, lay_out};
pub use part::{Part, System, local, total};
pub use pieces::{BottomPart, FootingPiece, StemPiece};
pub use rules::{NoStepZone, StepRates, StepRules, overlap};
pub use wall_type::{Key, WallType, type_for};
