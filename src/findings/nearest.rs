//! The nearest known word to one that is not known.

/// Longest word for which a near one is sought: what is longer is no slip of a
/// known word, and the search takes as long as both words together.
const LONGEST: usize = 100;

/// So many known words are looked through at most.
const MOST_WORDS: usize = 5_000;

/// The nearest of `known` to `word`, when it is near enough to be a slip of
/// the pen: at most a third of its letters differ.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if word.chars().nth(LONGEST).is_some() {
        return None;
    }
    let word = word.to_lowercase();
    known
        .into_iter()
        .take(MOST_WORDS)
        .filter(|k| k.len() <= 4 * LONGEST)
        .map(|k| (strsim::damerau_levenshtein(&word, &k.to_lowercase()), k))
        .min_by_key(|(distance, k)| (*distance, *k))
        .filter(|(distance, k)| *distance <= (k.chars().count().max(word.chars().count()) / 3).max(1))
        .map(|(_, k)| k)
}

/// The question whether the nearest of `known` was meant, to go behind what was
/// found; nothing where none is near.
pub fn or_near<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    nearest(word, known).map_or(String::new(), |near| format!("; did you mean `{near}`?"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_found_and_a_stranger_is_not() {
        assert_eq!(nearest("acers", ["acres", "fields"]), Some("acres"));
        assert_eq!(nearest("tal fescue", ["tall fescue", "timothy"]), Some("tall fescue"));
        assert_eq!(nearest("banana", ["acres", "fields"]), None);
    }
}
