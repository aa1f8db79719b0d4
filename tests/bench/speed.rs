//! Speed, as a bench and never as a timed test. Method: each figure is the median of several runs in one process on
//! one core; ratios inside one output may be compared, absolute times only on one machine.

use std::path::Path;
use std::time::Instant;

use calamine::Reader as _;
use num_bigint::BigInt;
use num_rational::BigRational;
use rodbook::earth::{Banks, Dig, LaybackFrom};
use rodbook::footing::{
    Grid, Hooks, Joints, Module, Site, StepRates, StepRules, System, TopBreak, WallSpec, WallType,
    WorkSpace, lay_out,
};
use rodbook::forms::fluid_pressure;
use rodbook::job::{Job, OpenOptions, work, workbook};
use rodbook::measure::{Length, Nm, Pressure, UnitWeight};
use rodbook::script::Calculator;
use rodbook::survey::{
    Asked, Chain, Depths, Ground, GroundKind, GroundLine, LengthUnit, Levels, LineOrigin,
    NamedWall, Point, Polyline, Screening, Side, read_shots, recognise, screen,
};
use rodbook::table::read_text_list;
use rodbook::workbook::read_sheets;

/// Median seconds of `count` runs.
fn median(count: usize, mut run: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..count)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// Median seconds of two runs that take turns, and the median of their ratios: what disturbs one of them disturbs both.
fn side_by_side(count: usize, mut ours: impl FnMut(), mut theirs: impl FnMut()) -> (f64, f64, f64) {
    let pairs: Vec<(f64, f64)> =
        (0..count).map(|_| (median(1, &mut ours), median(1, &mut theirs))).collect();
    let middle = |value: &dyn Fn(&(f64, f64)) -> f64| {
        let mut all: Vec<f64> = pairs.iter().map(value).collect();
        all.sort_by(f64::total_cmp);
        all[all.len() / 2]
    };
    (middle(&|pair| pair.0), middle(&|pair| pair.1), middle(&|pair| pair.0 / pair.1))
}

fn open(name: &str, overrides: &[(&str, String)]) -> Option<Job> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
    let overrides =
        overrides.iter().map(|(path, value)| ((*path).to_owned(), value.clone())).collect();
    let options = OpenOptions { overrides, ..OpenOptions::default() };
    Job::open(&folder, &options).map_err(|faults| say(&faults.to_string())).ok()
}

#[expect(clippy::print_stdout, reason = "a bench prints its figures")]
fn say(text: &str) {
    println!("{text}");
}

