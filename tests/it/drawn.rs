//! The steps as the plan draws them, against the specification's own answers; a job with given levels.

use serde_json::{Value, json};

use crate::support::{Done, job_toml, read_json, read_text, run_job_toml};

fn number(value: &Value) -> f64 {
    value.get("value").unwrap_or(value).as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}

fn near(ours: f64, expected: &Value, what: &str) {
    let expected = expected.as_f64().unwrap_or_else(|| panic!("{what}: no number expected"));
    assert!((ours - expected).abs() < 1e-6, "{what}: expected {expected}, ours {ours}");
}

fn cost(done: &Done, what: &str) -> i64 {
    let rows = done.records("drawn_costs");
    let row = rows.iter().find(|row| row["what"] == what).unwrap_or_else(|| panic!("no {what}"));
    row["cost_nano"].as_str().and_then(|t| t.parse().ok()).expect("a whole number")
}

fn line(done: &Done, id: &str) -> f64 {
    let rows = done.records("drawn_lines");
    number(&rows.iter().find(|row| row["id"] == id).unwrap_or_else(|| panic!("no {id}"))["drawn"])
}

/// Sum of the drawn parts of a line whose name starts like this.
fn parts(done: &Done, id: &str, what: &str) -> f64 {
    let of = done.records("drawn_parts").iter().filter(|row| row["line"] == id);
    of.filter(|row| row["what"].as_str().expect("a text").starts_with(what))
        .map(|row| number(&row["amount"]))
        .sum()
}

/// The drawn layout of the specification as tables of a job.
fn drawn_toml(drawn: &Value) -> String {
    let mut text = String::new();
    for run in drawn["runs"].as_array().expect("runs") {
        text += &format!(
            "[[drawn.runs]]\nwall = {}\nfrom = \"{} ft\"\ntof = \"{} ft\"\ntype = {}\n",
            run["wall"], run["from_ft"], run["tof_ft"], run["type"]
        );
    }
    for overlap in drawn["overlaps"].as_array().expect("overlaps") {
        text += &format!(
            "[[drawn.overlaps]]\nwall = {}\nat = \"{} ft\"\noverlap = \"{} in\"\n",
            overlap["wall"], overlap["at_ft"], overlap["overlap_in"]
        );
    }
    text
}

pub(crate) fn demo_drawn(drawn: &Value) -> Done {
    let text: String = job_toml(&read_json("job.json")) + drawn_toml(drawn).as_str();
    run_job_toml(&text, &read_text("shots.csv"))
}

#[test]
fn the_drawn_layout_of_the_specification() {
    let expected = read_json("drawn_expected.json");
    let done = demo_drawn(&read_json("drawn.json"));
    assert_eq!(cost(&done, "as drawn, footing and stem"), expected["cells_cost_nano"]);
    assert_eq!(cost(&done, "as drawn, steps"), expected["risers_cost_nano"]);
    assert_eq!(cost(&done, "as drawn"), expected["cost_nano"]);
    assert_eq!(cost(&done, "least cost, proven"), expected["optimum_cost_nano"]);
    near(
        cost(&done, "as drawn over least cost") as f64 / 1e9,
        &expected["over_optimum_usd"],
        "over",
    );

    let steps = done.records("drawn_steps");
    let risers = expected["risers"].as_array().expect("risers");
    assert_eq!(steps.len(), risers.len());
    for (ours, riser) in steps.iter().zip(risers) {
        assert_eq!(ours["wall"], riser["wall"]);
        assert_eq!(ours["station_tape"], riser["station"]);
        assert_eq!(ours["cost_nano"], riser["cost_nano"].to_string());
        for (field, key) in [
            ("station", "station_ft"),
            ("chain", "chain_ft"),
            ("tof_before", "tof_before_ft"),
            ("tof_after", "tof_after_ft"),
            ("overlap", "overlap_in"),
            ("dirt_cut", "dirt_cut_ft"),
        ] {
            near(number(&ours[field]), &riser[key], key);
        }
    }
    let bottom = done.records("drawn_bottom");
    let profile = expected["bottom_profile"].as_array().expect("a profile");
    assert_eq!(bottom.len(), profile.len());
    for (ours, part) in bottom.iter().zip(profile) {
        for (field, key) in
            [("from", "from_ft"), ("to", "to_ft"), ("bof", "bof_ft"), ("width", "width_ft")]
        {
            near(number(&ours[field]), &part[key], key);
        }
    }
    let concrete = &expected["concrete"];
    for (id, key) in [
        ("footing.runs", "footing_runs_cy"),
        ("footing.overlaps", "overlaps_cy"),
        ("footing.corners", "corners_cy"),
        ("footing.keys", "keys_cy"),
        ("footing.total", "footing_cy"),
        ("stem.runs", "stem_runs_cy"),
        ("stem.corners", "stem_corners_cy"),
        ("stem.total", "stem_cy"),
    ] {
        near(line(&done, id), &concrete[key], key);
    }
    let contact = &expected["contact_area"];
    for (what, key) in [
        ("exposed face", "exposed_sf"),
        ("earth face", "earth_sf"),
        ("free end", "ends_sf"),
        ("tops differ", "top_difference_sf"),
        ("", "total_sf"),
    ] {
        near(parts(&done, "forms.contact", what), &contact[key], key);
    }
    let dig = &expected["excavation"];
    near(line(&done, "dig.section"), &dig["section_bank_cy"], "section");
    near(line(&done, "dig.keys"), &dig["keys_cy"], "keys");
    near(line(&done, "dig.bank"), &dig["bank_cy"], "bank");
    findings(&done, &expected);
}

