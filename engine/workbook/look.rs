//! One restrained look: it prints in black and white and still says everything.

use rust_xlsxwriter::{Format, FormatAlign, FormatBorder};

use super::cell::Mark;
use crate::footing::System;
use crate::listing::Datum;
use crate::measure::{Dimension, known_unit};

/// Height of a line of text, in points.
pub(super) const LINE: f64 = 15.0;

/// Lines that a wrapped text takes in a column of this width.
pub(super) fn lines(text: &str, width: f64) -> u16 {
    let room = width.max(4.0) - 1.5;
    let count = text.split('\n').map(|line| {
        // Words do not break: fill line by line.
        let (mut lines, mut used) = (1_u16, 0.0);
        for word in line.split(' ') {
            let length = f64::from(u32::try_from(word.chars().count()).unwrap_or(u32::MAX));
            if used > 0.0 && used + 1.0 + length > room {
                lines = lines.saturating_add(1);
                used = length;
            } else {
                used += if used > 0.0 { 1.0 + length } else { length };
            }
        }
        lines
    });
    count.fold(0, u16::saturating_add)
}

/// Grey of headings.
const GREY: u32 = 0x00E6_E6E6;

pub(super) fn title() -> Format {
    Format::new().set_bold().set_font_size(15)
}

pub(super) fn heading() -> Format {
    Format::new().set_bold().set_font_size(12)
}

pub(super) fn note() -> Format {
    Format::new().set_italic()
}

pub(super) fn column_head(number: bool) -> Format {
    let align = if number { FormatAlign::Right } else { FormatAlign::Left };
    let head = if number { Format::new() } else { Format::new().set_indent(1) };
    head.set_bold()
        .set_text_wrap()
        .set_align(align)
        .set_align(FormatAlign::Bottom)
        .set_border_bottom(FormatBorder::Thin)
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

pub(super) fn number(pattern: &str) -> Format {
    Format::new().set_align(FormatAlign::Top).set_num_format(pattern)
}

/// The number format of a datum.
pub(super) fn pattern(datum: &Datum, system: System, places: Option<usize>) -> String {
    let usual = match datum {
        Datum::Count(_) => 0,
        Datum::Length(_) => length_places(system),
        Datum::Amount(exact, name) => match exact.dimension {
            Dimension::LENGTH if name == system.length() => length_places(system),
            Dimension::LENGTH if name == "mm" => 0,
            Dimension::AREA => 1,
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
