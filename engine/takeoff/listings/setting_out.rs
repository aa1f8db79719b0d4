//! What the crew sets the footing out by, and what it pours: each stretch with its levels and rod readings.

use num_rational::BigRational;
use num_traits::Zero;

use super::steps::tape;
use super::text;
use crate::footing::{FootingPiece, Layout, StemPiece, local};
use crate::listing::{Amount, listings};
use crate::measure::{Length, Nm, Volume, decimal_places};
use crate::survey::Side;
use crate::takeoff::{Takeoff, WallJob};

listings! {
    SITE_FACTS = "site_facts", "what every mark rests on: benchmark, instrument, the side of the earth, what stations count from", for Crew, by ["what"]: SiteFact {
        what: &'static str, "what it is";
        text: String, "in words";
    }
    SETTING_OUT = "setting_out", "each stretch of the footing with its levels, edges and rod readings", for Crew, by ["wall", "from"]: SettingOut {
        wall: String, "wall";
        from: Nm, "local station of its start";
        from_tape: Option<String>, "the same in feet and inches";
        to: Nm, "local station of its end";
        to_tape: Option<String>, "the same in feet and inches";
        r#type: String, "wall type";
        toe: Nm, "from the exposed face out to the edge of the footing";
        heel: Nm, "from the exposed face to the edge of the footing on the earth side";
        tof: Nm, "top of footing";
        rod_tof: Option<Nm>, "rod reading on it";
        bof: Nm, "bottom of footing";
        rod_bof: Option<Nm>, "rod reading on it";
        key: Option<Nm>, "bottom of the key; nothing without one";
        rod_key: Option<Nm>, "rod reading on it";
        key_width: Option<Amount<Length>>, "width of the key; the plan says where it lies under the footing";
        stem: Amount<Length>, "thickness of the stem";
        top: Nm, "top of wall, where it is highest";
        rod_top: Option<Nm>, "rod reading on it; nothing where it is over the line of sight";
    }
    POURS = "pours", "what is poured together: the walls, how high they stand, how much concrete", for Crew, by ["pour"]: PourRow {
        pour: String, "its name, or the wall";
        walls: String, "its walls";
        height: Nm, "the highest stem";
        concrete: Option<Amount<Volume>>, "concrete of the stems, net; corners between pours go with the wall before them; nothing where a wall case counts more than its walls say";
    }
}

pub(super) fn facts(job: &WallJob) -> Vec<SiteFact> {
    let system = job.style.system;
    let mut facts = Vec::new();
    let mut enter = |what, text: String| facts.push(SiteFact { what, text });
    if let Some(date) = &job.title.date {
        enter("Date", date.clone());
    }
    if let Some(mark) = &job.benchmark {
        let what = if mark.what.is_empty() { String::new() } else { format!(", {}", mark.what) };
        enter("Benchmark", format!("{}{what}: elevation {}", mark.id, system.show(mark.elevation)));
        enter(
            "Instrument",
            format!(
                "backsight {} on it, height of instrument {}; every mark is read from it, none from the mark before; at another height of instrument the rod is that less the elevation",
                system.show(mark.backsight),
                system.show(mark.instrument_height())
            ),
        );
    }
    let walls = job.site.chain.walls();
    let first = walls.first().map_or("", |wall| wall.id.as_str());
    let side = match job.site.chain.earth() {
        Side::Left => "left",
        Side::Right => "right",
    };
    enter(
        "Earth side",
        format!(
            "where the backfill comes: on the {side}, looking from the start of {first} along the wall"
        ),
    );
    enter(
        "Coordinates",
        "the surveyor's grid: set up on his control points; walls, corners and steps are staked on the exposed face".to_owned(),
    );
    let beyond = |space: Nm, edge: &str| match space {
        Nm::ZERO => format!("no work space beyond the {edge}"),
        space => format!("{} beyond the {edge}", system.show(space)),
    };
    let space = job.site.rates.work_space;
    enter(
        "Excavation",
        format!(
            "at the bottom {} and {}; banks laid back {}:1 (horizontal to vertical) from the {}",
            beyond(space.toe, "toe"),
            beyond(space.heel, "heel"),
            decimal_places(&job.allowances.layback, 2),
            job.allowances.layback_from.name()
        ),
    );
    enter(
        "Stations",
        "along the exposed face, from the start of each wall; the bulkhead stands on the riser, the step in the subgrade lies on the high side of it".to_owned(),
    );
    facts
}

