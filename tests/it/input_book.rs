//! A job that is one workbook: the same results as a folder, faults by cell, every command.

use std::path::{Path, PathBuf};
use std::process::Command;

use rodbook::job::{OpenOptions, started_book};
use rust_xlsxwriter::Workbook;
use serde_json::Value;

use crate::support::{Folder, fault_of, run, without_folder};

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)
}

/// A copy of an example's files, with the example as a book of this name in it.
fn as_book(name: &str, job: &str, book: &str) -> (Folder, PathBuf) {
    let folder = Folder::new();
    copy(&example(name), &folder, "");
    let target = folder.0.join(job).join(book);
    let from = folder.0.join(job);
    let started = started_book(&target, Some(&from), &OpenOptions::default())
        .unwrap_or_else(|f| panic!("{f}"));
    // Beside the job itself nothing else is copied.
    let [(file, bytes)] = &started.files[..] else { panic!("one file") };
    assert_eq!(file, book);
    std::fs::write(&target, bytes).expect("written");
    (folder, target)
}

fn copy(from: &Path, folder: &Folder, within: &str) {
    for entry in std::fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let name =
            format!("{within}{}", path.file_name().and_then(|name| name.to_str()).expect("a name"));
        match path.is_dir() {
            true => copy(&path, folder, &format!("{name}/")),
            false if !name.ends_with("takeoff.xlsx") => {
                folder.write(&name, std::fs::read(&path).expect("a file"));
            }
            false => {}
        }
    }
}

/// All records without what differs: where settings stand, what was read, name and date of the job.
fn results(of: &Path, date: &str) -> Value {
    let options = OpenOptions { date: Some(date.to_owned()), ..OpenOptions::default() };
    let job = rodbook::job::Job::open(of, &options).unwrap_or_else(|faults| panic!("{faults}"));
    let work = rodbook::job::work(&job, &|_| {}).unwrap_or_else(|faults| panic!("{faults}"));
    let all: Value = serde_json::from_str(&rodbook::job::json(&job, &work)).expect("our JSON");
    let mut records = all["records"].clone();
    let map = records.as_object_mut().expect("records");
    map.remove("files_read");
    for name in ["inputs", "own_values"] {
        for row in map[name].as_array_mut().expect("rows") {
            row["from"] = Value::Null;
            if row["path"] == "job.name" {
                row["value"] = Value::Null;
            }
        }
    }
    for row in map["people"].as_array_mut().into_iter().flatten() {
        row["value"] = Value::Null;
    }
    records
}

#[test]
fn an_example_as_a_book_gives_the_same() {
    for (name, job, date) in [
        ("tarrow-bench", "", "2026-11-25"),
        ("shore-profile", "", "2026-11-25"),
        ("firm", "lot-7", "2027-01-12"),
    ] {
        let (folder, book) = as_book(name, job, "of ours.xlsx");
        let (theirs, ours) = (results(&folder.0.join(job), date), results(&book, date));
        for (listing, rows) in theirs.as_object().expect("records") {
            assert_eq!(&ours[listing], rows, "{name}: {listing}");
        }
    }
}

