//! The guard before a workbook is opened: its parts are bounded, so that a small file cannot ask for all memory.

use std::io::{Cursor, Read};

use zip::ZipArchive;

use super::package::{attribute, each_start};
use crate::problem::{Place, Problem};

/// Largest part of a workbook when unpacked.
const LARGEST_PART: u64 = 200 * 1024 * 1024;
/// Largest sum of all parts.
const LARGEST_TOTAL: u64 = 400 * 1024 * 1024;
/// Most parts.
const MOST_PARTS: usize = 10_000;

/// A workbook's parts by name, unpacked within bounds.
pub(super) struct Parts<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
}

impl<'a> Parts<'a> {
    /// Opens a workbook.
    pub(super) fn open(bytes: &'a [u8]) -> Result<Self, Problem> {
        let archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| {
            Problem::error("this is not a workbook: it does not unpack")
                .help("save the list again as .xlsx, or as .csv under a .csv name")
        })?;
        let mut parts = Self { archive };
        let mut total = 0;
        if parts.archive.len() > MOST_PARTS {
            return Err(too_large("it has too many parts"));
        }
        for index in 0..parts.archive.len() {
            let size = parts.archive.by_index_raw(index).map_err(|_| broken())?.size();
            total += size;
            if size > LARGEST_PART || total > LARGEST_TOTAL {
                return Err(too_large("unpacked it is larger than any shot list"));
            }
        }
        Ok(parts)
    }

    /// The names of all parts, sorted.
    pub(super) fn names(&self) -> Vec<String> {
        let mut names: Vec<String> =
            self.archive.file_names().filter_map(|name| Some(name.ok()?.into_owned())).collect();
        names.sort();
        names
    }

    /// One part; its declared size is enforced while it unpacks.
    pub(super) fn read(&mut self, name: &str) -> Result<Vec<u8>, Problem> {
        self.read_head(name, LARGEST_PART)
    }

    /// The first bytes of a part.
    pub(super) fn read_head(&mut self, name: &str, most: u64) -> Result<Vec<u8>, Problem> {
        let mut bytes = Vec::new();
        let part = self.archive.by_name(name).map_err(|_| broken())?;
        part.take(most).read_to_end(&mut bytes).map_err(|_| broken())?;
        Ok(bytes)
    }
}

fn broken() -> Problem {
    Problem::error("this workbook is damaged: a part of it does not unpack").help("save it again")
}

fn too_large(why: &str) -> Problem {
    Problem::error(format!("this workbook is refused: {why}"))
        .help("save only the shots into a new workbook, or as csv")
}

/// Checks a workbook before the reader opens it.
pub(super) fn unpacks_within_bounds(file: &str, bytes: &[u8]) -> Result<(), Problem> {
    Parts::open(bytes).map(|_| ()).map_err(|problem| problem.at(Place::file(file)))
}

/// The same for a workbook whose parts are known: its table of texts is what it says.
pub(super) fn check(file: &str, bytes: &[u8]) -> Result<(), Problem> {
    let place = Place::file(file);
    let mut parts = Parts::open(bytes).map_err(|problem| problem.at(place.clone()))?;
    let strings = "xl/sharedStrings.xml";
    if parts.names().iter().any(|name| name == strings) {
        let text = parts.read(strings).map_err(|problem| problem.at(place.clone()))?;
        let most = text.len() as u64 / 5;
        let mut declared = Vec::new();
        each_start(&text, &mut |_, start| {
            declared.extend(["count", "uniqueCount"].map(|name| attribute(start, name)));
            false
        });
        let sound =
            |count: &String| count.trim().parse::<u64>().is_ok_and(|count| count <= most.max(1000));
        if !declared.iter().skip(1).flatten().all(sound) {
            return Err(too_large("it declares more texts than it holds").at(place));
        }
    }
    Ok(())
}
