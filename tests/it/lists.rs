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
        // The same rows, whatever becomes of them: repeated points are not used by screening, not by reading.
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

const NOTE: &str = "point,station,bs,rod,fs,Z remark,code\nBM1,,3.46,,,,BM\n1,2,,5.46,,,EG\nT1,,5.10,,4.10,,CP\n2,8,,6.00,,,EG\n3,20,,5.25,,,EG\n4,1,,8.5,,,FL\n5,19,,8.5,,,FL\n6,1,,9.5,,,PIT\n7,19,,9.5,,,PIT\nBM1,,,,4.46,,BM\n";

const NOTE_JOB: &str = "[job]\nname = \"note\"\n[shots]\nfile = \"shots.csv\"\nlength_unit = \"ft\"\ncodes = { finished_low = \"FL\", bearing = \"PIT\", existing = \"EG\" }\n[benchmark]\nid = \"BM1\"\nelevation = \"205 ft\"\nbacksight = \"3.46 ft\"\n[alignment]\nearth_side = \"left\"\n[[wall]]\nid = \"W\"\nlength = \"21 ft\"\nstem = \"12 in\"\n[[wall.tops]]\nfrom = \"0 ft\"\ntop = \"206 ft\"\n[module]\npanel = \"24 in\"\nrise = \"12 in\"\nlevel_0 = \"198 ft\"\nlowest_level = 0\nhighest_level = 5\n[rules]\nfrost_depth = \"2 ft\"\nshortest_run = \"4 ft\"\noverlap_step = \"1 in\"\n[[type]]\nid = \"A\"\nstem_up_to = \"10 ft\"\nwidth = \"4 ft\"\nthickness = \"12 in\"\ntoe = \"1 ft\"\n[layout_rates]\nfooting_concrete = \"200 usd/cy\"\nwall_concrete = \"200 usd/cy\"\nforms_one_face = \"10 usd/sf\"\ndig = \"20 usd/cy\"\nriser_each = \"100 usd\"\nrise_each_level = \"10 usd\"\n";

/// Heights by hand: sight 208.46, T1 at 204.36, sight 209.46, the benchmark again at 205.00. Derived from the definition
/// of a backsight and a foresight.
#[test]
fn a_level_note_is_reduced() {
    let done = run_job_toml(NOTE_JOB, NOTE);
    let heights: Vec<f64> = done
        .records("shots_used")
        .iter()
        .map(|row| row["elevation"]["value"].as_f64().expect("a number"))
        .collect();
    let by_hand = [203.0, 203.46, 204.21, 200.96, 200.96, 199.96, 199.96];
    assert_eq!(heights.len(), by_hand.len());
    for (ours, known) in heights.iter().zip(by_hand) {
        assert!((ours - known).abs() < 1e-9, "{ours} {known}");
    }
    // Out by exactly what the job allows: it closes. A thousandth more: it does not.
    for (last, closes) in [("4.48", true), ("4.481", false), ("4.44", true), ("4.439", false)] {
        let folder = Folder::new();
        folder.write("job.toml", NOTE_JOB);
        folder.write("shots.csv", NOTE.replace("BM1,,,,4.46", &format!("BM1,,,,{last}")));
        let fault = crate::support::fault_of(&folder.0);
        assert_eq!(fault == "nothing stops it", closes, "{last}: {fault}");
        assert!(closes || fault.contains("does not close: BM1"), "{fault}");
    }
    let folder = Folder::new();
    folder.write("job.toml", NOTE_JOB);
    folder.write("shots.csv", NOTE.replace("T1,,5.10,,4.10", "T1,,5.10,,"));
    let fault = crate::support::fault_of(&folder.0);
    assert!(fault.contains("a backsight stands on \"T1\""), "{fault}");
}

/// A job started from a list holds its file, unit and codes, and says what is to be answered.
#[test]
fn a_job_started_from_a_list() {
    let folder = Folder::new();
    let list = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench/shots.xlsx");
    let new = folder.0.join("new");
    let (out, err) = program(&[
        "new",
        new.to_str().expect("a path"),
        "--shots",
        list.to_str().expect("a path"),
        "--unit",
        "ft",
    ]);
    assert!(out.contains("ANSWER"), "{out}{err}");
    let job = std::fs::read_to_string(new.join("job.toml")).expect("the job");
    assert!(job.contains("file = \"shots.xlsx\"") && job.contains("length_unit = \"ft\""), "{job}");
    assert!(job.contains("EG (") && job.contains("FL (10)"), "{job}");
    assert!(new.join("shots.xlsx").exists());
    // Answered with the codes, its list is read: what is wrong then is the invented walls, not the shots.
    let answered = job.replace(
        "# codes = { finished_low = \"\", bearing = \"\", existing = \"\" }",
        "codes = { finished_low = \"FL\", bearing = \"TP\", existing = \"EG\" }",
    );
    std::fs::write(new.join("job.toml"), answered).expect("written");
    let fault = crate::support::fault_of(&new);
    assert!(fault.contains("too far from every wall"), "{fault}");
}

