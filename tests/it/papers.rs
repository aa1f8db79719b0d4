//! Papers for others: what each reader finds on them, and what none of them may find.

use std::collections::BTreeSet;
use std::io::{Cursor, Read};
use std::path::{Path, PathBuf};

use calamine::{Data, Reader, Xlsx};
use rodbook::drawing::{About, KINDS, Paper, drawings, pdf};
use rodbook::job::{PaperBook, PaperSet, paper_book};
use serde_json::Value;

use crate::support::{Done, Folder, fault_of, read_json, run, without_folder, without_tables};

fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples")
}

fn set_of(done: &Done, set: PaperSet) -> PaperBook {
    paper_book(&done.job, &done.work, set).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Every text and number of a workbook's cells.
fn read(bytes: &[u8]) -> (Vec<String>, Vec<f64>) {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.to_vec())).expect("a workbook");
    let (mut texts, mut numbers) = (Vec::new(), Vec::new());
    for name in book.sheet_names() {
        texts.push(name.clone());
        for (_, _, value) in book.worksheet_range(&name).expect("a sheet").used_cells() {
            match value {
                Data::String(text) => texts.push(text.clone()),
                Data::Float(number) => numbers.push(*number),
                Data::Int(number) => numbers.push(*number as f64),
                Data::Empty | Data::Bool(_) => {}
                other => panic!("{other:?} on {name}"),
            }
        }
    }
    (texts, numbers)
}

/// The parts of a package by name; pictures as they are.
fn parts(bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut package = zip::ZipArchive::new(Cursor::new(bytes)).expect("a package");
    (0..package.len())
        .map(|at| {
            let mut part = package.by_index(at).expect("a part");
            let mut content = Vec::new();
            part.read_to_end(&mut content).expect("a part that can be read");
            (part.name().expect("a name").into_owned(), content)
        })
        .collect()
}

/// Numbers that stand in a text.
fn numbers_in(text: &str) -> Vec<f64> {
    let plain = text.replace(',', "");
    let words = plain.split(|c: char| !(c.is_ascii_digit() || c == '.'));
    words.filter_map(|word| word.trim_matches('.').parse().ok()).collect()
}

/// The demo with a change of its settings.
fn demo_with(change: impl Fn(String) -> String) -> Folder {
    let folder = Folder::new();
    for name in ["job.toml", "shots.csv", "shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        let bytes = std::fs::read(examples().join("tarrow-bench").join(name)).expect("the demo");
        folder.write(name, bytes);
    }
    let text = std::fs::read_to_string(folder.0.join("job.toml")).expect("the demo");
    folder.write("job.toml", change(text));
    folder
}

fn cents(amount: f64) -> i64 {
    (amount * 100.0).round() as i64
}

/// A cell of the price, in money.
fn price(done: &Done, name: &str) -> f64 {
    let book = &done.work.calc.book;
    let id = book.find(&format!("price.{name}")).unwrap_or_else(|| panic!("no {name}"));
    book.quantity(id).unwrap_or_else(|| panic!("{name} is not a number")).base()
}

#[test]
fn the_lines_of_a_quote_add_up_to_its_price() {
    for example in
        ["tarrow-bench", "firm/lot-4", "firm/lot-7", "cases/terraces", "cases/gravity_wall"]
    {
        let done = run(&examples().join(example));
        let lines = done.records("quote_lines");
        let total: i64 =
            lines.iter().map(|line| cents(line["price"]["value"].as_f64().expect("a price"))).sum();
        assert_eq!(total, cents(price(&done, "total")), "{example}");
        let shares: f64 = lines.iter().map(|line| line["share"].as_f64().expect("a share")).sum();
        assert!((shares - 100.0).abs() < 0.05, "{example}: {shares}");
    }
}

