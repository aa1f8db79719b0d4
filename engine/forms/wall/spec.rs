//! What the yard has: panels, fillers, corners; and which walls stand together.

use crate::measure::Nm;

/// A panel height.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PanelHeight {
    /// Its height.
    pub height: Nm,
    /// Rows of ties that it takes.
    pub ties: i64,
    /// How many there are.
    pub owned: i64,
    /// What the yard calls it.
    pub name: String,
}

/// A filler width.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FillerWidth {
    /// Its width.
    pub width: Nm,
    /// How many there are of each height.
    pub owned: i64,
    /// What the yard calls it.
    pub name: String,
}

/// Walls that stand and are poured together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PourGroup {
    /// Its name.
    pub name: String,
    /// Indices of its walls.
    pub walls: Vec<usize>,
}

/// The forms of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormSpec {
    /// Width of a panel.
    pub panel: Nm,
    /// Leg of the inside corner.
    pub corner_leg: Nm,
    /// Tops of forms are whole courses.
    pub course: Nm,
    /// Panel heights, the tallest first.
    pub panels: Vec<PanelHeight>,
    /// Filler widths, the widest first.
    pub fillers: Vec<FillerWidth>,
    /// Filler heights, the tallest first.
    pub filler_heights: Vec<Nm>,
    /// Sets of inside and outside corners, of any height, that there are.
    pub corner_sets: i64,
    /// Walls that stand together.
    pub pours: Vec<PourGroup>,
}

impl FormSpec {
    /// A height up to the next course.
    pub fn form_height(&self, height: Nm) -> Nm {
        crate::measure::round::up_to_step(height, self.course)
    }

    /// The fewest panel heights that add up to a height, the tallest first.
    pub fn stack(&self, height: Nm) -> Option<Vec<Nm>> {
        let heights: Vec<Nm> = self.panels.iter().map(|panel| panel.height).collect();
        super::exact_fill(self.form_height(height), &heights)
    }

    /// The same of filler heights.
    pub fn filler_stack(&self, height: Nm) -> Option<Vec<Nm>> {
        super::exact_fill(self.form_height(height), &self.filler_heights)
    }

    /// Rows of ties of a stack.
    pub fn tie_rows(&self, stack: &[Nm]) -> i64 {
        let rows = |height: &Nm| {
            let panel = self.panels.iter().find(|panel| panel.height == *height);
            panel.map_or(0, |panel| panel.ties)
        };
        stack.iter().map(rows).sum()
    }
}
