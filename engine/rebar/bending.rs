//! Bars bent and cut: standard hooks, deductions for bends, cut lengths by plain shapes and by BS 8666.

use super::table::{bar, inch_pound};
use crate::measure::{Angle, Length, Limits, Ratio, choice, round, shortest, significant};
use crate::problem::Problem;

/// A leg of a bent bar, measured outside to outside.
pub const LEG: Limits = Limits::over("legs", 0.0, "in");
/// Inside radius of a bend.
pub const RADIUS: Limits = Limits::at_least("radius", 0.0, "in");
/// Diameter of a bar.
pub const THICK: Limits = Limits::over("diameter", 0.0, "in");
/// Angle that a bar is turned by.
pub const TURN: Limits = Limits::within("angle", 0.0, 180.0, "deg");

choice! {
    /// Angle of a bend in the table of deductions.
    pub enum Bend, "bend" {
        /// A right angle.
        Right = "90",
        /// Half of it.
        Half = "45",
    }
}

choice! {
    /// Kind of a standard end hook.
    pub enum Hook, "hook" {
        /// A right angle.
        Right = "90",
        /// Back on itself.
        Back = "180",
    }
}

/// Number of an inch-pound bar; deduction in inches for 90 and 45 degrees; finished bend diameter; take-off of a hook
/// of 180 and 90 degrees.
const BENDS: &[(u8, f64, f64, f64, f64, f64)] = &[
    (3, 1.0, 0.25, 2.25, 5.0, 6.0),
    (4, 1.25, 0.25, 3.0, 6.0, 8.0),
    (5, 1.5, 0.25, 3.75, 7.0, 10.0),
    (6, 1.75, 0.5, 4.5, 8.0, 12.0),
    (7, 2.25, 0.5, 5.25, 10.0, 14.0),
    (8, 2.5, 0.5, 6.0, 11.0, 16.0),
    (9, 3.5, 0.75, 9.5, 15.0, 19.0),
    (10, 3.75, 0.75, 10.75, 17.0, 22.0),
    (11, 4.25, 1.0, 12.0, 19.0, 24.0),
    (14, 6.0, 1.25, 18.25, 27.0, 31.0),
    (18, 8.0, 1.5, 24.0, 36.0, 41.0),
];

fn row(name: &str) -> Result<&'static (u8, f64, f64, f64, f64, f64), Problem> {
    let (_, number) = inch_pound(name)?;
    BENDS
        .iter()
        .find(|row| row.0 == number)
        .ok_or_else(|| Problem::error(format!("bar {name} has no row in the table of bends")))
}

/// What one bend makes a bar shorter than the sum of its legs, by the table.
///
/// Source `bend-deductions`: R. Birley, Concrete International, March 2006, Table 1; the copy lost its column of
/// sizes, which the article's example fixes.
///
/// # Errors
/// The bar is not an inch-pound bar.
pub fn bend_deduction(name: &str, bend: Bend) -> Result<Length, Problem> {
    let row = row(name)?;
    Ok(Length::from_inches(if bend == Bend::Right { row.1 } else { row.2 }))
}

/// A standard end hook.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandardHook {
    /// Finished inside diameter of the bend.
    pub bend: Length,
    /// What the hook adds to the outside length of the bar.
    pub takeoff: Length,
    /// Straight extension beyond the bend that the code requires.
    pub extension: Length,
}

/// Standard end hook of an inch-pound bar: bend, take-off and extension.
///
/// Source `standard-hooks`: ACI 318 Table 25.3.1 as quoted; end-hook table of ACI 315 from memory, corroborated by
/// Oklahoma DOT R-54-CM and by geometry.
///
/// # Errors
/// The bar is not an inch-pound bar.
pub fn standard_hook(name: &str, hook: Hook) -> Result<StandardHook, Problem> {
    let row = row(name)?;
    let d = bar(name)?.diameter.inches();
    let (takeoff, extension) = match hook {
        Hook::Right => (row.5, 12.0 * d),
        Hook::Back => (row.4, (4.0 * d).max(2.5)),
    };
    let of = Length::from_inches;
    Ok(StandardHook { bend: of(row.3), takeoff: of(takeoff), extension: of(extension) })
}

/// A length as detailed and as cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutLength {
    /// The sum of the legs, outside to outside: what is paid where the contract says so.
    pub detailed: Length,
    /// What is cut from stock.
    pub cut: Length,
}

