//! The program as a user runs it: outputs, exit codes, what is written and what is kept.

use std::path::Path;
use std::process::{Command, Output};

use rodbook::earth::DigShape;

use crate::support::{Folder, without_folder};

fn program(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_rodbook")).args(args).output().expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn demo() -> Folder {
    let folder = Folder::new();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    for name in ["job.toml", "shots.csv", "shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(from.join(name)).expect("the demo"));
    }
    folder
}

fn path(folder: &Folder) -> &str {
    folder.0.to_str().expect("UTF-8")
}

/// Output and code of a run, without the folder's name.
fn said(folder: &Folder, args: &[&str]) -> String {
    let run = program(args);
    let all = format!(
        "exit {}\n{}{}",
        run.status.code().unwrap_or(-1),
        text(&run.stdout),
        text(&run.stderr)
    );
    without_folder(&all, &folder.0, "JOB") + "\n"
}

#[test]
fn the_first_minute() {
    let folder = demo();
    insta::assert_snapshot!(said(&folder, &["takeoff", path(&folder)]));
    assert!(folder.0.join("takeoff.xlsx").exists());
    let first = std::fs::read(folder.0.join("takeoff.xlsx")).expect("a workbook");
    said(&folder, &["takeoff", path(&folder)]);
    assert_eq!(
        first,
        std::fs::read(folder.0.join("takeoff.xlsx")).expect("a workbook"),
        "the same inputs give the same bytes"
    );
}

#[test]
fn json_goes_to_standard_output_alone() {
    let folder = demo();
    let run = program(&["takeoff", path(&folder), "--json"]);
    assert!(run.status.success() && run.stderr.is_empty());
    let value: serde_json::Value = serde_json::from_slice(&run.stdout).expect("nothing but JSON");
    assert_eq!(value["format"], "rodbook takeoff 1");
    assert!(!folder.0.join("takeoff.xlsx").exists());
    let run = program(&["shots", path(&folder), "--json"]);
    let value: serde_json::Value = serde_json::from_slice(&run.stdout).expect("nothing but JSON");
    assert_eq!(value["records"]["shots_refused"].as_array().map(Vec::len), Some(8));
}

#[test]
fn the_shape_of_the_json() {
    let folder = demo();
    let run = program(&["takeoff", path(&folder), "--json"]);
    let value: serde_json::Value = serde_json::from_slice(&run.stdout).expect("JSON");
    let mut shape = String::new();
    for (name, rows) in value["records"].as_object().expect("records") {
        let fields: Vec<String> = rows[0]
            .as_object()
            .into_iter()
            .flatten()
            .map(|(key, value)| match value.get("unit") {
                Some(unit) => format!("{key} [{}]", unit.as_str().unwrap_or("")),
                None => key.clone(),
            })
            .collect();
        shape += &format!("{name}: {}\n", fields.join(", "));
    }
    insta::assert_snapshot!(shape);
}

#[test]
fn no_legal_layout() {
    let folder = demo();
    insta::assert_snapshot!(said(
        &folder,
        &["takeoff", path(&folder), "--set", "rules.frost_depth=2.26 ft"]
    ));
    assert!(
        folder.0.join("takeoff-rules.frost_depth-2.26-ft-no-layout.xlsx").exists(),
        "ground, shots and the explanation are written"
    );
    let json = program(&["takeoff", path(&folder), "--json", "--set", "rules.frost_depth=2.26 ft"]);
    assert_eq!(json.status.code(), Some(3));
    let value: serde_json::Value = serde_json::from_slice(&json.stdout).expect("JSON");
    assert_eq!(value["feasible"], false);
    assert!(value["records"].get("lines").is_none());
    let equal = program(&["check", path(&folder), "--set", "rules.frost_depth=2.25 ft"]);
    assert_eq!(equal.status.code(), Some(0));
}

