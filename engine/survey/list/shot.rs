//! Shots as a list gives them.

use crate::measure::Nm;
use crate::survey::Point;

/// Where a shot is, as its list says it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Spot {
    /// A point in plan.
    Plane(Point),
    /// A station, on a wall or along the whole chain, and an offset towards the earth.
    Along {
        /// The wall, if one is named.
        wall: Option<String>,
        /// Station from its start, or from the chain's.
        station: Nm,
        /// Offset from the exposed face.
        offset: Nm,
    },
}

/// How rod readings become elevations.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Levels {
    /// From which line on which height of the line of sight holds, ascending.
    pub setups: Vec<(usize, Nm)>,
    /// Whether readings are written with the sign of a height: down from the line of sight is negative.
    pub signed: bool,
}

impl Levels {
    /// The elevation of a reading; the reading itself where no set-up is known.
    pub(super) fn elevation(&self, line: usize, reading: Nm) -> Nm {
        let up = if self.signed { reading } else { -reading };
        self.sight(line).map_or(reading, |sight| sight + up)
    }

    /// The height of the line of sight that holds at a line.
    pub fn sight(&self, line: usize) -> Option<Nm> {
        self.setups.iter().rev().find(|(from, _)| *from <= line).map(|(_, sight)| *sight)
    }
}

/// A point of the ground.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shot {
    /// Which list of the job it stands in, from 0.
    pub list: usize,
    /// Line of the file or row of the sheet.
    pub line: usize,
    /// Name or number, may be empty.
    pub id: String,
    /// Code, may be empty.
    pub code: String,
    /// Where it is.
    pub place: Spot,
    /// Its elevation.
    pub z: Nm,
}
