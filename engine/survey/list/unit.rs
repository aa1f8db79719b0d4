//! Units of the numbers in a list.

use num_traits::ToPrimitive;

use crate::measure::{Decimal, Nm, as_survey_feet, decimal_places, ratio, round};

/// Unit of the numbers in a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// International foot, 0.3048 m.
    Foot,
    /// U.S. survey foot, 1200/3937 m.
    SurveyFoot,
    /// Inch.
    Inch,
    /// Metre.
    Metre,
    /// Centimetre.
    Centimetre,
    /// Millimetre.
    Millimetre,
}

impl LengthUnit {
    /// Names as written in settings.
    pub const NAMES: [&'static str; 6] = ["ft", "us_survey_ft", "in", "m", "cm", "mm"];

    /// Reads a unit as settings and headings have it.
    pub fn parse(text: &str) -> Option<Self> {
        let words: Vec<String> = text
            .to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect();
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        Self::starting(&words).filter(|(_, used)| *used == words.len()).map(|(unit, _)| unit)
    }

    /// The unit at the beginning of some words, and how many of them say it.
    pub(super) fn starting(words: &[&str]) -> Option<(Self, usize)> {
        const FEET: [&str; 3] = ["ft", "feet", "foot"];
        let is_feet = |at: usize| words.get(at).is_some_and(|word| FEET.contains(word));
        match *words {
            ["us" | "u", "survey", ..] if is_feet(2) => Some((Self::SurveyFoot, 3)),
            ["u", "s", "survey", ..] if is_feet(3) => Some((Self::SurveyFoot, 4)),
            ["us" | "survey" | "ussurvey", ..] if is_feet(1) => Some((Self::SurveyFoot, 2)),
            ["ft" | "feet", "us", ..] | ["survey", "ft", ..] => Some((Self::SurveyFoot, 2)),
            ["u", "sft", ..] => Some((Self::SurveyFoot, 2)),
            ["ft" | "feet", "in" | "inches", ..] => Some((Self::Foot, 2)),
            ["usft" | "ftus" | "sft" | "usfeet" | "ussft", ..] => Some((Self::SurveyFoot, 1)),
            ["intl" | "int" | "international", ..] if is_feet(1) => Some((Self::Foot, 2)),
            ["ft" | "feet" | "foot" | "ift", ..] => Some((Self::Foot, 1)),
            ["in" | "inch" | "inches", ..] => Some((Self::Inch, 1)),
            ["m" | "metre" | "meter" | "metres" | "meters" | "mtr" | "mtrs", ..] => {
                Some((Self::Metre, 1))
            }
            ["cm" | "centimetres" | "centimeters" | "centimetre" | "centimeter", ..] => {
                Some((Self::Centimetre, 1))
            }
            ["mm" | "millimetres" | "millimeters" | "millimetre" | "millimeter", ..] => {
                Some((Self::Millimetre, 1))
            }
            _ => None,
        }
    }

    /// Its name in settings.
    pub fn name(self) -> &'static str {
        match self {
            Self::Foot => "ft",
            Self::SurveyFoot => "us_survey_ft",
            Self::Inch => "in",
            Self::Metre => "m",
            Self::Centimetre => "cm",
            Self::Millimetre => "mm",
        }
    }

    /// Whether it belongs to the metric system.
    pub fn is_metric(self) -> bool {
        matches!(self, Self::Metre | Self::Centimetre | Self::Millimetre)
    }

    /// Whether a text with feet and inches can stand in a column of it.
    pub(super) fn is_feet(self) -> bool {
        matches!(self, Self::Foot | Self::SurveyFoot | Self::Inch)
    }

    /// A length to the last place that a rod is read to, in this unit.
    pub fn show(self, length: Nm) -> String {
        let (size, places) = match self {
            Self::Foot | Self::SurveyFoot => (Nm::FOOT, 3),
            Self::Inch => (Nm::INCH, 2),
            Self::Metre => (Nm::METRE, 4),
            Self::Centimetre => (Nm::MILLIMETRE * 10, 2),
            Self::Millimetre => (Nm::MILLIMETRE, 1),
        };
        let name = if self == Self::SurveyFoot { "ft" } else { self.name() };
        format!("{} {name}", decimal_places(&ratio(length.wide(), size.wide()), places))
    }

    /// One of it in nanometres, exactly: numerator and denominator.
    fn size(self) -> (i128, i128) {
        match self {
            Self::Foot => (Nm::FOOT.wide(), 1),
            // Source survey-foot: 1200/3937 m exactly.
            Self::SurveyFoot => (1_200_000_000_000, 3937),
            Self::Inch => (Nm::INCH.wide(), 1),
            Self::Metre => (Nm::METRE.wide(), 1),
            Self::Centimetre => (Nm::MILLIMETRE.wide() * 10, 1),
            Self::Millimetre => (Nm::MILLIMETRE.wide(), 1),
        }
    }

    /// A decimal of this unit, rounded to the nanometre once.
    pub fn length(self, value: Decimal) -> Option<Nm> {
        let (num, den) = self.size();
        // Lists hold hardly any number that is not decided in 128 bits.
        let short = value.times(num, den);
        let exact = || round::nearest_ratio(&(value.ratio() * ratio(num, den))).to_i128();
        short.or_else(exact).and_then(Nm::from_wide)
    }

    /// A length that was read in international feet and inches, as this unit's foot makes it.
    pub(super) fn of_feet(self, read: Nm) -> Option<Nm> {
        match self {
            Self::SurveyFoot => Some(as_survey_feet(read)),
            _ => Some(read),
        }
    }
}
