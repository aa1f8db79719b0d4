//! Ties and footing lumber as measured parts of a takeoff.

use super::bulkheads::{Bulkhead, FootingTemplate, LumberSpec, bulkheads, templates};
use super::fillers::fillers;
use super::panels::{panel_runs, ties};
use super::spec::FormSpec;
use crate::footing::{End, Layout, Part, local};
use crate::measure::{Choice, Dimension, Exact, Nm, ratio};

crate::measure::choice! {
    /// A thing that the footing is formed with.
    pub enum FootingLumber, "piece of lumber" {
        /// Boards of the bulkheads, by length.
        BulkheadBoards = "bulkhead boards",
        /// Stakes of the bulkheads.
        BulkheadStakes = "bulkhead stakes",
        /// Kickers of the bulkheads.
        Kickers = "kickers",
        /// Cross pieces of the templates, by length.
        CrossPieces = "cross pieces",
        /// Stakes of the templates.
        TemplateStakes = "template stakes",
        /// The piece along the footing, by length.
        LongPiece = "long piece",
    }
}

fn count(count: i64) -> Exact {
    Exact { value: ratio(count.into(), 1), dimension: Dimension::NUMBER }
}

fn length(length: Nm) -> Exact {
    Exact { value: ratio(length.wide(), 1), dimension: Dimension::LENGTH }
}

/// Ties by wall.
pub fn tie_parts(layout: &Layout, spec: &FormSpec) -> Vec<Part> {
    let runs = panel_runs(layout, spec);
    let walls = layout.site.chain.walls().iter().enumerate();
    let part = |(wall, line): (usize, &crate::survey::WallLine)| Part {
        wall: line.id.clone(),
        from: Nm::ZERO,
        to: line.length,
        what: "ties".into(),
        amount: count(ties(layout, &runs, &[wall])),
        how: format!(
            "{} joints, the rows of the taller form at each",
            layout.site.grid.walls[wall].joints.len()
        ),
    };
    walls.map(part).collect()
}

/// Cut fillers: beside steps off the joints, and where no stock widths add up to a corner or closure; one a face.
pub fn cut_filler_parts(layout: &Layout, spec: &FormSpec) -> Vec<Part> {
    let part = |wall: usize, (from, to): (Nm, Nm), what: &str, width: Nm, faces: i64| {
        let (wall, from, to) = local(&layout.site, wall, from, to);
        let how = format!("{} wide, one a face", layout.site.system.show(width));
        Part { wall, from, to, what: what.to_owned(), amount: count(faces), how }
    };
    let mut parts = Vec::new();
    for (piece, run) in layout.stems.iter().zip(panel_runs(layout, spec)) {
        let at = (piece.from, piece.to);
        parts.extend(run.cut.iter().map(|cut| part(piece.wall, at, "beside a step", *cut, 2)));
    }
    for filler in fillers(layout, spec).iter().filter(|filler| filler.pieces.is_none()) {
        let line = &layout.site.chain.walls()[filler.wall];
        let at = match filler.end {
            End::Start => line.station,
            End::End => line.station + line.length,
        };
        parts.push(part(filler.wall, (at, at), filler.what.name(), filler.width, 1));
    }
    parts
}

/// Lumber of one kind, step by step or piece by piece.
pub fn lumber_parts(layout: &Layout, spec: &LumberSpec, what: FootingLumber) -> Vec<Part> {
    let system = layout.site.system;
    let of_steps = |of: &dyn Fn(&Bulkhead) -> (Exact, String)| -> Vec<Part> {
        let steps = layout.steps.iter().zip(bulkheads(layout, spec));
        let part = |(step, bulkhead): (&crate::footing::Step, Bulkhead)| {
            let (wall, at, _) = local(&layout.site, step.wall, step.station, step.station);
            let (amount, how) = of(&bulkhead);
            Part { wall, from: at, to: at, what: "bulkhead".into(), amount, how }
        };
        steps.map(part).collect()
    };
    let of_pieces = |of: &dyn Fn(&FootingTemplate) -> (Exact, String)| -> Vec<Part> {
        let part = |template: FootingTemplate| {
            let (amount, how) = of(&template);
            let (wall, from, to) = (template.wall, template.from, template.to);
            Part { wall, from, to, what: "template".into(), amount, how }
        };
        templates(layout, spec).into_iter().map(part).collect()
    };
    match what {
        FootingLumber::BulkheadBoards => of_steps(&|b| {
            let how = format!("{} x {}", b.boards, system.show(b.length));
            (length(b.length * b.boards), how)
        }),
        FootingLumber::BulkheadStakes => {
            of_steps(&|b| (count(b.stakes), format!("over {}", system.show(b.length))))
        }
        FootingLumber::Kickers => {
            of_steps(&|_| (count(spec.kickers), "as the job gives them".into()))
        }
        FootingLumber::CrossPieces => of_pieces(&|t| {
            let how = format!("{} x {}", t.cross_pieces, system.show(t.cross_length));
            (length(t.cross_length * t.cross_pieces), how)
        }),
        FootingLumber::TemplateStakes => of_pieces(&|t| {
            let how = format!("{} cross pieces x {}", t.cross_pieces, spec.cross_stakes);
            (count(t.stakes), how)
        }),
        FootingLumber::LongPiece => {
            of_pieces(&|t| (length(t.to - t.from), "along the footing".into()))
        }
    }
}
