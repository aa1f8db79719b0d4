//! The price over the lines of a quote: each holds its share of overhead, profit, tax and bond, and they add up to the cent.

use crate::measure::round;

/// A total in whole cents over shares, each in whole cents: exact shares rounded down, and the cents that are left to those
/// that lost most, of equals to the first.
///
/// Nothing where the shares add up to nothing.
pub(super) fn spread(total: i64, shares: &[i64]) -> Option<Vec<i64>> {
    let whole: i128 = shares.iter().map(|share| i128::from(*share)).sum();
    if whole == 0 {
        return None;
    }
    let exact = |share: &i64| i128::from(total) * i128::from(*share);
    let mut parts: Vec<(i128, i128)> = shares
        .iter()
        .map(|share| (exact(share).div_euclid(whole), exact(share).rem_euclid(whole)))
        .collect();
    // A negative divisor leaves remainders of its size too.
    let left = i128::from(total) - parts.iter().map(|(part, _)| part).sum::<i128>();
    let mut order: Vec<usize> = (0..parts.len()).filter(|at| shares[*at] != 0).collect();
    order.sort_by(|a, b| parts[*b].1.cmp(&parts[*a].1));
    let step = left.signum();
    for at in order.into_iter().cycle().take(usize::try_from(left.abs()).ok()?) {
        parts[at].0 += step;
    }
    parts.into_iter().map(|(part, _)| i64::try_from(part).ok()).collect()
}

/// Money as whole cents; nothing beyond what can be counted in them.
#[expect(clippy::cast_possible_truncation, reason = "bounded just above")]
pub(super) fn cents(money: f64) -> Option<i64> {
    let cents = round::nearest_f64(money * 100.0);
    (cents.abs() < 1e15).then_some(cents as i64)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::{cents, spread};

    #[test]
    fn what_is_left_goes_to_those_that_lost_most() {
        assert_eq!(spread(100, &[1, 1, 1]), Some(vec![34, 33, 33]));
        assert_eq!(spread(10_001, &[5_000, 2_500, 2_500]), Some(vec![5_001, 2_500, 2_500]));
        assert_eq!(spread(7, &[0, 3, 0]), Some(vec![0, 7, 0]));
        assert_eq!(spread(7, &[0, 0]), None);
        assert_eq!(cents(62_286.05), Some(6_228_605));
        assert_eq!(cents(1e300), None);
    }

    proptest! {
        #[test]
        fn shares_add_up_and_are_within_a_cent(
            total in 0_i64..100_000_000_000,
            shares in proptest::collection::vec(0_i64..1_000_000_000, 1..40),
        ) {
            let whole: i128 = shares.iter().map(|share| i128::from(*share)).sum();
            prop_assume!(whole > 0);
            let parts = spread(total, &shares).unwrap_or_default();
            prop_assert_eq!(parts.iter().sum::<i64>(), total);
            for (part, share) in parts.iter().zip(&shares) {
                let off = i128::from(*part) * whole - i128::from(total) * i128::from(*share);
                prop_assert!(off.abs() < whole, "{} of {}", part, share);
            }
        }
    }
}
