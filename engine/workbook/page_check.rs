//! What is wrong with a page: numbers that no sheet has, names that nothing has, what its readers may not see.

use std::collections::BTreeSet;

use super::page::{Block, Each, LiveTable, Page, PageFact};
use super::tables::columns_of;
use crate::listing::{Audience, ColumnKind, Declaration};
use crate::problem::{Faults, Place, Problem, closest};

/// What pages may name: listings with their columns, and lines of the takeoff and cells where there is one.
#[derive(Debug, Clone, Default)]
pub struct Names {
    /// Every listing that a job may have.
    pub listings: Vec<Declaration>,
    /// Lines; none are checked without a takeoff.
    pub lines: Option<BTreeSet<String>>,
    /// Cells of calc sheets; none are checked without a takeoff.
    pub cells: Option<BTreeSet<String>>,
    /// Kinds of drawings.
    pub drawings: &'static [&'static str],
    /// For whom all pages are, at least.
    pub audience: Option<Audience>,
}

impl Names {
    /// Adds what pages name that are known to be sound.
    pub fn add(&mut self, pages: &[Page]) {
        let facts = || pages.iter().flat_map(|page| &page.block).flat_map(|block| &block.facts);
        for (known, name) in [
            (&mut self.lines, (|fact| &fact.line) as fn(&PageFact) -> &String),
            (&mut self.cells, |fact| &fact.cell),
        ] {
            if let Some(known) = known {
                known.extend(facts().map(name).filter(|name| !name.is_empty()).cloned());
            }
        }
    }
}

impl Block {
    /// Listings that it names, each with the fields that it names of it.
    fn named(&self) -> Vec<(&str, Vec<&str>)> {
        let mut all = Vec::new();
        let mut own: Vec<&str> = match self.live() {
            None => self.columns.iter().map(|column| column.field.as_str()).collect(),
            Some(_) => Vec::new(),
        };
        own.extend(self.only.keys().map(String::as_str));
        own.push(&self.first_of);
        all.push((self.records.as_str(), own));
        for fact in &self.facts {
            let mut fields: Vec<&str> = fact.only.keys().map(String::as_str).collect();
            fields.push(&fact.field);
            fields.extend(placeholders(&fact.note));
            all.push((&fact.records, fields));
        }
        for series in self.chart.iter().flat_map(|chart| &chart.series) {
            let mut fields: Vec<&str> = series.only.keys().map(String::as_str).collect();
            fields.extend([series.x.as_str(), series.y.as_str()]);
            all.push((&series.records, fields));
        }
        all.retain(|(set, _)| !set.is_empty());
        all.iter_mut().for_each(|(_, fields)| fields.retain(|field| !field.is_empty()));
        all
    }
}

/// Most columns of a page, its widest column in characters, most decimals, widest line of a chart in points.
const MOST_COLUMNS: usize = 64;
const WIDEST: f64 = 255.0;
const MOST_BLOCKS: usize = 200;
const MOST_PLACES: usize = 12;
const THICKEST: f64 = 20.0;
/// Longest title, in letters.
const LONGEST_TITLE: usize = 500;

/// Everything that is wrong with a page: numbers that no sheet has, names that nothing has.
///
/// # Errors
/// Each with the line on which it stands.
pub fn check_page(page: &Page, file: &str, text: &str, names: &Names) -> Faults {
    let mut faults = Faults::none();
    let mut wrong = |word: &str, message: String, help: String| {
        let quoted = format!("\"{word}\"");
        let found = |word: &str| text.lines().position(|line| line.contains(word));
        let line = found(&quoted).or_else(|| found(word)).map_or(1, |at| at + 1);
        faults.push(Problem::error(message).at(Place::column(file, line, 1)).help(help));
    };
    check_numbers(page, &mut wrong);
    check_words(page, &mut wrong);
    check_drawings(page, names, &mut wrong);
    check_names(page, names, &mut wrong);
    check_readers(page, names, &mut wrong);
    faults
}

/// Live tables that stand twice: what follows a value can follow it in one place only.
///
/// # Errors
/// Each with the page on which it stands again.
pub fn check_pages(pages: &[(Page, String)]) -> Faults {
    let mut faults = Faults::none();
    let mut seen: Vec<LiveTable> = Vec::new();
    for (page, file) in pages {
        for kind in page.block.iter().filter_map(Block::live) {
            if kind != LiveTable::Table && seen.contains(&kind) {
                let problem = Problem::error(format!(
                    "{} stand in the workbook already",
                    super::page_reference::name_of(kind)
                ));
                let help =
                    "what follows a value can follow it in one place only: take one of them out";
                faults.push(problem.at(Place::file(file)).help(help));
            }
            seen.push(kind);
        }
    }
    faults
}

