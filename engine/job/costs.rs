//! Cost kinds: what of each line of the price is labour, material, equipment, subcontract or a kind of the firm's own. A line is
//! rounded once, in the price; its kinds are shares of that which add up to it.

use std::collections::BTreeMap;

use num_rational::BigRational;
use num_traits::{One, Zero};

use super::missing::left_out;
use super::old_prices::{OldPrice, old_prices};
use super::own_lines::{OwnLine, own_lines};
use super::settings::View;
use super::sheets::PRICE_SHEET;
use crate::measure::{Exact, decimal_places, shortest};
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

/// What is wrong with the cost rows of a job as they are written: lines that its price sheet does not have.
pub(super) fn unknown_lines(root: View, sheets: &[Sheet]) -> Faults {
    let price = sheets.iter().find(|sheet| sheet.name == PRICE_SHEET);
    match (cost_kinds(root), price) {
        (Ok(kinds), Some(price)) => kinds.of_unknown_lines(price),
        _ => Faults::none(),
    }
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
    /// Kinds that tax is paid on; none: on all.
    tax_on: Vec<String>,
}

/// What a job says of its price beside its prices.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Priced {
    /// How the lines divide.
    pub(super) kinds: CostKinds,
    /// Work that the price leaves out, and why.
    pub(super) left_out: Vec<(String, String)>,
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
    let kinds = faults.keep(cost_kinds(root)).unwrap_or_default();
    let left_out = faults.keep(left_out(root)).unwrap_or_default();
    let old = faults.keep(old_prices(root)).unwrap_or_default();
    let lines = own_lines(root);
    let is_price = |view: &View| view.maybe_text("name") == Some(PRICE_SHEET);
    let own_price = root.list("sheet").iter().any(is_price);
    if root.table("bid").is_none() && !own_price {
        for (list, key) in [("cost", "of"), ("left_out", "work"), ("own_price", "times")] {
            let views = root.list(list);
            if let Some(view) = views.iter().find(|view| view.maybe_text(key).is_some()) {
                let problem =
                    Problem::error(format!("[[{list}]] is about a price, and the job has none"));
                faults.push(view.place(key, problem.help("add [bid], or take it out")));
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

/// Reads the cost rows of a job.
///
/// # Errors
/// A row gives no amount or two, a kind is no word, the rates of a line do not add up to its price, its shares not to 100.
fn cost_kinds(root: View) -> Outcome<CostKinds> {
    let mut faults = Faults::none();
    let mut kinds = CostKinds::default();
    for view in root.list("cost") {
        let of = name_of(view.text("of")?);
        // American spelling.
        let kind = match name_of(view.text("kind")?) {
            labor if labor == "labor" => "labour".to_owned(),
            kind => kind,
        };
        if !kind.chars().all(|c| c.is_ascii_lowercase() || c == '_')
            || [NOT_SPLIT, TAXED, "all", ""].contains(&kind.as_str())
        {
            let problem = Problem::error(format!("\"{kind}\" is no kind of cost"));
            faults.push(view.place("kind", problem.help("a word of small letters was expected, such as labour, material, equipment, subcontract")));
            continue;
        }
        let share = view.maybe_measure("share").map(|share| CostAmount::Share(share.value));
        let rate = view.maybe_measure("rate").map(CostAmount::Rate);
        let amount = match (rate, share) {
            (Some(rate), None) => rate,
            (None, Some(share)) => share,
            _ => {
                let problem =
                    Problem::error(format!("the {kind} of {of} has no rate or share, or both"));
                faults.push(view.place(
                    "kind",
                    problem.help(
                        "give rate, such as \"6.20 usd/sf\", or share, in percent of the line",
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
    for (of, rows) in kinds.by_line() {
        faults.extend(adds_up(root, of, &rows));
    }
    if let Some(bid) = root.table("bid") {
        for kind in bid.texts("tax_on") {
            if !kinds.names().contains(&kind.as_str()) && kind != NOT_SPLIT {
                let problem = Problem::error(format!("no line has the kind \"{kind}\""));
                faults.push(bid.place("tax_on", problem.help("name kinds of [[cost]]")));
            }
        }
        kinds.tax_on = bid.texts("tax_on").to_vec();
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
                let help = "divide the lines of the price by [[cost]]: of, kind, and rate or share";
                faults.push(bid.place(key, Problem::error(what).help(help)));
            }
        }
    }
    faults.or_value(Some(kinds))
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
        let named: &[&str] = match of {
            "footing_concrete" => &["footing_concrete", "pump"],
            "wall_concrete" => &["wall_concrete", "pump"],
            "steel" => &["bars"],
            // By riser and by height: no rate for one unit.
            "risers" => &["riser_each", "rise"],
            of => &[of],
        };
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
            let share =
                (!whole.is_zero()).then(|| &sum / &whole * BigRational::from_integer(100.into()));
            let share = share.map_or_else(String::new, |share| {
                format!(": they are {} % of it", decimal_places(&share, 2))
            });
            at(
                format!(
                    "the rates of {of} do not add up to its price, {}{share}",
                    named
                        .iter()
                        .map(|name| format!("prices.{name}"))
                        .collect::<Vec<_>>()
                        .join(" + ")
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

    /// Rows of lines that a price sheet does not have.
    pub(super) fn of_unknown_lines(&self, price: &Sheet) -> Faults {
        let mut faults = Faults::none();
        let Some(lines) = lines_of(price) else { return faults };
        for row in self.rows.iter().filter(|row| !lines.contains(&row.of.as_str())) {
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
        faults
    }

    /// The sheet that divides the lines of a price sheet; nothing where no line is divided.
    ///
    /// # Errors
    /// The price sheet has no row `direct` that sums its lines, or a cost row names none of them.
    pub(super) fn sheet(&self, price: &Sheet) -> Outcome<Option<Sheet>> {
        if self.rows.is_empty() {
            return Ok(None);
        }
        let Some(lines) = lines_of(price) else {
            return Err(Problem::error(
                "the price sheet has no row \"direct\" that is the sum of its lines",
            )
            .at(Place::file("job.toml"))
            .help("write direct as sum([line, line, ...]): [[cost]] divides those lines")
            .into());
        };
        let mut faults = self.of_unknown_lines(price);
        let mut rows = Vec::new();
        let mut of_kind: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        let divided = self.by_line();
        for line in &lines {
            let label = price.rows.iter().find(|row| row.name == *line);
            let label = label.map_or(*line, |row| row.what.as_str());
            match divided.get(line) {
                None => {
                    let name = format!("{line}_{NOT_SPLIT}");
                    of_kind.entry(NOT_SPLIT).or_default().push(name.clone());
                    rows.push(row(format!("{label}, not divided"), name, format!("price.{line}")));
                }
                Some(parts) => divide(line, label, parts, &mut rows, &mut of_kind),
            }
        }
        rows.push(row("By kind".into(), String::new(), String::new()));
        if let (false, Some(left)) = (self.tax_on.is_empty(), of_kind.get(NOT_SPLIT))
            && !self.tax_on.iter().any(|kind| kind == NOT_SPLIT)
        {
            let left: Vec<&str> =
                left.iter().map(|name| name.trim_end_matches("_not_split")).collect();
            faults.push(
                Problem::error(format!(
                    "tax is asked for by kind, and these lines are not divided: {}",
                    left.join(", ")
                ))
                .at(Place::file("job.toml, bid.tax_on"))
                .help("divide them by [[cost]], or name not_split in tax_on to tax them whole"),
            );
        }
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
        place: Place::file("job.toml, [[cost]]"),
    }
}
