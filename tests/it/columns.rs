//! Columns: sums by conditions and look-ups by fast steps, by the tree and by the script language, and after changes.

use proptest::prelude::*;
use rodbook::catalogue::Value;
use rodbook::files::Layers;
use rodbook::measure::{Quantity, Style};
use rodbook::script::{Formulas, Host};
use rodbook::sheet::{
    Book, CellColumn, CellRange, Cells, Inputs, NodeId, Per, Sheet, build, live, read_sheet,
};
use rodbook::table::read_text_list;

use crate::support::Numbers;

/// Nothing outside the sheets.
struct Nothing;

impl Inputs for Nothing {}

fn sheet(name: &str, text: &str) -> Sheet {
    let table = read_text_list(&format!("{name}.csv"), text.as_bytes()).expect("a table");
    read_sheet(&table, name, name, &Per::Job).unwrap_or_else(|faults| panic!("{faults}"))
}

fn host() -> Host {
    Host::new(Layers::new(None, None), &Style::default())
}

/// A generator of formulas over columns.
struct Dice(Numbers);

impl Dice {
    fn next(&mut self, below: u64) -> u64 {
        self.0.below(below)
    }

    fn one_of<'t>(&mut self, texts: &[&'t str]) -> &'t str {
        self.0.one_of(texts)
    }

    /// What is worked out of each row: a length, with its cells of one row or whole columns.
    fn lengths(&mut self, deep: u32) -> String {
        if deep == 0 {
            return self
                .one_of(&["work.long", "work.high", "work.both", "2.ft", "9.inch"])
                .to_owned();
        }
        let d = deep - 1;
        match self.next(5) {
            0 => format!("({} + {})", self.lengths(d), self.lengths(d)),
            1 => format!("({} - {})", self.lengths(d), self.lengths(d)),
            2 => {
                let times = ["work.n", "0.1", "3", "count_where(work.wet)", "(sum(work.n) / 999)"];
                format!("({} * {})", self.lengths(d), self.one_of(&times))
            }
            3 => format!("({} / {})", self.lengths(d), self.one_of(&["work.n", "7", "3"])),
            _ => format!("(-{})", self.lengths(d)),
        }
    }

    fn condition(&mut self, deep: u32) -> String {
        if deep == 0 {
            let compare = self.one_of(&["<", "<=", ">", ">=", "==", "!="]);
            return match self.next(5) {
                0 => format!(
                    "work.crew {} \"{}\"",
                    self.one_of(&["==", "!="]),
                    self.one_of(&["A", "B", "C", "none"])
                ),
                1 => "work.wet".to_owned(),
                2 => format!("!(work.n {compare} {})", self.next(9)),
                3 => format!(
                    "{} {compare} work.high",
                    self.one_of(&["work.long", "3.ft", "work.both"])
                ),
                _ => format!("work.long {compare} {}.inch", self.next(140)),
            };
        }
        let d = deep - 1;
        format!("({}) {} ({})", self.condition(d), self.one_of(&["&&", "||"]), self.condition(d))
    }

    /// One value over columns.
    fn over(&mut self) -> String {
        let deep = u32::try_from(self.next(3)).expect("small");
        let column = self.one_of(&["work.long", "work.high", "work.both"]).to_owned();
        match self.next(13) {
            0 => format!("sum_where({}, {})", self.lengths(deep), self.condition(deep)),
            1 => format!("mean_where({column}, {})", self.condition(deep)),
            2 => format!("min_where({column}, {})", self.condition(deep)),
            3 => format!("max_where({}, {})", self.lengths(deep), self.condition(deep)),
            4 => format!("count_where({}) * 1.ft", self.condition(deep)),
            5 => format!("sum({})", self.lengths(deep)),
            6 => format!("mean({column}) + {}", self.over()),
            7 => format!("min({column} - work.high)"),
            8 => format!("max({column})"),
            9 => format!("count({column}) * 1.inch"),
            10 => format!("value_in_band({}.inch, bands.from, bands.give)", self.next(200)),
            11 => format!("value_between({}.inch, bands.from, bands.give)", self.next(200)),
            _ => format!(
                "value_for(\"{}\", bands.crew, bands.give)",
                self.one_of(&["A", "B", "C", "Z"])
            ),
        }
    }
}

