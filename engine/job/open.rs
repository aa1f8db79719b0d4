//! Opening a job: settings, shots, ground, grid, in that order, with all faults of each at once.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::build::{self, Plan};
use super::settings::Settings;
use super::shots::{ground, read_list, report};
use crate::files::{self, Layers};
use crate::footing::{Grid, Site};
use crate::measure::feet_inches;
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::script::{Host, hooks};
use crate::survey::{
    LevelNote, Levels, ListKind, Reason, Role, ShotList, read_shots, recognise, reduce, screen,
};
use crate::table::Table;
use crate::takeoff::{ShotReport, WallJob};

/// How a job is opened.
#[derive(Debug, Clone, Default)]
pub struct OpenOptions {
    /// Company folder; without one the job's, or the nearest above it.
    pub company: Option<PathBuf>,
    /// Date that is printed, in place of the job's.
    pub date: Option<String>,
    /// Settings that are replaced: path and text.
    pub overrides: Vec<(String, String)>,
}

/// An open job.
pub struct Job {
    /// Its folder.
    pub folder: PathBuf,
    /// What the wall case works on.
    pub wall_job: Arc<WallJob>,
    /// What became of its shot list, if it has one.
    pub shots: Option<ShotReport>,
    /// Where scripts and templates are found.
    pub layers: Layers,
    /// Name of the wall case.
    pub case: String,
    /// Scripts that add a sheet.
    pub sheet_scripts: Vec<String>,
    /// Runs scripts.
    pub host: Host,
}

impl Job {
    /// Opens the job of a folder, or of a job.toml.
    ///
    /// # Errors
    /// Anything that is wrong with its settings, its shots or its walls.
    pub fn open(path: &Path, options: &OpenOptions) -> Outcome<Self> {
        let (folder, file) = locate(path)?;
        let shown = file.display().to_string();
        let mut settings = Settings::parse(&shown, &files::read_text(&file)?)?;
        let mut faults = Faults::none();
        for (path, text) in &options.overrides {
            if let Err(problems) = settings.set(path, text) {
                faults.extend(problems);
            }
        }
        if let Some(date) = &options.date {
            faults.keep_one(
                build::check_date(date).map_err(|problem| problem.at(Place::file("--date"))),
            );
            faults.keep(settings.set("job.bid_date", date));
        }
        if faults.stop() {
            return Err(faults);
        }
        let plan = faults.keep(build::build(&settings));
        let shots = faults.keep_one(build::shot_settings(settings.view())).flatten();
        let Some(plan) = plan.filter(|_| !faults.stop()) else { return Err(faults) };
        Self::assemble(folder, &settings, plan, shots.as_ref(), options)
    }

    fn assemble(
        folder: PathBuf,
        settings: &Settings,
        plan: Plan,
        shots: Option<&build::ShotSettings>,
        options: &OpenOptions,
    ) -> Outcome<Self> {
        let mut faults = Faults::none();
        let grid = faults.keep(
            Grid::new(&plan.chain, &plan.walls, &plan.module, &plan.rules)
                .map_err(|f| f.at(&Place::file(settings.file()))),
        );
        let mut shot_report = None;
        if let Some(shots) = shots {
            match read_job_shots(&folder, shots, &plan) {
                Ok(report) => shot_report = Some(report),
                Err(problems) => faults.extend(problems),
            }
        }
        if faults.stop() {
            return Err(faults);
        }
        let ground = faults.keep(ground(settings.view(), shots, shot_report.as_ref(), &plan.chain));
        let (Some(grid), Some(ground)) = (grid, ground) else { return Err(faults) };
        let company = company_folder(&folder, settings, options)?;
        let layers = Layers::new(Some(&folder), company.as_deref());
        let host = Host::new(layers.clone(), plan.system, &plan.currency, settings.stations());
        let site = Site {
            system: plan.system,
            chain: plan.chain,
            walls: plan.walls,
            types: plan.types,
            module: plan.module,
            rules: plan.rules,
            rates: plan.rates,
            ground,
            grid,
            locks: plan.locks,
            hooks: hooks(&layers, plan.system, &plan.currency, settings.stations())?,
        };
        let wall_job = WallJob {
            title: plan.title,
            system: plan.system,
            currency: plan.currency,
            site: Arc::new(site),
            drawn: plan.drawn,
            sweep_parts: plan.sweep_parts,
            benchmark: plan.benchmark,
            allowances: plan.allowances,
            rates: plan.rate_lines,
            ground_interval: plan.ground_interval,
            settings: plan.settings,
        };
        Ok(Self {
            folder,
            wall_job: Arc::new(wall_job),
            shots: shot_report,
            layers,
            case: plan.case,
            sheet_scripts: plan.sheet_scripts,
            host,
        })
    }
}

