//! Drawings of a takeoff: one small scene model, filled from the same listings as the workbook, written as svg and pdf.

mod along;
mod faces;
mod labels;
mod listed;
mod pdf;
mod places;
mod plan;
mod profile;
mod scale;
mod scene;
mod sections;
mod svg;
mod title;

pub use faces::faces;
pub use pdf::{is_our_pdf, lacks_letters, pdf};
pub use plan::plan;
pub use profile::profile;
pub use scene::{Item, Paper, Pen, Scene, TextEnd};
pub use sections::sections;
pub use svg::svg;
pub use title::About;

use crate::listing::Listing;
use crate::problem::Problem;

/// The drawings of a takeoff: the name of each kind, and its sheets.
///
/// # Errors
/// One of them cannot be drawn: nothing is laid out, or its labels leave no room.
pub fn drawings(
    listings: &[Listing],
    about: &About,
) -> Result<Vec<(&'static str, Vec<Scene>)>, Problem> {
    Ok(vec![
        ("plan", plan(listings, about)?),
        ("profile", profile(listings, about)?),
        ("sections", sections(listings, about)?),
        ("faces", faces(listings, about)?),
    ])
}
