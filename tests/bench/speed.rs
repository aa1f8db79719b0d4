//! Speed, as a bench and never as a timed test. Method: each figure is the median of several runs in one process on
//! one core; ratios inside one output may be compared, absolute times only on one machine.

use std::path::Path;
use std::time::Instant;

use rodbook::footing::{Site, lay_out};
use rodbook::job::{Job, OpenOptions, work, workbook};

/// Median seconds of `count` runs.
fn median(count: usize, mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..count)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn open(name: &str, overrides: &[(&str, String)]) -> Option<Job> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
    let overrides =
        overrides.iter().map(|(path, value)| ((*path).to_owned(), value.clone())).collect();
    let options = OpenOptions { overrides, ..OpenOptions::default() };
    Job::open(&folder, &options).map_err(|faults| say(&faults.to_string())).ok()
}

#[expect(clippy::print_stdout, reason = "a bench prints its figures")]
fn say(text: &str) {
    println!("{text}");
}

fn main() {
    let whole = median(9, || {
        let Some(job) = open("tarrow-bench", &[]) else { return };
        let bytes = work(&job, &|_| {}).and_then(|done| workbook(&job, &done));
        assert!(bytes.is_ok_and(|bytes| !bytes.is_empty()));
    });
    say(&format!(
        "demo end to end (read xlsx, lay out, write workbook): {:.1} ms; goal under 100 ms",
        whole * 1e3
    ));

    // The real profile with narrower panels and thirty levels; the shortest run stays in metres.
    for (panel, levels) in
        [("1.2 m", 10), ("600 mm", 10), ("600 mm", 30), ("330 mm", 30), ("165 mm", 30)]
    {
        let overrides = [
            ("module.panel", panel.to_owned()),
            ("module.rise", "100 mm".to_owned()),
            ("module.lowest_level", "-12".to_owned()),
            ("module.highest_level", (levels - 13).to_string()),
        ];
        let Some(job) = open("shore-profile", &overrides) else { continue };
        let site: &Site = &job.wall_job.site;
        let joints: usize = site.grid.walls.iter().map(|wall| wall.joints.len()).sum();
        let mut steps = 0;
        let time = median(3, || steps = lay_out(site).map_or(0, |layout| layout.steps.len()));
        say(&format!("{joints} joints x {levels} levels: {:.1} ms, {steps} steps", time * 1e3));
    }
}