#[test]
fn the_starter_as_a_book_gives_the_same() {
    let folder = Folder::new();
    for name in ["job.toml", "shots.csv"] {
        let text = rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled");
        folder.write(name, text);
    }
    let book = folder.0.join("new.xlsx");
    let started =
        started_book(&book, None, &OpenOptions::default()).unwrap_or_else(|f| panic!("{f}"));
    std::fs::write(&book, &started.files[0].1).expect("written");
    let again =
        started_book(&book, None, &OpenOptions::default()).unwrap_or_else(|f| panic!("{f}"));
    assert_eq!(started.files[0].1, again.files[0].1, "the same bytes");
    let shots = |of: &Path| {
        let done = run(of);
        let rows = done.records("lines").clone();
        (rows, done.records("steps").clone(), done.records("cells").clone())
    };
    assert_eq!(shots(&folder.0), shots(&book));
    // The contents say of every sheet what it is as the book lies there, before any program works it out.
    let bytes = std::fs::read(&book).expect("the book");
    let sheets = rodbook::workbook::read_sheets("new.xlsx", &bytes, None).expect("a book");
    let contents = &sheets[0].table.rows;
    let head = contents.iter().position(|row| row.text(1) == "State").expect("the headings");
    let state = |sheet: &str| {
        contents[head..].iter().find(|row| row.text(0) == sheet).map(|row| row.text(1).to_owned())
    };
    let wanted = [("wall", "filled in"), ("bars", "empty"), ("forms.panel", "empty")];
    for (sheet, told) in wanted {
        assert_eq!(state(sheet).as_deref(), Some(told), "{sheet}");
    }
    let words = ["filled in", "needed", "empty"];
    let rest = contents[head + 1..].iter().filter(|row| !row.is_blank());
    assert!(rest.clone().count() > 20 && rest.clone().all(|row| words.contains(&row.text(1))));
}

/// Sheets of text cells; the first row of each are its headings.
fn book(folder: &Folder, sheets: &[(&str, &[&[&str]])]) -> PathBuf {
    let mut book = Workbook::new();
    for (name, rows) in sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(*name).expect("a name");
        for (at, row) in (0..).zip(*rows) {
            for (column, text) in (0..).zip(*row) {
                match text.parse::<f64>() {
                    Ok(number) => sheet.write(at, column, number).expect("a cell"),
                    Err(_) => sheet.write(at, column, *text).expect("a cell"),
                };
            }
        }
    }
    folder.write("mine.xlsx", book.save_to_buffer().expect("a workbook"))
}

const PAIR: &[&str] = &["Value", "Unit", "Key"];

#[test]
fn faults_by_cell() {
    let folder = Folder::new();
    let told = |sheets: &[(&str, &[&[&str]])]| {
        let mine = book(&folder, sheets);
        without_folder(&fault_of(&mine), &folder.0, "JOB")
    };
    let nearly_empty = told(&[("job", &[PAIR, &["", "", "name"]])]);
    let faulty = told(&[
        (
            "job",
            &[PAIR, &["Mine", "", "name"], &["2027-13-01", "", "bid_date"], &["feet", "", "units"]],
        ),
        ("shots", &[PAIR, &["list.csv", "", "file"], &["ft", "", "length_unit"]]),
        ("Shot list", &[&["P", "N", "E", "Z", "Code"]]),
        (
            "wall",
            &[
                &["id", "from", "to", "stem [in]"],
                &["W1", "A", "B", "10"],
                &["W2", "B", "C", "thick"],
            ],
        ),
        (
            "wall.tops",
            &[&["wall", "from", "top [ft]"], &["W1", "0 ft", "103"], &["W3", "0 ft", "103"]],
        ),
        (
            "bid",
            &[PAIR, &["no", "", "in this job"], &["12", "", "overhead"], &["0.08", "", "profit"]],
        ),
        ("type", &[&["id", "stem up to [ft]", "width"]]),
        ("rules", &[PAIR, &["2", "yd2", "frost_depth"], &["4", "ft", "shortest_runs"]]),
        ("backfill", &[PAIR, &["perhaps", "", "in this job"]]),
        ("priecs", &[PAIR]),
        ("_notes", &[&["left alone"]]),
    ]);
    let no_book = told(&[("Sheet1", &[&["a"]])]);
    insta::assert_snapshot!([nearly_empty, faulty, no_book].join("\n----\n"));
}

fn rodbook(folder: &Folder, args: &[&str]) -> String {
    let run = Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .current_dir(&folder.0)
        .args(args)
        .output()
        .expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    format!("exit {}\n{}{}", run.status.code().unwrap_or(-1), text(&run.stdout), text(&run.stderr))
}

