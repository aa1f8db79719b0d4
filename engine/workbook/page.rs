//! Pages as data: what stands on a sheet, in which order and how wide, is described in templates/workbook/.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::problem::{Outcome, Place, Problem};

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
    /// Label.
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

/// Reads page descriptions, in order.
///
/// # Errors
/// A description is faulty; the message says where.
pub fn read_pages(texts: &[(String, String)]) -> Outcome<Vec<Page>> {
    let read = |(name, text): &(String, String)| {
        toml::from_str::<Page>(text).map_err(|error| {
            let line = error
                .span()
                .map_or(1, |span| text[..span.start.min(text.len())].matches('\n').count() + 1);
            Problem::error(format!("this page description cannot be read: {}", error.message()))
                .at(Place::column(name, line, 1))
        })
    };
    let pages: Result<Vec<Page>, Problem> = texts.iter().map(read).collect();
    Ok(pages?)
}
