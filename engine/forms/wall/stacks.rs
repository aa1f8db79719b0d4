//! Other stacks than the fewest panels, where the yard is short of some: which of them cost the least.

use std::collections::BTreeMap;

use microlp::{
    ComparisonOp, Error, OptimizationDirection, Problem, SolutionStatus, SolveOptions, Variable,
};
use num_rational::BigRational;
use num_traits::{Signed, Zero};

use crate::measure::round::nearest_f64;
use crate::measure::{Nm, nearest_double, times_whole};

/// Most stacks of one height that are looked at, those of the fewest panels first.
const MOST_STACKS: usize = 200;

/// Most branches of one search. A bound on work and not on time, so that the answer is the same on every machine.
const MOST_NODES: u64 = 2_000;

/// What a panel height may be had for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Supply {
    pub(super) height: Nm,
    /// How many there are.
    pub(super) there: i64,
    /// What setting one costs, its ties included.
    pub(super) each: BigRational,
    /// What one more than there are costs beside it; nothing where there are no more.
    pub(super) more: Option<BigRational>,
}

/// Panels of both faces in another stack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StackUse {
    /// Height of the forms.
    pub height: Nm,
    /// Panel heights, the tallest first.
    pub stack: Vec<Nm>,
    /// How many widths of a panel stand so, each on both faces.
    pub modules: i64,
}

/// What is chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Chosen {
    pub(super) uses: Vec<StackUse>,
    /// How many more than there are, by height.
    pub(super) more: BTreeMap<Nm, i64>,
    /// What panels, ties and those more cost.
    pub(super) cost: BigRational,
    /// Whether nothing costs less.
    pub(super) proven: bool,
}

/// Why there are no stacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NoStacks {
    /// What there is does not do.
    NotThere,
    /// The search ended at its bounds.
    GaveUp,
}

/// Every stack of sizes in descending order that adds up to a height, those of the fewest first; and whether these are all.
fn stacks(height: Nm, sizes: &[Nm]) -> (Vec<Vec<Nm>>, bool) {
    let mut found: Vec<Vec<Nm>> = Vec::new();
    let smallest = sizes.iter().copied().min().unwrap_or(Nm::FOOT);
    let most = height.0 / smallest.0.max(1);
    for count in 1..=most {
        add_stacks(height, sizes, count, &mut Vec::new(), &mut found);
        if found.len() >= MOST_STACKS {
            return (found, false);
        }
    }
    (found, true)
}

fn add_stacks(left: Nm, sizes: &[Nm], count: i64, stack: &mut Vec<Nm>, found: &mut Vec<Vec<Nm>>) {
    let Some((first, others)) = sizes.split_first() else { return };
    if found.len() >= MOST_STACKS || *first * count < left {
        return;
    }
    if count == 1 {
        if sizes.contains(&left) {
            found.push([stack.as_slice(), &[left]].concat());
        }
        return;
    }
    if *first < left {
        stack.push(*first);
        add_stacks(left - *first, sizes, count - 1, stack, found);
        stack.pop();
    }
    add_stacks(left, others, count, stack, found);
}

/// The stacks that cost the least for some forms, by height and number of widths.
///
/// Each width of a panel stands in one stack on both faces. A stack costs what its panels cost, and what they take beyond what
/// there is costs more. The cost hangs on how many panels of each height stand: first these counts are sought with stacks that
/// need not be whole, then whole stacks of these counts; where there are none, both together.
///
/// # Errors
/// What there is does not do, or the search found nothing within its bounds.
pub(super) fn least_stacks(
    wanted: &BTreeMap<Nm, i64>,
    supply: &[Supply],
) -> Result<Chosen, NoStacks> {
    let model = Model::of(wanted, supply);
    let counts = model.solve(Sought::Counts)?;
    let settled = model.solve(Sought::Stacks(&counts.counts));
    let found = match settled {
        Ok(found) => Found { proven: counts.proven, ..found },
        Err(_) => model.solve(Sought::Both)?,
    };
    let proven = model.all && found.proven;
    let uses = model.uses.into_iter().zip(found.modules);
    let uses = uses.map(|(one, modules)| StackUse { modules, ..one });
    let uses = uses.filter(|stack| stack.modules > 0).collect();
    counted(wanted, supply, uses, proven).ok_or(NoStacks::GaveUp)
}

/// What is to be whole.
#[derive(Clone, Copy)]
enum Sought<'a> {
    /// Counts of panels.
    Counts,
    /// Stacks, with these counts of panels of one face.
    Stacks(&'a [i64]),
    /// Both.
    Both,
}

