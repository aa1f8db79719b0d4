//! What of a takeoff is not as the program and job.toml have it: files that replace bundled ones, settings that were
//! replaced on the command line.

use std::collections::{BTreeMap, BTreeSet};

use super::{CalcSheets, Job, OwnValue};
use crate::files::{EMBEDDED, LayerOrigin};
use crate::listing::{Listing, listings};
use crate::problem::{Outcome, Place};
use crate::script::FUNCTIONS;
use crate::source;
use crate::takeoff::Takeoff;

listings! {
    REPLACED_FILES = "replaced_files", "files of the job or company that stand in place of bundled ones", for Office, by ["what"]: ReplacedFile {
        what: String, "what it is";
        file: String, "the file";
    }
    FILES_READ = "files_read", "files that were read, with their fingerprints: whether another run read the same", for Office, by ["file"]: FileRead {
        file: String, "the file";
        bytes: usize, "its length";
        fingerprint: String, "SHA-256 of its contents";
    }
    SOURCES_USED = "sources_used", "published sources that lines and cells rest on", for Office, by ["key"]: SourceUsed {
        key: &'static str, "its key";
        title: &'static str, "title, edition, clause";
        standing: String, "how it was read, and how far it may be trusted";
        used_for: String, "lines and cells";
    }
    OWN_VALUES = "own_values", "values of the job where the company's standard, or the file that it shares, has others", for Office, by ["path"]: OwnRow {
        path: String, "name in job.toml";
        value: String, "as the job writes it";
        from: String, "where";
        standard: String, "as the standard writes it";
        standard_from: String, "where";
    }
    SET_ON_COMMAND_LINE = "set_on_command_line", "settings and cells that were replaced on the command line", for Office, by ["path"]: SetThere {
        path: String, "setting or cell";
        value: String, "what was set";
    }
}

/// What a bundled file is, in words.
fn what(name: &str) -> String {
    match name {
        "templates/sheets/price.csv" => "price sheet".to_owned(),
        FUNCTIONS => "functions of formulas".to_owned(),
        name => match name.strip_prefix("templates/workbook/") {
            Some(page) => format!("page {}", page.trim_end_matches(".toml")),
            None => name.trim_end_matches(".rhai").replace("scripts/", "wall case "),
        },
    }
}

/// Files that stand in place of bundled ones: what each is, and the file.
///
/// # Errors
/// One of them cannot be read.
pub fn replaced(job: &Job) -> Outcome<Vec<(String, String)>> {
    let own_price = job.calc_sheets.iter().any(|source| source.name == super::sheets::PRICE_SHEET);
    let used = |name: &str| match name {
        "templates/sheets/price.csv" => job.has_bid && !own_price,
        name if name.starts_with("templates/workbook/") => true,
        name => name == format!("scripts/{}.rhai", job.case),
    };
    let mut found = Vec::new();
    let bundled = EMBEDDED.iter().map(|(name, _)| *name).filter(|name| used(name));
    for name in bundled.chain([FUNCTIONS]) {
        if let Some(file) =
            job.layers.replaced(name)?.filter(|file| file.origin != LayerOrigin::Embedded)
        {
            found.push((what(name), file.shown));
        }
    }
    for (hook, file) in job.wall_job.site.hooks.used() {
        found.push((format!("rule {}", hook.name().replace('_', " ")), file));
    }
    Ok(found)
}

/// The sources that lines and cells rest on.
pub(super) fn sources_used(takeoff: Option<&Takeoff>, calc: &CalcSheets) -> Listing {
    let mut used: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for line in takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
        for key in &line.trail.sources {
            used.entry(*key).or_default().insert(line.label.clone());
        }
    }
    for node in calc.book.nodes() {
        let mut functions = Vec::new();
        if let Some(formula) = &node.formula {
            formula.functions(&mut functions);
        }
        for function in functions {
            let name = format!("{} ({})", node.name, function.name);
            used.entry(function.source).or_default().insert(name);
        }
    }
    let row = |(key, uses): (&str, BTreeSet<String>)| {
        let source = source::find(key)?;
        let uses: Vec<String> = uses.into_iter().collect();
        Some(SourceUsed {
            key: source.key,
            title: source.title,
            standing: source.standing.to_string(),
            used_for: uses.join("; "),
        })
    };
    Listing::of(SOURCES_USED, used.into_iter().filter_map(row))
}

/// All of it as listings.
pub(super) fn listings(
    job: &Job,
    takeoff: Option<&Takeoff>,
    calc: &CalcSheets,
) -> Outcome<[Listing; 5]> {
    let shown = |file: &str| job.layers.near(file);
    let row =
        |(what, file): &(String, String)| ReplacedFile { what: what.clone(), file: shown(file) };
    let set =
        |(path, value): &(String, String)| SetThere { path: path.clone(), value: value.clone() };
    let at = |place: &Place| Place { file: shown(&place.file), ..place.clone() }.to_string();
    let own = |own: &OwnValue| OwnRow {
        path: own.path.clone(),
        value: own.value.clone(),
        from: at(&own.from),
        standard: own.standard.clone(),
        standard_from: at(&own.standard_from),
    };
    // They are read to be told, so that they are among the files read.
    let replaced = replaced(job)?;
    let files = job.layers.reader().fingerprints().into_iter().map(|(path, bytes, fingerprint)| {
        FileRead { file: shown(&path.display().to_string()), bytes, fingerprint }
    });
    Ok([
        sources_used(takeoff, calc),
        Listing::of(REPLACED_FILES, replaced.iter().map(row)),
        Listing::of(FILES_READ, files),
        Listing::of(OWN_VALUES, job.own_values.iter().map(own)),
        Listing::of(SET_ON_COMMAND_LINE, job.set.iter().map(set)),
    ])
}
