//! The quote as the settings give it: whom it is for, under which words the price stands, what the client is told.

use num_rational::BigRational;

use super::super::build::check_date;
use super::super::costs::lines_of;
use super::super::settings::View;
use super::super::sheets::PRICE_SHEET;
use crate::measure::{Dimension, Exact};
use crate::problem::{Faults, Outcome, Problem, closest};
use crate::sheet::{Sheet, name_of};

/// A quote.
#[derive(Debug, Clone, Default)]
pub(in crate::job) struct Quote {
    pub(super) number: Option<String>,
    pub(super) date: Option<String>,
    /// Days for which it holds.
    pub(super) holds: Option<i64>,
    pub(super) client: Vec<String>,
    pub(super) site: Option<String>,
    pub(super) work: Option<String>,
    pub(super) includes: Vec<String>,
    pub(super) excludes: Vec<String>,
    pub(super) assumes: Vec<String>,
    pub(super) terms: Vec<String>,
    /// Its lines; none where the bundled ones hold.
    pub(super) lines: Vec<QuoteLine>,
    pub(super) alternates: Vec<Alternate>,
    pub(super) unit_prices: Vec<UnitPrice>,
}

/// A line of a quote.
#[derive(Debug, Clone)]
pub(super) struct QuoteLine {
    pub(super) words: String,
    /// Lines of the price sheet.
    pub(super) of: Vec<String>,
    /// A line of the takeoff.
    pub(super) quantity: Option<String>,
    pub(super) is_allowance: bool,
    /// Where its price lines and its quantity stand; nowhere for a bundled one.
    pub(super) places: Option<[Problem; 2]>,
}

/// Work that the owner may take or leave.
#[derive(Debug, Clone)]
pub(super) struct Alternate {
    pub(super) words: String,
    pub(super) deducts: bool,
    pub(super) price: BigRational,
}

/// A price for changes of quantity.
#[derive(Debug, Clone)]
pub(super) struct UnitPrice {
    pub(super) words: String,
    pub(super) price: Exact,
}

/// The lines of a quote that says nothing of them: words, lines of the bundled price sheet, quantity.
const BUNDLED: [(&str, &[&str], &str); 8] = [
    ("Excavation, with haul of what is left over", &["dig", "haul"], "dig.bank"),
    (
        "Footing concrete, with its steps",
        &["footing_concrete", "edge_forms", "risers"],
        "footing.total",
    ),
    (
        "Wall forms, set and stripped",
        &["wall_forms", "strip_and_clean", "ties", "cut_fillers"],
        "forms.contact",
    ),
    ("Reinforcing steel, cut, bent and placed", &["steel"], "bars.total"),
    ("Wall concrete", &["wall_concrete"], "stem.total"),
    ("Backfill, placed", &["backfilling"], "backfill.total"),
    ("Fill brought in", &["fill_brought_in"], "backfill.brought_in"),
    ("Drain rock behind the wall", &["drain_rock"], "drain.rock"),
];

fn bundled() -> Vec<QuoteLine> {
    let line = |(words, of, quantity): (&str, &[&str], &str)| QuoteLine {
        words: words.to_owned(),
        of: of.iter().map(|name| (*name).to_owned()).collect(),
        quantity: Some(quantity.to_owned()),
        is_allowance: false,
        places: None,
    };
    BUNDLED.into_iter().map(line).collect()
}