/// Every fault and note, field by field: which of our columns holds which figure.
fn findings(done: &Done, expected: &Value) {
    let all = done.records("drawn_findings");
    let (faults, notes): (Vec<&Value>, Vec<&Value>) =
        all.iter().partition(|row| row["severity"] == "rule not met");
    for (ours, list) in [(faults, "faults"), (notes, "notes")] {
        let list = expected[list].as_array().expect("findings");
        assert_eq!(ours.len(), list.len(), "{ours:?}");
        for (ours, finding) in ours.into_iter().zip(list) {
            let mut compared = 0;
            for (key, value) in finding.as_object().expect("a finding") {
                compared += 1;
                let field = match key.as_str() {
                    "kind" | "wall" | "governs" => {
                        assert_eq!(&ours[key], value, "{finding}");
                        continue;
                    }
                    "drawn" => {
                        assert_eq!(&ours["drawn_type"], value, "{finding}");
                        continue;
                    }
                    "schedule" => {
                        assert_eq!(&ours["expected"], value, "{finding}");
                        continue;
                    }
                    "station_ft" => "station",
                    "chain_ft" | "chain_from_ft" => "chain",
                    "chain_to_ft" => "chain_to",
                    "worst_chain_ft" => "worst_chain",
                    "nearest_joint_ft" | "nearest_level_ft" | "corner_clear_ft" | "required_ft" => {
                        "expected"
                    }
                    "off_ft" | "short_ft" => "by",
                    "distance_ft" | "tof_ft" | "bof_ft" | "stem_height_ft" => "value",
                    "overlap_in" | "needed_in" => {
                        let field = if key == "overlap_in" { "value" } else { "expected" };
                        near(number(&ours[field]) * 12.0, value, key);
                        continue;
                    }
                    "throat_ft" => "throat",
                    "throat_needed_ft" => "throat_needed",
                    other => panic!("{other} is not compared"),
                };
                near(number(&ours[field]), value, &format!("{key} of {finding}"));
            }
            assert!(compared >= 4);
        }
    }
}

/// What the demo's finding kinds are after one change to the drawn layout.
fn kinds_after(change: impl Fn(&mut Value)) -> Vec<(String, String)> {
    let mut drawn = read_json("drawn.json");
    change(&mut drawn);
    let text = |row: &Value, field: &str| row[field].as_str().expect("a text").to_owned();
    demo_drawn(&drawn)
        .records("drawn_findings")
        .iter()
        .map(|row| (text(row, "kind"), text(row, "station_tape")))
        .collect()
}

