//! Which columns of a sheet are hidden: the reader of cells does not say it.
//!
//! Nothing here is an error: where a part is not as expected, no column is taken for hidden, and the reader of cells says
//! what is wrong with the workbook.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};

use super::guard::Parts;
use super::package::{attribute, each_start, in_package, sheets_of_xlsx, targets};

/// Hidden columns by sheet, counted from 0.
type Hidden = BTreeMap<String, Vec<usize>>;

/// Columns that are looked at.
const MOST_COLUMNS: usize = 16_384;

/// Columns stand before the rows: so much of a large sheet is enough, in bytes.
const HEAD: u64 = 256 * 1024;
/// Most of the one stream of an old workbook that is looked at, in bytes.
const MOST_STREAM: u64 = 64 * 1024 * 1024;

/// Those of an xlsx workbook.
pub(super) fn of_xlsx(bytes: &[u8]) -> Hidden {
    let mut hidden = Hidden::new();
    let Ok(mut parts) = Parts::open(bytes) else { return hidden };
    for (name, path) in sheets_of_xlsx(&mut parts) {
        let Ok(head) = parts.read_head(&path, HEAD) else { continue };
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

/// Those of an xls workbook: records of its one stream.
pub(super) fn of_xls(bytes: &[u8]) -> Hidden {
    const SHEET: u16 = 0x85;
    const COLUMNS: u16 = 0x7d;
    const END: u16 = 0x0a;
    let mut hidden = Hidden::new();
    let Ok(mut file) = cfb::CompoundFile::open(Cursor::new(bytes)) else { return hidden };
    let mut stream = Vec::new();
    let read = file
        .open_stream("Workbook")
        .and_then(|part| part.take(MOST_STREAM).read_to_end(&mut stream));
    if read.is_err() {
        return hidden;
    }
    for (kind, record) in short_records(&stream) {
        if kind == SHEET
            && let Some((start, name)) = sheet_of_xls(record)
        {
            let mut columns = Vec::new();
            for (kind, record) in short_records(stream.get(start..).unwrap_or_default()) {
                if kind == END {
                    break;
                }
                let number =
                    |at: usize| Some(usize::from(u16::from_le_bytes(bytes_at(record, at)?)));
                if kind == COLUMNS
                    && let (Some(from), Some(to), Some(flags)) = (number(0), number(2), number(8))
                    && flags & 1 == 1
                {
                    columns.extend(from..=to.min(MOST_COLUMNS));
                }
            }
            hidden.insert(name, columns);
        }
    }
    hidden
}

/// Records of a kind and a length of two bytes each, as far as they are whole.
fn short_records(stream: &[u8]) -> impl Iterator<Item = (u16, &[u8])> {
    let mut at = 0;
    std::iter::from_fn(move || {
        let kind = u16::from_le_bytes(bytes_at(stream, at)?);
        let length = usize::from(u16::from_le_bytes(bytes_at(stream, at + 2)?));
        let record = stream.get(at + 4..at + 4 + length)?;
        at += 4 + length;
        Some((kind, record))
    })
}

/// Where a sheet's records begin, and its name: in bytes or in units of UTF-16.
fn sheet_of_xls(record: &[u8]) -> Option<(usize, String)> {
    let start = usize::try_from(u32::from_le_bytes(bytes_at(record, 0)?)).ok()?;
    let (count, wide) = (usize::from(*record.get(6)?), record.get(7)? & 1 == 1);
    let letters = record.get(8..)?;
    let name = match wide {
        true => utf16(letters.get(..2 * count)?),
        false => letters.get(..count)?.iter().map(|byte| char::from(*byte)).collect(),
    };
    Some((start, name))
}

/// Those of an xlsb workbook: the head of each sheet's records.
pub(super) fn of_xlsb(bytes: &[u8]) -> Hidden {
    const SHEET: u16 = 156;
    const COLUMNS: u16 = 60;
    const DATA: u16 = 145;
    let mut hidden = Hidden::new();
    let Ok(mut parts) = Parts::open(bytes) else { return hidden };
    let (Ok(book), Ok(relations)) =
        (parts.read("xl/workbook.bin"), parts.read("xl/_rels/workbook.bin.rels"))
    else {
        return hidden;
    };
    let targets = targets(&relations);
    for (kind, record) in long_records(&book) {
        if kind != SHEET {
            continue;
        }
        let Some((id, name)) = sheet_of_xlsb(record) else { continue };
        let Some(path) = targets.get(&id).map(|target| in_package(target)) else { continue };
        let Ok(head) = parts.read_head(&path, HEAD) else { continue };
        let mut columns = Vec::new();
        for (kind, record) in long_records(&head) {
            if kind == DATA {
                break;
            }
            let number =
                |at: usize| usize::try_from(u32::from_le_bytes(bytes_at(record, at)?)).ok();
            if kind == COLUMNS
                && let (Some(from), Some(to)) = (number(0), number(4))
                && record.get(16).is_some_and(|flags| flags & 1 == 1)
            {
                columns.extend(from..=to.min(MOST_COLUMNS));
            }
        }
        hidden.insert(name, columns);
    }
    hidden
}

/// Records whose kind and length take as many bytes as they need, as far as they are whole.
fn long_records(stream: &[u8]) -> impl Iterator<Item = (u16, &[u8])> {
    let mut at = 0;
    std::iter::from_fn(move || {
        let mut next = || {
            let byte = stream.get(at).copied();
            at += 1;
            byte
        };
        let mut kind = u16::from(next()?);
        if kind & 0x80 != 0 {
            kind = kind & 0x7f | u16::from(next()?) << 7;
        }
        let mut length = 0;
        for shift in [0, 7, 14, 21] {
            let byte = usize::from(next()?);
            length |= (byte & 0x7f) << shift;
            if byte & 0x80 == 0 {
                break;
            }
        }
        let record = stream.get(at..at.checked_add(length)?)?;
        at += length;
        Some((kind, record))
    })
}

/// The relation and the name of a sheet.
fn sheet_of_xlsb(record: &[u8]) -> Option<(String, String)> {
    let text = |at: usize| {
        let count = usize::try_from(u32::from_le_bytes(bytes_at(record, at)?)).ok()?;
        let end = count.checked_mul(2)?.checked_add(at + 4)?;
        Some((utf16(record.get(at + 4..end)?), end))
    };
    let (id, end) = text(8)?;
    Some((id, text(end)?.0))
}

fn utf16(bytes: &[u8]) -> String {
    let units = bytes.chunks_exact(2).map(|pair| u16::from_le_bytes([pair[0], pair[1]]));
    char::decode_utf16(units).map(|letter| letter.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
}

/// So many bytes at a place.
fn bytes_at<const COUNT: usize>(bytes: &[u8], at: usize) -> Option<[u8; COUNT]> {
    bytes.get(at..at.checked_add(COUNT)?)?.try_into().ok()
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
