//! Boards that the footing is formed with: what makes a bulkhead's net height, and lumber as it is sold.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use num_rational::BigRational;

use super::bulkheads::{Bulkhead, FootingTemplate, LumberSpec, bulkheads, templates};
use crate::footing::{Layout, product};
use crate::measure::Nm;

crate::measure::choice! {
    /// What a board is used for.
    pub enum BoardUse, "use of a board" {
        /// The bulkheads at the steps.
        Bulkheads = "bulkheads",
        /// Cross pieces of the templates.
        CrossPieces = "cross pieces",
        /// Long pieces of the templates.
        LongPieces = "long pieces",
    }
}

/// A board that there is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Board {
    /// What the yard calls it.
    pub name: String,
    /// Thickness as measured.
    pub thickness: Nm,
    /// Width as measured.
    pub width: Nm,
    /// Thickness that it is sold by.
    pub sold_thickness: Nm,
    /// Width that it is sold by.
    pub sold_width: Nm,
    /// What it is used for.
    pub uses: Vec<BoardUse>,
}

/// Boards, each with its strip, one over the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardStack {
    /// Index of the board.
    pub board: usize,
    /// How many boards.
    pub count: i64,
    /// The strip on each board, if it takes one.
    pub strip: Option<Nm>,
    /// Height of all of them less the net height.
    pub off: Nm,
}

/// Boards and a strip on each that come nearest to a net height; of those equally near the fewest boards, then without a strip,
/// then the first of the job. None where the job names no boards for bulkheads.
pub fn board_stack(spec: &LumberSpec, height: Nm) -> Option<BoardStack> {
    let strips = || std::iter::once(None).chain(spec.strips.iter().copied().map(Some));
    let boards = spec.boards_for(BoardUse::Bulkheads);
    let stacks = boards.flat_map(|(at, board)| {
        strips().flat_map(move |strip| {
            let course = board.width + strip.unwrap_or(Nm::ZERO);
            let under = (height.0 / course.0).max(1);
            [under, under + 1].map(|count| BoardStack {
                board: at,
                count,
                strip,
                off: course * count - height,
            })
        })
    });
    stacks.min_by_key(|stack| (stack.off.0.abs(), stack.count, stack.strip.is_some()))
}

impl LumberSpec {
    /// The boards of a use.
    pub fn boards_for(&self, wanted: BoardUse) -> impl Iterator<Item = (usize, &Board)> {
        self.boards.iter().enumerate().filter(move |(_, board)| board.uses.contains(&wanted))
    }

    /// The board of a use that has only one.
    pub fn board_for(&self, wanted: BoardUse) -> Option<usize> {
        self.boards_for(wanted).next().map(|(at, _)| at)
    }

    /// Volume of a length of a board by the section that it is sold by.
    pub fn sold(&self, board: usize, length: Nm) -> BigRational {
        let board = &self.boards[board];
        product(&[board.sold_thickness, board.sold_width, length])
    }
}

/// Lumber of one use and board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UsedLumber {
    /// What it is used for.
    pub used: BoardUse,
    /// Index of the board; none where the job does not say which.
    pub board: Option<usize>,
    /// Pieces, the longest first, with how many of each.
    pub pieces: Vec<(Nm, i64)>,
}

impl UsedLumber {
    /// Length of all pieces.
    pub fn length(&self) -> Nm {
        self.pieces.iter().map(|(length, count)| *length * *count).fold(Nm::ZERO, |a, b| a + b)
    }
}

/// The lumber of the footing by use and board. The long pieces run the length of each footing piece.
pub fn used_lumber(layout: &Layout, spec: &LumberSpec) -> Vec<UsedLumber> {
    let templates = templates(layout, spec);
    let of = |used: BoardUse, pieces: Vec<(Option<usize>, Nm, i64)>| {
        let mut boards: BTreeMap<Option<usize>, BTreeMap<Reverse<Nm>, i64>> = BTreeMap::new();
        for (board, length, count) in pieces {
            *boards.entry(board).or_default().entry(Reverse(length)).or_default() += count;
        }
        boards.into_iter().map(move |(board, lengths)| UsedLumber {
            used,
            board,
            pieces: lengths.into_iter().map(|(length, count)| (length.0, count)).collect(),
        })
    };
    let bulkhead = |one: &Bulkhead| {
        (board_stack(spec, one.height).map(|stack| stack.board), one.length, one.boards)
    };
    let cross = |one: &FootingTemplate| {
        (spec.board_for(BoardUse::CrossPieces), one.cross_length, one.cross_pieces)
    };
    let long = |one: &FootingTemplate| (spec.board_for(BoardUse::LongPieces), one.to - one.from, 1);
    of(BoardUse::Bulkheads, bulkheads(layout, spec).iter().map(bulkhead).collect())
        .chain(of(BoardUse::CrossPieces, templates.iter().map(cross).collect()))
        .chain(of(BoardUse::LongPieces, templates.iter().map(long).collect()))
        .collect()
}
