//! The features of a large GeoJSON file, one after the other, straight from its text.
//!
//! A county's file is read once and never held as a tree: each feature is handed over as soon as
//! it is read, with its geometry and those few properties that are asked for. What cannot be read
//! of one feature is told with it and does not stop the others.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::fmt;

use geo::{Geometry, GeometryCollection};
use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::Value;
use serde_json::value::RawValue;

use super::corners::{Corners, Flat};
use crate::findings::Place;
use crate::text::{Named, crs_name, named};

/// Deepest nesting of geometry collections that is read.
const DEEPEST: usize = 8;

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

/// Foreign properties as they are met.
type Met = RefCell<BTreeMap<String, Foreign>>;

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

/// Reads the features of a collection and hands over each; `asked` names the properties that are
/// kept.
///
/// # Errors
/// Where the text is not JSON, with the line and column. What was handed over before stands.
pub fn features(text: &str, asked: &[&str], each: &mut dyn FnMut(Feature)) -> Result<Beside, serde_json::Error> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let mut number = 0;
    let met = Met::default();
    let beside = Collection { asked, met: &met, number: &mut number, each }.deserialize(&mut reader)?;
    reader.end()?;
    Ok(Beside { foreign: met.into_inner().into_values().collect(), ..beside })
}

/// Where features stand in a text that [`features`] could read, for telling what is wrong with
/// them. Reads the text again: not for the way where all is well.
#[must_use]
pub fn places(file: &str, text: &str, numbers: &[usize]) -> Vec<Place> {
    #[derive(serde::Deserialize)]
    struct Whole<'a> {
        #[serde(borrow)]
        features: Vec<&'a RawValue>,
    }
    let starts: Vec<usize> = serde_json::from_str::<Whole<'_>>(text)
        .map(|whole| whole.features.iter().map(|raw| raw.get().as_ptr().addr() - text.as_ptr().addr()).collect())
        .unwrap_or_default();
    let place = |number: &usize| {
        let before = starts.get(number.wrapping_sub(1)).and_then(|start| text.get(..*start));
        before.map_or_else(
            || Place::file(file),
            |before| {
                let line = before.bytes().filter(|b| *b == b'\n').count() + 1;
                let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
                Place { file: file.into(), line, column }
            },
        )
    };
    numbers.iter().map(place).collect()
}

/// Makes a `Deserializer` take a value of any kind where an error would stop the whole file.
macro_rules! other_kinds {
    ($value:ty, $what:expr) => {
        fn visit_bool<E>(self, _: bool) -> Result<$value, E> {
            Ok($what(self))
        }
        fn visit_str<E>(self, _: &str) -> Result<$value, E> {
            Ok($what(self))
        }
        fn visit_unit<E>(self) -> Result<$value, E> {
            Ok($what(self))
        }
    };
}

macro_rules! numbers_too {
    ($value:ty, $what:expr) => {
        fn visit_f64<E>(self, _: f64) -> Result<$value, E> {
            Ok($what(self))
        }
        fn visit_i64<E>(self, _: i64) -> Result<$value, E> {
            Ok($what(self))
        }
        fn visit_u64<E>(self, _: u64) -> Result<$value, E> {
            Ok($what(self))
        }
    };
}

fn skip_rest<'de, A: SeqAccess<'de>>(mut list: A) -> Result<(), A::Error> {
    while list.next_element::<IgnoredAny>()?.is_some() {}
    Ok(())
}

fn skip_map<'de, A: MapAccess<'de>>(mut map: A) -> Result<(), A::Error> {
    while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
    Ok(())
}

/// A key, as its place in a list of those that matter; nothing is copied.
struct Key<'k>(&'k [&'k str]);

impl<'de> DeserializeSeed<'de> for Key<'_> {
    type Value = Option<usize>;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Option<usize>, D::Error> {
        reader.deserialize_str(self)
    }
}

impl Visitor<'_> for Key<'_> {
    type Value = Option<usize>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a key")
    }

    fn visit_str<E>(self, key: &str) -> Result<Option<usize>, E> {
        Ok(self.0.iter().position(|own| *own == key))
    }
}

/// The name of a property, as its place in the list of those asked for; others are counted.
struct Name<'r>(One<'r>);

impl<'de> DeserializeSeed<'de> for Name<'_> {
    type Value = Option<usize>;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Option<usize>, D::Error> {
        reader.deserialize_str(self)
    }
}

impl Visitor<'_> for Name<'_> {
    type Value = Option<usize>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the name of a property")
    }

    fn visit_str<E>(self, name: &str) -> Result<Option<usize>, E> {
        let One { asked, met, number } = self.0;
        let place = asked.iter().position(|own| *own == name);
        if place.is_none() {
            let mut met = met.borrow_mut();
            if let Some(foreign) = met.get_mut(name) {
                foreign.times += 1;
            } else if met.len() < MOST_FOREIGN {
                let foreign = Foreign { name: name.to_string(), times: 1, first: number };
                met.insert(name.to_string(), foreign);
            }
        }
        Ok(place)
    }
}

/// The whole file.
struct Collection<'r> {
    asked: &'r [&'r str],
    met: &'r Met,
    number: &'r mut usize,
    each: &'r mut dyn FnMut(Feature),
}