#[test]
fn a_line_holds_its_share_of_all_that_is_added() {
    let done = run(&examples().join("tarrow-bench"));
    // The cells of each bundled line, added up again here.
    let of = [
        vec!["dig", "haul"],
        vec!["footing_concrete", "risers"],
        vec!["wall_forms", "strip_and_clean"],
        vec!["steel"],
        vec!["wall_concrete"],
        vec!["drain_rock"],
    ];
    let (total, direct) = (price(&done, "total"), price(&done, "direct"));
    let lines = done.records("quote_lines");
    assert_eq!(lines.len(), of.len());
    for (line, names) in lines.iter().zip(of) {
        let cost: f64 = names.iter().map(|name| price(&done, name)).sum();
        let told = line["price"]["value"].as_f64().expect("a price");
        assert!((told - cost * total / direct).abs() < 0.011, "{line}");
    }
}

/// The demo with prices that are found again wherever they stand.
fn planted() -> Folder {
    demo_with(|text| {
        let mut text = text;
        for (from, to) in [
            ("footing_concrete = \"212 usd/cy\"", "footing_concrete = \"141421.36 usd/cy\""),
            ("wall_concrete = \"224 usd/cy\"", "wall_concrete = \"173205.08 usd/cy\""),
            ("pump = \"18 usd/cy\"", "pump = \"223606.8 usd/cy\""),
            ("wall_forms = \"9.50 usd/sf\"", "wall_forms = \"264575.13 usd/sf\""),
            ("strip_and_clean = \"0.85 usd/sf\"", "strip_and_clean = \"331662.48 usd/sf\""),
            ("riser_each = \"185 usd\"", "riser_each = \"360555.13 usd\""),
            ("rise = \"45 usd/ft\"", "rise = \"412310.56 usd/ft\""),
            ("bars = \"1.34 usd/lb\"", "bars = \"435889.89 usd/lb\""),
            ("dig = \"21 usd/cy\"", "dig = \"479583.15 usd/cy\""),
            ("haul = \"17 usd/cy\"", "haul = \"538516.48 usd/cy\""),
            ("drain_rock = \"58 usd/cy\"", "drain_rock = \"556776.44 usd/cy\""),
            ("overhead = 12", "overhead = 13.5711"),
            ("profit = 8", "profit = 9.2327"),
        ] {
            assert!(text.contains(from), "{from}");
            text = text.replacen(from, to, 1);
        }
        text
    })
}

/// What nobody but the office may find of the planted job: rates, costs and every sum of costs, shares.
fn secrets(done: &Done) -> Vec<f64> {
    let rates = done.records("prices").iter().map(|row| row["price"]["value"].as_f64());
    let mut secrets: Vec<f64> = rates.flatten().collect();
    let lines = [
        "footing_concrete",
        "wall_concrete",
        "wall_forms",
        "strip_and_clean",
        "risers",
        "steel",
        "dig",
        "haul",
        "drain_rock",
    ];
    let costs: Vec<f64> = lines.iter().map(|name| price(done, name)).collect();
    for chosen in 1_usize..1 << costs.len() {
        let of = costs.iter().enumerate().filter(|(at, _)| chosen >> at & 1 == 1);
        secrets.push(of.map(|(_, cost)| cost).sum());
    }
    secrets.extend([price(done, "overhead"), price(done, "profit"), 13.5711, 9.2327, 0.135_711]);
    let steps = done.records("steps").iter().filter_map(|step| step["cost"]["value"].as_f64());
    secrets.extend(steps);
    secrets
}

/// Words that only the office reads.
const OFFICE: [&str; 10] = [
    "overhead",
    "profit",
    "markup",
    "direct cost",
    "job.toml",
    ".rhai",
    "layout rates",
    "least cost",
    "standard.toml",
    "usd/cy x",
];

fn keeps(bytes: &[u8], secrets: &[f64], folder: &Path, what: &str) {
    let (texts, mut numbers) = read(bytes);
    for (name, content) in parts(bytes) {
        if name.ends_with(".png") {
            continue;
        }
        let text = String::from_utf8(content).expect("xml");
        assert!(!text.contains(&folder.display().to_string()), "{what}: a path in {name}");
        for word in OFFICE {
            assert!(!text.to_lowercase().contains(word), "{what}: \"{word}\" in {name}");
        }
        assert!(!text.contains("externalLink") && !text.contains("connection"), "{what}: {name}");
        assert!(!name.contains("vba") && !name.contains("comment"), "{what}: {name}");
    }
    numbers.extend(texts.iter().flat_map(|text| numbers_in(text)));
    for secret in secrets.iter().filter(|secret| secret.abs() > 0.1) {
        let found = numbers.iter().find(|number| (*number - secret).abs() < 0.006);
        assert!(found.is_none(), "{what} tells {secret}");
    }
}

