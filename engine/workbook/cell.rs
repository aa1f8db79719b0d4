//! What is to stand in a cell: a value, or a formula that is known only once every sheet is laid out; and how it looks.

use rust_xlsxwriter::Format;

use super::look;
use super::page::ByHand;
use super::places::Anchor;
use super::printed::shown;
use crate::catalogue::Value;
use crate::footing::System;
use crate::listing::Datum;
use crate::measure::{Dimension, Quantity, date_days, number_unit, significant, unit};
use crate::sheet::NodeId;

/// A value as a spreadsheet holds it: a number with its format.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Held {
    Number(f64, String),
    Text(String),
    Flag(bool),
}

/// What a live cell follows.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Live {
    /// The formula of a node.
    Node(NodeId),
    /// The parts of a line, under it.
    Parts(String),
    /// What of a measured line belongs to the wall of a node.
    PartsOfWall(NodeId),
    /// The cell of a node, elsewhere.
    ToNode(NodeId),
    /// The cell of a line, elsewhere.
    ToLine(String),
}

/// What stands in a cell.
#[derive(Debug, Clone)]
pub(super) enum Content {
    /// A value.
    Held(Held),
    /// A formula over cells of its own row, by their fields, and its result; nothing where one of them has no column.
    SameRow([&'static str; 2], fn([&str; 2]) -> String, String),
    /// A formula as written once all is laid out, and its value; the value alone where a spreadsheet cannot follow.
    Live(Live, Held),
    /// How a node's cell came about: typed, a formula, or computed.
    KindOf(NodeId),
    /// A text that stands there only where a live cell cannot follow.
    UnlessLive(Live, String),
    /// A formula and its result.
    Formula(String, String),
    /// The defined name of a setting or fact.
    NameOf(Anchor),
}

/// What a cell is on its sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum CellRole {
    /// Title of the sheet.
    Title,
    /// Heading of a block or of rows.
    Heading,
    /// A sentence that may run over its cell.
    Note,
    /// Heading of a column; over numbers or not.
    Head(bool),
    /// A text; wrapped or not.
    Text(bool),
    /// A number.
    Number,
    /// Room for handwriting.
    ByHand(ByHand),
}

/// How a person may take a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    /// As the others.
    None,
    /// It is typed and may be changed.
    Typed,
    /// It does not follow a change.
    Computed,
}

/// A cell.
#[derive(Debug, Clone)]
pub(super) struct PageCell {
    pub(super) content: Content,
    pub(super) role: CellRole,
    pub(super) mark: Mark,
    pub(super) strong: bool,
    /// How many columns of the sheet it takes.
    pub(super) span: u16,
    /// Form of the number that a formula gives, where its result does not say it.
    pub(super) pattern: Option<String>,
    /// The words that a person may choose from.
    pub(super) choices: &'static [&'static str],
    /// What is said of it where a person points at it.
    pub(super) note: String,
}

/// Longest text of a cell, in letters; a spreadsheet holds 32,767.
const LONGEST: usize = 32_000;

impl PageCell {
    fn new(content: Content, role: CellRole) -> Self {
        Self {
            content,
            role,
            mark: Mark::None,
            strong: false,
            span: 1,
            pattern: None,
            choices: &[],
            note: String::new(),
        }
    }

    /// A text in a role.
    pub(super) fn text(text: impl Into<String>, role: CellRole) -> Self {
        let text: String = text.into();
        let text = match text.char_indices().nth(LONGEST) {
            Some((end, _)) => text[..end].to_owned(),
            None => text,
        };
        Self::new(Content::Held(Held::Text(text)), role)
    }

    /// Room for handwriting.
    pub(super) fn by_hand(fill: ByHand) -> Self {
        Self::text("", CellRole::ByHand(fill))
    }

    /// A value of a calc sheet or setting, in the unit that it is shown in.
    pub(super) fn held(held: Held) -> Self {
        let role = held.role();
        Self::new(Content::Held(held), role)
    }

    /// The cell with a unit behind its number.
    pub(super) fn with_unit(mut self, unit: &str) -> Self {
        self.content = match self.content {
            Content::Held(held) => Content::Held(held.with_unit(unit)),
            Content::Live(live, held) => Content::Live(live, held.with_unit(unit)),
            other => other,
        };
        self
    }

