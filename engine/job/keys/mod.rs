//! The keys of a job, declared once: they drive the parser, its messages, the generated page, and what formulas, questions
//! and the sheet of inputs may name. One file a part; the inputs of a wall case join them (`own.rs`).

mod alignment;
mod allowances;
mod backfill;
mod bars;
mod forms;
mod ground;
mod job;
mod own;
mod papers;
mod prices;
mod sheets;
mod shots;
mod steps;
mod stock;

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::KeyKind;
use crate::footing::GridKind;
use crate::measure::{Dimension, Style};

pub(super) use own::{own_key, price_key};

/// Tables and keys of one part of a job.
struct Part {
    tables: &'static [KeyTable],
    keys: &'static [Key],
}

const PARTS: &[Part] = &[
    job::PART,
    shots::PART,
    ground::PART,
    alignment::PART,
    steps::PART,
    bars::PART,
    forms::PART,
    stock::PART,
    prices::PART,
    allowances::PART,
    backfill::PART,
    own::PART,
    sheets::PART,
    papers::PART,
];

/// What the path of an own input begins with.
pub(super) const OWN: &str = "own.";

/// Every table.
pub fn tables() -> impl Iterator<Item = &'static KeyTable> {
    PARTS.iter().flat_map(|part| part.tables)
}

/// Every key that is the same in all jobs.
pub fn bundled_keys() -> impl Iterator<Item = &'static Key> {
    PARTS.iter().flat_map(|part| part.keys)
}

/// The keys of one job: the bundled ones, and the inputs of its wall case and company.
#[derive(Debug, Clone)]
pub struct Keys {
    own: Vec<Key>,
    grid: GridKind,
    /// Whether the inputs are not known, because the script that declares them is faulty.
    unknown: bool,
}

impl Default for Keys {
    fn default() -> Self {
        Self { own: Vec::new(), grid: GridKind::Panels, unknown: false }
    }
}

impl Keys {
    /// The keys with the inputs that scripts declare.
    pub(super) fn new(own: Vec<Key>, grid: GridKind) -> Self {
        Self { own, grid, unknown: false }
    }

    /// The bundled keys, where the wall case cannot be asked for its own.
    pub(super) fn without_case() -> Self {
        Self { unknown: true, ..Self::default() }
    }

    /// Adds keys that the job itself declares; those that are there already stay.
    pub(super) fn add(&mut self, keys: impl Iterator<Item = Key>) {
        for key in keys {
            if self.find(key.path).is_none() {
                self.own.push(key);
            }
        }
    }

    /// All of them.
    pub fn iter(&self) -> impl Iterator<Item = &Key> + '_ {
        PARTS.iter().flat_map(|part| part.keys).chain(&self.own)
    }

    /// The key of a path, where `[]` stands for any element.
    pub fn find(&self, path: &str) -> Option<&Key> {
        static BUNDLED: OnceLock<BTreeMap<&str, &Key>> = OnceLock::new();
        let bundled = BUNDLED.get_or_init(|| bundled_keys().map(|key| (key.path, key)).collect());
        bundled.get(path).copied().or_else(|| self.own.iter().find(|key| key.path == path))
    }

    /// Whether nothing can be said of a path because its script is faulty.
    pub(super) fn cannot_tell(&self, path: &str) -> bool {
        self.unknown && path.starts_with(OWN)
    }

    /// Whether the inputs of the wall case are not known.
    pub(super) fn are_unknown(&self) -> bool {
        self.unknown
    }

    /// The grid that the wall case asks for.
    pub fn grid(&self) -> GridKind {
        self.grid
    }

    /// Whether the wall case uses a table.
    pub(super) fn uses(&self, table: &KeyTable) -> bool {
        table.grid.is_none_or(|grid| grid == self.grid || self.unknown && grid == GridKind::Panels)
    }

    /// Whether a table must be there.
    pub(super) fn requires(&self, table: &KeyTable) -> bool {
        table.required && self.uses(table) && !(self.unknown && table.grid.is_some())
    }

    /// What holds where a key is missing.
    pub(super) fn need(&self, key: &Key) -> Need {
        match key.need {
            Need::Stepped(text) if self.grid == GridKind::OneLevel || self.unknown => {
                Need::Default(text)
            }
            Need::Stepped(_) => Need::Required,
            need => need,
        }
    }

    /// Names that may stand in a table.
    pub(super) fn names_in(&self, path: &str) -> Vec<String> {
        let prefix = if path.is_empty() { String::new() } else { format!("{path}.") };
        let all = self.iter().map(|key| key.path).chain(tables().map(|table| table.path));
        let mut names: Vec<String> = all
            .filter_map(|known| known.strip_prefix(&prefix))
            .map(|rest| rest.split('.').next().unwrap_or(rest).trim_end_matches("[]").to_owned())
            .filter(|name| !name.is_empty())
            .collect();
        names.sort();
        names.dedup();
        names
    }
}

/// Whether a key must be there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// It must, wherever its table is.
    Required,
    /// It may be missing; then this text holds.
    Default(&'static str),
    /// It may be missing; then the first text holds in a job of feet, the second in a metric one.
    Usual(&'static str, &'static str),
    /// It must where the wall case steps; on one level this text holds.
    Stepped(&'static str),
    /// It may be missing; then it is not there.
    Optional,
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub struct Key {
    /// Its path; `[]` stands for each element of a list of tables.
    pub path: &'static str,
    /// What its value is.
    pub kind: KeyKind,
    /// Whether it must be there.
    pub need: Need,
    /// What it means.
    pub about: &'static str,
    /// Whether a script or the job declares it, in a unit of its own.
    pub own: bool,
}

impl Key {
    /// The unit that a measure of the key is shown in.
    pub(super) fn unit(&self, dimension: Dimension, style: &Style) -> String {
        match self.kind {
            KeyKind::Percent(_) => "percent".to_owned(),
            KeyKind::Amount(_, example) if self.own => {
                example.rsplit(' ').next().unwrap_or_default().to_owned()
            }
            _ => style.unit(dimension),
        }
    }
}

/// One table.
#[derive(Debug, Clone, Copy)]
pub struct KeyTable {
    /// Its path.
    pub path: &'static str,
    /// Whether it must be there, with the wall cases that use it.
    pub required: bool,
    /// The grid whose wall cases alone use it.
    pub grid: Option<GridKind>,
    /// Whether the defaults of its keys hold when it is missing.
    pub defaults: bool,
    /// What it is.
    pub about: &'static str,
}

const fn table(
    path: &'static str,
    required: bool,
    defaults: bool,
    about: &'static str,
) -> KeyTable {
    KeyTable { path, required, defaults, about, grid: None }
}

/// A table that only wall cases with this grid use.
const fn grid_table(
    path: &'static str,
    grid: GridKind,
    required: bool,
    about: &'static str,
) -> KeyTable {
    KeyTable { path, required, defaults: true, about, grid: Some(grid) }
}

const fn key(path: &'static str, kind: KeyKind, need: Need, about: &'static str) -> Key {
    Key { path, kind, need, about, own: false }
}
