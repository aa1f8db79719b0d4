//! What is seen along the walls: lines by station and elevation, labels over and under them, to scale, over as many
//! sheets as it takes.

use super::labels::spread;
use super::scale::{Scale, scales};
use super::scene::{Item, LETTER, OnPaper, Pen, SIZE, Scene, TextEnd, width_of};
use super::title::{About, MARGIN, SheetTitle, TITLE, title};
use crate::measure::{Nm, System};
use crate::problem::Problem;

const FINE: Pen = Pen { width: 0.1, dashes: &[] };
const LEADER: Pen = Pen { width: 0.13, dashes: &[] };
const CORNER: Pen = Pen { width: 0.25, dashes: &[6.0, 1.5, 1.0, 1.5] };
const JOINT: Pen = Pen { width: 0.35, dashes: &[] };
const MATCH: Pen = Pen { width: 0.5, dashes: &[4.0, 2.0] };

/// Room beside the drawing for elevations, in mm.
const SIDE: f64 = 22.0;
/// From the drawing to the labels over and under it.
const OVER: f64 = 7.0;
const UNDER: f64 = 16.0;
/// How far labels stand apart.
const APART: f64 = SIZE + 0.7;

/// The largest and the smallest scale that a profile is drawn in.
const LARGEST: f64 = 20.0;
const SMALLEST: f64 = 360.0;
/// How many times heights may be drawn taller.
const TALLER: [f64; 6] = [5.0, 4.0, 3.0, 2.0, 1.5, 1.0];

/// A line with its words and pen, by places of running station and elevation in mm of the site.
pub(super) struct Traced {
    pub(super) of: &'static str,
    /// In the key; of lines of one word the first.
    pub(super) words: &'static str,
    pub(super) pen: Pen,
    pub(super) through: Vec<OnPaper>,
}

/// A label: what it is of, where it points to, its words.
pub(super) struct Label {
    pub(super) of: String,
    pub(super) at: OnPaper,
    pub(super) text: String,
    pub(super) bold: bool,
}

/// What is drawn: lines, a light area, labels, corners of the walls.
pub(super) struct Seen {
    /// What the title says of it.
    pub(super) said: &'static str,
    pub(super) lines: Vec<Traced>,
    /// Such as that between top of footing and dug bottom.
    pub(super) area: Vec<OnPaper>,
    pub(super) over: Vec<Label>,
    pub(super) under: Vec<Label>,
    pub(super) corners: Vec<f64>,
    /// Joints of the panels, by running station.
    pub(super) marks: Vec<f64>,
    /// What else the title says.
    pub(super) besides: Option<String>,
}

/// The same with its extent on the site.
struct Site<'a> {
    seen: &'a Seen,
    from: f64,
    to: f64,
    low: f64,
    high: f64,
}

impl std::ops::Deref for Site<'_> {
    type Target = Seen;

    fn deref(&self) -> &Seen {
        self.seen
    }
}

impl<'a> Site<'a> {
    fn of(seen: &'a Seen) -> Self {
        let spots = || seen.lines.iter().flat_map(|line| &line.through);
        let least = |of: fn(&OnPaper) -> f64| spots().map(of).fold(f64::INFINITY, f64::min);
        let most = |of: fn(&OnPaper) -> f64| spots().map(of).fold(f64::NEG_INFINITY, f64::max);
        let (station, height) = (|spot: &OnPaper| spot.0, |spot: &OnPaper| spot.1);
        Self {
            seen,
            from: least(station),
            to: most(station),
            low: least(height),
            high: most(height),
        }
    }
}

/// Millimetres of the site.
pub(super) fn mm(length: Nm) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "lengths on paper")]
    let nm = length.0 as f64;
    nm / 1e6
}

