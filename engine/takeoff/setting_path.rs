//! Paths of settings: an element of a list by its number, its id or its name.

use super::{SettingValue, WallJob};

impl WallJob {
    /// Path of a setting as the job keeps it: an element of a list by its number, also where it is called by its id or name.
    pub fn setting_path(&self, path: &str) -> Option<String> {
        if self.settings.contains_key(path) {
            return Some(path.to_owned());
        }
        let mut actual = String::new();
        for word in path.split('.') {
            let word = self.element_of(&actual, word).unwrap_or_else(|| word.to_owned());
            actual = if actual.is_empty() { word } else { format!("{actual}.{word}") };
        }
        self.settings.contains_key(&actual).then_some(actual)
    }

    /// The same path with the ids and names of elements in place of their numbers.
    pub fn setting_by_id(&self, path: &str) -> String {
        let (mut actual, mut shown) = (String::new(), Vec::new());
        for word in path.split('.') {
            let at = format!("{actual}.{word}");
            let own = word.parse::<usize>().ok().and_then(|_| self.called(&at));
            let own = own.filter(|own| self.element_of(&actual, own).as_deref() == Some(word));
            shown.push(own.unwrap_or(word).to_owned());
            actual = if actual.is_empty() { word.to_owned() } else { at };
        }
        shown.join(".")
    }

    /// What an element of a list is called, where that can stand in a path.
    fn called(&self, element: &str) -> Option<&str> {
        let text = ["id", "name"].iter().find_map(|key| {
            match &self.settings.get(&format!("{element}.{key}"))?.value {
                SettingValue::Text(text) => Some(text.as_str()),
                _ => None,
            }
        });
        text.filter(|text| text.chars().all(|c| c.is_alphanumeric() || c == '_'))
    }

    /// The number of the one element that is called so.
    fn element_of(&self, list: &str, name: &str) -> Option<String> {
        let elements = (0..).map(|at| format!("{list}.{at}"));
        let there = |element: &String| {
            let own = format!("{element}.");
            let first = self.settings.range(own.clone()..).next();
            first.is_some_and(|(key, _)| key.starts_with(&own))
        };
        let is = |(_, element): &(usize, String)| self.called(element) == Some(name);
        let mut found = elements.take_while(there).enumerate().filter(is).map(|(at, _)| at);
        // Of several stretches of one name it would be anyone's.
        let one = found.next().filter(|_| found.next().is_none());
        one.filter(|_| !list.is_empty()).map(|at| at.to_string())
    }
}
