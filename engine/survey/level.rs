//! Level and rod: every mark comes from the benchmark, never from the mark before it.

use crate::measure::{Nm, ratio, round};
use num_rational::BigRational;

/// A known height and the reading taken on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Benchmark {
    /// Its name.
    pub id: String,
    /// What it is.
    pub what: String,
    /// Its elevation.
    pub elevation: Nm,
    /// Rod reading taken on it.
    pub backsight: Nm,
    /// Its mark on the story pole, if one is used.
    pub pole: Option<Nm>,
    /// How far a mark may be off.
    pub tolerance: Nm,
}

impl Benchmark {
    /// Elevation of the line of sight.
    pub fn instrument_height(&self) -> Nm {
        self.elevation + self.backsight
    }

    /// The rod reading at an elevation; negative for an inverted rod.
    pub fn reading(&self, elevation: Nm) -> Reading {
        Reading { exact: self.instrument_height() - elevation }
    }
}

/// A rod reading and what becomes of it when it is rounded or misread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// The reading, exactly.
    pub exact: Nm,
}

impl Reading {
    /// The reading on a rod of feet and sixteenths of an inch, and its error.
    pub fn sixteenths(self) -> (Nm, Nm) {
        self.rounded(Nm(Nm::INCH.0 / 16))
    }

    /// The reading on a rod of hundredths of a foot, and its error.
    pub fn hundredths(self) -> (Nm, Nm) {
        self.rounded(Nm(Nm::FOOT.0 / 100))
    }

    fn rounded(self, step: Nm) -> (Nm, Nm) {
        let printed = round::nearest_step(self.exact, step);
        (printed, printed - self.exact)
    }

    /// Error of somebody who takes tenths of a foot for inches: whole feet and ten times the rest as inches,
    /// less the true reading.
    pub fn tenths_taken_for_inches(self) -> BigRational {
        let feet = self.exact.0.abs() / Nm::FOOT.0;
        let rest = ratio((self.exact.0.abs() % Nm::FOOT.0).into(), Nm::FOOT.wide());
        let misread = BigRational::from_integer((feet * Nm::FOOT.0).into())
            + rest * BigRational::from_integer((10 * Nm::INCH.0).into());
        let error = misread - BigRational::from_integer(self.exact.0.abs().into());
        if self.exact < Nm::ZERO { -error } else { error }
    }
}
