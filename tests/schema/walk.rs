//! A farm made out of the schema itself: every key of every block, and where
//! in the farm each block and each value stands.

use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// A step into a document.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Step {
    Key(String),
    Item(usize),
}

/// A block of keys in the made farm.
#[derive(Clone, Debug)]
pub(crate) struct Block {
    /// Which block of the schema; the forms of one value share a name.
    pub(crate) name: String,
    /// Keys that the schema has there.
    pub(crate) keys: BTreeSet<String>,
    /// Where it stands in the farm.
    pub(crate) at: Vec<Step>,
}

/// A value in the made farm that is no block and no list.
#[derive(Clone, Debug)]
pub(crate) struct Leaf {
    pub(crate) at: Vec<Step>,
    /// The form, or the forms, that the schema gives it.
    pub(crate) form: Value,
}

impl Leaf {
    pub(crate) fn name(&self) -> String {
        shown(&self.at)
    }
}

pub(crate) fn shown(at: &[Step]) -> String {
    let words = at.iter().map(|step| match step {
        Step::Key(key) => key.clone(),
        Step::Item(i) => i.to_string(),
    });
    words.collect::<Vec<_>>().join(".")
}

fn is_null(form: &Value) -> bool {
    form["type"] == "null"
}

/// Every way in which a form is written, each whole.
pub(crate) fn samples(form: &Value) -> Vec<Value> {
    if let Some(forms) = form["anyOf"].as_array().filter(|_| form["properties"].is_null()) {
        let of_words = forms.iter().any(|f| !f["enum"].is_null());
        if of_words {
            return vec![form["examples"][0].clone()];
        }
        return forms.iter().filter(|f| !is_null(f)).flat_map(samples).collect();
    }
    if let Some(properties) = form["properties"].as_object() {
        return blocks(form, properties);
    }
    if form["additionalProperties"].is_object() {
        return vec![form["examples"][0].clone()];
    }
    if form["items"].is_object() {
        return vec![Value::Array(numbered(samples(&form["items"])))];
    }
    let example = form["examples"][0].clone();
    assert!(!example.is_null(), "no example in {form}");
    vec![example]
}

/// Entries of a list that carry a number or a day: none stands there twice.
fn numbered(mut entries: Vec<Value>) -> Vec<Value> {
    for (i, entry) in entries.iter_mut().enumerate().filter(|(_, entry)| entry["number"].is_string()) {
        entry["number"] = json!(format!("{}-{i}", entry["number"].as_str().unwrap()));
    }
    // Nor two records of one day.
    for day in ["sampled", "until", "on"] {
        for (i, entry) in entries.iter_mut().enumerate().filter(|(_, entry)| entry[day].is_string()) {
            let text = entry[day].as_str().unwrap();
            entry[day] = json!(format!("{}{:02}", &text[..8], i + 1));
        }
    }
    entries
}

/// The ways in which keys stand for each other: the keys of each way.
fn ways(group: &Value) -> Vec<Vec<&str>> {
    group
        .as_array()
        .unwrap()
        .iter()
        .map(|way| way["required"].as_array().unwrap().iter().map(|key| key.as_str().unwrap()).collect())
        .collect()
}

/// Blocks with every key; of keys that stand for each other, one at a time.
fn blocks(form: &Value, properties: &Map<String, Value>) -> Vec<Value> {
    let groups: Vec<Vec<Vec<&str>>> =
        form["allOf"].as_array().into_iter().flatten().map(|group| ways(&group["oneOf"])).collect();
    let most = groups.iter().map(Vec::len).max().unwrap_or(1);
    let mut all = Vec::new();
    for which in 0..most {
        let left_out = |key: &str| {
            groups.iter().any(|g| g.iter().flatten().any(|k| *k == key) && !g[which.min(g.len() - 1)].contains(&key))
        };
        // A key that is there for another form only has nothing after it.
        let every: Vec<(&String, Vec<Value>)> = properties
            .iter()
            .filter(|(key, form)| !left_out(key) && !is_null(form))
            .map(|(key, form)| (key, samples(form)))
            .collect();
        let forms = every.iter().map(|(_, s)| s.len()).max().unwrap_or(1);
        for i in 0..forms {
            let block: Map<String, Value> =
                every.iter().map(|(key, s)| ((*key).clone(), s[i.min(s.len() - 1)].clone())).collect();
            all.push(Value::Object(block));
        }
    }
    all
}

