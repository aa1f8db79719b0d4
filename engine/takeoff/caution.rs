//! Cautions: what stands beside a number because the work can hurt someone, or because the number rests on an assumption.

use num_rational::BigRational;

use super::{ShotReport, WallJob};
use crate::earth::{
    Bank, Dig, DigShape, LaybackFrom, SoilClass, cuts, layback_default, requirements,
};
use crate::footing::{Layout, Step};
use crate::forms::panel_runs;
use crate::measure::{Nm, Real, decimal_places, feet_inches};
use crate::rebar::short_laps;
use crate::survey::{GroundKind, LineOrigin, Reason, Refused, Strip, Used};

/// Stands on every sheet of steps.
pub const PROPOSAL: &str = "A layout of steps other than the plan's is a proposal: not to be built before the engineer of record accepts it in writing.";

/// A caution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// What it is about, a word or two.
    pub about: &'static str,
    /// Where on the walls, if it has a place.
    pub place: String,
    /// What to watch.
    pub text: String,
    /// Key of the source.
    pub source: &'static str,
}

/// A running station as a person finds it: wall and local station.
pub fn place_on_wall(job: &WallJob, station: Nm) -> String {
    let chain = &job.site.chain;
    let wall = &chain.walls()[chain.wall_at(station)];
    let local = station - wall.station;
    match job.style.system {
        crate::footing::System::Us => format!("{} {}", wall.id, feet_inches(local, 16)),
        crate::footing::System::Metric => format!("{} {}", wall.id, job.style.system.show(local)),
    }
}

fn depth_text(job: &WallJob, depth: &BigRational) -> String {
    let unit = if job.style.system == crate::footing::System::Us { Nm::FOOT } else { Nm::METRE };
    format!(
        "{} {}",
        decimal_places(&(depth / BigRational::length(unit)), 2),
        job.style.system.length()
    )
}

/// What cautions of scripts are about: each is of its own kind.
pub const OWN_CAUTION: &str = "a line of the takeoff";

/// All cautions of a job, and of its layout if there is one.
pub fn cautions(job: &WallJob, layout: Option<&Layout>) -> Vec<Caution> {
    let shots = job.shots.as_ref();
    let mut list = Vec::new();
    if let Some(layout) = layout {
        list.extend(deep_cuts(job, layout));
        list.extend(layback(job, layout));
        list.extend(straight_foot(job, layout));
        list.extend(straight_low_side(job, layout));
        list.extend(crossing_footings(job, layout));
        list.extend(footings_that_meet(job, layout));
        list.extend(buried(job, layout));
        list.extend(thin_over_the_overlap(job, layout));
        list.extend(long_rods(job, layout));
        list.extend(forms_without_a_stack(job, layout));
        list.extend(laps(job));
    }
    list.extend(ground_lines(job));
    list.extend(shots.iter().flat_map(|shots| spikes(job, shots)));
    list.extend(shots.and_then(outliers_on_slopes));
    list.extend(shots.and_then(wrong_side));
    list.extend(shots.iter().flat_map(|shots| codes_along_the_wall(shots)));
    list.extend(shots.iter().flat_map(|shots| odd_rods(shots)));
    list.extend(benchmark_elsewhere(job));
    list.extend(open_ring(job));
    list.extend(overruled_origins(job));
    if layout.is_some() {
        list.push(Caution {
            about: "layout",
            place: String::new(),
            text: PROPOSAL.into(),
            source: "practice",
        });
    }
    list
}

fn deep_cuts(job: &WallJob, layout: &Layout) -> Vec<Caution> {
    let soil = match job.allowances.soil {
        Some(soil) => format!("soil class {} as stated in the job", soil.name()),
        None => "no soil class is stated".to_owned(),
    };
    let mut cuts = cuts(layout);
    cuts.sort_by(|a, b| b.deepest().1.cmp(a.deepest().1));
    let caution = |cut: &crate::earth::Cut| {
        let (station, depth) = cut.deepest();
        let required = requirements(depth, job.style.system);
        let strongest = required.last()?;
        Some(Caution {
            about: "cut depth",
            place: place_on_wall(job, station),
            text: format!(
                "cut {} deep: {strongest}; {soil}; a competent person decides on site",
                depth_text(job, depth)
            ),
            source: "subpart-p",
        })
    };
    cuts.iter().filter_map(caution).collect()
}

