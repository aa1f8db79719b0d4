//! The price sheet of the demo, and what of a workbook's numbers follows a change.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::Path;

use calamine::{Data, Reader, Xlsx};
use rodbook::job::{Job, OpenOptions, Subject, Variant, compare, workbook};
use rodbook::sheet::Origin;

use crate::support::{Done, Folder, run, run_with};

fn demo() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench")
}

fn amount(done: &Done, cell: &str) -> String {
    let book = &done.work.calc.book;
    book.words(book.find(cell).unwrap_or_else(|| panic!("no cell {cell}")))
}

/// The demo is invented; its price was worked out apart from the program, in exact decimals, line by line to the cent.
#[test]
fn the_price_of_the_demo() {
    let done = run(&demo());
    for (cell, expected) in [
        ("footing_concrete", "7,475.00"),
        ("wall_concrete", "8,591.00"),
        ("wall_forms", "17,625.67"),
        ("strip_and_clean", "1,577.03"),
        ("risers", "1,610.00"),
        ("steel", "7,180.64"),
        ("dig", "2,835.73"),
        ("haul", "2,869.49"),
        ("drain_rock", "1,728.54"),
        ("direct", "51,493.10"),
        ("overhead", "6,179.17"),
        ("profit", "4,613.78"),
        ("total", "62,286.05"),
    ] {
        assert_eq!(amount(&done, &format!("price.{cell}")), format!("{expected} usd"), "{cell}");
    }
    // What it leaves out it says with a reason; else it is told to lack it.
    assert_eq!(done.work.calc.partial(), None);
    assert_eq!(done.work.calc.note("price.total").as_deref(), Some(""));
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    folder.write("job.toml", crate::support::without_tables(&job, &["[[left_out]]"]));
    let lacks = "PARTIAL: not in it: joints and waterstop; backfill; drain pipe; mobilisation; tax";
    assert_eq!(run(&folder.0).work.calc.note("price.total").as_deref(), Some(lacks));
}

/// Layouts one step away, as the specification prices them: three of its what-ifs are such layouts, with every line of the
/// price. Without steel, as the sheet was before, the best is the step at W1 4'-10", by 115.41.
#[test]
fn layouts_one_step_away_are_priced_whole() {
    let done = run(&demo());
    let price = |change: &str, wall: &str, tape: &str| {
        let rows = done.records("neighbours").iter();
        let mut rows = rows.filter(|row| {
            row["change"] == change && row["wall"] == wall && row["station_tape"] == tape
        });
        rows.next().expect("the layout")["price"]["value"].as_f64().expect("a price")
    };
    for (change, wall, tape, expected) in [
        ("added", "W1", "4'-10\"", 62_149.64),
        ("dropped", "W3", "20'-8\"", 62_368.22),
        ("moved", "W1", "38'-10\"", 62_385.60),
    ] {
        let found = price(change, wall, tape);
        assert!((found - expected).abs() < 0.005, "{change} {wall} {tape}: {found}");
    }
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    folder.write("job.toml", job.replace("bars = \"1.34 usd/lb\"\n", ""));
    let best = &run(&folder.0).records("neighbours")[0].clone();
    assert_eq!((&best["change"], &best["wall"]), (&"added".into(), &"W1".into()));
    assert_eq!(best["station_tape"], "4'-10\"");
    let saving = best["saving"]["value"].as_f64().expect("a saving");
    assert!((saving - 115.41).abs() < 0.005, "{saving}");
}

/// Where the plan draws its steps the bid is on them, and the least-cost ones stand beside it.
#[test]
fn the_steps_of_the_plan_are_bid_where_it_draws_them() {
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    let asked = "layout = \"least cost\"         # the steps of the plan stand beside them\n";
    assert!(job.contains(asked));
    folder.write("job.toml", job.replace(asked, ""));
    let (least, drawn) = (run(&demo()), run(&folder.0));
    let beside = least.work.beside_calc.as_ref().expect("the steps as drawn");
    let total = |calc: &rodbook::job::CalcSheets| {
        calc.book.words(calc.book.find("price.total").expect("a total"))
    };
    assert_eq!(total(&drawn.work.calc), total(beside));
    assert_eq!(total(drawn.work.beside_calc.as_ref().expect("least cost")), "62,286.05 usd");
    assert_eq!(drawn.records("drawn_cells"), least.records("drawn_cells"));
    assert_eq!(drawn.records("layout_costs"), least.records("layout_costs"));
    assert_eq!(drawn.risers(), least.records("drawn_steps").len());
    assert!(!drawn.json["records"].as_object().expect("records").contains_key("neighbours"));
}

/// The plan drawn as the least-cost steps costs the same to the cent.
#[test]
fn a_drawn_layout_equal_to_the_least_cost_one_costs_the_same() {
    let done = run(&demo());
    let beside = done.records("stem_pieces").iter().map(|row| {
        let length = |field: &str| format!("{} ft", row[field]["value"]);
        format!(
            "{{ wall = {}, from = {:?}, tof = {:?}, type = {} }}",
            row["wall"],
            length("from"),
            length("tof"),
            row["type"]
        )
    });
    let runs = beside.collect::<Vec<_>>().join(", ");
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    let from = job.find("[drawn]").expect("drawn");
    let to = job.find("# What a datum moved").expect("the datum");
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    // Stations to the sixty-fourth of an inch, as a plan gives them.
    folder.write("job.toml", format!("{}[drawn]\nruns = [{runs}]\n{}", &job[..from], &job[to..]));
    let drawn = run(&folder.0);
    assert!(drawn.records("drawn_findings").is_empty(), "{:?}", drawn.records("drawn_findings"));
    for row in drawn.records("drawn_cells") {
        assert_eq!(row["drawn"], row["least_cost"], "{row}");
    }
}

