//! The features of a large GeoJSON file, one after the other, straight from its text.
//!
//! A county's file is parted into its features, and never held as a tree: each is read by itself
//! and handed over, with its geometry and those few properties that are asked for. What cannot be
//! read of one feature is told with it and does not stop the others.

use super::corners::geometry;
use super::place::Lines;
use crate::findings::Place;
use crate::text::{Named, crs_name, named};
use geo::Geometry;
use serde::Deserialize;
use serde_json::Value;
use serde_json::value::RawValue;
use std::collections::BTreeMap;

/// One feature as it was read.
#[derive(Debug)]
pub struct Feature {
    /// Its number in the file, from 1.
    pub number: usize,
    /// Where it is, longitude and latitude in degrees; or why that cannot be read.
    pub geometry: Result<Geometry<f64>, String>,
    /// The properties asked for that it has, with their place in the list asked for.
    pub properties: Vec<(usize, Value)>,
    /// Its `id` beside the properties.
    pub id: Option<Value>,
}

/// A property that was not asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Foreign {
    /// Its name.
    pub name: String,
    /// How many features have it.
    pub times: usize,
    /// The number of the first of them, from 1.
    pub first: usize,
}

/// Most different names of foreign properties that are kept; an office's file has some twenty.
const MOST_FOREIGN: usize = 1_000;

/// What stands beside the features.
#[derive(Debug, Default, PartialEq)]
pub struct Beside {
    /// The `type` of the whole.
    pub kind: Option<String>,
    /// What its `crs` says, when it has one.
    pub crs: Option<Named>,
    /// Whether it holds a list of features.
    pub listed: bool,
    /// Properties that were not asked for, by name.
    pub foreign: Vec<Foreign>,
}

/// The members of an object, each as it is written.
type Members<'a> = BTreeMap<String, &'a RawValue>;

/// What a piece of JSON is, where it is that.
fn read<'a, T: Deserialize<'a>>(text: &'a RawValue) -> Option<T> {
    serde_json::from_str(text.get()).ok()
}

/// Reads the features of a collection and hands over each; `asked` names the properties that are
/// kept.
///
/// # Errors
/// Where the text is not JSON, with the line and column.
pub fn features(text: &str, asked: &[&str], each: &mut dyn FnMut(Feature)) -> Result<Beside, serde_json::Error> {
    let whole: Members<'_> = read(serde_json::from_str(text)?).unwrap_or_default();
    let list: Option<Vec<&RawValue>> = whole.get("features").and_then(|list| read(list));
    let mut met = BTreeMap::new();
    for (number, own) in (1..).zip(list.iter().flatten()) {
        each(feature(number, own, asked, &mut met));
    }
    let crs = whole.get("crs").and_then(|crs| read::<Value>(crs)).filter(|crs| !crs.is_null());
    Ok(Beside {
        kind: whole.get("type").and_then(|kind| read(kind)),
        crs: crs.map(|crs| named(&crs_name(&crs))),
        listed: list.is_some(),
        foreign: met.into_values().collect(),
    })
}

/// Where features stand in a text that [`features`] could read, for telling what is wrong with
/// them. Reads the text again: not for the way where all is well.
#[must_use]
pub fn places(file: &str, text: &str, numbers: &[usize]) -> Vec<Place> {
    let whole: Members<'_> = serde_json::from_str(text).unwrap_or_default();
    let list: Vec<&RawValue> = whole.get("features").and_then(|list| read(list)).unwrap_or_default();
    let lines = Lines::new(file, text);
    let place = |number: &usize| {
        let own = list.get(number.wrapping_sub(1));
        own.map_or_else(|| Place::file(file), |own| lines.place(own.get().as_ptr().addr() - text.as_ptr().addr()))
    };
    numbers.iter().map(place).collect()
}

/// One feature; properties that were not asked for are counted.
fn feature(number: usize, text: &RawValue, asked: &[&str], met: &mut BTreeMap<String, Foreign>) -> Feature {
    let Some(members) = read::<Members<'_>>(text) else {
        let listed = text.get().starts_with('[');
        let why = if listed { "a list is where a feature should be" } else { "it is not a feature" };
        return Feature { number, geometry: Err(why.to_string()), properties: Vec::new(), id: None };
    };
    let geometry = members
        .get("geometry")
        .map_or_else(|| Err("the feature has no geometry".to_string()), |own| geometry(own.get()));
    let mut properties = Vec::new();
    for (name, value) in members.get("properties").and_then(|own| read::<Members<'_>>(own)).unwrap_or_default() {
        if let Some(place) = asked.iter().position(|own| *own == name) {
            properties.extend(read(value).map(|value| (place, value)));
        } else if let Some(foreign) = met.get_mut(&name) {
            foreign.times += 1;
        } else if met.len() < MOST_FOREIGN {
            met.insert(name.clone(), Foreign { name, times: 1, first: number });
        }
    }
    Feature { number, geometry, properties, id: members.get("id").and_then(|id| read(id)) }
}