/// A lock costs what the optimum without it saves; a lock that the optimum meets anyway costs nothing.
#[test]
fn what_a_lock_costs() {
    let spec = read_json("job.json");
    let free = run_spec(&spec, &read_text("shots.csv"));
    let with = |locks: &str| run_job_toml(&(job_toml(&spec) + locks), &read_text("shots.csv"));
    let met = with(
        "[[lock]]\nwall = \"W1\"\nwhat = \"riser\"\nfrom = \"16'-10\\\"\"\nwhy = \"agreed on site\"\n",
    );
    assert_eq!(met.cost_nano(), free.cost_nano());
    let row = &met.records("set_by_hand")[0];
    assert_eq!((&row["costs_nano"], &row["why"]), (&"0".into(), &"agreed on site".into()));
    let dear = with(
        "[[lock]]\nwall = \"W1\"\nwhat = \"not tof\"\nfrom = \"0 ft\"\nto = \"10 ft\"\ntof = \"201 ft\"\n[[lock]]\nwall = \"W3\"\nwhat = \"tof\"\nfrom = \"30 ft\"\nto = \"38 ft\"\ntof = \"201 ft\"\n",
    );
    let rows = dear.records("set_by_hand");
    assert_eq!(rows.len(), 3);
    let nano = |row: &Value| {
        row["costs_nano"].as_str().and_then(|t| t.parse::<i128>().ok()).expect("whole")
    };
    assert!(rows.iter().all(|row| nano(row) > 0), "{rows:?}");
    assert_eq!(nano(&rows[2]), dear.cost_nano() - free.cost_nano());
}

fn heights(list: &str, settings: &str) -> Vec<f64> {
    run_job_toml(settings, list)
        .records("shots_used")
        .iter()
        .map(|row| row["elevation"]["value"].as_f64().expect("a number"))
        .collect()
}

/// A level note is one by its backsights, whatever other columns it has; the last shot of a set-up may stand in FS.
#[test]
fn level_notes_with_other_columns() {
    let plain = heights(NOTE, NOTE_JOB);
    // A column of elevations that is blank but for the benchmark.
    let with_elevation =
        NOTE.replace("Z remark", "elev").replace("BM1,,3.46,,,,", "BM1,,3.46,,,205,");
    assert_eq!(heights(&with_elevation, NOTE_JOB), plain);
    let last_in_fs = NOTE.replace("3,20,,5.25,,", "3,20,,,5.25,");
    assert_eq!(heights(&last_in_fs, NOTE_JOB), plain);
    // By coordinates: the wall runs due east from 0.
    let columns = |line: &str| line.split(',').map(str::to_owned).collect::<Vec<_>>();
    let plane: Vec<String> = NOTE
        .lines()
        .enumerate()
        .map(|(n, line)| {
            let mut fields = columns(line);
            let north = if n == 0 { "N" } else { "0" };
            fields.insert(1, north.into());
            if n == 0 {
                fields[2] = "E".into();
            } else if fields[2].is_empty() {
                fields[2] = "0".into();
            }
            fields.join(",")
        })
        .collect();
    assert_eq!(heights(&plane.join("\n"), NOTE_JOB), plain);
}

/// Between spaces a code of two words would push every number into the next column.
#[test]
fn rows_with_more_fields_than_columns_are_not_used() {
    let spec = read_json("job.json");
    let spaced = read_text("shots.csv").replace(',', " ");
    let rows = "\nCP 1 2002 5020 100 EG\nX9 2012 5016 204 EG top of bank";
    let done = run_spec(&spec, &(spaced.trim_end().to_owned() + rows));
    let refused = done.records("shots_refused");
    let of =
        |id: &str| refused.iter().find(|row| row["point"] == id).map(|row| row["reason"].clone());
    assert_eq!(of("CP"), Some("field_count".into()));
    // What stands behind the code pushes nothing.
    assert_eq!(of("X9"), None);
    let used = done.records("shots_used");
    assert!(used.iter().any(|row| row["point"] == "X9" && row["elevation"]["value"] == 204.0));
}

/// Full stations have all their digits, or the number would be another one.
#[test]
fn full_stations_are_padded() {
    let list = |station: &str| {
        format!("station,Z,code\n0+{station},203,EG\n0+20.00,203,EG\n1,201,FL\n1,200,PIT\n")
    };
    let settings = NOTE_JOB.to_owned();
    let chain = |station: &str| {
        let done = run_job_toml(&settings, &list(station));
        let used = done.records("shots_used")[0]["chain"]["value"].as_f64().expect("a number");
        (used, done.records("shots_refused").len())
    };
    assert_eq!(chain("05.00"), (5.0, 0));
    assert_eq!(chain("5.00"), (20.0, 1));
}

/// Existing ground as one plane on both sides of both walls: a plane through neighbours and triangles give one dig,
/// a ground that is level across the wall gives another.
#[test]
fn surfaces_through_a_job() {
    let starter = |name: &str| {
        rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled").to_owned()
    };
    let mut list: Vec<String> = starter("shots.csv")
        .lines()
        .filter(|row| !row.ends_with(",EG"))
        .map(str::to_owned)
        .collect();
    for e in (-6..=46).step_by(4) {
        for n in (-6..=30).step_by(4) {
            let z = 100.0 + 0.02 * f64::from(n) - 0.05 * f64::from(e);
            list.push(format!(",{n},{e},{z:.2},EG"));
        }
    }
    let list = list.join("\n") + "\n";
    let dig = |keys: &str| {
        let job = starter("job.toml").replacen("outlier_codes = [\"EG\"]", "#", 1);
        let job = job.replacen("[benchmark]", &format!("{keys}\n[benchmark]"), 1);
        run_job_toml(&job, &list).quantity("dig.section")
    };
    let cut = |surface: &str| {
        dig(&format!("[ground.existing]\nsurface = \"{surface}\"\ntoe = \"1 ft\"\nheel = \"3 ft\""))
    };
    let (plane, triangles) = (cut("plane"), cut("triangles"));
    assert!((plane - triangles).abs() < 1e-3 * plane, "{plane} {triangles}");
    assert!((plane - dig("")).abs() > 1e-2 * plane, "{plane}");
}
