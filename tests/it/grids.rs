//! What a wall case asks of its job: its grid, and inputs of its own.

use std::path::Path;
use std::process::Command;

use crate::support::{Done, Folder, fault_of, run, run_with};

fn example(name: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)
}

/// A copy of an example with changes of its job.toml.
fn copy_of(name: &str, change: impl Fn(String) -> String) -> Folder {
    let folder = Folder::new();
    for entry in std::fs::read_dir(example(name)).expect("the example") {
        let path = entry.expect("an entry").path();
        let file = path.file_name().expect("a name").to_str().expect("UTF-8").to_owned();
        if path.is_file() && !file.starts_with("takeoff") {
            folder.write(&file, std::fs::read(&path).expect("the example"));
        }
    }
    let text = std::fs::read_to_string(folder.0.join("job.toml")).expect("the job");
    folder.write("job.toml", change(text));
    folder
}

/// Takes a table out of a job.toml, with all below it.
fn without(text: &str, table: &str) -> String {
    let start = text.find(&format!("[{table}]\n")).unwrap_or_else(|| panic!("no [{table}]"));
    let end = text[start + 1..].find("\n[").map_or(text.len(), |at| start + 1 + at + 1);
    format!("{}{}", &text[..start], &text[end..])
}

fn cost(done: &Done, code: &str) -> f64 {
    let rows = done.records("layout_costs");
    let row = rows.iter().find(|row| row["code"] == code).expect("the layout");
    row["cost"]["value"].as_f64().expect("a cost")
}

/// The demo on one level, without module, without rules and prices of steps.
fn on_one_level(rest: &str) -> Folder {
    copy_of("tarrow-bench", |text| {
        let text = without(&without(&text, "module"), "drawn");
        let text = without(&text, "datum_sweep");
        let text = text.replace("[job]\n", "[job]\ncase = \"one_level_wall\"\n");
        let dropped =
            ["shortest_run", "most_levels", "corner_clear", "overlap_step", "riser_each", "rise "];
        let kept = text.lines().filter(|line| !dropped.iter().any(|name| line.starts_with(name)));
        kept.collect::<Vec<_>>().join("\n") + "\n" + rest
    })
}

/// By whole feet, as the demo's module has them, it costs what the demo shows for its one level: worked out apart from the
/// program with the demo.
#[test]
fn a_case_on_one_level_needs_no_module() {
    let demo = run(&example("tarrow-bench"));
    let expected = cost(&demo, "one_level_cheapest");
    let done = run(&on_one_level("[one_level]\nstep = \"1 ft\"\n").0);
    // Each item of a cell is a whole 1e-9, and the demo has a cell for every panel.
    assert!((cost(&done, "least_cost") - expected).abs() < 1e-7);
    assert!((expected - 45_510.99).abs() < 0.005);
    assert!(done.records("steps").is_empty() && done.records("panel_joints").is_empty());
    assert_eq!(done.records("runs").len(), 1);
    // By inches it may be cheaper, and is the cheapest of all that are tried by hand.
    let fine = run(&on_one_level("").0);
    let least = cost(&fine, "least_cost");
    assert!(least <= expected);
    let tof = fine.records("runs")[0]["tof"]["value"].as_f64().expect("a top");
    let mut tried = 0;
    for inches in -30..=30 {
        let at = tof * 12.0 + f64::from(inches);
        let rest = format!("[one_level]\ntop_of_footing = \"{at} in\"\n");
        let other = run(&on_one_level(&rest).0);
        if other.work.takeoff.is_some() {
            tried += 1;
            assert!(cost(&other, "least_cost") >= least, "{inches}");
            assert!(inches != 0 || cost(&other, "least_cost") == least);
        }
    }
    // The highest stem of the schedule from below, frost and bearing from above leave few.
    assert!(tried > 1, "{tried}");
}

