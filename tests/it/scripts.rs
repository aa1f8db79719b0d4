//! Scripts: the catalogue's examples, the traps of the language, limits, and what a company may replace.

use std::path::Path;

use rodbook::catalogue::functions;
use rodbook::files::{FoundFile, LayerOrigin, Layers};
use rodbook::footing::System;
use rodbook::job::{Job, OpenOptions, Subject, compare, read_variants, scripted_variants, work};
use rodbook::measure::Style;
use rodbook::script::{Host, ScriptFault};

use crate::support::{Done, Folder, run};

fn script(text: &str) -> FoundFile {
    FoundFile { origin: LayerOrigin::Job, shown: "test.rhai".into(), text: text.into() }
}

fn host(folder: Option<&Path>) -> Host {
    Host::new(Layers::new(folder, None), &Style::default())
}

fn eval(text: &str) -> String {
    match host(None).run(&script(text), None) {
        Ok(printed) => printed.result,
        Err(fault) => words(fault),
    }
}

fn words(fault: ScriptFault) -> String {
    match fault {
        ScriptFault::Problems(problems) => problems.to_string(),
        ScriptFault::NoLayout(..) => "no layout".into(),
    }
}

fn demo() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench")
}

#[test]
fn the_examples_of_the_reference_run() {
    let done = run(&demo());
    for function in functions() {
        let printed = done.job.host.run(&script(function.example), crate::support::on(&done));
        let printed = printed.unwrap_or_else(|fault| panic!("{}: {}", function.name, words(fault)));
        assert_eq!(printed.result, function.prints, "{}", function.example);
    }
}

/// Published or defined values through the script layer, each with its source.
#[test]
fn published_values() {
    let rows = [
        // Concrete Construction, "Form pressure": 150 psf per foot of depth, 8 ft = 1200 psf.
        ("fluid_pressure(150.pcf, 1.ft).show(\"psf\")", "150 psf"),
        ("fluid_pressure(150.pcf, 8.ft).show(\"psf\")", "1200 psf"),
        // Derived: half of 150 h h b for 1, 2 and 3 ft, 5 ft wide.
        ("fluid_thrust(150.pcf, 2.ft, 5.ft).show(\"lb\")", "1500 lb"),
        ("fluid_thrust(150.pcf, 3.ft, 5.ft).show(\"lb\")", "3375 lb"),
        // CRSI ETN-D-1-15, Grade 60, 3000 psi: #4 22, #5 28, #6 33 in, rounded up.
        (
            "round_up(development_length(\"#4\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\"), 1.inch).show(\"in\")",
            "22 in",
        ),
        (
            "round_up(development_length(\"#5\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\"), 1.inch).show(\"in\")",
            "28 in",
        ),
        (
            "round_up(development_length(\"#6\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\"), 1.inch).show(\"in\")",
            "33 in",
        ),
        // The same formula for #7 and #8, 20 in place of 25; and class B, 1.3 ld.
        (
            "development_length(\"#7\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\").show(\"in\", 2)",
            "47.93 in",
        ),
        (
            "class_b_lap(\"#8\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\").show(\"in\", 2)",
            "71.20 in",
        ),
        (
            "class_b_lap(\"#5\", 60.ksi, 4000.psi, \"other\", \"wide\", \"bare\").show(\"in\", 2)",
            "30.83 in",
        ),
        // 85 FR 62698 (5 October 2020) by way of the definition 1200/3937 m.
        ("(2000000.m * 1200 / 3937).show(\"ft\", 6)", "2000004.000008 ft"),
        // Derived: joints at 1'-8\" + 2' k.
        ("snap_near(9.7.ft, 2.ft, 20.inch).show(\"ft-in\")", "9'-8\""),
    ];
    for (expression, expected) in rows {
        assert_eq!(eval(expression), expected, "{expression}");
    }
}

#[test]
fn measures_behave() {
    let rows = [
        ("36.inch == 3.ft", "true"),
        ("7/8", "0.875"),
        ("(7/8).inch.show(\"in\")", "0.875 in"),
        ("27.cf == 1.cy", "true"),
        ("150.pcf * 4.ft == 600.psf", "true"),
        ("10.ft * 2.ft * 8.inch", "0.4938 cy"),
        ("q(`10'-5 1/2\"`).show(\"ft-in\")", "10'-5 1/2\""),
        ("q(\"42.25 usd/cy\") * 2.cy", "84.50 usd"),
        ("max(18.inch, 1.ft)", "1.5 ft (1'-6\")"),
        ("sum([1.ft, 6.inch])", "1.5 ft (1'-6\")"),
        ("3.ft / 1.ft", "3"),
        ("round_up(10.1.cy, 0.5.cy).show(\"cy\")", "10.5 cy"),
        ("(60.F - 50.F) == 10.F_change", "true"),
        ("-(2.ft)", "-2 ft (-2'-0\")"),
    ];
    for (text, expected) in rows {
        assert_eq!(eval(text), expected, "{text}");
    }
}

