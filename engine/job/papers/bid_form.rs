//! The owner's form of the bid: his items, filled from the lines of the price by the job's mapping.

use num_rational::BigRational;
use num_traits::Signed;

use super::super::settings::View;
use super::super::{CalcSheets, Job};
use super::quote::{QuoteLine, quote_lines_in};
use super::spread::{over_lines, unnamed};
use crate::listing::{Amount, Listing, listings};
use crate::measure::{Dimension, Money, ratio, round, thousands};
use crate::problem::{Faults, Outcome, Problem};

listings! {
    BID_FORM = "bid_form", "the items of the owner's bid form, each with its share of the whole price", for Client, by ["number"]: BidFormRow {
        number: String, "number of the owner's item";
        words: String, "the owner's words";
        quantity: Option<f64>, "the owner's quantity; nothing for a lump sum";
        unit: String, "the owner's unit";
        unit_price: Option<Amount<Money>>, "unit price by the form's rounding";
        amount: Amount<Money>, "unit price x quantity, to the cent";
    }
    BID_FORM_TOLD = "bid_form_told", "what is to be said of the owner's bid form", for Client, by []: BidFormTold {
        text: String, "in words";
    }
}

/// To which side a price of the form is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rounded {
    Nearest,
    Up,
    Down,
}

/// The form.
#[derive(Debug, Clone)]
pub(super) struct BidForm {
    title: Option<String>,
    side: Rounded,
    /// What prices are a whole number of, in the currency.
    step: BigRational,
    items: Vec<BidItem>,
    /// Where it stands.
    at: Problem,
}

/// An item of the form.
#[derive(Debug, Clone)]
struct BidItem {
    number: String,
    unit: String,
    quantity: Option<BigRational>,
    line: QuoteLine,
}

/// Reads the form; nothing where the job has none.
///
/// # Errors
/// A price line stands in two items, an item names none, has the number of another or the quantity 0, the step is
/// not a whole number of cents.
pub(super) fn bid_form(root: View) -> Outcome<Option<BidForm>> {
    let mut faults = Faults::none();
    let Some(table) = root.table("bid_form") else { return Ok(None) };
    let lines = faults.keep(quote_lines_in(table, "item", "the bid form")).unwrap_or_default();
    let mut items: Vec<BidItem> = Vec::new();
    for (view, line) in table.list("item").into_iter().zip(lines) {
        let text = |name| view.maybe_text(name).unwrap_or_default().to_owned();
        let quantity = view.maybe_measure("quantity").map(|exact| exact.value);
        if quantity.as_ref().is_some_and(|quantity| *quantity == ratio(0, 1)) {
            let problem = Problem::error("an item of quantity 0 has no unit price");
            faults.push(view.place("quantity", problem.help("leave it out for a lump sum")));
        }
        let number = text("number");
        if line.of.is_empty() {
            let problem =
                Problem::error("an item that names no line of the price would be bid at nothing");
            faults.push(view.place("of", problem.help("name lines of the price in it")));
        }
        if !number.is_empty() && items.iter().any(|item| item.number == number) {
            let problem = Problem::error(format!("the bid form has item {number} twice"));
            faults.push(view.place("number", problem.help("give each its own number")));
        }
        items.push(BidItem { number, unit: text("unit"), quantity, line });
    }
    let step = table.maybe_measure("round_to").filter(|step| {
        let cents = &step.value * ratio(100, 1);
        let sound =
            step.dimension == Dimension::MONEY && step.value > ratio(0, 1) && cents.is_integer();
        if !sound {
            let problem = Problem::error("prices are rounded to whole cents");
            faults.push(table.place("round_to", problem.help("write it like \"0.05 usd\"")));
        }
        sound
    });
    faults.or_value(Some(Some(BidForm {
        title: table.maybe_text("title").map(str::to_owned),
        side: match table.maybe_text("rounded") {
            Some("up") => Rounded::Up,
            Some("down") => Rounded::Down,
            _ => Rounded::Nearest,
        },
        step: step.map_or_else(|| ratio(1, 100), |step| step.value),
        items,
        at: table.place("item", Problem::error("")),
    })))
}

impl BidForm {
    /// The lines of the price that its items name.
    pub(super) fn lines(&self) -> impl Iterator<Item = &QuoteLine> {
        self.items.iter().map(|item| &item.line)
    }

