//! Lists as surveyors and contractors make them: every value is read right, not used with its reason, or asked about with
//! the option that reads it. All data here is invented; what each list says is written beside it by hand.

use std::process::Command;

use proptest::prelude::*;
use rust_xlsxwriter::{Format, FormatBorder, Formula, Workbook, Worksheet};
use serde_json::Value;

use crate::support::Folder;

/// Exit code, machine-readable output, messages.
fn shots(file: &str, bytes: &[u8], options: &[&str]) -> (i32, Value, String) {
    let folder = Folder::new();
    let path = folder.0.join(file);
    std::fs::write(&path, bytes).expect("written");
    let output = Command::new(env!("CARGO_BIN_EXE_rodbook"))
        .arg("shots")
        .arg(&path)
        .arg("--json")
        .args(options)
        .output()
        .expect("the program");
    let json = serde_json::from_slice(&output.stdout).unwrap_or(Value::Null);
    (output.status.code().unwrap_or(-1), json, String::from_utf8_lossy(&output.stderr).into_owned())
}

/// The values of a field, as printed.
fn field(json: &Value, name: &str) -> Vec<f64> {
    let rows = json["records"]["shots_read"].as_array().cloned().unwrap_or_default();
    rows.iter().filter_map(|row| row[name]["value"].as_f64()).collect()
}

fn rows(json: &Value, set: &str) -> usize {
    json["records"][set].as_array().map_or(0, Vec::len)
}

