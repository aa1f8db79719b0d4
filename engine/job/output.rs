//! Outputs of a job: machine-readable text and the workbook.

use serde::{Serialize, Serializer};
use serde_json::{Map, Value, json};

use super::listings::declared_of;
use super::provenance::sources_used;
use super::{CalcSheets, Job, PaperSet, Work};
use crate::drawing;
use crate::files::{self, FoundFile};
use crate::footing::System;
use crate::listing::{Audience, Datum, Listing};
use crate::problem::{Faults, Outcome, Place, Problem};
use crate::takeoff::{SheetDraft, ShotReport, Takeoff, shot_listings};
use crate::workbook::{
    Comparison, Contents, FreeTable, Look, Names, Page, check_page, check_pages, read_page,
    sheet_name, write_comparison, write_workbook,
};

/// Name and version of the machine-readable form.
pub const JSON_FORMAT: &str = "rodbook takeoff 1";

/// The head of a machine-readable text, and its records.
#[derive(Serialize)]
struct Document<'a> {
    #[serde(flatten)]
    head: Map<String, Value>,
    records: Records<'a>,
}

/// The work as machine-readable text.
pub fn json(job: &Job, work: &Work) -> String {
    let wall_job = &job.wall_job;
    let text = |text: &Option<String>| text.clone().map_or(Value::Null, Value::from);
    let units = if wall_job.style.system == System::Us { "us" } else { "metric" };
    let problems: Vec<Value> = work.no_layout.iter().map(problem).collect();
    pretty(
        [
            ("format", JSON_FORMAT.into()),
            ("version", env!("CARGO_PKG_VERSION").into()),
            ("job", wall_job.title.name.clone().into()),
            ("units", units.into()),
            ("currency", wall_job.style.currency.clone().into()),
            ("date", text(&wall_job.title.date)),
            ("feasible", work.takeoff.is_some().into()),
            ("case_by", text(&work.case_by)),
            ("price_missing", work.calc.missing.clone().into()),
            ("problems", problems.into()),
        ],
        &work.listings,
        wall_job.style.system,
    )
}

/// A shot list as machine-readable text.
pub fn shots_json(report: &ShotReport, job: Option<&Job>) -> String {
    let system = job.map_or(System::Us, |job| job.wall_job.style.system);
    let listings = shot_listings(report, job.map(|job| job.wall_job.as_ref()));
    pretty(
        [("format", "rodbook shots 1".into()), ("version", env!("CARGO_PKG_VERSION").into())],
        &listings,
        system,
    )
}

fn pretty<'a>(
    head: impl IntoIterator<Item = (&'a str, Value)>,
    listings: &[Listing],
    system: System,
) -> String {
    let head = head.into_iter().map(|(name, value)| (name.to_owned(), value)).collect();
    let document = Document { head, records: Records(listings, system) };
    serde_json::to_string_pretty(&document).unwrap_or_default()
}

fn problem(problem: &Problem) -> Value {
    json!({
        "severity": problem.severity.to_string(),
        "place": problem.place.as_ref().map(ToString::to_string),
        "message": problem.message,
        "details": problem.details,
        "help": problem.help,
    })
}

/// Listings as machine-readable records, written row by row: a list may have very many.
struct Records<'a>(&'a [Listing], System);

impl Serialize for Records<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.iter().map(|listing| (listing.name(), Rows(listing, self.1))))
    }
}

struct Rows<'a>(&'a Listing, System);

impl Serialize for Rows<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_seq(self.0.rows.iter().map(|row| Fields(self.0, row, self.1)))
    }
}

struct Fields<'a>(&'a Listing, &'a [Datum], System);

impl Serialize for Fields<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let fields = self.0.columns().iter().zip(self.1);
        to.collect_map(fields.map(|(column, value)| (column.name, datum(value, self.2))))
    }
}

fn datum(datum: &Datum, system: System) -> Value {
    match datum {
        Datum::Blank => Value::Null,
        Datum::Text(text) => text.clone().into(),
        Datum::Count(count) => (*count).into(),
        Datum::Flag(flag) => (*flag).into(),
        Datum::Number(number) => (*number).into(),
        measured => match measured.number(system) {
            Some((value, unit)) => json!({ "value": value, "unit": unit }),
            None => Value::Null,
        },
    }
}

/// Where the pages of the workbook lie.
const PAGES: &str = "templates/workbook";

/// The pages of the workbook, each held against what there is to name.
///
/// # Errors
/// A page description is faulty, or names what nothing has.
pub(super) fn pages(job: &Job, takeoff: Option<&Takeoff>, calc: &CalcSheets) -> Outcome<Vec<Page>> {
    pages_in(PAGES, None, job, takeoff, calc)
}

/// The sheets that the firm wants first and that neither the workbook nor papers have, in words.
pub(super) fn unknown_sheets(
    job: &Job,
    pages: &[Page],
    calc: &CalcSheets,
    drafts: &[SheetDraft],
) -> Vec<String> {
    let papers = files::EMBEDDED.iter().filter(|(name, _)| name.starts_with("templates/papers/"));
    let papers = papers.filter_map(|(name, text)| read_page(name, text).ok());
    let own = [PaperSet::Client, PaperSet::Engineer, PaperSet::Crew, PaperSet::Office]
        .into_iter()
        .filter_map(|set| job.layers.list(&set.folder(), ".toml").ok());
    let own = own.flatten().filter_map(|name| {
        let found = job.layers.find(&name).ok()?;
        read_page(&found.shown, &found.text).ok()
    });
    let all = papers.chain(own).chain(pages.iter().cloned());
    let mut known: Vec<String> = all.flat_map(|page| page.sheets()).collect();
    let titles = calc.sheets.iter().map(|sheet| &sheet.title);
    known.extend(
        titles.chain(drafts.iter().map(|draft| &draft.title)).map(|title| sheet_name(title)),
    );
    job.papers.unknown_sheets(&known)
}

