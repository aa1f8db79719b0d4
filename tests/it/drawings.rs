//! Drawings read back: every step, corner and level stands where the listings have it, every label is there and none over
//! another.

use std::path::Path;

use rodbook::drawing::{About, Item, Paper, Scene, profile, svg};
use rodbook::measure::System;

use crate::support::{Done, run};

const EXAMPLES: [&str; 4] = ["tarrow-bench", "shore-profile", "firm/lot-4", "firm/lot-7"];

fn example(name: &str) -> Done {
    run(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name))
}

fn sheets(done: &Done, paper: Paper) -> Vec<Scene> {
    let title = &done.job.wall_job.title;
    let about = About {
        job: title.name.clone(),
        date: title.date.clone().unwrap_or_default(),
        system: done.job.wall_job.style.system,
        paper,
    };
    profile(&done.work.listings, &about).unwrap_or_else(|problem| panic!("{problem}"))
}

fn number(row: &serde_json::Value, column: &str) -> f64 {
    row[column]["value"].as_f64().unwrap_or_else(|| panic!("{column} of {row}"))
}

fn texts<'a>(sheets: &'a [Scene], wanted: &str) -> Vec<&'a str> {
    let items = sheets.iter().flat_map(|sheet| &sheet.items);
    let text = |item: &'a Item| match item {
        Item::Text { of, text, .. } if of == wanted => Some(text.as_str()),
        _ => None,
    };
    items.filter_map(text).collect()
}

/// What one mm of paper is in the unit of the job, from two of the labels at the side or foot.
fn axis(sheet: &Scene, wanted: &str, upright: bool) -> (f64, f64) {
    let read = |item: &Item| match item {
        Item::Text { of, text, at, .. } if of == wanted => {
            let number: f64 = text.split(' ').next()?.parse().ok()?;
            Some((if upright { at.1 - 1.25 } else { at.0 }, number))
        }
        _ => None,
    };
    let marks: Vec<(f64, f64)> = sheet.items.iter().filter_map(read).collect();
    let (a, b) = (marks[0], marks[marks.len() - 1]);
    let slope = (b.1 - a.1) / (b.0 - a.0);
    (a.1 - slope * a.0, slope)
}

#[test]
fn the_profile_read_back() {
    for name in EXAMPLES {
        let done = example(name);
        for paper in [Paper::A4, Paper::Letter] {
            let sheets = sheets(&done, paper);
            assert!(!sheets.is_empty(), "{name}");
            assert_eq!(texts(&sheets, "step").len(), done.records("steps").len(), "{name}");
            assert_eq!(texts(&sheets, "corner").len(), done.records("corners").len(), "{name}");
            assert_eq!(texts(&sheets, "bottom").len(), done.records("bottom_profile").len());
            // A hundredth of a foot, or 3 mm.
            let near = if done.job.wall_job.style.system == System::Us { 0.01 } else { 0.003 };
            for sheet in &sheets {
                let (x0, per_x) = axis(sheet, "station", false);
                let (y0, per_y) = axis(sheet, "elevation", true);
                let mut risers = Vec::new();
                for item in &sheet.items {
                    let Item::Line { of, through, .. } = item else { continue };
                    if of == "top_of_footing" {
                        let on = |spot: &(f64, f64)| (x0 + per_x * spot.0, y0 + per_y * spot.1);
                        let places: Vec<(f64, f64)> = through.iter().map(on).collect();
                        risers.extend(places.windows(2).filter_map(|pair| {
                            let upright = (pair[0].0 - pair[1].0).abs() < near / 10.0;
                            upright.then_some((pair[0].0, pair[0].1, pair[1].1))
                        }));
                    }
                }
                for (chain, before, after) in risers {
                    let known = done.records("steps").iter().any(|row| {
                        (number(row, "chain") - chain).abs() < near
                            && (number(row, "tof_before") - before).abs() < near
                            && (number(row, "tof_after") - after).abs() < near
                    });
                    assert!(known, "{name}: a riser at {chain} from {before} to {after}");
                }
            }
        }
    }
}

#[test]
fn no_label_stands_over_another_or_beyond_the_paper() {
    for name in EXAMPLES {
        let done = example(name);
        for paper in [Paper::A4, Paper::Letter] {
            for sheet in sheets(&done, paper) {
                let covers: Vec<([f64; 4], &Item)> =
                    sheet.items.iter().filter_map(|item| Some((item.covers()?, item))).collect();
                for (at, (a, item)) in covers.iter().enumerate() {
                    let within =
                        a[0] >= 0.0 && a[1] >= 0.0 && a[2] <= sheet.width && a[3] <= sheet.height;
                    assert!(within, "{name}: {item:?}");
                    for (b, other) in &covers[at + 1..] {
                        let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                        assert!(apart, "{name} {paper:?}: {item:?} and {other:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn a_sheet_loads_nothing_and_is_the_same_twice() {
    let done = example("tarrow-bench");
    let write = || sheets(&done, Paper::A4).iter().map(svg).collect::<Vec<_>>();
    let (first, second) = (write(), write());
    assert_eq!(first, second);
    for text in first {
        assert!(!text.contains("href") && !text.contains("url(") && !text.contains("<script"));
        assert_eq!(text.matches("http").count(), 1, "the name of the format alone");
    }
}