/// A table of work with so many rows, a table of bands, and a sheet of these formulas.
fn sheets(dice: &mut Dice, rows: u64, formulas: &[String]) -> Vec<Sheet> {
    let mut work = "Item,Long [ft],High [in],N,Crew,Wet,Both,Rate,Name,Share\n\
         unit,ft,in,,text,yes/no,ft,ft,text,\n\
         formula,,,,,,long + high * n,\"value_in_band(long, bands.from, bands.give)\",\"value_for(crew, bands.crew, bands.name)\",long / sum(work.long)\n"
        .to_owned();
    for row in 0..rows {
        let (long, high) = (dice.next(12_000), dice.next(90));
        let crew = dice.one_of(&["A", "B", "C"]);
        let wet = dice.one_of(&["yes", "no"]);
        work += &format!(
            "r{row},{}.{:03},{high},{},{crew},{wet},,,,\n",
            long / 1000,
            long % 1000,
            1 + dice.next(7)
        );
    }
    let bands = "Band,From [ft],Give [ft],Crew,Name\nunit,ft,ft,text,text\nlow,0,1.25,A,first\nmid,2.5,0.1,B,second\nhigh,7,3.3,C,third\ntop,12,0,D,fourth\n";
    let mut sums = "what,name,unit,formula\n".to_owned();
    for (at, formula) in formulas.iter().enumerate() {
        sums += &format!(",s{at},ft,\"{}\"\n", formula.replace('"', "\"\""));
    }
    vec![sheet("work", &work), sheet("bands", bands), sheet("sums", &sums)]
}

fn bits(value: Option<Value>) -> String {
    match value {
        Some(Value::Measure(quantity)) => format!("{:x}", (quantity.base() + 0.0).to_bits()),
        Some(Value::Number(number)) => format!("{:x}", (number + 0.0).to_bits()),
        other => format!("{other:?}"),
    }
}

fn ids(book: &Book) -> std::ops::Range<NodeId> {
    0..NodeId::try_from(book.nodes().len()).expect("few")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(if cfg!(debug_assertions) { 60 } else { 600 }))]

    /// Fast steps and the tree give the same to the last bit, over one block of rows and several; so does the script
    /// language where it has arrays for it.
    #[test]
    fn steps_tree_and_script_agree(seed in any::<u64>(), rows in prop_oneof![1..40_u64, 500..1100_u64]) {
        let mut dice = Dice(Numbers(seed));
        let formulas: Vec<String> = (0..8).map(|_| dice.over()).collect();
        let sheets = sheets(&mut dice, rows, &formulas);
        let host = host();
        let with = |only_script: bool| {
            let formulas = Formulas::new(&host, None, None).unwrap_or_else(|_| panic!("formulas"));
            if only_script { formulas.only_script() } else { formulas }
        };
        let language = with(false);
        let (fast, _) = build(&sheets, &Nothing, &language);
        let mut tree = fast.clone().only_trees();
        tree.recalculate(&language);
        for id in ids(&fast) {
            prop_assert_eq!(bits(fast.value(id)), bits(tree.value(id)), "{} {}", fast.node(id).name, fast.node(id).text);
        }
        if rows > 40 {
            return Ok(());
        }
        let (script, _) = build(&sheets, &Nothing, &with(true));
        for (at, formula) in formulas.iter().enumerate() {
            let id = |book: &Book| book.find(&format!("sums.s{at}")).expect("a cell");
            if let Some(value) = script.value(id(&script)) {
                prop_assert_eq!(bits(Some(value)), bits(fast.value(id(&fast))), "{}", formula);
            }
        }
    }
}

/// A thousand changes of single rows and of bands: what is recalculated equals what all of it comes to.
#[test]
fn a_thousand_changes() {
    let mut dice = Dice(Numbers(7));
    let formulas: Vec<String> = (0..40).map(|_| dice.over()).collect();
    let sheets = sheets(&mut dice, 1300, &formulas);
    let host = host();
    let language = Formulas::new(&host, None, None).unwrap_or_else(|_| panic!("formulas"));
    let (mut book, faults) = build(&sheets, &Nothing, &language);
    let told = faults.to_string();
    assert!(
        told.lines().all(|line| !line.starts_with("error") || line.contains("sums.s")),
        "{told}"
    );
    let length = |inches: u64| Value::Measure(Quantity::of(inches as f64, "in").expect("a length"));
    for change in 0..1000 {
        let row = format!("r{}", dice.next(1300));
        let (name, value) = match dice.next(6) {
            0 => (format!("work.long.{row}"), length(dice.next(150))),
            1 => (format!("work.high.{row}"), length(dice.next(90))),
            2 => (format!("work.n.{row}"), Value::Number(dice.next(9) as f64)),
            3 => (
                format!("work.crew.{row}"),
                Value::Text(dice.one_of(&["A", "B", "C", "Z"]).to_owned()),
            ),
            4 => (format!("work.wet.{row}"), Value::Flag(dice.next(2) == 0)),
            _ => (
                format!("bands.give.{}", dice.one_of(&["low", "mid", "high"])),
                length(dice.next(60)),
            ),
        };
        let id = book.find(&name).unwrap_or_else(|| panic!("{name}"));
        book.set(id, value).expect("of its kind");
        book.recalculate_from(&[id], &language);
        if change % 50 == 49 {
            let mut full = book.clone();
            full.recalculate(&language);
            for id in ids(&book) {
                assert_eq!(
                    bits(book.value(id)),
                    bits(full.value(id)),
                    "{} after {change}",
                    book.node(id).name
                );
            }
        }
    }
}

