//! Earth pressure on walls and the pressure under their bases: plausibility of what the engineer gives, no design.

use crate::measure::{Angle, ForcePerLength, Length, Limits, Pressure, Ratio, UnitWeight, choice};
use crate::problem::Problem;

/// Friction angle of the soil.
pub const FRICTION: Limits = Limits::over_to("friction", 0.0, 50.0, "deg");
/// Slope of the ground behind the wall.
pub const SLOPE: Limits = Limits::within("slope", 0.0, 50.0, "deg");
/// Back face from the horizontal.
pub const BACK: Limits = Limits::within("back", 60.0, 90.0, "deg");
/// Friction between wall and soil.
pub const WALL_FRICTION: Limits = Limits::within("wall_friction", 0.0, 50.0, "deg");
/// Over-consolidation ratio.
pub const OCR: Limits = Limits::within("ocr", 1.0, 20.0, "");
/// Coefficient of earth pressure.
pub const COEFFICIENT: Limits = Limits::over_to("coefficient", 0.0, 15.0, "");
/// Unit weight of soil, or equivalent fluid weight.
pub const SOIL: Limits = Limits::over_to("unit_weight", 0.0, 200.0, "pcf");
/// Height of retained earth.
pub const RETAINED: Limits = Limits::over("height", 0.0, "ft");
/// Surcharge on level ground.
pub const SURCHARGE: Limits = Limits::at_least("surcharge", 0.0, "psf");
/// Vertical load on a base, per length of wall.
pub const VERTICAL: Limits = Limits::over("vertical", 0.0, "plf");
/// Width of a base.
pub const BASE: Limits = Limits::over("base", 0.0, "ft");
/// Where the resultant meets the base, from the toe.
pub const FROM_TOE: Limits = Limits::over("from_toe", 0.0, "ft");

choice! {
    /// How the wall may move.
    pub enum WallMovement, "state" {
        /// Free to move away from the earth.
        Active = "active",
        /// Held.
        AtRest = "at_rest",
        /// Pushed into the earth; level ground only.
        Passive = "passive",
    }
}

/// Coefficient for a level fill behind a vertical back by Rankine, at rest `(1 - sin phi) OCR^sin phi`.
///
/// Source `rankine`: Rankine coefficients for level and sloping fill, worked in B. M. Das, foundation and
/// geotechnical engineering examples; at rest 1 - sin phi (Jaky) and its over-consolidated form from memory.
///
/// # Errors
/// An input is out of its range.
pub fn level_coefficient(
    friction: Angle,
    state: WallMovement,
    ocr: Ratio,
) -> Result<Ratio, Problem> {
    FRICTION.check(friction)?;
    OCR.check(ocr)?;
    let sine = friction.radians().sin();
    Ok(Ratio::of(match state {
        WallMovement::Active => (1.0 - sine) / (1.0 + sine),
        WallMovement::Passive => (1.0 + sine) / (1.0 - sine),
        WallMovement::AtRest => (1.0 - sine) * ocr.number().powf(sine),
    }))
}

/// Active coefficient for ground that slopes up behind a vertical plane by Rankine; the thrust is parallel to the slope.
///
/// Source `rankine`: Rankine coefficients for level and sloping fill, worked in B. M. Das, foundation and
/// geotechnical engineering examples; at rest 1 - sin phi (Jaky) and its over-consolidated form from memory.
///
/// # Errors
/// An input is out of its range, or the slope is steeper than the friction angle.
pub fn sloping_coefficient(friction: Angle, slope: Angle) -> Result<Ratio, Problem> {
    FRICTION.check(friction)?;
    SLOPE.check(slope)?;
    not_steeper(friction, slope)?;
    let (a, p) = (slope.radians().cos(), friction.radians().cos());
    let root = (a * a - p * p).max(0.0).sqrt();
    Ok(Ratio::of(a * (a - root) / (a + root)))
}

