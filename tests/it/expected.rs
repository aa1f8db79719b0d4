//! The demo and its metric variant against the specification: every key of the expected files is compared
//! or named in the list of keys that belong to later work.

use serde_json::{Map, Value, json};

use crate::support::{Done, read_json, read_text, run, run_spec, set};

/// Keys of later work. `*` stands for any element of a list.
const LATER: &[&str] = &[
    "about",
    "checks",
    "forms",
    "bars",
    "cut_lists",
    "lumber",
    "stakes",
    "price",
    "pour",
    "asdug",
    "risers.*.bulkhead_height_in",
    "risers.*.bulkhead_length_ft",
    "risers.*.bulkhead_height_mm",
    "risers.*.bulkhead_length_m",
    "risers.*.boards",
    "risers.*.stakes",
    "risers.*.thrust_exact_lb",
    "risers.*.thrust_exact_kN",
    "risers.*.thrust_each_half_lift_lb",
    "risers.*.thrust_each_half_lift_kN",
    "risers.*.brace_at_top_exact_lb",
    "risers.*.brace_at_top_exact_kN",
    "risers.*.thrust_foot_rule_lb",
    "risers.*.rule_over_exact",
    "stem_pieces.*.stack_ft",
    "stem_pieces.*.stack_mm",
    "what_ifs.*.price_usd",
    "what_ifs.*.price_eur",
    "what_ifs.*.set",
];

/// Units of the expected file.
struct Units {
    length: &'static str,
    small: &'static str,
    volume: &'static str,
    area: &'static str,
    money: &'static str,
}

const US: Units = Units { length: "ft", small: "in", volume: "cy", area: "sf", money: "usd" };
const METRIC: Units = Units { length: "m", small: "mm", volume: "m3", area: "m2", money: "eur" };

/// Compares; gives the number of single values compared.
fn compare(expected: &Value, ours: &Value, path: &str, used: &mut Vec<&'static str>) -> usize {
    let generic: String = path
        .split('.')
        .map(|part| if part.parse::<usize>().is_ok() { "*" } else { part })
        .collect::<Vec<_>>()
        .join(".");
    if let Some(later) = LATER.iter().find(|later| **later == generic) {
        used.push(later);
        return 0;
    }
    let join =
        |name: &str| if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
    match (expected, ours) {
        (Value::Object(expected), Value::Object(ours)) => {
            for key in ours.keys() {
                assert!(expected.contains_key(key), "{path}: {key} is ours only");
            }
            expected
                .iter()
                .map(|(key, value)| {
                    compare(value, ours.get(key).unwrap_or(&Value::Null), &join(key), used)
                })
                .sum()
        }
        (Value::Array(expected), Value::Array(ours)) => {
            assert_eq!(expected.len(), ours.len(), "{path}: {ours:?}");
            expected
                .iter()
                .zip(ours)
                .enumerate()
                .map(|(n, (e, o))| compare(e, o, &join(&n.to_string()), used))
                .sum()
        }
        (Value::Number(e), Value::Number(o)) if e.is_i64() && o.is_i64() => {
            assert_eq!(e, o, "{path}");
            1
        }
        (Value::Number(e), Value::Number(o)) => {
            let (e, o) = (e.as_f64().expect("a number"), o.as_f64().expect("a number"));
            let last = path.rsplit('.').next().unwrap_or(path);
            let coordinate =
                ["E_", "N_", "cut_E_", "cut_N_"].iter().any(|start| last.starts_with(start));
            let allowed = if coordinate { 0.000_050_1 } else { 0.000_001 };
            assert!((e - o).abs() <= allowed, "{path}: expected {e}, ours {o}");
            1
        }
        (e, o) => {
            assert_eq!(e, o, "{path}");
            1
        }
    }
}

/// The value of a measured field, checked for its unit.
fn v(row: &Value, field: &str, unit: &str) -> Value {
    let value = &row[field];
    assert_eq!(value["unit"], unit, "{field} of {row}");
    value["value"].clone()
}

