//! job.toml over the company's standard, read against the list of keys: every fault at once, each with its place.

mod own_prices;
mod reader;
mod setting;
mod stated;
mod tree;
mod view;
mod written;

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use super::kind::KeyReading;
use super::{Keys, key_tables};
use crate::footing::System;
use crate::measure::{StationStyle, Style};
use crate::problem::{Faults, Outcome, Place, Problem, closest};
use crate::takeoff::Stated;
use reader::{SettingsReader, is_list, is_table};
use stated::{AsRead, key_path, stated, within_a_list};
use tree::{NodeValue, Overridden, SettingNode, value_at, values_of};
use written::mark;

pub(super) use reader::WrittenElevation;
pub use setting::Setting;
pub(super) use view::View;
pub use written::Written;

/// What is said of a key whose fault was told when the settings were read.
const MISSING: &str = " is missing or of the wrong kind";

/// Faults beside those of reading: what only follows, or may follow, from a fault told before is left out.
pub(super) fn beside(faults: Faults, told_before: bool) -> Faults {
    let follows = |problem: &Problem| {
        problem.message.ends_with(MISSING)
            || told_before && problem.message.starts_with(crate::price::NO_RATE)
    };
    let own = |problem: &Problem| !follows(problem);
    faults.into_vec().into_iter().filter(own).collect::<Vec<_>>().into()
}

/// The settings of a job.
#[derive(Debug, Clone)]
pub struct Settings {
    keys: Keys,
    written: Written,
    root: SettingNode,
    reading: KeyReading,
    elevations: Vec<WrittenElevation>,
    /// Values as they were read, and paths of those that were replaced since.
    as_read: Arc<AsRead>,
    replaced: Vec<String>,
    /// What the company's standard says where the job has its own.
    overridden: Vec<Overridden>,
}

/// A value as a job writes it.
#[derive(Debug, Clone)]
pub(super) struct WrittenValue {
    /// Its path, elements of lists by number.
    pub(super) path: String,
    /// The path of its key, `[]` for each element.
    pub(super) key: String,
    /// What is written.
    pub(super) value: toml::Value,
}

impl WrittenValue {
    /// The numbers of the elements that it stands in.
    pub(super) fn numbers(&self) -> Vec<usize> {
        self.path.split('.').filter_map(|word| word.parse().ok()).collect()
    }
}

/// A value of a job where the company's standard has another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnValue {
    /// Its path.
    pub path: String,
    /// As the job writes it.
    pub value: String,
    /// Where.
    pub from: Place,
    /// As the standard writes it.
    pub standard: String,
    /// Where.
    pub standard_from: Place,
}

impl Settings {
    /// Reads settings from text; `first` are values that replace what decides how all others are read.
    ///
    /// # Errors
    /// The text is no TOML, or a key is unknown, missing, or has a wrong value; all such faults at once.
    pub fn parse(written: &Written, first: &[(String, String)]) -> Outcome<Self> {
        let keys = |_: &KeyReading, _: Option<String>| (Keys::default(), Faults::none());
        let (settings, faults) = Self::parse_what_is_sound(written, first, false, keys);
        faults.or_value(settings)
    }

    /// Reads settings from text as far as they are sound, with all faults; no settings where the text is no TOML. The keys are
    /// asked for once it is known what they rest on: units, currency, and the wall case, where one is named.
    pub(super) fn parse_what_is_sound(
        written: &Written,
        first: &[(String, String)],
        shares: bool,
        keys: impl FnOnce(&KeyReading, Option<String>) -> (Keys, Faults),
    ) -> (Option<Self>, Faults) {
        let mut faults = Faults::none();
        let mut roots = Vec::new();
        for (begins, text) in written.texts() {
            let (root, errors) = DeTable::parse_recoverable(text);
            for error in &errors {
                let span = error.span().unwrap_or(0..0);
                let span = span.start + begins..span.end + begins;
                faults.push(mark(written, &span, no_toml(error.message())));
            }
            roots.push((begins, root));
        }
        if faults.stop() {
            return (None, faults);
        }
        let tables: Vec<&DeTable> = roots.iter().map(|(_, root)| root.get_ref()).collect();
        let (reading, case) = reading(&tables, first);
        let (mut keys, of_keys) = keys(&reading, case);
        faults.extend(of_keys);
        keys.add(tables.iter().flat_map(|root| own_prices::keys(root)));
        let mut reader = SettingsReader::new(&keys, written, &reading);
        let mut overridden = Vec::new();
        let read = |(begins, root): &(usize, toml::Spanned<DeTable>)| {
            reader.layer(root.get_ref(), root.span(), *begins)
        };
        let mut layers: Vec<SettingNode> = roots.iter().map(read).collect();
        let mut tree = SettingNode::blank();
        if let Some((job, below)) = layers.split_first_mut() {
            if let (true, Some(shared)) = (shares, below.first_mut()) {
                for path in NEVER_SHARED {
                    shared.remove(path);
                }
            }
            reader.take_away(&without(tables[0]), below);
            if let (true, [_, rest @ ..], Some(shared)) = (shares, below, tables.get(1)) {
                // What the shared file does not take of the standard, its jobs do not take either.
                for (path, _) in without(shared) {
                    rest.iter_mut().for_each(|layer| {
                        layer.remove(&path);
                    });
                }
            }
            tree = std::mem::replace(job, SettingNode::blank());
        }
        for mut layer in layers.into_iter().skip(1) {
            own_prices::give_way(&mut layer, &tree);
            tree = tree.over(layer, "", &mut overridden);
        }
        reader.complete(&mut tree, "", true);
        let (of_values, elevations) = reader.done();
        faults.extend(of_values);
        let mut settings = Self {
            written: written.clone(),
            root: tree,
            reading: reading.clone(),
            elevations,
            keys: keys.clone(),
            as_read: Arc::default(),
            replaced: Vec::new(),
            overridden,
        };
        settings.as_read = Arc::new(settings.values());
        (Some(settings), faults)
    }

