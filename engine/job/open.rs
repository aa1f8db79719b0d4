//! Opening a job: settings, shots, ground, grid, in that order, with all faults of each at once.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::as_written::faults_as_written;
use super::build::{self, Plan};
use super::case::keys_of;
use super::company::{STANDARD, company_folder};
use super::costs::Priced;
use super::ground::{ground, missing_ground};
use super::papers::Papers;
use super::settings::{DECIDES, OwnValue, Settings, beside};
use super::sheets::SheetSource;
use super::shots::{lists_alone, read_job_shots};
use super::tables::{book_tables, company_named, is_input_book, shared_named, with_tables};
use super::{Keys, KnownTakeoff};
use crate::files::{self, Layers, Reader};
use crate::footing::{KnownLayouts, Site};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::script::{Budget, Hosts, Lent, hooks};
use crate::takeoff::{ListingSource, WallJob};
use crate::workbook::is_workbook;

/// How a job is opened.
#[derive(Debug, Clone, Default)]
pub struct OpenOptions {
    /// Company folder; without one the job's, or the nearest above it.
    pub company: Option<PathBuf>,
    /// Date that is printed, in place of the job's.
    pub date: Option<String>,
    /// Settings that are replaced: path and text.
    pub overrides: Vec<(String, String)>,
    /// Folders whose files may be read beside the job's and the company's.
    pub read_from: Vec<PathBuf>,
    /// Time that all scripts may take together.
    pub script_time: Budget,
    /// Listings beside the bundled ones.
    pub own_listings: Vec<ListingSource>,
    /// Reads each file once, however often the job is opened.
    pub reader: Reader,
    /// The takeoff of the job as it stands, used again where a question leaves all that it rests on as it was.
    pub takeoff: KnownTakeoff,
    /// Layouts of steps, used again where a question leaves what they are decided by as it was.
    pub layouts: KnownLayouts,
    /// Hosts of scripts, used again however often the job is opened.
    pub hosts: Hosts,
}

/// An open job; a copy has a host of its own, to be worked beside it.
#[derive(Clone)]
pub struct Job {
    /// Its folder.
    pub folder: PathBuf,
    /// Its job.toml, or the input book that it is.
    pub file: PathBuf,
    /// What the wall case works on.
    pub wall_job: Arc<WallJob>,
    /// Where scripts and templates are found.
    pub layers: Layers,
    /// Name of the wall case.
    pub case: String,
    /// Scripts that add a sheet.
    pub sheet_scripts: Vec<String>,
    /// Where each setting stands in job.toml; those that hold by default are not there.
    pub setting_places: BTreeMap<String, Place>,
    /// Its own values where the company's standard has others.
    pub own_values: Vec<OwnValue>,
    /// What was set on the command line: settings and cells, and their texts.
    pub set: Vec<(String, String)>,
    /// Cells of calc sheets whose formula is replaced.
    pub(super) cells: Vec<(String, String)>,
    /// Calc sheets of the job and company.
    pub(super) calc_sheets: Vec<SheetSource>,
    /// Every key that it may have.
    pub keys: Keys,
    /// Tables of job.toml that the wall case has no use for.
    pub unused: Vec<&'static str>,
    /// What it says of its price beside its prices.
    pub(super) priced: Priced,
    /// What its papers for others say.
    pub(super) papers: Papers,
    /// Whether its walls have a place in plan, and not a frame of their own.
    pub(super) placed: bool,
    /// Whether the job says how a bid is made up.
    pub(super) has_bid: bool,
    /// Whether the steps of the plan are bid, and not the least-cost ones.
    pub(super) bids_drawn: bool,
    /// Runs scripts.
    pub host: Lent,
    /// The takeoff of the job as it stands.
    pub(super) known: KnownTakeoff,
}

impl Job {
    /// Whether it is an input book.
    pub fn is_book(&self) -> bool {
        is_workbook(&self.file.to_string_lossy())
    }