fn legs_sum(legs: &[Length]) -> Result<f64, Problem> {
    if legs.is_empty() {
        return Err(Problem::error("legs is an empty list")
            .help("legs: each straight part, outside to outside, was expected"));
    }
    for leg in legs {
        LEG.check(*leg)?;
    }
    Ok(legs.iter().map(|leg| leg.base()).sum())
}

/// Number of hooks of 180 degrees at the ends of a bar.
pub const BACK_HOOKS: Limits = Limits::within("back_hooks", 0.0, 2.0, "");

/// Cut length of a bar of straight legs with a bend between each two: an L has two legs, a U or a Z three. A hook of 90
/// degrees is a leg with its take-off; one of 180 degrees adds its take-off, and nothing is deducted for it.
///
/// Source `bend-deductions`: R. Birley, Concrete International, March 2006, Table 1; the copy lost its column of
/// sizes, which the article's example fixes.
///
/// # Errors
/// The bar is not an inch-pound bar; there is no leg, one is not over 0 or shorter than its bends, or there are more hooks than
/// ends.
pub fn cut_length(
    name: &str,
    legs: &[Length],
    bend: Bend,
    back_hooks: Ratio,
) -> Result<CutLength, Problem> {
    BACK_HOOKS.check(back_hooks)?;
    let hooks = back_hooks.number();
    let whole = [0.0, 1.0, 2.0].contains(&hooks);
    if !whole {
        return Err(Problem::error(format!("back_hooks is {hooks}"))
            .help("back_hooks: 0, 1 or 2 was expected"));
    }
    let deduction = bend_deduction(name, bend)?.base();
    let straight = legs_sum(legs)?;
    room_for_bends(name, legs, bend)?;
    let detailed = straight + hooks * standard_hook(name, Hook::Back)?.takeoff.base();
    let cut = detailed - legs.iter().skip(1).map(|_| deduction).sum::<f64>();
    Ok(CutLength { detailed: Length::from_base(detailed), cut: Length::from_base(cut) })
}

/// Every leg is at least as long as the bends at its ends take of it, measured outside to outside.
fn room_for_bends(name: &str, legs: &[Length], bend: Bend) -> Result<(), Problem> {
    let (d, diameter) = (bar(name)?.diameter.inches(), row(name)?.3);
    let half = if bend == Bend::Right { 1.0 } else { std::f64::consts::FRAC_PI_8.tan() };
    let each = (diameter / 2.0 + d) * half;
    for (at, leg) in legs.iter().enumerate() {
        let bends = f64::from(u8::from(at > 0)) + f64::from(u8::from(at + 1 < legs.len()));
        let least = bends * each;
        if round::under(leg.inches(), least) {
            return Err(Problem::error(format!(
                "leg {} is {} in, and its bends take {} in of it",
                at + 1,
                shortest(significant(leg.inches(), 6)),
                shortest(significant(least, 4))
            ))
            .help("legs: each straight part, outside to outside, was expected"));
        }
    }
    Ok(())
}

/// What one bend of any angle makes a bar shorter than the sum of its legs, measured outside to outside, along its
/// centre line: `2 (r + d) tan(a/2) - (r + d/2) a`.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range; an angle of 180 degrees has no corner to measure to.
pub fn bend_loss(diameter: Length, radius: Length, angle: Angle) -> Result<Length, Problem> {
    THICK.check(diameter)?;
    RADIUS.check(radius)?;
    TURN.check(angle)?;
    let (d, r, a) = (diameter.base(), radius.base(), angle.radians());
    if a > 3.1 {
        return Err(Problem::error("angle is about 180 deg: such a bend has no corner")
            .help("angle: under 178 deg was expected; measure a hook by its outside"));
    }
    Ok(Length::from_base(2.0 * (r + d) * (a / 2.0).tan() - (r + d / 2.0) * a))
}

/// Schedule radius of BS 8666 in diameters: 2 up to 16 mm, 3.5 above; in millimetres as its table has it.
const RADII: &[(f64, f64)] = &[
    (6.0, 12.0),
    (8.0, 16.0),
    (10.0, 20.0),
    (12.0, 24.0),
    (16.0, 32.0),
    (20.0, 70.0),
    (25.0, 87.0),
    (32.0, 112.0),
    (40.0, 140.0),
    (50.0, 175.0),
];

