//! Development and laps in tension and compression, and hooks, by ACI 318 in inches and pounds per square inch.

use super::table::{Bar, inch_pound};
use crate::measure::{Length, Limits, Pressure, Ratio, choice, round};
use crate::problem::Problem;

/// Yield strength of bars.
pub const FY: Limits = Limits::within("fy", 40_000.0, 100_000.0, "psi");
/// Specified strength of concrete.
pub const FC: Limits = Limits::within("fc", 2_500.0, 15_000.0, "psi");
/// Lightweight factor.
pub const LAMBDA: Limits = Limits::within("lambda", 0.75, 1.0, "");
/// Smaller of cover to the bar's centre and half its spacing.
pub const CB: Limits = Limits::over("cb", 0.0, "in");
/// Transverse reinforcement index.
pub const KTR: Limits = Limits::at_least("ktr", 0.0, "in");

choice! {
    /// Where a horizontal bar lies in its pour.
    pub enum Position, "position" {
        /// More than 12 in of fresh concrete below it.
        Top = "top",
        /// Any other bar.
        Other = "other",
    }
}

choice! {
    /// How far bars are apart and covered.
    pub enum Spacing, "spacing" {
        /// Cover no less than a diameter, and clear spacing two diameters, or one with the least ties of the code.
        Wide = "wide",
        /// Anything closer.
        Close = "close",
    }
}

choice! {
    /// Coating of a bar.
    pub enum Coating, "coating" {
        /// Bare or galvanized.
        Bare = "bare",
        /// Epoxy, cover under three diameters or clear spacing under six.
        EpoxyClose = "epoxy_close",
        /// Other epoxy.
        EpoxyWide = "epoxy_wide",
    }
}

choice! {
    /// Edition of ACI 318.
    pub enum Code, "code" {
        /// 2014.
        Y14 = "318-14",
        /// 2019: a factor for the grade, other hooks.
        Y19 = "318-19",
    }
}

impl Position {
    fn factor(self) -> f64 {
        match self {
            Self::Top => 1.3,
            Self::Other => 1.0,
        }
    }
}

impl Coating {
    fn factor(self) -> f64 {
        match self {
            Self::Bare => 1.0,
            Self::EpoxyClose => 1.5,
            Self::EpoxyWide => 1.2,
        }
    }

    fn for_hooks(self) -> f64 {
        if self == Self::Bare { 1.0 } else { 1.2 }
    }
}

/// A bar in concrete.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InConcrete<'a> {
    /// Name of the inch-pound bar.
    pub bar: &'a str,
    /// Its yield strength.
    pub fy: Pressure,
    /// Strength of the concrete, f'c.
    pub fc: Pressure,
    /// Where it lies.
    pub position: Position,
    /// How far it is from others and from the face.
    pub spacing: Spacing,
    /// Its coating.
    pub coating: Coating,
    /// Edition of the code.
    pub code: Code,
    /// Lightweight factor.
    pub lambda: Ratio,
}

/// The factor for the grade of 318-19: 1 up to 60 ksi, 1.15 up to 80, 1.3 up to 100.
fn grade(code: Code, fy: f64) -> f64 {
    match code {
        Code::Y14 => 1.0,
        Code::Y19 if round::up_to(fy, 60_000.0) => 1.0,
        Code::Y19 if round::up_to(fy, 80_000.0) => 1.15,
        Code::Y19 => 1.3,
    }
}

/// The root of f'c in psi, no more than 100 psi.
fn root(fc: Pressure) -> f64 {
    fc.psi().sqrt().min(100.0)
}

fn strengths(fy: Pressure, fc: Pressure, code: Code) -> Result<(f64, f64), Problem> {
    FY.check(fy)?;
    FC.check(fc)?;
    if code == Code::Y14 && !round::up_to(fy.psi(), 80_000.0) {
        return Err(Problem::error(format!("fy is {:.0} psi", fy.psi()))
            .help("fy: 40000 to 80000 psi was expected by 318-14"));
    }
    Ok((fy.psi(), root(fc)))
}

