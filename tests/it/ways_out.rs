//! Ways out of a shortage of forms: the least cost against every choice, and each alternative recomputed from its listing.

use std::collections::BTreeMap;

use crate::support::{Dice, Done, Folder, run, run_job_toml, without_tables};
use num_rational::BigRational;
use rodbook::footing::Layout;
use rodbook::forms::{FormPart, FormSpec, PanelHeight, panel_runs, ways_out};
use rodbook::measure::Nm;

/// Two walls that meet at a corner, with three panels and two, and a step.
const SMALL: &str = r##"
[job]
name = "two short walls"
[alignment]
earth_side = "left"
points = [
  { id = "A", east = "5000.00 ft", north = "2000.00 ft" },
  { id = "B", east = "5006.20 ft", north = "2004.65 ft" },
  { id = "C", east = "5002.75 ft", north = "2009.25 ft" },
]
[[wall]]
id = "W1"
from = "A"
to = "B"
stem = "12 in"
tops = [{ from = "0 ft", top = "206 ft" }]
[[wall]]
id = "W2"
from = "B"
to = "C"
stem = "12 in"
tops = [{ from = "0 ft", top = "206 ft" }]
[module]
panel = "2 ft"
corner_leg = "8 in"
rise = "1 ft"
level_0 = "200 ft"
lowest_level = -4
highest_level = 4
[rules]
frost_depth = "1 ft"
corner_clear = "1 ft"
shortest_run = "2 ft"
overlap_step = "1 in"
[layout_rates]
footing_concrete = "200 usd/cy"
wall_concrete = "200 usd/cy"
forms_one_face = "40 usd/sf"
dig = "20 usd/cy"
riser_each = "1 usd"
rise_each_level = "1 usd"
[[type]]
id = "S"
stem_up_to = "10 ft"
width = "4 ft"
thickness = "12 in"
toe = "1 ft"
[ground.finished_low]
stations = [["0 ft", "202 ft"], ["2 ft", "202 ft"], ["13.5 ft", "204 ft"]]
[ground.bearing]
stations = [["0 ft", "201 ft"], ["2 ft", "201 ft"], ["13.5 ft", "203 ft"]]
[ground.existing]
stations = [["0 ft", "205 ft"], ["13.5 ft", "205 ft"]]
[prices]
wall_forms = "9 usd/sf"
strip_and_clean = "1 usd/sf"
[forms]
course = "1 ft"
panel = [
  { height = "4 ft", ties = 2 },
  { height = "3 ft", ties = 2 },
  { height = "2 ft", ties = 1 },
  { height = "1 ft", ties = 1 },
]
filler = [{ width = "20 in" }, { width = "1 in" }]
"##;

fn money(cents: i64) -> BigRational {
    BigRational::new(cents.into(), 100.into())
}

/// A yard by chance: few panels, some to be had for rent, some not at all.
fn yard_by_chance(spec: &FormSpec, dice: &mut Dice) -> FormSpec {
    let mut spec = spec.clone();
    let rent = |dice: &mut Dice| (!dice.chance(3)).then(|| money(dice.roll(0, 900)));
    for panel in &mut spec.panels {
        panel.owned = dice.roll(0, 8);
        panel.rent = rent(dice);
    }
    for filler in &mut spec.fillers {
        filler.owned = dice.roll(0, 5);
        filler.rent = Some(money(dice.roll(0, 300)));
    }
    spec.corner_sets = dice.roll(0, 1);
    spec.corner_rent = rent(dice);
    spec.prices.extra_panel = Some(money(dice.roll(0, 600)));
    spec.prices.tie = Some(money(dice.roll(0, 200)));
    spec.prices.pour_break = Some(money(dice.roll(0, 6000)));
    spec.pours[0].standing = dice.roll(1, 4);
    spec
}

/// Every way to write a height as panels, the tallest first.
fn every_stack(height: Nm, panels: &[PanelHeight]) -> Vec<Vec<Nm>> {
    if height == Nm::ZERO {
        return vec![Vec::new()];
    }
    let mut found = Vec::new();
    for (at, panel) in panels.iter().enumerate().filter(|(_, panel)| panel.height <= height) {
        for mut rest in every_stack(height - panel.height, &panels[at..]) {
            rest.insert(0, panel.height);
            found.push(rest);
        }
    }
    found
}

