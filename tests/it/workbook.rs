//! The written workbook, read again with another library: numbers, formulas, print set-up, and nothing foreign in it.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use std::path::Path;

use calamine::{Data, Reader, Xlsx};
use rodbook::job::{Job, OpenOptions, work, workbook};

use crate::support::{Folder, run};

fn demo() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench")
}

fn written(folder: &Path) -> Vec<u8> {
    let job =
        Job::open(folder, &OpenOptions::default()).unwrap_or_else(|faults| panic!("{faults}"));
    let done = work(&job, &|_| {}).unwrap_or_else(|faults| panic!("{faults}"));
    workbook(&job, &done).unwrap_or_else(|faults| panic!("{faults}"))
}

type Cells = BTreeMap<(String, u32, u32), Data>;

fn cells(bytes: &[u8]) -> Cells {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.to_vec())).expect("a workbook");
    let mut cells = Cells::new();
    for name in book.sheet_names() {
        let range = book.worksheet_range(&name).expect("a sheet");
        let (row0, column0) = range.start().unwrap_or((0, 0));
        for (row, column, value) in range.used_cells() {
            cells.insert((name.clone(), row0 + row as u32, column0 + column as u32), value.clone());
        }
    }
    cells
}

/// The cell to the right of a label.
fn beside(cells: &Cells, sheet: &str, label: &str, columns: u32) -> f64 {
    let found = cells.iter().find(|((name, _, _), value)| name == sheet && **value == *label);
    let ((_, row, column), _) = found.unwrap_or_else(|| panic!("{label} is not on {sheet}"));
    match &cells[&(sheet.to_owned(), *row, column + columns)] {
        Data::Float(value) => *value,
        other => panic!("{label}: {other:?} is not a number"),
    }
}

#[test]
fn the_numbers_are_the_numbers_of_the_takeoff() {
    let bytes = written(&demo());
    let cells = cells(&bytes);
    let done = run(&demo());
    let rows = [
        ("Footing concrete", "footing.total"),
        ("Stem concrete", "stem.total"),
        ("Stem forms, contact area", "forms.contact"),
        ("Excavation, bank volume (section, laid back from the footing top)", "dig.bank"),
        ("Drain rock behind the stem", "drain.rock"),
    ];
    for (label, id) in rows {
        assert!((beside(&cells, "Summary", label, 1) - done.quantity(id)).abs() < 1e-9, "{label}");
    }
    // The price with what it lacks, and no cost by layout rates that could be taken for one.
    assert!((beside(&cells, "Summary", "Price", 1) - 62_286.05).abs() < 1e-6);
    let summary: Vec<&str> = cells
        .iter()
        .filter(|((sheet, _, _), _)| sheet == "Summary")
        .filter_map(
            |(_, value)| if let Data::String(text) = value { Some(text.as_str()) } else { None },
        )
        .collect();
    assert!(summary.contains(&"drain pipe") && summary.contains(&"the owner is exempt"));
    assert!(!summary.iter().any(|text| text.contains("PARTIAL")));
    assert!(!summary.iter().any(|text| text.contains("layout rates")));
    assert_eq!(beside(&cells, "Summary", "Shots used", 1), 59.0);
    for line in done.records("lines") {
        let label = line["label"].as_str().expect("a label");
        let value = line["quantity"]["value"].as_f64().expect("a number");
        assert!((beside(&cells, "Quantities", label, 6) - value).abs() < 1e-9, "{label}");
    }
    let risers = cells.iter().filter(|((sheet, _, column), value)| {
        ["Steps", "Stake-out", "Runs", "Cuts"].contains(&sheet.as_str())
            && *column == 2
            && **value == *"40'-10\""
    });
    assert_eq!(
        risers.count(),
        4,
        "riser 3 in the three step tables, and as the start of a footing piece"
    );
    let profile = cells
        .keys()
        .filter(|(sheet, _, _)| sheet == "Profile data" || sheet == "Stepped lines")
        .count();
    assert!(profile > 300, "{profile} cells of profile data");
}

/// A number in a text cell would not add up.
#[test]
fn no_number_is_a_text() {
    for ((sheet, row, column), value) in cells(&written(&demo())) {
        if let Data::String(text) = value {
            let point_name = sheet.starts_with("Shots") && column == 1;
            assert!(
                point_name || text.trim().parse::<f64>().is_err(),
                "{sheet} {row} {column}: {text}"
            );
        }
    }
}

