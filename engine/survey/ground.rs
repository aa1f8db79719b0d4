//! The three ground lines along the walls, and what they require of the bottom of the footing.

use super::off_line::largest_gap;
use super::{Chain, GroundSection, Polyline, Used};
use std::cmp::Ordering;

use num_rational::BigRational;
use num_traits::{ToPrimitive, Zero};

use crate::measure::{Nm, Real};
use crate::problem::Problem;

/// Which ground a line shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GroundKind {
    /// Finished grade on the low side.
    FinishedLow,
    /// Top of bearing.
    Bearing,
    /// Existing ground.
    Existing,
}

impl GroundKind {
    /// All three.
    pub const ALL: [Self; 3] = [Self::FinishedLow, Self::Bearing, Self::Existing];

    /// Its name in settings and machine-readable output.
    pub const fn key(self) -> &'static str {
        match self {
            Self::FinishedLow => "finished_low",
            Self::Bearing => "bearing",
            Self::Existing => "existing",
        }
    }

    /// Its name for people.
    pub fn words(self) -> &'static str {
        match self {
            Self::FinishedLow => "finished grade, low side",
            Self::Bearing => "top of bearing",
            Self::Existing => "existing ground",
        }
    }
}

/// Where a line comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LineOrigin {
    /// From shots of this code, by a section through them.
    Shots(String, GroundSection),
    /// From a list of stations and elevations in the job.
    Listed,
    /// Another line, lower by a length: an assumption, not a measurement.
    Offset(GroundKind, Nm),
}

/// One ground line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GroundLine {
    /// Which ground.
    pub kind: GroundKind,
    /// Where it comes from.
    pub origin: LineOrigin,
    /// Its course.
    pub line: Polyline,
    /// Largest distance between neighbouring supports.
    pub largest_gap: Nm,
    /// Largest gap that the job allows without a flag.
    pub gap_limit: Option<Nm>,
}

impl GroundLine {
    /// A line through supports, flagged where two are farther apart than the limit.
    pub fn new(
        kind: GroundKind,
        origin: LineOrigin,
        line: Polyline,
        gap_limit: Option<Nm>,
    ) -> Self {
        let largest_gap = line.largest_gap();
        Self { kind, origin, line, largest_gap, gap_limit }
    }

    /// A line from used shots of its kind, by a section through them; nothing where there is no shot.
    ///
    /// # Errors
    /// The shots do not determine the surface that the section asks for.
    pub fn from_shots(
        kind: GroundKind,
        code: &str,
        section: GroundSection,
        used: &[Used],
        chain: &Chain,
        gap_limit: Option<Nm>,
    ) -> Result<Option<Self>, Problem> {
        let own: Vec<&Used> = used.iter().filter(|shot| shot.kind == kind).collect();
        if own.is_empty() {
            return Ok(None);
        }
        let line = section.line(kind, &own, chain)?;
        // Where the surface bends says nothing of how far apart the shots are: their stations do.
        let largest_gap = largest_gap(section.surface, &own, chain.ring());
        let origin = LineOrigin::Shots(code.to_owned(), section);
        Ok(Some(Self { kind, origin, line, largest_gap, gap_limit }))
    }

    /// Whether its largest gap is over the limit.
    pub fn gap_over_limit(&self) -> bool {
        self.gap_limit.is_some_and(|limit| self.largest_gap > limit)
    }

    /// First and last support.
    pub fn supported(&self) -> (Nm, Nm) {
        let knots = self.line.knots();
        (knots[0].0, knots[knots.len() - 1].0)
    }
}

/// A line through knots, round a ring with its length.
pub fn polyline(knots: Vec<(Nm, Nm)>, ring: Option<Nm>) -> Option<Polyline> {
    match ring {
        Some(perimeter) => Polyline::round(knots, perimeter),
        None => Polyline::new(knots),
    }
}

/// How deep the bottom must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Depths {
    /// Under finished grade on the low side.
    pub frost: Nm,
    /// Cover over the toe of the footing, if one is asked for.
    pub cover: Option<Nm>,
    /// How much higher than the top of bearing the bottom may be.
    pub allowance: Nm,
}

impl Depths {
    /// Depth under finished grade for a footing of this thickness.
    pub fn under_grade(&self, thickness: Nm) -> Nm {
        self.cover.map_or(self.frost, |cover| self.frost.max(cover + thickness))
    }
}

