//! Sections: each wall type with its footing, toe, key and stem, and each kind of step with its overlap.

use super::along::mm;
use super::labels::spread;
use super::listed::Rows;
use super::scale::fitting;
use super::scene::{Item, LETTER, OnPaper, Pen, SIZE, Scene, TextEnd};
use super::title::{About, MARGIN, SheetTitle, TITLE, title};
use crate::listing::Listing;
use crate::measure::{Nm, System};
use crate::problem::Problem;

const CUT: Pen = Pen { width: 0.6, dashes: &[] };
const SIDE: Pen = Pen { width: 0.3, dashes: &[3.0, 1.5] };
const SIZED: Pen = Pen { width: 0.13, dashes: &[] };

/// How many stand side by side on a sheet.
const BESIDE: usize = 2;
/// Room round a section for its sizes, in mm.
const LEFT: f64 = 30.0;
const RIGHT: f64 = 36.0;
const OVER: f64 = 20.0;
const UNDER: f64 = 24.0;

/// A place of a section in mm: along the section, and up.
type InSection = (f64, f64);

/// A size along the foot or up the side.
struct Sized {
    from: f64,
    to: f64,
    words: String,
    /// In which row under the drawing; up the side, 1 for the right and 2 for the left.
    row: f64,
}

/// A section with its sizes.
struct Section {
    heading: String,
    note: String,
    /// What is cut, each an outline.
    cut: Vec<Vec<InSection>>,
    /// What is only shown.
    shown: Vec<Vec<InSection>>,
    across: Vec<Sized>,
    up: Vec<Sized>,
}

fn block(left: f64, low: f64, right: f64, high: f64) -> Vec<InSection> {
    vec![(left, low), (right, low), (right, high), (left, high)]
}

/// The types that a layout uses, each with its tallest stem.
fn types(listings: &[Listing], system: System) -> Vec<Section> {
    let rows = |name: &str| Rows::of(listings, name);
    let mut list = Vec::new();
    // What the case has beside a stem of one thickness: parts of the stem's lines that no section knows.
    let lines: Vec<String> = rows("lines").iter().map(|row| row.text("id").to_owned()).collect();
    let stem_lines = lines.iter().filter_map(|id| id.strip_prefix("stem."));
    let usual = ["runs", "corners", "total", "order"];
    let others: Vec<&str> = stem_lines.filter(|part| !usual.contains(part)).collect();
    let stands =
        !lines.iter().any(|id| id == "footing.total") || lines.iter().any(|id| id == "stem.total");
    for kind in rows("wall_types").iter() {
        let name = kind.text("type");
        let tallest = rows("stem_pieces")
            .iter()
            .filter(|piece| piece.text("type") == name)
            .filter_map(|piece| Some((piece.length("height")?, piece.text("wall").to_owned())))
            .max();
        let Some((height, wall)) = tallest else { continue };
        let stem = rows("walls").iter().find(|row| row.text("wall") == wall);
        let Some(stem) = stem.and_then(|row| row.length("stem")) else { continue };
        let length = |column: &str| kind.length(column);
        let (Some(width), Some(thick), Some(toe)) =
            (length("width"), length("thickness"), length("toe"))
        else {
            continue;
        };
        let key = length("key_width").zip(length("key_depth"));
        let (w, d, p, t, h) = (mm(width), mm(thick), mm(toe), mm(stem), mm(height));
        let mut cut = vec![block(0.0, 0.0, w, d)];
        let show = |length: Nm| system.show(length);
        let mut up =
            vec![Sized { from: 0.0, to: d, words: format!("D {}", show(thick)), row: 1.0 }];
        if stands {
            let words = format!("H {}", show(height));
            up.push(Sized { from: d, to: d + h, words, row: 1.0 });
        }
        if let Some((key_width, depth)) = key {
            cut.push(block(p, -mm(depth), p + mm(key_width), 0.0));
            let words = format!("key {}", show(depth));
            up.insert(0, Sized { from: -mm(depth), to: 0.0, words, row: 1.0 });
        }
        let mut across =
            vec![Sized { from: 0.0, to: p, words: format!("toe {}", show(toe)), row: 1.0 }];
        if stands {
            let words = format!("stem {}", show(stem));
            across.push(Sized { from: p, to: p + t, words, row: 2.0 });
        }
        across.push(Sized { from: 0.0, to: w, words: format!("B {}", show(width)), row: 3.0 });
        list.push(Section {
            heading: format!("Type {name}"),
            note: match (stands, &others[..]) {
                (false, _) => "its stem is not among the lines".to_owned(),
                (true, []) if key.is_some() => {
                    format!("tallest on {wall}; place of the key not given")
                }
                (true, []) => format!("tallest on {wall}"),
                (true, others) => format!("tallest on {wall}; not drawn: {}", others.join(", ")),
            },
            cut,
            shown: if stands { vec![block(p, d, p + t, d + h)] } else { Vec::new() },
            across,
            up,
        });
    }
    list
}

