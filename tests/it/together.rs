//! Several structures of one site: what they share, one price, where their work meets, and what keeps them apart.

use std::path::{Path, PathBuf};

use rodbook::job::{Job, OpenOptions, Together, together, work};

use crate::support::Folder;

fn terraces(metric: bool) -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/cases/terraces");
    if metric { folder.join("metric") } else { folder }
}

/// The two jobs of a folder, with one of them edited.
fn edited(edit: impl Fn(&str, String) -> String) -> (Folder, Vec<PathBuf>) {
    let folder = Folder::new();
    for name in ["job.toml", "upper.toml"] {
        let text = std::fs::read_to_string(terraces(false).join(name)).expect("a job");
        folder.write(name, edit(name, text));
    }
    let jobs = ["job.toml", "upper.toml"].map(|name| folder.0.join(name)).to_vec();
    (folder, jobs)
}

fn both(edit: impl Fn(&str, String) -> String) -> Result<Together, String> {
    let (_folder, jobs) = edited(edit);
    together(&jobs, &OpenOptions::default()).map_err(|faults| faults.to_string())
}

/// Source: `tests/oracle/cases.py`, where both walls are typed a second time.
#[test]
fn terraces_are_as_worked_by_hand_and_add_up() {
    for metric in [false, true] {
        let folder = terraces(metric);
        let jobs = ["job.toml", "upper.toml"].map(|name| folder.join(name));
        let found = together(&jobs, &OpenOptions::default()).unwrap_or_else(|f| panic!("{f}"));
        assert_eq!(found.names, ["Lower terrace", "Upper terrace"]);
        for (at, hand) in ["hand.csv", "upper-hand.csv"].into_iter().enumerate() {
            let text = std::fs::read_to_string(folder.join(hand)).expect("a hand calculation");
            for line in text.lines().skip(1) {
                let (name, quantity) = line.split_once(',').expect("two columns");
                let row = found.row(&format!("takeoff.{name}")).expect("a row");
                let (ours, theirs) =
                    (row.values[at].expect("a number"), quantity.parse::<f64>().expect("a number"));
                assert!((ours - theirs).abs() <= 2e-6, "{name}: {ours}, by hand {theirs}");
            }
        }
        let total = found.row("price.total").expect("a total");
        let parts: f64 = total.values.iter().flatten().sum();
        assert!(total.sum.is_some_and(|sum| (sum - parts).abs() < 1e-9 && sum > 0.0));
        let meets = found.notes.iter().filter(|note| note.starts_with("CAUTION")).count();
        assert_eq!(meets, 1, "{:?}", found.notes);
        assert!(found.notes.iter().any(|note| {
            note.contains("the digs of Lower terrace and Upper terrace meet, first at W1")
        }));
    }
}

/// Each is a job of its own, by the settings of both files, and its workbook has its own name.
#[test]
fn a_structure_shares_what_it_does_not_say() {
    let open =
        |path: PathBuf| Job::open(&path, &OpenOptions::default()).unwrap_or_else(|f| panic!("{f}"));
    let upper = open(terraces(false).join("upper.toml"));
    let lower = open(terraces(false));
    let ids = |job: &Job| -> Vec<String> {
        job.wall_job.site.chain.walls().iter().map(|wall| wall.id.clone()).collect()
    };
    assert_eq!((ids(&upper), ids(&lower)), (vec!["U1".to_owned()], vec!["W1".to_owned()]));
    assert_eq!(upper.wall_job.site.types, lower.wall_job.site.types);
    assert_eq!(upper.wall_job.site.rules.depths, lower.wall_job.site.rules.depths);
    assert!(upper.own_workbook().ends_with("upper-takeoff.xlsx"));
    assert!(lower.own_workbook().ends_with("takeoff.xlsx"));
    let told: Vec<&str> = upper.own_values.iter().map(|own| own.path.as_str()).collect();
    assert!(told.contains(&"module.lowest_level"), "{told:?}");
}

