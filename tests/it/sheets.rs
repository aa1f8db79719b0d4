//! Calc sheets as a book: both ways of evaluation, recalculation of what a change reaches, faults.

use std::collections::BTreeMap;

use proptest::prelude::*;
use rodbook::catalogue::Value;
use rodbook::files::Layers;
use rodbook::footing::System;
use rodbook::job::{OpenOptions, Subject};
use rodbook::measure::{Dimension, Quantity, Style};
use rodbook::script::{Formulas, Host};
use rodbook::sheet::{
    Book, CellColumn, CellRange, Input, Inputs, Origin, Per, Sheet, State, build, read_sheet,
};
use rodbook::table::read_text_list;

use crate::support::{Folder, Numbers, run, without_folder};

/// Inputs by name.
#[derive(Default)]
struct Given(BTreeMap<String, Quantity>, Vec<String>);

impl Inputs for Given {
    fn input(&self, path: &[String], wall: Option<&str>) -> Option<(usize, Input)> {
        let words = path.len().min(2);
        let name = path[..words].join(".");
        let value = match (name.as_str(), wall) {
            ("wall.length", Some("W1")) => Quantity::of(10.0, "ft").ok()?,
            ("wall.length", Some(_)) => Quantity::of(20.0, "ft").ok()?,
            _ => *self.0.get(&name)?,
        };
        let value = match value.dimension() {
            Dimension::NUMBER => Value::Number(value.base()),
            _ => Value::Measure(value),
        };
        let name =
            wall.filter(|_| path[0] == "wall").map_or(name.clone(), |id| format!("{name}.{id}"));
        let origin = Origin::Setting(name.clone());
        Some((
            words,
            Input {
                name,
                what: String::new(),
                given: rodbook::sheet::Given::Value(value),
                unit: String::new(),
                origin,
            },
        ))
    }

    fn missing(&self, _: &[String]) -> Option<rodbook::problem::Problem> {
        None
    }

    fn names(&self) -> Vec<String> {
        self.0.keys().cloned().collect()
    }

    fn walls(&self) -> Vec<String> {
        self.1.clone()
    }
}

fn host() -> Host {
    Host::new(Layers::new(None, None), &Style::default())
}

fn sheet_of(name: &str, text: &str, per_wall: bool) -> Sheet {
    let table = read_text_list(&format!("{name}.csv"), text.as_bytes()).expect("a table");
    let per = if per_wall { Per::Wall } else { Per::Job };
    read_sheet(&table, name, name, &per).unwrap_or_else(|faults| panic!("{faults}"))
}

/// A sheet of rows `name | unit | formula`.
fn rows(name: &str, rows: &[(&str, &str, &str)]) -> Sheet {
    let mut text = String::from("what,name,unit,formula\n");
    for (name, unit, formula) in rows {
        text += &format!(",{name},{unit},\"{}\"\n", formula.replace('"', "\"\""));
    }
    sheet_of(name, &text, false)
}

fn built(sheets: &[Sheet], given: &Given) -> (Book, String) {
    let host = host();
    let formulas = Formulas::new(&host, None, None).unwrap_or_else(|_| panic!("formulas"));
    let (book, faults) = build(sheets, given, &formulas);
    (book, faults.to_string())
}

fn shown(book: &Book, name: &str) -> String {
    book.words(book.find(name).unwrap_or_else(|| panic!("no {name}")))
}

