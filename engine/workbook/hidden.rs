//! Which columns of a sheet are hidden: the reader of cells does not say it.
//!
//! Nothing here is an error: where a part is not as expected, no column is taken for hidden, and the reader of cells says
//! what is wrong with the workbook.

use std::collections::BTreeMap;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::guard::Parts;

/// Hidden columns by sheet, counted from 0.
type Hidden = BTreeMap<String, Vec<usize>>;

/// Columns that are looked at.
const MOST_COLUMNS: usize = 16_384;

/// Those of an xlsx workbook.
pub(super) fn of_xlsx(bytes: &[u8]) -> Hidden {
    let mut hidden = Hidden::new();
    let Ok(mut parts) = Parts::open(bytes) else { return hidden };
    let (Ok(book), Ok(relations)) =
        (parts.read("xl/workbook.xml"), parts.read("xl/_rels/workbook.xml.rels"))
    else {
        return hidden;
    };
    let mut targets = BTreeMap::new();
    each_start(&relations, &mut |name, start| {
        if name == "Relationship"
            && let (Some(id), Some(target)) = (attribute(start, "Id"), attribute(start, "Target"))
        {
            targets.insert(id, target);
        }
        true
    });
    let mut sheets = Vec::new();
    each_start(&book, &mut |name, start| {
        if name == "sheet"
            && let (Some(name), Some(id)) = (attribute(start, "name"), attribute(start, "id"))
        {
            sheets.push((name, id));
        }
        true
    });
    for (name, id) in sheets {
        let Some(target) = targets.get(&id) else { continue };
        let path = match target.strip_prefix('/') {
            Some(whole) => whole.to_owned(),
            None => format!("xl/{target}"),
        };
        // Columns stand before the rows: the head of a large sheet is enough.
        let Ok(head) = parts.read_head(&path, 256 * 1024) else { continue };
        let mut columns = Vec::new();
        each_start(&head, &mut |name, start| {
            if name == "col" {
                let number = |name| attribute(start, name).and_then(|n| n.parse::<usize>().ok());
                let is = |name| attribute(start, name).is_some_and(|v| v == "1" || v == "true");
                let narrow = attribute(start, "width").and_then(|w| w.parse::<f64>().ok());
                if (is("hidden") || narrow == Some(0.0))
                    && let (Some(from @ 1..), Some(to)) = (number("min"), number("max"))
                {
                    columns.extend(from - 1..to.min(MOST_COLUMNS));
                }
            }
            name != "sheetData"
        });
        hidden.insert(name, columns);
    }
    hidden
}

/// Those of an ods workbook.
pub(super) fn of_ods(bytes: &[u8]) -> Hidden {
    let mut hidden = Hidden::new();
    let Ok(content) = Parts::open(bytes).and_then(|mut parts| parts.read("content.xml")) else {
        return hidden;
    };
    let (mut sheet, mut column) = (String::new(), 0_usize);
    each_start(&content, &mut |name, start| {
        match name {
            "table" => {
                sheet = attribute(start, "name").unwrap_or_default();
                column = 0;
            }
            "table-column" => {
                let repeated = attribute(start, "number-columns-repeated");
                let count = repeated.and_then(|n| n.parse::<usize>().ok()).unwrap_or(1);
                let next = column.saturating_add(count).min(MOST_COLUMNS);
                let visibility = attribute(start, "visibility");
                if visibility.is_some_and(|word| word == "collapse" || word == "filter") {
                    hidden.entry(sheet.clone()).or_default().extend(column..next);
                }
                column = next;
            }
            _ => {}
        }
        true
    });
    hidden
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
