//! The scene of a sheet: lines, areas and texts in millimetres of paper, y downward.

/// Height of the letters of every text in mm; its size is larger by what hangs under the line.
pub(super) const LETTER: f64 = 2.5;
/// Size of such a text.
pub(super) const SIZE: f64 = 3.5;
/// Width of a letter as a share of the size, on the safe side.
const WIDE: f64 = 0.6;

/// Paper, laid on its long side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 297 x 210 mm.
    A4,
    /// 11 x 8 1/2 in.
    Letter,
}

impl Paper {
    /// Width and height in mm.
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::A4 => (297.0, 210.0),
            Self::Letter => (279.4, 215.9),
        }
    }
}

/// How a line is drawn: it must be told from others without colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Width in mm.
    pub width: f64,
    /// Dashes and gaps in mm; none for a solid line.
    pub dashes: &'static [f64],
}

/// Which point of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextEnd {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A place on the paper in mm from the top left corner.
pub(super) type OnPaper = (f64, f64);

/// Something on the sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A line through places.
    Line {
        /// What it stands for.
        of: String,
        /// The places.
        through: Vec<OnPaper>,
        /// How it is drawn.
        pen: Pen,
    },
    /// A light area.
    Area {
        /// Its corners.
        corners: Vec<OnPaper>,
    },
    /// A text.
    Text {
        /// What it stands for.
        of: String,
        /// Where it stands.
        at: OnPaper,
        /// It.
        text: String,
        /// Which point of it stands there.
        anchor: TextEnd,
        /// Whether it reads upward.
        upward: bool,
        /// Whether it is set in bold.
        bold: bool,
        /// Size of its letters in mm.
        size: f64,
    },
}

/// A sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Width in mm.
    pub width: f64,
    /// Height in mm.
    pub height: f64,
    /// What is on it, from the back to the front.
    pub items: Vec<Item>,
}

impl Scene {
    /// How many texts it has.
    pub fn labels(&self) -> usize {
        self.items.iter().filter(|item| matches!(item, Item::Text { .. })).count()
    }

    /// Adds a line.
    pub(super) fn line(&mut self, of: &str, pen: Pen, through: Vec<OnPaper>) {
        self.items.push(Item::Line { of: of.to_owned(), through, pen });
    }

    /// Adds a text that reads from left to right.
    pub(super) fn text(&mut self, of: &str, at: OnPaper, anchor: TextEnd, text: &str) {
        let (of, text) = (of.to_owned(), text.to_owned());
        self.items.push(Item::Text {
            of,
            at,
            text,
            anchor,
            upward: false,
            bold: false,
            size: SIZE,
        });
    }
}

/// How wide a text may get, in mm.
pub(super) fn width_of(text: &str) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "letters of a label")]
    let letters = text.chars().count() as f64;
    letters * SIZE * WIDE
}

/// A text cut into lines that are no wider than this.
pub(super) fn lines_of(text: &str, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width_of(line) + width_of(word) + width_of(" ") <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

impl Item {
    /// The corners of what a text covers, left, top, right and bottom; nothing of others.
    pub fn covers(&self) -> Option<[f64; 4]> {
        let Self::Text { at: (x, y), text, anchor, upward, size, .. } = self else { return None };
        let times = size / SIZE;
        let before = match anchor {
            TextEnd::Start => 0.0,
            TextEnd::Middle => 0.5,
            TextEnd::End => 1.0,
        } * width_of(text)
            * times;
        let after = width_of(text) * times - before;
        Some(match upward {
            true => [x - LETTER * times, y - after, *x, y + before],
            false => [x - before, y - LETTER * times, x + after, *y],
        })
    }
}