    /// The workbook that is its own: several input books may lie in one folder.
    pub fn own_workbook(&self) -> PathBuf {
        match self.is_book() {
            true => {
                let stem = self.file.file_stem().unwrap_or_default().to_string_lossy();
                self.folder.join(format!("{stem}-takeoff.xlsx"))
            }
            false if self.file.file_name().is_none_or(|name| name == "job.toml") => {
                self.folder.join("takeoff.xlsx")
            }
            // Another job of the folder.
            false => {
                let stem = self.file.file_stem().unwrap_or_default().to_string_lossy();
                self.folder.join(format!("{stem}-takeoff.xlsx"))
            }
        }
    }

    /// Work that the price leaves out, each with the reason.
    pub fn left_out(&self) -> impl Iterator<Item = (&str, &str)> {
        self.priced.left_out.iter().map(|one| (one.work.as_str(), one.why.as_str()))
    }

    /// Prices that are older than the job lets them be: the path of each, and what is to be said of it.
    pub fn old_prices(&self) -> impl Iterator<Item = (&str, &str)> {
        self.priced.old.iter().map(|price| (price.path.as_str(), price.remark.as_str()))
    }

    /// Opens the job of a folder, of a job.toml, or of an input book.
    ///
    /// # Errors
    /// Anything that is wrong with its settings, its shots or its walls.
    pub fn open(path: &Path, options: &OpenOptions) -> Outcome<Self> {
        let (folder, file) = locate(path)?;
        let name = file.clone();
        Self::opened(folder, file, options).map_err(|faults| of_its_file(&name, faults))
    }

    fn opened(folder: PathBuf, file: PathBuf, options: &OpenOptions) -> Outcome<Self> {
        let (settings, mut faults, layers) = read(&folder, &file, options)?;
        let Some(mut settings) = settings else { return Err(faults) };
        let mut cells = Vec::new();
        for (path, text) in &options.overrides {
            if settings.is_cell(path) {
                cells.push((path.clone(), text.clone()));
            } else if let Err(problems) = settings.set(path, text) {
                faults.extend(problems);
            }
        }
        if let Some(date) = &options.date {
            let sound =
                build::check_date(date).map_err(|problem| problem.at(Place::file("--date")));
            if faults.keep_one(sound).is_some() {
                faults.keep(settings.set("job.bid_date", date));
            }
        }
        faults.keep(settings.layback_of_soil());
        // What is wrong with later stages is told too, as far as it does not follow from what is wrong here.
        let mut later = Faults::none();
        let plan = later.keep(build::build(&settings));
        let shots = later.keep_one(build::shot_settings(settings.view())).flatten();
        let told = faults.stop();
        faults.extend(beside(later, told));
        match plan {
            Some(plan) if !faults.stop() => {
                let mut job = Self::assemble(
                    (folder, file),
                    &settings,
                    plan,
                    shots.as_ref(),
                    layers,
                    options,
                )?;
                job.cells = cells;
                Ok(job)
            }
            plan => {
                if let Some(shots) = &shots {
                    let lists = match &plan {
                        Some(plan) => read_job_shots(&layers, shots, plan).map(|_| ()),
                        None => lists_alone(&layers, shots),
                    };
                    faults.extend(lists.err().unwrap_or_else(Faults::none));
                    faults.extend(beside(missing_ground(settings.view(), Some(shots)), true));
                }
                // The wall case may have been told of when its inputs were asked for.
                for problem in faults_as_written(&layers, &settings).into_vec() {
                    if !faults.iter().any(|known| *known == problem) {
                        faults.push(problem);
                    }
                }
                Err(faults)
            }
        }
    }

