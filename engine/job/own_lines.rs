//! Lines that a job adds to its price: a price of its own times a quantity.

use super::costs::{DIRECT, lines_of};
use super::settings::View;
use super::sheets::PRICE_SHEET;
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::sheet::{Sheet, SheetRow};

/// A line of the price that is one of the job's own prices times something.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OwnLine {
    name: String,
    what: String,
    times: String,
    place: Place,
}

impl OwnLine {
    /// Its name and where it stands, where it is a lump sum: a price times a number and nothing of the job.
    pub(super) fn lump_sum(&self) -> Option<(&str, &Place)> {
        let number = self.times.parse::<f64>().is_ok();
        number.then_some((self.name.as_str(), &self.place))
    }
}

/// Reads them; that a job has no price for them is told with what else is about its price.
pub(super) fn own_lines(root: View) -> Vec<OwnLine> {
    let line = |view: &View| {
        let (name, times) = (view.maybe_text("name")?, view.maybe_text("times")?);
        Some(OwnLine {
            name: name.to_owned(),
            what: titled(name, view.maybe_text("what")),
            times: times.trim_start_matches('=').trim().to_owned(),
            place: view.place("times", Problem::error("")).place?,
        })
    };
    root.list("own_price").iter().filter_map(line).collect()
}

/// What a line is called in the price: its name, and what it is for.
fn titled(name: &str, what: Option<&str>) -> String {
    let plain = name.replace('_', " ");
    let mut letters = plain.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    let title = first + letters.as_str();
    match what {
        Some(what) if !what.eq_ignore_ascii_case(&title) => format!("{title}: {what}"),
        _ => title,
    }
}

/// Puts them into the price sheet, over its direct cost and into its sum.
///
/// # Errors
/// The price sheet has no row that sums its lines, or a row of that name.
pub(super) fn add_own_lines(sheets: &mut [Sheet], lines: &[OwnLine]) -> Outcome<()> {
    let Some(price) = sheets.iter_mut().find(|sheet| sheet.name == PRICE_SHEET) else {
        return Ok(());
    };
    let mut faults = Faults::none();
    for line in lines {
        let problem = |message: String| Problem::error(message).at(line.place.clone());
        if price.rows.iter().any(|row| row.name == line.name) {
            faults.push(
                problem(format!("the price has a line {} of its own", line.name))
                    .help("give the price another name, or take times out"),
            );
            continue;
        }
        let sum = price.rows.iter().position(|row| row.name == DIRECT);
        let Some(sum) = sum.filter(|_| lines_of(price).is_some()) else {
            let message = "the price sheet has no row direct that sums its lines in [ ]".to_owned();
            faults.push(problem(message).help("put the line into the sheet itself"));
            continue;
        };
        let direct = &mut price.rows[sum];
        direct.formula = direct.formula.replacen(']', &format!(", {}]", line.name), 1);
        let mut others = vec![String::new(); price.others.len()];
        if let Some(note) = others.first_mut() {
            *note = format!("{} x the price", line.times);
        }
        let row = SheetRow {
            what: line.what.clone(),
            name: line.name.clone(),
            unit: String::new(),
            formula: format!("to_cent(({}) * prices.{})", line.times, line.name),
            column: None,
            needs: Vec::new(),
            others,
            expected: None,
            place: line.place.clone(),
        };
        price.rows.insert(sum, row);
    }
    faults.or_value(Some(()))
}
