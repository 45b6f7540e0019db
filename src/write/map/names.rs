//! Names of files that no id of a farm can lead astray.

use std::collections::BTreeSet;

/// Most letters of an id that go into a name.
const MOST: usize = 40;

/// One name a field, each its own, even on a disk that does not tell small
/// letters from capitals.
pub(super) fn of_fields<'a>(ids: impl Iterator<Item = &'a str>) -> Vec<String> {
    let ids: Vec<&str> = ids.collect();
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut names = vec![String::new(); ids.len()];
    // Ids that need no change keep their name, wherever they stand.
    let (plain, changed): (Vec<usize>, Vec<usize>) = (0..ids.len()).partition(|at| safe(ids[*at]) == ids[*at]);
    for at in plain.into_iter().chain(changed) {
        let stem = safe(ids[at]);
        let mut name = stem.clone();
        let mut count = 1;
        while !taken.insert(name.to_lowercase()) {
            count += 1;
            name = format!("{stem}-{count}");
        }
        names[at] = format!("field-{name}.svg");
    }
    names
}

/// Letters, digits, `_` and `-` of an id; a `-` for each other sign.
fn safe(id: &str) -> String {
    let good = |c: char| if c.is_ascii_alphanumeric() || c == '_' || c == '-' { c } else { '-' };
    let name: String = id.chars().take(MOST).map(good).collect();
    if name.is_empty() { "-".to_string() } else { name }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_leads_out_of_the_folder_and_none_stands_twice() {
        let ids = ["a/b", "a-b", "A-B", "../../etc/passwd", "..", "", "C:\\x", "é", &"x".repeat(300)];
        let names = of_fields(ids.into_iter());
        assert_eq!(names[1], "field-a-b.svg");
        assert_eq!(names[3], "field-------etc-passwd.svg");
        let low: BTreeSet<String> = names.iter().map(|n| n.to_lowercase()).collect();
        assert_eq!(low.len(), names.len(), "{names:?}");
        for name in names {
            let stem = name.strip_prefix("field-").and_then(|n| n.strip_suffix(".svg")).unwrap();
            assert!(stem.len() < 50 && !stem.is_empty());
            assert!(stem.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-'), "{stem}");
        }
    }
}
