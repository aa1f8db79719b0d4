//! Questions about numbers: why, what if, how much it matters, where it is met; and calc sheets alone.

use std::path::{Path, PathBuf};

use serde_json::{Map, Value, json};

use super::args::{SensitivityArgs, SheetArgs, SubjectArgs, WhatIfArgs, WhyArgs};
use super::takeoff::{faults, folders, keep_inputs, overrides};
use super::terminal::{Exit, print};
use crate::files;
use crate::footing::System;
use crate::job::{
    Answer, Compared, NO_LAYOUT, Sensitivity, Subject, Variant, compare, read_variants,
    scripted_variants, sensitivity, sensitivity_workbook, sheets_workbook, variants_workbook, why,
    why_line,
};
use crate::measure::{CURRENCIES, Digits, Dimension, number_text, significant};
use crate::problem::{Faults, Outcome, Problem};
use crate::sheet::{Book, Origin, Sheet, SheetRow, derivation};

/// The subject of a command, with its settings replaced.
pub(super) fn subject(args: &SubjectArgs) -> Outcome<Subject> {
    let system = if args.metric { System::Metric } else { System::Us };
    Ok(Subject::of(&args.subject, folders(&args.folders), system, &args.currency))
}

/// An answer with numbers: a job without a legal layout has none, and an exit code of its own.
fn laid_out(answer: Answer, exit: &mut Exit) -> Outcome<Answer> {
    match &answer.job {
        Some((_, work)) if work.takeoff.is_none() => {
            *exit = Exit::NoLayout;
            Err(work.no_layout.clone())
        }
        _ => Ok(answer),
    }
}

fn answered(told: Result<String, Faults>, exit: Exit) -> Exit {
    match told {
        Ok(text) => {
            print(&text);
            Exit::Done
        }
        Err(problems) => {
            faults(&problems);
            exit
        }
    }
}

/// Why a cell or line is what it is.
pub(super) fn why_of(args: &WhyArgs) -> Exit {
    let mut exit = Exit::Faults;
    let mut told = || -> Outcome<String> {
        let answer = subject(&args.subject)?.answer(&overrides(&args.set)?)?;
        let answer = laid_out(answer, &mut exit)?;
        let id = args.cell.strip_prefix("takeoff.").unwrap_or(&args.cell);
        let reasons = match (answer.find(&args.cell), why_line(&answer, id, args.depth)) {
            (Ok(id), _) => why(&answer, id, args.depth),
            (Err(_), Some(reasons)) => reasons,
            (Err(problem), None) => return Err(problem.into()),
        };
        let mut lines: Vec<String> = reasons
            .iter()
            .map(|reason| format!("{}{}", "  ".repeat(reason.depth), reason.text))
            .collect();
        lines.extend(answer.calc.partial_beside(&args.cell));
        Ok(lines.join("\n"))
    };
    let told = told();
    answered(told, exit)
}

