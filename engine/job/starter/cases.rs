//! The bundled wall cases: jobs that run as they are, one for each common wall, in feet and in metres.

use std::path::Path;

use super::super::OpenOptions;
use super::over_company;
use crate::files;
use crate::problem::{Outcome, Problem, closest};

/// Where they lie among the bundled files.
const CASES: &str = "examples/cases/";

/// A bundled wall case.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BundledCase {
    /// Its name, as `new --case` takes it.
    pub name: &'static str,
    /// What wall it is.
    pub title: String,
    /// When to take it, and what it leaves out.
    pub about: Vec<String>,
    /// The script that takes it off.
    pub script: String,
}

/// The job.toml of a case.
fn text_of(name: &str, metric: bool) -> Option<&'static str> {
    let units = if metric { "metric/" } else { "" };
    files::embedded(&format!("{CASES}{name}/{units}job.toml"))
}

/// The bundled cases by name.
pub fn bundled_cases() -> Vec<BundledCase> {
    let names = files::EMBEDDED.iter().filter_map(|(path, text)| {
        let name = path.strip_prefix(CASES)?.strip_suffix("/job.toml")?;
        (!name.contains('/')).then_some((name, *text))
    });
    names.map(|(name, text)| case(name, text)).collect()
}

/// A case from the head of its job.toml: a line that names the wall, then sentences, each from a line of its own on.
fn case(name: &'static str, text: &str) -> BundledCase {
    let mut head = text.lines().map_while(|line| line.strip_prefix("# "));
    let title = head.next().unwrap_or(name).to_owned();
    let mut about: Vec<String> = Vec::new();
    for line in head {
        match about.last_mut().filter(|last| !last.ends_with('.')) {
            Some(last) => {
                last.push(' ');
                last.push_str(line);
            }
            None => about.push(line.to_owned()),
        }
    }
    let script = text.lines().find_map(|line| line.strip_prefix("case = "));
    let script = script.unwrap_or_default().trim_matches('"').to_owned();
    BundledCase { name, title, about, script }
}

/// The files that a new job of a case starts from, job.toml first and without what the standard of its company gives.
///
/// # Errors
/// There is no such case, or the company's files cannot be read.
pub fn case_starter(
    folder: &Path,
    options: &OpenOptions,
    name: &str,
    metric: bool,
) -> Outcome<Vec<(String, String)>> {
    let Some(text) = text_of(name, metric) else {
        let known = bundled_cases();
        let problem = Problem::error(format!("there is no bundled wall case {name}"));
        return Err(match closest(name, known.iter().map(|case| case.name)) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help("rodbook cases lists them"),
        }
        .into());
    };
    let units = if metric { "metric/" } else { "" };
    let place = format!("{CASES}{name}/{units}");
    let beside = files::EMBEDDED.iter().filter_map(|(path, text)| {
        let file = path.strip_prefix(&place).filter(|file| *file != "job.toml")?;
        (!file.contains('/')).then(|| (file.to_owned(), (*text).to_owned()))
    });
    let job = ("job.toml".to_owned(), over_company(folder, options, text.to_owned())?);
    Ok(std::iter::once(job).chain(beside).collect())
}

/// The page of the bundled cases.
pub fn cases_page() -> String {
    let mut page = String::from(
        "# Wall cases\n\n<!-- Generated from the heads of the jobs beside it: edit those, then run `cargo run -- generate`. -->\n\n\
         Each is a job that runs as it is, in feet and, in its folder `metric`, in metres: `rodbook new MYWALL --case NAME` starts from it, with\n\
         `--metric` from the other. Its `hand.csv` has the quantities worked by hand (`tests/oracle/cases.py`). A case is its job and one short script;\n\
         for a wall that is not here copy the script that comes nearest into the job's folder and change its lines: [scripts](../../scripts).\n",
    );
    for case in bundled_cases() {
        page += &format!(
            "\n## {}\n\n`{}`: [job]({}/job.toml), script [{}](../../scripts/{}.rhai).\n\n{}\n\n![profile]({}/profile-1.svg)\n![plan]({}/plan-1.svg)\n![sections]({}/sections-1.svg)\n",
            case.title,
            case.name,
            case.name,
            case.script,
            case.script,
            case.about.join("\n"),
            case.name,
            case.name,
            case.name,
        );
    }
    page
}
