//! Thin typed measures for the signatures of trade functions: never a bare number where a unit belongs.

use super::{Dimension, Nm, Quantity};
use crate::problem::Problem;

/// A measure whose dimension is known when the program is built.
pub trait Typed: Copy + Into<Quantity> + TryFrom<Quantity, Error = Problem> {
    /// What it measures.
    const DIMENSION: Dimension;
}

macro_rules! typed {
    ($($(#[$doc:meta])* $name:ident = $dimension:ident, $example:literal {
        $($get:ident, $make:ident = $unit:literal, $factor:expr;)*
    })*) => {
        $(
            $(#[$doc])*
            #[derive(Debug, Clone, Copy, PartialEq)]
            pub struct $name(Quantity);

            impl $name {
                /// From base units of its dimension.
                pub const fn from_base(value: f64) -> Self {
                    Self(Quantity::new(value, Dimension::$dimension))
                }

                /// The quantity that scripts and sheets see.
                pub fn quantity(self) -> Quantity {
                    self.0
                }

                /// The value in base units.
                pub fn base(self) -> f64 {
                    self.0.base()
                }

                $(
                    #[doc = concat!("The value in ", $unit, ".")]
                    pub fn $get(self) -> f64 {
                        self.0.base() / $factor
                    }

                    #[doc = concat!("From a value in ", $unit, ".")]
                    pub const fn $make(value: f64) -> Self {
                        Self::from_base(value * $factor)
                    }
                )*
            }

            impl Typed for $name {
                const DIMENSION: Dimension = Dimension::$dimension;
            }

            impl From<$name> for Quantity {
                fn from(measure: $name) -> Self {
                    measure.0
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
                            Dimension::$dimension, $example, quantity.dimension()
                        )))
                    }
                }
            }
        )*

        /// Every unit that a typed measure has a word for, with its factor.
        #[cfg(test)]
        const UNITS: &[(&str, Dimension, f64)] =
            &[$($(($unit, Dimension::$dimension, $factor),)*)*];
    };
}

/// Newtons in a pound.
const LB: f64 = 4.448_221_615_260_5;
const FT: f64 = 304_800_000.0;
const IN: f64 = 25_400_000.0;
const M: f64 = 1e9;
const MM: f64 = 1e6;
const HOUR: f64 = 3600.0;

