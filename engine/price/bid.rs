//! Money of a bid: markup and margin, burdens with a cap, extensions, rounded lines.

use crate::measure::{Limits, Money, Ratio, round};
use crate::problem::Problem;

/// An amount of money.
pub const COST: Limits = Limits::at_least("cost", 0.0, "usd");
/// Markup on cost.
pub const MARKUP: Limits = Limits::within("markup", 0.0, 1.0, "");
/// Margin in the price.
pub const MARGIN: Limits = Limits::within("margin", 0.0, 0.99, "");
/// Rate of a burden.
pub const RATE: Limits = Limits::within("rate", 0.0, 1.0, "");
/// Wages of one person in a year.
pub const WAGES: Limits = Limits::at_least("wages", 0.0, "usd");
/// Highest wages that a burden is paid on.
pub const BASE: Limits = Limits::at_least("base", 0.0, "usd");
/// How far a printed extension may be off.
pub const TOLERANCE: Limits = Limits::at_least("tolerance", 0.0, "usd");
/// Step that amounts are rounded to.
pub const STEP: Limits = Limits::over("step", 0.0, "usd");

/// Price with a markup on cost.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn price_with_markup(cost: Money, markup: Ratio) -> Result<Money, Problem> {
    COST.check(cost)?;
    MARKUP.check(markup)?;
    Ok(Money::from_base(cost.base() * (1.0 + markup.number())))
}

/// Price that leaves a margin in itself.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn price_with_margin(cost: Money, margin: Ratio) -> Result<Money, Problem> {
    COST.check(cost)?;
    MARGIN.check(margin)?;
    Ok(Money::from_base(cost.base() / (1.0 - margin.number())))
}

/// The margin that a markup leaves: m / (1 + m).
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The markup is out of its range.
pub fn margin_of_markup(markup: Ratio) -> Result<Ratio, Problem> {
    MARKUP.check(markup)?;
    Ok(Ratio::of(markup.number() / (1.0 + markup.number())))
}

/// The markup that leaves a margin: g / (1 - g).
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// The margin is out of its range.
pub fn markup_of_margin(margin: Ratio) -> Result<Ratio, Problem> {
    MARGIN.check(margin)?;
    Ok(Ratio::of(margin.number() / (1.0 - margin.number())))
}

/// A burden on wages up to a base.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn capped_burden(wages: Money, rate: Ratio, base: Money) -> Result<Money, Problem> {
    WAGES.check(wages)?;
    RATE.check(rate)?;
    BASE.check(base)?;
    Ok(Money::from_base(wages.base().min(base.base()) * rate.number()))
}

/// A printed extension and what it should be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extension {
    /// Quantity times unit price: it governs.
    pub exact: Money,
    /// Printed less exact.
    pub difference: Money,
    /// Whether the difference is beyond the tolerance.
    pub off: bool,
}

/// Checks a printed extension against its quantity and unit price.
///
/// Source `unit-price-governs`: GAO B-213495 (1984): the unit price governs over its extension.
///
/// # Errors
/// The tolerance is out of its range.
pub fn extension_check(
    quantity: Ratio,
    unit_price: Money,
    printed: Money,
    tolerance: Money,
) -> Result<Extension, Problem> {
    TOLERANCE.check(tolerance)?;
    let exact = quantity.number() * unit_price.base();
    let difference = printed.base() - exact;
    // A cent is no whole number of a double: what is left of that is no error of the sheet.
    let off = difference.abs() > tolerance.base() + 1e-9 * exact.abs().max(1.0);
    Ok(Extension { exact: Money::from_base(exact), difference: Money::from_base(difference), off })
}

/// Lines rounded one by one, and what that leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundedLines {
    /// The sum of the rounded lines: what a client adds up.
    pub total: Money,
    /// The sum before rounding.
    pub exact: Money,
    /// Total less exact: it goes to a line of its own, never into a chosen item.
    pub residue: Money,
}

/// Rounds lines to a step and sums them.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// The list is empty, or the step is out of its range.
pub fn rounded_lines(lines: &[Money], step: Money) -> Result<RoundedLines, Problem> {
    STEP.check(step)?;
    if lines.is_empty() {
        return Err(
            Problem::error("lines is an empty list").help("lines: one or more was expected")
        );
    }
    let rounded = |line: &Money| {
        // The line is meant as the decimal that it prints as: 1.005 is half a cent over a cent.
        let steps = line.base() / step.base();
        round::nearest_f64(round::nearest_f64(steps * 1e6) / 1e6)
    };
    let total = lines.iter().map(rounded).sum::<f64>() * step.base();
    let exact = lines.iter().map(|line| line.base()).sum::<f64>();
    Ok(RoundedLines {
        total: Money::from_base(total),
        exact: Money::from_base(exact),
        residue: Money::from_base(total - exact),
    })
}

/// Man-hours for a unit of work.
pub const MAN_HOURS: Limits = Limits::over("man_hours", 0.0, "h");
/// An amount of work, and the unit of it that the man-hours are for.
pub const WORK: Limits = Limits::over("quantity", 0.0, "");
/// What delays multiply the time by.
pub const DELAY: Limits = Limits::within("delay", 1.0, 5.0, "");
/// Hours of a man-day.
pub const WORKDAY: Limits = Limits::over_to("day", 0.0, 24.0, "h");
/// A wage for an hour.
pub const WAGE: Limits = Limits::over("wage", 0.0, "usd/h");
/// A burden as a share of the wage.
pub const BURDEN: Limits = Limits::within("burdens", 0.0, 1.0, "");

/// Man-days of some work: amount over unit, times man-hours for a unit, over the hours of a day, times the factor of delays.
///
/// Source `man-days`: NAVEDTRA 14045, pp. 2-27 to 2-32: man-days = amount / unit x man-hours / 8 x delay factor.
///
/// # Errors
/// An input is out of its range.
pub fn man_days(
    quantity: Ratio,
    unit: Ratio,
    man_hours: crate::measure::Time,
    delay: Ratio,
    day: crate::measure::Time,
) -> Result<Ratio, Problem> {
    WORK.check(quantity)?;
    WORK.named("unit").check(unit)?;
    MAN_HOURS.check(man_hours)?;
    DELAY.check(delay)?;
    WORKDAY.check(day)?;
    let hours = quantity.number() / unit.number() * man_hours.base();
    Ok(Ratio::of(hours / day.base() * delay.number()))
}

/// A wage with its burdens: each a share of the wage, none on another.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn burdened_wage(
    wage: crate::measure::Wage,
    burdens: &[Ratio],
) -> Result<crate::measure::Wage, Problem> {
    WAGE.check(wage)?;
    burdens.iter().try_for_each(|burden| BURDEN.check(*burden))?;
    let share: f64 = burdens.iter().map(|burden| burden.number()).sum();
    Ok(crate::measure::Wage::from_base(wage.base() * (1.0 + share)))
}
