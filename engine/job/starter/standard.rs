//! A new job over the company's standard: it does not say again what the standard gives.

use toml::de::{DeTable, DeValue};

/// A starter without what the standard gives: a line under each heading says which keys that are. The starter itself where
/// one of the two cannot be read; the job tells what is wrong then.
pub(super) fn over_standard(starter: &str, standard: &str) -> String {
    let (Ok(job), Ok(given)) = (DeTable::parse(starter), DeTable::parse(standard)) else {
        return starter.to_owned();
    };
    let given = given.get_ref();
    let mut lines: Vec<Option<String>> =
        starter.split_inclusive('\n').map(|line| Some(line.to_owned())).collect();
    let line_at = |at: usize| starter[..at.min(starter.len())].matches('\n').count();
    for (table, value) in job.get_ref() {
        let Some(standard) = given.get(table.get_ref().as_ref()).map(|value| value.get_ref())
        else {
            continue;
        };
        match (value.get_ref(), standard) {
            (DeValue::Table(own), DeValue::Table(standard)) => {
                let mut same: Vec<&str> = Vec::new();
                let has = |key: &str| {
                    standard.contains_key(key)
                        || table.get_ref() == "prices" && own_prices(given).contains(&key)
                };
                for (key, value) in own.iter().filter(|(key, _)| has(key.get_ref())) {
                    lines[line_at(key.span().start)..=line_at(value.span().end)].fill(None);
                    same.push(key.get_ref());
                }
                let heading = line_at(table.span().start);
                if let (Some(Some(line)), false) = (lines.get_mut(heading), same.is_empty()) {
                    line.push_str(&format!("# from the company's standard: {}\n", same.join(", ")));
                }
            }
            // Its elements are the company's: an invented one beside them would only be in the way.
            (DeValue::Array(own), DeValue::Array(_)) => {
                for item in own.iter() {
                    let first = line_at(item.span().start);
                    let after = lines.iter().skip(first + 1).position(|line| {
                        line.as_ref()
                            .is_some_and(|line| line.starts_with('[') || line.starts_with('#'))
                    });
                    let end = after.map_or(lines.len(), |after| first + 1 + after);
                    lines[first..end].fill(None);
                }
            }
            _ => {}
        }
    }
    lines.into_iter().flatten().collect()
}

/// Names of the prices that a standard gives as own ones.
fn own_prices<'a>(standard: &'a DeTable) -> Vec<&'a str> {
    let Some(DeValue::Array(items)) = standard.get("own_price").map(|list| list.get_ref()) else {
        return Vec::new();
    };
    let name = |item: &'a DeValue| match item {
        DeValue::Table(entries) => entries.get("name")?.get_ref().as_str(),
        _ => None,
    };
    items.iter().filter_map(|item| name(item.get_ref())).collect()
}