fn layback(job: &WallJob, layout: &Layout) -> Vec<Caution> {
    let layback = &job.allowances.layback;
    let default = layback_default(job.allowances.soil);
    let deep =
        cuts(layout).iter().any(|cut| requirements(cut.deepest().1, job.style.system).len() > 1);
    if *layback >= default || !deep {
        return Vec::new();
    }
    let ratio = |r: &BigRational| decimal_places(r, 2);
    let whose = match job.allowances.soil {
        Some(soil) => {
            format!("the published limit for soil class {} is {}:1", soil.name(), ratio(&default))
        }
        None => {
            format!("without a stated soil class the published default is {}:1", ratio(&default))
        }
    };
    vec![Caution {
        about: "layback",
        place: String::new(),
        text: format!(
            "layback {}:1 (horizontal to vertical) is steeper than published: {whose}; the dig volume rests on it, and nobody enters the cut before a competent person has classified the soil",
            ratio(layback)
        ),
        source: "subpart-p",
    }]
}

/// Banks that are laid back from the top of footing stand straight below it.
fn straight_foot(job: &WallJob, layout: &Layout) -> Option<Caution> {
    let allowed = Nm::INCH * 42;
    if job.allowances.layback_from == LaybackFrom::Bottom {
        return None;
    }
    let highest = layout.bottom.iter().map(|part| part.tof - part.bof).max()?;
    let type_a = job.allowances.soil == Some(SoilClass::A);
    let deep =
        cuts(layout).iter().any(|cut| requirements(cut.deepest().1, job.style.system).len() > 1);
    if !deep || type_a && highest <= allowed {
        return None;
    }
    let soil = match job.allowances.soil {
        Some(soil) => format!("this job states class {}", soil.name()),
        None => "this job states no class".to_owned(),
    };
    Some(Caution {
        about: "layback",
        place: String::new(),
        text: format!(
            "the banks are laid back from the top of footing and stand straight below it, up to {}: the excavation standard lets a foot of up to {} stand without support in soil class A only, and {soil}; laid back from the bottom of the footing it digs more",
            job.style.system.show(highest),
            job.style.system.show(allowed)
        ),
        source: "subpart-p-foot",
    })
}

/// The low side where it is dug straight down.
fn straight_low_side(job: &WallJob, layout: &Layout) -> Option<Caution> {
    let allowances = &job.allowances;
    if allowances.dig == DigShape::Solid && allowances.low_side == Bank::LaidBack {
        return None;
    }
    let dig = Dig::of(layout, &allowances.layback, allowances.layback_from);
    let (station, height) = dig.low_side()?;
    let required = requirements(&height, job.style.system);
    let required = required.last().map_or(String::new(), |text| format!(": {text}"));
    Some(Caution {
        about: "low side",
        place: place_on_wall(job, station),
        text: format!(
            "the low side is dug straight down, up to {} high, and the dig volume has no bank for it{required}; a competent person decides on site",
            depth_text(job, &height)
        ),
        source: "subpart-p",
    })
}

/// Stretches whose wall is somewhere under finished grade on its low side.
fn buried(job: &WallJob, layout: &Layout) -> Vec<Caution> {
    let grade = &job.site.ground.finished_low.line;
    let under =
        layout.stems.iter().filter(|stem| stem.top.low() < grade.highest(stem.from, stem.to));
    let caution = |stem: &crate::footing::StemPiece| Caution {
        about: "top of wall",
        place: place_on_wall(job, stem.from),
        text: format!(
            "the top of the wall, {}, is under finished grade in front of it somewhere between here and {}: look at the tops, the shots and their set-up",
            job.style.system.show(stem.top.low()),
            place_on_wall(job, stem.to)
        ),
        source: "definition",
    };
    under.map(caution).collect()
}