#[test]
fn every_command_takes_a_book() {
    let folder = Folder::new();
    folder.write("hello.rhai", "print(takeoff.lines.len() > 3)");
    let said = rodbook(&folder, &["new", "wall.xlsx"]);
    assert!(said.starts_with("exit 0") && said.contains("rodbook check wall.xlsx"), "{said}");
    assert!(rodbook(&folder, &["new", "wall.xlsx"]).contains("is there already"));
    for args in [
        &["takeoff", "wall.xlsx"][..],
        &["takeoff", "wall.xlsx", "--json"],
        &["check", "wall.xlsx", "--set", "prices.dig=30 usd/cy"],
        &["shots", "wall.xlsx"],
        &["sheet", "wall.xlsx"],
        &["why", "wall.xlsx", "price.total"],
        &["what-if", "wall.xlsx", "--set", "prices.dig=30 usd/cy"],
        &["sensitivity", "wall.xlsx"],
        &[
            "find",
            "wall.xlsx",
            "price.total",
            "31000",
            "--by",
            "prices.dig",
            "--from",
            "1 usd/cy",
            "--to",
            "90 usd/cy",
        ],
        &["run", "hello.rhai", "wall.xlsx"],
        &["keys", "own", "--job", "wall.xlsx"],
        &["new", "next.xlsx", "--from", "wall.xlsx"],
    ] {
        let said = rodbook(&folder, args);
        assert!(said.starts_with("exit 0"), "{args:?}: {said}");
        assert!(!said.contains("job.toml:"), "{args:?}: {said}");
    }
    assert!(folder.0.join("wall-takeoff.xlsx").exists() && folder.0.join("next.xlsx").exists());
    assert!(
        rodbook(&folder, &["takeoff", "wall.xlsx", "--out", "wall.xlsx"]).starts_with("exit 4")
    );
    assert!(rodbook(&folder, &["renew", "wall.xlsx"]).starts_with("exit 1"));
    assert!(
        rodbook(&folder, &["new", "other.xlsx", "--shots", "hello.rhai"]).starts_with("exit 1")
    );
    assert!(rodbook(&folder, &["check", "gone.xlsx"]).contains("there is no such job folder"));
}