fn main() {
    // `cargo bench -- writing` prints what concerns workbooks alone.
    if std::env::args().any(|arg| arg == "writing") {
        writing("the demo", &Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench"));
        return hundred_walls();
    }
    let whole = median(9, || {
        let Some(job) = open("tarrow-bench", &[]) else { return };
        let bytes = work(&job, &|_| {}).and_then(|done| workbook(&job, &done));
        assert!(bytes.is_ok_and(|bytes| !bytes.is_empty()));
    });
    say(&format!(
        "demo end to end (read xlsx, lay out, write workbook): {:.1} ms; goal under 100 ms",
        whole * 1e3
    ));

    writing("the demo", &Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench"));
    dig();
    calls();
    long_walls();
    long_lists();
    screening();
    hundred_walls();
}

/// A job of a hundred walls that turn left and right in turn, with two hundred shots along each, as the demo is built and priced:
/// where its time goes, step by step, and the most memory.
fn hundred_walls() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench/job.toml");
    let Ok(demo) = std::fs::read_to_string(demo) else { return };
    let (mut points, mut walls, mut pours, mut shots) =
        (String::new(), String::new(), String::new(), String::from("id,code,n,e,z\n"));
    let (mut east, mut north) = (5000.0, 2000.0);
    for wall in 0..=100 {
        points += &format!(
            "  {{ id = \"P{wall}\", east = \"{east:.2} ft\", north = \"{north:.2} ft\" }},\n"
        );
        if wall == 100 {
            break;
        }
        let along = if wall % 2 == 0 { (1.0, 0.0) } else { (0.0, 1.0) };
        let length = 40.0 + f64::from(wall % 3);
        walls += &format!(
            "[[wall]]\nid = \"W{wall}\"\nfrom = \"P{wall}\"\nto = \"P{}\"\nstem = \"12 in\"\ntops = [{{ from = \"0 ft\", top = \"208.00 ft\" }}]\n\n",
            wall + 1
        );
        pours += &format!("  {{ name = \"pour {wall}\", walls = [\"W{wall}\"] }},\n");
        for shot in 0..200 {
            let at = length * f64::from(shot) / 200.0;
            let rise = 1.5 * f64::from((wall * 200 + shot) % 997) / 997.0;
            let (code, z) = [("FL", 202.2), ("TP", 201.0), ("EG", 206.0)]
                [usize::try_from(shot % 3).unwrap_or(0)];
            let (e, n) = (east + along.0 * at, north + along.1 * at);
            shots += &format!("{wall}-{shot},{code},{n:.3},{e:.3},{:.2}\n", z + rise);
        }
        (east, north) = (east + along.0 * length, north + along.1 * length);
    }
    let between = |text: &str, from: &str, to: &str, new: &str| -> String {
        let (before, rest) = text.split_once(from).unwrap_or((text, ""));
        let after = rest.split_once(to).map_or("", |(_, after)| after);
        format!("{before}{new}{to}{after}")
    };
    let text = between(&demo, "points = [\n", "]\n", &format!("points = [\n{points}"));
    let text = between(&text, "[[wall]]", "[module]", &walls);
    let text = between(&text, "pour = [\n", "]\n", &format!("pour = [\n{pours}"));
    let text = text.split_once("[[sheet]]").map_or(text.as_str(), |(before, _)| before);
    let text = text.replace("shots.xlsx", "shots.csv");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("hundred-walls");
    let written = std::fs::create_dir_all(&folder)
        .and_then(|()| std::fs::write(folder.join("job.toml"), text))
        .and_then(|()| std::fs::write(folder.join("shots.csv"), shots));
    if let Err(error) = written {
        say(&format!("100 walls: {error}"));
        return;
    }
    writing("100 walls", &folder);
    let (start, split) = (Instant::now(), std::cell::RefCell::new(Vec::new()));
    let note = |what: &str| split.borrow_mut().push((what.to_owned(), Instant::now()));
    note("reading the job and its shots");
    let done = Job::open(&folder, &OpenOptions::default()).and_then(|job| {
        let done = work(&job, &note)?;
        note("writing the workbook");
        workbook(&job, &done)
    });
    note("");
    let whole = start.elapsed().as_secs_f64();
    match done {
        Ok(bytes) => say(&format!(
            "100 walls and 20,000 shots end to end: {whole:.2} s, most memory so far {:.0} MB, workbook {:.1} MB",
            peak_memory().unwrap_or(0.0),
            bytes_in_mb(bytes.len())
        )),
        Err(faults) => say(&format!("100 walls: {faults}")),
    }
    let split = split.into_inner();
    for pair in split.windows(2) {
        let [(what, from), (_, to)] = pair else { continue };
        say(&format!("  {:>7.2} s  {what}", (*to - *from).as_secs_f64()));
    }
}

/// The workbook of a job beside the same cells, with one format each and formulas with their results, written by the plain
/// library: what laying out, looks, charts, notes, names and the seal take.
fn writing(what: &str, folder: &Path) {
    let job = Job::open(folder, &OpenOptions::default());
    let done = job.and_then(|job| work(&job, &|_| {}).map(|done| (job, done)));
    let written = done.and_then(|(job, done)| {
        let bytes = workbook(&job, &done)?;
        Ok((job, done, bytes))
    });
    let (job, done, bytes) = match written {
        Ok(written) => written,
        Err(faults) => return say(&format!("writing {what}: {faults}")),
    };
    let cells = cells_of(&bytes);
    let count: usize = cells.iter().map(|(_, cells)| cells.len()).sum();
    let (ours, plain, ratio) = side_by_side(
        9,
        || assert!(workbook(&job, &done).is_ok()),
        || assert!(plainly(&cells).is_some_and(|bytes| !bytes.is_empty())),
    );
    say(&format!(
        "writing the workbook of {what} ({count} cells): {:.1} ms, the same cells by the plain library {:.1} ms, ratio {ratio:.2}; goal 1.3",
        ours * 1e3,
        plain * 1e3
    ));
}

/// A cell of a workbook: its place, its formula if it has one, its value.
type BookCell = (u32, u16, Option<String>, calamine::Data);

/// The cells of every sheet of a workbook.
fn cells_of(bytes: &[u8]) -> Vec<(String, Vec<BookCell>)> {
    let Ok(mut book) = calamine::Xlsx::new(std::io::Cursor::new(bytes)) else { return Vec::new() };
    let names = book.sheet_names();
    let mut sheets = Vec::new();
    for name in names {
        let (Ok(values), Ok(formulas)) =
            (book.worksheet_range(&name), book.worksheet_formula(&name))
        else {
            continue;
        };
        let (top, left) = values.start().unwrap_or((0, 0));
        let place = |row: usize, column: usize| {
            (top + u32::try_from(row).unwrap_or(0), left + u32::try_from(column).unwrap_or(0))
        };
        let cells = values.used_cells().map(|(row, column, value)| {
            let (row, column) = place(row, column);
            let formula = formulas.get_value((row, column)).filter(|text| !text.is_empty());
            (row, u16::try_from(column).unwrap_or(0), formula.cloned(), value.clone())
        });
        sheets.push((name, cells.collect()));
    }
    sheets
}

/// The cells written by the plain library.
fn plainly(sheets: &[(String, Vec<BookCell>)]) -> Option<Vec<u8>> {
    let mut book = rust_xlsxwriter::Workbook::new();
    let number = rust_xlsxwriter::Format::new().set_num_format("#,##0.00");
    let words = rust_xlsxwriter::Format::new().set_text_wrap();
    for (name, cells) in sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(name).ok()?;
        for (row, column, formula, value) in cells {
            match (formula, value) {
                (Some(formula), value) => {
                    let formula =
                        rust_xlsxwriter::Formula::new(formula).set_result(value.to_string());
                    sheet.write_with_format(*row, *column, formula, &number).ok()?;
                }
                (None, calamine::Data::Float(value)) => {
                    sheet.write_with_format(*row, *column, *value, &number).ok()?;
                }
                (None, value) => {
                    sheet.write_with_format(*row, *column, value.to_string(), &words).ok()?;
                }
            }
        }
    }
    book.save_to_buffer().ok()
}

