//! Lists of a takeoff that are made when they are first asked for: bars, how bars and lumber are cut, what becomes of the dig.

use std::sync::{Arc, OnceLock};

use super::Takeoff;
use crate::earth::DigParts;
use crate::forms::{LumberCuts, WayOut, lumber_cuts, ways_out};
use crate::problem::{Faults, Outcome};
use crate::rebar::{BarCuts, BarList, cut_lists};

/// Lists of a takeoff, each made once.
#[derive(Debug, Clone, Default)]
pub(super) struct Made {
    bars: OnceLock<Outcome<BarList>>,
    bar_cuts: OnceLock<Outcome<Vec<BarCuts>>>,
    lumber_cuts: OnceLock<Outcome<Vec<LumberCuts>>>,
    dig_parts: OnceLock<Vec<[DigParts; 2]>>,
    ways_out: OnceLock<Vec<WayOut>>,
}

impl Takeoff {
    /// Its bars; nothing where the plan gives none.
    pub fn bars(&self) -> Option<&Outcome<BarList>> {
        let spec = self.job.steel.as_ref()?;
        Some(self.made.bars.get_or_init(|| BarList::of(&self.layout, Arc::clone(spec))))
    }

    /// How they are cut.
    pub fn bar_cuts(&self) -> Option<&Outcome<Vec<BarCuts>>> {
        let list = self.bars()?.as_ref().ok()?;
        Some(self.made.bar_cuts.get_or_init(|| cut_lists(list)))
    }

    /// How the lumber of the footing is cut; nothing where the job asks for none.
    pub fn lumber_cuts(&self) -> Option<&Outcome<Vec<LumberCuts>>> {
        let spec = self.job.lumber.as_ref()?;
        Some(self.made.lumber_cuts.get_or_init(|| lumber_cuts(&self.layout, spec)))
    }

    /// What becomes of its dig; nothing where no earth is brought back.
    pub fn dig_parts(&self) -> Option<&[[DigParts; 2]]> {
        let allowances = Some(&self.job.allowances).filter(|allowances| allowances.backfill)?;
        Some(self.made.dig_parts.get_or_init(|| allowances.dig_parts(&self.layout)))
    }

    /// Ways out of shortages of its forms; nothing where the job lists none.
    pub fn ways_out(&self) -> Option<&[WayOut]> {
        let spec = self.job.forms.as_ref()?;
        Some(self.made.ways_out.get_or_init(|| ways_out(&self.layout, spec)))
    }

    /// Faults of its lists.
    pub fn list_faults(&self) -> Faults {
        let mut faults = Faults::none();
        let mut told = |made: Option<Faults>| made.into_iter().for_each(|made| faults.extend(made));
        told(self.bars().and_then(|made| made.as_ref().err()).cloned());
        told(self.lumber_cuts().and_then(|made| made.as_ref().err()).cloned());
        if let Some(spec) = &self.job.forms {
            // A rule of the company may fail on one of them.
            let _runs = crate::forms::panel_runs(&self.layout, spec);
        }
        told(self.layout.site.hooks.fault());
        told(self.bar_cuts().and_then(|made| made.as_ref().err()).cloned());
        faults
    }
}
