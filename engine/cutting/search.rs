//! From the relaxation to whole bars: fillings are settled one by one and the rest is relaxed again; where that misses the
//! bound, other choices are tried, the likeliest first and no more than a fixed number of them.

use super::branches::branched;
use super::certificate::Certificate;
use super::first_fit::{cheapest, gathered};
use super::master::{Filling, float, relax};
use super::units::{CutBar, CutUnits};

/// Most steps of all fillings of one search: kinds of pieces times units of the stock, for each filling. A bound on work and
/// not on time, so that a plan is the same on every machine.
const MOST_STEPS: u64 = 6_000_000_000;
/// Most choices of one way down that are not the likeliest.
const MOST_DEVIATIONS: usize = 4;

struct Search<'a> {
    units: &'a CutUnits,
    bound: i64,
    best: i64,
    bars: Option<Vec<(Filling, u64)>>,
    /// Steps that are left.
    steps: u64,
}

/// The best plan found, no dearer than `known`, the worths that bound it, and a bound by branching where there is one.
pub(super) fn search(
    units: &CutUnits,
    known: &[CutBar],
) -> (Vec<CutBar>, Certificate, Option<i64>) {
    let mut steps = MOST_STEPS;
    let first = relax(units, &units.demand, &mut steps);
    let certificate = Certificate::of(units, &first.worths);
    let mut search = Search {
        units,
        bound: certificate.bound(units),
        best: units.cost(known),
        bars: None,
        steps,
    };
    for deviations in 0..=MOST_DEVIATIONS {
        if search.best <= search.bound || search.steps == 0 {
            break;
        }
        search.down(units.demand.clone(), &mut Vec::new(), 0, deviations);
        // A short list is settled at once.
        if deviations == 0
            && search.best > search.bound
            && let Some((plan, least)) = branched(units)
        {
            let better = units.cost(&plan) < search.best;
            let bars = if better { plan } else { search.bars(known) };
            return (bars, certificate, Some(least));
        }
    }
    (search.bars(known), certificate, None)
}

impl Search<'_> {
    /// The bars of the best plan.
    fn bars(&self, known: &[CutBar]) -> Vec<CutBar> {
        let units = self.units;
        let Some(bars) = &self.bars else { return known.to_vec() };
        gathered(
            units,
            bars.iter().filter_map(|(filling, times)| {
                let used = filling.counts.iter().zip(&units.pieces);
                let used = used.map(|(count, length)| usize::from(*count) * length).sum();
                let cuts: Vec<(usize, u64)> = filling
                    .counts
                    .iter()
                    .enumerate()
                    .filter(|(_, count)| **count > 0)
                    .map(|(at, count)| (at, u64::from(*count)))
                    .collect();
                Some((cheapest(units, used)?, cuts, *times))
            }),
        )
    }

    /// Settles fillings until the demand is met. `deviations` choices on the way are not the likeliest one.
    fn down(
        &mut self,
        mut demand: Vec<u64>,
        settled: &mut Vec<(Filling, u64)>,
        mut cost: i64,
        deviations: usize,
    ) {
        let depth = settled.len();
        loop {
            if demand.iter().all(|count| *count == 0) {
                if cost < self.best {
                    (self.best, self.bars) = (cost, Some(settled.clone()));
                }
                break;
            }
            if self.steps == 0 || self.best <= self.bound {
                break;
            }
            // Only what is still wanted, so that the relaxation grows small with the rest.
            let wanted: Vec<usize> = (0..demand.len()).filter(|at| demand[*at] > 0).collect();
            let rest = self.units.only(&wanted, &demand);
            let relaxed = relax(&rest, &rest.demand, &mut self.steps);
            let least: f64 =
                relaxed.used.iter().map(|(f, amount)| amount * float(rest.stock[f.stock].1)).sum();
            let step = float(rest.cost_step());
            let least = crate::measure::round::steps_up(least * (1.0 - 1e-9), step) * step;
            if float(cost) + least > float(self.best) - 0.5 * step {
                break;
            }
            let wide = |filling: &Filling| {
                let mut counts = vec![0; demand.len()];
                for (at, count) in wanted.iter().zip(&filling.counts) {
                    counts[*at] = *count;
                }
                Filling { stock: filling.stock, counts }
            };
            let mut used: Vec<(Filling, f64)> =
                relaxed.used.iter().map(|(filling, amount)| (wide(filling), *amount)).collect();
            // Whole bars of every filling.
            let mut whole = false;
            for (filling, amount) in &mut used {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a whole number of bars"
                )]
                let times = crate::measure::round::floor_f64(*amount + 1e-7) as u64;
                let times = times.min(most(filling, &demand));
                if times > 0 {
                    take(filling, times, &mut demand);
                    cost += self.units.stock[filling.stock].1 * i64::try_from(times).unwrap_or(0);
                    settled.push((filling.clone(), times));
                    whole = true;
                }
            }
            if whole {
                continue;
            }
            // None: one bar of the filling that is nearest to a whole one, or of one of the next.
            used.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
            let choices = used.len().min(deviations + 1);
            for (at, (filling, _)) in used.iter().take(choices).enumerate().skip(1) {
                let (mut rest, filling) = (demand.clone(), within(filling, &demand));
                take(&filling, 1, &mut rest);
                let next = cost + self.units.stock[filling.stock].1;
                settled.push((filling, 1));
                self.down(rest, settled, next, deviations - at);
                settled.pop();
            }
            let Some((filling, _)) = used.first() else { break };
            let filling = within(filling, &demand);
            take(&filling, 1, &mut demand);
            cost += self.units.stock[filling.stock].1;
            settled.push((filling, 1));
        }
        settled.truncate(depth);
    }
}

/// How many bars a filling may fill before it gives more of a piece than is wanted.
fn most(filling: &Filling, demand: &[u64]) -> u64 {
    let each = filling.counts.iter().zip(demand).filter(|(count, _)| **count > 0);
    each.map(|(count, wanted)| wanted / u64::from(*count)).min().unwrap_or(0)
}

/// A filling with no more of a piece than is wanted.
fn within(filling: &Filling, demand: &[u64]) -> Filling {
    let one = |(count, wanted): (&u16, &u64)| {
        u16::try_from(u64::from(*count).min(*wanted)).unwrap_or(*count)
    };
    Filling { stock: filling.stock, counts: filling.counts.iter().zip(demand).map(one).collect() }
}

fn take(filling: &Filling, times: u64, demand: &mut [u64]) {
    for (count, wanted) in filling.counts.iter().zip(demand) {
        *wanted = wanted.saturating_sub(u64::from(*count) * times);
    }
}

impl CutUnits {
    /// The same with some of the pieces.
    fn only(&self, wanted: &[usize], demand: &[u64]) -> Self {
        Self {
            stock: self.stock.clone(),
            pieces: wanted.iter().map(|at| self.pieces[*at]).collect(),
            demand: wanted.iter().map(|at| demand[*at]).collect(),
        }
    }
}
