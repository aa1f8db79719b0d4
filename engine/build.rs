//! Lists the scripts, templates and wall cases that ship inside the program: whatever lies in their folders.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

/// Folders and the ending of what is taken from them.
const FOLDERS: [(&str, &[&str]); 9] = [
    ("scripts", &["rhai"]),
    ("templates/workbook", &["toml"]),
    ("templates/papers/client", &["toml"]),
    ("templates/papers/engineer", &["toml"]),
    ("templates/papers/crew", &["toml"]),
    ("templates/papers/office", &["toml"]),
    ("templates/questions", &["toml"]),
    ("templates/sheets", &["csv"]),
    ("templates/starter", &["toml", "csv"]),
];

/// The jobs of the bundled wall cases: one in each folder, and its metric twin.
fn cases(root: &Path) -> io::Result<Vec<String>> {
    const CASES: &str = "examples/cases";
    // Their page changes with their list; workbooks and drawings beside the jobs change nothing.
    println!("cargo:rerun-if-changed={CASES}/README.md");
    let mut names = Vec::new();
    for entry in fs::read_dir(root.join(CASES))? {
        let folder = entry?.path();
        let Some(name) = folder.file_name().and_then(|name| name.to_str()) else { continue };
        for (within, of) in [(folder.clone(), ""), (folder.join("metric"), "metric/")] {
            let Ok(files) = fs::read_dir(within) else { continue };
            for file in files {
                let path = file?.path();
                let file = path.file_name().and_then(|file| file.to_str());
                // Settings alone: a workbook written beside them changes nothing.
                let Some(file) = file.filter(|file| file.ends_with(".toml")) else { continue };
                println!("cargo:rerun-if-changed={CASES}/{name}/{of}{file}");
                names.push(format!("{CASES}/{name}/{of}{file}"));
            }
        }
    }
    names.sort();
    Ok(names)
}

#[expect(clippy::disallowed_methods, reason = "what cargo tells a build script stands there")]
fn main() -> io::Result<()> {
    let root = PathBuf::from(env::var("CARGO_MANIFEST_DIR").map_err(io::Error::other)?);
    let out = PathBuf::from(env::var("OUT_DIR").map_err(io::Error::other)?);
    let mut list = String::from("&[\n");
    for (folder, endings) in FOLDERS {
        println!("cargo:rerun-if-changed={folder}");
        let mut names = Vec::new();
        for entry in fs::read_dir(root.join(folder))? {
            let path = entry?.path();
            let ending = path.extension().and_then(|ending| ending.to_str());
            if ending.is_some_and(|ending| endings.contains(&ending)) {
                names.extend(path.file_name().and_then(|name| name.to_str()).map(str::to_owned));
            }
        }
        names.sort();
        for name in names {
            let file = root.join(Path::new(folder)).join(&name);
            // Writing to a string cannot fail.
            let _ =
                writeln!(list, "    ({:?}, include_str!({:?})),", format!("{folder}/{name}"), file);
        }
    }
    for name in cases(&root)? {
        let _ = writeln!(list, "    ({name:?}, include_str!({:?})),", root.join(&name));
    }
    list += "]\n";
    fs::write(out.join("embedded.rs"), list)
}
