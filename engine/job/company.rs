//! Which folders a job reads: its own, the company's, and those that the command line opens.

use std::path::{Component, Path, PathBuf};

use super::OpenOptions;
use crate::files::{self, Layers};
use crate::problem::{Place, Problem};

/// The name of a company folder, and of its key in job.toml.
const COMPANY: &str = "company";

/// The company's standard: settings that hold in each of its jobs.
pub(super) const STANDARD: &str = "standard.toml";

/// The company folder: the one of the command line, the one that job.toml names, or the nearest above the job.
///
/// # Errors
/// It is not there; or it is not the command line that names it, and it is a link or no folder called `company` in the job
/// folder or above it.
pub(super) fn company_folder(
    folder: &Path,
    named: Option<&str>,
    options: &OpenOptions,
) -> Result<Option<PathBuf>, Problem> {
    let set = options.overrides.iter().rev().find(|(path, _)| path == "job.company");
    let given = options.company.clone().or_else(|| set.map(|(_, name)| folder.join(name)));
    let (found, trusted) = match (given, named) {
        (Some(given), _) => (Some(given), true),
        (None, Some(name)) => (Some(above(folder, name)?), false),
        (None, None) => (Layers::company_near(folder), false),
    };
    let Some(found) = found else { return Ok(None) };
    if !files::is_folder(&found) {
        return Err(Problem::error("there is no such company folder")
            .at(Place::file(found.display().to_string())));
    }
    if !trusted && files::is_link(&found) {
        return Err(Problem::error("the company folder is a link to another place")
            .at(Place::file(found.display().to_string()))
            .help("the command line may name that place: --company FOLDER"));
    }
    Ok(Some(found))
}

/// The folder that job.toml names: one called `company` beside job.toml or above it.
fn above(folder: &Path, name: &str) -> Result<PathBuf, Problem> {
    let path = Path::new(name);
    let mut parts = path.components().filter(|part| *part != Component::CurDir).peekable();
    while parts.next_if_eq(&Component::ParentDir).is_some() {}
    let last = parts.next();
    if last == Some(Component::Normal(COMPANY.as_ref())) && parts.next().is_none() {
        return Ok(folder.join(path));
    }
    Err(Problem::error(format!(
        "job.toml may name only a folder called company in its own folder or above it, not \"{name}\""
    ))
    .help(format!("the command line may name any: --company {name:?}")))
}
