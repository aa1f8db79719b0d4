//! Sheets of rows: columns with a formula for all rows, own entries, totals; functions over columns, look-ups, working days.

use crate::support::{Done, Folder, fault_of, run, without_folder};

fn starter(name: &str) -> &'static str {
    rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled")
}

/// The starter with sheets: name, rest of its table, text.
fn with_sheets(sheets: &[(&str, &str, &str)]) -> Folder {
    let folder = Folder::new();
    let mut settings = starter("job.toml").to_owned();
    for (name, rest, text) in sheets {
        settings += &format!("\n[[sheet]]\nname = \"{name}\"\nfile = \"{name}.csv\"\n{rest}\n");
        folder.write(&format!("{name}.csv"), text);
    }
    folder.write("job.toml", settings);
    folder.write("shots.csv", starter("shots.csv"));
    folder
}

fn number(done: &Done, cell: &str) -> f64 {
    let book = &done.work.calc.book;
    let id = book.find(cell).unwrap_or_else(|| panic!("no cell {cell}"));
    let quantity = book.quantity(id).unwrap_or_else(|| panic!("{cell} has no value"));
    let unit = &book.node(id).unit;
    match rodbook::measure::known_unit(rodbook::measure::number_unit(unit)) {
        Some(unit) => quantity.in_unit(&unit).expect("fits"),
        None => quantity.base(),
    }
}

fn words(done: &Done, cell: &str) -> String {
    let book = &done.work.calc.book;
    book.words(book.find(cell).unwrap_or_else(|| panic!("no cell {cell}")))
}

const BANDS: &str = "Band,From,Hours per area,Crew\nunit,ft,h/sf,text\nlow,0,0.08,A\nmid,7,0.10,A\ntall,9,0.135,B\n";
const CREWS: &str = "Crew,Rate [usd/h],Size\nA,62.50,3\nB,71,4\n";
const LABOUR: &str = "Run,Area,Rate,Hours,Crew,Labour cost,Share\n\
     unit,sf,h/sf,h,text,usd,percent\n\
     formula,row.height * (row.to - row.from) * 2,\"value_in_band(row.height, bands.from, bands.hours_per_area)\",area * rate,\"value_in_band(row.height, bands.from, bands.crew)\",\"to_cent(hours * value_for(crew, crews.crew, crews.rate))\",labour_cost / total_labour_cost\n\
     2,,,20,,,\n\
     total,sum,,sum,,sum,sum\n";