/// Cells of a sheet: value and formula by place.
type Cells = BTreeMap<(usize, usize), (Data, String)>;

fn cells(bytes: &[u8], sheet: &str) -> Cells {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes.to_vec())).expect("a workbook");
    let values = book.worksheet_range(sheet).expect("the sheet");
    let formulas = book.worksheet_formula(sheet).expect("its formulas");
    let mut all = Cells::new();
    let (row0, column0) = values.start().unwrap_or((0, 0));
    for (row, column, value) in values.used_cells() {
        all.insert(
            (row + row0 as usize, column + column0 as usize),
            (value.clone(), String::new()),
        );
    }
    let (row0, column0) = formulas.start().unwrap_or((0, 0));
    for (row, column, text) in formulas.used_cells() {
        if !text.is_empty() {
            all.entry((row + row0 as usize, column + column0 as usize))
                .or_insert((Data::Empty, String::new()))
                .1 = text.clone();
        }
    }
    all
}

fn text(cells: &Cells, row: usize, column: usize) -> String {
    cells.get(&(row, column)).map_or_else(String::new, |(value, _)| value.to_string())
}

/// Constants that are neither an input, nor marked as computed, nor a live formula.
fn constants(bytes: &[u8]) -> Vec<String> {
    let mut found = Vec::new();
    for sheet in ["Price", "Inputs", "Quantities"] {
        let cells = cells(bytes, sheet);
        // The row of headings, and which columns are said to be computed, typed values or places.
        let head = (0..8).find(|row| text(&cells, *row, 0) == "What").expect("headings");
        for ((row, column), (value, formula)) in &cells {
            let is_number = matches!(value, Data::Float(_) | Data::Int(_));
            if !is_number || *row <= head || !formula.is_empty() {
                continue;
            }
            let heading = text(&cells, head, *column);
            let kinds = (0..12).find(|at| text(&cells, head, *at) == "Kind").unwrap_or(4);
            let kind = text(&cells, *row, kinds);
            let known = match sheet {
                "Price" => heading == "Value" && matches!(kind.as_str(), "input" | "calculated"),
                "Inputs" => heading == "Value" || heading.contains("calculated"),
                _ => {
                    heading.contains("calculated")
                        || heading.starts_with("From")
                        || heading.starts_with("To\n")
                        || heading == "To"
                }
            };
            if !known {
                found.push(format!("{sheet} row {} column {}: {value}", row + 1, column + 1));
            }
        }
    }
    found
}

#[test]
fn every_number_is_an_input_a_figure_or_a_formula() {
    let done = run(&demo());
    let bytes = workbook(&done.job, &done.work).expect("a workbook");
    assert_eq!(constants(&bytes), Vec::<String>::new());
    // Every extension, sum and rounding of the price is live, and what was ordered.
    let price = cells(&bytes, "Price");
    let live =
        price.iter().filter(|((_, column), (_, formula))| *column == 1 && !formula.is_empty());
    assert_eq!(live.count(), 13);
    let quantities = cells(&bytes, "Quantities");
    let live = quantities.values().filter(|(_, formula)| !formula.is_empty()).count();
    assert_eq!(live, done.work.takeoff.as_ref().expect("a takeoff").lines.len());
    // The formulas are short enough to read.
    for (_, formula) in price.values().chain(quantities.values()) {
        assert!(formula.len() < 120, "{formula}");
    }
}

/// A layout's own prices stay, so that only the dependents of a share move.
#[test]
fn a_share_moves_its_dependents_only() {
    let base = run(&demo());
    let changed = run_with(&demo(), &[("allowances.footing_waste", "15")]);
    let (book, other) = (&base.work.calc.book, &changed.work.calc.book);
    let moved: Vec<&str> = (0..)
        .zip(book.nodes())
        .filter(|(id, _)| book.quantity(*id) != other.quantity(*id))
        .map(|(_, node)| node.name.as_str())
        .collect();
    let mut moved = moved;
    moved.sort_unstable();
    assert_eq!(
        moved,
        [
            "allowances.footing_waste",
            "price.direct",
            "price.footing_concrete",
            "price.overhead",
            "price.profit",
            "price.total",
            "takeoff.footing.order"
        ]
    );
}

