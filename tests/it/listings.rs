//! Listings: every value fits its declaration, and whoever names a listing gets it or is told what was meant.

use std::collections::BTreeSet;
use std::path::Path;

use rodbook::job::{Answer, Job, OpenOptions, Subject, declared, json, why, work};
use rodbook::listing::{Audience, Column, ColumnKind, Datum, Declaration, Listing, listings_page};
use rodbook::measure::Nm;
use rodbook::problem::Outcome;
use rodbook::takeoff::ListingSource;

use crate::drawn::demo_drawn;
use crate::support::{Done, Folder, read_json, run, run_job_toml};

/// A job of every kind: with and without a layout, a ring, metric, with steps as drawn and a bid.
fn jobs() -> Vec<Done> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut jobs =
        vec![run(&root.join("examples/tarrow-bench")), run(&root.join("examples/shore-profile"))];
    let starter = |name: &str| {
        rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled").to_owned()
    };
    for (from, to) in [
        ("frost_depth = \"2.00 ft\"", "frost_depth = \"4.00 ft\""),
        ("top = \"103'-0\"", "top = \"120'-0\""),
        ("shortest_run = \"4 ft\"", "shortest_run = \"100 ft\""),
    ] {
        jobs.push(run_job_toml(&starter("job.toml").replacen(from, to, 1), &starter("shots.csv")));
    }
    let lock = "\n[[lock]]\nwall = \"W1\"\nwhat = \"not tof\"\nfrom = \"0 ft\"\nto = \"4 ft\"\ntof = \"95 ft\"\n\n[backfill]\nshrink = \"10\"\n";
    jobs.push(run_job_toml(&(starter("job.toml") + lock), &starter("shots.csv")));
    jobs.push(demo_drawn(&read_json("drawn.json")));
    jobs.push(crate::ways_out::short_on_days());
    let cases = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/cases");
    jobs.push(run(&cases.join("curved_wall")));
    let folder = Folder::new();
    let sheet = "\n[[sheet]]\nname = \"ours\"\nfile = \"ours.csv\"\n";
    folder.write("job.toml", starter("job.toml") + sheet);
    folder.write("shots.csv", starter("shots.csv"));
    folder.write("ours.csv", "what,name,unit,formula,expected\nLength,length,ft,12,12\n");
    jobs.push(run(&folder.0));
    jobs
}

#[test]
fn every_value_fits_its_column() {
    let mut met = BTreeSet::new();
    for done in jobs() {
        for listing in &done.work.listings {
            met.insert(listing.name());
            let wrong = misfits(listing);
            assert!(wrong.is_empty(), "{}: {wrong:?}", done.job.wall_job.title.name);
        }
    }
    for one in declared() {
        assert!(met.contains(one.name), "no job of these has {}", one.name);
    }
}

/// Values of another kind than declared, and rows that their key does not tell apart.
fn misfits(listing: &Listing) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut keys = BTreeSet::new();
    for row in &listing.rows {
        assert_eq!(row.len(), listing.columns().len(), "{}", listing.name());
        for (value, column) in row.iter().zip(listing.columns()) {
            if !value.fits(column.kind, column.may_lack) {
                wrong.push(format!("{}.{}: {value:?}", listing.name(), column.name));
            }
        }
        let key = |name: &&str| format!("{:?}", row[listing.column(name).expect("a key")]);
        let key: Vec<String> = listing.declaration.key.iter().map(key).collect();
        if !key.is_empty() && !keys.insert(key.clone()) {
            wrong.push(format!("{} has {key:?} twice", listing.name()));
        }
    }
    wrong
}

#[test]
fn misfits_are_found() {
    let listing = Listing {
        declaration: TIDES,
        rows: vec![
            vec![Datum::text("a"), Datum::count(3)],
            vec![Datum::text("a"), Datum::Length(Nm::FOOT)],
        ],
    };
    assert_eq!(misfits(&listing).len(), 2, "{:?}", misfits(&listing));
}

