//! What the formulas of a job may name besides cells: settings, lines, columns of listings, facts of the layout and walls;
//! and the language that they are written in.

use num_rational::BigRational;

use super::{Job, bundled_keys};
use crate::catalogue::Value;
use crate::files::FoundFile;
use crate::footing::total;
use crate::listing::Datum;
use crate::measure::{Dimension, Exact, Quantity};
use crate::problem::{Outcome, Problem};
use crate::script::{FUNCTIONS, Formulas, Host, ScriptFault};
use crate::sheet::{Given, Input, Inputs, Origin};
use crate::takeoff::{Derivation, Line, SettingValue, Takeoff, WallJob, listing_of};

/// The language of a job's formulas.
///
/// # Errors
/// The script of functions is faulty.
pub fn formulas<'a>(job: &'a Job, takeoff: Option<&'a Takeoff>) -> Outcome<Formulas<'a>> {
    language(&job.host, takeoff, job.layers.replaced(FUNCTIONS)?)
}

/// The language of formulas before there is a takeoff.
///
/// # Errors
/// The script of functions is faulty.
pub(super) fn without_takeoff(host: &Host, functions: Option<FoundFile>) -> Outcome<Formulas<'_>> {
    language(host, None, functions)
}

fn language<'a>(
    host: &'a Host,
    takeoff: Option<&'a Takeoff>,
    functions: Option<FoundFile>,
) -> Outcome<Formulas<'a>> {
    Formulas::new(host, takeoff, functions).map_err(|fault| match fault {
        ScriptFault::Problems(faults) => faults,
        ScriptFault::NoLayout(..) => Problem::error("no layout of steps is legal").into(),
    })
}

/// What formulas of a job may name besides cells.
pub struct JobInputs<'a> {
    takeoff: &'a Takeoff,
}

impl<'a> JobInputs<'a> {
    /// The settings, lines, layout and walls of a takeoff.
    pub fn new(takeoff: &'a Takeoff) -> Self {
        Self { takeoff }
    }

    /// Whether a formula may name this.
    pub(super) fn has(&self, name: &str) -> bool {
        let path: Vec<String> = name.split('.').map(str::to_owned).collect();
        crate::sheet::Inputs::input(self, &path, None).is_some()
    }

    fn job(&self) -> &WallJob {
        &self.takeoff.job
    }

    fn unit(&self, dimension: Dimension) -> String {
        self.job().style.unit(dimension)
    }

    /// The setting that a path begins with.
    fn setting(&self, path: &[String]) -> Option<(usize, Input)> {
        (1..=path.len()).rev().find_map(|words| {
            let name = self.job().setting_path(&path[..words].join("."))?;
            let stated = self.job().settings.get(&name)?;
            let (value, unit) = match &stated.value {
                SettingValue::Measure(exact) => (value(exact.quantity()), stated.unit.clone()),
                #[expect(clippy::cast_precision_loss, reason = "counts of a job")]
                SettingValue::Count(count) => (Value::Number(*count as f64), String::new()),
                SettingValue::Text(text) => (Value::Text(text.clone()), "text".to_owned()),
            };
            let what = stated.about.to_owned();
            let origin = Origin::Setting(name.clone());
            let given = Given::Value(value);
            Some((words, Input { name, what, given, unit, origin }))
        })
    }

    /// The line of the takeoff that a path begins with, of one wall or of all.
    fn line(&self, path: &[String], wall: Option<&str>) -> Option<(usize, Input)> {
        (1..=path.len()).rev().find_map(|words| {
            let id = path[..words].join(".");
            let line = self.takeoff.lines.iter().find(|line| line.id == id)?;
            let (given, what, name) = match wall {
                None => (whole(line), line.label.clone(), format!("takeoff.{id}")),
                Some(wall) => (
                    self.share(line, wall).ok()?,
                    format!("{}, wall {wall}", line.label),
                    format!("wall.takeoff.{id}.{wall}"),
                ),
            };
            let unit = line.unit.clone();
            let origin = Origin::Line { id, wall: wall.map(str::to_owned) };
            Some((words, Input { name, what, given, unit, origin }))
        })
    }