/// The texts of a pdf of ours: its streams are not packed.
fn texts_of_pdf(bytes: &[u8]) -> Vec<String> {
    let text: String = bytes.iter().map(|byte| char::from(*byte)).collect();
    let shown = text.split(") Tj").filter_map(|part| Some(part.rsplit_once('(')?.1.to_owned()));
    let texts: Vec<String> = shown.collect();
    assert!(texts.len() > 20, "{texts:?}");
    texts
}

/// None of the texts tells a secret.
fn keep(texts: &[String], secrets: &[f64], what: &str) {
    let numbers: Vec<f64> = texts.iter().flat_map(|text| numbers_in(text)).collect();
    for secret in secrets.iter().filter(|secret| secret.abs() > 0.1) {
        let found = numbers.iter().find(|number| (*number - secret).abs() < 0.006);
        assert!(found.is_none(), "{what} tells {secret}");
    }
    for word in OFFICE.iter().chain(&["usd", "price"]) {
        let found = texts.iter().find(|text| text.to_lowercase().contains(word));
        assert_eq!(found, None, "{what} says {word}");
    }
}

#[test]
fn no_drawing_and_no_pdf_of_a_crew_tells_money() {
    let folder = planted();
    let done = run(&folder.0);
    let mut secrets = secrets(&done);
    secrets.push(price(&done, "total"));
    let about = About {
        job: done.job.wall_job.title.name.clone(),
        date: String::new(),
        system: done.job.wall_job.style.system,
        paper: Paper::Letter,
        full_size: true,
    };
    for (kind, sheets) in drawings(&done.work.listings, &about, &KINDS) {
        let sheets = sheets.unwrap_or_else(|problem| panic!("{kind}: {problem}"));
        let texts = texts_of_pdf(&pdf(&sheets.iter().collect::<Vec<_>>()));
        keep(&texts, &secrets, kind);
    }
    let crew = set_of(&done, PaperSet::Crew).pdf.expect("a pdf");
    keep(&texts_of_pdf(&crew), &secrets, "the crew's pdf");
}

#[test]
fn a_client_finds_no_cost() {
    let folder = planted();
    let done = run(&folder.0);
    let book = set_of(&done, PaperSet::Client);
    keeps(&book.workbook, &secrets(&done), &folder.0, "the client's set");
    let (_, numbers) = read(&book.workbook);
    let total = price(&done, "total");
    assert!(numbers.iter().any(|number| (number - total).abs() < 0.006), "the price is on it");
}

#[test]
fn an_engineer_and_a_crew_find_no_money() {
    let folder = planted();
    let done = run(&folder.0);
    let mut secrets = secrets(&done);
    secrets.push(price(&done, "total"));
    let of_lines = done.records("quote_lines").iter().map(|line| line["price"]["value"].as_f64());
    secrets.extend(of_lines.flatten());
    for set in [PaperSet::Engineer, PaperSet::Crew] {
        let book = set_of(&done, set);
        keeps(&book.workbook, &secrets, &folder.0, set.name());
        let (texts, _) = read(&book.workbook);
        let texts: Vec<&str> =
            texts.iter().map(String::as_str).chain(book.phone.as_deref()).collect();
        for text in texts {
            for money in ["usd", "$", "Price", "price"] {
                assert!(!text.contains(money), "{}: {money} in {text:.200}", set.name());
            }
        }
    }
}

/// Lengths of the specification as they are printed: to two decimals.
fn printed(value: &Value) -> String {
    format!("{:.2}", value.as_f64().unwrap_or_else(|| panic!("{value}")))
}

