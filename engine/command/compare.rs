//! `compare`: two runs of a job.

use std::path::Path;

use super::args::CompareArgs;
use super::takeoff::{faults, open};
use super::terminal::{Exit, print};
use crate::files;
use crate::job::{OneRun, json, two_runs};
use crate::problem::Outcome;

/// Most rows of a kind that are printed without --all.
const MOST: usize = 20;

/// Sets two runs side by side.
pub(super) fn compare(args: &CompareArgs) -> Exit {
    let runs =
        || -> Outcome<(OneRun, OneRun)> { Ok((run(&args.before, args)?, run(&args.after, args)?)) };
    let (before, after) = match runs() {
        Ok(runs) => runs,
        Err(problems) => return faults(&problems),
    };
    let groups = two_runs(&before, &after);
    let exit = if after.is_laid_out() { Exit::Done } else { Exit::NoLayout };
    if args.json {
        let rows = groups.iter().map(|group| (group.title, group.rows.clone()));
        let changes: serde_json::Map<String, serde_json::Value> =
            rows.map(|(title, rows)| (title.to_owned(), rows.into())).collect();
        let document = serde_json::json!({
            "format": "rodbook compare 1",
            "before": before.file,
            "after": after.file,
            "changes": changes,
        });
        print(&serde_json::to_string_pretty(&document).unwrap_or_default());
        return exit;
    }
    print(&format!("{} -> {}", before.file, after.file));
    for group in &groups {
        if group.rows.is_empty() {
            print(&format!("  {:<11} no change", group.title));
            continue;
        }
        let shown = if args.all { group.rows.len() } else { MOST };
        for (at, row) in group.rows.iter().take(shown).enumerate() {
            print(&format!("  {:<11} {row}", if at == 0 { group.title } else { "" }));
        }
        let more = group.rows.len().saturating_sub(shown);
        if more > 0 {
            print(&format!("  {:<11} and {more} more: --all shows them", ""));
        }
    }
    exit
}

/// A run that was kept, or that of a job as it is now.
fn run(path: &Path, args: &CompareArgs) -> Outcome<OneRun> {
    let shown = path.display().to_string();
    let kept = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("json"));
    if kept {
        return Ok(OneRun::read(&shown, &files::read_text(path)?)?);
    }
    let (job, work) = open(path, &args.folders)?;
    Ok(OneRun::read(&shown, &json(&job, &work))?)
}
