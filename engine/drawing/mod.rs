//! Drawings of a takeoff: one small scene model, filled from the same listings as the workbook, written as svg, pdf and png.

mod along;
mod bars;
mod faces;
mod labels;
mod listed;
mod pdf;
mod places;
mod plan;
mod png;
mod profile;
mod scale;
mod scene;
mod sections;
mod svg;
mod title;

pub use bars::bars;
pub use faces::faces;
pub use pdf::{is_our_pdf, lacks_letters, pdf, text_width};
pub use plan::plan;
pub use png::{is_our_png, is_whole_png, png, pngs};
pub use profile::profile;
pub use scene::{Item, Paper, Pen, Scene, TextEnd};
pub use sections::sections;
pub use svg::{escaped, svg};
pub use title::About;

use crate::listing::Listing;
use crate::problem::Problem;

/// The sheets of one drawing, or why it cannot be drawn.
pub type Sheets = Result<Vec<Scene>, Problem>;

/// The kinds of drawings.
pub const KINDS: [&str; 5] = ["plan", "profile", "sections", "faces", "bars"];

/// The drawings of a takeoff of these kinds: the name of each, and its sheets.
pub fn drawings(
    listings: &[Listing],
    about: &About,
    wanted: &[&str],
) -> Vec<(&'static str, Sheets)> {
    let draw = |kind: &'static str| match kind {
        "plan" => plan(listings, about),
        "profile" => profile(listings, about),
        "sections" => sections(listings, about),
        "faces" => faces(listings, about),
        _ => bars(listings, about),
    };
    let wanted = KINDS.into_iter().filter(|kind| wanted.contains(kind));
    wanted.map(|kind| (kind, draw(kind))).collect()
}
