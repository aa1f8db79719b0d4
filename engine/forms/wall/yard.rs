//! What stands at one time, beside what the yard has.

use std::collections::BTreeMap;

use super::fillers::Filler;
use super::panels::PanelRun;
use super::spec::FormSpec;
use crate::footing::Layout;
use crate::measure::Nm;

/// A part of the forms that the yard keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FormPart {
    /// A panel of a height.
    Panel(Nm),
    /// A filler of a width and height.
    Filler(Nm, Nm),
    /// Inside and outside corner, of the height that is wanted.
    CornerSet,
}

/// How many of a part are wanted and there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YardLine {
    /// The part.
    pub part: FormPart,
    /// How many stand at one time.
    pub needed: i64,
    /// How many the yard has.
    pub owned: i64,
}

impl YardLine {
    /// How many are short.
    pub fn short(&self) -> i64 {
        (self.needed - self.owned).max(0)
    }
}

/// What stands together of some walls: panels, fillers and corners, in that order, the largest first.
pub fn yard(
    layout: &Layout,
    spec: &FormSpec,
    runs: &[PanelRun],
    fillers: &[Filler],
    walls: &[usize],
) -> Vec<YardLine> {
    let mut panels: BTreeMap<Nm, i64> = BTreeMap::new();
    for (piece, run) in layout.stems.iter().zip(runs) {
        if walls.contains(&piece.wall) {
            for height in run.stack.iter().flatten() {
                *panels.entry(*height).or_default() += run.modules * 2;
            }
        }
    }
    let mut pieces: BTreeMap<(Nm, Nm), i64> = BTreeMap::new();
    for filler in fillers.iter().filter(|filler| walls.contains(&filler.wall)) {
        for width in filler.pieces.iter().flatten() {
            for height in filler.stack.iter().flatten() {
                *pieces.entry((*width, *height)).or_default() += 1;
            }
        }
    }
    let panel = |(height, needed): (&Nm, &i64)| {
        let known = spec.panels.iter().find(|panel| panel.height == *height);
        let owned = known.map_or(0, |panel| panel.owned);
        YardLine { part: FormPart::Panel(*height), needed: *needed, owned }
    };
    let filler = |((width, height), needed): (&(Nm, Nm), &i64)| {
        let known = spec.fillers.iter().find(|filler| filler.width == *width);
        let owned = known.map_or(0, |filler| filler.owned);
        YardLine { part: FormPart::Filler(*width, *height), needed: *needed, owned }
    };
    let mut lines: Vec<YardLine> = panels.iter().rev().map(panel).collect();
    lines.extend(pieces.iter().rev().map(filler));
    // A corner is set up once for both walls that meet in it.
    let corners = layout.site.chain.corners();
    let meets = |corner: &&crate::survey::Corner| {
        walls.contains(&corner.before) || walls.contains(&corner.after)
    };
    let needed = i64::try_from(corners.iter().filter(meets).count()).unwrap_or(0);
    if needed > 0 {
        lines.push(YardLine { part: FormPart::CornerSet, needed, owned: spec.corner_sets });
    }
    lines
}
