//! Why a number is what it is: the chain from a cell or line down to shots, settings, script lines and sources.

use std::collections::BTreeSet;

use super::subject::Answer;
use super::{Job, Worked};
use crate::footing::{Part, System};
use crate::listing::Datum;
use crate::measure::{amount, counted, feet_inches};
use crate::script::FUNCTIONS;
use crate::sheet::{NodeId, Origin, cautions, derivation};
use crate::source;
use crate::takeoff::{Derivation, Line};

/// Parts of a line that are listed.
const PARTS: usize = 4;

/// One line of an explanation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Because {
    /// How deep it stands.
    pub depth: usize,
    /// What it says.
    pub text: String,
}

/// Why a node has its value, at most so deep.
pub fn why(answer: &Answer, id: NodeId, deepest: usize) -> Vec<Because> {
    let mut writer = Writer::new(answer, deepest);
    writer.node(id, 0);
    writer.finish()
}

/// Why a line of the takeoff is what it is.
pub fn why_line(answer: &Answer, id: &str, deepest: usize) -> Option<Vec<Because>> {
    let mut writer = Writer::new(answer, deepest);
    let line = writer.line_of(id)?;
    match answer.calc.book.find(&line.name()) {
        Some(node) => writer.node(node, 0),
        None => writer.line(line, 0),
    }
    Some(writer.finish())
}

struct Writer<'a> {
    answer: &'a Answer,
    deepest: usize,
    /// What was explained already.
    told: BTreeSet<String>,
    /// Whether a measured line was met.
    measured: bool,
    reasons: Vec<Because>,
}

impl<'a> Writer<'a> {
    fn new(answer: &'a Answer, deepest: usize) -> Self {
        Self { answer, deepest, told: BTreeSet::new(), measured: false, reasons: Vec::new() }
    }

    fn finish(mut self) -> Vec<Because> {
        if self.measured {
            self.ground();
        }
        self.reasons
    }

    fn say(&mut self, depth: usize, text: String) {
        self.reasons.push(Because { depth, text });
    }

    fn job(&self) -> Option<(&'a Job, &'a Worked)> {
        self.answer.job.as_ref().map(|(job, work)| (job, work))
    }

