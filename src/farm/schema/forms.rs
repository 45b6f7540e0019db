//! What a value of farm.yaml may look like, as pieces of a JSON Schema. The
//! units, bounds and words come from where the reader has them.

use crate::units::{self, Quantity};
use serde_json::{Map, Value, json};

/// A key of a block.
pub(super) struct SchemaKey {
    name: &'static str,
    form: Value,
    needed: bool,
}

/// A key that must be there.
pub(super) fn need(name: &'static str, says: &str, form: Value) -> SchemaKey {
    SchemaKey { name, form: described(form, says), needed: true }
}

/// A key that may be left out, or have nothing after it.
pub(super) fn may(name: &'static str, says: &str, form: Value) -> SchemaKey {
    SchemaKey { name, form: or_nothing(described(form, says)), needed: false }
}

/// A key that may be left out, and has something after it where it stands.
pub(super) fn filled(name: &'static str, says: &str, form: Value) -> SchemaKey {
    SchemaKey { name, form: described(form, says), needed: false }
}

/// What it is, then how it is written.
fn described(mut form: Value, says: &str) -> Value {
    let how = form.get("description").and_then(Value::as_str).map(|how| format!("; {how}")).unwrap_or_default();
    let example = form.get("examples").and_then(|e| e.get(0)).and_then(|e| match e {
        Value::String(text) => Some(text.clone()),
        Value::Number(number) => Some(number.to_string()),
        _ => None,
    });
    let example = example.map(|example| format!(". Example: {example}")).unwrap_or_default();
    form["description"] = json!(format!("{says}{how}{example}"));
    form
}

/// The same, or nothing written after the key.
fn or_nothing(mut form: Value) -> Value {
    if let Some(Value::Array(forms)) = form.get_mut("anyOf") {
        forms.push(json!({"type": "null"}));
        return form;
    }
    match form.get_mut("type") {
        Some(Value::Array(types)) => types.push(json!("null")),
        Some(one) => *one = json!([one.clone(), "null"]),
        None => {}
    }
    form
}

/// A block of keys, and no others.
pub(super) fn block(keys: Vec<SchemaKey>) -> Value {
    let needed: Vec<&str> = keys.iter().filter(|k| k.needed).map(|k| k.name).collect();
    let mut form = json!({"type": "object", "additionalProperties": false});
    if !needed.is_empty() {
        form["required"] = json!(needed);
    }
    let properties: Map<String, Value> = keys.into_iter().map(|k| (k.name.to_string(), k.form)).collect();
    form["properties"] = Value::Object(properties);
    form
}