impl InConcrete<'_> {
    fn parts(&self) -> Result<(Bar, u8, f64, f64, f64), Problem> {
        let (bar, number) = inch_pound(self.bar)?;
        LAMBDA.check(self.lambda)?;
        let (fy, root) = strengths(self.fy, self.fc, self.code)?;
        let place = (self.position.factor() * self.coating.factor()).min(1.7);
        Ok((bar, number, fy * place * grade(self.code, fy), self.lambda.number() * root, fy))
    }

    /// Development length by the table, without its least value.
    fn unfloored(&self) -> Result<f64, Problem> {
        let (bar, number, pull, bond, _) = self.parts()?;
        let divisor = match (number <= 6, self.spacing) {
            (true, Spacing::Wide) => 25.0,
            (true, Spacing::Close) => 50.0 / 3.0,
            (false, Spacing::Wide) => 20.0,
            (false, Spacing::Close) => 40.0 / 3.0,
        };
        Ok(pull / (divisor * bond) * bar.diameter.inches())
    }
}

/// Development length in tension by the table of simple cases, no less than 12 in.
///
/// Source `development-simple`: CRSI ETN-D-1-15; Merritt and Ricketts, Table 9.8: fy/(25 root f'c) db up to #6, 20
/// for #7 and larger.
///
/// # Errors
/// The bar is not an inch-pound bar; a strength or factor is out of its range.
pub fn development_length(bar: &InConcrete) -> Result<Length, Problem> {
    Ok(Length::from_inches(bar.unfloored()?.max(12.0)))
}

/// Development length in tension by the general equation, with cb and Ktr, no less than 12 in.
///
/// Source `development-general`: ACI 318-14 Eq. 25.4.2.3a, 318-19 Eq. 25.4.2.4a, from CRSI ETN-D-1-15; factor for the
/// grade over 60 ksi from memory.
///
/// # Errors
/// As [`development_length`], or cb or Ktr is out of its range.
pub fn general_development_length(
    bar: &InConcrete,
    cb: Length,
    ktr: Length,
) -> Result<Length, Problem> {
    CB.check(cb)?;
    KTR.check(ktr)?;
    let (steel, number, pull, bond, _) = bar.parts()?;
    let d = steel.diameter.inches();
    let size = if number <= 6 { 0.8 } else { 1.0 };
    let confined = ((cb.inches() + ktr.inches()) / d).min(2.5);
    Ok(Length::from_inches((0.075 * pull * size / (bond * confined) * d).max(12.0)))
}

choice! {
    /// Class of a tension lap.
    pub enum LapClass, "class" {
        /// Twice the needed steel or more, and no more than half of it lapped there.
        A = "A",
        /// Any other lap.
        B = "B",
    }
}

/// Lap in tension: 1.0 or 1.3 times the development length before its least value, no less than 12 in.
///
/// Source `class-a-lap`: ACI 318-14 and 318-19 25.5.2, class A tension lap 1.0 ld (Maryland SHA note); that its least
/// 12 in comes last from memory.
/// Source `class-b-lap`: ACI 318-14 and 318-19 25.5.2, class B tension lap 1.3 ld (factor read in notes, not in the
/// standard).
///
/// # Errors
/// As [`development_length`], or the bar is larger than #11, which is not lapped in tension.
pub fn tension_lap(bar: &InConcrete, class: LapClass) -> Result<Length, Problem> {
    let (_, number) = inch_pound(bar.bar)?;
    if number > 11 {
        return Err(Problem::error(format!("bar {} is not lapped in tension", bar.bar))
            .help("bar: #3 to #11 was expected; larger ones are spliced mechanically or welded"));
    }
    let factor = match class {
        LapClass::A => 1.0,
        LapClass::B => 1.3,
    };
    Ok(Length::from_inches((factor * bar.unfloored()?).max(12.0)))
}

/// Lap of two sizes: the longer of the larger bar's development length and the smaller bar's lap.
///
/// Source `unequal-lap`: ACI 318-14 and 318-19 25.5.2.2, from Kamara and Novak, PCA.
///
/// # Errors
/// As [`tension_lap`], for either bar.
pub fn unequal_lap(
    larger: &InConcrete,
    smaller: &InConcrete,
    class: LapClass,
) -> Result<Length, Problem> {
    // Neither bar may be larger than what is lapped at all.
    tension_lap(larger, class)?;
    let thick = |one: &InConcrete| inch_pound(one.bar).map(|(steel, _)| steel.diameter.base());
    if thick(larger)? < thick(smaller)? {
        return Err(Problem::error("the larger bar is thinner than the smaller one")
            .help("larger, smaller: the thicker bar first was expected"));
    }
    let (developed, lap) = (development_length(larger)?, tension_lap(smaller, class)?);
    Ok(if developed.base() >= lap.base() { developed } else { lap })
}