/// What a list comes to: heights, rows not used.
enum Comes {
    Read(&'static [f64], usize),
    Asked(&'static str),
}
use Comes::{Asked, Read};

/// What it is, its text, the options, what it comes to.
type Case = (&'static str, &'static str, &'static [&'static str], Comes);

const TEXTS: &[Case] = &[
    ("elv", "PT,NTH,EST,ELV\n1,10,20,100.5\n", &[], Read(&[100.5], 0)),
    ("glued unit", "Pt,North_ft,East_ft,Elev_ft\n1,10,20,100.5\n", &[], Read(&[100.5], 0)),
    ("datum", "Pt,N (ft),E (ft),Z_NAVD88 (ft)\n1,10,20,100.5\n", &[], Read(&[100.5], 0)),
    (
        "decoys",
        "Pt,N,E,Elev,Elev diff,North arrow,Design elev\n1,10,20,100.5,3,4,99\n",
        &[],
        Read(&[100.5], 0),
    ),
    ("decoy alone", "Pt,N,E,Elev diff\n1,10,20,3\n", &[], Asked("--columns 'elevation=Elev diff'")),
    (
        "two that fit",
        "Pt,N,E,Elev (ft),Elev (m)\n1,10,20,100,30\n",
        &[],
        Asked("--columns 'elevation=Elev (ft)'"),
    ),
    (
        "the one that is named",
        "Pt,N (m),E (m),Elev (ft),Elev (m)\n1,10,20,100,30.5\n",
        &["--columns", "elevation=Elev (m)"],
        Read(&[30.5], 0),
    ),
    (
        "a unit of one column",
        "Station,Elevation (mm)\n0,100200\n5,100700\n",
        &[],
        Asked("--unit station=m;"),
    ),
    (
        "a unit for the others",
        "Station,Elevation (mm)\n0,100200\n5,100700\n",
        &["--unit", "station=m"],
        Read(&[100.2, 100.7], 0),
    ),
    (
        "a stated unit and another",
        "N (ft),E (ft),Z (ft)\n10,20,30\n",
        &["--unit", "m"],
        Asked("--unit m says m"),
    ),
    (
        "units row for one column",
        "Pt,N,E,Z\n,,,(cm)\n1,50,20,10020\n",
        &[],
        Asked("does not state the unit of northing, easting"),
    ),
    ("units row", "Pt,N,E,Z\n,(m),(m),(mAHD)\n1,50,20,100.2\n", &[], Read(&[100.2], 0)),
    (
        "title with the unit",
        "Survey of a terrace (metres),,,\nPt,N,E,Z\n1,50,20,100.2\n",
        &[],
        Read(&[100.2], 0),
    ),
    (
        "kilometres",
        "Pt,Northing (km),Easting (km),Elevation (m)\n1,5,2,100\n",
        &[],
        Asked("no list is read in"),
    ),
    (
        "feet and inches",
        "Sta,Elev (ft)\n0,50'-6\"\n5,51'-0 1/2\"\n",
        &["--unit", "station=ft"],
        Read(&[50.5, 51.041_666_666_667], 0),
    ),
    (
        "one cell in feet",
        "Pt,N,E,Elev\n1,5000,2000,100.5\n2,5010,2003,101 ft\n",
        &[],
        Asked("--unit northing=ft,easting=ft"),
    ),
    ("exponents", "Pt,N,E,Z\n1,5.0e3,2.0E+03,1.005e2\n", &["--unit", "m"], Read(&[100.5], 0)),
    (
        "survey feet",
        "Pt,Northing (USft),Easting (USft),Elev (USft)\n1,5000,2000000,100\n",
        &[],
        Read(&[100.0002], 0),
    ),
    ("decimal commas", "Pt;N;E;Z\n1;10,5;20,25;100,125\n", &["--unit", "m"], Read(&[100.125], 0)),
    (
        "one code with a point",
        "Pt;N;E;Z;Code\n1;10,5;20,25;100,125;1.5\n",
        &["--unit", "m"],
        Read(&[100.125], 0),
    ),
    (
        "thousands points",
        "Pt;N;E;Z\n1;5.010,50;2.000,25;100,50\n",
        &["--unit", "m"],
        Read(&[100.5], 0),
    ),
    (
        "either",
        "Pt;N;E;Z\n1;1,250;2,250;3,250\n",
        &["--unit", "m"],
        Asked("--decimal point or --decimal comma"),
    ),
    (
        "either, said",
        "Pt;N;E;Z\n1;1,250;2,250;3,250\n",
        &["--unit", "m", "--decimal", "comma"],
        Read(&[3.25], 0),
    ),
    (
        "thousands in quotes",
        "Pt,N,E,Z\n1,\"5,000.5\",\"2,000\",100.5\n",
        &["--unit", "ft"],
        Read(&[100.5], 0),
    ),
    (
        "apostrophes",
        "1;1'200'345.50;2'600'123.25;1'023.45\n2;1'200'346.50;2'600'123.25;1'024.45\n",
        &["--unit", "m"],
        Read(&[1023.45, 1024.45], 0),
    ),
    (
        "a slip proves nothing",
        "Pt,N (m),E (m),Z (m)\n1,500.125,200.250,100.500\n2,510.125,203.250,101..500\n",
        &[],
        Read(&[100.5], 1),
    ),
    (
        "two points in a number",
        "Pt,N,E,Z\n1,500.125,200.250,100.500\n2,510.125,203.250,1.101.500\n",
        &["--unit", "m"],
        Asked("--decimal point"),
    ),
    (
        "cut at a decimal comma",
        "Pt,N,E,Z\n1,10,20,199,90\n2,11,21,200.5\n",
        &["--unit", "m"],
        Read(&[200.5], 1),
    ),
    (
        "cut, with codes",
        "Pt,N,E,Z,Code\n1,10,20,199,90,FL\n2,11,21,200.5,FL\n",
        &["--unit", "m"],
        Read(&[200.5], 1),
    ),
    (
        "a description with commas",
        "1,10,20,100.5,EDGE, OF PATH\n2,11,21,101.5,EG\n",
        &["--unit", "m"],
        Read(&[100.5, 101.5], 0),
    ),
    (
        "units in every cell",
        "Pt,N,E,Z\n1,5000.1 m,2000.2 m,100.5 m\n2,5010.1 m,2001.2 m,101.5 m\n",
        &[],
        Read(&[100.5, 101.5], 0),
    ),
    (
        "totals",
        "Pt,N,E,Z\n1,10,20,100.5\n2,11,21,101.5\nAVERAGE,10.5,20.5,101\nMin,10,20,100.5\nTotal,,,202\n",
        &["--unit", "m"],
        Read(&[100.5, 101.5], 3),
    ),
    (
        "values for none",
        "Pt,N,E,Z\n1,10,20,-999\n2,-9999.0,21,101.5\n3,0,0,0\n4,12,22,102.5\n5,13,23,-999.99\n",
        &["--unit", "m"],
        Read(&[102.5], 4),
    ),
    (
        "dates as text",
        "Pt,N,E,Z\n1,10,20,6-Oct\n2,10,20,10:06\n3,12,22,102.5\n",
        &["--unit", "m"],
        Read(&[102.5], 2),
    ),
    (
        "second headings, turned round",
        "Pt,N (m),E (m),Z (m)\n1,10,20,100.5\nPt,E (m),N (m),Z (m)\n2,21,11,101.5\n",
        &[],
        Read(&[100.5, 101.5], 0),
    ),
    (
        "second headings of another unit",
        "Pt,N (m),E (m),Z (m)\n1,10,20,100.5\nPt,N (mm),E (mm),Z (mm)\n2,21000,11000,101500\n",
        &[],
        Read(&[100.5, 101.5], 0),
    ),
    (
        "second headings that make no list",
        "Pt,N,E,Z\n1,10,20,100.5\nPt,Northing,Error\n2,21,0.1\n",
        &["--unit", "m"],
        Read(&[100.5], 1),
    ),
    (
        "one list of two",
        "Pt,N (m),E (m),Z (m)\n1,10,20,100.5\nPt,E (m),N (m),Z (m)\n2,21,11,101.5\n",
        &["--heading-row", "3"],
        Read(&[101.5], 0),
    ),
    (
        "no headings",
        "101,5010.0,2003.0,100.5,EG\n102,5015.0,2003.0,101.5,EG\n",
        &["--unit", "ft"],
        Read(&[100.5, 101.5], 0),
    ),
    (
        "no headings, the other order",
        "101,2003.0,5010.0,100.5,EG\n",
        &["--unit", "ft", "--columns", "point,easting,northing,elevation,code"],
        Read(&[100.5], 0),
    ),
    (
        "no headings, numbered codes",
        "5010.1,2003.2,100.5,3\n5011.1,2004.2,101.5,3\n",
        &["--unit", "m"],
        Read(&[100.5, 101.5], 0),
    ),
    (
        "no headings, whole numbers",
        "1,5010,2003,100\n2,5011,2004,101\n",
        &["--unit", "m"],
        Asked("--columns point,northing,easting,elevation"),
    ),
    (
        "no headings, a name missing",
        "1,5010.0,2003.0,100.5,EG\n2,5015.0,2003.0,101.5,EG\n5020.0,2006.0,102.5,EG\n3,5020.0,2006.0,102.5,EG\n",
        &["--unit", "m"],
        Read(&[100.5, 101.5, 102.5], 1),
    ),
    (
        "spaces, a name missing",
        "Pt N E Z Code\n1 5010.0 2003.0 100.5 EG\n5020.0 2006.0 102.5 12\n",
        &["--unit", "m"],
        Read(&[100.5], 1),
    ),
    (
        "words over numbers",
        "Punkt,Hochwert,Rechtswert,Kote\n1,10,20,100.5\n2,11,21,101.5\n",
        &[],
        Asked("headings of this list are not recognised"),
    ),
    (
        "words, named by number",
        "Punkt,Hochwert,Rechtswert,Kote\n1,10,20,100.5\n",
        &["--unit", "m", "--columns", "northing=2,easting=3,elevation=4"],
        Read(&[100.5], 0),
    ),
    (
        "a long preamble",
        "A job\n\n1,2,3\nnotes,are,here\nPt,Easting,Northing,Z\n1,20,10,100.5\n",
        &["--unit", "m"],
        Read(&[100.5], 1),
    ),
    (
        "on its side",
        "Pt,1,2,3\nNorthing,5000,5010,5020\nEasting,2000,2003,2006\nElevation,100,100.5,101\n",
        &[],
        Asked("lies on its side"),
    ),
    ("two columns", "Station (m),Elev (m)\n0,100\n5,101\n", &[], Read(&[100.0, 101.0], 0)),
    ("bars", "Pt|N|E|Z|Code\n1|50|20|100.5|EG\n", &["--unit", "m"], Read(&[100.5], 0)),
    ("sides", "Station (ft),Offset (ft),Side,Elev (ft)\n0,5,L,100\n", &[], Asked("which side")),
    (
        "full stations without a unit",
        "Station,Offset,Elevation\n0+00,-5.0,101.2\n0+25,0,101.5\n",
        &[],
        Read(&[101.2, 101.5], 0),
    ),
    (
        "a wall named once",
        "Wall,Station,Elev\nW1,0,100\n,5,101\nW2,0,102\n,5,103\n",
        &["--unit", "m"],
        Read(&[100.0, 101.0, 102.0, 103.0], 0),
    ),
    (
        "sections in rows of their own",
        "Station,Elev\nSection A\n0,100\n5,101\nSection B\n0,102\n",
        &["--unit", "m"],
        Read(&[100.0, 101.0, 102.0], 0),
    ),
    (
        "one code only",
        "Pt,N,E,Z,Code\n1,10,20,100.5,EG\n2,11,21,101.5,FL\n",
        &["--unit", "m", "--code", "EG"],
        Read(&[100.5], 1),
    ),
    (
        "reduced levels of a level book",
        "Chainage,BS,IS,FS,RL\n0,,1.2,,100.3\n10,,1.7,,99.8\n",
        &["--unit", "m", "--columns", "elevation=RL"],
        Read(&[100.3, 99.8], 0),
    ),
];

#[test]
fn texts_of_every_shape() {
    for (what, text, options, comes) in TEXTS {
        let (code, json, told) = shots("list.csv", text.as_bytes(), options);
        match comes {
            Read(heights, aside) => {
                let read = field(&json, "elevation");
                let alike = read.len() == heights.len()
                    && read.iter().zip(*heights).all(|(ours, known)| (ours - known).abs() < 1e-9);
                assert!(alike && code == 0, "{what}: {read:?}, exit {code}\n{told}");
                assert_eq!(rows(&json, "shots_refused"), *aside, "{what}: {json:#}");
                let counted = json["records"]["shot_list"][0]["rows"].as_u64();
                assert_eq!(counted, Some((heights.len() + aside) as u64), "{what}: each row once");
            }
            Asked(words) => {
                assert_eq!(code, 1, "{what}: {json}");
                assert!(told.contains(words), "{what}: {told}");
            }
        }
    }
}

#[test]
fn text_of_two_bytes_a_letter() {
    let text = "\u{feff}Pt\tN (m)\tE (m)\tHöhe (m)\tZ (m)\n1\t10\t20\t7\t100.5\n";
    let bytes: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    assert_eq!(field(&shots("list.txt", &bytes, &[]).1, "elevation"), [100.5]);
}

#[test]
fn a_wall_is_carried_down_and_sections_are_kept_apart() {
    for text in [
        "Wall,Station,Elev\nW1,0,100\n,5,101\nW2,0,102\n",
        "Station,Elev\nWall W1\n0,100\n5,101\nWall W2\n0,102\n",
    ] {
        let (_, json, _) = shots("list.csv", text.as_bytes(), &["--unit", "m"]);
        let walls = json["records"]["shots_read"].as_array().cloned().unwrap_or_default();
        let walls: Vec<&str> = walls.iter().filter_map(|row| row["wall"].as_str()).collect();
        assert!(
            walls[0] == walls[1] && walls[0].ends_with("W1") && walls[2].ends_with("W2"),
            "{walls:?}"
        );
    }
}

fn book(fill: impl FnOnce(&mut Worksheet)) -> Vec<u8> {
    let mut book = Workbook::new();
    fill(book.add_worksheet());
    book.save_to_buffer().expect("a workbook")
}

fn heads(sheet: &mut Worksheet, row: u32, names: &[&str]) {
    for (column, name) in names.iter().enumerate() {
        sheet.write(row, column as u16, *name).expect("a heading");
    }
}

/// A formatted empty cell is no formula, no code and no row.
#[test]
fn empty_cells_with_borders_are_empty() {
    let bytes = book(|sheet| {
        let border = Format::new().set_border(FormatBorder::Thin);
        heads(sheet, 0, &["Station (m)", "Offset (m)", "Elev (m)", "Code"]);
        for row in 1..200 {
            for column in 0..4 {
                sheet.write_blank(row, column, &border).expect("a cell");
            }
        }
        for (row, z) in [(1, 100.0), (2, 101.0), (5, 102.0)] {
            sheet.write(row, 0, row).expect("a cell");
            sheet.write(row, 2, z).expect("a cell");
        }
    });
    let (code, json, told) = shots("list.xlsx", &bytes, &[]);
    assert_eq!((code, rows(&json, "shots_refused")), (0, 0), "{told}");
    assert_eq!(field(&json, "elevation"), [100.0, 101.0, 102.0]);
    assert_eq!(field(&json, "offset"), [0.0, 0.0, 0.0]);
    assert_eq!(json["records"]["shots_read"][0]["code"], "");
}

/// Dates, times, totals by formula, errors and formulas that nobody worked out are no heights.
#[test]
fn cells_that_hold_no_measured_number() {
    let bytes = book(|sheet| {
        heads(sheet, 0, &["Pt", "N (m)", "E (m)", "Z (m)"]);
        for row in 1..7_u32 {
            sheet.write(row, 0, row).expect("a cell");
            sheet.write(row, 1, 10 + row).expect("a cell");
            sheet.write(row, 2, 20 + row).expect("a cell");
        }
        let date = Format::new().set_num_format("d-mmm");
        let time = Format::new().set_num_format("h:mm");
        sheet.write(1, 3, 100.5).expect("a cell");
        sheet.write_with_format(2, 3, 45936, &date).expect("a cell");
        sheet.write_with_format(3, 3, 0.421, &time).expect("a cell");
        sheet.write(4, 3, Formula::new("=Q9*2").set_result("102.5")).expect("a cell");
        sheet.write(5, 3, Formula::new("=1/0").set_result("#DIV/0!")).expect("a cell");
        sheet.write(6, 3, Formula::new("=AVERAGE(D2:D5)").set_result("101.5")).expect("a cell");
    });
    let (_, json, told) = shots("list.xlsx", &bytes, &[]);
    assert_eq!(field(&json, "elevation"), [100.5, 102.5], "{told}");
    let reasons = json["records"]["shots_refused"].as_array().cloned().unwrap_or_default();
    let reasons: Vec<&str> = reasons.iter().filter_map(|row| row["reason"].as_str()).collect();
    assert_eq!(reasons, ["bad_number", "bad_number", "bad_number", "summary"]);
    let never = book(|sheet| {
        heads(sheet, 0, &["Pt", "N (m)", "E (m)", "Z (m)"]);
        for row in 1..4_u32 {
            heads(sheet, row, &["p"]);
            sheet.write(row, 1, 10 + row).expect("a cell");
            sheet.write(row, 2, 20 + row).expect("a cell");
            sheet.write(row, 3, Formula::new("=Q9*2")).expect("a cell");
        }
    });
    let (code, json, told) = shots("list.xlsx", &never, &[]);
    assert_eq!(
        (code, rows(&json, "shots_read"), rows(&json, "shots_refused")),
        (1, 0, 3),
        "{told}"
    );
}

/// A hidden column never wins, and several sheets are asked about.
#[test]
fn hidden_columns_and_several_sheets() {
    let bytes = book(|sheet| {
        heads(sheet, 0, &["Pt", "N (m)", "E (m)", "Elev (m)", "Elevation (m)"]);
        for (column, x) in [1.0, 10.0, 20.0, 254.35, 204.35].into_iter().enumerate() {
            sheet.write(1, column as u16, x).expect("a cell");
        }
        sheet.set_column_hidden(3).expect("hidden");
    });
    assert_eq!(field(&shots("list.xlsx", &bytes, &[]).1, "elevation"), [204.35]);
    let mut two = Workbook::new();
    for (name, z) in [("Old", 1.0), ("Final", 2.0)] {
        let sheet = two.add_worksheet().set_name(name).expect("a name");
        heads(sheet, 0, &["N (m)", "E (m)", "Z (m)"]);
        for (column, x) in [10.0, 20.0, z].into_iter().enumerate() {
            sheet.write(1, column as u16, x).expect("a cell");
        }
    }
    let two = two.save_to_buffer().expect("a workbook");
    let (code, _, told) = shots("list.xlsx", &two, &[]);
    assert!(code == 1 && told.contains("--sheet Old; --sheet Final"), "{told}");
    assert_eq!(field(&shots("list.xlsx", &two, &["--sheet", "Final"]).1, "elevation"), [2.0]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    /// Any combination of word, case, separator, unit and datum is read by what it says; a decoy beside it changes nothing.
    #[test]
    fn headings_in_any_combination(
        north in prop::sample::select(vec!["Northing", "North", "N", "Y", "POINT_Y", "Grid Northing"]),
        east in prop::sample::select(vec!["Easting", "East", "E", "X", "POINT_X", "Grid Easting"]),
        up in prop::sample::select(vec!["Elevation", "Elev", "ELV", "Z", "Height", "RL", "Ground Elev", "FinalElevation"]),
        datum in prop::sample::select(vec!["", "NAVD88", "AMSL", "AHD", "NGVD29"]),
        unit in prop::sample::select(vec![("m", 1.0), ("ft", 1.0), ("mm", 1e-3), ("cm", 1e-2), ("Meters", 1.0), ("feet", 1.0)]),
        style in 0..4,
        case in 0..3,
        decoy in prop::sample::select(vec!["Elev diff", "North arrow", "Design elev", "Std Dev Z", "Ellipsoid Height"]),
        at in 0..4_usize,
    ) {
        let written = |word: &str, datum: &str| {
            let datum = if datum.is_empty() { String::new() } else { format!(" {datum}") };
            let text = match style {
                0 => format!("{word}{datum} ({})", unit.0),
                1 => format!("{word}{datum}_{}", unit.0).replace(' ', "_"),
                2 => format!("{word} - {}{datum}", unit.0),
                _ => format!("{word} [{}]{datum}", unit.0),
            };
            match case {
                0 => text,
                1 => text.to_uppercase(),
                _ => text.to_lowercase(),
            }
        };
        let mut heads = vec![written(north, ""), written(east, ""), written(up, datum)];
        let mut values = vec!["10", "20", "30"];
        heads.insert(at, decoy.to_owned());
        values.insert(at, "77");
        let text = format!("{}\n{}\n", heads.join(","), values.join(","));
        let (code, json, told) = shots("list.csv", text.as_bytes(), &[]);
        prop_assert_eq!(code, 0, "{}{}", text, told);
        for (name, value) in [("northing", 10.0), ("easting", 20.0), ("elevation", 30.0)] {
            let read = field(&json, name);
            prop_assert!(read.len() == 1 && (read[0] - value * unit.1).abs() < 1e-12, "{text}{name} {read:?}");
        }
    }
}
