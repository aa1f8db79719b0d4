//! Every value of `tests/data/published.txt`, worked out by expression and compared; every source of it is on the list.

use rodbook::footing::System;
use rodbook::measure::{Quantity, unit};
use rodbook::script::{Calculator, ScriptFault};
use rodbook::source::{self, Standing};

use crate::support::read_text;

fn fault_words(fault: ScriptFault) -> String {
    match fault {
        ScriptFault::Problems(problems) => problems.to_string(),
        ScriptFault::NoLayout(..) => "no layout".into(),
    }
}

/// What is wrong with a row; nothing when it holds.
fn wrong(calculator: &mut Calculator, row: &[&str]) -> Option<String> {
    let [name, key, how, expression, expected, rest @ ..] = row else {
        return Some(format!("{row:?} is no row"));
    };
    let Some(source) = source::find(key) else {
        return Some(format!("{name}: source {key} is not on the list"));
    };
    if *how == "practice"
        && *key != "practice"
        && !source.title.contains("rule of the trade")
        && !matches!(source.standing, Standing::Quoted)
    {
        return Some(format!("{name}: {key} is no practice"));
    }
    let value = calculator.value(expression).map_err(fault_words);
    if *how == "refused" {
        return match value {
            Err(words) if words.contains(expected) => None,
            Err(words) => Some(format!("{name}: {words}")),
            Ok(_) => Some(format!("{name}: not refused")),
        };
    }
    let value = match value {
        Ok(value) => value,
        Err(words) => return Some(format!("{name}: {words}")),
    };
    if let Some(text) = expected.strip_prefix('=') {
        let found = value.to_string();
        return (found != text.trim()).then(|| format!("{name}: {found}, not {text}"));
    }
    let (number, unit_name) = expected.split_once(' ').unwrap_or((expected, ""));
    let tolerance = rest.first().and_then(|text| text.parse::<f64>().ok());
    let (Some(tolerance), Ok(number)) = (tolerance, number.parse::<f64>()) else {
        return Some(format!("{name}: no number or no tolerance"));
    };
    let found = match value.clone().try_cast::<Quantity>() {
        Some(quantity) => unit(unit_name).and_then(|unit| quantity.in_unit(&unit)).ok(),
        None => value.as_float().ok().filter(|_| unit_name.is_empty()),
    };
    let Some(found) = found else { return Some(format!("{name}: {value} is not in {unit_name}")) };
    let near = (found - number).abs() <= tolerance + 1e-12 * number.abs();
    let holds = match *how {
        "wrong" => !near,
        "published" | "computed" | "derived" | "practice" | "memory" => near,
        other => return Some(format!("{name}: {other} is no way of knowing")),
    };
    (!holds).then(|| format!("{name}: {found} {unit_name}, {how} {expected}"))
}

#[test]
fn values_from_outside() {
    let mut calculator = Calculator::new(System::Us, "usd");
    let text = read_text("published.txt");
    let rows: Vec<Vec<&str>> = text
        .lines()
        .filter(|line| !line.is_empty() && *line != "#" && !line.starts_with("# "))
        .map(|line| line.split('|').map(str::trim).collect())
        .collect();
    assert!(rows.len() > 1400, "{} rows", rows.len());
    let faults: Vec<String> = rows.iter().filter_map(|row| wrong(&mut calculator, row)).collect();
    assert!(faults.is_empty(), "{} of {}:\n{}", faults.len(), rows.len(), faults.join("\n"));
}

/// A row that does not hold is found: each kind of check can fail.
#[test]
fn planted_faults_are_found() {
    let mut calculator = Calculator::new(System::Us, "usd");
    let faulty = [
        "a | form-pressure | published | fluid_pressure(150.pcf, 8.ft) | 1201 psf | 0.5",
        "b | no-such-source | published | fluid_pressure(150.pcf, 8.ft) | 1200 psf | 0.5",
        "c | form-pressure | published | fluid_pressure(150.pcf, 8.ft) | 1200 ft | 0.5",
        "d | form-pressure | wrong | fluid_pressure(150.pcf, 8.ft) | 1200 psf | 0.5",
        "e | form-pressure | refused | fluid_pressure(150.pcf, 8.ft) | negative",
        "f | form-pressure | refused | fluid_pressure(150.pcf, -8.ft) | something else",
        "g | form-pressure | hearsay | fluid_pressure(150.pcf, 8.ft) | 1200 psf | 0.5",
        "i | form-pressure | published | fluid_pressure(150.pcf, 8.ft) | 1200 psf",
        "j | form-pressure | published | fluid_pressure(150.pcf, 8.ft) | many psf | 0.5",
        "h | footing-slope | published | bottom_is_stepped(1.ft, 10.ft) | = true",
    ];
    for row in faulty {
        let row: Vec<&str> = row.split('|').map(str::trim).collect();
        assert!(wrong(&mut calculator, &row).is_some(), "{row:?}");
    }
}
