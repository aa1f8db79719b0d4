//! Calc sheets beside a general-purpose spreadsheet engine on the same formulas without units. Method: one process, one
//! core, median of several runs; only ratios inside one run are quoted.
//!
//! `cargo run --release` in this folder; `-- grow` for the growth from a thousand to a million cells.

use std::time::Instant;

use ironcalc_base::Model;
use rodbook::catalogue::Value;
use rodbook::files::Layers;
use rodbook::measure::Style;
use rodbook::problem::Place;
use rodbook::script::{Formulas, Host};
use rodbook::sheet::{Across, Book, Inputs, Per, Sheet, SheetRow, build, read_sheet};
use rodbook::table::read_text_list;

/// Nothing outside the sheet.
struct Nothing;

impl Inputs for Nothing {}

/// A formula of three operators at most: cells by position, with plain text between them.
enum Part {
    Cell(usize),
    Text(&'static str),
}

use Part::{Cell, Text};

/// The formula of a position in a shape; a value for the first ones.
fn formula(shape: &str, n: usize) -> Option<Vec<Part>> {
    if n < 10 {
        return None;
    }
    Some(match shape {
        // Every cell rests on two of the first ten.
        "wide" => vec![Cell(n % 10), Text(" * 2 + "), Cell((n / 10) % 10), Text(" / 4")],
        // Every cell rests on the one before.
        "deep" => vec![Cell(n - 1), Text(" * 0.5 + "), Cell(n % 10), Text(" * 3")],
        // Both, with cells from all over the sheet.
        _ => {
            let back = 1 + (n * 7919) % n.min(5000);
            vec![Cell(n - back), Text(" * 0.25 + "), Cell(n - 1), Text(" / 2 - "), Cell((n * 31) % 10)]
        }
    })
}

fn ours(shape: &str, count: usize) -> Sheet {
    let name = |n: usize| format!("c{n}");
    let row = |n: usize| SheetRow {
        what: String::new(),
        name: name(n),
        unit: "ft".to_owned(),
        formula: match formula(shape, n) {
            None => (n + 1).to_string(),
            Some(parts) => parts
                .iter()
                .map(|part| match part {
                    Cell(n) => name(*n),
                    Text(text) => (*text).to_owned(),
                })
                .collect(),
        },
        column: None,
        others: Vec::new(),
        expected: None,
        needs: Vec::new(),
        place: Place::file("bench"),
    };
    Sheet {
        name: "s".to_owned(),
        title: "s".to_owned(),
        across: Across::Once,
        others: Vec::new(),
        remarks: Vec::new(),
        rows: (0..count).map(row).collect(),
        bars: Vec::new(),
        by_script: false,
    }
}

/// Cells lie in columns of a thousand rows.
fn place(n: usize) -> (i32, i32) {
    (i32::try_from(n % 1000 + 1).expect("small"), i32::try_from(n / 1000 + 1).expect("small"))
}

fn letters(mut column: i32) -> String {
    let mut text = String::new();
    while column > 0 {
        let digit = u8::try_from((column - 1) % 26).expect("a letter");
        text.insert(0, char::from(b'A' + digit));
        column = (column - 1) / 26;
    }
    text
}

fn theirs(shape: &str, n: usize) -> String {
    let cell = |n: usize| {
        let (row, column) = place(n);
        format!("{}{row}", letters(column))
    };
    match formula(shape, n) {
        None => (n + 1).to_string(),
        Some(parts) => {
            let parts = parts.iter().map(|part| match part {
                Cell(n) => cell(*n),
                Text(text) => text.replace(' ', ""),
            });
            format!("={}", parts.collect::<String>())
        }
    }
}

/// Typed columns of the table: the length in feet, the height in feet, the crew.
fn typed(row: usize) -> (f64, f64, &'static str) {
    let long = 4.0 + (row * 7919 % 400) as f64 / 10.0;
    let high = 3.0 + (row * 104_729 % 90) as f64 / 10.0;
    (long, high, ["A", "B", "C"][row * 31 % 3])
}

/// A table of five formula columns, and sums over it by conditions.
fn our_table(rows: usize) -> [(&'static str, String); 2] {
    let mut work = "Item,Long,High,Crew,Area,Hours,Labour,Waste,All in\n\
         unit,ft,ft,text,sf,h,usd,usd,usd\n\
         formula,,,,long * high * 2,area * 0.11.h / 1.sf,hours * 62.5.usd / 1.h,labour * 0.08,labour + waste\n"
        .to_owned();
    for row in 0..rows {
        let (long, high, crew) = typed(row);
        work += &format!("r{row},{long},{high},{crew},,,,,\n");
    }
    let sums = "what,name,unit,formula\n\
         of A,a,usd,\"sum_where(work.all_in, work.crew == \"\"A\"\")\"\n\
         of high ones,high,h,\"sum_where(work.hours, work.high > 8.ft)\"\n\
         of those of B,both,sf,\"sum_where(work.area, work.high > 8.ft && work.crew == \"\"B\"\")\"\n\
         all,all,usd,sum(work.all_in)\n";
    [("work", work), ("sums", sums.to_owned())]
}

/// Sheets out of csv files.
fn read(files: &[(&str, String)]) -> Vec<Sheet> {
    let one = |(name, text): &(&str, String)| {
        let table = read_text_list(&format!("{name}.csv"), text.as_bytes()).expect("a table");
        read_sheet(&table, name, name, &Per::Job).unwrap_or_else(|faults| panic!("{faults}"))
    };
    files.iter().map(one).collect()
}

/// The same table in the other engine.
fn their_table(rows: usize) -> Model<'static> {
    let mut model = Model::new_empty("bench", "en", "UTC", "en").expect("a model");
    let mut put = |row: usize, column: i32, text: String| {
        let row = i32::try_from(row + 1).expect("small");
        model.set_user_input(0, row, column, text).expect("a cell");
    };
    for row in 0..rows {
        let (long, high, crew) = typed(row);
        let n = row + 1;
        put(row, 1, long.to_string());
        put(row, 2, high.to_string());
        put(row, 3, crew.to_owned());
        put(row, 4, format!("=A{n}*B{n}*2"));
        put(row, 5, format!("=D{n}*0.11"));
        put(row, 6, format!("=E{n}*62.5"));
        put(row, 7, format!("=F{n}*0.08"));
        put(row, 8, format!("=F{n}+G{n}"));
    }
    put(0, 10, format!("=SUMIFS(H1:H{rows},C1:C{rows},\"A\")"));
    put(1, 10, format!("=SUMIFS(E1:E{rows},B1:B{rows},\">8\")"));
    put(2, 10, format!("=SUMIFS(D1:D{rows},B1:B{rows},\">8\",C1:C{rows},\"B\")"));
    put(3, 10, format!("=SUM(H1:H{rows})"));
    model.evaluate();
    model
}

fn tables(formulas: &Formulas) {
    let rows = 100_000;
    let (mut enter, mut evaluate) = (Vec::new(), Vec::new());
    let (mut enter_theirs, mut evaluate_theirs) = (Vec::new(), Vec::new());
    let mut book = Book::default();
    let files = our_table(rows);
    for _ in 0..3 {
        enter.push(seconds(|| {
            let (built, faults) = build(&read(&files), &Nothing, formulas);
            assert!(!faults.stop(), "{faults}");
            book = built;
        }));
        evaluate.push(median((0..3).map(|_| seconds(|| book.recalculate(formulas))).collect()));
        let mut model = None;
        enter_theirs.push(seconds(|| model = Some(their_table(rows))));
        let mut model = model.expect("a model");
        evaluate_theirs.push(median((0..3).map(|_| seconds(|| model.evaluate())).collect()));
        for (row, (name, factor)) in (1..).zip([("a", 1.0), ("high", 3600.0), ("both", 304_800_000.0 * 304_800_000.0), ("all", 1.0)]) {
            let ours = book.quantity(book.find(&format!("sums.{name}")).expect("a cell")).expect("a value").base() / factor;
            let theirs: f64 = model.get_formatted_cell_value(0, row, 10).expect("a value").replace(',', "").parse().expect("a number");
            assert!((ours / theirs - 1.0).abs() < 1e-6, "{name}: {ours} and {theirs}");
        }
    }
    let (enter, evaluate) = (median(enter), median(evaluate));
    let (enter_theirs, evaluate_theirs) = (median(enter_theirs), median(evaluate_theirs));
    println!(
        "table of {rows} rows with five formula columns and four sums: enter + check + evaluate {:.0} ms, theirs {:.0}, ratio {:.2} (goal 0.7); evaluate {:.1} ms, theirs {:.0}, ratio {:.3} (goal 0.1); {} bytes a cell",
        enter * 1e3, enter_theirs * 1e3, enter / enter_theirs,
        evaluate * 1e3, evaluate_theirs * 1e3, evaluate / evaluate_theirs,
        book.bytes() / (rows * 9),
    );
    let id = book.find("work.long.r77777").expect("a cell");
    let mut times = Vec::new();
    for n in 0..201 {
        let value = rodbook::measure::Quantity::of(f64::from(n + 3), "ft").expect("a length");
        times.push(seconds(|| {
            book.set(id, Value::Measure(value)).expect("a length");
            book.recalculate_from(&[id], formulas);
        }));
    }
    println!("one changed row of it, with the sums: {:.1} us (goal under 100)", median(times) * 1e6);
}

/// A hundred thousand look-ups in a table of ten thousand bands, and of as many keys.
fn look_ups(formulas: &Formulas) {
    let mut bands = "Band,From,Give,Key\nunit,ft,h,text\n".to_owned();
    for row in 0..10_000 {
        bands += &format!("b{row},{row},{},k{row}\n", row % 97);
    }
    let mut asked = "Item,At,Key,By band,By key,Between\nunit,ft,text,h,h,h\nformula,,,\"value_in_band(at, bands.from, bands.give)\",\"value_for(key, bands.key, bands.give)\",\"value_between(at, bands.from, bands.give)\"\n".to_owned();
    for row in 0..100_000_usize {
        asked += &format!("r{row},{}.5,k{},,,\n", row * 7919 % 9_999, row * 31 % 10_000);
    }
    let sheets = read(&[("bands", bands), ("asked", asked)]);
    let mut book = Book::default();
    let enter = seconds(|| {
        let (built, faults) = build(&sheets, &Nothing, formulas);
        assert!(!faults.stop(), "{faults}");
        book = built;
    });
    let again = median((0..3).map(|_| seconds(|| book.recalculate(formulas))).collect());
    println!("300,000 look-ups by band, key and line in 10,000 rows: enter {:.0} ms, evaluate {:.1} ms, {:.0} ns each", enter * 1e3, again * 1e3, again / 300_000.0 * 1e9);
}

fn seconds(run: impl FnOnce()) -> f64 {
    let start = Instant::now();
    run();
    start.elapsed().as_secs_f64()
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn built(sheet: &Sheet, formulas: &Formulas) -> Book {
    let (book, faults) = build(std::slice::from_ref(sheet), &Nothing, formulas);
    assert!(!faults.stop(), "{faults}");
    book
}

fn main() {
    let host = Host::new(Layers::new(None, None), &Style::default());
    let formulas = Formulas::new(&host, None, None).unwrap_or_else(|_| panic!("formulas"));
    // Ours alone, for a profiler.
    if std::env::args().any(|arg| arg == "ours") {
        let files = our_table(100_000);
        for _ in 0..3 {
            let mut sheets = Vec::new();
            let reading = seconds(|| sheets = read(&files));
            let mut book = Book::default();
            let building = seconds(|| book = build(&sheets, &Nothing, &formulas).0);
            println!("read {:.0} ms, build {:.0} ms, {} nodes", reading * 1e3, building * 1e3, book.nodes().len());
        }
        return;
    }
    if std::env::args().any(|arg| arg == "grow") {
        for count in [1_000, 10_000, 100_000, 1_000_000] {
            let sheet = ours("mixed", count);
            let mut book = Book::default();
            let enter = seconds(|| book = built(&sheet, &formulas));
            let again = median((0..5).map(|_| seconds(|| book.recalculate(&formulas))).collect());
            let per = |seconds: f64| seconds / count as f64 * 1e9;
            println!(
                "{count:>9} cells: enter, check and evaluate {:.2} us a cell, evaluate {:.0} ns a cell, {} bytes a cell",
                per(enter) / 1e3,
                per(again),
                book.bytes() / count
            );
        }
        return;
    }
    tables(&formulas);
    look_ups(&formulas);
    let count = 100_000;
    for shape in ["wide", "deep", "mixed"] {
        let sheet = ours(shape, count);
        let mut enter = Vec::new();
        let mut evaluate = Vec::new();
        let mut enter_theirs = Vec::new();
        let mut evaluate_theirs = Vec::new();
        let mut last = (0.0, 0.0);
        for _ in 0..3 {
            let mut book = Book::default();
            enter.push(seconds(|| book = built(&sheet, &formulas)));
            evaluate.push(median((0..5).map(|_| seconds(|| book.recalculate(&formulas))).collect()));
            last.0 = book.quantity(count as u32 - 1).map_or(f64::NAN, |q| q.base() / 304_800_000.0);
            let mut model = Model::new_empty("bench", "en", "UTC", "en").expect("a model");
            enter_theirs.push(seconds(|| {
                for n in 0..count {
                    let (row, column) = place(n);
                    model.set_user_input(0, row, column, theirs(shape, n)).expect("a cell");
                }
                model.evaluate();
            }));
            evaluate_theirs.push(median((0..3).map(|_| seconds(|| model.evaluate())).collect()));
            let (row, column) = place(count - 1);
            last.1 = model.get_formatted_cell_value(0, row, column).expect("a value").replace(',', "").parse().unwrap_or(f64::NAN);
        }
        let (enter, evaluate) = (median(enter), median(evaluate));
        let (enter_theirs, evaluate_theirs) = (median(enter_theirs), median(evaluate_theirs));
        println!(
            "{shape:>6}, {count} cells: enter + check + evaluate {:.2} us a cell, theirs {:.2}, ratio {:.2} (goal 0.7); evaluate {:.0} ns a cell, theirs {:.0}, ratio {:.3} (goal 0.1); last {:.6} and {:.6}",
            enter / count as f64 * 1e6,
            enter_theirs / count as f64 * 1e6,
            enter / enter_theirs,
            evaluate / count as f64 * 1e9,
            evaluate_theirs / count as f64 * 1e9,
            evaluate / evaluate_theirs,
            last.0,
            last.1,
        );
    }
    // One change of an input that ten cells rest on, in a sheet of a hundred thousand.
    let mut sheet = ours("deep", count);
    for n in count - 10..count {
        sheet.rows[n].formula = "c5 * 2 + 1.ft - c3".to_owned();
    }
    for n in 10..count - 10 {
        sheet.rows[n].formula = format!("c{} * 0.5 + c{} * 3", n - 1, [0, 1, 2][n % 3]);
    }
    let mut book = built(&sheet, &formulas);
    let id = book.find("s.c5").expect("the cell");
    let mut times = Vec::new();
    let mut reached = 0;
    for n in 0..201 {
        let value = rodbook::measure::Quantity::of(f64::from(n), "ft").expect("a length");
        times.push(seconds(|| {
            book.set(id, Value::Measure(value)).expect("a length");
            reached = book.recalculate_from(&[id], &formulas);
        }));
    }
    println!("one change with {reached} dependents in {count} cells: {:.2} us (goal under 100)", median(times) * 1e6);
}
