//! What a step and the footing are formed with: bulkheads, templates, stakes.

use num_rational::BigRational;

use super::boards::{Board, board_stack};
use super::spec::PourGroup;
use crate::footing::{FootingPiece, Layout, Step, local, product};
use crate::measure::{Angle, Exact, Nm, ratio};

/// Rules and stock of the footing's lumber.
#[derive(Debug, Clone, PartialEq)]
pub struct LumberSpec {
    /// How far a bulkhead reaches into the bank on each side.
    pub bearing: Nm,
    /// Height of one board as it is stacked.
    pub board_course: Nm,
    /// Boards that there are; none where the job does not name them.
    pub boards: Vec<Board>,
    /// Heights of the strips that bring a board to its height.
    pub strips: Vec<Nm>,
    /// How far a bulkhead may be off its net height.
    pub height_tolerance: Nm,
    /// Spacing of stakes along a bulkhead.
    pub stake_spacing: Nm,
    /// Kickers of one bulkhead, from its top.
    pub kickers: i64,
    /// Their angle with the horizontal.
    pub kicker_angle: Angle,
    /// Spacing of the cross pieces of the templates.
    pub cross_spacing: Nm,
    /// How much longer than the footing is wide they are.
    pub cross_extra: Nm,
    /// Stakes of one cross piece.
    pub cross_stakes: i64,
    /// Stakes that there are.
    pub stakes_owned: i64,
    /// Stock lengths of boards and cross pieces; none where they are not cut from any.
    pub stock: Vec<Nm>,
    /// Their prices, in the same order, if they decide.
    pub stock_prices: Option<Vec<BigRational>>,
    /// Kickers that there are, if it is known.
    pub kickers_owned: Option<i64>,
    /// Cross pieces that there are, if it is known.
    pub cross_pieces_owned: Option<i64>,
    /// Walls whose footings stand in forms together.
    pub pours: Vec<PourGroup>,
    /// What a cut takes.
    pub kerf: Nm,
    /// Unit weight of fresh concrete.
    pub unit_weight: Exact,
}

/// The bulkhead of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bulkhead {
    /// Net height: the rise.
    pub height: Nm,
    /// Length: the upper footing and its bearing on both sides.
    pub length: Nm,
    /// Width on which the concrete presses.
    pub width: Nm,
    /// Boards, one over the other.
    pub boards: i64,
    /// Stakes.
    pub stakes: i64,
}

/// What the fresh concrete presses on a bulkhead with, as a fluid of its weight, in base units.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BulkheadThrust {
    /// All of it.
    pub whole: BigRational,
    /// What each half lift adds, the one before it stiff.
    pub half_lift: BigRational,
    /// The part of the thrust that a brace at the top takes.
    pub top_brace: BigRational,
    /// The part that its foot takes.
    pub foot: BigRational,
    /// The thrust by the field rule, foot by foot with the pressure at the foot's bottom.
    pub foot_rule: BigRational,
    /// What a brace at the top takes by the field rule, each foot's thrust at its middle.
    pub top_brace_rule: BigRational,
    /// The largest share of a stake: of the thrust at the foot, or of all of it where no kicker holds the top.
    pub stake: BigRational,
    /// What each kicker holds; nothing where there are none.
    pub kicker: Option<KickerLoad>,
}

/// What the thrust puts on each kicker of a bulkhead, all alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KickerLoad {
    /// Along it.
    pub along: BigRational,
    /// How it lifts the bulkhead.
    pub uplift: BigRational,
}

impl KickerLoad {
    fn of(top: &BigRational, spec: &LumberSpec) -> Option<Self> {
        let each = (spec.kickers > 0).then(|| top / ratio(spec.kickers.into(), 1))?;
        let angle = spec.kicker_angle.radians();
        let of = |factor| BigRational::from_float(factor).map(|factor: BigRational| &each * factor);
        Some(Self { along: of(1.0 / angle.cos())?, uplift: of(angle.tan())? })
    }
}

