//! A company's own rules: inside the optimiser overlap, price of a step, choice of the wall type; after it marks of bars, first
//! bars, panels.
//!
//! Whoever answers with a measure or a type is asked twice and must answer the same; an answer is checked for its unit and range, rounded once,
//! and kept. The first bad answer stops the layout.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, Mutex};

use super::{CellAt, Site};
use crate::measure::{Dimension, Exact, Nm, Quantity, ratio, round};
use crate::problem::{Faults, Outcome, Problem};
use num_traits::ToPrimitive;

/// What a rule answers for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RuleHook {
    /// Overlap of a step.
    Overlap,
    /// Price of a step, in place of the rates for riser and rise.
    RiserPrice,
    /// Wall type of a stem height.
    WallType,
    /// Mark of a bar in the bar list.
    BarMark,
    /// How far from the end of a row its first bar stands.
    FirstBar,
    /// Panels that stand on each other.
    PanelStack,
}

impl RuleHook {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Overlap,
        Self::RiserPrice,
        Self::WallType,
        Self::BarMark,
        Self::FirstBar,
        Self::PanelStack,
    ];

    /// Name of its script and function.
    pub fn name(self) -> &'static str {
        match self {
            Self::Overlap => "overlap",
            Self::RiserPrice => "riser_price",
            Self::WallType => "wall_type",
            Self::BarMark => "bar_mark",
            Self::FirstBar => "first_bar",
            Self::PanelStack => "panel_stack",
        }
    }
}

/// A fact that a rule is told.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fact {
    /// A length.
    Length(Nm),
    /// A name.
    Name(String),
    /// A whole number.
    Count(i64),
    /// Several names.
    Names(Vec<String>),
    /// Several lengths.
    Lengths(Vec<Nm>),
}

/// What a rule answers.
#[derive(Debug, Clone, PartialEq)]
pub enum RuleAnswer {
    /// A measure.
    Measure(Quantity),
    /// Several measures.
    Measures(Vec<Quantity>),
    /// A name.
    Name(String),
    /// Nothing.
    Nothing,
}

/// Answers in place of the built-in rules.
pub trait StepHooks: Send + Sync {
    /// The file that answers, if one does.
    fn by(&self, hook: RuleHook) -> Option<&str>;

    /// Whether the rule may look at where on the wall it is asked: without it the same question is asked once.
    fn asks_where(&self, hook: RuleHook) -> bool;

