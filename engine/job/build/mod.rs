//! From settings to the parts of a job, with the checks that need more than one key.

mod bars;
mod forms;
mod grid;
mod rules;
mod shot;
mod stock;
mod wall;
mod works;

use std::collections::BTreeMap;

use super::costs::{Priced, priced};
use super::papers::{Papers, papers};
use super::settings::{Settings, View};
use super::sheets::SheetSource;
use super::{alignment, by_hand};
use crate::earth::{Bank, DigShape, LaybackFrom, SoilClass};
use crate::footing::{
    Drawn, Grid, GridFault, GridKind, Lock, Module, StepRates, StepRules, System, WallSpec,
    WallType,
};
use crate::measure::{Choice, Nm, Style};
use crate::price::RateLine;
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::sheet::Per;
use crate::survey::{Benchmark, Chain};
use crate::takeoff::{Allowances, Stated, Title};

use grid::{courses, one_level, panels};
use rules::{rates, rules};
pub(super) use shot::{ShotSettings, shot_settings};
use wall::{stems_on_footings, types, walls};
pub(super) use works::Works;
use works::works;

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
    pub(super) works: Works,
    pub(super) ground_interval: Nm,
    pub(super) sheet_scripts: Vec<String>,
    pub(super) calc_sheets: Vec<SheetSource>,
    pub(super) priced: Priced,
    pub(super) papers: Papers,
    pub(super) settings: BTreeMap<String, Stated>,
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
            faults.keep(grid.map_err(|faults| at_walls(settings, faults)))
        }
        _ => None,
    };
    if let (Some(types), Some(module), Some(walls)) = (&types, &module, &walls) {
        faults.extend(stems_on_footings(root, types, module, walls));
        faults.extend(rock_over_bank(root, types, walls));
        if let Some(problem) = fill_under_slopes(root, walls) {
            faults.push(problem);
        }
    }
    faults.extend(rows_and_walls(root));
    if let (Some(chain), Some((_, allowances, _))) = (&chain, &parts)
        && let Some(problem) = solid_at_oblique_corners(root, chain, allowances)
    {
        faults.push(problem);
    }
    let style = match root.need_table("job") {
        Ok(job) => {
            let system = alignment::system(root);
            let currency = job.maybe_text("currency").unwrap_or_default();
            Style::new(system, currency, settings.stations())
        }
        Err(problem) => return Err(problem.into()),
    };
    let (works, of_works) = works(root, types.as_ref(), module.as_ref(), &style);
    faults.extend(of_works);
    let priced = faults.keep(priced(root)).unwrap_or_default();
    let papers = faults.keep(papers(root)).unwrap_or_default();
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
    let (title, allowances, benchmark) = parts;
    let interval = root.table("workbook").and_then(|table| table.maybe_length("ground_interval"));
    let usual = if style.system == System::Us { Nm::FOOT * 10 } else { Nm::METRE };
    let job = root.need_table("job")?;
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
        works,
        ground_interval: interval.unwrap_or(usual),
        calc_sheets: sheet_sources(root),
        sheet_scripts: sheet_scripts(root),
        priced,
        papers,
        settings: settings.stated(),
    };
    faults.or_value(Some(plan))
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

/// Faults of joints, each where its wall or its top is given.
fn at_walls(settings: &Settings, faults: Vec<GridFault>) -> Faults {
    let tables = settings.view().list("wall");
    let names = alignment::names(settings.view());
    let placed = |GridFault { wall, top, problem }| {
        let table = wall.and_then(|wall| names.tables.get(wall)).copied();
        let Some(view) = table.and_then(|table| tables.get(table)) else {
            return Problem::at(problem, Place::file(settings.file()));
        };
        match top.and_then(|top| view.list("tops").get(top).copied()) {
            Some(top) => top.place("from", problem),
            None => view.place("id", problem),
        }
    };
    faults.into_iter().map(placed).collect::<Vec<_>>().into()
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
        per: match (text("rows"), text("per").as_deref()) {
            (Some(listing), _) => Per::Listing(listing),
            (None, Some("wall")) => Per::Wall,
            (None, _) => Per::Job,
        },
    })
}

/// Sheets that are worked out for each wall and for each row of a listing.
fn rows_and_walls(root: View) -> Faults {
    let both =
        |view: &View| view.maybe_text("rows").is_some() && view.maybe_text("per") == Some("wall");
    let told = |view: View| {
        let problem = Problem::error("this sheet is worked out for each wall and for each row");
        view.place("rows", problem.help("take per or rows out"))
    };
    root.list("sheet").into_iter().filter(both).map(told).collect::<Vec<_>>().into()
}

