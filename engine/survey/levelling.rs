//! Levelling by hand: a line of levels with its page check, misclosure and its limits, adjustment, rods and marks.

use crate::measure::{Length, Limits, Ratio, choice, round};
use crate::problem::Problem;

/// An elevation.
pub const ELEVATION: Limits = Limits::within("elevation", -30_000.0, 30_000.0, "ft");
/// A rod reading; negative with the rod upside down.
pub const READING: Limits = Limits::within("readings", -100.0, 100.0, "ft");
/// Length of a line of levels.
pub const LINE: Limits = Limits::over("line", 0.0, "mi");
/// How far along the line a point is.
pub const ALONG: Limits = Limits::at_least("along", 0.0, "mi");
/// How many set-ups a line has.
pub const SETUPS: Limits = Limits::within("setups", 1.0, 100_000.0, "");
/// Which set-up a point was sighted from.
pub const SETUP: Limits = Limits::within("setup", 1.0, 100_000.0, "");

/// A line of levels from turning point to turning point.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelLine {
    /// Heights of the line of sight, one for each backsight.
    pub sights: Vec<Length>,
    /// Elevations of the points of the foresights.
    pub elevations: Vec<Length>,
    /// Elevation of the last point.
    pub last: Length,
    /// Sum of backsights less sum of foresights.
    pub sights_difference: Length,
    /// Last less first elevation: with the difference of sights it checks the arithmetic of the page.
    pub rise: Length,
}

/// Reduces a line of levels: height of sight = elevation + backsight, elevation = height of sight - foresight.
///
/// Source `levelling`: height of sight = known height + backsight; height = height of sight - reading.
///
/// # Errors
/// The lists are empty or of different length; a value is out of its range.
pub fn level_line(
    start: Length,
    backsights: &[Length],
    foresights: &[Length],
) -> Result<LevelLine, Problem> {
    ELEVATION.named("start").check(start)?;
    if backsights.is_empty() || backsights.len() != foresights.len() {
        return Err(Problem::error(format!(
            "backsights has {} readings, foresights {}",
            backsights.len(),
            foresights.len()
        ))
        .help("foresights: one for each backsight was expected; intermediate sights are no part of the line"));
    }
    let (mut sights, mut elevations) = (Vec::new(), Vec::new());
    let (mut at, mut sum) = (start.base(), 0.0);
    for (back, fore) in backsights.iter().zip(foresights) {
        READING.named("backsights").check(*back)?;
        READING.named("foresights").check(*fore)?;
        sights.push(Length::from_base(at + back.base()));
        at += back.base() - fore.base();
        sum += back.base() - fore.base();
        elevations.push(Length::from_base(at));
    }
    Ok(LevelLine {
        sights,
        elevations,
        last: Length::from_base(at),
        sights_difference: Length::from_base(sum),
        rise: Length::from_base(at - start.base()),
    })
}

/// Elevations of points sighted between turning points: the height of sight of their set-up less the reading. They are no
/// part of the page check.
///
/// Source `levelling`: height of sight = known height + backsight; height = height of sight - reading.
///
/// # Errors
/// The lists are of different length; a set-up is not one of the sights; a value is out of its range.
pub fn intermediate_elevations(
    sights: &[Length],
    setups: &[Ratio],
    readings: &[Length],
) -> Result<Vec<Length>, Problem> {
    if setups.len() != readings.len() {
        return Err(Problem::error(format!(
            "setups has {} numbers, readings {}",
            setups.len(),
            readings.len()
        ))
        .help("setups: one for each reading was expected, counted from 1"));
    }
    let one = |(setup, reading): (&Ratio, &Length)| {
        READING.check(*reading)?;
        let whole = round::steps_down(setup.number(), 1.0);
        let sight = (1..).zip(sights).find(|(number, _)| f64::from(*number) == whole);
        match sight.filter(|_| whole == setup.number()) {
            Some((_, sight)) => {
                ELEVATION.named("sights").check(*sight)?;
                Ok(Length::from_base(sight.base() - reading.base()))
            }
            None => Err(Problem::error(format!("setup {} is none of the sights", setup.number()))
                .help(format!("setups: whole numbers, 1 to {}, were expected", sights.len()))),
        }
    };
    setups.iter().zip(readings).map(one).collect()
}

