//! What a question is asked about: a job with its calc sheets, or a calc sheet alone; and its answer with inputs replaced.

use std::path::{Path, PathBuf};

use super::inputs::without_takeoff;
use super::open::is_book;
use super::sheets::{CalcSheets, replace_cells};
use super::{Job, Key, OpenOptions, Worked, worked};
use crate::files::{self, Layers};
use crate::footing::System;
use crate::measure::{StationStyle, Style};
use crate::problem::{Outcome, Problem};
use crate::script::Host;
use crate::sheet::{Inputs, NodeId, build, read_sheet, tested};
use crate::table::read_text_list;
use crate::workbook::{is_workbook, read_sheets};

/// A job, or a calc sheet without one.
#[derive(Debug, Clone)]
pub enum Subject {
    /// A job, and how it is opened.
    Job(PathBuf, OpenOptions),
    /// A file of calc sheets: csv, or every sheet of a workbook; units and currency.
    Sheets(PathBuf, System, String),
}

/// The answer for one set of inputs.
pub struct Answer {
    /// The job and its work; none for sheets alone.
    pub job: Option<(Job, Worked)>,
    /// The sheets.
    pub calc: CalcSheets,
}

impl Answer {
    /// A cell or input by name; a line of the takeoff may be named without its group of names.
    ///
    /// # Errors
    /// There is none; the message names the closest.
    pub fn find(&self, name: &str) -> Result<NodeId, Problem> {
        let book = &self.calc.book;
        if let Some(id) = book.find(name).or_else(|| book.find(&format!("takeoff.{name}"))) {
            return Ok(id);
        }
        let names = book.nodes().iter().map(|node| node.name.as_str());
        let problem = Problem::error(format!("there is no cell \"{name}\""));
        Err(match crate::problem::closest(name, names) {
            Some(near) => problem.help(format!("did you mean {near}?")),
            None => problem.help("cells are named sheet.cell, such as price.total"),
        })
    }
}

impl Answer {
    /// The key of a setting of the job.
    pub(super) fn key(&self, path: &str) -> Option<&Key> {
        self.job.as_ref()?.0.keys.find(path)
    }

    /// A line of the takeoff, whether a cell rests on it or none.
    pub fn line(&self, name: &str) -> Option<&crate::takeoff::Line> {
        let (_, worked) = self.job.as_ref()?;
        let id = name.strip_prefix("takeoff.").unwrap_or(name);
        worked.takeoff.as_ref()?.lines.iter().find(|line| line.id == id)
    }
}

/// Inputs of a sheet without a job: none.
struct NoInputs;

impl Inputs for NoInputs {
    fn missing(&self, path: &[String]) -> Option<Problem> {
        let first = path.first()?;
        let of_job = ["takeoff", "layout", "job", "wall", "prices", "bid", "allowances", "rules"];
        of_job.contains(&first.as_str()).then(|| {
            Problem::error(format!("{} is of a job, and this sheet stands alone", path.join(".")))
                .help("name the sheet in the list sheet of the job")
        })
    }
}

impl Subject {
    /// The subject of a path: a csv, or a workbook that is no input book, is a sheet alone, anything else a job.
    pub fn of(path: &Path, options: OpenOptions, system: System, currency: &str) -> Self {
        let name = path.to_string_lossy().to_lowercase();
        if name.ends_with(".csv") || is_workbook(&name) && !is_book(path) {
            Self::Sheets(path.to_path_buf(), system, currency.to_owned())
        } else {
            Self::Job(path.to_path_buf(), options)
        }
    }

    /// The answer with some inputs replaced: settings by path, cells by name.
    ///
    /// # Errors
    /// Anything that is wrong with the job, the sheets or the inputs.
    pub fn answer(&self, replaced: &[(String, String)]) -> Outcome<Answer> {
        match self {
            Self::Job(path, options) => {
                let mut options = options.clone();
                options.overrides.extend(replaced.iter().cloned());
                if !replaced.is_empty() {
                    options.script_time.another_question();
                }
                let job = Job::open(path, &options)?;
                let mut done = worked(&job)?;
                let calc = std::mem::take(&mut done.calc);
                Ok(Answer { job: Some((job, done)), calc })
            }
            Self::Sheets(path, system, currency) => {
                let calc = alone(path, *system, currency, replaced)?;
                Ok(Answer { job: None, calc })
            }
        }
    }
}

/// Works sheets out that stand alone.
fn alone(
    path: &Path,
    system: System,
    currency: &str,
    replaced: &[(String, String)],
) -> Outcome<CalcSheets> {
    let shown = path.display().to_string();
    let bytes = files::read_bytes(path)?;
    let tables = if is_workbook(&shown) {
        // Other tabs are left alone by a name that begins with _.
        let left = |name: Option<&String>| name.is_some_and(|name| name.starts_with('_'));
        read_sheets(&shown, &bytes, None)?
            .into_iter()
            .filter(|sheet| !sheet.hidden && !left(sheet.table.sheet.as_ref()))
            .map(|sheet| sheet.table)
            .collect()
    } else {
        vec![read_text_list(&shown, &bytes)?]
    };
    let stem = path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let mut faults = crate::problem::Faults::none();
    let mut sheets = Vec::new();
    for table in &tables {
        let name = table.sheet.clone().unwrap_or_else(|| stem.clone());
        let plain = name.to_lowercase().replace([' ', '-'], "_");
        sheets.extend(faults.keep(read_sheet(table, &plain, &name, &crate::sheet::Per::Job)));
    }
    if faults.stop() {
        return Err(faults);
    }
    replace_cells(&mut sheets, replaced)?;
    let style = Style::new(system, currency, StationStyle::HundredFeet);
    let host = Host::new(Layers::new(None, None), &style);
    let formulas = without_takeoff(&host, None)?;
    let (book, mut faults) = build(&sheets, &NoInputs, &formulas);
    faults.extend(super::sheets::foreign_units(&sheets, currency));
    let tested = tested(&sheets, &book, &formulas);
    faults.or_value(Some(CalcSheets { sheets, book, tested, ..CalcSheets::default() }))
}