#[test]
fn faults_of_scripts() {
    let texts = [
        "let a = 3.ft;\nlet b = a + 5.lb;",
        "3.ft == 3",
        "3.ft < 2",
        "let a = 7; a /= 2; a",
        "1.0 / 0.0",
        "fluid_pressure(4.ft, 150.pcf)",
        "fluid_presure(150.pcf, 4.ft)",
        "swell(100.cy, 25)",
        "12ft",
        "let h = 12'6\";",
        "3.eur",
        "loop { }",
        "fn f(n) { f(n + 1) } f(0)",
        "let s = \"x\"; loop { s += s; }",
        "let a = []; a.pad(300000000, 1)",
        "sleep(1)",
        "timestamp()",
        "eval(\"1\")",
        "import \"../outside\" as m;",
        "import \"/etc/passwd\" as m;",
        "import \"nowhere\" as m;",
        "undefined_name + 1",
        "q(\"2.25\")",
        "10.ft.show(\"lb\")",
        "60.F + 60.F",
        "bar_diameter(\"#12\")",
    ];
    let all: Vec<String> = texts.iter().map(|text| format!("{text}\n{}", eval(text))).collect();
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn modules_stay_in_their_layers() {
    let folder = Folder::new();
    folder.write("scripts/rates.rhai", "fn twice(x) { x + x }");
    folder.write("scripts/circle.rhai", "import \"circle\" as c;");
    let host = host(Some(&folder.0));
    let run = |text: &str| {
        host.run(&script(text), None).map(|printed| printed.result).unwrap_or_else(words)
    };
    assert_eq!(run("import \"rates\" as r; r::twice(3.ft)"), "6 ft (6'-0\")");
    let circle = run("import \"circle\" as c;");
    assert!(circle.contains("import each other in a circle"), "{circle}");
}

fn copy_demo(folder: &Folder) {
    for name in ["job.toml", "shots.csv", "shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(demo().join(name)).expect("the demo"));
    }
}

#[test]
fn a_company_copy_replaces_the_case() {
    let folder = Folder::new();
    copy_demo(&folder);
    let bundled = rodbook::files::embedded("scripts/stepped_wall.rhai").expect("bundled");
    let changed = bundled.replace("    t\n}", "    t.add(\"curing.water\", \"Curing water\", takeoff_area(t) * 0.01.ft);\n    t\n}\n\nfn takeoff_area(t) { t[\"forms.contact\"] }");
    folder.write("company/scripts/stepped_wall.rhai", changed);
    let done = run(&folder.0);
    assert!(
        done.work
            .case_by
            .as_deref()
            .is_some_and(|by| by.ends_with("company/scripts/stepped_wall.rhai"))
    );
    assert!((done.quantity("curing.water") - 1855.333333 * 0.01 / 27.0).abs() < 1e-6);
    let line =
        done.records("lines").iter().find(|line| line["id"] == "curing.water").expect("the line");
    assert!(
        line["script"].as_str().is_some_and(|place| place.contains("stepped_wall.rhai:")),
        "{line}"
    );
}

#[test]
fn a_sheet_script_adds_its_sheet() {
    let done = run(&demo());
    assert_eq!(done.work.sheets.len(), 1);
    let sheet = &done.work.sheets[0];
    assert_eq!((sheet.title.as_str(), sheet.rows.len()), ("Per foot of wall", 4));
    let (value, unit) = sheet.rows[0][1].number(System::Us).expect("a number");
    assert!((value - 30.017361 / 116.5).abs() < 1e-6 && unit == "cy");
}

/// A unit and a total make it a calc sheet, as a formula does; a path by the name of several stretches is nobody's.
#[test]
fn what_a_script_says_of_its_sheet_is_not_lost() {
    let folder = Folder::new();
    copy_demo(&folder);
    folder.write(
        "per_foot.rhai",
        r#"fn sheet(job, takeoff) {
    let s = new_sheet("Lengths", ["Wall name", "Length"]);
    for wall in job.walls { s.row([wall.wall, wall.length]); }
    s.unit("Length", "in");
    s.total("Length", "sum");
    s
}"#,
    );
    let text = std::fs::read_to_string(folder.0.join("job.toml")).expect("the job");
    let done = run(&folder.0);
    let book = &done.work.calc.book;
    let total = book.find("lengths.total_length").map(|id| book.words(id));
    // 116.5 ft of walls, by the specification.
    assert_eq!(total.as_deref(), Some("1,398 in"));
    let two = format!("{text}{ZONE}{}", ZONE.replace("25 ft", "40 ft").replace("35 ft", "44 ft"));
    folder.write("job.toml", two);
    let settings = |path: &str| run(&folder.0).job.wall_job.setting_path(path);
    assert_eq!(settings("zone.access.to"), None);
    assert_eq!(settings("zone.1.to").as_deref(), Some("zone.1.to"));
    folder.write("job.toml", format!("{text}{ZONE}"));
    assert_eq!(settings("zone.access.to").as_deref(), Some("zone.0.to"));
}

const COMPANY_OVERLAP: &str =
    "//! Never under 18 in.\nfn overlap(step) {\n    max(18.inch, step.needed)\n}\n";

/// A rule as a script against the same rule as a setting, and against the built-in one.
#[test]
fn rules_of_the_company_inside_the_optimiser() {
    let with = |files: &[(&str, &str)], settings: &[(&str, &str)]| {
        let folder = Folder::new();
        copy_demo(&folder);
        for (name, text) in files {
            folder.write(name, *text);
        }
        crate::support::run_with(&folder.0, settings)
    };
    let plain = with(&[], &[]);
    let script = with(&[("company/scripts/overlap.rhai", COMPANY_OVERLAP)], &[]);
    let setting = with(&[], &[("rules.overlap_min", "18 in")]);
    assert_ne!(plain.cost_nano(), script.cost_nano());
    assert_eq!(script.cost_nano(), setting.cost_nano());
    assert_eq!(script.levels(), setting.levels());
    assert_eq!(script.records("own_rules")[0]["rule"], "overlap");
    let price = with(
        &[("riser_price.rhai", "fn riser_price(step) { 185.usd + 45.usd * (step.rise / 1.ft) }")],
        &[],
    );
    assert_eq!(price.cost_nano(), plain.cost_nano());
    let dear = with(&[("riser_price.rhai", "fn riser_price(step) { 100000.usd }")], &[]);
    let same = with(
        &[],
        &[("layout_rates.riser_each", "100000 usd"), ("layout_rates.rise_each_level", "0 usd")],
    );
    assert_eq!((dear.cost_nano(), dear.levels()), (same.cost_nano(), same.levels()));
    let kinds = "fn wall_type(stem) {\n    if stem.stem <= 4.ft { \"S4\" } else if stem.stem <= 6.ft { \"S6\" } else if stem.stem <= 8.ft { \"S8\" } else if stem.stem <= 10.ft { \"S10\" }\n}";
    let picked = with(&[("wall_type.rhai", kinds)], &[]);
    assert_eq!((picked.cost_nano(), picked.levels()), (plain.cost_nano(), plain.levels()));
    let tall = with(
        &[("wall_type.rhai", "fn wall_type(stem) { if stem.stem <= 10.ft { \"S10\" } }")],
        &[],
    );
    assert!(tall.cost_nano() > plain.cost_nano());
}

