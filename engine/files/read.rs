//! Bounded reading.

use std::fs::File;
use std::io::Read;
use std::path::Path;

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
    let file = File::open(path).map_err(fail)?;
    if file.metadata().map_err(fail)?.is_dir() {
        return Err(Problem::error("this is a folder, a file was expected")
            .at(Place::file(shown.clone()))
            .into());
    }
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
    String::from_utf8(read_bytes(path)?).map_err(|_| {
        Problem::error("the file is not UTF-8 text")
            .at(Place::file(path.display().to_string()))
            .help("save it again as UTF-8")
            .into()
    })
}

/// Whether there is a file of this name.
pub fn exists(path: &Path) -> bool {
    path.exists()
}

/// Whether there is a folder of this name.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}
