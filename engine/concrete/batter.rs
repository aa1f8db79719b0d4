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

/// Whether the foot of every stem stands on its footing, and its top is level.
///
/// # Errors
/// It does not: the batter reaches beyond the toe's edge or the heel's. A top slopes.
pub fn feet_on_footings(layout: &Layout, batter: &Batter) -> Result<(), Problem> {
    let site = &layout.site;
    for piece in &layout.stems {
        if !piece.top.is_level() {
            let id = &site.chain.walls()[piece.wall].id;
            let problem = Problem::error(format!(
                "the top of wall {id} slopes, and a stem with battered faces is measured under a level top only"
            ));
            return Err(problem
                .help("give the top in steps, from joint to joint, or the stem without batter"));
        }
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

/// A stem beside another at a corner: what both are at one elevation, told by the depth under the own top.
struct Beside<'a> {
    batter: &'a Batter,
    corner: &'a Corner,
    stem: Nm,
    other: Nm,
    height: BigRational,
    /// How far the other top lies over the own one.
    over: BigRational,
}

impl<'a> Beside<'a> {
    fn of(layout: &Layout, batter: &'a Batter, corner: &'a Corner, pair: [&StemPiece; 2]) -> Self {
        let [own, other] = pair;
        let stem = |piece: &StemPiece| layout.site.walls[piece.wall].stem;
        Self {
            batter,
            corner,
            stem: stem(own),
            other: stem(other),
            height: exact(own.height()),
            over: exact(other.top.high()) - exact(own.top.high()),
        }
    }

    fn own(&self, deep: &BigRational) -> (BigRational, BigRational) {
        self.batter.strip(self.stem, deep)
    }

    /// The other stem at the same elevation; over its top the line of its top goes on.
    fn other(&self, deep: &BigRational) -> (BigRational, BigRational) {
        self.batter.strip(self.other, &(deep + &self.over).max(BigRational::zero()))
    }

    /// Depths between which everything is linear: the top, the other's top where that is lower, the foot.
    fn levels(&self) -> Vec<BigRational> {
        let lower = (-&self.over).max(BigRational::zero()).min(self.height.clone());
        vec![BigRational::zero(), lower, self.height.clone()]
    }

    /// What of the own stem lies beyond its face at the corner.
    fn beyond(&self) -> BigRational {
        let area = |deep: &BigRational| self.corner.beyond(&self.own(deep), &self.other(deep));
        let between = |pair: &[BigRational]| {
            // Of the second degree in the depth: the rule of three sections is exact.
            let middle = (&pair[0] + &pair[1]) / ratio(2, 1);
            let sections = area(&pair[0]) + area(&middle) * ratio(4, 1) + area(&pair[1]);
            sections * (&pair[1] - &pair[0]) / ratio(6, 1)
        };
        self.levels().windows(2).map(between).sum()
    }

    /// What the exposed and the earth face are longer at the corner, by height.
    fn faces(&self) -> [BigRational; 2] {
        let longer = |deep: &BigRational| {
            let (own, other) = (self.own(deep), self.other(deep));
            [self.corner.longer_by(&own.0, &other.0), self.corner.longer_by(&own.1, &other.1)]
        };
        let mut sums = [BigRational::zero(), BigRational::zero()];
        for pair in self.levels().windows(2) {
            let (high, low) = (longer(&pair[0]), longer(&pair[1]));
            for (sum, (a, b)) in sums.iter_mut().zip(high.iter().zip(&low)) {
                *sum += (a + b) * (&pair[1] - &pair[0]) / ratio(2, 1);
            }
        }
        sums
    }
}

/// Corners of battered stems, square ones too: at every elevation each ends at the line between the ends of its faces.
pub fn battered_corners(layout: &Layout, batter: &Batter) -> Vec<Part> {
    let site = &layout.site;
    let corner = |corner: &Corner| {
        let before = layout.stems.iter().rev().find(|piece| piece.wall == corner.before)?;
        let after = layout.stems.iter().find(|piece| piece.wall == corner.after)?;
        let more = |pair| Beside::of(layout, batter, corner, pair).beyond();
        let value = more([before, after]) + more([after, before]);
        let how = format!("turn {:.2} deg, section by section", corner.turn.degrees());
        Some(corner_part(site, corner, value, how))
    };
    site.chain.corners().iter().filter_map(corner).collect()
}

/// Contact area of the forms of battered stems: both faces along their slope, free ends, and where tops differ what the taller
/// one shows over the lower.
pub fn battered_contact(layout: &Layout, batter: &Batter) -> Vec<Part> {
    let site = &layout.site;
    let mut parts = Vec::new();
    let (face, back) = (slant(&batter.face), slant(&batter.back));
    for piece in &layout.stems {
        let height = piece.height();
        let length = exact(piece.to - piece.from);
        let line = &site.chain.walls()[piece.wall];
        let mut longer = [BigRational::zero(), BigRational::zero()];
        for (at_end, here) in
            [(false, piece.from == line.station), (true, piece.to == line.station + line.length)]
        {
            let Some((corner, other)) = site.chain.corner_at(piece.wall, at_end).filter(|_| here)
            else {
                continue;
            };
            let mut beside = layout.stems.iter().filter(|one| one.wall == other);
            let Some(beside) = (if at_end { beside.next() } else { beside.next_back() }) else {
                continue;
            };
            let more = Beside::of(layout, batter, corner, [piece, beside]).faces();
            longer.iter_mut().zip(more).for_each(|(sum, more)| *sum += more);
        }
        let [exposed, earth] = longer.map(|longer| &length * exact(height) + longer);
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
        let (high, low) = if a.top.high() > b.top.high() { (a, b) } else { (b, a) };
        let stem = |piece: &StemPiece| site.walls[piece.wall].stem;
        let over = high.top.high() - low.top.high();
        let corner = site.chain.corner_at(b.wall, false).filter(|_| a.wall != b.wall);
        let (value, what, how) = match corner {
            // Over one footing: the taller section less the lower one.
            None => {
                let foot = a.tof.max(b.tof);
                let upon = |piece: &StemPiece| batter.section(stem(piece), piece.top.high() - foot);
                let how = "difference of the sections".to_owned();
                (upon(high) - upon(low), "tops differ in the wall", how)
            }
            // What the taller one has over the lower top: its end, at the mean of its widths.
            Some((corner, _)) => {
                let middle = exact(over) / ratio(2, 1);
                let more = (&batter.face + &batter.back) * middle;
                let widths = match corner.turn.is_square() {
                    true => exact(stem(a) + stem(b)) + more,
                    false => {
                        let own = (Nm::ZERO, stem(high));
                        exact(corner.end_line(own, (Nm::ZERO, stem(low)))) + more
                    }
                };
                (
                    widths * exact(over),
                    "tops differ at the corner",
                    format!("over {}", site.system.show(over)),
                )
            }
        };
        parts.push(part(layout, b, what, area(value), how));
    }
    parts.retain(|part| !part.amount.value.is_zero());
    parts
}
