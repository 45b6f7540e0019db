//! Words in a row, as a sentence has them.

/// `a`, `a and b`, `a, b and c`.
#[must_use]
pub fn listed<T: AsRef<str>>(words: &[T]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_string(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", first.join(", "), last.as_ref())
        }
    }
}

/// `a pond`, `an intermittent stream`.
#[must_use]
pub fn with_article(thing: &str) -> String {
    let vowel = thing.chars().next().is_some_and(|first| "aeiouAEIOU".contains(first));
    format!("{} {thing}", if vowel { "an" } else { "a" })
}

/// Each word once, where it comes first.
#[must_use]
pub fn distinct<'a>(words: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let mut each: Vec<&str> = Vec::new();
    for word in words {
        if !each.contains(&word) {
            each.push(word);
        }
    }
    each
}

/// Those of the same key together, in the order in which the keys come first.
#[must_use]
pub fn together<K: PartialEq, T>(all: impl IntoIterator<Item = (K, T)>) -> Vec<(K, Vec<T>)> {
    let mut groups: Vec<(K, Vec<T>)> = Vec::new();
    for (key, one) in all {
        match groups.iter_mut().find(|(own, _)| *own == key) {
            Some((_, list)) => list.push(one),
            None => groups.push((key, vec![one])),
        }
    }
    groups
}

/// How many of all, and which: "1 of 11 fields gets no litter: D1, new soil test". Those
/// with the same reason stand together; none where there are none. `one` and `many` say
/// what is so of one and of several; `parts`, that parts of fields are among them.
#[must_use]
pub fn without_litter(all: usize, fields: &[(&str, String)], (one, many): (&str, &str), parts: bool) -> Option<String> {
    if fields.is_empty() {
        return None;
    }
    let groups = together(fields.iter().map(|(id, why)| (why, *id)));
    let groups: Vec<String> = groups.iter().map(|(why, ids)| format!("{}, {why}", listed(ids))).collect();
    let plural = match (all, parts) {
        (1, _) => "field",
        (_, true) => "fields, each part counted,",
        (_, false) => "fields",
    };
    let is = if fields.len() == 1 { one } else { many };
    Some(format!("{} of {all} {plural} {is}: {}", fields.len(), groups.join("; ")))
}
