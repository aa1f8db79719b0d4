//! Takeoffs to workbooks.

use std::collections::BTreeMap;

use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, Formula, Workbook, Worksheet, XlsxError,
};

use super::net::caught;
use super::page::{Block, Fact, Page, PageColumn};
use super::seal::{BLANK, PROPERTY, fingerprint_of};
use super::{calc, chart, look, quantities};
use crate::footing::System;
use crate::listing::{Datum, Listing};
use crate::problem::{Outcome, Problem};
use crate::sheet::{Book, Sheet as CalcSheet, live};
use crate::takeoff::{Line, SheetDraft, Takeoff};

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
    /// Sheets of the user's scripts.
    pub sheets: &'a [SheetDraft],
    /// Calc sheets as written.
    pub calc: &'a [CalcSheet],
    /// Their cells.
    pub book: &'a Book,
}

/// Where things stand in the workbook, for formulas and charts.
#[derive(Debug, Default)]
pub(super) struct Places {
    /// Sheet, row and column of each line's quantity.
    pub(super) lines: BTreeMap<String, (String, u32, u16)>,
    /// Where the parts of measured lines stand.
    pub(super) parts: BTreeMap<String, PartsPlace>,
    /// Rows of each listed set: sheet, first row, columns by field, and the rows of the set.
    pub(super) tables: Vec<ListedTable>,
    /// The calc sheets and inputs.
    pub(super) plan: calc::Plan,
}

/// Where the parts of a line stand.
#[derive(Debug)]
pub(super) struct PartsPlace {
    pub(super) sheet: String,
    /// First and last row.
    pub(super) rows: (u32, u32),
    /// Column of their walls.
    pub(super) wall: u16,
    /// Column of their amounts.
    pub(super) part: u16,
}

/// A table that stands on a sheet.
#[derive(Debug)]
pub(super) struct ListedTable {
    pub(super) set: String,
    pub(super) sheet: String,
    pub(super) first_row: u32,
    pub(super) columns: BTreeMap<String, u16>,
    /// Indices of the set's rows, in the order of the sheet.
    pub(super) rows: Vec<usize>,
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
    let mut taken: Vec<String> =
        contents.pages.iter().map(|page| page.sheet.to_lowercase()).collect();
    let mut places = Places { plan: calc::Plan::new(contents, &mut taken), ..Places::default() };
    // Quantities first, charts last: they point at cells of the other sheets.
    let mut drawn: Vec<(usize, Worksheet)> = Vec::new();
    let mut order: Vec<usize> = (0..contents.pages.len()).collect();
    order.sort_by_key(|index| {
        let blocks = &contents.pages[*index].block;
        (
            !blocks.iter().any(|block| block.quantities),
            blocks.iter().any(|block| block.chart.is_some()),
        )
    });
    for index in order {
        let page = &contents.pages[index];
        if contents.takeoff.is_none() && page.block.iter().all(needs_layout) {
            continue;
        }
        let sheet = Sheet::new(contents, page, &mut places)?.draw()?;
        drawn.push((index, sheet));
    }
    drawn.sort_by_key(|(index, _)| *index);
    // Calc sheets follow the quantities.
    let quantities = contents.pages.iter().position(|page| page.block.iter().any(|b| b.quantities));
    let mut calc_drawn = false;
    for (index, sheet) in drawn {
        if !calc_drawn && quantities.is_some_and(|quantities| index > quantities) {
            calc::draw(&mut book, contents, &places, &mut taken)?;
            calc_drawn = true;
        }
        book.push_worksheet(sheet);
    }
    if !calc_drawn {
        calc::draw(&mut book, contents, &places, &mut taken)?;
    }
    for sheet in contents.sheets {
        let name = free_name(&sheet.title, &mut taken);
        book.push_worksheet(script_sheet(contents, sheet, &name)?);
    }
    book.save_to_buffer()
}

/// Sets that there are only with a layout.
const OF_LAYOUT: [&str; 9] = [
    "runs",
    "steps",
    "footing_pieces",
    "stem_pieces",
    "bottom_profile",
    "layout_costs",
    "rod_readings",
    "profile",
    "governing",
];