/// Where columns stand side by side, and one that does not.
struct Ranges<'b>(&'b Book);

impl Cells for Ranges<'_> {
    fn reference(&self, id: u32) -> Option<String> {
        Some(self.0.node(id).name.replace('.', "_"))
    }

    fn range(&self, column: CellColumn) -> Option<CellRange> {
        let name = self.0.node(column.first).name.split('.').nth(1)?.to_uppercase();
        let shifted = Some((format!("{name}_UP"), format!("{name}_DOWN")));
        (name != "N").then_some(CellRange { text: name, shifted, down: true })
    }
}

/// Functions over columns in a spreadsheet: over ranges, whatever they measure in; item by item where there is no range.
#[test]
fn live_formulas_over_ranges() {
    let mut dice = Dice(Numbers(3));
    let formulas = [
        ("sum(work.long)", "SUM(LONG)"),
        ("sum(work.long - work.high)", "SUMPRODUCT(LONG-HIGH/12)"),
        ("mean(work.high)", "AVERAGE(HIGH)/12"),
        ("min(work.long / 2)", "SUMPRODUCT(MIN(LONG/2))"),
        (
            "count_where(work.wet || work.crew == \"A\") * 1.ft",
            "SUMPRODUCT(--(WET+EXACT(CREW,\"A\")>0))",
        ),
        (
            "sum_where(work.high, !work.wet && work.long > 3.ft)",
            "SUMPRODUCT(HIGH*(NOT(WET)*(LONG>3)))/12",
        ),
        (
            "max_where(work.long, work.high <= 600.inch)",
            "IF(SUMPRODUCT(--(HIGH<=600))=0,NA(),SUMPRODUCT(MAX(LONG-1E+300*(1-(HIGH<=600)))))",
        ),
        (
            "value_for(\"B\", bands.crew, bands.give)",
            "IF(SUMPRODUCT(--EXACT(CREW,\"B\"))=1,LOOKUP(2,1/EXACT(CREW,\"B\"),GIVE),NA())",
        ),
        (
            "value_in_band(30.inch, bands.from, bands.give)",
            "IF(SUMPRODUCT(--(FROM_DOWN<=FROM_UP))=0,LOOKUP(2.5+ABS(2.5)*0.000000000001,FROM,GIVE),NA())",
        ),
        ("sum(work.n) * 1.ft", "SUM(work_n_r0,work_n_r1,work_n_r2)"),
        // A second condition that may have no value is asked for in its row only.
        (
            "count_where(work.wet && work.long / work.n > 1.ft) * 1.ft",
            "SUM(IF(IF(work_wet_r0,work_long_r0/work_n_r0>1,FALSE),1,0),IF(IF(work_wet_r1,work_long_r1/work_n_r1>1,FALSE),1,0),IF(IF(work_wet_r2,work_long_r2/work_n_r2>1,FALSE),1,0))",
        ),
    ];
    let texts: Vec<String> = formulas.iter().map(|(text, _)| (*text).to_owned()).collect();
    let sheets = sheets(&mut dice, 3, &texts);
    let host = host();
    let language = Formulas::new(&host, None, None).unwrap_or_else(|_| panic!("formulas"));
    let (book, faults) = build(&sheets, &Nothing, &language);
    assert_eq!(faults.to_string(), "");
    for (at, (text, wanted)) in formulas.iter().enumerate() {
        let id = book.find(&format!("sums.s{at}")).expect("a cell");
        assert_eq!(live(id, &book, &Ranges(&book)).as_deref(), Some(*wanted), "{text}");
    }
}
