//! Ties and footing lumber as measured parts of a takeoff.

use super::bulkheads::{Bulkhead, FootingTemplate, LumberSpec, bulkheads, templates};
use super::panels::{panel_runs, ties};
use super::spec::FormSpec;
use crate::footing::{Layout, Part, local};
use crate::measure::{Dimension, Exact, Nm, ratio};

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