    /// Replaces one value by a text, as written in the file; `wall.W2.stem` or `wall.1.stem` names an element.
    ///
    /// # Errors
    /// There is no such key or element, or the text is not a value of it.
    pub fn set(&mut self, path: &str, text: &str) -> Outcome<()> {
        let wrong = |message: String| {
            Faults::from(Problem::error(message).at(Place::file(format!("--set {path}"))))
        };
        let (mut generic, mut actual) = (String::new(), String::new());
        let mut node = &mut self.root;
        let mut names = path.split('.').peekable();
        while let Some(name) = names.next() {
            generic =
                if generic.is_empty() { name.to_owned() } else { format!("{generic}.{name}") };
            actual = if actual.is_empty() { name.to_owned() } else { format!("{actual}.{name}") };
            let NodeValue::Table(entries) = &mut node.what else {
                return Err(wrong(format!("there is no setting {path}")));
            };
            if names.peek().is_none() {
                let key = self.keys.find(&generic);
                let key = key.ok_or_else(|| unknown(&self.keys, path, &generic))?;
                let value = key.kind.read_text(text, &self.reading);
                let value = value.map_err(|problem| {
                    Faults::from(problem.at(Place::file(format!("--set {path}={text}"))))
                })?;
                self.elevations.retain(|known| known.path != generic);
                self.replaced.push(actual);
                let price = generic.strip_prefix("prices.").map(str::to_owned);
                entries.insert(
                    name.to_owned(),
                    SettingNode { span: 0..0, what: NodeValue::Value(value) },
                );
                if price.is_some_and(|price| own_prices::forget(&mut self.root, &price)) {
                    let left = |(path, _): &(&String, &_)| value_at(&self.root, path).is_some();
                    let kept = self.as_read.iter().filter(left);
                    self.as_read =
                        Arc::new(kept.map(|(path, read)| (path.clone(), read.clone())).collect());
                }
                return Ok(());
            }
            let listed = is_list(&generic);
            node = if is_table(&generic) {
                entries.entry(name.to_owned()).or_insert_with(SettingNode::blank)
            } else {
                entries.get_mut(name).ok_or_else(|| unknown(&self.keys, path, &generic))?
            };
            if listed {
                let element = names.next().unwrap_or_default();
                let NodeValue::List(items) = &mut node.what else {
                    return Err(unknown(&self.keys, path, &generic));
                };
                // A name wins over a number: a wall may be called 1.
                let named = items.iter().position(|item| item.name() == Some(element));
                let place = named.or_else(|| element.parse::<usize>().ok());
                let count = items.len();
                actual = format!("{actual}.{}", place.unwrap_or(count));
                node = place.and_then(|place| items.get_mut(place)).ok_or_else(|| {
                    wrong(format!("\"{element}\" is none of the {count} of {generic}"))
                })?;
                generic += "[]";
                if let (own_prices::ELEMENT, Some(name)) = (generic.as_str(), node.text("name"))
                    && names.peek() == Some(&"price")
                {
                    let path = format!("prices.{name}");
                    return self.set(&path, text);
                }
            }
        }
        Err(unknown(&self.keys, path, &generic))
    }

    /// Whether a path names a cell of a calc sheet and no setting.
    pub(super) fn is_cell(&self, path: &str) -> bool {
        let Some((sheet, cell)) = path.split_once('.') else { return false };
        let named =
            self.view().list("sheet").iter().any(|view| view.maybe_text("name") == Some(sheet));
        !cell.is_empty() && self.keys.find(path).is_none() && (named || sheet == "price")
    }