/// The demo with more settings and files.
fn demo_with(files: &[(&str, &str)], more: &str, settings: &[(&str, &str)]) -> Done {
    let folder = Folder::new();
    copy_demo(&folder);
    let job = std::fs::read_to_string(folder.0.join("job.toml")).expect("the job");
    folder.write("job.toml", job + more);
    for (name, text) in files {
        folder.write(name, *text);
    }
    crate::support::run_with(&folder.0, settings)
}

const ZONE: &str =
    "\n[[zone]]\nname = \"access\"\nwall = \"W1\"\nfrom = \"25 ft\"\nto = \"35 ft\"\n";

/// A riser that is too dear in a zone, or at its stations, is one that may not stand there.
#[test]
fn riser_prices_by_place() {
    let usual = "185.usd + 45.usd * (step.rise / 1.ft)";
    let price = |when: &str| {
        format!("fn riser_price(step) {{ if {when} {{ 9000.usd }} else {{ {usual} }} }}")
    };
    let no_step = "\n[[rules.no_step]]\nwall = \"W1\"\nfrom = \"25 ft\"\nto = \"35 ft\"\n";
    let forbidden = demo_with(&[], no_step, &[]);
    let steps = |done: &Done| -> Vec<String> {
        let steps = done.records("steps").iter();
        steps.map(|step| format!("{} {}", step["wall"], step["station"]["value"])).collect()
    };
    assert_ne!(steps(&demo_with(&[], "", &[])), steps(&forbidden));
    let bid = |done: &Done| done.work.calc.total().expect("a price").base();
    for when in [
        "\"access\" in step.zones",
        "step.wall == \"W1\" && step.station >= 25.ft && step.station <= 35.ft",
    ] {
        let dear = demo_with(&[("riser_price.rhai", &price(when))], ZONE, &[]);
        assert_eq!((dear.cost_nano(), steps(&dear)), (forbidden.cost_nano(), steps(&forbidden)));
        assert!((bid(&dear) - bid(&forbidden)).abs() < 0.005, "{when}");
    }
}

/// A heavier type in a zone is in every cell that touches it and in no other.
#[test]
fn wall_types_by_zone() {
    let kinds = "fn wall_type(stem) {\n    if stem.stem > 10.ft { return (); }\n    if \"access\" in stem.zones { return \"S10\"; }\n    if stem.stem <= 4.ft { \"S4\" } else if stem.stem <= 6.ft { \"S6\" } else if stem.stem <= 8.ft { \"S8\" } else { \"S10\" }\n}";
    let heavy = demo_with(&[("wall_type.rhai", kinds)], &ZONE.replace("W1", "W3"), &[]);
    assert!(heavy.cost_nano() > demo_with(&[], "", &[]).cost_nano());
    let of =
        |row: &serde_json::Value, column: &str| row[column]["value"].as_f64().expect("a number");
    let mut met = 0;
    for row in heavy.records("footing_pieces") {
        let (from, to) = (of(row, "from"), of(row, "to"));
        let stems = heavy.records("stem_pieces").iter();
        let mut stems = stems.filter(|stem| stem["wall"] == row["wall"]);
        let stem = stems.find(|stem| of(stem, "from") <= from && to <= of(stem, "to"));
        let height = of(stem.expect("the stem on it"), "height");
        let in_zone = row["wall"] == "W3" && from < 35.0 && to > 25.0;
        let over = [4.0, 6.0, 8.0].iter().filter(|up_to| height > **up_to).count();
        let wanted = if in_zone { "S10" } else { ["S4", "S6", "S8", "S10"][over] };
        met += usize::from(in_zone);
        assert_eq!(row["type"], wanted, "{row}");
    }
    assert!(met > 0);
}

/// A rule with a second input gets the settings.
#[test]
fn rules_get_the_settings() {
    let rule =
        "fn overlap(step, settings) { max(step.needed, settings[\"rules.overlap_step\"] * 18) }";
    let asked = demo_with(&[("overlap.rhai", rule)], "", &[]);
    let stated = demo_with(&[], "", &[("rules.overlap_min", "18 in")]);
    assert_eq!((asked.cost_nano(), asked.levels()), (stated.cost_nano(), stated.levels()));
}

/// A script wraps the bundled one of its name, names its constants and elements by id; a sheet script sees the price.
#[test]
fn scripts_reach_each_other_and_the_cells() {
    let case = "import \"bundled/stepped_wall\" as base;\nconst EXTRA = 2.inch;\nconst ALL = EXTRA * 3;\n\
         fn quantities(job, layout) {\n    let t = base::quantities(job, layout);\n    t.add(\"own.extra\", \"Extra\", ALL + EXTRA);\n    t.add(\"own.stem\", \"Stem\", job[\"wall.W2.stem\"]);\n    t\n}\n";
    let least = "fn sheet(job, takeoff, cells) {\n    if cells[\"price.total\"] < job[\"own.least\"] { throw \"the price is under our least\"; }\n}\n";
    let inputs = "fn inputs() { [#{ name: \"least\", about: \"least price\", unit: \"usd\" }] }\n";
    let folder = Folder::new();
    copy_demo(&folder);
    folder.write("scripts/stepped_wall.rhai", case);
    folder.write("scripts/least.rhai", least);
    folder.write("scripts/functions.rhai", inputs);
    let job = std::fs::read_to_string(folder.0.join("job.toml")).expect("the job");
    let scripts = job.lines().find(|line| line.starts_with("scripts = ")).expect("scripts");
    let job = job.replace(scripts, "scripts = [\"least\"]") + "\n[own]\nleast = \"50000 usd\"\n";
    folder.write("job.toml", &job);
    let done = run(&folder.0);
    assert!((done.quantity("own.extra") - 8.0 / 12.0).abs() < 1e-12);
    assert!((done.quantity("own.stem") - 1.0).abs() < 1e-12);
    assert!(done.work.sheets.is_empty());
    folder.write("job.toml", job.replace("50000 usd", "70000 usd"));
    let job = Job::open(&folder.0, &OpenOptions::default()).unwrap_or_else(|f| panic!("{f}"));
    let told = work(&job, &|_| {}).err().expect("the price is too low").to_string();
    assert!(
        told.contains("the price is under our least") && told.contains("least.rhai:2"),
        "{told}"
    );
}

