//! Concrete in time: setting, maturity, stripping, cold weather. Guidance: strength in place governs.

use crate::measure::{
    Length, Limits, Maturity, Pressure, Temperature, TemperatureChange, Time, choice, round,
    shortest, significant,
};
use crate::problem::Problem;

/// Temperature for the list of setting times.
pub const SETTING: Limits = Limits::within("temperature", 30.0, 100.0, "F");
/// Temperature of concrete in its maturity.
const CURING: Limits = Limits::within("temperatures", -20.0, 80.0, "C");
/// How long it was that warm.
const INTERVAL: Limits = Limits::at_least("durations", 0.0, "h");
/// Datum temperature.
pub const DATUM: Limits = Limits::within("datum", -12.0, 10.0, "C");
/// Least dimension of a section.
pub const SECTION: Limits = Limits::over("section", 0.0, "in");
/// Temperature of the air.
pub const AIR: Limits = Limits::within("air", -60.0, 60.0, "F");

/// Hours to set at degrees Fahrenheit, falling.
const SETTING_HOURS: &[(f64, f64)] = &[
    (100.0, 5.0 / 3.0),
    (90.0, 8.0 / 3.0),
    (80.0, 4.0),
    (70.0, 6.0),
    (60.0, 8.0),
    (50.0, 11.0),
    (40.0, 14.0),
    (30.0, 19.0),
];

/// Hours until concrete sets at a temperature, between the points of an old handbook list.
///
/// Source `setting-times`: old handbook list of setting times, partly confirmed by general pages at 100, 80 and 30 F.
///
/// # Errors
/// The temperature is out of its range.
pub fn setting_time(temperature: Temperature) -> Result<Time, Problem> {
    SETTING.check(temperature)?;
    let t = temperature.fahrenheit();
    let pair = SETTING_HOURS.windows(2).find(|pair| t >= pair[1].0 - 1e-9);
    let hours = pair.map_or(19.0, |pair| {
        let share = (pair[0].0 - t) / (pair[0].0 - pair[1].0);
        pair[0].1 + share * (pair[1].1 - pair[0].1)
    });
    Ok(Time::from_hours(hours))
}

fn intervals(temperatures: &[Temperature], durations: &[Time]) -> Result<(), Problem> {
    if temperatures.is_empty() || temperatures.len() != durations.len() {
        return Err(Problem::error(format!(
            "temperatures has {} values, durations {}",
            temperatures.len(),
            durations.len()
        ))
        .help("durations: as many as temperatures, one or more, was expected"));
    }
    temperatures.iter().try_for_each(|t| CURING.check(*t))?;
    durations.iter().try_for_each(|d| INTERVAL.check(*d))
}

/// Maturity as temperature over a datum times time; intervals at or under the datum count nothing.
///
/// Source `nurse-saul`: Nurse-Saul maturity as ASTM C1074 has it; advice on the datum from memory.
///
/// # Errors
/// The lists are empty or of different length; a value is out of its range.
pub fn nurse_saul(
    temperatures: &[Temperature],
    durations: &[Time],
    datum: Temperature,
) -> Result<Maturity, Problem> {
    intervals(temperatures, durations)?;
    DATUM.check(datum)?;
    let part = |(t, d): (&Temperature, &Time)| (t.kelvin() - datum.kelvin()).max(0.0) * d.hours();
    Ok(Maturity::from_celsius_hours(temperatures.iter().zip(durations).map(part).sum()))
}

choice! {
    /// Form of the equivalent age.
    pub enum AgeForm, "form" {
        /// Eurocode 2 and MC90: exp(13.65 - 4000 / (273 + T)), to 20 C.
        Ec2 = "ec2",
        /// Q = 5000 K, to 20 C.
        Q5000At20 = "q5000_20",
        /// Q = 5000 K, to 23 C.
        Q5000At23 = "q5000_23",
        /// 33.5 kJ/mol, more under 20 C, to 20 C.
        HansenPedersen = "hansen_pedersen",
        /// The smallest of them.
        Least = "least",
    }
}

/// Gas constant, J/(mol K).
const GAS: f64 = 8.314;

impl AgeForm {
    /// Hours at the reference temperature that one hour at degrees Celsius is worth.
    fn factor(self, celsius: f64) -> f64 {
        let between = |q: f64, reference: f64, offset: f64| {
            (-q * (1.0 / (celsius + offset) - 1.0 / (reference + offset))).exp()
        };
        match self {
            Self::Ec2 => (13.65 - 4000.0 / (273.0 + celsius)).exp(),
            Self::Q5000At20 => between(5000.0, 20.0, 273.0),
            Self::Q5000At23 => between(5000.0, 23.0, 273.0),
            Self::HansenPedersen => {
                let energy = 33_500.0 + 1470.0 * (20.0 - celsius).max(0.0);
                between(energy / GAS, 20.0, 273.15)
            }
            Self::Least => [Self::Ec2, Self::Q5000At20, Self::Q5000At23, Self::HansenPedersen]
                .iter()
                .map(|form| form.factor(celsius))
                .fold(f64::INFINITY, f64::min),
        }
    }
}

