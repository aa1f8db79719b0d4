//! Places for labels on a sheet with other texts: each as near to what it is of as the others let it, over none of them.

use super::scene::{Item, LETTER, OnPaper, Scene, TextEnd, width_of};

/// What of a sheet is taken by texts.
pub(super) struct FreePlaces {
    frame: [f64; 4],
    taken: Vec<[f64; 4]>,
}

/// Where a label stands.
pub(super) struct LabelPlace {
    /// Its place as a text.
    pub(super) at: OnPaper,
    /// Which point of it stands there.
    pub(super) anchor: TextEnd,
    /// Where the line to what it is of ends.
    pub(super) tip: OnPaper,
}

/// Distances that are tried, in mm, and directions, those to the upper right first.
const RINGS: u32 = 40;
/// Parts of a line that are kept free, in mm.
const STEP: f64 = 2.0;
const RING: f64 = 3.5;
const DIRECTIONS: [(f64, f64); 12] = [
    (0.9, 0.4),
    (0.9, -0.4),
    (-0.9, 0.4),
    (-0.9, -0.4),
    (0.4, 0.9),
    (0.4, -0.9),
    (-0.4, 0.9),
    (-0.4, -0.9),
    (0.7, 0.7),
    (-0.7, 0.7),
    (0.7, -0.7),
    (-0.7, -0.7),
];

/// Small boxes along a line.
fn along(a: OnPaper, b: OnPaper) -> impl Iterator<Item = [f64; 4]> {
    let long = (b.0 - a.0).abs().max((b.1 - a.1).abs());
    let count = crate::measure::round::steps_up(long, STEP).max(1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "parts of a line on paper"
    )]
    let parts = count as u32;
    (0..=parts).map(move |part| {
        let share = f64::from(part) / count;
        let (x, y) = (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
        [x - STEP / 4.0, y - STEP / 4.0, x + STEP / 4.0, y + STEP / 4.0]
    })
}

impl FreePlaces {
    /// The places within a frame that the texts and lines of a sheet leave.
    pub(super) fn beside(scene: &Scene, frame: [f64; 4]) -> Self {
        let mut taken: Vec<[f64; 4]> = scene.items.iter().filter_map(Item::covers).collect();
        for item in &scene.items {
            let Item::Line { through, .. } = item else { continue };
            for pair in through.windows(2) {
                taken.extend(along(pair[0], pair[1]));
            }
        }
        Self { frame, taken }
    }

    /// The nearest free place for a label; it is taken then.
    pub(super) fn near(&mut self, words: &str, at: OnPaper) -> Option<LabelPlace> {
        let wide = width_of(words);
        for ring in 1..=RINGS {
            for (east, north) in DIRECTIONS {
                let far = f64::from(ring) * RING + 2.0;
                let (tip, right) = ((at.0 + far * east, at.1 - far * north), east > 0.0);
                let box_of = match right {
                    true => [tip.0 + 0.5, tip.1 - LETTER, tip.0 + 0.5 + wide, tip.1 + 0.8],
                    false => [tip.0 - 0.5 - wide, tip.1 - LETTER, tip.0 - 0.5, tip.1 + 0.8],
                };
                if !self.free(box_of) {
                    continue;
                }
                self.taken.push(box_of);
                let (x, anchor) = match right {
                    true => (tip.0 + 0.5, TextEnd::Start),
                    false => (tip.0 - 0.5, TextEnd::End),
                };
                return Some(LabelPlace {
                    at: (x, tip.1),
                    anchor,
                    tip: (tip.0, tip.1 - LETTER / 2.0),
                });
            }
        }
        None
    }

    fn free(&self, a: [f64; 4]) -> bool {
        let [left, top, right, bottom] = self.frame;
        let within = a[0] >= left && a[1] >= top && a[2] <= right && a[3] <= bottom;
        let apart = |b: &[f64; 4]| a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
        within && self.taken.iter().all(apart)
    }
}
