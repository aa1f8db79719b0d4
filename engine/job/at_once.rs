//! Work on several things at once.

use std::sync::atomic::{AtomicUsize, Ordering};

/// What each item gives, in order; as many are worked at once as the machine has processors.
pub(super) fn each_at_once<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let most =
        std::thread::available_parallelism().map_or(1, std::num::NonZero::get).min(items.len());
    let next = AtomicUsize::new(0);
    let worker = || {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return done };
            done.push((at, work(item)));
        }
    };
    let mut all: Vec<(usize, R)> = std::thread::scope(|scope| {
        let others: Vec<_> = (1..most).map(|_| scope.spawn(worker)).collect();
        let mut all = worker();
        for other in others {
            match other.join() {
                Ok(done) => all.extend(done),
                Err(fault) => std::panic::resume_unwind(fault),
            }
        }
        all
    });
    all.sort_by_key(|(at, _)| *at);
    all.into_iter().map(|(_, result)| result).collect()
}