#[test]
fn a_sheet_in_any_order_with_units() {
    let sheet = rows(
        "footing",
        &[
            ("ordered", "cy", "round_up(volume * (1 + waste), 0.5.cy)"),
            ("volume", "cy", "width * depth * length"),
            ("width", "ft", "4"),
            ("depth", "in", "12"),
            ("length", "ft-in", "27'-6\""),
            ("waste", "percent", "8"),
            ("price", "usd", "ordered * 212.usd / 1.cy"),
            ("per_foot", "", "price / length"),
            ("big", "yes/no", "volume > 3.cy && length >= 27.ft"),
            ("note", "text", "if big { \"two trucks\" } else { \"one\" }"),
            ("poured", "date", "2026-11-25"),
            ("stripped", "date", "poured + 3.day"),
            ("wait", "day", "stripped - poured"),
            ("owner", "text", "The client, of course"),
            ("lap", "in", "class_b_lap(\"#6\", 60.ksi, 3000.psi, \"other\", \"wide\", \"bare\")"),
            ("joined", "in", "lap.round_up(1.inch)"),
            ("head", "psf", "fluid_pressure(150.pcf, 8.ft)"),
            ("thrust", "plf", "form_thrust(150.pcf, 8.ft, 1.ft, head).thrust / 1.ft"),
        ],
    );
    let (book, faults) = built(&[sheet], &Given::default());
    assert_eq!(faults, "");
    assert_eq!(shown(&book, "footing.volume"), "4.074074 cy");
    assert_eq!(shown(&book, "footing.ordered"), "4.5 cy");
    assert_eq!(shown(&book, "footing.price"), "954.00 usd");
    assert_eq!(shown(&book, "footing.per_foot"), "34.69091 usd/ft");
    assert_eq!(shown(&book, "footing.length"), "27'-6\"");
    assert_eq!(shown(&book, "footing.waste"), "8 %");
    assert_eq!(shown(&book, "footing.note"), "two trucks");
    assert_eq!(shown(&book, "footing.stripped"), "2026-11-28");
    assert_eq!(shown(&book, "footing.wait"), "3 day");
    assert_eq!(shown(&book, "footing.thrust"), "4,800 plf");
    assert_eq!(shown(&book, "footing.owner"), "The client, of course");
}

#[test]
fn a_sheet_for_each_wall_and_lists_of_it() {
    let per_wall = sheet_of(
        "walls",
        "what,name,unit,formula\nLength,long,ft,wall.length\nTwice,twice,ft,long * 2\n",
        true,
    );
    let job = rows(
        "job_sheet",
        &[
            ("all", "ft", "sum(walls.twice)"),
            ("longest", "ft", "max(walls.long)"),
            ("first", "ft", "walls.long[\"W1\"]"),
            ("second", "ft", "walls.long.W2"),
        ],
    );
    let given = Given(BTreeMap::new(), vec!["W1".into(), "W2".into()]);
    let (book, faults) = built(&[per_wall, job], &given);
    assert_eq!(faults, "");
    let words = ["all", "longest", "first", "second"]
        .map(|name| shown(&book, &format!("job_sheet.{name}")));
    assert_eq!(words, ["60 ft", "20 ft", "10 ft", "20 ft"]);
    assert_eq!(shown(&book, "walls.twice.W2"), "40 ft");
}

/// A generator of formulas that all fit their dimensions, from a number.
struct Formulator(Numbers);

impl Formulator {
    fn of(seed: u64) -> Self {
        Self(Numbers(seed))
    }

    fn next(&mut self, below: u64) -> u64 {
        self.0.below(below)
    }