    /// The answer to these facts.
    ///
    /// # Errors
    /// The rule itself fails.
    fn ask(&self, hook: RuleHook, facts: &[(&'static str, Fact)]) -> Outcome<RuleAnswer>;

    /// A fault of an answer, at the place of its rule.
    fn place(&self, hook: RuleHook, problem: Problem) -> Problem;
}

/// The rules of a job that are not built in, with what they have answered.
#[derive(Clone, Default)]
pub struct Hooks(Option<Arc<Asked>>);

struct Asked {
    rules: Box<dyn StepHooks>,
    known: Mutex<BTreeMap<(RuleHook, Vec<(&'static str, Fact)>), i128>>,
    fault: Mutex<Option<Faults>>,
}

impl fmt::Debug for Hooks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_list().entries(self.used()).finish()
    }
}

impl PartialEq for Hooks {
    fn eq(&self, other: &Self) -> bool {
        match (&self.0, &other.0) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        }
    }
}

/// Longest name that a rule may answer with, in letters.
const LONGEST_NAME: usize = 24;

/// No wall type, as an answer.
const NO_TYPE: i128 = -1;

impl Hooks {
    /// Rules that answer for some hooks.
    pub fn new(rules: Box<dyn StepHooks>) -> Self {
        if RuleHook::ALL.iter().all(|hook| rules.by(*hook).is_none()) {
            return Self(None);
        }
        let (known, fault) = (Mutex::default(), Mutex::default());
        Self(Some(Arc::new(Asked { rules, known, fault })))
    }

    /// Each rule that is not built in, and the file that has it.
    pub fn used(&self) -> Vec<(RuleHook, String)> {
        let by = |hook: RuleHook| Some((hook, self.0.as_ref()?.rules.by(hook)?.to_owned()));
        RuleHook::ALL.into_iter().filter_map(by).collect()
    }

    /// Whether there is a company rule of this kind.
    pub(super) fn has(&self, hook: RuleHook) -> bool {
        self.0.as_ref().is_some_and(|asked| asked.rules.by(hook).is_some())
    }

    fn asks_where(&self, hook: RuleHook) -> bool {
        self.0.as_ref().is_some_and(|asked| asked.rules.asks_where(hook))
    }

    /// Lengths that a company rule gives, if there is such a rule and it gives any; `check` says whether they will do. A bad
    /// answer is kept as a fault.
    pub fn lengths(
        &self,
        hook: RuleHook,
        facts: &[(&'static str, Fact)],
        check: impl Fn(&[Nm]) -> Result<(), Problem>,
    ) -> Option<Vec<Nm>> {
        let asked = self.0.as_ref().filter(|asked| asked.rules.by(hook).is_some())?;
        if self.fault().is_some() {
            return None;
        }
        let place = |problem| Faults::from(asked.rules.place(hook, problem));
        let answered = asked.rules.ask(hook, facts).and_then(|answer| {
            let given = match answer {
                RuleAnswer::Nothing => return Ok(None),
                RuleAnswer::Measures(given) => given,
                _ => Vec::new(),
            };
            let lengths: Option<Vec<Nm>> =
                given.iter().map(|given| exact(given)?.length()).collect();
            let lengths = lengths.filter(|lengths| !lengths.is_empty()).ok_or_else(|| {
                place(Problem::error(
                    "the rule must answer with a list of lengths, or () for the usual",
                ))
            })?;
            check(&lengths).map_err(place)?;
            Ok(Some(lengths))
        });
        match answered {
            Ok(lengths) => lengths,
            Err(faults) => {
                asked.fault.lock().ok()?.get_or_insert(faults);
                None
            }
        }
    }

    /// The first bad answer.
    pub fn fault(&self) -> Option<Faults> {
        self.0.as_ref()?.fault.lock().ok()?.clone()
    }

    /// The name that a company rule gives, if there is such a rule.
    pub fn name(&self, hook: RuleHook, facts: &[(&'static str, Fact)]) -> Option<Outcome<String>> {
        let asked = self.0.as_ref().filter(|asked| asked.rules.by(hook).is_some())?;
        Some(asked.rules.ask(hook, facts).and_then(|answer| match answer {
            RuleAnswer::Name(name)
                if !name.chars().any(char::is_control)
                    && (1..=LONGEST_NAME).contains(&name.trim().chars().count()) =>
            {
                Ok(name.trim().to_owned())
            }
            _ => {
                let problem = Problem::error("the rule must answer with a short text");
                let help = format!("1 to {LONGEST_NAME} letters, such as \"V3\"");
                Err(Faults::from(asked.rules.place(hook, problem.help(help))))
            }
        }))
    }

    fn answer(
        &self,
        hook: RuleHook,
        facts: Vec<(&'static str, Fact)>,
        check: impl Fn(&RuleAnswer) -> Result<i128, Problem>,
    ) -> Option<i128> {
        let asked = self.0.as_ref()?;
        // The first bad answer stops the layout: nothing is asked after it.
        if self.fault().is_some() {
            return None;
        }
        let key = (hook, facts);
        if let Some(known) = asked.known.lock().ok()?.get(&key) {
            return Some(*known);
        }
        let answer = || -> Outcome<i128> {
            let (first, second) = (asked.rules.ask(hook, &key.1)?, asked.rules.ask(hook, &key.1)?);
            let place = |problem| Faults::from(asked.rules.place(hook, problem));
            if first != second {
                let name = hook.name();
                return Err(place(
                    Problem::error(format!("{name} answers the same question in two ways"))
                        .help("a rule may depend only on what it is given"),
                ));
            }
            check(&first).map_err(place)
        };
        match answer() {
            Ok(value) => {
                asked.known.lock().ok()?.insert(key, value);
                Some(value)
            }
            Err(faults) => {
                asked.fault.lock().ok()?.get_or_insert(faults);
                None
            }
        }
    }
}

fn measure(answer: &RuleAnswer, dimension: Dimension, what: &str) -> Result<Exact, Problem> {
    let value = match answer {
        RuleAnswer::Measure(value) if value.dimension() == dimension => exact(value),
        _ => None,
    };
    value.ok_or_else(|| Problem::error(format!("the rule must answer with {what}")))
}

fn exact(quantity: &Quantity) -> Option<Exact> {
    let value = num_rational::BigRational::from_float(quantity.base())?;
    Some(Exact { value, dimension: quantity.dimension() })
}

/// Bars that stand one beside the other.
#[derive(Debug, Clone, Copy)]
pub struct RuledBars<'a> {
    /// Index of the wall.
    pub wall: usize,
    /// Running station of its start.
    pub from: Nm,
    /// How long the row is.
    pub length: Nm,
    /// What the bars are for.
    pub role: &'a str,
    /// How far apart they may be.
    pub spacing: Nm,
    /// How far from the end the first stands without a rule.
    pub usual: Nm,
}

/// A stretch of a wall that a rule is asked about, in running stations; of a riser both are its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct AskedAt {
    pub(super) wall: usize,
    pub(super) from: Nm,
    pub(super) to: Nm,
}

impl AskedAt {
    /// Of a riser.
    pub(super) fn at(wall: usize, station: Nm) -> Self {
        Self { wall, from: station, to: station }
    }
}

impl Site {
    /// Adds the wall and, for a rule that asks for it, where on it and in which zones.
    fn add_where(&self, hook: RuleHook, spot: AskedAt, facts: &mut Vec<(&'static str, Fact)>) {
        let line = &self.chain.walls()[spot.wall];
        facts.push(("wall", Fact::Name(line.id.clone())));
        if !self.hooks.asks_where(hook) {
            return;
        }
        let (from, to) = (spot.from - line.station, spot.to - line.station);
        let zones = self.rules.zones.iter();
        let zones =
            zones.filter(|zone| zone.wall == spot.wall && zone.from <= to && from <= zone.to);
        let mut names: Vec<String> = zones.map(|zone| zone.name.clone()).collect();
        names.sort();
        names.dedup();
        facts.push(("zones", Fact::Names(names)));
        if hook == RuleHook::WallType {
            facts.extend([("from", Fact::Length(from)), ("to", Fact::Length(to))]);
        } else {
            facts.push(("station", Fact::Length(from)));
        }
    }

    /// Facts of a step between two footings.
    fn facts(&self, low: CellAt, high: CellAt) -> Vec<(&'static str, Fact)> {
        let (low_type, high_type) = (&self.types[low.kind], &self.types[high.kind]);
        let rise = high.bottom + high_type.thickness - low.bottom - low_type.thickness;
        vec![
            ("rise", Fact::Length(rise)),
            ("thickness", Fact::Length(high_type.thickness)),
            ("low_thickness", Fact::Length(low_type.thickness)),
            ("width", Fact::Length(low_type.width)),
            ("low_type", Fact::Name(low_type.id.clone())),
            ("high_type", Fact::Name(high_type.id.clone())),
        ]
    }

    /// The company's overlap for a step that needs at least `needed`.
    pub(super) fn own_overlap(
        &self,
        spot: AskedAt,
        low: CellAt,
        high: CellAt,
        needed: Nm,
    ) -> Option<Nm> {
        if !self.hooks.has(RuleHook::Overlap) {
            return None;
        }
        let mut facts = self.facts(low, high);
        facts.push(("needed", Fact::Length(needed)));
        self.add_where(RuleHook::Overlap, spot, &mut facts);
        let step = self.rules.overlap_step;
        let value = self.hooks.answer(RuleHook::Overlap, facts, |answer| {
            let overlap = measure(answer, Dimension::LENGTH, "a length, such as 18.inch")?;
            let overlap = overlap
                .length()
                .ok_or_else(|| Problem::error("the overlap is not a length that can be counted"))?;
            if overlap < needed {
                return Err(Problem::error(format!(
                    "the overlap {} is shorter than {}, which throat and least overlap require",
                    self.system.tape(overlap, 64),
                    self.system.tape(needed, 64)
                ))
                .help(
                    "a company rule may require more than the rules of the job, never for less",
                ));
            }
            if overlap.0 % step.0 != 0 {
                return Err(Problem::error(format!(
                    "the overlap {} is not a multiple of {}",
                    self.system.tape(overlap, 64),
                    self.system.tape(step, 64)
                ))
                .help("round it up: round_up(x, 1.inch), or change rules.overlap_step"));
            }
            Ok(overlap.wide())
        })?;
        i64::try_from(value).ok().map(Nm)
    }

    /// The company's price of a step, in 1e-9 of the currency.
    pub(super) fn own_price(&self, spot: AskedAt, low: CellAt, high: CellAt) -> Option<i128> {
        if !self.hooks.has(RuleHook::RiserPrice) {
            return None;
        }
        let mut facts = self.facts(low, high);
        self.add_where(RuleHook::RiserPrice, spot, &mut facts);
        self.hooks.answer(RuleHook::RiserPrice, facts, |answer| {
            let price = measure(answer, Dimension::MONEY, "money, such as 185.usd")?;
            let nano = round::nearest_ratio(&(price.value * ratio(1_000_000_000, 1)));
            nano.to_i128()
                .filter(|nano| (0..1_000_000_000_000_000_000).contains(nano))
                .ok_or_else(|| Problem::error("the price of a step is from 0 to 1,000,000,000"))
        })
    }

    /// The company's distance of the first bar from the end of a row: no more than the bars are apart.
    pub fn own_first_bar(&self, row: RuledBars) -> Option<Nm> {
        if !self.hooks.has(RuleHook::FirstBar) {
            return None;
        }
        let mut facts = vec![
            ("role", Fact::Name(row.role.to_owned())),
            ("spacing", Fact::Length(row.spacing)),
            ("length", Fact::Length(row.length)),
            ("usual", Fact::Length(row.usual)),
        ];
        let spot = AskedAt { wall: row.wall, from: row.from, to: row.from + row.length };
        self.add_where(RuleHook::FirstBar, spot, &mut facts);
        let value = self.hooks.answer(RuleHook::FirstBar, facts, |answer| {
            let first = measure(answer, Dimension::LENGTH, "a length, such as 3.inch")?;
            let first = first.length().filter(|first| (Nm::ZERO..=row.spacing).contains(first));
            let first = first.ok_or_else(|| {
                let spacing = self.system.tape(row.spacing, 64);
                Problem::error(format!("the first bar stands no farther from the end than the bars are apart, {spacing}"))
            })?;
            Ok(first.wide())
        })?;
        i64::try_from(value).ok().map(Nm)
    }

    /// The company's wall type for a stem; the inner nothing is no type.
    pub(super) fn own_type(&self, spot: AskedAt, stem: Nm) -> Option<Option<usize>> {
        if stem <= Nm::ZERO || !self.hooks.has(RuleHook::WallType) {
            return None;
        }
        let mut facts = vec![("stem", Fact::Length(stem))];
        self.add_where(RuleHook::WallType, spot, &mut facts);
        let value = self.hooks.answer(RuleHook::WallType, facts, |answer| {
            let id = match answer {
                RuleAnswer::Nothing => return Ok(NO_TYPE),
                RuleAnswer::Name(id) => id,
                RuleAnswer::Measure(_) | RuleAnswer::Measures(_) => {
                    return Err(Problem::error(
                        "the rule must answer with the name of a wall type",
                    ));
                }
            };
            let index = self.types.iter().position(|row| row.id == *id).ok_or_else(|| {
                let ids: Vec<&str> = self.types.iter().map(|row| row.id.as_str()).collect();
                Problem::error(format!("there is no wall type {id}"))
                    .help(format!("the schedule has {}", ids.join(", ")))
            })?;
            let limit = self.types[index].stem_up_to;
            if stem > limit {
                return Err(Problem::error(format!(
                    "type {id} carries a stem of {}, the rule takes it for {}",
                    self.system.tape(limit, 16),
                    self.system.tape(stem, 16)
                ))
                .help("the limit is the engineer's; take a type that carries more"));
            }
            Ok(i128::try_from(index).unwrap_or(NO_TYPE))
        })?;
        Some(usize::try_from(value).ok())
    }
}
