//! What fresh concrete pushes with when nothing has stiffened, and its thrust on a form.

use crate::measure::{Length, Limits, Moment, Pressure, Ratio, UnitWeight, Weight, round};
use crate::problem::Problem;

/// Unit weight of fresh concrete.
pub const UNIT_WEIGHT: Limits = Limits::within("unit_weight", 60.0, 300.0, "pcf");
/// Depth below the top of fresh concrete.
pub const DEPTH: Limits = Limits::within("depth", 0.0, 1_000.0, "ft");
/// Height of fresh concrete against a form.
pub const HEIGHT: Limits = Limits::within("height", 0.0, 1_000.0, "ft");
/// Width of a form.
pub const WIDTH: Limits = Limits::within("width", 0.0, 100_000.0, "ft");
/// Highest pressure on a form.
pub const PRESSURE: Limits = Limits::over("pressure", 0.0, "psf");
/// A height with something to divide by.
pub const TALL: Limits = Limits::over_to("height", 0.0, 1_000.0, "ft");

/// Pressure at a depth below the top of fresh concrete: `p = w h`.
///
/// Source `form-pressure`: NAVEDTRA 14045, wall form design; Concrete Construction, "Form pressure": 150 pcf of
/// depth.
///
/// # Errors
/// An input is out of its range.
pub fn fluid_pressure(unit_weight: UnitWeight, depth: Length) -> Result<Pressure, Problem> {
    UNIT_WEIGHT.check(unit_weight)?;
    DEPTH.check(depth)?;
    Ok(Pressure::from_base(unit_weight.base() * depth.base()))
}

/// Thrust of fresh concrete on a form or bulkhead: `F = w h^2 b / 2`, acting at a third of the height.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn fluid_thrust(
    unit_weight: UnitWeight,
    height: Length,
    width: Length,
) -> Result<Weight, Problem> {
    HEIGHT.check(height)?;
    WIDTH.check(width)?;
    let pressure = fluid_pressure(unit_weight, height)?;
    Ok(Weight::from_base(pressure.base() * height.base() * width.base() / 2.0))
}

/// A thrust, its moment about the foot of the form, and how high it acts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thrust {
    /// The whole thrust.
    pub thrust: Weight,
    /// Its moment about the foot.
    pub moment: Moment,
    /// Where it acts, above the foot.
    pub above_foot: Length,
}

/// Thrust on a form of a width where the pressure grows with depth up to a highest value and stays there; with a highest
/// pressure of the full head or more it is the triangle of the liquid.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn form_thrust(
    unit_weight: UnitWeight,
    height: Length,
    width: Length,
    pressure: Pressure,
) -> Result<Thrust, Problem> {
    UNIT_WEIGHT.check(unit_weight)?;
    TALL.check(height)?;
    WIDTH.check(width)?;
    PRESSURE.check(pressure)?;
    let (w, h, b) = (unit_weight.base(), height.base(), width.base());
    let highest = pressure.base().min(w * h);
    // z: depth at which the pressure stops growing.
    let z = if w > 0.0 { (highest / w).min(h) } else { h };
    let (triangle, block) = (highest * z / 2.0 * b, highest * (h - z) * b);
    let moment = triangle * (h - 2.0 * z / 3.0) + block * (h - z) / 2.0;
    let thrust = triangle + block;
    Ok(Thrust {
        thrust: Weight::from_base(thrust),
        moment: Moment::from_base(moment),
        above_foot: Length::from_base(if thrust > 0.0 { moment / thrust } else { h / 3.0 }),
    })
}

/// The foot-by-foot rule of the field beside the exact triangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldRule {
    /// Each foot of height taken with the pressure at its bottom.
    pub rule: Weight,
    /// The exact triangle.
    pub exact: Weight,
    /// How many times the exact one the rule is.
    pub ratio: Ratio,
    /// What a brace at the top holds by the rule, with a pin at the foot.
    pub top_by_rule: Weight,
    /// The same exactly: a third of the thrust.
    pub top_exact: Weight,
}

/// Thrust on a bulkhead by the field's rule: the pressure at the bottom of each foot over the whole foot, from the top
/// down, the rest of a foot with the pressure at its bottom. The rule is the higher one and governs.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range.
pub fn field_rule(
    unit_weight: UnitWeight,
    height: Length,
    width: Length,
) -> Result<FieldRule, Problem> {
    UNIT_WEIGHT.check(unit_weight)?;
    TALL.check(height)?;
    WIDTH.check(width)?;
    let (w, h, b) = (unit_weight.pcf(), height.feet(), width.feet());
    let (mut rule, mut moment, mut top) = (0.0, 0.0, 0.0);
    let feet = round::steps_up(h, 1.0);
    let mut foot = 1.0;
    while foot <= feet {
        let bottom = foot.min(h);
        let force = w * bottom * (bottom - top) * b;
        rule += force;
        moment += force * (h - (top + bottom) / 2.0);
        top = bottom;
        foot += 1.0;
    }
    let exact = w * h * h * b / 2.0;
    Ok(FieldRule {
        rule: Weight::from_pounds(rule),
        exact: Weight::from_pounds(exact),
        ratio: Ratio::of(if exact > 0.0 { rule / exact } else { 1.0 }),
        top_by_rule: Weight::from_pounds(moment / h),
        top_exact: Weight::from_pounds(exact / 3.0),
    })
}

/// Thrusts of lifts that stiffen before the next is placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lifts {
    /// The greatest thrust of one lift while it is fresh.
    pub greatest: Weight,
    /// The sum over the lifts.
    pub sum: Weight,
    /// The thrust if all were placed at once.
    pub at_once: Weight,
    /// Highest pressure with lifts.
    pub pressure: Pressure,
    /// Highest pressure if all were placed at once.
    pub pressure_at_once: Pressure,
}

/// Thrust of concrete placed in lifts, each stiff before the next.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range, or there is no lift.
pub fn lift_thrusts(
    unit_weight: UnitWeight,
    lifts: &[Length],
    width: Length,
) -> Result<Lifts, Problem> {
    let mut whole = 0.0;
    let (mut greatest, mut sum, mut pressure) = (0.0_f64, 0.0, 0.0_f64);
    if lifts.is_empty() {
        return Err(
            Problem::error("lifts is an empty list").help("lifts: their heights, from the foot up")
        );
    }
    for lift in lifts {
        TALL.named("lifts").check(*lift)?;
        let thrust = fluid_thrust(unit_weight, *lift, width)?.base();
        whole += lift.base();
        sum += thrust;
        greatest = greatest.max(thrust);
        pressure = pressure.max(unit_weight.base() * lift.base());
    }
    let whole = Length::from_base(whole);
    Ok(Lifts {
        greatest: Weight::from_base(greatest),
        sum: Weight::from_base(sum),
        at_once: fluid_thrust(unit_weight, whole, width)?,
        pressure: Pressure::from_base(pressure),
        pressure_at_once: fluid_pressure(unit_weight, whole)?,
    })
}
