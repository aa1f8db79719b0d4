//! Inputs that are changed in a written workbook, and what becomes of them in the job.

use std::io::{Cursor, Read, Write};
use std::path::{Path, PathBuf};

use calamine::Reader as _;
use rodbook::job::{
    OneRun, ReadBack, ReadInput, json, read_back, two_runs, with_cells, with_inputs, workbook,
};
use rodbook::problem::{Outcome, Place};

use crate::support::{Done, Folder, run, run_with};

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench")
}

/// One part of a package as text.
fn part(book: &[u8], name: &str) -> String {
    let mut source = zip::ZipArchive::new(Cursor::new(book)).expect("a package");
    let mut text = String::new();
    source.by_name(name).expect("a part").read_to_string(&mut text).expect("text");
    text
}

/// A workbook in which some cells of a sheet hold something else.
fn typed_on(book: &[u8], sheet: &str, changes: &[(String, &str)]) -> Vec<u8> {
    let names = part(book, "xl/workbook.xml");
    let sheets: Vec<&str> = names.split("<sheet name=\"").skip(1).collect();
    let named = format!("{sheet}\"");
    let at = sheets.iter().position(|sheet| sheet.starts_with(&named)).expect("the sheet") + 1;
    let path = format!("xl/worksheets/sheet{at}.xml");
    let mut xml = part(book, &path);
    for (cell, value) in changes {
        let begin = xml.find(&format!("<c r=\"{cell}\"")).expect("the cell");
        let end = begin + xml[begin..].find("</c>").expect("its end");
        let style = xml[begin..end].split("s=\"").nth(1).and_then(|s| s.split('"').next());
        let new = match value.parse::<f64>() {
            Ok(_) => format!("<c r=\"{cell}\" s=\"{}\"><v>{value}</v>", style.expect("a style")),
            Err(_) => format!("<c r=\"{cell}\" t=\"inlineStr\"><is><t>{value}</t></is>"),
        };
        xml.replace_range(begin..end, &new);
    }
    let mut source = zip::ZipArchive::new(Cursor::new(book)).expect("a package");
    let mut target = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for at in 0..source.len() {
        let mut part = source.by_index(at).expect("a part");
        let name = part.name().expect("a name").into_owned();
        let mut content = Vec::new();
        part.read_to_end(&mut content).expect("a part");
        if name == path {
            content = xml.clone().into_bytes();
        }
        target.start_file(name, zip::write::SimpleFileOptions::default()).expect("a part");
        target.write_all(&content).expect("a part");
    }
    target.finish().expect("a package").into_inner()
}

/// A workbook in which the cells of some defined names of the inputs hold something else.
fn typed(book: &[u8], changes: &[(&str, &str)]) -> Vec<u8> {
    let names = part(book, "xl/workbook.xml").replace("'Inputs'!", "Inputs!");
    let cell = |name: &str| {
        let named = format!("<definedName name=\"{name}\">Inputs!$");
        let place = names.split(&named).nth(1).unwrap_or_else(|| panic!("{name}"));
        place.split('<').next().expect("a place").replace('$', "")
    };
    let cells: Vec<_> = changes.iter().map(|(name, value)| (cell(name), *value)).collect();
    typed_on(book, "Inputs", &cells)
}

fn read(done: &Done, book: &[u8]) -> Outcome<ReadBack> {
    read_back(&done.job, &done.work.calc, "sent.xlsx", book)
}

#[test]
fn what_nobody_changed_is_not_read_back() {
    for example in ["tarrow-bench", "shore-profile", "firm/lot-4"] {
        let done = run(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(example));
        let book = workbook(&done.job, &done.work).expect("a workbook");
        let back = read(&done, &book).expect("inputs");
        assert!(back.inputs.is_empty() && back.cells.is_empty(), "{example}: {back:?}");
    }
}

#[test]
fn changed_inputs_give_the_price_of_the_job_with_them() {
    let done = run(&demo());
    let book = workbook(&done.job, &done.work).expect("a workbook");
    let changes = [
        ("in_prices_dig", "23.5"),
        ("in_bid_overhead", "0.105"),
        ("in_allowances_order_step", "1"),
    ];
    let back = read(&done, &typed(&book, &changes)).expect("inputs");
    let told: Vec<(&str, &str, &str)> = back
        .inputs
        .iter()
        .map(|input| (input.path.as_str(), input.was.as_str(), input.now.as_str()))
        .collect();
    assert_eq!(
        told,
        [
            ("allowances.order_step", "0.5 cy", "1 cy"),
            ("bid.overhead", "12", "10.5"),
            ("prices.dig", "21 usd/cy", "23.5 usd/cy"),
        ]
    );
    let file = demo().join("job.toml");
    let text = std::fs::read_to_string(&file).expect("the demo");
    let (new, left) = with_inputs("job.toml", &text, &back.inputs).expect("a job");
    assert!(left.is_empty());
    // Three lines differ, and their remarks stay.
    let differ: Vec<(&str, &str)> =
        text.lines().zip(new.lines()).filter(|(old, new)| old != new).collect();
    assert_eq!(
        differ,
        [
            ("dig = \"21 usd/cy\"", "dig = \"23.5 usd/cy\""),
            ("overhead = 12", "overhead = 10.5"),
            ("order_step = \"0.5 cy\"", "order_step = \"1 cy\""),
        ]
    );
    let overrides: Vec<(&str, &str)> =
        back.inputs.iter().map(|input| (input.path.as_str(), input.now.as_str())).collect();
    let with = run_with(&demo(), &overrides);
    let total = |done: &Done| done.work.calc.total().map(|total| total.base()).expect("a price");
    assert!((total(&with) - total(&done)).abs() > 1.0);
}

