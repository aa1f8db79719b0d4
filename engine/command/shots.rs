//! `shots`: what a list says, and which rows are no shots.

use super::args::ShotsArgs;
use super::takeoff::{faults, folders};
use super::terminal::{Exit, print};
use crate::files;
use crate::footing::System;
use crate::job::{Job, is_book, list_without_job, shots_json};
use crate::measure::{Nm, counted, decimal_places, ratio};
use crate::problem::{Place, Problem};
use crate::survey::{LengthUnit, LineOrigin};
use crate::takeoff::{ShotReport, refused};

/// Reports a list, alone or as a job uses it.
pub(super) fn shots(args: &ShotsArgs) -> Exit {
    let asked = match args.list.asked() {
        Ok(asked) => asked,
        Err(problems) => return faults(&problems),
    };
    let is_job = files::is_folder(&args.input)
        || args.input.extension().is_some_and(|ending| ending == "toml")
        || is_book(&args.input);
    if is_job {
        if args.list != super::args::ListArgs::default() {
            return faults(
                &Problem::error("options of a list do not go with a job")
                    .help("a job says in its job.toml how its lists are read; rodbook keys shots lists the keys")
                    .into(),
            );
        }
        let job = match Job::open(&args.input, &folders(&args.folders)) {
            Ok(job) => job,
            Err(problems) => return faults(&problems),
        };
        let Some(report) = &job.wall_job.shots else {
            return faults(
                &Problem::error("this job has no shot list")
                    .help("its ground lines are given in job.toml")
                    .into(),
            );
        };
        print(&if args.json { shots_json(report, Some(&job)) } else { words(report, Some(&job)) });
        return Exit::Done;
    }
    match list_without_job(&args.input, &args.list.sheet, &asked, &args.list.codes()) {
        Ok(report) => {
            print(&if args.json { shots_json(&report, None) } else { words(&report, None) });
            if report.read.is_empty() {
                return faults(&none_read(&report).into());
            }
            Exit::Done
        }
        Err(problems) => faults(&problems),
    }
}

fn words(report: &ShotReport, job: Option<&Job>) -> String {
    let mut lines = Vec::new();
    for list in &report.lists {
        let mut remarks = list.remarks.iter();
        let first = if list.by_position { remarks.next() } else { None };
        let first = first.map_or(String::new(), |remark| format!(": {remark}"));
        lines.push(format!("{}{first}", list.name()));
        lines.push(format!("  unit      {}", list.units));
        lines.extend(remarks.map(|remark| format!("  read      {remark}")));
    }
    lines.extend(report.sheets.iter().map(|sheet| format!("  sheet     {sheet}")));
    let used = report.used.len() + report.read.len();
    lines.push(format!(
        "  rows      {}, {used} {}, {} not used",
        report.rows(),
        if job.is_some() { "used" } else { "read" },
        report.refused.len()
    ));
    let unused = report.unused_codes.iter().map(|code| {
        let name = if code.code.is_empty() { "none" } else { &code.code };
        match code.near {
            0 => format!("{name} ({})", code.rows),
            near => format!("{name} ({}, {near} near a wall)", code.rows),
        }
    });
    let unused: Vec<String> = unused.collect();
    if !unused.is_empty() {
        lines.push(format!("  unused    codes that serve no line: {}", unused.join(", ")));
    }
    if let Some(job) = job {
        for line in job.wall_job.site.ground.lines() {
            let count = report.used.iter().filter(|used| used.kind == line.kind).count();
            let flag = if line.gap_over_limit() { ", more than the job allows" } else { "" };
            let system = job.wall_job.style.system;
            let gap = system.show(line.largest_gap);
            let heights = line.line.knots().iter().map(|(_, z)| *z);
            let range = match (heights.clone().min(), heights.max()) {
                (Some(low), Some(high)) => format!("{} to {}", system.show(low), system.show(high)),
                _ => String::new(),
            };
            let origin = match &line.origin {
                LineOrigin::Shots(..) => format!("{count} shots, heights {range}"),
                LineOrigin::Listed => format!("listed in the job, heights {range}"),
                LineOrigin::Offset(from, below) => {
                    format!("derived, {} under {}", system.show(*below), from.words())
                }
            };
            lines.push(format!(
                "  line      {}: {origin}, largest gap {gap}{flag}",
                line.kind.words()
            ));
        }
    } else {
        let heights: Vec<Nm> = report.read.iter().map(|shot| shot.z).collect();
        if let (Some(low), Some(high)) = (heights.iter().min(), heights.iter().max()) {
            lines.push(format!(
                "  {}   {} to {}",
                if report.by_rod() { "rods   " } else { "heights" },
                height(*low, report.unit()),
                height(*high, report.unit())
            ));
        }
        let mut codes: Vec<(String, usize)> = Vec::new();
        for shot in &report.read {
            match codes.iter_mut().find(|(code, _)| *code == shot.code) {
                Some((_, count)) => *count += 1,
                None => codes.push((shot.code.clone(), 1)),
            }
        }
        let more = codes.len().saturating_sub(20);
        let mut codes: Vec<String> = codes
            .iter()
            .take(20)
            .map(|(code, count)| {
                format!("{} ({count})", if code.is_empty() { "none" } else { code })
            })
            .collect();
        if more > 0 {
            codes.push(format!("and {more} more"));
        }
        if !codes.is_empty() {
            lines.push(format!("  codes     {}", codes.join(", ")));
        }
    }
    for row in refused(report, job.is_some()) {
        let line = row.line;
        let place = row.list.map_or_else(|| line.to_string(), |list| format!("{list} {line}"));
        lines.push(format!("  row {place:<5} {:<10} {:<8} {}", row.point, row.code, row.why));
    }
    lines.join("\n")
}

/// No row is a shot: how many were not used, and the first reason.
fn none_read(report: &ShotReport) -> Problem {
    let place = report.lists.first().map_or_else(String::new, |list| list.file.clone());
    let problem = Problem::error("no row of this list is a shot").at(Place::file(place));
    match report.refused.first() {
        Some(row) => problem
            .detail(format!("not used: {}, the first is row {}", counted(report.refused.len(), "row", "rows"), row.line))
            .help("look at the reason beside each row; --unit, --columns and --decimal say what the list does not"),
        None => problem.help("there is nothing below its headings"),
    }
}

fn height(z: Nm, unit: Option<LengthUnit>) -> String {
    let (size, name) = match unit {
        Some(unit) if unit.is_metric() => (Nm::METRE, System::Metric.length()),
        Some(_) => (Nm::FOOT, System::Us.length()),
        None => (Nm::METRE, ""),
    };
    format!("{} {name}", decimal_places(&ratio(z.wide(), size.wide()), 3)).trim_end().to_owned()
}
