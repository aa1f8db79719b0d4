//! Atomic writing: a file is either the old one or the new one, never half of it.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use crate::problem::{Outcome, Place, Problem};

/// Writes a file: first a temporary one in the same folder, then renames it.
///
/// # Errors
/// The folder is missing or read-only, or the disk is full; the old file is then untouched.
pub fn write_atomic(path: &Path, bytes: &[u8]) -> Outcome<()> {
    let temporary = temporary_name(path);
    let written = fs::File::create(&temporary)
        .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
        .and_then(|()| fs::rename(&temporary, path));
    written.map_err(|error| {
        // Nothing to add when the clean-up fails too: the first error is the one to read.
        let _ = fs::remove_file(&temporary);
        let what = match error.kind() {
            std::io::ErrorKind::NotFound => "its folder does not exist".to_owned(),
            std::io::ErrorKind::PermissionDenied | std::io::ErrorKind::ReadOnlyFilesystem => {
                "the folder may not be written to".to_owned()
            }
            _ => format!("the file cannot be written: {error}"),
        };
        Problem::error(what)
            .at(Place::file(path.display().to_string()))
            .help("name another place with --out FILE; if the file is open in a spreadsheet, close it")
            .into()
    })
}

/// Whether two paths name one place, under any spelling and through links.
pub fn same_place(one: &Path, other: &Path) -> bool {
    let real = |path: &Path| {
        let named = path.canonicalize();
        named.or_else(|_| {
            // A file that is not there yet lies in a folder that is.
            let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
            let folder = folder.unwrap_or(Path::new(".")).canonicalize()?;
            Ok::<PathBuf, std::io::Error>(folder.join(path.file_name().unwrap_or_default()))
        })
    };
    match (real(one), real(other)) {
        (Ok(one), Ok(other)) => one == other,
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

fn temporary_name(path: &Path) -> PathBuf {
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    path.with_file_name(format!(".{name}.{}.part", std::process::id()))
}
