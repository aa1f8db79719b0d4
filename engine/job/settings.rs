//! job.toml, read against the list of keys: every fault at once, each with its line and column.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use super::keys::OWN;
use super::kind::KeyReading;
use super::stated::{AsRead, key_path, stated, within_a_list};
use super::written::mark;
use super::{KeyKind, Keys, Need, Setting, Written, key_tables};
use crate::footing::System;
use crate::measure::{Exact, Nm, StationStyle, Style, WrittenFoot, written_foot};
use crate::problem::{Faults, Outcome, Place, Problem, closest};
use crate::takeoff::Stated;

#[derive(Debug, Clone)]
struct Node {
    span: Range<usize>,
    what: What,
}

#[derive(Debug, Clone)]
enum What {
    Table(BTreeMap<String, Node>),
    List(Vec<Node>),
    Value(Setting),
}

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

/// Most elements of a list of tables.
const MOST_ELEMENTS: usize = 2_000;

/// The settings of a job.
#[derive(Debug, Clone)]
pub struct Settings {
    keys: Keys,
    written: Written,
    root: Node,
    reading: KeyReading,
    elevations: Vec<WrittenElevation>,
    /// Values as they were read, and paths of those that were replaced since.
    as_read: Arc<AsRead>,
    replaced: Vec<String>,
}

/// An elevation or coordinate in feet, as written.
#[derive(Debug, Clone)]
pub(super) struct WrittenElevation {
    /// Its key; `[]` stands for any element.
    pub(super) path: String,
    /// Where it stands.
    pub(super) place: Problem,
    /// Which foot it is written in.
    pub(super) foot: WrittenFoot,
    /// How long it is.
    pub(super) length: Nm,
}

/// One table of the settings, to read values from.
#[derive(Debug, Clone, Copy)]
pub(super) struct View<'a> {
    settings: &'a Settings,
    node: &'a Node,
}

fn is_table(path: &str) -> bool {
    key_tables().any(|table| table.path == path)
}

fn is_list(path: &str) -> bool {
    let element = format!("{path}[]");
    is_table(&element)
}

impl Settings {
    /// Reads settings from text; `first` are values that replace what decides how all others are read.
    ///
    /// # Errors
    /// The text is no TOML, or a key is unknown, missing, or has a wrong value; all such faults at once.
    pub fn parse(written: &Written, first: &[(String, String)]) -> Outcome<Self> {
        let keys = |_: &KeyReading, _: Option<String>| (Keys::default(), Faults::none());
        let (settings, faults) = Self::parse_what_is_sound(written, first, keys);
        faults.or_value(settings)
    }

    /// Reads settings from text as far as they are sound, with all faults; no settings where the text is no TOML. The keys are
    /// asked for once it is known what they rest on: units, currency, and the wall case, where one is named.
    pub(super) fn parse_what_is_sound(
        written: &Written,
        first: &[(String, String)],
        keys: impl FnOnce(&KeyReading, Option<String>) -> (Keys, Faults),
    ) -> (Option<Self>, Faults) {
        let (root, errors) = DeTable::parse_recoverable(&written.text);
        let mut faults = Faults::none();
        for error in &errors {
            let span = error.span().unwrap_or(0..0);
            let problem = Problem::error(error.message().to_owned());
            let problem = match error.message() {
                message if message.starts_with("invalid boolean") || message.starts_with("invalid number") || message.starts_with("string values must be quoted") => {
                    problem.help("a value with a unit, a name or a file stands in quotes: length_unit = \"ft\"")
                }
                message if message.contains("recursion limit") => {
                    problem.help("no key of a job has more than two words, such as allowances.dig")
                }
                _ => problem,
            };
            faults.push(mark(written, &span, problem));
        }
        if faults.stop() {
            return (None, faults);
        }
        let (reading, case) = reading(root.get_ref(), first);
        let (keys, of_keys) = keys(&reading, case);
        faults.extend(of_keys);
        let mut reader =
            Reader { keys: &keys, written, reading: &reading, faults, elevations: Vec::new() };
        let mut tree = reader.table(root.get_ref(), root.span(), "");
        reader.complete(&mut tree, "", true);
        let elevations = reader.elevations;
        let faults = reader.faults;
        let mut settings = Self {
            written: written.clone(),
            root: tree,
            reading: reading.clone(),
            elevations,
            keys: keys.clone(),
            as_read: Arc::default(),
            replaced: Vec::new(),
        };
        settings.as_read = Arc::new(settings.values());
        (Some(settings), faults)
    }

