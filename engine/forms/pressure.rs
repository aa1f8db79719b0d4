//! What fresh concrete pushes with when nothing has stiffened: the full liquid head.

use crate::measure::{Length, Pressure, UnitWeight, Weight};
use crate::problem::Problem;

fn not_negative(value: f64, what: &str) -> Result<(), Problem> {
    if value < 0.0 {
        return Err(
            Problem::error(format!("the {what} is negative")).help("0 or more was expected")
        );
    }
    Ok(())
}

/// Pressure at a depth below the top of fresh concrete: `p = w h`.
///
/// # Errors
/// The unit weight or the depth is negative.
pub fn fluid_pressure(unit_weight: UnitWeight, depth: Length) -> Result<Pressure, Problem> {
    not_negative(unit_weight.base(), "unit weight")?;
    not_negative(depth.base(), "depth")?;
    Ok(Pressure::from_base(unit_weight.base() * depth.base()))
}

/// Thrust of fresh concrete on a form or bulkhead: `F = w h^2 b / 2`, acting at a third of the height.
///
/// # Errors
/// The unit weight, the height or the width is negative.
pub fn fluid_thrust(
    unit_weight: UnitWeight,
    height: Length,
    width: Length,
) -> Result<Weight, Problem> {
    let pressure = fluid_pressure(unit_weight, height)?;
    not_negative(width.base(), "width")?;
    Ok(Weight::from_base(pressure.base() * height.base() * width.base() / 2.0))
}
