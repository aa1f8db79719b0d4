//! Laps and spacings of the residential code for walls of concrete: the code's own tables, on its own terms.

use super::table::inch_pound;
use crate::measure::{Length, Limits, choice, round};
use crate::problem::Problem;

/// A spacing of bars in the code's tables.
pub const TABLE_SPACING: Limits = Limits::over_to("spacing", 0.0, 48.0, "in");

choice! {
    /// Grade of bars in the residential code.
    pub enum BarGrade, "grade" {
        /// 40 ksi.
        G40 = "40",
        /// 60 ksi.
        G60 = "60",
    }
}

/// What the residential code asks of one bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ResidentialBar {
    /// Lap of two bars in tension.
    pub lap: Length,
    /// Straight development.
    pub straight: Length,
    /// Standard hook with side cover of 2 1/2 in and cover beyond the hook of 2 in or more.
    pub hook_covered: Length,
    /// Standard hook with less cover.
    pub hook: Length,
}

/// Bar, grade, lap, straight, hook with cover, hook without, in inches.
const TABLE: &[(&str, BarGrade, [f64; 4])] = &[
    ("#4", BarGrade::G40, [20.0, 15.0, 6.0, 8.0]),
    ("#4", BarGrade::G60, [30.0, 23.0, 9.0, 12.0]),
    ("#5", BarGrade::G40, [25.0, 19.0, 7.0, 10.0]),
    ("#5", BarGrade::G60, [38.0, 28.0, 11.0, 15.0]),
    ("#6", BarGrade::G40, [30.0, 23.0, 8.0, 12.0]),
    ("#6", BarGrade::G60, [45.0, 34.0, 13.0, 18.0]),
];

/// Laps and development lengths of IRC Table R608.5.4(1).
///
/// Source `residential-bars`: IRC Table R608.5.4(1) (edition not named) and its table of alternate bars (web copy of
/// the code).
///
/// # Errors
/// The bar is not #4, #5 or #6.
pub fn residential_bar(name: &str, grade: BarGrade) -> Result<ResidentialBar, Problem> {
    let row = TABLE.iter().find(|(known, of, _)| *known == name && *of == grade);
    let Some((.., inches)) = row else {
        return Err(Problem::error(format!("bar \"{name}\" is not in the residential table"))
            .help("bar: #4, #5 or #6 was expected"));
    };
    let [lap, straight, hook_covered, hook] = inches.map(Length::from_inches);
    Ok(ResidentialBar { lap, straight, hook_covered, hook })
}

/// Spacing of another bar for the same strength: `s A / A_table fy / 60 ksi`, rounded down to an inch, no more than 48.
///
/// The printed table rounds to the nearest inch, so that some of its spacings are wider than these.
///
/// Source `residential-bars`: IRC Table R608.5.4(1) (edition not named) and its table of alternate bars (web copy of
/// the code).
///
/// # Errors
/// A bar is not an inch-pound bar; the spacing is out of its range; the result is under an inch.
pub fn alternate_spacing(
    spacing: Length,
    table_bar: &str,
    other_bar: &str,
    grade: BarGrade,
) -> Result<Length, Problem> {
    TABLE_SPACING.check(spacing)?;
    let share = match grade {
        BarGrade::G40 => 40.0 / 60.0,
        BarGrade::G60 => 1.0,
    };
    let (from, to) = (
        inch_pound(table_bar)?.0.area.square_inches(),
        inch_pound(other_bar)?.0.area.square_inches(),
    );
    let exact = spacing.inches() * to / from * share;
    let inches = round::steps_down(exact, 1.0).min(48.0);
    if inches < 1.0 {
        return Err(Problem::error("the bars would stand less than an inch apart")
            .help("other_bar: a larger one was expected"));
    }
    Ok(Length::from_inches(inches))
}