/// Tells a fault: the word by which its line is found, what is wrong, what was expected.
type Wrong<'a> = &'a mut dyn FnMut(&str, String, String);

/// Numbers and titles that no sheet has.
fn check_numbers(page: &Page, wrong: Wrong) {
    let titles = |c: char| c.is_control() || "[]:*?/\\'".contains(c);
    let length = page.sheet.encode_utf16().count();
    if page.sheet.trim().is_empty()
        || length > 31
        || page.sheet.contains(titles)
        || page.sheet.eq_ignore_ascii_case("history")
    {
        let message = format!("\"{}\" is not a name for a sheet", page.sheet);
        wrong(
            "sheet",
            message,
            "up to 31 letters were expected, without []:*?/\\' and not the word History".to_owned(),
        );
    }
    if page.size.is_some_and(|size| !(8.0..=24.0).contains(&size)) {
        let message = "this is not a size of letters".to_owned();
        wrong("size", message, "8 to 24 points were expected".to_owned());
    }
    if page.title.chars().count() > LONGEST_TITLE {
        let message = "the title of this page is longer than a line".to_owned();
        wrong("title", message, format!("up to {LONGEST_TITLE} letters were expected"));
    }
    if page.widths.len() > MOST_COLUMNS
        || !page.widths.iter().all(|width| (0.0..=WIDEST).contains(width))
    {
        let message = "the widths of this page are none that a sheet has".to_owned();
        let help = format!("up to {MOST_COLUMNS} widths of 0 to {WIDEST} characters were expected");
        wrong("widths", message, help);
    }
    let widths = page.block.iter().flat_map(|block| &block.columns).filter_map(|one| one.width);
    for width in widths.filter(|width| !(0.0..=WIDEST).contains(width)) {
        let message = format!("{width} is not a width that a column has");
        wrong("width", message, format!("0 to {WIDEST} characters were expected"));
    }
    for column in page.block.iter().flat_map(|block| &block.columns) {
        let here = &column.field;
        if column.at.is_some_and(|at| usize::from(at) >= MOST_COLUMNS) {
            let message = format!("column {} is beyond what a page has", column.at.unwrap_or(0));
            wrong(here, message, format!("at: 0 to {} was expected", MOST_COLUMNS - 1));
        }
        if column.span.is_some_and(|span| span == 0 || usize::from(span) > MOST_COLUMNS) {
            let message = "this is not a number of columns".to_owned();
            wrong(here, message, format!("span: 1 to {MOST_COLUMNS} was expected"));
        }
        if column.places.is_some_and(|places| places > MOST_PLACES) {
            let message =
                format!("{} decimals are more than are printed", column.places.unwrap_or(0));
            wrong(here, message, format!("places: 0 to {MOST_PLACES} was expected"));
        }
    }
    if page.block.len() > MOST_BLOCKS {
        let message = format!("this page has {} blocks", page.block.len());
        wrong("block", message, format!("up to {MOST_BLOCKS} were expected"));
    }
    for block in &page.block {
        if block.columns.len() > MOST_COLUMNS {
            let message = format!("a block has {} columns", block.columns.len());
            wrong("columns", message, format!("up to {MOST_COLUMNS} were expected"));
        }
        for series in block.chart.iter().flat_map(|chart| &chart.series) {
            if !(0.0..=THICKEST).contains(&series.width) {
                let message = format!("a line of a chart is {} points wide", series.width);
                wrong(&series.name, message, format!("width: 0 to {THICKEST} was expected"));
            }
        }
    }
}

