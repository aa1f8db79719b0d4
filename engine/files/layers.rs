//! Look-up by name: job folder before company folder before what is embedded in the program.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::{Reader, embedded, real};
use crate::problem::{Outcome, Place, Problem};

/// Which layer a file came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LayerOrigin {
    /// The folder of the job.
    Job,
    /// The company folder.
    Company,
    /// The program itself.
    Embedded,
}

/// A text that was looked up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundFile {
    /// Which layer it came from.
    pub origin: LayerOrigin,
    /// The name to show: a path, or the embedded name.
    pub shown: String,
    /// Its text.
    pub text: String,
}

/// The folders in which bundled scripts and templates may be replaced file by file, and the only ones that a job reads.
#[derive(Debug, Clone, Default)]
pub struct Layers {
    job: Option<PathBuf>,
    company: Option<PathBuf>,
    /// Folders that the command line opens beside them.
    more: Vec<PathBuf>,
    /// Reads each file once.
    reader: Reader,
}

impl Layers {
    /// Looks in the job folder and, if there is one, in the company folder first.
    pub fn new(job: Option<&Path>, company: Option<&Path>) -> Self {
        let owned = |folder: Option<&Path>| folder.map(Path::to_path_buf);
        Self { job: owned(job), company: owned(company), ..Self::default() }
    }

    /// The same, with further folders whose files may be read.
    #[must_use]
    pub fn reading_from(self, folders: &[PathBuf]) -> Self {
        Self { more: folders.to_vec(), ..self }
    }

    /// The same, with what was read already.
    #[must_use]
    pub fn read_by(self, reader: &Reader) -> Self {
        Self { reader: reader.clone(), ..self }
    }

    /// The same, with a company folder.
    #[must_use]
    pub fn with_company(self, company: Option<PathBuf>) -> Self {
        Self { company, ..self }
    }

    /// The company folder nearest above the job: one named `company`.
    pub fn company_near(job: &Path) -> Option<PathBuf> {
        let start = std::path::absolute(job).ok()?;
        start.ancestors().map(|folder| folder.join("company")).find(|folder| folder.is_dir())
    }

    /// Reads a file that lies in one of the folders, whatever links lead to it.
    ///
    /// # Errors
    /// It lies elsewhere, or cannot be read.
    pub fn read(&self, path: &Path) -> Outcome<Arc<[u8]>> {
        let roots = self.job.iter().chain(&self.company).chain(&self.more);
        // Of what is not there the nearest folder that is decides, so that nothing outside is told apart.
        let place = path.ancestors().find_map(real);
        if let Some(place) = place
            && !roots.filter_map(|root| real(root)).any(|root| place.starts_with(root))
        {
            // A link is named by where it leads; what is not there by how it is written.
            let written = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
            let there = real(path).unwrap_or(written);
            let folder = there.parent().unwrap_or(Path::new("/")).display().to_string();
            return Err(Problem::error(
                "this file lies outside the job folder and the company folder",
            )
            .at(Place::file(path.display().to_string()))
            .help(format!("where it may be read, the command line says so: --read-from {folder:?}"))
            .into());
        }
        self.reader.read(path)
    }

    /// As [`Self::read`], a text.
    ///
    /// # Errors
    /// As [`Self::read`], or it is not UTF-8.
    pub fn read_text(&self, path: &Path) -> Outcome<String> {
        super::utf8(path, self.read(path)?.to_vec())
    }

    /// The job's folder and the company's, where there are such.
    pub fn folders(&self) -> Vec<PathBuf> {
        self.job.iter().chain(&self.company).cloned().collect()
    }

    /// Reads each file once, and knows what was read.
    pub fn reader(&self) -> &Reader {
        &self.reader
    }

