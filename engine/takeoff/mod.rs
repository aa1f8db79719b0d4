//! The takeoff: the job as a wall case sees it, lines of quantities, cautions, and the records that every
//! output reads.

mod caution;
mod line;
mod record;
mod sets;
mod wall_job;

pub use caution::{Caution, LONGEST_ROD, PROPOSAL, cautions, place_on_wall};
pub use line::{Derivation, Line, Share, SheetDraft, Takeoff, Trail, unit_for};
pub use record::{Column, Datum, RecordSet};
pub use sets::{
    DrawnWork, Facts, ListReport, Others, ShotReport, UnusedCode, record_sets, shot_sets,
};
pub use wall_job::{Allowances, Setting, Title, WallJob};
