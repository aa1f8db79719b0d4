//! Lays a page out: its blocks from top to bottom.

use std::collections::BTreeMap;

use num_rational::BigRational;

use super::cell::{CellRole, Content, Live, PageCell};
use super::chart;
use super::laid::{Laid, LaidChart};
use super::look;
use super::page::{Block, ByHand, Page, PageColumn, PageFact};
use super::places::{Anchor, ListedTable, PageSpot, Places};
use super::split::{self, BlockHeight, BlockKind, SheetShare};
use super::tables::{LaidTable, RowStanding, own_field, rows_of};
use super::write::{Contents, Picture};
use crate::footing::System;
use crate::listing::{ColumnKind, Datum, Listing};
use crate::measure::{Exact, number_unit, shortest, significant};
use crate::problem::cell_name;

/// A page that is being laid out.
pub(super) struct Layer<'a> {
    pub(super) contents: &'a Contents<'a>,
    pub(super) page: &'a Page,
    /// The calc sheet or table that it is made for, where a page makes several sheets.
    pub(super) each: usize,
    pub(super) laid: Laid<'a>,
    /// Whether the sheet is one table: its headings stay in sight and are repeated on every printed page.
    pub(super) one_table: bool,
}

/// Rows that a title takes with the gap under it.
const TITLE_ROWS: u32 = 2;

/// A column where it stands.
struct Placed<'a> {
    at: u16,
    field: String,
    title: String,
    column: &'a PageColumn,
}

