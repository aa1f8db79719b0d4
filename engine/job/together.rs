//! Several structures of one site: each a job of its own, one bid, and where their work meets.

use std::path::{Path, PathBuf};

use num_rational::BigRational;

use super::variants::figures;
use super::{Answer, Job, OpenOptions, Subject};
use crate::earth::{Meeting, meeting};
use crate::files;
use crate::measure::CURRENCIES;
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::takeoff::{Derivation, Takeoff, cautions, place_on_wall};

/// A number of the structures, side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct SideBySide {
    /// What it is.
    pub what: String,
    /// Its name: a line of the takeoff, or a cell.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// By structure; nothing where one has no such number.
    pub values: Vec<Option<f64>>,
    /// All together; nothing where they do not add up to anything.
    pub sum: Option<f64>,
}

/// Several structures worked together.
#[derive(Debug, Clone, PartialEq)]
pub struct Together {
    /// Their names.
    pub names: Vec<String>,
    /// Their numbers.
    pub rows: Vec<SideBySide>,
    /// What is to be said of them: what a price lacks, where their work meets.
    pub notes: Vec<String>,
}

impl Together {
    /// The row of a name.
    pub fn row(&self, name: &str) -> Option<&SideBySide> {
        self.rows.iter().find(|row| row.name == name)
    }
}

/// Works several jobs out together.
///
/// # Errors
/// One is faulty or has no legal layout; two have one name, or other units or currencies; a lump sum that they share would be
/// in the price of each.
pub fn together(jobs: &[PathBuf], options: &OpenOptions) -> Outcome<Together> {
    let mut faults = Faults::none();
    let mut answers: Vec<(String, Answer)> = Vec::new();
    for path in jobs {
        let answer = Subject::Job(path.clone(), options.clone()).answer(&[]);
        let Some(answer) = faults.keep(answer) else { continue };
        let Some((job, worked)) = &answer.job else { continue };
        if worked.takeoff.is_none() {
            faults.extend(worked.no_layout.clone());
        }
        answers.push((job.wall_job.title.name.clone(), answer));
    }
    faults.extend(not_alike(&answers));
    if faults.stop() {
        return Err(faults);
    }
    let mut rows: Vec<SideBySide> = Vec::new();
    for (at, (_, answer)) in answers.iter().enumerate() {
        for (what, name, unit, value) in figures(answer) {
            let known = rows.iter().position(|row| row.name == name && row.unit == unit);
            let known = known.unwrap_or_else(|| {
                let values = vec![None; answers.len()];
                rows.push(SideBySide { what, name, unit, values, sum: None });
                rows.len() - 1
            });
            rows[known].values[at] = Some(value);
        }
    }
    for row in &mut rows {
        if answers.iter().all(|(_, answer)| adds_up(answer, row)) {
            row.sum = Some(row.values.iter().flatten().sum());
        }
        // A cell that one of them has and that came to nothing would be missing in the sum.
        let failed = |(value, (_, answer)): (&Option<f64>, &(String, Answer))| {
            value.is_none() && answer.calc.book.find(&row.name).is_some()
        };
        if row.values.iter().zip(&answers).any(failed) {
            row.sum = None;
        }
    }
    let mut notes = Vec::new();
    for (name, answer) in &answers {
        if !answer.calc.missing.is_empty() {
            notes.push(format!(
                "price, {name}: PARTIAL: not in it: {}",
                answer.calc.missing.join("; ")
            ));
        }
    }
    for (name, answer) in &answers {
        let Some((job, worked)) = &answer.job else { continue };
        let Some(takeoff) = &worked.takeoff else { continue };
        let own = takeoff.own_cautions();
        for caution in cautions(&job.wall_job, Some(&takeoff.layout)).into_iter().chain(own) {
            let place = if caution.place.is_empty() {
                String::new()
            } else {
                format!(" {}", caution.place)
            };
            notes.push(format!("caution, {name}{place}: {}", caution.text));
        }
        if !job.placed {
            notes.push(format!("{name} has no place in plan: nothing is told of where its work meets the others'; give alignment.start east and north, or points"));
        }
    }
    let placed = |answer: &Answer| answer.job.as_ref().is_some_and(|(job, _)| job.placed);
    for (at, (name, one)) in answers.iter().enumerate() {
        for (other_name, other) in &answers[at + 1..] {
            if placed(one) && placed(other) {
                notes.extend(met((name, one), (other_name, other)));
            }
        }
    }
    Ok(Together { names: answers.into_iter().map(|(name, _)| name).collect(), rows, notes })
}

