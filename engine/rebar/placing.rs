//! Bars in a section: least steel, spacing, counts, cover and effective depth.

use super::development::FY;
use super::table::{bar, inch_pound};
use crate::measure::{Length, Limits, Pressure, Ratio, choice, round};
use crate::problem::Problem;

/// Thickness of a wall or footing.
pub const THICKNESS: Limits = Limits::over("thickness", 0.0, "in");
/// Clear cover.
pub const CLEAR: Limits = Limits::at_least("clear", 0.0, "in");
/// Length over which bars are counted.
pub const STRETCH: Limits = Limits::over_to("length", 0.0, 1_000_000.0, "ft");
/// How far the first and last bar are from the ends.
pub const END: Limits = Limits::at_least("end", 0.0, "in");
/// Wanted spacing of bars.
pub const PITCH: Limits = Limits::within("spacing", 0.1, 1_200.0, "in");
/// Steel per length of wall.
pub const STEEL: Limits = Limits::over("steel", 0.0, "in2/ft");

choice! {
    /// Direction of wall bars.
    pub enum Direction, "direction" {
        /// Upright.
        Vertical = "vertical",
        /// Along the wall.
        Horizontal = "horizontal",
    }
}

choice! {
    /// What a face is exposed to.
    pub enum Exposure, "exposure" {
        /// Cast against earth and always in contact with it.
        CastAgainstEarth = "cast_against_earth",
        /// Exposed to earth or weather.
        EarthOrWeather = "earth_or_weather",
        /// Slabs, walls and joists exposed to neither.
        Inside = "inside",
    }
}

/// Least steel of a wall, both faces together, as area per length: a share of the gross section.
///
/// Source `wall-minimum-steel`: ACI 318-14 Table 11.6.1, low shear: values quoted in engineers' threads, table from
/// memory.
///
/// # Errors
/// The bar is not an inch-pound bar; thickness or fy is out of its range.
pub fn wall_minimum_steel(
    thickness: Length,
    direction: Direction,
    largest_bar: &str,
    fy: Pressure,
) -> Result<Length, Problem> {
    THICKNESS.check(thickness)?;
    FY.check(fy)?;
    let (_, number) = inch_pound(largest_bar)?;
    let small = number <= 5 && !round::under(fy.psi(), 60_000.0);
    let share = match (direction, small) {
        (Direction::Vertical, true) => 0.0012,
        (Direction::Vertical, false) => 0.0015,
        (Direction::Horizontal, true) => 0.0020,
        (Direction::Horizontal, false) => 0.0025,
    };
    Ok(Length::from_base(share * thickness.base()))
}

/// Widest spacing at which bars of one size give so much steel per length; not rounded.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The bar is in no table; the steel is out of its range.
pub fn spacing_for_steel(steel: Length, name: &str) -> Result<Length, Problem> {
    STEEL.check(steel)?;
    Ok(Length::from_base(bar(name)?.area.base() / steel.base()))
}

/// Steel per length of bars at a spacing.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The bar is in no table; the spacing is out of its range.
pub fn steel_at_spacing(name: &str, spacing: Length) -> Result<Length, Problem> {
    PITCH.check(spacing)?;
    Ok(Length::from_base(bar(name)?.area.base() / spacing.base()))
}

/// Widest spacing of bars in a wall: three thicknesses, no more than 18 in.
///
/// Source `wall-spacing`: ACI 318-14 11.7: three thicknesses, no more than 18 in.
///
/// # Errors
/// The thickness is out of its range.
pub fn wall_widest_spacing(thickness: Length) -> Result<Length, Problem> {
    THICKNESS.check(thickness)?;
    Ok(Length::from_inches((3.0 * thickness.inches()).min(18.0)))
}

/// A row of bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarRow {
    /// How many.
    pub count: usize,
    /// Their spacing, no wider than wanted.
    pub spacing: Length,
}

