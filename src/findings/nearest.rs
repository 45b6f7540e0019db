//! The nearest known word to one that is not known.

/// The nearest of `known` to `word`, when it is near enough to be a slip of
/// the pen: at most a third of its letters differ.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word = word.to_lowercase();
    known
        .into_iter()
        .map(|k| (strsim::damerau_levenshtein(&word, &k.to_lowercase()), k))
        .min_by_key(|(distance, k)| (*distance, *k))
        .filter(|(distance, k)| *distance <= (k.chars().count().max(word.chars().count()) / 3).max(1))
        .map(|(_, k)| k)
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