#[expect(clippy::cast_precision_loss, reason = "a size for people")]
fn bytes_in_mb(bytes: usize) -> f64 {
    bytes as f64 / 1e6
}

/// A trade function called from a script with units, against the same Rust function called plainly. The script's loop
/// and its unit literals are in the first figure and subtracted in the second.
fn calls() {
    const CALLS: u32 = 20_000;
    let mut calculator = Calculator::new(System::Us, "usd");
    let mut run = |body: &str| {
        let text =
            format!("let w = 150.pcf; let h = 4.ft; let p = h; for i in 0..{CALLS} {{ {body} }} p");
        median(5, || assert!(calculator.value(&text).is_ok())) / f64::from(CALLS)
    };
    let (whole, empty) = (run("p = fluid_pressure(w, h);"), run("p = h;"));
    let plain = median(5, || {
        let mut sum = 0.0;
        for n in 0..CALLS {
            let depth = Length::from_feet(f64::from(n % 20));
            sum += fluid_pressure(UnitWeight::from_pcf(150.0), depth).map_or(0.0, Pressure::psf);
        }
        assert!(std::hint::black_box(sum) > 0.0);
    }) / f64::from(CALLS);
    say(&format!(
        "a trade function from a script: {:.0} ns, {:.0} ns without the loop; the Rust function {:.0} ns: {:.1} times; goal under 2 us a call",
        whole * 1e9,
        (whole - empty) * 1e9,
        plain * 1e9,
        (whole - empty) / plain
    ));
}

