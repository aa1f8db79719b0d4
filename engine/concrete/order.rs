//! What to order.

use super::supply::VOLUME;
use crate::measure::{Length, Limits, Quantity, Ratio, Volume};
use crate::problem::Problem;

/// Waste as a share.
pub const WASTE: Limits = Limits::within("waste", 0.0, 1.0, "");
/// Step that orders are rounded up to.
pub const ORDER_STEP: Limits = Limits::over("step", 0.0, "cy");
/// A side of a box.
pub const SIDE: Limits = Limits::at_least("length", 0.0, "ft");

/// The volume to order: with waste, up to the next order step.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range.
pub fn order_quantity(volume: Volume, waste: Ratio, step: Volume) -> Result<Volume, Problem> {
    VOLUME.check(volume)?;
    WASTE.check(waste)?;
    ORDER_STEP.check(step)?;
    let with_waste = volume.quantity().multiply(Quantity::number(1.0 + waste.number()))?;
    Volume::try_from(with_waste.round_up(step.quantity())?)
}

/// The volume of a box.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn prism_volume(length: Length, width: Length, depth: Length) -> Result<Volume, Problem> {
    SIDE.check(length)?;
    SIDE.named("width").check(width)?;
    SIDE.named("depth").check(depth)?;
    Ok(Volume::from_base(length.base() * width.base() * depth.base()))
}

/// The volume of a stem that tapers from its foot to its top: the mean thickness times height and length.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn tapered_stem_volume(
    height: Length,
    top: Length,
    foot: Length,
    length: Length,
) -> Result<Volume, Problem> {
    SIDE.named("height").check(height)?;
    SIDE.named("top").check(top)?;
    SIDE.named("foot").check(foot)?;
    SIDE.check(length)?;
    let thickness = (top.base() + foot.base()) / 2.0;
    Ok(Volume::from_base(thickness * height.base() * length.base()))
}

/// A charge for what a load lacks of the plant's least one; nothing where nothing is ordered.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range.
pub fn short_load(
    volume: Volume,
    least: Volume,
    charge: crate::measure::MoneyPerVolume,
) -> Result<crate::measure::Money, Problem> {
    VOLUME.check(volume)?;
    VOLUME.named("least").check(least)?;
    CHARGE.check(charge)?;
    // What is not ordered is not delivered, and costs nothing.
    let missing = if volume.base() == 0.0 { 0.0 } else { (least.base() - volume.base()).max(0.0) };
    Ok(crate::measure::Money::from_base(missing * charge.base()))
}

/// What a plant charges for each volume that a load lacks.
pub const CHARGE: Limits = Limits::at_least("charge", 0.0, "usd/cy");
