//! Shared by the tests: jobs in the form of the specification turned into job folders, run in process.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use rodbook::job::{Job, OpenOptions, Work, json, work};
use rodbook::sheet::Book;
use rodbook::takeoff::{Takeoff, WallJob};
use serde_json::{Map, Value};

/// The folder of the test data.
pub(crate) fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name)
}

/// A JSON file of the test data.
pub(crate) fn read_json(name: &str) -> Value {
    let text = std::fs::read_to_string(data(name)).expect("test data");
    serde_json::from_str(&text).expect("test data is JSON")
}

/// A text file of the test data.
pub(crate) fn read_text(name: &str) -> String {
    std::fs::read_to_string(data(name)).expect("test data")
}

/// Whole numbers by a fixed rule, so that every run of a seed tests the same.
pub(crate) struct Numbers(pub(crate) u64);

impl Numbers {
    pub(crate) fn below(&mut self, end: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }

    pub(crate) fn between(&mut self, low: f64, high: f64, step: f64) -> f64 {
        low + step * self.below(((high - low) / step) as u64 + 1) as f64
    }

    pub(crate) fn one_of<'t>(&mut self, texts: &[&'t str]) -> &'t str {
        texts[usize::try_from(self.below(texts.len() as u64)).expect("small")]
    }
}

/// A fresh folder that is removed when dropped.
pub(crate) struct Folder(pub(crate) PathBuf);

impl Folder {
    pub(crate) fn new() -> Self {
        static NEXT: AtomicUsize = AtomicUsize::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let path =
            std::env::temp_dir().join(format!("rodbook-test-{}-{number}", std::process::id()));
        std::fs::create_dir_all(&path).expect("temporary folder");
        Self(path)
    }

    pub(crate) fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.0.join(name);
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("folder");
        std::fs::write(&path, text).expect("temporary file");
        path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The text of job.toml without some of its tables.
pub(crate) fn without_tables(text: &str, tables: &[&str]) -> String {
    let mut left = false;
    let lines = text.lines().filter(|line| {
        if line.starts_with('[') {
            left = tables.contains(line);
        }
        !left
    });
    lines.map(|line| format!("{line}\n")).collect()
}

/// What a script of a job that was worked through runs on.
pub(crate) fn on(done: &Done) -> Option<(&Arc<WallJob>, &Takeoff, &Book)> {
    let takeoff = done.work.takeoff.as_ref()?;
    Some((&done.job.wall_job, takeoff, &done.work.calc.book))
}

/// A job that was worked through, and its machine-readable result.
pub(crate) struct Done {
    pub(crate) job: Job,
    pub(crate) work: Work,
    pub(crate) json: Value,
}

/// Opens and works a job folder.
pub(crate) fn run(folder: &Path) -> Done {
    run_with(folder, &[])
}

/// Opens and works a job folder with settings replaced.
pub(crate) fn run_with(folder: &Path, settings: &[(&str, &str)]) -> Done {
    let overrides =
        settings.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())).collect();
    let options = OpenOptions { overrides, ..OpenOptions::default() };
    let job = Job::open(folder, &options).unwrap_or_else(|faults| panic!("{faults}"));
    let done = work(&job, &|_| {}).unwrap_or_else(|faults| panic!("{faults}"));
    let json = serde_json::from_str(&json(&job, &done)).expect("our JSON");
    Done { job, work: done, json }
}

/// What stops the work of a job folder.
pub(crate) fn fault_of(folder: &Path) -> String {
    let result = Job::open(folder, &OpenOptions::default()).and_then(|job| work(&job, &|_| {}));
    result.err().map_or_else(|| "nothing stops it".to_owned(), |faults| faults.to_string())
}

/// Runs a job in the form of the specification with this shot list.
pub(crate) fn run_spec(spec: &Value, shots: &str) -> Done {
    let folder = Folder::new();
    folder.write("job.toml", job_toml(spec));
    folder.write("shots.csv", shots);
    run(&folder.0)
}

/// Runs a job given as settings.
pub(crate) fn run_job_toml(settings: &str, shots: &str) -> Done {
    let folder = Folder::new();
    folder.write("job.toml", settings);
    folder.write("shots.csv", shots);
    run(&folder.0)
}

impl Done {
    /// A record set of the result.
    pub(crate) fn records(&self, name: &str) -> &Vec<Value> {
        self.json["records"][name].as_array().unwrap_or_else(|| panic!("no record set {name}"))
    }

