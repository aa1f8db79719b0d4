//! Anchorage and laps by EN 1992-1-1:2004, 8.4 and 8.7.

use crate::measure::{Length, Limits, Pressure, Ratio, choice, round, shortest, significant};
use crate::problem::Problem;

/// Diameter of a bar.
pub const DIAMETER: Limits = Limits::within("diameter", 6.0, 50.0, "mm");
/// Characteristic cylinder strength.
pub const FCK: Limits = Limits::within("fck", 12.0, 50.0, "MPa");
/// Design stress of the bar.
pub const STRESS: Limits = Limits::within("stress", 100.0, 550.0, "MPa");
/// Least of cover and half the clear distance of bars.
pub const CD: Limits = Limits::over("cd", 0.0, "mm");
/// Share of bars lapped in one section.
pub const LAPPED: Limits = Limits::over_to("lapped", 0.0, 1.0, "");

choice! {
    /// Bond conditions of 8.4.2.
    pub enum Bond, "bond" {
        /// Good.
        Good = "good",
        /// Poor.
        Poor = "poor",
    }
}

choice! {
    /// Shape of the end of a bar.
    pub enum BarEnd, "end" {
        /// Straight.
        Straight = "straight",
        /// Bent or hooked, taken without its own factor.
        Bent = "bent",
    }
}

/// Design values of an anchorage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anchorage {
    /// Ultimate bond stress.
    pub bond_stress: Pressure,
    /// Basic anchorage length.
    pub basic: Length,
    /// Factor for cover, between 0.7 and 1.
    pub cover_factor: Ratio,
    /// Design anchorage length.
    pub length: Length,
}

/// Partial factor of concrete.
const GAMMA_C: f64 = 1.5;

/// Design anchorage length in tension; other factors than that for cover are 1, concrete's partial factor 1.5.
///
/// Source `ec2-anchorage`: EN 1992-1-1:2004, 8.4 and 8.7, from reference pages.
///
/// # Errors
/// An input is out of its range.
pub fn ec2_anchorage(
    diameter: Length,
    fck: Pressure,
    stress: Pressure,
    bond: Bond,
    cd: Length,
    end: BarEnd,
    annex: Annex,
) -> Result<Anchorage, Problem> {
    DIAMETER.check(diameter)?;
    let thickest = annex.thickest();
    if !round::up_to(diameter.millimetres(), thickest) {
        return Err(Problem::error(format!(
            "diameter is {} mm, laps and anchorages by bond alone go to {thickest} mm",
            shortest(significant(diameter.millimetres(), 6))
        ))
        .help("annex: the national annex that allows more was expected; 8.8 has further rules for large bars"));
    }
    FCK.check(fck)?;
    STRESS.check(stress)?;
    CD.check(cd)?;
    let (d, c) = (diameter.millimetres(), cd.millimetres());
    // The characteristic tensile strength is not rounded.
    let tensile = 0.7 * 0.3 * fck.megapascals().powf(2.0 / 3.0) / GAMMA_C;
    let condition = if bond == Bond::Good { 1.0 } else { 0.7 };
    let thick = if d > 32.0 { (132.0 - d) / 100.0 } else { 1.0 };
    let bond_stress = 2.25 * condition * thick * tensile;
    let basic = d / 4.0 * stress.megapascals() / bond_stress;
    let factor = match end {
        BarEnd::Straight => 1.0 - 0.15 * (c - d) / d,
        BarEnd::Bent => 1.0 - 0.15 * (c - 3.0 * d) / d,
    };
    let factor = factor.clamp(0.7, 1.0);
    let length = (factor * basic).max(0.3 * basic).max(10.0 * d).max(100.0);
    Ok(Anchorage {
        bond_stress: Pressure::from_megapascals(bond_stress),
        basic: Length::from_millimetres(basic),
        cover_factor: Ratio::of(factor),
        length: Length::from_millimetres(length),
    })
}

choice! {
    /// National annex, where one allows what the standard does not.
    pub enum Annex, "annex" {
        /// None: bars to 32 mm.
        None = "none",
        /// That of the United Kingdom: bars to 40 mm.
        Uk = "uk",
    }
}

impl Annex {
    /// Thickest bar in millimetres that is not large by 8.8 (1).
    fn thickest(self) -> f64 {
        match self {
            Self::None => 32.0,
            Self::Uk => 40.0,
        }
    }
}

choice! {
    /// How the factor for the share of lapped bars is taken.
    pub enum LapFactor, "factor" {
        /// From Table 8.3; between two of its columns the higher.
        Table = "table",
        /// By the formula over it, root(share / 25 %).
        Formula = "formula",
    }
}

impl LapFactor {
    /// The factor, between 1 and 1.5.
    fn of(self, lapped: Ratio) -> f64 {
        let share = lapped.number();
        match self {
            Self::Formula => (share / 0.25).sqrt().clamp(1.0, 1.5),
            Self::Table => {
                // Under 25 %, 33 %, 50 %, and over.
                let columns = [(0.25, 1.0), (0.33, 1.15), (0.5, 1.4)];
                let column = columns.iter().find(|(most, _)| round::up_to(share, *most));
                column.map_or(1.5, |(_, factor)| *factor)
            }
        }
    }
}

/// Design lap length in tension: with the factor for the share of lapped bars between 1 and 1.5, no less than 15 diameters
/// and 200 mm.
///
/// Source `ec2-anchorage`: EN 1992-1-1:2004, 8.4 and 8.7, from reference pages.
///
/// # Errors
/// As [`ec2_anchorage`], or the share is out of its range.
#[expect(clippy::too_many_arguments, reason = "what the clause asks for")]
pub fn ec2_lap(
    diameter: Length,
    fck: Pressure,
    stress: Pressure,
    bond: Bond,
    cd: Length,
    end: BarEnd,
    lapped: Ratio,
    factor: LapFactor,
    annex: Annex,
) -> Result<Length, Problem> {
    LAPPED.check(lapped)?;
    let anchorage = ec2_anchorage(diameter, fck, stress, bond, cd, end, annex)?;
    let share = factor.of(lapped);
    let basic = anchorage.basic.millimetres();
    let length = share * anchorage.cover_factor.number() * basic;
    let least = (0.3 * share * basic).max(15.0 * diameter.millimetres()).max(200.0);
    Ok(Length::from_millimetres(length.max(least)))
}