/// Age at the reference temperature that these intervals are worth.
///
/// Source `equivalent-age`: EN 1992-1-1 and CEB-FIP MC90 Eq. 2.1-87 (constants 4000 K, 293 K read, 13.65 from
/// memory); Q = 5000 K and the Hansen-Pedersen energies from memory.
///
/// # Errors
/// As [`nurse_saul`]; a temperature is outside 0 to 80 C, for which the form of Eurocode 2 holds.
pub fn equivalent_age(
    temperatures: &[Temperature],
    durations: &[Time],
    form: AgeForm,
) -> Result<Time, Problem> {
    intervals(temperatures, durations)?;
    let beyond = temperatures.iter().find(|t| !(0.0..=80.0).contains(&t.celsius()));
    if let Some(beyond) = beyond.filter(|_| matches!(form, AgeForm::Ec2 | AgeForm::Least)) {
        return Err(Problem::error(format!(
            "a temperature is {} C, and this form holds from 0 to 80 C",
            shortest(significant(beyond.celsius(), 6))
        ))
        .help("temperatures: 0 to 80 C was expected; below it count nothing"));
    }
    let part = |(t, d): (&Temperature, &Time)| form.factor(t.celsius()) * d.hours();
    Ok(Time::from_hours(temperatures.iter().zip(durations).map(part).sum()))
}

choice! {
    /// What is stripped.
    pub enum Stripped, "item" {
        /// Walls, columns, sides of beams.
        Wall = "wall",
        /// Pans of joists up to 30 in wide.
        NarrowPan = "pan_to_30_in",
        /// Wider pans.
        WidePan = "pan_over_30_in",
        /// Centres of arches.
        Arch = "arch_centre",
        /// Joist, beam and girder soffits, span under 10 ft.
        Beam10 = "beam_under_10_ft",
        /// The same, 10 to 20 ft.
        Beam20 = "beam_10_to_20_ft",
        /// The same, over 20 ft.
        BeamLong = "beam_over_20_ft",
        /// One-way slabs, span under 10 ft.
        Slab10 = "slab_under_10_ft",
        /// The same, 10 to 20 ft.
        Slab20 = "slab_10_to_20_ft",
        /// The same, over 20 ft.
        SlabLong = "slab_over_20_ft",
    }
}

choice! {
    /// Live load against dead load.
    pub enum LiveLoad, "live_load" {
        /// Live load less than dead load.
        Less = "less_than_dead",
        /// Live load more than dead load.
        More = "more_than_dead",
    }
}

/// Earliest stripping where nothing else is specified: cumulative time with the air above 50 F.
///
/// Source `stripping`: ACI 347 default stripping times (edition not named), from Concrete Construction, "When to
/// strip forms" and sister articles.
pub fn stripping_time(item: Stripped, live_load: LiveLoad) -> Time {
    let days = |less: f64, more: f64| {
        Time::from_days(if live_load == LiveLoad::Less { less } else { more })
    };
    match item {
        Stripped::Wall => Time::from_hours(12.0),
        Stripped::NarrowPan => days(3.0, 3.0),
        Stripped::WidePan => days(4.0, 4.0),
        Stripped::Arch => days(14.0, 7.0),
        Stripped::Beam10 => days(7.0, 4.0),
        Stripped::Beam20 => days(14.0, 7.0),
        Stripped::BeamLong => days(21.0, 14.0),
        Stripped::Slab10 => days(4.0, 3.0),
        Stripped::Slab20 => days(7.0, 4.0),
        Stripped::SlabLong => days(10.0, 7.0),
    }
}

/// When the edge forms of a footing may come off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FootingStripping {
    /// The guide's row for walls; it has none for footings.
    pub wall_row: Time,
    /// House-building practice for walls and footings.
    pub house_practice: Time,
    /// The longer one, which governs.
    pub earliest: Time,
    /// Strength that is to be reached besides, so that frost does no harm.
    pub strength: Pressure,
}

/// When the edge forms of a footing may come off: the longest of what is published, and a strength.
///
/// Source `footing-stripping`: ACI 347 row for walls (edition not named); C. Beall, Masonry and Concrete, p. 76:
/// walls and footings 3 days; 500 psi against frost, PCA ch. 14.
pub fn footing_stripping() -> FootingStripping {
    let wall_row = stripping_time(Stripped::Wall, LiveLoad::Less);
    let house_practice = Time::from_days(3.0);
    FootingStripping {
        wall_row,
        house_practice,
        earliest: house_practice,
        strength: Pressure::from_psi(500.0),
    }
}

