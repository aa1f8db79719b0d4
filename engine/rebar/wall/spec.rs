//! What the plan says of bars.

use num_rational::BigRational;

use crate::footing::{RuledBars, Site};
use crate::measure::{Exact, Nm};

/// A bar size of the job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedBar {
    /// Its name in the plan, as the table of bars has it.
    pub name: String,
    /// Lap of it.
    pub lap: Nm,
    /// Weight per length, in base units.
    pub weight: BigRational,
    /// Diameter.
    pub diameter: Nm,
    /// Prices of its stock lengths, in their order, if they decide.
    pub stock_prices: Option<Vec<BigRational>>,
}

/// Bars of a wall type; sizes by their index among those of the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TypeBars {
    /// Size of the verticals and their dowels.
    pub vertical: usize,
    /// Their widest spacing.
    pub vertical_spacing: Nm,
    /// Foot of the dowel.
    pub foot_leg: Nm,
    /// How deep the dowel stands in the footing.
    pub embedment: Nm,
    /// Size of the bars across the footing.
    pub transverse: usize,
    /// Their widest spacing.
    pub transverse_spacing: Nm,
    /// How many bars run along the footing.
    pub longitudinals: i64,
}

/// Rules that hold for all bars of the job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarRules {
    /// From the end of a stretch to its first bar.
    pub first_bar: Nm,
    /// Cover against the ground.
    pub ground_cover: Nm,
    /// Cover at the top of the wall.
    pub top_cover: Nm,
    /// Cover at ends of horizontal bars.
    pub end_cover: Nm,
    /// Clear cover of the verticals on the earth face.
    pub face_cover: Nm,
    /// Stock lengths.
    pub stock: Vec<Nm>,
    /// What a saw or shear takes.
    pub kerf: Nm,
    /// Size of the bars along the footing.
    pub longitudinal: usize,
    /// Size of the horizontal bars of the stem.
    pub horizontal: usize,
    /// Size of the corner bars.
    pub corner: usize,
    /// Size of the bars over a step.
    pub step: usize,
    /// First row of the stem above level 0.
    pub first_row: Nm,
    /// Spacing of the rows.
    pub row_spacing: Nm,
    /// Strength of the concrete, if it is known.
    pub concrete: Option<Exact>,
    /// Yield strength of the bars, if it is known.
    pub steel: Option<Exact>,
}

/// The bars of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SteelSpec {
    /// Rules.
    pub rules: BarRules,
    /// Its sizes.
    pub bars: Vec<NamedBar>,
    /// By wall type.
    pub types: Vec<TypeBars>,
}

impl SteelSpec {
    /// From the end of a row to its first bar: by the company's rule where there is one.
    pub(super) fn first_bar(
        &self,
        site: &Site,
        wall: usize,
        (from, to): (Nm, Nm),
        role: &str,
        spacing: Nm,
    ) -> Nm {
        let usual = self.rules.first_bar;
        let row = RuledBars { wall, from, length: to - from, role, spacing, usual };
        site.own_first_bar(row).unwrap_or(usual)
    }

    /// The longest stock.
    pub fn longest_stock(&self) -> Nm {
        self.rules.stock.iter().copied().max().unwrap_or(Nm::ZERO)
    }
}
