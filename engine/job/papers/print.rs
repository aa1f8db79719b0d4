//! Sheets as pages: texts in their columns, headings on every page, drawn as scenes for the pdf.

use crate::drawing::{Item, Pen, Scene, TextEnd, text_width};
use crate::workbook::{PaperCell, PaperRole, PaperRow, PaperSheet, WorkbookPaper};

/// Millimetres of a point, of an inch, of a dot of a screen.
const POINT: f64 = 25.4 / 72.0;
const DOT: f64 = 25.4 / 96.0;
/// Margins of a page in mm, and the room of its foot.
const MARGIN: f64 = 13.0;
const FOOT: f64 = 9.0;
/// A line of letters, by their size.
const LEADING: f64 = 1.3;
/// Free rows between parts, by a line.
const APART: f64 = 0.7;
/// Room beside the letters of a cell in mm.
const PAD: f64 = 0.5;
const INDENT: f64 = 2.2;

const THIN: Pen = Pen { width: 0.15, dashes: &[] };

/// A page that is being filled.
struct PageInWork<'a> {
    sheet: &'a PaperSheet,
    scene: Scene,
    /// Left ends of the columns in mm, and the right end of the last.
    ends: Vec<f64>,
    /// Size of the letters in mm.
    size: f64,
    /// The next free place from the top.
    at: f64,
}

/// Draws sheets; a sheet that shows a picture is that picture's page.
pub(super) fn pages(
    sheets: &[PaperSheet],
    pictures: &[Scene],
    paper: WorkbookPaper,
    foot: &str,
) -> Vec<Scene> {
    let mut pages: Vec<(Scene, &str)> = Vec::new();
    for sheet in sheets {
        match sheet.picture.and_then(|which| pictures.get(which)) {
            // It has a frame and a title of its own.
            Some(picture) => pages.push((picture.clone(), "")),
            None => {
                pages.extend(of_sheet(sheet, paper).into_iter().map(|page| (page, &*sheet.name)))
            }
        }
    }
    let of = pages.len();
    let numbered = |(number, (mut page, name)): (usize, (Scene, &str))| {
        if !name.is_empty() {
            let (left, right) = (MARGIN, page.width - MARGIN);
            let y = page.height - MARGIN;
            let size = 8.5 * POINT;
            let mut say = |x, anchor, text: String| {
                page.items.push(text_at("foot", (x, y), anchor, text, size, false));
            };
            say(left, TextEnd::Start, foot.to_owned());
            say((left + right) / 2.0, TextEnd::Middle, name.to_owned());
            say(right, TextEnd::End, format!("page {number} of {of}"));
        }
        page
    };
    (1..).zip(pages).map(numbered).collect()
}

fn text_at(of: &str, at: (f64, f64), anchor: TextEnd, text: String, size: f64, bold: bool) -> Item {
    Item::Text { of: of.to_owned(), at, text, anchor, upward: false, bold, size }
}

fn of_sheet(sheet: &PaperSheet, paper: WorkbookPaper) -> Vec<Scene> {
    let (short, long) = paper.size();
    let (width, height) = if sheet.landscape { (long, short) } else { (short, long) };
    let mut ends = vec![MARGIN];
    let wide: Vec<f64> = sheet.widths.iter().map(|width| (7.0 * width + 5.0) * DOT).collect();
    // What is wider than the paper is drawn smaller, as a spreadsheet prints it.
    let scale = ((width - 2.0 * MARGIN) / wide.iter().sum::<f64>()).min(1.0);
    for width in wide {
        ends.push(ends.last().copied().unwrap_or(MARGIN) + width * scale);
    }
    let blank = || Scene { width, height, items: Vec::new() };
    let mut page =
        PageInWork { sheet, scene: blank(), ends, size: sheet.size * POINT * scale, at: MARGIN };
    let mut done = Vec::new();
    let bottom = height - MARGIN - FOOT;
    let room = bottom - MARGIN;
    let parts: Vec<PaperRow> = sheet.rows.iter().flat_map(|row| page.parts(row, room)).collect();
    for (number, row) in parts.iter().enumerate() {
        // A heading is not left alone at the foot of a page.
        let leading = parts[number..].iter().take_while(|row| leads(row)).count();
        let above: f64 = parts[number..].iter().take(leading).map(|row| page.height(row)).sum();
        let first = parts.get(number + leading).map_or(0.0, |row| page.height(row));
        let needed = above.min(room / 2.0) + first;
        let began = page.at <= MARGIN;
        if !began && page.at + needed > bottom {
            done.push(std::mem::replace(&mut page.scene, blank()));
            page.at = MARGIN;
            for row in sheet.rows.iter().take(sheet.repeated.min(number)) {
                page.row(row);
            }
        } else if row.apart {
            page.at += page.size * LEADING * APART;
        }
        page.row(row);
    }
    done.push(page.scene);
    done
}

/// Whether a row stands over what follows.
fn leads(row: &PaperRow) -> bool {
    row.cells.iter().any(|cell| {
        matches!(
            cell.role,
            PaperRole::Title | PaperRole::Heading | PaperRole::Note | PaperRole::Head(_)
        )
    })
}

