//! Development and lap lengths of inch-pound bars.

use crate::measure::{Length, Nm, Pressure, Quantity, unit};
use crate::problem::Problem;

/// Nominal diameter of an inch-pound bar `#3` to `#8`: n eighths of an inch.
///
/// # Errors
/// The bar is not one of those.
pub fn bar_diameter(bar: &str) -> Result<Length, Problem> {
    Ok(Length::exact(Nm(i64::from(number(bar)?) * Nm::INCH.0 / 8)))
}

fn number(bar: &str) -> Result<u8, Problem> {
    let number = bar.strip_prefix('#').and_then(|n| n.parse::<u8>().ok());
    number.filter(|n| (3..=8).contains(n)).ok_or_else(|| {
        Problem::error(format!("\"{bar}\" is not a bar of this table"))
            .help("#3 to #8 were expected")
    })
}

fn psi(stress: Pressure, what: &str, range: std::ops::RangeInclusive<f64>) -> Result<f64, Problem> {
    let value = stress.quantity().in_unit(&unit("psi")?)?;
    if range.contains(&value) {
        Ok(value)
    } else {
        Err(Problem::error(format!("{what} is {value:.0} psi")).help(format!(
            "{:.0} to {:.0} psi was expected",
            range.start(),
            range.end()
        )))
    }
}

/// Development length in tension: `fy / (25 root f'c) db` up to #6, 20 in place of 25 for #7 and #8.
/// Bottom bars, uncoated, normal-weight concrete, spacing and cover of the simple case.
///
/// # Errors
/// An unknown bar; fy outside 40,000 to 80,000 psi; f'c outside 2,500 to 10,000 psi.
pub fn development_length(bar: &str, fy: Pressure, fc: Pressure) -> Result<Length, Problem> {
    let divisor = if number(bar)? <= 6 { 25.0 } else { 20.0 };
    let fy = psi(fy, "fy", 40_000.0..=80_000.0)?;
    let fc = psi(fc, "f'c", 2_500.0..=10_000.0)?;
    let factor = Quantity::number(fy / (divisor * fc.sqrt()));
    Length::try_from(bar_diameter(bar)?.quantity().multiply(factor)?)
}

/// Class B tension lap: `1.3 ld`.
///
/// # Errors
/// As [`development_length`].
pub fn class_b_lap(bar: &str, fy: Pressure, fc: Pressure) -> Result<Length, Problem> {
    let ld = development_length(bar, fy, fc)?;
    Length::try_from(ld.quantity().multiply(Quantity::number(1.3))?)
}
