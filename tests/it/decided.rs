//! What one rule decides, at the point where it decides it: each was once wrong without a test that saw it.

use std::path::Path;
use std::process::Command;

use num_rational::BigRational;
use rodbook::earth::requirements;
use rodbook::footing::System;
use rodbook::measure::Nm;
use rodbook::script::Calculator;
use rodbook::survey::{Chain, GroundKind, NamedWall, Point, Screening, Shot, Side, Spot, screen};
use serde_json::json;

use crate::support::{
    Folder, fault_of, read_json, read_text, run, run_job_toml, run_spec, run_with,
};

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/tarrow-bench");

/// A height off its neighbours by the limit itself is used; by a nanometre more it is not.
#[test]
fn an_outlier_begins_beyond_the_limit() {
    let at = |feet: i64| Point { e: Nm::FOOT * feet, n: Nm::ZERO };
    let wall = NamedWall { id: "W".into(), start: at(0), end: at(40), length: None, chord: false };
    let chain = Chain::new(vec![wall], Side::Left, false).expect("a wall");
    let shot = |(index, z): (usize, Nm)| Shot {
        list: 0,
        line: index + 1,
        id: String::new(),
        code: "EG".into(),
        place: Spot::Plane(at(5 * index as i64)),
        z,
    };
    let rules = Screening {
        codes: vec![(GroundKind::Existing, "EG".into())],
        reach: Nm::FOOT * 6,
        outlier_codes: vec!["EG".into()],
        outlier_limit: Nm::INCH * 6,
        outlier_neighbours: 4,
        duplicate_xy: Nm(1),
        duplicate_z: Nm(1),
    };
    let level = Nm::FOOT * 100;
    for (off, used) in [(Nm::INCH * 6, 7), (Nm::INCH * 6 + Nm(1), 6), (Nm::INCH * -6, 7)] {
        let heights = [level, level, level, level + off, level, level, level];
        let shots: Vec<Shot> = heights.into_iter().enumerate().map(shot).collect();
        assert_eq!(screen(&shots, &chain, &rules).used.len(), used, "{off:?}");
    }
}

/// Source `subpart-p`: 4, 5 and 20 ft each begin at the limit itself.
#[test]
fn what_a_cut_requires_begins_at_its_limit() {
    let depth = |feet: i64, more: i64| BigRational::from_integer((feet * Nm::FOOT.0 + more).into());
    for (feet, count) in [(4, 1), (5, 2), (20, 3)] {
        for system in [System::Us, System::Metric] {
            assert_eq!(requirements(&depth(feet, 0), system).len(), count, "{feet} ft");
            assert_eq!(requirements(&depth(feet, -1), system).len(), count - 1, "under {feet} ft");
        }
    }
}

/// `1.1 x 1.1 / 0.11` is a little over 11 as doubles: without the rounding the spreadsheet would order a step more.
#[test]
fn the_order_in_the_workbook_rounds_before_it_goes_up() {
    use calamine::Reader;
    assert!(std::hint::black_box(1.1_f64) * 1.1 / 0.11 > 11.0);
    let folder = Folder::new();
    let out = folder.0.join("t.xlsx");
    let run = Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .args(["takeoff", DEMO, "--out", out.to_str().expect("UTF-8")])
        .output()
        .expect("the program runs");
    assert!(run.status.success());
    let mut book: calamine::Xlsx<_> = calamine::open_workbook(&out).expect("a workbook");
    let formulas = book.worksheet_formula("Quantities").expect("formulas");
    let orders: Vec<&String> =
        formulas.cells().map(|(_, _, text)| text).filter(|text| text.contains("CEILING")).collect();
    assert!(orders.len() >= 2, "{orders:?}");
    assert!(orders.iter().all(|text| text.contains("CEILING(ROUND(") && text.contains(",9),1)")));
}