choice! {
    /// Ties round a bar in compression.
    pub enum Confinement, "confinement" {
        /// The confining ties of the clause.
        Tied = "tied",
        /// Others.
        Plain = "plain",
    }
}

/// Development length in compression, no less than 8 in.
///
/// Source `compression-development`: ACI 318-14 and 318-19 25.4.9: seen in Merritt and Ricketts; what the 0.75 asks
/// for from memory.
///
/// # Errors
/// As [`development_length`].
pub fn compression_development(
    bar: &str,
    fy: Pressure,
    fc: Pressure,
    confinement: Confinement,
    lambda: Ratio,
) -> Result<Length, Problem> {
    let (bar, _) = inch_pound(bar)?;
    LAMBDA.check(lambda)?;
    let (fy, root) = strengths(fy, fc, Code::Y19)?;
    let factor = if confinement == Confinement::Tied { 0.75 } else { 1.0 };
    let per = (fy * factor / (50.0 * lambda.number() * root)).max(0.0003 * fy * factor);
    Ok(Length::from_inches((per * bar.diameter.inches()).max(8.0)))
}

/// Lap in compression: 0.0005 fy db up to 60 ksi, (0.0009 fy - 24) db above; a third more under 3000 psi; no less than
/// 12 in.
///
/// Source `compression-lap`: ACI 318-14 and 318-19 25.5.5, from Kamara and Novak, PCA, Table 8-4; fy over 60 ksi from
/// memory.
///
/// # Errors
/// As [`development_length`]; fy over 80,000 psi asks for the tension lap too and is refused here.
pub fn compression_lap(bar: &str, fy: Pressure, fc: Pressure) -> Result<Length, Problem> {
    let (bar, number) = inch_pound(bar)?;
    if number > 11 {
        return Err(Problem::error(format!("bar {} is not lapped here", bar.name))
            .help("bar: #3 to #11 was expected; ask the engineer how larger ones are spliced"));
    }
    let (fy, _) = strengths(fy, fc, Code::Y14)?;
    let per = if round::up_to(fy, 60_000.0) { 0.0005 * fy } else { 0.0009 * fy - 24.0 };
    let weak = if round::under(fc.psi(), 3000.0) { 4.0 / 3.0 } else { 1.0 };
    Ok(Length::from_inches((per * weak * bar.diameter.inches()).max(12.0)))
}

choice! {
    /// Cover of a hook.
    pub enum HookCover, "cover" {
        /// The cover that the edition rewards: 318-14 side cover 2-1/2 in and for 90 degrees 2 in on the extension, up to
        /// #11; 318-19 inside a column core with 2-1/2 in side cover, or side cover six diameters.
        Deep = "deep",
        /// Less.
        Less = "less",
    }
}

choice! {
    /// Ties along a hook.
    pub enum HookTies, "ties" {
        /// The ties that the edition rewards: 318-14 no farther apart than three diameters; 318-19 0.4 of the hooked
        /// steel, or hooks six diameters apart.
        Tied = "tied",
        /// Others.
        Plain = "plain",
    }
}

/// Development length of a standard hook in tension.
///
/// Source `hook-development`: ACI 318-14 25.4.3.1 and 318-19 25.4.3: formulas quoted, conditions of some factors from
/// memory.
///
/// # Errors
/// As [`development_length`].
#[expect(clippy::too_many_arguments, reason = "the code's own inputs")]
pub fn hook_development(
    bar: &str,
    fy: Pressure,
    fc: Pressure,
    cover: HookCover,
    ties: HookTies,
    coating: Coating,
    code: Code,
    lambda: Ratio,
) -> Result<Length, Problem> {
    let (bar, number) = inch_pound(bar)?;
    LAMBDA.check(lambda)?;
    let (strength, root) = strengths(fy, fc, code)?;
    let d = bar.diameter.inches();
    let (rewarded_cover, rewarded_ties) = (cover == HookCover::Deep, ties == HookTies::Tied);
    let bond = lambda.number() * root;
    let small = number <= 11;
    let length = match code {
        Code::Y14 => {
            let cover = if rewarded_cover && small { 0.7 } else { 1.0 };
            let ties = if rewarded_ties && small { 0.8 } else { 1.0 };
            strength * coating.for_hooks() * cover * ties / (50.0 * bond) * d
        }
        Code::Y19 => {
            let cover = if rewarded_cover && small { 1.0 } else { 1.25 };
            let ties = if rewarded_ties && small { 1.0 } else { 1.6 };
            let concrete = (fc.psi() / 15_000.0 + 0.6).min(1.0);
            strength * coating.for_hooks() * cover * ties * concrete / (55.0 * bond) * d.powf(1.5)
        }
    };
    Ok(Length::from_inches(length.max(8.0 * d).max(6.0)))
}

