//! Sections of form members: dressed lumber and plywood.

use super::army::FaceGrain;
use crate::measure::{Area, Length, SecondMoment, Volume};
use crate::problem::{Problem, closest};

/// Nominal sizes of dry dressed lumber, with thickness and depth in inches.
const SIZES: &[(&str, f64, f64)] = &[
    ("1x3", 0.75, 2.5),
    ("1x4", 0.75, 3.5),
    ("1x6", 0.75, 5.5),
    ("1x8", 0.75, 7.25),
    ("1x10", 0.75, 9.25),
    ("1x12", 0.75, 11.25),
    ("2x3", 1.5, 2.5),
    ("2x4", 1.5, 3.5),
    ("2x6", 1.5, 5.5),
    ("2x8", 1.5, 7.25),
    ("2x10", 1.5, 9.25),
    ("2x12", 1.5, 11.25),
    ("3x4", 2.5, 3.5),
    ("3x6", 2.5, 5.5),
    ("3x8", 2.5, 7.25),
    ("3x10", 2.5, 9.25),
    ("3x12", 2.5, 11.25),
    ("4x4", 3.5, 3.5),
    ("4x6", 3.5, 5.5),
    ("4x8", 3.5, 7.25),
    ("4x10", 3.5, 9.25),
    ("4x12", 3.5, 11.25),
];

pub(super) fn size(name: &str) -> Result<(f64, f64), Problem> {
    let found = SIZES.iter().find(|(known, ..)| *known == name).map(|(_, b, d)| (*b, *d));
    found.ok_or_else(|| {
        let problem = Problem::error(format!("size \"{name}\" is not in the lumber table"));
        match closest(name, SIZES.iter().map(|(known, ..)| *known)) {
            Some(near) => {
                problem.help(format!("did you mean \"{near}\"? size: 1x3 to 4x12 was expected"))
            }
            None => problem.help("size: 1x3 to 4x12 was expected, dry and dressed"),
        }
    })
}

/// A rectangular section bent about its stronger axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Thickness.
    pub thickness: Length,
    /// Depth.
    pub depth: Length,
    /// Area.
    pub area: Area,
    /// Section modulus.
    pub modulus: Volume,
    /// Second moment.
    pub second_moment: SecondMoment,
}

/// Section of dry dressed lumber on edge.
///
/// Source `lumber-sizes`: American Softwood Lumber Standard PS 20 (edition not named), dry dressed sizes (web
/// reproduction); section properties follow from them.
///
/// # Errors
/// The size is not of the table.
pub fn lumber_section(name: &str) -> Result<Section, Problem> {
    let (b, d) = size(name)?;
    Ok(Section {
        thickness: Length::from_inches(b),
        depth: Length::from_inches(d),
        area: Area::from_square_inches(b * d),
        modulus: Volume::from_cubic_inches(b * d * d / 6.0),
        second_moment: SecondMoment::from_inches4(b * d * d * d / 12.0),
    })
}