#[test]
fn a_crew_finds_every_step_level_and_rod_of_the_specification() {
    let done = run(&examples().join("tarrow-bench"));
    let book = set_of(&done, PaperSet::Crew);
    let page = book.phone.expect("a page for a phone");
    let (texts, numbers) = read(&book.workbook);
    let told: BTreeSet<String> = numbers.iter().map(|number| format!("{number:.2}")).collect();
    let expected = read_json("expected.json");
    let list = |name: &str| expected[name].as_array().expect("a list").clone();
    let mut wanted: Vec<(String, bool)> = Vec::new();
    for riser in list("risers") {
        for (key, value) in riser.as_object().expect("a riser") {
            match key.as_str() {
                "station_ft" | "dirt_cut_ft" | "tof_before_ft" | "tof_after_ft" | "bof_low_ft"
                | "bof_high_ft" | "E_ft" | "N_ft" | "cut_E_ft" | "cut_N_ft"
                | "bulkhead_length_ft" => wanted.push((printed(value), true)),
                _ => {}
            }
        }
    }
    assert!(wanted.len() == 11 * 7, "{} numbers of risers", wanted.len());
    for reading in expected["rods"]["readings"].as_array().expect("readings") {
        wanted.push((printed(&reading["elevation_ft"]), true));
        wanted.push((printed(&reading["reading_ft"]), true));
        let tape = reading["feet_inches_16ths"].as_str().expect("a tape").to_owned();
        wanted.push((tape, false));
    }
    wanted.push((printed(&expected["rods"]["instrument_height_ft"]), false));
    for (text, is_number) in wanted {
        let in_book = match is_number {
            true => told.contains(&text),
            false => texts.iter().any(|cell| cell.contains(&text)),
        };
        assert!(in_book, "{text} is not in the workbook");
        assert!(page.contains(&text.replace('"', "&quot;")), "{text} is not on the page");
    }
    for corner in ["2000.00", "5000.00", "5040.40", "2030.30", "5023.60", "2052.70", "5054.00"] {
        assert!(told.contains(corner), "{corner}");
    }
    assert!(page.contains("on the left, looking from the start of W1"));
}

#[test]
fn every_set_of_every_example_is_written_twice_the_same() {
    for example in ["tarrow-bench", "shore-profile", "cases/terraces/metric", "cases/strip_footing"]
    {
        let done = run(&examples().join(example));
        for set in PaperSet::FOR_OTHERS {
            if set == PaperSet::Client && done.work.calc.total().is_none() {
                continue;
            }
            let (one, two) = (set_of(&done, set), set_of(&done, set));
            assert!(one.workbook == two.workbook, "{example} {}", set.name());
            assert!(one.pdf == two.pdf && one.phone == two.phone, "{example} {}", set.name());
            assert_eq!(one.pdf.is_some(), set == PaperSet::Crew);
        }
    }
}

#[test]
fn the_page_loads_nothing() {
    let done = run(&examples().join("tarrow-bench"));
    let page = set_of(&done, PaperSet::Crew).phone.expect("a page");
    let without = page.replace("http://www.w3.org/2000/svg", "");
    for word in [
        "http:", "https:", "src=", "url(", "@import", "<script", "<link", "<iframe", "srcset",
        "href=\"h",
    ] {
        assert!(!without.contains(word), "{word}");
    }
    assert!(page.contains("Content-Security-Policy"));
    let opened = page.matches("<section").count();
    assert_eq!(opened, page.matches("</section>").count());
    for tag in ["table", "tr", "dl", "figure", "label", "svg", "thead", "tbody"] {
        let ends = page.matches(&format!("</{tag}>")).count();
        let begins =
            page.matches(&format!("<{tag}>")).count() + page.matches(&format!("<{tag} ")).count();
        assert_eq!(begins, ends, "{tag}");
    }
}