#[test]
fn a_wall_height_and_variants() {
    let subject = Subject::Job(demo(), OpenOptions::default());
    let set = vec![("wall.W3.tops.0.top".to_owned(), "205 ft".to_owned())];
    let infeasible = vec![("rules.frost_depth".to_owned(), "2.26 ft".to_owned())];
    let variants = [
        Variant { name: "lower".to_owned(), set },
        Variant { name: "frost".to_owned(), set: infeasible },
    ];
    let compared = compare(&subject, &variants).expect("variants");
    assert_eq!(compared.names, ["base", "lower", "frost"]);
    let total = compared.rows.iter().find(|row| row.1 == "price.total").expect("the total");
    let [Some(base), Some(lower), None] = total.3[..] else { panic!("{total:?}") };
    assert!(lower < base - 100.0, "{base} {lower}");
    assert!(
        compared.remarks.iter().any(|(name, text)| name == "frost" && text.contains("no layout"))
    );
}

/// Numbers of other units are not set beside each other, and a fault says which variant it is of.
#[test]
fn variants_in_other_units_are_refused() {
    let subject = Subject::Job(demo(), OpenOptions::default());
    let variant = |name: &str, path: &str, text: &str| Variant {
        name: name.to_owned(),
        set: vec![(path.to_owned(), text.to_owned())],
    };
    let variants =
        [variant("metric", "job.units", "metric"), variant("typo", "prices.dgi", "1 usd/cy")];
    let said = compare(&subject, &variants).expect_err("faults").to_string();
    assert!(
        said.contains("cannot be set side by side") && said.contains("variant metric"),
        "{said}"
    );
    assert!(said.contains("prices.dgi") && said.contains("variant typo"), "{said}");
}

/// Highest supply by wall at the rated pressure, worked out apart from the program with the demo.
#[test]
fn a_sheet_for_each_wall_of_the_demo() {
    let done = run(&demo());
    let expected = [
        ("pour.highest", "5.666667 ft/h"),
        ("walls.supply.W1", "10.59877 cy/h"),
        ("walls.supply.W3", "7.975309 cy/h"),
    ];
    for (cell, text) in expected {
        assert_eq!(amount(&done, cell), text, "{cell}");
    }
    assert_eq!(amount(&done, "pour.plan"), "116.5 sf");
    // A temperature is told in its own degrees.
    let cells = done.json["records"]["cells"].as_array().expect("cells");
    let cell = cells.iter().find(|cell| cell["cell"] == "pour.temperature").expect("the cell");
    assert!((cell["value"].as_f64().expect("a number") - 60.0).abs() < 1e-9 && cell["unit"] == "F");
}

/// Lines that follow others have their share by wall; what belongs to two walls or to the whole job is refused.
#[test]
fn shares_of_lines_by_wall() {
    let done = run(&demo());
    let takeoff = done.work.takeoff.as_ref().expect("a takeoff");
    let sheet = |formula: &str| {
        let text = format!("what,name,unit,formula\n,share,cy,wall.takeoff.{formula}\n");
        let table = rodbook::table::read_text_list("w.csv", text.as_bytes()).expect("a table");
        rodbook::sheet::read_sheet(&table, "w", "w", &rodbook::sheet::Per::Wall).expect("a sheet")
    };
    let formulas = rodbook::job::formulas(&done.job, Some(takeoff)).expect("formulas");
    let inputs = rodbook::job::JobInputs::new(takeoff);
    let (book, faults) = rodbook::sheet::build(&[sheet("dig.loose")], &inputs, &formulas);
    assert!(!faults.stop(), "{faults}");
    let sum: f64 = (0..3).map(|id| book.quantity(id).expect("a share").base()).sum();
    let line = takeoff.line("dig.loose").expect("the line").quantity.quantity().base();
    assert!((sum / line - 1.0).abs() < 1e-12);
    for (formula, words) in
        [("footing.total", "belong to two walls"), ("stem.order", "no share by wall")]
    {
        let (_, faults) = rodbook::sheet::build(&[sheet(formula)], &inputs, &formulas);
        assert!(faults.to_string().contains(words), "{faults}");
    }
}

/// A line that follows from others is a cell: what its formula gives is what the scripts read while they ran.
#[test]
fn lines_are_their_cells() {
    for job in ["tarrow-bench", "shore-profile"] {
        let done = run(&demo().with_file_name(job));
        let book = &done.work.calc.book;
        let takeoff = done.work.takeoff.as_ref().expect("a takeoff");
        let follows: Vec<_> =
            takeoff.lines.iter().filter(|line| line.formula().is_some()).collect();
        assert!(follows.len() >= 6, "{job}");
        for line in follows {
            let cell = book.find(&line.name()).expect("its cell");
            let (cell, line) = (book.quantity(cell).expect("a number"), line.quantity.quantity());
            assert_eq!(cell.dimension(), line.dimension());
            assert!((cell.base() - line.base()).abs() <= 1e-12 * line.base().abs());
        }
        // What else there is, is a sum of parts: no line is a number that a script computed.
        for line in takeoff.lines.iter().filter(|line| line.formula().is_none()) {
            assert_eq!(line.derivation, rodbook::takeoff::Derivation::Parts, "{}", line.id);
        }
        // Constants beside the settings and the parts are these facts.
        let facts = book.nodes().iter().filter(|node| matches!(node.origin, Origin::Job(_)));
        for fact in facts.map(|node| node.name.as_str()) {
            let known = ["layout.risers", "layout.rise"];
            let of_rows =
                ["wall.length.", "wall.stem.", "wall.risers.", "wall.id.", "lumber_sold.volume."];
            let known = known.contains(&fact) || of_rows.iter().any(|name| fact.starts_with(name));
            assert!(known, "{job}: {fact}");
        }
    }
}

