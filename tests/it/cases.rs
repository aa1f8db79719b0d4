//! Worked instances, and cases that one rule decides.

use serde_json::{Value, json};

use crate::support::{Done, read_json, read_text, run_spec, set};

/// An instance as a job: one wall along E from 0, frost 0, bearing far above, finished grade = required line.
fn instance_job(input: &Value, prices: &Value) -> Value {
    let joints = input["joints_in"].as_array().expect("joints");
    let end = joints.last().expect("an end");
    let rate = |name: &str| prices[name].clone();
    let types: Vec<Value> = input["types"]
        .as_array()
        .expect("types")
        .iter()
        .map(|row| {
            let mut row = row.clone();
            row["toe_ft"] = json!(0);
            row["key"] = Value::Null;
            row
        })
        .collect();
    json!({
        "job": { "name": "instance" },
        "units": { "system": "us", "base": "ft", "currency": "usd" },
        "shots": {
            "length_unit": "in", "roles": { "finished_low": "FL", "bearing": "TP", "existing": "EG" },
            "reach_ft": 6, "outlier_codes": [], "outlier_limit_ft": 3, "outlier_neighbours": 4,
            "duplicate_tolerance_xy_ft": 0, "duplicate_tolerance_z_ft": 0
        },
        "alignment": { "earth_side": "left", "points": [{ "pt": "A", "E_ft": 0, "N_ft": 0 }, { "pt": "B", "E_in": end, "N_ft": 0 }] },
        "walls": [{ "id": "W", "from": "A", "to": "B", "stem_thickness_in": input["stem_thickness_in"], "grid_origin": "start",
                    "lead_start_in": joints[1], "tops": [{ "from_ft": 0, "top_ft": input["top_ft"] }] }],
        "module": { "panel_width_in": 24, "inside_corner_leg_in": 8, "rise_in": input["rise_in"], "tof_level0_ft": input["tof_level0_ft"],
                    "level_min": input["levels"][0], "level_max": input["levels"][1] },
        "rules": { "frost_depth_ft": 0, "bearing_allowance_ft": 0, "shortest_run_ft": input["shortest_run_ft"],
                   "max_levels_per_riser": input["max_levels_per_riser"], "corner_clear_ft": 0, "overlap_step_in": 1, "overlap_min_in": 0, "no_step_zones": [] },
        "types": types,
        "optimiser_prices": {
            "footing_concrete_usd_per_cy": rate("footing_concrete_usd_per_cy"), "wall_concrete_usd_per_cy": rate("wall_concrete_usd_per_cy"),
            "forms_usd_per_sf_of_one_face": rate("forms_usd_per_sf_of_one_face"), "dig_usd_per_cy": rate("dig_usd_per_cy"),
            "riser_usd_each": input["riser_usd_each"], "rise_usd_per_level": input["rise_usd_per_level"], "work_space_each_side_ft": 0
        }
    })
}

/// The lines of an instance as shots on the wall, in inches.
fn instance_shots(required: &Value, existing: &Value) -> String {
    let mut text = String::from("pt,N,E,Z,code\n,0,0,12000,TP\n");
    for (line, code) in [(required, "FL"), (existing, "EG")] {
        for pair in line.as_array().expect("pairs") {
            // Elevations are hundredths of a foot: twelve times is exact to two decimals.
            let inches = (pair[1].as_f64().expect("a number") * 1200.0).round() / 100.0;
            text += &format!(",0,{},{inches},{code}\n", pair[0]);
        }
    }
    text
}

fn find(id: &str) -> (Value, Value) {
    let all = read_json("instances.json");
    let instance = all["instances"]
        .as_array()
        .expect("instances")
        .iter()
        .find(|i| i["id"] == id)
        .expect("the instance")
        .clone();
    (instance, all["about"]["prices"].clone())
}

fn run_instance(id: &str, change: impl Fn(&mut Value)) -> Done {
    let (instance, prices) = find(id);
    let mut input = instance["input"].clone();
    change(&mut input);
    let shots =
        instance_shots(&input["station_in_and_required_ft"], &input["station_in_and_existing_ft"]);
    run_spec(&instance_job(&input, &prices), &shots)
}

