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

/// How many of all, and which: "1 of 11 fields gets no litter: D1, new soil test". Those
/// with the same reason stand together; none where every field can get some.
#[must_use]
pub fn without_litter(all: usize, fields: &[(&str, String)]) -> Option<String> {
    if fields.is_empty() {
        return None;
    }
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for (id, why) in fields {
        match groups.iter_mut().find(|(other, _)| other == why) {
            Some((_, ids)) => ids.push(id),
            None => groups.push((why, vec![id])),
        }
    }
    let groups: Vec<String> = groups.iter().map(|(why, ids)| format!("{}, {why}", listed(ids))).collect();
    let (plural, get) = (if all == 1 { "field" } else { "fields" }, if fields.len() == 1 { "gets" } else { "get" });
    Some(format!("{} of {all} {plural} {get} no litter: {}", fields.len(), groups.join("; ")))
}