    fn assemble(
        (folder, file): (PathBuf, PathBuf),
        settings: &Settings,
        plan: Plan,
        shots: Option<&build::ShotSettings>,
        layers: Layers,
        options: &OpenOptions,
    ) -> Outcome<Self> {
        let mut faults = Faults::none();
        let mut shot_report = None;
        if let Some(shots) = shots {
            match read_job_shots(&layers, shots, &plan) {
                Ok(report) => shot_report = Some(report),
                Err(problems) => faults.extend(problems),
            }
        }
        if faults.stop() {
            faults.extend(missing_ground(settings.view(), shots));
            return Err(faults);
        }
        let feet = settings.view().table("alignment").and_then(|table| table.maybe_text("feet"));
        if feet.is_none()
            && let Some(report) = &shot_report
        {
            faults.extend(super::feet::differ(settings.elevations(), report));
        }
        let survey_feet = feet == Some("us_survey_ft");
        let ground = faults.keep(ground(settings.view(), shots, shot_report.as_ref(), &plan.chain));
        let Some(ground) = ground else { return Err(faults) };
        if faults.stop() {
            return Err(faults);
        }
        let mut stated = plan.settings;
        for (path, setting) in &mut stated {
            if let Some(place) = &mut setting.from {
                place.file = layers.near(&place.file);
            }
            if options.overrides.iter().any(|(known, _)| known == path) {
                setting.from = Some(Place::file("--set"));
            }
        }
        let host = options.hosts.lend(&layers, &plan.style, &options.script_time);
        host.know(&options.own_listings);
        let site = Site {
            system: plan.style.system,
            chain: plan.chain,
            walls: plan.walls,
            types: plan.types,
            module: plan.module,
            rules: plan.rules,
            rates: plan.rates,
            ground,
            grid: plan.grid,
            locks: plan.locks,
            hooks: hooks(&layers, &plan.style, &options.script_time, &stated)?,
        };
        let wall_job = WallJob {
            title: plan.title,
            style: plan.style,
            site: Arc::new(site),
            known: options.layouts.clone(),
            drawn: plan.drawn,
            sweep_parts: plan.sweep_parts,
            survey_feet,
            benchmark: plan.benchmark,
            steel: plan.works.steel,
            forms: plan.works.forms,
            lumber: plan.works.lumber,
            sides: plan.works.sides,
            allowances: plan.allowances,
            rates: plan.rate_lines,
            ground_interval: plan.ground_interval,
            settings: stated,
            shots: shot_report,
            own_listings: options.own_listings.clone(),
        };
        Ok(Self {
            folder,
            file,
            wall_job: Arc::new(wall_job),
            layers,
            case: plan.case,
            sheet_scripts: plan.sheet_scripts,
            setting_places: settings.places(),
            own_values: settings.overridden(),
            set: options.overrides.clone(),
            cells: Vec::new(),
            calc_sheets: plan.calc_sheets,
            unused: settings.unused(),
            keys: settings.keys().clone(),
            priced: plan.priced,
            papers: plan.papers,
            placed: super::alignment::is_placed(settings.view()),
            has_bid: settings.view().table("bid").is_some(),
            bids_drawn: bids_drawn(settings.view()),
            host,
            known: options.takeoff.clone(),
        })
    }
}

/// The keys of a job with the inputs of its wall case, whether or not its settings are sound.
///
/// # Errors
/// There is no job.toml, or what declares inputs is faulty.
pub fn keys_at(path: &Path, options: &OpenOptions) -> Outcome<Keys> {
    let (folder, file) = locate(path)?;
    let (settings, faults, _) = read(&folder, &file, options)?;
    match settings {
        Some(settings) if !settings.keys().are_unknown() => Ok(settings.keys().clone()),
        _ if faults.is_empty() => Err(Problem::error("the wall case of this job cannot be read")
            .at(Place::file(file.display().to_string()))
            .help("rodbook check JOB says what is wrong with it")
            .into()),
        _ => Err(faults),
    }
}

/// The settings of a job.
///
/// # Errors
/// They are faulty.
pub(super) fn settings_at(path: &Path, options: &OpenOptions) -> Outcome<Settings> {
    let (folder, file) = locate(path)?;
    let (settings, faults, _) = read(&folder, &file, options)?;
    faults.or_value(settings)
}