    fn one_of<'t>(&mut self, texts: &[&'t str]) -> &'t str {
        self.0.one_of(texts)
    }

    fn length(&mut self, deep: u32) -> String {
        if deep == 0 {
            return self
                .one_of(&["wide", "deep", "3.25.ft", "7.inch", "0.ft", "q(`2'-6\"`)", "(2 * 3).ft"])
                .to_owned();
        }
        let d = deep - 1;
        match self.next(14) {
            0 => format!("({} + {})", self.length(d), self.length(d)),
            1 => format!("({} - {})", self.length(d), self.length(d)),
            2 => format!("{} * {}", self.length(0), self.number(d)),
            3 => format!("({}) * {}", self.number(d), self.length(0)),
            4 => format!("{} / {}", self.length(0), self.number(0)),
            5 => format!("min({}, {})", self.length(d), self.length(d)),
            6 => format!("max({}, {})", self.length(d), self.length(d)),
            7 => format!("round_up({}, 3.inch)", self.length(d)),
            8 => format!("({}).round_down(0.5.ft)", self.length(d)),
            9 => format!("round_near({}, {})", self.length(d), self.length(0)),
            10 => format!("-({})", self.length(d)),
            11 => format!("abs({})", self.length(d)),
            12 => format!(
                "(if {} {{ {} }} else {{ {} }})",
                self.flag(d),
                self.length(d),
                self.length(d)
            ),
            _ => format!("sum([{}, {}, {}])", self.length(d), self.length(d), self.length(d)),
        }
    }

    fn number(&mut self, deep: u32) -> String {
        if deep == 0 {
            return self
                .one_of(&["share", "2", "0", "0.1", "7 / 8", "8.percent", "-3", "0.3"])
                .to_owned();
        }
        let d = deep - 1;
        match self.next(9) {
            0 => format!("({} / {})", self.length(d), self.length(d)),
            1 => format!("({} + {})", self.number(d), self.number(d)),
            2 => format!("({} - {})", self.number(d), self.number(d)),
            3 => format!("({}) * ({})", self.number(d), self.number(d)),
            4 => format!("(({}) / ({}))", self.number(d), self.number(d)),
            5 => format!("({}) ** 2", self.number(d)),
            6 => format!("round_up({}, 0.1)", self.number(d)),
            7 => format!("max({}, {})", self.number(d), self.number(d)),
            _ => format!("(wide * deep * {} / 1.cf)", self.length(d)),
        }
    }

    /// Anything with anything: mostly a fault.
    fn any(&mut self, deep: u32) -> String {
        let pick = |of: &mut Self| match of.next(4) {
            0 => of.length(deep),
            1 => of.number(deep),
            2 => of.flag(deep),
            _ => of
                .one_of(&["\"a\"", "[1, 2]", "60.F", "12.usd", "2.h", "date(\"2026-11-25\")"])
                .to_owned(),
        };
        let (a, b) = (pick(self), pick(self));
        match self.next(10) {
            0 => format!("({a}) + ({b})"),
            1 => format!("({a}) - ({b})"),
            2 => format!("({a}) * ({b})"),
            3 => format!("({a}) / ({b})"),
            4 => format!("({a}) < ({b})"),
            5 => format!("({a}).ft"),
            6 => format!("max({a}, {b})"),
            7 => format!("if {a} {{ {b} }} else {{ {a} }}"),
            8 => format!("round_up({a}, {b})"),
            _ => format!("sum([{a}, {b}])"),
        }
    }

    fn flag(&mut self, deep: u32) -> String {
        let d = deep.saturating_sub(1);
        let compare = self.one_of(&["<", "<=", ">", ">=", "==", "!="]);
        match self.next(6) {
            0 => format!("({} {compare} {})", self.number(d), self.number(d)),
            1 => format!("!({} {compare} {})", self.length(d), self.length(d)),
            2 if deep > 0 => format!("({} && {})", self.flag(d), self.flag(d)),
            3 if deep > 0 => format!("({} || {})", self.flag(d), self.flag(d)),
            4 => "big".to_owned(),
            _ => format!("({} {compare} {})", self.length(d), self.length(d)),
        }
    }
}

fn with_formula(formula: &str) -> Sheet {
    rows(
        "one",
        &[
            ("wide", "ft", "4.25"),
            ("deep", "in", "10"),
            ("share", "", "0.3"),
            ("big", "yes/no", "wide > deep"),
            ("result", "", formula),
        ],
    )
}

