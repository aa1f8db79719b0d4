//! Walls as a whole and pressures that the plain thrust does not have: layers and water, cohesion, loads behind the wall.
//! Plausibility of what the engineer gives, no design.

use super::pressure::{
    BASE, BasePressure, COEFFICIENT, FRICTION, RETAINED, SLOPE, SOIL, SURCHARGE, base_pressure,
    level_coefficient, sloping_coefficient,
};
use super::pressure::{WallMovement, stability_limit};
use crate::measure::{
    Angle, ForcePerLength, Length, Limits, Pressure, Ratio, UnitWeight, Weight, round,
};
use crate::problem::Problem;

/// A part of a wall's section.
pub const SECTION_PART: Limits = Limits::at_least("part", 0.0, "ft");
/// A thickness of a stem or footing.
pub const THICK: Limits = Limits::over("thickness", 0.0, "ft");
/// Friction along a base, as a coefficient.
pub const BASE_FRICTION: Limits = Limits::within("base_friction", 0.0, 1.0, "");
/// Adhesion along a base, or cohesion of a soil.
pub const ADHESION: Limits = Limits::at_least("adhesion", 0.0, "psf");
/// Earth before the base that holds it.
pub const PASSIVE: Limits = Limits::at_least("passive", 0.0, "plf");
/// Friction angle of a soil that may have none.
pub const ANY_FRICTION: Limits = Limits::within("friction", 0.0, 50.0, "deg");
/// Depth of the water under the top of the earth.
pub const WATER_DEPTH: Limits = Limits::at_least("water_depth", 0.0, "ft");
/// Distance behind the wall.
pub const BEHIND: Limits = Limits::over("distance", 0.0, "ft");
/// A load per length.
pub const LINE_LOAD: Limits = Limits::over("load", 0.0, "plf");
/// A pressure on a strip.
pub const STRIP_LOAD: Limits = Limits::over("pressure", 0.0, "psf");

/// Unit weight of water.
fn water() -> f64 {
    UnitWeight::from_pcf(62.4).base()
}

/// A cantilever wall and the earth behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CantileverWall {
    /// Height of the stem over the footing.
    pub stem_height: Length,
    /// Its thickness at the top.
    pub stem_top: Length,
    /// Its thickness at the foot; what it gains is on the front.
    pub stem_foot: Length,
    /// From the footing's front edge to the stem.
    pub toe: Length,
    /// From the stem to the footing's back edge.
    pub heel: Length,
    /// Thickness of the footing.
    pub thickness: Length,
    /// Of the earth.
    pub unit_weight: UnitWeight,
    /// Of the earth.
    pub friction: Angle,
    /// Of the ground behind the wall.
    pub slope: Angle,
    /// On level ground; its weight on the heel is not counted as holding the wall.
    pub surcharge: Pressure,
    /// Friction under the base, as a coefficient.
    pub base_friction: Ratio,
    /// Adhesion under the base.
    pub adhesion: Pressure,
    /// Earth before the base.
    pub passive: ForcePerLength,
    /// Of the concrete.
    pub concrete: UnitWeight,
}

/// What a cantilever wall asks of its base.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallFigures {
    /// Resisting over overturning moment about the toe.
    pub overturning: Ratio,
    /// Resistance over thrust along the base.
    pub sliding: Ratio,
    /// Limit of the building code for both.
    pub limit: Ratio,
    /// Whose limit it is.
    pub whose: &'static str,
    /// Pressure at the toe.
    pub toe: Pressure,
    /// Pressure at the heel.
    pub heel: Pressure,
    /// Of the resultant from the middle, positive towards the toe.
    pub eccentricity: Length,
    /// Length of base in contact.
    pub contact: Length,
    /// Horizontal part of the thrust.
    pub thrust: ForcePerLength,
    /// Weights, and the vertical part of the thrust.
    pub vertical: ForcePerLength,
    /// Overturning moment per length.
    pub overturning_moment: Weight,
    /// Resisting moment per length.
    pub resisting_moment: Weight,
}