/// The cells of sheets.
pub(super) fn sheet(args: &SheetArgs) -> Exit {
    let mut exit = Exit::Faults;
    let mut unexpected = Faults::none();
    let mut told = || -> Outcome<String> {
        let answer = subject(&args.subject)?.answer(&overrides(&args.set)?)?;
        let answer = laid_out(answer, &mut exit)?;
        let book = &answer.calc.book;
        // With other inputs the cells are not what is expected of the sheet as it stands.
        if args.set.is_empty() {
            unexpected = answer.calc.unexpected();
        }
        if args.json {
            return Ok(sheet_json(&answer.calc));
        }
        if answer.job.is_some() && args.out.is_some() {
            return Err(Problem::error("the sheets of a job stand in the workbook of its takeoff")
                .help("rodbook takeoff JOB --out FILE.xlsx")
                .into());
        }
        if let Some(out) = &args.out {
            let system = if args.subject.metric { System::Metric } else { System::Us };
            let title = args.subject.subject.file_stem().unwrap_or_default().to_string_lossy();
            let bytes = sheets_workbook(&title, system, &answer.calc)?;
            put(out, &bytes, &[&args.subject.subject], &mut exit)?;
        }
        let mut lines = Vec::new();
        for (at, sheet) in answer.calc.sheets.iter().enumerate() {
            lines.push(sheet.title.clone());
            lines.extend(sheet.remarks.iter().map(|remark| format!("  read: {remark}")));
            lines.extend(row_lines(at, sheet, book));
            for (id, node) in (0..).zip(book.nodes()) {
                let Origin::Cell { sheet: of, row, .. } = node.origin else { continue };
                let in_table = sheet.rows.get(row as usize).is_some_and(|row| row.column.is_some());
                if of as usize != at || in_table {
                    continue;
                }
                let how = match &node.formula {
                    Some(formula) if !formula.is_typed() => {
                        format!("   = {}", derivation(formula, book))
                    }
                    _ => String::new(),
                };
                let name =
                    node.name.strip_prefix(&format!("{}.", sheet.name)).unwrap_or(&node.name);
                lines.push(format!("  {name:<22} {:>16}{how}", book.words(id)));
                let cautions =
                    node.formula.as_ref().map(crate::sheet::cautions).unwrap_or_default();
                lines.extend(cautions.iter().map(|caution| format!("      {caution}")));
                if node.name == "price.total"
                    && let Some(partial) = answer.calc.partial()
                {
                    lines.push(format!("      {partial}"));
                }
            }
        }
        lines.extend(answer.calc.notes().into_iter().map(|note| format!("note: {note}")));
        lines.extend(answer.calc.tests_in_words().filter(|_| args.set.is_empty()));
        Ok(lines.join("\n"))
    };
    let told = told();
    let exit = answered(told, exit);
    if exit == Exit::Done && !unexpected.is_empty() {
        faults(&unexpected);
        return Exit::Faults;
    }
    exit
}

/// The columns of a sheet of rows beside each other; nothing of another.
fn row_lines(at: usize, sheet: &Sheet, book: &Book) -> Vec<String> {
    let of_sheet = (0..).zip(&sheet.rows).filter(|(_, row)| row.column.is_some());
    let of_sheet: Vec<(u32, &SheetRow)> = of_sheet.collect();
    if of_sheet.is_empty() {
        return Vec::new();
    }
    let mut table: Vec<Vec<String>> =
        vec![of_sheet.iter().map(|(_, row)| row.name.clone()).collect()];
    for (id, node) in (0..).zip(book.nodes()) {
        let Origin::Cell { sheet: of, row, wall: Some(copy) } = node.origin else { continue };
        let Some(column) = of_sheet.iter().position(|(known, _)| *known == row) else { continue };
        if of as usize == at {
            let copy = copy as usize + 1;
            table.resize_with(table.len().max(copy + 1), || vec![String::new(); of_sheet.len()]);
            table[copy][column] = match book.words(id) {
                words if words.is_empty() && node.unit != "text" => "-".to_owned(),
                words => words,
            };
        }
    }
    columns(&table, 1).into_iter().map(|line| format!("  {line}")).collect()
}

fn sheet_json(calc: &crate::job::CalcSheets) -> String {
    let cell = |(id, node): (u32, &crate::sheet::Node)| {
        let Origin::Cell { .. } = node.origin else { return None };
        let value = match (calc.book.quantity(id), calc.book.value(id)) {
            (Some(quantity), _)
                if node.unit.is_empty() && quantity.dimension() == Dimension::NUMBER =>
            {
                significant(quantity.base(), 15).into()
            }
            (Some(quantity), _) => {
                let name = crate::measure::number_unit(&node.unit);
                match crate::measure::unit(name).ok().and_then(|unit| quantity.in_unit(&unit).ok())
                {
                    Some(number) => {
                        json!({ "value": significant(number, 15), "unit": name })
                    }
                    None => calc.book.words(id).into(),
                }
            }
            (None, Some(crate::catalogue::Value::Flag(flag))) => flag.into(),
            _ => calc.book.words(id).into(),
        };
        Some(
            json!({ "cell": node.name.as_str(), "what": node.what.as_str(), "value": value, "formula": node.text.as_str() }),
        )
    };
    let mut object = Map::new();
    object.insert("format".into(), "rodbook cells 1".into());
    object.insert("version".into(), env!("CARGO_PKG_VERSION").into());
    let cells: Vec<Value> = (0..).zip(calc.book.nodes()).filter_map(cell).collect();
    object.insert("cells".into(), cells.into());
    object.insert("remarks".into(), calc.remarks().collect::<Vec<_>>().into());
    object.insert("missing".into(), calc.missing.clone().into());
    let test = |test: &crate::sheet::Tested| json!({ "cell": test.cell, "value": test.value, "expected": test.expected, "within": test.within, "met": test.problem.is_none() });
    object.insert("tests".into(), calc.tested.iter().map(test).collect::<Vec<_>>().into());
    serde_json::to_string_pretty(&Value::Object(object)).unwrap_or_default()
}

