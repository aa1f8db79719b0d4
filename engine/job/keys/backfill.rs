//! Earth that is brought back.

use super::super::KeyKind::Percent;
use super::Need::{Default, Required};
use super::{Part, key, table};

/// The part.
pub(super) const PART: Part = Part {
    tables: &[table(
        "backfill",
        false,
        false,
        "earth brought back: behind the wall up to the existing ground, before it up to the finished grade; fill over the existing ground is not in it; with it the dig is told part by part",
    )],
    keys: &[
        key(
            "backfill.shrink",
            Percent(90),
            Required,
            "how much of its volume in the bank earth loses where it is compacted in place, percent; from tests of the soil",
        ),
        key(
            "backfill.reuse",
            Percent(100),
            Default("100"),
            "share of the backfill that comes from the dig, percent; the rest is brought in",
        ),
    ],
};