/// One price, one waste, one wall height: what changed among the inputs is put into the book, its dependents alone are
/// worked out again, and every cell is what the changed job gives.
#[test]
fn a_change_of_the_job_recalculates_its_dependents() {
    let base = run(&demo());
    let takeoff = base.work.takeoff.as_ref().expect("a takeoff");
    let formulas = rodbook::job::formulas(&base.job, Some(takeoff)).expect("formulas");
    let changes = [
        ("prices.drain_rock", "71.35 usd/cy", Some(5)),
        ("allowances.footing_waste", "15", Some(6)),
        ("wall.W3.tops.0.top", "205.5 ft", None),
    ];
    for (path, text, expected) in changes {
        let changed = run_with(&demo(), &[(path, text)]);
        let other = &changed.work.calc.book;
        let mut book = base.work.calc.book.clone();
        let mut moved = Vec::new();
        for (id, node) in (0..).zip(base.work.calc.book.nodes()) {
            let same = other.find(&node.name).and_then(|other_id| other.value(other_id));
            if let (None, Some(value)) = (&node.formula, same)
                && format!("{value:?}") != format!("{:?}", book.value(id).expect("a value"))
            {
                book.set(id, value).expect("its kind");
                moved.push(id);
            }
        }
        assert!(!moved.is_empty(), "{path}");
        let count = book.recalculate_from(&moved, &formulas);
        let cells = book.nodes().iter().filter(|node| node.formula.is_some()).count();
        assert!(expected.is_none_or(|expected| count == expected), "{path}: {count}");
        assert!(count < cells, "{path}: {count} of {cells}");
        for (id, node) in (0..).zip(book.nodes()) {
            let there = other.find(&node.name).expect("the node");
            assert_eq!(book.words(id), other.words(there), "{path}: {}", node.name);
        }
    }
}

/// Kinds of cost add up to their lines to the cent, whatever the shares; tax, markups and bond follow.
#[test]
fn cost_kinds_add_up() {
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    let job = crate::support::without_tables(&job, &["[[left_out]]"]);
    let costs = r#"
[[cost]]
of = "wall_forms"
kind = "labour"
rate = "6.20 usd/sf"
[[cost]]
of = "wall_forms"
kind = "material"
rate = "2.05 usd/sf"
[[cost]]
of = "wall_forms"
kind = "equipment"
rate = "1.25 usd/sf"
[[cost]]
of = "steel"
kind = "material"
share = 61.7
[[cost]]
of = "steel"
kind = "ironworkers"
share = 38.3
[[left_out]]
work = "backfill"
why = "by the owner"
"#;
    let bid = "[bid]\ntax = 7.25\ntax_on = [\"material\", \"not_split\"]\nmarkup_labour = 3\ncontingency = 2\nbond = \"1.1 %\"\n";
    folder.write("job.toml", format!("{}{costs}", job.replace("[bid]\n", bid)));
    let done = run(&folder.0);
    let cents = |cell: &str| {
        let text = amount(&done, cell).replace([',', '.'], "");
        text.trim_end_matches(" usd").parse::<i64>().unwrap_or_else(|_| panic!("{cell}: {text}"))
    };
    // 17,625.67 by 6.20, 2.05 and 1.25 of 9.50; 7,180.64 by 61.7 and 38.3 %: by hand.
    assert_eq!(cents("kinds.wall_forms_labour"), 1_150_307);
    assert_eq!(cents("kinds.wall_forms_material"), 380_343);
    assert_eq!(cents("kinds.wall_forms_equipment"), 1_762_567 - 1_150_307 - 380_343);
    assert_eq!(cents("kinds.steel_material"), 443_045);
    assert_eq!(cents("kinds.steel_ironworkers"), 718_064 - 443_045);
    assert_eq!(cents("kinds.material"), 380_343 + 443_045);
    assert_eq!(cents("kinds.all"), cents("price.direct"));
    let share = |base: i64, percent: f64| (base as f64 * percent / 100.0).round() as i64;
    let (direct, overhead) = (cents("price.direct"), cents("price.overhead"));
    let (markup, spare) = (cents("price.markup_labour"), cents("price.contingency"));
    assert_eq!(markup, share(1_150_307, 3.0));
    assert_eq!(spare, share(direct, 2.0));
    let profit = share(direct + overhead + markup + spare, 8.0);
    // What is not divided is taxed whole, as tax_on asks.
    let undivided = direct - 1_762_567 - 718_064;
    let tax = share(380_343 + 443_045 + undivided, 7.25);
    let before = direct + overhead + markup + spare + profit + tax;
    assert_eq!(cents("price.profit"), profit);
    assert_eq!(cents("price.tax"), tax);
    assert_eq!(cents("price.bond"), share(before, 1.1));
    assert_eq!(cents("price.total"), before + share(before, 1.1));
    let partial = done.work.calc.partial().expect("it lacks more");
    assert!(!partial.contains("backfill") && !partial.contains("tax"), "{partial}");
    assert_eq!(done.records("left_out")[0]["why"], "by the owner");
    // Rates that are not the price, shares that are not the whole, kinds and lines that are none.
    for (from, to, told) in [
        (
            "rate = \"1.25 usd/sf\"",
            "rate = \"1.20 usd/sf\"",
            "add up to 9.45 usd/sf, its price, prices.wall_forms, is 9.50 usd/sf",
        ),
        ("share = 38.3", "share = 38.2", "add up to 99.90 %"),
        ("of = \"steel\"", "of = \"stel\"", "did you mean steel"),
        ("[\"material\", ", "[\"materials\", ", "no line has the kind"),
        ("work = \"backfill\"", "work = \"backfil\"", "did you mean \"backfill\""),
        ("kind = \"labour\"", "kind = \"work\"", "no line of the price has a part that is labour"),
    ] {
        let text = format!("{}{costs}", job.replace("[bid]\n", bid)).replace(from, to);
        folder.write("job.toml", text);
        let faults = crate::support::fault_of(&folder.0);
        assert!(faults.contains(told), "{told}: {faults}");
    }
}

