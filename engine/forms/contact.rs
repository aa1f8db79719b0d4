//! Contact area of the stem forms: the vertical surface of the stem, at square corners the taller wall running through.

use num_traits::Zero;

use crate::footing::{Layout, Part, StemPiece, local, product};
use crate::measure::{Dimension, Exact, Nm};

/// Contact area by face: exposed, earth, free ends, and where tops differ.
/// Faces against a footing riser are not formed.
pub fn contact_area(layout: &Layout) -> Vec<Part> {
    let mut parts = Vec::new();
    let stems = &layout.stems;
    for piece in stems {
        parts.push(face(layout, piece, "exposed face", [Nm::ZERO; 2]));
    }
    for piece in stems {
        parts.push(face(layout, piece, "earth face", layout.earth_longer(piece)));
    }
    parts.extend(free_ends(layout));
    parts.extend(top_differences(layout));
    parts.retain(|part| !part.amount.value.is_zero());
    parts
}

fn area(sides: &[Nm]) -> Exact {
    Exact { value: product(sides), dimension: Dimension::AREA }
}

/// A face that is longer than the exposed one at its ends; what it has more there is as high as the end.
fn face(layout: &Layout, piece: &StemPiece, what: &str, longer: [Nm; 2]) -> Part {
    let system = layout.site.system;
    let length = piece.to - piece.from;
    let mut value = product(&[length]) * piece.mean_height();
    for (height, more) in piece.ends().into_iter().zip(longer) {
        value += product(&[height, more]);
    }
    let sizes = match (piece.top.is_level(), longer) {
        (false, [start, end]) if (start, end) != (Nm::ZERO, Nm::ZERO) => {
            let corners = [(piece.ends()[0], start), (piece.ends()[1], end)];
            let more = corners.iter().filter(|(_, more)| *more != Nm::ZERO);
            let more = more.map(|(height, more)| {
                format!(" + {} x {}", system.show(*height), system.show(*more))
            });
            format!("{}{}", system.show(length), more.collect::<String>())
        }
        _ => system.show(length + longer[0] + longer[1]),
    };
    let (wall, from, to) = local(&layout.site, piece.wall, piece.from, piece.to);
    Part {
        wall,
        from,
        to,
        what: what.into(),
        amount: Exact { value, dimension: Dimension::AREA },
        how: format!("{} x {sizes}", piece.heights(system)),
    }
}

fn free_ends(layout: &Layout) -> Vec<Part> {
    let system = layout.site.system;
    if layout.site.chain.closed() {
        return Vec::new();
    }
    let ends = [
        layout.stems.first().map(|piece| (piece, piece.from, piece.ends()[0])),
        layout.stems.last().map(|piece| (piece, piece.to, piece.ends()[1])),
    ];
    let end = |(piece, at, height): (&StemPiece, Nm, Nm)| {
        let stem = layout.site.walls[piece.wall].stem;
        let (wall, from, _) = local(&layout.site, piece.wall, at, at);
        Part {
            wall,
            from,
            to: from,
            what: "free end".into(),
            amount: area(&[stem, height]),
            how: format!("{} x {}", system.show(stem), system.show(height)),
        }
    };
    ends.into_iter().flatten().map(end).collect()
}

fn top_differences(layout: &Layout) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let mut parts = Vec::new();
    let wrap = layout.stems.last().zip(layout.stems.first());
    let pairs = layout.stems.windows(2).map(|pair| (&pair[0], &pair[1]));
    for (a, b) in pairs.chain(wrap.filter(|_| site.chain.closed())) {
        let (top_a, top_b) = (a.top.at_to, b.top.at_from);
        let difference = (top_a - top_b).abs();
        let (stem_a, stem_b) = (site.walls[a.wall].stem, site.walls[b.wall].stem);
        let corner = site.chain.corner_at(b.wall, false).filter(|_| a.wall != b.wall);
        let (wall, at, _) = local(site, b.wall, b.from, b.from);
        let mut add = |width: Nm, height: Nm, what: &str| {
            parts.push(Part {
                wall: wall.clone(),
                from: at,
                to: at,
                what: what.to_owned(),
                amount: area(&[width, height]),
                how: format!("{} x {}", system.show(width), system.show(height)),
            });
        };
        match corner.map(|(corner, _)| corner) {
            None => add(stem_a, difference, "tops differ in the wall"),
            // The wall that runs through ends across the other, whose earth face it lets go by.
            Some(corner) if corner.turn.is_square() => {
                add(stem_a + stem_b, difference, "tops differ at the corner");
            }
            // Each ends in a plane of its own; what of one stands beyond the other is a face.
            Some(corner) => {
                let strips = [(Nm::ZERO, stem_a), (Nm::ZERO, stem_b)];
                let ends =
                    [corner.end_line(strips[0], strips[1]), corner.end_line(strips[1], strips[0])];
                let taller = usize::from(top_b > top_a);
                add(ends[taller], difference, "tops differ at the corner");
                // At a sharp corner both end at one line.
                if corner.turn.is_bend() {
                    let both = (top_a.min(top_b) - a.tof.max(b.tof)).max(Nm::ZERO);
                    add((ends[0] - ends[1]).abs(), both, "stems differ at the corner");
                }
            }
        }
    }
    parts
}
