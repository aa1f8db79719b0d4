//! Lateral pressure of fresh concrete by the American guide, in its inch-pound and its SI form; each is computed as it
//! is written, never converted into the other.

use super::liquid::{TALL, UNIT_WEIGHT};
use crate::measure::{
    Length, Limits, Pressure, Ratio, Speed, Temperature, UnitWeight, choice, round,
};
use crate::problem::Problem;

/// Rate at which concrete rises in a form.
pub const RATE: Limits = Limits::over("rate", 0.0, "ft/h");
/// Temperature of the concrete when placed; beyond it the equations say nothing.
pub const TEMPERATURE: Limits = Limits::within("temperature", 40.0, 100.0, "F");
/// Unit weight of concrete that the coefficient is for.
pub const CONCRETE: Limits = Limits::within("unit_weight", 60.0, 300.0, "pcf");
/// Pressure that a form is rated for by its maker.
pub const RATED: Limits = Limits::over("rated", 0.0, "psf");
/// Largest side of a column in plan; a wider one is a wall.
pub const SIDE: Limits = Limits::over_to("side", 0.0, 6.5, "ft");

choice! {
    /// Cement and admixture, as the chemistry coefficient divides them.
    pub enum Mix, "mix" {
        /// Types I, II and III without a retarder.
        Portland = "portland",
        /// The same with a retarder, or with anything that delays set.
        PortlandRetarded = "portland_retarded",
        /// Any other cement, or a blend under 70 % slag or 40 % fly ash, without a retarder.
        Blend = "blend",
        /// The same with a retarder.
        BlendRetarded = "blend_retarded",
        /// A blend of 70 % slag or 40 % fly ash, or more.
        RichBlend = "rich_blend",
        /// Not known: the highest coefficient, and no rate of placing is given.
        Unknown = "unknown",
    }
}

choice! {
    /// How it is placed, as far as the equations ask.
    pub enum Placing, "placing" {
        /// Slump at most 7 in, vibrated inside, no deeper than 4 ft.
        Vibrated = "vibrated",
        /// Slump over 7 in, or vibrated deeper or from outside: the full liquid head.
        Liquid = "liquid",
        /// Pumped from below: the full liquid head and a quarter more.
        PumpedFromBelow = "pumped_from_below",
    }
}

choice! {
    /// Edition of the guide.
    pub enum Edition, "edition" {
        /// 2014, as 2004.
        R14 = "347R-14",
        /// 2004: 14 ft split, up to 15 ft/h.
        Y04 = "347-04",
        /// 2001: no split, up to 10 ft/h, capped.
        Y01 = "347-01",
    }
}

choice! {
    /// Unit system that the guide's equations are written in.
    pub enum Form, "form" {
        /// Feet, pounds, Fahrenheit.
        Us = "us",
        /// Metres, kilopascals, Celsius.
        Si = "si",
    }
}

/// The numbers of one form of the equations.
struct Numbers {
    base: f64,
    rate: f64,
    tall: f64,
    tall_rate: f64,
    zero: f64,
    slow: f64,
    fast: f64,
    split: f64,
    least: f64,
    wall_cap: f64,
    column_cap: f64,
}

const US: Numbers = Numbers {
    base: 150.0,
    rate: 9000.0,
    tall: 43_400.0,
    tall_rate: 2800.0,
    zero: 0.0,
    slow: 7.0,
    fast: 15.0,
    split: 14.0,
    least: 600.0,
    wall_cap: 2000.0,
    column_cap: 3000.0,
};

const SI: Numbers = Numbers {
    base: 7.2,
    rate: 785.0,
    tall: 1156.0,
    tall_rate: 244.0,
    zero: 17.8,
    slow: 2.1,
    fast: 4.5,
    split: 4.2,
    least: 30.0,
    wall_cap: 95.8,
    column_cap: 143.6,
};

