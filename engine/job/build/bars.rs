//! Bars of the job.

use num_rational::BigRational;

use super::super::settings::View;
use super::stock;
use crate::footing::WallType;
use crate::measure::{Nm, Pressure, Style, read_length, round, unit};
use crate::problem::{Faults, Outcome, Problem};
use crate::rebar::{BarRules, NamedBar, SteelSpec, TypeBars, bar};

/// The bars, if the job has a table of them.
pub(super) fn steel(root: View, types: &[WallType], style: &Style) -> Outcome<Option<SteelSpec>> {
    let Some(table) = root.table("bars") else {
        let mut faults = Faults::none();
        for view in root.list("bar") {
            faults.push(view.place("id", without_table()));
        }
        for view in root.list("type").iter().filter_map(|view| view.table("bars")) {
            faults.push(view.place("vertical", without_table()));
        }
        return faults.or_value(Some(None));
    };
    let mut faults = Faults::none();
    let bars = faults.keep(sizes(root, style));
    let stock = faults.keep(stock_lengths(table));
    // What names a size or rests on the stock says nothing new where those are faulty.
    let (Some(mut bars), Some(stock)) = (bars, stock) else { return Err(faults) };
    let twice = stock::twice(table, &stock, style.system);
    if !twice.is_empty() {
        faults.extend(twice);
        return Err(faults);
    }
    for bar in &mut bars {
        let prices = stock::prices(root, &bar.name, &stock, style.system);
        bar.stock_prices = faults.keep(prices).flatten();
    }
    let rules = faults.keep(rules(table, &bars, stock));
    let of_types = faults.keep(of_types(root, types, &bars, style));
    if let (Some(rules), Some(of_types)) = (&rules, &of_types) {
        faults.extend(in_the_stems(root, rules, &bars, of_types, style));
    }
    let (Some(rules), Some(types)) = (rules, of_types) else { return Err(faults) };
    faults.or_value(Some(Some(SteelSpec { rules, bars, types })))
}

fn without_table() -> Problem {
    Problem::error("bars are given, and the job has no table [bars]")
        .help("add [bars] with the rules that they are counted by, or take these out")
}

fn sizes(root: View, style: &Style) -> Outcome<Vec<NamedBar>> {
    let mut faults = Faults::none();
    let mut bars: Vec<NamedBar> = Vec::new();
    for view in root.list("bar") {
        let name = view.text("id")?.to_owned();
        let placed = |problem| Faults::from(view.place("id", problem));
        let Some(known) = faults.keep(bar(&name).map_err(placed)) else { continue };
        if bars.iter().any(|bar| bar.name == name) {
            faults.push(view.place("id", Problem::error(format!("there are two bars {name}"))));
        }
        let weight = match view.maybe_measure("weight") {
            Some(weight) if num_traits::Zero::is_zero(&weight.value) => {
                let problem = Problem::error(format!("bar {name} weighs nothing"));
                faults.push(view.place(
                    "weight",
                    problem.help("take it out: the table of its standard has it"),
                ));
                continue;
            }
            Some(weight) => weight.value,
            None => {
                // As the table of the standard prints it: three places of a pound per foot or kilogram per metre.
                let name =
                    if style.system == crate::measure::System::Us { "lb/ft" } else { "kg/m" };
                let unit = unit(name)?;
                let size = BigRational::from_float(known.weight.base() / unit.factor());
                round::nearest_places(&size.unwrap_or_default(), 3) * unit.exact()
            }
        };
        let (lap, diameter) = (view.length("lap")?, known.diameter.to_nm()?);
        bars.push(NamedBar { name, lap, weight, diameter, stock_prices: None });
    }
    faults.or_value(Some(bars))
}

fn stock_lengths(table: View) -> Outcome<Vec<Nm>> {
    let mut faults = Faults::none();
    let mut stock = Vec::new();
    for text in table.texts("stock") {
        let length =
            read_length(text, crate::measure::StationStyle::default()).and_then(|length| {
                let fits = length >= Nm::FOOT && length <= Nm::FOOT * 200;
                fits.then_some(length).ok_or_else(|| {
                    Problem::error(format!("a stock length of {text}"))
                        .help("1 ft to 200 ft was expected")
                })
            });
        let placed = |problem| Faults::from(table.place("stock", problem));
        stock.extend(faults.keep(length.map_err(placed)));
    }
    if stock.is_empty() && !faults.stop() {
        let problem = Problem::error("no stock length is given");
        faults.push(table.place("stock", problem.help("write it like \"20 ft\", or take it out")));
    }
    faults.or_value(Some(stock))
}

/// The size that a key names.
fn size(view: View, key: &str, bars: &[NamedBar]) -> Outcome<usize> {
    let name = view.text(key)?;
    bars.iter().position(|bar| bar.name == name).ok_or_else(|| {
        let known: Vec<&str> = bars.iter().map(|bar| bar.name.as_str()).collect();
        let problem = Problem::error(format!("the job has no bar \"{name}\""));
        let help = match known.as_slice() {
            [] => format!("add to the list bar id = \"{name}\" and its lap"),
            known => format!("one of {} was expected, or add it to the list bar", known.join(", ")),
        };
        Faults::from(view.place(key, problem.help(help)))
    })
}