/// Blocks and leaves of a document, by the form that each has.
pub(crate) fn walk(form: &Value, value: &Value, name: &str, at: &mut Vec<Step>, found: &mut (Vec<Block>, Vec<Leaf>)) {
    if form["anyOf"].is_array() && form["properties"].is_null() {
        let forms = form["anyOf"].as_array().unwrap();
        let fits = forms.iter().find(|one| one.is_object() && jsonschema::draft7::is_valid(one, value));
        let fits = fits.unwrap_or_else(|| panic!("{name}: {value} fits no form"));
        match value {
            Value::Object(_) | Value::Array(_) => walk(fits, value, name, at, found),
            _ => found.1.push(Leaf { at: at.clone(), form: form.clone() }),
        }
        return;
    }
    match value {
        Value::Object(map) => {
            let known = form["properties"].as_object();
            if let Some(known) = known {
                let keys = known.keys().cloned().collect();
                found.0.push(Block { name: name.to_string(), keys, at: at.clone() });
            }
            for (key, inner) in map {
                let form = known.map_or(&form["additionalProperties"], |known| &known[key]);
                at.push(Step::Key(key.clone()));
                walk(form, inner, &format!("{name}.{key}"), at, found);
                at.pop();
            }
        }
        Value::Array(items) => {
            for (i, inner) in items.iter().enumerate() {
                at.push(Step::Item(i));
                walk(&form["items"], inner, &format!("{name}[]"), at, found);
                at.pop();
            }
        }
        _ => found.1.push(Leaf { at: at.clone(), form: form.clone() }),
    }
}

/// The same without what stands a second time, alike, in a block that is alike.
pub(crate) fn distinct(farm: &Value, mut found: (Vec<Block>, Vec<Leaf>)) -> (Vec<Block>, Vec<Leaf>) {
    let mut farm = farm.clone();
    let mut seen = BTreeSet::new();
    found.0.retain(|block| seen.insert((block.name.clone(), at(&mut farm, &block.at).to_string())));
    let mut seen = BTreeSet::new();
    found.1.retain(|leaf| {
        let keys: Vec<Step> = leaf.at.iter().filter(|step| matches!(step, Step::Key(_))).cloned().collect();
        let around = leaf.at.split_last().map(|(_, above)| at(&mut farm, above).to_string());
        seen.insert((shown(&keys), around, at(&mut farm, &leaf.at).to_string()))
    });
    found
}

/// What stands at a place.
pub(crate) fn at<'a>(document: &'a mut Value, path: &[Step]) -> &'a mut Value {
    path.iter().fold(document, |value, step| match step {
        Step::Key(key) => &mut value[key.as_str()],
        Step::Item(i) => &mut value[*i],
    })
}

/// A document with something else at a place.
pub(crate) fn with(document: &Value, path: &[Step], value: Value) -> Value {
    let mut changed = document.clone();
    *at(&mut changed, path) = value;
    changed
}

/// A document without a key of a block.
pub(crate) fn without(document: &Value, path: &[Step], key: &str) -> Value {
    let mut changed = document.clone();
    at(&mut changed, path).as_object_mut().unwrap().remove(key);
    changed
}

/// A document with a key that nobody knows in a block.
pub(crate) fn with_stranger(document: &Value, path: &[Step], key: &str) -> Value {
    let mut changed = document.clone();
    at(&mut changed, path)[key] = json!("?");
    changed
}
