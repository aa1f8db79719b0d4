//! Dimensions: what a quantity measures.

use std::fmt;

/// Exponents of the base dimensions. A temperature point and a temperature difference are two kinds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Dimension {
    /// Length.
    pub length: i8,
    /// Force; the trade weighs and presses, it never accelerates.
    pub force: i8,
    /// Time.
    pub time: i8,
    /// Temperature difference, or a temperature when `point` is set.
    pub temperature: i8,
    /// Money.
    pub money: i8,
    /// Angle.
    pub angle: i8,
    /// A point on the temperature scale.
    pub point: bool,
}

const NONE: Dimension =
    Dimension { length: 0, force: 0, time: 0, temperature: 0, money: 0, angle: 0, point: false };

impl Dimension {
    /// A plain number.
    pub const NUMBER: Self = NONE;
    /// A length.
    pub const LENGTH: Self = Self { length: 1, ..NONE };
    /// An area.
    pub const AREA: Self = Self { length: 2, ..NONE };
    /// A volume.
    pub const VOLUME: Self = Self { length: 3, ..NONE };
    /// A weight or force.
    pub const FORCE: Self = Self { force: 1, ..NONE };
    /// A force per length.
    pub const FORCE_PER_LENGTH: Self = Self { force: 1, length: -1, ..NONE };
    /// A pressure.
    pub const PRESSURE: Self = Self { force: 1, length: -2, ..NONE };
    /// A weight per volume.
    pub const UNIT_WEIGHT: Self = Self { force: 1, length: -3, ..NONE };
    /// A time.
    pub const TIME: Self = Self { time: 1, ..NONE };
    /// A temperature difference.
    pub const TEMPERATURE_CHANGE: Self = Self { temperature: 1, ..NONE };
    /// A temperature.
    pub const TEMPERATURE: Self = Self { temperature: 1, point: true, ..NONE };
    /// A date: a point in time. The difference of two is a time.
    pub const DATE: Self = Self { time: 1, point: true, ..NONE };
    /// Money.
    pub const MONEY: Self = Self { money: 1, ..NONE };
    /// An angle.
    pub const ANGLE: Self = Self { angle: 1, ..NONE };
    /// A second moment of area.
    pub const SECOND_MOMENT: Self = Self { length: 4, ..NONE };
    /// A moment.
    pub const MOMENT: Self = Self { force: 1, length: 1, ..NONE };
    /// A speed.
    pub const SPEED: Self = Self { length: 1, time: -1, ..NONE };
    /// A volume per time.
    pub const VOLUME_PER_TIME: Self = Self { length: 3, time: -1, ..NONE };
    /// A temperature difference times a time.
    pub const MATURITY: Self = Self { temperature: 1, time: 1, ..NONE };
    /// A weight that leaves an area in a time.
    pub const EVAPORATION: Self = Self { force: 1, length: -2, time: -1, ..NONE };
    /// Money per time.
    pub const MONEY_PER_TIME: Self = Self { money: 1, time: -1, ..NONE };
    /// Money per length.
    pub const MONEY_PER_LENGTH: Self = Self { money: 1, length: -1, ..NONE };
    /// Money per area.
    pub const MONEY_PER_AREA: Self = Self { money: 1, length: -2, ..NONE };
    /// Money per volume.
    pub const MONEY_PER_VOLUME: Self = Self { money: 1, length: -3, ..NONE };
    /// Money per weight.
    pub const MONEY_PER_WEIGHT: Self = Self { money: 1, force: -1, ..NONE };

