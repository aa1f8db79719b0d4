//! How the measures of a job are read and written: system of units, currency, stations; whoever shows a measure takes it.

use super::print::{Digits, number_text};
use super::{
    Dimension, Quantity, StationStyle, System, date_text, feet_inches, known_unit, shortest,
};

/// The style of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Style {
    /// System of units.
    pub system: System,
    /// Currency.
    pub currency: String,
    /// What one full station is.
    pub stations: StationStyle,
}

impl Default for Style {
    fn default() -> Self {
        Self::new(System::Us, "usd", StationStyle::HundredFeet)
    }
}

impl Style {
    /// A style.
    pub fn new(system: System, currency: &str, stations: StationStyle) -> Self {
        Self { system, currency: currency.to_owned(), stations }
    }

    /// The unit that a measure is printed in; empty for a plain number and for what has no name.
    pub fn unit(&self, dimension: Dimension) -> String {
        let of = |us: &str, si: &str| match self.system {
            System::Metric => si.to_owned(),
            System::Us => us.to_owned(),
        };
        let currency = &self.currency;
        match dimension {
            Dimension::LENGTH => self.system.length().to_owned(),
            Dimension::AREA => self.system.area().to_owned(),
            Dimension::VOLUME => self.system.volume().to_owned(),
            // What presses is read in kilonewtons; a weight in kilograms is asked for by its unit.
            Dimension::FORCE => of("lb", "kN"),
            Dimension::PRESSURE => of("psf", "kPa"),
            Dimension::FORCE_PER_LENGTH => of("plf", "kN/m"),
            Dimension::UNIT_WEIGHT => of("pcf", "kN/m3"),
            Dimension::MONEY => currency.clone(),
            Dimension::MONEY_PER_TIME => format!("{currency}/h"),
            Dimension::EVAPORATION => of("lb/ft2/h", "kg/m2/h"),
            Dimension::MONEY_PER_LENGTH => format!("{currency}/{}", of("ft", "m")),
            Dimension::MONEY_PER_AREA => format!("{currency}/{}", of("sf", "m2")),
            Dimension::MONEY_PER_VOLUME => format!("{currency}/{}", of("cy", "m3")),
            Dimension::MONEY_PER_WEIGHT => format!("{currency}/{}", of("lb", "kg")),
            Dimension::MOMENT => of("lb*ft", "kN*m"),
            Dimension::SECOND_MOMENT => of("in4", "mm4"),
            Dimension::SPEED => of("ft/h", "m/h"),
            Dimension::VOLUME_PER_TIME => of("cy/h", "m3/h"),
            Dimension::TEMPERATURE => of("F", "C"),
            Dimension::TEMPERATURE_CHANGE => of("F_change", "C_change"),
            Dimension::MATURITY => "C_change*h".to_owned(),
            Dimension::TIME => "h".to_owned(),
            Dimension::ANGLE => "deg".to_owned(),
            _ => String::new(),
        }
    }

    /// A measure in its usual unit; lengths of US jobs in feet and inches too.
    pub fn show(&self, value: Quantity) -> String {
        if let Some(date) = date_text(value).filter(|_| value.dimension() == Dimension::DATE) {
            return date;
        }
        let name = self.unit(value.dimension());
        let Some(size) = known_unit(&name).and_then(|unit| value.in_unit(&unit).ok()) else {
            return format!("{} (base units; {})", shortest(value.base()), value.dimension());
        };
        let digits = match value.dimension() {
            Dimension::MONEY => Digits::Decimals(2),
            _ => Digits::AtMost(4),
        };
        let text = number_text(size, digits);
        match value.to_nm() {
            Ok(length) if self.system == System::Us => {
                format!("{text} {name} ({})", feet_inches(length, 16))
            }
            _ => format!("{text} {name}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::amount;
    use super::*;

    #[test]
    fn one_measure_in_every_print() {
        let style = Style::default();
        let length = Quantity::of(16.833_333, "ft").unwrap_or(Quantity::number(0.0));
        assert_eq!(style.show(length), "16.8333 ft (16'-10\")");
        assert_eq!(amount(length, "ft-in"), "16'-10\"");
        assert_eq!(amount(length, "m"), "5.1308 m");
        let money = Quantity::of(1234.5, "usd").unwrap_or(Quantity::number(0.0));
        assert_eq!(style.show(money), "1,234.50 usd");
        assert_eq!(amount(money, "usd"), "1,234.50 usd");
        assert_eq!(amount(Quantity::number(0.125), "percent"), "12.5 %");
    }
}