/// A solution.
struct Found {
    /// Widths of each stack; whole where stacks were sought.
    modules: Vec<i64>,
    /// Panels of each height on one face.
    counts: Vec<i64>,
    /// Whether nothing costs less.
    proven: bool,
}

/// Stacks, panels and what they cost.
struct Model<'a> {
    wanted: &'a BTreeMap<Nm, i64>,
    supply: &'a [Supply],
    uses: Vec<StackUse>,
    /// Whether these are all stacks.
    all: bool,
}

impl<'a> Model<'a> {
    fn of(wanted: &'a BTreeMap<Nm, i64>, supply: &'a [Supply]) -> Self {
        // Tallest first.
        let sizes: Vec<Nm> = supply.iter().map(|one| one.height).collect();
        let (mut uses, mut all) = (Vec::new(), true);
        for height in wanted.keys() {
            let (stacks, complete) = stacks(*height, &sizes);
            all &= complete;
            let of = |stack| StackUse { height: *height, stack, modules: 0 };
            uses.extend(stacks.into_iter().map(of));
        }
        Self { wanted, supply, uses, all }
    }

    fn solve(&self, sought: Sought) -> Result<Found, NoStacks> {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let modules: Vec<Variable> = self
            .uses
            .iter()
            .map(|one| {
                let most = self.wanted.get(&one.height).copied().unwrap_or(0);
                let most = i32::try_from(most).unwrap_or(i32::MAX);
                match sought {
                    Sought::Counts => problem.add_var(0.0, (0.0, f64::from(most))),
                    _ => problem.add_integer_var(0.0, (0, most)),
                }
            })
            .collect();
        for (height, most) in self.wanted {
            let of_height = modules.iter().zip(&self.uses).filter(|(_, one)| one.height == *height);
            let row: Vec<(Variable, f64)> =
                of_height.map(|(variable, _)| (*variable, 1.0)).collect();
            problem.add_constraint(&row, ComparisonOp::Eq, float(*most));
        }
        let mut counts = Vec::new();
        for (at, one) in self.supply.iter().enumerate() {
            let both_faces = nearest_double(&times_whole(&one.each, 2));
            let range = match sought {
                Sought::Stacks(counts) => {
                    let count = i32::try_from(counts[at]).unwrap_or(i32::MAX);
                    (count, count)
                }
                _ => (0, i32::MAX),
            };
            let count = problem.add_integer_var(both_faces, range);
            counts.push(count);
            let taken = self.uses.iter().zip(&modules);
            let taken =
                taken.map(|(stack, variable)| (*variable, float(stack.panels(one.height) / 2)));
            let mut row: Vec<(Variable, f64)> = taken.filter(|(_, panels)| *panels > 0.0).collect();
            row.push((count, -1.0));
            problem.add_constraint(&row, ComparisonOp::Eq, 0.0);
            let mut row = vec![(count, 2.0)];
            if let Some(more) = &one.more {
                row.push((problem.add_var(nearest_double(more), (0.0, f64::INFINITY)), -1.0));
            }
            problem.add_constraint(&row, ComparisonOp::Le, float(one.there));
        }
        let mut options = SolveOptions::default();
        options.node_limit = Some(MOST_NODES);
        let solved = problem.solve_with(options).map_err(|error| match error {
            Error::Infeasible if self.all => NoStacks::NotThere,
            _ => NoStacks::GaveUp,
        })?;
        let solution = solved.into_solution().map_err(|_| NoStacks::GaveUp)?;
        let whole = |variables: &[Variable]| {
            variables.iter().map(|variable| whole(solution.var_value(*variable))).collect()
        };
        Ok(Found {
            modules: whole(&modules),
            counts: whole(&counts),
            proven: solution.status() == SolutionStatus::Optimal,
        })
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of panels are small")]
fn float(count: i64) -> f64 {
    count as f64
}

#[expect(clippy::cast_possible_truncation, reason = "what it gives is checked in whole numbers")]
fn whole(value: f64) -> i64 {
    nearest_f64(value) as i64
}

impl StackUse {
    /// How many panels of a height it takes on both faces.
    pub fn panels(&self, height: Nm) -> i64 {
        let count = self.stack.iter().filter(|one| **one == height).count();
        i64::try_from(count).unwrap_or(0) * 2
    }

    /// What one width of it costs.
    fn cost(&self, supply: &[Supply]) -> BigRational {
        let of = |one: &Supply| times_whole(&one.each, self.panels(one.height).into());
        supply.iter().map(of).fold(BigRational::zero(), |sum, cost| sum + cost)
    }
}

/// What stacks take and cost, exactly; nothing where they are not what is wanted, or take what is not there.
pub(super) fn counted(
    wanted: &BTreeMap<Nm, i64>,
    supply: &[Supply],
    uses: Vec<StackUse>,
    proven: bool,
) -> Option<Chosen> {
    for (height, modules) in wanted {
        let stands: i64 =
            uses.iter().filter(|stack| stack.height == *height).map(|stack| stack.modules).sum();
        if stands != *modules {
            return None;
        }
    }
    let mut cost = BigRational::zero();
    let mut more = BTreeMap::new();
    for stack in &uses {
        cost += times_whole(&stack.cost(supply), stack.modules.into());
    }
    for one in supply {
        let needed: i64 = uses.iter().map(|stack| stack.panels(one.height) * stack.modules).sum();
        if needed > one.there {
            cost += times_whole(one.more.as_ref()?, (needed - one.there).into());
            more.insert(one.height, needed - one.there);
        }
    }
    debug_assert!(!cost.is_negative());
    Some(Chosen { uses, more, cost, proven })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The least cost of every choice of stacks, width by width.
    fn brute(
        wanted: &[(Nm, i64)],
        supply: &[Supply],
        uses: &mut Vec<StackUse>,
    ) -> Option<BigRational> {
        let Some(((height, modules), others)) = wanted.split_first() else {
            let all = uses.iter().fold(BTreeMap::new(), |mut all: BTreeMap<Nm, i64>, one| {
                *all.entry(one.height).or_default() += one.modules;
                all
            });
            return counted(&all, supply, uses.clone(), true).map(|chosen| chosen.cost);
        };
        if *modules == 0 {
            return brute(others, supply, uses);
        }
        let sizes: Vec<Nm> = supply.iter().map(|one| one.height).collect();
        let mut rest = vec![(*height, modules - 1)];
        rest.extend(others);
        let of = |stack: Vec<Nm>| {
            uses.push(StackUse { height: *height, stack, modules: 1 });
            let cost = brute(&rest, supply, uses);
            uses.pop();
            cost
        };
        every_stack(*height, &sizes).into_iter().filter_map(of).min()
    }

    /// Every stack, found by taking the sizes in any order and keeping those in descending order.
    fn every_stack(height: Nm, sizes: &[Nm]) -> Vec<Vec<Nm>> {
        if height == Nm::ZERO {
            return vec![Vec::new()];
        }
        let mut found = Vec::new();
        for size in sizes.iter().filter(|size| **size <= height) {
            for mut rest in every_stack(height - *size, sizes) {
                rest.insert(0, *size);
                if rest.is_sorted_by(|a, b| a >= b) {
                    found.push(rest);
                }
            }
        }
        found
    }

    fn yards() -> impl Strategy<Value = (Vec<(Nm, i64)>, Vec<Supply>)> {
        let supply =
            proptest::collection::vec((0_i64..9, 0_i64..40, proptest::option::of(0_i64..60)), 4);
        let wanted = proptest::collection::btree_map(2_i64..7, 1_i64..3, 1..4);
        (wanted, supply).prop_map(|(wanted, supply)| {
            let money = |cents: i64| crate::measure::ratio(cents.into(), 4);
            let heights = [4, 3, 2, 1].into_iter().map(Nm);
            let supply = heights.zip(supply).map(|(height, (there, each, more))| Supply {
                height,
                there,
                each: money(each),
                more: more.map(money),
            });
            (wanted.into_iter().map(|(h, n)| (Nm(h), n)).collect(), supply.collect())
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        /// On 200 random small yards nothing costs less than what is found, and where nothing is found nothing does.
        #[test]
        fn least_of_every_choice((wanted, supply) in yards()) {
            let found = least_stacks(&wanted.iter().copied().collect(), &supply);
            prop_assert!(found.as_ref().is_ok_and(|found| found.proven) || found == Err(NoStacks::NotThere));
            let least = brute(&wanted, &supply, &mut Vec::new());
            prop_assert_eq!(found.ok().map(|found| found.cost), least);
        }
    }

    #[test]
    fn every_stack_is_looked_at() {
        let sizes = [8, 6, 4, 2, 1].map(Nm);
        for height in 1..=14 {
            let (mut ours, all) = stacks(Nm(height), &sizes);
            let mut theirs = every_stack(Nm(height), &sizes);
            ours.sort();
            theirs.sort();
            assert_eq!((ours, all), (theirs, true), "{height}");
        }
    }
}
