//! Sides of the footing: poured against the bank, or formed with edge boards.

use num_traits::Zero;

use crate::footing::{FootingPiece, Layout, Part, local, product};
use crate::measure::{Dimension, Exact, Nm};

crate::measure::choice! {
    /// How a side of the footing is poured.
    pub enum FootingSide, "side of the footing" {
        /// Against the bank.
        Bank = "bank",
        /// Against edge boards.
        Formed = "formed",
    }
}

/// Both sides of the footing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SideSpec {
    /// On the exposed side.
    pub toe: FootingSide,
    /// On the earth side.
    pub heel: FootingSide,
    /// How much wider than the plan a bank is dug and poured, on each side that is poured against it.
    pub over_width: Nm,
    /// Spacing of the stakes of edge boards.
    pub stake_spacing: Nm,
}

impl SideSpec {
    /// Whether boards stand on a side.
    pub fn formed(&self) -> bool {
        [self.toe, self.heel].contains(&FootingSide::Formed)
    }
}

/// Lengths of toe edge and heel edge of a footing piece: at a corner each goes on to the other footing's edge.
pub fn edge_lengths(layout: &Layout, piece: &FootingPiece) -> (Nm, Nm) {
    let site = &layout.site;
    let line = &site.chain.walls()[piece.wall];
    let own = site.types[piece.kind].across();
    let (mut toe, mut heel) = (piece.to - piece.from, piece.to - piece.from);
    for (at_end, here) in
        [(false, piece.from == line.station), (true, piece.to == line.station + line.length)]
    {
        let Some((corner, wall)) = site.chain.corner_at(piece.wall, at_end).filter(|_| here) else {
            continue;
        };
        let mut beside = layout.footings.iter().filter(|other| other.wall == wall);
        let Some(other) = (if at_end { beside.next() } else { beside.next_back() }) else {
            continue;
        };
        let other = site.types[other.kind].across();
        toe += corner.longer(own.0, other.0);
        heel += corner.longer(own.1, other.1);
    }
    (toe.max(Nm::ZERO), heel.max(Nm::ZERO))
}

/// Area of the edge forms: thickness by edge length of each formed side, and the free ends where a side is formed.
pub fn edge_form_parts(layout: &Layout, spec: &SideSpec) -> Vec<Part> {
    let site = &layout.site;
    let mut parts: Vec<Part> = Vec::new();
    let mut add = |piece: &FootingPiece, what: &str, length: Nm| {
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        let thickness = site.types[piece.kind].thickness;
        let value = product(&[thickness, length]);
        if !value.is_zero() {
            parts.push(Part {
                wall,
                from,
                to,
                what: what.to_owned(),
                amount: Exact { value, dimension: Dimension::AREA },
                how: format!("{} x {}", site.system.show(thickness), site.system.show(length)),
            });
        }
    };
    for piece in &layout.footings {
        let (toe, heel) = edge_lengths(layout, piece);
        for (side, what, length) in [(spec.toe, "toe edge", toe), (spec.heel, "heel edge", heel)] {
            if side == FootingSide::Formed {
                add(piece, what, length);
            }
        }
    }
    if spec.formed() && !site.chain.closed() {
        for piece in layout.footings.first().into_iter().chain(layout.footings.last()) {
            add(piece, "free end", site.types[piece.kind].width);
        }
    }
    let formed = [spec.toe, spec.heel].into_iter().filter(|side| *side == FootingSide::Formed);
    let formed = i64::try_from(formed.count()).unwrap_or(0);
    for step in &layout.steps {
        let drop = (step.bof_high - step.bof_low).max(Nm::ZERO);
        let value = product(&[step.overlap * formed, drop]);
        if !value.is_zero() {
            let (a, b) = step.strip();
            let (wall, from, to) = local(site, step.wall, a, b);
            let how = format!(
                "{} x {} x {formed}",
                site.system.show(step.overlap),
                site.system.show(drop)
            );
            let amount = Exact { value, dimension: Dimension::AREA };
            parts.push(Part { wall, from, to, what: "sides of an overlap".into(), amount, how });
        }
    }
    parts
}

/// Concrete beyond the plan where the footing is poured against banks: volume of a piece by what is dug too wide over its width.
pub fn over_width_parts(layout: &Layout, spec: &SideSpec) -> Vec<Part> {
    let site = &layout.site;
    let banks = [spec.toe, spec.heel].into_iter().filter(|side| *side == FootingSide::Bank).count();
    let beyond = spec.over_width * i64::try_from(banks).unwrap_or(0);
    let part = |piece: &FootingPiece| {
        let kind = &site.types[piece.kind];
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        let length = piece.to - piece.from;
        Part {
            wall,
            from,
            to,
            what: "beyond the plan".into(),
            amount: Exact {
                value: product(&[beyond, kind.thickness, length]),
                dimension: Dimension::VOLUME,
            },
            how: format!(
                "{} too wide x {} x {}",
                site.system.show(beyond),
                site.system.show(kind.thickness),
                site.system.show(length)
            ),
        }
    };
    if beyond == Nm::ZERO {
        return Vec::new();
    }
    layout.footings.iter().map(part).collect()
}

/// Stakes of the edge boards: over the length of each formed edge, one more than the spacings.
pub fn edge_stakes(layout: &Layout, spec: &SideSpec) -> i64 {
    let every: Vec<usize> = (0..layout.site.chain.walls().len()).collect();
    edge_stakes_of(layout, spec, &every)
}

/// The same along some walls.
pub(super) fn edge_stakes_of(layout: &Layout, spec: &SideSpec, walls: &[usize]) -> i64 {
    let over = |length: Nm| num_integer::Integer::div_ceil(&length.0, &spec.stake_spacing.0) + 1;
    let piece = |piece: &FootingPiece| {
        let (toe, heel) = edge_lengths(layout, piece);
        let sides = [(spec.toe, toe), (spec.heel, heel)].into_iter();
        let formed = sides.filter(|(side, _)| *side == FootingSide::Formed);
        formed.map(|(_, length)| over(length)).sum::<i64>()
    };
    layout.footings.iter().filter(|piece| walls.contains(&piece.wall)).map(piece).sum()
}
