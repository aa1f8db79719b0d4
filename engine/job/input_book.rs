//! A job as an input book: what stands in which sheet, from the declared keys and the settings of a job.

use std::collections::BTreeMap;

use super::costs::lines_of;
use super::settings::{Settings, WrittenValue};
use super::sheets::PRICE;
use super::tables::{CONTENTS, GIVEN, SHOT_LIST};
use super::{Key, KeyKind, KeyTable, Keys, Need, key_tables};
use crate::files::embedded;
use crate::measure::{Dimension, Style, System};
use crate::problem::Outcome;
use crate::sheet::{Per, read_sheet};
use crate::table::read_text_list;
use crate::workbook::{InputCell, InputColumn, InputPair, InputRows, InputSheet, write_input_book};

/// Tables that a book has no use for: it is itself the workbook.
const NOT_IN_A_BOOK: [&str; 1] = ["tables"];

/// The key that names a line of the price.
const LINE: &str = "cost[].of";

/// Values that a new book has in place of those of its job: another, or none.
pub(super) type Changed<'a> = Vec<(&'a str, Option<String>)>;

/// Writes the settings of a job as an input book of this name, with the shots in a sheet of their own.
///
/// # Errors
/// The spreadsheet library refuses something.
pub(super) fn input_book(
    settings: &Settings,
    file: &str,
    shots: Vec<Vec<InputCell>>,
    changed: &Changed,
) -> Outcome<Vec<u8>> {
    let mut values = settings.written_values();
    for (path, text) in changed {
        match (text, values.iter_mut().find(|value| value.path == *path)) {
            (Some(text), Some(value)) => value.value = toml::Value::String(text.clone()),
            _ => values.retain(|value| value.path != *path),
        }
    }
    let standard = settings.standard_values();
    let maker = Maker { settings, values, standard, style: settings.style() };
    let mut sheets: Vec<InputSheet> = key_tables()
        .filter(|table| !NOT_IN_A_BOOK.contains(&table.path) && settings.keys().uses(table))
        .filter_map(|table| maker.sheet(table))
        .collect();
    let after = sheets.iter().position(|sheet| sheet.name == "shots").map_or(0, |at| at + 1);
    let about = "the shots, pasted as they come from the surveyor, with their headings; empty where sheet shots names a file or no ground is shot";
    let pasted = InputRows::Pasted(shots);
    let name = SHOT_LIST.to_owned();
    sheets.insert(after, InputSheet { name, about: about.to_owned(), needed: false, rows: pasted });
    let how = [
        "Boxed cells are inputs. A number takes the unit that stands beside it or in the heading; a text brings its own, such as 4'-6 or 12 in.".to_owned(),
        "What is empty holds as column \"If empty\" says. A sheet whose name begins with _ is left alone.".to_owned(),
        format!("Then, where this book lies: rodbook check {file}, and: rodbook takeoff {file}"),
    ];
    write_input_book(&format!("Inputs of a job: {file}"), CONTENTS, &how, &sheets)
}

struct Maker<'a> {
    settings: &'a Settings,
    values: Vec<WrittenValue>,
    /// What holds by the company's standard.
    standard: Vec<WrittenValue>,
    style: Style,
}