/// The scale of all sheets: what one on the paper is on the site along the wall, in words, and how many times taller
/// heights are drawn.
fn scale(site: &Site, system: System, width: f64, height: f64) -> (f64, &'static str, f64) {
    let within = |(n, _): &Scale| (LARGEST..=SMALLEST).contains(n);
    let all: Vec<Scale> = scales(system).iter().copied().filter(within).collect();
    let range = site.high - site.low;
    let stands = |n: f64, taller: f64| range * taller / n <= height;
    let fits = |(n, _): &&(f64, &str)| {
        let labels = |labels: &[Label]| {
            #[expect(clippy::cast_precision_loss, reason = "labels of a sheet")]
            let count = labels.len() as f64;
            count * APART <= width
        };
        (site.to - site.from) / n <= width
            && stands(*n, 1.0)
            && labels(&site.over)
            && labels(&site.under)
    };
    let usual = all.iter().rev().find(|(n, _)| *n <= 240.0 || stands(*n, 1.0));
    let found = all.iter().find(fits).or_else(|| usual.filter(|(n, _)| stands(*n, 1.0)));
    let (n, words) = found.or(all.last()).copied().unwrap_or((250.0, "1:250"));
    let taller = TALLER.into_iter().find(|taller| stands(n, *taller)).unwrap_or(1.0);
    (n, words, taller)
}

/// The part of a line between two stations.
fn within(through: &[OnPaper], from: f64, to: f64) -> Vec<OnPaper> {
    let mut part: Vec<OnPaper> = Vec::new();
    for pair in through.windows(2) {
        let [a, b] = [pair[0], pair[1]];
        if b.0 < from || a.0 > to {
            continue;
        }
        let at = |x: f64| match b.0 > a.0 {
            true => (x, a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)),
            false => (x, a.1),
        };
        let start = if a.0 < from { at(from) } else { a };
        let end = if b.0 > to { at(to) } else { b };
        if part.last() != Some(&start) {
            part.push(start);
        }
        if part.last() != Some(&end) {
            part.push(end);
        }
    }
    part
}

/// One sheet with its way from the site to the paper.
struct Sheet<'a> {
    scene: Scene,
    site: &'a Site<'a>,
    from: f64,
    to: f64,
    n: f64,
    taller: f64,
    /// Where the lowest line lies, and the top of the drawing.
    foot: f64,
    top: f64,
}

