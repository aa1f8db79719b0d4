//! The sheets of a workbook as texts in their places, for papers that are no workbook.

use super::cell::{CellRole, Content, Held, PageCell};
use super::laid::{Laid, LaidChart};
use super::look;
use super::page::ByHand;
use super::places::Places;
use super::write::{Contents, laid_out};
use crate::measure::thousands;

/// A sheet.
#[derive(Debug, Clone)]
pub struct PaperSheet {
    /// Its name.
    pub name: String,
    /// Whether it lies on its side.
    pub landscape: bool,
    /// Size of its letters in points.
    pub size: f64,
    /// Widths of its columns in digits of that size's usual one.
    pub widths: Vec<f64>,
    /// Its rows that hold something, from top to bottom.
    pub rows: Vec<PaperRow>,
    /// How many of them are repeated on every page.
    pub repeated: usize,
    /// The picture that it shows, by its place among them.
    pub picture: Option<usize>,
}

/// A row.
#[derive(Debug, Clone)]
pub struct PaperRow {
    /// Its least height in points, where it is to be written into by hand.
    pub height: f64,
    /// Whether rows are left free above it.
    pub apart: bool,
    /// Its cells.
    pub cells: Vec<PaperCell>,
}

/// A cell.
#[derive(Debug, Clone)]
pub struct PaperCell {
    /// Its column, from 0.
    pub column: usize,
    /// How many columns it takes.
    pub span: usize,
    /// What is read.
    pub text: String,
    /// What it is.
    pub role: PaperRole,
    /// Whether it is strong.
    pub strong: bool,
}

/// What a cell is on its sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaperRole {
    /// Title of the sheet.
    Title,
    /// Heading of a part.
    Heading,
    /// A sentence.
    Note,
    /// Heading of a column; over numbers or not.
    Head(bool),
    /// A text; whether it may be wrapped, or runs over what is beside it.
    Text(bool),
    /// A number.
    Number,
    /// A line to write on.
    Line,
    /// A frame to write into.
    Box,
}

/// The sheets of a workbook.
pub fn paper_sheets(contents: &Contents) -> Vec<PaperSheet> {
    laid_out(contents, &mut Places::default()).iter().map(sheet).collect()
}

fn sheet(laid: &Laid) -> PaperSheet {
    let last = laid.cells.iter().map(|((_, column), cell)| column + cell.span).max().unwrap_or(1);
    let mut rows: Vec<PaperRow> = Vec::new();
    let (mut repeated, mut before) = (0, None);
    for ((row, column), cell) in &laid.cells {
        if before != Some(*row) {
            let apart = before.is_some_and(|before| row - before > 1);
            // The usual height is worked out anew where it is drawn.
            let lines = look::LINE * laid.size / look::SIZE;
            let height = laid.heights.get(row).copied().filter(|height| *height > lines * 1.2);
            rows.push(PaperRow { height: height.unwrap_or(0.0), apart, cells: Vec::new() });
            before = Some(*row);
            if laid.frozen.is_some() && *row <= laid.repeat.1 {
                repeated = rows.len();
            }
        }
        if let Some(row) = rows.last_mut() {
            row.cells.push(paper_cell(*column, cell));
        }
    }
    for row in &mut rows {
        let by_hand = |cell: &PaperCell| matches!(cell.role, PaperRole::Line | PaperRole::Box);
        if !row.cells.iter().any(by_hand) {
            row.height = 0.0;
        }
    }
    let picture = laid.charts.iter().find_map(|chart| match chart {
        LaidChart::Picture { which, .. } => Some(*which),
        _ => None,
    });
    PaperSheet {
        name: laid.name.clone(),
        landscape: laid.landscape,
        size: laid.size,
        widths: (0..last).map(|column| laid.width(column)).collect(),
        rows,
        repeated,
        picture,
    }
}

fn paper_cell(column: u16, cell: &PageCell) -> PaperCell {
    let text = match &cell.content {
        Content::Held(held) | Content::Live(_, held) => read(held),
        Content::Formula(_, result) => match (result.parse::<f64>(), &cell.pattern) {
            (Ok(number), Some(pattern)) => shown(number, pattern),
            _ => result.clone(),
        },
        _ => String::new(),
    };
    let role = match cell.role {
        CellRole::Title => PaperRole::Title,
        CellRole::Heading => PaperRole::Heading,
        CellRole::Note => PaperRole::Note,
        CellRole::Head(number) => PaperRole::Head(number),
        CellRole::Text(wrap) => PaperRole::Text(wrap || cell.span > 1),
        CellRole::Number => PaperRole::Number,
        CellRole::ByHand(ByHand::Line) => PaperRole::Line,
        CellRole::ByHand(ByHand::Box) => PaperRole::Box,
    };
    let (column, span) = (usize::from(column), usize::from(cell.span));
    PaperCell { column, span, text, role, strong: cell.strong }
}

fn read(held: &Held) -> String {
    match held {
        Held::Number(number, pattern) => shown(*number, pattern),
        Held::Text(text) => text.clone(),
        Held::Flag(flag) => (if *flag { "yes" } else { "no" }).to_owned(),
    }
}

/// A number in the form that a spreadsheet gives it, as far as our own patterns go.
pub(super) fn shown(number: f64, pattern: &str) -> String {
    let (digits, unit) = pattern.split_once('"').unwrap_or((pattern, ""));
    let unit = unit.trim_end_matches('"');
    let places = digits.split_once('.').map_or(0, |(_, after)| after.matches('0').count());
    let places = u32::try_from(places).unwrap_or(2);
    let text = match digits {
        "General" => crate::measure::shortest(number),
        digits if digits.contains('%') => format!("{} %", thousands(number * 100.0, places)),
        digits if digits.contains(',') => thousands(number, places),
        _ => thousands(number, places).replace(',', ""),
    };
    format!("{text}{unit}")
}

#[cfg(test)]
mod tests {
    use super::shown;

    #[test]
    fn numbers_are_read_as_a_spreadsheet_shows_them() {
        for (number, pattern, text) in [
            (62286.05, "#,##0.00", "62,286.05"),
            (-0.133, "0.00", "-0.13"),
            (7.0, "0", "7"),
            (0.085, "0.0%", "8.5 %"),
            (1.5, "General", "1.5"),
            (32.5, "#,##0.00\" cy\"", "32.50 cy"),
        ] {
            assert_eq!(shown(number, pattern), text);
        }
    }
}
