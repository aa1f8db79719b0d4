//! Elevations of the form faces: panels from joint to joint, fillers and corners beside them, the pour line.

use super::along::{Label, Seen, Traced, mm, sheets};
use super::listed::Rows;
use super::scene::{OnPaper, Pen, Scene};
use super::title::About;
use crate::listing::Listing;
use crate::measure::System;
use crate::problem::Problem;

const PANEL: Pen = Pen { width: 0.2, dashes: &[] };
const FILLER: Pen = Pen { width: 0.35, dashes: &[1.0, 0.7] };
const POUR: Pen = Pen { width: 0.7, dashes: &[] };
const FOOTING: Pen = Pen { width: 0.5, dashes: &[3.0, 1.5] };

/// A rectangle by its sides, each a line of its own, so that a sheet may end within it.
fn around(
    of: &'static str,
    words: &'static str,
    pen: Pen,
    low: OnPaper,
    high: OnPaper,
) -> Vec<Traced> {
    let side = |a, b| Traced { of, words, pen, through: vec![a, b] };
    vec![
        side(low, (high.0, low.1)),
        side((low.0, high.1), high),
        side(low, (low.0, high.1)),
        side((high.0, low.1), high),
    ]
}

/// Places of a stepped line by chain and elevation.
fn stepped(rows: Rows, code: &str) -> Vec<OnPaper> {
    let here = rows.iter().filter(|row| row.text("code") == code);
    here.filter_map(|row| Some((mm(row.length("chain")?), mm(row.length("elevation")?)))).collect()
}

fn seen(listings: &[Listing], face: &str, system: System, said: &'static str) -> Option<Seen> {
    let rows = |name: &str| Rows::of(listings, name);
    let (mut lines, mut over, mut under) = (Vec::new(), Vec::new(), Vec::new());
    let mut before: Option<String> = None;
    for tier in rows("panel_tiers").iter() {
        if tier.text("face") != "both" && tier.text("face") != face {
            continue;
        }
        let (from, to) = (mm(tier.length("from")?), mm(tier.length("to")?));
        let (foot, height) = (mm(tier.length("foot")?), mm(tier.length("height")?));
        let (what, count) = (tier.text("what").to_owned(), tier.count("count")?);
        let (low, high) = ((from, foot), (to, foot + height));
        let panel = what == "panel";
        let (pen, words) = if panel { (PANEL, "panel") } else { (FILLER, "filler or corner") };
        let of = if panel { "panel" } else { "filler" };
        lines.extend(around(of, words, pen, low, high));
        for joint in 1..count {
            #[expect(clippy::cast_precision_loss, reason = "joints of a wall")]
            let x = from + (to - from) * joint as f64 / count as f64;
            let through = vec![(x, foot), (x, foot + height)];
            lines.push(Traced { of: "joint", words, pen, through });
        }
        // The tiers of one stretch have one label, which tells them from the foot up.
        let wall = tier.text("wall");
        let told = format!("{wall} {what} {from}");
        if before.as_ref() == Some(&told) {
            continue;
        }
        before = Some(told);
        let middle = f64::midpoint(from, to);
        let text = match panel {
            true => format!("{wall} {count} x {}", tier.text("stack")),
            // Its heights stand in the tiers.
            false => format!("{what} {}", system.tape(tier.length("width")?, 16)),
        };
        let label = Label {
            of: of.to_owned(),
            at: (middle, if panel { high.1 } else { foot }),
            text,
            bold: false,
        };
        if panel {
            over.push(label);
        } else {
            under.push(label);
        }
    }
    if lines.is_empty() {
        return None;
    }
    for (code, words, pen) in [
        ("top_of_wall", "pour line: top of wall", POUR),
        ("top_of_footing", "top of footing", FOOTING),
    ] {
        let through = stepped(rows("profile"), code);
        let of = if code == "top_of_wall" { "pour" } else { "footing" };
        lines.push(Traced { of, words, pen, through });
    }
    let corners: Vec<f64> =
        rows("corners").iter().filter_map(|row| Some(mm(row.length("chain")?))).collect();
    for labels in [&mut over, &mut under] {
        labels.sort_by(|a, b| a.at.0.total_cmp(&b.at.0));
    }
    Some(Seen {
        said,
        lines,
        area: Vec::new(),
        over,
        under,
        corners,
        marks: Vec::new(),
        besides: None,
    })
}

/// The sheets of both faces; none where the job lists no forms.
///
/// # Errors
/// The labels leave no room, or it takes too many sheets.
pub fn faces(listings: &[Listing], about: &About) -> Result<Vec<Scene>, Problem> {
    let mut all = Vec::new();
    for (face, said) in [
        ("exposed", "Forms of the exposed face, running stations"),
        ("earth", "Forms of the earth face, running stations"),
    ] {
        if let Some(seen) = seen(listings, face, about.system, said) {
            all.extend(sheets(&seen, about)?);
        }
    }
    Ok(all)
}
