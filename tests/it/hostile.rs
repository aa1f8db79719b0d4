//! Folders, files and scripts of strangers: nothing outside the job is read or written, nothing hides a caution, nothing
//! runs for ever.

use std::path::Path;
use std::process::Command;

use crate::support::Folder;

/// The demo in a folder of its own, with one text of job.toml replaced.
fn demo(old: &str, new: &str) -> Folder {
    let folder = Folder::new();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    for name in ["job.toml", "shots.csv", "shots.xlsx", "per_foot.rhai", "pour.csv", "walls.csv"] {
        folder.write(&format!("job/{name}"), std::fs::read(from.join(name)).expect("the demo"));
    }
    let text = std::fs::read_to_string(from.join("job.toml")).expect("settings");
    assert!(text.contains(old), "{old}");
    folder.write("job/job.toml", text.replacen(old, new, 1));
    folder
}

fn run(folder: &Folder, args: &[&str]) -> (i32, String) {
    let run = Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .args(args)
        .current_dir(&folder.0)
        .output()
        .expect("the program runs");
    let said = [run.stdout, run.stderr].concat();
    (run.status.code().unwrap_or(-1), String::from_utf8_lossy(&said).into_owned())
}

fn refused(folder: &Folder, args: &[&str], words: &[&str]) {
    let (code, said) = run(folder, args);
    assert!(matches!(code, 1 | 4), "{code} {said}");
    for word in words {
        assert!(said.contains(word), "{word}: {said}");
    }
}

#[test]
fn files_outside_the_job_are_read_where_the_command_line_says_so() {
    let folder = demo("file = \"shots.xlsx\"", "file = \"../list.csv\"");
    std::fs::rename(folder.0.join("job/shots.csv"), folder.0.join("list.csv")).expect("moved");
    refused(&folder, &["check", "job"], &["../list.csv", "outside the job folder", "--read-from"]);
    let (code, said) = run(&folder, &["check", "job", "--read-from", "."]);
    assert_eq!(code, 0, "{said}");
    let folder = demo("[job]\n", "[job]\ncompany = \"/etc\"\n");
    refused(&folder, &["check", "job"], &["job.toml:", "called company", "--company \"/etc\""]);
    let folder = demo("[job]\n", "[job]\ncompany = \"../company\"\n");
    refused(&folder, &["check", "job"], &["there is no such company folder"]);
    std::fs::create_dir(folder.0.join("company")).expect("a folder");
    assert_eq!(run(&folder, &["check", "job"]).0, 0);
}

#[cfg(unix)]
#[test]
fn links_lead_nowhere_else() {
    use std::os::unix::fs::symlink;
    let folder = demo("file = \"shots.xlsx\"", "file = \"shots.csv\"");
    let list = folder.0.join("job/shots.csv");
    std::fs::rename(&list, folder.0.join("list.csv")).expect("moved");
    symlink("../list.csv", &list).expect("a link");
    refused(&folder, &["check", "job"], &["outside the job folder"]);
    let folder = demo("[job]\n", "[job]\n");
    symlink("/usr", folder.0.join("company")).expect("a link");
    refused(&folder, &["check", "job"], &["the company folder is a link", "--company"]);
    // A workbook that is a link is neither followed nor replaced; one that is protected stays.
    let folder = demo("[job]\n", "[job]\n");
    folder.write("victim", "theirs");
    symlink("../victim", folder.0.join("job/takeoff.xlsx")).expect("a link");
    refused(&folder, &["takeoff", "job", "--replace"], &["is a link"]);
    assert_eq!(std::fs::read_to_string(folder.0.join("victim")).expect("a text"), "theirs");
    refused(&folder, &["shots", "/dev/zero"], &["a pipe or a device"]);
}

