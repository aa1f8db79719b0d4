//! From settings to the parts of a job, with the checks that need more than one key.

use std::collections::BTreeMap;

use super::settings::{Settings, View};
use super::sheets::SheetSource;
use super::{Kind, Setting, alignment, by_hand};
use crate::earth::{Bank, LaybackFrom, SoilClass};
use crate::footing::{
    Drawn, End, Grid, GridKind, Joints, Key, Lock, Module, NoStepZone, StepRates, StepRules,
    System, TopBreak, WallSpec, WallType,
};
use crate::measure::{Choice, Dimension, Exact, Nm, Style, ratio};
use crate::price::{PriceBook, RateLine, RatesGiven, step_rates};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::survey::{
    Asked, AskedBy, Benchmark, Chain, CodeUse, Depths, GroundKind, LengthUnit, Levels, Role,
    Screening,
};
use crate::table::DecimalMark;
use crate::takeoff::{self, Allowances, Stated, Title};

/// The parts of a job that settings alone decide.
pub(super) struct Plan {
    pub(super) title: Title,
    pub(super) style: Style,
    pub(super) case: String,
    pub(super) chain: Chain,
    pub(super) grid: Grid,
    pub(super) walls: Vec<WallSpec>,
    pub(super) types: Vec<WallType>,
    pub(super) module: Module,
    pub(super) rules: StepRules,
    pub(super) rates: StepRates,
    pub(super) rate_lines: Vec<RateLine>,
    pub(super) locks: Vec<Lock>,
    pub(super) drawn: Option<Drawn>,
    pub(super) sweep_parts: Option<i64>,
    pub(super) benchmark: Option<Benchmark>,
    pub(super) allowances: Allowances,
    pub(super) ground_interval: Nm,
    pub(super) sheet_scripts: Vec<String>,
    pub(super) calc_sheets: Vec<SheetSource>,
    pub(super) settings: BTreeMap<String, Stated>,
}

/// How the shot list is read and screened.
pub(super) struct ShotSettings {
    /// The files, in the order of the job.
    pub(super) files: Vec<String>,
    /// Sheets of the workbooks among them; none where each has only one that could be a list.
    pub(super) sheets: Vec<String>,
    /// What the job says of the lists.
    pub(super) asked: Asked,
    /// Which codes are used, and which stand for others.
    pub(super) codes: CodeUse,
    pub(super) levels: Levels,
    /// Whether the job says which sign its rod readings have.
    pub(super) sign_stated: bool,
    /// Most that a level note may come out from a known height.
    pub(super) misclosure: Nm,
    /// Codes that are no ground in a list of rod readings.
    pub(super) turning_codes: Vec<String>,
    pub(super) screening: Screening,
}

