//! Curved walls as chords of panels: lengths and volumes against polygons, fillers, steps on the corners between chords, and
//! what is refused.

use crate::support::{Done, Folder, fault_of, read_json, run};

/// A curve alone on one level: the job of `tests/oracle/curves.py`.
const JOB: &str = r#"
[job]
name = "Curve"
case = "CASE"
[alignment]
earth_side = "EARTH"
[[wall]]
id = "C"
curve = "SIDE DEGREES deg"
radius = "RADIUS ft"
DIVISION
stem = "12 in"
tops = [{ from = "0 ft", top = "108 ft" }]
[ground.existing]
stations = [["0 ft", "104 ft"], ["70 ft", "FAR ft"]]
[ground.finished_low]
stations = [["0 ft", "103 ft"], ["70 ft", "FAR ft"]]
[ground.bearing]
stations = [["0 ft", "100 ft"], ["70 ft", "FAR ft"]]
GRID
[rules]
frost_depth = "0 ft"
bearing_allowance = "0 ft"
shortest_run = "4 ft"
most_levels = 1
corner_clear = "6 ft"
overlap_step = "1 in"
[[type]]
id = "S8"
stem_up_to = "8 ft"
width = "5 ft"
thickness = "1.25 ft"
toe = "1.25 ft"
[allowances]
dig = "mitred"
layback = "0:1"
[footing_sides]
toe = "formed"
heel = "formed"
[layout_rates]
footing_concrete = "200 usd/cy"
wall_concrete = "200 usd/cy"
forms_one_face = "9 usd/sf"
dig = "30 usd/cy"
riser_each = "240 usd"
rise_each_level = "60 usd"
"#;
const ON_ONE_LEVEL: &str = "[one_level]\ntop_of_footing = \"100 ft\"\n";
const PANELS: &str = "[module]\npanel = \"2 ft\"\nrise = \"12 in\"\ncorner_leg = \"8 in\"\nlevel_0 = \"100 ft\"\nlowest_level = 0\nhighest_level = 6\n\
                      [forms]\ncourse = \"1 ft\"\ncorner_sets = 2\npanel = [{ height = \"4 ft\", ties = 2, owned = 90 }, { height = \"2 ft\", ties = 1, owned = 90 }, { height = \"1 ft\", ties = 1, owned = 90 }]\n";

fn near(ours: f64, theirs: f64, most: f64, what: &str) {
    assert!((ours - theirs).abs() < most, "{what}: {ours} against {theirs}");
}

/// A job of a curve; its ground climbs to `far` at 70 ft.
fn curve(radius: f64, degrees: f64, division: &str, convex: bool, side: &str) -> String {
    let other = if side == "left" { "right" } else { "left" };
    JOB.replace("EARTH", if convex { side } else { other })
        .replace("SIDE", side)
        .replace("DEGREES", &degrees.to_string())
        .replace("RADIUS", &radius.to_string())
        .replace("DIVISION", division)
}

fn done(text: &str) -> Done {
    let folder = Folder::new();
    folder.write("job.toml", text);
    run(&folder.0)
}

fn refused(text: &str) -> String {
    let folder = Folder::new();
    folder.write("job.toml", text);
    fault_of(&folder.0)
}

fn level(text: &str) -> String {
    text.replace("CASE", "one_level_wall").replace("GRID", ON_ONE_LEVEL).replace("FAR", "104")
}

