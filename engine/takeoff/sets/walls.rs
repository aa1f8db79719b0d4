//! Walls, corners and panel joints.

use super::columns;
use crate::footing::End;
use crate::takeoff::{Datum, RecordSet, WallJob};

pub(super) fn sets(job: &WallJob) -> Vec<RecordSet> {
    vec![walls(job), corners(job), grid(job), joints(job)]
}

fn walls(job: &WallJob) -> RecordSet {
    let site = &job.site;
    let row = |(index, line): (usize, &crate::survey::WallLine)| {
        vec![
            Datum::text(&line.id),
            Datum::Length(line.length),
            Datum::Length(line.station),
            Datum::text(site.chain.start_kind(index).name()),
            Datum::text(site.chain.end_kind(index).name()),
            Datum::length_in(site.walls[index].stem, job.system.small()),
        ]
    };
    RecordSet {
        name: "walls",
        about: "the walls in chain order",
        columns: columns![
            ("wall", "name"),
            ("length", "length of the exposed face"),
            ("chain_start", "chain station of its start"),
            ("start", "free, convex or concave"),
            ("end", "free, convex or concave"),
            ("stem", "stem thickness"),
        ],
        rows: site.chain.walls().iter().enumerate().map(row).collect(),
    }
}

fn corners(job: &WallJob) -> RecordSet {
    let walls = job.site.chain.walls();
    let row = |corner: &crate::survey::Corner| {
        vec![
            Datum::text(&walls[corner.before].id),
            Datum::text(&walls[corner.after].id),
            Datum::text(corner.kind.name()),
            Datum::Length(corner.station),
        ]
    };
    RecordSet {
        name: "corners",
        about: "the corners in chain order",
        columns: columns![
            ("before", "wall before it"),
            ("after", "wall after it"),
            ("kind", "convex or concave"),
            ("chain", "chain station"),
        ],
        rows: job.site.chain.corners().iter().map(row).collect(),
    }
}

fn grid(job: &WallJob) -> RecordSet {
    let site = &job.site;
    let small = job.system.small();
    let row = |(line, grid): (&crate::survey::WallLine, &crate::footing::WallGrid)| {
        vec![
            Datum::text(&line.id),
            Datum::text(grid.origin.name()),
            Datum::length_in(grid.kit_start, small),
            Datum::length_in(grid.kit_end, small),
            Datum::count(grid.joints.len() - 1),
            Datum::length_in(grid.closure, small),
            match grid.origin {
                // Nothing left over is at no end.
                _ if grid.closure == crate::measure::Nm::ZERO => Datum::Blank,
                End::Start => Datum::text(End::End.name()),
                End::End => Datum::text(End::Start.name()),
            },
            Datum::count(grid.allowed.len()),
        ]
    };
    RecordSet {
        name: "panel_grid",
        about: "panel joints by wall",
        columns: columns![
            ("wall", "name"),
            ("origin", "end from which the joints are counted"),
            ("kit_start", "kit length at the start"),
            ("kit_end", "kit length at the end"),
            ("modules", "whole panels"),
            ("closure", "left-over width"),
            ("closure_at", "end where it is"),
            ("allowed_joints", "joints on which a riser may stand"),
        ],
        rows: site.chain.walls().iter().zip(&site.grid.walls).map(row).collect(),
    }
}

fn joints(job: &WallJob) -> RecordSet {
    let site = &job.site;
    let of_wall = |(line, grid): (&crate::survey::WallLine, &crate::footing::WallGrid)| {
        let row = |joint: &crate::measure::Nm| {
            vec![
                Datum::text(&line.id),
                Datum::Length(*joint),
                Datum::Flag(grid.allowed.contains(joint)),
            ]
        };
        grid.joints.iter().map(row).collect::<Vec<_>>()
    };
    RecordSet {
        name: "panel_joints",
        about: "every panel joint",
        columns: columns![
            ("wall", "name"),
            ("station", "local station"),
            ("riser_allowed", "whether a riser may stand on it"),
        ],
        rows: site.chain.walls().iter().zip(&site.grid.walls).flat_map(of_wall).collect(),
    }
}
