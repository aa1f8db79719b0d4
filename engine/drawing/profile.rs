//! The profile along the wall: steps, levels, ground lines and the steps of the plan, to scale, over as many sheets as it
//! takes.

use super::labels::spread;
use super::listed::Rows;
use super::scene::{Item, LETTER, OnPaper, Paper, Pen, SIZE, Scene, TextEnd, lines_of, width_of};
use crate::listing::Listing;
use crate::measure::{Nm, System};
use crate::problem::Problem;

/// What stands in the title of every sheet.
#[derive(Debug, Clone)]
pub struct About {
    /// Name of the job.
    pub job: String,
    /// The date as text.
    pub date: String,
    /// Units of the job.
    pub system: System,
    /// The paper.
    pub paper: Paper,
}

const FRAME: Pen = Pen { width: 0.35, dashes: &[] };
const FINE: Pen = Pen { width: 0.1, dashes: &[] };
const LEADER: Pen = Pen { width: 0.13, dashes: &[] };
const CORNER: Pen = Pen { width: 0.25, dashes: &[6.0, 1.5, 1.0, 1.5] };
const MATCH: Pen = Pen { width: 0.5, dashes: &[4.0, 2.0] };

/// Lines of the profile: code of the listing, words, pen.
const LINES: [(&str, &str, Pen); 3] = [
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

/// Margin of the frame, and room beside the drawing for elevations, in mm.
const MARGIN: f64 = 10.0;
const SIDE: f64 = 22.0;
/// From the drawing to the labels over and under it.
const OVER: f64 = 7.0;
const UNDER: f64 = 16.0;
/// Room of the title.
const TITLE: f64 = 30.0;
/// How far labels stand apart.
const APART: f64 = SIZE + 0.7;

/// Scales that are drawn in: what one on the paper is on the site, and in words.
const US: [(f64, &str); 8] = [
    (24.0, "1/2 in = 1 ft"),
    (48.0, "1/4 in = 1 ft"),
    (60.0, "1 in = 5 ft"),
    (96.0, "1/8 in = 1 ft"),
    (120.0, "1 in = 10 ft"),
    (180.0, "1 in = 15 ft"),
    (240.0, "1 in = 20 ft"),
    (360.0, "1 in = 30 ft"),
];
const METRIC: [(f64, &str); 7] = [
    (20.0, "1:20"),
    (25.0, "1:25"),
    (50.0, "1:50"),
    (100.0, "1:100"),
    (125.0, "1:125"),
    (200.0, "1:200"),
    (250.0, "1:250"),
];
/// How many times heights may be drawn taller.
const TALLER: [f64; 4] = [5.0, 4.0, 2.0, 1.0];

/// A line with its words and pen, by places of chain station and elevation in mm of the site.
struct Traced {
    of: &'static str,
    words: &'static str,
    pen: Pen,
    through: Vec<OnPaper>,
}

/// A label: what it is of, where it points to, its words.
struct Label {
    of: String,
    at: OnPaper,
    text: String,
    bold: bool,
}

/// All that is drawn, on the site.
struct Site {
    lines: Vec<Traced>,
    /// Between top of footing and dug bottom.
    footing: Vec<OnPaper>,
    over: Vec<Label>,
    under: Vec<Label>,
    corners: Vec<f64>,
    from: f64,
    to: f64,
    low: f64,
    high: f64,
}

fn mm(length: Nm) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "lengths on paper")]
    let nm = length.0 as f64;
    nm / 1e6
}

/// Places of a row set, by chain and elevation.
fn places(rows: Rows, of: (&str, &str)) -> Vec<OnPaper> {
    let here = rows.iter().filter(|row| row.text(of.0) == of.1);
    here.filter_map(|row| Some((mm(row.length("chain")?), mm(row.length("elevation")?)))).collect()
}

fn site(listings: &[Listing], system: System) -> Option<Site> {
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
    let footing = top.iter().copied().chain(bottom.iter().rev().copied()).collect();
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
        let text = format!("BOF {}", show(bof));
        let middle = f64::midpoint(a, b);
        under.push(Label { of: "bottom".into(), at: (middle, mm(bof)), text, bold: false });
    }
    let heights = lines.iter().flat_map(|line| line.through.iter().map(|spot| spot.1));
    let low = heights.clone().fold(f64::INFINITY, f64::min);
    let high = heights.fold(f64::NEG_INFINITY, f64::max);
    Some(Site { lines, footing, over, under, corners, from, to, low, high })
}