/// Source: polygons of an independent library, `tests/oracle/curves.py`.
#[test]
fn chords_as_polygons_have_them() {
    for case in read_json("curves.json").as_array().expect("cases") {
        let value = |name: &str| case[name].as_f64().expect("a number");
        let convex = case["kind"] == "convex";
        let (radius, degrees) = (value("radius_ft"), value("sweep_deg"));
        let what = format!("{} {radius} ft {degrees} deg", case["kind"]);
        // To the left, and as seen in a mirror.
        for side in ["left", "right"] {
            let division = format!("chord = \"{} ft\"", value("chord_ft"));
            let text = level(&curve(radius, degrees, &division, convex, side));
            let done = done(&text);
            near(done.quantity("stem.total") * 27.0, value("stem_cf"), 1e-5, &what);
            near(done.quantity("footing.total") * 27.0, value("footing_cf"), 1e-5, &what);
            near(done.quantity("forms.contact"), value("contact_sf"), 1e-5, &what);
            let edges = case["edges_ft"].as_array().expect("two edges");
            let both: f64 = edges.iter().map(|edge| edge.as_f64().expect("a number")).sum();
            near(done.quantity("edge.forms"), 1.25 * (both + 10.0), 1e-5, &what);
            let row = &done.records("curves")[0];
            let of = |name: &str| row[name]["value"].as_f64().expect("a measure");
            assert_eq!(row["chords"].as_u64(), case["chords"].as_u64(), "{what}");
            near(of("chord"), value("chord_exposed_ft"), 1e-6, &what);
            near(of("off"), value("off_in"), 1e-4, &what);
            near(of("filler"), value("filler_in"), 1e-4, &what);
            near(of("shorter"), value("arc_less_chords_in"), 1e-4, &what);
        }
    }
}

/// Source: own computation, chords of a circle: six on 60 degrees of 40 ft are 6.9725 ft each, their middles 1.827 in off.
#[test]
fn equal_chords() {
    let done = done(&level(&curve(40.0, 60.0, "chords = 6", true, "left")));
    let row = &done.records("curves")[0];
    near(row["chord"]["value"].as_f64().expect("a length"), 6.9725, 5e-5, "chord");
    near(row["off"]["value"].as_f64().expect("a length"), 1.827, 5e-4, "off the arc");
    assert_eq!(done.records("walls").len(), 6);
}

fn on_panels(text: &str, far: &str) -> String {
    text.replace("CASE", "stepped_wall").replace("GRID", PANELS).replace("FAR", far)
}

/// A riser may stand on the corner between two chords, where the panels of both end.
#[test]
fn a_step_on_a_corner_between_chords() {
    for (side, convex) in [("left", true), ("right", true), ("left", false)] {
        let text = on_panels(&curve(50.0, 60.0, "chord = \"8 ft\"", convex, side), "105");
        let text = text
            + "[[lock]]\nwall = \"C.3\"\nfrom = \"0 ft\"\nwhat = \"riser\"\nwhy = \"joint of the panels\"\n";
        let done = done(&text);
        let steps = done.records("steps");
        let step = steps.iter().find(|step| step["wall"] == "C.3").expect("a step on C.3");
        near(step["station"]["value"].as_f64().expect("a station"), 0.0, 1e-9, "station");
        // No joint beside the corner is one too: risers stand on it alone.
        let allowed = |wall: &str| -> Vec<f64> {
            let rows = done.records("panel_joints");
            let rows =
                rows.iter().filter(|row| row["wall"] == wall && row["riser_allowed"] == true);
            rows.map(|row| row["station"]["value"].as_f64().expect("a station")).collect()
        };
        assert_eq!(allowed("C.3").len(), 4, "{side} {convex}");
        // Every panel stands between its joints, and what the longer face has more is fillers.
        let fillers: f64 = done
            .records("form_fillers")
            .iter()
            .filter(|row| row["what"] == "corner filler" && row["wall"] == "C.3")
            .map(|row| row["width"]["value"].as_f64().expect("a width"))
            .sum();
        let row = &done.records("curves")[0];
        near(
            fillers * 12.0,
            row["filler"]["value"].as_f64().expect("a width"),
            1e-4,
            "fillers of C.3",
        );
        let yard = done.records("form_yard");
        assert!(
            yard.iter()
                .all(|row| row["part"] != "corner set" && row["part"] != "hinged corner set")
        );
    }
}