#[test]
fn an_edited_workbook_is_kept() {
    let folder = demo();
    let file = folder.0.join("takeoff.xlsx");
    said(&folder, &["takeoff", path(&folder)]);
    // An edit in a spreadsheet saves other parts: here the workbook of another job takes its place, seal and all.
    let bytes = std::fs::read(&file).expect("a workbook");
    let mut edited = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("a workbook");
    let mut out = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for index in 0..edited.len() {
        let mut part = edited.by_index(index).expect("a part");
        let name = part.name().expect("a name").into_owned();
        let mut content = Vec::new();
        std::io::Read::read_to_end(&mut part, &mut content).expect("content");
        if name == "xl/worksheets/sheet1.xml" {
            content =
                text(&content).replace("<sheetData>", "<sheetData><!-- edited -->").into_bytes();
        }
        out.start_file(name, zip::write::SimpleFileOptions::default()).expect("a part");
        std::io::Write::write_all(&mut out, &content).expect("content");
    }
    let edited = out.finish().expect("a workbook").into_inner();
    std::fs::write(&file, &edited).expect("written");
    insta::assert_snapshot!(
        said(&folder, &["takeoff", path(&folder)])
            .lines()
            .filter(|line| !line.starts_with("  "))
            .collect::<Vec<_>>()
            .join("\n")
    );
    assert_eq!(std::fs::read(&file).expect("a file"), edited);
    assert!(said(&folder, &["takeoff", path(&folder), "--replace"]).starts_with("exit 0"));
    assert_ne!(std::fs::read(&file).expect("a file"), edited);
    std::fs::write(&file, "my own notes").expect("written");
    assert!(said(&folder, &["takeoff", path(&folder)]).starts_with("exit 4"));
    assert_eq!(std::fs::read(&file).expect("a file"), b"my own notes");
}

#[test]
fn outputs_that_cannot_be_written() {
    let folder = demo();
    let missing = folder.0.join("nowhere/takeoff.xlsx");
    let run = said(&folder, &["takeoff", path(&folder), "--out", missing.to_str().expect("UTF-8")]);
    assert!(run.starts_with("exit 4") && run.contains("its folder does not exist"), "{run}");
    for input in ["shots.xlsx", "job.toml"] {
        let before = std::fs::read(folder.0.join(input)).expect("an input");
        let out = folder.0.join(input);
        let run = said(
            &folder,
            &["takeoff", path(&folder), "--replace", "--out", out.to_str().expect("UTF-8")],
        );
        assert!(run.starts_with("exit 4"), "{run}");
        assert_eq!(
            before,
            std::fs::read(folder.0.join(input)).expect("an input"),
            "{input} is kept"
        );
    }
    // A folder that nobody may write to, whoever runs the test.
    if Path::new("/sys/kernel").exists() {
        let run = said(&folder, &["takeoff", path(&folder), "--out", "/sys/kernel/takeoff.xlsx"]);
        assert!(
            run.starts_with("exit 4") && run.contains("error: /sys/kernel/takeoff.xlsx"),
            "{run}"
        );
    }
    let left: Vec<_> = std::fs::read_dir(&folder.0)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").file_name())
        .collect();
    assert!(left.iter().all(|name| !name.to_string_lossy().ends_with(".part")), "{left:?}");
}

#[test]
fn check_writes_nothing() {
    let folder = demo();
    let before = std::fs::read_dir(&folder.0).expect("a folder").count();
    assert!(said(&folder, &["check", path(&folder)]).starts_with("exit 0"));
    let job = std::fs::read_to_string(folder.0.join("job.toml")).expect("the job");
    folder
        .write("job.toml", job.replace("frost_depth", "frost_dept").replace("\"12 in\"", "\"12\""));
    insta::assert_snapshot!(said(&folder, &["check", path(&folder)]));
    assert_eq!(std::fs::read_dir(&folder.0).expect("a folder").count(), before);
}

#[test]
fn shots_with_and_without_a_job() {
    let folder = demo();
    let list = folder.0.join("shots.csv");
    let alone = said(&folder, &["shots", list.to_str().expect("UTF-8"), "--unit", "ft"]);
    insta::assert_snapshot!(format!("{}\n{alone}", said(&folder, &["shots", path(&folder)])));
}

#[test]
fn new_starts_a_job_that_runs() {
    let folder = Folder::new();
    let target = folder.0.join("wall");
    let target = target.to_str().expect("UTF-8");
    assert!(said(&folder, &["new", target]).starts_with("exit 0"));
    assert!(said(&folder, &["takeoff", target]).starts_with("exit 0"));
    let again = said(&folder, &["new", target]);
    assert!(again.starts_with("exit 4") || again.starts_with("exit 1"), "{again}");
}

#[test]
fn scripts_from_the_command_line() {
    let folder = demo();
    let script = folder.write("hello.rhai", "print(\"thrust\"); fluid_thrust(150.pcf, 1.ft, 5.ft)");
    let script = script.to_str().expect("UTF-8");
    assert_eq!(said(&folder, &["run", script]), "exit 0\nthrust\n375 lb\n");
    let on_job = folder.write("on_job.rhai", "takeoff[\"footing.total\"].show(\"cy\", 2)");
    assert_eq!(
        said(&folder, &["run", on_job.to_str().expect("UTF-8"), path(&folder)]),
        "exit 0\n30.02 cy\n"
    );
    let sheet = folder.0.join("per_foot.rhai");
    insta::assert_snapshot!(said(&folder, &["run", sheet.to_str().expect("UTF-8"), path(&folder)]));
    assert!(said(&folder, &["run", sheet.to_str().expect("UTF-8")]).starts_with("exit 1"));
}

