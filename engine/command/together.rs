//! `together`: several structures of one site side by side, and one price.

use serde_json::json;

use super::args::TogetherArgs;
use super::takeoff::{faults, folders, keep_edited, keep_inputs};
use super::terminal::{Exit, print, report};
use crate::files;
use crate::job::{OpenOptions, SideBySide, Together, together, variants_workbook};
use crate::measure::CURRENCIES;
use crate::workbook::Comparison;

/// Works the jobs out and sets them side by side.
pub(super) fn together_of(args: &TogetherArgs) -> Exit {
    let options = OpenOptions { date: args.date.clone(), ..folders(&args.folders) };
    let found = match together(&args.jobs, &options) {
        Ok(found) => found,
        Err(problems) => return faults(&problems),
    };
    if args.json {
        print(&as_json(&found));
        return Exit::Done;
    }
    print(&told(&found));
    let Some(out) = &args.out else { return Exit::Done };
    let written = variants_workbook(&table(&found)).and_then(|bytes| {
        keep_inputs(out, &options.reader.files())?;
        keep_edited(out, args.replace)?;
        files::write_atomic(out, &bytes)
    });
    match written {
        Ok(()) => {
            print(&format!("workbook  {}", out.display()));
            Exit::Done
        }
        Err(problems) => {
            report(&problems);
            Exit::NotWritten
        }
    }
}

/// Rows that a person reads first: what is bought, and the price.
fn is_main(row: &SideBySide) -> bool {
    let money = CURRENCIES.contains(&row.unit.as_str()) && row.name.starts_with("price.");
    let first = [
        "takeoff.footing.total",
        "takeoff.stem.total",
        "takeoff.forms.contact",
        "takeoff.dig.bank",
        "takeoff.bars.total",
    ];
    money || first.contains(&row.name.as_str())
}

fn shown(value: Option<f64>) -> String {
    value.map_or_else(|| "-".to_owned(), |value| crate::measure::thousands(value, 2))
}

fn told(found: &Together) -> String {
    let mut lines = vec![{
        let mut head = vec![String::new()];
        head.extend(found.names.clone());
        head.push("together".to_owned());
        head
    }];
    for row in found.rows.iter().filter(|row| is_main(row)) {
        let mut line = vec![format!("{}, {}", row.what, row.unit)];
        line.extend(row.values.iter().map(|value| shown(*value)));
        line.push(shown(row.sum));
        lines.push(line);
    }
    let columns = lines.first().map_or(0, Vec::len);
    let wide: Vec<usize> = (0..columns)
        .map(|at| lines.iter().map(|line| line[at].chars().count()).max().unwrap_or(0))
        .collect();
    let padded = |line: &Vec<String>| {
        let cells = line.iter().zip(&wide).enumerate().map(|(at, (text, wide))| match at {
            0 => format!("{text:<wide$}"),
            _ => format!("{text:>wide$}"),
        });
        cells.collect::<Vec<_>>().join("  ").trim_end().to_owned()
    };
    let mut text: Vec<String> = lines.iter().map(padded).collect();
    text.extend(found.notes.iter().cloned());
    text.join("\n")
}

fn table(found: &Together) -> Comparison {
    let mut heads = vec!["What".to_owned(), "Name".to_owned(), "Unit".to_owned()];
    heads.extend(found.names.clone());
    heads.push("Together".to_owned());
    let row = |row: &SideBySide| {
        let texts = vec![row.what.clone(), row.name.clone(), row.unit.clone()];
        (texts, row.values.iter().copied().chain([row.sum]).collect())
    };
    Comparison {
        title: "Structures of one site".to_owned(),
        sheet: "Structures".to_owned(),
        heads,
        rows: found.rows.iter().map(row).collect(),
        notes: found.notes.clone(),
        one_unit: false,
    }
}

fn as_json(found: &Together) -> String {
    let row = |row: &SideBySide| json!({ "what": row.what, "name": row.name, "unit": row.unit, "values": row.values, "together": row.sum });
    let rows: Vec<serde_json::Value> = found.rows.iter().map(row).collect();
    let all = json!({
        "format": "rodbook together 1",
        "version": env!("CARGO_PKG_VERSION"),
        "structures": found.names,
        "rows": rows,
        "notes": found.notes,
    });
    format!("{all:#}")
}
