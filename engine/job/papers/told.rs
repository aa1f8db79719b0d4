//! What a quote tells beside its lines: what is in the price, what is not, and what it rests on.

use super::super::missing::{InQuote, LeftOutWork};
use super::super::{CalcSheets, Job};
use crate::measure::{Nm, decimal_places, titled};
use crate::takeoff::{PROPOSAL, SettingValue, Takeoff, cautions};

/// Work that is told to be in the price, because another price holds it, and what is added to it by law or contract.
pub(super) fn included(left_out: &[LeftOutWork], calc: &CalcSheets) -> Vec<String> {
    let told = left_out.iter().filter(|one| one.in_quote == InQuote::Included);
    let added = ["tax", "bond"].into_iter().filter(|name| {
        let cell = calc.book.find(&format!("price.{name}"));
        cell.and_then(|id| calc.book.quantity(id)).is_some_and(|value| value.base() != 0.0)
    });
    told.map(|one| one.work.as_str()).chain(added).map(titled).collect()
}

/// Work without a price that a client is told of: how the firm adds to its costs is its own affair.
pub(super) fn told_missing<'m>(missing: &'m [&'m str]) -> impl Iterator<Item = &'m str> {
    missing.iter().copied().filter(|work| !["overhead", "profit"].contains(work))
}

/// Work that is not in the price: what the job leaves out, and what has no price.
pub(super) fn excluded(left_out: &[LeftOutWork], missing: &[&str]) -> Vec<String> {
    let told = left_out.iter().filter(|one| one.in_quote == InQuote::Excluded);
    let left = told.map(|one| titled(&one.work));
    left.chain(told_missing(missing).map(titled)).collect()
}

/// What the price rests on, as far as the job knows it: soil, layback, frost, survey, steps.
pub(super) fn assumed(job: &Job, takeoff: &Takeoff) -> Vec<String> {
    let (wall_job, allowed) = (&job.wall_job, &job.wall_job.allowances);
    let mut told = Vec::new();
    let soil = allowed.soil.map_or_else(
        || "no soil class has been stated".to_owned(),
        |soil| format!("soil class {}", soil.name()),
    );
    told.push(format!(
        "Excavation: {soil}; banks laid back {}:1 (horizontal to vertical) from the {} up, to be confirmed by a competent person on site",
        decimal_places(&allowed.layback, 2),
        allowed.layback_from.name()
    ));
    if let Some(depth) = length_of(job, "rules.frost_depth").filter(|depth| *depth > Nm::ZERO) {
        told.push(format!(
            "Frost: bottom of footing at least {} under finished grade of the low side",
            wall_job.style.system.show(depth)
        ));
    }
    told.push(match &wall_job.shots {
        Some(shots) => {
            let by = match wall_job.title.surveyor.as_str() {
                "" => String::new(),
                surveyor => format!(" of {surveyor}"),
            };
            format!("Ground: as {} survey shots{by} show it", shots.used.len())
        }
        None => "Ground: elevations as given to us, without a shot list".to_owned(),
    });
    if wall_job.drawn.is_some() && !job.bids_drawn && !takeoff.layout.steps.is_empty() {
        told.push(format!("Footing steps: {PROPOSAL}"));
    }
    told
}

/// A setting that is a length.
fn length_of(job: &Job, path: &str) -> Option<Nm> {
    match &job.wall_job.settings.get(path)?.value {
        SettingValue::Measure(exact) => exact.quantity().to_nm().ok(),
        _ => None,
    }
}

/// What of the excavation can hurt somebody: it stands beside its line.
pub(super) fn beside(job: &Job, takeoff: &Takeoff) -> Vec<String> {
    let about = ["cut depth", "low side"];
    let all = cautions(&job.wall_job, Some(&takeoff.layout));
    let mut told = Vec::new();
    for kind in about {
        let first = all.iter().find(|caution| caution.about == kind);
        told.extend(first.map(|caution| format!("CAUTION, {}: {}", caution.place, caution.text)));
    }
    told
}