#[test]
fn exit_codes_and_usage() {
    assert_eq!(program(&["--help"]).status.code(), Some(0));
    assert_eq!(program(&["takeoff"]).status.code(), Some(2));
    assert_eq!(program(&["takeoff", "/nowhere"]).status.code(), Some(1));
    let help = text(&program(&["--help"]).stdout);
    for code in 0..=4 {
        assert!(help.contains(&format!("\n  {code}  ")), "{help}");
    }
}

/// An expression, several results, faults, a family of functions, one in full, a table of keys.
#[test]
fn calculating() {
    let folder = Folder::new();
    let wall = "wall_pressure(150.pcf, \"portland\", 15.ft, q(\"10 ft/h\"), 80.F, \"vibrated\")";
    let runs: [&[&str]; 9] = [
        &["calc", "12.ft * 3.ft * 8.inch"],
        &["calc", wall],
        &["calc", "--metric", "fluid_pressure(q(\"24 kN/m3\"), 3.m)"],
        &["calc", "fluid_pressure(150.pcf, 600.psf)"],
        &["calc", "swell(100.cy, 25)"],
        &["functions", "lap"],
        &["functions", "fluid_presure"],
        &["functions", "highest_rate"],
        &["keys", "datum_sweep"],
    ];
    let all: Vec<String> =
        runs.iter().map(|args| format!("> {}\n{}", args.join(" "), said(&folder, args))).collect();
    insta::assert_snapshot!(all.join("\n"));
}

/// Lines that are piped in are worked out one after another; what one defines the next may use; a faulty one is told.
#[test]
fn calculating_line_by_line() {
    use std::io::Write;
    let mut run = Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .arg("calc")
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("the program runs");
    let lines = "let h = 8.ft\nfluid_pressure(150.pcf, h)\nno_such(1)\n\nh / 2\n";
    run.stdin.take().expect("input").write_all(lines.as_bytes()).expect("written");
    let done = run.wait_with_output().expect("an end");
    assert_eq!(done.status.code(), Some(1));
    let out = text(&done.stdout);
    assert!(out.contains("1,200 psf") && out.contains("4 ft (4'-0\")"), "{out}");
    assert!(text(&done.stderr).contains("there is no function for this"));
}

/// At a terminal: a name completed, an expression, the line before it from the history, and the end.
#[cfg(unix)]
#[test]
fn calculating_at_a_prompt() {
    let command = format!("env TERM=xterm {} calc", env!("CARGO_BIN_EXE_rodbook"));
    let mut typed = rexpect::spawn(&command, Some(20_000)).expect("a terminal");
    let mut wait = |keys: &str, for_text: &str| {
        typed.send(keys).expect("typed");
        typed.flush().expect("sent");
        typed.exp_string(for_text).unwrap_or_else(|error| panic!("{for_text}: {error}"));
    };
    wait("", "calc: ");
    // A function's name, then a unit's after a dot.
    wait("fluid_pres\t(150.pcf, 96.inc\t", "fluid_pressure(150.pcf, 96.inch");
    wait(")\r", "1,200 psf");
    wait("\x1b[A\r", "1,200 psf");
    wait("no_such(1)\r", "there is no function for this");
    wait("2.ft + 3.ft\r", "5 ft (5'-0\")");
    // What is typed before the next prompt is lost.
    wait("", "calc: ");
    typed.send_control('d').expect("typed");
    assert!(typed.process().wait().is_ok());
}