impl Maker<'_> {
    fn keys(&self) -> &Keys {
        self.settings.keys()
    }

    /// The sheet of a table; nothing for one whose keys stand in the sheet of the table around it.
    fn sheet(&self, table: &KeyTable) -> Option<InputSheet> {
        let list = table.path.strip_suffix("[]");
        if list.is_none() && table.path.contains('.') {
            return None;
        }
        let rows = match list {
            None => InputRows::Pairs(self.pairs(table)),
            Some(path) => self.list(path),
        };
        let name = table.path.replace("[]", "");
        // A list within a table is needed where that is.
        let within = table.path.rsplit_once('.').map(|(parent, _)| parent);
        let around = within.and_then(|parent| key_tables().find(|table| table.path == parent));
        let needed =
            self.keys().requires(table) && around.is_none_or(|around| self.keys().requires(around));
        Some(InputSheet { name, about: table.about.to_owned(), needed, rows })
    }

    /// Keys of a table with what follows its path; those of lists within it have sheets of their own.
    fn keys_in<'k>(&'k self, path: &str) -> impl Iterator<Item = (String, &'k Key)> + 'k {
        let within = format!("{path}.");
        self.keys().iter().filter_map(move |key| {
            let rest = key.path.strip_prefix(&within)?;
            (!rest.contains("[]")).then(|| (rest.to_owned(), key))
        })
    }

    fn pairs(&self, table: &KeyTable) -> Vec<InputPair> {
        let mut pairs = Vec::new();
        if !table.required && !table.defaults {
            let given = self.settings.gives(table.path);
            pairs.push(InputPair {
                what: format!("whether this job has it: {}", table.about),
                cell: given.then(|| InputCell::Text("yes".to_owned())),
                unit: String::new(),
                key: GIVEN.to_owned(),
                without: "yes where a value is filled in".to_owned(),
                may_be: "yes or no".to_owned(),
                choices: vec!["yes".to_owned(), "no".to_owned()],
            });
        }
        for (name, key) in self.keys_in(table.path) {
            let value = self.values.iter().find(|value| value.path == key.path);
            let (cell, unit) = match value {
                Some(value) => parted(&value.value, key.kind),
                None => (None, None),
            };
            pairs.push(InputPair {
                what: key.about.to_owned(),
                cell,
                unit: unit.unwrap_or_else(|| self.unit(key)),
                key: name,
                without: self.without(key),
                may_be: self.may_be(key),
                choices: choices(key),
            });
        }
        pairs
    }

    fn list(&self, path: &str) -> InputRows {
        let parent = path.rsplit_once("[].").map(|(parent, _)| parent);
        let element = format!("{path}[]");
        let keys: Vec<(String, &Key)> = self.keys_in(&element).collect();
        // Values by the numbers of their element, and by key.
        let mut elements: BTreeMap<Vec<usize>, BTreeMap<&str, &toml::Value>> = BTreeMap::new();
        for value in
            self.values.iter().filter(|value| value.key.starts_with(&format!("{element}.")))
        {
            let name = &value.key[element.len() + 1..];
            if !name.contains("[]") {
                elements.entry(value.numbers()).or_default().insert(name, &value.value);
            }
        }
        let mut columns = Vec::new();
        let mut rows: Vec<Vec<Option<InputCell>>> = vec![Vec::new(); elements.len()];
        if let Some(parent) = parent {
            columns.push(InputColumn {
                heading: parent.to_owned(),
                what: format!("the {parent} that it belongs to, by its id"),
                may_be: "text".to_owned(),
                choices: Vec::new(),
            });
            for (row, numbers) in rows.iter_mut().zip(elements.keys()) {
                let id = format!("{parent}.{}.id", numbers[0]);
                let id = self.values.iter().find(|value| value.path == id);
                row.push(id.and_then(|id| parted(&id.value, KeyKind::Text).0));
            }
        }
        for (name, key) in keys {
            let given: Vec<Option<&toml::Value>> =
                elements.values().map(|element| element.get(name.as_str()).copied()).collect();
            let (cells, unit) = column(&given, key.kind, self.unit(key));
            let bracket = if unit.is_empty() { String::new() } else { format!(" [{unit}]") };
            columns.push(InputColumn {
                heading: format!("{}{bracket}", name.replace('_', " ")),
                what: format!("{}; if empty: {}", key.about, self.without(key)),
                may_be: self.may_be(key),
                choices: choices(key),
            });
            rows.iter_mut().zip(cells).for_each(|(row, cell)| row.push(cell));
        }
        InputRows::List(columns, rows)
    }

    /// The unit of bare numbers.
    fn unit(&self, key: &Key) -> String {
        match key.kind {
            KeyKind::Length(..) | KeyKind::Elevation => self.style.unit(Dimension::LENGTH),
            KeyKind::Amount(dimension, example) => match self.style.system {
                // Concrete is known by its psi, a load by its psf.
                System::Us if dimension == Dimension::PRESSURE => {
                    example.rsplit_once(' ').map_or_else(String::new, |(_, unit)| unit.to_owned())
                }
                _ => key.unit(dimension, &self.style),
            },
            // For what it is, the price or the line says.
            KeyKind::Rate(_) => self.style.currency.clone(),
            _ => String::new(),
        }
    }

    fn without(&self, key: &Key) -> String {
        if let Some(value) = self.standard.iter().find(|value| value.path == key.path) {
            let text = value.value.as_str().map_or_else(|| value.value.to_string(), str::to_owned);
            return format!("{text}, by the company's standard");
        }
        match self.keys().need(key) {
            _ if key.path == "shots.file" => format!("sheet {SHOT_LIST}"),
            Need::Required | Need::Stepped(_) => "it is needed".to_owned(),
            Need::Optional if key.path.starts_with("prices.") => {
                "no price; what needs it is told".to_owned()
            }
            Need::Default("") | Need::Optional => "nothing".to_owned(),
            Need::Default(text) => text.to_owned(),
            Need::Usual(us, metric) => match self.style.system {
                System::Us => us.to_owned(),
                System::Metric => metric.to_owned(),
            },
        }
    }

    fn may_be(&self, key: &Key) -> String {
        if key.path == LINE {
            return format!("a line of the price: {}", bundled_lines().join(", "));
        }
        match key.kind {
            KeyKind::Texts => "texts, commas between them".to_owned(),
            KeyKind::OneOrMore => {
                "text; several lengths with commas between them, other texts as [\"a\", \"b\"]"
                    .to_owned()
            }
            KeyKind::Stations => {
                "stations and elevations, such as 0 ft: 203.3 ft; 12 ft: 202.4 ft".to_owned()
            }
            kind => kind.words(),
        }
    }
}

