//! Workbooks: every page is laid out, places get their names, and what was laid is written.

use rust_xlsxwriter::{
    DataValidation, DocProperties, ExcelDateTime, Format, Formula, Image, Workbook, Worksheet,
    XlsxError,
};

use super::block::Layer;
use super::cell::{Content, Held, Mark, PageCell};
use super::chart;
use super::free::{Comparison, FreeTable};
use super::laid::{Laid, LaidChart};
use super::look::{self, Look, WorkbookPaper};
use super::net::caught;
use super::page::{Each, Page};
use super::places::Places;
use super::repack::{in_order, is_chart, repacked};
use super::seal;
use super::split::SheetShare;
use crate::footing::System;
use crate::listing::Listing;
use crate::measure::{round, titled};
use crate::problem::{Outcome, Problem};
use crate::sheet::{Book, Formula as Tree, Sheet as CalcSheet};
use crate::takeoff::Takeoff;

/// What a workbook is made from.
#[derive(Debug, Clone, Copy)]
pub struct Contents<'a> {
    /// Name of the job.
    pub job: &'a str,
    /// Name of the firm, on papers that bear it.
    pub firm: &'a str,
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
    /// Drawings that pages show.
    pub pictures: &'a [Picture],
    /// The firm's own look.
    pub look: &'a Look,
}

/// A sheet of a drawing as a picture.
#[derive(Debug, Clone)]
pub struct Picture {
    /// Its kind, such as profile.
    pub kind: String,
    /// The picture, a png.
    pub png: Vec<u8>,
    /// Width and height of the paper that it is drawn for, in mm.
    pub size: (f64, f64),
    /// What it shows, for who does not see it.
    pub words: String,
}

/// Width and height of a drawing in a workbook in inches, at most: narrow margins round it on the smaller of both papers.
const DRAWING: (f64, f64) = (10.2, 7.2);
/// Dots of an inch, and of a column whose width nobody sets.
const DOTS: f64 = 96.0;
const COLUMN: f64 = 64.0;

impl Contents<'_> {
    /// A text of a page with the names that it leaves open.
    pub(super) fn filled(&self, text: &str) -> String {
        text.replace("{job}", self.job).replace("{firm}", self.firm)
    }

    /// The paper that it is printed on.
    pub fn paper(&self) -> WorkbookPaper {
        self.look.paper.unwrap_or(WorkbookPaper::usual(self.system))
    }

    /// Width and height of a picture in inches.
    fn picture_inches(&self, which: usize) -> (f64, f64) {
        let (width, height) = self.pictures.get(which).map_or(DRAWING, |picture| picture.size);
        let times = (DRAWING.0 / width).min(DRAWING.1 / height);
        (width * times, height * times)
    }

    /// Columns of the usual width that a picture covers.
    pub(super) fn picture_columns(&self, which: usize) -> u16 {
        let columns = round::floor_f64(self.picture_inches(which).0 * DOTS / COLUMN) + 1.0;
        num_traits::ToPrimitive::to_u16(&columns).unwrap_or(1)
    }

    /// Rows of the usual height that a picture covers.
    pub(super) fn picture_rows(&self, which: usize) -> u32 {
        let rows = round::floor_f64(self.picture_inches(which).1 * 72.0 / look::LINE) + 1.0;
        num_traits::ToPrimitive::to_u32(&rows).unwrap_or(1)
    }
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
        firm: "",
        system: System::Us,
        pages: &[page],
        listings: &[],
        takeoff: None,
        tables: &[FreeTable::of_comparison(table)],
        calc: &[],
        book: &Book::default(),
        pictures: &[],
        look: &Look::default(),
    })
}

fn sealed(contents: &Contents) -> Outcome<Vec<u8>> {
    let blank = build(contents)
        .map_err(|error| Problem::error(format!("the workbook cannot be written: {error}")))?;
    let sound = repacked(&blank, is_chart, in_order);
    let sealed = sound.and_then(|sound| seal::sealed(&sound));
    Ok(sealed.ok_or_else(|| Problem::error("the workbook cannot be sealed"))?)
}

fn build(contents: &Contents) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let created = ExcelDateTime::from_ymd(2000, 1, 1)?;
    let properties = DocProperties::new()
        .set_title(contents.job)
        .set_creation_datetime(&created)
        .set_custom_property(seal::PROPERTY, seal::BLANK);
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
pub(super) fn laid_out<'a>(contents: &'a Contents<'a>, places: &mut Places) -> Vec<Laid<'a>> {
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
            Some(Each::Drawing) => {
                let kind = page.picture();
                let all = contents.pictures.iter().filter(|picture| picture.kind == kind);
                let titles = all.map(|picture| picture.words.as_str());
                titles.map(|words| (named(page, &titled(kind), &mut taken), words)).collect()
            }
        };
        for (each, (name, title)) in several.into_iter().enumerate() {
            let title = contents.filled(&page.title).replace("{title}", title);
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
    // A book opens on its first sheet: what is hidden comes last.
    let first = &contents.look.sheets;
    // A page's further sheets stay behind its first.
    let wanted = |laid: &Laid| {
        let numbered = laid.name.rsplit_once(' ').filter(|(_, end)| end.parse::<u32>().is_ok());
        let names = [Some(laid.name.as_str()), numbered.map(|(name, _)| name)];
        first.iter().position(|name| names.iter().flatten().any(|it| same_name(name, it)))
    };
    sheets.sort_by_key(|laid| (laid.hidden, wanted(laid).unwrap_or(first.len())));
    sheets
}

/// A spreadsheet takes names of sheets for the same whatever their case.
fn same_name(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}