    /// The cell with so many decimals, where it is a number.
    pub(super) fn with_places(mut self, places: usize) -> Self {
        self.content = match self.content {
            Content::Held(held) => Content::Held(held.with_places(places)),
            Content::Live(live, held) => Content::Live(live, held.with_places(places)),
            other => other,
        };
        self
    }

    /// Its text; empty where it is none.
    pub(super) fn words(&self) -> &str {
        match &self.content {
            Content::Held(Held::Text(text)) => text,
            _ => "",
        }
    }

    /// What follows others.
    pub(super) fn live(live: Live, held: Held) -> Self {
        let role = held.role();
        Self::new(Content::Live(live, held), role)
    }

    /// Any content in a role.
    pub(super) fn with(content: Content, role: CellRole) -> Self {
        Self::new(content, role)
    }

    /// A sum under its column, in the form of what it adds.
    pub(super) fn sum(content: Content, pattern: String) -> Self {
        Self { pattern: Some(pattern), ..Self::new(content, CellRole::Number) }
    }

    /// A value of a listing; nothing for a blank.
    pub(super) fn datum(
        datum: &Datum,
        system: System,
        places: Option<usize>,
        wrap: bool,
    ) -> Option<Self> {
        Some(match datum {
            Datum::Blank => return None,
            Datum::Text(text) => Self::text(text.clone(), CellRole::Text(wrap)),
            Datum::Flag(flag) => Self::text(if *flag { "yes" } else { "" }, CellRole::Text(false)),
            _ => {
                let (value, _) = datum.number(system).filter(|(value, _)| value.is_finite())?;
                Self::held(Held::Number(value, look::pattern(datum, system, places)))
            }
        })
    }

    /// The same on the sheet of a script, whose values nobody typed.
    pub(super) fn of_a_script(self) -> Self {
        let mark = if self.mark == Mark::Typed { Mark::Computed } else { self.mark };
        self.marked(mark)
    }

    /// The same marked.
    pub(super) fn marked(self, mark: Mark) -> Self {
        Self { mark, ..self }
    }

    /// The same over several columns of the sheet.
    pub(super) fn over(self, columns: Option<u16>) -> Self {
        Self { span: columns.unwrap_or(1).max(1), ..self }
    }

    /// The same strong, or as it is.
    pub(super) fn strong(self, strong: bool) -> Self {
        Self { strong, ..self }
    }

    /// Whether it holds numbers.
    pub(super) fn is_number(&self) -> bool {
        self.role == CellRole::Number
    }

    /// Its text, where it is a wrapped one.
    pub(super) fn wrapped(&self) -> Option<&str> {
        match (&self.content, self.role) {
            (Content::Held(Held::Text(text)), CellRole::Text(true) | CellRole::Head(_)) => {
                Some(text)
            }
            (Content::Held(Held::Text(text)), CellRole::Note) if self.span > 1 => Some(text),
            _ => None,
        }
    }

    /// The letters of its number, where it holds one.
    pub(super) fn letters(&self) -> Option<usize> {
        match &self.content {
            Content::Held(held) | Content::Live(_, held) => match held {
                Held::Number(number, pattern) => Some(shown(*number, pattern).chars().count()),
                _ => None,
            },
            _ => None,
        }
    }

    /// About how wide it is, in letters; nothing for what may run over its cell.
    pub(super) fn width(&self) -> usize {
        match (&self.content, self.role) {
            _ if self.span > 1 => 0,
            (_, CellRole::Title | CellRole::Heading | CellRole::Note) => 0,
            (Content::Held(Held::Text(text)), _) => {
                text.lines().map(|line| line.chars().count()).max().unwrap_or(0)
            }
            _ => 11,
        }
    }

    /// How far a text that may run over its cell runs, in letters of the usual size.
    pub(super) fn run(&self) -> f64 {
        let factor = match self.role {
            _ if self.span > 1 => return 0.0,
            CellRole::Title => 1.5,
            CellRole::Heading => 1.25,
            CellRole::Note => 0.95,
            _ => return 0.0,
        };
        match &self.content {
            Content::Held(Held::Text(text)) => {
                factor * f64::from(u32::try_from(text.chars().count()).unwrap_or(u32::MAX))
            }
            _ => 0.0,
        }
    }

