//! Panels and ties of the stem pieces.

use num_rational::BigRational;
use num_traits::Zero;

use super::spec::FormSpec;
use crate::footing::{End, Fact, Layout, RuleHook, StemPiece, product};
use crate::measure::Nm;
use crate::problem::Problem;

/// The panels of a stem piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PanelRun {
    /// Index of the stem piece.
    pub piece: usize,
    /// Whole panels on each face.
    pub modules: i64,
    /// Heights from the top down to the footing, the tallest first; none where no stack of the yard adds up.
    pub stack: Option<Vec<Nm>>,
    /// Rows of ties.
    pub tie_rows: i64,
    /// Height of the forms: the stem's up to a course.
    pub height: Nm,
    /// Lengths of the piece on each face that lie between its ends and the joints beside them, where it ends on no joint
    /// and at no end of the wall: cut fillers.
    pub cut: Vec<Nm>,
}

/// The panels of each stem piece; both faces take the same, for opposite joints line up.
pub fn panel_runs(layout: &Layout, spec: &FormSpec) -> Vec<PanelRun> {
    let run = |(at, piece): (usize, &StemPiece)| {
        let joints = joints_of(layout, piece);
        let modules = i64::try_from(joints.len()).unwrap_or(0).saturating_sub(1).max(0);
        let stack = own_stack(layout, spec, piece).or_else(|| spec.stack(piece.height()));
        PanelRun {
            piece: at,
            modules,
            tie_rows: stack.as_deref().map_or(0, |stack| spec.tie_rows(stack)),
            stack,
            height: spec.form_height(piece.height()),
            cut: cut(layout, piece, &joints),
        }
    };
    layout.stems.iter().enumerate().map(run).collect()
}

/// The panels that the company's rule stacks: heights of the yard that add up to that of the forms.
fn own_stack(layout: &Layout, spec: &FormSpec, piece: &StemPiece) -> Option<Vec<Nm>> {
    let site = &layout.site;
    let height = spec.form_height(piece.height());
    let heights: Vec<Nm> = spec.panels.iter().map(|panel| panel.height).collect();
    let facts = [
        ("height", Fact::Length(height)),
        ("heights", Fact::Lengths(heights.clone())),
        ("wall", Fact::Name(site.chain.walls()[piece.wall].id.clone())),
    ];
    site.hooks.lengths(RuleHook::PanelStack, &facts, |stack| {
        let show = |length: Nm| site.system.show(length);
        if let Some(other) = stack.iter().find(|panel| !heights.contains(panel)) {
            let known: Vec<String> = heights.iter().map(|height| show(*height)).collect();
            return Err(Problem::error(format!("the yard has no panel of {}", show(*other)))
                .help(format!("it has {}", known.join(", "))));
        }
        let sum: Nm = stack.iter().copied().sum();
        if sum != height {
            return Err(Problem::error(format!(
                "the panels add up to {}, the forms are {} high",
                show(sum),
                show(height)
            )));
        }
        Ok(())
    })
}

/// Joints within a stem piece, in running stations.
pub(super) fn joints_of(layout: &Layout, piece: &StemPiece) -> Vec<Nm> {
    let station = layout.site.chain.walls()[piece.wall].station;
    let joints = layout.site.grid.walls[piece.wall].joints.iter().map(|joint| *joint + station);
    joints.filter(|joint| piece.from <= *joint && *joint <= piece.to).collect()
}

fn cut(layout: &Layout, piece: &StemPiece, joints: &[Nm]) -> Vec<Nm> {
    let line = &layout.site.chain.walls()[piece.wall];
    let (Some(first), Some(last)) = (joints.first(), joints.last()) else {
        // No joint at all: the whole piece.
        return vec![piece.to - piece.from];
    };
    let starts = piece.from > line.station && *first > piece.from;
    let ends = piece.to < line.station + line.length && *last < piece.to;
    let parts = [starts.then(|| *first - piece.from), ends.then(|| piece.to - *last)];
    parts.into_iter().flatten().collect()
}

/// Ties: at every joint of a wall, those at its ends included, the rows of the taller stem piece that meets there.
pub fn ties(layout: &Layout, runs: &[PanelRun], walls: &[usize]) -> i64 {
    let mut sum = 0;
    for wall in walls {
        let station = layout.site.chain.walls()[*wall].station;
        for joint in &layout.site.grid.walls[*wall].joints {
            let at = *joint + station;
            let meets = layout
                .stems
                .iter()
                .zip(runs)
                .filter(|(piece, _)| piece.wall == *wall && piece.from <= at && at <= piece.to);
            sum += meets.map(|(_, run)| run.tie_rows).max().unwrap_or(0);
        }
    }
    sum
}

/// Both faces of the stem by what stands on them: panels, corner fillers and inside corners, leads, closures, cut fillers.
pub fn area_by_forms(layout: &Layout, spec: &FormSpec) -> BigRational {
    let site = &layout.site;
    let mut area = BigRational::zero();
    for (piece, run) in layout.stems.iter().zip(panel_runs(layout, spec)) {
        let line = &site.chain.walls()[piece.wall];
        let grid = &site.grid.walls[piece.wall];
        // The filler of the outside angle on one face, the inside corner on the other; a lead has both.
        let kit = |end: End| site.corner_kit(piece.wall, end);
        let [start, end] = piece.ends();
        if joints_of(layout, piece).is_empty() {
            let longer = layout.earth_longer(piece);
            area += piece.mean_height() * product(&[(piece.to - piece.from) * 2]);
            area += product(&[start, longer[0]]) + product(&[end, longer[1]]);
            continue;
        }
        let mut face = spec.panel * run.modules;
        face += run.cut.iter().fold(Nm::ZERO, |sum, cut| sum + *cut);
        let (starts, ends) = (piece.from == line.station, piece.to == line.station + line.length);
        for (here, at, height) in [(starts, End::Start, start), (ends, End::End, end)] {
            if here {
                let [exposed, earth] = kit(at);
                face += exposed;
                area += product(&[height, earth - exposed]);
            }
        }
        let closure_here = match grid.origin {
            End::Start => ends,
            End::End => starts,
        };
        if closure_here {
            face += grid.closure;
        }
        area += piece.mean_height() * product(&[face * 2]);
    }
    area
}