    /// A path as it lies in the job's folder, or beside a company folder; a path of this machine says nothing to a client.
    pub fn near(&self, file: &str) -> String {
        let within = |folder: &Option<PathBuf>, name: &str| {
            let rest = Path::new(file).strip_prefix(folder.as_ref()?).ok()?;
            Some(format!("{name}{}", rest.display()))
        };
        within(&self.job, "")
            .or_else(|| within(&self.company, "company/"))
            .unwrap_or_else(|| file.to_owned())
    }

    /// The folder of the job, if there is one.
    pub fn job(&self) -> Option<&Path> {
        self.job.as_deref()
    }

    /// The company folder, if there is one.
    pub fn company(&self) -> Option<&Path> {
        self.company.as_deref()
    }

    /// The file of this name in the job or company folder.
    ///
    /// # Errors
    /// The name leaves its folder, or neither has it.
    pub fn path(&self, name: &str) -> Outcome<PathBuf> {
        let folders = [&self.job, &self.company];
        let found = folders.into_iter().flatten().map(|folder| folder.join(name));
        plain(name)?;
        let mut found = found;
        match found.find(|path| path.exists()) {
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
    pub fn replaced(&self, name: &str) -> Outcome<Option<FoundFile>> {
        let last = name.rsplit('/').next().unwrap_or(name);
        for (origin, folder) in
            [(LayerOrigin::Job, &self.job), (LayerOrigin::Company, &self.company)]
        {
            let Some(folder) = folder else { continue };
            for path in [folder.join(name), folder.join(last)] {
                // A folder or a pipe of this name is told, not passed over.
                if path.exists() {
                    let text = self.read_text(&path)?;
                    return Ok(Some(FoundFile { origin, shown: path.display().to_string(), text }));
                }
            }
        }
        Ok(None)
    }

    /// Names of the files with this ending that lie in a folder of the job or company, in order.
    ///
    /// # Errors
    /// A folder cannot be read.
    pub fn list(&self, folder: &str, ending: &str) -> Outcome<Vec<String>> {
        let mut names = std::collections::BTreeSet::new();
        for layer in [&self.job, &self.company].into_iter().flatten() {
            let path = layer.join(folder);
            let Ok(entries) = std::fs::read_dir(&path) else { continue };
            for entry in entries {
                let entry = entry.map_err(|error| {
                    Problem::error(format!("this folder cannot be read: {error}"))
                        .at(Place::file(path.display().to_string()))
                })?;
                let name = entry.file_name().to_string_lossy().into_owned();
                if name.ends_with(ending) && plain(&name).is_ok() {
                    names.insert(format!("{folder}/{name}"));
                }
            }
        }
        Ok(names.into_iter().collect())
    }

    /// Finds a text by its bundled name, such as `scripts/stepped_wall.rhai`.
    /// In a job or company folder it may stand under that path or under its last part alone.
    ///
    /// # Errors
    /// The name leaves its folder, is in no layer, or its file cannot be read.
    pub fn find(&self, name: &str) -> Outcome<FoundFile> {
        plain(name)?;
        match self.replaced(name)? {
            Some(found) => Ok(found),
            None => Self::bundled(name),
        }
    }

    /// A bundled text, whatever the folders have under its name.
    ///
    /// # Errors
    /// There is none of this name.
    pub fn bundled(name: &str) -> Outcome<FoundFile> {
        match embedded(name) {
            Some(text) => Ok(FoundFile {
                origin: LayerOrigin::Embedded,
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

/// Refuses a name that leaves its folder: one with a leading point, a backslash, a colon or a control character in a part.
fn plain(name: &str) -> Outcome<()> {
    let sound = |part: &str| {
        !part.trim().is_empty()
            && !part.starts_with('.')
            && !part.contains(|c: char| c.is_control() || matches!(c, '\\' | ':'))
    };
    if name.split('/').all(sound) {
        return Ok(());
    }
    Err(Problem::error(format!("\"{name}\" is not the plain name of a file"))
        .at(Place::file(name))
        .help("files are named as they lie in the job folder or the company folder, such as pour.csv or sheets/pour.csv; names that leave them are refused")
        .into())
}