/// Hours by height band from the true pieces of the wall, priced by crew: worked out again row by row from the listing.
#[test]
fn a_row_for_each_row_of_a_listing() {
    let folder = with_sheets(&[
        ("bands", "", BANDS),
        ("crews", "", CREWS),
        ("labour", "rows = \"stem_pieces\"", LABOUR),
        (
            "sums",
            "",
            "what,name,unit,formula\n\
             of B,of_b,h,\"sum_where(labour.hours, labour.crew == \"\"B\"\")\"\n\
             rows of B,rows_b,,\"count_where(labour.crew == \"\"B\"\")\"\n\
             mean,mean_a,h,\"mean_where(labour.hours, labour.crew == \"\"A\"\")\"\n\
             least,least_a,h,\"min_where(labour.hours, labour.crew == \"\"A\"\")\"\n\
             greatest,greatest_a,h,\"max_where(labour.hours, labour.crew == \"\"A\"\")\"\n\
             high and long,both,,count_where(labour.area > 40.sf && labour.rate > 0.11.h / 1.sf)\n\
             weighted,weighted,sf*h,sum(labour.area * labour.hours)\n\
             rows,rows,,count(labour.hours)\n\
             mean,mean,h,mean(labour.hours)\n",
        ),
    ]);
    let done = run(&folder.0);
    let pieces = done.records("stem_pieces");
    assert!(pieces.len() > 2);
    let of =
        |row: &serde_json::Value, column: &str| row[column]["value"].as_f64().expect("a number");
    let (mut hours, mut cost, mut rows) = (Vec::new(), Vec::new(), Vec::new());
    for (at, row) in pieces.iter().enumerate() {
        let height = of(row, "height");
        let area = height * (of(row, "to") - of(row, "from")) * 2.0;
        let (rate, crew, wage) = match height {
            h if h >= 9.0 - 1e-9 => (0.135, "B", 71.0),
            h if h >= 7.0 - 1e-9 => (0.10, "A", 62.5),
            _ => (0.08, "A", 62.5),
        };
        hours.push(if at == 1 { 20.0 } else { area * rate });
        cost.push((hours[at] * wage * 100.0).round() / 100.0);
        rows.push((crew, area, rate));
        let cell = |column: &str| number(&done, &format!("labour.{column}.{}", at + 1));
        assert!((cell("area") - area).abs() < 1e-9);
        assert!((cell("hours") - hours[at]).abs() < 1e-9);
        assert!((cell("labour_cost") - cost[at]).abs() < 0.011, "{}", cell("labour_cost"));
        assert_eq!(words(&done, &format!("labour.crew.{}", at + 1)), crew);
        assert_eq!(words(&done, &format!("labour.run.{}", at + 1)), (at + 1).to_string());
    }
    let sum = |of: &[f64]| of.iter().sum::<f64>();
    let close = |cell: &str, wanted: f64| {
        let told = number(&done, cell);
        assert!((told - wanted).abs() < 1e-9 * wanted.abs().max(1.0), "{cell}: {told}, {wanted}");
    };
    let by = |crew: &str| -> Vec<f64> {
        let of = rows.iter().zip(&hours).filter(|((known, ..), _)| *known == crew);
        of.map(|(_, hours)| *hours).collect()
    };
    close("labour.total_hours", sum(&hours));
    close("labour.total_labour_cost", sum(&cost));
    close("labour.total_share", 100.0);
    close("sums.of_b", sum(&by("B")));
    close("sums.rows_b", f64::from(u32::try_from(by("B").len()).expect("few")));
    let a = by("A");
    close("sums.mean_a", sum(&a) / f64::from(u32::try_from(a.len()).expect("few")));
    close("sums.least_a", a.iter().copied().fold(f64::INFINITY, f64::min));
    close("sums.greatest_a", a.iter().copied().fold(0.0, f64::max));
    let both = rows.iter().filter(|(_, area, rate)| *area > 40.0 && *rate > 0.11).count();
    close("sums.both", f64::from(u32::try_from(both).expect("few")));
    close("sums.weighted", rows.iter().zip(&hours).map(|((_, area, _), hours)| area * hours).sum());
    let count = f64::from(u32::try_from(hours.len()).expect("few"));
    close("sums.rows", count);
    close("sums.mean", sum(&hours) / count);
    let remarks: Vec<String> = done.work.calc.remarks().collect();
    assert!(
        remarks.iter().any(|told| told.contains("labour.hours of 2 is its own entry")),
        "{remarks:?}"
    );
    // Where the steps come to be others, the entry stays with the number of its row: told.
    let subject = rodbook::job::Subject::of(
        &folder.0,
        Default::default(),
        rodbook::footing::System::Us,
        "usd",
    );
    let told = |input: &str, text: &str| {
        let set = vec![(input.to_owned(), text.to_owned())];
        let variant = rodbook::job::Variant { name: "other".to_owned(), set };
        let compared = rodbook::job::compare(&subject, &[variant]).expect("a variant");
        compared
            .remarks
            .iter()
            .any(|(_, said)| said.contains("own entries of labour stay in rows 2"))
    };
    assert!(told("prices.riser_each", "600 usd") && !told("prices.bars", "1 usd/lb"));
}

