//! Lines of quantities and their parts.

use super::steps::tape;
use super::text;
use crate::footing::Part;
use crate::listing::{AnyAmount, listings};
use crate::measure::{Nm, counted};
use crate::takeoff::{Derivation, Line, Takeoff};

listings! {
    LINES = "lines", "the quantities", for Office, by ["id"]: LineRow {
        id: String, "id of the line";
        group: String, "group";
        label: String, "what it is";
        quantity: AnyAmount, "how much";
        unit: String, "unit that it is printed in";
        follows: String, "the calculation";
        caution: String, "the caution";
        made_by: String, "function that measured it";
        script: Option<String>, "script line that added it";
        sources: String, "keys of its sources";
    }
    PARTS = "parts", "the parts of the measured lines", for Office, by []: PartRow {
        line: String, "id of the line";
        wall: String, "wall, or both at a corner";
        from: Nm, "local station of its start";
        from_tape: Option<String>, "the same in feet and inches";
        to: Nm, "local station of its end";
        to_tape: Option<String>, "the same in feet and inches";
        what: String, "what it is";
        how: String, "how it was found";
        amount: AnyAmount, "how much";
        unit: String, "its unit";
    }
}

/// How a line follows: its formula, or what was counted.
fn follows(line: &Line) -> String {
    let counted = || match line.derivation {
        Derivation::Parts => format!("sum of {}", counted(line.parts.len(), "part", "parts")),
        _ => "value of a script".to_owned(),
    };
    line.formula().unwrap_or_else(counted)
}

pub(super) fn lines(takeoff: &Takeoff) -> Vec<LineRow> {
    let row = |line: &Line| LineRow {
        id: text(&line.id),
        group: text(line.group()),
        label: text(&line.label),
        quantity: AnyAmount(line.quantity.clone(), line.unit.clone()),
        unit: text(&line.unit),
        follows: text(follows(line)),
        caution: line.cautions.join("; "),
        made_by: text(&line.trail.made_by),
        script: line.trail.place.as_ref().map(|place| place.to_string()),
        sources: line.trail.sources.join(", "),
    };
    takeoff.lines.iter().map(row).collect()
}

pub(super) fn parts(takeoff: &Takeoff) -> Vec<PartRow> {
    let of_line = |line: &Line| {
        let row = |part: &Part| PartRow {
            line: text(&line.id),
            wall: text(&part.wall),
            from: part.from,
            from_tape: tape(&takeoff.job, part.from),
            to: part.to,
            to_tape: tape(&takeoff.job, part.to),
            what: text(&part.what),
            how: text(&part.how),
            amount: AnyAmount(part.amount.clone(), line.unit.clone()),
            unit: text(&line.unit),
        };
        line.parts.iter().map(row).collect::<Vec<_>>()
    };
    takeoff.lines.iter().flat_map(of_line).collect()
}
