//! Sine, cosine and tangent of an angle, for slopes and braces.

use crate::measure::{Angle, Limits, Ratio};
use crate::problem::Problem;

/// An angle.
pub const ANGLE: Limits = Limits::within("angle", -360.0, 360.0, "deg");
/// An angle whose tangent is no larger than a wall's.
pub const STEEP: Limits = Limits::within("angle", -89.9, 89.9, "deg");

/// Sine of an angle.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The angle is out of its range.
pub fn sine(angle: Angle) -> Result<Ratio, Problem> {
    ANGLE.check(angle)?;
    Ok(Ratio::of(angle.radians().sin()))
}

/// Cosine of an angle.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The angle is out of its range.
pub fn cosine(angle: Angle) -> Result<Ratio, Problem> {
    ANGLE.check(angle)?;
    Ok(Ratio::of(angle.radians().cos()))
}

/// Tangent of an angle: rise over run.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The angle is out of its range.
pub fn tangent(angle: Angle) -> Result<Ratio, Problem> {
    STEEP.check(angle)?;
    Ok(Ratio::of(angle.radians().tan()))
}
