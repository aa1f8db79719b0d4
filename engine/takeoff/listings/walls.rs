//! Walls, corners and panel joints.

use num_rational::BigRational;

use super::steps::mark;
use super::text;
use crate::footing::End;
use crate::listing::{Amount, listings};
use crate::measure::round::nearest_places;
use crate::measure::{Angle, Length, Nm};
use crate::takeoff::WallJob;

listings! {
    WALL_TYPES = "wall_types", "the wall schedule, in the order in which a stem is looked up", for Client, by ["type"]: TypeRow {
        r#type: String, "name in the plan";
        stem_up_to: Nm, "greatest stem height that it carries";
        width: Nm, "footing width";
        thickness: Nm, "footing thickness";
        toe: Nm, "from the footing's edge to the exposed face";
        key_width: Option<Nm>, "width of its key";
        key_depth: Option<Nm>, "depth of its key below the bottom of footing";
    }
    WALLS = "walls", "the walls, in their order", for Client, by ["wall"]: Wall {
        wall: String, "name";
        length: Nm, "length of the exposed face";
        chain_start: Nm, "running station of its start";
        start: &'static str, "free, outside or inside corner";
        end: &'static str, "free, outside or inside corner";
        stem: Amount<Length>, "stem thickness";
        start_north: Amount<Length>, "northing of the exposed face at its start, in the grid's unit";
        start_east: Amount<Length>, "easting there";
        end_north: Amount<Length>, "northing at its end";
        end_east: Amount<Length>, "easting there";
    }
    CORNERS = "corners", "the corners, in their order", for Client, by ["chain"]: CornerRow {
        before: String, "wall before it";
        after: String, "wall after it";
        kind: String, "outside or inside";
        turn: Amount<Angle>, "how far it turns";
        between_chords: bool, "whether it is one between chords of a curve, without a kit of forms";
        chain: Nm, "running station";
    }
    CURVES = "curves", "curved walls and the chords that they are built as", for Crew, by ["curve"]: CurveRow {
        curve: String, "name in the plan";
        first: String, "the first of the walls that are its chords";
        last: String, "the last of them";
        radius: Nm, "radius of the exposed face";
        turn: Amount<Angle>, "how far it turns";
        arc: Nm, "length of the arc";
        chords: usize, "how many";
        chord: Nm, "length of the longest on the exposed face";
        off: Amount<Length>, "how far the middle of that chord is off the arc";
        shorter: Amount<Length>, "by how much all chords together are shorter than the arc";
        filler: Amount<Length>, "what the corner between the first two chords takes on the longer face; half of it to each side";
    }
    PANEL_GRID = "panel_grid", "panel joints by wall", for Crew, by ["wall"]: Grid {
        wall: String, "name";
        origin: String, "end from which the joints are counted";
        kit_start: Amount<Length>, "kit length at the start";
        kit_end: Amount<Length>, "kit length at the end";
        modules: usize, "whole panels";
        closure: Amount<Length>, "left-over width";
        closure_at: Option<&'static str>, "end where it is";
        allowed_joints: usize, "joints on which a riser may stand";
    }
    PANEL_JOINTS = "panel_joints", "every panel joint", for Crew, by ["wall", "station"]: Joint {
        wall: String, "name";
        station: Nm, "local station";
        riser_allowed: bool, "whether a riser may stand on it";
    }
}

pub(super) fn walls(job: &WallJob) -> Vec<Wall> {
    let site = &job.site;
    let row = |(index, line): (usize, &crate::survey::WallLine)| Wall {
        wall: text(&line.id),
        length: line.length,
        chain_start: line.station,
        start: site.chain.start_kind(index).name(),
        end: site.chain.end_kind(index).name(),
        stem: Amount::length(site.walls[index].stem, job.style.system.small()),
        start_north: mark(job, line.start.n),
        start_east: mark(job, line.start.e),
        end_north: mark(job, line.end.n),
        end_east: mark(job, line.end.e),
    };
    site.chain.walls().iter().enumerate().map(row).collect()
}

pub(super) fn types(job: &WallJob) -> Vec<TypeRow> {
    let row = |kind: &crate::footing::WallType| TypeRow {
        r#type: text(&kind.id),
        stem_up_to: kind.stem_up_to,
        width: kind.width,
        thickness: kind.thickness,
        toe: kind.toe,
        key_width: kind.key.map(|key| key.width),
        key_depth: kind.key.map(|key| key.depth),
    };
    job.site.types.iter().map(row).collect()
}

