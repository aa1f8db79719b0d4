//! A table of numbers side by side, with a bar chart where it is one of changes.

use rust_xlsxwriter::{
    Chart, ChartFormat, ChartPatternFill, ChartPatternFillType, ChartSolidFill, ChartType,
    DocProperties, ExcelDateTime, Workbook, Worksheet, XlsxError,
};

use super::look;
use super::seal::{BLANK, PROPERTY, fingerprint_of};
use crate::measure::CURRENCIES;
use crate::problem::{Outcome, Problem};

/// A table: texts first, then numbers.
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
}

/// Writes a comparison as a workbook; with the columns that a bar chart shows.
///
/// # Errors
/// The spreadsheet library refuses something.
pub fn write_comparison(table: &Comparison, chart: Option<[u16; 2]>) -> Outcome<Vec<u8>> {
    let fail =
        |error: XlsxError| Problem::error(format!("the workbook cannot be written: {error}"));
    let blank = build(table, chart, BLANK).map_err(fail)?;
    let print =
        fingerprint_of(&blank).ok_or_else(|| Problem::error("the workbook cannot be sealed"))?;
    Ok(build(table, chart, &print).map_err(fail)?)
}

fn build(table: &Comparison, chart: Option<[u16; 2]>, seal: &str) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let created = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(
        &DocProperties::new()
            .set_title(&table.title)
            .set_creation_datetime(&created)
            .set_custom_property(PROPERTY, seal),
    );
    let mut sheet = Worksheet::new();
    sheet.set_name(&table.sheet)?;
    sheet.write_with_format(0, 0, &table.title, &look::title())?;
    let texts = table.rows.first().map_or(0, |(texts, _)| texts.len());
    for (at, head) in table.heads.iter().enumerate() {
        let column = u16::try_from(at).unwrap_or(0);
        sheet.set_column_width(column, if at == 0 { 38.0 } else { 20.0 })?;
        sheet.write_with_format(2, column, head, &look::column_head(at >= texts))?;
    }
    let mut row = 3;
    for (texts, numbers) in &table.rows {
        for (column, text) in (0..).zip(texts) {
            sheet.write_with_format(row, column, text, &look::text(true))?;
        }
        let first = u16::try_from(texts.len()).unwrap_or(0);
        for (column, number) in (first..).zip(numbers) {
            if let Some(number) = number {
                let money = texts.last().is_some_and(|unit| CURRENCIES.contains(&unit.as_str()));
                let pattern = match number {
                    number if money || chart.is_some() || number.abs() >= 1000.0 => "#,##0.00",
                    _ => "0.0000",
                };
                sheet.write_with_format(row, column, *number, &look::number(pattern))?;
            }
        }
        row += 1;
    }
    let last = row.saturating_sub(1);
    for note in &table.notes {
        sheet.write_with_format(row, 0, note, &look::note())?;
        row += 1;
    }
    if let Some(columns) = chart.filter(|_| !table.rows.is_empty()) {
        let drawn = bars(table, columns, last);
        sheet.insert_chart(row + 1, 0, &drawn)?;
    }
    sheet.set_footer("&C&A&RPage &P of &N");
    sheet.set_landscape();
    // A chart stays on the page of its table.
    sheet.set_print_fit_to_pages(1, u16::from(chart.is_some()));
    sheet.set_repeat_rows(0, 2)?;
    book.push_worksheet(sheet);
    book.save_to_buffer()
}

/// Bars to both sides, the longest at the top; told apart by pattern, so that a grey print shows them too.
fn bars(table: &Comparison, columns: [u16; 2], last: u32) -> Chart {
    let mut chart = Chart::new(ChartType::Bar);
    let rows = u32::try_from(table.rows.len()).unwrap_or(u32::MAX);
    chart.set_width(900).set_height(120 + 22 * rows.min(60));
    chart.title().set_name(&table.title);
    chart.y_axis().set_reverse();
    chart.x_axis().set_label_position(rust_xlsxwriter::ChartAxisLabelPosition::Low);
    chart.y_axis().set_label_position(rust_xlsxwriter::ChartAxisLabelPosition::Low);
    for (at, column) in columns.into_iter().enumerate() {
        let series = chart.add_series();
        let name = table.heads.get(usize::from(column)).map_or("", String::as_str);
        series
            .set_name(name)
            .set_categories((table.sheet.as_str(), 3, 0, last, 0))
            .set_values((table.sheet.as_str(), 3, column, last, column))
            .set_overlap(100)
            .set_gap(40);
        let mut format = ChartFormat::new();
        if at == 0 {
            format.set_pattern_fill(
                ChartPatternFill::new()
                    .set_pattern(ChartPatternFillType::DiagonalStripesWideUpwards)
                    .set_foreground_color(0x0040_4040),
            );
        } else {
            format.set_solid_fill(ChartSolidFill::new().set_color(0x0060_6060));
        }
        series.set_format(&mut format);
    }
    chart
}
