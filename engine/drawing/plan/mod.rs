//! The plan: footing and stem in outline, steps, corners and ends, the shots that were used, north, coordinates.

mod seen;

use std::ops::Range;

use self::seen::{Labelled, OnSite, PlanSeen};
use super::places::FreePlaces;
use super::scale::fitting;
use super::scene::{Item, LETTER, OnPaper, Pen, Scene, TextEnd, width_of};
use super::title::{About, MARGIN, SheetTitle, TITLE, title};
use crate::listing::Listing;
use crate::measure::written;
use crate::problem::Problem;

const STEM: Pen = Pen { width: 0.6, dashes: &[] };
const FOOTING: Pen = Pen { width: 0.3, dashes: &[3.0, 1.5] };
const OVERLAP: Pen = Pen { width: 0.2, dashes: &[1.0, 1.0] };
const LIMIT: Pen = Pen { width: 0.3, dashes: &[5.0, 1.2, 1.0, 1.2] };
const RISER: Pen = Pen { width: 1.1, dashes: &[] };
const SHOT: Pen = Pen { width: 0.2, dashes: &[] };
const LEADER: Pen = Pen { width: 0.13, dashes: &[] };
const MATCH: Pen = Pen { width: 0.5, dashes: &[4.0, 2.0] };
const TICK: Pen = Pen { width: 0.1, dashes: &[] };

/// Room between the frame and the drawing for coordinates, in mm.
const SIDE: f64 = 26.0;
const FOOT: f64 = 9.0;
/// Half the size of the mark of a shot.
const MARK: f64 = 0.8;

/// The way from the site to the paper.
struct View {
    n: f64,
    low: OnSite,
    corner: OnPaper,
}

impl View {
    fn spot(&self, (e, n): OnSite) -> OnPaper {
        (self.corner.0 + (e - self.low.0) / self.n, self.corner.1 - (n - self.low.1) / self.n)
    }
}

/// Coordinates along the left and the foot of the drawing, every so many mm of paper or more.
fn coordinates(scene: &mut Scene, view: &View, room: (f64, f64), size: f64) {
    let steps = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];
    let each = steps.iter().find(|step| *step * size / view.n >= 25.0).unwrap_or(&2000.0) * size;
    let shown = |at: f64| written(crate::measure::round::nearest_f64(at / size) + 0.0);
    let first = |low: f64| -crate::measure::round::floor_f64(-low / each) * each;
    let (left, foot) = view.corner;
    let mut at = first(view.low.0);
    while (at - view.low.0) / view.n <= room.0 {
        let x = view.spot((at, 0.0)).0;
        let text = format!("E {}", shown(at));
        // What would reach over the frame is left out.
        if x + width_of(&text) / 2.0 <= scene.width - MARGIN {
            scene.line("east", TICK, vec![(x, foot + 2.0), (x, foot + 4.0)]);
            scene.text("east", (x, foot + 5.0 + LETTER), TextEnd::Middle, &text);
        }
        at += each;
    }
    let mut at = first(view.low.1);
    while (at - view.low.1) / view.n <= room.1 {
        let y = view.spot((0.0, at)).1;
        if y - LETTER >= MARGIN {
            scene.line("north", TICK, vec![(left - 4.0, y), (left - 2.0, y)]);
            let text = format!("N {}", shown(at));
            scene.text("north", (left - 5.0, y + LETTER / 2.0), TextEnd::End, &text);
        }
        at += each;
    }
}

/// The arrow to the north.
fn north(scene: &mut Scene, at: OnPaper) {
    let (x, y) = at;
    scene.line("arrow", STEM, vec![(x, y + 14.0), (x, y)]);
    scene.line("arrow", STEM, vec![(x - 2.0, y + 4.0), (x, y), (x + 2.0, y + 4.0)]);
    scene.text("arrow", (x, y - 1.5), TextEnd::Middle, "N");
}

