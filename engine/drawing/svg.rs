//! A sheet as svg.

use std::fmt::Write as _;

use super::scene::{Item, OnPaper, SIZE, Scene, TextEnd};

fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn places(of: &[OnPaper]) -> String {
    let one = |(x, y): &OnPaper| format!("{},{}", number(*x), number(*y));
    of.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// A text as it stands in xml and html; control characters as blanks.
pub fn escaped(text: &str) -> String {
    let mut escaped = String::new();
    for c in text.chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            c if c.is_control() => escaped.push(' '),
            c => escaped.push(c),
        }
    }
    escaped
}

/// The text of a sheet as svg: in millimetres, without anything that would be loaded.
pub fn svg(scene: &Scene) -> String {
    let (width, height) = (number(scene.width), number(scene.height));
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" font-family=\"Noto Sans, Liberation Sans, Helvetica, sans-serif\" font-size=\"{}\">\n<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n",
        number(SIZE),
    );
    for item in &scene.items {
        let _ = match item {
            Item::Area { corners } => {
                writeln!(text, "<polygon points=\"{}\" fill=\"#e2e2e2\"/>", places(corners))
            }
            Item::Line { of, through, pen } => {
                let dashes: Vec<String> = pen.dashes.iter().map(|dash| number(*dash)).collect();
                let dashes = match dashes.is_empty() {
                    true => String::new(),
                    false => format!(" stroke-dasharray=\"{}\"", dashes.join(" ")),
                };
                writeln!(
                    text,
                    "<polyline data-of=\"{}\" points=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{}\"{dashes}/>",
                    escaped(of),
                    places(through),
                    number(pen.width),
                )
            }
            Item::Text { of, at: (x, y), text: words, anchor, upward, bold, size } => {
                let (x, y) = (number(*x), number(*y));
                let anchor = match anchor {
                    TextEnd::Start => "start",
                    TextEnd::Middle => "middle",
                    TextEnd::End => "end",
                };
                let turned = if *upward {
                    format!(" transform=\"rotate(-90 {x} {y})\"")
                } else {
                    String::new()
                };
                let size = match (*size - SIZE).abs() < 1e-9 {
                    true => String::new(),
                    false => format!(" font-size=\"{}\"", number(*size)),
                };
                let bold = if *bold { " font-weight=\"bold\"" } else { "" };
                writeln!(
                    text,
                    "<text data-of=\"{}\" x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\"{size}{bold}{turned}>{}</text>",
                    escaped(of),
                    escaped(words),
                )
            }
        };
    }
    text.push_str("</svg>\n");
    text
}