#[cfg(unix)]
#[test]
fn a_file_is_written_beside_what_lies_there() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = Folder::new();
    let target = folder.write("t.xlsx", "old");
    let victim = folder.write("victim", "theirs");
    for number in 0..3 {
        let planted = format!(".t.xlsx.{}-{number}.part", std::process::id());
        symlink(&victim, folder.0.join(planted)).expect("a link");
    }
    std::fs::set_permissions(&target, PermissionsExt::from_mode(0o640)).expect("a mode");
    rodbook::files::write_atomic(&target, b"new").expect("written");
    let mode = std::fs::metadata(&target).expect("a file").permissions().mode() & 0o777;
    assert_eq!((std::fs::read(&target).expect("a file"), mode), (b"new".to_vec(), 0o640));
    assert_eq!(std::fs::read_to_string(&victim).expect("a text"), "theirs");
    std::fs::set_permissions(&target, PermissionsExt::from_mode(0o440)).expect("a mode");
    let faults = rodbook::files::write_atomic(&target, b"newer").expect_err("protected");
    assert!(faults.to_string().contains("write-protected"), "{faults}");
    assert_eq!(std::fs::read(&target).expect("a file"), b"new");
    // What a stopped run left long ago is cleared away, what a running one has is not.
    let left = folder.write(".u.xlsx.99-0.part", "left");
    let running = folder.write(".u.xlsx.98-0.part", "running");
    let file = std::fs::File::options().write(true).open(&left).expect("a file");
    let old = std::fs::metadata(&running).expect("a file").modified().expect("a time")
        - std::time::Duration::from_secs(4000);
    file.set_modified(old).expect("a time");
    rodbook::files::write_atomic(&folder.0.join("u.xlsx"), b"new").expect("written");
    assert!(!left.exists() && running.exists());
    // Beyond a limit of file sizes there is a message, and the old workbook.
    let folder = demo("[job]\n", "[job]\n");
    assert_eq!(run(&folder, &["takeoff", "job"]).0, 0);
    let before = std::fs::read(folder.0.join("job/takeoff.xlsx")).expect("a workbook");
    let command = format!("ulimit -f 8; exec {} takeoff job", env!("CARGO_BIN_EXE_rodbook"));
    let run = Command::new("bash").args(["-c", &command]).current_dir(&folder.0).output();
    let run = run.expect("a shell");
    let said = String::from_utf8_lossy(&run.stderr).into_owned();
    assert!(run.status.code() == Some(4) && said.contains("files of this user"), "{said}");
    assert_eq!(std::fs::read(folder.0.join("job/takeoff.xlsx")).expect("a workbook"), before);
}

#[test]
fn an_output_is_no_input() {
    let folder = demo("[job]\n", "[job]\n");
    for out in ["job/shots.xlsx", "job/../job/shots.xlsx", "./job/./shots.xlsx"] {
        refused(&folder, &["takeoff", "job", "--out", out, "--replace"], &["read as an input"]);
    }
    refused(&folder, &["takeoff", "job", "--out", "job/pour.csv"], &["ends in .xlsx"]);
    let args = ["what-if", "job", "--set", "bid.profit=9", "--out", "job/shots.xlsx"];
    assert_eq!(run(&folder, &args).0, 4);
}

#[test]
fn control_characters_stay_out_of_the_terminal() {
    let folder = demo("name = \"", "name = \"\\u001b[2J\\u009b8m\\u202e");
    let (code, said) = run(&folder, &["check", "job"]);
    assert!(code == 0 && said.starts_with("\\u001b[2J\\u009b8m\\u202eTarrow"), "{said}");
    let json = Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .args(["takeoff", "job", "--json"])
        .current_dir(&folder.0)
        .output();
    let json: serde_json::Value =
        serde_json::from_slice(&json.expect("the program runs").stdout).expect("JSON");
    assert!(json["job"].as_str().is_some_and(|name| name.starts_with("\u{1b}[2J\u{9b}8m\u{202e}")));
    folder.write("job/pour.csv", "what,name,unit,formula\n\u{1b}[8m,a,usd,\u{1b}]52;c;x\u{7}\n");
    let (_, said) = run(&folder, &["sheet", "job/pour.csv"]);
    let hidden = |c: char| c.is_control() && c != '\n';
    assert!(!said.contains(hidden) && said.contains("\\u001b"), "{said}");
    // A name with such a letter makes a job that can be read.
    let list = folder.write("a\u{1b}b.csv", "point,northing,easting,elevation\n1,1.5,2.5,3.5\n");
    let (code, said) = run(&folder, &["new", "made", "--shots", list.to_str().expect("UTF-8")]);
    assert_eq!(code, 0, "{said}");
    let made = std::fs::read_to_string(folder.0.join("made/job.toml")).expect("settings");
    assert!(made.parse::<toml::Table>().is_ok(), "{made}");
}

