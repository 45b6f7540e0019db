//! Lists that grow with `reference/`, cut short in what is expected.

/// A text in which a list of all places ends after the first, so that another
/// place changes nothing that is expected.
pub(crate) fn places_cut(text: &str) -> String {
    let tables = sward::tables::load(&sward::tables::built_in()).0;
    let keys: Vec<&String> = tables.places.keys().skip(1).collect();
    let mut text = text.to_string();
    for (n, key) in keys.iter().enumerate() {
        let parts: Vec<&str> = text.split(key.as_str()).collect();
        let mut kept = String::new();
        for (i, part) in parts.iter().enumerate() {
            let last = i + 1 == parts.len();
            match part.trim_end().strip_suffix(',').filter(|_| !last) {
                Some(part) => kept.push_str(&format!("{part}{}", if n == 0 { ", ..." } else { "" })),
                None => kept.push_str(&format!("{part}{}", if last { "" } else { key })),
            }
        }
        text = kept;
    }
    text
}
