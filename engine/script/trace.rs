//! A trace: each call of a trade function with its place, inputs and result.

use std::sync::{Mutex, PoisonError};

use rhai::{Dynamic, NativeCallContext};

use super::display::display;
use crate::measure::Style;

/// Most calls that are listed.
const MOST: usize = 10_000;

/// What is listed, while it is asked for.
#[derive(Debug, Default)]
pub(super) struct Trace(Mutex<Option<Vec<String>>>);

impl Trace {
    /// Begins to list calls.
    pub(super) fn begin(&self) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some(Vec::new());
    }

    /// What was listed; nothing is listed any more.
    pub(super) fn end(&self) -> Vec<String> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).take().unwrap_or_default()
    }

    /// The call with its inputs in words, where calls are listed.
    pub(super) fn call(
        &self,
        ctx: &NativeCallContext,
        name: &str,
        inputs: &[&mut Dynamic],
        style: &Style,
    ) -> Option<String> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).as_ref()?;
        let position = ctx.call_position();
        let line = position.line().map_or_else(String::new, |line| {
            format!(":{line}:{}", position.position().unwrap_or(1))
        });
        let inputs: Vec<String> = inputs.iter().map(|input| display(input, style)).collect();
        let place = ctx.call_source().unwrap_or("");
        Some(format!("{place}{line}  {name}({})", inputs.join(", ")))
    }

    /// Lists a call with its result.
    pub(super) fn note(&self, call: String, result: &str) {
        let mut listed = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(lines) = listed.as_mut() else { return };
        match lines.len() {
            MOST => lines.push(format!("further calls are not listed: {MOST} at most")),
            count if count < MOST => lines.push(format!("{call} = {}", result.replace('\n', ", "))),
            _ => {}
        }
    }
}