#[test]
fn hostile_names_stay_texts() {
    let long = "n".repeat(300);
    for name in [
        "=1+1",
        "+cmd",
        "@SUM(A1)",
        "-2",
        long.as_str(),
        "\u{5d0}\u{5d1}\u{5d2} wall",
        "\u{1f9f1} wall",
        "<script>alert(1)</script>",
        "a & b \\\" c",
        "'quoted'",
        "&P &N",
    ] {
        let folder = demo_with(|text| {
            let text = text.replace("Tarrow Bench Terraces, Lot 11", name);
            text.replace("Third Course Concrete", name).replace("Ilse Marchbanks", name)
        });
        let done = run(&folder.0);
        for set in PaperSet::FOR_OTHERS {
            let book = set_of(&done, set);
            let (texts, _) = read(&book.workbook);
            let name = name.replace("\\\"", "\"");
            assert!(texts.iter().any(|text| text.contains(&name)), "{name} on {}", set.name());
            if let Some(page) = book.phone {
                assert!(!page.contains("<script"), "{name}");
            }
            for (part, content) in parts(&book.workbook) {
                if part.starts_with("xl/worksheets/sheet") {
                    let xml = String::from_utf8(content).expect("xml");
                    // The total of a column is the only formula.
                    let sum = |f: &str| f.starts_with("SUM(") && !f.starts_with("SUM(A1)");
                    assert!(xml.split("<f>").skip(1).all(sum), "{name} in {part}");
                }
            }
        }
    }
}

#[test]
fn what_is_wrong_with_papers_is_told_with_its_place() {
    let says = |from: &str, to: &str| {
        let folder = demo_with(|text| {
            assert!(text.contains(from), "{from}");
            text.replacen(from, to, 1)
        });
        let open = fault_of(&folder.0);
        let told = match open.as_str() {
            "nothing stops it" => {
                let done = run(&folder.0);
                paper_book(&done.job, &done.work, PaperSet::Client)
                    .map_or_else(|faults| faults.to_string(), |_| "written".to_owned())
            }
            told => told.to_owned(),
        };
        without_folder(&told, &folder.0, "JOB")
    };
    let mut all = String::new();
    for (from, to) in [
        ("[firm]", "[look]\ncolour = \"blue\"\n\n[firm]"),
        ("[firm]", "[look]\ncolour = \"#EEEE88\"\n\n[firm]"),
        ("[firm]", "[look]\nfont = \"<b>\"\npaper = \"legal\"\n\n[firm]"),
        ("[firm]", "[firm]\nlogo = \"logo.png\""),
        ("[firm]", "[firm]\nlogo = \"shots.csv\""),
        ("number = \"S-2\"", "number = \"S-1\""),
        ("date = \"2026-10-02\"", "date = \"10/02/2026\""),
        ("price = \"2600 usd\"", "price = \"2600 usd/cy\""),
        (
            "[[quote.alternate]]",
            "[[quote.line]]\nwords = \"Concrete\"\nof = [\"footing_concret\", \"steel\"]\n\n[[quote.line]]\nwords = \"Steel\"\nof = [\"steel\"]\n\n[[quote.alternate]]",
        ),
        (
            "[[quote.alternate]]",
            "[[quote.line]]\nwords = \"Concrete\"\nof = [\"footing_concret\"]\n\n[[quote.alternate]]",
        ),
        (
            "[[quote.alternate]]",
            "[[quote.line]]\nwords = \"Concrete\"\nof = [\"footing_concrete\"]\nquantity = \"footing.totl\"\n\n[[quote.alternate]]",
        ),
    ] {
        all += &format!("--- {to}\n{}\n", says(from, to));
    }
    insta::assert_snapshot!(all);
}

#[test]
fn a_quote_says_what_it_lacks() {
    let folder = demo_with(|text| {
        text.replacen("number = \"TB-11-1\"\n", "", 1).replacen(
            "[[left_out]]\nwork = \"backfill\"\nwhy = \"by the owner\"\n",
            "",
            1,
        )
    });
    let done = run(&folder.0);
    let lacks: Vec<&str> =
        done.records("quote_draft").iter().filter_map(|row| row["lacks"].as_str()).collect();
    assert_eq!(lacks, ["no price for backfill", "no number"]);
    let (texts, _) = read(&set_of(&done, PaperSet::Client).workbook);
    assert!(texts.iter().any(|text| text.contains("DRAFT")));
    assert!(texts.iter().any(|text| text == "Backfill"), "it is told to be excluded");
    let whole = run(&examples().join("tarrow-bench"));
    let (texts, _) = read(&set_of(&whole, PaperSet::Client).workbook);
    assert!(!texts.iter().any(|text| text.contains("DRAFT")));
    assert!(texts.iter().any(|text| text == "Mobilisation"), "told to be in the price");
}