/// One width of a panel, on both faces, in order along the walls.
#[derive(Clone)]
struct Width {
    wall: usize,
    height: Nm,
    fewest: Vec<Nm>,
    /// Fillers of the ends of walls that stand with it.
    fillers: Vec<FormPart>,
    /// Whether the corner stands with it.
    corner: bool,
    /// Forms of a joint after it, before its price: stem by the taller height there.
    joint: BigRational,
}

fn widths(layout: &Layout, spec: &FormSpec) -> Vec<Width> {
    let mut widths: Vec<Width> = Vec::new();
    let mut stems: Vec<Nm> = Vec::new();
    for (piece, run) in layout.stems.iter().zip(panel_runs(layout, spec)) {
        for _ in 0..run.modules {
            stems.push(piece.height());
            widths.push(Width {
                wall: piece.wall,
                height: run.height,
                fewest: run.stack.clone().expect("a stack"),
                fillers: Vec::new(),
                corner: false,
                joint: BigRational::default(),
            });
        }
    }
    let stem = layout.site.walls[0].stem;
    for at in 1..widths.len() {
        let taller = i128::from(stems[at - 1].max(stems[at]).0) * i128::from(stem.0);
        widths[at - 1].joint = BigRational::from_integer(taller.into());
    }
    let second = widths.iter().position(|width| width.wall == 1).expect("the second wall");
    (widths[second - 1].corner, widths[second].corner) = (true, true);
    for filler in rodbook::forms::fillers(layout, spec) {
        let of_wall = (0..widths.len()).filter(|at| widths[*at].wall == filler.wall);
        let at = match filler.end {
            rodbook::footing::End::Start => of_wall.min(),
            rodbook::footing::End::End => of_wall.max(),
        };
        for width in filler.pieces.iter().flatten() {
            for height in filler.stack.iter().flatten() {
                widths[at.expect("a width")].fillers.push(FormPart::Filler(*width, *height));
            }
        }
    }
    widths
}

/// What some parts cost at the rent of so many days; nothing where a part is short and not for rent.
fn rent_of(spec: &FormSpec, counts: &BTreeMap<FormPart, i64>) -> Option<BigRational> {
    let days = BigRational::from_integer(spec.pours[0].standing.into());
    let mut sum = BigRational::default();
    for (part, count) in counts {
        let (owned, rent) = match part {
            FormPart::Panel(height) => {
                let panel = spec.panels.iter().find(|panel| panel.height == *height)?;
                (panel.owned, panel.rent.clone())
            }
            FormPart::Filler(width, _) => {
                let filler = spec.fillers.iter().find(|filler| filler.width == *width)?;
                (filler.owned, filler.rent.clone())
            }
            FormPart::CornerSet => (spec.corner_sets, spec.corner_rent.clone()),
            FormPart::HingedSet => (spec.hinged_sets, spec.corner_rent.clone()),
            FormPart::Hardware(_) => continue,
        };
        if *count > owned {
            sum += rent? * BigRational::from_integer((count - owned).into()) * &days;
        }
    }
    Some(sum)
}

/// The least cost of widths that stand together, by every choice of a stack for each of them.
fn least(spec: &FormSpec, widths: &[Width]) -> Option<BigRational> {
    let mut fixed: BTreeMap<FormPart, i64> = BTreeMap::new();
    for part in widths.iter().flat_map(|width| &width.fillers) {
        *fixed.entry(*part).or_default() += 1;
    }
    if widths.iter().any(|width| width.corner) {
        fixed.insert(FormPart::CornerSet, 1);
    }
    // Widths of a height are alike: what counts is how many panels of each height all take.
    let mut choices: BTreeMap<BTreeMap<FormPart, i64>, ()> = BTreeMap::from([(fixed, ())]);
    for width in widths {
        let mut next = BTreeMap::new();
        for stack in every_stack(width.height, &spec.panels) {
            for chosen in choices.keys() {
                let mut chosen = chosen.clone();
                for height in &stack {
                    *chosen.entry(FormPart::Panel(*height)).or_default() += 2;
                }
                next.insert(chosen, ());
            }
        }
        choices = next;
    }
    let mut base: BTreeMap<Nm, i64> = BTreeMap::new();
    for height in widths.iter().flat_map(|width| &width.fewest) {
        *base.entry(*height).or_default() += 2;
    }
    let of = |counts: BTreeMap<FormPart, i64>| {
        let mut cost = rent_of(spec, &counts)?;
        for panel in &spec.panels {
            let count = counts.get(&FormPart::Panel(panel.height)).copied().unwrap_or(0);
            let more = count - base.get(&panel.height).copied().unwrap_or(0);
            let more = BigRational::from_integer(more.into());
            let ties = BigRational::new(panel.ties.into(), 2.into());
            cost += &more * spec.prices.extra_panel.clone()?;
            cost += more * ties * spec.prices.tie.clone()?;
        }
        Some(cost)
    };
    choices.into_keys().filter_map(of).min()
}

