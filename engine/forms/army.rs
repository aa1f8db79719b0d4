//! The table method of the Army engineers for plywood-sheathed wall forms: a published check beside the span formulas.

use super::bracing::{EACH, ON_FORM, SPACING};
use super::liquid::TALL;
use crate::measure::{ForcePerLength, Length, Limits, Pressure, Weight, choice, round};
use crate::problem::Problem;

/// Length of a form.
pub const FORM_LENGTH: Limits = Limits::over_to("length", 0.0, 100_000.0, "ft");
/// Load along a wale.
pub const ON_WALE: Limits = Limits::over("load", 0.0, "plf");

choice! {
    /// Thickness of sanded plywood.
    pub enum Plywood, "plywood" {
        /// Half an inch, five plies.
        Half = "1/2 in",
        /// Five eighths, five plies.
        FiveEighths = "5/8 in",
        /// Three quarters, five plies.
        ThreeQuarters = "3/4 in",
        /// One inch, seven plies.
        One = "1 in",
    }
}

choice! {
    /// How the face grain of plywood lies.
    pub enum FaceGrain, "face_grain" {
        /// Across the studs: the strong way.
        Across = "across_studs",
        /// Along the studs: the weak way.
        Along = "along_studs",
    }
}

/// Row of the table, psf, with the widest spacing of studs in inches for each thickness; 0 where it gives none.
const STRONG: &[(f64, [u8; 4])] = &[
    (75.0, [20, 24, 26, 31]),
    (100.0, [18, 22, 24, 29]),
    (125.0, [17, 20, 23, 28]),
    (150.0, [16, 19, 22, 27]),
    (175.0, [15, 18, 21, 26]),
    (200.0, [15, 17, 20, 25]),
    (300.0, [13, 15, 17, 22]),
    (400.0, [12, 14, 16, 20]),
    (500.0, [11, 13, 15, 19]),
    (600.0, [10, 12, 14, 17]),
    (700.0, [10, 11, 13, 16]),
    (800.0, [9, 10, 12, 15]),
    (900.0, [9, 10, 11, 14]),
    (1000.0, [8, 9, 10, 13]),
    (1100.0, [7, 9, 10, 12]),
    (1200.0, [7, 8, 10, 11]),
    (1300.0, [6, 8, 9, 11]),
    (1400.0, [6, 7, 9, 10]),
    (1500.0, [5, 7, 9, 9]),
    (1600.0, [5, 6, 8, 9]),
    (1700.0, [5, 6, 8, 8]),
    (1800.0, [4, 6, 8, 8]),
    (1900.0, [4, 5, 8, 7]),
    (2000.0, [4, 5, 7, 7]),
    (2200.0, [4, 5, 6, 6]),
    (2400.0, [0, 4, 5, 6]),
    (2600.0, [0, 4, 5, 5]),
    (2800.0, [0, 4, 4, 5]),
    (3000.0, [0, 0, 4, 5]),
];

/// The same for the weak way.
const WEAK: &[(f64, [u8; 4])] = &[
    (75.0, [13, 18, 23, 30]),
    (100.0, [12, 17, 22, 28]),
    (125.0, [11, 15, 20, 27]),
    (150.0, [11, 15, 19, 25]),
    (175.0, [10, 14, 18, 24]),
    (200.0, [10, 13, 17, 24]),
    (300.0, [8, 12, 15, 21]),
    (400.0, [8, 11, 14, 19]),
    (500.0, [7, 10, 13, 18]),
    (600.0, [6, 9, 12, 17]),
    (700.0, [6, 9, 11, 16]),
    (800.0, [5, 8, 11, 15]),
    (900.0, [4, 8, 9, 15]),
    (1000.0, [4, 7, 9, 14]),
];

/// Widest spacing of studs behind plywood by the Army's table, the pressure rounded up to its next row.
///
/// Source `army-forms`: US Army Engineer School EN5151, Design Forms for a Concrete Wall, and EN5466, lesson 3: table
/// method of seventeen steps.
///
/// # Errors
/// The pressure is out of its range, or the table gives no spacing for it.
pub fn plywood_stud_spacing(
    pressure: Pressure,
    plywood: Plywood,
    face_grain: FaceGrain,
) -> Result<Length, Problem> {
    ON_FORM.check(pressure)?;
    let column = match plywood {
        Plywood::Half => 0,
        Plywood::FiveEighths => 1,
        Plywood::ThreeQuarters => 2,
        Plywood::One => 3,
    };
    let table = match face_grain {
        FaceGrain::Across => STRONG,
        FaceGrain::Along => WEAK,
    };
    let row = table.iter().find(|(psf, _)| round::up_to(pressure.psf(), *psf));
    match row.map(|(_, spacings)| spacings[column]) {
        Some(inches) if inches > 0 => Ok(Length::from_inches(f64::from(inches))),
        _ => {
            let most = table.iter().rev().find(|(_, spacings)| spacings[column] > 0);
            let most = most.map_or(0.0, |(psf, _)| *psf);
            Err(Problem::error(format!(
                "pressure is {:.1} psf: the table gives no spacing for this plywood",
                pressure.psf()
            ))
            .help(format!("pressure: up to {most} psf was expected")))
        }
    }
}