#[test]
fn a_job_without_a_price_has_no_quote() {
    let folder = demo_with(|text| without_tables(&text, &["[bid]", "[[left_out]]"]));
    let done = run(&folder.0);
    assert!(done.work.calc.total().is_none());
    let told = paper_book(&done.job, &done.work, PaperSet::Client);
    assert!(told.is_err_and(|faults| faults.to_string().contains("a quote needs a price")));
    // The engineer's papers name the plan all the same.
    let (texts, _) = read(&set_of(&done, PaperSet::Engineer).workbook);
    assert!(texts.iter().any(|text| text == "S-1"));
}

#[test]
fn a_client_is_not_told_how_the_firm_adds_to_its_costs() {
    let folder = demo_with(|text| {
        text.replacen("overhead = 12", "overhead = 0", 1).replacen("profit = 8", "profit = 0", 1)
    });
    let done = run(&folder.0);
    let (texts, _) = read(&set_of(&done, PaperSet::Client).workbook);
    for word in ["overhead", "profit", "exempt"] {
        assert!(!texts.iter().any(|text| text.to_lowercase().contains(word)), "{word}");
    }
}

#[test]
fn what_can_hurt_stands_beside_the_dig() {
    let done = run(&examples().join("tarrow-bench"));
    let (texts, _) = read(&set_of(&done, PaperSet::Client).workbook);
    let dig = texts.iter().find(|text| text.starts_with("Excavation, with haul")).expect("the dig");
    assert!(dig.contains("CAUTION, W1 16'-10\": cut 6.83 ft deep"), "{dig}");
    assert!(dig.contains("CAUTION, W1 15'-10\": the low side is dug straight down"), "{dig}");
}

#[test]
fn a_page_of_a_crew_shows_no_price() {
    let says = |reader: &str, records: &str, field: &str| {
        let folder = demo_with(|text| text);
        let page = format!(
            "sheet = \"More\"\ntitle = \"More\"\n[[block]]\nrecords = \"{records}\"\ncolumns = [{{ field = \"{field}\" }}]\n"
        );
        folder.write(&format!("templates/papers/{reader}/more.toml"), page);
        let done = run(&folder.0);
        let set = match reader {
            "client" => PaperSet::Client,
            "engineer" => PaperSet::Engineer,
            _ => PaperSet::Crew,
        };
        match paper_book(&done.job, &done.work, set) {
            Ok(_) => "written".to_owned(),
            Err(faults) => faults.to_string(),
        }
    };
    for (reader, records, field) in [
        ("crew", "quote_lines", "price"),
        ("engineer", "quote_unit_prices", "price"),
        ("client", "prices", "price"),
        ("client", "steps", "cost"),
        ("crew", "cells", "value"),
        ("client", "cautions", "text"),
    ] {
        let told = says(reader, records, field);
        assert!(told.contains("is not for the readers of this page"), "{reader} {records}: {told}");
    }
    assert_eq!(says("client", "quote_lines", "price"), "written");
    assert_eq!(says("crew", "steps", "station"), "written");
}

#[test]
fn a_pour_card_tells_what_its_walls_add_up_to_or_nothing() {
    let volumes = |example: &str| -> Vec<Option<f64>> {
        let done = run(&examples().join(example));
        done.records("pours").iter().map(|row| row["concrete"]["value"].as_f64()).collect()
    };
    let demo: f64 = volumes("tarrow-bench").into_iter().flatten().sum();
    assert!((demo - 34.117_283_950_617_285).abs() < 1e-9, "{demo}");
    // Counterforts, ledges and openings are of no one wall's stem.
    for example in ["cases/counterfort_wall", "cases/pilaster_wall", "cases/foundation_wall"] {
        assert!(volumes(example).iter().all(Option::is_none), "{example}");
    }
}

/// A form of an owner over the demo's price: invented items.
const FORM: &str = "
[bid_form]
title = \"Schedule B\"
round_to = \"0.05 usd\"