impl Sheet<'_> {
    fn x(&self, chain: f64) -> f64 {
        MARGIN + SIDE + (chain - self.from) / self.n
    }

    fn y(&self, elevation: f64) -> f64 {
        self.foot - (elevation - self.site.low) * self.taller / self.n
    }

    fn spot(&self, (chain, elevation): OnPaper) -> OnPaper {
        (self.x(chain), self.y(elevation))
    }

    fn right(&self) -> f64 {
        self.scene.width - MARGIN - 4.0
    }

    /// Elevations at the side and stations at the foot.
    fn grid(&mut self, system: System) {
        let (unit, steps, name): (f64, &[f64], &str) = match system {
            System::Us => (304.8, &[1.0, 2.0, 5.0, 10.0, 20.0], "ft"),
            System::Metric => (1000.0, &[0.5, 1.0, 2.0, 5.0, 10.0], "m"),
        };
        let apart = |per: f64, least: f64| {
            let found = steps.iter().find(|step| *step * unit * per >= least);
            found.or(steps.last()).copied().unwrap_or(1.0) * unit
        };
        let (left, right) = (self.x(self.from), self.x(self.to));
        let each = apart(self.taller / self.n, 2.0 * LETTER);
        let mut at = -crate::measure::round::floor_f64(-self.site.low / each) * each;
        while at <= self.site.high {
            let y = self.y(at);
            self.scene.line("elevation", FINE, vec![(left, y), (right, y)]);
            // The number of the line at zero has no sign.
            let text = format!("{} {name}", crate::measure::written(at / unit + 0.0));
            self.scene.text("elevation", (left - 1.5, y + LETTER / 2.0), TextEnd::End, &text);
            at += each;
        }
        let each = apart(1.0 / self.n, 18.0);
        let foot = self.foot + 4.0;
        self.scene.line("stations", FINE, vec![(left, foot), (right, foot)]);
        let mut at = -crate::measure::round::floor_f64(-self.from / each) * each;
        while at <= self.to {
            let x = self.x(at);
            self.scene.line("station", FINE, vec![(x, foot), (x, foot + 1.5)]);
            let text = crate::measure::written(at / unit);
            self.scene.text("station", (x, foot + 2.0 + LETTER), TextEnd::Middle, &text);
            at += each;
        }
    }

    fn lines(&mut self) {
        let footing = within_area(&self.site.area, self.from, self.to);
        let corners: Vec<OnPaper> = footing.into_iter().map(|spot| self.spot(spot)).collect();
        if !corners.is_empty() {
            self.scene.items.push(Item::Area { corners });
        }
        for line in &self.site.lines {
            let part = within(&line.through, self.from, self.to);
            let through: Vec<OnPaper> = part.into_iter().map(|spot| self.spot(spot)).collect();
            if through.len() > 1 {
                self.scene.line(line.of, line.pen, through);
            }
        }
        for at in self.site.corners.iter().filter(|at| (self.from..=self.to).contains(at)) {
            let x = self.x(*at);
            self.scene.line("corner", CORNER, vec![(x, self.top), (x, self.foot)]);
        }
        for at in self.site.marks.iter().filter(|at| (self.from..=self.to).contains(at)) {
            let (x, foot) = (self.x(*at), self.foot + 4.0);
            self.scene.line("joint", JOINT, vec![(x, foot - 1.5), (x, foot)]);
        }
        for (end, of) in [(self.from, self.site.from), (self.to, self.site.to)] {
            if (end - of).abs() > 1.0 {
                let x = self.x(end);
                self.scene.line("match", MATCH, vec![(x, self.top), (x, self.foot)]);
            }
        }
    }

    /// Labels over or under the drawing, each with a line to what it is of.
    fn labels(&mut self, over: bool) -> Option<()> {
        let site = self.site;
        let all = if over { &site.over } else { &site.under };
        // What stands on the line between two sheets belongs to the one on the right.
        let last = (self.to - site.to).abs() < 1.0;
        let here = |label: &&Label| {
            label.at.0 >= self.from && (label.at.0 < self.to || last && label.at.0 <= self.to)
        };
        let labels: Vec<&Label> = all.iter().filter(here).collect();
        let wanted: Vec<f64> =
            labels.iter().map(|label| self.x(label.at.0) + LETTER / 2.0).collect();
        let left = MARGIN + SIDE + LETTER;
        let places = spread(&wanted, APART, left, self.right())?;
        for (label, x) in labels.into_iter().zip(places) {
            let (tip, middle) = (self.spot(label.at), x - LETTER / 2.0);
            let tip = if label.at.1.is_finite() { tip } else { (tip.0, self.top) };
            let (knee, end, anchor) = match over {
                true => (self.top - 3.0, self.top - OVER + 1.0, TextEnd::Start),
                false => (self.foot + 12.0, self.foot + UNDER - 1.0, TextEnd::End),
            };
            let start = if over { self.top } else { self.foot + 8.5 };
            let mut through = vec![tip, (tip.0, start), (middle, knee), (middle, end)];
            through.dedup();
            self.scene.line("leader", LEADER, through);
            let at = (x, if over { end - 1.0 } else { end + 1.0 });
            let (of, text, bold) = (label.of.clone(), label.text.clone(), label.bold);
            self.scene.items.push(Item::Text {
                of,
                at,
                text,
                anchor,
                upward: true,
                bold,
                size: SIZE,
            });
        }
        Some(())
    }

    fn title(&mut self, about: &About, words: &str, number: usize, of: usize) {
        let heights = match self.taller {
            1.0 => "heights alike".to_owned(),
            taller => format!("heights x {}", crate::measure::written(taller)),
        };
        let unit = if about.system == System::Us { "ft" } else { "m" };
        let mut said = vec![
            format!("{}, {unit}", self.site.said),
            format!("{}, {heights}", about.scale(words)),
        ];
        said.extend(self.site.besides.clone());
        let mut key: Vec<(Pen, &str)> = Vec::new();
        for line in &self.site.lines {
            if !key.iter().any(|(_, words)| *words == line.words) {
                key.push((line.pen, line.words));
            }
        }
        if !self.site.marks.is_empty() {
            key.push((JOINT, "panel joint"));
        }
        title(&mut self.scene, about, &SheetTitle { said: &said, key: &key, number, of });
    }
}