    /// The look of it, with a mark of its own.
    pub(super) fn format(&self, mark: Mark) -> Format {
        let format = match (self.role, self.held_value()) {
            (CellRole::Title, _) => look::title(),
            (CellRole::Heading, _) => look::heading(),
            (CellRole::Note, _) => look::note(self.span > 1),
            (CellRole::Head(number), _) => look::column_head(number),
            (CellRole::ByHand(fill), _) => look::filled_in(fill),
            (_, Some(Held::Number(_, pattern))) => look::number(pattern),
            (CellRole::Number, _) => look::number(self.pattern.as_deref().unwrap_or("General")),
            (CellRole::Text(wrap), _) => look::text(wrap),
        };
        let format = if self.strong { format.set_bold() } else { format };
        look::marked(format, mark)
    }

    fn held_value(&self) -> Option<&Held> {
        match &self.content {
            Content::Held(held) | Content::Live(_, held) => Some(held),
            _ => None,
        }
    }
}

impl Held {
    fn role(&self) -> CellRole {
        match self {
            Self::Number(..) | Self::Flag(_) => CellRole::Number,
            Self::Text(_) => CellRole::Text(true),
        }
    }

    /// The value of a node in the unit that it is shown in.
    pub(super) fn value(value: &Value, name: &str) -> Self {
        let quantity = match value {
            Value::Measure(quantity) => *quantity,
            Value::Number(number) => Quantity::number(*number),
            Value::Flag(flag) => return Self::Flag(*flag),
            Value::Text(text) => return Self::Text(text.clone()),
            other => return Self::Text(other.words()),
        };
        let dimension = quantity.dimension();
        if dimension == Dimension::DATE {
            return Self::Number(date_days(quantity) + 25_569.0, "yyyy-mm-dd".to_owned());
        }
        let number = match number_unit(name) {
            "percent" => quantity.base(),
            shown => {
                unit(shown).and_then(|unit| quantity.in_unit(&unit)).unwrap_or(quantity.base())
            }
        };
        let pattern = match (name, dimension) {
            ("percent", _) => "0.0%",
            (_, Dimension::MONEY) => "#,##0.00",
            (_, Dimension::NUMBER) => "General",
            _ => "#,##0.00##",
        };
        // What is left of a change of units is not typed.
        Self::Number(significant(number, 15), pattern.to_owned())
    }

    /// It with its unit behind the number, where no heading says it.
    fn with_unit(self, unit: &str) -> Self {
        match self {
            Self::Number(number, pattern) if !unit.is_empty() && unit != "date" => {
                Self::Number(number, format!("{pattern}\" {}\"", unit.replace('"', "")))
            }
            other => other,
        }
    }

    /// It with so many decimals; dates and shares stay as they are.
    fn with_places(self, places: usize) -> Self {
        match self {
            Self::Number(number, pattern)
                if pattern.starts_with('#') || pattern.starts_with('0') =>
            {
                let (digits, unit) = match pattern.split_once('"') {
                    Some((digits, unit)) => (digits, format!("\"{unit}")),
                    None => (pattern.as_str(), String::new()),
                };
                if digits.ends_with('%') {
                    return Self::Number(number, pattern);
                }
                let whole = digits.split('.').next().unwrap_or(digits);
                let point = if places == 0 { "" } else { "." };
                Self::Number(number, format!("{whole}{point}{}{unit}", "0".repeat(places)))
            }
            other => other,
        }
    }

    /// It as the stored result of a formula.
    pub(super) fn result(&self) -> String {
        match self {
            Self::Number(number, _) => crate::measure::shortest(*number),
            Self::Text(text) => text.clone(),
            Self::Flag(flag) => flag.to_string().to_uppercase(),
        }
    }
}

/// The unit beside a value: none for shares, texts and flags.
pub(super) fn shown_unit(unit: &str) -> &str {
    match unit {
        "percent" | "yes/no" | "text" => "",
        unit => number_unit(unit),
    }
}
