//! What a price lacks: the work of a whole wall, held against what the bid's total is made of.

use std::collections::BTreeSet;

use num_traits::Zero;

use super::settings::View;
use crate::footing::StemPiece;
use crate::measure::{Dimension, Nm};
use crate::problem::{Faults, Outcome, Problem};
use crate::sheet::{Book, Formula, NodeId, Origin, name_of};
use crate::takeoff::{Line, Takeoff, WallJob};

/// Work that the price leaves out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct LeftOutWork {
    /// The kind of work.
    pub(super) work: String,
    /// Why the price leaves it out.
    pub(super) why: String,
    /// What a client is told of it.
    pub(super) in_quote: InQuote,
}

/// What a client is told of work that the price leaves out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum InQuote {
    /// That it is not in the price.
    Excluded,
    /// That it is, because another price holds it.
    Included,
    /// Nothing.
    NotNamed,
}

/// The cell that is the bid's total.
pub(super) const TOTAL: &str = "price.total";

/// A kind of work of a wall. It is in the price if the total rests on one of its prices, lines or facts, or on a cell with
/// one of its words in the name, through values that are not 0.
struct Work {
    name: &'static str,
    /// Whether the job has it.
    exists: fn(&Takeoff) -> bool,
    /// Lines of the takeoff, facts of the layout, prices.
    lines: &'static [&'static str],
    /// Words in the name of a cell or line of the user's own.
    words: &'static [&'static str],
}

fn always(_: &Takeoff) -> bool {
    true
}

fn steps(takeoff: &Takeoff) -> bool {
    !takeoff.layout.steps.is_empty()
}

fn keys(takeoff: &Takeoff) -> bool {
    let site = &takeoff.layout.site;
    takeoff.layout.footings.iter().any(|piece| site.types[piece.kind].key.is_some())
}

/// A footing poured against banks on both sides has none.
fn edges(takeoff: &Takeoff) -> bool {
    takeoff.job.sides.is_none_or(|sides| sides.formed())
}

fn beyond(takeoff: &Takeoff) -> bool {
    takeoff.lines.iter().any(|line| line.id == "footing.over_width")
}

fn cut_fillers(takeoff: &Takeoff) -> bool {
    takeoff.lines.iter().any(|line| line.id == "forms.cut_fillers")
}

/// Backfill that the dig does not give.
fn brought_in(takeoff: &Takeoff) -> bool {
    let is_short = |line: &Line| line.id == "backfill.brought_in" && !line.quantity.value.is_zero();
    takeoff.lines.iter().any(is_short)
}

/// How far a wall stands over the existing ground without anybody filling up behind it. Common practice, no source.
const FREEBOARD: Nm = Nm::FOOT;

/// Backfill is measured up to the existing ground, and the wall stands higher: what is filled above that is measured by
/// nobody.
fn filled_over(takeoff: &Takeoff) -> bool {
    let layout = &takeoff.layout;
    let existing = &layout.site.ground.existing.line;
    let stands_over =
        |stem: &StemPiece| stem.top.high() - existing.lowest(stem.from, stem.to) > FREEBOARD;
    takeoff.lines.iter().any(|line| line.id == "backfill.total")
        && layout.stems.iter().any(stands_over)
}

/// Nothing is hauled where all of the dig is brought back.
fn hauled(takeoff: &Takeoff) -> bool {
    let loose = takeoff.lines.iter().find(|line| line.id == "dig.loose");
    loose.is_none_or(|line| !line.quantity.value.is_zero())
}

fn drained(takeoff: &Takeoff) -> bool {
    takeoff.job.allowances.drain_width > Nm::ZERO
}

/// What a price may lack, as it names it.
pub(super) const WORK_NAMES: [&str; WORKS.len()] = {
    let mut names = [""; WORKS.len()];
    let mut at = 0;
    while at < WORKS.len() {
        names[at] = WORKS[at].name;
        at += 1;
    }
    names
};

