//! Workbooks: every page is laid out, places get their names, and what was laid is written.

use rust_xlsxwriter::{
    DataValidation, DocProperties, ExcelDateTime, Formula, Workbook, Worksheet, XlsxError,
};

use super::block::Layer;
use super::cell::{Content, Held, Mark, PageCell};
use super::chart;
use super::free::{Comparison, FreeTable};
use super::laid::{Laid, LaidChart};
use super::net::caught;
use super::page::{Each, Page};
use super::places::Places;
use super::seal::{BLANK, PROPERTY, fingerprint_of};
use super::split::SheetShare;
use crate::footing::System;
use crate::listing::Listing;
use crate::problem::{Outcome, Problem};
use crate::sheet::{Book, Formula as Tree, Sheet as CalcSheet};
use crate::takeoff::Takeoff;

/// What a workbook is made from.
#[derive(Debug, Clone, Copy)]
pub struct Contents<'a> {
    /// Name of the job.
    pub job: &'a str,
    /// System of units.
    pub system: System,
    /// Page descriptions.
    pub pages: &'a [Page],
    /// Listings.
    pub listings: &'a [Listing],
    /// The takeoff, if there is a layout.
    pub takeoff: Option<&'a Takeoff>,
    /// Tables that scripts or questions made.
    pub tables: &'a [FreeTable],
    /// Calc sheets as written.
    pub calc: &'a [CalcSheet],
    /// Their cells.
    pub book: &'a Book,
}

/// Writes the workbook as bytes: the same contents give the same bytes.
///
/// # Errors
/// The spreadsheet library refuses something, such as a sheet name.
pub fn write_workbook(contents: &Contents) -> Outcome<Vec<u8>> {
    caught(|| sealed(contents)).unwrap_or_else(|what| {
        Err(Problem::error(format!("the workbook cannot be written: {what}"))
            .help("look at the last change of a page, a sheet or a script")
            .into())
    })
}

/// Writes a comparison as a workbook, by the page that describes it.
///
/// # Errors
/// The spreadsheet library refuses something.
pub fn write_comparison(table: &Comparison, page: Page) -> Outcome<Vec<u8>> {
    write_workbook(&Contents {
        job: &table.title,
        system: System::Us,
        pages: &[page],
        listings: &[],
        takeoff: None,
        tables: &[FreeTable::of_comparison(table)],
        calc: &[],
        book: &Book::default(),
    })
}

fn sealed(contents: &Contents) -> Outcome<Vec<u8>> {
    let fail =
        |error: XlsxError| Problem::error(format!("the workbook cannot be written: {error}"));
    let blank = build(contents, BLANK).map_err(fail)?;
    let print =
        fingerprint_of(&blank).ok_or_else(|| Problem::error("the workbook cannot be sealed"))?;
    Ok(build(contents, &print).map_err(fail)?)
}

fn build(contents: &Contents, seal: &str) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let created = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let properties = DocProperties::new()
        .set_title(contents.job)
        .set_creation_datetime(&created)
        .set_custom_property(PROPERTY, seal);
    book.set_properties(&properties);
    let mut places = Places::default();
    let sheets = laid_out(contents, &mut places);
    places.name_all(contents.book, contents.takeoff);
    for laid in &sheets {
        book.push_worksheet(Writer { contents, places: &places, laid }.sheet()?);
    }
    for (name, refers) in places.names() {
        book.define_name(name, &refers)?;
    }
    book.save_to_buffer()
}

