//! What a price lacks: the work of a whole wall, held against what the bid's total is made of.

use std::collections::BTreeSet;

use crate::measure::Nm;
use crate::sheet::{Book, NodeId, Origin};
use crate::takeoff::{Derivation, Takeoff};

/// The cell that is the bid's total.
const TOTAL: &str = "price.total";

/// A kind of work of a wall. It is in the price if the total rests on one of its lines or facts, or on a cell or line with
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

fn drained(takeoff: &Takeoff) -> bool {
    takeoff.job.allowances.drain_width > Nm::ZERO
}

/// The whole wall. Common practice, no source.
const WORKS: &[Work] = &[
    Work {
        name: "footing concrete",
        exists: always,
        lines: &["footing.runs"],
        words: &["footing_concrete"],
    },
    Work {
        name: "keys under the footing",
        exists: keys,
        lines: &["footing.keys"],
        words: &["footing_key"],
    },
    Work { name: "wall concrete", exists: always, lines: &["stem."], words: &["wall_concrete"] },
    Work { name: "wall forms", exists: always, lines: &["forms."], words: &["wall_form"] },
    Work {
        name: "footing edge forms",
        exists: always,
        lines: &["edge."],
        words: &["edge_form", "footing_form"],
    },
    Work {
        name: "risers of the steps",
        exists: steps,
        lines: &["layout.risers", "layout.rise", "layout.riser_price"],
        words: &["riser", "bulkhead"],
    },
    Work {
        name: "reinforcing steel",
        exists: always,
        lines: &["rebar.", "steel."],
        words: &["steel", "rebar", "reinforc", "bars"],
    },
    Work {
        name: "joints and waterstop",
        exists: always,
        lines: &["joints."],
        words: &["joint", "waterstop"],
    },
    Work {
        name: "digging",
        exists: always,
        lines: &["dig.bank", "dig.section"],
        words: &["excavat"],
    },
    Work { name: "hauling", exists: always, lines: &["dig.loose"], words: &["haul"] },
    Work { name: "backfill", exists: always, lines: &["backfill."], words: &["backfill"] },
    Work { name: "drain rock", exists: drained, lines: &["drain.rock"], words: &["drain_rock"] },
    Work {
        name: "drain pipe",
        exists: drained,
        lines: &["drain.pipe"],
        words: &["drain_pipe", "pipe"],
    },
    Work { name: "mobilisation", exists: always, lines: &[], words: &["mobili"] },
    Work { name: "tax", exists: always, lines: &[], words: &["tax", "vat"] },
];

/// What the total rests on: names of lines, facts and settings, and names of cells.
#[derive(Default)]
struct Reached {
    inputs: BTreeSet<String>,
    cells: BTreeSet<String>,
}

impl Reached {
    fn node(&mut self, id: NodeId, book: &Book, takeoff: &Takeoff, seen: &mut BTreeSet<NodeId>) {
        let nothing = book.quantity(id).is_some_and(|quantity| quantity.base() == 0.0);
        if nothing || !seen.insert(id) {
            return;
        }
        let node = book.node(id);
        match &node.origin {
            Origin::Line(line) => self.line(line, takeoff),
            Origin::Job(name) | Origin::Setting(name) => {
                self.inputs.insert(name.clone());
            }
            Origin::Cell { .. } => {
                let name = node.name.rsplit('.').next().unwrap_or(&node.name);
                self.cells.insert(name.to_lowercase());
                self.cells.insert(node.what.to_lowercase());
            }
        }
        let mut on = Vec::new();
        if let Some(formula) = &node.formula {
            formula.nodes(&mut on);
        }
        for id in on {
            self.node(id, book, takeoff, seen);
        }
    }

    /// A line of the takeoff and those that it is made of.
    fn line(&mut self, id: &str, takeoff: &Takeoff) {
        let Some(line) = takeoff.lines.iter().find(|line| line.id == id) else { return };
        if num_traits::Zero::is_zero(&line.quantity.value) || !self.inputs.insert(id.to_owned()) {
            return;
        }
        match &line.derivation {
            Derivation::Sum(of) => of.iter().for_each(|of| self.line(of, takeoff)),
            Derivation::Scaled { of, .. }
            | Derivation::Increased { of, .. }
            | Derivation::Ordered { of, .. } => self.line(of, takeoff),
            Derivation::Parts | Derivation::Value => {}
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
        // At the beginning of a word of the name: "vat" is not in "excavation".
        let word = |name: &String| {
            let name = format!("_{}", name.replace(|c: char| !c.is_alphanumeric(), "_"));
            work.words.iter().any(|word| name.contains(&format!("_{word}")))
        };
        self.inputs.iter().any(|name| line(name) || word(name)) || self.cells.iter().any(word)
    }
}

/// The kinds of work that the job has and the bid's total lacks; nothing where there is no bid.
pub(super) fn missing(book: &Book, takeoff: &Takeoff) -> Vec<&'static str> {
    let Some(total) = book.find(TOTAL) else { return Vec::new() };
    let mut reached = Reached::default();
    reached.node(total, book, takeoff, &mut BTreeSet::new());
    let lacks = |work: &&Work| (work.exists)(takeoff) && !reached.has(work, takeoff);
    WORKS.iter().filter(lacks).map(|work| work.name).collect()
}

/// What is said beside a price that lacks something.
pub(super) fn partial(missing: &[&str]) -> String {
    match missing {
        [] => String::new(),
        missing => format!("PARTIAL: not in it: {}", missing.join(", ")),
    }
}