/// Shape codes whose formula two copies of BS 8666 print alike: code, number of dimensions.
const SHAPES: &[(&str, usize)] = &[
    ("00", 1),
    ("01", 1),
    ("11", 2),
    ("12", 3),
    ("13", 3),
    ("14", 2),
    ("15", 2),
    ("21", 3),
    ("23", 3),
    ("24", 3),
    ("25", 3),
    ("26", 3),
    ("27", 3),
    ("28", 3),
    ("29", 3),
    ("31", 4),
    ("32", 4),
    ("33", 3),
    ("34", 4),
    ("35", 4),
    ("36", 4),
    ("41", 5),
    ("44", 5),
    ("46", 4),
    ("47", 3),
    ("51", 3),
    ("56", 5),
    ("63", 3),
    ("64", 6),
    ("67", 1),
    ("75", 2),
    ("98", 4),
];

/// Least end projections of BS 8666 for a bar, in millimetres; a table look-up up to 16 mm.
const ENDS: &[(f64, f64)] = &[
    (6.0, 110.0),
    (8.0, 115.0),
    (10.0, 120.0),
    (12.0, 125.0),
    (16.0, 130.0),
    (20.0, 190.0),
    (25.0, 240.0),
    (32.0, 305.0),
    (40.0, 380.0),
    (50.0, 475.0),
];

/// Refuses dimensions that the standard's own least ones rule out, for the codes that it states them for.
fn least_dimensions(code: &str, mm: &[f64], d: f64, r: f64) -> Result<(), Problem> {
    let end = ENDS.iter().find(|(size, _)| *size == d).map_or(0.0, |(_, end)| *end);
    let checks: &[(&str, usize, f64)] = match code {
        "11" => &[("A", 0, end), ("B", 1, end)],
        "12" => {
            &[("R", 2, r), ("A", 0, end.max(mm[2] + 6.0 * d)), ("B", 1, end.max(mm[2] + 6.0 * d))]
        }
        "13" => {
            let legs = end.max(mm[1] / 2.0 + 5.0 * d);
            &[("B", 1, 2.0 * (r + d)), ("A", 0, legs), ("C", 2, legs)]
        }
        "75" => &[("A", 0, 2.0 * (r + d))],
        _ => &[],
    };
    for (letter, at, least) in checks {
        if !round::up_to(*least, mm[*at]) {
            return Err(Problem::error(format!(
                "{letter} of code {code} is {} mm",
                shortest(significant(mm[*at], 7))
            ))
            .help(format!("legs: {letter} of {} mm or more was expected", shortest(*least))));
        }
    }
    Ok(())
}

/// Length of a bar of a BS 8666 shape on its centre line, before it is rounded up to 25 mm.
///
/// Source `bs-8666`: BS 8666:2020 shape codes, from two suppliers' copies that agree; radii from copies of the 2005
/// edition.
///
/// # Errors
/// The bar is no EN size; the code is not one of the table; the number of dimensions is another; one is not over 0.
pub fn shape_length(name: &str, code: &str, legs: &[Length]) -> Result<Length, Problem> {
    let steel = bar(name)?;
    let d = steel.diameter.millimetres();
    let radius = RADII.iter().find(|(size, _)| name == format!("{size} mm"));
    let Some((_, r)) = radius else {
        return Err(Problem::error(format!("bar {name} is not a size of this standard"))
            .help("bar: 6 mm to 50 mm was expected"));
    };
    let Some((_, wanted)) = SHAPES.iter().find(|(known, _)| *known == code) else {
        let known: Vec<&str> = SHAPES.iter().map(|(code, _)| *code).collect();
        return Err(Problem::error(format!("shape code \"{code}\" is not in this table"))
            .help(format!("code: one of {} was expected", known.join(", "))));
    };
    legs_sum(legs)?;
    if legs.len() != *wanted {
        return Err(Problem::error(format!("legs has {} dimensions", legs.len())).help(format!(
            "legs: {wanted} were expected for code {code}, as A, B, C in its order"
        )));
    }
    let mm: Vec<f64> = legs.iter().map(|leg| leg.millimetres()).collect();
    let sum: f64 = mm.iter().sum();
    least_dimensions(code, &mm, d, *r)?;
    let length = match code {
        "11" | "27" | "28" | "34" | "35" => sum - 0.5 * r - d,
        // The third dimension is the radius of the bend.
        "12" => mm[0] + mm[1] - 0.43 * mm[2] - 1.2 * d,
        "13" => mm[0] + 0.57 * mm[1] + mm[2] - 1.6 * d,
        "14" => sum - 4.0 * d,
        "21" | "23" | "29" | "36" => sum - r - 2.0 * d,
        "31" | "32" => sum - 1.5 * r - 3.0 * d,
        "33" => 2.0 * mm[0] + 1.7 * mm[1] + 2.0 * mm[2] - 4.0 * d,
        "41" | "44" => sum - 2.0 * r - 4.0 * d,
        "46" => sum + mm[1],
        // Where least tails may ask for more, the longer governs.
        "47" => {
            let general = 2.0 * mm[0] + mm[1] + 2.0 * mm[2] + 1.5 * r - 3.0 * d;
            general.max(2.0 * mm[0] + mm[1] + (21.0 * d).max(240.0))
        }
        "51" => {
            let general = 2.0 * sum - 2.5 * r - 5.0 * d;
            general.max(2.0 * mm[0] + 2.0 * mm[1] + (16.0 * d).max(160.0))
        }
        "56" => sum + mm[4] - 2.5 * r - 5.0 * d,
        "63" => {
            let general = 2.0 * mm[0] + 3.0 * mm[1] + 2.0 * mm[2] - 3.0 * r - 6.0 * d;
            general.max(2.0 * mm[0] + 3.0 * mm[1] + (14.0 * d).max(150.0))
        }
        "64" => sum + mm[3] - 3.0 * r - 6.0 * d,
        // A link of diameter A, lapped by B.
        "75" => std::f64::consts::PI * (mm[0] - d) + mm[1],
        "98" => sum + mm[1] - 2.0 * r - 4.0 * d,
        _ => sum,
    };
    if length <= 0.0 {
        return Err(Problem::error("the bends take up all of the dimensions")
            .help("legs: longer ones were expected"));
    }
    Ok(Length::from_millimetres(length))
}

