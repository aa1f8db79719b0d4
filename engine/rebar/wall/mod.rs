//! The bars of a wall and its footing, counted from a layout: what stands where, how long it is, and how it is bent.

mod cuts;
mod footing;
mod group;
mod laps;
mod list;
mod parts;
mod rows;
mod spec;
mod stem;

use crate::footing::Layout;

pub use cuts::{BarCuts, cut_lists};
pub use group::{BarGroup, BarRole};
pub use laps::{code_lap, short_laps};
pub use list::{BarList, BarMark};
pub use parts::bar_parts;
pub use spec::{BarRules, NamedBar, SteelSpec, TypeBars};

/// Every group of bars of a layout: verticals and dowels, transverse and longitudinal bars, what links footings, the rows
/// of the stem and its corners.
pub fn bar_groups(layout: &Layout, spec: &SteelSpec) -> Vec<BarGroup> {
    let mut groups = Vec::new();
    stem::verticals(layout, spec, &mut groups);
    footing::transverse(layout, spec, &mut groups);
    footing::longitudinal(layout, spec, &mut groups);
    footing::links(layout, spec, &mut groups);
    rows::horizontals(layout, spec, &mut groups);
    rows::corners(layout, spec, &mut groups);
    groups.retain(|group| group.count > 0);
    groups
}
