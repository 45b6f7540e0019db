//! Checks of a county's fields and keep-outs: the distance of each thing, and what is wrong with
//! what. There is no farm here, so that nobody's own word is asked for.

use crate::check::keepouts::{KeepOutFacts, ruled, unanswered};
use crate::check::lonlat::{again, lonlat_text, swapped, unsigned};
use crate::farm::{FEATURES, OWNERS, feature_key, is_neighbor};
use crate::findings::{Finding, Place};
use crate::ground::lonlat::{NEAR_DEGREES, POLAR_DEGREES, credible};
use crate::ground::{CutRefused, ShapeFault, Unfit};
use crate::tables::Book;
use crate::units::{self, Feet, Quantity, Refusal};
use geo::{Coord, Rect};
use serde_json::Value;
use std::collections::BTreeMap;

/// The properties of a keep-out that are asked for, in this order.
pub const ASKED: &[&str] = &["kind", "name", "vegetated_strip", "owner", "setback"];

/// Where distances come from.
#[derive(Debug)]
pub struct Distances<'a> {
    book: Option<Book<'a>>,
    large: bool,
    /// What was read before: the same few distances come again and again.
    read: BTreeMap<String, f64>,
    /// What was asked before of the tables.
    known: BTreeMap<(String, Option<bool>, Option<bool>), Option<f64>>,
}

