//! The list of sources that lines and cells rest on.

use std::collections::{BTreeMap, BTreeSet};

use rust_xlsxwriter::{Worksheet, XlsxError};

use super::super::look;
use super::super::write::{Contents, free_name, set_up};
use super::plan::FIRST;
use super::{fit, heads};
use crate::listing::Datum;
use crate::source;

/// The list of sources of the lines and cells.
pub(super) fn sources(
    contents: &Contents,
    taken: &mut Vec<String>,
) -> Result<Option<Worksheet>, XlsxError> {
    let mut used: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for line in contents.takeoff.iter().flat_map(|takeoff| &takeoff.lines) {
        for key in &line.trail.sources {
            used.entry(*key).or_default().insert(line.label.clone());
        }
    }
    for node in contents.book.nodes() {
        let mut functions = Vec::new();
        if let Some(formula) = &node.formula {
            formula.functions(&mut functions);
        }
        for function in functions {
            used.entry(function.source)
                .or_default()
                .insert(format!("{} ({})", node.name, function.name));
        }
    }
    if used.is_empty() {
        return Ok(None);
    }
    let mut sheet = Worksheet::new();
    sheet.set_name(free_name("Sources", taken))?;
    for (at, width) in (0..).zip([24.0, 74.0, 26.0, 54.0]) {
        sheet.set_column_width(at, width)?;
    }
    sheet.write_with_format(0, 0, format!("Sources: {}", contents.job), &look::title())?;
    heads(&mut sheet, FIRST - 1, &["Key", "Source", "How it was read", "Used for"], &[])?;
    let mut row = FIRST;
    for (key, uses) in used {
        let Some(source) = source::find(key) else { continue };
        let uses: Vec<String> = uses.into_iter().collect();
        let uses = uses.join("; ");
        sheet.write_with_format(row, 0, key, &look::text(false))?;
        sheet.write_with_format(row, 1, source.title, &look::text(true))?;
        sheet.write_with_format(row, 2, source.standing.to_string(), &look::text(true))?;
        sheet.write_with_format(row, 3, &uses, &look::text(true))?;
        fit(&mut sheet, row, &[(source.title, 74.0), (&uses, 54.0)])?;
        row += 1;
    }
    for (name, key) in [("replaced_files", "replaced"), ("files_read", "read")] {
        let listing = contents.listings.iter().find(|one| one.name() == name);
        for cells in listing.iter().flat_map(|listing| &listing.rows) {
            let (what, how, file) = match &cells[..] {
                [Datum::Text(what), Datum::Text(file)] => {
                    (format!("{what}, in place of the bundled one"), String::new(), file)
                }
                [Datum::Text(file), Datum::Count(bytes), Datum::Text(print)] => {
                    (format!("SHA-256 {print}"), format!("{bytes} bytes"), file)
                }
                _ => continue,
            };
            sheet.write_with_format(row, 0, key, &look::text(false))?;
            sheet.write_with_format(row, 1, &what, &look::text(true))?;
            sheet.write_with_format(row, 2, &how, &look::text(true))?;
            sheet.write_with_format(row, 3, file, &look::text(true))?;
            fit(&mut sheet, row, &[(&what, 74.0), (file, 54.0)])?;
            row += 1;
        }
    }
    set_up(&mut sheet, contents, true, row - 1, 3, Some((0, FIRST - 1)))?;
    Ok(Some(sheet))
}
