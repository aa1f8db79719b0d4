//! `shots`: what a list says, and which rows are no shots.

use super::args::ShotsArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::files;
use crate::footing::System;
use crate::job::{Job, OpenOptions, list_without_job, shots_json};
use crate::measure::{Nm, decimal_places, ratio};
use crate::problem::{Outcome, Problem};
use crate::survey::{LengthUnit, LineOrigin};
use crate::takeoff::{Datum, ShotReport, shot_sets};

/// Reports a list, alone or as a job uses it.
pub(super) fn shots(args: &ShotsArgs) -> Exit {
    let unit = match unit(args.unit.as_deref()) {
        Ok(unit) => unit,
        Err(problems) => return faults(&problems),
    };
    let is_job = files::is_folder(&args.input)
        || args.input.extension().is_some_and(|ending| ending == "toml");
    if is_job {
        let job = match Job::open(&args.input, &OpenOptions::default()) {
            Ok(job) => job,
            Err(problems) => return faults(&problems),
        };
        let Some(report) = &job.shots else {
            return faults(
                &Problem::error("this job has no shot list")
                    .help("its ground lines are given in job.toml")
                    .into(),
            );
        };
        print(&if args.json { shots_json(report, Some(&job)) } else { words(report, Some(&job)) });
        return Exit::Done;
    }
    match list_without_job(&args.input, args.sheet.as_deref(), unit) {
        Ok(report) => {
            print(&if args.json { shots_json(&report, None) } else { words(&report, None) });
            Exit::Done
        }
        Err(problems) => faults(&problems),
    }
}

fn words(report: &ShotReport, job: Option<&Job>) -> String {
    let sheet = report.sheet.as_ref().map_or(String::new(), |sheet| format!(" sheet \"{sheet}\""));
    let mut lines = vec![format!("{}{sheet}", report.file)];
    let unit = report.unit.map_or("not stated", LengthUnit::name);
    lines.push(format!("  unit      {unit}"));
    for remark in &report.remarks {
        lines.push(format!("  read      {remark}"));
    }
    let used = report.used.len() + report.read.len();
    lines.push(format!(
        "  rows      {}, {used} {}, {} set aside",
        report.rows,
        if job.is_some() { "used" } else { "read" },
        report.refused.len()
    ));
    if let Some(job) = job {
        for line in job.wall_job.site.ground.lines() {
            let count = report.used.iter().filter(|used| used.kind == line.kind).count();
            let flag = if line.gap_over_limit() { ", more than the job allows" } else { "" };
            let system = job.wall_job.system;
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
                if report.by_rod { "rods   " } else { "heights" },
                height(*low, report.unit),
                height(*high, report.unit)
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
    let sets = shot_sets(report, job.map(|job| job.wall_job.as_ref()));
    for set in sets.iter().filter(|set| set.name == "shots_refused") {
        for row in &set.rows {
            let text = |index: usize| match &row[index] {
                Datum::Text(text) => text.clone(),
                Datum::Count(n) => n.to_string(),
                _ => String::new(),
            };
            lines.push(format!("  row {:<6}{:<10} {:<8} {}", text(0), text(1), text(2), text(5)));
        }
    }
    lines.join("\n")
}

fn height(z: Nm, unit: Option<LengthUnit>) -> String {
    let (size, name) = match unit {
        Some(LengthUnit::Metre | LengthUnit::Millimetre) => (Nm::METRE, System::Metric.length()),
        Some(_) => (Nm::FOOT, System::Us.length()),
        None => (Nm::METRE, ""),
    };
    format!("{} {name}", decimal_places(&ratio(z.wide(), size.wide()), 3)).trim_end().to_owned()
}

/// The unit that an option names.
pub(super) fn unit(name: Option<&str>) -> Outcome<Option<LengthUnit>> {
    let Some(name) = name else { return Ok(None) };
    match LengthUnit::parse(name) {
        Some(unit) => Ok(Some(unit)),
        None => Err(Problem::error(format!("--unit {name}: there is no such unit"))
            .help(format!("one of {}", LengthUnit::NAMES.join(", ")))
            .into()),
    }
}
