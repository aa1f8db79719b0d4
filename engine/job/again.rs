//! A takeoff used again: a question that leaves all that the wall case rests on as it was needs no second run of it.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use super::Job;
use crate::files::FoundFile;
use crate::footing::{Layout, Site};
use crate::takeoff::{Derivation, Stated, Takeoff, WallJob};

/// The takeoff of the job as it stands; copies share it.
#[derive(Debug, Clone, Default)]
pub struct KnownTakeoff(Arc<OnceLock<(String, Takeoff)>>);

impl KnownTakeoff {
    /// Remembers the first takeoff.
    pub(super) fn remember(&self, case: &FoundFile, takeoff: &Takeoff) {
        self.0.get_or_init(|| (case.text.clone(), takeoff.clone()));
    }

    /// The takeoff of a job, if it follows from the one that is known: the case read no setting that has changed and no
    /// listing, everything else that it was given is the same, and where the layout rates have changed the steps have not.
    pub(super) fn again(&self, job: &Job, case: &FoundFile) -> Option<Takeoff> {
        let (text, known) = self.0.get()?;
        let (old, new) = (&known.job, &job.wall_job);
        // The name of a setting has a point, that of a listing none.
        let listings = known.asked.iter().any(|asked| !asked.contains('.'));
        // A formula may rest on anything.
        let formula =
            |line: &crate::takeoff::Line| matches!(line.derivation, Derivation::Formula(_));
        let formulas = known.lines.iter().any(formula);
        if *text != case.text || listings || formulas || !same_but_for_prices(old, new) {
            return None;
        }
        // A case may ask which settings there are.
        if !old.settings.keys().eq(new.settings.keys()) {
            return None;
        }
        let changed = changed(&old.settings, &new.settings);
        if changed.iter().any(|path| known.asked.contains(*path) || rests_on(known, path)) {
            return None;
        }
        let layout = match old.site == new.site {
            true => Arc::clone(&known.layout),
            false => {
                let layout = job.host.layout(case, new).ok()??;
                same_steps(&known.layout, &layout).then_some(layout)?
            }
        };
        Some(known.of_job(Arc::clone(new), layout))
    }
}

/// Whether a line rests on a setting.
fn rests_on(takeoff: &Takeoff, path: &str) -> bool {
    takeoff.lines.iter().any(|line| line.derivation.settings().any(|known| known == path))
}

/// Settings that have another value; both have the same settings.
fn changed<'a>(
    old: &'a BTreeMap<String, Stated>,
    new: &BTreeMap<String, Stated>,
) -> Vec<&'a String> {
    let other = old.iter().zip(new.values()).filter(|((_, old), new)| old.value != new.value);
    other.map(|((path, _), _)| path).collect()
}

/// Whether all that a wall case is given is the same, settings and layout rates apart.
fn same_but_for_prices(old: &WallJob, new: &WallJob) -> bool {
    let WallJob {
        title,
        style,
        site,
        known: _,
        drawn,
        sweep_parts,
        survey_feet,
        benchmark,
        allowances,
        steel,
        forms,
        lumber,
        sides,
        rates: _,
        ground_interval,
        settings: _,
        shots: _,
        own_listings: _,
    } = old;
    *title == new.title
        && *style == new.style
        && *drawn == new.drawn
        && *sweep_parts == new.sweep_parts
        && *survey_feet == new.survey_feet
        && *benchmark == new.benchmark
        && *allowances == new.allowances
        && *steel == new.steel
        && *forms == new.forms
        && *lumber == new.lumber
        && *sides == new.sides
        && *ground_interval == new.ground_interval
        && same_site(site, &new.site)
}

/// Whether two sites are the same, their rates apart; what is dug beside the footing is no rate.
fn same_site(old: &Site, new: &Site) -> bool {
    let Site { system, chain, walls, types, module, rules, rates, ground, grid, locks, hooks } =
        old;
    *system == new.system
        && *chain == new.chain
        && *walls == new.walls
        && *types == new.types
        && *module == new.module
        && *rules == new.rules
        && rates.work_space == new.rates.work_space
        && *ground == new.ground
        && *grid == new.grid
        && *locks == new.locks
        && *hooks == new.hooks
}

/// Whether two layouts have the same steps, whatever they cost.
fn same_steps(old: &Layout, new: &Layout) -> bool {
    let step = |step: &crate::footing::Step| crate::footing::Step { cost: 0, ..*step };
    old.stretches == new.stretches && old.steps.iter().map(step).eq(new.steps.iter().map(step))
}
