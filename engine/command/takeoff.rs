//! `takeoff` and `check`.

use std::path::{Path, PathBuf};
use std::time::Duration;

use super::args::{FolderArgs, JobArgs, TakeoffArgs};
use super::summary::summary;
use super::terminal::{Exit, Progress, print, report, talk};
use crate::files;
use crate::job::{Job, OpenOptions, Work, json, work, workbook};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::script::Budget;
use crate::workbook::{Seal, seal_of};

/// Options of a job command.
pub(super) fn options(args: &JobArgs) -> Outcome<OpenOptions> {
    let overrides = overrides(&args.set)?;
    Ok(OpenOptions { date: args.date.clone(), overrides, ..folders(&args.folders) })
}

/// The folders of a command as options of a job.
pub(super) fn folders(args: &FolderArgs) -> OpenOptions {
    OpenOptions {
        company: args.company.clone(),
        read_from: args.read_from.clone(),
        script_time: Budget::of(Duration::from_secs(args.script_time)),
        ..OpenOptions::default()
    }
}

/// Paths and values of `--set`.
pub(super) fn overrides(set: &[String]) -> Outcome<Vec<(String, String)>> {
    let mut overrides = Vec::new();
    for text in set {
        let Some((path, value)) = text.split_once('=') else {
            return Err(Problem::error(format!("--set {text} has no = in it"))
                .help("write --set rules.frost_depth=\"2.25 ft\"")
                .into());
        };
        overrides.push((path.trim().to_owned(), value.trim().trim_matches('"').to_owned()));
    }
    Ok(overrides)
}

fn open_and_work(args: &JobArgs, progress: &Progress) -> Outcome<(Job, Work)> {
    progress.tell("reading the job and its shots");
    let job = Job::open(&args.job, &options(args)?)?;
    let done = work(&job, &|what| progress.tell(what))?;
    Ok((job, done))
}

/// A job worked through for what is made of its layout; faults, and why there is no layout, are reported.
pub(super) fn laid_out(args: &JobArgs) -> Result<(Job, Work), Exit> {
    let progress = Progress::new();
    let worked = open_and_work(args, &progress);
    progress.clear();
    match worked {
        Ok((_, work)) if work.takeoff.is_none() => {
            report(&work.no_layout);
            Err(Exit::NoLayout)
        }
        Ok(worked) => Ok(worked),
        Err(problems) => Err(faults(&problems)),
    }
}

/// Works a job through.
pub(super) fn takeoff(args: &TakeoffArgs) -> Exit {
    let progress = Progress::new();
    let worked = open_and_work(&args.job, &progress);
    let (job, work) = match worked {
        Ok(worked) => worked,
        Err(faults) => {
            progress.clear();
            report(&faults);
            return Exit::Faults;
        }
    };
    let exit = if work.takeoff.is_some() { Exit::Done } else { Exit::NoLayout };
    if args.json {
        progress.clear();
        work.printed.iter().for_each(|line| talk(line));
        print(&json(&job, &work));
        return exit;
    }
    progress.tell("writing the workbook");
    let target = target(args, &job, &work);
    let written =
        workbook(&job, &work).map_err(|faults| (Exit::Faults, faults)).and_then(|bytes| {
            keep_inputs(&target, &job.layers.reader().files())
                .and_then(|()| keep_own(&target, &job))
                .and_then(|()| keep_edited(&target, args.replace))
                .and_then(|()| files::write_atomic(&target, &bytes))
                .map_err(|faults| (Exit::NotWritten, faults))
        });
    progress.clear();
    if !work.no_layout.is_empty() {
        report(&work.no_layout);
    }
    match written {
        Ok(()) => {
            print(&summary(&job, &work, Some(&target)));
            exit
        }
        Err((exit, faults)) => {
            print(&summary(&job, &work, None));
            report(&faults);
            exit
        }
    }
}

/// Where the workbook goes: the job's own only for the job as job.toml has it and with a legal layout.
fn target(args: &TakeoffArgs, job: &Job, work: &Work) -> PathBuf {
    let named = |path: &Path, word: &str| {
        let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        path.with_file_name(format!("{stem}-{word}.xlsx"))
    };
    let own = job.own_workbook();
    let path = match &args.out {
        Some(out) => out.clone(),
        None if job.set.is_empty() => own,
        None => named(&own, &slug(&job.set)),
    };
    match (&work.takeoff, &args.out) {
        (Some(_), _) => path,
        // Without a layout there is nothing to put in a good workbook's place.
        (None, Some(out)) if !files::exists(out) => path,
        (None, _) => named(&path, "no-layout"),
    }
}