/// A wall of 2-ft panels over rolling ground, thirty levels of 1 ft, risers of two levels at most.
fn long_wall(joints: i64) -> Option<Site> {
    const FOOT: i64 = 304_800_000;
    let length = Nm(2 * FOOT * joints + FOOT);
    let origin = Point { e: Nm::ZERO, n: Nm::ZERO };
    let end = Point { e: length, n: Nm::ZERO };
    let chain = Chain::new(
        vec![NamedWall { id: "W".into(), start: origin, end, length: None, chord: false }],
        Side::Left,
        false,
    )
    .ok()?;
    let walls = vec![WallSpec {
        stem: Nm(FOOT),
        tops: vec![TopBreak { number: 0, from: Nm::ZERO, top: Nm(40 * FOOT), end_top: None }],
        origin: None,
        lead_start: None,
        lead_end: None,
        kit_start: None,
        kit_end: None,
    }];
    let module = Module {
        joints: Joints::Panels { panel: Nm(2 * FOOT), corner_leg: Nm::ZERO },
        rise: Nm(FOOT),
        level_0: Nm::ZERO,
        lowest: 0,
        highest: 29,
    };
    // Ground rises and falls by about 22 ft every 300 ft, by whole thousandths of a foot.
    let line = |kind, over: i64| {
        let knots = (0..=2 * joints / 11).map(|n| {
            let s = Nm(11 * FOOT * n);
            let wave = (n as f64 * 0.23).sin() * 8_000.0 + (n as f64 * 0.031).sin() * 3_000.0;
            (s, Nm((13_000 + wave as i64 + 1_000 * over + (n * 7919) % 700) * FOOT / 1000))
        });
        let line = Polyline::new(knots.collect())?;
        Some(GroundLine::new(kind, LineOrigin::Listed, line, None))
    };
    let row = |id: &str, height: i64, width: i64, inches: i64| WallType {
        id: id.into(),
        stem_up_to: Nm(height * FOOT),
        width: Nm(width * FOOT),
        thickness: Nm(inches * FOOT / 12),
        toe: Nm(FOOT),
        key: None,
    };
    let rate = |cents: i64, power: u32| {
        BigRational::new(cents.into(), (BigInt::from(FOOT).pow(power)) * 100)
    };
    let depths = Depths { frost: Nm(2 * FOOT), cover: None, allowance: Nm::ZERO };
    let rules =
        StepRules { shortest_run: Nm(4 * FOOT), most_levels: 2, ..StepRules::of_depths(depths) };
    let grid = Grid::new(&chain, &walls, &module, &rules).ok()?;
    Some(Site {
        system: System::Us,
        walls,
        types: vec![row("A", 16, 6, 12), row("B", 24, 8, 15), row("C", 45, 11, 18)],
        module,
        rules,
        rates: StepRates {
            footing: rate(850, 3),
            wall: rate(900, 3),
            forms: rate(1035, 2),
            dig: rate(156, 3),
            riser: rate(18_500, 0),
            rise: rate(4_500, 0),
            work_space: WorkSpace::NONE,
        },
        ground: Ground {
            finished_low: line(GroundKind::FinishedLow, 3)?,
            bearing: line(GroundKind::Bearing, 0)?,
            existing: line(GroundKind::Existing, 5)?,
        },
        grid,
        locks: Vec::new(),
        hooks: Hooks::default(),
        chain,
    })
}

/// Peak memory of this process so far, in MB, where the system tells.
fn peak_memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kb| kb / 1024.0)
}

fn long_walls() {
    let mut last: Option<(i64, f64)> = None;
    for (joints, goal) in [
        (250, ""),
        (500, "goal under 50 ms"),
        (1_000, ""),
        (2_500, ""),
        (5_000, "10,000 ft: goal under 1 s"),
        (12_500, ""),
        (50_000, "100,000 ft: goal under 10 s"),
    ] {
        let Some(site) = long_wall(joints) else { continue };
        let mut steps = 0;
        let runs = if joints > 10_000 { 1 } else { 3 };
        let time = median(runs, || steps = lay_out(&site).map_or(0, |layout| layout.steps.len()));
        let growth = last.map_or_else(String::new, |(n, t)| {
            format!(
                ", {:.2} times the time for {:.2} times the joints",
                time / t,
                joints as f64 / n as f64
            )
        });
        let memory = peak_memory().map_or_else(String::new, |mb| format!(", peak {mb:.0} MB"));
        say(&format!(
            "{joints} joints x 30 levels: {:.1} ms, {steps} steps{growth}{memory} {goal}",
            time * 1e3
        ));
        last = Some((joints, time));
    }
}