impl Form {
    fn numbers(self) -> &'static Numbers {
        match self {
            Self::Us => &US,
            Self::Si => &SI,
        }
    }

    fn speed(self, rate: Speed) -> f64 {
        match self {
            Self::Us => rate.feet_per_hour(),
            Self::Si => rate.metres_per_hour(),
        }
    }

    fn speed_of(self, rate: f64) -> Speed {
        match self {
            Self::Us => Speed::from_feet_per_hour(rate),
            Self::Si => Speed::from_metres_per_hour(rate),
        }
    }

    fn length(self, length: Length) -> f64 {
        match self {
            Self::Us => length.feet(),
            Self::Si => length.metres(),
        }
    }

    fn pressure(self, pressure: Pressure) -> f64 {
        match self {
            Self::Us => pressure.psf(),
            Self::Si => pressure.kilopascals(),
        }
    }

    fn pressure_of(self, pressure: f64) -> Pressure {
        match self {
            Self::Us => Pressure::from_psf(pressure),
            Self::Si => Pressure::from_kilopascals(pressure),
        }
    }

    /// The divisor of the equations.
    fn temperature(self, temperature: Temperature) -> f64 {
        match self {
            Self::Us => temperature.fahrenheit() + US.zero,
            Self::Si => temperature.celsius() + SI.zero,
        }
    }
}

impl Edition {
    /// Rate above which the full head holds, in the unit of the form.
    fn fast(self, form: Form) -> f64 {
        match (self, form) {
            (Self::Y01, Form::Us) => 10.0,
            (Self::Y01, Form::Si) => 3.0,
            _ => form.numbers().fast,
        }
    }

    /// Whether walls above a height take the second equation at any rate.
    fn splits(self) -> bool {
        self != Self::Y01
    }
}

/// Chemistry coefficient Cc of a mix.
///
/// Source `guide-coefficients`: ACI 347R-14 coefficients Cw and Cc: quotations read in two places for Cc, Cw from
/// memory; NOT VERIFIED against the guide.
pub fn chemistry_coefficient(mix: Mix) -> Ratio {
    Ratio::of(match mix {
        Mix::Portland => 1.0,
        Mix::PortlandRetarded | Mix::Blend => 1.2,
        Mix::BlendRetarded | Mix::RichBlend | Mix::Unknown => 1.4,
    })
}

/// A kilogram in kilonewtons.
const KG: f64 = 9.806_65e-3;

/// Unit-weight coefficient Cw; its steps at the ends of the normal range are the guide's.
///
/// Source `guide-coefficients`: ACI 347R-14 coefficients Cw and Cc: quotations read in two places for Cc, Cw from
/// memory; NOT VERIFIED against the guide.
///
/// # Errors
/// The unit weight is out of its range.
pub fn unit_weight_coefficient(unit_weight: UnitWeight, form: Form) -> Result<Ratio, Problem> {
    CONCRETE.check(unit_weight)?;
    let light = |share: f64| (0.5 * (1.0 + share)).max(0.8);
    Ok(Ratio::of(match form {
        Form::Us => match unit_weight.pcf() {
            w if round::under(w, 140.0) => light(w / 145.0),
            w if round::up_to(w, 150.0) => 1.0,
            w => w / 145.0,
        },
        // 2240 and 2400 kg/m3; SI texts print 22.5 and 24 kN/m3, which are not those.
        Form::Si => match unit_weight.kilonewtons_per_cubic_metre() {
            w if round::under(w, 2240.0 * KG) => light(w / 23.2),
            w if round::up_to(w, 2400.0 * KG) => 1.0,
            w => w / 23.2,
        },
    }))
}

/// A pressure and what decided it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FormPressure {
    /// What the form is to be designed for.
    pub pressure: Pressure,
    /// What the equation gives before its limits.
    pub equation: Pressure,
    /// The full liquid head at the foot.
    pub full_head: Pressure,
    /// What decided.
    pub governs: &'static str,
}

/// What a pour is to the guide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pour {
    /// Unit weight of the concrete.
    pub unit_weight: UnitWeight,
    /// Cement and admixture.
    pub mix: Mix,
    /// Height of the pour.
    pub height: Length,
    /// Temperature of the concrete.
    pub temperature: Temperature,
    /// How it is placed.
    pub placing: Placing,
    /// Edition of the guide.
    pub edition: Edition,
    /// Unit system of the equations.
    pub form: Form,
}

impl Pour {
    fn check(&self) -> Result<(), Problem> {
        CONCRETE.check(self.unit_weight)?;
        TALL.check(self.height)?;
        TEMPERATURE.check(self.temperature)
    }

    fn full_head(&self) -> Pressure {
        Pressure::from_base(self.unit_weight.base() * self.height.base())
    }

