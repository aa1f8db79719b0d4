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
        /// Sections along the exposed face, each wall's ending at the plane that halves the corner.
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

/// What corners add to the section or take from it where each wall's section ends at the plane through the corner of the
/// exposed face that halves the angle, the ground being level across it: first moment of the section at the corner about the
/// exposed face, by the tangent of half the turn.
pub fn mitred_corners(layout: &Layout, layback: &BigRational, from: LaybackFrom) -> Vec<Part> {
    let site = &layout.site;
    let dig = Dig::of(layout, layback, from);
    let square = |length: Nm| product(&[length, length]);
    let (half, third) = (ratio(1, 2), ratio(1, 3));
    let moment = |floor: &Floor, station: Nm| {
        let ground = dig.existing.height(station);
        let above = |level: Nm| ground.above(level).real::<BigRational>().max(BigRational::zero());
        let (low, high) = (
            Nm::ZERO - floor.toe - dig.work_space.toe,
            floor.width - floor.toe + dig.work_space.heel,
        );
        let straight = above(floor.bof) * (square(high) - square(low)) * &half;
        let bank = above(dig.foot(floor));
        let back = product(&[high]) + layback * &bank * &third;
        straight + &half * layback * &bank * &bank * back
    };
    let corner = |corner: &Corner| {
        let before = dig.floors.iter().rev().find(|floor| floor.wall == corner.before)?;
        let after = dig.floors.iter().find(|floor| floor.wall == corner.after)?;
        let both = moment(before, corner.station) + moment(after, corner.station);
        let more = both * corner.turn.half_tangent();
        let ids = [corner.before, corner.after].map(|wall| site.chain.walls()[wall].id.clone());
        let at = site.chain.walls()[corner.before].length;
        Some(Part {
            wall: ids.join("/"),
            from: at,
            to: at,
            what: format!("{} corner", corner.kind.name()),
            amount: Exact {
                value: if corner.is_convex() { -more } else { more },
                dimension: Dimension::VOLUME,
            },
            how: format!(
                "sections end at the plane that halves the turn of {:.2} deg",
                corner.turn.degrees()
            ),
        })
    };
    let parts = site.chain.corners().iter().filter_map(corner);
    parts.filter(|part| !part.amount.value.is_zero()).collect()
}

/// Drain rock behind the stem: width x (stem height less `height_less`) x length of the exposed face.
pub fn drain_rock(layout: &Layout, width: Nm, height_less: Nm) -> Vec<Part> {
    let system = layout.site.system;
    let piece = |piece: &StemPiece| {
        let height = (piece.height() - height_less).max(Nm::ZERO);
        let length = piece.to - piece.from;
        let (wall, from, to) = local(&layout.site, piece.wall, piece.from, piece.to);
        Part {
            wall,
            from,
            to,
            what: "drain rock".into(),
            amount: Exact {
                value: product(&[width, height, length]),
                dimension: Dimension::VOLUME,
            },
            how: format!(
                "{} x {} x {}",
                system.show(width),
                system.show(height),
                system.show(length)
            ),
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