/// Tops go by the stations of the curve, zones and pours by its name.
#[test]
fn a_curve_is_named_as_one_wall() {
    let text = on_panels(&curve(50.0, 60.0, "chord = \"8 ft\"", false, "left"), "105").replace(
        "tops = [{ from = \"0 ft\", top = \"108 ft\" }]",
        "tops = [{ from = \"0 ft\", top = \"108 ft\" }, { from = \"16 ft\", top = \"107 ft\" }]",
    );
    let text = text
        + "[[rules.no_step]]\nwall = \"C\"\nfrom = \"10 ft\"\nto = \"30 ft\"\n[[forms.pour]]\nname = \"one\"\nwalls = [\"C\"]\nstands = 2\n";
    let done = done(&text);
    assert!(!done.records("steps").is_empty());
    for step in done.records("steps") {
        let at = step["chain"]["value"].as_f64().expect("a station");
        assert!(!(10.0..=30.0).contains(&at), "a riser at {at}");
    }
    let tops: Vec<(String, f64)> = done
        .records("stem_pieces")
        .iter()
        .map(|row| {
            (
                row["wall"].as_str().unwrap_or_default().to_owned(),
                row["top"]["value"].as_f64().expect("a top"),
            )
        })
        .collect();
    for (wall, top) in tops {
        assert_eq!(
            top,
            if ["C.1", "C.2"].contains(&wall.as_str()) { 108.0 } else { 107.0 },
            "{wall}"
        );
    }
}

/// Between two points a curve follows from them.
#[test]
fn between_points_or_by_its_angle() {
    let by_angle = level(&curve(50.0, 60.0, "chords = 6", true, "left"));
    // The chord of 60 degrees is as long as the radius.
    let between = by_angle
        .replace("earth_side = \"left\"\n", "earth_side = \"left\"\npoints = [{ id = \"P\", east = \"0 ft\", north = \"0 ft\" }, { id = \"Q\", east = \"50 ft\", north = \"0 ft\" }]\n")
        .replace("curve = \"left 60 deg\"", "from = \"P\"\nto = \"Q\"\ncurve = \"left\"");
    let (one, two) = (done(&by_angle), done(&between));
    for line in ["stem.total", "footing.total", "forms.contact", "dig.bank"] {
        near(one.quantity(line), two.quantity(line), 1e-6, line);
    }
}

#[test]
fn what_is_no_curve_is_refused() {
    let sound = level(&curve(50.0, 60.0, "chord = \"8 ft\"", true, "left"));
    let rows = [
        ("curve = \"left 60 deg\"", "curve = \"up 60 deg\"", "\"up 60 deg\" is not a curve"),
        ("curve = \"left 60 deg\"", "curve = \"left\"", "nothing says how far the curve C turns"),
        ("curve = \"left 60 deg\"\n", "", "nothing says to which side it curves"),
        ("radius = \"50 ft\"\n", "", "this curve has no radius"),
        ("radius = \"50 ft\"", "radius = \"1 ft\"", "the stem is as thick as the radius"),
        ("radius = \"50 ft\"", "radius = \"12 ft\"", "turn too far on this radius"),
        ("chord = \"8 ft\"\n", "", "by the length of its chords, or by how many"),
        (
            "chord = \"8 ft\"\n",
            "chord = \"8 ft\"\nchords = 3\n",
            "by the length of its chords, or by how many",
        ),
        ("chord = \"8 ft\"\n", "chords = 2\n", "a chord would turn 30.0 degrees"),
        (
            "chord = \"8 ft\"\n",
            "chord = \"8 ft\"\nlength = \"30 ft\"\n",
            "has a length and is a curve",
        ),
    ];
    for (from, to, expected) in rows {
        assert!(sound.contains(from), "{from}");
        let told = refused(&sound.replace(from, to));
        assert!(told.contains(expected), "{to}: {told}");
    }
}

fn bundled(name: &str) -> String {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/cases");
    std::fs::read_to_string(root.join(name).join("job.toml")).expect("a bundled job")
}

