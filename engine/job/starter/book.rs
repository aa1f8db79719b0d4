//! A new job as an input book: from the starter, or from another job.

use std::path::Path;

use super::super::OpenOptions;
use super::super::input_book::{Changed, input_book};
use super::super::open::{is_book, locate, settings_at, settings_of_text};
use super::copy::{Copied, read_files};
use super::starter;
use crate::files;
use crate::problem::{Outcome, Place, Problem};
use crate::table::{CellKind, read_text_list};
use crate::workbook::InputCell;

/// An input book of this path: the starter with its shots, or the settings of the job `from` and the files that it reads.
///
/// # Errors
/// The job or one of its files cannot be read, or its settings are faulty.
pub fn started_book(target: &Path, from: Option<&Path>, options: &OpenOptions) -> Outcome<Copied> {
    let file = target.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let Some(from) = from else {
        let folder = files::folder_of(target);
        let text = starter(folder, options)?;
        let (settings, faults) = settings_of_text(folder, &text, options);
        let settings = settings.ok_or(faults)?;
        let changed = vec![("shots.file", None)];
        let bytes = input_book(&settings, &file, shots_of_starter()?, &changed)?;
        return Ok(Copied { files: vec![(file, bytes)], told: Vec::new() });
    };
    let (folder, job_file) = locate(from)?;
    let stem = target.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let (mut copied, mut told) = read_files(from, &folder, &job_file, None, options)?;
    if is_book(&job_file) {
        copied.push((file, files::read_bytes(&job_file)?));
        told.push("answer job.name and job.bid_date in sheet job".to_owned());
    } else {
        let settings = settings_at(from, options)?;
        let changed: Changed = vec![("job.name", Some(stem.clone())), ("job.bid_date", None)];
        told.push(format!("job.name is {stem} now; job.bid_date is taken out: answer it"));
        let bytes = input_book(&settings, &file, Vec::new(), &changed)?;
        copied.push((file, bytes));
    }
    if files::same_place(files::folder_of(target), &folder) {
        let last = copied.pop();
        copied = last.into_iter().collect();
    }
    Ok(Copied { files: copied, told })
}

/// The shots of the starter as cells.
fn shots_of_starter() -> Outcome<Vec<Vec<InputCell>>> {
    let text = files::embedded("templates/starter/shots.csv").unwrap_or_default();
    let table = read_text_list("shots.csv", text.as_bytes())?;
    if table.rows.is_empty() {
        return Err(Problem::error("the starter has no shots").at(Place::file("shots.csv")).into());
    }
    let cell = |cell: &crate::table::Cell| match cell.text.parse::<f64>() {
        Ok(number) if cell.kind != CellKind::Empty && number.is_finite() => {
            InputCell::Number(number)
        }
        _ => InputCell::Text(cell.text.to_string()),
    };
    Ok(table.rows.iter().map(|row| row.cells.iter().map(cell).collect()).collect())
}