/// What governs the depth of the bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Governs {
    /// Frost depth under finished grade.
    Frost,
    /// Cover over the toe.
    Cover,
    /// Top of bearing.
    Bearing,
    /// Grade and bearing ask for the same.
    Both,
}

impl Governs {
    /// Its name for people and machines.
    pub fn name(self) -> &'static str {
        match self {
            Self::Frost => "frost",
            Self::Cover => "cover",
            Self::Bearing => "bearing",
            Self::Both => "both",
        }
    }
}

/// The three lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ground {
    /// Finished grade on the low side.
    pub finished_low: GroundLine,
    /// Top of bearing.
    pub bearing: GroundLine,
    /// Existing ground.
    pub existing: GroundLine,
}

impl Ground {
    /// A line by its kind.
    pub fn line(&self, kind: GroundKind) -> &GroundLine {
        match kind {
            GroundKind::FinishedLow => &self.finished_low,
            GroundKind::Bearing => &self.bearing,
            GroundKind::Existing => &self.existing,
        }
    }

    /// The three lines.
    pub fn lines(&self) -> [&GroundLine; 3] {
        GroundKind::ALL.map(|kind| self.line(kind))
    }

    /// The greatest whole height at or below the required line over a closed interval:
    /// a bottom of this thickness may be there and no higher.
    pub fn highest_bottom(&self, depths: &Depths, thickness: Nm, from: Nm, to: Nm) -> Nm {
        let grade = self.finished_low.line.lowest(from, to) - depths.under_grade(thickness);
        let bearing = self.bearing.line.lowest(from, to) + depths.allowance;
        grade.min(bearing)
    }

    /// Stations at which the required line over an interval may bend: the ends, the supports of both lines,
    /// and where grade and bearing cross, rounded outward to whole nanometres.
    pub fn bends(&self, depths: &Depths, thickness: Nm, from: Nm, to: Nm) -> Vec<Nm> {
        let (grade, bearing) = (&self.finished_low.line, &self.bearing.line);
        let mut stations = vec![from, to];
        stations
            .extend(grade.inside(from, to).iter().chain(bearing.inside(from, to)).map(|(s, _)| *s));
        stations.sort_unstable();
        stations.dedup();
        let pairs: Vec<(Nm, Nm)> = stations.windows(2).map(|pair| (pair[0], pair[1])).collect();
        for (a, b) in pairs {
            let gap = |s| self.grade_over_bearing(depths, thickness, s);
            let (u, v): (BigRational, BigRational) = (gap(a), gap(b));
            let zero = BigRational::zero();
            if (u < zero && v > zero) || (u > zero && v < zero) {
                let along = u.clone() / (u - v) * BigRational::length(b - a);
                let whole = along.floor().to_integer().to_i64().unwrap_or(0);
                stations.push(a + Nm(whole));
                stations.push(a + Nm(whole + 1));
            }
        }
        stations.sort_unstable();
        stations.dedup();
        stations
    }

    fn grade_over_bearing<R: Real>(&self, depths: &Depths, thickness: Nm, s: Nm) -> R {
        let grade =
            self.finished_low.line.height(s).above(depths.under_grade(thickness)).real::<R>();
        let bearing = self.bearing.line.height(s).above(-depths.allowance).real::<R>();
        grade.minus(&bearing)
    }

    /// The required height at a station, exactly.
    pub fn required(&self, depths: &Depths, thickness: Nm, s: Nm) -> BigRational {
        let grade: BigRational =
            self.finished_low.line.height(s).above(depths.under_grade(thickness)).real();
        let bearing: BigRational = self.bearing.line.height(s).above(-depths.allowance).real();
        grade.min(bearing)
    }
}

/// What governs at a station for a footing of this thickness.
pub fn governing(ground: &Ground, depths: &Depths, thickness: Nm, station: Nm) -> Governs {
    let gap: BigRational = ground.grade_over_bearing(depths, thickness, station);
    match gap.cmp(&BigRational::zero()) {
        Ordering::Equal => Governs::Both,
        Ordering::Greater => Governs::Bearing,
        Ordering::Less if depths.under_grade(thickness) > depths.frost => Governs::Cover,
        Ordering::Less => Governs::Frost,
    }
}