/// The value of the last cell by the tree or by the script language alone; nothing when it is faulty.
fn result_of(formula: &str, only_script: bool) -> Option<Value> {
    let host = host();
    let formulas = Formulas::new(&host, None, None).unwrap_or_else(|_| panic!("formulas"));
    let formulas = if only_script { formulas.only_script() } else { formulas };
    let (book, faults) = build(&[with_formula(formula)], &Given::default(), &formulas);
    let id = book.find("one.result").expect("the cell");
    if !only_script && !faults.stop() && !formula.contains('"') {
        let node = book.node(id);
        assert!(
            node.formula.as_ref().is_some_and(rodbook::sheet::Formula::is_expressed),
            "{formula} is not expressed"
        );
    }
    assert_eq!(book.value(id).is_none(), faults.stop(), "{formula}: {faults}");
    book.value(id)
}

fn bits(value: &Value) -> (u64, String) {
    match value {
        Value::Measure(quantity) => {
            ((quantity.base() + 0.0).to_bits(), quantity.dimension().to_string())
        }
        Value::Number(number) => ((number + 0.0).to_bits(), "number".to_owned()),
        other => (0, format!("{other:?}")),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 400 } else { 4000 }))]

    /// What the tree gives is what the script language gives, to the last bit; where one is faulty the other is.
    #[test]
    fn the_tree_and_the_script_agree(seed in any::<u64>(), kind in 0..3_u8, deep in 1..4_u32) {
        let mut formulator = Formulator::of(seed);
        let formula = match kind {
            0 => formulator.length(deep),
            1 => formulator.number(deep),
            _ => formulator.flag(deep),
        };
        let (tree, script) = (result_of(&formula, false), result_of(&formula, true));
        prop_assert_eq!(tree.as_ref().map(bits), script.as_ref().map(bits), "{}", formula);
    }

    /// Where the tree gives a value to what is thrown together, the script language gives the same; the tree may refuse more.
    #[test]
    fn the_tree_never_gives_another_value(seed in any::<u64>(), deep in 0..3_u32) {
        let formula = Formulator::of(seed).any(deep);
        if let Some(value) = result_of(&formula, false) {
            let script = result_of(&formula, true);
            prop_assert_eq!(Some(bits(&value)), script.as_ref().map(bits), "{}", formula);
        }
    }

    /// A change recalculates its dependents and nothing else, and gives what a full recalculation gives.
    #[test]
    fn a_change_reaches_its_dependents_only(seed in any::<u64>(), changes in proptest::collection::vec((0..100_usize, -50.0..50.0_f64), 1..4)) {
        let mut formulator = Formulator::of(seed);
        let mut lines: Vec<(String, String)> = (0..100).map(|n| (format!("c{n}"), format!("{}", n + 1))).collect();
        for n in 100..1000_u64 {
            let mut pick = || format!("c{}", formulator.next(n));
            let (a, b, c) = (pick(), pick(), pick());
            let formula = match formulator.next(5) {
                0 => format!("{a} + {b} - {c} / 2"),
                1 => format!("round_near({a} * 0.5, 0.01) + {b}"),
                2 => format!("if {a} > {b} {{ {c} }} else {{ {a} }}"),
                3 => format!("max({a}, {b}) / ({c} - {c} + 2)"),
                _ => format!("1 / {a}"),
            };
            lines.push((format!("c{n}"), formula));
        }
        let borrowed: Vec<(&str, &str, &str)> = lines.iter().map(|(name, formula)| (name.as_str(), "", formula.as_str())).collect();
        let host = host();
        let formulas = Formulas::new(&host, None, None).unwrap_or_else(|_| panic!("formulas"));
        let (mut book, _) = build(&[rows("s", &borrowed)], &Given::default(), &formulas);
        let mut full = book.clone();
        let mut changed = Vec::new();
        for (place, value) in changes {
            let id = book.find(&format!("s.c{place}")).expect("a cell");
            book.set(id, Value::Number(value)).expect("a number");
            full.set(id, Value::Number(value)).expect("a number");
            changed.push(id);
        }
        let count = book.recalculate_from(&changed, &formulas);
        full.recalculate(&formulas);
        for id in 0..1000 {
            prop_assert_eq!(book.value(id).as_ref().map(bits), full.value(id).as_ref().map(bits));
            prop_assert_eq!(matches!(book.state(id), State::Fine), matches!(full.state(id), State::Fine));
        }
        // Counted by hand over the same graph.
        let mut reached = std::collections::BTreeSet::new();
        let mut next = changed.clone();
        while let Some(id) = next.pop() {
            next.extend(book.users(id).iter().filter(|user| reached.insert(**user)));
        }
        prop_assert_eq!(count, reached.iter().filter(|id| !changed.contains(id)).count());
    }
}

