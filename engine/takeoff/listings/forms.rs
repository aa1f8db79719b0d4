//! Forms: panels, fillers and ties, what the yard has of them, bulkheads, templates and stakes.

use num_rational::BigRational;

use super::steps::tape;
use super::text;
use crate::footing::{Layout, local};
use crate::forms::{
    Bulkhead, Filler, FootingTemplate, FormPart, FormSpec, LumberSpec, PanelRun, UsedLumber,
    YardLine, board_stack, bulkheads, edge_stakes, fillers, panel_runs, templates, ties,
    used_lumber, yard,
};
use crate::listing::{Amount, ColumnValue, listings};
use crate::measure::{Area, Choice, Length, Nm, Ratio, System, Volume, Weight, ratio};
use crate::survey::Polyline;
use crate::takeoff::WallJob;

/// Beside the thrust on a bulkhead.
const THRUST: &str = "a demand: what holds it is for a licensed designer to say";
/// The same where nothing holds the top.
const NO_KICKERS: &str = "no kickers: the stakes take all of it, and it bends them";

listings! {
    PANEL_RUNS = "panel_runs", "panels of each stem piece, the same on both faces", for Crew, by []: PanelRunRow {
        wall: String, "wall";
        from: Nm, "local station of the piece";
        to: Nm, "local station of its end";
        height: Nm, "height of the stem";
        form_height: Nm, "height of the forms: up to the next course";
        modules: i64, "whole panels on each face";
        stack: Option<String>, "panel heights from the top down, the tallest first unless the company stacks them otherwise; none where the yard's do not add up";
        tie_rows: i64, "rows of ties";
        panels: i64, "panels of both faces";
        cut: String, "stretches beside a step off the joints: cut fillers on both faces";
        caution: String, "the caution";
    }
    PANEL_COUNTS = "panel_counts", "panels of both faces by height, all walls at once", for Crew, by ["height"]: PanelCount {
        height: Nm, "height";
        needed: i64, "how many";
        area: Amount<Area>, "their area";
    }
    FORM_FILLERS = "form_fillers", "fillers at corners and in closures", for Crew, by []: FillerRow {
        wall: String, "wall";
        end: &'static str, "its end";
        face: &'static str, "face";
        what: &'static str, "what it closes";
        width: Nm, "width";
        pieces: Option<String>, "stock widths that add up to it; none: cut it";
        stack: Option<String>, "heights, the tallest first";
    }
    YARD = "yard", "what the yard has", for Crew, by []: YardRow {
        part: &'static str, "panel, filler, corner set or hardware";
        name: String, "what the yard calls it";
        width: Option<Nm>, "width";
        height: Option<Nm>, "height; a filler has every height of the list";
        tie_rows: Option<i64>, "rows of ties of a panel";
        owned: i64, "how many there are";
    }
    FORM_YARD = "form_yard", "what stands at one time beside what the yard has", for Crew, by []: FormYardRow {
        pour: String, "pour, or all walls at once";
        part: &'static str, "panel, filler, corner set or hardware";
        name: String, "what the yard calls it";
        width: Option<Nm>, "width of a filler";
        height: Option<Nm>, "height";
        needed: i64, "how many stand";
        owned: i64, "how many there are";
        short: i64, "how many are short";
    }
    FORM_TIES = "form_ties", "ties of the stem forms by wall", for Crew, by ["wall"]: TieRow {
        wall: String, "wall";
        count: i64, "how many";
    }
    BULKHEADS = "bulkheads", "bulkheads at the steps of the footing", for Crew, by ["step"]: BulkheadRow {
        step: usize, "number of the step, from station 0";
        wall: String, "wall";
        station: Nm, "local station: the bulkhead stands on it";
        station_tape: Option<String>, "the same in feet and inches";
        height: Nm, "net height: the rise";
        length: Nm, "length of its boards";
        boards: i64, "boards, one over the other";
        board: Option<String>, "which board, and the strip on each: nearest to the net height of what the job names";
        off: Option<Amount<Length>>, "their height less the net height";
        stakes: i64, "stakes";
        kickers: i64, "kickers";
        pull: String, "whether its stakes stay or are pulled when the concrete sets";
        thrust: Amount<Weight>, "thrust of the fresh concrete";
        half_lift: Amount<Weight>, "thrust of each half lift, the one before it stiff";
        top_brace: Amount<Weight>, "the part of the thrust that braces at its top take";
        foot: Amount<Weight>, "the part that its foot takes";
        kicker: Option<Amount<Weight>>, "force along each kicker, all alike; none where there are no kickers";
        kicker_uplift: Option<Amount<Weight>>, "how each kicker lifts the bulkhead";
        stake: Amount<Weight>, "sideways force of a stake between two others: its spacing of the foot's part, or of the whole thrust where there are no kickers";
        foot_rule: Option<Amount<Weight>>, "thrust by the field rule, foot by foot";
        top_brace_rule: Option<Amount<Weight>>, "the top braces' part of it, each foot's thrust at its middle";
        rule_over_exact: Option<Amount<Ratio>>, "field rule over thrust";
        caution: String, "the caution";
    }
    LUMBER_SOLD = "lumber_sold", "lumber of the footing by use, as it is built and as it is sold", for Crew, by []: SoldRow {
        used: &'static str, "what it is used for";
        board: Option<String>, "what the yard calls the board; none where the job does not name it";
        pieces: i64, "pieces";
        length: Nm, "their length";
        volume: Option<Amount<Volume>>, "volume by the section that it is sold by: a board foot is 1 in x 12 in x 12 in";
    }
    TEMPLATES = "templates", "templates over the footing pieces", for Crew, by []: TemplateRow {
        wall: String, "wall";
        from: Nm, "local station of the piece";
        to: Nm, "local station of its end";
        cross_pieces: i64, "cross pieces";
        cross_length: Nm, "length of one";
        stakes: i64, "stakes";
        underside: Nm, "underside of the cross pieces: the top of footing";
        rod: Option<Nm>, "rod reading of it from the benchmark";
        bar_line: Option<Nm>, "from the toe edge of the footing to the centre of the dowels, on the earth face";
        wrong_side: Option<Nm>, "the same if they stood on the exposed face: a reading near this is the wrong side";
    }
    STAKES = "stakes", "stakes beside what there are", for Crew, by []: StakeRow {
        needed: i64, "bulkheads, templates and edge boards together";
        owned: i64, "how many there are";
        short: i64, "how many are short";
    }
}

