//! Ways out of a shortage of forms, each with its price and what the yard has left.

use super::forms::{PartWords, sizes};
use super::text;
use crate::footing::local;
use crate::forms::{FormPart, FormSpec, PourPart, StackUse, WayKind, WayOut, YardLine};
use crate::listing::{Amount, listings};
use crate::measure::{Choice, Money, Nm};
use crate::takeoff::{Takeoff, WallJob, place_on_wall};

listings! {
    FORM_WAYS = "form_ways", "ways out of a shortage of forms, pour by pour; none of them is in the price", for Office, by []: FormWay {
        pour: String, "pour";
        way: &'static str, "rent, other stacks, both, or two pours one after the other";
        at: String, "where the pour is broken";
        stands: i64, "working days that each part stands";
        rented: String, "what is rented";
        extra_panels: Option<i64>, "panels more than the fewest, both faces";
        extra_ties: Option<i64>, "rows of ties more, once for each width of a panel";
        lacks: String, "what is short still";
        price: Option<Amount<Money>>, "what it costs more than the bid has; none where a price is not given or something is short still";
        least: bool, "whether no other of these ways that has a price costs less";
        remark: String, "what to know of it";
    }
    FORM_WAY_STACKS = "form_way_stacks", "how the panels of each way out are stacked, the same on both faces", for Crew, by []: FormWayStack {
        pour: String, "pour";
        way: &'static str, "way out";
        part: usize, "number of its part";
        walls: String, "its walls";
        form_height: Nm, "height of the forms";
        stack: String, "panel heights, the tallest first";
        modules: i64, "panels on each face that stand so, in width";
    }
    FORM_WAY_YARD = "form_way_yard", "what each way out takes from the yard", for Crew, by []: FormWayYard {
        pour: String, "pour";
        way: &'static str, "way out";
        part: usize, "number of its part";
        what: &'static str, "panel, filler or corner set";
        name: String, "what the yard calls it";
        width: Option<Nm>, "width of a filler";
        height: Option<Nm>, "height";
        needed: i64, "how many stand";
        there: i64, "how many there are for it";
        rented: i64, "how many are rented";
        lacks: i64, "how many are short still";
        left: i64, "how many the yard has left";
    }
}

fn ways_of(takeoff: &Takeoff) -> Option<(&FormSpec, &[WayOut])> {
    Some((takeoff.job.forms.as_deref()?, takeoff.ways_out()?))
}

/// A part of the forms with its size, in words.
fn words(job: &WallJob, spec: &FormSpec, part: FormPart) -> String {
    let PartWords { name, width, height, .. } = PartWords::of(spec, part);
    let size: Vec<String> =
        [width, height].into_iter().flatten().map(|size| sizes(job, &[size])).collect();
    format!("{name} {}", size.join(" x ")).trim_end().to_owned()
}