/// Every kind of fault in a calc sheet, as a person reads it.
#[test]
fn faults_of_sheets() {
    let head = "what,name,unit,formula\n";
    let whole: [(&str, String); 5] = [
        ("no heading", "what,nam,unit,formula\nWidth,width,ft,4\n".into()),
        ("a heading twice", "what,name,unit,unit,formula\n".into()),
        ("empty", String::new()),
        (
            "names and units",
            format!(
                "{head}A,Width,ft,4\nB,width,ft,4\nC,width,in,4\nD,sum,ft,4\nE,depth,feets,4\nF,rest,ft,\nG,,ft,4\nH,1st,ft,4\n"
            ),
        ),
        ("nothing but headings", format!("{head}Walls,,,\nFootings,,,\n")),
    ];
    let mut all = Vec::new();
    for (name, text) in &whole {
        let read = read_text_list("sheet.csv", text.as_bytes())
            .and_then(|table| read_sheet(&table, "sheet", "sheet", &Per::Job));
        let told = read.map_or_else(|faults| faults.to_string(), |_| "nothing is wrong\n".into());
        all.push(format!("> {name}\n{told}"));
    }
    let cells: [(&str, &[(&str, &str, &str)]); 24] = [
        ("unknown name", &[("width", "ft", "4"), ("area", "sf", "widht * width")]),
        ("unknown name of another sheet", &[("area", "sf", "other.width * 2")]),
        ("wrong unit", &[("width", "ft", "4"), ("volume", "cy", "width * width")]),
        ("a number with a unit", &[("width", "ft", "4"), ("volume", "cy", "width / width")]),
        ("unlike things", &[("width", "ft", "4"), ("sum_", "", "width + 3")]),
        (
            "money and hours",
            &[("cost", "usd", "12"), ("time", "h", "3"), ("both", "", "cost + time")],
        ),
        ("volume plus money", &[("both", "", "2.cy + 12.usd")]),
        ("itself", &[("a", "", "a + 1")]),
        (
            "a loop and what rests on it",
            &[
                ("a", "", "b + 1"),
                ("b", "", "c * 2"),
                ("c", "", "a - 1"),
                ("d", "", "c + 1"),
                ("e", "", "5"),
            ],
        ),
        (
            "one fault does not hide another",
            &[
                ("a", "", "1 / 0"),
                ("b", "", "a + 1"),
                ("c", "", "2 / (3 - 3)"),
                ("d", "", "b + c"),
                ("e", "", "7 + 1"),
            ],
        ),
        ("a choice misspelt", &[("k", "", "earth_coefficient(30.deg, \"at_rst\")")]),
        ("an input missing", &[("p", "psf", "fluid_pressure(150.pcf)")]),
        ("an input too many", &[("p", "psf", "fluid_pressure(150.pcf, 8.ft, 1)")]),
        ("an input of another kind", &[("p", "psf", "fluid_pressure(8.ft, 150.pcf)")]),
        ("an input out of range", &[("p", "psf", "fluid_pressure(1500.pcf, 8.ft)")]),
        (
            "a result by another name",
            &[("t", "lb", "form_thrust(150.pcf, 8.ft, 1.ft, 600.psf).trust")],
        ),
        ("not readable", &[("a", "", "4 + ")]),
        ("several statements", &[("a", "", "let x = 3; x")]),
        ("a condition that is none", &[("a", "", "if 3 { 1 } else { 2 }")]),
        ("either this or that", &[("a", "", "if 3 > 2 { 1 } else { 2.ft }")]),
        ("by script, faulty", &[("a", "", "[1, 2, 3].filter(|x| x > y)[0]")]),
        ("by script, another kind", &[("a", "ft", "[1, 2, 3].map(|x| x * 2)[0]")]),
        ("no date", &[("day", "date", "2026-02-30")]),
        ("temperatures", &[("t", "F", "60.F + 20.F")]),
    ];
    for (name, list) in cells {
        let (book, told) = built(&[rows("sheet", list)], &Given::default());
        let told = if told.is_empty() { "nothing is wrong\n".to_owned() } else { told };
        let mut waiting = String::new();
        for (id, node) in (0..).zip(book.nodes()) {
            if let State::Waiting(on) = book.state(id) {
                waiting +=
                    &format!("{}: not computed because of {}\n", node.name, book.node(on).name);
            }
        }
        all.push(format!("> {name}\n{told}{waiting}"));
    }
    insta::assert_snapshot!(all.join("\n"));
}

