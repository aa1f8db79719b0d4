//! Panels and ties of the stem pieces.

use super::spec::FormSpec;
use crate::footing::{Layout, StemPiece};
use crate::measure::Nm;

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
        let stack = spec.stack(piece.height());
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

/// Joints within a stem piece, in chain stations.
fn joints_of(layout: &Layout, piece: &StemPiece) -> Vec<Nm> {
    let station = layout.site.chain.walls()[piece.wall].station;
    let joints = layout.site.grid.walls[piece.wall].joints.iter().map(|joint| *joint + station);
    joints.filter(|joint| piece.from <= *joint && *joint <= piece.to).collect()
}

fn cut(layout: &Layout, piece: &StemPiece, joints: &[Nm]) -> Vec<Nm> {
    let line = &layout.site.chain.walls()[piece.wall];
    let (Some(first), Some(last)) = (joints.first(), joints.last()) else {
        // No joint at all: the whole piece, unless it is all between an end of the wall and its first joint.
        let inside = piece.from > line.station && piece.to < line.station + line.length;
        return if inside { vec![piece.to - piece.from] } else { Vec::new() };
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
