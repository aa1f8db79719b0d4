//! Cost kinds: what of each line of the price is labour, material, equipment, subcontract or a kind of the firm's own. A line is
//! rounded once, in the price; its kinds are shares of that which add up to it.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::BigRational;
use num_traits::{One, Zero};

use super::missing::{LeftOutWork, left_out};
use super::old_prices::{OldPrice, old_prices};
use super::own_lines::{OwnLine, own_lines};
use super::settings::View;
use super::sheets::PRICE_SHEET;
use super::{Key, bundled_keys};
use crate::measure::{Dimension, Exact, decimal_places, known_unit, shortest};
use crate::problem::{Faults, Outcome, Place, Problem, closest};
use crate::sheet::{Across, Sheet, SheetRow, name_of};

/// The sheet of the kinds.
pub(super) const KINDS: &str = "kinds";
/// The kind of lines that no cost row divides.
const NOT_SPLIT: &str = "not_split";
/// The row of the price sheet that is the sum of its lines.
pub(super) const DIRECT: &str = "direct";
/// The row of the price sheet that is taxed by kind.
pub(super) const TAXED: &str = "taxed";

/// The lines of a price sheet, those that its row `direct` sums; nothing where it has no such row.
pub(super) fn lines_of(price: &Sheet) -> Option<Vec<&str>> {
    let direct = price.rows.iter().find(|row| row.name == DIRECT)?;
    let (_, after) = direct.formula.split_once('[')?;
    Some(after.split_once(']')?.0.split(',').map(str::trim).collect())
}

/// What is wrong with the cost rows of a job, beside what is wrong in themselves: held against its price sheet.
pub(super) fn faults_of_costs(root: View, sheets: &[Sheet]) -> Faults {
    let price = sheets.iter().find(|sheet| sheet.name == PRICE_SHEET);
    price.map_or_else(Faults::none, |price| cost_kinds(root).0.faults_beside(price))
}

/// One part of a line's cost.
#[derive(Debug, Clone, PartialEq)]
struct CostRow {
    of: String,
    kind: String,
    /// A rate or a share: of a line all are one or the other.
    amount: CostAmount,
    place: Problem,
}

#[derive(Debug, Clone, PartialEq)]
enum CostAmount {
    Rate(Exact),
    Share(BigRational),
}

/// How the lines of the price divide.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct CostKinds {
    rows: Vec<CostRow>,
    /// Lines that have a row, be it a faulty one.
    named: BTreeSet<String>,
    /// Kinds that tax is paid on; none: on all.
    tax_on: Vec<String>,
    /// Where they are named.
    tax_on_at: Option<Problem>,
    /// Prices that the job does not give, by the paths of their keys.
    no_prices: BTreeSet<String>,
}

/// What a job says of its price beside its prices.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Priced {
    /// How the lines divide.
    pub(super) kinds: CostKinds,
    /// Work that the price leaves out, and why.
    pub(super) left_out: Vec<LeftOutWork>,
    /// Prices that are older than it lets them be.
    pub(super) old: Vec<OldPrice>,
    /// Lines that it adds.
    pub(super) lines: Vec<OwnLine>,
}

/// Reads it.
///
/// # Errors
/// The cost rows or the work left out are faulty, or steps are to be bid that nobody draws.
pub(super) fn priced(root: View) -> Outcome<Priced> {
    let mut faults = Faults::none();
    let (kinds, of_kinds) = cost_kinds(root);
    faults.extend(of_kinds);
    let left_out = faults.keep(left_out(root)).unwrap_or_default();
    let old = faults.keep(old_prices(root)).unwrap_or_default();
    let lines = own_lines(root);
    let is_price = |view: &View| view.maybe_text("name") == Some(PRICE_SHEET);
    let own_price = root.list("sheet").iter().any(is_price);
    if root.table("bid").is_none() && !own_price {
        for (list, key) in [("cost", "of"), ("left_out", "work"), ("own_price", "times")] {
            let views = root.list(list);
            if let Some(view) = views.iter().find(|view| view.maybe_text(key).is_some()) {
                let problem = Problem::error(format!(
                    "the list {list} is about a price, and the job has none"
                ));
                faults.push(view.place(key, problem.help("add bid, or take it out")));
            }
        }
    }
    if let Some(bid) = root.table("bid")
        && bid.maybe_text("layout") == Some("as drawn")
        && root.table("drawn").is_none()
    {
        let problem =
            Problem::error("the bid is asked for on the steps as drawn, and the job draws none");
        faults.push(bid.place("layout", problem.help("add [drawn], or take layout out")));
    }
    faults.or_value(Some(Priced { kinds, left_out, old, lines }))
}

