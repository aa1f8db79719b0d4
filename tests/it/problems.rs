//! Bad input: what a person reads for each. One case a fault; the wording is held by the snapshots.

use rodbook::job::{Job, OpenOptions, work};
use rust_xlsxwriter::{Formula, Workbook};

use crate::support::{Folder, without_folder};

/// The bundled starter, the smallest whole job.
fn starter(name: &str) -> String {
    rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled").to_owned()
}

/// What opening and working a job folder says, without the folder's name.
fn says(folder: &Folder) -> String {
    let options = OpenOptions::default();
    let result = Job::open(&folder.0, &options).and_then(|job| work(&job, &|_| {}));
    let text = match result {
        Ok(done) if done.no_layout.is_empty() => "worked".to_owned(),
        Ok(done) => format!("no layout\n{}", done.no_layout),
        Err(faults) => faults.to_string(),
    };
    without_folder(&text, &folder.0, "JOB")
}

fn with_job(change: impl Fn(&str) -> String) -> String {
    let folder = Folder::new();
    let job = change(&starter("job.toml"));
    folder.write("job.toml", job);
    folder.write("shots.csv", starter("shots.csv"));
    says(&folder)
}

fn with_shots(shots: impl AsRef<[u8]>) -> String {
    let folder = Folder::new();
    folder.write("job.toml", starter("job.toml"));
    folder.write("shots.csv", shots);
    says(&folder)
}

/// The starter with more keys under [shots], on another list; its own unit and codes where the list has codes.
fn with_both(keys: &str, shots: &str) -> String {
    let folder = Folder::new();
    let job = starter("job.toml").replacen("reach = \"6 ft\"", "#", 1);
    let job = if shots == ROD_LIST && keys.is_empty() {
        job.replacen("length_unit = \"ft\"", "#", 1)
    } else {
        job
    };
    folder.write("job.toml", job.replacen("\n# A line that", &format!("{keys}\n# A line that"), 1));
    folder.write("shots.csv", shots);
    says(&folder)
}

/// Every reading written with the sign of a height.
const ROD_LIST: &str = "station,rod,code\n0,-2.0,FL\n0,-5.0,TP\n0,-1.0,EG\n";

/// The starter with existing ground from a surface through its shots.
fn with_ground(surface: &str, keys: &str) -> String {
    let ground = format!("[ground.existing]\nsurface = \"{surface}\"\n{keys}\n[benchmark]");
    replaced("[benchmark]", &ground)
}

fn with_workbook(bytes: &[u8], settings: &str) -> String {
    let folder = Folder::new();
    let job = starter("job.toml")
        .replace("file = \"shots.csv\"", &format!("file = \"list.xlsx\"\n{settings}"));
    folder.write("job.toml", job);
    folder.write("list.xlsx", bytes);
    says(&folder)
}

fn replaced(from: &str, to: &str) -> String {
    with_job(|job| {
        assert!(job.contains(from), "{from}");
        job.replacen(from, to, 1)
    })
}

#[test]
fn the_starter_works() {
    assert_eq!(with_job(str::to_owned), "worked");
}

