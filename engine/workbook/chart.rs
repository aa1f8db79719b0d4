//! Native charts over tables of the workbook.

use rust_xlsxwriter::{
    Chart, ChartAxisLabelPosition, ChartFont, ChartFormat, ChartLegendPosition, ChartLine,
    ChartLineDashType, ChartMarker, ChartPatternFill, ChartPatternFillType, ChartSolidFill,
    ChartType, Color,
};

use super::block::fitting;
use super::laid::Laid;
use super::page::ChartPage;
use super::places::Places;
use super::write::Contents;
use crate::measure::round;

/// Width in dots of a column that nobody sets.
const COLUMN: f64 = 64.0;

/// Rows of the sheet that a chart covers.
pub(super) const ROWS: u32 = 24;

/// Lines over listings.
///
/// None of its listings may stand in the workbook: then there is no chart.
pub(super) fn lines(page: &ChartPage, contents: &Contents, places: &Places) -> Option<Chart> {
    let mut drawn = 0;
    let mut chart = Chart::new(ChartType::ScatterStraight);
    let names: Vec<&str> = page.series.iter().map(|series| series.name.as_str()).collect();
    chart.set_alt_text(cut(&format!("{}. Lines: {}", page.title, names.join(", "))));
    chart.title().set_name(&page.title).set_font(ChartFont::new().set_size(12));
    let unit = contents.system.length();
    chart
        .x_axis()
        .set_name(&format!("{}, {unit}", page.x_title))
        .set_major_gridlines(false)
        .set_num_format("0");
    chart
        .y_axis()
        .set_name(&format!("{}, {unit}", page.y_title))
        .set_num_format("0")
        .set_major_gridlines_line(
            ChartLine::new().set_width(0.25).set_color(Color::RGB(0x00D9_D9D9)),
        );
    chart.legend().set_position(ChartLegendPosition::Bottom);
    chart.set_width(930).set_height(460);
    let (mut low, mut high, mut end) = (f64::INFINITY, f64::NEG_INFINITY, 0.0_f64);
    for series in &page.series {
        let Some(set) = contents.listings.iter().find(|set| set.name() == series.records) else {
            continue;
        };
        let rows = fitting(set, &series.only);
        let listed = places.tables.iter().find(|table| table.set == series.records);
        let (Some(first), Some(last), Some(listed)) = (rows.first(), rows.last(), listed) else {
            continue;
        };
        let place = |row: &usize| {
            listed.rows.iter().position(|listed| listed == row).and_then(|n| u32::try_from(n).ok())
        };
        let (Some(from), Some(to)) = (place(first), place(last)) else { continue };
        let (Some(x), Some(y)) = (listed.columns.get(&series.x), listed.columns.get(&series.y))
        else {
            continue;
        };
        let (from, to) = (listed.first_row + from, listed.first_row + to);
        for row in &rows {
            let number = |field: &str| {
                set.column(field)
                    .and_then(|c| set.rows[*row][c].number(contents.system))
                    .map(|(v, _)| v)
            };
            if let (Some(x), Some(y)) = (number(&series.x), number(&series.y)) {
                low = low.min(y);
                high = high.max(y);
                end = end.max(x);
            }
        }
        let dash = match series.dash.as_str() {
            "dash" => ChartLineDashType::Dash,
            "dot" => ChartLineDashType::RoundDot,
            _ => ChartLineDashType::Solid,
        };
        let color = Color::RGB(u32::from_str_radix(&series.color, 16).unwrap_or(0));
        let mut line = ChartLine::new();
        line.set_width(series.width).set_color(color).set_dash_type(dash);
        drawn += 1;
        chart
            .add_series()
            .set_name(&series.name)
            .set_categories((listed.sheet.as_str(), from, *x, to, *x))
            .set_values((listed.sheet.as_str(), from, *y, to, *y))
            .set_marker(ChartMarker::new().set_none())
            .set_format(ChartFormat::new().set_line(&line));
    }
    if low.is_finite() && high > low {
        let margin = 0.05 * (high - low);
        chart
            .y_axis()
            .set_min(round::floor_f64(low - margin))
            .set_max(round::floor_f64(high + margin) + 1.0);
        chart.x_axis().set_min(0.0).set_max(round::floor_f64(end) + 1.0);
    }
    (drawn > 0).then_some(chart)
}

/// Width of bars in dots: that of the columns that the page speaks of, within what is read.
fn bar_width(laid: &Laid) -> u32 {
    let dots = |column: u16| laid.widths.get(&column).map_or(COLUMN, |width| width * 7.0 + 5.0);
    let all: f64 = (0..=laid.last_column).map(dots).sum();
    num_traits::ToPrimitive::to_u32(&all.clamp(400.0, 900.0)).unwrap_or(900)
}

