//! What the building code and a public manual take for soils where no geotechnical report says otherwise.

use crate::measure::{Pressure, Ratio, UnitWeight, choice};
use crate::problem::Problem;

choice! {
    /// Class of a soil behind a wall, by the unified classification.
    pub enum Backfill, "soil" {
        /// Clean gravels and sands.
        Clean = "GW GP SW SP",
        /// Silty gravel.
        Gm = "GM",
        /// Clayey gravel.
        Gc = "GC",
        /// Silty sand.
        Sm = "SM",
        /// Silty and clayey sand.
        SmSc = "SM-SC",
        /// Silt.
        Ml = "ML",
        /// Clayey sand.
        Sc = "SC",
        /// Silt and clay.
        MlCl = "ML-CL",
        /// Clay.
        Cl = "CL",
        /// Organic or plastic: no backfill.
        Unsuitable = "OL MH CH OH",
    }
}

choice! {
    /// Whether the wall may move.
    pub enum WallHeld, "state" {
        /// Free to move away.
        Active = "active",
        /// Held at its top.
        AtRest = "at_rest",
    }
}

/// Equivalent fluid of IBC Table 1610.1; from SM on from memory.
///
/// Source `code-soil-loads`: IBC Table 1610.1, GW to GC read in a copy of the 2021 Virginia Construction Code.
///
/// # Errors
/// The soil is unsuitable as backfill.
pub fn code_fluid(soil: Backfill, state: WallHeld) -> Result<UnitWeight, Problem> {
    let (active, at_rest) = match soil {
        Backfill::Clean => (30.0, 60.0),
        Backfill::Gm => (40.0, 60.0),
        Backfill::Gc | Backfill::Sm => (45.0, 60.0),
        Backfill::SmSc | Backfill::Ml => (45.0, 100.0),
        Backfill::Sc | Backfill::MlCl | Backfill::Cl => (60.0, 100.0),
        Backfill::Unsuitable => {
            return Err(Problem::error(
                "such a soil is unsuitable as backfill by the code's table",
            )
            .help("soil: one that drains was expected; the geotechnical engineer decides"));
        }
    };
    Ok(UnitWeight::from_pcf(match state {
        WallHeld::Active => active,
        WallHeld::AtRest => at_rest,
    }))
}

choice! {
    /// Class of the ground under a base.
    pub enum Bearing, "ground" {
        /// Crystalline rock.
        Crystalline = "crystalline rock",
        /// Sedimentary and foliated rock.
        Sedimentary = "sedimentary or foliated rock",
        /// Gravel and sandy gravel.
        Gravel = "GW GP",
        /// Sands, silty and clayey gravels.
        Sand = "SW SP SM SC GM GC",
        /// Clays and silts.
        Clay = "CL ML MH CH",
    }
}

/// What the code presumes of the ground under a base.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Presumptive {
    /// Vertical pressure on it.
    pub bearing: Pressure,
    /// Lateral bearing for each foot of depth.
    pub lateral: UnitWeight,
    /// Coefficient of friction times the dead load; none for clay.
    pub friction: Option<Ratio>,
    /// Cohesion times the area, to no more than half of the dead load; for clay only.
    pub cohesion: Option<Pressure>,
}

/// Presumptive values of IBC 2012 Table 1806.2.
///
/// Source `code-bearing`: IBC 2012 Table 1806.2 as quoted in a handbook of geotechnical earthquake engineering, p.
/// 484; half of the dead load by 1806.3.2.
///
/// # Errors
/// None.
pub fn code_bearing(ground: Bearing) -> Result<Presumptive, Problem> {
    let (bearing, lateral, friction) = match ground {
        Bearing::Crystalline => (12_000.0, 1200.0, Some(0.70)),
        Bearing::Sedimentary => (4000.0, 400.0, Some(0.35)),
        Bearing::Gravel => (3000.0, 200.0, Some(0.35)),
        Bearing::Sand => (2000.0, 150.0, Some(0.25)),
        Bearing::Clay => (1500.0, 100.0, None),
    };
    Ok(Presumptive {
        bearing: Pressure::from_psf(bearing),
        lateral: UnitWeight::from_pcf(lateral),
        friction: friction.map(Ratio::of),
        cohesion: friction.is_none().then(|| Pressure::from_psf(130.0)),
    })
}

choice! {
    /// Ground under mass concrete, as the public manual groups it.
    pub enum Interface, "ground" {
        /// Clean sound rock.
        Rock = "clean sound rock",
        /// Clean gravel, gravel and sand, coarse sand.
        Gravel = "clean gravel or coarse sand",
        /// Clean fine to medium sand, silty medium to coarse sand, silty or clayey gravel.
        MediumSand = "clean medium sand or silty gravel",
        /// Clean fine sand, silty or clayey fine to medium sand.
        FineSand = "clean fine sand or silty sand",
        /// Fine sandy silt, nonplastic silt.
        Silt = "sandy or nonplastic silt",
        /// Very stiff and hard clay.
        HardClay = "very stiff or hard clay",
        /// Medium stiff and stiff clay.
        StiffClay = "medium stiff or stiff clay",
    }
}

/// A range of a coefficient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrictionRange {
    /// The lower end, which asks for more.
    pub low: Ratio,
    /// The upper end.
    pub high: Ratio,
}

/// Friction of mass concrete on soil, NAVFAC DM 7.02, chapter 3, Table 1.
///
/// Source `base-friction`: NAVFAC DM 7.02 (1986), chapter 3, Table 1.
///
/// # Errors
/// None.
pub fn base_friction(ground: Interface) -> Result<FrictionRange, Problem> {
    let (low, high) = match ground {
        Interface::Rock => (0.70, 0.70),
        Interface::Gravel => (0.55, 0.60),
        Interface::MediumSand => (0.45, 0.55),
        Interface::FineSand => (0.35, 0.45),
        Interface::Silt | Interface::StiffClay => (0.30, 0.35),
        Interface::HardClay => (0.40, 0.50),
    };
    Ok(FrictionRange { low: Ratio::of(low), high: Ratio::of(high) })
}