/// On 200 random small yards no choice of stacks, rent and joint costs less than the way out that is named, and where none is
/// named there is none. The judge tries every stack of every panel width, and every joint.
#[test]
fn least_of_every_choice() {
    let done = run_job_toml(SMALL, "id,code,n,e,z\n");
    let takeoff = done.work.takeoff.as_ref().expect("a takeoff");
    let layout = &takeoff.layout;
    let spec = done.job.wall_job.forms.as_deref().expect("its forms");
    let widths = widths(layout, spec);
    let heights: std::collections::BTreeSet<Nm> = widths.iter().map(|width| width.height).collect();
    assert!(widths.len() >= 5 && heights.len() >= 2, "{} {}", widths.len(), heights.len());
    let mut dice = Dice::new(0x5eed_1517);
    let mut by_kind: BTreeMap<&str, usize> = BTreeMap::new();
    for round in 0..200 {
        let spec = yard_by_chance(spec, &mut dice);
        let ways = ways_out(layout, &spec);
        let contact = spec.prices.contact.clone().expect("a price of forms");
        let whole = least(&spec, &widths);
        let broken = (1..widths.len()).filter_map(|at| {
            let parts = least(&spec, &widths[..at])? + least(&spec, &widths[at..])?;
            Some(parts + spec.prices.pour_break.clone()? + &widths[at - 1].joint * &contact)
        });
        let best = whole.into_iter().chain(broken).min();
        if ways.is_empty() {
            *by_kind.entry("not short").or_default() += 1;
            continue;
        }
        let named = ways.iter().find(|way| way.least);
        assert_eq!(named.and_then(|way| way.cost.clone()), best, "yard {round}: {spec:?}");
        let kind = named.map_or("none", |way| rodbook::measure::Choice::name(way.kind));
        *by_kind.entry(kind).or_default() += 1;
    }
    // Every kind is the least somewhere.
    assert!(by_kind.len() == 6 && by_kind.values().all(|count| *count >= 5), "{by_kind:?}");
}

/// Feet and inches in inches.
fn inches(text: &str) -> i64 {
    let (feet, rest) = text.split_once("'-").expect("feet");
    let feet: i64 = feet.parse().expect("feet");
    feet * 12 + rest.trim_end_matches('"').parse::<i64>().expect("inches")
}

/// The demo with 8-ft panels short and prices of the ways out.
fn demo_with(owned: i64, rent: &str) -> Folder {
    let folder = Folder::new();
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    for name in ["shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(root.join(name)).expect("the demo"));
    }
    let text = std::fs::read_to_string(root.join("job.toml")).expect("the demo");
    let put = |text: String, from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        text.replace(from, to)
    };
    let text = put(text, "ties = 4, owned = 58", &format!("ties = 4, owned = {owned}{rent}"));
    let text = put(text, "[\"W1\", \"W2\"] }", "[\"W1\", \"W2\"], day = 8, stands = 5 }");
    // What is bid does not matter here.
    let text = without_tables(&text, &["[bid]", "[[left_out]]"]);
    let prices =
        "[prices]\nextra_panel = \"4.50 usd\"\ntie = \"1.20 usd\"\npour_break = \"650 usd\"";
    folder.write("job.toml", put(text, "[prices]", prices));
    folder
}