/// Reads the cost rows of a job, and tells what is wrong with them: a row gives no amount or two, a kind is no word, the rates
/// of a line do not add up to its price, its shares not to 100.
fn cost_kinds(root: View) -> (CostKinds, Faults) {
    let mut faults = Faults::none();
    let mut kinds = CostKinds::default();
    for view in root.list("cost") {
        // That one is missing was told when the settings were read.
        let (Some(of), Some(kind)) = (view.maybe_text("of"), view.maybe_text("kind")) else {
            continue;
        };
        let of = name_of(of);
        kinds.named.insert(of.clone());
        // American spelling.
        let kind = match name_of(kind) {
            labor if labor == "labor" => "labour".to_owned(),
            kind => kind,
        };
        if !kind.chars().all(|c| c.is_ascii_lowercase() || c == '_')
            || [NOT_SPLIT, TAXED, "all", ""].contains(&kind.as_str())
        {
            let problem = Problem::error(format!("\"{kind}\" is not a kind of cost"));
            faults.push(view.place("kind", problem.help("a word of small letters was expected, such as labour, material, equipment, subcontract")));
            continue;
        }
        let share = view.maybe_measure("share").map(|share| CostAmount::Share(share.value));
        let rate = view.maybe_measure("rate");
        let rate = rate.map(|rate| CostAmount::Rate(by_the_unit(root, &of, rate)));
        let amount =
            match (rate, share) {
                (Some(rate), None) => rate,
                (None, Some(share)) => share,
                _ => {
                    let problem =
                        Problem::error(format!("the {kind} of {of} has no rate or share, or both"));
                    faults.push(view.place(
                        "kind",
                        problem.help(
                            "give rate, such as 6.20 usd/sf, or share, in percent of the line",
                        ),
                    ));
                    continue;
                }
            };
        if kinds.rows.iter().any(|row| row.of == of && row.kind == kind) {
            faults.push(
                view.place("kind", Problem::error(format!("the {kind} of {of} stands twice"))),
            );
        }
        let place = view.place("of", Problem::error(String::new()));
        kinds.rows.push(CostRow { of, kind, amount, place });
    }
    let prices = root.table("prices");
    let without = |key: &Key| {
        let name = key.path.strip_prefix("prices.")?;
        let given = prices.is_some_and(|prices| prices.maybe_measure(name).is_some());
        (!given).then(|| key.path.to_owned())
    };
    kinds.no_prices = bundled_keys().filter_map(without).collect();
    for (of, rows) in kinds.by_line() {
        faults.extend(adds_up(root, of, &rows));
    }
    if let Some(bid) = root.table("bid") {
        for kind in bid.texts("tax_on") {
            if !kinds.names().contains(&kind.as_str()) && kind != NOT_SPLIT {
                let problem = Problem::error(format!("no line has the kind \"{kind}\""));
                faults
                    .push(bid.place("tax_on", problem.help("name kinds that the list cost gives")));
            }
        }
        kinds.tax_on = bid.texts("tax_on").to_vec();
        kinds.tax_on_at = Some(bid.place("tax_on", Problem::error("")));
        if !kinds.tax_on.is_empty() && bid.maybe_measure("tax").is_none() {
            let problem = Problem::error("tax_on says what is taxed, and there is no tax");
            faults.push(bid.place("tax_on", problem.help("add tax, in percent")));
        }
        for (key, kind) in [
            ("tax", None),
            ("markup_labour", Some("labour")),
            ("markup_material", Some("material")),
            ("markup_equipment", Some("equipment")),
            ("markup_subcontract", Some("subcontract")),
        ] {
            let names = kinds.names();
            let known = kind.map_or(!names.is_empty(), |kind| names.contains(&kind));
            if bid.maybe_measure(key).is_some() && !known {
                let what = kind.map_or("tax is paid on kinds of cost".to_owned(), |kind| {
                    format!("no line of the price has a part that is {kind}")
                });
                let help =
                    "divide the lines of the price in the list cost: of, kind, and rate or share";
                faults.push(bid.place(key, Problem::error(what).help(help)));
            }
        }
    }
    (kinds, faults)
}

