//! Which blocks of a page share a sheet. A spreadsheet repeats one stretch of rows on every printed page of a sheet, so a sheet
//! either fits on one printed page or holds one table, whose headings are repeated.

use super::laid::Laid;
use super::look::{LINE, SIDE, TOP, WorkbookPaper};

/// What a block is to the blocks around it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BlockKind {
    /// Texts and single facts: they stand over the table that follows.
    Words,
    /// A table with headings, or a chart.
    Table,
    /// A table without headings: it goes on under the headings of the one above.
    Bare,
}

/// A block as it was laid on trial.
#[derive(Debug, Clone, Copy)]
pub(super) struct BlockHeight {
    /// Its place on the page.
    pub(super) block: usize,
    pub(super) kind: BlockKind,
    /// What it takes, in points before scaling.
    pub(super) height: f64,
}

/// The blocks of one sheet.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct SheetShare {
    pub(super) blocks: Vec<usize>,
    /// Whether it is one table with what stands over it.
    pub(super) one_table: bool,
    /// Whether it comes on one printed page.
    pub(super) fits: bool,
}

/// Words over a table are repeated with its headings up to this share of a page.
const MOST_REPEATED: f64 = 1.0 / 3.0;

/// Shares blocks out to sheets: in their order, as many on a sheet as one printed page of `room` points takes.
pub(super) fn shares(stretches: &[BlockHeight], room: f64) -> Vec<SheetShare> {
    let mut sheets: Vec<(SheetShare, f64)> = Vec::new();
    for (blocks, height) in groups(stretches, room) {
        let fits = height <= room;
        match sheets.last_mut() {
            Some((sheet, used)) if sheet.fits && *used + height <= room => {
                sheet.blocks.extend(blocks);
                sheet.one_table = false;
                *used += height;
            }
            _ => sheets.push((SheetShare { blocks, one_table: true, fits }, height)),
        }
    }
    sheets.into_iter().map(|(sheet, _)| sheet).collect()
}

/// Tables, each with the words over it and what goes on under its headings, and the height of both.
fn groups(stretches: &[BlockHeight], room: f64) -> Vec<(Vec<usize>, f64)> {
    let mut groups: Vec<(Vec<usize>, f64)> = Vec::new();
    let mut open = false;
    for stretch in stretches {
        let joins = match stretch.kind {
            BlockKind::Words => open,
            BlockKind::Bare => !groups.is_empty(),
            BlockKind::Table => {
                open && groups.last().is_some_and(|(_, height)| *height <= room * MOST_REPEATED)
            }
        };
        match groups.last_mut().filter(|_| joins) {
            Some((blocks, height)) => {
                blocks.push(stretch.block);
                *height += stretch.height;
            }
            None => groups.push((vec![stretch.block], stretch.height)),
        }
        open = stretch.kind == BlockKind::Words;
    }
    groups
}

/// Inches between the margins of a page.
fn printed(paper: WorkbookPaper, landscape: bool) -> (f64, f64) {
    let (short, long) = paper.inches();
    let (width, height) = if landscape { (long, short) } else { (short, long) };
    (width - 2.0 * SIDE, height - 2.0 * TOP)
}

/// The points of rows that one printed page of a sheet takes, at the scale that its columns ask for.
pub(super) fn room(laid: &Laid, paper: WorkbookPaper) -> f64 {
    let (width, height) = printed(paper, laid.landscape);
    // A column is as wide as its letters, of seven dots each, and five dots; 96 dots are an inch.
    let dots = (0..=laid.last_column).map(|column| 7.0 * laid.width(column) + 5.0);
    let wanted = dots.sum::<f64>() / 96.0;
    height * 72.0 * (wanted / width).max(1.0)
}

/// The height of some rows, in points.
pub(super) fn height(laid: &Laid, rows: std::ops::Range<u32>) -> f64 {
    rows.map(|row| laid.heights.get(&row).copied().unwrap_or(LINE)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn stretch(block: usize, kind: BlockKind, height: f64) -> BlockHeight {
        BlockHeight { block, kind, height }
    }

    #[test]
    fn a_long_table_stands_alone_with_the_words_over_it() {
        use BlockKind::{Bare, Table, Words};
        let blocks = [
            stretch(0, Words, 45.0),
            stretch(1, Table, 900.0),
            stretch(2, Bare, 60.0),
            stretch(3, Table, 200.0),
            stretch(4, Table, 200.0),
            stretch(5, Table, 200.0),
        ];
        let shares = shares(&blocks, 500.0);
        let of: Vec<&[usize]> = shares.iter().map(|share| share.blocks.as_slice()).collect();
        assert_eq!(of, [&[0, 1, 2][..], &[3, 4], &[5]]);
        let fits: Vec<bool> = shares.iter().map(|share| share.fits).collect();
        assert_eq!(fits, [false, true, true]);
        let alone: Vec<bool> = shares.iter().map(|share| share.one_table).collect();
        assert_eq!(alone, [true, false, true]);
    }

    proptest! {
        /// Every block stands once, in order; more than one table only where all of it comes on one printed page.
        #[test]
        fn headings_are_never_lost(
            blocks in proptest::collection::vec((0_u8..3, 1.0..700.0_f64), 0..20),
        ) {
            let kinds = [BlockKind::Words, BlockKind::Table, BlockKind::Bare];
            let blocks: Vec<BlockHeight> = blocks
                .iter()
                .enumerate()
                .map(|(at, (kind, height))| stretch(at, kinds[usize::from(*kind)], *height))
                .collect();
            let shares = shares(&blocks, 500.0);
            let all: Vec<usize> = shares.iter().flat_map(|share| share.blocks.clone()).collect();
            prop_assert_eq!(all, (0..blocks.len()).collect::<Vec<_>>());
            for share in &shares {
                let height: f64 = share.blocks.iter().map(|at| blocks[*at].height).sum();
                let is_table = |at: &&usize| blocks[**at].kind == BlockKind::Table;
                let tables = share.blocks.iter().filter(is_table).count();
                prop_assert!(height <= 500.0 + 1e-9 || tables <= 1);
                prop_assert_eq!(share.fits, height <= 500.0);
            }
        }
    }
}
