//! The page of listings, generated from the declarations.

use std::fmt::Write;

use super::Declaration;

const HEAD: &str = "# Listings

<!-- Generated from the declarations: edit the listing, then run `cargo run -- generate`. -->

Tables of results. Machine-readable output has each under `records`; a page of the workbook names it as `records` and its
columns as `field`; a script goes through its rows (`for step in takeoff.steps { print(step.station); }`); a formula names a
column, which is a list (`sum(steps.dirt_step)`). A job that has no use for a listing is without it.
";

/// The page as Markdown.
pub fn listings_page(declared: impl IntoIterator<Item = Declaration>) -> String {
    let mut page = HEAD.to_owned();
    for listing in declared {
        // Writing to a string cannot fail.
        let _ = writeln!(page, "\n## `{}`\n\n{}.", listing.name, listing.about);
        if !listing.key.is_empty() {
            let _ = writeln!(page, "A row is named by {}.", listing.key.join(" and "));
        }
        let _ = writeln!(page, "Who may see it: {}.", listing.audience.name());
        page += "\n| column | kind | meaning |\n|---|---|---|\n";
        for column in listing.columns {
            let seen = column
                .audience
                .map_or_else(String::new, |audience| format!("; seen by {}", audience.name()));
            let lack = if column.may_lack { ", or none" } else { "" };
            let _ = writeln!(
                page,
                "| `{}` | {}{lack} | {}{seen} |",
                column.name, column.kind, column.about
            );
        }
    }
    page
}
