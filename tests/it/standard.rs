//! What a company's folder gives to all of its jobs, prices of a job's own, and jobs that start from others.

use std::path::Path;
use std::process::Command;

use crate::support::{Done, Folder, fault_of, run, run_with, without_folder};

fn starter(name: &str) -> &'static str {
    rodbook::files::embedded(&format!("templates/starter/{name}")).expect("bundled")
}

/// The starter in the folder `lot`, beside a company folder with this standard; some of its text replaced.
fn lot(standard: &str, replaced: &[(&str, &str)]) -> Folder {
    let folder = Folder::new();
    let mut job = starter("job.toml").to_owned();
    for (from, to) in replaced {
        assert!(job.contains(from), "{from}");
        job = job.replacen(from, to, 1);
    }
    folder.write("lot/job.toml", job);
    folder.write("lot/shots.csv", starter("shots.csv"));
    folder.write("company/standard.toml", standard);
    folder
}

fn lot_of(folder: &Folder) -> std::path::PathBuf {
    folder.0.join("lot")
}

/// Every line with its quantity, and what the price comes to.
fn numbers(done: &Done) -> Vec<String> {
    let lines = done.records("lines").iter();
    let mut all: Vec<String> =
        lines.map(|line| format!("{} {}", line["id"], line["quantity"])).collect();
    let book = &done.work.calc.book;
    all.extend(book.find("price.total").map(|id| book.words(id)));
    all
}

#[test]
fn what_the_standard_gives_counts_as_if_the_job_said_it() {
    let prices = starter("job.toml").split_once("[prices]\n").expect("prices").1;
    let prices = prices.split_once("\n\n").expect("an end").0;
    let standard = format!("[prices]\n{prices}\n");
    let folder = lot(&standard, &[(prices, "")]);
    let plain = lot("", &[]);
    let (over, alone) = (run(&lot_of(&folder)), run(&lot_of(&plain)));
    assert_eq!(numbers(&over), numbers(&alone));
    assert!(over.records("own_values").is_empty());
    let from = over.records("inputs").iter().find(|row| row["path"] == "prices.dig");
    let from = from.expect("a price")["from"].as_str().expect("a place").to_owned();
    assert!(from.starts_with("company/standard.toml:"), "{from}");
}

#[test]
fn the_job_says_where_it_differs() {
    let standard = "[prices]\ndig = \"19 usd/cy\"\nhaul = \"17 usd/cy\"\n[[type]]\nid = \"S6\"\nstem_up_to = \"6 ft\"\nwidth = \"4'-6\"\nthickness = \"12 in\"\ntoe = \"12 in\"\n";
    let folder = lot(standard, &[]);
    let done = run(&lot_of(&folder));
    let told: Vec<_> = done
        .records("own_values")
        .iter()
        .map(|row| {
            let text = |name: &str| row[name].as_str().expect("a text").to_owned();
            (text("path"), text("value"), text("standard"), text("standard_from"))
        })
        .collect();
    // The same value twice is not a difference.
    let row = |path: &str, own: &str, standard: &str, from: &str| {
        (path.to_owned(), own.to_owned(), standard.to_owned(), from.to_owned())
    };
    assert_eq!(
        told,
        [
            row("prices.dig", "21 usd/cy", "19 usd/cy", "company/standard.toml:2:7"),
            row("type.S6.width", "4 ft", "4'-6", "company/standard.toml:7:9"),
        ]
    );
    assert_eq!(numbers(&done), numbers(&run(&lot_of(&lot("", &[])))));
}

#[test]
fn lists_of_both_are_one() {
    let sheet = |name: &str, text: &str| {
        format!("[[sheet]]\nname = \"{name}\"\nfile = \"{name}.csv\"\ntitle = \"{text}\"\n")
    };
    let folder = lot(
        &(sheet("ours", "Of the firm") + &*sheet("both", "Of the firm")),
        &[("[bid]", &(sheet("both", "Of the job") + &*sheet("mine", "Of the job") + "[bid]"))],
    );
    for name in ["company/ours.csv", "company/both.csv", "lot/mine.csv"] {
        folder.write(name, "what,name,unit,formula\nA number,n,,1 + 1\n");
    }
    let done = run(&lot_of(&folder));
    let book = &done.work.calc.book;
    for name in ["ours.n", "both.n", "mine.n", "price.total"] {
        assert!(book.find(name).is_some(), "{name}");
    }
    assert_eq!(done.records("own_values")[0]["path"], "sheet.both.title");
}