/// What steps has no place there, and nobody is told of a module.
#[test]
fn faults_on_one_level() {
    let too_high = fault_of(&on_one_level("[one_level]\ntop_of_footing = \"203 ft\"\n").0);
    assert!(!too_high.contains("module."), "{too_high}");
    let sweep = fault_of(&on_one_level("[datum_sweep]\nparts = 4\n").0);
    assert!(sweep.contains("no datum of levels can be moved"), "{sweep}");
    let drawn = "[drawn]\nruns = [
      { wall = \"W1\", from = \"0 ft\", tof = \"198 ft\", type = \"S10\" },
      { wall = \"W1\", from = \"20 ft\", tof = \"198.0833333 ft\", type = \"S10\" },\n]\n";
    // As drawn it has risers, which are worked through and need their prices.
    let folder = on_one_level(drawn);
    let unpriced = fault_of(&folder.0);
    assert!(
        unpriced.contains("gives no price of risers") && unpriced.contains("[drawn]"),
        "{unpriced}"
    );
    let done =
        run_with(&folder.0, &[("prices.riser_each", "185 usd"), ("prices.rise", "45 usd/ft")]);
    let findings = done.records("drawn_findings");
    assert!(findings.iter().any(|row| row["rule"] == "steps"), "{findings:?}");
    let unused = copy_of("tarrow-bench", |text| format!("{text}\n[one_level]\nstep = \"1 in\"\n"));
    assert_eq!(run(&unused.0).job.unused, ["one_level"]);
}

#[test]
fn a_case_asks_for_the_table_of_its_grid() {
    let missing = copy_of("tarrow-bench", |text| without(&text, "module"));
    assert!(fault_of(&missing.0).contains("module is missing"));
    let folder =
        copy_of("tarrow-bench", |text| text.replace("[job]\n", "[job]\ncase = \"blocks\"\n"));
    let case = include_str!("../../scripts/stepped_wall.rhai");
    folder.write("scripts/blocks.rhai", case.replace("\"panels\"", "\"courses\""));
    assert!(fault_of(&folder.0).contains("course_grid is missing"));
    folder.write("scripts/blocks.rhai", case.replace("\"panels\"", "\"corses\""));
    let said = fault_of(&folder.0);
    assert!(said.contains("blocks.rhai") && said.contains("panels, courses, one level"), "{said}");
}

/// Courses of the length of a panel and the height of a rise: on a straight wall without kits the same steps.
#[test]
fn courses_are_panels_without_kits() {
    let panels = run(&example("shore-profile"));
    let folder = copy_of("shore-profile", |text| {
        let text = text.replace("[job]\n", "[job]\ncase = \"blocks\"\n");
        text.replace("[module]", "[course_grid]")
            .replace("\npanel = ", "\nunit = ")
            .replace("\ncorner_leg = \"200 mm\"", "")
            .replacen("\nrise = \"", "\nheight = \"", 1)
    });
    let case = include_str!("../../scripts/stepped_wall.rhai");
    folder.write("scripts/blocks.rhai", case.replace("\"panels\"", "\"courses\""));
    let courses = run(&folder.0);
    assert!(panels.records("steps").len() > 2);
    assert_eq!(panels.records("steps"), courses.records("steps"));
    assert_eq!(cost(&panels, "least_cost"), cost(&courses, "least_cost"));
}

const INPUTS: &str = r#"
fn inputs() {
    [
        #{ name: "weeps", about: "weep holes", usual: 12, least: 1, most: 40 },
        #{ name: "sleeve", about: "length of a sleeve", unit: "in", usual: "14 in", most: "10 ft" },
        #{ name: "sleeve_price", about: "sleeves", unit: "usd/ft", usual: "3.20 usd/ft" },
        #{ name: "finish", about: "finish of the face", choices: ["plain", "rubbed"] },
        #{ name: "extra", about: "waste of sleeves", unit: "percent", usual: 10 },
    ]
}
"#;

/// The demo with a case that has inputs.
fn with_inputs(table: &str) -> Folder {
    let folder = copy_of("tarrow-bench", |text| format!("{text}\n{table}"));
    let case = include_str!("../../scripts/stepped_wall.rhai");
    let lines = "
    t.add(\"weeps\", \"Weep holes\", job[\"own.weeps\"]);
    t.formula(\"sleeves\", \"Sleeves\", \"ft\", \"takeoff.weeps * own.sleeve * (1 + own.extra)\");
    if job[\"own.finish\"] == \"rubbed\" { t.scale(\"rubbed\", \"Rubbed face\", \"forms.contact\", 0.5); }
    t\n}";
    folder.write(
        "scripts/stepped_wall.rhai",
        format!("{INPUTS}{}", case.replacen("    t\n}", lines, 1)),
    );
    let pour = std::fs::read_to_string(folder.0.join("pour.csv")).expect("the sheet");
    folder.write("pour.csv", pour + ",sleeves,usd,takeoff.sleeves * own.sleeve_price\n");
    folder
}

#[test]
fn inputs_of_a_case() {
    let folder = with_inputs("[own]\nfinish = \"rubbed\"\nweeps = 18\n");
    let done = run(&folder.0);
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
    close(done.quantity("weeps"), 18.0);
    close(done.quantity("sleeves"), 18.0 * 14.0 / 12.0 * 1.1);
    close(done.quantity("rubbed"), done.quantity("forms.contact") / 2.0);
    let input = |path: &str| {
        let rows = done.records("inputs");
        rows.iter().find(|row| row["path"] == path).unwrap_or_else(|| panic!("{path}"))
    };
    assert_eq!(input("own.weeps")["what"], "weep holes");
    assert_eq!(input("own.sleeve_price")["unit"], "usd/ft");
    assert_eq!(input("own.extra")["from"], "default");
    assert!(input("own.finish")["from"].as_str().expect("a place").contains("job.toml:"));
    let changed = run_with(&folder.0, &[("own.sleeve", "2 ft"), ("own.extra", "0")]);
    let sleeve = changed.records("inputs").iter().find(|row| row["path"] == "own.sleeve");
    assert_eq!(sleeve.expect("the input")["from"], "--set");
    close(changed.quantity("sleeves"), 36.0);
    // As every input: asked about by the commands.
    let said = |args: &[&str]| {
        let run = Command::new(env!("CARGO_BIN_EXE_rodbook"))
            .args(args)
            .arg(&folder.0)
            .output()
            .expect("the program runs");
        String::from_utf8_lossy(&[run.stdout, run.stderr].concat()).into_owned()
    };
    let keys = said(&["keys", "own", "--job"]);
    let words = |line: &str| {
        line.split("  ")
            .map(str::trim)
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let told = keys.lines().map(words).find(|row| row.first().is_some_and(|name| name == "weeps"));
    let told = told.unwrap_or_default();
    assert_eq!(told, ["weeps", "whole number, 1 to 40", "12", "weep holes"], "{keys}");
    let moved = rodbook::job::sensitivity(
        &rodbook::job::Subject::Job(folder.0.clone(), rodbook::job::OpenOptions::default()),
        "pour.sleeves",
        0.1,
    );
    let moved = moved.expect("an answer");
    let inputs: Vec<&str> = moved.inputs.iter().map(|one| one.input.as_str()).collect();
    assert!(inputs.contains(&"own.sleeve_price"), "{inputs:?}");
}

#[test]
fn faults_of_inputs_of_a_case() {
    for (table, words) in [
        ("", "own.finish is missing: finish of the face"),
        ("[own]\nfinish = \"ruled\"\n", "\"ruled\" is none of plain, rubbed"),
        ("[own]\nfinish = \"plain\"\nweep = 3\n", "did you mean weeps?"),
        ("[own]\nfinish = \"plain\"\nweeps = 80\n", "a whole number of 1 to 40"),
        (
            "[own]\nfinish = \"plain\"\nsleeve = \"11 ft\"\n",
            "is outside the range of 0 ft to 10 ft",
        ),
        ("[own]\nfinish = \"plain\"\nsleeve = \"3 sf\"\n", "job.toml"),
    ] {
        let said = fault_of(&with_inputs(table).0);
        assert!(said.contains(words), "{table}: {said}");
    }
    for (inputs, words) in [
        ("3", "fn inputs() gives no list"),
        ("[#{ name: \"a\" }]", "it has no about"),
        ("[#{ name: \"A b\", about: \"x\" }]", "is not a name of an input"),
        ("[#{ name: \"a\", abut: \"x\" }]", "did you mean about?"),
        ("[#{ name: \"a\", about: \"x\", unit: \"inn\", usual: 1 }]", "inn"),
        ("[#{ name: \"a\", about: \"x\", unit: \"in\", usual: \"3\" }]", "its usual value"),
        (
            "[#{ name: \"a\", about: \"x\", unit: \"usd\", least: \"3 usd\" }]",
            "least and most are for lengths and counts",
        ),
        (
            "[#{ name: \"a\", about: \"x\" }, #{ name: \"a\", about: \"y\" }]",
            "two inputs are called a",
        ),
        ("[#{ name: \"a\", about: \"x\", choices: 3 }]", "its choices are no list of words"),
        ("[#{ name: \"a\", about: \"x\", choices: [] }]", "nothing to choose from"),
        ("[#{ name: \"a\", about: \"x\", choices: [\"p\", \"p\"] }]", "twice among its choices"),
        ("[#{ name: \"new\", about: \"x\" }]", "the language keeps the word"),
        ("[#{ name: \"a\", about: \"x\", least: 5, most: 2 }]", "is more than its most"),
        ("[1]", "it is no #{ name"),
        ("1 / 0", "stepped_wall.rhai"),
    ] {
        let folder = copy_of("tarrow-bench", |text| text);
        let case = include_str!("../../scripts/stepped_wall.rhai");
        folder.write("scripts/stepped_wall.rhai", format!("fn inputs() {{ {inputs} }}\n{case}"));
        let said = fault_of(&folder.0);
        assert!(said.contains(words) && said.contains("stepped_wall.rhai"), "{inputs}: {said}");
    }
}
