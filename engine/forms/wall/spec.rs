//! What the yard has: panels, fillers, corners; and which walls stand together.

use num_rational::BigRational;

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
    /// Rent of one more for each day that it stands, if more are to be had.
    pub rent: Option<BigRational>,
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
    /// Rent of one more for each day that it stands, if more are to be had.
    pub rent: Option<BigRational>,
}

/// Hardware of the forms: what holds panels together and to their ties.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hardware {
    /// What the yard calls it.
    pub name: String,
    /// How many each tie takes.
    pub for_each_tie: i64,
    /// How many each panel takes.
    pub for_each_panel: i64,
    /// How many each filler takes.
    pub for_each_filler: i64,
    /// How many each corner set takes.
    pub for_each_corner: i64,
    /// How many there are.
    pub owned: i64,
}

/// Walls that stand and are poured together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PourGroup {
    /// Its name.
    pub name: String,
    /// Indices of its walls.
    pub walls: Vec<usize>,
    /// The working day on which it first stands, if it is known.
    pub first: Option<i64>,
    /// How many working days it stands.
    pub standing: i64,
}

impl PourGroup {
    /// The first and the last day on which it stands, if they are known.
    pub fn days(&self) -> Option<(i64, i64)> {
        self.first.map(|first| (first, first + self.standing - 1))
    }
}

/// What the ways out of a shortage are priced with.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WayPrices {
    /// Setting one panel more than the fewest.
    pub extra_panel: Option<BigRational>,
    /// One tie.
    pub tie: Option<BigRational>,
    /// A pour more.
    pub pour_break: Option<BigRational>,
    /// Forms of the joint between two pours, by area.
    pub contact: Option<BigRational>,
}

/// The forms of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormSpec {
    /// Width of a panel.
    pub panel: Nm,
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
    /// The same on hinges, for corners that are not square.
    pub hinged_sets: i64,
    /// Walls that stand together.
    pub pours: Vec<PourGroup>,
    /// Hardware.
    pub hardware: Vec<Hardware>,
    /// Rent of a corner set more for each day that it stands, if more are to be had.
    pub corner_rent: Option<BigRational>,
    /// Prices of the ways out of a shortage.
    pub prices: WayPrices,
}

impl FormSpec {
    /// The panels of a height.
    pub fn panel_of(&self, height: Nm) -> Option<&PanelHeight> {
        self.panels.iter().find(|panel| panel.height == height)
    }

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
        let rows = |height: &Nm| self.panel_of(*height).map_or(0, |panel| panel.ties);
        stack.iter().map(rows).sum()
    }
}