    /// Without a layback the published one of the soil class holds, and only class A may stand straight at its foot.
    /// Sources `subpart-p`, `subpart-p-foot`.
    pub(super) fn layback_of_soil(&mut self) -> Outcome<()> {
        let view = self.view();
        let Some(allowed) = view.table("allowances") else { return Ok(()) };
        let (layback, from) = match allowed.maybe_text("soil_class") {
            Some("A") => ("3/4:1", "footing top"),
            Some("B") => ("1:1", "bottom"),
            _ => ("1-1/2:1", "bottom"),
        };
        let open = [("layback", layback), ("layback_from", from)]
            .map(|(name, value)| allowed.get(name).is_none().then_some((name, value)));
        for (name, value) in open.into_iter().flatten() {
            self.set(&format!("allowances.{name}"), value)?;
        }
        Ok(())
    }

    /// The keys that it was read by.
    pub(super) fn keys(&self) -> &Keys {
        &self.keys
    }

    /// Tables that it gives and the wall case has no use for.
    pub(super) fn unused(&self) -> Vec<&'static str> {
        let given = |table: &&super::KeyTable| {
            !self.keys.uses(table) && self.view().table(table.path).is_some()
        };
        key_tables().filter(given).map(|table| table.path).collect()
    }

    pub(super) fn view(&self) -> View<'_> {
        View { settings: self, node: &self.root }
    }

    /// Elevations and coordinates that are written in feet.
    pub(super) fn elevations(&self) -> &[WrittenElevation] {
        &self.elevations
    }

    pub(super) fn stations(&self) -> StationStyle {
        self.reading.stations
    }

    pub(super) fn file(&self) -> &str {
        self.written.file()
    }

    /// Where every value of the file is written, by its path.
    pub(super) fn places(&self) -> BTreeMap<String, Place> {
        let place = |(path, (place, _)): (&String, &(Option<Place>, _))| {
            let own = !self.replaced.contains(path) && !within_a_list(path);
            place.clone().filter(|_| own).map(|place| (path.clone(), place))
        };
        self.as_read.iter().filter_map(place).collect()
    }

    /// Every single value by its path, with what its key says of it.
    pub(super) fn stated(&self) -> BTreeMap<String, Stated> {
        let known = self
            .as_read
            .iter()
            .filter_map(|(path, (_, stated))| stated.clone().map(|stated| (path.clone(), stated)));
        let mut all: BTreeMap<String, Stated> = known.collect();
        for path in &self.replaced {
            let value = value_at(&self.root, path).and_then(|value| self.value(path, value, None));
            match value {
                Some(value) => all.insert(path.clone(), value),
                None => all.remove(path),
            };
        }
        all
    }

    /// All values as they stand.
    fn values(&self) -> AsRead {
        let mut found = Vec::new();
        values_of(&self.root, String::new(), &mut found);
        let value = |(path, span, value): (String, &Range<usize>, &Setting)| {
            let place = (!span.is_empty()).then(|| self.written.place_of(span));
            let stated = self.value(&path, value, place.clone().filter(|_| !within_a_list(&path)));
            (path, (place, stated))
        };
        found.into_iter().map(value).collect()
    }

    /// Whether the job itself has a table.
    pub(super) fn gives(&self, table: &str) -> bool {
        let path = table.split('.');
        let node = path.into_iter().try_fold(&self.root, |node, word| match &node.what {
            NodeValue::Table(entries) => entries.get(word),
            _ => None,
        });
        node.is_some_and(|node| !node.span.is_empty() && self.written.is_of_job(&node.span))
    }

    /// The values that the job itself writes, or those that hold by the standard, in the order of their paths.
    fn values_by(&self, job: bool) -> Vec<WrittenValue> {
        let mut found = Vec::new();
        values_of(&self.root, String::new(), &mut found);
        let value = |(path, span, _): (String, &Range<usize>, &Setting)| {
            let wanted = !span.is_empty() && self.written.is_of_job(span) == job;
            let value = self.written.value(span).filter(|_| wanted)?;
            Some(WrittenValue { key: key_path(&path), path, value })
        };
        found.into_iter().filter_map(value).collect()
    }

    /// The values that hold by the company's standard.
    pub(super) fn standard_values(&self) -> Vec<WrittenValue> {
        self.values_by(false)
    }

    /// The values that the job itself writes.
    pub(super) fn written_values(&self) -> Vec<WrittenValue> {
        let mut all = self.values_by(true);
        // The price of an own price stands in its row.
        let names: Vec<(String, String)> = all
            .iter()
            .filter(|value| value.key == own_prices::NAME)
            .filter_map(|value| Some((value.path.clone(), value.value.as_str()?.to_owned())))
            .collect();
        for (path, name) in names {
            if let Some(price) = all.iter_mut().find(|value| value.path == format!("prices.{name}"))
            {
                price.path = path.replace(".name", ".price");
                price.key = own_prices::PRICE.to_owned();
            }
        }
        all
    }

    /// Values that the job has in place of those of the company's standard, as both are written.
    pub(super) fn overridden(&self) -> Vec<OwnValue> {
        let told = |told: &Overridden| OwnValue {
            path: told.path.clone(),
            value: self.written.words(&told.own),
            from: self.written.place_of(&told.own),
            standard: self.written.words(&told.standard),
            standard_from: self.written.place_of(&told.standard),
        };
        // Of several files below, the nearest is told.
        let mut all: Vec<OwnValue> = Vec::new();
        for own in self.overridden.iter().map(told) {
            if all.iter().all(|known| known.path != own.path) {
                all.push(own);
            }
        }
        all
    }

    fn value(&self, path: &str, value: &Setting, from: Option<Place>) -> Option<Stated> {
        let key = self.keys.find(&key_path(path))?;
        stated(value, key, &self.style(), from)
    }

    /// How measures are written in the units of the job.
    pub(super) fn style(&self) -> Style {
        let system = if self.reading.metric { System::Metric } else { System::Us };
        Style::new(system, &self.reading.currency, self.reading.stations)
    }
}