/// The part of the footing between two stations.
fn within_area(corners: &[OnPaper], from: f64, to: f64) -> Vec<OnPaper> {
    let clip = |(x, y): &OnPaper| (x.clamp(from, to), *y);
    corners.iter().map(clip).collect()
}

/// Least height of the drawing between its labels, in mm, and most sheets.
const LEAST_HEIGHT: f64 = 25.0;
const MOST_SHEETS: usize = 200;

/// The sheets of what is seen along the walls.
///
/// # Errors
/// The names of the walls leave no room, or it takes too many sheets.
pub(super) fn sheets(seen: &Seen, about: &About) -> Result<Vec<Scene>, Problem> {
    let site = Site::of(seen);
    let (width, height) = about.paper.size();
    let longest =
        |labels: &[Label]| labels.iter().map(|label| width_of(&label.text)).fold(0.0, f64::max);
    let top = MARGIN + longest(&site.over) + OVER + 2.0;
    let foot = height - MARGIN - TITLE - longest(&site.under) - UNDER - 2.0;
    if foot - top < LEAST_HEIGHT {
        return Err(Problem::error(format!("{}: the labels leave no room for it", site.said))
            .help("its longest names are those of the walls: shorten them"));
    }
    let wide = width - 2.0 * MARGIN - SIDE - 8.0;
    let (n, words, taller) = scale(&site, about.system, wide, foot - top);
    let long = site.to - site.from;
    let mut count = 1;
    loop {
        #[expect(clippy::cast_precision_loss, reason = "sheets of a drawing")]
        let each = (wide * n).min(long / count as f64);
        let mut sheets = Vec::new();
        let mut from = site.from;
        while site.to - from > 1.0 {
            sheets.push((from, (from + each).min(site.to)));
            from += each;
        }
        let of = sheets.len();
        let all: Option<Vec<Scene>> = (1..)
            .zip(sheets)
            .map(|(number, (from, to))| {
                let scene = Scene { width, height, items: Vec::new() };
                let mut sheet = Sheet { scene, site: &site, from, to, n, taller, foot, top };
                sheet.grid(about.system);
                sheet.lines();
                sheet.labels(true)?;
                sheet.labels(false)?;
                sheet.title(about, words, number, of);
                Some(sheet.scene)
            })
            .collect();
        if let Some(all) = all {
            return Ok(all);
        }
        if of >= MOST_SHEETS {
            let problem = Problem::error(format!("{}: more than {MOST_SHEETS} sheets", site.said));
            return Err(problem.help("draw parts of the walls as jobs of their own"));
        }
        // More labels than one sheet has room for: over more sheets.
        count = of + 1;
    }
}

#[cfg(test)]
mod tests {
    use super::within;

    #[test]
    fn a_part_of_a_line() {
        let line = [(0.0, 1.0), (10.0, 1.0), (10.0, 3.0), (20.0, 3.0)];
        assert_eq!(within(&line, 5.0, 15.0), [(5.0, 1.0), (10.0, 1.0), (10.0, 3.0), (15.0, 3.0)]);
        let slope = [(0.0, 0.0), (10.0, 5.0)];
        assert_eq!(within(&slope, 2.0, 4.0), [(2.0, 1.0), (4.0, 2.0)]);
    }
}
