//! The system of units that a job is read and printed in.

use super::{Nm, decimal_of, feet_inches};

/// System of units that a job is read and printed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum System {
    /// Feet, cubic yards, pounds.
    #[default]
    Us,
    /// Metres, cubic metres, kilograms.
    Metric,
}

impl System {
    /// Unit of lengths and elevations.
    pub fn length(self) -> &'static str {
        match self {
            Self::Us => "ft",
            Self::Metric => "m",
        }
    }

    /// Unit of small lengths.
    pub fn small(self) -> &'static str {
        match self {
            Self::Us => "in",
            Self::Metric => "mm",
        }
    }

    /// Unit of areas.
    pub fn area(self) -> &'static str {
        match self {
            Self::Us => "sf",
            Self::Metric => "m2",
        }
    }

    /// Unit of volumes.
    pub fn volume(self) -> &'static str {
        match self {
            Self::Us => "cy",
            Self::Metric => "m3",
        }
    }

    /// A length in the unit of the job, for a derivation: `16.83 ft`.
    pub fn show(self, length: Nm) -> String {
        let (unit, places) = match self {
            Self::Us => (Nm::FOOT, 2),
            Self::Metric => (Nm::METRE, 3),
        };
        format!("{} {}", decimal_of(length.wide(), unit.wide(), places), self.length())
    }

    /// A length as it is read off a tape: feet and inches to a fraction of an inch, or metres to the millimetre.
    pub fn tape(self, length: Nm, fraction: i64) -> String {
        match self {
            Self::Us => feet_inches(length, fraction),
            Self::Metric => self.show(length),
        }
    }
}
