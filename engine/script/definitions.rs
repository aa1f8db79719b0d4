//! Definitions of the trade functions for editors that know the script language.

use std::fmt::Write as _;

use crate::catalogue::{Function, ValueKind, functions};

const HEAD: &str = "// Trade functions for editors of rhai scripts. Generated from the catalogue: edit that, then run `cargo run -- generate`.
module static;
";

/// The definition file.
pub fn definitions() -> String {
    let mut text = HEAD.to_owned();
    for function in functions() {
        // What has a default may be left out: a definition for each number of inputs.
        for count in function.required()..=function.parameters.len() {
            define(&mut text, function, count);
        }
    }
    text
}

fn define(text: &mut String, function: &Function, count: usize) {
    let inputs = &function.parameters[..count];
    // Writing to a string cannot fail.
    let _ = writeln!(text, "\n/// {}", function.summary);
    for input in inputs {
        let _ = writeln!(text, "/// - `{}`: {}; {}", input.name, input.kind, input.about);
    }
    let _ = writeln!(text, "/// Result: {}; {}.", function.result, function.result_about);
    let inputs: Vec<String> =
        inputs.iter().map(|input| format!("{}: {}", input.name, type_of(input.kind))).collect();
    let result = type_of(function.result);
    let _ = writeln!(text, "fn {}({}) -> {result};", function.name, inputs.join(", "));
}

fn type_of(kind: ValueKind) -> &'static str {
    match kind {
        ValueKind::Measure(_) => "Measure",
        ValueKind::Number => "float",
        ValueKind::Text | ValueKind::Choice(_) => "String",
        ValueKind::Flag => "bool",
        ValueKind::List(_) => "Array",
        ValueKind::Record(_) => "Map",
        ValueKind::Job => "Job",
        ValueKind::Ground => "Ground",
        ValueKind::Layout => "Layout",
        ValueKind::Parts => "Parts",
    }
}