/// One nanometre decides: 1e-9 m is 1/304800 of a thousandth of a foot, so settings speak millimetres here.
#[test]
fn one_least_unit_over_a_rule_is_told_and_equality_is_not() {
    let has = |list: &[(String, String)], kind: &str| list.iter().any(|(k, _)| k == kind);
    // The overlap at W1 40'-0" needs 15 in by its multiple; its throat is met at 14.6969 in and no less.
    let at = |inches: &str| {
        kinds_after(|drawn| {
            drawn["overlaps"][0]["overlap_in"] = inches.parse::<f64>().expect("a number").into()
        })
    };
    let root = 216.0_f64.sqrt();
    assert!(has(&at(&format!("{:.7}", root - 0.000_000_1)), "overlap"));
    assert!(!has(&at(&format!("{:.7}", root + 0.000_000_1)), "overlap"));
    // The riser at W3 5'-0": 6 ft of corner clearance is met exactly at 6 ft.
    let moved = |feet: f64| kinds_after(|drawn| drawn["runs"][5]["from_ft"] = feet.into());
    assert!(has(&moved(5.999_999_99), "near_corner"));
    assert!(!has(&moved(6.0), "near_corner"));
    // A level is met exactly or not at all.
    let level = |tof: f64| kinds_after(|drawn| drawn["runs"][6]["tof_ft"] = tof.into());
    assert!(!has(&level(200.0), "level"));
    assert!(has(&level(200.000_000_01), "level"));
    // The shortest run of 4 ft.
    let run = |feet: f64| {
        kinds_after(|drawn| {
            drawn["runs"][7]["from_ft"] = feet.into();
            drawn["overlaps"][1]["at_ft"] = feet.into();
        })
    };
    assert!(has(&run(19.999_999_99), "run_length"));
    assert!(!has(&run(20.0), "run_length"));
}

/// The stress job of the specification, its given levels drawn; what is expected of it beside.
fn given_levels() -> (String, Value) {
    let mut spec = read_json("stress/job.json");
    let expected = read_json("stress/expected.json");
    for (n, point) in
        spec["alignment"]["points"].as_array_mut().expect("points").iter_mut().enumerate()
    {
        point["pt"] = format!("P{n}").into();
    }
    for (n, wall) in spec["walls"].as_array_mut().expect("walls").iter_mut().enumerate() {
        wall["from"] = format!("P{n}").into();
        wall["to"] = format!("P{}", n + 1).into();
    }
    spec["job"] = json!({ "name": "given levels" });
    // Levels 2, 0, 1 with risers at chain 67 in and 345 in; types by the schedule.
    let mut text = job_toml(&spec);
    for (kind, stations) in [
        (
            "existing",
            "[[\"0 ft\", \"104 ft\"], [\"20 ft\", \"103 ft\"], [\"39 ft\", \"102.5 ft\"]]",
        ),
        ("bearing", "[[\"0 ft\", \"200 ft\"]]"),
        ("finished_low", "[[\"0 ft\", \"200 ft\"]]"),
    ] {
        text += &format!("[ground.{kind}]\nstations = {stations}\n");
    }
    for (wall, from, tof, kind) in [
        ("X1", 0, "101", "B"),
        ("X1", 67, "100", "B"),
        ("X1", 139, "100", "A"),
        ("X2", 90, "100.5", "A"),
    ] {
        text += &format!(
            "[[drawn.runs]]\nwall = \"{wall}\"\nfrom = \"{from} in\"\ntof = \"{tof} ft\"\ntype = \"{kind}\"\n"
        );
    }
    (text, expected)
}

#[test]
fn the_job_with_given_levels() {
    let (text, expected) = given_levels();
    let done = run_job_toml(&text, "");
    assert!(done.records("drawn_findings").is_empty(), "{:?}", done.records("drawn_findings"));
    let footing = &expected["concrete"]["footing"];
    for (id, key) in [
        ("footing.runs", "runs_cy"),
        ("footing.overlaps", "overlaps_cy"),
        ("footing.keys", "keys_cy"),
        ("footing.total", "total_cy"),
        ("footing.order", "order_cy"),
    ] {
        near(line(&done, id), &footing[key], key);
    }
    near(line(&done, "footing.corners"), &footing["corners_cy"][0], "footing corner");
    let stem = &expected["concrete"]["stem"];
    for (id, key) in
        [("stem.runs", "runs_cy"), ("stem.total", "total_cy"), ("stem.order", "order_cy")]
    {
        near(line(&done, id), &stem[key], key);
    }
    near(line(&done, "stem.corners"), &stem["corners_cy"][0], "stem corner");
    let contact = &expected["contact_area"];
    for (what, key) in [
        ("exposed face", "exposed_sf"),
        ("earth face", "earth_sf"),
        ("free end", "free_ends_sf"),
        ("tops differ", "top_differences_sf"),
        ("", "total_sf"),
    ] {
        near(parts(&done, "forms.contact", what), &contact[key], key);
    }
    let dig = &expected["excavation"];
    near(line(&done, "dig.section"), &dig["section_cy"], "section");
    near(line(&done, "dig.bank"), &dig["bank_cy"], "bank");
    near(line(&done, "drain.rock"), &dig["drain_rock_cy"], "drain rock");
    for (ours, grid) in
        done.records("panel_grid").iter().zip(expected["grid"].as_array().expect("grids"))
    {
        assert_eq!(ours["origin"], grid["origin"]);
        near(number(&ours["closure"]), &grid["closure_in"], "closure");
    }
}

