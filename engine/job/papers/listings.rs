//! What the quote says, as listings: its head, its lines, what is in the price and what is not, who signs.

use num_rational::BigRational;

use super::super::{CalcSheets, Job};
use super::bid_form::{BID_FORM, BID_FORM_TOLD, form_listings};
use super::firm::{FIRM, Firm, PLAN_SHEETS};
use super::quote::{Quote, QuoteLine};
use super::spread::over_lines;
use super::told::{assumed, beside, excluded, included, told_missing};
use crate::listing::{Amount, AnyAmount, Declaration, Listing, listings};
use crate::measure::{Dimension, Money, Quantity, date_text, ratio, read_date};
use crate::problem::{Outcome, Problem, closest};
use crate::takeoff::Takeoff;

listings! {
    QUOTE_HEAD = "quote_head", "whom the quote is for, its number and dates", for Client, by []: QuoteHead {
        what: &'static str, "what it is; empty where it goes on from the row before";
        text: String, "in words";
    }
    QUOTE_DRAFT = "quote_draft", "why the quote is a draft: what it lacks before it can be signed", for Client, by []: QuoteDraft {
        lacks: String, "what it lacks";
    }
    QUOTE_LINES = "quote_lines", "the lines of the quote: each price holds its share of overhead, profit, tax and bond, and they add up to the total", for Client, by ["item"]: QuoteRow {
        item: usize, "number of the line";
        words: String, "the work";
        text: String, "the same, with the caution where the work can hurt someone, and that it is an allowance";
        quantity: Option<AnyAmount>, "how much of it is taken off; nothing for a lump sum";
        unit: String, "its unit";
        price: Amount<Money>, "its price";
        allowance: &'static str, "yes where it is an allowance, settled at what the work comes to";
        share: f64, "its share of the total, percent";
    }
    QUOTE_TOLD = "quote_told", "what is in the price and what is not, what it rests on, its terms", for Client, by []: QuoteTold {
        kind: &'static str, "included, excluded, assumed, caution or term";
        text: String, "in words";
    }
    QUOTE_ALTERNATES = "quote_alternates", "work that the owner may take or leave", for Client, by ["words"]: AlternateRow {
        words: String, "what it is";
        change: &'static str, "add or deduct";
        price: Amount<Money>, "by how much";
    }
    QUOTE_UNIT_PRICES = "quote_unit_prices", "prices for changes of quantity", for Client, by ["words"]: UnitPriceRow {
        words: String, "what it is for";
        price: AnyAmount, "the price";
        unit: String, "money for one of what";
    }
    QUOTE_SIGNERS = "quote_signers", "who signs", for Client, by ["side"]: Signer {
        side: &'static str, "for whom";
        text: String, "the firm or owner, and who signs for it where it is known";
    }
}

/// What a job with a price has of them.
pub(in crate::job) const DECLARED: [Declaration; 11] = [
    FIRM,
    PLAN_SHEETS,
    QUOTE_HEAD,
    QUOTE_DRAFT,
    QUOTE_LINES,
    QUOTE_TOLD,
    QUOTE_ALTERNATES,
    QUOTE_UNIT_PRICES,
    QUOTE_SIGNERS,
    BID_FORM,
    BID_FORM_TOLD,
];

/// What the last line holds: lines of the price that no other has.
const OTHER: &str = "Other work of this quote";

/// The listings of the quote of a job.
///
/// # Errors
/// A line names a quantity that the takeoff does not have.
pub(in crate::job) fn listings_of(
    job: &Job,
    takeoff: &Takeoff,
    calc: &CalcSheets,
) -> Outcome<Vec<Listing>> {
    let (firm, quote) = (&job.papers.firm, &job.papers.quote);
    let lines = lines(job, quote, takeoff, calc)?;
    let money = |value: &BigRational| Amount::new(value.clone(), &job.wall_job.style.currency);
    let alternates = quote.alternates.iter().map(|one| AlternateRow {
        words: one.words.clone(),
        change: if one.deducts { "deduct" } else { "add" },
        price: money(&one.price),
    });
    let unit_prices = quote.unit_prices.iter().map(|one| {
        let unit = job.wall_job.style.unit(one.price.dimension);
        UnitPriceRow {
            words: one.words.clone(),
            price: AnyAmount(one.price.clone(), unit.clone()),
            unit,
        }
    });
    let [form, form_told] = form_listings(job, calc)?;
    let mut told = Vec::new();
    let mut tell = |kind, texts: Vec<String>| {
        told.extend(texts.into_iter().map(|text| QuoteTold { kind, text }));
    };
    tell("included", [included(&job.priced.left_out, calc), quote.includes.clone()].concat());
    let not_in = excluded(&job.priced.left_out, &calc.missing);
    tell("excluded", [not_in, quote.excludes.clone()].concat());
    tell("assumed", [assumed(job, takeoff), quote.assumes.clone()].concat());
    tell("caution", beside(job, takeoff));
    tell("term", quote.terms.clone());
    Ok(vec![
        Listing::of(QUOTE_HEAD, head(quote)),
        Listing::of(QUOTE_DRAFT, lacks(quote, calc).into_iter().map(|lacks| QuoteDraft { lacks })),
        Listing::of(QUOTE_LINES, lines),
        Listing::of(QUOTE_TOLD, told),
        Listing::of(QUOTE_ALTERNATES, alternates),
        Listing::of(QUOTE_UNIT_PRICES, unit_prices),
        Listing::of(QUOTE_SIGNERS, signers(firm, quote)),
        form,
        form_told,
    ])
}