    /// The product of both coefficients, and the unit-weight coefficient.
    fn coefficients(&self) -> Result<(f64, f64), Problem> {
        let cw = unit_weight_coefficient(self.unit_weight, self.form)?.number();
        Ok((cw * chemistry_coefficient(self.mix).number(), cw))
    }

    /// The first equation at a rate, without coefficients.
    fn first(&self, rate: f64) -> f64 {
        let n = self.form.numbers();
        n.base + n.rate * rate / self.form.temperature(self.temperature)
    }

    /// The second equation.
    fn second(&self, rate: f64) -> f64 {
        let n = self.form.numbers();
        n.base + (n.tall + n.tall_rate * rate) / self.form.temperature(self.temperature)
    }

    /// Whether the wall is above the height at which slow pours take the second equation.
    fn tall(&self) -> bool {
        self.edition.splits()
            && !round::up_to(self.form.length(self.height), self.form.numbers().split)
    }

    /// The pressure that is not by an equation, if the way of placing asks for it.
    fn unreduced(&self) -> Option<FormPressure> {
        let full_head = self.full_head();
        let (pressure, governs) = match self.placing {
            Placing::Vibrated => return None,
            Placing::Liquid => (full_head, "full liquid head, as it is placed"),
            Placing::PumpedFromBelow => (
                Pressure::from_base(1.25 * full_head.base()),
                "full liquid head and a quarter, pumped from below",
            ),
        };
        Some(FormPressure { pressure, equation: pressure, full_head, governs })
    }

    /// The guide's limits on what an equation gives: the least pressure, the cap of the older edition, and always last
    /// the full head.
    fn limited(&self, equation: f64, cap: f64) -> Result<FormPressure, Problem> {
        let (both, cw) = self.coefficients()?;
        let full_head = self.full_head();
        let (least, head) = (self.form.numbers().least * cw, self.form.pressure(full_head));
        let raw = both * equation;
        let (mut pressure, mut governs) = (raw, "equation");
        if self.edition == Edition::Y01 && pressure > cap * both {
            (pressure, governs) = (cap * both, "highest of the edition");
        }
        if pressure < least {
            (pressure, governs) = (least, "least of the guide");
        }
        if pressure >= head {
            (pressure, governs) = (head, "full liquid head");
        }
        let of = |value| self.form.pressure_of(value);
        Ok(FormPressure { pressure: of(pressure), equation: of(raw), full_head, governs })
    }
}

/// Pressure on a wall form at a rate of placing.
///
/// Source `guide-pressure`: ACI 347R-14 and 347-04 wall and column equations: coefficients from University of Florida
/// temporary-structures notes (D. T. Allen, commit 7839ccd); limits of 14 ft, 7 and 15 ft/h, 7 in slump from M. K.
/// Hurd, Concrete Construction, on 347-04 2.2.2; least pressure, columns' side, caps of 347-01 and the SI form from
/// memory.
///
/// # Errors
/// An input is out of its range.
pub fn wall_pressure(pour: &Pour, rate: Speed) -> Result<FormPressure, Problem> {
    pour.check()?;
    RATE.check(rate)?;
    if let Some(unreduced) = pour.unreduced() {
        return Ok(unreduced);
    }
    let (form, n) = (pour.form, pour.form.numbers());
    let r = form.speed(rate);
    if !round::up_to(r, pour.edition.fast(form)) {
        let full_head = pour.full_head();
        let governs = "full liquid head, placed faster than the equations hold";
        return Ok(FormPressure { pressure: full_head, equation: full_head, full_head, governs });
    }
    let slow = match pour.edition {
        Edition::Y01 => round::up_to(r, n.slow),
        Edition::R14 | Edition::Y04 => round::under(r, n.slow),
    };
    let equation = if slow && !pour.tall() { pour.first(r) } else { pour.second(r) };
    pour.limited(equation, n.wall_cap)
}

/// Pressure on a column form; one of its sides is given to tell it from a wall.
///
/// Source `guide-pressure`: ACI 347R-14 and 347-04 wall and column equations: coefficients from University of Florida
/// temporary-structures notes (D. T. Allen, commit 7839ccd); limits of 14 ft, 7 and 15 ft/h, 7 in slump from M. K.
/// Hurd, Concrete Construction, on 347-04 2.2.2; least pressure, columns' side, caps of 347-01 and the SI form from
/// memory.
///
/// # Errors
/// An input is out of its range; a side over 6.5 ft is a wall's.
pub fn column_pressure(pour: &Pour, rate: Speed, side: Length) -> Result<FormPressure, Problem> {
    pour.check()?;
    RATE.check(rate)?;
    SIDE.check(side)?;
    if let Some(unreduced) = pour.unreduced() {
        return Ok(unreduced);
    }
    pour.limited(pour.first(pour.form.speed(rate)), pour.form.numbers().column_cap)
}