/// Figures of a cantilever wall from its dimensions: Rankine thrust on the plane at the heel, weights and their arms, both
/// ratios, pressure under the base.
///
/// Source `wall-figures`: Statics of a cantilever wall as worked in B. M. Das, Principles of Foundation Engineering,
/// example 8.1 (companion solutions, edition not named); limit of IBC 1807.2.3 (edition not named).
///
/// # Errors
/// An input is out of its range, the slope is steeper than the friction angle, a surcharge stands on a slope, or the
/// resultant leaves the base.
pub fn cantilever_wall(wall: &CantileverWall) -> Result<WallFigures, Problem> {
    RETAINED.named("stem_height").check(wall.stem_height)?;
    THICK.named("stem_top").check(wall.stem_top)?;
    THICK.named("stem_foot").check(wall.stem_foot)?;
    SECTION_PART.named("toe").check(wall.toe)?;
    SECTION_PART.named("heel").check(wall.heel)?;
    THICK.check(wall.thickness)?;
    SOIL.check(wall.unit_weight)?;
    FRICTION.check(wall.friction)?;
    SLOPE.check(wall.slope)?;
    SOIL.named("concrete").check(wall.concrete)?;
    SURCHARGE.check(wall.surcharge)?;
    BASE_FRICTION.check(wall.base_friction)?;
    ADHESION.check(wall.adhesion)?;
    PASSIVE.check(wall.passive)?;
    if wall.slope.radians() > 0.0 && wall.surcharge.base() > 0.0 {
        return Err(Problem::error("a surcharge is given, and the ground slopes").help(
            "surcharge: 0 psf was expected behind sloping ground; the engineer says what else acts",
        ));
    }
    if round::under(wall.stem_foot.feet(), wall.stem_top.feet()) {
        return Err(Problem::error("the stem is thinner at its foot than at its top")
            .help("stem_foot: stem_top or more was expected"));
    }
    let coefficient = match wall.slope.radians() > 0.0 {
        true => sloping_coefficient(wall.friction, wall.slope)?,
        false => level_coefficient(wall.friction, WallMovement::Active, Ratio::of(1.0))?,
    };
    let (h, top, foot) = (wall.stem_height.base(), wall.stem_top.base(), wall.stem_foot.base());
    let (toe, heel, thick) = (wall.toe.base(), wall.heel.base(), wall.thickness.base());
    let (earth, concrete) = (wall.unit_weight.base(), wall.concrete.base());
    let base = toe + foot + heel;
    let (taper, tan) = (foot - top, wall.slope.radians().tan());
    let height = h + thick + heel * tan;
    let k = coefficient.number();
    let triangle = k * earth * height * height / 2.0;
    let constant = k * wall.surcharge.base() * height;
    let (cos, sin) = (wall.slope.radians().cos(), wall.slope.radians().sin());
    let thrust = triangle * cos + constant;
    let turning = triangle * cos * height / 3.0 + constant * height / 2.0;
    // Weights and their arms from the toe.
    let weights = [
        (top * h * concrete, toe + taper + top / 2.0),
        (taper * h / 2.0 * concrete, toe + taper * 2.0 / 3.0),
        (base * thick * concrete, base / 2.0),
        (heel * h * earth, base - heel / 2.0),
        (heel * heel * tan / 2.0 * earth, base - heel / 3.0),
        (triangle * sin, base),
    ];
    let vertical: f64 = weights.iter().map(|(weight, _)| weight).sum();
    let holding: f64 = weights.iter().map(|(weight, arm)| weight * arm).sum();
    let along =
        vertical * wall.base_friction.number() + base * wall.adhesion.base() + wall.passive.base();
    if holding <= turning {
        return Err(Problem::error(
            "the resultant leaves the base: what turns the wall over its toe is more than what holds it",
        )
        .help("toe, heel: a wider footing was expected; the engineer of record designs it"));
    }
    let under: BasePressure = base_pressure(
        ForcePerLength::from_base(vertical),
        Length::from_base(base),
        Length::from_base((holding - turning) / vertical),
    )?;
    let (limit, whose) = stability_limit();
    Ok(WallFigures {
        overturning: Ratio::of(holding / turning),
        sliding: Ratio::of(along / thrust),
        limit,
        whose,
        toe: under.toe,
        heel: under.heel,
        eccentricity: under.eccentricity,
        contact: under.contact,
        thrust: ForcePerLength::from_base(thrust),
        vertical: ForcePerLength::from_base(vertical),
        overturning_moment: Weight::from_base(turning),
        resisting_moment: Weight::from_base(holding),
    })
}

/// Thrust of layers of earth and of water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayeredThrust {
    /// Of earth and water.
    pub thrust: ForcePerLength,
    /// Of the earth, by its weight in water under the water.
    pub earth: ForcePerLength,
    /// Of the water.
    pub water: ForcePerLength,
    /// Where both act, above the foot.
    pub above_foot: Length,
    /// Of the earth at the foot.
    pub earth_at_foot: Pressure,
    /// Of the water at the foot.
    pub water_at_foot: Pressure,
}

