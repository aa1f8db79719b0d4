//! Measures: numbers with dimensions, exact lengths, units, reading, printing and rounding.
//!
//! The base of length is the nanometre, so that 1/64 in, 0.0001 ft and 1 mm are whole numbers of it.
//! Weight is force: nobody divides by g.

mod blocks;
mod choice;
mod date;
mod decimal;
mod dimension;
mod exact;
mod length_text;
mod limits;
mod nm;
mod print;
mod quantity;
mod quantity_text;
pub mod round;
mod show;
mod style;
mod system;
mod typed;
mod unit;

pub use blocks::{BLOCK, in_blocks};
pub use choice::Choice;
pub(crate) use choice::choice;
pub use date::{date_days, date_text, read_date};
pub use decimal::Decimal;
pub use dimension::Dimension;
pub use exact::{Approx, Exact, Real, Unreduced, decided, nearest_double, ratio, sum, times_whole};
pub use length_text::{
    StationStyle, WrittenFoot, as_survey_feet, in_survey_feet_number, read_length, written_foot,
};
pub use limits::Limits;
pub use nm::Nm;
pub use print::{
    Digits, aligned, amount, cell_text, counted, number_text, number_unit, titled, written,
};
pub use quantity::Quantity;
pub use quantity_text::{read_exact, read_slope};
pub use show::{
    decimal_of, decimal_places, feet_inches, push_shortest, shortest, significant, thousands,
};
pub use style::Style;
pub use system::System;
pub use typed::{
    Angle, Area, EvaporationRate, ForcePerLength, Length, Maturity, Moment, Money, MoneyPerVolume,
    Pressure, Ratio, SecondMoment, Speed, Temperature, TemperatureChange, Time, Typed, UnitWeight,
    Volume, VolumeRate, Wage, Weight,
};
pub use unit::{CURRENCIES, Unit, foreign_currency, known_unit, unit, unit_names};