fn object(pairs: Vec<(String, Value)>) -> Value {
    Value::Object(pairs.into_iter().collect::<Map<_, _>>())
}

/// Our result in the shape of the expected file.
fn ours(done: &Done, u: &Units) -> Value {
    let (l, s) = (u.length, u.small);
    let by = |name: &str, unit: &str| format!("{name}_{unit}");
    let rows = |name: &str| done.records(name).clone();
    let ground = |kind: &str| {
        rows("ground_lines").into_iter().find(|row| row["ground"] == kind).expect("a line")
    };
    let kinds = ["finished_low", "bearing", "existing"];
    let per_kind = |field: &dyn Fn(&Value) -> Value| {
        object(kinds.iter().map(|kind| ((*kind).to_owned(), field(&ground(kind)))).collect())
    };

    let used = rows("shots_used");
    let mut counts = Map::new();
    for row in &used {
        let code = row["code"].as_str().expect("a code").to_owned();
        let count = counts.get(&code).and_then(Value::as_i64).unwrap_or(0);
        counts.insert(code, (count + 1).into());
    }
    let refused = rows("shots_refused").into_iter().map(|row| {
        let mut pairs = vec![
            ("line".to_owned(), row["line"].clone()),
            ("pt".to_owned(), row["point"].clone()),
            ("code".to_owned(), row["code"].clone()),
            ("reason".to_owned(), row["reason"].clone()),
        ];
        let name = match row["reason"].as_str() {
            Some("duplicate") => by("difference_z", l),
            Some("outlier") => by("difference_from_median", l),
            Some("out_of_reach") => by("offset", l),
            _ => return object(pairs),
        };
        pairs.push((name, v(&row, "by", l)));
        object(pairs)
    });
    let used_shots = used.iter().map(|row| {
        object(vec![
            ("line".into(), row["line"].clone()),
            ("pt".into(), row["point"].clone()),
            ("code".into(), row["code"].clone()),
            ("wall".into(), row["wall"].clone()),
            (by("chain", l), v(row, "chain", l)),
            (by("offset_to_earth_side", l), v(row, "offset", l)),
            (by("z", l), v(row, "elevation", l)),
        ])
    });
    let import = object(vec![
        ("rows".into(), rows("shot_list")[0]["rows"].clone()),
        ("used".into(), Value::Object(counts)),
        ("refused".into(), refused.collect::<Vec<_>>().into()),
        (by("largest_gap", l), per_kind(&|row| v(row, "largest_gap", l))),
        (by("supported_from_to", l), per_kind(&|row| json!([v(row, "from", l), v(row, "to", l)]))),
        ("gap_over_limit".into(), per_kind(&|row| row["over_limit"].clone())),
        ("used_shots".into(), used_shots.collect::<Vec<_>>().into()),
    ]);
    let chain_length: f64 =
        rows("walls").iter().map(|row| v(row, "length", l).as_f64().expect("a length")).sum();
    let alignment = object(vec![
        (by("chain_length", l), chain_length.into()),
        (
            "walls".into(),
            rows("walls")
                .iter()
                .map(|row| {
                    object(vec![
                        ("id".into(), row["wall"].clone()),
                        (by("length", l), v(row, "length", l)),
                        (by("chain_start", l), v(row, "chain_start", l)),
                        ("start".into(), row["start"].clone()),
                        ("end".into(), row["end"].clone()),
                    ])
                })
                .collect::<Vec<_>>()
                .into(),
        ),
        (
            "corners".into(),
            rows("corners")
                .iter()
                .map(|row| {
                    object(vec![
                        ("between".into(), json!([row["before"], row["after"]])),
                        ("kind".into(), row["kind"].clone()),
                        (by("chain", l), v(row, "chain", l)),
                    ])
                })
                .collect::<Vec<_>>()
                .into(),
        ),
    ]);
    let knots = |kind: &str| -> Value {
        let rows = rows("ground_supports").into_iter().filter(|row| row["ground"] == kind);
        rows.map(|row| json!([v(&row, "chain", l), v(&row, "elevation", l)]))
            .collect::<Vec<_>>()
            .into()
    };
    let lines =
        object(kinds.iter().map(|kind| (format!("chain_and_{kind}_{l}"), knots(kind))).collect());
    let samples = rows("ground_samples").into_iter().map(|row| {
        let row = &row;
        object(vec![
            (by("chain", l), v(row, "chain", l)),
            (by("finished_low", l), v(row, "finished_low", l)),
            (by("bearing", l), v(row, "bearing", l)),
            (by("required", l), v(row, "required", l)),
            ("governs".into(), row["governs"].clone()),
            (by("existing", l), v(row, "existing", l)),
        ])
    });
    let grid = rows("panel_grid").into_iter().map(|row| {
        let joints: Vec<Value> =
            rows("panel_joints").into_iter().filter(|joint| joint["wall"] == row["wall"]).collect();
        let allowed = joints.iter().filter(|joint| joint["riser_allowed"] == true);
        let station = |joint: &Value| v(joint, "station", l);
        object(vec![
            ("wall".into(), row["wall"].clone()),
            ("origin".into(), row["origin"].clone()),
            (by("kit_start", s), v(&row, "kit_start", s)),
            (by("kit_end", s), v(&row, "kit_end", s)),
            ("modules".into(), row["modules"].clone()),
            (by("first_joint", l), station(&joints[0])),
            (by("last_joint", l), station(joints.last().expect("a joint"))),
            (by("closure", s), v(&row, "closure", s)),
            ("closure_at".into(), row["closure_at"].clone()),
            ("joints".into(), joints.len().into()),
            ("allowed_riser_joints".into(), row["allowed_joints"].clone()),
            (by("joints", l), joints.iter().map(station).collect::<Vec<_>>().into()),
            (by("allowed_riser_joints", l), allowed.map(station).collect::<Vec<_>>().into()),
        ])
    });
    let unit_nm = if l == "ft" { 304_800_000.0 } else { 1_000_000_000.0 };
    let nm = |value: Value| ((value.as_f64().expect("a length") * unit_nm).round() as i64).into();
    let cells = rows("cell_levels");
    let mut edges: Vec<Value> = cells.iter().map(|cell| nm(v(cell, "from", l))).collect();
    edges.push(nm(v(cells.last().expect("a cell"), "to", l)));
    let costs = rows("layout_costs");
    let one_level = costs[1..].iter().map(|row| {
        object(vec![
            ("level".into(), row["level"].clone()),
            (by("tof", l), v(row, "tof", l)),
            (by("cost", u.money), v(row, "cost", u.money)),
        ])
    });
    let cost = v(&costs[0], "cost", u.money);
    let optimum = object(vec![
        (by("cost", u.money), cost.clone()),
        (by("cost_exact", u.money), cost),
        ("cost_nano".into(), i64::try_from(done.cost_nano()).expect("fits").into()),
        ("risers".into(), done.risers().into()),
        ("cells".into(), cells.len().into()),
        (
            "optimal_layouts".into(),
            costs[0]["equal_layouts"].as_str().and_then(|t| t.parse::<i64>().ok()).into(),
        ),
        ("one_level_everywhere".into(), one_level.collect::<Vec<_>>().into()),
        ("cell_edges_nm".into(), edges.into()),
        ("levels".into(), done.levels().into()),
    ]);
    let risers = rows("steps").into_iter().map(|row| {
        let mut pairs = vec![
            ("wall".into(), row["wall"].clone()),
            (by("station", l), v(&row, "station", l)),
            (by("E", l), v(&row, "east", l)),
            (by("N", l), v(&row, "north", l)),
            (by("chain", l), v(&row, "chain", l)),
            (by("tof_before", l), v(&row, "tof_before", l)),
            (by("tof_after", l), v(&row, "tof_after", l)),
            (by("overlap", s), v(&row, "overlap", s)),
            (by("dirt_cut", l), v(&row, "dirt_cut", l)),
            (by("cut_E", l), v(&row, "cut_east", l)),
            (by("cut_N", l), v(&row, "cut_north", l)),
            (by("bof_low", l), v(&row, "bof_low", l)),
            (by("bof_high", l), v(&row, "bof_high", l)),
            (by("overlap_concrete", u.volume), v(&row, "overlap_concrete", u.volume)),
        ];
        if l == "ft" {
            pairs.push(("station".into(), row["station_tape"].clone()));
            pairs.push(("dirt_cut".into(), row["dirt_cut_tape"].clone()));
        }
        object(pairs)
    });
    let footings = rows("footing_pieces").into_iter().map(|row| {
        let mut pairs = vec![
            ("wall".into(), row["wall"].clone()),
            ("level".into(), row["level"].clone()),
            ("type".into(), row["type"].clone()),
        ];
        for name in ["from", "to", "tof", "width", "thickness", "bof"] {
            pairs.push((by(name, l), v(&row, name, l)));
        }
        object(pairs)
    });
    let stems = rows("stem_pieces").into_iter().map(|row| {
        let mut pairs = vec![
            ("wall".into(), row["wall"].clone()),
            ("type".into(), row["type"].clone()),
            ("modules_each_face".into(), row["modules"].clone()),
        ];
        for name in ["from", "to", "tof", "top", "height"] {
            pairs.push((by(name, l), v(&row, name, l)));
        }
        object(pairs)
    });
    let bottom: Vec<Value> = rows("bottom_profile")
        .iter()
        .map(|row| json!([v(row, "from", l), v(row, "to", l), v(row, "bof", l)]))
        .collect();
    let parts = |line: &str| {
        rows("parts").into_iter().filter(|part| part["line"] == line).collect::<Vec<_>>()
    };
    let corners =
        |line: &str| parts(line).iter().map(|part| v(part, "amount", u.volume)).collect::<Vec<_>>();
    let q = |id: &str| Value::from(done.quantity(id));
    let concrete = json!({
        "footing": object(vec![
            (by("runs", u.volume), q("footing.runs")),
            (by("overlaps", u.volume), q("footing.overlaps")),
            (by("corners", u.volume), corners("footing.corners").into()),
            (by("keys", u.volume), q("footing.keys")),
            (by("total", u.volume), q("footing.total")),
            (by("order", u.volume), q("footing.order")),
        ]),
        "stem": object(vec![
            (by("runs", u.volume), q("stem.runs")),
            (by("corners", u.volume), corners("stem.corners").into()),
            (by("total", u.volume), q("stem.total")),
            (by("order", u.volume), q("stem.order")),
        ]),
    });
    let face = |what: &str| -> Value {
        let faces = parts("forms.contact")
            .into_iter()
            .filter(|part| part["what"].as_str().expect("a text").starts_with(what));
        faces.map(|part| v(&part, "amount", u.area).as_f64().expect("a number")).sum::<f64>().into()
    };
    let contact = object(vec![
        (by("exposed", u.area), face("exposed")),
        (by("earth", u.area), face("earth")),
        (by("free_ends", u.area), face("free end")),
        (by("top_differences", u.area), face("tops differ")),
        (by("total", u.area), q("forms.contact")),
    ]);
    let excavation = object(vec![
        (by("section", u.volume), q("dig.section")),
        (by("keys", u.volume), q("dig.keys")),
        (by("bank", u.volume), q("dig.bank")),
        (by("loose", u.volume), q("dig.loose")),
        (by("drain_rock", u.volume), q("drain.rock")),
    ]);
    let readings = rows("rod_readings").into_iter().map(|row| {
        let mut pairs = vec![
            ("what".into(), row["what"].clone()),
            (by("elevation", l), v(&row, "elevation", l)),
            (by("reading", l), v(&row, "reading", l)),
        ];
        if l == "ft" {
            pairs.push(("feet_inches_16ths".into(), row["reading_tape"].clone()));
            pairs.push(("error_in".into(), v(&row, "tape_error", "in")));
            pairs.push(("hundredths_ft".into(), v(&row, "hundredths", "ft")));
            pairs.push(("hundredths_error_in".into(), v(&row, "hundredths_error", "in")));
            pairs.push(("tenths_misread_as_inches_error_in".into(), v(&row, "misread", "in")));
        }
        object(pairs)
    });
    let first = &rows("rod_readings")[0];
    let height = v(first, "elevation", l).as_f64().expect("a number")
        + v(first, "reading", l).as_f64().expect("a number");
    let rods = object(vec![
        (by("instrument_height", l), height.into()),
        ("readings".into(), readings.collect::<Vec<_>>().into()),
    ]);
    json!({
        "import": import,
        "alignment": alignment,
        "lines": lines,
        "samples": samples.collect::<Vec<_>>(),
        "grid": grid.collect::<Vec<_>>(),
        "optimum": optimum,
        "risers": risers.collect::<Vec<_>>(),
        "footing_pieces": footings.collect::<Vec<_>>(),
        "stem_pieces": stems.collect::<Vec<_>>(),
        "bottom_profile": object(vec![(format!("chain_from_to_bof_{l}"), bottom.into())]),
        "concrete": concrete,
        "contact_area": contact,
        "excavation": excavation,
        "rods": rods,
    })
}