/// Prices that a line is made of, by the names of their keys.
fn prices_of(line: &str) -> Vec<&str> {
    match line {
        "footing_concrete" | "wall_concrete" => vec![line, "pump"],
        "steel" => vec!["bars"],
        // By riser and by height: no rate for one unit.
        "risers" => vec!["riser_each", "rise"],
        line => vec![line],
    }
}

/// A rate that is money alone is for the unit that the price of its line is for.
fn by_the_unit(root: View, of: &str, rate: Exact) -> Exact {
    let price = |name| root.table("prices")?.maybe_measure(name);
    let dimension = prices_of(of).into_iter().find_map(price).map(|price| price.dimension);
    let unit = dimension.filter(|_| rate.dimension == Dimension::MONEY);
    match unit.and_then(|dimension| known_unit(&root.style().unit(dimension))) {
        Some(unit) => Exact { value: rate.value * unit.exact(), dimension: unit.dimension() },
        None => rate,
    }
}

/// Faults of the cost rows of one line.
fn adds_up(root: View, of: &str, rows: &[&CostRow]) -> Faults {
    let mut faults = Faults::none();
    let mut at = |message: String, help: String| {
        let mut problem = rows[0].place.clone();
        problem.message = message;
        faults.push(problem.help(help));
    };
    let mut sum = BigRational::zero();
    let mut dimension = None;
    let mut shares = 0;
    for row in rows {
        match &row.amount {
            CostAmount::Share(share) => {
                shares += 1;
                sum += share;
            }
            CostAmount::Rate(rate) => {
                if *dimension.get_or_insert(rate.dimension) != rate.dimension {
                    at(
                        format!("the rates of {of} are of several units"),
                        "give all of them for one unit".into(),
                    );
                    return faults;
                }
                sum += &rate.value;
            }
        }
    }
    if shares > 0 && shares < rows.len() {
        at(
            format!("some costs of {of} are rates and some are shares"),
            "give all of a line as one or the other".into(),
        );
    } else if shares > 0 && !sum.is_one() {
        let percent =
            crate::measure::decimal_places(&(sum * BigRational::from_integer(100.into())), 2);
        at(format!("the shares of {of} add up to {percent} %"), "they must add up to 100".into());
    } else if let (Some(dimension), Some(prices)) = (dimension, root.table("prices")) {
        let mut named = prices_of(of);
        named.retain(|name| prices.maybe_measure(name).is_some());
        let known: Vec<Exact> =
            named.iter().filter_map(|name| prices.maybe_measure(name)).collect();
        let of_one_unit = known.iter().all(|price| price.dimension == known[0].dimension);
        let whole = known.iter().fold(BigRational::zero(), |sum, price| sum + &price.value);
        if !of_one_unit {
            at(format!("{of} has prices of several units"), "give shares of it, not rates".into());
        } else if known.first().is_some_and(|price| price.dimension != dimension) {
            at(
                format!("the rates of {of} are {dimension}, its price is {}", known[0].dimension),
                "give rates for the unit of the price".into(),
            );
        } else if !known.is_empty() && whole != sum {
            let name = root.style().unit(known[0].dimension);
            let unit = known_unit(&name);
            let show = |value: &BigRational| match &unit {
                Some(unit) => decimal_places(&(value / unit.exact()), 2),
                None => decimal_places(value, 2),
            };
            let named: Vec<String> = named.iter().map(|name| format!("prices.{name}")).collect();
            at(
                format!(
                    "the rates of {of} add up to {} {name}, its price, {}, is {} {name}",
                    show(&sum),
                    named.join(" + "),
                    show(&whole)
                ),
                "correct the rates or the price: a line's kinds are parts of its price".into(),
            );
        }
    }
    faults
}

