//! One calc sheet: values, what rides along, the trace, cautions.

use std::collections::BTreeMap;

use rust_xlsxwriter::{Format, Formula, Worksheet, XlsxError};

use super::super::look;
use super::super::write::{Contents, Places, set_up};
use super::plan::{FIRST, On, VALUE, sheet_of};
use super::{Held, computed, fit, heads, held, put, shown_unit, typed};
use crate::measure::shortest;
use crate::sheet::{Formula as Tree, NodeId, Origin, cautions, derivation, live};

/// One calc sheet.
pub(super) fn calc_sheet(
    contents: &Contents,
    places: &Places,
    at: usize,
    name: &str,
) -> Result<Worksheet, XlsxError> {
    let plan = &places.plan;
    let written = &contents.calc[at];
    let mut sheet = Worksheet::new();
    sheet.set_name(name)?;
    let columns = Columns::new(contents, at);
    let widths = columns.widths();
    for (column, width) in (0..).zip(&widths) {
        sheet.set_column_width(column, *width)?;
    }
    sheet.write_with_format(
        0,
        0,
        format!("{}: {}", written.title, contents.job),
        &look::title(),
    )?;
    sheet.write_with_format(
        1,
        0,
        "Framed values are typed; italic ones are computed by rodbook and do not follow a change; all others are live formulas. How a value follows is told with the numbers of the day it was written.",
        &look::note(),
    )?;
    let titles = columns.titles(&written.others);
    let titles: Vec<&str> = titles.iter().map(String::as_str).collect();
    heads(&mut sheet, FIRST - 1, &titles, &[1])?;
    sheet.set_freeze_panes(FIRST, 0)?;
    let here = u32::try_from(at).unwrap_or(u32::MAX);
    let mut last = FIRST;
    let mut blocks = BTreeMap::new();
    for (id, node) in (0..).zip(contents.book.nodes()) {
        let Origin::Cell { sheet: of, row: of_row, wall } = node.origin else { continue };
        if of != here {
            continue;
        }
        let Some(row) = plan.rows.get(&id).copied() else { continue };
        let others = &written.rows[of_row as usize].others;
        for (column, text) in (3..).zip(others) {
            sheet.write_with_format(row, column, text, &look::text(true))?;
        }
        let on = On { places, book: contents.book, sheet: name };
        draw_cell(&mut sheet, &on, id, row, &columns, others)?;
        blocks.insert(wall, row - of_row);
        last = last.max(row);
    }
    for (wall, first) in &blocks {
        if let Some(wall) = wall {
            let id = contents.takeoff.and_then(|takeoff| {
                takeoff.layout.site.chain.walls().get(*wall as usize).map(|line| line.id.clone())
            });
            let text = format!("Wall {}", id.unwrap_or_default());
            sheet.write_with_format(first - 1, 0, text, &look::heading())?;
        }
        for (offset, row) in (0..).zip(&written.rows) {
            if row.name.is_empty() {
                sheet.set_row_height(first + offset, 20)?;
                sheet.write_with_format(first + offset, 0, &row.what, &look::heading())?;
                for (column, text) in (3..).zip(&row.others) {
                    sheet.write_with_format(first + offset, column, text, &look::text(true))?;
                }
                let texts: Vec<(&str, f64)> =
                    row.others.iter().map(|text| (text.as_str(), OTHER)).collect();
                fit(&mut sheet, first + offset, &texts)?;
            }
        }
    }
    let last_column = u16::try_from(widths.len().saturating_sub(1)).unwrap_or(0);
    set_up(&mut sheet, contents, true, last, last_column, Some((0, FIRST - 1)))?;
    Ok(sheet)
}

/// Width of a column that rides along.
const OTHER: f64 = 30.0;

/// Where the columns of a calc sheet stand: what rides along beside the unit, cautions only where there are some.
struct Columns {
    others: u16,
    cautions: bool,
}