/// Whether a text could be the job.toml of a folder.
///
/// # Errors
/// Its settings are faulty.
pub fn sound(folder: &Path, file: &Path, text: &str, options: &OpenOptions) -> Outcome<()> {
    let own =
        Layers::new(Some(folder), None).reading_from(&options.read_from).read_by(&options.reader);
    let shown = file.display().to_string();
    let (settings, faults, _) = parsed(folder, &shown, text, own, &[], options);
    faults.or_value(settings).map(|_| ())
}

/// The settings of a text that is to be a job.toml in a folder, as far as they are sound.
pub(super) fn settings_of_text(
    folder: &Path,
    text: &str,
    options: &OpenOptions,
) -> (Option<Settings>, Faults) {
    let own = Layers::new(Some(folder), None).read_by(&options.reader);
    let (settings, faults, _) = parsed(folder, "job.toml", text, own, &[], options);
    (settings, faults)
}

/// Reads the settings as far as they are sound, with their faults and where scripts and templates are found.
fn read(
    folder: &Path,
    file: &Path,
    options: &OpenOptions,
) -> Outcome<(Option<Settings>, Faults, Layers)> {
    let shown = file.display().to_string();
    let own =
        Layers::new(Some(folder), None).reading_from(&options.read_from).read_by(&options.reader);
    let text = match is_workbook(&shown) {
        true => own.read(file).map(|_| String::new())?,
        false => own.read_text(file)?,
    };
    // However often the job is opened, it is parsed once for all that decides how its values are read.
    let decides = |(path, _): &&(String, String)| DECIDES.contains(&path.as_str());
    let first: Vec<_> = options.overrides.iter().filter(decides).cloned().collect();
    let (settings, faults, layers) = options.reader.made(
        file,
        format!("settings {first:?} {:?} {:?}", options.company, options.read_from),
        || parsed(folder, &shown, &text, own, &first, options),
    );
    Ok((settings, faults, layers))
}

/// Parses the settings.
fn parsed(
    folder: &Path,
    shown: &str,
    text: &str,
    own: Layers,
    first: &[(String, String)],
    options: &OpenOptions,
) -> (Option<Settings>, Faults, Layers) {
    let book = is_workbook(shown).then(|| {
        let name = Path::new(shown).file_name().unwrap_or_default().to_string_lossy();
        book_tables(&own, shown, &name)
    });
    if let Some((written, faults)) = &book
        && written.texts().iter().all(|(_, text)| text.is_empty())
    {
        return (None, faults.clone(), own);
    }
    let named = match &book {
        Some((written, _)) => written.texts().first().and_then(|(_, text)| company_named(text)),
        None => company_named(text),
    };
    let shares = match &book {
        Some((written, _)) => written.texts().first().and_then(|(_, text)| shared_named(text)),
        None => shared_named(text),
    };
    let shared = shares.map(|name| shared(&own, folder, shown, &name));
    let of_shared = || company_named(&shared.as_ref()?.as_ref().ok()?.1);
    let company = company_folder(folder, named.or_else(of_shared).as_deref(), options);
    let layers = own.with_company(company.as_ref().ok().cloned().flatten());
    let (mut written, mut faults) = book.unwrap_or_else(|| with_tables(&layers, shown, text));
    let shared = match shared {
        Some(Err(of_shared)) => {
            // What it would have said is not missing.
            faults.extend(of_shared);
            return (None, faults, layers);
        }
        other => other.and_then(Result::ok),
    };
    if let Some((shown, text)) = &shared {
        let (shared, of_tables) = with_tables(&layers, shown, text);
        written = written.over(shared);
        faults.extend(of_tables);
    }
    if let Some((shown, text)) = faults.keep(standard(&layers)).flatten() {
        if company_named(&text).is_some() {
            let problem = Problem::error("the company's standard names a company folder");
            let problem = problem.help("take job.company out: it is of a job");
            faults.push(problem.at(Place::file(&shown)));
        }
        let (standard, of_tables) = with_tables(&layers, &shown, &text);
        written = written.over(standard);
        faults.extend(of_tables);
    }
    let (settings, of_settings) =
        Settings::parse_what_is_sound(&written, first, shared.is_some(), |reading, case| {
            keys_of(&layers, reading, case.as_deref(), options)
        });
    faults.extend(of_settings);
    if let Err(problem) = company {
        let job = settings.as_ref().and_then(|settings| settings.view().table("job"));
        faults.push(match job {
            Some(job) => job.place("company", problem),
            None => problem.at(Place::file(shown)),
        });
    }
    (settings, faults, layers)
}

