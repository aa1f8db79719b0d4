//! Keys under the footing: concrete to the one who pours, digging to the one who digs.

use super::part::local;
use super::{Layout, Part};
use crate::measure::{Dimension, Exact, Nm};
use num_bigint::BigInt;
use num_rational::BigRational;

/// Keys of the keyed types: width x depth over each footing piece, stopping at risers and corners.
pub fn keys(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let keyed = layout.footings.iter().filter_map(|piece| {
        let kind = &site.types[piece.kind];
        let key = kind.key?;
        let length = piece.to - piece.from;
        let value = product(&[key.width, key.depth, length]);
        let how = format!(
            "key of {}: {} x {} x {}",
            kind.id,
            system.show(key.width),
            system.show(key.depth),
            system.show(length)
        );
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        Some(Part {
            wall,
            from,
            to,
            what: "key".into(),
            amount: Exact { value, dimension: Dimension::VOLUME },
            how,
        })
    });
    keyed.collect()
}

/// The exact product of lengths.
pub fn product(lengths: &[Nm]) -> BigRational {
    BigRational::from_integer(lengths.iter().map(|length| BigInt::from(length.0)).product())
}