/// Steps over whose overlap less ground lies than the plan asks for over the toe: the layout is held to it by the lower
/// footing there, and the upper one lies on top of it.
fn thin_over_the_overlap(job: &WallJob, layout: &Layout) -> Vec<Caution> {
    let Some(wanted) = job.site.rules.depths.cover else { return Vec::new() };
    let grade = &job.site.ground.finished_low.line;
    let caution = |step: &Step| {
        let (from, to) = if step.tof_after > step.tof_before {
            (step.station, step.station + step.overlap)
        } else {
            (step.station - step.overlap, step.station)
        };
        let there = grade.lowest(from, to) - step.tof_before.max(step.tof_after);
        (there < wanted).then(|| Caution {
            about: "ground over the toe",
            place: place_on_wall(job, step.station),
            text: format!(
                "over the overlap of this riser {} of ground lies over the upper footing's toe, the plan requires {}: the rule holds the lower footing to it there; ask the engineer of record",
                job.style.system.show(there),
                job.style.system.show(wanted)
            ),
            source: "definition",
        })
    };
    layout.steps.iter().filter_map(caution).collect()
}

/// Longest levelling rod that is counted on.
pub const LONGEST_ROD: Nm = Nm(25 * Nm::FOOT.0);

/// Stem pieces whose form height the yard's panels do not add up to: nothing of theirs is counted.
fn forms_without_a_stack(job: &WallJob, layout: &Layout) -> Vec<Caution> {
    let Some(spec) = &job.forms else { return Vec::new() };
    let runs = panel_runs(layout, spec);
    let without = layout.stems.iter().zip(runs).filter(|(_, run)| run.stack.is_none());
    let told = without.map(|(piece, run)| Caution {
        about: "wall forms",
        place: place_on_wall(job, piece.from),
        text: format!(
            "no panel heights of the yard add up to forms {} high: panels and ties of this stretch are counted nowhere",
            job.style.system.show(run.height)
        ),
        source: "practice",
    });
    told.collect()
}

/// Laps of the plan that are shorter than the code's.
fn laps(job: &WallJob) -> Vec<Caution> {
    let Some(spec) = &job.steel else { return Vec::new() };
    let show = |length| job.style.system.show(length);
    let told = short_laps(spec).into_iter().map(|(name, lap, code)| Caution {
        about: "lap",
        place: format!("bar {name}"),
        text: format!(
            "the plan's lap is {}, a class B lap by ACI 318-14 is {} (bottom bars, uncoated, normal weight): ask the engineer of record, whose lap governs",
            show(lap),
            show(code)
        ),
        source: "class-b-lap",
    });
    told.collect()
}

/// A benchmark from which the lowest mark or the highest one cannot be read on a rod, or that was itself read as no rod is.
fn long_rods(job: &WallJob, layout: &Layout) -> Vec<Caution> {
    let Some(mark) = job.benchmark.as_ref() else { return Vec::new() };
    let caution = |text: String| Caution {
        about: "rod readings",
        place: String::new(),
        text,
        source: "practice",
    };
    let mut list = Vec::new();
    let lowest = layout.bottom.iter().map(|part| part.bof).min();
    let highest = layout.bottom.iter().map(|part| part.tof).max();
    let show = |length| job.style.system.show(length);
    let sight = mark.instrument_height();
    if let Some(reading) = lowest.map(|lowest| sight - lowest).filter(|r| *r > LONGEST_ROD) {
        list.push(caution(format!(
            "from benchmark {} the lowest bottom reads {} on the rod, longer than a rod is: correct the benchmark, or set up lower",
            mark.id,
            show(reading)
        )));
    }
    if let Some(reading) = highest.map(|highest| sight - highest).filter(|r| *r < Nm::ZERO) {
        list.push(caution(format!(
            "from benchmark {} the highest top of footing reads {} on the rod, which no rod has: the line of sight, {}, is under it; correct the benchmark and its backsight, or set up higher",
            mark.id,
            show(reading),
            show(sight)
        )));
    }
    if mark.backsight < Nm::ZERO || mark.backsight > LONGEST_ROD {
        list.push(caution(format!(
            "the backsight on benchmark {} is {}, which no rod has unless it is held upside down: every rod reading for the crew comes from it",
            mark.id,
            show(mark.backsight)
        )));
    }
    list
}