#[test]
fn where_their_work_meets_is_told() {
    let apart = both(|name, text| match name {
        "upper.toml" => text.replace("north = \"16 ft\"", "north = \"20 ft\""),
        _ => text,
    });
    let meets = |found: &Together| found.notes.iter().any(|note| note.starts_with("CAUTION"));
    assert!(!meets(&apart.expect("sound")));
    let adrift = both(|name, text| match name {
        "job.toml" => text.replace("start = { east = \"0 ft\", north = \"0 ft\" }\n", ""),
        _ => text,
    });
    let adrift = adrift.expect("sound");
    assert!(!meets(&adrift));
    assert!(adrift.notes.iter().any(|note| note.starts_with("Lower terrace has no place in plan")));
    // The upper wall across the lower one and at its levels: 6 ft of both footings cross, 1 ft thick; the upper one's
    // lower footing lies between 100 and 101 ft as the other's.
    let crossing = both(|name, text| match name {
        "upper.toml" => text
            .replace(
                "start = { east = \"0 ft\", north = \"16 ft\" }",
                "start = { east = \"8 ft\", north = \"-10 ft\", bearing = \"0 deg\" }",
            )
            .replace("110 ft", "102 ft")
            .replace("111 ft", "102 ft")
            .replace("109.5 ft", "101.5 ft")
            .replace("118 ft", "110 ft")
            .replace("114 ft", "107 ft")
            .replace("lowest_level = 6", "lowest_level = 0"),
        _ => text,
    });
    let notes = crossing.expect("sound").notes;
    // Own computation: 6 ft x 6 ft x 1 ft.
    let told = "the footings of Lower terrace and Upper terrace lie over each other: about 1.33 cy (1.02 m3)";
    assert!(notes.iter().any(|note| note.contains(told)), "{notes:?}");
}

#[test]
fn what_keeps_structures_apart_is_refused() {
    let lump = "\n[[own_price]]\nname = \"crane\"\nprice = \"900 usd\"\ntimes = \"1\"\n";
    let shared_lump =
        |name: &str, text: String| if name == "job.toml" { text + lump } else { text };
    let told = both(shared_lump).expect_err("a shared lump sum");
    assert!(told.contains("crane is a lump sum that the structures share"), "{told}");
    let without = |name: &str, text: String| {
        let text = shared_lump(name, text);
        let own = "shares = \"job.toml\"\nwithout = [\"own_price.crane\"]";
        if name == "upper.toml" { text.replace("shares = \"job.toml\"", own) } else { text }
    };
    let found = both(without).expect("taken out of one");
    let crane = found.row("price.crane").expect("its line");
    assert_eq!((crane.values.clone(), crane.sum), (vec![Some(900.0), None], Some(900.0)));
    let rows: [(&str, &str, &str); 6] = [
        (
            "name = \"Upper terrace\"",
            "name = \"Lower terrace\"",
            "two structures are called Lower terrace",
        ),
        (
            "name = \"Upper terrace\"",
            "units = \"metric\"\nname = \"U\"",
            "other units or another currency",
        ),
        ("name = \"Upper terrace\"\n", "", "job.name is missing"),
        ("shares = \"job.toml\"", "shares = \"upper.toml\"", "this job shares itself"),
        (
            "shares = \"job.toml\"",
            "shares = \"../job.toml\"",
            "is not a job.toml in the folder of this job",
        ),
        ("shares = \"job.toml\"", "shares = \"other.toml\"", "other.toml"),
    ];
    for (from, to, words) in rows {
        let told =
            both(|name, text| if name == "upper.toml" { text.replace(from, to) } else { text });
        let told = told.expect_err(words);
        assert!(told.contains(words), "{to}: {told}");
    }
    let (_folder, jobs) = edited(|name, text| match name {
        "upper.toml" => text.replace("top = \"118 ft\"", "top = \"140 ft\""),
        _ => text,
    });
    assert!(together(&jobs, &OpenOptions::default()).is_err());
    let upper = Job::open(&jobs[1], &OpenOptions::default()).and_then(|job| work(&job, &|_| {}));
    assert!(upper.is_ok_and(|work| work.takeoff.is_none()));
}

/// What the shared file leaves out of the company's standard, and the company that it names, hold for its jobs too; own values
/// are told once, against the nearest file.
#[test]
fn a_company_below_what_is_shared() {
    let folder = Folder::new();
    folder.write("company/standard.toml", "[prices]\nrise = \"40 usd/ft\"\n[[zone]]\nname = \"z\"\nwall = \"W1\"\nfrom = \"0 ft\"\nto = \"1 ft\"\n[rules]\nthroat = \"10 in\"\n");
    for name in ["job.toml", "upper.toml"] {
        let text = std::fs::read_to_string(terraces(false).join(name)).expect("a job");
        let text = match name {
            "job.toml" => {
                text.replace("bid_date", "without = [\"rules.throat\", \"zone\"]\nbid_date")
            }
            _ => text + "\n[prices]\nrise = \"90 usd/ft\"\n",
        };
        folder.write(name, text);
    }
    let open = |name: &str| Job::open(&folder.0.join(name), &OpenOptions::default());
    for name in ["job.toml", "upper.toml"] {
        let job = open(name).unwrap_or_else(|faults| panic!("{faults}"));
        assert_eq!(job.wall_job.site.rules.throat, None, "{name}");
    }
    let upper = open("upper.toml").unwrap_or_else(|faults| panic!("{faults}"));
    let rises: Vec<_> = upper.own_values.iter().filter(|own| own.path == "prices.rise").collect();
    assert_eq!(rises.len(), 1);
    assert!(rises[0].standard_from.file.ends_with("job.toml"), "{:?}", rises[0]);
}
