//! The bar list of a layout: the groups, the marks of what is cut and bent, and their weights.

use std::collections::BTreeMap;
use std::sync::Arc;

use num_rational::BigRational;

use super::group::{BarGroup, BarRole};
use super::spec::SteelSpec;
use crate::footing::{Fact, Layout, RuleHook};
use crate::measure::{Choice, Nm, times_whole};
use crate::problem::{Faults, Outcome, Problem};

/// Bars of one size and shape, whatever they stand in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarMark {
    /// The mark.
    pub mark: String,
    /// What they are for.
    pub role: BarRole,
    /// Index of the size.
    pub bar: usize,
    /// Straight legs, out to out.
    pub legs: Vec<Nm>,
    /// How many.
    pub count: i64,
}

/// The bars of a layout.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BarList {
    /// What the plan says of them.
    pub spec: Arc<SteelSpec>,
    /// What stands where.
    pub groups: Vec<BarGroup>,
    /// What is cut and bent.
    pub marks: Vec<BarMark>,
    /// By group: indices of its marks.
    pub marks_of: Vec<Vec<usize>>,
}

impl BarMark {
    /// Length of one, out to out along its legs.
    pub fn length(&self) -> Nm {
        self.legs.iter().fold(Nm::ZERO, |sum, leg| sum + *leg)
    }

    /// Weight of all, in base units.
    pub fn weight(&self, spec: &SteelSpec) -> BigRational {
        times_whole(&spec.bars[self.bar].weight, (self.length() * self.count).wide())
    }
}

impl BarRole {
    /// The letter that its marks begin with, where the company has no scheme of its own.
    fn letter(self) -> &'static str {
        match self {
            Self::Vertical => "V",
            Self::Dowel => "D",
            Self::Transverse => "T",
            Self::Longitudinal => "L",
            Self::Link => "K",
            Self::FootingCorner => "F",
            Self::Step => "S",
            Self::Horizontal => "H",
            Self::WallCorner => "C",
        }
    }
}

impl BarList {
    /// The bars of a layout, marked by the company's scheme or by role and number.
    ///
    /// # Errors
    /// The company's scheme fails or gives two kinds of bars one mark; the weights of marks and of groups differ.
    pub fn of(layout: &Layout, spec: Arc<SteelSpec>) -> Outcome<Self> {
        let groups = super::bar_groups(layout, &spec);
        // Marks in the order of role, size and length, the longest first.
        type Shape = (usize, usize, std::cmp::Reverse<Nm>, Vec<Nm>);
        let mut counts: BTreeMap<Shape, i64> = BTreeMap::new();
        let shapes: Vec<Vec<Shape>> = groups
            .iter()
            .map(|group| {
                let bars = pieces(group, &spec);
                let shape = |(legs, count): (Vec<Nm>, i64)| {
                    let length = legs.iter().fold(Nm::ZERO, |sum, leg| sum + *leg);
                    let shape = (group.role as usize, group.bar, std::cmp::Reverse(length), legs);
                    *counts.entry(shape.clone()).or_default() += count;
                    shape
                };
                bars.into_iter().map(shape).collect()
            })
            .collect();
        let mut marks = Vec::new();
        let mut numbers: BTreeMap<usize, usize> = BTreeMap::new();
        let mut at: BTreeMap<&Shape, usize> = BTreeMap::new();
        for (shape, count) in &counts {
            let Some((_, role)) = BarRole::ALL.get(shape.0).copied() else { continue };
            let number = numbers.entry(shape.0).or_default();
            *number += 1;
            let mut mark = BarMark {
                mark: format!("{}{number}", role.letter()),
                role,
                bar: shape.1,
                legs: shape.3.clone(),
                count: *count,
            };
            if let Some(own) = own_mark(layout, &spec, &mark, *number) {
                mark.mark = own?;
            }
            at.insert(shape, marks.len());
            marks.push(mark);
        }
        let marks_of =
            shapes.iter().map(|shapes| shapes.iter().map(|shape| at[shape]).collect()).collect();
        if let Some(faults) = layout.site.hooks.fault() {
            return Err(faults);
        }
        let list = Self { spec, groups, marks, marks_of };
        list.checked(layout)
    }

