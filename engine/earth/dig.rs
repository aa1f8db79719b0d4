//! Digging volumes.

use num_rational::BigRational;
use num_traits::Zero;

use super::solid::{Dig, Floor, LaybackFrom};
use crate::footing::{Layout, Part, StemPiece, local, product};
use crate::measure::{Dimension, Exact, Limits, Nm, Ratio, Volume, choice, ratio};
use crate::problem::Problem;
use crate::survey::Corner;

/// The dug section over the bottom profile: footing width and work space straight down to the bottom, and the
/// layback (horizontal per vertical) on the earth side. Bank volume, no corner correction.
pub fn dig_section(layout: &Layout, layback: &BigRational, from: LaybackFrom) -> Vec<Part> {
    let site = &layout.site;
    let system = site.system;
    let dig = Dig::of(layout, layback, from);
    let part = |floor: &Floor| {
        let width = floor.width + dig.work_space.both();
        Part {
            wall: site.chain.walls()[floor.wall].id.clone(),
            from: floor.from,
            to: floor.to,
            what: format!("dig to {}", system.show(floor.bof)),
            amount: Exact { value: dig.section(floor), dimension: Dimension::VOLUME },
            how: format!(
                "{} wide to {}, laid back from {}, over {}",
                system.show(width),
                system.show(floor.bof),
                system.show(dig.foot(floor)),
                system.show(floor.to - floor.from)
            ),
        }
    };
    dig.floors.iter().map(part).collect()
}

choice! {
    /// What is counted as the dig.
    pub enum DigShape, "dig" {
        /// Floors and laid-back banks as one solid, where all corners are square.
        Solid = "solid",
        /// Sections along the exposed face, each wall's ending at the corner as its lines do.
        Mitred = "mitred",
        /// The section along the exposed face alone.
        Section = "section",
    }
}

impl DigShape {
    /// What it is, for people.
    pub fn words(self) -> &'static str {
        match self {
            Self::Solid => "solid",
            Self::Mitred => "sections mitred at the corners",
            Self::Section => "section along the exposed face",
        }
    }
}

/// A floor with its bank, at heights over its bottom.
struct Section<'a> {
    floor: &'a Floor,
    foot: BigRational,
    low: BigRational,
    high: BigRational,
    layback: &'a BigRational,
}

impl<'a> Section<'a> {
    fn of(dig: &'a Dig, floor: &'a Floor) -> Self {
        let exact = |length: Nm| product(&[length]);
        Self {
            floor,
            foot: exact(dig.foot(floor)),
            low: exact(Nm::ZERO - floor.toe - dig.work_space.toe),
            high: exact(floor.width - floor.toe + dig.work_space.heel),
            layback: &dig.layback,
        }
    }

    /// From where to where it is dug at an elevation.
    fn strip(&self, at: &BigRational) -> (BigRational, BigRational) {
        let over = (at - &self.foot).max(BigRational::zero());
        (self.low.clone(), &self.high + self.layback * over)
    }

    /// What a corner adds to it up to the ground: beside its own length it ends as lines of a corner do.
    fn beyond(&self, corner: &Corner, beside: &Self, ground: &BigRational) -> BigRational {
        let bottom = product(&[self.floor.bof]);
        let mut at = vec![bottom, self.foot.clone(), beside.foot.clone(), ground.clone()];
        at.retain(|level| *level <= *ground);
        at.sort();
        let area = |level: &BigRational| corner.beyond(&self.strip(level), &beside.strip(level));
        let between = |pair: &[BigRational]| {
            // Of the second degree between two levels: the rule of three sections is exact.
            let middle = (&pair[0] + &pair[1]) / ratio(2, 1);
            (area(&pair[0]) + area(&middle) * ratio(4, 1) + area(&pair[1])) * (&pair[1] - &pair[0])
                / ratio(6, 1)
        };
        let own = at.iter().position(|level| *level == product(&[self.floor.bof]));
        own.map_or_else(BigRational::zero, |own| at[own..].windows(2).map(between).sum())
    }
}

