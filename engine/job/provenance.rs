//! What of a takeoff is not as the program and job.toml have it: files that replace bundled ones, settings that were
//! replaced on the command line.

use super::Job;
use crate::files::{EMBEDDED, Origin};
use crate::listing::{Listing, listings};
use crate::problem::Outcome;
use crate::script::FUNCTIONS;

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
    let own_price = job.calc_sheets.iter().any(|source| source.name == "price");
    let used = |name: &str| match name {
        "templates/sheets/price.csv" => job.has_bid && !own_price,
        name if name.starts_with("templates/workbook/") => true,
        name => name == format!("scripts/{}.rhai", job.case),
    };
    let mut found = Vec::new();
    let bundled = EMBEDDED.iter().map(|(name, _)| *name).filter(|name| used(name));
    for name in bundled.chain([FUNCTIONS]) {
        if let Some(file) =
            job.layers.replaced(name)?.filter(|file| file.origin != Origin::Embedded)
        {
            found.push((what(name), file.shown));
        }
    }
    for (hook, file) in job.wall_job.site.hooks.used() {
        found.push((format!("rule {}", hook.name().replace('_', " ")), file));
    }
    Ok(found)
}

/// All of it as listings.
pub(super) fn listings(job: &Job) -> Outcome<[Listing; 3]> {
    let shown = |file: &str| job.layers.near(file);
    let row =
        |(what, file): &(String, String)| ReplacedFile { what: what.clone(), file: shown(file) };
    let set =
        |(path, value): &(String, String)| SetThere { path: path.clone(), value: value.clone() };
    // They are read to be told, so that they are among the files read.
    let replaced = replaced(job)?;
    let files = job.layers.reader().fingerprints().into_iter().map(|(path, bytes, fingerprint)| {
        FileRead { file: shown(&path.display().to_string()), bytes, fingerprint }
    });
    Ok([
        Listing::of(REPLACED_FILES, replaced.iter().map(row)),
        Listing::of(FILES_READ, files),
        Listing::of(SET_ON_COMMAND_LINE, job.set.iter().map(set)),
    ])
}
