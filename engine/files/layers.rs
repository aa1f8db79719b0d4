//! Look-up by name: job folder before company folder before what is embedded in the program.

use std::path::{Path, PathBuf};

use super::{embedded, read_text};
use crate::problem::{Outcome, Place, Problem};

/// Which layer a file came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The folder of the job.
    Job,
    /// The company folder.
    Company,
    /// The program itself.
    Embedded,
}

/// A text that was looked up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Which layer it came from.
    pub origin: Origin,
    /// The name to show: a path, or the embedded name.
    pub shown: String,
    /// Its text.
    pub text: String,
}

/// The folders in which bundled scripts and templates may be replaced file by file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Layers {
    job: Option<PathBuf>,
    company: Option<PathBuf>,
}

impl Layers {
    /// Looks in the job folder and, if there is one, in the company folder first.
    pub fn new(job: Option<&Path>, company: Option<&Path>) -> Self {
        Self { job: job.map(Path::to_path_buf), company: company.map(Path::to_path_buf) }
    }

    /// The company folder: the one given, else one named `company` in the nearest folder above the job.
    pub fn company_near(job: &Path) -> Option<PathBuf> {
        let start = std::path::absolute(job).ok()?;
        start.ancestors().map(|folder| folder.join("company")).find(|folder| folder.is_dir())
    }

    /// The folder of the job, if there is one.
    pub fn job(&self) -> Option<&Path> {
        self.job.as_deref()
    }

    /// The file of this name in the job or company folder.
    ///
    /// # Errors
    /// The name leaves its folder, or neither has it.
    pub fn path(&self, name: &str) -> Outcome<PathBuf> {
        let folders = [&self.job, &self.company];
        let found = folders.into_iter().flatten().map(|folder| folder.join(name));
        match found.filter(|_| is_plain(name)).find(|path| path.is_file()) {
            Some(path) => Ok(path),
            None => Err(Problem::error("no such file in the job folder or the company folder")
                .at(Place::file(name))
                .into()),
        }
    }

    /// A text that only a job or company folder can have; nothing where neither has it.
    ///
    /// # Errors
    /// Its file cannot be read.
    pub fn replaced(&self, name: &str) -> Outcome<Option<Found>> {
        let last = name.rsplit('/').next().unwrap_or(name);
        for (origin, folder) in [(Origin::Job, &self.job), (Origin::Company, &self.company)] {
            let Some(folder) = folder else { continue };
            for path in [folder.join(name), folder.join(last)] {
                if path.is_file() {
                    let text = read_text(&path)?;
                    return Ok(Some(Found { origin, shown: path.display().to_string(), text }));
                }
            }
        }
        Ok(None)
    }

    /// Finds a text by its bundled name, such as `scripts/stepped_wall.rhai`.
    /// In a job or company folder it may stand under that path or under its last part alone.
    ///
    /// # Errors
    /// The name leaves its folder, is in no layer, or its file cannot be read.
    pub fn find(&self, name: &str) -> Outcome<Found> {
        if !is_plain(name) {
            return Err(Problem::error(format!("\"{name}\" is not a plain file name"))
                .help("scripts are found by name in the job folder, then the company folder, then among the bundled ones; paths that leave them are refused")
                .into());
        }
        if let Some(found) = self.replaced(name)? {
            return Ok(found);
        }
        match embedded(name) {
            Some(text) => Ok(Found {
                origin: Origin::Embedded,
                shown: name.to_owned(),
                text: text.to_owned(),
            }),
            None => Err(Problem::error(
                "no such file in the job folder, the company folder or among the bundled ones",
            )
            .at(Place::file(name))
            .into()),
        }
    }
}

fn is_plain(name: &str) -> bool {
    !name.is_empty()
        && name.split('/').all(|part| {
            !part.is_empty()
                && !part.starts_with('.')
                && part.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.'))
        })
}
