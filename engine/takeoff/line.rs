//! Lines of a takeoff: what passes between a wall case and every output.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use num_rational::BigRational;
use num_traits::{One, ToPrimitive, Zero};

use super::derivation::{Derivation, Share};
use super::made::Made;
use super::{Caution, OWN_CAUTION, WallJob};
use crate::footing::{Layout, Part, total};
use crate::measure::{Dimension, Exact, Quantity, System};
use crate::problem::{Faults, Place, Problem};

/// Where a line comes from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Trail {
    /// The function that measured it, or what it was made from.
    pub made_by: String,
    /// The script line that added it.
    pub place: Option<Place>,
    /// Keys of the sources that it rests on.
    pub sources: Vec<&'static str>,
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Its id, such as `footing.runs`; the first word is its group.
    pub id: String,
    /// What it is.
    pub label: String,
    /// How much.
    pub quantity: Exact,
    /// The unit that it is printed in.
    pub unit: String,
    /// How it follows.
    pub derivation: Derivation,
    /// Its parts, where it was measured; copies share them.
    pub parts: Arc<Vec<Part>>,
    /// Cautions that belong beside it.
    pub cautions: Vec<String>,
    /// Where it comes from.
    pub trail: Trail,
}

impl Line {
    /// The group of the line.
    pub fn group(&self) -> &str {
        self.id.split('.').next().unwrap_or(&self.id)
    }

    /// Its name in formulas.
    pub fn name(&self) -> String {
        format!("takeoff.{}", self.id)
    }

    /// The formula that it follows from; none where it is measured or a value of a script.
    pub fn formula(&self) -> Option<String> {
        self.derivation.formula(&self.unit, "takeoff")
    }
}

/// A takeoff.
#[derive(Debug, Clone)]
pub struct Takeoff {
    /// The job.
    pub job: Arc<WallJob>,
    /// The steps.
    pub layout: Arc<Layout>,
    /// The lines, in the order in which they were added.
    pub lines: Vec<Line>,
    /// Settings and listings that the wall case read: what it measured rests on them and does not follow a change.
    pub asked: BTreeSet<String>,
    /// Whether the formulas are worked out; until then what rests on one is not known.
    settled: bool,
    /// Lists that are made when they are first asked for.
    pub(super) made: Made,
}

/// A sheet that a script of the user adds to the workbook.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SheetDraft {
    /// Its title.
    pub title: String,
    /// Headings.
    pub columns: Vec<String>,
    /// Rows.
    pub rows: Vec<Vec<crate::listing::Datum>>,
    /// What is said of columns: unit, formula, total.
    pub rules: BTreeMap<usize, ColumnRule>,
    /// Columns that bars under the rows show.
    pub bars: Vec<usize>,
    /// The file of the script.
    pub script: String,
}

/// What a script says of a column of its sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ColumnRule {
    /// Its unit.
    pub unit: Option<String>,
    /// The formula of every row.
    pub formula: Option<String>,
    /// What stands under it, such as sum.
    pub total: Option<String>,
}

impl Takeoff {
    /// A takeoff without lines.
    pub fn new(job: Arc<WallJob>, layout: Arc<Layout>) -> Self {
        Self {
            job,
            layout,
            lines: Vec::new(),
            asked: BTreeSet::new(),
            settled: false,
            made: Made::default(),
        }
    }

    /// The same lines for a job and a layout that differ from its own in nothing that they rest on.
    #[must_use]
    pub fn of_job(&self, job: Arc<WallJob>, layout: Arc<Layout>) -> Self {
        let (lines, asked) = (self.lines.clone(), self.asked.clone());
        Self { job, layout, lines, asked, settled: self.settled, made: Made::default() }
    }

    /// A line by its id.
    ///
    /// # Errors
    /// There is none; the message names the closest.
    pub fn line(&self, id: &str) -> Result<&Line, Problem> {
        self.lines.iter().find(|line| line.id == id).ok_or_else(|| {
            let problem = Problem::error(format!("the takeoff has no line \"{id}\""));
            match crate::problem::closest(id, self.lines.iter().map(|line| line.id.as_str())) {
                Some(near) => problem.help(format!("did you mean \"{near}\"?")),
                None => problem.help("add the line first"),
            }
        })
    }

    /// Adds a line measured from parts.
    ///
    /// # Errors
    /// The id is taken or is no id.
    pub fn add(
        &mut self,
        id: &str,
        label: &str,
        parts: Vec<Part>,
        trail: Trail,
    ) -> Result<(), Problem> {
        let quantity = total(&parts, Dimension::VOLUME);
        self.enter(id, label, quantity, Derivation::Parts, parts, trail)
    }