/// A cell formatted as percent holds a hundredth of what is seen: it is read as seen. A bare fraction is asked about.
#[test]
fn a_cell_of_percent_is_read_as_seen() {
    let folder = Folder::new();
    let formats = |formats: [&str; 2]| {
        let mut book = rust_xlsxwriter::Workbook::new();
        let sheet = book.add_worksheet().set_name("bid").expect("a name");
        let values = [("overhead", 0.12), ("profit", 0.07)];
        for (row, ((key, value), format)) in (1..).zip(values.into_iter().zip(formats)) {
            let format = rust_xlsxwriter::Format::new().set_num_format(format);
            sheet.write(row, 0, key).expect("a cell");
            sheet.write_with_format(row, 1, value, &format).expect("a cell");
        }
        sheet.write(0, 0, "key").expect("a cell").write(0, 1, "value").expect("a cell");
        let waste = book.add_worksheet().set_name("waste").expect("a name");
        for (column, (heading, cell)) in
            (0..).zip([("Name", "extra"), ("What", "Extra waste"), ("Unit", "percent")])
        {
            waste
                .write(0, column, heading)
                .expect("a cell")
                .write(1, column, cell)
                .expect("a cell");
        }
        let tenths = rust_xlsxwriter::Format::new().set_num_format("0.0 %");
        waste.write(0, 3, "Formula").expect("a cell");
        waste.write_with_format(1, 3, 0.035, &tenths).expect("a cell");
        folder.write("inputs.xlsx", book.save_to_buffer().expect("a workbook"));
    };
    let text = std::fs::read_to_string(Path::new(DEMO).join("job.toml")).expect("settings");
    let (from, to) =
        (text.find("[bid]").expect("a bid"), text.find("[allowances]").expect("after it"));
    let sheet = "[[sheet]]\nname = \"waste\"\nfile = \"inputs.xlsx\"\nsheet = \"waste\"\n";
    let text =
        format!("{}[tables]\nfiles = [\"inputs.xlsx\"]\n{}{sheet}", &text[..from], &text[to..]);
    for name in ["shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(Path::new(DEMO).join(name)).expect("the demo"));
    }
    folder.write("job.toml", text);
    formats(["0%", "0%"]);
    let done = run(&folder.0);
    let value = |list: &str, name: &str| {
        let row = done.records(list).iter().find(|row| row["path"] == name || row["cell"] == name);
        row.expect("a row")["value"].to_string()
    };
    assert_eq!(value("inputs", "bid.overhead"), r#"{"value":0.12,"unit":""}"#);
    assert_eq!(value("inputs", "bid.profit"), r#"{"value":0.07,"unit":""}"#);
    assert_eq!(value("cells", "waste.extra"), r#"{"value":0.035,"unit":""}"#);
    formats(["0.00", r#"0.0" %""#]);
    let said = fault_of(&folder.0);
    for words in [
        "sheet \"bid\" cell B2",
        "0.12 in a key of percent, which may be 12 %",
        "sheet \"bid\" cell B3",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
}

/// Up to a million steps nine decimals count, above it fifteen digits.
#[test]
fn large_counts_of_steps_are_rounded_by_their_digits() {
    let mut calculator = Calculator::new(System::Us, "usd");
    for (text, steps) in [
        ("round_up(999999.000000002, 1)", 1_000_000.0),
        ("round_up(1000000.000000002, 1)", 1_000_000.0),
        ("round_up(1000000.00000002, 1)", 1_000_001.0),
        ("round_down(1999999.999999998, 1)", 2_000_000.0),
    ] {
        let value = calculator.value(text).unwrap_or_else(|_| panic!("{text}"));
        let value = value.as_float().or_else(|_| value.as_int().map(|whole| whole as f64));
        assert_eq!(value.expect("a number"), steps, "{text}");
    }
}

/// What is one length or area in two ways of writing it is one: digits that get lost on the way to nanometres do not count.
#[test]
fn lengths_and_areas_are_equal_however_written() {
    let mut calculator = Calculator::new(System::Us, "usd");
    for (text, wanted) in [
        ("1.1.yd == 3.3.ft", "true"),
        ("1.1.yd <= 3.3.ft", "true"),
        ("1.1.inch == q(\"1.1 in\")", "true"),
        ("49.6.sf + 136.3.sf > 185.9.sf", "false"),
        ("0.7.sf == q(\"0.7 sf\")", "true"),
        ("1.3.ft * 0.7.ft == 0.91.sf", "true"),
        ("(7.3.ft * 3) / 3 == 7.3.ft", "true"),
        ("value_for(q(\"1.1 in\"), [1.1.inch, 2.5.inch], [5, 7])", "5"),
        // A nanometre more is more.
        ("36.inch + 1.nm > 3.ft", "true"),
        ("36.inch == 3.ft", "true"),
    ] {
        let value = calculator.value(text).unwrap_or_else(|_| panic!("{text}"));
        assert_eq!(value.to_string().trim_end_matches(".0"), wanted, "{text}");
    }
}

#[test]
fn the_job_folder_comes_before_the_company_folder() {
    let folder = Folder::new();
    for name in ["job.toml", "shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder
            .write(&format!("job/{name}"), std::fs::read(Path::new(DEMO).join(name)).expect("it"));
    }
    let case = include_str!("../../scripts/stepped_wall.rhai");
    folder.write("company/scripts/stepped_wall.rhai", case);
    let by = |folder: &Folder| run_with(&folder.0.join("job"), &[]).work.case_by.expect("a file");
    assert!(by(&folder).ends_with("company/scripts/stepped_wall.rhai"));
    folder.write("job/scripts/stepped_wall.rhai", case);
    assert!(by(&folder).ends_with("job/scripts/stepped_wall.rhai"));
}

/// A drawn step whose upper footing is as much thicker as it is higher: its bottom does not rise, and there is no strip.
#[test]
fn a_step_whose_bottom_does_not_rise_has_no_strip() {
    let (low, high) = (200.0, 201.0);
    let job = format!(
        "[job]\nname = \"x\"\n[alignment]\nearth_side = \"left\"\n[[wall]]\nid = \"A\"\nlength = \"20 ft\"\nstem = \"12 in\"\ntops = [{{ from = \"0 ft\", top = \"206 ft\" }}]\n[module]\npanel = \"2 ft\"\nrise = \"1 ft\"\nlevel_0 = \"200 ft\"\nlowest_level = -4\nhighest_level = 4\n[rules]\nfrost_depth = \"1 ft\"\nshortest_run = \"4 ft\"\noverlap_step = \"1 in\"\n[layout_rates]\nfooting_concrete = \"200 usd/cy\"\nwall_concrete = \"200 usd/cy\"\nforms_one_face = \"10 usd/sf\"\ndig = \"20 usd/cy\"\nriser_each = \"100 usd\"\nrise_each_level = \"10 usd\"\n[[type]]\nid = \"S\"\nstem_up_to = \"10 ft\"\nwidth = \"4 ft\"\nthickness = \"12 in\"\ntoe = \"1 ft\"\n[[type]]\nid = \"T\"\nstem_up_to = \"12 ft\"\nwidth = \"6 ft\"\nthickness = \"24 in\"\ntoe = \"1 ft\"\n[ground.finished_low]\nstations = [[\"0 ft\", \"202 ft\"], [\"20 ft\", \"202 ft\"]]\n[ground.bearing]\nstations = [[\"0 ft\", \"201 ft\"], [\"20 ft\", \"201 ft\"]]\n[ground.existing]\nstations = [[\"0 ft\", \"205 ft\"], [\"20 ft\", \"205 ft\"]]\n[drawn]\n[[drawn.runs]]\nwall = \"A\"\nfrom = \"0 ft\"\ntof = \"{low} ft\"\ntype = \"S\"\n[[drawn.runs]]\nwall = \"A\"\nfrom = \"10 ft\"\ntof = \"{high} ft\"\ntype = \"T\"\n"
    );
    let done = run_job_toml(&job, "");
    let bottom = done.records("drawn_bottom");
    let widths: Vec<_> = bottom.iter().filter_map(|row| row["width"]["value"].as_f64()).collect();
    assert_eq!(widths, [4.0, 6.0], "{bottom:?}");
}

#[test]
fn an_input_that_leaves_no_result_keeps_its_row() {
    let run = Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .args(["sensitivity", DEMO, "--by", "60"])
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&run.stdout).into_owned();
    let row = said.lines().find(|line| line.contains("rules.frost_depth")).expect("a row");
    assert!(row.contains("no result"), "{row}");
    assert!(
        said.lines()
            .any(|line| line.contains("pour.rated") && line.contains("no result / no result"))
    );
}

/// Geometry 11.3: at a convex corner the lower of the two stems is counted twice, at a concave one the higher is missed.
#[test]
fn stems_of_two_heights_at_a_corner() {
    let mut spec = read_json("job.json");
    spec["walls"][1]["stem_thickness_in"] = json!(10);
    for (first, second) in [(207.0, 206.0), (207.5, 206.0), (208.0, 206.5)] {
        spec["walls"][1]["tops"][0]["top_ft"] = json!(first);
        spec["walls"][2]["tops"][0]["top_ft"] = json!(second);
        let done = run_spec(&spec, &read_text("shots.csv"));
        let layout = &done.work.takeoff.as_ref().expect("a layout").layout;
        let mut told_apart = 0;
        let mut sum = 0.0;
        for corner in layout.site.chain.corners() {
            let feet = |nm: Nm| nm.0 as f64 / Nm::FOOT.0 as f64;
            let end = layout.stems.iter().rev().find(|stem| stem.wall == corner.before);
            let start = layout.stems.iter().find(|stem| stem.wall == corner.after);
            let [a, b] = [end, start].map(|stem| feet(stem.expect("a stem").height()));
            let [t, u] =
                [corner.before, corner.after].map(|wall| feet(layout.site.walls[wall].stem));
            told_apart += usize::from(a != b);
            sum += match corner.kind.name() {
                "outside" => -t * u * a.min(b),
                _ => t * u * a.max(b),
            };
        }
        assert!(told_apart > 0, "the heights do not differ");
        let corners = done.quantity("stem.corners");
        assert!((corners - sum / 27.0).abs() < 1e-9, "{corners} for {}", sum / 27.0);
    }
}

/// The elevations that fit the word alone stand in a hidden column; those of the visible one are read. Invented lists.
#[test]
fn hidden_columns_of_old_workbooks_are_known() {
    for name in ["hidden.xls", "hidden.xlsb"] {
        let file = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
        let run = Command::new(env!("CARGO_BIN_EXE_rodbook")).args(["shots", &file]).output();
        let said = String::from_utf8_lossy(&run.expect("the program runs").stdout).into_owned();
        assert!(said.contains("\"elevation old\" (hidden)"), "{said}");
        assert!(said.contains("heights   101.125 to 102.500"), "{said}");
    }
}