#[test]
fn dates_and_calc_sheets_in_the_book() {
    use rust_xlsxwriter::{ExcelDateTime, Format};
    let folder = Folder::new();
    let mut book = Workbook::new();
    let sheet = |book: &mut Workbook, name: &str, rows: &[&[&str]]| {
        let sheet = book.add_worksheet();
        sheet.set_name(name).expect("a name");
        for (at, row) in (0..).zip(rows) {
            for (column, text) in (0..).zip(*row) {
                sheet.write(at, column, *text).expect("a cell");
            }
        }
    };
    sheet(&mut book, "job", &[PAIR, &["Mine", "", "name"], &["", "", "bid_date"]]);
    let date = ExcelDateTime::from_ymd(2026, 12, 3).expect("a date");
    let day = Format::new().set_num_format("yyyy-mm-dd");
    book.worksheet_from_name("job")
        .expect("it")
        .write_with_format(2, 0, &date, &day)
        .expect("a cell");
    sheet(&mut book, "alignment", &[PAIR, &["left", "", "earth_side"]]);
    sheet(
        &mut book,
        "alignment.points",
        &[&["id", "east", "north"], &["A", "0 ft", "0 ft"], &["B", "40 ft", "0 ft"]],
    );
    sheet(&mut book, "wall", &[&["id", "from", "to", "stem"], &["W1", "A", "B", "10 in"]]);
    sheet(&mut book, "wall.tops", &[&["wall", "from", "top"], &["W1", "0 ft", "103 ft"]]);
    sheet(
        &mut book,
        "module",
        &[
            PAIR,
            &["24 in", "", "panel"],
            &["8 in", "", "corner_leg"],
            &["12 in", "", "rise"],
            &["95 ft", "", "level_0"],
            &["-2", "", "lowest_level"],
            &["4", "", "highest_level"],
        ],
    );
    sheet(
        &mut book,
        "rules",
        &[
            PAIR,
            &["2 ft", "", "frost_depth"],
            &["4 ft", "", "shortest_run"],
            &["2", "", "most_levels"],
            &["4 ft", "", "corner_clear"],
            &["1 in", "", "overlap_step"],
        ],
    );
    sheet(
        &mut book,
        "type",
        &[
            &["id", "stem up to", "width", "thickness", "toe"],
            &["S9", "9 ft", "4 ft", "12 in", "12 in"],
        ],
    );
    let line = |key: &'static str, level: &'static str| [level, "", key];
    sheet(
        &mut book,
        "ground",
        &[
            PAIR,
            &line("finished_low.stations", "0 ft: 98 ft; 40 ft: 97 ft"),
            &line("bearing.stations", "0 ft: 97 ft; 40 ft: 96 ft"),
            &line("existing.stations", "0 ft: 102 ft; 40 ft: 102 ft"),
        ],
    );
    sheet(&mut book, "sheet", &[&["name", "title"], &["extras", "Extras"]]);
    sheet(
        &mut book,
        "extras",
        &[&["what", "name", "unit", "formula"], &["Length", "n", "ft", "job.length * 2"]],
    );
    let rates = [
        ("footing_concrete", "250 usd/cy"),
        ("wall_concrete", "260 usd/cy"),
        ("forms_one_face", "20 usd/sf"),
        ("dig", "30 usd/cy"),
        ("riser_each", "200 usd"),
        ("rise_each_level", "50 usd"),
    ];
    let rates: Vec<[&str; 3]> = rates.iter().map(|(key, value)| [*value, "", *key]).collect();
    let rows: Vec<&[&str]> =
        std::iter::once(PAIR).chain(rates.iter().map(|row| &row[..])).collect();
    sheet(&mut book, "layout_rates", &rows);
    sheet(&mut book, "allowances", &[PAIR, &["1:1", "", "layback"], &["25", "", "swell"]]);
    let mine = folder.write("mine.xlsx", book.save_to_buffer().expect("a workbook"));
    let told = fault_of(&mine);
    assert_eq!(told, "nothing stops it");
    let done = run(&mine);
    assert_eq!(done.job.wall_job.title.date.as_deref(), Some("2026-12-03"));
    let calc = &done.work.calc.book;
    assert_eq!(calc.words(calc.find("extras.n").expect("the cell")), "80 ft");
}

/// The starter over a standard as a job.toml, and the book that is made of it, with some of its text replaced.
fn starter_and_book(
    standard: Option<&str>,
    replaced: &[(&str, &str)],
) -> (Folder, PathBuf, PathBuf) {
    let folder = Folder::new();
    let text = |name: &str| {
        rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled").to_owned()
    };
    let mut job = text("job.toml");
    for (from, to) in replaced {
        assert!(job.contains(from), "{from}");
        job = job.replacen(from, to, 1);
    }
    folder.write("lot/job.toml", job);
    folder.write("lot/shots.csv", text("shots.csv"));
    if let Some(standard) = standard {
        folder.write("company/standard.toml", standard);
    }
    let (from, book) = (folder.0.join("lot"), folder.0.join("lot/book.xlsx"));
    let started =
        started_book(&book, Some(&from), &OpenOptions::default()).unwrap_or_else(|f| panic!("{f}"));
    std::fs::write(&book, &started.files[0].1).expect("written");
    (folder, from, book)
}

#[test]
fn own_prices_empty_lists_and_small_percentages_go_through_a_book() {
    let own = "[[own_price]]\nname = \"oil\"\nprice = \"3.10 usd/sf\"\nsupplier = \"Yard\"\ndate = \"2026-01-01\"\n[[own_price]]\nname = \"dig\"\nprice = \"21 usd/cy\"\n[workbook]\nscripts = []\n";
    let (_folder, job, book) = starter_and_book(
        Some("[workbook]\nscripts = [\"gone\"]\n"),
        &[
            ("dig = \"21 usd/cy\"\n", ""),
            ("wall_waste = 3", "wall_waste = 1"),
            ("[bid]", &(own.to_owned() + "[bid]")),
        ],
    );
    let (theirs, ours) = (results(&job, "2026-11-25"), results(&book, "2026-11-25"));
    for (listing, rows) in theirs.as_object().expect("records") {
        if listing != "own_values" {
            assert_eq!(&ours[listing], rows, "{listing}");
        }
    }
}

