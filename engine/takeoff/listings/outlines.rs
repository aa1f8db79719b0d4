//! Outlines in plan: footing, overlaps at steps, stem, each from corner to corner.

use super::steps::plane;
use super::text;
use crate::footing::{Layout, StemPiece};
use crate::listing::{Amount, listings};
use crate::measure::{Length, Nm};
use crate::survey::Strip;
use crate::takeoff::WallJob;

listings! {
    OUTLINES = "outlines", "corners of footing, overlaps and stem in plan, in the grid's unit", for Crew, by []: OutlinePoint {
        of: &'static str, "footing, overlap or stem";
        piece: usize, "number of the piece along the walls, from 1";
        wall: String, "wall";
        corner: usize, "start and end of the toe side, end and start of the earth side: 1 to 4";
        east: Amount<Length>, "easting";
        north: Amount<Length>, "northing";
    }
}

/// A piece of one wall between two offsets.
struct Piece {
    of: &'static str,
    wall: usize,
    from: Nm,
    to: Nm,
    across: Strip,
}

/// Footing pieces, overlaps and stem pieces, each by the corners of its plan; at corners of the walls they go on to the other
/// wall's edges.
pub(super) fn outlines(job: &WallJob, layout: &Layout) -> Vec<OutlinePoint> {
    let site = &layout.site;
    let footing = |piece: &crate::footing::FootingPiece| Piece {
        of: "footing",
        wall: piece.wall,
        from: piece.from,
        to: piece.to,
        across: site.types[piece.kind].across(),
    };
    let overlap = |step: &crate::footing::Step| {
        let (from, to) = step.strip();
        Piece {
            of: "overlap",
            // The one that it lies along: a falling step on a corner between chords has it before the corner.
            wall: site.chain.wall_at(Nm(from.0.midpoint(to.0))),
            from,
            to,
            across: site.types[step.low_type].across(),
        }
    };
    let stem = |piece: &StemPiece| Piece {
        of: "stem",
        wall: piece.wall,
        from: piece.from,
        to: piece.to,
        across: (Nm::ZERO, site.walls[piece.wall].stem),
    };
    let footings: Vec<Piece> = layout.footings.iter().map(footing).collect();
    let overlaps: Vec<Piece> = layout.steps.iter().map(overlap).collect();
    let stems: Vec<Piece> = layout.stems.iter().map(stem).collect();
    let mut rows = Vec::new();
    for pieces in [&footings, &overlaps, &stems] {
        for (number, piece) in (1..).zip(pieces) {
            rows.extend(outline(job, pieces, piece, number));
        }
    }
    rows
}

/// The four corners of a piece.
fn outline(job: &WallJob, among: &[Piece], piece: &Piece, number: usize) -> Vec<OutlinePoint> {
    let chain = &job.site.chain;
    let line = &chain.walls()[piece.wall];
    // How much longer each side is at an end, where that is a corner of the walls.
    let longer = |at_end: bool| {
        // An overlap ends under a run, and at no corner.
        let here = piece.of != "overlap"
            && if at_end {
                piece.to == line.station + line.length
            } else {
                piece.from == line.station
            };
        let Some((corner, wall)) = chain.corner_at(piece.wall, at_end).filter(|_| here) else {
            return (Nm::ZERO, Nm::ZERO);
        };
        let mut beside = among.iter().filter(|other| other.wall == wall);
        let other = if at_end { beside.next() } else { beside.next_back() };
        let Some(other) = other else { return (Nm::ZERO, Nm::ZERO) };
        let (own, other) = (piece.across, other.across);
        (corner.longer(own.0, other.0), corner.longer(own.1, other.1))
    };
    let (start, end) = (longer(false), longer(true));
    let (from, to) = (piece.from - line.station, piece.to - line.station);
    let (low, high) = piece.across;
    let corners =
        [(from - start.0, low), (to + end.0, low), (to + end.1, high), (from - start.1, high)];
    let point = |(corner, (local, offset)): (usize, (Nm, Nm))| {
        let [east, north] = plane(job, chain.point_beside(piece.wall, local, offset));
        OutlinePoint { of: piece.of, piece: number, wall: text(&line.id), corner, east, north }
    };
    (1..).zip(corners).map(point).collect()
}
