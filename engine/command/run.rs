//! `run`: a script, alone or on a job.

use std::time::Duration;

use super::args::RunArgs;
use super::takeoff::{faults, no_layout, open};
use super::terminal::{Exit, print};
use crate::files::{FoundFile, LayerOrigin, Layers, read_text};
use crate::job::taken_off_by;
use crate::measure::Style;
use crate::problem::{Faults, Problem};
use crate::script::{Budget, Host, Printed, ScriptFault};

/// Runs a script and prints its result.
pub(super) fn run(args: &RunArgs) -> Exit {
    let text = match read_text(&args.script) {
        Ok(text) => text,
        Err(problems) => return faults(&problems),
    };
    let script =
        FoundFile { origin: LayerOrigin::Job, shown: args.script.display().to_string(), text };
    if args.tests {
        return tests(args, &script);
    }
    let printed = match &args.job {
        None => {
            let host = alone(args);
            traced(args, &host, || host.run(&script, None))
        }
        Some(path) => {
            let (job, work) = match open(path, &args.folders) {
                Ok(opened) => opened,
                Err(problems) => return faults(&problems),
            };
            let Some(takeoff) = &work.takeoff else { return no_layout(&work) };
            traced(args, &job.host, || match job.host.is_case(&script) {
                Ok(true) => taken_off_by(&job, &script).map(|takeoff| Printed {
                    lines: job.host.printed(),
                    result: job.host.show(&takeoff),
                }),
                Ok(false) => job.host.run(&script, Some((&job.wall_job, takeoff, &work.calc.book))),
                Err(fault) => Err(fault),
            })
        }
    };
    match printed {
        Ok(Printed { lines, result }) => {
            for line in lines {
                print(&line);
            }
            if !result.is_empty() {
                print(&result);
            }
            Exit::Done
        }
        Err(fault) => faults(&problems(fault)),
    }
}

/// Runs a script and prints the calls of trade functions, where they are asked for.
fn traced<T>(args: &RunArgs, host: &Host, run: impl FnOnce() -> T) -> T {
    if args.trace {
        host.begin_trace();
    }
    let result = run();
    host.end_trace().iter().for_each(|line| print(line));
    result
}

/// What runs a script without a job.
fn alone(args: &RunArgs) -> Host {
    let layers = Layers::new(args.script.parent(), args.folders.company.as_deref())
        .reading_from(&args.folders.read_from);
    let time = Budget::of(Duration::from_secs(args.folders.script_time));
    Host::within(layers, &Style::default(), &time)
}

fn problems(fault: ScriptFault) -> Faults {
    match fault {
        ScriptFault::Problems(problems) => problems,
        ScriptFault::NoLayout(..) => Problem::error("no layout of steps is legal")
            .help("rodbook takeoff JOB explains it")
            .into(),
    }
}

/// Runs the tests of a script and tells each that fails.
fn tests(args: &RunArgs, script: &FoundFile) -> Exit {
    let told = match &args.job {
        None => alone(args).tests(script, None),
        Some(path) => match open(path, &args.folders) {
            Ok((job, work)) => match &work.takeoff {
                Some(takeoff) => job.host.tests(script, Some((&job.wall_job, takeoff))),
                None => return no_layout(&work),
            },
            Err(problems) => return faults(&problems),
        },
    };
    let tests = match told {
        Ok(tests) => tests,
        Err(fault) => return faults(&problems(fault)),
    };
    let mut failed = Faults::none();
    for test in &tests {
        let word = if test.faults.is_none() { "met" } else { "not met" };
        print(&format!("  {:<40} {word}", test.name));
        if let Some(found) = &test.faults {
            failed.extend(found.clone());
        }
    }
    let met = tests.iter().filter(|test| test.faults.is_none()).count();
    print(&format!("{met} of {} tests are met", tests.len()));
    if failed.is_empty() { Exit::Done } else { faults(&failed) }
}