/// The pages of a folder for these readers at least, in their order.
///
/// # Errors
/// As [`pages`].
pub(super) fn pages_in(
    folder: &str,
    audience: Option<Audience>,
    job: &Job,
    takeoff: Option<&Takeoff>,
    calc: &CalcSheets,
) -> Outcome<Vec<Page>> {
    let mut names = Names {
        listings: declared_of(&job.wall_job).collect(),
        drawings: &drawing::KINDS,
        audience,
        ..Names::default()
    };
    let lines = |takeoff: &Takeoff| takeoff.lines.iter().map(|line| line.id.clone()).collect();
    names.lines = takeoff.map(lines);
    let cells = || calc.book.nodes().iter().map(|node| node.name.to_string()).collect();
    names.cells = takeoff.map(|_| cells());
    let bundled = files::EMBEDDED.iter().map(|(name, _)| *name);
    let bundled: Vec<&str> = bundled
        .filter(|name| name.rsplit_once('/').is_some_and(|(place, _)| place == folder))
        .collect();
    // What the bundled pages name there is, though not in every job.
    for name in &bundled {
        let text = files::embedded(name).unwrap_or_default();
        names.add(&[read_page(name, text)?]);
    }
    // Pages of the company or job that replace none follow the bundled ones.
    let own = job.layers.list(folder, ".toml")?;
    let own = own.iter().map(String::as_str).filter(|name| !bundled.contains(name));
    let all: Vec<&str> = bundled.iter().copied().chain(own).collect();
    let mut faults = Faults::none();
    let mut pages: Vec<Page> = Vec::new();
    let mut files = Vec::new();
    for name in all {
        let Some(FoundFile { shown, text, .. }) = faults.keep(job.layers.find(name)) else {
            continue;
        };
        if let Some(mut page) = faults.keep_one(read_page(&shown, &text)) {
            page.audience = page.audience.or(audience);
            faults.extend(check_page(&page, &shown, &text, &names));
            let same = |other: &Page| other.sheet.to_lowercase() == page.sheet.to_lowercase();
            if page.each.is_none() && pages.iter().any(same) {
                faults.push(
                    Problem::error(format!("two pages are called \"{}\"", page.sheet))
                        .at(Place::file(&shown))
                        .help("give one of them another name"),
                );
            }
            pages.push(page);
            files.push(shown);
        }
    }
    let mut pages: Vec<(Page, String)> = pages.into_iter().zip(files).collect();
    pages.sort_by(|(a, of_a), (b, of_b)| place_of(a, of_a).total_cmp(&place_of(b, of_b)));
    faults.extend(check_pages(&pages));
    faults.or_value(Some(pages.into_iter().map(|(page, _)| page).collect()))
}

/// Where a page stands among the sheets.
fn place_of(page: &Page, file: &str) -> f64 {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let number: String = name.chars().take_while(char::is_ascii_digit).collect();
    page.order.or_else(|| number.parse().ok()).unwrap_or(100.0)
}

/// The tables that scripts made.
pub(super) fn tables_of_scripts(job: &Job, work: &Work) -> Vec<FreeTable> {
    let of_script = |draft| FreeTable::of_script(draft, job.wall_job.style.system);
    work.sheets.iter().map(of_script).collect()
}

/// The workbook as bytes.
///
/// # Errors
/// It cannot be written.
pub fn workbook(job: &Job, work: &Work) -> Outcome<Vec<u8>> {
    let tables = tables_of_scripts(job, work);
    write_workbook(&Contents {
        job: &job.wall_job.title.name,
        firm: "",
        system: job.wall_job.style.system,
        pages: &work.pages,
        listings: &work.listings,
        takeoff: work.takeoff.as_ref(),
        tables: &tables,
        calc: &work.calc.sheets,
        book: &work.calc.book,
        pictures: &[],
        look: &job.papers.look(job)?,
    })
}

/// A workbook of calc sheets that stand alone, as bytes; by the bundled pages.
///
/// # Errors
/// The spreadsheet library refuses something.
pub fn sheets_workbook(title: &str, system: System, calc: &CalcSheets) -> Outcome<Vec<u8>> {
    let pages =
        ["calc-sheets", "sources"].map(|name| bundled_page(&format!("{PAGES}/{name}.toml")));
    let [cells, sources] = pages;
    write_workbook(&Contents {
        job: title,
        firm: "",
        system,
        pages: &[cells?, sources?],
        listings: &[sources_used(None, calc)],
        takeoff: None,
        tables: &[],
        calc: &calc.sheets,
        book: &calc.book,
        pictures: &[],
        look: &Look::default(),
    })
}

/// Where the pages of answers lie.
const QUESTIONS: &str = "templates/questions";

/// Variants side by side as a workbook.
///
/// # Errors
/// The spreadsheet library refuses something.
pub fn variants_workbook(table: &Comparison) -> Outcome<Vec<u8>> {
    write_comparison(table, bundled_page(&format!("{QUESTIONS}/variants.toml"))?)
}

/// How much inputs move a result, as a workbook.
///
/// # Errors
/// The spreadsheet library refuses something.
pub fn sensitivity_workbook(table: &Comparison) -> Outcome<Vec<u8>> {
    write_comparison(table, bundled_page(&format!("{QUESTIONS}/sensitivity.toml"))?)
}

fn bundled_page(name: &str) -> Result<Page, Problem> {
    read_page(name, files::embedded(name).unwrap_or_default())
}