/// The live formulas of a spreadsheet, as an estimator would write them.
#[test]
fn formulas_for_the_spreadsheet() {
    struct ByName<'b>(&'b Book);
    impl rodbook::sheet::Cells for ByName<'_> {
        fn reference(&self, id: u32) -> Option<String> {
            Some(self.0.node(id).name.rsplit('.').next()?.to_owned())
        }

        fn range(&self, _: CellColumn) -> Option<CellRange> {
            None
        }
    }
    let sheet = rows(
        "s",
        &[
            ("width", "ft", "4"),
            ("depth", "in", "12"),
            ("length", "ft-in", "27'-6\""),
            ("waste", "percent", "8"),
            ("price", "usd/cy", "212"),
            ("volume", "cy", "width * depth * length"),
            ("in_feet", "ft", "width + depth"),
            ("in_metres", "m", "width"),
            ("order", "cy", "round_up(volume * (1 + waste), 0.5.cy)"),
            ("whole", "cy", "round_up(volume, 1.cy)"),
            ("down", "in", "round_down(depth + 0.3.inch, 2.inch)"),
            ("near", "ft", "round_near(width, 3.inch)"),
            ("cost", "usd", "to_cent(order * price)"),
            ("cents", "usd", "round_near(order * price, 0.01.usd)"),
            ("most", "ft", "max(width, depth)"),
            ("all", "ft", "sum([width, depth, length])"),
            ("big", "yes/no", "volume > 3.cy && !(width < depth)"),
            ("chosen", "usd", "if big { cost } else { cost * 1.1 }"),
            ("square", "sf", "width ** 2"),
            ("less", "ft", "width - (depth - length)"),
            ("share", "", "volume / (order + volume)"),
            ("below", "ft", "round_up(-width, 1.ft)"),
            ("start", "date", "2026-11-25"),
            ("end", "date", "start + 36.h"),
            ("head", "psf", "fluid_pressure(150.pcf, width)"),
            ("load", "lb", "head * width * 1.ft"),
            ("half", "ft", "0.5.ft + width / 2"),
            ("negative", "ft", "-(width + depth) * 2"),
        ],
    );
    let (book, faults) = built(&[sheet], &Given::default());
    assert_eq!(faults, "");
    let shown = (0..).zip(book.nodes()).filter_map(|(id, node)| {
        let formula = node.formula.as_ref().filter(|tree| !tree.is_typed())?;
        let live = rodbook::sheet::live(id, &book, &ByName(&book));
        let live = live.map_or_else(|| "(computed)".to_owned(), |text| format!("={text}"));
        let how = rodbook::sheet::derivation(formula, &book);
        Some(format!("{} [{}]  {live}\n    {} = {how}", node.name, node.unit, book.words(id)))
    });
    insta::assert_snapshot!(shown.collect::<Vec<_>>().join("\n"));
}

