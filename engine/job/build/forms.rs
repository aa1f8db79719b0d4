//! Forms of the yard and lumber of the footing.

use num_rational::BigRational;
use num_traits::ToPrimitive;

use super::super::alignment;
use super::super::settings::View;
use super::stock;
use crate::footing::{Joints, Module};
use crate::forms::{
    ANGLE, Board, BoardUse, FillerWidth, FootingSide, FormSpec, Hardware, LumberSpec, PanelHeight,
    PourGroup, SideSpec, WayPrices,
};
use crate::measure::{Angle, Choice, Nm, StationStyle, System, read_length};
use crate::problem::{Faults, Outcome, Problem};

/// The forms, if the job has a table of them and stands on panels.
pub(super) fn forms(root: View, module: &Module) -> Outcome<Option<FormSpec>> {
    let Some(table) = root.table("forms") else { return Ok(None) };
    // A case without panels has no use for them, and is told so.
    let Joints::Panels { panel, .. } = module.joints else { return Ok(None) };
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
            rent: money(view, "rent"),
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
        let (owned, rent) = (view.count("owned")?, money(view, "rent"));
        fillers.push(FillerWidth { width, owned, name, rent });
    }
    fillers.sort_by_key(|filler| std::cmp::Reverse(filler.width));
    let mut heights = faults.keep(lengths(table, "filler_heights")).unwrap_or_default();
    if heights.is_empty() {
        heights = panels.iter().map(|panel| panel.height).collect();
    }
    heights.sort_by_key(|height| std::cmp::Reverse(*height));
    let pours = faults.keep(pours(root, table, "forms")).unwrap_or_default();
    faults.or_value(Some(Some(FormSpec {
        panel,
        course: table.length("course")?,
        panels,
        fillers,
        filler_heights: heights,
        corner_sets: table.count("corner_sets")?,
        hinged_sets: table.count("hinged_corner_sets")?,
        pours,
        hardware: hardware(table)?,
        corner_rent: money(table, "corner_rent"),
        prices: root.table("prices").map(way_prices).unwrap_or_default(),
    })))
}

/// A sum of money, if it is given.
fn money(view: View, key: &str) -> Option<BigRational> {
    view.maybe_measure(key).map(|exact| exact.value)
}

fn way_prices(prices: View) -> WayPrices {
    let contact = [money(prices, "wall_forms"), money(prices, "strip_and_clean")];
    let given = contact.iter().any(Option::is_some);
    WayPrices {
        extra_panel: money(prices, "extra_panel"),
        tie: money(prices, "tie"),
        pour_break: money(prices, "pour_break"),
        contact: given.then(|| contact.into_iter().flatten().sum()),
    }
}

fn hardware(table: View) -> Outcome<Vec<Hardware>> {
    let mut faults = Faults::none();
    let mut all: Vec<Hardware> = Vec::new();
    for view in table.list("hardware") {
        let kind = Hardware {
            name: view.text("name")?.to_owned(),
            for_each_tie: view.count("each_tie")?,
            for_each_panel: view.count("each_panel")?,
            for_each_filler: view.count("each_filler")?,
            for_each_corner: view.count("each_corner")?,
            owned: view.count("owned")?,
        };
        if all.iter().any(|other| other.name == kind.name) {
            let problem =
                Problem::error(format!("two pieces of hardware are called {}", kind.name));
            faults.push(view.place("name", problem));
        }
        all.push(kind);
    }
    faults.or_value(Some(all))
}

/// A list of lengths over nothing.
fn lengths(table: View, key: &str) -> Outcome<Vec<Nm>> {
    let mut faults = Faults::none();
    let mut all = Vec::new();
    for text in table.texts(key) {
        let read = read_length(text, StationStyle::default()).and_then(|length| {
            let problem = || Problem::error(format!("{text} is not a length over 0"));
            (length > Nm::ZERO).then_some(length).ok_or_else(problem)
        });
        all.extend(faults.keep(read.map_err(|problem| Faults::from(table.place(key, problem)))));
    }
    faults.or_value(Some(all))
}

