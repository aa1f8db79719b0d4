//! Pages as data: what stands on a sheet, in which order and how wide, is described in templates/workbook/.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::listing::Audience;
use crate::problem::{Place, Problem};

/// Of what a page makes a sheet each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Each {
    /// Each calc sheet.
    CalcSheet,
    /// Each table that a script or a question made.
    Table,
    /// Each sheet of a drawing.
    Drawing,
}

/// Room that a column leaves for handwriting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum ByHand {
    /// A line to write on.
    Line,
    /// A frame to write into.
    Box,
}

/// Tables whose values follow each other, and tables that bring their own columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum LiveTable {
    /// The lines of the takeoff with their parts.
    Quantities,
    /// The settings that formulas rest on.
    Inputs,
    /// What formulas name of the job and its layout.
    Facts,
    /// The cells of a calc sheet.
    Cells,
    /// The rows of a calc sheet that has rows of its own.
    Rows,
    /// The rows of a table that a script or a question made.
    Table,
}

/// One sheet.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Page {
    /// Name of the sheet; of pages that make several, `{title}` is that of each.
    pub sheet: String,
    /// What it makes a sheet each of; without it one sheet.
    #[serde(default)]
    pub each: Option<Each>,
    /// Where it stands among the sheets: after those with a lesser number. Without it the number that its file's name begins
    /// with, and without one after the bundled pages.
    #[serde(default)]
    pub order: Option<f64>,
    /// Who is to read it: it shows nothing that they may not see. Without it the office.
    #[serde(default)]
    pub audience: Option<Audience>,
    /// Title; `{job}` stands for the name of the job. Without one the first block stands first.
    #[serde(default)]
    pub title: String,
    /// Size of its letters in points; without it 11.
    #[serde(default)]
    pub size: Option<f64>,
    /// Whether the logo of the firm stands at its head.
    #[serde(default)]
    pub logo: bool,
    /// Whether it lies on its side when printed.
    #[serde(default)]
    pub landscape: bool,
    /// Whether everything is printed on one page.
    #[serde(default)]
    pub one_page: bool,
    /// Whether its sheets are hidden: they hold what charts show, and nobody reads or prints them.
    #[serde(default)]
    pub hidden: bool,
    /// Widths of the columns, in characters; a column without one is as wide as what it holds.
    #[serde(default)]
    pub widths: Vec<f64>,
    /// What stands on it, from top to bottom.
    pub(super) block: Vec<Block>,
}

/// One block of a page.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Block {
    /// Name of the sheet that begins with it, where the page takes more than one.
    #[serde(default)]
    pub(super) sheet: String,
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
    /// A table whose values follow each other, in place of a listing.
    #[serde(default)]
    pub(super) live: Option<LiveTable>,
    /// The same for the quantities, as older pages have it.
    #[serde(default)]
    pub(super) quantities: bool,
    /// One or two columns of numbers, counted from 0, that bars under the table show, each row named by its first column.
    #[serde(default)]
    pub(super) bars: Vec<u16>,
    /// Single facts.
    #[serde(default)]
    pub(super) facts: Vec<PageFact>,
    /// A chart.
    #[serde(default)]
    pub(super) chart: Option<ChartPage>,
    /// What is to be ticked off: a frame, and its words.
    #[serde(default)]
    pub(super) checks: Vec<String>,
    /// Kind of drawing that it shows, on a page that makes a sheet of each.
    #[serde(default)]
    pub(super) picture: String,
    /// Column under which its sum stands, in the last line of the block.
    #[serde(default)]
    pub(super) total: String,
    /// Height of its rows in points, to write into by hand.
    #[serde(default)]
    pub(super) height: Option<f64>,
    /// What is written when there is no row; without it the block is left out.
    #[serde(default)]
    pub(super) empty: String,
}

impl Page {
    /// Whether others than the office read it.
    pub(super) fn is_for_others(&self) -> bool {
        self.audience.is_some_and(|readers| readers != Audience::Office)
    }

    /// Names of its sheets, as far as it says them.
    pub fn sheets(&self) -> Vec<String> {
        let blocks = self.block.iter().map(|block| &block.sheet);
        let all = [&self.sheet].into_iter().chain(blocks).filter(|name| !name.is_empty());
        all.cloned().collect()
    }

    /// The kind of drawing that it shows.
    pub fn picture(&self) -> &str {
        let kinds = self.block.iter().map(|block| block.picture.as_str());
        kinds.into_iter().find(|kind| !kind.is_empty()).unwrap_or_default()
    }
}

impl Block {
    /// Its live table; older pages name the quantities apart.
    pub(super) fn live(&self) -> Option<LiveTable> {
        self.live.or(self.quantities.then_some(LiveTable::Quantities))
    }
}

/// One column of a block.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PageColumn {
    /// Field of the listing; `*` stands for all further columns of a table that brings its own.
    #[serde(default)]
    pub(super) field: String,
    /// In place of a field, room for handwriting.
    pub(super) fill: Option<ByHand>,
    /// Its width in characters, in place of the page's.
    pub(super) width: Option<f64>,
    /// Heading; the unit is added under it.
    #[serde(default)]
    pub(super) title: String,
    /// Column of the sheet, counted from 0; without it the next one.
    pub(super) at: Option<u16>,
    /// How many columns of the sheet its text takes; the columns after it must leave them free.
    pub(super) span: Option<u16>,
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
pub(super) struct PageFact {
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
