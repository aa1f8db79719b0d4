//! Fillers: at the outside of corners and in the closure of a wall, on both faces.

use super::spec::FormSpec;
use crate::footing::{End, Layout};
use crate::measure::Nm;

crate::measure::choice! {
    /// A face of the stem.
    pub enum FormFace, "face" {
        /// On the low side.
        Exposed = "exposed",
        /// On the retained side.
        Earth = "earth",
    }
}

crate::measure::choice! {
    /// What a filler closes.
    pub enum FillerUse, "filler" {
        /// The outside angle of a corner.
        Corner = "corner filler",
        /// What the panels leave of a wall.
        Closure = "closure",
    }
}

/// A filler of one end and face.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filler {
    /// Index of the wall.
    pub wall: usize,
    /// Its end.
    pub end: End,
    /// The face.
    pub face: FormFace,
    /// What it closes.
    pub what: FillerUse,
    /// Its width.
    pub width: Nm,
    /// Stock widths that add up to it; none for a cut filler.
    pub pieces: Option<Vec<Nm>>,
    /// Heights, the tallest first; none where no stack of the yard adds up.
    pub stack: Option<Vec<Nm>>,
}

/// No filler between chords is narrower than a 64th of an inch.
const LEAST_BETWEEN_CHORDS: Nm = Nm(Nm::INCH.0 / 64);

/// The fillers, wall by wall: corners at start and end, then the closure on both faces.
pub fn fillers(layout: &Layout, spec: &FormSpec) -> Vec<Filler> {
    let site = &layout.site;
    let widths: Vec<Nm> = spec.fillers.iter().map(|filler| filler.width).collect();
    let mut list = Vec::new();
    for (wall, grid) in site.grid.walls.iter().enumerate() {
        let pieces: Vec<_> = layout.stems.iter().filter(|piece| piece.wall == wall).collect();
        let height = |end: End| {
            let piece = match end {
                End::Start => pieces.first(),
                End::End => pieces.last(),
            };
            piece.map_or(Nm::ZERO, |piece| piece.height())
        };
        let filler = |end, face, what, width| Filler {
            wall,
            end,
            face,
            what,
            width,
            pieces: super::exact_fill(width, &widths),
            stack: spec.filler_stack(height(end)),
        };
        for end in [End::Start, End::End] {
            let Some((corner, _)) = site.chain.corner_at(wall, end == End::End) else { continue };
            let [exposed, earth] = site.corner_kit(wall, end);
            if corner.chord {
                // Nothing but fillers, where there is room for one.
                for (face, width) in [(FormFace::Exposed, exposed), (FormFace::Earth, earth)] {
                    if width > LEAST_BETWEEN_CHORDS {
                        list.push(filler(end, face, FillerUse::Corner, width));
                    }
                }
                continue;
            }
            let (face, width) = match corner.is_convex() {
                true => (FormFace::Exposed, exposed),
                false => (FormFace::Earth, earth),
            };
            list.push(filler(end, face, FillerUse::Corner, width));
        }
        if grid.closure > Nm::ZERO {
            let end = grid.origin.other();
            for face in [FormFace::Exposed, FormFace::Earth] {
                list.push(filler(end, face, FillerUse::Closure, grid.closure));
            }
        }
    }
    list
}
