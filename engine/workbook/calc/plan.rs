//! Where inputs and cells stand in the workbook, and what they are called, before anything is written.

use std::collections::{BTreeMap, BTreeSet};

use super::super::write::{Contents, Places, free_name};
use crate::problem::cell_name;
use crate::sheet::{Book, Cells, Node, NodeId, Origin};

/// Sheets and names of the calculation, laid out before anything is written.
#[derive(Debug, Default)]
pub(in crate::workbook) struct Plan {
    /// Name of the sheet of inputs.
    pub(super) inputs: String,
    /// Rows of the sheet of inputs: setting path and row.
    pub(super) settings: BTreeMap<String, u32>,
    /// Other inputs by name: facts of the job, and what of a line belongs to one wall.
    pub(super) facts: BTreeMap<String, u32>,
    /// Names of the calc sheets.
    pub(super) sheets: Vec<String>,
    /// Row of every cell on its sheet.
    pub(super) rows: BTreeMap<NodeId, u32>,
    /// Defined names by what they stand for.
    names: BTreeMap<String, String>,
}

/// A larger book gives defined names only to the cells that other sheets rest on: spreadsheets are slow with many.
const MOST_NAMES: usize = 2000;
/// Longest that a defined name is made, without prefix and number; the published limit is 255.
const LONGEST_NAME: usize = 200;
/// First row of the table of a sheet.
pub(super) const FIRST: u32 = 4;
/// Column of the values.
pub(super) const VALUE: u16 = 1;

impl Plan {
    /// Lays out what there is.
    pub(in crate::workbook) fn new(contents: &Contents, taken: &mut Vec<String>) -> Self {
        let mut plan = Self::default();
        let book = contents.book;
        let mut wanted = BTreeSet::new();
        let mut facts = BTreeSet::new();
        for node in book.nodes() {
            match &node.origin {
                Origin::Setting(path) => {
                    wanted.insert(path.clone());
                }
                Origin::Job(_) | Origin::Line { wall: Some(_), .. } => {
                    facts.insert(node.name.clone());
                }
                Origin::Line { .. } | Origin::Cell { .. } => {}
            }
        }
        if !wanted.is_empty() || !facts.is_empty() {
            plan.inputs = free_name("Inputs", taken);
        }
        let mut used = BTreeSet::new();
        let mut name = |key: String, prefix: &str, text: &str| {
            let plain: String = text
                .chars()
                .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' })
                .take(LONGEST_NAME)
                .collect();
            let mut free = format!("{prefix}_{plain}");
            let mut number = 2;
            while !used.insert(free.clone()) {
                free = format!("{prefix}_{plain}_{number}");
                number += 1;
            }
            (key, free)
        };
        let mut row = FIRST;
        for path in wanted {
            plan.names.extend([name(format!("setting {path}"), "in", &path)]);
            plan.settings.insert(path, row);
            row += 1;
        }
        row += 2;
        for fact in facts {
            plan.names.extend([name(format!("fact {fact}"), "job", &fact)]);
            plan.facts.insert(fact, row);
            row += 1;
        }
        for line in contents.takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
            plan.names.extend([name(format!("line {}", line.id), "line", &line.id)]);
        }
        for sheet in contents.calc {
            plan.sheets.push(free_name(&sheet.title, taken));
        }
        plan.place_cells(contents);
        let across = across_sheets(book);
        let few = book.nodes().len() <= MOST_NAMES;
        for (id, node) in (0..).zip(book.nodes()) {
            if matches!(node.origin, Origin::Cell { .. }) && (few || across.contains(&id)) {
                plan.names.extend([name(format!("cell {id}"), "cell", &node.name)]);
            }
        }
        plan
    }

    /// Gives every cell its row: the rows of a sheet in order, for each wall again.
    fn place_cells(&mut self, contents: &Contents) {
        for (at, sheet) in contents.calc.iter().enumerate() {
            let height = u32::try_from(sheet.rows.len()).unwrap_or(u32::MAX) + 2;
            for (id, node) in (0..).zip(contents.book.nodes()) {
                if let Origin::Cell { sheet, row, wall } = node.origin
                    && sheet as usize == at
                {
                    let block = wall.map_or(0, |wall| wall * height + 1);
                    self.rows.insert(id, FIRST + block + row);
                }
            }
        }
    }

    pub(super) fn named(&self, key: &str) -> Option<&str> {
        self.names.get(key).map(String::as_str)
    }

    /// Where a cell of a calc sheet stands, as another sheet refers to it.
    pub(in crate::workbook) fn cell(&self, id: NodeId, book: &Book) -> Option<String> {
        let Origin::Cell { sheet, .. } = book.node(id).origin else { return None };
        let name = self.sheets.get(sheet as usize)?;
        let cell = cell_name(*self.rows.get(&id)? as usize, usize::from(VALUE));
        Some(format!("'{}'!{cell}", name.replace('\'', "''")))
    }

    /// The defined name of a setting, where it stands among the inputs.
    pub(in crate::workbook) fn setting(&self, path: &str) -> Option<&str> {
        self.named(&format!("setting {path}"))
    }
}

/// Cells that formulas of another sheet rest on.
fn across_sheets(book: &Book) -> BTreeSet<NodeId> {
    let mut found = BTreeSet::new();
    let mut on = Vec::new();
    for node in book.nodes() {
        on.clear();
        if let Some(formula) = &node.formula {
            formula.nodes(&mut on);
        }
        found.extend(on.iter().filter(|id| sheet_of(book.node(**id)) != sheet_of(node)));
    }
    found
}

/// Where nodes stand, for live formulas on one sheet.
pub(in crate::workbook) struct On<'a> {
    pub(in crate::workbook) places: &'a Places,
    pub(in crate::workbook) book: &'a Book,
    /// Name of the sheet.
    pub(in crate::workbook) sheet: &'a str,
}

impl Cells for On<'_> {
    fn reference(&self, id: NodeId) -> Option<String> {
        let plan = &self.places.plan;
        let node = self.book.node(id);
        match &node.origin {
            Origin::Cell { sheet, .. } if plan.sheets.get(*sheet as usize)? == self.sheet => {
                let row = *plan.rows.get(&id)?;
                Some(cell_name(row as usize, usize::from(VALUE)))
            }
            Origin::Cell { .. } => plan.named(&format!("cell {id}")).map(str::to_owned),
            Origin::Setting(path) => plan.setting(path).map(str::to_owned),
            Origin::Job(_) | Origin::Line { wall: Some(_), .. } => {
                plan.named(&format!("fact {}", node.name)).map(str::to_owned)
            }
            Origin::Line { id, wall: None } => match self.places.lines.get(id)? {
                (sheet, row, column) if sheet == self.sheet => {
                    Some(cell_name(*row as usize, usize::from(*column)))
                }
                _ => plan.named(&format!("line {id}")).map(str::to_owned),
            },
        }
    }
}

pub(super) fn sheet_of(node: &Node) -> u32 {
    match node.origin {
        Origin::Cell { sheet, .. } => sheet,
        _ => u32::MAX,
    }
}
