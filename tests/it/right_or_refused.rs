//! Inputs that once gave a wrong number and no word: each is computed right now, or refused with its place.

use std::path::Path;
use std::process::Command;

use crate::support::{Folder, run_with, without_folder};

const FILES: [&str; 6] =
    ["job.toml", "shots.csv", "shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"];

/// The demo, with its files changed.
fn demo(change: &[(&str, &str, &str)]) -> Folder {
    let folder = Folder::new();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    for name in FILES {
        folder.write(name, std::fs::read(from.join(name)).expect("the demo"));
    }
    for (file, old, new) in change {
        let text = std::fs::read_to_string(folder.0.join(file)).expect("a text");
        assert!(text.contains(old), "{file} has no {old}");
        folder.write(file, text.replace(old, new));
    }
    folder
}

/// The demo without the reasons for what its price leaves out.
fn unpriced() -> Folder {
    let folder = demo(&[]);
    let job = std::fs::read_to_string(folder.0.join("job.toml")).expect("the demo");
    let job = crate::support::without_tables(&job, &["[footing_sides]", "[[left_out]]"]);
    folder.write("job.toml", job);
    folder
}

fn program(folder: &Folder, args: &[&str]) -> (i32, String) {
    let mut all = vec![args[0], folder.0.to_str().expect("UTF-8")];
    all.extend(&args[1..]);
    let run =
        Command::new(env!("CARGO_BIN_EXE_rodbook")).args(&all).output().expect("the program runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let said = format!("{}{}", text(&run.stdout), text(&run.stderr));
    (run.status.code().unwrap_or(-1), without_folder(&said, &folder.0, "JOB"))
}

fn refused(folder: &Folder, words: &[&str]) {
    let (code, said) = program(folder, &["check"]);
    assert_eq!(code, 1, "{said}");
    for word in words {
        assert!(said.contains(word), "{word}: {said}");
    }
}

fn price(folder: &Folder) -> String {
    let done = run_with(&folder.0, &[]);
    let book = &done.work.calc.book;
    book.words(book.find("price.total").expect("a total"))
}

/// The list of the demo in one file, in two, with another code for some of its ground, with a map of codes.
#[test]
fn several_files_and_codes_are_one_list() {
    let whole = price(&demo(&[]));
    let shots = std::fs::read_to_string(demo(&[]).0.join("shots.csv")).expect("the list");
    let (head, rows) = shots.split_once('\n').expect("a heading");
    let parts: Vec<&str> = rows.lines().collect();
    let folder = demo(&[("job.toml", "file = \"shots.xlsx\"", "file = [\"a.csv\", \"b.csv\"]")]);
    folder.write("a.csv", format!("{head}\n{}\n", parts[..30].join("\n")));
    folder.write("b.csv", format!("{head}\n{}\n", parts[30..].join("\n")));
    assert_eq!(price(&folder), whole, "in two files");
    // Every other shot of the existing ground under another code.
    let mut count = 0;
    let recoded: Vec<String> = parts
        .iter()
        .map(|row| {
            let other = row.ends_with(",EG") && {
                count += 1;
                count % 2 == 0
            };
            if other { row.replace(",EG", ",GS") } else { (*row).to_owned() }
        })
        .collect();
    folder.write("a.csv", format!("{head}\n{}\n", recoded[..30].join("\n")));
    folder.write("b.csv", format!("{head}\n{}\n", recoded[30..].join("\n")));
    let (code, said) = program(&folder, &["check"]);
    assert!(code == 0 && said.contains("shots with code GS lie within reach"), "{said}");
    let one = std::fs::read_to_string(folder.0.join("job.toml")).expect("settings");
    folder.write("job.toml", one.replace("existing = \"EG\"", "existing = [\"EG\", \"GS\"]"));
    assert_eq!(price(&folder), whole, "two codes");
    folder
        .write("job.toml", one.replacen("length_unit", "code_map = [\"GS = EG\"]\nlength_unit", 1));
    assert_eq!(price(&folder), whole, "a map of codes");
}

#[test]
fn walls_that_cannot_be_built_are_refused() {
    let walls = "[[wall]]\nid = \"A\"\nlength = \"20 ft\"\nstem = \"12 in\"\ntops = [{ from = \"0 ft\", top = \"8 ft\" }]\n";
    let turned: String = (0..4)
        .map(|n| {
            walls.replace("\"A\"", &format!("\"B{n}\"")).replace("stem", "turn = \"left\"\nstem")
        })
        .collect();
    let job = format!(
        "[job]\nname = \"x\"\n[alignment]\nearth_side = \"left\"\n{walls}{turned}[module]\npanel = \"2 ft\"\nrise = \"1 ft\"\nlevel_0 = \"0 ft\"\nlowest_level = 0\nhighest_level = 1\n[rules]\nfrost_depth = \"1 ft\"\nshortest_run = \"4 ft\"\noverlap_step = \"1 in\"\n[[type]]\nid = \"S\"\nstem_up_to = \"10 ft\"\nwidth = \"4 ft\"\nthickness = \"12 in\"\ntoe = \"3.75 ft\"\n"
    );
    let folder = Folder::new();
    folder.write("job.toml", &job);
    refused(
        &folder,
        &[
            "walls A and B3 cross or run over each other",
            "no rate for",
            "toe 3'-9\" and stem 1'-0\" together",
        ],
    );
    refused(
        &demo(&[("job.toml", "stem = \"12 in\"", "stem = \"12 ft\"")]),
        &["the stem, 12'-0\", is wider than this footing"],
    );
}

#[test]
fn shares_have_one_reading_everywhere() {
    let overhead =
        |text: &str| demo(&[("job.toml", "overhead = 12", &format!("overhead = {text}"))]);
    refused(&overhead("0.12"), &["0.12 has two readings: a share, which is 12 %, or 0.12 %"]);
    assert_eq!(price(&overhead("\"12 %\"")), price(&demo(&[])));
    assert!(price(&overhead("\"0.5 %\"")) < price(&demo(&[])));
    let (code, said) = program(&demo(&[]), &["why", "price.total", "--set", "bid.overhead=0.12"]);
    assert!(code == 1 && said.contains("two readings"), "{said}");
}

#[test]
fn money_of_sheets_is_read_or_asked_about() {
    let sheet = |rows: &str| {
        let folder = Folder::new();
        let path = folder.write("s.csv", format!("what,name,unit,formula\n{rows}"));
        let run = Command::new(env!("CARGO_BIN_EXE_rodbook"))
            .args(["sheet", path.to_str().expect("UTF-8")])
            .output()
            .expect("the program runs");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (run.status.code().unwrap_or(-1), format!("{}{}", text(&run.stdout), text(&run.stderr)))
    };
    let read = |rows: &str, shown: &str| {
        let (code, said) = sheet(rows);
        assert!(code == 0 && said.contains(shown), "{rows}: {said}");
    };
    let refuse = |rows: &str, words: &str| {
        let (code, said) = sheet(rows);
        assert!(code == 1 && said.contains(words), "{rows}: {said}");
    };
    refuse("a,a,usd,\"1,250\"\n", "\"1,250\" has two readings, 1250 and 1.250");
    read("a,a,usd,\"1,250\"\nb,b,usd,12.50\n", "1,250.00 usd");
    read("a,a,usd,\"1,250\"\nb,b,usd,\"12,5\"\n", "1.25 usd");
    read("a,a,usd,\"1,250\"\nb,b,usd,\"12,5\"\n", "\"1,250\" is read as 1.250");
    refuse("a,a,eur,1250\n", "this row is in eur, the job is priced in usd");
    refuse("a,a,percent,0.12\n", "two readings");
    read("a,a,percent,12 %\n", "12 %");
    read("a,a,percent,0.5 %\n", "0.5 %");
    refuse("a,a,psf,1e308.psf * 10\n", "larger than anything");
    refuse("a,a,usd,(1250)\n", "two readings");
    refuse("a,a,usd,if 1e400 > 1 { 7.usd } else { 8.usd }\n", "larger than anything");
}

/// A company's price of risers lays the steps out, and the bid takes the same price and says so.
#[test]
fn a_riser_price_of_the_company_reaches_the_bid() {
    let folder = demo(&[]);
    let plain = run_with(&folder.0, &[]);
    folder.write(
        "riser_price.rhai",
        "fn riser_price(step) { 185.usd + step.rise * 45.usd / 1.ft + step.width * 8.usd / 1.ft }",
    );
    let done = run_with(&folder.0, &[]);
    let amount = |done: &crate::support::Done, cell: &str| {
        let book = &done.work.calc.book;
        book.quantity(book.find(cell).expect("a cell")).expect("an amount").base()
    };
    let takeoff = done.work.takeoff.as_ref().expect("a layout");
    let site = &takeoff.layout.site;
    let foot = 304_800_000.0;
    let by_hand: f64 = takeoff
        .layout
        .steps
        .iter()
        .map(|step| {
            let rise = (step.tof_after - step.tof_before).0.abs() as f64 / foot;
            let width = site.types[step.low_type].width.0 as f64 / foot;
            185.0 + 45.0 * rise + 8.0 * width
        })
        .sum();
    assert!((amount(&done, "price.risers") - by_hand).abs() < 0.006, "{by_hand}");
    assert!(amount(&done, "price.risers") > amount(&plain, "price.risers"));
    assert!(
        done.work.calc.note("price.risers").is_some_and(|note| note.contains("riser_price.rhai"))
    );
    let (_, said) = program(&folder, &["check"]);
    assert!(said.contains("replaced  rule riser price by"), "{said}");
}

/// What stands in place of a bundled file is named, and takes no bundled function's name.
#[test]
fn replacements_are_named() {
    let bundled = rodbook::files::embedded("templates/sheets/price.csv").expect("bundled");
    let folder = unpriced();
    folder.write(
        "price.csv",
        bundled
            .replace(
                "Drain rock,drain_rock,,to_cent(takeoff.drain.rock * prices.drain_rock),takeoff.drain.rock prices.drain_rock,\n",
                "",
            )
            .replace(", drain_rock]", "]"),
    );
    let (code, said) = program(&folder, &["check"]);
    assert!(code == 0 && said.contains("replaced  price sheet by JOB/price.csv"), "{said}");
    // A row less in the price is a kind of work more that it lacks.
    assert!(said.contains("backfill; drain rock; drain pipe"), "{said}");
    let (_, json) = program(&folder, &["takeoff", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert!(
        json["price_missing"]
            .as_array()
            .is_some_and(|all| all.iter().any(|one| one == "drain rock"))
    );
    let steel = "Reinforcing steel,steel,,to_cent(takeoff.bars.order * prices.bars),takeoff.bars.order prices.bars,waste included\n";
    assert!(bundled.contains(steel));
    let bundled = bundled.replace(steel, "").replace("steel, ", "");
    folder.write("price.csv", bundled.clone() + "Steel,rebar,usd,7180.64,,\n");
    let (_, said) = program(&folder, &["check"]);
    assert!(said.contains("reinforcing steel"), "a row beside the total is not in it: {said}");
    folder.write(
        "price.csv",
        bundled.replace("\"sum([footing_concrete", "\"sum([rebar, footing_concrete")
            + "Steel,rebar,usd,7180.64,,\n",
    );
    let (_, said) = program(&folder, &["check"]);
    assert!(said.contains("PARTIAL") && !said.contains("reinforcing steel"), "{said}");
    folder.write("functions.rhai", "fn to_cent(x) { x * 0.5 }");
    refused(&folder, &["called to_cent, which is the name of a bundled one"]);
}

#[test]
fn a_price_that_lacks_something_says_so_everywhere() {
    let folder = unpriced();
    for args in [
        &["check"][..],
        &["sheet"],
        &["why", "price.total"],
        &["what-if", "--set", "prices.pump=25 usd/cy"],
        &["sensitivity", "price.total"],
        &["find", "price.total", "61700", "--by", "prices.pump", "--from", "10", "--to", "11"],
        &["what-if", "--json", "--set", "prices.pump=25 usd/cy"],
    ] {
        let (code, said) = program(&folder, args);
        assert!(
            code == 0
                && said.contains("PARTIAL: not in it: footing edge forms; joints and waterstop"),
            "{args:?} {said}"
        );
    }
}

/// Every setting may be named in a formula, also of the table whose name the script language keeps for itself.
#[test]
fn a_formula_may_name_the_module() {
    let folder = demo(&[]);
    let sheet = std::fs::read_to_string(folder.0.join("pour.csv")).expect("a sheet of the demo");
    folder
        .write("pour.csv", sheet.trim_end().to_owned() + "\nTwo rises,rises,ft,module.rise * 2,\n");
    let (code, said) = program(&folder, &["why", "pour.rises"]);
    assert!(code == 0 && said.contains("2 ft") && said.contains("module.rise"), "{said}");
}

/// What backfill leaves out, and what it waits for, stands beside its volume on the terminal too.
#[test]
fn backfill_is_told_with_what_is_not_in_it() {
    let folder = demo(&[("job.toml", "dig = \"section\"", "dig = \"solid\"")]);
    let job = std::fs::read_to_string(folder.0.join("job.toml")).expect("the demo");
    let job = crate::support::without_tables(&job, &["[bid]", "[[left_out]]"]);
    folder.write("job.toml", job + "\n[backfill]\nshrink = \"10\"\nreuse = \"50\"\n");
    let (code, said) = program(&folder, &["takeoff"]);
    let line = said.lines().find(|line| line.trim_start().starts_with("backfill"));
    let line = line.unwrap_or_else(|| panic!("{code} {said}"));
    assert!(
        line.contains("cy in place") && line.contains("fill over the existing ground"),
        "{line}"
    );
    assert!(line.contains("engineer of record"), "{line}");
}

#[test]
fn workbooks_of_other_settings_have_names_of_their_own() {
    let folder = demo(&[]);
    let (code, _) = program(&folder, &["takeoff"]);
    let good = std::fs::read(folder.0.join("takeoff.xlsx")).expect("a workbook");
    assert_eq!(code, 0);
    let (code, said) = program(&folder, &["takeoff", "--set", "prices.pump=25 usd/cy"]);
    assert!(
        code == 0 && said.contains("written   JOB/takeoff-prices.pump-25-usd-cy.xlsx"),
        "{said}"
    );
    let (code, said) = program(&folder, &["takeoff", "--set", "rules.frost_depth=3 ft"]);
    assert!(code == 3 && said.contains("no-layout.xlsx"), "{said}");
    let own = folder.0.join("takeoff.xlsx");
    let out = own.to_str().expect("UTF-8");
    let (code, said) =
        program(&folder, &["takeoff", "--set", "prices.pump=25 usd/cy", "--out", out]);
    assert!(code == 4 && said.contains("the job's own workbook"), "{said}");
    let (code, said) =
        program(&folder, &["takeoff", "--set", "rules.frost_depth=3 ft", "--out", out]);
    assert!(code == 3 && said.contains("takeoff-no-layout.xlsx"), "{said}");
    assert_eq!(std::fs::read(own).expect("a workbook"), good);
    let (code, said) = program(&folder, &["what-if", "--set", "rules.frost_depth=3 ft"]);
    assert!(code == 3 && said.contains("no layout") && !said.contains("stay the same"), "{said}");
}

#[test]
fn a_soil_class_chooses_its_layback() {
    let dig = |class: &str, more: &[(&str, &str)]| {
        let folder = demo(&[]);
        let text = std::fs::read_to_string(folder.0.join("job.toml")).expect("settings");
        let without: Vec<&str> = text.lines().filter(|line| !line.starts_with("layback")).collect();
        folder.write("job.toml", without.join("\n") + "\n");
        let mut set = vec![("allowances.soil_class", class)];
        set.extend(more);
        run_with(&folder.0, &set).quantity("dig.section")
    };
    let [a, b, c] = ["A", "B", "C"].map(|class| dig(class, &[]));
    assert!(a < b && b < c, "{a} {b} {c}");
    // Source subpart-p, Table B-1: 3/4:1, 1:1, 1-1/2:1.
    for (class, layback, dug) in [("A", "3/4:1", a), ("B", "1:1", b), ("C", "1-1/2:1", c)] {
        assert_eq!(dig(class, &[("allowances.layback", layback)]), dug);
    }
}

/// A list in U.S. survey feet: corners in plain ft are asked about where it matters, and read as said.
#[test]
fn two_feet_in_one_job() {
    let demo_of = demo;
    let demo = demo(&[]);
    let text = std::fs::read_to_string(demo.0.join("job.toml")).expect("settings");
    let move_by =
        |value: &str, by: f64| format!("{:.4}", value.parse::<f64>().expect("a number") + by);
    let shifted = |text: &str, key: &str, by: f64| {
        let mut parts = text.split(key);
        let first = parts.next().unwrap_or("").to_owned();
        parts.fold(first, |all, part| {
            let (value, rest) = part.split_once(" ft").expect("a coordinate");
            format!("{all}{key}{} ft{rest}", move_by(value, by))
        })
    };
    let text = shifted(&shifted(&text, "east = \"", 2_000_000.0), "north = \"", 400_000.0);
    let shots = std::fs::read_to_string(demo.0.join("shots.csv")).expect("the list");
    let moved: Vec<String> = shots
        .lines()
        .enumerate()
        .map(|(index, line)| {
            let mut fields: Vec<String> = line.split(',').map(str::to_owned).collect();
            for (at, by) in [(1, 400_000.0), (2, 2_000_000.0)] {
                if index > 0 && !fields[at].is_empty() {
                    fields[at] = move_by(&fields[at], by);
                }
            }
            fields.join(",")
        })
        .collect();
    let job = |feet: &str| {
        let folder = Folder::new();
        let text = text
            .replacen("file = \"shots.xlsx\"", "file = \"shots.csv\"", 1)
            .replacen("length_unit = \"ft\"", "length_unit = \"us_survey_ft\"", 1)
            .replacen("[alignment]", &format!("[alignment]\n{feet}"), 1);
        for name in FILES {
            folder.write(name, std::fs::read(demo.0.join(name)).expect("the demo"));
        }
        folder.write("job.toml", text);
        folder.write("shots.csv", moved.join("\n") + "\n");
        folder
    };
    refused(
        &job(""),
        &["in ft, which does not say which foot", "alignment.feet", "the two differ by 4.0"],
    );
    let done = run_with(&job("feet = \"us_survey_ft\"").0, &[]);
    assert_eq!(done.records("shots_used").len(), 59, "as in the frame of the demo");
    let book = &done.work.calc.book;
    assert_eq!(book.words(book.find("price.total").expect("a total")), price(&demo_of(&[])));
    let step = &done.records("steps")[0];
    assert_eq!(step["east"]["unit"], "us_survey_ft");
    let east = step["east"]["value"].as_f64().expect("a number");
    assert!((2_005_000.0..2_005_100.0).contains(&east), "{east}");
}

/// Bearings as plans have them, next to degrees from north.
#[test]
fn bearings_by_quadrant() {
    let job = |bearing: &str| {
        let walls = "[[wall]]\nid = \"A\"\nlength = \"20 ft\"\nstem = \"12 in\"\ntops = [{ from = \"0 ft\", top = \"8 ft\" }]\n";
        format!(
            "[job]\nname = \"x\"\n[alignment]\nearth_side = \"left\"\n[alignment.start]\nbearing = {bearing:?}\n{walls}"
        )
    };
    let says = |bearing: &str| {
        let folder = Folder::new();
        folder.write("job.toml", job(bearing));
        program(&folder, &["check"]).1
    };
    for sound in ["N 24°30' E", "S 45 W", "N24-30-15E", "24°30'15\"", "53.13 deg"] {
        assert!(!says(sound).contains("is not a bearing"), "{sound}");
    }
    for bad in ["N 24°30'", "N 95 E", "N 24°75' E", "24", "up"] {
        assert!(says(bad).contains("is not a bearing"), "{bad}");
    }
}

/// A wrong setting, a script that cannot be read and a formula that cannot be read: one round.
#[test]
fn faults_of_settings_scripts_and_formulas_come_together() {
    let folder = demo(&[
        ("job.toml", "stem = \"12 in\"", "stem = \"12 lb\""),
        ("per_foot.rhai", "fn sheet(", "fn sheet(("),
    ]);
    let pour = std::fs::read_to_string(folder.0.join("pour.csv")).expect("the sheet");
    folder.write("pour.csv", format!("{pour},crooked,psf,\"2 + * 3\"\n"));
    std::fs::create_dir_all(folder.0.join("scripts")).expect("a folder");
    folder.write("scripts/stepped_wall.rhai", "fn takeoff(job) { let x = ; }");
    let all = ["job.toml:", "per_foot.rhai:", "pour.crooked", "stepped_wall.rhai:"];
    refused(&folder, &all);
    // Without the fault of the settings the others still come together.
    let text = std::fs::read_to_string(folder.0.join("job.toml")).expect("settings");
    folder.write("job.toml", text.replace("12 lb", "12 in"));
    refused(&folder, &all[1..]);
}

/// A swell as a factor, thousands apart by a point, feet and a part: of two readings none is taken.
#[test]
fn numbers_of_two_readings_are_asked_about() {
    for (old, new, words) in [
        ("swell = 25", "swell = 1.25", ["a factor, which is 25 % more", "write 25 or \"1.25 %\""]),
        ("swell = 25", "swell = 1.3", ["which is 30 % more", "write 30"]),
        (
            "pump = \"18 usd/cy\"",
            "pump = \"0,125 usd/cy\"",
            ["0.125 with a decimal comma", "write a decimal point"],
        ),
        ("overhead = 12", "overhead = 1.12", ["a factor, which is 12 % more", "write 12"]),
        (
            "pump = \"18 usd/cy\"",
            "pump = \"1.800 usd/cy\"",
            ["1.800 has two readings: 1800", "1.80 usd/cy"],
        ),
        (
            "stem = \"12 in\"",
            "stem = \"1'.5\"",
            ["two readings: 1.5 ft, or 1 ft and 0.5 in", "1'-0.5\""],
        ),
    ] {
        refused(&demo(&[("job.toml", old, new)]), &words);
    }
    for (old, new) in [
        ("swell = 25", "swell = \"1.25 %\""),
        ("swell = 25", "swell = 1"),
        ("pump = \"18 usd/cy\"", "pump = \"0.075 usd/cy\""),
        ("pump = \"18 usd/cy\"", "pump = \"16.502 usd/cy\""),
    ] {
        let (code, said) = program(&demo(&[("job.toml", old, new)]), &["check"]);
        assert_eq!(code, 0, "{said}");
    }
}

/// A year in place of a height is told at its row, whatever its code.
#[test]
fn a_shot_that_stands_off_its_neighbours_is_told() {
    let folder = demo(&[("job.toml", "file = \"shots.xlsx\"", "file = \"shots.csv\"")]);
    let text = std::fs::read_to_string(folder.0.join("shots.csv")).expect("the list");
    let line = text.lines().find(|line| line.contains(",TP")).expect("a shot of bearing");
    let height =
        line.split(',').rev().find(|field| field.parse::<f64>().is_ok()).expect("a height");
    let off =
        line.replace(height, &format!("{}", height.parse::<f64>().expect("a number") + 1000.0));
    folder.write("shots.csv", text.replace(line, &off));
    let (_, said) = program(&folder, &["check"]);
    let row = text.lines().position(|other| other == line).expect("there") + 1;
    assert!(
        said.contains(&format!("of row {row} is at 1")) && said.contains("look at the list"),
        "{said}"
    );
    let (_, said) = program(&demo(&[]), &["check"]);
    assert!(!said.contains("look at the list"), "{said}");
}

/// On a slope a shot may be far from the median of its neighbours and right: that it is not used is told with its name, where it
/// lies on the line between the shots beside it. The demo's planted blunder does not.
#[test]
fn shots_not_used_on_a_slope_are_told() {
    let (_, said) = program(&demo(&[]), &["check"]);
    assert!(!said.contains("on the slope"), "{said}");
    let folder = demo(&[("job.toml", "outlier_limit = \"3 ft\"", "outlier_limit = \"0.4 ft\"")]);
    let (_, said) = program(&folder, &["check"]);
    assert!(
        said.contains("not used for height, and on the slope between the shots beside: "),
        "{said}"
    );
    assert!(!said.contains(": 1060"), "{said}");
    let (_, said) = program(&folder, &["shots"]);
    assert!(
        said.contains("from the median height of its neighbours, though on the slope"),
        "{said}"
    );
}

/// The plan's ground over the toe is held for the lower footing of an overlap; where the upper one on top of it has less, it is
/// told at each such riser. Held against the ground at every hundredth of a foot.
#[test]
fn less_ground_over_an_overlap_is_told() {
    use rodbook::measure::Nm;
    for (cover, overlap) in [("1 ft", "12 in"), ("1 ft", "24 in"), ("0.5 ft", "12 in")] {
        let settings = [("rules.toe_cover", cover), ("rules.overlap_min", overlap)];
        let done = run_with(&demo(&[]).0, &settings);
        let takeoff = done.work.takeoff.as_ref().expect("a layout");
        let grade = &takeoff.layout.site.ground.finished_low.line;
        let wanted = Nm::FOOT.0 * if cover == "1 ft" { 2 } else { 1 } / 2;
        let mut thin = 0;
        for step in &takeoff.layout.steps {
            let up = step.tof_after > step.tof_before;
            let top = if up { step.tof_after } else { step.tof_before };
            let least = (0..=step.overlap.0 / (Nm::FOOT.0 / 100))
                .map(|at| Nm(at * (Nm::FOOT.0 / 100)))
                .map(|along| if up { step.station + along } else { step.station - along })
                .map(|station| (grade.lowest(station, station) - top).0)
                .min();
            thin += usize::from(least.is_some_and(|least| least < wanted));
        }
        let about = |row: &&serde_json::Value| row["about"] == "ground over the toe";
        let told = done.records("cautions").iter().filter(about).count();
        assert_eq!(told, thin, "{cover} {overlap}");
        assert!(thin > 0 || cover == "0.5 ft", "nothing to tell: {cover} {overlap}");
    }
}

/// A spacing as plans write it, several lengths in one text, and the trade's words for units.
#[test]
fn lengths_as_plans_write_them() {
    use rodbook::measure::{Nm, StationStyle, read_length};
    for text in ["12\" o.c.", "12 in OC", "12\" on center", "1'-0\" c/c"] {
        assert_eq!(read_length(text, StationStyle::HundredFeet), Ok(Nm::FOOT), "{text}");
    }
    assert!(read_length("o.c.", StationStyle::HundredFeet).is_err());
    let folder = demo(&[("job.toml", "stock = \"20 ft\"", "stock = \"20', 40'\"")]);
    let (code, said) = program(&folder, &["check"]);
    assert_eq!(code, 0, "{said}");
    for (text, same) in [("6.5 usd/lf", "6.5 usd/ft"), ("3 ea", "3 each")] {
        let read = |text| rodbook::measure::read_exact(text).expect("a measure");
        assert_eq!(read(text), read(same), "{text}");
    }
}

/// What is asked about in a file is not asked about in numbers that a search comes upon; lines are looked for too.
#[test]
fn searches_meet_every_number() {
    let folder = demo(&[("job.toml", "dig = \"21 usd/cy\"", "dig = \"21.25 usd/cy\"")]);
    let (code, said) = program(&folder, &["sensitivity"]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("prices.dig") && !said.contains("no result"), "{said}");
    let find = |cell: &str, target: &str, by: &str, from: &str, to: &str| {
        program(&folder, &["find", cell, target, "--by", by, "--from", from, "--to", to])
    };
    let (code, said) = find("price.total", "63000 usd", "prices.pump", "10 usd/cy", "40 usd/cy");
    assert_eq!(code, 0, "{said}");
    assert!(!said.contains("no result"), "{said}");
    let (code, said) = find("footing.total", "31 cy", "rules.frost_depth", "2 ft", "3 ft");
    assert_eq!(code, 0, "{said}");
}
