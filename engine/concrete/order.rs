//! What to order.

use crate::measure::{Length, Quantity, Volume};
use crate::problem::Problem;

/// The volume to order: with waste, up to the next order step.
///
/// # Errors
/// The waste is negative or over 100 %, or the step is not positive.
pub fn order_quantity(volume: Volume, waste: f64, step: Volume) -> Result<Volume, Problem> {
    if !(0.0..=1.0).contains(&waste) {
        return Err(
            Problem::error(format!("waste is {} %", waste * 100.0)).help("0 to 100 % was expected")
        );
    }
    let with_waste = volume.quantity().multiply(Quantity::number(1.0 + waste))?;
    Volume::try_from(with_waste.round_up(step.quantity())?)
}

/// The volume of a box.
///
/// # Errors
/// A side is negative.
pub fn prism_volume(length: Length, width: Length, depth: Length) -> Result<Volume, Problem> {
    for side in [length, width, depth] {
        if side.base() < 0.0 {
            return Err(
                Problem::error("a side of the box is negative").help("0 or more was expected")
            );
        }
    }
    Ok(Volume::from_base(length.base() * width.base() * depth.base()))
}