fn check(done: &Done, expected: &Value, what: &str) {
    let feasible = expected.get("feasible").and_then(Value::as_bool).unwrap_or(true);
    assert_eq!(done.feasible(), feasible, "{what}");
    if !feasible {
        let furthest = &done.records("furthest_reached")[0]["chain"]["value"];
        assert_eq!(furthest, &expected["furthest_station_reached_ft"], "{what}");
        return;
    }
    if let Some(nano) = expected.get("cost_nano") {
        assert_eq!(done.cost_nano(), i128::from(nano.as_i64().expect("whole")), "{what}");
    }
    if let Some(usd) = expected.get("cost_usd") {
        assert!(
            (done.cost_nano() as f64 / 1e9 - usd.as_f64().expect("a number")).abs() < 1e-6,
            "{what}"
        );
    }
    assert_eq!(done.risers() as u64, expected["risers"].as_u64().expect("whole"), "{what}");
    let levels = expected.get("levels").or(expected.get("levels_of_cells")).expect("levels");
    assert_eq!(&Value::from(done.levels()), levels, "{what}");
    if let Some(count) = expected.get("optimal_layouts") {
        let ours = done.records("layout_costs")[0]["equal_layouts"].as_str().expect("a text");
        assert_eq!(ours, count.to_string(), "{what}");
    }
    if let Some(cells) = expected.get("cells") {
        assert_eq!(&Value::from(done.levels().len()), cells, "{what}");
    }
}

#[test]
fn worked_instances() {
    for id in ["I-1", "I-2", "I-3"] {
        let expected = &find(id).0["expected"];
        let done = run_instance(id, |_| {});
        check(&done, expected, id);
        let close = |ours: f64, name: &str| {
            let expected = expected[name].as_f64().expect("a number");
            assert!((ours - expected).abs() < 1e-6, "{id} {name}: {ours}");
        };
        close(done.quantity("footing.runs"), "footing_runs_cy");
        close(done.quantity("footing.overlaps"), "overlaps_cy");
        close(done.quantity("stem.runs"), "stem_cy");
        let faces = done.records("parts").iter().filter(|part| part["what"] == "exposed face");
        close(
            faces.map(|part| part["amount"]["value"].as_f64().expect("a number")).sum(),
            "stem_face_sf",
        );
        let steps = done.records("steps");
        for (step, riser) in steps.iter().zip(expected["riser_list"].as_array().expect("risers")) {
            assert_eq!(step["station_tape"], riser["station"], "{id}");
            assert_eq!(step["dirt_cut_tape"], riser["dirt_cut"], "{id}");
            assert_eq!(step["overlap"]["value"].as_f64(), riser["overlap_in"].as_f64(), "{id}");
        }
        for (piece, run) in
            done.records("footing_pieces").iter().zip(expected["runs"].as_array().expect("runs"))
        {
            for name in ["tof", "bof", "width", "thickness"] {
                assert_eq!(
                    piece[name]["value"].as_f64(),
                    run[format!("{name}_ft")].as_f64(),
                    "{id} {name}"
                );
            }
        }
    }
}

#[test]
fn sensitivities_of_the_instances() {
    let all = read_json("instances.json");
    let rows = |name: &str| all["sensitivities"][name].as_array().expect("rows").clone();
    for row in rows("I-1 riser price") {
        let done = run_instance("I-1", |input| {
            input["riser_usd_each"] = row["riser_usd_each"].clone();
            input["rise_usd_per_level"] = row["rise_usd_per_level"].clone();
        });
        check(&done, &row, &row.to_string());
    }
    for row in rows("I-1 datum sweep") {
        let done =
            run_instance("I-1", |input| input["tof_level0_ft"] = row["tof_level0_ft"].clone());
        check(&done, &row, &row.to_string());
    }
    for row in rows("I-2 shortest run") {
        let done =
            run_instance("I-2", |input| input["shortest_run_ft"] = row["shortest_run_ft"].clone());
        check(&done, &row, &row.to_string());
    }
}

#[test]
fn cases_that_one_rule_decides() {
    for case in read_json("rule_cases.json")["cases"].as_array().expect("cases") {
        let id = case["id"].as_str().expect("an id");
        let base = case["base"].as_str().expect("a base");
        let (mut spec, mut shots) = match base {
            "demo" => (read_json("job.json"), read_text("shots.csv")),
            "ring" => (read_json("ring/job.json"), read_text("ring/shots.csv")),
            _ => {
                let (instance, prices) = find(base);
                let input = &instance["input"];
                let required = case
                    .get("station_in_and_required_ft")
                    .unwrap_or(&input["station_in_and_required_ft"]);
                (
                    instance_job(input, &prices),
                    instance_shots(required, &input["station_in_and_existing_ft"]),
                )
            }
        };
        for (path, value) in case.get("set").and_then(Value::as_object).into_iter().flatten() {
            set(&mut spec, path, value);
        }
        if let Some(types) = case.get("types_max_stem_B_D_ft").and_then(Value::as_array) {
            let row = |(n, row): (usize, &Value)| json!({ "id": format!("T{n}"), "max_stem_height_ft": row[0], "footing_width_ft": row[1], "footing_thickness_ft": row[2], "toe_ft": 0, "key": null });
            spec["types"] = types.iter().enumerate().map(row).collect::<Vec<_>>().into();
        }
        for row in case
            .get("rows_added_at_the_end_pt_N_E_Z_code")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            shots += row.as_str().expect("a row");
            shots.push('\n');
        }
        let done = run_spec(&spec, &shots);
        let expected = &case["expected"];
        check(&done, expected, id);
        if let Some(refused) = expected.get("refused_beside_those_of_the_demo_line_pt_reason") {
            let usual = [2, 3, 63, 64, 65, 66, 67, 68];
            let ours: Vec<Value> = done
                .records("shots_refused")
                .iter()
                .filter(|row| !usual.contains(&row["line"].as_i64().expect("a line")))
                .map(|row| json!([row["line"], row["point"], row["reason"]]))
                .collect();
            assert_eq!(&Value::from(ours), refused, "{id}");
        }
        if let Some(counts) = expected.get("supports_finished_low_bearing_existing") {
            let ours: Vec<Value> =
                done.records("ground_lines").iter().map(|row| row["supports"].clone()).collect();
            assert_eq!(&Value::from(ours), counts, "{id}");
        }
    }
}

