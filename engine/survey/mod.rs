//! Survey: from the rows of a shot list to stations, offsets and ground lines along a chain of walls.

mod angles;
mod chain;
mod ground;
mod level;
mod level_note;
mod levelling;
mod line;
mod list;
mod off_line;
mod offset;
mod screening;

pub use angles::{cosine, sine, tangent};
pub use chain::{Chain, Corner, EndKind, NamedWall, Point, Projection, Side, WallLine};
pub use ground::{
    Depths, Governs, Ground, GroundKind, GroundLine, LineOrigin, governing, polyline,
};
pub use level::{Benchmark, Reading};
pub use level_note::{LevelNote, reduce};
/// Ranges of the inputs.
pub mod limits {
    pub use super::angles::{ANGLE, STEEP};
    pub use super::levelling::{ALONG, ELEVATION, LINE, READING, SETUP, SETUPS};
    pub use super::offset::COORDINATE;
}

pub use levelling::{
    GradeRod, LevelLine, Levelled, MarkUnit, Order, StakeMark, area_by_coordinates,
    correction_by_distance, correction_by_setups, grade_rod, intermediate_elevations, level_line,
    misclosure_limit, pole_mark, stake_mark,
};
pub use line::{Height, Polyline};
pub use list::{
    Asked, AskedBy, CodeUse, Columns, LengthUnit, Levels, ListKind, Lists, Reason, Refused, Role,
    Shot, ShotList, Spot, Units, read_shots, recognise,
};
pub use off_line::{Section, Surface};
pub use offset::{StationOffset, station_offset};
pub use screening::{Screened, Screening, Used, duplicates, place, screen};
