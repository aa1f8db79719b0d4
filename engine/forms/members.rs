//! Form members: sawn lumber, its adjusted values, and spans continuous over three or more supports.

use super::bracing::DURATION;
use super::sections::size;
use crate::measure::{
    Area, ForcePerLength, Length, Limits, Pressure, Ratio, SecondMoment, Volume, choice,
};
use crate::problem::Problem;

/// Load on a member per length.
pub const LOAD_ALONG: Limits = Limits::over("load", 0.0, "plf");
/// A stress that a member may carry.
pub const STRESS: Limits = Limits::over_to("bending_stress", 0.0, 10_000.0, "psi");
/// Modulus of elasticity.
pub const ELASTICITY: Limits = Limits::over_to("elasticity", 0.0, 5e6, "psi");
/// Section modulus.
pub const MODULUS: Limits = Limits::over("modulus", 0.0, "in3");
/// Area of a section.
pub const AREA: Limits = Limits::over("area", 0.0, "in2");
/// Second moment of a section.
pub const SECOND_MOMENT: Limits = Limits::over("second_moment", 0.0, "in4");
/// Depth of a section.
pub const SECTION_DEPTH: Limits = Limits::over("depth", 0.0, "in");
/// Rolling-shear constant of a panel.
pub const ROLLING: Limits = Limits::over("rolling_constant", 0.0, "in2/ft");
/// Height of a board or strip.
pub const BOARD: Limits = Limits::over("board", 0.0, "in");

choice! {
    /// Species and grade of the design values.
    pub enum Grade, "grade" {
        /// Douglas Fir-Larch, select structural.
        DflSelect = "DF-L Sel. Str.",
        /// Douglas Fir-Larch No. 1.
        Dfl1 = "DF-L No. 1",
        /// Douglas Fir-Larch No. 2.
        Dfl2 = "DF-L No. 2",
        /// Douglas Fir-Larch No. 3.
        Dfl3 = "DF-L No. 3",
        /// Hem-Fir No. 1.
        Hf1 = "Hem-Fir No. 1",
        /// Hem-Fir No. 2.
        Hf2 = "Hem-Fir No. 2",
        /// Spruce-Pine-Fir No. 1 and No. 2.
        Spf = "SPF No. 1/No. 2",
    }
}

choice! {
    /// Moisture in service.
    pub enum Moisture, "moisture" {
        /// Up to 19 %.
        Dry = "dry",
        /// More, as against fresh concrete.
        Wet = "wet",
    }
}

choice! {
    /// Whether three members or more, no farther than 24 in apart, are joined by sheathing.
    pub enum Repetition, "repetition" {
        /// Studs under sheathing.
        Joined = "joined",
        /// Wales and single members.
        Single = "single",
    }
}

/// Design values of a member, adjusted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adjusted {
    /// Bending.
    pub bending: Pressure,
    /// Shear.
    pub shear: Pressure,
    /// Bearing across the grain.
    pub bearing: Pressure,
    /// Compression along the grain, with every factor but that of slenderness.
    pub along_grain: Pressure,
    /// Modulus of elasticity.
    pub elasticity: Pressure,
    /// Modulus of elasticity for slenderness.
    pub least_elasticity: Pressure,
}

/// Reference values of a grade, in psi.
struct Reference {
    bending: f64,
    shear: f64,
    bearing: f64,
    along_grain: f64,
    elasticity: f64,
    least_elasticity: f64,
}

impl Grade {
    fn reference(self) -> Reference {
        let of = |bending, shear, bearing, along_grain, elasticity, least_elasticity| Reference {
            bending,
            shear,
            bearing,
            along_grain,
            elasticity,
            least_elasticity,
        };
        match self {
            Self::DflSelect => of(1500.0, 180.0, 625.0, 1700.0, 1.9e6, 690e3),
            Self::Dfl1 => of(1000.0, 180.0, 625.0, 1500.0, 1.7e6, 620e3),
            Self::Dfl2 => of(900.0, 180.0, 625.0, 1350.0, 1.6e6, 580e3),
            Self::Dfl3 => of(525.0, 180.0, 625.0, 775.0, 1.4e6, 510e3),
            Self::Hf1 => of(975.0, 150.0, 405.0, 1350.0, 1.5e6, 550e3),
            Self::Hf2 => of(850.0, 150.0, 405.0, 1300.0, 1.3e6, 470e3),
            Self::Spf => of(875.0, 135.0, 425.0, 1150.0, 1.4e6, 510e3),
        }
    }
}

