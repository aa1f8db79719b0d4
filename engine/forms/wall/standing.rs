//! What stands at one time, beside what the yard has.

use std::collections::BTreeMap;

use super::fillers::Filler;
use super::panels::{PanelRun, ties};
use super::spec::FormSpec;
use crate::footing::{End, Layout, StemPiece};
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
    /// The same for corners that are not square, on hinges.
    HingedSet,
    /// A piece of hardware, by its index.
    Hardware(usize),
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

/// A stretch of a stem piece whose forms stand together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FormStretch {
    /// Index of the stem piece.
    pub piece: usize,
    /// Whole panels on each face.
    pub modules: i64,
    /// Whether what stands at the start of its wall stands with it.
    pub starts: bool,
    /// Whether what stands at the end of its wall does.
    pub ends: bool,
}

/// The stretches of some walls, whole, in order along the walls.
pub fn whole_stretches(layout: &Layout, runs: &[PanelRun], walls: &[usize]) -> Vec<FormStretch> {
    let pieces = layout.stems.iter().zip(runs).enumerate();
    let of = |(at, (piece, run)): (usize, (&StemPiece, &PanelRun))| {
        let line = &layout.site.chain.walls()[piece.wall];
        walls.contains(&piece.wall).then_some(FormStretch {
            piece: at,
            modules: run.modules,
            starts: piece.from == line.station,
            ends: piece.to == line.station + line.length,
        })
    };
    pieces.filter_map(of).collect()
}

/// The panels of stretches by height, both faces.
pub(super) fn panels_of(runs: &[PanelRun], stretches: &[FormStretch]) -> BTreeMap<Nm, i64> {
    let mut panels: BTreeMap<Nm, i64> = BTreeMap::new();
    for stretch in stretches.iter().filter(|stretch| stretch.modules > 0) {
        for height in runs[stretch.piece].stack.iter().flatten() {
            *panels.entry(*height).or_default() += stretch.modules * 2;
        }
    }
    panels
}

/// Fillers and corners that stand with stretches, the largest first.
pub(super) fn fixed_lines(
    layout: &Layout,
    spec: &FormSpec,
    fillers: &[Filler],
    stretches: &[FormStretch],
) -> Vec<YardLine> {
    let wall = |stretch: &&FormStretch| layout.stems[stretch.piece].wall;
    let starts: Vec<usize> =
        stretches.iter().filter(|one| one.starts).map(|one| wall(&one)).collect();
    let ends: Vec<usize> = stretches.iter().filter(|one| one.ends).map(|one| wall(&one)).collect();
    let stands = |filler: &&Filler| match filler.end {
        End::Start => starts.contains(&filler.wall),
        End::End => ends.contains(&filler.wall),
    };
    let mut pieces: BTreeMap<(Nm, Nm), i64> = BTreeMap::new();
    for filler in fillers.iter().filter(stands) {
        for width in filler.pieces.iter().flatten() {
            for height in filler.stack.iter().flatten() {
                *pieces.entry((*width, *height)).or_default() += 1;
            }
        }
    }
    let filler = |((width, height), needed): (&(Nm, Nm), &i64)| {
        let known = spec.fillers.iter().find(|filler| filler.width == *width);
        let owned = known.map_or(0, |filler| filler.owned);
        YardLine { part: FormPart::Filler(*width, *height), needed: *needed, owned }
    };
    let mut lines: Vec<YardLine> = pieces.iter().rev().map(filler).collect();
    // A corner is set up once for both walls that meet in it.
    let corners = layout.site.chain.corners();
    let corners: Vec<_> = corners.iter().filter(|corner| !corner.chord).collect();
    let meets = |corner: &&&crate::survey::Corner| {
        ends.contains(&corner.before) || starts.contains(&corner.after)
    };
    for (part, square, owned) in [
        (FormPart::CornerSet, true, spec.corner_sets),
        (FormPart::HingedSet, false, spec.hinged_sets),
    ] {
        let these = corners.iter().filter(meets).filter(|c| c.turn.is_square() == square);
        let needed = i64::try_from(these.count()).unwrap_or(0);
        if needed > 0 {
            lines.push(YardLine { part, needed, owned });
        }
    }
    lines
}

/// What stands together of some walls: panels, fillers, corners and hardware, in that order, the largest first.
pub fn yard(
    layout: &Layout,
    spec: &FormSpec,
    runs: &[PanelRun],
    fillers: &[Filler],
    walls: &[usize],
) -> Vec<YardLine> {
    let stretches = whole_stretches(layout, runs, walls);
    let panel = |(height, needed): (&Nm, &i64)| YardLine {
        part: FormPart::Panel(*height),
        needed: *needed,
        owned: spec.panel_of(*height).map_or(0, |panel| panel.owned),
    };
    let mut lines: Vec<YardLine> = panels_of(runs, &stretches).iter().rev().map(panel).collect();
    lines.extend(fixed_lines(layout, spec, fillers, &stretches));
    let count = |is: fn(&FormPart) -> bool| -> i64 {
        lines.iter().filter(|line| is(&line.part)).map(|line| line.needed).sum()
    };
    let panels = count(|part| matches!(part, FormPart::Panel(_)));
    let pieces = count(|part| matches!(part, FormPart::Filler(..)));
    let corners = count(|part| matches!(part, FormPart::CornerSet | FormPart::HingedSet));
    let ties = ties(layout, runs, walls);
    for (at, kind) in spec.hardware.iter().enumerate() {
        let needed = kind.for_each_tie * ties
            + kind.for_each_panel * panels
            + kind.for_each_filler * pieces
            + kind.for_each_corner * corners;
        lines.push(YardLine { part: FormPart::Hardware(at), needed, owned: kind.owned });
    }
    lines
}