/// The demo with four 8-ft panels short in its first pour, and with many: what each way out takes from the yard and costs,
/// worked out again from the stacks that it lists. Prices of the ways are our own.
#[test]
fn each_way_out_of_the_demo_again() {
    let yard = BTreeMap::from([(96, 0), (72, 40), (48, 40), (24, 44), (12, 48)]);
    let rows_of_ties = BTreeMap::from([(96, 4), (72, 3), (48, 2), (24, 1), (12, 1)]);
    for (owned, rent, ways) in
        [(52, ", rent = \"1.10 usd\"", 3), (12, ", rent = \"41.10 usd\"", 4), (12, "", 3)]
    {
        let folder = demo_with(owned, rent);
        let done = run(&folder.0);
        let listed = done.records("form_ways");
        assert_eq!(listed.len(), ways, "{listed:?}");
        let first = listed.iter().find(|way| way["way"] == "rent").expect("rent");
        let short = 56 - owned;
        if rent.is_empty() {
            assert_eq!(first["lacks"], format!("{short} x panel 8'-0\""));
        } else {
            assert_eq!(first["rented"], format!("{short} x panel 8'-0\""));
        }
        let mut prices = Vec::new();
        for way in listed {
            let of = |record: &str| -> Vec<&serde_json::Value> {
                done.records(record).iter().filter(|row| row["way"] == way["way"]).collect()
            };
            let (stacks, balance) = (of("form_way_stacks"), of("form_way_yard"));
            let (mut extra, mut ties, mut rented) = (0, 0, 0);
            let mut modules_of: BTreeMap<i64, i64> = BTreeMap::new();
            for stack in &stacks {
                let modules = stack["modules"].as_i64().expect("a count");
                let heights: Vec<i64> =
                    stack["stack"].as_str().expect("a stack").split(" + ").map(inches).collect();
                let height = heights.iter().sum::<i64>();
                *modules_of.entry(height).or_default() += modules;
                let form = stack["form_height"]["value"].as_f64().expect("a height") * 12.0;
                assert!((form - height as f64).abs() < 1e-9, "{stack}");
                // The fewest of the demo's heights: 6 + 1, 8, 8 + 1, 8 + 2.
                let (fewest, rows) = match height {
                    84 => (2, 4),
                    96 => (1, 4),
                    108 | 120 => (2, 5),
                    other => panic!("{other}"),
                };
                let count = i64::try_from(heights.len()).expect("few");
                extra += 2 * modules * (count - fewest);
                ties += modules * (heights.iter().map(|h| rows_of_ties[h]).sum::<i64>() - rows);
            }
            if stacks.is_empty() {
                assert!(way["price"].is_null() && !way["least"].as_bool().expect("a flag"));
                continue;
            }
            assert_eq!(
                modules_of,
                BTreeMap::from([(84, 8), (96, 6), (108, 6), (120, 16)]),
                "{way}"
            );
            for row in balance.iter().filter(|row| row["what"] == "panel") {
                let height = (row["height"]["value"].as_f64().expect("a height") * 12.0) as i64;
                let needed: i64 = stacks
                    .iter()
                    .filter(|stack| stack["part"] == row["part"])
                    .map(|stack| {
                        let sizes = stack["stack"].as_str().expect("a stack").split(" + ");
                        let count = sizes.filter(|size| inches(size) == height).count();
                        2 * i64::try_from(count).expect("few")
                            * stack["modules"].as_i64().expect("a count")
                    })
                    .sum();
                let there = if height == 96 { owned } else { yard[&height] };
                let missing = (needed - there).max(0);
                let rents = height == 96 && !rent.is_empty();
                assert_eq!(row["needed"], needed, "{row}");
                assert_eq!(row["there"], there, "{row}");
                assert_eq!(row["left"], (there - needed).max(0), "{row}");
                assert_eq!(row["rented"], if rents { missing } else { 0 }, "{row}");
                assert_eq!(row["lacks"], if rents { 0 } else { missing }, "{row}");
                rented += row["rented"].as_i64().expect("a count");
            }
            assert_eq!(
                (way["extra_panels"].as_i64(), way["extra_ties"].as_i64()),
                (Some(extra), Some(ties))
            );
            let day: f64 = if owned == 52 { 1.10 } else { 41.10 };
            let mut price = 4.50 * extra as f64 + 1.20 * ties as f64 + 5.0 * day * rented as f64;
            if way["way"] == "two pours" {
                // The joint: a stem of 1 ft by its height there, at 9.50 + 0.85 a square foot.
                let (wall, tape) =
                    way["at"].as_str().and_then(|at| at.split_once(' ')).expect("a place");
                let station = inches(tape) as f64 / 12.0;
                let feet = |row: &serde_json::Value, key: &str| {
                    row[key]["value"].as_f64().expect("a length")
                };
                let meets = |row: &&serde_json::Value| {
                    let (from, to) = (feet(row, "from"), feet(row, "to"));
                    row["wall"] == wall && from - 1e-9 <= station && station <= to + 1e-9
                };
                let stems = done.records("stem_pieces").iter().filter(meets);
                let height = stems.map(|row| feet(row, "height")).fold(0.0, f64::max);
                assert!(height > 6.5, "{way}");
                price += 650.0 + height * 10.35;
            }
            match way["price"]["value"].as_f64() {
                Some(told) => {
                    assert!((told - price).abs() < 1e-9, "{way}: {price}");
                    prices.push((told, way["least"].as_bool().expect("a flag")));
                }
                None => assert_ne!(way["lacks"], ""),
            }
        }
        let least = prices.iter().map(|(price, _)| *price).fold(f64::INFINITY, f64::min);
        let flagged: Vec<f64> =
            prices.iter().filter(|(_, flag)| *flag).map(|(price, _)| *price).collect();
        assert_eq!(flagged, [least], "{prices:?}");
    }
}

