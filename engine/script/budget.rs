//! The time that scripts may take over a whole command, however many hosts run them and however often they are asked.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

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
        let spent = Spent { allowed, spent: Duration::ZERO, since: None, running: 0 };
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
            time.since.get_or_insert_with(Instant::now);
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

    fn with<T>(&self, run: impl FnOnce(&mut Spent) -> T) -> T {
        run(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}