/// Whether a number of several structures is a quantity or money that adds up: no rate, no greatest of something.
fn adds_up(answer: &Answer, row: &SideBySide) -> bool {
    if CURRENCIES.contains(&row.unit.as_str()) || row.name == "layout.risers" {
        return true;
    }
    // A formula may be the greatest of something; of volumes, areas and weights it is not.
    let amount = ["cy", "m3", "sf", "m2", "lb", "kg"].contains(&row.unit.as_str());
    let measured = answer
        .line(&row.name)
        .is_none_or(|line| amount || !matches!(line.derivation, Derivation::Formula { .. }));
    row.name.starts_with("takeoff.") && measured
}

/// What keeps jobs from being one bid.
fn not_alike(answers: &[(String, Answer)]) -> Faults {
    let mut faults = Faults::none();
    let jobs: Vec<&Job> =
        answers.iter().filter_map(|(_, answer)| Some(&answer.job.as_ref()?.0)).collect();
    let at = |job: &Job| Place::file(job.file.display().to_string());
    for (index, job) in jobs.iter().enumerate() {
        let style = &job.wall_job.style;
        if jobs[..index].iter().any(|other| other.wall_job.title.name == job.wall_job.title.name) {
            let name = &job.wall_job.title.name;
            let problem = Problem::error(format!("two structures are called {name}"));
            faults.push(problem.at(at(job)).help("give job.name of one another name"));
        }
        let first = &jobs[0].wall_job.style;
        if style.system != first.system || style.currency != first.currency {
            let problem =
                Problem::error("this structure has other units or another currency than the first");
            faults.push(
                problem.at(at(job)).help("one bid is in one: set job.units and job.currency"),
            );
        }
        for line in &job.priced.lines {
            let Some((name, place)) = line.lump_sum() else { continue };
            let same = |other: &&&Job| {
                let sums =
                    other.priced.lines.iter().filter_map(super::own_lines::OwnLine::lump_sum);
                sums.into_iter().any(|(other, at)| {
                    let same_file = files::same_place(Path::new(&at.file), Path::new(&place.file));
                    other == name && at.at == place.at && same_file
                })
            };
            if jobs[..index].iter().find(same).is_some() {
                let problem = Problem::error(format!(
                    "{name} is a lump sum that the structures share: it would be in the price of each"
                ));
                faults.push(problem.at(place.clone()).help("write it in the job.toml of one structure, or take it out of the others with job.without"));
            }
        }
    }
    faults
}

/// Where the work of two structures meets, in words.
fn met(one: (&str, &Answer), other: (&str, &Answer)) -> Vec<String> {
    let part = |answer: &Answer| -> Option<(Takeoff, BigRational, crate::earth::LaybackFrom)> {
        let takeoff = answer.job.as_ref()?.1.takeoff.clone()?;
        let allowed = &takeoff.job.allowances;
        let (layback, from) = (allowed.layback.clone(), allowed.layback_from);
        Some((takeoff, layback, from))
    };
    let (Some(a), Some(b)) = (part(one.1), part(other.1)) else { return Vec::new() };
    let Meeting { digs, footings } = meeting((&a.0.layout, &a.1, a.2), (&b.0.layout, &b.1, b.2));
    let mut notes = Vec::new();
    if let Some(station) = digs {
        notes.push(format!(
            "CAUTION: the digs of {} and {} meet, first at {}, by strips as wide as at the ground without the banks of ends: what they share is counted in both, and one may undermine or load the other; the order of work, and the load of one structure on the other, are for the engineer of record and a competent person on site",
            one.0,
            other.0,
            place_on_wall(&a.0.job, station)
        ));
    }
    if footings > 0.0 {
        notes.push(format!(
            "CAUTION: the footings of {} and {} lie over each other: about {:.2} cy ({:.2} m3) of concrete is counted in both, corners and overlaps of steps apart; how they join is the engineer of record's",
            one.0,
            other.0,
            footings / 27.0,
            footings * 0.028_316_846_592
        ));
    }
    notes
}