    /// Adds a line with a value.
    ///
    /// # Errors
    /// The id is taken or is no id, or the value is not finite.
    pub fn add_value(
        &mut self,
        id: &str,
        label: &str,
        value: Quantity,
        trail: Trail,
    ) -> Result<(), Problem> {
        let exact = BigRational::from_float(value.base())
            .ok_or_else(|| Problem::error("the value is not a finite number"))?;
        let quantity = Exact { value: exact, dimension: value.dimension() };
        self.enter(id, label, quantity, Derivation::Value, Vec::new(), trail)
    }

    /// Adds the sum of lines.
    ///
    /// # Errors
    /// A line is missing or measures something else, or the id is taken.
    pub fn sum(
        &mut self,
        id: &str,
        label: &str,
        of: Vec<String>,
        trail: Trail,
    ) -> Result<(), Problem> {
        self.derive(id, label, Derivation::Sum(of), trail)
    }

    /// Adds another line times a factor.
    ///
    /// # Errors
    /// The line is missing, or the id is taken.
    pub fn scale(
        &mut self,
        id: &str,
        label: &str,
        of: &str,
        factor: Share,
        trail: Trail,
    ) -> Result<(), Problem> {
        let derivation = Derivation::Scaled { of: of.to_owned(), factor };
        self.derive(id, label, derivation, trail)
    }

    /// Adds another line increased by a share.
    ///
    /// # Errors
    /// The line is missing, or the id is taken.
    pub fn increase(
        &mut self,
        id: &str,
        label: &str,
        of: &str,
        share: Share,
        trail: Trail,
    ) -> Result<(), Problem> {
        let derivation = Derivation::Increased { of: of.to_owned(), share };
        self.derive(id, label, derivation, trail)
    }

    /// Adds what to order for a line: with waste, up to the next step, which may be a setting.
    ///
    /// # Errors
    /// The line is missing, the step measures something else or is not positive, or the id is taken.
    pub fn order(
        &mut self,
        id: &str,
        label: &str,
        of: &str,
        waste: Share,
        (step, step_from): (Exact, Option<String>),
        trail: Trail,
    ) -> Result<(), Problem> {
        let derivation = Derivation::Ordered { of: of.to_owned(), waste, step, step_from };
        self.derive(id, label, derivation, trail)
    }

    /// Adds a line that a formula gives, once the script has ended: [`Self::settle`].
    ///
    /// # Errors
    /// The unit is unknown, or the id is taken or is no id.
    pub fn add_formula(
        &mut self,
        id: &str,
        label: &str,
        unit: &str,
        formula: &str,
        trail: Trail,
    ) -> Result<(), Problem> {
        if unit == "percent" {
            return Err(Problem::error("a share is not an amount, and no line of a takeoff")
                .help("a cell of a calc sheet may be one; a line counts in each or measures"));
        }
        let dimension = crate::measure::unit(unit)?.dimension();
        let quantity = Exact { value: BigRational::zero(), dimension };
        let derivation = Derivation::Formula(formula.to_owned());
        self.enter(id, label, quantity, derivation, Vec::new(), trail)?;
        if let Some(line) = self.lines.last_mut() {
            unit.clone_into(&mut line.unit);
        }
        Ok(())
    }

    fn derive(
        &mut self,
        id: &str,
        label: &str,
        derivation: Derivation,
        trail: Trail,
    ) -> Result<(), Problem> {
        let quantity = self.follow(&derivation)?;
        self.enter(id, label, quantity, derivation, Vec::new(), trail)
    }

    /// What follows from other lines.
    fn follow(&self, derivation: &Derivation) -> Result<Exact, Problem> {
        let of = |id: &String| Ok::<_, Problem>(self.line(id)?.quantity.clone());
        let times = |id: &String, factor: &BigRational| {
            of(id).map(|exact| Exact { value: exact.value * factor, ..exact })
        };
        match derivation {
            Derivation::Sum(lines) => {
                let mut sum: Option<Exact> = None;
                for id in lines {
                    let next = of(id)?;
                    sum = Some(match sum {
                        None => next,
                        Some(sum) if sum.dimension == next.dimension => {
                            Exact { value: sum.value + next.value, ..sum }
                        }
                        Some(sum) => {
                            return Err(Problem::error(format!(
                                "\"{id}\" is {}, the lines before it are {}",
                                next.dimension, sum.dimension
                            )));
                        }
                    });
                }
                sum.ok_or_else(|| Problem::error("a sum of no lines"))
            }
            Derivation::Scaled { of: id, factor } => times(id, &factor.value),
            Derivation::Increased { of: id, share } => {
                times(id, &(BigRational::one() + &share.value))
            }
            Derivation::Ordered { of: id, waste, step, .. } => {
                let with_waste = times(id, &(BigRational::one() + &waste.value))?;
                let step_size = step.quantity();
                let steps = with_waste.quantity().round_up(step_size)?.divide(step_size)?;
                let whole = BigRational::from_integer(
                    crate::measure::round::nearest_f64(steps.base()).to_i64().unwrap_or(0).into(),
                );
                Ok(Exact { value: whole * &step.value, ..with_waste })
            }
            Derivation::Parts | Derivation::Formula(_) | Derivation::Value => {
                Err(Problem::error("this line follows from no other"))
            }
        }
    }