/// Builds everything, collecting faults.
pub(super) fn build(settings: &Settings) -> Outcome<Plan> {
    let root = settings.view();
    let mut faults = Faults::none();
    let (chain, of_chain) = alignment::chain(root);
    faults.extend(of_chain);
    let parts = faults.keep_one(simple(root));
    let types = faults.keep(types(root));
    let walls = faults.keep(walls(root));
    let grid_kind = settings.keys().grid();
    let module = match (grid_kind, &types, &walls) {
        (GridKind::Panels, ..) => faults.keep_one(panels(root)),
        (GridKind::Courses, ..) => faults.keep_one(courses(root)),
        (GridKind::OneLevel, Some(types), Some(walls)) => {
            faults.keep_one(one_level(root, types, walls))
        }
        (GridKind::OneLevel, ..) => None,
    };
    let rules = faults.keep(rules(root));
    let rise = module.map_or(Nm::ZERO, |module| module.rise);
    let rates = faults.keep(rates(root, rise, grid_kind));
    let grid = match (&chain, &walls, &module, &rules) {
        (Some(chain), Some(walls), Some(module), Some(rules)) => {
            let grid = Grid::new(chain, walls, module, rules);
            faults.keep(grid.map_err(|f| f.at(&Place::file(settings.file()))))
        }
        _ => None,
    };
    if let (Some(types), Some(module), Some(walls)) = (&types, &module, &walls) {
        faults.extend(stems_on_footings(root, types, module, walls));
    }
    let locks = match (&chain, &module) {
        (Some(chain), Some(module)) => {
            faults.keep(by_hand::locks(root, chain, module, grid.as_ref()))
        }
        _ => None,
    };
    let drawn = match (&chain, &types) {
        (Some(chain), Some(types)) => faults.keep(by_hand::drawn(root, chain, types)).flatten(),
        _ => None,
    };
    let (
        Some(chain),
        Some(parts),
        Some(types),
        Some(module),
        Some(walls),
        Some(rules),
        Some((rates, rate_lines)),
        Some(grid),
    ) = (chain, parts, types, module, walls, rules, rates, grid)
    else {
        return Err(faults);
    };
    if grid_kind == GridKind::OneLevel && root.table("datum_sweep").is_some() {
        let problem = Problem::error(
            "the wall case keeps the footing on one level, and no datum of levels can be moved",
        );
        faults.push(root.place("datum_sweep", problem.help("take [datum_sweep] out")));
        return Err(faults);
    }
    let (title, system, allowances, benchmark) = parts;
    let interval = root.table("workbook").and_then(|table| table.maybe_length("ground_interval"));
    let usual = if system == System::Us { Nm::FOOT * 10 } else { Nm::METRE };
    let job = root.need_table("job")?;
    let style = Style::new(system, job.text("currency")?, settings.stations());
    let plan = Plan {
        title,
        style: style.clone(),
        case: job.text("case")?.to_owned(),
        chain,
        grid,
        walls,
        types,
        module,
        rules,
        rates,
        rate_lines,
        locks: locks.unwrap_or_default(),
        drawn,
        sweep_parts: match root.table("datum_sweep") {
            Some(table) => Some(table.count("parts")?),
            None => None,
        },
        benchmark,
        allowances,
        ground_interval: interval.unwrap_or(usual),
        calc_sheets: sheet_sources(root),
        sheet_scripts: sheet_scripts(root),
        settings: stated(settings, &style),
    };
    faults.or_value(Some(plan))
}