choice! {
    /// Published limit of a misclosure.
    pub enum Order, "order" {
        /// First order, class I: 4 mm root km of loop.
        First1 = "first_1",
        /// First order, class II: 5 mm.
        First2 = "first_2",
        /// Second order, class I: 6 mm.
        Second1 = "second_1",
        /// Second order, class II: 8 mm.
        Second2 = "second_2",
        /// Third order: 12 mm.
        Third = "third",
        /// Construction layout: 0.1 ft root mile.
        Layout = "layout",
    }
}

choice! {
    /// What a misclosure is of.
    pub enum Levelled, "of" {
        /// A section levelled forward and back: the difference of its two runs.
        Section = "section",
        /// A loop or line between known points.
        Loop = "loop",
    }
}

/// Limit of a misclosure for the length of a section one way, or of a loop or line: a coefficient times the root of the length. The coefficient
/// carries length per root of length.
///
/// Source `level-orders`: FGCC 1984 and EM 1110-1-1005 limits of misclosure; 0.035 ft root mile of class II confirmed
/// by Army course EN0593, p. 4-4.
///
/// # Errors
/// The length is out of its range.
pub fn misclosure_limit(line: Length, order: Order, of: Levelled) -> Result<Length, Problem> {
    LINE.check(line)?;
    // The first orders ask more of a section than of a loop.
    let section = of == Levelled::Section;
    let by_km = |mm: f64| Length::from_millimetres(mm * (line.metres() / 1000.0).sqrt());
    Ok(match order {
        Order::First1 => by_km(if section { 3.0 } else { 4.0 }),
        Order::First2 => by_km(if section { 4.0 } else { 5.0 }),
        Order::Second1 => by_km(6.0),
        Order::Second2 => by_km(8.0),
        Order::Third => by_km(12.0),
        Order::Layout => Length::from_feet(0.1 * (line.feet() / 5280.0).sqrt()),
    })
}

/// Correction of a point by the share of set-ups up to it, against the misclosure (computed less known).
///
/// Source `level-adjustment`: Universiti Sains Malaysia levelling example (by set-ups); FM 5-233 App. B: total
/// correction has the opposite sign of the misclosure.
///
/// # Errors
/// An input is out of its range, or the set-up is beyond the last.
pub fn correction_by_setups(
    misclosure: Length,
    setup: Ratio,
    setups: Ratio,
) -> Result<Length, Problem> {
    SETUP.check(setup)?;
    SETUPS.check(setups)?;
    if setup.number() > setups.number() {
        return Err(Problem::error(format!("setup is {} of {}", setup.number(), setups.number()))
            .help("setup: no more than setups was expected"));
    }
    Ok(Length::from_base(-misclosure.base() * setup.number() / setups.number()))
}

/// Correction of a point by its distance along the line, against the misclosure (computed less known).
///
/// Source `level-adjustment`: Universiti Sains Malaysia levelling example (by set-ups); FM 5-233 App. B: total
/// correction has the opposite sign of the misclosure.
///
/// # Errors
/// An input is out of its range, or the point is beyond the end.
pub fn correction_by_distance(
    misclosure: Length,
    along: Length,
    line: Length,
) -> Result<Length, Problem> {
    ALONG.check(along)?;
    LINE.check(line)?;
    if along.base() > line.base() * (1.0 + 1e-12) {
        return Err(Problem::error("along is beyond the end of the line")
            .help("along: no more than line was expected"));
    }
    Ok(Length::from_base(-misclosure.base() * along.base() / line.base()))
}

/// A rod held at a wanted grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GradeRod {
    /// Reading at grade; negative where grade is above the line of sight.
    pub grade_rod: Length,
    /// Grade rod less ground rod: a cut, or negative a fill.
    pub cut: Length,
}

