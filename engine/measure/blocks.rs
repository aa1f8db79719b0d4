//! Folds over many items in blocks.

/// Items that are added up, or compared, in one go: what is over many items is that of its blocks. A change of one item
/// then costs one block, and every way of adding up comes to the same last digit.
pub const BLOCK: usize = 256;

/// What a fold over all items gives: that of each block, and then of what the blocks give. Nothing of no items.
///
/// # Errors
/// Those of the fold.
pub fn in_blocks<T: Copy, E>(
    items: &[T],
    fold: &dyn Fn(T, T) -> Result<T, E>,
) -> Result<Option<T>, E> {
    let blocks = items.chunks(BLOCK).map(|block| in_order(block, fold));
    let blocks = blocks.collect::<Result<Vec<_>, _>>()?;
    in_order(&blocks.into_iter().flatten().collect::<Vec<_>>(), fold)
}

fn in_order<T: Copy, E>(items: &[T], fold: &dyn Fn(T, T) -> Result<T, E>) -> Result<Option<T>, E> {
    match items.split_first() {
        Some((first, rest)) => rest.iter().try_fold(*first, |a, b| fold(a, *b)).map(Some),
        None => Ok(None),
    }
}

#[cfg(test)]
mod tests {
    use super::{BLOCK, in_blocks};

    #[test]
    fn up_to_a_block_in_order_then_by_blocks() {
        let sum = |items: &[f64]| in_blocks(items, &|a, b| Ok::<_, ()>(a + b)).ok().flatten();
        assert_eq!(sum(&[]), None);
        let items: Vec<f64> = (0..1300).map(|n| 1.0 / f64::from(n + 1)).collect();
        let plain = |items: &[f64]| items.iter().skip(1).fold(items[0], |a, b| a + b);
        assert_eq!(sum(&items[..BLOCK]), Some(plain(&items[..BLOCK])));
        let blocks: Vec<f64> = items.chunks(BLOCK).map(plain).collect();
        assert_eq!(sum(&items), Some(plain(&blocks)));
    }
}
