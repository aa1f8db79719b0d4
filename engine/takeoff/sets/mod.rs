//! The record sets of a takeoff, one file per subject.

mod cautions;
mod ground;
mod no_layout;
mod others;
mod quantities;
mod shots;
mod steps;
mod walls;

pub use others::DrawnWork;
pub use shots::{ListReport, ShotReport, UnusedCode};

use super::{Caution, RecordSet, Takeoff, WallJob};
use crate::footing::{DatumOffset, Layout, NoLayout, Without};
use crate::problem::Problem;

/// Writes the columns of a set: name and meaning.
macro_rules! columns {
    ($(($name:literal, $about:literal)),* $(,)?) => {
        &[$($crate::takeoff::Column { name: $name, about: $about }),*]
    };
}
use columns;

/// Layouts beside the least-cost one.
#[derive(Debug, Clone, Default)]
pub struct Others {
    /// The steps as the plan draws them.
    pub drawn: Option<DrawnWork>,
    /// The layouts with the datum moved.
    pub sweep: Option<Vec<DatumOffset>>,
    /// The layouts without each thing that is set by hand.
    pub without: Vec<Without>,
}

/// Everything that the record sets are made from.
#[derive(Debug, Clone, Copy)]
pub struct Facts<'a> {
    /// The job.
    pub job: &'a WallJob,
    /// The shots, if the job has a list.
    pub shots: Option<&'a ShotReport>,
    /// The layout, if one is legal.
    pub layout: Option<&'a Layout>,
    /// The takeoff, if there is a layout.
    pub takeoff: Option<&'a Takeoff>,
    /// Layouts beside it.
    pub others: &'a Others,
    /// The cautions.
    pub cautions: &'a [Caution],
    /// Why there is no layout, if there is none.
    pub problems: &'a [Problem],
    /// The same as the layout room states it.
    pub no_layout: Option<&'a NoLayout>,
}

/// All record sets, in the order in which a person reads them.
pub fn record_sets(facts: &Facts) -> Vec<RecordSet> {
    let mut sets = Vec::new();
    sets.extend(walls::sets(facts.job));
    if let Some(shots) = facts.shots {
        sets.extend(shot_sets(shots, Some(facts.job)));
    }
    sets.extend(ground::sets(facts.job, facts.layout));
    if let Some(layout) = facts.layout {
        sets.extend(steps::sets(facts.job, layout));
    }
    if let Some(takeoff) = facts.takeoff {
        sets.extend(quantities::sets(takeoff));
    }
    sets.extend(others::sets(facts.job, facts.layout, facts.takeoff, facts.others));
    sets.extend(no_layout::sets(facts));
    sets.extend(cautions::sets(facts));
    sets
}

/// The record sets of a shot list, with stations when there is a job.
pub fn shot_sets(report: &ShotReport, job: Option<&WallJob>) -> Vec<RecordSet> {
    shots::sets(report, job)
}