fn not_steeper(friction: Angle, slope: Angle) -> Result<(), Problem> {
    if slope.radians() > friction.radians() * (1.0 + 1e-12) {
        return Err(Problem::error(format!(
            "slope is {:.4} deg, steeper than the friction angle of {:.4} deg: such ground does not stand",
            slope.radians().to_degrees(),
            friction.radians().to_degrees()
        ))
        .help("slope: no more than friction was expected; the geotechnical engineer decides"));
    }
    Ok(())
}

/// Active coefficient by Coulomb: back face from the horizontal, slope, and friction on the wall.
///
/// Source `coulomb`: Coulomb's active coefficient, worked in B. M. Das, examples 13.7, 13.9 and 7.4.
///
/// # Errors
/// An input is out of its range; the slope is steeper than the friction angle, or the wall's friction is more than the
/// soil's.
pub fn coulomb_coefficient(
    friction: Angle,
    slope: Angle,
    back: Angle,
    wall_friction: Angle,
) -> Result<Ratio, Problem> {
    FRICTION.check(friction)?;
    SLOPE.check(slope)?;
    BACK.check(back)?;
    WALL_FRICTION.check(wall_friction)?;
    not_steeper(friction, slope)?;
    let [phi, alpha, beta, delta] = [friction, slope, back, wall_friction].map(Angle::radians);
    if delta > phi * (1.0 + 1e-12) {
        return Err(Problem::error("wall_friction is more than the friction of the soil")
            .help("wall_friction: no more than friction was expected"));
    }
    let inner = (phi + delta).sin() * (phi - alpha).sin().max(0.0)
        / ((beta - delta).sin() * (alpha + beta).sin());
    let below = beta.sin().powi(2) * (beta - delta).sin() * (1.0 + inner.sqrt()).powi(2);
    Ok(Ratio::of((beta + phi).sin().powi(2) / below))
}

/// Back face from the vertical, leaning towards the earth.
pub const LEAN: Limits = Limits::within("lean", 0.0, 30.0, "deg");

/// Rankine's active coefficient for a back that leans and ground that slopes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeaningBack {
    /// Coefficient of `gamma H^2 / 2`.
    pub coefficient: Ratio,
    /// Direction of the thrust from the normal to the back.
    pub inclination: Angle,
}

/// Active coefficient by Rankine for ground that slopes by `alpha` behind a back that leans by `theta`, with
/// `psi = asin(sin alpha / sin phi) - alpha + 2 theta`.
///
/// Source `rankine`: Rankine coefficients for level and sloping fill, worked in B. M. Das, foundation and
/// geotechnical engineering examples; at rest 1 - sin phi (Jaky) and its over-consolidated form from memory.
///
/// # Errors
/// An input is out of its range, or the slope is steeper than the friction angle.
pub fn leaning_coefficient(
    friction: Angle,
    slope: Angle,
    lean: Angle,
) -> Result<LeaningBack, Problem> {
    FRICTION.check(friction)?;
    SLOPE.check(slope)?;
    LEAN.check(lean)?;
    not_steeper(friction, slope)?;
    let [phi, alpha, theta] = [friction, slope, lean].map(Angle::radians);
    let sine = phi.sin();
    let psi = (alpha.sin() / sine).min(1.0).asin() - alpha + 2.0 * theta;
    let above = (alpha - theta).cos() * (1.0 + sine * sine - 2.0 * sine * psi.cos()).sqrt();
    let root = (sine * sine - alpha.sin().powi(2)).max(0.0).sqrt();
    let below = theta.cos().powi(2) * (alpha.cos() + root);
    let inclination = (sine * psi.sin()).atan2(1.0 - sine * psi.cos());
    Ok(LeaningBack {
        coefficient: Ratio::of(above / below),
        inclination: Angle::from_radians(inclination),
    })
}

/// Thrust of earth and surcharge on a length of wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EarthThrust {
    /// Of the earth, acting at a third of the height.
    pub earth: ForcePerLength,
    /// Of the surcharge, acting at half the height.
    pub surcharge: ForcePerLength,
    /// Both.
    pub thrust: ForcePerLength,
    /// Where both act, above the foot.
    pub above_foot: Length,
}