/// Questions about the demo's numbers, and about a sheet alone.
#[test]
fn asking() {
    let folder = Folder::new();
    let job = demo();
    let demo = job.0.to_str().expect("a path");
    let form = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/handbook/wall_form.csv");
    let form = form.to_str().expect("a path");
    let variants = folder.write(
        "variants.csv",
        "variant,input,value\ndear pump,prices.pump,25 usd/cy\ndeep frost,rules.frost_depth,2.26 ft\n",
    );
    let variants = variants.to_str().expect("a path").to_owned();
    let faulty = folder.write(
        "faulty.csv",
        "variant,input,value\n,prices.pump,25 usd/cy\nb,prices.pumps,25 usd/cy\n",
    );
    let faulty = faulty.to_str().expect("a path").to_owned();
    let runs: [&[&str]; 19] = [
        &["why", demo, "price.footing_concrete", "--depth", "2"],
        &["why", demo, "dig.loose", "--depth", "0"],
        &["why", demo, "pour.highest"],
        &["why", demo, "price.totl"],
        &["what-if", demo, "--set", "prices.pump=20 usd/cy", "--set", "pour.rate=6 ft/h"],
        &["what-if", demo, "--variants", &variants],
        &["what-if", demo, "--variants", &faulty],
        &["what-if", demo, "--set", "price.totl=3"],
        &["what-if", demo],
        &["sensitivity", form, "wall_form.tie"],
        &["sensitivity", demo, "price.totl"],
        &["sensitivity", demo, "--by", "0"],
        &[
            "find",
            demo,
            "pour.pressure",
            "1000 psf",
            "--by",
            "pour.rate",
            "--from",
            "1",
            "--to",
            "15 ft/h",
        ],
        &[
            "find",
            form,
            "wall_form.pressure",
            "5000",
            "--by",
            "wall_form.rate",
            "--from",
            "1",
            "--to",
            "15",
        ],
        &[
            "find",
            form,
            "wall_form.pressure",
            "900",
            "--by",
            "wall_form.rate",
            "--from",
            "15",
            "--to",
            "1",
        ],
        &[
            "find",
            form,
            "wall_form.pressure",
            "900",
            "--by",
            "wall_form.rat",
            "--from",
            "1",
            "--to",
            "15",
        ],
        &[
            "find",
            form,
            "wall_form.pressure",
            "9 ft",
            "--by",
            "wall_form.rate",
            "--from",
            "1",
            "--to",
            "15",
        ],
        &["sheet", form, "--set", "wall_form.rate=8"],
        &["sheet", form, "--set", "wall_form.rate=8 lb"],
    ];
    let all: Vec<String> = runs
        .iter()
        .map(|args| {
            let shown = args.join(" ").replace(demo, "DEMO").replace(form, "FORM");
            format!("> {shown}\n{}", said(&folder, args))
                .replace(demo, "DEMO")
                .replace(form, "FORM")
        })
        .collect();
    let all = all.join("\n").replace(&folder.0.display().to_string(), "HERE");
    insta::assert_snapshot!(all);
}