#[test]
fn names_are_told_apart() {
    let names: Vec<&str> = declared().map(|one| one.name).collect();
    let once: BTreeSet<&str> = names.iter().copied().collect();
    assert_eq!(once.len(), names.len());
    for one in declared() {
        let columns: BTreeSet<&str> = one.columns.iter().map(|column| column.name).collect();
        assert_eq!(columns.len(), one.columns.len(), "{}", one.name);
        assert!(one.key.iter().all(|key| columns.contains(key)), "{}", one.name);
    }
}

/// A listing that only this test has.
const TIDES: Declaration = Declaration {
    name: "tides",
    about: "high water beside the job",
    key: &["day"],
    audience: Audience::Crew,
    columns: &[
        Column {
            name: "day",
            kind: ColumnKind::Text,
            may_lack: false,
            audience: None,
            about: "the day",
        },
        Column {
            name: "height",
            kind: ColumnKind::Length,
            may_lack: false,
            audience: None,
            about: "how high it rises",
        },
    ],
};

const SOURCE: ListingSource = ListingSource {
    declaration: TIDES,
    fill: |facts| {
        let height = facts.job.site.chain.length();
        let day = |name: &str, height| vec![Datum::text(name), Datum::Length(height)];
        Some(vec![day("Monday", Nm::FOOT), day("Tuesday", height)])
    },
};

fn options() -> OpenOptions {
    OpenOptions { own_listings: vec![SOURCE], ..OpenOptions::default() }
}

const PAGE: &str = "sheet = \"Profile\"\ntitle = \"Tides\"\nwidths = [20, 20]\n
[[block]]\nrecords = \"tides\"\ncolumns = [{ field = \"day\" }, { field = \"height\" }]\n";
const SCRIPT: &str = "fn sheet(job, takeoff) {
    let s = new_sheet(\"Tides by script\", [\"day\", \"height\"]);
    for tide in takeoff.tides { s.row([tide.day, tide.height]); }
    for tide in job.tides { if tide.height > 2.ft { s.row([tide.day, tide.height * 2]); } }
    s
}";
const SHEET: &str = "what,name,unit,formula\nwater,water,ft,sum(tides.height) * 2\n";

/// The starter with the listing on a page, in a script and in a formula.
fn job(page: &str, script: &str, sheet: &str) -> Folder {
    let starter = |name: &str| {
        rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled")
    };
    let folder = Folder::new();
    let more = "\n[workbook]\nscripts = [\"tides\"]\n\n[[sheet]]\nname = \"water\"\nfile = \"water.csv\"\n";
    folder.write("job.toml", format!("{}{more}", starter("job.toml")));
    folder.write("shots.csv", starter("shots.csv"));
    folder.write("3-profile.toml", page);
    folder.write("tides.rhai", script);
    folder.write("water.csv", sheet);
    folder
}

fn worked(folder: &Folder) -> Outcome<(Job, rodbook::job::Work)> {
    let job = Job::open(&folder.0, &options())?;
    let done = work(&job, &|_| {})?;
    Ok((job, done))
}

#[test]
fn a_listing_of_a_test_is_everywhere() {
    let folder = job(PAGE, SCRIPT, SHEET);
    let (job, done) = worked(&folder).unwrap_or_else(|faults| panic!("{faults}"));
    let value: serde_json::Value = serde_json::from_str(&json(&job, &done)).expect("our JSON");
    let length = job.wall_job.site.chain.length();
    // 40 ft and 24 ft along the walls.
    assert_eq!(length, Nm::FOOT * 64);
    assert_eq!(value["records"]["tides"][1]["height"]["value"], 64.0);
    // A script: two rows of the takeoff, one of the job that is over 2 ft.
    let rows = &done.sheets[0].rows;
    assert_eq!(rows.len(), 3);
    assert_eq!(rows[2][0], Datum::text("Tuesday"));
    // A formula, and why.
    let book = &done.calc.book;
    let id = book.find("water.water").expect("the cell");
    assert_eq!(book.words(id), "130 ft");
    let subject = Subject::of(&folder.0, options(), rodbook::footing::System::Us, "usd");
    let answer: Answer = subject.answer(&[]).unwrap_or_else(|faults| panic!("{faults}"));
    let reasons = why(&answer, answer.find("water.water").expect("the cell"), 9);
    let reasons: Vec<String> = reasons.into_iter().map(|reason| reason.text).collect();
    assert!(reasons.iter().any(|text| text.contains("tides.height.2 64 ft")), "{reasons:?}");
    // The page, and the formula in the workbook.
    let bytes = rodbook::job::workbook(&job, &done).unwrap_or_else(|faults| panic!("{faults}"));
    let sheets = rodbook::workbook::read_sheets("t.xlsx", &bytes, Some("Profile"))
        .unwrap_or_else(|faults| panic!("{faults}"));
    let texts: Vec<&str> = sheets[0]
        .table
        .rows
        .iter()
        .flat_map(|row| &row.cells)
        .map(|cell| cell.text.as_str())
        .collect();
    assert!(texts.contains(&"Monday") && texts.contains(&"64"), "{texts:?}");
    // The reference.
    let page = listings_page([TIDES]);
    assert!(page.contains("| `height` | length | how high it rises |"), "{page}");
}

