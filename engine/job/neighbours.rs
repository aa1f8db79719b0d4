//! Layouts one step away from the one that is bid, each priced whole: the rates that the layout is chosen by leave waste, order
//! steps and cents out, and a step more or less may be cheaper as bid.

use std::sync::Arc;

use super::lines::settle;
use super::missing::TOTAL;
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
}

/// The price of a takeoff: as bid, and without order steps and cents.
fn prices(job: &Job, takeoff: &Takeoff) -> Outcome<Option<(Quantity, Quantity)>> {
    let bid = calc_sheets_by(job, takeoff, Rounding::AsBid)?;
    let exact = calc_sheets_by(job, &takeoff.without_order_steps()?, Rounding::None)?;
    Ok(total(&bid).zip(total(&exact)))
}

fn total(calc: &CalcSheets) -> Option<Quantity> {
    let total = calc.book.quantity(calc.book.find(TOTAL)?)?;
    (total.dimension() == Dimension::MONEY).then_some(total)
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
pub(super) fn listed(job: &Job, takeoff: &Takeoff) -> Outcome<Option<Listing>> {
    let on_grid = takeoff.layout.levels().iter().all(Option::is_some);
    let steps = takeoff.layout.site.module.joints != Joints::OneLevel;
    if !job.has_bid || !on_grid || !steps || takeoff.layout.equal_layouts.is_none() {
        return Ok(None);
    }
    let Some((base, base_exact)) = prices(job, takeoff)? else { return Ok(None) };
    let case = job.layers.find(&format!("scripts/{}.rhai", job.case))?;
    let mut all = Vec::new();
    for neighbour in neighbours(&takeoff.layout)? {
        let layout = Arc::new(neighbour.layout.clone());
        let quantities = job.host.quantities(&case, &job.wall_job, &layout);
        let quantities = quantities.map_err(|fault| match fault {
            ScriptFault::Problems(faults) => faults,
            ScriptFault::NoLayout(..) => Faults::none(),
        })?;
        let Some(mut other) = quantities else { return Ok(None) };
        settle(job, &mut other)?;
        let Some((price, exact)) = prices(job, &other)? else { continue };
        let (saving, unrounded) = (base.subtract(price)?, base_exact.subtract(exact)?);
        all.push(Priced { neighbour, price, saving, unrounded });
    }
    all.sort_by(|a, b| b.saving.base().total_cmp(&a.saving.base()));
    let rows = all.iter().map(|priced| row(takeoff, priced));
    Ok(Some(Listing::of(NEIGHBOURS, rows)))
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
