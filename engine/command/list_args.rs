//! What the command line says of a shot list.

use super::args::ListArgs;
use crate::problem::{Faults, Outcome, Problem, closest};
use crate::survey::{Asked, AskedBy, LengthUnit, Role};
use crate::table::DecimalMark;

impl ListArgs {
    /// The options as the reader of lists takes them.
    pub(super) fn asked(&self) -> Outcome<Asked> {
        let mut faults = Faults::none();
        let mut asked =
            Asked { heading_row: self.heading_row, by: AskedBy::Options, ..Asked::default() };
        for text in &self.columns {
            columns(text, &mut asked, &mut faults);
        }
        for text in self.unit.iter().flat_map(|text| text.split(',')) {
            unit(text.trim(), &mut asked, &mut faults);
        }
        if let Some(word) = &self.decimal {
            asked.decimal = DecimalMark::parse(word);
            if asked.decimal.is_none() {
                faults.push(
                    Problem::error(format!("--decimal {word}: there is no such mark"))
                        .help("point or comma"),
                );
            }
        }
        faults.or_value(Some(asked))
    }

    /// The codes that are read; none means all.
    pub(super) fn codes(&self) -> Vec<String> {
        let codes = self.code.iter().flat_map(|text| text.split(','));
        codes.map(|code| code.trim().to_owned()).collect()
    }
}

fn role(name: &str, option: &str) -> Result<Role, Problem> {
    Role::named(name).ok_or_else(|| {
        let names = Role::ALL.map(Role::name);
        let problem = Problem::error(format!("{option}: no column is a \"{name}\""));
        match closest(name, names) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help(format!("one of {}", names.join(", "))),
        }
    })
}

/// Pairs such as `northing=Y`, or roles in the order of the columns.
fn columns(text: &str, asked: &mut Asked, faults: &mut Faults) {
    let option = format!("--columns {text}");
    if !text.contains('=') {
        for (name, number) in text.split(',').map(str::trim).zip(1..) {
            if matches!(name, "-" | "") {
                continue;
            }
            let read = role(name, &option);
            asked.columns.extend(faults.keep_one(read).map(|role| (role, number.to_string())));
        }
        return;
    }
    // A heading may hold a comma: what has no equals sign belongs to the pair before it.
    let mut pairs: Vec<String> = Vec::new();
    for part in text.split(',') {
        match pairs.last_mut() {
            Some(last) if !part.contains('=') => last.push_str(&format!(",{part}")),
            _ => pairs.push(part.to_owned()),
        }
    }
    for pair in pairs {
        let (name, heading) = pair.split_once('=').unwrap_or((&pair, ""));
        let read = role(name.trim(), &option);
        if let Some(role) = faults.keep_one(read) {
            asked.columns.push((role, heading.trim().to_owned()));
        }
    }
}

/// A unit of all columns, or `station=m`.
fn unit(text: &str, asked: &mut Asked, faults: &mut Faults) {
    let option = format!("--unit {text}");
    let read = |name: &str| {
        LengthUnit::parse(name).ok_or_else(|| {
            Problem::error(format!("{option}: there is no such unit"))
                .help(format!("one of {}", LengthUnit::NAMES.join(", ")))
        })
    };
    match text.split_once('=') {
        None => asked.unit = faults.keep_one(read(text)).map(|unit| (unit, option.clone())),
        Some((name, unit)) => {
            let pair = (faults.keep_one(role(name.trim(), &option)), faults.keep_one(read(unit)));
            if let (Some(role), Some(unit)) = pair {
                asked.units.push((role, unit));
            }
        }
    }
}