/// Worked examples of published handbooks, written as calc sheets: every value that the handbook prints.
#[test]
fn examples_of_handbooks() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/handbook");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the examples")
        .map(|entry| entry.expect("a file").path())
        .collect();
    files.sort();
    let mut checked = 0;
    for path in files.iter().filter(|path| path.extension().is_some_and(|ending| ending == "csv")) {
        let subject = rodbook::job::Subject::Sheets(path.clone(), System::Us, "usd".into());
        let answer = subject.answer(&[]).unwrap_or_else(|faults| panic!("{faults}"));
        let (sheet, book) = (&answer.calc.sheets[0], &answer.calc.book);
        let column =
            |name: &str| sheet.others.iter().position(|other| other == name).expect("a column");
        let (expected, within, source) = (column("expected"), column("within"), column("source"));
        assert!(!sheet.rows[0].others[source].is_empty(), "{}: no source", path.display());
        for row in sheet.rows.iter().filter(|row| !row.others[expected].is_empty()) {
            let id = book.find(&format!("{}.{}", sheet.name, row.name)).expect("a cell");
            let unit = rodbook::measure::unit(&book.node(id).unit).ok();
            let quantity = book.quantity(id).expect("a number");
            let value =
                unit.map_or(quantity.base(), |unit| quantity.in_unit(&unit).expect("its unit"));
            let [wanted, tolerance] =
                [expected, within].map(|at| row.others[at].parse::<f64>().expect("a number"));
            assert!(
                (value - wanted).abs() <= tolerance,
                "{} {}: {value}, printed {wanted}",
                path.display(),
                row.name
            );
            checked += 1;
        }
    }
    assert!(checked > 50, "{checked} values");
}

/// What a reviewer found: each was silent before.
#[test]
fn nothing_is_silently_another_number() {
    let head = "what,name,unit,formula,note\n";
    let mut all = Vec::new();
    for (name, text) in [
        ("a thousands comma cuts a number", format!("{head}Rate,rate,usd,1,250\n")),
        ("more fields than headings", format!("{head}Rate,rate,usd,max(1.usd, 2.usd),a,b\n")),
    ] {
        let read = read_text_list("sheet.csv", text.as_bytes())
            .and_then(|table| read_sheet(&table, "sheet", "sheet", &Per::Job));
        let told = read.map_or_else(|faults| faults.to_string(), |_| "nothing is wrong\n".into());
        all.push(format!("> {name}\n{told}"));
    }
    let cells: [(&str, &[(&str, &str, &str)]); 9] = [
        ("plain numbers in percent", &[("p", "percent", "5 + 5")]),
        ("plain numbers in inches a foot", &[("p", "in/ft", "1 / 4")]),
        ("percent said", &[("p", "percent", "5.percent + 5.percent")]),
        ("a kind without a name", &[("p", "", "4.cy * 3.lb")]),
        (
            "a kind without a name, by script",
            &[("p", "", "switch 3 { 3 => 4.cy * 3.lb, _ => 5.ft }")],
        ),
        ("by script, in its usual unit", &[("p", "", "switch 3 { 3 => 4.ft, _ => 5.ft }")]),
        ("a list", &[("p", "", "[1.ft, 2.ft]")]),
        ("a number beyond all", &[("p", "", "1e400"), ("q_", "", "p + 1")]),
        ("a divisor that is nothing", &[("all", "lb", "0"), ("p", "", "3.lb / all")]),
    ];
    for (name, list) in cells {
        let (book, told) = built(&[rows("sheet", list)], &Given::default());
        let told = if told.is_empty() { shown(&book, "sheet.p") + "\n" } else { told };
        all.push(format!("> {name}\n{told}"));
    }
    insta::assert_snapshot!(all.join("\n"));
}

