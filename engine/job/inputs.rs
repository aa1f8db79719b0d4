//! What the formulas of a job may name besides cells: settings, lines, columns of listings, facts of the layout and walls;
//! and the language that they are written in.

use num_rational::BigRational;
use num_traits::{One, Zero};

use super::{Job, KEYS};
use crate::catalogue::Value;
use crate::files::Found;
use crate::footing::total;
use crate::listing::Datum;
use crate::measure::{Dimension, Exact, Quantity};
use crate::problem::{Outcome, Problem};
use crate::script::{FUNCTIONS, Formulas, Host, ScriptFault};
use crate::sheet::{Input, Inputs, Origin};
use crate::takeoff::{Derivation, Line, Setting, Takeoff, WallJob, listing_of, unit_for};

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
pub(super) fn without_takeoff(host: &Host, functions: Option<Found>) -> Outcome<Formulas<'_>> {
    language(host, None, functions)
}

fn language<'a>(
    host: &'a Host,
    takeoff: Option<&'a Takeoff>,
    functions: Option<Found>,
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

    fn job(&self) -> &WallJob {
        &self.takeoff.job
    }

    fn unit(&self, dimension: Dimension) -> String {
        unit_for(dimension, self.job().system, &self.job().currency)
    }

    /// The setting that a path begins with.
    fn setting(&self, path: &[String]) -> Option<(usize, Input)> {
        (1..=path.len()).rev().find_map(|words| {
            let name = path[..words].join(".");
            let key = KEYS.iter().find(|key| key.path == name);
            let (value, unit) = match self.job().settings.get(&name)? {
                Setting::Measure(exact) => {
                    let unit = match key {
                        Some(key) => key.unit(exact.dimension, self.job()),
                        None => self.unit(exact.dimension),
                    };
                    (value(exact.quantity()), unit)
                }
                #[expect(clippy::cast_precision_loss, reason = "counts of a job")]
                Setting::Count(count) => (Value::Number(*count as f64), String::new()),
                Setting::Text(text) => (Value::Text(text.clone()), "text".to_owned()),
            };
            let about = key.map_or("", |key| key.about);
            let origin = Origin::Setting(name.clone());
            Some((words, Input { name, what: about.to_owned(), value, unit, origin }))
        })
    }

    /// The line of the takeoff that a path begins with, of one wall or of all.
    fn line(&self, path: &[String], wall: Option<&str>) -> Option<(usize, Input)> {
        (1..=path.len()).rev().find_map(|words| {
            let id = path[..words].join(".");
            let line = self.takeoff.lines.iter().find(|line| line.id == id)?;
            if self.takeoff.waits(&id) {
                return None;
            }
            let (exact, what, name) = match wall {
                None => (line.quantity.clone(), line.label.clone(), format!("takeoff.{id}")),
                Some(wall) => (
                    self.share(line, wall).ok()?,
                    format!("{}, wall {wall}", line.label),
                    format!("wall.takeoff.{id}.{wall}"),
                ),
            };
            let unit = line.unit.clone();
            let input =
                Input { name, what, value: of_exact(&exact), unit, origin: Origin::Line(id) };
            Some((words, input))
        })
    }

    /// What of a line belongs to a wall: its parts there, and the same of the lines that it follows.
    ///
    /// # Errors
    /// It has none: parts at corners belong to two walls, and an order is made for the job.
    fn share(&self, line: &Line, wall: &str) -> Result<Exact, Problem> {
        let of = |id: &String| {
            let other = self.takeoff.lines.iter().find(|line| line.id == *id);
            other
                .ok_or_else(|| Problem::error(format!("the takeoff has no line {id}")))
                .and_then(|other| self.share(other, wall))
        };
        let times =
            |exact: Exact, factor: &BigRational| Exact { value: exact.value * factor, ..exact };
        match &line.derivation {
            // A part that stands on no single wall stands at a corner of two.
            Derivation::Parts
                if line.parts.iter().any(|part| !self.walls().contains(&part.wall)) =>
            {
                Err(Problem::error(format!(
                    "{} has parts at corners, which belong to two walls",
                    line.id
                ))
                .help("name the lines of the walls themselves, such as wall.takeoff.footing.runs"))
            }
            Derivation::Parts => {
                let parts: Vec<_> =
                    line.parts.iter().filter(|part| part.wall == wall).cloned().collect();
                Ok(total(&parts, line.quantity.dimension))
            }
            Derivation::Sum(lines) => {
                let mut sum =
                    Exact { value: BigRational::zero(), dimension: line.quantity.dimension };
                for id in lines {
                    sum.value += of(id)?.value;
                }
                Ok(sum)
            }
            Derivation::Scaled { of: id, factor } => Ok(times(of(id)?, factor)),
            Derivation::Increased { of: id, share } => {
                Ok(times(of(id)?, &(BigRational::one() + &share.value)))
            }
            Derivation::Ordered { .. } | Derivation::Formula(_) | Derivation::Value => Err(
                Problem::error(format!("{} is of the whole job and has no share by wall", line.id))
                    .help(
                        "name the lines of the walls themselves, such as wall.takeoff.footing.runs",
                    ),
            ),
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
            _ => return None,
        };
        let unit = match &value {
            Value::Measure(quantity) => self.unit(quantity.dimension()),
            _ => String::new(),
        };
        let name = format!("{first}.{second}");
        let origin = Origin::Job(name.clone());
        Some((2, Input { name, what: what.to_owned(), value, unit, origin }))
    }

    /// Risers by the prices of the job; nothing where it gives none.
    fn usual_riser_price(&self) -> Option<BigRational> {
        let layout = &self.takeoff.layout;
        let price = |name: &str| match self.job().settings.get(name)? {
            Setting::Measure(exact) => Some(exact.value.clone()),
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
        Some((1, Input { name, what: format!("{what} {wall}"), value, unit, origin }))
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

impl Inputs for JobInputs<'_> {
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

    fn list(&self, path: &[String]) -> Option<(usize, Vec<Input>)> {
        let [name, column, ..] = path else { return None };
        let takeoff = self.takeoff;
        let listing = listing_of(name, self.job(), Some(&takeoff.layout), Some(takeoff));
        let listing = listing.ok().flatten()?;
        let at = listing.column(column)?;
        let about = listing.columns()[at].about;
        let input = |(row, cells): (usize, &Vec<Datum>)| {
            let datum = &cells[at];
            let (value, unit) = match (datum, datum.quantity()) {
                (_, Some(quantity)) => {
                    (value(quantity), datum.number(self.job().system)?.1.to_owned())
                }
                (Datum::Text(text), _) => (Value::Text(text.clone()), "text".to_owned()),
                (Datum::Flag(flag), _) => (Value::Flag(*flag), "yes/no".to_owned()),
                _ => return None,
            };
            let name = format!("{name}.{column}.{}", row + 1);
            let what = format!("{about}, row {} of {}", row + 1, listing.name());
            let origin = Origin::Job(name.clone());
            Some(Input { name, what, value, unit, origin })
        };
        Some((2, (0..).zip(&listing.rows).filter_map(input).collect()))
    }

    fn missing(&self, path: &[String]) -> Option<Problem> {
        let name = path.join(".");
        if let Some(id) = name.strip_prefix("takeoff.").filter(|id| self.takeoff.waits(id)) {
            return Some(
                Problem::error(format!("line {id} is worked out after this formula"))
                    .help("lines are worked out from the first to the last: add it above"),
            );
        }
        if let [listing, column, ..] = path
            && let Some(source) =
                self.job().sources().find(|source| source.declaration.name == listing)
        {
            return Some(match source.declaration.column(column) {
                Err(problem) => problem,
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
                .help("per = \"wall\" in its [[sheet]] works it out for each wall")
            });
        }
        let key = KEYS.iter().find(|key| key.path == name)?;
        Some(Problem::error(format!("the job does not give {name}")).help(format!(
            "{name} in job.toml: {}; {}",
            key.about,
            key.kind.words()
        )))
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = self.job().settings.keys().cloned().collect();
        names.extend(self.takeoff.lines.iter().map(|line| format!("takeoff.{}", line.id)));
        let facts = [
            "layout.risers",
            "layout.rise",
            "layout.riser_price",
            "layout.runs",
            "job.length",
            "job.walls",
            "job.name",
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
