//! Other layouts beside the optimum: with the datum moved, and without one lock or zone at a time.

use super::{Grid, Layout, NoLayout, Site, lay_out};
use crate::measure::{Nm, round};

/// The layout with the datum of the levels moved up by a part of one rise.
#[derive(Debug, Clone, PartialEq)]
pub struct DatumOffset {
    /// Top of footing at level 0.
    pub level_0: Nm,
    /// The layout; none when none is legal.
    pub layout: Option<Layout>,
    /// How far the tops of the walls then are above a course, ascending.
    pub tops_above_course: Vec<Nm>,
}

/// Lays out with the datum moved by 0, 1, ... parts of a rise divided into `parts`.
///
/// # Errors
/// A layout fails for another reason than that none is legal.
pub fn datum_sweep(site: &Site, parts: i64) -> Result<Vec<DatumOffset>, NoLayout> {
    let mut list = Vec::new();
    for part in 0..parts {
        let rise = site.module.rise.wide();
        let up = round::nearest(rise * i128::from(part), i128::from(parts));
        let mut moved = site.clone();
        moved.module.level_0 += Nm(i64::try_from(up).unwrap_or(0));
        let layout = legal(lay_out(&moved))?;
        let tops = site.walls.iter().flat_map(super::WallSpec::all_tops);
        let mut above: Vec<Nm> = tops
            .map(|top| Nm((top - moved.module.level_0).0.rem_euclid(site.module.rise.0)))
            .collect();
        above.sort_unstable();
        above.dedup();
        list.push(DatumOffset { level_0: moved.module.level_0, layout, tops_above_course: above });
    }
    Ok(list)
}

fn legal(layout: Result<Layout, NoLayout>) -> Result<Option<Layout>, NoLayout> {
    match layout {
        Ok(layout) => Ok(Some(layout)),
        Err(NoLayout::Fault(faults)) => Err(NoLayout::Fault(faults)),
        Err(_) => Ok(None),
    }
}

/// What a lock or a zone without steps costs: the optimum without it.
#[derive(Debug, Clone, PartialEq)]
pub struct Without {
    /// Index of the lock, or of the zone.
    pub what: Restriction,
    /// The optimum without it; none when none is legal even so.
    pub layout: Option<Layout>,
}

/// Something set by hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Restriction {
    /// A lock by its index.
    Lock(usize),
    /// A zone without steps by its index.
    Zone(usize),
    /// Everything that is set by hand.
    All,
}

/// The optimum without each lock and zone, and without all of them where there are several.
///
/// # Errors
/// A layout fails for another reason than that none is legal.
pub fn without_each(site: &Site) -> Result<Vec<Without>, NoLayout> {
    let locks = (0..site.locks.len()).map(Restriction::Lock);
    let zones = (0..site.rules.no_step_zones.len()).map(Restriction::Zone);
    let mut all: Vec<Restriction> = locks.chain(zones).collect();
    if all.len() > 1 {
        all.push(Restriction::All);
    }
    let mut list = Vec::new();
    for what in all {
        let mut free = site.clone();
        match what {
            Restriction::Lock(index) => {
                free.locks.remove(index);
            }
            Restriction::Zone(index) => {
                free.rules.no_step_zones.remove(index);
            }
            Restriction::All => {
                free.locks.clear();
                free.rules.no_step_zones.clear();
            }
        }
        if !matches!(what, Restriction::Lock(_)) {
            free.grid = Grid::new(&free.chain, &free.walls, &free.module, &free.rules)
                .map_err(|faults| NoLayout::Fault(faults.into()))?;
        }
        list.push(Without { what, layout: legal(lay_out(&free))? });
    }
    Ok(list)
}
