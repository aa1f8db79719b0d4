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
        matches!(data, Data::String(text) if text == "calculated: does not follow a change of Inputs")
    });
    // The two orders, the steel to order, the loose volume and the lumber as sold.
    assert_eq!(dead.count(), 5);
}

/// A setting that a cell names and the wall case reads: a change of it is told, for what was measured cannot follow.
#[test]
fn what_measured_lines_rest_on_is_told() {
    let folder = demo_with(&[]);
    let pour = std::fs::read_to_string(folder.0.join("pour.csv")).expect("the sheet");
    folder.write("pour.csv", pour + ",rock,ft,allowances.drain_width\n");
    let mut book = written(&folder).expect("a workbook");
    let formulas = book.worksheet_formula("Inputs").expect("formulas");
    let told =
        |words: &str| formulas.used_cells().filter(|(_, _, text)| text.contains(words)).count();
    assert_eq!(told("measured lines do not follow it"), 1);
    assert!(told("changed since the steps were laid out") > 10);
}

/// A chart whose listings stand nowhere is left out, and the workbook is written.
#[test]
fn a_chart_over_nothing() {
    let empty = "sheet = \"Profile data\"\ntitle = \"None\"\n[[block]]\nempty = \"left out\"\n";
    assert!(written(&demo_with(&[("11-profile-data", empty)])).is_ok());
}

/// Two pages with the same live table, or with placeholders that their readers may not see.
#[test]
fn faults_of_several_pages() {
    let twice = INPUTS.replace("What may change", "Inputs 2");
    let said = fault("more-inputs", &twice);
    assert!(
        said.contains("more-inputs.toml") && said.contains("stand in the workbook already"),
        "{said}"
    );
    let leak = "sheet = \"Crew\"\ntitle = \"Crew\"\naudience = \"crew\"\n[[block]]\nfacts = [{ records = \"steps\", note = \"{cost}\" }]\n";
    assert!(fault("crew", leak).contains("column \"cost\" of listing \"steps\" is not for"));
    let at = "sheet = \"Mine\"\ntitle = \"Mine\"\n[[block]]\nrecords = \"steps\"\ncolumns = [{ field = \"step\", at = 1 }, { field = \"wall\", at = 1 }]\n";
    assert!(fault("mine", at).contains("two columns stand in column 1"));
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

/// Tables that take more than one printed page stand on sheets of their own, so that a spreadsheet can repeat the headings of
/// each; short ones share a sheet that is printed on one page.
#[test]
fn headings_are_repeated_for_every_long_table() {
    let table = |records: &str, columns: &str| {
        format!(
            "[[block]]\nheading = \"{records}\"\nrecords = \"{records}\"\ncolumns = [{columns}]\n"
        )
    };
    let shots = table("shots_used", "{ field = \"point\", title = \"Point\" }");
    let steps = table("steps", "{ field = \"step\", title = \"Step\" }");
    let named = shots.replace("[[block]]", "[[block]]\nsheet = \"Once more\"");
    let page = format!("sheet = \"Much\"\ntitle = \"Much\"\n{steps}{steps}{shots}{named}{steps}");
    let folder = demo_with(&[("much", &page)]);
    let job = Job::open(&folder.0, &OpenOptions::default()).expect("the demo");
    let done = work(&job, &|_| {}).expect("a takeoff");
    let bytes = workbook(&job, &done).expect("a workbook");
    let mut book = Xlsx::new(Cursor::new(bytes.clone())).expect("a workbook");
    let heads = |book: &mut Xlsx<_>, sheet: &str| -> Vec<(u32, String)> {
        let range = book.worksheet_range(sheet).expect("the sheet");
        let is_head =
            |data: &Data| matches!(data, Data::String(text) if text == "Point" || text == "Step");
        let start = range.start().map_or(0, |(row, _)| row);
        range
            .used_cells()
            .filter(|(_, column, data)| *column == 0 && is_head(data))
            .map(|(row, _, data)| (start + row as u32, data.to_string()))
            .collect()
    };
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).expect("a package");
    let mut part = |name: &str| {
        let mut text = String::new();
        let mut file = archive.by_name(name).expect("a part");
        std::io::Read::read_to_string(&mut file, &mut text).expect("text");
        text
    };
    let parts = part("xl/workbook.xml");
    let sheets = book.sheet_names();
    for (sheet, wanted) in [
        ("Much", vec!["Step", "Step"]),
        ("Much 2", vec!["Point"]),
        ("Once more", vec!["Point"]),
        ("Much 3", vec!["Step"]),
    ] {
        let found = heads(&mut book, sheet);
        let words: Vec<&str> = found.iter().map(|(_, word)| word.as_str()).collect();
        assert_eq!(words, wanted, "{sheet}");
        let at = sheets.iter().position(|name| name == sheet).expect("the sheet") + 1;
        let xml = part(&format!("xl/worksheets/sheet{at}.xml"));
        // On one printed page, or with its headings repeated.
        let one_page = !xml.contains("fitToHeight=\"0\"");
        assert_eq!(one_page, words != ["Point"], "{sheet}");
        if !one_page {
            let quoted = if sheet.contains(' ') { format!("'{sheet}'") } else { sheet.to_owned() };
            let titles = format!("{quoted}!$1:${}<", found[0].0 + 1);
            assert!(parts.contains(&titles), "{sheet}: {titles}");
            assert!(xml.contains("<pane "), "{sheet}: headings stay in sight");
        }
    }
}