/// The lines of the bundled price sheet.
fn bundled_lines() -> Vec<String> {
    let price = embedded(PRICE).and_then(|text| {
        let table = read_text_list(PRICE, text.as_bytes()).ok()?;
        read_sheet(&table, "price", "Price", &Per::Job).ok()
    });
    let lines = price.as_ref().and_then(lines_of).unwrap_or_default();
    lines.into_iter().map(str::to_owned).collect()
}

fn choices(key: &Key) -> Vec<String> {
    match key.kind {
        _ if key.path == LINE => bundled_lines(),
        KeyKind::Choice(words) => words.iter().map(|word| (*word).to_owned()).collect(),
        _ => Vec::new(),
    }
}

/// A value as a cell, and its unit where it is a number with one.
fn parted(value: &toml::Value, kind: KeyKind) -> (Option<InputCell>, Option<String>) {
    let text = match value {
        toml::Value::Array(items) => {
            return (Some(InputCell::Text(array(items, kind))), None);
        }
        toml::Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    if let KeyKind::Count(..) | KeyKind::Percent(_) = kind
        && let Some(number) = exact_number(&text)
    {
        // A number under two could be a share: what is read must not be asked about.
        let cell = match kind {
            KeyKind::Percent(_) if number > 0.0 && number < 2.0 => {
                InputCell::Text(format!("{text} %"))
            }
            _ => InputCell::Number(number),
        };
        return (Some(cell), None);
    }
    if let KeyKind::Length(..) | KeyKind::Elevation | KeyKind::Amount(..) | KeyKind::Rate(_) = kind
        && let Some((number, unit)) = text.split_once(' ')
        && unit.starts_with(|c: char| c.is_ascii_alphabetic())
        && !unit.contains(' ')
        && let Some(number) = exact_number(number)
    {
        return (Some(InputCell::Number(number)), Some(unit.to_owned()));
    }
    (Some(InputCell::Text(text)), None)
}

/// A number that a cell holds as it is written; nothing for one of more digits.
fn exact_number(text: &str) -> Option<f64> {
    let number: f64 = text.parse().ok()?;
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    (number.is_finite() && digits <= 15 && !text.contains(['e', 'E', '+'])).then_some(number)
}

/// A list in one cell.
fn array(items: &[toml::Value], kind: KeyKind) -> String {
    let texts: Vec<&str> = items.iter().filter_map(toml::Value::as_str).collect();
    match kind {
        _ if items.is_empty() => "[]".to_owned(),
        KeyKind::Texts if !texts.iter().any(|text| text.contains(',')) => texts.join(", "),
        KeyKind::Stations => {
            let pair = |item: &toml::Value| {
                let pair = item.as_array()?;
                Some(format!("{}: {}", pair.first()?.as_str()?, pair.get(1)?.as_str()?))
            };
            items.iter().filter_map(pair).collect::<Vec<_>>().join("; ")
        }
        _ => toml::Value::Array(items.to_vec()).to_string(),
    }
}

/// The cells of a column, and the unit of its heading: where all numbers have the same one they stand alone.
fn column(
    given: &[Option<&toml::Value>],
    kind: KeyKind,
    usual: String,
) -> (Vec<Option<InputCell>>, String) {
    let parts: Vec<_> = given.iter().map(|value| value.map(|value| parted(value, kind))).collect();
    let units: std::collections::BTreeSet<&String> =
        parts.iter().flatten().filter_map(|(_, unit)| unit.as_ref()).collect();
    let of_all = match units.len() {
        0 => Some(usual),
        1 => units.first().map(|unit| (*unit).clone()),
        _ => None,
    };
    let whole = |value: &toml::Value| {
        InputCell::Text(value.as_str().map_or_else(|| value.to_string(), str::to_owned))
    };
    let cells = given.iter().zip(&parts).map(|(value, part)| match (part, &of_all) {
        (Some((_, Some(_))), None) => value.map(whole),
        (Some((cell, _)), _) => cell.clone(),
        (None, _) => None,
    });
    (cells.collect(), of_all.unwrap_or_default())
}