/// Spreadsheets take 255 inputs of a function; a longer list is written in groups.
#[test]
fn long_lists_in_the_spreadsheet() {
    struct ByName;
    impl rodbook::sheet::Cells for ByName {
        fn reference(&self, id: u32) -> Option<String> {
            Some(format!("A{}", id + 1))
        }

        fn range(&self, _: CellColumn) -> Option<CellRange> {
            None
        }
    }
    let names: Vec<String> = (0..450).map(|n| format!("c{n}")).collect();
    let total = format!("sum([{}])", names.join(", "));
    let mut list: Vec<(&str, &str, &str)> =
        names.iter().map(|name| (name.as_str(), "ft", "2")).collect();
    list.push(("total", "ft", &total));
    let (book, faults) = built(&[rows("s", &list)], &Given::default());
    assert_eq!(faults, "");
    let text = rodbook::sheet::live(450, &book, &ByName).expect("a live formula");
    assert!(text.starts_with("SUM(SUM(A1,A2,") && text.matches("SUM(").count() == 4, "{text}");
    assert_eq!(shown(&book, "s.total"), "900 ft");
}

/// What is expected of cells: met within half of the last digit, a number in the unit of the row, or a share; told with both
/// values and the place of what was expected.
#[test]
fn expected_values_are_tested() {
    let folder = Folder::new();
    let rows = [
        "Area,area,sf,2.6.ft * 1.ft,3,",
        "Area,area_off,sf,2.4.ft * 1.ft,3,",
        "Area,area_near,sf,2.4.ft * 1.ft,3,0.6",
        "Area,area_share,sf,2.4.ft * 1.ft,3,20 %",
        "Area,area_share_off,sf,2.39.ft * 1.ft,3,20 %",
        "Feet,feet,ft-in,\"3'-6\"\"\",\"3'-6\"\"\",",
        "Feet,feet_off,ft-in,\"3'-6\"\"\",\"3'-6 1/4\"\"\",\"1/8\"\"\"",
        "Feet,feet_near,ft-in,\"3'-6\"\"\",\"3'-6 1/8\"\"\",\"1/8\"\"\"",
        "Share,share,percent,12.5,12.54,0.05",
        "Date,day,date,2026-11-25,2026-11-27,2",
        "Date,day_off,date,2026-11-25,2026-11-27,1",
        "Word,word,text,clay,clay,",
        "Word,word_off,text,clay,sand,",
        "Flag,flag,yes/no,2.ft > 1.ft,yes,",
        "Formula,formula,ft,2,1.ft + 1.ft,",
        "Money,money,usd,to_cent(10.usd / 3),3.33,",
    ];
    let path = folder
        .write("t.csv", format!("what,name,unit,formula,expected,within\n{}\n", rows.join("\n")));
    let subject = Subject::of(&path, OpenOptions::default(), System::Us, "usd");
    let answer = subject.answer(&[]).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(
        answer.calc.tests_in_words().as_deref(),
        Some("10 of 16 cells are what is expected of them")
    );
    let told = answer.calc.unexpected().to_string();
    insta::assert_snapshot!(without_folder(&told, &folder.0, "JOB"));
}

/// The demo tests its own sheet: met as it stands, and told by `check` where it is not.
#[test]
fn a_job_is_checked_against_what_is_expected() {
    let folder = Folder::new();
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    for name in ["shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(demo.join(name)).expect("the demo"));
    }
    let text = std::fs::read_to_string(demo.join("job.toml")).expect("the demo");
    let sheet = "\n[[sheet]]\nname = \"ours\"\nfile = \"ours.csv\"\n";
    folder.write("job.toml", text + sheet);
    let ours = |expected: &str| {
        format!("what,name,unit,formula,expected,within\nDig,dig,cy,takeoff.dig.bank,{expected},\n")
    };
    folder.write("ours.csv", ours("135.035"));
    let done = run(&folder.0);
    assert!(done.work.calc.unexpected().is_empty());
    assert_eq!(done.records("cell_tests")[0]["met"], true);
    folder.write("ours.csv", ours("135.0400"));
    let done = run(&folder.0);
    let told = done.work.calc.unexpected().to_string();
    assert!(told.contains("ours.dig is 135.034998 cy, 135.0400 cy was expected"), "{told}");
    assert!(told.contains("ours.csv"), "{told}");
}
