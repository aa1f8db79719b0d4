//! Posts: what slenderness leaves of their strength.

use super::members::{ELASTICITY, Grade, Moisture, Repetition, STRESS, adjusted_lumber};
use super::sections::size;
use crate::measure::{Length, Limits, Pressure, Ratio, Weight, round, shortest, significant};
use crate::problem::Problem;

/// Length of a post between what holds it.
pub const UNBRACED: Limits = Limits::over_to("unbraced", 0.0, 50.0, "ft");
/// Unbraced length of a post over its least side.
pub const SLENDER: Limits = Limits::over_to("slenderness", 0.0, 50.0, "");

/// What slenderness leaves of a post's strength.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compression {
    /// Factor CP.
    pub factor: Ratio,
    /// Stress along the grain with it.
    pub stress: Pressure,
}

/// Column stability of a sawn post: with `F = 0.822 Emin' / (l/d)^2` and `c = 0.8`,
/// `CP = (1 + F/Fc*) / 2c - root(((1 + F/Fc*) / 2c)^2 - F/Fc* / c)`.
///
/// Source `lumber-values`: NDS Supplement Table 4A and adjustment factors (edition not named; the duration factors
/// are those of 2018), from University of Florida temporary-structures notes and from the tables of an open
/// finite-element library.
///
/// # Errors
/// An input is out of its range.
pub fn column_stability(
    along_grain: Pressure,
    least_elasticity: Pressure,
    slenderness: Ratio,
) -> Result<Compression, Problem> {
    STRESS.named("along_grain").check(along_grain)?;
    ELASTICITY.named("least_elasticity").check(least_elasticity)?;
    SLENDER.check(slenderness)?;
    let buckling = 0.822 * least_elasticity.base() / slenderness.number().powi(2);
    let ratio = buckling / along_grain.base();
    let half = (1.0 + ratio) / 1.6;
    let factor = half - (half * half - ratio / 0.8).max(0.0).sqrt();
    Ok(Compression {
        factor: Ratio::of(factor),
        stress: Pressure::from_base(along_grain.base() * factor),
    })
}

/// What a post of sawn lumber carries along the grain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Post {
    /// Load that its stress and slenderness allow.
    pub load: Weight,
    /// Stress along the grain with the factor.
    pub stress: Pressure,
    /// Factor CP of slenderness.
    pub factor: Ratio,
    /// Unbraced length over the thinner side.
    pub slenderness: Ratio,
}

/// Load along the grain of a single post, held at both ends and nowhere between: it buckles across its thinner side.
///
/// Source `lumber-values`: NDS Supplement Table 4A and adjustment factors (edition not named; the duration factors
/// are those of 2018), from University of Florida temporary-structures notes and from the tables of an open
/// finite-element library.
///
/// # Errors
/// The size is not of the table or a board; the post is more slender than 50; an input is out of its range.
pub fn post_load(
    name: &str,
    grade: Grade,
    unbraced: Length,
    duration_factor: Ratio,
    moisture: Moisture,
) -> Result<Post, Problem> {
    UNBRACED.check(unbraced)?;
    let values = adjusted_lumber(name, grade, duration_factor, moisture, Repetition::Single)?;
    let (b, d) = size(name)?;
    let slenderness = Ratio::of(unbraced.inches() / b);
    if round::up_to(slenderness.number(), 50.0) {
        let column = column_stability(values.along_grain, values.least_elasticity, slenderness)?;
        return Ok(Post {
            load: Weight::from_pounds(column.stress.psi() * b * d),
            stress: column.stress,
            factor: column.factor,
            slenderness,
        });
    }
    Err(Problem::error(format!(
        "a {name} of {} ft is more slender than 50, which NDS does not allow",
        shortest(significant(unbraced.feet(), 7))
    ))
    .help(format!(
        "brace it so that no length is over {} ft, or take a thicker post",
        shortest(significant(50.0 * b / 12.0, 4))
    )))
}
