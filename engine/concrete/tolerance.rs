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
/// Source `tolerances`: ACI 117 (90 and 10) as quoted in UFGS 03700, a page on 117M-10, and Concrete Construction
/// questions on footings and walls.
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
/// Source `tolerances`: ACI 117 (90 and 10) as quoted in UFGS 03700, a page on 117M-10, and Concrete Construction
/// questions on footings and walls.
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
/// Source `tolerances`: ACI 117 (90 and 10) as quoted in UFGS 03700, a page on 117M-10, and Concrete Construction
/// questions on footings and walls.
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

choice! {
    /// Edition of the tolerances.
    pub enum Plumbing, "edition" {
        /// 1990.
        E90 = "117-90",
        /// 2010, from memory.
        E10 = "117-10",
    }
}

/// Height of a wall that the 2010 edition's rule is known for.
const KNOWN: Limits = Limits::over_to("height", 0.0, 83.333_333_333_333_33, "ft");

/// How far a wall may be off plumb over its height. The 1990 edition: 1 in to 100 ft, 1/1000 above up to 6 in, half of that
/// at exposed corners and grooves. The 2010 edition, from memory: the lesser of 0.3 % of the height and 1 in, at corners
/// 0.2 % and 1/2 in, to 83 ft 4 in.
///
/// Source `tolerances`: ACI 117 (90 and 10) as quoted in UFGS 03700, a page on 117M-10, and Concrete Construction
/// questions on footings and walls.
///
/// # Errors
/// The height is out of its range, or over 83 ft 4 in for the 2010 edition.
pub fn plumb_tolerance(
    height: Length,
    plumbed: Plumbed,
    edition: Plumbing,
) -> Result<Length, Problem> {
    WALL_HEIGHT.check(height)?;
    let corner = plumbed == Plumbed::Corner;
    if edition == Plumbing::E10 {
        KNOWN.check(height)?;
        let (share, most) = if corner { (0.002, 0.5) } else { (0.003, 1.0) };
        return Ok(Length::from_inches((share * height.inches()).min(most)));
    }
    let low = round::up_to(height.feet(), 100.0);
    let surface = if low { 1.0 } else { (height.inches() / 1000.0).min(6.0) };
    Ok(Length::from_inches(if corner { surface / 2.0 } else { surface }))
}
