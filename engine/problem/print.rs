//! A problem as a person reads it.

use std::fmt;

use super::{Faults, Problem, Severity};

/// Most characters of a source line that are shown.
const WINDOW: usize = 160;

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
                writeln!(f, "{indent}{marks} {}", self.message)?;
            }
            None => writeln!(f, "{head}{}", self.message)?,
        }
        for detail in &self.details {
            writeln!(f, "  {detail}")?;
        }
        if let Some(help) = &self.help {
            writeln!(f, "  help: {help}")?;
        }
        Ok(())
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.iter().try_for_each(|problem| problem.fmt(f))
    }
}

impl std::error::Error for Problem {}

impl std::error::Error for Faults {}
