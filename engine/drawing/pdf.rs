//! Sheets as one pdf: lines, areas and texts in the standard faces that every reader has.

use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use super::scene::{Item, Scene, TextEnd};

/// Points of a millimetre.
const POINT: f64 = 72.0 / 25.4;
/// Grey of areas.
const LIGHT: f32 = 0.886;

/// Widths of the letters from space to tilde in thousandths of the size. Source: the font metrics that are published for
/// the standard faces of the format, checked against a public library's copy of them.
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];
/// Width of other letters.
const OTHER: u16 = 556;

/// Who made it: only such files are written over.
const MADE_BY: &str = "drawn by rodbook";

/// A letter in the encoding of the standard faces; a question mark for one that they lack.
fn encoded(letter: char) -> u8 {
    match letter {
        ' '..='~' | '\u{a0}'..='\u{ff}' => u8::try_from(u32::from(letter)).unwrap_or(b'?'),
        '\u{2018}' => 0x91,
        '\u{2019}' => 0x92,
        '\u{201c}' => 0x93,
        '\u{201d}' => 0x94,
        '\u{2013}' => 0x96,
        '\u{2014}' => 0x97,
        '\u{20ac}' => 0x80,
        _ => b'?',
    }
}

/// Width of a text in mm, with letters of this size.
pub fn text_width(text: &str, size: f64) -> f64 {
    let bytes: Vec<u8> = text.chars().map(encoded).collect();
    width(&bytes, size)
}

fn width(bytes: &[u8], size: f64) -> f64 {
    let one = |byte: &u8| {
        let at = usize::from(*byte).checked_sub(usize::from(b' '));
        f64::from(at.and_then(|at| WIDTHS.get(at)).copied().unwrap_or(OTHER))
    };
    bytes.iter().map(one).sum::<f64>() / 1000.0 * size
}

#[expect(clippy::cast_possible_truncation, reason = "a place on paper")]
fn points(mm: f64) -> f32 {
    (mm * POINT) as f32
}

/// Whether a file is such a pdf.
pub fn is_our_pdf(bytes: &[u8]) -> bool {
    bytes.starts_with(b"%PDF")
        && bytes.windows(MADE_BY.len()).any(|part| part == MADE_BY.as_bytes())
}

/// Whether the standard faces lack a letter of a sheet: it stands as a question mark.
pub fn lacks_letters(scene: &Scene) -> bool {
    scene.items.iter().any(|item| match item {
        Item::Text { text, .. } => text.chars().any(|c| c != '?' && encoded(c) == b'?'),
        _ => false,
    })
}

/// The sheets as a pdf of one page each.
pub fn pdf(scenes: &[&Scene]) -> Vec<u8> {
    let mut next = 0;
    let mut fresh = || {
        next += 1;
        Ref::new(next)
    };
    let (catalog, tree, plain, bold, info) = (fresh(), fresh(), fresh(), fresh(), fresh());
    let sheets: Vec<(Ref, Ref)> = scenes.iter().map(|_| (fresh(), fresh())).collect();
    let mut pdf = Pdf::new();
    pdf.catalog(catalog).pages(tree);
    let count = i32::try_from(sheets.len()).unwrap_or(i32::MAX);
    pdf.pages(tree).kids(sheets.iter().map(|(page, _)| *page)).count(count);
    for (scene, (page, content)) in scenes.iter().zip(&sheets) {
        let mut sheet = pdf.page(*page);
        sheet.media_box(Rect::new(0.0, 0.0, points(scene.width), points(scene.height)));
        sheet.parent(tree).contents(*content);
        let mut resources = sheet.resources();
        resources.fonts().pair(Name(b"P"), plain).pair(Name(b"B"), bold);
        resources.finish();
        sheet.finish();
        pdf.stream(*content, &drawn(scene));
    }
    for (font, face) in [(plain, &b"Helvetica"[..]), (bold, &b"Helvetica-Bold"[..])] {
        let mut font = pdf.type1_font(font);
        font.base_font(Name(face)).encoding_predefined(Name(b"WinAnsiEncoding"));
    }
    pdf.document_info(info).producer(TextStr(MADE_BY));
    pdf.finish()
}

/// What is on a sheet.
fn drawn(scene: &Scene) -> Vec<u8> {
    let mut content = Content::new();
    let spot = |(x, y): (f64, f64)| (points(x), points(scene.height - y));
    for item in &scene.items {
        match item {
            Item::Area { corners } => {
                outline(&mut content, corners.iter().map(|at| spot(*at)));
                content.set_fill_gray(LIGHT).fill_nonzero();
            }
            Item::Line { through, pen, .. } => {
                let dashes = pen.dashes.iter().map(|dash| points(*dash));
                content.set_line_width(points(pen.width)).set_dash_pattern(dashes, 0.0);
                outline(&mut content, through.iter().map(|at| spot(*at)));
                content.stroke();
            }
            Item::Text { at, text, anchor, upward, bold, size, .. } => {
                let bytes: Vec<u8> = text.chars().map(encoded).collect();
                let before = width(&bytes, *size)
                    * match anchor {
                        TextEnd::Start => 0.0,
                        TextEnd::Middle => 0.5,
                        TextEnd::End => 1.0,
                    };
                let start = if *upward { (at.0, at.1 + before) } else { (at.0 - before, at.1) };
                let (x, y) = spot(start);
                let turned = match upward {
                    true => [0.0, 1.0, -1.0, 0.0, x, y],
                    false => [1.0, 0.0, 0.0, 1.0, x, y],
                };
                let face = if *bold { Name(b"B") } else { Name(b"P") };
                content.set_fill_gray(0.0).begin_text().set_font(face, points(*size));
                content.set_text_matrix(turned).show(Str(&bytes)).end_text();
            }
        }
    }
    content.finish().into_vec()
}

fn outline(content: &mut Content, through: impl Iterator<Item = (f32, f32)>) {
    for (at, (x, y)) in through.enumerate() {
        if at == 0 {
            content.move_to(x, y);
        } else {
            content.line_to(x, y);
        }
    }
}
