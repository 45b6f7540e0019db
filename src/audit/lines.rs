//! Where something is written is no part of what it says: a line that moved changes no
//! plan.

use serde::Serialize;
use serde_json::{Map, Value};

/// Whether two say the same, wherever in its file each is written.
pub(super) fn alike_but_lines<T: Serialize>(one: &T, other: &T) -> bool {
    let (one, other) = (serde_json::to_value(one), serde_json::to_value(other));
    one.ok().zip(other.ok()).is_some_and(|(one, other)| alike(&one, &other))
}

fn alike(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Object(a), Value::Object(b)) if is_place(a) && is_place(b) => a["file"] == b["file"],
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(key, one)| b.get(key).is_some_and(|other| alike(one, other)))
        }
        (Value::Array(a), Value::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(one, other)| alike(one, other))
        }
        (Value::String(a), Value::String(b)) => without_lines(a) == without_lines(b),
        _ => one == other,
    }
}

/// Whether a value tells where something is written: a line and a column.
pub(super) fn is_place(map: &Map<String, Value>) -> bool {
    map.contains_key("file") && map.contains_key("line")
}

/// A text without the lines of files in it: where a value is written changes nothing of it.
pub(super) fn without_lines(text: &str) -> String {
    const ENDS: [&str; 4] = [".yaml:", ".csv:", ".geojson:", ".json:"];
    let (mut short, mut rest) = (String::new(), text);
    while let Some(at) = ENDS.iter().filter_map(|end| Some(rest.find(end)? + end.len())).min() {
        let (before, after) = rest.split_at(at);
        short.push_str(before);
        rest = after.trim_start_matches(|c: char| c.is_ascii_digit() || c == ':');
    }
    short + rest
}