[[bid_form.item]]
number = \"1\"
words = \"Structural excavation and disposal\"
unit = \"cy\"
quantity = 150
of = [\"dig\", \"haul\"]

[[bid_form.item]]
number = \"2\"
words = \"Class A concrete\"
unit = \"cy\"
quantity = 62.5
of = [\"footing_concrete\", \"risers\", \"wall_concrete\", \"wall_forms\", \"strip_and_clean\"]

[[bid_form.item]]
number = \"3\"
words = \"Reinforcing steel and drainage\"
of = [\"steel\", \"drain_rock\"]
";

#[test]
fn the_form_of_an_owner_holds_the_whole_price() {
    let folder = demo_with(|text| format!("{text}{FORM}"));
    let done = run(&folder.0);
    let rows = done.records("bid_form");
    let (total, direct) = (price(&done, "total"), price(&done, "direct"));
    let share =
        |names: &[&str]| names.iter().map(|name| price(&done, name)).sum::<f64>() * total / direct;
    let amount = |row: &Value, field: &str| row[field]["value"].as_f64().expect("money");
    // By hand: the share over the quantity, to the nearest 5 cents; the lump sum to the nearest 5 cents.
    let to_five = |money: f64| (money * 20.0).round() / 20.0;
    let excavation = to_five(share(&["dig", "haul"]) / 150.0);
    let of = ["footing_concrete", "risers", "wall_concrete", "wall_forms", "strip_and_clean"];
    let concrete = to_five(share(&of) / 62.5);
    assert_eq!(cents(amount(&rows[0], "unit_price")), cents(excavation));
    assert_eq!(cents(amount(&rows[0], "amount")), cents(excavation * 150.0));
    assert_eq!(cents(amount(&rows[1], "unit_price")), cents(concrete));
    assert_eq!(cents(amount(&rows[1], "amount")), cents(concrete * 62.5));
    assert_eq!(rows[2]["unit_price"], Value::Null);
    assert_eq!(cents(amount(&rows[2], "amount")), cents(to_five(share(&["steel", "drain_rock"]))));
    let sum: i64 = rows.iter().map(|row| cents(amount(row, "amount"))).sum();
    let by = sum - cents(total);
    assert!(by != 0 && by.abs() < 500, "{by}");
    let told = done.records("bid_form_told");
    assert_eq!(told[0]["text"], "Schedule B");
    let words = told[1]["text"].as_str().expect("a text");
    assert!(words.contains(&format!("{:.2} usd", by as f64 / 100.0)), "{words}");
    let (texts, numbers) = read(&set_of(&done, PaperSet::Client).workbook);
    assert!(texts.iter().any(|text| text == "Bid form"), "{texts:?}");
    assert!(numbers.iter().any(|number| cents(*number) == cents(excavation)));
}

#[test]
fn a_form_that_leaves_work_out_is_refused() {
    let short = FORM.replace("\"steel\", \"drain_rock\"", "\"steel\"");
    let told = fault_of(&demo_with(|text| format!("{text}{short}")).0);
    assert!(told.contains("no item names: drain_rock"), "{told}");
    for (from, to, said) in [
        ("\"dig\", \"haul\"", "\"dgi\", \"haul\"", "the price has no line \"dgi\""),
        ("\"dig\", \"haul\"", "\"dig\", \"steel\"", "steel is in the bid form twice"),
        ("number = \"2\"", "number = \"1\"", "the bid form has item 1 twice"),
        ("quantity = 150", "quantity = 0", "an item of quantity 0 has no unit price"),
        ("of = [\"dig\", \"haul\"]", "of = []", "would be bid at nothing"),
        ("quantity = 150", "quantity = 100000000", "more than 1 % of it"),
        ("0.05 usd", "0 usd", "prices are rounded to whole cents"),
    ] {
        assert!(FORM.contains(from), "{from}");
        let told = fault_of(&demo_with(|text| format!("{text}{}", FORM.replace(from, to))).0);
        assert!(told.contains(said), "{told}");
        assert!(told.contains("job.toml:"), "{told}");
    }
}

/// Sheets of a package in their order, with whether they are hidden.
fn tabs(bytes: &[u8]) -> Vec<(String, bool)> {
    let book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.to_vec())).expect("a workbook");
    let hidden = |sheet: &calamine::Sheet| sheet.visible != calamine::SheetVisible::Visible;
    book.sheets_metadata().iter().map(|sheet| (sheet.name.clone(), hidden(sheet))).collect()
}

#[test]
fn a_firm_orders_its_sheets_and_its_decimals() {
    let look = "\n[look]\nsheets = [\"Price\", \"quantities\", \"Prise\"]\nnumber = [{ unit = \"cy\", places = 1 }, { unit = \"sf\", places = 0 }]\n";
    let folder = demo_with(|text| without_tables(&text, &["[look]"]) + look);
    let done = run(&folder.0);
    let bytes = rodbook::job::workbook(&done.job, &done.work).expect("a workbook");
    let names: Vec<String> = tabs(&bytes).into_iter().map(|(name, _)| name).collect();
    assert_eq!(names[..3], ["Price", "Quantities", "Summary"]);
    // What no sheet is called is told, and stops nothing: another job of the firm may have it.
    let told = &done.work.unknown_sheets;
    assert!(told.len() == 1 && told[0].contains("\"Prise\"; did you mean Price?"), "{told:?}");
    let styles = parts(&bytes).into_iter().find(|(name, _)| name == "xl/styles.xml");
    let styles = String::from_utf8(styles.expect("styles").1).expect("a text");
    assert!(styles.contains("formatCode=\"#,##0.0\""), "{styles}");
    for (unit, said) in [
        ("cu", "cu is not a unit"),
        ("ft", "lengths and elevations keep their decimals"),
        ("usd", "amounts of money are told to the cent"),
    ] {
        let look = look.replace("\"cy\"", &format!("\"{unit}\""));
        let told = fault_of(&demo_with(|text| text + look.as_str()).0);
        assert!(told.contains(said) && told.contains("job.toml:"), "{told}");
    }
}

#[test]
fn what_charts_show_is_hidden_and_last() {
    let done = run(&examples().join("tarrow-bench"));
    let bytes = rodbook::job::workbook(&done.job, &done.work).expect("a workbook");
    let tabs = tabs(&bytes);
    let hidden: Vec<&str> =
        tabs.iter().filter(|(_, hidden)| *hidden).map(|(name, _)| name.as_str()).collect();
    assert_eq!(hidden, ["Profile data", "Stepped lines"]);
    assert!(tabs[tabs.len() - 2..].iter().all(|(_, hidden)| *hidden), "{tabs:?}");
    // Every chart and picture says what it shows.
    for (name, part) in parts(&bytes) {
        if name.starts_with("xl/drawings/drawing") {
            let text = String::from_utf8(part).expect("a text");
            let shown = text.matches("<xdr:cNvPr ").count();
            assert!(shown > 0 && text.matches(" descr=\"").count() == shown, "{name}: {text}");
        }
    }
    // An input says where its value is from.
    let notes = parts(&bytes).into_iter().filter(|(name, _)| name.starts_with("xl/comments"));
    let notes: String = notes.map(|(_, part)| String::from_utf8(part).expect("a text")).collect();
    assert!(notes.contains("Source: job.toml:") && notes.contains("does not say"), "{notes}");
}

#[test]
fn allowances_of_a_quote_are_told_with_the_total() {
    let line = "[[quote.line]]\nwords = \"Rock, if any\"\nof = [\"risers\"]\nallowance = \"yes\"\n\n[[quote.alternate]]";
    let done = run(&demo_with(|text| text.replacen("[[quote.alternate]]", line, 1)).0);
    let lines = done.records("quote_lines");
    let flagged = lines.iter().filter(|line| line["allowance"] == "yes").count();
    assert_eq!(flagged, 1, "{lines:?}");
    let (texts, _) = read(&set_of(&done, PaperSet::Client).workbook);
    let place = |wanted: &str| texts.iter().position(|text| text.starts_with(wanted));
    let heading = place("Allowances in the total").expect("the heading");
    assert!(texts[heading..].iter().any(|text| text == "Rock, if any"), "{texts:?}");
}
