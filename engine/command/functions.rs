//! `functions`: the trade functions by family, or one of them in full.

use serde_json::{Value, json};

use super::args::FunctionsArgs;
use super::readable::readable;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::catalogue::{Family, Function, Parameter, ValueKind, find, functions};
use crate::measure::{Dimension, unit};
use crate::problem::{Problem, closest};
use crate::script::entry;
use crate::source;

/// Whether a function takes or gives measures of a dimension.
fn has_dimension(function: &Function, wanted: Dimension) -> bool {
    let is = |kind: ValueKind| match kind {
        ValueKind::Measure(dimension) | ValueKind::List(dimension) => dimension == wanted,
        ValueKind::Record(fields) => {
            fields.iter().any(|field| field.kind == ValueKind::Measure(wanted))
        }
        _ => false,
    };
    is(function.result) || function.parameters.iter().any(|parameter| is(parameter.kind))
}

/// Whether a function is what is looked for: by its name, a text that it or its family has, or a unit.
fn fits(function: &Function, wanted: &str) -> bool {
    let lower = wanted.to_lowercase();
    let holds = |text: &str| text.to_lowercase().contains(&lower);
    let of_unit = unit(wanted).is_ok_and(|unit| has_dimension(function, unit.dimension()));
    of_unit || holds(function.name) || holds(function.summary) || holds(function.family.title())
}

/// A function for other programs.
fn as_json(function: &Function) -> Value {
    let field = |name: &str, kind: ValueKind, about: &str| json!({ "name": name, "kind": kind.to_string(), "about": about });
    let input = |parameter: &Parameter| {
        let mut input = field(parameter.name, parameter.kind, parameter.about);
        input["range"] = Some(parameter.range()).filter(|range| !range.is_empty()).into();
        input["default"] = parameter.default.into();
        if let ValueKind::Choice(names) = parameter.kind {
            input["choices"] = names.into();
        }
        input
    };
    let mut result = json!({ "kind": function.result.to_string(), "about": function.result_about });
    if let ValueKind::Record(fields) = function.result {
        let fields = fields.iter().map(|one| field(one.name, one.kind, one.about));
        result["fields"] = fields.collect::<Vec<_>>().into();
    }
    let source = source::find(function.source);
    json!({
        "name": function.name,
        "family": function.family.title(),
        "signature": function.signature(),
        "summary": function.summary,
        "inputs": function.parameters.iter().map(input).collect::<Vec<_>>(),
        "result": result,
        "errors": function.errors,
        "example": function.example,
        "prints": function.prints,
        "source": source.map(|source| source.title),
        "standing": source.map(|source| source.standing.to_string()),
    })
}

/// Lists every function, those that are looked for, or one in full.
pub(super) fn list(args: &FunctionsArgs) -> Exit {
    let wanted = args.name.as_deref().unwrap_or_default();
    if args.json {
        let one =
            |f: &&Function| find(wanted).map_or_else(|| fits(f, wanted), |one| one.name == f.name);
        let all: Vec<Value> = functions().filter(one).map(as_json).collect();
        if !all.is_empty() {
            let page = json!({
                "format": "rodbook functions 1",
                "version": env!("CARGO_PKG_VERSION"),
                "functions": all,
            });
            print(&serde_json::to_string_pretty(&page).unwrap_or_default());
            return Exit::Done;
        }
    } else if let Some(function) = find(wanted) {
        print(&readable(entry(function).trim()));
        return Exit::Done;
    }
    let mut lines: Vec<String> = Vec::new();
    for family in Family::ALL {
        let found: Vec<_> =
            functions().filter(|f| f.family == family).filter(|f| fits(f, wanted)).collect();
        if !found.is_empty() {
            lines.push(format!("{}{}", if lines.is_empty() { "" } else { "\n" }, family.title()));
            lines.extend(found.iter().map(|f| format!("  {}\n      {}", f.signature(), f.summary)));
        }
    }
    if lines.is_empty() {
        let problem =
            Problem::error(format!("no trade function is called {wanted} or speaks of it"));
        let problem = match closest(wanted, functions().map(|function| function.name)) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help(
                "rodbook functions lists them all; those over rows, such as value_between and sum_where, are on page SHEETS.md",
            ),
        };
        return faults(&problem.into());
    }
    print(&lines.join("\n"));
    Exit::Done
}
