//! A problem as a person reads it.

use std::fmt;

use super::{Faults, Problem, Severity};

/// Most characters of a source line that are shown.
const WINDOW: usize = 160;

/// Most characters of a message.
const LONGEST: usize = 2000;

/// A message without the middle of what nobody reads to the end.
fn short(text: &str) -> std::borrow::Cow<'_, str> {
    if text.len() <= LONGEST {
        return text.into();
    }
    let first: String = text.chars().take(LONGEST / 2).collect();
    let last: Vec<char> = text.chars().rev().take(LONGEST / 4).collect();
    let last: String = last.into_iter().rev().collect();
    format!("{first} ... {last}").into()
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Severity::Error => "error",
            Severity::Caution => "caution",
            Severity::Note => "note",
        })
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut head = format!("{}: ", self.severity);
        if let Some(place) = &self.place {
            head += &format!("{place}  ");
        }
        match &self.excerpt {
            Some(excerpt) => {
                // A long line is shown from a little before its faulty part.
                let blank = excerpt.line.chars().take_while(|c| c.is_whitespace()).count();
                let from = blank.max(excerpt.start.saturating_sub(WINDOW / 2));
                let line: String =
                    excerpt.line.trim_end().chars().skip(from).take(WINDOW).collect();
                let indent = " ".repeat(head.chars().count() + excerpt.start.saturating_sub(from));
                writeln!(f, "{head}{line}")?;
                let marks = "^".repeat(excerpt.length.clamp(1, WINDOW));
                writeln!(f, "{indent}{marks} {}", short(&self.message))?;
            }
            None => writeln!(f, "{head}{}", short(&self.message))?,
        }
        for detail in &self.details {
            writeln!(f, "  {}", short(detail))?;
        }
        if let Some(help) = &self.help {
            writeln!(f, "  help: {}", short(help))?;
        }
        Ok(())
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.iter().chain(&self.beyond()).try_for_each(|problem| problem.fmt(f))
    }
}

impl std::error::Error for Problem {}

impl std::error::Error for Faults {}
