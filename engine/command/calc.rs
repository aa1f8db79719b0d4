//! `calc`: one expression, or a line to type them at.

use std::io::{BufRead, IsTerminal};

use rustyline::completion::Completer;
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{Context, Editor, Helper, Highlighter, Hinter, Validator};

use super::args::CalcArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print, report, talk};
use crate::catalogue::Family;
use crate::footing::System;
use crate::problem::{Faults, Problem};
use crate::script::{Calculated, Calculator, ScriptFault, completions};
use crate::source;

/// Works out an expression, or every line that is typed or piped in.
pub(super) fn calc(args: &CalcArgs) -> Exit {
    let system = if args.metric { System::Metric } else { System::Us };
    let mut calculator = Calculator::new(system, &args.currency);
    if let Some(expression) = &args.expression {
        return match calculator.line(expression) {
            Ok(done) => {
                print(&words(&done));
                Exit::Done
            }
            Err(fault) => faults(&problems(fault)),
        };
    }
    if std::io::stdin().is_terminal() {
        return typed(&mut calculator);
    }
    let mut exit = Exit::Done;
    for line in std::io::stdin().lock().lines() {
        let Ok(line) = line else {
            return faults(&Problem::error("the lines that were piped in are no text").into());
        };
        // A text file may begin with a byte order mark.
        if !answer(&mut calculator, line.trim_start_matches('\u{feff}')) {
            exit = Exit::Faults;
        }
    }
    exit
}

/// Answers one line; false when it is faulty.
fn answer(calculator: &mut Calculator, line: &str) -> bool {
    if line.trim().is_empty() {
        return true;
    }
    match calculator.line(line) {
        Ok(done) => {
            let words = words(&done);
            if !words.is_empty() {
                print(&words);
            }
            true
        }
        Err(fault) => {
            report(&problems(fault));
            false
        }
    }
}

fn problems(fault: ScriptFault) -> Faults {
    match fault {
        ScriptFault::Problems(problems) => problems,
        ScriptFault::NoLayout(..) => Problem::error("there is no job to lay out here").into(),
    }
}

/// A result, the same in other units, and where it comes from.
fn words(done: &Calculated) -> String {
    let mut lines: Vec<String> = Vec::new();
    if !done.result.is_empty() {
        lines.push(done.result.clone());
    }
    if !done.also.is_empty() {
        lines.push(format!("  also    {}", done.also.join(", ")));
    }
    lines.extend(done.assumed.iter().map(|assumed| format!("  taken   {assumed}")));
    for function in &done.functions {
        if let Some(source) = source::find(function.source) {
            lines.push(format!(
                "  source  {}: {} ({})",
                function.name, source.title, source.standing
            ));
        }
        if let Some(memory) = function.memory() {
            lines.push(format!("  memory  {}: {memory}", function.name));
        }
        // What a load, a length of steel or a time rests on is always said.
        if !matches!(function.family, Family::Modules | Family::Money) {
            let about = function.result_about;
            lines.push(format!("  note    {}: {about}", function.name));
        }
    }
    lines.join("\n")
}

/// Completes names at the prompt.
#[derive(Helper, Highlighter, Hinter, Validator)]
struct Names;

impl Completer for Names {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        at: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        let before = &line[..at];
        let start = before
            .rfind(|c: char| !c.is_ascii_alphanumeric() && c != '_')
            .map_or(0, |found| found + 1);
        let after_dot = before[..start].ends_with('.');
        Ok((start, completions(&before[start..], after_dot)))
    }
}

/// A prompt with history and completion, until the end of input.
fn typed(calculator: &mut Calculator) -> Exit {
    let editor: rustyline::Result<Editor<Names, DefaultHistory>> = Editor::new();
    let mut editor = match editor {
        Ok(editor) => editor,
        Err(error) => {
            let problem = Problem::error(format!("this terminal cannot be typed at: {error}"));
            return faults(&problem.help("rodbook calc 'EXPRESSION'").into());
        }
    };
    editor.set_helper(Some(Names));
    talk("an expression with units, such as 12.ft * 3.ft; Tab completes a name, Ctrl-D ends");
    loop {
        match editor.readline("calc: ") {
            Ok(line) => {
                // A history that cannot grow is no fault of the line.
                let _ = editor.add_history_entry(&line);
                answer(calculator, &line);
            }
            Err(ReadlineError::Interrupted) => {}
            Err(ReadlineError::Eof) => return Exit::Done,
            Err(error) => {
                return faults(&Problem::error(format!("the terminal was lost: {error}")).into());
            }
        }
    }
}
