//! The input at which a result meets a target: looked for between two bounds.

/// Where to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Search {
    /// Lower bound of the input, in base units.
    pub from: f64,
    /// Upper bound.
    pub to: f64,
    /// Target of the result, in base units.
    pub target: f64,
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Found {
    /// The result meets the target here; the first of so many places.
    At {
        /// The input.
        input: f64,
        /// The result there.
        result: f64,
        /// In how many stretches the target is met.
        places: usize,
    },
    /// The result jumps over the target between these inputs.
    Jump {
        /// The last input before the jump, and its result.
        before: (f64, f64),
        /// The first input after it, and its result.
        after: (f64, f64),
    },
    /// The result never meets the target; it has these bounds.
    Never {
        /// The least result that was met.
        least: f64,
        /// The greatest.
        greatest: f64,
    },
    /// There is no result anywhere between the bounds.
    NoResult,
}

/// Stretches that the bounds are divided into.
const STRETCHES: u32 = 48;

/// Looks for the input; `result` gives nothing where there is no result.
pub fn find(search: Search, result: &mut dyn FnMut(f64) -> Option<f64>) -> Found {
    let width = search.to - search.from;
    let mut points: Vec<(f64, f64)> = Vec::new();
    let mut crossings: Vec<[(f64, f64); 2]> = Vec::new();
    let mut last: Option<(f64, f64)> = None;
    let mut met = Vec::new();
    for n in 0..=STRETCHES {
        let input = search.from + width * f64::from(n) / f64::from(STRETCHES);
        let Some(value) = result(input).filter(|value| value.is_finite()) else {
            last = None;
            continue;
        };
        let here = (input, value - search.target);
        points.push((input, value));
        if here.1 == 0.0 {
            met.push((input, value));
        } else if let Some(before) = last.filter(|before| before.1 * here.1 < 0.0) {
            crossings.push([before, here]);
        }
        last = Some(here);
    }
    if let Some((input, value)) = met.first() {
        return Found::At { input: *input, result: *value, places: met.len() + crossings.len() };
    }
    let Some([before, after]) = crossings.first() else {
        let bounds = points.iter().map(|(_, value)| *value);
        let least = bounds.clone().fold(f64::INFINITY, f64::min);
        let greatest = bounds.fold(f64::NEG_INFINITY, f64::max);
        return if points.is_empty() { Found::NoResult } else { Found::Never { least, greatest } };
    };
    let (mut low, mut high) = (*before, *after);
    for _ in 0..200 {
        let middle = f64::midpoint(low.0, high.0);
        if middle <= low.0.min(high.0) || middle >= low.0.max(high.0) {
            break;
        }
        let Some(value) = result(middle) else { break };
        let off = value - search.target;
        if off == 0.0 {
            return Found::At { input: middle, result: value, places: crossings.len() };
        }
        if off * low.1 < 0.0 {
            high = (middle, off);
        } else {
            low = (middle, off);
        }
    }
    let scale = search.target.abs().max(low.1.abs().min(high.1.abs()));
    let (near, far) = if low.1.abs() <= high.1.abs() { (low, high) } else { (high, low) };
    // Both sides of a jump stay apart however close the inputs come.
    if (near.1 - far.1).abs() > 1e-6 * scale.max(f64::MIN_POSITIVE) {
        let [before, after] = [low, high].map(|(input, off)| (input, off + search.target));
        return Found::Jump { before, after };
    }
    Found::At { input: near.0, result: near.1 + search.target, places: crossings.len() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_root_a_jump_and_none() {
        let search = Search { from: 0.0, to: 10.0, target: 2.0 };
        let found = find(search, &mut |x| Some(x * x));
        assert!(
            matches!(found, Found::At { input, places: 1, .. } if (input * input - 2.0).abs() < 1e-12)
        );
        let step = find(search, &mut |x| Some(if x < 7.3 { 1.0 } else { 3.0 }));
        assert!(
            matches!(step, Found::Jump { before: (b, _), after: (a, _) } if (a - b).abs() < 1e-9 && (a - 7.3).abs() < 1e-9)
        );
        let never = find(search, &mut |x| Some(x + 5.0));
        assert_eq!(never, Found::Never { least: 5.0, greatest: 15.0 });
        assert_eq!(find(search, &mut |_| None), Found::NoResult);
    }
}