impl<'a> Layer<'a> {
    /// Lays some of its blocks under the title.
    pub(super) fn lay(mut self, title: &str, blocks: &[usize], places: &mut Places) -> Laid<'a> {
        self.begin(title);
        for block in blocks.iter().filter_map(|at| self.page.block.get(*at)) {
            self.block(block, places);
        }
        self.laid.fit();
        self.laid
    }

    /// Lays all blocks to see which of them share a sheet.
    pub(super) fn shares(mut self, title: &str) -> Vec<SheetShare> {
        if self.page.one_page {
            let blocks = (0..self.page.block.len()).collect();
            return vec![SheetShare { blocks, one_table: false, fits: true }];
        }
        self.begin(title);
        let mut nowhere = Places::default();
        let mut laid: Vec<(usize, BlockKind, std::ops::Range<u32>)> = Vec::new();
        for (at, block) in self.page.block.iter().enumerate() {
            let first = self.laid.row;
            let kind = self.block(block, &mut nowhere);
            laid.extend(kind.map(|kind| (at, kind, first..self.laid.row)));
        }
        self.laid.fit();
        let title = split::height(&self.laid, 0..self.first_row());
        let stretches: Vec<BlockHeight> = laid
            .into_iter()
            .map(|(block, kind, rows)| BlockHeight {
                block,
                kind,
                height: split::height(&self.laid, rows),
            })
            .collect();
        split::shares(&stretches, split::room(&self.laid, self.contents.paper()) - title)
    }

    /// Widths, print set-up and title.
    fn begin(&mut self, title: &str) {
        let page = self.page;
        for (column, width) in (0..).zip(&page.widths) {
            self.laid.widths.insert(column, *width);
        }
        self.laid.last_column = u16::try_from(page.widths.len().saturating_sub(1)).unwrap_or(0);
        self.laid.landscape = page.landscape;
        self.laid.size = page.size.unwrap_or(self.laid.size);
        // Another face may be wider than the usual one.
        self.laid.letter = if self.contents.look.font.is_some() { 1.15 } else { 1.0 };
        self.laid.hidden = page.hidden;
        self.laid.logo = page.logo && self.contents.look.logo.is_some();
        if !title.is_empty() {
            self.laid.put(0, PageCell::text(title, CellRole::Title));
        }
        self.laid.row = self.first_row();
    }

    /// The first row of its blocks.
    fn first_row(&self) -> u32 {
        if self.page.title.is_empty() { 0 } else { TITLE_ROWS }
    }

    /// A sheet of a drawing.
    fn picture(&mut self, kind: &str) {
        let of_kind = |(_, picture): &(usize, &Picture)| picture.kind == kind;
        let all = self.contents.pictures.iter().enumerate();
        let Some((which, _)) = all.filter(of_kind).nth(self.each) else { return };
        self.laid.is_drawing = true;
        let at = self.laid.row;
        let picture = LaidChart::Picture { at, rows: self.contents.picture_rows(which), which };
        self.laid.last_column = self.contents.picture_columns(which) - 1;
        self.laid.row = picture.end();
        self.laid.charts.push(picture);
    }

    fn listing(&self, name: &str) -> Option<&'a Listing> {
        self.contents.listings.iter().find(|set| set.name() == name)
    }

    /// Lays a block, unless it has nothing to say.
    fn block(&mut self, block: &'a Block, places: &mut Places) -> Option<BlockKind> {
        let set = self.listing(&block.records);
        // Without a layout there is nothing to be said of what needs one.
        let lacks = block.chart.is_some() || !block.records.is_empty() && set.is_none();
        if self.contents.takeoff.is_none() && lacks {
            return None;
        }
        let live = block.live().map(|kind| rows_of(kind, self.contents, self.each));
        let mut rows: Vec<usize> = set.map_or_else(Vec::new, |set| fitting(set, &block.only));
        if let Some(set) = set.filter(|_| !block.first_of.is_empty()) {
            rows = first_of_each(set, &block.first_of, &rows);
        }
        let nothing = block.facts.is_empty()
            && live.as_ref().is_none_or(|table| table.rows.is_empty())
            && block.chart.is_none()
            && block.picture.is_empty()
            && block.checks.is_empty()
            && rows.is_empty();
        if nothing && block.empty.is_empty() {
            return None;
        }
        if !block.heading.is_empty() {
            self.laid.line(self.contents.filled(&block.heading), CellRole::Heading);
        }
        if !block.note.is_empty() {
            let columns = self.page.widths.len().max(block.columns.len());
            let across = u16::try_from(columns).ok();
            self.laid.put(0, PageCell::text(&block.note, CellRole::Note).over(across));
            self.laid.row += 1;
        }
        if nothing {
            self.laid.line(&block.empty, CellRole::Note);
        }
        if let Some(chart) = &block.chart {
            self.laid.charts.push(LaidChart::Lines(self.laid.row, chart));
            self.laid.row += chart::ROWS;
        }
        if !block.picture.is_empty() {
            self.picture(&block.picture);
        }
        for fact in &block.facts {
            self.fact(fact);
        }
        let across = self.laid.last_column.max(1);
        for check in &block.checks {
            self.laid.put(0, PageCell::by_hand(ByHand::Box));
            let words = PageCell::text(check, CellRole::Text(true)).over(Some(across));
            self.laid.put(1, words);
            self.laid.heights.insert(self.laid.row, block.height.unwrap_or(look::LINE * 1.6));
            self.laid.row += 1;
        }
        let live = live.filter(|table| !table.rows.is_empty());
        let set = set.filter(|_| !rows.is_empty());
        let kind = match (live.is_some() || set.is_some(), block.bare) {
            (true, false) => BlockKind::Table,
            // Of papers for others each part with a heading of its own stands for itself.
            (true, true) if self.page.is_for_others() && !block.heading.is_empty() => {
                BlockKind::Table
            }
            (true, true) => BlockKind::Bare,
            _ if !block.checks.is_empty() => BlockKind::Table,
            // A chart is no words: it is not to be repeated.
            _ if block.chart.is_some() || !block.picture.is_empty() => BlockKind::Table,
            _ => BlockKind::Words,
        };
        if let Some(table) = live {
            self.live(block, &table, places);
        }
        if let Some(set) = set {
            self.listed(block, set, &rows, places);
        }
        self.laid.row += 1;
        Some(kind)
    }

    /// Columns with their places; those in which no row has anything, such as tape readings of a metric job, are left out.
    fn placed<'b>(
        &mut self,
        block: &'b Block,
        own: &[String],
        filled: impl Fn(&str) -> bool,
    ) -> Vec<Placed<'b>> {
        let mut next = 0;
        let mut placed = Vec::new();
        for column in &block.columns {
            let several: Vec<(String, String)> = match column.field.as_str() {
                "*" => own
                    .iter()
                    .enumerate()
                    .map(|(at, title)| (own_field(at), title.clone()))
                    .collect(),
                field if column.fill.is_some() || filled(field) => {
                    vec![(field.to_owned(), column.title.clone())]
                }
                _ => Vec::new(),
            };
            for (field, title) in several {
                let at = column.at.unwrap_or(next);
                next = at + column.span.unwrap_or(1).max(1);
                if let Some(width) = column.width {
                    self.laid.widths.insert(at, width);
                }
                placed.push(Placed { at, field, title, column });
            }
        }
        placed
    }

    fn heads(
        &mut self,
        placed: &[Placed],
        numbers: impl Fn(&Placed) -> bool,
        unit: impl Fn(&str) -> String,
    ) {
        let is_gap = |at: u16| placed.iter().all(|column| column.at != at);
        let first = placed.iter().map(|column| column.at).min().unwrap_or(0);
        let last = placed.iter().map(|column| column.at).max().unwrap_or(0);
        // The band of headings has no gaps.
        for at in (first..last).filter(|at| is_gap(*at)) {
            self.laid.put(at, PageCell::text("", CellRole::Head(false)));
        }
        for column in placed {
            let unit = unit(&column.field);
            let number = column.column.number || !unit.is_empty() || numbers(column);
            let head = if unit.is_empty() {
                column.title.clone()
            } else {
                format!("{}\n{unit}", column.title)
            };
            self.laid.put(column.at, PageCell::text(head, CellRole::Head(number)));
            self.laid.last_column = self.laid.last_column.max(column.at);
        }
        if self.one_table && self.laid.frozen.is_none() {
            self.laid.repeat = (0, self.laid.row);
            self.laid.frozen = Some(self.laid.row + 1);
        }
        self.laid.row += 1;
    }

    /// A table whose values follow each other.
    fn live(&mut self, block: &Block, table: &LaidTable, places: &mut Places) {
        let cells = || table.rows.iter().flat_map(|row| &row.cells);
        let named = block.columns.iter().any(|column| column.field == "name");
        let filled =
            |field: &str| field == "name" && named || cells().any(|(known, _)| known == field);
        let placed = self.placed(block, &table.own, filled);
        if !block.bare {
            let numbers = |column: &Placed| {
                cells().any(|(field, cell)| *field == column.field && cell.is_number())
            };
            self.heads(&placed, numbers, |_| String::new());
        }
        let at = |field: &str| placed.iter().find(|column| column.field == field).map(|c| c.at);
        let first = self.laid.row;
        for row in &table.rows {
            match row.standing {
                RowStanding::Plain => {}
                RowStanding::Apart => self.laid.row += 1,
                RowStanding::Heading => {
                    self.laid.heights.insert(self.laid.row, 20.0);
                }
            }
            let here = self.laid.row;
            let unit = row.cells.iter().find(|(field, _)| field == "unit");
            let of_unit = unit.and_then(|(_, cell)| self.places_of(cell.words()));
            for (field, cell) in &row.cells {
                let Some(column) = at(field) else { continue };
                let mut cell = cell.clone();
                if let Content::SameRow(fields, formula, result) = &cell.content {
                    let name =
                        |field: &str| at(field).map(|at| cell_name(here as usize, at.into()));
                    let (Some(a), Some(b)) = (name(fields[0]), name(fields[1])) else { continue };
                    cell.content = Content::Formula(formula([&a, &b]), result.clone());
                }
                if let Some(places) = of_unit.filter(|_| cell.is_number()) {
                    cell = cell.with_places(places);
                }
                self.laid.put(column, cell);
            }
            for (anchor, field) in &row.anchors {
                let Some(column) = at(field) else { continue };
                let spot = PageSpot { sheet: self.laid.name.clone(), row: here, column };
                places.note(anchor, spot, at("wall"));
                if let (Some(column), Anchor::Setting(_) | Anchor::Fact(_)) = (at("name"), anchor) {
                    self.laid.put(
                        column,
                        PageCell::with(Content::NameOf(anchor.clone()), CellRole::Text(false)),
                    );
                }
            }
            self.laid.row += 1;
        }
        let (shown, of_rows) = &table.bars;
        let columns: Vec<u16> = shown.iter().filter_map(|field| at(field)).collect();
        if let (false, Some(last)) =
            (columns.is_empty(), u32::try_from(*of_rows).ok().filter(|rows| *rows > 0))
        {
            let upright = LaidChart::Upright {
                at: self.laid.row + 1,
                rows: (first, first + last - 1),
                columns,
            };
            self.laid.row = upright.end();
            self.laid.charts.push(upright);
        }
        self.bars(block, first, self.numbered(table));
    }

    /// Decimals that the firm wants of numbers in a unit.
    fn places_of(&self, unit: &str) -> Option<usize> {
        self.contents.look.places.get(unit).copied()
    }

    /// Bars over the first rows of a table, under it.
    fn bars(&mut self, block: &Block, first: u32, rows: usize) {
        let rows = u32::try_from(rows).unwrap_or(0);
        if rows > 0 && !block.bars.is_empty() {
            let (rows, columns) = ((first, first + rows - 1), block.bars.clone());
            let bars = LaidChart::Bars { at: self.laid.row + 1, rows, columns };
            self.laid.row = bars.end();
            self.laid.charts.push(bars);
        }
    }

    /// How many rows of a table hold numbers.
    fn numbered(&self, table: &LaidTable) -> usize {
        let numbers =
            |row: &&super::tables::LaidRow| row.cells.iter().any(|(_, cell)| cell.is_number());
        table.rows.iter().filter(numbers).count()
    }

    fn listed(&mut self, block: &Block, set: &'a Listing, rows: &[usize], places: &mut Places) {
        let system = self.contents.system;
        let filled = |field: &str| {
            let at = set.column(field);
            at.is_some_and(|at| rows.iter().any(|row| set.rows[*row][at] != Datum::Blank))
        };
        let placed = self.placed(block, &[], filled);
        let unit = |field: &str| {
            let Some(column) = set.column(field) else { return String::new() };
            let of_rows = rows.iter().filter_map(|row| set.rows[*row][column].number(system));
            let mut units = of_rows.map(|(_, unit)| unit);
            let first = units.next().unwrap_or("");
            if units.all(|unit| unit == first) { first.to_owned() } else { String::new() }
        };
        if !block.bare {
            self.heads(&placed, |_| false, unit);
        }
        let first_row = self.laid.row;
        for row in rows {
            if let Some(height) = block.height {
                self.laid.heights.insert(self.laid.row, height);
            }
            for column in &placed {
                if let Some(fill) = column.column.fill {
                    self.laid.put(column.at, PageCell::by_hand(fill));
                }
                let Some(at) = set.column(&column.field) else { continue };
                let datum = &set.rows[*row][at];
                let own = datum.number(system).and_then(|(_, unit)| self.places_of(unit));
                let places = column.column.places.or(own);
                let cell = PageCell::datum(datum, system, places, column.column.wrap);
                if let Some(cell) = cell.map(|cell| cell.over(column.column.span)) {
                    self.laid.put(column.at, cell);
                }
            }
            self.laid.row += 1;
        }
        self.total(block, set, rows, &placed, first_row);
        self.bars(block, first_row, rows.len());
        places.tables.push(ListedTable {
            set: set.name().to_owned(),
            sheet: self.laid.name.clone(),
            first_row,
            columns: placed.into_iter().map(|column| (column.field, column.at)).collect(),
            rows: rows.to_vec(),
        });
    }

    /// The sum of a column, under it.
    fn total(
        &mut self,
        block: &Block,
        set: &Listing,
        rows: &[usize],
        placed: &[Placed],
        first: u32,
    ) {
        let Some(column) = placed.iter().find(|column| column.field == block.total) else { return };
        let (Some(at), Some(last)) = (set.column(&column.field), rows.last()) else { return };
        let system = self.contents.system;
        let number = |row: &usize| set.rows[*row][at].number(system).map(|(value, _)| value);
        // What is added in cents is shown in cents.
        let sum = significant(rows.iter().filter_map(number).sum::<f64>(), 14);
        let datum = &set.rows[*last][at];
        let own = datum.number(system).and_then(|(_, unit)| self.places_of(unit));
        let pattern = look::pattern(datum, system, column.column.places.or(own));
        let name = |row: u32| cell_name(row as usize, column.at.into());
        let formula = format!("SUM({}:{})", name(first), name(self.laid.row - 1));
        let words = placed.iter().find(|other| {
            set.declaration
                .columns
                .iter()
                .any(|known| known.name == other.field && known.kind == ColumnKind::Text)
        });
        if let Some(words) = words.filter(|words| words.at < column.at) {
            self.laid.put(words.at, PageCell::text("Total", CellRole::Text(false)).strong(true));
        }
        let live = Content::Formula(formula, shortest(sum));
        self.laid.put(column.at, PageCell::sum(live, pattern).strong(true));
        self.laid.row += 1;
    }

    /// A single fact: label, number, unit, note.
    fn fact(&mut self, fact: &PageFact) {
        let mut note = fact.note.clone();
        let mut label = fact.label.clone();
        let mut shown: Option<(Datum, Option<Live>)> = None;
        if !fact.line.is_empty() {
            let lines = self.contents.takeoff.iter().flat_map(|takeoff| &takeoff.lines);
            let Some(line) = lines.into_iter().find(|line| line.id == fact.line) else { return };
            if label.is_empty() {
                label.clone_from(&line.label);
            }
            let datum = Datum::Amount(line.quantity.clone(), line.unit.clone());
            shown = Some((datum, Some(Live::ToLine(line.id.clone()))));
        }
        if !fact.cell.is_empty() {
            shown = self.cell(&fact.cell);
            if shown.is_none() {
                return;
            }
        }
        let set = self.listing(&fact.records).filter(|_| fact.line.is_empty());
        if let Some(set) = set {
            let Some(row) = fitting(set, &fact.only).first().copied() else { return };
            for (column, value) in set.columns().iter().zip(&set.rows[row]) {
                let words = words(value, self.contents.system);
                note = note.replace(&format!("{{{}}}", column.name), &words);
            }
            if let Some(column) = set.column(&fact.field) {
                shown = Some((set.rows[row][column].clone(), None));
            }
        } else if !fact.records.is_empty() && fact.line.is_empty() {
            return;
        }
        // A line that has nothing to say is not written.
        let blank = shown.as_ref().is_none_or(|(datum, _)| *datum == Datum::Blank);
        if note.is_empty() && blank && fact.line.is_empty() && fact.field.is_empty() {
            return;
        }
        self.laid.put(0, PageCell::text(label, CellRole::Text(true)));
        if let Some((datum, live)) = shown {
            let system = self.contents.system;
            let own = datum.number(system).and_then(|(_, unit)| self.places_of(unit));
            if let Some(cell) = PageCell::datum(&datum, system, own, false) {
                self.laid.put(
                    1,
                    match (live, cell) {
                        (Some(live), PageCell { content: Content::Held(held), .. }) => {
                            PageCell::live(live, held)
                        }
                        (_, cell) => cell,
                    },
                );
            }
            if let Some((_, unit)) = datum.number(system) {
                self.laid.put(2, PageCell::text(unit, CellRole::Text(false)));
            }
        }
        note += &self.cautions_beside(&fact.caution, note.is_empty());
        if !note.is_empty() {
            self.laid.put(3, PageCell::text(note, CellRole::Text(true)));
        }
        self.laid.row += 1;
    }

    /// The number of a cell of a calc sheet; nothing where there is no such cell.
    fn cell(&self, name: &str) -> Option<(Datum, Option<Live>)> {
        let book = self.contents.book;
        let id = book.find(name)?;
        let quantity = book.quantity(id)?;
        let unit = number_unit(&book.node(id).unit).to_owned();
        let value = BigRational::from_float(quantity.base())?;
        let exact = Exact { value, dimension: quantity.dimension() };
        Some((Datum::Amount(exact, unit), Some(Live::ToNode(id))))
    }

    fn cautions_beside(&self, about: &str, first: bool) -> String {
        let set = self.listing("cautions").filter(|_| !about.is_empty());
        let Some(set) = set else { return String::new() };
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
