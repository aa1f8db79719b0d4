//! The time that scripts may take over a whole command, however many hosts run them and however often they are asked.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use crate::files::{MEMORY, memory_held};

/// Time for one question, where the command line does not say otherwise.
pub const USUAL: Duration = Duration::from_secs(30);
/// Time that each further question adds: a variant, a point of a search.
const EACH: Duration = Duration::from_secs(1);

/// Time of scripts; copies share it.
#[derive(Debug, Clone)]
pub struct Budget(Arc<Mutex<Spent>>);

#[derive(Debug)]
struct Spent {
    allowed: Duration,
    spent: Duration,
    /// Memory that the process held when the outermost of them began.
    held: Option<u64>,
    /// When the outermost of the scripts that run now began, and how many they are.
    since: Option<Instant>,
    running: usize,
}

impl Default for Budget {
    fn default() -> Self {
        Self::of(USUAL)
    }
}

impl Budget {
    /// So much time for all scripts together.
    pub fn of(allowed: Duration) -> Self {
        let spent = Spent { allowed, spent: Duration::ZERO, held: None, since: None, running: 0 };
        Self(Arc::new(Mutex::new(spent)))
    }

    /// A further question is asked.
    pub fn another_question(&self) {
        self.with(|time| time.allowed += EACH);
    }

    /// All time is there again: a new line at the prompt.
    pub(super) fn renew(&self) {
        self.with(|time| time.spent = Duration::ZERO);
    }

    /// Runs a script on this time.
    pub(super) fn spend<T>(&self, run: impl FnOnce() -> T) -> T {
        self.with(|time| {
            time.running += 1;
            if time.since.is_none() {
                time.since = Some(Instant::now());
                time.held = memory_held();
            }
        });
        let result = run();
        self.with(|time| {
            time.running -= 1;
            if time.running == 0 {
                time.spent += time.since.take().map_or(Duration::ZERO, |since| since.elapsed());
            }
        });
        result
    }

    /// Whether it is used up.
    pub(super) fn over(&self) -> bool {
        self.with(|time| {
            let now = time.since.map_or(Duration::ZERO, |since| since.elapsed());
            time.spent + now > time.allowed
        })
    }

    /// Whether the scripts that run now hold more memory than they may.
    pub(super) fn full(&self) -> bool {
        let before = self.with(|time| time.held);
        let more = before.zip(memory_held()).map(|(before, now)| now.saturating_sub(before));
        more.is_some_and(|more| more > MEMORY)
    }

    fn with<T>(&self, run: impl FnOnce(&mut Spent) -> T) -> T {
        run(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}