/// A constant of a file is named by its functions, and hidden by whatever they call the same.
#[test]
fn constants_and_what_hides_them() {
    let host = host(None);
    let run = |text: &str| {
        host.run(&script(text), None).map(|printed| printed.result).unwrap_or_else(words)
    };
    let head = "const N = 7; const L = 18.inch; const LIST = [1, 2, 3]; const M = #{ a: 4 };\n";
    for (body, wanted) in [
        ("fn p() { N + 1 } p()", "8"),
        ("fn p() { L.show(\"ft-in\") } p()", "1'-6\""),
        ("fn p() { LIST.len() + LIST[2] + M.a + M[\"a\"] } p()", "14"),
        ("fn p(N) { N } p(1)", "1"),
        ("fn p() { let f = |x, N| x + N; f.call(1, 2) } p()", "3"),
        ("fn p() { let s = 0; for N in [100, 200] { s += N; } s } p()", "300"),
        ("fn p() { let s = 0; for (N, i) in [10, 20] { s += N; } s } p()", "30"),
        ("fn p(N) { `${N} of ${N + 1}` } p(1)", "1 of 2"),
        ("fn p() { [10, 20].map(|N| N * 2) } p()", "[20, 40]"),
        ("fn pp(N) { N } fn p() { let g = Fn(\"pp\"); g.call(2) } p()", "2"),
        ("fn p() { let N = 3; N } p()", "3"),
        ("fn p() { let a = N; let N = 1; a * 100 + N } p()", "701"),
        ("fn p() { [1, 2].map(|x| x + N) } p()", "[8, 9]"),
    ] {
        assert_eq!(run(&format!("{head}{body}")), wanted, "{body}");
    }
    let folder = Folder::new();
    folder.write("scripts/lib.rhai", "const N = 4;\nfn mine() { N }\nfn other(N) { N }\n");
    let host = Host::new(Layers::new(Some(&folder.0), None), &Style::default());
    let both =
        "const N = 9; import \"lib\" as l; fn p() { N } l::mine() * 100 + l::other(2) * 10 + p()";
    let printed = host.run(&script(both), None).map(|printed| printed.result).unwrap_or_else(words);
    assert_eq!(printed, "429");
}

/// A trace has each call with its place, its inputs and what it gives.
#[test]
fn a_trace_lists_the_calls() {
    let host = host(None);
    let run = |text: &str| {
        host.begin_trace();
        let _ = host.run(&script(text), None);
        host.end_trace()
    };
    let lines = run("let a = 2;\nfluid_pressure(150.pcf, 8.ft) * a");
    assert_eq!(lines, ["test.rhai:2:1  fluid_pressure(150 pcf, 8 ft (8'-0\")) = 1,200 psf"]);
    assert_eq!(
        run("fluid_pressure(150.pcf, -8.ft)"),
        ["test.rhai:1:1  fluid_pressure(150 pcf, -8 ft (-8'-0\")) = no result"]
    );
    let _ = host.run(&script("fluid_pressure(150.pcf, 8.ft)"), None);
    assert!(host.end_trace().is_empty(), "nothing is listed unasked");
    let many = run("for i in 0..10010 { fluid_pressure(150.pcf, 8.ft); }");
    assert!(many.len() == 10_001 && many[10_000].starts_with("further calls"));
}

/// Variants made by a loop are those of a table, and stand in the order of a number.
#[test]
fn variants_of_a_script() {
    let folder = Folder::new();
    copy_demo(&folder);
    let loops = "fn variants(job) {\n    let all = [];\n    for depth in [27.inch, job[\"rules.frost_depth\"] - 6.inch, 30.ft] {\n        all += #{ name: `frost ${depth.show(\"in\")}`, set: #{ \"rules.frost_depth\": depth, \"allowances.footing_waste\": 8 } };\n    }\n    all\n}\n";
    let file = folder.write("depths.rhai", loops);
    let table = folder.write(
        "depths.csv",
        "variant,input,value\nfrost 27 in,rules.frost_depth,27 in\nfrost 18 in,rules.frost_depth,18 in\nfrost 360 in,rules.frost_depth,30 ft\n",
    );
    let job = Subject::Job(folder.0.clone(), OpenOptions::default());
    let variants = scripted_variants(&file, &job).unwrap_or_else(|f| panic!("{f}"));
    let mut made = compare(&job, &variants).unwrap_or_else(|f| panic!("{f}"));
    let typed = read_variants(&table).unwrap_or_else(|f| panic!("{f}"));
    let typed = compare(&job, &typed).unwrap_or_else(|f| panic!("{f}"));
    assert_eq!((&made.names, &made.rows), (&typed.names, &typed.rows));
    made.sort_by("price.total").unwrap_or_else(|f| panic!("{f}"));
    assert_eq!(made.names, ["base", "frost 18 in", "frost 27 in", "frost 360 in"]);
    assert_eq!(made.no_layout, [false, false, false, true]);
    let price = made.rows.iter().find(|(_, name, ..)| name == "price.total").expect("the price");
    let prices: Vec<f64> = price.3.iter().flatten().copied().collect();
    assert!(prices.len() == 3 && prices[1] < prices[2], "{prices:?}");
    assert!(made.sort_by("price.totl").is_err_and(|f| f.to_string().contains("price.total")));
}

