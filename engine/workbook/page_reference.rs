//! The page on pages, generated from what their keys are.

use std::fmt::Write;

use super::page::LiveTable;
use super::tables::columns_of;

/// The keys of one table of a page description.
pub(super) struct PageKeys {
    /// Heading.
    pub(super) of: &'static str,
    /// Name, value, meaning.
    pub(super) keys: &'static [(&'static str, &'static str, &'static str)],
}

/// Every key of a page description; a test holds it against what is read.
pub(super) const KEYS: &[PageKeys] = &[
    PageKeys {
        of: "A page",
        keys: &[
            ("sheet", "text", "name of the sheet; `{title}` where it makes several"),
            (
                "title",
                "text",
                "first line of the sheet; `{job}` is the name of the job, `{firm}` that of the firm, `{title}` that of the sheet; without it the first block stands first",
            ),
            ("size", "number", "size of its letters in points, 8 to 24; without it 11"),
            ("logo", "true, false", "the logo of the firm stands at its head, on the right"),
            (
                "each",
                "`calc_sheet`, `table`, `drawing`",
                "makes a sheet of each calc sheet, of each table that a script or question made, or of each sheet of the drawing that its block shows",
            ),
            (
                "order",
                "number",
                "where it stands: after the sheets with a lesser number; without it the number that its file's name begins with, else last",
            ),
            (
                "audience",
                "`office`, `engineer`, `crew`, `client`",
                "who is to read it: what they may not see is a fault; without it the office",
            ),
            ("landscape", "true, false", "lies on its side when printed"),
            ("one_page", "true, false", "everything on one printed page"),
            ("hidden", "true, false", "its sheets are hidden: they hold what charts show"),
            (
                "widths",
                "list of numbers",
                "widths of the columns in characters; a column without one is as wide as what it holds",
            ),
            ("block", "list of tables", "what stands on it, from top to bottom"),
        ],
    },
    PageKeys {
        of: "A block",
        keys: &[
            (
                "sheet",
                "text",
                "name of the sheet that begins with it, where the page takes more than one; without it the page's name with a number",
            ),
            ("heading", "text", "heading above it"),
            ("note", "text", "a sentence under the heading"),
            ("records", "name", "the listing that it shows: LISTINGS.md"),
            ("where", "table", "rows of the listing that it shows: column and text"),
            ("first_of", "name", "column of which only the first row of each value is shown"),
            (
                "live",
                "name",
                "in place of a listing, a table whose values follow each other: below",
            ),
            ("columns", "list of tables", "the columns, from left to right"),
            ("bare", "true, false", "without headings of columns"),
            ("facts", "list of tables", "single numbers with a label"),
            ("chart", "table", "lines over listings that stand somewhere in the workbook"),
            (
                "bars",
                "one or two numbers",
                "columns, counted from 0, that bars under the table show",
            ),
            ("checks", "list of texts", "what is to be ticked off by hand: a frame, and its words"),
            (
                "picture",
                "name",
                "plan, profile, sections, faces or bars, on a page with `each = \"drawing\"`",
            ),
            ("total", "name", "column under which its sum stands, in the last line of the block"),
            ("height", "number", "height of its rows in points, to write into by hand"),
            (
                "empty",
                "text",
                "what is written where there is no row; without it the block is left out",
            ),
            ("quantities", "true, false", "`live = \"quantities\"`, as older pages write it"),
        ],
    },
    PageKeys {
        of: "A column",
        keys: &[
            (
                "field",
                "name",
                "column of the listing or live table; `*` for all that a table brings itself",
            ),
            ("fill", "`line`, `box`", "in place of a field, room to write into by hand"),
            ("title", "text", "heading; the unit is added under it"),
            ("at", "number", "column of the sheet, counted from 0; without it the next one"),
            ("width", "number", "its width in characters, in place of the page's"),
            ("span", "number", "how many columns of the sheet its text takes"),
            ("places", "number", "decimals"),
            ("wrap", "true, false", "long texts are wrapped, and the row is as high as they need"),
            ("number", "true, false", "its heading stands over numbers"),
        ],
    },
    PageKeys {
        of: "A fact",
        keys: &[
            ("label", "text", "what it is; without one a line's own"),
            ("line", "id", "a line of the takeoff, live"),
            ("cell", "name", "a cell of a calc sheet, live; without it the fact is left out"),
            ("records", "name", "a listing, of which the first row that fits is taken"),
            ("where", "table", "rows that fit: column and text"),
            ("field", "name", "its column"),
            ("note", "text", "a note; `{column}` is the row's value"),
            ("caution", "text", "cautions of this kind stand beside it"),
        ],
    },
    PageKeys {
        of: "A chart",
        keys: &[
            ("title", "text", "title"),
            ("x_title", "text", "title of the horizontal axis"),
            ("y_title", "text", "title of the vertical axis"),
            ("series", "list of tables", "its lines"),
        ],
    },
    PageKeys {
        of: "A line of a chart",
        keys: &[
            ("name", "text", "name in the legend"),
            ("records", "name", "listing"),
            ("where", "table", "its rows: column and text"),
            ("x", "name", "column of the horizontal axis"),
            ("y", "name", "column of the vertical axis"),
            ("width", "number", "width in points"),
            ("dash", "`solid`, `dash`, `dot`", "to be told apart without colour"),
            ("color", "text", "six hexadecimal digits"),
        ],
    },
];

