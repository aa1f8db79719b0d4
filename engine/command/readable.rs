//! A page of the reference as a person reads it at the terminal: without the marks that a browser of pages needs.

use crate::measure::aligned;

/// Headings, tables in columns, examples as they are.
pub(super) fn readable(page: &str) -> String {
    let mut shown: Vec<String> = Vec::new();
    let mut table: Vec<Vec<String>> = Vec::new();
    let mut lines = page.lines().peekable();
    while let Some(line) = lines.next() {
        if let Some(row) = line.strip_prefix("| ") {
            let cells = row.trim_end().trim_end_matches('|').split(" | ");
            table.push(cells.map(|cell| plain(cell.trim())).collect());
        } else if !line.starts_with("|--") && !line.starts_with("```") {
            shown.push(plain(line.trim_start_matches('#').trim_start_matches(' ')));
        }
        if !lines.peek().is_some_and(|next| next.starts_with('|')) {
            let rows = aligned(&std::mem::take(&mut table));
            shown.extend(rows.into_iter().map(|row| format!("  {row}")));
        }
    }
    shown.join("\n")
}

fn plain(text: &str) -> String {
    text.replace('`', "").replace("\\|", "|")
}

#[cfg(test)]
mod tests {
    use super::readable;

    #[test]
    fn a_table_stands_in_columns() {
        let page = "## `[quote]`\n\n| key | value |\n|---|---|\n| `number` | text |\n| `at` | list |\n\nan end\n";
        let wanted = "[quote]\n\n  key     value\n  number  text\n  at      list\n\nan end";
        assert_eq!(readable(page), wanted);
    }
}
