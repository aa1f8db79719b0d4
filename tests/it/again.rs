//! Questions take up what was worked out before: they answer as if nothing had been.

use std::path::Path;

use crate::support::Folder;
use rodbook::footing::System;
use rodbook::job::{Answer, OpenOptions, Subject};

/// The demo, with lines of its own at the end of its wall case.
fn demo_with(lines: &str) -> Folder {
    let folder = Folder::new();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for name in ["job.toml", "shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        let from = root.join("examples/tarrow-bench").join(name);
        folder.write(name, std::fs::read(from).expect("the demo"));
    }
    let case = std::fs::read_to_string(root.join("scripts/stepped_wall.rhai")).expect("the case");
    let end = case.rfind("    t\n}").expect("its end");
    folder.write("scripts/stepped_wall.rhai", format!("{}{lines}{}", &case[..end], &case[end..]));
    folder
}

fn answer(subject: &Subject, set: &[(String, String)]) -> Option<Answer> {
    subject.answer(set).ok()
}

/// All that an answer says: its lines with their parts, and the cells.
fn said(answer: &Answer) -> (Vec<rodbook::takeoff::Line>, Vec<(String, String)>, i128) {
    let (_, worked) = answer.job.as_ref().expect("a job");
    let book = &answer.calc.book;
    let cells = (0..).zip(book.nodes()).map(|(id, node)| {
        let exact = book.quantity(id).map(|quantity| quantity.base().to_bits());
        (node.name.clone(), format!("{exact:?} {}", book.words(id)))
    });
    let takeoff = worked.takeoff.as_ref();
    let lines = takeoff.map(|takeoff| takeoff.lines.clone()).unwrap_or_default();
    (
        lines,
        cells.map(|(name, value)| (name.to_string(), value)).collect(),
        takeoff.map_or(0, |takeoff| takeoff.layout.cost),
    )
}

/// Every question about a job, asked one after the other and alone. How many of the answers differ from the job as it stands.
fn questions(folder: &Folder, every: usize) -> usize {
    let open = || Subject::of(&folder.0, OpenOptions::default(), System::Us, "usd");
    let subject = open();
    let base = answer(&subject, &[]).expect("the job");
    let (job, _) = base.job.as_ref().expect("a job");
    let tables =
        ["prices.", "bid.", "allowances.", "rules.", "bars.", "lumber.", "forms.", "module."];
    let mut questions: Vec<(String, String)> = Vec::new();
    for (path, stated) in &job.wall_job.settings {
        let rodbook::takeoff::SettingValue::Measure(exact) = &stated.value else { continue };
        let unit = match stated.unit.as_str() {
            "percent" => "%",
            unit => unit,
        };
        let Some(size) = rodbook::measure::unit(stated.unit.as_str())
            .ok()
            .and_then(|unit| exact.quantity().in_unit(&unit).ok())
        else {
            continue;
        };
        if tables.iter().any(|table| path.starts_with(table)) {
            for factor in [0.9, 1.1, 3.0] {
                questions.push((path.clone(), format!("{} {unit}", size * factor)));
            }
        }
    }
    assert!(questions.len() > 100, "{}", questions.len());
    let as_it_stands = said(&base);
    let mut moved = 0;
    for set in questions.into_iter().step_by(every) {
        let set = [set];
        let (again, anew) = (answer(&subject, &set), answer(&open(), &set));
        assert_eq!(again.is_some(), anew.is_some(), "{set:?}");
        let (Some(again), Some(anew)) = (again, anew) else { continue };
        assert!(said(&again) == said(&anew), "{set:?}");
        moved += usize::from(said(&again) != as_it_stands);
    }
    moved
}

#[test]
fn what_was_worked_out_before_is_only_taken_where_it_holds() {
    assert!(questions(&demo_with(""), 1) > 60);
}

/// A case that reads a price, a cost of the layout by a listing, or a setting by a formula, is run again when those change.
#[test]
fn a_case_that_reads_a_price_is_run_again() {
    for lines in [
        "t.add(\"own.price\", \"Own\", job[\"prices.bars\"] * 2.lb);\n",
        "for step in t[\"steps\"] { t.add(\"own.step\" + step[\"step\"], \"Own\", step[\"cost\"]); }\n",
        "t.formula(\"own.formula\", \"Own\", \"usd\", \"prices.bars * 2.lb\");\n",
        "t.increase(\"own.share\", \"Own\", \"stem.total\", \"bid.profit\");\n",
    ] {
        let folder = demo_with(lines);
        assert!(questions(&folder, 7) > 5, "{lines}");
    }
}

/// A case that asks which settings there are is run again where one more is given.
#[test]
fn a_case_that_asks_what_there_is_is_run_again() {
    let lines = "if job.has(\"prices.backfill\") { t.add(\"own.has\", \"Has\", 1); } else { t.add(\"own.has\", \"Has\", 0); }\n";
    let folder = demo_with(lines);
    let subject = Subject::of(&folder.0, OpenOptions::default(), System::Us, "usd");
    let has = |set: &[(String, String)]| {
        let answer = answer(&subject, set).expect("an answer");
        answer.line("own.has").expect("the line").quantity.quantity().base()
    };
    assert_eq!(has(&[]).to_bits(), 0.0_f64.to_bits());
    assert_eq!(has(&[("prices.backfill".into(), "30 usd/cy".into())]).to_bits(), 1.0_f64.to_bits());
}