    /// Replaces one value by a text, as written in the file; `wall.W2.stem` or `wall.1.stem` names an element.
    ///
    /// # Errors
    /// There is no such key or element, or the text is no value of it.
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
            let What::Table(entries) = &mut node.what else {
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
                entries.insert(name.to_owned(), Node { span: 0..0, what: What::Value(value) });
                return Ok(());
            }
            let listed = is_list(&generic);
            let blank = || Node { span: 0..0, what: What::Table(BTreeMap::new()) };
            node = if is_table(&generic) {
                entries.entry(name.to_owned()).or_insert_with(blank)
            } else {
                entries.get_mut(name).ok_or_else(|| unknown(&self.keys, path, &generic))?
            };
            if listed {
                let element = names.next().unwrap_or_default();
                let What::List(items) = &mut node.what else {
                    return Err(unknown(&self.keys, path, &generic));
                };
                // A name wins over a number: a wall may be called 1.
                let named = items.iter().position(|item| {
                    matches!(&item.what, What::Table(entries)
                        if matches!(entries.get("id"), Some(Node { what: What::Value(Setting::Text(id)), .. }) if id == element))
                });
                let place = named.or_else(|| element.parse::<usize>().ok());
                let count = items.len();
                actual = format!("{actual}.{}", place.unwrap_or(count));
                node = place.and_then(|place| items.get_mut(place)).ok_or_else(|| {
                    wrong(format!("\"{element}\" is none of the {count} of {generic}"))
                })?;
                generic += "[]";
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
        &self.written.file
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

    fn value(&self, path: &str, value: &Setting, from: Option<Place>) -> Option<Stated> {
        let key = self.keys.find(&key_path(path))?;
        stated(value, key, &self.style(), from)
    }

    /// How measures are written in the units of the job.
    fn style(&self) -> Style {
        let system = if self.reading.metric { System::Metric } else { System::Us };
        Style::new(system, &self.reading.currency, self.reading.stations)
    }
}

/// The value of a path.
fn value_at<'a>(root: &'a Node, path: &str) -> Option<&'a Setting> {
    let node = path.split('.').try_fold(root, |node, word| match &node.what {
        What::Table(entries) => entries.get(word),
        What::List(items) => items.get(word.parse::<usize>().ok()?),
        What::Value(_) => None,
    });
    match &node?.what {
        What::Value(value) => Some(value),
        _ => None,
    }
}