/// A block of which at least one of these keys is given.
pub(super) fn at_least_one(mut block: Value, keys: &[&'static str]) -> Value {
    let ways: Vec<Value> = keys.iter().map(|key| given(&[*key], &[*key])).collect();
    block["anyOf"] = json!(ways);
    block
}

/// A block of which just one key out of every group must be there.
pub(super) fn one_out_of(block: Value, groups: &[&[&'static str]]) -> Value {
    groups.iter().fold(block, |block, group| {
        let ways: Vec<&[&str]> = group.iter().map(std::slice::from_ref).collect();
        in_one_way(block, &ways)
    })
}

/// A block with the keys of just one of several ways, and with none that only
/// the others have.
pub(super) fn in_one_way(mut block: Value, ways: &[&[&'static str]]) -> Value {
    let all = ways.concat();
    let ways: Vec<Value> = ways.iter().map(|keys| given(keys, &all)).collect();
    let group = json!({ "oneOf": ways });
    match block.get_mut("allOf") {
        Some(Value::Array(groups)) => groups.push(group),
        _ => block["allOf"] = json!([group]),
    }
    block
}

/// Of all these keys just some are given. A key with nothing after it is not,
/// as for the reader.
pub(super) fn given(keys: &[&'static str], all: &[&'static str]) -> Value {
    let nothing = || json!({"type": "null"});
    let of_key = |key: &&'static str| {
        (key.to_string(), if keys.contains(key) { json!({ "not": nothing() }) } else { nothing() })
    };
    let properties: Map<String, Value> = all.iter().map(of_key).collect();
    json!({"required": keys, "properties": properties})
}

/// A key that another form of the same block has; here nothing may stand after
/// it.
pub(super) fn empty(name: &'static str, says: &str) -> SchemaKey {
    SchemaKey { name, form: json!({"type": "null", "description": says}), needed: false }
}

/// The block by which somebody stands for values far from what is usual.
pub(super) fn sure() -> SchemaKey {
    let block =
        block(vec![need("by", "Who looked and is sure", name("Dell Farrow")), need("on", "When", date("2027-02-01"))]);
    may("sure", "Who is sure of values in this block that lie far from what is usual", block)
}

/// A list.
pub(super) fn list(of: Value) -> Value {
    json!({"type": "array", "items": of})
}

/// A list with something in it.
pub(super) fn some(of: Value) -> Value {
    let mut form = list(of);
    form["minItems"] = json!(1);
    form
}

/// One of several forms.
pub(super) fn any_of(forms: Vec<Value>) -> Value {
    let examples = forms.first().and_then(|f| f.get("examples")).cloned();
    let how: Vec<&str> = forms.iter().filter_map(|f| f.get("description")?.as_str()).collect();
    let how = how.join("; or ");
    let mut form = json!({ "anyOf": forms });
    if !how.is_empty() {
        form["description"] = json!(how);
    }
    if let Some(examples) = examples {
        form["examples"] = examples;
    }
    form
}

/// A block, or a list of at least one such block.
pub(super) fn one_or_several(of: Value) -> Value {
    any_of(vec![of.clone(), some(of)])
}

/// A block whose keys are names of the grower's own.
pub(super) fn by_name(of: Value, name: &str) -> Value {
    let example = of.get("examples").and_then(|e| e.get(0)).cloned().unwrap_or_default();
    json!({"type": "object", "additionalProperties": of, "examples": [{ name: example }]})
}

/// Words, as they stand. What looks like a number is taken as it is written.
pub(super) fn text(example: &str) -> Value {
    json!({"type": ["string", "number", "boolean"], "minLength": 1, "examples": [example]})
}

/// Words, but none of these alone.
pub(super) fn text_but(words: &[&str], example: &str) -> Value {
    let words: Vec<String> = words.iter().map(|word| loose(word)).collect();
    let mut form = text(example);
    form["pattern"] = json!(format!("^(?!\\s*({})\\s*$)", words.join("|")));
    form["not"] = json!({"enum": [false]});
    form
}

/// Somebody's name: a word with two letters or more.
pub(super) fn name(example: &str) -> Value {
    like(r"\p{L}\S*\p{L}", "the name of a person or an office", example)
}

/// Text of a certain make.
pub(super) fn like(pattern: &str, how: &str, example: &str) -> Value {
    json!({"type": "string", "pattern": pattern, "description": how, "examples": [example]})
}

/// One of a few words; case, spaces and dashes do not count.
pub(super) fn words(words: &[&str]) -> Value {
    let list: Vec<String> = words.iter().map(|word| loose(word)).collect();
    let how = match words {
        [one] => format!("the word {one}"),
        many => format!("one of {}", many.join(", ")),
    };
    json!({
        "anyOf": [{"enum": words}, {"type": "string", "pattern": format!("^\\s*({})\\s*$", list.join("|"))}],
        "description": how,
        "examples": [words.first()],
    })
}

/// A word in a pattern that takes it as `key_of` does.
fn loose(word: &str) -> String {
    word.chars()
        .map(|c| match c {
            ' ' | '-' | '_' => "[ _-]".to_string(),
            c => letter(c),
        })
        .collect()
}

/// A letter, large or small; anything else as it is.
fn letter(c: char) -> String {
    if c.is_ascii_alphabetic() {
        format!("[{}{}]", c.to_ascii_lowercase(), c.to_ascii_uppercase())
    } else if c.is_ascii_digit() {
        c.to_string()
    } else {
        format!("\\{c}")
    }
}

/// Yes or no.
pub(super) fn yes_no() -> Value {
    json!({
        "anyOf": [{"enum": ["yes", "no"]}, {"type": "boolean"}, {"type": "string", "pattern": "^\\s*([yY][eE][sS]|[nN][oO]|[tT][rR][uU][eE]|[fF][aA][lL][sS][eE])\\s*$"}],
        "description": "yes or no",
        "examples": ["yes"],
    })
}

/// A day.
pub(super) fn date(example: &str) -> Value {
    like("^\\s*[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])\\s*$", "a day, written year-month-day", example)
}

/// A number without a unit.
pub(super) fn plain(least: f64, most: f64, example: f64) -> Value {
    let some = if least > 0.0 { SOME } else { "" };
    json!({
        "type": ["number", "string"],
        "minimum": least,
        "maximum": most,
        "pattern": format!("^{some}\\s*{NUMBER}\\s*$"),
        "description": format!("a number from {} to {}, without a unit", units::trimmed(least), units::trimmed(most)),
        "examples": [example],
    })
}

/// A whole number without a unit.
pub(super) fn whole(least: i64, most: i64, example: i64) -> Value {
    let digits = if least > 0 { "0*[1-9][0-9]*" } else { "[0-9]+" };
    json!({
        "type": ["integer", "string"],
        "minimum": least,
        "maximum": most,
        "pattern": format!("^\\s*\\+?{digits}\\s*$"),
        "description": "a whole number",
        "examples": [example],
    })
}

/// A number not below 0, with commas between thousands or without.
pub(super) const NUMBER: &str = "\\+?(([0-9]+|[0-9]{1,3}(,[0-9]{3})+)(\\.[0-9]*)?|\\.[0-9]+)([eE][-+]?[0-9]+)?";

/// Looks ahead for a digit that is no zero, before any unit or exponent.
const SOME: &str = "(?=[\\s+$0.,]*[1-9])";

/// A quantity: a number and one of its units. Where the least is more than 0,
/// it is not written as 0.
pub(super) fn quantity<Q: Quantity>(example: &str) -> Value {
    let units: Vec<&str> = Q::SPELLINGS.iter().map(|(spelling, _)| *spelling).collect();
    let some = if Q::LEAST > 0.0 { SOME } else { "" };
    let dollar = if units.iter().any(|unit| unit.contains('$')) { "\\$?\\s*" } else { "" };
    let pattern = format!("^{some}\\s*{dollar}{NUMBER}\\s*{}\\s*$", one_unit(&units));
    like(&pattern, &units::accepted::<Q>(), example)
}

/// A quantity that must not be nothing.
pub(super) fn above_zero<Q: Quantity>(example: &str) -> Value {
    let mut form = quantity::<Q>(example);
    let pattern = form["pattern"].as_str().unwrap_or_default();
    form["pattern"] = json!(format!("^{SOME}{}", pattern.trim_start_matches('^')));
    form["description"] = json!(units::accepted::<Q>().replacen("from 0 to", "above 0 and up to", 1));
    form
}

/// One of several units in a pattern, as the reader takes them: large or
/// small, spaced, `per` for a slash, `acre` for `ac` under one.
pub(super) fn one_unit(units: &[&str]) -> String {
    let all: Vec<String> = units.iter().map(|unit| unit_pattern(unit)).collect();
    format!("({})", all.join("|"))
}

fn unit_pattern(unit: &str) -> String {
    let mut pattern: String = unit
        .chars()
        .map(|c| match c {
            ' ' => "\\s*".to_string(),
            '$' => "\\$?".to_string(),
            '/' => "(\\s*/\\s*|\\s+[pP][eE][rR]\\s+)".to_string(),
            c => letter(c),
        })
        .collect();
    if unit.ends_with("/ac") {
        pattern.push_str("([rR][eE])?");
    }
    pattern
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_that_may_be_left_out_may_be_empty() {
        let key = may("ph", "pH in water", plain(2.0, 11.0, 6.1));
        assert_eq!(key.form["type"], json!(["number", "string", "null"]));
        assert_eq!(key.form["description"], "pH in water; a number from 2 to 11, without a unit. Example: 6.1");
        let block = block(vec![key, need("p", "Phosphorus", text("46 index"))]);
        assert_eq!(block["required"], json!(["p"]));
    }
}