    /// The level of every cell.
    pub(crate) fn levels(&self) -> Vec<i64> {
        self.records("cell_levels")
            .iter()
            .map(|row| row["level"].as_i64().expect("a level"))
            .collect()
    }

    /// Cost of the layout in 1e-9.
    pub(crate) fn cost_nano(&self) -> i128 {
        let text = self.records("layout_costs")[0]["cost_nano"].as_str().expect("a text");
        text.parse().expect("a whole number")
    }

    pub(crate) fn risers(&self) -> usize {
        self.records("steps").len()
    }

    /// Quantity of a line in its unit.
    pub(crate) fn quantity(&self, id: &str) -> f64 {
        let lines = self.records("lines");
        let line =
            lines.iter().find(|line| line["id"] == id).unwrap_or_else(|| panic!("no line {id}"));
        line["quantity"]["value"].as_f64().expect("a number")
    }

    pub(crate) fn feasible(&self) -> bool {
        self.json["feasible"].as_bool().expect("a flag")
    }
}

const UNITS: [&str; 4] = ["ft", "in", "mm", "m"];

/// The key of a quantity whose unit is its ending.
fn find<'a>(object: &'a Value, name: &str) -> Option<(&'a Value, &'static str)> {
    UNITS.iter().find_map(|unit| Some((object.get(format!("{name}_{unit}"))?, *unit)))
}

fn number(value: &Value) -> String {
    value.to_string()
}

fn length(object: &Value, name: &str) -> Option<String> {
    let (value, unit) = find(object, name)?;
    (!value.is_null()).then(|| format!("{} {unit}", number(value)))
}

fn need(object: &Value, name: &str) -> String {
    length(object, name).unwrap_or_else(|| panic!("{name} is missing in {object}"))
}

/// A price whose key ends in its unit: `..._usd_per_cy`.
fn price(object: &Value, name: &str, currency: &str) -> Option<String> {
    let prefix = format!("{name}_{currency}");
    let (key, value) = object.as_object()?.iter().find(|(key, _)| key.starts_with(&prefix))?;
    let rest = &key[prefix.len()..];
    let per = [
        ("_per_cy", "/cy"),
        ("_per_m3", "/m3"),
        ("_per_sf", "/sf"),
        ("_per_m2", "/m2"),
        ("_per_ft", "/ft"),
        ("_per_m", "/m"),
        ("_per_lb", "/lb"),
        ("_per_kg", "/kg"),
    ];
    let unit = per.iter().find(|(ending, _)| rest.starts_with(ending)).map_or("", |(_, unit)| unit);
    Some(format!("{} {currency}{unit}", number(value)))
}