choice! {
    /// Strands and ties of the Army's table.
    pub enum TieMaterial, "tie" {
        /// Steel wire No. 8, double strand.
        Wire8 = "wire No. 8",
        /// Steel wire No. 9, double strand.
        Wire9 = "wire No. 9",
        /// Steel wire No. 10, double strand.
        Wire10 = "wire No. 10",
        /// Steel wire No. 11, double strand.
        Wire11 = "wire No. 11",
        /// Snap tie.
        Snap = "snap tie",
        /// Pencil rod.
        Rod = "pencil rod",
    }
}

/// Average breaking load of a tie by the Army's table: a breaking load, not one to work with.
///
/// Source `army-forms`: US Army Engineer School EN5151, Design Forms for a Concrete Wall, and EN5466, lesson 3: table
/// method of seventeen steps.
///
/// # Errors
/// None.
pub fn tie_breaking_load(tie: TieMaterial) -> Result<Weight, Problem> {
    Ok(Weight::from_pounds(match tie {
        TieMaterial::Wire8 => 1700.0,
        TieMaterial::Wire9 => 1420.0,
        TieMaterial::Wire10 => 1170.0,
        TieMaterial::Wire11 => 930.0,
        TieMaterial::Snap | TieMaterial::Rod => 3000.0,
    }))
}

/// Spacing of ties along a wale by the load that one may carry, rounded down to an inch.
///
/// Source `army-forms`: US Army Engineer School EN5151, Design Forms for a Concrete Wall, and EN5466, lesson 3: table
/// method of seventeen steps.
///
/// # Errors
/// An input is out of its range, or the spacing is under an inch.
pub fn tie_spacing_on_wale(each: Weight, load: ForcePerLength) -> Result<Length, Problem> {
    EACH.check(each)?;
    ON_WALE.check(load)?;
    let inches = round::steps_down(each.pounds() / load.plf() * 12.0, 1.0);
    if inches < 1.0 {
        return Err(Problem::error("the ties would stand less than an inch apart")
            .help("each: more was expected, or less load"));
    }
    Ok(Length::from_inches(inches))
}

/// Studs or wales in a form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FormPieces {
    /// How many.
    pub pieces: usize,
    /// Where the first stands, from the end or the bottom.
    pub first: Length,
}

fn pieces(length: f64, spacing: f64, more: f64, first: f64) -> Result<FormPieces, Problem> {
    let count = round::steps_up(length / spacing, 1.0) + more;
    if count > 1e6 {
        return Err(
            Problem::error("that is more than a million pieces").help("spacing: look at its unit")
        );
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded above")]
    let pieces = count as usize;
    Ok(FormPieces { pieces, first: Length::from_base(first) })
}

/// Studs on one side of a form: one at the end and one for each spacing, rounded up.
///
/// Source `army-forms`: US Army Engineer School EN5151, Design Forms for a Concrete Wall, and EN5466, lesson 3: table
/// method of seventeen steps.
///
/// # Errors
/// An input is out of its range, or there are more than a million.
pub fn studs_along(length: Length, spacing: Length) -> Result<FormPieces, Problem> {
    FORM_LENGTH.check(length)?;
    SPACING.check(spacing)?;
    pieces(length.base(), spacing.base(), 1.0, 0.0)
}

/// Wales up a form: one for each spacing, rounded up, the first half a spacing above the bottom.
///
/// Source `army-forms`: US Army Engineer School EN5151, Design Forms for a Concrete Wall, and EN5466, lesson 3: table
/// method of seventeen steps.
///
/// # Errors
/// As [`studs_along`].
pub fn wales_up(height: Length, spacing: Length) -> Result<FormPieces, Problem> {
    TALL.check(height)?;
    SPACING.check(spacing)?;
    if spacing.base() / 2.0 > height.base() {
        return Err(Problem::error("the first wale would stand above the form")
            .help("spacing: at most twice the height was expected"));
    }
    pieces(height.base(), spacing.base(), 0.0, spacing.base() / 2.0)
}
