//! The text that settings are read from, and where a value stands in it.

use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::OnceLock;

use crate::problem::{At, Excerpt, Place, Problem};
use crate::workbook::is_workbook;

/// The settings as written: the job's file with what stands in the sheets of workbooks below it, and after it the same of
/// the company's standard.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Written {
    text: String,
    layers: Vec<WrittenLayer>,
    /// Paths of keys whose cell was told as faulty: they are not missing.
    faulty: BTreeSet<String>,
    /// Where each line begins, found when the first fault is placed: a file may have very many.
    starts: OnceLock<Vec<usize>>,
}

/// One file and its workbooks.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct WrittenLayer {
    file: String,
    /// Where it begins in the text.
    begins: usize,
    /// Lines of the file itself.
    own_lines: usize,
    /// The cell that each further line stands in.
    cells: Vec<Place>,
}

impl Written {
    /// A file alone.
    pub fn alone(file: &str, text: &str) -> Self {
        let mut text = text.to_owned();
        if !text.is_empty() && !text.ends_with('\n') {
            text.push('\n');
        }
        let own_lines = text.matches('\n').count();
        let layer = WrittenLayer { file: file.to_owned(), own_lines, ..WrittenLayer::default() };
        Self { text, layers: vec![layer], ..Self::default() }
    }

    /// Adds a line that stands in a cell.
    pub(in crate::job) fn push(&mut self, line: &str, cell: Place) {
        self.text.push_str(line);
        self.text.push('\n');
        if let Some(layer) = self.layers.last_mut() {
            layer.cells.push(cell);
        }
    }

    /// Remembers a key whose cell is faulty.
    pub(in crate::job) fn know_faulty(&mut self, path: String) {
        self.faulty.insert(path);
    }

    /// Whether a key is missing only because its cell is faulty.
    pub(super) fn is_faulty(&self, path: &str) -> bool {
        self.faulty.contains(path)
    }

    /// The same over a standard, which is a text of its own.
    #[must_use]
    pub(in crate::job) fn over(mut self, standard: Self) -> Self {
        let begins = self.text.len();
        let moved = |layer: WrittenLayer| WrittenLayer { begins: begins + layer.begins, ..layer };
        self.layers.extend(standard.layers.into_iter().map(moved));
        self.text.push_str(&standard.text);
        self.faulty.extend(standard.faulty);
        Self { starts: OnceLock::new(), ..self }
    }

    /// Whether the job is a workbook, so that what is missing in it is a cell or a sheet.
    pub(super) fn is_book(&self) -> bool {
        is_workbook(self.file())
    }

    /// The file of the job.
    pub(super) fn file(&self) -> &str {
        self.layers.first().map_or("", |layer| &layer.file)
    }

    /// Where each text begins, and the text: the job's, then the standard's.
    pub(in crate::job) fn texts(&self) -> Vec<(usize, &str)> {
        let ends = self.layers.iter().skip(1).map(|layer| layer.begins).chain([self.text.len()]);
        let text = |(layer, end): (&WrittenLayer, usize)| {
            (layer.begins, self.text.get(layer.begins..end).unwrap_or(""))
        };
        self.layers.iter().zip(ends).map(text).collect()
    }

    /// Whether a span stands in the settings of the job, and not in the standard.
    pub(super) fn is_of_job(&self, span: &Range<usize>) -> bool {
        self.layers.get(1).is_none_or(|standard| span.start < standard.begins)
    }

    /// The value that is written at a span.
    pub(super) fn value(&self, span: &Range<usize>) -> Option<toml::Value> {
        let text = format!("value = {}", self.text.get(span.clone())?);
        text.parse::<toml::Table>().ok()?.remove("value")
    }

    /// What is written at a span, without quotes; of several lines the first.
    pub(super) fn words(&self, span: &Range<usize>) -> String {
        let text = self.text.get(span.clone()).unwrap_or("").trim().trim_matches('"');
        let mut lines = text.lines();
        let first = lines.next().unwrap_or("");
        if lines.next().is_some() { format!("{first} ...") } else { first.to_owned() }
    }

    /// The line of a place in the text, counted from 1, and where it begins.
    fn line_of(&self, place: usize) -> (usize, usize) {
        let starts = self.starts.get_or_init(|| {
            let after = self.text.match_indices('\n').map(|(at, _)| at + 1);
            std::iter::once(0).chain(after).collect()
        });
        let line = starts.partition_point(|start| *start <= place).max(1);
        (line, starts[line - 1])
    }

    /// The place of a span: a cell of a workbook, or a line and column of a file.
    pub(super) fn place_of(&self, span: &Range<usize>) -> Place {
        let start = span.start.min(self.text.len());
        let after = self.layers.partition_point(|layer| layer.begins <= start);
        let Some(layer) = after.checked_sub(1).and_then(|at| self.layers.get(at)) else {
            return Place::file("");
        };
        if span.is_empty() && start == layer.begins {
            return Place::file(&layer.file);
        }
        let before = &self.text[..self.text.floor_char_boundary(start)];
        let (line, line_start) = self.line_of(before.len());
        let line = line - self.line_of(layer.begins).0 + 1;
        let cell = line.checked_sub(layer.own_lines + 1).and_then(|at| layer.cells.get(at));
        let column = before[line_start..].chars().count() + 1;
        cell.cloned().unwrap_or_else(|| Place::column(&layer.file, line, column))
    }
}

/// Puts a problem at a span of the file.
pub(super) fn mark(written: &Written, span: &Range<usize>, problem: Problem) -> Problem {
    let place = written.place_of(span);
    let At::Column(_, column) = place.at else { return problem.at(place) };
    let text = &written.text;
    let start = span.start.min(text.len());
    let (_, line_start) = written.line_of(text.floor_char_boundary(start));
    let line_text = text[line_start..].lines().next().unwrap_or("");
    let length = text
        [text.floor_char_boundary(start)..text.floor_char_boundary(span.end.min(text.len()))]
        .lines()
        .next()
        .map_or(1, |part| part.trim_end().chars().count());
    problem.at(place).marked(Excerpt {
        line: line_text.to_owned(),
        start: column - 1,
        length: length.max(1),
    })
}
