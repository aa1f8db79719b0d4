//! The plan: footing and stem in outline, steps, corners and ends, the shots that were used, north, coordinates.

use super::along::mm;
use super::listed::Rows;
use super::places::FreePlaces;
use super::scale::fitting;
use super::scene::{Item, LETTER, OnPaper, Pen, Scene, TextEnd};
use super::title::{About, MARGIN, SheetTitle, TITLE, title};
use crate::listing::Listing;
use crate::measure::{unit, written};
use crate::problem::Problem;

const STEM: Pen = Pen { width: 0.6, dashes: &[] };
const FOOTING: Pen = Pen { width: 0.3, dashes: &[3.0, 1.5] };
const OVERLAP: Pen = Pen { width: 0.2, dashes: &[1.0, 1.0] };
const RISER: Pen = Pen { width: 1.1, dashes: &[] };
const SHOT: Pen = Pen { width: 0.2, dashes: &[] };
const LEADER: Pen = Pen { width: 0.13, dashes: &[] };
const TICK: Pen = Pen { width: 0.1, dashes: &[] };

/// Room between the frame and the drawing for coordinates, in mm.
const SIDE: f64 = 26.0;
const FOOT: f64 = 9.0;
/// Half the size of the mark of a shot.
const MARK: f64 = 0.8;

/// A place on the site in mm: east, north.
type OnSite = (f64, f64);

/// What the plan shows, on the site.
struct Seen {
    footings: Vec<Vec<OnSite>>,
    overlaps: Vec<Vec<OnSite>>,
    stems: Vec<(String, Vec<OnSite>)>,
    /// Ends and corners of the walls: words and place.
    faces: Vec<(String, OnSite)>,
    /// Risers: words of the step, place.
    steps: Vec<(String, OnSite)>,
    shots: Vec<(String, OnSite)>,
    /// What one of the coordinates' unit is in mm, and its name.
    unit: (f64, String),
}

fn seen(listings: &[Listing]) -> Option<Seen> {
    let rows = |name: &str| Rows::of(listings, name);
    let mut outlines: Vec<(String, i64, String, Vec<OnSite>)> = Vec::new();
    let mut name = String::new();
    for row in rows("outlines").iter() {
        let at = (mm(row.length("east")?), mm(row.length("north")?));
        let (of, piece) = (row.text("of").to_owned(), row.count("piece")?);
        row.unit("east").unwrap_or_default().clone_into(&mut name);
        match outlines.last_mut() {
            Some(last) if (last.0.as_str(), last.1) == (of.as_str(), piece) => last.3.push(at),
            _ => outlines.push((of, piece, row.text("wall").to_owned(), vec![at])),
        }
    }
    let of = |wanted: &str| {
        let these = outlines.iter().filter(|outline| outline.0 == wanted);
        these.map(|outline| outline.3.clone()).collect::<Vec<_>>()
    };
    let stems = outlines.iter().filter(|outline| outline.0 == "stem");
    let stems = stems.map(|outline| (outline.2.clone(), outline.3.clone())).collect();
    let (mut faces, mut steps) = (Vec::new(), Vec::new());
    for row in rows("stake_out").iter() {
        let at = (mm(row.length("east")?), mm(row.length("north")?));
        let what = row.text("what");
        let words = what.split(',').next().unwrap_or_default().to_owned();
        match row.text("code") {
            "FACE" => faces.push((what.to_owned(), at)),
            // One of the two levels that meet in a riser; dirt cuts are the ends of the overlaps.
            "TOF" if !steps.contains(&(words.clone(), at)) => steps.push((words, at)),
            _ => {}
        }
    }
    let shot = |row: super::listed::ListedRow| {
        let at = (mm(row.length("east")?), mm(row.length("north")?));
        Some((row.text("ground").to_owned(), at))
    };
    let shots = rows("shots_used").iter().filter_map(shot).collect();
    let size = unit(&name).ok()?.factor() / 1e6;
    let (footings, overlaps) = (of("footing"), of("overlap"));
    (!footings.is_empty()).then_some(Seen {
        footings,
        overlaps,
        stems,
        faces,
        steps,
        shots,
        unit: (size, name),
    })
}

impl Seen {
    /// Every place that must be on the sheet.
    fn all(&self) -> impl Iterator<Item = OnSite> {
        let outlines = self.footings.iter().chain(&self.overlaps);
        let outlines = outlines.chain(self.stems.iter().map(|(_, outline)| outline)).flatten();
        outlines.copied().chain(self.shots.iter().map(|(_, at)| *at))
    }

