//! What the plan shows, on the site, and the part of it that lies along a stretch of the walls.

use std::collections::BTreeMap;

use super::super::along::mm;
use super::super::listed::{ListedRow, Rows};
use crate::listing::Listing;
use crate::measure::unit;

/// A place on the site in mm: east, north.
pub(super) type OnSite = (f64, f64);
/// From which running station to which, in mm.
pub(super) type Reach = (f64, f64);

/// A line or outline with the stretch of the walls that it lies along.
#[derive(Clone)]
pub(super) struct Along {
    pub(super) stretch: Reach,
    pub(super) through: Vec<OnSite>,
}

/// A place with its words and its running station.
#[derive(Clone)]
pub(super) struct Labelled {
    pub(super) words: String,
    pub(super) chain: f64,
    pub(super) at: OnSite,
}

/// What the plan shows.
pub(super) struct PlanSeen {
    pub(super) footings: Vec<Along>,
    pub(super) overlaps: Vec<Along>,
    pub(super) stems: Vec<Along>,
    /// Limits of the excavation, a line for each side of each piece.
    pub(super) limits: Vec<Along>,
    /// Ends and corners of the walls.
    pub(super) faces: Vec<Labelled>,
    /// Risers.
    pub(super) steps: Vec<Labelled>,
    /// Shots, by the ground that they are points of.
    pub(super) shots: Vec<Labelled>,
    /// What one of the coordinates' unit is in mm, and its name.
    pub(super) unit: (f64, String),
}

fn place(row: &ListedRow) -> Option<OnSite> {
    Some((mm(row.length("east")?), mm(row.length("north")?)))
}

impl PlanSeen {
    /// What of it the listings have; nothing where nothing is laid out.
    pub(super) fn of(listings: &[Listing]) -> Option<Self> {
        let rows = |name: &str| Rows::of(listings, name);
        let starts: BTreeMap<String, f64> = rows("walls")
            .iter()
            .filter_map(|row| Some((row.text("wall").to_owned(), mm(row.length("chain_start")?))))
            .collect();
        let chain = |row: &ListedRow, local: &str| {
            let start = starts.get(row.text("wall"))?;
            Some(start + mm(row.length(local)?))
        };
        // The stretches of the pieces, in the order of their numbers.
        let pieces = |name: &str| -> Option<Vec<Reach>> {
            let stretch = |row: ListedRow| Some((chain(&row, "from")?, chain(&row, "to")?));
            rows(name).iter().map(stretch).collect()
        };
        let overlaps = rows("overlaps").iter();
        let overlaps: Option<Vec<Reach>> =
            overlaps.map(|row| Some((mm(row.length("from")?), mm(row.length("to")?)))).collect();
        let stretches = [
            ("footing", pieces("footing_pieces")?),
            ("overlap", overlaps?),
            ("stem", pieces("stem_pieces")?),
        ];
        let mut outlines: Vec<(String, i64, Along)> = Vec::new();
        let mut name = String::new();
        for row in rows("outlines").iter() {
            let at = place(&row)?;
            let (of, piece) = (row.text("of").to_owned(), row.count("piece")?);
            row.unit("east").unwrap_or_default().clone_into(&mut name);
            match outlines.last_mut() {
                Some(last) if (last.0.as_str(), last.1) == (of.as_str(), piece) => {
                    last.2.through.push(at);
                }
                _ => {
                    let known = stretches.iter().find(|(name, _)| *name == of)?;
                    let stretch = *known.1.get(usize::try_from(piece - 1).ok()?)?;
                    outlines.push((of, piece, Along { stretch, through: vec![at] }));
                }
            }
        }
        let of = |wanted: &str| -> Vec<Along> {
            let these = outlines.iter().filter(|outline| outline.0 == wanted);
            these.map(|outline| outline.2.clone()).collect()
        };
        let mut limits: Vec<((String, i64), Along)> = Vec::new();
        for row in rows("dig_limits").iter() {
            let (at, here) = (place(&row)?, chain(&row, "station")?);
            let of = (row.text("side").to_owned(), row.count("piece")?);
            match limits.last_mut() {
                Some((known, line)) if *known == of => {
                    line.through.push(at);
                    line.stretch.1 = here;
                }
                _ => limits.push((of, Along { stretch: (here, here), through: vec![at] })),
            }
        }
        let (mut faces, mut steps): (Vec<Labelled>, Vec<Labelled>) = (Vec::new(), Vec::new());
        for row in rows("stake_out").iter() {
            let (at, chain) = (place(&row)?, chain(&row, "station")?);
            let what = row.text("what");
            let words = what.split(',').next().unwrap_or_default().to_owned();
            match row.text("code") {
                "FACE" => faces.push(Labelled { words: what.to_owned(), chain, at }),
                // One of the two levels that meet in a riser; steps in the subgrade are the ends of the overlaps.
                "TOF" if !steps.iter().any(|step| step.words == words && step.at == at) => {
                    steps.push(Labelled { words, chain, at });
                }
                _ => {}
            }
        }
        let shot = |row: ListedRow| {
            let (words, chain) = (row.text("ground").to_owned(), mm(row.length("chain")?));
            Some(Labelled { words, chain, at: place(&row)? })
        };
        let shots = rows("shots_used").iter().filter_map(shot).collect();
        let size = unit(&name).ok()?.factor() / 1e6;
        let (footings, overlaps, stems) = (of("footing"), of("overlap"), of("stem"));
        let limits = limits.into_iter().map(|(_, line)| line).collect();
        let unit = (size, name);
        (!footings.is_empty()).then_some(Self {
            footings,
            overlaps,
            stems,
            limits,
            faces,
            steps,
            shots,
            unit,
        })
    }

