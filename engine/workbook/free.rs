//! Tables with columns of their own: sheets of scripts, variants side by side, sensitivities.

use super::cell::{CellRole, Held, Mark, PageCell};
use super::look;
use crate::footing::System;
use crate::listing::Datum;
use crate::measure::CURRENCIES;
use crate::takeoff::SheetDraft;

/// A table.
#[derive(Debug, Clone)]
pub struct FreeTable {
    /// Title of its sheet.
    pub(super) title: String,
    /// What its sheet is called.
    pub(super) sheet: String,
    /// Headings.
    pub(super) heads: Vec<String>,
    pub(super) rows: Vec<Vec<Option<PageCell>>>,
    /// Remarks under the table.
    pub(super) notes: Vec<String>,
    /// Columns that bars under it show.
    pub(super) bars: Vec<usize>,
}

/// A table of numbers side by side: texts first, then numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Its title.
    pub title: String,
    /// Name of the sheet.
    pub sheet: String,
    /// Headings.
    pub heads: Vec<String>,
    /// Rows: texts, and numbers that there may be none of.
    pub rows: Vec<(Vec<String>, Vec<Option<f64>>)>,
    /// Remarks under the table.
    pub notes: Vec<String>,
    /// Whether all numbers are of one unit.
    pub one_unit: bool,
}

impl FreeTable {
    /// The sheet of a script: its numbers do not follow a change.
    pub fn of_script(draft: &SheetDraft, system: System) -> Self {
        let cell = |datum: &Datum| match datum {
            Datum::Flag(flag) => {
                Some(PageCell::text(if *flag { "yes" } else { "no" }, CellRole::Text(false)))
            }
            Datum::Blank | Datum::Text(_) => PageCell::datum(datum, system, None, true),
            datum => {
                let (value, unit) = datum.number(system).filter(|(value, _)| value.is_finite())?;
                let mut pattern = look::pattern(datum, system, None);
                if !unit.is_empty() {
                    pattern += &format!("\" {unit}\"");
                }
                Some(PageCell::held(Held::Number(value, pattern)).marked(Mark::Computed))
            }
        };
        Self {
            title: draft.title.clone(),
            sheet: draft.title.clone(),
            heads: draft.columns.clone(),
            rows: draft.rows.iter().map(|row| row.iter().map(cell).collect()).collect(),
            notes: Vec::new(),
            bars: draft.bars.clone(),
        }
    }

    /// Numbers side by side.
    pub fn of_comparison(table: &Comparison) -> Self {
        let row = |(texts, numbers): &(Vec<String>, Vec<Option<f64>>)| {
            let money = texts.last().is_some_and(|unit| CURRENCIES.contains(&unit.as_str()));
            let number = |number: &Option<f64>| {
                number.map(|number| {
                    let large = money || table.one_unit || number.abs() >= 1000.0;
                    let pattern = if large { "#,##0.00" } else { "0.0000" };
                    PageCell::held(Held::Number(number, pattern.to_owned()))
                })
            };
            let text = |text: &String| Some(PageCell::text(text, CellRole::Text(true)));
            texts.iter().map(text).chain(numbers.iter().map(number)).collect()
        };
        Self {
            title: table.title.clone(),
            sheet: table.sheet.clone(),
            heads: table.heads.clone(),
            rows: table.rows.iter().map(row).collect(),
            notes: table.notes.clone(),
            bars: Vec::new(),
        }
    }
}