/// Size factor of bending for lumber 2 to 4 in thick.
fn size_factor(thickness: f64, depth: f64) -> f64 {
    match depth {
        d if d < 4.0 => 1.5,
        d if d < 6.0 => 1.3,
        d if d < 8.0 => {
            if thickness > 3.0 {
                1.3
            } else {
                1.2
            }
        }
        d if d < 10.0 => {
            if thickness > 3.0 {
                1.2
            } else {
                1.1
            }
        }
        _ => {
            if thickness > 3.0 {
                1.1
            } else {
                1.0
            }
        }
    }
}

/// Size factor of compression along the grain.
fn size_factor_along(depth: f64) -> f64 {
    match depth {
        d if d < 4.0 => 1.15,
        d if d < 6.0 => 1.1,
        d if d < 8.0 => 1.05,
        _ => 1.0,
    }
}

/// Reference values with factors for load duration, size, moisture and repetition; bent about the stronger axis.
///
/// Source `lumber-values`: NDS Supplement Table 4A and adjustment factors (edition not named; the duration factors
/// are those of 2018), from University of Florida temporary-structures notes and from the tables of an open
/// finite-element library.
///
/// # Errors
/// The size is not of the table or thinner than 2 in nominal; the duration factor is out of its range.
pub fn adjusted_lumber(
    name: &str,
    grade: Grade,
    duration_factor: Ratio,
    moisture: Moisture,
    repetition: Repetition,
) -> Result<Adjusted, Problem> {
    DURATION.check(duration_factor)?;
    let (b, d) = size(name)?;
    if b < 1.5 {
        return Err(Problem::error(format!(
            "size {name} is a board: these values are for lumber 2 in thick and more"
        ))
        .help("size: 2x3 to 4x12 was expected"));
    }
    let of_grade = grade.reference();
    let (time, wet) = (duration_factor.number(), moisture == Moisture::Wet);
    let damp = |factor: f64| if wet { factor } else { 1.0 };
    // Weak lumber loses nothing by moisture.
    let damp_over =
        |value: f64, least: f64, factor: f64| if value > least { damp(factor) } else { 1.0 };
    let sized = of_grade.bending * size_factor(b, d);
    let bending = sized * time * damp_over(sized, 1150.0, 0.85);
    let repeated = if repetition == Repetition::Joined { 1.15 } else { 1.0 };
    let along = of_grade.along_grain * size_factor_along(d);
    let of = Pressure::from_psi;
    Ok(Adjusted {
        bending: of(bending * repeated),
        shear: of(of_grade.shear * time * damp(0.97)),
        bearing: of(of_grade.bearing * damp(0.67)),
        along_grain: of(along * time * damp_over(along, 750.0, 0.8)),
        elasticity: of(of_grade.elasticity * damp(0.9)),
        least_elasticity: of(of_grade.least_elasticity * damp(0.9)),
    })
}

/// Spans that each check allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spans {
    /// By bending.
    pub bending: Length,
    /// By shear.
    pub shear: Length,
    /// By a deflection of 1/360 of the span.
    pub deflection: Length,
    /// By a deflection of 1/16 in.
    pub sixteenth: Length,
    /// The least of them.
    pub span: Length,
    /// Which that is.
    pub governs: &'static str,
}

fn spans(bending: f64, shear: f64, stiffness: f64, w: f64) -> Spans {
    let deflection = (1740.0 / 360.0 * stiffness / w).cbrt();
    let sixteenth = (108.75 * stiffness / w).sqrt().sqrt();
    let all = [
        (bending, "bending"),
        (shear, "shear"),
        (deflection, "deflection of 1/360"),
        (sixteenth, "deflection of 1/16 in"),
    ];
    let least = all.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, ""));
    let of = Length::from_inches;
    Spans {
        bending: of(bending),
        shear: of(shear),
        deflection: of(deflection),
        sixteenth: of(sixteenth),
        span: of(least.0),
        governs: least.1,
    }
}