    /// West, south, east and north of them.
    fn bounds(&self) -> (OnSite, OnSite) {
        let start = ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY));
        self.all().fold(start, |(low, high), (e, n)| {
            ((low.0.min(e), low.1.min(n)), (high.0.max(e), high.1.max(n)))
        })
    }
}

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
        scene.line("east", TICK, vec![(x, foot + 2.0), (x, foot + 4.0)]);
        scene.text("east", (x, foot + 5.0 + LETTER), TextEnd::Middle, &format!("E {}", shown(at)));
        at += each;
    }
    let mut at = first(view.low.1);
    while (at - view.low.1) / view.n <= room.1 {
        let y = view.spot((0.0, at)).1;
        scene.line("north", TICK, vec![(left - 4.0, y), (left - 2.0, y)]);
        let text = format!("N {}", shown(at));
        scene.text("north", (left - 5.0, y + LETTER / 2.0), TextEnd::End, &text);
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

/// The plan on one sheet.
///
/// # Errors
/// Nothing is laid out, the walls are too long for the paper, or their names leave no room.
pub fn plan(listings: &[Listing], about: &About) -> Result<Vec<Scene>, Problem> {
    let seen = seen(listings).ok_or_else(|| {
        Problem::error("this job has no plan to draw").help("rodbook check says what is missing")
    })?;
    let (width, height) = about.paper.size();
    // Labels stand round the drawing, so that it does not fill the sheet.
    let labels = 24.0;
    let room = (
        width - 2.0 * MARGIN - SIDE - 2.0 * labels,
        height - 2.0 * MARGIN - TITLE - FOOT - 2.0 * labels,
    );
    let (low, high) = seen.bounds();
    let size = (high.0 - low.0, high.1 - low.1);
    let (n, words) = fitting(about.system, 24.0, size, room).ok_or_else(|| {
        Problem::error("the walls reach too far for a plan on one sheet")
            .help("draw parts of them as jobs of their own")
    })?;
    let whole = (room.0 + 2.0 * labels, room.1 + 2.0 * labels);
    let spare = [whole.0 - size.0 / n, whole.1 - size.1 / n].map(|spare| spare / 2.0 * n);
    let view = View {
        n,
        low: (low.0 - spare[0], low.1 - spare[1]),
        corner: (MARGIN + SIDE, height - MARGIN - TITLE - FOOT),
    };
    let mut scene = Scene { width, height, items: Vec::new() };
    for outline in &seen.footings {
        let corners = outline.iter().map(|at| view.spot(*at)).collect();
        scene.items.push(Item::Area { corners });
    }
    for outline in &seen.footings {
        scene.line("footing", FOOTING, closed(outline, &view));
    }
    for outline in &seen.overlaps {
        scene.line("overlap", OVERLAP, closed(outline, &view));
    }
    for (_, outline) in &seen.stems {
        scene.line("stem", STEM, closed(outline, &view));
    }
    for (ground, at) in &seen.shots {
        mark(&mut scene, ground, view.spot(*at));
    }
    coordinates(&mut scene, &view, whole, seen.unit.0);
    north(&mut scene, (width - MARGIN - 6.0, MARGIN + 7.0));
    let mut said = vec!["Plan".to_owned(), format!("{words}, north is up")];
    said.push(format!("coordinates in {}", seen.unit.1));
    if !seen.shots.is_empty() {
        said.push("shots: + existing, x low side, boxed bearing".to_owned());
    }
    let key =
        [(STEM, "stem"), (FOOTING, "footing"), (OVERLAP, "overlap at a step"), (RISER, "riser")];
    title(&mut scene, about, &SheetTitle { said: &said, key: &key, number: 1, of: 1 });
    for (_, at) in &seen.steps {
        scene.line("riser", RISER, across(&seen, &view, *at));
    }
    let frame = [MARGIN + SIDE, MARGIN, width - MARGIN, view.corner.1 + 1.5];
    let mut places = FreePlaces::beside(&scene, frame);
    for (words, at) in &seen.steps {
        label(&mut scene, &mut places, "step", words, view.spot(*at))?;
    }
    for (words, at) in &seen.faces {
        label(&mut scene, &mut places, "face", words, view.spot(*at))?;
    }
    Ok(vec![scene])
}

/// The line of a riser: across the footing's outline that has an end at this place of the exposed face.
fn across(seen: &Seen, view: &View, at: OnSite) -> Vec<OnPaper> {
    let off_line = |(a, b): (OnSite, OnSite)| {
        let (along, across) = ((b.0 - a.0, b.1 - a.1), (at.0 - a.0, at.1 - a.1));
        let size = (along.0 * along.0 + along.1 * along.1).sqrt();
        let inside = across.0 * along.0 + across.1 * along.1;
        let far = (across.0 * along.1 - across.1 * along.0).abs() / size;
        if (0.0..=size * size).contains(&inside) { far } else { f64::INFINITY }
    };
    // Toe start, toe end, heel end, heel start: the sides across the wall are the second and the fourth.
    let ends = seen.footings.iter().flat_map(|outline| match outline[..] {
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
