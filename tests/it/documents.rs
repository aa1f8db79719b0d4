//! Pages that are made from the code are current, and what they promise holds.

use std::path::{Path, PathBuf};

use rodbook::catalogue::functions;
use rodbook::glossary::{TERMS, glossary_page};
use rodbook::job::{bundled_keys, key_tables, keys_page};
use rodbook::script::{definitions, reference};
use rodbook::source;

fn file(name: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name))
        .unwrap_or_else(|error| panic!("{name}: {error}"))
}

#[test]
fn generated_pages_are_current() {
    assert_eq!(file("scripts/REFERENCE.md"), reference(), "run: cargo run -- generate");
    assert_eq!(file("scripts/editor/rodbook.d.rhai"), definitions(), "run: cargo run -- generate");
    assert_eq!(file("templates/GLOSSARY.md"), glossary_page(), "run: cargo run -- generate");
    assert_eq!(file("templates/JOB.md"), keys_page(), "run: cargo run -- generate");
    let listings = rodbook::listing::listings_page(rodbook::job::declared());
    assert_eq!(file("templates/LISTINGS.md"), listings, "run: cargo run -- generate");
}

#[test]
fn every_function_is_documented_in_six_parts() {
    for function in functions() {
        let name = function.name;
        assert!(
            function.summary.ends_with('.') && function.summary.starts_with(char::is_uppercase),
            "{name}"
        );
        assert!(
            source::find(function.source).is_some(),
            "{name}: source {} is not on the list",
            function.source
        );
        assert!(function.parameters.iter().all(|parameter| !parameter.about.is_empty()), "{name}");
        assert!(!function.result_about.is_empty(), "{name}");
        let entry = rodbook::script::entry(function);
        let errors = entry.split("\nErrors: ").nth(1).and_then(|rest| rest.lines().next());
        assert!(errors.is_some_and(|errors| errors.len() > 10), "{name}: its errors");
        assert!(function.example.contains(name) && !function.prints.is_empty(), "{name}");
    }
}

#[test]
fn every_key_has_a_table() {
    for key in bundled_keys() {
        let (table, _) = key.path.rsplit_once('.').expect("a table");
        assert!(key_tables().any(|known| known.path == table), "{}", key.path);
    }
}

#[test]
fn the_readme_keeps_its_promises() {
    let readme = file("README.md");
    for words in
        ["cargo run --release -- takeoff examples/tarrow-bench", "cargo test", "does not do"]
    {
        assert!(readme.contains(words), "{words}");
    }
    for link in readme.split("](").skip(1) {
        let target = link.split(')').next().unwrap_or("");
        if !target.starts_with("http") {
            assert!(Path::new(env!("CARGO_MANIFEST_DIR")).join(target).exists(), "{target}");
        }
    }
}

/// Sources never name loads as safe, adequate or passing.
#[test]
fn no_verdict_on_safety_is_printed() {
    let done =
        crate::support::run(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench"));
    let text = done.json.to_string().to_lowercase();
    for word in ["\"safe", " safe ", "adequate", " pass "] {
        assert!(!text.contains(word), "{word}");
    }
}

/// All files under a folder.
fn files_under(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() { files_under(&path, found) } else { found.push(path) }
    }
}

/// What a person reads of a line: prose without code, or else what stands in quotation marks.
fn read_by_people(name: &str, line: &str) -> String {
    let (mark, prose) = match name.rsplit('.').next() {
        Some("md" | "snap" | "csv") => ('`', 0),
        _ => ('"', 1),
    };
    let parts = line.split(mark).enumerate().filter(|(at, _)| at % 2 == prose);
    parts.map(|(_, part)| part).collect::<Vec<_>>().join(" | ").to_lowercase()
}

/// One word for one thing: what the glossary does not use stands in no page, script, guide, description or output.
#[test]
fn words_are_those_of_the_glossary() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = vec![root.join("README.md")];
    for folder in ["templates", "scripts", "examples", "tests/it/snapshots"] {
        files_under(&root.join(folder), &mut files);
    }
    let ends = ["md", "toml", "csv", "rhai", "snap"];
    files.retain(|path| path.extension().is_some_and(|end| ends.iter().any(|it| end == *it)));
    assert!(files.len() > 100, "{}", files.len());
    let mut found = Vec::new();
    for path in &files {
        let name = path.strip_prefix(root).expect("inside").display().to_string();
        for line in file(&name).lines() {
            let said = read_by_people(&name, line);
            for (term, not) in
                TERMS.iter().flat_map(|term| term.not.iter().map(move |not| (term, not)))
            {
                let bare = |end: Option<char>| end.is_none_or(|it| !it.is_alphanumeric());
                let alone = |(at, _): (usize, &str)| {
                    bare(said[..at].chars().next_back())
                        && bare(said[at + not.len()..].chars().next())
                };
                if said.match_indices(not).any(alone) {
                    found.push(format!("{name}: \"{not}\" for {}: {said}", term.word));
                }
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}
