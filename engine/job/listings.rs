//! Every listing that a job may have.

use super::neighbours::{NEIGHBOUR_COUNT, NEIGHBOURS};
use super::old_prices::OLD_PRICES;
use super::papers;
use super::provenance::{
    FILES_READ, OWN_VALUES, REPLACED_FILES, SET_ON_COMMAND_LINE, SOURCES_USED,
};
use super::sheets::{CELL_TESTS, CELLS, DRAWN_CELLS, LEFT_OUT, PRICE_BASIS, PRICE_MISSING};
use crate::listing::Declaration;
use crate::takeoff::{SOURCES, WallJob};

/// The declarations of the bundled listings, in the order in which a person reads them.
pub fn declared() -> impl Iterator<Item = Declaration> {
    SOURCES.iter().map(|source| source.declaration).chain(OF_JOB).chain(papers::DECLARED)
}

/// The declarations of every listing that a job may have.
pub(super) fn declared_of(job: &WallJob) -> impl Iterator<Item = Declaration> {
    job.sources().map(|source| source.declaration).chain(OF_JOB).chain(papers::DECLARED)
}

/// What is known once the sheets are worked out.
const OF_JOB: [Declaration; 14] = [
    CELLS,
    DRAWN_CELLS,
    PRICE_BASIS,
    CELL_TESTS,
    PRICE_MISSING,
    LEFT_OUT,
    OLD_PRICES,
    OWN_VALUES,
    NEIGHBOURS,
    NEIGHBOUR_COUNT,
    REPLACED_FILES,
    SOURCES_USED,
    FILES_READ,
    SET_ON_COMMAND_LINE,
];
