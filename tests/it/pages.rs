//! Pages of the workbook as data: values that follow each other wherever a page puts them, readers, and faults.

use std::io::Cursor;
use std::path::Path;

use calamine::{Data, Reader, Xlsx};
use rodbook::job::{Job, OpenOptions, work, workbook};

use crate::support::Folder;

/// A copy of the demo with pages of its own.
fn demo_with(pages: &[(&str, &str)]) -> Folder {
    let folder = Folder::new();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    for name in ["job.toml", "shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(demo.join(name)).expect("the demo"));
    }
    for (name, text) in pages {
        folder.write(&format!("templates/workbook/{name}.toml"), text);
    }
    folder
}

fn written(folder: &Folder) -> Result<Xlsx<Cursor<Vec<u8>>>, String> {
    let job = Job::open(&folder.0, &OpenOptions::default()).expect("the demo");
    let done = work(&job, &|_| {}).map_err(|faults| faults.to_string())?;
    let bytes = workbook(&job, &done).map_err(|faults| faults.to_string())?;
    Ok(Xlsx::new(Cursor::new(bytes)).expect("a workbook"))
}

fn fault(name: &str, page: &str) -> String {
    written(&demo_with(&[(name, page)])).err().unwrap_or_else(|| "nothing stops it".to_owned())
}

const INPUTS: &str = "sheet = \"What may change\"\ntitle = \"Inputs of {job}\"\n
[[block]]\nlive = \"inputs\"\ncolumns = [\n  { field = \"path\", title = \"Key\" },\n  { field = \"unit\", title = \"Unit\", at = 2 },
  { field = \"value\", title = \"Value\", at = 3 },\n]\n";

/// The sheet of inputs under another name, in another order: what rests on it follows it there.
#[test]
fn a_replaced_page_keeps_values_that_follow() {
    let mut book = written(&demo_with(&[("inputs", INPUTS)])).expect("a workbook");
    let sheet = book.worksheet_range("What may change").expect("the sheet");
    let (row, _, path) = sheet
        .used_cells()
        .find(
            |(_, _, data)| matches!(data, Data::String(text) if text == "allowances.footing_waste"),
        )
        .expect("the key");
    assert_eq!(path, &Data::String("allowances.footing_waste".to_owned()));
    assert_eq!(sheet.get((row, 3)), Some(&Data::Float(0.08)));
    let place = format!("'What may change'!$D${}", row + 1);
    let names = book.defined_names();
    let name = names.iter().find(|(name, _)| name == "in_allowances_footing_waste");
    assert_eq!(name.map(|(_, at)| at.as_str()), Some(place.as_str()));
    let formulas = book.worksheet_formula("Quantities").expect("formulas");
    assert!(formulas.used_cells().any(|(_, _, text)| text.contains("in_allowances_footing_waste")));
}

/// Without a sheet of inputs nothing can follow them: what would is marked, and no name leads nowhere.
#[test]
fn without_inputs_values_are_computed() {
    let empty = "sheet = \"Inputs\"\ntitle = \"Inputs\"\n[[block]]\nrecords = \"people\"\nbare = true\ncolumns = [{ field = \"what\" }]\n";
    let mut book = written(&demo_with(&[("inputs", empty)])).expect("a workbook");
    assert!(book.defined_names().iter().all(|(name, _)| !name.starts_with("in_")));
    let formulas = book.worksheet_formula("Quantities").expect("formulas");
    assert!(formulas.used_cells().all(|(_, _, text)| !text.contains("in_")));
    let sheet = book.worksheet_range("Quantities").expect("the sheet");
    let dead = sheet.used_cells().filter(|(_, _, data)| {
        matches!(data, Data::String(text) if text == "computed: does not follow a change of Inputs")
    });
    // The two orders and the loose volume.
    assert_eq!(dead.count(), 3);
}

#[test]
fn faults_of_pages() {
    let page = |change: &str| format!("sheet = \"Mine\"\ntitle = \"Mine\"\n{change}");
    let block = |change: &str| page(&format!("[[block]]\n{change}"));
    for (text, words) in [
        (block("live = \"inputs\"\ncolumns = [{ field = \"valeu\" }]"), "did you mean value?"),
        (block("live = \"imputs\""), "imputs"),
        (block("live = \"cells\"\ncolumns = [{ field = \"what\" }]"), "each = \"calc_sheet\""),
        (page("each = \"table\"\n[[block]]\nempty = \"x\""), "sheet = \"{title}\""),
        (
            page(
                "audience = \"client\"\n[[block]]\nrecords = \"prices\"\ncolumns = [{ field = \"price\" }]",
            ),
            "is not for the readers",
        ),
        (
            page(
                "audience = \"crew\"\n[[block]]\nrecords = \"steps\"\ncolumns = [{ field = \"cost\" }]",
            ),
            "column \"cost\" of listing \"steps\" is not for",
        ),
        (
            page("audience = \"client\"\n[[block]]\nfacts = [{ cell = \"price.total\" }]"),
            "for the office",
        ),
        (
            block(
                "[block.chart]\ntitle = \"a\"\nx_title = \"b\"\ny_title = \"c\"\nseries = [{ name = \"n\", records = \"profile\", where = {}, x = \"chain\", y = \"elevation\", width = 1, dash = \"dotted\", color = \"red\" }]",
            ),
            "solid, dash or dot",
        ),
    ] {
        let said = fault("mine", &text);
        assert!(said.contains(words) && said.contains("mine.toml:"), "{text}\n{said}");
    }
}

/// A page for the crew shows the steps and not what they cost.
#[test]
fn a_page_for_the_crew() {
    let page = "sheet = \"Crew\"\ntitle = \"Steps\"\naudience = \"crew\"\n[[block]]\nrecords = \"steps\"\ncolumns = [{ field = \"step\" }, { field = \"dirt_step\", title = \"Height\" }]\n";
    let mut book = written(&demo_with(&[("crew", page)])).expect("a workbook");
    assert!(book.worksheet_range("Crew").expect("the sheet").used_cells().count() > 8);
}
