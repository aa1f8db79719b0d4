//! One direction of imports: the table of rooms, held against the code.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Rooms from the lowest up, each with the rooms that it may import.
const ROOMS: &[(&str, &[&str])] = &[
    ("problem", &[]),
    ("source", &[]),
    ("glossary", &[]),
    ("table", &["problem"]),
    ("files", &["problem"]),
    ("measure", &["problem"]),
    ("listing", &["problem", "measure"]),
    ("drawing", &["problem", "measure", "listing"]),
    ("survey", &["problem", "table", "measure"]),
    ("footing", &["problem", "measure", "survey"]),
    ("cutting", &["problem", "measure"]),
    ("forms", &["problem", "measure", "survey", "footing", "cutting"]),
    ("rebar", &["problem", "measure", "survey", "footing", "cutting"]),
    ("concrete", &["problem", "measure", "survey", "footing"]),
    ("earth", &["problem", "measure", "survey", "footing"]),
    ("price", &["problem", "measure"]),
    (
        "takeoff",
        &[
            "problem", "source", "measure", "listing", "survey", "footing", "forms", "cutting",
            "rebar", "earth", "price",
        ],
    ),
    (
        "catalogue",
        &[
            "problem", "source", "measure", "survey", "footing", "forms", "rebar", "concrete",
            "earth", "price", "takeoff",
        ],
    ),
    ("sheet", &["problem", "table", "measure", "catalogue"]),
    (
        "script",
        &[
            "problem",
            "source",
            "files",
            "measure",
            "listing",
            "footing",
            "takeoff",
            "catalogue",
            "sheet",
        ],
    ),
    (
        "workbook",
        &[
            "problem",
            "files",
            "table",
            "measure",
            "listing",
            "footing",
            "takeoff",
            "catalogue",
            "sheet",
        ],
    ),
    (
        "job",
        &[
            "problem",
            "source",
            "files",
            "table",
            "measure",
            "listing",
            "drawing",
            "survey",
            "footing",
            "forms",
            "rebar",
            "concrete",
            "earth",
            "price",
            "takeoff",
            "catalogue",
            "sheet",
            "script",
            "workbook",
        ],
    ),
    (
        "command",
        &[
            "problem",
            "source",
            "glossary",
            "files",
            "table",
            "measure",
            "listing",
            "drawing",
            "survey",
            "footing",
            "takeoff",
            "catalogue",
            "sheet",
            "script",
            "workbook",
            "job",
        ],
    ),
];

pub(crate) fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

fn engine() -> Vec<(String, PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("engine");
    let mut found = Vec::new();
    sources(&root, &mut found);
    found
        .into_iter()
        .filter_map(|path| {
            let inside = path.strip_prefix(&root).expect("inside");
            let room = inside.components().next()?.as_os_str().to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).expect("a source");
            (!room.ends_with(".rs")).then_some((room, path, text))
        })
        .collect()
}

#[test]
fn rooms_import_in_one_direction() {
    let table: BTreeMap<&str, &[&str]> = ROOMS.iter().copied().collect();
    let mut wrong = Vec::new();
    let mut used = std::collections::BTreeSet::new();
    for (room, path, text) in engine() {
        let allowed = table
            .get(room.as_str())
            .unwrap_or_else(|| panic!("{room} is not in the table of rooms"));
        for (place, _) in text.match_indices("crate::") {
            let rest = &text[place + "crate::".len()..];
            let names: Vec<String> = match rest.strip_prefix('{') {
                Some(list) => {
                    let list = &list[..list.find("};").unwrap_or(list.len())];
                    list.split(',')
                        .map(|name| name.trim().split("::").next().unwrap_or("").to_owned())
                        .collect()
                }
                None => vec![
                    rest.split(|c: char| !c.is_alphanumeric() && c != '_')
                        .next()
                        .unwrap_or("")
                        .to_owned(),
                ],
            };
            for name in names.iter().filter(|name| table.contains_key(name.as_str())) {
                used.insert((room.clone(), name.clone()));
                if *name != room && !allowed.contains(&name.as_str()) {
                    wrong.push(format!("{} imports {name}", path.display()));
                }
            }
        }
    }
    // The table is exact: what is allowed is used.
    for (room, allowed) in ROOMS {
        for name in *allowed {
            if !used.contains(&((*room).to_owned(), (*name).to_owned())) {
                wrong.push(format!("{room} may import {name} and does not"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    for (index, (room, allowed)) in ROOMS.iter().enumerate() {
        for name in *allowed {
            assert!(
                ROOMS[..index].iter().any(|(lower, _)| lower == name),
                "{room} is below {name}"
            );
        }
    }
}

/// What only one room may name.
#[test]
fn each_library_has_one_room() {
    let only = [
        ("std::fs", &["files"][..]),
        ("rhai::", &["script"][..]),
        ("calamine::", &["workbook"][..]),
        ("cfb::", &["workbook"][..]),
        ("rust_xlsxwriter::", &["workbook"][..]),
        ("clap::", &["command"][..]),
        ("rustyline::", &["command"][..]),
        ("spade::", &["survey"][..]),
        ("rstar::", &["survey"][..]),
        ("stdout()", &["command"][..]),
        ("stderr()", &["command"][..]),
        ("SystemTime", &[][..]),
        ("HashMap", &[][..]),
        ("unsafe ", &[][..]),
    ];
    for (room, path, text) in engine() {
        for (word, rooms) in &only {
            assert!(
                !text.contains(word) || rooms.contains(&room.as_str()),
                "{} names {word}",
                path.display()
            );
        }
    }
}

/// The name of a type that a line declares for others to see.
fn declared(line: &str) -> Option<&str> {
    let mut words = line.trim_start().split(|c: char| !(c.is_alphanumeric() || c == '_'));
    if words.next()? != "pub" {
        return None;
    }
    let mut words = words.filter(|word| !matches!(*word, "" | "super" | "crate"));
    let kind = words.next()?;
    matches!(kind, "struct" | "enum" | "trait" | "type").then(|| words.next()).flatten()
}

#[test]
fn a_type_name_stands_for_one_thing() {
    assert_eq!(declared("    pub enum Spacing, \"spacing\" {"), Some("Spacing"));
    assert_eq!(declared("pub(super) struct Row {"), Some("Row"));
    assert_eq!(declared("pub fn row() {"), None);
    let mut known: BTreeMap<String, String> = BTreeMap::new();
    let mut twice = Vec::new();
    for (_, path, text) in engine() {
        for name in text.lines().filter_map(declared) {
            let here = path.display().to_string();
            if let Some(other) = known.insert(name.to_owned(), here.clone()) {
                twice.push(format!("{name}: {other} and {here}"));
            }
        }
    }
    assert!(known.len() > 200, "{}", known.len());
    assert_eq!(twice, Vec::<String>::new());
}