/// Row of the cold-weather tables for the least dimension of a section: under 12, 36 or 72 in, or more.
fn row(section: Length) -> Result<usize, Problem> {
    SECTION.check(section)?;
    let inches = section.inches();
    let met = |limit: f64| !round::under(inches, limit);
    Ok(usize::from(met(12.0)) + usize::from(met(36.0)) + usize::from(!round::up_to(inches, 72.0)))
}

/// Temperature that concrete is placed and kept at in cold weather, at least.
///
/// Source `cold-weather`: ACI 306R tables, from C. Beall, Masonry and Concrete, pp. 76-77, and Concrete Construction;
/// drops over 36 in from memory.
///
/// # Errors
/// The section is out of its range.
pub fn cold_placing_temperature(section: Length) -> Result<Temperature, Problem> {
    Ok(Temperature::from_fahrenheit([55.0, 50.0, 45.0, 40.0][row(section)?]))
}

/// Temperature that concrete is mixed at in cold weather, at least: 5 F more than it is placed at above 30 F of air, 10
/// above 0 F, 15 below.
///
/// Source `cold-mixing`: ACI 306R table of mixing temperatures, from C. Beall, Masonry and Concrete, p. 77; rows over
/// 36 in from memory.
///
/// # Errors
/// The section or the air is out of its range.
pub fn cold_mixing_temperature(section: Length, air: Temperature) -> Result<Temperature, Problem> {
    AIR.check(air)?;
    let placed = cold_placing_temperature(section)?.fahrenheit();
    let more = match air.fahrenheit() {
        air if !round::up_to(air, 30.0) => 5.0,
        air if air > -1e-9 => 10.0,
        _ => 15.0,
    };
    Ok(Temperature::from_fahrenheit(placed + more))
}

/// How much concrete may cool in the first day after its protection.
///
/// Source `cold-weather`: ACI 306R tables, from C. Beall, Masonry and Concrete, pp. 76-77, and Concrete Construction;
/// drops over 36 in from memory.
///
/// # Errors
/// The section is out of its range.
pub fn cold_largest_drop(section: Length) -> Result<TemperatureChange, Problem> {
    let fahrenheit = [50.0, 40.0, 30.0, 20.0][row(section)?];
    Ok(TemperatureChange::from_kelvins(fahrenheit * 5.0 / 9.0))
}

choice! {
    /// Whether concrete gains strength early.
    pub enum Gain, "gain" {
        /// As usual.
        Usual = "usual",
        /// Type III cement, an accelerator, or 100 lb/cy more cement.
        Early = "early",
    }
}

/// How long thin sections are protected from frost.
///
/// Source `cold-protection`: ACI 306.1-90, from Concrete Construction, "Length of protection period in cold weather".
pub fn cold_protection(gain: Gain) -> Time {
    Time::from_days(if gain == Gain::Early { 2.0 } else { 3.0 })
}

/// Relative humidity as a share.
pub const HUMIDITY: Limits = Limits::within("humidity", 0.0, 1.0, "");
/// Wind beside the concrete.
pub const WIND: Limits = Limits::within("wind", 0.0, 100.0, "km/h");
/// Air or concrete where water evaporates from it.
pub const DRYING: Limits = Limits::within("air", 0.0, 50.0, "C");

/// Rate of evaporation from fresh concrete: `5 ((Tc + 18)^2.5 - r (Ta + 18)^2.5) (V + 4) / 10^6` in kg/m2/h, with degrees
/// Celsius and km/h; nothing where water condenses.
///
/// Source `evaporation`: P. J. Uno, Plastic shrinkage cracking and evaporation formulas, ACI Materials Journal, 1998,
/// the formula that fits the chart of ACI 305R; precautions over 1 kg/m2/h.
///
/// # Errors
/// An input is out of its range.
pub fn evaporation_rate(
    air: Temperature,
    concrete: Temperature,
    humidity: crate::measure::Ratio,
    wind: crate::measure::Speed,
) -> Result<crate::measure::EvaporationRate, Problem> {
    DRYING.check(air)?;
    DRYING.named("concrete").check(concrete)?;
    HUMIDITY.check(humidity)?;
    WIND.check(wind)?;
    let power = |t: Temperature| (t.celsius() + 18.0).powf(2.5);
    let drive = power(concrete) - humidity.number() * power(air);
    let rate = 5.0 * drive * (wind.kilometres_per_hour() + 4.0) * 1e-6;
    Ok(crate::measure::EvaporationRate::from_kilograms_per_square_metre_hour(rate.max(0.0)))
}
