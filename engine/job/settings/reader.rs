//! Settings read against the list of keys: every fault at once, each with its place.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::de::{DeTable, DeValue};

use super::super::keys::OWN;
use super::super::kind::KeyReading;
use super::super::{KeyKind, Keys, Need, key_tables};
use super::tree::{NodeValue, SettingNode};
use super::written::mark;
use super::{Setting, Written, own_prices};
use crate::measure::{Nm, WrittenFoot, written_foot};
use crate::problem::{Faults, Problem, closest};

/// Where to look for the keys of a table.
const KEYS: &str = "; rodbook keys lists what may stand in it";

/// Most elements of a list of tables.
const MOST_ELEMENTS: usize = 2_000;

/// An elevation or coordinate in feet, as written.
#[derive(Debug, Clone)]
pub(in crate::job) struct WrittenElevation {
    /// Its key; `[]` stands for any element.
    pub(in crate::job) path: String,
    /// Where it stands.
    pub(in crate::job) place: Problem,
    /// Which foot it is written in.
    pub(in crate::job) foot: WrittenFoot,
    /// How long it is.
    pub(in crate::job) length: Nm,
}

pub(super) fn is_table(path: &str) -> bool {
    key_tables().any(|table| table.path == path)
}

pub(super) fn is_list(path: &str) -> bool {
    let element = format!("{path}[]");
    is_table(&element)
}

/// Reads the layers of a job's settings.
pub(super) struct SettingsReader<'a> {
    keys: &'a Keys,
    written: &'a Written,
    reading: &'a KeyReading,
    /// Where the text of the layer begins.
    begins: usize,
    faults: Faults,
    elevations: Vec<WrittenElevation>,
}

impl<'a> SettingsReader<'a> {
    pub(super) fn new(keys: &'a Keys, written: &'a Written, reading: &'a KeyReading) -> Self {
        let (faults, elevations) = (Faults::none(), Vec::new());
        Self { keys, written, reading, begins: 0, faults, elevations }
    }

    /// The faults, and what elevations are written in.
    pub(super) fn done(self) -> (Faults, Vec<WrittenElevation>) {
        (self.faults, self.elevations)
    }

    /// Reads the text that begins there.
    pub(super) fn layer(
        &mut self,
        root: &DeTable,
        span: Range<usize>,
        begins: usize,
    ) -> SettingNode {
        self.begins = begins;
        let span = self.moved(span);
        let mut tree = self.table(root, span, "");
        for (span, problem) in own_prices::placed(&mut tree, self.keys) {
            self.fault(&span, problem);
        }
        tree
    }

    /// Takes away what the job does not take of its standard; what is named and not there is told.
    pub(super) fn take_away(
        &mut self,
        without: &[(String, Range<usize>)],
        below: &mut [SettingNode],
    ) {
        for (path, span) in without {
            let table = is_table(path) || is_list(path);
            // The price of an own price stands among the prices by now.
            let price = path.strip_prefix("own_price.").map(|name| format!("prices.{name}"));
            let mut gone = table;
            for layer in below.iter_mut() {
                gone |= price.as_ref().is_some_and(|price| layer.remove(price));
                gone |= layer.remove(path);
            }
            if !gone {
                let whose = match below {
                    [_, _, ..] => "neither the shared file nor the company's standard has",
                    _ => "the company's standard has no",
                };
                let problem = Problem::error(format!("{whose} {path}"));
                self.fault(span, problem.help("a table, an element of a list by its name, or a value, such as bid, sheet.pours, prices.haul"));
            }
        }
    }

    /// A span of the layer in the text of all.
    fn moved(&self, span: Range<usize>) -> Range<usize> {
        span.start + self.begins..span.end + self.begins
    }

    fn fault(&mut self, span: &Range<usize>, problem: Problem) {
        self.faults.push(mark(self.written, span, problem));
    }

