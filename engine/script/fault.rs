//! What a script did wrong, with its line and column.

use std::collections::BTreeMap;
use std::sync::Arc;

use rhai::{Dynamic, EvalAltResult, ParseError, ParseErrorType, Position};

use super::host::{FULL, PRINTED};
use crate::catalogue::{self, Fault};
use crate::footing::{NoLayout, Site};
use crate::measure::unit_names;
use crate::problem::{Excerpt, Faults, Place, Problem, closest};

/// Why a script has no result.
#[derive(Debug, Clone)]
pub enum ScriptFault {
    /// Something is wrong in it, or in what it was given.
    Problems(Faults),
    /// No layout of steps is legal.
    NoLayout(Box<NoLayout>, Arc<Site>),
}

impl From<Faults> for ScriptFault {
    fn from(faults: Faults) -> Self {
        Self::Problems(faults)
    }
}

impl From<Problem> for ScriptFault {
    fn from(problem: Problem) -> Self {
        Self::Problems(problem.into())
    }
}

/// Texts of the scripts by name, for the lines that messages show.
pub(super) type Texts = BTreeMap<String, String>;

/// Raises a fault inside a script.
pub(super) fn raise(fault: impl Into<Fault>, position: Position) -> Box<EvalAltResult> {
    EvalAltResult::ErrorRuntime(Dynamic::from(Arc::new(fault.into())), position).into()
}

/// Turns an evaluation error into a fault with its place.
pub(super) fn explain(
    error: &EvalAltResult,
    main: &str,
    texts: &Texts,
    known: &[String],
) -> ScriptFault {
    let (inner, source) = innermost(error, main);
    let position = inner.position();
    if let EvalAltResult::ErrorRuntime(value, _) = inner
        && let Some(fault) = value.clone().try_cast::<Arc<Fault>>()
    {
        return match &*fault {
            Fault::NoLayout(reason, site) => ScriptFault::NoLayout(reason.clone(), site.clone()),
            Fault::Problem(problem) => place(problem.clone(), source, position, texts).into(),
        };
    }
    place(words(inner, known), source, position, texts).into()
}

/// The error itself, out of the calls and modules around it, and the script that it stands in.
fn innermost<'a>(error: &'a EvalAltResult, main: &'a str) -> (&'a EvalAltResult, &'a str) {
    let (mut error, mut source) = (error, main);
    loop {
        match error {
            EvalAltResult::ErrorInFunctionCall(_, script, inner, _) => {
                if !script.is_empty() {
                    source = script;
                }
                error = inner;
            }
            EvalAltResult::ErrorInModule(script, inner, _) => {
                source = script;
                error = inner;
            }
            _ => return (error, source),
        }
    }
}

fn words(error: &EvalAltResult, known: &[String]) -> Problem {
    use EvalAltResult as E;
    match error {
        E::ErrorParsing(kind, _) => parse_words(kind),
        E::ErrorVariableNotFound(name, _) => {
            let problem = Problem::error(format!("nothing is called \"{name}\" here"));
            match catalogue::find(name) {
                Some(function) => problem.help(format!("a function: {}", function.signature())),
                None => suggest(problem, name, known),
            }
        }
        E::ErrorFunctionNotFound(signature, _) => {
            let name = signature.split(['(', ' ']).next().unwrap_or(signature);
            match catalogue::find(name) {
                Some(function) => {
                    let given = signature.matches(',').count() + usize::from(!signature.ends_with("()"));
                    let missing = function.parameters.get(given).filter(|_| given < function.required());
                    let problem = Problem::error(match missing {
                        Some(input) => format!("{name}: input {} is missing", input.name),
                        None => format!("{name} takes {} inputs, {given} are given", function.parameters.len()),
                    });
                    problem.help(function.signature())
                }
                None => {
                    let words = plain(signature);
                    if words.contains("nothing") {
                        return Problem::error(format!("there is no function for this: {words}"))
                            .help("one of the values is none: a result that does not apply here");
                    }
                    let problem = Problem::error(format!("there is no function for this: {words}"));
                    if name == "**" {
                        return problem.help("a measure takes a whole power, such as width ** 2; the square root is root(area)");
                    }
                    suggest(problem, name, known)
                }
            }
        }
        E::ErrorDotExpr(what, _) => dot_words(what),
        E::ErrorTooManyOperations(_) => Problem::error("the script ran too long and was stopped")
            .help("look for a loop that never ends; a takeoff takes a few thousand steps, the limit is 50 million"),
        E::ErrorTerminated(why, _) if why.clone().into_string().is_ok_and(|why| why == PRINTED) => {
            Problem::error("the script printed more than a million letters and was stopped")
                .help("print results, not steps")
        }
        E::ErrorTerminated(why, _) if why.clone().into_string().is_ok_and(|why| why == FULL) => {
            Problem::error("the script asks for too much memory: more than 512 MB")
                .help("look for a list or map that grows without an end")
        }
        E::ErrorTerminated(..) => Problem::error("the scripts of this command took all the time that they may take, and were stopped")
            .help("look for a loop that never ends; a script that needs longer gets it: --script-time SECONDS"),
        E::ErrorStackOverflow(_) => Problem::error("functions call each other too deeply")
            .help("look for a function that calls itself without an end"),
        E::ErrorDataTooLarge(what, _) => Problem::error(format!("the script asks for too much memory: {what}")),
        E::ErrorRuntime(value, _) => Problem::error(format!("the script stops: {value}")),
        other => {
            let text = other.to_string();
            let text = text.rsplit_once(" (line ").map_or(text.as_str(), |(text, _)| text);
            Problem::error(text.to_owned())
        }
    }
}