/// A zone holds at both its ends: also for a riser on the corner between chords where it ends, which is counted to the next wall.
#[test]
fn a_zone_holds_on_the_corner_where_it_ends() {
    let allowed = |text: &str| {
        let done = done(text);
        let rows = done.records("panel_joints");
        rows.iter().any(|row| {
            row["wall"] == "C.1" && row["station"]["value"] == 0.0 && row["riser_allowed"] == true
        })
    };
    let text = bundled("curved_wall");
    let zone = "\n[[rules.no_step]]\nwall = \"A\"\nfrom = \"8 ft\"\nto = \"16'-0 1/2\\\"\"\n[[type]]\nid = \"S7\"";
    let zoned = text.replacen("\n[[type]]\nid = \"S7\"", zone, 1);
    assert_ne!(zoned, text);
    assert!(allowed(&text) && !allowed(&zoned));
}

/// What stands at a spacing does not begin anew at every chord.
#[test]
fn spacings_run_over_the_corners_between_chords() {
    let curve = "curve = \"left 45 deg\"\nradius = \"60 ft\"\nchord = \"8 ft\"";
    let on_a_curve = |name: &str| {
        let text = bundled(name).replacen("length = \"40 ft\"", curve, 1);
        done(&text.replace("dig = \"section\"", "dig = \"mitred\""))
    };
    // Own count: 47.09 ft of chords, joints every 10 ft between their ends; pilasters at 4, 12, 20, 28, 36 and 44 ft.
    assert_eq!(on_a_curve("low_wall").quantity("joints.count"), 4.0);
    assert_eq!(on_a_curve("pilaster_wall").quantity("pilasters.count"), 6.0);
    // Two stretches, one on either side of the step, whose lengths make 47.09 ft.
    let forts = on_a_curve("counterfort_wall");
    let steps = forts.records("steps");
    let at = steps[0]["chain"]["value"].as_f64().expect("a station");
    let own = (at / 10.0).ceil() + 1.0 + ((47.09 - at) / 10.0).ceil() + 1.0;
    assert_eq!((steps.len(), forts.quantity("forts.count")), (1, own));
}

/// Under a sloping top bars are spread over all panels as over a level one, and their lengths can be cut.
#[test]
fn bars_under_a_sloping_top() {
    let bars = "\n[bars]\nfirst_bar = \"3 in\"\nground_cover = \"3 in\"\ntop_cover = \"2 in\"\nend_cover = \"2 in\"\nstock = \"20 ft\"\nlongitudinal = \"#4\"\nhorizontal = \"#4\"\ncorner = \"#4\"\nstep = \"#4\"\nfirst_row = \"6 in\"\nrow_spacing = \"12 in\"\nconcrete = \"3000 psi\"\nsteel = \"60000 psi\"\n[[bar]]\nid = \"#4\"\nlap = \"30 in\"\n";
    let of_type = "toe = \"1 ft\"\nbars = { vertical = \"#4\", vertical_spacing = \"18 in\", foot_leg = \"12 in\", transverse = \"#4\", transverse_spacing = \"16 in\", longitudinals = 4 }";
    let of_other = of_type.replace("toe = \"1 ft\"", "toe = \"1.5 ft\"");
    let sloping = bundled("sloping_top")
        .replace("toe = \"1 ft\"", of_type)
        .replace("toe = \"1.5 ft\"", &of_other)
        .replace(
            "work = \"reinforcing steel\"\nwhy = \"by others until the job lists its bars\"",
            "work = \"reinforcing steel\"\nwhy = \"by others\"",
        )
        + bars;
    let done = done(&sloping);
    // 14 ft of one type under the slope from 26 to 40 ft: one bar 3 in from either end, no more than 18 in between.
    let placed: f64 = done
        .records("bars_placed")
        .iter()
        .filter(|row| {
            row["role"] == "vertical"
                && row["from"]["value"].as_f64().is_some_and(|from| from >= 26.0)
        })
        .map(|row| row["count"].as_f64().expect("a count"))
        .sum();
    assert_eq!(placed, (13.5_f64 / 1.5).ceil() + 1.0);
    let told = done.records("bar_rows");
    assert!(
        told.iter()
            .any(|row| row["caution"].as_str().is_some_and(|text| text.contains("the top slopes")))
    );
}
