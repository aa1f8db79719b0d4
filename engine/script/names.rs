//! Names after a dot, before anything runs: a column of a listing that is misspelt.

use std::collections::BTreeSet;

use rhai::{AST, ASTNode, Expr, Position};

use crate::catalogue::{ValueKind, functions};
use crate::footing::RuleHook;
use crate::measure::unit_names;
use crate::problem::{Problem, closest};
use crate::takeoff::SOURCES;

/// Names after a dot that nothing has and that are close to one that there is: a column, a listing, a result, a unit. A script that imports others, or is a
/// rule of steps, is let be: what it is given has names of its own.
pub(super) fn misspelt(ast: &AST, text: &str, own: &BTreeSet<String>) -> Vec<(Problem, Position)> {
    let rule = |name: &str| RuleHook::ALL.iter().any(|hook| hook.name() == name);
    if ast.iter_functions().any(|function| rule(function.name)) {
        return Vec::new();
    }
    let mut known: BTreeSet<String> = BTreeSet::new();
    let mut asked: Vec<(String, Position)> = Vec::new();
    let mut foreign = false;
    ast.walk(&mut |path| {
        match path.last() {
            Some(ASTNode::Expr(Expr::Property(property, position))) => {
                asked.push((property.2.to_string(), *position));
            }
            Some(ASTNode::Expr(Expr::DynamicConstant(value, _))) => keys(value, &mut known),
            Some(ASTNode::Expr(Expr::FnCall(call, _))) if call.name == "parse_json" => {
                foreign = true
            }
            // A map of the script's own, by literal or by index.
            Some(ASTNode::Expr(Expr::Map(map, _))) => {
                known.extend(map.0.iter().map(|(name, _)| name.name.to_string()));
            }
            Some(ASTNode::Expr(Expr::StringConstant(text, _))) => {
                known.insert(text.to_string());
            }
            Some(ASTNode::Stmt(rhai::Stmt::Import(..))) => foreign = true,
            _ => {}
        }
        true
    });
    if foreign || asked.is_empty() {
        return Vec::new();
    }
    known.extend(unit_names().map(str::to_owned));
    known.extend(["length", "total", "count", "inch"].map(str::to_owned));
    for function in functions() {
        if let ValueKind::Record(fields) = function.result {
            known.extend(fields.iter().map(|field| field.name.to_owned()));
        }
    }
    let listings = || SOURCES.iter().map(|source| source.declaration);
    let columns = || {
        let inside = listings().flat_map(|listing| listing.columns.iter().map(|one| one.name));
        listings().map(|listing| listing.name).chain(inside)
    };
    known.extend(columns().map(str::to_owned));
    asked.retain(|(name, _)| !own.contains(name) && !known.contains(name) && !is_given(name, text));
    let told = asked.into_iter().filter_map(|(name, position)| {
        // Close to a column: only then is it one that is meant.
        closest(&name, columns())?;
        let near = closest(&name, known.iter().map(String::as_str))?;
        let problem = Problem::error(format!("nothing has a \"{name}\""));
        Some((problem.help(format!("did you mean {near}?")), position))
    });
    told.collect()
}

/// The keys of a map that is a constant, and of those inside it.
fn keys(value: &rhai::Dynamic, known: &mut BTreeSet<String>) {
    if let Some(map) = value.read_lock::<rhai::Map>() {
        for (name, inside) in map.iter() {
            known.insert(name.to_string());
            keys(inside, known);
        }
    } else if let Some(list) = value.read_lock::<rhai::Array>() {
        list.iter().for_each(|inside| keys(inside, known));
    }
}

/// Whether a script gives a value to a name after a dot: `m.name = 1`.
fn is_given(name: &str, text: &str) -> bool {
    text.match_indices(&format!(".{name}")).any(|(at, found)| {
        let rest = text[at + found.len()..].trim_start();
        rest.starts_with('=') && !rest.starts_with("==")
    })
}