/// Thrust of layers of earth with water from a depth on: in each layer its coefficient times the effective vertical
/// pressure, and the full pressure of the water.
///
/// Source `layered-thrust`: Layers and water as worked in B. M. Das, Principles of Geotechnical Engineering, example
/// 13.1, p. 430 (companion solutions, edition not named).
///
/// # Errors
/// The lists are empty or of different length, or an input is out of its range.
pub fn layered_thrust(
    thicknesses: &[Length],
    unit_weights: &[UnitWeight],
    coefficients: &[Ratio],
    water_depth: Length,
    surcharge: Pressure,
) -> Result<LayeredThrust, Problem> {
    WATER_DEPTH.check(water_depth)?;
    SURCHARGE.check(surcharge)?;
    let count = thicknesses.len();
    if count == 0 || unit_weights.len() != count || coefficients.len() != count {
        return Err(Problem::error(format!(
            "{count} thicknesses, {} unit weights and {} coefficients are given",
            unit_weights.len(),
            coefficients.len()
        ))
        .help("thicknesses: one or more was expected, and as many of the others"));
    }
    thicknesses.iter().try_for_each(|one| THICK.named("thicknesses").check(*one))?;
    unit_weights.iter().try_for_each(|one| SOIL.named("unit_weights").check(*one))?;
    coefficients.iter().try_for_each(|one| COEFFICIENT.named("coefficients").check(*one))?;
    let height: f64 = thicknesses.iter().map(|one| one.base()).sum();
    let mut foot = 0.0;
    for (thickness, weight) in thicknesses.iter().zip(unit_weights) {
        foot += thickness.base();
        if foot > water_depth.base() && round::under(weight.base(), water()) {
            return Err(Problem::error(format!(
                "a layer in water weighs {:.1} pcf, and water 62.4 pcf",
                weight.pcf()
            ))
            .help("unit_weights: saturated where a layer stands in water"));
        }
    }
    let level = water_depth.base().min(height);
    let (mut depth, mut vertical) = (0.0, surcharge.base());
    let (mut earth, mut moment, mut last) = (0.0, 0.0, 0.0);
    for ((thickness, weight), coefficient) in thicknesses.iter().zip(unit_weights).zip(coefficients)
    {
        let end = depth + thickness.base();
        // Above the water and under it.
        for (from, to, weight) in [
            (depth, end.min(level.max(depth)), weight.base()),
            (end.min(level.max(depth)), end, weight.base() - water()),
        ] {
            let (run, k) = (to - from, coefficient.number());
            if run <= 0.0 {
                continue;
            }
            let (top, bottom) = (k * vertical, k * (vertical + weight * run));
            vertical += weight * run;
            let (even, more) = (top * run, (bottom - top) * run / 2.0);
            earth += even + more;
            moment += even * (height - from - run / 2.0) + more * (height - from - run * 2.0 / 3.0);
            last = bottom;
        }
        depth = end;
    }
    let head = height - level;
    let wet = water() * head * head / 2.0;
    let of = ForcePerLength::from_base;
    Ok(LayeredThrust {
        thrust: of(earth + wet),
        earth: of(earth),
        water: of(wet),
        above_foot: Length::from_base((moment + wet * head / 3.0) / (earth + wet)),
        earth_at_foot: Pressure::from_base(last),
        water_at_foot: Pressure::from_base(water() * head),
    })
}

/// Thrust of a soil with cohesion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CohesiveThrust {
    /// After the crack has opened, when it is dry.
    pub thrust: ForcePerLength,
    /// Where it acts, above the foot; none where the crack reaches it.
    pub above_foot: Option<Length>,
    /// Depth of the crack.
    pub crack: Length,
    /// Before it opens, the pull counted.
    pub before_crack: ForcePerLength,
}

