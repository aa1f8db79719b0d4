//! An older job.toml brought to today's format: what it must say so that its numbers stay as they were.

use crate::problem::{Place, Problem};

/// The format of job.toml that this program writes.
pub const FORMAT: i64 = 2;

/// What a format changed: since which, the table, the key, and the text that holds what was computed before.
const CHANGES: &[(i64, &str, &str, &str)] = &[
    (2, "allowances", "dig", "\"section\""),
    (2, "allowances", "layback_from", "\"footing top\""),
];

/// A job.toml of today's format.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Renewed {
    /// Its text.
    pub text: String,
    /// The lines that were added: number in the new text, and the line.
    pub added: Vec<(usize, String)>,
    /// What is to be said that no line of this file can.
    pub remarks: Vec<String>,
}

/// Brings the text of a job.toml to today's format. Nothing that stands in it is changed.
///
/// # Errors
/// It is no TOML, or has no line `[job]`, or is of a later format.
pub fn renewed(file: &str, text: &str) -> Result<Renewed, Problem> {
    let place = || Place::file(file);
    let root = text
        .parse::<toml::Table>()
        .map_err(|error| Problem::error(error.message().to_owned()).at(place()))?;
    let inside = |table: &str, key: &str| root.get(table).and_then(|table| table.get(key));
    let format = inside("job", "format").and_then(toml::Value::as_integer).unwrap_or(1);
    if format > FORMAT {
        return Err(Problem::error(format!(
            "this job is of format {format}, this program knows {FORMAT}"
        ))
        .at(place())
        .help("take a newer program"));
    }
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let mut added: Vec<String> = Vec::new();
    let mut remarks = Vec::new();
    let head = |lines: &[String], table: &str| {
        let head = format!("[{table}]");
        lines.iter().position(|line| line.split('#').next().is_some_and(|line| line.trim() == head))
    };
    for (_, table, key, value) in CHANGES.iter().rev().filter(|(since, ..)| *since > format) {
        if inside(table, key).is_some() {
            continue;
        }
        let line = format!("{key} = {value}");
        match head(&lines, table) {
            Some(at) => lines.insert(at + 1, line.clone()),
            None if root.contains_key("tables") => {
                remarks.push(format!(
                    "where {table} stands in a workbook, add there: {table}.{key} = {value}"
                ));
                continue;
            }
            None => lines.extend([String::new(), format!("[{table}]"), line.clone()]),
        }
        added.push(line);
    }
    if inside("job", "format").is_none() || format < FORMAT {
        let at = head(&lines, "job").ok_or_else(|| {
            Problem::error("there is no line [job]")
                .at(place())
                .help("begin with [job] and the name of the job")
        })?;
        let line = format!("format = {FORMAT}");
        match lines.iter().position(|line| line.trim_start().starts_with("format")) {
            Some(old) if inside("job", "format").is_some() => lines[old].clone_from(&line),
            _ => lines.insert(at + 1, line.clone()),
        }
        added.push(line);
    }
    let numbered = (1..).zip(&lines).filter(|(_, line)| added.contains(line));
    let added = numbered.map(|(number, line)| (number, line.clone())).collect();
    Ok(Renewed { text: lines.join("\n") + "\n", added, remarks })
}
