//! What the parts of a workbook say beyond its cells: elements of their xml, and where the sheets are.
//!
//! Nothing here is an error: what is damaged is not seen, and the reader of cells says what is wrong.

use std::collections::BTreeMap;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::guard::Parts;

/// Targets of relations by their name.
pub(super) fn targets(relations: &[u8]) -> BTreeMap<String, String> {
    let mut targets = BTreeMap::new();
    each_start(relations, &mut |name, start| {
        if name == "Relationship"
            && let (Some(id), Some(target)) = (attribute(start, "Id"), attribute(start, "Target"))
        {
            targets.insert(id, target);
        }
        true
    });
    targets
}

/// The path of a workbook's target in the package.
pub(super) fn in_package(target: &str) -> String {
    match target.strip_prefix('/') {
        Some(whole) => whole.to_owned(),
        None => format!("xl/{target}"),
    }
}

/// The sheets of an xlsx workbook by name, each with its path in the package.
pub(super) fn sheets_of_xlsx(parts: &mut Parts) -> Vec<(String, String)> {
    let (Ok(book), Ok(relations)) =
        (parts.read("xl/workbook.xml"), parts.read("xl/_rels/workbook.xml.rels"))
    else {
        return Vec::new();
    };
    let targets = targets(&relations);
    let mut sheets = Vec::new();
    each_start(&book, &mut |name, start| {
        if name == "sheet"
            && let (Some(name), Some(id)) = (attribute(start, "name"), attribute(start, "id"))
            && let Some(target) = targets.get(&id)
        {
            sheets.push((name, in_package(target)));
        }
        true
    });
    sheets
}

/// Calls `see` for each element by its local name until it says that this is enough, or the text ends or is damaged.
pub(super) fn each_start(xml: &[u8], see: &mut dyn FnMut(&str, &BytesStart) -> bool) {
    let Ok(text) = std::str::from_utf8(&xml[..whole_letters(xml)]) else { return };
    let mut reader = Reader::from_str(text);
    loop {
        match reader.read_event() {
            Ok(Event::Start(start) | Event::Empty(start)) => {
                let name = start.local_name();
                if !see(name.as_ref(), &start) {
                    return;
                }
            }
            Ok(Event::Eof) | Err(_) => return,
            Ok(_) => {}
        }
    }
}

/// Length up to the last whole letter of a text that may be cut off.
fn whole_letters(bytes: &[u8]) -> usize {
    match std::str::from_utf8(bytes) {
        Ok(_) => bytes.len(),
        Err(error) => error.valid_up_to(),
    }
}

/// An attribute by its local name.
pub(super) fn attribute(start: &BytesStart, wanted: &str) -> Option<String> {
    start.attributes().flatten().find_map(|found| {
        (found.key.local_name().as_ref() == wanted).then(|| {
            found.normalized_value(quick_xml::XmlVersion::Implicit1_0).ok().map(|v| v.into_owned())
        })?
    })
}
