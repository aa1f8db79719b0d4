//! Scales that are drawn in: what one on the paper is on the site, and in words.

use crate::measure::System;

/// A scale and its words.
pub(super) type Scale = (f64, &'static str);

const US: [Scale; 17] = [
    (12.0, "1 in = 1 ft"),
    (16.0, "3/4 in = 1 ft"),
    (24.0, "1/2 in = 1 ft"),
    (48.0, "1/4 in = 1 ft"),
    (60.0, "1 in = 5 ft"),
    (96.0, "1/8 in = 1 ft"),
    (120.0, "1 in = 10 ft"),
    (180.0, "1 in = 15 ft"),
    (240.0, "1 in = 20 ft"),
    (360.0, "1 in = 30 ft"),
    (480.0, "1 in = 40 ft"),
    (600.0, "1 in = 50 ft"),
    (1200.0, "1 in = 100 ft"),
    (2400.0, "1 in = 200 ft"),
    (6000.0, "1 in = 500 ft"),
    (12_000.0, "1 in = 1000 ft"),
    (60_000.0, "1 in = 5000 ft"),
];
const METRIC: [Scale; 16] = [
    (10.0, "1:10"),
    (20.0, "1:20"),
    (25.0, "1:25"),
    (50.0, "1:50"),
    (100.0, "1:100"),
    (125.0, "1:125"),
    (200.0, "1:200"),
    (250.0, "1:250"),
    (500.0, "1:500"),
    (1000.0, "1:1000"),
    (2000.0, "1:2000"),
    (2500.0, "1:2500"),
    (5000.0, "1:5000"),
    (10_000.0, "1:10000"),
    (25_000.0, "1:25000"),
    (50_000.0, "1:50000"),
];

/// The scales of a system of units from the largest drawing to the smallest.
pub(super) fn scales(system: System) -> &'static [Scale] {
    match system {
        System::Us => &US,
        System::Metric => &METRIC,
    }
}

/// The largest scale, no larger than `largest`, at which so much of the site takes no more paper than this.
pub(super) fn fitting(
    system: System,
    largest: f64,
    site: (f64, f64),
    paper: (f64, f64),
) -> Option<Scale> {
    let fits = |(n, _): &&Scale| *n >= largest && site.0 / n <= paper.0 && site.1 / n <= paper.1;
    scales(system).iter().find(fits).copied()
}