/// How far a benchmark's height may be from the ground of the walls before it is doubted.
const FAR_BENCHMARK: Nm = Nm(100 * Nm::FOOT.0);

/// A benchmark whose height cannot belong to the ground that was shot.
fn benchmark_elsewhere(job: &WallJob) -> Option<Caution> {
    let mark = job.benchmark.as_ref()?;
    let knots = || job.site.ground.lines().into_iter().flat_map(|line| line.line.knots());
    let low = knots().map(|(_, z)| *z).min()?;
    let high = knots().map(|(_, z)| *z).max()?;
    let away = (low - mark.elevation).max(mark.elevation - high);
    (away > FAR_BENCHMARK).then(|| Caution {
        about: "benchmark",
        place: String::new(),
        text: format!(
            "benchmark {} is at {}, the ground along the walls between {} and {}: they cannot belong together; look at the datum and the unit of both",
            mark.id,
            job.style.system.show(mark.elevation),
            job.style.system.show(low),
            job.style.system.show(high)
        ),
        source: "practice",
    })
}

/// Lists with rod readings that no rod has.
fn odd_rods(shots: &ShotReport) -> Vec<Caution> {
    let odd = shots.lists.iter().filter(|list| list.odd_rods > 0);
    let caution = |list: &super::ListReport| Caution {
        about: "rod readings",
        place: String::new(),
        text: format!(
            "{} rod readings of {} are longer than a rod is: look at its unit, at the set-ups, and whether they are elevations",
            list.odd_rods,
            list.name()
        ),
        source: "practice",
    };
    odd.map(caution).collect()
}

/// Height over which a shot that stands off both of its neighbours is told.
const SPIKE: Nm = Nm(3_048_000_000);

/// Shots that stand off both of their neighbours by more than the height of a wall, and steeper than one to one: a date or
/// a year in place of a height, a digit too many.
fn spikes(job: &WallJob, shots: &ShotReport) -> Vec<Caution> {
    let mut list = Vec::new();
    for kind in job.site.ground.lines().map(|line| line.kind) {
        let mut used: Vec<_> = shots.used.iter().filter(|used| used.kind == kind).collect();
        used.sort_by_key(|used| used.at.station);
        let off = |one: &Used, other: &Used| {
            let apart =
                (one.at.station - other.at.station).abs() + (one.at.offset - other.at.offset).abs();
            (one.shot.z - other.shot.z).abs() > apart.max(SPIKE)
        };
        for (at, shot) in used.iter().enumerate() {
            let before = at.checked_sub(1).map(|before| used[before]);
            let neighbours = [before, used.get(at + 1).copied()];
            let mut neighbours = neighbours.into_iter().flatten().peekable();
            let Some(near) = neighbours.peek().copied() else { continue };
            if neighbours.all(|other| off(shot, other)) {
                let show = |length| job.style.system.show(length);
                list.push(Caution {
                    about: "shot",
                    place: place_on_wall(job, shot.at.station),
                    text: format!(
                        "{} {} of row {} is at {}, its neighbour at {}: look at the list before anything is laid out by it",
                        kind.words(),
                        shot.shot.id,
                        shot.shot.line,
                        show(shot.shot.z),
                        show(near.shot.z)
                    ),
                    source: "practice",
                });
            }
        }
    }
    list
}

/// Codes whose shots lie along the walls and that no ground line uses.
fn codes_along_the_wall(shots: &ShotReport) -> Vec<Caution> {
    let along = shots.unused_codes.iter().filter(|code| code.near > 2);
    let caution = |code: &super::UnusedCode| {
        let name = match code.code.as_str() {
            "" => "shots without a code".to_owned(),
            code => format!("shots with code {code}"),
        };
        Caution {
            about: "code not used",
            place: String::new(),
            text: format!(
                "{} {name} lie within reach of the walls and are points of no ground line: give the code to a line of the ground, or map it to one that has a line",
                code.near
            ),
            source: "company",
        }
    };
    along.map(caution).collect()
}

