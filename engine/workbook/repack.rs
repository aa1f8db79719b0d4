//! A package with some of its parts changed: all others are taken over as they are packed.

use std::io::{Cursor, Read, Write};

use zip::{ZipArchive, ZipWriter};

/// The package with every part for which `change` gives a text, given the part's name and text; only parts that `of` picks
/// are unpacked.
pub(super) fn repacked(
    package: &[u8],
    of: impl Fn(&str) -> bool,
    change: impl Fn(&str) -> String,
) -> Option<Vec<u8>> {
    let mut from = ZipArchive::new(Cursor::new(package)).ok()?;
    let mut to = ZipWriter::new(Cursor::new(Vec::with_capacity(package.len())));
    for at in 0..from.len() {
        let part = from.by_index_raw(at).ok()?;
        let name = part.name().ok()?.into_owned();
        if !of(&name) {
            to.raw_copy_file(part).ok()?;
            continue;
        }
        let options = part.options();
        drop(part);
        let mut text = String::new();
        from.by_index(at).ok()?.read_to_string(&mut text).ok()?;
        to.start_file(name, options).ok()?;
        to.write_all(change(&text).as_bytes()).ok()?;
    }
    Some(to.finish().ok()?.into_inner())
}

/// Whether a part is a chart.
pub(super) fn is_chart(name: &str) -> bool {
    name.starts_with("xl/charts/chart")
}

/// A chart with the marks of its series behind their lines, as the schema has them: the library writes those of lines over
/// numbers the other way round.
pub(super) fn in_order(chart: &str) -> String {
    const MARK: &str = "<c:marker><c:symbol val=\"none\"/></c:marker>";
    const LINE: (&str, &str) = ("<c:spPr>", "</c:spPr>");
    let mut parts = chart.split(MARK);
    let mut text = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let end = part.starts_with(LINE.0).then(|| part.find(LINE.1)).flatten();
        let (line, rest) = part.split_at(end.map_or(0, |end| end + LINE.1.len()));
        text += line;
        text += MARK;
        text += rest;
    }
    text
}

#[cfg(test)]
mod tests {
    use super::in_order;

    #[test]
    fn marks_stand_behind_lines() {
        let mark = "<c:marker><c:symbol val=\"none\"/></c:marker>";
        let line = "<c:spPr><a:ln w=\"1\"/></c:spPr>";
        let series = |inside: &str| format!("<c:ser><c:tx/>{inside}<c:xVal/></c:ser>");
        let both = series(&format!("{mark}{line}")).repeat(2);
        assert_eq!(in_order(&both), series(&format!("{line}{mark}")).repeat(2));
        assert_eq!(in_order(&series(mark)), series(mark));
        assert_eq!(in_order(&series(line)), series(line));
    }
}
