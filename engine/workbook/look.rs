//! One restrained look: it prints in black and white and still says everything.

use std::collections::BTreeMap;
use std::sync::Arc;

use rust_xlsxwriter::{Format, FormatAlign, FormatBorder, Image, Note};

use super::cell::{CellRole, Mark};
use super::page::ByHand;
use crate::footing::System;
use crate::listing::Datum;
use crate::measure::{Dimension, known_unit};

/// Paper of a workbook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WorkbookPaper {
    /// 8 1/2 x 11 in.
    Letter,
    /// 210 x 297 mm.
    A4,
}

impl WorkbookPaper {
    /// The usual one of a system of units.
    pub fn usual(system: System) -> Self {
        if system == System::Us { Self::Letter } else { Self::A4 }
    }

    /// Its short and its long side in mm.
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::Letter => (215.9, 279.4),
            Self::A4 => (210.0, 297.0),
        }
    }

    /// Its short and its long side in inches.
    pub(super) fn inches(self) -> (f64, f64) {
        match self {
            Self::Letter => (8.5, 11.0),
            Self::A4 => (8.27, 11.69),
        }
    }

    /// Its number in the open standard of workbooks.
    pub(super) fn code(self) -> u8 {
        match self {
            Self::Letter => 1,
            Self::A4 => 9,
        }
    }
}

/// Margins of a page in inches: at its sides, and over and under it.
pub(super) const SIDE: f64 = 0.32;
pub(super) const TOP: f64 = 0.5;

/// The look of a firm: what of the papers is its own.
#[derive(Debug, Clone, Default)]
pub struct Look {
    /// Colour of titles and headings.
    pub colour: Option<u32>,
    /// Typeface.
    pub font: Option<String>,
    /// Paper; without it the usual one of the job's units.
    pub paper: Option<WorkbookPaper>,
    /// Logo, a png picture.
    pub logo: Option<Arc<[u8]>>,
    /// Decimals of numbers in a unit.
    pub places: BTreeMap<String, usize>,
    /// Names of sheets that come first, in this order.
    pub sheets: Vec<String>,
}

/// Usual size of letters, in points.
pub(super) const SIZE: f64 = 11.0;

impl Look {
    /// A format with the firm's typeface and colour, and letters of a page's own size.
    pub(super) fn dress(&self, format: Format, role: CellRole, size: f64) -> Format {
        let format = match &self.font {
            Some(font) => format.set_font_name(font),
            None => format,
        };
        let format =
            match self.colour.filter(|_| matches!(role, CellRole::Title | CellRole::Heading)) {
                Some(colour) => format.set_font_color(colour),
                None => format,
            };
        let times = match role {
            CellRole::Title => TITLE,
            CellRole::Heading => HEADING,
            _ => 1.0,
        };
        match (size - SIZE).abs() < 0.01 {
            true => format,
            false => format.set_font_size(size * times),
        }
    }
}

/// Whether bytes are a png picture that a workbook can show.
pub fn is_png(bytes: &[u8]) -> bool {
    bytes.starts_with(b"\x89PNG\r\n\x1a\n") && Image::new_from_buffer(bytes).is_ok()
}

/// Titles and headings are so many times as large as what they stand over.
const TITLE: f64 = 15.0 / SIZE;
const HEADING: f64 = 12.0 / SIZE;

/// Height of a line of text, in points.
pub(super) const LINE: f64 = 15.0;

/// Lines that a wrapped text takes in a column of this width.
pub(super) fn lines(text: &str, width: f64) -> u16 {
    let room = width.max(4.0) - 1.5;
    let count = text.split('\n').map(|line| {
        // Words do not break: fill line by line.
        let (mut lines, mut used) = (1_u16, 0.0);
        for word in line.split(' ') {
            let length: f64 = word.chars().map(wide).sum();
            if used > 0.0 && used + wide(' ') + length > room {
                lines = lines.saturating_add(1);
                used = length;
            } else {
                used += if used > 0.0 { wide(' ') + length } else { length };
            }
        }
        lines
    });
    count.fold(0, u16::saturating_add)
}

