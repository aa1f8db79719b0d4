//! Reading once: what was read is remembered, however many questions are asked of it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use super::{read_bytes, sha256};
use crate::problem::Outcome;

/// Reads each file once; copies share what was read.
#[derive(Debug, Clone, Default)]
pub struct Reader(Arc<Mutex<BTreeMap<PathBuf, Arc<[u8]>>>>);

impl Reader {
    /// The bytes of a file, as they were when it was first asked for.
    ///
    /// # Errors
    /// As [`read_bytes`].
    pub fn read(&self, path: &Path) -> Outcome<Arc<[u8]>> {
        if let Some(bytes) = self.all().get(path) {
            return Ok(bytes.clone());
        }
        let bytes: Arc<[u8]> = read_bytes(path)?.into();
        self.all().insert(path.to_path_buf(), bytes.clone());
        Ok(bytes)
    }

    /// Every file that was read, by path.
    pub fn files(&self) -> Vec<PathBuf> {
        self.all().keys().cloned().collect()
    }

    /// Every file that was read, with its length and fingerprint.
    pub fn fingerprints(&self) -> Vec<(PathBuf, usize, String)> {
        let files = self.all();
        let print =
            |(path, bytes): (&PathBuf, &Arc<[u8]>)| (path.clone(), bytes.len(), sha256(bytes));
        files.iter().map(print).collect()
    }

    fn all(&self) -> std::sync::MutexGuard<'_, BTreeMap<PathBuf, Arc<[u8]>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
