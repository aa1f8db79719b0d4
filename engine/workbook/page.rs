//! Pages as data: what stands on a sheet, in which order and how wide, is described in templates/workbook/.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;

use crate::listing::Declaration;
use crate::problem::{Faults, Place, Problem, closest};

/// One sheet.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Page {
    /// Name of the sheet.
    pub sheet: String,
    /// Title; `{job}` stands for the name of the job.
    pub title: String,
    /// Whether it lies on its side when printed.
    #[serde(default)]
    pub landscape: bool,
    /// Whether it is one long table: its headings are repeated on every page and stay in sight.
    #[serde(default)]
    pub one_table: bool,
    /// Widths of the columns, in characters.
    pub widths: Vec<f64>,
    /// What stands on it, from top to bottom.
    pub(super) block: Vec<Block>,
}

/// One block of a page.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Block {
    /// Heading above it.
    #[serde(default)]
    pub(super) heading: String,
    /// A sentence under the heading.
    #[serde(default)]
    pub(super) note: String,
    /// The record set that it lists.
    #[serde(default)]
    pub(super) records: String,
    /// Rows of the set that it lists: field and text.
    #[serde(default, rename = "where")]
    pub(super) only: BTreeMap<String, String>,
    /// Field of which only the first row of each value is listed.
    #[serde(default)]
    pub(super) first_of: String,
    /// Columns; for quantities too.
    #[serde(default)]
    pub(super) columns: Vec<PageColumn>,
    /// Whether the headings of the columns are left out.
    #[serde(default)]
    pub(super) bare: bool,
    /// Whether it is the table of quantities.
    #[serde(default)]
    pub(super) quantities: bool,
    /// Single facts.
    #[serde(default)]
    pub(super) facts: Vec<Fact>,
    /// A chart.
    #[serde(default)]
    pub(super) chart: Option<ChartPage>,
    /// What is written when there is no row; without it the block is left out.
    #[serde(default)]
    pub(super) empty: String,
}

/// One column of a block.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PageColumn {
    /// Field of the record set.
    pub(super) field: String,
    /// Heading; the unit is added under it.
    #[serde(default)]
    pub(super) title: String,
    /// Column of the sheet, counted from 0; without it the next one.
    pub(super) at: Option<u16>,
    /// Decimals.
    pub(super) places: Option<usize>,
    /// Whether long text is wrapped.
    #[serde(default)]
    pub(super) wrap: bool,
    /// Whether it holds numbers without a unit, so that its heading stands over them.
    #[serde(default)]
    pub(super) number: bool,
}

/// One fact: a label, a number with its unit, and a note.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Fact {
    /// Label; without one a line's own.
    #[serde(default)]
    pub(super) label: String,
    /// A line of the takeoff.
    #[serde(default)]
    pub(super) line: String,
    /// Or a cell of a calc sheet; without it the fact is left out.
    #[serde(default)]
    pub(super) cell: String,
    /// Or a record set, of which the first row that fits is taken.
    #[serde(default)]
    pub(super) records: String,
    /// Rows that fit.
    #[serde(default, rename = "where")]
    pub(super) only: BTreeMap<String, String>,
    /// Its field.
    #[serde(default)]
    pub(super) field: String,
    /// A note: fields in braces are filled in.
    #[serde(default)]
    pub(super) note: String,
    /// Cautions of this kind stand beside it.
    #[serde(default)]
    pub(super) caution: String,
}

/// A chart over record sets that stand somewhere in the workbook.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ChartPage {
    /// Title of the chart.
    pub(super) title: String,
    /// Title of the horizontal axis.
    pub(super) x_title: String,
    /// Title of the vertical axis.
    pub(super) y_title: String,
    /// Its lines.
    pub(super) series: Vec<SeriesPage>,
}

/// One line of a chart.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SeriesPage {
    /// Name in the legend.
    pub(super) name: String,
    /// Record set.
    pub(super) records: String,
    /// Its rows: field and text.
    #[serde(rename = "where")]
    pub(super) only: BTreeMap<String, String>,
    /// Field of the horizontal axis.
    pub(super) x: String,
    /// Field of the vertical axis.
    pub(super) y: String,
    /// Line width in points.
    pub(super) width: f64,
    /// `solid`, `dash` or `dot`, to be told apart without colour.
    pub(super) dash: String,
    /// Colour as `RRGGBB`.
    pub(super) color: String,
}

