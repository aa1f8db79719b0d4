//! The text that settings are read from, and where a value stands in it.

use std::ops::Range;
use std::sync::OnceLock;

use crate::problem::{At, Excerpt, Place, Problem};

/// The settings as written: the text of a file, and below it what stands in the sheets of a workbook.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Written {
    /// The file.
    pub file: String,
    /// Its text, and below it the tables of a workbook in the same language.
    pub text: String,
    /// Lines of the file itself.
    pub own_lines: usize,
    /// The cell that each further line stands in.
    pub cells: Vec<Place>,
    /// Where each line begins, found when the first fault is placed: a file may have very many.
    starts: OnceLock<Vec<usize>>,
}

impl Written {
    /// A file alone.
    pub fn alone(file: &str, text: &str) -> Self {
        Self {
            file: file.to_owned(),
            text: text.to_owned(),
            own_lines: usize::MAX,
            cells: Vec::new(),
            starts: OnceLock::new(),
        }
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

    /// The place of a span: a cell of a workbook, or a line and column of the file.
    pub(super) fn place_of(&self, span: &Range<usize>) -> Place {
        let start = span.start.min(self.text.len());
        if span.is_empty() && start == 0 {
            return Place::file(&self.file);
        }
        let before = &self.text[..self.text.floor_char_boundary(start)];
        let (line, line_start) = self.line_of(before.len());
        let cell =
            line.checked_sub(self.own_lines.saturating_add(1)).and_then(|at| self.cells.get(at));
        let column = before[line_start..].chars().count() + 1;
        cell.cloned().unwrap_or_else(|| Place::column(&self.file, line, column))
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
