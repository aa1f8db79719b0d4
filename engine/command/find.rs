//! `find`: the input with which a result meets a target.

use super::args::FindArgs;
use super::ask::{number, subject};
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::job::{Looked, look_for};
use crate::measure::{significant, written};
use crate::problem::Problem;
use crate::sheet::{DIGITS, Found};

/// The inputs with which a cell meets a target or does not exceed it.
pub(super) fn find_input(args: &FindArgs) -> Exit {
    let asked = subject(&args.subject).and_then(|subject| {
        look_for(&subject, &args.cell, &args.target, &args.by, [&args.from, &args.to])
    });
    let looked = match asked {
        Ok(looked) => looked,
        Err(problems) => return faults(&problems),
    };
    match (Told { args, looked: &looked }).lines() {
        Ok(lines) => {
            print(&lines.join("\n"));
            Exit::Done
        }
        Err(problem) => faults(&problem.into()),
    }
}

/// What was found, in words.
struct Told<'a> {
    args: &'a FindArgs,
    looked: &'a Looked,
}

impl Told<'_> {
    fn input(&self, value: f64) -> String {
        let number = written(significant(value, DIGITS));
        format!("{number} {}", self.looked.input_unit).trim_end().to_owned()
    }

    fn cell(&self, value: f64) -> String {
        format!("{} {}", number(value), self.looked.cell_unit).trim_end().to_owned()
    }

    /// How closely it was looked.
    fn looked(&self) -> String {
        let Found { apart, tried, .. } = &self.looked.found;
        let missed = match *apart {
            _ if tried.0 < 2 => String::new(),
            1.0 => format!("looked at {} values, 1 apart", tried.0),
            apart => format!(
                "looked at {} values {} apart: a stretch narrower than that may have been missed",
                tried.0,
                self.input(apart)
            ),
        };
        match tried.1 {
            0 => missed,
            n => format!("{missed}; {n} of them give no result"),
        }
    }

    /// Why there is no stretch.
    fn nowhere(&self) -> Problem {
        let args = self.args;
        let Some((least, greatest)) = self.looked.found.results else {
            let message = format!("{} has no result anywhere between the bounds", args.cell);
            return Problem::error(message).help("look at one bound with --set");
        };
        let target = self.cell(self.looked.target);
        let message = format!("{} is over {target} everywhere between the bounds", args.cell);
        Problem::error(message)
            .detail(format!(
                "with {} from {} to {} it lies between {} and {}",
                args.by,
                args.from,
                args.to,
                self.cell(least),
                self.cell(greatest)
            ))
            .detail(self.looked())
            .help("widen the bounds with --from and --to, or ask for another target")
    }

    fn same(&self, a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-6 * self.looked.target.abs()
    }

    /// What lies beyond the edge of a stretch. Where the result runs through the target, both sides of the edge print alike
    /// and there is nothing beyond to show.
    fn beyond(&self, edge: (f64, f64), outside: Option<(f64, Option<f64>)>) -> String {
        match outside {
            None => String::new(),
            Some((_, Some(value))) if self.same(edge.1, value) => {
                format!("; met at {}", self.input(edge.0))
            }
            Some((at, Some(value))) => {
                format!("; {} gives {}", self.input(at), self.cell(value))
            }
            Some((at, None)) => format!("; {} gives no result", self.input(at)),
        }
    }

    fn lines(&self) -> Result<Vec<String>, Problem> {
        let (args, looked) = (self.args, self.looked);
        let Found { stretches, results, .. } = &looked.found;
        let (Some(first), Some(last)) = (stretches.first(), stretches.last()) else {
            return Err(self.nowhere());
        };
        let target = self.cell(looked.target);
        let mut lines =
            vec![format!("{} meets {target} or does not exceed it with {}", args.cell, args.by)];
        for one in stretches {
            let (from, to) = (self.input(one.from.0), self.input(one.to.0));
            let results = match [one.from.1, one.to.1].map(|value| self.cell(value)) {
                [from, to] if from == to => from,
                [from, to] => format!("{from} to {to}"),
            };
            let stretch = if from == to { from } else { format!("{from} to {to}") };
            lines.push(format!(
                "  {stretch}: {results}{}{}",
                self.beyond(one.from, one.before),
                self.beyond(one.to, one.after)
            ));
        }
        let ends = [first.from.0, last.to.0].map(|value| self.input(value));
        lines.push(format!("  smallest {}, largest {}", ends[0], ends[1]));
        let under =
            |greatest: &f64| *greatest < looked.target && !self.same(*greatest, looked.target);
        if let Some(greatest) = results.map(|(_, greatest)| greatest).filter(under) {
            let greatest = self.cell(greatest);
            lines.push(format!("  it is met nowhere: the greatest result is {greatest}"));
        }
        lines.push(format!("  {}", self.looked()));
        lines.extend(looked.partial.iter().map(|partial| format!("  {partial}")));
        Ok(lines)
    }
}