/// Turns a job of the specification into a job.toml; its layout rates are given outright.
pub(crate) fn job_toml(spec: &Value) -> String {
    let mut out = String::new();
    let currency = spec["units"]["currency"].as_str().expect("currency");
    let us = spec["units"]["system"] == "us";
    let name = spec["job"]["name"].as_str().unwrap_or("test");
    let mut line = |text: String| writeln!(out, "{text}").expect("a string");
    line(format!(
        "[job]\nname = {name:?}\nunits = {:?}\ncurrency = {currency:?}",
        if us { "us" } else { "metric" }
    ));
    if spec["shots"].is_object() {
        shot_settings(&spec["shots"], &mut line);
    }
    if spec["benchmark"].is_object() {
        let mark = &spec["benchmark"];
        line(format!(
            "[benchmark]\nid = {}\nelevation = {:?}\nbacksight = {:?}",
            mark["id"],
            need(mark, "elevation"),
            need(mark, "backsight")
        ));
    }
    if spec["datum_sweep"].is_object() {
        line(format!("[datum_sweep]\nparts = {}", spec["datum_sweep"]["parts_of_one_rise"]));
    }
    line(format!("[alignment]\nearth_side = {}", spec["alignment"]["earth_side"]));
    if spec["shots"]["length_unit"] == "us_survey_ft" {
        // Geometry 1.1: the international foot but in the list.
        line("feet = \"ft\"".into());
    }
    if spec["alignment"]["closed"] == true {
        line("shape = \"ring\"".into());
    }
    for point in spec["alignment"]["points"].as_array().expect("points") {
        line(format!(
            "[[alignment.points]]\nid = {}\neast = {:?}\nnorth = {:?}",
            point["pt"],
            need(point, "E"),
            need(point, "N")
        ));
    }
    for wall in spec["walls"].as_array().expect("walls") {
        line(format!(
            "[[wall]]\nid = {}\nfrom = {}\nto = {}\nstem = {:?}",
            wall["id"],
            wall["from"],
            wall["to"],
            need(wall, "stem_thickness")
        ));
        if wall["grid_origin"].is_string() {
            line(format!("grid_origin = {}", wall["grid_origin"]));
        }
        for lead in ["lead_start", "lead_end"] {
            if let Some(text) = length(wall, lead) {
                line(format!("{lead} = {text:?}"));
            }
        }
        for top in wall["tops"].as_array().expect("tops") {
            line(format!(
                "[[wall.tops]]\nfrom = {:?}\ntop = {:?}",
                need(top, "from"),
                need(top, "top")
            ));
        }
    }
    let module = &spec["module"];
    line(format!(
        "[module]\npanel = {:?}\ncorner_leg = {:?}\nrise = {:?}\nlevel_0 = {:?}\nlowest_level = {}\nhighest_level = {}",
        need(module, "panel_width"),
        need(module, "inside_corner_leg"),
        need(module, "rise"),
        need(module, "tof_level0"),
        module["level_min"],
        module["level_max"]
    ));
    let rules = &spec["rules"];
    line(format!("[rules]\nmost_levels = {}", rules["max_levels_per_riser"]));
    for (ours, theirs) in [
        ("frost_depth", "frost_depth"),
        ("bearing_allowance", "bearing_allowance"),
        ("toe_cover", "cover_over_toe"),
        ("shortest_run", "shortest_run"),
        ("corner_clear", "corner_clear"),
        ("overlap_step", "overlap_step"),
        ("overlap_min", "overlap_min"),
        ("throat", "throat"),
    ] {
        if let Some(text) = length(rules, theirs) {
            line(format!("{ours} = {text:?}"));
        }
    }
    for zone in rules["no_step_zones"].as_array().into_iter().flatten() {
        line(format!(
            "[[rules.no_step]]\nwall = {}\nfrom = {:?}\nto = {:?}",
            zone["wall"],
            need(zone, "from"),
            need(zone, "to")
        ));
    }
    for row in spec["types"].as_array().expect("types") {
        line(format!(
            "[[type]]\nid = {}\nstem_up_to = {:?}\nwidth = {:?}\nthickness = {:?}\ntoe = {:?}",
            row["id"],
            need(row, "max_stem_height"),
            need(row, "footing_width"),
            need(row, "footing_thickness"),
            length(row, "toe").unwrap_or("0 ft".into())
        ));
        if row["key"].is_object() {
            line(format!(
                "key = {{ width = {:?}, depth = {:?} }}",
                need(&row["key"], "width"),
                need(&row["key"], "depth")
            ));
        }
        if row["verticals"].is_object() && spec["bar_rules"].is_object() {
            let (up, across) = (&row["verticals"], &row["transverse"]);
            line(format!(
                "bars = {{ vertical = {:?}, vertical_spacing = {:?}, foot_leg = {:?}, transverse = {:?}, transverse_spacing = {:?}, longitudinals = {} }}",
                bar_name(&up["bar"]),
                need(up, "spacing"),
                need(row, "dowel_foot_leg"),
                bar_name(&across["bar"]),
                need(across, "spacing"),
                row["longitudinal_count"]
            ));
        }
    }
    bar_settings(spec, &mut line);
    form_settings(spec, &mut line);
    price_settings(spec, currency, &mut line);
    let rates = &spec["optimiser_prices"];
    line("[layout_rates]".into());
    for (ours, theirs) in [
        ("footing_concrete", "footing_concrete"),
        ("wall_concrete", "wall_concrete"),
        ("forms_one_face", "forms"),
        ("dig", "dig"),
        ("riser_each", "riser"),
        ("rise_each_level", "rise"),
    ] {
        line(format!(
            "{ours} = {:?}",
            price(rates, theirs, currency).unwrap_or_else(|| panic!("no rate {theirs}"))
        ));
    }
    line(format!("[allowances]\nwork_space = {:?}", need(rates, "work_space_each_side")));
    let allowances = &spec["allowances"];
    if allowances.is_object() {
        line(format!("layback = \"{}:1\"", allowances["layback_horizontal_per_vertical"]));
        line("layback_from = \"footing top\"\ndig = \"section\"".into());
        for (ours, theirs) in [
            ("swell", "swell_percent"),
            ("footing_waste", "footing_waste_percent"),
            ("wall_waste", "wall_waste_percent"),
            ("bar_waste", "bar_waste_percent"),
        ] {
            if !allowances[theirs].is_null() {
                line(format!("{ours} = {}", allowances[theirs]));
            }
        }
        let step = allowances
            .get("order_step_cy")
            .map(|v| format!("{v} cy"))
            .or(allowances.get("order_step_m3").map(|v| format!("{v} m3")));
        line(format!("order_step = {:?}", step.expect("an order step")));
        line(format!(
            "drain_width = {:?}\ndrain_height_less = {:?}",
            need(allowances, "drain_width"),
            need(allowances, "drain_height_less")
        ));
    }
    out
}