#[test]
fn settings() {
    let cases = [
        ("no TOML", with_job(|job| job.replacen("[shots]", "[shots", 1))),
        ("an unknown key", replaced("frost_depth =", "frost_dept =")),
        (
            "a length without unit, twice",
            with_job(|job| {
                job.replacen("\"2.00 ft\"", "\"2.25\"", 1).replacen(
                    "shortest_run = \"4 ft\"",
                    "shortest_run = 4",
                    1,
                )
            }),
        ),
        ("an ambiguous length", replaced("\"5'-6\"", "\"5-18\"")),
        ("out of range", replaced("frost_depth = \"2.00 ft\"", "frost_depth = \"200 ft\"")),
        ("a missing table", with_job(|job| job.replacen("[module]", "[modul]", 1))),
        ("another currency", replaced("\"212 usd/cy\"", "\"212 eur/m3\"")),
        ("a wrong dimension", replaced("\"212 usd/cy\"", "\"212 usd/ft\"")),
        ("no rate", with_job(|job| job.replace("dig = \"21 usd/cy\"\n", ""))),
        (
            "a wall of zero length",
            replaced(
                "{ id = \"B\", east = \"40 ft\", north = \"0 ft\" }",
                "{ id = \"B\", east = \"0 ft\", north = \"0 ft\" }",
            ),
        ),
        ("a corner with a gap", replaced("id = \"W2\"\nfrom = \"B\"", "id = \"W2\"\nfrom = \"C\"")),
        ("an unknown point", replaced("from = \"B\"", "from = \"BB\"")),
        (
            "a corner that is not square",
            replaced("{ id = \"C\", east = \"40 ft\"", "{ id = \"C\", east = \"52 ft\""),
        ),
        (
            "walls in one line",
            replaced(
                "{ id = \"C\", east = \"40 ft\", north = \"24 ft\" }",
                "{ id = \"C\", east = \"80 ft\", north = \"0 ft\" }",
            ),
        ),
        ("overlapping type rows", replaced("stem_up_to = \"9 ft\"", "stem_up_to = \"6 ft\"")),
        (
            "a top off the joints",
            replaced(
                "tops = [{ from = \"0 ft\", top = \"103'-0\" }]",
                "tops = [{ from = \"0 ft\", top = \"103'-0\" }, { from = \"10 ft\", top = \"102 ft\" }]",
            ),
        ),
        (
            "corner clearance under an overlap",
            replaced("corner_clear = \"4 ft\"", "corner_clear = \"6 in\""),
        ),
        ("a huge number", replaced("\"95.00 ft\"", "\"95000000000000000000000 ft\"")),
        ("a bad date", replaced("units = \"us\"", "bid_date = \"25.11.2026\"\nunits = \"us\"")),
        ("one code for two lines", replaced("bearing = \"TP\"", "bearing = \"EG\"")),
        ("no bearing at all", replaced("bearing = \"TP\", ", "")),
        (
            "derived in a circle",
            replaced(
                "[benchmark]",
                "[ground]\nbearing = { from = \"existing\", below = \"1 ft\" }\n[benchmark]",
            ),
        ),
        ("no such case", replaced("units = \"us\"", "case = \"stepped_walls\"\nunits = \"us\"")),
        ("frost too deep", replaced("frost_depth = \"2.00 ft\"", "frost_depth = \"4.00 ft\"")),
        ("no type tall enough", replaced("top = \"103'-0\"", "top = \"120'-0\"")),
        ("runs too long", replaced("shortest_run = \"4 ft\"", "shortest_run = \"100 ft\"")),
        ("a layback too flat", replaced("layback = \"1-1/2:1\"", "layback = \"100:1\"")),
        ("keys without end", with_job(|job| format!("{}x = 1\n{job}", "a.".repeat(50_000)))),
        ("a folder in place of the case", {
            let folder = Folder::new();
            folder.write("job.toml", starter("job.toml"));
            folder.write("shots.csv", starter("shots.csv"));
            folder.write("stepped_wall.rhai/note.txt", "");
            says(&folder)
        }),
    ];
    let all: Vec<String> = cases.iter().map(|(what, said)| format!("# {what}\n{said}")).collect();
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn shot_lists() {
    let shots = starter("shots.csv");
    let swapped = shots.lines().map(|line| {
        let cells: Vec<&str> = line.split(',').collect();
        format!("{},{},{},{},{}", cells[0], cells[2], cells[1], cells[3], cells[4])
    });
    let swapped =
        swapped.collect::<Vec<_>>().join("\n").replacen("easting,northing", "northing,easting", 1);
    let far = shots.replace(".0,", ".5,");
    let cases = [
        ("an empty file", with_shots("")),
        ("blank lines only", with_shots("\n\n , ,\n")),
        ("not UTF-8", with_shots(b"point,northing,easting,elevation,code\n1,2,3,4,d\xe9part\n")),
        ("no elevation column", with_shots(shots.replacen("elevation", "remark 1", 1))),
        ("two elevation columns", with_shots("pt,N,E,Z,elevation,code\n1,0,0,1,1,EG\n")),
        (
            "headings of another kind of list",
            with_shots("TapeDist,InvertRod,Note\n0,-5.26,a\n1,-4.1,b\n"),
        ),
        ("units that differ", with_shots(shots.replacen("elevation", "elevation (m)", 1))),
        (
            "another unit than the job's",
            with_shots(shots.replacen(
                "northing,easting,elevation",
                "northing [m],easting [m],elevation [m]",
                1,
            )),
        ),
        ("no code of the job", with_shots(shots.replace(",EG", ",eg"))),
        ("a heading of the job that no column has", {
            with_both("columns = { northing = \"Nothing\" }", &shots)
        }),
        ("every shot far from every wall", with_both("reach = \"1 in\"", &far)),
        ("a surface without shots across", with_ground("sides", "")),
        ("a cut without a surface", with_ground("level", "toe = \"2 ft\"")),
        ("rod readings without set-up and unit", with_both("", ROD_LIST)),
        ("rod readings that are all negative", {
            with_both("[[shots.setup]]\nfrom_line = 2\ninstrument_height = \"100 ft\"", ROD_LIST)
        }),
        ("a key of [shots] under its set-ups", {
            let set_up = "[[shots.setup]]\nfrom_line = 2\ninstrument_height = \"100 ft\"\nmisclosure = \"1 in\"";
            with_both(set_up, ROD_LIST)
        }),
        ("a level note that does not close", {
            with_both(
                "",
                "point,station,BS,IS,FS,code,remark\nBM,0,4.2,,,,mark\n,0,,6.00,,FL,\n,0,,7.00,,PIT,\n,0,,5.00,,EG,\nBM,0,,,4.23,,\n",
            )
        }),
        ("N and E swapped", with_shots(swapped)),
        ("a file that is missing", {
            let folder = Folder::new();
            folder.write("job.toml", starter("job.toml"));
            says(&folder)
        }),
    ];
    let all: Vec<String> = cases.iter().map(|(what, said)| format!("# {what}\n{said}")).collect();
    insta::assert_snapshot!(all.join("\n"));
}

/// Rows that are no shots are not used one by one, each with its reason; the rest is used.
#[test]
fn rows_not_used() {
    let folder = Folder::new();
    folder.write("job.toml", starter("job.toml"));
    let bad = "20,inf,1,2,EG\n21,1,NaN,2,EG\n22,1,2,1e9,EG\n23,1,2,99999999999999999999999,EG\n24,1,,2,EG\n\
               25,2.0,9.5,100.4,EG\n25,2.0,9.5,101.4,EG\n1,-1.0,0.0,98.20,FL\n26,1,3,250,EG\n27,1,3,100,XX\n28,\"1,5\",3,100,EG\n";
    folder.write("shots.csv", starter("shots.csv") + bad);
    let job =
        Job::open(&folder.0, &OpenOptions::default()).unwrap_or_else(|faults| panic!("{faults}"));
    let report = job.wall_job.shots.as_ref().expect("a list");
    assert_eq!(report.rows(), 30);
    assert_eq!(report.used.len() + report.refused.len(), report.rows(), "no row is dropped");
    let show = |length| rodbook::footing::System::Us.show(length);
    let rows: Vec<String> = report
        .refused
        .iter()
        .map(|row| {
            format!(
                "{:>3} {:>3} {:<19} {}",
                row.line,
                row.id,
                row.reason.key(),
                row.reason.words(show)
            )
        })
        .collect();
    insta::assert_snapshot!(rows.join("\n"));
}

fn book(fill: impl Fn(&mut Workbook)) -> Vec<u8> {
    let mut book = Workbook::new();
    fill(&mut book);
    book.save_to_buffer().expect("a workbook")
}

#[test]
fn workbooks() {
    let list = |rows: &[[&str; 5]]| {
        let rows: Vec<[String; 5]> = rows.iter().map(|row| row.map(str::to_owned)).collect();
        book(move |book| {
            let sheet = book.add_worksheet();
            for (r, row) in rows.iter().enumerate() {
                for (c, cell) in row.iter().enumerate() {
                    sheet.write(r as u32, c as u16, cell.as_str()).expect("a cell");
                }
            }
        })
    };
    let good =
        list(&[["point", "northing", "easting", "elevation", "code"], ["1", "0", "1", "98", "FL"]]);
    let error_cells = book(|book| {
        let sheet = book.add_worksheet();
        for (c, head) in ["point", "northing", "easting", "elevation", "code"].iter().enumerate() {
            sheet.write(0, c as u16, *head).expect("a cell");
        }
        sheet.write(1, 0, 1).expect("a cell");
        sheet.write_formula(1, 1, Formula::new("=1/0").set_result("#DIV/0!")).expect("a cell");
    });
    // A sheet whose one far cell asks a careless reader for all memory.
    let far = book(|book| {
        let sheet = book.add_worksheet();
        sheet.write(0, 0, "point").expect("a cell");
        sheet.write(1_048_575, 16_383, 1).expect("a cell");
    });
    let cases = [
        ("a text under a workbook's name", with_workbook(b"point,northing\n1,2\n", "")),
        ("a damaged workbook", with_workbook(&good[..good.len() / 2], "")),
        ("a wrong sheet", with_workbook(&good, "sheet = \"Sheet2\"")),
        (
            "no sheet that is a list",
            with_workbook(&list(&[["a", "b", "c", "d", "e"], ["1", "2", "3", "4", "5"]]), ""),
        ),
        ("error cells only", with_workbook(&error_cells, "")),
        ("a far cell", with_workbook(&far, "")),
    ];
    let all: Vec<String> = cases.iter().map(|(what, said)| format!("# {what}\n{said}")).collect();
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn scripts_of_a_job() {
    let cases = [
        ("a case that loops", "fn takeoff(job) { loop { } }"),
        (
            "a case that adds feet to pounds",
            "fn takeoff(job) {\n    let a = 3.ft;\n    a + 5.lb\n}",
        ),
        ("a case without its function", "let a = 1;"),
        ("a case that returns something else", "fn takeoff(job) { 1 }"),
        ("a setting that is not there", "fn takeoff(job) { job[\"rules.frost_dept\"] }"),
        (
            "a line twice",
            "fn takeoff(job) {\n    let t = new_takeoff(job, least_cost_steps(job, ground_lines(job)));\n    t.add(\"a\", \"A\", 1.cy);\n    t.add(\"a\", \"A\", 1.cy);\n    t\n}",
        ),
        (
            "a sum of unlike lines",
            "fn takeoff(job) {\n    let t = new_takeoff(job, least_cost_steps(job, ground_lines(job)));\n    t.add(\"a\", \"A\", 1.cy);\n    t.add(\"b\", \"B\", 1.sf);\n    t.sum(\"c\", \"C\", [\"a\", \"b\"]);\n    t\n}",
        ),
    ];
    let run = |text: &str| {
        let folder = Folder::new();
        folder.write("job.toml", starter("job.toml"));
        folder.write("shots.csv", starter("shots.csv"));
        folder.write("stepped_wall.rhai", text);
        says(&folder)
    };
    let all: Vec<String> =
        cases.iter().map(|(what, text)| format!("# {what}\n{}", run(text))).collect();
    insta::assert_snapshot!(all.join("\n"));
}

/// The starter with tables added at its end.
fn added(text: &str) -> String {
    with_job(|job| format!("{job}\n{text}\n"))
}

#[test]
fn steps_by_hand() {
    let run = |wall: &str, from: &str, tof: &str, kind: &str| {
        format!(
            "[[drawn.runs]]\nwall = \"{wall}\"\nfrom = \"{from}\"\ntof = \"{tof}\"\ntype = \"{kind}\"\n"
        )
    };
    let job = starter("job.toml");
    let kind = job.split("[[type]]").nth(1).and_then(|t| t.split('"').nth(1)).expect("a type");
    let cases = [
        ("a drawn layout with a gap", added(&run("W1", "4 ft", "96 ft", kind))),
        ("an unknown type", added(&run("W1", "0 ft", "96 ft", "T99"))),
        ("an unknown wall", added(&run("W9", "0 ft", "96 ft", kind))),
        (
            "runs out of order",
            added(
                &(run("W1", "0 ft", "96 ft", kind)
                    + run("W1", "8 ft", "97 ft", kind).as_str()
                    + run("W1", "6 ft", "98 ft", kind).as_str()),
            ),
        ),
        (
            "an overlap without its riser",
            added(
                &(run("W1", "0 ft", "96 ft", kind)
                    + "[[drawn.overlaps]]\nwall = \"W1\"\nat = \"3 ft\"\noverlap = \"12 in\"\n"),
            ),
        ),
        (
            "a run at a wall's end",
            added(&(run("W1", "0 ft", "96 ft", kind) + run("W1", "40 ft", "97 ft", kind).as_str())),
        ),
        (
            "two overlaps at one riser",
            added(
                &(run("W1", "0 ft", "96 ft", kind)
                    + run("W1", "10 ft", "97 ft", kind).as_str()
                    + "[[drawn.overlaps]]\nwall = \"W1\"\nat = \"10 ft\"\noverlap = \"12 in\"\n[[drawn.overlaps]]\nwall = \"W1\"\nat = \"10 ft\"\noverlap = \"24 in\"\n"),
            ),
        ),
        (
            "an overlap beyond the start",
            added(
                &(run("W1", "0 ft", "97 ft", kind)
                    + run("W1", "10 ft", "96 ft", kind).as_str()
                    + "[[drawn.overlaps]]\nwall = \"W1\"\nat = \"10 ft\"\noverlap = \"30 ft\"\n"),
            ),
        ),
        (
            "locks that contradict each other",
            added(
                "[[lock]]\nwall = \"W1\"\nwhat = \"tof\"\nfrom = \"0 ft\"\nto = \"4 ft\"\ntof = \"95 ft\"\n[[lock]]\nwall = \"W1\"\nwhat = \"not tof\"\nfrom = \"0 ft\"\nto = \"4 ft\"\ntof = \"95 ft\"\n",
            ),
        ),
        (
            "a riser locked off the joints",
            added("[[lock]]\nwall = \"W1\"\nwhat = \"riser\"\nfrom = \"5'-1\\\"\"\n"),
        ),
        (
            "a lock off the levels",
            added(
                "[[lock]]\nwall = \"W1\"\nwhat = \"tof\"\nfrom = \"0 ft\"\nto = \"4 ft\"\ntof = \"96.3 ft\"\n",
            ),
        ),
        (
            "a lock without its stretch",
            added("[[lock]]\nwall = \"W1\"\nwhat = \"tof\"\nfrom = \"0 ft\"\n"),
        ),
        (
            "a lock beyond the wall",
            added(
                "[[lock]]\nwall = \"W1\"\nwhat = \"not tof\"\nfrom = \"0 ft\"\nto = \"4000 ft\"\ntof = \"96 ft\"\n",
            ),
        ),
        (
            "a ring that does not close",
            with_job(|job| job.replacen("earth_side", "shape = \"ring\"\nearth_side", 1)),
        ),
        (
            "a wall by points and by length",
            replaced("id = \"W2\"", "id = \"W2\"\nlength = \"9 ft\""),
        ),
    ];
    insta::assert_snapshot!(cases.map(|(what, text)| format!("# {what}\n{text}")).join("\n"));
}

#[test]
fn lists_of_other_shapes() {
    let along = "station,offset,Z,code\n0,1,99,EG\n4,1,98,EG\n";
    let with_setup = |setup: &str, list: &str| {
        let folder = Folder::new();
        folder.write("job.toml", format!("{}\n{setup}\n", starter("job.toml")));
        folder.write("shots.csv", list);
        says(&folder)
    };
    let shots = starter("shots.csv");
    let two_rows = {
        let (_, rest) = shots.split_once('\n').expect("a header");
        format!("Point,Coordinates,,Height,\nno,northing,easting,,code\n{rest}")
            .replace("Height", "elevation")
    };
    let cases = [
        ("a header in two rows", with_shots(two_rows)),
        (
            "latitude and longitude",
            with_shots("Name,Elevation,Latitude,Longitude\na,1,41.5,-71.2\n"),
        ),
        ("mixed units", with_shots("pt,N (ft),E (m),Z (ft),code\n1,0,0,1,EG\n")),
        ("stations outside the walls", with_shots(along.replace("\n4,", "\n4000,"))),
        ("a wall that is not there", with_shots("wall,station,Z,code\nW7,1,99,EG\nW7,2,99,EG\n")),
        ("rod readings without a set-up", with_shots("station,rod,code\n0,4.5,EG\n4,5.2,EG\n")),
        (
            "only turning points",
            with_setup(
                "[[shots.setup]]\nfrom_line = 1\ninstrument_height = \"104 ft\"",
                "station,rod,code\n0,4.5,TP\n4,5.2,TP\n",
            ),
        ),
        (
            "a set-up that says too much",
            with_setup(
                "[[shots.setup]]\nfrom_line = 1\ninstrument_height = \"104 ft\"\nelevation = \"100 ft\"",
                "station,rod,code\n0,4.5,EG\n",
            ),
        ),
        (
            "a set-up that begins too late",
            with_setup(
                "[[shots.setup]]\nfrom_line = 3\ninstrument_height = \"104 ft\"",
                "station,rod,code\n0,4.5,EG\n4,5.2,EG\n",
            ),
        ),
        (
            "a level note and set-ups in the job",
            with_setup(
                "[[shots.setup]]\nfrom_line = 2\ninstrument_height = \"120 ft\"",
                "point,station,bs,rod,fs,code\nBM,,4.2,,,BM\n1,2,,5.4,,EG\n",
            ),
        ),
        (
            "a set-up beyond the list",
            with_setup(
                "[[shots.setup]]\nfrom_line = 1\ninstrument_height = \"104 ft\"\n[[shots.setup]]\nfrom_line = 90\ninstrument_height = \"104 ft\"",
                "station,rod,code\n0,4.5,EG\n4,5.2,EG\n",
            ),
        ),
        (
            "a level note that does not close",
            with_shots("point,station,bs,rod,fs,code\nBM,,4.2,,,BM\n1,2,,5.4,,EG\nBM,,,,4.3,BM\n"),
        ),
        ("a quote that is never closed", with_shots("pt,N,E,Z,code\n1,2,3,4,EG\n2,\"5,6,7,EG\n")),
    ];
    insta::assert_snapshot!(cases.map(|(what, text)| format!("# {what}\n{text}")).join("\n"));
}

/// A small file that unpacks to more than any list: refused by its declared size, before anything is unpacked.
#[test]
fn a_workbook_that_unpacks_without_end() {
    use std::io::Write;
    let mut bomb = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default();
    bomb.start_file("xl/worksheets/sheet1.xml", options).expect("a part");
    let block = vec![b' '; 1 << 20];
    for _ in 0..210 {
        bomb.write_all(&block).expect("written");
    }
    let bytes = bomb.finish().expect("finished").into_inner();
    assert!(bytes.len() < 1 << 20, "a bomb is small: {}", bytes.len());
    let text = with_workbook(&bytes, "");
    assert!(text.contains("unpacked it is larger than any shot list"), "{text}");
}

/// A disk that is full half-way: the message says so, and no half-written workbook is left.
#[test]
#[cfg(unix)]
fn a_write_that_fails_half_way() {
    let folder = Folder::new();
    folder.write("job.toml", starter("job.toml"));
    folder.write("shots.csv", starter("shots.csv"));
    let script = format!(
        "trap '' XFSZ; ulimit -f 4; exec {} takeoff {}",
        env!("CARGO_BIN_EXE_rodbook"),
        folder.0.display()
    );
    let output =
        std::process::Command::new("bash").args(["-c", &script]).output().expect("a shell");
    let text = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(4), "{text}");
    assert!(text.contains("takeoff.xlsx"), "{text}");
    let left: Vec<String> = std::fs::read_dir(&folder.0)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    assert!(!left.iter().any(|name| name.contains("xlsx")), "{left:?}");
}