fn needs_layout(block: &Block) -> bool {
    block.quantities || OF_LAYOUT.contains(&block.records.as_str()) || block.chart.is_some()
}

/// Letters that no spreadsheet's file can hold.
fn unwritable(c: char) -> bool {
    c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}')
}

/// A sheet name that the spreadsheet accepts and that is not taken: at most 31 units of UTF-16, a number included.
pub(super) fn free_name(title: &str, taken: &mut Vec<String>) -> String {
    const MOST: usize = 28;
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

/// Page set-up that every sheet shares.
pub(super) fn set_up(
    sheet: &mut Worksheet,
    contents: &Contents,
    landscape: bool,
    last_row: u32,
    last_column: u16,
    repeat: Option<(u32, u32)>,
) -> Result<(), XlsxError> {
    // Letter for feet, A4 for metres.
    sheet.set_paper_size(if contents.system == System::Us { 1 } else { 9 });
    if landscape {
        sheet.set_landscape();
    }
    sheet.set_print_fit_to_pages(1, 0);
    sheet.set_print_area(0, 0, last_row, last_column)?;
    if let Some((first, last)) = repeat {
        sheet.set_repeat_rows(first, last)?;
    }
    let job: String = contents.job.replace('&', "&&").chars().take(80).collect();
    sheet.set_footer(format!("&L{job}&C&A&RPage &P of &N"));
    Ok(())
}

/// Draws one page.
pub(super) struct Sheet<'a> {
    contents: &'a Contents<'a>,
    page: &'a Page,
    places: &'a mut Places,
    pub(super) sheet: Worksheet,
    pub(super) row: u32,
    last_column: u16,
    repeat: Option<(u32, u32)>,
    charts: Vec<(u32, &'a super::page::ChartPage)>,
}

impl<'a> Sheet<'a> {
    fn new(
        contents: &'a Contents<'a>,
        page: &'a Page,
        places: &'a mut Places,
    ) -> Result<Self, XlsxError> {
        let mut sheet = Worksheet::new();
        sheet.set_name(&page.sheet)?;
        for (column, width) in page.widths.iter().enumerate() {
            sheet.set_column_width(u16::try_from(column).unwrap_or(0), *width)?;
        }
        let last_column = u16::try_from(page.widths.len().saturating_sub(1)).unwrap_or(0);
        Ok(Self {
            contents,
            page,
            places,
            sheet,
            row: 0,
            last_column,
            repeat: None,
            charts: Vec::new(),
        })
    }

    /// Makes a row high enough for wrapped texts: (text, column).
    pub(super) fn fit<'t>(
        &mut self,
        row: u32,
        texts: impl IntoIterator<Item = (&'t str, u16)>,
    ) -> Result<(), XlsxError> {
        let lines = texts.into_iter().map(|(text, at)| {
            let width = self.page.widths.get(usize::from(at)).copied().unwrap_or(9.0);
            look::lines(text, width)
        });
        let lines = lines.max().unwrap_or(1);
        if lines > 1 {
            self.sheet.set_row_height(row, look::LINE * f64::from(lines))?;
        }
        Ok(())
    }

    fn draw(mut self) -> Result<Worksheet, XlsxError> {
        let title = self.page.title.replace("{job}", self.contents.job);
        self.sheet.write_with_format(0, 0, title, &look::title())?;
        self.row = 2;
        let page = self.page;
        for block in &page.block {
            self.block(block)?;
        }
        for (row, chart) in std::mem::take(&mut self.charts) {
            let drawn = chart::chart(chart, self.contents, self.places);
            self.sheet.insert_chart(row, 0, &drawn)?;
        }
        let last = self.row.saturating_sub(1);
        set_up(
            &mut self.sheet,
            self.contents,
            page.landscape,
            last,
            self.last_column,
            self.repeat.or(Some((0, 0))),
        )?;
        Ok(self.sheet)
    }

    fn block(&mut self, block: &'a Block) -> Result<(), XlsxError> {
        if self.contents.takeoff.is_none() && needs_layout(block) {
            return Ok(());
        }
        let set = self.contents.listings.iter().find(|set| set.name() == block.records);
        let mut rows: Vec<usize> = set.map_or_else(Vec::new, |set| fitting(set, &block.only));
        if let Some(set) = set.filter(|_| !block.first_of.is_empty()) {
            rows = first_of_each(set, &block.first_of, &rows);
        }
        let nothing =
            block.facts.is_empty() && !block.quantities && block.chart.is_none() && rows.is_empty();
        if nothing && block.empty.is_empty() {
            return Ok(());
        }
        if !block.heading.is_empty() {
            self.sheet.write_with_format(self.row, 0, &block.heading, &look::heading())?;
            self.row += 1;
        }
        if !block.note.is_empty() {
            self.sheet.write_with_format(self.row, 0, &block.note, &look::note())?;
            self.row += 1;
        }
        if nothing {
            self.sheet.write(self.row, 0, &block.empty)?;
            self.row += 1;
        }
        if let Some(chart) = &block.chart {
            self.charts.push((self.row, chart));
            self.row += chart::ROWS;
        }
        for fact in &block.facts {
            self.fact(fact)?;
        }
        if block.quantities
            && let Some(takeoff) = self.contents.takeoff
        {
            self.heads(&block.columns, |_| String::new())?;
            quantities::draw(self, takeoff, &block.columns)?;
        }
        if let Some(set) = set.filter(|_| !rows.is_empty()) {
            self.table(block, set, &rows)?;
        }
        self.row += 1;
        Ok(())
    }

    /// Columns of a block with their place on the sheet.
    fn placed(columns: &[PageColumn]) -> Vec<(u16, &PageColumn)> {
        let mut next = 0;
        let place = |column| {
            let column: &PageColumn = column;
            let at = column.at.unwrap_or(next);
            next = at + 1;
            (at, column)
        };
        columns.iter().map(place).collect()
    }

    fn heads(
        &mut self,
        columns: &[PageColumn],
        unit: impl Fn(&str) -> String,
    ) -> Result<(), XlsxError> {
        let mut heads = Vec::new();
        for (at, column) in Self::placed(columns) {
            let unit = unit(&column.field);
            let number = !unit.is_empty() || column.number;
            let head = if unit.is_empty() {
                column.title.clone()
            } else {
                format!("{}\n{unit}", column.title)
            };
            self.sheet.write_with_format(self.row, at, &head, &look::column_head(number))?;
            self.last_column = self.last_column.max(at);
            heads.push((head, at));
        }
        self.fit(self.row, heads.iter().map(|(head, at)| (head.as_str(), *at)))?;
        if self.page.one_table && self.repeat.is_none() {
            self.repeat = Some((0, self.row));
            self.sheet.set_freeze_panes(self.row + 1, 0)?;
        }
        self.row += 1;
        Ok(())
    }

    fn table(&mut self, block: &Block, set: &Listing, rows: &[usize]) -> Result<(), XlsxError> {
        let system = self.contents.system;
        // A column that is empty throughout, such as tape readings of a metric job, is left out.
        let filled = |column: &&PageColumn| {
            let at = set.column(&column.field);
            at.is_some_and(|at| rows.iter().any(|row| set.rows[*row][at] != Datum::Blank))
        };
        let page_columns: Vec<PageColumn> = block.columns.iter().filter(filled).cloned().collect();
        let unit = |field: &str| {
            let Some(column) = set.column(field) else { return String::new() };
            let mut units = rows
                .iter()
                .filter_map(|row| set.rows[*row][column].number(system))
                .map(|(_, unit)| unit);
            let first = units.next().unwrap_or("");
            if units.all(|unit| unit == first) { first.to_owned() } else { String::new() }
        };
        if !block.bare {
            self.heads(&page_columns, unit)?;
        }
        let first_row = self.row;
        let wrapped: Vec<(u16, usize)> = Self::placed(&page_columns)
            .into_iter()
            .filter(|(_, column)| column.wrap)
            .filter_map(|(at, column)| Some((at, set.column(&column.field)?)))
            .collect();
        for (n, row) in rows.iter().enumerate() {
            let texts = wrapped.iter().filter_map(|(at, column)| match &set.rows[*row][*column] {
                Datum::Text(text) => Some((text.as_str(), *at)),
                _ => None,
            });
            self.fit(first_row + u32::try_from(n).unwrap_or(0), texts)?;
        }
        let mut columns = BTreeMap::new();
        for (at, page_column) in Self::placed(&page_columns) {
            let Some(column) = set.column(&page_column.field) else { continue };
            columns.insert(page_column.field.clone(), at);
            for (n, row) in rows.iter().enumerate() {
                let n = u32::try_from(n).unwrap_or(0);
                self.datum(first_row + n, at, &set.rows[*row][column], page_column)?;
            }
        }
        self.row += u32::try_from(rows.len()).unwrap_or(0);
        self.places.tables.push(ListedTable {
            set: set.name().to_owned(),
            sheet: self.page.sheet.clone(),
            first_row,
            columns,
            rows: rows.to_vec(),
        });
        Ok(())
    }

    /// Writes one value.
    pub(super) fn datum(
        &mut self,
        row: u32,
        at: u16,
        datum: &Datum,
        column: &PageColumn,
    ) -> Result<(), XlsxError> {
        let system = self.contents.system;
        match datum {
            Datum::Blank => {}
            Datum::Text(text) => {
                let text: String = text.chars().take(32_000).collect();
                self.sheet.write_with_format(row, at, text, &look::text(column.wrap))?;
            }
            Datum::Flag(flag) => {
                self.sheet.write_with_format(
                    row,
                    at,
                    if *flag { "yes" } else { "" },
                    &look::text(false),
                )?;
            }
            _ => {
                if let Some((value, _)) =
                    datum.number(system).filter(|(value, _)| value.is_finite())
                {
                    let format = look::number(&look::pattern(datum, system, column.places));
                    self.sheet.write_with_format(row, at, value, &format)?;
                }
            }
        }
        Ok(())
    }

    fn fact(&mut self, fact: &Fact) -> Result<(), XlsxError> {
        let mut note = fact.note.clone();
        let mut label = fact.label.clone();
        let mut datum = Datum::Blank;
        if !fact.line.is_empty() {
            let line = self
                .contents
                .takeoff
                .and_then(|takeoff| takeoff.lines.iter().find(|line| line.id == fact.line));
            let Some(line) = line else { return Ok(()) };
            self.line_fact(line)?;
            if label.is_empty() {
                label.clone_from(&line.label);
            }
            datum = Datum::Amount(line.quantity.clone(), line.unit.clone());
        }
        if !fact.cell.is_empty() {
            let Some(shown) = self.cell_fact(&fact.cell)? else { return Ok(()) };
            datum = shown;
        }
        let set = self.contents.listings.iter().find(|set| set.name() == fact.records);
        if let Some(set) = set.filter(|_| fact.line.is_empty()) {
            let Some(row) = fitting(set, &fact.only).first().copied() else { return Ok(()) };
            for (column, value) in set.columns().iter().zip(&set.rows[row]) {
                note = note
                    .replace(&format!("{{{}}}", column.name), &words(value, self.contents.system));
            }
            if let Some(column) = set.column(&fact.field) {
                datum = set.rows[row][column].clone();
                let plain = PageColumn {
                    field: String::new(),
                    title: String::new(),
                    at: None,
                    places: None,
                    wrap: false,
                    number: false,
                };
                self.datum(self.row, 1, &datum, &plain)?;
            }
        } else if !fact.records.is_empty() && fact.line.is_empty() {
            return Ok(());
        }
        // A line that has nothing to say is not written.
        if note.is_empty() && datum == Datum::Blank && fact.line.is_empty() && fact.field.is_empty()
        {
            return Ok(());
        }
        self.sheet.write_with_format(self.row, 0, &label, &look::text(true))?;
        if let Some((_, unit)) = datum.number(self.contents.system) {
            self.sheet.write_with_format(self.row, 2, unit, &look::text(false))?;
        }
        note += &self.cautions_beside(&fact.caution, note.is_empty());
        if !note.is_empty() {
            self.fit(self.row, [(note.as_str(), 3)])?;
            self.sheet.write_with_format(self.row, 3, note, &look::text(true))?;
        }
        self.row += 1;
        Ok(())
    }

    /// The number of a cell of a calc sheet, as a reference to it; nothing where there is no such cell.
    fn cell_fact(&mut self, name: &str) -> Result<Option<Datum>, XlsxError> {
        let book = self.contents.book;
        let Some(id) = book.find(name) else { return Ok(None) };
        let Some(quantity) = book.quantity(id) else { return Ok(None) };
        let unit = crate::sheet::number_unit(&book.node(id).unit).to_owned();
        let Some(value) = num_rational::BigRational::from_float(quantity.base()) else {
            return Ok(None);
        };
        let exact = crate::measure::Exact { value, dimension: quantity.dimension() };
        let datum = Datum::Amount(exact, unit);
        let format = look::number(&look::pattern(&datum, self.contents.system, None));
        let Some((value, _)) = datum.number(self.contents.system) else { return Ok(None) };
        match self.places.plan.cell(id, book) {
            Some(reference) => {
                let formula = Formula::new(format!("={reference}"))
                    .set_result(crate::measure::shortest(value));
                self.sheet.write_formula_with_format(self.row, 1, formula, &format)?;
            }
            None => {
                self.sheet.write_with_format(self.row, 1, value, &format)?;
            }
        }
        Ok(Some(datum))
    }

    /// A line's quantity, as a reference to its cell among the quantities.
    fn line_fact(&mut self, line: &Line) -> Result<(), XlsxError> {
        let datum = Datum::Amount(line.quantity.clone(), line.unit.clone());
        let format = look::number(&look::pattern(&datum, self.contents.system, None));
        let Some((value, _)) = datum.number(self.contents.system) else { return Ok(()) };
        match self.places.lines.get(&line.id) {
            Some((sheet, row, column)) => {
                let cell = crate::problem::cell_name(*row as usize, usize::from(*column));
                let formula = Formula::new(format!("='{sheet}'!{cell}"))
                    .set_result(crate::measure::shortest(value));
                self.sheet.write_formula_with_format(self.row, 1, formula, &format)?;
            }
            None => {
                self.sheet.write_with_format(self.row, 1, value, &format)?;
            }
        }
        Ok(())
    }

    fn cautions_beside(&self, about: &str, first: bool) -> String {
        let set = self.contents.listings.iter().find(|set| set.name() == "cautions");
        let Some(set) = set.filter(|_| !about.is_empty()) else { return String::new() };
        let only = BTreeMap::from([("about".to_owned(), about.to_owned())]);
        let rows = fitting(set, &only);
        let Some(row) = rows.first() else { return String::new() };
        let field = |name: &str| {
            set.column(name).map_or_else(String::new, |column| {
                words(&set.rows[*row][column], self.contents.system)
            })
        };
        let place = field("place");
        let at = if place.is_empty() { String::new() } else { format!(" at {place}") };
        let more = if rows.len() > 1 {
            format!(" ({} more on sheet Cautions)", rows.len() - 1)
        } else {
            String::new()
        };
        let lead = if first { "" } else { ". " };
        format!("{lead}CAUTION{at}: {}{more}", field("text"))
    }

    /// Notes where a line's quantity stands.
    pub(super) fn line_at(&mut self, id: &str, at: u16) {
        let place = (self.page.sheet.clone(), self.row, at);
        self.places.lines.insert(id.to_owned(), place);
    }

    /// Notes where the parts of a line stand: from its row on.
    pub(super) fn parts_at(&mut self, line: &Line, wall: u16, part: u16) {
        let rows = (self.row + 1, self.row + u32::try_from(line.parts.len()).unwrap_or(0));
        let place = PartsPlace { sheet: self.page.sheet.clone(), rows, wall, part };
        self.places.parts.insert(line.id.clone(), place);
    }

    /// The live formula of a line that follows from others.
    pub(super) fn line_formula(&self, line: &Line) -> Option<String> {
        let book = self.contents.book;
        let on = calc::On { places: self.places, book, sheet: &self.page.sheet };
        live(book.find(&line.name())?, book, &on)
    }

    pub(super) fn system(&self) -> System {
        self.contents.system
    }
}

/// Rows of a set whose fields have these texts.
pub(super) fn fitting(set: &Listing, only: &BTreeMap<String, String>) -> Vec<usize> {
    let fits = |row: &Vec<Datum>| {
        only.iter().all(|(field, wanted)| {
            set.column(field)
                .is_some_and(|column| matches!(&row[column], Datum::Text(text) if text == wanted))
        })
    };
    set.rows.iter().enumerate().filter(|(_, row)| fits(row)).map(|(index, _)| index).collect()
}

/// The first row of each value of a field.
fn first_of_each(set: &Listing, field: &str, rows: &[usize]) -> Vec<usize> {
    let Some(column) = set.column(field) else { return rows.to_vec() };
    let mut seen: Vec<&Datum> = Vec::new();
    let mut first = Vec::new();
    for row in rows {
        let value = &set.rows[*row][column];
        if !seen.contains(&value) {
            seen.push(value);
            first.push(*row);
        }
    }
    first
}

/// A value in words, for a note.
fn words(datum: &Datum, system: System) -> String {
    let metres = datum.number(system).is_some_and(|(_, unit)| unit == "m");
    datum.words(system, if metres { 3 } else { 2 })
}

/// A sheet that a script of the user made.
fn script_sheet(
    contents: &Contents,
    draft: &SheetDraft,
    name: &str,
) -> Result<Worksheet, XlsxError> {
    let mut sheet = Worksheet::new();
    sheet.set_name(name)?;
    sheet.write_with_format(0, 0, &draft.title, &look::title())?;
    let computed = "Computed by a script: figures in italics do not follow a change of Inputs.";
    sheet.write_with_format(1, 0, computed, &look::note())?;
    let count = draft.columns.len().max(1);
    for column in 0..count {
        let at = u16::try_from(column).unwrap_or(0);
        let numbers = draft.rows.iter().any(|row| {
            row.get(column).is_some_and(|datum| datum.number(contents.system).is_some())
        });
        let head = draft.columns.get(column).map_or("", String::as_str);
        sheet.write_with_format(2, at, head, &look::column_head(numbers))?;
        sheet.set_column_width(at, if numbers { 16.0 } else { 36.0 })?;
        for (n, row) in draft.rows.iter().enumerate() {
            let line = 3 + u32::try_from(n).unwrap_or(0);
            match row.get(column) {
                None | Some(Datum::Blank) => {}
                Some(Datum::Text(text)) => {
                    sheet.write_with_format(line, at, text, &look::text(true))?;
                }
                Some(datum) => {
                    match datum.number(contents.system).filter(|(value, _)| value.is_finite()) {
                        Some((value, unit)) => {
                            let mut pattern = look::pattern(datum, contents.system, None);
                            if !unit.is_empty() {
                                pattern += &format!("\" {unit}\"");
                            }
                            sheet.write_with_format(
                                line,
                                at,
                                value,
                                &look::number(&pattern).set_italic(),
                            )?;
                        }
                        None => {
                            let flag = matches!(datum, Datum::Flag(true));
                            sheet.write_with_format(
                                line,
                                at,
                                if flag { "yes" } else { "no" },
                                &Format::new(),
                            )?;
                        }
                    }
                }
            }
        }
    }
    let last = 2 + u32::try_from(draft.rows.len()).unwrap_or(0);
    set_up(&mut sheet, contents, false, last, u16::try_from(count - 1).unwrap_or(0), Some((0, 2)))?;
    Ok(sheet)
}
