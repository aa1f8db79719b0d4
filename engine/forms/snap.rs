//! Snapping lengths to a module counted from an origin.

use crate::measure::{Length, Limits, Nm, round};
use crate::problem::Problem;

/// Width of a module.
pub const MODULE: Limits = Limits::over("module", 0.0, "ft");

fn snap(
    length: Length,
    module: Length,
    origin: Length,
    rule: fn(Nm, Nm) -> Nm,
) -> Result<Length, Problem> {
    let (length, module, origin) = (length.to_nm()?, module.to_nm()?, origin.to_nm()?);
    MODULE.check(Length::exact(module))?;
    Ok(Length::exact(origin + rule(length - origin, module)))
}

/// The last module line at or below a length.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The module is not positive, or a length is beyond 20,000 km.
pub fn snap_down(length: Length, module: Length, origin: Length) -> Result<Length, Problem> {
    snap(length, module, origin, round::down_to_step)
}

/// The first module line at or above a length.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// As [`snap_down`].
pub fn snap_up(length: Length, module: Length, origin: Length) -> Result<Length, Problem> {
    snap(length, module, origin, round::up_to_step)
}

/// The nearest module line; half-way goes away from the origin.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// As [`snap_down`].
pub fn snap_near(length: Length, module: Length, origin: Length) -> Result<Length, Problem> {
    snap(length, module, origin, round::nearest_step)
}
