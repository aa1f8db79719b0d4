//! Tables of a job in a workbook beside it: the same keys and checks, places by cell.

use rodbook::job::{Job, OpenOptions};
use rust_xlsxwriter::{Workbook, XlsxError};

use crate::support::{Done, Folder, run};

/// A cell of a test workbook.
#[derive(Clone, Copy)]
enum Cell {
    Text(&'static str),
    Number(f64),
    Nothing,
}
use Cell::{Nothing, Number, Text};

type Rows = Vec<Vec<Cell>>;

fn book(sheets: &[(&str, Rows)]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    for (name, rows) in sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(*name)?;
        for (at, row) in (0..).zip(rows) {
            for (column, cell) in (0..).zip(row) {
                match cell {
                    Text(text) => sheet.write(at, column, *text)?,
                    Number(number) => sheet.write(at, column, *number)?,
                    Nothing => sheet,
                };
            }
        }
    }
    book.save_to_buffer()
}

fn walls() -> Rows {
    vec![
        ["id", "from", "to"].map(Text).into_iter().chain([Text("stem [in]")]).collect(),
        vec![Text("W1"), Text("A"), Text("B"), Number(12.0)],
        vec![Text("W2"), Text("B"), Text("C"), Text("1 ft")],
        vec![Nothing, Nothing, Nothing, Nothing],
        vec![Text("W3"), Text("C"), Text("D"), Number(12.0)],
    ]
}

fn tops() -> Rows {
    vec![
        ["wall", "from", "top [ft]"].map(Text).to_vec(),
        vec![Text("W1"), Text("0 ft"), Number(208.0)],
        vec![Text("W2"), Text("0 ft"), Number(208.0)],
        vec![Text("W3"), Text("0 ft"), Number(206.0)],
    ]
}

fn types() -> Rows {
    let head = [
        "id",
        "stem_up_to [ft]",
        "width [ft]",
        "thickness [in]",
        "toe [ft]",
        "key.width",
        "key.depth",
        "bars.vertical",
        "bars.vertical_spacing [in]",
        "bars.foot_leg [in]",
        "bars.transverse",
        "bars.transverse_spacing [in]",
        "bars.longitudinals",
    ];
    let row = |id, numbers: [f64; 4], key: [&'static str; 2], bars: [Cell; 6]| {
        let key = key.map(|text| if text.is_empty() { Nothing } else { Text(text) });
        std::iter::once(Text(id)).chain(numbers.map(Number)).chain(key).chain(bars).collect()
    };
    let bars = |vertical, [spacing, leg]: [f64; 2], across, [apart, along]: [f64; 2]| {
        [Text(vertical), Number(spacing), Number(leg), Text(across), Number(apart), Number(along)]
    };
    vec![
        head.map(Text).to_vec(),
        row("S4", [4.0, 3.0, 12.0, 0.75], ["", ""], bars("#4", [16.0, 12.0], "#4", [16.0, 4.0])),
        row("S6", [6.0, 4.0, 12.0, 1.0], ["", ""], bars("#5", [14.0, 15.0], "#5", [12.0, 5.0])),
        row(
            "S8",
            [8.0, 5.0, 12.0, 1.25],
            ["12 in", "10 in"],
            bars("#5", [10.0, 15.0], "#5", [8.0, 6.0]),
        ),
        row(
            "S10",
            [10.0, 6.25, 15.0, 1.5],
            ["12 in", "12 in"],
            bars("#6", [8.0, 18.0], "#6", [8.0, 7.0]),
        ),
    ]
}

fn pairs(list: &[(&'static str, f64, &'static str)]) -> Rows {
    let head = ["key", "value", "unit"].map(Text).to_vec();
    let row = |(key, value, unit): &(&'static str, f64, &'static str)| {
        vec![Text(key), Number(*value), Text(unit)]
    };
    std::iter::once(head).chain(list.iter().map(row)).collect()
}

const PRICES: [(&str, f64, &str); 11] = [
    ("footing_concrete", 212.0, "usd/cy"),
    ("wall_concrete", 224.0, "usd/cy"),
    ("pump", 18.0, "usd/cy"),
    ("wall_forms", 9.5, "usd/sf"),
    ("strip_and_clean", 0.85, "usd/sf"),
    ("riser_each", 185.0, "usd"),
    ("rise", 45.0, "usd/ft"),
    ("bars", 1.34, "usd/lb"),
    ("dig", 21.0, "usd/cy"),
    ("haul", 17.0, "usd/cy"),
    ("drain_rock", 58.0, "usd/cy"),
];

/// The demo with these tables taken out of its job.toml and put into a workbook.
fn demo(sheets: &[(&str, Rows)]) -> Folder {
    let folder = Folder::new();
    let example = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    for name in ["shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(example.join(name)).expect("a file of the demo"));
    }
    let text = std::fs::read_to_string(example.join("job.toml")).expect("the demo");
    let out = ["[[wall]]", "[[type]]", "[prices]"];
    let mut kept = String::new();
    let mut leave = false;
    for line in text.lines() {
        if line.starts_with('[') {
            leave = out.iter().any(|table| line.starts_with(table));
        }
        if !leave {
            kept += line;
            kept.push('\n');
        }
    }
    kept += "\n[tables]\nfiles = [\"inputs.xlsx\"]\n";
    folder.write("job.toml", kept);
    folder.write("inputs.xlsx", book(sheets).expect("a workbook"));
    folder
}

fn whole() -> Vec<(&'static str, Rows)> {
    vec![
        ("wall.tops", tops()),
        ("wall", walls()),
        ("type", types()),
        ("prices", pairs(&PRICES)),
        ("_remarks", vec![vec![Text("left alone")]]),
    ]
}

#[test]
fn a_job_in_a_workbook() {
    let folder = demo(&whole());
    let example = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    let (ours, theirs) = (run(&folder.0), run(&example));
    let cost = |done: &Done| done.work.takeoff.as_ref().expect("a takeoff").layout.cost;
    assert_eq!(cost(&ours), cost(&theirs));
    assert_eq!(ours.json["records"]["cells"], theirs.json["records"]["cells"]);
    let place = ours.job.setting_places.get("prices.dig").expect("its place");
    assert_eq!(place.to_string(), "inputs.xlsx sheet \"prices\" cell B10");
}

#[test]
fn faults_in_a_workbook_of_tables() {
    let mut sheets = whole();
    sheets[0].1.push(vec![Text("W9"), Text("0 ft"), Number(3.0)]);
    sheets[1].1[1][3] = Number(-12.0);
    sheets[2].1[0][3] = Text("thicknes [in]");
    sheets[2].1[2][4] = Text("one foot");
    sheets[3].1[4][0] = Text("wall_form");
    sheets[3].1[9][2] = Text("usd/yr");
    sheets.push(("rulez", pairs(&[("frost_depth", 2.0, "ft")])));
    sheets.push((
        "allowances",
        vec![vec![Text("name"), Text("value")], vec![Text("swell"), Number(25.0)]],
    ));
    let folder = demo(&sheets);
    let told =
        Job::open(&folder.0, &OpenOptions::default()).map(|_| ()).expect_err("faults").to_string();
    let told = told.replace(&folder.0.display().to_string(), "JOB");
    insta::assert_snapshot!(told);
}