impl CostKinds {
    fn by_line(&self) -> BTreeMap<&str, Vec<&CostRow>> {
        let mut lines: BTreeMap<&str, Vec<&CostRow>> = BTreeMap::new();
        for row in &self.rows {
            lines.entry(&row.of).or_default().push(row);
        }
        lines
    }

    /// The kinds, in the order in which they are first named.
    pub(super) fn names(&self) -> Vec<&str> {
        let mut names: Vec<&str> = Vec::new();
        for row in &self.rows {
            if !names.contains(&row.kind.as_str()) {
                names.push(&row.kind);
            }
        }
        names
    }

    /// Whether a formula may name a cell of the sheet of kinds.
    pub(super) fn has(&self, name: &str) -> bool {
        let Some(name) = name.strip_prefix("kinds.") else { return false };
        !self.rows.is_empty() && (self.names().contains(&name) || [TAXED, "all"].contains(&name))
    }

    /// Before a job is worked out: rows of lines that its price sheet does not have, and lines that are not divided though tax
    /// is paid by kind.
    pub(super) fn faults_beside(&self, price: &Sheet) -> Faults {
        let mut faults = Faults::none();
        let Some(lines) = lines_of(price) else { return faults };
        let known = |row: &&CostRow| lines.iter().any(|line| name_of(line) == row.of);
        for row in self.rows.iter().filter(|row| !known(row)) {
            let mut problem = row.place.clone();
            problem.message = format!("the price has no line \"{}\"", row.of);
            let labelled = price.rows.iter().find(|known| {
                name_of(&known.what) == row.of && lines.contains(&known.name.as_str())
            });
            let near = labelled.map(|known| known.name.as_str());
            faults.push(match near.or_else(|| closest(&row.of, lines.iter().copied())) {
                Some(near) => problem.help(format!("did you mean {near}?")),
                None => problem.help(format!("its lines: {}", lines.join(", "))),
            });
        }
        let needs = |line: &str, is: &dyn Fn(&String) -> bool| {
            price.rows.iter().any(|row| row.name == line && row.needs.iter().any(is))
        };
        // A line whose price nobody gives is none; whether one has a quantity is not known yet.
        let priced = |line: &str| !needs(line, &|need| self.no_prices.contains(need));
        let open = |line: &str| needs(line, &|need| need.starts_with("takeoff."));
        let (perhaps, sure): (Vec<&str>, Vec<&str>) = self
            .undivided(&lines)
            .into_iter()
            .filter(|line| priced(line))
            .partition(|line| open(line));
        faults.extend(self.undivided_of_taxed(&sure, &perhaps));
        faults
    }

