//! The trade functions as a library: typed signatures, ranges from both sides, and what must hold for any input.

use std::path::Path;

use proptest::prelude::*;
use rodbook::catalogue::{Function, Parameter, ValueKind, functions};
use rodbook::files::{FoundFile, LayerOrigin};
use rodbook::footing::System;
use rodbook::forms::{
    Edition, Form, Mix, Placing, Pour, column_pressure, form_thrust, highest_rate, wall_pressure,
};
use rodbook::measure::{Length, Limits, Pressure, Speed, Temperature, UnitWeight};
use rodbook::script::{Calculator, ScriptFault};

use crate::support::{Done, run};

/// Files whose public functions are trade functions.
const TRADE: &[&str] = &[
    "forms/liquid.rs",
    "forms/guide.rs",
    "forms/european.rs",
    "forms/bracing.rs",
    "forms/members.rs",
    "forms/posts.rs",
    "forms/sections.rs",
    "forms/snap.rs",
    "forms/army.rs",
    "rebar/table.rs",
    "rebar/development.rs",
    "rebar/eurocode.rs",
    "rebar/bending.rs",
    "rebar/placing.rs",
    "rebar/residential.rs",
    "concrete/order.rs",
    "concrete/supply.rs",
    "concrete/batter.rs",
    "concrete/curing.rs",
    "concrete/tolerance.rs",
    "earth/dig.rs",
    "earth/pressure.rs",
    "earth/volumes.rs",
    "earth/wall.rs",
    "earth/code.rs",
    "survey/levelling.rs",
    "survey/offset.rs",
    "survey/angles.rs",
    "footing/published.rs",
    "price/bid.rs",
];

/// The signatures of the public functions of a file.
fn signatures(text: &str) -> Vec<String> {
    text.split("\npub fn ")
        .skip(1)
        .filter_map(|rest| rest.split_once(" {").map(|(signature, _)| signature.replace('\n', " ")))
        .collect()
}

fn bare(signature: &str) -> bool {
    ["f64", "f32", "i64", "i32", "u32", "u64", "Quantity"]
        .iter()
        .any(|kind| signature.split(|c: char| !c.is_alphanumeric()).any(|word| word == *kind))
}

#[test]
fn no_bare_number_where_a_unit_belongs() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("engine");
    let mut count = 0;
    for file in TRADE {
        let text = std::fs::read_to_string(root.join(file)).expect("a trade file");
        for signature in signatures(&text) {
            assert!(!bare(&signature), "{file}: {signature}");
            count += 1;
        }
    }
    assert!(count > 60, "{count} signatures");
    assert!(bare("slip(depth: f64) -> Result<Pressure, Problem>"));
    // Every file with trade functions is on the list: each room's files that use limits.
    for room in ["forms", "rebar", "concrete", "earth", "price"] {
        let mut files = Vec::new();
        crate::imports::sources(&root.join(room), &mut files);
        for path in files {
            let name =
                path.strip_prefix(&root).expect("in the room").to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).expect("text");
            assert!(!text.contains(": Limits =") || TRADE.contains(&name.as_str()), "{name}");
        }
    }
}

/// The inputs of a function's example, as written.
fn inputs(function: &Function) -> Vec<String> {
    let start = function.example.find(&format!("{}(", function.name)).expect("its call");
    let text = &function.example[start + function.name.len() + 1..];
    let (mut depth, mut quote, mut parts) = (0, None, vec![String::new()]);
    for c in text.chars() {
        match (quote, c) {
            (Some(open), c) if c == open => quote = None,
            (Some(_), _) => {}
            (None, '"' | '`') => quote = Some(c),
            (None, '(' | '[') => depth += 1,
            (None, ')' | ']') if depth > 0 => depth -= 1,
            (None, ')') => break,
            (None, ',') if depth == 0 => {
                parts.push(String::new());
                continue;
            }
            _ => {}
        }
        parts.last_mut().expect("one").push(c);
    }
    let mut parts: Vec<String> = parts.iter().map(|part| part.trim().to_owned()).collect();
    parts.retain(|part| !part.is_empty());
    for parameter in &function.parameters[parts.len()..] {
        let default = parameter.default.expect("an input of the example");
        parts.push(match parameter.kind {
            ValueKind::Choice(_) | ValueKind::Text => format!("\"{default}\""),
            ValueKind::Measure(_) => format!("q(\"{default}\")"),
            _ => default.to_owned(),
        });
    }
    parts
}

/// A value of a limit's unit as an expression.
fn literal(value: f64, limits: &Limits) -> String {
    match limits.unit {
        "" => format!("({value:.12})"),
        "in" => format!("({value:.12}).inch"),
        name if name.contains(|c: char| c == '/' || c.is_ascii_digit()) => {
            format!("({value:.12} * q(\"1 {name}\"))")
        }
        name => format!("({value:.12}).{name}"),
    }
}