/// The small job with days for its pours, whose yard has nothing.
pub(crate) fn short_on_days() -> Done {
    let text = format!(
        "{SMALL}pour = [{{ name = \"a\", walls = [\"W1\"], day = 3, stands = 4 }}, {{ name = \"b\", walls = [\"W2\"], day = 5, stands = 3 }}]\n\
         hardware = [{{ name = \"pin\", each_tie = 2, each_panel = 1, owned = 30 }}, {{ name = \"clamp\", each_filler = 3, each_corner = 4 }}]\n\
         [lumber]\nkickers_owned = 1\n\
         [[lumber.pour]]\nname = \"footing\"\nwalls = [\"W1\", \"W2\"]\nday = 1\n"
    );
    run_job_toml(&text, "id,code,n,e,z\n")
}

/// What stands on each day, as it follows from the panels, fillers and corners of each wall; hardware by what takes it.
#[test]
fn what_stands_on_each_day() {
    let done = short_on_days();
    let told = |row: &serde_json::Value| {
        let pours = row["pours"].as_str().expect("pours");
        let name = row["name"].as_str().expect("a name");
        let what = row["what"].as_str().expect("what");
        let size = |key: &str| {
            row[key]["value"].as_f64().map_or(String::new(), |size| format!(" {size:.2}"))
        };
        let (width, height) = (size("width"), size("height"));
        let counts = format!("{} of {}, {} short", row["needed"], row["owned"], row["short"]);
        format!("{}-{} {pours}: {what} {name}{width}{height} {counts}", row["first"], row["last"])
    };
    let all: Vec<String> = done.records("standing").iter().map(told).collect();
    insta::assert_snapshot!(all.join("\n"));
}

/// Where the walls of a pour do not touch, breaking it between them makes no joint: the price is the pour alone.
#[test]
fn no_joint_where_walls_do_not_touch() {
    let folder = demo_with(34, "");
    let text = std::fs::read_to_string(folder.0.join("job.toml")).expect("written");
    let put = |text: String, from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        text.replace(from, to)
    };
    let text = put(text, "[\"W1\", \"W2\"], day = 8, stands = 5 }", "[\"W1\", \"W3\"] }");
    let text =
        put(text, "name = \"pour 2\", walls = [\"W3\"]", "name = \"pour 2\", walls = [\"W2\"]");
    let text = put(
        text,
        "height = \"4 ft\", ties = 2, owned = 40",
        "height = \"4 ft\", ties = 2, owned = 16",
    );
    let text = put(
        text,
        "height = \"1 ft\", ties = 1, owned = 48",
        "height = \"1 ft\", ties = 1, owned = 28",
    );
    folder.write("job.toml", text);
    let done = run(&folder.0);
    let ways = done.records("form_ways");
    let way = ways.iter().find(|way| way["way"] == "two pours" && way["pour"] == "pour 1");
    assert_eq!(way.expect("two pours")["price"]["value"], 650.0, "{ways:?}");
}