/// A bar's name in our table: sizes in millimetres say so.
fn bar_name(name: &Value) -> String {
    let name = name.as_str().expect("a bar");
    if name.starts_with('#') { name.to_owned() } else { format!("{name} mm") }
}

/// Bars and how they are counted.
fn bar_settings(spec: &Value, line: &mut impl FnMut(String)) {
    let rules = &spec["bar_rules"];
    if !rules.is_object() {
        return;
    }
    line("[bars]".into());
    for (ours, theirs) in [
        ("first_bar", "first_bar"),
        ("ground_cover", "ground_cover"),
        ("top_cover", "top_cover"),
        ("end_cover", "end_cover"),
        ("stock", "stock_length"),
        ("first_row", "first_row_above_level0"),
        ("row_spacing", "row_spacing"),
    ] {
        line(format!("{ours} = {:?}", need(rules, theirs)));
    }
    for (ours, theirs) in [
        ("longitudinal", "longitudinal_bar"),
        ("horizontal", "horizontal_bar"),
        ("corner", "corner_bar"),
        ("step", "z_bar"),
    ] {
        line(format!("{ours} = {:?}", bar_name(&rules[theirs])));
    }
    for (ours, theirs) in [("concrete", "concrete_psi"), ("steel", "steel_psi")] {
        if !rules[theirs].is_null() {
            line(format!("{ours} = \"{} psi\"", rules[theirs]));
        }
    }
    for (name, bar) in spec["bars"].as_object().expect("bars") {
        let weight = match (&bar["weight_lb_per_ft"], &bar["weight_kg_per_m"]) {
            (Value::Null, weight) => format!("{weight} kg/m"),
            (weight, _) => format!("{weight} lb/ft"),
        };
        line(format!(
            "[[bar]]\nid = {:?}\nlap = {:?}\nweight = {weight:?}",
            bar_name(&Value::from(name.as_str())),
            need(bar, "lap")
        ));
    }
}

/// Forms of the yard and lumber of the footing.
fn form_settings(spec: &Value, line: &mut impl FnMut(String)) {
    let forms = &spec["forms"];
    if forms.is_object() {
        let (heights, unit) = find(forms, "panel_heights").expect("panel heights");
        line(format!("[forms]\ncourse = {:?}", need(forms, "course")));
        let (fillers, of_fillers) = find(forms, "filler_heights").expect("filler heights");
        let list = fillers.as_array().expect("a list").iter();
        let list: Vec<String> = list.map(|height| format!("{height} {of_fillers}")).collect();
        line(format!("filler_heights = {list:?}"));
        line(format!("corner_sets = {}", forms["yard_corner_stacks"]));
        for height in heights.as_array().expect("a list") {
            let name = height.to_string();
            line(format!(
                "[[forms.panel]]\nheight = \"{height} {unit}\"\nties = {}\nowned = {}",
                forms["tie_rows"][&name], forms["yard_panels"][&name]
            ));
        }
        let (widths, unit) = find(forms, "filler_widths").expect("filler widths");
        let strips = find(forms, "strip_widths").expect("strips").0.as_array().expect("a list");
        for width in widths.as_array().expect("a list") {
            let owned = if strips.contains(width) {
                &forms["yard_strips_each"]
            } else {
                &forms["yard_fillers_each_width_and_height"]
            };
            line(format!("[[forms.filler]]\nwidth = \"{width} {unit}\"\nowned = {owned}"));
        }
        for pour in forms["pours"].as_array().expect("pours") {
            line(format!("[[forms.pour]]\nname = {}\nwalls = {}", pour["name"], pour["walls"]));
        }
    }
    let lumber = &spec["lumber"];
    if lumber.is_object() {
        line("[lumber]".into());
        for (ours, theirs) in [
            ("bearing", "bulkhead_bearing_each_side"),
            ("board_course", "board_course"),
            ("stake_spacing", "stake_spacing"),
            ("cross_spacing", "cross_piece_spacing"),
            ("cross_extra", "cross_piece_extra"),
        ] {
            line(format!("{ours} = {:?}", need(lumber, theirs)));
        }
        line(format!(
            "kickers = {}\ncross_stakes = {}\nstakes_owned = {}",
            lumber["kickers_per_riser"], lumber["stakes_per_cross_piece"], lumber["stakes_owned"]
        ));
        let weight =
            match (&spec["pour"]["unit_weight_pcf"], &spec["pour"]["unit_weight_kN_per_m3"]) {
                (Value::Null, weight) => format!("{weight} kN/m3"),
                (weight, _) => format!("{weight} pcf"),
            };
        line(format!("unit_weight = {weight:?}"));
    }
}