/// What pages may name: listings with their columns, and lines of the takeoff and cells where there is one.
#[derive(Debug, Clone, Default)]
pub struct Names {
    /// Every listing that a job may have.
    pub listings: Vec<Declaration>,
    /// Lines; none are checked without a takeoff.
    pub lines: Option<BTreeSet<String>>,
    /// Cells of calc sheets; none are checked without a takeoff.
    pub cells: Option<BTreeSet<String>>,
}

impl Names {
    /// Adds what pages name that are known to be sound.
    pub fn add(&mut self, pages: &[Page]) {
        let facts = || pages.iter().flat_map(|page| &page.block).flat_map(|block| &block.facts);
        for (known, name) in [
            (&mut self.lines, (|fact| &fact.line) as fn(&Fact) -> &String),
            (&mut self.cells, |fact| &fact.cell),
        ] {
            if let Some(known) = known {
                known.extend(facts().map(name).filter(|name| !name.is_empty()).cloned());
            }
        }
    }
}

impl Block {
    /// Listings that it names, each with the fields that it names of it.
    fn named(&self) -> Vec<(&str, Vec<&str>)> {
        let mut all = Vec::new();
        let mut own: Vec<&str> = self.columns.iter().map(|column| column.field.as_str()).collect();
        own.extend(self.only.keys().map(String::as_str));
        own.push(&self.first_of);
        all.push((self.records.as_str(), own));
        for fact in &self.facts {
            let mut fields: Vec<&str> = fact.only.keys().map(String::as_str).collect();
            fields.push(&fact.field);
            all.push((&fact.records, fields));
        }
        for series in self.chart.iter().flat_map(|chart| &chart.series) {
            let mut fields: Vec<&str> = series.only.keys().map(String::as_str).collect();
            fields.extend([series.x.as_str(), series.y.as_str()]);
            all.push((&series.records, fields));
        }
        all.retain(|(set, _)| !set.is_empty());
        all.iter_mut().for_each(|(_, fields)| fields.retain(|field| !field.is_empty()));
        all
    }
}

/// Most columns of a page, its widest column in characters, most decimals, widest line of a chart in points.
const MOST_COLUMNS: usize = 64;
const WIDEST: f64 = 255.0;
const MOST_BLOCKS: usize = 200;
const MOST_PLACES: usize = 12;
const THICKEST: f64 = 20.0;
/// Longest title, in letters.
const LONGEST_TITLE: usize = 500;

/// Everything that is wrong with a page: numbers that no sheet has, names that nothing has.
///
/// # Errors
/// Each with the line on which it stands.
pub fn check_page(page: &Page, file: &str, text: &str, names: &Names) -> Faults {
    let mut faults = Faults::none();
    let mut wrong = |word: &str, message: String, help: String| {
        let quoted = format!("\"{word}\"");
        let found = |word: &str| text.lines().position(|line| line.contains(word));
        let line = found(&quoted).or_else(|| found(word)).map_or(1, |at| at + 1);
        faults.push(Problem::error(message).at(Place::column(file, line, 1)).help(help));
    };
    check_numbers(page, &mut wrong);
    check_names(page, names, &mut wrong);
    faults
}

/// Tells a fault: the word by which its line is found, what is wrong, what was expected.
type Wrong<'a> = &'a mut dyn FnMut(&str, String, String);

