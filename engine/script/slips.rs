//! What was meant by a formula that cannot be read: slips of people who write for other people or for spreadsheets.

use crate::measure::unit;
use crate::problem::Problem;

/// A word or a number of a formula, with the letters before and after the gap that follows it.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Number,
    Word,
    Other,
}

/// Parts of a formula between its gaps and operators, texts in quotes left out.
fn parts(text: &str) -> Vec<(Kind, String)> {
    let mut parts: Vec<(Kind, String)> = Vec::new();
    let mut quoted = false;
    let mut open = false;
    for c in text.chars() {
        if c == '"' || c == '`' {
            quoted = !quoted;
            open = false;
            continue;
        }
        if quoted {
            continue;
        }
        let kind = match c {
            '0'..='9' => Kind::Number,
            '.' if open => Kind::Number,
            c if c.is_alphabetic() || c == '_' => Kind::Word,
            _ => Kind::Other,
        };
        let goes_on = |known: Kind| match known {
            Kind::Number => kind == Kind::Number,
            Kind::Word => kind != Kind::Other,
            Kind::Other => false,
        };
        match parts.last_mut() {
            Some((known, part)) if open && goes_on(*known) => part.push(c),
            _ if c.is_whitespace() => open = false,
            _ => {
                open = kind != Kind::Other;
                parts.push((kind, c.to_string()));
            }
        }
        if kind == Kind::Other {
            open = false;
        }
    }
    parts
}

/// A number that the language of scripts reads to another base, and nobody here means so.
pub(super) fn other_base(text: &str) -> Option<Problem> {
    // Most formulas have no such letters, and all pass here.
    if !["0x", "0X", "0o", "0O", "0b", "0B"].iter().any(|begin| text.contains(begin)) {
        return None;
    }
    let parts = parts(text);
    let to_base = |pair: &&[(Kind, String)]| {
        let letters = &pair[1].1;
        pair[0].1 == "0"
            && pair[1].0 == Kind::Word
            && letters.starts_with(['x', 'X', 'o', 'O', 'b', 'B'])
            && letters.len() > 1
            && text.contains(&format!("0{letters}"))
    };
    let found = parts.windows(2).find(to_base)?;
    let number = format!("0{}", found[1].1);
    Some(
        Problem::error(format!("\"{number}\" is not a number here"))
            .help("times is written *; a size such as 2x4 is a text and stands in quotes"),
    )
}

/// What to write instead, where it can be told.
pub(super) fn help(text: &str) -> Option<String> {
    if text.trim_end().ends_with('%') {
        return Some("percent is written 3.percent, or 3 in a row of unit percent".to_owned());
    }
    if text.contains('$') {
        return Some("money is written 62.50.usd, or 62.50 in a cell of unit usd".to_owned());
    }
    if text.trim_start().starts_with('#') {
        return Some(
            "this is the error value of a spreadsheet: write what it should be".to_owned(),
        );
    }
    for (sign, said) in [
        ("<>", "what differs is asked with !="),
        ("\u{2013}", "a minus is written with the key -, not with a dash"),
        ("\u{2212}", "a minus is written with the key -"),
        ("\u{201c}", "quotes are written \", not curly"),
        ("\u{201d}", "quotes are written \", not curly"),
    ] {
        if text.contains(sign) {
            return Some(said.to_owned());
        }
    }
    let parts = parts(text);
    let word = |wanted: &str| {
        parts
            .iter()
            .position(|(kind, part)| *kind == Kind::Word && part.eq_ignore_ascii_case(wanted))
    };
    if word("and").is_some() || word("or").is_some() {
        return Some("both of two conditions is written &&, either ||".to_owned());
    }
    if word("if").is_some_and(|at| parts.get(at + 1).is_some_and(|(_, next)| next == "("))
        && !text.contains('{')
    {
        return Some("a choice is written if long > 3.ft { 1.ft } else { 2.ft }".to_owned());
    }
    for pair in parts.windows(2) {
        let [(a, first), (b, second)] = pair else { continue };
        // 3.ft is written as it should be, and a condition begins after if.
        if first.ends_with('.') || first == "if" {
            continue;
        }
        let is_unit = || unit(second).is_ok();
        match (a, b) {
            (Kind::Number, Kind::Word) if is_unit() => {
                return Some(format!(
                    "a number takes its unit after a dot, {first}.{second}; one like usd/cy in quotes, q(\"{first} usd/cy\")"
                ));
            }
            (Kind::Word | Kind::Number, Kind::Word) if second == "x" => {
                return Some("times is written *".to_owned());
            }
            (Kind::Word, Kind::Word) if first != "else" => {
                return Some(format!(
                    "the words of a name are joined with _, such as {first}_{second}; between two names stands *, / or another sign"
                ));
            }
            (Kind::Number, Kind::Word) => {
                return Some(format!("between {first} and {second} stands *, / or another sign"));
            }
            (Kind::Number, Kind::Number) => {
                return Some("a number and a fraction are added, such as (3 + 1/2).ft; feet and inches stand in q(`3'-6 1/2\"`)".to_owned());
            }
            _ => {}
        }
    }
    let single = |at: usize| {
        let part = |at: usize| parts.get(at).map_or("", |(_, part)| part.as_str());
        part(at) == "="
            && part(at + 1) != "="
            && (at == 0 || !["=", "<", ">", "!"].contains(&part(at - 1)))
    };
    (1..parts.len()).any(single).then(|| "what is equal is asked with ==".to_owned())
}

#[cfg(test)]
mod tests {
    use super::{help, other_base};

    #[test]
    fn numbers_to_another_base() {
        assert!(other_base("0x10").is_some() && other_base("2 + 0b11").is_some());
        assert!(other_base("\"0x10\"").is_none() && other_base("10 * box0").is_none());
    }

    #[test]
    fn what_was_meant() {
        for (text, said) in [
            ("volume * hours per yard", "hours_per"),
            ("volume x 3", "times is written *"),
            ("length * 12 usd/ft", "12.usd"),
            ("31 yards", "between 31 and yards"),
            ("area * 0.11 h/sf", "0.11.h"),
            ("3 1/2 ft", "a number and a fraction"),
            ("$62.50", "62.50.usd"),
            ("sum_where(a, b = 3)", "=="),
            ("24.5 %", "percent"),
            ("x > 3.ft and x < 5.ft", "&&"),
            ("x <> 3.ft", "!="),
            ("x \u{2013} 2.ft", "not with a dash"),
            ("IF(x>2.ft,1,2)", "if long > 3.ft {"),
            ("if x = 3.ft { 1 } else { 2 }", "=="),
            ("if a == \u{201c}A\u{201d} { 1 } else { 2 }", "not curly"),
        ] {
            let help = help(text).unwrap_or_default();
            assert!(help.contains(said), "{text}: {help}");
        }
        for text in ["a == b", "a <= b", "if a > b { c } else { d }", "\"two words\"", "max(a, b"] {
            assert_eq!(help(text), None, "{text}");
        }
    }
}
