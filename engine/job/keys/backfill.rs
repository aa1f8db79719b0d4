//! Earth that is brought back.

use super::super::KeyKind::Percent;
use super::Need::{Default, Optional, Required};
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
            "backfill.shrink_toe",
            Percent(90),
            Optional,
            "the same over the toe, where it is another",
        ),
        key(
            "backfill.compaction",
            Percent(110),
            Optional,
            "compaction that the specification requires behind the wall, percent of the greatest dry density; told beside the volume",
        ),
        key(
            "backfill.compaction_toe",
            Percent(110),
            Optional,
            "the same over the toe, where it is another",
        ),
        key(
            "backfill.reuse",
            Percent(100),
            Default("100"),
            "share of the backfill that comes from the dig, percent; the rest is brought in",
        ),
    ],
};