/// The stem over the middle of a footing piece.
fn stem_over<'a>(layout: &'a Layout, piece: &FootingPiece) -> Option<&'a StemPiece> {
    let middle = Nm((piece.from.0 + piece.to.0) / 2);
    let over =
        |stem: &&StemPiece| stem.wall == piece.wall && stem.from <= middle && middle <= stem.to;
    layout.stems.iter().find(over)
}

pub(super) fn stretches(job: &WallJob, layout: &Layout) -> Vec<SettingOut> {
    let site = &job.site;
    let rod = |elevation: Nm| job.benchmark.as_ref().map(|mark| mark.reading(elevation).exact);
    let row = |piece: &FootingPiece| {
        let kind = &site.types[piece.kind];
        let (wall, from, to) = local(site, piece.wall, piece.from, piece.to);
        let key = kind.key.map(|key| piece.bof - key.depth);
        let top = stem_over(layout, piece).map_or(piece.tof, |stem| stem.top.high());
        SettingOut {
            wall: text(wall),
            from,
            from_tape: tape(job, from),
            to,
            to_tape: tape(job, to),
            r#type: text(&kind.id),
            toe: kind.toe,
            heel: kind.width - kind.toe,
            tof: piece.tof,
            rod_tof: rod(piece.tof),
            bof: piece.bof,
            rod_bof: rod(piece.bof),
            key,
            rod_key: key.and_then(rod),
            key_width: kind.key.map(|key| Amount::length(key.width, job.style.system.small())),
            stem: Amount::length(site.walls[piece.wall].stem, job.style.system.small()),
            top,
            rod_top: rod(top).filter(|reading| *reading >= Nm::ZERO),
        }
    };
    layout.footings.iter().map(row).collect()
}

pub(super) fn pours(takeoff: &Takeoff) -> Vec<PourRow> {
    let (job, layout) = (&takeoff.job, &takeoff.layout);
    let walls = job.site.chain.walls();
    let id = |wall: usize| walls[wall].id.as_str();
    let of_forms = job.forms.as_deref().map(|forms| &forms.pours);
    let of_lumber = job.lumber.as_deref().map(|lumber| &lumber.pours);
    let stated = of_forms.into_iter().chain(of_lumber).find(|pours| !pours.is_empty());
    let groups: Vec<(String, Vec<usize>)> = match stated {
        Some(pours) => pours.iter().map(|pour| (pour.name.clone(), pour.walls.clone())).collect(),
        None => (0..walls.len()).map(|wall| (id(wall).to_owned(), vec![wall])).collect(),
    };
    let parts = || {
        let stems = takeoff.lines.iter().filter(|line| line.group() == "stem");
        stems.flat_map(|line| line.parts.iter().map(move |part| (&line.unit, part)))
    };
    let all = parts().fold(BigRational::zero(), |sum, (_, part)| sum + &part.amount.value);
    let total = takeoff.lines.iter().find(|line| line.id == "stem.total");
    let whole = total.is_some_and(|line| line.quantity.value == all);
    let row = |(name, of): (String, Vec<usize>)| {
        let mine = |wall: &str| of.iter().any(|at| wall.split('/').next() == Some(id(*at)));
        let volume = parts().filter(|(_, part)| mine(&part.wall));
        let volume = volume.fold(BigRational::zero(), |sum, (_, part)| sum + &part.amount.value);
        let unit = parts().next().map_or("", |(unit, _)| unit.as_str());
        let high = layout.stems.iter().filter(|stem| of.contains(&stem.wall));
        PourRow {
            walls: of.iter().map(|wall| id(*wall)).collect::<Vec<_>>().join(" "),
            height: high.map(StemPiece::height).max().unwrap_or(Nm::ZERO),
            concrete: Some(volume).filter(|_| whole).map(|volume| Amount::new(volume, unit)),
            pour: name,
        }
    };
    groups.into_iter().map(row).collect()
}
