//! Lines of quantities and their parts.

use super::columns;
use super::steps::tape;
use crate::footing::Part;
use crate::takeoff::{Datum, Derivation, Line, RecordSet, Takeoff};

pub(super) fn sets(takeoff: &Takeoff) -> Vec<RecordSet> {
    vec![lines(takeoff), parts(takeoff)]
}

/// How a line follows, in words.
fn follows(line: &Line) -> String {
    let percent = |x: &num_rational::BigRational| {
        let hundred = num_rational::BigRational::from_integer(100.into());
        crate::measure::shortest(
            num_traits::ToPrimitive::to_f64(&(x * hundred)).unwrap_or(f64::NAN),
        )
    };
    match &line.derivation {
        Derivation::Parts => format!("sum of {} part(s)", line.parts.len()),
        Derivation::Sum(of) => of.join(" + "),
        Derivation::Scaled { of, factor } => format!("{of} x {} %", percent(factor)),
        Derivation::Increased { of, share } => format!("{of} + {} %", percent(&share.value)),
        Derivation::Ordered { of, waste, step, .. } => {
            let unit = crate::measure::unit(&line.unit).ok();
            let step =
                unit.and_then(|unit| step.quantity().in_unit(&unit).ok()).unwrap_or(f64::NAN);
            format!(
                "{of} + {} % waste, up to the next {} {}",
                percent(&waste.value),
                crate::measure::shortest(step),
                line.unit
            )
        }
        Derivation::Value => "value of a script".to_owned(),
    }
}

fn lines(takeoff: &Takeoff) -> RecordSet {
    let row = |line: &Line| {
        vec![
            Datum::text(&line.id),
            Datum::text(line.group()),
            Datum::text(&line.label),
            Datum::Amount(line.quantity.clone(), line.unit.clone()),
            Datum::text(&line.unit),
            Datum::text(follows(line)),
            Datum::text(line.cautions.join("; ")),
            Datum::text(&line.trail.made_by),
            line.trail.place.as_ref().map_or(Datum::Blank, |place| Datum::text(place.to_string())),
            Datum::text(line.trail.sources.join(", ")),
        ]
    };
    RecordSet {
        name: "lines",
        about: "the quantities",
        columns: columns![
            ("id", "id of the line"),
            ("group", "group"),
            ("label", "what it is"),
            ("quantity", "how much"),
            ("unit", "unit that it is printed in"),
            ("follows", "how it follows"),
            ("caution", "what to watch"),
            ("made_by", "function that measured it"),
            ("script", "script line that added it"),
            ("sources", "keys of its sources"),
        ],
        rows: takeoff.lines.iter().map(row).collect(),
    }
}

pub(super) fn parts(takeoff: &Takeoff) -> RecordSet {
    let of_line = |line: &Line| {
        let row = |part: &Part| {
            vec![
                Datum::text(&line.id),
                Datum::text(&part.wall),
                Datum::Length(part.from),
                tape(&takeoff.job, part.from),
                Datum::Length(part.to),
                tape(&takeoff.job, part.to),
                Datum::text(&part.what),
                Datum::text(&part.how),
                Datum::Amount(part.amount.clone(), line.unit.clone()),
                Datum::text(&line.unit),
            ]
        };
        line.parts.iter().map(row).collect::<Vec<_>>()
    };
    RecordSet {
        name: "parts",
        about: "the parts of the measured lines",
        columns: columns![
            ("line", "id of the line"),
            ("wall", "wall, or both at a corner"),
            ("from", "local station of its start"),
            ("from_tape", "the same in feet and inches"),
            ("to", "local station of its end"),
            ("to_tape", "the same in feet and inches"),
            ("what", "what it is"),
            ("how", "how it was found"),
            ("amount", "how much"),
            ("unit", "its unit"),
        ],
        rows: takeoff.lines.iter().flat_map(of_line).collect(),
    }
}
