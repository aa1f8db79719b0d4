//! The banks that rise from a floor: which of its sides and corners are laid back, and how high the cut stands there.

use super::shapes::{Box2, Linear, far};

/// A floor in plan, and which of its eight surroundings are laid back.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rectangle {
    pub(super) shape: Box2,
    /// Elevation of the floor.
    pub(super) bottom: f64,
    /// Elevation from which its banks are laid back.
    pub(super) foot: f64,
    /// By direction along x and y, each -1, 0 or 1 and one more.
    open: [[bool; 3]; 3],
}

impl Rectangle {
    /// A floor whose sides are all straight.
    pub(super) fn straight(low: [f64; 2], high: [f64; 2], bottom: f64, foot: f64) -> Self {
        Self { shape: Box2 { low, high }, bottom, foot, open: [[false; 3]; 3] }
    }

    /// Says whether the bank towards a side or corner is laid back.
    pub(super) fn open(&mut self, [x, y]: [i8; 2], opens: bool) {
        let index = |part: i8| usize::from((part + 1).unsigned_abs());
        self.open[index(x)][index(y)] = opens;
    }

    /// The cut over a cell that no line of the rectangle crosses; none where its bank there is straight.
    pub(super) fn over(&self, cell: &Box2) -> Option<BankSurface> {
        let middle = cell.middle();
        let side = |axis: usize| {
            usize::from(middle[axis] > self.shape.low[axis])
                + usize::from(middle[axis] > self.shape.high[axis])
        };
        let (x, y) = (side(0), side(1));
        let edge = |axis: usize, side: usize| match side {
            0 => self.shape.low[axis],
            _ => self.shape.high[axis],
        };
        let sign = |side: usize| if side == 0 { -1.0 } else { 1.0 };
        if (x, y) == (1, 1) {
            return Some(BankSurface::Floor(self.bottom));
        }
        if !self.open[x][y] {
            return None;
        }
        Some(match (x, y) {
            (1, y) => {
                BankSurface::Side { foot: self.foot, axis: 1, edge: edge(1, y), sign: sign(y) }
            }
            (x, 1) => {
                BankSurface::Side { foot: self.foot, axis: 0, edge: edge(0, x), sign: sign(x) }
            }
            (x, y) => BankSurface::Corner { foot: self.foot, at: [edge(0, x), edge(1, y)] },
        })
    }
}

/// The cut over a cell as one floor makes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum BankSurface {
    /// The floor itself.
    Floor(f64),
    /// The bank of a side.
    Side { foot: f64, axis: usize, edge: f64, sign: f64 },
    /// The bank round a corner: part of a cone.
    Corner { foot: f64, at: [f64; 2] },
}

impl BankSurface {
    /// Its elevation over a point.
    pub(super) fn height(&self, point: [f64; 2], layback: f64) -> f64 {
        match self {
            Self::Floor(bottom) => *bottom,
            Self::Side { foot, axis, edge, sign } => foot + (point[*axis] - edge) * sign / layback,
            Self::Corner { foot, at } => foot + far(point[0] - at[0], point[1] - at[1]) / layback,
        }
    }

    /// Whether it is a plane.
    pub(super) fn planar(&self) -> bool {
        !matches!(self, Self::Corner { .. })
    }

    /// As a plane, if it is one.
    pub(super) fn plane(&self, layback: f64) -> Option<Linear> {
        match self {
            Self::Floor(bottom) => Some(Linear { at_origin: *bottom, slope: [0.0; 2] }),
            Self::Side { foot, axis, edge, sign } => {
                let mut slope = [0.0; 2];
                slope[*axis] = sign / layback;
                Some(Linear { at_origin: foot - edge * sign / layback, slope })
            }
            Self::Corner { .. } => None,
        }
    }
}