#[test]
fn faults_of_both_files_at_once() {
    let folder = lot(
        "[prices]\ndig = \"21 usd\"\nhual = \"1 usd/cy\"\n[job]\ncompany = \"../company\"\n",
        &[("swell = 25", "swel = 25")],
    );
    insta::assert_snapshot!(without_folder(&fault_of(&lot_of(&folder)), &folder.0, "FIRM"));
    let folder =
        lot("[prices]\ndig = \"21 usd\"\nhual = \"1 usd/cy\"\n", &[("swell = 25", "swel = 25")]);
    insta::assert_snapshot!(without_folder(&fault_of(&lot_of(&folder)), &folder.0, "FIRM"));
    let folder = lot("[prices]\ndig = 21 usd/cy\n", &[]);
    insta::assert_snapshot!(without_folder(&fault_of(&lot_of(&folder)), &folder.0, "FIRM"));
}

#[test]
fn the_command_line_stands_over_both() {
    let folder = lot("[allowances]\nlayback_from = \"footing top\"\n[job]\nunits = \"us\"\n", &[]);
    let set = run_with(&lot_of(&folder), &[("prices.dig", "42 usd/cy")]);
    let usual = run(&lot_of(&folder));
    assert_ne!(numbers(&set), numbers(&usual));
}

const STAKES: &str = "[job]\nprices_hold = 90\nbid_date = \"2026-11-25\"\n[[own_price]]\nname = \"stakes\"\nwhat = \"stakes along the wall\"\nprice = \"2.40 usd/ft\"\nsupplier = \"Yard\"\ndate = \"2026-08-26\"\n[[sheet]]\nname = \"extras\"\nfile = \"extras.csv\"\n";

#[test]
fn a_price_of_the_firms_own() {
    let folder = lot(STAKES, &[]);
    folder.write(
        "company/extras.csv",
        "what,name,unit,formula\nStakes,stakes,usd,to_cent(job.length * prices.stakes)\n",
    );
    let cell = |done: &Done| {
        let book = &done.work.calc.book;
        book.words(book.find("extras.stakes").expect("the cell"))
    };
    // 64 ft of wall.
    assert_eq!(cell(&run(&lot_of(&folder))), "153.60 usd");
    assert_eq!(cell(&run_with(&lot_of(&folder), &[("prices.stakes", "1 usd/ft")])), "64.00 usd");
    assert_eq!(
        cell(&run_with(&lot_of(&folder), &[("own_price.stakes.price", "2 usd/ft")])),
        "128.00 usd"
    );
    assert!(run(&lot_of(&folder)).records("old_prices").iter().any(|row| row["days"] == 91));
    // On the ninetieth day it holds.
    let day = run_with(&lot_of(&folder), &[("job.bid_date", "2026-11-24")]);
    assert!(day.records("old_prices").is_empty());
    let options = rodbook::job::OpenOptions::default();
    let keys = rodbook::job::keys_at(&lot_of(&folder), &options).unwrap_or_else(|f| panic!("{f}"));
    assert_eq!(keys.find("prices.stakes").expect("a key").about, "stakes along the wall");
}

#[test]
fn a_bundled_price_with_its_supplier() {
    let own = "[[own_price]]\nname = \"dig\"\nprice = \"21 usd/cy\"\nsupplier = \"Digger\"\ndate = \"2026-08-01\"\n";
    let folder = lot(own, &[("dig = \"21 usd/cy\"\n", "")]);
    assert_eq!(numbers(&run(&lot_of(&folder))), numbers(&run(&lot_of(&lot("", &[])))));
}

#[test]
fn faults_of_own_prices() {
    let own = |name: &str, price: &str, more: &str| {
        format!("[[own_price]]\nname = \"{name}\"\nprice = \"{price}\"\n{more}")
    };
    let all = own("dig", "3 usd/cy", "")
        + &*own("pump", "3 usd/ft", "")
        + &*own("form oil", "3 usd/gal", "")
        + &*own("nails", "3", "")
        + &*own("wire", "3 usd/lb", "date = \"last week\"\n")
        + "[[own_price]]\nname = \"ties\"\n";
    let folder = lot("", &[("[bid]", &(all + "[bid]"))]);
    insta::assert_snapshot!(without_folder(&fault_of(&lot_of(&folder)), &folder.0, "FIRM"));
}