/// The mark of a shot by the ground that it supports.
fn mark(scene: &mut Scene, ground: &str, (x, y): OnPaper) {
    let plus = [((-1.0, 0.0), (1.0, 0.0)), ((0.0, -1.0), (0.0, 1.0))];
    let cross = [((-1.0, -1.0), (1.0, 1.0)), ((-1.0, 1.0), (1.0, -1.0))];
    let lines = if ground == "finished_low" { cross } else { plus };
    let spot = |(a, b): (f64, f64)| (x + a * MARK, y + b * MARK);
    for (a, b) in lines {
        scene.line("shot", SHOT, vec![spot(a), spot(b)]);
    }
    if ground == "bearing" {
        let round = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)];
        scene.line("shot", SHOT, round.into_iter().map(spot).collect());
    }
}

fn closed(outline: &[OnSite], view: &View) -> Vec<OnPaper> {
    let spots = outline.iter().chain(outline.first());
    spots.map(|at| view.spot(*at)).collect()
}

/// The smallest scale at which a plan is read; what does not fit goes on over further sheets.
const SMALLEST: f64 = 600.0;
/// Most sheets of a plan.
const MOST_SHEETS: usize = 400;

/// The plan: on one sheet, or a key plan and as many sheets as it takes.
///
/// # Errors
/// Nothing is laid out, one piece of the footing is too long for the paper, or its names leave no room.
pub fn plan(listings: &[Listing], about: &About) -> Result<Vec<Scene>, Problem> {
    let seen = PlanSeen::of(listings).ok_or_else(|| {
        Problem::error("this job has no plan to draw").help("rodbook check says what is missing")
    })?;
    let all = 0..seen.footings.len();
    if let Ok(scene) = sheet(&seen, &all, about, Numbered { number: 1, of: 1 }) {
        return Ok(vec![scene]);
    }
    let parts = parted(&seen, all, about)?;
    if parts.len() > MOST_SHEETS {
        return Err(Problem::error(format!("the plan takes more than {MOST_SHEETS} sheets"))
            .help("draw parts of the walls as jobs of their own"));
    }
    let mut sheets = vec![key_plan(&seen, &parts, about)?];
    for number in 0..parts.len() {
        let numbered = Numbered { number: number + 2, of: parts.len() + 1 };
        sheets.push(sheet(&seen, &parts[number], about, numbered)?);
    }
    Ok(sheets)
}

/// Pieces of the footing in parts that each find room on a sheet.
fn parted(
    seen: &PlanSeen,
    pieces: Range<usize>,
    about: &About,
) -> Result<Vec<Range<usize>>, Problem> {
    // While parts are sought the sheets have no numbers: their widest text counts.
    let numbered = Numbered { number: MOST_SHEETS - 1, of: MOST_SHEETS };
    match sheet(seen, &pieces, about, numbered) {
        Ok(_) => Ok(vec![pieces]),
        // One piece of the footing stands on one sheet at any scale.
        Err(_) if pieces.len() < 2 => Ok(vec![pieces]),
        Err(_) => {
            let middle = pieces.start.midpoint(pieces.end);
            let mut parts = parted(seen, pieces.start..middle, about)?;
            parts.extend(parted(seen, middle..pieces.end, about)?);
            Ok(parts)
        }
    }
}

/// The room that a drawing has on a sheet, and its way there.
struct Laid {
    scene: Scene,
    view: View,
    words: &'static str,
    /// Width and height of the room.
    whole: (f64, f64),
}

/// A sheet for what reaches from one place to another, at the largest scale that is no smaller than this.
fn laid(about: &About, (low, high): (OnSite, OnSite), smallest: f64) -> Result<Laid, Problem> {
    let (width, height) = about.paper.size();
    // Labels stand round the drawing, so that it does not fill the sheet.
    let labels = 24.0;
    let room = (
        width - 2.0 * MARGIN - SIDE - 2.0 * labels,
        height - 2.0 * MARGIN - TITLE - FOOT - 2.0 * labels,
    );
    let size = (high.0 - low.0, high.1 - low.1);
    let fits = fitting(about.system, 24.0, size, room).filter(|(n, _)| *n <= smallest);
    let (n, words) = fits.ok_or_else(|| {
        Problem::error("a stretch of the footing without a step is too long for a plan")
            .help("draw parts of the walls as jobs of their own")
    })?;
    let whole = (room.0 + 2.0 * labels, room.1 + 2.0 * labels);
    let spare = [whole.0 - size.0 / n, whole.1 - size.1 / n].map(|spare| spare / 2.0 * n);
    let view = View {
        n,
        low: (low.0 - spare[0], low.1 - spare[1]),
        corner: (MARGIN + SIDE, height - MARGIN - TITLE - FOOT),
    };
    Ok(Laid { scene: Scene { width, height, items: Vec::new() }, view, words, whole })
}