    /// The dimension of a product.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        Self {
            length: self.length.saturating_add(other.length),
            force: self.force.saturating_add(other.force),
            time: self.time.saturating_add(other.time),
            temperature: self.temperature.saturating_add(other.temperature),
            money: self.money.saturating_add(other.money),
            angle: self.angle.saturating_add(other.angle),
            point: false,
        }
    }

    /// The dimension of a sum, where there is one: a point plus a difference is a point.
    pub fn plus(self, other: Self) -> Option<Self> {
        let bare = |dimension: Self| Self { point: false, ..dimension };
        match (self.point, other.point) {
            _ if bare(self) != bare(other) => None,
            (true, true) => None,
            (point, other) => Some(Self { point: point || other, ..self }),
        }
    }

    /// The dimension of a difference, where there is one: a point minus a point is a difference.
    pub fn minus(self, other: Self) -> Option<Self> {
        let bare = |dimension: Self| Self { point: false, ..dimension };
        match (self.point, other.point) {
            _ if bare(self) != bare(other) => None,
            (false, true) => None,
            (point, other) => Some(Self { point: point && !other, ..self }),
        }
    }

    /// What its square root measures; nothing where an exponent is odd.
    pub fn root(self) -> Option<Self> {
        let all = [self.length, self.force, self.time, self.temperature, self.money, self.angle];
        let whole = !self.point && all.iter().all(|exponent| exponent % 2 == 0);
        whole.then_some(Self {
            length: self.length / 2,
            force: self.force / 2,
            time: self.time / 2,
            temperature: self.temperature / 2,
            money: self.money / 2,
            angle: self.angle / 2,
            point: false,
        })
    }

    /// The dimension of a power.
    #[must_use]
    pub fn power(self, n: i8) -> Self {
        Self {
            length: self.length.saturating_mul(n),
            force: self.force.saturating_mul(n),
            time: self.time.saturating_mul(n),
            temperature: self.temperature.saturating_mul(n),
            money: self.money.saturating_mul(n),
            angle: self.angle.saturating_mul(n),
            point: false,
        }
    }

    /// Whether it is that of a plain number.
    pub const fn is_number(self) -> bool {
        self.length == 0
            && self.force == 0
            && self.time == 0
            && self.temperature == 0
            && self.money == 0
            && self.angle == 0
    }

    /// Whether quantities of this dimension are whole numbers of their base, and are compared as such: lengths, to the
    /// nanometre.
    pub fn is_whole(self) -> bool {
        self == Self::LENGTH
    }
}

/// Names for people, with their article.
const NAMES: &[(Dimension, &str)] = &[
    (Dimension::NUMBER, "a plain number"),
    (Dimension::LENGTH, "a length"),
    (Dimension::AREA, "an area"),
    (Dimension::VOLUME, "a volume"),
    (Dimension::FORCE, "a weight or force"),
    (Dimension::FORCE_PER_LENGTH, "a force per length"),
    (Dimension::PRESSURE, "a pressure"),
    (Dimension::UNIT_WEIGHT, "a unit weight"),
    (Dimension::TIME, "a time"),
    (Dimension::TEMPERATURE, "a temperature"),
    (Dimension::TEMPERATURE_CHANGE, "a temperature difference"),
    (Dimension::DATE, "a date"),
    (Dimension::MONEY, "an amount of money"),
    (Dimension::ANGLE, "an angle"),
    (Dimension::MONEY_PER_LENGTH, "money per length"),
    (Dimension::MONEY_PER_AREA, "money per area"),
    (Dimension::MONEY_PER_VOLUME, "money per volume"),
    (Dimension::MONEY_PER_WEIGHT, "money per weight"),
    (Dimension::VOLUME_PER_TIME, "a volume per time"),
    (Dimension::SPEED, "a speed"),
    (Dimension::MOMENT, "a moment"),
    (Dimension::SECOND_MOMENT, "a second moment of area"),
    (Dimension::MATURITY, "a temperature difference times a time"),
    (Dimension::EVAPORATION, "a weight per area and time"),
    (Dimension::MONEY_PER_TIME, "money per time"),
];

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some((_, name)) = NAMES.iter().find(|(dimension, _)| dimension == self) {
            return f.write_str(name);
        }
        let parts = [
            (self.length, "length"),
            (self.force, "force"),
            (self.time, "time"),
            (self.temperature, "temperature"),
            (self.money, "money"),
            (self.angle, "angle"),
        ];
        let words = |sign: i8| {
            let of = |(n, word): &(i8, &str)| match n.abs() {
                1 => (*word).to_owned(),
                n => format!("{word}^{n}"),
            };
            parts.iter().filter(|(n, _)| n.signum() == sign).map(of).collect::<Vec<_>>().join(" x ")
        };
        match (words(1), words(-1)) {
            (above, below) if below.is_empty() => f.write_str(&above),
            (above, below) if above.is_empty() => write!(f, "1 / ({below})"),
            (above, below) => write!(f, "{above} / ({below})"),
        }
    }
}
