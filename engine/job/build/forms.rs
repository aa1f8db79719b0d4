//! Forms of the yard and lumber of the footing.

use super::super::settings::View;
use crate::footing::{Joints, Module};
use crate::forms::{
    FillerWidth, FootingSide, FormSpec, LumberSpec, PanelHeight, PourGroup, SideSpec,
};
use crate::measure::{Choice, Nm, StationStyle, read_length};
use crate::problem::{Faults, Outcome, Problem};

/// The forms, if the job has a table of them and stands on panels.
pub(super) fn forms(root: View, module: &Module) -> Outcome<Option<FormSpec>> {
    let Some(table) = root.table("forms") else { return Ok(None) };
    // A case without panels has no use for them, and is told so.
    let Joints::Panels { panel, corner_leg } = module.joints else { return Ok(None) };
    let mut faults = Faults::none();
    let mut panels: Vec<PanelHeight> = Vec::new();
    for view in table.list("panel") {
        let height = view.length("height")?;
        if panels.iter().any(|panel| panel.height == height) {
            faults.push(view.place("height", Problem::error("this panel height stands twice")));
        }
        let name = view.maybe_text("name").unwrap_or("panel").to_owned();
        panels.push(PanelHeight {
            height,
            ties: view.count("ties")?,
            owned: view.count("owned")?,
            name,
        });
    }
    panels.sort_by_key(|panel| std::cmp::Reverse(panel.height));
    let mut fillers: Vec<FillerWidth> = Vec::new();
    for view in table.list("filler") {
        let width = view.length("width")?;
        if fillers.iter().any(|filler| filler.width == width) {
            faults.push(view.place("width", Problem::error("this filler width stands twice")));
        }
        let name = view.maybe_text("name").unwrap_or("filler").to_owned();
        fillers.push(FillerWidth { width, owned: view.count("owned")?, name });
    }
    fillers.sort_by_key(|filler| std::cmp::Reverse(filler.width));
    let mut heights = faults.keep(lengths(table, "filler_heights")).unwrap_or_default();
    if heights.is_empty() {
        heights = panels.iter().map(|panel| panel.height).collect();
    }
    heights.sort_by_key(|height| std::cmp::Reverse(*height));
    let pours = faults.keep(pours(root, table)).unwrap_or_default();
    faults.or_value(Some(Some(FormSpec {
        panel,
        corner_leg,
        course: table.length("course")?,
        panels,
        fillers,
        filler_heights: heights,
        corner_sets: table.count("corner_sets")?,
        pours,
    })))
}

/// A list of lengths over nothing.
fn lengths(table: View, key: &str) -> Outcome<Vec<Nm>> {
    let mut faults = Faults::none();
    let mut all = Vec::new();
    for text in table.texts(key) {
        let read = read_length(text, StationStyle::default()).and_then(|length| {
            let problem = || Problem::error(format!("{text} is no length over 0"));
            (length > Nm::ZERO).then_some(length).ok_or_else(problem)
        });
        all.extend(faults.keep(read.map_err(|problem| Faults::from(table.place(key, problem)))));
    }
    faults.or_value(Some(all))
}

/// The pours; without any all walls stand together.
fn pours(root: View, table: View) -> Outcome<Vec<PourGroup>> {
    let mut faults = Faults::none();
    let ids: Vec<&str> =
        root.list("wall").iter().filter_map(|wall| wall.maybe_text("id")).collect();
    let mut pours: Vec<PourGroup> = Vec::new();
    for view in table.list("pour") {
        let mut walls = Vec::new();
        for name in view.texts("walls") {
            match ids.iter().position(|id| id == name) {
                Some(wall)
                    if pours.iter().any(|pour| pour.walls.contains(&wall))
                        || walls.contains(&wall) =>
                {
                    faults.push(
                        view.place("walls", Problem::error(format!("wall {name} is poured twice"))),
                    );
                }
                Some(wall) => walls.push(wall),
                None => faults
                    .push(view.place("walls", Problem::error(format!("there is no wall {name}")))),
            }
        }
        let name = view.text("name")?.to_owned();
        if name == "all at once" || pours.iter().any(|pour| pour.name == name) {
            let problem = Problem::error(format!("two pours are called {name}"));
            faults.push(view.place("name", problem.help("give this one another name")));
        }
        if view.texts("walls").is_empty() {
            faults.push(view.place("walls", Problem::error(format!("{name} has no walls"))));
        }
        pours.push(PourGroup { name, walls });
    }
    let left: Vec<&str> = (0..ids.len())
        .filter(|wall| !pours.iter().any(|pour| pour.walls.contains(wall)))
        .map(|wall| ids[wall])
        .collect();
    if pours.is_empty() {
        pours.push(PourGroup { name: "all walls".into(), walls: (0..ids.len()).collect() });
    } else if !left.is_empty() {
        let problem = Problem::error(format!("no pour has wall {}", left.join(", ")));
        faults.push(root.place("forms", problem.help("name each wall in one [[forms.pour]]")));
    }
    faults.or_value(Some(pours))
}

/// The sides of the footing, if the job says how they are poured.
pub(super) fn sides(root: View) -> Outcome<Option<SideSpec>> {
    let Some(table) = root.table("footing_sides") else { return Ok(None) };
    let (toe, heel) = (table.text("toe")?, table.text("heel")?);
    // A faulty one was told when it was read.
    let (Ok(toe), Ok(heel)) = (FootingSide::named(toe), FootingSide::named(heel)) else {
        return Ok(None);
    };
    let spec = SideSpec {
        toe,
        heel,
        over_width: table.length("over_width")?,
        stake_spacing: table.length("stake_spacing")?,
    };
    if spec.over_width > Nm::ZERO && spec.toe == spec.heel && spec.formed() {
        let problem = Problem::error("both sides are formed: no bank is dug too wide and poured");
        return Err(table.place("over_width", problem.help("take it out")).into());
    }
    Ok(Some(spec))
}

/// The lumber, if the job has a table of it.
pub(super) fn lumber(root: View) -> Outcome<Option<LumberSpec>> {
    let Some(table) = root.table("lumber") else { return Ok(None) };
    Ok(Some(LumberSpec {
        bearing: table.length("bearing")?,
        board_course: table.length("board_course")?,
        stake_spacing: table.length("stake_spacing")?,
        kickers: table.count("kickers")?,
        cross_spacing: table.length("cross_spacing")?,
        cross_extra: table.length("cross_extra")?,
        cross_stakes: table.count("cross_stakes")?,
        stakes_owned: table.count("stakes_owned")?,
        stock: lengths(table, "stock")?,
        kerf: table.length("kerf")?,
        unit_weight: table.measure("unit_weight")?,
    }))
}