impl Laid {
    /// Coordinates and the arrow to the north.
    fn bearings(&mut self, size: f64) {
        coordinates(&mut self.scene, &self.view, self.whole, size);
        let right = self.scene.width - MARGIN - 6.0;
        north(&mut self.scene, (right, MARGIN + 7.0));
    }

    /// Where labels find room.
    fn places(&self) -> FreePlaces {
        let right = self.scene.width - MARGIN;
        FreePlaces::beside(&self.scene, [MARGIN + SIDE, MARGIN, right, self.view.corner.1 + 1.5])
    }
}

/// Which sheet it is of how many.
#[derive(Clone, Copy)]
struct Numbered {
    number: usize,
    of: usize,
}

/// One sheet: all of the plan, or the part along some of the footing's pieces, which goes on over the sheets beside it.
fn sheet(
    all: &PlanSeen,
    pieces: &Range<usize>,
    about: &About,
    Numbered { number, of }: Numbered,
) -> Result<Scene, Problem> {
    let seen = all.part(pieces.clone());
    let smallest = if pieces.len() < 2 { f64::INFINITY } else { SMALLEST };
    let mut laid = laid(about, seen.bounds(), smallest)?;
    let Laid { scene, view, words, .. } = &mut laid;
    for outline in &seen.footings {
        let corners = outline.through.iter().map(|at| view.spot(*at)).collect();
        scene.items.push(Item::Area { corners });
    }
    for (of, pen, outlines) in [
        ("footing", FOOTING, &seen.footings),
        ("overlap", OVERLAP, &seen.overlaps),
        ("stem", STEM, &seen.stems),
    ] {
        for outline in outlines {
            scene.line(of, pen, closed(&outline.through, view));
        }
    }
    for limit in &seen.limits {
        scene.line("limit", LIMIT, limit.through.iter().map(|at| view.spot(*at)).collect());
    }
    for shot in &seen.shots {
        mark(scene, &shot.words, view.spot(shot.at));
    }
    let mut said = vec![
        format!("Plan, {}, north is up", about.scale(words)),
        format!("coordinates in {}", seen.unit.1),
    ];
    if !seen.shots.is_empty() {
        said.push("shots: + existing, x low side, boxed bearing".to_owned());
    }
    // Where it goes on: corners of the outlines across the footing, and the sheet.
    let ends = [
        (pieces.start > 0, seen.footings.first(), [0, 3], number - 1),
        (pieces.end < all.footings.len(), seen.footings.last(), [1, 2], number + 1),
    ];
    let mut goes_on: Vec<Labelled> = Vec::new();
    for (_, piece, corners, sheet) in ends.into_iter().filter(|end| end.0) {
        let Some([Some(a), Some(b)]) =
            piece.map(|piece| corners.map(|at| piece.through.get(at).copied()))
        else {
            continue;
        };
        scene.line("match", MATCH, vec![view.spot(a), view.spot(b)]);
        let middle = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
        goes_on.push(Labelled { words: format!("sheet {sheet}"), chain: 0.0, at: middle });
    }
    let mut key = vec![
        (STEM, "stem"),
        (FOOTING, "footing"),
        (OVERLAP, "overlap at a step"),
        (RISER, "riser"),
        (LIMIT, "limit of excavation"),
    ];
    if !goes_on.is_empty() {
        key.push((MATCH, "goes on"));
    }
    title(scene, about, &SheetTitle { said: &said, key: &key, number, of });
    for step in &seen.steps {
        scene.line("riser", RISER, across(all, view, step.at));
    }
    laid.bearings(seen.unit.0);
    let mut places = laid.places();
    let Laid { mut scene, view, .. } = laid;
    for (of, spots) in [("step", &seen.steps), ("face", &seen.faces), ("match", &goes_on)] {
        for spot in spots {
            label(&mut scene, &mut places, of, &spot.words, view.spot(spot.at))?;
        }
    }
    Ok(scene)
}