#[test]
fn a_misspelt_column_is_told_everywhere() {
    let of_tides = "listing \"tides\" has no column \"hieght\"";
    for (page, script, sheet, place, words) in [
        (
            PAGE.replace("\"height\" }", "\"hieght\" }"),
            SCRIPT.into(),
            SHEET.into(),
            "3-profile.toml:7",
            of_tides,
        ),
        (
            PAGE.into(),
            SCRIPT.replace("tide.height >", "tide.hieght >"),
            SHEET.into(),
            "tides.rhai:4",
            "nothing has a \"hieght\"",
        ),
        (PAGE.into(), SCRIPT.into(), SHEET.replace("height", "hieght"), "water.csv:2", of_tides),
    ] as [(String, String, String, &str, &str); 3]
    {
        let folder = job(&page, &script, &sheet);
        let said = worked(&folder).err().map_or_else(String::new, |faults| faults.to_string());
        assert!(said.contains(words), "{place}: {said}");
        assert!(said.contains("did you mean height?") && said.contains(place), "{place}: {said}");
    }
    // A column of a bundled listing is told before anything runs.
    let early = SCRIPT
        .replace("let s =", "print(\"ran\"); for run in takeoff.runs { run.lenght; } let s =");
    let said = worked(&job(PAGE, &early, SHEET)).err();
    let said = said.map_or_else(String::new, |faults| faults.to_string());
    assert!(
        said.contains("nothing has a \"lenght\"") && said.contains("did you mean length?"),
        "{said}"
    );
    let said = worked(&job(&PAGE.replace("tides", "tidse"), SCRIPT, SHEET)).err();
    let said = said.map_or_else(String::new, |faults| faults.to_string());
    assert!(said.contains("there is no listing \"tidse\"") && said.contains("tides"), "{said}");
}

