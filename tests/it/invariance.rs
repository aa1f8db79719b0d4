//! The same job told another way gives the same totals: mirrored, reversed, shuffled, lifted, in metres.

use serde_json::{Value, json};

use crate::support::{Done, read_json, read_text, run_spec};

const LINES: [&str; 9] = [
    "footing.runs",
    "footing.overlaps",
    "footing.total",
    "stem.total",
    "forms.contact",
    "dig.section",
    "dig.bank",
    "dig.loose",
    "drain.rock",
];

fn same_totals(done: &Done, what: &str) {
    let demo = run_spec(&read_json("job.json"), &read_text("shots.csv"));
    assert!(
        (done.cost_nano() - demo.cost_nano()).abs() <= 1_000,
        "{what}: {} against {}",
        done.cost_nano(),
        demo.cost_nano()
    );
    assert_eq!(done.risers(), demo.risers(), "{what}");
    for id in LINES {
        let (ours, theirs) = (done.quantity(id), demo.quantity(id));
        assert!((ours - theirs).abs() < 1e-6, "{what} {id}: {ours} against {theirs}");
    }
}

/// Bars, forms, lumber and price are the same too.
fn same_works(done: &Done, what: &str) {
    let demo = run_spec(&read_json("job.json"), &read_text("shots.csv"));
    for id in ["bars.total", "forms.ties", "lumber.boards", "lumber.cross_pieces", "lumber.stakes"]
    {
        let (ours, theirs) = (done.quantity(id), demo.quantity(id));
        assert!((ours - theirs).abs() < 1e-6, "{what} {id}: {ours} against {theirs}");
    }
    for name in ["panel_counts", "form_yard", "bar_totals", "bar_weights", "cut_lists", "stakes"] {
        assert_eq!(done.records(name), demo.records(name), "{what}: {name}");
    }
    let price = |done: &Done| {
        let book = &done.work.calc.book;
        book.words(book.find("price.total").expect("a price"))
    };
    assert_eq!(price(done), price(&demo), "{what}");
}

/// Rows of the demo's shots with each of N, E and Z changed.
fn shots(change: impl Fn(f64, f64, f64) -> (f64, f64, f64)) -> String {
    let text = read_text("shots.csv");
    let mut lines = text.lines();
    let mut out = format!("{}\n", lines.next().expect("a header"));
    for line in lines {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |i: usize| cells[i].parse::<f64>().unwrap_or(f64::NAN);
        let (n, e, z) = change(number(1), number(2), number(3));
        let show = |x: f64| if x.is_nan() { String::new() } else { format!("{x:.8}") };
        out += &format!("{},{},{},{},{}\n", cells[0], show(n), show(e), show(z), cells[4]);
    }
    out
}

fn points(spec: &mut Value, change: impl Fn(&mut Value)) {
    spec["alignment"]["points"].as_array_mut().expect("points").iter_mut().for_each(change);
}

#[test]
fn mirrored() {
    let mut spec = read_json("job.json");
    spec["alignment"]["earth_side"] = json!("right");
    points(&mut spec, |point| point["E_ft"] = json!(-point["E_ft"].as_f64().expect("a number")));
    let done = run_spec(&spec, &shots(|n, e, z| (n, -e, z)));
    same_totals(&done, "mirrored");
    same_works(&done, "mirrored");
    assert_eq!(done.cost_nano(), 39_526_930_688_943);
}

#[test]
fn reversed() {
    let mut spec = read_json("job.json");
    spec["alignment"]["earth_side"] = json!("right");
    spec["alignment"]["points"].as_array_mut().expect("points").reverse();
    let walls = spec["walls"].as_array_mut().expect("walls");
    walls.reverse();
    for wall in walls {
        let (from, to) = (wall["from"].clone(), wall["to"].clone());
        wall["from"] = to;
        wall["to"] = from;
    }
    let done = run_spec(&spec, &read_text("shots.csv"));
    same_totals(&done, "reversed");
    same_works(&done, "reversed");
    let mut levels = done.levels();
    levels.reverse();
    assert_eq!(levels, run_spec(&read_json("job.json"), &read_text("shots.csv")).levels());
}

#[test]
fn turned() {
    let mut spec = read_json("job.json");
    points(&mut spec, |point| {
        let (e, n) = (point["E_ft"].clone(), point["N_ft"].clone());
        point["E_ft"] = json!(-n.as_f64().expect("a number"));
        point["N_ft"] = e;
    });
    same_totals(&run_spec(&spec, &shots(|n, e, z| (e, -n, z))), "turned");
}

#[test]
fn shuffled() {
    let text = read_text("shots.csv");
    let mut lines: Vec<&str> = text.lines().collect();
    let header = lines.remove(0);
    // A fixed shuffle; shots of one name keep their order.
    lines.sort_by_key(|line| {
        let name = line.split(',').next().unwrap_or("");
        name.bytes().fold(7_u64, |hash, byte| hash.wrapping_mul(0x0100_0000_01b3) ^ u64::from(byte))
            % 1009
    });
    let shuffled = format!("{header}\n{}\n", lines.join("\n"));
    assert_ne!(shuffled, text);
    same_totals(&run_spec(&read_json("job.json"), &shuffled), "shuffled");
}

#[test]
fn lifted() {
    let mut spec = read_json("job.json");
    let lift = |value: &mut Value| *value = json!(value.as_f64().expect("a number") + 1000.0);
    for wall in spec["walls"].as_array_mut().expect("walls") {
        wall["tops"]
            .as_array_mut()
            .expect("tops")
            .iter_mut()
            .for_each(|top| lift(&mut top["top_ft"]));
    }
    lift(&mut spec["module"]["tof_level0_ft"]);
    lift(&mut spec["benchmark"]["elevation_ft"]);
    same_totals(&run_spec(&spec, &shots(|n, e, z| (n, e, z + 1000.0))), "lifted");
}

/// Every length in metres; the rates stay per cubic yard and square foot.
#[test]
fn in_metres() {
    let mut spec = read_json("job.json");
    fn convert(value: &mut Value) {
        match value {
            Value::Object(object) => {
                let keys: Vec<String> = object.keys().cloned().collect();
                for key in keys {
                    let metres = |factor: f64, x: &Value| {
                        json!(
                            format!("{:.8}", x.as_f64().unwrap_or(0.0) * factor)
                                .parse::<f64>()
                                .expect("a number")
                        )
                    };
                    let rate = key.contains("usd") || key.contains("_per_");
                    let (base, factor) = match (key.strip_suffix("_ft"), key.strip_suffix("_in")) {
                        (Some(base), _) => (base.to_owned(), 0.3048),
                        (_, Some(base)) => (base.to_owned(), 0.0254),
                        _ => {
                            convert(&mut object[&key]);
                            continue;
                        }
                    };
                    if !rate && object[&key].is_number() {
                        let converted = metres(factor, &object[&key]);
                        object.remove(&key);
                        object.insert(format!("{base}_m"), converted);
                    }
                }
            }
            Value::Array(items) => items.iter_mut().for_each(convert),
            _ => {}
        }
    }
    convert(&mut spec);
    spec["shots"]["length_unit"] = json!("m");
    let metres = |x: f64| (x * 0.3048 * 1e8).round() / 1e8;
    let done = run_spec(&spec, &shots(|n, e, z| (metres(n), metres(e), metres(z))));
    same_totals(&done, "in metres");
    assert_eq!(done.cost_nano(), 39_526_930_688_943);
}
