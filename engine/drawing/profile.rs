//! The profile along the wall: steps, levels, ground lines and the steps of the plan.

use super::along::{Label, Seen, Traced, mm, sheets};
use super::listed::{ListedRow, Rows};
use super::scene::{OnPaper, Pen, Scene};
use super::title::About;
use crate::listing::Listing;
use crate::measure::{Nm, System};
use crate::problem::Problem;

/// Lines of the profile: code of the listing, words, pen.
const LINES: [(&str, &str, Pen); 4] = [
    ("key", "bottom of key", Pen { width: 0.35, dashes: &[2.0, 0.8] }),
    ("top_of_wall", "top of wall", Pen { width: 0.5, dashes: &[] }),
    ("top_of_footing", "top of footing", Pen { width: 0.7, dashes: &[] }),
    ("bottom", "dug bottom", Pen { width: 0.7, dashes: &[] }),
];

/// Ground lines: code, words, pen.
const GROUNDS: [(&str, &str, Pen); 3] = [
    ("existing", "existing ground", Pen { width: 0.35, dashes: &[3.0, 1.5] }),
    ("finished_low", "finished low side", Pen { width: 0.35, dashes: &[1.0, 1.0] }),
    ("bearing", "top of bearing", Pen { width: 0.35, dashes: &[6.0, 1.5, 1.0, 1.5, 1.0, 1.5] }),
];

/// The steps as the plan has them.
const DRAWN: Pen = Pen { width: 0.25, dashes: &[0.5, 0.8] };

/// Places of a row set, by chain and elevation.
fn places(rows: Rows, of: (&str, &str)) -> Vec<OnPaper> {
    let here = rows.iter().filter(|row| row.text(of.0) == of.1);
    here.filter_map(|row| Some((mm(row.length("chain")?), mm(row.length("elevation")?)))).collect()
}

fn seen(listings: &[Listing], system: System) -> Option<Seen> {
    let rows = |name: &str| Rows::of(listings, name);
    let mut lines = Vec::new();
    for (code, words, pen) in GROUNDS {
        let through = places(rows("ground_supports"), ("ground", code));
        lines.push(Traced { of: code, words, pen, through });
    }
    let mut drawn: Vec<OnPaper> = Vec::new();
    for row in rows("drawn_steps").iter() {
        let at = mm(row.length("chain")?);
        let [before, after] = ["tof_before", "tof_after"].map(|name| row.length(name).map(mm));
        drawn.extend([(at, before?), (at, after?)]);
    }
    for (code, words, pen) in LINES {
        let through = places(rows("profile"), ("code", code));
        lines.push(Traced { of: code, words, pen, through });
    }
    let line = |of: &str| lines.iter().find(|line| line.of == of).map(|line| &line.through);
    let (top, bottom) = (line("top_of_footing")?.clone(), line("bottom")?.clone());
    let (from, to) = (top.first()?.0, top.last()?.0);
    if let (Some(first), Some(last)) = (drawn.first().copied(), drawn.last().copied()) {
        drawn.insert(0, (from, first.1));
        drawn.push((to, last.1));
        let words = "steps of the plan";
        lines.push(Traced { of: "drawn", words, pen: DRAWN, through: drawn });
    }
    lines.retain(|line| line.through.len() > 1);
    let area = top.iter().copied().chain(bottom.iter().rev().copied()).collect();
    let show = |length: Nm| system.show(length);
    let mut over = Vec::new();
    for row in rows("steps").iter() {
        let (at, after) = (row.length("chain")?, row.length("tof_after")?);
        let before = row.length("tof_before")?;
        let station = match row.text("station_tape") {
            "" => show(row.length("station")?),
            tape => tape.to_owned(),
        };
        let (number, wall) = (row.count("step")?, row.text("wall"));
        let text = format!("{number}: {wall} {station}, TOF {}", show(after));
        let top = mm(before.max(after));
        over.push(Label { of: "step".into(), at: (mm(at), top), text, bold: false });
        if number == 1 {
            let text = format!("start, TOF {}", show(before));
            over.push(Label { of: "start".into(), at: (from, mm(before)), text, bold: false });
        }
    }
    let mut corners = Vec::new();
    for row in rows("corners").iter() {
        let at = mm(row.length("chain")?);
        corners.push(at);
        let text = format!("corner {} / {}", row.text("before"), row.text("after"));
        over.push(Label { of: "corner".into(), at: (at, f64::INFINITY), text, bold: true });
    }
    over.sort_by(|a, b| a.at.0.total_cmp(&b.at.0));
    let mut under = Vec::new();
    for part in rows("bottom_profile").iter() {
        let (a, b) = (mm(part.length("from")?), mm(part.length("to")?));
        let bof = part.length("bof")?;
        let mut text = format!("BOF {}", show(bof));
        // The types whose footings lie on it, in order along the walls.
        let lies = |piece: &ListedRow| {
            let ends = ["from", "to"].map(|name| piece.length(name).map_or(a, mm));
            ends[0] < b && ends[1] > a
        };
        let mut last = String::new();
        for piece in rows("bottom_parts").iter().filter(lies) {
            if piece.text("type") != last {
                piece.text("type").clone_into(&mut last);
                text = format!("{text}, {last}");
            }
        }
        let middle = f64::midpoint(a, b);
        under.push(Label { of: "bottom".into(), at: (middle, mm(bof)), text, bold: false });
    }
    let marks = rows("panel_joints").iter().filter_map(|row| {
        let wall = rows("walls").iter().find(|wall| wall.text("wall") == row.text("wall"))?;
        Some(mm(wall.length("chain_start")? + row.length("station")?))
    });
    let benchmark = rows("site_facts").iter().find(|fact| fact.text("what") == "Benchmark");
    Some(Seen {
        said: "Profile by running stations",
        besides: benchmark.map(|fact| format!("benchmark {}", fact.text("text"))),
        marks: marks.collect(),
        lines,
        area,
        over,
        under,
        corners,
    })
}

/// The sheets of the profile.
///
/// # Errors
/// Nothing is laid out, the names of the walls leave no room, or it takes too many sheets.
pub fn profile(listings: &[Listing], about: &About) -> Result<Vec<Scene>, Problem> {
    let seen = seen(listings, about.system)
        .ok_or_else(|| Problem::error("this job has no profile to draw"))?;
    sheets(&seen, about)
}
