//! The layout of steps: the optimum, its risers and pieces, and what an unstepped footing would cost.

use super::explain::explain;
use super::hooks::AskedAt;
use super::pieces::{bottom_parts, footing_pieces, stem_pieces};
use super::reach::furthest;
use super::ring::of_ring;
use super::solve::{Close, Settled};
use super::tables::Tables;
use super::{BottomPart, FootingPiece, NoLayout, Riser, Site, StemPiece, Stretch};
use crate::measure::Nm;
use crate::problem::Problem;

/// A step of the layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// Index of the wall that it stands on.
    pub wall: usize,
    /// Running station of the riser, where the bulkhead stands.
    pub station: Nm,
    /// Length by which the lower footing runs under the upper one.
    pub overlap: Nm,
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

impl Layout {
    /// What the company's rule asks for each step, in 1e-9 of the currency; nothing without such a rule.
    pub fn riser_prices(&self) -> Option<Vec<i128>> {
        if !self.site.hooks.has(super::RuleHook::RiserPrice) {
            return None;
        }
        let price = |step: &Step| {
            let low = super::CellAt { kind: step.low_type, bottom: step.bof_low };
            let high = super::CellAt { kind: step.high_type, bottom: step.bof_high };
            self.site.own_price(AskedAt::at(step.wall, step.station), low, high)
        };
        self.steps.iter().map(price).collect()
    }
}

impl Step {
    /// Whether the footing rises along the walls.
    pub fn up(&self) -> bool {
        self.tof_after > self.tof_before
    }

    /// Running station of the step in the subgrade, on the high side.
    pub fn cut(&self) -> Nm {
        if self.up() { self.station + self.overlap } else { self.station - self.overlap }
    }

    /// The strip between riser and step in the subgrade, in order along the walls.
    pub fn strip(&self) -> (Nm, Nm) {
        (self.station.min(self.cut()), self.station.max(self.cut()))
    }

    /// Height of the riser.
    pub fn rise(&self) -> Nm {
        (self.tof_after - self.tof_before).abs()
    }
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
    /// What is built where: the cells of the grid at their levels, or what the plan draws.
    pub stretches: Vec<Stretch>,
    /// Total cost in 1e-9 of the currency.
    pub cost: i128,
    /// Number of layouts with this cost and this number of risers; none known for steps as drawn.
    pub equal_layouts: Option<u64>,
    /// The steps, in order along the walls.
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
    if let Some(faults) = site.hooks.fault() {
        return Err(NoLayout::Fault(faults));
    }
    let largest = tables.largest_overlap();
    if site.chain.corners().iter().any(|corner| !corner.chord) && site.rules.corner_clear < largest
    {
        return Err(NoLayout::from(
            Problem::error(format!(
                "corner_clear is {}; the longest overlap of a step is {} and could run round a corner",
                site.system.tape(site.rules.corner_clear, 16),
                site.system.tape(largest, 16)
            ))
            .at(crate::problem::Place::file("job.toml"))
            .help("raise rules.corner_clear to at least that overlap"),
        ));
    }
    let found = if site.chain.closed() {
        of_ring(&tables)
    } else {
        Settled::new(&tables, Close::OPEN).of_open_chain()
    };
    let Some(optimum) = found else {
        return Err(explain(site, furthest(&tables)));
    };
    Ok(built(&tables, &optimum.levels, optimum.cost, Some(optimum.layouts)))
}

/// The layout of a legal list of levels.
pub(super) fn built(tables: &Tables, levels: &[i32], cost: i128, layouts: Option<u64>) -> Layout {
    let site = tables.site;
    let one_level = tables
        .one_level()
        .into_iter()
        .map(|(level, cost)| OneLevel { level, tof: site.module.top_of_footing(level), cost })
        .collect();
    let built = |(cell, level): (usize, &i32)| site.stretch(cell, *level);
    let stretches: Vec<Stretch> = levels.iter().enumerate().filter_map(built).collect();
    let steps = (1..levels.len()).filter_map(|edge| {
        let node = tables.riser_at(edge, levels[edge - 1], levels[edge])?;
        Some(step(site, &site.riser(edge, node.before, node.after)?, node.cost))
    });
    let steps = steps.collect();
    Layout::new(site, stretches, steps, cost, layouts, one_level)
}

fn step(site: &Site, riser: &Riser, cost: i128) -> Step {
    let cell = &site.grid.cells[riser.edge];
    Step {
        wall: cell.wall,
        station: cell.from,
        overlap: riser.overlap,
        tof_before: site.module.top_of_footing(riser.before),
        tof_after: site.module.top_of_footing(riser.after),
        bof_low: riser.low.bottom,
        bof_high: riser.high.bottom,
        low_type: riser.low.kind,
        high_type: riser.high.kind,
        cost,
    }
}

impl Layout {
    /// A layout of stretches and the steps between them.
    pub(super) fn new(
        site: &Site,
        stretches: Vec<Stretch>,
        steps: Vec<Step>,
        cost: i128,
        equal_layouts: Option<u64>,
        one_level: Vec<OneLevel>,
    ) -> Self {
        let footings = footing_pieces(&stretches);
        let stems = stem_pieces(&stretches);
        let bottom = bottom_parts(&stretches, &steps);
        let site = site.clone();
        Self { site, stretches, cost, equal_layouts, steps, one_level, footings, stems, bottom }
    }

    /// Levels of the stretches; none where the top of footing is on no level.
    pub fn levels(&self) -> Vec<Option<i32>> {
        self.stretches.iter().map(|stretch| self.site.module.level_of(stretch.tof)).collect()
    }
}