/// The name of a further sheet of a page: its first block says it, else the page's with a number.
fn begun_with(page: &Page, share: &SheetShare, sheet: &str, taken: &mut Vec<String>) -> String {
    let own = share.blocks.iter().map(|at| page.block[*at].sheet.as_str());
    free_name(own.into_iter().find(|name| !name.is_empty()).unwrap_or(sheet), taken)
}

fn named(page: &Page, title: &str, taken: &mut Vec<String>) -> String {
    free_name(&page.sheet.replace("{title}", title), taken)
}

/// Most dots of a logo, across and down.
const LOGO: (f64, f64) = (160.0, 64.0);

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
        sheet.set_hidden(laid.hidden);
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
            if !cell.note.is_empty() {
                sheet.insert_note(*row, *column, &look::note_of(&cell.note))?;
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
                    sheet.insert_chart(*at, 0, &chart::bars(laid, *rows, columns))?;
                }
                LaidChart::Upright { at, rows, columns } => {
                    sheet.insert_chart(*at, 0, &chart::upright(laid, *rows, columns))?;
                }
                LaidChart::Picture { at, which, .. } => {
                    if let Some(picture) = self.contents.pictures.get(*which) {
                        let (width, height) = self.contents.picture_inches(*which);
                        let image = Image::new_from_buffer(&picture.png)?
                            .set_scale_to_size(width * DOTS, height * DOTS, true)
                            .set_alt_text(&picture.words);
                        sheet.insert_image(*at, 0, &image)?;
                    }
                }
            }
        }
        if let Some(logo) = self.contents.look.logo.as_ref().filter(|_| laid.logo) {
            let image = Image::new_from_buffer(logo)?
                .set_scale_to_size(LOGO.0, LOGO.1, true)
                .set_alt_text("logo of the firm");
            let column = laid.last_column.saturating_sub(1);
            sheet.insert_image(0, column, &image)?;
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
        // Some programs print hidden sheets too, unless they have nothing set up to print.
        if laid.hidden {
            return Ok(());
        }
        sheet.set_paper_size(self.contents.paper().code());
        if laid.landscape {
            sheet.set_landscape();
        }
        sheet.set_print_fit_to_pages(1, u16::from(laid.one_page || laid.is_drawing));
        if laid.is_drawing {
            sheet.set_margins(look::SIDE, look::SIDE, look::SIDE, 0.55, 0.2, 0.25);
            sheet.set_print_center_horizontally(true);
        } else {
            sheet.set_margins(look::SIDE, look::SIDE, look::TOP, look::TOP, 0.3, 0.3);
        }
        let cells = laid.cells.keys().map(|(row, _)| *row).max().unwrap_or(0);
        let charts = laid.charts.iter().map(LaidChart::end);
        let last = charts.fold(cells, u32::max);
        sheet.set_print_area(0, 0, last, laid.last_column)?;
        sheet.set_repeat_rows(laid.repeat.0, laid.repeat.1)?;
        let firm = match self.contents.firm {
            "" => String::new(),
            firm => format!("{firm}, "),
        };
        let left: String = format!("{firm}{}", self.contents.job).chars().take(80).collect();
        let left = left.replace('&', "&&");
        sheet.set_footer(format!("&L{left}&C&A&RPage &P of &N"));
        Ok(())
    }

    /// How a cell looks.
    fn format(&self, cell: &PageCell, mark: Mark) -> Format {
        self.contents.look.dress(cell.format(mark), cell.role, self.laid.size)
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
            sheet.write_with_format(row, column, text, &self.format(cell, Mark::None)).map(|_| ())
        };
        match &cell.content {
            Content::Held(Held::Text(text)) if cell.span > 1 => {
                let last = column + cell.span - 1;
                let format = self.format(cell, cell.mark);
                sheet.merge_range(row, column, row, last, text, &format).map(|_| ())
            }
            Content::Held(held) => value(sheet, row, column, held, &self.format(cell, cell.mark)),
            Content::Live(live, held) => match formula(live) {
                Some(text) => {
                    let formula = Formula::new(format!("={text}")).set_result(held.result());
                    sheet
                        .write_formula_with_format(
                            row,
                            column,
                            formula,
                            &self.format(cell, cell.mark),
                        )
                        .map(|_| ())
                }
                None => value(sheet, row, column, held, &self.format(cell, Mark::Computed)),
            },
            Content::Formula(written, result) => {
                let formula = Formula::new(format!("={written}")).set_result(result);
                sheet
                    .write_formula_with_format(row, column, formula, &self.format(cell, cell.mark))
                    .map(|_| ())
            }
            Content::UnlessLive(live, words) => match formula(live) {
                Some(_) => Ok(()),
                None => sheet
                    .write_with_format(row, column, words, &self.format(cell, cell.mark))
                    .map(|_| ()),
            },
            Content::KindOf(id) => {
                let typed = book.node(*id).formula.as_ref().is_none_or(Tree::is_typed);
                let live = || formula(&super::cell::Live::Node(*id)).is_some();
                text(
                    sheet,
                    match typed {
                        true => "input",
                        false if live() => "formula",
                        false => "calculated",
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
    format: &Format,
) -> Result<(), XlsxError> {
    match held {
        Held::Number(number, _) => sheet.write_with_format(row, column, *number, format),
        Held::Text(text) if text.is_empty() => sheet.write_blank(row, column, format),
        Held::Text(text) => sheet.write_with_format(row, column, text, format),
        Held::Flag(flag) => sheet.write_with_format(row, column, *flag, format),
    }
    .map(|_| ())
}

/// Letters that no spreadsheet's file can hold.
fn unwritable(c: char) -> bool {
    c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}')
}

/// The name of the first sheet of a title.
pub fn sheet_name(title: &str) -> String {
    free_name(title, &mut Vec::new())
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