/// Active thrust of level cohesive fill: `K gamma H^2 / 2 - 2 c sqrt(K) H` before the crack, `(H - z)(K gamma H - 2 c
/// sqrt(K)) / 2` after it, with the crack `z = 2 c / (gamma sqrt(K))`.
///
/// Source `cohesive-thrust`: Cohesive fill and its crack as worked in B. M. Das, Principles of Foundation
/// Engineering, example 7.2, and Principles of Geotechnical Engineering, example 13.5, p. 453 (companion solutions,
/// edition not named).
///
/// # Errors
/// An input is out of its range.
pub fn cohesive_thrust(
    friction: Angle,
    cohesion: Pressure,
    unit_weight: UnitWeight,
    height: Length,
) -> Result<CohesiveThrust, Problem> {
    ANY_FRICTION.check(friction)?;
    ADHESION.named("cohesion").check(cohesion)?;
    SOIL.check(unit_weight)?;
    RETAINED.check(height)?;
    let sine = friction.radians().sin();
    let k = (1.0 - sine) / (1.0 + sine);
    let (c, gamma, h) = (cohesion.base(), unit_weight.base(), height.base());
    let crack = 2.0 * c / (gamma * k.sqrt());
    let left = (h - crack).max(0.0);
    let after = left * (k * gamma * h - 2.0 * c * k.sqrt()) / 2.0;
    Ok(CohesiveThrust {
        thrust: ForcePerLength::from_base(after.max(0.0)),
        above_foot: (left > 0.0).then(|| Length::from_base(left / 3.0)),
        crack: Length::from_base(crack),
        before_crack: ForcePerLength::from_base(k * gamma * h * h / 2.0 - 2.0 * c * k.sqrt() * h),
    })
}

/// Thrust of a load behind a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadThrust {
    /// Per length of wall.
    pub thrust: ForcePerLength,
    /// Where it acts, above the foot.
    pub above_foot: Length,
    /// The greatest pressure.
    pub greatest: Pressure,
}

/// Sums a pressure over the height of a wall by Simpson's rule.
fn over_height(height: f64, pressure: impl Fn(f64) -> f64) -> LoadThrust {
    const PARTS: u32 = 400;
    let step = height / f64::from(PARTS);
    let (mut thrust, mut moment, mut greatest) = (0.0, 0.0, 0.0_f64);
    for part in 0..=PARTS {
        let weight = match part {
            0 | PARTS => 1.0,
            part if part % 2 == 1 => 4.0,
            _ => 2.0,
        };
        let depth = step * f64::from(part);
        let here = pressure(depth);
        greatest = greatest.max(here);
        thrust += weight * here * step / 3.0;
        moment += weight * here * (height - depth) * step / 3.0;
    }
    LoadThrust {
        thrust: ForcePerLength::from_base(thrust),
        above_foot: Length::from_base(if thrust > 0.0 { moment / thrust } else { 0.0 }),
        greatest: Pressure::from_base(greatest),
    }
}

/// Thrust of a line load along an unyielding wall by the elastic solution as it is adapted to walls: nearer than 0.4 of the
/// height as if at 0.4.
///
/// Source `surcharge-elastic`: Elastic solution for line and strip loads, doubled for an unyielding wall, with the
/// change at 0.4 of the height, as earth-pressure texts and design manuals print it: no copy read.
///
/// # Errors
/// An input is out of its range.
pub fn line_surcharge(
    load: ForcePerLength,
    distance: Length,
    height: Length,
) -> Result<LoadThrust, Problem> {
    LINE_LOAD.check(load)?;
    BEHIND.check(distance)?;
    RETAINED.check(height)?;
    let (q, h) = (load.base(), height.base());
    let m = distance.base() / h;
    Ok(over_height(h, |depth| {
        let n = depth / h;
        q / h
            * if m <= 0.4 {
                0.203 * n / (0.16 + n * n).powi(2)
            } else {
                4.0 / std::f64::consts::PI * m * m * n / (m * m + n * n).powi(2)
            }
    }))
}

/// Thrust of a loaded strip along an unyielding wall by the elastic solution: `2 q / pi (b - sin b cos 2a)`, b the angle
/// under which the strip is seen and a that to its middle, from the wall.
///
/// Source `surcharge-elastic`: Elastic solution for line and strip loads, doubled for an unyielding wall, with the
/// change at 0.4 of the height, as earth-pressure texts and design manuals print it: no copy read.
///
/// # Errors
/// An input is out of its range.
pub fn strip_surcharge(
    pressure: Pressure,
    distance: Length,
    width: Length,
    height: Length,
) -> Result<LoadThrust, Problem> {
    STRIP_LOAD.check(pressure)?;
    SECTION_PART.named("distance").check(distance)?;
    BASE.named("width").check(width)?;
    RETAINED.check(height)?;
    let (q, near, far) = (pressure.base(), distance.base(), distance.base() + width.base());
    Ok(over_height(height.base(), |depth| {
        let (from, to) = (near.atan2(depth), far.atan2(depth));
        let seen = to - from;
        2.0 * q / std::f64::consts::PI * (seen - seen.sin() * (from + to).cos())
    }))
}
