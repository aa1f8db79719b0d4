//! What stands on each day, beside what there is of it.

use super::forms::PartWords;
use super::text;
use crate::footing::Layout;
use crate::forms::{
    DaySpan, FormSpec, LumberSpec, PourGroup, YardLine, day_spans, fillers, panel_runs,
    stocked_lumber, yard,
};
use crate::listing::listings;
use crate::measure::Nm;
use crate::takeoff::{Takeoff, WallJob};

listings! {
    STANDING = "standing", "forms and lumber that stand on each day beside what there are", for Crew, by []: StandingRow {
        first: i64, "first working day of a span over which the same stands";
        last: i64, "its last working day";
        pours: String, "pours that stand";
        what: String, "panel, filler, corner set, hardware, or the piece of lumber";
        name: String, "what the yard calls it";
        width: Option<Nm>, "width of a filler";
        height: Option<Nm>, "height";
        needed: i64, "how many stand";
        owned: Option<i64>, "how many there are";
        short: i64, "how many are short";
    }
}

/// Spans of the pours, with their names and walls.
fn spans(pours: &[PourGroup]) -> Vec<(DaySpan, String, Vec<usize>)> {
    let told = |span: DaySpan| {
        let of = || span.pours.iter().map(|at| &pours[*at]);
        let names: Vec<&str> = of().map(|pour| pour.name.as_str()).collect();
        let walls = of().flat_map(|pour| pour.walls.iter().copied()).collect();
        (span.clone(), names.join(", "), walls)
    };
    day_spans(pours).into_iter().map(told).collect()
}

fn of_forms(layout: &Layout, spec: &FormSpec) -> Vec<StandingRow> {
    let (runs, fillers) = (panel_runs(layout, spec), fillers(layout, spec));
    let of = |(span, pours, walls): (DaySpan, String, Vec<usize>)| {
        let row = |line: YardLine| {
            let PartWords { part, name, width, height } = PartWords::of(spec, line.part);
            StandingRow {
                first: span.first,
                last: span.last,
                pours: pours.clone(),
                what: text(part),
                name,
                width,
                height,
                needed: line.needed,
                owned: Some(line.owned),
                short: line.short(),
            }
        };
        yard(layout, spec, &runs, &fillers, &walls).into_iter().map(row).collect::<Vec<_>>()
    };
    spans(&spec.pours).into_iter().flat_map(of).collect()
}

fn of_lumber(job: &WallJob, layout: &Layout, spec: &LumberSpec) -> Vec<StandingRow> {
    let of = |(span, pours, walls): (DaySpan, String, Vec<usize>)| {
        let row = |stocked: crate::forms::StockedLumber| StandingRow {
            first: span.first,
            last: span.last,
            pours: pours.clone(),
            what: text(stocked.what),
            name: String::new(),
            width: None,
            height: None,
            needed: stocked.needed,
            owned: stocked.owned,
            short: stocked.owned.map_or(0, |owned| (stocked.needed - owned).max(0)),
        };
        let stocked = stocked_lumber(layout, spec, job.sides.as_ref(), &walls);
        stocked.into_iter().map(row).collect::<Vec<_>>()
    };
    spans(&spec.pours).into_iter().flat_map(of).collect()
}

/// The footings' lumber first, then the wall forms; nothing where the job has neither.
pub(super) fn rows(takeoff: &Takeoff) -> Option<Vec<StandingRow>> {
    let (job, layout) = (&takeoff.job, &takeoff.layout);
    let lumber = job.lumber.iter().flat_map(|spec| of_lumber(job, layout, spec));
    let forms = job.forms.iter().flat_map(|spec| of_forms(layout, spec));
    let none = job.lumber.is_none() && job.forms.is_none();
    (!none).then(|| lumber.chain(forms).collect())
}