impl Columns {
    fn new(contents: &Contents, at: usize) -> Self {
        let here = u32::try_from(at).unwrap_or(u32::MAX);
        let cautions = contents.book.nodes().iter().any(|node| {
            sheet_of(node) == here
                && node.formula.as_ref().is_some_and(|formula| !cautions(formula).is_empty())
        });
        let others = contents.calc.get(at).map_or(0, |sheet| sheet.others.len());
        Self { others: u16::try_from(others).unwrap_or(0), cautions }
    }

    fn how(&self) -> u16 {
        3 + self.others
    }

    fn kind(&self) -> u16 {
        4 + self.others
    }

    fn caution(&self) -> u16 {
        5 + self.others
    }

    fn widths(&self) -> Vec<f64> {
        let mut widths = vec![42.0, 15.0, 9.0];
        widths.extend((0..self.others).map(|_| OTHER));
        widths.extend([62.0, 11.0]);
        widths.extend(self.cautions.then_some(38.0));
        widths
    }

    fn titles(&self, others: &[String]) -> Vec<String> {
        let mut titles = ["What", "Value", "Unit"].map(str::to_owned).to_vec();
        titles.extend(others.iter().map(|title| {
            let mut letters = title.chars();
            let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
            first + letters.as_str()
        }));
        titles.extend(["How it follows", "Kind"].map(str::to_owned));
        titles.extend(self.cautions.then(|| "Caution".to_owned()));
        titles
    }
}

fn draw_cell(
    sheet: &mut Worksheet,
    on: &On,
    id: NodeId,
    row: u32,
    columns: &Columns,
    others: &[String],
) -> Result<(), XlsxError> {
    let widths = columns.widths();
    let book = on.book;
    let node = book.node(id);
    let formula = node.formula.as_ref();
    let how = formula.filter(|tree| !tree.is_typed()).map(|tree| derivation(tree, book));
    let how = how.unwrap_or_default();
    let caution = formula.map(cautions).unwrap_or_default().join("; ");
    // What no other cell of the sheet rests on is a result.
    let result = formula.is_some_and(|tree| !tree.is_typed())
        && !book.users(id).iter().any(|user| sheet_of(book.node(*user)) == sheet_of(node));
    let strong = |format: Format| if result { format.set_bold() } else { format };
    sheet.write_with_format(row, 0, &node.what, &strong(look::text(true)))?;
    sheet.write_with_format(row, 2, shown_unit(&node.unit), &look::text(false))?;
    let how_text = how.chars().take(2_000).collect::<String>();
    sheet.write_with_format(row, columns.how(), how_text, &look::text(true))?;
    if !caution.is_empty() {
        sheet.write_with_format(row, columns.caution(), &caution, &look::text(true))?;
    }
    let mut texts: Vec<(&str, f64)> = vec![(&node.what, widths[0]), (&how, 62.0), (&caution, 38.0)];
    texts.extend(others.iter().map(|text| (text.as_str(), OTHER)));
    fit(sheet, row, &texts)?;
    let Some(value) = book.value(id) else { return Ok(()) };
    let held = held(&value, &node.unit);
    let is_typed = formula.is_none_or(Tree::is_typed);
    let text = if is_typed { None } else { live(id, book, on) };
    let kind = match (&text, is_typed) {
        (_, true) => "typed",
        (Some(_), _) => "formula",
        (None, _) => "computed",
    };
    sheet.write_with_format(row, columns.kind(), kind, &look::text(false))?;
    match (text, &held) {
        (None, _) if is_typed => put(sheet, row, &held, typed)?,
        (None, _) => put(sheet, row, &held, computed)?,
        (Some(text), held) => {
            let formula = Formula::new(format!("={text}"));
            let (result, format) = match held {
                Held::Number(number, pattern) => (shortest(*number), strong(look::number(pattern))),
                Held::Text(text) => (text.clone(), look::text(true)),
                Held::Flag(flag) => (flag.to_string().to_uppercase(), look::number("General")),
            };
            sheet.write_formula_with_format(row, VALUE, formula.set_result(result), &format)?;
        }
    }
    Ok(())
}