/// Plywood: what it is called, and of a foot's width the second moment, section modulus and rolling-shear constant with
/// the face grain across the studs, and the same along them where they are published (in4, in3, in2/ft).
type PlySection = [f64; 3];
const PLYWOOD: &[(&str, PlySection, Option<PlySection>)] = &[
    ("3/4 in sanded group 1", [0.197, 0.412, 6.762], None),
    ("15/32 in form class I", [0.066, 0.244, 4.743], Some([0.018, 0.107, 2.419])),
    ("1/2 in form class I", [0.077, 0.268, 5.153], Some([0.024, 0.130, 2.739])),
    ("19/32 in form class I", [0.115, 0.335, 5.438], Some([0.029, 0.146, 2.834])),
    ("5/8 in form class I", [0.130, 0.358, 5.717], Some([0.038, 0.175, 3.094])),
    ("23/32 in form class I", [0.180, 0.430, 7.009], Some([0.072, 0.247, 3.798])),
    ("3/4 in form class I", [0.199, 0.455, 7.187], Some([0.092, 0.306, 4.063])),
    ("7/8 in form class I", [0.296, 0.584, 8.555], Some([0.151, 0.422, 6.028])),
    ("1 in form class I", [0.427, 0.737, 9.374], Some([0.270, 0.634, 7.014])),
    ("1-1/8 in form class I", [0.554, 0.849, 10.430], Some([0.398, 0.799, 8.419])),
    ("15/32 in form class II", [0.063, 0.243, 4.499], Some([0.015, 0.138, 2.434])),
    ("1/2 in form class II", [0.075, 0.267, 4.891], Some([0.020, 0.167, 2.727])),
    ("19/32 in form class II", [0.115, 0.334, 5.326], Some([0.025, 0.188, 2.812])),
    ("5/8 in form class II", [0.130, 0.357, 5.593], Some([0.032, 0.225, 3.074])),
    ("23/32 in form class II", [0.180, 0.430, 6.504], Some([0.060, 0.317, 3.781])),
    ("3/4 in form class II", [0.198, 0.454, 6.631], Some([0.075, 0.392, 4.049])),
    ("7/8 in form class II", [0.300, 0.591, 7.990], Some([0.123, 0.542, 5.997])),
    ("1 in form class II", [0.421, 0.754, 8.614], Some([0.220, 0.812, 6.987])),
    ("1-1/8 in form class II", [0.566, 0.869, 9.571], Some([0.323, 1.023, 8.388])),
    ("15/32 in form structural I", [0.067, 0.246, 4.503], Some([0.021, 0.147, 2.405])),
    ("1/2 in form structural I", [0.078, 0.271, 4.908], Some([0.029, 0.178, 2.725])),
    ("19/32 in form structural I", [0.116, 0.338, 5.018], Some([0.034, 0.199, 2.811])),
    ("5/8 in form structural I", [0.131, 0.361, 5.258], Some([0.045, 0.238, 3.073])),
    ("23/32 in form structural I", [0.183, 0.439, 6.109], Some([0.085, 0.338, 3.780])),
    ("3/4 in form structural I", [0.202, 0.464, 6.189], Some([0.108, 0.418, 4.047])),
    ("7/8 in form structural I", [0.317, 0.626, 7.539], None),
];

/// Section of a foot of plywood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlywoodSection {
    /// Section modulus of a foot's width.
    pub modulus: Volume,
    /// Ib/Q per foot of width.
    pub rolling: Length,
    /// Second moment of a foot's width.
    pub second_moment: SecondMoment,
}

/// Section of a foot of plywood, as published.
///
/// Source `form-plywood`: APA, Concrete Forming, edition of 2004, section properties of form plywood, as quoted in a
/// handbook of formwork; sanded plywood of group 1 from University of Florida temporary-structures notes, week 7.
///
/// # Errors
/// There is no such plywood in the table, or it is not published with the face grain along the studs.
pub fn plywood_section(name: &str, grain: FaceGrain) -> Result<PlywoodSection, Problem> {
    let Some((_, across, along)) = PLYWOOD.iter().find(|(known, ..)| *known == name) else {
        let expected = "3/4 in sanded group 1; 15/32 in to 1-1/8 in form class I or class II; 15/32 in to 7/8 in form structural I";
        let near = closest(name, PLYWOOD.iter().map(|(known, ..)| *known));
        let near = near.map_or_else(String::new, |near| format!("did you mean \"{near}\"? "));
        return Err(Problem::error(format!("plywood \"{name}\" is not in the table"))
            .help(format!("{near}plywood: {expected} was expected")));
    };
    let section = match grain {
        FaceGrain::Across => Some(across),
        FaceGrain::Along => along.as_ref(),
    };
    let Some([moment, modulus, rolling]) = section else {
        return Err(Problem::error(format!(
            "the section of {name} along the studs is not in the table"
        ))
        .help("face_grain: across_studs was expected, or the maker's own values in panel_spans"));
    };
    Ok(PlywoodSection {
        modulus: Volume::from_cubic_inches(*modulus),
        // An area per foot.
        rolling: Length::from_inches(rolling / 12.0),
        second_moment: SecondMoment::from_inches4(*moment),
    })
}
