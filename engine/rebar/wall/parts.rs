//! Bars of one role as measured parts of a takeoff.

use super::group::BarRole;
use super::list::BarList;
use crate::footing::{Layout, Part, local};
use crate::measure::{Choice, Dimension, Exact};

/// The weight of the bars of a role, one part for each group.
pub fn bar_parts(layout: &Layout, list: &BarList, role: BarRole) -> Vec<Part> {
    let system = layout.site.system;
    let groups = list.groups.iter().filter(|group| group.role == role);
    let part = |group: &super::BarGroup| {
        let (wall, from, to) = local(&layout.site, group.wall, group.from, group.to);
        let size = &list.spec.bars[group.bar];
        let lines = match group.pieces {
            1 => String::new(),
            pieces => format!(" in {pieces} bars, laps of {}", system.show(size.lap)),
        };
        let at = group.elevation.map_or(String::new(), |z| format!(" at {}", system.show(z)));
        Part {
            wall,
            from,
            to,
            what: format!("{} {}{at}", role.name(), size.name),
            amount: Exact { value: group.weight(&list.spec), dimension: Dimension::FORCE },
            how: format!("{} x {}{lines}", group.count, system.show(group.length)),
        }
    };
    groups.map(part).collect()
}