/// Grade rod = height of sight - grade; cut = grade rod - ground rod, negative for a fill.
///
/// Source `grade-rod`: NAVEDTRA 14069, fig. 14-36: grade rod = height of instrument - finish grade; NAVEDTRA 14081,
/// pp. 15-30 and 15-31.
///
/// # Errors
/// An input is out of its range.
pub fn grade_rod(sight: Length, grade: Length, ground_rod: Length) -> Result<GradeRod, Problem> {
    ELEVATION.named("sight").check(sight)?;
    ELEVATION.named("grade").check(grade)?;
    READING.named("ground_rod").check(ground_rod)?;
    let rod = sight.base() - grade.base();
    Ok(GradeRod {
        grade_rod: Length::from_base(rod),
        cut: Length::from_base(rod - ground_rod.base()),
    })
}

/// Mark on a story pole read against a level plane: the mark of the benchmark less the rise to the target.
///
/// Source `definition`: follows from the definition of the quantity; no trade value in it.
///
/// # Errors
/// An input is out of its range.
pub fn pole_mark(benchmark_mark: Length, rise: Length) -> Result<Length, Problem> {
    READING.named("benchmark_mark").check(benchmark_mark)?;
    READING.named("rise").check(rise)?;
    Ok(Length::from_base(benchmark_mark.base() - rise.base()))
}

/// Area of a polygon from the coordinates of its corners in order.
///
/// Source `coordinate-area`: Wikibooks, Fundamentals of Transportation, Earthwork: area by coordinates.
///
/// # Errors
/// The lists are of different length, or there are fewer than three corners.
pub fn area_by_coordinates(
    eastings: &[Length],
    northings: &[Length],
) -> Result<crate::measure::Area, Problem> {
    if eastings.len() != northings.len() || eastings.len() < 3 {
        return Err(Problem::error(format!(
            "eastings has {} values, northings {}",
            eastings.len(),
            northings.len()
        ))
        .help("northings: as many as eastings, three or more, was expected"));
    }
    // About the first corner, so that a large grid takes nothing from a small area.
    let (e0, n0) = (eastings[0].base(), northings[0].base());
    let at = |i: usize| (eastings[i].base() - e0, northings[i].base() - n0);
    let twice: f64 = (0..eastings.len())
        .map(|i| {
            let ((e, n), (f, m)) = (at(i), at((i + 1) % eastings.len()));
            e * m - f * n
        })
        .sum();
    Ok(crate::measure::Area::from_base(twice.abs() / 2.0))
}

/// A mark on a stake.
#[derive(Debug, Clone, PartialEq)]
pub struct StakeMark {
    /// `C-` for cut, `F-` for fill, and the height in feet or metres to hundredths.
    pub mark: String,
    /// Ground less grade: positive where it is cut.
    pub cut: Length,
}

choice! {
    /// Unit of a mark.
    pub enum MarkUnit, "unit" {
        /// Feet.
        Feet = "ft",
        /// Metres.
        Metres = "m",
    }
}

/// The mark of a stake between ground and grade.
///
/// Source `stake-marks`: marks of cut and fill stakes to hundredths, such as C-2.58, in a trade article.
///
/// # Errors
/// A height is out of its range.
pub fn stake_mark(ground: Length, grade: Length, unit: MarkUnit) -> Result<StakeMark, Problem> {
    ELEVATION.named("ground").check(ground)?;
    ELEVATION.named("grade").check(grade)?;
    let cut = Length::from_base(ground.base() - grade.base());
    let size = match unit {
        MarkUnit::Feet => cut.feet(),
        MarkUnit::Metres => cut.metres(),
    };
    let hundredths = round::nearest_f64(size.abs() * 100.0) / 100.0;
    let letter = if size < 0.0 { "F" } else { "C" };
    Ok(StakeMark { mark: format!("{letter}-{hundredths:.2}"), cut })
}
