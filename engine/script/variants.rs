//! Variants that a script makes: `fn variants(job)`.

use rhai::{Array, Dynamic, Map};

use std::sync::Arc;

use super::fault::ScriptFault;
use super::host::{Host, has};
use super::measures::quantity;
use crate::catalogue::Object;
use crate::files::FoundFile;
use crate::measure::{Dimension, Style, known_unit, number_unit, written};
use crate::problem::{Place, Problem};
use crate::takeoff::WallJob;

/// Name of a variant, and its settings with their texts.
pub type ScriptVariant = (String, Vec<(String, String)>);

impl Host {
    /// The variants of a script: its `fn variants(job)` returns a list of `#{ name: "deep", set: #{ "rules.frost_depth": 3.ft } }`.
    ///
    /// # Errors
    /// The script is faulty, has no such function, or returns something else.
    pub fn variants(
        &self,
        script: &FoundFile,
        job: &Arc<WallJob>,
    ) -> Result<Vec<ScriptVariant>, ScriptFault> {
        let ast = self.compile(script)?;
        let wrong = |message: String| {
            Problem::error(message)
                .at(Place::file(&script.shown))
                .help("fn variants(job) returns a list of #{ name: \"deep\", set: #{ \"rules.frost_depth\": 3.ft } }")
        };
        if !has(&ast, "variants", 1) {
            return Err(wrong("this script has no fn variants(job)".to_owned()).into());
        }
        let result = self.call(&ast, script, "variants", (Object::Job(job.clone()),))?;
        let Some(list) = result.try_cast::<Array>() else {
            return Err(wrong("fn variants(job) returns no list".to_owned()).into());
        };
        let one = |(at, item): (usize, Dynamic)| {
            let no = || wrong(format!("variant {} is none", at + 1));
            let mut item = item.try_cast::<Map>().ok_or_else(no)?;
            let name = item.remove("name").and_then(|name| name.into_string().ok());
            let set = item.remove("set").and_then(|set| set.try_cast::<Map>());
            let (Some(name), Some(set), true) = (name, set, item.is_empty()) else {
                return Err(no());
            };
            let value = |(path, value): (rhai::Identifier, Dynamic)| {
                let text = text_of(&value, &job.style);
                let text = text.ok_or_else(|| {
                    wrong(format!("variant {name}: {path} is set to what is not a value"))
                })?;
                Ok((path.to_string(), text))
            };
            let set = set.into_iter().map(value).collect::<Result<Vec<_>, Problem>>()?;
            Ok((name, set))
        };
        let variants = list.into_iter().enumerate().map(one);
        let variants = variants.collect::<Result<Vec<_>, Problem>>()?;
        for (at, (name, _)) in variants.iter().enumerate() {
            if variants[..at].iter().any(|(known, _)| known == name) {
                return Err(Problem::error(format!("two variants are called {name}"))
                    .help("put into the name what is different")
                    .into());
            }
        }
        Ok(variants)
    }
}

/// A value as one types it.
fn text_of(value: &Dynamic, style: &Style) -> Option<String> {
    if let Some(text) = value.read_lock::<rhai::ImmutableString>() {
        return Some(text.to_string());
    }
    let quantity = quantity(value)?;
    if quantity.dimension() == Dimension::NUMBER {
        return Some(written(quantity.base()));
    }
    let name = style.unit(quantity.dimension());
    let unit = known_unit(number_unit(&name))?;
    Some(format!("{} {}", written(quantity.in_unit(&unit).ok()?), number_unit(&name)))
}
