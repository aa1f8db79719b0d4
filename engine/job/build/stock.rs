//! Prices of stock lengths: of the lumber and of each bar size.

use num_rational::BigRational;
use num_traits::Zero;

use super::super::settings::View;
use crate::measure::{Nm, System};
use crate::problem::{Faults, Outcome, Problem};

/// What the prices of the lumber stand under; those of a bar stand under its name.
pub(super) const LUMBER: &str = "lumber";

/// Prices of the stock lengths of one thing, in their order; nothing where it has none.
///
/// # Errors
/// A length has no price or two, a price is 0, or there is no such stock length.
pub(super) fn prices(
    root: View,
    of: &str,
    stock: &[Nm],
    system: System,
) -> Outcome<Option<Vec<BigRational>>> {
    let mut faults = Faults::none();
    let mut found: Vec<Option<BigRational>> = vec![None; stock.len()];
    let mut last = None;
    for view in
        root.list("stock_price").into_iter().filter(|view| view.maybe_text("of") == Some(of))
    {
        last = Some(view);
        let (length, price) = (view.length("length")?, view.measure("price")?.value);
        let shown = system.show(length);
        let known = stock.iter().position(|one| *one == length).map(|at| &mut found[at]);
        let problem = match known {
            None => Problem::error(format!("{of} has no stock length of {shown}"))
                .help(format!("add it to the stock lengths of {of}, or take this price out")),
            Some(Some(_)) => Problem::error(format!("{of} of {shown} has two prices")),
            Some(_) if price.is_zero() => Problem::error(format!("{of} of {shown} costs nothing"))
                .help("give its price, or take the prices of all its lengths out"),
            Some(none) => {
                *none = Some(price);
                continue;
            }
        };
        faults.push(view.place("length", problem));
    }
    if let Some(view) = last.filter(|_| !faults.stop()) {
        let without = stock.iter().zip(&found).filter(|(_, price)| price.is_none());
        let without: Vec<String> = without.map(|(length, _)| system.show(*length)).collect();
        if !without.is_empty() {
            let problem = Problem::error(format!("{of} of {} has no price", without.join(", ")))
                .help(
                    "the cheapest stock can be found only where every stock length has its price",
                );
            faults.push(view.place("of", problem));
        }
    }
    faults.or_value(Some(found.into_iter().collect()))
}

/// Faults of prices that belong to no stock of the job.
pub(super) fn strangers(root: View) -> Faults {
    let mut faults = Faults::none();
    let bars: Vec<&str> = root.list("bar").iter().filter_map(|bar| bar.maybe_text("id")).collect();
    for view in root.list("stock_price") {
        let Some(of) = view.maybe_text("of") else { continue };
        let known = if of == LUMBER { root.table("lumber").is_some() } else { bars.contains(&of) };
        if !known {
            let problem = Problem::error(format!("the job has no stock \"{of}\""))
                .help("lumber or the name of a bar was expected");
            faults.push(view.place("of", problem));
        }
    }
    faults
}

/// A stock length that stands twice.
pub(super) fn twice(table: View, stock: &[Nm], system: System) -> Faults {
    let mut faults = Faults::none();
    for (at, length) in stock.iter().enumerate() {
        if stock[..at].contains(length) {
            let problem =
                Problem::error(format!("the stock length {} stands twice", system.show(*length)));
            faults.push(table.place("stock", problem.help("take one of them out")));
        }
    }
    faults
}
