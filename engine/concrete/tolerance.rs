//! How far finished concrete may be off, where a document was seen to say so.

use crate::measure::{Length, Limits, choice, round};
use crate::problem::Problem;

/// Least plan dimension of a footing.
pub const LEAST_PLAN: Limits = Limits::over("least_dimension", 0.0, "ft");
/// Thickness of a member.
pub const MEMBER: Limits = Limits::over_to("thickness", 0.0, 36.0, "in");
/// Height of a wall.
pub const WALL_HEIGHT: Limits = Limits::over_to("height", 0.0, 500.0, "ft");

/// How far above or over, and how far below or under.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Over.
    pub over: Length,
    /// Under, as a positive length.
    pub under: Length,
}

fn inches(over: f64, under: f64) -> Tolerance {
    Tolerance { over: Length::from_inches(over), under: Length::from_inches(under) }
}

choice! {
    /// What stands on a footing.
    pub enum Carried, "carries" {
        /// Concrete.
        Concrete = "concrete",
        /// Masonry.
        Masonry = "masonry",
    }
}

/// How far the edge of a footing may be off its place.
///
/// # Errors
/// The dimension is out of its range.
pub fn footing_edge_tolerance(least: Length, carries: Carried) -> Result<Length, Problem> {
    LEAST_PLAN.check(least)?;
    let share = 0.02 * least.inches();
    Ok(Length::from_inches(match carries {
        Carried::Masonry => share.min(0.5),
        Carried::Concrete if !round::under(least.feet(), 8.0) => 2.0,
        Carried::Concrete => share.max(0.5),
    }))
}

/// How far the top of a footing, or of each of its benches, may be off its level.
///
/// # Errors
/// None.
pub fn footing_top_tolerance(carries: Carried) -> Result<Tolerance, Problem> {
    Ok(match carries {
        Carried::Masonry => inches(0.5, 0.5),
        Carried::Concrete => inches(0.5, 2.0),
    })
}

/// How far the thickness of a wall, beam or column may be off; over 12 in from memory.
///
/// # Errors
/// The thickness is out of its range.
pub fn thickness_tolerance(thickness: Length) -> Result<Tolerance, Problem> {
    MEMBER.check(thickness)?;
    Ok(if round::up_to(thickness.inches(), 12.0) {
        inches(0.375, 0.25)
    } else {
        inches(0.5, 0.375)
    })
}

choice! {
    /// What of a wall is plumbed.
    pub enum Plumbed, "plumbed" {
        /// Lines and surfaces.
        Surface = "surface",
        /// An exposed corner, or the groove of a control joint.
        Corner = "exposed_corner",
    }
}

/// How far a wall may be off plumb over its height: 1 in to 100 ft, 1/1000 above up to 6 in; half of that at exposed
/// corners and grooves.
///
/// # Errors
/// The height is out of its range.
pub fn plumb_tolerance(height: Length, plumbed: Plumbed) -> Result<Length, Problem> {
    WALL_HEIGHT.check(height)?;
    let share =
        if round::up_to(height.feet(), 100.0) { 1.0 } else { (height.inches() / 1000.0).min(6.0) };
    Ok(Length::from_inches(match plumbed {
        Plumbed::Surface => share,
        Plumbed::Corner => share / 2.0,
    }))
}
