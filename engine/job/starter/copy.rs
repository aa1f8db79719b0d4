//! A new job from the last one: its settings and the files that it reads from its folder.

use std::path::Path;

use toml::de::{DeTable, DeValue};

use super::super::open::is_book;
use super::super::{Job, OpenOptions, work, workbook};
use super::quoted;
use crate::files;
use crate::problem::{Outcome, Place, Problem};

/// The files of a copied job, and what of it is to be answered anew.
#[derive(Debug)]
pub struct Copied {
    /// Name in the folder and bytes of each.
    pub files: Vec<(String, Vec<u8>)>,
    /// What is told of the copy, line by line.
    pub told: Vec<String>,
}

/// Copies a job: job.toml with a new name and without its date, and what it reads in its folder; `shots` stands in place of
/// its shot list.
///
/// # Errors
/// There is no such job, a file of it cannot be read, or a list is to be replaced and it has none or several.
pub fn copied(
    from: &Path,
    name: &str,
    shots: Option<&Path>,
    options: &OpenOptions,
) -> Outcome<Copied> {
    let (folder, file) = super::super::open::locate(from)?;
    if is_book(&file) {
        let book = format!("{}.xlsx", name.replace(' ', "_"));
        return Err(Problem::error("an input book is copied to another book")
            .at(Place::file(file.display().to_string()))
            .help(format!("rodbook new {book} --from {}", file.display()))
            .into());
    }
    let text = files::read_text(&file)?;
    let root = DeTable::parse(&text).map_err(|error| {
        Problem::error(error.message().to_owned()).at(Place::file(file.display().to_string()))
    })?;
    let value = |table: &str, key: &str| {
        let DeValue::Table(table) = root.get_ref().get(table)?.get_ref() else { return None };
        table.get(key)
    };
    if let Some(shared) = value("job", "shares") {
        let shared = shared.get_ref().as_str().unwrap_or_default().to_owned();
        return Err(Problem::error(format!("this job shares {shared}, and is nothing without it"))
            .at(Place::file(file.display().to_string()))
            .help("copy the folder as it is, or start from the file that it shares")
            .into());
    }
    let mut edits: Vec<(std::ops::Range<usize>, String)> = Vec::new();
    let mut told = Vec::new();
    if let Some(old) = value("job", "name") {
        edits.push((old.span(), quoted(name)));
        told.push(format!("job.name is {name} now"));
    }
    if let Some(old) = value("job", "bid_date") {
        let start = text[..old.span().start].rfind('\n').map_or(0, |at| at + 1);
        edits.push((start..start, "# ".to_owned()));
        told.push("job.bid_date is taken out: answer it".to_owned());
    }
    let mut left_out = None;
    let mut copied = Vec::new();
    if let Some(list) = shots {
        let old = value("shots", "file").filter(|old| matches!(old.get_ref(), DeValue::String(_)));
        let old = old.ok_or_else(|| {
            Problem::error("this job has no single shot list that another could replace")
                .at(Place::file(file.display().to_string()))
                .help("copy it without --shots, and change [shots] of the copy")
        })?;
        let name =
            list.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        edits.push((old.span(), quoted(&name)));
        told.push(format!("shots.file is {name} now"));
        left_out = old.get_ref().as_str().map(|old| folder.join(old));
        copied.push((name, files::read_bytes(list)?));
    }
    edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut new = text.clone();
    for (span, value) in edits {
        new.replace_range(span, &value);
    }
    copied.push(("job.toml".to_owned(), new.into_bytes()));
    let (read, faulty) = read_files(from, &folder, &file, left_out.as_deref(), options)?;
    for (name, bytes) in read {
        if !copied.iter().any(|(known, _)| *known == name) {
            copied.push((name, bytes));
        }
    }
    told.extend(faulty);
    Ok(Copied { files: copied, told })
}

/// The files that a job reads in its folder besides its settings, and what is told of it. What is wrong with the job stays so
/// in a copy; all that it could read is known by then.
///
/// # Errors
/// One of them cannot be read.
pub(super) fn read_files(
    from: &Path,
    folder: &Path,
    settings: &Path,
    left_out: Option<&Path>,
    options: &OpenOptions,
) -> Outcome<(Vec<(String, Vec<u8>)>, Vec<String>)> {
    // Scripts of sheets and pages are read when the workbook is made.
    let made = |job: Job| work(&job, &|_| {}).and_then(|done| workbook(&job, &done));
    let opened = Job::open(from, options).and_then(made);
    let mut files = Vec::new();
    for path in options.reader.files() {
        let Ok(name) = path.strip_prefix(folder) else { continue };
        let same = |other: &Path| files::same_place(&path, other);
        if !same(settings) && !left_out.is_some_and(same) {
            files.push((name.to_string_lossy().into_owned(), files::read_bytes(&path)?));
        }
    }
    let faulty = "the job that was copied has faults; rodbook check tells them of the copy";
    Ok((files, opened.err().map(|_| faulty.to_owned()).into_iter().collect()))
}