    /// A price by its rounding.
    fn rounded(&self, price: &BigRational) -> BigRational {
        let steps = price / &self.step;
        let whole = match self.side {
            Rounded::Nearest => BigRational::from_integer(round::nearest_ratio(&steps)),
            Rounded::Up => steps.ceil(),
            Rounded::Down => steps.floor(),
        };
        whole * &self.step
    }

    /// The form filled in.
    ///
    /// # Errors
    /// Its items leave lines of the price out, or its rounding moves the price by more than 1 %.
    fn filled(&self, job: &Job, calc: &CalcSheets) -> Outcome<[Listing; 2]> {
        let lines: Vec<&QuoteLine> = self.lines().collect();
        let Some(parts) = over_lines(&lines, calc) else {
            return Ok(without_rows());
        };
        if parts.iter().any(|(line, _)| line.is_none()) {
            let message = "the items of the bid form do not hold the whole price".to_owned();
            let problem = Problem { message, ..self.at.clone() };
            let left = unnamed(&lines, calc);
            return Err(match left.as_slice() {
                [] => {
                    problem.help("its price is made up of more than the lines that items can name")
                }
                left => problem
                    .detail(format!("no item names: {}", left.join(", ")))
                    .help("give each of them to an item: its list \"of\" takes their names"),
            }
            .into());
        }
        let money = |value: BigRational| Amount::new(value, &job.wall_job.style.currency);
        let of =
            |at: usize| parts.iter().find(|(line, _)| *line == Some(at)).map_or(0, |part| part.1);
        let (mut rows, mut sum) = (Vec::new(), ratio(0, 1));
        for (at, item) in self.items.iter().enumerate() {
            let exact = ratio(of(at).into(), 100);
            let unit_price =
                item.quantity.as_ref().map(|quantity| self.rounded(&(&exact / quantity)));
            let amount = match (&unit_price, &item.quantity) {
                (Some(price), Some(quantity)) => round::nearest_places(&(price * quantity), 2),
                _ => self.rounded(&exact),
            };
            sum += &amount;
            rows.push(BidFormRow {
                number: item.number.clone(),
                words: item.line.words.clone(),
                quantity: item.quantity.as_ref().and_then(num_traits::ToPrimitive::to_f64),
                unit: match item.unit.as_str() {
                    "" if item.quantity.is_none() => "lump sum".to_owned(),
                    unit => unit.to_owned(),
                },
                unit_price: unit_price.map(money),
                amount: money(amount),
            });
        }
        let total = ratio(parts.iter().map(|part| i128::from(part.1)).sum(), 100);
        let by = &sum - &total;
        let most = total.abs() / ratio(100, 1);
        if by.abs() > most {
            let far = thousands(num_traits::ToPrimitive::to_f64(&by).unwrap_or(0.0), 2);
            let currency = &job.wall_job.style.currency;
            let message = format!(
                "the rounding of the bid form moves the price by {far} {currency}, more than 1 % of it"
            );
            let problem = Problem { message, ..self.at.clone() };
            return Err(problem
                .help("take a smaller round_to, or look at the quantities of its items")
                .into());
        }
        let mut told: Vec<String> = self.title.iter().cloned().collect();
        if by != ratio(0, 1) {
            let words = thousands(num_traits::ToPrimitive::to_f64(&by).unwrap_or(0.0), 2);
            let words = format!("{words} {}", job.wall_job.style.currency);
            told.push(format!("The total of this form differs from that of the quote by {words}: its prices are rounded"));
        }
        let told = told.into_iter().map(|text| BidFormTold { text });
        Ok([Listing::of(BID_FORM, rows), Listing::of(BID_FORM_TOLD, told)])
    }
}

/// The listings of the form of a job; without rows where it has none.
///
/// # Errors
/// As [`BidForm::filled`].
pub(super) fn form_listings(job: &Job, calc: &CalcSheets) -> Outcome<[Listing; 2]> {
    match &job.papers.form {
        Some(form) => form.filled(job, calc),
        None => Ok(without_rows()),
    }
}

fn without_rows() -> [Listing; 2] {
    let (rows, told): (Vec<BidFormRow>, Vec<BidFormTold>) = (Vec::new(), Vec::new());
    [Listing::of(BID_FORM, rows), Listing::of(BID_FORM_TOLD, told)]
}