/// Thrust per length of wall: `K gamma H^2 / 2` and `K q H`; an equivalent fluid has the coefficient 1.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn earth_thrust(
    coefficient: Ratio,
    unit_weight: UnitWeight,
    height: Length,
    surcharge: Pressure,
) -> Result<EarthThrust, Problem> {
    COEFFICIENT.check(coefficient)?;
    SOIL.check(unit_weight)?;
    RETAINED.check(height)?;
    SURCHARGE.check(surcharge)?;
    let (k, h) = (coefficient.number(), height.base());
    let earth = k * unit_weight.base() * h * h / 2.0;
    let top = k * surcharge.base() * h;
    let of = ForcePerLength::from_base;
    Ok(EarthThrust {
        earth: of(earth),
        surcharge: of(top),
        thrust: of(earth + top),
        above_foot: Length::from_base((earth * h / 3.0 + top * h / 2.0) / (earth + top)),
    })
}

/// The limit of the building code for both ratios, and whose it is.
pub(super) fn stability_limit() -> (Ratio, &'static str) {
    (Ratio::of(LIMIT), WHOSE)
}

/// Pressure under a base.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BasePressure {
    /// At the toe.
    pub toe: Pressure,
    /// At the heel; none where the base lifts off there.
    pub heel: Pressure,
    /// Eccentricity, positive towards the toe.
    pub eccentricity: Length,
    /// Length of base in contact.
    pub contact: Length,
    /// Whether the resultant is in the middle third.
    pub middle_third: bool,
}

/// Pressure under a base from its vertical load and where the resultant meets it: inside the middle third
/// `V/B (1 +- 6e/B)`, outside `2V / 3x` over a contact of 3x.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range, or the resultant is beyond the base.
pub fn base_pressure(
    vertical: ForcePerLength,
    base: Length,
    from_toe: Length,
) -> Result<BasePressure, Problem> {
    VERTICAL.check(vertical)?;
    BASE.check(base)?;
    FROM_TOE.check(from_toe)?;
    let (v, b, x) = (vertical.base(), base.base(), from_toe.base());
    if x >= b {
        return Err(Problem::error(format!(
            "from_toe is {:.4} ft, the base {:.4} ft wide",
            from_toe.feet(),
            base.feet()
        ))
        .help("from_toe: less than base was expected; a resultant beyond the base means that the wall turns over"));
    }
    let e = b / 2.0 - x;
    let inside = e.abs() <= b / 6.0 * (1.0 + 1e-12);
    let (toe, heel, contact) = if inside {
        (v / b * (1.0 + 6.0 * e / b), (v / b * (1.0 - 6.0 * e / b)).max(0.0), b)
    } else if e > 0.0 {
        (2.0 * v / (3.0 * x), 0.0, 3.0 * x)
    } else {
        (0.0, 2.0 * v / (3.0 * (b - x)), 3.0 * (b - x))
    };
    Ok(BasePressure {
        toe: Pressure::from_base(toe),
        heel: Pressure::from_base(heel),
        eccentricity: Length::from_base(e),
        contact: Length::from_base(contact),
        middle_third: inside,
    })
}

/// Limit of the building code for overturning and sliding.
const LIMIT: f64 = 1.5;
/// Whose limit that is.
const WHOSE: &str =
    "IBC 1807.2.3, without earthquake; the engineer of record and the local code govern";

/// What a wall resists beside what pushes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stability {
    /// Resisting over overturning moment.
    pub overturning: Ratio,
    /// Resistance along the base over the horizontal thrust.
    pub sliding: Ratio,
    /// Limit of the building code for both.
    pub limit: Ratio,
    /// Whose limit it is.
    pub whose: &'static str,
}

/// Horizontal thrust or resistance.
pub const THRUST: Limits = Limits::over("thrust", 0.0, "plf");
/// Resistance along the base.
pub const RESISTANCE: Limits = Limits::at_least("resistance", 0.0, "plf");
/// Height at which the thrust acts.
pub const ARM: Limits = Limits::over("arm", 0.0, "ft");
/// Distance of the vertical load from the toe.
pub const LEVER: Limits = Limits::at_least("lever", 0.0, "ft");

