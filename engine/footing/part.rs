//! A measured part of the work: where it is, how much it is, and how that was found.

use super::Site;
use crate::measure::{Dimension, Exact, Nm, sum};

/// A measured part of the work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Name of the wall, or of both at a corner.
    pub wall: String,
    /// Local station of its start.
    pub from: Nm,
    /// Local station of its end.
    pub to: Nm,
    /// What it is.
    pub what: String,
    /// How much, exactly.
    pub amount: Exact,
    /// How that was found, with the numbers put in.
    pub how: String,
}

/// The wall's name and the local stations of a stretch given in running stations.
pub fn local(site: &Site, wall: usize, from: Nm, to: Nm) -> (String, Nm, Nm) {
    let line = &site.chain.walls()[wall];
    (line.id.clone(), from - line.station, to - line.station)
}

/// The exact sum of parts that measure the same; nothing is nothing of `dimension`.
pub fn total(parts: &[Part], dimension: Dimension) -> Exact {
    Exact {
        value: sum(parts.iter().map(|part| &part.amount.value)),
        dimension: parts.first().map_or(dimension, |part| part.amount.dimension),
    }
}