/// The folder and the job.toml of a path.
fn locate(path: &Path) -> Outcome<(PathBuf, PathBuf)> {
    if files::is_folder(path) {
        let file = path.join("job.toml");
        if !files::exists(&file) {
            return Err(Problem::error("there is no job.toml in this folder")
                .at(Place::file(path.display().to_string()))
                .help("start one with: rodbook new FOLDER")
                .into());
        }
        return Ok((path.to_path_buf(), file));
    }
    if !files::exists(path) {
        return Err(Problem::error("there is no such job folder or job.toml")
            .at(Place::file(path.display().to_string()))
            .help("start one with: rodbook new FOLDER")
            .into());
    }
    let folder =
        path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    Ok((folder.to_path_buf(), path.to_path_buf()))
}

fn company_folder(
    folder: &Path,
    settings: &Settings,
    options: &OpenOptions,
) -> Outcome<Option<PathBuf>> {
    let named = match (
        &options.company,
        settings.view().table("job").and_then(|job| job.maybe_text("company")),
    ) {
        (Some(given), _) => Some(given.clone()),
        (None, Some(name)) => Some(folder.join(name)),
        (None, None) => None,
    };
    match named {
        Some(named) if files::is_folder(&named) => Ok(Some(named)),
        Some(named) => Err(Problem::error("there is no such company folder")
            .at(Place::file(named.display().to_string()))
            .into()),
        None => Ok(Layers::company_near(folder)),
    }
}

/// What a list of rod readings needs besides: a set-up for every row, and no turning point taken for ground.
fn level_list(
    table: &Table,
    list: &ShotList,
    shots: &build::ShotSettings,
    levels: &Levels,
) -> Result<(), Problem> {
    if list.columns.kind != ListKind::Rods {
        return Ok(());
    }
    let first = list.shots.iter().map(|shot| shot.line).min();
    let covered = levels.setups.first().zip(first).is_none_or(|((from, _), line)| *from <= line);
    if levels.setups.is_empty() || !covered {
        return Err(Problem::error("no set-up says how high the line of sight was for these rod readings")
            .at(table.place_of(first.unwrap_or(1), None))
            .help("add [[shots.setup]] with from_line and instrument_height, or with elevation and backsight of a benchmark"));
    }
    let turning = shots.screening.codes.iter().find(|(_, code)| shots.turning_codes.contains(code));
    match turning {
        Some((kind, code)) => Err(Problem::error(format!(
            "in a list of rod readings {code} means turning point or benchmark; it is not taken for {}",
            kind.words()
        ))
        .at(table.place())
        .help("give the ground shots a code of their own, or take the code out of shots.turning_codes")),
        None => Ok(()),
    }
}

/// The level note of a list with backsights, reduced from the benchmark of the job.
fn level_note(
    table: &Table,
    shots: &build::ShotSettings,
    plan: &Plan,
) -> Result<Option<LevelNote>, Problem> {
    let columns = recognise(table, &shots.columns)?;
    let unit = shots.unit.or(columns.unit);
    let (Some(unit), Some(_)) = (unit, columns.of(Role::Backsight)) else { return Ok(None) };
    let known = plan.benchmark.iter().map(|mark| (mark.id.clone(), mark.elevation)).collect();
    reduce(table, &columns, unit, &known).map(Some)
}

fn read_job_shots(folder: &Path, shots: &build::ShotSettings, plan: &Plan) -> Outcome<ShotReport> {
    let table =
        read_list(&folder.join(&shots.file), &shots.file, shots.sheet.as_deref(), &shots.columns)?;
    let codes: Vec<String> = shots.screening.codes.iter().map(|(_, code)| code.clone()).collect();
    let mut levels = shots.levels.clone();
    let note = level_note(&table, shots, plan)?;
    if let Some(note) = &note {
        note.closes(&table, shots.misclosure)?;
        if levels.setups.is_empty() {
            levels.setups.clone_from(&note.setups);
        }
    }
    let list = read_shots(&table, &shots.columns, shots.unit, Some(&codes), &levels)?;
    level_list(&table, &list, shots, &levels)?;
    let screened = screen(&list.shots, &plan.chain, &shots.screening);
    let swapped =
        screened.refused.iter().filter(|row| matches!(row.reason, Reason::OutOfReach(_, true)));
    let swapped = swapped.count();
    if swapped > screened.used.len() {
        return Err(Problem::error(format!(
            "northing and easting look exchanged: {swapped} shots are near the walls only with the two the other way round, {} as they are",
            screened.used.len()
        ))
        .at(table.place())
        .help("exchange the headings of the list, or say in job.toml: shots.columns = { northing = \"...\", easting = \"...\" }")
        .into());
    }
    let mut report = report(&table, &list);
    for (line, id, misclosure) in note.iter().flat_map(|note| &note.closings) {
        report.remarks.push(format!(
            "the level note comes out {} from the known height of {id} in row {line}; the job allows {}",
            feet_inches(*misclosure, 64),
            feet_inches(shots.misclosure, 64)
        ));
    }
    report.used = screened.used;
    report.refused.extend(screened.refused);
    report.refused.sort_by_key(|row| row.line);
    Ok(report)
}