const LIVE: [(LiveTable, &str, &str); 6] = [
    (LiveTable::Quantities, "quantities", "the lines of the takeoff, each with its parts under it"),
    (LiveTable::Inputs, "inputs", "the settings that formulas of the workbook rest on"),
    (LiveTable::Facts, "facts", "what formulas name of the job and its layout"),
    (LiveTable::Cells, "cells", "the cells of the calc sheet that the page is made for"),
    (
        LiveTable::Rows,
        "rows",
        "the same of a calc sheet that has rows of its own: its columns side by side, totals under them",
    ),
    (LiveTable::Table, "table", "the rows of the table that the page is made for"),
];

/// A live table in words.
pub(super) fn name_of(kind: LiveTable) -> &'static str {
    LIVE.iter().find(|(known, ..)| *known == kind).map_or("", |(_, _, about)| about)
}

const HEAD: &str = "# Pages of the workbook

<!-- Generated from the descriptions: edit engine/workbook/page_reference.rs and tables.rs, then run `cargo run -- generate`. -->

A page describes one sheet of the workbook, as data. The bundled ones lie in templates/workbook; one of the same name in that folder of the job
or company replaces it, one of a new name adds a sheet. A page names listings, columns, lines and cells; a name that nothing has is told with its
place and with the one that was meant, before anything is written.

A page that takes more than one printed page becomes several sheets: a long table stands alone, with its headings in sight and repeated on
every printed page; short ones share a sheet that is printed on one page.

```toml
sheet = \"Risers\"
title = \"Risers of {job}\"

[[block]]
records = \"steps\"
where = { wall = \"W1\" }
columns = [ { field = \"step\", title = \"Step\" }, { field = \"dirt_step\", title = \"Height\" } ]
```
";

/// The page as Markdown.
pub fn pages_page() -> String {
    let mut page = HEAD.to_owned();
    // Writing to a string cannot fail.
    for table in KEYS {
        let _ = write!(page, "\n## {}\n\n| key | value | meaning |\n|---|---|---|\n", table.of);
        for (name, value, meaning) in table.keys {
            let _ = writeln!(page, "| `{name}` | {value} | {meaning} |");
        }
    }
    for (kind, name, about) in LIVE {
        let _ = write!(
            page,
            "\n## `live = \"{name}\"`\n\n{about}.\n\n| column | what it holds |\n|---|---|\n"
        );
        for (column, holds) in columns_of(kind) {
            let _ = writeln!(page, "| `{column}` | {holds} |");
        }
    }
    page
}

#[cfg(test)]
mod tests {
    use super::super::read_page;
    use super::KEYS;

    /// What is read, by the list that a refused key is answered with.
    fn read(before: &str) -> Vec<String> {
        let text = format!("{before}no_such_key = 1\n");
        let problem = read_page("p.toml", &text).err().map_or_else(String::new, |it| it.message);
        let known = problem.split_once("expected one of").map_or("", |(_, known)| known);
        known.split('`').skip(1).step_by(2).map(str::to_owned).collect()
    }

    #[test]
    fn every_key_is_explained() {
        let page = "sheet = \"a\"\ntitle = \"b\"\n";
        let block = format!("{page}[[block]]\n");
        let texts = [
            page.to_owned(),
            block.clone(),
            format!("{block}[[block.columns]]\nfield = \"x\"\n"),
            format!("{block}[[block.facts]]\n"),
            format!("{block}[block.chart]\ntitle = \"a\"\nx_title = \"b\"\ny_title = \"c\"\n"),
            format!(
                "{block}[block.chart]\ntitle = \"a\"\nx_title = \"b\"\ny_title = \"c\"\n[[block.chart.series]]\nname = \"a\"\n"
            ),
        ];
        for (table, text) in KEYS.iter().zip(texts) {
            let mut known = read(&text);
            let mut told: Vec<String> =
                table.keys.iter().map(|(name, ..)| (*name).to_owned()).collect();
            known.sort();
            told.sort();
            assert_eq!(told, known, "{}", table.of);
        }
    }
}