    /// The part along some of the footing's pieces: what lies along them, and of what stands where two sheets meet what is
    /// the later one's.
    pub(super) fn part(&self, pieces: std::ops::Range<usize>) -> Self {
        let is_last = pieces.end == self.footings.len();
        let footings = self.footings[pieces].to_vec();
        let from = footings.first().map_or(0.0, |piece| piece.stretch.0);
        let to = footings.last().map_or(0.0, |piece| piece.stretch.1);
        let lines = |all: &[Along]| -> Vec<Along> {
            let here = |line: &&Along| {
                let middle = f64::midpoint(line.stretch.0, line.stretch.1);
                from <= middle && middle <= to
            };
            all.iter().filter(here).cloned().collect()
        };
        let spots = |all: &[Labelled]| -> Vec<Labelled> {
            let here = |spot: &&Labelled| {
                from <= spot.chain && (spot.chain < to || is_last && spot.chain <= to)
            };
            all.iter().filter(here).cloned().collect()
        };
        // A stem goes on over many pieces of the footing: each sheet shows those that reach into it.
        let stems = self.stems.iter().filter(|line| line.stretch.0 < to && line.stretch.1 > from);
        Self {
            overlaps: lines(&self.overlaps),
            stems: stems.cloned().collect(),
            limits: lines(&self.limits),
            faces: spots(&self.faces),
            steps: spots(&self.steps),
            shots: spots(&self.shots),
            unit: self.unit.clone(),
            footings,
        }
    }

    /// West, south, east and north of every place that must be on the sheet.
    pub(super) fn bounds(&self) -> (OnSite, OnSite) {
        let lines = self.footings.iter().chain(&self.overlaps).chain(&self.limits);
        let lines = lines.chain(&self.stems).flat_map(|line| line.through.iter().copied());
        let all = lines.chain(self.shots.iter().map(|spot| spot.at));
        let start = ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY));
        all.fold(start, |(low, high), (e, n)| {
            ((low.0.min(e), low.1.min(n)), (high.0.max(e), high.1.max(n)))
        })
    }
}
