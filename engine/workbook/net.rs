//! The last net: what falls over inside a library becomes a message, and the program goes on.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, PanicHookInfo, catch_unwind, set_hook, take_hook};

thread_local! {
    /// Whether what falls over here is caught and told by its caller.
    static CAUGHT: Cell<bool> = const { Cell::new(false) };
}

/// Runs something of a library; where that falls over, says why in the library's words.
///
/// # Errors
/// It fell over.
pub(super) fn caught<T>(run: impl FnOnce() -> T) -> Result<T, String> {
    let before = CAUGHT.replace(true);
    // What was half done is dropped with the closure: nothing of it is seen again.
    let result = catch_unwind(AssertUnwindSafe(run));
    CAUGHT.set(before);
    result.map_err(|cause| {
        let text = cause.downcast_ref::<&str>().map(|text| (*text).to_owned());
        let text = text.or_else(|| cause.downcast_ref::<String>().cloned());
        text.unwrap_or_else(|| "the library gave up".to_owned())
    })
}

/// Keeps quiet about what is caught: its caller tells it, with the file's name. For the start of the program.
pub fn quiet_about_what_is_caught() {
    let loud = take_hook();
    set_hook(Box::new(move |info: &PanicHookInfo| {
        if !CAUGHT.get() {
            loud(info);
        }
    }));
}