/// A question that works the job through again and again opens each of its files once.
#[test]
fn questions_read_nothing_twice() {
    let folder = demo();
    let options = rodbook::job::OpenOptions::default();
    let subject =
        rodbook::job::Subject::of(&folder.0, options.clone(), rodbook::footing::System::Us, "usd");
    let first = subject.answer(&[]).unwrap_or_else(|faults| panic!("{faults}"));
    let read = options.reader.files();
    assert!(read.iter().any(|file| file.ends_with("job.toml")), "{read:?}");
    assert!(read.iter().any(|file| file.ends_with("shots.xlsx")), "{read:?}");
    // What is no longer there cannot be opened again.
    for file in &read {
        std::fs::write(file, "changed").expect("a file of the copy");
    }
    let again = subject.answer(&[]).unwrap_or_else(|faults| panic!("{faults}"));
    let total = |answer: &rodbook::job::Answer| {
        answer.calc.book.words(answer.calc.book.find("price.total").expect("a total"))
    };
    assert_eq!(total(&first), total(&again));
    let moved = rodbook::job::sensitivity(&subject, "price.total", 0.1);
    assert!(moved.unwrap_or_else(|faults| panic!("{faults}")).inputs.len() > 10);
    // FIPS 180-4, the digest of "abc" in its examples.
    assert_eq!(
        rodbook::files::sha256(b"abc"),
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
    let printed = options.reader.fingerprints();
    assert!(printed.iter().all(|(_, bytes, print)| *bytes > 7 && print.len() == 64), "{printed:?}");
}

/// A job of an older format: what keeps its numbers is shown, and written where it is asked for.
#[test]
fn an_older_job_is_renewed() {
    let folder = demo();
    let text = std::fs::read_to_string(folder.0.join("job.toml")).expect("the demo");
    let old: Vec<&str> = text
        .lines()
        .filter(|line| {
            !["format =", "dig = \"sec", "layback_from"].iter().any(|word| line.starts_with(word))
        })
        .collect();
    assert_eq!(old.len() + 3, text.lines().count());
    folder.write("job.toml", old.join("\n") + "\n");
    let dug = || {
        let done = crate::support::run(&folder.0);
        (done.quantity("dig.bank"), done.job.wall_job.allowances.dig)
    };
    let before = dug();
    assert_eq!(before.1, DigShape::Solid, "today's format digs a solid");
    let shown = said(&folder, &["renew", path(&folder)]);
    for word in [
        "+ format = 2",
        "+ dig = \"section\"",
        "+ layback_from = \"footing top\"",
        "nothing is written",
    ] {
        assert!(shown.contains(word), "{word}: {shown}");
    }
    assert_eq!(dug(), before, "nothing was written");
    let written = said(&folder, &["renew", path(&folder), "--write"]);
    assert!(written.contains("written   JOB/job.toml"), "{written}");
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    assert_eq!(dug(), (crate::support::run(&demo).quantity("dig.bank"), DigShape::Section));
    assert!(said(&folder, &["renew", path(&folder)]).contains("nothing is to be changed"));
    // A stated format is replaced where it stands; the ends of lines stay.
    let other = "[tables]\r\nfiles = [\"t.xlsx\"]\r\nformatted = 1\r\n[job]\r\nname = \"x\"\r\nformat = 1 # old\r\n";
    folder.write("job.toml", other);
    let shown = said(&folder, &["renew", path(&folder), "--write"]);
    assert!(
        shown.contains("job.toml:6  + format = 2") && shown.contains("stands in a workbook"),
        "{shown}"
    );
    let new = std::fs::read_to_string(folder.0.join("job.toml")).expect("written");
    assert_eq!(new, other.replace("format = 1", "format = 2"));
    folder.write("job.toml", "[job]\nname = \"x\"\n");
    said(&folder, &["renew", path(&folder), "--write"]);
    let new = std::fs::read_to_string(folder.0.join("job.toml")).expect("written");
    assert_eq!(
        new,
        "[job]\nformat = 2\nname = \"x\"\n[allowances]\ndig = \"section\"\nlayback_from = \"footing top\"\n"
    );
    // What it does not know is not touched.
    folder.write("job.toml", "[job]\nformat = 3\n");
    assert!(said(&folder, &["renew", path(&folder)]).contains("this job is of format 3"));
    folder.write("job.toml", "name = 1 =");
    let shown = said(&folder, &["renew", path(&folder)]);
    assert!(shown.starts_with("exit 1") && shown.contains("job.toml:1:1"), "{shown}");
}

/// The points to set out, by the specification's risers and steps in the subgrade, as a list that is read back.
#[test]
fn points_to_set_out() {
    let printed = program(&["stake", "examples/tarrow-bench"]);
    let text = String::from_utf8(printed.stdout).expect("text");
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("Point,Northing (ft),Easting (ft),Elevation (ft),Code,What"));
    let points: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    let expected = crate::support::read_json("expected.json");
    let risers = expected["risers"].as_array().expect("risers");
    assert_eq!(points.len(), 4 * risers.len() + 4);
    let found =
        |north: &str, east: &str, elevation: &str, code: &str, riser: &serde_json::Value| {
            let wanted =
                [north, east, elevation].map(|name| riser[name].as_f64().expect("a number"));
            points.iter().any(|point| {
                let near = |at: usize| {
                    (point[at].parse::<f64>().expect("a number") - wanted[at - 1]).abs() < 1e-4
                };
                point[4] == code && (1..=3).all(near)
            })
        };
    for riser in risers {
        assert!(found("N_ft", "E_ft", "tof_before_ft", "TOF", riser), "{riser}");
        assert!(found("N_ft", "E_ft", "tof_after_ft", "TOF", riser), "{riser}");
        assert!(found("cut_N_ft", "cut_E_ft", "bof_low_ft", "BOF", riser), "{riser}");
        assert!(found("cut_N_ft", "cut_E_ft", "bof_high_ft", "BOF", riser), "{riser}");
    }
    // What is not ours is kept.
    let folder = Folder::new();
    let list = folder.write("points.csv", "P,N,E\n");
    let path = list.to_str().expect("a path");
    let kept = program(&["stake", "examples/tarrow-bench", "--out", path]);
    assert!(!kept.status.success() && std::fs::read_to_string(&list).expect("it") == "P,N,E\n");
    assert!(
        program(&["stake", "examples/tarrow-bench", "--out", path, "--replace"]).status.success()
    );
    let read = program(&["shots", path]);
    let read = String::from_utf8(read.stdout).expect("text");
    assert!(read.contains("32 read, 0 not used"), "{read}");
}
