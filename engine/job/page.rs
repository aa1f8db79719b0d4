//! The page of keys, generated from the list.

use std::fmt::Write;

use super::{Keys, Need, key_tables};

/// The page as Markdown.
pub fn keys_page() -> String {
    format!("{HEAD}{}", keys_page_of("", &Keys::default()))
}

/// The tables of the page whose name holds a text, with the keys of a job.
pub fn keys_page_of(text: &str, keys: &Keys) -> String {
    let mut page = String::new();
    let text = text.trim_matches(['[', ']']).to_lowercase();
    // A table by its name, or the table of a key.
    let named = |path: &str| {
        path.contains(&text)
            || text.strip_prefix(path).is_some_and(|rest| {
                keys.iter().any(|key| rest.starts_with('.') && key.path == text)
            })
    };
    for table in key_tables().filter(|table| named(table.path)) {
        let heading = if table.path.ends_with("[]") {
            format!("[[{}]]", table.path.trim_end_matches("[]"))
        } else {
            format!("[{}]", table.path)
        };
        let need = match (table.required, table.grid) {
            (true, None) => "required",
            (true, Some(_)) => "required with such a case",
            (false, _) => "may be missing",
        };
        // Writing to a string cannot fail.
        let _ = writeln!(page, "\n## `{heading}`\n\n{}; {need}.\n", table.about);
        let inside = |path: &str| {
            path.strip_prefix(table.path)
                .and_then(|rest| rest.strip_prefix('.'))
                .filter(|rest| !rest.contains('.'))
                .map(str::to_owned)
        };
        let here: Vec<_> = keys.iter().filter_map(|key| Some((inside(key.path)?, key))).collect();
        if here.is_empty() {
            continue;
        }
        page += "| key | value | if missing | meaning |\n|---|---|---|---|\n";
        for (name, key) in here {
            let missing = match key.need {
                Need::Required => "required".to_owned(),
                Need::Default("") => "none".to_owned(),
                Need::Default(text) => format!("`{text}`"),
                Need::Usual(us, metric) => format!("`{us}`, metric `{metric}`"),
                Need::Stepped(text) => format!("required; on one level `{text}`"),
                Need::Optional => "none".to_owned(),
            };
            let _ =
                writeln!(page, "| `{name}` | {} | {missing} | {} |", key.kind.words(), key.about);
        }
    }
    page
}

const HEAD: &str = "# Keys of job.toml

<!-- Generated from the list of keys: edit engine/job/keys, then run `cargo run -- generate`. -->

A key has no unit; its value is text with one: `frost_depth = \"2 ft\"`, `top = \"208'-0\"`, `dig = \"42.25 usd/cy\"`.
Bare numbers are counts and percentages only. Any length may be written in feet, feet and inches, inches, metres
or millimetres. On the command line `--set rules.frost_depth=\"2.25 ft\"` replaces one value; an element of a list is
named by its id or its number from 0: `--set wall.W2.stem=\"10 in\"`.

The same tables are sheets of an input book (`rodbook new FILE.xlsx`): a table such as `rules` has a row for each key, with its value
and the unit of bare numbers; a list such as `wall` has a row for each element and the unit in the heading, `stem [in]`; the
lists within its elements, such as `wall.tops`, name the wall in their first column. Stations are written `0 ft: 203.3 ft; 12 ft: 202.4 ft`. Sheet
`Shot list` takes the shots as they come; calc sheets may lie in the book, named in sheet `sheet`; sheets whose names begin with `_` are left
alone. A company's standard holds under a book as under a job.toml: [COMPANY.md](COMPANY.md).
";
