//! What ties, braces, kickers and stakes are asked to hold. Demand only: what they carry is their maker's and the
//! engineer's word.

use super::liquid::{TALL, UNIT_WEIGHT, fluid_thrust};
use crate::measure::{
    Angle, ForcePerLength, Length, Limits, Moment, Pressure, Ratio, UnitWeight, Weight, choice,
    round,
};
use crate::problem::Problem;

/// A spacing of ties, braces or stakes.
pub const SPACING: Limits = Limits::over("spacing", 0.0, "ft");
/// Pressure of wind.
pub const WIND: Limits = Limits::at_least("wind", 0.0, "psf");
/// Force along the top of a form.
pub const ALONG: Limits = Limits::at_least("horizontal", 0.0, "plf");
/// Angle of a kicker with the horizontal.
pub const ANGLE: Limits = Limits::within("angle", 0.0, 80.0, "deg");
/// A load.
pub const LOAD: Limits = Limits::at_least("load", 0.0, "lb");
/// What one of them holds by its maker or a table.
pub const EACH: Limits = Limits::over("each", 0.0, "lb");
/// Load-duration factor.
pub const DURATION: Limits = Limits::within("duration_factor", 0.9, 1.6, "");
/// Pressure on a form.
pub const ON_FORM: Limits = Limits::over("pressure", 0.0, "psf");

/// Load on a tie: the pressure on its field.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn tie_load(pressure: Pressure, across: Length, up: Length) -> Result<Weight, Problem> {
    ON_FORM.check(pressure)?;
    SPACING.named("across").check(across)?;
    SPACING.named("up").check(up)?;
    Ok(Weight::from_base(pressure.base() * across.base() * up.base()))
}

/// Widest spacing of ties of a rated load where the other spacing is given.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn tie_spacing(rated: Weight, pressure: Pressure, other: Length) -> Result<Length, Problem> {
    EACH.named("rated").check(rated)?;
    ON_FORM.check(pressure)?;
    SPACING.named("other").check(other)?;
    Ok(Length::from_base(rated.base() / (pressure.base() * other.base())))
}

/// The least force along the top that a wall form is braced for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bracing {
    /// The force along the top.
    pub at_top: ForcePerLength,
    /// What the wind alone requires at the top: half of its force.
    pub wind_at_top: ForcePerLength,
    /// Overturning moment of the wind on one foot or metre of wall, per that length.
    pub wind_moment: Moment,
    /// What decided.
    pub governs: &'static str,
}

/// Force along the top of a wall form: the greater of the wind's and 100 lb per foot of wall; wind no less than 15 psf.
/// The moment is that of a strip of the given length.
///
/// Source `bracing-minimum`: formwork textbook, sec. 7.2.2, p. 191, and reinforced-concrete textbook, ch. 12, p. 338:
/// greater of local wind, no less than 15 psf, and 100 lb per ft of wall at its top.
///
/// # Errors
/// An input is out of its range.
pub fn bracing_minimum(height: Length, wind: Pressure, strip: Length) -> Result<Bracing, Problem> {
    TALL.check(height)?;
    WIND.check(wind)?;
    SPACING.named("strip").check(strip)?;
    let exposed = wind.psf().max(15.0);
    let by_wind = exposed * height.feet() / 2.0;
    let (at_top, governs) = match by_wind {
        by_wind if by_wind > 100.0 => (by_wind, "wind"),
        _ => (100.0, "100 lb per foot of wall"),
    };
    Ok(Bracing {
        at_top: ForcePerLength::from_plf(at_top),
        wind_at_top: ForcePerLength::from_plf(by_wind),
        wind_moment: Moment::from_foot_pounds(by_wind * height.feet() * strip.feet()),
        governs,
    })
}