/// The highest rate of placing for a rated pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HighestRate {
    /// The rate; none where pressure sets no limit.
    pub rate: Option<Speed>,
    /// What decided.
    pub governs: &'static str,
}

/// The highest rate at which a wall may be placed into a form of a rated pressure.
///
/// Source `guide-pressure`: ACI 347R-14 and 347-04 wall and column equations: coefficients from University of Florida
/// temporary-structures notes (D. T. Allen, commit 7839ccd); limits of 14 ft, 7 and 15 ft/h, 7 in slump from M. K.
/// Hurd, Concrete Construction, on 347-04 2.2.2; least pressure, columns' side, caps of 347-01 and the SI form from
/// memory.
///
/// # Errors
/// An input is out of its range; the mix is unknown; the rating is under the guide's least pressure, or under what the
/// second equation asks at any rate, and the full head does not fit either.
pub fn highest_rate(pour: &Pour, rated: Pressure) -> Result<HighestRate, Problem> {
    pour.check()?;
    RATED.check(rated)?;
    let form = pour.form;
    let n = form.numbers();
    let unreduced = pour.unreduced();
    let head = unreduced.map_or_else(|| pour.full_head(), |pressure| pressure.pressure);
    if round::up_to(head.base(), rated.base()) {
        return Ok(HighestRate {
            rate: None,
            governs: "no limit from pressure: the full head fits",
        });
    }
    let refuse = |what: String| {
        Err(Problem::error(what)
            .help("a stronger form, a lower pour or another mix; the form's maker and the engineer decide"))
    };
    let words = |pressure: f64| match form {
        Form::Us => format!("{pressure:.0} psf"),
        Form::Si => format!("{pressure:.1} kPa"),
    };
    let given = form.pressure(rated);
    if unreduced.is_some() {
        return refuse(format!(
            "rated is {}; as this concrete is placed its full head of {} counts at any rate",
            words(given),
            words(form.pressure(head))
        ));
    }
    if pour.mix == Mix::Unknown {
        return refuse("mix is unknown: no rate of placing is given for it".to_owned());
    }
    let (both, cw) = pour.coefficients()?;
    if round::under(given, n.least * cw) {
        return refuse(format!(
            "rated is {}, under the guide's least pressure of {}",
            words(given),
            words(n.least * cw)
        ));
    }
    let t = form.temperature(pour.temperature);
    let share = given / both - n.base;
    let first = share * t / n.rate;
    let second = (share * t - n.tall) / n.tall_rate;
    let fast = pour.edition.fast(form);
    let capped = pour.edition == Edition::Y01 && given >= n.wall_cap * both;
    let (rate, governs) = if !capped && !pour.tall() && round::up_to(first, n.slow) {
        (first, "first equation")
    } else if !capped && round::up_to(second, fast) {
        (second, "second equation")
    } else {
        (fast, "faster, the full head counts")
    };
    if rate <= 0.0 {
        return refuse(format!(
            "rated is {}; the second equation requires {} even for the slowest rise",
            words(given),
            words(both * pour.second(0.0))
        ));
    }
    Ok(HighestRate { rate: Some(form.speed_of(rate)), governs })
}

/// Pressure where the concrete below has stiffened: the head of what was placed within the stiffening time.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range.
pub fn stiffened_pressure(
    unit_weight: UnitWeight,
    height: Length,
    rate: Speed,
    stiffening: crate::measure::Time,
) -> Result<Pressure, Problem> {
    UNIT_WEIGHT.check(unit_weight)?;
    TALL.check(height)?;
    RATE.check(rate)?;
    STIFFENING.check(stiffening)?;
    let head = (rate.base() * stiffening.base()).min(height.base());
    Ok(Pressure::from_base(unit_weight.base() * head))
}

/// Time after which concrete no longer presses with what is placed on it.
pub const STIFFENING: Limits = Limits::at_least("stiffening", 0.5, "h");
