//! The layout of steps: the optimum, its risers and pieces, and what one level everywhere would cost.

use super::explain::explain;
use super::pieces::{bottom_parts, footing_pieces, stem_pieces};
use super::solve::Tables;
use super::{BottomPart, FootingPiece, NoLayout, Riser, Site, StemPiece};
use crate::measure::{Nm, feet_inches};
use crate::problem::Problem;

/// A step of the layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// The riser.
    pub riser: Riser,
    /// Index of the wall that it stands on.
    pub wall: usize,
    /// Chain station of the riser, where the bulkhead stands.
    pub station: Nm,
    /// Top of footing before it.
    pub tof_before: Nm,
    /// Top of footing after it.
    pub tof_after: Nm,
    /// Bottom of the lower footing.
    pub bof_low: Nm,
    /// Bottom of the upper footing.
    pub bof_high: Nm,
    /// Index of the lower footing's type.
    pub low_type: usize,
    /// Index of the upper footing's type.
    pub high_type: usize,
    /// Its cost in 1e-9 of the currency.
    pub cost: i128,
}

/// One level over the whole chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OneLevel {
    /// The level.
    pub level: i32,
    /// Top of footing.
    pub tof: Nm,
    /// Cost in 1e-9 of the currency.
    pub cost: i128,
}

/// A legal layout of steps at least cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// What it was decided by.
    pub site: Site,
    /// Level of each cell.
    pub levels: Vec<i32>,
    /// Total cost in 1e-9 of the currency.
    pub cost: i128,
    /// Number of layouts with this cost and this number of risers.
    pub optimal_layouts: u128,
    /// The steps, in chain order.
    pub steps: Vec<Step>,
    /// Levels that are legal everywhere.
    pub one_level: Vec<OneLevel>,
    /// Footing pieces.
    pub footings: Vec<FootingPiece>,
    /// Stem pieces.
    pub stems: Vec<StemPiece>,
    /// The dug bottom.
    pub bottom: Vec<BottomPart>,
}

/// Finds the least-cost layout of steps.
///
/// # Errors
/// No layout is legal (with the explanation), the corner clearance is smaller than an overlap,
/// or a cost cannot be counted.
pub fn lay_out(site: &Site) -> Result<Layout, NoLayout> {
    let tables = Tables::new(site)?;
    let largest = tables.largest_overlap();
    if !site.chain.corners().is_empty() && site.rules.corner_clear < largest {
        return Err(NoLayout::from(
            Problem::error(format!(
                "corner_clear is {}; the longest overlap of a step is {} and could run round a corner",
                feet_inches(site.rules.corner_clear, 16),
                feet_inches(largest, 16)
            ))
            .help("raise rules.corner_clear to at least that overlap"),
        ));
    }
    let Some(optimum) = tables.optimum() else {
        return Err(explain(site, tables.furthest()));
    };
    let one_level = tables
        .one_level()
        .into_iter()
        .map(|(level, cost)| OneLevel { level, tof: site.module.top_of_footing(level), cost })
        .collect();
    let mut steps = Vec::new();
    for edge in 1..optimum.levels.len() {
        let (before, after) = (optimum.levels[edge - 1], optimum.levels[edge]);
        if let Some(riser) = site.riser(edge, before, after) {
            steps.push(step(site, riser)?);
        }
    }
    let footings = footing_pieces(site, &optimum.levels);
    let stems = stem_pieces(site, &optimum.levels);
    let bottom = bottom_parts(site, &optimum.levels, &steps);
    Ok(Layout {
        site: site.clone(),
        levels: optimum.levels,
        cost: optimum.cost,
        optimal_layouts: optimum.layouts,
        steps,
        one_level,
        footings,
        stems,
        bottom,
    })
}

fn step(site: &Site, riser: Riser) -> Result<Step, Problem> {
    let cell = &site.grid.cells[riser.edge];
    let (Some(low), Some(high)) = (site.low(&riser), site.high(&riser)) else {
        return Err(Problem::error("a riser without a type on both sides"));
    };
    Ok(Step {
        riser,
        wall: cell.wall,
        station: cell.from,
        tof_before: site.module.top_of_footing(riser.before),
        tof_after: site.module.top_of_footing(riser.after),
        bof_low: low.bottom,
        bof_high: high.bottom,
        low_type: low.kind,
        high_type: high.kind,
        cost: site.riser_cost(&riser)?,
    })
}