/// Lengths one after the other, as a person reads them.
pub(super) fn sizes(job: &WallJob, sizes: &[Nm]) -> String {
    let all: Vec<String> = sizes
        .iter()
        .map(|size| tape(job, *size).unwrap_or_else(|| job.style.system.show(*size)))
        .collect();
    all.join(" + ")
}

pub(super) fn runs(job: &WallJob, layout: &Layout, spec: &FormSpec) -> Vec<PanelRunRow> {
    let row = |run: PanelRun| {
        let piece = &layout.stems[run.piece];
        let (wall, from, to) = local(&layout.site, piece.wall, piece.from, piece.to);
        let height = piece.height();
        let stack = run.stack.as_ref();
        let mut cautions = Vec::new();
        if stack.is_none() {
            cautions.push("no stack of the yard's heights adds up to the form height".to_owned());
        }
        if layout.site.module.rise.0 % spec.course.0 != 0 {
            cautions
                .push("a rise is no whole course: panel tops beside a step are not level".into());
        }
        PanelRunRow {
            wall,
            from,
            to,
            height,
            form_height: run.height,
            modules: run.modules,
            stack: stack.map(|stack| sizes(job, stack)),
            tie_rows: run.tie_rows,
            panels: run.modules * 2 * i64::try_from(stack.map_or(0, Vec::len)).unwrap_or(0),
            cut: sizes(job, &run.cut),
            caution: cautions.join("; "),
        }
    };
    panel_runs(layout, spec).into_iter().map(row).collect()
}

fn every_wall(layout: &Layout) -> Vec<usize> {
    (0..layout.site.chain.walls().len()).collect()
}

pub(super) fn counts(job: &WallJob, layout: &Layout, spec: &FormSpec) -> Vec<PanelCount> {
    let runs = panel_runs(layout, spec);
    let all = yard(layout, spec, &runs, &[], &every_wall(layout));
    let row = |line: YardLine| {
        let FormPart::Panel(height) = line.part else { return None };
        let area = ratio(height.wide(), 1) * ratio(spec.panel.wide() * i128::from(line.needed), 1);
        let area = Amount::new(area, job.style.system.area());
        Some(PanelCount { height, needed: line.needed, area })
    };
    all.into_iter().filter_map(row).collect()
}

pub(super) fn filler_rows(job: &WallJob, layout: &Layout, spec: &FormSpec) -> Vec<FillerRow> {
    let row = |filler: Filler| FillerRow {
        wall: text(&layout.site.chain.walls()[filler.wall].id),
        end: filler.end.name(),
        face: filler.face.name(),
        what: filler.what.name(),
        width: filler.width,
        pieces: filler.pieces.map(|pieces| sizes(job, &pieces)),
        stack: filler.stack.map(|stack| sizes(job, &stack)),
    };
    fillers(layout, spec).into_iter().map(row).collect()
}