#[test]
fn a_book_takes_a_table_of_the_standard_away() {
    let standard = "[bid]\noverhead = 12\nprofit = 8\n";
    let (folder, job, book) = starter_and_book(
        Some(standard),
        &[(
            "[bid]                            # with it the workbook has a price sheet\noverhead = 12\nprofit = 8\n",
            "",
        )],
    );
    let price = |of: &Path| run(of).work.calc.book.find("price.total").is_some();
    assert!(price(&job) && price(&book));
    let text = std::fs::read_to_string(job.join("job.toml")).expect("it");
    folder.write("lot/job.toml", text.replacen("[job]\n", "[job]\nwithout = [\"bid\"]\n", 1));
    assert!(!price(&job));
    folder.write(
        "lot/job.toml",
        text.replacen("[job]\n", "[job]\nwithout = [\"bidd\", \"prices.dig\"]\n", 1),
    );
    let told = fault_of(&job);
    assert!(
        told.contains("the company's standard has no bidd") && told.contains("no prices.dig"),
        "{told}"
    );
    let own = format!("{standard}[[own_price]]\nname = \"oil\"\nprice = \"3 usd\"\n");
    folder.write("company/standard.toml", own);
    folder.write(
        "lot/job.toml",
        text.replacen("[job]\n", "[job]\nwithout = [\"own_price.oil\"]\n", 1),
    );
    assert!(!run(&job).job.wall_job.settings.contains_key("prices.oil"));
}

#[test]
fn what_nobody_sees_and_what_may_be_a_share() {
    let folder = Folder::new();
    let told = |change: &dyn Fn(&mut Workbook)| {
        let mut book = Workbook::new();
        let job = book.add_worksheet().set_name("job").expect("a name");
        for (at, row) in (0..).zip([PAIR, &["Mine", "", "name"]]) {
            for (column, text) in (0..).zip(row) {
                job.write(at, column, *text).expect("a cell");
            }
        }
        change(&mut book);
        let mine = folder.write("mine.xlsx", book.save_to_buffer().expect("a workbook"));
        without_folder(&fault_of(&mine), &folder.0, "JOB")
    };
    let hidden = told(&|book| {
        let sheet = book.add_worksheet().set_name("rules").expect("a name");
        sheet.write(0, 0, "key").expect("a cell").write(0, 1, "value").expect("a cell");
        sheet.write(1, 0, "frost_depth").expect("a cell").write(1, 1, "2 ft").expect("a cell");
        sheet.set_hidden(true);
    });
    assert!(hidden.contains("sheet \"rules\"  this sheet is hidden"), "{hidden}");
    for (number, said) in
        [(1.0, "which may be 100 %"), (0.11, "which may be 11 %"), (1.05, "which may be 105 %")]
    {
        let told = told(&|book| {
            let sheet = book.add_worksheet().set_name("allowances").expect("a name");
            sheet.write(0, 0, "key").expect("a cell").write(0, 1, "value").expect("a cell");
            sheet.write(1, 0, "swell").expect("a cell").write(1, 1, number).expect("a cell");
        });
        assert!(told.contains(said), "{told}");
    }
    let nameless = told(&|book| {
        let sheet = book.add_worksheet().set_name("zone").expect("a name");
        sheet.write(0, 0, "name").expect("a cell").write(1, 0, "access").expect("a cell");
        sheet.write(1, 3, "lost").expect("a cell");
    });
    assert!(nameless.contains("\"lost\" stands under no heading"), "{nameless}");
    let odd = told(&|book| {
        book.add_worksheet()
            .set_name("tables")
            .expect("a name")
            .write(0, 0, "key")
            .expect("a cell");
    });
    assert!(odd.contains("\"tables\" is not a table of a job"), "{odd}");
}
