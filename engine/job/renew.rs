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

/// Brings the text of a job.toml to today's format: lines are added, the number of the format is replaced, nothing else
/// that stands in it is changed.
///
/// # Errors
/// It is no TOML, or has no line `[job]`, or is of a later format.
pub fn renewed(file: &str, text: &str) -> Result<Renewed, Problem> {
    let line_at = |place: usize| text[..place].matches('\n').count();
    let root = toml::de::DeTable::parse(text).map_err(|error| {
        let line = error.span().map_or(0, |span| line_at(span.start.min(text.len())));
        Problem::error(error.message().to_owned()).at(Place::column(file, line + 1, 1))
    })?;
    let root = root.get_ref();
    let inside = |table: &str, key: &str| root.get(table)?.get_ref().get(key);
    if let Some(shared) = inside("job", "shares") {
        let shared = shared.get_ref().as_str().unwrap_or_default().to_owned();
        return Err(Problem::error(format!(
            "this job shares {shared}, and its format is that of the file that it shares"
        ))
        .at(Place::file(file))
        .help("renew the file that it shares"));
    }
    let stated = inside("job", "format");
    let format = stated.and_then(|value| value.get_ref().as_integer()?.as_str().parse().ok());
    let format: i64 = format.unwrap_or(1);
    if format > FORMAT {
        return Err(Problem::error(format!(
            "this job is of format {format}, this program knows {FORMAT}"
        ))
        .at(Place::file(file))
        .help("take a newer program"));
    }
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let heading = |table: &str| {
        let heading = format!("[{table}]");
        let is = |line: &str| line.split('#').next().is_some_and(|line| line.trim() == heading);
        text.lines().position(is)
    };
    // Where a line is to stand, in lines of the old text; the end for a table that there is not.
    let mut wanted: Vec<(usize, String)> = Vec::new();
    let mut remarks = Vec::new();
    if format < FORMAT || stated.is_none() {
        let line = format!("format = {FORMAT}");
        match stated {
            Some(old) => {
                let (start, end) = (old.span().start, old.span().end);
                let from = start - text[..start].rfind('\n').map_or(0, |at| at + 1);
                lines[line_at(start)].replace_range(from..from + end - start, &FORMAT.to_string());
            }
            None => {
                let at = heading("job").ok_or_else(|| {
                    Problem::error("there is no line [job]")
                        .at(Place::file(file))
                        .help("begin with [job] and the name of the job")
                })?;
                wanted.push((at + 1, line));
            }
        }
    }
    let mut headed = false;
    let new = CHANGES.iter().filter(|(since, ..)| *since > format);
    for (_, table, key, value) in new.filter(|(_, table, key, _)| inside(table, key).is_none()) {
        let line = format!("{key} = {value}");
        match heading(table) {
            Some(at) => wanted.push((at + 1, line)),
            None if root.contains_key("tables") => remarks.push(format!(
                "where {table} stands in a workbook, add there: {table}.{key} = {value}"
            )),
            None => {
                if !std::mem::replace(&mut headed, true) {
                    wanted.push((lines.len(), format!("[{table}]")));
                }
                wanted.push((lines.len(), line));
            }
        }
    }
    wanted.sort_by_key(|(at, _)| *at);
    let mut added = Vec::new();
    for (before, (at, line)) in wanted.into_iter().enumerate() {
        lines.insert(at + before, line.clone());
        added.push((at + before + 1, line));
    }
    if let Some(old) = stated.filter(|_| format < FORMAT) {
        let at = line_at(old.span().start);
        let moved = added.iter().filter(|(line, _)| line - 1 <= at).count();
        added.insert(0, (at + moved + 1, lines[at + moved].clone()));
    }
    let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
    Ok(Renewed { text: lines.join(end) + end, added, remarks })
}