    fn line_of(&self, id: &str) -> Option<&'a Line> {
        self.answer.line(id)
    }

    fn node(&mut self, id: NodeId, depth: usize) {
        let book = &self.answer.calc.book;
        let node = book.node(id);
        match &node.origin {
            Origin::Line { id, wall: None } if node.formula.is_none() => {
                if let Some(line) = self.line_of(id) {
                    self.line(line, depth);
                    return;
                }
            }
            Origin::Setting(path) => {
                let place = self
                    .job()
                    .and_then(|(job, _)| job.setting_places.get(path))
                    .map(ToString::to_string);
                let place =
                    place.unwrap_or_else(|| "what holds when job.toml does not say".to_owned());
                self.say(depth, format!("{path} {}   {} ({place})", book.words(id), node.what));
                return;
            }
            Origin::Job(_) => {
                self.say(
                    depth,
                    format!(
                        "{} {}   {} (counted on the layout)",
                        node.name,
                        book.words(id),
                        node.what
                    ),
                );
                return;
            }
            Origin::Line { .. } | Origin::Cell { .. } | Origin::Column => {}
        }
        let what = if node.what.is_empty() { String::new() } else { format!("   {}", node.what) };
        self.say(depth, format!("{} {}{what}", node.name, book.words(id)));
        let Some(formula) = &node.formula else { return };
        if !self.told.insert(node.name.to_string()) {
            self.say(depth + 1, "explained above".to_owned());
            return;
        }
        let place = node.place.as_ref().map_or_else(String::new, |place| format!(" ({place})"));
        if formula.is_typed() {
            self.say(depth + 1, format!("typed: {}{place}", node.text));
            return;
        }
        self.say(depth + 1, format!("= {}", derivation(formula, book)));
        self.say(depth + 1, format!("formula {}{place}", node.text));
        let mut own = Vec::new();
        formula.script_functions(&mut own);
        for name in own {
            let file =
                self.job().and_then(|(job, _)| job.layers.replaced(FUNCTIONS).ok().flatten());
            let file = file.map_or_else(|| FUNCTIONS.to_owned(), |found| found.shown);
            self.say(depth + 1, format!("function {name} of {file}"));
        }
        let mut functions = Vec::new();
        formula.functions(&mut functions);
        for function in functions {
            self.source(function.source, depth + 1);
        }
        for caution in cautions(formula) {
            self.say(depth + 1, caution);
        }
        if let Origin::Line { id, .. } = &node.origin
            && let Some(line) = self.line_of(id)
        {
            self.beside(line, depth + 1);
        }
        if depth + 1 > self.deepest {
            return;
        }
        let mut met = BTreeSet::new();
        for below in book.rests_on(id) {
            if met.insert(below) {
                self.node(below, depth + 1);
            }
        }
    }

    fn source(&mut self, key: &str, depth: usize) {
        if let Some(source) = source::find(key).filter(|source| source.key != "definition") {
            self.say(depth, format!("source: {} ({})", source.title, source.standing));
        }
    }

    fn line(&mut self, line: &Line, depth: usize) {
        let quantity = amount(line.quantity.quantity(), &line.unit);
        self.say(depth, format!("{} {quantity}   {}", line.name(), line.label));
        if !self.told.insert(line.name()) {
            self.say(depth + 1, "explained above".to_owned());
            return;
        }
        let how = match line.derivation {
            Derivation::Parts => {
                format!(
                    "sum of {}, measured by {}",
                    counted(line.parts.len(), "part", "parts"),
                    line.trail.made_by
                )
            }
            _ => "a value of the script".to_owned(),
        };
        let place =
            line.trail.place.as_ref().map_or_else(String::new, |place| format!(" ({place})"));
        self.say(depth + 1, format!("= {how}{place}"));
        self.beside(line, depth + 1);
        self.parts(line, depth + 1);
    }

    /// Sources and cautions of a line.
    fn beside(&mut self, line: &Line, depth: usize) {
        for key in &line.trail.sources {
            self.source(key, depth);
        }
        for caution in &line.cautions {
            self.say(depth, format!("CAUTION: {caution}"));
        }
    }

    /// The largest parts of a line.
    fn parts(&mut self, line: &Line, depth: usize) {
        let Some((job, _)) = self.job() else { return };
        if line.parts.is_empty() {
            return;
        }
        self.measured = true;
        let mut parts: Vec<&Part> = line.parts.iter().collect();
        let size = |part: &Part| part.amount.quantity().base().abs();
        parts.sort_by(|a, b| size(b).total_cmp(&size(a)));
        let station = |nm| match job.wall_job.style.system {
            System::Us => feet_inches(nm, 16),
            System::Metric => Datum::Length(nm)
                .number(System::Metric)
                .map_or_else(String::new, |(value, unit)| {
                    format!("{} {unit}", crate::measure::written(value))
                }),
        };
        for part in parts.iter().take(PARTS) {
            let amount = amount(part.amount.quantity(), &line.unit);
            self.say(
                depth,
                format!(
                    "{} {} to {}: {amount}, {}",
                    part.wall,
                    station(part.from),
                    station(part.to),
                    part.how
                ),
            );
        }
        if parts.len() > PARTS {
            self.say(
                depth,
                format!(
                    "and {}: sheet \"Quantities\"",
                    counted(parts.len() - PARTS, "smaller part", "smaller parts")
                ),
            );
        }
    }

    /// What every measured line rests on.
    fn ground(&mut self) {
        let Some((job, work)) = self.job() else { return };
        let Some(takeoff) = &work.takeoff else { return };
        let layout = &takeoff.layout;
        let shots = job.wall_job.shots.as_ref().map_or_else(String::new, |shots| {
            let files: Vec<String> =
                shots.lists.iter().map(crate::takeoff::ListReport::name).collect();
            let files = files.join(", ");
            format!(", {} of {} rows of {files} used", shots.used.len(), shots.rows())
        });
        self.say(
            0,
            format!(
                "measured lines rest on {} of least cost, laid out over these ground lines{shots}:",
                counted(layout.steps.len(), "step", "steps")
            ),
        );
        for line in crate::takeoff::ground_lines(&job.wall_job) {
            let (ground, origin, supports) = (line.line, line.origin, line.supports);
            self.say(1, format!("{ground}: {origin}, {supports} points"));
        }
        self.say(1, "each shot: sheet \"Shots used\"".to_owned());
    }
}