/// Load in an inclined brace whose foot stands out from the form: `H h / (h' l') root(h'^2 + l'^2)` times its spacing.
///
/// Source `strut-load`: formwork textbook, design of lateral bracing; the copy's equation is garbled and was derived
/// again by moments.
///
/// # Errors
/// An input is out of its range, or the brace meets the form above its top.
pub fn strut_load(
    horizontal: ForcePerLength,
    height: Length,
    brace_height: Length,
    foot: Length,
    spacing: Length,
) -> Result<Weight, Problem> {
    ALONG.check(horizontal)?;
    TALL.check(height)?;
    SPACING.named("brace_height").check(brace_height)?;
    SPACING.named("foot").check(foot)?;
    SPACING.check(spacing)?;
    if brace_height.base() > height.base() {
        return Err(Problem::error(format!(
            "brace_height is {:.4} ft, the form {:.4} ft high",
            brace_height.feet(),
            height.feet()
        ))
        .help("brace_height: no more than height was expected"));
    }
    let (h, up, out) = (height.base(), brace_height.base(), foot.base());
    Ok(Weight::from_base(horizontal.base() * h / (up * out) * up.hypot(out) * spacing.base()))
}

/// What the stakes of an edge form hold, with a kicker at its top and a pin at its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeForm {
    /// Thrust of the concrete over one spacing.
    pub thrust: Weight,
    /// Horizontal force at the top, on each kicker.
    pub top: Weight,
    /// Force in each kicker.
    pub kicker: Weight,
    /// Uplift of each kicker on the form.
    pub uplift: Weight,
    /// Horizontal force at the foot, on each stake.
    pub foot: Weight,
}

/// Loads on stakes and kickers of an edge form filled to its top.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn edge_form(
    unit_weight: UnitWeight,
    height: Length,
    spacing: Length,
    angle: Angle,
) -> Result<EdgeForm, Problem> {
    UNIT_WEIGHT.check(unit_weight)?;
    TALL.check(height)?;
    SPACING.check(spacing)?;
    ANGLE.check(angle)?;
    let thrust = fluid_thrust(unit_weight, height, spacing)?.base();
    // The thrust acts at a third of the height.
    let (top, foot) = (thrust / 3.0, thrust * 2.0 / 3.0);
    let of = Weight::from_base;
    Ok(EdgeForm {
        thrust: of(thrust),
        top: of(top),
        kicker: of(top / angle.radians().cos()),
        uplift: of(top * angle.radians().tan()),
        foot: of(foot),
    })
}

/// How many nails, ties or stakes a load requires when each holds so much; rounded up.
///
/// Source `bracing-course`: University of Florida temporary-structures notes (D. T. Allen, commit 7839ccd): nail
/// values times load-duration factor, rounded up.
///
/// # Errors
/// An input is out of its range.
pub fn pieces_for_load(
    load: Weight,
    each: Weight,
    duration_factor: Ratio,
) -> Result<Ratio, Problem> {
    LOAD.check(load)?;
    EACH.check(each)?;
    DURATION.check(duration_factor)?;
    Ok(Ratio::of(round::steps_up(load.base(), each.base() * duration_factor.number())))
}

choice! {
    /// What of a form is held by a piece with a rating.
    pub enum HeldPiece, "piece" {
        /// A form tie.
        Tie = "tie",
        /// An anchor for form weight and concrete pressure alone.
        Anchor = "anchor_without_live_load",
        /// An anchor for form weight, concrete, live load and impact.
        LiveAnchor = "anchor_with_live_load",
        /// A hanger.
        Hanger = "hanger",
        /// An insert that ties a precast panel used as a form; not for lifting.
        Insert = "insert_as_panel_tie",
    }
}

/// What a piece may be asked to hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rating {
    /// Least safety factor of the guide.
    pub factor: Ratio,
    /// Breaking load over that factor.
    pub rated: Weight,
}

/// Load that a piece may be asked to hold: its breaking load over the least safety factor of the guide, 2 or 3.
///
/// Source `tie-factors`: ACI 347 least safety factors (edition not named) as quoted in Concrete Construction, "Safety
/// factor for form ties", and Peurifoy and Oberlender, Formwork for Concrete Structures, p. 86.
///
/// # Errors
/// The load is out of its range.
pub fn rating(breaking: Weight, piece: HeldPiece) -> Result<Rating, Problem> {
    EACH.named("breaking").check(breaking)?;
    let factor = if piece == HeldPiece::LiveAnchor { 3.0 } else { 2.0 };
    Ok(Rating { factor: Ratio::of(factor), rated: Weight::from_base(breaking.base() / factor) })
}