/// Prices and the offer.
fn price_settings(spec: &Value, currency: &str, line: &mut impl FnMut(String)) {
    let prices = &spec["prices"];
    if !prices.is_object() {
        return;
    }
    line("[prices]".into());
    for (ours, theirs) in [
        ("footing_concrete", "footing_concrete"),
        ("wall_concrete", "wall_concrete"),
        ("pump", "pump"),
        ("wall_forms", "wall_forms"),
        ("strip_and_clean", "strip_and_clean"),
        ("riser_each", "riser"),
        ("rise", "rise"),
        ("bars", "bars"),
        ("dig", "dig"),
        ("haul", "haul"),
        ("drain_rock", "drain_rock"),
    ] {
        let price = price(prices, theirs, currency).unwrap_or_else(|| panic!("no price {theirs}"));
        line(format!("{ours} = {price:?}"));
    }
    line(format!(
        "[bid]\nlayout = \"least cost\"\noverhead = {}\nprofit = {}",
        prices["overhead_percent"], prices["profit_percent"]
    ));
}

/// The settings of the shot list.
fn shot_settings(shots: &Value, line: &mut impl FnMut(String)) {
    line("[shots]\nfile = \"shots.csv\"".into());
    line(format!("length_unit = {}", shots["length_unit"]));
    let roles = &shots["roles"];
    line(format!(
        "codes = {{ finished_low = {}, bearing = {}, existing = {} }}",
        roles["finished_low"], roles["bearing"], roles["existing"]
    ));
    line(format!(
        "outlier_codes = {}\noutlier_neighbours = {}",
        shots["outlier_codes"], shots["outlier_neighbours"]
    ));
    for (ours, theirs) in [
        ("reach", "reach"),
        ("outlier_limit", "outlier_limit"),
        ("duplicate_xy", "duplicate_tolerance_xy"),
        ("duplicate_z", "duplicate_tolerance_z"),
    ] {
        line(format!("{ours} = {:?}", need(shots, theirs)));
    }
    for kind in ["finished_low", "bearing", "existing"] {
        if let Some(limit) = length(shots, &format!("gap_limit_{kind}")) {
            line(format!("[ground.{kind}]\nlargest_gap = {limit:?}"));
        }
    }
}

/// Replaces a value by its dotted path; a length in another unit replaces the old key.
pub(crate) fn set(spec: &mut Value, path: &str, value: &Value) {
    let (parents, last) = path.rsplit_once('.').expect("a dotted path");
    let mut node = spec;
    for name in parents.split('.') {
        node = match name.parse::<usize>() {
            Ok(index) => &mut node[index],
            Err(_) => &mut node[name],
        };
    }
    let object: &mut Map<String, Value> = node.as_object_mut().expect("an object");
    if let Some(base) = UNITS.iter().find_map(|unit| last.strip_suffix(&format!("_{unit}"))) {
        for unit in UNITS {
            object.remove(&format!("{base}_{unit}"));
        }
    }
    object.insert(last.to_owned(), value.clone());
}

/// Text without the name of a temporary folder; carets lose the indent that its length gave them.
pub(crate) fn without_folder(text: &str, folder: &Path, shown: &str) -> String {
    let text = text.replace(&folder.display().to_string(), shown);
    let line = |line: &str| {
        if line.trim_start().starts_with('^') {
            format!("        {}", line.trim_start())
        } else {
            line.to_owned()
        }
    };
    text.lines().map(line).collect::<Vec<_>>().join("\n")
}

/// Numbers that look random and are the same in every run.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn roll(&mut self, least: i64, most: i64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        least
            + i64::try_from((self.0 >> 11) % u64::try_from(most - least + 1).expect("a range"))
                .expect("small")
    }

    pub(crate) fn chance(&mut self, one_in: i64) -> bool {
        self.roll(1, one_in) == 1
    }
}