impl Bulkhead {
    fn of(layout: &Layout, spec: &LumberSpec, step: &Step) -> Self {
        let width = layout.site.types[step.high_type].width;
        let (height, length) = (step.rise(), width + spec.bearing * 2);
        Self {
            height,
            length,
            width,
            boards: board_stack(spec, height)
                .map_or_else(|| up(height, spec.board_course), |stack| stack.count),
            stakes: up(length, spec.stake_spacing) + 1,
        }
    }

    /// What presses on it.
    pub fn thrust(&self, spec: &LumberSpec) -> BulkheadThrust {
        let (height, width) = (self.height, self.width);
        let weight = &spec.unit_weight.value;
        let whole = product(&[height, height, width]) * weight / ratio(2, 1);
        let slices = num_integer::Integer::div_ceil(&height.0, &Nm::FOOT.0);
        let slice = |at: i64| {
            let top = Nm::FOOT * at;
            let bottom = (top + Nm::FOOT).min(height);
            let thrust = product(&[bottom, bottom - top, width]) * weight;
            // Twice the height of its middle above the foot.
            let arm = ratio((height * 2 - top - bottom).wide(), height.wide() * 2);
            (&thrust * arm, thrust)
        };
        let (top_brace_rule, foot_rule) = (0..slices).map(slice).unzip::<_, _, Vec<_>, Vec<_>>();
        let (top_brace, foot) = (&whole / ratio(3, 1), &whole * ratio(2, 3));
        let kicker = KickerLoad::of(&top_brace, spec);
        BulkheadThrust {
            half_lift: &whole / ratio(4, 1),
            foot_rule: foot_rule.into_iter().sum(),
            top_brace_rule: top_brace_rule.into_iter().sum(),
            stake: (if kicker.is_some() { &foot } else { &whole }) * self.stake_share(),
            kicker,
            top_brace,
            foot,
            whole,
        }
    }

    /// The share of a stake between two others: the spacing that it holds of the width pressed on; of two stakes each half.
    fn stake_share(&self) -> BigRational {
        let spaces = (self.stakes - 1).max(1);
        let between = ratio(self.length.wide(), self.width.wide() * i128::from(spaces));
        if self.stakes > 2 { between.min(ratio(1, 1)) } else { ratio(1, self.stakes.max(1).into()) }
    }
}

fn up(length: Nm, spacing: Nm) -> i64 {
    num_integer::Integer::div_ceil(&length.0, &spacing.0)
}

/// The bulkhead of every step.
pub fn bulkheads(layout: &Layout, spec: &LumberSpec) -> Vec<Bulkhead> {
    layout.steps.iter().map(|step| Bulkhead::of(layout, spec, step)).collect()
}

/// The template over a footing piece, which hangs the dowels and shows the top of footing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FootingTemplate {
    /// Name of the wall.
    pub wall: String,
    /// Local stations of the piece.
    pub from: Nm,
    /// Its end.
    pub to: Nm,
    /// Cross pieces.
    pub cross_pieces: i64,
    /// Length of one.
    pub cross_length: Nm,
    /// Stakes.
    pub stakes: i64,
    /// Underside of the cross pieces: the top of footing.
    pub underside: Nm,
}

/// The template of every footing piece.
pub fn templates(layout: &Layout, spec: &LumberSpec) -> Vec<FootingTemplate> {
    let piece = |piece: &FootingPiece| {
        let (wall, from, to) = local(&layout.site, piece.wall, piece.from, piece.to);
        let cross_pieces = up(to - from, spec.cross_spacing) + 1;
        FootingTemplate {
            wall,
            from,
            to,
            cross_pieces,
            cross_length: layout.site.types[piece.kind].width + spec.cross_extra,
            stakes: cross_pieces * spec.cross_stakes,
            underside: piece.tof,
        }
    };
    layout.footings.iter().map(piece).collect()
}
