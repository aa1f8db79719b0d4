//! An exact sum of stock sizes.

use crate::measure::Nm;

/// Most units that a length may have.
const MOST_UNITS: i64 = 2_000_000;

/// The fewest sizes that add up to a length exactly, and of those the list that is larger at its first difference, in
/// descending order. Nothing where none do, or where sizes and length share no measure coarse enough to count in.
///
/// Source `practice`: common practice of the trade, no source.
pub fn exact_fill(length: Nm, sizes: &[Nm]) -> Option<Vec<Nm>> {
    let positive: Vec<Nm> = sizes.iter().copied().filter(|size| *size > Nm::ZERO).collect();
    let unit = positive.iter().fold(length.0, |unit, size| num_integer::gcd(unit, size.0));
    if length <= Nm::ZERO || positive.is_empty() || length.0 / unit > MOST_UNITS {
        return (length == Nm::ZERO).then(Vec::new);
    }
    let whole = |length: Nm| usize::try_from(length.0 / unit).ok();
    let mut sizes: Vec<(usize, Nm)> =
        positive.iter().filter_map(|size| Some((whole(*size)?, *size))).collect();
    sizes.sort_unstable_by_key(|size| std::cmp::Reverse(*size));
    sizes.dedup();
    let end = whole(length)?;
    // Fewest sizes for every length up to it.
    let mut fewest: Vec<Option<u32>> = vec![None; end + 1];
    fewest[0] = Some(0);
    for at in 1..=end {
        let before = |(size, _): &(usize, Nm)| fewest[at.checked_sub(*size)?];
        fewest[at] = sizes.iter().filter_map(before).min().map(|count| count + 1);
    }
    let mut left = end;
    let mut pieces = Vec::new();
    while left > 0 {
        let count = fewest[left]?;
        let next = sizes.iter().find(|(size, _)| {
            left.checked_sub(*size).and_then(|rest| fewest[rest]) == Some(count - 1)
        })?;
        left -= next.0;
        pieces.push(next.1);
    }
    Some(pieces)
}

#[cfg(test)]
mod tests {
    use super::exact_fill;
    use crate::measure::Nm;

    /// Every list of sizes in descending order that adds up.
    fn all(length: i64, sizes: &[i64], list: &mut Vec<i64>, found: &mut Vec<Vec<i64>>) {
        if length == 0 {
            found.push(list.clone());
            return;
        }
        for size in sizes.iter().filter(|size| **size <= length) {
            if list.last().is_none_or(|last| size <= last) {
                list.push(*size);
                all(length - size, sizes, list, found);
                list.pop();
            }
        }
    }

    #[test]
    fn the_best_of_every_list() {
        for sizes in [vec![8, 6, 4, 2, 1], vec![7, 5, 3], vec![9, 4], vec![20, 16, 12, 10]] {
            for length in 1..=42 {
                let mut found = Vec::new();
                all(length, &sizes, &mut Vec::new(), &mut found);
                found.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| b.cmp(a)));
                let nm: Vec<Nm> = sizes.iter().map(|size| Nm(*size)).collect();
                let ours = exact_fill(Nm(length), &nm);
                let ours = ours.map(|list| list.iter().map(|size| size.0).collect::<Vec<_>>());
                assert_eq!(ours, found.first().cloned(), "{length} of {sizes:?}");
            }
        }
    }
}