/// Variants side by side.
pub(super) fn what_if(args: &WhatIfArgs) -> Exit {
    let mut exit = Exit::Done;
    let mut failed = Exit::Faults;
    let mut told = || -> Outcome<String> {
        let asked = subject(&args.subject)?;
        let mut variants = match &args.variants {
            Some(path) if path.extension().is_some_and(|ending| ending == "rhai") => {
                scripted_variants(path, &asked)?
            }
            Some(path) => read_variants(path)?,
            None => Vec::new(),
        };
        let set = overrides(&args.set)?;
        if !set.is_empty() {
            variants.insert(0, Variant { name: "what if".to_owned(), set });
        }
        if variants.is_empty() {
            return Err(Problem::error("nothing is to be changed")
                .help("--set prices.pump=\"20 usd/cy\", or --variants FILE with the columns variant, input, value")
                .into());
        }
        let mut compared = compare(&asked, &variants)?;
        if let Some(cell) = &args.sort {
            compared.sort_by(cell)?;
        }
        if compared.no_layout.contains(&true) {
            exit = Exit::NoLayout;
        }
        if args.json {
            return Ok(compared_json(&compared));
        }
        if let Some(out) = &args.out {
            let bytes = variants_workbook(&compared_table(&compared))?;
            let read: Vec<&PathBuf> =
                std::iter::once(&args.subject.subject).chain(&args.variants).collect();
            put(out, &bytes, &read, &mut failed)?;
        }
        Ok(side_by_side(&compared, args.all))
    };
    match told() {
        Ok(text) => {
            print(&text);
            exit
        }
        Err(problems) => {
            faults(&problems);
            failed
        }
    }
}

/// Writes a workbook that nobody else has edited, or a new one.
fn put(path: &Path, bytes: &[u8], read: &[&PathBuf], exit: &mut Exit) -> Outcome<()> {
    *exit = Exit::NotWritten;
    keep_inputs(path, read)?;
    // Beside a job.toml this is the name of the job's own workbook.
    let own = path.parent().is_some_and(|folder| files::exists(&folder.join("job.toml")))
        && path.file_name().is_some_and(|name| name == "takeoff.xlsx");
    if own {
        return Err(Problem::error("this is the workbook of a job's takeoff; it is kept")
            .at(crate::problem::Place::file(path.display().to_string()))
            .help("name another file")
            .into());
    }
    super::takeoff::keep_edited(path, false)?;
    files::write_atomic(path, bytes)?;
    *exit = Exit::Done;
    Ok(())
}

/// A number whose unit stands elsewhere, to be typed again.
pub(super) fn number(value: f64) -> String {
    number_text(value, Digits::Significant(9))
}

/// A number of a unit: money to the cent.
fn number_in(value: f64, unit: &str) -> String {
    if CURRENCIES.contains(&unit) {
        return number_text(value, Digits::Decimals(2));
    }
    number_text(value, Digits::Significant(7))
}

/// The comparison as a table of the workbook: headings, and rows of texts and numbers.
fn compared_table(compared: &Compared) -> crate::workbook::Comparison {
    let mut heads = vec!["What".to_owned(), "Name".to_owned(), "Unit".to_owned()];
    heads.extend(compared.names.clone());
    heads.extend(compared.names.iter().skip(1).map(|name| format!("{name}, difference")));
    let rows = compared.rows.iter().map(|(what, name, unit, values)| {
        let base = values.first().copied().flatten();
        let differences = values.iter().skip(1).map(|value| Some(value.as_ref()? - base?));
        let numbers = values.iter().copied().chain(differences).collect();
        (vec![what.clone(), name.clone(), unit.clone()], numbers)
    });
    crate::workbook::Comparison {
        title: "Variants side by side".to_owned(),
        sheet: "Variants".to_owned(),
        heads,
        rows: rows.collect(),
        notes: notes(compared),
        one_unit: false,
    }
}

