//! The cost items of a layout, in 1e-9 of the currency: one formula each, in two arithmetics.

use num_rational::BigRational;

use super::hooks::AskedAt;
use super::{CellAt, Site, Stretch};
use crate::measure::{Approx, Nm, Real, ratio};
use crate::problem::Problem;
use crate::survey::Polyline;

/// The layout rates in one arithmetic.
struct Rates<R> {
    footing: R,
    wall: R,
    both_faces: R,
    dig: R,
    riser: R,
    /// Per length of rise.
    rise: R,
}

impl<R: Real> Rates<R> {
    fn new(site: &Site) -> Self {
        let rates = &site.rates;
        let nano = |rate: &BigRational| R::from_exact(&(rate * ratio(1_000_000_000, 1)));
        Self {
            footing: nano(&rates.footing),
            wall: nano(&rates.wall),
            both_faces: nano(&(&rates.forms * ratio(2, 1))),
            dig: nano(&rates.dig),
            riser: nano(&rates.riser),
            rise: nano(&(&rates.rise / ratio(site.module.rise.wide(), 1))),
        }
    }

    fn stretch(&self, site: &Site, stretch: &Stretch, dug: &R) -> R {
        let kind = &site.types[stretch.kind];
        let length = R::length(stretch.to - stretch.from);
        let (num, den) = stretch.top.mean_over(stretch.tof);
        let height = R::of(num, den);
        let footing = self.footing.times(&R::length(kind.width)).times(&R::length(kind.thickness));
        let stem = self.wall.times(&R::length(site.walls[stretch.wall].stem)).times(&height);
        let forms = self.both_faces.times(&height);
        let built = length.times(&footing.plus(&stem).plus(&forms));
        built.plus(&self.dig(site, stretch.kind, dug))
    }

    fn dig(&self, site: &Site, kind: usize, dug: &R) -> R {
        let width = site.types[kind].width + site.rates.work_space.both();
        self.dig.times(&R::length(width)).times(dug)
    }

    /// `dug` is the digging of the strip less what the upper run digs there anyway.
    fn step(&self, site: &Site, step: &StepShape, dug: &R) -> R {
        let drop = (step.high.bottom - step.low.bottom).max(Nm::ZERO);
        let concrete = self
            .footing
            .times(&R::length(site.types[step.low.kind].width))
            .times(&R::length(step.overlap))
            .times(&R::length(drop));
        let riser = match site.own_price(step.at, step.low, step.high) {
            Some(nano) => R::of(nano, 1),
            None => self.riser.plus(&self.rise.times(&R::length(step.rise))),
        };
        riser.plus(&concrete).plus(dug)
    }
}

/// A step, as far as its cost goes.
#[derive(Debug, Clone, Copy)]
pub(super) struct StepShape {
    pub(super) rise: Nm,
    pub(super) overlap: Nm,
    /// The low side, whose footing the strip has.
    pub(super) low: CellAt,
    /// The high side, next to the riser.
    pub(super) high: CellAt,
    /// Where it stands.
    pub(super) at: AskedAt,
}

/// The ground over an interval, as far as it is the same for every level.
#[derive(Debug, Clone, Copy)]
pub(super) struct Over {
    from: Nm,
    to: Nm,
    /// Lowest finished grade and lowest bearing, rounded down.
    grade: Nm,
    bearing: Nm,
    /// Existing ground: no point is under the first or over the second.
    existing: (Nm, Nm),
    /// Integral of existing ground over `existing.0`.
    area: Approx,
}

/// The costs of a site, in floating point first and exactly where that cannot decide.
pub(super) struct Costs<'a> {
    site: &'a Site,
    approx: Rates<Approx>,
    exact: Rates<BigRational>,
}

impl<'a> Costs<'a> {
    pub(super) fn new(site: &'a Site) -> Self {
        Self { site, approx: Rates::new(site), exact: Rates::new(site) }
    }

    /// What the costs are of.
    pub(super) fn site(&self) -> &'a Site {
        self.site
    }

    fn existing(&self) -> &'a Polyline {
        &self.site.ground.existing.line
    }

    /// The ground over a closed interval.
    pub(super) fn over(&self, from: Nm, to: Nm) -> Over {
        let ground = &self.site.ground;
        let existing = self.existing();
        let low = existing.lowest(from, to);
        Over {
            from,
            to,
            grade: ground.finished_low.line.lowest(from, to),
            bearing: ground.bearing.line.lowest(from, to),
            existing: (low, existing.highest(from, to)),
            area: existing.area_above(low, from, to),
        }
    }

    /// Whether a bottom meets the required line over the interval.
    pub(super) fn deep_enough(&self, at: CellAt, over: &Over) -> bool {
        let depths = &self.site.rules.depths;
        let under = depths.under_grade(self.site.types[at.kind].thickness);
        at.bottom <= (over.grade - under).min(over.bearing + depths.allowance)
    }

    /// Integral of existing ground above a bottom.
    fn dug(&self, bottom: Nm, over: &Over) -> Approx {
        if bottom >= over.existing.1 {
            return Approx::nothing();
        }
        if bottom > over.existing.0 {
            return self.existing().area_above(bottom, over.from, over.to);
        }
        let below = Approx::length(over.existing.0 - bottom);
        over.area.plus(&below.times(&Approx::length(over.to - over.from)))
    }

    /// Cost of a stretch built at its level.
    ///
    /// # Errors
    /// The amount is beyond what can be counted.
    pub(super) fn stretch(&self, stretch: &Stretch, over: &Over) -> Result<i128, Problem> {
        let site = self.site;
        self.approx
            .stretch(site, stretch, &self.dug(stretch.bottom, over))
            .nearest()
            .or_else(|| {
                let dug: BigRational =
                    self.existing().area_above(stretch.bottom, stretch.from, stretch.to);
                self.exact.stretch(site, stretch, &dug).nearest()
            })
            .ok_or_else(too_dear)
    }

    /// Cost of a step: the riser, its overlap concrete, and what its strip digs more than the upper run would;
    /// `upper` are the parts of the strip with what the upper run has there.
    ///
    /// # Errors
    /// The amount is beyond what can be counted.
    pub(super) fn step(
        &self,
        step: &StepShape,
        strip: &Over,
        upper: &[(CellAt, Over)],
    ) -> Result<i128, Problem> {
        let site = self.site;
        let dips = step.high.bottom > step.low.bottom;
        let mut more = Approx::nothing();
        if dips {
            more = self.approx.dig(site, step.low.kind, &self.dug(step.low.bottom, strip));
            for (at, over) in upper {
                let less = self.approx.dig(site, at.kind, &self.dug(at.bottom, over));
                more = more.minus(&less);
            }
        }
        let exact = || {
            let mut more = BigRational::nothing();
            let area = |bottom, over: &Over| -> BigRational {
                self.existing().area_above(bottom, over.from, over.to)
            };
            if dips {
                more = self.exact.dig(site, step.low.kind, &area(step.low.bottom, strip));
                for (at, over) in upper {
                    more = more.minus(&self.exact.dig(site, at.kind, &area(at.bottom, over)));
                }
            }
            self.exact.step(site, step, &more).nearest()
        };
        self.approx.step(site, step, &more).nearest().or_else(exact).ok_or_else(too_dear)
    }
}

fn too_dear() -> Problem {
    Problem::error("a cost of the layout is too large to be counted")
        .help("check the rates and the unit of the walls")
}
