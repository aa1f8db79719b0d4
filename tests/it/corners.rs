//! Corners of any angle: volumes, faces and edges against polygons, kits of forms as given, and what is refused.

use serde_json::Value;

use crate::support::{Done, Folder, fault_of, read_json, run};

/// Two walls that meet in one corner, on one level: the job of `tests/oracle/corners.py`.
const JOB: &str = r#"
[job]
name = "Corner"
case = "one_level_wall"
[alignment]
earth_side = "left"
[[wall]]
id = "A"
length = "40 ft"
stem = "12 in"
tops = [{ from = "0 ft", top = "210 ft" }]
[[wall]]
id = "B"
length = "30 ft"
turn = "TURN"
stem = "10 in"
tops = [{ from = "0 ft", top = "208 ft" }]
[ground.existing]
stations = [["0 ft", "206 ft"], ["70 ft", "206 ft"]]
[ground.finished_low]
stations = [["0 ft", "203 ft"], ["70 ft", "203 ft"]]
[ground.bearing]
stations = [["0 ft", "200 ft"], ["70 ft", "200 ft"]]
[one_level]
top_of_footing = "200 ft"
[rules]
frost_depth = "2 ft"
bearing_allowance = "0 ft"
[[type]]
id = "S8"
stem_up_to = "8 ft"
width = "5 ft"
thickness = "1 ft"
toe = "1.25 ft"
[[type]]
id = "S10"
stem_up_to = "10 ft"
width = "6.25 ft"
thickness = "1.25 ft"
toe = "1.5 ft"
[allowances]
dig = "mitred"
layback = "1:1"
layback_from = "footing top"
work_space_toe = "1 ft"
work_space_heel = "2 ft"
[footing_sides]
toe = "formed"
heel = "formed"
[layout_rates]
footing_concrete = "200 usd/cy"
wall_concrete = "200 usd/cy"
forms_one_face = "9 usd/sf"
dig = "30 usd/cy"
"#;

fn folder(text: &str) -> Folder {
    let folder = Folder::new();
    folder.write("job.toml", text);
    folder
}

fn turned(turn: &str) -> String {
    JOB.replace("TURN", turn)
}

fn near(ours: f64, theirs: f64, what: &str) {
    assert!((ours - theirs).abs() < 1e-5, "{what}: {ours} against {theirs}");
}

/// Source: polygons of an independent library, `tests/oracle/corners.py`.
#[test]
fn corners_of_any_angle_as_polygons_have_them() {
    let cases = read_json("corners.json");
    for case in cases.as_array().expect("cases") {
        let (kind, degrees) = (case["kind"].as_str().expect("a kind"), &case["turn_deg"]);
        // The same corner, and as seen in a mirror.
        let (side, other) = if kind == "convex" { ("left", "right") } else { ("right", "left") };
        let seen = turned(&format!("{side} {degrees} deg"));
        let mirrored = turned(&format!("{other} {degrees} deg"))
            .replace("earth_side = \"left\"", "earth_side = \"right\"");
        for text in [seen, mirrored] {
            let done = run(&folder(&text).0);
            let what = format!("{kind} {degrees}");
            let value = |name: &str| case[name].as_f64().expect("a number");
            near(done.quantity("stem.total") * 27.0, value("stem_cf"), &what);
            near(done.quantity("footing.total") * 27.0, value("footing_cf"), &what);
            near(done.quantity("forms.contact"), value("contact_sf"), &what);
            near(done.quantity("dig.bank") * 27.0, value("dig_mitred_cf"), &what);
            let edges = |name: &str| {
                let both = case[name].as_array().expect("two edges");
                1.25 * both[0].as_f64().expect("a number") + both[1].as_f64().expect("a number")
            };
            let formed = edges("toe_edges_ft") + edges("heel_edges_ft") + 6.25 * 1.25 + 5.0;
            near(done.quantity("edge.forms"), formed, &what);
            let corner = &done.records("corners")[0];
            assert_eq!(crate::expected::corner_word(&corner["kind"]), kind);
            near(corner["turn"]["value"].as_f64().expect("degrees"), value("turn_deg"), &what);
        }
    }
}