/// The dig as a solid where a corner is not square: it is known for square corners.
fn solid_at_oblique_corners(root: View, chain: &Chain, allowances: &Allowances) -> Option<Problem> {
    let oblique = chain.oblique().next().filter(|_| allowances.dig == DigShape::Solid)?;
    let [before, after] = [oblique.before, oblique.after].map(|wall| &chain.walls()[wall].id);
    let problem = Problem::error(format!(
        "the corner between {before} and {after} turns {:.2} degrees, and the dig as a solid is known for square corners only",
        oblique.turn.degrees()
    ));
    let help = "set allowances.dig = \"mitred\": each wall's section ends at the corner as its lines do; banks of free ends and steps are then not counted";
    Some(root.place("allowances", problem.help(help)))
}

/// Drain rock that reaches beyond the floor of the dig: what of it stands over a bank is in no part of the dig.
fn rock_over_bank(root: View, types: &[WallType], walls: &[WallSpec]) -> Faults {
    let mut faults = Faults::none();
    let (Some(_), Some(allowed)) = (root.table("backfill"), root.table("allowances")) else {
        return faults;
    };
    let space = allowed.maybe_length("work_space_heel").or(allowed.maybe_length("work_space"));
    let rock = allowed.maybe_length("drain_width").unwrap_or(Nm::ZERO);
    let stem = walls.iter().map(|wall| wall.stem).max().unwrap_or(Nm::ZERO);
    let beyond = |kind: &&WallType| {
        let floor = kind.width + space.unwrap_or(Nm::ZERO);
        rock > Nm::ZERO && kind.toe + stem + rock > floor
    };
    let ids: Vec<&str> = types.iter().filter(beyond).map(|kind| kind.id.as_str()).collect();
    if !ids.is_empty() {
        let problem = Problem::error(format!(
            "the drain rock reaches beyond the footing of {}: what of it stands over the bank is told in no part of the dig",
            ids.join(", ")
        ));
        let help =
            "with backfill give allowances.work_space_heel that room, or make drain_width less";
        faults.push(allowed.place("drain_width", problem.help(help)));
    }
    faults
}

/// Backfill beside tops that slope: its parts are measured beside level ones.
fn fill_under_slopes(root: View, walls: &[WallSpec]) -> Option<Problem> {
    let table = root.table("backfill").filter(|_| walls.iter().any(WallSpec::slopes))?;
    let problem =
        Problem::error("backfill is measured beside level tops only, and a top of this job slopes");
    Some(table.place("shrink", problem.help("give the tops in steps, or take [backfill] out and let backfill stand as a line of the job's own")))
}

type Simple = (Title, Allowances, Option<Benchmark>);

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
    let allowed = root.need_table("allowances")?;
    let allowances = Allowances {
        layback: allowed.measure("layback")?.value,
        layback_from: LaybackFrom::named(allowed.text("layback_from")?)?,
        low_side: Bank::named(allowed.text("low_side")?)?,
        free_ends: Bank::named(allowed.text("free_ends")?)?,
        dig: DigShape::named(allowed.text("dig")?)?,
        soil: allowed.maybe_text("soil_class").map(SoilClass::named).transpose()?,
        drain_width: allowed.length("drain_width")?,
        drain_height_less: allowed.length("drain_height_less")?,
        backfill: root.table("backfill").is_some(),
    };
    if let Some(table) = root.table("backfill").filter(|_| allowances.dig != DigShape::Solid) {
        let problem = Problem::error(
            "backfill needs the dig as a solid: a section along the exposed face counts corners twice",
        );
        return Err(table.place("shrink", problem.help("set allowances.dig = \"solid\"; where a corner is not square there is no solid yet, and backfill stands as a line of the job's own")));
    }
    let benchmark = match root.table("benchmark") {
        Some(table) => Some(Benchmark {
            id: table.text("id")?.to_owned(),
            what: table.maybe_text("what").unwrap_or_default().to_owned(),
            elevation: table.length("elevation")?,
            backsight: table.length("backsight")?,
            pole: table.maybe_length("pole_mark"),
            tolerance: table.length("tolerance")?,
        }),
        None => None,
    };
    Ok((title, allowances, benchmark))
}

/// A date of the form `yyyy-mm-dd`.
pub(super) fn check_date(date: &str) -> Result<(), Problem> {
    crate::measure::read_date(date).map(|_| ())
}