/// The kinds of steps: those of one overlap, drop and thickness stand as one.
fn steps(listings: &[Listing], system: System) -> Vec<Section> {
    let mut kinds: Vec<([Nm; 4], Vec<i64>)> = Vec::new();
    for row in Rows::of(listings, "steps").iter() {
        let length = |column: &str| row.length(column);
        let (Some(before), Some(after)) = (length("tof_before"), length("tof_after")) else {
            continue;
        };
        let (Some(low), Some(high), Some(overlap), Some(number)) =
            (length("bof_low"), length("bof_high"), length("overlap"), row.count("step"))
        else {
            continue;
        };
        let top = before.min(after);
        // From the lower bottom up: top of the lower footing, upper bottom, upper top; and the overlap.
        let kind = [top - low, high - low, before.max(after) - low, overlap];
        match kinds.iter_mut().find(|known| known.0 == kind) {
            Some(known) => known.1.push(number),
            None => kinds.push((kind, vec![number])),
        }
    }
    let section = |([lower, drop, upper, overlap], numbers): ([Nm; 4], Vec<i64>)| {
        let show = |length: Nm| system.show(length);
        let long = mm(upper) * 0.9;
        let (top, under, over, o) = (mm(lower), mm(drop), mm(upper), mm(overlap));
        // From the lower run on the left up to the higher one on the right, the riser at 0.
        let outline = vec![
            (-long, 0.0),
            (o, 0.0),
            (o, under),
            (o + long, under),
            (o + long, over),
            (0.0, over),
            (0.0, top),
            (-long, top),
        ];
        let listed: Vec<String> = numbers.iter().map(ToString::to_string).collect();
        let across =
            vec![Sized { from: 0.0, to: o, words: format!("overlap {}", show(overlap)), row: 1.0 }];
        let up = vec![
            Sized { from: 0.0, to: top, words: show(lower), row: 1.0 },
            Sized {
                from: top,
                to: over,
                words: format!("riser {}", show(upper - lower)),
                row: 1.0,
            },
            Sized { from: 0.0, to: under, words: format!("cut {}", show(drop)), row: 2.0 },
        ];
        Section {
            heading: format!("Step {}", listed.join(", ")),
            note: "drawn rising to the right".to_owned(),
            cut: vec![outline],
            shown: Vec::new(),
            across,
            up,
        }
    };
    kinds.into_iter().map(section).collect()
}