impl<'de> DeserializeSeed<'de> for Collection<'_> {
    type Value = Beside;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Beside, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Collection<'_> {
    type Value = Beside;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a FeatureCollection")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Beside, A::Error> {
        let mut beside = Beside::default();
        while let Some(key) = map.next_key_seed(Key(&["type", "crs", "features"]))? {
            match key {
                Some(0) => beside.kind = map.next_value::<Value>()?.as_str().map(str::to_string),
                Some(1) => {
                    let crs = map.next_value::<Value>()?;
                    if !crs.is_null() {
                        beside.crs = Some(named(&crs_name(&crs)));
                    }
                }
                Some(2) => {
                    beside.listed = true;
                    map.next_value_seed(List {
                        asked: self.asked,
                        met: self.met,
                        number: self.number,
                        each: self.each,
                    })?;
                }
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(beside)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Beside, A::Error> {
        skip_rest(list).map(|()| Beside::default())
    }

    other_kinds!(Beside, |_| Beside::default());
    numbers_too!(Beside, |_| Beside::default());
}

/// The list of features.
struct List<'r> {
    asked: &'r [&'r str],
    met: &'r Met,
    number: &'r mut usize,
    each: &'r mut dyn FnMut(Feature),
}

impl<'de> DeserializeSeed<'de> for List<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<(), D::Error> {
        reader.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for List<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a list of features")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        while let Some(mut feature) =
            list.next_element_seed(One { asked: self.asked, met: self.met, number: *self.number + 1 })?
        {
            *self.number += 1;
            feature.number = *self.number;
            (self.each)(feature);
        }
        Ok(())
    }
}

/// One feature.
#[derive(Clone, Copy)]
struct One<'r> {
    asked: &'r [&'r str],
    met: &'r Met,
    number: usize,
}

impl Feature {
    fn unread(why: &str) -> Feature {
        Feature { number: 0, geometry: Err(why.to_string()), properties: Vec::new(), id: None }
    }
}

impl<'de> DeserializeSeed<'de> for One<'_> {
    type Value = Feature;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Feature, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for One<'_> {
    type Value = Feature;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a feature")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Feature, A::Error> {
        let mut feature = Feature::unread("the feature has no geometry");
        while let Some(key) = map.next_key_seed(Key(&["geometry", "properties", "id"]))? {
            match key {
                Some(0) => feature.geometry = map.next_value_seed(Shape { depth: 0 })?,
                Some(1) => feature.properties = map.next_value_seed(Properties(self))?,
                Some(2) => feature.id = Some(map.next_value()?),
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(feature)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Feature, A::Error> {
        skip_rest(list).map(|()| Feature::unread("a list is where a feature should be"))
    }

    other_kinds!(Feature, |_| Feature::unread("it is not a feature"));
    numbers_too!(Feature, |_| Feature::unread("it is not a feature"));
}

/// The properties asked for.
struct Properties<'r>(One<'r>);

impl<'de> DeserializeSeed<'de> for Properties<'_> {
    type Value = Vec<(usize, Value)>;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Self::Value, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Properties<'_> {
    type Value = Vec<(usize, Value)>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "properties")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut kept = Vec::new();
        while let Some(key) = map.next_key_seed(Name(self.0))? {
            match key {
                Some(place) => kept.push((place, map.next_value()?)),
                None => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(kept)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<Self::Value, A::Error> {
        skip_rest(list).map(|()| Vec::new())
    }

    other_kinds!(Self::Value, |_| Vec::new());
    numbers_too!(Self::Value, |_| Vec::new());
}

/// A geometry.
#[derive(Clone, Copy)]
struct Shape {
    depth: usize,
}

type ReadShape = Result<Geometry<f64>, String>;

impl<'de> DeserializeSeed<'de> for Shape {
    type Value = ReadShape;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<ReadShape, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Shape {
    type Value = ReadShape;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a geometry")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<ReadShape, A::Error> {
        let mut kind: Option<String> = None;
        let mut corners = None;
        let mut inner = None;
        while let Some(key) = map.next_key_seed(Key(&["type", "coordinates", "geometries"]))? {
            match key {
                Some(0) => kind = map.next_value::<Value>()?.as_str().map(str::to_string),
                Some(1) => {
                    let mut flat = Flat::default();
                    map.next_value_seed(Corners { flat: &mut flat, depth: 0 })?;
                    corners = Some(flat);
                }
                Some(2) if self.depth < DEEPEST => inner = Some(map.next_value_seed(Shapes(self))?),
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(match (kind.as_deref(), corners, inner) {
            (Some("GeometryCollection"), _, Some(all)) => {
                all.map(|all| Geometry::GeometryCollection(GeometryCollection(all)))
            }
            (Some(kind), Some(flat), _) => flat.into_geometry(kind),
            (Some(kind), None, _) => Err(format!("the {kind} has no coordinates")),
            (None, ..) => Err("the geometry has no `type`".to_string()),
        })
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<ReadShape, A::Error> {
        skip_rest(list).map(|()| Err("a list is where the geometry should be".to_string()))
    }

    other_kinds!(ReadShape, |_| Err("the feature has no geometry".to_string()));
    numbers_too!(ReadShape, |_| Err("the feature has no geometry".to_string()));
}

/// The geometries of a collection.
struct Shapes(Shape);

impl<'de> DeserializeSeed<'de> for Shapes {
    type Value = Result<Vec<Geometry<f64>>, String>;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Self::Value, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Shapes {
    type Value = Result<Vec<Geometry<f64>>, String>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a list of geometries")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
        let mut all = Ok(Vec::new());
        while let Some(one) = list.next_element_seed(Shape { depth: self.0.depth + 1 })? {
            match (&mut all, one) {
                (Ok(all), Ok(one)) => all.push(one),
                (Ok(_), Err(why)) => all = Err(why),
                (Err(_), _) => {}
            }
        }
        Ok(all)
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Self::Value, A::Error> {
        skip_map(map).map(|()| Err("`geometries` is not a list".to_string()))
    }

    other_kinds!(Self::Value, |_| Err("`geometries` is not a list".to_string()));
    numbers_too!(Self::Value, |_| Err("`geometries` is not a list".to_string()));
}
