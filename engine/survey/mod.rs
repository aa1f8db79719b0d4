//! Survey: from the rows of a shot list to stations, offsets and ground lines along a chain of walls.

mod chain;
mod columns;
mod ground;
mod level;
mod level_note;
mod line;
mod off_line;
mod screening;
mod shot;

pub use chain::{Chain, Corner, EndKind, NamedWall, Point, Projection, Side, WallLine};
pub use columns::{ColumnNames, Columns, ListKind, Role, recognise};
pub use ground::{
    Depths, Governs, Ground, GroundKind, GroundLine, LineOrigin, governing, polyline,
};
pub use level::{Benchmark, Reading};
pub use level_note::{LevelNote, reduce};
pub use line::{Height, Polyline};
pub use off_line::{Section, Surface};
pub use screening::{Screened, Screening, Used, duplicates, screen};
pub use shot::{LengthUnit, Levels, Reason, Refused, Shot, ShotList, Spot, read_shots};