/// One what-if in the shape of the expected file.
fn what_if(done: &Done, id: &Value, u: &Units) -> Value {
    let l = u.length;
    let by = |name: &str, unit: &str| format!("{name}_{unit}");
    let mut pairs =
        vec![("id".to_owned(), id.clone()), ("feasible".to_owned(), done.feasible().into())];
    if done.feasible() {
        let list = done.records("steps").iter().map(|row| {
            let mut pairs = vec![
                (by("chain", l), v(row, "chain", l)),
                ("level_before".to_owned(), row["level_before"].clone()),
                ("level_after".to_owned(), row["level_after"].clone()),
            ];
            if l == "ft" {
                let feet = v(row, "chain", l).as_f64().expect("a number");
                let length = rodbook::measure::Nm((feet * 304_800_000.0).round() as i64);
                pairs.push(("chain".into(), rodbook::measure::feet_inches(length, 16).into()));
            }
            object(pairs)
        });
        let costs = &done.records("layout_costs")[0];
        pairs.push((by("cost", u.money), v(costs, "cost", u.money)));
        pairs.push(("risers".into(), done.risers().into()));
        pairs.push((
            "optimal_layouts".into(),
            costs["equal_layouts"].as_str().and_then(|t| t.parse::<i64>().ok()).into(),
        ));
        pairs.push(("riser_list".into(), list.collect::<Vec<_>>().into()));
    } else {
        let stretches =
            done.records("too_low").iter().map(|row| json!([v(row, "from", l), v(row, "to", l)]));
        pairs.push((
            format!("required_line_too_low_from_to_{l}"),
            stretches.collect::<Vec<_>>().into(),
        ));
        let worst = &done.records("shortfall")[0];
        let worst = object(vec![
            (by("chain", l), v(worst, "chain", l)),
            (by("required", l), v(worst, "required", l)),
            (by("lowest_bottom_with_a_type", l), v(worst, "lowest_bottom", l)),
            (by("short_by", l), v(worst, "short_by", l)),
            (by("next_level_down_needs_stem_height", l), v(worst, "next_stem", l)),
            (by("tallest_type", l), v(worst, "tallest", l)),
        ]);
        pairs.push(("worst".into(), worst));
    }
    object(pairs)
}

