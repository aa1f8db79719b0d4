//! Names after a dot, before anything runs: a column of a listing that is misspelt.

use std::collections::BTreeSet;

use rhai::{AST, ASTNode, Expr, Position};

use crate::catalogue::{Kind, functions};
use crate::footing::Hook;
use crate::measure::unit_names;
use crate::problem::{Problem, closest};
use crate::takeoff::SOURCES;

/// Names after a dot that nothing has and that are close to one that there is: a column, a listing, a result, a unit. A script that imports others, or is a
/// rule of steps, is let be: what it is given has names of its own.
pub(super) fn misspelt(ast: &AST) -> Vec<(Problem, Position)> {
    let rule = |name: &str| Hook::ALL.iter().any(|hook| hook.name() == name);
    if ast.iter_functions().any(|function| rule(function.name)) {
        return Vec::new();
    }
    let mut known: BTreeSet<String> = unit_names().map(str::to_owned).collect();
    known.extend(["length", "total", "count", "inch"].map(str::to_owned));
    for function in functions() {
        if let Kind::Record(fields) = function.result {
            known.extend(fields.iter().map(|field| field.name.to_owned()));
        }
    }
    let listings = || SOURCES.iter().map(|source| source.declaration);
    let columns = || {
        let inside = listings().flat_map(|listing| listing.columns.iter().map(|one| one.name));
        listings().map(|listing| listing.name).chain(inside)
    };
    known.extend(columns().map(str::to_owned));
    let mut asked: Vec<(String, Position)> = Vec::new();
    let mut imports = false;
    ast.walk(&mut |path| {
        match path.last() {
            Some(ASTNode::Expr(Expr::Property(property, position))) => {
                asked.push((property.2.to_string(), *position));
            }
            // A map of the script's own, by literal or by index.
            Some(ASTNode::Expr(Expr::Map(map, _))) => {
                known.extend(map.0.iter().map(|(name, _)| name.name.to_string()));
            }
            Some(ASTNode::Expr(Expr::StringConstant(text, _))) => {
                known.insert(text.to_string());
            }
            Some(ASTNode::Stmt(rhai::Stmt::Import(..))) => imports = true,
            _ => {}
        }
        true
    });
    if imports {
        return Vec::new();
    }
    asked.retain(|(name, _)| !known.contains(name));
    let told = asked.into_iter().filter_map(|(name, position)| {
        let near = closest(&name, known.iter().map(String::as_str))?;
        let problem = Problem::error(format!("nothing has a \"{name}\""));
        Some((problem.help(format!("did you mean {near}?")), position))
    });
    told.collect()
}
