//! Elevation of the bars: verticals with their dowels, rows of the stem, bars of the footing, each where it is placed.

use super::along::{Label, Seen, Traced, mm, sheets};
use super::listed::{ListedRow, Rows};
use super::scene::{OnPaper, Pen, Scene};
use super::title::About;
use crate::listing::Listing;
use crate::measure::System;
use crate::problem::Problem;

const VERTICAL: Pen = Pen { width: 0.3, dashes: &[] };
const ROW: Pen = Pen { width: 0.3, dashes: &[4.0, 1.0] };
const ALONG: Pen = Pen { width: 0.5, dashes: &[1.5, 0.8] };
const ACROSS: Pen = Pen { width: 0.45, dashes: &[] };
const OUTLINE: Pen = Pen { width: 0.15, dashes: &[] };

/// Lines of the concrete: code of the listing, words.
const LINES: [(&str, &str); 3] =
    [("top_of_wall", "concrete"), ("top_of_footing", "concrete"), ("bottom", "concrete")];

/// Which bars of one wall a stretch of it has, with the levels of its footing.
struct Placed<'a> {
    row: ListedRow<'a>,
    /// Running stations of its ends.
    from: f64,
    to: f64,
    /// Running station of the first bar and from one to the next, where bars stand side by side.
    first: Option<(f64, f64)>,
    tof: f64,
    bof: f64,
}

fn placed<'a>(listings: &'a [Listing]) -> Option<Vec<Placed<'a>>> {
    let rows = |name: &str| Rows::of(listings, name);
    let mut all = Vec::new();
    for row in rows("bars_placed").iter() {
        let wall = rows("walls").iter().find(|wall| wall.text("wall") == row.text("wall"))?;
        let start = mm(wall.length("chain_start")?);
        let (from, to) = (mm(row.length("from")?), mm(row.length("to")?));
        let middle = f64::midpoint(from, to);
        let under = |piece: &ListedRow| {
            let ends = ["from", "to"].map(|name| piece.length(name).map_or(f64::NAN, mm));
            piece.text("wall") == row.text("wall") && ends[0] <= middle && middle <= ends[1]
        };
        // Bars of a corner stand on no stretch of their own.
        let Some(footing) = rows("footing_pieces").iter().find(under) else { continue };
        let (tof, bof) = (mm(footing.length("tof")?), mm(footing.length("bof")?));
        let first = row.length("first").map(mm);
        let first = first.map(|first| (start + first, row.length("gap").map_or(0.0, mm)));
        all.push(Placed { row, from: start + from, to: start + to, first, tof, bof });
    }
    Some(all)
}

impl Placed<'_> {
    /// A line of the drawing.
    fn line(&self, through: Vec<OnPaper>) -> Traced {
        let (of, words, pen) = match self.row.text("role") {
            "vertical" => ("vertical", "verticals, dowels", VERTICAL),
            "horizontal" => ("row", "rows of the stem", ROW),
            "transverse" => ("across", "bars across the footing", ACROSS),
            _ => ("along", "bars along the footing", ALONG),
        };
        Traced { of, words, pen, through }
    }

    /// Its bars.
    fn lines(&self) -> Vec<Traced> {
        let count = u32::try_from(self.row.count("count").unwrap_or(0)).unwrap_or(0);
        let thick = self.tof - self.bof;
        let length = self.row.length("length").map_or(0.0, mm);
        let level = |z: f64| vec![self.line(vec![(self.from, z), (self.to, z)])];
        let upright = |low: f64, high: f64| -> Vec<Traced> {
            let Some((first, gap)) = self.first else { return Vec::new() };
            let at = |number: u32| first + f64::from(number) * gap;
            (0..count)
                .map(|number| self.line(vec![(at(number), low), (at(number), high)]))
                .collect()
        };
        match self.row.text("role") {
            "vertical" => upright(self.tof, self.tof + length),
            // They run across: what is seen of each is its end.
            "transverse" => upright(self.bof + 0.2 * thick, self.bof + 0.4 * thick),
            "longitudinal" => level(self.bof + 0.6 * thick),
            "horizontal" => self.row.length("elevation").map_or_else(Vec::new, |z| level(mm(z))),
            _ => Vec::new(),
        }
    }

    /// Its words: marks, number, and how far apart.
    fn words(&self, system: System) -> String {
        let row = &self.row;
        let count = row.count("count").unwrap_or(0);
        let apart = match row.length("gap").filter(|_| count > 1) {
            Some(gap) => format!(" @ {}", system.tape(gap, 16)),
            None => String::new(),
        };
        format!("{} {count}{apart}", row.text("marks"))
    }
}

fn seen(listings: &[Listing], system: System) -> Option<Seen> {
    let rows = |name: &str| Rows::of(listings, name);
    let all = placed(listings)?;
    let mut lines: Vec<Traced> = all.iter().flat_map(Placed::lines).collect();
    if lines.is_empty() {
        return None;
    }
    for (code, words) in LINES {
        let here = rows("profile").iter().filter(|row| row.text("code") == code);
        let spot = |row: ListedRow| Some((mm(row.length("chain")?), mm(row.length("elevation")?)));
        let through = here.filter_map(spot).collect();
        lines.push(Traced { of: "concrete", words, pen: OUTLINE, through });
    }
    // What stands in one stretch has one label.
    let labelled = |roles: [&str; 2], height: &dyn Fn(&Placed) -> f64| -> Vec<Label> {
        let mut labels: Vec<(f64, Label)> = Vec::new();
        for placed in all.iter().filter(|placed| roles.contains(&placed.row.text("role"))) {
            let at = (f64::midpoint(placed.from, placed.to), height(placed));
            let words = placed.words(system);
            match labels.iter_mut().find(|(from, _)| *from == placed.from) {
                // A dowel stands beside each vertical.
                Some((_, label)) if placed.row.text("role") == "dowel" => {
                    label.text = format!("{} {}", placed.row.text("marks"), label.text);
                }
                Some((_, label)) => label.text = format!("{}, {words}", label.text),
                None => {
                    let label = Label { of: "bars".to_owned(), at, text: words, bold: false };
                    labels.push((placed.from, label));
                }
            }
        }
        let mut labels: Vec<Label> = labels.into_iter().map(|(_, label)| label).collect();
        labels.sort_by(|a, b| a.at.0.total_cmp(&b.at.0));
        labels
    };
    let length = |placed: &Placed| placed.row.length("length").map_or(0.0, mm);
    let over = labelled(["vertical", "dowel"], &|placed| placed.tof + length(placed));
    let under = labelled(["transverse", "longitudinal"], &|placed| placed.bof);
    let corners = rows("corners").iter();
    let corners = corners.filter_map(|row| Some(mm(row.length("chain")?))).collect();
    Some(Seen {
        said: "Bars by running stations",
        besides: Some("rows of the stem and corner bars: see the placing list".to_owned()),
        marks: Vec::new(),
        lines,
        area: Vec::new(),
        over,
        under,
        corners,
    })
}

/// The sheets of the bars; none where the job gives none.
///
/// # Errors
/// The labels leave no room, or it takes too many sheets.
pub fn bars(listings: &[Listing], about: &About) -> Result<Vec<Scene>, Problem> {
    match seen(listings, about.system) {
        Some(seen) => sheets(&seen, about),
        None => Ok(Vec::new()),
    }
}