/// About how wide a letter is, in digits, on the safe side: a column's width is counted in digits.
fn wide(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | ' ' => 0.52,
        't' | 'f' | 'r' | '-' | '(' | ')' | '/' => 0.72,
        's' | 'c' | '"' => 0.86,
        'm' | 'w' => 1.65,
        'M' | 'W' | '@' | '%' => 1.8,
        'a' | 'e' | 'g' | 'k' | 'v' | 'x' | 'y' | 'z' => 0.98,
        'a'..='z' | '0'..='9' => 1.06,
        _ => 1.25,
    }
}

/// Grey of headings.
const GREY: u32 = 0x00E6_E6E6;

pub(super) fn title() -> Format {
    Format::new().set_bold().set_font_size(SIZE * TITLE)
}

pub(super) fn heading() -> Format {
    Format::new().set_bold().set_font_size(SIZE * HEADING)
}

pub(super) fn note(wrap: bool) -> Format {
    let format = Format::new().set_italic();
    if wrap { format.set_text_wrap().set_align(FormatAlign::Top) } else { format }
}

pub(super) fn column_head(number: bool) -> Format {
    let align = if number { FormatAlign::Right } else { FormatAlign::Left };
    let head = if number { Format::new() } else { Format::new().set_indent(1) };
    head.set_bold()
        .set_text_wrap()
        .set_align(align)
        .set_align(FormatAlign::Bottom)
        .set_border_top(FormatBorder::Thin)
        .set_background_color(GREY)
}

pub(super) fn text(wrap: bool) -> Format {
    // An indent keeps text off the number to its left.
    let format =
        Format::new().set_align(FormatAlign::Left).set_align(FormatAlign::Top).set_indent(1);
    if wrap { format.set_text_wrap() } else { format }
}

/// A format with the frame of what a person may change, or the slant of what follows no change.
pub(super) fn marked(format: Format, mark: Mark) -> Format {
    match mark {
        Mark::None => format,
        Mark::Typed => format.set_border(FormatBorder::Thin),
        Mark::Computed => format.set_italic(),
    }
}

/// Room for handwriting: a line under it, or a frame round it.
pub(super) fn filled_in(fill: ByHand) -> Format {
    match fill {
        ByHand::Line => Format::new().set_border_bottom(FormatBorder::Thin),
        ByHand::Box => Format::new().set_border(FormatBorder::Thin),
    }
}

pub(super) fn number(pattern: &str) -> Format {
    Format::new().set_align(FormatAlign::Top).set_num_format(pattern)
}

/// The number format of a datum.
pub(super) fn pattern(datum: &Datum, system: System, places: Option<usize>) -> String {
    let thousands = datum.number(system).is_some_and(|(value, _)| value.abs() >= 1000.0);
    let usual = match datum {
        Datum::Count(_) => 0,
        Datum::Length(_) => length_places(system),
        Datum::Amount(exact, name) => match exact.dimension {
            Dimension::LENGTH if name == system.length() => length_places(system),
            Dimension::LENGTH if name == "mm" => 0,
            Dimension::AREA => 1,
            // A strength or pressure of thousands has no decimals that anybody reads.
            Dimension::PRESSURE if thousands => 0,
            Dimension::NUMBER => 4,
            _ if known_unit(name).is_none() => 4,
            _ => 2,
        },
        _ => 2,
    };
    let places = places.unwrap_or(usual);
    let grouped = matches!(datum, Datum::Amount(exact, _) if exact.dimension != Dimension::LENGTH && exact.dimension != Dimension::NUMBER);
    let whole = if grouped { "#,##0" } else { "0" };
    if places == 0 { whole.to_owned() } else { format!("{whole}.{}", "0".repeat(places)) }
}

fn length_places(system: System) -> usize {
    if system == System::Us { 2 } else { 3 }
}

/// What is said of a cell where a person points at it.
pub(super) fn note_of(text: &str) -> Note {
    Note::new(text).set_author("").add_author_prefix(false).set_width(260)
}