#[test]
fn faults_of_company_rules() {
    let cases = [
        ("a length where money belongs", "riser_price", "fn riser_price(step) { step.rise }"),
        ("money where a length belongs", "overlap", "fn overlap(step) { 18.usd }"),
        ("shorter than the throat", "overlap", "//! Short.\nfn overlap(step) { 6.inch }"),
        ("no multiple", "overlap", "fn overlap(step) { step.needed + 0.5.inch }"),
        ("another currency", "riser_price", "fn riser_price(step) { q(`100 eur`) }"),
        ("an unknown type", "wall_type", "fn wall_type(stem) { \"S7\" }"),
        ("a type that carries less", "wall_type", "fn wall_type(stem) { \"S4\" }"),
        ("a negative price", "riser_price", "fn riser_price(step) { -1.usd }"),
        ("a slip inside", "overlap", "fn overlap(step) {\n    step.rise + 3.lb\n}"),
        ("no such function", "overlap", "fn lap(step) { 1.ft }"),
        ("a loop", "overlap", "fn overlap(step) { loop { } }"),
    ];
    let mut all = String::new();
    for (what, name, text) in cases {
        let folder = Folder::new();
        copy_demo(&folder);
        folder.write(&format!("{name}.rhai"), text);
        let fault = crate::support::fault_of(&folder.0);
        all += &format!("# {what}\n{}\n", crate::support::without_folder(&fault, &folder.0, "JOB"));
    }
    insta::assert_snapshot!("faults_of_company_rules", all);
}

