//! Drawings read back: every step, corner and level stands where the listings have it, every label is there and none over
//! another.

use std::path::Path;

use rodbook::drawing::{
    About, Item, KINDS, Paper, Scene, bars, drawings, faces, is_our_pdf, is_our_png, pdf, plan,
    png, profile, sections, svg,
};
use rodbook::measure::System;

use crate::support::{Done, run};

const EXAMPLES: [&str; 10] = [
    "tarrow-bench",
    "shore-profile",
    "firm/lot-4",
    "firm/lot-7",
    "cases/wing_walls",
    "cases/closed_ring",
    "cases/stepped_top/metric",
    "cases/block_wall",
    "cases/curved_wall",
    "cases/sloping_top",
];

fn example(name: &str) -> Done {
    run(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name))
}

fn about(done: &Done, paper: Paper) -> About {
    let title = &done.job.wall_job.title;
    About {
        job: title.name.clone(),
        date: title.date.clone().unwrap_or_default(),
        system: done.job.wall_job.style.system,
        paper,
        full_size: true,
    }
}

fn sheets(done: &Done, paper: Paper) -> Vec<Scene> {
    profile(&done.work.listings, &about(done, paper)).unwrap_or_else(|problem| panic!("{problem}"))
}

/// The sheets of every drawing.
fn all_sheets(done: &Done, paper: Paper) -> Vec<Scene> {
    let drawn = drawings(&done.work.listings, &about(done, paper), &KINDS).into_iter();
    drawn.flat_map(|(_, sheets)| sheets.unwrap_or_else(|problem| panic!("{problem}"))).collect()
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
            // A number with its unit, or with the letter of a coordinate before it.
            let number = text.split(' ').find_map(|word| word.parse::<f64>().ok())?;
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

/// Corners, ends and risers stand on the plan where the stake-out has them, each with its label.
#[test]
fn the_plan_read_back() {
    for name in EXAMPLES {
        let done = example(name);
        let near = if done.job.wall_job.style.system == System::Us { 0.01 } else { 0.003 };
        for paper in [Paper::A4, Paper::Letter] {
            let sheets = plan(&done.work.listings, &about(&done, paper));
            let sheets = sheets.unwrap_or_else(|problem| panic!("{name}: {problem}"));
            // Of several the first is the key plan.
            let sheets = if sheets.len() > 1 { &sheets[1..] } else { &sheets[..] };
            let points = done.records("stake_out");
            let faces = points.iter().filter(|row| row["code"] == "FACE");
            assert_eq!(texts(sheets, "face").len(), faces.clone().count(), "{name}");
            assert_eq!(texts(sheets, "step").len(), done.records("steps").len(), "{name}");
            // Every corner of the stems' outlines on the exposed face is a corner, an end or a riser.
            let through = |wanted: &str| {
                let mut lines: Vec<Vec<(f64, f64)>> = Vec::new();
                for sheet in sheets {
                    let (e0, per_e) = axis(sheet, "east", false);
                    let (n0, per_n) = axis(sheet, "north", true);
                    let on = |spot: &(f64, f64)| (e0 + per_e * spot.0, n0 + per_n * spot.1);
                    lines.extend(sheet.items.iter().filter_map(|item| match item {
                        Item::Line { of, through, .. } if of == wanted => {
                            Some(through.iter().map(on).collect())
                        }
                        _ => None,
                    }));
                }
                lines
            };
            let stems: Vec<(f64, f64)> = through("stem").into_iter().flatten().collect();
            for face in faces {
                let at = (number(face, "east"), number(face, "north"));
                let there = |spot: &(f64, f64)| {
                    (spot.0 - at.0).abs() < near && (spot.1 - at.1).abs() < near
                };
                assert!(stems.iter().any(there), "{name}: {face} is not a corner of a stem");
            }
            let risers = through("riser");
            assert_eq!(risers.len(), done.records("steps").len(), "{name}");
            for (line, number_of) in risers.iter().zip(1..) {
                let row = points.iter().find(|row| {
                    let words = format!("step {number_of}, riser");
                    row["what"].as_str().is_some_and(|what| what.starts_with(&words))
                });
                let row = row.expect("its point");
                let at = (number(row, "east"), number(row, "north"));
                let (a, b) = (line[0], line[1]);
                let (along, off) = ((b.0 - a.0, b.1 - a.1), (at.0 - a.0, at.1 - a.1));
                let size = (along.0 * along.0 + along.1 * along.1).sqrt();
                let far = (off.0 * along.1 - off.1 * along.0).abs() / size;
                assert!(far < near, "{name}: step {number_of} is {far} beside its riser");
            }
        }
    }
}

/// Every type that is built and every step stands among the sections, with its sizes.
#[test]
fn the_sections_read_back() {
    for name in EXAMPLES {
        let done = example(name);
        let sheets = sections(&done.work.listings, &about(&done, Paper::A4));
        let sheets = sheets.unwrap_or_else(|problem| panic!("{name}: {problem}"));
        let headings = texts(&sheets, "heading");
        let built = done.records("stem_pieces");
        for kind in done.records("wall_types") {
            let drawn = headings
                .contains(&format!("Type {}", kind["type"].as_str().expect("a type")).as_str());
            let used = built.iter().any(|piece| piece["type"] == kind["type"]);
            assert_eq!(drawn, used, "{name}: {kind}");
            let system = done.job.wall_job.style.system;
            let (unit, places) = if system == System::Us { ("ft", 2) } else { ("m", 3) };
            let words = |letter: &str, column: &str| {
                format!("{letter} {:.places$} {unit}", number(kind, column))
            };
            let sizes = texts(&sheets, "size");
            for size in [words("B", "width"), words("D", "thickness"), words("toe", "toe")] {
                assert!(!used || sizes.contains(&size.as_str()), "{name}: {size}");
            }
        }
        let steps: Vec<&str> =
            headings.iter().filter_map(|words| words.strip_prefix("Step ")).collect();
        let listed = steps.iter().flat_map(|words| words.split(", ")).count();
        assert_eq!(listed, done.records("steps").len(), "{name}");
    }
}

/// Every vertical, transverse bar and row of the placing list is drawn where it is placed, and no other.
#[test]
fn the_bars_read_back() {
    let done = example("tarrow-bench");
    let sheets = bars(&done.work.listings, &about(&done, Paper::A4)).expect("bars");
    let placed = done.records("bars_placed");
    let mut drawn: Vec<(String, f64, f64)> = Vec::new();
    for sheet in &sheets {
        let (x0, per_x) = axis(sheet, "station", false);
        let (y0, per_y) = axis(sheet, "elevation", true);
        for item in &sheet.items {
            let Item::Line { of, through, .. } = item else { continue };
            if ["vertical", "across", "row"].contains(&of.as_str()) {
                let (a, b) = (through[0], through[1]);
                drawn.push((of.clone(), x0 + per_x * a.0, (per_y * (b.1 - a.1)).abs()));
                assert!(of != "row" || (y0 + per_y * a.1 - (y0 + per_y * b.1)).abs() < 1e-6);
            }
        }
    }
    for (role, of) in [("vertical", "vertical"), ("transverse", "across"), ("horizontal", "row")] {
        let rows: Vec<_> = placed.iter().filter(|row| row["role"] == role).collect();
        let each = |row: &serde_json::Value| row["count"].as_i64().expect("a count");
        let count: i64 = match role {
            "horizontal" => rows.len() as i64,
            _ => rows.iter().map(|row| each(row)).sum(),
        };
        let these: Vec<_> = drawn.iter().filter(|line| line.0 == of).collect();
        assert_eq!(these.len() as i64, count, "{role}");
        if role != "vertical" {
            continue;
        }
        for row in rows {
            let walls = done.records("walls");
            let wall = walls.iter().find(|wall| wall["wall"] == row["wall"]).expect("a wall");
            let gap = row["gap"]["value"].as_f64().unwrap_or(0.0) / 12.0;
            for at in 0..each(row) {
                let x = number(wall, "chain_start") + number(row, "first") + gap * at as f64;
                let there = these.iter().any(|line| {
                    (line.1 - x).abs() < 0.01 && (line.2 - number(row, "length")).abs() < 0.01
                });
                assert!(there, "{row}: the bar at {x}");
            }
        }
    }
}

/// The limit of the excavation is drawn where the listing has it, and the listing has it where the sections say: edge of
/// the footing, work space, and the layback times the height of the bank.
#[test]
fn limits_of_the_excavation() {
    let done = example("tarrow-bench");
    let sheets = plan(&done.work.listings, &about(&done, Paper::A4)).expect("a plan");
    let (e0, per_e) = axis(&sheets[0], "east", false);
    let (n0, per_n) = axis(&sheets[0], "north", true);
    let limits = done.records("dig_limits");
    let mut drawn = 0;
    for item in &sheets[0].items {
        let Item::Line { of, through, .. } = item else { continue };
        for (x, y) in through.iter().filter(|_| of == "limit") {
            drawn += 1;
            let (east, north) = (e0 + per_e * x, n0 + per_n * y);
            let known = limits.iter().any(|row| {
                (number(row, "east") - east).abs() < 0.01
                    && (number(row, "north") - north).abs() < 0.01
            });
            assert!(known, "{east} {north}");
        }
    }
    assert_eq!(drawn, limits.len());
    // The demo: 1:1 from the top of footing, no work space, the low side straight down.
    let mut seen = 0;
    for out in done.records("setting_out") {
        let existing = done.records("ground_supports");
        let chain = |wall: &serde_json::Value| {
            let rows = done.records("walls");
            let row = rows.iter().find(|row| row["wall"] == *wall).expect("a wall");
            number(row, "chain_start")
        };
        for row in limits.iter().filter(|row| row["wall"] == out["wall"]) {
            let station = number(row, "station");
            if !(number(out, "from") < station && station < number(out, "to")) {
                continue;
            }
            let low = row["side"] == "low side";
            // A point of the ground line stands at this station; under an overlap the lower footing decides.
            let at = chain(&row["wall"]) + station;
            let over = existing.iter().find(|shot| {
                shot["ground"] == "existing" && (number(shot, "chain") - at).abs() < 1e-9
            });
            let Some(over) = over else { continue };
            let bof = number(over, "elevation") - row["depth"]["value"].as_f64().expect("a depth");
            if (bof - number(out, "bof")).abs() > 1e-9 {
                continue;
            }
            let bank = number(over, "elevation") - number(out, "tof");
            let by_hand = match low {
                true => -number(out, "toe"),
                false => number(out, "heel") + bank.max(0.0),
            };
            assert!((number(row, "offset") - by_hand).abs() < 1e-6, "{row} {out}");
            seen += 1;
        }
    }
    assert!(seen > 40, "{seen}");
}

/// Walls that no sheet has room for: a key plan, then sheets that go on from each other, every step and corner on one of them.
#[test]
fn a_long_plan_goes_on_over_sheets_after_a_key_plan() {
    let demo = std::fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench/job.toml"),
    )
    .expect("the demo");
    let folder = crate::support::Folder::new();
    let (mut points, mut walls, mut at) = (String::new(), String::new(), (5000.0, 2000.0));
    let mut shots = String::from("id,code,n,e,z\n");
    for wall in 0..40 {
        points += &format!(
            "  {{ id = \"P{wall}\", east = \"{:.2} ft\", north = \"{:.2} ft\" }},\n",
            at.0, at.1
        );
        if wall == 39 {
            break;
        }
        walls += &format!(
            "[[wall]]\nid = \"W{wall}\"\nfrom = \"P{wall}\"\nto = \"P{}\"\nstem = \"12 in\"\ntops = [{{ from = \"0 ft\", top = \"208.00 ft\" }}]\n\n",
            wall + 1
        );
        let along = if wall % 2 == 0 { (1.0, 0.0) } else { (0.0, 1.0) };
        for shot in 0..12 {
            let far = 40.0 * f64::from(shot) / 12.0;
            let (code, z) = [("FL", 202.2), ("TP", 201.0), ("EG", 206.0)][shot as usize % 3];
            let rise = 1.5 * f64::from((wall * 200 + shot) % 997) / 997.0;
            shots += &format!(
                "{wall}-{shot},{code},{:.3},{:.3},{:.2}\n",
                at.1 + along.1 * far,
                at.0 + along.0 * far,
                z + rise
            );
        }
        at = (at.0 + 40.0 * along.0, at.1 + 40.0 * along.1);
    }
    let between = |text: &str, from: &str, to: &str, new: &str| {
        let (before, rest) = text.split_once(from).expect("its start");
        let (_, after) = rest.split_once(to).expect("its end");
        format!("{before}{new}{to}{after}")
    };
    let text = between(&demo, "points = [\n", "]\n", &format!("points = [\n{points}"));
    let text = between(&text, "[[wall]]", "[module]", &walls);
    let text = between(&text, "pour = [\n", "]\n", "pour = [\n");
    let text = text.split_once("[[sheet]]").map_or(text.as_str(), |(before, _)| before);
    folder.write("job.toml", text.replace("shots.xlsx", "shots.csv"));
    folder.write("shots.csv", shots);
    let done = run(&folder.0);
    let sheets = plan(&done.work.listings, &about(&done, Paper::A4)).expect("a plan");
    assert!(sheets.len() > 2, "{}", sheets.len());
    let parts = sheets.len() - 1;
    assert_eq!(texts(&sheets[..1], "sheet").len(), parts, "the key plan names every part");
    assert_eq!(texts(&sheets[1..], "step").len(), done.records("steps").len());
    let faces = done.records("stake_out").iter().filter(|row| row["code"] == "FACE").count();
    assert_eq!(texts(&sheets[1..], "face").len(), faces);
    // Each but the first and the last goes on to both sides.
    assert_eq!(texts(&sheets[1..], "match").len(), 2 * (parts - 1));
    let shown = |of: &str| {
        let lines = sheets[1..].iter().flat_map(|sheet| &sheet.items);
        lines.filter(|item| matches!(item, Item::Line { of: known, .. } if known == of)).count()
    };
    assert_eq!(shown("footing"), done.records("footing_pieces").len());
}