impl PageInWork<'_> {
    fn size_of(&self, cell: &PaperCell) -> f64 {
        match cell.role {
            PaperRole::Title => self.size * 1.35,
            PaperRole::Heading => self.size * 1.1,
            _ => self.size,
        }
    }

    /// A row in as many parts as come on a page each, under the headings that are repeated: between its lines.
    fn parts(&self, row: &PaperRow, room: f64) -> Vec<PaperRow> {
        let repeated = self.sheet.rows.iter().take(self.sheet.repeated);
        let room = room - repeated.map(|row| self.height(row)).sum::<f64>();
        if self.height(row) <= room {
            return vec![row.clone()];
        }
        let most = num_traits::ToPrimitive::to_usize(&(room / (self.size * 1.35 * LEADING)));
        let most = most.unwrap_or(1).max(1);
        let lines: Vec<Vec<String>> = row.cells.iter().map(|cell| self.lines(cell)).collect();
        let count = lines.iter().map(|lines| lines.len().div_ceil(most)).max().unwrap_or(1);
        let part = |number: usize| {
            let cells = row.cells.iter().zip(&lines).map(|(cell, lines)| {
                let of = lines.iter().skip(number * most).take(most).cloned();
                PaperCell { text: of.collect::<Vec<_>>().join("\n"), ..cell.clone() }
            });
            PaperRow { height: 0.0, apart: row.apart && number == 0, cells: cells.collect() }
        };
        (0..count).map(part).collect()
    }

    /// Left and right end of a cell.
    fn sides(&self, cell: &PaperCell) -> (f64, f64) {
        let end = |at: usize| self.ends.get(at).or(self.ends.last()).copied().unwrap_or(MARGIN);
        (end(cell.column), end(cell.column + cell.span))
    }

    /// The lines of a cell: broken where it may be, else one that runs on.
    fn lines(&self, cell: &PaperCell) -> Vec<String> {
        let (left, right) = match cell.role {
            PaperRole::Title | PaperRole::Heading | PaperRole::Note => {
                (MARGIN, self.scene.width - MARGIN)
            }
            PaperRole::Text(true) | PaperRole::Head(_) => self.sides(cell),
            _ => return cell.text.lines().map(str::to_owned).collect(),
        };
        let size = self.size_of(cell);
        let room = right - left - INDENT;
        cell.text.lines().flat_map(|line| broken(line, room, size)).collect()
    }

    fn height(&self, row: &PaperRow) -> f64 {
        let lines = |cell: &PaperCell| {
            #[expect(clippy::cast_precision_loss, reason = "lines of a cell")]
            let count = self.lines(cell).len().max(1) as f64;
            count * self.size_of(cell) * LEADING
        };
        let text = row.cells.iter().map(lines).fold(0.0, f64::max);
        text.max(row.height * POINT * self.size / (self.sheet.size * POINT))
    }

    fn row(&mut self, row: &PaperRow) {
        let (top, height) = (self.at, self.height(row));
        let bottom = top + height;
        let head = |cell: &&PaperCell| matches!(cell.role, PaperRole::Head(_));
        if row.cells.iter().any(|cell| head(&cell)) {
            let ends = row.cells.iter().filter(head).map(|cell| self.sides(cell));
            let (left, right) =
                ends.fold((f64::MAX, 0.0_f64), |(a, b), (c, d)| (a.min(c), b.max(d)));
            let corners = vec![(left, top), (right, top), (right, bottom), (left, bottom)];
            self.scene.items.push(Item::Area { corners });
            self.line(vec![(left, top), (right, top)]);
        }
        for cell in &row.cells {
            let (left, right) = self.sides(cell);
            match cell.role {
                PaperRole::Line => self.line(vec![(left, bottom), (right, bottom)]),
                PaperRole::Box => self.line(vec![
                    (left, top),
                    (right, top),
                    (right, bottom),
                    (left, bottom),
                    (left, top),
                ]),
                _ => {}
            }
            let size = self.size_of(cell);
            let strong = cell.strong
                || matches!(cell.role, PaperRole::Title | PaperRole::Heading | PaperRole::Head(_));
            let (x, anchor) = match cell.role {
                PaperRole::Number | PaperRole::Head(true) => (right - PAD, TextEnd::End),
                PaperRole::Text(_) | PaperRole::Head(false) => (left + INDENT, TextEnd::Start),
                _ => (left, TextEnd::Start),
            };
            let lines = self.lines(cell);
            #[expect(clippy::cast_precision_loss, reason = "lines of a cell")]
            let spare = match cell.role {
                PaperRole::Head(_) => height - lines.len() as f64 * size * LEADING,
                _ => 0.0,
            };
            let mut y = top + spare + size;
            for line in lines {
                self.scene.items.push(text_at("cell", (x, y), anchor, line, size, strong));
                y += size * LEADING;
            }
        }
        self.at = bottom;
    }

    fn line(&mut self, through: Vec<(f64, f64)>) {
        self.scene.items.push(Item::Line { of: "rule".to_owned(), through, pen: THIN });
    }
}

/// A line broken between words so that none is wider than the room.
fn broken(line: &str, room: f64, size: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        // A word that is wider than its column is broken behind its hyphens.
        let parts: Vec<&str> = match text_width(word, size) <= room {
            true => vec![word],
            false => word.split_inclusive('-').collect(),
        };
        for (at, part) in parts.into_iter().enumerate() {
            let between = if at == 0 { " " } else { "" };
            match lines.last_mut() {
                Some(last) if text_width(&format!("{last}{between}{part}"), size) <= room => {
                    last.push_str(between);
                    last.push_str(part);
                }
                _ => lines.push(part.to_owned()),
            }
        }
    }
    lines
}