#[test]
fn names_of_any_language_and_titles_of_any_letter() {
    let folder = demo(
        "[workbook]\n",
        "[[sheet]]\nname = \"more\"\nfile = \"Prüfung, 2 März.csv\"\ntitle = \"a\\u0007\\ufffe🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱🧱\"\n[[sheet]]\nname = \"last\"\nfile = \"my sheets/last.csv\"\ntitle = \"History\"\n[workbook]\n",
    );
    let sum: Vec<String> = (0..3000).map(|n| format!("c{n}")).collect();
    let rows: String = (0..3000).map(|n| format!("\u{fffe},c{n},usd,1\n")).collect();
    folder.write("job/Prüfung, 2 März.csv", "what,name,unit,formula\nx,x,usd,12.50\n");
    let table = format!(
        "what,name,unit,formula\n{rows}all,all,usd,{}\n",
        format_args!("\"sum([{}])\"", sum.join(", "))
    );
    folder.write("job/my sheets/last.csv", table);
    let (code, said) = run(&folder, &["takeoff", "job"]);
    assert_eq!(code, 0, "{said}");
    use calamine::Reader;
    let mut book: calamine::Xlsx<_> =
        calamine::open_workbook(folder.0.join("job/takeoff.xlsx")).expect("a sound workbook");
    let names = book.sheet_names();
    assert!(names.contains(&"History sheet".to_owned()), "{names:?}");
    for name in names {
        assert!(name.encode_utf16().count() <= 31, "{name}");
        let formulas = book.worksheet_formula(&name).expect("a sound sheet");
        let longest = formulas.cells().map(|(_, _, text)| text.chars().count()).max();
        assert!(longest.unwrap_or(0) < 8192, "{name}: {longest:?}");
    }
}

#[test]
fn pages_that_name_nothing() {
    let folder = demo("[job]\n", "[job]\n");
    let page = "sheet = \"Steps\"\ntitle = \"x\"\nwidths = [8.0]\n[[block]]\nrecords = \"stepz\"\n[[block]]\nrecords = \"steps\"\ncolumns = [{ field = \"wal\", at = 70, places = 30 }]\n[[block]]\nfacts = [{ label = \"x\", line = \"footing.totl\" }]\n";
    folder.write("job/2-steps.toml", page);
    let words = [
        "2-steps.toml:5:1",
        "did you mean steps?",
        "no column \"wal\"",
        "did you mean wall?",
        "did you mean footing.total?",
        "column 70 is beyond",
        "30 decimals",
    ];
    refused(&folder, &["check", "job"], &words);
}

#[test]
fn workbooks_that_lie() {
    let changed = |part: &str, change: &dyn Fn(&str) -> String| {
        use std::io::{Cursor, Read, Write};
        let file = match part.contains("shared") {
            true => "tests/data/shots/ri_marsh_transitions.xlsx",
            false => "examples/tarrow-bench/shots.xlsx",
        };
        let sound = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(file));
        let sound = sound.expect("the list");
        let mut from = zip::ZipArchive::new(Cursor::new(&sound[..])).expect("an archive");
        let mut to = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for index in 0..from.len() {
            let mut member = from.by_index(index).expect("a member");
            let name = member.name().expect("a name").into_owned();
            let mut bytes = Vec::new();
            member.read_to_end(&mut bytes).expect("whole");
            if name == part {
                bytes = change(&String::from_utf8(bytes).expect("a text")).into_bytes();
            }
            to.start_file(name, zip::write::SimpleFileOptions::default()).expect("a member");
            to.write_all(&bytes).expect("written");
        }
        to.finish().expect("an archive").into_inner()
    };
    let folder = Folder::new();
    let sheet = "xl/worksheets/sheet1.xml";
    for (number, (part, old, new, word)) in [
        (sheet, "r=\"A8\"", "r=\"A99999999999\"", "an address that no sheet has"),
        (sheet, "r=\"A8\"", "r=\"ZZZZZZZZ8\"", "an address that no sheet has"),
        ("xl/sharedStrings.xml", "uniqueCount=\"", "uniqueCount='4000000000' x=\"", "more texts"),
        (
            "xl/sharedStrings.xml",
            "uniqueCount=\"",
            "uniqueCount = \"18000000000000000000\" x=\"",
            "more texts",
        ),
        (
            "xl/sharedStrings.xml",
            "<sst",
            &format!("<!--{}--><sst uniqueCount=\"4000000000\" ", "x".repeat(3000)),
            "more texts",
        ),
    ]
    .into_iter()
    .enumerate()
    {
        let bytes = changed(part, &|text| {
            assert!(text.contains(old), "{part} has no {old}");
            text.replacen(old, new, 1)
        });
        folder.write(&format!("{number}.xlsx"), bytes);
        refused(&folder, &["shots", &format!("{number}.xlsx")], &[word, &format!("{number}.xlsx")]);
    }
}