    /// Whether a line rests on a formula that is not worked out yet.
    pub fn waits(&self, id: &str) -> bool {
        let line = self.lines.iter().find(|line| line.id == id);
        !self.settled && line.is_some_and(|line| self.rests_on_formula(line))
    }

    fn rests_on_formula(&self, line: &Line) -> bool {
        let of = |id: &String| self.line(id).is_ok_and(|line| self.rests_on_formula(line));
        matches!(line.derivation, Derivation::Formula(_)) || line.derivation.of().iter().any(of)
    }

    /// Gives the lines with formulas of their own their values, and works out anew what follows from them.
    ///
    /// # Errors
    /// What follows is faulty, such as a step that is not a measure of its line.
    pub fn settle(&mut self, values: &BTreeMap<String, Exact>) -> Result<(), Faults> {
        let mut faults = Faults::none();
        let resting: Vec<bool> =
            self.lines.iter().map(|line| self.rests_on_formula(line)).collect();
        for line in &mut self.lines {
            if let Some(value) = values.get(&line.id) {
                line.quantity = value.clone();
            }
        }
        for at in (0..self.lines.len()).filter(|at| resting[*at]) {
            let line = &self.lines[at];
            if matches!(line.derivation, Derivation::Formula(_)) {
                continue;
            }
            let placed = |problem: Problem| match &line.trail.place {
                Some(place) => problem.at(place.clone()),
                None => problem,
            };
            if let Some(quantity) = faults.keep_one(self.follow(&line.derivation).map_err(placed)) {
                self.lines[at].quantity = quantity;
            }
        }
        self.settled = true;
        faults.or_value(Some(()))
    }

    /// The same with what is ordered not taken up to whole steps.
    ///
    /// # Errors
    /// What follows is faulty.
    pub fn without_order_steps(&self) -> Result<Self, Problem> {
        let mut other = self.clone();
        for at in 0..other.lines.len() {
            if let Derivation::Ordered { of, waste, .. } = &other.lines[at].derivation {
                let (of, share) = (of.clone(), waste.clone());
                other.lines[at].derivation = Derivation::Increased { of, share };
            }
            let derivation = &other.lines[at].derivation;
            if !derivation.of().is_empty() {
                other.lines[at].quantity = other.follow(derivation)?;
            }
        }
        Ok(other)
    }

    /// Whether every formula is worked out.
    pub fn is_settled(&self) -> bool {
        self.settled || !self.lines.iter().any(|line| self.rests_on_formula(line))
    }

    /// The cautions that its script put beside lines.
    pub fn own_cautions(&self) -> impl Iterator<Item = Caution> {
        self.lines.iter().flat_map(|line| {
            line.cautions.iter().map(|text| Caution {
                about: OWN_CAUTION,
                place: line.label.clone(),
                text: text.clone(),
                source: "company",
            })
        })
    }

    /// Puts a caution beside a line.
    ///
    /// # Errors
    /// The line is missing.
    pub fn caution(&mut self, id: &str, text: &str) -> Result<(), Problem> {
        self.line(id)?;
        for line in self.lines.iter_mut().filter(|line| line.id == id) {
            line.cautions.push(text.to_owned());
        }
        Ok(())
    }

    fn enter(
        &mut self,
        id: &str,
        label: &str,
        quantity: Exact,
        derivation: Derivation,
        parts: Vec<Part>,
        trail: Trail,
    ) -> Result<(), Problem> {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-');
        let says = |word: &str| word.chars().any(|c| c.is_ascii_alphanumeric());
        if !id.chars().all(plain) || !id.split('.').all(says) {
            return Err(Problem::error(format!("\"{id}\" is not an id for a line"))
                .help("words of letters, digits, dashes and underscores with dots between them, such as footing.runs"));
        }
        if quantity.dimension.point {
            return Err(Problem::error(format!(
                "\"{id}\" is {}, which has a zero of its own and is not an amount",
                quantity.dimension
            ))
            .help("a cell of a calc sheet may hold it; a line is an amount"));
        }
        if self.lines.iter().any(|line| line.id == id) {
            return Err(Problem::error(format!("there is a line \"{id}\" already")));
        }
        let unit = match quantity.dimension {
            // A count is of pieces.
            Dimension::NUMBER => "each".to_owned(),
            // A force among amounts is a weight.
            Dimension::FORCE if self.job.style.system == System::Metric => "kg".to_owned(),
            dimension => self.job.style.unit(dimension),
        };
        self.lines.push(Line {
            id: id.to_owned(),
            label: label.to_owned(),
            quantity,
            unit,
            derivation,
            parts: Arc::new(parts),
            cautions: Vec::new(),
            trail,
        });
        Ok(())
    }
}