/// The layouts with the datum moved.
fn datum_sweep(done: &Done, u: &Units) -> Value {
    let (l, s) = (u.length, u.small);
    let by = |name: &str, unit: &str| format!("{name}_{unit}");
    let row = |row: &Value| {
        let level_0 = v(row, "level_0", l);
        let mut pairs = vec![
            (by("tof_level0", l), level_0.clone()),
            ("feasible".into(), row["feasible"].clone()),
        ];
        if row["feasible"] == true {
            let of =
                done.records("datum_steps").iter().filter(|step| v(step, "level_0", l) == level_0);
            let list = of.map(|step| {
                let chain = v(step, "chain", l);
                let mut pairs = vec![
                    (by("chain", l), chain.clone()),
                    ("level_before".into(), step["level_before"].clone()),
                    ("level_after".into(), step["level_after"].clone()),
                ];
                if l == "ft" {
                    let length = chain.as_f64().expect("a number") * 304_800_000.0;
                    let length = rodbook::measure::Nm(length.round() as i64);
                    pairs.push(("chain".into(), rodbook::measure::feet_inches(length, 16).into()));
                }
                object(pairs)
            });
            pairs.push((by("cost", u.money), v(row, "cost", u.money)));
            pairs.push(("risers".into(), row["steps"].clone()));
            pairs.push(("riser_list".into(), list.collect::<Vec<_>>().into()));
            let tops =
                done.records("datum_tops").iter().filter(|top| v(top, "level_0", l) == level_0);
            let tops = tops.map(|top| v(top, "above_course", s));
            pairs.push((by("top_of_wall_above_course", s), tops.collect::<Vec<_>>().into()));
        }
        object(pairs)
    };
    done.records("datum_sweep").iter().map(row).collect::<Vec<_>>().into()
}

