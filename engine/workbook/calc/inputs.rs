//! The sheet of inputs.

use rust_xlsxwriter::{Formula, Worksheet, XlsxError};

use super::super::look;
use super::super::write::{Contents, PartsPlace, Places, set_up};
use super::plan::{FIRST, On, VALUE};
use super::{Held, absolute, computed, fit, heads, held, put, quoted, shown_unit, typed};
use crate::catalogue::Value;
use crate::measure::shortest;
use crate::problem::cell_name;
use crate::sheet::{NodeId, Origin, live};
use crate::takeoff::{Setting, Takeoff};

/// The sheet of inputs.
pub(super) fn inputs(
    contents: &Contents,
    places: &Places,
    takeoff: &Takeoff,
) -> Result<Worksheet, XlsxError> {
    let plan = &places.plan;
    let mut sheet = Worksheet::new();
    sheet.set_name(&plan.inputs)?;
    let widths = [46.0, 14.0, 10.0, 34.0, 34.0, 16.0, 40.0];
    for (at, width) in (0..).zip(widths) {
        sheet.set_column_width(at, width)?;
    }
    sheet.write_with_format(0, 0, format!("Inputs: {}", contents.job), &look::title())?;
    sheet.write_with_format(
        1,
        0,
        "Change a framed value and the quantities to order and the prices follow. The steps do not: they were laid out with the values in column F.",
        &look::note(),
    )?;
    let titles = [
        "What",
        "Value",
        "Unit",
        "Key in job.toml",
        "Name in formulas",
        "Laid out with\n(computed)",
        "Remark",
    ];
    heads(&mut sheet, FIRST - 1, &titles, &[1, 5])?;
    let mut last = FIRST;
    for (path, row) in &plan.settings {
        let Some(setting) = takeoff.job.settings.get(path) else { continue };
        let node = contents
            .book
            .nodes()
            .iter()
            .find(|node| matches!(&node.origin, Origin::Setting(known) if known == path));
        let what = setting.about;
        let unit = node.map_or(setting.unit.clone(), |node| node.unit.clone());
        let value = match &setting.value {
            Setting::Measure(exact) => Value::Measure(exact.quantity()),
            #[expect(clippy::cast_precision_loss, reason = "counts of a job")]
            Setting::Count(count) => Value::Number(*count as f64),
            Setting::Text(text) => Value::Text(text.clone()),
        };
        let held = held(&value, &unit);
        sheet.write_with_format(*row, 0, what, &look::text(true))?;
        put(&mut sheet, *row, &held, typed)?;
        sheet.write_with_format(*row, 2, shown_unit(&unit), &look::text(false))?;
        sheet.write_with_format(*row, 3, path, &look::text(false))?;
        sheet.write_with_format(*row, 4, plan.setting(path).unwrap_or(""), &look::text(false))?;
        if let Held::Number(number, pattern) = &held {
            sheet.write_with_format(*row, 5, *number, &computed(look::number(pattern)))?;
            let cells = [VALUE, 5].map(|column| cell_name(*row as usize, usize::from(column)));
            let text = format!(
                "=IF({}={},\"as laid out\",\"changed since the steps were laid out\")",
                cells[0], cells[1]
            );
            sheet.write_formula_with_format(
                *row,
                6,
                Formula::new(text).set_result("as laid out"),
                &look::text(true),
            )?;
        }
        fit(&mut sheet, *row, &[(what, widths[0])])?;
        last = last.max(*row);
    }
    if !plan.facts.is_empty() {
        let first = plan.facts.values().min().copied().unwrap_or(last);
        sheet.write_with_format(
            first - 1,
            0,
            "From the job and its layout (computed)",
            &look::heading(),
        )?;
    }
    for (fact, row) in &plan.facts {
        let nodes = (0..).zip(contents.book.nodes());
        let Some((id, node)) = nodes.into_iter().find(|(_, node)| node.name == *fact) else {
            continue;
        };
        sheet.write_with_format(*row, 0, &node.what, &look::text(true))?;
        if let Some(value) = contents.book.value(id) {
            let held = held(&value, &node.unit);
            match (of_wall(contents, places, id), &held) {
                (Some(text), Held::Number(number, pattern)) => {
                    let formula = Formula::new(format!("={text}")).set_result(shortest(*number));
                    let format = look::number(pattern);
                    sheet.write_formula_with_format(*row, VALUE, formula, &format)?;
                }
                _ => put(&mut sheet, *row, &held, computed)?,
            }
        }
        sheet.write_with_format(*row, 2, shown_unit(&node.unit), &look::text(false))?;
        sheet.write_with_format(*row, 3, fact, &look::text(false))?;
        let name = plan.named(&format!("fact {fact}")).unwrap_or("");
        sheet.write_with_format(*row, 4, name, &look::text(false))?;
        last = last.max(*row);
    }
    set_up(&mut sheet, contents, true, last, 6, Some((0, FIRST - 1)))?;
    Ok(sheet)
}

/// What of a line belongs to one wall, live: its parts there, or what follows from such.
fn of_wall(contents: &Contents, places: &Places, id: NodeId) -> Option<String> {
    let book = contents.book;
    let Origin::Line { id: line, wall: Some(wall) } = &book.node(id).origin else { return None };
    if book.node(id).formula.is_some() {
        return live(id, book, &On { places, book, sheet: &places.plan.inputs });
    }
    let PartsPlace { sheet, rows: (first, last), wall: of, part } = places.parts.get(line)?;
    let range = |column: u16| {
        let [first, last] = [first, last].map(|row| absolute(*row, column));
        format!("{}!{first}:{last}", quoted(sheet))
    };
    let wall = wall.replace('"', "\"\"");
    // Not by SUMIF, to which a name such as *, or a1 beside A1, means several walls.
    Some(format!("SUMPRODUCT(--EXACT({},\"{wall}\"),{})", range(*of), range(*part)))
}
