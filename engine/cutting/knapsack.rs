//! The most that a stock length can hold: pieces of whole units, each no oftener than it is wanted.

/// A value of pieces: worths while the plan is sought, whole numbers where it is proven.
pub(super) trait Worth: Copy + PartialOrd {
    const NOTHING: Self;
    fn plus(self, other: Self) -> Self;
    fn times(self, count: u16) -> Self;
}

impl Worth for f64 {
    const NOTHING: Self = 0.0;
    fn plus(self, other: Self) -> Self {
        self + other
    }
    fn times(self, count: u16) -> Self {
        self * f64::from(count)
    }
}

impl Worth for i64 {
    const NOTHING: Self = 0;
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }
    fn times(self, count: u16) -> Self {
        self.saturating_mul(i64::from(count))
    }
}

/// The best fillings of every length up to a capacity.
pub(super) struct Fillings<W> {
    best: Vec<W>,
    /// By piece and length: how many of it are in the best filling of it and those before it.
    counts: Vec<Vec<u16>>,
    pieces: Vec<usize>,
}

impl<W: Worth> Fillings<W> {
    /// Fills every length up to `capacity`.
    pub(super) fn new(capacity: usize, pieces: &[usize], worths: &[W], most: &[u64]) -> Self {
        let mut best = vec![W::NOTHING; capacity + 1];
        let mut counts = Vec::with_capacity(pieces.len());
        for ((length, worth), most) in pieces.iter().zip(worths).zip(most) {
            let mut taken = vec![0_u16; capacity + 1];
            let fits = (capacity / length) as u64;
            let most = u16::try_from(fits.min(*most)).unwrap_or(u16::MAX);
            if *worth > W::NOTHING && most > 0 {
                fill(&mut best, &mut taken, *length, *worth, most);
            }
            counts.push(taken);
        }
        Self { best, counts, pieces: pieces.to_vec() }
    }

    /// The worth of the best filling of a length.
    pub(super) fn worth(&self, capacity: usize) -> W {
        self.best[capacity]
    }

    /// The best filling of a length: how many of each piece.
    pub(super) fn filling(&self, capacity: usize) -> Vec<u16> {
        let mut left = capacity;
        let mut filling = vec![0; self.pieces.len()];
        for at in (0..self.pieces.len()).rev() {
            let count = self.counts[at][left];
            filling[at] = count;
            left -= self.pieces[at] * usize::from(count);
        }
        filling
    }
}

/// Lets up to `most` of one piece in, from the best fillings without it.
fn fill<W: Worth>(best: &mut [W], taken: &mut [u16], length: usize, worth: W, most: u16) {
    if most == 1 {
        for at in (length..best.len()).rev() {
            let with = best[at - length].plus(worth);
            if with > best[at] {
                (best[at], taken[at]) = (with, 1);
            }
        }
        return;
    }
    // Oftener than once: the filling of the shorter length may have some already.
    let without = best.to_vec();
    for at in length..best.len() {
        let before = taken[at - length];
        let with = best[at - length].plus(worth);
        if before < most {
            if with > best[at] {
                (best[at], taken[at]) = (with, before + 1);
            }
            continue;
        }
        // All of them are used there: fewer of them, over another rest.
        for count in (1..=most).rev() {
            let used = length * usize::from(count);
            if used > at {
                continue;
            }
            let with = without[at - used].plus(worth.times(count));
            if with > best[at] {
                (best[at], taken[at]) = (with, count);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Fillings;

    /// The best of every filling, tried one by one.
    fn by_trial(capacity: usize, pieces: &[(usize, i64, u64)]) -> i64 {
        let Some(((length, worth, most), rest)) = pieces.split_first() else { return 0 };
        let counts = (0..=*most).filter(|count| *count as usize * length <= capacity);
        let with = |count: u64| {
            i64::try_from(count).unwrap_or(0) * worth
                + by_trial(capacity - count as usize * length, rest)
        };
        counts.map(with).max().unwrap_or(0)
    }

    #[test]
    fn the_best_of_all_fillings() {
        let mut dice = 11_u64;
        let mut roll = |most: u64| {
            dice = dice
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            1 + (dice >> 33) % most
        };
        for _ in 0..400 {
            let count = roll(5);
            let pieces: Vec<(usize, i64, u64)> = (0..count)
                .map(|_| (roll(9) as usize, i64::try_from(roll(12)).unwrap_or(1), roll(4)))
                .collect();
            let capacity = roll(25) as usize;
            let lengths: Vec<usize> = pieces.iter().map(|piece| piece.0).collect();
            let worths: Vec<i64> = pieces.iter().map(|piece| piece.1).collect();
            let most: Vec<u64> = pieces.iter().map(|piece| piece.2).collect();
            let found = Fillings::new(capacity, &lengths, &worths, &most);
            assert_eq!(found.worth(capacity), by_trial(capacity, &pieces), "{capacity} {pieces:?}");
            let filling = found.filling(capacity);
            let sum = |of: &dyn Fn(usize) -> i64| -> i64 {
                filling.iter().enumerate().map(|(at, n)| i64::from(*n) * of(at)).sum()
            };
            assert_eq!(sum(&|at| worths[at]), found.worth(capacity));
            assert!(sum(&|at| lengths[at] as i64) <= capacity as i64);
            assert!(filling.iter().zip(&most).all(|(n, most)| u64::from(*n) <= *most));
        }
    }
}
