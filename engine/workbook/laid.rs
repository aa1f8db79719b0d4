//! A sheet as it is laid out: its cells in their places, before anything is written.

use std::collections::BTreeMap;

use super::cell::{CellRole, PageCell};
use super::chart;
use super::look;
use super::page::ChartPage;

/// A chart and the row that it begins on.
pub(super) enum LaidChart<'a> {
    /// Lines over listings.
    Lines(u32, &'a ChartPage),
    /// Bars over one or two columns of a table: the first and last row.
    Bars { at: u32, rows: (u32, u32), columns: Vec<u16> },
    /// A picture of the workbook, by its place among them, on a number of rows.
    Picture { at: u32, rows: u32, which: usize },
    /// Upright bars over columns of a table, side by side for each row, named by its first column.
    Upright { at: u32, rows: (u32, u32), columns: Vec<u16> },
}

impl LaidChart<'_> {
    /// The row that it ends above.
    pub(super) fn end(&self) -> u32 {
        match self {
            Self::Lines(at, _) => at + chart::ROWS,
            Self::Bars { at, rows, .. } => at + chart::bar_rows(*rows),
            Self::Upright { at, .. } => at + chart::UPRIGHT_ROWS,
            Self::Picture { at, rows, .. } => at + rows,
        }
    }
}

/// A sheet.
pub(super) struct Laid<'a> {
    pub(super) name: String,
    pub(super) cells: BTreeMap<(u32, u16), PageCell>,
    pub(super) widths: BTreeMap<u16, f64>,
    /// Heights of rows that are not as their texts need.
    pub(super) heights: BTreeMap<u32, f64>,
    pub(super) charts: Vec<LaidChart<'a>>,
    /// Rows that are repeated on every page.
    pub(super) repeat: (u32, u32),
    /// The first row that is scrolled.
    pub(super) frozen: Option<u32>,
    pub(super) landscape: bool,
    /// Whether it is a drawing, which takes the paper to narrow margins.
    pub(super) is_drawing: bool,
    /// Size of its letters, in points.
    pub(super) size: f64,
    /// How wide its letters are beside the usual face's.
    pub(super) letter: f64,
    /// Whether the logo of the firm stands at its head.
    pub(super) logo: bool,
    /// Whether everything comes on one page.
    pub(super) one_page: bool,
    /// Whether it is hidden: it holds what a chart shows.
    pub(super) hidden: bool,
    /// The next free row.
    pub(super) row: u32,
    /// The last column that the page speaks of.
    pub(super) last_column: u16,
}

/// Least and greatest width of a column that is as wide as what it holds, in letters.
const NARROWEST: f64 = 9.0;
const WIDEST: f64 = 60.0;
/// The last column that a page prints for the sake of a title.
const MOST_PRINTED: u16 = 16;

impl<'a> Laid<'a> {
    pub(super) fn new(name: String) -> Self {
        Self {
            name,
            cells: BTreeMap::new(),
            widths: BTreeMap::new(),
            heights: BTreeMap::new(),
            charts: Vec::new(),
            repeat: (0, 0),
            frozen: None,
            landscape: false,
            is_drawing: false,
            size: look::SIZE,
            letter: 1.0,
            logo: false,
            one_page: false,
            hidden: false,
            row: 0,
            last_column: 0,
        }
    }

    /// Puts a cell on the row that is being laid.
    pub(super) fn put(&mut self, column: u16, cell: PageCell) {
        self.cells.insert((self.row, column), cell);
    }

    /// A line of text across the sheet.
    pub(super) fn line(&mut self, text: impl Into<String>, role: CellRole) {
        self.put(0, PageCell::text(text, role));
        self.row += 1;
    }

    /// Width of a column, in letters.
    pub(super) fn width(&self, column: u16) -> f64 {
        self.widths.get(&column).copied().unwrap_or(NARROWEST)
    }

    /// Whether it holds more than its title.
    pub(super) fn is_empty(&self) -> bool {
        self.cells.keys().all(|(row, _)| *row == 0) && self.charts.is_empty()
    }

    /// Prints so many columns that titles and notes are not cut.
    fn reach(&mut self) {
        let wanted = |(_, cell): (&(u32, u16), &PageCell)| cell.run();
        let wanted = self.cells.iter().filter(|((_, column), _)| *column == 0).map(wanted);
        let upright = |chart: &LaidChart| matches!(chart, LaidChart::Upright { .. });
        let chart = if self.charts.iter().any(upright) { chart::UPRIGHT_LETTERS } else { 0.0 };
        let wanted = wanted.fold(chart, f64::max);
        let mut room: f64 = (0..=self.last_column).map(|column| self.width(column)).sum();
        while room < wanted && self.last_column < MOST_PRINTED {
            self.last_column += 1;
            room += self.width(self.last_column);
        }
    }

    /// Gives columns without a width one for what they hold, and rows the height of their wrapped texts.
    pub(super) fn fit(&mut self) {
        let mut widest: BTreeMap<u16, usize> = BTreeMap::new();
        for ((_, column), cell) in &self.cells {
            let known = widest.entry(*column).or_default();
            *known = cell.width().max(*known);
        }
        for (column, letters) in widest {
            let letters = f64::from(u32::try_from(letters).unwrap_or(u32::MAX)) + 2.5;
            let letters = letters * (self.size / look::SIZE).max(1.0);
            self.widths.entry(column).or_insert(letters.clamp(NARROWEST, WIDEST));
        }
        // A number that does not fit is shown as marks: its column is made wider.
        for ((_, column), cell) in &self.cells {
            let Some(letters) = cell.letters() else { continue };
            let letters = f64::from(u32::try_from(letters).unwrap_or(u32::MAX));
            let needed = (letters + 1.5) * (self.size / look::SIZE).max(1.0);
            if let Some(width) = self.widths.get_mut(column).filter(|width| **width > 0.0) {
                *width = width.max(needed);
            }
        }
        self.reach();
        let times = self.size / look::SIZE;
        if times > 1.0 {
            for row in 0..self.row {
                self.heights.entry(row).or_insert(look::LINE * times);
            }
        }
        for ((row, column), cell) in &self.cells {
            let Some(text) = cell.wrapped() else { continue };
            let width = (*column..*column + cell.span).map(|at| self.width(at)).sum::<f64>();
            // What is hidden needs no height.
            if width == 0.0 {
                continue;
            }
            let lines = look::lines(text, width / times / self.letter);
            if lines > 1 {
                let height = look::LINE * times * f64::from(lines);
                let known = self.heights.entry(*row).or_insert(height);
                *known = known.max(height);
            }
        }
    }
}