    fn table(&mut self, table: &DeTable, span: Range<usize>, path: &str) -> SettingNode {
        let mut entries: Vec<_> = table.iter().collect();
        entries.sort_by_key(|(name, _)| name.span().start);
        let mut read = BTreeMap::new();
        for (name, value) in entries {
            let here = if path.is_empty() {
                name.get_ref().to_string()
            } else {
                format!("{path}.{}", name.get_ref())
            };
            let span = self.moved(value.span());
            let node = match value.get_ref() {
                DeValue::Table(inner) if is_table(&here) => Some(self.table(inner, span, &here)),
                DeValue::Array(items) if is_list(&here) => Some(self.list(items, span, &here)),
                value => match self.keys.find(&here) {
                    Some(key) => match key.kind.read(value, self.reading) {
                        Ok(read) => {
                            self.elevation(&here, value, &read, &span);
                            Some(SettingNode { span, what: NodeValue::Value(read) })
                        }
                        Err(problem) => {
                            self.fault(&span, problem);
                            // Counts as given, so that it is not reported as missing too.
                            Some(SettingNode {
                                span,
                                what: NodeValue::Value(Setting::Text(String::new())),
                            })
                        }
                    },
                    None if self.keys.cannot_tell(&here) => None,
                    None => {
                        let span = self.moved(name.span());
                        self.unknown(path, &here, name.get_ref(), &span);
                        None
                    }
                },
            };
            if let Some(node) = node {
                read.insert(name.get_ref().to_string(), node);
            }
        }
        SettingNode { span, what: NodeValue::Table(read) }
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

    fn list(&mut self, items: &toml::de::DeArray, span: Range<usize>, path: &str) -> SettingNode {
        let mut read = Vec::new();
        if items.len() > MOST_ELEMENTS {
            let problem = Problem::error(format!("{path} has {} elements", items.len()));
            self.fault(&span, problem.help(format!("up to {MOST_ELEMENTS} are read")));
        }
        for item in items.iter().take(MOST_ELEMENTS) {
            let span = self.moved(item.span());
            match item.get_ref() {
                DeValue::Table(inner) => read.push(self.table(inner, span, &format!("{path}[]"))),
                _ => {
                    self.fault(&span, Problem::error(format!("each element of {path} is a table")))
                }
            }
        }
        SettingNode { span, what: NodeValue::List(read) }
    }

    fn unknown(&mut self, table: &str, here: &str, name: &str, span: &Range<usize>) {
        let names = self.keys.names_in(table);
        let problem = if is_table(here) || is_list(here) {
            let how = if is_list(here) { "a list of tables" } else { "a table" };
            Problem::error(format!("{here} is {how}"))
        } else {
            Problem::error(format!(
                "\"{name}\" is not a key of {}",
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
                _ if table == "prices" => problem.help(format!(
                    "a price of your own stands in the list own_price: name = \"{name}\", price; known here: {}",
                    names.join(", ")
                )),
                _ => problem.help(format!("known here: {}", names.join(", "))),
            },
        };
        self.fault(span, problem);
    }

    /// Adds defaults and reports what is missing, in this table and below.
    pub(super) fn complete(&mut self, node: &mut SettingNode, path: &str, given: bool) {
        let span = node.span.clone();
        let NodeValue::Table(entries) = &mut node.what else { return };
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
            if matches!(need, Need::Required | Need::Stepped(_)) && self.written.is_faulty(key.path)
            {
                continue;
            }
            match need {
                Need::Optional => {}
                Need::Required | Need::Stepped(_) if given || path == OWN.trim_end_matches('.') => {
                    let what = key.kind.words();
                    let problem = Problem::error(format!("{} is missing: {}", key.path, key.about));
                    let help = match self.written.is_book() {
                        true => format!("fill in {name} ({what})"),
                        false => format!("add {name} = \"...\" ({what})"),
                    };
                    self.fault(&span, problem.help(help));
                }
                Need::Required | Need::Stepped(_) => {}
                Need::Default(_) | Need::Usual(..) => {
                    let text = match need {
                        Need::Usual(_, metric) if self.reading.metric => metric,
                        Need::Default(text) | Need::Usual(text, _) => text,
                        _ => "",
                    };
                    if let Ok(value) = key.kind.read_text(text, self.reading) {
                        entries.insert(
                            name,
                            SettingNode { span: 0..0, what: NodeValue::Value(value) },
                        );
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
                Some(SettingNode { what: NodeValue::List(items), span }) if listed => {
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
                    let help = match (self.written.is_book(), listed) {
                        (true, _) => {
                            let sheet = table.path.replace("[]", "");
                            format!(
                                "fill in sheet {sheet}; rodbook new FILE.xlsx writes a book with every sheet"
                            )
                        }
                        (false, true) => format!("add [[{name}]]{KEYS}"),
                        (false, false) => format!("add [{name}]{KEYS}"),
                    };
                    let problem =
                        Problem::error(format!("{} is missing: {}", table.path, table.about));
                    self.fault(&span, problem.help(help));
                }
                None if table.defaults && !listed && keys.uses(table) => {
                    let mut inner = SettingNode::blank();
                    self.complete(&mut inner, table.path, false);
                    entries.insert(name, inner);
                }
                None => {}
            }
        }
    }
}