fn rodbook(args: &[&str]) -> String {
    let run =
        Command::new(env!("CARGO_BIN_EXE_rodbook")).args(args).output().expect("the program runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    format!("exit {}\n{}{}", run.status.code().unwrap_or(-1), text(&run.stdout), text(&run.stderr))
}

fn word(path: &Path) -> &str {
    path.to_str().expect("UTF-8")
}

#[test]
fn a_new_job_does_not_repeat_the_standard() {
    let firm = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/firm/company");
    let folder = Folder::new();
    let standard = std::fs::read_to_string(firm.join("standard.toml")).expect("the standard");
    let standard = standard.split("# What the yard has").next().expect("the head");
    folder.write("company/standard.toml", standard);
    let target = folder.0.join("lot");
    let said = rodbook(&["new", word(&target)]);
    assert!(said.starts_with("exit 0"), "{said}");
    let done = run(&target);
    assert!(done.records("own_values").is_empty(), "{:?}", done.records("own_values"));
    let job = std::fs::read_to_string(target.join("job.toml")).expect("the job");
    assert!(
        !job.contains("drain_rock =")
            && job.contains("# from the company's standard: dig, drain_rock"),
        "{job}"
    );
}

#[test]
fn a_job_is_copied() {
    let folder = lot(
        STAKES,
        &[(
            "# bid_date = \"2026-11-25\"        # printed; without it no date is",
            "bid_date = \"2026-11-20\"",
        )],
    );
    folder.write(
        "company/extras.csv",
        "what,name,unit,formula\nStakes,stakes,usd,to_cent(job.length * prices.stakes)\n",
    );
    folder.write("lot/scripts/functions.rhai", "fn twice(x) { 2 * x }");
    folder.write("lot/unread.txt", "a note");
    let (old, new) = (lot_of(&folder), folder.0.join("lot-2"));
    let said = rodbook(&["new", word(&new), "--from", word(&old)]);
    assert!(said.starts_with("exit 0") && said.contains("job.name is lot-2 now"), "{said}");
    let done = run(&new);
    assert_eq!(numbers(&done), numbers(&run(&old)));
    assert_eq!(done.job.wall_job.title.name, "lot-2");
    // Of the standard now.
    assert_eq!(done.job.wall_job.title.date.as_deref(), Some("2026-11-25"));
    assert!(new.join("scripts/functions.rhai").exists() && !new.join("unread.txt").exists());
    assert!(rodbook(&["new", word(&new), "--from", word(&old)]).contains("is there already"));
    // With another list.
    let list = folder.write("their list.csv", starter("shots.csv"));
    let third = folder.0.join("lot-3");
    let said = rodbook(&["new", word(&third), "--from", word(&old), "--shots", word(&list)]);
    assert!(said.starts_with("exit 0"), "{said}");
    assert!(third.join("their list.csv").exists() && !third.join("shots.csv").exists());
    assert_eq!(numbers(&run(&third)), numbers(&run(&old)));
}

#[test]
fn a_supplier_stands_for_his_own_price_only() {
    let standard = "[job]\nprices_hold = 30\nbid_date = \"2026-11-25\"\n[[own_price]]\nname = \"dig\"\nprice = \"19 usd/cy\"\nsupplier = \"Digger\"\ndate = \"2026-01-01\"\n";
    let old = |done: &Done| done.records("old_prices").len();
    let dig = ("dig = \"21 usd/cy\"\n", "");
    assert_eq!(old(&run(&lot_of(&lot(standard, &[dig])))), 1);
    // The job's own price is not his.
    assert_eq!(old(&run(&lot_of(&lot(standard, &[])))), 0);
    assert_eq!(old(&run_with(&lot_of(&lot(standard, &[dig])), &[("prices.dig", "20 usd/cy")])), 0);
}

#[test]
fn what_a_job_reads_is_copied_with_it() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/tarrow-bench");
    let folder = Folder::new();
    let target = folder.0.join("copy");
    let said = rodbook(&["new", word(&target), "--from", word(&demo)]);
    assert!(said.starts_with("exit 0"), "{said}");
    assert!(target.join("per_foot.rhai").exists());
    assert_eq!(numbers(&run(&target)), numbers(&run(&demo)));
}
