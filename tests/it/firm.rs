//! The firm of the examples: what it has made its own reaches the numbers that it should, on both of its jobs.

use std::path::{Path, PathBuf};

use rodbook::job::{Job, OpenOptions, Subject, compare, scripted_variants, work};
use serde_json::Value;

use crate::support::{Done, Folder, fault_of, run, run_with, without_folder};

fn firm() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/firm")
}

/// A copy of the firm without some of its files.
fn firm_without(files: &[&str]) -> Folder {
    let folder = Folder::new();
    for part in ["company", "company/scripts", "company/templates/starter", "lot-4", "lot-7"] {
        for entry in std::fs::read_dir(firm().join(part)).expect("a folder") {
            let path = entry.expect("an entry").path();
            let name = path.file_name().and_then(|name| name.to_str()).expect("a name").to_owned();
            if path.is_file() && name != "takeoff.xlsx" && !files.contains(&name.as_str()) {
                folder.write(&format!("{part}/{name}"), std::fs::read(&path).expect("a file"));
            }
        }
    }
    folder
}

fn of(row: &Value, column: &str) -> f64 {
    row[column]["value"].as_f64().unwrap_or_else(|| panic!("{column} of {row}"))
}

/// A cell in the unit that it is shown in.
fn cell(done: &Done, name: &str) -> f64 {
    let book = &done.work.calc.book;
    let id = book.find(name).unwrap_or_else(|| panic!("no cell {name}"));
    let unit = rodbook::measure::number_unit(&book.node(id).unit);
    let quantity = book.quantity(id).unwrap_or_else(|| panic!("{name} has no number"));
    rodbook::measure::unit(unit).and_then(|unit| quantity.in_unit(&unit)).unwrap_or(quantity.base())
}

fn same(told: f64, wanted: f64) {
    assert!((told - wanted).abs() <= 1e-9 * wanted.abs().max(1.0), "{told}, {wanted}");
}

fn cents(amount: f64) -> f64 {
    (amount * 100.0).round() / 100.0
}

#[test]
fn the_overlap_of_the_firm() {
    let shortest = |done: &Done| {
        done.records("steps").iter().map(|step| of(step, "overlap")).fold(f64::INFINITY, f64::min)
    };
    assert!(shortest(&run(&firm().join("lot-4"))) >= 18.0);
    assert!(shortest(&run(&firm().join("lot-7"))) >= 24.0, "the job asks for more");
    let without = firm_without(&["overlap.rhai"]);
    assert!(shortest(&run(&without.0.join("lot-4"))) < 18.0);
}

#[test]
fn steps_without_access_cost_more() {
    let done = run(&firm().join("lot-4"));
    let price = |step: &Value| {
        let usual = 185.0 + 45.0 * (of(step, "tof_after") - of(step, "tof_before")).abs();
        let at = of(step, "station");
        let far = step["wall"] == "W1" && (10.0..=30.0).contains(&at);
        if far { 2.0 * usual } else { usual }
    };
    let steps = done.records("steps");
    same(cell(&done, "price.risers"), steps.iter().map(price).sum());
    let double = run_with(&firm().join("lot-4"), &[("own.access_factor", "1")]);
    assert!(cell(&double, "price.risers") < cell(&done, "price.risers"));
}

#[test]
fn a_surcharge_asks_for_the_heavy_type() {
    let types = |done: &Done| -> Vec<String> {
        let pieces = done.records("footing_pieces").iter();
        let there = pieces.filter(|row| row["wall"] == "W2" && of(row, "to") > 12.0);
        there.map(|row| row["type"].as_str().expect("a type").to_owned()).collect()
    };
    let low = [("wall.W2.tops.0.top", "99 ft")];
    assert!(types(&run_with(&firm().join("lot-7"), &low)).iter().all(|kind| kind == "S9"));
    let without = firm_without(&["wall_type.rhai"]);
    assert!(types(&run_with(&without.0.join("lot-7"), &low)).contains(&"S6".to_owned()));
}

#[test]
fn concrete_lost_by_soil_class() {
    for (class, share) in [("A", 0.02), ("B", 0.04), ("C", 0.08)] {
        let done = run_with(&firm().join("lot-4"), &[("allowances.soil_class", class)]);
        same(done.quantity("footing.lost"), done.quantity("footing.total") * share);
        let wanted = (done.quantity("footing.order") + done.quantity("footing.lost")) * 212.0;
        same(cell(&done, "price.footing_concrete"), cents(wanted));
    }
}

#[test]
fn a_pour_day_has_a_least_charge() {
    let rate = [("own.pump_rate", "60 usd/cy")];
    for (done, rate) in
        [(run(&firm().join("lot-4")), 18.0), (run_with(&firm().join("lot-4"), &rate), 60.0)]
    {
        let charge = |volume: f64| cents((volume * rate).max(950.0));
        let wanted = charge(done.quantity("footing.order")) + charge(done.quantity("stem.order"));
        same(cell(&done, "price.pour_days"), wanted);
    }
}

#[test]
fn hours_by_height_wages_by_crew_and_winter() {
    for (lot, winter) in [("lot-4", 0.0), ("lot-7", 0.07)] {
        let done = run(&firm().join(lot));
        let wages = |piece: &Value| {
            let height = of(piece, "height");
            let (rate, wage) = match height {
                h if h >= 8.0 => (0.125, 61.25),
                h if h >= 6.0 => (0.095, 61.25),
                _ => (0.075, 58.5),
            };
            cents(2.0 * height * (of(piece, "to") - of(piece, "from")) * rate * wage)
        };
        let all: f64 = done.records("stem_pieces").iter().map(wages).sum();
        same(cell(&done, "price.form_labour"), cents(all));
        same(cell(&done, "price.winter"), cents(cents(all) * winter));
    }
    let spring = run_with(&firm().join("lot-7"), &[("job.bid_date", "2027-04-01")]);
    same(cell(&spring, "price.winter"), 0.0);
}

