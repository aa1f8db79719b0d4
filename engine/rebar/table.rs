//! Bars by name: `#4` of ASTM A615, `no. 13` of its soft metric twin, `12 mm` of EN 10080, `15M` of CSA G30.18.

use crate::measure::{Area, ForcePerLength, Length};
use crate::problem::{Problem, closest};

/// A bar of a standard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Its name.
    pub name: &'static str,
    /// Nominal diameter.
    pub diameter: Length,
    /// Nominal area.
    pub area: Area,
    /// Nominal weight per length.
    pub weight: ForcePerLength,
    /// Number of an inch-pound bar; none for others.
    pub inch_pound: Option<u8>,
}

/// Diameter in inches, area in square inches, pounds per foot; soft metric name, mm, mm2, kg/m.
const ASTM: &[(&str, u8, f64, f64, f64, &str, f64, f64, f64)] = &[
    ("#3", 3, 0.375, 0.11, 0.376, "no. 10", 9.5, 71.0, 0.560),
    ("#4", 4, 0.500, 0.20, 0.668, "no. 13", 12.7, 129.0, 0.994),
    ("#5", 5, 0.625, 0.31, 1.043, "no. 16", 15.9, 199.0, 1.552),
    ("#6", 6, 0.750, 0.44, 1.502, "no. 19", 19.1, 284.0, 2.235),
    ("#7", 7, 0.875, 0.60, 2.044, "no. 22", 22.2, 387.0, 3.042),
    ("#8", 8, 1.000, 0.79, 2.670, "no. 25", 25.4, 510.0, 3.973),
    ("#9", 9, 1.128, 1.00, 3.400, "no. 29", 28.7, 645.0, 5.060),
    ("#10", 10, 1.270, 1.27, 4.303, "no. 32", 32.3, 819.0, 6.404),
    ("#11", 11, 1.410, 1.56, 5.313, "no. 36", 35.8, 1006.0, 7.907),
    ("#14", 14, 1.693, 2.25, 7.650, "no. 43", 43.0, 1452.0, 11.38),
    ("#18", 18, 2.257, 4.00, 13.600, "no. 57", 57.3, 2581.0, 20.24),
];

/// EN sizes in millimetres: area and mass follow from the diameter.
const EN: &[(&str, f64)] = &[
    ("6 mm", 6.0),
    ("8 mm", 8.0),
    ("10 mm", 10.0),
    ("12 mm", 12.0),
    ("16 mm", 16.0),
    ("20 mm", 20.0),
    ("25 mm", 25.0),
    ("32 mm", 32.0),
    ("40 mm", 40.0),
    ("50 mm", 50.0),
];

/// CSA sizes: diameter in millimetres, area in square millimetres; mass follows from the nominal area.
const CSA: &[(&str, f64, f64)] = &[
    ("10M", 11.3, 100.0),
    ("15M", 16.0, 200.0),
    ("20M", 19.5, 300.0),
    ("25M", 25.2, 500.0),
    ("30M", 29.9, 700.0),
    ("35M", 35.7, 1000.0),
    ("45M", 43.7, 1500.0),
    ("55M", 56.4, 2500.0),
];

/// Kilograms per metre in kilonewtons per metre.
const KG_PER_M: f64 = 9.806_65e-3;
/// Kilograms per metre of one square millimetre of steel.
const STEEL: f64 = 0.007_85;

/// Every bar, standard by standard.
pub fn bars() -> impl Iterator<Item = Bar> {
    let metric = |name, mm, mm2, kg: f64| Bar {
        name,
        diameter: Length::from_millimetres(mm),
        area: Area::from_square_millimetres(mm2),
        weight: ForcePerLength::from_kilonewtons_per_metre(kg * KG_PER_M),
        inch_pound: None,
    };
    let inch_pound = |row: &(&'static str, u8, f64, f64, f64, &'static str, f64, f64, f64)| Bar {
        name: row.0,
        diameter: Length::from_inches(row.2),
        area: Area::from_square_inches(row.3),
        weight: ForcePerLength::from_plf(row.4),
        inch_pound: Some(row.1),
    };
    let round = |mm: f64| std::f64::consts::FRAC_PI_4 * mm * mm;
    ASTM.iter()
        .map(inch_pound)
        .chain(ASTM.iter().map(move |row| metric(row.5, row.6, row.7, row.8)))
        .chain(EN.iter().map(move |(name, mm)| metric(name, *mm, round(*mm), STEEL * round(*mm))))
        .chain(CSA.iter().map(move |(name, mm, mm2)| metric(name, *mm, *mm2, STEEL * mm2)))
}

/// The bar of a name.
///
/// # Errors
/// No standard of the table has it.
pub fn bar(name: &str) -> Result<Bar, Problem> {
    bars().find(|bar| bar.name == name).ok_or_else(|| {
        let problem = Problem::error(format!("bar \"{name}\" is in no bar table"));
        let names: Vec<&str> = bars().map(|bar| bar.name).collect();
        let listed = "#3 to #18, no. 10 to no. 57, 6 mm to 50 mm or 10M to 55M was expected";
        match closest(name, names.iter().copied()) {
            Some(near) => problem.help(format!("did you mean \"{near}\"? {listed}")),
            None => problem.help(listed),
        }
    })
}

/// The inch-pound bar of a name, and its number.
///
/// # Errors
/// It is not an inch-pound bar.
pub(super) fn inch_pound(name: &str) -> Result<(Bar, u8), Problem> {
    let bar = bar(name)?;
    bar.inch_pound.map(|number| (bar, number)).ok_or_else(|| {
        Problem::error(format!(
            "bar {name} is not an inch-pound bar; this rule is written for those"
        ))
        .help("bar: #3 to #18 was expected")
    })
}

/// Nominal diameter.
///
/// Source `bar-tables`: ASTM A615/A615M-95c table; EN 10080 sizes with area and mass from the diameter at 7850 kg/m3;
/// CSA G30.18 with mass from the nominal area; soft metric columns and 55M from memory.
///
/// # Errors
/// The bar is in no table.
pub fn bar_diameter(name: &str) -> Result<Length, Problem> {
    Ok(bar(name)?.diameter)
}

/// Nominal area.
///
/// Source `bar-tables`: ASTM A615/A615M-95c table; EN 10080 sizes with area and mass from the diameter at 7850 kg/m3;
/// CSA G30.18 with mass from the nominal area; soft metric columns and 55M from memory.
///
/// # Errors
/// As [`bar_diameter`].
pub fn bar_area(name: &str) -> Result<Area, Problem> {
    Ok(bar(name)?.area)
}

/// Nominal weight per length.
///
/// Source `bar-tables`: ASTM A615/A615M-95c table; EN 10080 sizes with area and mass from the diameter at 7850 kg/m3;
/// CSA G30.18 with mass from the nominal area; soft metric columns and 55M from memory.
///
/// # Errors
/// As [`bar_diameter`].
pub fn bar_weight(name: &str) -> Result<ForcePerLength, Problem> {
    Ok(bar(name)?.weight)
}
