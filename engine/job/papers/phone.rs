//! Sheets as one page for a phone: it loads nothing, so it is read where there is no network.

use std::fmt::Write as _;

use base64::prelude::{BASE64_STANDARD, Engine as _};

use crate::drawing::{self, Scene, svg};
use crate::workbook::{Look, PaperCell, PaperRole, PaperRow, PaperSheet};

/// What the page begins with; such files only are written over.
pub(crate) const MARK: &str = "<!doctype html>\n<!-- written by rodbook -->\n";

/// What it looks like: letters of a finger's size, a row of a table as a card where the screen is narrow.
const STYLE: &str = "
:root{font:18px/1.4 system-ui,sans-serif;color:#111;background:#fff}
body{margin:0 auto;padding:0 12px 40px;max-width:1100px}
nav{position:sticky;top:0;background:#fff;border-bottom:2px solid #111;padding:8px 0;overflow-x:auto;white-space:nowrap}
nav a{display:inline-block;padding:10px 12px;color:#111;border:1px solid #777;border-radius:6px;margin-right:6px;text-decoration:none}
section{scroll-margin-top:70px}
h1{font-size:1.4rem}h2{font-size:1.25rem;border-top:2px solid #111;padding-top:14px;margin-top:34px}h3{font-size:1.05rem;margin-bottom:4px}
p{margin:4px 0}p.note{font-style:italic}
dl{display:grid;grid-template-columns:max-content 1fr;gap:2px 14px;margin:6px 0}dt{font-weight:600}dd{margin:0}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
th{background:#e6e6e6;text-align:left;border-top:1px solid #111;padding:4px 6px;vertical-align:bottom;white-space:pre-line}
td{padding:4px 6px;border-bottom:1px solid #ccc;vertical-align:top;white-space:pre-line}
.n{text-align:right}.b{border:1px solid #111;min-width:5em}
label{display:block;padding:8px 0;border-bottom:1px solid #ccc}input{width:24px;height:24px;vertical-align:middle;margin-right:10px}
figure{margin:10px 0;overflow-x:auto}svg{width:100%;min-width:640px;height:auto}
@media (max-width:700px){
table,tbody,tr,td{display:block;width:auto}thead{display:none}
tr{border:1px solid #777;border-radius:6px;margin:10px 0;padding:4px 8px}
td{display:flex;justify-content:space-between;gap:12px;border-bottom:1px solid #eee;text-align:right}
td::before{content:attr(data-h);font-weight:600;text-align:left}
td.b{min-height:32px}
}
";

/// The page.
pub(super) fn page(title: &str, sheets: &[PaperSheet], pictures: &[Scene], look: &Look) -> String {
    let mut text = format!(
        "{MARK}<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\">\n<title>{title}</title>\n<style>{STYLE}{own}</style>\n</head>\n<body>\n{logo}<h1>{title}</h1>\n<nav>",
        title = escaped(title),
        own = own_style(look),
        logo = logo(look),
    );
    // Writing to a string cannot fail.
    for (number, sheet) in sheets.iter().enumerate() {
        let _ = write!(text, "<a href=\"#s{number}\">{}</a>", escaped(&sheet.name));
    }
    text.push_str("</nav>\n");
    for (number, sheet) in sheets.iter().enumerate() {
        let _ = writeln!(text, "<section id=\"s{number}\">\n<h2>{}</h2>", escaped(&sheet.name));
        if let Some(picture) = sheet.picture.and_then(|which| pictures.get(which)) {
            let _ = writeln!(text, "<figure>{}</figure>", svg(picture));
        }
        Rows { text: &mut text, heads: None, bare: false }.all(&sheet.rows);
        text.push_str("</section>\n");
    }
    text.push_str("</body>\n</html>\n");
    text
}

/// The colour and typeface of the firm.
fn own_style(look: &Look) -> String {
    let colour = look.colour.map(|colour| format!("h1,h2,h3{{color:#{colour:06x}}}\n"));
    // Its name has letters, digits, blanks, dots and dashes alone.
    let font =
        look.font.as_ref().map(|font| format!("body{{font-family:\"{font}\",sans-serif}}\n"));
    [colour, font].into_iter().flatten().collect()
}

/// Its logo, in the page itself.
fn logo(look: &Look) -> String {
    look.logo.as_ref().map_or_else(String::new, |png| {
        let png = BASE64_STANDARD.encode(png);
        format!(
            "<img alt=\"logo of the firm\" style=\"max-height:64px;max-width:160px;margin-top:10px\" src=\"data:image/png;base64,{png}\">\n"
        )
    })
}

/// Rows that are being written.
struct Rows<'a> {
    text: &'a mut String,
    /// Headings of the table that is open, by column.
    heads: Option<Vec<(usize, String)>>,
    /// Whether a list of names and words is open.
    bare: bool,
}

impl Rows<'_> {
    fn all(mut self, rows: &[PaperRow]) {
        for row in rows {
            self.row(row);
        }
        self.close();
    }

    /// Ends the table or list that is open.
    fn close(&mut self) {
        if self.heads.take().is_some() {
            self.text.push_str("</tbody></table>\n");
        }
        if std::mem::take(&mut self.bare) {
            self.text.push_str("</dl>\n");
        }
    }

    fn row(&mut self, row: &PaperRow) {
        let first = row.cells.first();
        let is_head = row.cells.iter().any(|cell| matches!(cell.role, PaperRole::Head(_)));
        if row.apart || is_head {
            self.close();
        }
        match first.map(|cell| cell.role) {
            // The sheet's own name stands over it.
            None | Some(PaperRole::Title) => {}
            Some(PaperRole::Heading) => self.sentence("h3", "", row),
            Some(PaperRole::Note) => self.sentence("p", " class=\"note\"", row),
            _ if is_head => self.head(row),
            _ if self.heads.is_some() => self.cells(row),
            Some(PaperRole::Box) => {
                let words = row.cells.get(1).map_or("", |cell| cell.text.as_str());
                let _ = writeln!(
                    self.text,
                    "<label><input type=\"checkbox\">{}</label>",
                    escaped(words)
                );
            }
            _ => self.bare(row),
        }
    }

    fn sentence(&mut self, tag: &str, class: &str, row: &PaperRow) {
        self.close();
        let words = row.cells.iter().map(|cell| escaped(&cell.text)).collect::<Vec<_>>().join(" ");
        let _ = writeln!(self.text, "<{tag}{class}>{words}</{tag}>");
    }

    fn head(&mut self, row: &PaperRow) {
        self.text.push_str("<table><thead><tr>");
        let named = row.cells.iter().filter(|cell| !cell.text.is_empty() || row.cells.len() == 1);
        let named: Vec<&PaperCell> = named.collect();
        for cell in &named {
            let class = if cell.role == PaperRole::Head(true) { " class=\"n\"" } else { "" };
            let _ = write!(self.text, "<th{class}>{}</th>", escaped(&cell.text));
        }
        self.text.push_str("</tr></thead>\n<tbody>\n");
        let label = |cell: &&PaperCell| (cell.column, cell.text.replace('\n', ", "));
        self.heads = Some(named.iter().map(label).collect());
    }

    fn cells(&mut self, row: &PaperRow) {
        let heads = self.heads.clone().unwrap_or_default();
        self.text.push_str("<tr>");
        for (column, head) in heads {
            let cell = row.cells.iter().find(|cell| cell.column == column);
            let class = match cell.map(|cell| cell.role) {
                Some(PaperRole::Number) => " class=\"n\"",
                Some(PaperRole::Box | PaperRole::Line) => " class=\"b\"",
                _ => "",
            };
            let text = cell.map_or_else(String::new, |cell| escaped(&cell.text));
            let _ = write!(self.text, "<td{class} data-h=\"{}\">{text}</td>", escaped(&head));
        }
        self.text.push_str("</tr>\n");
    }

    /// A row of a table without headings: a name and its words, or words alone.
    fn bare(&mut self, row: &PaperRow) {
        let texts: Vec<String> = row.cells.iter().map(|cell| escaped(&cell.text)).collect();
        match texts.as_slice() {
            [name, words @ ..] if !words.is_empty() => {
                if !self.bare {
                    self.text.push_str("<dl>\n");
                    self.bare = true;
                }
                let _ = writeln!(self.text, "<dt>{name}</dt><dd>{}</dd>", words.join(" "));
            }
            words => {
                let _ = writeln!(self.text, "<p>{}</p>", words.join(" "));
            }
        }
    }
}

/// A text of a cell, its lines kept.
fn escaped(text: &str) -> String {
    text.split('\n').map(drawing::escaped).collect::<Vec<_>>().join("\n")
}
