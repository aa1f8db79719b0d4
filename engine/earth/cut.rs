//! How deep the cuts are, and what the excavation standard requires at which depth.

use num_rational::BigRational;
use num_traits::Zero;

use crate::footing::{Layout, System};
use crate::measure::{Nm, Real, choice};

choice! {
    /// Soil class of the excavation standard, as a competent person states it.
    pub enum SoilClass, "soil" {
        /// Type A.
        A = "A",
        /// Type B.
        B = "B",
        /// Type C.
        C = "C",
    }
}

impl SoilClass {
    /// Its letter.
    pub fn name(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
        }
    }
}

/// Steepest layback, horizontal per vertical, of the published table under 20 ft. Without a stated class, type C.
/// Source `subpart-p`, Table B-1 and 1926.652(b)(1)(i).
pub fn layback_default(soil: Option<SoilClass>) -> BigRational {
    match soil {
        Some(SoilClass::A) => BigRational::of(3, 4),
        Some(SoilClass::B) => BigRational::of(1, 1),
        Some(SoilClass::C) | None => BigRational::of(3, 2),
    }
}

/// The greatest cut of one run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cut {
    /// Index of the run, counted from station 0.
    pub run: usize,
    /// Running station of the greatest cut to the bottom of footing.
    pub station: Nm,
    /// Its depth, in nanometres.
    pub depth: BigRational,
    /// Running station and depth of the greatest cut to the bottom of the key, if the run has one.
    pub key: Option<(Nm, BigRational)>,
}

impl Cut {
    /// The deeper of the two.
    pub fn deepest(&self) -> (Nm, &BigRational) {
        match &self.key {
            Some((station, depth)) if *depth > self.depth => (*station, depth),
            _ => (self.station, &self.depth),
        }
    }
}

/// The greatest cut of every run: from existing ground to the bottom of footing, strips included, and to the
/// bottom of the key over the run's own footing.
pub fn cuts(layout: &Layout) -> Vec<Cut> {
    let site = &layout.site;
    let existing = &site.ground.existing.line;
    let greatest = |bottom: Nm, from: Nm, to: Nm, best: &mut (Nm, BigRational)| {
        let inner = existing.inside(from, to).iter().map(|(s, _)| *s);
        for s in std::iter::once(from).chain(inner).chain(std::iter::once(to)) {
            let depth: BigRational = existing.height(s).above(bottom).real();
            if depth > best.1 {
                *best = (s, depth);
            }
        }
    };
    let runs = layout.bottom.iter().map(|part| part.run + 1).max().unwrap_or(0);
    let run = |run: usize| {
        let mut bottom = (Nm::ZERO, BigRational::zero());
        let mut key = (Nm::ZERO, BigRational::zero());
        let mut parts = layout.bottom.iter().filter(|part| part.run == run).peekable();
        if let Some(first) = parts.peek() {
            bottom.0 = first.from;
            key.0 = first.from;
        }
        for part in parts {
            greatest(part.bof, part.from, part.to, &mut bottom);
            if let Some(depth) = site.types[part.kind].key.map(|key| key.depth) {
                for piece in layout.footings.iter().filter(|piece| piece.kind == part.kind) {
                    let (from, to) = (piece.from.max(part.from), piece.to.min(part.to));
                    if from < to && piece.bof == part.bof {
                        greatest(part.bof - depth, from, to, &mut key);
                    }
                }
            }
        }
        let key = (!key.1.is_zero()).then_some(key);
        Cut { run, station: bottom.0, depth: bottom.1, key }
    };
    (0..runs).map(run).collect()
}

/// What a cut of this depth requires, least first, with the limits in the units of the job; at a limit it applies.
/// Source `subpart-p`.
pub fn requirements(depth: &BigRational, system: System) -> Vec<&'static str> {
    let texts = match system {
        System::Us => [
            "4 ft or deeper: a ladder, ramp or stair within 25 ft of everybody in it",
            "5 ft or deeper: a protective system or layback is required",
            "20 ft or deeper: the protection is designed by a registered professional engineer",
        ],
        System::Metric => [
            "1.219 m (4 ft) or deeper: a ladder, ramp or stair within 7.62 m (25 ft) of everybody in it",
            "1.524 m (5 ft) or deeper: a protective system or layback is required",
            "6.096 m (20 ft) or deeper: the protection is designed by a registered professional engineer",
        ],
    };
    let feet = [4, 5, 20].map(|n| BigRational::length(Nm::FOOT * n));
    let required: Vec<&'static str> =
        feet.iter().zip(texts).filter(|(limit, _)| depth >= limit).map(|(_, text)| text).collect();
    required
}
