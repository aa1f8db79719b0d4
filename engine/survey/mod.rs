//! Survey: from the rows of a shot list to stations, offsets and ground lines along a chain of walls.

mod angles;
mod chain;
mod corner;
mod curve;
mod ground;
mod level;
mod level_note;
mod levelling;
mod line;
mod list;
mod off_line;
mod offset;
mod screening;

pub use angles::*;
pub use chain::{Chain, NamedWall, Point, Projection, Side, WallLine};
pub use corner::{Corner, EndKind, Strip, Turn};
pub use curve::{Arc, Chord, CurvedWall, Division};
pub use ground::{
    Depths, Governs, Ground, GroundKind, GroundLine, LineOrigin, governing, polyline,
};
pub use level::{Benchmark, Reading};
pub use level_note::{LevelNote, reduce};
pub use levelling::*;
pub use line::{Height, Polyline};
pub use list::{
    Asked, AskedBy, CodeUse, Columns, LengthUnit, Levels, ListKind, Lists, Reason, Refused, Role,
    Shot, ShotList, Spot, Units, read_shots, recognise,
};
pub use off_line::{GroundSection, Surface};
pub use offset::*;
pub use screening::{Screened, Screening, Used, duplicates, place, screen};