/// A drawn footing as high as the wall has no stem, and takes nothing from the totals; a step in the subgrade round a corner
/// stands on the other wall; a chain that comes back to its start and footings that meet are cautioned.
#[test]
fn what_a_drawing_may_get_wrong() {
    let tall = {
        let mut drawn = read_json("drawn.json");
        drawn["runs"][7]["tof_ft"] = 209.into();
        demo_drawn(&drawn)
    };
    assert!(tall.records("drawn_parts").iter().all(|part| {
        let negative = number(&part["amount"]) < 0.0;
        !negative || part["what"].as_str().is_some_and(|what| what.contains("corner"))
    }));
    let kinds: Vec<&Value> =
        tall.records("drawn_findings").iter().map(|row| &row["kind"]).collect();
    assert!(kinds.contains(&&Value::from("stem")), "{kinds:?}");

    let mut drawn = read_json("drawn.json");
    drawn["runs"] = json!([
        { "wall": "W1", "from_ft": 0, "tof_ft": 201, "type": "S8" },
        { "wall": "W2", "from_ft": 0.5, "tof_ft": 200, "type": "S8" },
    ]);
    drawn["overlaps"] = json!([{ "wall": "W2", "at_ft": 0.5, "overlap_in": 12 }]);
    let done = demo_drawn(&drawn);
    let step = &done.records("drawn_steps")[0];
    assert_eq!((&step["wall"], &step["dirt_cut_wall"]), (&"W2".into(), &"W1".into()));
    // 50.5 ft of W1 less half a foot, along (0.8, 0.6) from (5000, 2000).
    near(number(&step["dirt_cut"]), &50.0.into(), "step in the subgrade");
    near(number(&step["cut_east"]), &5040.0.into(), "east");
    near(number(&step["cut_north"]), &2030.0.into(), "north");

    let spec = read_json("ring/job.json");
    let shots = read_text("ring/shots.csv");
    let about = |done: &Done| -> Vec<Value> {
        done.records("cautions").iter().map(|row| row["about"].clone()).collect()
    };
    let ring = crate::support::run_spec(&spec, &shots);
    assert!(!about(&ring).contains(&"open line of walls".into()));
    let mut open = spec.clone();
    open["alignment"]["closed"] = false.into();
    assert!(about(&crate::support::run_spec(&open, &shots)).contains(&"open line of walls".into()));
    // K8 is 4.5 ft wide with a toe of 1 ft: two of them reach 7 ft, the court's short side is 8 ft.
    assert!(!about(&ring).contains(&"footings that meet".into()));
    let mut wide = spec;
    for row in wide["types"].as_array_mut().expect("types") {
        row["footing_width_ft"] = 5.5.into();
    }
    assert!(about(&crate::support::run_spec(&wide, &shots)).contains(&"footings that meet".into()));
}

