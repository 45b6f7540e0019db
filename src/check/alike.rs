//! What of very many things may be the same, without comparing each with all others.

use crate::record::Entry;
use std::hash::{DefaultHasher, Hash, Hasher};

/// Lists of more than one item that may have the same key, each in the order given. Two
/// keys that differ hardly ever come into one list, and the same key never into two.
pub(super) fn alike<'a, T, K: Hash>(items: &'a [T], key: impl Fn(&'a T) -> K) -> Vec<Vec<&'a T>> {
    let mark = |item| {
        let mut hasher = DefaultHasher::new();
        key(item).hash(&mut hasher);
        hasher.finish()
    };
    let mut marked: Vec<(u64, usize)> = items.iter().enumerate().map(|(at, item)| (mark(item), at)).collect();
    marked.sort_unstable();
    let lists = marked.chunk_by(|one, other| one.0 == other.0).filter(|list| list.len() > 1);
    lists.map(|list| list.iter().filter_map(|(_, at)| items.get(*at)).collect()).collect()
}

/// How the later of two entries of one job is taken out: always that one, so that two people who
/// read of it do not take out both.
pub(super) fn void_later(entry: &Entry) -> String {
    match entry.id.as_str() {
        "" => "void this one, the later: `sward log void ID --note \"logged twice\"`, with its id".to_string(),
        id => format!("void this one, the later: `sward log void {id} --note \"logged twice\"`"),
    }
}

#[cfg(test)]
mod tests {
    use super::alike;

    #[test]
    fn the_same_stands_in_one_list() {
        let words = ["a", "b", "a", "c", "b", "a"];
        let mut lists = alike(&words, |word| *word);
        lists.sort();
        assert_eq!(lists, [vec![&"a", &"a", &"a"], vec![&"b", &"b"]]);
        assert!(alike(&["a", "b"], |word| *word).is_empty());
    }
}