    /// What of a line belongs to a wall: its parts there, and the same of the lines that it follows.
    ///
    /// # Errors
    /// It has none: parts at corners belong to two walls, and an order is made for the job.
    fn share(&self, line: &Line, wall: &str) -> Result<Given, Problem> {
        let help = "name the lines of the walls themselves, such as wall.takeoff.footing.runs";
        match &line.derivation {
            // A part that stands on no single wall stands at a corner of two.
            Derivation::Parts
                if line.parts.iter().any(|part| !self.walls().contains(&part.wall)) =>
            {
                let message =
                    format!("{} has parts at corners, which belong to two walls", line.id);
                Err(Problem::error(message).help(help))
            }
            Derivation::Parts => {
                let of_wall = line.parts.iter().filter(|part| part.wall == wall);
                let parts: Vec<_> = of_wall.cloned().collect();
                Ok(Given::Value(of_exact(&total(&parts, line.quantity.dimension))))
            }
            Derivation::Ordered { .. } | Derivation::Formula(_) | Derivation::Value => {
                let message = format!("{} is of the whole job and has no share by wall", line.id);
                Err(Problem::error(message).help(help))
            }
            follows => {
                for id in follows.of() {
                    self.share(self.takeoff.line(id)?, wall)?;
                }
                let formula = follows.formula(&line.unit, "wall.takeoff");
                let formula = formula.ok_or_else(|| Problem::error("a factor is not a number"))?;
                Ok(Given::Formula(formula, line.trail.place.clone()))
            }
        }
    }

    /// A fact of the job or its layout.
    fn fact(&self, path: &[String]) -> Option<(usize, Input)> {
        let layout = &self.takeoff.layout;
        let job = self.job();
        let length = |nm| Value::Measure(Quantity::length(nm));
        let [first, second, ..] = path else { return None };
        let (what, value) = match (first.as_str(), second.as_str()) {
            ("layout", "risers") => ("risers of the steps", count(layout.steps.len())),
            ("layout", "rise") => {
                let rises = layout.steps.iter().map(|step| step.tof_after - step.tof_before);
                let sum = rises.fold(crate::measure::Nm::ZERO, |sum, rise| sum + rise.abs());
                ("sum of all rises", length(sum))
            }
            ("layout", "riser_price") => {
                // By the company's rule where there is one, else by the prices of the job.
                let nano = layout.riser_prices();
                let own = nano.map(|nano| crate::measure::ratio(nano.iter().sum(), 1_000_000_000));
                let value = match own {
                    Some(value) => value,
                    None => self.usual_riser_price()?,
                };
                let price = Exact { value, dimension: Dimension::MONEY };
                ("risers of the steps, by the company's rule where there is one", of_exact(&price))
            }
            ("layout", "runs") => ("runs of footing", count(layout.steps.len() + 1)),
            ("job", "length") => ("length of all walls", length(layout.site.chain.length())),
            ("job", "walls") => ("number of walls", count(layout.site.chain.walls().len())),
            ("job", "name") => ("name of the job", Value::Text(job.title.name.clone())),
            ("job", "date") => {
                let date = crate::measure::read_date(job.title.date.as_deref()?).ok()?;
                ("bid date of the job", Value::Measure(date))
            }
            _ => return None,
        };
        let unit = match &value {
            Value::Measure(quantity) if quantity.dimension() == Dimension::DATE => {
                "date".to_owned()
            }
            Value::Measure(quantity) => self.unit(quantity.dimension()),
            _ => String::new(),
        };
        let name = format!("{first}.{second}");
        let origin = Origin::Job(name.clone());
        let given = Given::Value(value);
        Some((2, Input { name, what: what.to_owned(), given, unit, origin }))
    }

    /// Risers by the prices of the job; nothing where it gives none of what there is.
    fn usual_riser_price(&self) -> Option<BigRational> {
        let layout = &self.takeoff.layout;
        if layout.steps.is_empty() {
            return Some(crate::measure::ratio(0, 1));
        }
        let price = |name: &str| match &self.job().settings.get(name)?.value {
            SettingValue::Measure(exact) => Some(exact.value.clone()),
            _ => None,
        };
        let rises = layout.steps.iter().map(|step| (step.tof_after - step.tof_before).abs());
        let rise: crate::measure::Nm = rises.sum();
        let count = crate::measure::ratio(i128::try_from(layout.steps.len()).ok()?, 1);
        let by_rise = price("prices.rise")? * crate::measure::ratio(rise.wide(), 1);
        Some(price("prices.riser_each")? * count + by_rise)
    }

