//! Reading once: what was read is remembered, however many questions are asked of it.

use std::any::Any;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use super::{read_bytes, sha256};
use crate::problem::Outcome;

/// Reads each file once; copies share what was read.
#[derive(Debug, Clone, Default)]
pub struct Reader {
    files: Arc<Mutex<BTreeMap<PathBuf, Arc<[u8]>>>>,
    made: Arc<Mutex<BTreeMap<(PathBuf, String), Arc<dyn Any + Send + Sync>>>>,
}

impl Reader {
    /// How much that is made is kept: a search asks for something else each time.
    const MOST_MADE: usize = 64;

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

    /// What is made of a file, made once: `how` says what else it rests on.
    pub fn made<T: Clone + Send + Sync + 'static>(
        &self,
        path: &Path,
        how: String,
        make: impl FnOnce() -> T,
    ) -> T {
        let key = (path.to_path_buf(), how);
        let known = self.made.lock().unwrap_or_else(PoisonError::into_inner).get(&key).cloned();
        if let Some(known) = known.and_then(|known| known.downcast::<T>().ok()) {
            return known.as_ref().clone();
        }
        let made = make();
        let kept: Arc<dyn Any + Send + Sync> = Arc::new(made.clone());
        let mut all = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        if all.len() == Self::MOST_MADE {
            all.clear();
        }
        all.insert(key, kept);
        made
    }

    fn all(&self) -> std::sync::MutexGuard<'_, BTreeMap<PathBuf, Arc<[u8]>>> {
        self.files.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