/// The key plan: the footing as a whole, and which part of it is on which sheet.
fn key_plan(seen: &PlanSeen, parts: &[Range<usize>], about: &About) -> Result<Scene, Problem> {
    let mut laid = laid(about, seen.bounds(), f64::INFINITY)?;
    let Laid { scene, view, words, .. } = &mut laid;
    for outline in &seen.footings {
        scene.line("footing", SHOT, closed(&outline.through, view));
    }
    let said = [
        format!("Key plan, {}, north is up", about.scale(words)),
        format!("coordinates in {}", seen.unit.1),
    ];
    let key = [(SHOT, "footing"), (MATCH, "from sheet to sheet")];
    for part in parts.iter().skip(1) {
        if let [a, .., b] = seen.footings[part.start].through[..] {
            scene.line("match", MATCH, vec![view.spot(a), view.spot(b)]);
        }
    }
    title(scene, about, &SheetTitle { said: &said, key: &key, number: 1, of: parts.len() + 1 });
    laid.bearings(seen.unit.0);
    let mut places = laid.places();
    let Laid { mut scene, view, .. } = laid;
    for (number, part) in (2..).zip(parts) {
        let middle = &seen.footings[part.start.midpoint(part.end)].through;
        let Some(at) = middle.first() else { continue };
        label(&mut scene, &mut places, "sheet", &format!("sheet {number}"), view.spot(*at))?;
    }
    Ok(scene)
}

/// The line of a riser: across the footing's outline that has an end at this place of the exposed face.
fn across(seen: &PlanSeen, view: &View, at: OnSite) -> Vec<OnPaper> {
    let off_line = |(a, b): (OnSite, OnSite)| {
        let (along, across) = ((b.0 - a.0, b.1 - a.1), (at.0 - a.0, at.1 - a.1));
        let size = (along.0 * along.0 + along.1 * along.1).sqrt();
        let inside = across.0 * along.0 + across.1 * along.1;
        let far = (across.0 * along.1 - across.1 * along.0).abs() / size;
        if (0.0..=size * size).contains(&inside) { far } else { f64::INFINITY }
    };
    // Toe start, toe end, heel end, heel start: the sides across the wall are the second and the fourth.
    let ends = seen.footings.iter().flat_map(|outline| match outline.through[..] {
        [a, b, c, d] => vec![(b, c), (d, a)],
        _ => Vec::new(),
    });
    let nearest = ends.min_by(|a, b| off_line(*a).total_cmp(&off_line(*b)));
    nearest.map_or_else(Vec::new, |(a, b)| vec![view.spot(a), view.spot(b)])
}

/// A label near its place, with a line to it.
fn label(
    scene: &mut Scene,
    places: &mut FreePlaces,
    of: &str,
    words: &str,
    at: OnPaper,
) -> Result<(), Problem> {
    let found = places.near(words, at).ok_or_else(|| {
        Problem::error("the labels of the plan leave no room for all of them")
            .help("take the walls as several jobs, or shorten their names")
    })?;
    scene.line("leader", LEADER, vec![at, found.tip]);
    scene.text(of, found.at, found.anchor, words);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn north_is_up_and_east_is_right() {
        let view = View { n: 100.0, low: (0.0, 0.0), corner: (30.0, 150.0) };
        assert_eq!(view.spot((1000.0, 0.0)), (40.0, 150.0));
        assert_eq!(view.spot((0.0, 1000.0)), (30.0, 140.0));
    }
}