#[test]
fn no_label_stands_over_another_or_beyond_the_frame() {
    for name in EXAMPLES {
        let done = example(name);
        for paper in [Paper::A4, Paper::Letter] {
            for sheet in all_sheets(&done, paper) {
                let covers: Vec<([f64; 4], &Item)> =
                    sheet.items.iter().filter_map(|item| Some((item.covers()?, item))).collect();
                for (at, (a, item)) in covers.iter().enumerate() {
                    // The frame stands 10 mm from the edges of the paper.
                    let within = a[0] >= 10.0
                        && a[1] >= 10.0
                        && a[2] <= sheet.width - 10.0
                        && a[3] <= sheet.height - 10.0;
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
    let write = || all_sheets(&done, Paper::A4).iter().map(svg).collect::<Vec<_>>();
    let (first, second) = (write(), write());
    assert_eq!(first, second);
    for text in first {
        assert!(!text.contains("href") && !text.contains("url(") && !text.contains("<script"));
        assert_eq!(text.matches("http").count(), 1, "the name of the format alone");
    }
}

/// What stands on a face fills it from end to end, and the panels drawn are those that are counted.
#[test]
fn the_faces_read_back() {
    let done = example("tarrow-bench");
    let tiers = done.records("panel_tiers");
    let counted: f64 = done.records("panel_counts").iter().map(|row| number(row, "area")).sum();
    let area = |row: &serde_json::Value| {
        number(row, "width") * number(row, "height") * row["count"].as_f64().expect("a count")
    };
    let panels = tiers.iter().filter(|row| row["what"] == "panel");
    let drawn: f64 = panels.clone().map(|row| 2.0 * area(row)).sum();
    assert!((drawn - counted).abs() < 1e-9, "{drawn} sf of panels, {counted} counted");
    for wall in done.records("walls") {
        for face in ["exposed", "earth"] {
            let mut wide = 0.0;
            let mut seen: Vec<(String, String)> = Vec::new();
            for row in tiers.iter().filter(|row| row["wall"] == wall["wall"]) {
                let stretch = (row["from"].to_string(), row["what"].to_string());
                if (row["face"] == face || row["face"] == "both") && !seen.contains(&stretch) {
                    wide += number(row, "width") * row["count"].as_f64().expect("a count");
                    seen.push(stretch);
                }
            }
            // The earth face is shorter or longer by the other stems: square corners, all 12 in.
            let longer = |end: &str| match wall[end].as_str() {
                Some("outside") => -1.0,
                Some("inside") => 1.0,
                _ => 0.0,
            };
            let stems: Vec<f64> =
                done.records("walls").iter().map(|row| number(row, "stem")).collect();
            assert!(stems.iter().all(|stem| *stem == 12.0), "{stems:?}");
            let long = number(wall, "length")
                + if face == "earth" { longer("start") + longer("end") } else { 0.0 };
            assert!((wide - long).abs() < 1e-9, "{} {face}: {wide} of {long}", wall["wall"]);
        }
    }
    let sheets = faces(&done.work.listings, &about(&done, Paper::A4));
    let sheets = sheets.unwrap_or_else(|problem| panic!("{problem}"));
    let stretches = done.records("panel_runs").iter().filter(|row| row["modules"] != 0).count();
    assert_eq!(texts(&sheets, "panel").len(), 2 * stretches, "a label for each stretch and face");
    // Every upright line of a panel stands on a joint.
    let station = |wall: &serde_json::Value| {
        let walls = done.records("walls");
        let line = walls.iter().find(|row| row["wall"] == *wall).expect("the wall");
        number(line, "chain_start")
    };
    let joints: Vec<f64> = done
        .records("panel_joints")
        .iter()
        .map(|row| station(&row["wall"]) + number(row, "station"))
        .collect();
    for sheet in &sheets {
        let (x0, per_x) = axis(sheet, "station", false);
        for item in &sheet.items {
            let Item::Line { of, through, .. } = item else { continue };
            let upright = (through[0].0 - through[1].0).abs() < 1e-9;
            if (of == "panel" || of == "joint") && upright {
                let at = x0 + per_x * through[0].0;
                let on_joint = joints.iter().any(|joint| (joint - at).abs() < 0.01);
                assert!(on_joint, "a panel ends at {at}");
            }
        }
    }
}

/// The pdf has every sheet on a page of its own, with its words.
#[test]
fn the_sheets_as_pdf() {
    let done = example("tarrow-bench");
    let sheets = all_sheets(&done, Paper::Letter);
    let bytes = pdf(&sheets.iter().collect::<Vec<_>>());
    assert_eq!(bytes, pdf(&all_sheets(&done, Paper::Letter).iter().collect::<Vec<_>>()));
    assert!(is_our_pdf(&bytes) && !is_our_pdf(b"%PDF-1.7 of somebody else"));
    let text = String::from_utf8_lossy(&bytes);
    assert_eq!(text.matches("/Type /Page\n").count(), sheets.len());
    assert_eq!(text.matches("/MediaBox [0 0 792 612]").count(), sheets.len(), "letter, in points");
    for words in ["(step 7)", "(corner W2/W3)", "(Type S10)", "(Plan, 1 in = 20 ft, north is up)"] {
        assert!(text.contains(words), "{words}");
    }
    assert!(!text.contains("/URI") && !text.contains("/JavaScript"));
}

/// Pictures: the size of the sheet at 200 dots to the inch, lines and letters on white.
#[test]
fn the_sheets_as_pictures() {
    let done = example("tarrow-bench");
    for sheet in all_sheets(&done, Paper::A4) {
        let bytes = png(&sheet).unwrap_or_else(|fault| panic!("{fault}"));
        assert!(is_our_png(&bytes) && !is_our_png(&bytes[..40]));
        let mut reader =
            png::Decoder::new(std::io::Cursor::new(&bytes)).read_info().expect("a png");
        let mut dots = vec![0; reader.output_buffer_size().expect("a size")];
        let info = reader.next_frame(&mut dots).expect("a picture");
        assert_eq!((info.width, info.height), (2339, 1654), "297 x 210 mm");
        // Where a text stands there are dark dots beside its start; without a face there would be none.
        let dark = |x: f64, y: f64| {
            let at = |mm: f64| (mm * 200.0 / 25.4) as usize;
            (at(y - 3.0)..at(y))
                .any(|row| (at(x)..at(x + 6.0)).any(|column| dots[row * 2339 + column] < 100))
        };
        let texts = sheet.items.iter().filter_map(|item| match item {
            Item::Text { at, anchor: rodbook::drawing::TextEnd::Start, upward: false, .. } => {
                Some(*at)
            }
            _ => None,
        });
        let all: Vec<(f64, f64)> = texts.collect();
        assert!(all.len() > 3 && all.iter().all(|(x, y)| dark(*x, *y)));
        let shares = dots.iter().filter(|dot| **dot < 128).count() as f64 / dots.len() as f64;
        assert!((0.001..0.2).contains(&shares), "{shares}");
    }
}
