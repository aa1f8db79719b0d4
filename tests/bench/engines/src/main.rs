//! Calc sheets beside a general-purpose spreadsheet engine on the same formulas without units. Method: one process, one
//! core, median of several runs; only ratios inside one run are quoted.
//!
//! `cargo run --release` in this folder; `-- grow` for the growth from a thousand to a million cells.

use std::time::Instant;

use ironcalc_base::Model;
use rodbook::catalogue::Value;
use rodbook::files::Layers;
use rodbook::footing::System;
use rodbook::measure::Style;
use rodbook::problem::{Place, Problem};
use rodbook::script::{Formulas, Host};
use rodbook::sheet::{Book, Input, Inputs, Sheet, SheetRow, build};

/// Nothing outside the sheet.
struct Nothing;

impl Inputs for Nothing {
    fn input(&self, _: &[String], _: Option<&str>) -> Option<(usize, Input)> {
        None
    }
    fn missing(&self, _: &[String]) -> Option<Problem> {
        None
    }
    fn names(&self) -> Vec<String> {
        Vec::new()
    }
    fn walls(&self) -> Vec<String> {
        Vec::new()
    }
}

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
        others: Vec::new(),
        expected: None,
        needs: Vec::new(),
        place: Place::file("bench"),
    };
    Sheet {
        name: "s".to_owned(),
        title: "s".to_owned(),
        per_wall: false,
        others: Vec::new(),
        remarks: Vec::new(),
        rows: (0..count).map(row).collect(),
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
