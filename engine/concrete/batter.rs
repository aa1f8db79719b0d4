//! Stems whose faces lean: thicker downward from the top, at which the plan's line and thickness hold.

use num_rational::BigRational;
use num_traits::{One, Zero};

use super::corner::corner_part;
use crate::footing::{Layout, Part, StemPiece, local, product};
use crate::measure::{Dimension, Exact, Limits, Nm, decimal_places, nearest_double, ratio};
use crate::problem::Problem;
use crate::survey::Corner;

/// How much a face leans, horizontal per vertical.
pub const BATTER: Limits = Limits::within("batter", 0.0, 10.0, "");

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

    /// The strip of a stem so far under its top.
    fn strip(&self, stem: Nm, deep: &BigRational) -> (BigRational, BigRational) {
        (-(&self.face * deep), exact(stem) + &self.back * deep)
    }
}

/// Whether the foot of every stem stands on its footing.
///
/// # Errors
/// It does not: the batter reaches beyond the toe's edge or the heel's.
pub fn feet_on_footings(layout: &Layout, batter: &Batter) -> Result<(), Problem> {
    let site = &layout.site;
    for piece in &layout.stems {
        let (kind, stem) = (&site.types[piece.kind], site.walls[piece.wall].stem);
        let (low, high) = batter.strip(stem, &exact(piece.height()));
        let (toe, heel) = kind.across();
        if low >= exact(toe) && high <= exact(heel) {
            continue;
        }
        let show = |length: Nm| site.system.show(length);
        return Err(Problem::error(format!(
            "wall {} on type {}: the foot of a stem of {} reaches beyond the footing, which is {} wide with a toe of {}",
            site.chain.walls()[piece.wall].id,
            kind.id,
            show(piece.height()),
            show(kind.width),
            show(kind.toe)
        ))
        .help("look at the batter of both faces, and at width and toe in the schedule"));
    }
    Ok(())
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

/// Corners of battered stems: at every depth under the top each ends as lines of a corner do, to its own height.
pub fn battered_corners(layout: &Layout, batter: &Batter) -> Vec<Part> {
    let site = &layout.site;
    let corner = |corner: &Corner| {
        let before = layout.stems.iter().rev().find(|piece| piece.wall == corner.before)?;
        let after = layout.stems.iter().find(|piece| piece.wall == corner.after)?;
        let more = |own: &StemPiece, other: &StemPiece| {
            let [stem, beside] = [own.wall, other.wall].map(|wall| site.walls[wall].stem);
            let at = |deep: BigRational| {
                corner.beyond(&batter.strip(stem, &deep), &batter.strip(beside, &deep))
            };
            // Of the second degree in the depth: the rule of three sections is exact.
            let height = exact(own.height());
            let sections = at(BigRational::zero())
                + at(&height / ratio(2, 1)) * ratio(4, 1)
                + at(height.clone());
            sections * height / ratio(6, 1)
        };
        let value = more(before, after) + more(after, before);
        let how = format!("turn {:.2} deg, three sections", corner.turn.degrees());
        Some(corner_part(site, corner, value, how))
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
        // How much longer each face is at its top and at its foot, at both ends.
        let deep = exact(height);
        let mut longer = [
            [BigRational::zero(), BigRational::zero()],
            [BigRational::zero(), BigRational::zero()],
        ];
        for (at_end, here) in
            [(false, piece.from == line.station), (true, piece.to == line.station + line.length)]
        {
            let Some((corner, other)) = site.chain.corner_at(piece.wall, at_end).filter(|_| here)
            else {
                continue;
            };
            for (at, deep) in [BigRational::zero(), deep.clone()].iter().enumerate() {
                let own = batter.strip(stem, deep);
                let beside = batter.strip(site.walls[other].stem, deep);
                longer[0][at] += corner.longer_by(&own.0, &beside.0);
                longer[1][at] += corner.longer_by(&own.1, &beside.1);
            }
        }
        let side = |[top, foot]: &[BigRational; 2]| (&length + (top + foot) / ratio(2, 1)) * &deep;
        let (exposed, earth) = (side(&longer[0]), side(&longer[1]));
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