/// Sides of the footing: edges formed by length, corners counted by hand; over-width apart from the plan's concrete. 48 in
/// poured 1-1/2 in too wide on each side is 6.25 % more, by definition.
#[test]
fn sides_of_the_footing() {
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    let job = crate::support::without_tables(&job, &["[footing_sides]"]);
    let priced = job.replace("[bid]\n", "edge_forms = \"4.80 usd/sf\"\n\n[bid]\n");
    let with = |sides: &str| {
        folder.write("job.toml", format!("{priced}\n[footing_sides]\n{sides}\n"));
        run(&folder.0)
    };
    let formed = with("toe = \"formed\"\nheel = \"formed\"");
    // Toe: 116.5 + 1.5 + 1.5 at B, less 1.25 and 1.5 at C; heel the other way. Thickness by piece, in feet.
    let (s10, thin) = (1.25, 1.0);
    let toe = thin * 28.833_333
        + s10 * (21.666_667 + 1.5)
        + s10 * (28.0 + 1.5 - 1.25)
        + thin * (38.0 - 1.5);
    let heel = thin * 28.833_333
        + s10 * (21.666_667 - 4.75)
        + s10 * (28.0 - 4.75 + 3.75)
        + thin * (38.0 + 4.75);
    // Both sides of seven overlaps, length by drop.
    let ends = 5.0 * 1.0 + 3.0 * 1.0 + 2.0 * (1.0 + 1.25 + 1.25 + 4.0);
    let area = formed.quantity("edge.forms");
    assert!((area - (toe + heel + ends)).abs() < 1e-4, "{area} {}", toe + heel + ends);
    let money = amount(&formed, "price.edge_forms").replace([','], "");
    assert_eq!(money, format!("{:.2} usd", (area * 4.80 * 100.0).round() / 100.0));
    assert!(!formed.work.calc.partial().is_some_and(|partial| partial.contains("edge forms")));
    let bank = with("toe = \"bank\"\nheel = \"bank\"\nover_width = \"1.5 in\"");
    assert!(!bank.records("lines").iter().any(|line| line["id"] == "edge.forms"));
    assert!(!bank.work.calc.partial().is_some_and(|partial| partial.contains("edge forms")));
    let beyond = bank.records("parts").iter().filter(|part| part["line"] == "footing.over_width");
    let runs = bank.records("parts").iter().filter(|part| part["line"] == "footing.runs");
    for (wide, plan) in beyond.zip(runs) {
        let share = wide["amount"]["value"].as_f64().expect("a volume")
            / plan["amount"]["value"].as_f64().expect("a volume");
        if plan["what"] == "run S6" {
            assert!((share - 0.0625).abs() < 1e-9, "{share}");
        }
    }
    assert_eq!(bank.quantity("footing.order"), formed.quantity("footing.order"));
}

