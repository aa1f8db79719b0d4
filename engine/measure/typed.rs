//! Thin typed measures for the signatures of trade functions: never a bare number where a unit belongs.

use super::{Dimension, Nm, Quantity};
use crate::problem::Problem;

macro_rules! typed {
    ($($(#[$doc:meta])* $name:ident = $dimension:ident, $unit:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct $name(Quantity);

        impl $name {
            /// From base units of its dimension.
            pub fn from_base(value: f64) -> Self {
                Self(Quantity::new(value, Dimension::$dimension))
            }

            /// From a value in a named unit.
            ///
            /// # Errors
            /// The unit is unknown or measures something else.
            pub fn of(value: f64, unit: &str) -> Result<Self, Problem> {
                Self::try_from(Quantity::of(value, unit)?)
            }

            /// The quantity that scripts and sheets see.
            pub fn quantity(self) -> Quantity {
                self.0
            }

            /// The value in base units.
            pub fn base(self) -> f64 {
                self.0.base()
            }
        }

        impl TryFrom<Quantity> for $name {
            type Error = Problem;
            fn try_from(quantity: Quantity) -> Result<Self, Problem> {
                if quantity.dimension() == Dimension::$dimension {
                    Ok(Self(quantity))
                } else {
                    Err(Problem::error(format!(
                        "{} was expected, such as {}; this is {}",
                        Dimension::$dimension, $unit, quantity.dimension()
                    )))
                }
            }
        }
    )*};
}

typed! {
    /// A length.
    Length = LENGTH, "3.ft";
    /// An area.
    Area = AREA, "12.sf";
    /// A volume.
    Volume = VOLUME, "2.cy";
    /// A weight or force.
    Weight = FORCE, "500.lb";
    /// A force per length.
    ForcePerLength = FORCE_PER_LENGTH, "100.plf";
    /// A pressure.
    Pressure = PRESSURE, "600.psf";
    /// A unit weight.
    UnitWeight = UNIT_WEIGHT, "150.pcf";
}

impl Length {
    /// From an exact length.
    pub fn exact(value: Nm) -> Self {
        Self(Quantity::length(value))
    }

    /// The exact length, rounded to the nanometre once.
    ///
    /// # Errors
    /// It is beyond [`Nm::LARGEST`].
    pub fn to_nm(self) -> Result<Nm, Problem> {
        self.0.to_nm()
    }
}