/// Stems that do not fit on the footings that the schedule gives them.
fn stems_on_footings(
    root: View,
    types: &[WallType],
    module: &Module,
    walls: &[WallSpec],
) -> Faults {
    let mut faults = Faults::none();
    let views = root.list("type");
    let ids = root.list("wall");
    for (index, (row, view)) in types.iter().zip(&views).enumerate() {
        for (wall, id) in walls.iter().zip(&ids) {
            let heights = wall.tops.iter().flat_map(|top| {
                module.levels().map(|level| top.top - module.top_of_footing(level))
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
            let problem = Problem::error(format!(
                "wall {} on type {}: {what}",
                id.maybe_text("id").unwrap_or_default(),
                row.id
            ));
            faults.push(view.place(
                "width",
                problem.help("look at the unit of the stem, and at width and toe in the schedule"),
            ));
        }
    }
    faults
}

/// The scripts that add a sheet, by the names that they are found under.
pub(super) fn sheet_scripts(root: View) -> Vec<String> {
    let names = root.table("workbook").map_or(&[][..], |table| table.texts("scripts"));
    let file = |name: &String| match name.contains('.') {
        true => name.clone(),
        false => format!("scripts/{name}.rhai"),
    };
    names.iter().map(file).collect()
}

/// The calc sheets that the job names.
pub(super) fn sheet_sources(root: View) -> Vec<SheetSource> {
    root.list("sheet").into_iter().filter_map(calc_sheet).collect()
}

/// A calc sheet; its required keys are there when the settings were read.
fn calc_sheet(view: View) -> Option<SheetSource> {
    let text = |name| view.maybe_text(name).map(str::to_owned);
    Some(SheetSource {
        name: text("name")?,
        file: text("file")?,
        sheet: text("sheet"),
        title: text("title"),
        per_wall: text("per").as_deref() == Some("wall"),
    })
}

/// Every single value with what its key says of it.
fn stated(settings: &Settings, style: &Style) -> BTreeMap<String, Stated> {
    let places = settings.places();
    let one = |(path, value): (String, Setting)| {
        // Elements of lists are numbered.
        let words = path.split('.').map(|word| match word.bytes().all(|c| c.is_ascii_digit()) {
            true => "[]".to_owned(),
            false => format!(".{word}"),
        });
        let generic: String = words.collect();
        let key = settings.keys().find(generic.trim_start_matches('.'))?;
        let value = for_scripts(value)?;
        let unit = match &value {
            takeoff::Setting::Measure(exact) => key.unit(exact.dimension, style),
            _ => String::new(),
        };
        let choices = match key.kind {
            Kind::Choice(words) => words,
            _ => &[],
        };
        let from = places.get(&path).cloned();
        Some((path, Stated { value, about: key.about, unit, from, choices }))
    };
    settings.all().into_iter().filter_map(one).collect()
}

fn for_scripts(value: Setting) -> Option<takeoff::Setting> {
    match value {
        Setting::Text(text) => Some(takeoff::Setting::Text(text)),
        Setting::Count(count) => Some(takeoff::Setting::Count(count)),
        Setting::Length(length) => Some(takeoff::Setting::Measure(Exact {
            value: ratio(length.wide(), 1),
            dimension: Dimension::LENGTH,
        })),
        Setting::Measure(exact) => Some(takeoff::Setting::Measure(exact)),
        Setting::Texts(_) | Setting::Stations(_) => None,
    }
}

type Simple = (Title, System, Allowances, Option<Benchmark>);

fn simple(root: View) -> Result<Simple, Problem> {
    let job = root.need_table("job")?;
    let text = |name| job.maybe_text(name).unwrap_or_default().to_owned();
    let date = job.maybe_text("bid_date").map(str::to_owned);
    if let Some(date) = &date {
        check_date(date).map_err(|problem| job.place("bid_date", problem))?;
    }
    let title = Title {
        name: job.text("name")?.to_owned(),
        owner: text("owner"),
        contractor: text("contractor"),
        engineer: text("engineer"),
        surveyor: text("surveyor"),
        remark: text("remark"),
        date,
    };
    let system = alignment::system(root);
    let allowed = root.need_table("allowances")?;
    let allowances = Allowances {
        layback: allowed.measure("layback")?.value,
        layback_from: LaybackFrom::named(allowed.text("layback_from")?)?,
        low_side: Bank::named(allowed.text("low_side")?)?,
        solid: allowed.text("dig")? == "solid",
        soil: allowed.maybe_text("soil_class").map(SoilClass::named).transpose()?,
        drain_width: allowed.length("drain_width")?,
        drain_height_less: allowed.length("drain_height_less")?,
    };
    let benchmark = match root.table("benchmark") {
        Some(table) => Some(Benchmark {
            id: table.text("id")?.to_owned(),
            what: table.maybe_text("what").unwrap_or_default().to_owned(),
            elevation: table.length("elevation")?,
            backsight: table.length("backsight")?,
        }),
        None => None,
    };
    Ok((title, system, allowances, benchmark))
}

/// A date of the form `yyyy-mm-dd`.
pub(super) fn check_date(date: &str) -> Result<(), Problem> {
    crate::measure::read_date(date).map(|_| ())
}

fn types(root: View) -> Outcome<Vec<WallType>> {
    let mut faults = Faults::none();
    let mut types: Vec<WallType> = Vec::new();
    for view in root.list("type") {
        let key = match view.table("key") {
            Some(key) => Some(Key { width: key.length("width")?, depth: key.length("depth")? }),
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

/// The grid of form panels.
fn panels(root: View) -> Result<Module, Problem> {
    let table = root.need_table("module")?;
    let (panel, corner_leg) = (table.length("panel")?, table.length("corner_leg")?);
    levels_of(table, Joints::Panels { panel, corner_leg }, "rise")
}

/// The grid of courses.
fn courses(root: View) -> Result<Module, Problem> {
    let table = root.need_table("course_grid")?;
    levels_of(table, Joints::Courses { unit: table.length("unit")? }, "height")
}

fn levels_of(table: View, joints: Joints, rise: &str) -> Result<Module, Problem> {
    let level = |name| table.count(name).map(|n| i32::try_from(n).unwrap_or(0));
    let module = Module {
        joints,
        rise: table.length(rise)?,
        level_0: table.length("level_0")?,
        lowest: level("lowest_level")?,
        highest: level("highest_level")?,
    };
    if module.lowest > module.highest {
        return Err(
            table.place("lowest_level", Problem::error("the lowest level is above the highest"))
        );
    }
    Ok(module)
}

/// Most tops of footing that are tried on one level.
const MOST_TRIED: i64 = 20_000;

/// No grid: one top of footing under every wall, as given or any whose stems the wall schedule has.
fn one_level(root: View, types: &[WallType], walls: &[WallSpec]) -> Result<Module, Problem> {
    let table = root.need_table("one_level")?;
    let rise = table.length("step")?;
    let module =
        Module { joints: Joints::OneLevel, rise, level_0: Nm::ZERO, lowest: 0, highest: 0 };
    if let Some(level_0) = table.maybe_length("top_of_footing") {
        return Ok(Module { level_0, ..module });
    }
    let tops = || walls.iter().flat_map(|wall| wall.tops.iter().map(|change| change.top));
    let (Some(low), Some(high), Some(tallest)) = (tops().min(), tops().max(), types.last()) else {
        return Ok(module);
    };
    // The highest stem is one of the schedule, and the lowest is above nothing.
    let (from, to) = (high - tallest.stem_up_to, low - Nm(1));
    let (lowest, highest) = (-(-from.0).div_euclid(rise.0), to.0.div_euclid(rise.0));
    if lowest > highest || highest - lowest > MOST_TRIED {
        let problem = Problem::error(match lowest > highest {
            true => "no top of footing on one level gives every wall a stem of the schedule",
            false => "too many tops of footing would be tried",
        });
        return Err(table.place("step", problem.help("look at the tops of the walls, at stem_up_to of the highest type, and at one_level.step")));
    }
    let level = |level: i64| i32::try_from(level).unwrap_or(0);
    // Counted from the lowest, so that the number of a level says how far it is up.
    let level_0 = Nm(lowest * rise.0);
    Ok(Module { level_0, highest: level(highest - lowest), ..module })
}

fn walls(root: View) -> Outcome<Vec<WallSpec>> {
    let mut faults = Faults::none();
    let mut walls = Vec::new();
    for view in root.list("wall") {
        let mut tops: Vec<TopBreak> = Vec::new();
        for row in view.list("tops") {
            let top = TopBreak { from: row.length("from")?, top: row.length("top")? };
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
        });
    }
    faults.or_value(Some(walls))
}

fn rules(root: View) -> Outcome<StepRules> {
    let mut faults = Faults::none();
    let table = root.need_table("rules")?;
    let ids: Vec<&str> =
        root.list("wall").iter().filter_map(|wall| wall.maybe_text("id")).collect();
    let mut zones = Vec::new();
    for view in table.list("no_step") {
        let (wall, from, to) = (view.text("wall")?, view.length("from")?, view.length("to")?);
        match ids.iter().position(|id| *id == wall) {
            Some(_) if from > to => faults
                .push(view.place("from", Problem::error("this stretch ends before it starts"))),
            Some(wall) => zones.push(NoStepZone { wall, from, to }),
            None => {
                faults.push(view.place("wall", Problem::error(format!("there is no wall {wall}"))))
            }
        }
    }
    let rules = StepRules {
        depths: Depths {
            frost: table.length("frost_depth")?,
            cover: table.maybe_length("toe_cover"),
            allowance: table.length("bearing_allowance")?,
        },
        shortest_run: table.length("shortest_run")?,
        most_levels: i32::try_from(table.count("most_levels")?).unwrap_or(1),
        corner_clear: table.length("corner_clear")?,
        overlap_step: table.length("overlap_step")?,
        overlap_min: table.length("overlap_min")?,
        throat: table.maybe_length("throat"),
        no_step_zones: zones,
    };
    faults.or_value(Some(rules))
}

fn rates(root: View, rise: Nm, grid: GridKind) -> Outcome<(StepRates, Vec<RateLine>)> {
    let (prices, given, allowed) = (
        root.need_table("prices")?,
        root.need_table("layout_rates")?,
        root.need_table("allowances")?,
    );
    let price = |name| prices.maybe_measure(name);
    let rate = |name: &str| given.maybe_measure(name);
    // Without risers there is nothing to price.
    let unpriced = price("riser_each").is_none() || price("rise").is_none();
    let riser = |name: &str| match (rate(name), grid) {
        (None, GridKind::OneLevel) if unpriced => {
            Some(Exact { value: ratio(0, 1), dimension: Dimension::MONEY })
        }
        (known, _) => known,
    };
    let book = PriceBook {
        footing_concrete: price("footing_concrete"),
        wall_concrete: price("wall_concrete"),
        pump: price("pump"),
        wall_forms: price("wall_forms"),
        strip_and_clean: price("strip_and_clean"),
        riser_each: price("riser_each"),
        rise: price("rise"),
        dig: price("dig"),
        haul: price("haul"),
        swell: allowed.maybe_measure("swell"),
    };
    let outright = RatesGiven {
        footing_concrete: rate("footing_concrete"),
        wall_concrete: rate("wall_concrete"),
        forms_one_face: rate("forms_one_face"),
        dig: rate("dig"),
        riser_each: riser("riser_each"),
        rise_each_level: riser("rise_each_level"),
    };
    let level = ratio(rise.wide(), 1);
    let lines = step_rates(&outright, &book, &level).map_err(|problems| {
        let placed: Vec<Problem> =
            problems.into_iter().map(|problem| root.place("prices", problem)).collect();
        Faults::from(placed)
    })?;
    let value = |index: usize| lines[index].rate.value.clone();
    let rates = StepRates {
        footing: value(0),
        wall: value(1),
        forms: value(2),
        dig: value(3),
        riser: value(4),
        rise: value(5),
        work_space: allowed.length("work_space")?,
    };
    Ok((rates, lines.to_vec()))
}

/// The set-ups of a list of rod readings.
fn levels(shots: View) -> Result<Levels, Problem> {
    let mut setups: Vec<(usize, Nm)> = Vec::new();
    for view in shots.list("setup") {
        let parts = (
            view.maybe_length("instrument_height"),
            view.maybe_length("elevation"),
            view.maybe_length("backsight"),
        );
        let sight = match parts {
            (Some(sight), None, None) => sight,
            (None, Some(elevation), Some(backsight)) => elevation + backsight,
            _ => {
                return Err(view.place(
                    "from_line",
                    Problem::error(
                        "a set-up needs its instrument_height, or elevation and backsight",
                    )
                    .help("give the one or the two, not all three"),
                ));
            }
        };
        let from = usize::try_from(view.count("from_line")?).unwrap_or(1);
        if setups.last().is_some_and(|(last, _)| *last >= from) {
            return Err(
                view.place("from_line", Problem::error("set-ups follow each other down the list"))
            );
        }
        setups.push((from, sight));
    }
    Ok(Levels { setups, signed: shots.maybe_text("rod_sign") == Some("height") })
}

/// What the job says of its lists where they do not say it themselves.
fn asked(root: View, shots: View) -> Result<Asked, Problem> {
    let columns = shots.table("columns").map_or_else(Vec::new, |table| {
        let named = |role: &Role| Some((*role, table.maybe_text(role.name())?.to_owned()));
        Role::ALL.iter().filter_map(named).collect()
    });
    let units = shots.table("units").map_or_else(Vec::new, |table| {
        let named = |role: &Role| Some((*role, LengthUnit::parse(table.maybe_text(role.name())?)?));
        Role::ALL.iter().filter_map(named).collect()
    });
    let unit = shots.maybe_text("length_unit").and_then(LengthUnit::parse).map(|unit| {
        let place = shots.place("length_unit", Problem::note("")).place;
        let place = place.map_or_else(|| "job.toml".to_owned(), |place| place.to_string());
        (unit, format!("shots.length_unit in {place}"))
    });
    Ok(Asked {
        columns,
        heading_row: match shots.count("heading_row") {
            Ok(row) => Some(usize::try_from(row).unwrap_or(1)),
            Err(_) => None,
        },
        decimal: shots.maybe_text("decimal").and_then(DecimalMark::parse),
        as_written: false,
        survey_frame: root
            .table("alignment")
            .is_some_and(|table| table.maybe_text("feet") == Some("us_survey_ft")),
        unit,
        units,
        walls: root
            .list("wall")
            .iter()
            .filter_map(|wall| wall.maybe_text("id").map(str::to_owned))
            .collect(),
        by: AskedBy::Settings,
    })
}

/// How the shot list is read, if the job has one.
pub(super) fn shot_settings(root: View) -> Result<Option<ShotSettings>, Problem> {
    let shots = root.need_table("shots")?;
    let files = shots.texts("file").to_vec();
    if files.is_empty() {
        return Ok(None);
    }
    let mut codes = Vec::new();
    if let Some(table) = shots.table("codes") {
        for kind in GroundKind::ALL {
            codes.extend(table.texts(kind.key()).iter().map(|code| (kind, code.clone())));
        }
    }
    if let Some(name) = shots.maybe_text("uncoded") {
        codes.extend(
            GroundKind::ALL
                .iter()
                .find(|kind| kind.key() == name)
                .map(|kind| (*kind, String::new())),
        );
    }
    for (index, (kind, code)) in codes.iter().enumerate() {
        if let Some((other, _)) = codes[..index].iter().find(|(_, known)| known == code) {
            let problem = Problem::error(format!(
                "code {code} is given to {} and to {}",
                other.key(),
                kind.key()
            ));
            return Err(shots.place("codes", problem));
        }
    }
    let mut map: Vec<(String, String)> = Vec::new();
    for pair in shots.texts("code_map") {
        let Some((list, meant)) = pair.split_once('=') else {
            let problem = Problem::error(format!("\"{pair}\" maps no code"))
                .help("write each as \"GS = EG\": the code of the list, and the one it stands for");
            return Err(shots.place("code_map", problem));
        };
        let (list, meant) = (list.trim().to_owned(), meant.trim().to_owned());
        if let Some((_, other)) = map.iter().find(|(known, _)| *known == list) {
            let problem = Problem::error(format!("code {list} stands for {other} and for {meant}"))
                .help("a code of the list stands for one other");
            return Err(shots.place("code_map", problem));
        }
        map.push((list, meant));
    }
    Ok(Some(ShotSettings {
        files,
        sheets: shots.texts("sheet").to_vec(),
        asked: asked(root, shots)?,
        codes: CodeUse { used: codes.iter().map(|(_, code)| code.clone()).collect(), map },
        levels: levels(shots)?,
        sign_stated: shots.maybe_text("rod_sign").is_some(),
        misclosure: shots.length("misclosure")?,
        turning_codes: shots.texts("turning_codes").to_vec(),
        screening: Screening {
            codes,
            reach: shots.length("reach")?,
            outlier_codes: shots.texts("outlier_codes").to_vec(),
            outlier_limit: shots.length("outlier_limit")?,
            outlier_neighbours: usize::try_from(shots.count("outlier_neighbours")?).unwrap_or(1),
            duplicate_xy: shots.length("duplicate_xy")?,
            duplicate_z: shots.length("duplicate_z")?,
        },
    }))
}