    /// Length of all bars of each size by what they stand in, laps included.
    fn lengths_of_groups(&self) -> Vec<i128> {
        let mut lengths = vec![0; self.spec.bars.len()];
        for group in &self.groups {
            lengths[group.bar] += group.total(&self.spec).wide();
        }
        lengths
    }

    /// The same by mark.
    fn lengths_of_marks(&self) -> Vec<i128> {
        let mut lengths = vec![0; self.spec.bars.len()];
        for mark in &self.marks {
            lengths[mark.bar] += (mark.length() * mark.count).wide();
        }
        lengths
    }

    fn checked(self, layout: &Layout) -> Outcome<Self> {
        let mut known: BTreeMap<&str, &BarMark> = BTreeMap::new();
        let mut faults = Faults::none();
        for mark in &self.marks {
            if let Some(other) = known.insert(&mark.mark, mark) {
                let show = |mark: &BarMark| {
                    let size = &self.spec.bars[mark.bar].name;
                    format!(
                        "{} {size}, {}",
                        mark.role.name(),
                        layout.site.system.show(mark.length())
                    )
                };
                faults.push(
                    Problem::error(format!("mark {} stands for two kinds of bars", mark.mark))
                        .detail(format!("{}; {}", show(other), show(mark)))
                        .help("let bar_mark give each its own: bar.number is different for each"),
                );
            }
        }
        let longest = self.spec.longest_stock();
        for mark in self.marks.iter().filter(|mark| mark.length() > longest) {
            let show = |length| layout.site.system.show(length);
            faults.push(
                Problem::error(format!(
                    "bar {} {}, {}, is longer than the longest stock, {}",
                    mark.mark,
                    self.spec.bars[mark.bar].name,
                    show(mark.length()),
                    show(longest)
                ))
                .at(crate::problem::Place::file("job.toml"))
                .help("give a longer stock length: bars.stock"),
            );
        }
        // The weight of a size is its length times one factor.
        if self.lengths_of_marks() != self.lengths_of_groups() {
            faults.push(
                Problem::error("the weight of the bars by mark and by stretch differ")
                    .help("this is a fault of rodbook: please report it with the job"),
            );
        }
        faults.or_value(Some(self))
    }
}

/// The bars that a group is cut from: one shape, or stock lengths and the rest of each line.
fn pieces(group: &BarGroup, spec: &SteelSpec) -> Vec<(Vec<Nm>, i64)> {
    if group.pieces <= 1 {
        return vec![(group.legs.clone(), group.count)];
    }
    let (stock, lap) = (spec.longest_stock(), spec.bars[group.bar].lap);
    let whole = group.pieces - 1;
    let rest = group.length + lap * whole - stock * whole;
    vec![(vec![stock], whole * group.count), (vec![rest], group.count)]
}

/// The company's mark for a bar.
fn own_mark(
    layout: &Layout,
    spec: &SteelSpec,
    mark: &BarMark,
    number: usize,
) -> Option<Outcome<String>> {
    let number = i64::try_from(number).unwrap_or(i64::MAX);
    let bends = i64::try_from(mark.legs.len().saturating_sub(1)).unwrap_or(0);
    let facts = vec![
        ("role", Fact::Name(mark.role.name().to_owned())),
        ("size", Fact::Name(spec.bars[mark.bar].name.clone())),
        ("length", Fact::Length(mark.length())),
        ("bends", Fact::Count(bends)),
        ("count", Fact::Count(mark.count)),
        ("number", Fact::Count(number)),
    ];
    layout.site.hooks.name(RuleHook::BarMark, &facts)
}