/// The pours of a table; without any all walls stand together.
fn pours(root: View, table: View, of: &str) -> Outcome<Vec<PourGroup>> {
    let mut faults = Faults::none();
    let names = alignment::names(root);
    let ids = names.ids();
    let mut pours: Vec<PourGroup> = Vec::new();
    for view in table.list("pour") {
        let mut walls = Vec::new();
        for name in view.texts("walls") {
            let named = names.named(name);
            if named.is_empty() {
                let problem = Problem::error(format!("there is no wall {name}"));
                faults.push(view.place("walls", problem));
            }
            let poured =
                |wall: &usize| pours.iter().any(|pour: &PourGroup| pour.walls.contains(wall));
            if named.iter().any(|wall| poured(wall) || walls.contains(wall)) {
                let problem = Problem::error(format!("wall {name} is poured twice"));
                faults.push(view.place("walls", problem));
                continue;
            }
            walls.extend(named);
        }
        let name = view.text("name")?.to_owned();
        if name == "all at once" || pours.iter().any(|pour| pour.name == name) {
            let problem = Problem::error(format!("two pours are called {name}"));
            faults.push(view.place("name", problem.help("give this one another name")));
        }
        if view.texts("walls").is_empty() {
            faults.push(view.place("walls", Problem::error(format!("{name} has no walls"))));
        }
        pours.push(PourGroup {
            name,
            walls,
            first: view.maybe_count("day"),
            standing: view.count("stands")?,
        });
    }
    let left: Vec<&str> = (0..ids.len())
        .filter(|wall| !pours.iter().any(|pour| pour.walls.contains(wall)))
        .map(|wall| ids[wall].as_str())
        .collect();
    if pours.is_empty() {
        let walls = (0..ids.len()).collect();
        pours.push(PourGroup { name: "all walls".into(), walls, first: None, standing: 1 });
    } else if !left.is_empty() {
        let problem = Problem::error(format!("no pour has wall {}", left.join(", ")));
        let help = format!("name each wall in one [[{of}.pour]]");
        faults.push(root.place(of, problem.help(help)));
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
pub(super) fn lumber(root: View, system: System) -> Outcome<Option<LumberSpec>> {
    let Some(table) = root.table("lumber") else { return Ok(None) };
    let stock = lengths(table, "stock")?;
    let twice = stock::twice(table, &stock, system);
    if !twice.is_empty() {
        return Err(twice);
    }
    Ok(Some(LumberSpec {
        bearing: table.length("bearing")?,
        board_course: table.length("board_course")?,
        stake_spacing: table.length("stake_spacing")?,
        kickers: table.count("kickers")?,
        kicker_angle: kicker_angle(table)?,
        boards: boards(table)?,
        strips: lengths(table, "strips")?,
        height_tolerance: table.length("height_tolerance")?,
        cross_spacing: table.length("cross_spacing")?,
        cross_extra: table.length("cross_extra")?,
        cross_stakes: table.count("cross_stakes")?,
        stakes_owned: table.count("stakes_owned")?,
        kickers_owned: table.maybe_count("kickers_owned"),
        cross_pieces_owned: table.maybe_count("cross_pieces_owned"),
        pours: pours(root, table, "lumber")?,
        stock_prices: stock::prices(root, stock::LUMBER, &stock, system)?,
        stock,
        kerf: table.length("kerf")?,
        unit_weight: table.measure("unit_weight")?,
    }))
}

fn kicker_angle(table: View) -> Outcome<Angle> {
    let given = table.measure("kicker_angle")?;
    let angle = Angle::from_base(given.value.to_f64().unwrap_or(0.0));
    let known = ANGLE.named("kicker_angle").check(angle).map(|()| angle);
    known.map_err(|problem| table.place("kicker_angle", problem).into())
}

/// The boards of the lumber; cross pieces and long pieces are of one each.
fn boards(table: View) -> Outcome<Vec<Board>> {
    let mut faults = Faults::none();
    let mut all: Vec<Board> = Vec::new();
    for view in table.list("board") {
        let name = view.text("name")?.to_owned();
        if all.iter().any(|board| board.name == name) {
            let problem = Problem::error(format!("two boards are called {name}"));
            faults.push(view.place("name", problem));
        }
        let mut uses = Vec::new();
        for used in view.texts("uses") {
            let used = BoardUse::named(used).map_err(|problem| view.place("uses", problem));
            let Some(used) = faults.keep(used.map_err(Faults::from)) else { continue };
            let one = used != BoardUse::Bulkheads;
            if let Some(other) = all.iter().find(|board| one && board.uses.contains(&used)) {
                let problem =
                    Problem::error(format!("{} are of two boards, {name} too", used.name())).help(
                        format!("they are of one: take this out here or from {}", other.name),
                    );
                faults.push(view.place("uses", problem));
            }
            uses.push(used);
        }
        let (thickness, width) = (view.length("thickness")?, view.length("width")?);
        all.push(Board {
            name,
            thickness,
            width,
            sold_thickness: view.maybe_length("sold_thickness").unwrap_or(thickness),
            sold_width: view.maybe_length("sold_width").unwrap_or(width),
            uses,
        });
    }
    faults.or_value(Some(all))
}