/// The scale of all sheets: what one on the paper is on the site along the wall, in words, and how many times taller
/// heights are drawn.
fn scale(site: &Site, system: System, width: f64, height: f64) -> (f64, &'static str, f64) {
    let all: &[(f64, &str)] = match system {
        System::Us => &US,
        System::Metric => &METRIC,
    };
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
    site: &'a Site,
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
        let footing = within_area(&self.site.footing, self.from, self.to);
        let corners = footing.into_iter().map(|spot| self.spot(spot)).collect();
        self.scene.items.push(Item::Area { corners });
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
            self.scene.items.push(Item::Text { of, at, text, anchor, upward: true, bold });
        }
        Some(())
    }

    fn title(&mut self, about: &About, words: &str, number: usize, of: usize) {
        let (width, height) = (self.scene.width, self.scene.height);
        let (left, right) = (MARGIN, width - MARGIN);
        let (top, bottom) = (height - MARGIN - TITLE, height - MARGIN);
        let frame = |a: OnPaper, b: OnPaper| vec![a, (b.0, a.1), b, (a.0, b.1), a];
        self.scene.line("frame", FRAME, frame((left, MARGIN), (right, bottom)));
        self.scene.line("title", FRAME, vec![(left, top), (right, top)]);
        let parts = [left, left + (right - left) * 0.33, left + (right - left) * 0.73];
        for x in &parts[1..] {
            self.scene.line("title", FINE, vec![(*x, top), (*x, bottom)]);
        }
        let row = |at: usize| {
            #[expect(clippy::cast_precision_loss, reason = "rows of a title")]
            let rows = at as f64;
            top + 5.0 + rows * 5.6
        };
        let wide = parts[1] - parts[0] - 4.0;
        let heights = match self.taller {
            1.0 => "heights alike".to_owned(),
            taller => format!("heights x {}", crate::measure::written(taller)),
        };
        let mut said: Vec<String> = lines_of(&about.job, wide).into_iter().take(2).collect();
        said.push("Profile along the exposed face".to_owned());
        said.push(format!("{words}, {heights}"));
        let unit = if about.system == System::Us { "ft" } else { "m" };
        said.push(format!("stations along the chain in {unit}"));
        for (at, text) in said.iter().enumerate() {
            self.scene.text("title", (parts[0] + 2.0, row(at)), TextEnd::Start, text);
        }
        // The lines that stand on the sheet, as they are drawn.
        for (at, line) in self.site.lines.iter().enumerate().take(10) {
            let (column, down) = (at / 5, at % 5);
            let x = parts[1] + 2.0 + if column == 0 { 0.0 } else { 48.0 };
            let y = row(down) - LETTER / 2.0;
            self.scene.line("key", line.pen, vec![(x, y), (x + 9.0, y)]);
            self.scene.text("key", (x + 11.0, row(down)), TextEnd::Start, line.words);
        }
        let wide = right - parts[2] - 4.0;
        let mut said = vec![format!("sheet {number} of {of} {}", about.date)];
        said.extend(lines_of(
            "A proposal until the engineer of record accepts it in writing. Cut depths and banks: see the dig sheet.",
            wide,
        ));
        for (at, text) in said.iter().enumerate() {
            self.scene.text("title", (parts[2] + 2.0, row(at)), TextEnd::Start, text);
        }
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

/// The sheets of the profile.
///
/// # Errors
/// Nothing is laid out, the names of the walls leave no room, or it takes too many sheets.
pub fn profile(listings: &[Listing], about: &About) -> Result<Vec<Scene>, Problem> {
    let site = site(listings, about.system)
        .ok_or_else(|| Problem::error("this job has no profile to draw"))?;
    let (width, height) = about.paper.size();
    let longest =
        |labels: &[Label]| labels.iter().map(|label| width_of(&label.text)).fold(0.0, f64::max);
    let top = MARGIN + longest(&site.over) + OVER + 2.0;
    let foot = height - MARGIN - TITLE - longest(&site.under) - UNDER - 2.0;
    if foot - top < LEAST_HEIGHT {
        return Err(Problem::error("the labels of the profile leave no room for it")
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
            return Err(Problem::error(format!(
                "the profile takes more than {MOST_SHEETS} sheets"
            )));
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