/// What is said of the columns: what each changes or lacks.
fn notes(compared: &Compared) -> Vec<String> {
    let mut notes: Vec<String> =
        compared.remarks.iter().map(|(name, text)| format!("{name}: {text}")).collect();
    let mut said: Option<&String> = None;
    for (name, partial) in compared.names.iter().zip(&compared.partial) {
        if let Some(partial) = partial.as_ref().filter(|partial| Some(*partial) != said) {
            notes.push(format!("price, {name}: {partial}"));
            said = Some(partial);
        }
    }
    notes
}

fn side_by_side(compared: &Compared, all: bool) -> String {
    let mut table: Vec<Vec<String>> = Vec::new();
    let mut head = vec![String::new(), String::new()];
    head.extend(compared.names.iter().enumerate().flat_map(|(at, name)| {
        if at == 0 { vec![name.clone()] } else { vec![name.clone(), "difference".to_owned()] }
    }));
    table.push(head);
    let mut same = 0;
    for (_, name, unit, values) in &compared.rows {
        let base = values.first().copied().flatten();
        // A number that is not there is not the same number.
        if !all && values.iter().all(|value| *value == base) {
            same += 1;
            continue;
        }
        let mut row = vec![name.clone(), unit.clone()];
        for (at, value) in values.iter().enumerate() {
            let without = if compared.no_layout.get(at) == Some(&true) { NO_LAYOUT } else { "-" };
            row.push(value.map_or_else(|| without.to_owned(), |value| number_in(value, unit)));
            if at > 0 {
                let difference = value.zip(base).map(|(value, base)| value - base);
                let signed = |x: f64| {
                    let sign = if x > 0.0 { "+" } else { "" };
                    format!("{sign}{}", number_in(x, unit))
                };
                row.push(difference.map_or_else(String::new, signed));
            }
        }
        table.push(row);
    }
    for (name, texts) in &compared.words {
        if !all && texts.iter().all(|text| Some(text) == texts.first()) {
            same += 1;
            continue;
        }
        let mut row = vec![name.clone(), String::new()];
        for (at, text) in texts.iter().enumerate() {
            row.push(text.clone());
            if at > 0 {
                row.push(String::new());
            }
        }
        table.push(row);
    }
    let mut lines = columns(&table, 2);
    if same > 0 {
        lines.push(format!("{same} more that stay the same (--all shows them)"));
    }
    lines.extend(notes(compared));
    lines.join("\n")
}