/// What stands in the price cannot be left out of it; what rests on nothing is told; a name that a row needs must be one.
#[test]
fn contradictions_of_a_price_are_told() {
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    let steel = "\n[[left_out]]\nwork = \"reinforcing steel\"\nwhy = \"by others\"\n";
    let drawn =
        &job[job.find("[drawn]").expect("drawn")..job.find("# What a datum").expect("after it")];
    for (text, told) in [
        (format!("{job}{steel}"), "names reinforcing steel, and the price has it"),
        (
            format!("{}{steel}", job.replace("[bid]\nlayout = \"least cost\"         # the steps of the plan stand beside them\noverhead = 12\nprofit = 8\n", "")),
            "the list left_out is about a price, and the job has none",
        ),
        (job.replace(drawn, "").replace("\"least cost\"", "\"as drawn\""), "the job draws none"),
        (job.replace("[bid]\n", "[bid]\ntax_on = [\"material\"]\n"), "no line has the kind"),
        (
            job.replace("ground_cover = \"3 in\"", "ground_cover = \"12 in\""),
            "leaves no room for bars",
        ),
        (
            job.replace("stock = \"20 ft\"", "stock = \"8 ft\""),
            "is longer than the longest stock, 8.00 ft",
        ),
        (job.replace("lap = \"30 in\"", "lap = \"30 in\"\nweight = \"0 lb/ft\""), "weighs nothing"),
        (
            format!(
                "{job}\n[[cost]]\nof = \"wall_forms\"\nkind = \"labour\"\nrate = \"9.50 usd/cy\"\n"
            ),
            "its price is",
        ),
        (
            format!("{job}\n[[cost]]\nof = \"risers\"\nkind = \"labour\"\nrate = \"185 usd\"\n"),
            "prices of several units",
        ),
    ] {
        folder.write("job.toml", text);
        let said = crate::support::fault_of(&folder.0);
        assert!(said.contains(told), "{told}: {said}");
    }
    let bundled = rodbook::files::embedded("templates/sheets/price.csv").expect("bundled");
    folder.write("job.toml", &job);
    folder.write("price.csv", bundled.replace(",bid.contingency,", ",bid.contingecy,"));
    let said = crate::support::fault_of(&folder.0);
    assert!(said.contains("did you mean bid.contingency"), "{said}");
    // A concrete line's rates are with the pump.
    std::fs::remove_file(folder.0.join("price.csv")).expect("the sheet");
    let costs = "\n[[cost]]\nof = \"footing_concrete\"\nkind = \"material\"\nrate = \"212 usd/cy\"\n[[cost]]\nof = \"footing_concrete\"\nkind = \"equipment\"\nrate = \"18 usd/cy\"\n";
    folder.write("job.toml", format!("{job}{costs}"));
    let done = run(&folder.0);
    assert_eq!(amount(&done, "kinds.footing_concrete_material"), "6,890.00 usd");
    assert_eq!(amount(&done, "kinds.footing_concrete_equipment"), "585.00 usd");
}

/// Layouts that a script of the job refuses are counted, and stop nothing; a function whose name ends like the rounding's is
/// let be where prices are compared without cents.
#[test]
fn layouts_that_scripts_refuse_are_counted() {
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    folder.write("job.toml", std::fs::read(demo().join("job.toml")).expect("the demo"));
    let case = rodbook::files::embedded("scripts/stepped_wall.rhai").expect("bundled");
    let start = "let t = new_takeoff(job, layout);\n";
    assert!(case.contains(start));
    let refusing =
        format!("{start}    if t.steps.len() > 7 {{ throw \"no more than seven steps\"; }}\n");
    folder.write("stepped_wall.rhai", case.replace(start, &refusing));
    folder.write("functions.rhai", "fn twice_to_cent(x) { x * 2 }");
    let price = rodbook::files::embedded("templates/sheets/price.csv").expect("bundled");
    let twice = "Half of it twice,twice,,twice_to_cent(drain_rock * 0.5),,\nDirect cost,direct";
    folder.write("price.csv", price.replace("Direct cost,direct", twice));
    let (done, plain) = (run(&folder.0), run(&demo()));
    assert_eq!(amount(&done, "price.total"), "62,286.05 usd");
    assert_eq!(amount(&done, "price.twice"), amount(&done, "price.drain_rock"));
    let (fewer, all) = (done.records("neighbours"), plain.records("neighbours"));
    let added = all.iter().filter(|row| row["steps"] == 8).count();
    assert!(added > 5, "{added}");
    assert_eq!(fewer.len() + added, all.len());
    let remark = done.records("neighbour_count")[0]["remark"].as_str().expect("a remark");
    assert!(remark.contains(&format!("{added} more are legal, and scripts or sheets")), "{remark}");
    assert!(done.work.one_step_away.is_none());
}

