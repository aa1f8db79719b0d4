//! Layouts one step away from the one that is bid, each priced whole: the rates that the layout is chosen by leave waste, order
//! steps and cents out, and a step more or less may be cheaper as bid.

use std::sync::Arc;

use super::at_once::each_at_once;
use super::sheets::{Rounding, calc_sheets_by};
use super::work::quantities_of;
use super::{CalcSheets, Job};
use crate::footing::{Joints, Neighbour, StepChange, local, neighbours};
use crate::listing::{Amount, Listing, listings};
use crate::measure::{Choice, Dimension, Money, Nm, Quantity, System, feet_inches};
use crate::problem::Outcome;
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
    let bid = calc_sheets_by(job, takeoff, Rounding::AsBid, &[])?;
    let exact = calc_sheets_by(job, &takeoff.without_order_steps()?, Rounding::None, &[])?;
    Ok(total(&bid).zip(total(&exact)))
}

fn total(calc: &CalcSheets) -> Option<Quantity> {
    calc.total().filter(|total| total.dimension() == Dimension::MONEY)
}

/// What became of a neighbour.
enum Found {
    /// The wall case takes off one layout only.
    OneLayoutOnly,
    /// The company's scripts or sheets refuse it.
    Refused,
    /// Its price, as bid and without order steps and cents.
    Prices((Quantity, Quantity)),
}

/// A neighbour with its saving, as bid and without order steps and cents.
struct Priced {
    neighbour: Neighbour,
    price: Quantity,
    saving: Quantity,
    unrounded: Quantity,
}

/// The neighbours of a layout as they are listed, and what the best of them saves, if one does, in words.
pub(super) struct PricedNeighbours {
    pub(super) listings: Vec<Listing>,
    pub(super) saves: Option<String>,
}

/// The neighbours of the layout that is bid; nothing where there is no bid, no grid, or a case that takes off one layout
/// only. One that the company's scripts or sheets refuse is counted and left out.
///
/// # Errors
/// The bid itself cannot be priced.
pub(super) fn priced(job: &Job, takeoff: &Takeoff) -> Outcome<Option<PricedNeighbours>> {
    let on_grid = takeoff.layout.levels().iter().all(Option::is_some);
    let steps = takeoff.layout.site.module.joints != Joints::OneLevel;
    if !job.has_bid || !on_grid || !steps || takeoff.layout.equal_layouts.is_none() {
        return Ok(None);
    }
    let Some((base, base_exact)) = prices(job, takeoff)? else { return Ok(None) };
    let most = (MOST_PIECES / takeoff.layout.stems.len().max(1)).max(5);
    let (near, legal) = neighbours(&takeoff.layout, most)?;
    let asked = near.len();
    let found = each_at_once(&near, |neighbour| {
        let job = &job.clone();
        let other = match quantities_of(job, &Arc::new(neighbour.layout.clone())) {
            Ok(Some(other)) => other,
            Ok(None) => return Found::OneLayoutOnly,
            Err(_) => return Found::Refused,
        };
        prices(job, &other).ok().flatten().map_or(Found::Refused, Found::Prices)
    });
    let mut all = Vec::new();
    for (neighbour, found) in near.into_iter().zip(found) {
        let (price, exact) = match found {
            Found::OneLayoutOnly => return Ok(None),
            Found::Refused => continue,
            Found::Prices(prices) => prices,
        };
        let (saving, unrounded) = (base.subtract(price)?, base_exact.subtract(exact)?);
        all.push(Priced { neighbour, price, saving, unrounded });
    }
    all.sort_by(|a, b| b.saving.base().total_cmp(&a.saving.base()));
    let rows = all.iter().map(|priced| row(takeoff, priced));
    let saves = all.first().is_some_and(|best| best.saving.base() >= 0.005);
    let remark = remark(takeoff, &all, [legal - asked, asked - all.len()]);
    let count = NeighbourCount { legal, priced: all.len(), remark: remark.clone() };
    let listings = vec![Listing::of(NEIGHBOURS, rows), Listing::of(NEIGHBOUR_COUNT, [count])];
    Ok(Some(PricedNeighbours { listings, saves: saves.then_some(remark) }))
}

/// The best of them in words.
fn remark(takeoff: &Takeoff, all: &[Priced], [dearer, refused]: [usize; 2]) -> String {
    let style = &takeoff.job.style;
    let mut beside = String::new();
    if dearer > 0 {
        beside +=
            &format!("; {dearer} more are legal and not priced, none cheaper by the layout rates");
    }
    if refused > 0 {
        beside +=
            &format!("; {refused} more are legal, and scripts or sheets of the job refuse them");
    }
    let Some(best) = all.first() else {
        return format!("no other layout is priced one step away{beside}");
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