/// A case of battered stems on one level.
const LEANING: &str = "import \"wall_lines\" as lines;\n\
    fn grid() { \"one level\" }\n\
    fn quantities(job, layout) {\n\
        let t = new_takeoff(job, layout);\n\
        t.add(\"stem.runs\", \"Runs\", stem_runs(layout));\n\
        t.add(\"stem.batter\", \"Batter\", stem_batter(layout, 1.0 / 12.0, 1.0 / 6.0));\n\
        t.add(\"stem.corners\", \"Corners\", battered_corners(layout, 1.0 / 12.0, 1.0 / 6.0));\n\
        t.sum(\"stem.total\", \"Stem\", [\"stem.runs\", \"stem.batter\", \"stem.corners\"]);\n\
        t.add(\"forms.contact\", \"Forms\", battered_contact(layout, 1.0 / 12.0, 1.0 / 6.0));\n\
        t\n\
    }\n";

/// Source: polygons of an independent library, slice by slice, `tests/oracle/corners.py`.
#[test]
fn corners_of_battered_stems_as_polygons_have_them() {
    for case in read_json("corners.json").as_array().expect("cases") {
        let (kind, degrees) = (case["kind"].as_str().expect("a kind"), &case["turn_deg"]);
        let side = if kind == "convex" { "left" } else { "right" };
        let text = turned(&format!("{side} {degrees} deg")).replace("one_level_wall", "leaning");
        let folder = folder(&text);
        folder.write("scripts/leaning.rhai", LEANING);
        let done = run(&folder.0);
        let what = format!("battered, {kind} {degrees}");
        let value = |name: &str| case[name].as_f64().expect("a number");
        near(done.quantity("stem.total") * 27.0, value("battered_cf"), &what);
        near(done.quantity("forms.contact"), value("battered_contact_sf"), &what);
    }
}

/// A corner that is square as far as a form can follow is square to the last digit; just beyond, walls end at a line between
/// their edges in place of running through, which differs by what one is thicker or taller.
#[test]
fn a_right_angle_is_a_right_angle() {
    let lines = |done: &Done| {
        let of = |id: &str| done.quantity(id);
        ["stem.total", "footing.total", "forms.contact", "dig.bank", "edge.forms"].map(of)
    };
    // Walls of one height and thickness go on without a jump.
    let alike = |turn: &str| {
        let text = turned(turn)
            .replace("210 ft", "208 ft")
            .replace("stem = \"10 in\"", "stem = \"12 in\"");
        lines(&run(&folder(&text).0))
    };
    for (ours, theirs) in alike("left 90.11 deg").iter().zip(alike("left")) {
        assert!((ours / theirs - 1.0).abs() < 0.0005, "{ours} {theirs}");
    }
    let square = lines(&run(&folder(&turned("left")).0));
    assert_eq!(lines(&run(&folder(&turned("left 90.09 deg")).0)), square);
    for (ours, theirs) in lines(&run(&folder(&turned("left 90.11 deg")).0)).iter().zip(square) {
        assert!(*ours != theirs && (ours / theirs - 1.0).abs() < 0.01, "{ours} {theirs}");
    }
}

