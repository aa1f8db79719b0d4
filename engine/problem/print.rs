//! A problem as a person reads it.

use std::fmt;

use super::{Faults, Problem, Severity};

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
                let line = excerpt.line.trim_end();
                let cut = line.len() - line.trim_start().len();
                let blank = line.chars().take_while(|c| c.is_whitespace()).count();
                let indent = head.chars().count() + excerpt.start.saturating_sub(blank);
                writeln!(f, "{head}{}", &line[cut..])?;
                let marks = "^".repeat(excerpt.length.max(1));
                writeln!(f, "{:indent$}{marks} {}", "", self.message)?;
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
