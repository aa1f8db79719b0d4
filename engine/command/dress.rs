//! Text as a terminal shows it: lines broken between words under their own column, the words that matter in colour.

use console::{Style, measure_text_width};

/// Least width that is broken for; a narrower terminal breaks lines itself.
const NARROWEST: usize = 40;

/// A text for a terminal of this width. What it says does not rest on its colours.
pub(super) fn dressed(text: &str, width: usize, colours: bool) -> String {
    let lines = text.lines().flat_map(|line| match width >= NARROWEST {
        true => broken(line, width),
        false => vec![line.to_owned()],
    });
    let lines = lines.map(|line| if colours { coloured(&line) } else { line });
    lines.collect::<Vec<_>>().join("\n")
}

/// Where the rest of a line goes on: under the last column that begins in its first third.
fn hanging(line: &str, width: usize) -> usize {
    let own = line.len() - line.trim_start().len();
    let (mut found, mut blanks) = (own, 0);
    for (at, letter) in line.chars().enumerate() {
        if letter == ' ' {
            blanks += 1;
            continue;
        }
        if blanks >= 2 && at > own && at * 3 <= width {
            found = at;
        }
        blanks = 0;
    }
    if found == own { (own + 2).min(width / 2) } else { found }
}

fn broken(line: &str, width: usize) -> Vec<String> {
    if measure_text_width(line) <= width {
        return vec![line.to_owned()];
    }
    let indent = " ".repeat(hanging(line, width));
    let (mut lines, mut now) = (Vec::new(), String::new());
    // Blanks between columns stay where they are.
    let mut rest = line;
    while !rest.is_empty() {
        let start = rest.len() - rest.trim_start_matches(' ').len();
        let end = rest[start..].find(' ').map_or(rest.len(), |at| start + at);
        let (word, after) = rest.split_at(end);
        let is_first = lines.is_empty() && now.is_empty();
        if !is_first && measure_text_width(&now) + measure_text_width(word) > width {
            lines.push(std::mem::replace(&mut now, indent.clone()));
            now.push_str(word.trim_start_matches(' '));
        } else {
            now.push_str(word);
        }
        rest = after;
    }
    lines.push(now);
    lines
}

/// Words that stand out, each with what it looks like.
fn coloured(line: &str) -> String {
    let strong = || Style::new().force_styling(true).bold();
    let mut line = line.to_owned();
    for (word, style) in [
        ("error:", strong().red()),
        ("warning:", strong().yellow()),
        ("help:", strong().cyan()),
        ("CAUTION", strong().yellow()),
        ("PARTIAL", strong().yellow()),
        ("DRAFT", strong().yellow()),
    ] {
        line = line.replace(word, &style.apply_to(word).to_string());
    }
    match line.strip_prefix("  caution ") {
        Some(rest) => format!("  {} {rest}", strong().yellow().apply_to("caution")),
        None => line,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::dressed;

    #[test]
    fn lines_go_on_under_their_column() {
        let text = "  caution   W1 16'-10\": cut 6.83 ft deep: a protective system is required";
        let shown = dressed(text, 44, false);
        let wanted = "  caution   W1 16'-10\": cut 6.83 ft deep: a\n            protective system is required";
        assert_eq!(shown, wanted);
        assert_eq!(
            dressed("a line of no columns that is too long for it, by far", 40, false),
            "a line of no columns that is too long\n  for it, by far"
        );
        assert_eq!(dressed(text, 20, false), text);
    }

    #[test]
    fn colours_add_nothing_that_is_read() {
        let text = "error: a\n  help: b\n  caution   CAUTION: c";
        let shown = dressed(text, 80, true);
        assert_ne!(shown, text);
        assert_eq!(console::strip_ansi_codes(&shown), text);
    }

    proptest! {
        /// Every word stays, in order, and no line is wider than the terminal but for a word that is.
        #[test]
        fn no_word_is_lost(text in "[a-z \"'-]{0,300}", width in 40_usize..120) {
            let shown = dressed(&text, width, false);
            let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
            prop_assert_eq!(words(&shown), words(&text));
            for line in shown.lines() {
                let longest = line.split_whitespace().map(str::len).max().unwrap_or(0);
                prop_assert!(line.len() <= width || line.trim().len() == longest || longest > width / 2, "{}", line);
            }
        }
    }
}