fn rules(table: View, bars: &[NamedBar], stock: Vec<Nm>) -> Outcome<BarRules> {
    let mut faults = Faults::none();
    let mut of = |key| faults.keep(size(table, key, bars)).unwrap_or_default();
    let (longitudinal, horizontal) = (of("longitudinal"), of("horizontal"));
    let (corner, step) = (of("corner"), of("step"));
    let longest = stock.iter().copied().max().unwrap_or(Nm::ZERO);
    for (key, at) in [("longitudinal", longitudinal), ("horizontal", horizontal)] {
        if let Some(bar) = bars.get(at)
            && bar.lap >= longest
        {
            let problem =
                Problem::error(format!("the lap of {} is as long as the stock", bar.name));
            faults.push(table.place(key, problem.help("give a longer stock, or correct the lap")));
        }
    }
    for (key, limits) in [("concrete", crate::rebar::FC), ("steel", crate::rebar::FY)] {
        if let Some(strength) = table.maybe_measure(key) {
            let strength = Pressure::from_base(strength.quantity().base());
            if let Err(problem) = limits.check(strength) {
                faults.push(table.place(key, problem));
            }
        }
    }
    let length = |key| table.length(key);
    faults.or_value(Some(BarRules {
        first_bar: length("first_bar")?,
        ground_cover: length("ground_cover")?,
        top_cover: length("top_cover")?,
        end_cover: length("end_cover")?,
        face_cover: length("face_cover")?,
        stock,
        kerf: length("kerf")?,
        longitudinal,
        horizontal,
        corner,
        step,
        first_row: length("first_row")?,
        row_spacing: length("row_spacing")?,
        concrete: table.maybe_measure("concrete"),
        steel: table.maybe_measure("steel"),
    }))
}

fn of_types(
    root: View,
    types: &[WallType],
    bars: &[NamedBar],
    style: &Style,
) -> Outcome<Vec<TypeBars>> {
    let mut faults = Faults::none();
    let mut all = Vec::new();
    let show = |length| style.system.show(length);
    let rules = root.need_table("bars")?;
    let cover = rules.length("ground_cover")?;
    for (view, row) in root.list("type").into_iter().zip(types) {
        let Some(table) = view.table("bars") else {
            let problem = Problem::error(format!("type {} has no bars", row.id));
            faults.push(view.place(
                "id",
                problem.help("add [type.bars] below it, or take [bars] out of the job"),
            ));
            continue;
        };
        let of = |key| size(table, key, bars);
        let (vertical, transverse) = (faults.keep(of("vertical")), faults.keep(of("transverse")));
        if cover >= row.thickness || cover * 2 >= row.width {
            let problem = Problem::error(format!(
                "a cover of {} leaves no room for bars in type {}: {} thick, {} wide",
                show(cover),
                row.id,
                show(row.thickness),
                show(row.width)
            ));
            faults.push(
                rules.place("ground_cover", problem.help("correct the cover or the footing")),
            );
            continue;
        }
        let usual = row.thickness - cover;
        let embedment = table.maybe_length("embedment").unwrap_or(usual);
        let deepest = usual + row.key.map_or(Nm::ZERO, |key| key.depth);
        if embedment < usual || embedment > deepest {
            let problem = Problem::error(format!(
                "the dowel of type {} stands {} in the footing; thickness, key and ground cover allow {} to {}",
                row.id,
                show(embedment),
                show(usual),
                show(deepest)
            ));
            faults.push(table.place(
                "embedment",
                problem.help(
                    "no less than the footing less its ground cover, no more than that and the key",
                ),
            ));
        }
        if let (Some(vertical), Some(transverse)) = (vertical, transverse) {
            all.push(TypeBars {
                vertical,
                vertical_spacing: table.length("vertical_spacing")?,
                foot_leg: table.length("foot_leg")?,
                embedment,
                transverse,
                transverse_spacing: table.length("transverse_spacing")?,
                longitudinals: table.count("longitudinals")?,
            });
        }
    }
    faults.or_value(Some(all))
}

/// Bars that have no room between the faces of a stem.
fn in_the_stems(
    root: View,
    rules: &BarRules,
    bars: &[NamedBar],
    types: &[TypeBars],
    style: &Style,
) -> Faults {
    let mut faults = Faults::none();
    let thickest = types.iter().map(|kind| bars[kind.vertical].diameter).max();
    for wall in root.list("wall") {
        let (Some(stem), Some(bar)) = (wall.maybe_length("stem"), thickest) else { continue };
        if rules.face_cover + bar > stem {
            let problem = Problem::error(format!(
                "a cover of {} and a bar of {} do not go into a stem of {}",
                style.system.show(rules.face_cover),
                style.system.show(bar),
                style.system.show(stem)
            ));
            faults.push(root.place("bars", problem.help("correct bars.face_cover")));
            break;
        }
    }
    faults
}