/// Every sheet that has something to show.
fn laid_out<'a>(contents: &'a Contents<'a>, places: &mut Places) -> Vec<Laid<'a>> {
    let mut taken: Vec<String> = contents
        .pages
        .iter()
        .filter(|page| page.each.is_none())
        .map(|page| page.sheet.to_lowercase())
        .collect();
    let mut sheets = Vec::new();
    for page in contents.pages {
        // The name of a sheet, and the title of what it is made for.
        let several: Vec<(String, &str)> = match page.each {
            None => vec![(page.sheet.clone(), "")],
            Some(Each::CalcSheet) => {
                let titles = contents.calc.iter().map(|sheet| sheet.title.as_str());
                titles.map(|title| (named(page, title, &mut taken), title)).collect()
            }
            Some(Each::Table) => contents
                .tables
                .iter()
                .map(|table| (named(page, &table.sheet, &mut taken), table.title.as_str()))
                .collect(),
        };
        for (each, (name, title)) in several.into_iter().enumerate() {
            let title = page.title.replace("{job}", contents.job).replace("{title}", title);
            let layer = |name, one_table| {
                let laid = Laid::new(name);
                Layer { contents, page, each, laid, one_table }
            };
            let shares = layer(String::new(), false).shares(&title);
            for (at, share) in shares.into_iter().enumerate() {
                let name = match at {
                    0 => name.clone(),
                    _ => begun_with(page, &share, &name, &mut taken),
                };
                let mut laid = layer(name, share.one_table).lay(&title, &share.blocks, places);
                laid.one_page = share.fits;
                sheets.extend(Some(laid).filter(|laid| !laid.is_empty()));
            }
        }
    }
    sheets
}

/// The name of a further sheet of a page: its first block says it, else the page's with a number.
fn begun_with(page: &Page, share: &SheetShare, sheet: &str, taken: &mut Vec<String>) -> String {
    let own = share.blocks.iter().map(|at| page.block[*at].sheet.as_str());
    free_name(own.into_iter().find(|name| !name.is_empty()).unwrap_or(sheet), taken)
}

fn named(page: &Page, title: &str, taken: &mut Vec<String>) -> String {
    free_name(&page.sheet.replace("{title}", title), taken)
}

/// Writes what was laid.
struct Writer<'a> {
    contents: &'a Contents<'a>,
    places: &'a Places,
    laid: &'a Laid<'a>,
}