fn whole_file(folder: &str, u: &Units) -> (usize, Vec<&'static str>) {
    let spec = read_json(&format!("{folder}job.json"));
    let shots = read_text(&format!("{folder}shots.csv"));
    let expected = read_json(&format!("{folder}expected.json"));
    let done = run_spec(&spec, &shots);
    let mut result = ours(&done, u);
    result["datum_sweep"] = datum_sweep(&done, u);
    let what_ifs: Vec<Value> = spec["what_ifs"]
        .as_array()
        .expect("what-ifs")
        .iter()
        .map(|case| {
            let mut changed = spec.clone();
            for (path, value) in case["set"].as_object().expect("a set") {
                set(&mut changed, path, value);
            }
            what_if(&run_spec(&changed, &shots), &case["id"], u)
        })
        .collect();
    result["what_ifs"] = what_ifs.into();
    let mut used = Vec::new();
    let count = compare(&expected, &result, "", &mut used);
    (count, used)
}

#[test]
fn demo_and_metric_variant_match_the_specification() {
    let (demo, mut used) = whole_file("", &US);
    let (metric, more) = whole_file("metric/", &METRIC);
    used.extend(more);
    for later in LATER {
        assert!(used.contains(later), "{later} is on the list of later keys and in neither file");
    }
    // Single values compared: a comparison that quietly lost a group would change these.
    assert_eq!((demo, metric), (1_715, 845), "values compared");
}

#[test]
fn the_bundled_demo_is_the_job_of_the_specification() {
    let bundled =
        run(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench"));
    let spec = run_spec(&read_json("job.json"), &read_text("shots.csv"));
    assert_eq!(bundled.cost_nano(), 39_526_930_688_943);
    assert_eq!(bundled.levels(), spec.levels());
    for id in [
        "footing.total",
        "stem.total",
        "forms.contact",
        "dig.bank",
        "dig.loose",
        "drain.rock",
        "footing.order",
        "stem.order",
    ] {
        assert_eq!(bundled.quantity(id), spec.quantity(id), "{id}");
    }
}
