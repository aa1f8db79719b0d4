//! `generate`: the pages that are made from the code.

use super::args::GenerateArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::files::write_atomic;
use crate::glossary::glossary_page;
use crate::job::{cases_page, declared, keys_page};
use crate::listing::listings_page;
use crate::script::{definitions, reference};
use crate::workbook::pages_page;

/// Writes the generated pages.
pub(super) fn generate(args: &GenerateArgs) -> Exit {
    let pages = [
        ("scripts/REFERENCE.md", reference()),
        ("scripts/editor/rodbook.d.rhai", definitions()),
        ("templates/GLOSSARY.md", glossary_page()),
        ("templates/JOB.md", keys_page()),
        ("templates/LISTINGS.md", listings_page(declared())),
        ("templates/PAGES.md", pages_page()),
        ("examples/cases/README.md", cases_page()),
    ];
    for (name, text) in pages {
        if let Err(problems) = write_atomic(&args.folder.join(name), text.as_bytes()) {
            faults(&problems);
            return Exit::NotWritten;
        }
        print(name);
    }
    Exit::Done
}
