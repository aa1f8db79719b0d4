//! Tables in workbooks, calc sheets, the workbook.

use super::super::KeyKind::{Choice, Length, Text, Texts};
use super::Need::{Default, Optional, Required};
use super::{Part, key, table};

/// The part.
pub(super) const PART: Part = Part {
    tables: &[
        table(
            "tables",
            false,
            false,
            "tables of a job in the sheets of workbooks: a sheet has the name of its table, such as wall, type or prices",
        ),
        table(
            "sheet[]",
            false,
            false,
            "a calc sheet of the job or company: a table with the columns what, name, unit, formula, or one with columns and rows of its own",
        ),
        table("workbook", false, true, "the workbook"),
    ],
    keys: &[
        key(
            "tables.files",
            Texts,
            Required,
            "workbooks in the job or company folder; a list such as wall has its keys as headings, wall.tops names its wall in a column wall, any other table has the columns key and value",
        ),
        key(
            "sheet[].name",
            Text,
            Required,
            "name by which other sheets call its cells; price replaces the bundled one",
        ),
        key("sheet[].file", Text, Required, "csv or workbook, in the job or company folder"),
        key(
            "sheet[].sheet",
            Text,
            Optional,
            "sheet of a workbook; without it the one of that name",
        ),
        key("sheet[].title", Text, Optional, "title in the workbook; without it the name"),
        key(
            "sheet[].per",
            Choice(&["job", "wall"]),
            Default("job"),
            "worked out once for the job, or once for each wall",
        ),
        key(
            "sheet[].rows",
            Text,
            Optional,
            "listing for each row of which its columns are worked out, such as steps or panel_runs; a table whose rows say unit or formula of its columns has rows of its own",
        ),
        key("workbook.scripts", Texts, Default(""), "scripts that add a sheet each"),
        key(
            "workbook.ground_interval",
            Length("0.1 ft", "1000 ft"),
            Optional,
            "spacing of the ground table; without it 10 ft or 1 m",
        ),
    ],
};
