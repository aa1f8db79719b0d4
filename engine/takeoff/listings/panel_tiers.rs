//! What stands on each face of the forms, from joint to joint and from the footing up.

use super::forms::sizes;
use super::text;
use crate::footing::{End, Layout};
use crate::forms::{FillerUse, FormSpec, fillers, panel_runs};
use crate::listing::listings;
use crate::measure::{Choice, Nm};
use crate::takeoff::WallJob;

listings! {
    PANEL_TIERS = "panel_tiers", "what stands on each face from the footing up: panels from joint to joint, fillers and corners beside them", for Crew, by []: PanelTier {
        wall: String, "wall";
        face: &'static str, "exposed, earth, or both";
        what: &'static str, "panel, corner filler, inside corner or closure";
        from: Nm, "running station of its start; on the earth face that of the exposed face opposite";
        to: Nm, "running station of its end";
        width: Nm, "width of one";
        count: i64, "how many side by side";
        foot: Nm, "elevation of its foot";
        height: Nm, "height of one";
        stack: String, "all heights of the stretch, from the top down";
    }
}

/// Rows of one height from the foot up of what stands between two stations.
fn tiers(row: &PanelTier, stack: &[Nm]) -> Vec<PanelTier> {
    let mut foot = row.foot;
    let mut all = Vec::new();
    for height in stack.iter().rev() {
        all.push(PanelTier { foot, height: *height, ..row.clone() });
        foot += *height;
    }
    all
}

pub(super) fn panel_tiers(job: &WallJob, layout: &Layout, spec: &FormSpec) -> Vec<PanelTier> {
    let site = &layout.site;
    let mut rows = Vec::new();
    let row = |wall: usize, face, what, ends: (Nm, Nm), foot: Nm, stack: &[Nm]| PanelTier {
        wall: text(&site.chain.walls()[wall].id),
        face,
        what,
        from: site.chain.walls()[wall].station + ends.0,
        to: site.chain.walls()[wall].station + ends.1,
        width: ends.1 - ends.0,
        count: 1,
        foot,
        height: Nm::ZERO,
        stack: sizes(job, stack),
    };
    for (piece, run) in layout.stems.iter().zip(panel_runs(layout, spec)) {
        let station = site.chain.walls()[piece.wall].station;
        let (from, to) = (piece.from - station, piece.to - station);
        let joints = site.grid.walls[piece.wall].joints.iter().copied();
        let mut within = joints.filter(|joint| from <= *joint && *joint <= to);
        let (Some(first), Some(stack)) = (within.next(), &run.stack) else { continue };
        if run.modules > 0 {
            let ends = (first, first + spec.panel * run.modules);
            let row = row(piece.wall, "both", "panel", ends, piece.tof, stack);
            let row = PanelTier { width: spec.panel, count: run.modules, ..row };
            rows.extend(tiers(&row, stack));
        }
    }
    let standing = fillers(layout, spec);
    for (wall, grid) in site.grid.walls.iter().enumerate() {
        let long = site.chain.walls()[wall].length;
        for end in [End::Start, End::End] {
            let mut pieces = layout.stems.iter().filter(|piece| piece.wall == wall);
            let piece = if end == End::Start { pieces.next() } else { pieces.next_back() };
            let Some(piece) = piece else { continue };
            // From the joint beside the kit out to the corner.
            let out = |width: Nm| match end {
                End::Start => (grid.kit_start - width, grid.kit_start),
                End::End => (long - grid.kit_end, long - grid.kit_end + width),
            };
            let stack = spec.filler_stack(piece.height()).unwrap_or_default();
            let corner = site.chain.corner_at(wall, end == End::End);
            if let Some((corner, _)) = corner.filter(|(corner, _)| !corner.chord) {
                let [exposed, earth] = site.corner_kit(wall, end);
                let (face, width) = match corner.is_convex() {
                    true => ("earth", earth),
                    false => ("exposed", exposed),
                };
                let row = row(wall, face, "inside corner", out(width), piece.tof, &stack);
                rows.extend(tiers(&row, &stack));
            }
            for filler in standing.iter().filter(|one| one.wall == wall && one.end == end) {
                let closure = grid.closure;
                let ends = match (filler.what, end) {
                    (FillerUse::Corner, _) => out(filler.width),
                    (FillerUse::Closure, End::Start) => (grid.kit_start, grid.kit_start + closure),
                    (FillerUse::Closure, End::End) => {
                        (long - grid.kit_end - closure, long - grid.kit_end)
                    }
                };
                let own = filler.stack.clone().unwrap_or_default();
                let row = row(wall, filler.face.name(), filler.what.name(), ends, piece.tof, &own);
                rows.extend(tiers(&row, &own));
            }
        }
    }
    rows
}