choice! {
    /// Where shear is taken.
    pub enum ShearAt, "shear_at" {
        /// A depth from the face of the support, by statics: 5/3 of the depth is gained.
        Statics = "statics",
        /// As a course prints it: twice the depth is gained.
        Printed = "printed",
    }
}

/// A member as the span formulas see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Member {
    /// Area of its section.
    pub area: Area,
    /// Depth.
    pub depth: Length,
    /// Section modulus.
    pub modulus: Volume,
    /// Second moment.
    pub second_moment: SecondMoment,
    /// Bending stress.
    pub bending: Pressure,
    /// Shear stress.
    pub shear: Pressure,
    /// Modulus of elasticity.
    pub elasticity: Pressure,
}

/// Spans of a lumber member, continuous over three spans or more, under an even load.
///
/// Source `form-spans`: University of Florida temporary-structures notes, weeks 6 and 7 (after ACI SP-4 Table 7-1 and
/// APA D510): spans continuous over three or more.
///
/// # Errors
/// An input is out of its range.
pub fn member_spans(
    load: ForcePerLength,
    member: &Member,
    shear_at: ShearAt,
) -> Result<Spans, Problem> {
    LOAD_ALONG.check(load)?;
    AREA.check(member.area)?;
    SECTION_DEPTH.check(member.depth)?;
    MODULUS.check(member.modulus)?;
    SECOND_MOMENT.check(member.second_moment)?;
    STRESS.check(member.bending)?;
    STRESS.named("shear_stress").check(member.shear)?;
    ELASTICITY.check(member.elasticity)?;
    let w = load.plf();
    let bending = (120.0 * member.bending.psi() * member.modulus.cubic_inches() / w).sqrt();
    let gained = if shear_at == ShearAt::Printed { 2.0 } else { 5.0 / 3.0 };
    let shear = 40.0 / 3.0 * member.shear.psi() * member.area.square_inches() / w
        + gained * member.depth.inches();
    Ok(spans(bending, shear, member.elasticity.psi() * member.second_moment.inches4(), w))
}

/// Spans of a panel strip of a foot's width, continuous over three spans or more: rolling shear in place of shear.
///
/// Source `form-spans`: University of Florida temporary-structures notes, weeks 6 and 7 (after ACI SP-4 Table 7-1 and
/// APA D510): spans continuous over three or more.
///
/// # Errors
/// An input is out of its range.
pub fn panel_spans(
    load: ForcePerLength,
    modulus: Volume,
    rolling_constant: Length,
    second_moment: SecondMoment,
    bending: Pressure,
    rolling_shear: Pressure,
    elasticity: Pressure,
) -> Result<Spans, Problem> {
    LOAD_ALONG.check(load)?;
    MODULUS.check(modulus)?;
    ROLLING.check(rolling_constant)?;
    SECOND_MOMENT.check(second_moment)?;
    STRESS.check(bending)?;
    STRESS.named("rolling_stress").check(rolling_shear)?;
    ELASTICITY.check(elasticity)?;
    let w = load.plf();
    let by_bending = (120.0 * bending.psi() * modulus.cubic_inches() / w).sqrt();
    // Ib/Q of a foot's width, in square inches.
    let constant = rolling_constant.inches() * 12.0;
    let shear = 20.0 * rolling_shear.psi() * constant / w;
    Ok(spans(by_bending, shear, elasticity.psi() * second_moment.inches4(), w))
}

/// A board with a strip on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stack {
    /// Height of both.
    pub height: Length,
    /// Height less what is wanted.
    pub off: Length,
    /// The strip that would meet it exactly.
    pub strip_wanted: Length,
}

/// A strip that brings a board to a net height.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range.
pub fn board_and_strip(board: Length, strip: Length, wanted: Length) -> Result<Stack, Problem> {
    BOARD.check(board)?;
    BOARD.named("strip").check(strip)?;
    BOARD.named("wanted").check(wanted)?;
    let height = board.base() + strip.base();
    let of = Length::from_base;
    Ok(Stack {
        height: of(height),
        off: of(height - wanted.base()),
        strip_wanted: of(wanted.base() - board.base()),
    })
}
