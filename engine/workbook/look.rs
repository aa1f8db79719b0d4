//! One restrained look: it prints in black and white and still says everything.

use rust_xlsxwriter::{Format, FormatAlign, FormatBorder};

use crate::footing::System;
use crate::measure::{Dimension, unit};
use crate::takeoff::Datum;

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
    Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(align)
        .set_align(FormatAlign::Bottom)
        .set_border_bottom(FormatBorder::Thin)
        .set_background_color(GREY)
}

pub(super) fn text(wrap: bool) -> Format {
    let format = Format::new().set_align(FormatAlign::Top);
    if wrap { format.set_text_wrap() } else { format }
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
            _ if unit(name).is_err() => 4,
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
