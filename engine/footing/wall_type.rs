//! Wall types of the schedule.

use crate::measure::Nm;
use crate::survey::Strip;

/// A shear key under the footing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FootingKey {
    /// Width.
    pub width: Nm,
    /// Depth below the bottom of the footing.
    pub depth: Nm,
}

/// One row of the wall schedule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WallType {
    /// Its name in the plan.
    pub id: String,
    /// Greatest stem height that it carries.
    pub stem_up_to: Nm,
    /// Footing width B.
    pub width: Nm,
    /// Footing thickness D.
    pub thickness: Nm,
    /// From the footing's edge to the exposed face, p.
    pub toe: Nm,
    /// Key, if it has one.
    pub key: Option<FootingKey>,
}

impl WallType {
    /// Its footing across the wall, from the toe's edge to the heel's, by offset from the exposed face.
    pub fn across(&self) -> Strip {
        (Nm::ZERO - self.toe, self.width - self.toe)
    }
}

/// The type for a stem height: the first row that carries it, none for no stem and for one too tall.
pub fn type_for(types: &[WallType], stem: Nm) -> Option<usize> {
    if stem <= Nm::ZERO {
        return None;
    }
    types.iter().position(|row| stem <= row.stem_up_to)
}
