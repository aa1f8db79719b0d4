//! Glossary: each thing by one word, in the terminal, the workbook, the settings and the guides.

mod terms;

use std::fmt::Write;

pub use terms::TERMS;

/// A word of the trade as it is used here.
#[derive(Debug, Clone, Copy)]
pub struct Term {
    /// The word, and after a comma its short form.
    pub word: &'static str,
    /// What it means here.
    pub meaning: &'static str,
    /// Other words for the same thing, by which it is found here too.
    pub also: &'static [&'static str],
    /// Words that are not used for it.
    pub not: &'static [&'static str],
}

/// The page as Markdown.
pub fn glossary_page() -> String {
    format!("{HEAD}{}", glossary_page_of(""))
}

/// The table of the terms that a text stands in; empty where it stands in none.
pub fn glossary_page_of(text: &str) -> String {
    let text = text.to_lowercase();
    let mut rows = String::new();
    let fits = |term: &&Term| {
        let mut words = [term.word].into_iter().chain(term.also.iter().chain(term.not).copied());
        words.any(|word| word.to_lowercase().contains(&text))
    };
    for Term { word, meaning, also, .. } in TERMS.iter().filter(fits) {
        // Writing to a string cannot fail.
        let _ = writeln!(rows, "| {word} | {meaning} | {} |", also.join(", "));
    }
    if rows.is_empty() {
        return rows;
    }
    format!("| word | meaning | also called |\n|---|---|---|\n{rows}")
}

const HEAD: &str = "# Glossary

<!-- Generated from the list of terms: edit engine/glossary/terms.rs, then run `cargo run -- generate`. -->

One word for one thing, in the terminal, the workbooks, the settings and the guides. `rodbook glossary WORD` prints a line of it.

";

#[cfg(test)]
mod tests {
    use super::{TERMS, glossary_page_of};

    #[test]
    fn terms_stand_once_and_in_order() {
        let words: Vec<String> = TERMS.iter().map(|term| term.word.to_lowercase()).collect();
        let mut sorted = words.clone();
        sorted.sort();
        sorted.dedup();
        assert_eq!(words, sorted);
        for term in TERMS {
            let taken = term.not.iter().find(|not| words.iter().any(|word| word == *not));
            assert_eq!(taken, None, "{} is a term and is not to be used", term.word);
        }
    }

    #[test]
    fn a_term_is_found_by_its_other_words() {
        for word in ["TOF", "chainage", "dirt cut", "RISER"] {
            assert!(!glossary_page_of(word).is_empty(), "{word}");
        }
        assert_eq!(glossary_page_of("carrot"), "");
    }
}
