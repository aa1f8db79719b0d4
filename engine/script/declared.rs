//! What a script says of itself before a job is read: the grid of a wall case, and inputs of its own.

use rhai::{Dynamic, Map};

use super::fault::ScriptFault;
use super::host::{Host, has};
use crate::files::FoundFile;
use crate::footing::GridKind;
use crate::measure::Choice;
use crate::problem::{Faults, Place, Problem};

/// An input that a script declares, as written.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct DeclaredInput {
    /// Its name in `[own]`.
    pub name: String,
    /// What it is.
    pub about: String,
    /// Unit of a measure, `percent` or `text`; none for counts and words.
    pub unit: Option<String>,
    /// The words that there are to choose from.
    pub choices: Option<Vec<String>>,
    /// Least of a length or count.
    pub least: Option<String>,
    /// Most of a length or count.
    pub most: Option<String>,
    /// What holds where the job does not give it; without one the job must.
    pub usual: Option<String>,
}

/// What a script declares.
#[derive(Debug, Clone, Default)]
pub struct Declared {
    /// The grid that it asks for: `fn grid()`.
    pub grid: Option<GridKind>,
    /// Its inputs: `fn inputs()`.
    pub inputs: Vec<DeclaredInput>,
}

/// Fields of a declaration.
const FIELDS: [&str; 7] = ["name", "about", "unit", "choices", "least", "most", "usual"];

impl Host {
    /// What a script declares; nothing of it works on a job.
    ///
    /// # Errors
    /// The script is faulty, or declares what has no meaning.
    pub fn declared(&self, script: &FoundFile) -> Result<Declared, ScriptFault> {
        let ast = self.compile(script)?;
        let mut declared = Declared::default();
        let whole = |problem: Problem| problem.at(Place::file(&script.shown));
        for name in ["grid", "inputs"] {
            if ast.iter_functions().any(|f| f.name == name && !f.params.is_empty()) {
                let problem = Problem::error(format!(
                    "fn {name}() is asked before there is a job, and takes nothing"
                ));
                return Err(whole(problem.help(format!("write fn {name}() {{ ... }}"))).into());
            }
        }
        if has(&ast, "grid", 0) {
            let word = self.call(&ast, script, "grid", ())?;
            let word = word.into_string().map_err(|kind| {
                whole(Problem::error(format!("fn grid() gives a {kind}")).help(grids()))
            })?;
            let grid = GridKind::named(&word).map_err(|problem| whole(problem.help(grids())))?;
            declared.grid = Some(grid);
        }
        if has(&ast, "inputs", 0) {
            let list = self.call(&ast, script, "inputs", ())?;
            let mut faults = Faults::none();
            let items = list.into_array().map_err(|_| whole(no_list()))?;
            for (at, item) in items.into_iter().enumerate() {
                let input = input(item).map_err(|mut problem| {
                    problem.message =
                        format!("input {} of fn inputs(): {}", at + 1, problem.message);
                    whole(problem)
                });
                declared.inputs.extend(faults.keep_one(input));
            }
            if faults.stop() {
                return Err(faults.into());
            }
        }
        Ok(declared)
    }
}

fn grids() -> String {
    format!("one of {}", GridKind::NAMES.join(", "))
}

fn no_list() -> Problem {
    Problem::error("fn inputs() gives no list").help(
        "for example: fn inputs() { [#{ name: \"weeps\", about: \"weep holes\", usual: 12 }] }",
    )
}

fn input(item: Dynamic) -> Result<DeclaredInput, Problem> {
    let map: Map = item.try_cast().ok_or_else(|| {
        Problem::error("it is no #{ name: ..., about: ... }").help("name and about say what it is")
    })?;
    if let Some(name) = map.keys().find(|name| !FIELDS.contains(&name.as_str())) {
        let problem = Problem::error(format!("\"{name}\" is nothing that is said of an input"));
        return Err(match crate::problem::closest(name, FIELDS) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help(format!("known: {}", FIELDS.join(", "))),
        });
    }
    let text = |name: &str| map.get(name).map(|value| words(name, value)).transpose();
    let required = |name: &str| {
        text(name)?.filter(|text| !text.is_empty()).ok_or_else(|| {
            Problem::error(format!("it has no {name}"))
                .help("every input has a name and says what it is: about")
        })
    };
    let name = required("name")?;
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    if !name.chars().all(plain) || !name.starts_with(|c: char| c.is_ascii_lowercase()) {
        return Err(Problem::error(format!("\"{name}\" is not a name of an input"))
            .help("small letters, digits and underscores, such as weep_holes"));
    }
    let choices = match map.get("choices") {
        None => None,
        Some(list) => {
            let list = list.clone().into_array();
            let list = list.map_err(|_| Problem::error("its choices are no list of words"))?;
            Some(list.iter().map(|word| words("choices", word)).collect::<Result<_, _>>()?)
        }
    };
    Ok(DeclaredInput {
        name,
        about: required("about")?,
        unit: text("unit")?,
        choices,
        least: text("least")?,
        most: text("most")?,
        usual: text("usual")?,
    })
}

/// A text, or a number as one writes it.
fn words(name: &str, value: &Dynamic) -> Result<String, Problem> {
    if let Ok(text) = value.clone().into_string() {
        return Ok(text);
    }
    if let Ok(whole) = value.as_int() {
        return Ok(whole.to_string());
    }
    if let Ok(number) = value.as_float() {
        return Ok(crate::measure::shortest(number));
    }
    Err(Problem::error(format!("its {name} is neither a text nor a number"))
        .help("measures are texts with a unit: usual: \"2 in\""))
}