/// Earth brought back: bank volume, spoil and price follow from the parts of the dig, and the price no longer lacks it.
#[test]
fn backfill_and_spoil() {
    let folder = Folder::new();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    for name in ["shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(name, std::fs::read(demo.join(name)).expect("the demo"));
    }
    let text = std::fs::read_to_string(demo.join("job.toml")).expect("the demo");
    let text = crate::support::without_tables(&text, &["[[left_out]]"]);
    let text = text.replace("[prices]", "[prices]\nbackfill = \"14 usd/cy\"");
    let filled = format!("{text}\n[backfill]\nshrink = \"10\"\nreuse = \"50\"\n");
    folder.write("job.toml", &filled);
    let faults = Job::open(&folder.0, &OpenOptions::default()).err().map(|f| f.to_string());
    assert!(faults.is_some_and(|text| text.contains("allowances.dig = \"solid\"")));
    folder.write("job.toml", filled.replace("dig = \"section\"", "dig = \"solid\""));
    let done = run(&folder.0);
    let part = |what: &str| {
        let rows = done.records("dig_parts");
        let row = rows.iter().find(|row| row["what"] == what).expect("a part");
        row["volume"]["value"].as_f64().expect("a number")
    };
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-6, "{a} {b}");
    let total = done.quantity("backfill.total");
    near(total, part("backfill behind the wall") + part("backfill over the toe"));
    let stands = part("footing") + part("stem") + part("drain rock");
    near(done.quantity("dig.bank") - done.quantity("dig.keys"), stands + total + part("open"));
    near(part("dug"), stands + total + part("open"));
    // Nothing of the footing stands over the ground: what of it is in the dig is its concrete without the keys.
    near(part("footing"), done.quantity("footing.total") - done.quantity("footing.keys"));
    near(done.quantity("backfill.bank"), total / 0.9);
    let zones = ["backfill.wall", "backfill.toe"].map(|zone| done.quantity(zone));
    near(zones[0], part("backfill behind the wall"));
    near(zones[1], part("backfill over the toe"));
    // Without its price it is missing, though the spoil rests on it.
    folder.write(
        "job.toml",
        filled
            .replace("dig = \"section\"", "dig = \"solid\"")
            .replace("backfill = \"14 usd/cy\"", ""),
    );
    let unpriced = run(&folder.0);
    let lacks = unpriced.records("price_missing").iter().any(|row| row["work"] == "backfill");
    assert!(lacks, "{:?}", unpriced.records("price_missing"));
    // Rock that stands over a bank is in no part of the dig.
    let wide = filled.replace("dig = \"section\"", "dig = \"solid\"");
    let wide = wide.replace("drain_width = \"1 ft\"", "drain_width = \"3 ft\"");
    folder.write("job.toml", &wide);
    let fault = crate::support::fault_of(&folder.0);
    assert!(fault.contains("the drain rock reaches beyond the footing of S4"), "{fault}");
    folder.write(
        "job.toml",
        wide.replace(
            "drain_width = \"3 ft\"",
            "drain_width = \"3 ft\"\nwork_space_heel = \"3 ft\"",
        ),
    );
    assert_eq!(crate::support::fault_of(&folder.0), "nothing stops it");
    folder.write("job.toml", filled.replace("dig = \"section\"", "dig = \"solid\""));
    // Another compaction over the toe.
    let settings = [("backfill.shrink_toe", "4 %"), ("backfill.compaction_toe", "85 %")];
    let other = crate::support::run_with(&folder.0, &settings);
    near(other.quantity("backfill.bank"), zones[0] / 0.9 + zones[1] / 0.96);
    let told = |what: &str| {
        let row = other.records("dig_parts").iter().find(|row| row["what"] == what);
        let row = row.expect("a part");
        (row["compaction"]["value"].as_f64(), row["shrink"]["value"].as_f64())
    };
    assert_eq!(told("backfill behind the wall"), (None, Some(10.0)));
    assert_eq!(told("backfill over the toe"), (Some(85.0), Some(4.0)));
    near(done.quantity("backfill.reuse"), total / 0.9 / 2.0);
    near(done.quantity("dig.loose"), (done.quantity("dig.bank") - total / 0.9 / 2.0) * 1.25);
    let missing: Vec<String> =
        done.records("price_missing").iter().map(|row| row.to_string()).collect();
    assert!(!missing.iter().any(|row| row.contains("\"backfill\"")), "{missing:?}");
    assert!(missing.iter().any(|row| row.contains("earth brought in")), "{missing:?}");
}

/// The demo with further text in its job.toml.
fn demo_with(text: &str) -> crate::support::Folder {
    let folder = crate::support::Folder::new();
    for file in ["shots.xlsx", "walls.csv", "pour.csv", "per_foot.rhai"] {
        folder.write(file, std::fs::read(demo().join(file)).expect("a file of the demo"));
    }
    let job = std::fs::read_to_string(demo().join("job.toml")).expect("the demo");
    folder.write("job.toml", job + text);
    folder
}

/// A price of the job's own with what it is multiplied by is a line of the price.
#[test]
fn own_prices_as_lines_of_the_price() {
    let lump = "\n[[own_price]]\nname = \"traffic_control\"\nwhat = \"Traffic control\"\nprice = \"1800 usd\"\ntimes = \"1\"\n";
    let curing = "\n[[own_price]]\nname = \"curing\"\nprice = \"0.35 usd/sf\"\ntimes = \"takeoff.forms.contact\"\n";
    let done = run(&demo_with(&format!("{lump}{curing}")).0);
    // 1,855.333 sf at 0.35; the direct cost of the demo is 51,493.10: by hand.
    assert_eq!(amount(&done, "price.traffic_control"), "1,800.00 usd");
    assert_eq!(amount(&done, "price.curing"), "649.37 usd");
    assert_eq!(amount(&done, "price.direct"), "53,942.47 usd");
    assert_eq!(done.work.calc.note("price.traffic_control").as_deref(), Some("1 x the price"));
    for (change, told) in [
        (lump.replace("traffic_control", "total"), "the price has a line total of its own"),
        (curing.replace("forms.contact", "forms.contct"), "did you mean takeoff.forms.contact"),
        (curing.replace("forms.contact", "dig.bank"), "price.curing: to_cent of length x money"),
        (curing.replace("forms.contact\"", "forms.contact *\""), "the formula cannot be read"),
        (lump.replace("traffic_control", "mobilisation"), "left_out names mobilisation"),
    ] {
        let faults = crate::support::fault_of(&demo_with(&change).0);
        assert!(faults.contains(told) && faults.contains("job.toml"), "{told}: {faults}");
    }
}

