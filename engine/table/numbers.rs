//! Numbers as lists write them: which mark stands before the decimals, and which between groups of three digits.
//!
//! One number may leave it open (`1,250`), the others of its list often prove it (`12,5`). What nothing proves is never
//! decided here: [`Proven::Open`] names the number and the reader asks.

/// The mark before the decimals of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalMark {
    /// `12.5`, and a comma only between groups of three digits.
    Point,
    /// `12,5`, and a point only between groups of three digits.
    Comma,
}

impl DecimalMark {
    /// Words for settings and options.
    pub const NAMES: [&'static str; 2] = ["point", "comma"];

    /// Its word.
    pub fn name(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }

    /// Reads its word.
    pub fn parse(word: &str) -> Option<Self> {
        match word {
            "point" => Some(Self::Point),
            "comma" => Some(Self::Comma),
            _ => None,
        }
    }

    /// The mark and the one between groups.
    fn marks(self) -> (char, char) {
        match self {
            Self::Point => ('.', ','),
            Self::Comma => (',', '.'),
        }
    }
}

/// What the numbers of a list prove together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Proven {
    /// The mark, or the usual point where no number has a mark at all.
    Mark(DecimalMark),
    /// Nothing: this number has two readings.
    Open(String),
}

/// Collects what numbers prove.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct MarkProof {
    comma: bool,
    point: bool,
    /// A point stands between groups of three digits and a comma before decimals, in one number.
    point_groups: bool,
    /// Points between groups of three digits, in a number without decimals.
    points_only: bool,
    /// A comma with three digits behind it: either.
    open_comma: Option<String>,
    /// A point with three digits behind it: decimals, unless commas are proven to be.
    open_point: Option<String>,
}

impl MarkProof {
    /// Looks at one number as written; anything else proves nothing.
    pub fn add(&mut self, text: &str) {
        let Some(shape) = Shape::of(text) else { return };
        // A slip of the finger proves nothing: only what is a number under one of the marks does.
        let [point, comma] =
            [DecimalMark::Point, DecimalMark::Comma].map(|mark| plain_number(text, mark).is_some());
        if !point && !comma {
            return;
        }
        match (shape.commas, shape.points) {
            (0, 0) => {}
            (1, 1) if shape.comma_last => {
                self.comma = true;
                self.point_groups = true;
            }
            (1.., 1) if !shape.comma_last => self.point = true,
            (1, 1..) if shape.comma_last => {
                self.comma = true;
                self.point_groups = true;
            }
            (2.., 0) => self.point = true,
            (0, 2..) => self.points_only = true,
            (1, 0) if shape.grouped => {
                self.open_comma.get_or_insert_with(|| text.to_owned());
            }
            (0, 1) if shape.grouped => {
                self.open_point.get_or_insert_with(|| text.to_owned());
            }
            (1, 0) => self.comma = true,
            (0, 1) => self.point = true,
            _ => {}
        }
    }

    /// What all of them prove.
    pub fn proven(&self) -> Proven {
        match (self.comma, self.point, &self.open_comma, &self.open_point) {
            (true, true, Some(open), _) => Proven::Open(open.clone()),
            (true, true, ..) => Proven::Mark(DecimalMark::Point),
            (true, false, _, Some(open)) if !self.point_groups => Proven::Open(open.clone()),
            (true, false, ..) => Proven::Mark(DecimalMark::Comma),
            (false, true, ..) => Proven::Mark(DecimalMark::Point),
            (false, false, Some(open), _) => Proven::Open(open.clone()),
            (false, false, None, Some(open)) if self.points_only => Proven::Open(open.clone()),
            (false, false, None, None) if self.points_only => Proven::Mark(DecimalMark::Comma),
            (false, false, None, _) => Proven::Mark(DecimalMark::Point),
        }
    }
}

/// Digits and marks of a number, as far as they can be told without knowing the marks.
struct Shape {
    commas: usize,
    points: usize,
    comma_last: bool,
    /// One mark with one to three digits before it, not beginning with 0, and three behind it.
    grouped: bool,
}

impl Shape {
    fn of(text: &str) -> Option<Self> {
        let (_, body, _) = parts(text)?;
        // Blanks between groups say that every other mark is before decimals.
        let blanks = body.contains(is_blank);
        let digits: String = body.chars().filter(|c| !is_blank(*c)).collect();
        let commas = digits.matches(',').count();
        let points = digits.matches('.').count();
        let at = digits.rfind([',', '.']);
        let grouped = at.is_some_and(|at| {
            let whole = &digits[..at];
            !blanks
                && digits.len() - at == 4
                && (1..=3).contains(&whole.len())
                && !whole.starts_with('0')
        });
        let comma_last = at.is_some_and(|at| digits[at..].starts_with(','));
        Some(Self { commas, points, comma_last, grouped })
    }
}

/// Blanks that stand between groups of digits.
fn is_blank(c: char) -> bool {
    matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '\u{2019}')
}

