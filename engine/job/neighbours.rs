//! Layouts one step away from the one that is bid, each priced whole: the rates that the layout is chosen by leave waste, order
//! steps and cents out, and a step more or less may be cheaper as bid.

use std::sync::Arc;

use super::lines::settle;
use super::sheets::{Rounding, calc_sheets_by};
use super::{CalcSheets, Job};
use crate::footing::{Joints, Neighbour, StepChange, local, neighbours};
use crate::listing::{Amount, Listing, listings};
use crate::measure::{Choice, Dimension, Money, Nm, Quantity, System, feet_inches};
use crate::problem::{Faults, Outcome};
use crate::script::ScriptFault;
use crate::takeoff::Takeoff;

listings! {
    NEIGHBOURS = "neighbours", "legal layouts with one step moved, dropped or added, each priced whole, the cheapest first", for Office, by []: NeighbourRow {
        change: &'static str, "what is done: moved, dropped or added";
        wall: String, "wall of the step";
        station: Nm, "local station of the step; where it is dropped, as it was";
        station_tape: Option<String>, "the same in feet and inches";
        from: Option<Nm>, "local station from which it is moved";
        steps: usize, "number of steps then";
        cost: Amount<Money>, "cost by the layout rates";
        price: Amount<Money>, "price of the whole job";
        saving: Amount<Money>, "how much cheaper that is than the layout that is bid";
        saving_unrounded: Amount<Money>, "the same without order steps and cents";
    }
    NEIGHBOUR_COUNT = "neighbour_count", "how many layouts are one step away, and what the best of them saves", for Office, by []: NeighbourCount {
        legal: usize, "legal layouts one step away";
        priced: usize, "how many of them are priced: all, or those of the least cost by the layout rates";
        remark: String, "the best of them, in words";
    }
}

/// Most stem pieces of all neighbours that are priced: a large job has its likeliest ones priced, those of the least cost by
/// the layout rates.
const MOST_PIECES: usize = 1_500;

/// The price of a takeoff: as bid, and without order steps and cents.
fn prices(job: &Job, takeoff: &Takeoff) -> Outcome<Option<(Quantity, Quantity)>> {
    let bid = calc_sheets_by(job, takeoff, Rounding::AsBid)?;
    let exact = calc_sheets_by(job, &takeoff.without_order_steps()?, Rounding::None)?;
    Ok(total(&bid).zip(total(&exact)))
}

fn total(calc: &CalcSheets) -> Option<Quantity> {
    calc.total().filter(|total| total.dimension() == Dimension::MONEY)
}

/// A neighbour with its saving, as bid and without order steps and cents.
struct Priced {
    neighbour: Neighbour,
    price: Quantity,
    saving: Quantity,
    unrounded: Quantity,
}

/// The neighbours of the layout that is bid; nothing where there is no bid, no grid, or a case that takes off one layout
/// only.
///
/// # Errors
/// A script or sheet fails for a neighbour.
pub(super) fn listed(job: &Job, takeoff: &Takeoff) -> Outcome<Vec<Listing>> {
    let on_grid = takeoff.layout.levels().iter().all(Option::is_some);
    let steps = takeoff.layout.site.module.joints != Joints::OneLevel;
    if !job.has_bid || !on_grid || !steps || takeoff.layout.equal_layouts.is_none() {
        return Ok(Vec::new());
    }
    let Some((base, base_exact)) = prices(job, takeoff)? else { return Ok(Vec::new()) };
    let case = job.layers.find(&format!("scripts/{}.rhai", job.case))?;
    let mut all = Vec::new();
    let most = (MOST_PIECES / takeoff.layout.stems.len().max(1)).max(5);
    let (near, legal) = neighbours(&takeoff.layout, most)?;
    for neighbour in near {
        let layout = Arc::new(neighbour.layout.clone());
        let quantities = job.host.quantities(&case, &job.wall_job, &layout);
        let quantities = quantities.map_err(|fault| match fault {
            ScriptFault::Problems(faults) => faults,
            ScriptFault::NoLayout(..) => Faults::none(),
        })?;
        let Some(mut other) = quantities else { return Ok(Vec::new()) };
        settle(job, &mut other)?;
        let Some((price, exact)) = prices(job, &other)? else { continue };
        let (saving, unrounded) = (base.subtract(price)?, base_exact.subtract(exact)?);
        all.push(Priced { neighbour, price, saving, unrounded });
    }
    all.sort_by(|a, b| b.saving.base().total_cmp(&a.saving.base()));
    let rows = all.iter().map(|priced| row(takeoff, priced));
    let told = NeighbourCount { legal, priced: all.len(), remark: remark(takeoff, &all, legal) };
    Ok(vec![Listing::of(NEIGHBOURS, rows), Listing::of(NEIGHBOUR_COUNT, [told])])
}

/// What is told of them on the terminal: only what saves something.
pub(super) fn told(counted: &Listing) -> Option<String> {
    let at = counted.column("remark")?;
    match counted.rows.first()?.get(at)? {
        crate::listing::Datum::Text(text) if text.starts_with("with") => Some(text.clone()),
        _ => None,
    }
}

/// The best of them in words.
fn remark(takeoff: &Takeoff, all: &[Priced], legal: usize) -> String {
    let style = &takeoff.job.style;
    let beside = match legal - all.len() {
        0 => String::new(),
        more => format!("; {more} more are legal and not priced, all dearer by the layout rates"),
    };
    let Some(best) = all.first() else {
        return "no other layout is legal one step away".to_owned();
    };
    if best.saving.base() < 0.005 {
        return format!("none of {} layouts one step away is cheaper as bid{beside}", all.len());
    }
    let change = match best.neighbour.change {
        StepChange::Moved => "with the step moved to",
        StepChange::Dropped => "without the step at",
        StepChange::Added => "with one more step at",
    };
    format!(
        "{change} {} the whole price is {} less as bid, {} less without order steps and cents{beside}",
        crate::takeoff::place_on_wall(&takeoff.job, best.neighbour.station),
        style.show(best.saving),
        style.show(best.unrounded)
    )
}

fn row(takeoff: &Takeoff, priced: &Priced) -> NeighbourRow {
    let site = &takeoff.layout.site;
    let neighbour = &priced.neighbour;
    let (wall, station, from) = local(
        site,
        site.chain.wall_at(neighbour.station),
        neighbour.station,
        neighbour.from.unwrap_or(neighbour.station),
    );
    let currency = &takeoff.job.style.currency;
    let money = |value: Quantity| {
        let cents = crate::measure::round::nearest_f64(value.base() * 1e6) / 1e6;
        Amount::new(num_rational::BigRational::from_float(cents).unwrap_or_default(), currency)
    };
    NeighbourRow {
        change: neighbour.change.name(),
        wall,
        station,
        station_tape: (site.system == System::Us).then(|| feet_inches(station, 16)),
        from: (neighbour.change == StepChange::Moved).then_some(from),
        steps: neighbour.layout.steps.len(),
        cost: Amount::new(crate::measure::ratio(neighbour.layout.cost, 1_000_000_000), currency),
        price: money(priced.price),
        saving: money(priced.saving),
        saving_unrounded: money(priced.unrounded),
    }
}