/// A part of the forms as a person reads it.
pub(super) struct PartWords {
    pub(super) part: &'static str,
    pub(super) name: String,
    pub(super) width: Option<Nm>,
    pub(super) height: Option<Nm>,
}

impl PartWords {
    pub(super) fn of(spec: &FormSpec, part: FormPart) -> Self {
        let (word, name, width, height) = match part {
            FormPart::Panel(height) => {
                ("panel", spec.panel_of(height).map(|panel| &panel.name), None, Some(height))
            }
            FormPart::Filler(width, height) => {
                let filler = spec.fillers.iter().find(|filler| filler.width == width);
                ("filler", filler.map(|filler| &filler.name), Some(width), Some(height))
            }
            FormPart::CornerSet => ("corner set", None, None, None),
            FormPart::HingedSet => ("hinged corner set", None, None, None),
            FormPart::Hardware(at) => {
                ("hardware", spec.hardware.get(at).map(|kind| &kind.name), None, None)
            }
        };
        Self { part: word, name: name.cloned().unwrap_or_else(|| text(word)), width, height }
    }
}

pub(super) fn yard_rows(layout: &Layout, spec: &FormSpec) -> Vec<FormYardRow> {
    let runs = panel_runs(layout, spec);
    let fillers = fillers(layout, spec);
    let all = ("all at once", every_wall(layout));
    let pours = spec.pours.iter().map(|pour| (pour.name.as_str(), pour.walls.clone()));
    let of = |(pour, walls): (&str, Vec<usize>)| {
        let row = |line: YardLine| {
            let PartWords { part, name, width, height } = PartWords::of(spec, line.part);
            FormYardRow {
                pour: text(pour),
                part,
                name,
                width,
                height,
                needed: line.needed,
                owned: line.owned,
                short: line.short(),
            }
        };
        yard(layout, spec, &runs, &fillers, &walls).into_iter().map(row).collect::<Vec<_>>()
    };
    std::iter::once(all).chain(pours).flat_map(of).collect()
}

pub(super) fn yard_parts(spec: &FormSpec) -> Vec<YardRow> {
    let panels = spec.panels.iter().map(|panel| YardRow {
        part: "panel",
        name: text(&panel.name),
        width: Some(spec.panel),
        height: Some(panel.height),
        tie_rows: Some(panel.ties),
        owned: panel.owned,
    });
    let fillers = spec.fillers.iter().map(|filler| YardRow {
        part: "filler",
        name: text(&filler.name),
        width: Some(filler.width),
        height: None,
        tie_rows: None,
        owned: filler.owned,
    });
    let corner = |part: &'static str, owned: i64| YardRow {
        part,
        name: text(part),
        width: None,
        height: None,
        tie_rows: None,
        owned,
    };
    let hinged = (spec.hinged_sets > 0).then(|| corner("hinged corner set", spec.hinged_sets));
    let corners = std::iter::once(corner("corner set", spec.corner_sets)).chain(hinged);
    let hardware = spec.hardware.iter().map(|kind| YardRow {
        part: "hardware",
        name: text(&kind.name),
        width: None,
        height: None,
        tie_rows: None,
        owned: kind.owned,
    });
    panels.chain(fillers).chain(corners).chain(hardware).collect()
}

pub(super) fn tie_rows(layout: &Layout, spec: &FormSpec) -> Vec<TieRow> {
    let runs = panel_runs(layout, spec);
    let walls = layout.site.chain.walls().iter().enumerate();
    let row = |(wall, line): (usize, &crate::survey::WallLine)| TieRow {
        wall: text(&line.id),
        count: ties(layout, &runs, &[wall]),
    };
    walls.map(row).collect()
}

/// What a small length is read in.
fn small_unit(job: &WallJob) -> &'static str {
    if job.style.system == System::Us { "in" } else { "mm" }
}

/// A small length as a person reads it.
fn small(job: &WallJob, length: Nm) -> String {
    Amount::length(length, small_unit(job)).datum().short_words(job.style.system)
}

/// A thrust: pounds, or kilonewtons.
fn force(job: &WallJob, force: BigRational) -> Amount<Weight> {
    Amount::new(force, if job.style.system == System::Us { "lb" } else { "kN" })
}

