//! Shot lists of every shape: real files, lists of stations and rod readings, walls by length and turn.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::support::{Folder, job_toml, read_json, read_text, run, run_job_toml, run_spec};

fn program(args: &[&str]) -> (String, String) {
    let output =
        Command::new(env!("CARGO_BIN_EXE_rodbook")).args(args).output().expect("the program");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (text(output.stdout), text(output.stderr))
}

/// Rows, counts and elevations of `tests/data/shots/expected.csv`, computed by another program from files whose
/// origin is in SOURCES.md beside it.
#[test]
fn real_files_are_read() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/shots");
    let expected = std::fs::read_to_string(folder.join("expected.csv")).expect("the table");
    let mut files = 0;
    for line in expected.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let number = |index: usize| fields[index].parse::<f64>().expect("a number");
        let path = folder.join(fields[0]);
        let mut args = vec!["shots", path.to_str().expect("a path"), "--json", "--unit", "m"];
        if !matches!(fields[1], "" | "first") {
            args.extend(["--sheet", fields[1]]);
        }
        let (out, err) = program(&args);
        let json: Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{line}: {err}"));
        let list = |name: &str| json["records"][name].as_array().expect("rows").clone();
        // The same rows, whatever becomes of them: repeated points are set aside by screening, not by reading.
        let read = list("shots_read");
        let refused = list("shots_refused");
        let repeated = refused
            .iter()
            .filter(|row| row["reason"].as_str().is_some_and(|why| why.starts_with("duplicate")))
            .count();
        assert_eq!(read.len() + repeated, fields[6].parse::<usize>().expect("a count"), "{line}");
        if repeated == 0 {
            let unit = |value: &Value| match value["unit"].as_str() {
                Some("ft") => 0.3048,
                _ => 1.0,
            };
            let heights = read.iter().map(|row| {
                let z = &row["elevation"];
                z["value"].as_f64().expect("a number") * unit(z)
            });
            let heights: Vec<f64> = heights.collect();
            let near = |ours: f64, known: f64, what: &str| {
                assert!((ours - known).abs() < 1e-6, "{line}: {what} {ours}");
            };
            near(heights.iter().copied().fold(f64::MAX, f64::min), number(7), "least");
            near(heights.iter().copied().fold(f64::MIN, f64::max), number(8), "greatest");
            // Printed to four places.
            let sum: f64 = heights.iter().sum();
            assert!((sum - number(9)).abs() < 6e-5, "{line}: sum {sum}");
        }
        files += 1;
    }
    assert_eq!(files, 11);
}

/// The demo with its walls by length and turn and its shots by station and rod, from two set-ups: the same totals.
#[test]
fn tape_and_rod_give_the_totals_of_coordinates() {
    let spec = read_json("job.json");
    let plane = run_spec(&spec, &read_text("shots.csv"));
    let mut rows: Vec<String> = vec!["station,wall,offset,rod,code".into()];
    let value = |row: &Value, name: &str| row[name]["value"].as_f64().expect("a number");
    let walls = plane.records("walls");
    let start = |id: &Value| {
        value(walls.iter().find(|wall| &wall["wall"] == id).expect("a wall"), "chain_start")
    };
    let used = plane.records("shots_used");
    for (n, shot) in used.iter().enumerate() {
        // 208.46 for the first half, 210.00 for the rest.
        let sight = if n < 30 { 208.46 } else { 210.0 };
        rows.push(format!(
            "{},{},{},{:.4},{}",
            value(shot, "chain") - start(&shot["wall"]),
            shot["wall"].as_str().expect("a wall"),
            value(shot, "offset"),
            sight - value(shot, "elevation"),
            match shot["code"].as_str().expect("a code") {
                "TP" => "PIT",
                other => other,
            }
        ));
    }
    let mut settings = job_toml(&spec).replace("bearing = \"TP\"", "bearing = \"PIT\"");
    for (from, to, by) in [
        ("A", "B", "length = \"50.5 ft\""),
        ("B", "C", "length = \"28 ft\"\nturn = \"left\""),
        ("C", "D", "length = \"38 ft\"\nturn = \"right\""),
    ] {
        settings =
            settings.replace(&format!("from = \"{from}\"\nto = \"{to}\"\n"), &format!("{by}\n"));
    }
    settings += "[[shots.setup]]\nfrom_line = 1\nelevation = \"205 ft\"\nbacksight = \"3.46 ft\"\n[[shots.setup]]\nfrom_line = 32\ninstrument_height = \"210 ft\"\n";
    let list = rows.join("\n");
    let along = run_job_toml(&settings, &list);
    assert_eq!(along.records("shots_used").len(), used.len());
    assert_eq!(along.levels(), plane.levels());
    for line in plane.records("lines") {
        let id = line["id"].as_str().expect("an id");
        assert!((along.quantity(id) - plane.quantity(id)).abs() < 1e-6, "{id}");
    }
    // With the code of a turning point for bearing, the list is refused.
    let folder = Folder::new();
    folder.write("job.toml", settings.replace("bearing = \"PIT\"", "bearing = \"TP\""));
    folder.write("shots.csv", list.replace("PIT", "TP"));
    let fault = crate::support::fault_of(&folder.0);
    assert!(fault.contains("TP means turning point or benchmark"), "{fault}");
}