impl Writer<'_> {
    fn sheet(&self) -> Result<Worksheet, XlsxError> {
        let laid = self.laid;
        let mut sheet = Worksheet::new();
        // An empty text that a formula gives is stored as one, not as 0.
        sheet.set_formula_result_default("");
        sheet.set_name(&laid.name)?;
        for (column, width) in &laid.widths {
            sheet.set_column_width(*column, *width)?;
        }
        for (row, height) in &laid.heights {
            sheet.set_row_height(*row, *height)?;
        }
        for ((row, column), cell) in &laid.cells {
            self.cell(&mut sheet, *row, *column, cell)?;
            // A spreadsheet takes up to 255 letters of choices.
            if !cell.choices.is_empty() && cell.choices.join(",").len() <= 255 {
                let choices = DataValidation::new().allow_list_strings(cell.choices)?;
                sheet.add_data_validation(*row, *column, *row, *column, &choices)?;
            }
        }
        for chart in &laid.charts {
            match chart {
                LaidChart::Lines(at, page) => {
                    if let Some(drawn) = chart::lines(page, self.contents, self.places) {
                        sheet.insert_chart(*at, 0, &drawn)?;
                    }
                }
                LaidChart::Bars { at, rows, columns } => {
                    sheet.insert_chart(*at, 0, &chart::bars(laid, *rows, *columns))?;
                }
                LaidChart::Upright { at, rows, columns } => {
                    sheet.insert_chart(*at, 0, &chart::upright(laid, *rows, columns))?;
                }
            }
        }
        if let Some(row) = laid.frozen {
            sheet.set_freeze_panes(row, 0)?;
        }
        self.set_up(&mut sheet)?;
        Ok(sheet)
    }

    /// How it is printed.
    fn set_up(&self, sheet: &mut Worksheet) -> Result<(), XlsxError> {
        let laid = self.laid;
        // Letter for feet, A4 for metres.
        sheet.set_paper_size(if self.contents.system == System::Us { 1 } else { 9 });
        if laid.landscape {
            sheet.set_landscape();
        }
        sheet.set_print_fit_to_pages(1, u16::from(laid.one_page));
        let cells = laid.cells.keys().map(|(row, _)| *row).max().unwrap_or(0);
        let charts = laid.charts.iter().map(LaidChart::end);
        let last = charts.fold(cells, u32::max);
        sheet.set_print_area(0, 0, last, laid.last_column)?;
        sheet.set_repeat_rows(laid.repeat.0, laid.repeat.1)?;
        let job: String = self.contents.job.replace('&', "&&").chars().take(80).collect();
        sheet.set_footer(format!("&L{job}&C&A&RPage &P of &N"));
        Ok(())
    }

    fn cell(
        &self,
        sheet: &mut Worksheet,
        row: u32,
        column: u16,
        cell: &PageCell,
    ) -> Result<(), XlsxError> {
        let book = self.contents.book;
        let formula = |live: &super::cell::Live| self.places.formula(live, &self.laid.name, book);
        let text = |sheet: &mut Worksheet, text: &str| {
            sheet.write_with_format(row, column, text, &cell.format(Mark::None)).map(|_| ())
        };
        match &cell.content {
            Content::Held(held) => value(sheet, row, column, held, cell, cell.mark),
            Content::Live(live, held) => match formula(live) {
                Some(text) => {
                    let formula = Formula::new(format!("={text}")).set_result(held.result());
                    sheet
                        .write_formula_with_format(row, column, formula, &cell.format(cell.mark))
                        .map(|_| ())
                }
                None => value(sheet, row, column, held, cell, Mark::Computed),
            },
            Content::Formula(written, result) => {
                let formula = Formula::new(format!("={written}")).set_result(result);
                sheet
                    .write_formula_with_format(row, column, formula, &cell.format(cell.mark))
                    .map(|_| ())
            }
            Content::UnlessLive(live, words) => match formula(live) {
                Some(_) => Ok(()),
                None => {
                    sheet.write_with_format(row, column, words, &cell.format(cell.mark)).map(|_| ())
                }
            },
            Content::KindOf(id) => {
                let typed = book.node(*id).formula.as_ref().is_none_or(Tree::is_typed);
                let live = || formula(&super::cell::Live::Node(*id)).is_some();
                text(
                    sheet,
                    match typed {
                        true => "typed",
                        false if live() => "formula",
                        false => "computed",
                    },
                )
            }
            Content::NameOf(anchor) => match self.places.name_of(anchor) {
                Some(name) => text(sheet, &name),
                None => Ok(()),
            },
            // It became a formula when its row was laid.
            Content::SameRow(..) => Ok(()),
        }
    }
}

fn value(
    sheet: &mut Worksheet,
    row: u32,
    column: u16,
    held: &Held,
    cell: &PageCell,
    mark: Mark,
) -> Result<(), XlsxError> {
    let format = cell.format(mark);
    match held {
        Held::Number(number, _) => sheet.write_with_format(row, column, *number, &format),
        Held::Text(text) => sheet.write_with_format(row, column, text, &format),
        Held::Flag(flag) => sheet.write_with_format(row, column, *flag, &format),
    }
    .map(|_| ())
}

/// Letters that no spreadsheet's file can hold.
fn unwritable(c: char) -> bool {
    c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}')
}

/// A sheet name that the spreadsheet accepts and that is not taken: at most 31 units of UTF-16, a number included.
pub(super) fn free_name(title: &str, taken: &mut Vec<String>) -> String {
    const MOST: usize = 26;
    let mut length = 0;
    let plain: String = title
        .chars()
        .map(|c| if "[]:*?/\\'".contains(c) || unwritable(c) { '-' } else { c })
        .take_while(|c| {
            length += c.len_utf16();
            length <= MOST
        })
        .collect();
    let plain = match plain.trim() {
        "" => "Sheet".to_owned(),
        // The spreadsheet keeps this name for itself.
        name if name.eq_ignore_ascii_case("history") => format!("{name} sheet"),
        name => name.to_owned(),
    };
    let mut name = plain.clone();
    let mut number = 2;
    while taken.contains(&name.to_lowercase()) {
        name = format!("{plain} {number}");
        number += 1;
    }
    taken.push(name.to_lowercase());
    name
}
