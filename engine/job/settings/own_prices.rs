//! The list `[[own_price]]`: each is the key `prices.NAME` from then on, with a supplier and a date.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use super::super::keys::price_key;
use super::super::{Key, Keys};
use super::Setting;
use super::tree::{NodeValue, SettingNode};
use crate::problem::Problem;
use crate::sheet::name_of;
use crate::takeoff::is_plain_word;

/// The list.
const LIST: &str = "own_price";

/// The keys of its name and price.
pub(super) const NAME: &str = "own_price[].name";
pub(super) const PRICE: &str = "own_price[].price";

/// An element of it.
pub(super) const ELEMENT: &str = "own_price[]";

/// The keys of the prices that a text names, as far as they can be read.
pub(super) fn keys(root: &DeTable) -> Vec<Key> {
    let Some(DeValue::Array(items)) = root.get(LIST).map(|list| list.get_ref()) else {
        return Vec::new();
    };
    let key = |item: &DeValue| {
        let DeValue::Table(entries) = item else { return None };
        let text = |name: &str| match entries.get(name)?.get_ref() {
            DeValue::String(text) => Some(text.as_ref()),
            _ => None,
        };
        price_key(&in_formulas(text("name")?), text("price")?, text("what"))
    };
    items.iter().filter_map(|item| key(item.get_ref())).collect()
}

/// The name of a price in formulas: "drain pipe" is drain_pipe there.
fn in_formulas(name: &str) -> String {
    if is_plain_word(name) { name.to_owned() } else { name_of(name) }
}

/// Moves the price of each element to `prices.NAME`; what cannot be moved is told with its span.
pub(super) fn placed(tree: &mut SettingNode, keys: &Keys) -> Vec<(Range<usize>, Problem)> {
    let NodeValue::Table(root) = &mut tree.what else { return Vec::new() };
    let Some(SettingNode { what: NodeValue::List(items), .. }) = root.get_mut(LIST) else {
        return Vec::new();
    };
    let mut told = Vec::new();
    let mut prices = Vec::new();
    for item in items {
        let Some(name) = item.text("name").map(in_formulas) else { continue };
        let NodeValue::Table(entries) = &mut item.what else { continue };
        if let Some(node) = entries.get_mut("name") {
            node.what = NodeValue::Value(Setting::Text(name.clone()));
        }
        let named = entries.get("name").map_or_else(|| item.span.clone(), |name| name.span.clone());
        match entries.remove("price") {
            Some(price) => prices.push((name, named, price)),
            None => {
                let problem = Problem::error(format!("own price {name} has no price"));
                told.push((item.span.clone(), problem.help("add price = \"2.40 usd\"")));
            }
        }
    }
    if prices.is_empty() {
        return told;
    }
    let table = root.entry("prices".to_owned()).or_insert_with(SettingNode::blank);
    let NodeValue::Table(entries) = &mut table.what else { return told };
    for (name, named, price) in prices {
        // What is no price was told when it was read.
        let Some(given) = price.measure().map(|exact| exact.dimension) else { continue };
        let span = price.span.clone();
        match keys.find(&format!("prices.{name}")) {
            None => {
                let problem = Problem::error(format!("no formula could name a price \"{name}\""));
                told.push((named, problem.help("a name has small letters, digits and _ and begins with a letter, such as form_oil")));
            }
            Some(key) => match key.kind.dimension() {
                Some(wanted) if given != wanted => {
                    let problem = Problem::error(format!("{wanted} was expected, this is {given}"));
                    told.push((span, problem.help(format!("prices.{name} is {}", key.about))));
                }
                _ => {
                    if entries.insert(name.clone(), price).is_some() {
                        let problem = Problem::error(format!("prices.{name} is given twice"));
                        told.push((span, problem.help("it stands among the prices too: take it out there, and this one keeps its supplier and date")));
                    }
                }
            },
        }
    }
    told
}

/// Takes out of a standard the suppliers and dates of prices that the job gives itself.
pub(super) fn give_way(standard: &mut SettingNode, job: &SettingNode) {
    let NodeValue::Table(entries) = &job.what else { return };
    let Some(SettingNode { what: NodeValue::Table(prices), .. }) = entries.get("prices") else {
        return;
    };
    for name in prices.keys() {
        forget(standard, name);
    }
}

/// Takes the supplier and the date of a price out; whether there were any.
pub(super) fn forget(root: &mut SettingNode, name: &str) -> bool {
    let NodeValue::Table(root) = &mut root.what else { return false };
    let Some(SettingNode { what: NodeValue::List(items), .. }) = root.get_mut(LIST) else {
        return false;
    };
    let item = items.iter_mut().find(|item| item.text("name") == Some(name));
    match item.map(|item| &mut item.what) {
        Some(NodeValue::Table(entries)) => {
            let gone = ["supplier", "date"].map(|key| entries.remove(key));
            gone.iter().any(Option::is_some)
        }
        _ => false,
    }
}
