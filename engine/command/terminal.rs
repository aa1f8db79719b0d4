//! Printing and exit codes.

use std::io::{ErrorKind, IsTerminal, Read, Write};
use std::sync::atomic::{AtomicBool, Ordering};

use console::Term;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::dress::dressed;
use crate::problem::Faults;

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Exit {
    /// Done.
    Done,
    /// Something in the input is wrong.
    Faults,
    /// The command line is wrong.
    Usage,
    /// No layout of steps is legal.
    NoLayout,
    /// An output was not written.
    NotWritten,
}

impl Exit {
    /// The exit code; documented in the help.
    pub(super) fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Faults => 1,
            Self::Usage => 2,
            Self::NoLayout => 3,
            Self::NotWritten => 4,
        }
    }
}

/// Whether something that was to be printed is lost.
static LOST: AtomicBool = AtomicBool::new(false);

/// A text as a terminal may have it: control characters, and those that turn the direction of writing, as their numbers.
fn harmless(text: &str) -> std::borrow::Cow<'_, str> {
    let harmful = |c: char| {
        c.is_control() && !matches!(c, '\n' | '\t')
            || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    if !text.contains(harmful) {
        return text.into();
    }
    let show = |c: char| match harmful(c) {
        // As JSON writes it too: all of them lie in its four digits.
        true => format!("\\u{:04x}", u32::from(c)),
        false => c.to_string(),
    };
    text.chars().map(show).collect::<String>().into()
}

/// Whether colours are left out, because the command line says so.
static PLAIN: AtomicBool = AtomicBool::new(false);

/// Leaves colours out.
pub(super) fn no_colour() {
    PLAIN.store(true, Ordering::Relaxed);
}

/// A text as a stream has it: on a terminal as wide as that, with colours unless they are off; as it is for a program.
fn fitted<'t>(text: &'t str, stream: &Term, colours: bool) -> std::borrow::Cow<'t, str> {
    if !stream.is_term() || text.starts_with(['{', '[']) {
        return text.into();
    }
    let colours = colours && !PLAIN.load(Ordering::Relaxed);
    dressed(text, usize::from(stream.size().1), colours).into()
}

/// Prints to standard output. A closed pipe is the reader's choice and no error of ours; a full disk is one.
pub(super) fn print(text: &str) {
    let text = harmless(text.trim_end_matches('\n'));
    let text = fitted(&text, &Term::stdout(), console::colors_enabled());
    let mut out = std::io::stdout().lock();
    let printed = writeln!(out, "{text}").and_then(|()| out.flush());
    if let Err(error) = printed
        && error.kind() != ErrorKind::BrokenPipe
        && !LOST.swap(true, Ordering::Relaxed)
    {
        talk(&format!("error: the result could not be printed: {error}"));
    }
}

/// All of standard input.
pub(super) fn read_all() -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    std::io::stdin().lock().read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Prints bytes as they are, for another program.
pub(super) fn print_bytes(bytes: &[u8]) -> Exit {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Ok(()) => Exit::Done,
        Err(_) => Exit::NotWritten,
    }
}

/// The exit code of a command, in the light of what was printed.
pub(super) fn code(exit: Exit) -> u8 {
    match exit {
        Exit::Done if LOST.load(Ordering::Relaxed) => Exit::NotWritten.code(),
        exit => exit.code(),
    }
}

/// Prints to standard error.
pub(super) fn talk(text: &str) {
    let text = harmless(text.trim_end_matches('\n'));
    let text = fitted(&text, &Term::stderr(), console::colors_enabled_stderr());
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}

/// Prints problems, and how many there are when there is more than one.
pub(super) fn report(faults: &Faults) {
    talk(&faults.to_string());
    let count = faults.iter().count();
    if count > 1 {
        talk(&format!("{count} problems"));
    }
}

/// Shows what is being done, on a terminal only.
pub(super) struct Progress(ProgressBar);

impl Progress {
    pub(super) fn new() -> Self {
        let bar = ProgressBar::new_spinner();
        if std::io::stderr().is_terminal() {
            bar.set_draw_target(ProgressDrawTarget::stderr());
            bar.enable_steady_tick(std::time::Duration::from_millis(120));
        } else {
            bar.set_draw_target(ProgressDrawTarget::hidden());
        }
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} ({elapsed})") {
            bar.set_style(style);
        }
        Self(bar)
    }

    pub(super) fn tell(&self, what: &str) {
        self.0.set_message(what.to_owned());
    }

    pub(super) fn clear(&self) {
        self.0.finish_and_clear();
    }
}