#[test]
fn turns_and_digs_that_are_refused() {
    let refused = |text: &str, words: &[&str]| {
        let fault = fault_of(&folder(text).0);
        for word in words {
            assert!(fault.contains(word), "{word} is not in: {fault}");
        }
    };
    refused(&turned("left 0.5 deg"), &["A and B turns 0.50 degrees", "1 to 135 degrees"]);
    refused(&turned("left 140 deg"), &["turns 140.00 degrees", "1 to 135 degrees"]);
    let solid = turned("left 45 deg").replace("dig = \"mitred\"\n", "");
    refused(&solid, &["turns 45.00 degrees", "square corners only", "allowances.dig = \"mitred\""]);
    refused(&turned("left N45°E"), &["wall B: \"left N45°E\" is not a turn"]);
    let kit =
        turned("left 45 deg").replace("stem = \"12 in\"", "stem = \"12 in\"\nkit_end = \"18 in\"");
    refused(&kit, &["wall A: kits of forms are given, and the wall case has no panels"]);
    // A jog whose toe is short at one corner and whose heel is at the other is dug as it is.
    let jog = "[[wall]]\nid = \"C\"\nlength = \"30 ft\"\nturn = \"right 45 deg\"\nstem = \"10 in\"\ntops = [{ from = \"0 ft\", top = \"208 ft\" }]\n";
    let jog = turned("left 45 deg")
        .replace("length = \"30 ft\"", "length = \"9 ft\"")
        .replace("[ground.existing]", &format!("{jog}[ground.existing]"));
    assert!(run(&folder(&jog).0).quantity("dig.bank") > 0.0);
    // A short wall between two corners whose banks meet over it.
    let third = "[[wall]]\nid = \"C\"\nlength = \"30 ft\"\nturn = \"left 60 deg\"\nstem = \"10 in\"\ntops = [{ from = \"0 ft\", top = \"208 ft\" }]\n";
    let short = turned("left 60 deg")
        .replace("length = \"30 ft\"", "length = \"8 ft\"")
        .replace("[ground.existing]", &format!("{third}[ground.existing]"));
    refused(&short, &["wall B is 8.00 ft long", "meet over it", "allowances.dig = \"section\""]);
    let filled = turned("left 45 deg") + "[backfill]\nshrink = 10\n";
    refused(&filled, &["backfill needs the dig as a solid"]);
}

/// The corner job on panels of 24 in, with forms.
fn on_panels(kits: [&str; 2]) -> String {
    let kit = |key: &str, length: &str| match length {
        "" => String::new(),
        _ => format!("{key} = \"{length}\"\n"),
    };
    turned("left 45 deg")
        .replace("case = \"one_level_wall\"\n", "")
        .replace(
            "[one_level]\ntop_of_footing = \"200 ft\"\n",
            "[module]\npanel = \"24 in\"\nrise = \"12 in\"\ncorner_leg = \"8 in\"\nlevel_0 = \"200 ft\"\nlowest_level = 0\nhighest_level = 0\n",
        )
        .replace(
            "bearing_allowance = \"0 ft\"\n",
            "bearing_allowance = \"0 ft\"\nshortest_run = \"4 ft\"\nmost_levels = 1\ncorner_clear = \"6 ft\"\noverlap_step = \"1 in\"\n",
        )
        .replace("dig = \"30 usd/cy\"\n", "dig = \"30 usd/cy\"\nriser_each = \"100 usd/each\"\nrise_each_level = \"30 usd/each\"\n")
        .replacen("stem = \"12 in\"\n", &format!("stem = \"12 in\"\n{}", kit("kit_end", kits[0])), 1)
        .replacen("stem = \"10 in\"\n", &format!("stem = \"10 in\"\n{}", kit("kit_start", kits[1])), 1)
        + "[forms]\ncourse = \"1 ft\"\ncorner_sets = 4\n[[forms.panel]]\nheight = \"8 ft\"\nties = 3\nowned = 100\n[[forms.panel]]\nheight = \"2 ft\"\nties = 1\nowned = 100\n[[forms.filler]]\nwidth = \"6 in\"\nowned = 8\n"
}

fn feet(row: &Value, column: &str) -> f64 {
    let value = row[column]["value"].as_f64().expect("a number");
    if row[column]["unit"] == "in" { value / 12.0 } else { value }
}

/// A bend of stems and footings of different sizes: no line runs past its wall, and what is measured hardly differs from walls
/// in one line.
#[test]
fn a_slight_bend_is_nearly_straight() {
    let lines = |turn: &str| {
        let done = run(&folder(&turned(turn)).0);
        ["stem.total", "footing.total", "forms.contact", "dig.bank"].map(|id| done.quantity(id))
    };
    let (left, right) = (lines("left 1 deg"), lines("right 1 deg"));
    for (a, b) in left.iter().zip(right) {
        assert!((a / b - 1.0).abs() < 0.01, "{a} to the left, {b} to the right");
    }
    // 40 x 10 x 1 + 30 x 8 x 10/12 cf of stem without the bend.
    assert!((left[0] * 27.0 - 600.0).abs() < 0.2, "{}", left[0] * 27.0);
}

