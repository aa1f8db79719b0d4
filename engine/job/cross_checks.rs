//! Two counts of one thing, on every run: where they differ rodbook is wrong, and says so in place of a number. Bars are counted
//! by mark and by stretch where the list is made, money by line and by kind where the sheets are worked out.

use num_rational::BigRational;
use num_traits::Zero;

use crate::concrete::{footing_runs, stem_runs};
use crate::earth::DigParts;
use crate::footing::{Layout, Part, Stretch, product, total};
use crate::forms::{area_by_forms, contact_area};
use crate::measure::Dimension;
use crate::problem::{Faults, Problem};
use crate::takeoff::Takeoff;

/// Every count that is made in two ways.
pub(super) fn cross_checks(takeoff: &Takeoff) -> Faults {
    let layout = &takeoff.layout;
    let mut faults = takeoff.list_faults();
    let mut same = |what: &str, one: BigRational, other: BigRational| {
        if one != other {
            faults.push(
                Problem::error(format!("{what} differ: {one} and {other} in base units"))
                    .help("this is a fault of rodbook: please report it with the job"),
            );
        }
    };
    let sum = |parts: &[Part]| total(parts, Dimension::VOLUME).value;
    same(
        "the concrete of the footing by pieces and by cells of the walls",
        sum(&footing_runs(layout)),
        by_cells(layout, |stretch| {
            let kind = &layout.site.types[stretch.kind];
            product(&[kind.width, kind.thickness, stretch.to - stretch.from])
        }),
    );
    same(
        "the concrete of the stem by pieces and by cells of the walls",
        sum(&stem_runs(layout)),
        by_cells(layout, |stretch| {
            let mean = stretch.top.mean(stretch.tof);
            mean * product(&[layout.site.walls[stretch.wall].stem, stretch.to - stretch.from])
        }),
    );
    if let Some(forms) = &takeoff.job.forms {
        let faces = contact_area(layout).into_iter().filter(|part| part.what.ends_with(" face"));
        same(
            "the faces of the stem by length and by panels, fillers and corners",
            sum(&faces.collect::<Vec<_>>()),
            area_by_forms(layout, forms),
        );
    }
    faults.extend(dig_parts(takeoff));
    faults
}

/// What is dug, and what becomes of it: concrete, drain rock, backfill, and what stays open.
fn dig_parts(takeoff: &Takeoff) -> Faults {
    /// A millionth of a cubic yard, in cubic feet.
    const ALIKE: f64 = 27e-6;
    let mut faults = Faults::none();
    let Some(walls) = takeoff.dig_parts() else { return faults };
    let (dig, banks) = takeoff.job.allowances.dig(&takeoff.layout);
    let dug: f64 = dig.solid(&[banks])[0].iter().sum();
    let parts: f64 = walls.iter().flatten().map(DigParts::sum).sum();
    if (dug - parts).abs() > ALIKE {
        faults.push(
            Problem::error(format!(
                "the dig and what becomes of it differ: {dug} and {parts} cubic feet"
            ))
            .help("this is a fault of rodbook: please report it with the job"),
        );
    }
    faults
}

fn by_cells(layout: &Layout, of: impl Fn(&Stretch) -> BigRational) -> BigRational {
    layout.stretches.iter().map(of).fold(BigRational::zero(), |sum, one| sum + one)
}