/// Words that mean nothing where they stand.
fn check_words(page: &Page, wrong: Wrong) {
    let titled = page.sheet.contains("{title}");
    if titled != page.each.is_some() {
        let (message, help) = match titled {
            true => (
                "this page has a {title} and makes no several sheets",
                "each = \"calc_sheet\", \"table\" or \"drawing\" makes a sheet of each",
            ),
            false => (
                "this page makes several sheets of one name",
                "write sheet = \"{title}\": the title of each",
            ),
        };
        wrong("sheet", message.to_owned(), help.to_owned());
    }
    if page.each == Some(Each::Drawing) && page.picture().is_empty() {
        let message = "this page makes a sheet of each drawing and shows none".to_owned();
        wrong("each", message, "a block with picture = \"profile\" was expected".to_owned());
    }
    for block in &page.block {
        for column in &block.columns {
            if column.field.is_empty() == column.fill.is_none() {
                let message = "a column shows a field, or leaves room to write by hand".to_owned();
                wrong(&column.title, message, "give it either field or fill".to_owned());
            }
        }
        if block.height.is_some_and(|height| !(0.0..=400.0).contains(&height)) {
            let message = "this is not a height of a row".to_owned();
            wrong("height", message, "0 to 400 points were expected".to_owned());
        }
        let shown = |column: &super::page::PageColumn| column.field == block.total;
        if !block.total.is_empty() && (block.records.is_empty() || !block.columns.iter().any(shown))
        {
            let message = format!("the block does not show \"{}\", which it adds up", block.total);
            wrong(&block.total, message, "name one of its columns".to_owned());
        }
        let fitting = match block.live() {
            Some(LiveTable::Cells | LiveTable::Rows) => page.each == Some(Each::CalcSheet),
            Some(LiveTable::Table) => page.each == Some(Each::Table),
            _ => true,
        };
        if !fitting {
            let message = "this table is of one sheet among several".to_owned();
            wrong(
                "live",
                message,
                "cells and rows go with each = \"calc_sheet\", table with each = \"table\""
                    .to_owned(),
            );
        }
        if block.live().is_some()
            && !(block.records.is_empty() && block.only.is_empty() && block.first_of.is_empty())
        {
            let message = "this block shows a listing and a live table".to_owned();
            wrong(
                "live",
                message,
                "records, where and first_of go with a listing; make two blocks".to_owned(),
            );
        }
        check_places(block, wrong);
        if let Some(kind) = block.live() {
            let known: Vec<String> =
                columns_of(kind).iter().map(|(name, _)| (*name).to_owned()).collect();
            for field in block.columns.iter().map(|column| &column.field) {
                if !known.contains(field) {
                    let message = format!("this table has no column \"{field}\"");
                    wrong(field, message, near(field, &known));
                }
            }
        }
        for series in block.chart.iter().flat_map(|chart| &chart.series) {
            if !["solid", "dash", "dot"].contains(&series.dash.as_str()) {
                let message = format!("\"{}\" is not a line of a chart", series.dash);
                wrong(&series.dash, message, "solid, dash or dot was expected".to_owned());
            }
            let hex =
                series.color.len() == 6 && series.color.chars().all(|c| c.is_ascii_hexdigit());
            if !hex {
                let message = format!("\"{}\" is not a colour", series.color);
                wrong(
                    &series.color,
                    message,
                    "six hexadecimal digits were expected, such as 38761D".to_owned(),
                );
            }
        }
    }
}

/// Drawings that nothing draws, or that stand where several sheets cannot.
fn check_drawings(page: &Page, names: &Names, wrong: Wrong) {
    for kind in page.block.iter().map(|block| &block.picture).filter(|kind| !kind.is_empty()) {
        if !names.drawings.contains(&kind.as_str()) {
            let message = format!("there is no drawing \"{kind}\"");
            wrong(kind, message, format!("there are: {}", names.drawings.join(", ")));
        }
        if page.each != Some(Each::Drawing) {
            let message = "a drawing may have several sheets".to_owned();
            wrong(kind, message, "each = \"drawing\" makes a sheet of each".to_owned());
        }
    }
}

/// Columns of a block that stand in one place.
fn check_places(block: &Block, wrong: Wrong) {
    let mut next = 0;
    let mut taken: Vec<u16> = Vec::new();
    for column in &block.columns {
        let at = column.at.unwrap_or(next);
        let span = column.span.unwrap_or(1).max(1);
        next = at.saturating_add(span);
        if column.field == "*" && column.at.is_some() {
            let message = "\"*\" stands for several columns, and at is one".to_owned();
            wrong("*", message, "leave at out: they follow the column before them".to_owned());
        }
        // What follows an open number of columns is placed after them.
        if block.columns.iter().any(|column| column.field == "*") {
            continue;
        }
        if (at..next).any(|at| taken.contains(&at)) {
            let message =
                format!("two columns stand in column {at}: \"{}\" is the second", column.field);
            wrong(&column.field, message, "at counts the columns of the sheet from 0".to_owned());
        }
        taken.extend(at..next);
    }
    if block.bars.iter().any(|at| usize::from(*at) >= MOST_COLUMNS) {
        let message = "bars show a column beyond what a page has".to_owned();
        wrong("bars", message, format!("0 to {} was expected", MOST_COLUMNS - 1));
    }
    if block.bars.len() > 2 {
        let message = format!("bars show {} columns", block.bars.len());
        wrong("bars", message, "one or two were expected".to_owned());
    }
    if block.chart.as_ref().is_some_and(|chart| chart.series.is_empty()) {
        let message = "a chart without a line".to_owned();
        wrong("chart", message, "series = [ ... ] names the listings that it shows".to_owned());
    }
}

