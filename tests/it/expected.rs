//! The demo and its metric variant against the specification: every key of the expected files is compared
//! or named in the list of keys that belong to later work.

use serde_json::{Map, Value, json};

use crate::support::{Done, read_json, read_text, run, run_spec, set};

/// Keys of later work, and those that only state inputs. `*` stands for any element of a list. Plans of cutting and their
/// proofs are verified, not compared: other plans are as good.
const LATER: &[&str] = &[
    "about",
    "checks",
    "pour",
    "asdug",
    "what_ifs.*.set",
    "cut_lists.*.plan",
    "cut_lists.*.dual_certificate",
];

/// Units of the expected file.
pub(crate) struct Units {
    length: &'static str,
    small: &'static str,
    volume: &'static str,
    area: &'static str,
    money: &'static str,
    weight: &'static str,
    /// Of panel heights.
    panel: &'static str,
}

pub(crate) const US: Units = Units {
    length: "ft",
    small: "in",
    volume: "cy",
    area: "sf",
    money: "usd",
    weight: "lb",
    panel: "ft",
};
const METRIC: Units = Units {
    length: "m",
    small: "mm",
    volume: "m3",
    area: "m2",
    money: "eur",
    weight: "kg",
    panel: "mm",
};

/// Compares; gives the number of single values compared.
pub(crate) fn compare(
    expected: &Value,
    ours: &Value,
    path: &str,
    used: &mut Vec<&'static str>,
) -> usize {
    let generic: String = path
        .split('.')
        .map(|part| {
            let size = path.starts_with("cut_lists.") && part.starts_with('#');
            if size || part.parse::<usize>().is_ok() { "*" } else { part }
        })
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

/// The specification's word for a corner that the trade calls an outside or an inside one.
pub(crate) fn corner_word(word: &Value) -> Value {
    match word.as_str() {
        Some("outside") => "convex".into(),
        Some("inside") => "concave".into(),
        _ => word.clone(),
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
                        ("start".into(), corner_word(&row["start"])),
                        ("end".into(), corner_word(&row["end"])),
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
                        ("kind".into(), corner_word(&row["kind"])),
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
        let bulkhead = rows("bulkheads").into_iter().find(|b| b["step"] == row["step"]);
        let bulkhead = &bulkhead.expect("its bulkhead");
        let force = if l == "ft" { "lb" } else { "kN" };
        pairs.extend([
            (by("bulkhead_height", s), small(v(bulkhead, "height", l), u)),
            (by("bulkhead_length", l), v(bulkhead, "length", l)),
            ("boards".into(), bulkhead["boards"].clone()),
            ("stakes".into(), bulkhead["stakes"].clone()),
            (by("thrust_exact", force), v(bulkhead, "thrust", force)),
            (by("thrust_each_half_lift", force), v(bulkhead, "half_lift", force)),
            (by("brace_at_top_exact", force), v(bulkhead, "top_brace", force)),
        ]);
        if l == "ft" {
            pairs.push((by("thrust_foot_rule", force), v(bulkhead, "foot_rule", force)));
            pairs.push(("rule_over_exact".into(), v(bulkhead, "rule_over_exact", "")));
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
        let run = rows("panel_runs")
            .into_iter()
            .find(|run| run["wall"] == row["wall"] && run["from"] == row["from"])
            .expect("its panels");
        assert_eq!(run["modules"], row["modules"]);
        pairs.push((by("stack", u.panel), sizes(&run["stack"], u.panel)));
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
        "forms": forms(done, u),
        "bars": bars(done, u),
        "cut_lists": cut_lists(done, u),
        "lumber": lumber(done, u),
        "stakes": done.records("stakes")[0].clone(),
        "price": price(done, u),
    })
}

/// A length in the small unit.
fn small(length: Value, u: &Units) -> Value {
    let times = if u.small == "in" { 12.0 } else { 1000.0 };
    (length.as_f64().expect("a length") * times).into()
}

/// Sizes as they are printed one after the other, in a unit.
fn sizes(text: &Value, unit: &str) -> Value {
    let Some(text) = text.as_str() else { return Value::Null };
    let one = |size: &str| {
        let length = rodbook::measure::read_length(size, Default::default()).expect("a length");
        #[expect(clippy::cast_precision_loss, reason = "sizes of forms")]
        let nm = length.0 as f64;
        let per = match unit {
            "ft" => 304_800_000.0,
            "in" => 25_400_000.0,
            _ => 1e6,
        };
        (nm / per * 1e6).round() / 1e6
    };
    text.split(" + ").map(one).collect::<Vec<f64>>().into()
}

/// Whole numbers of a list without their point.
fn whole(value: &Value) -> Value {
    match value {
        Value::Array(items) => items.iter().map(whole).collect::<Vec<_>>().into(),
        Value::Number(number) => match number.as_f64() {
            Some(x) if x.fract() == 0.0 => Value::from(x as i64),
            _ => value.clone(),
        },
        other => other.clone(),
    }
}

/// A length of panels or fillers as a key: whole feet or millimetres.
fn size_key(length: &Value, u: &Units) -> String {
    let value = length["value"].as_f64().expect("a length");
    let value = if u.panel == "mm" { value * 1000.0 } else { value };
    format!("{}", value.round())
}

pub(crate) fn forms(done: &Done, u: &Units) -> Value {
    let yard = |pour: &str, part: &str| -> Vec<Value> {
        let rows = done.records("form_yard").iter();
        rows.filter(|row| row["pour"] == pour && row["part"] == part).cloned().collect()
    };
    let by_height = |pour: &str, field: &str, always: bool| {
        let rows = yard(pour, "panel").into_iter();
        let rows = rows.filter(|row| always || row[field] != 0);
        object(rows.map(|row| (size_key(&row["height"], u), row[field].clone())).collect())
    };
    let panels = done.records("panel_counts");
    let area: f64 =
        panels.iter().map(|row| v(row, "area", u.area).as_f64().expect("an area")).sum();
    let pours: Vec<Value> = {
        let mut names: Vec<&str> =
            done.records("form_yard").iter().filter_map(|row| row["pour"].as_str()).collect();
        names.dedup();
        let of = |name: &&str| {
            json!({
                "pour": name,
                "panels": by_height(name, "needed", true),
                "short": by_height(name, "short", false),
            })
        };
        names.iter().filter(|name| **name != "all at once").map(of).collect()
    };
    let fillers: Vec<Value> = done
        .records("form_fillers")
        .iter()
        .map(|row| {
            object(vec![
                ("wall".into(), row["wall"].clone()),
                ("end".into(), row["end"].clone()),
                ("face".into(), row["face"].clone()),
                ("what".into(), row["what"].clone()),
                (format!("width_{}", u.small), small(v(row, "width", u.length), u)),
                (format!("pieces_{}", u.small), whole(&sizes(&row["pieces"], u.small))),
                (format!("stack_{}", u.panel), sizes(&row["stack"], u.panel)),
            ])
        })
        .collect();
    let totals: Vec<Value> = yard("all at once", "filler")
        .iter()
        .map(|row| {
            let height = v(row, "height", u.length);
            let height = if u.panel == "mm" { small(height, u) } else { height };
            object(vec![
                (format!("width_{}", u.small), whole(&small(v(row, "width", u.length), u))),
                (format!("height_{}", u.panel), height),
                ("count".into(), row["needed"].clone()),
            ])
        })
        .collect();
    let corners = yard("all at once", "corner set");
    object(vec![
        ("panel_height_unit".into(), u.panel.into()),
        ("panels_both_faces_by_height".into(), by_height("all at once", "needed", true)),
        ("yard".into(), {
            let rows = done.records("yard").iter().filter(|row| row["part"] == "panel");
            object(rows.map(|row| (size_key(&row["height"], u), row["owned"].clone())).collect())
        }),
        ("short_if_all_walls_stand_at_once".into(), by_height("all at once", "short", false)),
        ("by_pour".into(), pours.into()),
        (format!("area_of_full_panels_{}", u.area), area.into()),
        ("fillers".into(), fillers.into()),
        ("filler_totals".into(), totals.into()),
        ("corner_sets".into(), corners.first().map_or(json!(0), |row| row["needed"].clone())),
        ("ties".into(), Value::from(done.quantity("forms.ties").round() as i64)),
    ])
}

/// The specification's name of a size and of what it is for.
fn bar(name: &Value) -> String {
    name.as_str().expect("a size").trim_end_matches(" mm").to_owned()
}

pub(crate) fn bars(done: &Done, u: &Units) -> Value {
    let l = u.length;
    let by = |name: &str| format!("{name}_{l}");
    let mut marks: Vec<Value> = done
        .records("bar_totals")
        .iter()
        .map(|row| {
            let role = match row["role"].as_str().expect("a role") {
                "step" => "z bar",
                role => role,
            };
            object(vec![
                ("mark".into(), role.into()),
                ("bar".into(), bar(&row["bar"]).into()),
                ("count".into(), row["count"].clone()),
                (by("length"), v(row, "length", l)),
                ("pieces".into(), row["pieces"].clone()),
            ])
        })
        .collect();
    marks.sort_by_key(|row| (row["mark"].to_string(), row["bar"].to_string()));
    let mut weights: Vec<(String, Value)> = done
        .records("bar_weights")
        .iter()
        .map(|row| (bar(&row["bar"]), v(row, "weight", u.weight)))
        .collect();
    weights.push(("total".into(), done.quantity("bars.total").into()));
    let placed = |role: &str| -> Vec<Value> {
        let rows = done.records("bars_placed").iter();
        rows.filter(|row| row["role"] == role).cloned().collect()
    };
    let start = |row: &Value| {
        vec![
            ("wall".into(), row["wall"].clone()),
            (by("from"), v(row, "from", l)),
            (by("to"), v(row, "to", l)),
            ("type".into(), row["type"].clone()),
        ]
    };
    let pairs = placed("vertical").into_iter().zip(placed("dowel"));
    let verticals = pairs.map(|(up, dowel)| {
        let mut pairs = start(&up);
        pairs.extend([
            ("bar".into(), bar(&up["bar"]).into()),
            (format!("spacing_{}", u.small), v(&up, "spacing", u.small)),
            ("count".into(), up["count"].clone()),
            (by("earth_face"), v(&up, "spread", l)),
            (format!("actual_spacing_{}", u.small), v(&up, "gap", u.small)),
            (by("bar_length"), v(&up, "length", l)),
            (by("dowel_length"), v(&dowel, "length", l)),
        ]);
        assert_eq!(up["count"], dowel["count"]);
        object(pairs)
    });
    let pairs = placed("transverse").into_iter().zip(placed("longitudinal"));
    let footing = pairs.map(|(across, along)| {
        let mut pairs = start(&across);
        pairs.extend([
            ("transverse".into(), bar(&across["bar"]).into()),
            ("transverse_count".into(), across["count"].clone()),
            ("long_lines".into(), along["count"].clone()),
            (by("long_line"), v(&along, "length", l)),
            ("pieces_per_line".into(), along["pieces"].clone()),
        ]);
        object(pairs)
    });
    let dowels = done.records("bar_totals").iter().filter(|row| row["role"] == "dowel");
    let caps: i64 = dowels.map(|row| row["count"].as_i64().expect("a count")).sum();
    let rows = done.records("bar_rows").iter();
    let rows = rows.map(|row| (row["wall"].as_str().expect("a wall").into(), row["rows"].clone()));
    object(vec![
        ("marks".into(), marks.into()),
        (format!("weight_{}", u.weight), object(weights)),
        ("caps".into(), caps.into()),
        ("horizontal_rows".into(), object(rows.collect())),
        ("verticals".into(), verticals.collect::<Vec<_>>().into()),
        ("footing".into(), footing.collect::<Vec<_>>().into()),
    ])
}

fn cut_lists(done: &Done, u: &Units) -> Value {
    let l = u.length;
    let one = |row: &Value| {
        let demand: Vec<Value> = done
            .records("cut_demand")
            .iter()
            .filter(|piece| piece["bar"] == row["bar"])
            .map(|piece| json!([small(v(piece, "length", l), u), piece["count"]]))
            .collect();
        let scrap = v(row, "scrap", "percent").as_f64().expect("a share");
        let list = object(vec![
            (format!("demand_lengths_{}", u.small), demand.into()),
            ("pieces".into(), row["pieces"].clone()),
            (format!("total_{l}"), v(row, "length", l)),
            (format!("stock_{l}"), {
                let mut plans = done.records("cut_plans").iter();
                let plan = plans.find(|plan| plan["bar"] == row["bar"]).expect("a plan");
                v(plan, "stock", l)
            }),
            ("bars".into(), row["bars"].clone()),
            ("lower_bound".into(), row["bound"].clone()),
            ("certified_optimum".into(), row["proven"].clone()),
            ("first_fit_decreasing".into(), row["first_fit"].clone()),
            ("length_bound".into(), row["length_bound"].clone()),
            ("scrap_percent".into(), ((scrap * 1e4).round() / 1e4).into()),
            ("dual_certificate".into(), Value::Null),
            ("plan".into(), Value::Null),
        ]);
        (bar(&row["bar"]), list)
    };
    object(done.records("cut_lists").iter().map(one).collect())
}

pub(crate) fn lumber(done: &Done, u: &Units) -> Value {
    let l = u.length;
    let count = |id: &str| Value::from(done.quantity(id).round() as i64);
    let crosses: i64 = done
        .records("templates")
        .iter()
        .map(|row| row["cross_pieces"].as_i64().expect("a count"))
        .sum();
    object(vec![
        (format!("bulkhead_boards_{l}"), done.quantity("lumber.boards").into()),
        ("bulkhead_stakes".into(), count("lumber.bulkhead_stakes")),
        ("kickers".into(), count("lumber.kickers")),
        ("cross_pieces".into(), crosses.into()),
        (format!("cross_pieces_{l}"), done.quantity("lumber.cross_pieces").into()),
        ("template_stakes".into(), count("lumber.template_stakes")),
        (format!("long_piece_{l}"), done.quantity("lumber.long_piece").into()),
    ])
}

/// A cell of the price sheet.
fn money(done: &Done, cell: &str, u: &Units) -> Value {
    let name = format!("price.{cell}");
    let row = done.records("cells").iter().find(|row| row["cell"] == name.as_str());
    v(row.unwrap_or_else(|| panic!("no cell {name}")), "value", u.money)
}

pub(crate) fn price(done: &Done, u: &Units) -> Value {
    let lines = [
        ("footing concrete", "footing_concrete"),
        ("wall concrete", "wall_concrete"),
        ("wall forms", "wall_forms"),
        ("strip and clean", "strip_and_clean"),
        ("footing risers", "risers"),
        ("bars with waste", "steel"),
        ("excavation", "dig"),
        ("haul loose", "haul"),
        ("drain rock", "drain_rock"),
    ];
    let by = |name: &str| format!("{name}_{}", u.money);
    let line = |(name, cell): (&str, &str)| {
        object(vec![("line".into(), name.into()), (u.money.into(), money(done, cell, u))])
    };
    object(vec![
        ("lines".into(), lines.into_iter().map(line).collect::<Vec<_>>().into()),
        (by("direct"), money(done, "direct", u)),
        (by("overhead"), money(done, "overhead", u)),
        (by("profit"), money(done, "profit", u)),
        (by("total"), money(done, "total", u)),
    ])
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
        pairs.push((by("price", u.money), money(done, "total", u)));
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
    assert_eq!((demo, metric), (2_291, 1_176), "values compared");
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

/// Row fill of the specification: fewest pieces, then the larger list; none where none adds up exactly.
#[test]
fn rows_are_filled_exactly() {
    let cases = read_json("instances.json")["row_fill"]["cases"].clone();
    let cases = cases.as_array().expect("cases");
    let inch = |value: &Value| rodbook::measure::Nm(25_400_000 * value.as_i64().expect("inches"));
    for case in cases {
        let widths: Vec<_> =
            case["widths_available_in"].as_array().expect("widths").iter().map(inch).collect();
        let found = rodbook::forms::exact_fill(inch(&case["length_in"]), &widths);
        let expected = case["pieces_in"].as_array().map(|list| list.iter().map(inch).collect());
        assert_eq!(found, expected, "{case}");
    }
    assert_eq!(cases.len(), 11);
}
