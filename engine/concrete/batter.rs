//! Stems whose faces lean: thicker downward from the top, at which the plan's line and thickness hold.

use num_rational::BigRational;
use num_traits::{One, Zero};

use crate::footing::{Layout, Part, StemPiece, local, product};
use crate::measure::{Dimension, Exact, Limits, Nm, decimal_places, nearest_double, ratio};
use crate::survey::Corner;

/// How much a face leans, horizontal per vertical.
pub const BATTER: Limits = Limits::within("batter", 0.0, 2.0, "");

/// How the faces of a stem lean, each away from the stem on the way down, horizontal per vertical.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Batter {
    /// The exposed face.
    pub face: BigRational,
    /// The earth face.
    pub back: BigRational,
}

/// A length as a ratio.
fn exact(length: Nm) -> BigRational {
    product(&[length])
}

impl Batter {
    /// Area of the section of a stem.
    fn section(&self, stem: Nm, height: Nm) -> BigRational {
        let wedge = (&self.face + &self.back) * product(&[height, height]) / ratio(2, 1);
        product(&[stem, height]) + wedge
    }

    /// First moment of that section about the plan's line, positive towards the earth.
    fn moment(&self, stem: Nm, height: Nm) -> BigRational {
        let cube = product(&[height, height, height]) / ratio(3, 1);
        let leans = (&self.back * &self.back - &self.face * &self.face) * cube;
        let middle = product(&[stem, height, height]) * &self.back;
        (product(&[stem, stem, height]) + middle + leans) / ratio(2, 1)
    }
}

/// Length along a slope for each unit of height.
fn slant(batter: &BigRational) -> BigRational {
    let square = BigRational::one() + batter * batter;
    BigRational::from_float(nearest_double(&square).sqrt()).unwrap_or_else(BigRational::one)
}

fn part(layout: &Layout, piece: &StemPiece, what: &str, amount: Exact, how: String) -> Part {
    let (wall, from, to) = local(&layout.site, piece.wall, piece.from, piece.to);
    Part { wall, from, to, what: what.to_owned(), amount, how }
}

fn volume(value: BigRational) -> Exact {
    Exact { value, dimension: Dimension::VOLUME }
}

fn area(value: BigRational) -> Exact {
    Exact { value, dimension: Dimension::AREA }
}

/// What a stem has beyond its thickness at the top: wedges on both faces, by the square of the height.
pub fn stem_batter(layout: &Layout, batter: &Batter) -> Vec<Part> {
    let system = layout.site.system;
    let wedge = |piece: &StemPiece| {
        let (height, length) = (piece.height(), piece.to - piece.from);
        let both = &batter.face + &batter.back;
        let value = &both * product(&[height, height, length]) / ratio(2, 1);
        let how = format!(
            "1/2 x {} x {} x {} x {}",
            decimal_places(&both, 4),
            system.show(height),
            system.show(height),
            system.show(length)
        );
        part(layout, piece, "batter", volume(value), how)
    };
    let parts = layout.stems.iter().map(wedge);
    parts.filter(|part| !part.amount.value.is_zero()).collect()
}

/// Corners of battered stems, each section ending at the plane that halves the turn: first moment of the sections about the
/// plan's line by the tangent of half the turn.
pub fn battered_corners(layout: &Layout, batter: &Batter) -> Vec<Part> {
    let site = &layout.site;
    let corner = |corner: &Corner| {
        let before = layout.stems.iter().rev().find(|piece| piece.wall == corner.before)?;
        let after = layout.stems.iter().find(|piece| piece.wall == corner.after)?;
        let moment = |piece: &StemPiece| batter.moment(site.walls[piece.wall].stem, piece.height());
        let more = (moment(before) + moment(after)) * corner.turn.half_tangent();
        let ids = [corner.before, corner.after].map(|wall| site.chain.walls()[wall].id.clone());
        let at = site.chain.walls()[corner.before].length;
        Some(Part {
            wall: ids.join("/"),
            from: at,
            to: at,
            what: format!("{} corner", corner.kind.name()),
            amount: volume(if corner.is_convex() { -more } else { more }),
            how: format!(
                "sections end at the plane that halves the turn of {:.2} deg",
                corner.turn.degrees()
            ),
        })
    };
    site.chain.corners().iter().filter_map(corner).collect()
}

/// Contact area of the forms of battered stems: both faces along their slope, free ends, and where tops differ the difference
/// of the sections.
pub fn battered_contact(layout: &Layout, batter: &Batter) -> Vec<Part> {
    let site = &layout.site;
    let mut parts = Vec::new();
    let (face, back) = (slant(&batter.face), slant(&batter.back));
    for piece in &layout.stems {
        let (height, stem) = (piece.height(), site.walls[piece.wall].stem);
        let length = exact(piece.to - piece.from);
        let line = &site.chain.walls()[piece.wall];
        // How many half tangents longer a line at the offset of one is, at both ends.
        let mut longer = BigRational::zero();
        for (at_end, here) in
            [(false, piece.from == line.station), (true, piece.to == line.station + line.length)]
        {
            if let Some((corner, _)) = site.chain.corner_at(piece.wall, at_end).filter(|_| here) {
                let tangent = corner.turn.half_tangent();
                longer += if corner.is_convex() { -tangent } else { tangent };
            }
        }
        let upright = exact(height);
        let half_square = product(&[height, height]) / ratio(2, 1);
        let exposed = &length * &upright - &longer * &batter.face * &half_square;
        let reach = exact(stem) * &upright + &batter.back * &half_square;
        let earth = &length * &upright + &longer * reach;
        let system = site.system;
        for (what, slant, value) in [("exposed face", &face, exposed), ("earth face", &back, earth)]
        {
            let how = format!(
                "{} along the slope x {}",
                system.show(height),
                system.show(piece.to - piece.from)
            );
            parts.push(part(layout, piece, what, area(value * slant), how));
        }
    }
    let section = |piece: &StemPiece| batter.section(site.walls[piece.wall].stem, piece.height());
    if !site.chain.closed() {
        for piece in layout.stems.first().into_iter().chain(layout.stems.last()) {
            let how = "section of the stem".to_owned();
            parts.push(part(layout, piece, "free end", area(section(piece)), how));
        }
    }
    let wrap = layout.stems.last().zip(layout.stems.first()).filter(|_| site.chain.closed());
    let pairs = layout.stems.windows(2).map(|pair| (&pair[0], &pair[1]));
    for (a, b) in pairs.chain(wrap).filter(|(a, b)| a.top != b.top) {
        // Over one footing: the taller section less the lower one.
        let foot = a.tof.max(b.tof);
        let over = |piece: &StemPiece| StemPiece { tof: foot, ..*piece };
        let difference = section(&over(a)) - section(&over(b));
        let size = if difference < BigRational::zero() { -difference } else { difference };
        let how = "difference of the sections".to_owned();
        parts.push(part(layout, b, "tops differ", area(size), how));
    }
    parts.retain(|part| !part.amount.value.is_zero());
    parts
}