fn words(fault: ScriptFault) -> String {
    match fault {
        ScriptFault::Problems(problems) => problems.to_string(),
        ScriptFault::NoLayout(..) => "no layout".into(),
    }
}

/// What a function says when one input is replaced, on the demo job.
fn with(done: &Done, function: &Function, index: usize, value: &str) -> String {
    let mut inputs = inputs(function);
    inputs[index] = value.to_owned();
    let text = format!("{}({})", function.name, inputs.join(", "));
    let script = FoundFile { origin: LayerOrigin::Job, shown: "test".into(), text };
    let run = done.job.host.run(&script, crate::support::on(done));
    run.map_or_else(words, |_| String::new())
}

/// Values outside a range on each side, and its bounds that are inside.
fn around(limits: &Limits) -> (Vec<f64>, Vec<f64>) {
    let step = |bound: f64| (bound.abs() * 1e-6).max(1e-6);
    let (mut outside, mut inside) = (Vec::new(), Vec::new());
    if let Some(least) = limits.least {
        outside.push(least - step(least));
        if limits.over { &mut outside } else { &mut inside }.push(least);
        inside.push(least + step(least));
    }
    if let Some(most) = limits.most {
        outside.push(most + step(most));
        inside.push(most);
    }
    (outside, inside)
}

