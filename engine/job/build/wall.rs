//! Walls and the wall schedule.

use super::super::alignment;
use super::super::planned::is_curve;
use super::super::settings::View;
use crate::footing::{End, FootingKey, Module, TopBreak, WallSpec, WallType};
use crate::measure::Nm;
use crate::problem::{Faults, Outcome, Problem};

pub(super) fn types(root: View) -> Outcome<Vec<WallType>> {
    let mut faults = Faults::none();
    let mut types: Vec<WallType> = Vec::new();
    for view in root.list("type") {
        let key = match view.table("key") {
            Some(key) => {
                Some(FootingKey { width: key.length("width")?, depth: key.length("depth")? })
            }
            None => None,
        };
        let row = WallType {
            id: view.text("id")?.to_owned(),
            stem_up_to: view.length("stem_up_to")?,
            width: view.length("width")?,
            thickness: view.length("thickness")?,
            toe: view.length("toe")?,
            key,
        };
        if let Some(last) = types.last()
            && row.stem_up_to <= last.stem_up_to
        {
            faults.push(
                view.place(
                    "stem_up_to",
                    Problem::error(format!(
                        "type {} overlaps type {}: both would serve a stem of this height",
                        row.id, last.id
                    ))
                    .help("order the types by stem height, each row above the one before it"),
                ),
            );
        }
        if types.iter().any(|known| known.id == row.id) {
            faults.push(
                view.place("id", Problem::error(format!("there are two types named {}", row.id))),
            );
        }
        if row.toe > row.width {
            faults.push(view.place("toe", Problem::error("the toe is wider than the footing")));
        }
        types.push(row);
    }
    faults.or_value(Some(types))
}

/// What the plan says of each wall of the chain; a curve says the same of all its chords, its tops by its own stations.
pub(super) fn walls(root: View) -> Outcome<Vec<WallSpec>> {
    let tables = tables(root)?;
    let names = alignment::names(root);
    let first = |at: usize| at == 0 || names.tables[at - 1] != names.tables[at];
    let last = |at: usize| names.tables.get(at + 1) != names.tables.get(at);
    let wall = |(at, table): (usize, &usize)| {
        let spec = tables.get(*table)?;
        let (from, to) = names.over(at);
        Some(WallSpec {
            tops: tops_over(&spec.tops, from, to),
            lead_start: spec.lead_start.filter(|_| first(at)),
            lead_end: spec.lead_end.filter(|_| last(at)),
            kit_start: spec.kit_start.filter(|_| first(at)),
            kit_end: spec.kit_end.filter(|_| last(at)),
            ..spec.clone()
        })
    };
    Ok(names.tables.iter().enumerate().filter_map(wall).collect())
}

/// A top that changes no farther from a corner between chords changes there.
const SNAP: Nm = Nm(Nm::INCH.0 / 16);

/// The tops of a stretch, from its start.
fn tops_over(tops: &[TopBreak], from: Nm, to: Option<Nm>) -> Vec<TopBreak> {
    let snap = if from == Nm::ZERO { Nm::ZERO } else { SNAP };
    let first = tops.iter().rposition(|top| top.from <= from + snap).unwrap_or(0);
    let here = |top: &TopBreak| TopBreak { from: (top.from - from).max(Nm::ZERO), ..*top };
    let before_end = |top: &&TopBreak| to.is_none_or(|to| top.from + SNAP < to);
    let (start, rest) = tops.split_at((first + 1).min(tops.len()));
    let start = start.iter().rev().take(1).map(|top| TopBreak { from, ..*top });
    start.collect::<Vec<_>>().iter().chain(rest.iter().filter(before_end)).map(here).collect()
}

/// The tables of walls.
fn tables(root: View) -> Outcome<Vec<WallSpec>> {
    let mut faults = Faults::none();
    let mut walls = Vec::new();
    for view in root.list("wall") {
        let mut tops: Vec<TopBreak> = Vec::new();
        for row in view.list("tops") {
            let (from, end_top) = (row.length("from")?, row.maybe_length("end_top"));
            let top = TopBreak { number: tops.len(), from, top: row.length("top")?, end_top };
            if end_top.is_some() && is_curve(view) {
                let problem = Problem::error("tops of a curve do not slope yet");
                faults.push(
                    row.place("end_top", problem.help("give them in steps, from joint to joint")),
                );
            }
            match tops.last() {
                None if top.from != Nm::ZERO => {
                    faults.push(
                        row.place("from", Problem::error("the first top of a wall starts at 0")),
                    );
                }
                Some(last) if top.from <= last.from => {
                    faults.push(
                        row.place("from", Problem::error("the stations of the tops must ascend")),
                    );
                }
                _ => {}
            }
            tops.push(top);
        }
        walls.push(WallSpec {
            stem: view.length("stem")?,
            tops,
            origin: view
                .maybe_text("grid_origin")
                .map(|end| if end == "start" { End::Start } else { End::End }),
            lead_start: view.maybe_length("lead_start"),
            lead_end: view.maybe_length("lead_end"),
            kit_start: view.maybe_length("kit_start"),
            kit_end: view.maybe_length("kit_end"),
        });
    }
    faults.or_value(Some(walls))
}

/// Stems that do not fit on the footings that the schedule gives them.
pub(super) fn stems_on_footings(
    root: View,
    types: &[WallType],
    module: &Module,
    walls: &[WallSpec],
) -> Faults {
    let mut faults = Faults::none();
    let views = root.list("type");
    let names = alignment::names(root);
    let ids = names.ids();
    for (index, (row, view)) in types.iter().zip(&views).enumerate() {
        for (wall, id) in walls.iter().zip(&ids) {
            let heights = wall.all_tops().flat_map(|top| {
                module.levels().map(move |level| top - module.top_of_footing(level))
            });
            let serves = |height: Nm| {
                height > Nm::ZERO
                    && types.iter().position(|row| height <= row.stem_up_to) == Some(index)
            };
            let (toe, stem, width) = (row.toe, wall.stem, row.width);
            if toe + stem <= width || !heights.into_iter().any(serves) {
                continue;
            }
            let system = alignment::system(root);
            let show = |length| system.tape(length, 16);
            let what = if stem > width {
                format!("the stem, {}, is wider than this footing, {}", show(stem), show(width))
            } else {
                format!(
                    "toe {} and stem {} together are wider than this footing, {}",
                    show(toe),
                    show(stem),
                    show(width)
                )
            };
            let problem = Problem::error(format!("wall {} on type {}: {what}", id, row.id));
            faults.push(view.place(
                "width",
                problem.help("look at the unit of the stem, and at width and toe in the schedule"),
            ));
        }
    }
    faults
}
