//! A measured part of the work: where it is, how much it is, and how that was found.

use num_rational::BigRational;

use super::{Site, System};
use crate::measure::{Dimension, Exact, Nm, decimal_places, ratio, sum};
use crate::survey::Turn;

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

/// The wall's name and the local stations of a stretch given in chain stations.
pub fn local(site: &Site, wall: usize, from: Nm, to: Nm) -> (String, Nm, Nm) {
    let line = &site.chain.walls()[wall];
    (line.id.clone(), from - line.station, to - line.station)
}

/// A corner's concrete in words where it is not square: what each wall has beyond its exposed face, and the crossing, each as
/// height by area.
pub fn corner_words(site: &Site, turn: Turn, shares: [(Nm, &BigRational); 3]) -> String {
    let system = site.system;
    let unit = match system {
        System::Us => Nm::FOOT,
        System::Metric => Nm::METRE,
    };
    let area = |value: &BigRational| {
        let square = ratio(unit.wide() * unit.wide(), 1);
        format!("{} {}", decimal_places(&(value / square), 3), system.area())
    };
    let [a, b, crossing] =
        shares.map(|(height, value)| format!("{} x {}", system.show(height), area(value)));
    format!("turn {:.2} deg: beyond the faces {a} and {b}, crossing {crossing}", turn.degrees())
}

/// The exact sum of parts that measure the same; nothing is nothing of `dimension`.
pub fn total(parts: &[Part], dimension: Dimension) -> Exact {
    Exact {
        value: sum(parts.iter().map(|part| &part.amount.value)),
        dimension: parts.first().map_or(dimension, |part| part.amount.dimension),
    }
}