/// One row named, a row's own text, a line between two rows, roots, texts, working days.
#[test]
fn look_ups_and_the_rest() {
    let folder = with_sheets(&[
        ("items", "", "Item,Long [ft]\n1,4\n2,9\n3,16\n"),
        ("bands", "", BANDS),
        ("crews", "", CREWS),
        (
            "ours",
            "",
            "what,name,unit,formula\n\
             one,one,usd/h,\"crews.rate[\"\"B\"\"]\"\n\
             low,low,h/sf,bands.hours_per_area.low\n\
             between,between,h/sf,\"value_between(8.ft, bands.from, bands.hours_per_area)\"\n\
             at the limit,limit,h/sf,\"value_in_band(9.ft, bands.from, bands.hours_per_area)\"\n\
             a hair under,under,h/sf,\"value_in_band(8.99.ft, bands.from, bands.hours_per_area)\"\n\
             side,side,ft,root(2.25.sf)\n\
             edge,edge,ft,9.sf ** 0.5\n\
             by number,by_number,ft,items.long[2]\n\
             text,text,text,\"joined(\"\"crew \"\", crews.crew[\"\"A\"\"], \"\" of \"\", crews.size[\"\"A\"\"])\"\n\
             start,start,date,2026-11-26\n\
             done,done,date,\"working_day_after(start, 3, [date(\"\"2026-11-30\"\")])\"\n\
             days,days,,\"working_days(start, done, [date(\"\"2026-11-30\"\")])\"\n\
             weekend,weekend,date,\"working_day_after(date(\"\"2026-11-28\"\"), 0)\"\n",
        ),
    ]);
    let done = run(&folder.0);
    for (cell, wanted) in [
        ("ours.by_number", 9.0),
        ("ours.one", 71.0),
        ("ours.low", 0.08),
        ("ours.between", 0.1175),
        ("ours.limit", 0.135),
        ("ours.under", 0.10),
        ("ours.side", 1.5),
        ("ours.edge", 3.0),
        ("ours.days", 4.0),
    ] {
        assert!((number(&done, cell) - wanted).abs() < 1e-12, "{cell}: {}", number(&done, cell));
    }
    assert_eq!(words(&done, "ours.text"), "crew A of 3");
    // Thursday 26 November 2026, and the three working days after it without Monday the 30th: Friday, Tuesday, Wednesday.
    assert_eq!(words(&done, "ours.done"), "2026-12-02");
    assert_eq!(words(&done, "ours.weekend"), "2026-11-30");
}

/// Rows of one name are told apart by their number, a column without rows sums to nothing, conditions are turned around.
#[test]
fn rows_that_are_alike_and_none() {
    let folder = with_sheets(&[
        ("items", "", "Item,Amount [ft],Wanted\nunit,,yes/no\nx,1,TRUE\nx,2,no\n2,30,Yes\n"),
        ("none", "", "Item,Amount [ft]\ntotal,sum\n"),
        (
            "empty",
            "",
            "Item,A,K,N\nunit,ft,text,\ntotal,if count(a) > 0 { mean(a) } else { 0.ft },,\"count_where(k == \"\"x\"\")\"\n",
        ),
        (
            "ours",
            "",
            "what,name,unit,formula\n\
             two,two,ft,\"items.amount[\"\"2\"\"]\"\n\
             unwanted,unwanted,ft,\"sum_where(items.amount, !items.wanted)\"\n\
             less,less,ft,sum(-items.amount)\n\
             squares,squares,sf,sum(items.amount ** 2)\n\
             note,note,text,east / west\n",
        ),
    ]);
    let done = run(&folder.0);
    for (cell, wanted) in [
        ("ours.two", 30.0),
        ("items.amount.#1", 1.0),
        ("items.amount.#2", 2.0),
        ("none.total_amount", 0.0),
        ("empty.total_a", 0.0),
        ("empty.total_n", 0.0),
        ("ours.unwanted", 2.0),
        ("ours.less", -33.0),
        ("ours.squares", 905.0),
    ] {
        assert!((number(&done, cell) - wanted).abs() < 1e-12, "{cell}: {}", number(&done, cell));
    }
    assert_eq!(words(&done, "ours.note"), "east / west");
    assert!(done.work.calc.remarks().next().is_none());
    let options = rodbook::job::OpenOptions {
        overrides: vec![("items.amount".into(), "4 ft".into())],
        ..Default::default()
    };
    let told = rodbook::job::Job::open(&folder.0, &options)
        .and_then(|job| rodbook::job::work(&job, &|_| {}))
        .map_or_else(|faults| faults.to_string(), |_| "nothing".to_owned());
    assert!(told.contains("column items.amount is typed row by row"), "{told}");
    let set = [("items.amount.2", "31 ft"), ("items.amount.#1", "5")];
    let done = crate::support::run_with(&folder.0, &set);
    assert!((number(&done, "ours.two") - 31.0).abs() < 1e-12);
    assert!((number(&done, "ours.less") + 38.0).abs() < 1e-12);
}