    /// A fact of one wall.
    fn wall(&self, path: &[String], wall: &str) -> Option<(usize, Input)> {
        let second = path.first()?;
        if second == "takeoff" {
            return self.line(&path[1..], Some(wall)).map(|(words, input)| (words + 1, input));
        }
        let site = &self.takeoff.layout.site;
        let at = site.chain.walls().iter().position(|line| line.id == wall)?;
        let (what, value) = match second.as_str() {
            "id" => ("name of the wall", Value::Text(wall.to_owned())),
            "length" => (
                "length of the wall",
                Value::Measure(Quantity::length(site.chain.walls()[at].length)),
            ),
            "stem" => {
                ("thickness of the stem", Value::Measure(Quantity::length(site.walls[at].stem)))
            }
            "risers" => (
                "risers on the wall",
                count(self.takeoff.layout.steps.iter().filter(|step| step.wall == at).count()),
            ),
            _ => return None,
        };
        let unit = match &value {
            Value::Measure(quantity) => self.unit(quantity.dimension()),
            Value::Text(_) => "text".to_owned(),
            _ => String::new(),
        };
        let name = format!("wall.{second}.{wall}");
        let origin = Origin::Job(name.clone());
        let given = Given::Value(value);
        Some((1, Input { name, what: format!("{what} {wall}"), given, unit, origin }))
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of a job")]
fn count(number: usize) -> Value {
    Value::Number(number as f64)
}

fn value(quantity: Quantity) -> Value {
    match quantity.dimension() {
        Dimension::NUMBER => Value::Number(quantity.base()),
        _ => Value::Measure(quantity),
    }
}

fn of_exact(exact: &Exact) -> Value {
    value(exact.quantity())
}

/// A line of the whole job.
fn whole(line: &Line) -> Given {
    match line.formula() {
        Some(formula) => Given::Formula(formula, line.trail.place.clone()),
        None => Given::Value(of_exact(&line.quantity)),
    }
}

/// Listings of lines, which formulas of lines cannot rest on.
const OF_LINES: [&str; 2] = ["lines", "parts"];

impl Inputs for JobInputs<'_> {
    /// Every line that follows from others: the workbook writes each as a live formula.
    fn always(&self) -> Vec<Vec<String>> {
        let follows = self.takeoff.lines.iter().filter(|line| line.formula().is_some());
        let path = |line: &Line| {
            let words = ["takeoff"].into_iter().chain(line.id.split('.'));
            words.map(str::to_owned).collect()
        };
        follows.map(path).collect()
    }

    fn input(&self, path: &[String], wall: Option<&str>) -> Option<(usize, Input)> {
        let first = path.first()?;
        match (first.as_str(), wall) {
            ("takeoff", _) => self.line(&path[1..], None).map(|(words, input)| (words + 1, input)),
            ("wall", Some(wall)) => {
                self.wall(&path[1..], wall).map(|(words, input)| (words + 1, input))
            }
            _ => self.fact(path).or_else(|| self.setting(path)),
        }
    }

    fn list(&self, path: &[String]) -> Option<(usize, Vec<Option<Input>>)> {
        let [name, column, ..] = path else { return None };
        let takeoff = self.takeoff;
        if OF_LINES.contains(&name.as_str()) && !takeoff.is_settled() {
            return None;
        }
        let listing = listing_of(name, self.job(), Some(&takeoff.layout), Some(takeoff));
        let listing = listing.ok().flatten()?;
        let at = listing.column(column)?;
        let about = listing.columns()[at].about;
        let input = |(row, cells): (usize, &Vec<Datum>)| {
            let datum = &cells[at];
            let (value, unit) = match (datum, datum.quantity()) {
                (_, Some(quantity)) => {
                    (value(quantity), datum.number(self.job().style.system)?.1.to_owned())
                }
                (Datum::Text(text), _) => (Value::Text(text.clone()), "text".to_owned()),
                (Datum::Flag(flag), _) => (Value::Flag(*flag), "yes/no".to_owned()),
                _ => return None,
            };
            let name = format!("{name}.{column}.{}", row + 1);
            let what = format!("{about}, row {} of {}", row + 1, listing.name());
            let origin = Origin::Job(name.clone());
            Some(Input { name, what, given: Given::Value(value), unit, origin })
        };
        Some((2, (0..).zip(&listing.rows).map(input).collect()))
    }

    fn rows(&self, name: &str) -> Result<usize, Problem> {
        let takeoff = self.takeoff;
        let listing = listing_of(name, self.job(), Some(&takeoff.layout), Some(takeoff));
        match listing.ok().flatten() {
            Some(listing) => Ok(listing.rows.len()),
            None => {
                let problem = Problem::error(format!("the job has no listing {name}"));
                let known = self.job().sources().map(|source| source.declaration.name);
                Err(match crate::problem::closest(name, known) {
                    Some(near) if near != name => problem.help(format!("did you mean {near}?")),
                    _ => problem.help("templates/LISTINGS.md has all of them and what each needs"),
                })
            }
        }
    }

    fn missing(&self, path: &[String]) -> Option<Problem> {
        if path.first().is_some_and(|first| first == "row") {
            return Some(Problem::error("there is no row here").help(
                "row.length is of a row of the listing that a sheet goes through: rows = \"runs\" in its entry of the list sheet",
            ));
        }
        let name = path.join(".");
        if name == "layout.riser_price" {
            return Some(Problem::error("the job gives no price of risers").help(
                "prices.riser_each and prices.rise in job.toml: one footing riser, and its height",
            ));
        }
        if name == "job.date" {
            return Some(
                Problem::error("the job has no bid date")
                    .help("give job.bid_date in job.toml, or --date 2026-11-25"),
            );
        }
        if path.first().is_some_and(|first| first == "own") {
            return Some(Problem::error(format!("no input is called {name}")).help(
                "inputs are declared by fn inputs() of the wall case or of functions.rhai; rodbook keys own --job JOB lists them",
            ));
        }
        if let Some(price) = bundled_keys().find(|key| key.path == name)
            && name.starts_with("prices.")
        {
            return Some(Problem::error(format!("{name} is not given: {}", price.about)).help(
                "give it, 0 where it costs nothing, or take what rests on it out of the price sheet",
            ));
        }
        if let [listing, column, ..] = path
            && let Some(source) =
                self.job().sources().find(|source| source.declaration.name == listing)
        {
            return Some(match source.declaration.column(column) {
                Err(problem) => problem,
                Ok(_) if OF_LINES.contains(&listing.as_str()) && !self.takeoff.is_settled() => {
                    Problem::error(format!("the formula of a line cannot rest on {name}"))
                        .help("it is one of them: name the lines themselves, such as takeoff.footing.runs")
                }
                Ok(_) => Problem::error(format!("{name} is not known to the sheets"))
                    .help("they name what the job and its least-cost layout give"),
            });
        }
        if path.first().is_some_and(|first| first == "wall") && path.len() > 1 {
            let id = path[1..].join(".");
            let id = id.strip_prefix("takeoff.").map(str::to_owned);
            let line = id.and_then(|id| self.takeoff.lines.iter().find(|line| line.id == id));
            let walls = self.walls();
            if let Some(problem) = line.and_then(|line| self.share(line, walls.first()?).err()) {
                return Some(problem);
            }
            let known = ["id", "length", "stem", "risers"].contains(&path[1].as_str());
            return (known || line.is_some()).then(|| {
                Problem::error(format!(
                    "{name} is of one wall, and this sheet is worked out once for the job"
                ))
                .help("per = \"wall\" in its entry of the list sheet works it out for each wall")
            });
        }
        let key = bundled_keys().find(|key| key.path == name)?;
        Some(Problem::error(format!("the job does not give {name}")).help(format!(
            "{name} in job.toml: {}; {}",
            key.about,
            key.kind.words()
        )))
    }

    fn names(&self) -> Vec<String> {
        let job = self.job();
        let mut names: Vec<String> =
            job.settings.keys().map(|key| job.setting_by_id(key)).collect();
        names.extend(self.takeoff.lines.iter().map(|line| format!("takeoff.{}", line.id)));
        let facts = [
            "layout.risers",
            "layout.rise",
            "layout.riser_price",
            "layout.runs",
            "job.length",
            "job.walls",
            "job.name",
            "job.date",
            "wall.length",
            "wall.stem",
            "wall.risers",
            "wall.id",
        ];
        names.extend(facts.map(str::to_owned));
        for declared in self.job().sources().map(|source| source.declaration) {
            let columns = declared.columns.iter();
            names.extend(columns.map(|column| format!("{}.{}", declared.name, column.name)));
        }
        names
    }

    fn walls(&self) -> Vec<String> {
        self.takeoff.layout.site.chain.walls().iter().map(|wall| wall.id.clone()).collect()
    }
}