/// Reads the quote.
///
/// # Errors
/// A date is none, a price line stands in two lines of the quote, or an alternate is not an amount of money.
pub(in crate::job) fn quote(root: View) -> Outcome<Quote> {
    let mut faults = Faults::none();
    let mut quote = Quote::default();
    let job = root.table("job");
    let of_job = |name| job.and_then(|job| job.maybe_text(name)).map(str::to_owned);
    quote.date = of_job("bid_date");
    quote.client = of_job("owner").into_iter().collect();
    if let Some(table) = root.table("quote") {
        let text = |name| table.maybe_text(name).map(str::to_owned);
        let texts = |name| table.texts(name).to_vec();
        if let Some(date) = text("date") {
            let sound = check_date(&date).map_err(|problem| table.place("date", problem));
            if faults.keep_one(sound).is_some() {
                quote.date = Some(date);
            }
        }
        if !table.texts("client").is_empty() {
            quote.client = texts("client");
        }
        quote.number = text("number");
        quote.holds = table.maybe_count("holds");
        quote.site = text("site");
        quote.work = text("work");
        quote.includes = texts("includes");
        quote.excludes = texts("excludes");
        quote.assumes = texts("assumes");
        quote.terms = texts("terms");
        quote.lines = faults.keep(quote_lines_in(table, "line", "the quote")).unwrap_or_default();
        for view in table.list("alternate") {
            let (Some(words), Some(price)) =
                (view.maybe_text("words"), view.maybe_measure("price"))
            else {
                continue;
            };
            if price.dimension != Dimension::MONEY {
                let problem =
                    Problem::error("an alternate changes the price by an amount of money");
                faults.push(view.place("price", problem.help("write it like \"1250 usd\"")));
                continue;
            }
            quote.alternates.push(Alternate {
                words: words.to_owned(),
                deducts: view.maybe_text("change") == Some("deduct"),
                price: price.value,
            });
        }
        let prices = table.list("unit_price").into_iter().filter_map(|view| {
            let words = view.maybe_text("words")?.to_owned();
            Some(UnitPrice { words, price: view.maybe_measure("price")? })
        });
        quote.unit_prices.extend(prices);
    }
    if quote.lines.is_empty() {
        quote.lines = bundled();
    }
    faults.or_value(Some(quote))
}

/// Reads a list of lines that name lines of the price sheet.
///
/// # Errors
/// A line of the price stands in two of them.
pub(super) fn quote_lines_in(table: View, list: &str, of_what: &str) -> Outcome<Vec<QuoteLine>> {
    let mut faults = Faults::none();
    let mut lines: Vec<QuoteLine> = Vec::new();
    for view in table.list(list) {
        // What is missing was told when the settings were read.
        let Some(words) = view.maybe_text("words") else { continue };
        let of: Vec<String> = view.texts("of").iter().map(|name| name_of(name)).collect();
        for (at, name) in of.iter().enumerate() {
            if of[..at].contains(name) || lines.iter().any(|line| line.of.contains(name)) {
                let problem = Problem::error(format!("{name} is in {of_what} twice"));
                faults.push(view.place("of", problem.help("take one of them out")));
            }
        }
        let place = |name| view.place(name, Problem::error(""));
        lines.push(QuoteLine {
            words: words.to_owned(),
            of,
            quantity: view.maybe_text("quantity").map(str::to_owned),
            is_allowance: view.maybe_text("allowance") == Some("yes"),
            places: Some([place("of"), place("quantity")]),
        });
    }
    faults.or_value(Some(lines))
}

/// What is wrong with lines beside the price sheet of the job: names that it does not have.
pub(super) fn faults_beside<'a>(
    lines: impl Iterator<Item = &'a QuoteLine>,
    sheets: &[Sheet],
) -> Faults {
    let mut faults = Faults::none();
    let Some(price) = sheets.iter().find(|sheet| sheet.name == PRICE_SHEET) else {
        return faults;
    };
    let all = || price.rows.iter().map(|row| row.name.as_str()).filter(|name| !name.is_empty());
    let names = lines_of(price).unwrap_or_else(|| all().collect());
    for line in lines {
        let Some([of, _]) = &line.places else { continue };
        for name in line.of.iter().filter(|name| !names.contains(&name.as_str())) {
            let message = format!("the price has no line \"{name}\"");
            let problem = Problem { message, ..of.clone() };
            faults.push(match closest(name, names.iter().copied()) {
                Some(near) => problem.help(format!("did you mean {near}?")),
                None => problem.help(format!("its lines: {}", names.join(", "))),
            });
        }
    }
    faults
}