/// Columns of texts: so many to the left, such as a name and its unit, the others to the right.
fn columns(table: &[Vec<String>], left: usize) -> Vec<String> {
    let count = table.iter().map(Vec::len).max().unwrap_or(0);
    let width = |at: usize| {
        table
            .iter()
            .filter_map(|row| row.get(at))
            .map(|text| text.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..count).map(width).collect();
    let line = |row: &Vec<String>| {
        let cells = row.iter().enumerate().map(|(at, text)| {
            if at < left {
                format!("{text:<0$}", widths[at])
            } else {
                format!("{text:>0$}", widths[at])
            }
        });
        cells.collect::<Vec<_>>().join("  ").trim_end().to_owned()
    };
    table.iter().map(line).collect()
}

fn compared_json(compared: &Compared) -> String {
    let row = |(what, name, unit, values): &(String, String, String, Vec<Option<f64>>)| json!({ "what": what, "name": name, "unit": unit, "values": values });
    let remarks: Vec<Value> = compared
        .remarks
        .iter()
        .map(|(name, text)| json!({ "variant": name, "remark": text }))
        .collect();
    let object = json!({
        "format": "rodbook variants 1",
        "version": env!("CARGO_PKG_VERSION"),
        "columns": compared.names,
        "words": compared.words.iter().map(|(name, texts)| json!({ "name": name, "values": texts })).collect::<Vec<_>>(),
        "rows": compared.rows.iter().map(row).collect::<Vec<_>>(),
        "no_layout": compared.no_layout,
        "partial": compared.partial,
        "remarks": remarks,
    });
    serde_json::to_string_pretty(&object).unwrap_or_default()
}

/// Characters of one side of the bar chart.
const BAR: f64 = 24.0;

/// How much each input moves a cell.
pub(super) fn how_much(args: &SensitivityArgs) -> Exit {
    let mut exit = Exit::Faults;
    let mut told = || -> Outcome<String> {
        let share = args.by / 100.0;
        if !(share > 0.0 && share < 1.0) {
            return Err(Problem::error(format!("--by is {}", args.by))
                .help("a percentage over 0 and under 100 was expected")
                .into());
        }
        let moved = sensitivity(&subject(&args.subject)?, &args.cell, share)?;
        let (value, unit, all) = (moved.value, moved.unit, moved.inputs);
        let not_tried = (moved.not_tried > 0).then(|| {
            format!("{} typed cells of sheets of rows were not tried: too many", moved.not_tried)
        });
        if let Some(out) = &args.out {
            let mut table = sensitivity_table(&args.cell, args.by, value, &unit, &all);
            table.notes.extend(moved.partial.iter().chain(&not_tried).cloned());
            let bytes = sensitivity_workbook(&table)?;
            put(out, &bytes, &[&args.subject.subject], &mut exit)?;
        }
        let mut lines = vec![bars(&args.cell, args.by, value, &unit, &all)];
        lines.extend(moved.partial.into_iter().chain(not_tried));
        Ok(lines.join("\n"))
    };
    let told = told();
    answered(told, exit)
}

fn sensitivity_table(
    cell: &str,
    by: f64,
    value: f64,
    unit: &str,
    all: &[Sensitivity],
) -> crate::workbook::Comparison {
    let row = |one: &Sensitivity| {
        let [now, low, high] = one.texts.clone();
        (vec![one.input.clone(), now, low, high], one.change.to_vec())
    };
    crate::workbook::Comparison {
        title: format!("{cell}: {} {unit}, each input {by} % lower and higher", number(value)),
        sheet: "Sensitivity".to_owned(),
        heads: ["Input", "Now", "Lower", "Higher", "Change, lower", "Change, higher"]
            .map(str::to_owned)
            .to_vec(),
        rows: all.iter().map(row).collect(),
        notes: vec![format!("changes in {unit}; the steps are laid out anew each time")],
        one_unit: true,
    }
}

fn bars(cell: &str, by: f64, value: f64, unit: &str, all: &[Sensitivity]) -> String {
    let most = all.iter().map(Sensitivity::size).fold(0.0, f64::max);
    let mut lines = vec![format!(
        "{cell} {} {unit}, each input {by} % lower (<) and higher (>)",
        number(value)
    )];
    let width = all.iter().map(|one| one.input.chars().count()).max().unwrap_or(0);
    let now = all.iter().map(|one| one.texts[0].chars().count()).max().unwrap_or(0);
    let signed = |change: Option<f64>| match change {
        None => "no result".to_owned(),
        Some(change) if change > 0.0 => format!("+{}", number_in(change, unit)),
        Some(change) => number_in(change, unit),
    };
    for one in all {
        // A bar grows to the side that the result moves to.
        let mut sides = [String::new(), String::new()];
        for (change, sign) in one.change.iter().zip(["<", ">"]) {
            let Some(change) = change else { continue };
            let length = crate::measure::round::nearest_f64(
                change.abs() / most.max(f64::MIN_POSITIVE) * BAR,
            );
            let side = &mut sides[usize::from(*change > 0.0)];
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "0 to the width of a bar"
            )]
            let bar = sign.repeat(length as usize);
            if bar.len() > side.len() {
                *side = bar;
            }
        }
        lines.push(format!(
            "  {:<width$}  {:>now$}  {:>24}|{:<24}  {} / {}",
            one.input,
            one.texts[0],
            sides[0],
            sides[1],
            signed(one.change[0]),
            signed(one.change[1]),
        ));
    }
    if all.is_empty() {
        lines.push("  no input moves it".to_owned());
    }
    lines.join("\n")
}
