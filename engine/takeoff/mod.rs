//! The takeoff: the job as a wall case sees it, lines of quantities, cautions, and the records that every
//! output reads.

mod caution;
mod derivation;
mod line;
mod listings;
mod made;
mod setting_path;
mod wall_job;

pub use caution::{Caution, LONGEST_ROD, OWN_CAUTION, PROPOSAL, cautions, place_on_wall};
pub use derivation::{Derivation, Share, is_plain_word};
pub use line::{ColumnRule, Line, SheetDraft, Takeoff, Trail};
pub use listings::{
    DrawnWork, Facts, ListReport, ListingSource, Others, SOURCES, ShotReport, UnusedCode,
    listing_of, listings, shot_listings,
};
pub(crate) use listings::{STAKE_OUT, ground_lines, refused};
pub use wall_job::{Allowances, SettingValue, Stated, Title, WallJob};