/// The dug bottom in parts: without a gap, each change of height told, each step with its overlap and step in the subgrade.
#[test]
fn the_bottom_in_parts_and_changes() {
    let done = run(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench"));
    let length =
        |row: &serde_json::Value, name: &str| row[name]["value"].as_f64().expect("a length");
    let parts = done.records("bottom_parts");
    let ends = [length(&parts[0], "from"), length(&parts[parts.len() - 1], "to")];
    assert_eq!(ends, [0.0, 116.5]);
    let mut changes = Vec::new();
    for pair in parts.windows(2) {
        assert_eq!(length(&pair[0], "to"), length(&pair[1], "from"));
        let [before, after] = [length(&pair[0], "bof"), length(&pair[1], "bof")];
        if before != after {
            changes.push((length(&pair[1], "from"), before, after));
        }
    }
    let told: Vec<(f64, f64, f64)> = done
        .records("bottom_changes")
        .iter()
        .map(|row| (length(row, "chain"), length(row, "bof_before"), length(row, "bof_after")))
        .collect();
    assert_eq!(told, changes);
    let steps = done.records("steps");
    let overlaps = done.records("overlaps");
    assert_eq!(overlaps.len(), steps.len());
    for (overlap, step) in overlaps.iter().zip(steps) {
        assert_eq!(overlap["step"], step["step"]);
        let at = length(step, "chain");
        let [from, to] = [length(overlap, "from"), length(overlap, "to")];
        assert!(from == at || to == at, "{from} {to} {at}");
        assert!((to - from - length(overlap, "length")).abs() < 1e-9);
        assert!((length(overlap, "thickness") - length(step, "dirt_step")).abs() < 1e-9);
        // The other end is where the bottom changes, by this step.
        let cut = if from == at { to } else { from };
        let change = done.records("bottom_changes").iter().find(|row| length(row, "chain") == cut);
        assert_eq!(change.expect("a change")["step"], step["step"]);
    }
    let changes = done.records("bottom_changes");
    assert!(changes.iter().any(|row| row["step"].is_null()), "a change of thickness alone");
}

/// A page of a new name in the job's folder is a sheet after the bundled ones; its faults are told.
#[test]
fn a_page_of_a_new_name_is_a_sheet() {
    let folder = job(PAGE, SCRIPT, SHEET);
    let own = PAGE.replace("\"Profile\"", "\"High water\"");
    folder.write("templates/workbook/tides.toml", &own);
    let (job_of, done) = worked(&folder).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(done.pages.last().expect("a page").sheet, "High water");
    let bytes = rodbook::job::workbook(&job_of, &done).unwrap_or_else(|faults| panic!("{faults}"));
    let sheets = rodbook::workbook::read_sheets("t.xlsx", &bytes, Some("High water"));
    let sheets = sheets.unwrap_or_else(|faults| panic!("{faults}"));
    let cells = || sheets[0].table.rows.iter().flat_map(|row| &row.cells);
    assert!(cells().any(|cell| cell.text == "Tuesday"));
    folder
        .write("templates/workbook/tides.toml", own.replace("field = \"day\"", "field = \"dya\""));
    let said = worked(&folder).err().map_or_else(String::new, |faults| faults.to_string());
    assert!(said.contains("tides.toml:7") && said.contains("did you mean day?"), "{said}");
    folder.write("templates/workbook/tides.toml", PAGE);
    let said = worked(&folder).err().map_or_else(String::new, |faults| faults.to_string());
    assert!(said.contains("two pages are called \"Profile\""), "{said}");
}

/// Sound names after a dot: maps of constants, keys that are given later, texts that are read.
#[test]
fn maps_of_a_script_are_its_own() {
    for sound in [
        "let crew = #{men: 4, stations: 65}; crew.stations",
        "#{foo: 1, inner: #{stepz: 2}}.inner.stepz",
        "let m = #{}; m.lenght = 3; m.lenght",
        "let m = #{}; m[\"lenght\"] = 3; m.lenght",
        "let m = parse_json(\"{\\\"lenght\\\": 3}\"); m.lenght",
        "let m = #{walls: [#{hieght: 2}]}; m.walls[0].hieght",
    ] {
        let folder = Folder::new();
        folder.write("s.rhai", sound);
        let run = std::process::Command::new(env!("CARGO_BIN_EXE_rodbook"))
            .args(["run", "s.rhai"])
            .current_dir(&folder.0)
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&run.stderr).into_owned();
        assert!(run.status.success(), "{sound}: {said}");
    }
}

/// Every file that was read is listed with its digest, a replaced page among them, wherever the job is worked from.
#[test]
fn files_read_are_listed() {
    let folder = job(PAGE, SCRIPT, SHEET);
    let (job_of, done) = worked(&folder).unwrap_or_else(|faults| panic!("{faults}"));
    let value: serde_json::Value = serde_json::from_str(&json(&job_of, &done)).expect("our JSON");
    let files = value["records"]["files_read"].as_array().expect("files");
    let names: Vec<&str> = files.iter().filter_map(|file| file["file"].as_str()).collect();
    assert_eq!(names, ["3-profile.toml", "job.toml", "shots.csv", "tides.rhai", "water.csv"]);
    for file in files {
        let bytes = std::fs::read(folder.0.join(file["file"].as_str().expect("a name")));
        let bytes = bytes.expect("a file");
        assert_eq!(file["bytes"], bytes.len());
        assert_eq!(file["fingerprint"], rodbook::files::sha256(&bytes));
    }
}