fn parts(bytes: &[u8]) -> BTreeMap<String, String> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).expect("a workbook");
    let mut parts = BTreeMap::new();
    for index in 0..archive.len() {
        let mut part = archive.by_index(index).expect("a part");
        let mut text = String::new();
        part.read_to_string(&mut text).expect("text");
        parts.insert(part.name().expect("a name").into_owned(), text);
    }
    parts
}

#[test]
fn the_package_is_plain_and_set_up_for_printing() {
    let parts = parts(&written(&demo()));
    for (name, text) in &parts {
        let foreign = ["vbaProject", "externalLink", "connections", "ctrlProp", "activeX", "macro"];
        assert!(foreign.iter().all(|word| !name.contains(word)), "{name}");
        assert!(!text.contains("TargetMode=\"External\""), "{name}");
        assert!(
            !text.contains("<f>#REF") && !text.contains("NAN") && !text.contains(">inf<"),
            "{name}"
        );
    }
    let book = &parts["xl/workbook.xml"];
    let sheets = book.matches("<sheet ").count();
    // What charts show is hidden, comes last, and is not printed.
    let printed = sheets - book.matches("state=\"hidden\"").count();
    assert_eq!(printed, sheets - 2);
    assert_eq!(book.matches("_xlnm.Print_Area").count(), printed);
    assert_eq!(book.matches("_xlnm.Print_Titles").count(), printed);
    for at in 1..=printed {
        let name = format!("xl/worksheets/sheet{at}.xml");
        let text = &parts[&name];
        assert!(text.contains("Page &amp;P of &amp;N"), "{name} has no page numbers");
        assert!(text.contains("fitToPage=\"1\""), "{name} is not fitted to the page");
    }
    // The profile, and the price by work.
    assert_eq!(parts.keys().filter(|name| name.starts_with("xl/charts/chart")).count(), 2);
    let formulas: usize = parts.values().map(|text| text.matches("<f>").count()).sum();
    assert!(formulas >= 20, "{formulas} live formulas");
    assert!(!book.contains(&format!("{}", std::env::temp_dir().display())), "no path of a machine");
}

/// The csv beside the surveyor's workbook gives the same workbook, but for file name and places.
#[test]
fn csv_and_xlsx_give_the_same_workbook() {
    let folder = Folder::new();
    for name in ["shots.csv", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(demo().join(name)).expect("the demo"));
    }
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    folder.write("job.toml", job.replace("file = \"shots.xlsx\"", "file = \"shots.csv\""));
    let (csv, xlsx) = (cells(&written(&folder.0)), cells(&written(&demo())));
    let mut differences = Vec::new();
    for (place, value) in &xlsx {
        let other = csv.get(place);
        if other != Some(value) {
            differences.push((place.clone(), value.clone(), other.cloned()));
        }
    }
    assert_eq!(
        csv.keys().collect::<Vec<_>>().len(),
        xlsx.keys().filter(|place| csv.contains_key(place)).count()
    );
    for ((sheet, row, column), value, other) in differences {
        let row_number = sheet.starts_with("Shots") && column == 0;
        let about_the_file = value.to_string().contains("shots.xlsx")
            || value.to_string().contains("above the header")
            || value == *"Shots"
            || value == *"Sheet";
        // Files that were read, with their lengths and fingerprints: the last table of the sheet.
        let heading = |(place, data): (&(String, u32, u32), &Data)| {
            (place.0 == "Sources" && *data == *"Files that were read").then_some(place.1)
        };
        let read = sheet == "Sources" && xlsx.iter().find_map(heading).is_some_and(|at| row > at);
        let script_place = value.to_string().contains(".rhai:");
        assert!(
            row_number || about_the_file || script_place || read,
            "{sheet} {row} {column}: {value:?} {other:?}"
        );
    }
}

#[test]
fn the_date_is_the_one_that_was_given() {
    let open = |date: Option<&str>| {
        let options = OpenOptions { date: date.map(str::to_owned), ..OpenOptions::default() };
        let job = Job::open(&demo(), &options).unwrap_or_else(|faults| panic!("{faults}"));
        let done = work(&job, &|_| {}).unwrap_or_else(|faults| panic!("{faults}"));
        cells(&workbook(&job, &done).unwrap_or_else(|faults| panic!("{faults}")))
    };
    let dated = |cells: &Cells| {
        cells.values().filter(|value| value.to_string().contains("2026-11-25")).count()
    };
    assert_eq!(dated(&open(Some("2026-11-25"))), 1);
    assert_eq!(dated(&open(None)), 0);
}
