//! The inputs with which a result meets a target or does not exceed it: looked for between two bounds.

use crate::measure::{round, significant};

/// Where to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Search {
    /// Lower bound of the input.
    pub from: f64,
    /// Upper bound.
    pub to: f64,
    /// Target of the result.
    pub target: f64,
    /// Whether the input is a count: then every whole number is tried.
    pub whole: bool,
}

/// An input and the result there.
type Point = (f64, f64);

/// A stretch of inputs throughout which the target is met or not exceeded, as far as was looked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Its smallest input, and the result there.
    pub from: (f64, f64),
    /// Its largest input, and the result there.
    pub to: (f64, f64),
    /// The last input before it that is over the target or has no result; none at the lower bound.
    pub before: Option<(f64, Option<f64>)>,
    /// The first input after it; none at the upper bound.
    pub after: Option<(f64, Option<f64>)>,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The stretches, ascending.
    pub stretches: Vec<Interval>,
    /// Least and greatest result; none where there is no result at all.
    pub results: Option<(f64, f64)>,
    /// How far apart the inputs were that were tried first: a stretch narrower than that may have been missed.
    pub apart: f64,
    /// How many were tried first, and how many of them have no result.
    pub tried: (usize, usize),
}

/// Inputs that are tried first between the bounds, where the input is no count.
const POINTS: u32 = 200;
/// Most whole numbers that are tried.
pub const MOST_WHOLE: f64 = 2000.0;
/// Digits to which an input is printed, and its edges are found.
pub const DIGITS: usize = 7;

/// Looks for the inputs; `result` gives nothing where there is no result.
pub fn find(search: Search, result: &mut dyn FnMut(f64) -> Option<f64>) -> Found {
    let width = search.to - search.from;
    let apart = if search.whole { 1.0 } else { width / f64::from(POINTS) };
    let inputs: Vec<f64> = if search.whole {
        let first = -round::floor_f64(-search.from);
        let last = round::floor_f64(search.to);
        std::iter::successors(Some(first), |x| Some(x + 1.0)).take_while(|x| *x <= last).collect()
    } else {
        (0..=POINTS).map(|n| search.from + width * f64::from(n) / f64::from(POINTS)).collect()
    };
    let mut at = |input: f64| result(input).filter(|value| value.is_finite());
    let values: Vec<Option<f64>> = inputs.iter().map(|input| at(*input)).collect();
    // The target itself counts as met within what a sum of rounded numbers leaves.
    let most = search.target + search.target.abs() * 1e-12;
    let within = |value: &Option<f64>| value.is_some_and(|value| value <= most);
    // Halves the way from an input within to one that is not, until both are printed alike.
    let mut edge = |mut inside: Point, mut outside: (f64, Option<f64>)| {
        while !search.whole && significant(inside.0, DIGITS) != significant(outside.0, DIGITS) {
            let middle = f64::midpoint(inside.0, outside.0);
            if middle == inside.0 || middle == outside.0 {
                break;
            }
            match at(middle) {
                Some(value) if value <= most => inside = (middle, value),
                other => outside = (middle, other),
            }
        }
        if search.whole || inside.0 == outside.0 {
            return (inside, outside);
        }
        // What is printed is what was worked out: the edge is told at the last printed digit on both sides of it.
        let printed = significant(inside.0, DIGITS);
        let magnitude = round::floor_f64(printed.abs().max(f64::MIN_POSITIVE).log10());
        let digit = 10_f64.powf(magnitude + 1.0) / 10_f64.powi(i32::try_from(DIGITS).unwrap_or(7));
        let outward = if outside.0 > inside.0 { digit } else { -digit };
        let next = |input: f64| significant(input, DIGITS);
        match at(printed) {
            Some(value) if value <= most => {
                let beyond = next(printed + outward);
                ((printed, value), (beyond, at(beyond)))
            }
            other => {
                let before = next(printed - outward);
                match at(before) {
                    Some(value) if value <= most => ((before, value), (printed, other)),
                    _ => (inside, outside),
                }
            }
        }
    };
    let mut stretches = Vec::new();
    let mut index = 0;
    while index < inputs.len() {
        let (true, Some(value)) = (within(&values[index]), values[index]) else {
            index += 1;
            continue;
        };
        let mut last = index;
        while last + 1 < inputs.len() && within(&values[last + 1]) {
            last += 1;
        }
        let (mut from, mut before) = ((inputs[index], value), None);
        if index > 0 {
            let (inside, outside) = edge(from, (inputs[index - 1], values[index - 1]));
            (from, before) = (inside, Some(outside));
        }
        let (mut to, mut after) = ((inputs[last], values[last].unwrap_or(value)), None);
        if last + 1 < inputs.len() {
            let (inside, outside) = edge(to, (inputs[last + 1], values[last + 1]));
            (to, after) = (inside, Some(outside));
        }
        stretches.push(Interval { from, to, before, after });
        index = last + 1;
    }
    let known: Vec<f64> = values.iter().flatten().copied().collect();
    let results =
        known.iter().copied().reduce(f64::min).zip(known.iter().copied().reduce(f64::max));
    Found { stretches, results, apart, tried: (inputs.len(), inputs.len() - known.len()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEARCH: Search = Search { from: 0.0, to: 10.0, target: 2.0, whole: false };

    #[test]
    fn a_root_is_the_edge_of_a_stretch() {
        let found = find(SEARCH, &mut |x| Some(x * x));
        let [one] = found.stretches[..] else { unreachable!("{found:?}") };
        assert_eq!((one.from.0, one.before), (0.0, None));
        assert!((one.to.0 - 2_f64.sqrt()).abs() < 1e-6 && one.to.1 <= 2.0);
        assert!(one.after.is_some_and(|(input, _)| (input - 2_f64.sqrt()).abs() < 1e-6));
    }

    #[test]
    fn a_jump_a_flat_foot_two_valleys_and_none() {
        let step = find(SEARCH, &mut |x| Some(if x < 7.3 { 1.0 } else { 3.0 }));
        let edge = step.stretches[0];
        assert!(edge.to.0 == 7.299_999 && edge.after.is_some_and(|(at, _)| at == 7.3));
        // Flat at the target up to 3, over it behind: the whole flat part is within, and 3 is its largest input.
        let flat = find(SEARCH, &mut |x| Some(if x <= 3.0 { 2.0 } else { 2.0 + x }));
        assert_eq!((flat.stretches[0].from.0, flat.stretches.len()), (0.0, 1));
        assert!((flat.stretches[0].to.0 - 3.0).abs() < 1e-6);
        let valleys = find(SEARCH, &mut |x| {
            Some(3.0 - if (2.0..3.0).contains(&x) || x > 8.0 { 2.0 } else { 0.0 })
        });
        assert_eq!(valleys.stretches.len(), 2);
        let never = find(SEARCH, &mut |x| Some(x + 5.0));
        assert_eq!((never.stretches.len(), never.results), (0, Some((5.0, 15.0))));
        assert_eq!(find(SEARCH, &mut |_| None).results, None);
    }

    #[test]
    fn every_whole_number_of_a_count() {
        let mut tried = Vec::new();
        let found = find(Search { whole: true, from: 0.5, to: 9.0, ..SEARCH }, &mut |x| {
            tried.push(x);
            Some(8.0 / x)
        });
        assert_eq!(tried, [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]);
        assert_eq!((found.stretches[0].from.0, found.stretches[0].to.0), (4.0, 9.0));
    }
}