/// Bars over a length, the first and last so far from its ends: `ceil((L - 2e) / s) + 1`, spread evenly.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range, or the ends leave no length between them.
pub fn bar_row(length: Length, spacing: Length, end: Length) -> Result<BarRow, Problem> {
    STRETCH.check(length)?;
    PITCH.check(spacing)?;
    END.check(end)?;
    let between = length.base() - 2.0 * end.base();
    if between < 0.0 {
        return Err(Problem::error(format!(
            "end is {:.3} in, the length only {:.3} in",
            end.inches(),
            length.inches()
        ))
        .help("end: no more than half the length was expected"));
    }
    let gaps = round::steps_up(between, spacing.base());
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count of bars")]
    let count = (gaps as usize).saturating_add(1);
    let real = if gaps > 0.0 { between / gaps } else { 0.0 };
    Ok(BarRow { count, spacing: Length::from_base(real) })
}

/// Least clear cover of cast-in-place concrete, not prestressed.
///
/// Source `cover`: ACI 318-14 Table 20.6.1.3.1, from Concrete Construction, "Cover for rebars" and ACI FAQ 903.
///
/// # Errors
/// The bar is not an inch-pound bar.
pub fn least_cover(exposure: Exposure, name: &str) -> Result<Length, Problem> {
    let (_, number) = inch_pound(name)?;
    Ok(Length::from_inches(match exposure {
        Exposure::CastAgainstEarth => 3.0,
        Exposure::EarthOrWeather if number <= 5 => 1.5,
        Exposure::EarthOrWeather => 2.0,
        Exposure::Inside if number <= 11 => 0.75,
        Exposure::Inside => 1.5,
    }))
}

/// Effective depth of bars with so much clear cover on the loaded side, and how it compares with the same bars on the
/// wrong side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EffectiveDepth {
    /// From the other face to the centre of the bar.
    pub depth: Length,
    /// The same if the bar stands on the wrong side.
    pub wrong_side: Length,
    /// What is left of the depth then.
    pub share: Ratio,
}

/// Effective depth: `t - clear - db / 2`.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The bar is in no table; an input is out of its range; nothing is left of the thickness.
pub fn effective_depth(
    thickness: Length,
    clear: Length,
    name: &str,
) -> Result<EffectiveDepth, Problem> {
    THICKNESS.check(thickness)?;
    CLEAR.check(clear)?;
    let wrong = clear.base() + bar(name)?.diameter.base() / 2.0;
    let depth = thickness.base() - wrong;
    if depth <= 0.0 {
        return Err(Problem::error(format!(
            "clear is {:.3} in, the thickness {:.3} in",
            clear.inches(),
            thickness.inches()
        ))
        .help("clear: less than the thickness and half a bar was expected"));
    }
    Ok(EffectiveDepth {
        depth: Length::from_base(depth),
        wrong_side: Length::from_base(wrong),
        share: Ratio::of(wrong / depth),
    })
}

/// Factored moment per length of wall.
pub const MOMENT: Limits = Limits::over("moment", 0.0, "lb*ft/ft");
/// Effective depth.
pub const EFFECTIVE: Limits = Limits::over("depth", 0.0, "in");

/// Steel that a moment requires, beside the least of the code.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RequiredSteel {
    /// By flexure, with the strength factor 0.9.
    pub needed: Length,
    /// Least of ACI 318 9.6.1.2.
    pub least: Length,
    /// A third more than is needed, which may stand in place of the least.
    pub four_thirds: Length,
}