/// The whole wall. Common practice, no source.
const WORKS: &[Work] = &[
    work("footing concrete", always, &["prices.footing_concrete"], &["footing_concrete"]),
    work("keys under the footing", keys, &["footing.keys"], &["footing_key"]),
    work("wall concrete", always, &["prices.wall_concrete"], &["wall_concrete", "stem_concrete"]),
    work("wall forms", always, &["prices.wall_forms"], &["wall_form", "stem_form", "formwork"]),
    work("stripping and cleaning of forms", always, &["prices.strip_and_clean"], &["strip"]),
    work("cut fillers", cut_fillers, &["forms.cut_fillers"], &["cut_filler"]),
    work(
        "footing edge forms",
        edges,
        &["prices.edge_forms", "edge."],
        &["edge_form", "footing_form"],
    ),
    work(
        "risers of the steps",
        steps,
        &["layout.risers", "layout.riser_price"],
        &["riser", "bulkhead"],
    ),
    work("reinforcing steel", always, &["rebar.", "steel."], &["steel", "rebar", "reinf", "bars"]),
    work("joints and waterstop", always, &["joints."], &["joint", "waterstop"]),
    work("excavation", always, &["prices.dig"], &["dig", "excavat"]),
    work("hauling", hauled, &["prices.haul"], &["haul", "hauling"]),
    // The spoil rests on what is brought back, and is no price of it.
    work("backfill", always, &["backfill.total", "prices.backfill"], &["backfill"]),
    work(
        "fill over the existing ground behind the wall",
        filled_over,
        &[],
        &["fill_over", "fill_above", "fill_behind", "high_fill"],
    ),
    work("earth brought in", brought_in, &["prices.fill_brought_in"], &["brought_in"]),
    work("drain rock", drained, &["prices.drain_rock"], &["drain_rock"]),
    work("drain pipe", drained, &["drain.pipe"], &["drain_pipe", "pipe"]),
    work("mobilisation", always, &[], &["mobili"]),
    work("overhead", always, &["bid.overhead"], &["overhead"]),
    work("profit", always, &["bid.profit"], &["profit"]),
    work(
        "concrete beyond the plan, against banks",
        beyond,
        &["footing.over_width"],
        &["over_width", "beyond_plan"],
    ),
    work("tax", always, &[], &["tax", "vat"]),
];

const fn work(
    name: &'static str,
    exists: fn(&Takeoff) -> bool,
    lines: &'static [&'static str],
    words: &'static [&'static str],
) -> Work {
    Work { name, exists, lines, words }
}

/// What the total rests on: names of lines, facts and settings, and names of cells.
#[derive(Default)]
struct Reached {
    inputs: BTreeSet<String>,
    cells: BTreeSet<String>,
}

impl Reached {
    fn node(&mut self, id: NodeId, book: &Book, seen: &mut BTreeSet<NodeId>) {
        let nothing = book.quantity(id).is_some_and(|quantity| quantity.base() == 0.0);
        if nothing || !seen.insert(id) {
            return;
        }
        let node = book.node(id);
        match &node.origin {
            Origin::Line { id: name, .. } | Origin::Job(name) | Origin::Setting(name) => {
                self.inputs.insert(name.clone());
            }
            Origin::Cell { .. } => {
                let name = node.name.rsplit('.').next().unwrap_or(&node.name);
                self.cells.insert(name.to_lowercase());
            }
            Origin::Column => {}
        }
        for id in book.named_by(id) {
            self.node(id, book, seen);
        }
    }

    fn has(&self, work: &Work, takeoff: &Takeoff) -> bool {
        // Risers that a company rule prices are in the bid only at its prices.
        if work.lines.contains(&"layout.riser_price") && takeoff.layout.riser_prices().is_some() {
            return self.inputs.contains("layout.riser_price");
        }
        let line = |known: &String| {
            work.lines
                .iter()
                .any(|line| known == line || line.ends_with('.') && known.starts_with(line))
        };
        // Long words at the beginning of a word of the name, short ones as a whole word: "tax" is not in "taxi".
        let word = |name: &String| {
            let name = format!("_{}_", name.replace(|c: char| !c.is_alphanumeric(), "_"));
            // What it is printed as is a name of it too.
            if name.contains(&format!("_{}_", name_of(work.name))) {
                return true;
            }
            work.words.iter().any(|word| {
                let whole = if word.len() < 5 { "_" } else { "" };
                name.contains(&format!("_{word}{whole}"))
            })
        };
        self.inputs.iter().any(line) || self.cells.iter().any(word)
    }
}