/// Shots of finished grade on the low side that mostly lie on the other side of the wall.
fn wrong_side(shots: &ShotReport) -> Option<Caution> {
    let low = || shots.used.iter().filter(|used| used.kind == GroundKind::FinishedLow);
    let behind = low().filter(|used| used.at.offset > Nm::ZERO).count();
    let wrong = low().count() > 2 && 2 * behind > low().count();
    wrong.then(|| Caution {
        about: "side of the earth",
        place: String::new(),
        text: format!(
            "{behind} of {} shots of finished grade on the low side lie on the earth side of the wall: look at the side of the earth and the order of the points",
            low().count()
        ),
        source: "definition",
    })
}

/// A chain that comes back to its start without being a ring.
fn open_ring(job: &WallJob) -> Option<Caution> {
    let chain = &job.site.chain;
    let (first, last) = (chain.walls().first()?, chain.walls().last()?);
    let returns = !chain.closed() && chain.walls().len() > 2 && last.end == first.start;
    returns.then(|| Caution {
        about: "open line of walls",
        place: place_on_wall(job, chain.length()),
        text: format!(
            "{} ends where {} starts, but the line of walls is open: both are taken as free ends, without their corner; if they join, say that the walls are a ring",
            last.id, first.id
        ),
        source: "company",
    })
}

/// Ends to count panels from that the job states and the corners overrule.
fn overruled_origins(job: &WallJob) -> Vec<Caution> {
    use crate::footing::End;
    let chain = &job.site.chain;
    let overruled = |(index, wall): (usize, &crate::footing::WallSpec)| {
        let (start, end) = (chain.joint_rank(index, false), chain.joint_rank(index, true));
        let decided = if start > end { (End::Start, "start") } else { (End::End, "end") };
        let said = wall.origin.filter(|said| start != end && *said != decided.0)?;
        let said = if said == End::Start { "start" } else { "end" };
        Some(Caution {
            about: "panel origin",
            place: chain.walls()[index].id.clone(),
            text: format!(
                "grid_origin = \"{said}\" has no effect: the {} corner decides that the panels are counted from the {}",
                start.max(end).name(),
                decided.1
            ),
            source: "definition",
        })
    };
    job.site.walls.iter().enumerate().filter_map(overruled).collect()
}

/// Walls so short that the footings crossing at their two ends meet.
fn footings_that_meet(job: &WallJob, layout: &Layout) -> Vec<Caution> {
    let site = &job.site;
    let reach = |corner: &crate::survey::Corner, own: usize, other: usize| {
        let across = |wall: usize| -> Vec<Strip> {
            let pieces = layout.footings.iter().filter(|piece| piece.wall == wall);
            pieces.map(|piece| site.types[piece.kind].across()).collect()
        };
        let (own, other) = (across(own), across(other));
        let reach = |own: &Strip| other.iter().map(|other| corner.reach(*own, *other)).max();
        own.iter().filter_map(reach).max().unwrap_or(Nm::ZERO)
    };
    let mut list = Vec::new();
    for (index, wall) in site.chain.walls().iter().enumerate() {
        let corners = site.chain.corners();
        let start = corners.iter().find(|corner| corner.after == index);
        let end = corners.iter().find(|corner| corner.before == index);
        let (Some(start), Some(end)) = (start, end) else { continue };
        let both = reach(start, index, start.before) + reach(end, index, end.after);
        if both > wall.length {
            list.push(Caution {
                about: "footings that meet",
                place: place_on_wall(job, wall.station),
                text: format!(
                    "wall {} is {} long and the footings crossing at its ends reach {}: they overlap, and concrete and excavation are counted twice there",
                    wall.id,
                    job.style.system.show(wall.length),
                    job.style.system.show(both)
                ),
                source: "definition",
            });
        }
    }
    list
}