/// A property that a value does not have: mostly a unit that is misspelt.
fn dot_words(what: &str) -> Problem {
    let quoted: Vec<&str> = what.split('\'').collect();
    let (Some(name), Some(of)) = (quoted.get(1), quoted.get(3)) else {
        return Problem::error(format!("this cannot be asked for: {}", plain(what)));
    };
    if !matches!(*of, "i64" | "f64") {
        return Problem::error(format!("{} has no {name}", plain(of)))
            .help("units are written after a number, as in 12.ft, 5.inch or 150.pcf");
    }
    let problem = Problem::error(format!("there is no unit \"{name}\""));
    let units = unit_names().map(|name| if name == "in" { "inch" } else { name });
    match closest(name, units) {
        Some(near) => problem.help(format!("did you mean {near}?")),
        None => problem.help("units are written after a number, as in 12.ft, 5.inch or 150.pcf"),
    }
}

/// Names of the language's types in words of the job.
fn plain(text: &str) -> String {
    [
        ("i64", "number"),
        ("f64", "number"),
        ("&str", "text"),
        ("string", "text"),
        ("array", "list"),
        ("map", "several values"),
        ("bool", "yes or no"),
    ]
    .iter()
    .fold(text.to_owned(), |text, (from, to)| text.replace(from, to))
    .replace("()", "nothing")
}

fn suggest(problem: Problem, name: &str, known: &[String]) -> Problem {
    if name == "sqrt" {
        return problem
            .help("sqrt takes a plain number; the root of a measure is root(x), in a calc sheet");
    }
    match closest(name, known.iter().map(String::as_str)) {
        // The word is right, the inputs are not.
        Some(near) if near == name => problem.help(match name {
            "max" | "min" => {
                format!("{name} takes two values, or a list of several: {name}([a, b, c])")
            }
            _ => format!("{name} takes other inputs: scripts/REFERENCE.md shows them"),
        }),
        Some(near) => problem.help(format!("did you mean {near}?")),
        None => problem.help("scripts/REFERENCE.md lists what there is"),
    }
}

fn parse_words(kind: &ParseErrorType) -> Problem {
    Problem::error(format!("the script cannot be read: {kind}"))
}

/// Turns a parse error into a problem with its place.
pub(super) fn unreadable(error: &ParseError, source: &str, texts: &Texts) -> Problem {
    let position = error.position();
    let mut problem = parse_words(error.err_type());
    if let (Some(line), Some(column)) = (position.line(), position.position()) {
        let text = texts.get(source).and_then(|text| text.lines().nth(line - 1)).unwrap_or("");
        let before: String = text.chars().take(column.saturating_sub(1)).collect();
        let digit_before = before.trim_end().ends_with(|c: char| c.is_ascii_digit() || c == '.');
        let here = text.chars().nth(column.saturating_sub(1));
        if digit_before && here.is_some_and(char::is_alphabetic) {
            problem = problem.help("a unit follows its number after a dot: 12.ft, not 12ft");
        } else if before.contains('\'') || here == Some('\'') {
            problem = problem.help("feet and inches are written as text: q(`12'-6\"`)");
        }
    }
    place(problem, source, position, texts)
}

pub(super) fn place(problem: Problem, source: &str, position: Position, texts: &Texts) -> Problem {
    // A fault of another script, a rule of the company, keeps its own place.
    if problem.place.is_some() {
        return problem;
    }
    let (Some(line), column) = (position.line(), position.position().unwrap_or(1)) else {
        return problem.at(Place::file(source));
    };
    let problem = problem.at(Place::column(source, line, column));
    let Some(text) = texts.get(source).and_then(|text| text.lines().nth(line - 1)) else {
        return problem;
    };
    let start = column.saturating_sub(1);
    let word = |c: &char| c.is_ascii_alphanumeric() || *c == '_';
    let length = text.chars().skip(start).take_while(word).count().max(1);
    problem.marked(Excerpt { line: text.to_owned(), start, length })
}
