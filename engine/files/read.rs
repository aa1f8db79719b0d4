//! Bounded reading.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use crate::problem::{Outcome, Place, Problem};

/// Largest file that is read, in bytes.
pub const LARGEST_FILE: u64 = 256 * 1024 * 1024;

/// Reads a whole file.
///
/// # Errors
/// The file is missing, cannot be read, or is larger than [`LARGEST_FILE`].
pub fn read_bytes(path: &Path) -> Outcome<Vec<u8>> {
    let shown = path.display().to_string();
    let fail = |error: std::io::Error| {
        let what = match error.kind() {
            std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
            std::io::ErrorKind::PermissionDenied => "this file may not be read".to_owned(),
            _ => format!("the file cannot be read: {error}"),
        };
        Problem::error(what).at(Place::file(shown.clone()))
    };
    // Asked before it is opened: to open a pipe is to wait for its writer.
    let kind = std::fs::metadata(path).map_err(fail)?;
    if !kind.is_file() {
        let what = if kind.is_dir() {
            "this is a folder, a file was expected"
        } else {
            "this is a pipe or a device, a file was expected"
        };
        return Err(Problem::error(what).at(Place::file(shown.clone())).into());
    }
    let file = File::open(path).map_err(fail)?;
    let mut bytes = Vec::new();
    file.take(LARGEST_FILE + 1).read_to_end(&mut bytes).map_err(fail)?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(Problem::error(format!(
            "the file is larger than {} MB",
            LARGEST_FILE / 1024 / 1024
        ))
        .at(Place::file(shown.clone()))
        .into());
    }
    Ok(bytes)
}

/// Reads a whole text file.
///
/// # Errors
/// As [`read_bytes`], or the file is not UTF-8.
pub fn read_text(path: &Path) -> Outcome<String> {
    utf8(path, read_bytes(path)?)
}

/// The bytes of a file as text.
pub(super) fn utf8(path: &Path, bytes: Vec<u8>) -> Outcome<String> {
    String::from_utf8(bytes).map_err(|_| {
        Problem::error("the file is not UTF-8 text")
            .at(Place::file(path.display().to_string()))
            .help("save it again as UTF-8")
            .into()
    })
}

/// A path without links and detours; of a file that is not there yet, its name in the folder that is.
pub(super) fn real(path: &Path) -> Option<PathBuf> {
    path.canonicalize().ok().or_else(|| {
        let folder = folder_of(path).canonicalize().ok()?;
        Some(folder.join(path.file_name()?))
    })
}

/// The folder that a file lies in; of a bare name the one where the program was called.
pub fn folder_of(path: &Path) -> &Path {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}

/// Whether there is a file of this name.
pub fn exists(path: &Path) -> bool {
    path.exists()
}

/// Whether a name is a link to another place.
pub fn is_link(path: &Path) -> bool {
    path.is_symlink()
}

/// Whether there is a folder of this name.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}