/// A text that the language of settings does not take.
fn no_toml(message: &str) -> Problem {
    let problem = Problem::error(message.to_owned());
    match message {
        message
            if ["invalid boolean", "invalid number", "string values must be quoted"]
                .iter()
                .any(|begin| message.starts_with(begin)) =>
        {
            problem.help(
                "a value with a unit, a name or a file stands in quotes: length_unit = \"ft\"",
            )
        }
        message if message.contains("recursion limit") => {
            problem.help("no key of a job has more than two words, such as allowances.dig")
        }
        _ => problem,
    }
}

fn unknown(keys: &Keys, path: &str, generic: &str) -> Faults {
    let problem = Problem::error(format!("there is no setting {path}"));
    let near = closest(generic, keys.iter().map(|key| key.path));
    let problem = match near {
        Some(near) => problem.help(format!("did you mean {near}?")),
        None => problem.help("rodbook keys lists every key of a job"),
    };
    problem.at(Place::file("--set")).into()
}

/// Settings that decide how all others are read.
pub(super) const DECIDES: [&str; 5] =
    ["job.units", "job.currency", "job.stations", "job.case", "alignment.feet"];

/// What a job never takes of a file that it shares: it is of that file's own walls.
const NEVER_SHARED: [&str; 12] = [
    "job.name",
    "job.without",
    "wall",
    "alignment",
    "drawn",
    "lock",
    "zone",
    "rules.no_step",
    "ground.finished_low.stations",
    "ground.bearing.stations",
    "ground.existing.stations",
    "one_level.top_of_footing",
];

/// What the job does not take of the standard, and where it says so.
fn without(job: &DeTable) -> Vec<(String, Range<usize>)> {
    let Some(DeValue::Table(table)) = job.get("job").map(|job| job.get_ref()) else {
        return Vec::new();
    };
    let Some(value) = table.get("without") else { return Vec::new() };
    let text = |value: &toml::Spanned<DeValue>| match value.get_ref() {
        DeValue::String(text) => Some((text.to_string(), value.span())),
        _ => None,
    };
    match value.get_ref() {
        DeValue::Array(items) => items.iter().filter_map(text).collect(),
        _ => text(value).into_iter().collect(),
    }
}

/// What is needed before anything is read: [`DECIDES`].
fn reading(roots: &[&DeTable], first: &[(String, String)]) -> (KeyReading, Option<String>) {
    let written = |root: &DeTable, table: &str, name: &str| {
        let DeValue::Table(table) = root.get(table)?.get_ref() else { return None };
        match table.get(name)?.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            _ => None,
        }
    };
    let text_in = |table: &str, name: &str| {
        let path = format!("{table}.{name}");
        match first.iter().rev().find(|(known, _)| *known == path) {
            Some((_, text)) => Some(text.clone()),
            None => roots.iter().find_map(|root| written(root, table, name)),
        }
    };
    let text = |name: &str| text_in("job", name);
    let stations = match text("stations").as_deref() {
        Some("1000 m") => StationStyle::ThousandMetres,
        _ => StationStyle::HundredFeet,
    };
    let reading = KeyReading {
        stations,
        currency: text("currency").unwrap_or_else(|| "usd".to_owned()),
        survey_feet: text_in("alignment", "feet").as_deref() == Some("us_survey_ft"),
        metric: text("units").as_deref() == Some("metric"),
    };
    (reading, text("case"))
}