    /// Lines that no row divides.
    fn undivided<'l>(&self, lines: &[&'l str]) -> Vec<&'l str> {
        lines.iter().filter(|line| !self.named.contains(&name_of(line))).copied().collect()
    }

    /// What is wrong where tax is paid by kind and lines are not divided: those that the price has, and those that it may have.
    fn undivided_of_taxed(&self, sure: &[&str], perhaps: &[&str]) -> Faults {
        let whole = self.tax_on.is_empty() || self.tax_on.iter().any(|kind| kind == NOT_SPLIT);
        if whole || self.rows.is_empty() || sure.is_empty() {
            return Faults::none();
        }
        let more = match perhaps {
            [] => String::new(),
            more => format!("; nor, if the job has them, {}", more.join(", ")),
        };
        let mut problem = self.tax_on_at.clone().unwrap_or_else(|| Problem::error(""));
        problem.message = format!(
            "tax is paid by kind, and these lines of the price are not divided into kinds: {}{more}",
            sure.join(", ")
        );
        problem
            .help(
                "divide them in the list cost, or name not_split in tax_on too, to tax them whole",
            )
            .into()
    }

    /// The sheet that divides the lines of a price sheet; nothing where no line is divided.
    ///
    /// # Errors
    /// The price sheet has no row `direct` that sums its lines, or tax is paid by kind and a line is not divided.
    pub(super) fn sheet(&self, price: &Sheet) -> Outcome<Option<Sheet>> {
        if self.rows.is_empty() {
            return Ok(None);
        }
        let Some(lines) = lines_of(price) else {
            return Err(Problem::error(
                "the price sheet has no row \"direct\" that is the sum of its lines",
            )
            .at(Place::file("job.toml"))
            .help("write direct as sum([line, line, ...]): the list cost divides those lines")
            .into());
        };
        let faults = self.undivided_of_taxed(&self.undivided(&lines), &[]);
        let mut rows = Vec::new();
        let mut of_kind: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        let divided = self.by_line();
        for line in &lines {
            let label = price.rows.iter().find(|row| row.name == *line);
            let label = label.map_or(*line, |row| row.what.as_str());
            match divided.get(name_of(line).as_str()) {
                None => {
                    let name = format!("{line}_{NOT_SPLIT}");
                    of_kind.entry(NOT_SPLIT).or_default().push(name.clone());
                    rows.push(row(format!("{label}, not divided"), name, format!("price.{line}")));
                }
                Some(parts) => divide(line, label, parts, &mut rows, &mut of_kind),
            }
        }
        rows.push(row("By kind".into(), String::new(), String::new()));
        let mut names: Vec<&str> = self.names();
        names.extend(of_kind.contains_key(NOT_SPLIT).then_some(NOT_SPLIT));
        for kind in &names {
            let cells = of_kind.get(kind).map_or_else(String::new, |cells| cells.join(", "));
            let what = kind.replace('_', " ");
            rows.push(row(what, (*kind).to_owned(), format!("sum([{cells}])")));
        }
        rows.push(row("All kinds".into(), "all".into(), format!("sum([{}])", names.join(", "))));
        if !of_kind.contains_key(NOT_SPLIT) && self.tax_on.iter().any(|kind| kind == NOT_SPLIT) {
            names.push(NOT_SPLIT);
            rows.push(row(
                "not divided".into(),
                NOT_SPLIT.into(),
                "to_cent(price.direct * 0)".into(),
            ));
        }
        let taxed = if self.tax_on.is_empty() { names.join(", ") } else { self.tax_on.join(", ") };
        rows.push(row("What tax is paid on".into(), TAXED.into(), format!("sum([{taxed}])")));
        faults.or_value(Some(Some(Sheet {
            name: KINDS.into(),
            title: "Cost kinds".into(),
            across: Across::Once,
            others: Vec::new(),
            rows,
            remarks: Vec::new(),
            bars: Vec::new(),
            by_script: false,
        })))
    }
}

/// The parts of a line: shares of it to the cent, the last what is left.
fn divide<'a>(
    line: &str,
    label: &str,
    parts: &[&'a CostRow],
    rows: &mut Vec<SheetRow>,
    of_kind: &mut BTreeMap<&'a str, Vec<String>>,
) {
    let weight = |part: &CostRow| match &part.amount {
        CostAmount::Rate(rate) => rate.value.clone(),
        CostAmount::Share(share) => share.clone(),
    };
    let whole = parts.iter().fold(BigRational::zero(), |sum, part| sum + weight(part));
    let mut before: Vec<String> = Vec::new();
    for (at, part) in parts.iter().enumerate() {
        let name = format!("{line}_{}", part.kind);
        let formula = if at + 1 == parts.len() {
            match before.as_slice() {
                [] => format!("price.{line}"),
                before => format!("price.{line} - sum([{}])", before.join(", ")),
            }
        } else {
            let share = weight(part) / &whole;
            let share = num_traits::ToPrimitive::to_f64(&share).unwrap_or(0.0);
            format!("to_cent(price.{line} * {})", shortest(share))
        };
        of_kind.entry(&part.kind).or_default().push(name.clone());
        before.push(name.clone());
        rows.push(row(format!("{label}, {}", part.kind.replace('_', " ")), name, formula));
    }
}

fn row(what: String, name: String, formula: String) -> SheetRow {
    SheetRow {
        what,
        name,
        unit: String::new(),
        formula,
        column: None,
        needs: Vec::new(),
        others: Vec::new(),
        expected: None,
        place: Place::file("the list cost"),
    }
}
