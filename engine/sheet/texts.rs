//! Texts as numbers: each has one, so that cells of text are compared and looked up like those of numbers.

use std::sync::Arc;

use indexmap::IndexMap;

/// Texts by their numbers.
#[derive(Debug, Clone, Default)]
pub(super) struct TextNumbers {
    numbers: IndexMap<Arc<str>, u32>,
    all: Vec<Arc<str>>,
}

impl TextNumbers {
    /// The number of a text.
    pub(super) fn number(&mut self, text: &str) -> f64 {
        if let Some(known) = self.numbers.get(text) {
            return f64::from(*known);
        }
        let text: Arc<str> = text.into();
        let Ok(next) = u32::try_from(self.all.len()) else { return f64::NAN };
        self.all.push(text.clone());
        self.numbers.insert(text, next);
        f64::from(next)
    }

    /// The text of a number.
    pub(super) fn text(&self, number: f64) -> Option<&str> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "it is a place that was given out"
        )]
        let at = number as usize;
        self.all.get(at).filter(|_| number >= 0.0).map(AsRef::as_ref)
    }
}
