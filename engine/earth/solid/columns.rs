//! What stands over a place between the cut and the ground: concrete, drain rock, earth brought back, and what stays open.
//! Each is the length of its own stretch of the column, so that together they are the column only if none overlaps another.

use super::exact::fan_sum;
use super::shapes::Linear;

/// What a column is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Built {
    Footing,
    Stem,
    Drain,
}

/// A stretch of a column that is built, from one elevation to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BuiltSpan {
    pub(super) built: Built,
    pub(super) from: f64,
    pub(super) to: f64,
}

/// Lengths of a column, or volumes over an area: dug, footing, stem, drain rock, backfill, open.
pub(super) type Terms = [f64; 6];

/// Adds terms, each to its own.
pub(super) fn add(sums: &mut Terms, more: &Terms) {
    for (sum, more) in sums.iter_mut().zip(more) {
        *sum += more;
    }
}

/// Of stretches that overlap, the first has the place; sorted upwards.
pub(super) fn apart(stretches: &[BuiltSpan]) -> Vec<BuiltSpan> {
    let mut levels: Vec<f64> = stretches.iter().flat_map(|s| [s.from, s.to]).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let between = levels.windows(2).filter_map(|pair| {
        let holds = |s: &&BuiltSpan| s.from <= pair[0] && pair[1] <= s.to;
        let first = stretches.iter().find(holds)?;
        Some(BuiltSpan { built: first.built, from: pair[0], to: pair[1] })
    });
    between.collect()
}

/// The column over one point, from its cut up to the ground; earth is brought back up to `fill`.
pub(super) fn column(cut: f64, ground: f64, fill: f64, stretches: &[BuiltSpan]) -> Terms {
    let length = |from: f64, to: f64| (to - from).max(0.0);
    let mut terms = [length(cut, ground), 0.0, 0.0, 0.0, 0.0, 0.0];
    let mut low = cut;
    let gap = |from: f64, to: f64, terms: &mut Terms| {
        terms[4] += length(from, to.min(fill).min(ground));
        terms[5] += length(from.max(fill), to.min(ground));
    };
    for stretch in stretches {
        gap(low, stretch.from, &mut terms);
        let at = match stretch.built {
            Built::Footing => 1,
            Built::Stem => 2,
            Built::Drain => 3,
        };
        terms[at] += length(stretch.from.max(cut), stretch.to.min(ground));
        low = low.max(stretch.to);
    }
    gap(low, f64::MAX, &mut terms);
    terms
}

/// Surfaces over an area: ground, fill, and those of which the lowest is the cut.
pub(super) struct ColumnsOver<'a> {
    pub(super) ground: Linear,
    pub(super) fill: Linear,
    pub(super) cut: &'a [Linear],
    pub(super) stretches: &'a [BuiltSpan],
}

impl ColumnsOver<'_> {
    /// Everything of which two may cross: the order decides what a column is made of.
    fn surfaces(&self) -> Vec<Linear> {
        let level = |at_origin: f64| Linear { at_origin, slope: [0.0; 2] };
        let levels = self.stretches.iter().flat_map(|s| [level(s.from), level(s.to)]);
        let mut all = vec![self.ground, self.fill];
        all.extend(self.cut);
        all.extend(levels);
        let mut distinct: Vec<Linear> = Vec::with_capacity(all.len());
        for surface in all {
            if !distinct.contains(&surface) {
                distinct.push(surface);
            }
        }
        distinct
    }

    /// Volumes over a convex polygon.
    pub(super) fn over(&self, polygon: &[[f64; 2]]) -> Terms {
        let at = |point: [f64; 2]| {
            let cut = self.cut.iter().map(|plane| plane.at(point)).fold(f64::MAX, f64::min);
            column(cut, self.ground.at(point), self.fill.at(point), self.stretches)
        };
        fan_sum(polygon, &self.surfaces(), &at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Whatever stands in it, the parts of a column are the column.
        #[test]
        fn parts_are_the_whole(
            cut in -5.0..5.0_f64, ground in -5.0..9.0_f64, fill in -5.0..9.0_f64,
            built in proptest::collection::vec((0_u8..3, -5.0..5.0_f64, 0.0..4.0_f64), 0..6),
        ) {
            let stretches: Vec<BuiltSpan> = built
                .iter()
                .map(|(kind, from, height)| BuiltSpan {
                    built: [Built::Footing, Built::Stem, Built::Drain][usize::from(*kind)],
                    from: cut + from.abs(),
                    to: cut + from.abs() + height,
                })
                .collect();
            let [dug, parts @ ..] = column(cut, ground, fill, &apart(&stretches));
            prop_assert!((dug - parts.iter().sum::<f64>()).abs() < 1e-12);
        }
    }

    #[test]
    fn a_column_by_hand() {
        // Cut at 0, ground at 10, filled to 7: footing 0..1, stem 2..5, one foot between them is filled.
        let stretches = [
            BuiltSpan { built: Built::Footing, from: 0.0, to: 1.0 },
            BuiltSpan { built: Built::Stem, from: 2.0, to: 5.0 },
        ];
        assert_eq!(column(0.0, 10.0, 7.0, &stretches), [10.0, 1.0, 3.0, 0.0, 3.0, 3.0]);
    }
}