/// The plan's own steps have a price of their own: by hand from their lines and the prices of the job.
#[test]
fn the_drawn_steps_have_a_price() {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    let done = crate::support::run(&demo);
    let cell = |name: &str, field: &str| {
        let cells = done.records("drawn_cells");
        let cell = cells.iter().find(|cell| cell["cell"] == name).expect("the cell");
        cell[field]["value"].as_f64().expect("a number")
    };
    let line = |id: &str| {
        let lines = done.records("drawn_lines");
        let line = lines.iter().find(|line| line["id"] == id).expect("the line");
        line["drawn"]["value"].as_f64().expect("a number")
    };
    let price = |path: &str, per: &str| match &done.job.wall_job.settings[path].value {
        rodbook::takeoff::SettingValue::Measure(exact) => {
            exact.quantity().in_unit(&rodbook::measure::unit(per).expect("a unit")).expect("fits")
        }
        other => panic!("{other:?}"),
    };
    let cents = |x: f64| (x * 100.0).round() / 100.0;
    let steps = done.records("drawn_steps");
    let rise: f64 = steps
        .iter()
        .map(|step| {
            let z = |name: &str| step[name]["value"].as_f64().expect("a number");
            (z("tof_before") - z("tof_after")).abs()
        })
        .sum();
    let volume = |path: &str| price(path, "usd/cy");
    let area = |path: &str| price(path, "usd/sf");
    let parts = [
        cents(line("footing.order") * (volume("prices.footing_concrete") + volume("prices.pump"))),
        cents(line("stem.order") * (volume("prices.wall_concrete") + volume("prices.pump"))),
        cents(line("forms.contact") * area("prices.wall_forms")),
        cents(line("forms.contact") * area("prices.strip_and_clean")),
        cents(
            steps.len() as f64 * price("prices.riser_each", "usd")
                + rise * price("prices.rise", "usd/ft"),
        ),
        cents(line("bars.order") * price("prices.bars", "usd/lb")),
        cents(line("dig.bank") * volume("prices.dig")),
        cents(line("dig.loose") * volume("prices.haul")),
        cents(line("drain.rock") * volume("prices.drain_rock")),
    ];
    let direct = cents(parts.iter().sum());
    let overhead = cents(direct * price("bid.overhead", "percent") / 100.0);
    let profit = cents((direct + overhead) * price("bid.profit", "percent") / 100.0);
    let total = cents(direct + overhead + profit);
    assert!((cell("price.total", "drawn") - total).abs() < 0.005, "{total}");
    let least =
        done.work.calc.book.words(done.work.calc.book.find("price.total").expect("a total"));
    assert_eq!(least, "62,286.05 usd");
    let apart = cell("price.total", "difference");
    assert!((cell("price.total", "least_cost") + apart - total).abs() < 0.005, "{apart}");
    assert!(total != cell("price.total", "least_cost"));
}

/// Forms, bars, lumber and price of the same job, bid on the levels that are given.
#[test]
fn the_job_with_given_levels_is_bid_whole() {
    let (text, expected) = given_levels();
    let asked = "layout = \"least cost\"";
    assert!(text.contains(asked));
    let done = run_job_toml(&text.replace(asked, "layout = \"as drawn\""), "");
    let us = &crate::expected::US;
    let mut used = Vec::new();
    // Panels and fillers.
    let forms = crate::expected::forms(&done, us);
    for (height, count) in expected["panels_24in"].as_object().expect("panels") {
        let height = height.trim_end_matches(" ft");
        assert_eq!(&forms["panels_both_faces_by_height"][height], count, "{height} ft");
    }
    for key in ["fillers", "filler_totals", "ties"] {
        let count = crate::expected::compare(&expected[key], &forms[key], key, &mut used);
        assert!(count > 0, "{key}");
    }
    // Bars, in our order.
    let mut bars = expected["bars"].clone();
    let marks = bars["marks"].as_array_mut().expect("marks");
    marks.sort_by_key(|row| (row["mark"].to_string(), row["bar"].to_string()));
    let ours = crate::expected::bars(&done, us);
    assert_eq!(crate::expected::compare(&bars["marks"], &ours["marks"], "marks", &mut used), 60);
    bars["weight_lb"]["total"] = bars["total_lb"].clone();
    crate::expected::compare(&bars["weight_lb"], &ours["weight_lb"], "weight", &mut used);
    assert_eq!(bars["rows"], ours["horizontal_rows"]);
    // Lumber.
    let lumber = crate::expected::lumber(&done, us);
    for (theirs, key) in [
        ("boards_lf", "bulkhead_boards_ft"),
        ("bulkhead_stakes", "bulkhead_stakes"),
        ("kickers", "kickers"),
        ("cross_pieces", "cross_pieces"),
        ("cross_pieces_lf", "cross_pieces_ft"),
        ("template_stakes", "template_stakes"),
        ("long_piece_lf", "long_piece_ft"),
    ] {
        let count =
            crate::expected::compare(&expected["lumber"][theirs], &lumber[key], key, &mut used);
        assert_eq!(count, 1, "{key}");
    }
    // Price, line by line.
    let price = crate::expected::price(&done, us);
    let lines = expected["price"]["lines"].as_array().expect("lines");
    for (theirs, ours) in lines.iter().zip(price["lines"].as_array().expect("lines")) {
        assert_eq!(theirs[0], ours["line"]);
        near(ours["usd"].as_f64().expect("money"), &theirs[1], "a line");
    }
    for key in ["direct_usd", "overhead_usd", "profit_usd", "total_usd"] {
        near(price[key].as_f64().expect("money"), &expected["price"][key], key);
    }
}