impl Section {
    fn bounds(&self) -> (InSection, InSection) {
        let start = ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY));
        let all = self.cut.iter().chain(&self.shown).flatten();
        all.fold(start, |(low, high), (x, y)| {
            ((low.0.min(*x), low.1.min(*y)), (high.0.max(*x), high.1.max(*y)))
        })
    }

    /// Draws it in a room of the sheet: `left` is where it begins, `foot` where its lowest line lies.
    fn draw(&self, scene: &mut Scene, n: f64, left: f64, wide: f64, foot: f64) {
        let (low, high) = self.bounds();
        let spare = (wide - LEFT - RIGHT - (high.0 - low.0) / n) / 2.0;
        let spot =
            |(x, y): InSection| (left + LEFT + spare + (x - low.0) / n, foot - (y - low.1) / n);
        let round = |outline: &[InSection]| -> Vec<OnPaper> {
            outline.iter().chain(outline.first()).map(|at| spot(*at)).collect()
        };
        for outline in &self.cut {
            scene.items.push(Item::Area { corners: outline.iter().map(|at| spot(*at)).collect() });
            scene.line("cut", CUT, round(outline));
        }
        for outline in &self.shown {
            scene.line("shown", SIDE, round(outline));
        }
        let middle = left + wide / 2.0;
        let top = foot - (high.1 - low.1) / n;
        let heading = (middle, top - 12.0);
        let of = "heading".to_owned();
        scene.items.push(Item::Text {
            of,
            at: heading,
            text: self.heading.clone(),
            anchor: TextEnd::Middle,
            upward: false,
            bold: true,
            size: SIZE,
        });
        scene.text("note", (middle, top - 6.0), TextEnd::Middle, &self.note);
        for size in &self.across {
            let y = foot + 2.0 + size.row * (SIZE + 2.2);
            let (a, b) = (spot((size.from, 0.0)).0, spot((size.to, 0.0)).0);
            scene.line("size", SIZED, vec![(a, y - 1.0), (a, y + 1.0)]);
            scene.line("size", SIZED, vec![(b, y - 1.0), (b, y + 1.0)]);
            scene.line("size", SIZED, vec![(a, y), (b, y)]);
            // Beside it, where nothing else of its row stands.
            scene.text("size", (b + 1.5, y + LETTER / 2.0), TextEnd::Start, &size.words);
        }
        for right in [true, false] {
            let sizes: Vec<&Sized> =
                self.up.iter().filter(|size| (size.row < 1.5) == right).collect();
            let edge = spot((if right { high.0 } else { low.0 }, 0.0)).0;
            let x = if right { edge + 3.0 } else { edge - 3.0 };
            // From the foot up; texts that would meet stand apart.
            let middles: Vec<f64> = sizes
                .iter()
                .map(|size| -f64::midpoint(spot((0.0, size.from)).1, spot((0.0, size.to)).1))
                .collect();
            let room = (-foot - OVER, -top + OVER);
            let places = spread(&middles, SIZE + 0.7, room.0, room.1).unwrap_or(middles);
            for (size, place) in sizes.iter().zip(places) {
                let (a, b) = (spot((0.0, size.from)).1, spot((0.0, size.to)).1);
                scene.line("size", SIZED, vec![(x - 1.0, a), (x + 1.0, a)]);
                scene.line("size", SIZED, vec![(x - 1.0, b), (x + 1.0, b)]);
                scene.line("size", SIZED, vec![(x, a), (x, b)]);
                let (beside, anchor) = match right {
                    true => (x + 1.5, TextEnd::Start),
                    false => (x - 1.5, TextEnd::End),
                };
                scene.text("size", (beside, LETTER / 2.0 - place), anchor, &size.words);
            }
        }
    }
}

/// Sections of the wall types and of the kinds of steps, each kind of them on sheets of one scale.
///
/// # Errors
/// One of them is too large for the paper.
pub fn sections(listings: &[Listing], about: &About) -> Result<Vec<Scene>, Problem> {
    let mut scenes = Vec::new();
    let (types, steps) = (types(listings, about.system), steps(listings, about.system));
    let groups = [("Sections of the wall types", types), ("Steps of the footing", steps)];
    let of: usize = groups.iter().map(|(_, all)| all.len().div_ceil(BESIDE)).sum();
    for (words, all) in &groups {
        for some in all.chunks(BESIDE) {
            let number = scenes.len() + 1;
            scenes.push(sheet(words, all, some, about, (number, of))?);
        }
    }
    Ok(scenes)
}

fn sheet(
    words: &str,
    all: &[Section],
    some: &[Section],
    about: &About,
    (number, of): (usize, usize),
) -> Result<Scene, Problem> {
    let (width, height) = about.paper.size();
    #[expect(clippy::cast_precision_loss, reason = "two of them")]
    let wide = (width - 2.0 * MARGIN) / BESIDE as f64;
    let room = (wide - LEFT - RIGHT, height - 2.0 * MARGIN - TITLE - OVER - UNDER);
    let size = all.iter().map(Section::bounds).fold((0.0_f64, 0.0_f64), |size, (low, high)| {
        (size.0.max(high.0 - low.0), size.1.max(high.1 - low.1))
    });
    let (n, scale) = fitting(about.system, 10.0, size, room).ok_or_else(|| {
        Problem::error("a section is too large for the paper")
            .help("look at the widths and heights of the wall schedule")
    })?;
    let mut scene = Scene { width, height, items: Vec::new() };
    let foot = height - MARGIN - TITLE - UNDER;
    let mut left = MARGIN;
    for section in some {
        section.draw(&mut scene, n, left, wide, foot);
        left += wide;
    }
    let unit = if about.system == System::Us { "ft" } else { "m" };
    let mut said = vec![words.to_owned(), format!("{}, sizes in {unit}", about.scale(scale))];
    said.push("from the plan's schedule and rules".to_owned());
    let key = [(CUT, "concrete that is cut"), (SIDE, "stem")];
    title(&mut scene, about, &SheetTitle { said: &said, key: &key, number, of });
    Ok(scene)
}