/// Degrees to four places.
fn degrees(degrees: f64) -> Amount<Angle> {
    let exact = nearest_places(&BigRational::from_float(degrees).unwrap_or_default(), 4);
    let unit = crate::measure::unit("deg").map(|unit| unit.exact().clone());
    Amount::new(exact * unit.unwrap_or_default(), "deg")
}

pub(super) fn corners(job: &WallJob) -> Vec<CornerRow> {
    let walls = job.site.chain.walls();
    let row = |corner: &crate::survey::Corner| CornerRow {
        before: text(&walls[corner.before].id),
        after: text(&walls[corner.after].id),
        kind: text(corner.kind.name()),
        turn: degrees(corner.turn.degrees()),
        between_chords: corner.chord,
        chain: corner.station,
    };
    job.site.chain.corners().iter().map(row).collect()
}

/// The curves, where the job has any.
pub(super) fn curves(job: &WallJob) -> Option<Vec<CurveRow>> {
    let (site, small) = (&job.site, job.style.system.small());
    let walls = site.chain.walls();
    let row = |curve: &crate::survey::CurvedWall| {
        let (first, end) = curve.walls;
        let chords = &walls[first..end];
        let longest = chords.iter().map(|wall| wall.length).max().unwrap_or(Nm::ZERO);
        let all: Nm = chords.iter().map(|wall| wall.length).sum();
        // A corner's filler is what the longer of the two faces has more there, on both sides of it.
        let inner = site.chain.corner_at(first, true).filter(|(corner, _)| corner.after < end);
        let filler = inner.map_or(Nm::ZERO, |(corner, _)| {
            let stem = site.walls[first].stem;
            corner.longer(stem, stem).abs() * 2
        });
        CurveRow {
            curve: text(&curve.id),
            first: text(&walls[first].id),
            last: text(&walls[end - 1].id),
            radius: curve.arc.radius,
            turn: degrees(curve.arc.sweep.to_degrees()),
            arc: curve.arc.length(),
            chords: chords.len(),
            chord: longest,
            off: Amount::length(curve.arc.off(longest), small),
            shorter: Amount::length(curve.arc.length() - all, small),
            filler: Amount::length(filler, small),
        }
    };
    let rows: Vec<CurveRow> = site.chain.curves().iter().map(row).collect();
    (!rows.is_empty()).then_some(rows)
}

pub(super) fn grid(job: &WallJob) -> Vec<Grid> {
    let site = &job.site;
    let small = job.style.system.small();
    let row = |(line, grid): (&crate::survey::WallLine, &crate::footing::WallGrid)| {
        Grid {
            wall: text(&line.id),
            origin: text(grid.origin.name()),
            kit_start: Amount::length(grid.kit_start, small),
            kit_end: Amount::length(grid.kit_end, small),
            modules: grid.joints.len() - 1,
            closure: Amount::length(grid.closure, small),
            closure_at: match grid.origin {
                // Nothing left over is at no end.
                _ if grid.closure == Nm::ZERO => None,
                End::Start => Some(End::End.name()),
                End::End => Some(End::Start.name()),
            },
            allowed_joints: grid.allowed.len(),
        }
    };
    // A wall on one level has no joints to count.
    let gridded = site.chain.walls().iter().zip(&site.grid.walls);
    gridded.filter(|(_, grid)| !grid.joints.is_empty()).map(row).collect()
}

pub(super) fn joints(job: &WallJob) -> Vec<Joint> {
    let site = &job.site;
    let of_wall = |(line, grid): (&crate::survey::WallLine, &crate::footing::WallGrid)| {
        let row = |joint: &Nm| Joint {
            wall: text(&line.id),
            station: *joint,
            riser_allowed: grid.allowed.contains(joint),
        };
        // A corner between chords is one too, though its fillers stand between it and the panels.
        let corner = grid.allowed.iter().filter(|at| !grid.joints.contains(at));
        corner.chain(&grid.joints).map(row).collect::<Vec<_>>()
    };
    site.chain.walls().iter().zip(&site.grid.walls).flat_map(of_wall).collect()
}