/// What corners add to the section or take from it where each wall's section ends as its lines do at the corner, the ground
/// being level across it.
///
/// # Errors
/// The banks of a wall's two corners meet over it: what is taken off at both would be more than is there.
pub fn mitred_corners(
    layout: &Layout,
    layback: &BigRational,
    from: LaybackFrom,
) -> Result<Vec<Part>, Problem> {
    let site = &layout.site;
    let dig = Dig::of(layout, layback, from);
    let ground = |station: Nm| dig.existing.height(station).above(Nm::ZERO).real::<BigRational>();
    let sections = |corner: &Corner| {
        let before = dig.floors.iter().rev().find(|floor| floor.wall == corner.before)?;
        let after = dig.floors.iter().find(|floor| floor.wall == corner.after)?;
        Some([Section::of(&dig, before), Section::of(&dig, after)])
    };
    // What is left of each wall's two edges.
    let mut left: Vec<[BigRational; 2]> =
        site.chain.walls().iter().map(|wall| [(); 2].map(|()| product(&[wall.length]))).collect();
    let mut parts = Vec::new();
    for corner in site.chain.corners() {
        let Some([before, after]) = sections(corner) else { continue };
        let top = ground(corner.station);
        for (own, beside, wall) in
            [(&before, &after, corner.before), (&after, &before, corner.after)]
        {
            let (own, beside) = (own.strip(&top), beside.strip(&top));
            left[wall][0] += corner.longer_by(&own.0, &beside.0);
            left[wall][1] += corner.longer_by(&own.1, &beside.1);
        }
        let value = before.beyond(corner, &after, &top) + after.beyond(corner, &before, &top);
        let ids = [corner.before, corner.after].map(|wall| site.chain.walls()[wall].id.clone());
        let at = site.chain.walls()[corner.before].length;
        if !value.is_zero() {
            parts.push(Part {
                wall: ids.join("/"),
                from: at,
                to: at,
                what: format!("{} corner", corner.kind.name()),
                amount: Exact { value, dimension: Dimension::VOLUME },
                how: format!("sections end at the corner, turn {:.2} deg", corner.turn.degrees()),
            });
        }
    }
    let short = left.iter().position(|left| left.iter().any(|edge| *edge < BigRational::zero()));
    let Some(short) = short else { return Ok(parts) };
    let wall = &site.chain.walls()[short];
    Err(Problem::error(format!(
        "wall {} is {} long, and the banks of the corners at its ends meet over it: mitred sections would count less than is dug",
        wall.id,
        site.system.show(wall.length)
    ))
    .help("of a curve make the chords longer, with chords = N all alike; else set allowances.dig = \"section\", which counts the inside of corners twice, and take off what it counts too much by hand"))
}

/// Drain rock behind the stem: width x (stem height less `height_less`) x length of the exposed face.
pub fn drain_rock(layout: &Layout, width: Nm, height_less: Nm) -> Vec<Part> {
    let system = layout.site.system;
    let piece = |piece: &StemPiece| {
        let top = piece.top.lowered(height_less);
        let height = top.words(piece.tof, system);
        let length = piece.to - piece.from;
        let (wall, from, to) = local(&layout.site, piece.wall, piece.from, piece.to);
        Part {
            wall,
            from,
            to,
            what: "drain rock".into(),
            amount: Exact {
                value: product(&[width, length]) * top.mean(piece.tof),
                dimension: Dimension::VOLUME,
            },
            how: format!("{} x {} x {}", system.show(width), height, system.show(length)),
        }
    };
    layout.stems.iter().map(piece).filter(|part| !part.amount.value.is_zero()).collect()
}

/// Layback, horizontal per vertical.
pub const LAYBACK: Limits = Limits::within("layback", 0.0, 10.0, "");
/// Width of drain rock.
pub const DRAIN_WIDTH: Limits = Limits::within("width", 0.0, 100.0, "ft");
/// How much lower than the stem drain rock ends.
pub const HEIGHT_LESS: Limits = Limits::within("height_less", 0.0, 100.0, "ft");
/// A volume in the ground.
pub const BANK: Limits = Limits::at_least("bank", 0.0, "cy");
/// Swell as a share.
pub const SWELL: Limits = Limits::within("swell", 0.0, 1.0, "");

/// Loose volume of a bank volume.
///
/// Source `practice`: common practice of the trade, no source.
///
/// # Errors
/// An input is out of its range.
pub fn swell(bank: Volume, swell: Ratio) -> Result<Volume, Problem> {
    BANK.check(bank)?;
    SWELL.check(swell)?;
    Ok(Volume::from_base(bank.base() * (1.0 + swell.number())))
}