fn head(quote: &Quote) -> Vec<QuoteHead> {
    let mut rows = Vec::new();
    let mut enter = |what, text: Option<String>| {
        rows.extend(text.map(|text| QuoteHead { what, text }));
    };
    enter("Quote", quote.number.clone());
    enter("Date", quote.date.clone());
    enter("Holds until", holds_until(quote));
    for (at, line) in quote.client.iter().enumerate() {
        enter(if at == 0 { "For" } else { "" }, Some(line.clone()));
    }
    enter("Site", quote.site.clone());
    enter("Work", quote.work.clone());
    rows
}

/// The last day on which it holds.
fn holds_until(quote: &Quote) -> Option<String> {
    let day = read_date(quote.date.as_deref()?).ok()?;
    #[expect(clippy::cast_precision_loss, reason = "days of a year")]
    let days = Quantity::of(quote.holds? as f64, "day").ok()?;
    date_text(Quantity::new(day.base() + days.base(), Dimension::DATE))
}

/// What a quote lacks before it can be signed.
fn lacks(quote: &Quote, calc: &CalcSheets) -> Vec<String> {
    let mut lacks: Vec<String> =
        told_missing(&calc.missing).map(|work| format!("no price for {work}")).collect();
    for (is_there, what) in [
        (quote.number.is_some(), "no number"),
        (quote.date.is_some(), "no date"),
        (!quote.client.is_empty(), "no client"),
    ] {
        if !is_there {
            lacks.push(what.to_owned());
        }
    }
    lacks
}

fn signers(firm: &Firm, quote: &Quote) -> [Signer; 2] {
    [
        Signer { side: "For the contractor", text: firm.signature() },
        Signer { side: "For the owner", text: quote.client.first().cloned().unwrap_or_default() },
    ]
}

fn lines(job: &Job, quote: &Quote, takeoff: &Takeoff, calc: &CalcSheets) -> Outcome<Vec<QuoteRow>> {
    let lines: Vec<&QuoteLine> = quote.lines.iter().collect();
    let Some(parts) = over_lines(&lines, calc) else { return Ok(Vec::new()) };
    let total = parts.iter().map(|(_, price)| price).sum();
    let dig = beside(job, takeoff);
    let mut rows = Vec::new();
    for (number, (line, price)) in (1..).zip(parts) {
        let line = line.map(|at| lines[at]);
        let quantity = line.map(|line| quantity_of(line, takeoff)).transpose()?.flatten();
        let digs = line
            .is_some_and(|line| line.quantity.as_deref().is_some_and(|id| id.starts_with("dig.")));
        let words = line.map_or(OTHER, |line| &line.words).to_owned();
        let mut text = words.clone();
        if line.is_some_and(|line| line.is_allowance) {
            text += "\nAllowance: settled at what the work comes to";
        }
        for caution in dig.iter().filter(|_| digs) {
            text = format!("{text}\n{caution}");
        }
        rows.push(QuoteRow {
            item: number,
            words,
            text,
            unit: quantity.as_ref().map_or_else(|| "lump sum".to_owned(), |found| found.1.clone()),
            quantity,
            price: Amount::new(ratio(price.into(), 100), &job.wall_job.style.currency),
            allowance: match line.is_some_and(|line| line.is_allowance) {
                true => "yes",
                false => "",
            },
            share: percent(price, total),
        });
    }
    Ok(rows)
}

/// A share of a total in percent, to a hundredth.
fn percent(part: i64, total: i64) -> f64 {
    let share = num_traits::ToPrimitive::to_f64(
        &(ratio(part.into(), 1) * ratio(100, 1) / ratio(i128::from(total).max(1), 1)),
    );
    crate::measure::round::nearest_f64(share.unwrap_or(0.0) * 100.0) / 100.0
}

/// How much of a line's work the takeoff has; a bundled line may name what this wall does not have.
fn quantity_of(line: &QuoteLine, takeoff: &Takeoff) -> Result<Option<AnyAmount>, Problem> {
    let Some(id) = &line.quantity else { return Ok(None) };
    let id = id.strip_prefix("takeoff.").unwrap_or(id);
    if let Some(found) = takeoff.lines.iter().find(|line| line.id == id) {
        return Ok(Some(AnyAmount(found.quantity.clone(), found.unit.clone())));
    }
    let Some([_, at]) = &line.places else { return Ok(None) };
    let message = format!("the takeoff has no line \"{id}\"");
    let problem = Problem { message, ..at.clone() };
    let ids = || takeoff.lines.iter().map(|line| line.id.as_str());
    Err(match closest(id, ids()) {
        Some(near) => problem.help(format!("did you mean {near}?")),
        None => problem.help(format!("its lines: {}", ids().collect::<Vec<_>>().join(", "))),
    })
}