/// Cut length of a dowel with a standard right-angle hook: embedment, lap and hook less the bend.
pub const EMBEDMENT: Limits = Limits::over("embedment", 0.0, "in");
/// A lap.
pub const LAP: Limits = Limits::over("lap", 0.0, "in");

/// Cut length of a dowel out of a footing: straight part in the footing, lap above it, and a standard right-angle hook.
///
/// Source `bend-deductions`: R. Birley, Concrete International, March 2006, Table 1; the copy lost its column of
/// sizes, which the article's example fixes.
///
/// # Errors
/// As [`standard_hook`], or a length is out of its range.
pub fn dowel_length(name: &str, embedment: Length, lap: Length) -> Result<CutLength, Problem> {
    EMBEDMENT.check(embedment)?;
    LAP.check(lap)?;
    let hook = standard_hook(name, Hook::Right)?.takeoff;
    let detailed = embedment.base() + lap.base() + hook.base();
    let cut = detailed - bend_deduction(name, Bend::Right)?.base();
    Ok(CutLength { detailed: Length::from_base(detailed), cut: Length::from_base(cut) })
}

/// Steel in a run of lapped bars.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LappedRun {
    /// Number of bars.
    pub bars: usize,
    /// Length of steel with its laps.
    pub steel: Length,
    /// Steel over run.
    pub ratio: Ratio,
}

/// Length of a run.
pub const RUN: Limits = Limits::over_to("run", 0.0, 1_000_000.0, "ft");
/// Length of stock bars.
pub const STOCK: Limits = Limits::over("stock", 0.0, "ft");

/// Bars and steel of a straight run from stock of one length: one bar, or `ceil((L - lap) / (S - lap))`.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range, or the lap is no shorter than the stock.
pub fn lapped_run(run: Length, stock: Length, lap: Length) -> Result<LappedRun, Problem> {
    RUN.check(run)?;
    STOCK.check(stock)?;
    LAP.check(lap)?;
    let (l, s, o) = (run.base(), stock.base(), lap.base());
    if o >= s {
        return Err(Problem::error(format!(
            "lap is {:.3} ft, stock {:.3} ft",
            lap.feet(),
            stock.feet()
        ))
        .help("lap: less than the stock was expected"));
    }
    let bars = if l <= s { 1.0 } else { crate::measure::round::steps_up(l - o, s - o) };
    let steel = l + (bars - 1.0) * o;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count of bars")]
    let count = bars as usize;
    Ok(LappedRun { bars: count, steel: Length::from_base(steel), ratio: Ratio::of(steel / l) })
}
