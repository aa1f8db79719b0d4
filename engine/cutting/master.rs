//! The linear relaxation: fillings in parts of bars that cover the demand at the least cost, and the worths that price it.

use super::knapsack::Fillings;
use super::units::CutUnits;

/// Less than this is nothing.
const NOTHING: f64 = 1e-9;

/// A way to fill a stock length.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Filling {
    pub(super) stock: usize,
    /// How many of each piece.
    pub(super) counts: Vec<u16>,
}

/// A solved relaxation.
pub(super) struct Relaxed {
    /// Fillings with how many bars are filled so.
    pub(super) used: Vec<(Filling, f64)>,
    /// Worth of each piece.
    pub(super) worths: Vec<f64>,
}

/// A column of the basis: a filling, or more of a piece than is wanted.
enum Column {
    Filling(Filling),
    Surplus(usize),
}

struct Master<'a> {
    units: &'a CutUnits,
    demand: &'a [u64],
    basis: Vec<Column>,
    inverse: Vec<Vec<f64>>,
    amounts: Vec<f64>,
}

/// Solves the relaxation for a demand, as far as `steps` last: then fillings and worths are not the best, and what follows from
/// them still holds. Every step is in a fixed order, so the same demand gives the same fillings.
pub(super) fn relax(units: &CutUnits, demand: &[u64], steps: &mut u64) -> Relaxed {
    let mut master = Master::new(units, demand);
    let most = 200 + 40 * demand.len();
    let longest = units.stock.iter().map(|(length, _)| *length).max().unwrap_or(0);
    let each = (longest as u64).saturating_mul(demand.len() as u64);
    for _ in 0..most {
        *steps = steps.saturating_sub(each.max(1));
        if *steps == 0 {
            break;
        }
        let worths = master.worths();
        let Some(column) = master.entering(&worths) else { break };
        if !master.enter(column) {
            break;
        }
    }
    let worths = master.worths();
    let used = master.basis.into_iter().zip(&master.amounts).filter_map(|(column, amount)| {
        let Column::Filling(filling) = column else { return None };
        (*amount > NOTHING).then_some((filling, *amount))
    });
    let mut used: Vec<(Filling, f64)> = used.collect();
    used.sort_by(|a, b| a.0.cmp(&b.0));
    Relaxed { used, worths }
}

impl<'a> Master<'a> {
    /// Starts with bars of one kind of piece each, in the stock that is cheapest for it.
    fn new(units: &'a CutUnits, demand: &'a [u64]) -> Self {
        let count = demand.len();
        let mut basis = Vec::with_capacity(count);
        let mut inverse = vec![vec![0.0; count]; count];
        let mut amounts = vec![0.0; count];
        for (at, wanted) in demand.iter().enumerate() {
            let length = units.pieces[at];
            let filled = units.stock.iter().enumerate().filter_map(|(stock, (room, cost))| {
                let each = ((room / length) as u64).min((*wanted).max(1));
                (each > 0).then_some((float(*cost) / wide(each), stock, each))
            });
            let best = filled.min_by(|a, b| a.0.total_cmp(&b.0));
            let (_, stock, each) = best.unwrap_or((0.0, 0, 1));
            let mut counts = vec![0; count];
            counts[at] = u16::try_from(each).unwrap_or(u16::MAX);
            inverse[at][at] = 1.0 / f64::from(counts[at]);
            amounts[at] = wide(*wanted) / f64::from(counts[at]);
            basis.push(Column::Filling(Filling { stock, counts }));
        }
        Self { units, demand, basis, inverse, amounts }
    }

    fn cost(&self, column: &Column) -> f64 {
        match column {
            Column::Filling(filling) => float(self.units.stock[filling.stock].1),
            Column::Surplus(_) => 0.0,
        }
    }

    /// What one more of each piece would cost.
    fn worths(&self) -> Vec<f64> {
        let costs: Vec<f64> = self.basis.iter().map(|column| self.cost(column)).collect();
        let mut worths = vec![0.0; self.demand.len()];
        for (cost, row) in costs.iter().zip(&self.inverse).filter(|(cost, _)| **cost != 0.0) {
            for (worth, part) in worths.iter_mut().zip(row) {
                *worth += cost * part;
            }
        }
        worths
    }

    /// A column that makes the cover cheaper.
    fn entering(&self, worths: &[f64]) -> Option<Column> {
        let least = worths.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1))?;
        if *least.1 < -NOTHING {
            return Some(Column::Surplus(least.0));
        }
        let units = self.units;
        let longest = units.stock.iter().map(|(length, _)| *length).max()?;
        let fillings = Fillings::new(longest, &units.pieces, worths, self.demand);
        let gains = units.stock.iter().enumerate().map(|(stock, (length, cost))| {
            (fillings.worth(*length) - float(*cost), stock, *length)
        });
        let best = gains.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))?;
        let (gain, stock, length) = best;
        let counts = fillings.filling(length);
        (gain > NOTHING * float(units.stock[stock].1).max(1.0))
            .then_some(Column::Filling(Filling { stock, counts }))
    }

    /// Lets a column into the basis; nothing leaves where it is of no use.
    fn enter(&mut self, column: Column) -> bool {
        let count = self.demand.len();
        let mut direction = vec![0.0; count];
        for (at, row) in self.inverse.iter().enumerate() {
            direction[at] = match &column {
                Column::Surplus(piece) => -row[*piece],
                Column::Filling(filling) => {
                    let one = |(part, count): (&f64, &u16)| part * f64::from(*count);
                    row.iter().zip(&filling.counts).filter(|(_, n)| **n > 0).map(one).sum()
                }
            };
        }
        let ratios = direction.iter().enumerate().filter(|(_, step)| **step > NOTHING);
        let ratios = ratios.map(|(at, step)| (self.amounts[at].max(0.0) / step, at));
        // Of rows that leave together the one with the larger step: it keeps the numbers sound.
        let leaving = ratios.min_by(|a, b| {
            let apart = a.0.total_cmp(&b.0);
            if (a.0 - b.0).abs() <= NOTHING {
                return direction[b.1].total_cmp(&direction[a.1]);
            }
            apart
        });
        let Some((ratio, leaving)) = leaving else { return false };
        for (at, amount) in self.amounts.iter_mut().enumerate() {
            *amount = if at == leaving { ratio } else { *amount - ratio * direction[at] };
        }
        let pivot = direction[leaving];
        let row: Vec<f64> = self.inverse[leaving].iter().map(|part| part / pivot).collect();
        for (at, other) in self.inverse.iter_mut().enumerate() {
            let step = direction[at];
            if at == leaving || step == 0.0 {
                continue;
            }
            for (part, own) in other.iter_mut().zip(&row) {
                *part -= step * own;
            }
        }
        self.inverse[leaving] = row;
        self.basis[leaving] = column;
        true
    }
}

#[expect(clippy::cast_precision_loss, reason = "costs of stock are small")]
pub(super) fn float(cost: i64) -> f64 {
    cost as f64
}

#[expect(clippy::cast_precision_loss, reason = "counts of pieces are small")]
fn wide(count: u64) -> f64 {
    count as f64
}