#[test]
fn alternates_from_the_cheapest() {
    let job = Subject::Job(firm().join("lot-4"), OpenOptions::default());
    let file = firm().join("company/scripts/alternates.rhai");
    let variants = scripted_variants(&file, &job).unwrap_or_else(|f| panic!("{f}"));
    assert_eq!(variants.len(), 6);
    let mut compared = compare(&job, &variants).unwrap_or_else(|f| panic!("{f}"));
    compared.sort_by("price.total").unwrap_or_else(|f| panic!("{f}"));
    let row = compared.rows.iter().find(|(_, name, ..)| name == "price.total").expect("prices");
    let prices: Vec<f64> = row.3[1..].iter().copied().map(|price| price.expect("one")).collect();
    assert!(prices.is_sorted() && prices[0] < prices[5], "{prices:?}");
}

#[test]
fn a_proposal_is_refused() {
    let refused = |from: &str, to: &str| {
        let folder = firm_without(&[]);
        let read = |file: &str| std::fs::read_to_string(folder.0.join(file)).expect("settings");
        let mut files = ["lot-4/job.toml", "company/standard.toml"].into_iter();
        let file = files.find(|file| read(file).contains(from)).expect("a file with it");
        folder.write(file, read(file).replacen(from, to, 1));
        let job = Job::open(&folder.0.join("lot-4"), &OpenOptions::default())
            .unwrap_or_else(|f| panic!("{f}"));
        work(&job, &|_| {}).err().map(|faults| faults.to_string()).unwrap_or_default()
    };
    assert_eq!(refused("profit = 8", "profit = 9"), "");
    assert!(refused("soil_class = \"B\"", "").contains("no soil class is stated"));
    let told = refused("[allowances]", "[own]\nleast_price = \"90000 usd\"\n\n[allowances]");
    assert!(told.contains("is under our least, 90000.00 usd"), "{told}");
}

#[test]
fn a_page_for_the_crew() {
    let done = run(&firm().join("lot-4"));
    let [sheet] = &done.work.sheets[..] else { panic!("one sheet: the other only looks") };
    assert_eq!(
        (sheet.title.as_str(), sheet.rows.len()),
        ("Crew marks", done.records("steps").len())
    );
    let from: Vec<f64> = sheet
        .rows
        .iter()
        .map(|row| row[3].number(rodbook::measure::System::Us).expect("an elevation").0)
        .collect();
    assert!(from.is_sorted(), "{from:?}");
}

#[test]
fn the_first_bar_of_the_firm() {
    let first = |done: &Done, role: &str| -> Vec<(f64, f64)> {
        let rows = done.records("bars_placed").iter().filter(|row| row["role"] == role);
        rows.map(|row| (of(row, "first") - of(row, "from"), of(row, "spacing"))).collect()
    };
    let done = run(&firm().join("lot-7"));
    let without = firm_without(&["first_bar.rhai"]);
    let without = run(&without.0.join("lot-7"));
    // Stations are in feet, spacings in inches.
    let ours = first(&done, "vertical");
    assert!(
        ours.iter().any(|(first, spacing)| (first - spacing / 12.0 / 2.0).abs() < 1e-6),
        "{ours:?}"
    );
    // Three inches as the job says, where the earth face begins with the exposed one.
    assert!(first(&without, "vertical").iter().any(|(first, _)| (first - 0.25).abs() < 1e-6));
    let count = |done: &Done| done.quantity("bars.total");
    assert!(count(&done) < count(&without), "{} {}", count(&done), count(&without));
}

#[test]
fn the_panels_of_the_firm() {
    let stacks = |done: &Done| -> Vec<String> {
        let rows = done.records("panel_runs").iter();
        rows.map(|row| row["stack"].as_str().expect("a stack").to_owned()).collect()
    };
    let done = run(&firm().join("lot-4"));
    assert!(stacks(&done).iter().all(|stack| !stack.contains("8'")));
    let low_first = |stack: &String| stack.ends_with("4'-0\"");
    assert!(stacks(&done).iter().all(low_first), "{:?}", stacks(&done));
    let without = firm_without(&["panel_stack.rhai"]);
    assert!(stacks(&run(&without.0.join("lot-4"))).iter().any(|stack| stack.contains("8'")));
    // A rule that asks for what the yard has not, or for another height, is told at its place.
    let told = |answer: &str| {
        let folder = firm_without(&[]);
        folder.write(
            "company/scripts/panel_stack.rhai",
            format!("fn panel_stack(stem) {{ {answer} }}"),
        );
        without_folder(&fault_of(&folder.0.join("lot-4")), &folder.0, "FIRM")
    };
    let all: Vec<String> =
        ["[3.ft, 3.ft]", "[4.ft]", "[4]", "stem.heights[0]", "[]"].map(told).into();
    insta::assert_snapshot!(all.join("----\n"));
}

#[test]
fn a_new_job_of_the_firm_runs() {
    let folder = firm_without(&[]);
    let options = OpenOptions::default();
    for (name, text) in rodbook::job::starter_files(&folder.0.join("lot-9"), &options)
        .unwrap_or_else(|f| panic!("{f}"))
    {
        folder.write(&format!("lot-9/{name}"), text);
    }
    let done = run(&folder.0.join("lot-9"));
    assert!(done.records("own_values").is_empty(), "{:?}", done.records("own_values"));
    assert!(cell(&done, "price.total") > 10_000.0);
}
