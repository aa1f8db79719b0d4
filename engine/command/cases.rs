//! `cases`: the bundled wall cases, or one of them in full.

use serde_json::json;

use super::args::CasesArgs;
use super::takeoff::faults;
use super::terminal::{Exit, print};
use crate::job::{BundledCase, bundled_cases};
use crate::problem::{Problem, closest};

/// Lists the cases with one line each, or tells of one.
pub(super) fn cases(args: &CasesArgs) -> Exit {
    let all = bundled_cases();
    let Some(name) = &args.name else {
        print(&if args.json { as_json(&all) } else { listed(&all) });
        return Exit::Done;
    };
    let Some(case) = all.iter().find(|case| case.name == name) else {
        let problem = Problem::error(format!("there is no bundled wall case {name}"));
        let near = closest(name, all.iter().map(|case| case.name));
        let help =
            near.map_or("rodbook cases lists them".into(), |near| format!("did you mean {near}?"));
        return faults(&problem.help(help).into());
    };
    if args.json {
        print(&as_json(std::slice::from_ref(case)));
        return Exit::Done;
    }
    let about = case.about.join("\n");
    print(&format!(
        "{}\n{about}\nTaken off by scripts/{}.rhai. Start one: rodbook new FOLDER --case {}",
        case.title, case.script, case.name
    ));
    Exit::Done
}

fn listed(all: &[BundledCase]) -> String {
    let wide = all.iter().map(|case| case.name.len()).max().unwrap_or(0);
    let line = |case: &BundledCase| format!("{:wide$}  {}", case.name, case.title);
    all.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn as_json(all: &[BundledCase]) -> String {
    let one = |case: &BundledCase| json!({ "name": case.name, "title": case.title, "about": case.about, "script": case.script });
    let list: Vec<serde_json::Value> = all.iter().map(one).collect();
    format!("{:#}", json!(list))
}