/// Height of bars over these rows, in dots.
fn bar_height((first, last): (u32, u32)) -> u32 {
    120 + 22 * (last + 1 - first.min(last)).min(60)
}

/// Rows of the sheet that bars cover: each is twenty dots high.
pub(super) fn bar_rows(rows: (u32, u32)) -> u32 {
    bar_height(rows).div_ceil(20)
}

/// The text of a cell.
fn text_of<'a>(laid: &'a Laid, row: u32, column: u16) -> &'a str {
    laid.cells.get(&(row, column)).map_or("", |cell| cell.words())
}

/// As many letters as the library takes for what is read in place of a chart.
fn cut(text: &str) -> String {
    text.chars().take(255).collect()
}

/// What bars show, in words: of what, and which rows.
fn told(laid: &Laid, (first, last): (u32, u32), columns: &[u16]) -> String {
    let text = |row: u32, column: u16| text_of(laid, row, column).replace('\n', ", ");
    let head = first.saturating_sub(1);
    let shown: Vec<String> = columns.iter().map(|column| text(head, *column)).collect();
    format!(
        "{}. Bars for {} {}, from {} to {}; each stands in the table above: {}",
        text(0, 0),
        last + 1 - first.min(last),
        if first == last { "row" } else { "rows" },
        text(first, 0),
        text(last, 0),
        shown.join("; ")
    )
}

/// Bars to both sides, the longest at the top; told apart by pattern, so that a grey print shows them too.
pub(super) fn bars(laid: &Laid, (first, last): (u32, u32), columns: &[u16]) -> Chart {
    let text = |row: u32, column: u16| text_of(laid, row, column);
    let mut chart = Chart::new(ChartType::Bar);
    chart.set_width(bar_width(laid)).set_height(bar_height((first, last)));
    chart.title().set_name(text(0, 0));
    chart.y_axis().set_reverse();
    chart.x_axis().set_label_position(ChartAxisLabelPosition::Low);
    chart.y_axis().set_label_position(ChartAxisLabelPosition::Low);
    let sheet = laid.name.as_str();
    for (at, column) in columns.iter().enumerate() {
        let series = chart.add_series();
        series
            .set_name(&text(first.saturating_sub(1), *column).replace('\n', ", "))
            .set_categories((sheet, first, 0, last, 0))
            .set_values((sheet, first, *column, last, *column))
            .set_overlap(100)
            .set_gap(40);
        let mut format = ChartFormat::new();
        if at == 0 && columns.len() > 1 {
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
    if columns.len() == 1 {
        chart.legend().set_hidden();
    }
    chart.set_alt_text(cut(&told(laid, (first, last), columns)));
    chart
}

/// Rows of the sheet that upright bars cover.
pub(super) const UPRIGHT_ROWS: u32 = 20;
/// Their width in dots, and in letters of the columns that they stand over.
const UPRIGHT_WIDTH: u32 = 700;
pub(super) const UPRIGHT_LETTERS: f64 = 100.0;

/// Upright bars for each row, told apart by pattern, so that a grey print shows them too.
pub(super) fn upright(laid: &Laid, (first, last): (u32, u32), columns: &[u16]) -> Chart {
    let head = first.saturating_sub(1);
    let text = |row: u32, column: u16| text_of(laid, row, column).replace('\n', ", ");
    let mut chart = Chart::new(ChartType::Column);
    chart.set_width(UPRIGHT_WIDTH).set_height(20 * UPRIGHT_ROWS - 20);
    chart.title().set_name(&text(0, 0));
    chart.x_axis().set_label_position(ChartAxisLabelPosition::Low);
    let sheet = laid.name.as_str();
    let fills = [
        (ChartPatternFillType::DiagonalStripesWideUpwards, 0x0040_4040),
        (ChartPatternFillType::Dotted20Percent, 0x0040_4040),
        (ChartPatternFillType::HorizontalStripesLight, 0x0040_4040),
    ];
    for (at, column) in columns.iter().enumerate() {
        let mut format = ChartFormat::new();
        match at.checked_sub(1).and_then(|at| fills.get(at)) {
            Some((pattern, color)) => format.set_pattern_fill(
                ChartPatternFill::new().set_pattern(*pattern).set_foreground_color(*color),
            ),
            None => format.set_solid_fill(ChartSolidFill::new().set_color(0x0060_6060)),
        };
        chart
            .add_series()
            .set_name(&text(head, *column))
            .set_categories((sheet, first, 0, last, 0))
            .set_values((sheet, first, *column, last, *column))
            .set_gap(60)
            .set_format(&mut format);
    }
    if columns.len() == 1 {
        chart.legend().set_hidden();
    } else {
        chart.legend().set_position(rust_xlsxwriter::ChartLegendPosition::Bottom);
    }
    chart.set_alt_text(cut(&told(laid, (first, last), columns)));
    chart
}