/// Ratios of overturning and sliding, per length of wall: `V x / (P y)` about the toe and `R / P`.
///
/// Source `wall-stability`: IBC 1807.2.3 (edition not named) from a public notes file: 1.5 for sliding and
/// overturning, less with earthquake.
///
/// # Errors
/// An input is out of its range.
pub fn stability_ratios(
    vertical: ForcePerLength,
    lever: Length,
    thrust: ForcePerLength,
    arm: Length,
    resistance: ForcePerLength,
) -> Result<Stability, Problem> {
    VERTICAL.check(vertical)?;
    LEVER.check(lever)?;
    THRUST.check(thrust)?;
    ARM.check(arm)?;
    RESISTANCE.check(resistance)?;
    Ok(Stability {
        overturning: Ratio::of(vertical.base() * lever.base() / (thrust.base() * arm.base())),
        sliding: Ratio::of(resistance.base() / thrust.base()),
        limit: Ratio::of(LIMIT),
        whose: WHOSE,
    })
}

/// Depth of a key under the base's bottom.
pub const KEY: Limits = Limits::within("key", 0.0, 10.0, "ft");
/// Depth of ground before the toe down to the base's bottom, as far as the engineer counts it.
pub const EMBEDDED: Limits = Limits::at_least("embedded", 0.0, "ft");

/// Sliding of a base with a key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeySliding {
    /// Thrust down to the key's foot.
    pub thrust: ForcePerLength,
    /// Passive earth before base and key.
    pub passive: ForcePerLength,
    /// Both resistances over the thrust.
    pub ratio: Ratio,
    /// Limit of the building code.
    pub limit: Ratio,
    /// Whose limit it is.
    pub whose: &'static str,
}

/// What earth lies before and under a base with a key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeyedBase {
    /// Active coefficient.
    pub active: Ratio,
    /// Passive coefficient; level ground.
    pub passive: Ratio,
    /// Unit weight of the soil on both sides.
    pub unit_weight: UnitWeight,
    /// Surcharge behind the wall.
    pub surcharge: Pressure,
    /// Height of earth behind, from the base's bottom.
    pub height: Length,
    /// Depth of ground before the toe, to the base's bottom.
    pub embedded: Length,
    /// Depth of the key below that.
    pub key: Length,
}

/// Sliding of a base with a key: the thrust is carried down to the key's foot as well as the passive earth.
///
/// Source `wall-stability`: IBC 1807.2.3 (edition not named) from a public notes file: 1.5 for sliding and
/// overturning, less with earthquake.
///
/// # Errors
/// An input is out of its range.
pub fn key_sliding(base: &KeyedBase, friction: ForcePerLength) -> Result<KeySliding, Problem> {
    COEFFICIENT.named("passive").check(base.passive)?;
    EMBEDDED.check(base.embedded)?;
    KEY.check(base.key)?;
    RESISTANCE.named("friction_force").check(friction)?;
    RETAINED.check(base.height)?;
    if base.embedded.base() > base.height.base() {
        return Err(Problem::error(format!(
            "embedded is {:.4} ft, the earth behind {:.4} ft high",
            base.embedded.feet(),
            base.height.feet()
        ))
        .help("embedded: no more than height was expected"));
    }
    let down = Length::from_base(base.height.base() + base.key.base());
    let behind = earth_thrust(base.active, base.unit_weight, down, base.surcharge)?.thrust;
    let before = base.embedded.base() + base.key.base();
    let passive = base.passive.number() * base.unit_weight.base() * before * before / 2.0;
    Ok(KeySliding {
        thrust: behind,
        passive: ForcePerLength::from_base(passive),
        ratio: Ratio::of((friction.base() + passive) / behind.base()),
        limit: Ratio::of(LIMIT),
        whose: WHOSE,
    })
}