/// Backfill is measured up to the existing ground: where it is priced and the wall stands higher, the price says what is not in it.
#[test]
fn fill_over_the_existing_ground_is_told() {
    let backfill = "\n[backfill]\nshrink = \"10\"\n\n[[own_price]]\nname = \"backfill\"\nprice = \"20 usd/cy\"\n";
    let with = |text: &str| {
        let folder = demo_with(text);
        let job = std::fs::read_to_string(folder.0.join("job.toml")).expect("the job");
        let owner = "[[left_out]]\nwork = \"backfill\"\nwhy = \"by the owner\"\n";
        assert!(job.contains(owner));
        folder.write("job.toml", job.replace(owner, ""));
        let solid = [("allowances.dig", "solid")];
        let done = crate::support::run_with(&folder.0, &solid);
        done.work.calc.partial().unwrap_or_default()
    };
    let fill = "fill over the existing ground behind the wall";
    assert!(with(backfill).contains(fill), "{}", with(backfill));
    let priced =
        "\n[[own_price]]\nname = \"fill_behind\"\nprice = \"12 usd/cy\"\ntimes = \"90.cy\"\n";
    assert!(!with(&format!("{backfill}{priced}")).contains(fill));
    let others = format!("\n[[left_out]]\nwork = \"{fill}\"\nwhy = \"by the grader\"\n");
    assert!(!with(&format!("{backfill}{others}")).contains(fill));
}

/// A row of the price sheet that no sum takes is told; names of lines and kinds are read as people write them, and dollars too.
#[test]
fn prices_as_people_write_them() {
    let folder = demo_with("\n[[sheet]]\nname = \"price\"\nfile = \"price.csv\"\n");
    let price = include_str!("../../templates/sheets/price.csv");
    folder.write(
        "price.csv",
        format!("{price}Traffic,traffic,usd,1800,,\nDeposit,deposit,usd,total * 0.1,,\n"),
    );
    let notes = run(&folder.0).work.calc.notes().join("\n");
    assert_eq!(notes, "price.traffic is 1,800.00 usd and in no sum: it is not in the total");
    let cost = |of: &str, kind: &str, share: f64| {
        format!("\n[[cost]]\nof = \"{of}\"\nkind = \"{kind}\"\nshare = {share}\n")
    };
    let lump = "\n[[own_price]]\nname = \"signs\"\nprice = \"$1,250\"\ntimes = \"2\"\n";
    let text = format!(
        "{}{}{lump}",
        cost("Wall forms", "Labor", 60.0),
        cost("wall_forms", "material", 40.0)
    );
    let done = run(&demo_with(&text).0);
    // 60 % of 17,625.67 and 2 x 1,250: by hand.
    assert_eq!(amount(&done, "kinds.wall_forms_labour"), "10,575.40 usd");
    assert_eq!(amount(&done, "price.signs"), "2,500.00 usd");
    // A name of several words or with a large letter, and rates for the unit of the line's price: 6.20 and 3.30 of 9.50.
    let named = |name: &str| {
        format!(
            "\n[[own_price]]\nname = \"{name}\"\nprice = \"$900\"\ntimes = \"1\"\n{}",
            cost(name, "labour", 100.0)
        )
    };
    let rate = |kind: &str, rate: &str| {
        format!("\n[[cost]]\nof = \"wall_forms\"\nkind = \"{kind}\"\nrate = \"{rate}\"\n")
    };
    let text = [
        named("Traffic control"),
        named("Permit"),
        rate("labour", "$6.20"),
        rate("material", "3.30 usd"),
    ];
    let folder = demo_with(&text.concat());
    let done = run(&folder.0);
    assert_eq!(amount(&done, "price.traffic_control"), "900.00 usd");
    assert_eq!(amount(&done, "kinds.Permit_labour"), "900.00 usd");
    // 17,625.67 x 6.20 / 9.50.
    assert_eq!(amount(&done, "kinds.wall_forms_labour"), "11,503.07 usd");
    // Tax by kind is told beside what else is wrong, where it is asked for.
    let job = std::fs::read_to_string(folder.0.join("job.toml")).expect("the job");
    let taxed = job.replace("[bid]\n", "[bid]\ntax = 7\ntax_on = [\"material\"]\n");
    folder.write("job.toml", taxed.replace("$6.20", "$6.10"));
    let faults = crate::support::fault_of(&folder.0);
    assert!(faults.contains("add up to 9.40 usd/sf"), "{faults}");
    assert!(
        faults
            .contains("not divided into kinds: footing_concrete, risers, dig, haul; nor, if the job has them, wall_concrete, strip_and_clean, steel, drain_rock\n"),
        "{faults}"
    );
    assert!(faults.contains("tax_on = ["), "{faults}");
    for (text, told) in [
        (cost("digs", "labour", 100.0), "did you mean dig?"),
        (
            "\n[[own_price]]\nname = \"5/8 rods\"\nprice = \"1800 usd\"\n".to_owned(),
            "such as form_oil",
        ),
        (
            "\n[[own_price]]\nname = \"signs\"\nprice = 1800\n".to_owned(),
            "or \"1800 usd\" for a lump sum",
        ),
        (
            "\n[[cost]]\nof = \"wall_forms\"\nkind = \"labour\"\nrate = \"5.70 usd/sf\"\n"
                .to_owned(),
            "add up to 5.70 usd/sf",
        ),
    ] {
        let faults = crate::support::fault_of(&demo_with(&text).0);
        assert!(faults.contains(told), "{told}: {faults}");
    }
}
