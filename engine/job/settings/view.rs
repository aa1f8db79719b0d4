//! One table of the settings, to read values from.

use super::tree::{NodeValue, SettingNode};
use super::written::mark;
use super::{MISSING, Setting, Settings};
use crate::measure::{Exact, Nm, Style};
use crate::problem::Problem;

/// One table of the settings, to read values from.
#[derive(Debug, Clone, Copy)]
pub(in crate::job) struct View<'a> {
    pub(super) settings: &'a Settings,
    pub(super) node: &'a SettingNode,
}

impl<'a> View<'a> {
    /// How the job writes measures.
    pub(in crate::job) fn style(self) -> Style {
        self.settings.style()
    }

    pub(super) fn get(self, name: &str) -> Option<&'a SettingNode> {
        match &self.node.what {
            NodeValue::Table(entries) => entries.get(name),
            _ => None,
        }
    }

    fn value(self, name: &str) -> Option<&'a Setting> {
        match &self.get(name)?.what {
            NodeValue::Value(value) => Some(value),
            _ => None,
        }
    }

    /// Puts a problem at a key of this table, or at the table.
    pub(in crate::job) fn place(self, name: &str, problem: Problem) -> Problem {
        let span = self.get(name).map_or(&self.node.span, |node| &node.span);
        mark(&self.settings.written, span, problem)
    }

    fn missing(self, name: &str) -> Problem {
        self.place(name, Problem::error(format!("{name}{MISSING}")))
    }

    pub(in crate::job) fn table(self, name: &str) -> Option<View<'a>> {
        let node = self.get(name)?;
        matches!(node.what, NodeValue::Table(_)).then_some(View { node, ..self })
    }

    pub(in crate::job) fn need_table(self, name: &str) -> Result<View<'a>, Problem> {
        self.table(name).ok_or_else(|| self.missing(name))
    }

    pub(in crate::job) fn list(self, name: &str) -> Vec<View<'a>> {
        match self.get(name).map(|node| &node.what) {
            Some(NodeValue::List(items)) => {
                items.iter().map(|node| View { node, ..self }).collect()
            }
            _ => Vec::new(),
        }
    }

    pub(in crate::job) fn maybe_text(self, name: &str) -> Option<&'a str> {
        match self.value(name)? {
            Setting::Text(text) => Some(text),
            _ => None,
        }
    }

    pub(in crate::job) fn text(self, name: &str) -> Result<&'a str, Problem> {
        self.maybe_text(name).ok_or_else(|| self.missing(name))
    }

    pub(in crate::job) fn texts(self, name: &str) -> &'a [String] {
        match self.value(name) {
            Some(Setting::Texts(texts)) => texts,
            Some(Setting::Text(text)) => std::slice::from_ref(text),
            _ => &[],
        }
    }

    pub(in crate::job) fn maybe_length(self, name: &str) -> Option<Nm> {
        match self.value(name)? {
            Setting::Length(length) => Some(*length),
            _ => None,
        }
    }

    pub(in crate::job) fn length(self, name: &str) -> Result<Nm, Problem> {
        self.maybe_length(name).ok_or_else(|| self.missing(name))
    }

    pub(in crate::job) fn maybe_count(self, name: &str) -> Option<i64> {
        match self.value(name)? {
            Setting::Count(count) => Some(*count),
            _ => None,
        }
    }

    pub(in crate::job) fn count(self, name: &str) -> Result<i64, Problem> {
        self.maybe_count(name).ok_or_else(|| self.missing(name))
    }

    pub(in crate::job) fn maybe_measure(self, name: &str) -> Option<Exact> {
        match self.value(name)? {
            Setting::Measure(exact) => Some(exact.clone()),
            _ => None,
        }
    }

    pub(in crate::job) fn measure(self, name: &str) -> Result<Exact, Problem> {
        self.maybe_measure(name).ok_or_else(|| self.missing(name))
    }

    pub(in crate::job) fn stations(self, name: &str) -> Option<&'a [(Nm, Nm)]> {
        match self.value(name)? {
            Setting::Stations(pairs) => Some(pairs),
            _ => None,
        }
    }
}