pub(super) fn bulkhead_rows(job: &WallJob, layout: &Layout, spec: &LumberSpec) -> Vec<BulkheadRow> {
    let us = job.style.system == System::Us;
    let row = |(at, (step, bulkhead)): (usize, (&crate::footing::Step, Bulkhead))| {
        let (wall, station, _) = local(&layout.site, step.wall, step.station, step.station);
        let high = step.tof_before.max(step.tof_after);
        let stays =
            ground_at(&layout.site.ground.existing.line, step.station) >= ratio(high.wide(), 1);
        let thrust = bulkhead.thrust(spec);
        let rule = &thrust.foot_rule / &thrust.whole;
        let stack = board_stack(spec, bulkhead.height);
        let mut cautions = vec![THRUST.to_owned()];
        cautions.extend(thrust.kicker.is_none().then(|| NO_KICKERS.to_owned()));
        if let Some(stack) = stack.as_ref().filter(|s| s.off.0.abs() > spec.height_tolerance.0) {
            cautions.push(format!(
                "boards are {} off the net height, {} is allowed",
                small(job, Nm(stack.off.0.abs())),
                small(job, spec.height_tolerance)
            ));
        }
        BulkheadRow {
            step: at + 1,
            wall,
            station,
            station_tape: tape(job, station),
            height: bulkhead.height,
            length: bulkhead.length,
            boards: bulkhead.boards,
            board: stack.as_ref().map(|stack| match stack.strip {
                Some(strip) => {
                    format!("{} + {} strip", spec.boards[stack.board].name, small(job, strip))
                }
                None => text(&spec.boards[stack.board].name),
            }),
            off: stack.map(|stack| Amount::length(stack.off, small_unit(job))),
            stakes: bulkhead.stakes,
            kickers: spec.kickers,
            pull: text(if stays {
                "in ground as high as the upper footing: stays"
            } else {
                "pulled when the concrete sets"
            }),
            half_lift: force(job, thrust.half_lift),
            top_brace: force(job, thrust.top_brace),
            foot: force(job, thrust.foot),
            kicker_uplift: thrust.kicker.as_ref().map(|load| force(job, load.uplift.clone())),
            kicker: thrust.kicker.map(|load| force(job, load.along)),
            stake: force(job, thrust.stake),
            top_brace_rule: us.then(|| force(job, thrust.top_brace_rule)),
            foot_rule: us.then(|| force(job, thrust.foot_rule)),
            rule_over_exact: us.then(|| Amount::new(rule, "")),
            thrust: force(job, thrust.whole),
            caution: cautions.join("; "),
        }
    };
    layout.steps.iter().zip(bulkheads(layout, spec)).enumerate().map(row).collect()
}

pub(super) fn sold_rows(job: &WallJob, layout: &Layout, spec: &LumberSpec) -> Vec<SoldRow> {
    let unit = if job.style.system == System::Us { "board_foot" } else { "m3" };
    let row = |lumber: UsedLumber| SoldRow {
        used: lumber.used.name(),
        board: lumber.board.map(|board| text(&spec.boards[board].name)),
        pieces: lumber.pieces.iter().map(|(_, count)| count).sum(),
        length: lumber.length(),
        volume: lumber.board.map(|board| Amount::new(spec.sold(board, lumber.length()), unit)),
    };
    used_lumber(layout, spec).into_iter().map(row).collect()
}

/// Elevation of a line at a station.
fn ground_at(line: &Polyline, station: Nm) -> BigRational {
    line.height(station).real()
}

pub(super) fn template_rows(job: &WallJob, layout: &Layout, spec: &LumberSpec) -> Vec<TemplateRow> {
    let row = |(piece, template): (&crate::footing::FootingPiece, FootingTemplate)| {
        let kind = &layout.site.types[piece.kind];
        let stem = layout.site.walls[piece.wall].stem;
        let from_face = job.steel.as_ref().map(|steel| {
            let bar = &steel.bars[steel.types[piece.kind].vertical];
            steel.rules.face_cover + Nm(bar.diameter.0 / 2)
        });
        TemplateRow {
            wall: template.wall,
            from: template.from,
            to: template.to,
            cross_pieces: template.cross_pieces,
            cross_length: template.cross_length,
            stakes: template.stakes,
            underside: template.underside,
            rod: job.benchmark.as_ref().map(|mark| mark.reading(template.underside).exact),
            bar_line: from_face.map(|in_stem| kind.toe + stem - in_stem),
            wrong_side: from_face.map(|in_stem| kind.toe + in_stem),
        }
    };
    layout.footings.iter().zip(templates(layout, spec)).map(row).collect()
}

pub(super) fn stakes(job: &WallJob, layout: &Layout, spec: &LumberSpec) -> Vec<StakeRow> {
    let bulkheads: i64 = bulkheads(layout, spec).iter().map(|bulkhead| bulkhead.stakes).sum();
    let templates: i64 = templates(layout, spec).iter().map(|template| template.stakes).sum();
    let edges = job.sides.as_ref().map_or(0, |sides| edge_stakes(layout, sides));
    let needed = bulkheads + templates + edges;
    let (owned, short) = (spec.stakes_owned, (needed - spec.stakes_owned).max(0));
    vec![StakeRow { needed, owned, short }]
}