#[test]
fn faults_of_rows() {
    let told = |sheets: &[(&str, &str, &str)]| {
        let folder = with_sheets(sheets);
        without_folder(&fault_of(&folder.0), &folder.0, "JOB")
    };
    let bad = "Band,From,From,Hours,fn\nunit,ft,furlongs,h,\nformula,,,from * 2,\nformula,,,,\na,1,x,,\n,2,,,\n";
    let ours = |formula: &str| format!("what,name,unit,formula\nx,x,,\"{formula}\"\n");
    let sheets = |formula: &str| {
        let ours = ours(formula);
        told(&[("bands", "", BANDS), ("crews", "", CREWS), ("ours", "", &ours)])
    };
    let all = [
        told(&[("bad", "", bad)]),
        told(&[(
            "labour",
            "rows = \"stem_pieces\"",
            "Run,Height,Bad\nunit,ft,\nformula,row.height,row.hight\n99,3,\n",
        )]),
        told(&[("labour", "rows = \"stem_piece\"", "Run,Height\nunit,ft\nformula,row.height\n")]),
        told(&[(
            "labour",
            "rows = \"runs\"\nper = \"wall\"",
            "Run,Height\nunit,ft\nformula,row.length\n",
        )]),
        told(&[("crews", "", "Crew,Rate [usd/h]\nA,0.5 ft\nB,\n")]),
        told(&[(
            "steps_of",
            "rows = \"steps\"",
            "Step,V [ft],T [text]\nunit,in,\nformula,row.dirt_step,row.nope\n3,50,\n3,60,\n1,2,3,4\n",
        )]),
        told(&[("same", "", "Item,V [ft]\nx,1\nx,2\n"), ("ours", "", &ours("same.v[\"\"x\"\"]"))]),
        sheets("value_for(\"\"C\"\", crews.crew, crews.rate)"),
        sheets("value_for(3, crews.crew, crews.rate)"),
        sheets("value_in_band(-1.ft, bands.from, bands.crew)"),
        sheets("value_in_band(1.h, bands.from, bands.crew)"),
        sheets("value_between(10.ft, bands.from, bands.from)"),
        sheets("sum_where(crews.rate, bands.crew == \"\"A\"\")"),
        sheets("min_where(bands.from, bands.crew == \"\"C\"\")"),
        sheets("value_for(\"\"A\"\", bands.crew, bands.from)"),
        sheets("crews.rate + 1.ft"),
        sheets("root(3.ft)"),
        sheets("row.height"),
        sheets("working_days(date(\"\"2026-11-26\"\"), date(\"\"2026-11-25\"\"))"),
        sheets("working_day_after(date(\"\"2026-11-26\"\"), 1.5)"),
        sheets("mean_where(bands.from, bands.crew == \"\"C\"\")"),
        sheets("bands.from[7]"),
        sheets("bands.from * hours per area"),
        sheets("3 1/2 ft"),
        told(&[("same", "", "Item,V [ft]\nx,1\nx,2\n"), ("ours", "", &ours("same.v[\"\"x\"\"]"))]),
        told(&[(
            "odd",
            "",
            "Wall,Cost [usd],Pages,Within cost,Expected kost\na,(500.00),6-8,1,2\n",
        )]),
        told(&[(
            "odd",
            "",
            "Run,X [ft],Crew [text],Hours [h]\nformula,,\"if x > 2.ft { \"\"A\"\" } else { \"\"B\"\" \",x and 3,4\na,1,\ntotal,max([1.ft,2.ft]),sum\n",
        )]),
        told(&[(
            "odd",
            "",
            "Run,When [h],Long [ft],Share [ft],Who [h]\nunit,,m\u{b2},,\na,3/1/2026,6-8,5 %,Two men\nb,8:30,0x10,1,1\n",
        )]),
        told(&[("odd", "", "Run,Area (sf),X [ft]\nformula,,area * 2\na,3,\n")]),
        sheets("value_between(1.ft, [1.ft], [1.ft])"),
        sheets("value_in_band(1.ft, [], [])"),
        sheets("sum(3.ft)"),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn what_is_expected_of_rows_and_totals() {
    let told = |text: &str| {
        let folder = with_sheets(&[("costs", "", text)]);
        let done = run(&folder.0);
        let unexpected = done.work.calc.unexpected().to_string();
        (without_folder(&unexpected, &folder.0, "JOB"), done.records("cell_tests").len())
    };
    let sheet = |b: &str, total: &str, within: &str| {
        format!(
            "Piece,Length [ft],Fee [usd],Expected fee,Within fee\nformula,,length * 2.usd / 1.ft,,\na,3,,6,\nb,4,,{b}\ntotal,,sum,,\nexpected,,{total},,\nwithin,,{within},,\n"
        )
    };
    assert_eq!(told(&sheet("8,", "14", "")), (String::new(), 3));
    assert_eq!(told(&sheet("8.2,5 %", "14.5", "1")), (String::new(), 3));
    let (text, tests) = told(&sheet("9,", "15", "0.5"));
    assert_eq!(tests, 3);
    insta::assert_snapshot!(text);
    let folder = with_sheets(&[("costs", "", "Piece,Length [ft]\na,3\nexpected,3\n")]);
    assert!(fault_of(&folder.0).contains("is of the total of a column, and this one has none"));
}

/// A text that no row has sums to nothing, and it is said; the mean of a column goes by two words.
#[test]
fn texts_that_no_row_has() {
    let folder = with_sheets(&[
        ("crews", "", "Crew,Rate [usd/h]\nAlpha,62.50\nBeta,71\ntotal,average\n"),
        (
            "ours",
            "",
            "what,name,unit,formula\nof it,of_it,usd/h,\"sum_where(crews.rate, crews.crew == \"\"alpha\"\")\"\n",
        ),
    ]);
    let done = run(&folder.0);
    assert_eq!(number(&done, "ours.of_it"), 0.0);
    assert!((number(&done, "crews.total_rate") - 66.75).abs() < 1e-12);
    let told: Vec<String> = done.work.calc.remarks().collect();
    let wanted =
        "no row of crews.crew is \"alpha\", which ours.of_it asks for: did you mean \"Alpha\"?";
    assert_eq!(told, [wanted]);
}

#[test]
fn hints_that_lead_somewhere() {
    let told = |formula: &str| {
        let sheet =
            format!("what,name,unit,formula\nA,a,ft,\"{}\"\n", formula.replace('"', "\"\""));
        fault_of(&with_sheets(&[("hints", "", &sheet)]).0)
    };
    assert!(told("max(1, 2, 3)").contains("max takes two values, or a list of several"));
    assert!(told("sqrt(4.sf)").contains("the root of a measure is root(x)"));
    assert!(told("\"a\" + \"b\"").contains("joined(\"a\", \"b\") makes one text"));
    // And each of them does.
    let done = run(&with_sheets(&[("hints", "", "what,name,unit,formula\nA,a,ft,\"max([1.ft, 2.ft, 3.ft])\"\nB,b,ft,root(4.sf)\nC,c,text,\"joined(\"\"a\"\", \"\"b\"\")\"\n")]).0);
    assert_eq!(
        ["hints.a", "hints.b", "hints.c"].map(|cell| words(&done, cell)),
        ["3 ft", "2 ft", "ab"]
    );
    let folder = with_sheets(&[]);
    let job = starter("job.toml").replacen("[prices]\n", "[prices]\nrebar = \"1.30 usd/lb\"\n", 1);
    folder.write("job.toml", job);
    assert!(fault_of(&folder.0).contains("a price of your own stands in the list own_price"));
}