/// The settings that were replaced as part of a file name.
pub(super) fn slug(set: &[(String, String)]) -> String {
    let all: Vec<String> = set.iter().map(|(path, value)| format!("{path}-{value}")).collect();
    let plain = |c: char| if c.is_ascii_alphanumeric() || "._".contains(c) { c } else { '-' };
    let text: String = all.join("-").chars().map(plain).take(80).collect();
    text.trim_matches(['-', '.']).to_owned()
}

/// Refuses to put a job with replaced settings in the place of the job's own workbook.
fn keep_own(target: &Path, job: &Job) -> Outcome<()> {
    if job.set.is_empty() || !files::same_place(target, &job.own_workbook()) {
        return Ok(());
    }
    Err(Problem::error("this is the job's own workbook, and --set replaces some of its settings")
        .at(Place::file(target.display().to_string()))
        .help("leave --out away for a name of its own, or name another file")
        .into())
}

/// Refuses to write over anything that was read, or under a name that is not a workbook's.
pub(super) fn keep_inputs<P: AsRef<Path>>(target: &Path, read: &[P]) -> Outcome<()> {
    let input = read.iter().any(|input| files::same_place(target, input.as_ref()));
    let is_workbook = target.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("xlsx"));
    if is_workbook && !input {
        return Ok(());
    }
    let what = if is_workbook {
        "this file was read as an input; it is kept"
    } else {
        "the workbook needs a name that ends in .xlsx"
    };
    Err(Problem::error(what)
        .at(Place::file(target.display().to_string()))
        .help("write elsewhere with --out FILE.xlsx")
        .into())
}

/// Refuses to overwrite what somebody has edited, or what is not a workbook of ours.
pub(super) fn keep_edited(target: &Path, replace: bool) -> Outcome<()> {
    if replace || !files::exists(target) {
        return Ok(());
    }
    let what = match seal_of(&files::read_bytes(target)?) {
        Seal::Whole => return Ok(()),
        Seal::Edited => "this workbook was edited since it was written; it is kept",
        Seal::None => "this file was not written by rodbook; it is kept",
    };
    Err(Problem::error(what)
        .at(Place::file(target.display().to_string()))
        .help("write elsewhere with --out FILE, or overwrite it with --replace")
        .into())
}

/// Refuses to write over what is no file of ours.
pub(super) fn keep_others(
    target: &Path,
    is_ours: impl Fn(&[u8]) -> bool,
    replace: bool,
) -> Outcome<()> {
    if replace || !files::exists(target) || is_ours(&files::read_bytes(target)?) {
        return Ok(());
    }
    Err(Problem::error("this file was not written by rodbook; it is kept")
        .at(Place::file(target.display().to_string()))
        .help("write elsewhere with --out, or overwrite it with --replace")
        .into())
}

/// Reports every fault and writes nothing.
pub(super) fn check(args: &JobArgs) -> Exit {
    let progress = Progress::new();
    let worked = open_and_work(args, &progress);
    progress.clear();
    match worked {
        Ok((job, work)) if work.takeoff.is_some() => {
            print(&summary(&job, &work, None));
            let unexpected = work.calc.unexpected();
            if unexpected.is_empty() {
                let stand = match work.cautions.len() {
                    1 => "1 caution stands".to_owned(),
                    count => format!("{count} cautions stand"),
                };
                print(&format!(
                    "  checked   no fault was found; {stand}, all of them on sheet Cautions and in --json of takeoff"
                ));
                return Exit::Done;
            }
            report(&unexpected);
            Exit::Faults
        }
        Ok((job, work)) => {
            report(&work.no_layout);
            print(&summary(&job, &work, None));
            Exit::NoLayout
        }
        Err(faults) => {
            report(&faults);
            Exit::Faults
        }
    }
}

/// Opens a job for another command and works it through.
pub(super) fn open(path: &Path, folders: &FolderArgs) -> Outcome<(Job, Work)> {
    let job = Job::open(path, &self::folders(folders))?;
    let done = work(&job, &|_| {})?;
    Ok((job, done))
}

/// Prints faults of a command that has no other output.
pub(super) fn faults(faults: &Faults) -> Exit {
    report(faults);
    Exit::Faults
}

/// Says that a job has no legal layout.
pub(super) fn no_layout(work: &Work) -> Exit {
    report(&work.no_layout);
    talk("the script needs a layout of steps");
    Exit::NoLayout
}