/// Listings and columns that the readers of the page may not see.
fn check_readers(page: &Page, names: &Names, wrong: Wrong) {
    let readers = page.audience.or(names.audience).unwrap_or(Audience::Office);
    if let Some(least) = names.audience.filter(|least| readers < *least) {
        let message = format!(
            "this page is for {} and lies among the papers of {}",
            readers.word(),
            least.word()
        );
        wrong("audience", message, "leave audience out, or put the page elsewhere".to_owned());
    }
    if readers == Audience::Office {
        return;
    }
    if page.hidden {
        let message = format!("this page is for {} and is hidden", readers.word());
        wrong("hidden", message, "papers for others hide nothing".to_owned());
    }
    for block in &page.block {
        let office = block.facts.iter().flat_map(|fact| [&fact.cell, &fact.line]);
        let office = office.into_iter().find(|name| !name.is_empty());
        let cautions = names.listings.iter().find(|known| known.name == "cautions");
        let cautions = cautions.filter(|known| known.audience < readers);
        let caution = block.facts.iter().map(|fact| &fact.caution).find(|kind| !kind.is_empty());
        let office = office.or(caution.filter(|_| cautions.is_some()));
        if block.live().is_some() || office.is_some() {
            let word = office.map_or("live", String::as_str);
            let message = "this is for the office, and the page has other readers".to_owned();
            wrong(word, message, format!("its audience is {}", readers.word()));
        }
        for (set, fields) in block.named() {
            let Some(known) = names.listings.iter().find(|known| known.name == set) else {
                continue;
            };
            for field in fields {
                let Ok(at) = known.column(field) else { continue };
                // What a client pays is no affair of engineer and crew.
                let kind = known.columns.get(at).map(|column| column.kind);
                let money = matches!(kind, Some(ColumnKind::Amount(of)) if of.money != 0)
                    || field == "price";
                let paid = money && matches!(readers, Audience::Engineer | Audience::Crew);
                if paid || known.seen_by_column(at) < readers {
                    let message = format!(
                        "column \"{field}\" of listing \"{set}\" is not for the readers of this page"
                    );
                    wrong(
                        field,
                        message,
                        format!(
                            "its audience is {}, the column is for {}",
                            readers.word(),
                            if paid {
                                "office and client"
                            } else {
                                known.seen_by_column(at).name()
                            }
                        ),
                    );
                }
            }
        }
    }
}

/// Listings, columns and lines that nothing has.
fn check_names(page: &Page, names: &Names, wrong: Wrong) {
    for block in &page.block {
        for (set, fields) in block.named() {
            let Some(known) = names.listings.iter().find(|known| known.name == set) else {
                let message = format!("there is no listing \"{set}\"");
                let known: Vec<String> =
                    names.listings.iter().map(|known| known.name.to_owned()).collect();
                wrong(set, message, near(set, &known));
                continue;
            };
            for field in fields {
                if let Err(problem) = known.column(field) {
                    wrong(field, problem.message, problem.help.unwrap_or_default());
                }
            }
        }
        for fact in &block.facts {
            if let Some(lines) = &names.lines
                && !fact.line.is_empty()
                && !lines.contains(&fact.line)
            {
                let message = format!("the takeoff has no line \"{}\"", fact.line);
                wrong(&fact.line, message, near(&fact.line, lines));
            }
            if let Some(cells) = &names.cells
                && !fact.cell.is_empty()
                && !cells.contains(&fact.cell)
            {
                let message = format!("no calc sheet has a cell \"{}\"", fact.cell);
                wrong(&fact.cell, message, near(&fact.cell, cells));
            }
        }
    }
}

/// The names in braces of a note.
fn placeholders(note: &str) -> impl Iterator<Item = &str> {
    note.split('{').skip(1).filter_map(|rest| rest.split_once('}').map(|(name, _)| name))
}

/// The name that was meant, or all of them.
fn near<'a>(name: &str, known: impl IntoIterator<Item = &'a String>) -> String {
    let known: Vec<&str> = known.into_iter().map(String::as_str).collect();
    match closest(name, known.iter().copied()) {
        Some(near) => format!("did you mean {near}?"),
        None => format!("there are: {}", known.join(", ")),
    }
}