/// Sign, digits with their marks, and power of ten of a text that could be a number.
fn parts(text: &str) -> Option<(bool, &str, i32)> {
    let text = text.trim();
    let (negative, rest) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (body, power) = match rest.split_once(['e', 'E']) {
        // As programs write it: a bare 1e2 may be a name.
        Some((body, power)) if power.len() <= 4 && body.contains(['.', ',']) => {
            (body, power.parse::<i32>().ok()?)
        }
        Some(_) => return None,
        None => (rest, 0),
    };
    let allowed = |c: char| c.is_ascii_digit() || matches!(c, ',' | '.') || is_blank(c);
    let sound = body.chars().all(allowed)
        && body.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','))
        && body.bytes().any(|b| b.is_ascii_digit())
        && body.ends_with(|c: char| c.is_ascii_digit())
        && power.abs() <= 15;
    sound.then_some((negative, body, power))
}

/// Whether a text looks like a number, whatever its marks mean.
pub fn numberlike(text: &str) -> bool {
    parts(text).is_some_and(|(_, body, _)| {
        let mut pairs = body.chars().zip(body.chars().skip(1));
        !pairs.any(|(one, next)| is_blank(one) && !next.is_ascii_digit())
    })
}

/// A number as `[-]digits[.digits]`, its marks read by what was decided; none where they do not fit.
pub fn plain_number(text: &str, mark: DecimalMark) -> Option<String> {
    let (negative, body, power) = parts(text)?;
    let (decimal, group) = mark.marks();
    let (whole, part) = match body.split_once(decimal) {
        Some((whole, part)) => (whole, part),
        None => (body, ""),
    };
    if !part.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let groups: Vec<&str> = whole.split(|c: char| c == group || is_blank(c)).collect();
    let marks: Vec<char> = whole.chars().filter(|c| !c.is_ascii_digit()).collect();
    let sound = groups.len() == 1
        || (1..=3).contains(&groups[0].len())
            && groups[1..].iter().all(|group| group.len() == 3)
            && marks.windows(2).all(|pair| pair[0] == pair[1]);
    if !sound {
        return None;
    }
    let (mut whole, mut part) = (groups.concat(), part.to_owned());
    for _ in 0..power.abs() {
        if power > 0 {
            whole.push(if part.is_empty() { '0' } else { part.remove(0) });
        } else {
            part.insert(0, whole.pop().unwrap_or('0'));
        }
    }
    let whole = if whole.is_empty() { "0" } else { &whole };
    let sign = if negative { "-" } else { "" };
    Some(if part.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn proven(numbers: &[&str]) -> Proven {
        let mut proof = MarkProof::default();
        numbers.iter().for_each(|text| proof.add(text));
        proof.proven()
    }

    #[test]
    fn what_numbers_prove_together() {
        use DecimalMark::{Comma, Point};
        let mark = |mark| Proven::Mark(mark);
        let open = |text: &str| Proven::Open(text.to_owned());
        for (numbers, expected) in [
            (&["1250", "12"][..], mark(Point)),
            (&["10,5", "1,250"], mark(Comma)),
            (&["0,250"], mark(Comma)),
            (&["5000,123"], mark(Comma)),
            (&["1.250,55", "204.123"], mark(Comma)),
            (&["1,250", "10.5"], mark(Point)),
            (&["1,250.5", "2,000"], mark(Point)),
            (&["1,250,000", "1,250"], mark(Point)),
            (&["204.123"], mark(Point)),
            (&["500.125", "101..500", "10.1.500", "12.05.2024"], mark(Point)),
            (&["500.125", "1.101.500"], open("500.125")),
            (&["500,125", "101,,500"], open("500,125")),
            (&["1'200'345.50", "204.123"], mark(Point)),
            (&["1,250"], open("1,250")),
            (&["1,250", "204.123"], open("1,250")),
            (&["10,5", "204.123"], open("204.123")),
            (&["10,5", "20.25", "1,250"], open("1,250")),
            (&["1 250,125"], mark(Comma)),
            (&["FL", "12-6", "6/10/2025"], mark(Point)),
        ] {
            assert_eq!(proven(numbers), expected, "{numbers:?}");
        }
    }

    #[test]
    fn numbers_by_their_mark() {
        use DecimalMark::{Comma, Point};
        for (text, mark, plain) in [
            ("1,250", Point, Some("1250")),
            ("1,250", Comma, Some("1.250")),
            ("1,250,000.5", Point, Some("1250000.5")),
            ("1.250,55", Comma, Some("1250.55")),
            ("5 000.12", Point, Some("5000.12")),
            ("1'200'345.50", Point, Some("1200345.50")),
            ("5'6", Point, None),
            ("\u{2212}3,125", Comma, Some("-3.125")),
            ("1.2e3", Point, Some("1200")),
            ("1.25E-2", Point, Some("0.0125")),
            (".5", Point, Some("0.5")),
            ("5000,123", Point, None),
            ("12,5", Point, None),
            ("1,25,000", Point, None),
            ("1.5", Comma, None),
            ("10:06", Point, None),
            ("6-Oct", Point, None),
            ("1e400", Point, None),
            ("", Point, None),
            (".", Point, None),
            ("2010.", Point, None),
            ("1e2", Point, None),
        ] {
            assert_eq!(plain_number(text, mark).as_deref(), plain, "{text} {mark:?}");
        }
    }
}
