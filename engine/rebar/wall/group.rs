//! A group of bars that are alike and stand in one row.

use num_rational::BigRational;

use super::SteelSpec;
use crate::measure::{Nm, ratio, times_whole};

crate::measure::choice! {
    /// What a bar is for.
    pub enum BarRole, "role of a bar" {
        /// Upright in the stem, on the earth face.
        Vertical = "vertical",
        /// From the footing into the stem, a foot at its lower end.
        Dowel = "dowel",
        /// Across the footing.
        Transverse = "transverse",
        /// Along the footing.
        Longitudinal = "longitudinal",
        /// Over a change of type in the footing.
        Link = "link",
        /// Round a corner of the footing.
        FootingCorner = "footing corner",
        /// From a footing up to the next over a step.
        Step = "step",
        /// Along the stem.
        Horizontal = "horizontal",
        /// Round a corner of the stem.
        WallCorner = "wall corner",
    }
}

impl BarRole {
    /// Whether its bars are cut from stock to their own length; the others run in stock lengths with laps, or are bent
    /// from short pieces.
    pub fn cut_to_length(self) -> bool {
        matches!(self, Self::Vertical | Self::Dowel | Self::Transverse)
    }
}

/// Bars of one size, length and shape in one row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarGroup {
    /// What they are for.
    pub role: BarRole,
    /// Index of the wall; at a corner the one before it.
    pub wall: usize,
    /// Chain stations of the stretch.
    pub from: Nm,
    /// Its end.
    pub to: Nm,
    /// Index of the wall type; none for rows and corners of the stem.
    pub kind: Option<usize>,
    /// Index of the size.
    pub bar: usize,
    /// Bars, or lines of lapped bars.
    pub count: i64,
    /// Length of one bar, or of one line.
    pub length: Nm,
    /// Bars of one line.
    pub pieces: i64,
    /// Its straight legs, from one end to the other; one for a straight bar.
    pub legs: Vec<Nm>,
    /// The length that the bars are spread over.
    pub spread: Nm,
    /// Local station of the first bar, where they stand one beside the other.
    pub first: Option<Nm>,
    /// From one bar to the next, exactly.
    pub gap: Option<BigRational>,
    /// Elevation, for a row of the stem.
    pub elevation: Option<Nm>,
    /// Whether the row is counted: of a row in several parts the first is.
    pub counted: bool,
}

impl BarGroup {
    /// Bars that are cut.
    pub fn bars(&self) -> i64 {
        self.count * self.pieces
    }

    /// Length of all, laps included.
    pub fn total(&self, spec: &SteelSpec) -> Nm {
        let laps = spec.bars[self.bar].lap * (self.pieces - 1);
        (self.length + laps) * self.count
    }

    /// Their weight, in base units.
    pub fn weight(&self, spec: &SteelSpec) -> BigRational {
        times_whole(&spec.bars[self.bar].weight, self.total(spec).wide())
    }

    /// Right-angled bends of one bar.
    pub fn bends(&self) -> usize {
        self.legs.len().saturating_sub(1)
    }
}

/// Bars over a length: how many, how far apart, and how far in the first stands.
pub(super) struct Spread {
    pub(super) count: i64,
    pub(super) first: Nm,
    pub(super) gap: Option<BigRational>,
}

/// One bar where the ends leave no length between them, else no wider than wanted, the gaps equal.
pub(super) fn spread(length: Nm, spacing: Nm, end: Nm) -> Spread {
    let between = length - end * 2;
    if between <= Nm::ZERO {
        return Spread { count: i64::from(length > Nm::ZERO), first: Nm(length.0 / 2), gap: None };
    }
    let gaps = num_integer::Integer::div_ceil(&between.0, &spacing.0);
    Spread { count: gaps + 1, first: end, gap: Some(ratio(between.wide(), gaps.into())) }
}

/// Bars of a line of lapped stock.
pub(super) fn lapped(line: Nm, stock: Nm, lap: Nm) -> i64 {
    if line <= stock || lap >= stock {
        return 1;
    }
    num_integer::Integer::div_ceil(&(line - lap).0, &(stock - lap).0)
}