/// Counts of parts, summed over what stands one after the other by the larger.
fn counts(job: &WallJob, spec: &FormSpec, of: &[&[(FormPart, i64)]]) -> String {
    let mut most: std::collections::BTreeMap<FormPart, i64> = std::collections::BTreeMap::new();
    for (part, count) in of.iter().flat_map(|counts| counts.iter()) {
        let known = most.entry(*part).or_default();
        *known = (*count).max(*known);
    }
    let one = |(part, count): (&FormPart, &i64)| format!("{count} x {}", words(job, spec, *part));
    most.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn remark(spec: &FormSpec, way: &WayOut) -> String {
    let prices = &spec.prices;
    let extra = way.parts.iter().any(|part| part.extra_panels != 0);
    let mut remarks = Vec::new();
    let found = match (way.gave_up, way.parts.is_empty(), way.lacks()) {
        (true, ..) => "the search ended at its bounds without stacks",
        (_, true, _) => "the panels in the yard cannot make up every height",
        (_, _, true) if way.kind == WayKind::Rent => "short still: no rent is given for it",
        (_, _, true) => "short still",
        _ => "",
    };
    remarks.extend(Some(found.to_owned()).filter(|found| !found.is_empty()));
    if extra && prices.extra_panel.is_none() {
        remarks.push("no price: prices.extra_panel".into());
    }
    if way.kind == WayKind::TwoPours {
        if prices.pour_break.is_none() {
            remarks.push("no price: prices.pour_break".into());
        }
        remarks.push(match &way.cost {
            Some(_) => format!("cheapest of {} joints", way.joints),
            None => format!("one of {} joints, not looked out by price", way.joints),
        });
        remarks.push("a joint of the wall is for the engineer of record to allow".into());
        if let Some((_, last)) = spec.pours[way.pour].days() {
            let standing = spec.pours[way.pour].standing;
            remarks.push(format!(
                "its second part stands on days {} to {}: what else stands then is not looked at",
                last + 1,
                last + standing
            ));
        }
        if way.second_joint {
            remarks.push("a ring has a second joint, where its stations begin".into());
        }
    }
    if way.shares {
        remarks.push("pours that stand on its days take their part first: one way out may do for all of them".into());
    }
    if way.unformed {
        remarks.push("forms whose height no panels make up are not in it".into());
    }
    if !way.proven() {
        remarks.push("not proven to be the least: the heights have too many stacks".into());
    }
    remarks.join("; ")
}

pub(super) fn ways(takeoff: &Takeoff) -> Option<Vec<FormWay>> {
    let (spec, ways) = ways_of(takeoff)?;
    let job = &takeoff.job;
    let row = |way: &WayOut| {
        let lists = |of: fn(&PourPart) -> &[(FormPart, i64)]| -> Vec<&[(FormPart, i64)]> {
            way.parts.iter().map(of).collect()
        };
        let sum = |of: fn(&PourPart) -> i64| {
            (!way.parts.is_empty()).then(|| way.parts.iter().map(of).sum())
        };
        FormWay {
            pour: text(&spec.pours[way.pour].name),
            way: way.kind.name(),
            at: way.joint.map_or_else(String::new, |(_, station)| place_on_wall(job, station)),
            stands: spec.pours[way.pour].standing,
            rented: counts(job, spec, &lists(|part| &part.rented)),
            extra_panels: sum(|part| part.extra_panels),
            extra_ties: sum(|part| part.extra_ties),
            lacks: counts(job, spec, &lists(|part| &part.lacks)),
            price: way.cost.clone().map(|cost| Amount::new(cost, &job.style.currency)),
            least: way.least,
            remark: remark(spec, way),
        }
    };
    Some(ways.iter().map(row).collect())
}

pub(super) fn stacks(takeoff: &Takeoff) -> Option<Vec<FormWayStack>> {
    let (spec, ways) = ways_of(takeoff)?;
    let layout = &takeoff.layout;
    let of = |way: &WayOut| {
        let of_part = |(number, part): (usize, &PourPart)| {
            let mut walls: Vec<String> = Vec::new();
            for stretch in &part.stretches {
                let piece = &layout.stems[stretch.piece];
                let (wall, ..) = local(&layout.site, piece.wall, piece.from, piece.to);
                if !walls.contains(&wall) {
                    walls.push(wall);
                }
            }
            let row = |stack: &StackUse| FormWayStack {
                pour: text(&spec.pours[way.pour].name),
                way: way.kind.name(),
                part: number + 1,
                walls: walls.join(", "),
                form_height: stack.height,
                stack: sizes(&takeoff.job, &stack.stack),
                modules: stack.modules,
            };
            part.stacks.iter().map(row).collect::<Vec<_>>()
        };
        way.parts.iter().enumerate().flat_map(of_part).collect::<Vec<_>>()
    };
    Some(ways.iter().flat_map(of).collect())
}

pub(super) fn balance(takeoff: &Takeoff) -> Option<Vec<FormWayYard>> {
    let (spec, ways) = ways_of(takeoff)?;
    let of = |way: &WayOut| {
        let of_part = |(number, part): (usize, &PourPart)| {
            let row = |line: &YardLine| {
                let count = |of: &[(FormPart, i64)]| {
                    of.iter().find(|(part, _)| *part == line.part).map_or(0, |(_, count)| *count)
                };
                let PartWords { part: what, name, width, height } = PartWords::of(spec, line.part);
                FormWayYard {
                    pour: text(&spec.pours[way.pour].name),
                    way: way.kind.name(),
                    part: number + 1,
                    what,
                    name,
                    width,
                    height,
                    needed: line.needed,
                    there: line.owned,
                    rented: count(&part.rented),
                    lacks: count(&part.lacks),
                    left: (line.owned - line.needed).max(0),
                }
            };
            part.yard.iter().map(row).collect::<Vec<_>>()
        };
        way.parts.iter().enumerate().flat_map(of_part).collect::<Vec<_>>()
    };
    Some(ways.iter().flat_map(of).collect())
}
