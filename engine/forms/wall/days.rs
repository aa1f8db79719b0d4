//! What stands on which days.

use super::bulkheads::{LumberSpec, bulkheads, templates};
use super::edges::{SideSpec, edge_stakes_of};
use super::spec::PourGroup;
use crate::footing::Layout;

/// Days on which the same pours stand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DaySpan {
    /// The first working day.
    pub first: i64,
    /// The last.
    pub last: i64,
    /// Indices of the pours that stand on all of them.
    pub pours: Vec<usize>,
}

/// The days in spans over which the same pours stand; those on which none stands are left out. Pours without days stand on none.
pub fn day_spans(pours: &[PourGroup]) -> Vec<DaySpan> {
    let days: Vec<Option<(i64, i64)>> = pours.iter().map(PourGroup::days).collect();
    let mut changes: Vec<i64> =
        days.iter().flatten().flat_map(|(first, last)| [*first, last + 1]).collect();
    changes.sort_unstable();
    changes.dedup();
    let span = |between: &[i64]| {
        let &[first, next] = between else { return None };
        let stands =
            |at: &usize| days[*at].is_some_and(|(begin, end)| begin <= first && first <= end);
        let pours: Vec<usize> = (0..days.len()).filter(stands).collect();
        (!pours.is_empty()).then_some(DaySpan { first, last: next - 1, pours })
    };
    changes.windows(2).filter_map(span).collect()
}

/// Lumber of the footing that is used again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockedLumber {
    /// What it is.
    pub what: &'static str,
    /// How many stand.
    pub needed: i64,
    /// How many there are, if it is known.
    pub owned: Option<i64>,
}

/// What stands of the lumber along some walls: stakes, kickers, cross pieces.
pub fn stocked_lumber(
    layout: &Layout,
    spec: &LumberSpec,
    sides: Option<&SideSpec>,
    walls: &[usize],
) -> Vec<StockedLumber> {
    let steps = layout.steps.iter().zip(bulkheads(layout, spec));
    let steps: Vec<_> = steps.filter(|(step, _)| walls.contains(&step.wall)).collect();
    let pieces = layout.footings.iter().zip(templates(layout, spec));
    let pieces: Vec<_> = pieces.filter(|(piece, _)| walls.contains(&piece.wall)).collect();
    let stakes: i64 = steps.iter().map(|(_, bulkhead)| bulkhead.stakes).sum::<i64>()
        + pieces.iter().map(|(_, template)| template.stakes).sum::<i64>()
        + sides.map_or(0, |sides| edge_stakes_of(layout, sides, walls));
    let kickers = i64::try_from(steps.len()).unwrap_or(0) * spec.kickers;
    let cross_pieces = pieces.iter().map(|(_, template)| template.cross_pieces).sum();
    vec![
        StockedLumber { what: "stakes", needed: stakes, owned: Some(spec.stakes_owned) },
        StockedLumber { what: "kickers", needed: kickers, owned: spec.kickers_owned },
        StockedLumber {
            what: "cross pieces",
            needed: cross_pieces,
            owned: spec.cross_pieces_owned,
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_between_the_changes() {
        let pour = |first, standing| PourGroup {
            name: String::new(),
            walls: Vec::new(),
            first: Some(first),
            standing,
        };
        let spans = day_spans(&[pour(1, 3), pour(3, 4), pour(9, 1)]);
        let told: Vec<_> =
            spans.iter().map(|span| (span.first, span.last, span.pours.as_slice())).collect();
        assert_eq!(told, [(1, 2, &[0][..]), (3, 3, &[0, 1]), (4, 6, &[1]), (9, 9, &[2])]);
    }
}