/// Numbers and titles that no sheet has.
fn check_numbers(page: &Page, wrong: Wrong) {
    let titles = |c: char| c.is_control() || "[]:*?/\\'".contains(c);
    let length = page.sheet.encode_utf16().count();
    if page.sheet.trim().is_empty()
        || length > 31
        || page.sheet.contains(titles)
        || page.sheet.eq_ignore_ascii_case("history")
    {
        let message = format!("\"{}\" is no name for a sheet", page.sheet);
        wrong(
            "sheet",
            message,
            "up to 31 letters were expected, without []:*?/\\' and not the word History".to_owned(),
        );
    }
    if page.title.chars().count() > LONGEST_TITLE {
        let message = "the title of this page is longer than a line".to_owned();
        wrong("title", message, format!("up to {LONGEST_TITLE} letters were expected"));
    }
    if page.widths.len() > MOST_COLUMNS
        || !page.widths.iter().all(|width| (0.0..=WIDEST).contains(width))
    {
        let message = "the widths of this page are none that a sheet has".to_owned();
        let help = format!("up to {MOST_COLUMNS} widths of 0 to {WIDEST} characters were expected");
        wrong("widths", message, help);
    }
    for column in page.block.iter().flat_map(|block| &block.columns) {
        let here = &column.field;
        if column.at.is_some_and(|at| usize::from(at) >= MOST_COLUMNS) {
            let message = format!("column {} is beyond what a page has", column.at.unwrap_or(0));
            wrong(here, message, format!("at: 0 to {} was expected", MOST_COLUMNS - 1));
        }
        if column.places.is_some_and(|places| places > MOST_PLACES) {
            let message =
                format!("{} decimals are more than are printed", column.places.unwrap_or(0));
            wrong(here, message, format!("places: 0 to {MOST_PLACES} was expected"));
        }
    }
    if page.block.len() > MOST_BLOCKS {
        let message = format!("this page has {} blocks", page.block.len());
        wrong("block", message, format!("up to {MOST_BLOCKS} were expected"));
    }
    for block in &page.block {
        if block.columns.len() > MOST_COLUMNS {
            let message = format!("a block has {} columns", block.columns.len());
            wrong("columns", message, format!("up to {MOST_COLUMNS} were expected"));
        }
        for series in block.chart.iter().flat_map(|chart| &chart.series) {
            if !(0.0..=THICKEST).contains(&series.width) {
                let message = format!("a line of a chart is {} points wide", series.width);
                wrong(&series.name, message, format!("width: 0 to {THICKEST} was expected"));
            }
        }
    }
}

/// Listings, columns and lines that nothing has.
fn check_names(page: &Page, names: &Names, wrong: Wrong) {
    for block in &page.block {
        for (set, fields) in block.named() {
            let Some(known) = names.listings.iter().find(|known| known.name == set) else {
                let message = format!("there is no listing \"{set}\"");
                let known: Vec<String> =
                    names.listings.iter().map(|known| known.name.to_owned()).collect();
                wrong(set, message, near(set, &known));
                continue;
            };
            for field in fields {
                if let Err(problem) = known.column(field) {
                    wrong(field, problem.message, problem.help.unwrap_or_default());
                }
            }
        }
        for fact in block.facts.iter().filter(|fact| !fact.records.is_empty()) {
            let Some(known) = names.listings.iter().find(|known| known.name == fact.records) else {
                continue;
            };
            for field in placeholders(&fact.note) {
                if let Err(problem) = known.column(field) {
                    wrong(field, problem.message, problem.help.unwrap_or_default());
                }
            }
        }
        for fact in &block.facts {
            if let Some(lines) = &names.lines
                && !fact.line.is_empty()
                && !lines.contains(&fact.line)
            {
                let message = format!("the takeoff has no line \"{}\"", fact.line);
                wrong(&fact.line, message, near(&fact.line, lines));
            }
            if let Some(cells) = &names.cells
                && !fact.cell.is_empty()
                && !cells.contains(&fact.cell)
            {
                let message = format!("no calc sheet has a cell \"{}\"", fact.cell);
                wrong(&fact.cell, message, near(&fact.cell, cells));
            }
        }
    }
}

/// The names in braces of a note.
fn placeholders(note: &str) -> impl Iterator<Item = &str> {
    note.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(name, _)| name))
}

/// The name that was meant, or all of them.
fn near<'a>(name: &str, known: impl IntoIterator<Item = &'a String>) -> String {
    let known: Vec<&str> = known.into_iter().map(String::as_str).collect();
    match closest(name, known.iter().copied()) {
        Some(near) => format!("did you mean {near}?"),
        None => format!("there are: {}", known.join(", ")),
    }
}

/// Reads a page description.
///
/// # Errors
/// It is faulty; the message says where.
pub fn read_page(file: &str, text: &str) -> Result<Page, Problem> {
    toml::from_str::<Page>(text).map_err(|error| {
        let line = error
            .span()
            .map_or(1, |span| text[..span.start.min(text.len())].matches('\n').count() + 1);
        Problem::error(format!("this page description cannot be read: {}", error.message()))
            .at(Place::column(file, line, 1))
    })
}