#[test]
fn scripts_are_bounded() {
    let folder = Folder::new();
    let start = std::time::Instant::now();
    folder.write("grow.rhai", "let s = \"a\"; s.pad(65536, 'a'); s.replace(\"a\", s); s.len()");
    refused(&folder, &["run", "grow.rhai"], &["too much memory", "grow.rhai:1:"]);
    folder.write("talk.rhai", "let s = \"a\"; s.pad(500000, 'a'); for n in 0..4000 { print(s); }");
    refused(&folder, &["run", "talk.rhai"], &["printed more than a million letters"]);
    // What a function that is passed on does is counted apart by the language.
    for (name, text) in [
        (
            "filter.rhai",
            "let a = []; for i in 0..99999 { a.push(i); } loop { a.filter(|x| x > 0); }",
        ),
        ("within.rhai", "let a = []; a.pad(99999, 7); let n = 0; loop { if -1 in a { n += 1; } }"),
        ("sort.rhai", "let a = []; for i in 0..9999 { a.push(i); } loop { a.sort(|x, y| y - x); }"),
    ] {
        let began = std::time::Instant::now();
        folder.write(name, text);
        let words = ["all the time that they may take", name];
        refused(&folder, &["run", name, "--script-time", "1"], &words);
        assert!(began.elapsed().as_secs() < 15, "{name}: {:?}", began.elapsed());
    }
    let folder = demo("[job]\n", "[job]\n");
    let slow = "fn overlap(step) { let list = []; list.pad(90000, 1); let n = 0; while n < 400 { if list.contains(2) { n += 1000; } n += 1; } () }";
    folder.write("job/scripts/overlap.rhai", slow);
    let words = ["all the time that they may take", "--script-time"];
    refused(&folder, &["check", "job", "--script-time", "1"], &words);
    assert!(start.elapsed().as_secs() < 60, "{:?}", start.elapsed());
    // What a wall case prints is shown, and is no part of the JSON.
    let folder = demo("[job]\n", "[job]\n");
    let case = include_str!("../../scripts/stepped_wall.rhai");
    let case = case.replacen("let t = new_takeoff", "print(\"hello\"); let t = new_takeoff", 1);
    folder.write("job/scripts/stepped_wall.rhai", case);
    let (code, said) = run(&folder, &["check", "job"]);
    assert!(code == 0 && said.contains("printed   hello"), "{said}");
    let json = Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .args(["takeoff", "job", "--json"])
        .current_dir(&folder.0)
        .output();
    let json = json.expect("the program runs").stdout;
    assert!(serde_json::from_slice::<serde_json::Value>(&json).is_ok());
}

/// What the language does not count: maps that grow, functions that hold lists.
#[cfg(target_os = "linux")]
#[test]
fn scripts_hold_no_more_memory_than_they_may() {
    let folder = Folder::new();
    for (name, text) in [
        (
            "held.rhai",
            "let out = []; loop { let big = []; big.pad(9000, 12345); let f = || big; out.push(f); }",
        ),
        (
            "map.rhai",
            "let m = #{}; let n = 0; loop { m[\"a long key that takes some room of its own \" + n] = n; n += 1; }",
        ),
    ] {
        folder.write(name, text);
        let command =
            format!("ulimit -v 1500000; exec {} run {name}", env!("CARGO_BIN_EXE_rodbook"));
        let run = Command::new("bash").args(["-c", &command]).current_dir(&folder.0).output();
        let run = run.expect("a shell");
        let said = String::from_utf8_lossy(&run.stderr).into_owned();
        assert!(run.status.code() == Some(1) && said.contains(&format!("{name}:1:")), "{said}");
    }
}

/// An ods of a few bytes that says how often its one row is repeated.
#[test]
fn an_ods_that_repeats_itself() {
    use std::io::{Cursor, Write};
    let rows = "<table:table-row table:number-rows-repeated=\"90000\"><table:table-cell table:number-columns-repeated=\"1000\" office:value-type=\"float\" office:value=\"1\"/></table:table-row>";
    let content = format!(
        "<?xml version=\"1.0\"?><office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\"><office:body><office:spreadsheet><table:table table:name=\"S\">{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
    );
    let mut book = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in [
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        (
            "META-INF/manifest.xml",
            "<?xml version=\"1.0\"?><manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"/>",
        ),
        ("content.xml", &content),
    ] {
        book.start_file(name, zip::write::SimpleFileOptions::default()).expect("a member");
        book.write_all(text.as_bytes()).expect("written");
    }
    let folder = Folder::new();
    folder.write("r.ods", book.finish().expect("an archive").into_inner());
    refused(&folder, &["shots", "r.ods"], &["r.ods", "this workbook cannot be read"]);
}