/// The file that a job shares: its name and text.
///
/// # Errors
/// It does not lie beside the job, is the job itself, or shares another one.
fn shared(layers: &Layers, folder: &Path, of: &str, name: &str) -> Outcome<(String, String)> {
    let fault = |what: String| {
        let problem = Problem::error(what).at(Place::file(of));
        Faults::from(problem.help("job.shares names a file beside this one: \"job.toml\""))
    };
    let path = folder.join(name);
    let plain = Path::new(name).file_name().is_some_and(|file| file == name);
    if !plain || !name.ends_with(".toml") {
        return Err(fault(format!("\"{name}\" is not a job.toml in the folder of this job")));
    }
    if files::same_place(&path, Path::new(of)) {
        return Err(fault("this job shares itself".to_owned()));
    }
    let text = layers.read_text(&path)?;
    match shared_named(&text) {
        Some(other) => Err(fault(format!(
            "{name} shares {other} itself: one file is shared, not a row of them"
        ))),
        None => Ok((path.display().to_string(), text)),
    }
}

/// The company's standard, if there is one: its name and text.
///
/// # Errors
/// It cannot be read.
fn standard(layers: &Layers) -> Outcome<Option<(String, String)>> {
    let Some(path) = layers.company().map(|folder| folder.join(STANDARD)) else { return Ok(None) };
    if !files::exists(&path) {
        return Ok(None);
    }
    Ok(Some((path.display().to_string(), layers.read_text(&path)?)))
}

/// Whether a path is that of an input book.
pub fn is_book(path: &Path) -> bool {
    let name = path.to_string_lossy();
    is_workbook(&name) && files::read_bytes(path).is_ok_and(|bytes| is_input_book(&name, &bytes))
}

/// Names an input book in faults that speak of job.toml.
pub(super) fn of_its_file(file: &Path, faults: Faults) -> Faults {
    let shown = file.display().to_string();
    if !is_workbook(&shown) {
        return faults;
    }
    let said = |text: String| text.replace("job.toml", "the input book");
    let renamed = |problem: Problem| Problem {
        place: problem.place.map(|place| match place.file.as_str() {
            "job.toml" => Place { file: shown.clone(), ..place },
            _ => place,
        }),
        help: problem.help.map(said),
        message: said(problem.message),
        ..problem
    };
    faults.into_vec().into_iter().map(renamed).collect::<Vec<_>>().into()
}

/// The folder and the job.toml or input book of a path.
pub(super) fn locate(path: &Path) -> Outcome<(PathBuf, PathBuf)> {
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
        return Err(Problem::error("there is no such job folder, job.toml or input book")
            .at(Place::file(path.display().to_string()))
            .help("start one with: rodbook new FOLDER, or rodbook new FILE.xlsx")
            .into());
    }
    Ok((files::folder_of(path).to_path_buf(), path.to_path_buf()))
}

/// Whether the steps of the plan are bid: where it draws them and the job does not ask for the least-cost ones.
fn bids_drawn(root: super::settings::View) -> bool {
    let asked = root.table("bid").map(|bid| bid.maybe_text("layout"));
    root.table("drawn").is_some() && asked.is_some_and(|asked| asked != Some("least cost"))
}