#[test]
fn every_range_is_tested_from_both_sides() {
    let done = run(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench"));
    let mut count = 0;
    for function in functions() {
        let ranged = |(index, parameter): (usize, &Parameter)| Some((index, parameter.limits?));
        for (index, limits) in function.parameters.iter().enumerate().filter_map(ranged) {
            let says_range = |said: &str| {
                said.contains(&format!("{}: {} was expected", limits.name, limits.words()))
            };
            let (outside, inside) = around(&limits);
            assert!(!outside.is_empty(), "{}: {} has no bound", function.name, limits.name);
            for value in outside {
                let said = with(&done, function, index, &literal(value, &limits));
                assert!(
                    said.contains(&format!("{} is ", limits.name)) && says_range(&said),
                    "{} {value}: {said}",
                    function.name
                );
                count += 1;
            }
            for value in inside {
                let said = with(&done, function, index, &literal(value, &limits));
                assert!(!says_range(&said), "{} {value}: {said}", function.name);
            }
            let said = with(&done, function, index, "(0.0 / 1.0 + 1e308 * 10)");
            assert!(!said.is_empty(), "{}: {} takes anything", function.name, limits.name);
        }
        // Another kind of input is refused by name, each time.
        for (index, parameter) in function.parameters.iter().enumerate() {
            if matches!(
                parameter.kind,
                ValueKind::Measure(_) | ValueKind::Number | ValueKind::List(_)
            ) {
                let said = with(&done, function, index, "\"nothing of the kind\"");
                assert!(
                    said.contains(parameter.name) || said.contains("length"),
                    "{}: {said}",
                    function.name
                );
            }
            if let ValueKind::Choice(_) = parameter.kind {
                let said = with(&done, function, index, "\"no such choice\"");
                assert!(said.contains("was expected"), "{}: {said}", function.name);
            }
        }
    }
    assert!(count > 150, "{count} values");
}

/// Lists and other inputs whose range is not one of a single value.
#[test]
fn refused_inputs() {
    let calls = [
        "lift_thrusts(150.pcf, [], 5.ft)",
        "lift_thrusts(150.pcf, [1.ft, 0.ft], 5.ft)",
        "cut_length(\"#5\", [])",
        "cut_length(\"#5\", [-1.ft, 2.ft])",
        "cut_length(\"#18\", [2.inch, 3.inch])",
        "cut_length(\"15M\", [2.ft, 3.ft])",
        "shape_length(\"16 mm\", \"99\", [1.m])",
        "shape_length(\"16 mm\", \"11\", [1.m])",
        "shape_length(\"#5\", \"11\", [1.m, 1.m])",
        "bend_loss(16.mm, 32.mm, 179.deg)",
        "lapped_run(100.ft, 20.ft, 20.ft)",
        "bar_row(5.inch, 6.inch, 3.inch)",
        "effective_depth(2.inch, 2.inch, \"#5\")",
        "development_length(\"#5\", 100.ksi, 4000.psi, \"other\", \"wide\", \"bare\", \"318-14\")",
        "bridge_lap(\"#8\", 60.ksi, 3.ksi, \"other\", \"bare\", 2.inch, 1.9.inch)",
        "strut_load(100.plf, 8.ft, 9.ft, 6.ft, 1.ft)",
        "trucks_in_cycle(150.cy, 10.cy, 10.min, 9.min)",
        "nurse_saul([20.C], [12.h, 12.h], 0.C)",
        "nurse_saul([90.C], [12.h], 0.C)",
        "equivalent_age([20.C], [-1.h], \"ec2\")",
        "equivalent_age([20.F_change], [1.h], \"ec2\")",
        "rounded_lines([], 1.usd)",
        "column_pressure(150.pcf, \"portland\", 12.ft, q(\"10 ft/h\"), 60.F, 7.ft, \"vibrated\")",
        "compression_lap(\"#5\", 90.ksi, 3000.psi)",
        "unequal_lap(\"#14\", 60.ksi, 4.ksi, \"other\", \"wide\", \"bare\", \"#11\")",
        "compression_lap(\"#18\", 60.ksi, 4.ksi)",
        "ciria_pressure(q(\"25 kN/m3\"), \"wall\", \"normal\", 2.m, 6.m, q(\"1 m/h\"), 15.C)",
        "form_thrust(150.pcf, 8.ft, 1.ft, 600.psf).thrsut",
        "bar_row(1e30.ft, 1.inch, 0.inch)",
        "bar_row(10.ft, 1e-30.inch, 0.inch)",
        "lapped_run(1e12.ft, 20.ft, 1.ft)",
        "extension_check(1e300, 1e300.usd, 1.usd, 0.usd)",
        "price_with_markup(1e308.usd, 1)",
        "wall_pressure(150.pcf, \"portland\", 12.ft, 10.ft, 60.F, \"vibrated\")",
    ];
    let mut calculator = Calculator::new(System::Us, "usd");
    let all: Vec<String> = calls
        .iter()
        .map(|call| match calculator.value(call) {
            Ok(value) => format!("{call}\nNOT REFUSED: {value}"),
            Err(fault) => words(fault),
        })
        .collect();
    assert!(!all.iter().any(|said| said.contains("NOT REFUSED")), "{}", all.join("\n"));
    insta::assert_snapshot!(all.join("\n"));
}

fn pour(w: f64, mix: Mix, h: f64, t: f64, edition: Edition) -> Pour {
    Pour {
        unit_weight: UnitWeight::from_pcf(w),
        mix,
        height: Length::from_feet(h),
        temperature: Temperature::from_fahrenheit(t),
        placing: Placing::Vibrated,
        edition,
        form: Form::Us,
    }
}

fn pressure(pour: &Pour, rate: f64) -> f64 {
    let rate = Speed::from_feet_per_hour(rate);
    wall_pressure(pour, rate).unwrap_or_else(|problem| panic!("{problem}")).pressure.psf()
}

proptest! {
    /// Published formulas, whatever goes in: both equations are one at 7 ft/h; never above the full head; never falling
    /// with rate, height or weight; never rising with temperature.
    #[test]
    fn the_guide_is_monotone_and_bounded(
        w in 90.0..200.0f64, h in 1.0..30.0f64, t in 40.0..100.0f64, r in 0.1..20.0f64, more in 0.0..5.0f64,
        edition in prop::sample::select(vec![Edition::R14, Edition::Y01]),
        mix in prop::sample::select(vec![Mix::Portland, Mix::Blend, Mix::RichBlend])
    ) {
        let base = pour(w, mix, h, t, edition);
        let p = pressure(&base, r);
        let near = 1e-9 * p.max(1.0);
        prop_assert!(p <= w * h + near);
        prop_assert!(pressure(&base, r + more) >= p - near);
        prop_assert!(pressure(&pour(w, mix, h + more, t, edition), r) >= p - near);
        // The coefficient steps at 140 and 150 pcf; between them weight only raises it.
        let heavier = (w + more).min(if w < 140.0 { 139.9 } else if w <= 150.0 { 150.0 } else { 300.0 });
        if heavier > w {
            prop_assert!(pressure(&pour(heavier, mix, h, t, edition), r) >= p - near);
        }
        prop_assert!(pressure(&pour(w, mix, h, (t + more).min(100.0), edition), r) <= p + near);
        // At 7 ft/h both equations are one: just under and at it.
        let wall = pour(w, mix, 14.0, t, edition);
        let (under, at) = (pressure(&wall, 7.0 - 1e-9), pressure(&wall, 7.0));
        prop_assert!((under - at).abs() < 1e-3, "{under} {at}");
        let column = column_pressure(&base, Speed::from_feet_per_hour(r), Length::from_feet(2.0));
        prop_assert!(column.is_ok_and(|p| p.pressure.psf() <= w * h * (1.0 + 1e-12)));
    }

    /// The highest rate is one: at it the form's rating is met, a little above it is passed.
    #[test]
    fn the_highest_rate_is_the_highest(
        h in 5.0..30.0f64, t in 40.0..100.0f64, rated in 300.0..3000.0f64,
        edition in prop::sample::select(vec![Edition::R14, Edition::Y01]),
        mix in prop::sample::select(vec![Mix::Portland, Mix::Blend, Mix::RichBlend])
    ) {
        let base = pour(148.0, mix, h, t, edition);
        match highest_rate(&base, Pressure::from_psf(rated)) {
            Ok(found) => match found.rate {
                None => prop_assert!(148.0 * h <= rated * (1.0 + 1e-9)),
                Some(rate) => {
                    let rate = rate.feet_per_hour();
                    prop_assert!(pressure(&base, rate * (1.0 - 1e-9)) <= rated * (1.0 + 1e-9), "{rate}");
                    prop_assert!(pressure(&base, rate * (1.0 + 1e-6)) > rated * (1.0 - 1e-12), "{rate}");
                }
            },
            // Refused: even the slowest rise asks for more.
            Err(_) => prop_assert!(pressure(&base, 1e-6) > rated * (1.0 - 1e-9)),
        }
    }

    /// A capped pressure that reaches the full head is the triangle; thrust and moment never fall with the cap.
    #[test]
    fn thrust_of_a_capped_pressure(w in 60.0..200.0f64, h in 0.5..30.0f64, cap in 50.0..6000.0f64, more in 0.0..500.0f64) {
        let thrust = |cap: f64| {
            form_thrust(UnitWeight::from_pcf(w), Length::from_feet(h), Length::from_feet(1.0), Pressure::from_psf(cap))
                .unwrap_or_else(|problem| panic!("{problem}"))
        };
        let (a, b) = (thrust(cap), thrust(cap + more));
        let near = 1.0 - 1e-12;
        prop_assert!(b.thrust.pounds() >= a.thrust.pounds() * near && b.moment.foot_pounds() >= a.moment.foot_pounds() * near);
        let full = thrust(w * h);
        prop_assert!((full.thrust.pounds() - w * h * h / 2.0).abs() < 1e-9 * w * h * h);
        prop_assert!((full.moment.foot_pounds() - w * h * h * h / 6.0).abs() < 1e-9 * w * h * h * h);
        prop_assert!((full.above_foot.feet() - h / 3.0).abs() < 1e-9 * h);
    }
}

/// The doc comment of a public function in a room.
fn doc_of(room: &str, name: &str) -> Option<String> {
    let mut files = Vec::new();
    crate::imports::sources(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("engine").join(room),
        &mut files,
    );
    let head = format!("pub fn {name}(");
    let generic = format!("pub fn {name}<");
    files.iter().find_map(|file| {
        let text = std::fs::read_to_string(file).expect("a source file");
        let lines: Vec<&str> = text.lines().map(str::trim_start).collect();
        let at =
            lines.iter().position(|line| line.starts_with(&head) || line.starts_with(&generic))?;
        let doc = lines[..at]
            .iter()
            .rev()
            .take_while(|line| line.starts_with("///") || line.starts_with("#["));
        let doc: Vec<&str> = doc.copied().collect();
        Some(doc.into_iter().rev().collect::<Vec<_>>().join("\n"))
    })
}

/// Whoever reads a trade function finds its source and clause there: the key, and what the list of sources says of it.
#[test]
fn sources_stand_in_the_docs() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("engine/catalogue/families");
    let mut files = Vec::new();
    crate::imports::sources(&folder, &mut files);
    let mut count = 0;
    for file in files {
        let text = std::fs::read_to_string(&file).expect("a family");
        for entry in text.split("Function {\n").skip(1) {
            let Some((_, rest)) = entry.split_once("source: \"") else { continue };
            let key = rest.split('"').next().expect("a key");
            let title = rodbook::source::find(key).expect("a source").title;
            let called = entry.split_once("evaluate:").expect("an evaluation").1;
            for (at, _) in called.match_indices("::") {
                let room = called[..at].rsplit(|c: char| !c.is_alphanumeric() && c != '_').next();
                let name =
                    called[at + 2..].split(|c: char| !c.is_alphanumeric() && c != '_').next();
                let (Some(room), Some(name)) = (room, name) else { continue };
                let calls = called[at + 2 + name.len()..].starts_with('(');
                let rooms = ["earth", "forms", "concrete", "rebar", "survey", "price", "footing"];
                if !calls || !rooms.contains(&room) {
                    continue;
                }
                let doc = doc_of(room, name).unwrap_or_else(|| panic!("{room}::{name}"));
                let doc = doc.replace("///", "");
                let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
                let wanted = format!("Source `{key}`: {}", words(title));
                assert!(
                    words(&doc).contains(wanted.trim_end_matches('.')),
                    "{room}::{name}: {wanted}"
                );
                count += 1;
            }
        }
    }
    assert!(count > 140, "{count}");
}
