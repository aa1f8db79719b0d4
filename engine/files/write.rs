//! Atomic writing: a file is either the old one or the new one, never half of it.

use std::fs;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::problem::{Outcome, Place, Problem};

/// Writes a file: first a temporary one in the same folder, then renames it. The new file has the mode of the old one.
///
/// # Errors
/// The folder is missing or read-only, the disk is full, the file is a link, is write-protected or is larger than a file may
/// be; the old file is then untouched.
pub fn write_atomic(path: &Path, bytes: &[u8]) -> Outcome<()> {
    let place = || Place::file(path.display().to_string());
    let old = fs::symlink_metadata(path).ok();
    if old.as_ref().is_some_and(|old| old.file_type().is_symlink()) {
        return Err(Problem::error("this file is a link; it is not followed, and it is kept")
            .at(place())
            .help("name the file itself, or another one, with --out FILE")
            .into());
    }
    if old.as_ref().is_some_and(|old| old.permissions().readonly()) {
        return Err(Problem::error("this file is write-protected; it is kept")
            .at(place())
            .help("take the protection off, or name another file with --out FILE")
            .into());
    }
    if let Some(most) = largest_file().filter(|most| bytes.len() as u64 > *most) {
        return Err(Problem::error(format!(
            "the file would be {} bytes, and files of this user may have {most}",
            bytes.len()
        ))
        .at(place())
        .help("raise the limit of file sizes, or name a place without one with --out FILE")
        .into());
    }
    let written = temporary(path).and_then(|(temporary, mut file)| {
        clear_left_over(path, &file);
        let done = old
            .map_or(Ok(()), |old| file.set_permissions(old.permissions()))
            .and_then(|()| file.write_all(bytes))
            .and_then(|()| file.sync_all())
            .and_then(|()| fs::rename(&temporary, path));
        if done.is_err() {
            // Nothing to add when the clean-up fails too: the first error is the one to read.
            let _ = fs::remove_file(&temporary);
        }
        done
    });
    written.map_err(|error| {
        let what = match error.kind() {
            ErrorKind::NotFound => "its folder does not exist".to_owned(),
            ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
                "the folder may not be written to".to_owned()
            }
            _ => format!("the file cannot be written: {error}"),
        };
        Problem::error(what)
            .at(place())
            .help("name another place with --out FILE; if the file is open in a spreadsheet, close it")
            .into()
    })
}

/// A new file beside the one to write: what lies there under its name, link or not, is left alone.
fn temporary(path: &Path) -> std::io::Result<(PathBuf, fs::File)> {
    let mut number = 0;
    loop {
        let name = path.with_file_name(format!(
            "{}{}-{number}{PART}",
            start_of_temporary(path),
            std::process::id()
        ));
        match fs::OpenOptions::new().write(true).create_new(true).open(&name) {
            Ok(file) => return Ok((name, file)),
            Err(error) if error.kind() == ErrorKind::AlreadyExists && number < 1000 => number += 1,
            Err(error) => return Err(error),
        }
    }
}

/// The end of the name of every temporary file.
const PART: &str = ".part";

/// How the names of the temporary files of a file begin.
fn start_of_temporary(path: &Path) -> String {
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    format!(".{name}.")
}

/// Temporary files older than this belong to runs that were stopped.
const LEFT_OVER: Duration = Duration::from_secs(600);

/// Removes temporary files of this file that stopped runs left: those much older than the new one. Nothing hangs on it.
fn clear_left_over(path: &Path, new: &fs::File) {
    let Ok(now) = new.metadata().and_then(|new| new.modified()) else { return };
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let Ok(entries) = fs::read_dir(folder.unwrap_or(Path::new("."))) else { return };
    let start = start_of_temporary(path);
    for entry in entries.flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        let number = name.strip_prefix(&start).and_then(|rest| rest.strip_suffix(PART));
        let ours = number.is_some_and(|text| {
            text.starts_with(|c: char| c.is_ascii_digit())
                && text.chars().all(|c| c.is_ascii_digit() || c == '-')
        });
        let old = entry.metadata().ok().filter(fs::Metadata::is_file);
        let old = old.and_then(|old| now.duration_since(old.modified().ok()?).ok());
        if ours && old.is_some_and(|age| age > LEFT_OVER) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// The size that a file may have, where the system sets one; beyond it a program is stopped in the middle.
#[cfg(unix)]
fn largest_file() -> Option<u64> {
    rustix::process::getrlimit(rustix::process::Resource::Fsize).current
}

#[cfg(not(unix))]
fn largest_file() -> Option<u64> {
    None
}

/// Whether two paths name one place, under any spelling and through links.
pub fn same_place(one: &Path, other: &Path) -> bool {
    match (super::real(one), super::real(other)) {
        (Some(one), Some(other)) => one == other,
        _ => one == other,
    }
}

/// Makes a folder and those above it.
///
/// # Errors
/// The folder cannot be made.
pub fn make_folder(path: &Path) -> Outcome<()> {
    fs::create_dir_all(path).map_err(|error| {
        Problem::error(format!("the folder cannot be made: {error}"))
            .at(Place::file(path.display().to_string()))
            .into()
    })
}
