//! Published limits on stepped footings, as options beside the rules of the job.

use crate::measure::{Length, Limits, choice, round};
use crate::problem::Problem;

/// Height of a step.
pub const RISER: Limits = Limits::over("riser", 0.0, "in");
/// Length between steps.
pub const RUN: Limits = Limits::over("run", 0.0, "in");
/// Rise of the ground over a length.
pub const RISE: Limits = Limits::at_least("rise", 0.0, "ft");
/// The length.
pub const OVER: Limits = Limits::over("over", 0.0, "ft");
/// Thickness of a footing.
pub const THICKNESS: Limits = Limits::over("thickness", 0.0, "in");
/// Frost depth of the local code.
pub const FROST: Limits = Limits::at_least("frost", 0.0, "ft");
/// Cover over the toe.
pub const COVER: Limits = Limits::at_least("cover", 0.0, "ft");
/// Distance of two footings.
pub const APART: Limits = Limits::at_least("apart", 0.0, "ft");
/// Least concrete through a step.
pub const THROAT: Limits = Limits::over("throat", 0.0, "in");
/// How far the upper bottom is under the lower top.
pub const DROP: Limits = Limits::at_least("drop", 0.0, "in");
/// Step of lengths.
pub const STEP: Limits = Limits::over("step", 0.0, "in");
/// Least overlap.
pub const LEAST: Limits = Limits::at_least("least", 0.0, "in");

/// Whether a bottom that rises so much is stepped: steeper than 1 in 10.
///
/// Source `footing-slope`: IBC 1809.3 (edition not named) as NYC Administrative Code BC 1809.2: top level, bottom no
/// steeper than 1 in 10, else stepped.
///
/// # Errors
/// An input is out of its range.
pub fn bottom_is_stepped(rise: Length, over: Length) -> Result<bool, Problem> {
    RISE.check(rise)?;
    OVER.check(over)?;
    Ok(!round::up_to(rise.base(), 0.1 * over.base()))
}

choice! {
    /// Whose limits on riser and run.
    pub enum StepLimits, "limits" {
        /// National Building Code of Canada 9.15.3.9: riser to 600 mm, run from 600 mm.
        Canada = "canada",
        /// A rule of the trade: riser to 3/4 of the run and 24 in, run from 24 in.
        ThreeQuarters = "three_quarters",
    }
}

/// A step beside the limits that are asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepCheck {
    /// Highest riser that they allow for this run.
    pub riser_limit: Length,
    /// Shortest run that they allow.
    pub run_limit: Length,
    /// How much the riser is over its limit; 0 where it is not.
    pub riser_over: Length,
    /// How much the run is short of its limit; 0 where it is not.
    pub run_short: Length,
    /// Whose limits they are.
    pub whose: &'static str,
}

/// Sets a riser and the run between risers beside published limits.
///
/// Source `step-limits`: National Building Code of Canada 9.15.3.9, from secondary pages; three quarters of the run
/// is a rule of the trade, no code.
///
/// # Errors
/// An input is out of its range.
pub fn step_limits(riser: Length, run: Length, limits: StepLimits) -> Result<StepCheck, Problem> {
    RISER.check(riser)?;
    RUN.check(run)?;
    let (riser_limit, run_limit, whose) = match limits {
        StepLimits::Canada => (
            Length::from_millimetres(600.0),
            Length::from_millimetres(600.0),
            "National Building Code of Canada 9.15.3.9",
        ),
        StepLimits::ThreeQuarters => (
            Length::from_inches((0.75 * run.inches()).min(24.0)),
            Length::from_inches(24.0),
            "a rule of the trade, no code",
        ),
    };
    let beyond = |value: Length, limit: Length| {
        let over = value.base() - limit.base();
        // Half a nanometre is no excess.
        Length::from_base(if over > 0.5 { over } else { 0.0 })
    };
    Ok(StepCheck {
        riser_limit,
        run_limit,
        riser_over: beyond(riser, riser_limit),
        run_short: beyond(run_limit, run),
        whose,
    })
}

choice! {
    /// Kind of a strip footing.
    pub enum StripKind, "kind" {
        /// Concrete as thick as the plan has it.
        Strip = "strip",
        /// The trench is filled.
        TrenchFill = "trench fill",
    }
}

/// Overlap of a published rule for strip footings: the largest of twice the step, the thickness up to 500 mm, 300 mm; of
/// trench fill the larger of twice the step and 1 m. The source holds for steps up to the thickness.
///
/// Source `strip-overlap`: NHBC Standards 4.3.8, Table 3 (edition not named in the quotation).
///
/// # Errors
/// An input is out of its range.
pub fn strip_overlap(riser: Length, thickness: Length, kind: StripKind) -> Result<Length, Problem> {
    RISER.check(riser)?;
    THICKNESS.check(thickness)?;
    let least = match kind {
        StripKind::Strip => thickness.millimetres().clamp(300.0, 500.0),
        StripKind::TrenchFill => 1000.0,
    };
    Ok(Length::from_millimetres((2.0 * riser.millimetres()).max(least)))
}

/// How deep under finished grade a bottom is: the most of frost, cover over the toe and thickness, and 12 in.
///
/// Source `frost`: IRC R403.1.4 (edition not named in the copy): bottom at least 12 in below undisturbed ground and
/// below the local frost line.
///
/// # Errors
/// An input is out of its range.
pub fn bottom_depth(frost: Length, cover: Length, thickness: Length) -> Result<Length, Problem> {
    FROST.check(frost)?;
    COVER.check(cover)?;
    THICKNESS.check(thickness)?;
    let covered = if cover.base() > 0.0 { cover.base() + thickness.base() } else { 0.0 };
    let least = Length::from_inches(12.0).base();
    Ok(Length::from_base(frost.base().max(covered).max(least)))
}

/// How much lower the nearer edge of an adjoining footing may be: 30 degrees of fall, in granular soil.
///
/// Source `adjoining-footings`: IBC 1809.6, 2018, p. 470: 30 degrees in granular soil.
///
/// # Errors
/// The distance is out of its range.
pub fn adjoining_drop(apart: Length) -> Result<Length, Problem> {
    APART.check(apart)?;
    Ok(Length::from_base(apart.base() * std::f64::consts::FRAC_PI_6.tan()))
}

/// Overlap that leaves a throat through a step, checked for its inputs.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range.
pub fn throat_overlap(
    throat: Length,
    drop: Length,
    step: Length,
    least: Length,
) -> Result<Length, Problem> {
    THROAT.check(throat)?;
    DROP.check(drop)?;
    STEP.check(step)?;
    LEAST.check(least)?;
    let [throat, drop, step, least] =
        [throat.to_nm()?, drop.to_nm()?, step.to_nm()?, least.to_nm()?];
    Ok(Length::exact(super::overlap(throat, drop, step, least)))
}