typed! {
    /// A plain number: a ratio, a share, a coefficient.
    Ratio = NUMBER, "0.08" { number, of = "percent", 1.0; }
    /// A length.
    Length = LENGTH, "3.ft" {
        feet, from_feet = "ft", FT;
        inches, from_inches = "in", IN;
        metres, from_metres = "m", M;
        millimetres, from_millimetres = "mm", MM;
    }
    /// An area.
    Area = AREA, "12.sf" {
        square_feet, from_square_feet = "sf", FT * FT;
        square_inches, from_square_inches = "in2", IN * IN;
        square_millimetres, from_square_millimetres = "mm2", MM * MM;
    }
    /// A volume.
    Volume = VOLUME, "2.cy" {
        cubic_yards, from_cubic_yards = "cy", 27.0 * FT * FT * FT;
        cubic_feet, from_cubic_feet = "cf", FT * FT * FT;
        cubic_inches, from_cubic_inches = "in3", IN * IN * IN;
        cubic_metres, from_cubic_metres = "m3", M * M * M;
    }
    /// A second moment of area.
    SecondMoment = SECOND_MOMENT, "q(\"5.36 in4\")" {
        inches4, from_inches4 = "in4", IN * IN * IN * IN;
    }
    /// A weight or force.
    Weight = FORCE, "500.lb" {
        pounds, from_pounds = "lb", LB;
        kilonewtons, from_kilonewtons = "kN", 1000.0;
    }
    /// A force per length.
    ForcePerLength = FORCE_PER_LENGTH, "100.plf" {
        plf, from_plf = "plf", LB / FT;
        kilonewtons_per_metre, from_kilonewtons_per_metre = "kN/m", 1000.0 / M;
    }
    /// A moment.
    Moment = MOMENT, "q(\"480 lb*ft\")" {
        foot_pounds, from_foot_pounds = "lb*ft", LB * FT;
        kilonewton_metres, from_kilonewton_metres = "kN*m", 1000.0 * M;
    }
    /// A pressure or stress.
    Pressure = PRESSURE, "600.psf" {
        psf, from_psf = "psf", LB / (FT * FT);
        psi, from_psi = "psi", LB / (IN * IN);
        kilopascals, from_kilopascals = "kPa", 1000.0 / (M * M);
        megapascals, from_megapascals = "MPa", 1e6 / (M * M);
    }
    /// A unit weight.
    UnitWeight = UNIT_WEIGHT, "150.pcf" {
        pcf, from_pcf = "pcf", LB / (FT * FT * FT);
        kilonewtons_per_cubic_metre, from_kilonewtons_per_cubic_metre = "kN/m3", 1000.0 / (M * M * M);
    }
    /// A speed, such as the rate at which concrete rises in a form.
    Speed = SPEED, "q(\"5 ft/h\")" {
        feet_per_hour, from_feet_per_hour = "ft/h", FT / HOUR;
        metres_per_hour, from_metres_per_hour = "m/h", M / HOUR;
        kilometres_per_hour, from_kilometres_per_hour = "km/h", 1000.0 * M / HOUR;
    }
    /// A volume per time.
    VolumeRate = VOLUME_PER_TIME, "q(\"20 cy/h\")" {
        cubic_yards_per_hour, from_cubic_yards_per_hour = "cy/h", 27.0 * FT * FT * FT / HOUR;
    }
    /// A time.
    Time = TIME, "12.h" {
        hours, from_hours = "h", HOUR;
        days, from_days = "day", 24.0 * HOUR;
        minutes, from_minutes = "min", 60.0;
    }
    /// A time at a temperature above a datum.
    Maturity = MATURITY, "540.C_change * 1.h" {
        celsius_hours, from_celsius_hours = "C_change*h", HOUR;
    }
    /// A temperature.
    Temperature = TEMPERATURE, "60.F" { kelvin, from_kelvin = "C", 1.0; }
    /// A temperature difference.
    TemperatureChange = TEMPERATURE_CHANGE, "20.F_change" {
        kelvins, from_kelvins = "C_change", 1.0;
    }
    /// An angle.
    Angle = ANGLE, "45.deg" { radians, from_radians = "rad", 1.0; }
    /// An amount of money.
    Money = MONEY, "185.usd" { amount, from_amount = "usd", 1.0; }
    /// Money for a volume.
    MoneyPerVolume = MONEY_PER_VOLUME, "q(\"185 usd/cy\")" {
        per_cubic_yard, from_per_cubic_yard = "usd/cy", 1.0 / (27.0 * FT * FT * FT);
    }
    /// Money for an hour.
    Wage = MONEY_PER_TIME, "q(\"34 usd/h\")" { per_hour, from_per_hour = "usd/h", 1.0 / HOUR; }
    /// What evaporates from an area in a time.
    EvaporationRate = EVAPORATION, "q(\"0.2 lb/ft2/h\")" {
        kilograms_per_square_metre_hour, from_kilograms_per_square_metre_hour = "kg/m2/h", 9.80665 / (M * M * HOUR);
    }
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

impl Temperature {
    /// The value in degrees Fahrenheit.
    pub fn fahrenheit(self) -> f64 {
        self.kelvin() * 9.0 / 5.0 - 459.67
    }

    /// The value in degrees Celsius.
    pub fn celsius(self) -> f64 {
        self.kelvin() - 273.15
    }

    /// From degrees Fahrenheit.
    pub const fn from_fahrenheit(value: f64) -> Self {
        Self::from_kelvin((value + 459.67) * 5.0 / 9.0)
    }

    /// From degrees Celsius.
    pub const fn from_celsius(value: f64) -> Self {
        Self::from_kelvin(value + 273.15)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{round, unit};

    #[test]
    fn the_words_for_units_are_those_units() {
        for (name, dimension, factor) in UNITS.iter().filter(|(name, ..)| *name != "percent") {
            let unit = unit(name).unwrap_or_else(|problem| unreachable!("{problem}"));
            // A temperature's unit has an offset; its size is that of the difference.
            assert_eq!(unit.dimension(), *dimension, "{name}");
            assert!(round::same(unit.factor(), *factor), "{name}: {} {factor}", unit.factor());
        }
    }
}
