//! Entries of sheets that have two readings, or that a formula reads as something else than was meant.

use crate::measure::read_date;
use crate::problem::Problem;
use crate::table::{Row, numberlike};

/// A bare number above 0 and under 1 in a row of percent.
pub(super) fn share(formula: &str, unit: &str) -> Option<Problem> {
    let number = Some(formula)
        .filter(|_| unit == "percent")
        .and_then(|text| text.parse::<f64>().ok())
        .filter(|number| *number > 0.0 && *number < 1.0)?;
    let percent = crate::measure::shortest(crate::measure::significant(number * 100.0, 7));
    let problem = Problem::error(format!(
        "{number} in a row of percent has two readings: a share, which is {percent} %, or {number} %"
    ));
    Some(problem.help(format!("write {percent}, or {number} % with its sign")))
}

/// A bare number in brackets, which accounting reads as negative and a formula as it is.
pub(super) fn in_brackets(row: &Row, formula: &str) -> Option<Problem> {
    let written = row.cells.iter().any(|cell| cell.text.trim_start_matches('=') == formula);
    let inner = formula.strip_prefix('(')?.strip_suffix(')')?;
    (written && numberlike(inner)).then(|| {
        Problem::error(format!(
            "{formula} has two readings: {inner}, or -{inner} as accounts write it"
        ))
        .help(format!("write {inner} or -{inner}"))
    })
}

/// An entry that people write for a range, a date, a time or a text, and that a formula reads as a sum or not at all.
pub(super) fn misread(text: &str, unit: &str) -> Option<Problem> {
    let of = |separator: char| -> Option<Vec<&str>> {
        let parts: Vec<&str> = text.split(separator).map(str::trim).collect();
        parts.iter().all(|part| numberlike(part)).then_some(parts)
    };
    let here = if unit.is_empty() {
        "a number was expected here".to_owned()
    } else {
        format!("the unit of this column is {unit}")
    };
    let looks_like = |what: &str, help: &str| {
        Some(Problem::error(format!("\"{text}\" looks like {what}; {here}")).help(help))
    };
    match (of('-').as_deref(), of('/').as_deref(), of(':').as_deref()) {
        // A formula would read its numbers as a sum or a share.
        _ if unit == "date" => {
            let three = |separator| of(separator).is_some_and(|parts| parts.len() == 3);
            let dated = ['/', '.', '-'].into_iter().any(three);
            read_date(text).err().filter(|_| dated)
        }
        _ if matches!(unit, "text" | "yes/no") => None,
        (Some([feet, inches]), ..) if matches!(unit, "ft" | "in" | "ft-in") => Some(
            Problem::error(format!(
                "\"{text}\" has two readings: {feet}'-{inches}\", or a difference"
            ))
            .help(format!(
                "write {feet}'-{inches}\" in a column of unit ft-in, or a number of {unit}"
            )),
        ),
        (Some([from, to]), ..) => Some(
            Problem::error(format!(
                "\"{text}\" has two readings: from {from} to {to}, or a difference"
            ))
            .help("write a text in a column of unit text; a difference in brackets"),
        ),
        (Some([_, _, _]), ..) | (_, Some([_, _, _]), _) => looks_like(
            "a date",
            "a column of dates has the unit date, and they are written 2026-03-01",
        ),
        (_, _, Some([_, _] | [_, _, _])) => {
            looks_like("a time", "write a number of hours, or the text in a column of unit text")
        }
        _ if unit != "percent"
            && text.strip_suffix('%').is_some_and(|of| numberlike(of.trim())) =>
        {
            looks_like("a share", "a column of shares has the unit percent")
        }
        _ if is_prose(text) => looks_like("a text", "a column of texts has the unit text"),
        _ => None,
    }
}

/// Words one after the other with nothing of a formula between them.
fn is_prose(text: &str) -> bool {
    text.contains(' ')
        && text.chars().all(|c| c.is_alphabetic() || c == ' ' || c == '\'')
        && !text.starts_with("if ")
}

#[cfg(test)]
mod tests {
    use super::misread;

    #[test]
    fn what_an_entry_looks_like() {
        for (text, unit, said) in [
            ("6-8", "", "from 6 to 8"),
            ("6-8", "h", "from 6 to 8"),
            ("6-8", "ft", "6'-8\""),
            ("3/1/2026", "h", "a date"),
            ("2026-03-01", "", "a date"),
            ("8:30", "h", "a time"),
            ("5%", "ft", "a share"),
            ("5 %", "", "a share"),
            ("Two men", "", "a text"),
            ("5%", "percent", ""),
            ("3/4", "ft", ""),
            ("6-8", "text", ""),
            ("2026-03-01", "date", ""),
            ("3/1/2026", "date", "is not a date"),
            ("11/23/2026", "date", "is not a date"),
            ("26.11.26", "date", "is not a date"),
            ("13/13/2026", "date", "is not a date"),
            ("2026/03/01", "date", "is not a date"),
            ("(6-8)", "ft", ""),
            ("long - high", "ft", ""),
            ("if wet { 1.ft } else { 2.ft }", "ft", ""),
        ] {
            let told = misread(text, unit).map_or_else(String::new, |problem| problem.message);
            assert_eq!(told.is_empty(), said.is_empty(), "{text} in {unit}: {told}");
            assert!(told.contains(said), "{text} in {unit}: {told}");
        }
    }
}
