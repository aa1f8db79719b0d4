//! The top of a wall over a stretch: level, or a straight line between the tops at its ends.

use num_rational::BigRational;

use crate::measure::{Nm, System, ratio, round};

/// The top of wall over a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TopLine {
    /// Top at its start.
    pub at_from: Nm,
    /// Top at its end.
    pub at_to: Nm,
}

impl TopLine {
    /// A level top.
    pub const fn level(top: Nm) -> Self {
        Self { at_from: top, at_to: top }
    }

    /// The higher end: what decides the type, and what forms go up to.
    pub fn high(self) -> Nm {
        self.at_from.max(self.at_to)
    }

    /// The lower end.
    pub fn low(self) -> Nm {
        self.at_from.min(self.at_to)
    }

    /// Whether it does not slope.
    pub fn is_level(self) -> bool {
        self.at_from == self.at_to
    }

    /// The part of a line between two stations, whose own ends are at `over`.
    #[must_use]
    pub fn part(self, over: (Nm, Nm), from: Nm, to: Nm) -> Self {
        let at = |station: Nm| {
            let (rise, long) = (self.at_to - self.at_from, over.1 - over.0);
            let up = round::nearest(rise.wide() * (station - over.0).wide(), long.wide().max(1));
            self.at_from + Nm(i64::try_from(up).unwrap_or(0))
        };
        Self { at_from: at(from), at_to: at(to) }
    }

    /// The same line, lower by `below`.
    #[must_use]
    pub fn lowered(self, below: Nm) -> Self {
        Self { at_from: self.at_from - below, at_to: self.at_to - below }
    }

    /// Heights of its ends over a level; none where they are under it.
    pub fn over(self, level: Nm) -> [Nm; 2] {
        [self.at_from, self.at_to].map(|top| (top - level).max(Nm::ZERO))
    }

    /// Its height over a level in words: one, or the mean of those at its ends.
    pub fn words(self, level: Nm, system: System) -> String {
        let [start, end] = self.over(level).map(|height| system.show(height));
        if self.is_level() { start } else { format!("({start} + {end}) / 2") }
    }

    /// Mean height over a level, as numerator and denominator; what lies under the level counts nothing.
    pub fn mean_over(self, level: Nm) -> (i128, i128) {
        let (a, b) = ((self.at_from - level).wide(), (self.at_to - level).wide());
        match (a.max(b), a.min(b)) {
            (high, low) if low >= 0 => (high + low, 2),
            (high, low) if high > 0 => (high * high, 2 * (high - low)),
            _ => (0, 1),
        }
    }

    /// The same as a ratio.
    pub fn mean(self, level: Nm) -> BigRational {
        let (num, den) = self.mean_over(level);
        ratio(num, den)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn means_and_parts() {
        let line = TopLine { at_from: Nm(10), at_to: Nm(4) };
        assert_eq!(line.mean(Nm(0)), ratio(7, 1));
        // A triangle over what it crosses: 6 high over 3/4 of 8.
        assert_eq!(TopLine { at_from: Nm(6), at_to: Nm(-2) }.mean(Nm(0)), ratio(36, 16));
        assert_eq!(line.mean(Nm(12)), ratio(0, 1));
        assert_eq!(
            line.part((Nm(0), Nm(6)), Nm(2), Nm(5)),
            TopLine { at_from: Nm(8), at_to: Nm(5) }
        );
        assert_eq!(TopLine::level(Nm(5)).mean(Nm(2)), ratio(3, 1));
    }
}