/// A rule of the field beside what the code computes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LapRule {
    /// Thirty diameters, the old field rule.
    pub rule: Length,
    /// The lap of the code.
    pub code: Length,
    /// The longer one, which governs.
    pub lap: Length,
    /// Code over rule.
    pub ratio: Ratio,
}

/// The old field rule of thirty diameters beside the class B lap; the longer governs.
///
/// Source `field-lap`: C. Beall, Masonry and Concrete, p. 53: lap of 30 bar diameters, an old field rule.
///
/// # Errors
/// As [`tension_lap`].
pub fn lap_rule(bar: &InConcrete) -> Result<LapRule, Problem> {
    let code = tension_lap(bar, LapClass::B)?;
    let (steel, _) = inch_pound(bar.bar)?;
    let rule = Length::from_base(30.0 * steel.diameter.base());
    let lap = if rule.base() > code.base() { rule } else { code };
    Ok(LapRule { rule, code, lap, ratio: Ratio::of(code.base() / rule.base()) })
}

/// Cover to the centre of a bar, or what is between bars, for the bridge code.
pub const COVER: Limits = Limits::over("cover", 0.0, "in");
/// Spacing of bars, centre to centre.
pub const BAR_SPACING: Limits = Limits::over("spacing", 0.0, "in");

choice! {
    /// Whether a bar is epoxy coated.
    pub enum Epoxy, "coating" {
        /// Bare.
        Bare = "bare",
        /// Epoxy coated; how much it counts follows from cover and spacing.
        Epoxy = "epoxy",
    }
}

/// Lap of the bridge code of 2016 and later, class B: 1.3 times `2.4 db fy / root f'c` (ksi) with its factors for
/// confinement, position and coating; no less than 12 in.
///
/// Source `bridge-lap`: AASHTO LRFD 2016 tension lap as it reproduces the Maryland SHA table of class B laps; f'c 3
/// ksi and cover 2 in of that table are inferred.
///
/// # Errors
/// As [`development_length`], or cover or spacing is out of its range, or bars touch.
pub fn bridge_lap(
    bar: &str,
    fy: Pressure,
    fc: Pressure,
    position: Position,
    coating: Epoxy,
    cover: Length,
    spacing: Length,
) -> Result<Length, Problem> {
    let (steel, number) = inch_pound(bar)?;
    if number > 11 {
        return Err(Problem::error(format!("bar {bar} is not lapped in tension"))
            .help("bar: #3 to #11 was expected; larger bars are joined mechanically or welded"));
    }
    strengths(fy, fc, Code::Y19)?;
    COVER.check(cover)?;
    BAR_SPACING.check(spacing)?;
    let d = steel.diameter.inches();
    let (c, s) = (cover.inches(), spacing.inches());
    if round::under(s, 2.0 * d) {
        return Err(Problem::error(format!("spacing is {s:.3} in, bar {bar} is {d:.3} in"))
            .help("spacing: two diameters or more, centre to centre, was expected"));
    }
    let cb = (c + d / 2.0).min(s / 2.0);
    let confined = (d / cb).clamp(0.4, 1.0);
    let epoxy = match coating {
        Epoxy::Bare => 1.0,
        Epoxy::Epoxy if round::under(c, 3.0 * d) || round::under(s - d, 6.0 * d) => 1.5,
        Epoxy::Epoxy => 1.2,
    };
    let place = (position.factor() * epoxy).min(1.7);
    let developed = 2.4 * d * (fy.psi() / 1000.0) / (fc.psi() / 1000.0).sqrt() * confined * place;
    Ok(Length::from_inches((1.3 * developed).max(12.0)))
}