/// The work that a job leaves out of its price, each with the reason.
///
/// # Errors
/// There is no such work, or it stands twice.
pub(super) fn left_out(root: View) -> Outcome<Vec<LeftOutWork>> {
    let mut faults = Faults::none();
    let mut all: Vec<LeftOutWork> = Vec::new();
    for view in root.list("left_out") {
        let (name, why) = (view.text("work")?, view.text("why")?);
        if all.iter().any(|other| other.work == name) {
            faults.push(view.place("work", Problem::error(format!("{name} is left out twice"))));
        }
        let in_quote = match view.maybe_text("in_quote") {
            Some("included") => InQuote::Included,
            Some("not named") => InQuote::NotNamed,
            _ => InQuote::Excluded,
        };
        all.push(LeftOutWork { work: name.to_owned(), why: why.to_owned(), in_quote });
    }
    faults.or_value(Some(all))
}

/// The kinds of work that the job has and the bid's total lacks, but for those that it leaves out with a reason; and as faults
/// those that it leaves out and that the total has. Nothing where there is no bid.
pub(super) fn lacking(
    book: &Book,
    takeoff: &Takeoff,
    left_out: &[LeftOutWork],
) -> (Vec<&'static str>, Faults) {
    let Some(total) = book.find(TOTAL) else { return (Vec::new(), Faults::none()) };
    let mut reached = Reached::default();
    reached.node(total, book, &mut BTreeSet::new());
    let said = |work: &Work| left_out.iter().any(|other| other.work == work.name);
    let mut faults = Faults::none();
    let mut lacks = Vec::new();
    for work in WORKS {
        match (said(work), reached.has(work, takeoff)) {
            (true, true) => faults.push(
                Problem::error(format!(
                    "the list left_out names {}, and the price has it",
                    work.name
                ))
                .at(crate::problem::Place::file("job.toml"))
                .help("take it out of left_out, or its price out of the job"),
            ),
            (false, false) if (work.exists)(takeoff) => lacks.push(work.name),
            _ => {}
        }
    }
    (lacks, faults)
}

/// Prices that the job gives and that no cell rests on: what they are for may not be among its quantities.
pub(super) fn prices_beside(book: &Book, job: &WallJob) -> Option<String> {
    book.find(TOTAL)?;
    let named: BTreeSet<&str> = book
        .nodes()
        .iter()
        .filter_map(|node| match &node.origin {
            Origin::Setting(path) => Some(path.as_str()),
            _ => None,
        })
        .collect();
    // A rule may price risers in place of these.
    let known = |path: &str| path == "prices.riser_each" || path == "prices.rise";
    let left = |path: &&str| path.starts_with("prices.") && !named.contains(path) && !known(path);
    let given = job.settings.iter().filter(|(_, stated)| stated.from.is_some());
    let left: Vec<&str> = given.map(|(path, _)| path.as_str()).filter(left).collect();
    (!left.is_empty()).then(|| format!("no line of the price uses {}", left.join(", ")))
}

/// What is said beside a price that lacks something.
pub(super) fn partial(missing: &[&str]) -> String {
    match missing {
        [] => String::new(),
        missing => format!("PARTIAL: not in it: {}", missing.join("; ")),
    }
}

/// Amounts of the price sheet, which has this position, that nothing rests on and that do not rest on the total: they are not
/// in it.
pub(super) fn beside_the_total(book: &Book, price: usize) -> Vec<String> {
    let Some(total) = book.find(TOTAL) else { return Vec::new() };
    let used: BTreeSet<NodeId> =
        (0..).zip(book.nodes()).flat_map(|(id, _)| book.named_by(id)).collect();
    let rests_on_total = |id: NodeId| {
        let (mut next, mut seen) = (vec![id], BTreeSet::new());
        while let Some(id) = next.pop() {
            next.extend(book.named_by(id).into_iter().filter(|on| seen.insert(*on)));
        }
        seen.contains(&total)
    };
    let mut told = Vec::new();
    for (id, node) in (0..).zip(book.nodes()) {
        let Origin::Cell { sheet, wall: None, .. } = node.origin else { continue };
        // A number without a unit that somebody typed may be money too.
        let typed = node.formula.as_ref().is_some_and(Formula::is_typed);
        let amount = book.quantity(id).is_some_and(|value| {
            value.base() != 0.0 && (value.dimension() == Dimension::MONEY || typed)
        });
        let here = sheet as usize == price && id != total;
        if here && amount && !used.contains(&id) && !rests_on_total(id) {
            let value = book.words(id);
            told.push(format!("{} is {value} and in no sum: it is not in the total", node.name));
        }
    }
    told
}
