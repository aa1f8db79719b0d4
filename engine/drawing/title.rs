//! What stands round a drawing on every sheet: the frame, the title with its scale, the key of lines, the proviso.

use super::scene::{LETTER, OnPaper, Paper, Pen, Scene, TextEnd, lines_of};
use crate::measure::System;

/// What stands in the title of every sheet.
#[derive(Debug, Clone)]
pub struct About {
    /// Name of the job.
    pub job: String,
    /// The date as text.
    pub date: String,
    /// Units of the job.
    pub system: System,
    /// The paper.
    pub paper: Paper,
    /// Whether it comes on its paper in its own size; in a workbook it is fitted to the page.
    pub full_size: bool,
}

impl About {
    /// What the title says of a scale.
    pub(super) fn scale(&self, words: &str) -> String {
        if self.full_size { words.to_owned() } else { "not to scale".to_owned() }
    }
}

/// Margin of the frame, in mm.
pub(super) const MARGIN: f64 = 10.0;
/// Room of the title.
pub(super) const TITLE: f64 = 30.0;

const FRAME: Pen = Pen { width: 0.35, dashes: &[] };
const FINE: Pen = Pen { width: 0.1, dashes: &[] };

/// Most lines that the key explains.
const MOST_KEYS: usize = 10;

/// Rows of letters that the title has room for.
const ROWS: usize = 5;

/// What the title of a sheet says of its drawing.
pub(super) struct SheetTitle<'a> {
    /// What is drawn, its scale, what its numbers are.
    pub(super) said: &'a [String],
    /// Lines of the drawing with their words.
    pub(super) key: &'a [(Pen, &'a str)],
    /// Number of the sheet.
    pub(super) number: usize,
    /// How many there are.
    pub(super) of: usize,
}

/// The frame and the title of a sheet.
pub(super) fn title(scene: &mut Scene, about: &About, title: &SheetTitle) {
    let (width, height) = (scene.width, scene.height);
    let (left, right) = (MARGIN, width - MARGIN);
    let (top, bottom) = (height - MARGIN - TITLE, height - MARGIN);
    let frame = |a: OnPaper, b: OnPaper| vec![a, (b.0, a.1), b, (a.0, b.1), a];
    scene.line("frame", FRAME, frame((left, MARGIN), (right, bottom)));
    scene.line("title", FRAME, vec![(left, top), (right, top)]);
    let parts = [left, left + (right - left) * 0.33, left + (right - left) * 0.73];
    for x in &parts[1..] {
        scene.line("title", FINE, vec![(*x, top), (*x, bottom)]);
    }
    let row = |at: usize| {
        #[expect(clippy::cast_precision_loss, reason = "rows of a title")]
        let rows = at as f64;
        top + 5.0 + rows * 5.6
    };
    let wide = parts[1] - parts[0] - 4.0;
    let said: Vec<String> = title.said.iter().flat_map(|text| lines_of(text, wide)).collect();
    let room = ROWS.saturating_sub(said.len()).clamp(1, 2);
    let job = lines_of(&about.job, wide).into_iter().take(room);
    for (at, text) in job.chain(said).take(ROWS).enumerate() {
        scene.text("title", (parts[0] + 2.0, row(at)), TextEnd::Start, &text);
    }
    // The lines that stand on the sheet, as they are drawn.
    for (at, (pen, words)) in title.key.iter().enumerate().take(MOST_KEYS) {
        let (column, down) = (at / 5, at % 5);
        let x = parts[1] + 2.0 + if column == 0 { 0.0 } else { 48.0 };
        let y = row(down) - LETTER / 2.0;
        scene.line("key", *pen, vec![(x, y), (x + 9.0, y)]);
        scene.text("key", (x + 11.0, row(down)), TextEnd::Start, words);
    }
    let wide = right - parts[2] - 4.0;
    let mut said = vec![format!("sheet {} of {} {}", title.number, title.of, about.date)];
    said.extend(lines_of(
        "A proposal until the engineer of record accepts it in writing. Cuts and banks: a competent person decides.",
        wide,
    ));
    for (at, text) in said.iter().enumerate() {
        scene.text("title", (parts[2] + 2.0, row(at)), TextEnd::Start, text);
    }
}