/// Steel per length that a factored moment requires in a section one unit wide: `Mu = 0.9 As fy (d - As fy / 1.7 f'c b)`.
///
/// Source `flexure`: ACI 318 rectangular stress block with strength factor 0.9, least steel of 9.6.1.2: from memory,
/// checked by an own example.
///
/// # Errors
/// An input is out of its range, no steel resists the moment in this depth, or its strain at strength is under
/// `fy / Es + 0.003`, so that the factor is less than 0.9.
pub fn required_steel(
    moment: crate::measure::Weight,
    depth: Length,
    fy: Pressure,
    fc: Pressure,
) -> Result<RequiredSteel, Problem> {
    MOMENT.check(moment)?;
    EFFECTIVE.check(depth)?;
    FY.check(fy)?;
    super::development::FC.check(fc)?;
    // All per inch of width: moment in inch-pounds per inch.
    let (m, d, fy, fc) = (moment.pounds(), depth.inches(), fy.psi(), fc.psi());
    let (a, b, c) = (fy * fy / (1.7 * fc), -fy * d, m / 0.9);
    let root = b * b - 4.0 * a * c;
    if root < 0.0 {
        return Err(Problem::error(format!(
            "moment is {m:.0} lb*ft/ft, more than any steel resists in {d:.2} in"
        ))
        .help("depth: a deeper section was expected; the engineer of record designs it"));
    }
    let needed = (-b - root.sqrt()) / (2.0 * a);
    // The factor 0.9 holds in tension-controlled sections: the outer steel strained 0.003 beyond its yield.
    let depth_of_block = needed * fy / (0.85 * fc);
    let block = (0.85 - 0.05 * (fc - 4000.0) / 1000.0).clamp(0.65, 0.85);
    let neutral = depth_of_block / block;
    let strain = 0.003 * (d - neutral) / neutral;
    let limit = fy / 29_000_000.0 + 0.003;
    if round::under(strain, limit) {
        return Err(Problem::error(format!(
            "moment is {m:.0} lb*ft/ft: its steel would strain {strain:.4} at strength, under the {limit:.4} up to which the factor 0.9 holds"
        ))
        .help("depth: a deeper section was expected; the engineer of record designs it"));
    }
    let least = (3.0 * fc.sqrt()).max(200.0) * d / fy;
    let of = |area_per_inch: f64| Length::from_inches(area_per_inch);
    Ok(RequiredSteel { needed: of(needed), least: of(least), four_thirds: of(needed * 4.0 / 3.0) })
}

choice! {
    /// Edition of the code for shrinkage steel.
    pub enum ShrinkageCode, "code" {
        /// 318-14: by the grade, no less than 0.0014.
        Y14 = "318-14",
        /// 318-19: 0.0018 throughout.
        Y19 = "318-19",
    }
}

/// Shrinkage and temperature steel per length of a slab or footing: a share of its whole thickness.
///
/// Source `shrinkage-steel`: ACI 318-14 Table 24.4.3.2 and 318-19 24.4.3.2.
///
/// # Errors
/// An input is out of its range.
pub fn shrinkage_steel(
    thickness: Length,
    fy: Pressure,
    code: ShrinkageCode,
) -> Result<Length, Problem> {
    THICKNESS.check(thickness)?;
    FY.check(fy)?;
    let share = match code {
        ShrinkageCode::Y19 => 0.0018,
        ShrinkageCode::Y14 if round::under(fy.psi(), 60_000.0) => 0.0020,
        ShrinkageCode::Y14 => (0.0018 * 60_000.0 / fy.psi()).max(0.0014),
    };
    Ok(Length::from_base(share * thickness.base()))
}

/// A development length shortened where more steel is there than is needed, no less than 12 in. Not for laps, hooks, where
/// the bar must yield, or in seismic members.
///
/// Source `excess-steel`: ACI 318-14 and 318-19 25.4.10.
///
/// # Errors
/// An input is out of its range, or less steel is there than is needed.
pub fn excess_steel_length(
    length: Length,
    needed: Length,
    provided: Length,
) -> Result<Length, Problem> {
    DEVELOPED.check(length)?;
    STEEL.named("needed").check(needed)?;
    STEEL.named("provided").check(provided)?;
    if round::under(provided.base(), needed.base()) {
        return Err(Problem::error("less steel is provided than is needed")
            .help("provided: needed or more was expected"));
    }
    let short = length.inches() * needed.base() / provided.base();
    Ok(Length::from_inches(short.max(12.0)))
}

/// A development length.
pub const DEVELOPED: Limits = Limits::over("length", 0.0, "in");