/// Risers nearer to a corner than the crossing footing needs.
fn crossing_footings(job: &WallJob, layout: &Layout) -> Vec<Caution> {
    let site = &job.site;
    let mut list = Vec::new();
    for corner in site.chain.corners().iter().filter(|corner| !corner.chord) {
        for (wall, other) in [(corner.before, corner.after), (corner.after, corner.before)] {
            let crossing = layout.footings.iter().filter(|piece| piece.wall == other);
            let at_corner =
                crossing.filter(|piece| piece.from == corner.station || piece.to == corner.station);
            let crossing: Vec<Strip> =
                at_corner.map(|piece| site.types[piece.kind].across()).collect();
            for step in layout.steps.iter().filter(|step| step.wall == wall) {
                let distance = (step.station - corner.station).abs();
                let own = site.types[step.low_type].across();
                // At a square concave corner the whole of the crossing footing is looked at, on either side.
                let square = corner.turn.is_square() && !corner.is_convex();
                let heel = |other: &Strip| if square { other.1 } else { Nm::ZERO };
                let reach = |other: &Strip| corner.reach(own, *other).max(heel(other));
                let Some(reach) = crossing.iter().map(reach).max() else { continue };
                if distance < reach + step.overlap {
                    list.push(Caution {
                        about: "crossing footing",
                        place: place_on_wall(job, step.station),
                        text: format!(
                            "this riser is {} from a corner whose crossing footing and the overlap reach {}: look at the reinforcement there with the engineer",
                            job.style.system.show(distance),
                            job.style.system.show(reach + step.overlap)
                        ),
                        source: "practice",
                    });
                }
            }
        }
    }
    list
}

/// Shots that are not used for their height though the ground slopes there as they say.
fn outliers_on_slopes(shots: &ShotReport) -> Option<Caution> {
    let on_slope = |row: &&Refused| matches!(row.reason, Reason::Outlier(_, true));
    let rows: Vec<&Refused> = shots.refused.iter().filter(on_slope).collect();
    if rows.is_empty() {
        return None;
    }
    let name = |row: &&Refused| match row.id.as_str() {
        "" => format!("row {}", row.line),
        id => id.to_owned(),
    };
    let names: Vec<String> = rows.iter().take(5).map(name).collect();
    let more = if rows.len() > 5 { ", ..." } else { "" };
    Some(Caution {
        about: "shots on a slope",
        place: String::new(),
        text: format!(
            "{} not used for height, and on the slope between the shots beside: {}{more}; the ground and what is dug are worked out without them: look at each, and raise outlier_limit of the shots if they are right",
            if rows.len() == 1 {
                "1 shot is".to_owned()
            } else {
                format!("{} shots are", rows.len())
            },
            names.join(", ")
        ),
        source: "company",
    })
}

fn ground_lines(job: &WallJob) -> Vec<Caution> {
    let mut list = Vec::new();
    let end = job.site.chain.length();
    for line in job.site.ground.lines() {
        if let LineOrigin::Offset(from, below) = &line.origin {
            list.push(Caution {
                about: "derived ground",
                place: String::new(),
                text: format!(
                    "{} was not measured: it is taken as {} under {}; {}",
                    line.kind.words(),
                    job.style.system.show(*below),
                    from.words(),
                    if line.kind == GroundKind::Bearing { "the bearing is to be seen in the open cut by the engineer or the geotechnical engineer" } else { "confirm it before it is built on" }
                ),
                source: "company",
            });
        }
        let (first, last) = line.supported();
        if line.gap_over_limit() {
            list.push(Caution {
                about: "gap in the shots",
                place: String::new(),
                text: format!(
                    "{}: {} between neighbouring points, more than the job allows",
                    line.kind.words(),
                    job.style.system.show(line.largest_gap)
                ),
                source: "company",
            });
        }
        if line.origin == LineOrigin::Listed && (first < Nm::ZERO || last > end) {
            list.push(Caution {
                about: "listed station",
                place: String::new(),
                text: format!(
                    "{} is listed from {} to {}, the walls run from 0 to {}: beyond their ends it only gives the slope",
                    line.kind.words(),
                    job.style.system.show(first),
                    job.style.system.show(last),
                    job.style.system.show(end)
                ),
                source: "company",
            });
        }
        // Without a limit of the job, a tenth of the chain.
        let beyond = first.max(Nm::ZERO).max(end - last);
        if !line.line.is_ring()
            && beyond > Nm::ZERO
            && beyond > line.gap_limit.unwrap_or(Nm(end.0 / 10))
        {
            list.push(Caution {
                about: "flat end",
                place: String::new(),
                text: format!(
                    "{} is carried flat for {} beyond its last point",
                    line.kind.words(),
                    job.style.system.show(beyond)
                ),
                source: "company",
            });
        }
    }
    list
}