impl<'a> Distances<'a> {
    /// Distances as written, and those of the tables where there are any.
    #[must_use]
    pub fn new(book: Option<Book<'a>>, large: bool) -> Distances<'a> {
        Distances { book, large, read: BTreeMap::new(), known: BTreeMap::new() }
    }

    /// The distance of a thing in feet, by its properties: places in [`ASKED`] with their values.
    ///
    /// # Errors
    /// A finding when there is none. It stands at no place yet.
    pub fn feet(&mut self, number: usize, properties: &[(usize, Value)]) -> Result<f64, Box<Finding>> {
        let get = |key: &str| {
            let own = |(place, _): &&(usize, Value)| ASKED.get(*place) == Some(&key);
            properties.iter().find(own).map(|(_, value)| value).filter(|value| !value.is_null())
        };
        let name = || name_of(number, get("name").or_else(|| get("kind")));
        let own = match get("setback") {
            None => None,
            Some(value) => match value.as_str().and_then(|text| self.read.get(text)) {
                Some(feet) => Some(*feet),
                None => {
                    let feet = written(value, &name)?;
                    self.read.insert(shown(value), feet);
                    Some(feet)
                }
            },
        };
        let Some(book) = self.book else {
            return own.ok_or_else(|| {
                let found = format!("{}: it has no `setback`", name());
                let finding = error("keepout-distance", found).accepts("\"setback\": \"100 ft\" in its properties");
                Box::new(finding.fix("write one, or take the distances of a place with --place"))
            });
        };
        let kind = word(get("kind"), "kind", FEATURES, feature_key, &name)?.ok_or_else(|| {
            Box::new(error("keepout-kind", format!("{}: it has no `kind`", name())).accepts(FEATURES.join(", ")))
        })?;
        let neighbor = word(get("owner"), "owner", OWNERS, is_neighbor, &name)?;
        let strip = match get("vegetated_strip") {
            None => None,
            Some(Value::Bool(yes)) => Some(*yes),
            Some(other) => {
                let found = format!("{}: `vegetated_strip` is `{}`", name(), shown(other));
                return Err(Box::new(error("yes-or-no", found).accepts("true or false")));
            }
        };
        let large = self.large;
        let feet = *self
            .known
            .entry((kind.clone(), strip, neighbor))
            .or_insert_with(|| ruled(KeepOutFacts { kind: &kind, strip, neighbor }, large, &book));
        match (feet, own) {
            (Some(feet), own) => Ok(feet.max(own.unwrap_or(0.0))),
            (None, Some(own)) => Ok(own),
            (None, None) => {
                let thing = KeepOutFacts { kind: &kind, strip, neighbor };
                Err(Box::new(unanswered(&name(), thing, &book, &Place::default())))
            }
        }
    }
}

/// A distance as written.
fn written(value: &Value, name: &dyn Fn() -> String) -> Result<f64, Box<Finding>> {
    let why = match value {
        Value::String(text) => match units::quantity::<Feet>(text) {
            Ok(feet) => return Ok(feet.get()),
            Err(Refusal::OutOfRange { .. }) => "out of range",
            Err(Refusal::NoUnit) => "without its unit",
            Err(_) => "no distance",
        },
        Value::Number(_) => "without its unit",
        _ => "no distance",
    };
    let found = format!("{}: its setback `{}` is {why}", name(), shown(value));
    Err(Box::new(error("setback", found).accepts(units::accepted::<Feet>())))
}

/// A word of a list, when there is one.
fn word<T>(
    value: Option<&Value>,
    key: &str,
    words: &[&'static str],
    known: fn(&str) -> Option<T>,
    name: &dyn Fn() -> String,
) -> Result<Option<T>, Box<Finding>> {
    let Some(value) = value else { return Ok(None) };
    let text = shown(value);
    if let Some(known) = value.as_str().and_then(known) {
        return Ok(Some(known));
    }
    let finding = error("word-unknown", format!("{}: the {key} `{text}` is not known", name()));
    let finding = finding.accepts(words.join(", "));
    Err(Box::new(finding.near(&text, words.iter().copied())))
}

/// The id of a field: a word or a number.
#[must_use]
pub fn id_of(value: Option<&Value>) -> Option<String> {
    let text = match value? {
        Value::String(text) => text.trim().to_string(),
        Value::Number(number) => {
            let text = number.to_string();
            text.strip_suffix(".0").unwrap_or(&text).to_string()
        }
        _ => return None,
    };
    (!text.is_empty()).then_some(text)
}

/// What is wrong with a field that has no acres. The findings stand at no place yet.
#[must_use]
pub fn unfit(name: &str, why: &Unfit) -> Vec<Finding> {
    match why {
        Unfit::Refused(refused) => vec![error("boundary", format!("{name}: {refused}")).fix(refused.fix())],
        Unfit::Faults(faults) => {
            let one = |fault: &ShapeFault| {
                error("boundary", format!("{name}: {fault}")).fix(match fault {
                    ShapeFault::OutOfRange { at, .. } => again(*at),
                    _ => fault.fix().to_string(),
                })
            };
            faults.iter().map(one).collect()
        }
    }
}

/// A thing that cannot be taken for its place or its distance.
#[must_use]
pub fn unfit_thing(number: usize, properties: &[(usize, Value)], why: &CutRefused, at: Option<Coord<f64>>) -> Finding {
    let name = properties.iter().find(|(place, _)| ASKED.get(*place) == Some(&"name")).map(|(_, name)| name);
    let finding = error("keepout-place", format!("{}: {why}", name_of(number, name)));
    match (why, at) {
        (CutRefused::KeepOutPlace { .. }, Some(at)) => finding.fix(again(at)),
        _ => finding,
    }
}

/// A field that lies where no hay is cut: in the sea off Africa, or beyond a polar circle.
#[must_use]
pub fn field_off_the_map(name: &str, at: Coord<f64>) -> Option<Finding> {
    (!credible(at)).then(|| {
        if at.y.abs() > POLAR_DEGREES && at.x.abs() < POLAR_DEGREES {
            swapped(name, &Place::default(), at)
        } else {
            let found = format!("{name} lies at {}, where no hay is cut", lonlat_text(at));
            error("off-the-map", found).fix("export the file again as WGS84 (EPSG:4326)")
        }
    })
}

/// How a thing lies to the fields.
#[derive(Debug)]
pub enum KeepOutLies {
    /// Among them, or near.
    Near,
    /// Where it can take nothing of any of them.
    Far,
    /// So that its numbers look wrong.
    Wrong(Box<Finding>),
}

/// How a thing lies to the box around all fields.
#[must_use]
pub fn lies(number: usize, at: Coord<f64>, fields: Rect<f64>) -> KeepOutLies {
    let (low, high) = (fields.min(), fields.max());
    let near = |at: Coord<f64>| {
        (low.x - NEAR_DEGREES..=high.x + NEAR_DEGREES).contains(&at.x)
            && (low.y - NEAR_DEGREES..=high.y + NEAR_DEGREES).contains(&at.y)
    };
    let name = format!("feature {number}");
    if near(at) {
        KeepOutLies::Near
    } else if near(Coord { x: at.y, y: at.x }) {
        KeepOutLies::Wrong(Box::new(swapped(&name, &Place::default(), at)))
    } else if near(Coord { x: -at.x, y: at.y }) {
        KeepOutLies::Wrong(Box::new(unsigned(&name, &Place::default(), at)))
    } else {
        KeepOutLies::Far
    }
}

/// A thing's name as it is told: its own, and its number in the file.
fn name_of(number: usize, name: Option<&Value>) -> String {
    match name {
        Some(Value::String(name)) => format!("{name} (feature {number})"),
        _ => format!("feature {number}"),
    }
}

fn error(code: &'static str, found: String) -> Finding {
    Finding::error(code, &Place::default(), found)
}

fn shown(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_string)
}