/// One list in every form of text and workbook: the demo's totals.
#[test]
fn one_list_in_many_forms() {
    let spec = read_json("job.json");
    let text = read_text("shots.csv");
    let plain = run_spec(&spec, &text);
    let empty_as_dash = |line: &str, separator: &str| {
        let fields: Vec<&str> = line.split(',').collect();
        fields.join(separator)
    };
    let with = |separator: &str| {
        text.lines().map(|line| empty_as_dash(line, separator)).collect::<Vec<_>>().join("\r\n")
    };
    let decimal = with(";")
        .lines()
        .enumerate()
        .map(|(n, line)| if n == 0 { line.to_owned() } else { line.replace('.', ",") })
        .collect::<Vec<_>>()
        .join("\n");
    for (what, list) in [
        ("semicolons", with(";")),
        ("tabs", with("\t")),
        ("byte order mark", format!("\u{feff}{text}")),
        ("decimal commas", decimal),
    ] {
        let done = run_spec(&spec, &list);
        assert_eq!(done.cost_nano(), plain.cost_nano(), "{what}");
        assert_eq!(
            done.records("shots_refused").len(),
            plain.records("shots_refused").len(),
            "{what}"
        );
    }
}

/// The walls of the demo by length and turn, with a start and a bearing: the coordinates of its steps.
#[test]
fn stake_out_of_walls_by_length() {
    let spec = read_json("job.json");
    let demo = run_spec(&spec, &read_text("shots.csv"));
    let mut settings = job_toml(&spec);
    for (from, to, by) in [
        ("A", "B", "length = \"50.5 ft\""),
        ("B", "C", "length = \"28 ft\"\nturn = \"left 90 deg\""),
        ("C", "D", "length = \"38 ft\"\nturn = \"right 90 deg\""),
    ] {
        settings =
            settings.replace(&format!("from = \"{from}\"\nto = \"{to}\"\n"), &format!("{by}\n"));
    }
    settings += "[alignment.start]\neast = \"5000 ft\"\nnorth = \"2000 ft\"\nbearing = \"53.13010235415598 deg\"\n";
    let folder = Folder::new();
    folder.write("job.toml", settings);
    folder.write("shots.csv", read_text("shots.csv"));
    let ours = run(&folder.0);
    assert_eq!(ours.cost_nano(), demo.cost_nano());
    for (a, b) in ours.records("steps").iter().zip(demo.records("steps")) {
        for name in ["east", "north", "cut_east", "cut_north"] {
            let value = |row: &Value| row[name]["value"].as_f64().expect("a number");
            assert!((value(a) - value(b)).abs() < 1e-6, "{name}");
        }
    }
}
