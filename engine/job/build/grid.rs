//! The grid that a wall case asks for.

use super::super::settings::View;
use crate::footing::{Joints, Module, WallSpec, WallType};
use crate::measure::Nm;
use crate::problem::Problem;

/// The grid of form panels.
pub(super) fn panels(root: View) -> Result<Module, Problem> {
    let table = root.need_table("module")?;
    let (panel, corner_leg) = (table.length("panel")?, table.length("corner_leg")?);
    levels_of(table, Joints::Panels { panel, corner_leg }, "rise")
}

/// The grid of courses.
pub(super) fn courses(root: View) -> Result<Module, Problem> {
    let table = root.need_table("course_grid")?;
    levels_of(table, Joints::Courses { unit: table.length("unit")? }, "height")
}

fn levels_of(table: View, joints: Joints, rise: &str) -> Result<Module, Problem> {
    let level = |name| table.count(name).map(|n| i32::try_from(n).unwrap_or(0));
    let module = Module {
        joints,
        rise: table.length(rise)?,
        level_0: table.length("level_0")?,
        lowest: level("lowest_level")?,
        highest: level("highest_level")?,
    };
    if module.lowest > module.highest {
        return Err(
            table.place("lowest_level", Problem::error("the lowest level is above the highest"))
        );
    }
    Ok(module)
}

/// Most tops of footing that are tried on one level.
const MOST_TRIED: i64 = 20_000;

/// No grid: one top of footing under every wall, as given or any whose stems the wall schedule has.
pub(super) fn one_level(
    root: View,
    types: &[WallType],
    walls: &[WallSpec],
) -> Result<Module, Problem> {
    let table = root.need_table("one_level")?;
    let rise = table.length("step")?;
    let module =
        Module { joints: Joints::OneLevel, rise, level_0: Nm::ZERO, lowest: 0, highest: 0 };
    if let Some(level_0) = table.maybe_length("top_of_footing") {
        return Ok(Module { level_0, ..module });
    }
    let tops = || walls.iter().flat_map(WallSpec::all_tops);
    let (Some(low), Some(high), Some(tallest)) = (tops().min(), tops().max(), types.last()) else {
        return Ok(module);
    };
    // The highest stem is one of the schedule, and the lowest is above nothing.
    let (from, to) = (high - tallest.stem_up_to, low - Nm(1));
    let (lowest, highest) = (-(-from.0).div_euclid(rise.0), to.0.div_euclid(rise.0));
    if lowest > highest || highest - lowest > MOST_TRIED {
        let problem = Problem::error(match lowest > highest {
            true => "no top of footing on one level gives every wall a stem of the schedule",
            false => "too many tops of footing would be tried",
        });
        return Err(table.place("step", problem.help("look at the tops of the walls, at stem_up_to of the highest type, and at one_level.step")));
    }
    let level = |level: i64| i32::try_from(level).unwrap_or(0);
    // Counted from the lowest, so that the number of a level says how far it is up.
    let level_0 = Nm(lowest * rise.0);
    Ok(Module { level_0, highest: level(highest - lowest), ..module })
}