/// A count is a line, and a caution of a script stands wherever cautions stand.
#[test]
fn counts_and_cautions_of_a_case() {
    let own = "t.add(\"blocks\", \"Blocks\", 220); t.add(\"half\", \"Halves\", 7.0); t.sum(\"pieces\", \"Pieces\", [\"blocks\", \"half\"]);
        t.caution(\"blocks\", \"CAUTION: grout before the backfill\"); t.caution(\"half\", \"saw with water\");";
    let folder = with_lines(own, ",laid,each,takeoff.pieces * 2\n");
    let done = run(&folder.0);
    assert_eq!(done.quantity("pieces"), 227.0);
    let lines = done.records("lines");
    let blocks = lines.iter().find(|line| line["id"] == "blocks").expect("the line");
    assert_eq!(blocks["quantity"]["unit"], "each");
    let book = &done.work.calc.book;
    assert_eq!(book.words(book.find("pour.laid").expect("the cell")), "454 each");
    let cautions = done.records("cautions");
    let of = |place: &str| cautions.iter().find(|caution| caution["place"] == place);
    assert_eq!(of("Blocks").expect("a caution")["text"], "CAUTION: grout before the backfill");
    assert_eq!(of("Halves").expect("a caution")["text"], "saw with water");
    let said = std::process::Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .args(["check", folder.0.to_str().expect("UTF-8")])
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    assert!(said.contains("Blocks: CAUTION: grout") && said.contains("Halves: saw"), "{said}");
}

/// The demo with more lines in its wall case, and cells over them.
fn with_lines(lines: &str, cells: &str) -> Folder {
    let folder = Folder::new();
    for name in ["job.toml", "shots.csv", "shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(demo().join(name)).expect("the demo"));
    }
    let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("scripts/stepped_wall.rhai");
    let case = std::fs::read_to_string(case).expect("the case");
    let case = case.replacen("    t\n}", &format!("{lines}\n    t\n}}"), 1);
    folder.write("scripts/stepped_wall.rhai", case);
    let pour = std::fs::read_to_string(folder.0.join("pour.csv")).expect("the sheet");
    folder.write("pour.csv", pour + cells);
    folder
}

/// Lines as formulas: by hand from other lines, settings and steps; what follows from them; cells over them.
#[test]
fn lines_as_formulas() {
    let lines = "
    t.formula(\"grout\", \"Grout\", \"cy\", \"if allowances.order_step > 0.75.cy { takeoff.stem.total * 2 } else { takeoff.stem.total * 3 }\");
    t.increase(\"grout.more\", \"Grout and waste\", \"grout\", 10.percent);
    t.formula(\"face\", \"Faces of the steps in the subgrade\", \"sf\", \"sum(steps.dirt_step) * 2.ft + takeoff.grout.more / 27.ft\");
    t.order(\"grout.order\", \"To order\", \"grout.more\", 0.percent, 1.cy);";
    let cells = ",twice,cy,takeoff.grout.order * 2\n";
    let folder = with_lines(lines, cells);
    let done = run(&folder.0);
    let stem = done.quantity("stem.total");
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-9 * b.abs(), "{a} {b}");
    close(done.quantity("grout"), stem * 3.0);
    close(done.quantity("grout.more"), stem * 3.3);
    let rises: f64 = done
        .records("steps")
        .iter()
        .map(|step| step["dirt_step"]["value"].as_f64().expect("a number"))
        .sum();
    // Cubic yards over 27 ft are square feet.
    close(done.quantity("face"), rises * 2.0 + stem * 3.3);
    close(done.quantity("grout.order"), (stem * 3.3).ceil());
    let book = &done.work.calc.book;
    let cell = book.quantity(book.find("pour.twice").expect("the cell")).expect("a number");
    close(
        cell.in_unit(&rodbook::measure::unit("cy").expect("a unit")).expect("fits"),
        (stem * 3.3).ceil() * 2.0,
    );
    // The other branch, and the steps as drawn.
    let other = crate::support::run_with(&folder.0, &[("allowances.order_step", "1 cy")]);
    close(other.quantity("grout"), other.quantity("stem.total") * 2.0);
    let drawn = done.records("drawn_lines");
    let drawn = |id: &str| {
        let line = drawn.iter().find(|line| line["id"] == id).expect("the line");
        line["drawn"]["value"].as_f64().expect("a number")
    };
    close(drawn("grout.more"), drawn("stem.total") * 3.3);
}

/// Ids that a formula would read otherwise: with dashes, digits first, words of the language.
#[test]
fn lines_by_any_id() {
    let lines = "
    t.add(\"bolt\", \"Bolts\", 10); t.add(\"bolt-2\", \"Other bolts\", 7);
    t.add(\"bars.new\", \"Bars\", 4); t.add(\"2nd.row\", \"Second row\", 3);
    t.sum(\"all\", \"All\", [\"bolt\", \"bolt-2\", \"bars.new\", \"2nd.row\"]);
    t.scale(\"half\", \"Half\", \"bolt-2\", 0.5); t.scale(\"share\", \"Share\", \"bolt\", \"allowances.swell\");
    t.formula(\"more\", \"More\", \"each\", \"takeoff[\\\"bolt-2\\\"] * 3\");";
    let done = run(&with_lines(lines, ",laid,each,\"takeoff[\"\"bars.new\"\"] * 2\"\n").0);
    for (id, value) in [("all", 24.0), ("half", 3.5), ("more", 21.0), ("share", 2.5)] {
        assert_eq!(done.quantity(id), value, "{id}");
        let book = &done.work.calc.book;
        let cell = book.quantity(book.find(&format!("takeoff.{id}")).expect("its cell"));
        assert_eq!(cell.expect("a number").base(), value, "{id}");
    }
    let book = &done.work.calc.book;
    assert_eq!(book.words(book.find("pour.laid").expect("the cell")), "8 each");
    assert!(book.nodes().iter().any(|node| node.text == "takeoff.bolt * allowances.swell"));
    for id in ["a..b", ".", "-", "a.-", ""] {
        let said =
            crate::support::fault_of(&with_lines(&format!("t.add(\"{id}\", \"A\", 1.cy);"), "").0);
        assert!(said.contains("is not an id for a line"), "{id}: {said}");
    }
    let said = crate::support::fault_of(&with_lines("t.add(\"a\", \"A\", q(\"50 F\"));", "").0);
    assert!(said.contains("has a zero of its own"), "{said}");
    // Prices and inputs are rows to go through, and columns of formulas.
    let listed = "let dear = 0; for one in job.prices { if one.unit == \"usd/cy\" { dear += 1; } } t.add(\"dear\", \"By volume\", dear);
        let set = job.inputs.filter(|one| one.from != \"default\").len(); t.add(\"set\", \"Set\", set);";
    let done = run(&with_lines(listed, "").0);
    assert_eq!(done.quantity("dear"), 6.0);
    assert!(done.quantity("set") > 20.0);
    // What a script prints of its lines is what they are.
    let folder = with_lines(lines, "");
    let said = std::process::Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .arg("run")
        .args([folder.0.join("scripts/stepped_wall.rhai"), folder.0.clone()])
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    assert!(said.contains("More ") && said.contains("21"), "{said}");
}

#[test]
fn faults_of_formula_lines() {
    for (lines, words) in [
        (
            "t.formula(\"a\", \"A\", \"cy\", \"takeoff.stem.totl * 2\");",
            ["stepped_wall.rhai:", "nothing is called \"takeoff.stem.totl\"", "takeoff.stem.total"],
        ),
        (
            "t.formula(\"a\", \"A\", \"cy\", \"takeoff.forms.contact\");",
            ["stepped_wall.rhai:", "which cannot be shown in cy", ""],
        ),
        (
            "t.formula(\"a\", \"A\", \"cy\", \"takeoff.b\"); t.formula(\"b\", \"B\", \"cy\", \"takeoff.a\");",
            ["these cells rest on each other", "takeoff.a -> takeoff.b", "stepped_wall.rhai:"],
        ),
        (
            "t.formula(\"a\", \"A\", \"cy\", \"takeoff.b\"); t.order(\"b\", \"B\", \"a\", 0, 1.cy);",
            ["these cells rest on each other", "takeoff.a -> takeoff.b", "stepped_wall.rhai:"],
        ),
        (
            "t.formula(\"a\", \"A\", \"cy\", \"sum(lines.quantity)\");",
            ["cannot rest on lines.quantity", "name the lines themselves", ""],
        ),
        (
            "t.formula(\"a\", \"A\", \"cy\", \"1.cy\"); let x = t[\"a\"];",
            ["line a rests on a formula", "once the script has ended", ""],
        ),
        (
            "t.formula(\"a\", \"A\", \"percent\", \"8.percent\");",
            ["a share is not an amount", "a cell of a calc sheet may be one", ""],
        ),
        ("t.formula(\"a\", \"A\", \"cyd\", \"1.cy\");", ["cyd", "stepped_wall.rhai:", ""]),
        (
            "t.formula(\"a\", \"A\", \"cy\", \"1.cy / (takeoff.stem.total - takeoff.stem.total) * 1.cy\");",
            ["division by zero", "", ""],
        ),
    ] {
        let said = crate::support::fault_of(&with_lines(lines, "").0);
        for word in words {
            assert!(said.contains(word), "{lines}\n{word}: {said}");
        }
    }
}

/// Tests that an estimator writes in his script: met, not met with both values and the line, and those that need a job.
#[test]
fn tests_of_a_script() {
    use rodbook::files::{FoundFile, LayerOrigin};
    let text = "fn area(l) { l * 2.ft }\n\
        fn test_area() { expect(area(3.ft), 6.sf); }\n\
        fn test_area_wrong() { expect(area(3.ft), 7.sf); }\n\
        fn test_far() { expect(area(3.ft), 6.5.sf, 0.1.sf); }\n\
        fn test_flag() { area(1.ft) > 1.sf }\n\
        fn test_job(job) { expect(job.has(\"bars\"), true); }\n\
        fn test_near() { expect(area(3.ft), 6.05.sf, 0.1.sf); }\n\
        fn test_no() { area(1.ft) < 1.sf }\n\
        fn test_takeoff(job, takeoff) { expect(takeoff[\"footing.total\"], 30.0174.cy, 0.00005.cy) }\n\
        fn test_text() { expect(\"a\", \"b\") }\n\
        fn test_unit() { expect(area(3.ft), 6.ft) }\n";
    let script =
        FoundFile { origin: LayerOrigin::Job, shown: "own.rhai".into(), text: text.into() };
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    let done = crate::support::run(&demo);
    let takeoff = done.work.takeoff.as_ref().expect("a takeoff");
    let on_job = done.job.host.tests(&script, Some((&done.job.wall_job, takeoff)));
    let on_job = on_job.expect("tests");
    let met: Vec<&str> =
        on_job.iter().filter(|test| test.faults.is_none()).map(|test| test.name.as_str()).collect();
    assert_eq!(met, ["test_area", "test_flag", "test_job", "test_near", "test_takeoff"]);
    let alone = done.job.host.tests(&script, None).expect("tests");
    let told: Vec<String> =
        alone.iter().filter_map(|test| test.faults.as_ref()).map(ToString::to_string).collect();
    insta::assert_snapshot!(told.join("\n"));
    let none = FoundFile { text: "fn area() { 1 }".into(), ..script };
    let fault = done.job.host.tests(&none, None);
    assert!(fault.is_err(), "{fault:?}");
}

/// The joints of a wanted step against the riser as the optimiser knows it, joint by joint and level by level.
#[test]
fn a_wanted_step_on_the_grid() {
    use rodbook::footing::{WantedStep, step_near};
    use rodbook::measure::{Length, Nm};
    let done = crate::support::run(&demo());
    let site = &done.job.wall_job.site;
    let (mut allowed, mut refused, mut too_high) = (0, 0, 0);
    for (wall, grid) in site.grid.walls.iter().enumerate() {
        let start = site.chain.walls()[wall].station;
        for at in &grid.joints {
            let cell = site.grid.cells.iter().position(|cell| cell.from == start + *at);
            for before in site.module.levels() {
                for after in site.module.levels().filter(|after| *after != before) {
                    let tof = |level| site.module.top_of_footing(level);
                    let (tof_before, tof_after) = (tof(before), tof(after));
                    let wanted = WantedStep { wall, at: *at, tof_before, tof_after };
                    let near = step_near(site, wanted).unwrap_or_else(|p| panic!("{p}"));
                    let inner = *at > Nm::ZERO && *at < site.chain.walls()[wall].length;
                    let riser =
                        cell.filter(|_| inner).and_then(|cell| site.riser(cell, before, after));
                    match riser {
                        // Where the ground forbids it, that is said: the riser alone does not look at it.
                        Some(_) if near.before != Some(Length::exact(*at)) => {
                            assert!(
                                near.why.contains("too high for frost or bearing"),
                                "{}",
                                near.why
                            );
                            too_high += 1;
                        }
                        Some(riser) => {
                            assert_eq!(near.before_overlap, Some(Length::exact(riser.overlap)));
                            allowed += 1;
                        }
                        None => {
                            assert_ne!(near.before, Some(Length::exact(*at)));
                            assert!(!near.why.is_empty());
                            refused += 1;
                        }
                    }
                }
            }
        }
    }
    assert!(allowed > 20 && refused > 50 && too_high > 20, "{allowed} {refused} {too_high}");
}

/// Between the wanted station and a joint the bottom of the level that moves must be deep enough: held against the steps as drawn.
#[test]
fn a_wanted_step_and_the_ground() {
    use rodbook::footing::{Drawn, DrawnRun, Finding, WantedStep, as_drawn, step_near, type_for};
    use rodbook::measure::Nm;
    let done = crate::support::run(&demo());
    let site = &done.job.wall_job.site;
    let line = &site.chain.walls()[0];
    let (mut met, mut too_high) = (0, 0);
    for feet in (8..44).step_by(3) {
        for (before, after) in [(0, 1), (1, 2), (2, 1), (1, 0), (3, 2), (2, 3)] {
            let (at, tof) = (Nm::FOOT * feet, |level| site.module.top_of_footing(level));
            let wanted = WantedStep { wall: 0, at, tof_before: tof(before), tof_after: tof(after) };
            let near = step_near(site, wanted).unwrap_or_else(|p| panic!("{p}"));
            for joint in site.grid.walls[0]
                .joints
                .iter()
                .filter(|joint| **joint > Nm::ZERO && **joint < line.length)
            {
                let top = site.walls[0].tops[0].top;
                let kind = |level| type_for(&site.types, top - tof(level));
                let (Some(low), Some(high)) = (kind(before), kind(after)) else { continue };
                let run = |from, level, kind| DrawnRun { from, tof: tof(level), kind };
                let drawn = Drawn {
                    runs: vec![run(Nm::ZERO, before, low), run(*joint, after, high)],
                    overlaps: Vec::new(),
                };
                // Too near the end of the wall for its overlap.
                let Ok(drawn) = as_drawn(site, &drawn) else { continue };
                // The level before the joint and the one after it, over the shortest run and up to the wanted station; under the
                // overlap the bottom is the lower one's.
                let (overlap, run) = (drawn.layout.steps[0].overlap, site.rules.shortest_run);
                let up = after > before;
                let stretches = [
                    (
                        (*joint - run).min(at).max(Nm::ZERO),
                        if up { *joint } else { *joint - overlap },
                    ),
                    (
                        if up { *joint + overlap } else { *joint },
                        (*joint + run).max(at).min(line.length),
                    ),
                ];
                let inside = |finding: &Finding| match finding {
                    Finding::TooHigh(high) => {
                        use num_traits::ToPrimitive;
                        let (low, end) = (
                            high.from.to_f64().expect("a number"),
                            high.to.to_f64().expect("a number"),
                        );
                        stretches.iter().any(|(from, to)| {
                            from < to && low < to.0 as f64 - 1.0 && end > from.0 as f64 + 1.0
                        })
                    }
                    _ => false,
                };
                let bad = drawn.faults.iter().any(|found| inside(&found.finding));
                let is = |side: Option<rodbook::measure::Length>| {
                    side == Some(rodbook::measure::Length::exact(*joint))
                };
                if is(near.before) || is(near.after) {
                    assert!(!bad, "{feet} {before} {after} {}", joint.0);
                    met += 1;
                }
                let said = format!("{}: from ", site.system.tape(*joint, 16));
                if near.why.split("; ").any(|why| why.starts_with(&said)) {
                    assert!(bad, "{feet} {before} {after} {said}");
                    too_high += 1;
                }
            }
        }
    }
    assert!(met > 20 && too_high > 20, "{met} {too_high}");
}

#[test]
fn the_ground_at_a_station() {
    let said = |at: &str| {
        let folder = Folder::new();
        let file = folder.write("ask.rhai", format!("ground_at({at})"));
        let done = crate::support::run(&demo());
        let on = crate::support::on(&done);
        let found = script(&std::fs::read_to_string(file).expect("it"));
        match host(None).run(&found, on) {
            Ok(value) => value.result,
            Err(fault) => words(fault),
        }
    };
    // Between two supports of the line, by hand: listing ground_lines has them.
    assert!(
        said("job, \"bearing\", \"W1\", 10.ft").starts_with("201.06"),
        "{}",
        said("job, \"bearing\", \"W1\", 10.ft")
    );
    assert!(said("job, \"bearings\", \"W1\", 10.ft").contains("finished_low"));
    assert!(said("job, \"bearing\", \"W11\", 10.ft").contains("did you mean W1?"));
    assert!(said("job, \"bearing\", \"W1\", 1000.ft").contains("is outside wall W1, which is"));
}

const RISER_COSTS: &str = r#"fn sheet(job, takeoff) {
    let s = new_sheet("Riser costs", ["Step", "Rise", "Overlap", "Cost"]);
    s.unit("Overlap", "in");
    s.formula("Cost", "usd", "to_cent(prices.riser_each + rise * prices.rise)");
    s.total("Cost", "sum");
    s.bars(["Cost"]);
    for step in takeoff.steps {
        s.row([`${step.wall} ${step.station.show("ft", 2)}`, (step.tof_after - step.tof_before).abs(), step.overlap]);
    }
    s
}"#;

/// The steps as drawn beside the least-cost ones, and the rules that they do not meet.
#[test]
fn a_script_goes_through_the_steps_as_drawn() {
    let text = r#"fn sheet(job, takeoff) {
    let s = new_sheet("As the plan has them", ["Step", "Station"]);
    for step in takeoff.drawn_steps { s.row(["drawn", step.station]); }
    for finding in takeoff.drawn_findings { s.row([finding.rule, 0.ft]); }
    s
}"#;
    let settings = [("workbook.scripts", "as_drawn_here")];
    let done = demo_with(&[("as_drawn_here.rhai", text)], "\n", &settings);
    let rows = &done.work.sheets[0].rows;
    let wanted = done.records("drawn_steps").len() + done.records("drawn_findings").len();
    assert_eq!(rows.len(), wanted);
    assert!(wanted > 3);
}

#[test]
fn formulas_in_the_sheet_of_a_script() {
    let with = |text: &str, settings: &[(&str, &str)]| {
        demo_with(
            &[("riser_costs.rhai", text)],
            "\n",
            &[&[("workbook.scripts", "riser_costs")], settings].concat(),
        )
    };
    let total = |done: &Done| {
        let book = &done.work.calc.book;
        book.quantity(book.find("riser_costs.total_cost").expect("the cell"))
            .expect("a value")
            .base()
    };
    let done = with(RISER_COSTS, &[]);
    let steps = done.records("steps").len() as f64;
    // Each riser of the demo is one level, 1 ft, high.
    assert!((total(&done) - steps * (185.0 + 45.0)).abs() < 0.005);
    let dear = with(RISER_COSTS, &[("prices.riser_each", "200 usd")]);
    assert!((total(&dear) - steps * (200.0 + 45.0)).abs() < 0.005);
    assert!(done.work.sheets.is_empty(), "it is a calc sheet");
    // Questions know it: what its total rests on, and what follows from another price.
    let folder = Folder::new();
    copy_demo(&folder);
    folder.write("riser_costs.rhai", RISER_COSTS);
    let asked = crate::support::run_with(&folder.0, &[("workbook.scripts", "riser_costs")]);
    let worked = rodbook::job::worked(&asked.job).unwrap_or_else(|f| panic!("{f}"));
    let cell = worked.calc.book.find("riser_costs.total_cost").expect("the cell");
    assert_eq!(worked.calc.book.rests_on(cell).len(), done.records("steps").len());
    let bytes = rodbook::job::workbook(&done.job, &done.work).unwrap_or_else(|f| panic!("{f}"));
    assert!(bytes.len() > 1000);
    let told = |text: &str| {
        let folder = Folder::new();
        copy_demo(&folder);
        let job = std::fs::read_to_string(folder.0.join("job.toml")).expect("the job");
        let scripts = job.replace("scripts = [\"per_foot.rhai\"]", "scripts = [\"riser_costs\"]");
        assert_ne!(scripts, job);
        folder.write("job.toml", scripts);
        folder.write("riser_costs.rhai", text);
        crate::support::without_folder(&crate::support::fault_of(&folder.0), &folder.0, "JOB")
    };
    let faulty = [
        RISER_COSTS.replace("rise * prices.rise", "rise * prices.dig"),
        RISER_COSTS.replace("rise * prices.rise", "rice * prices.rise"),
        RISER_COSTS.replace("\"Overlap\", \"in\"", "\"Overlaps\", \"in\""),
        RISER_COSTS.replace("[\"Cost\"]", "[\"Cost\", \"Cost\", \"Cost\", \"Cost\", \"Cost\"]"),
    ];
    let mut all: Vec<String> = faulty.iter().map(|text| told(text)).collect();
    // What a script gives is held against the unit of its column.
    all.push(told(&RISER_COSTS.replace("step.overlap]", "5.cy]")));
    all.push(told(&RISER_COSTS.replace("step.overlap]", "step.overlap, 3.ft]")));
    insta::assert_snapshot!(all.join("----\n"));
}