fn values_of<'a>(
    node: &'a Node,
    path: String,
    found: &mut Vec<(String, &'a Range<usize>, &'a Setting)>,
) {
    match &node.what {
        What::Value(value) => found.push((path, &node.span, value)),
        What::Table(entries) => {
            for (name, entry) in entries {
                let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                values_of(entry, path, found);
            }
        }
        What::List(items) => {
            for (index, item) in items.iter().enumerate() {
                values_of(item, format!("{path}.{index}"), found);
            }
        }
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

/// What is needed before anything is read: [`DECIDES`].
fn reading(root: &DeTable, first: &[(String, String)]) -> (KeyReading, Option<String>) {
    let text_in = |table: &str, name: &str| {
        let path = format!("{table}.{name}");
        if let Some((_, text)) = first.iter().rev().find(|(known, _)| *known == path) {
            return Some(text.clone());
        }
        let job = root.iter().find(|(key, _)| key.get_ref() == table)?;
        let DeValue::Table(job) = job.1.get_ref() else { return None };
        let (_, value) = job.iter().find(|(key, _)| key.get_ref() == name)?;
        match value.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            _ => None,
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

struct Reader<'a> {
    keys: &'a Keys,
    written: &'a Written,
    reading: &'a KeyReading,
    faults: Faults,
    elevations: Vec<WrittenElevation>,
}

impl Reader<'_> {
    fn fault(&mut self, span: &Range<usize>, problem: Problem) {
        self.faults.push(mark(self.written, span, problem));
    }

    fn table(&mut self, table: &DeTable, span: Range<usize>, path: &str) -> Node {
        let mut entries: Vec<_> = table.iter().collect();
        entries.sort_by_key(|(name, _)| name.span().start);
        let mut read = BTreeMap::new();
        for (name, value) in entries {
            let here = if path.is_empty() {
                name.get_ref().to_string()
            } else {
                format!("{path}.{}", name.get_ref())
            };
            let span = value.span();
            let node = match value.get_ref() {
                DeValue::Table(inner) if is_table(&here) => Some(self.table(inner, span, &here)),
                DeValue::Array(items) if is_list(&here) => Some(self.list(items, span, &here)),
                value => match self.keys.find(&here) {
                    Some(key) => match key.kind.read(value, self.reading) {
                        Ok(read) => {
                            self.elevation(&here, value, &read, &span);
                            Some(Node { span, what: What::Value(read) })
                        }
                        Err(problem) => {
                            self.fault(&span, problem);
                            // Counts as given, so that it is not reported as missing too.
                            Some(Node { span, what: What::Value(Setting::Text(String::new())) })
                        }
                    },
                    None if self.keys.cannot_tell(&here) => None,
                    None => {
                        self.unknown(path, &here, name.get_ref(), &name.span());
                        None
                    }
                },
            };
            if let Some(node) = node {
                read.insert(name.get_ref().to_string(), node);
            }
        }
        Node { span, what: What::Table(read) }
    }

    /// Keeps which foot an elevation or coordinate is written in.
    fn elevation(&mut self, path: &str, value: &DeValue, read: &Setting, span: &Range<usize>) {
        let elevation = self.keys.find(path).is_some_and(|key| key.kind == KeyKind::Elevation);
        if let (true, DeValue::String(text), Setting::Length(length)) = (elevation, value, read)
            && let Some(foot) = written_foot(text)
        {
            let place = mark(self.written, span, Problem::error(""));
            self.elevations.push(WrittenElevation {
                path: path.to_owned(),
                place,
                foot,
                length: *length,
            });
        }
    }

    fn list(&mut self, items: &toml::de::DeArray, span: Range<usize>, path: &str) -> Node {
        let mut read = Vec::new();
        if items.len() > MOST_ELEMENTS {
            let problem = Problem::error(format!("{path} has {} elements", items.len()));
            self.fault(&span, problem.help(format!("up to {MOST_ELEMENTS} are read")));
        }
        for item in items.iter().take(MOST_ELEMENTS) {
            match item.get_ref() {
                DeValue::Table(inner) => {
                    read.push(self.table(inner, item.span(), &format!("{path}[]")))
                }
                _ => self.fault(
                    &item.span(),
                    Problem::error(format!("each element of {path} is a table")),
                ),
            }
        }
        Node { span, what: What::List(read) }
    }

    fn unknown(&mut self, table: &str, here: &str, name: &str, span: &Range<usize>) {
        let names = self.keys.names_in(table);
        let problem = if is_table(here) || is_list(here) {
            let how = if is_list(here) { "a list of tables" } else { "a table" };
            Problem::error(format!("{here} is {how}"))
        } else {
            Problem::error(format!(
                "\"{name}\" is no key of {}",
                if table.is_empty() { "a job" } else { table }
            ))
        };
        let problem = match closest(name, names.iter().map(String::as_str)) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => match table.rsplit_once('.') {
                // TOML gives a key to the table that was opened last.
                Some((parent, _)) if self.keys.find(&format!("{parent}.{name}")).is_some() => problem.help(
                    format!("{name} is a key of {parent}: write it above the table {table} that it stands in"),
                ),
                _ => problem.help(format!("known here: {}", names.join(", "))),
            },
        };
        self.fault(span, problem);
    }

    /// Adds defaults and reports what is missing, in this table and below.
    fn complete(&mut self, node: &mut Node, path: &str, given: bool) {
        let span = node.span.clone();
        let What::Table(entries) = &mut node.what else { return };
        let direct = |known: &str| -> Option<String> {
            let rest = if path.is_empty() {
                known
            } else {
                known.strip_prefix(path)?.strip_prefix('.')?
            };
            (!rest.contains('.')).then(|| rest.to_owned())
        };
        let keys = self.keys;
        for key in keys.iter() {
            let Some(name) = direct(key.path) else { continue };
            if entries.contains_key(&name) {
                continue;
            }
            let need = keys.need(key);
            match need {
                Need::Optional => {}
                Need::Required | Need::Stepped(_) if given || path == OWN.trim_end_matches('.') => {
                    let what = key.kind.words();
                    let problem = Problem::error(format!("{} is missing: {}", key.path, key.about));
                    self.fault(&span, problem.help(format!("add {name} = \"...\" ({what})")));
                }
                Need::Required | Need::Stepped(_) => {}
                Need::Default(_) | Need::Usual(..) => {
                    let text = match need {
                        Need::Usual(_, metric) if self.reading.metric => metric,
                        Need::Default(text) | Need::Usual(text, _) => text,
                        _ => "",
                    };
                    if let Ok(value) = key.kind.read_text(text, self.reading) {
                        entries.insert(name, Node { span: 0..0, what: What::Value(value) });
                    }
                }
            }
        }
        for table in key_tables() {
            let Some(name) = direct(table.path) else { continue };
            let required = keys.requires(table);
            let listed = name.ends_with("[]");
            let name = name.trim_end_matches("[]").to_owned();
            match entries.get_mut(&name) {
                Some(Node { what: What::List(items), span }) if listed => {
                    if required && items.is_empty() {
                        let span = span.clone();
                        self.fault(
                            &span,
                            Problem::error(format!("{name} is empty: {}", table.about)),
                        );
                    }
                    for item in items {
                        self.complete(item, table.path, true);
                    }
                }
                Some(inner) => self.complete(inner, table.path, true),
                None if required && given => {
                    let heading = if listed { format!("[[{name}]]") } else { format!("[{name}]") };
                    let problem =
                        Problem::error(format!("{} is missing: {}", table.path, table.about));
                    self.fault(
                        &span,
                        problem.help(format!(
                            "add {heading}; rodbook keys lists what may stand in it"
                        )),
                    );
                }
                None if table.defaults && !listed && keys.uses(table) => {
                    let mut inner = Node { span: 0..0, what: What::Table(BTreeMap::new()) };
                    self.complete(&mut inner, table.path, false);
                    entries.insert(name, inner);
                }
                None => {}
            }
        }
    }
}

impl<'a> View<'a> {
    fn get(self, name: &str) -> Option<&'a Node> {
        match &self.node.what {
            What::Table(entries) => entries.get(name),
            _ => None,
        }
    }

    fn value(self, name: &str) -> Option<&'a Setting> {
        match &self.get(name)?.what {
            What::Value(value) => Some(value),
            _ => None,
        }
    }

    /// Puts a problem at a key of this table, or at the table.
    pub(super) fn place(self, name: &str, problem: Problem) -> Problem {
        let span = self.get(name).map_or(&self.node.span, |node| &node.span);
        mark(&self.settings.written, span, problem)
    }

    fn missing(self, name: &str) -> Problem {
        self.place(name, Problem::error(format!("{name}{MISSING}")))
    }

    pub(super) fn table(self, name: &str) -> Option<View<'a>> {
        let node = self.get(name)?;
        matches!(node.what, What::Table(_)).then_some(View { node, ..self })
    }

    pub(super) fn need_table(self, name: &str) -> Result<View<'a>, Problem> {
        self.table(name).ok_or_else(|| self.missing(name))
    }

    pub(super) fn list(self, name: &str) -> Vec<View<'a>> {
        match self.get(name).map(|node| &node.what) {
            Some(What::List(items)) => items.iter().map(|node| View { node, ..self }).collect(),
            _ => Vec::new(),
        }
    }

    pub(super) fn maybe_text(self, name: &str) -> Option<&'a str> {
        match self.value(name)? {
            Setting::Text(text) => Some(text),
            _ => None,
        }
    }

    pub(super) fn text(self, name: &str) -> Result<&'a str, Problem> {
        self.maybe_text(name).ok_or_else(|| self.missing(name))
    }

    pub(super) fn texts(self, name: &str) -> &'a [String] {
        match self.value(name) {
            Some(Setting::Texts(texts)) => texts,
            Some(Setting::Text(text)) => std::slice::from_ref(text),
            _ => &[],
        }
    }

    pub(super) fn maybe_length(self, name: &str) -> Option<Nm> {
        match self.value(name)? {
            Setting::Length(length) => Some(*length),
            _ => None,
        }
    }

    pub(super) fn length(self, name: &str) -> Result<Nm, Problem> {
        self.maybe_length(name).ok_or_else(|| self.missing(name))
    }

    pub(super) fn maybe_count(self, name: &str) -> Option<i64> {
        match self.value(name)? {
            Setting::Count(count) => Some(*count),
            _ => None,
        }
    }

    pub(super) fn count(self, name: &str) -> Result<i64, Problem> {
        self.maybe_count(name).ok_or_else(|| self.missing(name))
    }

    pub(super) fn maybe_measure(self, name: &str) -> Option<Exact> {
        match self.value(name)? {
            Setting::Measure(exact) => Some(exact.clone()),
            _ => None,
        }
    }

    pub(super) fn measure(self, name: &str) -> Result<Exact, Problem> {
        self.maybe_measure(name).ok_or_else(|| self.missing(name))
    }

    pub(super) fn stations(self, name: &str) -> Option<&'a [(Nm, Nm)]> {
        match self.value(name)? {
            Setting::Stations(pairs) => Some(pairs),
            _ => None,
        }
    }
}