#[test]
fn faults_are_told_by_cell() {
    let done = run(&demo());
    let book = workbook(&done.job, &done.work).expect("a workbook");
    let told = read(&done, &typed(&book, &[("in_prices_dig", "cheap"), ("in_bid_profit", "ten")]));
    let told = told.expect_err("faults").to_string();
    assert!(told.contains("prices.dig is a number, its cell holds \"cheap\""), "{told}");
    assert!(told.contains("bid.profit is a number") && told.contains("sheet \"Inputs\" cell B"));
    let other = done.job.layers.read(&demo().join("shots.xlsx")).expect("a list");
    let told = read(&done, &other).expect_err("no inputs").to_string();
    assert!(told.contains("no sheet of inputs") && told.contains("Key in job.toml"), "{told}");
}

#[test]
fn the_workbook_of_another_job_is_refused() {
    let done = run(&demo());
    let other = run(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/firm/lot-4"));
    let book = workbook(&other.job, &other.work).expect("a workbook");
    let told = read(&done, &book).expect_err("a refusal").to_string();
    assert!(told.contains("this is a workbook of"), "{told}");
}

#[test]
fn values_go_where_their_path_leads() {
    let text = "[job] # the job\nname = \"a\"\n\n[[wall]]\nid = \"W1\"\nstem = \"12 in\" # thick\n\n[[wall]]\nid = \"W2\"\nstem = \"10 in\"\n\n[[own_price]]\nname = \"form_oil\"\nprice = \"2 usd/sf\"\n\n[forms]\npanel = [ { height = \"8 ft\", owned = 58 } ]\n";
    let input = |path: &str, now: &str| ReadInput {
        path: path.to_owned(),
        what: "",
        was: String::new(),
        now: now.to_owned(),
        place: Place::file("sent.xlsx"),
        moved_since: false,
    };
    // Ends of lines stay, and what held by default gets a table.
    let (new, left) = with_inputs(
        "job.toml",
        "[job]\r\nname = \"a\"\r\n",
        &[input("allowances.order_step", "1 cy")],
    )
    .expect("a job");
    assert!(left.is_empty());
    assert_eq!(new, "[job]\r\nname = \"a\"\r\n\r\n[allowances]\r\norder_step = \"1 cy\"\r\n");
    let changed = [
        input("wall.W1.stem", "14 in"),
        input("wall.1.stem", "9 in"),
        input("prices.form_oil", "2.5 usd/sf"),
        input("forms.panel.0.owned", "60"),
        input("prices.no_such", "9 usd"),
        input("wall.W9.stem", "9 in"),
    ];
    let (new, left) = with_inputs("job.toml", text, &changed).expect("a job");
    assert_eq!(left, ["prices.no_such", "wall.W9.stem"]);
    let wanted = text
        .replace("\"12 in\"", "\"14 in\"")
        .replace("\"10 in\"", "\"9 in\"")
        .replace("2 usd/sf", "2.5 usd/sf")
        .replace("owned = 58", "owned = 60");
    assert_eq!(new, wanted);
    assert!(with_inputs("job.toml", "[job", &changed).is_err());
}

/// The demo with a change of its settings or list, as a run.
fn run_of(change: impl Fn(String) -> String, shots: impl Fn(String) -> String) -> OneRun {
    let folder = Folder::new();
    for name in ["walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(name, std::fs::read(demo().join(name)).expect("the demo"));
    }
    let read = |name: &str| std::fs::read_to_string(demo().join(name)).expect("the demo");
    folder.write("shots.csv", shots(read("shots.csv")));
    folder.write("job.toml", change(read("job.toml").replacen("shots.xlsx", "shots.csv", 1)));
    let done = run(&folder.0);
    OneRun::read("run.json", &json(&done.job, &done.work)).expect("a run")
}

#[test]
fn two_runs_tell_what_changed_and_by_what() {
    let same = |text: String| text;
    let before = run_of(same, same);
    let none = two_runs(&before, &run_of(same, same));
    assert!(none.iter().all(|group| group.rows.is_empty()), "{none:?}");
    let after = run_of(
        |text| text.replacen("dig = \"21 usd/cy\"", "dig = \"24 usd/cy\"", 1),
        |list| {
            let gone = list.lines().filter(|line| !line.starts_with("1001,"));
            gone.map(|line| format!("{line}\n")).collect()
        },
    );
    let groups = two_runs(&before, &after);
    let of = |title: &str| -> &Vec<String> {
        &groups.iter().find(|group| group.title == title).expect("a group").rows
    };
    assert_eq!(of("files"), &["job.toml: changed", "shots.csv: changed"]);
    assert_eq!(of("shots"), &["point 1001: used for finished_low at 203.3 ft -> not in the list"]);
    assert_eq!(of("inputs"), &["prices.dig: 21 usd/cy -> 24 usd/cy   (+3.00, +14.3 %)"]);
    let excavation = of("price").iter().find(|row| row.starts_with("Excavation")).expect("the dig");
    assert!(excavation.contains("prices.dig"), "{excavation}");
    assert!(of("price").last().is_some_and(|row| row.starts_with("Total: 62,286.05 usd ->")));
}

#[test]
fn a_run_without_a_layout_is_no_run_without_cautions() {
    let same = |text: String| text;
    let before = run_of(same, same);
    let after = run_of(
        |text| text.replacen("frost_depth = \"2.00 ft\"", "frost_depth = \"9 ft\"", 1),
        same,
    );
    assert!(before.is_laid_out() && !after.is_laid_out());
    let groups = two_runs(&before, &after);
    let of = |title: &str| &groups.iter().find(|group| group.title == title).expect("it").rows;
    assert!(
        of("job").iter().any(|row| row.starts_with("CAUTION: the later run has no legal layout"))
    );
    assert!(!of("cautions").iter().any(|row| row.starts_with("no longer")));
}

#[test]
fn what_is_no_run_is_told() {
    for (text, said) in [
        ("{", "this is not a run of a job"),
        ("[]", "this is not a run of a job"),
        ("{\"format\": \"rodbook shots 1\"}", "this is \"rodbook shots 1\""),
    ] {
        let told = OneRun::read("old.json", text).expect_err("no run").to_string();
        assert!(told.contains(said) && told.contains("old.json"), "{told}");
    }
}

/// The cell beside a label on a sheet of a workbook.
fn beside(book: &[u8], sheet: &str, label: &str) -> String {
    let mut book: calamine::Xlsx<_> = calamine::Xlsx::new(Cursor::new(book)).expect("a workbook");
    let range = book.worksheet_range(sheet).expect("the sheet");
    let (top, left) = range.start().expect("cells");
    let found = range.used_cells().find(|(_, _, value)| *value == label);
    let (row, column, _) = found.expect("the label");
    assert_eq!((left, column), (0, 0));
    format!("B{}", top as usize + row + 1)
}

#[test]
fn an_input_of_a_calc_sheet_goes_back_into_its_file() {
    let folder = Folder::new();
    for name in ["job.toml", "shots.csv", "shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(name, std::fs::read(demo().join(name)).expect("the demo"));
    }
    let done = run(&folder.0);
    let book = workbook(&done.job, &done.work).expect("a workbook");
    let cells = |changes: &[(&str, &'static str)]| -> Vec<(String, &'static str)> {
        changes.iter().map(|(label, value)| (beside(&book, "Pour", label), *value)).collect()
    };
    let changes = cells(&[("Rate of rise", "5.25"), ("Temperature of the concrete", "65")]);
    let back = read(&done, &typed_on(&book, "Pour", &changes)).expect("cells");
    let told: Vec<(&str, &str, &str)> = back
        .cells
        .iter()
        .map(|cell| (cell.name.as_str(), cell.was.as_str(), cell.now.as_str()))
        .collect();
    assert_eq!(told, [("pour.temperature", "60", "65"), ("pour.rate", "4", "5.25")]);
    let (texts, left) = with_cells(&done.job, &back.cells).expect("texts");
    assert!(left.is_empty() && texts.len() == 1);
    let old = std::fs::read_to_string(folder.0.join("pour.csv")).expect("the sheet");
    let (path, new) = &texts[0];
    let differ: Vec<(&str, &str)> =
        old.lines().zip(new.lines()).filter(|(old, new)| old != new).collect();
    assert_eq!(
        differ,
        [
            (
                "Temperature of the concrete,temperature,F,60,when placed",
                "Temperature of the concrete,temperature,F,65,when placed"
            ),
            ("Rate of rise,rate,ft/h,4,", "Rate of rise,rate,ft/h,5.25,"),
        ]
    );
    // The file as it is written then gives what the cells say, and nothing is left to read back.
    std::fs::write(path, new).expect("the sheet");
    let again = run(&folder.0);
    let value = again.work.calc.book.find("pour.rate").expect("the rate");
    assert_eq!(again.work.calc.book.words(value), "5.25 ft/h");
    // What the job has changed since is no change of the workbook.
    assert!(read(&again, &book).expect("cells").cells.is_empty());
    let changes = cells(&[("Rate of rise", "6")]);
    let both = read(&again, &typed_on(&book, "Pour", &changes)).expect("cells").cells;
    assert_eq!((both.len(), both[0].was.as_str(), both[0].moved_since), (1, "5.25", true));
    let faults = read(&done, &typed_on(&book, "Pour", &cells(&[("Rate of rise", "fast")])));
    let told = faults.expect_err("a fault").to_string();
    assert!(told.contains("pour.rate is a number, its cell holds \"fast\""), "{told}");
}
