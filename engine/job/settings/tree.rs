//! The tree of the values that settings hold, and one tree over another.

use std::collections::BTreeMap;
use std::ops::Range;

use super::Setting;
use crate::measure::Exact;

#[derive(Debug, Clone)]
pub(super) struct SettingNode {
    pub(super) span: Range<usize>,
    pub(super) what: NodeValue,
}

#[derive(Debug, Clone)]
pub(super) enum NodeValue {
    Table(BTreeMap<String, SettingNode>),
    List(Vec<SettingNode>),
    Value(Setting),
}

/// A value of the standard that the job has its own for.
#[derive(Debug, Clone)]
pub(super) struct Overridden {
    /// Its path.
    pub(super) path: String,
    /// Where the job writes it.
    pub(super) own: Range<usize>,
    /// Where the standard does.
    pub(super) standard: Range<usize>,
}

/// Keys by which the elements of a list are told from each other.
const NAMES: [&str; 3] = ["id", "name", "work"];

impl SettingNode {
    /// A table without entries, that is written nowhere.
    pub(super) fn blank() -> Self {
        Self { span: 0..0, what: NodeValue::Table(BTreeMap::new()) }
    }

    /// The text of an entry.
    pub(super) fn text(&self, name: &str) -> Option<&str> {
        match &self.what {
            NodeValue::Table(entries) => match &entries.get(name)?.what {
                NodeValue::Value(Setting::Text(text)) => Some(text),
                _ => None,
            },
            _ => None,
        }
    }

    /// Its measure, if it is one.
    pub(super) fn measure(&self) -> Option<&Exact> {
        match &self.what {
            NodeValue::Value(Setting::Measure(exact)) => Some(exact),
            _ => None,
        }
    }

    /// The name of an element of a list.
    pub(super) fn name(&self) -> Option<&str> {
        NAMES.iter().find_map(|key| self.text(key))
    }

    /// Removes what a path names; an element of a list by its name. Whether it was there.
    pub(super) fn remove(&mut self, path: &str) -> bool {
        let (word, rest) =
            path.split_once('.').map_or((path, None), |(word, rest)| (word, Some(rest)));
        match (&mut self.what, rest) {
            (NodeValue::Table(entries), None) => entries.remove(word).is_some(),
            (NodeValue::Table(entries), Some(rest)) => {
                entries.get_mut(word).is_some_and(|node| node.remove(rest))
            }
            (NodeValue::List(items), rest) => {
                let Some(at) = items.iter().position(|item| item.name() == Some(word)) else {
                    return false;
                };
                match rest {
                    Some(rest) => items[at].remove(rest),
                    None => {
                        items.remove(at);
                        true
                    }
                }
            }
            (NodeValue::Value(_), _) => false,
        }
    }

    /// This tree over that of a standard. What this one has not holds as the standard has it; elements of a list of the same
    /// name are one, and a list whose elements have no names replaces that of the standard.
    pub(super) fn over(self, standard: Self, path: &str, told: &mut Vec<Overridden>) -> Self {
        let below = |name: &str| match path {
            "" => name.to_owned(),
            path => format!("{path}.{name}"),
        };
        let what = match (self.what, standard.what) {
            (NodeValue::Table(own), NodeValue::Table(mut entries)) => {
                for (name, node) in own {
                    let node = match entries.remove(&name) {
                        Some(standard) => node.over(standard, &below(&name), told),
                        None => node,
                    };
                    entries.insert(name, node);
                }
                NodeValue::Table(entries)
            }
            (NodeValue::List(own), NodeValue::List(items))
                if own.iter().chain(&items).all(|item| item.name().is_some()) =>
            {
                let mut own: Vec<Option<Self>> = own.into_iter().map(Some).collect();
                let mut joined = Vec::new();
                for item in items {
                    let same = own
                        .iter_mut()
                        .find(|own| own.as_ref().is_some_and(|own| own.name() == item.name()));
                    joined.push(match same.and_then(Option::take) {
                        Some(own) => {
                            let path = below(item.name().unwrap_or_default());
                            own.over(item, &path, told)
                        }
                        None => item,
                    });
                }
                joined.extend(own.into_iter().flatten());
                NodeValue::List(joined)
            }
            (NodeValue::Value(own), NodeValue::Value(value)) => {
                if own != value {
                    let (own, standard) = (self.span.clone(), standard.span);
                    told.push(Overridden { path: path.to_owned(), own, standard });
                }
                NodeValue::Value(own)
            }
            (own, _) => {
                if !standard.span.is_empty() {
                    let (own, standard) = (self.span.clone(), standard.span.clone());
                    told.push(Overridden { path: path.to_owned(), own, standard });
                }
                own
            }
        };
        Self { span: self.span, what }
    }
}

/// The value of a path.
pub(super) fn value_at<'a>(root: &'a SettingNode, path: &str) -> Option<&'a Setting> {
    let node = path.split('.').try_fold(root, |node, word| match &node.what {
        NodeValue::Table(entries) => entries.get(word),
        NodeValue::List(items) => items.get(word.parse::<usize>().ok()?),
        NodeValue::Value(_) => None,
    });
    match &node?.what {
        NodeValue::Value(value) => Some(value),
        _ => None,
    }
}

pub(super) fn values_of<'a>(
    node: &'a SettingNode,
    path: String,
    found: &mut Vec<(String, &'a Range<usize>, &'a Setting)>,
) {
    match &node.what {
        NodeValue::Value(value) => found.push((path, &node.span, value)),
        NodeValue::Table(entries) => {
            for (name, entry) in entries {
                let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                values_of(entry, path, found);
            }
        }
        NodeValue::List(items) => {
            for (index, item) in items.iter().enumerate() {
                values_of(item, format!("{path}.{index}"), found);
            }
        }
    }
}