/// Worked by hand: a turn of 45 degrees, stems of 12 and 10 in. The earth face of A ends (10 - 12 cos 45) / sin 45 = 2.142 in
/// before the exposed face, that of B (12 - 10 cos 45) / sin 45 = 6.971 in; common practice, no source, for the kits.
#[test]
fn kits_of_oblique_corners_are_given_and_lined_up() {
    let done = run(&folder(&on_panels(["18 in", "12 in"])).0);
    let grid = done.records("panel_grid");
    // The corner decides where panels are counted from, as at square corners.
    assert_eq!(
        (grid[0]["origin"].as_str(), grid[1]["origin"].as_str()),
        (Some("end"), Some("start"))
    );
    near(feet(&grid[0], "kit_end"), 1.5, "kit of A");
    near(feet(&grid[1], "kit_start"), 1.0, "kit of B");
    let fillers = done.records("form_fillers");
    let corner: Vec<(&str, f64)> = fillers
        .iter()
        .filter(|row| row["what"] == "corner filler")
        .map(|row| (row["face"].as_str().expect("a face"), feet(row, "width")))
        .collect();
    assert_eq!(corner, [("exposed", 1.5), ("exposed", 1.0)]);
    let hinged = done.records("form_yard").iter().find(|row| row["part"] == "hinged corner set");
    let hinged = hinged.expect("a hinged set");
    assert_eq!((hinged["needed"].as_i64(), hinged["owned"].as_i64()), (Some(1), Some(0)));
    assert!(done.records("form_yard").iter().all(|row| row["part"] != "corner set"));

    let without = fault_of(&folder(&on_panels(["18 in", ""])).0);
    assert!(without.contains("wall B: the corner with A turns 45.00 degrees"), "{without}");
    assert!(without.contains("give kit_start to this wall"), "{without}");
    // 6.971 in of the earth face are missing at B.
    let short = fault_of(&folder(&on_panels(["18 in", "6 in"])).0);
    assert!(short.contains("the earth face ends 0'-7\" before the exposed face"), "{short}");
    let free = on_panels(["18 in", "12 in"])
        .replace("kit_end = \"18 in\"", "kit_start = \"1 ft\"\nkit_end = \"18 in\"");
    let free = fault_of(&folder(&free).0);
    assert!(free.contains("wall A: kit_start is given") && free.contains("lead_start"), "{free}");
    let square = on_panels(["18 in", "12 in"]).replace("left 45 deg", "left");
    let square = fault_of(&folder(&square).0);
    assert!(
        square.contains("wall A: kit_end is given, but the corner with B is square"),
        "{square}"
    );
}

/// Computed from the outline of two legs, 30 and 20 ft on their outer faces, 12 in thick and 8 ft high: t (L1 + L2) - t2 tan(f/2)
/// in plan; on their inner faces the sign turns. 45 degrees: 14.6921 and 14.9375 cy; 135 degrees: 47.5858 sf of plan.
#[test]
fn mitred_legs_by_their_outlines() {
    let stem = |turn: &str| {
        let text = turned(turn)
            .replace("length = \"30 ft\"", "length = \"20 ft\"")
            .replace("length = \"40 ft\"", "length = \"30 ft\"")
            .replace("210 ft", "208 ft")
            .replace("stem = \"10 in\"", "stem = \"12 in\"")
            .replace("\"70 ft\"", "\"50 ft\"")
            .replace("dig = \"mitred\"", "dig = \"section\"");
        run(&folder(&text).0).quantity("stem.total")
    };
    for (turn, cubic_yards) in [
        ("left 45 deg", 14.692_085),
        ("right 45 deg", 14.937_545),
        ("left 135 deg", 47.585_786 * 8.0 / 27.0),
    ] {
        assert!((stem(turn) - cubic_yards).abs() < 2e-6, "{turn}: {}", stem(turn));
    }
}
