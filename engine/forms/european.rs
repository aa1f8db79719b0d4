//! Lateral pressure of fresh concrete by CIRIA Report 108 and by the self-compacting clause of DIN 18218.

use super::guide::{RATE, STIFFENING};
use super::liquid::{TALL, UNIT_WEIGHT};
use crate::measure::{
    Length, Limits, Pressure, Speed, Temperature, Time, UnitWeight, choice, round,
};
use crate::problem::Problem;

/// Temperature of the concrete for CIRIA's K.
pub const CIRIA_TEMPERATURE: Limits = Limits::within("temperature", 0.0, 40.0, "C");
/// Height of the form.
pub const FORM_HEIGHT: Limits = Limits::over("form_height", 0.0, "m");

choice! {
    /// Wall or column, as CIRIA divides them: a wall has a side over 2 m.
    pub enum Element, "element" {
        /// A side is over 2 m.
        Wall = "wall",
        /// Both sides are under 2 m.
        Column = "column",
    }
}

choice! {
    /// Setting of the mix, as CIRIA's C2 divides it.
    pub enum MixSetting, "setting" {
        /// Portland cement without a retarder: 0.30.
        Normal = "normal",
        /// With a retarder, or a blend under 70 % slag or 40 % ash: 0.45.
        Retarded = "retarded",
        /// Such a blend with a retarder, or richer: 0.60.
        HeavilyRetarded = "heavily_retarded",
    }
}

/// Pressure by CIRIA 108: `D (C1 root R + C2 K root(H - C1 root R))`, `K = (36 / (T + 16))^2`, never more than `D h`.
///
/// Source `ciria-108`: CIRIA Report 108 (Clear and Harrison, 1985): formula from a posted worked sheet and a thesis,
/// p. 36; which mix has which C2 in part from memory.
///
/// # Errors
/// An input is out of its range.
pub fn ciria_pressure(
    unit_weight: UnitWeight,
    element: Element,
    setting: MixSetting,
    form_height: Length,
    height: Length,
    rate: Speed,
    temperature: Temperature,
) -> Result<Pressure, Problem> {
    UNIT_WEIGHT.check(unit_weight)?;
    FORM_HEIGHT.check(form_height)?;
    TALL.check(height)?;
    RATE.check(rate)?;
    CIRIA_TEMPERATURE.check(temperature)?;
    if !round::up_to(height.metres(), form_height.metres()) {
        return Err(Problem::error(format!(
            "height is {:.3} m, the form {:.3} m",
            height.metres(),
            form_height.metres()
        ))
        .help("height: no more than form_height was expected"));
    }
    let c1 = match element {
        Element::Wall => 1.0,
        Element::Column => 1.5,
    };
    let c2 = match setting {
        MixSetting::Normal => 0.30,
        MixSetting::Retarded => 0.45,
        MixSetting::HeavilyRetarded => 0.60,
    };
    let (d, h) = (unit_weight.kilonewtons_per_cubic_metre(), form_height.metres());
    let k = (36.0 / (temperature.celsius() + 16.0)).powi(2);
    let rise = c1 * rate.metres_per_hour().sqrt();
    let full = d * height.metres();
    let pressure = if rise > h { full } else { full.min(d * (rise + c2 * k * (h - rise).sqrt())) };
    Ok(Pressure::from_kilopascals(pressure))
}

/// Pressure of self-compacting concrete by DIN 18218:2010-01: `(1.0 m + 0.26 v tE) gamma`, no less than 30 kPa and
/// never more than the full head.
///
/// Source `din-18218`: DIN 18218:2010-01 for self-compacting concrete, from Concrete International 32(6), June 2010.
///
/// # Errors
/// An input is out of its range.
pub fn self_compacting_pressure(
    unit_weight: UnitWeight,
    height: Length,
    rate: Speed,
    setting_time: Time,
) -> Result<Pressure, Problem> {
    UNIT_WEIGHT.check(unit_weight)?;
    TALL.check(height)?;
    RATE.check(rate)?;
    STIFFENING.named("setting_time").check(setting_time)?;
    let gamma = unit_weight.kilonewtons_per_cubic_metre();
    let head = 1.0 + 0.26 * rate.metres_per_hour() * setting_time.hours();
    let full = gamma * height.metres();
    Ok(Pressure::from_kilopascals((head * gamma).max(30.0).min(full)))
}