/// A list of 136,000 points as text and as a workbook: read and recognised, against the libraries alone on the same
/// bytes and columns. Screening is not in it.
fn long_lists() {
    const ROWS: u32 = 136_000;
    let value = |n: u32, k: u32| f64::from(n * 37 % 100_003 * k % 90_001) / 1000.0 + 1000.0;
    let mut text = String::from("point,northing,easting,elevation,code\n");
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    for (column, name) in ["point", "northing", "easting", "elevation", "code"].iter().enumerate() {
        let _ = sheet.write(0, column as u16, *name);
    }
    for n in 0..ROWS {
        let [a, b, c] = [value(n, 3), value(n, 7), value(n, 11)];
        text += &format!("{n},{a:.3},{b:.3},{c:.3},EG\n");
        let _ = sheet.write(n + 1, 0, n);
        for (column, x) in [a, b, c].into_iter().enumerate() {
            let _ = sheet.write(n + 1, column as u16 + 1, x);
        }
        let _ = sheet.write(n + 1, 4, "EG");
    }
    let Ok(bytes) = book.save_to_buffer() else { return };
    let asked = Asked::default();
    let ours = || {
        let table = read_text_list("list.csv", text.as_bytes());
        assert!(table.is_ok_and(|table| recognise(&table, &asked).is_ok()));
    };
    let theirs = || {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let rows = reader.deserialize::<(String, f64, f64, f64, String)>();
        assert_eq!(rows.filter(Result::is_ok).count(), ROWS as usize);
    };
    let (ours, theirs, ratio) = side_by_side(15, ours, theirs);
    say(&format!(
        "{ROWS} rows of text: {:.1} ms, {ratio:.2} times the csv library's {:.1} ms; goal 1.5",
        ours * 1e3,
        theirs * 1e3
    ));
    let ours = || {
        let sheets = read_sheets("list.xlsx", &bytes, None);
        assert!(sheets.is_ok_and(|sheets| recognise(&sheets[0].table, &asked).is_ok()));
    };
    let theirs = || {
        use calamine::Reader;
        let mut book: calamine::Xlsx<_> = calamine::Xlsx::new(std::io::Cursor::new(&bytes[..]))
            .unwrap_or_else(|_| unreachable!());
        let sheet = book.sheet_names()[0].clone();
        let Ok(mut cells) = book.worksheet_cells_reader(&sheet) else { return };
        let mut count = 0;
        while let Ok(Some(_)) = cells.next_cell() {
            count += 1;
        }
        assert!(count > ROWS);
    };
    let (ours, theirs, ratio) = side_by_side(9, ours, theirs);
    say(&format!(
        "{ROWS} rows of a workbook: {:.1} ms, {ratio:.2} times the reader's cells {:.1} ms; goal 1.3",
        ours * 1e3,
        theirs * 1e3
    ));
}

/// The dig of the demo as a solid, with laid-back ends and low side.
fn dig() {
    let Some(job) = open("tarrow-bench", &[]) else { return };
    let Ok(layout) = lay_out(&job.wall_job.site) else { return };
    let layback = &job.wall_job.allowances.layback;
    let choices = [Banks::EARTH_SIDE, Banks::ENDS, Banks::ALL];
    let seconds = median(21, || {
        let dig = Dig::of(&layout, layback, LaybackFrom::FootingTop);
        assert_eq!(dig.solid(&choices).len(), 3);
    });
    say(&format!(
        "the dig of the demo as a solid, three ways: {:.1} ms; goal under 5 ms",
        seconds * 1e3
    ));
}

/// Screening alone: shots read before the clock starts, beside a wall of their length, every one tested for its height.
fn screening() {
    let mut last: Option<(u32, f64)> = None;
    for rows in [34_000_u32, 68_000, 136_000] {
        let mut text = String::from("point,northing,easting,elevation,code\n");
        for n in 0..rows {
            let across = f64::from(n * 37 % 101) / 20.0;
            let height = 100.0 + f64::from(n * 7919 % 997) / 1000.0;
            text += &format!("{n},{across:.3},{n},{height:.3},EG\n");
        }
        let asked = Asked { unit: Some((LengthUnit::Foot, String::new())), ..Asked::default() };
        let Ok(table) = read_text_list("list.csv", text.as_bytes()) else { return };
        let Ok(list) = read_shots(&table, &asked, None, &Levels::default()) else { return };
        let at = |e: i64| Point { e: Nm::FOOT * e, n: Nm::ZERO };
        let end = at(i64::from(rows));
        let wall = NamedWall { id: "W".into(), start: at(0), end, length: None, chord: false };
        let Ok(chain) = Chain::new(vec![wall], Side::Left, false) else { return };
        let rules = Screening {
            codes: vec![(GroundKind::Existing, "EG".to_owned())],
            reach: Nm::FOOT * 6,
            outlier_codes: vec!["EG".to_owned()],
            outlier_limit: Nm::FOOT * 3,
            outlier_neighbours: 4,
            duplicate_xy: Nm(Nm::FOOT.0 / 20),
            duplicate_z: Nm(Nm::FOOT.0 / 20),
        };
        let time = median(3, || {
            assert_eq!(screen(&list.shots, &chain, &rules).used.len(), rows as usize);
        });
        let growth = last.map_or_else(String::new, |(n, t)| {
            format!(", {:.2} times the time for {:.0} times the rows", time / t, rows / n)
        });
        say(&format!("{rows} shots screened: {:.1} ms{growth}; goal linear", time * 1e3));
        last = Some((rows, time));
    }
}
