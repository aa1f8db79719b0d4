//! Prices that are older than the job lets them be.

use super::settings::View;
use crate::listing::{Listing, listings};
use crate::measure::{date_days, read_date, round};
use crate::problem::{Faults, Outcome, Problem};

listings! {
    OLD_PRICES = "old_prices", "prices that were older on the bid date than the job lets them be", for Office, by ["path"]: OldPrice {
        path: String, "name in formulas";
        supplier: Option<String>, "who gave it";
        date: String, "when";
        days: Option<i64>, "days from then to the bid date; nothing where there is none to count to";
        hold: i64, "days that prices hold, as the job says";
        remark: String, "the same in words";
    }
}

/// Reads which prices are old.
///
/// # Errors
/// A price has a date that is none, or one after the bid date.
pub(super) fn old_prices(root: View) -> Outcome<Vec<OldPrice>> {
    let mut faults = Faults::none();
    let job = root.table("job");
    let hold = job.and_then(|job| job.maybe_count("prices_hold"));
    let bid = job.and_then(|job| job.maybe_text("bid_date"));
    // A bid date that is none is told where it is read.
    let bid_days = bid.and_then(|text| read_date(text).ok()).map(date_days);
    let mut old = Vec::new();
    for view in root.list("own_price") {
        let Some(text) = view.maybe_text("date") else { continue };
        let date = read_date(text).map_err(|problem| view.place("date", problem));
        let Some(date) = faults.keep_one(date) else { continue };
        let (Some(hold), Some(name)) = (hold, view.maybe_text("name")) else { continue };
        let supplier = view.maybe_text("supplier").map(str::to_owned);
        let by = supplier.as_ref().map_or_else(String::new, |name| format!(" by {name}"));
        let mut told = |days: Option<i64>, age: &str| {
            let remark = format!("given{by} on {text}, {age}; prices hold {hold} days");
            let (path, supplier) = (format!("prices.{name}"), supplier.clone());
            old.push(OldPrice { path, supplier, date: text.to_owned(), days, hold, remark });
        };
        match bid_days {
            None if bid.is_none() => told(None, "and the job has no bid date to count to"),
            None => {}
            Some(bid_days) => {
                #[expect(clippy::cast_possible_truncation, reason = "days of a calendar")]
                let days = round::nearest_f64(bid_days - date_days(date)) as i64;
                if days < 0 {
                    let problem =
                        Problem::error(format!("this price is of {text}, after the bid date"));
                    faults.push(view.place("date", problem));
                } else if days > hold {
                    told(Some(days), &format!("{days} days before the bid"));
                }
            }
        }
    }
    faults.or_value(Some(old))
}

/// The listing.
pub(super) fn listing(old: &[OldPrice]) -> Listing {
    Listing::of(OLD_PRICES, old.iter().cloned())
}
