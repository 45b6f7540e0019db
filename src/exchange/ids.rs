//! Ids and names of fields, from whatever properties a file has.

use crate::exchange::given::{Given, NAMES};
use crate::exchange::phrase::tidy;
use crate::findings::{Finding, Findings, Place};
use std::collections::{BTreeMap, BTreeSet};

/// Properties that may hold an id, the likeliest first.
const LIKELY: [&str; 9] =
    ["id", "field_id", "fieldid", "field", "name", "field_name", "fieldname", "field name", "label"];
/// Longest id that is made of a name.
const LONGEST: usize = 40;

/// An id and, where there is one, the name as it was written.
#[derive(Debug, PartialEq)]
pub(super) struct Called {
    pub(super) id: String,
    pub(super) name: Option<String>,
}

/// Gives every field an id of its own. `None` when the property that was asked for is nowhere.
pub(super) fn assign(fields: &[Given], asked: Option<&str>, findings: &mut Findings) -> Option<Vec<Called>> {
    let from = match asked {
        Some(name) if fields.iter().any(|f| f.property(name).is_some()) || fields.is_empty() => Some(name.to_string()),
        Some(name) => {
            findings.push(not_there(fields, name));
            return None;
        }
        None => likeliest(fields),
    };
    let mut used: BTreeMap<String, Place> = BTreeMap::new();
    let mut all = Vec::new();
    for (number, given) in fields.iter().enumerate() {
        let name = given.name().map(str::to_string);
        let written = from.as_deref().and_then(|from| given.property(from));
        let made = written.or(name.as_deref()).map(slug).filter(|id| !id.is_empty());
        let mut id = made.unwrap_or_else(|| format!("F{}", number + 1));
        if written.is_none() {
            let found = format!("{} has no id; it is called {id}", given.label);
            findings.push(Finding::warning("import-id", &given.place, found).fix("give the fields names of their own"));
        }
        if let Some(first) = used.get(&id) {
            let other = (2_usize..).map(|n| format!("{id}-{n}")).find(|other| !used.contains_key(other));
            let other = other.unwrap_or_default();
            let found = format!("{}: another field is called {id} already; this one is called {other}", given.label);
            findings.push(
                Finding::warning("import-id", &given.place, found)
                    .fix("give the fields names of their own")
                    .also(first, format!("the first {id}")),
            );
            id = other;
        }
        used.insert(id.clone(), given.place.clone());
        all.push(Called { id, name: name.map(|n| tidy(&n)) });
    }
    if let (Some(from), Some(first)) = (from, fields.first()) {
        let found = format!("the ids are made from the property `{from}`");
        findings.push(Finding::note("import-id", &Place::file(&first.place.file), found));
    }
    Some(all)
}

/// The likeliest property that tells all fields apart, or else the likeliest that is there.
fn likeliest(fields: &[Given]) -> Option<String> {
    let there = |name: &&&str| fields.iter().any(|f| f.property(name).is_some());
    let apart = |name: &&&str| {
        let values: BTreeSet<&str> = fields.iter().filter_map(|f| f.property(name)).collect();
        values.len() == fields.len()
    };
    let best = LIKELY.iter().find(apart).or_else(|| NAMES.iter().find(there)).or_else(|| LIKELY.iter().find(there));
    best.map(|name| (*name).to_string())
}

fn not_there(fields: &[Given], name: &str) -> Finding {
    let known: BTreeSet<&str> = fields.iter().flat_map(|f| f.properties.iter().map(|(k, _)| k.as_str())).collect();
    let place = fields.first().map_or_else(Place::default, |f| Place::file(&f.place.file));
    let list: Vec<&str> = known.iter().copied().take(30).collect();
    let accepted = if list.is_empty() { "nothing: the fields have no properties".to_string() } else { list.join(", ") };
    Finding::error("import-id-from", &place, format!("no field has the property `{name}`"))
        .accepts(accepted)
        .fix("leave --id-from out to have ids made from the names")
        .near(name, known.iter().copied())
}

/// An id that needs no quotes: letters, digits, `-`, `_` and `.`.
fn slug(text: &str) -> String {
    let joined = tidy(text).replace([' ', '/', ','], "-");
    let kept: String = joined.chars().filter(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.')).collect();
    let joined = kept.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-");
    let short: String = joined.chars().take(LONGEST).collect();
    short.trim_matches(['-', '.']).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_need_no_quotes() {
        assert_eq!(slug("  Creek\n Bottom "), "Creek-Bottom");
        assert_eq!(slug("No. 4 / \"old\" <barn>"), "No.-4-old-barn");
        assert_eq!(slug("***"), "");
        assert_eq!(slug(&"x".repeat(200)).len(), LONGEST);
    }
}
