//! Step rules, and the rates that the steps are laid out by.

use super::super::alignment;
use super::super::planned::WallNames;
use super::super::settings::View;
use crate::footing::{GridKind, NamedZone, NoStepZone, StepRates, StepRules, WorkSpace};
use crate::measure::{Dimension, Exact, Nm, ratio};
use crate::price::{PriceBook, RateLine, RatesGiven, step_rates};
use crate::problem::{Faults, Outcome, Problem};
use crate::survey::Depths;

pub(super) fn rules(root: View) -> Outcome<StepRules> {
    let mut faults = Faults::none();
    let table = root.need_table("rules")?;
    let names = alignment::names(root);
    let mut zones = Vec::new();
    for view in table.list("no_step") {
        let stretches = faults.keep(stretch(view, &names)).into_iter().flatten();
        zones.extend(stretches.map(|(wall, from, to)| NoStepZone { wall, from, to }));
    }
    let rules = StepRules {
        depths: Depths {
            frost: table.length("frost_depth")?,
            cover: table.maybe_length("toe_cover"),
            allowance: table.length("bearing_allowance")?,
        },
        shortest_run: table.length("shortest_run")?,
        most_levels: i32::try_from(table.count("most_levels")?).unwrap_or(1),
        corner_clear: table.length("corner_clear")?,
        overlap_step: table.length("overlap_step")?,
        overlap_min: table.length("overlap_min")?,
        throat: table.maybe_length("throat"),
        no_step_zones: zones,
        zones: faults.keep(named_zones(root, &names)).unwrap_or_default(),
    };
    faults.or_value(Some(rules))
}

/// Stretches that rules of the company may ask about.
fn named_zones(root: View, walls: &WallNames) -> Outcome<Vec<NamedZone>> {
    let mut faults = Faults::none();
    let mut zones = Vec::new();
    for view in root.list("zone") {
        let name = view.text("name")?.to_owned();
        let stretches = faults.keep(stretch(view, walls)).into_iter().flatten();
        let zone = |(wall, from, to)| NamedZone { name: name.clone(), wall, from, to };
        zones.extend(stretches.map(zone));
    }
    faults.or_value(Some(zones))
}

/// A stretch of a wall of the plan: the walls that it runs over, and the local stations of its start and end on each.
fn stretch(view: View, walls: &WallNames) -> Outcome<Vec<(usize, Nm, Nm)>> {
    let (of, from, to) = (view.text("wall")?, view.length("from")?, view.length("to")?);
    match walls.stretch(of, from, to) {
        _ if from > to => {
            let problem = Problem::error("this stretch ends before it starts");
            Err(view.place("from", problem).into())
        }
        all if !walls.named(of).is_empty() => Ok(all),
        _ => Err(view.place("wall", Problem::error(format!("there is no wall {of}"))).into()),
    }
}

pub(super) fn rates(root: View, rise: Nm, grid: GridKind) -> Outcome<(StepRates, Vec<RateLine>)> {
    let (prices, given, allowed) = (
        root.need_table("prices")?,
        root.need_table("layout_rates")?,
        root.need_table("allowances")?,
    );
    let price = |name| prices.maybe_measure(name);
    let rate = |name: &str| given.maybe_measure(name);
    // Without risers there is nothing to price.
    let unpriced = price("riser_each").is_none() || price("rise").is_none();
    let riser = |name: &str| match (rate(name), grid) {
        (None, GridKind::OneLevel) if unpriced => {
            Some(Exact { value: ratio(0, 1), dimension: Dimension::MONEY })
        }
        (known, _) => known,
    };
    let book = PriceBook {
        footing_concrete: price("footing_concrete"),
        wall_concrete: price("wall_concrete"),
        pump: price("pump"),
        wall_forms: price("wall_forms"),
        strip_and_clean: price("strip_and_clean"),
        riser_each: price("riser_each"),
        rise: price("rise"),
        dig: price("dig"),
        haul: price("haul"),
        swell: allowed.maybe_measure("swell"),
    };
    let outright = RatesGiven {
        footing_concrete: rate("footing_concrete"),
        wall_concrete: rate("wall_concrete"),
        forms_one_face: rate("forms_one_face"),
        dig: rate("dig"),
        riser_each: riser("riser_each"),
        rise_each_level: riser("rise_each_level"),
    };
    let level = ratio(rise.wide(), 1);
    let lines = step_rates(&outright, &book, &level).map_err(|problems| {
        let placed: Vec<Problem> =
            problems.into_iter().map(|problem| root.place("prices", problem)).collect();
        Faults::from(placed)
    })?;
    let value = |index: usize| lines[index].rate.value.clone();
    let rates = StepRates {
        footing: value(0),
        wall: value(1),
        forms: value(2),
        dig: value(3),
        riser: value(4),
        rise: value(5),
        work_space: work_space(allowed)?,
    };
    Ok((rates, lines.to_vec()))
}

/// Digging beyond the footing: what is said of both sides, and of one where it is another.
fn work_space(allowed: View) -> Result<WorkSpace, Problem> {
    let both = allowed.length("work_space")?;
    let side = |name: &str| allowed.maybe_length(name).unwrap_or(both);
    Ok(WorkSpace { toe: side("work_space_toe"), heel: side("work_space_heel") })
}
