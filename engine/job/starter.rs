//! The starter that `rodbook new` writes.

use crate::files;

/// Name and text of each file of a new job.
pub fn starter_files() -> Vec<(&'static str, &'static str)> {
    let starter = files::EMBEDDED
        .iter()
        .filter_map(|(name, text)| Some((name.strip_prefix("templates/starter/")?, *text)));
    starter.collect()
}