/// The closed ring: optimum, grid, lines and unstepped footing.
#[test]
fn the_ring_of_the_specification() {
    let expected = read_json("ring/expected.json");
    let done = run_spec(&read_json("ring/job.json"), &read_text("ring/shots.csv"));
    let optimum = &expected["optimum"];
    check(&done, optimum, "ring");
    let number = |value: &Value| value["value"].as_f64().expect("a number");
    let near = |ours: f64, expected: &Value| {
        assert!((ours - expected.as_f64().expect("a number")).abs() < 1e-6, "{ours} {expected}");
    };
    let cells = done.records("cell_levels");
    for (cell, edge) in cells.iter().zip(optimum["cell_edges_nm"].as_array().expect("edges")) {
        near(number(&cell["from"]) * 304_800_000.0, edge);
    }
    let steps = done.records("steps");
    let risers = optimum["riser_list"].as_array().expect("risers");
    assert_eq!(steps.len(), risers.len());
    for (step, riser) in steps.iter().zip(risers) {
        near(number(&step["chain"]), &riser["chain_ft"]);
        near(number(&step["overlap"]), &riser["overlap_in"]);
        assert_eq!(step["level_before"], riser["level_before"]);
        assert_eq!(step["level_after"], riser["level_after"]);
        let start = done.records("walls").iter().find(|wall| wall["wall"] == step["wall"]);
        let start = number(&start.expect("a wall")["chain_start"]);
        near(number(&step["dirt_cut"]) + start, &riser["dirt_cut_chain_ft"]);
    }
    let one = &done.records("layout_costs")[1..];
    let known = optimum["one_level_everywhere"].as_array().expect("levels");
    assert_eq!(one.len(), known.len());
    for (ours, known) in one.iter().zip(known) {
        assert_eq!(ours["level"], known["level"]);
        near(number(&ours["cost"]), &known["cost_usd"]);
    }
    near(
        done.records("walls").iter().map(|wall| number(&wall["length"])).sum(),
        &expected["chain_length_ft"],
    );
    for (corner, known) in
        done.records("corners").iter().zip(expected["corners"].as_array().expect("corners"))
    {
        near(number(&corner["chain"]), &known["at_chain_ft"]);
        assert_eq!(crate::expected::corner_word(&corner["kind"]), known["kind"]);
    }
    for grid in expected["grid"].as_array().expect("grids") {
        let of = |row: &&Value| row["wall"] == grid["wall"];
        let joints: Vec<&Value> = done.records("panel_joints").iter().filter(of).collect();
        let allowed: Vec<&&Value> =
            joints.iter().filter(|row| row["riser_allowed"] == true).collect();
        for (ours, known) in [
            (joints.iter().map(|row| number(&row["station"])).collect::<Vec<_>>(), "joints_ft"),
            (
                allowed.iter().map(|row| number(&row["station"])).collect(),
                "allowed_riser_joints_ft",
            ),
        ] {
            let known = grid[known].as_array().expect("joints");
            assert_eq!(ours.len(), known.len());
            ours.iter().zip(known).for_each(|(a, b)| near(*a, b));
        }
        let row = done.records("panel_grid").iter().find(of).expect("a grid").clone();
        near(number(&row["closure"]), &grid["closure_in"]);
    }
    for (kind, name) in
        [("finished_low", "finished_low"), ("bearing", "bearing"), ("existing", "existing")]
    {
        let rows = done.records("ground_supports").iter().filter(|row| row["ground"] == kind);
        let known = expected["lines"][format!("chain_and_{name}_ft")].as_array().expect("a line");
        let rows: Vec<&Value> = rows.collect();
        assert_eq!(rows.len(), known.len());
        for (row, pair) in rows.iter().zip(known) {
            near(number(&row["chain"]), &pair[0]);
            near(number(&row["elevation"]), &pair[1]);
        }
    }
    // A ring has no free end, and its quantities close.
    assert!(done.records("parts").iter().all(|part| part["what"] != "free end"));
}
