//! "Did you mean": the known word that is closest to what was written.

/// Longest word that is compared, in bytes.
const LONGEST: usize = 64;

/// The known word closest to `word`, if one is close enough to be meant.
pub fn closest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Nobody slips in a word of that length.
    if word.len() > LONGEST {
        return None;
    }
    let word = word.to_lowercase();
    let limit = (word.chars().count() / 3).clamp(1, 3);
    known
        .into_iter()
        .map(|candidate| (distance(&word, &candidate.to_lowercase()), candidate))
        // A change of every letter is no slip.
        .filter(|(distance, _)| *distance <= limit && *distance < word.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// Number of single-letter changes, with swapped neighbours as one.
fn distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    for (j, cell) in rows[0].iter_mut().enumerate() {
        *cell = j;
    }
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let same = usize::from(a[i - 1] != b[j - 1]);
            let mut best =
                (rows[i - 1][j] + 1).min(rows[i][j - 1] + 1).min(rows[i - 1][j - 1] + same);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::closest;

    #[test]
    fn a_slip_of_the_finger_is_recognised() {
        let known = ["frost_depth", "shortest_run", "overlap_step"];
        assert_eq!(closest("frost_dept", known), Some("frost_depth"));
        assert_eq!(closest("fsort_depth", known), Some("frost_depth"));
        assert_eq!(closest("paint", known), None);
    }
}
